"""A signature covers what stood there when it was given; the cell to fill is the yellow one; one joint is one row."""

import datetime
import re
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result

from addin.cli import main
from addin.reading.answer_page import write_answers
from addin.reading.answer_sheet import read_answers
from addin.reading.joint_list import read_joint_list
from addin.reading.spelled_out import spelled_out
from addin.shipped import folder
from addin.workbooks.package import WorkbookError
from tests.plain_plan import plain_plan
from tests.small_plans import bare_list as make

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"
ANSWERS = {
    "Torque": ("E", "ft-lb"), "operation": ("D", "final make-up"), "method": ("D", "hydraulic"),
    "date": ("D", datetime.date(2026, 10, 20)), "lubricant": ("D", "L-20"),
}  # fmt: skip


def run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.fixture
def joints(tmp_path: Path) -> Path:
    """A list without operation, method, date or lubricant, whose torque has no unit."""
    head = ["Flange No.", "Qty", "Stud size", "Grade", "Torque", "Own"]
    rows: list[list[object]] = [[f"FL-{i}", 12, "1 1/8-8", "A193 B7", 500 + i, "x"] for i in range(1, 4)]
    return make(tmp_path / "flanges.xlsx", head, *rows)


def fill(path: Path, answers: dict[str, tuple[str, object]], by: str = "") -> None:
    book = openpyxl.load_workbook(path)
    sheet = book["Answers"]
    lines: dict[str, int] = {}
    for row in range(4, sheet.max_row + 1):
        lines.setdefault(str(sheet.cell(row, 2).value or sheet.cell(row, 1).value), row)
    for about, (column, typed) in answers.items():
        sheet[f"{column}{lines[about]}"] = typed
    if by:
        sheet["B3"], sheet["D3"] = by, datetime.date(2026, 9, 1)
    book.save(path)


