"""Breaking out: the torque an old nut may need, whether the wrench has it, and what the stud can take in torsion.

The torque to expect is the make-up torque times a factor that somebody states; there is no default. A wrench that
stalls at its rating is too small: a larger one, never more pressure. A stud at its limit has no larger wrench.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.hardware.threads import Numbers, Thread, smallest_area, smallest_diameter
from calc.quantities import settle
from calc.wrench.calibration import Curve, Marks, Setting, setting

WITHIN = "within the rating"
LARGER = "larger wrench"
OTHER = "other means"
UNKNOWN_STUD = "within the rating, stud not checked"
UNKNOWN_LARGER = "larger wrench, stud not checked"


def torsional_limit(
    thread: Thread, yield_strength: Numbers, *, preload: Numbers = 0.0, reserve: Numbers = 1.0
) -> Numbers:
    """Torque at which a stud that is kept begins to yield, all of it twisting the stud as with a seized thread. [N·m]

    τ = √((r Re)² - σ²)/√3 at the surface of the smallest section, T = τ π d³/16; σ from the preload still in the stud
    [N], `reserve` r the fraction of yield allowed. NaN where the tension alone is beyond it.

    >>> from calc.hardware.threads import parse
    >>> round(torsional_limit(parse("1 1/2-8"), 723.95e6))
    3521
    """
    sigma = np.asarray(preload) / smallest_area(thread)
    left = np.square(reserve * np.asarray(yield_strength)) - np.square(sigma)
    d = smallest_diameter(thread)
    limit = np.sqrt(np.where(left >= 0, left, np.nan) / 3) * math.pi * d * d * d / 16
    return float(limit) if limit.ndim == 0 else limit


def seized_limit(
    thread: Thread, yield_strength: Numbers, *, preload: Numbers, nut_friction: Numbers, bearing_diameter: Numbers
) -> Numbers:
    """Torque on the nut at which a stud still tight begins to yield when its thread is seized. [N·m]

    The nut's face takes μb F De/2 of the torque at the make-up preload F [N], with the lowest nut friction that is
    stated; every bit of the excess goes through the thread and twists the stud beside that preload
    (`torsional_limit`). Where preload or friction is not known, and where the tension alone is beyond yield, all the
    torque is taken to twist the stud, without tension. Common practice, no source; by formula.

    >>> from calc.hardware.threads import parse
    >>> thread, load = parse("1 1/2-8"), 312544.0  # 50 ksi on the root area
    >>> round(seized_limit(thread, 723.95e6, preload=load, nut_friction=0.16, bearing_diameter=0.0508) / 1.3558179)
    3258
    """
    twist = np.asarray(torsional_limit(thread, yield_strength, preload=preload))
    limit = twist + np.asarray(nut_friction) * np.asarray(preload) * np.asarray(bearing_diameter) / 2
    chosen = np.where(np.isnan(limit), np.asarray(torsional_limit(thread, yield_strength)), limit)
    return float(chosen) if chosen.ndim == 0 else chosen


@dataclass(frozen=True, eq=False)
class BreakoutCheck:
    """Torque to expect, what the wrench has at its rating, the stud's limit [N·m], and what follows.

    `stud` is NaN when the stud was not checked (its thread or grade is not known), infinite when it is sacrificial.
    `follows` is one of `WITHIN`, `LARGER`, `OTHER`, `UNKNOWN_STUD`, `UNKNOWN_LARGER`; "" where a torque is not known.
    `usable` is the torque never to go beyond before the nut turns: the smaller of wrench and stud; `by_stud` where the
    stud is the smaller. `once_turned` the same once the nut has turned, never more than `usable`.
    """

    expected: NDArray[np.float64]
    available: NDArray[np.float64]
    stud: NDArray[np.float64]
    usable: NDArray[np.float64]
    once_turned: NDArray[np.float64]
    by_stud: NDArray[np.bool_]
    follows: NDArray[np.str_]


def check(
    torque: ArrayLike, factor: ArrayLike, available: ArrayLike, stud: ArrayLike = np.nan, turned: ArrayLike = np.nan
) -> BreakoutCheck:
    """What a make-up torque [N·m] times a stated factor asks of wrench and stud.

    `available`: torque at the wrench's rating, with its link; `stud`: `seized_limit`, infinite for a sacrificial
    stud, NaN when not known; `turned`: `torsional_limit` of the stud without preload, `stud` unless given.

    Beyond the stud's limit: other means (penetrant, heat where allowed, splitting or cutting the nut), or the stud is
    declared sacrificial. Within it but beyond the wrench: a larger wrench.

    >>> found = check(2000.0, 1.5, 2800.0, 3521.0)
    >>> float(found.expected), str(found.follows), float(found.usable)
    (3000.0, 'larger wrench', 2800.0)
    """
    have, limit, times, made, free = np.broadcast_arrays(
        *(np.asarray(value, dtype=float) for value in (available, stud, factor, torque, turned))
    )
    expected = settle(made * times)
    unknown = np.isnan(limit)
    follows = np.where(
        expected > limit,
        OTHER,
        np.where(
            expected > have,
            np.where(unknown, UNKNOWN_LARGER, LARGER),
            np.where(unknown, UNKNOWN_STUD, WITHIN),
        ),
    )
    follows = np.where(np.isnan(expected) | np.isnan(have), "", follows)
    usable = np.where(unknown, have, np.minimum(have, limit))
    once_turned = np.where(np.isnan(free), usable, np.minimum(usable, free))
    return BreakoutCheck(expected, have, limit, usable, once_turned, np.asarray(limit < have), follows)


def staged(curve: Curve, top: float, count: int = 4) -> NDArray[np.float64]:
    """Torques to try one after the other, from the lowest certified point evenly up to `top` [N·m]; `top` is the last.

    `top`: the torque to expect, or `BreakoutCheck.usable` where that is less. Empty when `top` lies below the lowest
    certified point; the last is the curve's end where `top` lies above it.

    >>> from calc.wrench.calibration import curve
    >>> staged(curve([100e5, 700e5], [1000.0, 7000.0]), 4000.0).tolist()
    [1000.0, 2000.0, 3000.0, 4000.0]
    """
    low, high = float(curve.torque[0]), min(float(top), float(curve.torque[-1]))
    if not high >= low:
        return np.empty(0)
    return np.unique(np.clip(settle(np.linspace(low, high, count)), low, high))  # settled, but never off the table


def staged_settings(
    curve: Curve, top: float, marks: Marks, *, count: int = 4, ceiling: float = np.inf, usable: float | None = None
) -> Setting:
    """The same on the gauge's marks, rounded down; the last up, to give `top`, where that mark is within `usable`.

    `usable`: torque never to go beyond [N·m], `top` itself unless given. `ceiling`: lowest rating of wrench, hose, pump
    and gauge [Pa]. NaN where no mark serves.

    >>> from calc.wrench.calibration import Marks, curve
    >>> table = curve([100e5, 700e5], [1000.0, 7000.0])
    >>> staged_settings(table, 4000.0, Marks(10.0, 1e5)).pressure.tolist()
    [10000000.0, 20000000.0, 30000000.0, 40000000.0]
    >>> staged_settings(table, 4050.0, Marks(10.0, 1e5), usable=5000.0).pressure.tolist()
    [10000000.0, 20000000.0, 30000000.0, 41000000.0]
    """
    torques = staged(curve, top, count)
    down = setting(curve, torques, marks, rounding="down", ceiling=ceiling)
    up = setting(curve, torques, marks, rounding="up", ceiling=ceiling)
    last = np.arange(torques.size) == torques.size - 1
    take = last & (up.torque <= (top if usable is None else usable))
    pairs = ((down.count, up.count), (down.pressure, up.pressure), (down.torque, up.torque),
             (down.difference, up.difference))  # fmt: skip
    return Setting(*(np.where(take, higher, lower) for lower, higher in pairs))
