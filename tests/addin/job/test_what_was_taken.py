"""What a job takes from where: a row goes before the sheet Job, the answers of its list too, and both are shown."""

from pathlib import Path
from typing import Any

import openpyxl
import pytest
from small_job import HEADINGS, TODAY, edit, flange, joints, messages, new_job, say, write_list

from addin.job.run import run_job
from addin.job.state import read_state


def test_rows_go_before_the_sheet_job_and_what_differs_is_named(tmp_path: Path) -> None:
    rows = [["N-3", None, None, *flange("N-3")[3:-1], None], flange("N-1"), flange("N-2")]
    job = new_job(tmp_path / "job", north=rows)
    for label, value in (("Operation", "test make-up"), ("Method", "hand"), ("Date", "2026-12-01"), ("Tolerance", "2")):
        say(job, label, value)

    done = run_job(job)

    made = joints(job, "north")
    facts = [(each.operation, each.method, each.date) for each in made.values()]
    assert facts == [("test make-up", "hand", "2026-12-01")] + [("final make-up", "hydraulic", TODAY)] * 2
    assert (
        "north: rows say otherwise than the sheet Job, and hold: operation in 2 rows, not test make-up;"
        " method in 2 rows, not hand; date in 2 rows, not 2026-12-01" in done.lines
    )
    said = messages(job)
    itself = "2 rows by themselves, 1 row from the sheet Job"
    assert (
        f"north: taken: operation: {itself}: test make-up; method: {itself}: hand; lubricant: 3 rows by themselves;"
        f" date: {itself}: 2026-12-01;"
        " settings: Tolerance 2" in said
    )


def test_the_answers_of_a_list_go_before_the_sheet_job(tmp_path: Path) -> None:
    headings = [each for each in HEADINGS if each != "Operation"]
    job = new_job(tmp_path / "job", night=())
    write_list(job / "night.xlsx", [["S-1", *flange("S-1")[2:]]], headings)
    run_job(job)  # asks for the operation

    def answer(book: Any) -> None:
        sheet = book["Answers"]
        row = next(row for row in range(1, sheet.max_row + 1) if sheet.cell(row, 1).value == "operation")
        sheet.cell(row, 4).value = "final make-up"
        sheet["B3"].value, sheet["D3"].value = "P. Planner", TODAY

    edit(job / "job.xlsx", answer)
    say(job, "Operation", "test make-up")
    done = run_job(job)

    assert (
        "night: operation: the answers of this list say final make-up and are used; the job says test make-up"
        in done.lines
    )
    assert joints(job, "night")["S-1"].operation == "final make-up"
    assert any(
        line.startswith("night: taken: operation: 1 row from its answers: final make-up;") for line in messages(job)
    )


def test_a_lubricant_and_a_wrench_of_the_sheet_job_fill_the_rows_that_need_one(tmp_path: Path) -> None:
    bare, by_hand = flange("N-2"), flange("N-3", method="hand")
    bare[6] = by_hand[6] = None
    job = new_job(tmp_path / "job", north=[flange("N-1"), bare, by_hand])
    say(job, "Lubricant", "l-30")
    say(job, "Wrench", "HW-2")

    done = run_job(job)

    made = joints(job, "north")
    lubricants = [each.target.friction.lubricant for each in made.values() if each.target]
    assert lubricants == ["L-20", "L-30", "L-30"]
    assert [{tool.wrench for tool in each.tools} for each in made.values()] == [{"HW-2"}, {"HW-2"}, set()]
    assert "north: rows say otherwise than the sheet Job, and hold: lubricant in 1 row, not L-30" in done.lines
    (taken,) = (each for each in messages(job) if "taken: " in each)
    assert (
        "; lubricant: 1 row by itself, 2 rows from the sheet Job: L-30; wrench: 2 rows from the sheet Job: HW-2;"
        in taken
    )


def test_a_lubricant_or_wrench_that_the_book_does_not_have_is_one_line_with_its_cell(tmp_path: Path) -> None:
    job = new_job(tmp_path / "job", north=[flange("N-1")])
    say(job, "Wrench", "HW-77")

    done = run_job(job)

    row = next(cell.row for cell in openpyxl.load_workbook(job / "job.xlsx")["Job"]["A"] if cell.value == "Wrench")
    known = ", ".join(f"HW-{number}" for number in range(1, 9))
    assert done.lines == [
        f"job.xlsx, Job!B{row}: Wrench: 'HW-77' is no wrench in the wrench book; it has {known}",
        "nothing is planned before that is put right; the last issue stays as it was",
    ]
    assert done.code == 2
    assert not read_state(job).issues


