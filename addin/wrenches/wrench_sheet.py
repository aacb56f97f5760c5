"""One sheet of a wrench book: labels with their values, the links below, and the calibration tables below those."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from addin.cells.numbers import plain_text
from addin.cells.table import CalibrationTable
from addin.cells.words import day
from addin.workbooks.grid import Grid
from addin.wrenches.labels import Labels, field_of, label_day, label_number, label_text, valid_until
from addin.wrenches.sheet_links import Links, is_links, read_links
from addin.wrenches.sheet_table import is_table, read_sheet_table, table_start
from calc.findings import STOP, Finding
from calc.wrench.calibration import Curve
from calc.wrench.choice import Link, Wrench
from calc.wrench.ratings import Stated

_TEXTS = ("kind", "serial_number", "certificate", "hose", "pump", "remarks")


@dataclass(frozen=True, eq=False)
class WrenchSheet:
    """What one sheet says. `wrench` is None when it has no name; a wrench with stops has `faults` and no curve.

    By field: `rows` of the labels, `words` as typed. `units` are the sheet's own by kind, `table` is the table as read,
    `tables` those of single links by their names.
    """

    wrench: Wrench | None
    rows: Mapping[str, int]
    words: Mapping[str, str]
    units: Mapping[str, str]
    table: CalibrationTable | None = None
    faults: tuple[Finding, ...] = field(default=())
    tables: Mapping[str, CalibrationTable] = field(default_factory=dict)


@dataclass
class _Layout:
    labels: Labels = field(default_factory=dict)
    links: int = 0
    tables: dict[str, int] = field(default_factory=dict)
    for_link: tuple[int, str] | None = None
    table_row: int = 0


def looks_like_wrench(grid: Grid) -> bool:
    """Whether a sheet is meant as a wrench: the label Wrench, or three other labels, in column A."""
    fields = {field_of(grid.heading(row, 1)) for row in range(1, grid.last + 1)} - {""}
    return "wrench" in fields or len(fields) >= 3


def is_unfilled(grid: Grid) -> bool:
    """Whether a sheet is the form of a wrench with nothing filled in: labels and headings only."""
    rows = [row for row in range(1, grid.last + 1) if grid.filled(row)]
    return all(grid.filled(row) == [1] or is_links(grid, row) or is_table(grid, row) for row in rows)


def read_wrench_sheet(grid: Grid) -> WrenchSheet:
    """Read one sheet. Stops of the wrench as a whole make it unusable; those of a link drop that link.

    All findings are added to `grid.found`.
    """
    grid.warn_hidden()
    layout = _layout(grid)
    labels = layout.labels
    texts = {name: label_text(grid, labels, name) for name in ("wrench", "gauge", *_TEXTS)}
    calibrated = label_day(grid, labels, "calibrated_on")
    until = valid_until(grid, labels, calibrated)
    if calibrated > until:
        row = labels["certificate_valid_until"][0]
        grid.stop("dates_reversed", "calibrated_on", row, 2, calibrated=day(calibrated), valid_until=day(until))
    rated = label_number(grid, labels, "rated_pressure", "pump_pressure", required=True)
    hose = label_number(grid, labels, "hose_rated_pressure", "pump_pressure")
    pump = label_number(grid, labels, "pump_rated_pressure", "pump_pressure")
    rated_torque = label_number(grid, labels, "rated_torque", "torque")
    angle = label_number(grid, labels, "stroke_angle", "stroke_angle", "angle")
    oil = label_number(grid, labels, "oil_per_stroke", "oil_per_stroke", "volume")
    flow = label_number(grid, labels, "pump_flow", "pump_flow", "flow")
    uncertainty = label_number(grid, labels, "uncertainty", "uncertainty")
    resting = _out_of_service(grid, labels)
    whole = [finding for finding in grid.found if finding.level == STOP]
    own = frozenset(name.casefold() for name in layout.tables if name)
    found = read_links(grid, layout.links, _links_end(grid, layout.links), own) if layout.links else Links()
    if not layout.links:
        grid.stop("links_missing", "link")
        whole.append(grid.found[-1])
    elif not found.links:
        grid.stop("links_empty", "link", layout.links, 1)
        whole.append(grid.found[-1])
    limits = tuple(link.torque_limit / link.factor for link in found.links)
    stated = Stated(rated, rated_torque, angle, oil, limits, tuple(link.factor for link in found.links))
    before = len(grid.found)
    tables, links = _tables(grid, layout, stated, _confirmed(grid, labels, calibrated), found)
    table, curve = tables.get("", (None, None))
    if not layout.tables:
        grid.stop("table_missing", "table")
    whole += [f for f in grid.found[before:] if f.level == STOP and (f.quantity != "link")]
    units = dict(found.units or {})
    first = table or next((t for t, _ in tables.values() if t), None)
    if first:
        units |= {"pressure": first.pressure_unit, "table_torque": first.torque_unit}
    wrench = None
    if name := texts["wrench"]:
        doubts = tuple(finding for link, (t, _) in tables.items() if t for finding in t.doubts(link))
        wrench = Wrench(
            name=name, curve=None if whole else curve, rated_pressure=rated, hose_rated_pressure=hose,
            pump=texts["pump"], pump_rated_pressure=pump, gauge=texts["gauge"], links=links, calibrated=calibrated,
            valid_until=until, stroke_angle=angle, oil_per_stroke=oil, pump_flow=flow, rated_torque=rated_torque,
            uncertainty=uncertainty, out_of_service=resting, doubts=doubts,
        )  # fmt: skip
    rows = {name: row for name, (row, _) in labels.items()}
    kept = {name: t for name, (t, _) in tables.items() if t and name}
    return WrenchSheet(wrench, rows, texts, units, table, tuple(whole), kept)


# --- where things stand ---------------------------------------------------------------------------------------------


def _links_end(grid: Grid, head: int) -> int:
    """The last row of the links: an empty row, the headings of a table or the label of one end them."""
    end = grid.block_end(head)
    for row in range(head + 1, end + 1):
        if field_of(grid.heading(row, 1)) == "table_of_link":
            return row - 1
        if is_table(grid, row):
            return table_start(grid, row) - 1
    return end


def _layout(grid: Grid) -> _Layout:
    """Where the labels, the links and the tables stand; what fits nowhere is said."""
    found = _Layout()
    row = 1
    while row <= grid.last:
        if is_links(grid, row):
            if found.links:
                grid.stop("links_twice", "link", row, grid.filled(row)[0], first=found.links)
            found.links = found.links or row
            row = _links_end(grid, row)
        elif is_table(grid, row):
            _table_at(grid, found, row)
            row = grid.block_end(row)
        elif grid.filled(row):
            _other_row(grid, found, row)
        row += 1
    return found


def _table_at(grid: Grid, found: _Layout, row: int) -> None:
    """A table, of the link that the label right above it names or of the wrench."""
    link = ""
    if found.for_link and not any(grid.filled(r) for r in range(found.for_link[0] + 1, table_start(grid, row))):
        link = found.for_link[1]
    if link in found.tables:
        grid.stop("table_twice", "table", row, grid.filled(row)[0], first=found.tables[link])
    else:
        found.tables[link] = row
    found.for_link, found.table_row = None, row


def _other_row(grid: Grid, found: _Layout, row: int) -> None:
    heading = grid.heading(row, 1)
    name = field_of(heading)
    filled = grid.filled(row)
    if name == "table_of_link" and heading:
        text = grid.take(grid.text, row, 2, "link") or heading.bracket
        if text:
            found.for_link = (row, text)
        else:
            grid.stop("link_unnamed", "table", row, 2)
    elif name and heading and name in found.labels:
        grid.stop("label_twice", name, row, 1, text=heading.text, first=f"A{found.labels[name][0]}")
    elif name and heading:
        found.labels[name] = (row, heading)
    elif found.table_row:
        if numbers := _numbers(grid, found.table_row, row):
            grid.stop("table_after_gap", "table", row, numbers[0])
    elif _is_title(grid, row):
        return
    elif len(filled) > 1 or (row, filled[0]) in grid.uncached:
        grid.caution("row_not_used", "row", row, filled[0], text=plain_text(grid.value(row, filled[0])) or "formula")


def _numbers(grid: Grid, head: int, row: int) -> list[int]:
    """Columns of a table in which a row below it holds numbers, two at least."""
    found = [c for c in grid.filled(head) if isinstance(grid.value(row, c), int | float) or (row, c) in grid.uncached]
    return found if len(found) > 1 else []


def _is_title(grid: Grid, row: int) -> bool:
    """Whether a row stands right above a table and is read with it."""
    return any(is_table(grid, head) and table_start(grid, head) <= row for head in range(row + 1, row + 4))


# --- the tables -----------------------------------------------------------------------------------------------------


def _tables(
    grid: Grid, layout: _Layout, stated: Stated, confirmed: str, found: Links
) -> tuple[dict[str, tuple[CalibrationTable | None, Curve | None]], tuple[Link, ...]]:
    """The tables as read with their curves, "" being that of the wrench, and the links with their own curves."""
    holds = {}
    for kind in ("pressure", "torque"):
        row = layout.labels[f"{kind}_column"][0] if f"{kind}_column" in layout.labels else 0
        holds[kind] = (grid.take(grid.text, row, 2, f"{kind}_column") or "") if row else ""
    tables: dict[str, tuple[CalibrationTable | None, Curve | None]] = {}
    links = {link.name.casefold(): link for link in found.links}
    for name, head in layout.tables.items():
        limit = (links[name.casefold()].torque_limit,) if name.casefold() in links else ()
        # what a link multiplies is not the wrench's own torque
        other = replace(stated, rated_torque=math.nan, stroke_angle=math.nan, link_limits=limit, factors=())
        about = other if name else stated
        table, good = read_sheet_table(grid, head, stated=about, holds=holds, confirmed=confirmed)
        tables[name] = (table, table.curve() if table and good else None)
        if not name:
            continue
        if name.casefold() not in (found.rows or {}):
            grid.stop("link_of_table", "link", head, 1, text=name)
        elif name.casefold() in links:
            curve = tables[name][1]
            if curve is None:
                del links[name.casefold()]
            else:
                links[name.casefold()] = replace(links[name.casefold()], curve=curve)
    if layout.tables and "" not in layout.tables:
        for key in [key for key, link in links.items() if link.curve is None]:
            grid.stop("link_without_table", "link", (found.rows or {}).get(key, 0), 1, text=links.pop(key).name)
    return tables, tuple(links.values())


def _confirmed(grid: Grid, labels: Labels, calibrated: float) -> str:
    """Who confirmed the table and when; a confirmation older than the calibration is not of this table."""
    if "confirmed_by" not in labels:
        return ""
    name, when = label_text(grid, labels, "confirmed_by"), label_day(grid, labels, "confirmed_on")
    row = labels["confirmed_by"][0]
    if not name:
        return ""
    if math.isnan(when):
        grid.caution("confirmation_undated", "confirmed_by", row, 2)
        return ""
    if when < calibrated:
        grid.caution("confirmation_old", "confirmed_by", row, 2, date=day(when), calibrated=day(calibrated))
        return ""
    return f"{name}, {day(when)}"


def _out_of_service(grid: Grid, labels: Labels) -> tuple[float, float] | None:
    """First and last day out of service; open ends are infinite, None for a wrench in service."""
    start, end = (label_day(grid, labels, f"out_of_service_{side}") for side in ("from", "until"))
    if math.isnan(start) and math.isnan(end):
        return None
    if start > end:
        row = labels["out_of_service_until"][0]
        grid.stop("dates_reversed_service", "out_of_service_until", row, 2, start=day(start), end=day(end))
    return (-math.inf if math.isnan(start) else start, math.inf if math.isnan(end) else end)
