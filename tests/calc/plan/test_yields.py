"""Where the yield of a stud comes from: the list, a row that was read, or a row from memory, which supplies nothing."""

import math
from typing import Any

import numpy as np
import pytest

from addin.cells.words import line
from calc.plan.joints import PlanSettings, joints
from calc.plan.plan import plan_joints
from calc.plan.plans import Plans
from calc.units import system

GOOD = {
    "joint": "E-1", "operation": "final make-up", "method": "hand", "thread": "M36x4", "studs": 24.0,
    "across_flats": 0.055, "grade": "A193 B7", "stress": 300e6, "area": "root B1.1", "nut_factor": 0.16,
}  # fmt: skip


def plan(**changes: Any) -> Plans:
    row = GOOD | changes
    return plan_joints(joints(1, **{name: [value] for name, value in row.items()}), (), {}, (), PlanSettings())


def said(plans: Plans, code: str) -> str:
    return next(line(finding, system("SI")) for finding in plans.findings if finding.code == code)


def codes(plans: Plans) -> set[str]:
    return {finding.code for finding in plans.findings}


def test_a_share_of_a_yield_from_memory_is_no_target() -> None:
    """A193M B7, 720 MPa: from memory."""
    plans = plan(grade="A193M B7", stress=math.nan, percent=0.5)

    assert plans.status == ("stopped",)
    assert said(plans, "yield_needed") == (
        "a percentage of yield needs a yield that was read: state the stud's yield strength with its source"
    )


def test_a_yield_from_memory_still_stops_what_exceeds_it_and_says_what_it_is() -> None:
    fine, above = plan(grade="A193M B7"), plan(grade="A193M B7", stress=660e6)

    assert fine.status == ("planned",)
    assert "720 MPa, is from memory: it is used to stop what exceeds it and for nothing else" in said(
        fine, "yield_from_memory"
    )
    assert "yield_exceeded" in codes(above)
    assert above.status == ("stopped",)


def test_the_yield_of_the_list_is_taken_for_a_grade_that_is_not_known() -> None:
    plans = plan(
        grade="X22CrMoV12-1", stress=math.nan, percent=0.5, yield_strength=600e6, yield_source="mill certificate 77"
    )

    area = math.pi / 4 * (0.036 - 1.299038 * 0.004) ** 2
    assert plans.status == ("planned",)
    assert plans.preload[0] == pytest.approx(0.5 * 600e6 * area, rel=1e-6)
    assert plans.yield_source == ("mill certificate 77",)
    assert plans.grade == ("X22CrMoV12-1",)
    assert plan(grade="X22CrMoV12-1").status == ("stopped",)


def test_a_listed_yield_above_the_specification_stops_and_above_a_remembered_one_is_a_caution() -> None:
    """A193 B7 to 2 1/2 in: 105 ksi = 723.9 MPa (read in a copy); A193M B7: 720 MPa (from memory)."""
    read, remembered = plan(yield_strength=830e6), plan(grade="A193M B7", yield_strength=830e6)

    assert read.status == ("stopped",)
    assert "yield strength 830 MPa in the list is above 723.95 MPa of A193 B7" in said(read, "yield_above")
    assert remembered.status == ("planned",)
    assert "yield_above" in codes(remembered)
    assert not codes(plan(yield_strength=720e6)) & {"yield_above", "yield_below"}
    assert "yield_below" in codes(plan(yield_strength=500e6))


def test_a_property_class_beyond_its_standard_is_a_caution_and_its_share_of_yield_a_stop() -> None:
    """ISO 898-1 ends at M39 (from memory)."""
    plans = plan(thread="M42x4.5", grade="8.8", across_flats=0.065, stress=200e6)

    assert plans.status == ("planned",)
    assert said(plans, "size_outside_grade") == (
        "ISO 898-1 8.8 states no yield for a diameter of 42 mm; its rows go from 5 mm to 39 mm"
    )
    assert np.isnan(plans.yield_strength[0])
    assert "stud ceiling not checked: yield strength not stated" in said(plans, "ceiling_not_checked")
    share = plan(thread="M42x4.5", grade="8.8", across_flats=0.065, stress=math.nan, percent=0.5)
    assert share.status == ("stopped",)
