"""A workbook as values: shared texts, number formats, and the rows of its sheets one after the other.

Nothing of a part is kept that no cell needs, so that the largest file the gate lets through costs little memory.
"""

import datetime
import zipfile
from collections.abc import Iterator
from typing import Any
from xml.parsers import expat

from addin.workbooks.addresses import COLUMNS, ROWS, area
from addin.workbooks.cell_formats import read_formats
from addin.workbooks.cell_text import unescaped
from addin.workbooks.cell_values import CellReader
from addin.workbooks.markup import MAIN, Markup, MarkupError
from addin.workbooks.package import MIB, Package, Sheet, WorkbookError
from addin.workbooks.shared_texts import SharedTexts

_CHUNK = 32 * 1024
_NS = MAIN + " "


class ValueBook:
    """The values of a workbook that has passed the gate.

    strings : its shared texts; dates, durations, percents : indices of the cell formats that show a number so;
    epoch : day 0 of its serial numbers. Raises WorkbookError for a part that cannot be read.
    """

    def __init__(self, package: Package) -> None:
        from openpyxl.styles.numbers import is_date_format, is_timedelta_format
        from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900

        self.package = package
        self.strings = SharedTexts.of(package)
        self.epoch: datetime.datetime = CALENDAR_MAC_1904 if package.date1904 else CALENDAR_WINDOWS_1900
        self.dates, self.durations, self.percents = set[int](), set[int](), set[int]()
        kinds: dict[str, tuple[bool, bool]] = {}
        for style, code in enumerate(_formats(package)):
            if code not in kinds:
                kinds[code] = bool(is_date_format(code)), bool(is_timedelta_format(code))
            date, duration = kinds[code]
            if date:
                self.dates.add(style)
            if duration:
                self.durations.add(style)
            if "%" in code:
                self.percents.add(style)

    def __getitem__(self, name: str) -> "ValueSheet":
        return ValueSheet(self, self.package.sheet(name))


def _formats(package: Package) -> list[str]:
    """The number format of each cell format."""
    if package.styles is None:
        return []
    try:
        markup = Markup(package.read(package.styles), root="styleSheet", namespace=MAIN)
        return [each.code for each in read_formats(markup)]
    except MarkupError as error:
        raise WorkbookError(f"{package.path.name}: part {package.styles} {error}") from error


class ValueSheet:
    """One sheet of cells, read row by row. `uncached`: row and column of formulas read that have no value stored."""

    def __init__(self, book: ValueBook, sheet: Sheet) -> None:
        self.book, self.sheet = book, sheet
        self.uncached: set[tuple[int, int]] = set()

    def iter_rows(self, max_row: int | None = None) -> Iterator[tuple[Any, ...]]:
        """The values of each row from the first on; a row ends at its last cell. Rows that are not there are empty.

        Raises WorkbookError for a part that cannot be read.
        """
        last = ROWS if max_row is None else max_row
        before = 0
        for number, values in self._rows(last):
            for _ in range(before + 1, number):
                yield ()
            yield tuple(values)
            before = number

    def _rows(self, last: int) -> Iterator[tuple[int, list[Any]]]:
        package, where = self.book.package, f"{self.book.package.path.name}, sheet {self.sheet.name}"
        walk = _Walk(CellReader(self.book, where), where, self.uncached)
        try:
            with zipfile.ZipFile(package.path) as archive, archive.open(self.sheet.part) as part:
                silent = 0
                while not walk.done and walk.row <= last:
                    chunk = part.read(_CHUNK)
                    silent = 0 if b"<" in chunk else silent + len(chunk)
                    if silent > MIB:
                        raise WorkbookError(f"{where}: its part has a tag or a text of more than 1 MiB")
                    walk.feed(chunk)
                    for number, values in walk.taken():
                        if number > last:
                            return
                        yield number, values
        except (expat.ExpatError, UnicodeDecodeError) as error:
            raise WorkbookError(f"{where}: its part is not well-formed XML ({error})") from error
        except (zipfile.BadZipFile, OSError, KeyError) as error:
            raise WorkbookError(f"{package.path.name}: changed while it was being read") from error


