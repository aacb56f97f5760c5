"""The gasket's law: continuous, rising, with a memory, without tension. Properties of the form, derived here."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.findings import InputError
from calc.interaction import gasket
from calc.interaction.gasket import Gasket

laws = st.builds(
    Gasket,
    stress=st.floats(1e7, 5e8),
    closure=st.floats(1e-4, 2e-3),
    hardening=st.floats(0, 0.9),
    e0=st.floats(0, 2e10),
    k1=st.floats(0, 30),
    thickness=st.floats(1e-3, 6e-3),
)


@pytest.mark.parametrize("name", gasket.kinds())
def test_kinds_reach_their_stress_and_unload_stiffer(name):
    kind = gasket.kind(name)
    law = kind.law
    stress, slope = law.loading(np.array([0.0, law.closure]))
    assert stress == pytest.approx([0.0, law.stress])
    assert (law.unloading_slope(np.array([law.closure])) >= slope[1]).all()
    assert kind.spread > 1
    assert kind.basis


@given(laws, st.floats(-1.0, 1.5), st.floats(0.0, 1.5))
def test_stress_rises_with_closure_and_never_pulls(law, closure, peak):
    c = np.array([closure, closure + 1e-6]) * law.closure
    stress, slope = law.answer(c, np.full(2, peak * law.closure))
    assert (stress >= 0).all()
    assert (slope >= 0).all()
    assert stress[1] >= stress[0] - 1e-9 * law.stress


@given(laws, st.floats(0.01, 1.5))
def test_law_has_no_jump_at_the_peak(law, peak):
    top = peak * law.closure
    near = top * np.array([1 - 1e-9, 1.0, 1 + 1e-9])
    stress, slope = law.answer(near, np.full(3, top))
    assert np.ptp(stress) <= 1e-8 * (stress[1] + max(slope) * top)
    assert slope[0] >= slope[2] * (1 - 1e-6)


def test_slope_is_the_derivative_of_the_stress():
    law = Gasket(100e6, 1e-3, 0.4, 1e10, 5, 4e-3, stop_closure=1.1e-3, stop_slope=1e13)
    c = np.array([0.3e-3, 0.88e-3, 0.95e-3, 1.05e-3, 1.2e-3])
    peak = np.full(5, 0.9e-3)
    high, low = law.answer(c + 1e-9, peak)[0], law.answer(c - 1e-9, peak)[0]
    assert law.answer(c, peak)[1] == pytest.approx((high - low) / 2e-9, rel=1e-5)


@given(laws, st.floats(0.2, 1.0), st.floats(0.3, 1.0))
def test_creep_leaves_the_stated_share_at_the_same_closure(law, peak, left):
    top = np.array([peak * law.closure])
    before = law.answer(top, top)[0]
    after = law.answer(top - law.creep_set(top, top, left), top)[0]
    assert after == pytest.approx(left * before, rel=1e-9)


def test_stiffness_scales_as_a_whole():
    law = gasket.kind("fibre sheet").law
    stiff = gasket.scaled(law, 2.0)
    assert stiff.loading(np.array([law.closure / 2]))[0] == pytest.approx(law.stress)
    assert stiff.unloading_slope(np.zeros(1)) == pytest.approx(2 * law.unloading_slope(np.zeros(1)))


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"stress": 0.0}, "not_positive"),
        ({"closure": float("nan")}, "not_positive"),
        ({"thickness": -1e-3}, "not_positive"),
        ({"hardening": 1.0}, "out_of_range"),
        ({"hardening": -0.1}, "out_of_range"),
        ({"e0": float("nan")}, "out_of_range"),
        ({"k1": -1.0}, "out_of_range"),
        ({"stop_closure": 0.0}, "not_positive"),
        ({"stop_slope": 0.0, "stop_closure": 1e-3}, "not_positive"),
    ],
)
def test_impossible_laws_are_refused(change, code):
    numbers = {"stress": 1e8, "closure": 1e-3, "hardening": 0.3, "e0": 1e10, "k1": 0.0, "thickness": 4e-3}
    with pytest.raises(InputError) as caught:
        Gasket(**{**numbers, **change})
    assert caught.value.finding.code == code
    assert caught.value.finding.quantity == f"gasket_{next(iter(change))}"
