"""Cells and ranges by name and by number; rows and columns count from 1."""

import re
from array import array
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass

from addin.cells.column_letters import column_number, letters

ROWS = 1_048_576
"""Rows of a sheet."""
COLUMNS = 16_384
"""Columns of a sheet."""

_REFERENCE = re.compile(r"\$?([A-Za-z]{1,3})\$?([0-9]{1,7})(?::\$?([A-Za-z]{1,3})\$?([0-9]{1,7}))?")


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle of cells, ends included; rows and columns count from 1."""

    top: int
    left: int
    bottom: int
    right: int

    def holds(self, row: int, column: int) -> bool:
        """Whether a cell lies inside."""
        return self.top <= row <= self.bottom and self.left <= column <= self.right

    def __str__(self) -> str:
        first, last = address(self.top, self.left), address(self.bottom, self.right)
        return first if first == last else f"{first}:{last}"


class CellSet:
    """Addresses of cells in the order of the sheet, eight bytes each.

    >>> cells = CellSet()
    >>> cells.add(7, 3)
    >>> list(cells), (7, 3) in cells, len(cells)
    (['C7'], True, 1)
    """

    def __init__(self) -> None:
        self._keys = array("Q")

    def add(self, row: int, column: int) -> None:
        """Put in one cell; cells come in the order of the sheet."""
        self._keys.append(row << 16 | column)

    def places(self) -> Iterator[tuple[int, int]]:
        """Row and column of each."""
        return ((key >> 16, key & 0xFFFF) for key in self._keys)

    def __contains__(self, cell: tuple[int, int]) -> bool:
        key = cell[0] << 16 | cell[1]
        place = bisect_left(self._keys, key)
        return place < len(self._keys) and self._keys[place] == key

    def __iter__(self) -> Iterator[str]:
        return (address(key >> 16, key & 0xFFFF) for key in self._keys)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, CellSet) and self._keys == other._keys

    __hash__ = None  # type: ignore[assignment]  # grows while a sheet is scanned

    def __len__(self) -> int:
        return len(self._keys)


def address(row: int, column: int) -> str:
    """The name of a cell.

    >>> address(7, 28)
    'AB7'
    """
    return f"{letters(column)}{row}"


def area(text: str) -> Area | None:
    """A range from its name, or None when it is none.

    >>> area("B2:D5"), area("$C$3")
    (Area(top=2, left=2, bottom=5, right=4), Area(top=3, left=3, bottom=3, right=3))
    """
    found = _REFERENCE.fullmatch(text.strip())
    if not found:
        return None
    left, top, right, bottom = found.groups()
    one = (int(top), column_number(left))
    other = (int(bottom), column_number(right)) if right else one
    if not all(1 <= row <= ROWS and 1 <= column <= COLUMNS for row, column in (one, other)):
        return None
    return Area(min(one[0], other[0]), min(one[1], other[1]), max(one[0], other[0]), max(one[1], other[1]))


def whole_area(text: str) -> Area | None:
    """A range of whole columns or rows.

    >>> whole_area("B:C"), whole_area("3:4")
    (Area(top=1, left=2, bottom=1048576, right=3), Area(top=3, left=1, bottom=4, right=16384))
    """
    first, _, last = text.replace("$", "").partition(":")
    if re.fullmatch(r"[A-Za-z]{1,3}", first) and re.fullmatch(r"[A-Za-z]{1,3}", last):
        return Area(1, column_number(first), ROWS, min(column_number(last), COLUMNS))
    if first.isdecimal() and last.isdecimal() and len(first) < 8 and len(last) < 8:
        return Area(int(first), 1, int(last), COLUMNS)
    return None
