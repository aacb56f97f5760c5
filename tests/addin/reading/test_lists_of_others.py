"""Rules of reading that hold for any list: two languages, rows of units, descriptions, sums, several flanges a row."""

import datetime
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from few_lines import HEAD, ROWS, Read, columns, reader
from openpyxl import Workbook

from addin.cells.words import line
from addin.reading.joint_list import JointList, read_joint_list
from addin.reading.understood import ASKED, CHECKED, NOT_USED, PROPOSED, SURE, Answers
from addin.workbooks.package import WorkbookError
from calc.units import system


@pytest.fixture
def read(tmp_path: Path) -> Read:
    return reader(tmp_path)


def states(found: JointList) -> dict[str, tuple[str | None, str]]:
    return {each.heading: (each.field, each.state) for each in found.understood.columns}


def wider(heading: str, *cells: Any) -> list[list[Any]]:
    return [[*HEAD, heading], *([*row, cell] for row, cell in zip(ROWS, cells, strict=True))]


# --- headings --------------------------------------------------------------------------------------------------------


def test_a_heading_in_two_languages_is_heard_in_the_one_that_is_understood(read: Read) -> None:
    heads = ["Pakning / Gasket", "Moment / Torque (Nm)", "Flens-ID / Flange ID", "Qwrtz / Studs", "Plmk / Stud size"]
    found = states(read([heads, *(["SWG", row[3], row[0], row[2], row[1]] for row in ROWS)]))
    assert list(found.values()) == [
        ("gasket", SURE), ("torque", SURE), ("joint", SURE), ("studs", SURE), ("thread", SURE)
    ]  # fmt: skip


def test_a_wrapped_heading_is_not_two_languages(read: Read) -> None:
    heads = ["Flange\nNo.", "Bolt\nsize", "Bolt\nqty", "Old\ntorque Nm", "Torque\nNm"]
    found = states(read([heads, *([*row[:3], row[3] - 10, row[3]] for row in ROWS)]))
    assert found["Old torque Nm"] == (None, NOT_USED)
    assert found["Torque Nm"] == ("torque", SURE)


def test_a_row_of_units_is_told_by_the_numbers_below_it(read: Read) -> None:
    heads = ["Tag", "Flange", "Bolts", "d", "FB", "MA"]
    units = [None, "EN 1092-1", "n x d", "mm", "kN", "Nm"]
    rows = [["A-1", "DN200 PN40", "12 x M27", 228, 79.8, 338], ["A-2", "DN100 PN40", "8 x M20", 120, 50.9, 160]]
    found = read([heads, units, *rows])
    assert found.numbers == (3, 4)
    assert (columns(found)["MA / Nm"].field, columns(found)["MA / Nm"].unit) == ("torque", "N·m")


@pytest.mark.parametrize("unit", ["Nm", "[Nm]"])
@pytest.mark.parametrize("form", ["ks x závit x délka", "Stk x M x Lg", "No. x dia. x L"])
def test_the_form_of_cells_stands_among_units(read: Read, form: str, unit: str) -> None:
    rows = [["A-1", "12 x M27 x 140", 520, "late"], ["A-2", "8 x M24 x 120", 350, None]]
    found = read([["Joint", "Studs", "MA", "Remarks"], [None, form, unit, None], *rows])
    assert found.numbers == (3, 4)
    assert (columns(found)[f"MA / {unit}"].field, columns(found)[f"MA / {unit}"].unit) == ("torque", "N·m")


def test_standards_stand_among_units_and_grades_of_joints_do_not(read: Read) -> None:
    heads = ["Joint", "Bolts", None, None, None, "Basis"]
    names = [None, "Qty", "Dia", "Stud", "Nut", "Target"]
    rows = [["F-1", 20, "1-1/4", "A193 B7", "2H", 50], ["F-2", 12, "7/8", "A320 L7", "7", 45]]
    found = read([heads, names, [None, "nos", "in", "ASTM", "A194", "% SMYS"], *rows], "B1:E1")
    assert found.numbers == (4, 5)
    assert columns(found)["Basis / Target / % SMYS"].field == "percent"
    found = read(
        [
            ["Joint", "Qty", "Dia", "Stud", "Torque (Nm)"],
            ["F-1", 20, "M30", "A193", 600],
            *([f"F-{i}", 20, "M30", "A193", 600] for i in (2, 3)),
        ]
    )
    assert found.numbers == (2, 3, 4)


