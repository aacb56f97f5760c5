"""A calibration table against what is stated of its wrench: rated pressure and torque, stroke and oil, limits of links.

A table in a wrong unit, or that of another wrench, is as smooth as the right one; only a second statement shows it. The
limits are judgement, tried on invented tables, and common practice, no source; the work of a stroke is physics.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from calc.findings import CAUTION, STOP, Finding
from calc.wrench.calibration import Floats

LAST_PRESSURE = (0.5, 1.02)
"""Usual last pressure of a table over the rated pressure; 700 bar is 10,153 psi."""
LAST_PRESSURE_STOP = (0.2, 1.5)
RATED_TORQUE, RATED_TORQUE_STOP = 0.08, 0.18
"""How far the torque at the rated pressure may lie from the rated torque."""
WORK, WORK_STOP = 1.0, 1.15
"""Work of a stroke at the nut over that of its oil: above 1 it cannot be, but angles and volumes are stated round."""
WORK_LOW = 0.4
"""The same below: a wrench loses little, but the oil may be stated with that of its return."""
LINKS = (0.76, 1.3)
"""Torque at the rated pressure over the highest limit of the links: links of 0.8 and of 1.25 times are common, two
units of torque lie further apart."""
HOLDS = 0.02
"""How near torque at the rated pressure over the highest limit of the links lies to a factor that the table holds."""
UNITS = (0.7376, 1.3558, 0.1020, 9.807, 0.1383, 7.233)
"""Factors between the units of torque in use: lbf·ft, N·m, kgf·m. By formula."""


@dataclass(frozen=True)
class Stated:
    """What is stated of a wrench apart from its table, NaN where it is not: pressure [Pa], torque [N·m] of the table,
    angle of a stroke [rad], its oil [m³]; `link_limits` the torque limits of the links over their factors [N·m];
    `factors` the torque factors of the links.
    """

    rated_pressure: float = math.nan
    rated_torque: float = math.nan
    stroke_angle: float = math.nan
    oil_per_stroke: float = math.nan
    link_limits: tuple[float, ...] = ()
    factors: tuple[float, ...] = ()


def against_stated(pressure: ArrayLike, torque: ArrayLike, stated: Stated) -> list[Finding]:
    """What does not agree between a rising table [Pa], [N·m] and what is stated; `row` counts from 0.

    Codes: `table_rated_pressure`, `table_rated_torque`, `table_work`, `table_links`, `table_factor_of_all`,
    `table_holds_factor`.

    >>> s = Stated(rated_pressure=700e5, rated_torque=5700.0)
    >>> against_stated([100e5, 400e5, 700e5], [800.0, 3250.0, 5690.0], s)
    []
    >>> [f.code for f in against_stated([100e5, 400e5, 700e5], [590.0, 2397.0, 4197.0], s)]
    ['table_rated_torque']
    """
    p, t = np.asarray(pressure, dtype=float), np.asarray(torque, dtype=float)
    if p.size < 2:
        return []
    found = []
    last = p.size - 1
    share = p[-1] / stated.rated_pressure
    if _outside(share, LAST_PRESSURE):
        facts = {"pressure": float(p[-1]), "rated": stated.rated_pressure, "share": float(share)}
        level = STOP if _outside(share, LAST_PRESSURE_STOP) else CAUTION
        found.append(Finding("table_rated_pressure", "table", facts, level, last))
        if level == STOP:
            return found  # with a wrong unit of pressure nothing else compares
    at_rating = torque_at_rating(p, t, stated.rated_pressure)
    ratio = at_rating / stated.rated_torque
    if _outside(ratio, (1 - RATED_TORQUE, 1 + RATED_TORQUE)):
        level = STOP if _outside(ratio, (1 - RATED_TORQUE_STOP, 1 + RATED_TORQUE_STOP)) else CAUTION
        facts = {"torque": at_rating, "rated": stated.rated_torque, "share": ratio - 1, "units": between_units(ratio)}
        found.append(Finding("table_rated_torque", "table", facts, level, last))
    work = float(t[-1] * stated.stroke_angle / (p[-1] * stated.oil_per_stroke))
    if _outside(work, (WORK_LOW, WORK)):
        level = STOP if work > WORK_STOP else CAUTION
        code = "table_work" if work > WORK else "table_work_low"
        found.append(Finding(code, "table", {"share": work, "torque": float(t[-1])}, level, last))
    limits = [limit for limit in stated.link_limits if math.isfinite(limit)]
    if limits and math.isnan(stated.rated_torque) and _outside(at_rating / max(limits), LINKS):
        facts = {"torque": at_rating, "limit": max(limits), "units": between_units(at_rating / max(limits))}
        found.append(Finding("table_links", "table", facts, CAUTION, last))
    doubled = set(stated.factors) - {1.0}
    if doubled and len(stated.factors) > 1 and 1.0 not in stated.factors and len(doubled) == 1:
        found.append(Finding("table_factor_of_all", "table", {"factor": doubled.pop()}, CAUTION, last))
    elif limits and (held := [f for f in sorted(doubled) if _holds(at_rating / max(limits), f)]):
        facts = {"torque": at_rating, "limit": max(limits), "factor": held[0]}
        found.append(Finding("table_holds_factor", "table", facts, CAUTION, last))
    return found


def _holds(ratio: float, factor: float) -> bool:
    """Whether a torque is as much above a limit as a factor says: the table may have been measured with the adapter."""
    return factor > 1 + 2 * HOLDS and abs(ratio / factor - 1) < HOLDS


def torque_at_rating(pressure: Floats, torque: Floats, rated: float) -> float:
    """Torque at the rated pressure, for a comparison only: on the line through half and all of the table, or the last
    torque where no rating is stated. [N·m]

    >>> p, t = np.array([100e5, 200e5, 300e5, 400e5]), np.array([100.0, 300.0, 400.0, 500.0])
    >>> torque_at_rating(p, t, 500e5), torque_at_rating(p, t, math.nan)
    (600.0, 500.0)
    """
    if math.isnan(rated):
        return float(torque[-1])
    half = int(np.searchsorted(pressure, pressure[-1] / 2, side="right")) - 1
    half = min(max(half, 0), pressure.size - 2)
    slope = (torque[-1] - torque[half]) / (pressure[-1] - pressure[half])
    return float(torque[-1] + slope * (rated - pressure[-1]))


def _outside(value: float, limits: tuple[float, float]) -> bool:
    """NaN is not outside: what is not stated says nothing."""
    return value < limits[0] or value > limits[1]


def between_units(ratio: float) -> bool:
    """Whether a ratio is near one between two units of torque.

    >>> between_units(0.75), between_units(1.2)
    (True, False)
    """
    return any(abs(ratio / factor - 1) < 0.08 for factor in UNITS)


def alike(a: tuple[Floats, Floats], b: tuple[Floats, Floats]) -> bool:
    """Whether two tables are the same figures; a certificate belongs to one wrench.

    >>> x = np.array([100e5, 200e5, 300e5]), np.array([811.0, 1624.0, 2437.0])
    >>> alike(x, x), alike(x, (x[0], x[1] * 1.001))
    (True, False)
    """
    return all(one.shape == two.shape and np.allclose(one, two, rtol=1e-6) for one, two in zip(a, b, strict=True))


def drift(old: tuple[Floats, Floats], new: tuple[Floats, Floats]) -> float:
    """The largest change of torque from one table to the next over the pressures both cover, as a signed share; NaN
    where they cover none together.

    >>> p = np.array([100e5, 300e5])
    >>> round(drift((p, np.array([800.0, 2400.0])), (p, np.array([824.0, 2412.0]))), 6)
    0.03
    """
    low, high = max(old[0][0], new[0][0]), min(old[0][-1], new[0][-1])
    at: Sequence[float] = [p for p in np.union1d(old[0], new[0]) if low <= p <= high]
    if not at:
        return math.nan
    change = np.interp(at, *new) / np.interp(at, *old) - 1
    return float(change[np.argmax(np.abs(change))])
