"""Schemes whose first studs have passes of their own: which rows they suit, and what is said of the others."""

import math
from dataclasses import replace
from typing import Any

import pytest

from addin.cells.words import line
from calc.plan.joints import PlanSettings, joints
from calc.plan.plan import plan_joints
from calc.plan.plans import Plans
from calc.units import system
from calc.wrench.calibration import Marks, curve
from calc.wrench.choice import Gauge, Link, Wrench

GAUGES = {"G-1": Gauge("G-1", Marks(1.0, 1e5), 1000e5, math.nan, 740000.0)}
TABLE = curve([100e5, 600e5], [1000.0, 6000.0])
WRENCHES = [
    Wrench(name, TABLE, 700e5, math.nan, "P-1", math.nan, "G-1", (Link("60 mm", 0.06, 1.0),), math.nan, 740000.0)
    for name in ("HW-1", "HW-2")
]


def planned(
    scheme: str, studs: float = 16, wrenches: Any = WRENCHES, gauges: Any = GAUGES, tolerance: float = 0.03,
    **columns: Any,
) -> Plans:  # fmt: skip
    given: dict[str, Any] = {
        "joint": ["E-1"], "operation": ["final make-up"], "method": ["hydraulic"], "thread": ["M36x4"],
        "studs": [studs], "grade": ["A193M B7"], "across_flats": [0.06], "nut_factor": [0.15], "load": [350e3],
        "date": [739000.0],
    }  # fmt: skip
    settings = PlanSettings(scheme=scheme, tolerance=tolerance)
    return plan_joints(joints(1, **given | columns), wrenches, gauges, [], settings)


def stops(plans: Plans) -> list[str]:
    return [line(f, system("SI")) for f in plans.findings if f.level == "stop"]


def test_a_scheme_gives_its_order_and_the_torques_of_its_steps() -> None:
    """0.15 x 0.036 m x 350 kN = 1890 N·m; 30 and 60 %: 567 (below the table's 1000 N·m) and 1134."""
    plans = planned("rising cross")

    assert stops(plans) == []
    assert plans.order == ("quarter points then cross",)
    assert plans.pass_torque[0, 1:].tolist() == pytest.approx([567, 1134, 1890, 1890, 1890, 1890])
    assert plans.pressure[0, 0, 1:].tolist() == pytest.approx([math.nan, 113e5, *[189e5] * 4], nan_ok=True)


@pytest.mark.parametrize(
    ("scheme", "studs", "least"),
    [("rising cross", 4, 8), ("rising quadrants", 14, 8), ("four studs then cross", 6, 4),
     ("four studs then circular", 10, 4)],
)  # fmt: skip
def test_counts_that_a_scheme_does_not_suit(scheme: str, studs: int, least: int) -> None:
    assert stops(planned(scheme, studs)) == [
        f"the scheme '{scheme}' needs a stud count that is a multiple of 4 and at least {least}, got {studs}; plan the "
        "row with another scheme"
    ]


def test_a_pass_of_studs_that_a_joint_does_not_have_is_left_out() -> None:
    """Four studs have no others, eight none after the second four: every pass below full torque is still pulled."""
    few, eight = planned("four studs then cross", 4), planned("rising cross", 8)

    assert (stops(few), stops(eight)) == ([], [])
    assert few.pass_torque[0, 1:].tolist() == pytest.approx([567, 1134, 1890, math.nan, 1890, 1890], nan_ok=True)
    assert eight.pass_torque[0, 1:].tolist() == pytest.approx([567, 1134, math.nan, 1890, 1890, 1890], nan_ok=True)
    assert not [f for f in (*few.findings, *eight.findings) if 4 in f.facts.get("passes", ())]


def test_the_time_is_that_of_the_studs_each_pass_pulls() -> None:
    """Strokes of half a turn: two on a nut that turns, one on one that stands. Rising cross on 16 studs by hand: 4 x 2,
    4 x 2, 8 x 2 and 16 x 2 strokes, 16 and 16 in the closing passes: 96 of 10.2 s, and 64 moves of 40 s.
    """
    pulling = [replace(w, stroke_angle=math.pi, oil_per_stroke=60e-6, pump_flow=1e-3 / 60) for w in WRENCHES]
    found = planned("rising cross", wrenches=pulling, grip=[0.2]).times

    assert found.total.tolist() == pytest.approx([96 * 10.2 + 64 * 40])
    again = planned("rising cross", wrenches=pulling, grip=[0.2], operation=["retighten"]).times
    assert again.total.tolist() == pytest.approx([48 * 10.2 + 32 * 40])  # round twice, two strokes and one


def test_passes_are_named_as_the_card_numbers_them() -> None:
    """Eight studs at 1200 N·m, a gauge with a mark every 100 bar: 100 bar gives 1000 N·m, 16.7 % off at full torque."""
    coarse = {"G-1": Gauge("G-1", Marks(1.0, 100e5), 1000e5, math.nan, 740000.0)}
    given: dict[str, Any] = {"load": [1200 / (0.15 * 0.036)], "gauges": coarse, "tolerance": 0.2}
    said = [line(f, system("SI")) for f in planned("rising cross", 8, **given).findings if f.quantity == "stage"]

    assert said == [
        "pass 1 and 2: by other means, below the lowest certified point of HW-1, 1000 N·m",
        "pass 3, 4 and 5 on HW-1: the gauge's marks put the torque 16.7 % off its stage",
    ]


def test_a_row_with_another_order_stops_and_the_schemes_own_names_do_not() -> None:
    assert stops(planned("rising cross", order=["groups of 2"])) == [
        "order 'groups of 2': the scheme 'rising cross' has its own order, quarter points then cross; leave the cell "
        "blank, or plan the row with another scheme"
    ]
    for text in ("modified legacy", "rising cross", "quarter points then cross"):
        assert stops(planned("rising cross", order=[text])) == []
    again = planned("rising cross", order=["groups of 2"], operation=["retighten"])
    assert (stops(again), again.order) == ([], ("groups of 2",))
    assert planned("rising cross", operation=["retighten"]).order == ("",)


def test_wrenches_together_go_round() -> None:
    assert stops(planned("circular together")) == [
        "the scheme 'circular together' is for 2 or more wrenches that pull together, here 1 wrench pulls; plan the "
        "row with another scheme"
    ]
    together = planned("circular together", at_once=[2.0])
    assert stops(together) == []
    assert together.order == ("circular",)


def test_an_uplift_for_interaction_needs_a_pass_of_all_studs_before_the_last() -> None:
    raised: dict[str, Any] = {
        "uplift": [1.05], "uplift_reason": ["interaction, N. Example"], "stud_maximum": [600e6],
        "gasket_maximum": [400e6], "gasket_area": [0.02],
    }  # fmt: skip
    assert stops(planned("four studs then cross", **raised)) == [
        "an uplift for interaction raises the pass of all studs before the last; the scheme 'four studs then cross' "
        "has none there"
    ]
    assert stops(planned("rising cross", **raised)) == []
