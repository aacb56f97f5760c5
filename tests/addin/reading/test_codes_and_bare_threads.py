"""Codes of a method, metric studs with length and grade in a cell, what notes say of loads, joints alike in a row."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from few_lines import ROWS, Read, columns, reader

from addin.reading.facts_in_cells import parts
from addin.reading.understood import ASKED, CHECKED, PROPOSED, SURE

HEAD = ["Joint No.", "Method", "Stud size", "No. off", "Torque Nm"]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    return reader(tmp_path)


def by(method: str) -> list[list[Any]]:
    return [[row[0], method, *row[1:]] for row in ROWS]


# --- codes of a method -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("code", ["HYD", "HTW", "HT", "Hyd."])
def test_a_code_of_a_method_without_a_legend_is_asked_and_never_taken(read: Read, code: str) -> None:
    for accept in (False, True):
        found = read([HEAD, *by(code)], accept=accept)
        (asked,) = (each for each in found.understood.meanings if each.field == "method")
        assert (asked.state, asked.meaning) == (ASKED, "")
        assert asked.why == f"'{code}' is a code that no legend of the list explains"
        assert set(found.rows.joints.method) & {"hydraulic", "hand", "other"} == set()


def test_a_code_that_a_legend_explains_is_read_as_that(read: Read) -> None:
    found = read([["HT = hand torque"], HEAD, *by("HT")])
    assert [each for each in found.understood.meanings if each.field == "method"] == []
    assert set(found.rows.joints.method) == {"hand"}


@pytest.mark.parametrize("words", ["hyd. wrench", "hydr. torque tool"])
def test_words_of_a_method_are_proposed(read: Read, words: str) -> None:
    found = read([HEAD, *by(words)])
    (value,) = (each for each in found.understood.meanings if each.field == "method")
    assert (value.state, value.meaning) == (PROPOSED, "hydraulic")


@pytest.mark.parametrize("words", ["hyd. tensioner", "hydr. stretching tool"])
def test_a_hydraulic_tool_that_turns_no_nut_is_another_method(read: Read, words: str) -> None:
    """A tensioner pulls at the stud: none of its pressures is one for a torque wrench."""
    found = read([HEAD, *by(words)])
    (value,) = (each for each in found.understood.meanings if each.field == "method")
    assert (value.state, value.meaning, value.why) == (PROPOSED, "other", f"'{words}' may be other")


# --- thread, length and grade in one cell ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "held"),
    [
        ("M36 x 205 10.9 HV", {"thread": "M36", "length": "205", "grade": "10.9"}),
        ("M33x170 8.8", {"thread": "M33", "length": "170", "grade": "8.8"}),
        ("M36x3x205 10.9", {"thread": "M36x3", "length": "205", "grade": "10.9"}),
        ("20 x M24 x 120 mm, A4-80", {"studs": "20", "thread": "M24", "length": "120 mm", "grade": "A4-80"}),
        ("M36x4 10.9", {"thread": "M36x4", "grade": "10.9"}),
        ("M8x1.25 8.8", {"thread": "M8x1.25", "grade": "8.8"}),
    ],
)
def test_a_pitch_is_small_and_a_length_is_far_above(text: str, held: dict[str, str]) -> None:
    assert parts(text) == held


def test_length_and_grade_behind_a_metric_size_are_read(read: Read) -> None:
    head = ["Conexão", "Parafuso", "Qtd.", "Torque (N.m)"]
    studs = ["M24 x 120 10.9 HV", "M20x80 8.8", "M16 x 60 8.8", "M24 x 110 10.9"]
    found = read([head, *([row[0], stud, *row[2:]] for row, stud in zip(ROWS, studs, strict=True))])

    joints = found.rows.joints
    assert list(joints.thread) == ["M24", "M20", "M16", "M24"]
    assert found.rows.texts["length"] == ["120", "80", "60", "110"]
    assert list(joints.grade) == ["10.9", "8.8", "8.8", "10.9"]
    assert columns(found)["Parafuso"].also == ("length", "grade")


# --- the unit of a load in a note ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "note", ["Preload is kips per stud, length in inches", "Preload: kips per stud", "Loads are kips", "Preload (kips)"]
)
def test_the_unit_of_a_load_in_a_note_is_used(read: Read, note: str) -> None:
    head = ["Joint No.", "Stud size", "No.", "Length", "Preload"]
    rows = [["A-1", "2-4.5", 72, 11.5, 130], ["A-2", "1-3/4 - 5", 28, 9, 95], ["A-3", "1-1/2 - 6", 48, 8, 70]]
    found = read([["Unit 3 bolting"], [note], head, *rows])
    load = columns(found)["Preload"]
    assert (load.field, load.unit, load.state) == ("load", "kip", SURE)
    assert "by the note" in load.why
    assert [round(each / 4448.2216152605) for each in found.rows.joints.load] == [130, 95, 70]


def test_no_unit_is_taken_from_a_note_that_names_two(read: Read) -> None:
    head = ["Joint No.", "Stud size", "No.", "Preload"]
    rows = [["A-1", "2-4.5", 72, 130], ["A-2", "1-3/4 - 5", 28, 95], ["A-3", "1-1/2 - 6", 48, 70]]
    found = read([["Preload is kips per stud. Load in kN"], head, *rows])
    assert columns(found)["Preload"].unit_open


# --- a residual load for information ---------------------------------------------------------------------------------

_LOADS = [
    ["Joint No.", "Stud size", "No. off", "Resid. load (kN)", "Torque Nm"],
    *([*row[:3], load, row[3]] for row, load in zip(ROWS, (96, 66, 42, 96), strict=True)),
]


def test_a_residual_load_for_information_is_only_compared(read: Read) -> None:
    found = columns(read([["Torque governs, residual load is for information only."], *_LOADS]))
    load = found["Resid. load (kN)"]
    assert (load.field, load.unit, load.state) == ("load", "kN", CHECKED)
    assert load.why == (
        "the note says 'residual load is for information only.'; never used, only compared with the plan"
    )
    assert (found["Torque Nm"].field, found["Torque Nm"].state) == ("torque", SURE)


def test_a_residual_load_of_which_no_note_speaks_is_left(read: Read) -> None:
    assert columns(read([["Torque governs."], *_LOADS]))["Resid. load (kN)"].field is None


# --- forces under headings that say nothing ---------------------------------------------------------------------------


def test_two_columns_of_forces_that_suit_the_studs_are_both_asked(read: Read) -> None:
    """120 kN on M24, 83 on M20, 54 on M16: some 340 MPa in each, and no heading says what they are."""
    loads = (120, 83, 54, 120)
    found = read([["Joint No.", "Stud size", "No. off", "Qwrtz (kN)", "Zzz (kN)"],
                  *([*row[:3], load, load] for row, load in zip(ROWS, loads, strict=True))])  # fmt: skip
    for heading in ("Qwrtz (kN)", "Zzz (kN)"):
        column = columns(found)[heading]
        assert (column.field, column.unit, column.state) == ("load", "kN", ASKED)
        assert column.why == "a force in kN that suits the studs, under a heading that does not say what it is"


def test_forces_beside_studs_that_nobody_can_read_are_left(read: Read) -> None:
    rows = [[row[0], size, row[2], 100, 100] for row, size in zip(ROWS, ("A", "B", "C", "A"), strict=True)]
    found = read([["Joint No.", "Stud size", "No. off", "Qwrtz (kN)", "Zzz (kN)"], *rows])
    assert columns(found)["Zzz (kN)"].field is None


# --- stages of a load -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("last", ["Final load (kN)", "Pass 3 load (kN)"])
def test_passes_of_a_load_are_no_torques(read: Read, last: str) -> None:
    """30, 60 and 100 per cent of 120 kN on M24: the one before the last was asked for as a torque without a unit."""
    rows = [[*row[:3], 0.3 * load, 0.6 * load, load] for row, load in zip(ROWS, (120, 83, 54, 120), strict=True)]
    found = columns(read([["Joint No.", "Stud size", "No. off", "Pass 1 load (kN)", "Pass 2 load (kN)", last], *rows]))
    for stage in ("Pass 1 load (kN)", "Pass 2 load (kN)"):
        assert (found[stage].field, found[stage].why) == (None, "the heading speaks of a stage on the way")
    assert (found[last].field, found[last].unit) == ("load", "kN")
    assert found[last].state == (SURE if last.startswith("Final") else PROPOSED)


def test_pressures_of_the_passes_are_no_torques(read: Read) -> None:
    """What a pump is set to belongs to its wrench: the last was asked for as a torque "whose unit stands nowhere"."""
    heads = [f"Torque pressure pass {number} (bar)" for number in (1, 2, 3)]
    rows = [[*row[:3], 90, 180, 300] for row in ROWS]
    found = columns(read([["Joint No.", "Stud size", "No. off", *heads], *rows]))
    assert [(found[head].field, found[head].why) for head in heads] == [
        (None, "the heading speaks of a stage on the way")
    ] * 3


# --- a column of methods under a word for equipment ------------------------------------------------------------------


def with_heading(heading: str, cells: Sequence[Any]) -> list[list[Any]]:
    head = ["Joint No.", "Stud size", "No. off", "Torque Nm", heading]
    return [head, *([*row, cell] for row, cell in zip(ROWS, cells, strict=True))]


@pytest.mark.parametrize("heading", ["Equipamento", "Equipment", "Remarks"])
def test_cells_that_all_name_a_method_are_no_equipment(read: Read, heading: str) -> None:
    cells = ["hidráulica", "hidráulica", "torquímetro c/ multiplicador", "torquímetro"]
    column = columns(read(with_heading(heading, cells)))[heading]
    assert (column.field, column.state) == ("method", PROPOSED)
    assert column.why == (
        "its cells all say how it is tightened (hidráulica, torquímetro c/ multiplicador, torquímetro),"
        " whatever its heading says"
    )


def test_one_cell_that_names_equipment_leaves_the_column_what_it_is(read: Read) -> None:
    column = columns(read(with_heading("Equipment", ["hydraulic", "hydraulic", "E-101", "hydraulic"])))["Equipment"]
    assert column.field != "method" or column.state != SURE


# --- joints alike in a row -------------------------------------------------------------------------------------------


def counted(heading: str, numbers: Sequence[int]) -> list[list[Any]]:
    head = ["Joint No.", heading, "Stud size", "No. of studs", "Torque Nm"]
    return [head, *([row[0], count, *row[1:]] for row, count in zip(ROWS, numbers, strict=True))]


@pytest.mark.parametrize("heading", ["Nos.", "Nos", "No."])
def test_a_number_of_joints_alike_makes_one_question(read: Read, heading: str) -> None:
    studs = columns(read(counted(heading, [1, 3, 2, 1])))["No. of studs"]
    assert (studs.field, studs.state) == ("studs", ASKED)
    assert studs.why == (
        f"'{heading}' says that rows stand for several flanges: are these the studs of one flange, or of all?"
    )


def test_one_joint_a_row_makes_none(read: Read) -> None:
    assert columns(read(counted("Nos.", [1, 1, 1, 1])))["No. of studs"].state == SURE


def test_running_numbers_count_no_joints(read: Read) -> None:
    assert columns(read(counted("No.", [1, 2, 3, 4])))["No. of studs"].state == SURE


# --- what cards show beside words that are half known -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("heading", "cells", "field"),
    [
        ("Lbs.", (300, 150, 300, 150), "rating"),
        ("Tbl/Class", (300, 150, 300, 150), "rating"),
        ("Rope or ring", ("PTFE rope 12", "graphite sheet 1.5", "PTFE rope 12", "graphite rings"), "gasket"),
    ],
)
def test_class_and_gasket_need_no_look_where_every_cell_is_one(
    read: Read, heading: str, cells: Sequence[Any], field: str
) -> None:
    head = ["Joint No.", "NPS", heading, "Stud size", "No. off", "Torque Nm"]
    column = columns(
        read([head, *([row[0], 8, cell, row[1], *row[2:]] for row, cell in zip(ROWS, cells, strict=True))])
    )
    assert (column[heading].field, column[heading].state) == (field, SURE)


# --- a running number beside a place ----------------------------------------------------------------------------------

PLACES = ("Feed gas to the tower", "Overhead vapour line", "Bottoms to reboiler", "Reflux return")


def test_a_running_number_beside_a_place_in_words_names_the_joint(read: Read) -> None:
    rows = [[number, place, *row[1:]] for number, (place, row) in enumerate(zip(PLACES, ROWS, strict=True), 1)]
    found = columns(read([["No.", "Location", "Stud size", "No. off", "Torque Nm"], *rows]))
    assert (found["No."].field, found["No."].state) == ("joint", PROPOSED)
    assert found["No."].why == "its numbers differ in every row, and nothing else is a tag"


def test_a_place_in_words_without_a_number_names_it_itself(read: Read) -> None:
    rows = [[place, *row[1:]] for place, row in zip(PLACES, ROWS, strict=True)]
    found = columns(read([["Location", "Stud size", "No. off", "Torque Nm"], *rows]))
    assert (found["Location"].field, found["Location"].state) == ("joint", SURE)


def test_of_two_running_numbers_neither_names_the_joint(read: Read) -> None:
    rows = [[k, 100 + k, place, *row[1:]] for k, (place, row) in enumerate(zip(PLACES, ROWS, strict=True), 1)]
    found = columns(read([["No.", "Item", "Location", "Stud size", "No. off", "Torque Nm"], *rows]))
    assert (found["No."].field, found["Item"].field) == (None, None)
    assert (found["Location"].field, found["Location"].state) == ("joint", PROPOSED)
