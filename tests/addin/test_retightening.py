"""A joint that is tightened again: round and round at full torque until no nut turns, on every page that says so."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest

from addin.cards import joint_card
from addin.cards.issue import WantedParts
from addin.functions.examples import JOINTS, WRENCHES
from addin.functions.gate import answer
from addin.functions.registry import BY_NAME
from addin.plan.file import Plan, read_plan
from addin.plan.record_joint import JointEntry
from addin.shipped import folder
from addin.tasks import ListSettings, plan_list, write_pack
from calc.procedure.order import circular
from calc.procedure.passes import pulled, scheme
from calc.wrench.duration import joint_duration

LIST, BOOK = (folder("samples") / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches"))
AGAIN = ("E-1204-GF", "V-1101-N3", "E-1205-FH")
"""Joints of the sample that are tightened again here: by two wrenches together, by hand, by one wrench."""


@dataclass
class Planned:
    """What was planned, and the files of it."""

    plan: Plan
    copy: Path
    working: Path

    def again(self, tag: str) -> JointEntry:
        return next(j for j in self.plan.joints if j.joint == tag and j.operation == "retighten")


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> Planned:
    at = tmp_path_factory.mktemp("again")
    book = openpyxl.load_workbook(LIST)
    sheet = book["Joints"]
    (heads,) = (row for row in sheet.iter_rows() if any(cell.value == "Operation" for cell in row))
    operation = next(cell.column for cell in heads if cell.value == "Operation")
    for row in sheet.iter_rows(min_row=heads[0].row + 1):
        if any(cell.value in AGAIN for cell in row):
            sheet.cell(row[0].row, operation).value = "retighten"
    book.save(at / "list.xlsx")
    made = plan_list(at / "list.xlsx", [BOOK], at, ListSettings())
    write_pack(made.plan_file, at, WantedParts(only=("working",)))
    return Planned(read_plan(made.plan_file), made.planned_file, next(at.glob("*working*.xlsx")))


@pytest.mark.parametrize("name", ["PCC-1 legacy", "three-pass", "25/50/75/100"])
def test_only_the_circular_pass_at_full_torque_is_left(name: str) -> None:
    stages = scheme(name)
    once, again = pulled(stages, ("final make-up", "retighten"), (8, 8))
    assert once.all()
    assert [stages[k].pattern for k in np.flatnonzero(again)] == ["circular until no nut turns"]
    assert [stages[k].fraction for k in np.flatnonzero(again)] == [1.0]


@pytest.mark.parametrize("tag", [*AGAIN, "T-1401-BTM"])
def test_its_entry_has_one_pass_with_the_setpoint_of_the_joint(done: Planned, tag: str) -> None:
    joint, head = done.again(tag), done.plan.head
    (only,) = head.passes(joint)
    assert (only.number, only.name, only.pattern, only.percent) == (1, "pass 1", "circular until no nut turns", 100)
    assert only.torque == joint.torque
    assert only.pressure == joint.setpoint
    assert joint.passes == ()
    assert all(tool.passes == () for tool in (*joint.wrenches, *joint.alternates))
    assert [len(tool.passes) for tool in head.pulling(joint)] == [1] * len(joint.wrenches)


def test_the_same_joint_made_up_keeps_its_passes_and_the_same_setpoint(done: Planned) -> None:
    made = next(j for j in done.plan.joints if j.joint == "T-1401-BTM" and j.operation == "final make-up")
    again = done.again("T-1401-BTM")
    assert [each.percent for each in done.plan.head.passes(made)] == [None, 30, 60, 100, 100, 100]
    assert (again.setpoint, again.torque) == (made.setpoint, made.torque)
    assert again.card != made.card


def test_its_order_goes_round_also_for_wrenches_together(done: Planned) -> None:
    two, one = done.again("E-1204-GF"), done.again("E-1205-FH")
    assert done.plan.head.order(two) == tuple(map(tuple, circular(40, 2)))
    assert done.plan.head.order(two)[:2] == ((1, 21), (2, 22))
    assert done.plan.head.order(one) == tuple((stud,) for stud in range(1, 37))


def test_its_card_says_so(done: Planned) -> None:
    values = joint_card.filling(done.plan, done.again("E-1205-FH"))
    assert [row["how"] for row in values.groups["pass"]] == ["circular until no nut turns"]
    assert values.values["order heading"] == "Order"
    assert str(values.values["order"]).replace("\u00a0", " ") == ("1→ 2→ 3 … 36, round after round, until no nut turns")
    assert "until no nut turns in a whole round" in str(values.values["notice"])
    stops = "a nut turns further than the engineer states (one flat, 60°, where nothing is stated)"
    assert stops in str(values.values["stop lines"])


def test_its_boxes_are_for_rounds(done: Planned) -> None:
    values = joint_card.filling(done.plan, done.again("T-1401-BTM"))
    assert values.values["round ticks heading"] == (
        "A tick for each stud and round, columns in circular order, until no nut turns in a whole round"
    )
    assert values.values["ticks heading"] is None
    assert [row["name"] for row in values.groups["round ticks"]] == ["round 1", "round 2", "round 3"]
    assert [values.values[f"round move {k}"] for k in (1, 2, 3)] == ["1", "2", "3"]


def test_no_pressure_of_a_lower_pass_stands_beside_the_list(done: Planned) -> None:
    sheet = openpyxl.load_workbook(done.copy)["Joints"]
    rows = list(sheet.iter_rows(values_only=True))
    heads = next(row for row in rows if "Status" in row)
    lower = [k for k, head in enumerate(heads) if str(head).startswith("Pass ")]
    assert len(lower) == 2
    for row in rows:
        if "retighten" in row and "T-1401-BTM" in row:
            assert [row[k] for k in lower] == ["–", "–"]
            assert row[next(k for k, head in enumerate(heads) if str(head).startswith("Pressure to set"))] == 1950
            break
    else:
        pytest.fail("no such row")


def test_its_working_shows_the_one_pass(done: Planned) -> None:
    book = openpyxl.load_workbook(done.working)
    pages = [[c for row in sheet.iter_rows(values_only=True) for c in row if c is not None] for sheet in book]
    page = next(p for p in pages if "T-1401-BTM" in p and any("retighten" in str(c) for c in p))
    start = page.index("Passes")
    after = page[start:]
    assert "circular until no nut turns" in after
    assert not {"cross", "circular check after a wait", "snug"} & set(after)


def test_its_time_is_that_of_two_rounds(done: Planned) -> None:
    """By hand: a move of 40 s, two strokes in the first round and one in the second."""
    joint = done.again("T-1401-BTM")
    assert joint.duration is None or "two rounds" in str(joint.duration.note)
    found = joint_duration(0.5, 24, (1.0, 1.0), stroke_angle=0.5, stroke_time=9.0)
    assert float(found.total) == 24 * (2 * 9 + 40) + 24 * (9 + 40)


def test_the_plan_in_cells_pulls_no_lower_pass() -> None:
    def call(operation: str) -> list[list[Any]]:
        at = next(k for k, head in enumerate(JOINTS[0]) if str(head).lower() == "operation")
        rows = [list(row) for row in JOINTS]
        for row in rows[1:]:
            row[at] = operation
        return answer(BY_NAME["joint_plan"], [rows, WRENCHES, "US", "2026-10-08"])  # type: ignore[no-any-return]  # a table

    made, again = call("final make-up"), call("retighten")
    at = [k for k, head in enumerate(made[0]) if str(head).startswith("pass ")]
    assert [again[1][k] for k in at] == ["not pulled"] * 3 + [made[1][at[3]], "not pulled"]
    assert isinstance(made[1][at[3]], float)
