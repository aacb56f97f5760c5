"""Choice of plan: the fewest moves that leave the studs alike and near the target, without scatter of friction.

Every plan starts with alignment (all studs snug) and closes with a circular pass at 100 %; neither is ever dropped.
Friction scatter is larger than what the choice gains: it is not removed by it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.findings import stop
from calc.interaction import events
from calc.interaction.events import SNUG, Joint, Limits, Pass, variation
from calc.interaction.matrix import MatrixJoint

Sequences = Mapping[tuple[str, int], tuple[tuple[int, ...], ...]]

CIRCULAR = "circular"
STAGES = ((0.5,), (0.3, 0.6), (0.25, 0.5, 0.75))
"""Shares of the passes before the full one. [common practice, no source]"""
RAISES = (1.05, 1.1, 1.15, 1.2, 1.25, 1.3)
"""Shares tried for the pass before the last, when limits of stud and gasket are given."""


@dataclass(frozen=True, eq=False)
class Choice:
    """A plan and what it does without scatter.

    `at_once` wrenches; `passes` after alignment; `moves` in them; `mean` and `lowest` kept load and `highest` momentary
    load as shares of the target; `variation` of the kept load; `gasket_stress` highest [Pa], NaN when not seen; `met`
    whether the wanted uniformity and mean were reached; `raised` whether a pass is above 100 %, which the responsible
    engineer has to review.
    """

    at_once: int
    passes: tuple[Pass, ...]
    moves: int
    mean: float
    lowest: float
    highest: float
    variation: float
    gasket_stress: float
    met: bool
    raised: bool


@dataclass(frozen=True)
class Wanted:
    """What a plan has to reach: coefficient of variation of the kept load, and its mean as a share of the target."""

    uniformity: float = 0.05
    mean: float = 0.95

    def __post_init__(self) -> None:
        for name, value, low, high in (("uniformity", self.uniformity, 0.001, 1.0), ("mean", self.mean, 0.1, 1.0)):
            if not low <= value <= high:
                raise stop("out_of_range", name, value=value, low=low, high=high)

    def missed(self, spread: float, mean: float) -> float:
        """How far a coefficient of variation and a mean share are from what is wanted; 0 when they reach it."""
        return max(spread - self.uniformity, 0.0) + max(self.mean - mean, 0.0)


WANTED = Wanted()
"""A coefficient of variation of 5 % and a mean of 95 % of the target."""


def search(
    joint: Joint,
    target: float,
    sequences: Sequences,
    *,
    wanted: Wanted = WANTED,
    limits: Limits | None = None,
    stages: Sequence[tuple[float, ...]] = STAGES,
    raises: Sequence[float] = RAISES,
    most_circular: int = 6,
    snug: float = SNUG,
) -> tuple[Choice, ...]:
    """The plan with the fewest moves for each number of wrenches, fewest moves first.

    `sequences` maps (pattern, wrenches at once) to its moves; the pattern "circular" must be there for every number
    of wrenches. Tried: every pattern with every list of `stages`, then 100 % or, with `limits` only, one of `raises`,
    then up to `most_circular` circular passes at 100 %. Of equal moves the lowest setting wins, then the lowest
    momentary load. Where no plan reaches what is wanted, the nearest one is given with `met` False.

    Raises InputError: as `events.run`; `out_of_range`; `circular_needed` when a number of wrenches has no circular
    sequence. Plans that exceed a limit are passed over; `limits_leave_none` when none is left.

    >>> import numpy as np
    >>> joint = MatrixJoint(np.eye(4) - 0.2 * (np.eye(4)[[1, 2, 3, 0]] + np.eye(4)[[3, 0, 1, 2]]))
    >>> choice, = search(joint, 100e3, {("circular", 1): ((1,), (2,), (3,), (4,))})
    >>> [step.fraction for step in choice.passes], choice.met
    ([0.5, 1.0, 1.0], True)
    """
    _check(joint, target, sequences, limits, stages, raises, most_circular, snug)
    sequences = {key: tuple(tuple(move) for move in moves) for key, moves in sequences.items()}
    best = []
    for at_once in sorted({wrenches for _, wrenches in sequences}):
        check = Pass(1.0, sequences[CIRCULAR, at_once], CIRCULAR)
        ladders = _ladders(sequences, at_once, stages, raises if limits is not None else ())
        bench = _Bench(joint, target, check, at_once, wanted, limits, {(): (joint.start(snug * target), 0.0)})
        choice = bench.fewest(ladders, most_circular)
        if choice is None:
            raise stop("limits_leave_none", "limits", at_once=at_once)
        best.append(choice)
    return tuple(sorted(best, key=lambda choice: (not choice.met, choice.moves)))


def circular_passes(
    joint: Joint,
    target: float,
    before: Sequence[Pass],
    circular: tuple[tuple[int, ...], ...],
    *,
    wanted: Wanted = WANTED,
    most: int = 8,
    snug: float = SNUG,
    limits: Limits | None = None,
) -> tuple[int | None, events.Run]:
    """Circular passes at 100 % after the given passes until the kept load is as even and as high as wanted.

    Returns their number (None when `most` are not enough) and the run with them. Refusals as `events.run`.

    >>> import numpy as np
    >>> joint = MatrixJoint(np.eye(4) - 0.2 * (np.eye(4)[[1, 2, 3, 0]] + np.eye(4)[[3, 0, 1, 2]]))
    >>> round_once = ((1,), (2,), (3,), (4,))
    >>> circular_passes(joint, 100e3, [Pass(0.5, round_once)], round_once)[0]
    2
    """
    if not 1 <= most <= 20:
        raise stop("out_of_range", "circular_passes", value=most, low=1, high=20)
    found = events.run(joint, target, [*before, *[Pass(1.0, circular, CIRCULAR)] * most], snug=snug, limits=limits)
    for count in range(1, most + 1):
        kept = found.kept[len(before) + count - 1]
        if wanted.missed(float(variation(kept)), float(kept.mean()) / target) == 0:
            passes = [*before, *[Pass(1.0, circular, CIRCULAR)] * count]
            return count, events.run(joint, target, passes, snug=snug, limits=limits)
    return None, found


@dataclass
class _Trial:
    """A plan under way: what stands before its circular passes, its state after `count` of them, the highest load."""

    opening: tuple[Pass, ...]
    state: Any = None
    highest: float = 0.0
    count: int = 0

    @property
    def setting(self) -> float:
        """Share of the target in the pass before the circular ones."""
        return float(np.max(self.opening[-1].fraction))


def _ladders(
    sequences: Sequences, at_once: int, stages: Sequence[tuple[float, ...]], raises: Sequence[float]
) -> list[list[_Trial]]:
    """One ladder per pattern and stages, from 100 % in the pass before the circular ones up to the highest."""
    return [
        [_Trial(tuple(Pass(share, moves, pattern) for share in (*stage, full))) for full in sorted({1.0, *raises})]
        for (pattern, wrenches), moves in sequences.items()
        if wrenches == at_once
        for stage in stages
    ]


@dataclass
class _Bench:
    """Runs the plans of one number of wrenches, no pass of stages twice."""

    joint: Joint
    target: float
    check: Pass
    at_once: int
    wanted: Wanted
    limits: Limits | None
    after: dict[tuple[Pass, ...], tuple[Any, float]]

    def fewest(self, ladders: Sequence[list[_Trial]], most: int) -> Choice | None:
        """The plan with the fewest moves, then the lowest setting, then the lowest momentary load.

        The nearest plan when none reaches what is wanted, None when the limits leave none.
        """
        levels = sorted(
            (sum(len(step.moves) for step in ladder[0].opening) + count * len(self.check.moves), number, count)
            for number, ladder in enumerate(ladders)
            for count in range(1, most + 1)
        )
        reached: list[tuple[float, float, Choice]] = []
        nearest: tuple[float, float, Choice] | None = None
        for moves, number, count in levels:
            if reached and moves > reached[0][-1].moves:
                break
            for trial, choice in self._climb(ladders[number], count, moves):
                rank = self.wanted.missed(choice.variation, choice.mean), choice.highest, choice
                if nearest is None or rank[:2] < nearest[:2]:
                    nearest = rank
                if choice.met:
                    reached.append((trial.setting, choice.highest, choice))
        if reached:
            return min(reached, key=lambda found: found[:2])[-1]
        return nearest[-1] if nearest else None

    def _climb(self, ladder: list[_Trial], count: int, moves: int) -> list[tuple[_Trial, Choice]]:
        """The plans of a ladder up to the first that reaches what is wanted; those beyond a limit leave it.

        A higher setting leaves more at the end: where the top keeps too little, the steps below are not run.
        """
        top = None
        while ladder and top is None:
            top = self._run(ladder[-1], count, moves)
            if top is None:
                ladder.pop()
        if top is None:
            return []
        found = [(ladder[-1], top)]
        if top.mean >= self.wanted.mean:
            for trial in ladder[:-1]:  # a lower setting has a lower load: none of these exceeds a limit the top keeps
                choice = self._run(trial, count, moves)
                if choice is not None:
                    found.append((trial, choice))
                    if choice.met:
                        break
        return found

    def _run(self, trial: _Trial, count: int, moves: int) -> Choice | None:
        """Bring a plan to so many circular passes; None when it exceeds a limit."""
        if trial.state is None:
            trial.state, trial.highest = self._stages(trial.opening)
        while trial.count < count:
            trial.state, trial.highest = self._pulled(trial.state, trial.highest, self.check)
            trial.count += 1
        crushed = events.crush(self.joint, trial.state, trial.highest)
        if self.limits and (trial.highest > self.limits.stud_load or crushed > self.limits.gasket_stress):
            return None
        end = trial.state.copy()
        self.joint.finish(end)
        mean, spread = float(end.load.mean()) / self.target, float(variation(end.load))
        return Choice(
            at_once=self.at_once,
            passes=(*trial.opening, *[self.check] * count),
            moves=moves,
            mean=mean,
            lowest=float(end.load.min()) / self.target,
            highest=trial.highest / self.target,
            variation=spread,
            gasket_stress=crushed,
            met=self.wanted.missed(spread, mean) == 0,
            raised=trial.setting > 1.0,
        )

    def _stages(self, passes: tuple[Pass, ...]) -> tuple[Any, float]:
        """State and highest load after the opening; its stages are kept for the other plans that share them."""
        if passes in self.after:
            return self.after[passes]
        found = self._pulled(*self._stages(passes[:-1]), passes[-1])
        if float(np.max(passes[-1].fraction)) < 1.0:
            self.after[passes] = found
        return found

    def _pulled(self, state: Any, highest: float, step: Pass) -> tuple[Any, float]:
        """A new state after one more pass, and the highest load so far."""
        state = state.copy()
        top, _ = events.pull(self.joint, state, self.target, step)
        return state, max(highest, top)


def _check(
    joint: Joint,
    target: float,
    sequences: Sequences,
    limits: Limits | None,
    stages: Sequence[tuple[float, ...]],
    raises: Sequence[float],
    most_circular: int,
    snug: float,
) -> None:
    events.check_target(target, snug)
    if not 1 <= most_circular <= 20:
        raise stop("out_of_range", "circular_passes", value=most_circular, low=1, high=20)
    if not sequences or not stages or not all(stages):
        raise stop("no_passes", "passes")
    for (pattern, wrenches), moves in sequences.items():
        if (CIRCULAR, wrenches) not in sequences:
            raise stop("circular_needed", "passes", at_once=wrenches)
        events.check_passes(joint.studs, [Pass(1.0, moves, pattern)], limits)
    for stage in stages:
        for share in stage:
            if not 0.02 <= share <= 1.0:
                raise stop("out_of_range", "stage", value=share, low=0.02, high=1.0)
    for share in raises:
        if not 1.0 < share <= 1.5:
            raise stop("out_of_range", "raised", value=share, low=1.0, high=1.5)
    if limits is not None and isinstance(joint, MatrixJoint) and joint.gasket_area is None:
        raise stop("gasket_area_needed", "gasket_area")
