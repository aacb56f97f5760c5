"""Band of a kept load: how far it moves when what was assumed of gasket and hub is at the ends of its range.

The base and two runs for each: gasket stiffer and softer, hub none and thick. The moves up and the moves down are put
together as independent ones (root of the sum of squares), with the model's own error. Apart from this stands the
scatter of friction (`samples`). What is stated is not varied, so that an input narrows the band.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.interaction import events
from calc.interaction.dimensions import Dimensions, ends
from calc.interaction.elastic import ElasticJoint
from calc.interaction.events import SNUG, EventRun, Limits, Pass

Array = NDArray[np.floating]

MODEL_ERROR = 0.04
"""Largest difference of the lowest kept load from three-dimensional bricks, 8 to 24 studs, share of the target."""


@dataclass(frozen=True, eq=False)
class Band:
    """Low and high end of what a run says, each shape (2, ...): [N]

    `mean` and `lowest` (2, passes) of the kept load after each pass, `kept` (2, passes, studs), `final` (2, studs)
    relaxed. `parts` names what was varied, with the lowest load after the last pass at both of its ends [N].
    """

    mean: Array
    lowest: Array
    kept: Array
    final: Array
    parts: dict[str, tuple[float, float]]


def band(
    given: Dimensions,
    base: EventRun,
    passes: Sequence[Pass],
    *,
    snug: float = SNUG,
    limits: Limits | None = None,
    break_away: float = 0.0,
) -> Band:
    """Band of a run of these passes on the joint of these dimensions, four more runs at most.

    `given` as it was stated, blanks included; `base` the run with what was assumed. Refusals as `events.run`.
    """
    runs = {
        name: [
            events.run(ElasticJoint(one), base.target, passes, snug=snug, limits=limits, break_away=break_away)
            for one in pair
        ]
        for name, pair in ends(given).items()
    }

    def around(of: str) -> Array:
        def value(run: EventRun) -> Array:
            found: Array = run.final if of == "final" else run.kept
            return {"mean": found.mean(axis=-1), "lowest": found.min(axis=-1)}.get(of, found)

        middle = value(base)
        down, up = (np.full(middle.shape, (MODEL_ERROR * base.target) ** 2) for _ in range(2))
        for pair in runs.values():
            moves = np.array([value(run) - middle for run in pair])
            down = down + np.minimum(moves, 0.0).min(axis=0) ** 2
            up = up + np.maximum(moves, 0.0).max(axis=0) ** 2
        return np.stack([np.maximum(middle - np.sqrt(down), 0.0), middle + np.sqrt(up)])

    parts = {name: _ends(*(float(run.kept[-1].min()) for run in pair)) for name, pair in runs.items()}
    return Band(around("mean"), around("lowest"), around("kept"), around("final"), parts)


def _ends(one: float, other: float) -> tuple[float, float]:
    return min(one, other), max(one, other)
