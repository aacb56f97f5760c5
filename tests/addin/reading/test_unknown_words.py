"""Headings whose words nobody knew: words made of others, abbreviations, cells that say what they are, elimination."""

from pathlib import Path
from typing import Any

import pytest
from few_lines import HEAD, ROWS, Read, columns, reader

from addin.reading.facts_in_cells import parts
from addin.reading.grammar import hear
from addin.reading.understood import ASKED, CHECKED, NOT_USED, PROPOSED, SURE


@pytest.fixture
def read(tmp_path: Path) -> Read:
    return reader(tmp_path)


def wider(heading: str, *cells: Any, at: int = 4) -> list[list[Any]]:
    lines = [[*HEAD[:at], heading, *HEAD[at:]]]
    return [*lines, *([*row[:at], cell, *row[at:]] for row, cell in zip(ROWS, cells, strict=True))]


# --- words -----------------------------------------------------------------------------------------------------------


def test_a_word_made_of_two_is_heard_as_both_and_never_fully_explained() -> None:
    heard = hear("Flanschzeichnung")
    assert not heard.explained
    assert {"JOINT", "PAPER"} <= heard.concepts


def test_an_abbreviation_of_several_words_blocks_nothing(read: Read) -> None:
    found = columns(read(wider("Aanm.", "let op", "tapeinden nieuw maken", None, "pas op, heet")))
    assert found["Aanm."].field == "remarks"


@pytest.mark.parametrize("heading", ["P.C.D.", "B.C. dia", "Lochkreis"])
def test_a_bolt_circle_is_no_size_of_a_flange(read: Read, heading: str) -> None:
    found = columns(read(wider(heading, 240, 190, 160, 240)))
    assert found[heading].field in (None, "bolt_circle")


def test_a_title_of_a_section_below_the_headings_is_none_of_them(read: Read) -> None:
    found = read([HEAD, ["A", "PRIMARY REFORMER SECTION"], *ROWS])
    assert [each.heading for each in found.understood.columns] == HEAD


def test_a_first_joint_all_of_texts_is_a_joint(read: Read) -> None:
    lines = [["Unión", "Qué es", "Brida", "Junta", "Espárragos", "Par", "Notas"]]
    lines += [
        [f"U-0{i}", name, '20" 600 RF', "anillo R65", "24 x M36 x 285", "2600 Nm", None]
        for i, name in enumerate(["Aspiración", "Impulsión", "Filtro"], 1)
    ]
    found = read(lines)
    assert found.numbers == (2, 3, 4)


def test_capitals_alone_in_a_row_are_the_title_of_a_section(read: Read) -> None:
    rows = [["Ring to tower", *ROWS[0][1:]], ["Tower joint", *ROWS[1][1:]], ["Hub", *ROWS[2][1:]]]
    found = read([HEAD, ["TOWER"], *rows[:2], ["ROTOR"], rows[2]])
    assert found.numbers == (3, 4, 6)


def test_headings_that_stand_again_with_another_unit_are_another_list(read: Read) -> None:
    lines = [
        ["Joint", "Stud size", "Studs", "Torque lbf.ft"],
        ["A-1", '1 1/4"', 20, 730],
        ["A-2", '1 1/4"', 20, 730],
        [],
    ]
    lines += [["Joint", "Stud size", "Studs", "Torque Nm"], ["B-1", '1 1/4"', 20, 990], ["B-2", '1 1/4"', 20, 990]]
    found = read(lines)
    torque = [round(float(value), 1) for value in found.rows.joints.torque]
    assert torque == [989.7, 989.7, 990.0, 990.0]


@pytest.mark.parametrize("heading", ["Grades", "Stud grades"])
def test_more_than_one_of_a_thing_names_it_as_one_does(read: Read, heading: str) -> None:
    found = columns(read(wider(heading, "B7", "B7", "B16", "B7")))[heading]
    assert (found.field, found.state) == ("grade", SURE)


