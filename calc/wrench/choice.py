"""Which wrench and link fit a joint: across flats, certified range, ratings, reserve, certificates, the gauge's marks.

Dates are day numbers (`datetime.date.toordinal`), NaN where not stated.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from calc.findings import Finding
from calc.wrench.calibration import Curve, Floats, Marks, Setting, above, on_end, setting, shared_setting

FLATS = 3e-5
"""Sizes across flats that differ by no more are the same: 60.3 mm is 2-3/8 in, but 46 mm is not 1-13/16 in. [m]"""
MEASURED = 7e-5
"""The same where one of the two is measured or rounded, 2.56 in for 2-9/16 in: less than sockets have play. [m]"""


@dataclass(frozen=True)
class Link:
    """A link or socket of a wrench: size across flats [m], torque factor, torque limit [N·m] (inf when none stated).

    `curve` is a calibration of the wrench with this very link, which then stands in place of the wrench's own.
    """

    name: str
    across_flats: float
    factor: float
    torque_limit: float = math.inf
    radius: float = math.nan
    curve: Curve | None = None


@dataclass(frozen=True)
class Gauge:
    """A pump gauge: marks, end of scale [Pa], days of its certificate, and its class as a share of the scale
    (EN 837-1: class 1.0 is 1 % of the span; from memory), NaN when not stated. `out_of_service`: the first day on which
    it is not to be trusted; its certificate ends before. `deviation` is the largest that its certificate found, as a
    share of the scale, NaN when not stated; it stands for the class.
    """

    name: str
    marks: Marks
    range: float
    calibrated: float
    valid_until: float
    accuracy: float = math.nan
    out_of_service: float = math.inf
    deviation: float = math.nan

    @property
    def error(self) -> float:
        """How far it may be off, as a share of the scale: by its certificate, else by its class; NaN without both."""
        return self.accuracy if math.isnan(self.deviation) else self.deviation


@dataclass(frozen=True, eq=False)
class Wrench:
    """A wrench with its calibration, ratings [Pa] (NaN when not stated), links and certificate days.

    `faults` are codes that make it unusable as a whole, with their facts; `doubts` cautions about its table.
    `uncertainty` of its certificate is a share of the torque; `out_of_service` its first and last day. `of` is the name
    of the tool where several of its certificates are kept, each with a name of its own.
    """

    name: str
    curve: Curve | None
    rated_pressure: float
    hose_rated_pressure: float
    pump: str
    pump_rated_pressure: float
    gauge: str
    links: tuple[Link, ...]
    calibrated: float
    valid_until: float
    faults: tuple[str, ...] = ()
    stroke_angle: float = math.nan
    oil_per_stroke: float = math.nan
    pump_flow: float = math.nan
    rated_torque: float = math.nan
    uncertainty: float = math.nan
    out_of_service: tuple[float, float] | None = None
    hose_valid_until: float = math.inf
    of: str = ""
    doubts: tuple[Finding, ...] = ()

    @property
    def tool(self) -> str:
        """Name of the tool, whichever of its certificates this is."""
        return self.of or self.name


@dataclass(frozen=True)
class Reason:
    """Why a wrench does not serve a row: a code and its numbers."""

    code: str
    wrench: str
    facts: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Candidate:
    """A wrench with one of its links and its gauge: the curve at the nut and the highest pressure allowed."""

    wrench: Wrench
    link: Link
    gauge: Gauge
    curve: Curve
    ceiling: float

    @property
    def top(self) -> float:
        """Highest torque at the nut within every rating. [N·m]"""
        at = min(self.ceiling, float(self.curve.pressure[-1]))
        if at < self.curve.pressure[0]:
            return 0.0
        # same straight line as the curve, written for one point
        return min(float(np.interp(at, self.curve.pressure, self.curve.torque)), self.link.torque_limit)


def lowest_rating(ratings: Iterable[float]) -> float:
    """The lowest of several ratings, those that are not stated (NaN) left out; NaN where none is. [as given]

    >>> lowest_rating([700e5, math.nan, 690e5])
    69000000.0
    """
    return min((rating for rating in ratings if not math.isnan(rating)), default=math.nan)


def allowed_pressure(wrench: Wrench, gauge: Gauge | None) -> float:
    """Lowest rating of wrench, hose, pump and gauge scale that is stated; NaN where none is. [Pa]"""
    scale = gauge.range if gauge else math.nan
    return lowest_rating((wrench.rated_pressure, wrench.hose_rated_pressure, wrench.pump_rated_pressure, scale))


def curve_at_nut(wrench: Wrench, link: Link) -> Curve | None:
    """What a wrench gives at the nut with a link: the table of that link, or the wrench's own with its factor."""
    if link.curve is not None or wrench.curve is None:
        return link.curve
    return wrench.curve.scaled(link.factor)


def candidates(wrenches: Sequence[Wrench], gauges: Mapping[str, Gauge]) -> list[Candidate]:
    """Every usable pair of wrench and link, the smallest top torque first, then by name."""
    pairs = []
    for wrench in wrenches:
        if wrench.faults or wrench.gauge not in gauges:
            continue
        gauge = gauges[wrench.gauge]
        ceiling = allowed_pressure(wrench, gauge)
        for link in wrench.links:
            if (curve := curve_at_nut(wrench, link)) is not None:
                pairs.append(Candidate(wrench, link, gauge, curve, ceiling))
    return sorted(pairs, key=lambda c: (c.top, c.wrench.name, c.link.name))


