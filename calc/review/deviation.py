"""How far the final torques of many joints lie from what was planned."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Deviation:
    """Deviations of torque as shares of the planned one: how many, mean, standard deviation of the sample, least, most,
    and how many lie outside the tolerance.
    """

    count: int
    mean: float
    spread: float
    low: float
    high: float
    outside: int


def deviation(shares: Sequence[float], tolerance: float) -> Deviation | None:
    """Statistics of shares, None for none; one share has no spread (0).

    >>> deviation([0.01, -0.01, 0.04], 0.03).outside, round(deviation([0.01, -0.01], 0.03).spread, 6)
    (1, 0.014142)
    """
    if not len(shares):
        return None
    s = np.asarray(shares, dtype=float)
    spread = float(s.std(ddof=1)) if s.size > 1 else 0.0
    outside = int((np.abs(s) > tolerance * (1 + 1e-9)).sum())
    return Deviation(int(s.size), float(s.mean()), spread, float(s.min()), float(s.max()), outside)
