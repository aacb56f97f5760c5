"""Target preload from a stress, a share of yield, or a gasket stress."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.hardware import threads
from calc.preload import target
from calc.quantities import INCH, LBF, PSI

KSI = 1000 * PSI


def test_gasket_stress_of_an_own_example() -> None:
    """Gasket 10.38 x 9.19 in at 15 ksi on 12 studs 7/8-9: 54.53 ksi on the root area (computed apart, own inputs)."""
    gasket = 3.141592653589793 / 4 * (10.38**2 - 9.19**2) * INCH**2
    preload = target.from_gasket(15 * KSI, gasket, 12)

    assert preload / threads.root_area_b11(threads.parse("7/8-9")) / KSI == pytest.approx(54.53, abs=0.005)


def test_half_of_yield_of_a_b7_stud() -> None:
    """1-1/2-8, 50 per cent of 105 ksi on the tensile area: 78 322 lbf (API 6A annex, read in a copy)."""
    area = threads.tensile_area(threads.parse("1 1/2-8"))

    assert target.from_yield(0.5, 105 * KSI, area) / LBF == pytest.approx(78322, abs=0.5)
    assert target.from_stress(52.5 * KSI, area) == pytest.approx(target.from_yield(0.5, 105 * KSI, area), rel=1e-15)


@given(st.floats(1e7, 1e9), st.floats(1e-5, 1e-2), st.integers(4, 100))
def test_gasket_load_is_shared_by_all_studs(stress: float, area: float, studs: int) -> None:
    assert target.from_gasket(stress, area, studs) * studs == pytest.approx(stress * area, rel=1e-14)
