"""Wrenches, gauges and products as a plan carries them, back in SI: what as-tightened values are judged by."""

import datetime
import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from addin.plan.entries import Amount
from addin.plan.record import EquipmentEntry, GaugeEntry, LinkEntry, PlanHead, ProductEntry, WrenchEntry
from addin.plan.tools import equipment_entries, gauge_entries, wrench_entries
from addin.wrenches.hand_tools import HAND_WRENCH, MULTIPLIER
from addin.wrenches.wrench_book import WrenchBook
from calc.plan.hand import HandTool
from calc.plan.joints import Lubricant
from calc.review.as_tightened import Book, Friction
from calc.units import factor, to_si
from calc.wrench.calibration import Curve, Marks, curve
from calc.wrench.choice import Gauge, Link, Wrench
from calc.wrench.ratings import drift

_HELD = (HAND_WRENCH, MULTIPLIER)


@lru_cache(maxsize=16384)
def si(quantity: Amount | None, kind: str, missing: float = math.nan) -> float:
    """A number with its unit in SI.

    >>> si(Amount(100.0, "bar"), "pressure"), si(None, "torque")
    (10000000.0, nan)
    """
    return missing if quantity is None else float(to_si(quantity.value, kind, quantity.unit))


def day_number(text: str | None) -> float:
    """An ISO date as a day number, NaN for none."""
    return float(datetime.date.fromisoformat(text).toordinal()) if text else math.nan


def number(value: float | None) -> float:
    """A number of the plan, NaN for none."""
    return math.nan if value is None else float(value)


def book_of(head: PlanHead, now: WrenchBook | None = None, later: PlanHead | None = None) -> Book:
    """What a plan was made with, and from the book as it is now the names that the plan does not have.

    `later` is the plan that holds now, where `head` is of an earlier one. The plan's own data stand; of what is there
    now only the drift of a wrench's table and the days on which a tool is not to be trusted are taken.
    """
    wrenches = {entry.name.casefold(): _wrench(entry) for entry in head.wrenches}
    gauges = {entry.name.casefold(): _gauge(entry) for entry in head.gauges}
    lubricants = {each.product.casefold(): _friction(each) for each in head.lubricants}
    by_hand = {
        tool.name.casefold(): _by_hand(tool) for tool in head.equipment if tool.kind in (HAND_WRENCH, MULTIPLIER)
    }
    drifts: dict[str, float] = {}
    resting: dict[str, tuple[float, float]] = {}
    tools: list[Any] = [*head.wrenches, *head.gauges, *head.equipment]
    there: Sequence[WrenchEntry] = later.wrenches if later else ()
    if later:
        tools += [*later.wrenches, *later.gauges, *later.equipment]
    if now is not None:
        there = wrench_entries(now)
        tools += [*there, *gauge_entries(now), *equipment_entries(now)]
        for wrench in now.wrenches:
            wrenches.setdefault(wrench.name.casefold(), wrench)
        for gauge in now.gauges.values():
            gauges.setdefault(gauge.name.casefold(), gauge)
        for product in now.lubricants:
            lubricants.setdefault(product.product.casefold(), _of_table(product))
        for tool in equipment_entries(now):
            if tool.kind in _HELD:
                by_hand.setdefault(tool.name.casefold(), _by_hand(tool))
    for tool in tools:
        if tool.resting:
            first, last = tool.resting
            resting[tool.name.casefold()] = (
                day_number(first) if first else -math.inf, day_number(last) if last else math.inf,
            )  # fmt: skip
    for entry in there:
        before = head.wrench(entry.name)
        if before is not None and before != entry:
            drifts[entry.name.casefold()] = _drift(before, entry)
    return Book(wrenches, gauges, lubricants, by_hand, drifts, resting)


def _drift(before: WrenchEntry, after: WrenchEntry) -> float:
    """The largest share by which the torque of a wrench at a pressure changed, with its table or a link; NaN where it
    has no table now.
    """
    old, new = _wrench(before), _wrench(after)
    links = {link.name.casefold(): link for link in new.links}
    shares = []
    pairs = [(old.curve, new.curve, 1.0)] if old.curve is not None else []
    for link in old.links:
        other = links.get(link.name.casefold())
        if other is None:
            continue
        if link.curve is not None:
            pairs.append((link.curve, other.curve, 1.0))
        elif old.curve is not None:
            pairs.append((old.curve, new.curve, other.factor / link.factor))
    for was, now, scale in pairs:
        if was is None or now is None:
            return math.nan
        share = (1 + drift((was.pressure, was.torque), (now.pressure, now.torque))) * scale - 1
        shares.append(share)
    if any(math.isnan(share) for share in shares):
        return math.nan
    return max(shares, key=abs, default=0.0)


def _by_hand(entry: EquipmentEntry) -> HandTool:
    return HandTool(
        entry.name, si(entry.high or entry.limit, "torque", math.inf), si(entry.low, "torque", 0.0),
        first=day_number(entry.calibrated), last=day_number(entry.valid_until),
    )  # fmt: skip


def _wrench(entry: WrenchEntry) -> Wrench:
    names = ("rated_pressure", "hose_rated_pressure", "pump_rated_pressure")
    pressures: dict[str, Any] = {name: si(getattr(entry, name), "pressure") for name in names}
    links = tuple(
        Link(each.name, si(each.across_flats, "length"), each.factor, si(each.torque_limit, "torque", math.inf),
             curve=_curve(each))
        for each in entry.links
    )  # fmt: skip
    return Wrench(
        name=entry.name, curve=_curve(entry), links=links, pump=entry.pump or "", gauge=entry.gauge or "",
        calibrated=day_number(entry.calibrated), valid_until=day_number(entry.valid_until),
        faults=entry.faults, **pressures,
    )  # fmt: skip


def _curve(entry: WrenchEntry | LinkEntry) -> Curve | None:
    if not entry.table:
        return None
    points = [(si(point.pressure, "pressure"), si(point.torque, "torque")) for point in entry.table]
    return curve([p for p, _ in points], [t for _, t in points])


def _gauge(entry: GaugeEntry) -> Gauge:
    step = entry.graduation
    marks = Marks(float(step.value), factor("pressure", step.unit))
    days = day_number(entry.calibrated), day_number(entry.valid_until)
    return Gauge(entry.name, marks, si(entry.range, "pressure"), *days)


def _friction(entry: ProductEntry) -> Friction:
    return Friction(*(number(getattr(entry, name)) for name in ("nut_factor", "thread_friction", "nut_friction")))


def _of_table(product: Lubricant) -> Friction:
    return Friction(product.nut_factor, product.thread_friction, product.nut_friction)
