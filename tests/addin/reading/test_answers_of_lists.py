"""Answers on the sheet of answers hold for the list that they were given for, however its headings stand."""

import datetime
from pathlib import Path

from openpyxl import Workbook, load_workbook

from addin.reading.answer_page import write_answers
from addin.reading.answer_sheet import read_answers
from addin.reading.joint_list import read_joint_list
from addin.reading.understood import Answers, ColumnAnswer


def test_answers_hold_for_headings_below_banners(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    sheet.append(["Flange", None, "Studs", None, "Target"])
    sheet.append(["Joint No.", "Size", "Qty", "Dia", "Torque Nm"])
    for i in range(4):
        sheet.append([f"V-{i} N1", '6"', 8, "M24", 480 + i])
    sheet.merge_cells("A1:B1")
    sheet.merge_cells("C1:D1")
    book.save(tmp_path / "list.xlsx")
    read = read_joint_list(tmp_path / "list.xlsx")
    assert {each.about for each in read.questions} >= {"operation", "method"}
    write_answers(tmp_path / "answers.xlsx", read.understood, "list.xlsx", tags=read.rows.joints.joint)
    answers = load_workbook(tmp_path / "answers.xlsx")
    page = answers["Answers"]
    for row in range(1, page.max_row + 1):
        value = {"operation": "final make-up", "method": "hand"}.get(str(page.cell(row, 1).value))
        if value:
            page.cell(row, 4).value = value
    page["B3"], page["D3"] = "A. Planner", datetime.date.today()
    answers.save(tmp_path / "answers.xlsx")
    again = read_joint_list(tmp_path / "list.xlsx", answers=read_answers(tmp_path / "answers.xlsx"))
    assert again.questions == ()
    assert set(again.rows.joints.method) == {"hand"}


def test_the_coarse_pitch_that_is_proposed_can_be_signed(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    sheet.append(["Joint No.", "Stud size", "Qty", "Torque Nm", "Operation", "Method"])
    for i in range(3):
        sheet.append([f"V-{i} N1", "M36", 8, 1400 + i, "final make-up", "hand"])
    book.save(tmp_path / "list.xlsx")
    read = read_joint_list(tmp_path / "list.xlsx")
    assert [each.about for each in read.questions] == ["pitch"]
    write_answers(tmp_path / "answers.xlsx", read.understood, "list.xlsx", tags=read.rows.joints.joint)
    answers = load_workbook(tmp_path / "answers.xlsx")
    page = answers["Answers"]
    assert ("thread pitch", "coarse") in {(row[0].value, row[3].value) for row in page.iter_rows(max_col=4)}
    page["B3"], page["D3"] = "A. Planner", datetime.date.today()
    answers.save(tmp_path / "answers.xlsx")
    again = read_joint_list(tmp_path / "list.xlsx", answers=read_answers(tmp_path / "answers.xlsx"))
    assert again.questions == ()
    assert set(again.rows.joints.thread) == {"M36x4"}


def test_answers_hold_for_joints_that_two_columns_name_together(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    sheet.append(["Equipment No.", "Joint No.", "Stud size", "Qty", "Torque Nm", "Operation"])
    for i in range(3):
        for nozzle in ("N1", "N2"):
            sheet.append([f"V-{i}", nozzle, "M24", 8, 480 + i, "final make-up"])
    book.save(tmp_path / "list.xlsx")
    read = read_joint_list(tmp_path / "list.xlsx")
    assert read.rows.joints.joint[:2] == ("V-0 N1", "V-0 N2")
    write_answers(tmp_path / "answers.xlsx", read.understood, "list.xlsx", tags=read.rows.joints.joint)
    answers = load_workbook(tmp_path / "answers.xlsx")
    page = answers["Answers"]
    for row in range(1, page.max_row + 1):
        if page.cell(row, 1).value == "method":
            page.cell(row, 4).value = "hand"
    page["B3"], page["D3"] = "A. Planner", datetime.date.today()
    answers.save(tmp_path / "answers.xlsx")
    assert read_joint_list(tmp_path / "list.xlsx", answers=read_answers(tmp_path / "answers.xlsx")).questions == ()


def test_columns_that_came_or_went_since_the_answers_are_asked_about(tmp_path: Path) -> None:
    def listed(*headings: str) -> Path:
        book = Workbook()
        sheet = book.active
        sheet.append(["Joint No.", "Stud size", "Qty", *headings, "Operation", "Method"])
        for i in range(4):
            sheet.append([f"V-{i} N1", "M36x4", 8, *(1400 + i for _ in headings), "final make-up", "hand"])
        book.save(tmp_path / "list.xlsx")
        return tmp_path / "list.xlsx"

    read = read_joint_list(listed("Torque"))
    write_answers(tmp_path / "answers.xlsx", read.understood, "list.xlsx", tags=read.rows.joints.joint)
    answers = load_workbook(tmp_path / "answers.xlsx")
    page = answers["Answers"]
    (row,) = [row for row in page.iter_rows() if row[1].value == "Torque"]
    row[4].value = "N·m"
    page["B3"], page["D3"] = "A. Planner", datetime.date.today()
    answers.save(tmp_path / "answers.xlsx")

    again = read_joint_list(listed("Load per stud kN"), answers=read_answers(tmp_path / "answers.xlsx"))

    assert [each.text for each in again.questions] == [
        "column D: the answers say nothing of 'Load per stud kN'; it seems to hold load: not used until you confirm it",
    ]
    kept = Answers({"torque": ColumnAnswer("torque", "N·m")}, by="A. Planner")
    said = [each.text for each in read_joint_list(tmp_path / "list.xlsx", answers=kept).questions]
    assert "the answers have a column 'torque' for torque, which the list no longer has" in said


def test_an_answer_about_a_bare_grade_leaves_the_studs_that_it_is_clear_for(tmp_path: Path) -> None:
    """B7 on a metric stud is of A193 or A193M and is asked once; on an inch stud it is A193 B7 and stays."""
    book = Workbook()
    sheet = book.active
    sheet.append(["Joint No.", "Stud size", "Qty", "Torque Nm", "Grade", "Nut factor", "Operation", "Method"])
    for i in range(3):
        sheet.append([f"V-{i} N1", "M24", 8, 480 + i, "B8M2", 0.15, "final make-up", "hand"])
    sheet.append(["V-3 N1", "M24", 8, 480, "B7", 0.15, "final make-up", "hand"])
    sheet.append(["V-4 N1", "1 1/8-8 UN", 8, 480, "B7", 0.15, "final make-up", "hand"])
    book.save(tmp_path / "list.xlsx")
    told = Answers(meanings={("grade", "b8m2"): "A193 B8M class 2B", ("grade", "b7"): "A193M B7"}, by="A. Planner")
    read = read_joint_list(tmp_path / "list.xlsx", answers=told)

    assert read.rows.joints.grade == ("A193 B8M class 2B",) * 3 + ("A193M B7", "B7")
