"""The columns that come out of a plan: a row each, as they went in."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from calc.findings import STOP, Finding
from calc.hardware.threads import Thread
from calc.plan.breakout import Breakout
from calc.plan.joints import Floats, PlanSettings, Texts
from calc.plan.limits import Bounds
from calc.plan.time import Times
from calc.procedure.passes import CIRCULAR, Stage
from calc.wrench.choice import Candidate


@dataclass(frozen=True, eq=False)
class Plans:
    """What comes out, a row each; NaN in every number of a row that is stopped or done by another method.

    `pulling` are the wrenches of a row, as many as pull at once (none for hand rows). Pass columns have the shape
    (rows, stages), settings (rows, wrenches, stages), NaN in stages that a row's operation does not go through; the
    circular pass at full torque is the setpoint. `raised`: the engineer's factor on the pass before it, for
    interaction, 1 where there is none; `combined_stress` stands on that pass. `order`: the list's or the scheme's
    order, "" for the cross order. `bounds` are limits and range, `reaches_yield_at` the nut factor at which a torque
    without friction is 90 % of the stud's yield, `breakouts` the rows that are broken out, `times` how long they take.
    """

    status: Texts
    method: Texts
    thread: Thread
    designation: Texts
    grade: Texts
    nut_grade: Texts
    across_flats: Floats
    area: Floats
    yield_strength: Floats
    yield_source: Texts
    nut_factor: Floats
    thread_friction: Floats
    nut_friction: Floats
    friction_kind: Texts
    reaches_yield_at: Floats
    friction_source: Texts
    preload: Floats
    torque: Floats
    raised: Floats
    combined_stress: Floats
    target: Texts
    studs: Floats
    at_once: NDArray[np.int64]
    order: Texts
    stages: tuple[Stage, ...]
    pass_torque: Floats
    pulling: tuple[tuple[Candidate, ...], ...]
    count: Floats
    pressure: Floats
    torque_there: Floats
    settings: PlanSettings
    bounds: Bounds
    breakouts: tuple[Breakout | None, ...]
    times: Times
    findings: tuple[Finding, ...] = field(default=())

    @property
    def full(self) -> int:
        """Index of the stage whose setting is the setpoint: the circular one at full torque, which every joint has."""
        return next(i for i, stage in enumerate(self.stages) if stage.pattern == CIRCULAR)

    def pass_number(self, row: int, stage: int) -> int:
        """Number of a stage among the passes of a row: one that the row does not go through is not counted."""
        return int(np.count_nonzero(~np.isnan(self.pass_torque[row, : stage + 1])))

    def stops(self) -> tuple[Finding, ...]:
        """The findings that stopped a row."""
        return tuple(finding for finding in self.findings if finding.level == STOP)
