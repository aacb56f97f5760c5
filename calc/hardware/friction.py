"""Friction: nut factor and coefficients, the way between them, and published ranges for judging a given value."""

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from calc.findings import stop
from calc.hardware.threads import Numbers, Thread, pitch_diameter
from calc.quantities import INCH
from calc.tables import load

COS30 = math.cos(math.pi / 6)


@dataclass(frozen=True)
class Survey:
    """A published range of one friction quantity ("K" or "mu"), with its source; ends may be missing."""

    condition: str
    quantity: str
    low: float | None
    mean: float | None
    high: float | None
    source: str
    basis: str


@cache
def surveys() -> tuple[Survey, ...]:
    """The published ranges, for judging scatter and for a warning, never for a target."""
    return tuple(Survey(**row) for row in load("friction_survey").rows)


def survey(condition: str) -> Survey:
    """The published range for a surface or lubricant condition, by its words.

    Raises InputError `condition_unknown`.

    >>> survey("moly paste or grease").mean
    0.13
    """
    for row in surveys():
        if row.condition.lower() == " ".join(condition.lower().split()):
            return row
    raise stop("condition_unknown", "condition", text=condition, known=tuple(row.condition for row in surveys()))


@cache
def survey_range() -> tuple[float, float]:
    """Lowest and highest nut factor in any published range: outside it a given factor deserves a warning.

    >>> survey_range()
    (0.075, 0.53)
    """
    ends = [end for row in surveys() if row.quantity.startswith("K") for end in (row.low, row.high) if end is not None]
    return min(ends), max(ends)


def hole_diameter(thread: Thread) -> Numbers:
    """Hole for a stud: D + 1/8 in for inch flange studs (ASME B16.5), D + 3 mm for metric ones. [m]

    The metric allowance is the medium series of ISO 273 from M27 to M39, up to 2.5 mm more than it on smaller studs
    and 1 to 6 mm less on larger ones (above M39 from memory). It enters only the mean friction diameter under the nut,
    where 1 mm is 0.3 to 1 per cent of torque.

    >>> from calc.hardware.threads import parse
    >>> hole_diameter(parse("1 1/2-8")) / 0.0254
    1.625
    """
    chosen = thread.diameter + np.where(thread.metric, 3e-3, 0.125 * INCH)
    return float(chosen) if np.ndim(chosen) == 0 else chosen


def bearing_diameter(thread: Thread, across_flats: Numbers) -> Numbers:
    """Mean friction diameter under the nut: the mean of its flats and its hole (PCC-1 form). [m]

    >>> from calc.hardware.threads import parse
    >>> bearing_diameter(parse("1 1/2-8"), 2.375 * 0.0254) / 0.0254
    2.0
    """
    return (across_flats + hole_diameter(thread)) / 2


def coefficient_from_nut_factor(nut_factor: Numbers, thread: Thread, bearing: Numbers) -> NDArray[np.float64]:
    """Friction coefficient, the same in thread and under nut, that gives a nut factor in the exact long form.

    Solves K D = d2/2 (s + μ/cos 30°)/(1 - s μ/cos 30°) + μ De/2, s = P/(π d2), for its smaller root. Negative when the
    nut factor is less than the thread's slope alone accounts for; the caller must refuse that.

    >>> from calc.hardware.threads import parse
    >>> round(float(coefficient_from_nut_factor(0.17128, parse("1 1/2-8"), 2.0 * 0.0254)), 4)
    0.13
    """
    d2 = pitch_diameter(thread)
    lever, slope = nut_factor * thread.diameter, thread.pitch / (math.pi * d2)
    a = bearing / 2 * slope / COS30
    b = bearing / 2 + (lever * slope + d2 / 2) / COS30
    c = lever - d2 / 2 * slope
    return np.asarray(2 * c / (b + np.sqrt(b * b - 4 * a * c)))
