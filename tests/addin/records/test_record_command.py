"""The way back on the samples: list, plan, pack, filled records, hand-over, by the commands a user types."""

import datetime
import hashlib
import re
import runpy
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner, Result
from msgspec.structs import replace
from plain_plan import plain_plan, rewritten
from sample_plans import planned_sample
from typed_records import typed_records

from addin.cli import main
from addin.plan.entries import Amount
from addin.plan.record import PlanHead, PointEntry
from addin.records.record_fields import HEADINGS, PREFIX
from addin.shipped import folder
from calc.review.as_tightened import AGREES, OPEN, PART, REVIEW, TO_COMPLETE

SAMPLES = folder("samples")
LIST, BOOK, RECORDS = (SAMPLES / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches", "records"))
MAKER = Path(__file__).parents[2] / "make_record_samples.py"
MAKE = "final make-up"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


def sha(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.fixture(scope="module")
def planned(shared: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The plan of the sample list."""
    return planned_sample(shared, tmp_path_factory.mktemp("plan"))


@pytest.fixture(scope="module")
def cards(planned: Path) -> dict[tuple[str, str], dict[str, Any]]:
    plan = plain_plan(planned)
    return {(joint["joint"], joint["operation"]): joint for joint in plan["joints"]}


@pytest.fixture
def record_file(tmp_path: Path, cards: dict[tuple[str, str], dict[str, Any]]) -> Callable[..., Path]:
    """Fills the record sheet: rows of joint and fields, with the card and day of the plan."""

    def fill(*rows: dict[str, Any]) -> Path:
        filled = []
        for given in rows:
            entry = cards.get(
                (given["joint"], given.get("operation", MAKE)), {"card": "0000-0000", "date": "2026-10-08"}
            )
            filled.append({"operation": MAKE, "card": entry["card"], "date": entry["date"], "by": "crew"} | given)
        return typed_records(tmp_path / "records.xlsx", filled)

    return fill


def planned_row(joint: str, **more: Any) -> dict[str, Any]:
    return {"joint": joint, "done": "as planned"} | more


def differs(joint: str, passes: str, wrench: str, pressure: float, **more: Any) -> dict[str, Any]:
    return {"joint": joint, "done": "differs", "passes": passes, "wrench": wrench, "pressure": pressure,
            "pressure_unit": "psi"} | more  # fmt: skip


def handed_over(path: Path) -> dict[tuple[str, str], dict[str, Any]]:
    """Rows of the sheet Joints by joint and operation."""
    rows = list(openpyxl.load_workbook(path, read_only=True)["Joints"].iter_rows(values_only=True))
    return {(row[0], row[1]): dict(zip(rows[0], row, strict=True)) for row in rows[1:]}


def recorded(planned: Path, tmp_path: Path, *more: object) -> tuple[Result, dict[tuple[str, str], dict[str, Any]]]:
    result = run("record", planned, tmp_path / "records.xlsx", "--out", tmp_path / "out", *more)
    return result, handed_over(tmp_path / "out" / "drigrauvex-joints-hand-over.xlsx")


def reasons(result: Result, joint: str) -> list[str]:
    start = f"REVIEW {joint} {MAKE}: "
    return [line.removeprefix(start) for line in result.output.splitlines() if line.startswith(start)]


# --- the cycle ------------------------------------------------------------------------------------------------------


def test_the_whole_cycle_on_the_samples(tmp_path: Path) -> None:
    before = [sha(path) for path in (LIST, BOOK, RECORDS)]
    planned = run("plan", LIST, "--wrenches", BOOK, "--out", tmp_path)
    packed = run("pack", tmp_path / "drigrauvex-joints-plan.json", "--out", tmp_path, "--only", "cards")
    made = runpy.run_path(str(MAKER))["workbook"]
    made(plain_plan(tmp_path / "drigrauvex-joints-plan.json")).save(tmp_path / "r.xlsx")
    result = run("record", tmp_path / "drigrauvex-joints-plan.json", tmp_path / "r.xlsx", "--out", tmp_path)

    assert (planned.exit_code, packed.exit_code, result.exit_code) == (0, 0, 1)
    assert "E-1204-GF" not in "".join(line for line in result.output.splitlines() if line.startswith("REVIEW"))
    assert result.output.splitlines()[-1].startswith("39 rows: ")
    # E-1204-GF part tightened, T-1401-BTM not begun, E-1205-FH and T-1401-N9 to be reviewed with a pass not recorded
    assert "area 200 Stabiliser    4 left" in result.output
    found = handed_over(tmp_path / "drigrauvex-joints-hand-over.xlsx")
    statuses = {row["Status"] for row in found.values()}
    assert {AGREES, OPEN, PART, REVIEW} < statuses
    assert len(found) == 39
    assert [sha(path) for path in (LIST, BOOK, RECORDS)] == before


def test_the_cards_of_the_sample_record_are_those_of_the_sample_plan(planned: Path, tmp_path: Path) -> None:
    said = run("record", planned, RECORDS, "--out", tmp_path).output

    assert said.count("this plan's card is") == 1, (
        "the plan's cards have changed: run python tests/make_record_samples.py"
    )


def test_the_sample_reaches_the_reasons(planned: Path, tmp_path: Path) -> None:
    made = runpy.run_path(str(MAKER))["workbook"]
    made(plain_plan(planned)).save(tmp_path / "drigrauvex-records.xlsx")
    said = run("record", planned, tmp_path / "drigrauvex-records.xlsx", "--out", tmp_path).output

    for words in (
        "instead of HW-2: HW-3 at 2550 psi gives", "certificate of HW-8 not valid on 2026-10-08",
        "lubricant L-10 instead of L-20: preload about", "'copper paste' is not in the lubricant table",
        "the tolerance is 3 %", "pass 3 not recorded, though pass 5 is", "recorded more than once",
        "recorded as a whole more than once", "done on card 1C04-77AB", "card's revision is not stated",
        "day not stated", "a pressure, 1300 psi, on a joint planned by hand", "torque not stated", "done without HW-4",
        "recorded as earlier than pass 3", "the plan waits 4 h", "has no link or socket", "the nut has",
        "is not possible by its table", "above its lowest rating", "wrench 'HW-9' is not in the wrench book",
        "gauge 'G-9' is not in the wrench book", "wrench not stated", "gauge of HW-5 not stated",
        "pressure set on HW-5 not stated", "lubricant not stated", "is above the limit of 1-13/16 in socket",
        "above the stud ceiling", "the plan names no product", "by other means instead of HW-1",
        "link or socket of HW-6 not stated", "its torque is not known", "not all of its record could be read",
        "may be read in two ways", "must be a number, got 'about 250'",
        "a blank is not 'as planned'", "is not in the plan", "pass 7 is not in the plan",
    ):  # fmt: skip
        assert words in said, words
    for word in ("safe", "acceptable", "approved"):
        assert word not in said


def test_a_record_of_a_row_that_the_plan_stopped(record_file: Callable[..., Path], tmp_path: Path) -> None:
    book = openpyxl.load_workbook(LIST)
    book["Joints"]["Y9"].value = None  # the row of V-1101-N1 loses its job date
    book.save(tmp_path / "drigrauvex-joints.xlsx")
    stopped = run("plan", tmp_path / "drigrauvex-joints.xlsx", "--wrenches", BOOK, "--out", tmp_path / "plan")
    record_file(planned_row("V-1101-N1"))

    result, found = recorded(tmp_path / "plan" / "drigrauvex-joints-plan.json", tmp_path)

    assert "STOP Joints!Y9 V-1101-N1 final make-up: no job date" in stopped.output
    assert reasons(result, "V-1101-N1") == ["recorded, but the plan stopped this row: there is nothing to compare with"]
    assert found["V-1101-N1", MAKE]["Status"] == REVIEW


# --- the judged cases -----------------------------------------------------------------------------------------------


def test_two_wrenches_and_a_certificate_that_ends_before_pass_5(
    planned: Path, record_file: Callable[..., Path], tmp_path: Path
) -> None:
    """V-1101-MH is planned with HW-2 at 2550 psi; HW-3 is given a table of 0.41 lbf·ft per psi."""
    table = tuple(  # 2550 psi x 0.41 = 1045.5 lbf·ft
        PointEntry(pressure=Amount(p, "psi"), torque=Amount(0.41 * p, "lbf·ft")) for p in (1000.0, 9000.0)
    )

    def other(head: PlanHead) -> PlanHead:
        own = head.wrench("HW-3")
        changed = replace(own, valid_until="2026-10-20", table=table)
        return replace(head, wrenches=tuple(changed if each is own else each for each in head.wrenches))

    path = rewritten(planned, tmp_path / "drigrauvex-joints-plan.json", head=other)
    record_file(
        planned_row("V-1101-MH", passes="1-2"),
        differs("V-1101-MH", "3-4", "HW-3", 2550, gauge="G-1", date="2026-10-20"),
        differs("V-1101-MH", "5", "HW-3", 2550, gauge="G-1", date="2026-10-21"),
    )

    result, found = recorded(path, tmp_path)

    torque = found["V-1101-MH", MAKE]["Final torque planned"]
    off = f"{100 * (1045.5 / torque - 1):+.1f} %"
    assert result.exit_code == 1
    assert reasons(result, "V-1101-MH") == [
        f"passes 3, 4 and 5: HW-3 at 2550 psi gives 1046 lbf·ft, {off} off the planned {torque:.4g} lbf·ft;"
        " the tolerance is 3 %",
        f"passes 3, 4 and 5: HW-3 instead of HW-2: HW-3 at 2550 psi gives 1046 lbf·ft, {off}",
        "pass 5: certificate of HW-3 not valid on 2026-10-21 (valid from 2026-05-18 until 2026-10-20)",
    ]
    assert found["V-1101-MH", MAKE]["Final torque as tightened"] == pytest.approx(1045.5)
    certificates = list(openpyxl.load_workbook(tmp_path / "out" / "drigrauvex-joints-hand-over.xlsx")["Certificates"]
                        .iter_rows(values_only=True))  # fmt: skip
    (row,) = [row for row in certificates if row[0] == "HW-3"]
    assert row[-1] == "no: not on 2026-10-21"


def test_only_passes_1_and_2(planned: Path, record_file: Callable[..., Path], tmp_path: Path) -> None:
    record_file(planned_row("V-1101-MH", passes="1-2"), planned_row("V-1101-N1"))

    result, found = recorded(planned, tmp_path)

    assert result.exit_code == 0
    assert (found["V-1101-MH", MAKE]["Status"], found["V-1101-MH", MAKE]["Next pass"]) == (PART, 3)
    assert found["V-1101-N1", MAKE]["Status"] == AGREES
    assert found["V-1101-N2", MAKE]["Status"] == OPEN
    assert "wrench HW-1" in result.output


def revised(path: Path) -> Path:
    """The sample list with three rows altered."""
    book = openpyxl.load_workbook(LIST)
    sheet = book["Joints"]
    head = {sheet.cell(5, column).value: column for column in range(1, sheet.max_column + 1)}
    rows = {(sheet.cell(row, 1).value, sheet.cell(row, 2).value): row for row in range(6, sheet.max_row + 1)}
    sheet.cell(rows["V-1101-N1", MAKE], head["Stress (psi)"]).value = 42100
    sheet.cell(rows["T-1401-HF", MAKE], head["Load (lbf)"]).value = 39600
    sheet.cell(rows["E-1205-N3", MAKE], head["Torque (ft-lb)"]).value = 109
    sheet.insert_rows(6, 2)  # rows moved down change nothing
    book.save(path)
    return path


@pytest.fixture(scope="module")
def newer(planned: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Result, Path]:
    """That list, what its plan with `--since` said, and the plan."""
    place = tmp_path_factory.mktemp("newer")
    new_list = revised(place / "drigrauvex-joints.xlsx")
    said = run("plan", new_list, "--wrenches", BOOK, "--out", place / "new", "--since", planned)
    return new_list, said, place / "new" / "drigrauvex-joints-plan.json"


def test_a_list_revision_supersedes_three_cards_and_no_more(
    planned: Path, newer: tuple[Path, Result, Path], cards: dict[tuple[str, str], dict[str, Any]],
    record_file: Callable[..., Path], tmp_path: Path,
) -> None:  # fmt: skip
    changed = {("V-1101-N1", MAKE), ("T-1401-HF", MAKE), ("E-1205-N3", MAKE)}
    new_list, again, new_plan = newer
    new = plain_plan(new_plan)

    assert {(j["joint"], j["operation"]) for j in new["since"]["issue"]} == changed
    assert {j["card"] for j in new["since"]["withdraw"]} == {cards[key]["card"] for key in changed}
    assert "cards 3 to issue, 3 to withdraw" in again.output

    # +1.9 % of stress and +2.9 % of load stay within the tolerance of 3 %, +4.8 % of torque does not
    done = [planned_row(tag) for tag in ("V-1101-N1", "V-1101-N2", "T-1401-HF", "E-1205-N3")]
    record_file(*done)
    old, found = recorded(planned, tmp_path, "--list", new_list, "--wrenches", BOOK)
    assert old.exit_code == 1
    assert {key for key, row in found.items() if row["Status"] == REVIEW} == {("E-1205-N3", MAKE)}
    moved = "the final torque is now 109 lbf·ft, +4.8 % off the 104 lbf·ft it was done to; the tolerance is 3 %"
    assert moved in reasons(old, "E-1205-N3")
    assert found["V-1101-N1", MAKE]["Status"] == AGREES
    now = {(j["joint"], j["operation"]): j["card"] for j in new["joints"]}
    record_file(planned_row("V-1101-N2"))
    recorded(planned, tmp_path, "--list", new_list, "--wrenches", BOOK, "--overwrite")
    still = openpyxl.load_workbook(tmp_path / "out" / "drigrauvex-joints-hand-over.xlsx")["Still open"]
    remarks = {row[0]: row[-1] for row in still.iter_rows(values_only=True)}
    assert remarks["E-1205-N3"].startswith(f"card is now {now['E-1205-N3', MAKE]}: withdraw")

    # the same records against the new plan: what was done before its day is judged by the cards it was done on
    record_file(*done)
    later, found = recorded(new_plan, tmp_path, "--overwrite")
    assert moved in reasons(later, "E-1205-N3")
    assert not [*reasons(later, "V-1101-N1"), *reasons(later, "V-1101-N2"), *reasons(later, "T-1401-HF")]
    assert found["V-1101-N1", MAKE]["Status"] == AGREES


def test_an_old_card_on_the_day_of_the_new_one_or_later_is_superseded(
    newer: tuple[Path, Result, Path], cards: dict[tuple[str, str], dict[str, Any]], record_file: Callable[..., Path],
    tmp_path: Path,
) -> None:  # fmt: skip
    new_list, _, new = newer
    old = cards["V-1101-N1", MAKE]["card"]
    now = next(j["card"] for j in plain_plan(new)["joints"] if (j["joint"], j["operation"]) == ("V-1101-N1", MAKE))
    today = datetime.date.today()

    before = today - datetime.timedelta(days=1)
    record_file(planned_row("V-1101-N1", date=today.isoformat()), planned_row("T-1401-HF", date=before.isoformat()))
    result, found = recorded(new, tmp_path)
    assert (found["V-1101-N1", MAKE]["Status"], found["T-1401-HF", MAKE]["Status"]) == (REVIEW, AGREES)
    assert reasons(result, "V-1101-N1") == [
        f"done on card {old}, which was superseded on {today} by {now}: the day of the work is not before that"
    ]

    run("plan", new_list, "--wrenches", BOOK, "--out", tmp_path / "alone")  # it does not know the cards before its own
    record_file(planned_row("V-1101-N1"))
    result, _ = recorded(tmp_path / "alone" / "drigrauvex-joints-plan.json", tmp_path, "--overwrite")
    assert reasons(result, "V-1101-N1") == [
        f"done on card {old}; this plan's card is {now}, and of the other neither it nor a kept issue has the values:"
        " it cannot be judged (superseded, or copied wrong)"
    ]


def test_what_a_joint_is_made_up_with_brings_it_back_to_people(
    planned: Path, cards: dict[tuple[str, str], dict[str, Any]], record_file: Callable[..., Path], tmp_path: Path
) -> None:
    tags = ("V-1101-N1", "V-1302-MH", "V-1901-N1")
    book = openpyxl.load_workbook(LIST)
    sheet = book["Joints"]
    head = {str(sheet.cell(5, column).value): column for column in range(1, sheet.max_column + 1)}
    rows = {(sheet.cell(row, 1).value, sheet.cell(row, 2).value): row for row in range(6, sheet.max_row + 1)}
    for tag, heading, value in zip(tags, ("Gasket", "Studs", "Grade"), ("sheet gasket", 16, "A193 B16"), strict=True):
        column = next(at for name, at in head.items() if name.casefold().startswith(heading.casefold()))
        sheet.cell(rows[tag, MAKE], column).value = value
    book.save(tmp_path / "list.xlsx")
    record_file(*(planned_row(tag) for tag in (*tags, "V-1101-N2")))

    result, found = recorded(planned, tmp_path, "--list", tmp_path / "list.xlsx", "--wrenches", BOOK)

    was = [cards[tag, MAKE][name] for tag, name in zip(tags, ("gasket", "studs", "grade"), strict=True)]
    for tag, said in zip(
        tags,
        (
            f"gasket is now sheet gasket; it was {was[0]} on the card it was done on",
            f"stud count is now 16; it was {was[1]} on the card it was done on",
            f"grade of the studs is now A193 B16; it was {was[2]} on the card it was done on",
        ),
        strict=True,
    ):
        assert said in reasons(result, tag)
    assert found["V-1101-N2", MAKE]["Status"] == AGREES


def test_another_tolerance_or_certificate_number_leaves_done_work_alone(
    planned: Path, record_file: Callable[..., Path], tmp_path: Path
) -> None:
    book = openpyxl.load_workbook(BOOK)
    sheet = book["HW-1"]
    row = next(r for r in range(1, sheet.max_row + 1) if sheet.cell(r, 1).value == "Certificate")
    sheet.cell(row, 2).value = "DX-26-999"
    book.save(tmp_path / "wrenches.xlsx")
    record_file(planned_row("V-1101-N1"), planned_row("V-1101-N2"))

    result, found = recorded(planned, tmp_path, "--list", LIST, "--wrenches", tmp_path / "wrenches.xlsx")
    assert (result.exit_code, found["V-1101-N1", MAKE]["Status"]) == (0, AGREES)

    run("plan", LIST, "--wrenches", BOOK, "--out", tmp_path / "new", "--since", planned, "--tolerance", 4)
    result, found = recorded(tmp_path / "new" / "drigrauvex-joints-plan.json", tmp_path, "--overwrite")
    assert (result.exit_code, found["V-1101-N1", MAKE]["Status"]) == (0, AGREES)


def test_a_new_certificate_that_drifts_by_more_than_3_percent(
    planned: Path, record_file: Callable[..., Path], tmp_path: Path
) -> None:
    """V-1101-N1 and V-1101-N2 are planned with HW-1, C-1301-SUC with HW-3."""
    book = openpyxl.load_workbook(BOOK)
    for wrench, share in (("HW-1", 1.04), ("HW-3", 1.025)):
        sheet = book[wrench]
        head = next(r for r in range(1, sheet.max_row + 1) if str(sheet.cell(r, 1).value).startswith("Pressure"))
        for row in range(head + 1, sheet.max_row + 1):
            if isinstance(sheet.cell(row, 1).value, (int, float)):
                sheet.cell(row, 2).value = sheet.cell(row, 2).value * share
    book.save(tmp_path / "wrenches.xlsx")
    record_file(planned_row("V-1101-N1"), planned_row("V-1101-N2"), planned_row("C-1301-SUC"))

    result, found = recorded(planned, tmp_path, "--list", LIST, "--wrenches", tmp_path / "wrenches.xlsx")

    assert (found["V-1101-N1", MAKE]["Status"], found["C-1301-SUC", MAKE]["Status"]) == (REVIEW, AGREES)
    assert [each for each in result.output.splitlines() if "new certificate of HW-" in each] == [
        "REVIEW HW-1: the new certificate of HW-1 differs from that of the plan by +4.0 %; looked at again from 3 %:"
        " V-1101-N1 final make-up, V-1101-N2 final make-up"
    ]


def test_a_tool_not_to_be_trusted_from_a_day_on_or_before_its_use(
    planned: Path, record_file: Callable[..., Path], tmp_path: Path
) -> None:
    book = openpyxl.load_workbook(BOOK)
    sheet = book["Gauges"]
    head = next(r for r in range(1, 20) if sheet.cell(r, 1).value == "Gauge")
    column = sheet.max_column + 1
    sheet.cell(head, column).value = "Out of service from"
    row = next(r for r in range(head + 1, sheet.max_row + 1) if sheet.cell(r, 1).value == "G-2")
    sheet.cell(row, column).value = datetime.date(2026, 10, 8)
    book.save(tmp_path / "wrenches.xlsx")
    record_file(planned_row("V-1101-N1", date="2026-10-08"), planned_row("V-1101-N2", date="2026-10-07"))

    result, found = recorded(planned, tmp_path, "--list", LIST, "--wrenches", tmp_path / "wrenches.xlsx")

    statuses = [found[tag, MAKE]["Status"] for tag in ("V-1101-N1", "V-1101-N2")]
    assert statuses == [REVIEW, AGREES], result.output
    assert "G-2 is marked in the wrench book as not to be trusted" in result.output


def test_a_record_on_the_newest_card_against_an_old_plan(
    planned: Path, newer: tuple[Path, Result, Path], record_file: Callable[..., Path], tmp_path: Path
) -> None:
    new_list, _, path = newer
    new = plain_plan(path)
    card = next(j["card"] for j in new["joints"] if (j["joint"], j["operation"]) == ("V-1101-N1", MAKE))
    record_file(planned_row("V-1101-N1", card=card))

    result, _ = recorded(planned, tmp_path, "--list", new_list, "--wrenches", BOOK)

    assert "plan again and record against the new plan" in reasons(result, "V-1101-N1")[0]


def test_rows_that_are_gone_or_stop_now(planned: Path, record_file: Callable[..., Path], tmp_path: Path) -> None:
    book = openpyxl.load_workbook(LIST)
    sheet = book["Joints"]
    rows = {(sheet.cell(row, 1).value, sheet.cell(row, 2).value): row for row in range(6, sheet.max_row + 1)}
    sheet.cell(rows["V-1101-N2", MAKE], 10).value = "1-1/4-99"
    sheet.delete_rows(rows["V-1101-N1", MAKE])
    book.save(tmp_path / "list.xlsx")
    record_file(planned_row("V-1101-N1"), planned_row("V-1101-N2"))

    result, _ = recorded(planned, tmp_path, "--list", tmp_path / "list.xlsx", "--wrenches", BOOK)

    assert reasons(result, "V-1101-N1") == ["the list as it is now no longer has this joint with this operation"]
    assert reasons(result, "V-1101-N2")[0].endswith("the row now stops")


def test_unchanged_files_supersede_nothing(planned: Path, record_file: Callable[..., Path], tmp_path: Path) -> None:
    record_file(planned_row("V-1101-N1"))

    result, _ = recorded(planned, tmp_path, "--list", LIST, "--wrenches", BOOK)
    alone = run("record", planned, tmp_path / "records.xlsx", "--out", tmp_path / "b", "--list", LIST)

    assert (result.exit_code, alone.exit_code) == (0, 0)


def test_cards_are_made_again_with_the_settings_of_the_plan(tmp_path: Path, record_file: Callable[..., Path]) -> None:
    run("plan", LIST, "--wrenches", BOOK, "--out", tmp_path, "--scatter", "torque, lubricated", "--breakout-factor",
        1.5, "--scheme", "40/70/100", "--date", "2026-10-10")  # fmt: skip
    path = tmp_path / "drigrauvex-joints-plan.json"
    plan = plain_plan(path)
    record_file(*(planned_row(j["joint"], operation=j["operation"], card=j["card"], date=j["date"])
                  for j in plan["joints"] if j["passes"]))  # fmt: skip
    book = openpyxl.load_workbook(LIST)
    book.create_sheet("Notes of today")
    book.save(tmp_path / "list.xlsx")

    result, found = recorded(path, tmp_path, "--list", tmp_path / "list.xlsx", "--wrenches", BOOK)

    assert result.exit_code == 1
    by_hand = sum(j["method"] == "hand" and bool(j["passes"]) for j in plan["joints"])
    assert sum(row["Status"] == TO_COMPLETE for row in found.values()) == by_hand  # the book has no hand torque wrench
    assert sum(row["Status"] == AGREES for row in found.values()) == 34 - by_hand


def test_one_changed_file_alone_is_not_enough(
    planned: Path, newer: tuple[Path, Result, Path], record_file: Callable[..., Path], tmp_path: Path
) -> None:
    record_file(planned_row("V-1101-N1"))

    result = run("record", planned, tmp_path / "records.xlsx", "--out", tmp_path, "--list", newer[0])

    assert result.exit_code == 2
    assert "has changed since the plan; give --wrenches too" in result.output


def test_a_wrench_that_the_book_has_only_now(planned: Path, record_file: Callable[..., Path], tmp_path: Path) -> None:
    book = openpyxl.load_workbook(BOOK)
    sheet = book.copy_worksheet(book["HW-3"])
    sheet.title, sheet["B1"].value = "HW-33", "HW-33"
    for row in sheet.iter_rows():
        for cell in row:
            if cell.value in ("Certificate valid until", "Valid until") and cell.column == 1:
                assert sheet.cell(cell.row, 2).value is not None
    other = book["HW-2"]
    for row in range(1, other.max_row + 1):
        if other.cell(row, 1).value == "Certificate":
            other.cell(row, 2).value = "DX-26-999"
    book.save(tmp_path / "wrenches.xlsx")
    record_file(
        planned_row("V-1101-MH", passes="1-4"), differs("V-1101-MH", "5", "HW-33", 3400, gauge="G-1"),
        planned_row("V-1101-N1"),
    )  # fmt: skip

    result, _ = recorded(planned, tmp_path, "--list", LIST, "--wrenches", tmp_path / "wrenches.xlsx")

    said = reasons(result, "V-1101-MH")
    assert not [line for line in said if "certificate of HW-2" in line]  # a number alone
    assert any(line.startswith("pass 5: HW-33 instead of HW-2: HW-33 at 3400 psi gives") for line in said)


# --- the planner's own list -----------------------------------------------------------------------------------------


def test_records_beside_the_list_in_the_planned_copy(planned: Path, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(planned.parent / "drigrauvex-joints-planned.xlsx")
    sheet = book["Joints"]
    first = sheet.max_column + 1
    heads = [PREFIX, HEADINGS["card"], HEADINGS["date"], HEADINGS["by"], f"{PREFIX} pass 5 wrench",
             f"{PREFIX} pass 5 link", f"{PREFIX} pass 5 gauge", f"{PREFIX} pass 5 pressure (psi)"]  # fmt: skip
    for number, heading in enumerate(heads):
        sheet.cell(5, first + number).value = heading
    own = {sheet.cell(5, column).value: column for column in range(1, sheet.max_column + 1)}
    for row in range(6, sheet.max_row + 1):
        card = sheet.cell(row, own["Card"]).value
        if card:
            values = ["as planned", card, sheet.cell(row, own["Job date"]).value, "crew"]
            if sheet.cell(row, 1).value == "E-1204-CH":
                values += ["HW-5", "2-3/16 in link", "G-2", 1250]
            for number, value in enumerate(values):
                sheet.cell(row, first + number).value = value
    book.save(tmp_path / "records.xlsx")

    result, found = recorded(planned, tmp_path)

    assert not [line for line in result.output.splitlines() if line.startswith("NOT READ")]
    assert {key for key, row in found.items() if row["Status"] == REVIEW} == {("E-1204-CH", MAKE)}
    by_hand = [key for key, row in found.items() if row["Status"] == TO_COMPLETE]
    assert sum(row["Status"] == AGREES for row in found.values()) == 33 - len(by_hand)
    assert "pass 5: " in reasons(result, "E-1204-CH")[0]
    again = run("plan", tmp_path / "records.xlsx", "--wrenches", BOOK, "--out", tmp_path / "again")
    assert again.exit_code == 0  # the list with our record columns is planned as before
    assert "39 rows: 34 planned" in again.output


# --- faults ---------------------------------------------------------------------------------------------------------


def test_faulty_rows_are_lines_and_the_rest_goes_on(
    planned: Path, record_file: Callable[..., Path], tmp_path: Path
) -> None:
    record_file(
        planned_row("V-1101-N1"), planned_row("V-9999"), planned_row("V-1101-N2", passes="6"),
        planned_row("E-1204-CH", date="08/10/2026"), {"joint": "E-1204-N1", "by": "crew"},
        differs("E-1205-FH", "1", "HW-1", 5, gauge="G-2"),
    )  # fmt: skip

    result, found = recorded(planned, tmp_path)

    unread = [line for line in result.output.splitlines() if line.startswith("NOT READ")]
    assert len(unread) == 5
    assert all("records.xlsx, sheet Records, cell " in line for line in unread)
    assert found["V-1101-N1", MAKE]["Status"] == AGREES
    for tag in ("V-1101-N2", "E-1204-CH", "E-1204-N1", "E-1205-FH"):
        assert found[tag, MAKE]["Status"] == REVIEW, tag
    assert result.exit_code == 1
    sheet = openpyxl.load_workbook(tmp_path / "out" / "drigrauvex-joints-hand-over.xlsx")["To review"]
    assert any("V-9999" in str(cell.value) for row in sheet.iter_rows() for cell in row)


def test_a_joint_recorded_in_two_files(planned: Path, record_file: Callable[..., Path], tmp_path: Path) -> None:
    first = record_file(planned_row("V-1101-N1"), planned_row("V-1101-N2"))
    second = first.rename(tmp_path / "crew B.xlsx")
    record_file(planned_row("V-1101-N1"), planned_row("V-1101-N2", by="crew B"))

    result = run("record", planned, tmp_path / "records.xlsx", second, "--out", tmp_path / "out")

    assert reasons(result, "V-1101-N1") == []  # alike in every field: counted once, and said
    assert re.search(
        r"note: V-1101-N1 final make-up: records\.xlsx, Records row (\d+) and crew B\.xlsx, Records row \1 say the"
        r" same: counted once",
        result.output,
    )
    assert any("recorded as a whole more than once" in line for line in reasons(result, "V-1101-N2"))


@pytest.mark.parametrize("fault", ["plan", "records", "target"])
def test_what_cannot_run_is_one_line_and_code_2(
    fault: str, planned: Path, record_file: Callable[..., Path], tmp_path: Path
) -> None:
    records = record_file(planned_row("V-1101-N1"))
    plan, out = planned, tmp_path / "out"
    if fault == "plan":
        plan = tmp_path / "no-plan.json"
    elif fault == "records":
        records = LIST
    else:
        out.mkdir()
        (out / "drigrauvex-joints-hand-over.xlsx").write_text("mine")

    result = run("record", plan, records, "--out", out)

    assert result.exit_code == 2
    assert len(result.output.strip().splitlines()) == 1
    if fault == "target":
        assert (out / "drigrauvex-joints-hand-over.xlsx").read_text() == "mine"


def test_the_hand_over_is_never_written_over_a_source(planned: Path, tmp_path: Path) -> None:
    source = tmp_path / "x-hand-over.xlsx"
    source.write_bytes(RECORDS.read_bytes())
    plan = tmp_path / "x-plan.json"
    plan.write_bytes(planned.read_bytes())

    result = run("record", plan, source, "--out", tmp_path, "--overwrite")

    assert result.exit_code == 2
    assert sha(source) == sha(RECORDS)
