"""An uplift that the engineer states: what it raises, what judges it, where there is none. PCC-1, from memory."""

import math
from typing import Any

import pytest

from addin.cells.words import line
from calc.plan.joints import PlanSettings, joints
from calc.plan.plan import plan_joints
from calc.plan.plans import Plans
from calc.units import system

LIMITS = {"stud_maximum": [450e6], "gasket_maximum": [200e6], "gasket_area": [0.02]}
CREEP = {"uplift": [1.1], "uplift_reason": ["creep, N. Example"], **LIMITS}


def planned(**columns: Any) -> Plans:
    given: dict[str, Any] = {
        "joint": ["E-1"], "operation": ["final make-up"], "method": ["hand"], "thread": ["M36x4"], "studs": [8.0],
        "grade": ["A193M B7"], "yield_strength": [720e6], "yield_source": ["mill"], "across_flats": [0.06],
        "nut_factor": [0.15],
    }  # fmt: skip
    if not {"stress", "percent", "torque", "load", "target_gasket_stress"} & set(columns):
        columns["load"] = [200e3]
    return plan_joints(joints(1, **given | columns), [], {}, [], PlanSettings())


def stops(plans: Plans) -> list[str]:
    return [line(f, system("SI")) for f in plans.findings if f.level == "stop"]


@pytest.mark.parametrize(
    "target",
    [{"load": [200e3]}, {"stress": [250e6], "area": ["tensile"]}, {"percent": [0.4], "area": ["tensile"]},
     {"target_gasket_stress": [80e6]}],
)  # fmt: skip
def test_creep_raises_the_target_and_all_that_follows(target: dict[str, Any]) -> None:
    plain, raised = planned(**target, **LIMITS), planned(**target, **CREEP)

    assert stops(plain) == stops(raised) == []
    assert float(raised.preload[0]) == pytest.approx(1.1 * float(plain.preload[0]))
    assert float(raised.torque[0]) == pytest.approx(1.1 * float(plain.torque[0]))
    assert float(raised.combined_stress[0]) == pytest.approx(1.1 * float(plain.combined_stress[0]))


def test_a_factor_of_one_changes_no_bit() -> None:
    one = planned(load=[200e3], uplift=[1.0], uplift_reason=["creep, N. Example"])

    assert float(one.torque[0]) == float(planned(load=[200e3]).torque[0])
    assert stops(one) == []


def test_ceilings_judge_the_raised_value() -> None:
    """340 MPa stays below a stud maximum of 360 MPa, 374 MPa does not; yield likewise, 0.9 of 720 MPa with torsion."""
    limits = {**LIMITS, "stud_maximum": [360e6]}
    own = {"stress": [340e6], "area": ["root B1.1"]}
    up = {"uplift": [1.1], "uplift_reason": ["relaxation of the gasket, N. Example"]}

    assert stops(planned(**own, **limits)) == []
    assert any("stud maximum" in text for text in stops(planned(**own, **limits, **up)))
    high = {"percent": [0.71], "area": ["tensile"], **LIMITS, "stud_maximum": [690e6]}
    assert stops(planned(**high)) == []
    assert any("yield" in text for text in stops(planned(**high, **up)))


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"uplift_reason": [""]}, "uplift 1.1 needs in 'uplift reason' what it is for, creep or interaction, and who"),
        ({"uplift_reason": ["creep"]}, "uplift 1.1 needs in 'uplift reason' what it is for"),
        ({"uplift_reason": ["N. Example"]}, "uplift 1.1 needs in 'uplift reason' what it is for"),
        ({"uplift_reason": ["creep and interaction, N. Example"]}, "uplift 1.1 needs in 'uplift reason'"),
        ({"uplift_reason": ["interaction, N. Example"], "operation": ["retighten"]},
         "uplift 1.1: none when retightening"),
        ({"uplift_reason": ["interaction, N. Example"], "torque": [1000.0]},
         "uplift 1.1 on a specified torque: only where its reason says 'torque'"),
        ({"uplift_reason": ["interaction, N. Example"], "stud_maximum": [math.nan]},
         "uplift 1.1 needs the limits it may not pass; missing: stud maximum"),
        ({"operation": ["retighten"]}, "uplift 1.1: none when retightening"),
        ({"torque": [1000.0]}, "uplift 1.1 on a specified torque: only where its reason says 'torque'"),
        ({"gasket_maximum": [math.nan]}, "uplift 1.1 needs the limits it may not pass; missing: gasket maximum"),
        ({"stud_maximum": [math.nan], "gasket_maximum": [math.nan]}, "missing: stud maximum and gasket maximum"),
        ({"uplift": [1.6]}, "uplift 1.6 is above 1.5"),
        ({"uplift": [0.9]}, "uplift 0.9 is below 1"),
        ({"uplift": [math.nan]}, "uplift reason 'creep, N. Example' stands without an uplift: state the factor"),
    ],
)  # fmt: skip
def test_what_an_uplift_may_not_do(change: dict[str, Any], sentence: str) -> None:
    plans = planned(**{**CREEP, **change})

    assert plans.status == ("stopped",)
    assert any(sentence in text for text in stops(plans)), stops(plans)


