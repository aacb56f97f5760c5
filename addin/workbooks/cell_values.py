"""Values of cells from the same scan that write-back uses: one pass over a sheet part for both.

Shared texts and number formats are those of `value_book`, the turning of serial numbers into dates is openpyxl's. A
cell in an unusual form is taken apart tag by tag; nothing is left out in silence.
"""

import re
from dataclasses import dataclass, field
from typing import Any

from addin.cells.numbers import Cell
from addin.workbooks.addresses import COLUMNS, CellSet, address
from addin.workbooks.cell_text import unescaped
from addin.workbooks.markup import tags, unescape
from addin.workbooks.package import MIB, Package, WorkbookError
from addin.workbooks.packed_rows import PackedRows
from addin.workbooks.sheet_part import SheetScan, UsualRow, read_sheet, scan_part


@dataclass(frozen=True, eq=False)
class SheetCells:
    """One sheet: its scan, the values of each row that holds some (from column A on), and cells formatted as per cent.

    `formulas` are the cells whose stored value may be old: those with a formula, in a workbook that is calculated by
    hand or says that it is to be calculated anew. `percents` and `formulas` are (row, column), both from 1 like the
    keys of `rows`, which are packed; a row's list ends at its last value.
    """

    scan: SheetScan
    rows: PackedRows
    percents: CellSet
    formulas: CellSet = field(default_factory=CellSet)


_USUAL = re.compile(
    rb'<c r="[A-Z]+[0-9]+"(?: s="(?P<style>[0-9]+)")?(?: t="(?P<kind>n|s|str|b|e)")?>'
    rb"(?:<f(?: [a-z]+=\"[^\"<]*\")*(?:/>|>[^<]*</f>))?<v>(?P<value>[^<]*)</v></c>"
)
_OWN_TEXT = re.compile(
    rb'<c r="[A-Z]+[0-9]+"(?: s="[0-9]+")? t="inlineStr"><is><t(?: xml:space="preserve")?>([^<]*)</t></is></c>'
)
_FORMULA = re.compile(rb"<(?:[A-Za-z0-9_.-]+:)?f[\s/>]")
_EMPTY = re.compile(rb"<c(?: [a-z:]+=\"[^\"<]*\")*(?:/>|></c>)")


VALUES_LIMIT = 100 * MIB
"""Most memory that the values of one sheet may take. [bytes]"""
PACKED_LIMIT = 512 * MIB
"""Most memory that the values of a list would take if they were not packed. [bytes]"""
_EACH = 40
ROWS_READ = 200_000
"""Most rows of one sheet that may hold something: a list of 100,000 joints, and as much beside and below them."""


_KNOWN = 20_000
"""Values of usual cells that are remembered by what stands there: most stand in many rows."""


