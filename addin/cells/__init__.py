"""One cell to a number, a date, a text or a table, and back; the words of every fact."""
