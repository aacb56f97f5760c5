"""Words of cells that a person has given a meaning on the sheet of answers."""

from collections.abc import Mapping, Sequence

from addin.cells.numbers import Cell, plain_text
from addin.reading.column import Column
from addin.reading.understood import heading_key
from calc.findings import InputError
from calc.hardware.materials import grade_name
from calc.hardware.threads import parse

LEAVE_BLANK = "leave blank"
"""The meaning of a word that is to be passed over."""
_FIELDS = ("grade", "lubricant", "wrench", "nut_series", "thread", "area", "order")


def _known(grade: Cell, thread: Cell) -> bool:
    """Whether a grade is one grade alone on its thread."""
    try:
        grade_name(plain_text(grade), bool(parse(plain_text(thread)).metric))
    except InputError:
        return False
    return True


def tell(columns: Sequence[Column], rows: Sequence[list[Cell]], told: Mapping[tuple[str, str], str]) -> None:
    """Put what was answered in the place of each word, in rows that are changed. A grade that its thread leaves no doubt
    about stays: "B7" is asked on metric studs, and the inch studs of the list keep it.

    >>> from addin.reading.column import Column
    >>> rows = [["B7M mod."], ["B7"]]
    >>> tell([Column(0, "Grade", "grade", None, "")], rows, {("grade", "b7m mod."): "A193 B7M"})
    >>> rows
    [['A193 B7M'], ['B7']]
    """
    for column in columns:
        if column.field not in _FIELDS or not any(name == column.field for name, _ in told):
            continue
        threads = next((each.at for each in columns if each.field == "thread"), None)
        mine = {heading_key(text): meaning for (name, text), meaning in told.items() if name == column.field}
        for row in rows:
            if column.at < len(row) and (meaning := mine.get(heading_key(plain_text(row[column.at])))):
                if column.field == "grade" and threads is not None and _known(row[column.at], row[threads]):
                    continue
                row[column.at] = None if meaning.casefold() == LEAVE_BLANK else meaning
