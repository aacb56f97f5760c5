"""Floor and ceiling by PCC-1 Appendix O: its order, what governs, what is violated, what was not checked."""

import math
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.hardware import threads
from calc.preload import limits, torque
from calc.preload.limits import CEILINGS, FLOORS, ORDER, Given
from calc.quantities import INCH, LBF_FT, PSI

KSI = 1000 * PSI
AREA = float(threads.root_area_b11(threads.parse("7/8-9")))

EXAMPLE = Given(
    studs=12,
    gasket_area=math.pi / 4 * (10.38**2 - 9.19**2) * INCH**2,
    target_gasket_stress=15 * KSI,
    stud_maximum=73.5 * KSI,
    stud_minimum=42 * KSI,
    flange_limit=60 * KSI,
    gasket_seating=10 * KSI,
    gasket_operating=7 * KSI,
    gasket_maximum=30 * KSI,
    pressure=0.7 * KSI,
    gasket_inside_diameter=9.19 * INCH,
    gasket_load_kept=0.7,
    flange_rotation=0.3,
    rotation_limit=1.0,
)
"""Worked example: 12 studs 7/8-9, gasket 10.38 x 9.19 in (own inputs, computed apart; form from memory)."""


def test_worked_example() -> None:
    found = limits.limits(EXAMPLE, AREA)

    assert [round(float(found.value[name][0]) / KSI, 2) for name in
            ("target", "gasket_seating", "gasket_operating", "gasket_maximum", "flange_rotation")] == [
        54.53, 36.35, 49.53, 109.05, 200.0]  # fmt: skip
    assert found.selected[0] / KSI == pytest.approx(54.53, abs=0.005)
    assert found.governs[0] == "target"
    assert found.violated() == ()
    assert found.not_checked() == ("stud_torsion", "design_operating", "design_seating")
    moment = torque.from_nut_factor(found.selected[0] * AREA, threads.parse("7/8-9"), 0.2)
    assert moment / LBF_FT == pytest.approx(333.4, abs=0.05)


@pytest.mark.parametrize(
    ("change", "governs", "selected", "violated"),
    [
        ({"stud_maximum": 50 * KSI}, "stud_maximum", 50, ()),
        ({"stud_maximum": 49 * KSI}, "stud_maximum", 49, ("gasket_operating",)),
        ({"stud_minimum": 58 * KSI}, "stud_minimum", 58, ()),
        ({"flange_limit": 50 * KSI}, "flange_limit", 50, ()),
        ({"flange_limit": 40 * KSI}, "flange_limit", 40, ("stud_minimum", "gasket_operating")),
        ({"stud_minimum": 65 * KSI}, "flange_limit", 60, ("stud_minimum",)),
        ({"stud_maximum": 40 * KSI}, "stud_minimum", 42, ("stud_maximum", "gasket_operating")),
        ({"gasket_maximum": 14 * KSI}, "target", 54.53, ("gasket_maximum",)),
        ({"rotation_limit": 0.25}, "target", 54.53, ("flange_rotation",)),
        ({"torsion_preload": 54 * KSI * AREA}, "target", 54.53, ("stud_torsion",)),
        ({"design_operating_load": 12 * 55 * KSI * AREA}, "target", 54.53, ("design_operating",)),
        ({"design_seating_load": 12 * 55 * KSI * AREA}, "target", 54.53, ("design_seating",)),
        ({"target_stress": 45 * KSI}, "target", 45, ("gasket_operating",)),
    ],
)
def test_the_order_of_the_steps(
    change: dict[str, float], governs: str, selected: float, violated: tuple[str, ...]
) -> None:
    """The flange limit comes after the stud's minimum: a joint that cannot have both says so."""
    found = limits.limits(replace(EXAMPLE, **change), AREA)

    assert found.governs[0] == governs
    assert found.selected[0] / KSI == pytest.approx(selected, abs=0.005)
    assert found.violated() == violated


@pytest.mark.parametrize(
    ("name", "lacking"),
    [
        ("gasket_operating", "gasket_inside_diameter"), ("gasket_operating", "pressure"),
        ("gasket_seating", "gasket_area"), ("gasket_maximum", "studs"), ("flange_rotation", "flange_rotation"),
        ("flange_limit", "flange_limit"), ("stud_maximum", "stud_maximum"), ("target", "target_gasket_stress"),
    ],
)  # fmt: skip
def test_what_was_not_given_is_not_checked_and_is_named(name: str, lacking: str) -> None:
    found = limits.limits(replace(EXAMPLE, **{lacking: math.nan}), AREA)

    assert lacking in found.missing(name)
    if name != "target":
        assert name in found.not_checked()
        assert not found.kept[name][0]
        assert name not in found.violated()


def test_without_a_target_nothing_is_chosen_or_checked() -> None:
    found = limits.limits(replace(EXAMPLE, target_gasket_stress=math.nan), AREA)

    assert np.isnan(found.selected[0])
    assert found.not_checked() == ORDER[1:]
    assert found.missing("target") == ("target_gasket_stress",)
    stated = replace(EXAMPLE, target_gasket_stress=math.nan, target_stress=50 * KSI)
    assert limits.limits(stated, AREA).missing("target") == ()


