"""A lubricant and a wrench that are stated beside a list hold for the rows that need one and say none."""

from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner, Result
from small_job import HEADINGS, flange, write_list

from addin.cli import main
from addin.plan.file import read_plan
from addin.plan.record_joint import JointEntry
from addin.shipped import folder

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"


def planned(
    at: Path, rows: list[list[Any]], headings: list[str], *options: str
) -> tuple[Result, dict[str, JointEntry]]:
    write_list(at / "list.xlsx", rows, headings)
    arguments = ["plan", str(at / "list.xlsx"), "--wrenches", str(BOOK), "--out", str(at / "out"), *options]
    result = CliRunner().invoke(main, arguments, catch_exceptions=False)
    plan = at / "out" / "list-plan.json"
    return result, {each.joint: each for each in read_plan(plan).joints} if plan.exists() else {}


def lubricant(joint: JointEntry) -> str | None:
    return joint.target.friction.lubricant if joint.target else None


def wrenches(joint: JointEntry) -> set[str]:
    return {tool.wrench for tool in joint.tools}


def rows_with_wrench() -> list[list[Any]]:
    rows = [[*flange(f"F-{number}"), None] for number in range(1, 4)]
    rows[0][-1] = "HW-1"
    rows[1][6] = None
    rows[2][2] = "hand"
    return rows


def test_they_fill_rows_that_say_none_and_what_differs_is_named_and_not_used(tmp_path: Path) -> None:
    options = ("--lubricant", "l-30", "--wrench", "hw-2")
    result, made = planned(tmp_path, rows_with_wrench(), [*HEADINGS, "Wrench"], *options)

    assert [lubricant(each) for each in made.values()] == ["L-20", "L-30", "L-20"]
    assert [wrenches(each) for each in made.values()] == [{"HW-1"}, {"HW-2"}, set()]
    assert "note: lubricant L-30 is stated for the list; 2 rows say otherwise, and that holds there" in result.output
    assert "note: wrench HW-2 is stated for the list; 1 row says otherwise, and that holds there" in result.output


def test_a_row_that_states_its_friction_needs_no_lubricant(tmp_path: Path) -> None:
    headings = [*HEADINGS[:6], "Nut factor K", *HEADINGS[7:]]
    rows = [flange("F-1"), flange("F-2")]
    rows[0][6], rows[1][6] = 0.187, 0.187
    result, made = planned(tmp_path, rows, headings, "--lubricant", "L-30")

    assert [lubricant(each) for each in made.values()] == [None, None]
    assert all(each.target and each.target.friction.nut_factor == 0.187 for each in made.values()), result.output
    assert "note: lubricant L-30 is stated for the list, and no row takes it" in result.output


def test_a_lubricant_stated_says_nothing_of_threads_that_are_opened(tmp_path: Path) -> None:
    row = flange("F-1")
    row[1], row[6] = "break", None
    options = ("--breakout-factor", "1.5")
    plain, _ = planned(tmp_path, [row, flange("F-2")], HEADINGS, *options)
    stated, _ = planned(tmp_path, [row, flange("F-2")], HEADINGS, "--lubricant", "L-20", *options, "--overwrite")

    caution = "break-out: expect about 646 lbf·ft, 1.5 x 431 lbf·ft; never above 1001 lbf·ft"
    assert caution in plain.output
    assert caution in stated.output


@pytest.mark.parametrize(
    ("option", "text", "said"),
    [
        (
            "--lubricant",
            "L-99",
            "--lubricant: 'L-99' is no product of the lubricants in the wrench book; it has",
        ),
        ("--wrench", "HW-3, HW-99", "--wrench: 'HW-99' is no wrench in the wrench book; it has HW-1, HW-2, HW-3,"),
    ],
)
def test_what_the_book_does_not_have_is_one_line(tmp_path: Path, option: str, text: str, said: str) -> None:
    result, made = planned(tmp_path, rows_with_wrench(), [*HEADINGS, "Wrench"], option, text)

    assert result.exit_code == 2
    assert said in result.output
    assert not made


def test_the_plan_says_what_was_stated(tmp_path: Path) -> None:
    planned(tmp_path, rows_with_wrench(), [*HEADINGS, "Wrench"], "--lubricant", "L-30", "--wrench", "HW-2")
    settings = read_plan(tmp_path / "out" / "list-plan.json").head.settings

    assert (settings.lubricant, settings.wrench) == ("L-30", "HW-2")
    assert openpyxl.load_workbook(tmp_path / "out" / "list-planned.xlsx").sheetnames[0] == "Sheet"
