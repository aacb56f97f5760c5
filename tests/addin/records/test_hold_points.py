"""A joint with a hold or witness point agrees only once somebody is recorded at it, and none does on a day ahead."""

import datetime
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

from addin.cli import main
from addin.plan.file import read_plan
from addin.plan.list_settings import ListSettings
from addin.shipped import folder
from addin.tasks import plan_list, take_records
from calc.review.as_tightened import AGREES, REVIEW, TO_COMPLETE

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"
MAKE = "final make-up"
DAY = datetime.date(2026, 10, 20)


@pytest.fixture(scope="module")
def plan_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    there = tmp_path_factory.mktemp("points")
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    head = ["Joint", "Operation", "Method", "Stud size", "Studs", "Grade", "Lubricant", "Torque (ft-lb)", "Date"]
    sheet.append([*head, "Hold point", "Witness"])
    for tag, hold, witness in (("FL-1", "H", None), ("FL-2", None, "W"), ("FL-3", None, None)):
        row = [tag, MAKE, "hydraulic", "1 1/8", 12, "A193 B7", "L-20", 431, datetime.date(2026, 10, 20), hold, witness]
        sheet.append(row)
    book.save(there / "list.xlsx")
    return plan_list(there / "list.xlsx", [BOOK], there / "out", ListSettings()).plan_file


def recorded(
    plan_file: Path, tmp_path: Path, day: datetime.date = DAY, **boxes: str
) -> dict[str, tuple[str, list[str]]]:
    """Status and reasons of each joint, done as planned, with a box filled in for some of them."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.append(["Joint", "Operation", "As-tightened card", "As-tightened", "As-tightened date", "As-tightened by",
                  "As-tightened witness", "As-tightened hold"])  # fmt: skip
    for joint in read_plan(plan_file).joints:
        said = boxes.get(joint.joint.replace("-", "_"), "")
        sheet.append([joint.joint, MAKE, joint.card, "as planned", day, "A. Crew", said or None, None])
    book.save(tmp_path / "record.xlsx")
    report = take_records(plan_file, [tmp_path / "record.xlsx"], tmp_path / "out", overwrite=True).report
    return {row.joint.joint: (row.status, row.reasons) for row in report.rows}


def test_nobody_recorded_at_a_point_leaves_the_joint_to_be_completed(plan_file: Path, tmp_path: Path) -> None:
    found = recorded(plan_file, tmp_path)

    assert found["FL-1"] == (TO_COMPLETE, ["hold point of the plan: nobody is recorded at it"])
    assert found["FL-2"] == (TO_COMPLETE, ["witness point of the plan: nobody is recorded at it"])
    assert found["FL-3"] == (AGREES, [])


def test_with_a_name_at_its_point_a_joint_agrees(plan_file: Path, tmp_path: Path) -> None:
    found = recorded(plan_file, tmp_path, FL_1="I. Inspector", FL_2="I. Inspector")

    assert {status for status, _ in found.values()} == {AGREES}


def test_work_on_a_day_that_lies_ahead_is_reviewed(plan_file: Path, tmp_path: Path) -> None:
    day = datetime.date.today() + datetime.timedelta(days=40)

    status, reasons = recorded(plan_file, tmp_path, day)["FL-3"]

    assert status == REVIEW
    assert f"the day of the work, {day.isoformat()}, lies ahead of today" in reasons


def test_the_screen_says_what_is_to_be_completed(plan_file: Path, tmp_path: Path) -> None:
    recorded(plan_file, tmp_path)
    command = ["record", str(plan_file), str(tmp_path / "record.xlsx"), "--out", str(tmp_path / "screen")]

    done = CliRunner().invoke(main, command)

    assert f"COMPLETE FL-1 {MAKE}: hold point of the plan: nobody is recorded at it" in done.output
    assert done.exit_code == 1
