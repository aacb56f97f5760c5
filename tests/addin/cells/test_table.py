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
    assert [f.code for f in table.findings] == ["table_column_other"]


def test_a_second_unit_is_checked_against_the_first() -> None:
    good = read_table([[*HEAD, "Pressure (bar)"], [1000, 100, 69], [2000, 210, 138]])  # bar to the whole unit
    bad = read_table([[*HEAD, "Pressure (bar)"], [1000, 100, 69], [2000, 210, 183]])

    assert not good.findings
    assert [f.code for f in bad.findings] == ["table_columns_disagree"]
    assert refused([[*HEAD, "Pressure (bar)"], [1000, 100, 69], [2000, 210, 183]]) == "table_columns_disagree"


@pytest.mark.parametrize(
    ("head", "sentence"),
    [(["Pressure (psi)", "Torque up (ft-lb)", "Torque down (ft-lb)"], "are of rising and falling pressure"),
     (["Pressure (psi)", "As found (ft-lb)", "As left (ft-lb)"], "are as found and as left"),
     (["Nominal pressure (psi)", "Pressure (psi)", "Torque (ft-lb)"], "are nominal and measured"),
     (["Pressure (psi)", "Torque (ft-lb)", "Torque (ft-lb)"], "both hold torque"),
     (["Pressure (psi)", "Torque (ft-lb)", "Measured torque (ft-lb)"], "are nominal and measured"),
     (["Pressure (psi)", "Run 1 (ft-lb)", "Run 2 (ft-lb)"], "are several runs without a mean"),
     (["Pressure (psi)", "Run 1 (ft-lb)", "Mean (ft-lb)"], "are runs and their mean; 'Mean (ft-lb)' is proposed"),
     (["Pressure (psi)", "HW-1 (ft-lb)", "HW-2 (ft-lb)"], "seem to be several wrenches"),
     (["Pressure (psi)", "60 mm link (ft-lb)", "75 mm link (ft-lb)"], "are of several links")],
)  # fmt: skip
def test_two_readings_are_asked_about_never_averaged(head: list[str], sentence: str) -> None:
    with pytest.raises(InputError) as caught:
        read_table([head, [1000, 100, 101], [2000, 210, 211]])

    said = line(caught.value.finding, system("US"))
    assert sentence in said
    assert "column'; in a formula give it alone" in said


@pytest.mark.parametrize(
    "head",
    [["Return pressure (psi)", "Torque (ft-lb)"], ["Pressure (psi)", "Rated torque (ft-lb)"],
     ["Pressure (psi)", "Torque before adjustment (ft-lb)"], ["Pressure (psi)", "Nominal torque (ft-lb)"],
     ["Pressure (psi)", "HW-2 (ft-lb)"], ["Druck steigend (psi)", "Drehmoment vor Justage (ft-lb)"]],
)  # fmt: skip
def test_a_sole_column_is_not_taken_by_its_unit_alone(head: list[str]) -> None:
    assert refused([head, *ROWS]).startswith("table_ask")


def test_the_answer_names_the_column_that_holds() -> None:
    rows = [["Pressure (psi)", "Up (ft-lb)", "Down (ft-lb)"], [1000, 100, 110], [2000, 210, 220], [3000, 320, 330]]
    for answer in ("Up (ft-lb)", "up (FT-LB)", "column B", "B"):
        assert read_table(rows, holds={"torque": answer}).torque[0] == pytest.approx(100 * 1.3558179483314003)
    with pytest.raises(InputError) as caught:
        read_table(rows, holds={"torque": "Middle"})
    assert "'Middle' is no column of the table" in line(caught.value.finding, system("US"))


