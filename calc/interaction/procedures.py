"""Procedures side by side on one joint: what each leaves, what it costs in moves, how uneven it closes the gasket."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calc.interaction import events
from calc.interaction.band import band
from calc.interaction.dimensions import Dimensions
from calc.interaction.events import SNUG, Joint, Limits, Moves, Pass
from calc.interaction.plans import CROSS_ORDER, as_moves, from_stages
from calc.interaction.samples import Scatter, sample
from calc.procedure import passes

RAISE = 1.1
"""Share of the target in the last cross pass of a raised variant; needs limits of stud and gasket."""
SAMPLES = 2000


@dataclass(frozen=True)
class Procedure:
    """A name to show, wrenches at once, and the passes after alignment."""

    name: str
    at_once: int
    passes: tuple[Pass, ...]


@dataclass(frozen=True, eq=False)
class Outcome:
    """What a procedure does, loads as shares of the target.

    `moves`; `mean` and `lowest` kept load before the gasket relaxes, `low` and `high` end of its model band (NaN for a
    joint from a table), `p5` of the lowest stud with scatter, `highest` load of any stud on the way, `uneven` largest
    difference of the gasket's closure [m], `beyond` the limits it passes.
    """

    procedure: Procedure
    moves: int
    mean: float
    lowest: float
    low: float
    high: float
    p5: float
    highest: float
    uneven: float
    beyond: tuple[str, ...]


def usual(cross: Moves, circular: Moves, at_once: int, *, raised: bool) -> list[Procedure]:
    """The published schemes that take the joint's order; the first of them also with a stage left out and, where asked
    for, with a raised pass.

    >>> for each in usual(((1,), (3,), (2,), (4,)), ((1,), (2,), (3,), (4,)), 1, raised=True)[-2:]:
    ...     print(each.name, [step.fraction for step in each.passes])
    PCC-1 legacy without the stage at 60 % [0.3, 1.0, 1.0, 1.0]
    PCC-1 legacy, last cross pass at 110 % [0.3, 0.6, 1.1, 1.0, 1.0]
    """
    names = [name for name in passes.schemes() if not passes.own_order(passes.scheme(name))]
    found = [Procedure(name, at_once, from_stages(passes.scheme(name), cross, circular)) for name in names]
    first = found[0].passes
    across = [step for step in first if step.pattern == CROSS_ORDER]
    out = across[-2]
    share = f"{100 * float(np.max(out.fraction)):.0f} %"
    shorter = tuple(step for step in first if step is not out)
    found.append(Procedure(f"{names[0]} without the stage at {share}", at_once, shorter))
    if raised:
        top = Pass(RAISE, as_moves(cross), CROSS_ORDER)
        plan = tuple(top if step is across[-1] else step for step in first)
        found.append(Procedure(f"{names[0]}, last cross pass at {100 * RAISE:.0f} %", at_once, plan))
    return found


def compare(
    joint: Joint,
    target: float,
    procedures: Sequence[Procedure],
    *,
    stated: Dimensions | None = None,
    limits: Limits | None = None,
    snug: float = SNUG,
    break_away: float = 0.0,
    seed: int = 1,
    scatter: Scatter | None = None,
) -> tuple[Outcome, ...]:
    """Every procedure on the same joint, in the order given; with `stated` dimensions also its model band.

    Arguments and refusals as `events.run`.

    >>> from calc.interaction.matrix import MatrixJoint
    >>> joint = MatrixJoint(np.eye(4) - 0.2 * (np.eye(4)[[1, 2, 3, 0]] + np.eye(4)[[3, 0, 1, 2]]))
    >>> once = Procedure("once round", 1, (Pass(1.0, ((1,), (2,), (3,), (4,)), "circular"),))
    >>> found, = compare(joint, 1e5, [once])
    >>> found.moves, round(found.mean, 2), round(found.lowest, 2)
    (4, 0.8, 0.6)
    """
    found = []
    for each in procedures:
        run = events.run(joint, target, each.passes, snug=snug, limits=limits, break_away=break_away)
        many = sample(run, seed=seed, samples=SAMPLES, scatter=scatter)
        low = high = np.nan
        if stated is not None:
            around = band(stated, run, each.passes, snug=snug, limits=limits, break_away=break_away)
            low, high = (float(end[-1]) / target for end in around.lowest)
        kept = run.kept[-1] / target
        found.append(
            Outcome(
                procedure=each,
                moves=int(run.moves[-1]),
                mean=float(kept.mean()),
                lowest=float(kept.min()),
                low=low,
                high=high,
                p5=float(np.percentile(many.lowest[-1], 5)) / target,
                highest=float(run.highest.max()) / target,
                uneven=float(np.max(run.uneven)),
                beyond=run.beyond,
            )
        )
    return tuple(found)
