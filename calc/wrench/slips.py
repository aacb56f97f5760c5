"""Slips in a calibration table: what a table that was copied without one would hardly show.

The torque of a hydraulic wrench goes almost in proportion to its pressure: a straight line with a slight bend, less a
little for the spring that takes the piston back. Each rule compares the table with that, in units of the scatter that
the table itself shows and of its printed steps. The limits are judgement, tried on invented tables; no source.
"""

from collections.abc import Sequence
from math import erf, prod, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.findings import CAUTION, STOP, Finding

Floats = NDArray[np.float64]

BEND = 0.03
"""Usual bend of a table: how far its middle lies from the chord of origin and end, as a share of four times the top."""
OF_READING, OF_TOP = 0.0025, 0.0008
"""Usual scatter of a certificate: share of the reading, and share of the highest torque."""
SIGNIFICANT = 4.6
"""How many times the scatter a point must lie off the curve of the others."""
OFF_CURVE, OFF_CURVE_STOP = 0.015, 0.08
"""A point off the curve of the others by this share of its torque is odd, and stopped."""
FIRST_STOP = 0.02
"""The first point is stopped only when it is off by this share of the highest torque too: what little a wrench gives at
low pressure is no straight line."""
LIFTED, LIFTED_STOP = 0.015, 0.04
"""Torque at no pressure, as a share of the highest: more than a spring can explain, and stopped."""
SUNK, SUNK_STOP = 0.05, 0.09
"""The same below zero, where the return spring makes some of it ordinary."""
STEP, STEP_STOP = 0.3, 0.55
"""A step whose rise differs by this share from that of the other steps is odd, and stopped."""
BY_CHANCE = 0.3
"""A table on one line through zero is asked about when a measured one would be printed so in fewer cases than this."""
PRIOR = 2.5
"""Weight of the usual scatter against that of the table itself, in points."""
ROUGH = 2.8
"""Scatter over the usual one at which the points as a whole do not lie on one curve."""


def slips(pressure: ArrayLike, torque: ArrayLike, *, printed: tuple[float, float] = (0.0, 0.0)) -> list[Finding]:
    """What is odd (caution) or can hardly be (stop) in a rising table [Pa], [N·m], in the order of its rows.

    `printed` are the steps to which pressure [Pa] and torque [N·m] are rounded, 0 where nothing is known. `row` of a
    finding counts from 0. Codes: `table_off_line` (a point), `table_step` (a step), `table_origin`, `table_rough`.
    Fewer than three points say nothing.

    >>> p = [100e5, 200e5, 300e5, 400e5, 500e5, 600e5]
    >>> slips(p, [800.0, 1620.0, 2430.0, 3250.0, 4060.0, 4880.0])
    []
    >>> [(f.code, f.row, f.level) for f in slips(p, [800.0, 1620.0, 2430.0, 3250.0, 4060.0, 5480.0])]
    [('table_off_line', 5, 'stop')]
    >>> [f.code for f in slips(p[:-1], [1620.0, 2430.0, 3250.0, 4060.0, 4880.0])]
    ['table_origin']
    """
    p, t = np.asarray(pressure, dtype=float), np.asarray(torque, dtype=float)
    if p.size < 3:
        return []
    fit = _Fit(p, t, printed)
    steps = _steps(fit)
    points = [] if steps else _points(fit)
    found = [*steps, *points]
    if not found and (rough := fit.scale()) > ROUGH:
        share = float(np.sqrt(np.mean((fit.residual() / t) ** 2)))
        found.append(Finding("table_rough", "table", {"share": share, "times": round(rough, 1)}, CAUTION))
    if not steps:
        found += _origin(fit)
    return sorted(found, key=lambda finding: finding.row)


