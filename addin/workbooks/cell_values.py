"""Values of cells from the same scan that write-back uses: one pass over a sheet part for both.

Shared strings and number formats are openpyxl's, which opens the workbook read-only, and so is the turning of serial
numbers into dates. A cell in an unusual form is taken apart tag by tag; nothing is left out in silence.
"""

import re
from dataclasses import dataclass
from html import unescape
from typing import Any

from addin.cells.numbers import Cell
from addin.workbooks.addresses import COLUMNS, address
from addin.workbooks.markup import tags
from addin.workbooks.package import Package, WorkbookError
from addin.workbooks.sheet_part import SheetScan, read_sheet, scan_part


@dataclass(frozen=True, eq=False)
class SheetCells:
    """One sheet: its scan, the values of each row that holds some (from column A on), and cells formatted as per cent.

    `percents` are (row, column), both from 1 like the keys of `rows`; a row's list ends at its last value.
    """

    scan: SheetScan
    rows: dict[int, list[Cell]]
    percents: frozenset[tuple[int, int]]


_USUAL = re.compile(
    rb'<c r="[A-Z]+[0-9]+"(?: s="(?P<style>[0-9]+)")?(?: t="(?P<kind>n|s|str|b|e)")?>'
    rb"(?:<f(?: [a-z]+=\"[^\"<]*\")*(?:/>|>[^<]*</f>))?<v>(?P<value>[^<]*)</v></c>"
)
_OWN_TEXT = re.compile(
    rb'<c r="[A-Z]+[0-9]+"(?: s="[0-9]+")? t="inlineStr"><is><t(?: xml:space="preserve")?>([^<]*)</t></is></c>'
)
_EMPTY = re.compile(rb"<c(?: [a-z:]+=\"[^\"<]*\")*(?:/>|></c>)")


class _Reader:
    """Turns the bytes of a cell into its value."""

    def __init__(self, book: Any, name: str, where: str) -> None:
        sheet = book[name]
        self.where = where
        self.strings: list[Any] = sheet._shared_strings  # openpyxl has no public name for them; its version is held
        self.dates, self.durations, self.epoch = book._date_formats, book._timedelta_formats, book.epoch
        self.percents = {
            style for style, format_ in enumerate(book._cell_styles) if "%" in _format(book, format_.numFmtId)
        }
        self.rows: dict[int, list[Cell]] = {}
        self.percent_cells: set[tuple[int, int]] = set()

    def keep(self, row: int, column: int, element: bytes) -> None:
        """Called by the scan for every cell of the columns wanted."""
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
        cells = self.rows.get(row)
        if cells is None:
            cells = self.rows[row] = []
        if len(cells) < column - 1:  # cells come in order: those between are empty
            cells += [None] * (column - 1 - len(cells))
        cells.append(value)

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
            self.percent_cells.add((row, column))
        return int(number) if number.is_integer() and abs(number) < 2**53 and "." not in raw else number

    def unusual(self, element: bytes, row: int, column: int) -> Cell:
        """A cell with text of its own (perhaps in runs), with a prefix, or with attributes in another order."""
        kind, style, value, texts, inside, phonetic = b"n", 0, None, [], "", False
        for tag in tags(element):
            name = tag.name
            if name == "c" and not tag.closing:
                given = tag.attributes()
                kind, style = given.get("t", "n").encode(), int(given.get("s", "0") or 0)
            if name == "rPh":
                phonetic = not tag.closing and not tag.empty
            if name in ("v", "t") and not tag.closing and not tag.empty and not phonetic:
                inside = element[tag.end : element.find(b"<", tag.end)].decode()
                if name == "v":
                    value = inside
                else:
                    texts.append(_text(inside))
        if kind == b"inlineStr":
            return "".join(texts) or None
        if value is None:
            return None
        if kind == b"d":
            from openpyxl.utils.datetime import from_ISO8601

            try:
                return from_ISO8601(value)
            except ValueError:
                raise self.fault(row, column, f"has the date {value!r}") from None
        if kind not in (b"n", b"s", b"str", b"b", b"e"):
            raise self.fault(row, column, f"is of the unknown kind {kind.decode()!r}")
        return self.value(kind, value, style, row, column)

    def fault(self, row: int, column: int, text: str) -> WorkbookError:
        """A cell that cannot be read."""
        return WorkbookError(f"{self.where}, cell {address(row, column)} {text}")


def _text(raw: str) -> str:
    """Text with its entities written out. Escapes like _x000D_ stay, as they do in openpyxl's shared texts."""
    return unescape(raw) if "&" in raw else raw


def _format(book: Any, number: int) -> str:
    from openpyxl.styles.numbers import BUILTIN_FORMATS, BUILTIN_FORMATS_MAX_SIZE

    if number < BUILTIN_FORMATS_MAX_SIZE:
        return BUILTIN_FORMATS.get(number, "General")
    index = number - BUILTIN_FORMATS_MAX_SIZE
    return book._number_formats[index] if index < len(book._number_formats) else "General"


_EVERY = frozenset(range(1, COLUMNS + 1))


def read_values(package: Package, book: Any, name: str) -> SheetCells:
    """Scan a sheet and read its cells in the same pass.

    `book` is the same workbook opened read-only by openpyxl.

    Raises WorkbookError for a sheet that cannot be scanned or a cell that cannot be read.
    """
    sheet = package.sheet(name)
    reader = _Reader(book, name, f"{package.path.name}, sheet {name}")
    scan = scan_part(package, sheet, read_sheet(package, sheet), reader.keep, _EVERY)
    if scan.alternate:
        raise WorkbookError(
            f"{package.path.name}, sheet {name}: rows stand in alternate content, which programs read differently; save"
            " the file in a spreadsheet program first"
        )
    return SheetCells(scan, reader.rows, frozenset(reader.percent_cells))