def test_a_row_that_names_what_the_banner_leaves_open_is_no_row_of_units(read: Read) -> None:
    heads = ["Joint No.", "Bolts", None, None, "Preload", "Torque", "Old torque"]
    below = [None, "qty", "dia (in)", "L (mm)", "kN", "Nm", "Nm"]
    rows = [["A-1", 20, "1 1/8", 320, 162, 600, 500], ["A-2", 12, "7/8", 210, 90, 270, 200]]
    found = states(read([heads, below, *rows], "B1:D1"))
    assert found["Bolts / dia (in)"] == ("thread", SURE)
    assert found["Bolts / qty"] == ("studs", SURE)


def test_two_names_below_one_are_names(read: Read) -> None:
    heads = ["Tag No.", "Stud size", "No. off", "Torque (Nm)", None]
    found = states(read([heads, [None, None, None, "initial", "final"], *([*r[:3], r[3] / 2, r[3]] for r in ROWS)]))
    assert found["Torque (Nm) / initial"][1] == NOT_USED
    assert found["Torque (Nm) / final"] == ("torque", SURE)


def test_size_and_length_in_two_units_are_told_apart(read: Read) -> None:
    rows = [["A-1", "1 3/8 x 255", 20, 1540], ["A-2", "2 x 360", 16, 4800], ["A-3", "7/8 x 150", 8, 300]]
    found = read([["Joint No.", "Bolt (in x mm)", "Qty", "Torque Nm"], *rows])
    assert columns(found)["Bolt (in x mm)"].unit == "in"
    assert found.rows.joints.thread[1] == "2"
    assert found.rows.texts["length"][:2] == ["255", "360"]


@pytest.mark.parametrize("corner", ["Sheet 1 of 1", "issue 2", "Rev. C 3"])
def test_what_stands_in_the_corner_of_a_page_is_no_heading(read: Read, corner: str) -> None:
    title = ["BOLT-UP LIST", None, "Job 12", corner]
    found = states(read([title, HEAD, *ROWS]))
    assert found["Torque Nm"] == ("torque", SURE)


def test_values_above_the_headings_are_no_headings(read: Read) -> None:
    label = ["Product No.", "R21-108", "Design pressure", "5.8 MPa"]
    assert states(read([label, HEAD, *ROWS]))["Torque Nm"] == ("torque", SURE)


# --- the joint -------------------------------------------------------------------------------------------------------

COVERS = ["Channel cover", "Suction flange", "Discharge nozzle", "Manway, top"]


def test_a_description_of_the_joint_is_proposed_before_a_running_number(read: Read) -> None:
    lines = [
        ["No.", "Connection", *HEAD[1:]],
        *([i, c, *r[1:]] for i, (c, r) in enumerate(zip(COVERS, ROWS, strict=True), 1)),
    ]
    found = columns(read(lines))
    assert (found["Connection"].field, found["Connection"].state) == ("joint", PROPOSED)
    assert "its cells describe joints (Channel cover, Suction flange)" in found["Connection"].why


def test_a_running_number_counts_no_studs(read: Read) -> None:
    lines = [["Tag No.", "No.", "Stud size", "Torque Nm"], *([r[0], i, r[1], r[3]] for i, r in enumerate(ROWS, 1))]
    assert states(read(lines))["No."][0] != "studs"


# --- what must not be taken ------------------------------------------------------------------------------------------


def test_rows_of_several_flanges_ask_whose_studs_are_counted(read: Read) -> None:
    studs = columns(read(wider("Flange qty.", 1, 2, 1, 4)))["No. off"]
    assert studs.state == ASKED
    assert "'Flange qty.' says that rows stand for several flanges" in studs.why


