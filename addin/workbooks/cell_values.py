"""Values of cells from the same scan that write-back uses: one pass over a sheet part for both.

Shared texts and number formats are those of `value_book`, the turning of serial numbers into dates is openpyxl's. A
cell in an unusual form is taken apart tag by tag; nothing is left out in silence.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from addin.cells.numbers import Cell
from addin.workbooks.addresses import COLUMNS, CellSet, address
from addin.workbooks.cell_text import unescaped
from addin.workbooks.markup import tags, unescape
from addin.workbooks.package import MIB, Package, WorkbookError
from addin.workbooks.packed_rows import PackedRows
from addin.workbooks.sheet_part import SheetScan, Tell, UsualRow, read_sheet, scan_part


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
_FORMS = 1000
"""Forms of rows that are remembered."""
_PLAIN = -1
"""The style of a number that is neither a date nor a percentage."""


class _Known(dict[bytes, tuple[Cell, int]]):
    """Values of cells of one kind by what stands in them, each with what it costs; a new one is made."""

    def __init__(self, reader: "CellReader", make: Callable[[bytes], Cell]) -> None:
        super().__init__()
        self._reader, self._make = reader, make

    def __missing__(self, raw: bytes) -> tuple[Cell, int]:
        value = self._make(raw)
        found = value, self._reader.cost(value)
        if self._reader.known < _KNOWN:
            self._reader.known += 1
            self[raw] = found
        return found


class _Form(NamedTuple):
    """How the cells of a row stand: for each the values known of its kind, where each column's cell is among them (None
    where all stand one beside the other), and which are shown as percentages.
    """

    known: tuple[_Known, ...]
    order: tuple[int, ...] | None
    percents: tuple[int, ...]


class CellReader:
    """Turns the bytes of a cell into its value."""

    def __init__(self, book: Any, where: str, limit: int | None = None) -> None:
        self.where, self._limit = where, limit or VALUES_LIMIT
        self.strings, self.dates, self.durations = book.strings, book.dates, book.durations
        self._texts = len(book.strings)
        self.epoch, self.percents = book.epoch, book.percents
        self.size = 0
        self.rows = PackedRows()
        self._row, self._cells = 0, list[Cell]()
        self.percent_cells = CellSet()
        package: Package = book.package
        self.watched = package.calculation == "manual" or package.recalculates_on_load
        self.formulas = CellSet()
        self.known = 0
        """Values that are remembered."""
        self._kinds: dict[str, _Known] = {}
        self._forms: dict[tuple[tuple[int, ...], tuple[bytes, ...], tuple[bytes, ...]], _Form] = {}

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
        key = found.columns, found.kinds, found.styles
        form = self._forms.get(key) or self._form(*key)
        try:
            values, costs = zip(*[known[raw] for known, raw in zip(form.known, found.values, strict=True)], strict=True)
        except WorkbookError:
            self._refuse(found)
            raise
        for place in form.percents:
            if values[place] is not None:
                self.percent_cells.add(found.row, found.columns[place])
        cells: list[Cell] = [*values]
        if form.order is not None:
            cells.append(None)
            cells = [cells[place] for place in form.order]
        while cells and cells[-1] is None:
            cells.pop()
        if not cells:
            return
        self.size += sum(costs)
        self.count(None, found.row)
        self.row_ended()
        self._row, self._cells = found.row, cells

    def _form(self, columns: tuple[int, ...], kinds: tuple[bytes, ...], styles: tuple[bytes, ...]) -> _Form:
        """How the cells of a row stand, by their columns, kinds and styles."""
        numbers = [int(style or 0) for style in styles]
        pairs = [*zip(kinds, numbers, strict=True)]
        known = tuple(self._of_kind(kind or b"n", style) for kind, style in pairs)
        order = None
        if columns[-1] != len(columns):
            places = {column: place for place, column in enumerate(columns)}
            order = tuple(places.get(column, -1) for column in range(1, columns[-1] + 1))
        percents = tuple(
            place
            for place, (kind, style) in enumerate(pairs)
            if kind in (b"", b"n") and style in self.percents and style not in self.dates
        )
        form = _Form(known, order, percents)
        if len(self._forms) < _FORMS:
            self._forms[columns, kinds, styles] = form
        return form

    def _of_kind(self, kind: bytes, style: int) -> _Known:
        """What is known of cells of a kind; dates are numbers of another kind."""
        name = kind.decode()
        if kind == b"n" and style in self.dates:
            name = "duration" if style in self.durations else "date"
        if name not in self._kinds:
            style = style if name in ("date", "duration") else _PLAIN
            makers: dict[str, Callable[[bytes], Cell]] = {
                "s": self._shared,
                "inlineStr": lambda raw: _text(raw.decode()) or None,
            }
            usual = makers.get(name, lambda raw: self.value(kind, raw.decode(), style, 0, 0))
            self._kinds[name] = _Known(self, usual)
        return self._kinds[name]

    def _shared(self, raw: bytes) -> Cell:
        """A shared text by its number."""
        if raw.isdigit() and (index := int(raw)) < self._texts:
            return self.strings[index]
        return self.value(b"s", raw.decode(), 0, 0, 0)

    def _refuse(self, found: UsualRow) -> None:
        """Refuse the first cell of a row that cannot be read."""
        cells = zip(found.columns, found.kinds, found.styles, found.values, strict=True)
        for column, kind, style, raw in cells:
            if kind != b"inlineStr":
                self.value(kind or b"n", raw.decode(), int(style or 0), found.row, column)

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
            if not 0 <= index < self._texts:
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


def read_values(package: Package, book: Any, name: str, tell: Tell | None = None) -> SheetCells:
    """Scan a sheet and read its cells in the same pass.

    `book` is the same workbook as `ValueBook`; `tell` is told now and then how many rows are read.

    Raises WorkbookError for a sheet that cannot be scanned or a cell that cannot be read.
    """
    sheet = package.sheet(name)
    reader = CellReader(book, f"{package.path.name}, sheet {name}", PACKED_LIMIT)
    scan = scan_part(package, sheet, read_sheet(package, sheet), reader.keep, _EVERY, reader.keep_row, tell=tell)
    reader.row_ended()
    if scan.alternate:
        raise WorkbookError(
            f"{package.path.name}, sheet {name}: rows stand in alternate content, which programs read differently; save"
            " the file in a spreadsheet program first"
        )
    return SheetCells(scan, reader.rows, reader.percent_cells, reader.formulas)
