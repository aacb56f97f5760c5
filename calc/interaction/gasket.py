"""Gasket in compression: a rising curve on loading, a stiffer straight line on unloading, a memory of its peak."""

import math
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from calc.findings import stop
from calc.tables import load

Array = NDArray[np.floating]


@dataclass(frozen=True)
class Gasket:
    """Stress over closure of a gasket, per unit of its area.

    Loading: s = stress ((1 - hardening) x + hardening x²), x = closure / `closure`; or a `curve` of one's own, pairs of
    closure and stress that rise, straight between them and from 0, 0. Unloading: a straight line down from the highest
    point reached, of slope (e0 + k1 s) / thickness (form of EN 1591-1), never below the slope of the curve there. No
    tension. `stop_closure` is the closure at which a metal ring takes the load, with the slope `stop_slope`; infinite
    when there is none.

    `stress` [Pa], `closure` [m], `e0` [Pa], `thickness` [m], `stop_closure` [m], `stop_slope` [Pa/m].
    """

    stress: float
    closure: float
    hardening: float
    e0: float
    k1: float
    thickness: float
    stop_closure: float = np.inf
    stop_slope: float = 0.0
    curve: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        for name in ("stress", "closure", "thickness"):
            value = getattr(self, name)
            if not (np.isfinite(value) and value > 0):
                raise stop("not_positive", f"gasket_{name}", value=value)
        for name, high in (("hardening", 1.0), ("e0", 1e15), ("k1", 1e6), ("stop_slope", 1e18)):
            value = getattr(self, name)
            if not 0 <= value <= high:
                raise stop("out_of_range", f"gasket_{name}", value=value, low=0.0, high=high)
        if self.hardening > 0.95:  # the curve would start with no slope and nothing would hold the flange
            raise stop("out_of_range", "gasket_hardening", value=self.hardening, low=0.0, high=0.95)
        if not self.stop_closure > 0:
            raise stop("not_positive", "gasket_stop_closure", value=self.stop_closure)
        if np.isfinite(self.stop_closure) and self.stop_slope == 0:
            raise stop("not_positive", "gasket_stop_slope", value=0.0)
        last = (0.0, 0.0)
        for number, point in enumerate(self.curve, start=1):
            if not all(math.isfinite(new) and new > old for new, old in zip(point, last, strict=True)):
                raise stop("gasket_curve_falls", "gasket_curve", number=number)
            last = point

    def loading(self, closure: Array) -> tuple[Array, Array]:
        """Stress [Pa] and slope [Pa/m] of the loading curve, without the metal stop.

        >>> stress, slope = Gasket(100e6, 1e-3, 0.5, 10e9, 0, 4e-3).loading(np.array([1e-3]))
        >>> stress / 1e6, slope / 1e9
        (array([100.]), array([150.]))
        """
        if self.curve:
            return self._along(closure)
        x = closure / self.closure
        stress = self.stress * x * (1 - self.hardening + self.hardening * x)
        return stress, self.stress / self.closure * (1 - self.hardening + 2 * self.hardening * x)

    def _along(self, closure: Array) -> tuple[Array, Array]:
        """The curve of one's own; past its last point the last piece goes on, which whoever runs it has to refuse."""
        at, height = (np.array([0.0, *column]) for column in zip(*self.curve, strict=True))
        slopes = np.diff(height) / np.diff(at)
        piece = np.clip(np.searchsorted(at, closure, side="right") - 1, 0, slopes.size - 1)
        return height[piece] + slopes[piece] * (closure - at[piece]), slopes[piece]

    @property
    def last(self) -> tuple[float, float]:
        """Closure [m] and stress [Pa] at which a curve of one's own ends; infinite for the others."""
        return self.curve[-1] if self.curve else (math.inf, math.inf)

    def unloading_slope(self, peak: Array) -> Array:
        """Slope of the straight line below a peak closure. [Pa/m]"""
        stress, slope = self.loading(peak)
        return np.maximum((self.e0 + self.k1 * stress) / self.thickness, slope)

    def answer(self, closure: Array, peak: Array) -> tuple[Array, Array]:
        """Stress [Pa] and slope [Pa/m] at a closure, after a highest closure `peak` [m]; neither is changed.

        >>> law = Gasket(100e6, 1e-3, 0, 400e6, 0, 1e-3)
        >>> stress, slope = law.answer(np.array([1.0e-3, 0.9e-3, 0.5e-3, -1e-3]), np.array([1e-3, 1e-3, 1e-3, 0]))
        >>> stress / 1e6
        array([100.,  60.,   0.,   0.])
        """
        highest = np.maximum(closure, peak)
        top, slope_up = self.loading(np.maximum(highest, 0.0))
        down = np.maximum((self.e0 + self.k1 * top) / self.thickness, slope_up)
        rising = closure >= peak
        stress = np.where(rising, top, top - down * (peak - closure))
        held = (stress > 0) | (rising & (closure >= 0))
        stress, slope = np.where(held, stress, 0.0), np.where(held, np.where(rising, slope_up, down), 0.0)
        if np.isfinite(self.stop_closure):  # the metal beside the gasket has no memory
            stress = stress + self.stop_slope * np.maximum(closure - self.stop_closure, 0.0)
            slope = slope + np.where(closure > self.stop_closure, self.stop_slope, 0.0)
        return stress, slope

    def relaxed_set(self, closure: Array, peak: Array, relaxation: "Relaxation") -> Array:
        """How much thinner the gasket is after it has relaxed as in the rig: what both sprang back there. [m]

        The stress falls along the unloading line; closures count from the thinner gasket afterwards. A rigid rig leaves
        the stated share at the same closure; metal beside the gasket does not relax.

        >>> law = Gasket(100e6, 1e-3, 0, 400e6, 0, 1e-3)
        >>> top = np.array([1e-3])
        >>> law.answer(top - law.relaxed_set(top, top, Relaxation(0.7)), top)[0] / 1e6
        array([70.])
        """
        bare = replace(self, stop_closure=np.inf, stop_slope=0.0)
        lost = (1 - relaxation.left) * bare.answer(closure, peak)[0]
        return lost * (relaxation.give + 1 / bare.unloading_slope(np.maximum(closure, peak)))


