"""The one reader of calibration tables."""

from typing import Any

import pytest

from addin.cells.table import read_table
from addin.cells.words import line
from calc.findings import InputError
from calc.units import system

HEAD = ["Pressure (psi)", "Torque (ft-lb)"]
ROWS = [[1000, 100], [2000, 210], [3000, 320]]


def refused(rows: list[list[Any]]) -> str:
    with pytest.raises(InputError) as caught:
        read_table(rows).curve()
    assert line(caught.value.finding, system("US"))
    return caught.value.finding.code


@pytest.mark.parametrize(
    "head",
    [HEAD, ["psi", "ft-lb"], ["Pump pressure, psi", "Output torque [ft.lbs]"], ["PRESSURE PSI", "TORQUE FT-LB"],
     ["Gauge pressure / psi", "Torque / lbf·ft"], ["pressure psi", "torque lbf ft"]],
)  # fmt: skip
def test_headings_with_units(head: list[str]) -> None:
    table = read_table([head, *ROWS])

    assert (table.pressure_unit, table.torque_unit) == ("psi", "lbf·ft")
    assert table.curve().torque.tolist() == pytest.approx([t * 1.3558179483314003 for _, t in ROWS], rel=1e-13)


def test_columns_may_stand_in_any_order_and_with_others_beside_them() -> None:
    table = read_table([["Point", "Torque (Nm)", None, "Pressure (bar)"], [1, 800, None, 100], [2, 1650, None, 200]])

    assert table.torque.tolist() == [800, 1650]
    assert [f.code for f in table.findings] == ["table_column_ignored"]


def test_a_second_unit_is_checked_against_the_first() -> None:
    good = read_table([[*HEAD, "Pressure (bar)"], [1000, 100, 69], [2000, 210, 138]])
    bad = read_table([[*HEAD, "Pressure (bar)"], [1000, 100, 69], [2000, 210, 183]])

    assert not good.findings
    assert [f.code for f in bad.findings] == ["table_columns_disagree"]
    assert refused([[*HEAD, "Pressure (bar)"], [1000, 100, 69], [2000, 210, 183]]) == "table_columns_disagree"


@pytest.mark.parametrize(
    "head",
    [["Pressure (psi)", "Torque up (ft-lb)", "Torque down (ft-lb)"],
     ["Pressure (psi)", "As found (ft-lb)", "As left (ft-lb)"],
     ["Nominal pressure (psi)", "Pressure (psi)", "Torque (ft-lb)"],
     ["Pressure (psi)", "Torque (ft-lb)", "Torque (ft-lb)"],
     ["Pressure (psi)", "Torque (ft-lb)", "Measured torque (ft-lb)"]],
)  # fmt: skip
def test_two_readings_are_asked_about_never_averaged(head: list[str]) -> None:
    assert refused([head, [1000, 100, 101], [2000, 210, 211]]) == "table_ask"


@pytest.mark.parametrize(
    ("rows", "code"),
    [
        ([["Pressure", "Torque (ft-lb)"], *ROWS], "unit_missing"),
        ([["Pressure (psi)", "Torque (lb)"], *ROWS], "heading_unit"),
        ([["Pressure (psi)", "Torque (ft-lb / Nm)"], *ROWS], "heading_unit"),
        ([["Pressure (psi)", "Force (lbf)"], *ROWS], "table_headings"),
        ([["a", "b"], *ROWS], "table_headings"),
        ([HEAD], "table_headings"),
        ([HEAD, [1000, 100]], "table_too_short"),
        ([HEAD, [1000, 100], [2000, None], [3000, 320]], "table_gap"),
        ([HEAD, [1000, 100], [2000, "#N/A"]], "error_cell"),
        ([HEAD, [1000, 100], [2000, "about 210"]], "not_a_number"),
        ([HEAD, [1000, 100], [2000, True]], "is_truth_value"),
        ([HEAD, [2000, 210], [1000, 100]], "table_not_rising"),
        ([HEAD, [1000, 100], [1000, 110]], "table_duplicate"),
    ],
)
def test_what_is_refused(rows: list[list[Any]], code: str) -> None:
    assert refused(rows) == code


def test_rows_below_the_last_value_do_not_count() -> None:
    assert read_table([HEAD, *ROWS, [None, None], ["", " "]]).pressure.size == 3


def test_faults_name_their_row_and_column() -> None:
    with pytest.raises(InputError) as caught:
        read_table([HEAD, [1000, 100], [2000, "x"]])

    assert line(caught.value.finding, system("US")) == "table row 2, 'Torque (ft-lb)': torque must be a number, got 'x'"
