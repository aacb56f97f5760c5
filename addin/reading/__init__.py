"""A joint list laid out by others: which columns mean what, which rows are joints, what is asked."""