@pytest.mark.parametrize("heading", ["No. off / flange", "Studs per joint", "Qty each"])
def test_a_count_that_says_it_is_of_each_flange_is_sure(read: Read, heading: str) -> None:
    lines = wider("Flange qty.", 1, 2, 1, 4)
    lines[0][2] = heading
    assert columns(read(lines))[heading].state == SURE


def test_cells_that_say_both_ask_too(read: Read) -> None:
    assert columns(read(wider("Side", "both", "one", "both", "one")))["No. off"].state == ASKED
    assert columns(read(wider("Washers", "both", "one", "both", "one")))["No. off"].state == SURE


def test_a_series_named_in_one_row_is_open_in_the_others(read: Read) -> None:
    rows = [["A-1", "1 1/8 UNC", 12, 700], ["A-2", "1 1/4", 8, 900], ["A-3", "3/4", 8, 140]]
    thread = columns(read([HEAD, *rows]))["Stud size"]
    assert thread.state == ASKED
    assert "'1 1/8 UNC' names its series, '1 1/4' does not" in thread.why
    rows[0][1] = "3/4-10 UNC"
    assert columns(read([HEAD, *rows]))["Stud size"].state == SURE


def test_codes_under_spec_are_no_grade(read: Read) -> None:
    assert states(read(wider("Spec", "C3S", "F6R", "C3S", "C3S")))["Spec"] == (None, NOT_USED)
    assert states(read(wider("Spec", "B7", "B7", "B16", "B7")))["Spec"] == ("grade", SURE)


def test_a_column_that_nothing_fills_states_no_method(read: Read) -> None:
    assert states(read(wider("Tightened by", None, None, None, None)))["Tightened by"] == (None, NOT_USED)


def test_a_torque_of_another_year_is_only_compared(read: Read) -> None:
    found = states(read(wider("Torque 2021 Nm", 470, 260, 150, 475)))
    assert found["Torque 2021 Nm"] == ("torque", CHECKED)
    assert found["Torque Nm"] == ("torque", SURE)


# --- notes -----------------------------------------------------------------------------------------------------------


def test_a_test_that_is_over_leaves_the_final_torque(read: Read) -> None:
    lines = [[*HEAD[:3], "Test torque Nm", "Final torque Nm"], *([*r[:3], 0.6 * r[3], r[3]] for r in ROWS)]
    assert [state for _, state in states(read(lines)).values()][3:] == [ASKED, ASKED]
    found = columns(read([["REINSTATEMENT AFTER HYDROTEST"], *lines]))
    assert (found["Test torque Nm"].state, found["Final torque Nm"].state) == (NOT_USED, SURE)
    assert "a target of the test, which is over" in found["Test torque Nm"].why


def test_a_note_that_says_what_is_run_with_chooses(read: Read) -> None:
    lines = [[*HEAD[:3], "DRY Nm", "LUBED Nm"], *([*r[:3], 1.3 * r[3], r[3]] for r in ROWS), []]
    assert states(read(lines))["LUBED Nm"][1] == ASKED
    found = states(read([*lines, ["We run LUBED - crankcase oil. Dry column is from the book only."]]))
    assert (found["DRY Nm"][1], found["LUBED Nm"][1]) == (NOT_USED, SURE)


def test_do_not_use_is_no_word_for_what_to_use(read: Read) -> None:
    lines = [[*HEAD, "% yield"], *([*r, 50] for r in ROWS), [], ["Torque: do not use if the lubricant differs."]]
    assert "it governs" not in columns(read(lines))["Torque Nm"].why


def test_a_unit_alone_above_the_headings_is_that_of_the_torque(read: Read) -> None:
    found = columns(read([["Couples de serrage", None, None, "daN.m"], [], [*HEAD[:3], "Couple"], *ROWS]))
    assert found["Couple"].unit == "daN·m"


