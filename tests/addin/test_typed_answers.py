"""Open questions answered on a terminal: one by one, skippable, signed with a name at the end."""

from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result
from plain_plan import plain_plan

from addin import cli, list_commands
from addin.shipped import folder

BOOK = next(folder("samples").glob("*-wrenches.xlsx"))
HEAD = ["Flange No.", "Stud size", "Studs", "Grade", "Torque", "Date"]


@pytest.fixture
def listed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A list without operation, method and unit of the torque, planned by somebody at a terminal."""
    book = openpyxl.Workbook()
    for line in [
        HEAD,
        ["FL-1", "1 1/8", 12, "A193 B7", 731, "2026-10-20"],
        ["FL-2", "1 1/8", 12, "A193 B7", 731, None],
    ]:
        book.worksheets[0].append(line)
    book.save(tmp_path / "flanges.xlsx")
    monkeypatch.setattr(list_commands, "on_a_terminal", lambda: True)
    return tmp_path / "flanges.xlsx"


def plan(listed: Path, typed: str) -> Result:
    command = ["plan", listed, "--wrenches", BOOK, "--out", listed.parent / "out"]
    return CliRunner().invoke(cli.main, [str(each) for each in command], input=typed, catch_exceptions=False)


def test_answered_and_signed_the_list_is_planned_at_once(listed: Path) -> None:
    # yes; keep torque, its unit as text; operation by its number; method as text; the name
    result = plan(listed, "y\n\nft-lb\n1\nhydraulic\nR. Planner\n")
    assert "operation: neither a column, nor title, file name or notes state it\n  1  final make-up" in result.output
    made = plain_plan(listed.parent / "out" / "flanges-plan.json")
    assert [(joint["operation"], joint["method"]) for joint in made["joints"]] == [("final make-up", "hydraulic")] * 2
    assert round(made["joints"][0]["torque"]["value"]) == 731
    sheet = openpyxl.load_workbook(listed.parent / "out" / "flanges-questions.xlsx")["Answers"]
    assert sum(str(row[7].value).startswith("R. Planner, 20") for row in sheet.iter_rows(max_col=8)) >= 3


@pytest.mark.parametrize("typed", ["n\n", "y\n\nft-lb\n-\nhydraulic\nR. Planner\n", "y\n\nft-lb\n1\nhydraulic\n\n"])
def test_not_wanted_skipped_or_without_a_name_it_stays_open(listed: Path, typed: str) -> None:
    assert plan(listed, typed).exit_code == 2
    assert not (listed.parent / "out" / "flanges-plan.json").exists()
