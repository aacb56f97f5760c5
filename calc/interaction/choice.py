"""Choice of plan: the fewest moves that leave the studs alike and near the target, without scatter of friction.

Every plan starts with alignment (all studs snug) and closes with a circular pass at 100 %; neither is ever dropped.
Friction scatter is larger than what the choice gains: it is not removed by it.
"""

import heapq
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.findings import stop
from calc.interaction import events
from calc.interaction.events import SNUG, Joint, Limits, Pass, variation
from calc.interaction.matrix import MatrixJoint

Array = NDArray[np.floating]
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

    def missed(self, kept: Array, target: float) -> float:
        """How far kept loads are from what is wanted; 0 when they reach it."""
        return max(float(variation(kept)) - self.uniformity, 0.0) + max(self.mean - float(kept.mean()) / target, 0.0)


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
    of wrenches. Tried, in the order of their moves and then of their highest setting: every pattern with every list of
    `stages`, then 100 % or, with `limits` only, one of `raises`, then up to `most_circular` circular passes at 100 %.
    Where no plan reaches what is wanted, the nearest one is given with `met` False.

    Raises InputError: as `events.run`; `out_of_range`; `circular_needed` when a number of wrenches has no circular
    sequence. Plans that exceed a limit are passed over; `limits_leave_none` when none is left.

    >>> import numpy as np
    >>> joint = MatrixJoint(np.eye(4) - 0.2 * (np.eye(4)[[1, 2, 3, 0]] + np.eye(4)[[3, 0, 1, 2]]))
    >>> choice, = search(joint, 100e3, {("circular", 1): ((1,), (2,), (3,), (4,))})
    >>> [step.fraction for step in choice.passes], choice.met
    ([0.5, 1.0, 1.0], True)
    """
    _check(joint, target, sequences, limits, stages, raises, most_circular, snug)
    best = []
    for at_once in sorted({wrenches for _, wrenches in sequences}):
        check = Pass(1.0, sequences[CIRCULAR, at_once], CIRCULAR)
        openings = _openings(sequences, at_once, stages, raises if limits is not None else ())
        choice = _fewest(joint, target, openings, check, at_once, wanted, limits, most_circular, snug)
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
        if wanted.missed(found.kept[len(before) + count - 1], target) == 0:
            passes = [*before, *[Pass(1.0, circular, CIRCULAR)] * count]
            return count, events.run(joint, target, passes, snug=snug, limits=limits)
    return None, found


def _openings(
    sequences: Sequences, at_once: int, stages: Sequence[tuple[float, ...]], raises: Sequence[float]
) -> list[tuple[Pass, ...]]:
    """What may stand before the circular passes."""
    return [
        tuple(Pass(share, moves, pattern) for share in (*stage, full))
        for (pattern, wrenches), moves in sequences.items()
        if wrenches == at_once
        for stage in stages
        for full in (1.0, *raises)
    ]


def _fewest(
    joint: Joint,
    target: float,
    openings: Sequence[tuple[Pass, ...]],
    check: Pass,
    at_once: int,
    wanted: Wanted,
    limits: Limits | None,
    most: int,
    snug: float,
) -> Choice | None:
    """The first plan, by moves, then highest setting, then highest momentary load, that reaches what is wanted.

    Each plan waits with its state after so many circular passes; the one whose next pass ends earliest goes on.
    """
    memory: dict[tuple[Pass, ...], tuple[Any, float]] = {(): (joint.start(snug * target), 0.0)}

    def after(passes: tuple[Pass, ...]) -> tuple[Any, float]:
        if passes not in memory:
            state, highest = after(passes[:-1])
            memory[passes] = _pulled(joint, state, highest, target, passes[-1])
        return memory[passes]

    waiting: list[tuple[int, float, int, int, tuple[Any, float] | None]] = []
    for number, opening in enumerate(openings):
        moves = sum(len(step.moves) for step in (*opening, check))
        heapq.heappush(waiting, (moves, _share(opening[-1]), number, 1, None))
    nearest: Choice | None = None
    rank, reached = (float("inf"), 0.0), None
    while waiting:
        moves, setting, number, count, held = heapq.heappop(waiting)
        if reached is not None and (moves, setting) > reached:
            break
        opening = openings[number]
        state, highest = held or _pulled(joint, *after(opening[:-1]), target, opening[-1])
        state, highest = _pulled(joint, state, highest, target, check)
        crushed = events.crush(joint, state, highest)
        if limits is not None and (highest > limits.stud_load or crushed > limits.gasket_stress):
            continue
        end = state.copy()
        joint.finish(end)
        missed = wanted.missed(end.load, target)
        if (missed, highest) < rank:
            rank = missed, highest
            nearest = Choice(
                at_once=at_once,
                passes=(*opening, *[check] * count),
                moves=moves,
                mean=float(end.load.mean()) / target,
                lowest=float(end.load.min()) / target,
                highest=highest / target,
                variation=float(variation(end.load)),
                gasket_stress=crushed,
                met=missed == 0,
                raised=setting > 1.0,
            )
        if missed == 0:
            reached = moves, setting
        elif count < most:
            heapq.heappush(waiting, (moves + len(check.moves), setting, number, count + 1, (state, highest)))
    return nearest


def _pulled(joint: Joint, state: Any, highest: float, target: float, step: Pass) -> tuple[Any, float]:
    """A new state after one more pass, and the highest load so far."""
    state = state.copy()
    top, _ = events.pull(joint, state, target, step)
    return state, max(highest, top)


def _share(step: Pass) -> float:
    return float(np.max(step.fraction))


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
