"""Which wrenches may be chosen at all, on which days, with which table, and what is kept in reserve."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from calc.quantities import INCH
from calc.wrench.calibration import Marks, Setting, curve
from calc.wrench.choice import CODES, Candidate, Gauge, Link, Wrench, candidates, over_link, refusals, same_flats

TABLE = curve([100e5, 600e5], [1000.0, 6000.0])
LINK = Link("60", 0.06, 1.0)
WRENCH = Wrench("HW-1", TABLE, 700e5, math.nan, "P-1", math.nan, "G-1", (LINK,), 100.0, 500.0)
GAUGE = Gauge("G-1", Marks(10.0, 1e5), 1000e5, 100.0, 500.0)  # marks of 10 bar: every 100 N·m of the table


def why(torque: float, day: float = 200.0, reserve: float = 0.0, gauge: Gauge = GAUGE, **changes: Any) -> str:
    (found,) = candidates([replace(WRENCH, **changes)], {"G-1": gauge})
    reasons, _ = refusals(
        found, np.array([torque]), np.array([day]), reserve=reserve, tolerance=0.03, rounding="nearest"
    )
    return CODES[int(reasons[0])]


def test_a_wrench_with_a_fault_or_without_its_gauge_is_never_chosen() -> None:
    assert [c.wrench.name for c in candidates([WRENCH], {"G-1": GAUGE})] == ["HW-1"]
    assert candidates([replace(WRENCH, faults=("table_order",))], {"G-1": GAUGE}) == []
    assert candidates([WRENCH], {"G-2": GAUGE}) == []
    assert candidates([replace(WRENCH, faults=("table_order",))], {}) == []


def test_a_link_with_its_own_table_gives_what_that_says_and_one_without_any_nothing() -> None:
    """Half the torque at the same pressures; the factor of the link is in its own table already."""
    own = curve([100e5, 600e5], [500.0, 3000.0])
    (found,) = candidates([replace(WRENCH, links=(Link("own", 0.06, 1.3, curve=own),))], {"G-1": GAUGE})
    assert found.top == pytest.approx(3000.0)
    (scaled,) = candidates([replace(WRENCH, links=(Link("by factor", 0.06, 1.3),))], {"G-1": GAUGE})
    assert scaled.top == pytest.approx(7800.0)
    both = (Link("own", 0.06, 1.3, curve=own), LINK)
    assert [c.link.name for c in candidates([replace(WRENCH, curve=None, links=both)], {"G-1": GAUGE})] == ["own"]


@pytest.mark.parametrize(
    ("day", "code"), [(299.0, "gauge_certificate"), (300.0, ""), (400.0, ""), (401.0, "gauge_certificate")]
)
def test_a_gauge_serves_from_the_first_to_the_last_day_of_its_certificate(day: float, code: str) -> None:
    assert why(2000.0, day, gauge=replace(GAUGE, calibrated=300.0, valid_until=400.0)) == code


@pytest.mark.parametrize(
    ("day", "code"), [(99.0, "wrench_certificate"), (100.0, ""), (500.0, ""), (501.0, "wrench_certificate")]
)
def test_a_wrench_serves_from_the_first_to_the_last_day_of_its_certificate(day: float, code: str) -> None:
    assert why(2000.0, day, gauge=replace(GAUGE, calibrated=1.0, valid_until=999.0)) == code


@pytest.mark.parametrize(("torque", "code"), [(5400.0, ""), (5500.0, "no_reserve"), (6000.0, "no_reserve")])
def test_a_tenth_in_reserve_leaves_nine_tenths_of_the_most(torque: float, code: str) -> None:
    assert why(torque, reserve=0.1) == code
    assert why(torque) == ""


def test_a_mark_too_far_from_the_torque_refuses_a_wrench_that_is_alone_on_its_pump() -> None:
    """1050 N·m lies half-way between the marks of 100 and 110 bar, 1000 and 1100 N·m: 4.8 % off."""
    assert why(1050.0) == "mark_too_far"
    assert why(2050.0) == ""  # 2.4 % off


@pytest.mark.parametrize(("off", "same"), [(6.9e-5, True), (8e-5, False)])
def test_a_measured_width_is_that_of_a_link_within_seven_hundredths_of_a_millimetre(off: float, same: bool) -> None:
    assert same_flats(2.5625 * INCH, 2.5625 * INCH + off) is same


def test_the_link_is_not_blamed_where_the_table_of_one_of_two_wrenches_refuses_the_mark() -> None:
    limited = replace(WRENCH, links=(Link("60", 0.06, 1.0, 1005.0),))
    group: list[Candidate] = candidates([limited, replace(WRENCH, name="HW-2")], {"G-1": GAUGE})
    within, beyond = (
        Setting(*(np.array([value]) for value in (10.0, 1e7, torque, torque / 1000 - 1))) for torque in (1010.0, 1050.0)
    )
    assert over_link(group, (within, within), 0, 0.03)["which"] == "HW-1"
    assert over_link(group, (within, beyond), 0, 0.03) == {}
    assert over_link(group, (beyond, within), 0, 0.03) == {}