def test_the_lubricant_of_the_answers_goes_before_the_sheet_job(tmp_path: Path) -> None:
    headings = [each for each in HEADINGS if each not in ("Operation", "Lubricant")]
    job = new_job(tmp_path / "job", night=())
    row = flange("S-1")
    write_list(job / "night.xlsx", [[row[0], *row[2:6], *row[7:]]], headings)
    run_job(job)  # asks for the operation

    def answer(book: Any) -> None:
        sheet = book["Answers"]
        for about, text in (("operation", "final make-up"), ("lubricant", "L-10")):
            at = next(row for row in range(1, sheet.max_row + 1) if sheet.cell(row, 1).value == about)
            sheet.cell(at, 4).value = text
        sheet["B3"].value, sheet["D3"].value = "P. Planner", TODAY

    edit(job / "job.xlsx", answer)
    say(job, "Lubricant", "L-30")
    done = run_job(job)

    assert "night: lubricant: the answers of this list say L-10 and are used; the job says L-30" in done.lines
    target = joints(job, "night")["S-1"].target
    assert target is not None
    assert target.friction.lubricant == "L-10"
    assert any("lubricant: 1 row from its answers: L-10;" in line for line in messages(job))


def test_nobody_is_told_to_type_an_option(tmp_path: Path) -> None:
    row = flange("N-1")
    row[1] = "break"
    job = new_job(tmp_path / "job", north=[row])

    run_job(job)

    (line,) = (each for each in messages(job) if "break-out factor is needed" in each)
    assert line.endswith("(a factor for all rows: 'Breakout factor' in the sheet Job)")
    assert not [each for each in messages(job) if "--" in each]


@pytest.mark.parametrize(
    ("label", "value", "said"),
    [
        ("Tolerance", "40", "job.xlsx, Job!B{row}: Tolerance: 40 is not between 0.1 and 20"),
        ("Tolerance", "two", "job.xlsx, Job!B{row}: Tolerance: 'two' is not a number"),
        ("Operation", "tighten", "job.xlsx, Job!B{row}: Operation: 'tighten' is not one of"),
        ("Date", "1.13.2026", "job.xlsx, Job!B{row}: Date: '1.13.2026' is not a date like 2026-03-14"),
        ("Paper", "A5", "job.xlsx, Job!B{row}: Paper: 'A5' is not one of A4, Letter"),
        ("PDF", "maybe", "job.xlsx, Job!B{row}: PDF: 'maybe' is not one of yes, no"),
        ("Results at column", "7", "job.xlsx, Job!B{row}: Results at column: '7' is not a column like AB"),
        ("Wrenches together", "3.5", "job.xlsx, Job!B{row}: Wrenches together: '3.5' is not a whole number"),
        ("Scheme", "my own", "job.xlsx, Job!B{row}: Scheme: scheme 'my own' is not known; write PCC-1 legacy"),
        (
            "Scatter method",
            "as usual",
            "job.xlsx, Job!B{row}: Scatter method: method 'as usual' has no",
        ),
        ("Parts of the pack", "cards, tea", "job.xlsx, Job!B{row}: Parts of the pack: 'tea' is not one of"),
    ],
)
def test_a_value_that_cannot_be_is_one_line_with_its_cell(
    untouched: Path, tmp_path: Path, label: str, value: str, said: str
) -> None:
    import shutil

    job = Path(shutil.copytree(untouched, tmp_path / "job"))
    say(job, label, value)
    sheet = openpyxl.load_workbook(job / "job.xlsx")["Job"]
    row = next(cell.row for cell in sheet["A"] if cell.value == label)

    done = run_job(job)

    first, second = done.lines
    assert first.startswith(said.format(row=row))
    assert second == "nothing is planned before that is put right; the last issue stays as it was"
    assert done.code == 2
    assert not read_state(job).issues


@pytest.fixture(scope="module")
def untouched(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return new_job(tmp_path_factory.mktemp("untouched") / "job", north=[flange("N-1")])


def test_a_row_of_the_sheet_job_that_changes_nothing_of_a_list_makes_no_issue_of_it(tmp_path: Path) -> None:
    bare = flange("S-1")
    bare[6] = None
    job = new_job(tmp_path / "job", north=[flange("N-1")], south=[bare])
    run_job(job)
    say(job, "Lubricant", "L-30")

    done, again = run_job(job), run_job(job)

    assert "north: the sheet Job has changed, but nothing of this list: issue 001 holds" in done.lines
    assert any(line.startswith("south: issue 002: 1 of 1 rows planned") for line in done.lines)
    assert [(each.list_name, each.number) for each in read_state(job).issues] == [
        ("north", 1), ("south", 1), ("south", 2)
    ]  # fmt: skip
    assert sorted(path.name for path in (job / "issue 002").iterdir()) == ["issue.json", "south"]
    assert not any("the sheet Job has changed" in line for line in again.lines)
    say(job, "Tolerance", "2")
    run_job(job)
    assert [(each.list_name, each.number) for each in read_state(job).issues][-2:] == [("north", 3), ("south", 3)]
