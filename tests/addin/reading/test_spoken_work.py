"""A column whose cells say which work is meant, under a heading nobody knows, is asked about or makes rows wait."""

import re
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from addin.cells.words import line as sentence
from addin.reading.joint_list import JointList, read_joint_list
from addin.reading.spoken_work import spoken
from addin.reading.tables import table
from addin.reading.understood import Answers, ColumnAnswer
from calc.units import system

HEAD = ["Joint", "Stud size", "Studs", "Torque (ft-lb)"]
ROW = ["1 1/4", 16, 700]


def read(folder: Path, heading: str, cells: list[Any], **more: Any) -> JointList:
    book = Workbook()
    for line in [[*HEAD, heading], *([f"F-{i}", *ROW, cell] for i, cell in enumerate(cells))]:
        book.worksheets[0].append(line)
    book.save(folder / "list.xlsx")
    return read_joint_list(folder / "list.xlsx", **more)


def faults(found: JointList) -> list[str]:
    return [f"{found.place(each)}: {sentence(each, system('US'))}" for each in found.rows.joints.faults]


CASES = [
    ("Job", ["BOLT UP", "BOLT UP", "BREAK"]),
    ("Step", ["make-up", "Make up", "break-out"]),
    ("Qwrtz", ["Endmontage", "Endmontage", "Öffnen"]),
    ("Xyz", ["Schließen", "Verschrauben", "Lösen"]),
    ("Xyz", ["serrage", "remontage", "desserrage"]),
    ("Xyz", ["apriete", "cierre", "apertura"]),
    ("Xyz", ["serraggio", "chiusura", "apertura"]),
    ("Xyz", ["aandraaien", "sluiten", "losmaken"]),
]


@pytest.mark.parametrize(("heading", "cells"), CASES)
def test_a_column_of_operations_is_proposed_whatever_its_heading(
    tmp_path: Path, heading: str, cells: list[str]
) -> None:
    found = read(tmp_path, heading, cells)
    (column,) = [each for each in found.understood.columns if each.heading == heading]
    assert column.field == "operation"
    assert column.state in ("proposed", "sure")  # sure where the heading is known too
    told = read(tmp_path, heading, cells, accept=True)
    assert told.rows.joints.operation == ("final make-up", "final make-up", "break")


@pytest.mark.parametrize(("heading", "cells"), CASES)
def test_a_cell_against_the_operation_of_the_list_makes_its_row_wait(
    tmp_path: Path, heading: str, cells: list[str]
) -> None:
    found = read(tmp_path, heading, cells, stated={"operation": "final make-up", "method": "hydraulic"})
    assert faults(found) == [
        f"Sheet!E4: column E '{heading}' says '{cells[2]}', which is break, and the row would be planned as final"
        " make-up: let the column say it, or write yes beside the row on the sheet of answers if final make-up is right"
    ]


def test_it_waits_too_where_the_column_was_answered_as_not_used_until_the_row_is_freed(tmp_path: Path) -> None:
    whole = {"operation": "final make-up", "method": "hydraulic"}
    answers = Answers(columns={"job": ColumnAnswer("none")}, whole=whole, by="A. Weir, 2026-03-01")
    found = read(tmp_path, "Job", ["BOLT UP", "BREAK", "BREAK"], answers=answers)
    assert [(each.row, each.words) for each in found.understood.waiting] == [(3, "BREAK"), (4, "BREAK")]
    joint = found.understood.waiting[0].joint
    freed = Answers(columns=answers.columns, whole=whole, by=answers.by, freed=frozenset({(joint, "", "BREAK")}))
    assert len(read(tmp_path, "Job", ["BOLT UP", "BREAK", "BREAK"], answers=freed).understood.waiting) < 2


