"""Lists as text files with separators: read, planned into a new .xlsx, the text itself never touched."""

from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result
from plain_plan import plain_plan

from addin.cli import main
from addin.shipped import folder
from addin.workbooks.package import WorkbookError
from addin.workbooks.plain_lists import as_workbook, rows_of

BOOK = next(folder("samples").glob("*-wrenches.xlsx"))
TEXT = """Flanges of unit 3
Flange No.;Operation;Method;Stud size;Studs;Grade;Torque (ft-lb);Date;Remarks
FL-1;final make-up;hydraulic;1 1/8;12;A193 B7;731;2026-10-20;"two lines; one cell"
FL-2;final make-up;hydraulic;1 1/8;12;A193 B7;1'050;2026-10-20;
"""


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


def test_a_text_with_separators_is_planned_into_a_new_workbook(tmp_path: Path) -> None:
    listed = tmp_path / "flanges.csv"
    listed.write_text(TEXT, encoding="cp1252")
    result = run("plan", listed, "--wrenches", BOOK, "--out", tmp_path / "out")
    assert result.exit_code in (0, 1), result.output
    assert listed.read_text(encoding="cp1252") == TEXT
    plan = plain_plan(tmp_path / "out" / "flanges-plan.json")
    assert [joint["studs"] for joint in plan["joints"]] == [12, 12]
    assert plan["joints"][0]["remarks"] == "two lines; one cell"
    sheet = openpyxl.load_workbook(tmp_path / "out" / "flanges-planned.xlsx").worksheets[0]
    assert [cell.value for cell in sheet[3]][:7] == ["FL-1", "final make-up", "hydraulic", "1 1/8", 12, "A193 B7", 731]
    assert "Status" in [cell.value for cell in sheet[2]]


def test_columns_reads_it_too_and_the_same_text_gives_the_same_workbook(tmp_path: Path) -> None:
    listed = tmp_path / "flanges.csv"
    listed.write_text(TEXT, encoding="utf-8-sig")
    assert "Torque (ft-lb)  torque     lbf·ft" in run("columns", listed).output
    one, two = tmp_path / "one", tmp_path / "two"
    for place in (one, two):
        place.mkdir()
    assert as_workbook(listed, one).read_bytes() == as_workbook(listed, two).read_bytes()


@pytest.mark.parametrize(("text", "cells"), [
    ("a\tb\n1\t2\n", [["a", "b"], ["1", "2"]]), ("a,b\n1,2\n", [["a", "b"], ["1", "2"]]),
    ("a;b\n0,15;1 1/8\n", [["a", "b"], ["0,15", "1 1/8"]]),
])  # fmt: skip
def test_the_separator_is_the_one_that_the_lines_have(text: str, cells: list[list[str]], tmp_path: Path) -> None:
    (tmp_path / "x.csv").write_text(text)
    assert rows_of(tmp_path / "x.csv") == cells


def test_numbers_that_could_be_read_in_two_ways_stay_texts(tmp_path: Path) -> None:
    (tmp_path / "x.csv").write_text("n\n007\n1,5\n480\n2.5\n")
    sheet = openpyxl.load_workbook(as_workbook(tmp_path / "x.csv", tmp_path)).worksheets[0]
    assert [row[0].value for row in sheet.iter_rows()] == ["n", "007", "1,5", 480, 2.5]


def test_what_is_no_text_is_said_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "x.csv").write_bytes(b"PK\x03\x04\0\0\0")
    with pytest.raises(WorkbookError, match=r"x\.csv: is no text file with separators"):
        rows_of(tmp_path / "x.csv")
