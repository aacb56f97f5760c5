"""The plan of a list: one path for one row and for many, and every refusal where it belongs."""

import math
from datetime import date
from typing import Any

import numpy as np
import pytest

from addin.cells.words import line
from calc.plan.joints import Joints, Lubricant, PlanSettings, joints
from calc.plan.plan import plan_joints
from calc.plan.plans import Plans
from calc.quantities import INCH, LBF_FT, PSI
from calc.units import system
from calc.wrench.calibration import Marks, curve
from calc.wrench.choice import Gauge, Link, Wrench

DAY = float(date(2026, 10, 8).toordinal())
VALID = float(date(2027, 5, 17).toordinal())
NONE = math.nan
NUMBERS = ("studs", "at_once", "stress", "percent", "load", "torque", "nut_factor", "thread_friction", "nut_friction",
           "date", "across_flats")  # fmt: skip


def wrench(name: str, factor: float, flats: list[float], **changes: Any) -> Wrench:
    """A wrench whose torque in lbf·ft is `factor` times its pressure in psi, from 1000 to 10,000 psi."""
    pressure = np.arange(1000, 10001, 1000.0)
    fields = {
        "name": name, "curve": curve(pressure * PSI, pressure * factor * LBF_FT), "rated_pressure": 10000 * PSI,
        "hose_rated_pressure": 10000 * PSI, "pump": "P-1", "pump_rated_pressure": 10000 * PSI, "gauge": "G-1",
        "links": tuple(Link(f"{f:g} in", f * INCH, 1.0) for f in flats), "calibrated": NONE, "valid_until": VALID,
    }  # fmt: skip
    return Wrench(**{**fields, **changes})


GAUGE = Gauge("G-1", Marks(100.0, PSI), 15000 * PSI, NONE, VALID)
GAUGES = {"G-1": GAUGE}
SMALL, MIDDLE, LARGE = (
    wrench("HW-1", 0.1, [1.4375, 2]), wrench("HW-2", 0.25, [2, 2.375]), wrench("HW-3", 0.8, [2, 2.375, 3.125]),
)  # fmt: skip
BOOK = [SMALL, MIDDLE, LARGE]
LUBRICANTS = [Lubricant("L-20", 0.16, 0.14, 0.18, NONE, NONE, "site test"),
              Lubricant("L-30", NONE, NONE, NONE, 0.12, 0.11, "maker")]  # fmt: skip
GOOD = {
    "joint": "E-1", "operation": "final make-up", "method": "hydraulic", "thread": "1 1/2-8 UN", "studs": 24.0,
    "grade": "A193 B7", "stress": 50000 * PSI, "area": "root B1.1", "nut_factor": 0.16, "date": DAY,
}  # fmt: skip


def row(**changes: Any) -> dict[str, Any]:
    return {**GOOD, **changes}


def as_list(*rows: dict[str, Any]) -> Joints:
    names = {name for each in rows for name in each}
    return joints(len(rows), **{n: [each.get(n, NONE if n in NUMBERS else "") for each in rows] for n in names})


def plan(*rows: dict[str, Any], book: list[Wrench] = BOOK, gauges: dict[str, Gauge] = GAUGES, **settings: Any) -> Plans:
    return plan_joints(as_list(*rows), book, gauges, LUBRICANTS, PlanSettings(**settings))


def stops(plans: Plans) -> list[str]:
    return [finding.code for finding in plans.stops()]


def test_a_row_by_hand() -> None:
    """T = K D F with F = 50 ksi on the root area, 1.405 in² (ASME B1.1 as in tests/published/thread_un.csv)."""
    plans = plan(row())

    force = 50000 * math.pi / 4 * (1.5 - 1.299038 / 8) ** 2
    assert plans.status == ("planned",)
    assert plans.preload[0] / 4.4482216152605 == pytest.approx(force, rel=1e-6)
    assert plans.torque[0] / LBF_FT == pytest.approx(0.16 * 1.5 / 12 * force, rel=1e-6)
    assert [c.wrench.name for c in plans.pulling[0]] == ["HW-2"]
    # 1405 lbf·ft at 0.25 lbf·ft per psi: 5621 psi, so 5600
    assert plans.count[0, 0, plans.full] * 100 == 5600
    assert plans.torque_there[0, 0, plans.full] / LBF_FT == pytest.approx(1400, rel=1e-12)
    assert not stops(plans)


