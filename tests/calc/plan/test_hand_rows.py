"""Rows by hand have a ceiling: what the hand torque wrenches of the book give, else what they usually give."""

import math
from typing import Any

import pytest

from addin.cells.words import line
from calc.plan.joints import PlanSettings, joints
from calc.plan.plan import plan_joints
from calc.quantities import LBF_FT
from calc.units import system
from tests.calc.plan.test_breakout import BOOK, GAUGES, MAKE


def said(torque: float, reach: float, **more: Any) -> list[str]:
    row = {**MAKE, "method": "hand", "torque": torque * LBF_FT, **more}
    made = joints(1, **{name: [value] for name, value in row.items()})
    found = plan_joints(made, BOOK, GAUGES, [], PlanSettings(), reach)
    return [line(f, system("US")) for f in found.findings]


def test_a_torque_that_no_hand_wrench_of_the_book_reaches() -> None:
    assert said(700, 600 * LBF_FT) == [
        "by hand, but torque 700 lbf·ft is above 600 lbf·ft, the most that the hand torque wrenches of the book give: "
        "another method?"
    ]


def test_without_hand_tools_in_the_book_the_usual_ones_count() -> None:
    """2000 N·m are 1475 lbf·ft."""
    assert said(1500, math.nan) == [
        "by hand, but torque 1500 lbf·ft is more than hand torque wrenches usually give, 1475 lbf·ft: another method, "
        "or list the tool in the wrench book"
    ]


@pytest.mark.parametrize(("torque", "reach", "method"), [(800, 800 * LBF_FT, "hand"), (1400, math.nan, "hand"),
                                                         (1400, 600 * LBF_FT, "hydraulic")])  # fmt: skip
def test_within_reach_nothing_is_said(torque: float, reach: float, method: str) -> None:
    assert said(torque, reach, method=method) == []
