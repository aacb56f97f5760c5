"""One cell to a number and back: numbers, dates, headings with units, tables, words, sentences."""
