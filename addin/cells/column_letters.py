"""Letters of the columns of a sheet, and back."""

from functools import lru_cache


@lru_cache(maxsize=16384)
def letters(column: int) -> str:
    """The letters of a column number.

    >>> letters(1), letters(26), letters(27), letters(16384)
    ('A', 'Z', 'AA', 'XFD')
    """
    found = ""
    while column:
        column, place = divmod(column - 1, 26)
        found = chr(65 + place) + found
    return found


def column_number(text: str) -> int:
    """The number of a column from its letters.

    >>> column_number("A"), column_number("XFD")
    (1, 16384)
    """
    number = 0
    for letter in text.upper():
        number = number * 26 + ord(letter) - 64
    return number