def test_a_unit_in_spanish_or_portuguese_above_the_headings_is_that_of_the_torque(
    read: Read,
) -> None:
    for note in ("Torques en lb.pie con grasa grafitada", "Torques em lbf.pé"):
        found = columns(read([[note], [], [*HEAD[:3], "Torque"], *ROWS]))
        assert (found["Torque"].unit, found["Torque"].state) == ("lbf·ft", SURE)


# --- rows ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("word", ["Summe", "Total tirants A", "TOTALE", "Итого", "sum bolts"])
def test_a_sum_below_is_no_joint(read: Read, word: str) -> None:
    found = read([HEAD, *ROWS, [None, word, 40]])
    assert found.numbers == (2, 3, 4, 5)
    assert any(each.kind == "total_row" for each in found.said)


def test_a_row_without_tag_thread_and_target_is_told_and_not_read(read: Read) -> None:
    found = read([HEAD, *ROWS[:2], [None, "flanges", 40], *ROWS[2:]])
    assert found.numbers == (2, 3, 5, 6)
    assert any("row 4 names no joint, thread or target, and is not read" in each.text for each in found.said)


def test_a_row_without_a_tag_but_with_a_target_is_still_a_joint(read: Read) -> None:
    assert read([HEAD, *ROWS, [None, "M24", 12, 480]]).numbers == (2, 3, 4, 5, 6)


def test_studs_with_their_nuts_are_counted_as_studs(read: Read) -> None:
    rows = [["A-1", "M36x3x260", "20/40", 1300], ["A-2", "M33x2x210", "12/24", 1060], ["A-3", "M20x130", "4/8", 205]]
    found = read([["Tag No.", "Stud spec.", "Qty. stud/nut", "Torque Nm"], *rows])
    assert found.rows.joints.studs.tolist() == [20, 12, 4]
    assert found.rows.joints.thread[:2] == ("M36x3", "M33x2")
    assert found.rows.texts["length"] == ["260", "210", "130"]


# --- facts that stand elsewhere --------------------------------------------------------------------------------------


def coded(read: Read, *below: Sequence[Any], last: str = "B-2") -> JointList:
    rows = [["J-1", 6, 300, "SWG", "B-2"], ["J-2", 8, 300, "SWG", "B-1"], ["J-3", 8, 300, "SWG", "B-1"]]
    heads = ["Flange No.", "NPS", "Class", "Gasket", "Bolting code"]
    return read([heads, *rows, ["J-4", 6, 300, "SWG", last], [], *below])


TABLE = [
    ["Bolting code", "studs per joint", "stud", "torque N.m"],
    ["B-1", 12, "1 x 8UN", 460],
    ["B-2", 8, "7/8 x 9UNC", 320],
    ["B-3", 16, "1 1/4 x 8UN", 900],
]


def test_codes_are_read_as_the_table_below_the_list_has_them(read: Read) -> None:
    found = coded(read, *TABLE)
    assert found.numbers == (2, 3, 4, 5)
    joints = found.rows.joints
    assert joints.studs.tolist() == [8, 12, 12, 8]
    assert joints.torque.tolist() == [320, 460, 460, 320]
    assert joints.thread[0] == "7/8-9 UNC"
    assert any("row 7 to 10 is a table of codes" in each.text for each in found.said)


def test_a_code_that_the_table_lacks_stops_its_row(read: Read) -> None:
    found = coded(read, *TABLE, last="B-2*")
    assert {(fault.row, fault.quantity) for fault in found.rows.joints.faults} == {(3, "thread")}
    assert found.rows.joints.studs[3] != found.rows.joints.studs[3]


def test_a_range_is_a_target_only_where_a_note_says_which_end(read: Read) -> None:
    lines = [[*HEAD[:3], "Torque Nm low – high"], *([*r[:3], f"{r[3] - 20} – {r[3] + 20}"] for r in ROWS)]
    found = read([["Range = aim for the middle."], *lines])
    assert columns(found)["Torque Nm low – high"].field == "torque"
    accepted = read_joint_list(found.package.path, accept=True)
    assert accepted.rows.joints.torque.tolist() == [480, 270, 140, 480]
    silent = read_joint_list(read(lines).package.path, accept=True)
    assert {fault.code for fault in silent.rows.joints.faults if fault.quantity == "torque"} == {"unit_unknown"}