def test_one_word_among_others_and_a_method_in_the_remarks_make_the_row_wait(tmp_path: Path) -> None:
    whole = {"operation": "final make-up", "method": "hydraulic"}
    found = read(tmp_path, "Xyz", ["scaffold", "crane 40 t", "retorque"], stated=whole)
    assert [each.words for each in found.understood.waiting] == ["retorque"]
    found = read(tmp_path, "Remarks", ["von Hand", "scaffold there", "by hand only near the pump"], stated=whole)
    assert faults(found) == [
        "Sheet!E2: column E 'Remarks' says 'von Hand', which is hand, and the row would be planned as hydraulic: "
        "let the column say it, or write yes beside the row on the sheet of answers if hydraulic is right"
    ]


@pytest.mark.parametrize(
    ("words", "meaning", "own"),
    [("break only", "break", "final make-up"), ("x4 multiplier not the hydraulic", "hand", "hydraulic")],
)
def test_a_remark_that_names_one_work_only_makes_the_row_wait(
    tmp_path: Path, words: str, meaning: str, own: str
) -> None:
    whole = {"operation": "final make-up", "method": "hydraulic"}
    assert faults(read(tmp_path, "Remarks", [words, "scaffold there", "hydraulic"], stated=whole)) == [
        f"Sheet!E2: column E 'Remarks' says '{words}', which is {meaning}, and the row would be planned as {own}: "
        f"let the column say it, or write yes beside the row on the sheet of answers if {own} is right"
    ]


def test_by_the_book_a_row_said_to_be_done_by_hand_waits_too(tmp_path: Path) -> None:
    whole = {"operation": "final make-up", "method": "by the book"}
    answers = Answers(whole=whole, by="A. Weir, 2026-03-01")
    found = read(tmp_path, "Remarks", ["von Hand", "hydraulic", "scaffold"], answers=answers)
    assert [(each.row, each.words) for each in found.understood.waiting] == [(2, "von Hand")]


@pytest.mark.parametrize(
    ("heading", "cells"),
    [
        ("Status", ["Open", "Closed", "Open"]),
        ("Insulation", ["remove", "none", "none"]),
        ("Xyz", ["A", "B", "C"]),
        ("Last T/A tool", ["hand", "hand", "impact"]),
        ("Work 2021", ["break", "retorque", "retorque"]),
        ("Scaffold", ["install", "install by shift B", "there"]),
    ],
)
def test_words_that_may_mean_other_things_are_left(tmp_path: Path, heading: str, cells: list[str]) -> None:
    whole = {"operation": "final make-up", "method": "hydraulic"}
    assert read(tmp_path, heading, cells, stated=whole).understood.waiting == ()


def test_two_works_in_a_cell_are_none() -> None:
    assert spoken("operation", "break and make up") == ("", False)
    assert spoken("operation", "Nachziehen") == ("retighten", True)


@pytest.mark.parametrize(
    ("heading", "cells"),
    [
        ("As-tightened result", ["open", "open", "closed"]),
        ("As-tightened result: done by", ["BREAK", "BREAK", "BREAK"]),
        ("Xyz", ["open", "open", "agrees with the plan"]),
    ],
)
def test_how_far_the_work_is_names_no_work(tmp_path: Path, heading: str, cells: list[str]) -> None:
    whole = {"operation": "final make-up", "method": "hydraulic"}
    assert faults(read(tmp_path, heading, cells, stated=whole)) == []


def test_words_of_work_speak_without_the_figures_beside_them() -> None:
    """In long lists, cells are gone past that say nothing without their figures."""
    for name, _, pattern, _ in table("work_words.csv"):
        words = re.sub(r"\(\?:(?:\.\* | \.\*)\)\?", "", pattern)  # whatever stands before or behind
        assert not re.search(r"[0-9]|\\[^.]|(?<!\\)\.|\[\^", words), f"{name}: {pattern}"


def test_in_a_long_list_the_work_of_each_cell_is_noted(tmp_path: Path) -> None:
    cells: list[Any] = [f"seen {i}" for i in range(600)]
    cells[300], cells[301] = "unbolt", "unbolt 2"
    found = read(tmp_path, "Xyz", cells, stated={"operation": "final make-up", "method": "hydraulic"})
    assert [found.place(each) for each in found.rows.joints.faults if each.code == "other_work"] == ["Sheet!E302"]
