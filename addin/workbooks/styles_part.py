"""A few cell formats added to the end of a styles part; every format that is there keeps its place."""

import re
from dataclasses import dataclass, field
from functools import cached_property

from addin.workbooks.cell_formats import CellFormat, read_formats
from addin.workbooks.markup import MAIN, Markup, MarkupError, Tag, attributes, opening, set_attribute

FORMATS_LIMIT = 64_000
"""Most cell formats a workbook may have."""
GREY = b"FFD9D9D9"

_BUILT_IN = {"General": 0, "0": 1, "0.00": 2, "#,##0": 3, "#,##0.00": 4, "0%": 9, "0.00%": 10, "@": 49}


@dataclass(frozen=True)
class Style:
    """How one cell looks: its number format, and whether it is bold, wrapped, on grey.

    Beside a cell that is there it looks like that one, and only the number format is its own.
    """

    number_format: str = "General"
    bold: bool = False
    wrap: bool = False
    fill: bool = False
    left: bool = False
    """Begins at the left whatever the cell beside it does: a long text then runs on to the right."""
    _hash: int = field(init=False, repr=False, compare=False, default=0)

    def __post_init__(self) -> None:
        """Hash once: every cell that is written looks its style up."""
        object.__setattr__(self, "_hash", hash((self.number_format, self.bold, self.wrap, self.fill)))

    def __hash__(self) -> int:
        return self._hash


class StyleError(Exception):
    """Formats cannot be added; the message says why."""


@dataclass
class _Collection:
    """One list of the styles part: where it stands, its entries as bytes, and those that are new."""

    tag: Tag
    closing: int
    entries: list[bytes]
    added: list[bytes]

    def place(self, entry: bytes) -> int:
        """The index of an entry: of an equal one if there is one, else of a new one at the end."""
        known = [*self.entries, *self.added]
        if entry in known:
            return known.index(entry)
        self.added.append(entry)
        return len(known)


@dataclass(frozen=True)
class Highlight:
    """What a conditional format lays over a cell: colours as RRGGBB, "" for none."""

    fill: str = ""
    ink: str = ""
    bold: bool = False
    italic: bool = False


@dataclass(frozen=True)
class _Base:
    """A format of the workbook, as far as another one takes it over."""

    font: int
    fill: int
    border: int
    named: str
    alignment: str