def test_a_specified_torque_only_where_the_reason_says_so() -> None:
    plans = planned(torque=[1000.0], **{**CREEP, "uplift_reason": ["creep, on the specified torque: N. Example"]})

    assert stops(plans) == []
    assert float(plans.torque[0]) == pytest.approx(1100.0)


BETWEEN = {"uplift": [1.1], "uplift_reason": ["interaction, N. Example"], **LIMITS}


def test_interaction_raises_the_pass_before_the_last_alone() -> None:
    """Passes of 30, 60, 100, 100 % and the check: the third alone goes to 110 %; preload and final torque stand."""
    plain, raised = planned(**LIMITS), planned(**BETWEEN)

    assert stops(raised) == []
    assert float(raised.preload[0]) == float(plain.preload[0])
    assert float(raised.torque[0]) == float(plain.torque[0])
    shares = raised.pass_torque[0] / raised.torque[0]
    assert shares[1:] == pytest.approx([0.3, 0.6, 1.1, 1.0, 1.0])
    assert float(raised.combined_stress[0]) == pytest.approx(1.1 * float(plain.combined_stress[0]))


def test_ceilings_judge_the_raised_pass_and_floors_the_target() -> None:
    """On the root area 340 MPa stays below a stud maximum of 360 MPa, 374 MPa does not; 0.9 of 720 MPa with torsion; a
    stud minimum of 350 MPa is not reached by a pass that does not last.
    """
    own = {"stress": [340e6], "area": ["root B1.1"]}

    above = stops(planned(**own, **{**BETWEEN, "stud_maximum": [360e6]}))
    assert above == [
        "stud maximum: stress of the stud 374 MPa is above it, 360 MPa on the root B1.1 area",
    ]
    assert stops(planned(**own, **{**LIMITS, "stud_maximum": [360e6]})) == []
    high = {"percent": [0.71], "area": ["tensile"], **BETWEEN, "stud_maximum": [690e6]}
    assert stops(planned(**{**high, "uplift": [1.0]})) == []
    assert [text for text in stops(planned(**high)) if text.startswith("stress with torsion")], stops(planned(**high))
    crushed = planned(load=[200e3], **{**BETWEEN, "gasket_maximum": [85e6]})
    assert [text for text in stops(crushed) if "gasket maximum" in text], stops(crushed)
    low = planned(**own, **BETWEEN, stud_minimum=[350e6])
    assert stops(low) == []
    assert [line(f, system("SI")) for f in low.findings if f.code == "limit_below"] == [
        "stud minimum: stress of the stud 340 MPa is below it, 350 MPa on the root B1.1 area"
    ]


def test_a_typed_torque_is_raised_for_interaction_only_where_the_reason_says_so() -> None:
    plans = planned(
        torque=[1000.0], **{**BETWEEN, "uplift_reason": ["interaction, on the specified torque: N. Example"]}
    )

    assert stops(plans) == []
    assert plans.pass_torque[0, 1:] == pytest.approx([300, 600, 1100, 1000, 1000])