@pytest.mark.parametrize("kind", limits.KINDS_NOT_CHECKED)
def test_flanges_that_no_published_limit_covers(kind: str) -> None:
    """A limit that was given all the same holds the stress down, but does not read as checked."""
    found = limits.limits(
        replace(EXAMPLE, flange_limit=50 * KSI), AREA, flange_checked=kind not in limits.KINDS_NOT_CHECKED
    )

    assert found.selected[0] == pytest.approx(50 * KSI)
    assert {"flange_limit", "flange_rotation"} <= set(found.not_checked())
    assert not found.kept["flange_limit"][0]


def test_load_kept_taken_from_the_published_default_is_said() -> None:
    found = limits.limits(replace(EXAMPLE, gasket_load_kept=math.nan), AREA)

    assert found.load_kept_assumed[0]
    assert found.value["gasket_operating"][0] / KSI == pytest.approx(49.53, abs=0.005)  # 0.7 as in the example
    assert not limits.limits(EXAMPLE, AREA).load_kept_assumed[0]


def test_the_ends_of_the_range() -> None:
    """54.53 ksi, 10 per cent either way: the low side is below 49.53, the high side just above 59.98."""
    found = limits.limits(replace(EXAMPLE, flange_limit=59.9 * KSI), AREA, minus=0.1, plus=0.1)

    assert found.violated() == ()
    assert found.violated_at_ends() == ("flange_limit", "gasket_operating")


@given(
    st.floats(0.3, 1), st.floats(3e8, 1.1e9), st.floats(0.05, 0.3), st.floats(0, 0.9), st.sampled_from(torque.TORSIONS)
)
def test_torsion_ceiling_holds_at_the_high_side(
    fraction: float, yield_: float, mu: float, plus: float, torsion: str
) -> None:
    thread = threads.parse("1 1/2-8")
    aim = limits.torsion_ceiling(fraction, yield_, thread, mu, plus=plus, torsion=torsion)

    high = torque.combined_stress(aim * (1 + plus), thread, mu, torsion=torsion)
    assert high == pytest.approx(fraction * yield_, rel=1e-12)


NAMES = [field.name for field in fields(Given)]
MIDDLE = dict.fromkeys(NAMES, 1.0) | {
    "studs": 16.0, "gasket_area": 0.02, "target_gasket_stress": 1e8, "target_stress": 3e8, "stud_maximum": 4e8,
    "stud_minimum": 2e8, "flange_limit": 4e8, "gasket_seating": 5e7, "gasket_operating": 4e7, "gasket_maximum": 2e8,
    "pressure": 5e6, "gasket_inside_diameter": 0.3, "gasket_load_kept": 0.7, "flange_rotation": 0.3,
    "torsion_preload": 4e5, "design_operating_load": 3e6, "design_seating_load": 3e6,
}  # fmt: skip
joints = st.fixed_dictionaries(
    {name: st.one_of(st.just(math.nan), st.floats(0.3, 3).map(lambda f, m=MIDDLE[name]: f * m)) for name in NAMES}
)


@given(joints, st.floats(0, 0.5), st.floats(0, 0.5))
def test_no_limit_is_crossed_in_silence(inputs: dict[str, float], minus: float, plus: float) -> None:
    found = limits.limits(Given(**inputs), 1e-3, minus=minus, plus=plus)
    stress = found.selected[0]

    for name in ORDER[1:]:
        value = found.value[name][0]
        beyond = stress > value * (1 + 1e-9) if name in CEILINGS else stress < value * (1 - 1e-9)
        assert (name in found.not_checked()) == bool(np.isnan(stress) or np.isnan(value))
        if name in FLOORS + CEILINGS and name not in found.not_checked():
            assert beyond == (name in found.violated()) or stress == pytest.approx(value, rel=1e-8)
        if found.missing(name):
            assert name in found.not_checked()
        if name in found.violated():
            assert name in found.violated_at_ends()
    if not np.isnan(stress):
        assert stress <= found.value["flange_limit"][0] or np.isnan(found.value["flange_limit"][0])
        assert stress == found.value[str(found.governs[0])][0]


@given(joints, st.sampled_from(["stud_maximum", "flange_limit"]), st.floats(1, 2))
def test_a_higher_ceiling_never_lowers_the_stress(inputs: dict[str, float], name: str, times: float) -> None:
    low = limits.limits(Given(**inputs), 1e-3).selected[0]
    high = limits.limits(Given(**inputs | {name: inputs[name] * times}), 1e-3).selected[0]

    assert np.isnan(low) == np.isnan(high)
    assert not high < low


@given(st.lists(joints, min_size=1, max_size=5), st.floats(1e-4, 1e-2))
def test_a_column_gives_the_bits_of_each_row(rows: list[dict[str, float]], area: float) -> None:
    many = limits.limits(Given(**{name: np.array([row[name] for row in rows]) for name in NAMES}), area, plus=0.2)

    for i, row in enumerate(rows):
        one = limits.limits(Given(**row), area, plus=0.2)
        assert np.array_equal(one.selected[0], many.selected[i], equal_nan=True)
        assert one.governs[0] == many.governs[i]
        for name in ORDER:
            assert np.array_equal(one.value[name][0], many.value[name][i], equal_nan=True)
        assert one.violated() == many.violated(i)
        assert one.violated_at_ends() == many.violated_at_ends(i)
        assert one.not_checked() == many.not_checked(i)
        assert one.missing("gasket_operating") == many.missing("gasket_operating", i)