class _Walk:
    """Takes a sheet part piece by piece and gathers the rows that are complete."""

    def __init__(self, reader: CellReader, where: str, uncached: set[tuple[int, int]]) -> None:
        self.reader, self.where, self.uncached, self._formula = reader, where, uncached, False
        self.done, self.row, self.column = False, 0, 0
        self._rows: list[tuple[int, list[Any]]] = []
        self._values: list[Any] = []
        self._kind, self._style = "n", 0
        self._value: str | None = None
        self._texts: list[str] = []
        self._said: list[str] | None = None
        self._phonetic, self._length = 0, 0
        self._parser = parser = expat.ParserCreate("utf-8", " ")
        parser.buffer_text = True
        parser.StartElementHandler, parser.EndElementHandler = self._start, self._end
        parser.CharacterDataHandler = self._characters
        parser.StartDoctypeDeclHandler = self._doctype

    def feed(self, chunk: bytes) -> None:
        """The next piece; an empty one ends the part."""
        self._parser.Parse(chunk, not chunk)
        if not chunk:
            self.done = True

    def taken(self) -> list[tuple[int, list[Any]]]:
        """The rows that have become complete."""
        rows, self._rows = self._rows, []
        return rows

    def _fault(self, text: str) -> WorkbookError:
        return WorkbookError(f"{self.where}: {text}")

    def _doctype(self, *_given: object) -> None:
        raise self._fault("its part has a DTD, which no workbook needs")

    def _start(self, name: str, given: dict[str, str]) -> None:
        if not name.startswith(_NS):
            return
        local = name[len(_NS) :]
        if local == "c":
            place = area(given["r"]) if "r" in given else None
            if "r" in given and (place is None or place.left <= self.column):
                raise self._fault(f"row {self.row} has a cell with the address {given['r'][:20]!r}")
            self.column = place.left if place else self.column + 1
            if self.column > COLUMNS:
                raise self._fault(f"row {self.row} has more than {COLUMNS} cells")
            style = given.get("s", "0")
            self._kind, self._style = given.get("t", "n"), int(style) if style.isascii() and style.isdigit() else 0
            self._value, self._texts, self._length, self._formula = None, [], 0, False
        elif local == "row":
            text = given.get("r", str(self.row + 1))
            row = int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 0
            if not self.row < row <= ROWS:
                raise self._fault(f"row {text[:20]} stands after row {self.row}")
            self.row, self.column, self._values = row, 0, []
        elif local == "f":
            self._formula = True
        elif local == "rPh":
            self._phonetic += 1
        elif local == "v" or (local == "t" and not self._phonetic):
            self._said = []

    def _characters(self, text: str) -> None:
        if self._said is not None:
            self._length += len(text)
            if self._length > MIB:
                raise self._fault(f"a cell in row {self.row} has a text of more than 1 MiB")
            self._said.append(text)

    def _end(self, name: str) -> None:
        local = name[len(_NS) :] if name.startswith(_NS) else ""
        if local == "v" and self._said is not None:
            said = "".join(self._said)
            self._value, self._said = unescaped(said) if self._kind in ("str", "e") else said, None
        elif local == "t" and self._said is not None:
            self._texts.append(unescaped("".join(self._said)))
            self._said = None
        elif local == "rPh":
            self._phonetic -= 1
        elif local == "c":
            if (
                self._formula
                and self._kind != "str"
                and not (self._value or "").strip()
                or self._formula
                and self._value is None
            ):
                self.uncached.add((self.row, self.column))
            value = self.reader.made(self._kind, self._value, self._texts, self._style, self.row, self.column)
            self._values += [None] * (self.column - 1 - len(self._values))
            self._values.append(value)
            if value is not None:
                self.reader.count(value, self.row)
        elif local == "row":
            self._rows.append((self.row, self._values))
            self.reader.count(None, self.row, len(self._values))