@dataclass(frozen=True)
class Relaxation:
    """Share `left` of the stress after relaxing in a rig of `stiffness` [N/m] with a gasket of `area` [m²].

    The factor means nothing without its rig: a soft one follows the gasket and keeps more. No stiffness: a rigid rig.
    """

    left: float
    stiffness: float = np.inf
    area: float = 1.0

    def __post_init__(self) -> None:
        if not 0.1 <= self.left <= 1.0:
            raise stop("out_of_range", "relaxation", value=self.left, low=0.1, high=1.0)
        for name, value in (("rig_stiffness", self.stiffness), ("rig_gasket_area", self.area)):
            if not value > 0:
                raise stop("not_positive", name, value=value)

    @property
    def give(self) -> float:
        """What the rig springs back for a stress lost. [m/Pa]"""
        return self.area / self.stiffness


_RIG = Relaxation(1.0, 500e6, math.pi / 4 * (0.092**2 - 0.049**2))
"""Rig of the kinds' assumed factors: 500 kN/mm and a gasket of 49 x 92 mm, as usual in EN 13555 (from memory)."""


@dataclass(frozen=True)
class Kind:
    """A usual kind of gasket: its assumed law, how many times stiffer or softer it may be, and the basis.

    `relaxation` assumed, with its range.
    """

    name: str
    law: Gasket
    spread: float
    basis: str
    relaxation: Relaxation
    relaxation_range: tuple[float, float]


@cache
def _kinds() -> dict[str, Kind]:
    found = {}
    for row in load("gasket_stiffness").rows:
        stress, closure, hardening, e0, k1, thickness, at = (
            float(row[name]) for name in ("stress", "closure", "hardening", "e0", "k1", "thickness", "stop")
        )
        name, law = str(row["kind"]), Gasket(stress, closure, hardening, e0, k1, thickness)
        if at:
            law = replace(law, stop_closure=at, stop_slope=stop_slope(law.thickness, at))
        left, low, high = (float(row[name]) for name in ("left", "left_low", "left_high"))
        kept = replace(_RIG, left=left)
        found[name.lower()] = Kind(name, law, float(row["spread"]), str(row["basis"]), kept, (low, high))
    return found


def stop_slope(thickness: float, closure: float) -> float:
    """Stiffness of a steel ring as high as what is left of the gasket and as wide: 200 GPa over height. [Pa/m]

    >>> stop_slope(4.5e-3, 1.3e-3)
    6.25e+13
    """
    if not thickness > closure:
        raise stop("gasket_stop_high", "gasket_stop_closure", value=closure, high=thickness)
    return 200e9 / (thickness - closure)


def kinds() -> tuple[str, ...]:
    """Names of the kinds with assumed stiffness.

    >>> kinds()[:2]
    ('spiral wound', 'spiral wound with ring')
    """
    return tuple(kind.name for kind in _kinds().values())


def kind(name: str) -> Kind:
    """The assumed law of a usual kind; every number of it may be a factor `spread` off.

    Raises InputError `gasket_kind_unknown`.

    >>> kind("Spiral wound").law.closure
    0.001
    """
    found = _kinds().get(" ".join(str(name).lower().split()))
    if found is None:
        raise stop("gasket_kind_unknown", "gasket", text=name, known=kinds())
    return found


def scaled(law: Gasket, factor: float) -> Gasket:
    """The same law with a loading curve and an unloading line `factor` times as stiff.

    >>> scaled(kind("spiral wound").law, 2.0).closure
    0.0005
    """
    curve = tuple((closure / factor, stress) for closure, stress in law.curve)
    return replace(law, closure=law.closure / factor, thickness=law.thickness / factor, curve=curve)