def test_a_letter_with_figures_is_the_code_of_a_form_and_two_letters_are_a_word(read: Read) -> None:
    of_form, word = "Torque F010 (Nm)", "Torque XZ21 (Nm)"
    found = columns(read([[*HEAD[:3], of_form], *ROWS]))[of_form]
    assert (found.field, found.state) == ("torque", SURE)
    found = columns(read([[*HEAD[:3], word], *ROWS]))[word]
    assert (found.field, found.state) == ("torque", PROPOSED)
    assert "'xz21' is not known" in found.why


def test_a_word_of_four_letters_with_a_dot_is_short_for_the_one_that_begins_so(read: Read) -> None:
    cells = ("B7", "B7", "B16", "B7")
    assert columns(read(wider("Grad. stud", *cells)))["Grad. stud"].state == SURE
    assert columns(read(wider("Grad stud", *cells)))["Grad stud"].state == PROPOSED


# --- cells -----------------------------------------------------------------------------------------------------------


def test_threads_per_inch_behind_a_count_are_no_length() -> None:
    assert parts("4 x 7/8-14") == {"studs": "4", "thread": "7/8-14"}
    assert parts("12 x 3/4-10 x 5 1/2") == {"studs": "12", "thread": "3/4-10", "length": "5 1/2"}


def test_a_count_may_have_its_sign_of_number_before_it() -> None:
    assert parts("N° 28 - M30 x 250") == {"studs": "28", "thread": "M30", "length": "250"}


def test_areas_that_look_like_threads_are_no_threads(read: Read) -> None:
    lines: list[list[Any]] = [["Joint No.", "F002", "F003", *HEAD[2:], "Grade"]]
    lines += [[row[0], f"M{k}0", *row[1:], "B7"] for k, row in enumerate(ROWS, 1)]
    found = columns(read(lines))
    assert (found["F003"].field, found["F003"].state) == ("thread", PROPOSED)
    assert found["F002"].field != "thread"


def test_lengths_near_the_threads_are_proposed_by_the_size_of_the_studs(read: Read) -> None:
    found = columns(read(wider("Qwrtz (mm)", 160, 120, 95, 165, at=2)))
    assert (found["Qwrtz (mm)"].field, found["Qwrtz (mm)"].state, found["Qwrtz (mm)"].unit) == (
        "length",
        PROPOSED,
        "mm",
    )
    assert columns(read(wider("Qwrtz (mm)", 16, 12, 9, 16, at=2)))["Qwrtz (mm)"].field is None


@pytest.mark.parametrize(
    "cells",
    [("900 RTJ", "600 RF", "150 FF", "300 RF"), ("5K", "10K", "5K", "10K"), ("Table E", "Table D", "E", "CL300")],
)
def test_classes_in_other_words_are_ratings(read: Read, cells: tuple[str, ...]) -> None:
    assert columns(read(wider("Rating", *cells)))["Rating"].field == "rating"


def test_grades_of_nuts_stand_under_nuts(read: Read) -> None:
    assert columns(read(wider("Nuts", "2H", "4", "2HM", "2H")))["Nuts"].field == "nut_grade"


def test_tags_that_begin_like_a_code_of_work_are_no_operation(read: Read) -> None:
    found = columns(read(wider("Qwrtz", "BR-001", "BR-002", "BR-003", "BR-004")))
    assert found["Qwrtz"].field != "operation"


# --- asked and proposed, never taken ----------------------------------------------------------------------------------


def test_a_residual_stress_is_proposed_where_no_other_target_stands(read: Read) -> None:
    lines = [["Joint No.", "Stud size", "No. off", "Residual bolt stress (psi)"], *([*row[:3], 45000] for row in ROWS)]
    found = columns(read(lines))["Residual bolt stress (psi)"]
    assert (found.field, found.state) == ("stress", PROPOSED)
    beside = columns(read(wider("Residual bolt stress (psi)", *[45000] * 4)))["Residual bolt stress (psi)"]
    assert (beside.field, beside.state) == (None, NOT_USED)


def test_the_only_torque_of_a_list_is_proposed_whoever_states_it(read: Read) -> None:
    lines = [[*HEAD[:3], "Torque value (by bolting contractor) Nm"], *ROWS]
    found = columns(read(lines))["Torque value (by bolting contractor) Nm"]
    assert (found.field, found.state) == ("torque", PROPOSED)
    beside = columns(read(wider("Torque achieved (Nm)", 482, 268, 141, 479)))
    assert beside["Torque achieved (Nm)"].state in (NOT_USED, CHECKED)
    assert beside["Torque Nm"].state == SURE


