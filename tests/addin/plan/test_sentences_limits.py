"""Limits and break-out of a row: whole sentences, through the plan of a list."""

import datetime
from typing import Any

import openpyxl
import pytest

from addin.plan.file import read_plan
from addin.shipped import folder
from addin.tasks import plan_list

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"
HEAD = ["Joint", "Operation", "Method", "Stud size", "Studs", "Grade", "Nut series", "Nut grade", "Stress (psi)",
        "Stress area", "Torque (ft-lb)", "Nut factor", "Job date", "Stud maximum stress (psi)", "Stud minimum stress (psi)",
        "Flange limit (psi)", "Flange kind", "Break-out factor", "Stud condition"]  # fmt: skip
USUAL: dict[str, Any] = {
    "Operation": "final make-up", "Method": "hydraulic", "Stud size": "1 1/4-8 UN", "Studs": 16, "Grade": "A193 B7",
    "Nut series": "heavy hex", "Nut grade": "2H", "Stress (psi)": 45000, "Stress area": "root B1.1", "Nut factor": 0.16,
    "Job date": datetime.date(2026, 10, 8),
}  # fmt: skip
BREAK = {
    "Operation": "break",
    "Stress (psi)": None,
    "Stress area": None,
    "Torque (ft-lb)": 600,
    "Break-out factor": 1.2,
}
ROWS: dict[str, dict[str, Any]] = {
    "usual": {},
    "above": {"Stud maximum stress (psi)": 40000},
    "below": {"Stud minimum stress (psi)": 50000},
    "flange": {"Flange limit (psi)": 44000},
    "break": BREAK,
    "break grade": {**BREAK, "Grade": None},
    "break without": {**BREAK, "Torque (ft-lb)": None},
}

SAID: dict[str, list[str]] = {
    "usual": [],
    "above": ["stud maximum: stress of the stud 45000 psi is above it, 40000 psi on the root B1.1 area"],
    "below": ["stud minimum: stress of the stud 45000 psi is below it, 50000 psi on the root B1.1 area"],
    "flange": ["flange limit: stress of the stud 45000 psi is above it, 44000 psi on the root B1.1 area"],
    # 1120 lbf ft is the limit of the 2 in socket of HW-1, below the 1150 of its table
    "break": ["break-out: expect about 720 lbf·ft, 1.2 x 600 lbf·ft; never above 1120 lbf·ft"],
    "break grade": ["break-out: expect about 720 lbf·ft, 1.2 x 600 lbf·ft; never above 1120 lbf·ft",
                    "break-out: torsional limit of the stud not checked: grade is needed"],
    "break without": ["break-out not planned: torque is needed (a factor for all rows: --breakout-factor FACTOR)"],
}  # fmt: skip


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[str]]:
    place = tmp_path_factory.mktemp("limits")
    made = openpyxl.Workbook()
    made.active.append(HEAD)  # type: ignore[union-attr]
    for number, changes in enumerate(ROWS.values(), 101):
        row = {"Joint": f"P-{number}", **USUAL, **changes}
        made.active.append([row.get(heading) for heading in HEAD])  # type: ignore[union-attr]
    made.save(place / "L.xlsx")
    done = plan_list(place / "L.xlsx", [BOOK], place / "out")
    entries = read_plan(done.plan_file).joints
    return {name: [finding.text for finding in each.findings] for name, each in zip(ROWS, entries, strict=True)}


def test_every_row_has_its_sentences() -> None:
    assert ROWS.keys() == SAID.keys()


@pytest.mark.parametrize("name", SAID)
def test_the_whole_sentences_of_a_row(said: dict[str, list[str]], name: str) -> None:
    assert said[name] == SAID[name]
