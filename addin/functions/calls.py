"""What the functions about wrench tables, passes and order calculate: arguments in SI in, columns or rows out."""

from typing import Any

import numpy as np

from addin.cells.numbers import Cell, is_blank
from addin.cells.table import read_table
from addin.cells.words import line
from addin.functions.gate import Num, Rows
from addin.functions.kept_tables import curve_of
from addin.functions.steps import heard_by_someone, step
from calc.findings import CAUTION, NOTE, STOP, Finding, InputError, stop
from calc.procedure import order, passes
from calc.quantities import settle
from calc.units import System, factor, from_si, system
from calc.wrench import calibration
from calc.wrench.calibration import Curve, Marks
from calc.wrench.ratings import Stated


def rounding_named(text: str) -> str:
    """A direction of rounding by its name."""
    name = text.lower()
    if name not in calibration.ROUNDINGS:
        raise stop("rounding_unknown", "rounding", text=text, known=calibration.ROUNDINGS)
    return name


def setpoint(
    torque: Any, table: Curve, units: System, graduation: Any, rounding: str, tolerance: Any, link_factor: Any
) -> Rows:
    """Pump pressure for every torque of a column, on the gauge's marks where they are given."""
    curve = table.scaled(link_factor)
    low, high = float(curve.torque[0]), float(curve.torque[-1])
    torque = calibration.on_end(torque, curve.torque)
    faults: dict[int, Finding] = {}
    for i, t in enumerate(torque):
        if t < low:
            faults[i] = Finding("torque_below_table", "torque", {"torque": t, "low": low})
        elif t > high:
            faults[i] = Finding("torque_above_table", "torque", {"torque": t, "high": high})
    unit = units.symbol("pressure")
    exact = calibration.pressure_for(curve, torque)
    if heard_by_someone():
        _between(curve, torque if np.size(torque) == 1 else None)
    if graduation is None:
        if tolerance is not None:
            raise stop("graduation_needed", "graduation")
        shown = Rows(from_si(exact, "pressure", unit), faults)
        return step("pump pressure", "p", shown, "as typed", _LINE, unit=unit)
    step("pressure on the line between the two", "p", exact, "pressure", _LINE)
    allowed = calibration.TOLERANCE if tolerance is None else tolerance
    marks = Marks(graduation, factor("pressure", unit))
    s = calibration.setting(curve, torque, marks, rounding=rounding_named(rounding))
    for i, t in enumerate(torque):
        if i in faults:
            continue
        if np.isnan(s.count[i]):
            faults[i] = Finding("no_mark", "torque", {"torque": t, "rounding": rounding})
        elif abs(s.difference[i]) > allowed:
            facts = {"torque": t, "pressure": s.pressure[i], "given": s.torque[i], "difference": s.difference[i]}
            faults[i] = Finding("mark_tolerance", "torque", {**facts, "tolerance": allowed})
    step(f"pressure of the mark, {rounding}", "p'", s.pressure, "pressure", "p' = a whole number of graduations")
    step("torque at the mark", "T'", s.torque, "torque", "T' = T1 + (T2 - T1) (p' - p1)/(p2 - p1)")
    step("difference from the torque meant", "", s.difference, "percent", "T'/T - 1")
    shown = Rows(marks.shown(s.count), faults)
    return step(
        "mark to set, as the gauge shows it", "p'", shown, "as typed", "graduations times graduation", unit=unit
    )


_LINE = "p = p1 + (p2 - p1) (T - T1)/(T2 - T1)"


def _between(curve: Curve, torque: Any) -> None:
    """The two rows of a table that a torque lies between, as steps."""
    if torque is None or not curve.torque[0] <= np.ravel(torque)[0] <= curve.torque[-1]:
        return
    upper = min(max(int(np.searchsorted(curve.torque, np.ravel(torque)[0], side="left")), 1), curve.torque.size - 1)
    for number, row in ((1, upper - 1), (2, upper)):
        step("row of the table, with the link's factor", f"p{number}", curve.pressure[row], "pressure", source="table")
        step("row of the table, with the link's factor", f"T{number}", curve.torque[row], "torque", source="table")


