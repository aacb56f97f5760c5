"""Blanks are filled in and said; what cannot be a joint is refused with the number and its limit."""

import pytest

from calc.findings import InputError
from calc.interaction.dimensions import DEFAULTS, complete, ends
from calc.interaction.elastic import ElasticJoint
from calc.interaction.gasket import Gasket, Relaxation


def test_every_default_lies_in_its_range_and_says_where_it_is_from():
    for row in DEFAULTS.values():
        assert row.low <= row.value <= row.high
        assert row.basis


def test_blanks_are_filled_in_and_listed(make):
    full, assumed = complete(make(16))
    assert full.hole_diameter == pytest.approx(1.25 * 0.0254)
    assert full.hub_thickness == pytest.approx(0.65 * full.thickness)
    assert full.shell_wall == pytest.approx(0.4 * full.hub_thickness)
    assert full.hub_length == pytest.approx(1.2 * full.thickness)
    names = [row.name for row in assumed]
    assert len(names) == len(set(names))
    assert {
        "hole_clearance",
        "hub_share",
        "wall_share",
        "hub_length_share",
        "relaxation",
        "flange_modulus",
        "stud_modulus",
        "gasket_unloading_modulus",
    } <= set(names)
    closure = next(row for row in assumed if row.name == "gasket_closure")
    assert (closure.low, closure.value, closure.high) == pytest.approx((0.0005, 0.001, 0.002))


def test_what_was_given_is_not_listed(make):
    given = make(
        16,
        hole_diameter=0.032,
        shell_wall=0.01,
        hub_thickness=0.02,
        hub_length=0.06,
        shank_length=0.02,
        shank_diameter=0.028,
        flange_modulus=195e9,
        stud_modulus=207e9,
        relaxation=Relaxation(0.9, 5e8, 4e-3),
        gasket=Gasket(1e8, 1e-3, 0.2, 1e10, 0, 4e-3),
    )
    full, assumed = complete(given)
    assert full == given
    assert [row.name for row in assumed] == ["bearing_share"]


@pytest.mark.parametrize(
    ("change", "code", "quantity"),
    [
        ({"studs": 3}, "too_few_studs", "studs"),
        ({"studs": 8.5}, "too_few_studs", "studs"),
        ({"grip": 0.0}, "not_positive", "grip"),
        ({"thickness": float("nan")}, "not_positive", "thickness"),
        ({"outside_diameter": -0.5}, "not_positive", "outside_diameter"),
        ({"flange_modulus": 0.0}, "not_positive", "flange_modulus"),
        ({"stations": 0}, "out_of_range", "stations"),
        ({"shell_wall": -0.001}, "out_of_range", "shell_wall"),
        ({"shell_wall": 0.01, "hub_thickness": 0.06, "hub_length": 0.05}, "hub_too_thick", "hub_thickness"),
        ({"shell_wall": 0.03, "hub_thickness": 0.02, "hub_length": 0.05}, "hub_below_wall", "hub_thickness"),
        ({"shell_wall": 0.0, "hub_thickness": 0.02}, "hub_needs_wall", "shell_wall"),
        ({"shell_wall": 0.01, "hub_length": 0.05}, "hub_needs_wall", "hub_thickness"),
        ({"hub_thickness": 0.05, "bolt_circle": 0.42, "gasket_diameter": 0.33}, "hub_under_nuts", "hub_thickness"),
        ({"inside_diameter": 0.6, "shell_wall": 0.01}, "inside_not_smaller", "inside_diameter"),
        ({"bolt_circle": 0.51}, "bolt_circle_outside_ring", "bolt_circle"),
        ({"bolt_circle": 0.31, "shell_wall": 0.01}, "bolt_circle_outside_ring", "bolt_circle"),
        ({"studs": 44}, "studs_overlap", "studs"),
        ({"gasket_diameter": 0.31}, "gasket_outside_ring", "gasket_diameter"),
        ({"gasket_diameter": 0.515}, "gasket_outside_ring", "gasket_diameter"),
        ({"gasket_diameter": 0.41}, "gasket_under_studs", "gasket_diameter"),
        ({"grip": 0.09}, "grip_below_flanges", "grip"),
        ({"shank_length": 0.2}, "shank_longer_than_grip", "shank_length"),
        ({"shell_wall": 0.12}, "shell_too_thick", "shell_wall"),
        ({"hole_diameter": 0.028}, "hole_below_stud", "hole_diameter"),
        ({"hole_diameter": 0.045}, "hole_above_nut", "hole_diameter"),
        ({"gasket": "rope"}, "gasket_kind_unknown", "gasket"),
    ],
)
def test_impossible_joints_are_refused(make, change, code, quantity):
    with pytest.raises(InputError) as caught:
        ElasticJoint(make(**{"studs": 16, **change}))
    assert (caught.value.finding.code, caught.value.finding.quantity) == (code, quantity)


def test_a_wall_stated_alone_is_a_pipe_without_hub(make):
    full, assumed = complete(make(16, shell_wall=0.012))
    assert (full.shell.thick, full.shell.wall, full.shell.length) == (0.012, 0.012, 0.0)
    assert not {"hub_share", "wall_share", "hub_length_share"} & {row.name for row in assumed}
    assert complete(make(16, shell_wall=0.0))[0].shell is None


def test_only_what_was_not_stated_is_varied(make):
    """Ends of the ranges: gasket of a kind, hub that nobody gave; a hub given in part varies in the rest."""
    hub = {"shell_wall": 0.01, "hub_thickness": 0.03, "hub_length": 0.05}
    assert set(ends(make(16))) == {"gasket", "hub"}
    assert set(ends(make(16, **hub))) == {"gasket"}
    assert set(ends(make(16, **hub, gasket=Gasket(1e8, 1e-3, 0.2, 1e10, 0, 4e-3)))) == set()
    low, high = ends(make(16, hub_thickness=0.03))["hub"]
    assert low.hub_thickness == high.hub_thickness == 0.03
    assert (low.shell_wall, high.shell_wall) == pytest.approx((0.0075, 0.021))
    none, thick = ends(make(16))["hub"]
    assert complete(none)[0].shell is None
    assert complete(thick)[0].hub_thickness == pytest.approx(0.85 * 0.0508)
    stiff, soft = ends(make(16))["gasket"]
    assert (stiff.gasket.closure, soft.gasket.closure) == pytest.approx((0.0005, 0.002))
