"""What the worksheet functions calculate: arguments in SI in, columns or rows out. Thin: the formulas are in `calc`."""

from typing import Any

import numpy as np

from addin.worksheet.cell import Num, Rows
from addin.worksheet.headings import split
from addin.worksheet.numbers import Cell, is_blank, plain_text, read_number
from addin.worksheet.table import read_table
from addin.worksheet.words import line
from calc.findings import Finding, InputError, stop
from calc.hardware import friction, materials, nuts, threads
from calc.hardware.threads import Thread
from calc.preload import target
from calc.preload import torque as torques
from calc.procedure import order, passes
from calc.quantities import settle
from calc.units import System, factor, from_si, kinds_of, symbol, system, to_si
from calc.wrench import calibration
from calc.wrench.calibration import Curve, Marks


def each(thread: Thread, find: Any) -> Rows:
    """`find` for every element of a column of threads; refusals stay with their element."""
    columns = np.atleast_1d(thread.diameter), np.atleast_1d(thread.pitch), np.atleast_1d(thread.metric)
    values, faults, known = [], {}, {}
    for i, key in enumerate(zip(*(column.tolist() for column in columns), strict=True)):
        if key not in known:
            try:
                known[key] = find(Thread(_designation(*key), *key))
            except InputError as error:
                known[key] = error.finding
        found = known[key]
        values.append(np.nan if isinstance(found, Finding) else found)
        if isinstance(found, Finding):
            faults[i] = found
    return Rows(np.array(values), faults)


def _designation(diameter: float, pitch: float, metric: bool) -> str:
    if metric:
        return f"M{diameter * 1e3:g}x{pitch * 1e3:g}"
    return f"{diameter / 0.0254:g} in"


def _rounding(text: str) -> str:
    name = text.lower()
    if name not in calibration.ROUNDINGS:
        raise stop("rounding_unknown", "rounding", text=text, known=calibration.ROUNDINGS)
    return name


def setpoint(
    torque: Any, table: Curve, units: System, graduation: Any, rounding: str, tolerance: Any, link_factor: Any
) -> Rows:
    """Pump pressure for every torque of a column, on the gauge's marks where they are given."""
    curve, step = table.scaled(link_factor), graduation
    low, high = float(curve.torque[0]), float(curve.torque[-1])
    faults: dict[int, Finding] = {}
    for i, t in enumerate(torque):
        if t < low:
            faults[i] = Finding("torque_below_table", "torque", {"torque": t, "low": low})
        elif t > high:
            faults[i] = Finding("torque_above_table", "torque", {"torque": t, "high": high})
    unit = units.symbol("pressure")
    if step is None:
        if tolerance is not None:
            raise stop("graduation_needed", "graduation")
        return Rows(from_si(calibration.pressure_for(curve, torque), "pressure", unit), faults)
    marks = Marks(step, factor("pressure", unit))
    s = calibration.setting(curve, torque, marks, rounding=_rounding(rounding))
    for i, t in enumerate(torque):
        if i in faults:
            continue
        if np.isnan(s.count[i]):
            faults[i] = Finding("no_mark", "torque", {"torque": t, "rounding": rounding})
        elif tolerance is not None and abs(s.difference[i]) > tolerance:
            facts = {"torque": t, "pressure": s.pressure[i], "given": s.torque[i], "difference": s.difference[i]}
            faults[i] = Finding("mark_tolerance", "torque", {**facts, "tolerance": tolerance})
    return Rows(marks.shown(s.count), faults)


def torque_at_pressure(pressure: Any, table: Curve, units: System, link_factor: Any) -> Rows:
    """Torque at every pressure of a column."""
    curve = table.scaled(link_factor)
    low, high = float(curve.pressure[0]), float(curve.pressure[-1])
    faults = {}
    for i, p in enumerate(pressure):
        if p < low:
            faults[i] = Finding("pressure_below_table", "pressure", {"pressure": p, "low": low})
        elif p > high:
            faults[i] = Finding("pressure_above_table", "pressure", {"pressure": p, "high": high})
    return Rows(calibration.torque_at(curve, pressure), faults)


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
            curves.append(read_table(part[: last + 1]).curve())
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
        if torque < low:
            raise stop("torque_below_table", "torque", torque=torque, low=low)
        if torque > high:
            raise stop("torque_above_table", "torque", torque=torque, high=high)
    count, settings = calibration.shared_setting(curves, torque, marks)
    differences = tuple(float(s.difference) for s in settings)
    if np.isnan(count) or max(map(abs, differences)) > tolerance:
        offs = () if np.isnan(count) else differences
        raise stop("shared_mark", "torque", torque=torque, tolerance=tolerance, differences=offs)
    head = ["wrench", f"pressure ({unit})", f"torque ({units.symbol('torque')})", "difference (%)"]
    return [head] + [
        [i, float(marks.shown(count)), Num(float(s.torque), "torque"), Num(float(s.difference), "percent")]
        for i, s in enumerate(settings, start=1)
    ]


