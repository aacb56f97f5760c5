"""A list whose formulas the office program calculated anew in a copy: what its cells hold against what is stored."""

import datetime
import math
from collections.abc import Sequence
from pathlib import Path

from addin.cells.numbers import Cell, error_text, is_blank, plain_text
from addin.reading.column import Column
from addin.workbooks.cell_values import read_values
from addin.workbooks.package import open_package
from addin.workbooks.value_book import ValueBook
from calc.findings import CAUTION, STOP, Finding

SAME = 1e-9
"""Two programs' last bits of one number."""


def differences(
    copy: Path, sheet: str, columns: Sequence[Column], numbers: Sequence[int], stored: Sequence[Sequence[Cell]]
) -> list[Finding]:
    """A stop for each cell that holds something else in the copy; a caution where the copy shows an error instead.

    `numbers` are the sheet's row numbers and `stored` the cells of those rows as the workbook has them. Raises
    WorkbookError for a copy that cannot be read.
    """
    package = open_package(copy)
    rows = read_values(package, ValueBook(package), sheet).rows
    found = []
    for i, (number, cells) in enumerate(zip(numbers, stored, strict=True)):
        now = rows.get(number, [])
        for column in columns:
            if column.field is None or column.at >= len(cells):
                continue
            old, new = cells[column.at], now[column.at] if column.at < len(now) else None
            if is_blank(old) or _same(old, new):
                continue
            level = CAUTION if error_text(new) and not error_text(old) else STOP
            code = "formula_not_recalculated" if level == CAUTION else "formula_differs"
            facts = {"stored": _shown(old), "text": _shown(new)}
            found.append(Finding(code, column.field, facts, level, i))
    return found


def _same(old: Cell, new: Cell) -> bool:
    if isinstance(old, (int, float)) and isinstance(new, (int, float)):
        return math.isclose(old, new, rel_tol=SAME, abs_tol=1e-12)
    if isinstance(old, datetime.datetime) and isinstance(new, datetime.datetime):
        return abs((old - new).total_seconds()) < 1
    return old == new or plain_text(old).strip() == plain_text(new).strip()


def _shown(cell: Cell) -> str:
    return "nothing" if is_blank(cell) else plain_text(cell)