def test_a_signature_does_not_cover_what_is_changed_after_it_was_used(joints: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    sheet = out / "flanges-questions.xlsx"
    plan = ("plan", joints, "--wrenches", BOOK, "--out", out, "--overwrite")
    assert run(*plan).exit_code == 2
    fill(sheet, ANSWERS, "R. Planner")
    assert run(*plan).exit_code in (0, 1)
    used = openpyxl.load_workbook(sheet)["Answers"]
    assert (used["B3"].value, used["D3"].value) == (None, None)
    assert {used.cell(row, 8).value for row in range(6, 12)} == {"R. Planner, 2026-09-01"}
    assert run(*plan).exit_code in (0, 1)  # nothing is asked again

    fill(sheet, {"Torque": ("E", "N·m")})
    refused = run(*plan)
    assert refused.exit_code == 2
    row = next(r for r in range(5, 20) if used.cell(r, 2).value == "Torque")
    assert (
        "flanges-questions.xlsx: is not signed: type who looked at it and the date in B3 and D3; typed since it was"
        f" written or signed, and not used: Answers!D{row}"
    ) in refused.output
    fill(sheet, {}, "A. Nother")
    assert run(*plan).exit_code in (0, 1)
    assert plain_plan(out / "flanges-plan.json")["joints"][0]["torque"]["unit"] == "N·m"


def test_of_many_unsigned_answers_three_are_named_and_the_rest_counted(joints: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    plan = ("plan", joints, "--wrenches", BOOK, "--out", out, "--overwrite")
    run(*plan)
    fill(out / "flanges-questions.xlsx", ANSWERS)
    said = re.search(r"typed since it was written or signed, and not used: (.*)", run(*plan).output)
    assert said is not None
    named, more = said[1].split(" and ", 1)
    assert len(named.split(", ")) == 3
    assert more.startswith("2 more")


def test_answers_kept_elsewhere_are_marked_there(joints: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "answers" / "ours.xlsx"
    sheet.parent.mkdir()
    run("columns", joints, "--out", sheet)
    fill(sheet, ANSWERS, "R. Planner")
    plan = ("plan", joints, "--wrenches", BOOK, "--out", tmp_path / "out", "--overwrite", "--answers", sheet)
    assert run(*plan).exit_code in (0, 1)
    assert read_answers(sheet).by == ""
    fill(sheet, {"lubricant": ("D", "L-10")})
    assert "and not used: Answers!D" in run(*plan).output


def test_what_is_typed_and_not_signed_is_never_passed_over(joints: Path, tmp_path: Path) -> None:
    """A line that nothing asks about, on a list that asks nothing else."""
    out = tmp_path / "out"
    plan = ("plan", joints, "--wrenches", BOOK, "--out", out, "--overwrite")
    run(*plan)
    fill(out / "flanges-questions.xlsx", ANSWERS, "R. Planner")
    run(*plan)
    fill(out / "flanges-questions.xlsx", {"Own": ("D", "remarks")})
    refused = run(*plan)
    assert refused.exit_code == 2
    assert "is not signed" in refused.output


@pytest.mark.parametrize("day", ["27.08.2026", "27 Aug 2026", "August 27, 2026", "08/27/2026", "2026-08-27"])
def test_a_signing_date_is_understood_as_people_write_it(day: str, joints: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "answers.xlsx"
    run("columns", joints, "--out", sheet)
    book = openpyxl.load_workbook(sheet)
    book["Answers"]["B3"], book["Answers"]["D3"] = "R. Planner", day
    book.save(sheet)
    assert read_answers(sheet).by == "R. Planner, 2026-08-27"


@pytest.mark.parametrize(
    ("day", "why"), [("03/04/2026", "'03/04/2026' may be two days"), ("soon", "'soon' is no date")]
)
def test_a_signing_date_of_two_meanings_is_asked(day: str, why: str, joints: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "answers.xlsx"
    run("columns", joints, "--out", sheet)
    book = openpyxl.load_workbook(sheet)
    book["Answers"]["B3"], book["Answers"]["D3"] = "R. Planner", day
    book.save(sheet)
    with pytest.raises(WorkbookError, match=r"Answers!D3: .*; type it like 2026-03-14 or 14 Mar 2026") as error:
        read_answers(sheet)
    assert why in str(error.value)


def test_the_yellow_cell_is_the_cell_to_fill(joints: Path, tmp_path: Path) -> None:
    read = read_joint_list(joints)
    write_answers(tmp_path / "answers.xlsx", read.understood, "flanges.xlsx")
    page = openpyxl.load_workbook(tmp_path / "answers.xlsx")["Answers"]
    yellow = {
        (page.cell(row, 2).value or page.cell(row, 1).value, cell.column_letter)
        for row in range(5, page.max_row + 1)
        for cell in page[row]
        if cell.fill.fgColor.rgb == "00FFF2B3"
    }
    assert yellow == {("Torque", "E"), ("operation", "D"), ("method", "D")}


def test_the_joint_spelled_out_is_one_row_of_the_list(tmp_path: Path) -> None:
    """The first row has no grade and the second no torque: neither lends the other anything."""
    head = ["Joint No.", "Qty", "Stud size", "Grade", "Torque Nm", "Remarks"]
    path = make(
        tmp_path / "list.xlsx", head, ["V-1 N1", 8, "M24", None, 480, "left"], ["V-2 N1", 12, "M27", "B7", None, None],
        ["V-3 N1", 16, "M20", "8.8", 270, "right"],
    )  # fmt: skip
    (line,) = spelled_out(read_joint_list(path))
    assert line == (
        "Sheet!A4 V-3 N1: studs 16, thread M20x2.5, grade 8.8, torque 270 N·m, remarks right,"
        " not known yet: operation, method"
    )


def test_a_torque_beside_a_stress_is_confirmed_by_a_person(tmp_path: Path) -> None:
    head = ["Joint No.", "Qty", "Stud size", "Grade", "Torque ft-lb", "Stud stress psi"]
    rows: list[list[object]] = [[f"V-{i}", 8, '7/8"', "B7", 400 + 10 * i, 45000 + 1125 * i] for i in range(6)]
    read = read_joint_list(make(tmp_path / "list.xlsx", head, *rows)).understood
    torque = next(each for each in read.columns if each.field == "torque")
    assert torque.state == "proposed"
    assert torque.why.endswith(
        "'Stud stress psi' may be the target too: no note says which governs, and the list states no friction"
        " at which they agree"
    )
    assert next(each for each in read.columns if each.field == "stress").state == "checked against"
    assert any("column E 'Torque ft-lb': may be torque" in each.text for each in read.questions)


def test_a_torque_and_a_load_that_do_not_agree_are_both_asked(tmp_path: Path) -> None:
    head = ["Joint No.", "Qty", "Stud size", "Grade", "Torque ft-lb", "Bolt load kN"]
    rows: list[list[object]] = [[f"V-{i}", 8, '7/8"', "B7", 400 + 10 * i, 120 if i % 2 else 80] for i in range(6)]
    read = read_joint_list(make(tmp_path / "list.xlsx", head, *rows)).understood
    assert [each.state for each in read.columns[-2:]] == ["asked", "asked"]
    assert read.columns[-1].why == (
        "'Torque ft-lb' is a target too, they do not agree, and nothing says which governs: leave one, let the other be"
        " 'checked against load' or not used"
    )


def test_the_sheet_says_what_is_to_be_done_and_cuts_no_text(tmp_path: Path) -> None:
    head = ["Joint No.", "Qty", "Stud size", "Grade", "Torque", "A remark that takes more than one line of its cell"]
    long = "only if the shell is pulled; leaked at the last start, so look at the faces before the gasket goes in"
    path = make(tmp_path / "list.xlsx", head, *[[f"V-{i}", 8, "M24", "8.8", 480, long] for i in range(3)])
    read = read_joint_list(path)
    write_answers(tmp_path / "a.xlsx", read.understood, "list.xlsx", spelled=spelled_out(read) * 3)
    page = openpyxl.load_workbook(tmp_path / "a.xlsx")["Answers"]
    assert page["A1"].value == "What was understood of the list: 3 yellow cells to fill in or to look at, then sign"
    assert page["E3"].value == (
        "1. Fill in or look at the yellow cells below; each has a list to choose from. 2. Type your name and the date"
        " here: only then answers count. 3. Save, close, plan again. Lines without yellow are used as they stand;"
        " what is changed later is signed anew."
    )
    whole = sum(page.column_dimensions[letter].width for letter in "ABCDEFGH")
    for row in range(5, page.max_row + 1):
        high = page.row_dimensions[row].height or 15
        across = any(str(area).startswith(f"A{row}:") for area in page.merged_cells.ranges)
        for cell in page[row][:8]:
            if cell.value:
                wide = whole if across else page.column_dimensions[cell.column_letter].width
                lines = -(-len(str(cell.value)) * 9 // (10 * int(wide)))
                assert high >= 14 * lines, f"{cell.coordinate}: {cell.value}"
