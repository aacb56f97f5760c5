"""What stands where in the XML of a template sheet: cells with tokens, rows, widths, merged cells, a few tags.

Everything is kept as positions in the bytes of the part, so that a copy differs from it only where something is put in.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from xml.parsers import expat

from addin.forms.tokens import TOKEN, Finder, TemplateError, TokenPlace, Vocabulary
from addin.workbooks.addresses import COLUMNS, ROWS, area
from addin.workbooks.markup import MAIN, tags
from addin.workbooks.shared_texts import Run, SharedTexts, text_runs

_LARGEST = 1e5
"""No row is so high, and no column so wide, in any unit."""
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"

_TAG = re.compile(rb"<[^>\"']*(?:\"[^\"]*\"[^>\"']*|'[^']*'[^>\"']*)*>")
_NO_TAG = re.compile(rb"<!--.*?-->|<!\[CDATA\[.*?\]\]>", re.DOTALL)
_KEPT_TAGS = ("sheetPr", "sheetView", "pageSetup", "sheetData")
# elements that must come after a sheet's drawing (ISO/IEC 29500-1, 18.3.1.99, from memory)
_AFTER_DRAWING = frozenset(
    {
        "legacyDrawing",
        "legacyDrawingHF",
        "drawingHF",
        "picture",
        "oleObjects",
        "controls",
        "webPublishItems",
        "tableParts",
    }
    | {"extLst"}
)


@dataclass
class Cell:
    """A cell with tokens; `last_column` and `last_row` are its own, or those of the merged cell it heads."""

    start: int
    end: int
    reference: str
    column: int
    row: int
    style: str | None
    type: str | None
    last_column: int
    last_row: int
    runs: list[tuple[str | None, list[str | TokenPlace]]] = field(default_factory=list)

    @property
    def places(self) -> list[TokenPlace]:
        """Its tokens."""
        return [part for _, parts in self.runs for part in parts if isinstance(part, TokenPlace)]


@dataclass
class FormRow:
    """A row of the sheet: where its start tag stands, its height [pt] where it has one of its own."""

    start: int
    end: int
    height: float | None
    hidden: bool


@dataclass
class Scan:
    """A template sheet, looked through once."""

    prefix: str = ""
    cells: list[Cell] = field(default_factory=list)
    rows: dict[int, FormRow] = field(default_factory=dict)
    widths: list[tuple[int, int, float]] = field(default_factory=list)
    default_width: float = 9.14
    default_height: float = 15.0
    cached: list[tuple[int, int]] = field(default_factory=list)
    headers: list[tuple[int, int]] = field(default_factory=list)
    tags: dict[str, tuple[int, int]] = field(default_factory=dict)
    drawing: str | None = None
    drawing_position: int = 0
    has_formulas: bool = False


_MOST_SEEN = 16
_SEEN: dict[tuple[bytes, bytes, Vocabulary], Scan] = {}
"""Parts that were looked through last, with their shared texts and vocabulary."""


def scan(xml: bytes, strings: SharedTexts, vocabulary: Vocabulary) -> Scan:
    """Look through a sheet part. strings : shared texts of the workbook.

    A part of the same bytes is looked through once: a pack writes many sheets from few templates. What is given is
    shared, to be read only. Raises TemplateError where the part is no worksheet, is damaged, or has cells without an
    address.
    """
    key = (xml, strings.content, vocabulary)
    if key not in _SEEN:
        found = _scan(xml, strings, vocabulary)
        while len(_SEEN) >= _MOST_SEEN:
            del _SEEN[next(iter(_SEEN))]
        _SEEN[key] = found
    return _SEEN[key]


def _scan(xml: bytes, strings: SharedTexts, vocabulary: Vocabulary) -> Scan:
    reader = _Reader(xml)
    reader.read()
    finder = Finder(vocabulary)
    corners = {(left, top): (right, bottom) for left, top, right, bottom in reader.merged}
    for cell, text in reader.texts:
        if cell.type == "inlineStr":
            texts = _inline(xml[cell.start : cell.end])
        else:
            texts = strings.runs(_count(text, len(strings) - 1, "shared text", low=0))
        if cell.row not in reader.found.rows:
            raise TemplateError(f"cell {cell.reference} of the first sheet stands outside its row")
        whole = "".join(run for _, run in texts)
        count = len(TOKEN.findall(whole))
        if not count:
            continue
        if sum(len(TOKEN.findall(run)) for _, run in texts) != count:
            texts = [(None, whole)]  # a token is split between fonts: the cell's own font for all
        cell.runs = [(font, finder.split(run, cell.row)) for font, run in texts]
        cell.last_column, cell.last_row = corners.get((cell.column, cell.row), (cell.column, cell.row))
        reader.found.cells.append(cell)
    return reader.found


class _Reader:
    """One pass over the part."""

    def __init__(self, xml: bytes) -> None:
        self.xml = xml
        self.found = Scan()
        self.texts: list[tuple[Cell, str]] = []
        self.merged: list[tuple[int, int, int, int]] = []
        self._stack: list[tuple[str, int, bool]] = []
        self._cell: Cell | None = None
        self._text = ""
        self._formula = False
        self._characters: list[str] = []
        self._header = 0
        self._settled = False
        self._parser = expat.ParserCreate(namespace_separator=" ")
        self._starts: dict[str, Callable[[dict[str, str], int, int], None]] = {
            "sheetFormatPr": self._defaults,
            "col": self._col,
            "row": self._row,
            "c": self._start_cell,
            "mergeCell": self._merge,
            "drawing": self._drawing,
        }

    def read(self) -> None:
        parser = self._parser
        parser.buffer_text = True
        parser.StartElementHandler, parser.EndElementHandler = self._start, self._end
        parser.CharacterDataHandler = self._characters.append
        try:
            parser.Parse(self.xml, True)
        except expat.ExpatError as error:
            raise TemplateError(f"the first sheet is damaged ({error})") from error

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        begin = self._parser.CurrentByteIndex
        match = _TAG.match(self.xml, begin)
        if match is None:
            raise TemplateError("the first sheet is not written in UTF-8; save it once in a spreadsheet program")
        uri, _, local = name.rpartition(" ")
        self._stack.append((local, begin, match[0].endswith(b"/>")))
        depth = len(self._stack)
        if depth == 1:
            self._root(uri, local, match[0])
        if depth == 2 and not self._settled:
            late = local in _AFTER_DRAWING or (local == "AlternateContent" and "sheetData" in self.found.tags)
            if late:
                self.found.drawing_position, self._settled = begin, True
        if uri != MAIN:
            return
        if local in _KEPT_TAGS:
            self.found.tags.setdefault(local, (begin, match.end()))
        if local in self._starts:
            self._starts[local](attributes, begin, match.end())
        elif local in ("v", "f"):
            self._characters.clear()
            if local == "f":
                self._formula = self.found.has_formulas = True
        elif depth == 3 and self._stack[1][0] == "headerFooter":
            self._header = match.end()

    def _end(self, name: str) -> None:
        position = self._parser.CurrentByteIndex
        local, begin, empty = self._stack.pop()
        finish = position if empty else self.xml.index(b">", position) + 1
        if not name.startswith(MAIN):
            return
        if local == "v" and self._cell is not None:
            self._text = "".join(self._characters)
            if self._formula:
                self.found.cached.append((begin, finish))
        elif local == "c" and self._cell is not None:
            self._cell.end = finish
            if not self._formula and (self._cell.type == "inlineStr" or (self._cell.type == "s" and self._text)):
                self.texts.append((self._cell, self._text))
            self._cell = None
        elif len(self._stack) == 2 and self._stack[1][0] == "headerFooter" and not empty:
            self.found.headers.append((self._header, position))
        elif not self._stack and not self._settled:
            self.found.drawing_position = position

    def _root(self, uri: str, local: str, tag: bytes) -> None:
        if uri != MAIN or local != "worksheet":
            raise TemplateError("the first sheet is not an ordinary worksheet")
        prefix = re.match(rb"<([\w.-]+:)?", tag)
        self.found.prefix = (prefix[1] or b"").decode() if prefix else ""

    def _defaults(self, attributes: dict[str, str], _begin: int, _finish: int) -> None:
        self.found.default_height = _size(attributes.get("defaultRowHeight", "15"))
        self.found.default_width = _size(attributes.get("defaultColWidth", "9.14"))

    def _col(self, attributes: dict[str, str], _begin: int, _finish: int) -> None:
        width = _size(attributes["width"]) if "width" in attributes else self.found.default_width
        first = _count(attributes["min"], COLUMNS, "column")
        last = _count(attributes["max"], COLUMNS, "column", low=first)
        self.found.widths.append((first, last, 0.0 if _true(attributes, "hidden") else width))

    def _row(self, attributes: dict[str, str], begin: int, finish: int) -> None:
        number = _count(attributes["r"], ROWS, "row") if "r" in attributes else 1 + max(self.found.rows, default=0)
        height = _size(attributes["ht"]) if "ht" in attributes else None
        self.found.rows[number] = FormRow(begin, finish, height, _true(attributes, "hidden"))

    def _start_cell(self, attributes: dict[str, str], begin: int, finish: int) -> None:
        reference = attributes.get("r")
        if reference is None:
            raise TemplateError("the first sheet has cells without an address; save it once in a spreadsheet program")
        column, row = _place(reference)
        style, kind = attributes.get("s"), attributes.get("t")
        self._cell = Cell(begin, finish, reference, column, row, style, kind, column, row)
        self._text, self._formula = "", False

    def _merge(self, attributes: dict[str, str], _begin: int, _finish: int) -> None:
        first, _, last = attributes["ref"].partition(":")
        self.merged.append((*_place(first), *_place(last or first)))

    def _drawing(self, attributes: dict[str, str], _begin: int, _finish: int) -> None:
        self.found.drawing = attributes.get(f"{OFFICE} id")


def _size(text: str) -> float:
    """A width or height of the sheet."""
    size = float(text)
    if not 0 <= size <= _LARGEST:
        raise TemplateError(f"the first sheet has the width or height {text[:20]!r}")
    return size


def _count(text: str, high: int, what: str, *, low: int = 1) -> int:
    """A whole number within its limits."""
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 9 else -1
    if not low <= number <= high:
        raise TemplateError(f"the first sheet names the {what} {text[:20]!r}, which is not there")
    return number


def _true(attributes: dict[str, str], name: str) -> bool:
    return attributes.get(name) in ("1", "true")


def _inline(cell: bytes) -> list[Run]:
    """The text of a cell that holds it itself."""
    plain = _NO_TAG.sub(lambda found: b" " * len(found[0]), cell)
    start = next((tag.start for tag in tags(plain) if tag.name == "is"), None)
    return [] if start is None else text_runs(plain, cell, start)


def _place(reference: str) -> tuple[int, int]:
    """Column and row of a cell, both from 1."""
    found = area(reference)
    if found is None or ":" in reference:
        raise TemplateError(f"a cell of the first sheet has the address {reference[:20]!r}")
    return found.left, found.top
