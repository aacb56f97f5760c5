"""Settings stud by stud so that one pass leaves all studs alike: for the engineer's sheet, never for a crew's card.

A stud tightened early is set above the target by what its neighbours will take from it. How far above is capped: by a
share of the target, and above 100 % only with limits of stud and gasket.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.findings import stop
from calc.interaction import events
from calc.interaction.events import SNUG, Joint, Limits, Moves, Pass, Run

Array = NDArray[np.floating]
Places = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Settings:
    """`load` (studs,) to set each stud to in the pass [N], `kept` (studs,) after it [N], `capped` (studs,) held back.

    `run` holds the passes before, this pass, and the closing pass at 100 % when one was given.
    """

    load: Array
    kept: Array
    capped: NDArray[np.bool_]
    run: Run


def one_pass_settings(
    joint: Joint,
    target: float,
    moves: Moves,
    *,
    cap: float = 1.0,
    before: Sequence[Pass] = (),
    check: Moves = (),
    snug: float = SNUG,
    limits: Limits | None = None,
) -> Settings:
    """Loads to set in one pass over `moves` so that every stud keeps `target` [N] after it.

    `cap` is the highest momentary load of any stud as a share of the target; where it holds a stud back, the settings
    come as near as they can (least squares). Settings are lowered further when a stud rises above the cap with its
    neighbours, but not below 100 %. `before` are ordinary passes that go first (a pass at half load makes two),
    `check` the moves of the closing circular pass at 100 %.

    Raises InputError as `events.run`, `out_of_range` for a cap below 100 or above 200 %, `limits_needed` for a cap
    above 100 % without limits.

    >>> from calc.interaction.matrix import MatrixJoint
    >>> joint = MatrixJoint(np.eye(4) - 0.2 * (np.eye(4)[[1, 2, 3, 0]] + np.eye(4)[[3, 0, 1, 2]]))
    >>> found = one_pass_settings(
    ...     joint, 100e3, ((1,), (3,), (2,), (4,)), cap=2.0, limits=Limits(200e3, 1e9),
    ...     before=[Pass(0.5, ((1,), (3,), (2,), (4,)))], check=((1,), (2,), (3,), (4,)))
    Traceback (most recent call last):
    calc.findings.InputError: gasket_area_needed gasket_area {}
    """
    if not 1.0 <= cap <= 2.0:
        raise stop("out_of_range", "cap", value=cap, low=1.0, high=2.0)
    if cap > 1.0 and limits is None:
        raise stop("limits_needed", "cap", value=cap)
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
    if check:
        plan.append(Pass(1.0, tuple(tuple(move) for move in check), "circular"))
    found = events.run(joint, target, plan, snug=snug, limits=limits)
    return Settings(share * target, found.kept[len(before)], share >= ceiling * (1 - 1e-9), found)


def _search(
    joint: Joint, ready: Any, target: float, order: tuple[tuple[int, ...], ...], cap: float
) -> tuple[Array, float]:
    """Settings up to a cap that leave the loads nearest to the target, and the highest load on the way, as shares."""
    share: Array = np.ones(joint.studs)
    best, nearest, highest = share, np.inf, np.inf
    for _ in range(30):
        state = ready.copy()
        top, done = events.pull(joint, state, target, Pass(tuple(share.tolist()), order))
        missing = 1.0 - state.load / target
        if float(missing @ missing) < nearest:
            best, nearest, highest = share, float(missing @ missing), top / target
        if np.abs(missing).max() < 1e-12:
            break
        wanted = _step(_effect(done, state.load > 0), missing, share, cap)
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
