"""Filter, table and print area of a list over our columns: found, and where that is wanted made to reach them."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from addin.workbooks.addresses import Area, area, letters
from addin.workbooks.long_part import Content
from addin.workbooks.markup import MAIN, Markup, MarkupError, Tag, edited, set_attribute, tags
from addin.workbooks.package import Package, WorkbookError
from addin.workbooks.sheet_part import SheetScan, SheetTable

NOT_USED = "not used"
"""Heading of a column of ours in a table that holds nothing any more: a table has no column without a heading."""


@dataclass
class Extension:
    """What is to be changed for our columns outside the cells: parts, edits of the sheet part, what to say, and the
    tables as they are then.
    """

    parts: dict[str, bytes] = field(default_factory=dict)
    edits: list[tuple[int, int, bytes]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    tables: tuple[SheetTable, ...] = ()


@dataclass(frozen=True)
class Ours:
    """Our columns: their numbers from left to right, the row of their headings, and the headings by column."""

    columns: tuple[int, ...]
    heading_row: int
    headings: Mapping[int, str]

    @property
    def together(self) -> bool:
        """Whether no other column stands between them."""
        return self.columns[-1] - self.columns[0] == len(self.columns) - 1


def reach(package: Package, scan: SheetScan, plain: Content, ours: Ours, *, wanted: bool) -> Extension:
    """What of filter, tables and print area ends before our columns, and with `wanted` the changes that carry it on.

    Names of table columns follow our headings in any case. Raises WorkbookError for a table that cannot be read.
    """
    out = Extension(tables=scan.tables)
    for link in package.relations(scan.sheet.part):
        if link.kind == "table":
            _table(package, link.target, ours, out, wanted=wanted)
    _filter(scan, plain, ours, out, wanted=wanted)
    return out


def _reaches(place: Area, ours: Ours) -> bool | None:
    """Whether a range of the list reaches all our columns; None where it is none of the list or lies elsewhere."""
    first, last = ours.columns[0], ours.columns[-1]
    if place.top != ours.heading_row or place.left >= first or place.right < first - 1:
        return None
    return place.right >= last


def _table(package: Package, part: str, ours: Ours, out: Extension, *, wanted: bool) -> None:
    content = package.read(part)
    try:
        markup = Markup(content, namespace=MAIN)
    except MarkupError as error:
        raise WorkbookError(f"{package.path.name}: part {part} {error}") from error
    found = list(markup.tags())
    head = next(tag for tag in found if tag.name == "table")
    given = head.attributes()
    place, name = area(given.get("ref", "")), given.get("displayName", given.get("name", ""))
    if place is None or given.get("headerRowCount", "1") != "1":
        return
    columns = [tag for tag in found if tag.name == "tableColumn" and not tag.closing]
    edits: list[tuple[int, int, bytes]] = []
    names = [tag.attributes().get("name", "") for tag in columns]
    if place.top == ours.heading_row:
        for number, heading in ours.headings.items():
            at = number - place.left
            if 0 <= at < len(columns) and names[at] != heading:
                tag, names[at] = columns[at], heading
                edits.append((tag.start, tag.end, set_attribute(content[tag.start : tag.end], b"name", _said(heading))))
    reaches = _reaches(place, ours)
    if reaches is False:
        wider = replace(place, right=ours.columns[-1])
        new = [ours.headings.get(number, "") for number in range(place.right + 1, wider.right + 1)]
        why = _hindrance([*names, *new], ours)
        if wanted and not why:
            edits += _widened(content, found, head, columns, wider, new)
            out.tables = tuple(replace(each, area=wider) if each.name == name else each for each in out.tables)
        elif wanted:
            out.notes.append(f"table {name} ({place}) is not extended: {why}")
        else:
            out.notes.append(f"table {name} ({place}) ends before our columns: {PARTS}")
    if edits:
        out.parts[part] = edited(content, edits)


PARTS = "sorted through it, the rows are parted from them; --extend lets it reach them"


def _hindrance(names: list[str], ours: Ours) -> str:
    if not ours.together:
        return "other columns stand between ours"
    folded = [name.casefold() for name in names]
    twice = next((name for name in names if folded.count(name.casefold()) > 1), None)
    if twice is not None:
        return f"its column '{twice}' would stand twice; give yours another heading"
    return "" if all(names) else "a column has no heading"


def _widened(
    content: bytes, found: list[Tag], head: Tag, columns: list[Tag], wider: Area, new: list[str]
) -> Iterator[tuple[int, int, bytes]]:
    yield head.start, head.end, set_attribute(content[head.start : head.end], b"ref", str(wider).encode())
    for tag in found:
        if tag.name == "autoFilter" and not tag.closing:
            own = area(tag.attributes().get("ref", ""))
            if own:
                ref = str(replace(own, right=wider.right)).encode()
                yield tag.start, tag.end, set_attribute(content[tag.start : tag.end], b"ref", ref)
        elif tag.name == "tableColumns" and not tag.closing:
            count = str(len(columns) + len(new)).encode()
            yield tag.start, tag.end, set_attribute(content[tag.start : tag.end], b"count", count)
        elif tag.name == "tableColumns":
            highest = max(int(column.attributes().get("id", "0")) for column in columns)
            yield (
                tag.start,
                tag.start,
                b"".join(
                    b'<%btableColumn id="%d" name="%b"/>' % (tag.prefix, highest + k, _said(name))
                    for k, name in enumerate(new, 1)
                ),
            )


def _said(heading: str) -> bytes:
    text = heading.replace("&", "&amp;").replace("<", "&lt;").replace('"', "&quot;").replace("\n", "_x000a_")
    return text.encode()


def _filter(scan: SheetScan, plain: Content, ours: Ours, out: Extension, *, wanted: bool) -> None:
    """The filter of the sheet itself."""
    for tag in tags(plain, scan.data[1]):
        if tag.name == "autoFilter" and tag.prefix == scan.prefix and not tag.closing:
            place = area(tag.attributes().get("ref", ""))
            if place is None or _reaches(place, ours) is not False:
                return
            if wanted:
                ref = str(replace(place, right=ours.columns[-1])).encode()
                out.edits.append((tag.start, tag.end, set_attribute(plain[tag.start : tag.end], b"ref", ref)))
            else:
                out.notes.append(f"the filter {place} ends before our columns: {PARTS}")
            return
        if tag.name in ("customSheetViews", "extLst"):
            return


def names_reaching(package: Package, content: bytes, sheet: str, ours: Ours) -> bytes:
    """The workbook part with print area and filter of a sheet over our columns."""
    try:
        markup = Markup(content, root="workbook", namespace=MAIN)
    except MarkupError as error:
        raise WorkbookError(f"{package.path.name}: part {package.workbook} {error}") from error
    at = next(k for k, each in enumerate(package.sheets) if each.name == sheet)
    first, last = ours.columns[0], ours.columns[-1]
    edits = []
    for tag in markup.tags():
        if tag.name != "definedName" or tag.closing or tag.empty:
            continue
        given = tag.attributes()
        name = given.get("name", "")
        if given.get("localSheetId") != str(at) or name not in ("_xlnm.Print_Area", "_xlnm._FilterDatabase"):
            continue
        end = markup.plain.find(b"<", tag.end)
        text = content[tag.end : end].decode("utf-8")
        pieces = re.split(r"(?<=\d),(?=')|(?<=\d),(?=[^']*!)", text)
        for k, piece in enumerate(pieces):
            where, mark, ref = piece.rpartition("!")
            place = area(ref)
            listed = place and place.top <= ours.heading_row <= place.bottom
            if place and listed and place.left < first and first - 1 <= place.right < last:
                wide = f"${letters(place.left)}${place.top}:${letters(last)}${place.bottom}"
                pieces[k] = f"{where}{mark}{wide}"
        if ",".join(pieces) != text:
            edits.append((tag.end, end, ",".join(pieces).encode()))
    return edited(content, edits)
