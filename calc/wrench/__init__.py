"""With what: a wrench's calibration, and which wrench fits."""
