"""What the types of a plan do not check: numbers in range, names that the plan knows, cards and days well formed."""

import datetime
import re
from collections.abc import Iterable, Sequence
from functools import lru_cache

from addin.cells.words import figure
from addin.plan.record import Amount, PlanHead, order_key
from addin.plan.record_joint import OTHER, PLANNED, STOPPED, BreakoutEntry, JointEntry, ToolEntry
from calc.findings import InputError
from calc.procedure.passes import RETIGHTEN
from calc.quantities import QUANTITIES
from calc.units import factor

_CARD = re.compile(r"[0-9A-F]{4}-[0-9A-F]{4}")
_TOP = 1e-9
_STUDS = QUANTITIES["studs"]
_KEPT = 2048
Place = tuple[str, Amount | None, str]


def head_fault(head: PlanHead) -> str | None:
    """What is wrong with the head of a plan, and where; None where nothing is."""
    for at, wrench in enumerate(head.wrenches):
        for name, rating in wrench.ratings().items():
            if said := _outside(rating, "gauge_range"):
                return f"wrenches[{at}].{name} rated pressure{said}"
        for k, point in enumerate(wrench.table):
            for name, amount, kind in (("pressure", point.pressure, "pressure"), ("torque", point.torque, "torque")):
                if said := _positive(amount, kind):
                    return f"wrenches[{at}].table[{k}].{name}{said}"
        for k, link in enumerate(wrench.links):
            if not QUANTITIES["link_factor"].low <= link.factor <= QUANTITIES["link_factor"].high:
                return f"wrenches[{at}].links[{k}].factor: {figure(link.factor)} is out of range"
    for at, gauge in enumerate(head.gauges):
        for name, amount, quantity in (
            ("range", gauge.range, "gauge_range"), ("graduation", gauge.graduation, "graduation"),
        ):  # fmt: skip
            if said := _outside(amount, quantity):
                return f"gauges[{at}].{name}{said}"
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


class JointChecks:
    """What is wrong with the entries of one plan; what many of them share is looked at once.

    A head is checked first (`head_fault`): names of its wrenches and gauges stand once.
    """

    def __init__(self, head: PlanHead) -> None:
        self._head = head
        self._tools: dict[ToolEntry, str | None] = {}
        self._passes: dict[tuple[str, int | None, bool], int] = {}

    def fault(self, joint: JointEntry) -> str | None:
        """What is wrong with the entry of a joint, and where; None where nothing is."""
        if joint.status not in (PLANNED, STOPPED, OTHER):
            return f"status: '{joint.status}' is none"
        if joint.card is not None and not _CARD.fullmatch(joint.card):
            return f"card: '{joint.card}' is no revision of a card"
        if joint.date is not None and (said := _day_fault("date", joint.date)):
            return said
        if said := _amounts_fault(joint):
            return said
        if not joint.planned:
            shown = joint.torque or joint.wrenches or joint.alternates or joint.breakout or joint.card
            return "status: a row that is not planned has a card or numbers" if shown else None
        return self._planned(joint)

    def _planned(self, joint: JointEntry) -> str | None:
        head = self._head
        if joint.card is None:
            return "card: missing"
        if joint.studs is None or not _STUDS.low <= joint.studs <= _STUDS.high:
            return f"studs: {joint.studs} is out of range"
        if joint.at_once not in (1, 2, 4):
            return f"at_once: {joint.at_once} is not 1, 2 or 4"
        for kind, tools in (("wrenches", joint.wrenches), ("alternates", joint.alternates), ("breakout", joint.tools)):
            for at, tool in enumerate(tools):
                if said := self._tool(tool):
                    return f"{kind}[{at}]{said}"
        if joint.breakout:
            top = joint.breakout.highest_pressure
            said = _above(top, joint.breakout.tool, head) if top else None
            return said and f"breakout.highest_pressure{said}"
        if joint.torque is None or joint.target is None:
            return "torque: missing"
        below = self._below(joint)
        if len(joint.passes) != below:
            return _passes_fault("passes", joint.passes, below)
        for tool in (*joint.wrenches, *joint.alternates):
            if len(tool.passes) != below:
                return _passes_fault(f"{tool.wrench}.passes", tool.passes, below)
        if (
            joint.operation != RETIGHTEN
            and not joint.own_order
            and order_key(joint.studs, joint.at_once) not in head.orders
        ):
            return f"order: the plan has none for {joint.studs} studs, {joint.at_once} at once"
        return None

    def _below(self, joint: JointEntry) -> int:
        """How many passes of a joint have another torque than the full one."""
        key = joint.operation, joint.studs, joint.raised is not None
        if key not in self._passes:
            self._passes[key] = sum(stage.own_torque(joint) for stage in self._head.stages_of(joint))
        return self._passes[key]

    def _tool(self, tool: ToolEntry) -> str | None:
        """What is wrong with a wrench as it is set in this plan; it is set alike in many joints."""
        if tool not in self._tools:
            if len(self._tools) >= _KEPT:
                self._tools.clear()
            self._tools[tool] = _tool_fault(tool, self._head)
        return self._tools[tool]


