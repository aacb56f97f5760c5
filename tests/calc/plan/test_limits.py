"""Limits, range and notes of a list: what is stated is judged, what is not is named, nothing is guessed."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.findings import CAUTION
from calc.hardware import threads
from calc.plan.joints import NUMBER_COLUMNS, Joints, Lubricant, PlanSettings, joints
from calc.plan.limits import INPUTS, NEEDS, gauge_errors, spread_of, uncovered_kind
from calc.plan.plan import plan_joints
from calc.plan.plans import Plans
from calc.plan.pulling import uncertainties
from calc.preload.limits import ORDER
from calc.quantities import INCH, PSI
from calc.wrench.calibration import Marks, curve
from calc.wrench.choice import Candidate, Gauge, Link, Wrench

KSI = 1000 * PSI
LUBRICANTS = [Lubricant("L-20", 0.16, 0.14, 0.20, math.nan, math.nan, "site test"),
              Lubricant("L-30", 0.16, math.nan, math.nan, math.nan, math.nan, "maker")]  # fmt: skip
GOOD = {
    "joint": "E-1", "operation": "final make-up", "method": "hand", "thread": "7/8-9", "studs": 12.0,
    "grade": "A193 B7", "stress": 54.5 * KSI, "area": "root B1.1", "lubricant": "L-20",
}  # fmt: skip
LIMITS = {
    "gasket_area": 18.2949 * INCH**2, "stud_maximum": 73.5 * KSI, "stud_minimum": 42 * KSI, "flange_limit": 70 * KSI,
    "gasket_seating": 10 * KSI, "gasket_operating": 5 * KSI, "gasket_maximum": 30 * KSI, "design_pressure": 700 * PSI,
    "gasket_inside_diameter": 9.19 * INCH, "gasket_outside_diameter": 10.38 * INCH, "gasket_m": 3.0,
    "gasket_y": 10 * KSI, "flange_rotation": math.radians(0.3), "rotation_limit": math.radians(1), "facing": "1a",
}  # fmt: skip


def as_list(*rows: dict[str, Any]) -> Joints:
    names = {name for each in rows for name in each}
    blank = {name: math.nan if name in NUMBER_COLUMNS else "" for name in names}
    return joints(len(rows), **{n: [each.get(n, blank[n]) for each in rows] for n in names})


def plan(*rows: dict[str, Any], **settings: Any) -> Plans:
    return plan_joints(as_list(*rows), [], {}, LUBRICANTS, PlanSettings(**settings))


def codes(found: Plans, row: int = 0) -> list[tuple[str, str]]:
    return [(f.code, f.quantity) for f in found.findings if f.row == row]


def test_a_row_without_inputs_has_no_limits_and_the_same_numbers() -> None:
    bare, full = plan(GOOD), plan({**GOOD, **LIMITS})

    assert not bare.bounds.rows[0]
    assert full.bounds.rows[0]
    assert bare.status == full.status == ("planned",)
    for name in ("preload", "torque", "combined_stress", "pass_torque"):
        assert np.array_equal(getattr(bare, name), getattr(full, name), equal_nan=True)


def test_limits_are_those_of_the_worked_example() -> None:
    """PCC-1 Appendix O (from memory), own inputs, worked out independently: see tests/calc/preload/test_limits.py."""
    found = plan({**GOOD, **LIMITS, "gasket_operating": 7 * KSI, "gasket_load_kept": 0.7, "stress": 60 * KSI})
    value = {name: float(column[0]) / KSI for name, column in found.bounds.limits.value.items()}

    assert value["gasket_seating"] == pytest.approx(36.35, abs=0.02)
    assert value["gasket_operating"] == pytest.approx(49.53, abs=0.02)
    assert value["gasket_maximum"] == pytest.approx(109.05, abs=0.05)
    assert value["flange_rotation"] == pytest.approx(70 / 0.3)
    area = float(threads.root_area_b11(threads.parse("7/8-9")))
    assert value["design_operating"] == pytest.approx(88_563 * 4.4482216 / (12 * area) / KSI, rel=1e-4)


def test_a_target_beyond_a_stated_ceiling_stops_its_row_and_a_floor_warns() -> None:
    over = plan({**GOOD, **LIMITS, "flange_limit": 50 * KSI}, {**GOOD, **LIMITS, "joint": "E-2"})
    under = plan({**GOOD, **LIMITS, "gasket_seating": 20 * KSI})

    assert over.status == ("stopped", "planned")
    assert ("limit_above", "flange_limit") in codes(over)
    assert math.isnan(over.torque[0])
    assert under.status == ("planned",)
    assert ("limit_below", "gasket_seating") in codes(under)
    assert ("limit_above", "") not in codes(under)


def test_ends_of_the_range_warn_and_change_no_number() -> None:
    """L-20: K 0.14 to 0.20 about 0.16, so the preload lies between 0.8 and 1.143 of the one meant (formula)."""
    found = plan({**GOOD, **LIMITS, "flange_limit": 60 * KSI, "stud_minimum": 45 * KSI})

    assert ("range_above", "flange_limit") in codes(found)
    assert ("range_below", "stud_minimum") in codes(found)
    assert found.bounds.range.low[0] == pytest.approx(0.8 * found.preload[0])
    assert found.bounds.range.high[0] == pytest.approx(found.preload[0] * 0.16 / 0.14)
    assert found.status == ("planned",)


def test_a_row_that_stops_says_nothing_of_the_ends_of_its_range() -> None:
    """The same row by hand and by wrench: no wrench is there, so there is no figure to be careful with."""
    row = {**GOOD, **LIMITS, "flange_limit": 60 * KSI, "date": 740000.0}
    found = plan(row, {**row, "joint": "E-2", "method": "hydraulic"})

    assert found.status == ("planned", "stopped")
    assert ("range_above", "flange_limit") in codes(found)
    assert [code for code, _ in codes(found, 1) if code.startswith("range_")] == []


def test_the_high_side_is_held_against_the_stud_ceiling_with_torsion() -> None:
    calm, near = plan(GOOD), plan({**GOOD, "stress": 78 * KSI})

    assert ("range_above_yield", "combined_stress") not in codes(calm)
    assert ("range_above_yield", "combined_stress") in codes(near)
    assert near.status == ("planned",)
    limited = plan({**GOOD, "stud_maximum": 95 * KSI, "stress": 78 * KSI})
    assert ("range_above_yield", "combined_stress") in codes(limited)  # and not once more as a limit of its own
    assert [code for code, quantity in codes(limited) if quantity == "stud_torsion"] == []


def test_scatter_is_the_products_own_or_a_method_that_was_set_never_guessed() -> None:
    silent = plan({**GOOD, "lubricant": "L-30"}, {**GOOD, "joint": "E-2", "lubricant": "", "nut_factor": 0.16})
    said = plan({**GOOD, "lubricant": "L-30"}, scatter_method="torque, lubricated")

    assert silent.bounds.scatter == (None, None)
    assert np.isnan(silent.bounds.range.low).all()
    assert said.bounds.scatter[0] is not None
    assert said.bounds.range.high[0] == pytest.approx(1.25 * said.preload[0])
    with pytest.raises(ValueError, match="method_unknown"):
        plan(GOOD, scatter_method="guess")


def test_the_load_kept_is_taken_off_the_low_side_only_where_it_is_stated() -> None:
    kept = plan({**GOOD, "gasket_load_kept": 0.7}).bounds.range

    assert kept.low_kept[0] == pytest.approx(0.7 * kept.low[0])
    assert np.isnan(plan(GOOD).bounds.range.low_kept[0])


def test_what_a_begun_limit_lacks_is_named() -> None:
    inputs = {k: v for k, v in LIMITS.items() if k != "gasket_inside_diameter"}
    found = plan({**GOOD, **inputs})
    lacks = {f.quantity: f.facts["needs"] for f in found.findings if f.code == "limit_not_checked"}

    assert lacks["gasket_operating"] == ("gasket_inside_diameter",)
    assert set(lacks) == {"gasket_operating", "design_operating", "design_seating"}


def test_a_facing_that_needs_another_width_is_said_and_not_taken() -> None:
    found = plan({**GOOD, **LIMITS, "facing": "1c"})

    assert "facing_width_needed" in [code for code, _ in codes(found)]
    assert not found.bounds.limits.checked["design_seating"][0]
    assert found.status == ("planned",)


@pytest.mark.parametrize("said", ["cast iron, flat face", "Lined pipe", "girth flange", "compact"])
def test_flanges_without_a_published_limit_are_never_checked(said: str) -> None:
    found = plan({**GOOD, **LIMITS, "flange_kind": said, "flange_limit": 50 * KSI})

    assert ("flange_not_covered", "flange_limit") in codes(found)
    assert not found.bounds.limits.checked["flange_limit"][0]
    assert not found.bounds.limits.kept["flange_limit"][0]
    assert uncovered_kind("weld neck") == ""


@given(st.sets(st.sampled_from(sorted(LIMITS)), max_size=10))
def test_whatever_is_left_out_no_limit_without_its_inputs_is_kept(left_out: set[str]) -> None:
    found = plan({**GOOD, **{k: v for k, v in LIMITS.items() if k not in left_out}}).bounds

    for name in ORDER[1:]:
        if found.missing(name, 0):
            assert not found.limits.checked[name][0]
            assert not found.limits.kept[name][0]
            assert set(found.missing(name, 0)) <= left_out | {"gasket_load_kept"}


def test_a_row_in_a_list_is_judged_as_it_is_alone() -> None:
    rows = [{**GOOD, **LIMITS, "joint": f"E-{k}", "flange_limit": (55 + k) * KSI} for k in range(8)]
    many = plan(*rows)

    for k, each in enumerate(rows):
        one = plan(each)
        assert [(c, q) for c, q in codes(many, k)] == codes(one)
        assert all(many.bounds.limits.value[n][k] == one.bounds.limits.value[n][0]
                   or np.isnan(one.bounds.limits.value[n][0]) for n in ORDER)  # fmt: skip


def test_inputs_outside_their_range_stop_the_row() -> None:
    found = plan({**GOOD, **LIMITS, "flange_limit": 50.0})

    assert ("out_of_range", "flange_limit") in codes(found)
    assert set(INPUTS) <= {part for parts in NEEDS.values() for part in parts} | {"gasket_load_kept"}


# --- target by gasket stress -----------------------------------------------------------------------------------------


def test_a_target_may_be_a_gasket_stress() -> None:
    """15 ksi on 18.2949 in² shared by 12 studs (formula)."""
    bare = {k: v for k, v in GOOD.items() if k not in ("stress", "area")}
    found = plan({**bare, "target_gasket_stress": 15 * KSI, "gasket_area": 18.2949 * INCH**2})
    lacking = plan({**bare, "target_gasket_stress": 15 * KSI})

    assert found.preload[0] == pytest.approx(15_000 * 18.2949 / 12 * 4.4482216152605)
    assert ("missing", "gasket_area") in codes(lacking)
    assert ("target_several", "torque") in codes(plan({**GOOD, "target_gasket_stress": 15 * KSI}))


# --- studs that are not new ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("column", "text", "said"),
    [
        ("remarks", "studs re-used once", ("re-used studs",)),
        ("remarks", "Reused studs, coated", ("re-used studs", "coated studs")),
        ("stud_condition", "re used", ("re-used studs",)),
        ("coating", "PTFE", ("coated studs",)),
        ("washers", "hardened", ("washers",)),
    ],
)
def test_studs_that_are_not_as_the_friction_was_measured_are_pointed_out(
    column: str, text: str, said: tuple[str, ...]
) -> None:
    notes = [f for f in plan({**GOOD, column: text}).findings if f.code == "friction_may_differ"]

    assert [(f.level, f.facts["texts"]) for f in notes] == [(CAUTION, said)]


@pytest.mark.parametrize(("column", "text"), [("remarks", "new studs"), ("coating", "none"), ("washers", "no")])
def test_new_bare_studs_are_not(column: str, text: str) -> None:
    assert "friction_may_differ" not in [code for code, _ in codes(plan({**GOOD, column: text}))]


def test_the_certificates_uncertainty_is_part_of_the_range_of_a_product() -> None:
    """L-20 has -20 % and +14.3 % (above); with 5 % in quadrature the root of the sums of squares (by definition)."""
    rows = joints(2, joint=("A", "B"), lubricant=("L-20", "L-20"))
    factor = np.array([0.16, 0.16])
    spread, _ = spread_of(rows, factor, [Lubricant("L-20", 0.16, 0.14, 0.20, math.nan, math.nan, "site")], "",
                          np.array([0.05, math.nan]), np.full(2, math.nan))  # fmt: skip

    assert spread.minus == pytest.approx([math.hypot(0.2, 0.05), 0.2])
    assert spread.plus == pytest.approx([math.hypot(0.16 / 0.14 - 1, 0.05), 0.16 / 0.14 - 1])


def test_the_gauge_is_part_of_the_range_of_a_product_and_a_published_method_has_it_in_itself() -> None:
    """-20 % with 5 % of the certificate and 4 % of the gauge: the root of 0.04 + 0.0025 + 0.0016 is 0.21 (by hand)."""
    rows = joints(3, joint=("A", "B", "C"), lubricant=("L-20", "L-20", "L-40"))
    product = [Lubricant("L-20", 0.16, 0.14, 0.20, math.nan, math.nan, "site")]
    certificate, gauge = np.array([0.05, math.nan, 0.05]), np.array([0.04, 0.15, 0.04])
    spread, _ = spread_of(rows, np.full(3, 0.16), product, "torque, lubricated", certificate, gauge)

    assert spread.minus == pytest.approx([0.21, 0.25, 0.25])


def test_the_worst_gauge_of_a_row_counts_at_its_own_setpoint_and_a_certificate_stands_for_the_class() -> None:
    """Class 1.0 of 600 bar at 200 bar: 3 %; deviation 0.5 % of 1000 bar at 250 bar: 2 %, whatever the class (by hand).

    Nothing stated is not known; it is never nothing.
    """
    bar = 1e5
    gauges = [Gauge("G-1", Marks(10.0, bar), 600 * bar, math.nan, math.inf, 0.01),
              Gauge("G-2", Marks(10.0, bar), 1000 * bar, math.nan, math.inf, 0.025, deviation=0.005),
              Gauge("G-3", Marks(10.0, bar), 1000 * bar, math.nan, math.inf)]  # fmt: skip
    made = curve(np.array([100.0, 500.0]) * bar, np.array([1000.0, 5000.0]))
    link = Link("60", 0.06, 1.0)
    tools = [
        Candidate(Wrench("HW", made, 7e7, 7e7, "", math.nan, each.name, (link,), math.nan, math.inf),
                  link, each, made, 5e7)
        for each in gauges
    ]  # fmt: skip
    setpoint = np.array([[200.0, 250.0], [250.0, math.nan], [300.0, math.nan], [math.nan, math.nan]]) * bar
    found = gauge_errors([tools[:2], tools[1:2], tools[2:], ()], setpoint)

    assert found.tolist() == pytest.approx([0.03, 0.02, math.nan, math.nan], nan_ok=True)


def test_the_uncertainty_is_that_of_the_wrench_that_pulls_and_of_the_worst_of_several() -> None:
    each = Gauge("G", Marks(1.0, 1e5), 1000e5, math.nan, 740000.0)
    link, made = Link("60", 0.06, 1.0), curve([1e5, 5e7], [100.0, 1000.0])
    one, two, silent = (
        Candidate(Wrench(name, None, 7e7, math.nan, "", math.nan, "G", (link,), math.nan, math.inf, uncertainty=share),
                  link, each, made, 5e7)
        for name, share in (("HW-1", 0.01), ("HW-2", 0.03), ("HW-3", math.nan))
    )  # fmt: skip
    found = uncertainties([(one,), (one, two), (one, silent), (silent,), ()])

    assert found.tolist() == pytest.approx([0.01, 0.03, 0.01, math.nan, math.nan], nan_ok=True)
