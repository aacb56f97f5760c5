"""The menu in Calc: lists are planned, records read, cards of rows printed, in workbooks opened the ordinary way."""

import shutil
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from ordinary_documents import Run

from addin.hosts.libreoffice.names import COMMANDS, PROTOCOL
from addin.shipped import folder


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    """A folder with a list of few joints and its wrench book."""
    path = tmp_path / "joints.xlsx"
    book = openpyxl.load_workbook(folder("samples") / "drigrauvex-joints.xlsx")
    sheet = book.worksheets[0]
    head = next(cell.row for row in sheet.iter_rows(max_row=20) for cell in row if cell.value == "Studs")
    sheet.delete_rows(head + 6, sheet.max_row)
    book.save(path)
    shutil.copy(folder("samples") / "drigrauvex-wrenches.xlsx", tmp_path / "wrenches.xlsx")
    return path


def test_the_menu_is_there(run: Run) -> None:
    assert run(["titles"])[0] == sorted([PROTOCOL + command, title] for command, title in COMMANDS.items())


def test_a_list_from_its_first_plan_to_cards(run: Run, listed: Path) -> None:
    sheet = openpyxl.load_workbook(listed).worksheets[0].title
    before = listed.read_bytes()
    answers = run(
        ["open", "a", str(listed), {}], ["menu", "a", "cards"], ["menu", "a", "plan"], ["changed", "a"],
        ["menu", "a", "plan"], ["select", "a", sheet, "B7:C8"], ["menu", "a", "cards"], ["menu", "a", "records"],
        ["changed", "a"],
    )  # fmt: skip
    no_job, begun, planned, cards, records = (answers[at] for at in (1, 2, 4, 6, 7))
    assert begun[0].startswith("Messages of tautsheet: Plan this list, ")
    assert any("job.xlsx" in line for line in begun), begun
    assert any("this job has no issue of it yet" in line for line in no_job)
    issue = next((listed.parent).glob("issue 001"))
    assert any("issue 001" in line for line in planned), planned
    assert any("cards in issue 001/cards of rows" in line for line in cards), cards
    assert any("wait for a release: they are drafts without a figure to set" in line for line in cards)
    assert [path.name for path in (issue / "cards of rows").glob("*.xlsx")]
    assert records[0].startswith("Messages of tautsheet: Read records, ")
    assert (answers[3], answers[8]) == (False, False), "closed without saving, nothing of ours stays"
    assert listed.read_bytes() == before


def test_what_is_not_saved_is_not_planned(run: Run, listed: Path) -> None:
    sheet = openpyxl.load_workbook(listed).worksheets[0].title
    steps: list[list[Any]] = [["open", "a", str(listed), {}], ["put", "a", sheet, "A40", "7"]]
    answers = run(*steps, ["menu", "a", "plan"], ["changed", "a"])
    assert answers[2][2:] == ["Save the workbook first: what has changed since is not in its file."]
    assert answers[3] is True
    assert not (listed.parent / "job.xlsx").exists()
