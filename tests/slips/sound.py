"""Invented calibrations that nothing is wrong with, as a laboratory might print them.

What the wrench gives is an exact curve that the slips are judged against. The kinds differ on purpose, and none is made
by a formula of the program's: a line through the origin, spring return (less at every pressure), slightly bent, two
slopes, sticky at low pressure, and a nominal chart. What is printed has scatter and is rounded as laboratories round.
"""

from dataclasses import dataclass, field
from random import Random

LBF_FT, PSI, BAR = 1.3558179483314004, 6894.757293168, 1e5  # NIST SP 811, by formula

KINDS = ("proportional", "spring return", "bent", "two slopes", "sticky", "nominal chart")
SHARES = (24, 26, 18, 14, 6, 12)


@dataclass(frozen=True)
class Sound:
    """A certificate as printed and the wrench behind it: `true(p)` is its torque in the printed units."""

    kind: str
    pressure_unit: str
    torque_unit: str
    pressure: tuple[float, ...]
    torque: tuple[float, ...]
    rounding: float
    rated_pressure: float
    rated_torque: float
    stroke_angle: float | None
    oil_per_stroke: float | None
    link_limit: float | None
    shape: tuple[float, ...] = field(repr=False)

    def true(self, pressure: float) -> float:
        """Torque of the wrench at a pressure, both in the printed units."""
        return _curve(self.kind, self.shape, pressure)


def _curve(kind: str, shape: tuple[float, ...], p: float) -> float:
    """shape: slope, end of the scale, then what the kind needs."""
    slope, end, a, b = shape
    x = p / end
    y = {
        "proportional": lambda: x,
        "nominal chart": lambda: x,
        "spring return": lambda: x - a * (1 - 0.2 * x),
        "bent": lambda: x + a * x * (1 - x) - b * (1 - x),
        "two slopes": lambda: x if x < b else b + (x - b) * (1 + a),
        "sticky": lambda: x * (1 - a * max(0.0, 1 - x / b) ** 1.5),
    }[kind]()
    return slope * end * y


def make(seed: int) -> Sound:
    """One invented certificate; the same seed gives the same one."""
    r = Random(seed)
    kind = r.choices(KINDS, SHARES)[0]
    metric = r.random() < 0.4
    pressure_unit = r.choice(["bar", "bar", "MPa"]) if metric else "psi"
    torque_unit = r.choice(["N·m", "N·m", "N·m", "kgf·m"]) if metric else r.choice(["ft-lb", "ft-lb", "N·m"])
    rated = {"psi": 10000.0, "bar": 700.0, "MPa": 70.0}[pressure_unit]
    in_nm = 10 ** r.uniform(2.85, 4.6)  # 700 to 40,000 N·m at the rated pressure
    top = in_nm / {"N·m": 1.0, "ft-lb": LBF_FT, "kgf·m": 9.80665}[torque_unit]
    slope = top / rated
    a, b = _bend(r, kind)
    shape = (slope, rated, a, b)
    pressure = _pressures(r, pressure_unit, rated)
    nominal = kind == "nominal chart"
    scatter = 0.0 if nominal else 10 ** r.uniform(-3.2, -2.15)  # 0.06 to 0.7 % of the reading
    floor = 0.0 if nominal else r.uniform(0, 0.0012) * top
    rounding = _rounding(r, top)
    while True:
        exact = [_curve(kind, shape, p) for p in pressure]
        printed = [t * (1 + r.gauss(0, scatter)) + r.gauss(0, floor) for t in exact]
        torque = [round(round(t / rounding) * rounding, 4) for t in printed]
        if torque[0] > 0 and all(x < y for x, y in zip(torque, torque[1:], strict=False)):
            break
        rounding /= 2 if rounding > 1 else 10
        scatter, floor = scatter * 0.8, floor * 0.8
    at_rating = _curve(kind, shape, rated)
    rated_torque = _figures(at_rating * r.uniform(0.97, 1.04), 3)
    angle, oil = _stroke(r, at_rating, torque_unit, rated, pressure_unit)
    limit = _figures(rated_torque * r.choice([0.8, 1.0, 1.0, 1.0, 1.1, 1.25]), 3) if r.random() < 0.6 else None
    return Sound(kind, pressure_unit, torque_unit, tuple(pressure), tuple(torque), rounding, rated, rated_torque,
                 angle, oil, limit, shape)  # fmt: skip


def _bend(r: Random, kind: str) -> tuple[float, float]:
    if kind == "spring return":
        return r.uniform(0.004, 0.045), 0.0
    if kind == "bent":
        return r.uniform(-0.05, 0.05), r.choice([0.0, 0.0, r.uniform(0, 0.02)])
    if kind == "two slopes":
        return r.uniform(-0.05, 0.05), r.uniform(0.3, 0.7)
    return r.uniform(0.02, 0.09), r.uniform(0.3, 0.5)


def _pressures(r: Random, unit: str, rated: float) -> list[float]:
    step = r.choice({"psi": [500, 1000, 1000, 1000, 1500], "bar": [35, 50, 50, 70, 100], "MPa": [5, 5, 7, 10]}[unit])
    first = step * r.choice([1, 1, 2]) if step < 0.1 * rated else step
    last = rated * r.choice([0.8, 0.9, 1.0, 1.0, 1.0])
    found = []
    p = float(first)
    while p <= last * 1.001:
        found.append(p)
        p += step
    if len(found) > 12 and r.random() < 0.5:
        found = found[::2] if r.random() < 0.7 else found[: len(found) // 2] + found[len(found) // 2 :: 2]
    if r.random() < 0.1 and len(found) > 7:  # a laboratory's own choice of a row fewer at the top
        del found[-2]
    if r.random() < 0.15:  # as read on the gauge, not as asked for
        found = [round(p * (1 + r.uniform(-0.006, 0.006)), 0 if rated > 100 else 1) for p in found]
    return found


def _rounding(r: Random, top: float) -> float:
    choices = [0.1, 1, 1, 1, 5, 10]
    return next(step for step in iter(lambda: r.choice(choices), None) if step <= 0.012 * top)


def _stroke(r: Random, torque: float, unit: str, rated: float, pressure_unit: str) -> tuple[float | None, float | None]:
    """Angle [degrees] and oil of a stroke [cm³], from 72 to 94 % of the oil's work coming out at the nut."""
    if r.random() < 0.5:
        return None, None
    angle = r.choice([18, 20, 24, 24, 28])
    work = torque * {"N·m": 1.0, "ft-lb": LBF_FT, "kgf·m": 9.80665}[unit] * angle * 3.141592653589793 / 180
    pressure = rated * {"psi": PSI, "bar": BAR, "MPa": 1e6}[pressure_unit]
    return angle, _figures(work / r.uniform(0.72, 0.94) / pressure * 1e6, 3)


def _figures(value: float, digits: int) -> float:
    return float(f"{value:.{digits}g}")
