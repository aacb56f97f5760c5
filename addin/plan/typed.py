"""What a person typed into a planned copy that a new one takes the place of."""

import math
from itertools import zip_longest
from pathlib import Path

from addin.cells.numbers import Cell
from addin.workbooks.addresses import address
from addin.workbooks.cell_values import read_values
from addin.workbooks.package import WorkbookError, open_package
from addin.workbooks.shared_texts import READER_FAULTS
from addin.workbooks.value_book import ValueBook

_NAMED = 5


def differing_cells(old: Path, new: Path, sheet: str) -> str:
    """The cells of a sheet in which an earlier copy differs from the new one; "" where nobody can tell."""
    try:
        before, after = (read_values(package, ValueBook(package), sheet) for package in map(open_package, (old, new)))
    except (WorkbookError, *READER_FAULTS):
        return ""
    cells = [
        address(row, at)
        for row in sorted(before.rows.keys() | after.rows.keys())
        for at, (one, other) in enumerate(zip_longest(before.rows.get(row, ()), after.rows.get(row, ())), 1)
        if not _same(one, other) and (row, at) not in before.scan.uncached
    ]
    more = f" and {len(cells) - _NAMED} more" if len(cells) > _NAMED else ""
    return f"{sheet}!{', '.join(cells[:_NAMED])}{more}" if cells else ""


def _same(one: Cell, other: Cell) -> bool:
    """Whether two cells hold the same: programs keep 15 to 17 digits of a number."""
    if isinstance(one, (int, float)) and isinstance(other, (int, float)):
        return math.isclose(one, other, rel_tol=1e-13)
    return one == other
