"""Break rows of a list: what torque to expect, which wrench has it, and the pressures to try. No friction enters."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calc.findings import CAUTION, Finding
from calc.hardware.friction import bearing_diameter, coefficient_from_nut_factor
from calc.hardware.threads import Thread
from calc.plan.joints import METHODS, Floats, Joints, Lubricant, PlanSettings
from calc.plan.pulling import choose
from calc.plan.resolve import Findings, range_of
from calc.preload import torque
from calc.procedure.passes import CROSS, Stage
from calc.quantities import settle
from calc.wrench import breakout
from calc.wrench.calibration import setting
from calc.wrench.choice import Candidate, Gauge, Wrench

_NEEDED = ("breakout_factor", "torque")
_ONE = (Stage(1, 1.0, 1.0, 1.0, CROSS, 0.0),)


@dataclass(frozen=True, eq=False)
class Breakout:
    """How one row is broken out; torques [N·m].

    `made` the torque stated, `factor` and whether the list states it; `expected` is their product. `candidate` the
    wrench, `available` what it has at its lowest rating; `stud` the limit of a stud still tight, NaN when not checked,
    `preload` [N] what it stands on, NaN where that is not known; `usable` never to go beyond, `by_stud` where the stud
    is what limits, `once_turned` the same once the nut has turned; `follows` as in `wrench.breakout`. `count`,
    `pressure` [Pa], `torque`: the stages on the gauge's marks, the last the first that gives the torque to expect where
    one within `usable` does; `highest` and `highest_turned` the marks never to go beyond, NaN where none serves.
    """

    made: float
    factor: float
    from_list: bool
    expected: float
    candidate: Candidate
    available: float
    stud: float
    preload: float
    usable: float
    once_turned: float
    by_stud: bool
    follows: str
    across_flats: float
    count: Floats
    pressure: Floats
    torque: Floats
    highest: float
    highest_turned: float


def _factor(joints: Joints, settings: PlanSettings) -> Floats:
    return np.where(np.isnan(joints.breakout_factor), settings.breakout_factor, joints.breakout_factor)


def stated(joints: Joints, breaking: NDArray[np.bool_], settings: PlanSettings, found: Findings) -> NDArray[np.bool_]:
    """Break rows by hydraulic wrench that state what is needed; the others say what they lack and stay unplanned."""
    rows = breaking & np.array([method == METHODS[0] for method in joints.method], dtype=bool)
    lacking = {"breakout_factor": np.isnan(_factor(joints, settings)), "torque": np.isnan(joints.torque)}
    lacks = np.any(list(lacking.values()), axis=0)
    for row in np.flatnonzero(rows & lacks):
        needs = tuple(name for name in _NEEDED if lacking[name][row])
        found.add(Finding("breakout_needs", "operation", {"needs": needs}, CAUTION, int(row)))
    rows = rows & ~lacks
    for name in ("breakout_factor", "torque", "across_flats"):
        range_of(name, getattr(joints, name), rows, found)
    return rows


def unsized(joints: Joints, opening: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Break rows that must name their thread, for the size of the nut is not stated."""
    return opening & np.isnan(joints.across_flats)


def _friction(joints: Joints, row: int, products: Mapping[str, Sequence[Lubricant]]) -> tuple[float, ...]:
    """Nut factors that a break row's make-up may have had, from the row or its product; none where not clear."""
    stated = float(joints.nut_factor[row])
    matches = products.get(joints.lubricant[row].casefold(), ())
    if len(matches) != 1:
        return () if matches or np.isnan(stated) else (stated,)
    (product,) = matches
    if not np.isnan(stated) and stated != product.nut_factor:
        return ()
    ends = (product.low, product.nut_factor, product.high)
    return () if np.isnan(product.nut_factor) else tuple(end for end in ends if not np.isnan(end))


