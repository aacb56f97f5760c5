"""What the types of a plan do not check: numbers in range, names that the plan knows, cards and days well formed."""

import datetime
import re
from collections.abc import Iterator
from functools import lru_cache

from addin.cells.words import figure
from addin.plan.record import Amount, PlanHead, order_key
from addin.plan.record_joint import OTHER, PLANNED, STOPPED, JointEntry, ToolEntry
from calc.findings import InputError
from calc.procedure.passes import RETIGHTEN
from calc.quantities import QUANTITIES
from calc.units import factor

_CARD = re.compile(r"[0-9A-F]{4}-[0-9A-F]{4}")
_TOP = 1e-9
Place = tuple[str, Amount | None, str]


def head_fault(head: PlanHead) -> str | None:
    """What is wrong with the head of a plan, and where; None where nothing is."""
    for at, wrench in enumerate(head.wrenches):
        for name, rating in wrench.ratings().items():
            if said := _outside((f"wrenches[{at}].{name} rated pressure", rating, "gauge_range")):
                return said
        for k, point in enumerate(wrench.table):
            for name, amount, kind in (("pressure", point.pressure, "pressure"), ("torque", point.torque, "torque")):
                if said := _positive((f"wrenches[{at}].table[{k}].{name}", amount, kind)):
                    return said
        for k, link in enumerate(wrench.links):
            if not QUANTITIES["link_factor"].low <= link.factor <= QUANTITIES["link_factor"].high:
                return f"wrenches[{at}].links[{k}].factor: {figure(link.factor)} is out of range"
    for at, gauge in enumerate(head.gauges):
        for name, amount, quantity in (
            ("range", gauge.range, "gauge_range"), ("graduation", gauge.graduation, "graduation"),
        ):  # fmt: skip
            if said := _outside((f"gauges[{at}].{name}", amount, quantity)):
                return said
    for part in ("wrenches", "gauges"):
        names = [entry.name for entry in getattr(head, part)]
        if len(set(names)) < len(names):
            return f"{part}: a name stands twice"
    if not head.stages or not any(stage.percent == 100 for stage in head.stages):
        return "stages: none at full torque"
    for key, moves in head.orders.items():
        studs = [stud for move in moves for stud in move]
        if sorted(studs) != list(range(1, len(studs) + 1)) or key.partition("/")[0] != str(len(studs)):
            return f"orders.{key}: does not name each stud once"
    return _day_fault("date", head.date)


def joint_fault(joint: JointEntry, head: PlanHead) -> str | None:
    """What is wrong with the entry of a joint, and where; None where nothing is."""
    if joint.status not in (PLANNED, STOPPED, OTHER):
        return f"status: '{joint.status}' is none"
    if joint.card is not None and not _CARD.fullmatch(joint.card):
        return f"card: '{joint.card}' is no revision of a card"
    if said := _day_fault("date", joint.date):
        return said
    for place in _places(joint):
        if said := _outside(place):
            return said
    if not joint.planned:
        shown = joint.torque or joint.wrenches or joint.alternates or joint.breakout or joint.card
        return "status: a row that is not planned has a card or numbers" if shown else None
    return _planned_fault(joint, head)


def _planned_fault(joint: JointEntry, head: PlanHead) -> str | None:
    if joint.card is None:
        return "card: missing"
    if joint.studs is None or not QUANTITIES["studs"].low <= joint.studs <= QUANTITIES["studs"].high:
        return f"studs: {joint.studs} is out of range"
    if joint.at_once not in (1, 2, 4):
        return f"at_once: {joint.at_once} is not 1, 2 or 4"
    for kind, tools in (("wrenches", joint.wrenches), ("alternates", joint.alternates), ("breakout", joint.tools)):
        for at, tool in enumerate(tools):
            if said := _tool_fault(f"{kind}[{at}]", tool, head):
                return said
    if joint.breakout:
        top = joint.breakout.highest_pressure
        return _above("breakout.highest_pressure", top, joint.breakout.tool, head) if top else None
    if joint.torque is None or joint.target is None:
        return "torque: missing"
    below = sum(stage.own_torque(joint) for stage in head.stages_of(joint))
    for name, passes in (("passes", joint.passes), *((f"{t.wrench}.passes", t.passes) for t in joint.wrenches),
                         *((f"{t.wrench}.passes", t.passes) for t in joint.alternates)):  # fmt: skip
        if len(passes) != below:
            return f"{name}: {len(passes)} passes below or above full torque where the scheme has {below}"
    if (
        joint.operation != RETIGHTEN
        and not joint.own_order
        and order_key(joint.studs, joint.at_once) not in head.orders
    ):
        return f"order: the plan has none for {joint.studs} studs, {joint.at_once} at once"
    return None