def test_a_cell_with_the_unit_of_another_target_is_that_target(read: Read) -> None:
    rows = [*ROWS[:3], ["V-3", "M36x3", 20, "545 kN"]]
    joints = read([HEAD, *rows]).rows.joints
    assert joints.load[3] == 545e3
    assert joints.torque[:3].tolist() == [480, 270, 140]
    assert joints.torque[3] != joints.torque[3]


def test_each_row_with_two_joints_is_asked_about(read: Read) -> None:
    banner = ["Valve No.", "INLET FLANGE", None, None, "OUTLET FLANGE", None, None]
    names = [None, "Studs", "Stud size", "Torque Nm", "Studs", "Stud size", "Torque Nm"]
    rows = [
        ["P-1", 8, "M20", 250, 4, "M16", 130],
        ["P-2", 8, "M24", 450, 8, "M16", 130],
        ["P-3", 8, "M20", 250, 8, "M16", 130],
    ]
    found = columns(read([banner, names, *rows], "B1:D1", "E1:G1"))
    asked = [each for each in found.values() if each.field in ("studs", "thread", "torque")]
    assert len(asked) == 6
    assert {each.state for each in asked} == {ASKED}
    assert "each row holds two joints" in asked[0].why


@pytest.mark.parametrize(
    ("heading", "taken"),
    [("MA,rec [Nm]", ("torque", SURE)), ("MA max [Nm]", (None, NOT_USED)), ("MA ist [Nm]", (None, NOT_USED))],
)
def test_a_symbol_says_by_its_index_what_it_is(read: Read, heading: str, taken: tuple[str | None, str]) -> None:
    lines = [["Flansch-Nr.", "Gewinde", "Anzahl", heading, "Nm soll"], *([*r, r[3]] for r in ROWS)]
    if taken[0] is not None:
        lines = [line[:4] for line in lines]
    assert states(read(lines))[heading] == taken


@pytest.mark.parametrize(("text", "count"), [("16 / chamber", 16), ("20 (1 oversize, see note)", 20), ("8 x 2", 8)])
def test_a_count_with_words_behind_it_is_proposed(read: Read, text: str, count: int) -> None:
    rows = [*ROWS[:3], ["V-3", "M24", text, 480]]
    found = read([HEAD, *rows])
    assert found.rows.joints.studs[3] != count
    assert [(each.text, each.meaning, each.state) for each in found.understood.meanings] == [
        (text, str(count), PROPOSED)
    ]
    assert read_joint_list(found.package.path, accept=True).rows.joints.studs[3] == count


@pytest.mark.parametrize("heading", ["Bolt stress (tons/sq.in)", "Bolt stress (tsi)", "Bolt stress (ton/in2)"])
def test_a_ton_to_the_inch_is_asked_for_it_is_2240_or_2000_pounds(read: Read, heading: str) -> None:
    found = read([["Flange", "Bolt", "No. off", heading], ["F-1", "1 1/8-8", 12, 18], ["F-2", "1-8", 8, 20]])
    (asked,) = (each for each in found.understood.columns if each.heading == heading)
    assert (asked.state, asked.unit) == (ASKED, None)
    assert any(heading in question.text and question.blocks for question in found.questions)


# --- weeks, and which of several targets governs -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("heading", "cells"),
    [
        ("Week", (41, 41, 42, 42)),
        ("Wk", ("wk 41", "wk 41", "wk 42", "wk 42")),
        ("KW", ("KW 41", "KW41", "41", "42")),
        ("Planned", ("KW 41", "KW 41", "KW 42", "KW 42")),
        ("Date", ("Mon", "Mon", "Tue", "Wed")),
    ],
)
def test_weeks_are_no_days_and_are_not_asked_about(read: Read, heading: str, cells: tuple[Any, ...]) -> None:
    found = read(wider(heading, *cells))
    assert states(found)[heading] == (None, NOT_USED)
    assert not [question for question in found.questions if "date" in question.text or heading in question.text]
    assert not found.rows.joints.faults
    assert f"'{heading}' names weeks or weekdays, no days of the calendar: no row has its own date by it" in [
        said.text for said in found.said
    ]