ODD_ROWS = [
    row(), row(joint="b", thread="7/8", nut_factor=NONE, lubricant="L-20"), row(joint="c", thread="M42"),
    row(joint="d", stress=NONE, torque=900 * LBF_FT, nut_factor=NONE),
    row(joint="e", method="hand", thread="5/8", studs=4.0),
    row(joint="f", method="other"), row(joint="g", stress=NONE, percent=0.45, area="tensile"),
    row(joint="h", stress=NONE, load=300e3), row(joint="i", nut_factor=NONE, thread_friction=0.12, nut_friction=0.11),
    row(joint="j", wrench="HW-3"), row(joint="k", operation="break"), row(joint="l", studs=20.0, at_once=2.0),
]  # fmt: skip


def test_each_row_alone_gives_the_bits_it_has_in_the_list() -> None:
    whole = plan(*ODD_ROWS)

    for i, each in enumerate(ODD_ROWS):
        alone = plan(each)
        assert alone.status[0] == whole.status[i]
        for name in ("preload", "torque", "combined_stress", "across_flats", "pass_torque"):
            assert np.array_equal(getattr(alone, name)[0], getattr(whole, name)[i], equal_nan=True), (i, name)
        wide = alone.count.shape[1]
        assert np.array_equal(alone.count[0], whole.count[i, :wide], equal_nan=True)
        assert np.array_equal(alone.torque_there[0], whole.torque_there[i, :wide], equal_nan=True)


def test_totals_reconcile() -> None:
    """M42 has no pitch, and no two wrenches of the book share a mark for the last row: those two stop."""
    plans = plan(*ODD_ROWS)

    assert {status: plans.status.count(status) for status in set(plans.status)} == {
        "planned": 8, "stopped": 2, "other method": 2,
    }  # fmt: skip


def test_a_stopped_row_holds_no_number() -> None:
    plans = plan(row(), row(joint="c", thread="M42"))

    for name in ("preload", "torque", "combined_stress", "across_flats", "area", "yield_strength", "nut_factor"):
        assert np.isnan(getattr(plans, name)[1]), name
    for column in (plans.pass_torque[1], plans.count[1], plans.pressure[1], plans.torque_there[1]):
        assert np.isnan(column).all()
    assert plans.pulling[1] == ()


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"joint": ""}, "missing"), ({"operation": ""}, "missing"), ({"method": ""}, "missing"),
        ({"thread": ""}, "missing"),
        ({"studs": NONE}, "missing"), ({"operation": "close"}, "word_unknown"), ({"method": "torqued"}, "word_unknown"),
        ({"thread": "1 1/4-9"}, "thread_unknown"), ({"thread": "M42"}, "thread_pitch_needed"),
        ({"thread": "11/4"}, "thread_ambiguous"), ({"thread": "M36x3", "grade": "A193M B7"}, "series_needed"),
        ({"grade": "A193 B8M"}, "class_needed"), ({"grade": "B77"}, "grade_unknown"), ({"studs": 3.0}, "out_of_range"),
        ({"studs": 16.5}, "not_whole"), ({"stress": NONE}, "target_missing"), ({"torque": 900.0}, "target_several"),
        ({"area": ""}, "area_needed"), ({"area": "shank"}, "area_unknown"), ({"stress": 45 * PSI}, "out_of_range"),
        ({"stress": 98000 * PSI}, "yield_exceeded"), ({"stress": NONE, "percent": 0.5, "grade": ""}, "grade_needed"),
        ({"nut_factor": NONE}, "friction_needed"), ({"nut_factor": 1.6}, "out_of_range"),
        ({"thread_friction": 0.12}, "coefficients_both"),
        ({"thread_friction": 0.12, "nut_friction": 0.1}, "friction_twice"),
        ({"nut_factor": NONE, "lubricant": "L-99"}, "lubricant_unknown"), ({"lubricant": "L-20", "nut_factor": 0.15},
                                                                          "friction_disagrees"),
        ({"wrench": "HW-9"}, "wrench_unknown"), ({"wrench": "HW-1"}, "wrench_unfit"), ({"date": NONE}, "date_needed"),
        ({"thread": "3 1/2-8"}, "no_link_anywhere"), ({"at_once": 3.0}, "at_once_unknown"),
        ({"studs": 15.0, "at_once": 2.0}, "at_once_divides"), ({"order": "1-2-3"}, "order_incomplete"),
        ({"stress": 1100 * PSI}, "no_wrench"),
    ],
)  # fmt: skip
def test_refusals(changes: dict[str, Any], code: str) -> None:
    plans = plan(row(**changes))

    assert code in stops(plans)
    assert plans.status == ("stopped",)
    assert np.isnan(plans.torque[0])


