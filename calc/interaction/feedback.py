"""Measured loads fed back: what loads of some studs after a pass say of gasket and hub, and of the passes to come.

The closure of the gasket gets one factor; a hub that nobody stated is looked for too. Friction explains what is left:
each stud's factor is estimated with the weight that its assumed scatter and the error of the measurement give it (a
Gaussian estimate around the run, its prior the assumed ranges). Loads that neither explains are refused.
What lies ahead is told over all gaskets, hubs and frictions that explain the loads about as well as the best does.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calc.findings import stop
from calc.interaction import events
from calc.interaction import gasket as gaskets
from calc.interaction.dimensions import DEFAULTS, Dimensions
from calc.interaction.elastic import ElasticJoint
from calc.interaction.events import SNUG, EventRun, Pass
from calc.interaction.samples import Scatter, sample

Array = NDArray[np.floating]

FACTORS = tuple(float(x) for x in 2.0 ** np.arange(-2.0, 2.01, 0.5))
"""Factors on the closure of the gasket that are tried; between them the best is interpolated."""
HUBS = (0.0, 0.3, 0.5, 0.65, 0.85)
"""Hub over flange thickness that is tried where nobody stated it."""
WORST = 2.5
"""Root mean square of what is left over what scatter and error allow, beyond which nothing is explained."""
FEWEST = 3
"""Measured studs that a fit needs."""
LEAST = 0.05
"""Weight beside that of the best, below which a gasket and hub are left out of what lies ahead."""


@dataclass(frozen=True, eq=False)
class Way:
    """A gasket and hub that explain measured loads: `weight` beside the best of those tried [1], `dimensions`,
    `friction` (studs,) as in `Fit`, and `doubt`, the standard deviation that is left of it [1].
    """

    weight: float
    dimensions: Dimensions
    friction: Array
    doubt: float


@dataclass(frozen=True)
class Outlook:
    """Lowest kept load of the joint after the passes to come: `mean`, `low` (P5) and `high` (P95) [N]."""

    mean: float
    low: float
    high: float


@dataclass(frozen=True, eq=False)
class Fit:
    """What measured loads say of a joint.

    `factor` on the closure of the gasket; `hub` over flange thickness where it was fitted, NaN where it was stated;
    `friction` (studs,) factor on what each stud gets for its setting; `before` and `after` root mean square difference
    of the measured loads from the run without and with the fit (gasket and hub alone), as shares of the target;
    `left` what is left over what scatter and error allow [1]; `dimensions` fitted; `run` of the passes done with it;
    `ways` the others that explain the loads, the best first; `scatter` assumed of friction and wrench.
    """

    factor: float
    hub: float
    friction: Array
    before: float
    after: float
    left: float
    dimensions: Dimensions
    run: EventRun
    ways: tuple[Way, ...]
    scatter: Scatter


def fit(
    given: Dimensions,
    target: float,
    done: Sequence[Pass],
    measured: Mapping[int, float],
    *,
    error: float,
    stud_yield: float = math.inf,
    scatter: Scatter | None = None,
    snug: float = SNUG,
    break_away: float = 0.0,
) -> Fit:
    """Fit gasket, hub where not stated, and friction to loads measured after the passes done.

    `measured` load by stud from 1 [N], `error` of the measurement as a share (one standard deviation), `stud_yield` the
    load at which a stud yields [N].

    Raises InputError: `measured_few`, `measured_unknown` (no such stud), `measured_yield`, `out_of_range` (a load below
    0, an error outside 0.5 to 30 %), `measured_unexplained` when neither gasket nor hub nor friction explains the
    loads or the best factor lies at the end of what is tried; and as `events.run`.
    """
    scatter = scatter or Scatter()
    _check(given.studs, measured, error, stud_yield)
    at = np.array(sorted(measured), dtype=np.intp) - 1
    loads = np.array([measured[int(stud) + 1] for stud in at]) / target
    hubs: Sequence[float] = HUBS if given.shell_wall is None and given.hub_thickness is None else (math.nan,)
    prior = gaskets.kind(given.gasket).spread if isinstance(given.gasket, str) else 1.25
    wide = math.log(prior) / 1.645

    def tried(factor: float, hub: float) -> tuple[float, Way, EventRun, float]:
        dimensions = changed(given, factor, hub)
        run = events.run(ElasticJoint(dimensions), target, done, snug=snug, break_away=break_away)
        miss = loads - run.kept[-1][at] / target
        shift, cover, stays = _friction(run, at, error * np.maximum(loads, 0.2), scatter)
        solved = np.linalg.solve(cover, miss)
        cost = float(miss @ solved) + float(np.linalg.slogdet(cover)[1]) + (math.log(factor) / wide) ** 2
        unknown = np.diag(stays - shift @ np.linalg.solve(cover, shift.T))
        way = Way(1.0, dimensions, 1 + shift @ solved, math.sqrt(float(np.mean(np.maximum(unknown, 0.0)))))
        return cost, way, run, math.sqrt(float(miss @ solved) / at.size)

    grid = [[tried(factor, hub)[:2] for factor in FACTORS] for hub in hubs]
    costs = np.array([[cost for cost, _ in row] for row in grid])
    row, column = np.unravel_index(int(np.argmin(costs)), costs.shape)
    hub, factor = hubs[int(row)], _between(costs[int(row)], int(column))
    _, best, run, left = tried(factor, hub)
    plain = events.run(ElasticJoint(given), target, done, snug=snug, break_away=break_away)
    before, after = (float(np.sqrt(np.mean((loads - r.kept[-1][at] / target) ** 2))) for r in (plain, run))
    if left > WORST or int(column) in (0, len(FACTORS) - 1):
        raise stop("measured_unexplained", "measured", factor=factor, left=left, before=before, after=after)
    weighed = [replace(way, weight=math.exp((costs.min() - cost) / 2)) for line in grid for cost, way in line]
    ways = sorted((way for way in weighed if way.weight >= LEAST), key=lambda way: -way.weight)
    return Fit(factor, hub, best.friction, before, after, left, best.dimensions, run, tuple(ways), scatter)


def rest(
    found: Fit, done: Sequence[Pass], more: Sequence[Pass], *, snug: float = SNUG, break_away: float = 0.0
) -> EventRun:
    """The passes done and those to come on the fitted joint, every stud with its own friction.

    Refusals as `events.run`. The friction of a stud is taken to stay with it; what changes from pull to pull is in the
    scatter.
    """
    return _ahead(found.dimensions, found.friction, found.run.target, (*done, *more), snug, break_away)


def outlook(
    found: Fit, done: Sequence[Pass], more: Sequence[Pass], *, seed: int = 1, samples: int = 500, snug: float = SNUG,
    break_away: float = 0.0,
) -> Outlook:  # fmt: skip
    """Lowest kept load after the passes to come, over every way to explain what was measured, over what is left unknown
    of each stud's friction, and over the pulls to come. `samples` of each way; the same seed gives the same bits.

    Refusals as `events.run` and `samples.sample`.
    """
    lowest, weights = [], []
    for way in found.ways:
        run = _ahead(way.dimensions, way.friction, found.run.target, (*done, *more), snug, break_away)
        scatter = replace(found.scatter, stud=min(way.doubt, 0.6), joint=0.0, wrench_bias=0.0)
        many = sample(run, seed=seed, samples=samples, scatter=scatter, done=len(done))
        lowest.append(many.lowest[-1])
        weights.append(np.full(samples, way.weight))
    values, weight = np.concatenate(lowest), np.concatenate(weights)
    rising = np.argsort(values)
    share = np.cumsum(weight[rising]) / weight.sum()
    low, high = (float(values[rising][np.searchsorted(share, at)]) for at in (0.05, 0.95))
    return Outlook(float(np.average(values, weights=weight)), low, high)


def _ahead(
    dimensions: Dimensions, friction: Array, target: float, plan: Sequence[Pass], snug: float, break_away: float
) -> EventRun:
    """A run in which every stud has its own friction; settings above 100 % stand for one below the assumed."""
    plan = [
        replace(step, fraction=tuple((np.broadcast_to(step.fraction, friction.shape) * friction).tolist()))
        for step in plan
    ]
    high = events.Limits(1e30, 1e30)
    return events.run(ElasticJoint(dimensions), target, plan, snug=snug, limits=high, break_away=break_away)


def changed(given: Dimensions, factor: float, hub: float) -> Dimensions:
    """The dimensions with the gasket's closure times a factor, and a hub where `hub` (over thickness) is not NaN."""
    kind = gaskets.kind(given.gasket) if isinstance(given.gasket, str) else None
    law = given.law
    curve = tuple((closure * factor, stress) for closure, stress in law.curve)
    new = replace(
        given,
        gasket=replace(law, closure=law.closure * factor, curve=curve),
        relaxation=given.relaxation or (kind.relaxation if kind else None),
    )
    if math.isnan(hub):
        return new
    if hub == 0.0:
        return replace(new, shell_wall=0.0, hub_thickness=None, hub_length=None)
    nut = DEFAULTS["bearing_share"].value * float(given.thread.diameter)
    room = 0.98 * (given.bolt_circle - given.inside_diameter - nut) / 2
    return replace(new, hub_thickness=min(hub * given.thickness, room), shell_wall=None, hub_length=None)


