"""Whitworth studs have the sizes of UN threads and another form: they are never planned as these, whoever signs."""

import datetime
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

from addin.cli import main
from addin.shipped import folder


@pytest.mark.parametrize(
    ("heading", "cell", "said"),
    [("Stud BSW", "1 1/8", "1 1/8 BSW"), ("Whitworth stud", "1 1/8", "1 1/8 Whitworth"),
     ("Stud size", "1 1/8-7 BSW", "1 1/8-7 BSW")],
)  # fmt: skip
def test_a_signed_answer_does_not_make_them_un(heading: str, cell: str, said: str, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.worksheets[0].append(["Joint", heading, "No off", "Grade", "Torque ft lb", "Lubricant", "Date"])
    book.worksheets[0].append(["P-1", cell, 12, "A193 B7", 320, "L-20", datetime.date(2026, 10, 20)])
    book.save(tmp_path / "doors.xlsx")
    call = ["plan", str(tmp_path / "doors.xlsx"), "--wrenches", str(folder("samples") / "drigrauvex-wrenches.xlsx"),
            "--out", str(tmp_path / "out"), "--operation", "final make-up", "--method", "hydraulic"]  # fmt: skip
    assert CliRunner().invoke(main, call).exit_code == 2  # asked
    answers = openpyxl.load_workbook(tmp_path / "out" / "doors-questions.xlsx")
    sheet = answers["Answers"]
    row = next(row for row in range(1, sheet.max_row + 1) if sheet.cell(row, 2).value == heading)
    sheet.cell(row, 4).value = "thread"
    sheet["B3"], sheet["D3"] = "P. Planner", datetime.date.today().isoformat()
    answers.save(tmp_path / "out" / "doors-questions.xlsx")

    result = CliRunner().invoke(main, call)

    assert f"thread '{said}' is not known; write it like 1 1/4-8 UN, 7/8 or M36x3" in result.output
    assert "0 planned" in result.output
