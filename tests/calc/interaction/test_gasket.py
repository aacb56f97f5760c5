"""The gasket's law: continuous, rising, with a memory, without tension. Properties of the form, derived here."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.findings import InputError
from calc.interaction import gasket
from calc.interaction.elastic import ElasticJoint
from calc.interaction.events import Pass, run
from calc.interaction.gasket import Gasket, Relaxation
from calc.procedure import order

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
def test_a_rigid_rig_leaves_the_stated_share_at_the_same_closure(law, peak, left):
    top = np.array([peak * law.closure])
    before = law.answer(top, top)[0]
    after = law.answer(top - law.relaxed_set(top, top, Relaxation(left)), top)[0]
    assert after == pytest.approx(left * before, rel=1e-9)


@given(laws, st.floats(0.2, 1.0), st.floats(0.3, 1.0), st.floats(1e7, 1e10))
def test_in_its_own_rig_the_gasket_keeps_what_was_measured(law, peak, left, stiffness):
    """A spring of the rig's stiffness on a gasket of the rig's area, stretched to a load and left: derived here."""
    area, top = 4.8e-3, np.array([peak * law.closure])
    stress = law.answer(top, top)[0]
    thinner = law.relaxed_set(top, top, Relaxation(left, stiffness, area))
    followed = (1 - left) * stress * area / stiffness  # what the spring goes back by as its load falls
    after = law.answer(top + followed - thinner, top)[0]
    assert after == pytest.approx(left * stress, rel=1e-9)


def test_relaxation_read_without_its_rig_is_another_number(make):
    """0.80 of a soft rig means much more loss in a joint than 0.80 at the same closure."""
    load = 0.8 * 100e6 * make(8).gasket_area / 8
    passes = [Pass(1.0, order.cross(8)), *[Pass(1.0, order.circular(8))] * 2]
    kept = []
    for relaxation in (Relaxation(0.8), Relaxation(0.8, 500e6, 4.8e-3)):
        found = run(ElasticJoint(make(8, relaxation=relaxation)), load, passes)
        kept.append(found.final.mean() / found.kept[-1].mean())
    assert kept[0] > 0.9
    assert kept[1] < 0.75


def test_a_curve_of_several_points_is_straight_between_them():
    law = Gasket(1e8, 1e-3, 0, 1e10, 0, 4e-3, curve=((0.2e-3, 10e6), (0.6e-3, 50e6), (0.8e-3, 100e6)))
    stress, slope = law.loading(np.array([0.0, 0.1e-3, 0.4e-3, 0.7e-3, 0.8e-3]))
    assert stress / 1e6 == pytest.approx([0, 5, 30, 75, 100])
    assert slope / 1e9 == pytest.approx([50, 50, 100, 250, 250])


def test_a_curve_is_not_followed_past_its_last_point(make):
    law = Gasket(1e8, 1e-3, 0, 1e10, 0, 4e-3, curve=((0.2e-3, 10e6), (0.6e-3, 50e6)))
    load = 60e6 * make(8).gasket_area / 8
    with pytest.raises(InputError) as caught:
        run(ElasticJoint(make(8, gasket=law)), load, [Pass(1.0, order.circular(8))] * 4)
    assert caught.value.finding.code == "gasket_curve_ends"
    assert run(ElasticJoint(make(8, gasket=law)), load / 4, [Pass(1.0, order.circular(8))]).gasket_stress < 50e6


@pytest.mark.parametrize("points", [((0.2e-3, 1e7), (0.1e-3, 2e7)), ((0.2e-3, 1e7), (0.3e-3, 1e7)), ((0.0, 1e6),)])
def test_a_curve_that_does_not_rise_is_refused(points):
    with pytest.raises(InputError) as caught:
        Gasket(1e8, 1e-3, 0, 1e10, 0, 4e-3, curve=points)
    assert caught.value.finding.code == "gasket_curve_falls"


def test_the_ring_of_a_gasket_stops_its_closure(make):
    """With ring the lowest load of eight studs is far higher at a load that closes the gasket on its ring."""
    load = 2.0 * 100e6 * make(8).gasket_area / 8
    passes = [Pass(x, order.cross(8)) for x in (0.3, 0.6, 1.0)] + [Pass(1.0, order.circular(8))]
    lowest = [run(ElasticJoint(make(8, gasket=g)), load, passes).kept[-1].min() / load
              for g in ("spiral wound", "spiral wound with ring")]  # fmt: skip
    assert lowest[1] > lowest[0] + 0.1


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


def test_a_curve_of_ones_own_ends_at_its_last_point():
    law = gasket.kind("spiral wound").law if hasattr(gasket.kind("spiral wound"), "law") else None
    curve = ((0.2e-3, 20e6), (0.5e-3, 60e6), (0.9e-3, 150e6))
    own = Gasket(150e6, 0.9e-3, 0.0, 400e6, 0.0, 1e-3, curve=curve)
    assert own.last == (0.9e-3, 150e6)
    assert law is None or law.last == (np.inf, np.inf)


@pytest.mark.parametrize("left", [0.09, 1.01, 0.0, float("nan")])
def test_a_share_left_after_relaxing_outside_10_to_100_per_cent_is_refused(left):
    with pytest.raises(InputError) as caught:
        Relaxation(left)
    finding = caught.value.finding
    assert (finding.code, finding.quantity) == ("out_of_range", "relaxation")
    assert (finding.facts["low"], finding.facts["high"]) == (0.1, 1.0)
    assert Relaxation(0.1).left == 0.1