def stud_limits(
    joints: Joints, opening: NDArray[np.bool_], thread: Thread, flats: Floats, yield_strength: Floats,
    lubricants: Sequence[Lubricant],
) -> tuple[Floats, Floats]:  # fmt: skip
    """Torque at which the stud of every break row begins to yield, and the preload that stands on; NaN: not known.

    Preload from the torque stated with the friction stated, the lowest limit over the range of that friction; the
    lowest friction is taken for the nut's face.
    """
    bearing = np.broadcast_to(np.asarray(bearing_diameter(thread, flats)), len(joints))
    limits = np.array(breakout.torsional_limit(thread, yield_strength))
    preloads = np.full(len(joints), np.nan)
    products: dict[str, list[Lubricant]] = {}
    for product in lubricants:
        products.setdefault(product.product.casefold(), []).append(product)
    for row in np.flatnonzero(opening & ~np.isnan(limits) & ~np.isnan(bearing)):
        stud = Thread("", *(part[row] for part in (thread.diameter, thread.pitch, thread.metric, thread.shank)))  # type: ignore[index]
        made = float(joints.torque[row])
        mu_t, mu_b = float(joints.thread_friction[row]), float(joints.nut_friction[row])
        factors = _friction(joints, int(row), products)
        if np.isnan(mu_t) != np.isnan(mu_b) or (factors and not np.isnan(mu_t)):
            continue  # two statements, or half of one: nothing is taken
        if not np.isnan(mu_t):
            loads = [made / float(torque.from_friction(1.0, stud, mu_t, mu_b, bearing_diameter=bearing[row]))]
            nut = mu_b
        elif factors:
            loads = [float(torque.preload_from_nut_factor(made, stud, k)) for k in factors]
            nut = float(coefficient_from_nut_factor(min(factors), stud, bearing[row]))
        else:
            continue
        if nut <= 0:
            continue
        seized = [
            breakout.seized_limit(stud, yield_strength[row], preload=load, nut_friction=nut,
                                  bearing_diameter=bearing[row])
            for load in loads
        ]  # fmt: skip
        limits[row] = min(float(value) for value in seized)
        preloads[row] = max(loads)
    return limits, preloads


def breakouts(
    joints: Joints, opening: NDArray[np.bool_], thread: Thread, flats: Floats, yield_strength: Floats,
    wrenches: Sequence[Wrench], gauges: Mapping[str, Gauge], lubricants: Sequence[Lubricant], settings: PlanSettings,
    found: Findings,
) -> tuple[Breakout | None, ...]:  # fmt: skip
    """The break-out of every row that states one: wrench within its rating, stages from its lowest certified point up.

    The wrench is chosen for the torque to expect, or for the stud's limit where that is less.
    """
    factor = _factor(joints, settings)
    with np.errstate(invalid="ignore"):
        expected = settle(joints.torque * factor)
        free = np.asarray(breakout.torsional_limit(thread, yield_strength))
        limit, preload = stud_limits(joints, opening, thread, flats, yield_strength, lubricants)
        aim = np.where(limit < expected, limit, expected)
    range_of("torque", expected, opening & ~found.stopped, found)
    rows = opening & ~found.stopped
    plain = replace(settings, reserve=0.0, tolerance=np.inf, rounding="down", at_once=1)
    pulling, *_ = choose(joints, flats, aim, np.ones(len(joints), dtype=np.int64), rows, wrenches, gauges, _ONE, plain,
                         found)  # fmt: skip
    plans: list[Breakout | None] = [None] * len(joints)
    for row in np.flatnonzero(rows & ~found.stopped):
        c = pulling[row][0]
        check = breakout.check(joints.torque[row], factor[row], c.top, limit[row], free[row])
        stages = breakout.staged_settings(
            c.curve, float(aim[row]), c.gauge.marks, ceiling=c.ceiling, usable=float(check.usable)
        )
        keep = np.unique(stages.count[~np.isnan(stages.count)], return_index=True)[1]
        known = np.flatnonzero(~np.isnan(stages.count))[keep]
        plans[row] = Breakout(
            made=float(joints.torque[row]), factor=float(factor[row]),
            from_list=not np.isnan(joints.breakout_factor[row]), expected=float(check.expected), candidate=c,
            available=c.top, stud=float(limit[row]), preload=float(preload[row]), usable=float(check.usable),
            once_turned=float(check.once_turned), by_stud=bool(check.by_stud), follows=str(check.follows),
            across_flats=float(flats[row]), count=stages.count[known], pressure=stages.pressure[known],
            torque=stages.torque[known], highest=_highest(c, float(check.usable)),
            highest_turned=_highest(c, float(check.once_turned)),
        )  # fmt: skip
        _say(plans[row], joints, int(row), found)
    return tuple(plans)


def _highest(candidate: Candidate, usable: float) -> float:
    """The mark at the torque never to go beyond, rounded down."""
    c = candidate
    top = min(usable, float(c.curve.torque[-1]))
    return float(setting(c.curve, top, c.gauge.marks, rounding="down", ceiling=c.ceiling).count)


def _say(plan: Breakout | None, joints: Joints, row: int, found: Findings) -> None:
    if plan is None:
        return
    facts = {"expected": plan.expected, "factor": plan.factor, "made": plan.made, "usable": plan.usable}
    found.add(Finding("breakout_expect", "torque", facts, CAUTION, row))
    if np.isnan(plan.stud):
        needs = tuple(name for name in ("grade", "thread") if getattr(joints, name)[row] == "")
        needs = needs or (("yield_strength",) if np.isnan(joints.yield_strength[row]) else ())
        found.add(Finding("breakout_stud_unknown", "grade", {"needs": needs}, CAUTION, row))
    elif plan.expected > plan.stud:
        found.add(Finding("breakout_stud", "torque", {"expected": plan.expected, "stud": plan.stud}, CAUTION, row))
