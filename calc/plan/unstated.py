"""Rows that state a torque and no friction: how far the torque may take the stud, by the range that friction has."""

import numpy as np
from numpy.typing import NDArray

from calc.findings import CAUTION
from calc.hardware import materials
from calc.hardware.threads import Thread, smallest_area
from calc.plan.joints import Floats
from calc.plan.resolve import Findings
from calc.preload.torque import preload_from_nut_factor

HIGH = 0.20
"""Nut factor of steel as received, hardly lubricated: a torque past yield even there stops. Judgement, no source."""

LOW = 0.12
"""Nut factor of a well lubricated stud: a torque near yield there is a caution. Judgement, no source."""

NEAR = 0.9
"""Share of the minimum yield that is near it."""


def judge(torque: Floats, thread: Thread, yield_strength: Floats, rows: NDArray[np.bool_], found: Findings) -> Floats:
    """Stops and cautions of rows whose torque [N·m] has no friction; the nut factor at which it reaches 90 % of yield.

    Tension alone, on the smallest section, minimum yield [Pa]. Where the grade is not stated, only a torque that
    takes the strongest stud known here past its yield stops.
    """
    with np.errstate(invalid="ignore"):
        area = np.asarray(smallest_area(thread))
        stress = np.asarray(preload_from_nut_factor(torque, thread, 1.0)) / area
        reaches = stress / (NEAR * yield_strength)
        past = rows & (stress / HIGH > yield_strength)
        near = rows & ~past & (stress / LOW > NEAR * yield_strength)
        strongest = materials.highest_yield()
        absurd = rows & np.isnan(yield_strength) & (stress / HIGH > strongest)
    found.each(past, "torque_past_yield", "torque", value=torque, factor=HIGH, share=stress / HIGH / yield_strength,
               yield_strength=yield_strength)  # fmt: skip
    found.each(absurd, "torque_past_any_yield", "torque", value=torque, factor=HIGH, stress=stress / HIGH,
               yield_strength=strongest)  # fmt: skip
    found.each(near, "torque_near_yield", "torque", CAUTION, value=torque, factor=reaches)
    return np.where(rows & ~past & ~near, reaches, np.nan)
