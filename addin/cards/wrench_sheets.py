"""Wrench sheets: certificate and ratings of a wrench, its curve, and the torque at every mark of its gauge."""

import math
from collections import Counter
from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from addin.cards.card_values import exact, exactly, job_days, quantity, shown, text, width_across
from addin.forms.tokens import Filling, TemplateError, Value, Vocabulary, plain
from addin.plan.entries import Amount
from addin.plan.file import Plan
from addin.plan.record import GaugeEntry, LinkEntry, PointEntry, WrenchEntry
from addin.plan.record_joint import JointEntry
from calc.findings import InputError
from calc.units import from_si, to_si
from calc.wrench.calibration import Curve, Marks, curve, to_marks, torque_at

CERTIFIED = "the end of the certified range"
PAIRS = 5
"""Pressures beside each other in the table of settings."""

WRENCH_SHEET = {
    "wrench": "name of the wrench",
    "kind": "kind of wrench",
    "serial number": "its serial number",
    "certificate": "certificate of the wrench",
    "calibrated": "day of calibration",
    "valid until": "last day of the certificate",
    "rated pressure": "rated pressure of the wrench",
    "hose": "hose",
    "hose rated pressure": "rated pressure of the hose",
    "pump": "pump",
    "pump rated pressure": "rated pressure of the pump",
    "gauge": "gauge",
    "gauge range": "end of its scale",
    "gauge graduation": "step between two marks",
    "gauge class": "class of the gauge",
    "gauge certificate": "certificate of the gauge",
    "gauge valid until": "last day of that certificate",
    "lowest rating": "pressure never to go beyond",
    "factor": "torque at the nut over the certified torque, of the links on this sheet",
    "links": "links on this sheet, in one line",
    "certified range": "what the certificate covers",
    "table pressure unit": "unit of pressure on the certificate",
    "torque unit": "unit of torque on the certificate",
    "card torque unit": "unit of torque in the table of settings: that of the cards that set this wrench",
    "lowest from": "what sets the pressure never to go beyond",
    "set unit": "unit of the gauge",
    "finding heading": "heading of the column of findings; blank where there are none",
    "ends at": "why the table of settings ends where it does",
    "uses": "how often the plan uses the wrench",
    "list": "file of the joint list",
    "date": "day of the plan",
    "program": "name and version of the program",
}
LINK = {
    "name": "link or socket",
    "across flats": "its size across flats",
    "across flats unit": "its unit",
    "factor": "torque factor",
    "torque limit": "its torque limit, or not stated",
    "torque limit unit": "its unit",
}
POINT = {
    "pressure": "pressure of the certificate",
    "torque": "torque of the certificate",
    "at nut": "torque at the nut; a dash beyond the limit of the links or a rating",
    "mark": "! and the numbers of the findings about this row",
}
FINDING = {"text": "number and words of what must be known of the certificate: odd points, and who confirmed them"}
SETTING = {f"{name} {number}": words for number in range(1, PAIRS + 1)
           for name, words in (("pressure", "a mark of the gauge"), ("torque", "torque at that mark"))}  # fmt: skip

NOT_THERE = "–"
"""In place of a torque that may not be reached with the links of a sheet."""

VOCABULARY = Vocabulary(
    values=frozenset(WRENCH_SHEET),
    groups={
        "link": frozenset(LINK),
        "point": frozenset(POINT),
        "setting": frozenset(SETTING),
        "finding": frozenset(FINDING),
    },
    required=(("wrench",), ("setting.pressure 1",), ("setting.torque 1",)),
    exact=frozenset({f"setting.pressure {number}" for number in range(1, PAIRS + 1)} | {"point.pressure"}),
    lists=frozenset({"link", "point", "setting", "finding"}),
)


def sheets(plan: Plan, joints: Sequence[JointEntry]) -> Iterator[tuple[str, str, Filling | str]]:
    """Wrench, ending of the sheet's name, and what the sheet is filled with or why there is none.

    A wrench whose links have several torque factors or torque limits gets a sheet for each: one table never serves
    two of them, and no sheet shows a mark beyond what a link on it may carry. For a part of the plan, only the wrenches
    that its cards set or name as alternate.
    """
    named = {tool.wrench for joint in joints for tool in (*joint.tools, *joint.alternates)}
    gauges = {gauge.name: gauge for gauge in plan.head.gauges}
    for wrench in plan.head.wrenches:
        name = wrench.name
        if len(joints) < len(plan) and name not in named:
            continue
        if wrench.faults:
            yield name, "", f"the wrench book has faults: {', '.join(wrench.faults)}"
            continue
        if all(len(table) < 2 for table in (wrench.table, *(link.table for link in wrench.links))):
            yield name, "", "no calibration table"
            continue
        if wrench.gauge not in gauges:
            yield name, "", f"gauge {wrench.gauge} is not in the plan"
            continue
        for ending, own, factor in _by_table(wrench):
            try:
                yield name, ending, _filling(plan, joints, own, gauges[wrench.gauge], factor)
            except InputError as error:
                yield name, ending, f"its calibration table cannot be used ({error.finding.code.replace('_', ' ')})"
            except TemplateError as error:
                yield name, ending, str(error)