def test_a_repeated_joint_and_operation_stops_both_rows() -> None:
    plans = plan(row(), row(joint="e-1"), row(operation="test make-up"))

    assert plans.status == ("stopped", "stopped", "planned")
    assert [dict(f.facts)["rows"] for f in plans.stops()] == [(1,), (0,)]


def test_many_rows_of_one_name_are_counted_not_listed() -> None:
    plans = plan(*[row() for _ in range(9)])

    assert plans.status == ("stopped",) * 9
    facts = [dict(f.facts) for f in plans.stops()]
    assert [f["rows"] for f in facts[:4]] == [(1, 2, 3), (0, 2, 3), (0, 1, 3), (0, 1, 2)]
    assert {len(f["rows"]) + f["more"] for f in facts} == {8}


def test_a_torque_without_friction_is_planned_and_says_what_is_not_known() -> None:
    plans = plan(row(stress=NONE, nut_factor=NONE, torque=900 * LBF_FT))

    assert plans.status == ("planned",)
    assert plans.torque[0] == 900 * LBF_FT
    assert np.isnan(plans.preload[0])
    assert "friction_not_stated" in [f.code for f in plans.findings]


def test_survey_values_warn_and_never_set_a_target() -> None:
    low, normal = plan(row(nut_factor=0.06, grade="")), plan(row())

    assert "nut_factor_outside_survey" in [f.code for f in low.findings]
    assert low.torque[0] / normal.torque[0] == pytest.approx(0.06 / 0.16, rel=1e-12)


def test_a_lubricant_of_the_site_table_is_its_nut_factor_or_its_coefficients() -> None:
    stated, product = plan(row()), plan(row(nut_factor=NONE, lubricant="l-20"))
    coefficients = plan(row(nut_factor=NONE, lubricant="L-30"))

    assert product.torque[0] == stated.torque[0]
    assert product.friction_source == ("site test",)
    assert coefficients.friction_kind == ("coefficients",)


def test_a_hand_row_whose_torque_comes_from_coefficients_needs_its_nut() -> None:
    metric = {"method": "hand", "thread": "M24", "grade": "A193M B7", "area": "tensile", "nut_factor": NONE}
    plans = plan(
        row(**metric, joint="E-1", lubricant="L-30"),
        row(**metric, joint="E-2", lubricant="L-30", nut_series="ISO 4032"),
        row(**metric, joint="E-3", lubricant="L-30", stress=NONE, torque=400.0),
        row(**{**metric, "nut_factor": 0.16}, joint="E-4"),
    )

    assert plans.status == ("stopped", "planned", "planned", "planned")
    assert line(plans.stops()[0], system("SI")) == (
        "nut series is missing for M24x3; write metric heavy hex, ISO 4032, ISO 4033 or DIN 934"
    )


def test_a_preload_far_below_yield_is_pointed_out() -> None:
    """345 bar for 345 MPa: 34.5 MPa on B7 studs of 105 ksi is 4.8 % of yield."""
    low, usual = plan(row(stress=34.5e6, method="hand")), plan(row())

    assert "preload_low" in [f.code for f in low.findings]
    assert "preload_low" not in [f.code for f in usual.findings]


@pytest.mark.parametrize("said", [{"gasket": "rubber 3 mm"}, {"gasket_kind": "PTFE"}, {"flange_limit": 300e6}])
def test_a_low_preload_that_the_row_explains_is_not_pointed_out(said: dict[str, Any]) -> None:
    explained = plan(row(stress=34.5e6, method="hand", **said))

    assert "preload_low" not in [f.code for f in explained.findings]


def test_the_ceiling_without_a_grade_is_not_checked() -> None:
    assert "ceiling_not_checked" in [f.code for f in plan(row(grade="")).findings]


# --- wrenches -------------------------------------------------------------------------------------------------------


def reasons(plans: Plans) -> list[tuple[str, str]]:
    return [(r.wrench, r.code) for f in plans.stops() for r in f.facts.get("reasons", ())]


def test_the_smallest_with_reserve_is_taken() -> None:
    # HW-1 has 1000 lbf·ft: 950 leaves less than 10 % for break-out, 890 leaves enough
    near, far = (plan(row(thread="1 1/4", stress=NONE, torque=t * LBF_FT)) for t in (950.0, 890.0))

    assert [near.pulling[0][0].wrench.name, far.pulling[0][0].wrench.name] == ["HW-2", "HW-1"]


