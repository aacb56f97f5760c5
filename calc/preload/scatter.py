"""Spread of preload: low, nominal and high from the spreads of friction, wrench and gauge.

A spread is how far the preload may fall below and rise above the one meant, as fractions of it (minus, plus). Several
are put together twice, and both are shown: in quadrature (they are independent and rarely all at their ends) and as
the worst case (all at their ends at once).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from calc.findings import stop
from calc.hardware.threads import Numbers
from calc.tables import load


def _plain(value: object) -> Numbers:
    array = np.asarray(value, dtype=float)
    return float(array) if array.ndim == 0 else array


@dataclass(frozen=True, eq=False)
class Spread:
    """How far the preload may fall below (`minus`) and rise above (`plus`) the one meant, as fractions of it."""

    minus: Numbers
    plus: Numbers


NONE = Spread(0.0, 0.0)


# --- where spreads come from -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Method:
    """Published scatter of a method of tightening; fractions and tightening factors, None where not stated."""

    method: str
    minus: float | None
    plus: float | None
    factor_low: float | None
    factor_high: float | None
    source: str
    basis: str

    def spread(self) -> Spread:
        """The scatter stated, or that of the larger tightening factor where no scatter is stated."""
        if self.minus is not None and self.plus is not None:
            return Spread(self.minus, self.plus)
        share = spread_from_factor(max(f for f in (self.factor_low, self.factor_high) if f is not None))
        return Spread(share, share)


@cache
def methods() -> tuple[Method, ...]:
    """The published scatters, each with its source."""
    return tuple(Method(**row) for row in load("preload_scatter").rows)


def method(name: str) -> Method:
    """The published scatter of a method by its words. It holds for the whole method: wrench and gauge are in it.

    Raises InputError `method_unknown`.

    >>> method("torque, lubricated").plus
    0.25
    """
    for row in methods():
        if row.method.lower() == " ".join(name.lower().split()):
            return row
    raise stop("method_unknown", "method", text=name, known=tuple(row.method for row in methods()))


def from_nut_factors(low: Numbers, typical: Numbers, high: Numbers) -> Spread:
    """Spread at a given torque from the range of the nut factor: preload goes as 1/K.

    >>> s = from_nut_factors(0.12, 0.15, 0.20)
    >>> round(s.minus, 3), round(s.plus, 3)
    (0.25, 0.25)
    """
    return Spread(_plain(1 - np.asarray(typical) / high), _plain(np.asarray(typical) / low - 1))


def factor(spread: Numbers) -> Numbers:
    """Tightening factor of VDI 2230, largest over smallest preload, αA = (1 + s)/(1 - s) of an even spread s;
    NaN from s = 1.

    >>> round(factor(0.23), 3)
    1.597
    """
    s = np.asarray(spread, dtype=float)
    return _plain((1 + s) / (1 - np.where(s < 1, s, np.nan)))


def spread_from_factor(factor: Numbers) -> Numbers:
    """Even spread of a tightening factor, s = (αA - 1)/(αA + 1).

    >>> round(spread_from_factor(4.0), 3)
    0.6
    """
    return (factor - 1) / (factor + 1)


def en1591_joint(bolt: Numbers, studs: Numbers) -> Numbers:
    """Scatter of a whole joint from that of one bolt, ε = ε1 (1 + 3/√n)/4  (EN 1591-1, from memory), n at least 4.

    NaN below 4 bolts, where the rule does not hold.

    >>> round(en1591_joint(0.20, 16), 4)
    0.0875
    """
    n = np.asarray(studs, dtype=float)
    return _plain(bolt * (1 + 3 / np.sqrt(np.where(n >= 4, n, np.nan))) / 4)


# --- the range -------------------------------------------------------------------------------------------------------


def quadrature(spreads: Sequence[Spread]) -> Spread:
    """Independent spreads put together, each side for itself: the root of the sum of squares.

    >>> s = quadrature([Spread(0.3, 0.3), Spread(0.4, 0.4)])
    >>> s.minus, s.plus
    (0.5, 0.5)
    """
    sides = [sum((np.square(getattr(s, side)) for s in spreads), np.zeros(())) for side in ("minus", "plus")]
    return Spread(_plain(np.sqrt(sides[0])), _plain(np.sqrt(sides[1])))


def worst_case(spreads: Sequence[Spread]) -> Spread:
    """Every spread at its end at once: the product of the factors 1 - minus, and of 1 + plus.

    >>> s = worst_case([Spread(0.2, 0.2), Spread(0.1, 0.1)])
    >>> round(s.minus, 3), round(s.plus, 3)
    (0.28, 0.32)
    """
    low, high = np.ones(()), np.ones(())
    for s in spreads:
        low, high = low * (1 - np.asarray(s.minus)), high * (1 + np.asarray(s.plus))
    return Spread(_plain(1 - low), _plain(high - 1))


@dataclass(frozen=True, eq=False)
class Range:
    """Preload of one stud [N]: as tightened (`low`, `nominal`, `high`), and what the joint keeps of its low side."""

    low: Numbers
    nominal: Numbers
    high: Numbers
    low_kept: Numbers


def preload_range(nominal: Numbers, spread: Spread, *, kept: Numbers = 1.0) -> Range:
    """Low, nominal and high preload, and the low side after the joint has relaxed to the share `kept`.

    Form of NASA-STD-5020: Fmax = (1 + G) T/(K D), Fmin = (1 - G) T/(K D) less relaxation (from memory). The share kept
    is this joint's: 0.95 stands there for metal joints, PCC-1 Appendix O takes 0.7 for a gasket without a test value.
    A spread that leaves nothing below gives NaN for the low side.

    >>> r = preload_range(30_000.0, Spread(0.25, 0.25), kept=0.95)
    >>> r.low_kept, r.high
    (21375.0, 37500.0)
    """
    minus = np.asarray(spread.minus, dtype=float)
    low = _plain(np.asarray(nominal) * (1 - np.where(minus < 1, minus, np.nan)))
    return Range(
        low, nominal, _plain(np.asarray(nominal) * (1 + np.asarray(spread.plus))), _plain(low * np.asarray(kept))
    )


def gasket_stress(preload: Numbers, studs: Numbers, gasket_area: Numbers) -> Numbers:
    """Mean gasket stress without pressure, Sg = n F / Ag, if every stud had this preload. [Pa]

    Studs scatter apart, so the mean of many is nearer the nominal than one stud's ends; see `en1591_joint`.

    >>> gasket_stress(50e3, 16, 8e-3)
    100000000.0
    """
    return preload * studs / gasket_area