def _passes_fault(name: str, passes: Sequence[object], below: int) -> str:
    return f"{name}: {len(passes)} passes below or above full torque where the scheme has {below}"


def _tool_fault(tool: ToolEntry, head: PlanHead) -> str | None:
    if head.wrench(tool.wrench) is None:
        return f".wrench: '{tool.wrench}' is not in the plan's wrenches"
    if head.gauge(tool.gauge) is None:
        return f".gauge: '{tool.gauge}' is not in the plan's gauges"
    for each in (tool.setpoint, *(setting.pressure for setting in tool.passes)):
        if each is not None and (said := _above(each, tool, head)):
            return said
    return None


def _above(pressure: Amount, tool: ToolEntry, head: PlanHead) -> str | None:
    """A pressure above what its wrench, hose, pump or gauge may see."""
    wrench, gauge = head.wrench(tool.wrench), head.gauge(tool.gauge)
    assert wrench is not None
    assert gauge is not None
    pascal = _pascal(pressure)
    for what, rating in wrench.ratings(gauge).items():
        if pascal > _pascal(rating) * (1 + _TOP):
            return f": pressure {_said(pressure)} is above the {what}'s {_said(rating)}"
    return None


def _amounts_fault(joint: JointEntry) -> str | None:
    """The first amount of an entry that is out of the range of its quantity."""
    for name, amount, quantity in (
        ("preload", joint.preload, "preload"), ("torque", joint.torque, "torque"),
        ("across_flats", joint.across_flats, "across_flats"),
    ):  # fmt: skip
        if amount is not None and (said := _outside(amount, quantity)):
            return f"{name}{said}"
    for at, own in enumerate(joint.passes):
        if said := _outside(own.torque, ""):
            return f"passes[{at}].torque{said}"
    for kind, tools in (("wrenches", joint.wrenches), ("alternates", joint.alternates)):
        for at, tool in enumerate(tools):
            if said := _settings_fault(tool):
                return f"{kind}[{at}].{said}"
    return _opening_fault(joint.breakout) if joint.breakout else None


@lru_cache(maxsize=2048)
def _settings_fault(tool: ToolEntry) -> str | None:
    """The first amount of a wrench that is out of range."""
    places: list[Place] = [
        ("setpoint", tool.setpoint, "pump_pressure"), ("torque_at_setpoint", tool.torque_at_setpoint, "torque")
    ]  # fmt: skip
    for k, setting in enumerate(tool.passes):
        places.append((f"passes[{k}].pressure", setting.pressure, "pump_pressure"))
        places.append((f"passes[{k}].torque_at_pressure", setting.torque_at_pressure, ""))
    return _first(places)


def _opening_fault(block: BreakoutEntry) -> str | None:
    places: list[Place] = [
        (f"breakout.{name}", getattr(block, name), "")
        for name in ("torque_stated", "expected", "available", "stud_limit", "never_above")
    ]
    places.append(("breakout.highest_pressure", block.highest_pressure, "pump_pressure"))
    for at, stage in enumerate(block.stages):
        places.append((f"breakout.stages[{at}].pressure", stage.pressure, "pump_pressure"))
    return _first(places)


def _first(places: Iterable[Place]) -> str | None:
    """The first fault of some amounts by place."""
    for name, amount, quantity in places:
        if amount is not None and (said := _outside(amount, quantity)):
            return f"{name}{said}"
    return None


@lru_cache(maxsize=16384)
def _outside(amount: Amount, quantity: str) -> str | None:
    """What is wrong with an amount of a quantity, behind its name; of a torque of a pass or of breaking out for ""."""
    if not quantity:
        return _positive(amount, "torque")
    q = QUANTITIES[quantity]
    scale = _factor(q.kind, amount.unit)
    if scale is None:
        return f": '{amount.unit}' is no unit of {q.kind}"
    if not q.low * (1 - _TOP) <= amount.value * scale <= q.high * (1 + _TOP):
        return f": {_said(amount)} is out of range"
    return None


def _positive(amount: Amount, kind: str) -> str | None:
    if _factor(kind, amount.unit) is None:
        return f": '{amount.unit}' is no unit of {kind}"
    return None if amount.value > 0 else f": {_said(amount)} is out of range"


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


@lru_cache(maxsize=4096)
def _day_fault(name: str, text: str | None) -> str | None:
    if text is None:
        return None
    try:
        same = datetime.date.fromisoformat(text).isoformat() == text
    except ValueError:
        same = False
    return None if same else f"{name}: '{text}' is no day"