def test_days_beside_a_week_are_still_the_date(read: Read) -> None:
    days = [datetime.date(2026, 10, day) for day in (5, 6, 12, 13)]
    heads = [*HEAD, "Wk", "Planned"]
    found = states(read([heads, *([*row, 41, day] for row, day in zip(ROWS, days, strict=True))]))
    assert (found["Wk"], found["Planned"]) == ((None, NOT_USED), ("date", SURE))


@pytest.mark.parametrize("heading", ["Prec. (kN)", "kN", "Qwrtz kN", "Preload kN"])
def test_a_load_beside_a_torque_is_never_set_aside_unsaid(read: Read, heading: str) -> None:
    found = columns(read(wider(heading, 125, 84, 55, 125)))
    torque, load = found["Torque Nm"], found[heading]
    assert (torque.state, load.field, load.state) == (PROPOSED, "load", CHECKED)
    assert f"'{heading}' may be the target too: no note says which governs" in torque.why
    assert load.why == "'Torque Nm' is proposed as the target; never used, only compared with the plan"


def test_a_load_under_an_unknown_word_is_proposed_where_nothing_else_is_the_target(
    read: Read,
) -> None:
    heads = ["Joint No.", "Stud size", "No. off", "Qwrtz kN"]
    found = columns(read([heads, *([*row[:3], load] for row, load in zip(ROWS, (125, 84, 55, 125), strict=True))]))
    assert (found["Qwrtz kN"].field, found["Qwrtz kN"].unit, found["Qwrtz kN"].state) == ("load", "kN", PROPOSED)


def test_a_measured_load_is_no_target(read: Read) -> None:
    found = states(read(wider("As left load kN", 125, 84, 55, 125)))
    assert found["As left load kN"] == (None, NOT_USED)
    assert found["Torque Nm"] == ("torque", SURE)


def test_no_target_is_to_be_chosen_where_they_agree_at_the_friction_of_the_list(
    read: Read,
) -> None:
    loads = [row[3] / 0.16 / float(row[1][1:]) for row in ROWS]  # T = K D F
    heads = [*HEAD, "Preload kN", "K"]
    found = states(read([heads, *([*row, load, 0.16] for row, load in zip(ROWS, loads, strict=True))]))
    assert (found["Torque Nm"], found["Preload kN"]) == (("torque", SURE), ("load", SURE))
    other = states(read([heads, *([*row, load, 0.20] for row, load in zip(ROWS, loads, strict=True))]))
    assert (other["Torque Nm"], other["Preload kN"]) == (("torque", PROPOSED), ("load", CHECKED))


def test_no_target_is_to_be_chosen_where_each_row_has_one(read: Read) -> None:
    rows = [[*ROWS[0], None], [*ROWS[1][:3], None, 84], [*ROWS[2], None], [*ROWS[3][:3], None, 125]]
    found = states(read([[*HEAD, "Preload kN"], *rows]))
    assert (found["Torque Nm"], found["Preload kN"]) == (("torque", SURE), ("load", SURE))


def test_a_heading_that_says_to_set_governs(read: Read) -> None:
    found = columns(read(wider("Target preload kN", 125, 84, 55, 125)))
    assert (found["Target preload kN"].state, found["Torque Nm"].state) == (SURE, CHECKED)
    assert "its heading says that it is the one to set" in found["Target preload kN"].why


def test_limits_on_an_area_that_nobody_named_are_told(read: Read) -> None:
    def told(heading: str) -> list[str]:
        return [said.text for said in read(wider(heading, 450, 450, 450, 450)).said if said.kind == "area_of_limits"]

    words = "'Max Sb (MPa)': taken as stress on the root area (ASME B1.1), for neither heading nor notes name the area"
    assert told("Max Sb (MPa)") == [words]
    assert told("Max Sb (MPa) on root area") == []


