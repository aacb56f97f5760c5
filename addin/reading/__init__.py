"""A list laid out by others: what its columns, title, notes and values mean, and how sure that is."""
