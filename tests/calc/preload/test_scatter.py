"""Spread of preload: worked examples of the published forms, and what must hold for any spread."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.findings import InputError
from calc.hardware import threads
from calc.preload import scatter, torque
from calc.preload.scatter import Spread
from calc.quantities import INCH, LBF, LBF_FT

shares = st.integers(0, 900).map(lambda thousandths: thousandths / 1000)
spreads = st.builds(Spread, shares, shares)


def test_nasa_form() -> None:
    """500 lbf·ft on 1 in, K 0.2, 25 per cent, 5 per cent relaxation: 21 375, 30 000, 37 500 lbf (form from memory)."""
    thread = threads.Thread("", INCH, INCH / 8, False)
    nominal = torque.preload_from_nut_factor(500 * LBF_FT, thread, 0.2)
    found = scatter.preload_range(nominal, Spread(0.25, 0.25), kept=0.95)

    assert [round(float(f) / LBF, 6) for f in (found.low_kept, found.nominal, found.high)] == [21375, 30000, 37500]
    assert found.low == pytest.approx(0.75 * nominal)


@pytest.mark.parametrize(
    ("share", "factor"), [(0.09, 1.198), (0.17, 1.410), (0.23, 1.597), (0.28, 1.778), (0.43, 2.509), (0.60, 4.00)]
)
def test_tightening_factor(share: float, factor: float) -> None:
    """αA = (1 + s)/(1 - s), the pairs of the VDI 2230 guide values (by formula)."""
    assert scatter.factor(share) == pytest.approx(factor, abs=5e-4)
    assert scatter.spread_from_factor(scatter.factor(share)) == pytest.approx(share)


def test_joint_of_en_1591() -> None:
    """16 bolts of 0.20 each: 0.0875 for the joint (form from memory)."""
    assert scatter.en1591_joint(0.2, 16) == pytest.approx(0.0875)
    assert scatter.en1591_joint(0.3, 4) == pytest.approx(0.3 * 2.5 / 4)
    assert np.isnan(scatter.en1591_joint(0.3, 3))


def test_methods_by_their_words() -> None:
    assert scatter.method("Torque,  Lubricated").spread().minus == 0.25
    assert scatter.method("impact wrench").spread().plus == pytest.approx(0.6)  # from its printed factor of 4
    with pytest.raises(InputError) as caught:
        scatter.method("guess")
    assert caught.value.finding.code == "method_unknown"
    for row in scatter.methods():
        assert row.source
        assert 0 < row.spread().minus < 1


def test_range_of_nut_factors() -> None:
    """Moly paste 0.10, 0.13, 0.18 (from memory): preload 28 per cent lower at the high end, 30 higher at the low."""
    found = scatter.from_nut_factors(0.10, 0.13, 0.18)

    assert (found.minus, found.plus) == pytest.approx((1 - 0.13 / 0.18, 0.3))


@given(st.lists(spreads, min_size=1, max_size=5))
def test_quadrature_lies_between_the_widest_and_the_sum(parts: list[Spread]) -> None:
    found = scatter.quadrature(parts)
    for side in ("minus", "plus"):
        each = [getattr(part, side) for part in parts]
        assert max(each) * (1 - 1e-12) <= getattr(found, side) <= sum(each) * (1 + 1e-12)
        assert getattr(found, side) == pytest.approx(math.hypot(*each))


@given(st.lists(spreads, min_size=1, max_size=5))
def test_the_worst_case_is_never_narrower_above_and_never_takes_all_below(parts: list[Spread]) -> None:
    worst, even = scatter.worst_case(parts), scatter.quadrature(parts)

    assert worst.plus >= even.plus - 1e-12
    assert max(part.minus for part in parts) - 1e-12 <= worst.minus < 1


@given(st.floats(1e3, 5e6), spreads, st.floats(0.3, 1))
def test_low_nominal_high_stand_in_order(nominal: float, spread: Spread, kept: float) -> None:
    found = scatter.preload_range(nominal, spread, kept=kept)

    assert 0 < found.low_kept <= found.low <= found.nominal <= found.high


@given(st.floats(1e3, 5e6), spreads, st.integers(4, 80), st.floats(1e-3, 1))
def test_gasket_stress_carries_the_load_of_all_studs(nominal: float, spread: Spread, studs: int, area: float) -> None:
    found = scatter.preload_range(nominal, spread)

    for preload in (found.low, found.nominal, found.high):
        assert scatter.gasket_stress(preload, studs, area) * area == pytest.approx(preload * studs, rel=1e-14)


def test_a_spread_that_leaves_nothing_is_not_a_number() -> None:
    found = scatter.preload_range(1e5, scatter.quadrature([Spread(0.8, 0.8), Spread(0.8, 0.8)]))

    assert np.isnan(found.low)
    assert np.isnan(found.low_kept)
    assert found.high > 1e5
    assert np.isnan(scatter.factor(1.0))


@given(st.lists(st.tuples(st.floats(1e3, 5e6), shares, shares, st.floats(0.3, 1)), min_size=1, max_size=6))
def test_a_column_gives_the_bits_of_each_row(rows: list[tuple[float, float, float, float]]) -> None:
    def both(nominal, a, b, kept):  # type: ignore[no-untyped-def]
        parts = [Spread(a, b), Spread(b, a), Spread(0.01 * 1e8 / nominal, 0.01 * 1e8 / nominal)]
        return [
            scatter.preload_range(nominal, whole, kept=kept)
            for whole in (scatter.quadrature(parts), scatter.worst_case(parts))
        ]

    many = both(*(np.array(column) for column in zip(*rows, strict=True)))
    one = [both(*row) for row in rows]
    for way in (0, 1):
        for name in ("low", "nominal", "high", "low_kept"):
            np.testing.assert_array_equal(
                getattr(many[way], name), np.array([getattr(found[way], name) for found in one]), name
            )