def _by_table(wrench: WrenchEntry) -> Iterator[tuple[str, WrenchEntry, float]]:
    """The wrench once for each torque factor and torque limit of its links, and for each link with its own table."""
    alike = tuple(link for link in wrench.links if not link.table)
    kinds = sorted({(link.factor, _limit(link)) for link in alike})
    factors = {factor for factor, _ in kinds}
    several = len(factors) + len(wrench.links) - len(alike) > 1
    if wrench.table:
        for factor, limit in kinds or ([] if wrench.links else [(1.0, math.inf)]):
            mine = tuple(link for link in alike if (link.factor, _limit(link)) == (factor, limit))
            limits = {other for each, other in kinds if each == factor}
            ending = [f"× {plain(factor)}"] if several else []
            if len(limits) > 1:
                most = mine[0].torque_limit
                ending.append(f"to {text(most)}" if most else "no limit stated")
            yield " ".join(ending), replace(wrench, links=mine), factor
    for link in wrench.links:
        if link.table:
            yield link.name if several else "", replace(wrench, links=(link,), table=link.table), 1.0


def _filling(
    plan: Plan, joints: Sequence[JointEntry], wrench: WrenchEntry, gauge: GaugeEntry,
    factor: float,
) -> Filling:  # fmt: skip
    table = wrench.table
    pressure_unit, torque_unit = table[0].pressure.unit, table[0].torque.unit
    links = [link for link in wrench.links if link.factor == factor]
    at_nut = _curve(table).scaled(factor)
    low, high, ends = _range(wrench, gauge, at_nut)
    limit = min((_limit(link) for link in links), default=math.inf)
    card_unit = _unit_of_cards(wrench.name, joints) or torque_unit
    pairs = _settings(at_nut, gauge, low, high, limit, card_unit)
    lowest: dict[str, Value] = {}
    if len(pairs) < len(_settings(at_nut, gauge, low, high, math.inf, card_unit)):
        ends = "the torque limit of these links"
        lowest = {"lowest from": "the torque limit of the links on this sheet"}
    elif ends == CERTIFIED:
        lowest = {"lowest from": f"{CERTIFIED}, nothing is known beyond it"}
    if lowest:
        lowest["lowest rating"] = f"{exact(pairs[-1][0])} {gauge.graduation.unit}"

    def within(row: PointEntry) -> bool:
        """Whether the links take what a certified point gives, and every rating its pressure."""
        torque = factor * float(to_si(row.torque.value, "torque", row.torque.unit))
        return torque <= limit * (1 + 1e-9) and _pascal(row.pressure) <= high * (1 + 1e-9)

    points: list[dict[str, Value]] = [
        {
            "pressure": exact(row.pressure.value),
            "torque": shown(row.torque.value),
            "at nut": shown(row.torque.value * factor) if within(row) else NOT_THERE,
            "mark": f"! {', '.join(map(str, row.doubts))}" if row.doubts else "",
        }
        for row in table
    ]
    values = (
        _values(plan, joints, wrench, gauge)
        | {
            "factor": factor,
            "links": ", ".join(link.name for link in links) or "no link stated",
            "table pressure unit": pressure_unit,
            "torque unit": torque_unit,
            "card torque unit": card_unit,
            "set unit": gauge.graduation.unit,
            "certified range": f"{exactly(table[0].pressure)} to {exactly(table[-1].pressure)}, "
            f"{text(table[0].torque)} to {text(table[-1].torque)}",
            "ends at": f"The table ends at {ends}.",
            "finding heading": "finding below" if wrench.doubts else None,
        }
        | lowest
    )
    findings: list[dict[str, Value]] = [{"text": f"! {n}  {text}"} for n, text in enumerate(wrench.doubts, 1)]
    groups = {"link": [_link(link) for link in links], "point": points, "setting": _rows(pairs), "finding": findings}
    return Filling(values, groups)


def _unit_of_cards(wrench: str, joints: Sequence[JointEntry]) -> str | None:
    """The unit in which most cards that set a wrench, else those that name it as alternate, state their torque."""
    for tools in (lambda joint: joint.tools, lambda joint: joint.alternates):
        units = Counter(
            joint.torque.unit for joint in joints if joint.torque and wrench in [tool.wrench for tool in tools(joint)]
        )
        if units:
            return units.most_common(1)[0][0]
    return None