def torque_at_pressure(pressure: Any, table: Curve, units: System, link_factor: Any) -> Rows:
    """Torque at every pressure of a column."""
    curve = table.scaled(link_factor)
    low, high = float(curve.pressure[0]), float(curve.pressure[-1])
    pressure = calibration.on_end(pressure, curve.pressure)
    faults = {}
    for i, p in enumerate(pressure):
        if p < low:
            faults[i] = Finding("pressure_below_table", "pressure", {"pressure": p, "low": low})
        elif p > high:
            faults[i] = Finding("pressure_above_table", "pressure", {"pressure": p, "high": high})
    found = Rows(calibration.torque_at(curve, pressure), faults)
    _between(curve, found.values if np.size(pressure) == 1 else None)
    return step("torque on the line between the two", "T", found, "torque", "T = T1 + (T2 - T1) (p - p1)/(p2 - p1)")


def _tables(cells: list[list[Cell]]) -> list[Curve]:
    """Several tables side by side, set apart by an empty column."""
    wide = max(len(row) for row in cells)
    rows = [list(row) + [None] * (wide - len(row)) for row in cells]
    filled = [any(not is_blank(row[i]) for row in rows) for i in range(wide)] + [False]
    curves, start = [], None
    for i, has in enumerate(filled):
        if has and start is None:
            start = i
        elif not has and start is not None:
            part = [row[start:i] for row in rows]
            last = max(k for k, row in enumerate(part) if any(not is_blank(cell) for cell in row))
            curves.append(curve_of(part[: last + 1]))
            start = None
    return curves


def setpoint_shared(torque: float, tables: list[list[Cell]], units: System, graduation: float, tolerance: float) -> Any:
    """One mark for several tables, and what it gives on each."""
    curves, unit = _tables(tables), units.symbol("pressure")
    if len(curves) < 2:
        raise stop("tables_needed", "tables", count=len(curves))
    marks = Marks(graduation, factor("pressure", unit))
    for curve in curves:
        low, high = float(curve.torque[0]), float(curve.torque[-1])
        torque = float(calibration.on_end(torque, curve.torque))
        if torque < low:
            raise stop("torque_below_table", "torque", torque=torque, low=low)
        if torque > high:
            raise stop("torque_above_table", "torque", torque=torque, high=high)
    count, settings = calibration.shared_setting(curves, torque, marks)
    differences = tuple(float(s.difference) for s in settings)
    if np.isnan(count) or max(map(abs, differences)) > tolerance:
        offs = () if np.isnan(count) else differences
        raise stop("shared_mark", "torque", torque=torque, tolerance=tolerance, differences=offs)
    step("mark with the smallest worst difference", "p", float(marks.shown(count)), "as typed", unit=unit)
    head = ["wrench", f"pressure ({unit})", f"torque ({units.symbol('torque')})", "difference (%)"]
    return [head] + [
        [i, float(marks.shown(count)), Num(float(s.torque), "torque"), Num(float(s.difference), "percent")]
        for i, s in enumerate(settings, start=1)
    ]


