"""Which card of a joint is valid, while some are released and others wait: nobody works from a paper that is void."""

import datetime
from pathlib import Path

import openpyxl
import pytest
from small_job import (
    TODAY,
    beside,
    flange,
    joints,
    messages,
    new_job,
    printed,
    release,
    say,
    scan,
    texts,
    write_list,
)

from addin.job.run import JobDone, run_job
from addin.job.state import read_state

FIRST = (flange("FL-1"), flange("FL-2"), flange("FL-3"))
SECOND = (flange("FL-1", 450), flange("FL-2"), flange("FL-3"))
"""FL-1 gets another torque: another card."""


@pytest.fixture(scope="module")
def replaced(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, JobDone, str, str]:
    """A job whose three cards are released and printed; then a card is replaced and nobody has released the new one."""
    job = new_job(tmp_path_factory.mktemp("replaced") / "job", only="cards", north=FIRST)
    run_job(job)
    release(job, 1)
    old = joints(job, "north")["FL-1"].card
    write_list(job / "north.xlsx", SECOND)
    done = run_job(job)
    new = joints(job, "north")["FL-1"].card
    assert old
    assert new
    assert old != new
    return job, done, old, new


def copied(job: Path, into: Path) -> Path:
    import shutil

    return Path(shutil.copytree(job, into / "job"))


def test_a_replaced_card_is_void_at_once_and_nothing_is_valid_until_the_release(
    replaced: tuple[Path, JobDone, str, str],
) -> None:
    job, done, old, _ = replaced

    assert done.lines[:2] == [
        "north: no valid card for 1 joint until issue 002 is released, no work on it: FL-1 final make-up (card"
        f" {old} is void)",
        "north: issue 002: 3 of 3 rows planned, 0 stopped; cards: 0 new, 1 replaced, 1 withdrawn",
    ]
    assert f"north: withdraw card {old}: FL-1 final make-up: replaced by a new card" in messages(job)
    assert done.code == 1
    assert done.lines[0] in messages(job)
    row = dict(zip(*texts(job / "job.xlsx", "Issues")[3:5], strict=True))
    assert (row["Not released"], row["No valid card"]) == ("1", "1")
    sheet = openpyxl.load_workbook(job / "issue 002/cards/north-withdrawn-cards.xlsx").worksheets[0]
    cells = [str(cell) for line in sheet.iter_rows(values_only=True) for cell in line if cell is not None]
    assert any(text.endswith("not released: nothing valid for this joint until it is released") for text in cells)
    assert [path.name for path in (job / "issue 002/cards").glob("*.xlsx")] == ["north-withdrawn-cards.xlsx"]


def test_it_is_said_again_by_every_run_until_the_release_and_nothing_is_written(
    replaced: tuple[Path, JobDone, str, str], tmp_path: Path
) -> None:
    job = copied(replaced[0], tmp_path)
    before = printed(job)

    done = run_job(job)

    assert done.lines[0].startswith("north: no valid card for 1 joint until issue 002 is released, no work on it: FL-1")
    assert printed(job) == before
    done = release(job, 2)
    assert not any("no valid card" in line for line in done.lines)
    assert "north: 1 card in issue 002/cards; the others are out already" in done.lines


def test_register_and_next_shift_say_that_nothing_is_valid(
    replaced: tuple[Path, JobDone, str, str], tmp_path: Path
) -> None:
    job, _, old, new = replaced
    job = copied(job, tmp_path)
    scan(job, "monday.txt", (joints(job, "north")["FL-2"], None))

    run_job(job)

    book = job / "hand-over" / "job-hand-over.xlsx"
    register = {row[0]: row[4] for row in texts(book, "Card register")}
    assert register[new] == "not released: nothing valid for this joint until it is released"
    assert register[old] == f"void since {TODAY}: replaced by {new}"
    assert register[joints(job, "north")["FL-2"].card or ""] == f"issued, released by R. Engineer, {TODAY}"
    (shift,) = (row for row in texts(book, "Next shift") if row[1] == "FL-1")
    assert shift[3:6] == ("no valid card: wait for the release", "HW-1", "")  # and no pressure to set
    (left,) = (row for row in texts(book, "Still open") if row[0] == "FL-1")
    assert left[8] == f"card {new} is not released; {old} is void: nothing valid for this joint until it is released"
    said = [row[0] for row in texts(book, "Summary")]
    assert any(text.startswith("Joints without a valid card: 1. Their cards are void") for text in said)


def test_work_on_a_card_that_nobody_released_is_reviewed(
    replaced: tuple[Path, JobDone, str, str], tmp_path: Path
) -> None:
    job, _, _, new = replaced
    job = copied(job, tmp_path)
    scan(job, "monday.txt", (joints(job, "north")["FL-1"], None))

    done = run_job(job)

    assert any("records: 0 agree, 1 to review" in line for line in done.lines)
    (row,) = (row for row in texts(job / "hand-over" / "job-hand-over.xlsx", "To review") if row[0] == "FL-1")
    assert f"done on card {new}, which nobody has released: no figure to set stands on such a card" in row[4]
    done = release(job, 2)  # the record is looked at again
    assert any("records: 1 agree, 0 to review" in line for line in done.lines)