def _values(plan: Plan, joints: Sequence[JointEntry], wrench: WrenchEntry, gauge: GaugeEntry) -> dict[str, Value]:
    names = ("kind", "serial number", "certificate", "calibrated", "valid until", "hose", "pump", "gauge")
    values: dict[str, Value] = {name: getattr(wrench, name.replace(" ", "_")) or "not stated" for name in names}
    ratings = {name: getattr(wrench, name.replace(" ", "_")) for name in
               ("rated pressure", "hose rated pressure", "pump rated pressure")}  # fmt: skip
    values |= {name: exactly(value) if value else "not stated" for name, value in ratings.items()}
    lowest = wrench.lowest_rating(gauge)
    name = wrench.name
    first = sum(name in [item.wrench for item in joint.wrenches] for joint in joints)
    instead = sum(name in [item.wrench for item in joint.alternates] for joint in joints)
    return values | {
        "wrench": name,
        "gauge range": exactly(gauge.range),
        "gauge graduation": exactly(gauge.graduation),
        "gauge class": gauge.gauge_class or "not stated",
        "gauge certificate": gauge.certificate or "not stated",
        "gauge valid until": gauge.valid_until or "not stated",
        "lowest rating": exactly(lowest) if lowest else "not stated",
        "lowest from": "the lowest rating of wrench, link, hose, pump and gauge",
        "uses": f"{first} planned joint{'s' * (first != 1)}; alternate for {instead}",
        "list": plan.head.list_file,
        "date": job_days(plan.head.date),
        "program": plan.head.program,
    }


def _link(link: LinkEntry) -> dict[str, Value]:
    row: dict[str, Value] = {"name": link.name, "factor": link.factor}
    row |= width_across(link.across_flats, "not stated")
    return row | quantity("torque limit", link.torque_limit, "not stated")


def _limit(link: LinkEntry) -> float:
    """Highest torque that a link may carry, infinite where none is stated. [N·m]"""
    limit = link.torque_limit
    return float(to_si(limit.value, "torque", limit.unit)) if limit else math.inf


def _pascal(given: Amount) -> float:
    return float(to_si(given.value, "pressure", given.unit))


def _curve(table: Sequence[PointEntry]) -> Curve:
    return curve(
        [_pascal(row.pressure) for row in table],
        [float(to_si(row.torque.value, "torque", row.torque.unit)) for row in table],
    )


def _range(wrench: WrenchEntry, gauge: GaugeEntry, at_nut: Curve) -> tuple[float, float, str]:
    """Lowest and highest pressure that may be set [Pa], and what the highest is."""
    ends = {CERTIFIED: float(at_nut.pressure[-1])}
    ends["the end of the gauge"] = _pascal(gauge.range)
    ends |= {f"the rated pressure of the {kind}": _pascal(rating) for kind, rating in wrench.ratings().items()}
    lowest = min(ends, key=lambda key: ends[key])
    return float(at_nut.pressure[0]), ends[lowest], lowest


def _settings(
    at_nut: Curve, gauge: GaugeEntry, low: float, high: float, limit: float, unit: str
) -> list[tuple[float, float]]:
    """Every mark in the range with the torque it gives at the nut: pressure in the gauge's unit, torque in `unit`."""
    step = gauge.graduation
    marks = Marks(step.value, float(to_si(1.0, "pressure", step.unit)))
    first = float(to_marks(low, marks, rounding="up", low=low, high=high))
    last = float(to_marks(high, marks, rounding="down", low=low, high=high))
    if math.isnan(first) or math.isnan(last):
        raise TemplateError("no mark of its gauge lies in the certified range")
    found = []
    for count in range(int(first), int(last) + 1):
        torque = float(torque_at(at_nut, marks.pressure(count)))
        if torque <= limit:
            found.append((float(marks.shown(count)), float(from_si(torque, "torque", unit))))
    if not found:
        raise TemplateError("no mark of its gauge lies within the torque limit of its links")
    return found


def _rows(pairs: Sequence[tuple[float, float]]) -> list[dict[str, Value]]:
    """The settings as rows of a table that is read along each row, so that no page break stands between neighbours."""
    rows: list[dict[str, Value]] = [{} for _ in range(math.ceil(len(pairs) / PAIRS))]
    for at, (pressure, torque) in enumerate(pairs):
        row, column = divmod(at, PAIRS)
        rows[row] |= {f"pressure {column + 1}": exact(pressure), f"torque {column + 1}": shown(torque)}
    return rows
