"""A wrench's calibration as a rising curve: torque to pressure and back, odd points, settings on the gauge's marks.

Between two rows of the table the curve is a straight line; beyond its ends there is no value (NaN), never an
extrapolation.
"""

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.findings import STOP, Finding, InputError
from calc.quantities import settle

Floats = NDArray[np.float64]

ROUNDINGS = ("nearest", "down", "up")
"""Directions in which a pressure is brought to a mark of the gauge."""

TOLERANCE = 0.03
"""Share by which a mark may miss the full torque where nothing else is said. Common practice, no source."""

_LAST_BITS = 1e-12
_WHOLE = 2.0**52
"""From here on every float is a whole number."""


@dataclass(frozen=True, eq=False)
class Curve:
    """Pressure [Pa] and torque [N·m] of one wrench, both strictly rising; made by `curve`."""

    pressure: Floats
    torque: Floats

    def scaled(self, factor: float) -> "Curve":
        """The curve with a link or adapter that multiplies the torque."""
        return self if factor == 1.0 else Curve(self.pressure, self.torque * factor)


def findings(pressure: ArrayLike, torque: ArrayLike) -> list[Finding]:
    """Why a table is no curve, in the order of its rows; `row` counts from 0. What looks odd in one: `slips`.

    Stops: fewer than two points, not rising, duplicate.

    >>> [f.code for f in findings([100e5, 200e5, 200e5], [800.0, 1650.0, 1650.0])]
    ['table_duplicate']
    """
    p, t = np.asarray(pressure, dtype=float), np.asarray(torque, dtype=float)
    if p.size < 2:
        return [Finding("table_too_short", "table", {"count": int(p.size)})]
    found = []
    for i in range(1, p.size):
        facts = {"pressure": p[i], "torque": t[i], "pressure_before": p[i - 1], "torque_before": t[i - 1]}
        if p[i] == p[i - 1]:
            found.append(Finding("table_duplicate", "table", facts, row=i))
        elif p[i] < p[i - 1] or t[i] <= t[i - 1]:
            found.append(Finding("table_not_rising", "table", facts, row=i))
    return found


def curve(pressure: ArrayLike, torque: ArrayLike) -> Curve:
    """A table's columns [Pa], [N·m] as a curve.

    Raises InputError with the first stop of `findings`.

    >>> c = curve([100e5, 200e5, 300e5], [800.0, 1650.0, 2500.0])
    >>> float(torque_at(c, 150e5)), float(pressure_for(c, 1225.0)), float(torque_at(c, 301e5))
    (1225.0, 15000000.0, nan)
    """
    for finding in findings(pressure, torque):
        if finding.level == STOP:
            raise InputError(finding)
    p, t = np.array(pressure, dtype=float), np.array(torque, dtype=float)
    p.flags.writeable = t.flags.writeable = False
    return Curve(p, t)


def on_end(value: ArrayLike, rising: Floats) -> Floats:
    """Values of which one that lies beyond an end of a rising column by the last bits only is that end.

    A torque worked out in two ways may differ there in its last bits; it is no torque beyond the table. Values within
    the table stay as they are: the line leads to its end.

    >>> on_end([2500.0000000000005, 2500.01], np.array([800.0, 2500.0])).tolist()
    [2500.0, 2500.01]
    """
    at = np.asarray(value, dtype=float)
    if at.size == 1:
        return np.array(_on_end(at.item(), float(rising[0]), float(rising[-1]))).reshape(at.shape)
    first, last = rising[0], rising[-1]
    at = np.where((at < first) & (first - at <= _LAST_BITS * abs(first)), first, at)
    return np.where((at > last) & (at - last <= _LAST_BITS * abs(last)), last, at)


def above(value: ArrayLike, limit: ArrayLike) -> NDArray[np.bool_]:
    """Which values are above a limit by more than the last bits, in which two ways to work out one number may differ.

    >>> above([2500.0000000000005, 2500.01], 2500.0).tolist()
    [False, True]
    """
    return np.asarray(np.asarray(value, dtype=float) > np.asarray(limit, dtype=float) * (1 + _LAST_BITS))


