"""The working of a joint, for a page behind its card: the calls of single functions that lead to its numbers.

The plan is the only source: its entry, the tables of its wrenches and its settings. Each call is run again through
`working`; its last line is the plan's own number to the bit, and `agrees` says whether it is.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from addin.cells.texts import is_stop
from addin.functions.gate import Cell, answer
from addin.functions.registry import BY_NAME
from addin.plan.entries import Amount
from addin.plan.record import FULL, PlanHead
from addin.plan.record_joint import JointEntry
from calc.hardware import friction, threads
from calc.procedure.passes import STAGE_TOLERANCE
from calc.quantities import short
from calc.units import from_si, system, to_si


@dataclass(frozen=True)
class WorkingSection:
    """One call: function, arguments as shown, rows of its working, and whether its result is the plan's own number.

    `agrees` is None where the plan holds no single number, `own`, to compare with.
    """

    function: str
    arguments: list[Any]
    rows: list[list[Any]]
    agrees: bool | None
    own: Amount | None = None


def joint_working(head: PlanHead, joint: JointEntry) -> list[WorkingSection]:
    """Sections of a planned joint in the order of the calculation. Empty for rows that are not planned."""
    if not joint.planned:
        return []
    if joint.breakout:
        return [_section(name, values, None) for name, values in _breakout(head, joint)]
    return [_section(name, values, own) for name, values, own in (*_preload(joint), *_pulling(head, joint))]


def _section(name: str, values: Sequence[Any], own: Amount | None) -> WorkingSection:
    rows = answer(BY_NAME["working"], (name, *values))
    rows = [[rows]] if is_stop(rows) else rows
    agrees = None if own is None else len(rows) > 1 and rows[-1][4] == own.value
    shown = [cell if isinstance(cell, (str, int, float)) or cell is None else "table" for cell in values]
    return WorkingSection(name, shown, rows, agrees, own)


Call = tuple[str, list[Any], Amount | None]


def _system(joint: JointEntry, gauge_unit: str = "") -> str:
    known = joint.torque or (joint.breakout.expected if joint.breakout else None)
    assert known is not None
    return f"{'US' if known.unit == 'lbf·ft' else 'SI'} {gauge_unit}".strip()


def _preload(joint: JointEntry) -> list[Call]:
    """Target to preload to torque."""
    target, units, thread = joint.target, _system(joint), joint.thread
    assert target is not None
    stated, preload, torque = _text(target.stated), joint.preload, joint.torque
    assert torque is not None
    calls: list[Call] = []
    if target.kind == "stress":
        calls.append(("preload_from_stress", [stated, thread, units, target.area], preload))
    elif target.kind == "percent":
        calls.append(("preload_from_yield", [stated, joint.grade, thread, units, target.area], preload))
    if preload is None:
        return calls
    own = target.friction
    if own.nut_factor is not None:
        if target.kind == "torque":
            calls.append(("preload_from_torque", [torque.value, thread, own.nut_factor, units], preload))
        else:
            calls.append(("torque_from_preload", [preload.value, thread, own.nut_factor, units], torque))
    elif own.thread_friction is not None:
        if target.kind != "torque":
            bearing = _bearing(joint, units)
            coefficients = [own.thread_friction, own.nut_friction]
            calls.append(
                ("torque_from_friction", [preload.value, thread, *coefficients, units, "VDI 2230", bearing], torque)
            )
        reached = joint.limits[0].reached
        most = float(short(preload.value * joint.raised.factor)) if joint.raised else preload.value
        calls.append(("combined_stress", [most, thread, own.thread_friction, units, "elastic"], reached))
    return calls


def _bearing(joint: JointEntry, units: str) -> Cell:
    """Mean friction diameter under the nut, from the size of the nut; blank where a heavy hex nut gives it."""
    flats, thread = joint.across_flats, threads.parse(joint.thread or "")
    if flats is None or (joint.nut_series == "heavy hex" and not thread.metric):
        return None
    metres = friction.bearing_diameter(thread, float(to_si(flats.value, "length", flats.unit)))
    return float(from_si(metres, "length", system(units).symbol("length")))


def _pulling(head: PlanHead, joint: JointEntry) -> list[Call]:
    """Torque to the mark of one wrench; several on one pump share a mark that no single call gives."""
    if len(joint.wrenches) != 1:
        return []
    own, settings = joint.wrenches[0], head.settings
    table, step, unit, link_factor = _wrench(head, own.wrench, own.link, own.gauge)
    units, tolerance = _system(joint, unit), f"{settings.tolerance_percent} %"
    assert joint.torque is not None
    torque, rounding = joint.torque.value, settings.rounding
    set_to: Call = ("setpoint", [torque, table, units, step, rounding, tolerance, link_factor], own.setpoint)
    if joint.raised is None:
        scheme = settings.scheme
        return [set_to, ("pass_table", [torque, table, units, scheme, step, rounding, tolerance, link_factor], None)]
    calls = [set_to]
    for item in head.passes(joint):
        if item.torque and item.pressure and item.percent != FULL:
            near = max(settings.tolerance_percent, 100 * STAGE_TOLERANCE) if (item.percent or 0) < FULL else None
            off = tolerance if near is None else f"{near} %"
            set_there = [item.torque.value, table, units, step, rounding, off, link_factor]
            calls.append(("setpoint", set_there, item.pressure))
    return calls


def _breakout(head: PlanHead, joint: JointEntry) -> list[tuple[str, list[Any]]]:
    block = joint.breakout
    assert block is not None
    tool = block.tool
    table, _, unit, factor = _wrench(head, tool.wrench, tool.link, tool.gauge)
    if factor != 1.0:  # the function knows no link: the table holds the torque at the nut
        table = [table[0], *([row[0], row[1] * factor] for row in table[1:])]
    stud = [joint.grade, joint.thread]
    return [("breakout_check", [block.torque_stated.value, table, _system(joint, unit), block.factor, *stud])]


def _wrench(head: PlanHead, wrench: str, link: str, gauge: str) -> tuple[list[list[Any]], float, str, float]:
    """Table of a wrench as cells, graduation and unit of its gauge, factor of its link."""
    entry = next(each for each in head.wrenches if each.name == wrench)
    marks = next(each for each in head.gauges if each.name == gauge).graduation
    factor = next(each.factor for each in entry.links if each.name == link)
    first = entry.table[0]
    headings = [f"Pressure ({first.pressure.unit})", f"Torque ({first.torque.unit})"]
    rows = [[point.pressure.value, point.torque.value] for point in entry.table]
    return [headings, *rows], marks.value, marks.unit, factor


def _text(item: Amount) -> str:
    return f"{item.value!r} {item.unit}"