class _Fit:
    """The table in shares of its end, and curves a + b x + c x (1 - x) through chosen points of it."""

    def __init__(self, p: Floats, t: Floats, printed: tuple[float, float]) -> None:
        self.p, self.t = p, t
        self.x, self.y = p / p[-1], t / t[-1]
        dp, dt = (
            step / end if step <= most * end else 0.0
            for step, end, most in zip(printed, (p[-1], t[-1]), (0.005, 0.03), strict=True)
        )
        self.rounding = np.full(p.size, np.hypot(dp, dt))
        self.sigma = np.sqrt(self.rounding**2 / 12 + (OF_READING * self.y) ** 2 + OF_TOP**2)
        self.used = np.ones(p.size, dtype=bool)

    def solve(self, used: NDArray[np.bool_]) -> tuple[Floats, Floats]:
        """Coefficients and their covariance for unit scatter, for each row of `used` (shape (..., points))."""
        basis = np.stack([np.ones_like(self.x), self.x, self.x * (1 - self.x)], axis=1)
        weight = np.where(used, 1 / self.sigma**2, 0.0)
        normal = np.einsum("...n,ni,nj->...ij", weight, basis, basis)
        right = np.einsum("...n,ni,n->...i", weight, basis, self.y)
        prior = np.diag([1 / 0.2**2, 0.0, 1 / BEND**2])
        covariance = np.linalg.inv(normal + prior)
        return np.einsum("...ij,...j->...i", covariance, right), covariance

    def at(self, coefficients: Floats) -> Floats:
        """The curves at every point."""
        a, b, c = (coefficients[..., i, np.newaxis] for i in range(3))
        return np.asarray(a + b * self.x + c * self.x * (1 - self.x))

    def residual(self) -> Floats:
        """Torque of the used points less the curve through them. [N·m]"""
        coefficients, _ = self.solve(self.used)
        return np.asarray((self.y - self.at(coefficients)) * self.t[-1] * self.used)

    def scale(self, used: NDArray[np.bool_] | None = None) -> float:
        """Scatter of the used points about their curve over the usual one, 1 counting as four points more."""
        used = self.used if used is None else used
        coefficients, _ = self.solve(used)
        chi = np.sum(((self.y - self.at(coefficients)) / self.sigma) ** 2 * used)
        free = max(float(used.sum()) - 2.5, 0.0)
        return float(np.sqrt((chi + PRIOR) / (free + PRIOR)))


