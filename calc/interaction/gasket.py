"""Gasket in compression: a rising curve on loading, a stiffer straight line on unloading, a memory of its peak."""

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

    Loading: s = stress ((1 - hardening) x + hardening x²), x = closure / `closure`. Unloading: a straight line down
    from the highest point reached, of slope (e0 + k1 s) / thickness (form of EN 1591-1), never below the slope of the
    curve there. No tension. `stop_closure` is the closure at which a metal ring takes the load, with the slope
    `stop_slope`; infinite when there is none.

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

    def loading(self, closure: Array) -> tuple[Array, Array]:
        """Stress [Pa] and slope [Pa/m] of the loading curve, without the metal stop.

        >>> stress, slope = Gasket(100e6, 1e-3, 0.5, 10e9, 0, 4e-3).loading(np.array([1e-3]))
        >>> stress / 1e6, slope / 1e9
        (array([100.]), array([150.]))
        """
        x = closure / self.closure
        stress = self.stress * x * (1 - self.hardening + self.hardening * x)
        return stress, self.stress / self.closure * (1 - self.hardening + 2 * self.hardening * x)

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

    def creep_set(self, closure: Array, peak: Array, left: float) -> Array:
        """How much thinner the gasket is when, at the same closure, only the fraction `left` of the stress remains. [m]

        Closures count from the thinner gasket afterwards: the stress falls along the unloading line.

        >>> law = Gasket(100e6, 1e-3, 0, 400e6, 0, 1e-3)
        >>> top = np.array([1e-3])
        >>> law.answer(top - law.creep_set(top, top, 0.7), top)[0] / 1e6
        array([70.])
        """
        return (1 - left) * self.answer(closure, peak)[0] / self.unloading_slope(np.maximum(closure, peak))


@dataclass(frozen=True)
class Kind:
    """A usual kind of gasket: its assumed law, how many times stiffer or softer it may be, and the basis."""

    name: str
    law: Gasket
    spread: float
    basis: str


@cache
def _kinds() -> dict[str, Kind]:
    found = {}
    for row in load("gasket_stiffness").rows:
        numbers = [float(row[name]) for name in ("stress", "closure", "hardening", "e0", "k1", "thickness")]
        name = str(row["kind"])
        found[name.lower()] = Kind(name, Gasket(*numbers), float(row["spread"]), str(row["basis"]))
    return found


def kinds() -> tuple[str, ...]:
    """Names of the kinds with assumed stiffness.

    >>> kinds()[:2]
    ('spiral wound', 'grooved with soft layers')
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
    return replace(law, closure=law.closure / factor, thickness=law.thickness / factor)