def _on_end(x: float, first: float, last: float) -> float:
    """`on_end` of one value."""
    if x < first:
        return first if first - x <= _LAST_BITS * abs(first) else x
    return last if x > last and x - last <= _LAST_BITS * abs(last) else x


def _line(x: ArrayLike, xs: Floats, ys: Floats) -> Floats:
    """Straight line between the points of a rising table; NaN beyond its ends, exact at its points."""
    at = np.asarray(x, dtype=float)
    if at.size == 1:
        return np.array(_point(at.item(), xs.tolist(), ys.tolist())).reshape(at.shape)
    at = on_end(at, xs)
    i = np.clip(np.searchsorted(xs, at, side="right") - 1, 0, xs.size - 2)
    y = ys[i] + (ys[i + 1] - ys[i]) * (at - xs[i]) / (xs[i + 1] - xs[i])
    y = np.where(at == xs[-1], ys[-1], y)
    return np.where((at >= xs[0]) & (at <= xs[-1]), y, np.nan)


def _point(x: float, xs: list[float], ys: list[float]) -> float:
    """`_line` at one point, to the same bits."""
    x = _on_end(x, xs[0], xs[-1])
    if not xs[0] <= x <= xs[-1]:
        return math.nan
    if x == xs[-1]:
        return ys[-1]
    i = bisect_right(xs, x) - 1
    return ys[i] + (ys[i + 1] - ys[i]) * (x - xs[i]) / (xs[i + 1] - xs[i])


def torque_at(curve: Curve, pressure: ArrayLike) -> Floats:
    """Torque that a pressure gives [N·m], NaN outside the table."""
    return _line(pressure, curve.pressure, curve.torque)


def pressure_for(curve: Curve, torque: ArrayLike) -> Floats:
    """Pressure that gives a torque [Pa], NaN outside the table."""
    return _line(torque, curve.torque, curve.pressure)


@dataclass(frozen=True)
class Marks:
    """The marks of a gauge: step between two marks as the gauge shows it, and the gauge's unit [Pa per unit].

    A setting is a whole number of steps; multiplied by the step as it was typed it shows as 5000, not 5000.000000001.
    """

    step: float
    unit: float

    def shown(self, count: ArrayLike) -> Floats:
        """What stands on the gauge at that mark, in the gauge's unit."""
        return np.asarray(count, dtype=float) * self.step

    def pressure(self, count: ArrayLike) -> Floats:
        """Pressure at that mark. [Pa]"""
        return settle(self.shown(count) * self.unit)


def _steps(pressure: ArrayLike, marks: Marks) -> Floats:
    """Pressure in steps; a pressure that is a mark but for the last bits is that mark."""
    at = np.asarray(pressure, dtype=float)
    if at.size == 1:
        alone = at.item() / marks.unit / marks.step
        near = float(round(alone)) if math.isfinite(alone) else alone
        return np.array(near if abs(alone - near) <= 1e-9 * max(abs(near), 1.0) else alone).reshape(at.shape)
    steps = np.asarray(pressure, dtype=float) / marks.unit / marks.step
    whole = np.rint(steps)
    return np.where(np.abs(steps - whole) <= 1e-9 * np.maximum(np.abs(whole), 1.0), whole, steps)


def to_marks(
    pressure: ArrayLike, marks: Marks, *, rounding: str = "nearest", low: float = 0.0, high: float = np.inf
) -> Floats:
    """The mark to set for a pressure [Pa], as a whole number of steps; NaN where no mark between low and high serves.

    "nearest" takes the nearer mark (half-way: the lower) and stays between `low` and `high`; "down" and "up" keep
    their direction or give NaN.

    >>> m = Marks(10.0, 1e5)
    >>> [float(to_marks(265.88e5, m, rounding=r)) for r in ROUNDINGS]
    [27.0, 26.0, 27.0]
    """
    steps = _steps(pressure, marks)
    if steps.size == 1 and 1.0 <= steps.item() < _WHOLE:
        top = math.floor(_steps(high, marks).item()) if math.isfinite(high) else math.inf
        alone = _mark(steps.item(), math.ceil(_steps(low, marks).item()), top, rounding)
        return np.array(alone).reshape(steps.shape)
    first = np.ceil(_steps(low, marks))
    last = np.floor(_steps(high, marks)) if np.isfinite(high) else np.inf
    if rounding == "down":
        count = np.minimum(np.floor(steps), last)
        return np.where(count >= first, count, np.nan)
    if rounding == "up":
        count = np.maximum(np.ceil(steps), first)
        return np.where(count <= last, count, np.nan)
    half_way = 0.5 + 1e-9 * np.maximum(np.abs(steps), 1.0)  # but for the last bits
    count = np.clip(np.ceil(steps - half_way), first, last)
    return np.where((first <= last) & ~np.isnan(steps), count, np.nan)


