"""What rows say beside their figures: points of inspection, instructions, several joints in a row, sheets alike."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from addin.cells.words import line as sentence
from addin.reading.answer_sheet import AnswerSheet, Line
from addin.reading.joint_list import JointList, read_joint_list
from addin.reading.own_columns import NAMES
from addin.reading.understood import Answers
from addin.workbooks.package import WorkbookError
from calc.units import system

HEAD = ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (ft-lb)"]
ROW = ["final make-up", "hydraulic", "1 1/4", 16, 700]


def read(folder: Path, head: list[str], rows: list[list[Any]], answers: Answers | None = None) -> JointList:
    book = Workbook()
    for line in [[*HEAD, *head], *rows]:
        book.worksheets[0].append(line)
    book.save(folder / "list.xlsx")
    return read_joint_list(folder / "list.xlsx", answers=answers)


def test_points_of_inspection_are_read_by_their_cells(tmp_path: Path) -> None:
    cells = ["H", "W", "R", "x", None, "after pass 2"]
    found = read(tmp_path, ["Hold point"], [[f"F-{i}", *ROW, cell] for i, cell in enumerate(cells)])
    assert found.rows.texts["hold_point"] == [
        "hold point", "witness point", "review", "hold point, all passes", "", "after pass 2"
    ]  # fmt: skip
    assert not found.understood.waiting


def test_a_hold_as_status_waits_and_other_instructions_go_to_the_card(tmp_path: Path) -> None:
    says = ["HOLD", "do not use moly", "do not open", None]
    found = read(tmp_path, ["Status"], [[f"F-{i}", *ROW, cell] for i, cell in enumerate(says)])
    assert [(each.joint, each.words) for each in found.understood.waiting] == [("F-0", "HOLD"), ("F-2", "do not open")]
    assert found.rows.texts["remarks"] == ["HOLD", "do not use moly", "do not open", ""]


def test_counts_of_several_joints_are_asked_once_and_never_guessed(tmp_path: Path) -> None:
    rows = [[f"F-{i}", *ROW[:3], studs, ROW[4]] for i, studs in enumerate([16, "2 x 12", "2 x 12", "8 + 8"])]
    found = read(tmp_path, [], rows)
    asked = [(each.text, each.count, each.meaning, each.why) for each in found.understood.meanings]
    assert asked == [("2 x 12", 2, "12", "12 studs in each of 2 joints alike, or 24 in one joint?"),
                     ("8 + 8", 1, "8", "8 studs in each of 2 joints alike, or 16 in one joint?")]  # fmt: skip
    assert [fault.row for fault in found.rows.joints.faults if fault.quantity == "studs"] == [1, 2, 3]
    told = read(tmp_path, [], rows, Answers(meanings={("studs", "2 x 12"): "24", ("studs", "8 + 8"): "8"}))
    assert told.rows.joints.studs.tolist() == [16, 24, 24, 8]


def sheets_alike(folder: Path) -> Path:
    book = Workbook()
    for name, count in (("Rev A", 1), ("Rev B", 3), ("Rev C", 3)):
        sheet = book.create_sheet(name)
        for line in [HEAD, *([f"F-{i}", *ROW] for i in range(count))]:
            sheet.append(line)
    book.save(folder / "list.xlsx")
    return folder / "list.xlsx"


def test_of_sheets_alike_the_likeliest_is_proposed_and_nothing_planned_until_one_is_chosen(tmp_path: Path) -> None:
    path = sheets_alike(tmp_path)
    found = read_joint_list(path)
    (asked,) = [each for each in found.questions if each.about == "sheet"]
    assert (found.sheet, asked.blocks) == ("Rev C", True)
    assert asked.text == (
        "which sheet is planned: 'Rev A' and 'Rev B' look like a joint list too; 'Rev C' is the likeliest, the last"
        " of 2 with as many rows"
    )
    fact = found.understood.fact("sheet")
    assert fact is not None
    assert (fact.value, fact.state, fact.candidates) == ("Rev C", "proposed", ("Rev C", "Rev A", "Rev B"))
    accepted = read_joint_list(path, accept=True)
    assert (accepted.sheet, accepted.accepted) == ("Rev C", ("sheet 'Rev C', the likeliest beside Rev A, Rev B",))
    assert not [each for each in accepted.questions if each.about == "sheet"]
    told = read_joint_list(path, sheet="Rev A")
    assert (told.sheet, [each for each in told.questions if each.about == "sheet"]) == ("Rev A", [])


def test_the_sheet_chosen_on_the_sheet_of_answers_counts_once_it_is_signed(tmp_path: Path) -> None:
    path = sheets_alike(tmp_path)
    line = Line(("sheet", "", ""), "Rev A", "", "", 20)
    unsigned = AnswerSheet("list-questions.xlsx", "list.xlsx", "Rev C", "", whole=(line,))
    found = read_joint_list(path, answers=unsigned)
    assert (found.sheet, [each.about for each in found.questions if each.about == "sheet"]) == ("Rev C", ["sheet"])
    signed = replace(unsigned, by="A. Weir, 2026-03-01")
    found = read_joint_list(path, answers=signed)
    assert (found.sheet, [each.about for each in found.questions if each.about == "sheet"]) == ("Rev A", [])
    fact = found.understood.fact("sheet")
    assert fact is not None
    assert (fact.value, fact.state) == ("Rev A", "sure")
    wrong = replace(signed, whole=(replace(line, answer="Rev D"),))
    with pytest.raises(WorkbookError, match=r"Answers!D20: no sheet 'Rev D'; sheets: Sheet, Rev A, Rev B, Rev C$"):
        read_joint_list(path, answers=wrong)


def test_the_sheet_of_another_lists_answers_is_not_taken_without_a_question(tmp_path: Path) -> None:
    path = sheets_alike(tmp_path)
    line = Line(("sheet", "", ""), "Rev A", "", "", 20)
    theirs = AnswerSheet("other-questions.xlsx", "other.xlsx", "Rev C", "A. Weir, 2026-03-01", whole=(line,),
                         tags=frozenset({"v-1", "v-2", "v-3"}))  # fmt: skip
    elsewhere = replace(theirs, whole=(replace(line, answer="Rev D"),))
    for answers in (theirs, elsewhere, replace(theirs, whole=(), sheet="Rev A")):
        found = read_joint_list(path, answers=answers)
        assert (found.sheet, [each.about for each in found.questions if each.about == "sheet"]) == ("Rev C", ["sheet"])
    other_headings = replace(theirs, list_name="list.xlsx")
    assert read_joint_list(path, answers=other_headings).sheet == "Rev A"  # chosen for this very file


def test_of_sheets_alike_the_one_with_our_columns_is_the_list_of_a_planned_copy(tmp_path: Path) -> None:
    path = sheets_alike(tmp_path)
    book = load_workbook(path)
    for at, name in enumerate(NAMES, start=len(HEAD) + 1):
        book["Rev A"].cell(1, at, name)
    book.save(path)
    found = read_joint_list(path)
    assert (found.sheet, [each.about for each in found.questions if each.about == "sheet"]) == ("Rev A", [])


def _titled(folder: Path, title: str) -> JointList:
    book = Workbook()
    for cells in [[title], HEAD, ["F-1", *ROW], ["F-2", *ROW]]:
        book.worksheets[0].append(cells)
    book.save(folder / "list.xlsx")
    return read_joint_list(folder / "list.xlsx")


@pytest.mark.parametrize(
    ("title", "words"),
    [
        ("Hot bolting of leaking flanges, unit 4", "Hot bolting"),
        ("Joints to be tightened under pressure", "tightened under pressure"),
        ("Retorque list, unit stays on-stream", "on-stream"),
    ],
)
def test_a_title_that_orders_work_on_lines_in_service_stops_every_row(tmp_path: Path, title: str, words: str) -> None:
    faults = _titled(tmp_path, title).rows.joints.faults

    assert [(f.row, f.level) for f in faults] == [(0, "stop"), (1, "stop")]
    assert sentence(faults[0], system("US")) == (
        f"title or notes of the list say '{words}': nothing is planned on a line under pressure here; the responsible "
        "engineer decides, and the words go when the lines are free of pressure"
    )


@pytest.mark.parametrize(
    "title",
    ["Hot bolting is not allowed", "Hot bolting requires a procedure of its own", "Outage 2026, all lines drained"],
)
def test_a_title_with_a_rule_for_such_work_stops_nothing(tmp_path: Path, title: str) -> None:
    assert _titled(tmp_path, title).rows.joints.faults == ()
