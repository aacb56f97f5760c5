"""Fills a template workbook: its first sheet once per card, every other part kept as it is.

How a template is written
-------------------------
A template is an ordinary workbook. Lay it out as you like: widths, merged cells, logo, headers, print set-up,
drop-downs and sheet protection all stay. The first sheet is the card; other sheets go into the pack once.

* `{{joint}}` alone in a cell: the value itself. A number is written as a number and keeps the cell's number format.
* `{{thread}} x {{studs}}` inside a text: text. Cells, page headers and page footers may hold tokens.
* Repeating rows are made beforehand: the first row that holds `{{pass.…}}` is the first pass, the next such row the
  second, and so on. Copy the row to have more, delete it to have fewer. Where a pass takes two rows of the sheet,
  number it: `{{pass.2.gap}}`. More passes than rows are refused, rows left over stay blank.
* A list (the items of a kit list, the rows of a summary) may be longer than its rows: its last row is repeated and what
  stands below moves down. Such a sheet holds no formulas.
* Titles of charts and text boxes may hold tokens.
* `{{hide row if no NAME}}` in a cell of a row hides that row where the value is blank or the repeating row is not used
  (`{{hide row if no pass}}`).
* `{{order picture}}` in a (merged) cell: the picture of the stud circle is drawn over that cell.
* Cells that wrap text: the row is made higher where a text needs it. Cells that shrink to fit stay as they are. Let the
  page fit one page wide and high, so a card with long remarks still prints on one page.

A token nobody knows on the first sheet is refused with sheet and cell. Those on other sheets are listed, as are known
tokens that the template does not use.
"""

import re
import zipfile
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO
from xml.etree import ElementTree
from xml.sax.saxutils import escape