def _points(fit: _Fit) -> list[Finding]:
    """Points off the curve of the others, the worst first, at most a third of them."""
    n = fit.p.size
    found = []
    for _ in range(max(1, n // 3)):
        rows = np.flatnonzero(fit.used)
        without = np.array([fit.used & (np.arange(n) != i) for i in rows])
        coefficients, covariance = fit.solve(without)
        curves = fit.at(coefficients)
        basis = np.stack([np.ones_like(fit.x), fit.x, fit.x * (1 - fit.x)], axis=1)[rows]
        expected = curves[np.arange(rows.size), rows]
        left = (fit.y - curves) / fit.sigma
        free = max(rows.size - 1 - 2.5, 0.0)
        scale = np.sqrt((np.sum(left**2 * without, axis=1) + PRIOR) / (free + PRIOR))
        lever = np.einsum("ki,kij,kj->k", basis, covariance, basis)
        spread = scale * np.sqrt(fit.sigma[rows] ** 2 + lever)
        off = fit.y[rows] - expected
        worst = int(np.argmax(np.abs(off) / spread))
        i, share = int(rows[worst]), float(off[worst] / max(expected[worst], 1e-6))
        beyond = abs(off[worst]) - 0.6 * fit.rounding[i]
        if abs(off[worst]) < SIGNIFICANT * spread[worst] or beyond < OFF_CURVE * expected[worst]:
            break
        if rows.size < 4 and abs(share) < 2 * OFF_CURVE:
            break
        sure = i > 0 or abs(off[worst]) > FIRST_STOP
        level = STOP if sure and beyond > OFF_CURVE_STOP * expected[worst] else CAUTION
        facts = {"pressure": float(fit.p[i]), "torque": float(fit.t[i]), "share": share,
                 "expected": float(expected[worst] * fit.t[-1])}  # fmt: skip
        found.append(Finding("table_off_line", "table", facts, level, i))
        fit.used[i] = False
        if rows.size <= 4:
            break
    return found


def _steps(fit: _Fit) -> list[Finding]:
    """One step that rises by half or twice as much as the others do: a row was left out or moved."""
    if fit.p.size < 4:
        return []
    dx, dy = np.diff(fit.x), np.diff(fit.y)
    slope = float(np.median(dy / dx))
    noise = np.hypot(fit.sigma[:-1], fit.sigma[1:]) + 0.3 * fit.rounding[:-1]
    others = np.abs(dy / dx - slope) * dx
    typical = float(np.median(others)) * 1.5
    off = dy / dx / slope - 1
    far = (np.abs(dy - slope * dx) > 5 * np.maximum(noise, typical)) & (np.abs(off) > STEP)
    rows = np.flatnonzero(far)
    if rows.size != 1:  # two neighbouring steps are one point, which has its own rule
        return []
    i = int(rows[0])
    if not _breaks(fit, i):
        return []
    level = STOP if off[i] > STEP_STOP or off[i] < -0.4 else CAUTION
    facts = {"pressure_before": float(fit.p[i]), "torque_before": float(fit.t[i]), "pressure": float(fit.p[i + 1]),
             "torque": float(fit.t[i + 1]), "share": float(off[i])}  # fmt: skip
    return [Finding("table_step", "table", facts, level, i + 1)]


def _breaks(fit: _Fit, step: int) -> bool:
    """Whether the table has a break in this step: with the rows below it moved, all lie on one curve again."""
    n = fit.p.size
    if step in (0, n - 2):
        return False  # a lone point at an end: the rule of points judges it
    before = fit.scale()
    moved = _Fit(fit.p, fit.t, (0.0, 0.0))
    moved.sigma, moved.rounding = fit.sigma, fit.rounding
    dx, dy = np.diff(fit.x), np.diff(fit.y)
    jump = dy[step] - float(np.median(dy / dx)) * dx[step]
    moved.y = np.where(np.arange(n) > step, fit.y - jump, fit.y)
    return moved.scale() < 0.7 * before


def _origin(fit: _Fit) -> list[Finding]:
    """Torque that the curve has at no pressure: more than a spring explains, or less."""
    if fit.used.sum() < 3:
        return []
    coefficients, covariance = fit.solve(fit.used)
    at_end = float(coefficients[0] + coefficients[1])
    share = float(coefficients[0] / at_end)
    doubt = 2.0 * fit.scale() * float(np.sqrt(covariance[0, 0]))
    sure = np.sign(share) * max(abs(share) - doubt, 0.0)
    up = sure > LIFTED
    down = sure < -SUNK
    if not up and not down:
        return []
    level = STOP if sure > LIFTED_STOP or sure < -SUNK_STOP else CAUTION
    facts = {"share": share, "torque": share * float(fit.t[-1]), "limit": LIFTED if up else -SUNK}
    return [Finding("table_origin", "table", facts, level)]


def printed_step(values: Sequence[float]) -> float:
    """The step to which a printed column is rounded: the largest of 1, 2, 5 times a power of ten that divides all.

    >>> printed_step([410.0, 820.0, 1235.0]), printed_step([68.9, 137.9]), printed_step([1000.0, 2000.0])
    (5.0, 0.1, 1000.0)
    """
    numbers = np.asarray(values, dtype=float)
    for power in range(5, -5, -1):
        for digit in (5, 2, 1):
            step = digit * 10.0**power
            count = numbers / step
            if np.all(np.abs(count - np.rint(count)) < 1e-6 * np.maximum(1.0, np.abs(count))):
                return step if power >= 0 else float(f"{step:.1g}")
    return 0.0


def proportional(pressure: ArrayLike, torque: ArrayLike, *, printed: float) -> bool:
    """Whether every torque [N·m] is the same multiple of its pressure [Pa], within half a `printed` step of torque, and
    a measured table would hardly print that.

    No wrench gives that: a spring and friction take a little, and a measurement scatters. With the usual scatter the
    torques would all come to lie so near to one line with a probability that is worked out point by point (one point
    gives the slope); above `BY_CHANCE`, where points are few or the printed step coarse, the table is no evidence.
    Fewer than four points are not judged.

    >>> p = [100e5, 200e5, 300e5, 400e5, 500e5]
    >>> proportional(p, [1610.0, 3220.0, 4830.0, 6440.0, 8050.0], printed=1.0)
    True
    >>> proportional(p, [1600.0, 3220.0, 4830.0, 6440.0, 8050.0], printed=1.0)
    False
    >>> proportional(p, [160.0, 320.0, 480.0, 640.0, 800.0], printed=10.0)
    False
    """
    p, t = np.asarray(pressure, dtype=float), np.asarray(torque, dtype=float)
    if p.size < 4:
        return False
    half = 0.51 * printed + 1e-6 * t
    if np.max((t - half) / p) > np.min((t + half) / p):
        return False
    scatter = np.hypot(OF_READING * t, OF_TOP * t[-1])
    within = sorted(erf(share) for share in (half / scatter / sqrt(2.0)).tolist())
    return prod(within[1:]) <= BY_CHANCE