def test_work_before_the_day_of_the_release_is_reviewed(
    replaced: tuple[Path, JobDone, str, str], tmp_path: Path
) -> None:
    job, _, _, new = replaced
    job = copied(job, tmp_path)
    day = (datetime.date.today() - datetime.timedelta(days=1)).isoformat()
    scan(job, "sunday.txt", (joints(job, "north")["FL-1"], None), day=day)

    done = release(job, 2)  # today

    assert any("records: 0 agree, 1 to review" in line for line in done.lines)
    (row,) = (row for row in texts(job / "hand-over" / "job-hand-over.xlsx", "To review") if row[0] == "FL-1")
    assert (
        f"done on card {new} before the day of its release, {TODAY}: on a card that is not released stands no figure"
        " to set" in row[4]
    )


def test_where_no_release_is_asked_a_new_card_holds_at_once(
    replaced: tuple[Path, JobDone, str, str], tmp_path: Path
) -> None:
    job = copied(replaced[0], tmp_path)
    say(job, "No release asked, decided by", "S. Manager")

    done = run_job(job)

    assert not any("no valid card" in line for line in done.lines)
    assert "north: 1 card in issue 002/cards; the others are out already; no release is asked, decided by" \
        " S. Manager" in done.lines  # fmt: skip


def test_a_card_that_comes_back_is_printed_again(replaced: tuple[Path, JobDone, str, str], tmp_path: Path) -> None:
    job, _, old, _ = replaced
    job = copied(job, tmp_path)
    beside(job, 1, back="x")

    done = run_job(job)

    assert "north: issue 003 is issue 001 again; cards: 1 to issue, 1 to withdraw" in done.lines
    assert not any("no valid card" in line for line in done.lines)
    assert any("1 card in issue 003/cards" in line for line in done.lines)
    book = openpyxl.load_workbook(job / "issue 003/cards/north-cards.xlsx")
    assert any(old in str(cell.value) for row in book.worksheets[0].iter_rows() for cell in row)


def test_going_back_does_not_name_joints_that_are_done(tmp_path: Path) -> None:
    job = new_job(tmp_path / "job", only="cards", north=FIRST)
    run_job(job)
    release(job, 1)
    scan(job, "day 1.txt", (joints(job, "north")["FL-2"], None))
    say(job, "Wrench not used", "HW-1")
    run_job(job)
    beside(job, 1, back="x")

    done = run_job(job)

    assert (
        "north: issue 003 is as issue 001 was, but the sheet Job does not use HW-1: no more work on 2 joints, the"
        " engineer decides: FL-1 final make-up, FL-3 final make-up" in done.lines
    )
    assert any(line.startswith("north: records: 1 agree, 0 to review, 2 open") for line in done.lines)


def test_what_was_released_is_printed_though_a_later_card_waits(tmp_path: Path) -> None:
    """The engineer signs issue 1 while the planner changes the list; the job is run once."""
    job = new_job(tmp_path / "job", north=FIRST)
    run_job(job)
    write_list(job / "north.xlsx", SECOND)

    done = release(job, 1)

    assert "north: 2 cards in issue 002/cards" in done.lines
    assert "north: issue 002: 1 card waits for a release: type name and date in the sheet Issues" in done.lines
    done = release(job, 2)
    assert "north: 3 cards in issue 002/cards" in done.lines  # one file again, with all
    names = {path.name for path in (job / "issue 002/cards").glob("*.xlsx")}
    assert {"north-cards.xlsx", "north-wrench-sheets.xlsx", "north-record-sheets.xlsx"} <= names
    assert read_state(job).printed == {"north": 2}


def test_going_back_to_cards_on_a_wrench_that_is_not_used_stops_their_joints(tmp_path: Path) -> None:
    job = new_job(tmp_path / "job", only="cards", north=FIRST)
    run_job(job)
    release(job, 1)
    say(job, "Wrench not used", "HW-1")
    run_job(job)
    assert all(tool.wrench != "HW-1" for joint in joints(job, "north").values() for tool in joint.tools)
    beside(job, 1, back="x")

    first, second = run_job(job), run_job(job)

    said = (
        "north: issue 003 is as issue 001 was, but the sheet Job does not use HW-1: no more work on 3 joints, the"
        " engineer decides: FL-1 final make-up, FL-2 final make-up, FL-3 final make-up"
    )
    assert said in first.lines[:2]
    assert "north: 3 cards in issue 003/cards" in first.lines  # all were taken back, all are printed again
    assert second.lines[0] == said
    assert second.code == 1
    say(job, "Wrench not used", None)
    assert not any("does not use HW-1" in line for line in run_job(job).lines)