@pytest.mark.parametrize(
    "rows",
    [
        [["Pressure (psi)", 1000, 2000, 3000], ["Torque (ft-lb)", 100, 210, 320]],
        [["Pressure", "Torque"], ["psi", "ft-lb"], *ROWS],
        [["Certificate 7, as left"], HEAD, *ROWS],
        [HEAD, [0, 0], *ROWS],
        [HEAD, *ROWS[::-1]],
        [HEAD, ROWS[0], ["checked at 20 °C", None], *ROWS[1:], ["-", "-"]],
        [HEAD, *ROWS[:2], HEAD, ROWS[2]],
        [["Pressure (psi) Torque (ft-lb)"], ["1000 100"], ["2000 210"], ["3000 320"]],
        [[*HEAD, None, *HEAD], [1000, 100, None, 3000, 320], [2000, 210, None, None, None]],
        [["Pressure", "Torque"], ["1000 psi", "100 ft-lb"], ["2000 psi", "210 ft-lb"], ["3000 psi", "320 ft-lb"]],
        [HEAD, ["1,000", "100"], ["2,000", "210"], ["3,000", "320"]],
        [[*HEAD, "Uncertainty (%)", "Temp (°C)"], *[[*row, 0.5, 21] for row in ROWS]],
        [["Line pressure (psi)", "Measured torque (ft-lb)"], *ROWS],
        [["Pression manomètre (psi)", "Couple de serrage (ft-lb)"], *ROWS],
        [["Presión (psi)", "Par (ft-lb)"], *ROWS], [["Pressão (psi)", "Binário (ft-lb)"], *ROWS],
        [HEAD, [1000, 100], [], [2000, 210], [], [3000, 320]],
        [["Pressure", None, "Torque", None], ["psi", "bar", "ft-lb", "N·m"], *[[*[row[0], round(row[0] / 14.5)],
         *[row[1], round(row[1] * 1.3558)]] for row in ROWS]],
        [["Pressure (psi)", "Run 1 (ft-lb)", "Run 2 (ft-lb)", "Result: mean torque (ft-lb)"],
         *[[row[0], row[1] - 1, row[1] + 1, row[1]] for row in ROWS]],
        [["Pressure (psi)", "± psi", "Torque (ft-lb)", "± ft-lb"], *[[row[0], 50, row[1], 3] for row in ROWS]],
        [["Öldruck in psi", "Drehmoment in ft-lb"], *ROWS], [["Pressione (psi)", "Coppia (ft-lb)"], *ROWS],
    ],
)  # fmt: skip
def test_plain_tables_in_the_layouts_people_send(rows: list[list[Any]]) -> None:
    table = read_table(rows)

    assert [round(p / 6894.757293168361) for p in table.pressure] == [1000, 2000, 3000]
    assert [round(t / 1.3558179483314003) for t in table.torque] == [100, 210, 320]
    assert not [finding for finding in table.findings if finding.level != "note"]


def test_a_cell_may_state_its_pressure_in_two_units() -> None:
    rows = [["Pressure", "Torque (Nm)"], ["10 MPa (1,450 psi)", 480], ["20 MPa (2,901 psi)", 960], ["30 MPa", 1440]]
    table = read_table(rows)

    assert table.pressure.tolist() == [10e6, 20e6, 30e6]
    assert [line(f, system("US")) for f in table.findings if f.code == "table_two_units"] == [
        "cells like '10 MPa (1,450 psi)' state two units that agree: the first was read"
    ]


def test_a_gauge_named_beside_the_pressure_is_no_pressure() -> None:
    rows = [["Gauge", "Pressure (psi)", "Torque (ft-lb)"], *[["G-1", *row] for row in ROWS]]

    assert read_table(rows).pressure.size == len(ROWS)


@pytest.mark.parametrize(
    "head",
    [["Druk (bar)", "Aanhaalmoment (Nm)"], ["Tryck (bar)", "Åtdragningsmoment (Nm)"], ["圧力 (MPa)", "トルク (N·m)"],
     ["Ciśnienie [bar]", "Moment obrotowy [Nm]"], ["Basınç (bar)", "Sıkma torku (Nm)"], ["压力 (MPa)", "扭矩 (N·m)"]],
)  # fmt: skip
def test_headings_in_further_languages(head: list[str]) -> None:
    rows = [[30, 500], [40, 660], [50, 825]]

    assert read_table([head, *rows]).torque.tolist() == [500, 660, 825]


def test_the_column_decides_on_its_commas() -> None:
    metric = read_table([["Druck (bar)", "Drehmoment (Nm)"], ["100", "1.250,5"], ["200", "2.500"], ["300", "3.750"]])

    assert metric.torque.tolist() == [1250.5, 2500, 3750]
    assert refused([["Pressure (bar)", "Torque (Nm)"], [100, "10,125"], [200, "20,250"]]) == "number_ambiguous"
    assert refused([["Druck (bar)", "Drehmoment (Nm)"], [200, "1.150"], [300, "1.725"]]) == "number_ambiguous"


def test_a_confirmed_table_is_used_and_says_by_whom() -> None:
    rows = [HEAD, [1000, 100], [2000, 210], [3000, 320], [4000, 430], [5000, 540], [6000, 800]]
    assert refused(rows) == "table_off_line"

    table = read_table([*rows, ["Confirmed by A. Weir, 2026-03-14", None]])
    assert table.curve().torque.size == 6
    said = [line(finding, system("US")) for finding in table.doubts()]
    assert "table row 6" in said[0]
    assert said[1] == "odd points of the certificate are confirmed by A. Weir, 2026-03-14"


