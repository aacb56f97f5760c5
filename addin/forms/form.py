"""One template sheet as a form: its tokens are found once, then it is written again for each card.

Only the cells with tokens, the height of rows whose text needs more room, and a few attributes are exchanged; every
other byte of the part stays, so whatever a contractor put on the sheet stays.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from xml.sax.saxutils import escape

from addin.forms import fit
from addin.forms import paper as paper_of
from addin.forms.form_scan import Cell, FormRow, scan
from addin.forms.grow import Added, grow
from addin.forms.tokens import (
    Filling,
    Finder,
    Picture,
    PictureArea,
    TemplateError,
    TokenPlace,
    Vocabulary,
    clean,
    plain,
)
from addin.workbooks import markup
from addin.workbooks.cell_formats import CellFormat, format_of
from addin.workbooks.shared_texts import SharedTexts

LONGEST_TEXT = 32767
LONGEST_HEADER = 255
HIGHEST_ROW = 409.0
LARGEST_WORDS = 15
"""Words in place of a figure are no larger than this [points]: the figures are what is seen first."""
_WORDS_FONT = f'<b/><sz val="{LARGEST_WORDS}"/><rFont val="Arial"/>'
"""Most that a spreadsheet holds in a cell and a page header [characters], and a row's height [pt]."""

_UNIT = fit.POINTS_PER_CHARACTER

_MOST_GROWN = 50
"""Forms with added rows that are kept: some 300 kB each."""

SMALLEST_SCALE = 0.7
"""Below this share of its size on paper a card is pointed out."""


@dataclass
class Filled:
    """A written sheet: its XML, the pictures to draw on it, what to tell the user, and rows added to the template's.

    drawing_position : where in the XML a drawing may be put in.
    """

    xml: bytes
    pictures: list[tuple[Picture, PictureArea]]
    notes: list[str]
    drawing_position: int
    added: Added = ()