def test_a_gasket_without_a_unit_is_asked_and_stops_nothing(read: Read) -> None:
    found = read(wider("Gasket OD", 190, 160, 130, 190))
    asked = columns(found)["Gasket OD"]
    assert (asked.field, asked.state, asked.unit_open) == ("gasket_outside_diameter", ASKED, True)
    question = next(each for each in found.questions if each.column == "E")
    assert question.text.endswith("nor in a note; which unit?")
    assert not question.blocks


def test_what_nobody_filled_in_is_no_coating(read: Read) -> None:
    found = columns(read(wider("Coating", None, None, None, None)))["Coating"]
    assert (found.state, found.why) == (NOT_USED, "reads as coating, and no cell below it holds anything")


def test_two_figures_for_other_lubrication_follow_the_note_in_any_language(read: Read) -> None:
    lines = [[*HEAD[:3], "Torque con antiseize (Nm)", "Torque seco (Nm)"], *([*row, row[3] * 1.3] for row in ROWS), []]
    lines += [["NOTA: La columna torque seco es sólo referencia, NO APLICAR."]]
    found = columns(read(lines))
    assert found["Torque seco (Nm)"].state != SURE
    assert found["Torque con antiseize (Nm)"].field == "torque"


def test_a_word_that_is_nearly_another_never_sets_a_column_aside(read: Read) -> None:
    lines = [[*HEAD[:3], "Couple à appliquer (N.m)"], *ROWS]
    assert columns(read(lines))["Couple à appliquer (N.m)"].field == "torque"


def test_names_of_machines_under_an_unknown_word_are_equipment(read: Read) -> None:
    cells = ["Reactor 1", "Reactor 2", "Pump 3", "Compressor"]
    found = columns(read(wider("Qwrtz", *cells, at=1)))["Qwrtz"]
    assert (found.field, found.state) == ("equipment", SURE)


def test_open_and_closed_under_a_status_are_no_operations(read: Read) -> None:
    found = columns(read(wider("Status", "OPEN", "CLOSED", "OPEN", "CLOSED")))["Status"]
    assert (found.field, found.state) == (None, NOT_USED)


@pytest.mark.parametrize("heading", ["Max. bolt temp (°C)", "Stud temp. in service (°C)"])
def test_the_temperature_of_studs_in_service_is_told_and_stops_nothing(read: Read, heading: str) -> None:
    found = columns(read(wider(heading, 420, 420, 380, 420)))[heading]
    assert (found.field, found.state) == (None, NOT_USED)
    assert (
        found.why == "the heading speaks of the studs' temperature in service; that at tightening is 'stud temperature'"
    )


def test_of_two_columns_that_may_hold_threads_the_one_that_holds_more_is_proposed(
    read: Read,
) -> None:
    rows = [*ROWS, ["V-3 N1", "M20", 8, 270]]
    some = ("M24", "M20", "special", "M24", "M20")
    lines = [
        ["Joint No.", "Qwrtz", "Plmk", *HEAD[2:]],
        *([row[0], one, *row[1:]] for row, one in zip(rows, some, strict=True)),
    ]
    found = columns(read(lines))
    assert (found["Plmk"].field, found["Plmk"].state) == ("thread", PROPOSED)
    assert found["Qwrtz"].field is None


def test_beside_counts_with_their_threads_other_fields_are_looked_for_and_no_second_thread(
    read: Read,
) -> None:
    heads = ["Joint No.", "Studs", "Qwrtz", "Plmk", "Torque Nm"]
    found = columns(read([heads, *([row[0], f"{row[2]} x {row[1]}", "4 x M12", "B7", row[3]] for row in ROWS)]))
    assert (found["Studs"].field, found["Studs"].also) == ("studs", ("thread",))
    assert found["Qwrtz"].field is None
    assert (found["Plmk"].field, found["Plmk"].state) == ("grade", PROPOSED)
