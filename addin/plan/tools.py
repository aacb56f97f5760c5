"""What a plan carries of the wrench book: wrenches with their tables, gauges, in the units of their sheets."""

import math
from collections.abc import Mapping, Sequence
from functools import lru_cache

from addin.cells.words import day, without_place
from addin.plan.record import (
    Amount,
    EquipmentEntry,
    GaugeEntry,
    LinkEntry,
    PointEntry,
    ProductEntry,
    WrenchEntry,
)
from addin.wrenches.hand_tools import HOSE
from addin.wrenches.wrench_book import WrenchBook
from calc.findings import Finding
from calc.units import System, from_si, system
from calc.wrench.calibration import Curve
from calc.wrench.choice import Link


def quantity(value: float, kind: str, units: System) -> Amount | None:
    """A number with its unit, None for NaN or none stated."""
    return Amount(_in(value, kind, units), units.symbol(kind)) if math.isfinite(value) else None


def _in(value: float, kind: str, units: System) -> float:
    return float(from_si(value, kind, units.symbol(kind)))


@lru_cache(maxsize=1024)
def day_or_none(value: float) -> str | None:
    """A day number as an ISO date, None where it is not stated."""
    return None if math.isnan(value) else day(value)


def resting(days: tuple[float, float] | None) -> tuple[str | None, str | None] | None:
    """First and last day out of service as ISO dates, None for an open end and for a tool in service.

    >>> resting((739689.0, math.inf)), resting((math.inf, math.inf))
    (('2026-03-14', None), None)
    """
    if days is None or days[0] == math.inf:
        return None
    return tuple(day(value) if math.isfinite(value) else None for value in days)  # type: ignore[return-value]


def _units(own: Mapping[str, str]) -> System:
    """The units a wrench sheet uses; those it does not name are SI."""
    return System("wrench book", tuple({**dict(system("SI").symbols), **own}.items()))


def wrench_entries(book: WrenchBook) -> list[WrenchEntry]:
    """Every wrench of the book, usable or not, with everything its sheet says."""
    entries = []
    for wrench in book.wrenches:
        source = book.sources["wrench", wrench.name]
        units = _units(source.units)
        of_table = _units({**source.units, "torque": source.units.get("table_torque", units.symbol("torque"))})
        entries.append(
            WrenchEntry(
                name=wrench.name,
                sheet=source.sheet,
                **{name: source.words.get(name) or None for name in ("kind", "serial_number", "certificate", "hose")},
                calibrated=day_or_none(wrench.calibrated),
                valid_until=day_or_none(wrench.valid_until),
                rated_pressure=quantity(wrench.rated_pressure, "pressure", units),
                hose_rated_pressure=quantity(wrench.hose_rated_pressure, "pressure", units),
                pump=wrench.pump or None,
                pump_rated_pressure=quantity(wrench.pump_rated_pressure, "pressure", units),
                rated_torque=quantity(wrench.rated_torque, "torque", of_table),
                uncertainty=None if math.isnan(wrench.uncertainty) else float(wrench.uncertainty),
                doubts=tuple(without_place(finding, of_table) for finding in wrench.doubts),
                resting=resting(wrench.out_of_service),
                gauge=wrench.gauge or None,
                links=tuple(_link(link, units, of_table, wrench.doubts) for link in wrench.links),
                table=_points(wrench.curve, of_table, wrench.doubts),
                faults=tuple(wrench.faults),
            )
        )
    return entries


def _link(link: Link, units: System, of_table: System, doubts: Sequence[Finding]) -> LinkEntry:
    return LinkEntry(
        name=link.name,
        across_flats=quantity(link.across_flats, "length", units),
        factor=float(link.factor),
        torque_limit=quantity(link.torque_limit, "torque", units),
        radius=quantity(link.radius, "length", units),
        table=_points(link.curve, of_table, doubts, link.name),
    )


def _points(
    curve: Curve | None, units: System, doubts: Sequence[Finding] = (), link: str = ""
) -> tuple[PointEntry, ...]:
    """The rows of a table in the units of its sheet, with the numbers of the doubts about each."""

    def about(pressure: float) -> tuple[int, ...]:
        return tuple(
            number for number, doubt in enumerate(doubts, 1)
            if doubt.facts.get("link", "").casefold() == link.casefold() and doubt.facts.get("point") == pressure
        )  # fmt: skip

    points = [] if curve is None else zip(curve.pressure.tolist(), curve.torque.tolist(), strict=True)
    return tuple(
        PointEntry(
            pressure=Amount(_in(p, "pressure", units), units.symbol("pressure")),
            torque=Amount(_in(t, "torque", units), units.symbol("torque")),
            doubts=about(p),
        )
        for p, t in points
    )


def equipment_entries(book: WrenchBook) -> tuple[EquipmentEntry, ...]:
    """Hand torque wrenches, multipliers, tensioners, reaction arms and hoses, each in the units of its sheet."""
    entries = []
    for tool in book.equipment:
        units = _units(tool.units)
        entries.append(
            EquipmentEntry(
                kind=tool.kind,
                name=tool.name,
                low=quantity(tool.low, "torque", units),
                high=quantity(tool.high, "torque", units),
                resolution=quantity(tool.step, "torque", units),
                ratio=float(tool.ratio) if math.isfinite(tool.ratio) else None,
                limit=quantity(tool.limit, "pressure" if tool.kind == HOSE else "torque", units),
                calibrated=day_or_none(tool.calibrated),
                valid_until=day_or_none(tool.valid_until),
                resting=resting((tool.out_of_service, math.inf)),
                **{name: tool.words.get(name) or None for name in ("certificate", "serial_number", "fits", "remarks")},
            )
        )
    return tuple(entries)


def gauge_entries(book: WrenchBook) -> list[GaugeEntry]:
    """Every gauge of the book in its own unit, its graduation as typed."""
    entries = []
    for gauge in book.gauges.values():
        source = book.sources["gauge", gauge.name]
        unit = source.units["pressure"]
        entries.append(
            GaugeEntry(
                name=gauge.name,
                range=Amount(float(from_si(gauge.range, "pressure", unit)), unit),
                graduation=Amount(float(gauge.marks.step), unit),
                gauge_class=source.words.get("class") or None,
                certificate=source.words.get("certificate") or None,
                calibrated=day_or_none(gauge.calibrated),
                valid_until=day_or_none(gauge.valid_until),
                resting=resting((gauge.out_of_service, math.inf)),
            )
        )
    return entries


def product_entries(book: WrenchBook) -> tuple[ProductEntry, ...]:
    """Every product of the book with its friction; None where it states none."""
    names = ("nut_factor", "thread_friction", "nut_friction")
    return tuple(
        ProductEntry(
            product=each.product,
            **{name: None if math.isnan(v := getattr(each, name)) else float(v) for name in names},
            source=each.source or None,
        )
        for each in book.lubricants
    )
