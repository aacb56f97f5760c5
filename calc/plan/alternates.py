"""The other wrenches that would serve each row of a finished plan, with their settings: a swap needs no new plan."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from calc.plan.joints import Floats, Joints
from calc.plan.plans import Plans
from calc.procedure.passes import stage_settings
from calc.wrench.choice import Candidate, Gauge, Wrench, candidates, refusals, same_flats

MOST = 3
"""Alternates that a row is given."""


@dataclass(frozen=True, eq=False)
class Alternates:
    """Alternates of every row and, with shape (rows, MOST, stages), marks and torques [N·m] of its passes, else NaN."""

    wrenches: tuple[tuple[Candidate, ...], ...]
    count: Floats
    torque_there: Floats


def alternates(plans: Plans, joints: Joints, wrenches: Sequence[Wrench], gauges: Mapping[str, Gauge]) -> Alternates:
    """Other wrenches for the rows that one wrench pulls, chosen as a wrench is: the smallest that fit with reserve.

    A link whose size is not stated is no alternate: nobody has checked that it fits.
    """
    count, stages = len(joints), plans.stages
    marks = np.full((count, MOST, len(stages)), np.nan)
    there = np.full(marks.shape, np.nan)
    found: list[list[Candidate]] = [[] for _ in range(count)]
    single = np.array([len(group) == 1 for group in plans.pulling], dtype=bool)
    dates = np.where(np.isnan(joints.date), plans.settings.date, joints.date)
    everyone = [c for c in candidates(wrenches, gauges) if not np.isnan(c.link.across_flats)]
    for size in np.unique(plans.across_flats[single & ~np.isnan(plans.across_flats)]):
        alike = np.flatnonzero(single & (plans.across_flats == size))
        for c in everyone:
            if not same_flats(c.link.across_flats, float(size)):
                continue
            rows = np.array([row for row in alike if _wanted(c, plans.pulling[row][0], found[row])], dtype=int)
            why, _ = refusals(c, plans.torque[rows], dates[rows], reserve=plans.settings.reserve,
                              tolerance=plans.settings.tolerance, rounding=plans.settings.rounding)  # fmt: skip
            rows = rows[why == 0]
            raised = plans.raised[rows]
            why, _ = refusals(c, plans.torque[rows] * raised, dates[rows], reserve=plans.settings.reserve,
                              tolerance=plans.settings.tolerance, rounding=plans.settings.rounding)  # fmt: skip
            rows, raised = rows[why == 0], raised[why == 0]
            s = stage_settings(c.curve, plans.torque[rows], stages, c.gauge.marks, rounding=plans.settings.rounding,
                               ceiling=c.ceiling, raised=raised)  # fmt: skip
            for n, row in enumerate(rows):
                place = len(found[row])
                found[row].append(c)
                goes = ~np.isnan(plans.pass_torque[row])
                marks[row, place], there[row, place] = np.where(goes, (s.count[n], s.torque[n]), np.nan)
    return Alternates(tuple(tuple(each) for each in found), marks, there)


def _wanted(candidate: Candidate, pulling: Candidate, found: Sequence[Candidate]) -> bool:
    """Whether a row has room for another wrench, and does not have this one already."""
    if len(found) == MOST:
        return False
    return all(candidate.wrench.tool != c.wrench.tool for c in (pulling, *found))
