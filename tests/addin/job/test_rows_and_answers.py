"""Cards of single rows, and answers: what is open is named, what was typed stays, nothing is planned for nothing."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner
from small_job import TODAY, edit, flange, joints, new_job, printed, release, say, texts, write_list

from addin.cli import main
from addin.job.run import run_job
from addin.job.state import read_state

OPEN = (flange("N-1"), flange("N-2", method="HYD"), flange("N-3", method="TQ"))


def signed(
    name: str, meaning: str = "HYD", by: str | None = "P. Planner", on: str | None = TODAY
) -> Callable[[Any], None]:
    """Answer what a word of a list means, and sign as stated."""

    def answer(book: Any) -> None:
        for sheet in book:
            if sheet.title.startswith("Answers") and sheet["B2"].value == name:
                for row in range(1, sheet.max_row + 1):
                    if sheet.cell(row, 2).value == "HYD":
                        sheet.cell(row, 4).value = "hydraulic"
                sheet["B3"].value, sheet["D3"].value = by, on

    return answer


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job of two lists in which rows wait for the meaning of a word."""
    job = new_job(
        tmp_path_factory.mktemp("asked") / "job",
        only="cards",
        north=OPEN,
        south=(flange("S-1"), flange("S-2", method="HYD")),
    )
    run_job(job)
    return job


@pytest.fixture
def job(asked: Path, tmp_path: Path) -> Path:
    import shutil

    return Path(shutil.copytree(asked, tmp_path / "job"))


def issues(job: Path) -> list[tuple[int, str]]:
    return [(each.number, each.list_name) for each in read_state(job).issues]


def test_the_sheet_of_answers_looks_as_behind_the_planned_copy(asked: Path) -> None:
    """Yellow is what is to be typed: every cell has fill, letters, borders and format of its own."""
    looks = [
        {
            cell.coordinate: (cell.fill.fgColor.rgb, cell.font.b, cell.font.color and cell.font.color.rgb,
                              cell.border.top.style, cell.alignment.wrap_text, cell.number_format)
            for row in openpyxl.load_workbook(asked / name)["Answers"].iter_rows() for cell in row
        }
        for name in ("job.xlsx", "issue 001/north/north-planned.xlsx")
    ]  # fmt: skip
    assert looks[0] == looks[1]
    assert len(set(looks[0].values())) > 3


def test_answers_of_one_list_plan_that_list_alone_and_once(job: Path) -> None:
    edit(job / "job.xlsx", signed("north"))
    run_job(job)
    assert issues(job) == [(1, "north"), (1, "south"), (2, "north")]
    before = printed(job)

    run_job(job)  # its sheet was written anew for the word that is left

    assert issues(job) == [(1, "north"), (1, "south"), (2, "north")]
    assert printed(job) == before
    edit(job / "job.xlsx", signed("south"))
    run_job(job)
    assert issues(job)[3:] == [(3, "south")]
    say(job, "Tolerance", "2")
    write_list(job / "south.xlsx", [flange("S-1"), flange("S-2")])
    run_job(job)
    because = {(row[0], row[1]): row[3] for row in texts(job / "job.xlsx", "Issues")[4:]}
    assert because == {
        ("1", "north"): "the first plan", ("1", "south"): "the first plan", ("2", "north"): "answers changed",
        ("3", "south"): "answers changed", ("4", "north"): "sheet Job changed",
        ("4", "south"): "list and sheet Job changed",
    }  # fmt: skip


def test_rows_that_wait_for_answers_are_named_by_every_run(job: Path) -> None:
    said = run_job(job).lines

    assert said[:2] == [
        f"{name}: some rows wait: look at the yellow lines of job.xlsx, sheet {sheet}, sign it, run again"
        for name, sheet in (("north", "Answers"), ("south", "Answers 2"))
    ]


def test_half_a_signature_stays_and_is_named_as_open(job: Path) -> None:
    """A name without a date in the answers of one list, a date without a name in those of the other."""
    edit(job / "job.xlsx", signed("north", on=None))
    edit(job / "job.xlsx", signed("south", by=None))
    write_list(job / "north.xlsx", [*OPEN, flange("N-4")])  # the sheet of answers is written anew
    write_list(job / "south.xlsx", [flange("S-1"), flange("S-2", method="HYD"), flange("S-3")])

    first, second = run_job(job).lines, run_job(job).lines

    for name, tag, page, by, on, said in (
        ("north", "N-2", "Answers", "P. Planner", None, "B3: P. Planner has signed without a date in D3"),
        ("south", "S-2", "Answers 2", None, TODAY, f"D3: {TODAY}, but no name stands in B3"),
    ):
        line = f"{name}: job.xlsx, {page}!{said}; a signature is a name in B3 and a date in D3"
        assert line in first
        assert line in second
        sheet = openpyxl.load_workbook(job / "job.xlsx")[page]
        assert (sheet["B3"].value, sheet["D3"].value) == (by, on)
        answers = {row[1]: row[3] for row in texts(job / "job.xlsx", page)}
        assert answers["HYD"] == "hydraulic"  # what was typed stays, unsigned
        assert joints(job, name)[tag].status == "stopped"


def test_a_name_beside_an_answer_signs_nothing_stays_and_is_named(job: Path) -> None:
    def typed(book: Any) -> None:
        sheet = book["Answers"]
        row = next(row for row in range(1, sheet.max_row + 1) if sheet.cell(row, 2).value == "HYD")
        sheet.cell(row, 4).value, sheet.cell(row, 8).value = "hydraulic", "P. Planner"

    edit(job / "job.xlsx", typed)
    write_list(job / "north.xlsx", [*OPEN, flange("N-4")])

    run_job(job)
    done = run_job(job)

    assert any("P. Planner beside an answer signs nothing; a signature is a name in B3" in line for line in done.lines)
    names = {row[1]: row[7] for row in texts(job / "job.xlsx", "Answers")}
    assert names["HYD"] == "P. Planner (not signed)"


def test_each_row_without_a_card_is_named(job: Path) -> None:
    done = CliRunner().invoke(main, ["job", str(job / "north.xlsx"), "--rows", "2-3,40"])

    assert done.exit_code == 1
    first, second, *rest = done.output.splitlines()
    assert first == "issue 001, rows 2, 3: 1 card in issue 001/north/cards of rows"
    assert second.startswith("no card: N-2 final make-up: stopped: ")
    assert "no card: row 40: no joint of the list stands there" in rest


def test_rows_of_which_none_has_a_card_are_named_too(job: Path) -> None:
    done = CliRunner().invoke(main, ["job", str(job / "north.xlsx"), "--rows", "3"])

    assert done.exit_code == 1
    first, second, *_ = done.output.splitlines()
    assert first == "issue 001, row 3: no card"
    assert second.startswith("no card: N-2 final make-up: stopped: ")


def test_a_release_of_one_list_covers_no_card_of_another(job: Path) -> None:
    done = release(job, 1, "north")

    assert "south: issue 001: 1 card waits for a release: type name and date in the sheet Issues" in done.lines
    assert (job / "issue 001/north/cards").is_dir()
    assert not (job / "issue 001/south/cards").exists()
