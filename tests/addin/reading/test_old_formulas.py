"""Formulas whose stored values may be old: said in a workbook calculated by hand only, or held against a copy."""

from pathlib import Path

import xlsxwriter

from addin.cells.words import line
from addin.reading.joint_list import JointList, read_joint_list
from calc.units import system

HEAD = ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (ft-lb)"]


def written(path: Path, *, stored: float | str = 728.0, manual: bool = True) -> Path:
    """A list with one formula, =560*1, and what is stored beside it."""
    book = xlsxwriter.Workbook(path)
    if manual:
        book.set_calc_mode("manual")
    else:
        book.calc_on_load = False
    sheet = book.add_worksheet("Joints")
    sheet.write_row(0, 0, HEAD)
    for row, tag in enumerate(("A-1", "A-2"), 1):
        sheet.write_row(row, 0, [tag, "final make-up", "hydraulic", "1 1/4", 16, 560])
    sheet.write_formula(2, 5, "=560*1", None, stored)
    book.close()
    return path


def said(read: JointList) -> list[str]:
    return [f"{f.level} {read.place(f)}: {line(f, system('US'))}" for f in read.rows.joints.faults]


def test_a_formula_in_a_workbook_calculated_by_hand_only(tmp_path: Path) -> None:
    assert said(read_joint_list(written(tmp_path / "list.xlsx"))) == [
        "caution Joints!F3: torque: the value of this formula may be old: the workbook is calculated by hand only; "
        "recalculate and save it, or plan with --recalculate"
    ]
    assert said(read_joint_list(written(tmp_path / "other.xlsx", manual=False))) == []


def test_a_copy_calculated_anew_names_the_difference_and_settles_what_agrees(tmp_path: Path) -> None:
    old = written(tmp_path / "list.xlsx")
    copy = written(tmp_path / "copy.xlsx", stored=560.0)

    assert said(read_joint_list(old, recalculated=copy)) == [
        "stop Joints!F3: torque: this formula holds 728, but 560 when it is recalculated: recalculate and save the "
        "workbook, then plan again"
    ]
    assert said(read_joint_list(copy, recalculated=copy)) == []


def test_a_copy_that_cannot_calculate_a_formula_leaves_its_value_in_doubt(tmp_path: Path) -> None:
    old = written(tmp_path / "list.xlsx")
    copy = written(tmp_path / "copy.xlsx", stored="#NAME?")

    assert said(read_joint_list(old, recalculated=copy)) == [
        "caution Joints!F3: torque: this formula holds 728 and could not be recalculated here (#NAME?): its value"
        " may be old"
    ]


def test_formulas_of_numbers_are_in_doubt_and_those_of_remarks_are_not(tmp_path: Path) -> None:
    """The grip is in the pull of the studs; a remark is only shown."""
    book = xlsxwriter.Workbook(tmp_path / "list.xlsx")
    book.set_calc_mode("manual")
    sheet = book.add_worksheet("Joints")
    sheet.write_row(0, 0, [*HEAD, "Grip length (in)", "Remarks"])
    for row, tag in enumerate(("A-1", "A-2"), 1):
        sheet.write_row(row, 0, [tag, "final make-up", "hydraulic", "1 1/4", 16, 560, 7, "hot"])
    sheet.write_formula(2, 6, "=3.5*2", None, 7)
    sheet.write_formula(2, 7, '="ho"&"t"', None, "hot")
    book.close()

    assert said(read_joint_list(tmp_path / "list.xlsx")) == [
        "caution Joints!G3: grip: the value of this formula may be old: the workbook is calculated by hand only; "
        "recalculate and save it, or plan with --recalculate"
    ]
