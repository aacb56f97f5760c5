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
        "Flange limit (psi)", "Flange kind", "Break-out factor", "Stud condition", "Lubricant", "Facing", "Gasket m",
        "Gasket y (psi)", "Gasket inside diameter (in)", "Gasket outside diameter (in)", "Design pressure (psi)",
        "Across flats (in)", "Wrench"]  # fmt: skip
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
SCATTER = {"Method": "hand", "Nut factor": None, "Lubricant": "L-20"}
"""By hand nothing of a wrench's certificate is in the range: L-20 lies between 0.12 and 0.175, taken as 0.145."""
ROWS: dict[str, dict[str, Any]] = {
    "usual": {},
    "above": {"Stud maximum stress (psi)": 40000},
    "below": {"Stud minimum stress (psi)": 50000},
    "flange": {"Flange limit (psi)": 44000},
    "break": BREAK,
    "break grade": {**BREAK, "Grade": None},
    "break without": {**BREAK, "Torque (ft-lb)": None},
    "break small": {**BREAK, "Stud size": "7/8-9 UNC", "Across flats (in)": 2, "Wrench": "HW-1"},
    "high side": {**SCATTER, "Stud maximum stress (psi)": 47000},
    "low side": {**SCATTER, "Stud minimum stress (psi)": 44000},
    "high side yields": {**SCATTER, "Stress (psi)": 78000},
    "kind": {"Flange kind": "cast iron", "Stud maximum stress (psi)": 60000},
    "facing": {
        "Stud maximum stress (psi)": 60000,
        "Facing": "1c",
        "Gasket m": 3,
        "Gasket y (psi)": 10000,
        "Gasket inside diameter (in)": 9.19,
        "Gasket outside diameter (in)": 10.38,
        "Design pressure (psi)": 700,
    },
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
    # the stress area of 7/8-9, 0.4617 in2, is that of a bar of 0.76674 in; pi/16 x 0.76674^3 x 105,000/sqrt(3) = 5366 lbf in
    "break small": ["break-out: expect about 720 lbf·ft, 1.2 x 600 lbf·ft; never above 447 lbf·ft",
                    "break-out: 720 lbf·ft is above the stud's own limit, 447 lbf·ft: no larger wrench; other means, or the engineer declares the stud sacrificial"],
    # 45,000 x 0.145 / 0.12 and 45,000 x 0.145 / 0.175
    "high side": ["high side of the range, 54375 psi, is above stud maximum, 47000 psi on the root B1.1 area"],
    "low side": ["low side of the range, 37285.7 psi, is below stud minimum, 44000 psi on the root B1.1 area"],
    # 78,000 x 0.145 / 0.12 on the root area are 87,590 on the tensile one, with torsion about 1.147 times that
    "high side yields": ["high side of the range: stress with torsion 100552 psi is above the stud ceiling, 94500 psi"],
    "kind": ["flange limit not checked: no published limit covers cast iron flanges"],
    "facing": ["facing sketch '1c' needs a width (contact) that is not among the inputs here: not checked"],
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
