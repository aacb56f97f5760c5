"""Choice of plan: the fewest moves that leave the studs alike and near the target, without scatter of friction.

Every plan starts with alignment (all studs snug) and closes with a circular pass at 100 %; neither is ever dropped.
Friction scatter is larger than what the choice gains: it is not removed by it.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.findings import stop
from calc.interaction import events
from calc.interaction.events import SNUG, Joint, Limits, Pass, variation
from calc.interaction.matrix import MatrixJoint
from calc.interaction.samples import Scatter, sample

Array = NDArray[np.floating]
Sequences = Mapping[tuple[str, int], tuple[tuple[int, ...], ...]]

CIRCULAR = "circular"
STAGES = ((0.5,), (0.3, 0.6), (0.25, 0.5, 0.75))
"""Shares of the passes before the full one. [common practice, no source]"""
AWAY = 0.01
"""Further than this from what is wanted, a plan is not brought there by more stages and as many circular passes less.

In 864 comparisons (16 and 24 studs, every kind of gasket, one and four wrenches, both patterns, 1 to 6 circular passes)
it never was."""
P5_SAMPLES = 2000
RAISES = (1.05, 1.1, 1.15, 1.2, 1.25, 1.3)
"""Shares tried for the pass before the last, when limits of stud and gasket are given."""


@dataclass(frozen=True, eq=False)
class Choice:
    """A plan and what it does without scatter.

    `at_once` wrenches; `passes` after alignment; `moves` in them; `mean` and `lowest` kept load and `highest` momentary
    load as shares of the target; `variation` of the kept load; `uneven` largest difference of the gasket's closure
    round the joint [m] and `gasket_stress` highest [Pa], NaN when not seen; `p5` of the lowest stud with scatter as a
    share, NaN when not asked for; `met` whether what was wanted was reached; `beyond` which limits it
    passes on the way; `raised` whether a pass is above 100 %, which the responsible engineer has to review.
    """

    at_once: int
    passes: tuple[Pass, ...]
    moves: int
    mean: float
    lowest: float
    highest: float
    variation: float
    uneven: float
    gasket_stress: float
    p5: float
    met: bool
    beyond: tuple[str, ...]
    raised: bool

    @property
    def cross_first(self) -> bool:
        """Whether the passes before the closing ones go across."""
        return self.passes[0].pattern != CIRCULAR


@dataclass(frozen=True)
class Wanted:
    """What a plan has to reach before the gasket relaxes, which no pass prevents; kept loads as shares of the target.

    `uniformity` coefficient of variation of the kept load at most, `mean` and `lowest` at least, `p5` the P5 of the
    lowest stud of a joint with scatter at least; 0 asks for nothing.
    """

    uniformity: float = 0.05
    mean: float = 0.95
    lowest: float = 0.0
    p5: float = 0.0

    def __post_init__(self) -> None:
        rows = (
            *(("uniformity", self.uniformity, 0.001, 1.0), ("mean", self.mean, 0.1, 1.0)),
            *(("lowest_wanted", self.lowest, 0.0, 1.0), ("p5_wanted", self.p5, 0.0, 1.0)),
        )
        for name, value, low, high in rows:
            if not low <= value <= high:
                raise stop("out_of_range", name, value=value, low=low, high=high)

    def missed(self, kept: Array, target: float) -> float:
        """How far kept loads are from what is wanted without scatter; 0 when they reach it."""
        spread, mean, lowest = float(variation(kept)), float(kept.mean()) / target, float(kept.min()) / target
        return max(spread - self.uniformity, 0.0) + max(self.mean - mean, 0.0) + max(self.lowest - lowest - 1e-12, 0.0)


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
    break_away: float = 0.0,
    seed: int = 1,
    scatter: Scatter | None = None,
) -> tuple[Choice, ...]:
    """The plan with the fewest moves for each number of wrenches, fewest moves first.

    `sequences` maps (pattern, wrenches at once) to its moves; the pattern "circular" must be there for every number
    of wrenches. Tried: every pattern with every list of `stages`, then 100 % or, with `limits` only, one of `raises`,
    then up to `most_circular` circular passes at 100 %. Of equal moves the fewest stages win, then the lowest setting,
    then the lowest momentary load. Passed over: plans with more stages where the one with the fewest, after as many
    moves, is further than `AWAY` from what is wanted. Where the plan with the fewest moves goes round from
    the start, the fewest moves of a plan that goes across first are given too: it closes the gasket more evenly. Where
    no plan reaches what is wanted, the nearest is given with `met` False. One that passes a limit never counts as
    reaching what is wanted and says so in `beyond`.

    Raises InputError: as `events.run`; `out_of_range`; `circular_needed` when a number of wrenches has no circular
    sequence.

    >>> import numpy as np
    >>> joint = MatrixJoint(np.eye(4) - 0.2 * (np.eye(4)[[1, 2, 3, 0]] + np.eye(4)[[3, 0, 1, 2]]))
    >>> choice, = search(joint, 100e3, {("circular", 1): ((1,), (2,), (3,), (4,))})
    >>> [step.fraction for step in choice.passes], choice.met
    ([0.5, 1.0, 1.0], True)
    """
    _check(joint, target, sequences, limits, stages, raises, most_circular, snug)
    sequences = {key: tuple(tuple(move) for move in moves) for key, moves in sequences.items()}
    best: list[Choice] = []
    for at_once in sorted({wrenches for _, wrenches in sequences}):
        check = Pass(1.0, sequences[CIRCULAR, at_once], CIRCULAR)
        job = Job(target, check, at_once, wanted, limits, snug, break_away, seed, scatter)
        own = [
            _Bench(joint, job, {}).fewest(
                _ladders(moves, pattern, stages, raises if limits is not None else ()), most_circular
            )
            for (pattern, wrenches), moves in sequences.items()
            if wrenches == at_once
        ]
        own.sort(key=_rank)
        best.append(own[0])
        if not own[0].cross_first:
            best += [choice for choice in own[1:] if choice.cross_first][:1]
    return tuple(sorted(best, key=lambda choice: (not choice.met, choice.moves)))


def _rank(choice: Choice) -> tuple[bool, bool, float, float]:
    """Those that reach what is wanted by moves, the others by what they leave."""
    return not choice.met, bool(choice.beyond), choice.moves if choice.met else -choice.lowest, choice.highest


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
    break_away: float = 0.0,
    seed: int = 1,
    scatter: Scatter | None = None,
) -> tuple[int | None, events.EventRun]:
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

    def run(count: int) -> events.EventRun:
        passes = [*before, *[Pass(1.0, circular, CIRCULAR)] * count]
        return events.run(joint, target, passes, snug=snug, limits=limits, break_away=break_away)

    found = run(most)
    for count in range(1, most + 1):
        kept = found.kept[len(before) + count - 1]
        if wanted.missed(kept, target) == 0:
            enough = run(count)
            if not wanted.p5:
                return count, enough
            lowest = sample(enough, seed=seed, samples=P5_SAMPLES, scatter=scatter).lowest[-1]
            if float(np.percentile(lowest, 5)) >= wanted.p5 * target:
                return count, enough
    return None, found


@dataclass(frozen=True)
class Job:
    """What every plan of a search has in common."""

    target: float
    check: Pass
    at_once: int
    wanted: Wanted
    limits: Limits | None
    snug: float
    break_away: float
    seed: int
    scatter: Scatter | None


@dataclass
class _Course:
    """A plan under way: where the joint stands, and the worst on the way so far."""

    state: Any
    highest: float = 0.0
    uneven: float = -np.inf


@dataclass
class _Trial:
    """What stands before the circular passes of a plan, and how it went up to `count` of them."""

    opening: tuple[Pass, ...]
    course: _Course | None = None
    count: int = 0

    @property
    def setting(self) -> float:
        """Share of the target in the pass before the circular ones."""
        return float(np.max(self.opening[-1].fraction))


def _ladders(
    moves: tuple[tuple[int, ...], ...], pattern: str, stages: Sequence[tuple[float, ...]], raises: Sequence[float]
) -> list[list[_Trial]]:
    """One ladder for each list of stages, from 100 % in the pass before the circular ones up to the highest."""
    return [
        [_Trial(tuple(Pass(share, moves, pattern) for share in (*stage, full))) for full in sorted({1.0, *raises})]
        for stage in stages
    ]


@dataclass
class _Bench:
    """Runs the plans of one pattern, no pass of stages twice."""

    joint: Joint
    job: Job
    after: dict[tuple[Pass, ...], _Course]

    def fewest(self, ladders: Sequence[list[_Trial]], most: int) -> Choice:
        """The plan with the fewest moves, then the lowest setting, then the lowest momentary load; else the nearest."""
        job = self.job
        levels = sorted(
            (sum(len(step.moves) for step in ladder[0].opening) + count * len(job.check.moves), number, count)
            for number, ladder in enumerate(ladders)
            for count in range(1, most + 1)
        )
        short = min(range(len(ladders)), key=lambda number: len(ladders[number][0].opening))
        away: dict[int, float] = {}
        reached: list[tuple[float, float, Choice]] = []
        nearest: tuple[tuple[bool, float, float], tuple[_Trial, int]] | None = None
        for moves, number, count in levels:
            if reached and moves >= reached[0][-1].moves:
                break
            more = len(ladders[number][0].opening) - len(ladders[short][0].opening)
            if more and away.get(min(count + more, most), 0.0) > AWAY:
                continue
            for trial, missed, beyond in self._climb(ladders[number], count):
                if number == short:
                    away[count] = min(missed, away.get(count, np.inf))
                rank = beyond, missed, trial.course.highest if trial.course else 0.0
                if nearest is None or rank < nearest[0]:
                    nearest = rank, (trial, count)
                if missed == 0 and not beyond:
                    choice = self._choice(trial, count)
                    if choice.met:
                        reached.append((trial.setting, choice.highest, choice))
                        break
        if reached:
            return min(reached, key=lambda found: found[:2])[-1]
        assert nearest is not None
        return self._choice(*nearest[1])

    def _climb(self, ladder: list[_Trial], count: int) -> Iterator[tuple[_Trial, float, bool]]:
        """The plans of a ladder from the lowest setting up, how far each is from what is wanted, and limits passed.

        A higher setting leaves more at the end: where the highest within the limits keeps too little, those below are
        not run.
        """
        top = None
        while top is None or (top[2] and len(ladder) > 1):
            if top is not None:
                ladder.pop()
            top = self._judged(ladder[-1], count)
        if self._mean(ladder[-1]) >= self.job.wanted.mean:
            for trial in ladder[:-1]:
                yield self._judged(trial, count)
        yield top

    def _mean(self, trial: _Trial) -> float:
        assert trial.course is not None
        return float(trial.course.state.load.mean()) / self.job.target

    def _judged(self, trial: _Trial, count: int) -> tuple[_Trial, float, bool]:
        """Bring a plan to so many circular passes."""
        if trial.course is None:
            trial.course = self._stages(trial.opening)
        while trial.count < count:
            trial.course = self._pulled(trial.course, self.job.check)
            trial.count += 1
        over = self._beyond(trial.course)
        return trial, self.job.wanted.missed(trial.course.state.load, self.job.target), bool(over)

    def _choice(self, trial: _Trial, count: int) -> Choice:
        """A plan as it stands, with scatter where it was asked for."""
        job, passes, course = self.job, (*trial.opening, *[self.job.check] * count), trial.course
        if trial.count != count or course is None:  # it has gone on since
            course = _Course(self.joint.start(job.snug * job.target))
            for step in passes:
                course = self._pulled(course, step)
        end, over = course.state, self._beyond(course)
        missed, p5 = job.wanted.missed(end.load, job.target), np.nan
        if job.wanted.p5 and missed == 0 and not over:
            p5 = self._p5(passes)
            missed = max(job.wanted.p5 - p5, 0.0)
        return Choice(
            at_once=job.at_once,
            passes=passes,
            moves=sum(len(step.moves) for step in passes),
            mean=float(end.load.mean()) / job.target,
            lowest=float(end.load.min()) / job.target,
            highest=course.highest / job.target,
            variation=float(variation(end.load)),
            uneven=course.uneven if np.isfinite(course.uneven) else np.nan,
            gasket_stress=events.crush(self.joint, course.state, course.highest),
            p5=p5,
            met=missed == 0 and not over,
            beyond=over,
            raised=trial.setting > 1.0,
        )

    def _p5(self, passes: Sequence[Pass]) -> float:
        """P5 of the lowest stud with scatter, as a share of the target."""
        job = self.job
        run = events.run(self.joint, job.target, passes, snug=job.snug, limits=job.limits, break_away=job.break_away)
        lowest = sample(run, seed=job.seed, samples=P5_SAMPLES, scatter=job.scatter).lowest[-1]
        return float(np.percentile(lowest, 5)) / job.target

    def _beyond(self, course: _Course) -> tuple[str, ...]:
        stress = events.crush(self.joint, course.state, course.highest)
        return events.beyond(course.highest, stress, self.job.limits)

    def _stages(self, passes: tuple[Pass, ...]) -> _Course:
        """How the opening went; its stages are kept for the other plans that share them."""
        if not passes:
            return _Course(self.joint.start(self.job.snug * self.job.target))
        if passes in self.after:
            return self.after[passes]
        found = self._pulled(self._stages(passes[:-1]), passes[-1])
        if float(np.max(passes[-1].fraction)) < 1.0:
            self.after[passes] = found
        return found

    def _pulled(self, course: _Course, step: Pass) -> _Course:
        """How the plan stands after one more pass; what it stood at before is left alone."""
        state = course.state.copy()
        done = events.pull(self.joint, state, self.job.target, step, self.job.break_away, with_columns=False)
        return _Course(state, max(course.highest, done.highest), float(np.fmax(course.uneven, done.uneven)))


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