def test_a_named_wrench_with_little_reserve_is_planned_with_a_caution() -> None:
    plans = plan(row(thread="1 1/4", stress=NONE, torque=950 * LBF_FT, wrench="HW-1"))

    assert plans.status == ("planned",)
    assert "little_reserve" in [f.code for f in plans.findings]


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"valid_until": DAY - 1}, "wrench_certificate"), ({"valid_until": NONE}, "wrench_certificate"),
        ({"calibrated": DAY + 1}, "wrench_certificate"), ({"rated_pressure": 5000 * PSI}, "above_rating"),
        ({"hose_rated_pressure": 5000 * PSI}, "above_rating"), ({"pump_rated_pressure": 5000 * PSI}, "above_rating"),
        ({"links": (Link("2 3/8 in", 2.375 * INCH, 0.5),)}, "above_certified"), ({"links": ()}, "no_link"),
        ({"links": (Link("2 3/8 in", 2.375 * INCH, 1.0, 1000 * LBF_FT),)}, "above_link"),
        ({"gauge": "G-9"}, "gauge_unknown"), ({"faults": ("its table does not rise",)}, "unusable"),
    ],
)  # fmt: skip
def test_why_a_named_wrench_does_not_serve(changes: dict[str, Any], code: str) -> None:
    plans = plan(row(wrench="HW-2"), book=[wrench("HW-2", 0.25, [2.375], **changes)])

    assert reasons(plans) == [("HW-2", code)]


@pytest.mark.parametrize(
    ("gauge", "code"),
    [
        (Gauge("G-1", Marks(100.0, PSI), 15000 * PSI, NONE, DAY - 1), "gauge_certificate"),
        (Gauge("G-1", Marks(100.0, PSI), 5000 * PSI, NONE, VALID), "above_rating"),
        (Gauge("G-1", Marks(2000.0, PSI), 15000 * PSI, NONE, VALID), "mark_too_far"),
    ],
)
def test_why_a_gauge_does_not_serve(gauge: Gauge, code: str) -> None:
    assert reasons(plan(row(wrench="HW-2"), gauges={"G-1": gauge})) == [("HW-2", code)]


def test_the_range_takes_the_certificate_of_the_wrench_that_pulls() -> None:
    """HW-2 is chosen: 1 %, not the 8 % of HW-3, whose link fits too; together on one pump the worse counts."""
    book = [wrench("HW-2", 0.25, [2.375], uncertainty=0.01), wrench("HW-3", 0.8, [2.375], uncertainty=0.08),
            wrench("HW-4", 0.79, [2.375], uncertainty=0.02)]  # fmt: skip
    alone, both = plan(row(), book=book), plan(row(at_once=2.0, wrench="HW-3; HW-4"), book=book)

    assert [c.wrench.name for c in alone.pulling[0]] == ["HW-2"]
    assert alone.bounds.uncertainty.tolist() == [0.01]
    assert both.bounds.uncertainty.tolist() == [0.08]


def test_a_link_factor_multiplies_the_torque_at_the_nut() -> None:
    plans = plan(row(wrench="HW-2"), book=[wrench("HW-2", 0.25, [], links=(Link("a", 2.375 * INCH, 0.8),))])

    # 1405 / (0.25 x 0.8) = 7026 psi
    assert plans.count[0, 0, plans.full] * 100 == 7000
    assert plans.torque_there[0, 0, plans.full] / LBF_FT == pytest.approx(1400, rel=1e-12)


def test_the_days_of_a_certificate_are_its_own_first_and_last() -> None:
    assert plan(row(date=VALID)).status == ("planned",)
    assert plan(row(date=VALID + 1)).status == ("stopped",)
    assert plan(row(date=NONE), date=DAY).status == ("planned",)


def test_two_wrenches_on_one_pump_get_one_mark() -> None:
    twin = wrench("HW-4", 0.79, [2.375])
    plans = plan(row(at_once=2.0, wrench="HW-3; HW-4"), book=[*BOOK, twin])

    assert [c.wrench.name for c in plans.pulling[0]] == ["HW-3", "HW-4"]
    # 1405 lbf·ft: 1757 and 1779 psi; 1800 psi gives 1440 (+2.5 %) and 1422 (+1.2 %), 1700 gives -3.2 and -4.4 %
    assert (plans.count[0, :, plans.full] * 100).tolist() == [1800, 1800]


