"""Limits and break-out of a row: whole sentences, through the plan of a list."""

import datetime
from typing import Any

import openpyxl
import pytest

from addin.plan.file import read_plan
from addin.plan.record import JointEntry
from addin.shipped import folder
from addin.tasks import plan_list

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"
HEAD = ["Joint", "Operation", "Method", "Stud size", "Studs", "Grade", "Nut series", "Nut grade", "Stress (psi)",
        "Stress area", "Torque (ft-lb)", "Nut factor", "Job date", "Stud maximum stress (psi)", "Stud minimum stress (psi)",
        "Flange limit (psi)", "Flange kind", "Break-out factor", "Stud condition", "Lubricant", "Facing", "Gasket m",
        "Gasket y (psi)", "Gasket inside diameter (in)", "Gasket outside diameter (in)", "Design pressure (psi)",
        "Across flats (in)", "Wrench", "Gasket area (in²)", "Gasket operating stress (psi)"]  # fmt: skip
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
    "operating": {
        "Gasket area (in²)": 30,
        "Gasket operating stress (psi)": 7000,
        "Design pressure (psi)": 700,
        "Gasket inside diameter (in)": 9.19,
    },
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
    "diameters": {
        "Stud maximum stress (psi)": 60000,
        "Facing": "1a",
        "Gasket m": 3,
        "Gasket y (psi)": 10000,
        "Gasket inside diameter (in)": 10.38,
        "Gasket outside diameter (in)": 9.19,
        "Design pressure (psi)": 700,
    },
    "no width": {
        "Stud maximum stress (psi)": 60000,
        "Facing": "1a",
        "Gasket m": 3,
        "Gasket y (psi)": 10000,
        "Gasket inside diameter (in)": 10.38,
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
    "operating": [],
    "kind": ["flange limit not checked: no published limit covers cast iron flanges"],
    "facing": ["facing sketch '1c' needs a width (contact) that is not among the inputs here: not checked"],
    "diameters": ["gasket inside diameter 10.38 in is not below its outside diameter, 9.19 in: not checked"],
    "no width": ["gasket inside diameter 10.38 in is not below its outside diameter, 10.38 in: not checked"],
}  # fmt: skip


@pytest.fixture(scope="module")
def entries(tmp_path_factory: pytest.TempPathFactory) -> dict[str, JointEntry]:
    place = tmp_path_factory.mktemp("limits")
    made = openpyxl.Workbook()
    made.active.append(HEAD)  # type: ignore[union-attr]
    for number, changes in enumerate(ROWS.values(), 101):
        row = {"Joint": f"P-{number}", **USUAL, **changes}
        made.active.append([row.get(heading) for heading in HEAD])  # type: ignore[union-attr]
    made.save(place / "L.xlsx")
    done = plan_list(place / "L.xlsx", [BOOK], place / "out")
    return dict(zip(ROWS, read_plan(done.plan_file).joints, strict=True))


@pytest.fixture(scope="module")
def said(entries: dict[str, JointEntry]) -> dict[str, list[str]]:
    return {name: [finding.text for finding in each.findings] for name, each in entries.items()}


def test_every_row_has_its_sentences() -> None:
    assert ROWS.keys() == SAID.keys()


@pytest.mark.parametrize("name", SAID)
def test_the_whole_sentences_of_a_row(said: dict[str, list[str]], name: str) -> None:
    assert said[name] == SAID[name]


def test_a_share_of_gasket_load_that_nobody_stated_is_said_beside_its_limit(entries: dict[str, JointEntry]) -> None:
    """(7000 x 30 + 0.7854 x 9.19² x 700) / (0.7 x 16 x 0.9291) psi; ASME PCC-1 Appendix O takes 0.7."""
    (limit,) = [each for each in entries["operating"].limits if each.name == "gasket operating"]
    assert limit.note == "on the root B1.1 area, gasket load kept 70 % taken, low side of the range not checked"
    assert limit.value is not None
    by_hand = (7000 * 30 + 0.7854 * 9.19**2 * 700) / (0.7 * 16 * 0.9291)
    assert (limit.value.value, limit.value.unit) == (pytest.approx(by_hand, rel=1e-3), "psi")


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ("facing", "facing sketch '1c' needs a width (contact) that is not among the inputs here"),
        ("diameters", "gasket inside diameter 10.38 in is not below its outside diameter, 9.19 in"),
        ("operating", "needs gasket m, gasket outside diameter and facing"),
    ],
)
def test_a_design_load_that_is_not_checked_says_why(entries: dict[str, JointEntry], row: str, why: str) -> None:
    """What the row lacks where it lacks something, and otherwise why what it states cannot be used."""
    notes = {each.name: each.note for each in entries[row].limits}
    assert notes["design operating load"] == f"not checked: {why}"
    assert notes["stud minimum"] == "not checked: needs stud minimum"


def test_a_stud_of_unknown_grade_has_no_limit_whatever_is_known_of_its_friction(entries: dict[str, JointEntry]) -> None:
    """The nut factor of its make-up is stated, so its preload could be worked out, but not what the stud bears."""
    said = {name: entries[name].breakout for name in ("break", "break grade")}
    assert said["break grade"] is not None
    assert said["break"] is not None
    assert (said["break grade"].stud_limit, said["break grade"].stud_note) == (None, "not checked: needs grade")
    assert said["break"].stud_note == (
        "the stud begins to yield: thread seized, its preload still in it, the nut's face taking its share"
    )