def _friction(run: EventRun, at: NDArray[np.intp], error: Array, scatter: Scatter) -> tuple[Array, Array, Array]:
    """Gain from measured differences to friction (studs, measured) before division, their covariance, and that of the
    friction that stays with the studs, as shares.
    """
    studs = run.kept.shape[1]
    effect = np.zeros((studs, studs))
    for pulled, setting, columns in run.columns[-1]:
        wanted = np.zeros((pulled.size, studs))
        wanted[np.arange(pulled.size), pulled] = setting
        effect += columns @ np.linalg.solve(columns[pulled], wanted - effect[pulled])
    effect = (effect * (run.kept[-1] > 0)[:, np.newaxis])[at]
    stays = scatter.stud**2 * np.eye(studs) + (scatter.joint**2 + scatter.wrench_bias**2)
    goes = (scatter.shot**2 + scatter.wrench_repeat**2) * np.eye(studs)
    cover = effect @ (stays + goes) @ effect.T + np.diag(error**2) + MODEL_VARIANCE * np.eye(at.size)
    return stays @ effect.T, cover, stays


MODEL_VARIANCE = 0.02**2
"""Variance of the model's own error of one stud, as a share: half of its largest difference from bricks."""


def _between(costs: Array, column: int) -> float:
    """The factor at the lowest point of a parabola through the best and its neighbours."""
    if column in (0, costs.size - 1):
        return FACTORS[column]
    low, best, high = costs[column - 1 : column + 2]
    bend = low - 2 * best + high
    shift = 0.5 * (low - high) / bend if bend > 0 else 0.0
    return float(FACTORS[column] * 2.0 ** (0.5 * float(np.clip(shift, -0.5, 0.5))))


def _check(studs: int, measured: Mapping[int, float], error: float, stud_yield: float) -> None:
    if not 0.005 <= error <= 0.3:
        raise stop("out_of_range", "measuring_error", value=error, low=0.005, high=0.3)
    for stud, load in measured.items():
        if not 1 <= stud <= studs:
            raise stop("measured_unknown", "measured", stud=stud, studs=studs)
        if not 0 <= load < math.inf:
            raise stop("out_of_range", "measured", value=load, low=0.0, high=math.inf)
        if load > stud_yield:
            raise stop("measured_yield", "measured", stud=stud, value=load, high=stud_yield)
    if len(measured) < FEWEST:
        raise stop("measured_few", "measured", count=len(measured), low=FEWEST)
