"""What stands beside a row of the list: one number where all wrenches are set alike, each with its own where not.

1405.3 lbf·ft on HW-3 (0.351 lbf·ft/psi - 20): 4061 psi, mark 4050; HW-4 (0.34): 4192, mark 4200; HW-13 on the pump of
HW-3: the same 4050; HW-9 (0.345, gauge in bar): 4131 psi or 284.8 bar, mark 285.
"""

from typing import Any

import pytest

from addin.plan.notes_sheet import PlanNotes
from addin.plan.result_columns import Results
from tests.small_plans import hand, joint, plan, several

PRESSURE, UNIT, AT_IT = "Pressure to set", "Pressure unit", "Torque at that pressure"
FIRST = "Pass 1: 30 % pressure"
STATED = {"nut_factor": None, "lubricant": None, "stress": None, "stress_area": None, "torque": "1400 lbf·ft"}


@pytest.mark.parametrize(
    ("row", "cells"),
    [
        (
            joint(),
            {PRESSURE: 4050, UNIT: "psi", AT_IT: 1401.55, FIRST: 1250, "Preload unit": "lbf", "Torque unit": "lbf·ft"},
        ),
        (
            several(same=True),
            {PRESSURE: 4050, UNIT: "psi", AT_IT: "1401.55 + 1393.45", "Wrench": "HW-3 + HW-13", "Gauge": "G-2"},
        ),
        (
            several(),
            {PRESSURE: "4050 + 4200", UNIT: "psi", AT_IT: "1401.55 + 1408", FIRST: "1250 + 1300", "Gauge": "G-2 + G-3"},
        ),
        (
            joint(studs=28, wrench="HW-3, HW-9", at_once=2),
            {PRESSURE: "4050 psi + 285 bar", UNIT: "psi", FIRST: "1250 psi + 87.5 bar", "Gauge": "G-2 + G-9"},
        ),
        (
            joint(**STATED),
            {"Preload": "not known: friction not stated", "Preload unit": None, "Torque": 1400, PRESSURE: 4050},
        ),
        (hand(), {PRESSURE: "–", UNIT: None, AT_IT: "–", FIRST: "torque 25 N·m", "Wrench": "by hand", "Torque": 84}),
    ],
)
def test_a_row(row: dict[str, Any], cells: dict[str, Any]) -> None:
    made = plan(row)
    results = Results(made.head)
    for entry in made.joints:
        results.add(entry)

    assert {name: results.told(name, 0)[1] for name in cells} == cells


def test_the_totals_count_each_row_once_by_what_became_of_it() -> None:
    rows = joint("E-1"), joint("E-2"), hand(), joint("S-1", studs=None), joint("T-1", method="other")
    totals = plan(*rows).head.totals

    assert (totals.rows, totals.planned, totals.hydraulic, totals.hand) == (5, 3, 2, 1)
    assert (totals.other_method, totals.stopped) == (1, 1)


def test_the_notes_say_how_many_findings_are_more_only_where_there_are_more() -> None:
    made = plan(joint("E-1", grade=None), joint("S-1", studs=None))
    notes = PlanNotes()
    for entry in made.joints:
        notes.add(entry)
    rows = [[cell.value for cell in row] for row in notes.sheet(made.head, "beside the list").iter_rows()]

    assert not [row for row in rows if str(row[1]).endswith("more")]
    places = [row[2:4] for row in rows if row[0] in ("stop", "caution")]
    assert places == [["Joints!K8", "S-1 | final make-up"], ["Joints!row 7", "E-1 | final make-up"]]


def test_the_place_of_a_finding_leads_to_its_cell() -> None:
    made = plan(joint("S-1", studs=None))
    notes = PlanNotes()
    notes.add(made.joints[0])
    links = {cell.coordinate: cell.hyperlink.location for row in notes.sheet(made.head, "").iter_rows() for cell in row
             if cell.hyperlink}  # fmt: skip

    assert list(links.values()) == ["'Joints'!A7"]
    assert all(name.startswith("C") for name in links)


def test_the_plan_names_the_gauge_that_a_wrench_is_read_on() -> None:
    assert [(each.name, each.gauge) for each in plan(several()).head.wrenches] == [("HW-3", "G-2"), ("HW-4", "G-3")]
