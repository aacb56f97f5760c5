"""Scatter of friction and wrench on top of a plan: many joints at once, each with its own friction.

One run without scatter records the columns of interaction of every move; all samples follow it with them, so that a
move costs one small product over all samples. What a nut gets is the setting times factors for the joint, the stud,
the pull and the wrench, each lognormal with mean 1.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.findings import stop
from calc.interaction.dimensions import DEFAULTS
from calc.interaction.events import SNUG, EventRun, Joint, Limits, Pass, run, variation
from calc.interaction.matrix import nut_advance

Array = NDArray[np.floating]

_BLOCK = 500  # samples taken together: fits the processor's cache; each block has a seed of its own


@dataclass(frozen=True)
class Scatter:
    """Coefficients of variation of the factors on each setting. [1]"""

    stud: float = DEFAULTS["stud_scatter"].value
    shot: float = DEFAULTS["shot_scatter"].value
    joint: float = DEFAULTS["joint_scatter"].value
    wrench_bias: float = DEFAULTS["wrench_bias"].value
    wrench_repeat: float = DEFAULTS["wrench_repeat"].value

    def __post_init__(self) -> None:
        for name in ("stud", "shot", "joint", "wrench_bias", "wrench_repeat"):
            value = getattr(self, name)
            if not 0 <= value <= 0.6:
                raise stop("out_of_range", f"{name}_scatter", value=value, low=0.0, high=0.6)


@dataclass(frozen=True, eq=False)
class Samples:
    """`kept` (samples, studs) load at the end [N]; after each pass and sample (passes, samples) the rest.

    `mean`, `lowest` [N] and `variation` [1] of the kept load over the studs, `highest` load of any stud [N].
    """

    kept: Array
    mean: Array
    lowest: Array
    variation: Array
    highest: Array


@dataclass(frozen=True, eq=False)
class Residual:
    """Per stud: `kept` estimated load without scatter, `low` (P5) and `high` (P95) of the assumed scatter. [N]

    `lowest` P5 of the lowest stud of a joint, `highest` P95 of the highest load of any stud on the way [N]; `above` the
    share of joints in which a stud passes the limit on the way [1], NaN without limits.
    """

    kept: Array
    low: Array
    high: Array
    lowest: float
    highest: float
    above: float
    run: EventRun
    samples: Samples


def lognormal(variation_of: float, normal: Array) -> Array:
    """Factors with mean 1 and this coefficient of variation from standard normal numbers.

    >>> lognormal(0.1, np.array([0.0])).round(6)
    array([0.995037])
    """
    spread = np.sqrt(np.log1p(variation_of * variation_of))
    return np.exp(spread * normal - spread * spread / 2)


def sample(
    found: EventRun, *, seed: int, samples: int = 10_000, scatter: Scatter | None = None, done: int = 0
) -> Samples:
    """Kept loads with scatter, `samples` joints; the same seed gives the same bits on one machine. After so many passes
    `done`, whose loads are those of the run, only the passes to come scatter, and what is returned begins with them.

    The columns are those of the run without scatter: joints run one by one, every move solved anew, differ from this
    by 1.5 % of the target (root mean square) and by less than 1 % in the mean.

    Raises InputError `out_of_range` for fewer than 100 or more than a million samples.
    """
    if not 100 <= samples <= 1_000_000:
        raise stop("out_of_range", "samples", value=samples, low=100, high=1_000_000)
    scatter = scatter or Scatter()
    studs, passes = found.kept.shape[1], len(found.columns) - done
    kept = np.empty((samples, studs))
    course = np.empty((4, passes, samples))
    starts = range(0, samples, _BLOCK)
    for start, own in zip(starts, np.random.SeedSequence(seed).spawn(len(starts)), strict=True):
        block = slice(start, min(start + _BLOCK, samples))
        kept[block], course[:, :, block] = _block(found, np.random.default_rng(own), block.stop - start, scatter, done)
    return Samples(kept, *course)


def _block(
    found: EventRun, random: np.random.Generator, count: int, scatter: Scatter, done: int
) -> tuple[Array, Array]:
    studs = found.kept.shape[1]
    wide = _BLOCK  # a short last block draws as many numbers as a full one: more samples never change the first ones
    joint = lognormal(scatter.joint, random.standard_normal(wide))
    bias = lognormal(scatter.wrench_bias, random.standard_normal((4, wide)))
    stud = lognormal(scatter.stud, random.standard_normal((studs, wide))) * joint * found.target
    shot = float(np.sqrt((1 + scatter.shot**2) * (1 + scatter.wrench_repeat**2) - 1))  # product of two lognormals
    load = np.full((studs, wide), found.snug * found.target)
    if done:
        load[:] = found.kept[done - 1][:, np.newaxis]
    work, course = np.empty_like(load), np.empty((4, len(found.columns) - done, wide))
    for number, events in enumerate(found.columns[done:]):
        top = np.zeros(wide)
        for pulled, setting, columns in events:
            factor = lognormal(shot, random.standard_normal((pulled.size, wide)))
            wanted = setting[:, np.newaxis] * stud[pulled] * bias[np.arange(pulled.size) % 4] * factor
            if found.break_away:
                wanted[load[pulled] > (1 - found.break_away) * wanted] = 0.0
            turn = nut_advance(columns[pulled], wanted - load[pulled])
            for column, advance in zip(columns.T, turn, strict=True):
                np.multiply.outer(column, advance, out=work)
                load += work
            np.maximum(load, 0.0, out=load)
            np.maximum(top, load.max(axis=0), out=top)
        course[:, number] = load.mean(axis=0), load.min(axis=0), variation(load.T), top
    return (load * found.relaxed[:, np.newaxis]).T[:count], course[:, :, :count]


def residual_preload(
    joint: Joint,
    target: float,
    passes: Sequence[Pass],
    *,
    seed: int,
    samples: int = 10_000,
    scatter: Scatter | None = None,
    snug: float = SNUG,
    limits: Limits | None = None,
    break_away: float = 0.0,
) -> Residual:
    """Estimated kept load per stud after all passes, with P5 and P95 of the assumed scatter. [N]

    Arguments and refusals as `events.run` and `sample`.

    >>> from calc.interaction.matrix import MatrixJoint
    >>> joint = MatrixJoint(np.eye(4) - 0.2 * (np.eye(4)[[1, 2, 3, 0]] + np.eye(4)[[3, 0, 1, 2]]))
    >>> found = residual_preload(joint, 100e3, [Pass(1.0, ((1,), (3,), (2,), (4,)))] * 2, seed=1, samples=2000)
    >>> (found.kept / 1e3).round(1)
    array([ 93.6, 100. ,  93.6, 100. ])
    >>> bool((found.low < found.kept).all() and (found.kept < found.high).all())
    True
    """
    found = run(joint, target, passes, snug=snug, limits=limits, break_away=break_away)
    return residual(found, sample(found, seed=seed, samples=samples, scatter=scatter), limits)


def residual(found: EventRun, many: Samples, limits: Limits | None = None) -> Residual:
    """What samples of a run say of each stud and of the limits."""
    low, high = np.percentile(many.kept, [5, 95], axis=0)
    top = many.highest.max(axis=0)
    return Residual(
        kept=found.final,
        low=low,
        high=high,
        lowest=float(np.percentile(many.kept.min(axis=1), 5)),
        highest=float(np.percentile(top, 95)),
        above=float(np.mean(top > limits.stud_load)) if limits else np.nan,
        run=found,
        samples=many,
    )
