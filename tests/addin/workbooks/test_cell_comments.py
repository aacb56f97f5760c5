"""Comments of cells: read whole, and held against their row. Common practice, no source."""

from pathlib import Path

import openpyxl
from openpyxl.comments import Comment

from addin.cells.words import line
from addin.reading.joint_list import read_joint_list
from addin.workbooks.cell_comments import cell_comments
from addin.workbooks.package import open_package
from calc.plan.joints import PlanSettings
from calc.plan.plan import plan_joints
from calc.units import system
from tests.calc.plan.test_breakout import BOOK, GAUGES

HEAD = ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (ft-lb)", "Nut factor", "Job date"]
ROW = ["A-1", "final make-up", "hand", "1 1/4", 16, 700, 0.16, "2026-03-01"]


def written(path: Path, text: str) -> Path:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Joints"
    for row in (HEAD, ROW, ["A-2", *ROW[1:]]):
        sheet.append(row)
    sheet["F3"].comment = Comment(text, "planner")
    book.save(path)
    return path


def test_a_comment_that_contradicts_its_row_is_named(tmp_path: Path) -> None:
    path = written(tmp_path / "list.xlsx", "1,100 ft-lb\nper engineer")
    package = open_package(path)
    assert cell_comments(package, package.sheet("Joints")) == {(3, 6): "1,100 ft-lb per engineer"}

    found = plan_joints(read_joint_list(path).rows.joints, BOOK, GAUGES, [], PlanSettings())
    told = [(f.row, line(f, system("US"))) for f in found.findings if f.code.startswith("remark")]
    assert told == [
        (1, "comments of cells in the row name a torque of 1100 lbf·ft, but the row is planned with 700 lbf·ft: which "
            "one applies?")
    ]  # fmt: skip


def test_a_comment_on_a_line_in_service_stops_its_row(tmp_path: Path) -> None:
    joints = read_joint_list(written(tmp_path / "list.xlsx", "hot bolting")).rows.joints
    assert plan_joints(joints, BOOK, GAUGES, [], PlanSettings()).status == ("planned", "stopped")