def test_four_wrenches_on_two_pumps_get_one_mark_a_pump() -> None:
    """A pump gives one pressure at a time: 1405 lbf·ft is 1757 and 1854 psi on P-1, 2007 and 2036 psi on P-2."""
    gauges = {"G-1": GAUGE, "G-2": Gauge("G-2", Marks(100.0, PSI), 15000 * PSI, NONE, VALID)}
    others = [wrench("HW-4", 0.758, [2.375]), *(wrench(name, slope, [2.375], pump="P-2", gauge="G-2")
                                               for name, slope in (("HW-5", 0.7), ("HW-6", 0.69)))]  # fmt: skip
    four = row(at_once=4.0, wrench="HW-3; HW-5; HW-4; HW-6")
    plans = plan(four, book=[*BOOK, *others], gauges=gauges)
    assert [c.wrench.name for c in plans.pulling[0]] == ["HW-3", "HW-5", "HW-4", "HW-6"]
    assert (plans.count[0, :, plans.full] * 100).tolist() == [1800, 2000, 1800, 2000]
    given = plans.torque_there[0, :, plans.full] / LBF_FT
    assert given == pytest.approx([1440, 1400, 1364.4, 1380], rel=1e-9)

    apart = [*BOOK, others[0], others[1], wrench("HW-6", 0.5, [2.375], pump="P-2", gauge="G-2")]
    refused = plan(four, book=apart, gauges=gauges)
    assert refused.status == ("stopped",)
    assert ("HW-5", "no_shared_mark") in reasons(refused)


def test_two_wrenches_that_no_mark_serves_need_separate_pumps() -> None:
    other = wrench("HW-4", 0.7, [2.375])
    together = plan(row(at_once=2.0, wrench="HW-3; HW-4"), book=[*BOOK, other])
    apart = plan(row(at_once=2.0, wrench="HW-3; HW-4"),
                 book=[*BOOK, wrench("HW-4", 0.7, [2.375], pump="P-2", gauge="G-2")],
                 gauges={"G-1": GAUGE, "G-2": Gauge("G-2", Marks(100.0, PSI), 15000 * PSI, NONE, VALID)})  # fmt: skip

    assert ("HW-3", "no_shared_mark") in reasons(together)
    assert apart.status == ("planned",)
    assert (apart.count[0, :, apart.full] * 100).tolist() == [1800, 2000]


@pytest.mark.parametrize(("accuracy", "said"), [(0.01, False), (0.02, True), (NONE, False)])
def test_the_class_of_a_gauge_at_a_low_setpoint(accuracy: float, said: bool) -> None:
    """At 5600 psi of a 15,000 psi gauge class 1.0 allows 2.7 %, class 2.0 allows 5.4 %; 5 % is the bound."""
    gauge = Gauge("G-1", Marks(100.0, PSI), 15000 * PSI, NONE, VALID, accuracy)

    assert ("gauge_class" in [f.code for f in plan(row(), gauges={"G-1": gauge}).findings]) == said


def test_wrenches_on_one_pump_must_name_one_gauge() -> None:
    twin = wrench("HW-4", 0.8, [2.375], gauge="G-2")
    plans = plan(row(at_once=2.0, wrench="HW-3; HW-4"), book=[*BOOK, twin],
                 gauges={"G-1": GAUGE, "G-2": Gauge("G-2", GAUGE.marks, GAUGE.range, NONE, VALID)})  # fmt: skip

    assert ("HW-3", "two_gauges") in reasons(plans)


def test_several_at_once_are_chosen_from_one_pump() -> None:
    plans = plan(
        row(at_once=2.0), book=[*BOOK, wrench("HW-4", 0.8, [2.375]), wrench("HW-5", 0.25, [2.375], pump="P-2")]
    )

    assert [c.wrench.name for c in plans.pulling[0]] == ["HW-3", "HW-4"]


def test_a_list_that_names_one_wrench_for_two_is_asked() -> None:
    assert "wrenches_named" in stops(plan(row(at_once=2.0, wrench="HW-3")))


def test_a_pass_below_the_lowest_certified_point_has_no_pressure() -> None:
    plans = plan(row(wrench="HW-3"))

    # 30 % of 1405 lbf·ft is 422, the table begins at 800
    assert np.isnan(plans.count[0, 0, 1])
    assert "pass_other_means" in [f.code for f in plans.findings]


def test_an_unknown_scheme_concerns_the_list_as_a_whole() -> None:
    with pytest.raises(ValueError, match="scheme_unknown"):
        plan(row(), scheme="quick")