from addin.forms import contents as contents_sheet
from addin.forms.contents import Contents
from addin.forms.form import Filled, Form, set_attribute
from addin.forms.form_scan import OFFICE
from addin.forms.grow import Added, attached, moved
from addin.forms.package_parts import TYPES, Out, Parts, add_relation, has_relations, relations_part, retarget
from addin.forms.paper import PAPERS
from addin.forms.tokens import (
    TOKEN,
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
from addin.workbooks.cell_formats import CellFormat, read_formats
from addin.workbooks.markup import MAIN, Markup, MarkupError, opening, unescape
from addin.workbooks.new_file import check_target, write_new
from addin.workbooks.package import WorkbookError
from addin.workbooks.shared_texts import SharedTexts

__all__ = ["PAPERS", "Filling", "Template", "TemplateError", "Vocabulary", "Written"]

_DRAWING_TYPE = "application/vnd.openxmlformats-officedocument.drawing+xml"
_XDR = "http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing"
_NEW_DRAWING = f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<xdr:wsDr xmlns:xdr="{_XDR}"></xdr:wsDr>'

_DEEPEST = 6
"""Most parts that may hang on each other below a sheet: a drawing, its chart, the chart's own drawing."""
_SHARED = {"image", "customXml"}
_COPIED = {"drawing", "vmlDrawing", "comments", "printerSettings"} | {
    "chart", "chartUserShapes", "chartStyle", "chartColorStyle", "themeOverride"
}  # fmt: skip

Pictures = Sequence[tuple[Picture, PictureArea]]
Sheet = tuple[str, str, Added]
"""Name, part and added rows of a sheet that was written."""


@dataclass
class Written:
    """What came of writing a pack: sheets and refusals by position in the cards given, and notes."""

    sheets: list[tuple[int, str]] = field(default_factory=list)
    refused: list[tuple[int, str]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


class Template:
    """A template workbook, read once. vocabulary : tokens of its first sheet; paper : in place of the template's own;
    words : gives another text for each of the form's own.

    Raises TemplateError where the file is no workbook, or its first sheet cannot be copied or lacks a token it must
    have.
    """

    def __init__(
        self, path: Path, vocabulary: Vocabulary, *, paper: str | None = None, words: Callable[[str], str] | None = None
    ) -> None:
        if paper is not None and paper not in PAPERS:
            raise TemplateError(f"paper {paper!r} is not known; known are {', '.join(PAPERS)}")
        self.path = path
        self._paper = None if paper is None else PAPERS[paper]
        self._parts = Parts(path)
        if words is not None:
            self._say(words)
        self._vocabulary = vocabulary
        try:
            self._read(vocabulary)
        except TemplateError as error:
            raise TemplateError(f"{path.name}: {error}") from None
        except WorkbookError as error:
            raise TemplateError(str(error)) from error
        except MarkupError as error:
            raise TemplateError(f"{path.name}: the part of its styles {error}") from error
        except (ElementTree.ParseError, LookupError, ValueError) as error:
            raise TemplateError(f"{path.name}: the workbook is damaged ({error})") from error

    def _say(self, words: Callable[[str], str]) -> None:
        """Put the texts of the workbook that are no tokens into other words."""
        book = self._parts.workbook
        parts = [part for kind, part, _ in self._parts.relations(book) if kind in ("sharedStrings", "worksheet")]

        def said(match: re.Match[str]) -> str:
            pieces = TOKEN.split(match[2])  # text, inner of a token, text ...
            tokens = [each[0] for each in TOKEN.finditer(match[2])]
            texts = [escape(words(unescape(piece))) for piece in pieces[::2]]
            return match[1] + "".join(a + b for a, b in zip(texts, [*tokens, ""], strict=True)) + match[3]

        for part in filter(self._parts.__contains__, parts):
            xml = self._parts[part].decode()
            self._parts[part] = re.sub(r"(<(?:\w+:)?t(?:\s[^>]*)?>)([^<]*)(</(?:\w+:)?t>)", said, xml).encode()

    def _read(self, vocabulary: Vocabulary) -> None:
        parts = self._parts
        if parts.macros:
            raise TemplateError("the template has macros; save it as a workbook without macros")
        self._tags = re.findall(r"<(?:\w+:)?sheet\s[^>]*>", parts[parts.workbook].decode())
        self._names = [_attribute(tag, "name") for tag in self._tags]
        self._name = self._names[0]
        key = re.search(r'\w+:id="([^"]*)"', self._tags[0])
        card = next((part for _, part, found in parts.relations(parts.workbook) if key and found == key[1]), None)
        if card is None:
            raise TemplateError(f"the first sheet {self._name!r} has no part")
        self._card = card
        strings = SharedTexts(self._named("sharedStrings"), self.path.name)
        self.form = Form(parts[self._card], strings, self._formats(), vocabulary)
        self._check_known()
        self.form.check_required()
        self._check_parts()
        self._check_copies(self._card)
        self._check_other_sheets()
        texts = [*strings]
        texts += [parts[part].decode() for kind, part, _ in parts.relations(parts.workbook) if kind == "worksheet"]
        self._texts = texts
        everywhere = {match[0] for text in texts for match in TOKEN.finditer(text)}
        self._elsewhere = everywhere - {place.text for place in self.form.places}
        # the drawing that pictures are added to, where the template has one
        self._drawing = next(
            (part for _, part, found in parts.relations(self._card) if found == self.form.scan.drawing), None
        )

    def _formats(self) -> list[CellFormat]:
        part = self._named("styles")
        return [] if part is None else read_formats(Markup(part, root="styleSheet", namespace=MAIN))

    def _check_known(self) -> None:
        """Refuse tokens nobody knows: raw on a card they would be read as words."""
        unknown = [
            f"cell {cell.reference}: {place.text}"
            for cell in self.form.scan.cells
            for place in cell.places
            if place.kind == "unknown"
        ]
        listed = {text.partition(": ")[2] for text in unknown}
        unknown += [f"page header or footer: {text}" for text in self.form.unknown if text not in listed]
        if unknown:
            raise TemplateError(f"sheet {self._name}: not known as a token: {'; '.join(unknown)}")

    def _named(self, kind: str) -> bytes | None:
        part = self._parts.related(self._parts.workbook, kind)
        return None if part is None else self._parts.get(part)

    @property
    def unknown(self) -> list[str]:
        """Tokens nobody knows, and tokens on other sheets than the first, which are not filled."""
        return self.form.unknown + sorted(f"{text} (not on the first sheet)" for text in self._elsewhere)

    @property
    def unused(self) -> list[str]:
        """Known tokens that the template does not use."""
        return self.form.unused

    @property
    def tokens(self) -> set[str]:
        """The tokens that leave something on the sheet; those of repeating rows as `group.token`."""
        return {place.token for place in self.form.places if place.kind in ("value", "picture")}

    @property
    def texts(self) -> list[str]:
        """Texts that stand on any sheet or in the workbook's shared texts."""
        return [*self._texts]

    @property
    def name(self) -> str:
        """Name of the sheet that is filled."""
        return self._name

    @property
    def other_sheets(self) -> list[str]:
        """Names of the sheets that go into the pack once."""
        return self._names[1:]

    def _check_parts(self) -> None:
        """Refuse what could not be written again: sheets without numbers, parts without a type, odd relations."""
        parts = self._parts
        for tag in self._tags:
            if not re.fullmatch(r"[0-9]{1,9}", _attribute(tag, "sheetId")):
                raise TemplateError(f"sheet {_attribute(tag, 'name')!r} has no number of its own")
        for part in (parts.workbook, self._card):
            if part not in parts.types:
                raise TemplateError(f"part {part} has no content type of its own")
            if "</" not in parts.relations_xml(part):
                raise TemplateError(f"the relations of part {part} are damaged")

    def _check_copies(self, part: str, above: tuple[str, ...] = ()) -> None:
        for kind, target, _ in self._parts.relations(part):
            if kind in _SHARED:
                continue
            if kind not in _COPIED:
                raise TemplateError(f"sheet {self._name!r} holds a {kind}, which cannot be copied for each card")
            if target not in self._parts:
                raise TemplateError(f"part {target}, to which {part} refers, is missing")
            if target in above or len(above) > _DEEPEST:
                raise TemplateError(f"part {target} refers to itself")
            if target.endswith((".xml", ".vml")):
                self._parts[target].decode()  # it will be searched for tokens
            self._check_copies(target, (*above, part))

    def _check_other_sheets(self) -> None:
        for kind, part, _ in self._parts.relations(self._parts.workbook):
            if kind == "worksheet" and part != self._card and self._mentions(self._parts[part].decode()):
                raise TemplateError(
                    f"a formula on another sheet refers to sheet {self._name!r}; it would show the first card only"
                )

    def _mentions(self, xml: str) -> bool:
        return self._renamed(xml, "\0") != xml

    def _renamed(self, xml: str, new: str) -> str:
        """Formulas and links that name the card's sheet, with its new name."""
        quoted, bare = (escape(f"{name}!") for name in ("'" + self._name.replace("'", "''") + "'", self._name))
        if quoted not in xml and bare not in xml:
            return xml
        target = escape("'" + new.replace("'", "''") + "'!")
        name = re.compile(rf"{re.escape(quoted)}|(?<![\w.'\]]){re.escape(bare)}")

        def inside(match: re.Match[str]) -> str:
            return match[1] + name.sub(lambda _: target, match[2]) + match[3]

        formulas = r"(<(?:\w+:)?(?:f|formula|formula1|formula2|definedName)(?:\s[^>]*)?>)([^<]*)(<)"
        return re.sub(r'(\slocation=")([^"]*)(")', inside, re.sub(formulas, inside, xml))

    def write(
        self, target: Path, cards: Iterable[tuple[str, Filling]], *, contents: Callable[[], Contents] | None = None
    ) -> Written:
        """Write the pack: one sheet per card, in the order given, under the names given.

        contents : asked once the cards are written, for a sheet before them.

        A card that cannot be filled is left out and listed with its reason; the others are written. The file appears
        whole or not at all. Raises TemplateError where no card is left or the target cannot be written.
        """
        written = Written()
        try:
            check_target(target, self.path)
            write_new(target, lambda file: self._write(file, cards, written, contents))
        except WorkbookError as error:
            raise TemplateError(str(error)) from error
        return written

    def _write(
        self, file: BinaryIO, cards: Iterable[tuple[str, Filling]], written: Written,
        contents: Callable[[], Contents] | None,
    ) -> None:  # fmt: skip
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as book:
            out = Out(book, self._parts)
            sheets = self._write_parts(out, cards, written)
            self._write_book(out, sheets, self._write_contents(out, contents(), written) if contents else None)

    def _write_contents(self, out: Out, contents: Contents, written: Written) -> str:
        """The sheet before the cards; gives its name."""
        out.write(contents_sheet.PART, contents_sheet.sheet_xml(contents, written.sheets, self._paper))
        out.types[contents_sheet.PART] = contents_sheet.TYPE
        return contents.name

    def _write_parts(self, out: Out, cards: Iterable[tuple[str, Filling]], written: Written) -> list[Sheet]:
        sheets: list[Sheet] = []
        for number, (name, filling) in enumerate(cards):
            try:
                filled = self.form.fill(filling, clone=bool(sheets), paper=self._paper)
            except TemplateError as error:
                written.refused.append((number, str(error)))
                continue
            written.notes += [note for note in filled.notes if note not in written.notes]
            sheets.append((name, self._card if not sheets else out.free(self._card), filled.added))
            self._write_card(out, sheets[-1][1], name, filling, filled, first=len(sheets) == 1)
            written.sheets.append((number, name))
        if not sheets:
            raise TemplateError("no card to write" + "".join(f": {reason}" for _, reason in written.refused[:1]))
        return sheets

    def _write_card(self, out: Out, part: str, name: str, filling: Filling, filled: Filled, *, first: bool) -> None:
        relations, xml, pictures = self._parts.relations_xml(self._card), filled.xml, filled.pictures

        def change(text: str) -> str:
            return self._titles(attached(self._renamed(text, name), filled.added), filling)

        if pictures and self._drawing is None:
            drawing, identity = out.free("xl/drawings/drawing1.xml"), "rIdOrderPicture"
            relations = add_relation(relations, identity, "drawing", drawing)
            at = filled.drawing_position
            tag = f'<{self.form.scan.prefix}drawing xmlns:r="{OFFICE}" r:id="{identity}"/>'
            xml = xml[:at] + tag.encode() + xml[at:]
            out.write(drawing, _with_pictures(_NEW_DRAWING, pictures))
            out.types[drawing] = _DRAWING_TYPE
        for kind, target, identity in self._parts.relations(self._card):
            if kind not in _SHARED:
                own = pictures if target == self._drawing else ()
                relations = retarget(relations, identity, self._copy(out, target, change, own, first=first))
        out.write(part, self._renamed(xml.decode(), name))
        out.types[part] = self._parts.types[self._card]
        if has_relations(relations):
            out.write(relations_part(part), relations)

    def _titles(self, xml: str, filling: Filling) -> str:
        """A drawing or a chart with the tokens in its texts filled."""

        def value(match: re.Match[str]) -> str:
            place = Finder(self._vocabulary).split(match[0], 0)[0]
            if not isinstance(place, TokenPlace) or place.kind != "value":
                return match[0]
            return escape(clean(plain(place.value(filling))))

        return TOKEN.sub(value, xml) if "{{" in xml else xml

    def _copy(self, out: Out, part: str, change: Callable[[str], str], pictures: Pictures = (), *, first: bool) -> str:
        """Copy a part and what hangs on it for one card; the first card takes over the template's own."""
        copy = part if first else out.free(part)
        data: str | bytes = self._parts[part]
        if part.endswith((".xml", ".vml")):
            data = change(self._parts[part].decode())
            data = _with_pictures(data, pictures) if pictures else data
        relations = self._parts.relations_xml(part)
        for kind, target, identity in self._parts.relations(part):
            inner = target if kind in _SHARED else self._copy(out, target, change, first=first)
            relations = retarget(relations, identity, inner)
        out.write(copy, data)
        if has_relations(relations):
            out.write(relations_part(copy), relations)
        if part in self._parts.types:
            out.types[copy] = self._parts.types[part]
        return copy

    def _write_book(self, out: Out, sheets: Sequence[Sheet], first: str | None) -> None:
        """The workbook part with its new list of sheets, and every part that no card has touched.

        first : name of the sheet of contents, before all of them.
        """
        book = self._parts.workbook
        xml, relations = self._parts[book].decode(), self._parts.relations_xml(book)
        highest = max(int(_attribute(tag, "sheetId")) for tag in self._tags)
        tags = []
        for number, (name, part, _) in enumerate(sheets):
            tag = set_attribute(set_attribute(self._tags[0].encode(), "state", None), "name", name)
            if number:
                identity = f"rIdCard{number + 1}"
                tag = set_attribute(tag, "sheetId", str(highest + number))
                tag = re.sub(rb'(\w+:id=")[^"]*"', rb"\g<1>" + identity.encode() + b'"', tag)
                relations = add_relation(relations, identity, "worksheet", part)
            tags.append(tag.decode())
        if first is not None:
            tag = set_attribute(set_attribute(self._tags[0].encode(), "state", None), "name", first)
            tag = set_attribute(tag, "sheetId", str(highest + len(sheets)))
            tags.insert(0, re.sub(rb'(\w+:id=")[^"]*"', rb"\g<1>rIdContents" + b'"', tag).decode())
            relations = add_relation(relations, "rIdContents", "worksheet", contents_sheet.PART)
        xml = xml.replace(self._tags[0], "".join(tags), 1)
        xml = self._defined_names(xml, sheets, 0 if first is None else 1)
        xml = _edit_tag(xml, "workbookView", activeTab=None, firstSheet=None)
        if self.form.scan.has_formulas:
            xml = _calculated(xml)
        chain = self._parts.related(book, "calcChain")
        if chain is not None:
            relations = re.sub(r"<(?:\w+:)?Relationship\s[^>]*/calcChain[\"'][^>]*/>", "", relations)
        out.write(book, xml)
        out.write(relations_part(book), relations)
        out.types[book] = out.types[book].replace("template.main", "sheet.main")
        for part, data in self._parts.items():
            if part in out.written or part in (chain, TYPES):
                continue
            if part == "docProps/app.xml":  # a list of the template's sheets, which is no longer true
                data = re.sub(rb"<(HeadingPairs|TitlesOfParts)>.*?</\1>", b"", data, flags=re.DOTALL)
            out.write(part, data)
        out.write_types(self._parts[TYPES].decode())

    def _defined_names(self, xml: str, sheets: Sequence[Sheet], before: int) -> str:
        """Defined names: print areas and titles of the card for every card, those of other sheets moved on."""
        block = re.search(r"<(?:\w+:)?definedNames>(.*?)</(?:\w+:)?definedNames>", xml, flags=re.DOTALL)
        if block is None:
            return xml
        kept = []
        for item in re.findall(r"<(?:\w+:)?definedName\s.*?</(?:\w+:)?definedName>", block[1], flags=re.DOTALL):
            local = re.search(r'localSheetId="(\d+)"', item)
            if local is not None and local[1] != "0":
                kept.append(item.replace(local[0], f'localSheetId="{int(local[1]) + len(sheets) - 1 + before}"'))
                continue
            own = self._name_of(item, sheets[0])
            kept.append(own.replace(local[0], f'localSheetId="{before}"') if local else own)
            if local is None and not self._mentions(item):
                continue
            for number, sheet in enumerate(sheets[1:], 1):
                copy = self._name_of(item, sheet)
                scope = f'localSheetId="{number + before}"'
                copy = (
                    copy.replace(local[0], scope) if local else copy.replace("definedName ", f"definedName {scope} ", 1)
                )
                kept.append(copy)
        return xml[: block.start(1)] + "".join(kept) + xml[block.end(1) :]

    def _name_of(self, item: str, sheet: Sheet) -> str:
        """A defined name of the card's sheet, for one of the cards."""
        if not self._mentions(item):
            return item
        name, _, added = sheet
        grown = re.sub(r">([^<]*)<", lambda match: f">{moved(match[1], added)}<", item)
        return self._renamed(grown, name)


def _attribute(tag: str, name: str) -> str:
    """One attribute of a start tag, whatever its name space."""
    return {key.rpartition(":")[2]: value for key, value in opening(tag.encode()).items()}.get(name, "")


def _edit_tag(xml: str, tag: str, **attributes: str | None) -> str:
    match = re.search(rf"<(?:\w+:)?{tag}\b[^>]*>", xml)
    if match is None:
        return xml
    new = match[0].encode()
    for name, value in attributes.items():
        new = set_attribute(new, name, value)
    return xml[: match.start()] + new.decode() + xml[match.end() :]


def _calculated(xml: str) -> str:
    """The workbook with the order to calculate its formulas on opening, since cached values belong to the template."""
    if re.search(r"<(?:\w+:)?calcPr\b", xml):
        return _edit_tag(xml, "calcPr", fullCalcOnLoad="1")
    ends = list(re.finditer(r"</(\w+:)?(?:sheets|externalReferences|definedNames)>", xml))
    prefix = ends[-1][1] or ""
    return xml[: ends[-1].end()] + f'<{prefix}calcPr fullCalcOnLoad="1"/>' + xml[ends[-1].end() :]


def _with_pictures(drawing: str, pictures: Pictures) -> str:
    """A drawing part with pictures added, their shapes numbered on from those there."""
    free = 1 + max((int(number) for number in re.findall(r'cNvPr\b[^>]*?\sid="(\d+)"', drawing)), default=1)
    drawing = re.sub(r"<((?:\w+:)?wsDr)([^>]*)/>\s*$", r"<\1\2></\1>", drawing)
    anchors = ""
    for picture, area in pictures:
        anchor = picture(area, free)
        free += anchor.count("cNvPr ")
        anchors += anchor
    end = drawing.rindex("</")
    return drawing[:end] + anchors + drawing[end:]
