"""One sheet of a wrench book: labels with their values, the links below, and the calibration table below those."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from addin.cells.headings import Heading
from addin.cells.numbers import Cell, plain_text, stands_for_nothing
from addin.cells.table import Table, read_table
from addin.cells.words import day
from addin.workbooks.grid import Grid
from calc.findings import STOP, Finding, InputError, stop
from calc.units import kinds_of, symbol
from calc.wrench.calibration import Curve
from calc.wrench.choice import Link, Wrench

LABELS = {
    "wrench": "wrench", "wrench name": "wrench", "kind": "kind", "serial number": "serial_number",
    "certificate": "certificate", "certificate number": "certificate", "calibrated on": "calibrated_on",
    "calibration date": "calibrated_on", "certificate valid until": "certificate_valid_until",
    "rated pressure": "rated_pressure", "hose": "hose", "hose rated pressure": "hose_rated_pressure", "pump": "pump",
    "pump rated pressure": "pump_rated_pressure", "gauge": "gauge", "stroke angle": "stroke_angle",
    "oil per stroke": "oil_per_stroke", "pump flow": "pump_flow", "remarks": "remarks",
}  # fmt: skip
"""Words of a label -> field. A label must be one of these words for word, but for capitals, punctuation and unit."""

_TEXTS = ("kind", "serial_number", "certificate", "hose", "pump", "remarks")
_OPTIONAL = {"stroke_angle": "angle", "oil_per_stroke": "volume", "pump_flow": "flow"}
_LINK_NAMES = ("link", "socket", "adapter", "link or socket", "link socket or adapter", "link or adapter")
LINK_HEADINGS = {
    **dict.fromkeys(_LINK_NAMES, "name"),
    "across flats": "across_flats", "nut across flats": "across_flats", "torque factor": "factor", "factor": "factor",
    "torque limit": "torque_limit", "link radius": "radius", "radius": "radius",
}  # fmt: skip
_AS_TAKEN = re.compile(
    r"\b(as found|as left|up|down|increasing|decreasing|rising|falling|nominal|measured)\b", re.IGNORECASE
)
_FRACTION = re.compile(r"(?:([0-9]{1,4})[\s.-]+)?([0-9]{1,4})/([0-9]{1,4})\s*(.*)")


@dataclass(frozen=True, eq=False)
class WrenchSheet:
    """What one sheet says. `wrench` is None when it has no name; a wrench with stops has `faults` and no curve.

    By field: `rows` of the labels, `words` as typed. `units` are the sheet's own by kind, `table` is the table as read.
    """

    wrench: Wrench | None
    rows: Mapping[str, int]
    words: Mapping[str, str]
    units: Mapping[str, str]
    table: Table | None = None
    faults: tuple[Finding, ...] = field(default=())


@dataclass
class _Layout:
    labels: dict[str, tuple[int, Heading]] = field(default_factory=dict)
    links: int = 0
    table: int = 0


def looks_like_wrench(grid: Grid) -> bool:
    """Whether a sheet is meant as a wrench: the label Wrench, or three other labels, in column A."""
    words = {heading.words for row in range(1, grid.last + 1) if (heading := grid.heading(row, 1))}
    fields = {LABELS[word] for word in words if word in LABELS}
    return "wrench" in fields or len(fields) >= 3


def is_unfilled(grid: Grid) -> bool:
    """Whether a sheet is the form of a wrench with nothing filled in: labels and headings only."""
    rows = [row for row in range(1, grid.last + 1) if grid.filled(row)]
    return all(grid.filled(row) == [1] or _is_links(grid, row) or _is_table(grid, row) for row in rows)


def read_wrench_sheet(grid: Grid) -> WrenchSheet:
    """Read one sheet. Stops of the wrench as a whole make it unusable; those of a link drop that link.

    All findings are added to `grid.found`.
    """
    grid.warn_hidden()
    layout = _layout(grid)
    texts = {name: _label_text(grid, layout, name) for name in ("wrench", "gauge", *_TEXTS)}
    calibrated, valid_until = (_day(grid, layout, name) for name in ("calibrated_on", "certificate_valid_until"))
    if calibrated > valid_until:
        row = layout.labels["certificate_valid_until"][0]
        grid.stop("dates_reversed", "calibrated_on", row, 2, calibrated=day(calibrated), valid_until=day(valid_until))
    rated = _rating(grid, layout, "rated_pressure", required=True)
    hose = _rating(grid, layout, "hose_rated_pressure")
    pump = _rating(grid, layout, "pump_rated_pressure")
    angle, oil, flow = (_optional(grid, layout, name, kind) for name, kind in _OPTIONAL.items())
    table, curve = _table(grid, layout.table)
    if not layout.links:
        grid.stop("links_missing", "link")
    whole = [finding for finding in grid.found if finding.level == STOP]
    links, units = _links(grid, layout.links) if layout.links else ((), {})
    if layout.links and not links:
        grid.stop("links_empty", "link", layout.links, 1)
        whole.append(grid.found[-1])
    if table:
        units |= {"pressure": table.pressure_unit, "table_torque": table.torque_unit}
    name = texts["wrench"]
    wrench = None
    if name:
        wrench = Wrench(
            name=name, curve=None if whole else curve, rated_pressure=rated, hose_rated_pressure=hose,
            pump=texts["pump"], pump_rated_pressure=pump, gauge=texts["gauge"], links=links, calibrated=calibrated,
            valid_until=valid_until, stroke_angle=angle, oil_per_stroke=oil, pump_flow=flow,
        )  # fmt: skip
    rows = {name: row for name, (row, _) in layout.labels.items()}
    return WrenchSheet(wrench, rows, texts, units, table, tuple(whole))


# --- the parts of the sheet -----------------------------------------------------------------------------------------


def _is_links(grid: Grid, row: int) -> bool:
    words = [heading.words for c in grid.filled(row) if (heading := grid.heading(row, c))]
    fields = {LINK_HEADINGS[word] for word in words if word in LINK_HEADINGS}
    return len(fields) >= 2 and bool(fields & {"across_flats", "factor"})


def _is_table(grid: Grid, row: int) -> bool:
    """A row of text with one cell about pressure and one about torque, by their words or their units."""
    headings = [heading for c in grid.filled(row) if (heading := grid.heading(row, c))]

    def about(kind: str) -> bool:
        return any(kind in h.words.split() or (h.unit and kind in kinds_of(h.unit)) for h in headings)

    first = headings[0].words if headings else ""
    return about("pressure") and about("torque") and first not in LABELS


def _links_end(grid: Grid, head: int) -> int:
    """The last row of the links: an empty row or the headings of the table end them."""
    end = grid.block_end(head)
    return next((row - 1 for row in range(head + 1, end + 1) if _is_table(grid, row)), end)


def _layout(grid: Grid) -> _Layout:
    """Where the labels, the links and the table stand; what fits nowhere is said."""
    found = _Layout()
    row, table_end = 1, 0
    while row <= grid.last:
        if _is_links(grid, row):
            if found.links:
                grid.stop("links_twice", "link", row, grid.filled(row)[0], first=found.links)
            found.links = found.links or row
            row = _links_end(grid, row)
        elif _is_table(grid, row):
            if found.table:
                grid.stop("table_twice", "table", row, grid.filled(row)[0], first=found.table)
            else:
                table_end = grid.block_end(row)
                found.table = row
            row = grid.block_end(row)
        elif grid.filled(row):
            _other_row(grid, found, row, below_table=bool(table_end))
        row += 1
    return found


def _other_row(grid: Grid, found: _Layout, row: int, *, below_table: bool) -> None:
    heading = grid.heading(row, 1)
    name = LABELS.get(heading.words) if heading else None
    filled = grid.filled(row)
    if name and heading and name in found.labels:
        grid.stop("label_twice", name, row, 1, text=heading.text, first=f"A{found.labels[name][0]}")
    elif name and heading:
        found.labels[name] = (row, heading)
    elif below_table:
        columns = grid.filled(found.table)
        numbers = [c for c in columns if isinstance(grid.value(row, c), int | float) or (row, c) in grid.uncached]
        if len(numbers) > 1:
            grid.stop("table_after_gap", "table", row, numbers[0])
    elif len(filled) > 1 or (row, filled[0]) in grid.uncached:
        grid.caution("row_not_used", "row", row, filled[0], text=plain_text(grid.value(row, filled[0])) or "formula")


# --- labels ---------------------------------------------------------------------------------------------------------


def _label_text(grid: Grid, layout: _Layout, name: str) -> str:
    row = layout.labels[name][0] if name in layout.labels else 0
    text = grid.take(grid.text, row, 2, name) if row else ""
    if not text and text is not None:
        if name == "wrench":
            grid.stop("wrench_unnamed", name, row or 1, 2 if row else 1)
        elif name == "gauge":
            grid.stop("missing", name, row, 2)
    return text or ""


def _day(grid: Grid, layout: _Layout, name: str) -> float:
    """A date; the end of validity must be there."""
    row = layout.labels[name][0] if name in layout.labels else 0
    if name == "calibrated_on" and (not row or _nothing(grid, row)):
        return math.nan
    number = grid.take(grid.day, row, 2, name)
    return math.nan if number is None else number


def _nothing(grid: Grid, row: int) -> bool:
    return (row, 2) not in grid.uncached and stands_for_nothing(grid.value(row, 2))


def _rating(grid: Grid, layout: _Layout, name: str, *, required: bool = False) -> float:
    """A rated pressure; that of the wrench itself must be there."""
    row, heading = layout.labels.get(name, (0, None))
    if not row or _nothing(grid, row):
        if required:
            grid.stop("missing", name, row, 2)
        return math.nan
    value = grid.take(grid.number, row, 2, "pump_pressure", heading)
    return math.nan if value is None else value


def _optional(grid: Grid, layout: _Layout, name: str, kind: str) -> float:
    row, heading = layout.labels.get(name, (0, None))
    if not row or _nothing(grid, row):
        return math.nan
    value = grid.take(grid.number, row, 2, name, heading, kind)
    return math.nan if value is None else value


# --- links ----------------------------------------------------------------------------------------------------------


def _links(grid: Grid, head: int) -> tuple[tuple[Link, ...], dict[str, str]]:
    columns = grid.columns(head, LINK_HEADINGS)
    missing = [text for name, text in (("name", "Link or socket"), ("across_flats", "Across flats"),
                                       ("factor", "Torque factor")) if name not in columns]  # fmt: skip
    for text in missing:
        grid.stop("heading_missing", "link", head, grid.filled(head)[0], text=text)
    if missing:
        return (), {}
    end = _links_end(grid, head)
    read: dict[str, list[Link]] = {}
    rows: dict[str, list[int]] = {}
    for row in range(head + 1, end + 1):
        name = grid.take(grid.text, row, columns["name"][0], "link")
        if name == "":
            grid.stop("link_unnamed", "link", row, columns["name"][0])
        if not name:
            continue
        rows.setdefault(name.casefold(), []).append(row)
        link = _link(grid, columns, row, name)
        if link:
            read.setdefault(name.casefold(), []).append(link)
    for key, where in rows.items():
        for row in where[1:]:
            column = columns["name"][0]
            grid.stop("link_repeated", "link", row, column, text=plain_text(grid.value(row, column)))
            read.pop(key, None)
    units = {}
    for name, kind in (("across_flats", "length"), ("torque_limit", "torque")):
        unit = columns[name][1].unit if name in columns else None
        if unit and kind in kinds_of(unit):
            units[kind] = symbol(kind, unit)
    return tuple(link for links in read.values() for link in links), units


def _link(grid: Grid, columns: Mapping[str, tuple[int, Heading]], row: int, name: str) -> Link | None:
    """One link, or None with its stop."""
    try:
        at, heading = columns["across_flats"]
        flats = grid.number(row, at, "across_flats", heading, cell=_size(grid.stored(row, at, "across_flats")))
        at, heading = columns["factor"]
        if stands_for_nothing(grid.stored(row, at, "link_factor")):
            raise stop("link_factor_missing", "link_factor", text=name)
        factor = grid.number(row, at, "link_factor", heading)
        limit = radius = None
        if "torque_limit" in columns:
            at, heading = columns["torque_limit"]
            if not stands_for_nothing(grid.stored(row, at, "torque_limit")):
                limit = grid.number(row, at, "torque", heading)
        if "radius" in columns:
            at, heading = columns["radius"]
            if not stands_for_nothing(grid.stored(row, at, "link_radius")):
                radius = grid.number(row, at, "link_radius", heading, "length")
    except InputError as error:
        grid.add(error.finding, row, at)
        return None
    return Link(name, flats, factor, math.inf if limit is None else limit, math.nan if radius is None else radius)


def _size(cell: Cell) -> Cell:
    """A size across flats typed as a fraction, "2-3/8 in", as a number with its unit; anything else as it is."""
    match = _FRACTION.fullmatch(plain_text(cell)) if isinstance(cell, str) else None
    if not match or not int(match[3]):
        return cell
    number = int(match[1] or 0) + int(match[2]) / int(match[3])
    return f"{number} {match[4]}" if match[4] else number


# --- the table ------------------------------------------------------------------------------------------------------


def _table(grid: Grid, head: int) -> tuple[Table | None, Curve | None]:
    """The calibration as read, and its curve when nothing stops it."""
    if not head:
        grid.stop("table_missing", "table")
        return None, None
    end, columns = grid.block_end(head), grid.filled(head)
    if _refused_around(grid, head, end):
        return None, None
    rows = [[grid.value(row, column) for column in columns] for row in range(head, end + 1)]
    try:
        for row in range(head, end + 1):
            for column in columns:
                if (row, column) in grid.uncached:
                    grid.add(Finding("stale_formula", "table"), row, column)
                    return None, None
        table = read_table(rows)
    except InputError as error:
        grid.add(error.finding, *_cell_of(grid, error.finding, head, columns))
        return None, None
    for finding in table.findings:
        column = next(
            (c for c in columns if plain_text(grid.value(head, c)) == finding.facts.get("heading")), columns[0]
        )
        below = 0 if finding.code in ("table_column_ignored", "table_too_short") else finding.row + 1
        grid.add(finding, head + below, column)
    stopped = any(finding.level == STOP for finding in table.findings)
    return table, None if stopped else table.curve()


def _refused_around(grid: Grid, head: int, end: int) -> bool:
    """What stands above and beside the table and must be asked about: how it was taken, columns without a heading."""
    above = [heading.text for c in grid.filled(head - 1) if (heading := grid.heading(head - 1, c))]
    label = grid.heading(head - 1, 1)
    if not (label and label.words in LABELS):
        taken = tuple(text for text in above if _AS_TAKEN.search(text) and len(text.split()) <= 8)
        if taken:
            grid.stop("table_ask", "table", head - 1, grid.filled(head - 1)[0], headings=taken)
            return True
    headed = set(grid.filled(head))
    for row in range(head + 1, end + 1):
        for column in set(grid.filled(row)) - headed:
            if not isinstance(grid.value(row, column), str):
                grid.stop("table_unheaded", "table", row, column)
                return True
    return False


def _cell_of(grid: Grid, finding: Finding, head: int, columns: list[int]) -> tuple[int, int]:
    """The cell that the reader of tables refused; the heading row when it names none."""
    found = re.fullmatch(r"table row (\d+), '(.*)'", str(finding.facts.get("place", "")))
    number = int(found[1]) if found else finding.facts.get("number", 0)
    heading = found[2] if found else finding.facts.get("heading")
    names = [plain_text(grid.value(head, column)) for column in columns]
    column = columns[names.index(heading)] if heading in names else columns[0]
    return head + number, column
