"""What in a workbook depends on our columns: formulas, names, charts, pivot tables, conditional formats.

The stored values of such formulas are dropped, so that no program shows an old number as a new one.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from addin.workbooks.addresses import Area, area, letters, whole_area
from addin.workbooks.long_part import Content, passed
from addin.workbooks.markup import MAIN, Markup, MarkupError, unescape
from addin.workbooks.package import MIB, Package, Sheet
from addin.workbooks.references import TableColumns, Touched

_PART_LIMIT = 16 * MIB
_SHOWN = 6


@dataclass
class Dependents:
    """What depends on some cells.

    notes : lines that say it; dropped : part of a sheet -> edits (begin, end, new bytes) that drop stored values;
    cells : part -> rows and columns of these formulas.
    """

    notes: list[str] = field(default_factory=list)
    dropped: dict[str, list[tuple[int, int, bytes]]] = field(default_factory=dict)
    cells: dict[str, list[tuple[int, int]]] = field(default_factory=dict)


def dependents(package: Package, sheet: Sheet, content: Content, ours: Sequence[Area]) -> Dependents:
    """Find what depends on cells of a sheet, directly or through other formulas.

    content : the part of that sheet; ours : the cells.
    """
    touched = Touched([each.name for each in package.sheets], dict(_tables(package)))
    for cells in ours:
        touched.add_area(sheet.name, cells)
    out = Dependents()
    formulas = dict(_with_formulas(package, sheet, content))
    names = list(_names(package))
    prefixes = {part: _prefix(said) for part, (_, said) in formulas.items()}
    known: dict[str, set[tuple[int, int]]] = {part: set() for part in formulas}
    grows = True
    while grows:
        grows = False
        for name, text in names:
            if name not in touched.names and touched.by(text, ""):
                touched.names.add(name)
                grows = True
        for part, (each, said) in formulas.items():
            at_ours = ours if each.part == sheet.part else ()
            fresh = []
            for cell in _formulas(prefixes[part], said):
                if (cell.row, cell.column) in known[part] or any(a.holds(cell.row, cell.column) for a in at_ours):
                    continue
                unseen = each.part != sheet.part and touched.unseen(cell.text, each.name, sheet.name)
                if unseen or touched.by(cell.text, each.name, cell.shift):
                    fresh.append(cell)
            for cell in fresh:
                known[part].add((cell.row, cell.column))
                touched.add_cell(each.name, cell.row, cell.column)
                if cell.area:
                    touched.add_area(each.name, cell.area)
                if cell.edit:
                    out.dropped.setdefault(part, []).append(cell.edit)
            grows = grows or bool(fresh)
    out.cells = {part: sorted(cells) for part, cells in known.items() if cells}
    for part, found in out.cells.items():
        where = formulas[part][0].name
        out.notes.append(f"formulas that depend on our columns: {where}!{_ranges(found)} ({len(found)})")
    if touched.names:
        out.notes.append(f"names that refer to our columns: {', '.join(sorted(touched.names))}")
    out.notes += _others(package, touched)
    if out.dropped:
        out.notes.append(
            "these formulas have no stored value now and are recalculated when the workbook is opened and saved"
        )
    return out


@dataclass(frozen=True, slots=True)
class _Formula:
    row: int
    column: int
    text: str
    shift: tuple[int, int]
    area: Area | None
    edit: tuple[int, int, bytes] | None


def _with_formulas(package: Package, sheet: Sheet, content: Content) -> Iterator[tuple[str, tuple[Sheet, Content]]]:
    """The parts of sheets that hold formulas."""
    for each in package.sheets:
        if each.kind == "worksheet" and each.part in package.parts:
            said = content if each.part == sheet.part else package.unpacked(each.part)
            start = b"<" + _prefix(said) + b"f"
            if any(said.find(start + after) >= 0 for after in (b">", b" ", b"/")):
                passed(said, 0)
                yield each.part, (each, said)


def _prefix(content: Content) -> bytes:
    found = re.search(rb"<([^\s<>:/!?]+:)?worksheet[\s>]", content[:8192])
    return (found[1] or b"") if found else b""


def _formulas(prefix: bytes, content: Content) -> Iterator[_Formula]:
    """The formulas of a sheet part; a formula shared by several cells for each of them."""
    p, opening = re.escape(prefix), b"<" + prefix + b"c "
    formula = re.compile(
        rb"<" + p + rb"f((?:\s[^<>]*?)?)(?:/>|>([^<]*)</" + p + rb"f\s*>)"
        rb"(\s*<" + p + rb"v\s*(?:/>|>[^<]*</" + p + rb"v\s*>))?"
    )
    shared: dict[bytes, tuple[str, int, int]] = {}
    place_of, end_before = b"<" + prefix + b"f", 0
    while (begin := content.find(place_of, end_before)) >= 0:
        found = formula.match(content, begin)
        end_before = begin + 1 if found is None else found.end()
        passed(content, begin)
        if found is None:
            continue
        start = content.rfind(opening, 0, found.start())
        end = content.find(b">", start)
        raw = content[start + len(opening) - 1 : end]
        place = area(_value(raw, b"r").decode())
        if start < 0 or place is None:
            continue
        text, kind = unescape((found[2] or b"").decode("utf-8", "replace")), _value(found[1], b"t")
        shift, spread = (0, 0), None
        if kind == b"shared":
            index = _value(found[1], b"si")
            if text:
                shared[index] = text, place.top, place.left
            elif index in shared:
                text, row, column = shared[index]
                shift = place.top - row, place.left - column
        elif kind == b"array":
            spread = area(_value(found[1], b"ref").decode())
        edit = None
        if found[3]:
            plain = re.sub(rb"\st=(?:\"[^\"]*\"|'[^']*')", b"", raw)
            whole = opening[:-1] + plain + content[end : found.start(3)]
            edit = (start, found.end(), whole)
        yield _Formula(place.top, place.left, text, shift, spread, edit)


def _value(raw: bytes, name: bytes) -> bytes:
    found = re.search(rb"\s" + name + rb"=[\"']([^\"']*)[\"']", raw)
    return found[1] if found else b""


def _tables(package: Package) -> Iterator[tuple[str, TableColumns]]:
    for sheet in package.sheets:
        for link in package.relations(sheet.part) if sheet.part in package.parts else ():
            markup = _markup(package, link.target) if link.kind == "table" else None
            if markup is None:
                continue
            names, place, called = [], None, ""
            for tag in markup.tags():
                if tag.name == "table" and not tag.closing:
                    given = tag.attributes()
                    place, called = area(given.get("ref", "")), given.get("displayName", given.get("name", ""))
                elif tag.name == "tableColumn" and not tag.closing:
                    names.append(tag.attributes().get("name", ""))
            if place and called:
                yield called, TableColumns(sheet.name, place, names)


def _names(package: Package) -> Iterator[tuple[str, str]]:
    """Names of the workbook and what they stand for; the built-in ones are left out."""
    markup = _markup(package, package.workbook)
    for tag in markup.tags() if markup else ():
        if tag.name == "definedName" and not tag.closing and not tag.empty and markup:
            name = tag.attributes().get("name", "").casefold()
            if not name.startswith("_xlnm"):
                yield name, markup.string(tag.end)


def _markup(package: Package, part: str) -> Markup | None:
    if part not in package.parts or package.parts[part].size > _PART_LIMIT:
        return None
    try:
        return Markup(package.read(part), namespace=MAIN)
    except MarkupError:
        return None


def _others(package: Package, touched: Touched) -> Iterator[str]:
    """Charts, pivot tables and conditional formats of any sheet."""
    found: dict[str, dict[str, int]] = {}
    for sheet in package.sheets:
        if sheet.part not in package.parts:
            continue
        for link in package.relations(sheet.part):
            if link.kind == "drawing":
                charts = [each.target for each in package.relations(link.target) if each.kind.startswith("chart")]
                count = sum(_chart(package, chart, touched, sheet.name) for chart in charts)
                if count:
                    found.setdefault("charts", {})[sheet.name] = count
            elif link.kind == "pivotTable" and _pivot(package, link.target, touched):
                pivots = found.setdefault("pivot tables (refresh them)", {})
                pivots[sheet.name] = pivots.get(sheet.name, 0) + 1
    for what, sheets in found.items():
        text = ", ".join(f"{name} ({count})" for name, count in sheets.items())
        yield f"{what} that show our columns: on sheet {text}"


def _chart(package: Package, part: str, touched: Touched, sheet: str) -> bool:
    if part not in package.parts or package.parts[part].size > _PART_LIMIT:
        return False
    texts = re.findall(rb"<(?:[^\s<>:]+:)?f>([^<]*)</", package.read(part))
    return any(touched.by(unescape(text.decode("utf-8", "replace")), sheet) for text in texts)


def _pivot(package: Package, part: str, touched: Touched) -> bool:
    for link in package.relations(part):
        markup = _markup(package, link.target) if link.kind == "pivotCacheDefinition" else None
        for tag in markup.tags() if markup else ():
            if tag.name == "worksheetSource":
                given = tag.attributes()
                place = area(given.get("ref", "")) or whole_area(given.get("ref", ""))
                named = given.get("name", "")
                return (place is not None and touched.meets(given.get("sheet", ""), place)) or (
                    bool(named) and touched.by(named, "")
                )
    return False


def _ranges(cells: Sequence[tuple[int, int]]) -> str:
    """Cells as ranges of columns."""
    columns: dict[int, list[int]] = {}
    for row, column in cells:
        columns.setdefault(column, []).append(row)
    found = []
    for column, rows in sorted(columns.items()):
        start = before = rows[0]
        for row in [*rows[1:], 0]:
            if row != before + 1:
                name = letters(column)
                found.append(f"{name}{start}" if start == before else f"{name}{start}:{name}{before}")
                start = row
            before = row
    more = f" and {len(found) - _SHOWN} more" if len(found) > _SHOWN else ""
    return ", ".join(found[:_SHOWN]) + more
