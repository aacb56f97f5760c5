"""Wrenches, gauges and products as a plan carries them, back in SI: what as-tightened values are judged by."""

import datetime
import math
from collections.abc import Sequence
from typing import Any

from addin.plan.entries import Amount
from addin.plan.file import Plan
from addin.plan.record import GaugeEntry, LinkEntry, ProductEntry, WrenchEntry
from addin.plan.tools import gauge_entries, wrench_entries
from addin.wrenches.wrench_book import WrenchBook
from calc.plan.joints import Lubricant
from calc.review.as_tightened import Book, Friction
from calc.units import factor, to_si
from calc.wrench.calibration import Curve, Marks, curve
from calc.wrench.choice import Gauge, Link, Wrench


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


def book_of(plan: Plan, now: WrenchBook | None = None) -> Book:
    """What the plan was made with, and from the book as it is now the names that the plan does not have.

    Names that both have, with another sheet or row now, are `changed`: the plan's own data stand.
    """
    entries = {entry.name.casefold(): entry for entry in plan.head.wrenches}
    shown = {entry.name.casefold(): entry for entry in plan.head.gauges}
    wrenches = {name: _wrench(entry) for name, entry in entries.items()}
    gauges = {name: _gauge(entry) for name, entry in shown.items()}
    lubricants = {each.product.casefold(): _friction(each) for each in plan.head.lubricants}
    changed: set[str] = set()
    if now is not None:
        known: dict[str, Any]
        found: Sequence[Any]
        for known, found in ((entries, wrench_entries(now)), (shown, gauge_entries(now))):
            there = {entry.name.casefold(): entry for entry in found}
            changed |= {name for name, entry in known.items() if there.get(name) != entry}
        for wrench in now.wrenches:
            wrenches.setdefault(wrench.name.casefold(), wrench)
        for gauge in now.gauges.values():
            gauges.setdefault(gauge.name.casefold(), gauge)
        for product in now.lubricants:
            lubricants.setdefault(product.product.casefold(), _of_table(product))
    return Book(wrenches, gauges, lubricants, frozenset(changed))


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