def _mark(steps: float, first: float, last: float, rounding: str) -> float:
    """`to_marks` of one pressure in steps, to the same bits."""
    if rounding == "down":
        count = min(math.floor(steps), last)
        return float(count) if count >= first else math.nan
    if rounding == "up":
        count = max(math.ceil(steps), first)
        return float(count) if count <= last else math.nan
    half_way = 0.5 + 1e-9 * max(steps, 1.0)  # but for the last bits
    return float(min(max(math.ceil(steps - half_way), first), last)) if first <= last else math.nan


@dataclass(frozen=True, eq=False)
class Setting:
    """What to set: marks (NaN where none serves), pressure there [Pa], torque there [N·m], its relative difference."""

    count: Floats
    pressure: Floats
    torque: Floats
    difference: Floats


def setting(
    curve: Curve, torque: ArrayLike, marks: Marks, *, rounding: str = "nearest", ceiling: float = np.inf
) -> Setting:
    """The mark for a torque, never outside the table and never above `ceiling` [Pa].

    >>> c = curve([100e5, 200e5, 300e5], [800.0, 1650.0, 2500.0])
    >>> s = setting(c, 2210.0, Marks(10.0, 1e5))
    >>> float(s.pressure), float(s.torque), round(float(s.difference), 4)
    (27000000.0, 2245.0, 0.0158)
    """
    wanted = np.asarray(torque, dtype=float)
    high = min(float(curve.pressure[-1]), ceiling)
    count = to_marks(pressure_for(curve, wanted), marks, rounding=rounding, low=float(curve.pressure[0]), high=high)
    return _at(curve, count, marks, wanted)


def _at(curve: Curve, count: Floats, marks: Marks, wanted: Floats) -> Setting:
    pressure = marks.pressure(count)
    given = settle(torque_at(curve, pressure))
    return Setting(count, pressure, given, settle(given / wanted - 1))


def shared_setting(
    curves: Sequence[Curve], torque: ArrayLike, marks: Marks, *, ceiling: float = np.inf
) -> tuple[Floats, tuple[Setting, ...]]:
    """One mark for several wrenches on one pump: that with the smallest worst difference, and each wrench's setting.

    NaN where no mark lies inside every table. The caller compares the differences with the tolerance.

    >>> a = curve([100e5, 300e5], [800.0, 2500.0]); b = curve([100e5, 300e5], [810.0, 2520.0])
    >>> count, _ = shared_setting([a, b], 1650.0, Marks(10.0, 1e5)); float(count)
    20.0
    """
    wanted = np.atleast_1d(np.asarray(torque, dtype=float))
    first = np.ceil(_steps(max(float(c.pressure[0]) for c in curves), marks))
    last = np.floor(_steps(min([float(c.pressure[-1]) for c in curves] + [ceiling]), marks))
    exact = np.stack([pressure_for(c, wanted) for c in curves])
    usable = ~np.isnan(exact).any(axis=0) & (first <= last)
    best, worst = np.full(wanted.shape, np.nan), np.full(wanted.shape, np.inf)
    for count in np.arange(float(first), float(last) + 1):
        pressure = marks.pressure(count)
        difference = np.max([np.abs(torque_at(c, pressure) / wanted - 1) for c in curves], axis=0)
        better = usable & (difference < worst)
        best, worst = np.where(better, count, best), np.where(better, difference, worst)
    best = best if np.ndim(torque) else best[0]
    return best, tuple(_at(c, best, marks, np.asarray(torque, dtype=float)) for c in curves)