class CellReader:
    """Turns the bytes of a cell into its value."""

    def __init__(self, book: Any, where: str, limit: int | None = None) -> None:
        self.where, self._limit = where, limit or VALUES_LIMIT
        self.strings, self.dates, self.durations = book.strings, book.dates, book.durations
        self.epoch, self.percents = book.epoch, book.percents
        self.size = 0
        self.rows = PackedRows()
        self._row, self._cells = 0, list[Cell]()
        self.percent_cells = CellSet()
        package: Package = book.package
        self.watched = package.calculation == "manual" or package.recalculates_on_load
        self.formulas = CellSet()
        self._known: dict[tuple[bytes, bytes, bytes], tuple[Cell, int]] = {}

    def keep(self, row: int, column: int, element: bytes) -> None:
        """Called by the scan for every cell of the columns wanted."""
        if self.watched and _FORMULA.search(element):
            self.formulas.add(row, column)
        found = _USUAL.fullmatch(element)
        if found:
            style, kind, raw = found.groups()
            value = self.value(kind or b"n", raw.decode(), int(style or 0), row, column)
        elif own := _OWN_TEXT.fullmatch(element):
            value = _text(own[1].decode()) or None
        elif _EMPTY.fullmatch(element):
            return
        else:
            value = self.unusual(element, row, column)
        if value is None:
            return
        self.count(value, row)
        if row != self._row:
            self.row_ended()
            self._row = row
        cells = self._cells
        if len(cells) < column - 1:  # cells come in order: those between are empty
            cells += [None] * (column - 1 - len(cells))
        cells.append(value)

    def keep_row(self, found: UsualRow) -> None:
        """Called by the scan for a row whose cells are all written as most are."""
        if self.watched and any(found.formulas):
            pairs = zip(found.columns, found.formulas, strict=True)
            for column, formula in pairs:
                if formula:
                    self.formulas.add(found.row, column)
        known, cells, size = self._known, list[Cell](), 0
        for column, key, own in zip(
            found.columns, zip(found.kinds, found.styles, found.values, strict=True), found.own, strict=True
        ):  # fmt: skip
            if key in known:
                value, cost = known[key]
            elif key[0] == b"inlineStr":
                value = _text(own.decode()) or None
                cost = self.cost(value)
            else:
                value = self.value(key[0] or b"n", key[2].decode(), int(key[1] or 0), found.row, column)
                cost = self.cost(value)
                if int(key[1] or 0) not in self.percents and len(known) < _KNOWN:
                    known[key] = value, cost
            if value is None:
                continue
            size += cost
            if len(cells) < column - 1:
                cells += [None] * (column - 1 - len(cells))
            cells.append(value)
        if not cells:
            return
        self.size += size
        self.count(None, found.row)
        self.row_ended()
        self._row, self._cells = found.row, cells

    def row_ended(self) -> None:
        """Pack the cells of the last row. Refuses a sheet with more rows than are read."""
        if not self._cells:
            return
        self.rows.add(self._row, self._cells)
        self._cells = []
        if len(self.rows) > ROWS_READ:
            raise WorkbookError(
                f"{self.where}: more than {ROWS_READ:,} rows hold something; move what is no joint to another sheet"
            )

    def cost(self, value: Cell) -> int:
        """What one value costs. [bytes]"""
        if value is None:
            return 0
        return _EACH + (len(value) * (1 if value.isascii() else 4) if type(value) is str else 0)

    def count(self, value: Cell, row: int, places: int = 0) -> None:
        """Add up what values cost. Raises WorkbookError when a sheet has more than are read."""
        self.size += self.cost(value) + 8 * places
        if self.size > self._limit:
            raise WorkbookError(f"{self.where}: holds more values than are read here (row {row} is the first too many)")

    def value(self, kind: bytes, raw: str, style: int, row: int, column: int) -> Cell:
        """The value of a cell from its kind, the text of its value and its style."""
        if kind == b"s":
            index = int(raw) if raw.strip().isdigit() else -1
            if not 0 <= index < len(self.strings):
                raise self.fault(row, column, f"names the shared text {raw!r}, which is not there")
            return self.strings[index]
        if kind == b"n":
            if not raw.strip():
                return None
            return self.number(raw, style, row, column)
        if kind == b"b":
            return raw.strip() == "1"
        return _text(raw) or None

    def number(self, raw: str, style: int, row: int, column: int) -> Cell:
        """A number, or the date that it is in a cell formatted as one."""
        try:
            number: float = float(raw if raw.isascii() and "_" not in raw else "")
        except ValueError:
            raise self.fault(row, column, f"has the number {raw[:40]!r}") from None
        if style in self.dates:
            from openpyxl.utils.datetime import from_excel

            try:
                return from_excel(number, self.epoch, timedelta=style in self.durations)
            except (ValueError, OverflowError):
                return "#VALUE!"  # as openpyxl has it: a serial number that is no day
        if style in self.percents:
            self.percent_cells.add(row, column)
        return int(number) if number.is_integer() and abs(number) < 2**53 and "." not in raw else number

    def unusual(self, element: bytes, row: int, column: int) -> Cell:
        """A cell with text of its own (perhaps in runs), with a prefix, or with attributes in another order."""
        kind, style, value, texts, inside, phonetic = "n", 0, None, [], "", False
        for tag in tags(element):
            name = tag.name
            if name == "c" and not tag.closing:
                given = tag.attributes()
                number = given.get("s", "0")
                kind, style = given.get("t", "n"), int(number) if number.isascii() and number.isdigit() else 0
            if name == "rPh":
                phonetic = not tag.closing and not tag.empty
            if name in ("v", "t") and not tag.closing and not tag.empty and not phonetic:
                inside = element[tag.end : element.find(b"<", tag.end)].decode()
                if name == "v":
                    value = inside
                else:
                    texts.append(_text(inside))
        if value is not None and kind in ("str", "e"):
            value = _text(value)
        return self.made(kind, value, texts, style, row, column)

    def made(self, kind: str, value: str | None, texts: list[str], style: int, row: int, column: int) -> Cell:
        """The value of a cell from its kind, the text of its value, its own texts and its style."""
        if kind == "inlineStr":
            return "".join(texts) or None
        if value is None:
            return None
        if kind == "d":
            from openpyxl.utils.datetime import from_ISO8601

            try:
                return from_ISO8601(value)
            except ValueError:
                raise self.fault(row, column, f"has the date {value[:40]!r}") from None
        if kind in ("str", "e"):
            return value or None
        if kind not in ("n", "s", "b"):
            raise self.fault(row, column, f"is of the unknown kind {kind[:20]!r}")
        return self.value(kind.encode(), value, style, row, column)

    def fault(self, row: int, column: int, text: str) -> WorkbookError:
        """A cell that cannot be read."""
        return WorkbookError(f"{self.where}, cell {address(row, column)} {text}")


def _text(raw: str) -> str:
    """Text with its entities and escapes written out."""
    return unescaped(unescape(raw))


_EVERY = frozenset(range(1, COLUMNS + 1))


def read_values(package: Package, book: Any, name: str) -> SheetCells:
    """Scan a sheet and read its cells in the same pass.

    `book` is the same workbook as `ValueBook`.

    Raises WorkbookError for a sheet that cannot be scanned or a cell that cannot be read.
    """
    sheet = package.sheet(name)
    reader = CellReader(book, f"{package.path.name}, sheet {name}", PACKED_LIMIT)
    scan = scan_part(package, sheet, read_sheet(package, sheet), reader.keep, _EVERY, reader.keep_row)
    reader.row_ended()
    if scan.alternate:
        raise WorkbookError(
            f"{package.path.name}, sheet {name}: rows stand in alternate content, which programs read differently; save"
            " the file in a spreadsheet program first"
        )
    return SheetCells(scan, reader.rows, reader.percent_cells, reader.formulas)
