"""One list of joints: columns in, plans out."""
