"""A torque without friction: how far it may take the stud, by hand (tension on the tensile stress area alone)."""

import math
from typing import Any

import pytest

from addin.cells.words import line
from calc.plan.plans import Plans
from calc.quantities import LBF_FT
from calc.units import system
from tests.calc.plan.test_breakout import MAKE, plan, wrench

SMALL = {**{k: v for k, v in MAKE.items() if k != "nut_factor"}, "method": "hand", "thread": "3/4-10", "studs": 8.0}


def said(found: Plans) -> list[str]:
    return [line(f, system("US")) for f in found.findings]


def row(torque: float, **more: Any) -> Plans:
    return plan({**SMALL, "torque": torque * LBF_FT, **more})


def test_past_yield_even_at_much_friction_stops() -> None:
    """3/4-10: 480 x 12 / (0.2 x 0.75) = 38,400 lbf on 0.3345 in² = 114.8 ksi, 109 % of 105 ksi."""
    found = row(480)

    assert found.status == ("stopped",)
    assert said(found)[0] == (
        "torque 480 lbf·ft takes the stud to 109 % of its minimum yield, 105000 psi, even at a nut factor of 0.2: "
        "correct the torque, or state the friction it is meant for"
    )


def test_with_a_friction_the_row_is_judged_by_it_and_with_torsion() -> None:
    stated = row(480, nut_factor=0.2)

    assert [f.code for f in stated.stops()] == ["yield_exceeded"]
    assert row(280, nut_factor=0.2).status == ("planned",)


def test_near_yield_at_little_friction_is_a_caution_that_names_the_friction() -> None:
    """At 300 lbf·ft 90 % of yield is reached at K = 300 x 12 / (0.75 x 0.3345 x 94,500) = 0.152."""
    found = row(300)

    assert found.status == ("planned",)
    assert (
        "friction not stated: below a nut factor of 0.15 this torque takes the stud past 90 % of its minimum yield"
        in said(found)
    )


def test_a_moderate_torque_says_where_it_would_reach_yield() -> None:
    """At 150 lbf·ft: K = 0.076."""
    assert (
        "preload and limits not known: friction not stated; at a nut factor of 0.076 it reaches 90 % of yield"
        in said(row(150))
    )


def test_without_a_grade_only_what_no_stud_holds_stops() -> None:
    assert row(480, grade="").status == ("planned",)
    found = row(4800, grade="", thread="5/8-11")

    assert found.status == ("stopped",)
    assert "more than any stud known here holds" in said(found)[0]


@pytest.mark.parametrize("method", ["hand", "hydraulic"])
def test_the_rule_holds_for_every_method(method: str) -> None:
    found = plan({**SMALL, "method": method, "torque": 480 * LBF_FT}, book=[wrench("HW-1", 0.15)])

    assert found.status == ("stopped",)
    assert not math.isfinite(found.torque[0])


def test_a_torque_that_hardly_loads_the_stud_even_at_little_friction_is_a_caution() -> None:
    """20 lbf·ft: 20 x 12 / (0.12 x 0.75) = 2,667 lbf on 0.3345 in² = 7.97 ksi, 7.6 % of 105 ksi; 60 lbf·ft: 22.8 %."""
    low = (
        "friction not stated: even at a nut factor of 0.12 this torque takes the stud to 7.59 % of its minimum yield "
        "105000 psi only: check torque, unit and size"
    )
    assert low in said(row(20))
    assert "torque_low" not in [f.code for f in row(60).findings]
    assert "torque_low" not in [f.code for f in row(20, gasket="EPDM rubber").findings]
