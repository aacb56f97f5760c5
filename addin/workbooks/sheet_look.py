"""How cells beside a list look: like the planner's cells of the same row, and wide enough for what stands in them."""

import re
from array import array
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from addin.workbooks.addresses import letters
from addin.workbooks.cell_formats import format_of
from addin.workbooks.conditional import Mark
from addin.workbooks.long_part import Content, passed
from addin.workbooks.markup import opening
from addin.workbooks.sheet_part import SheetScan, row_cells
from addin.workbooks.styles_part import StylesPart

_LOOKED_AT = 40
_LINE = 1.35
"""Height of a line of text over the size of its letters."""
_USUAL_SIZE = 11.0


@dataclass(frozen=True)
class Beside:
    """Beside which column of the planner cells are written, the row of its heading, rows without results that look
    like the others (of headings, of groups, gaps), conditional formats of ours, and whether filter, table and print
    area of the list are to reach over them.
    """

    column: int
    heading_row: int
    dress: Sequence[int] = ()
    marks: Sequence[Mark] = ()
    extend: bool = False


class SheetLook:
    """The formats of the cells of one column of a scanned part, row by row: indices, None where there is none."""

    def __init__(self, scan: SheetScan, content: Content, plain: Content, beside: Beside) -> None:
        self.beside = beside
        self._scan, self._content, self._plain = scan, content, plain
        self._name = b"<" + scan.prefix + b'c r="' + letters(beside.column).encode()
        self._style = re.compile(rb"<[^<>]*?\ss=[\"']([0-9]{1,6})[\"']")
        self._column = self._of_column(beside.column)

    def _of_column(self, number: int) -> int | None:
        there = next((each for each in self._scan.columns if each.first <= number <= each.last), None)
        given = opening(self._content[there.start : there.end]).get("style", "") if there else ""
        return int(given) if given.isdecimal() else None

    def format(self, row: int) -> int | None:
        """The format of the cell in a row; without a cell that of the row, else that of the column."""
        index = bisect_left(self._scan.rows, row)
        if index >= len(self._scan.rows) or self._scan.rows[index] != row:
            return self._column
        inner, end = self._scan.row_inners[index], self._scan.row_ends[index]
        passed(self._plain, inner)
        place = self._plain.rfind(b'%s%d"' % (self._name, row), inner, end)
        if place >= 0:
            found = self._style.match(self._plain, place, end)
            return int(found[1]) if found else 0
        if self._scan.last_columns[index] >= self.beside.column:  # in an unusual form, or not there
            for cell in row_cells(self._scan.prefix, self._plain, inner, end):
                if cell.column == self.beside.column:
                    given = opening(cell.element).get("s", "0")
                    return int(given) if given.isdecimal() else 0
        whole = opening(self._plain[self._scan.row_starts[index] : inner])
        if whole.get("customFormat") in ("1", "true") and whole.get("s", "").isdecimal():
            return int(whole["s"])
        return self._column

    def formats(self, rows: Sequence[int]) -> array:
        """The format of each row up to the last of these, -1 where there is none."""
        found = array("l", [-1]) * (max(rows, default=0) + 1)
        for row in rows:
            style = self.format(row)
            found[row] = -1 if style is None else style
        return found

    def grouped(self, styles: StylesPart, rows: Sequence[int]) -> bool:
        """Whether numbers of the planner are shown with separators of thousands."""
        seen = {index for row in rows[:_LOOKED_AT] for index in self._indices(row)}
        return any("#,#" in format_of(styles.formats, index).code for index in seen)

    def _indices(self, row: int) -> Iterator[int]:
        index = bisect_left(self._scan.rows, row)
        if index < len(self._scan.rows) and self._scan.rows[index] == row:
            inner, end = self._scan.row_inners[index], self._scan.row_ends[index]
            for cell in row_cells(self._scan.prefix, self._plain, inner, end):
                given = opening(cell.element)
                if cell.column <= self.beside.column and given.get("t", "n") == "n" and cell.content:
                    yield int(given["s"]) if given.get("s", "").isdecimal() else 0

    def width(self, heading: str, least: float, styles: StylesPart, body: int | None) -> float:
        """The width of a column whose heading is read whole in the height that the row of headings has."""
        row = self.beside.heading_row
        head = self.format(row)
        above, below = (format_of(styles.formats, each) for each in (head, body))
        large, small = above.size / _USUAL_SIZE, below.size / _USUAL_SIZE
        lines = self._lines(row, above.size) if above.wrap and head is not None else 1
        wide = (_wrapped(heading, lines) * 1.08 + 2) * large
        return min(255.0, max(wide, least * max(1.0, small)))

    def _lines(self, row: int, size: float) -> int:
        index = bisect_left(self._scan.rows, row)
        there = index < len(self._scan.rows) and self._scan.rows[index] == row
        given = opening(self._plain[self._scan.row_starts[index] : self._scan.row_inners[index]]) if there else {}
        try:
            height = float(given.get("ht", ""))
        except ValueError:
            return 2  # it grows with its texts, and two lines are usual
        return max(1, int(height / (_LINE * size)))


def _wrapped(text: str, lines: int) -> int:
    """The least number of characters in a line so that a text needs no more than so many lines.

    >>> _wrapped("Torque at that pressure (psi)", 3), _wrapped("Torque at that pressure (psi)", 1)
    (13, 29)
    """
    words = text.split()
    wide = max([ceil(len(text) / lines), *map(len, words)])
    while True:
        used, left = 1, wide
        for word in words:
            if len(word) > left:
                used, left = used + 1, wide
            left -= len(word) + 1
        if used <= lines:
            return wide
        wide += 1
