"""A plan of proposals that nobody has confirmed is a draft: it says so, and no card shows a figure to set."""

import re
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result
from plain_plan import plain_plan

from addin.cli import main
from addin.shipped import folder

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"

HEAD = ["Flange No.", "Operation", "Method", "Stud size", "Studs", "Grade", "Lubricnt", "Torque (ft-lb)", "Date"]
ROWS = [["FL-1", "final make-up", "hydraulic", "1 1/8", 12, "A193 B7", "L-20", 731, "2026-10-20"],
        ["FL-2", "final make-up", "hand", "5/8", 8, "A193 B7", "L-20", 97, "2026-10-20"],
        ["FL-3", "break", "hydraulic", "1 1/8", 12, "A193 B7", "L-20", 731, "2026-10-20"],
        ["FL-4", "final make-up", "hydraulic", "1 1/8", None, "A193 B7", "L-20", 731, "2026-10-20"]]  # fmt: skip
MORE = ("--wrenches", BOOK, "--breakout-factor", 1.4)


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


def make(path: Path, lines: list[list[object]]) -> Path:
    book = openpyxl.Workbook()
    for line in lines:
        book.worksheets[0].append(line)
    book.save(path)
    return path


@pytest.fixture(scope="module")
def drafted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("draft")
    listed = make(folder / "flanges.xlsx", [HEAD, *ROWS])
    refused = run("plan", listed, *MORE, "--out", folder / "none")
    assert refused.exit_code == 2, "a proposed lubricant is not used before somebody has looked"
    result = run("plan", listed, *MORE, "--out", folder / "out", "--accept", "--pack")
    assert result.exit_code == 1, result.output
    assert "DRAFT not confirmed by anybody: column G 'Lubricnt' as lubricant" in result.output
    return folder / "out"


def test_the_head_and_every_status_say_that_it_is_a_draft(drafted: Path) -> None:
    plan = plain_plan(drafted / "flanges-plan.json")
    assert plan["draft"] == "column G 'Lubricnt' as lubricant"
    sheet = openpyxl.load_workbook(drafted / "flanges-planned.xlsx").worksheets[0]
    at = next(cell.column for cell in sheet[1] if cell.value == "Status")
    said = [sheet.cell(row, at).value for row in range(2, 6)]
    assert all("DRAFT" in text for text in said), said
    assert said[0].startswith("DRAFT, planned")
    assert said[3] == "stopped, DRAFT"


@pytest.mark.parametrize(("file", "sheets"), [("cards", 2), ("break-out-cards", 1)])
def test_no_card_of_a_draft_shows_a_figure_to_set(drafted: Path, file: str, sheets: int) -> None:
    book = openpyxl.load_workbook(drafted / f"flanges-{file}.xlsx")
    plan = plain_plan(drafted / "flanges-plan.json")
    figures = {round(amount["value"]) for amount in _amounts(plan["joints"]) if amount["value"] > 50}
    assert len(figures) > 10
    assert len(book.worksheets) >= sheets
    for sheet in book.worksheets:
        texts = [str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value is not None]
        if sheet.title != "Contents":  # which has names and studs only
            assert sum(text == "DRAFT" for text in texts) >= 5
            assert any(text.startswith("DRAFT, NOT FOR WORK") for text in texts)
        for text in texts:
            if re.match(r"[A-Z0-9]{4}-[A-Z0-9]{4}", text) or "20" in text:
                continue  # revision, dates
            numbers = {int(n.replace(" ", "")) for n in re.findall(r"\d[\d ]*", text) if n.strip()}
            assert not numbers & figures, (sheet.title, text)


def test_nothing_else_is_printed_of_a_draft_and_nothing_recorded(drafted: Path, tmp_path: Path) -> None:
    result = run("pack", drafted / "flanges-plan.json", "--out", tmp_path / "pack")
    assert result.exit_code == 1
    assert "not written: wrench sheets: the plan is a draft; sign the sheet of answers and plan again" in result.output
    names = {path.name for path in (tmp_path / "pack").iterdir() if path.suffix == ".xlsx"}
    assert names == {"flanges-cards.xlsx", "flanges-break-out-cards.xlsx", "flanges-cautions.xlsx"}
    refused = run("record", drafted / "flanges-plan.json", drafted / "flanges-planned.xlsx", "--out", tmp_path / "rec")
    assert refused.exit_code == 2
    assert "is a draft: nobody works from it" in refused.output


def test_without_a_proposal_accepting_makes_no_draft(tmp_path: Path) -> None:
    named = make(tmp_path / "flanges.xlsx", [[*HEAD[:6], "Lubricant", *HEAD[7:]], *ROWS[:2]])
    result = run("plan", named, *MORE, "--out", tmp_path / "out", "--accept")
    assert "DRAFT" not in result.output
    assert plain_plan(tmp_path / "out" / "flanges-plan.json").get("draft") is None


def test_a_true_question_still_stops(tmp_path: Path) -> None:
    head = [*HEAD[:7], "Torque", *HEAD[8:]]
    result = run("plan", make(tmp_path / "f.xlsx", [head, *ROWS]), *MORE, "--out", tmp_path / "out", "--accept")
    assert result.exit_code == 2
    assert "no unit of it is known" in result.output


def _amounts(entry: object) -> list[dict]:
    if isinstance(entry, dict):
        if set(entry) == {"value", "unit"} and isinstance(entry["value"], (int, float)):
            return [entry]
        return [each for value in entry.values() for each in _amounts(value)]
    return [each for value in entry for each in _amounts(value)] if isinstance(entry, list) else []
