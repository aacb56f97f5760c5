"""What stands where results are to go: reasons to refuse, and things the user should know."""

import re
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence

from addin.workbooks.addresses import Area, address, area, letters, whole_area
from addin.workbooks.markup import Markup, MarkupError
from addin.workbooks.package import MIB, Package, WorkbookError
from addin.workbooks.sheet_part import SheetScan

Targets = Mapping[int, Sequence[int]]
"""Rising row numbers for each column number."""

NOT_PRINTED = "is outside the print area and is not printed"
_DRAWING_LIMIT = 16 * MIB
_ANCHOR = re.compile(
    rb"<(?:[^\s:<>]+:)?ClientData\b[^>]*ObjectType=[\"'](\w+)[\"'].*?</(?:[^\s:<>]+:)?ClientData>", re.S
)
_NOTE_PLACE = re.compile(rb"<(?:[^\s:<>]+:)?Anchor>([\d\s,]+)</")


def check_package(package: Package) -> None:
    """Refuse workbooks that must not be changed at all. Raises WorkbookError."""
    name = package.path.name
    if package.signed:
        raise WorkbookError(f"{name}: is signed; results would break the signature, so they are not written into it")
    if package.shared_revisions:
        raise WorkbookError(f"{name}: is a shared workbook with a record of revisions; stop sharing it first")


def check_free(package: Package, scan: SheetScan, targets: Targets, heading_row: int | None = None) -> None:
    """Refuse cells that belong to something: protection, merged cells, array formulas, tables, pivot tables.

    A table whose headings stand in `heading_row` was made to reach over our columns, and is no hindrance.

    Raises WorkbookError that names the first such cell.
    """
    where = f"{package.path.name}: sheet {scan.sheet.name!r}"
    if scan.protected:
        raise WorkbookError(f"{where}: is protected; results are not written into it")
    if scan.alternate:
        raise WorkbookError(f"{where}: has rows that depend on the program that reads them; save it as .xlsx again")
    groups: list[tuple[str, Iterable[Area]]] = [
        ("is part of the merged cells {}", scan.merged),
        ("is part of the array formula or spill {}", scan.arrays),
        ("is part of the pivot table {}", _pivots(package, scan)),
    ]
    groups += [(f"is part of the table {table.name!r} ({{}})", [table.area]) for table in scan.tables
               if not (table.heading_rows == 1 and table.area.top == heading_row)]  # fmt: skip
    for text, areas in groups:
        for each in areas:
            hit = first_hit(each, targets)
            if hit:
                taken = f"{where}, cell {address(*hit)}: {text.format(each)}"
                raise WorkbookError(f"{taken}; results go beside it (--results-at says where)")


def first_hit(each: Area, targets: Targets) -> tuple[int, int] | None:
    """The first target cell inside an area."""
    for column, rows in targets.items():
        if each.left <= column <= each.right:
            place = bisect_left(rows, each.top)
            if place < len(rows) and rows[place] <= each.bottom:
                return rows[place], column
    return None


def _pivots(package: Package, scan: SheetScan) -> Iterator[Area]:
    for link in package.relations(scan.sheet.part):
        if link.kind == "pivotTable" and link.target in package.parts:
            for tag in _markup(package, link.target).tags():
                if tag.name == "location":
                    place = area(tag.attributes().get("ref", ""))
                    if place:
                        yield place
                    break


def _markup(package: Package, part: str) -> Markup:
    try:
        return Markup(package.read(part), namespace="")
    except MarkupError as error:
        raise WorkbookError(f"{package.path.name}: part {part} {error}") from error


def warnings_about(package: Package, scan: SheetScan, targets: Targets) -> list[str]:
    """What does not forbid writing but may surprise: hidden columns and rows, validations, drawings, print area."""
    where = f"sheet {scan.sheet.name!r}"
    found = []
    hidden = [letters(column) for column in targets if scan.column_hidden(column)]
    if hidden:
        found.append(f"{where}: results stand in hidden columns: {', '.join(hidden)}")
    hidden_rows = sum(row in scan.hidden_rows for row in {row for rows in targets.values() for row in rows})
    if hidden_rows:
        found.append(f"{where}: results stand in {hidden_rows} hidden rows")
    if scan.sheet.state != "visible":
        found.append(f"{where}: is hidden")
    for each in scan.validations:
        hit = first_hit(each, targets)
        if hit:
            found.append(
                f"{where}: cell {address(*hit)} has an entry rule (data validation of {each}) that is not asked"
            )
            break
    for each in _drawings(package, scan):
        hit = first_hit(each, targets)
        if hit:
            found.append(f"{where}: a drawing lies over cell {address(*hit)} (it covers {each})")
            break
    outside = _outside_print_area(package.print_areas.get(scan.sheet.name), targets)
    if outside:
        found.append(f"{where}: cell {outside} {NOT_PRINTED}")
    return found


def _outside_print_area(text: str | None, targets: Targets) -> str | None:
    if not text:
        return None
    areas = []
    for each in text.split(","):
        name = each.rpartition("!")[2]
        place = area(name) or whole_area(name)
        if place is None:
            return None  # a formula or a name: not known
        areas.append(place)
    for column, rows in targets.items():
        for row in rows:
            if not any(each.holds(row, column) for each in areas):
                return address(row, column)
    return None


def _drawings(package: Package, scan: SheetScan) -> Iterator[Area]:
    """Areas that pictures, shapes and buttons cover; the boxes of notes are left out, they are mostly not shown."""
    for link in package.relations(scan.sheet.part):
        if link.target not in package.parts or package.parts[link.target].size > _DRAWING_LIMIT:
            continue
        if link.kind == "drawing":
            yield from _anchors(package.read(link.target))
        elif link.kind == "vmlDrawing":  # often not well-formed, so only looked through
            for shape in _ANCHOR.finditer(package.read(link.target)):
                place = _NOTE_PLACE.search(shape[0])
                numbers = [int(number) for number in place[1].split(b",")] if place else []
                if shape[1] != b"Note" and len(numbers) == 8:
                    yield Area(numbers[2] + 1, numbers[0] + 1, numbers[6] + 1, numbers[4] + 1)


def _anchors(content: bytes) -> Iterator[Area]:
    try:
        markup = Markup(content, namespace="")
    except MarkupError:
        return  # nothing can be said about it; it stays as it is
    numbers: dict[tuple[str, str], int] = {}
    side = ""
    for tag in markup.tags():
        if tag.name in ("from", "to"):
            side = "" if tag.closing else tag.name
        elif tag.name in ("col", "row") and side and not tag.closing:
            text = markup.string(tag.end).strip()
            if text.isdecimal() and len(text) < 8:
                numbers[side, tag.name] = int(text) + 1
        elif tag.name.endswith("Anchor") and tag.closing:
            top, left = numbers.get(("from", "row")), numbers.get(("from", "col"))
            if top and left:
                yield Area(
                    top, left, max(top, numbers.get(("to", "row"), top)), max(left, numbers.get(("to", "col"), left))
                )
            numbers.clear()