def table_findings(table: list[list[Cell]], units: System | None, **stated: Any) -> list[list[Any]]:
    """What is wrong or odd in a table, by itself and against what is `stated` of its wrench, a row each."""
    limit = "against the scatter of the table itself; limits tried on invented tables"
    judged = "rising in both columns; points, steps and origin against a smooth curve"
    step("table judged", "", judged, "text", limit, "common practice, no source")
    known: dict[str, Any] = {name: float(value) for name, value in stated.items() if value is not None}
    if "link_limit" in known:
        known["link_limits"] = (known.pop("link_limit"),)
    about = Stated(**known) if known else None
    last = max((i for i, row in enumerate(table) if any(not is_blank(cell) for cell in row)), default=-1)
    try:
        read = read_table(table[: last + 1], stated=about)
    except InputError as error:
        return [["stop", line(error.finding, system("SI"))]]
    own = {"pressure": read.pressure_unit, "torque": read.torque_unit}
    shown = System("table", tuple({**dict(system("SI").symbols), **own}.items()))
    order = [STOP, CAUTION, NOTE]
    said = [[f.level, line(f, shown)] for f in sorted(read.findings, key=lambda finding: order.index(finding.level))]
    return said if said and said[0][0] != NOTE else [["no findings", ""], *said]


def pass_table(
    torque: float, table: Curve, units: System, scheme: str, graduation: Any, rounding: str, tolerance: Any,
    link_factor: float,
) -> list[list[Any]]:  # fmt: skip
    """The passes of one torque on one table."""
    shown = setpoint(np.array([torque]), table, units, graduation, rounding, tolerance, link_factor)
    if shown.faults:
        raise InputError(shown.faults[0])
    stages, curve = passes.scheme(scheme), table.scaled(link_factor)
    wanted = passes.stage_torque(torque, stages)
    unit = units.symbol("pressure")
    if graduation is None:
        pressure = calibration.pressure_for(curve, wanted)
        on_gauge, there = from_si(pressure, "pressure", unit), settle(calibration.torque_at(curve, pressure))
    else:
        marks = Marks(graduation, factor("pressure", unit))
        s = passes.stage_settings(curve, torque, stages, marks, rounding=rounding_named(rounding))
        _stages_near(
            s, wanted, stages, passes.STAGE_TOLERANCE if tolerance is None else max(tolerance, passes.STAGE_TOLERANCE)
        )
        on_gauge, there = marks.shown(s.count), s.torque
    step("passes", "", scheme, "text", "torque of a pass = its share of the final torque", passes.said_source(scheme))
    torque_unit = units.symbol("torque")
    rows: list[list[Any]] = [
        [
            "pass",
            "per cent",
            f"torque ({torque_unit})",
            f"pressure ({unit})",
            f"torque at this pressure ({torque_unit})",
            "pattern",
        ]
    ]
    for i, stage in enumerate(stages):
        if stage.fraction is None:
            rows.append([stage.number, None, None, "by hand", None, "snug"])
        elif np.isnan(on_gauge[i]):
            rows.append([stage.number, Num(stage.fraction, "percent"), Num(wanted[i], "torque"),
                         "other means", None, stage.words])  # fmt: skip
        else:
            rows.append([stage.number, Num(stage.fraction, "percent"), Num(wanted[i], "torque"), float(on_gauge[i]),
                         Num(there[i], "torque"), stage.words])  # fmt: skip
    return rows


def _stages_near(s: calibration.Setting, wanted: Any, stages: tuple[passes.Stage, ...], allowed: float) -> None:
    """Refuses marks that are too coarse for a pass below full torque."""
    for i, stage in enumerate(stages):
        if stage.fraction is not None and abs(s.difference[i]) > allowed:
            facts = {"pressure": s.pressure[i], "given": s.torque[i], "difference": s.difference[i]}
            raise stop("stage_tolerance", "stage", **facts, number=stage.number, torque=wanted[i], tolerance=allowed)


def tightening_order(studs: float, at_once: float, pattern: str) -> list[list[Any]]:
    """Moves of a joint, a row each."""
    name = order.named(pattern)
    if not name:
        known = ("cross", "circular", "quadrants", "groups of 3", "quarter points then cross")
        raise stop("pattern_unknown", "pattern", text=pattern, known=known)
    formula = "opposite, then quarter points; groups of a count that is not a multiple"
    step("order", "", name, "text", formula, "ASME PCC-1 patterns (from memory), own rule elsewhere")
    return [list(move) for move in order.patterned(name, int(studs), int(at_once))]