# --- values that other columns or cells explain --------------------------------------------------------------------


def test_dates_have_the_order_that_others_of_the_column_show(read: Read) -> None:
    found = read(wider("Planned", "08/10/2026", "09/10/2026", "19/10/2026", "20/10/2026"))
    assert [datetime.date.fromordinal(int(day)).isoformat() for day in found.rows.joints.date] == [
        "2026-10-08", "2026-10-09", "2026-10-19", "2026-10-20"
    ]  # fmt: skip
    words = "dates in 'Planned' are read day before month, as '19/10/2026' there can only be read"
    assert words in [said.text for said in found.said]


def test_dates_that_no_other_explains_stop_their_row(read: Read) -> None:
    found = read(wider("Planned", "08/10/2026", "09/10/2026", "2026-10-19", "10/10/2026"))
    assert [fault.row for fault in found.rows.joints.faults] == [0, 1]
    both = read(wider("Planned", "08/10/2026", "10/19/2026", "19/10/2026", "10/10/2026"))
    assert [fault.row for fault in both.rows.joints.faults] == [0]


def test_steps_of_torque_in_a_cell_end_with_the_torque(read: Read) -> None:
    lines = [["Joint No.", "Stud size", "No. off", "Torque"]]
    cells = ("150-300-480 Nm", "80 / 160 / 270 Nm", "140 Nm", "480 Nm")
    lines += [[*row[:3], cell] for row, cell in zip(ROWS, cells, strict=True)]
    found = read(lines)
    assert list(found.rows.joints.torque) == [480, 270, 140, 480]
    assert any(
        "'150-300-480 Nm' in 'Torque' is read as steps: the last is the torque" in said.text for said in found.said
    )


def test_steps_one_of_which_is_no_number_are_no_steps(read: Read) -> None:
    lines = [["Joint No.", "Stud size", "No. off", "Torque"]]
    lines += [
        [*row[:3], cell] for row, cell in zip(ROWS, ("100-2.5.0-480 Nm", "270 Nm", "140 Nm", "480 Nm"), strict=True)
    ]
    assert [fault.row for fault in read(lines).rows.joints.faults] == [0]


def test_a_range_of_torques_is_no_series_of_steps(read: Read) -> None:
    lines = [["Joint No.", "Stud size", "No. off", "Torque"]]
    lines += [
        [*row[:3], cell] for row, cell in zip(ROWS, ("440-480-520 Nm", "270 Nm", "140 Nm", "480 Nm"), strict=True)
    ]
    assert [fault.row for fault in read(lines).rows.joints.faults] == [0]


@pytest.mark.parametrize(
    ("heading", "field", "cells"),
    [
        ("Termin", "date", (datetime.date(2026, 10, 5),) * 4),
        ("Момент, Н·м", "torque", (480, 270, 140, 480)),
        ("Qwrtz", "remarks", ("check alignment before closing", None, "new gasket each time please", None)),
        ("Plmk", "gasket", ("SWG 316/graphite", "SWG 316/graphite", "Kammprofile", "RTJ R-45")),
        ("Max. permissible bolt stress MPa", "stud_maximum", (450, 450, 450, 450)),
        ("Tools at the same time", "at_once", (1, 2, 2, 1)),
        ("Meghúzási nyomaték Nm", "torque", (480, 270, 140, 480)),
        ("Ροπή σύσφιξης (Nm)", "torque", (480, 270, 140, 480)),
        ("扭矩 Nm", "torque", (480, 270, 140, 480)),
        ("長さ mm", "length", (160, 140, 120, 160)),
        ("Kuupäev", "date", (datetime.date(2026, 10, 5),) * 4),
        ("Clamped length mm", "grip", (90, 80, 70, 90)),
    ],
)
def test_headings_that_people_write(read: Read, heading: str, field: str, cells: tuple[Any, ...]) -> None:
    lines = wider(heading, *cells)
    if field == "torque":
        lines = [[*row[:3], row[4]] for row in lines]
    assert states(read(lines))[heading] == (field, SURE)


