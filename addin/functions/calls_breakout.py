"""What the functions about breaking out and about room for a link calculate: arguments in SI in, rows out."""

import math
from typing import Any

import numpy as np

from addin.cells.words import amount
from addin.functions.calls_stud import yields
from addin.functions.gate import Num
from addin.functions.steps import step
from calc.findings import InputError
from calc.hardware import nuts
from calc.hardware.threads import Thread
from calc.units import System
from calc.wrench import breakout, clearance
from calc.wrench.calibration import Curve

_NO_FACTOR = "break-out factor is needed; no figure stands for all joints"


def breakout_check(
    torque: float, table: Curve, units: System, factor: float | None, grade: str, thread: Thread | None
) -> list[list[Any]]:
    """Torque to expect, what the wrench has, what the stud takes in torsion, what follows, and the stages."""
    available, top = float(table.torque[-1]), float(table.pressure[-1])
    step("torque at the highest point of the table", "Tw", available, "torque", source="table")
    limit, limit_note = _torsional(grade, thread, units)
    times = math.nan if factor is None else factor
    found = breakout.check(torque, times, available, limit)
    expected = step("torque to expect: factor times make-up torque", "Tb", float(found.expected), "torque", "Tb = c T")
    usable = step("torque never to go beyond", "Tu", float(found.usable), "torque", "the smaller of wrench and stud")
    t, p = units.symbol("torque"), units.symbol("pressure")
    rows: list[list[Any]] = [
        ["", "value", "unit", "note"],
        ["torque to expect", *_shown(expected, "torque", units), "" if factor is not None else _NO_FACTOR],
        ["torque at the wrench's highest point", Num(available, "torque"), t, f"at {amount(top, 'pressure', units)}"],
        ["stud's torsional limit", *_shown(limit, "torque", units), limit_note],
        [
            "never beyond",
            Num(usable, "torque"),
            t,
            "the wrench alone: stud not checked" if math.isnan(limit) else "the smaller of wrench and stud",
        ],
        ["what follows", str(found.follows) or "not judged", "", _FOLLOWS.get(str(found.follows), _NO_FACTOR)],
    ]
    if factor is None:
        return [*rows, ["stages", "none", "", _NO_FACTOR]]
    stages = breakout.staged(table, min(expected, usable))
    for number, value in enumerate(stages, start=1):
        pressure = float(np.interp(value, table.torque, table.pressure))
        rows.append([f"stage {number}", Num(pressure, "pressure"), p, f"about {amount(float(value), 'torque', units)}"])
    if not stages.size:
        rows.append(["stages", "none", "", "the torque lies below the table's lowest point: other means"])
    return rows


_FOLLOWS = {
    breakout.WITHIN: "start low and raise the pressure step by step; stop when the nut turns",
    breakout.LARGER: "never more pressure than the rating",
    breakout.OTHER: "penetrant, heat where allowed, cutting the nut; or the stud is sacrificial",
    breakout.UNKNOWN_STUD: "start low, raise the pressure step by step; the stud may twist off, it was not checked",
    breakout.UNKNOWN_LARGER: "never more pressure than the rating; the stud was not checked",
}


def _torsional(grade: str, thread: Thread | None, units: System) -> tuple[float, str]:
    if not grade or thread is None:
        lacks = " and ".join(name for name, has in (("grade", grade), ("thread", thread)) if not has)
        return math.nan, f"not checked: {lacks} needed"
    strength = yields(grade, thread, supplied=False)
    if strength.faults:
        raise InputError(strength.faults[0])
    limit = float(breakout.torsional_limit(thread, float(strength.values[0])))
    formula = "Ts = Re/√3 π d³/16, d of the stress area"
    step("torque at which the stud begins to yield in torsion", "Ts", limit, "torque", formula)
    return limit, "a stud that is kept begins to yield, seized thread, no preload left in it"


def _shown(value: float, kind: str, units: System) -> tuple[Any, str]:
    """A number with its unit, or nothing where it is not known."""
    return ("not known", "") if math.isnan(value) else (Num(value, kind), units.symbol(kind))


def link_clearance(
    thread: Thread, studs: float, bolt_circle: float, link_radius: float, units: System, hub_diameter: float | None,
    series: str,
) -> list[list[Any]]:  # fmt: skip
    """Gaps of a link to the neighbouring nuts and to the hub."""
    flats = nuts.across_flats(thread, series or None)
    step("across flats", "AF", flats, "length", source="table of the nut series")
    c = clearance.link_clearance(
        link_radius, flats, studs, bolt_circle, hub_diameter=math.nan if hub_diameter is None else hub_diameter
    )
    step("pitch of the studs", "s", c.pitch, "length", "s = C sin(180°/n)", "plane geometry")
    step("gap to a nut with a corner turned to the link", "g1", c.nuts, "length", "g1 = s - r - AF/√3")
    step("gap to a nut with a flat turned to the link", "g2", c.nuts_flat, "length", "g2 = s - r - AF/2")
    if hub_diameter is not None:
        step("gap to the hub", "g3", c.hub, "length", "g3 = (C - Dh)/2 - r")
    if float(c.nuts) > 0:
        nut_note = "fits whichever way the nuts stand"
    elif float(c.nuts_flat) > 0:
        nut_note = "fits only where the neighbouring nuts turn a flat to it"
    else:
        nut_note = "does not fit"
    unit = units.symbol("length")
    hub: list[Any] = ["gap to the hub", "not checked", "", "hub diameter is needed"]
    if hub_diameter is not None:
        hub = ["gap to the hub", Num(float(c.hub), "length"), unit, "fits" if float(c.hub) > 0 else "does not fit"]
    return [
        ["", "value", "unit", "note"],
        ["pitch of the studs", Num(float(c.pitch), "length"), unit, ""],
        ["gap to the next nut, corner to the link", Num(float(c.nuts), "length"), unit, nut_note],
        ["gap to the next nut, flat to the link", Num(float(c.nuts_flat), "length"), unit, ""],
        hub,
        ["not in it", "", "", "tolerances, washers wider than the nut, the body of the wrench behind the link"],
    ]
