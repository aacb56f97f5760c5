"""Raised settings for one pass: one factor for all studs, or settings stud by stud. For the engineer's sheet only.

A stud tightened early is set above the target by what its neighbours will take from it. How far above is capped, with
limits of stud and gasket. Both are judged by what the studs keep after the closing circular pass at 100 %, beside the
plain pass: settings stud by stud that gain nothing there are not worth a pressure of their own for every stud.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.findings import stop
from calc.interaction import events
from calc.interaction.events import SNUG, EventRun, Joint, Limits, Moves, Pass

Array = NDArray[np.floating]
Places = NDArray[np.intp]

GAIN = 0.02
"""Settings stud by stud have to leave the lowest stud this share of the target higher to be worth it; own choice."""
PLAIN, ONE_FACTOR, BY_STUD = "plain", "one factor", "stud by stud"


@dataclass(frozen=True, eq=False)
class Uplift:
    """One factor for all studs in the pass before the closing one: `factor` [1], `run` with both, `plain` without it.

    `tried` holds factor, lowest kept after the closing pass and highest momentary load of each trial, as shares.
    """

    factor: float
    run: EventRun
    plain: EventRun
    tried: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, eq=False)
class Settings:
    """`load` (studs,) to set each stud to in the pass [N], `kept` (studs,) after it [N], `capped` (studs,) held back.

    `run` holds the passes before, this pass and the closing pass at 100 %; `uplift` the plain pass and the best factor
    for all studs in the same place; `best` names which of the three is worth its effort.
    """

    load: Array
    kept: Array
    capped: NDArray[np.bool_]
    run: EventRun
    uplift: Uplift
    best: str


def one_factor_setting(
    joint: Joint,
    target: float,
    moves: Moves,
    *,
    cap: float,
    check: Moves,
    limits: Limits,
    before: Sequence[Pass] = (),
    snug: float = SNUG,
    break_away: float = 0.0,
) -> Uplift:
    """The one factor on the target that leaves the lowest stud highest after the closing pass, up to a cap.

    `cap` is the highest momentary load of any stud as a share of the target, `check` the moves of the closing pass at
    100 %. Factors in steps of 5 % up to what the cap allows; of those within half a point the smallest.

    Raises InputError as `events.run`; `cap_at_target` for a cap of 100 % or less, `out_of_range` above 200 %.

    >>> from calc.interaction.matrix import MatrixJoint
    >>> joint = MatrixJoint(np.eye(4) - 0.2 * (np.eye(4)[[1, 2, 3, 0]] + np.eye(4)[[3, 0, 1, 2]]), gasket_area=1e-2)
    >>> across, around = ((1,), (3,), (2,), (4,)), ((1,), (2,), (3,), (4,))
    >>> found = one_factor_setting(joint, 1e5, across, cap=1.3, check=around, limits=Limits(2e5, 1e9))
    >>> found.factor, round(lowest(found.run), 3), round(lowest(found.plain), 3)
    (1.15, 1.0, 0.917)
    """
    _check_cap(cap, limits)
    order, closing = (tuple(tuple(move) for move in each) for each in (moves, check))

    def run(factor: float) -> EventRun:
        plan = [*before, Pass(factor, order, "raised"), Pass(1.0, closing, "circular")]
        return events.run(joint, target, plan, snug=snug, limits=limits, break_away=break_away)

    plain = run(1.0)
    tried = [(1.0, plain)]
    for step in range(1, round((cap - 1) / 0.05) + 1):
        factor = min(1 + 0.05 * step, cap)
        found = run(factor)
        if max(found.highest) > cap * target * (1 + 1e-9) and max(found.highest) > max(plain.highest) * (1 + 1e-9):
            break
        tried.append((factor, found))
    most = max(lowest(found) for _, found in tried)
    factor, best = next((f, found) for f, found in tried if lowest(found) >= most - 0.005)
    rows = tuple((f, float(r.kept[-1].min()) / target, float(max(r.highest)) / target) for f, r in tried)
    return Uplift(round(factor, 4), best, plain, rows)


def one_pass_settings(
    joint: Joint,
    target: float,
    moves: Moves,
    *,
    cap: float,
    check: Moves,
    limits: Limits | None,
    before: Sequence[Pass] = (),
    snug: float = SNUG,
    break_away: float = 0.0,
) -> Settings:
    """Loads to set in one pass over `moves` so that every stud keeps `target` [N] after it.

    `cap` is the highest momentary load of any stud as a share of the target; where it holds a stud back, the settings
    come as near as they can (least squares). Settings are lowered further when a stud rises above the cap with its
    neighbours, but not below 100 %. `before` are ordinary passes that go first (a pass at half load makes two),
    `check` the moves of the closing circular pass at 100 %.

    Raises InputError as `events.run`, `limits_needed` without limits, `cap_at_target` for a cap of 100 % or less: then
    no stud can be set above the target and the others only below it, `out_of_range` above 200 %.

    >>> from calc.interaction.matrix import MatrixJoint
    >>> joint = MatrixJoint(np.eye(4) - 0.2 * (np.eye(4)[[1, 2, 3, 0]] + np.eye(4)[[3, 0, 1, 2]]))
    >>> found = one_pass_settings(
    ...     joint, 100e3, ((1,), (3,), (2,), (4,)), cap=2.0, limits=Limits(200e3, 1e9),
    ...     before=[Pass(0.5, ((1,), (3,), (2,), (4,)))], check=((1,), (2,), (3,), (4,)))
    Traceback (most recent call last):
    calc.findings.InputError: gasket_area_needed gasket_area {}
    """
    _check_cap(cap, limits)
    assert limits is not None
    events.check_target(target, snug)
    order = tuple(tuple(move) for move in moves)
    events.check_passes(joint.studs, [*before, Pass(1.0, order)], limits)
    ready = joint.start(snug * target)
    for step in before:
        events.pull(joint, ready, target, step)

    ceiling = cap
    for _ in range(8):
        share, top = _search(joint, ready, target, order, ceiling)
        if top <= cap * (1 + 1e-9) or ceiling == 1.0:
            break
        ceiling = max(1.0, ceiling * cap / top)
    plan = [*before, Pass(tuple(share.tolist()), order, "settings")]
    plan.append(Pass(1.0, tuple(tuple(move) for move in check), "circular"))
    found = events.run(joint, target, plan, snug=snug, limits=limits, break_away=break_away)
    uplift = one_factor_setting(
        joint, target, moves, cap=cap, check=check, limits=limits, before=before, snug=snug, break_away=break_away
    )
    left = {PLAIN: lowest(uplift.plain), ONE_FACTOR: lowest(uplift.run), BY_STUD: lowest(found)}
    best = PLAIN
    for name in (ONE_FACTOR, BY_STUD):
        if left[name] > left[best] + GAIN:
            best = name
    held = share >= ceiling * (1 - 1e-9)
    return Settings(share * target, found.kept[len(before)], held, found, uplift, best)


def lowest(found: EventRun) -> float:
    """Load of the lowest stud after the last pass, before the gasket relaxes, as a share of the target; 1 at most.

    More than the target is no gain.
    """
    return min(float(found.kept[-1].min()) / found.target, 1.0)


def _check_cap(cap: float, limits: Limits | None) -> None:
    if not cap > 1.0:
        raise stop("cap_at_target", "cap", value=cap)
    if not cap <= 2.0:
        raise stop("out_of_range", "cap", value=cap, low=1.0, high=2.0)
    if limits is None:
        raise stop("limits_needed", "cap", value=cap)


def _search(
    joint: Joint, ready: Any, target: float, order: tuple[tuple[int, ...], ...], cap: float
) -> tuple[Array, float]:
    """Settings up to a cap that leave the loads nearest to the target, and the highest load on the way, as shares."""
    share: Array = np.ones(joint.studs)
    best, nearest, highest = share, np.inf, np.inf
    for _ in range(30):
        state = ready.copy()
        done = events.pull(joint, state, target, Pass(tuple(share.tolist()), order))
        missing = 1.0 - state.load / target
        if float(missing @ missing) < nearest:
            best, nearest, highest = share, float(missing @ missing), done.highest / target
        if np.abs(missing).max() < 1e-12:
            break
        wanted = _step(_effect(done.columns, state.load > 0), missing, share, cap)
        if np.abs(wanted - share).max() < 1e-10:
            break
        share = wanted
    return best, highest


def _effect(done: Sequence[tuple[Places, Array, Array]], held: NDArray[np.bool_]) -> Array:
    """Change of the loads at the end of a pass for a change of each setting: columns of interaction in their order."""
    n = held.size
    effect = np.zeros((n, n))
    for pulled, _, columns in done:
        wanted = np.zeros((pulled.size, n))
        wanted[np.arange(pulled.size), pulled] = 1.0
        effect += columns @ np.linalg.solve(columns[pulled], wanted - effect[pulled])
    return effect * held[:, np.newaxis]


def _step(effect: Array, missing: Array, share: Array, cap: float) -> Array:
    """New shares that would fill what is missing, within 2 % and the cap."""
    try:
        wanted = share + np.linalg.solve(effect, missing)
        if ((wanted >= 0.02) & (wanted <= cap)).all():
            return wanted
    except np.linalg.LinAlgError:
        pass  # a stud that lost everything has no slope: least squares below leaves it where it helps the others
    from scipy.optimize import lsq_linear

    bounds = (np.full(share.size, 0.02), np.full(share.size, cap + 1e-12))
    return np.clip(lsq_linear(effect, missing + effect @ share, bounds, method="bvls").x, 0.02, cap)