class StylesPart:
    """A styles part, and the formats to be added to it.

    grouped : whether numbers are shown with separators of thousands, as the planner's are.

    Raises StyleError when the part is not as a spreadsheet writes it.
    """

    def __init__(self, content: bytes) -> None:
        try:
            self.markup = markup = Markup(content, root="styleSheet", namespace=MAIN)
        except MarkupError as error:
            raise StyleError(f"the styles part {error}") from error
        self.prefix = markup.prefix
        self.grouped = False
        self._made: dict[tuple[Style, int | None], int] = {}
        self._bases: dict[int, _Base | None] = {}
        self._later = 0
        self.collections: dict[str, _Collection] = {}
        self.named_styles = False
        self.root_end = 0
        self.codes: dict[str, int] = {}
        self._read()
        missing = [name for name in ("fonts", "fills", "cellXfs") if not self._entries(name)]
        if missing:
            raise StyleError(f"the styles part has no {missing[0]}")
        self.highest = max([163, *self.codes.values()])
        self.new_codes: list[bytes] = []

    @cached_property
    def formats(self) -> list[CellFormat]:
        """The formats that were there, as a reader sees them."""
        try:
            return read_formats(self.markup)
        except MarkupError as error:
            raise StyleError(f"the styles part {error}") from error

    def _entries(self, name: str) -> list[bytes]:
        return self.collections[name].entries if name in self.collections else []

    def _read(self) -> None:
        """Note the lists that formats are made of, which are the grandchildren of the root."""
        depth, inside, child = 0, None, 0
        for tag in self.markup.tags():
            if not tag.closing:
                depth += 1
                if depth == 1:
                    self.root_end = tag.end
                elif depth == 2 and tag.prefix == self.prefix:
                    self.named_styles = self.named_styles or tag.name == "cellStyleXfs"
                    if tag.name in ("tableStyles", "colors", "extLst") and not self._later:
                        self._later = tag.start
                    if tag.name in ("numFmts", "fonts", "fills", "borders", "cellXfs", "dxfs"):
                        if tag.name in self.collections:
                            raise StyleError(f"the styles part has two lists of {tag.name}")
                        inside = self.collections[tag.name] = _Collection(tag, tag.end, [], [])
                elif depth == 3:
                    child = tag.start
                    if inside is not None and inside.tag.name == "numFmts" and tag.name == "numFmt":
                        given = tag.attributes()
                        if given.get("numFmtId", "").isdecimal():
                            self.codes.setdefault(given.get("formatCode", ""), int(given["numFmtId"]))
            if tag.closing or tag.empty:
                if depth == 3 and inside is not None:
                    inside.entries.append(self.markup.content[child : tag.end])
                elif depth == 2:
                    if inside is not None:
                        inside.closing = tag.start if tag.closing else tag.end
                    inside = None
                elif depth == 1:
                    self._later = self._later or tag.start
                depth -= 1

    def _tag(self, text: str) -> bytes:
        """Markup with the prefix of the part put to every name."""
        return re.sub(rb"<(/?)", rb"<\1" + self.prefix, text.encode("utf-8"))

    def format(self, style: Style, base: int | None = None) -> int:
        """The index of a format; beside a cell of the format `base` it looks like that one.

        Raises StyleError when the workbook has as many formats as it may have.
        """
        key = (style, base)
        if key not in self._made:
            like = self._base(base) if base is not None else None
            self._made[key] = self._plain(style) if like is None else self._like(style, like)
        return self._made[key]

    def _like(self, style: Style, base: _Base) -> int:
        code = style.number_format
        if self.grouped and re.fullmatch(r"0(\.0+)?", code):
            code = "#,##0" + code[1:]
        alignment = base.alignment
        if style.left:  # rows keep their height: a long sentence runs on to the right, in one line
            alignment = re.sub(r' (?:horizontal="center"|wrapText="\w+")', "", alignment)
        inner = f"<alignment{alignment}/>" if alignment else ""
        return self._add(
            f'<xf numFmtId="{self._number_format(code)}" fontId="{base.font}" fillId="{base.fill}" '
            f'borderId="{base.border}"{base.named} applyNumberFormat="1" applyFont="1" applyFill="1" applyBorder="1" '
            f'applyAlignment="1"' + (f">{inner}</xf>" if inner else "/>")
        )

    def _base(self, index: int) -> _Base | None:
        """What another format takes over from one that is there; None where that cannot be read."""
        if index not in self._bases:
            self._bases[index] = self._read_base(index)
        return self._bases[index]

    def _read_base(self, index: int) -> _Base | None:
        xfs = self.collections["cellXfs"]
        known = [*xfs.entries, *xfs.added]
        if not 0 <= index < len(known):
            return None
        given = opening(known[index])
        try:
            font, fill, border = (int(given.get(name, "0")) for name in ("fontId", "fillId", "borderId"))
        except ValueError:
            return None
        if not (font < len(self._entries("fonts")) and fill < len(self._entries("fills"))) or (
            border and border >= len(self._entries("borders"))
        ):
            return None
        named = f' xfId="{given["xfId"]}"' if given.get("xfId", "").isdecimal() else ""
        found = re.search(rb"<(?:[^\s<>]+:)?alignment\b([^<>]*?)/?>", known[index])
        alignment = attributes(found[1]) if found else {}
        kept = [
            f' {name}="{alignment[name]}"'
            for name in ("horizontal", "vertical", "wrapText")
            if name in alignment and (name != "horizontal" or alignment[name] == "center")
        ]
        return _Base(self._own_font(font), fill, border, named, "".join(kept))

    def _own_font(self, index: int) -> int:
        """A font of the planner; that of a link without its line and colour."""
        fonts = self.collections["fonts"]
        font = [*fonts.entries, *fonts.added][index]
        line = rb"<" + re.escape(self.prefix) + rb"%s(?:\s[^<>]*)?/>"
        if not re.search(line % b"u", font):
            return index
        return fonts.place(re.sub(line % b"color", b"", re.sub(line % b"u", b"", font)))

    def highlight(self, look: Highlight) -> int:
        """The index of what a conditional format lays over a cell."""
        if "dxfs" not in self.collections:
            tag = Tag(self._later, self._later, self.prefix, "dxfs", b"", closing=False, empty=True)
            self.collections["dxfs"] = _Collection(tag, self._later, [], [])
        font = ("<b/>" if look.bold else "") + ("<i/>" if look.italic else "")
        font += f'<color rgb="FF{look.ink}"/>' if look.ink else ""
        fill = (
            f'<fill><patternFill patternType="solid"><fgColor rgb="FF{look.fill}"/><bgColor rgb="FF{look.fill}"/>'
            "</patternFill></fill>"
        )
        whole = (f"<font>{font}</font>" if font else "") + (fill if look.fill else "")
        return self.collections["dxfs"].place(self._tag(f"<dxf>{whole}</dxf>"))

    def _plain(self, style: Style) -> int:
        number = self._number_format(style.number_format)
        font = self._bold() if style.bold else 0
        fill = self._grey() if style.fill else 0
        named = ' xfId="0"' if self.named_styles else ""
        wrap = ' wrapText="1"' if style.wrap else ""
        return self._add(
            f'<xf numFmtId="{number}" fontId="{font}" fillId="{fill}" borderId="0"{named} applyNumberFormat="1" '
            f'applyFont="1" applyFill="1" applyAlignment="1"><alignment vertical="top"{wrap}/></xf>'
        )

    def look(self, *, bold: bool, wrap: bool, fill: str, lined: bool, number_format: str = "General") -> int:
        """The index of a format for a sheet of our own: `fill` as RRGGBB or "", `lined` with thin lines round it."""
        font = self._bold() if bold else 0
        shade = self._solid(fill) if fill else 0
        border = 0
        if lined and "borders" in self.collections:
            sides = "".join(
                f'<{side} style="thin"><color rgb="FFBFBFBF"/></{side}>' for side in ("left", "right", "top", "bottom")
            )
            border = self.collections["borders"].place(self._tag(f"<border>{sides}<diagonal/></border>"))
        named = ' xfId="0"' if self.named_styles else ""
        wrapped = ' wrapText="1"' if wrap else ""
        return self._add(
            f'<xf numFmtId="{self._number_format(number_format)}" fontId="{font}" fillId="{shade}" '
            f'borderId="{border}"{named} applyNumberFormat="1" applyFont="1" applyFill="1" '
            'applyBorder="1" applyAlignment="1">'
            f'<alignment vertical="top"{wrapped}/></xf>'
        )

    def _add(self, entry: str) -> int:
        index = self.collections["cellXfs"].place(self._tag(entry))
        if index >= FORMATS_LIMIT:
            raise StyleError(f"the workbook has {index} cell formats, the limit is {FORMATS_LIMIT}")
        return index

    def _number_format(self, code: str) -> int:
        if code in _BUILT_IN:
            return _BUILT_IN[code]
        if code not in self.codes:
            self.highest += 1
            self.codes[code] = self.highest
            text = code.replace("&", "&amp;").replace('"', "&quot;").replace("<", "&lt;")
            self.new_codes.append(
                self._tag("<numFmt/>")[:-2] + f' numFmtId="{self.highest}" formatCode="{text}"/>'.encode()
            )
        return self.codes[code]

    def _bold(self) -> int:
        """The first font of the workbook, bold."""
        fonts = self.collections["fonts"]
        font, bold = fonts.entries[0], self._tag("<b/>")
        after = font.index(b">") + 1
        if re.search(rb"<" + re.escape(self.prefix) + rb"b[\s/>]", font):
            return 0
        if font.endswith(b"/>") and font.count(b"<") == 1:
            return fonts.place(self._tag("<font>") + bold + self._tag("</font>"))
        return fonts.place(font[:after] + bold + font[after:])

    def _grey(self) -> int:
        return self._solid(GREY.decode()[2:])

    def _solid(self, colour: str) -> int:
        fills = self.collections["fills"]
        if len(fills.entries) + len(fills.added) < 2:  # the first two places are reserved, whatever stands there
            fills.added.append(self._tag('<fill><patternFill patternType="gray125"/></fill>'))
        return fills.place(
            self._tag(
                f'<fill><patternFill patternType="solid"><fgColor rgb="FF{colour}"/>'
                '<bgColor indexed="64"/></patternFill></fill>'
            )
        )

    def patched(self) -> bytes:
        """The part with what was added; the same bytes when nothing was."""
        edits: list[tuple[int, int, bytes]] = []
        if self.new_codes:
            if "numFmts" in self.collections:
                self.collections["numFmts"].added.extend(self.new_codes)
            else:
                whole = self._tag(f'<numFmts count="{len(self.new_codes)}">') + b"".join(self.new_codes)
                edits.append((self.root_end, self.root_end, whole + self._tag("</numFmts>")))
        for each in self.collections.values():
            if each.added:
                edits.extend(self._appended(each))
        content, done = [], 0
        for start, end, new in sorted(edits):
            content += [self.markup.content[done:start], new]
            done = end
        return b"".join([*content, self.markup.content[done:]])

    def _appended(self, each: _Collection) -> list[tuple[int, int, bytes]]:
        if not each.tag.raw and each.tag.start == each.tag.end:  # a list that was not there
            whole = f'<{each.tag.name} count="{len(each.added)}">'
            made = self._tag(whole) + b"".join(each.added) + self._tag(f"</{each.tag.name}>")
            return [(each.tag.start, each.tag.end, made)]
        tag = self.markup.content[each.tag.start : each.tag.end]
        if b"count" in each.tag.raw:
            tag = set_attribute(tag, b"count", str(len(each.entries) + len(each.added)).encode())
        added = b"".join(each.added)
        if each.tag.empty:
            name = b"</" + self.prefix + each.tag.name.encode() + b">"
            return [(each.tag.start, each.tag.end, tag[:-2].rstrip() + b">" + added + name)]
        return [(each.tag.start, each.tag.end, tag), (each.closing, each.closing, added)]