@pytest.mark.parametrize(
    ("rows", "code"),
    [
        ([["Pressure", "Torque (ft-lb)"], *ROWS], "unit_missing"),
        ([["Pressure (psi)", "Torque (lb)"], *ROWS], "table_unit_of_mass"),
        ([["Pressure (psi)", "Torque (ft-lb / Nm)"], *ROWS], "heading_unit"),
        ([["Pressure (psi)", "Force (lbf)"], *ROWS], "table_headings"),
        ([["a", "b"], *ROWS], "table_headings"),
        ([HEAD], "table_headings"),
        ([HEAD, [1000, 100]], "table_too_short"),
        ([HEAD, [1000, 100], [2000, None], [3000, 320]], "table_gap"),
        ([HEAD, [1000, 100], [2000, "#N/A"]], "error_cell"),
        ([HEAD, [1000, 100], [2000, "about 210"]], "not_a_number"),
        ([HEAD, [1000, 100], [2000, True]], "is_truth_value"),
        ([HEAD, [2000, 210], [1000, 100], [3000, 320]], "table_not_rising"),
        ([HEAD, [1000, 100], [1000, 110]], "table_duplicate"),
    ],
)
def test_what_is_refused(rows: list[list[Any]], code: str) -> None:
    assert refused(rows) == code


@pytest.mark.parametrize(
    ("rows", "sentence"),
    [
        ([["AS FOUND", None], HEAD, *ROWS, [], ["AS LEFT", None], HEAD, *ROWS], "are as found and as left"),
        ([["Pressure (psi)", "Torque"], [1000, "300 ft-lb"], [2000, 610], [3000, 920]],
         "column 'Torque': 2 of its 3 cells state no unit of torque and neither does its heading (first row 2 of the "
         "table): write the unit in the heading or in every cell"),
        ([["Pressure", "Torque (ft-lb)"], ["70 bar", 300], ["140", 610], ["210 bar", 920]],
         "column 'Pressure': 1 of its 3 cells state no unit of pressure and neither does its heading (first row 2 of "
         "the table): write the unit in the heading or in every cell"),
        ([HEAD, *ROWS, [2000, 220], [1000, 111]], "rise and then fall again from row 4"),
        ([["Pressure (psi)", "Torque min. (ft-lb)", "Torque max. (ft-lb)"], *[[*row, row[1] + 5] for row in ROWS]],
         "are the lowest and the highest torque"),
        ([["Pressure (psi)", "Torque 2025 (ft-lb)", "Torque 2026 (ft-lb)"], *[[*row, row[1] + 5] for row in ROWS]],
         "are calibrations of different years"),
        ([["Pressure (psi)", "Uncertainty (ft-lb)"], *ROWS], "is the uncertainty, and no other column holds the"),
        ([["Pressure (psi)", "Torque (lb)"], *ROWS], "lb alone is no unit of torque; write which one, lbf·ft or"),
        ([HEAD, [1000, 100], [2000, "210 *"], [3000, 320], ["* extrapolated", None]], "'210 *' carries a mark"),
        ([HEAD, *ROWS, [], [4000, 430]], "after an empty row"),
        ([HEAD, [1000, 100], [2000, "210*"], [3000, 320]], "'210*' carries a mark"),
        ([[*HEAD, None, *HEAD], [1000, 100, None, 1000, 140]], "a second table stands beside the first"),
        ([[*HEAD, None], *[[*row, row[1] * 1.36] for row in ROWS]], "goes with the torque and nothing says what it is"),
        ([["As found", None, None, "As left", None], [*HEAD, None, *HEAD], [1000, 100, None, 4000, 430]],
         "as found and as left"),
        ([HEAD, *ROWS, ["falling"], [2000, 220]], "stands among the rows"),
        ([["Link 60 mm"], HEAD, *ROWS, ["Link 75 mm"], HEAD, *ROWS],
         "a second table begins here ('Link 75 mm'; the first is 'Link 60 mm'): which one applies? One sheet each"),
        ([["Pressure", "Torque (Nm)"], ["10 MPa (1,450 psi)", 480], ["20 MPa (2,100 psi)", 960], ["30 MPa", 1440]],
         "row 2 of the table: the two units of '20 MPa (2,100 psi)' do not agree: which one applies?"),
    ],
)  # fmt: skip
def test_layouts_that_need_a_person(rows: list[list[Any]], sentence: str) -> None:
    with pytest.raises(InputError) as caught:
        read_table(rows)
    assert sentence in line(caught.value.finding, system("US"))


def test_rows_below_the_last_value_do_not_count() -> None:
    assert read_table([HEAD, *ROWS, [None, None], ["", " "]]).pressure.size == 3


def test_faults_name_their_row_and_column() -> None:
    with pytest.raises(InputError) as caught:
        read_table([HEAD, [1000, 100], [2000, "x"]])

    assert line(caught.value.finding, system("US")) == "table row 2, 'Torque (ft-lb)': torque must be a number, got 'x'"