def table_findings(table: list[list[Cell]]) -> list[list[Any]]:
    """What is wrong or odd in a table, a row each."""
    units = system("SI")
    used = [row for row in table if any(not is_blank(cell) for cell in row)]
    try:
        read = read_table(used)
    except InputError as error:
        return [["stop", line(error.finding, units)]]
    if read.pressure_unit in ("psi", "ksi"):
        units = system("US")
    said = [[finding.level, line(finding, units)] for finding in read.findings]
    return said or [["no findings", ""]]


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
        s = passes.stage_settings(curve, torque, stages, marks, rounding=_rounding(rounding))
        on_gauge, there = marks.shown(s.count), s.torque
    torque_unit = units.symbol("torque")
    rows: list[list[Any]] = [
        [
            "pass",
            "per cent",
            f"torque ({torque_unit})",
            f"pressure ({unit})",
            f"torque there ({torque_unit})",
            "pattern",
        ]
    ]
    for i, stage in enumerate(stages):
        if stage.fraction is None:
            rows.append([stage.number, None, None, "by hand", None, "snug"])
        elif np.isnan(on_gauge[i]):
            rows.append([stage.number, Num(stage.fraction, "percent"), Num(wanted[i], "torque"),
                         "other means", None, stage.pattern])  # fmt: skip
        else:
            rows.append([stage.number, Num(stage.fraction, "percent"), Num(wanted[i], "torque"), float(on_gauge[i]),
                         Num(there[i], "torque"), stage.pattern])  # fmt: skip
    return rows


def tightening_order(studs: float, at_once: float, pattern: str) -> list[list[Any]]:
    """Moves of a joint, a row each."""
    patterns = {"cross": order.cross, "circular": order.circular}
    if pattern.lower() not in patterns:
        raise stop("pattern_unknown", "pattern", text=pattern, known=tuple(patterns))
    return [list(move) for move in patterns[pattern.lower()](int(studs), int(at_once))]


def nut_factor(lubricant: str, lubricants: list[list[Cell]]) -> float:
    """Nut factor of a product in a range whose headings name product and nut factor."""
    heads = [split(plain_text(cell)).words for cell in lubricants[0]]
    if "product" not in heads or "nut factor" not in heads:
        raise stop("lubricant_headings", "lubricants")
    products = [row for row in lubricants[1:] if not is_blank(row[heads.index("product")])]
    names = [plain_text(row[heads.index("product")]) for row in products]
    found = [row for row, name in zip(products, names, strict=True) if name.casefold() == lubricant.casefold()]
    if not found:
        raise stop("lubricant_unknown", "lubricant", text=lubricant, known=tuple(names))
    if len(found) > 1:
        raise stop("lubricant_twice", "lubricant", text=lubricant)
    return read_number(found[0][heads.index("nut factor")], "nut_factor", None)


def nut_factor_survey(condition: str) -> list[list[Any]]:
    """A published range with its source."""
    row = friction.survey(condition)
    name = "nut factor" if row.quantity.startswith("K") else "friction coefficient"
    return [
        ["quantity", "low", "mean", "high", "source"],
        [name, row.low, row.mean, row.high, f"{row.source}; {row.basis}"],
    ]


def combined_stress(preload: Any, thread: Thread, thread_friction: Any, units: System, form: str) -> Any:
    """Equivalent stress with torsion."""
    return torques.combined_stress(preload, thread, thread_friction, torsion=form)


def torque_from_friction(
    preload: Any,
    thread: Thread,
    thread_friction: Any,
    nut_friction: Any,
    units: System,
    form: str,
    bearing_diameter: Any,
) -> Any:
    """Torque from coefficients; the bearing diameter from the heavy hex nut where it is not given."""
    faults: dict[int, Finding] = {}
    if bearing_diameter is None:
        if form.lower() == "api 6a":
            bearing_diameter = torques.api6a_bearing_diameter(thread)
        else:
            flats = each(thread, lambda t: nuts.across_flats(t, None))
            faults, bearing_diameter = flats.faults, friction.bearing_diameter(thread, flats.values)
    result = torques.from_friction(
        preload, thread, thread_friction, nut_friction, bearing_diameter=bearing_diameter, form=form
    )
    return Rows(result, faults)


def unit_convert(value: Any, from_unit: str, to_unit: str) -> Any:
    """Numbers from one unit to another of the same kind."""
    kinds = [kind for kind in kinds_of(from_unit) if kind in kinds_of(to_unit)]
    if not kinds:
        first = kinds_of(from_unit) or kinds_of(to_unit)
        wrong = to_unit if kinds_of(from_unit) else from_unit
        symbol(first[0] if first else "torque", wrong)  # raises with the units that are known
    return from_si(to_si(value, kinds[0], from_unit), kinds[0], to_unit)


def nut_across_flats(thread: Thread, series: str) -> Rows:
    """Width across flats for every thread of a column."""
    return each(thread, lambda t: nuts.across_flats(t, series or None))


def stud_yield(grade: str, thread: Thread, units: System) -> Rows:
    """Minimum yield of a grade for every thread of a column."""
    return each(thread, lambda t: materials.strength(grade, t.diameter, bool(t.metric)).yield_strength)


def preload_from_yield(percent: Any, grade: str, thread: Thread, units: System, area: str) -> Rows:
    """Preload from a share of yield."""
    strength = stud_yield(grade, thread, units)
    return Rows(target.from_yield(percent, strength.values, threads.area(thread, area)), strength.faults)


def preload_from_combined_stress(percent: Any, grade: str, thread: Thread, thread_friction: Any, units: System) -> Rows:
    """Preload at which stress with torsion reaches a share of yield."""
    strength = stud_yield(grade, thread, units)
    result = torques.preload_from_combined_stress(percent, strength.values, thread, thread_friction)
    return Rows(result, strength.faults)
