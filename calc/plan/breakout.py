"""Break rows of a list: what torque to expect, which wrench has it, and the pressures to try. No friction enters."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calc.findings import CAUTION, Finding
from calc.hardware.threads import Thread
from calc.plan.joints import METHODS, Floats, Joints, Settings
from calc.plan.pulling import choose
from calc.plan.resolve import Findings, range_of
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
    wrench, `available` what it has at its lowest rating; `stud` the torsional limit, NaN when not checked; `usable`
    never to go beyond; `follows` as in `wrench.breakout`. `count`, `pressure` [Pa], `torque`: the stages on the
    gauge's marks, the last the first that gives the torque to expect where one within `usable` does; `highest` the mark
    never to go beyond, NaN where none serves.
    """

    made: float
    factor: float
    from_list: bool
    expected: float
    candidate: Candidate
    available: float
    stud: float
    usable: float
    follows: str
    across_flats: float
    count: Floats
    pressure: Floats
    torque: Floats
    highest: float


def _factor(joints: Joints, settings: Settings) -> Floats:
    return np.where(np.isnan(joints.breakout_factor), settings.breakout_factor, joints.breakout_factor)


def stated(joints: Joints, breaking: NDArray[np.bool_], settings: Settings, found: Findings) -> NDArray[np.bool_]:
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


def breakouts(
    joints: Joints, opening: NDArray[np.bool_], thread: Thread, flats: Floats, yield_strength: Floats,
    wrenches: Sequence[Wrench], gauges: Mapping[str, Gauge], settings: Settings, found: Findings,
) -> tuple[Breakout | None, ...]:  # fmt: skip
    """The break-out of every row that states one: wrench within its rating, stages from its lowest certified point up.

    The wrench is chosen for the torque to expect, or for the stud's torsional limit where that is less.
    """
    factor = _factor(joints, settings)
    with np.errstate(invalid="ignore"):
        expected = settle(joints.torque * factor)
        limit = np.asarray(breakout.torsional_limit(thread, yield_strength))
        aim = np.where(limit < expected, limit, expected)
    range_of("torque", expected, opening & ~found.stopped, found)
    rows = opening & ~found.stopped
    plain = replace(settings, reserve=0.0, tolerance=np.inf, rounding="down", at_once=1)
    pulling, *_ = choose(joints, flats, aim, np.ones(len(joints), dtype=np.int64), rows, wrenches, gauges, _ONE, plain,
                         found)  # fmt: skip
    plans: list[Breakout | None] = [None] * len(joints)
    for row in np.flatnonzero(rows & ~found.stopped):
        c = pulling[row][0]
        check = breakout.check(joints.torque[row], factor[row], c.top, limit[row])
        stages = breakout.staged_settings(
            c.curve, float(aim[row]), c.gauge.marks, ceiling=c.ceiling, usable=float(check.usable)
        )
        keep = np.unique(stages.count[~np.isnan(stages.count)], return_index=True)[1]
        known = np.flatnonzero(~np.isnan(stages.count))[keep]
        plans[row] = Breakout(
            made=float(joints.torque[row]), factor=float(factor[row]),
            from_list=not np.isnan(joints.breakout_factor[row]), expected=float(check.expected), candidate=c,
            available=c.top, stud=float(limit[row]), usable=float(check.usable), follows=str(check.follows),
            across_flats=float(flats[row]), count=stages.count[known], pressure=stages.pressure[known],
            torque=stages.torque[known], highest=_highest(c, float(check.usable)),
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
        found.add(Finding("breakout_stud_unknown", "grade", {"needs": needs}, CAUTION, row))
    elif plan.expected > plan.stud:
        found.add(Finding("breakout_stud", "torque", {"expected": plan.expected, "stud": plan.stud}, CAUTION, row))
