"""How long a row takes, where its wrenches state stroke angle, oil per stroke and pump flow, and the row its grip."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.hardware.threads import Thread
from calc.plan.joints import Floats, Joints
from calc.preload import stretch
from calc.procedure.passes import RETIGHTEN, Stage
from calc.wrench import duration
from calc.wrench.choice import Candidate


@dataclass(frozen=True, eq=False)
class Times:
    """Time of each row without waits [s], NaN where not estimated; what is missing for it, "" where nothing is.

    `missing`: "grip", "preload", or None where the wrenches state no stroke. `stroke`: time of one stroke [s].
    """

    total: Floats
    stroke: Floats
    missing: tuple[str | None, ...]


def times(
    joints: Joints, thread: Thread, preload: Floats, pulling: Sequence[tuple[Candidate, ...]],
    at_once: NDArray[np.int64], stages: Sequence[Stage],
) -> Times:  # fmt: skip
    """Time of every row that is pulled.

    The nut turns for the stud's own stretch, the least turn there is; the oil per stroke is counted for the stroke and
    once more for its return; of several wrenches the slowest counts. A joint that is tightened again is gone
    round twice: each nut turns for a stroke at most, and the second time none does.
    """
    total, stroke = np.full(len(joints), np.nan), np.full(len(joints), np.nan)
    missing: list[str | None] = [None] * len(joints)
    fractions = [stage.fraction for stage in stages if stage.fraction is not None]
    parts = [(stage.first, stage.last) for stage in stages if stage.fraction is not None]
    groups: dict[tuple[Candidate, ...], list[int]] = {}
    stating: dict[tuple[Candidate, ...], bool] = {(): False}
    for row, group in enumerate(pulling):
        if group not in stating:
            stating[group] = all(_states_strokes(candidate) for candidate in group)
        if stating[group]:
            groups.setdefault(group, []).append(row)
    with np.errstate(invalid="ignore"):
        turn = np.asarray(stretch.nut_turn(preload, thread, stretch.effective_length(joints.grip, thread)))
    for group, rows in groups.items():
        at = np.array(rows)
        seconds = max(duration.stroke_time(c.wrench.oil_per_stroke, c.wrench.oil_per_stroke, c.wrench.pump_flow)
                      for c in group)  # fmt: skip
        angle = min(candidate.wrench.stroke_angle for candidate in group)
        stroke[at] = seconds
        again = np.array([joints.operation[row] == RETIGHTEN for row in rows], dtype=bool)
        for these, turned, shares, of in (
            (~again, turn[at], fractions, parts), (again, np.full(at.size, angle), (1.0, 1.0), ()),
        ):  # fmt: skip
            total[at[these]] = duration.joint_duration(
                turned[these], joints.studs[at[these]], shares, stroke_angle=angle, stroke_time=seconds,
                at_once=at_once[at[these]], parts=of,
            ).total  # fmt: skip
        for row in rows:
            if joints.operation[row] == RETIGHTEN:
                missing[row] = ""
                continue
            unknown = "preload" if np.isnan(preload[row]) else "grip" if np.isnan(joints.grip[row]) else ""
            missing[row] = unknown
    return Times(total, stroke, tuple(missing))


def _states_strokes(candidate: Candidate) -> bool:
    w = candidate.wrench
    return not np.isnan([w.stroke_angle, w.oil_per_stroke, w.pump_flow]).any()