class Form:
    """One template sheet with its tokens found.

    xml : the sheet part; strings, styles : of the workbook. Raises TemplateError where the part cannot be read.
    """

    def __init__(self, xml: bytes, strings: SharedTexts, styles: Sequence[CellFormat], vocabulary: Vocabulary) -> None:
        self.xml = xml
        self.scan = scan(xml, strings, vocabulary)
        self._strings = strings
        self._styles = styles
        self._vocabulary = vocabulary
        self._grown: dict[tuple[tuple[int, int], ...], Form] = {}

    @cached_property
    def places(self) -> list[TokenPlace]:
        """Every token where it stands."""
        places = [place for cell in self.scan.cells for place in cell.places]
        for start, end in self.scan.headers:
            places += [part for part in self._header_parts(start, end) if isinstance(part, TokenPlace)]
        return places

    def _header_parts(self, start: int, end: int) -> list[str | TokenPlace]:
        return Finder(self._vocabulary).split(self.xml[start:end].decode(), 0)

    @property
    def unknown(self) -> list[str]:
        """Tokens in the template that nothing is known for."""
        return sorted({place.text for place in self.places if place.kind == "unknown"})

    @property
    def unused(self) -> list[str]:
        """Known tokens that the template has no place for."""
        used = {place.token for place in self.places if place.kind != "hide"}
        return [f"{{{{{name}}}}}" for name in sorted(self._vocabulary.everything - used)]

    def check_required(self) -> None:
        """Refuse a template without the places it must have."""
        used = {place.token for place in self.places if place.kind == "value"}
        for names in self._vocabulary.required:
            if not used & set(names):
                raise TemplateError("no place for " + " or ".join(f"{{{{{name}}}}}" for name in names))

    def fill(self, filling: Filling, *, clone: bool = False, paper: int | None = None) -> Filled:
        """Write the sheet once. clone : any sheet but the first; paper : number of a paper size to print on.

        Raises TemplateError where something has no room.
        """
        added = self._lacking(filling)
        if added:
            return replace(self._with_rows(added).fill(filling, clone=clone, paper=paper), added=added)
        notes: list[str] = []
        self._check_room(filling, notes)
        hidden = {cell.row for cell in self.scan.cells if any(place.hides(filling) for place in cell.places)}
        texts: list[tuple[Cell, str]] = []
        edits: list[tuple[int, int, bytes]] = [(start, end, b"") for start, end in self.scan.cached]
        for cell in self.scan.cells:
            xml, text = self._cell(cell, filling, notes)
            edits.append((cell.start, cell.end, xml.encode()))
            if text and cell.row not in hidden:
                texts.append((cell, text))
        heights = self._heights(texts, hidden, notes)
        for number in hidden | set(heights):
            row = self.scan.rows[number]
            edits.append((row.start, row.end, self._row(row, heights.get(number), number in hidden)))
        for start, end in self.scan.headers:
            edits.append((start, end, self._header(start, end, filling).encode()))
        edits += self._attributes(clone, paper, self._scale(heights, hidden, paper, notes))
        pictures = [
            (filling.pictures[place.name], self._area(cell, heights, hidden))
            for cell in self.scan.cells
            for place in cell.places
            if place.kind == "picture" and place.name in filling.pictures
        ]
        written = _apply(self.xml, edits)
        return Filled(written, pictures, notes, len(written) - (len(self.xml) - self.scan.drawing_position))

    def _with_rows(self, added: tuple[tuple[int, int], ...]) -> "Form":
        """The form with rows added; most sheets need as many as one before them."""
        form = self._grown.get(added)
        if form is None:
            if len(self._grown) >= _MOST_GROWN:
                self._grown.clear()
            form = Form(grow(self.xml, added), self._strings, self._styles, self._vocabulary)
            self._grown[added] = form
        return form

    def _lacking(self, filling: Filling) -> tuple[tuple[int, int], ...]:
        """Rows to add for lists that are longer than the template's, the lowest row of the sheet first."""
        found = []
        for group in self._vocabulary.lists:
            last = {place.index: cell.row for cell in self.scan.cells for place in cell.places if place.group == group}
            lacking = len(filling.groups.get(group, ())) - len(last)
            if last and lacking > 0:
                found.append((last[max(last)], lacking))
        return tuple(sorted(found, reverse=True))

    def _check_room(self, filling: Filling, notes: list[str]) -> None:
        labels = {place.label for place in self.places if place.kind == "value"}
        for names in filling.needs:
            if not labels & set(names):
                raise TemplateError(f"the template has no place for {{{{{names[0]}}}}}: it needs more rows")
        for group, entries in filling.groups.items():
            rows = max((place.index + 1 for place in self.places if place.group == group), default=len(entries))
            if len(entries) > rows and group in self._vocabulary.spare:
                notes.append(f"the template has {rows} rows for {group}; more of them are left out")
            elif len(entries) > rows:
                raise TemplateError(f"the template has {rows} rows for {group}, the card needs {len(entries)}")

    def _style(self, cell: Cell) -> CellFormat:
        return format_of(self._styles, int(cell.style or 0))

    def _cell(self, cell: Cell, filling: Filling, notes: list[str]) -> tuple[str, str]:
        """The cell as XML, and its text where it holds one."""
        prefix = self.scan.prefix
        tag = f'<{prefix}c r="{cell.reference}"' + (f' s="{cell.style}"' if cell.style else "")
        parts = [part for _, run in cell.runs for part in run if isinstance(part, str) or part.prints]
        # a number stays one beside tokens that are blank here
        parts = [part for part in parts if _text(part, filling).strip()] if len(parts) > 1 else parts
        if len(parts) == 1 and isinstance(parts[0], TokenPlace):
            value = parts[0].value(filling)
            if isinstance(value, int | float):
                number = self._number(cell, parts[0], value, notes)
                return f"{tag}><{prefix}v>{number}</{prefix}v></{prefix}c>", ""
            if parts[0].token in self._vocabulary.exact and self._style(cell).size > LARGEST_WORDS:
                body = self._run(_WORDS_FONT, _text(parts[0], filling))
                return f'{tag} t="inlineStr"><{prefix}is>{body}</{prefix}is></{prefix}c>', ""
        runs = [(font, "".join(_text(part, filling) for part in run)) for font, run in cell.runs]
        while runs and not runs[-1][1].strip():
            runs.pop()
        if not runs:
            return f"{tag}/>", ""
        runs[-1] = (runs[-1][0], runs[-1][1].rstrip("\n"))
        text = "".join(run for _, run in runs)
        if len(text) > LONGEST_TEXT:
            raise TemplateError(f"the text for cell {cell.reference} is longer than {LONGEST_TEXT} characters")
        body = "".join(self._run(font, run) for font, run in runs if run)
        if all(font is None for font, _ in runs):
            body = self._t(text)
        return f'{tag} t="inlineStr"><{prefix}is>{body}</{prefix}is></{prefix}c>', text

    def _t(self, text: str) -> str:
        prefix = self.scan.prefix
        return f'<{prefix}t xml:space="preserve">{escape(clean(text))}</{prefix}t>'

    def _run(self, font: str | None, text: str) -> str:
        prefix = self.scan.prefix
        inner = font.replace("<", f"<{prefix}") if font and prefix else font
        properties = f"<{prefix}rPr>{inner}</{prefix}rPr>" if inner else ""
        return f"<{prefix}r>{properties}{self._t(text)}</{prefix}r>"

    def _number(self, cell: Cell, place: TokenPlace, value: float, notes: list[str]) -> str:
        if not math.isfinite(value):
            raise TemplateError(f"the value for {{{{{place.label}}}}} is not a number")
        style = self._style(cell)
        if not style.shows(value):
            line = f"cell {cell.reference} would not show {plain(value)} whole, its number format is {style.code}"
            if place.token in self._vocabulary.exact:
                raise TemplateError(line)
            notes.append(line)
        return plain(value)

    def _header(self, start: int, end: int, filling: Filling) -> str:
        """A page header or footer, where `&` is the mark of a code and is doubled in text."""
        parts = self._header_parts(start, end)
        written = "".join(
            escape(clean(_text(part, filling).replace("&", "&&")))
            if isinstance(part, TokenPlace) and part.prints
            else str(part)
            for part in parts
            if isinstance(part, str) or part.prints
        )
        if len(written) > LONGEST_HEADER and len(parts) > 1:
            raise TemplateError(f"the page header or footer comes to more than {LONGEST_HEADER} characters")
        return written

    def _heights(self, texts: list[tuple[Cell, str]], hidden: set[int], notes: list[str]) -> dict[int, float]:
        """Rows that must be higher than in the template for their text to be seen whole."""
        heights: dict[int, float] = {}

        def high(number: int) -> float:
            return self._height(number, heights, hidden)

        for cell, text in sorted(texts, key=lambda item: item[0].last_row - item[0].row):
            style, room = self._style(cell), self._width(cell.column, cell.last_column)
            if not style.wrap:
                longest = max(fit.width(line, style.size, style.bold) for line in text.split("\n"))
                if not style.shrink and longest > room and cell.last_column > cell.column:
                    notes.append(f"cell {cell.reference} may cut off its text: let it wrap or shrink to fit")
                continue
            room -= fit.INDENT * style.indent
            lack = fit.height(text, room, style.size, style.bold) - sum(map(high, range(cell.row, cell.last_row + 1)))
            if lack <= 0:
                continue
            shown = [row for row in range(cell.row, cell.last_row + 1) if row not in hidden and row in self.scan.rows]
            heights[shown[-1]] = high(shown[-1]) + lack
            if heights[shown[-1]] > HIGHEST_ROW:
                raise TemplateError(
                    f"the text for cell {cell.reference} is too long for a row ({len(text)} characters)"
                )
        before = sum(self._height(number, {}, set()) for number in self.scan.rows)
        after = sum(map(high, self.scan.rows))
        if after * SMALLEST_SCALE > before and not self._flows and not self._pages:
            notes.append(f"a card with much text needs {after / before:.1f} times the height of the template")
        return heights

    @cached_property
    def _flows(self) -> bool:
        """Whether the sheet goes on to as many pages as it needs."""
        start, end = self.scan.tags.get("pageSetup", (0, 0))
        return b'fitToHeight="0"' in self.xml[start:end]

    def _height(self, number: int, heights: Mapping[int, float], hidden: set[int]) -> float:
        row = self.scan.rows.get(number)
        if number in hidden or (row is not None and row.hidden):
            return 0.0
        own = self.scan.default_height if row is None or row.height is None else row.height
        return heights.get(number, own)

    def _width(self, first: int, last: int) -> float:
        return sum(self._columns.get(column, self.scan.default_width) for column in range(first, last + 1)) * _UNIT

    @cached_property
    def _columns(self) -> dict[int, float]:
        """Widths of the columns that have one of their own, as far right as tokens reach."""
        rightmost = max((cell.last_column for cell in self.scan.cells), default=0)
        found: dict[int, float] = {}
        for first, last, width in self.scan.widths:
            for column in range(first, min(last, rightmost) + 1):
                found.setdefault(column, width)
        return found

    def _area(self, cell: Cell, heights: Mapping[int, float], hidden: set[int]) -> PictureArea:
        def tall(first: int, last: int) -> float:
            return sum(self._height(number, heights, hidden) for number in range(first, last + 1))

        left, top = self._width(1, cell.column - 1), tall(1, cell.row - 1)
        width, height = self._width(cell.column, cell.last_column), tall(cell.row, cell.last_row)
        sizes = (round(size * fit.EMU_PER_POINT) for size in (left, top, width, height))
        return PictureArea(cell.column - 1, cell.row - 1, *sizes)

    def _row(self, row: FormRow, height: float | None, hidden: bool) -> bytes:
        tag = self.xml[row.start : row.end]
        if height is not None:
            tag = set_attribute(set_attribute(tag, "ht", f"{height:.2f}"), "customHeight", "1")
        return set_attribute(tag, "hidden", "1") if hidden else tag

    @cached_property
    def _pages(self) -> list[int]:
        return paper_of.breaks(self.xml)

    def _scale(self, heights: Mapping[int, float], hidden: set[int], paper: int | None, notes: list[str]) -> int | None:
        """The scale at which the pages of a sheet with page breaks of its own fit the paper; None for other sheets."""
        if not self._pages or "pageSetup" not in self.scan.tags:
            return None

        def tall(first: int, last: int) -> float:
            return sum(self._height(row, heights, hidden) for row in range(first, last + 1))

        last, wide = max(self.scan.rows), self._width(1, max(self._columns, default=1))
        found = paper_of.scale(self.xml, self._pages, last, tall, wide, paper)
        if found is not None and found < 100 * SMALLEST_SCALE:
            notes.append(f"a card with much text is printed at {found} % of its size")
        return found

    def _attributes(self, clone: bool, paper: int | None, scale: int | None) -> list[tuple[int, int, bytes]]:
        """Changes of the sheet as a whole: one sheet is selected, code names stand once, paper and scale."""
        changes: list[tuple[str, str, str | None]] = [("sheetView", "tabSelected", None if clone else "1")]
        if clone:
            changes.append(("sheetPr", "codeName", None))
        if paper is not None:
            changes.append(("pageSetup", "paperSize", str(paper)))
        if scale is not None:
            changes.append(("pageSetup", "scale", str(scale)))
        tags = {name: self.scan.tags[name] for name, *_ in changes if name in self.scan.tags}
        edits = []
        for name, (start, end) in tags.items():
            tag = self.xml[start:end]
            for attribute, value in ((attribute, value) for other, attribute, value in changes if other == name):
                tag = set_attribute(tag, attribute, value)
            edits.append((start, end, tag))
        return edits


def _text(part: str | TokenPlace, filling: Filling) -> str:
    if isinstance(part, str):
        return part
    return plain(part.value(filling)) if part.prints else ""


def set_attribute(tag: bytes, name: str, value: str | None) -> bytes:
    """A start tag with one attribute set to a text, or taken away (None).

    >>> set_attribute(b'<row r="1" ht="12"/>', "ht", "20"), set_attribute(b'<row r="1" ht="12">', "ht", None)
    (b'<row r="1" ht="20"/>', b'<row r="1">')
    """
    kept = {'"': "&quot;", "\n": "&#10;", "\r": "&#13;", "\t": "&#9;"}
    return markup.set_attribute(tag, name.encode(), None if value is None else escape(value, kept).encode())


def _apply(data: bytes, edits: list[tuple[int, int, bytes]]) -> bytes:
    pieces, position = [], 0
    for start, end, new in sorted(edits, key=lambda edit: edit[:2]):
        pieces += [data[position:start], new]
        position = end
    return b"".join([*pieces, data[position:]])
