"""What stands in the way of a job is one line each; the rest goes on, and the last issue stays as it was."""

import shutil
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner
from small_job import edit, flange, joints, messages, new_job, printed, say, scan, texts, write_list

from addin.cli import main
from addin.job.run import run_job
from addin.job.state import read_state

NORTH, SOUTH = (flange("N-1"), flange("N-2")), (flange("S-1"),)


@pytest.fixture(scope="module")
def done_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job of two lists, planned and printed."""
    job = new_job(tmp_path_factory.mktemp("bad") / "job", north=NORTH, south=SOUTH)
    say(job, "No release asked, decided by", "S. Manager")
    say(job, "Parts of the pack", "cards")
    run_job(job)
    return job


@pytest.fixture
def job(done_once: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(done_once, tmp_path / "job"))


def of_issue(job: Path, number: int) -> dict[str, bytes]:
    return {name: content for name, content in printed(job).items() if name.startswith(f"issue {number:03}/")}


def change_both(job: Path) -> None:
    write_list(job / "north.xlsx", [*NORTH, flange("N-3")])
    write_list(job / "south.xlsx", [*SOUTH, flange("S-2")])


@pytest.mark.parametrize("lock", [".~lock.job.xlsx#", "~$job.xlsx"])
def test_job_xlsx_is_open_in_another_program(job: Path, lock: str) -> None:
    change_both(job)
    (job / lock).write_text(",planner,desk,28.11.2026 10:00,file:///home/planner;")
    before = (job / "job.xlsx").read_bytes()
    first = of_issue(job, 1)

    done = run_job(job)

    assert "job.xlsx is open in another program: its sheets are brought up to date by the next run" in done.lines
    assert (job / "job.xlsx").read_bytes() == before
    assert of_issue(job, 1) == first
    assert [each.number for each in read_state(job).issues] == [1, 1, 2, 2]
    (note,) = (job / "issue 002").glob("messages *.txt")
    assert f"messages: issue 002/{note.name}" in done.lines
    assert "north: issue 002: 3 of 3 rows planned" in note.read_text(encoding="utf-8")
    (job / lock).unlink()
    run_job(job)
    assert [row[:2] for row in texts(job / "job.xlsx", "Issues")[4:]] == [
        ("2", "north"), ("2", "south"), ("1", "north"), ("1", "south")
    ]  # fmt: skip
    assert any("north: issue 002: 3 of 3 rows planned" in line for line in messages(job))


@pytest.mark.parametrize("lock", [".~lock.north.xlsx#", "~$north.xlsx"])
def test_a_list_is_open_in_another_program(job: Path, lock: str) -> None:
    change_both(job)
    (job / lock).write_text(",planner,desk,28.11.2026 10:00,file:///home/planner;")

    done = run_job(job)

    assert "north: is open in another program: what is saved is used" in done.lines
    assert [each.list_name for each in read_state(job).issues[2:]] == ["north", "south"]
    assert (job / lock).exists()


def test_two_lists_of_one_name_are_set_aside_and_the_others_go_on(job: Path) -> None:
    change_both(job)
    (job / "more").mkdir()
    shutil.copy(job / "north.xlsx", job / "more")
    first = of_issue(job, 1)

    def name_it(book: Any) -> None:
        row = next(row for row in range(4, 20) if book["Job"].cell(row, 2).value is None)
        assert book["Job"].cell(row, 1).value == "List"
        book["Job"].cell(row, 2).value = "more/north.xlsx"

    edit(job / "job.xlsx", name_it)
    done = run_job(job)

    assert done.code == 2
    assert (
        "two lists are called north: their results would share their names, neither is planned; rename one"
        in done.lines
    )
    assert any(line.startswith("south: issue 002: 2 of 2 rows planned") for line in done.lines)
    assert of_issue(job, 1) == first


def test_a_book_that_is_missing_and_records_that_came_back(job: Path) -> None:
    change_both(job)
    scan(job, "monday.txt", (joints(job, "south")["S-1"], None))
    book = next(job.glob("*-wrenches.xlsx"))
    book.rename(job / "away.xlsx")
    first = of_issue(job, 1)

    done = run_job(job)

    assert done.code == 2
    assert (
        f"{book.name}: wrench book {book} is not there: nothing is planned, the last issue stays as it was"
        in done.lines
    )
    assert "records of 2 lists: 1 agree, 0 to review, 2 open; hand-over/job-hand-over.xlsx" in done.lines  # goes on
    assert of_issue(job, 1) == first
    assert not (job / "issue 002").exists()


def test_a_list_that_is_missing(job: Path) -> None:
    change_both(job)
    (job / "north.xlsx").unlink()

    done = run_job(job)

    assert f"north: list {job / 'north.xlsx'} is not there; its last issue stays as it was" in done.lines
    assert [each.list_name for each in read_state(job).issues[2:]] == ["south"]


def test_a_list_that_is_damaged(job: Path) -> None:
    change_both(job)
    (job / "north.xlsx").write_bytes(b"PK\x03\x04 no workbook")

    done = run_job(job)

    (line,) = (line for line in done.lines if line.startswith("north: not planned: "))
    assert "north.xlsx" in line
    assert [each.list_name for each in read_state(job).issues[2:]] == ["south"]


def test_a_record_of_another_job(job: Path, done_once: Path, tmp_path: Path) -> None:
    other = new_job(tmp_path / "other", east=(flange("X-1"),))
    say(other, "No release asked, decided by", "S. Manager")
    run_job(other)
    (job / "records").mkdir()
    shutil.copy(other / "issue 001/cards/east-record-sheets.xlsx", job / "records" / "a sheet.xlsx")
    scan(job, "keys.txt", (joints(other, "east")["X-1"], None), (joints(job, "south")["S-1"], None))

    done = run_job(job)

    (line,) = (line for line in done.lines if "records of 2 lists" in line)
    assert line.startswith("records of 2 lists: 1 agree, 0 to review, 2 open, ")
    assert line.endswith("(Messages says why); hand-over/job-hand-over.xlsx")
    said = messages(job)
    assert any(text.startswith("keys.txt") and "X-1" in text for text in said)
    assert any(text.startswith(("record not taken: a sheet.xlsx", "a sheet.xlsx")) for text in said)


@pytest.mark.parametrize(("mark", "said"), [("job of tautsheet 2", "job of tautsheet 2"), (None, "")])
def test_a_workbook_of_another_version(job: Path, mark: str | None, said: str) -> None:
    def enter(book: Any) -> None:
        book["Job"]["E1"].value = mark

    edit(job / "job.xlsx", enter)
    before = printed(job)

    done = CliRunner().invoke(main, ["job", str(job)])

    assert done.exit_code == 2
    known = f"job.xlsx: Job!E1 says '{said}', known here is 'job of tautsheet 1'"
    assert done.output.splitlines() == [f"tautsheet: {known}: it is of another version of the program"]
    assert printed(job) == before


def test_what_is_not_known_in_the_sheet_job_is_named_with_its_cell(job: Path) -> None:
    def enter(book: Any) -> None:
        sheet = book["Job"]
        row = sheet.max_row + 1
        sheet.cell(row, 1).value, sheet.cell(row, 2).value = "Colour of cards", "red"
        sheet.cell(row + 1, 1).value, sheet.cell(row + 1, 2).value = "# my note", "kept"
        sheet.cell(row + 2, 2).value = "without a label"

    edit(job / "job.xlsx", enter)
    row = openpyxl.load_workbook(job / "job.xlsx")["Job"].max_row
    done = run_job(job)

    assert f"job.xlsx, Job!A{row - 2}: 'Colour of cards' is not known here; a note begins with #" in done.lines
    assert f"job.xlsx, Job!B{row}: a value without a label in A" in done.lines
    assert not any("my note" in line for line in done.lines)


def test_release_not_wanted_is_one_row_with_who_decided(job: Path) -> None:
    assert not read_state(job).releases
    row = {line[0]: line[1] for line in texts(job / "job.xlsx", "Job")}
    assert row["No release asked, decided by"] == "S. Manager"
    assert any("no release is asked, decided by S. Manager" in text for text in messages(job))
    assert (job / "issue 001/north/cards/north-cards.xlsx").is_file()
    say(job, "No release asked, decided by", None)

    done = run_job(job)

    assert "3 cards wait for a release (north issue 001: 2, south issue 001: 1): type name and date in the sheet" \
        " Issues" in done.lines  # fmt: skip
