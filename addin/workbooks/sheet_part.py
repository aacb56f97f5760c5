"""One scan of a sheet part: where its rows stand and what in it must not be taken or overwritten.

The values themselves are read elsewhere. The scan keeps a few numbers for each row and the addresses of odd cells, so
a list of 800,000 cells costs little more than the part itself.
"""

import re
from array import array
from bisect import bisect_left
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

from addin.workbooks.addresses import COLUMNS, ROWS, Area, CellSet, area, column_number, letters, whole_area
from addin.workbooks.long_part import Content, passed
from addin.workbooks.markup import ATTRIBUTES, MAIN, Markup, MarkupError, Tag, attributes, tags
from addin.workbooks.package import MIB, Package, Sheet, WorkbookError, flag
from addin.workbooks.row_forms import RowForms

SHEET_LIMIT = 384 * MIB
"""Most that the part of one sheet may unpack to. [bytes]"""
CELLS_LIMIT = 12_000_000
AREAS_LIMIT = 200_000

Tell = Callable[[int, int], None]
"""Told how many rows are done, and of how many."""
TOLD_EACH = 250
"""Rows between two times that it is told how many are done."""
_PLACES = 1000
"""Ways in which the cells of a row stand that are remembered."""

_ROW = re.compile(rb' r="([0-9]{1,8})"(?: spans="[0-9: ]*")?')
"""The attributes of a row as most have them."""
_TYPE = re.compile(rb"\st\s*=\s*[\"']([A-Za-z]*)[\"']")


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A table of the sheet: its name, its whole area and how many heading rows it has."""

    name: str
    area: Area
    heading_rows: int


@dataclass(frozen=True, slots=True)
class ColumnFormat:
    """One `col` element: the columns it holds for, and where it stands in the part."""

    first: int
    last: int
    hidden: bool
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class RowCell:
    """One cell of a row as it stands in the part; `numbered` when it says itself which cell it is."""

    column: int
    start: int
    end: int
    element: bytes
    content: bytes
    numbered: bool


@dataclass(frozen=True)
class SheetScan:
    """What one scan of a sheet part found. Positions are bytes in the part."""

    sheet: Sheet
    file_sha256: str
    part_sha256: str
    prefix: bytes
    data: tuple[int, int, bool]
    """Begin of the first row, end of the last row, and whether the element of the rows is written as one empty tag."""
    rows: array = field(default_factory=lambda: array("L"))
    """Numbers of the rows that are there, rising."""
    row_starts: array = field(default_factory=lambda: array("L"))
    row_inners: array = field(default_factory=lambda: array("L"))
    row_ends: array = field(default_factory=lambda: array("L"))
    """Where the closing tag of the row begins; for a row written as one empty tag, where that tag ends."""
    last_columns: array = field(default_factory=lambda: array("L"))
    """Rightmost column that has a cell element in each row, 0 for none."""
    usual: array = field(default_factory=lambda: array("H"))
    """Number of cells of each row whose cells are all written as most are, 0 for the others."""
    masked: bool = False
    """Whether the part has comments and the like."""
    cells: int = 0
    uncached: CellSet = field(default_factory=CellSet)
    """Cells with a formula and no cached value."""
    errors: CellSet = field(default_factory=CellSet)
    """Cells that show an error value."""
    arrays: tuple[Area, ...] = ()
    """Ranges of array formulas, spills and data tables."""
    merged: tuple[Area, ...] = ()
    tables: tuple[SheetTable, ...] = ()
    validations: tuple[Area, ...] = ()
    columns: tuple[ColumnFormat, ...] = ()
    hidden_rows: frozenset[int] = frozenset()
    dimension: Area | None = None
    """The used range as the part declares it; may be old or wrong."""
    dimension_tag: tuple[int, int] | None = None
    used: Area | None = None
    """The range that has cell elements, as found."""
    protected: bool = False
    alternate: bool = False
    """Rows or cells stand inside mc:AlternateContent: what counts depends on the reader."""

    def column_hidden(self, column: int) -> bool:
        """Whether a column is hidden."""
        return any(each.hidden and each.first <= column <= each.last for each in self.columns)


def scan_sheet(package: Package, sheet_name: str) -> SheetScan:
    """Scan one sheet of a workbook that has passed the gate.

    Raises WorkbookError for a sheet that is none of cells, is not well-formed, is larger than 384 MiB, or has rows and
    cells out of order.
    """
    sheet = package.sheet(sheet_name)
    return scan_part(package, sheet, read_sheet(package, sheet))


def read_sheet(package: Package, sheet: Sheet) -> Content:
    """The part of one sheet of cells."""
    if sheet.kind != "worksheet":
        raise WorkbookError(f"{package.path.name}: sheet {sheet.name!r} is no sheet of cells ({sheet.kind})")
    if package.parts[sheet.part].size > SHEET_LIMIT:
        raise WorkbookError(f"{package.path.name}: sheet {sheet.name!r} unpacks to more than {SHEET_LIMIT // MIB} MiB")
    return package.unpacked(sheet.part)


class UsualRow(NamedTuple):
    """A row whose cells are all written as most are, a place for each cell.

    `styles`, `kinds` and `values` as they stand, b"" for none; a text that stands in the cell itself is its value;
    `formulas` the element of a formula that has a value.
    """

    row: int
    columns: tuple[int, ...]
    styles: tuple[bytes, ...]
    kinds: tuple[bytes, ...]
    formulas: tuple[bytes, ...]
    values: tuple[bytes, ...]


def scan_part(
    package: Package,
    sheet: Sheet,
    content: Content,
    keep: Callable[[int, int, bytes], None] | None = None,
    kept_columns: frozenset[int] = frozenset(),
    keep_row: Callable[[UsualRow], None] | None = None,
    known: "KnownRows | None" = None,
    tell: Tell | None = None,
) -> SheetScan:
    """Scan the bytes of a sheet part; `keep` is handed row, column and bytes of the cells in some columns.

    With `keep_row` a row in which every cell is written as most are is handed over whole instead, and `keep` gets the
    cells of the others. With `known` rows that have the very bytes that they are known to have are taken as they are.
    `tell` is told now and then how many rows are scanned.
    """
    where = f"{package.path.name}: sheet {sheet.name!r}"
    try:
        markup = Markup(content, root="worksheet", namespace=MAIN)
    except MarkupError as error:
        raise WorkbookError(f"{where}: its part {error}") from error
    found = _Scan(where, markup, known, tell)
    found.head()
    if found.data is None:
        raise WorkbookError(f"{where}: its part has no rows element")
    found.walk(keep, kept_columns, keep_row)
    found.tail()
    return SheetScan(
        sheet=sheet,
        file_sha256=package.sha256,
        part_sha256=package.parts[sheet.part].sha256,
        prefix=markup.prefix,
        data=found.data,
        rows=found.rows,
        row_starts=found.starts,
        row_inners=found.inners,
        row_ends=found.ends,
        last_columns=found.lasts,
        usual=found.usual,
        masked=markup.plain is not markup.content,
        cells=found.cells,
        uncached=found.uncached,
        errors=found.errors,
        arrays=tuple(found.arrays),
        merged=tuple(found.merged),
        tables=_tables(package, sheet, where),
        validations=tuple(found.validations),
        columns=tuple(found.columns),
        hidden_rows=frozenset(found.hidden_rows),
        dimension=found.dimension,
        dimension_tag=found.dimension_tag,
        used=found.used(),
        protected=found.protected,
        alternate=found.alternate,
    )


def _tables(package: Package, sheet: Sheet, where: str) -> tuple[SheetTable, ...]:
    tables = []
    for link in package.relations(sheet.part):
        if link.kind not in ("table", "tableSingleCells"):
            continue
        try:
            markup = Markup(package.read(link.target), namespace=MAIN)
        except MarkupError as error:
            raise WorkbookError(f"{where}: part {link.target} {error}") from error
        for tag in markup.tags():
            if tag.name not in ("table", "singleXmlCell") or tag.closing:
                continue
            given = tag.attributes()
            place = area(given.get("ref", given.get("r", "")))
            if place is None:
                raise WorkbookError(f"{where}: table {given.get('name', '')!r} has no range")
            name = given.get("displayName", given.get("name", ""))
            tables.append(SheetTable(name, place, int(given.get("headerRowCount", "1") == "1")))
    return tuple(tables)


class KnownLine(NamedTuple):
    """What a row is known to be: its bytes with both tags, how long the first tag is, how many cells stand behind those
    that were scanned before, and its last column.
    """

    content: bytes
    tag: int
    behind: int
    last: int


@dataclass(slots=True)
class KnownRows:
    """Rows that have been scanned: their scan, and what `line` says of each by its place, None for one that is to be
    walked. `behind` counts the cells of rows that were taken as known.
    """

    scan: SheetScan
    line: Callable[[int], KnownLine | None]
    behind: int = 0


def row_cells(prefix: bytes, plain: Content, start: int, end: int) -> Iterator[RowCell]:
    """The cells between two positions of one row that has been scanned before."""
    column = 0
    for found in _pattern(prefix).finditer(plain, start, end):
        name, _digits, _kind, raw, content, row_raw, _slash = found.groups()
        if row_raw is not None or (name is None and raw is None):
            continue
        reference = name.decode() if name else attributes(raw).get("r", "").rstrip("0123456789")
        column = column_number(reference) if reference else column + 1
        yield RowCell(column, found.start(), found.end(), found[0], content or b"", bool(reference))


_patterns: dict[bytes, re.Pattern[bytes]] = {}


def _pattern(prefix: bytes) -> re.Pattern[bytes]:
    """Rows and cells. Groups: column letters, row digits and type of a cell written as most are; attributes of any
    other cell; content; attributes of a row; slash of an empty row.
    """
    if prefix not in _patterns:
        p = re.escape(prefix)
        _patterns[prefix] = re.compile(
            rb"<" + p + rb"c(?: r=\"([A-Z]{1,3})([0-9]{1,7})\"(?: s=\"[0-9]+\")?(?: t=\"([A-Za-z]+)\")?(?=[/>])"
            rb"|(" + ATTRIBUTES + rb"))\s*(?:/>|>(.*?)</" + p + rb"c\s*>)"
            rb"|<" + p + rb"row(" + ATTRIBUTES + rb")\s*(/?)>"
            rb"|</" + p + rb"row\s*>",
            re.DOTALL,
        )
    return _patterns[prefix]


_usual: dict[tuple[bytes, bool], re.Pattern[bytes]] = {}


def _usual_pattern(prefix: bytes, *, whole: bool) -> re.Pattern[bytes]:
    """A cell as most are written. Groups: the whole element where it is wanted, column letters, row digits, style,
    kind, slash of an empty one, formula without a range of its own, value, element of an own text, own text.
    """
    key = prefix, whole
    if key not in _usual:
        p = re.escape(prefix)
        formula = rb"<" + p + rb"f(?: (?!ref)[a-z]+=\"[^\"<]*\")*(?:/>|>[^<]*</" + p + rb"f>)"
        cell = (
            rb"<" + p + rb"c r=\"([A-Z]{1,3})([0-9]{1,7})\"(?: s=\"([0-9]+)\")?(?: t=\"(n|s|str|b|inlineStr)\")?"
            rb"(?:(/)>|>(?:(" + formula + rb")?<" + p + rb"v>([^<]*)</" + p + rb"v>"
            rb"|(<" + p + rb"is><" + p + rb"t(?: xml:space=\"preserve\")?>([^<]*)</" + p + rb"t></" + p + rb"is>))"
            rb"</" + p + rb"c>)"
        )
        _usual[key] = re.compile(rb"(" + cell + rb")" if whole else cell)
    return _usual[key]


class _Scan:
    """The running state of one scan."""

    def __init__(
        self, where: str, markup: Markup, known: KnownRows | None = None, tell: Tell | None = None
    ) -> None:  # fmt: skip
        self.where, self.known, self.tell = where, known, tell
        self.markup = markup
        self.data: tuple[int, int, bool] | None = None
        self.after = 0
        self.rows, self.starts, self.inners, self.ends, self.lasts = (array("L") for _ in range(5))
        self.usual = array("H")
        self.cells = 0
        self.uncached, self.errors = CellSet(), CellSet()
        self.arrays: list[Area] = []
        self.merged: list[Area] = []
        self.validations: list[Area] = []
        self.columns: list[ColumnFormat] = []
        self.hidden_rows: list[int] = []
        self.dimension: Area | None = None
        self.dimension_tag: tuple[int, int] | None = None
        self.protected = self.alternate = False
        self.left, self.right = COLUMNS + 1, 0
        self.closing = b"</" + markup.prefix + b"row>"
        self._places: dict[tuple[bytes, ...], tuple[int, ...]] = {}
        self._forms = RowForms(markup.prefix)

    def used(self) -> Area | None:
        """The range that has cells."""
        full = [row for row, last in zip(self.rows, self.lasts, strict=True) if last]
        return Area(full[0], self.left, full[-1], self.right) if full else None

    def fault(self, text: str) -> WorkbookError:
        return WorkbookError(f"{self.where}: {text}")

    def head(self) -> None:
        """Everything before the rows."""
        for tag in self.markup.tags():
            if tag.closing or tag.prefix != self.markup.prefix:
                continue
            if tag.name == "sheetData":
                closing = b"</" + self.markup.prefix + b"sheetData"
                end = tag.end if tag.empty else self.markup.plain.index(closing, tag.end)
                self.data = (tag.end, end, tag.empty)
                self.after = end
                return
            if tag.name == "dimension":
                self.dimension = area(tag.attributes().get("ref", ""))
                self.dimension_tag = (tag.start, tag.end)
            elif tag.name == "col":
                self._col(tag)

    def _col(self, tag: Tag) -> None:
        given = tag.attributes()
        try:
            first, last = int(given["min"]), int(given["max"])
        except (KeyError, ValueError) as error:
            raise self.fault("a col element has no columns") from error
        self._limit(self.columns)
        self.columns.append(ColumnFormat(first, last, flag(given.get("hidden")), tag.start, tag.end))

    def _limit(self, found: list) -> None:
        if len(found) >= AREAS_LIMIT:
            raise self.fault(f"has more than {AREAS_LIMIT} merged cells, validations or column formats")

    def tail(self) -> None:
        """Everything after the rows: protection, merged cells, validations."""
        for tag in self.markup.tags(self.after):
            if tag.closing:
                continue
            if tag.prefix == self.markup.prefix:
                if tag.name == "sheetProtection":
                    self.protected = self.protected or flag(tag.attributes().get("sheet"))
                elif tag.name == "sheetData":
                    raise self.fault("its part has two elements of rows")
                elif tag.name == "mergeCell":
                    self._areas(tag.attributes().get("ref", ""), self.merged)
                elif tag.name == "dataValidation":
                    self._areas(tag.attributes().get("sqref", ""), self.validations)
            elif tag.name == "sqref" and self._inside_validation(tag):
                self._areas(self.markup.string(tag.end), self.validations)

    def _inside_validation(self, tag: Tag) -> bool:
        """Whether an extended sqref belongs to a validation and not to a format or a sparkline."""
        closing = re.compile(rb"</([^\s:>]+:)?(dataValidation|conditionalFormatting|sparkline)\s*>")
        found = closing.search(self.markup.plain, tag.end)
        return bool(found and found[2] == b"dataValidation")

    def _areas(self, text: str, into: list[Area]) -> None:
        for each in text.split():
            self._limit(into)
            place = area(each)
            if place is None:
                place = whole_area(each)
            if place is not None:
                into.append(place)

    def walk(
        self, keep: Callable[[int, int, bytes], None] | None, kept_columns: frozenset[int],
        keep_row: Callable[[UsualRow], None] | None = None,
    ) -> None:  # fmt: skip
        """Every row and cell once: rows of usual cells as a whole, the others cell by cell."""
        assert self.data is not None
        start, end, _ = self.data
        plain = self.markup.plain
        self.alternate = (
            bool(re.search(rb"<[^\s/>]*AlternateContent", plain[start:end]))
            if (plain.find(b"AlternateContent", start, end) >= 0)
            else False
        )
        p = re.escape(self.markup.prefix)
        formula = re.compile(rb"\s*<" + p + rb"f[\s/>]")
        # a formula without a range of its own: with a value behind it, or with nothing
        alone = rb"<" + p + rb"f(?: (?!ref)[a-z]+=\"[^\"<]*\")*(?:/>|>[^<]*</" + p + rb"f>)"
        settled, bare = re.compile(alone + rb"<" + p + rb"v>\s*[^<\s]"), re.compile(alone)
        numbers: dict[bytes, int] = {}
        column = 0
        digits = b""
        open_row = False
        closing = b"</" + self.markup.prefix + b"row"
        known = self._known_rows(start, end)
        row = self.rows[-1] if self.rows else 0
        found_next = _pattern(self.markup.prefix).finditer(plain, known, end)
        while (found := next(found_next, None)) is not None:
            name, cell_row, kind, raw, content, row_raw, empty = found.groups()
            if name is not None or raw is not None:
                if name is None:
                    given = attributes(raw)
                    reference = area(given["r"]) if "r" in given else Area(row, column + 1, row, column + 1)
                    if reference is None or not open_row:
                        raise self.fault(f"a cell in row {row} has the address {given.get('r')!r}")
                    here, cell_row = reference.left, str(reference.top).encode()
                    kind = given.get("t", "").encode()
                else:
                    here = numbers.get(name) or numbers.setdefault(name, column_number(name.decode()))
                if here <= column or cell_row != digits or here > COLUMNS:
                    raise self.fault(
                        f"cell {letters(here)}{cell_row.decode()} stands out of order in row {row}; "
                        "open and save the file in a spreadsheet program first"
                    )
                if not column and here < self.left:
                    self.left = here
                column = here
                self.cells += 1
                if kind == b"e":
                    self.errors.add(row, here)
                if content and formula.match(content) and not settled.match(content):
                    if bare.fullmatch(content):
                        self.uncached.add(row, here)
                    else:
                        self._formula(row, here, kind, content)
                if here in kept_columns and keep is not None:
                    keep(row, here, found[0])
            elif row_raw is not None:
                if open_row:
                    raise self.fault(f"row {row} holds another row")
                row = self._row(found.start(), found.end(), row, row_raw, bool(empty))
                digits, column, open_row = str(row).encode(), 0, not empty
                close = plain.find(closing, found.end(), end) if open_row else -1
                if close > 0 and (
                    last := self._usual_row(found.end(), close, row, digits, keep, kept_columns, keep_row)
                ):
                    column, after = last, close + len(self.closing)
                    if plain[close:after] == self.closing and self.known is None:
                        open_row = False
                        self._close(close, column)
                        close = after
                    found_next = _pattern(self.markup.prefix).finditer(plain, close, end)
            else:
                open_row = False
                self._close(found.start(), column)
                if self.known is not None and (known := self._known_rows(found.end(), end)) > found.end():
                    row = self.rows[-1]
                    found_next = _pattern(self.markup.prefix).finditer(plain, known, end)
        if open_row:
            raise self.fault(f"row {row} does not end")
        if (self.cells, len(self.rows)) != (self._count(b"c"), self._count(b"row")):
            raise self.fault("has rows or cells in an unusual form; save the file in a spreadsheet program first")

    def _usual_row(
        self, start: int, end: int, row: int, digits: bytes, keep: Callable[[int, int, bytes], None] | None,
        kept_columns: frozenset[int], keep_row: Callable[[UsualRow], None] | None,
    ) -> int:  # fmt: skip
        """Take a row whose cells are all written as most are; its last column, 0 where they are walked one by one.

        The part is well-formed and no value holds the sign <, so that a row is made of these cells alone where they
        have all of its signs.
        """
        line = self.markup.plain[start:end]
        if keep_row is not None and (known := self._forms.taken(line, digits)) is not None:
            form, values = known
            self.left = min(self.left, form.columns[0])
            self.cells += len(form.columns)
            self.usual[-1] = len(form.columns)
            keep_row(UsualRow(row, form.columns, form.styles, form.kinds, form.nothing, values))
            return form.columns[-1]
        taken = self._usual_cells(line, digits, whole=keep is not None and keep_row is None)
        if taken is None:
            return 0
        columns, cells = taken
        self.left = min(self.left, columns[0])
        self.cells += len(columns)
        self.usual[-1] = len(columns)
        *elements, names, _, styles, kinds, empty, formulas, values, _, own = cells
        if keep_row is not None:
            if not any(formulas):
                self._forms.noted(columns, names, styles, kinds, empty)
            if any(own):
                values = tuple(map(bytes.__add__, values, own))  # a cell has one of them
            keep_row(UsualRow(row, columns, styles, kinds, formulas, values))
        elif keep is not None:
            for column, element in zip(columns, elements[0], strict=True):
                if column in kept_columns:
                    keep(row, column, element)
        return columns[-1]

    def _known_rows(self, position: int, end: int) -> int:
        """Take the rows from a place on that have the very bytes that they are known to have; where they end."""
        known, plain = self.known, self.markup.plain
        if known is None:
            return position
        scan = known.scan
        place = bisect_left(scan.rows, self.rows[-1] + 1) if self.rows else 0
        while place < len(scan.rows) and (line := known.line(place)) is not None:
            start = plain.find(b"<", position, end)
            position_after = start + len(line.content)
            if start < 0 or position_after > end or plain[start:position_after] != line.content:
                break
            position = position_after
            passed(plain, start)
            row, cells = scan.rows[place], scan.usual[place] + line.behind
            self._add(row, start)
            self.usual.append(0)  # what stands behind may be of any form
            self.starts.append(start)
            self.inners.append(start + line.tag)
            self.left = min(self.left, scan.used.left if scan.used else COLUMNS)
            self.cells += cells
            known.behind += line.behind
            if row in scan.hidden_rows:
                self.hidden_rows.append(row)
            self._close(position - len(self.closing), line.last)
            place += 1
        return position

    def _usual_cells(
        self, line: bytes, digits: bytes, *, whole: bool
    ) -> tuple[tuple[int, ...], list[tuple[bytes, ...]]] | None:
        """The columns of cells that are all written as most are, and what their patterns found; None for any other."""
        cells = _usual_pattern(self.markup.prefix, whole=whole).findall(line)
        if not cells:
            return None
        found = list(zip(*cells, strict=True))
        names, numbers, _, kinds, empty, formulas, values, inside, _ = found[1:] if whole else found
        columns = self._columns(names)
        count, none = len(cells), empty.count(b"/")
        signs = 4 * count - 3 * none
        if b"inlineStr" in kinds or any(inside):
            if [*map(b"inlineStr".__eq__, kinds)] != [*map(bool, inside)]:
                return None
            signs += 2 * kinds.count(b"inlineStr")
        if any(formulas):
            signs += sum(1 if formula.endswith(b"/>") else 2 for formula in formulas if formula)
            if not all(value.strip() for formula, value in zip(formulas, values, strict=True) if formula):
                return None
        if not columns or numbers.count(digits) != count or line.count(b"<") != signs:
            return None
        return columns, found

    def _columns(self, names: tuple[bytes, ...]) -> tuple[int, ...]:
        """The columns of a row's cells; none where they do not rise."""
        found = self._places.get(names)
        if found is None:
            found = tuple(column_number(name.decode()) for name in names)
            rising = all(one < other for one, other in pairwise((0, *found))) and found[-1] <= COLUMNS
            found = found if rising else ()
            if len(self._places) < _PLACES:
                self._places[names] = found
        return found

    def _count(self, name: bytes) -> int:
        """How many elements of a name begin among the rows, found in another way than the walk does."""
        assert self.data is not None
        start, end, _ = self.data
        count = self.markup.plain.count
        tag = b"<" + self.markup.prefix + name
        walked = {b"c": self.cells, b"row": len(self.rows)}[name]
        if count(tag, start, end) == walked:  # no other name begins like this one
            return walked
        return sum(count(tag + after, start, end) for after in (b" ", b">", b"/", b"\n", b"\t", b"\r"))

    def _close(self, position: int, column: int) -> None:
        if self.cells > CELLS_LIMIT:
            raise self.fault(f"has more than {CELLS_LIMIT:,} cells")
        self.ends.append(position)
        self.lasts.append(column)
        self.right = max(self.right, column)

    def _row(self, start: int, end: int, before: int, raw: bytes, empty: bool) -> int:
        plain = _ROW.fullmatch(raw)
        given = {"r": plain[1].decode()} if plain else attributes(raw)
        text = given.get("r", str(before + 1))
        row = int(text) if text.isdecimal() and len(text) < 9 else 0
        if not before < row <= ROWS:
            raise self.fault(
                f"row {text} stands after row {before}; open and save the file in a spreadsheet program first"
            )
        passed(self.markup.plain, start)
        self._add(row, start)
        self.usual.append(0)
        self.starts.append(start)
        self.inners.append(end)
        if empty:
            self.ends.append(end)
            self.lasts.append(0)
        if flag(given.get("hidden")):
            self.hidden_rows.append(row)
        return row

    def _add(self, row: int, place: int) -> None:
        """One more row; now and then it is told, with those the part declares or what is done lets expect."""
        self.rows.append(row)
        done = len(self.rows)
        if self.tell is None or done % TOLD_EACH:
            return
        assert self.data is not None
        begin, end, _ = self.data
        declared = self.dimension.bottom if self.dimension else 0
        self.tell(done, declared if declared >= done else done * (end - begin) // max(place - begin, 1))

    def _formula(self, row: int, column: int, kind: bytes, content: bytes) -> None:
        """Note a formula without a cached value, and the range of an array formula."""
        cached = None
        for tag in tags(content):
            if tag.closing or tag.prefix != self.markup.prefix:
                continue
            if tag.name == "v":
                cached = "" if tag.empty else content[tag.end : content.find(b"<", tag.end)].decode()
            elif tag.name == "f" and b"ref" in tag.raw:
                given = tag.attributes()
                place = area(given.get("ref", ""))
                if given.get("t") in ("array", "dataTable") and place is not None:
                    self._limit(self.arrays)
                    self.arrays.append(place)
        if cached is None or (not cached.strip() and kind != b"str"):
            self.uncached.add(row, column)