def _tool_fault(name: str, tool: ToolEntry, head: PlanHead) -> str | None:
    if head.wrench(tool.wrench) is None:
        return f"{name}.wrench: '{tool.wrench}' is not in the plan's wrenches"
    if head.gauge(tool.gauge) is None:
        return f"{name}.gauge: '{tool.gauge}' is not in the plan's gauges"
    for each in (tool.setpoint, *(setting.pressure for setting in tool.passes)):
        if each is not None and (said := _above(name, each, tool, head)):
            return said
    return None


def _above(name: str, pressure: Amount, tool: ToolEntry, head: PlanHead) -> str | None:
    """A pressure above what its wrench, hose, pump or gauge may see."""
    wrench, gauge = head.wrench(tool.wrench), head.gauge(tool.gauge)
    assert wrench is not None
    assert gauge is not None
    pascal = _pascal(pressure)
    for what, rating in wrench.ratings(gauge).items():
        if pascal > _pascal(rating) * (1 + _TOP):
            return f"{name}: pressure {_said(pressure)} is above the {what}'s {_said(rating)}"
    return None


def _places(joint: JointEntry) -> Iterator[Place]:
    """Amounts of an entry by place, with the quantity whose range they keep."""
    yield "preload", joint.preload, "preload"
    yield "torque", joint.torque, "torque"
    yield "across_flats", joint.across_flats, "across_flats"
    for at, own in enumerate(joint.passes):
        yield f"passes[{at}].torque", own.torque, ""
    for kind, tools in (("wrenches", joint.wrenches), ("alternates", joint.alternates)):
        for at, tool in enumerate(tools):
            yield f"{kind}[{at}].setpoint", tool.setpoint, "pump_pressure"
            yield f"{kind}[{at}].torque_at_setpoint", tool.torque_at_setpoint, "torque"
            for k, setting in enumerate(tool.passes):
                yield f"{kind}[{at}].passes[{k}].pressure", setting.pressure, "pump_pressure"
                yield f"{kind}[{at}].passes[{k}].torque_at_pressure", setting.torque_at_pressure, ""
    if joint.breakout:
        block = joint.breakout
        for name in ("torque_stated", "expected", "available", "stud_limit", "never_above"):
            yield f"breakout.{name}", getattr(block, name), ""
        yield "breakout.highest_pressure", block.highest_pressure, "pump_pressure"
        for at, stage in enumerate(block.stages):
            yield f"breakout.stages[{at}].pressure", stage.pressure, "pump_pressure"


def _outside(place: Place) -> str | None:
    name, amount, quantity = place
    if amount is None:
        return None
    if not quantity:
        return _positive((name, amount, "torque"))
    q = QUANTITIES[quantity]
    scale = _factor(q.kind, amount.unit)
    if scale is None:
        return f"{name}: '{amount.unit}' is no unit of {q.kind}"
    if not q.low * (1 - _TOP) <= amount.value * scale <= q.high * (1 + _TOP):
        return f"{name}: {_said(amount)} is out of range"
    return None


def _positive(place: Place) -> str | None:
    name, amount, kind = place
    if amount is None:
        return None
    if _factor(kind, amount.unit) is None:
        return f"{name}: '{amount.unit}' is no unit of {kind}"
    return None if amount.value > 0 else f"{name}: {_said(amount)} is out of range"


@lru_cache(maxsize=256)
def _factor(kind: str, unit: str) -> float | None:
    try:
        return factor(kind, unit)
    except InputError:
        return None


def _pascal(pressure: Amount) -> float:
    scale = _factor("pressure", pressure.unit)
    return pressure.value * scale if scale else float("inf")


def _said(amount: Amount) -> str:
    value = figure(amount.value) if abs(amount.value) < 1e9 else f"{amount.value:.3g}"
    return f"{value} {amount.unit}"


def _day_fault(name: str, text: str | None) -> str | None:
    if text is None:
        return None
    try:
        same = datetime.date.fromisoformat(text).isoformat() == text
    except ValueError:
        same = False
    return None if same else f"{name}: '{text}' is no day"