def same_flats(a: float, b: float) -> bool:
    """Whether a link of size `a` is made for a nut of size `b` [m]; a size that is not stated (NaN) is not ruled out.

    >>> same_flats(2.5625 * 0.0254, 2.56 * 0.0254), same_flats(1.8125 * 0.0254, 0.046), same_flats(0.065, 0.0651)
    (True, False, False)
    """
    if math.isnan(a):
        return True
    return abs(a - b) <= (FLATS if _nominal(a) and _nominal(b) else MEASURED)


def _nominal(size: float) -> bool:
    """Whether a size is one that nuts are made in: whole millimetres or sixteenths of an inch."""
    return any(abs(size / step - round(size / step)) < 1e-4 for step in (1e-3, 0.0254 / 16))


def refusals(
    candidate: Candidate,
    torque: Floats,
    date: Floats,
    *,
    reserve: float,
    tolerance: float,
    rounding: str,
    alone: bool = True,
) -> tuple[NDArray[np.int8], Setting]:
    """Setting of every row, and the first reason why this candidate does not serve it (index into `CODES`, 0: none).

    torque [N·m], date [day number], reserve and tolerance [fractions]. A wrench that is not alone on its pump takes a
    mark that suits all of them (`shared`), so its own marks are not judged.
    """
    w, g, c = candidate.wrench, candidate.gauge, candidate
    resting = w.out_of_service or (math.inf, math.inf)
    torque = on_end(torque, c.curve.torque)
    s = setting(c.curve, torque, g.marks, rounding=rounding, ceiling=c.ceiling)
    checks = (
        ~((date >= _start(w.calibrated)) & (date <= w.valid_until)),
        ~((date >= _start(g.calibrated)) & (date <= g.valid_until)),
        (date >= resting[0]) & (date <= resting[1]),
        date > w.hose_valid_until,
        torque < c.curve.torque[0],
        torque > c.curve.torque[-1],
        above(torque, c.link.torque_limit),
        above(torque, c.top),
        alone & np.isnan(s.count),
        alone & above(s.torque, c.link.torque_limit),
        alone & ~(np.abs(s.difference) <= tolerance),
        torque > (1 - reserve) * c.top,
    )
    why = np.zeros(torque.shape, dtype=np.int8)
    for code, bad in reversed(list(enumerate(checks, start=1))):
        why[bad] = code
    return why, s


CODES = (
    "",
    "wrench_certificate",
    "gauge_certificate",
    "out_of_service",
    "hose_certificate",
    "below_certified",
    "above_certified",
    "above_link",
    "above_rating",
    "no_mark_there",
    "mark_above_link",
    "mark_too_far",
    "no_reserve",
)
"""Reasons in the order in which `refusals` looks; the last is a preference, not a limit."""


def _start(day: float) -> float:
    return -math.inf if math.isnan(day) else day


def reason(candidate: Candidate, code: int, torque: float, date: float, setting: Setting, row: int) -> Reason:
    """The facts that belong to one code of `refusals`."""
    c = candidate
    facts = {
        "torque": torque,
        "low": float(c.curve.torque[0]),
        "high": float(c.curve.torque[-1]),
        "top": c.top,
        "allowed": c.ceiling,
        "date": date,
        "valid_until": c.wrench.valid_until if CODES[code] == "wrench_certificate" else c.gauge.valid_until,
        "calibrated": c.wrench.calibrated if CODES[code] == "wrench_certificate" else c.gauge.calibrated,
        "resting": c.wrench.out_of_service,
        "hose_valid_until": c.wrench.hose_valid_until,
        "gauge": c.gauge.name,
        "link": c.link.name,
        "limit": c.link.torque_limit,
        "shown": float(c.gauge.marks.shown(setting.count[row])),
        "difference": float(setting.difference[row]),
        "given": float(setting.torque[row]),
    }
    return Reason(CODES[code], c.wrench.name, facts)


def shared(
    group: Sequence[Candidate], torque: Floats, *, tolerance: float
) -> tuple[NDArray[np.bool_], tuple[Setting, ...]]:
    """One mark for candidates on one pump with one gauge: which rows have one within tolerance, and the settings."""
    ceiling = min(c.ceiling for c in group)
    _, settings = shared_setting([c.curve for c in group], torque, group[0].gauge.marks, ceiling=ceiling)
    good = np.ones(torque.shape, dtype=bool)
    for c, s in zip(group, settings, strict=True):
        good &= (np.abs(s.difference) <= tolerance) & ~above(s.torque, c.link.torque_limit)
    return good, settings


def over_link(
    group: Sequence[Candidate], settings: Sequence[Setting], row: int, tolerance: float
) -> dict[str, float | str]:
    """The wrench whose link's limit alone refuses a mark that suits all tables; nothing where a table does."""
    if not all(abs(s.difference[row]) <= tolerance for s in settings):
        return {}
    for c, s in zip(group, settings, strict=True):
        if above(s.torque[row], c.link.torque_limit):
            facts = {
                "given": float(s.torque[row]),
                "limit": c.link.torque_limit,
                "shown": float(c.gauge.marks.shown(s.count[row])),
            }
            return facts | {"which": c.wrench.name, "link": c.link.name}
    return {}
