"""A target of an earlier outage, or of a hidden column, is never taken where another target stands in the list."""

from pathlib import Path

import pytest
from openpyxl import Workbook

from addin.reading.joint_list import JointList, read_joint_list
from addin.reading.understood import ColumnReading

HEAD = ["Joint", "Operation", "Method", "Stud size", "Studs", "Nut factor"]
ROWS = [["M24", 12, 0.16, 98.4, 378], ["M30x3.5", 16, 0.16, 150, 720], ["M36x4", 20, 0.16, 210, 1210]]


def read(folder: Path, load: str, torque: str, hidden: str = "", title: str = "") -> JointList:
    book = Workbook()
    sheet = book.worksheets[0]
    if title:
        sheet.append([title])
        sheet.append([])
    sheet.append([*HEAD, load, torque])
    for i, row in enumerate(ROWS):
        sheet.append([f"F-{i}", "final make-up", "hydraulic", *row])
    if hidden:
        sheet.column_dimensions[hidden].hidden = True
    book.save(folder / "list.xlsx")
    return read_joint_list(folder / "list.xlsx")


def column(found: JointList, heading: str) -> ColumnReading:
    return next(each for each in found.understood.columns if each.heading == heading)


@pytest.mark.parametrize(
    "heading",
    ["Torque 2021 (Nm)", "Anzugsmoment 2021 (Nm)", "Couple 2021 (Nm)", "Last outage torque (Nm)", "Old torque (Nm)",
     "Couple dernier arrêt (Nm)", "Anzugsmoment letzte Revision (Nm)"],
)  # fmt: skip
def test_a_heading_of_the_past_is_no_target_beside_another(tmp_path: Path, heading: str) -> None:
    found = read(tmp_path, "Bolt load (kN)", heading)
    old = column(found, heading)
    assert (old.field, old.state) in ((None, "not used"), ("torque", "checked against"))
    assert column(found, "Bolt load (kN)").field == "load"
    assert column(found, "Bolt load (kN)").state in ("sure", "proposed")
    assert [value > 0 for value in found.rows.joints.torque] == [False] * 3


def test_the_reason_says_what_it_is_and_that_it_is_only_compared(tmp_path: Path) -> None:
    assert column(read(tmp_path, "Bolt load (kN)", "Torque 2021 (Nm)"), "Torque 2021 (Nm)").why == (
        "its heading names 2021: a value of an earlier time, and 'Bolt load (kN)' is there; never used, only compared"
    )
    assert column(read(tmp_path, "Bolt load (kN)", "Torque (Nm)", hidden="H"), "Torque (Nm)").why == (
        "the column is hidden, and 'Bolt load (kN)' is there; never used, only compared"
    )


def test_the_year_of_the_title_is_no_past_and_a_lone_target_stays_one(tmp_path: Path) -> None:
    found = read(tmp_path, "Bolt load 2021 (kN)", "Torque 2027 (Nm)", title="Turnaround 2027")
    assert column(found, "Torque 2027 (Nm)").field == "torque"
    assert column(found, "Bolt load 2021 (kN)").state == "checked against"
    found = read(tmp_path, "Weight (kg)", "Torque 2021 (Nm)")
    assert column(found, "Torque 2021 (Nm)").field == "torque"


@pytest.mark.parametrize(
    ("heading", "why"),
    [
        ("Torque 2021 (Nm)",
         "its heading names 2021, and title and notes do not say that this is the year of the work"),
        ("Old torque (Nm)", "the heading speaks of an earlier value, and no other target stands in the list"),
        ("As left torque (Nm)",
         "the heading speaks of what was done or measured, and no other target stands in the list"),
    ],
)  # fmt: skip
def test_a_lone_target_of_the_past_is_never_sure(tmp_path: Path, heading: str, why: str) -> None:
    found = column(read(tmp_path, "Weight (kg)", heading), heading)
    assert (found.field, found.state) == ("torque", "proposed")
    assert found.why.startswith(why)


def test_a_lone_target_of_a_hidden_column_or_of_the_newest_year_is_never_sure(tmp_path: Path) -> None:
    found = column(read(tmp_path, "Weight (kg)", "Torque (Nm)", hidden="H"), "Torque (Nm)")
    assert (found.field, found.state, found.why[:20]) == ("torque", "proposed", "the column is hidden")
    found = read(tmp_path, "Torque 2019 (Nm)", "Torque 2021 (Nm)")
    assert column(found, "Torque 2019 (Nm)").state == "checked against"
    assert column(found, "Torque 2021 (Nm)").state == "proposed"
    found = read(tmp_path, "Weight (kg)", "Torque 2027 (Nm)", title="Turnaround 2027")
    assert column(found, "Torque 2027 (Nm)").state == "sure"
