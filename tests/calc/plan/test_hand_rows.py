"""Rows by hand have a ceiling: what the hand torque wrenches of the book give, else what they usually give."""

import datetime
import math
from typing import Any

import pytest

from addin.cells.words import line
from calc.plan.hand import HandTool, HandTools
from calc.plan.joints import PlanSettings, joints
from calc.plan.plan import plan_joints
from calc.quantities import LBF_FT
from calc.units import system
from tests.calc.plan.test_breakout import BOOK, GAUGES, MAKE


def said(torque: float, reach: float, multipliers: tuple[HandTool, ...] = (), **more: Any) -> list[str]:
    row = {**MAKE, "method": "hand", "torque": torque * LBF_FT, **more}
    made = joints(1, **{name: [value] for name, value in row.items()})
    wrenches = () if math.isnan(reach) else (HandTool("HT-1", reach, reach / 10),)
    found = plan_joints(made, BOOK, GAUGES, [], PlanSettings(), HandTools(wrenches, multipliers))
    return [line(f, system("US")) for f in found.findings]


def test_a_torque_that_no_hand_wrench_of_the_book_reaches() -> None:
    assert said(700, 600 * LBF_FT) == [
        "by hand, but torque 700 lbf·ft is above 600 lbf·ft, the most that the hand tools of the book give on that "
        "day: another method?"
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


def test_a_multiplier_gives_what_to_set_on_the_wrench_while_its_certificate_holds() -> None:
    """1500 lbf·ft through a ratio of 5 are 300 lbf·ft."""
    day = float(datetime.date(2026, 3, 1).toordinal())
    multiplier = HandTool("X-1", 2000 * LBF_FT, ratio=5.0, first=day - 10, last=day + 10)

    assert said(1500, 600 * LBF_FT, (multiplier,), date=day) == [
        "by hand through multiplier X-1, ratio 5, certificate valid until 2026-03-11: 1500 lbf·ft at the nut is 300 "
        "lbf·ft on the hand torque wrench, and each pass in proportion"
    ]
    assert "is above 600 lbf·ft" in said(1500, 600 * LBF_FT, (multiplier,), date=day + 20)[0]
    assert "is above 2000 lbf·ft" in said(2100, 600 * LBF_FT, (multiplier,), date=day)[0]


def test_a_multiplier_is_turned_by_a_wrench_within_its_range_ends_included() -> None:
    """A wrench of 100 to 240 N·m through a ratio of 5: 500 to 1200 N·m."""
    tools = HandTools((HandTool("HT-1", 240.0, 100.0),), (HandTool("X-1", 1500.0, ratio=5.0),))
    through = [tools.through(torque, math.nan) for torque in (499.0, 500.0, 1200.0, 1201.0)]
    assert [tool.name if tool else "" for tool in through] == ["", "X-1", "X-1", ""]


def test_of_hand_tools_the_strongest_that_serves_counts_and_the_lowest_ratio_that_is_enough() -> None:
    """Wrenches to 100 and 240 N·m, the second from day 10 to day 20; ratios of 4 and 5 to 900 and 1500 N·m."""
    wrenches = (HandTool("HT-1", 100.0, 20.0), HandTool("HT-2", 240.0, 100.0, first=10.0, last=20.0))
    tools = HandTools(wrenches, (HandTool("X-5", 1500.0, ratio=5.0), HandTool("X-4", 900.0, ratio=4.0)))
    assert [tools.alone(day) for day in (9.0, 10.0, 20.0, 21.0)] == [100.0, 240.0, 240.0, 100.0]
    assert HandTools().alone(1.0) == 0.0
    through = [tools.through(torque, 15.0) for torque in (400.0, 900.0, 901.0, 1200.0)]
    assert [tool.name if tool else "" for tool in through] == ["X-4", "X-4", "X-5", "X-5"]
    own = HandTools((HandTool("HT-1", 400.0),), (HandTool("X", 1500.0, ratio=5.0),))
    assert own.through(1500.0, 1.0) is not None
    assert own.through(0.5, 1.0) is not None  # no lowest torque is stated


def test_a_pass_raised_for_interaction_is_what_the_hand_tool_must_reach() -> None:
    """1.1 x 560 lbf·ft are 616, above the 600 of the tool; 1.1 x 540 are 594."""
    up = {"uplift": 1.1, "uplift_reason": "interaction, on the specified torque: N. Example", "stud_maximum": 700e6,
          "gasket_maximum": 400e6, "gasket_area": 0.02, "nut_factor": 0.2}  # fmt: skip
    assert any("torque 616 lbf·ft is above 600 lbf·ft" in text for text in said(560, 600 * LBF_FT, **up))
    assert not any("600 lbf·ft" in text for text in said(540, 600 * LBF_FT, **up))
