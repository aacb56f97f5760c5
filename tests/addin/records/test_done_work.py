"""Done work stays done across several plans and lists, and what is alike counts once."""

import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner, Result
from sample_plans import planned_sample
from typed_records import typed_records

from addin.cli import main
from addin.plan.file import read_plan
from addin.records.record_cells import Values
from addin.records.record_rows import RecordEntry
from addin.records.same_rows import one_row_each, wrenches_apart
from addin.shipped import folder
from addin.tasks import take_records
from calc.review.as_tightened import AGREES, REVIEW

SAMPLES = folder("samples")
LIST, BOOK = (SAMPLES / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches"))
MAKE = "final make-up"
NAME = "drigrauvex-joints"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


@pytest.fixture(scope="module")
def first_plan(shared: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The plan of the sample list."""
    return planned_sample(shared, tmp_path_factory.mktemp("first"), "--breakout-factor", 1.5)


def with_cells(path: Path, **cells: object) -> Path:
    """The sample list with some cells of the row of V-1101-N1, by heading."""
    book = openpyxl.load_workbook(LIST)
    sheet = book["Joints"]
    head = {str(sheet.cell(5, column).value): column for column in range(1, sheet.max_column + 1)}
    row = next(r for r in range(6, sheet.max_row + 1)
               if (sheet.cell(r, 1).value, sheet.cell(r, 2).value) == ("V-1101-N1", MAKE))  # fmt: skip
    for name, value in cells.items():
        column = next(at for heading, at in head.items() if heading.startswith(name.replace("_", " ")))
        sheet.cell(row, column).value = value
    path.parent.mkdir(exist_ok=True)
    book.save(path)
    return path


def planned(list_file: Path, out: Path, *more: object) -> Path:
    run("plan", list_file, "--wrenches", BOOK, "--out", out, "--breakout-factor", 1.5, *more)
    return out / f"{list_file.stem}-plan.json"


def card(plan: Path, joint: str = "V-1101-N1", operation: str = MAKE) -> str | None:
    return next(each.card for each in read_plan(plan).joints if (each.joint, each.operation) == (joint, operation))


def record(path: Path, *rows: dict[str, Any]) -> Path:
    usual = {"joint": "V-1101-N1", "operation": MAKE, "date": "2026-10-08", "by": "A. Crew", "done": "as planned"}
    return typed_records(path, [usual | row for row in rows])


def state(plan: Path, records: Path, out: Path, **more: Any) -> tuple[str, list[str]]:
    """State and reasons of V-1101-N1."""
    report = take_records(plan, [records], out, overwrite=True, **more).report
    row = next(each for each in report.rows if (each.joint.joint, each.joint.operation) == ("V-1101-N1", MAKE))
    return row.status, row.reasons


def test_three_plans_in_a_row_keep_every_card_and_changes_add_up(first_plan: Path, tmp_path: Path) -> None:
    """41300, 42100 (+1.9 %), 42900 psi (+3.9 % since the first): by hand, a torque in proportion to the stress."""
    first = first_plan
    second = planned(with_cells(tmp_path / "l2" / f"{NAME}.xlsx", Stress_=42100), tmp_path / "b", "--since", first)
    third = planned(with_cells(tmp_path / "l3" / f"{NAME}.xlsx", Stress_=42900), tmp_path / "c", "--since", second)
    cards = [card(path) for path in (first, second, third)]
    assert len(set(cards)) == 3

    expected = {0: REVIEW, 1: AGREES, 2: AGREES}
    for number, status in expected.items():
        found = state(third, record(tmp_path / "r.xlsx", {"card": cards[number]}), tmp_path / "out")
        assert found[0] == status, (number, found)
        if status == REVIEW:
            assert found[1] == [
                "the final torque is now 602 lbf·ft, +3.9 % off the 579.6 lbf·ft it was done to; the tolerance is 3 %"
            ]
    mixed = record(tmp_path / "r.xlsx", {"card": cards[0], "passes": "1-2"}, {"card": cards[2], "passes": "3-5"})
    assert state(third, mixed, tmp_path / "out")[0] == REVIEW  # two cards for one joint


def test_a_row_that_stops_now_brings_its_done_work_back(first_plan: Path, tmp_path: Path) -> None:
    first = first_plan
    stopped = with_cells(tmp_path / "l2" / f"{NAME}.xlsx", Stud_size="1-1/4-99")
    second = planned(stopped, tmp_path / "b", "--since", first)

    found = state(second, record(tmp_path / "r.xlsx", {"card": card(first)}), tmp_path / "out")

    assert found[0] == REVIEW
    assert found[1] == ["list or wrench book has changed since this plan: the row now stops"]


def test_studs_of_another_yield_bring_done_work_back(first_plan: Path, tmp_path: Path) -> None:
    """ASTM A193, to 2-1/2 in: 105 ksi of B7, 80 ksi of B7M."""
    first = first_plan
    softer = planned(with_cells(tmp_path / "l2" / f"{NAME}.xlsx", Grade="A193 B7M"), tmp_path / "b", "--since", first)

    found = state(softer, record(tmp_path / "r.xlsx", {"card": card(first)}), tmp_path / "out")

    assert found[0] == REVIEW
    assert "the yield of the studs is now 80000 psi; it was 105000 psi on the card it was done on" in found[1]


def test_a_card_of_the_list_as_it_is_now_asks_for_a_plan(first_plan: Path, tmp_path: Path) -> None:
    first = first_plan
    changed = with_cells(tmp_path / "l2" / f"{NAME}.xlsx", Stress_=42900)
    newer = card(planned(changed, tmp_path / "b", "--since", first))
    assert newer != card(first)

    found = state(
        first, record(tmp_path / "r.xlsx", {"card": newer}), tmp_path / "out", list_file=changed, books=[BOOK]
    )

    assert found[0] == REVIEW
    assert found[1][0] == (
        f"done on card {newer}, which is that of the list and wrench book as they are now: plan again and record"
        " against the new plan"
    )


def test_a_kept_issue_is_known_too(first_plan: Path, tmp_path: Path) -> None:
    first = first_plan
    second = planned(with_cells(tmp_path / "l2" / f"{NAME}.xlsx", Stress_=42100), tmp_path / "b")  # without --since
    done = record(tmp_path / "r.xlsx", {"card": card(first)})

    assert state(second, done, tmp_path / "out")[0] == REVIEW
    assert state(second, done, tmp_path / "out", kept=[(first, "2026-10-09")])[0] == AGREES
    assert state(second, done, tmp_path / "out", kept=[(first, "2026-10-08")])[0] == REVIEW  # superseded that day


def test_a_break_out_needs_name_and_day_and_keeps_below_its_pressure(first_plan: Path, tmp_path: Path) -> None:
    plan = first_plan
    row = {"joint": "V-1101-MH", "operation": "break", "card": card(plan, "V-1101-MH", "break"), "date": "2026-10-05"}
    said = {
        "": ({}, "agrees with the plan"),
        "COMPLETE V-1101-MH break: broken out; by whom is not stated": ({"by": None}, "to be completed"),
        "COMPLETE V-1101-MH break: broken out; the day is not stated, so certificates cannot be checked":
            ({"date": None}, "to be completed"),
        "REVIEW V-1101-MH break: broken out at 7000 psi, above the 6250 psi its card never lets be exceeded":
            ({"pressure": "7000 psi"}, "to be reviewed"),
        "REVIEW V-1101-MH break: the card's revision is not stated": ({"card": None}, "to be reviewed"),
        "REVIEW V-1101-MH break: stage 4: certificate of HW-8 not valid": ({"wrench": "HW-8"}, "to be reviewed"),
    }  # fmt: skip
    for line, (cells, status) in said.items():
        result = run("record", plan, record(tmp_path / "r.xlsx", row | cells), "--out", tmp_path / "o", "--overwrite")
        assert f"1 {status}" in result.output.splitlines()[-1], line
        assert line.replace("stage 4", "pass 4") in result.output


def test_rows_of_another_list_of_the_job_are_left_to_it_and_shared_joints_are_named(
    first_plan: Path, tmp_path: Path
) -> None:
    plan = first_plan
    other = planned(with_cells(tmp_path / "l2" / "unit-2.xlsx", Stress_=45000), tmp_path / "b")
    mine, theirs = card(plan), card(other)
    run("pack", other, "--out", tmp_path / "p", "--only", "record")
    rows = record(tmp_path / "r.xlsx", {"card": theirs}, {"card": card(plan, "V-1101-N2"), "joint": "V-1101-N2"})

    result = run("record", plan, rows, "--out", tmp_path / "o", "--beside", other)

    assert mine != theirs
    assert "note: unit-2-plan.json, another list: rows of the records left to it: 1" in result.output
    assert f"note: V-1101-N1 {MAKE} stands in unit-2-plan.json too" in result.output
    # the card of V-1101-N2 is the same in both lists: asked, not guessed
    assert (
        f": V-1101-N2 {MAKE} stands in several lists of the job, drigrauvex-joints-plan.json and unit-2-plan.json:"
        " record it on the sheet of its list, or with the number of a card that only one of them has" in result.output
    )
    assert "39 rows: " in result.output.splitlines()[-1]


# --- rows about the same ----------------------------------------------------------------------------------------------


def entry(row: str, **more: Any) -> RecordEntry:
    given: dict[str, Any] = {
        "joint": "E-1", "operation": MAKE, "whole": True, "as_planned": True, "passes": (), "values": Values(day=1.0),
        "own": {}, "card": "7F3A-91C2", "lubricant": "", "lubricant_same": True, "batch": "", "by": "A", "remarks": "",
        "row": row, "places": {},
    }  # fmt: skip
    return RecordEntry(**(given | more))


def test_alike_rows_count_once_and_what_one_leaves_blank_the_other_says() -> None:
    kept, notes = one_row_each([entry("row 1"), entry("row 2"), entry("scan", batch="20-118")])

    assert len(kept) == 1
    assert kept[0].batch == "20-118"
    assert notes == [
        f"E-1 {MAKE}: row 1 and row 2 say the same: counted once",
        f"E-1 {MAKE}: row 1 and scan say the same: counted once",
    ]  # fmt: skip


@pytest.mark.parametrize(
    "other",
    [{"by": "B"}, {"values": Values(day=2.0)}, {"card": "1111-2222"}, {"lubricant": "L-10", "lubricant_same": False},
     {"passes": (1,), "whole": False}, {"as_planned": False}],
)  # fmt: skip
def test_rows_that_differ_stay_apart(other: dict[str, Any]) -> None:
    first = entry("row 1", lubricant="L-20") if "lubricant" in other else entry("row 1")
    kept, notes = one_row_each([first, entry("row 2", **other)])

    assert (len(kept), notes) == (2, [])


def test_a_row_for_each_wrench_is_no_contradiction() -> None:
    rows = [entry(name, values=Values(wrenches=(name,), day=1.0)) for name in ("HW-2", "HW-3")]

    kept, _ = one_row_each(rows)
    assert len(kept) == 2
    assert wrenches_apart(kept)
    assert not wrenches_apart([*kept, rows[0]])


def test_the_day_of_a_plan_is_that_on_which_it_replaces_cards(first_plan: Path, tmp_path: Path) -> None:
    first = first_plan
    second = read_plan(
        planned(with_cells(tmp_path / "l2" / f"{NAME}.xlsx", Stress_=42100), tmp_path / "b", "--since", first)
    )
    joint = next(each for each in second.joints if each.earlier)

    assert [(each.card, each.until) for each in joint.earlier] == [(card(first), datetime.date.today().isoformat())]
    assert [each.plan for each in second.head.earlier] == [joint.earlier[0].plan]
    assert not second.head.earlier[0].wrenches  # the book has not changed: nothing of it is kept twice
