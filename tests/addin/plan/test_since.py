"""What has changed between two plans: exactly the joints whose card changed get a new one; the words say why."""

import json
import random
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner, Result
from plain_plan import plain_plan

from addin.cli import main
from addin.plan.file import Plan, read_plan
from addin.plan.record import PlanHead, SettingsEntry, StageEntry, TotalsEntry
from addin.plan.record_joint import JointEntry
from addin.plan.since import Since, lines
from addin.shipped import folder
from addin.workbooks.package import WorkbookError

SAMPLES = folder("samples")
LIST, BOOK = SAMPLES / "drigrauvex-joints.xlsx", SAMPLES / "drigrauvex-wrenches.xlsx"


def plan(out: Path, *more: object, source: Path = LIST, book: Path = BOOK) -> Result:
    arguments = ["plan", source, "--wrenches", book, "--out", out, *more]
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


def content(out: Path) -> dict[str, Any]:
    found: dict[str, Any] = plain_plan(out / "drigrauvex-joints-plan.json")
    return found


@pytest.fixture(scope="module")
def old(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample planned once."""
    out = tmp_path_factory.mktemp("old")
    plan(out)
    return out / "drigrauvex-joints-plan.json"


def edited(tmp_path: Path, source: Path, change: Any) -> Path:
    book = openpyxl.load_workbook(source)
    change(book)
    path = tmp_path / source.name
    book.save(path)
    return path


def keys(entries: list[dict[str, Any]]) -> set[tuple[str, str]]:
    return {(entry["joint"], entry["operation"]) for entry in entries}


def test_the_same_list_and_book_change_nothing(old: Path, tmp_path: Path) -> None:
    result = plan(tmp_path / "new", "--since", old)
    since = content(tmp_path / "new")["since"]
    assert (since["joints"], since["issue"], since["withdraw"], since["book"], since["settings"]) == (
        [],
        [],
        [],
        [],
        [],
    )
    assert "joints 0 new, 0 gone, 0 changed; cards 0 to issue, 0 to withdraw" in result.output


def test_a_revision_of_the_list(old: Path, tmp_path: Path) -> None:
    before = plain_plan(old)
    planned = [joint for joint in before["joints"] if joint["card"] and joint["method"] == "hand"]
    changed, gone, renamed = planned[0], planned[1], planned[2]

    def change(book: openpyxl.Workbook) -> None:
        sheet = book["Joints"]
        head = {cell.value: cell.column for cell in sheet[before["heading_row"]]}
        sheet.cell(changed["row"], head["Studs"]).value = changed["studs"] + 4
        sheet.cell(renamed["row"], head["Joint"]).value = "Z-99"
        sheet.delete_rows(gone["row"])  # rows below move up: no reason for new cards

    new = tmp_path / "new"
    result = plan(new, "--since", old, source=edited(tmp_path, LIST, change))
    since = content(new)["since"]
    assert keys(since["issue"]) == {(changed["joint"], changed["operation"]), ("Z-99", renamed["operation"])}
    assert keys(since["withdraw"]) == keys([changed, gone, renamed])
    assert {entry["card"] for entry in since["withdraw"]} == {changed["card"], gone["card"], renamed["card"]}
    assert f"stud count {changed['studs']} -> {changed['studs'] + 4}" in result.output
    assert "the joint is no longer in the list" in result.output


def test_only_the_cards_to_issue_are_packed(old: Path, tmp_path: Path) -> None:
    before = plain_plan(old)
    hand = [each for each in before["joints"] if each["card"] and each["method"] == "hand" and not each["remarks"]]
    told, noted = hand[:2]

    def change(book: openpyxl.Workbook) -> None:
        head = {cell.value: cell.column for cell in book["Joints"][before["heading_row"]]}
        book["Joints"].cell(told["row"], head["Remarks"]).value = "check the far face for a groove"
        book["Joints"].cell(noted["row"], head["Remarks"]).value = "scaffold needed"

    result = plan(tmp_path / "new", "--since", old, "--pack", source=edited(tmp_path, LIST, change))
    assert "cards 1 to issue, 1 to withdraw" in result.output
    assert "(1 card)" in result.output
    words = f"issue {told['joint']} {told['operation']}: card "
    said = next(line for line in result.output.splitlines() if line.startswith(words))
    assert f", issue 2 (replaces {told['card']}): instructions in the remarks " in said
    assert said.endswith(" -> check the far face for a groove")
    (now,) = [j for j in content(tmp_path / "new")["joints"] if j["row"] == told["row"]]
    assert (now["issue"], now["replaces"]) == (2, told["card"])


def wrench_sheet(book: openpyxl.Workbook, name: str) -> tuple[Any, dict[Any, int]]:
    for sheet in book.worksheets:
        cells = {sheet.cell(row, 1).value: row for row in range(1, 60)}
        if sheet.cell(cells.get("Wrench", 99), 2).value == name:
            return sheet, cells
    raise AssertionError(name)


def test_a_new_certificate_with_the_same_table_is_a_supplementary_line_and_no_new_card(
    old: Path, tmp_path: Path
) -> None:
    before = plain_plan(old)

    def change(book: openpyxl.Workbook) -> None:
        sheet, cells = wrench_sheet(book, "HW-3")
        sheet.cell(cells["Certificate"], 2).value = "CERT-NEW"

    new = tmp_path / "new"
    result = plan(new, "--since", old, book=edited(tmp_path, BOOK, change))
    since = content(new)["since"]
    users = [j for j in before["joints"] if j["card"] and "HW-3" in [w["wrench"] for w in j["wrenches"]]]
    assert users
    assert [entry["what"] for entry in since["book"]] == ["wrench HW-3"]
    assert since["issue"] == since["withdraw"] == []
    assert keys(since["supplements"]) >= keys(users)
    one = users[0]
    said = next(line for line in result.output.splitlines() if line.startswith(f"card {one['card']} holds"))
    assert f"({one['joint']} {one['operation']}): certificate of wrench HW-3 " in said
    assert "-> CERT-NEW, valid until " in said
    assert said.endswith("; same table, factors and ratings")


def test_a_new_table_touches_the_joints_of_that_wrench_and_says_so(old: Path, tmp_path: Path) -> None:
    before = plain_plan(old)

    def change(book: openpyxl.Workbook) -> None:
        sheet, cells = wrench_sheet(book, "HW-3")
        sheet.cell(cells["Certificate"], 2).value = "CERT-NEW"
        last = max(row for row in range(1, 80) if isinstance(sheet.cell(row, 2).value, (int, float)))
        sheet.cell(last, 2).value = round(sheet.cell(last, 2).value * 1.002, 1)

    new = tmp_path / "new"
    result = plan(new, "--since", old, book=edited(tmp_path, BOOK, change))
    since = content(new)["since"]
    users = [j for j in before["joints"] if j["card"] and "HW-3" in [w["wrench"] for w in j["wrenches"]]]
    assert keys(since["issue"]) >= keys(users)
    beside = [j for j in before["joints"] if (j["joint"], j["operation"]) in keys(since["issue"]) - keys(users)]
    assert all("HW-3" in json.dumps(j.get("alternates")) + json.dumps(j.get("breakout")) for j in beside)
    assert "table, factors or ratings of HW-3 changed" in result.output
    assert "another version of the program" not in result.output


def test_a_changed_setting_is_named(old: Path, tmp_path: Path) -> None:
    result = plan(tmp_path / "new", "--since", old, "--scheme", "25/50/75/100")
    since = content(tmp_path / "new")["since"]
    assert since["settings"][0]["what"] == "scheme"
    assert "settings: scheme" in result.output
    assert len(since["issue"]) == len(since["withdraw"]) > 20


def test_a_file_that_is_no_plan(tmp_path: Path) -> None:
    path = tmp_path / "old.json"
    path.write_text("{}", encoding="utf-8")
    with pytest.raises(WorkbookError, match="is not a plan file"):
        read_plan(path, older=True)
    assert plan(tmp_path / "new", "--since", path).exit_code == 2


# --- the rules of issue and withdrawal, over random pairs of plans ---------------------------------------------------


HEAD = PlanHead(
    checksum="", version=2, program="", list_file="", sheet="", heading_row=1, inputs={},
    settings=SettingsEntry(
        scheme="", at_once=1, rounding="", tolerance_percent=3, yield_percent=90, reserve_percent=10, friction_form="",
        torsion="",
    ),
    stages=(StageEntry(number=1, percent=100.0, pattern="cross"),),
    totals=TotalsEntry(
        rows=0, planned=0, hydraulic=0, hand=0, other_method=0, stopped=0, breakout_not_planned=0
    ),
)  # fmt: skip


def joint(tag: str, card: str | None, status: str = "other method") -> JointEntry:
    return JointEntry(row=1, joint=tag, operation="break", method="", status=status, card=card)


@pytest.mark.parametrize("seed", range(30))
def test_issue_and_withdraw_are_the_difference_of_the_two_sets_of_cards(seed: int) -> None:
    chance = random.Random(seed)
    tags = [f"T-{i}" for i in range(12)]

    def some() -> list[JointEntry]:
        chosen = chance.sample(tags, 8)
        return [joint(tag, chance.choice([f"{tag}-a", f"{tag}-b", None])) for tag in chosen]

    before, after = some(), some()
    since = Since(Plan(HEAD, before, "old.json"), HEAD)
    for entry in after:
        since.add(entry)
    found = since.result()
    was, now = ({entry.card for entry in joints if entry.card} for joints in (before, after))
    assert {entry.card for entry in found.issue} == now - was
    assert {entry.card for entry in found.withdraw} == was - now
    assert len(lines(found)) == 1 + len(found.issue) + len(found.withdraw) + len(found.supplements)


def test_a_joint_that_stands_twice_is_compared_in_turn() -> None:
    since = Since(Plan(HEAD, [joint("A", None, "stopped"), joint("a", None, "stopped")], "old.json"), HEAD)
    since.add(joint("A", "one"))
    found = since.result()
    assert [(entry.kind, entry.joint) for entry in found.joints] == [("changed", "A"), ("gone", "a")]
    assert [entry.card for entry in found.issue] == ["one"]


def test_a_break_out_factor_touches_no_tightening_card(old: Path, tmp_path: Path) -> None:
    before = {(j["joint"], j["operation"]): j["card"] for j in plain_plan(old)["joints"]}
    plan(tmp_path / "new", "--since", old, "--breakout-factor", "1.4")
    now = content(tmp_path / "new")

    cards = {(j["joint"], j["operation"]): j["card"] for j in now["joints"] if j["operation"] != "break"}
    assert all(before[key] == card for key, card in cards.items())
    assert {entry["operation"] for entry in now["since"]["issue"]} == {"break"}
