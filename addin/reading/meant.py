"""Words of cells that a person has given a meaning on the sheet of answers."""

from collections.abc import Mapping, Sequence

from addin.cells.numbers import Cell, plain_text
from addin.reading.column import Column
from addin.reading.understood import heading_key

LEAVE_BLANK = "leave blank"
"""The meaning of a word that is to be passed over."""
_FIELDS = ("grade", "lubricant", "wrench", "nut_series", "thread", "area", "order")


def tell(columns: Sequence[Column], rows: Sequence[list[Cell]], told: Mapping[tuple[str, str], str]) -> None:
    """Put what was answered in the place of each word, in rows that are changed.

    >>> from addin.reading.column import Column
    >>> rows = [["B7M mod."], ["B7"]]
    >>> tell([Column(0, "Grade", "grade", None, "")], rows, {("grade", "b7m mod."): "A193 B7M"})
    >>> rows
    [['A193 B7M'], ['B7']]
    """
    for column in columns:
        if column.field not in _FIELDS or not any(name == column.field for name, _ in told):
            continue
        mine = {heading_key(text): meaning for (name, text), meaning in told.items() if name == column.field}
        for row in rows:
            if column.at < len(row) and (meaning := mine.get(heading_key(plain_text(row[column.at])))):
                row[column.at] = None if meaning.casefold() == LEAVE_BLANK else meaning
