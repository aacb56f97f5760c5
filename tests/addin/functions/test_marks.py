"""Marks of a coarse gauge: a torque may be missed by 3 % at full torque and 10 % below it, unless more is allowed."""

from typing import Any

import pytest

from addin.functions.gate import answer
from addin.functions.registry import FUNCTIONS

BY_NAME = {function.name: function for function in FUNCTIONS}
TABLE = [["Pressure (psi)", "Torque (lbf·ft)"], [1000, 300], [4000, 1215], [7000, 2130], [9000, 2740]]


def call(name: str, *values: Any) -> Any:
    return answer(BY_NAME[name], values)


def test_a_setpoint_between_two_coarse_marks_is_refused() -> None:
    """1,520 lbf·ft lies at 5000 psi exactly; 1,670 at 5492: the nearest mark of 1000 psi gives 1,520, 9 % less."""
    assert call("setpoint", 1520, TABLE, "US", 1000) == 5000
    assert call("setpoint", 1670, TABLE, "US", 1000) == (
        "STOP: the mark 5000 psi gives 1520 lbf·ft, -9.0 % off torque 1670 lbf·ft; the tolerance is 3 %"
    )
    assert call("setpoint", 1670, TABLE, "US", 1000, "nearest", 10) == 5000


@pytest.mark.parametrize("tolerance", [1, 1.5, "1 %", 0.5])
def test_small_tolerances_are_per_cent(tolerance: Any) -> None:
    assert call("setpoint", 1550, TABLE, "US", 1000, "nearest", tolerance) == (
        "STOP: the mark 5000 psi gives 1520 lbf·ft, -1.9 % off torque 1550 lbf·ft; "
        f"the tolerance is {str(tolerance).removesuffix(' %')} %"
    )


def test_a_tolerance_typed_as_a_share_is_refused() -> None:
    assert call("setpoint", 1550, TABLE, "US", 1000, "nearest", 0.03).startswith("STOP: tolerance")


def test_a_stage_that_coarse_marks_miss_by_a_third_stops_the_table() -> None:
    """30 % of 1,520 is 456 lbf·ft, at 1511 psi: marks of 1000 psi give 605 (+32.7 %)."""
    assert call("pass_table", 1520, TABLE, "US", "30/70/100", 1000) == (
        "STOP: pass 1: the mark 2000 psi gives 605 lbf·ft, +32.7 % off its torque 456 lbf·ft; "
        "the tolerance of a pass below full torque is 10 %: a gauge with finer marks"
    )
    assert call("pass_table", 1520, TABLE, "US", "30/70/100", 100)[2][3] == 1500
