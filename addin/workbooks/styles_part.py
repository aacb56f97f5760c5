"""A few cell formats added to the end of a styles part; every format that is there keeps its place."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from addin.workbooks.markup import MAIN, Markup, MarkupError, Tag, set_attribute

FORMATS_LIMIT = 64_000
"""Most cell formats a workbook may have."""
GREY = b"FFD9D9D9"

_BUILT_IN = {"General": 0, "0": 1, "0.00": 2, "#,##0": 3, "#,##0.00": 4, "0%": 9, "0.00%": 10, "@": 49}


@dataclass(frozen=True)
class Style:
    """How one cell looks: its number format, and whether it is bold, wrapped, on grey."""

    number_format: str = "General"
    bold: bool = False
    wrap: bool = False
    fill: bool = False
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


def add_styles(content: bytes, styles: Iterable[Style]) -> tuple[bytes, dict[Style, int]]:
    """The styles part with these formats in it, and the index of each.

    Raises StyleError when the part is not as a spreadsheet writes it.
    """
    try:
        part = _StylesPart(Markup(content, root="styleSheet", namespace=MAIN))
    except MarkupError as error:
        raise StyleError(f"the styles part {error}") from error
    places = {style: part.format(style) for style in dict.fromkeys(styles)}
    return part.patched(), places


class _StylesPart:
    def __init__(self, markup: Markup) -> None:
        self.markup = markup
        self.prefix = markup.prefix
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
                    if tag.name in ("numFmts", "fonts", "fills", "cellXfs"):
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
                depth -= 1

    def _tag(self, text: str) -> bytes:
        """Markup with the prefix of the part put to every name."""
        return re.sub(rb"<(/?)", rb"<\1" + self.prefix, text.encode("utf-8"))

    def format(self, style: Style) -> int:
        number = self._number_format(style.number_format)
        font = self._bold() if style.bold else 0
        fill = self._grey() if style.fill else 0
        named = ' xfId="0"' if self.named_styles else ""
        wrap = ' wrapText="1"' if style.wrap else ""
        entry = self._tag(
            f'<xf numFmtId="{number}" fontId="{font}" fillId="{fill}" borderId="0"{named} applyNumberFormat="1" '
            f'applyFont="1" applyFill="1" applyAlignment="1"><alignment vertical="top"{wrap}/></xf>'
        )
        index = self.collections["cellXfs"].place(entry)
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
        opening = font.index(b">") + 1
        if re.search(rb"<" + re.escape(self.prefix) + rb"b[\s/>]", font):
            return 0
        if font.endswith(b"/>") and font.count(b"<") == 1:
            return fonts.place(self._tag("<font>") + bold + self._tag("</font>"))
        return fonts.place(font[:opening] + bold + font[opening:])

    def _grey(self) -> int:
        fills = self.collections["fills"]
        if len(fills.entries) + len(fills.added) < 2:  # the first two places are reserved, whatever stands there
            fills.added.append(self._tag('<fill><patternFill patternType="gray125"/></fill>'))
        return fills.place(
            self._tag(
                f'<fill><patternFill patternType="solid"><fgColor rgb="{GREY.decode()}"/>'
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
        opening = self.markup.content[each.tag.start : each.tag.end]
        if b"count" in each.tag.raw:
            opening = set_attribute(opening, b"count", str(len(each.entries) + len(each.added)).encode())
        added = b"".join(each.added)
        if each.tag.empty:
            name = b"</" + self.prefix + each.tag.name.encode() + b">"
            return [(each.tag.start, each.tag.end, opening[:-2].rstrip() + b">" + added + name)]
        return [(each.tag.start, each.tag.end, opening), (each.closing, each.closing, added)]
