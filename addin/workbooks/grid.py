"""One sheet of a wrench book as rows of cells, and what was found in it, each with its place."""

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import TypeVar

from addin.cells.dates import read_day
from addin.cells.headings import Heading, split
from addin.cells.numbers import Cell, error_text, is_blank, plain_text, read_number
from addin.cells.table_words import plain
from addin.workbooks.addresses import address
from calc.findings import CAUTION, NOTE, STOP, Finding, InputError, stop
from calc.quantities import QUANTITIES

T = TypeVar("T")


class Grid:
    """The cells of one sheet; rows and columns count from 1. A formula without a stored value is never a blank.

    `found` collects the findings. Their facts hold `place` ("sheet HW-2, cell B6"), `sheet` and `cell`.
    """

    def __init__(
        self,
        sheet: str,
        rows: Sequence[Sequence[Cell]],
        uncached: Collection[tuple[int, int]] = (),
        hidden_rows: Collection[int] = (),
    ) -> None:
        self.sheet = sheet
        self.file = ""
        self.rows = rows
        self.uncached = uncached
        self.hidden_rows = hidden_rows
        self.found: list[Finding] = []
        self._filled: dict[int, list[int]] = {}
        for number, row in enumerate(rows, 1):
            filled = [c for c, cell in enumerate(row, 1) if not is_blank(cell) or (number, c) in uncached]
            if filled:
                self._filled[number] = filled

    @property
    def last(self) -> int:
        """Number of the last row that holds something, 0 for an empty sheet."""
        return max(self._filled, default=0)

    def filled(self, row: int) -> list[int]:
        """Columns of a row that hold something."""
        return self._filled.get(row, [])

    def block_end(self, row: int) -> int:
        """The last row of the block that begins in a row: the one before the next empty row."""
        while self.filled(row + 1):
            row += 1
        return row

    def value(self, row: int, column: int) -> Cell:
        """A cell as it is stored; None beyond the sheet."""
        if not 1 <= row <= len(self.rows) or not 1 <= column <= len(self.rows[row - 1]):
            return None
        return self.rows[row - 1][column - 1]

    def heading(self, row: int, column: int) -> Heading | None:
        """A text cell as a heading, None for any other cell."""
        cell = self.value(row, column)
        if not isinstance(cell, str) or is_blank(cell) or error_text(cell):
            return None
        return split(cell.rstrip().rstrip(":"))  # people end a label with a colon

    def stored(self, row: int, column: int, name: str) -> Cell:
        """A cell's value. Raises InputError `stale_formula` when its formula has none."""
        if (row, column) in self.uncached:
            raise stop("stale_formula", name)
        return self.value(row, column)

    def text(self, row: int, column: int, name: str) -> str:
        """A cell of words, "" when it is empty."""
        cell = self.stored(row, column, name)
        if error := error_text(cell):
            raise stop("error_cell", name, text=error)
        if hasattr(cell, "isoformat"):
            raise stop("text_is_date", name, text=str(cell).removesuffix(" 00:00:00"))
        return plain_text(cell)

    def day(self, row: int, column: int, name: str) -> float:
        """A cell as a day number."""
        return read_day(self.stored(row, column, name), name)

    def number(
        self, row: int, column: int, name: str, heading: Heading | None = None, kind: str | None = None,
        cell: Cell = None,
    ) -> float:  # fmt: skip
        """A cell (or what the caller made of it) in SI; its own unit counts, else that of its label or heading."""
        cell = self.stored(row, column, name) if cell is None else cell
        unit = heading.unit if heading else None
        try:
            return read_number(cell, name, unit, kind=kind)
        except InputError as error:
            if error.finding.code == "unit_missing" and heading and (heading.doubled or heading.bracket):
                kind = kind or QUANTITIES[name].kind
                raise stop("heading_unit_unknown", name, heading=heading.text, kind=kind) from None
            raise

    def place(self, row: int = 0, column: int = 0) -> str:
        """Where something stands, as a reader is told."""
        return f"sheet {self.sheet}, cell {address(row, column)}" if row and column else f"sheet {self.sheet}"

    def placed(self, finding: Finding, row: int = 0, column: int = 0) -> Finding:
        """The finding with its place among its facts."""
        where = {"sheet": self.sheet, "cell": address(row, column) if row and column else ""}
        facts = {**finding.facts, **where, "place": self.place(row, column)}
        return Finding(finding.code, finding.quantity, facts, finding.level, finding.row)

    def add(self, finding: Finding, row: int = 0, column: int = 0) -> None:
        """Keep a finding with the cell it is about."""
        self.found.append(self.placed(finding, row, column))

    def stop(self, code: str, quantity: str, row: int = 0, column: int = 0, **facts: object) -> None:
        """Keep a stop."""
        self.add(Finding(code, quantity, facts, STOP), row, column)

    def caution(self, code: str, quantity: str, row: int = 0, column: int = 0, **facts: object) -> None:
        """Keep a caution."""
        self.add(Finding(code, quantity, facts, CAUTION), row, column)

    def note(self, code: str, quantity: str, row: int = 0, column: int = 0, **facts: object) -> None:
        """Keep a note on how something was read."""
        self.add(Finding(code, quantity, facts, NOTE), row, column)

    def take(self, read: Callable[..., T], row: int, column: int, name: str, *more: object) -> T | None:
        """`read(row, column, name, *more)`; where it refuses, None and a stop with the cell's place."""
        try:
            return read(row, column, name, *more)
        except InputError as error:
            self.add(error.finding, row, column)
            return None

    def columns(self, row: int, names: Mapping[str, str]) -> dict[str, tuple[int, Heading]]:
        """The fields of a heading row with their columns. Unknown headings are cautions, repeated ones stops."""
        found: dict[str, tuple[int, Heading]] = {}
        for column in self.filled(row):
            heading = self.heading(row, column)
            field = (names.get(heading.words) or names.get(plain(heading.words))) if heading else None
            if heading is None or field is None:
                self.caution("heading_not_used", "heading", row, column, text=plain_text(self.value(row, column)))
            elif field in found:
                self.stop("heading_twice", field, row, column, text=heading.text)
            else:
                found[field] = (column, heading)
        return found

    def warn_hidden(self) -> None:
        """Say which filled rows are hidden; they are read like the others."""
        hidden = sorted(row for row in self.hidden_rows if self.filled(row))
        if hidden:
            self.caution("rows_hidden", "row", hidden[0], 1, text=", ".join(map(str, hidden)))