def test_a_heading_in_millimetres_is_no_stress(read: Read) -> None:
    found = states(read(wider("S, мм", 36, 30, 24, 36)))
    assert found["S, мм"][0] != "stress"
    assert found["Torque Nm"] == ("torque", SURE)


def test_a_text_in_every_row_is_no_remark_by_its_cells(read: Read) -> None:
    cells = ("bottom of the tower", "side of the tower", "top of the tower", "on the east side")
    assert states(read(wider("Qwrtz", *cells)))["Qwrtz"] == (None, NOT_USED)


def test_a_list_under_unknown_words_is_found_by_its_cells(read: Read) -> None:
    found = read([["Title"], ["Plmk", "Qwrtz", "Brn", "Zdf Nm"], *ROWS])
    assert found.heading_row == 2
    assert states(found)["Qwrtz"] == ("thread", PROPOSED)
    assert states(found)["Brn"] == ("studs", PROPOSED)
    assert states(found)["Zdf Nm"][1] == PROPOSED
    assert any(question.blocks for question in found.questions)


def test_a_table_without_threads_is_no_list(read: Read) -> None:
    with pytest.raises(WorkbookError, match="no joint list found"):
        read([["Plmk", "Qwrtz", "Brn", "Zdf"], *(["A", row[3], row[2], "text"] for row in ROWS)])


# --- rows of several joints ---------------------------------------------------------------------------------


@pytest.mark.parametrize("tag", ["A-1/A-2", "V-1 N1/N2", "A-1, A-2", "A-6 & A-7", "N1 und N2"])
def test_a_tag_of_several_joints_stops_its_row_and_is_asked_about(read: Read, tag: str) -> None:
    found = read([HEAD, [tag, *ROWS[0][1:]], *ROWS[1:]])
    assert [(fault.code, fault.row) for fault in found.rows.joints.faults] == [("several_joints", 0)]
    (fault,) = found.rows.joints.faults
    assert line(fault, system("SI")) == (
        f"'{tag}' names several joints; give each a row of its own, or answer that it is one joint"
    )
    (meaning,) = found.understood.meanings
    assert (meaning.field, meaning.text, meaning.candidates) == ("joint", tag, ("one joint",))
    assert meaning.why == f"'{tag}' may name 2 joints: then give each a row of its own; or is it one joint?"


@pytest.mark.parametrize("tag", ["P-101/N1", "P-101A/B", "K2-210/A", "DN200/PN40", "E-204 N1", "1/2", "Cover and lid"])
def test_a_tag_of_machine_and_nozzle_is_one_joint(read: Read, tag: str) -> None:
    assert not read([HEAD, [tag, *ROWS[0][1:]], *ROWS[1:]]).rows.joints.faults


def test_a_tag_that_somebody_says_is_one_joint_is_planned(tmp_path: Path) -> None:
    book = Workbook()
    for row in [HEAD, ["N1/N2", *ROWS[0][1:]], *ROWS[1:]]:
        book.active.append(row)
    book.save(tmp_path / "list.xlsx")
    given = Answers(meanings={("joint", "n1/n2"): "one joint"})
    assert not read_joint_list(tmp_path / "list.xlsx", answers=given).rows.joints.faults


def test_two_joints_in_a_row_are_one_question(read: Read) -> None:
    heads = [
        ["Valve", "Inlet", None, None, "Outlet", None, None],
        [None, "Stud", "No.", "Torque Nm", "Stud", "No.", "Torque Nm"],
    ]
    found = read([*heads, *([row[0], *row[1:], "M16", 8, 140] for row in ROWS)], "B1:D1", "E1:G1")
    asked = [question.text for question in found.questions if "two joints" in question.text]
    assert asked == [
        "columns B to G: 'Inlet' and 'Outlet' stand over the same columns: each row holds two joints; give each a row"
        " of its own, or answer 'not used' for the columns of one of them"
    ]
