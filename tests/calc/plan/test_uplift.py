"""An uplift that the engineer states: what it raises, what judges it, where there is none. PCC-1, from memory."""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest

from addin.cells.words import line
from calc.plan.alternates import alternates
from calc.plan.joints import PlanSettings, joints
from calc.plan.plan import plan_joints
from calc.plan.plans import Plans
from calc.units import system
from calc.wrench.calibration import Marks, curve
from calc.wrench.choice import Gauge, Link, Wrench

GAUGES = {"G-1": Gauge("G-1", Marks(1.0, 1e5), 1000e5, math.nan, 740000.0)}
LIMITS = {"stud_maximum": [450e6], "gasket_maximum": [200e6], "gasket_area": [0.02]}
CREEP = {"uplift": [1.1], "uplift_reason": ["creep, N. Example"], **LIMITS}


def planned(settings: PlanSettings | None = None, wrenches: Sequence[Wrench] = (), **columns: Any) -> Plans:
    given: dict[str, Any] = {
        "joint": ["E-1"], "operation": ["final make-up"], "method": ["hand"], "thread": ["M36x4"], "studs": [8.0],
        "grade": ["A193M B7"], "yield_strength": [720e6], "yield_source": ["mill"], "across_flats": [0.06],
        "nut_factor": [0.15],
    }  # fmt: skip
    if not {"stress", "percent", "torque", "load", "target_gasket_stress"} & set(columns):
        columns["load"] = [200e3]
    return plan_joints(joints(1, **given | columns), wrenches, GAUGES, [], settings or PlanSettings())


def cautions(plans: Plans) -> list[str]:
    return [line(f, system("SI")) for f in plans.findings if f.level == "caution"]


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
        ({"uplift": [1.01], "gasket_maximum": [math.nan]}, "uplift 1.01 needs the limits it may not pass"),
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


def test_a_raised_pass_is_judged_beside_rows_that_raise_none() -> None:
    """As above, in a list whose first row goes nowhere above its target."""
    given: dict[str, Any] = {
        "joint": ["E-1", "E-2"], "operation": ["final make-up"] * 2, "method": ["hand"] * 2, "thread": ["M36x4"] * 2,
        "studs": [8.0] * 2, "grade": ["A193M B7"] * 2, "yield_strength": [720e6] * 2, "yield_source": ["mill"] * 2,
        "across_flats": [0.06] * 2, "nut_factor": [0.15] * 2, "stress": [340e6] * 2, "area": ["root B1.1"] * 2,
        **{name: values * 2 for name, values in LIMITS.items()}, "stud_maximum": [360e6] * 2,
        "uplift": [math.nan, BETWEEN["uplift"][0]], "uplift_reason": ["", BETWEEN["uplift_reason"][0]],
    }  # fmt: skip
    plans = plan_joints(joints(2, **given), [], GAUGES, [], PlanSettings())
    assert [(f.row, f.code, f.quantity) for f in plans.findings if f.level == "stop"] == [
        (1, "limit_above", "stud_maximum")
    ]


def test_a_typed_torque_is_raised_for_interaction_only_where_the_reason_says_so() -> None:
    plans = planned(
        torque=[1000.0], **{**BETWEEN, "uplift_reason": ["interaction, on the specified torque: N. Example"]}
    )

    assert stops(plans) == []
    assert plans.pass_torque[0, 1:] == pytest.approx([300, 600, 1100, 1000, 1000])


def test_the_high_side_of_the_range_is_that_of_the_raised_pass() -> None:
    """300 MPa and 25 % more are 375 MPa, below a stud maximum of 400 MPa; 330 MPa and 25 % more, 412.5 MPa, are not.

    Likewise for yield with torsion, which takes 1.15 to 1.26 of the tension here (see above): 0.57 of yield and 25 %
    more are 0.82 to 0.90 of it, 0.627 and 25 % more 0.90 to 0.99, and the ceiling is 0.9.
    """
    spread = PlanSettings(scatter_method="torque, lubricated")
    own = {"stress": [300e6], "area": ["root B1.1"]}
    low = {"stud_maximum": [400e6]}

    said = "high side of the range, 412.5 MPa, is above stud maximum, 400 MPa on the root B1.1 area"
    assert not [text for text in cautions(planned(spread, **own, **LIMITS | low)) if "high side" in text]
    raised = [text for text in cautions(planned(spread, **own, **BETWEEN | low)) if "high side" in text]
    assert raised == [said]
    high = {"percent": [0.57], "area": ["tensile"]}
    own_limit = {"stud_maximum": [690e6]}
    by_yield = "high side of the range: stress with torsion"
    assert not any(by_yield in text for text in cautions(planned(spread, **high, **LIMITS | own_limit)))
    assert any(by_yield in text for text in cautions(planned(spread, **high, **BETWEEN | own_limit)))


def wrench(name: str, top: float) -> Wrench:
    """A wrench that gives `top` N·m at 700 bar."""
    pressure = np.arange(50, 701, 50.0)
    return Wrench(name, curve(pressure * 1e5, pressure / 700 * top), 700e5, 700e5, "P-1", 700e5, "G-1",
                  (Link("60 mm", 0.06, 1.0),), math.nan, 740000.0)  # fmt: skip


def test_every_wrench_must_give_the_raised_pass_too() -> None:
    """0.15 x 36 mm x 200 kN are 1080 N·m, the raised pass 1188 N·m: a wrench that ends at 1150 N·m is none."""
    book = [wrench("HW-1", 1150.0), wrench("HW-2", 3000.0)]
    row = {"method": ["hydraulic"], "date": [739000.0]}
    none = PlanSettings(reserve=0.0)
    small, large = {**row, "wrench": ["HW-1"]}, {**row, "wrench": ["HW-2"]}

    assert stops(planned(none, book, **small, **LIMITS)) == []
    assert any("1150" in text for text in stops(planned(none, book, **small, **BETWEEN)))
    for columns, others in ((LIMITS, ["HW-1"]), (BETWEEN, [])):
        plans = planned(none, book, **large, **columns)
        assert stops(plans) == []
        listed = joints(1, date=[739000.0], method=["hydraulic"], wrench=["HW-2"], across_flats=[0.06])
        found = alternates(plans, listed, book, GAUGES)
        assert [c.wrench.name for c in found.wrenches[0]] == others


def test_the_most_by_hand_is_held_against_the_raised_pass() -> None:
    """0.15 x 36 mm x 350 kN are 1890 N·m, raised 2079 N·m; hand wrenches usually end at 2000 N·m."""
    strong = {"stud_maximum": [650e6], "load": [350e3]}

    assert not any("by hand, but" in text for text in cautions(planned(**LIMITS | strong)))
    assert any("by hand, but torque 2079" in text for text in cautions(planned(**BETWEEN | strong)))


def test_a_torque_without_friction_is_judged_where_it_is_raised() -> None:
    """The nut factor at which yield is near goes as the torque: at 1.1 of it 1.1 of the plain one (formula)."""
    blind = {"torque": [1000.0], "nut_factor": [math.nan]}
    reason = {"uplift_reason": ["interaction, on the specified torque: N. Example"]}
    plain, raised = planned(**blind, **LIMITS), planned(**blind, **BETWEEN | reason)

    assert stops(raised) == []
    assert float(raised.reaches_yield_at[0]) == pytest.approx(1.1 * float(plain.reaches_yield_at[0]))
