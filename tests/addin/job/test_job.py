"""A job from its first run to the hand-over, as planner, engineer and crew live it: only `job FOLDER` is ever run."""

import datetime
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner

from addin.cards.issue import WantedParts
from addin.cli import main
from addin.job.new import begin
from addin.job.run import JobDone, run_job
from addin.job.state import STATE, read_state
from addin.plan.file import read_plan
from addin.shipped import folder
from addin.tasks import write_pack
from addin.workbooks.package import WorkbookError

TODAY = datetime.date.today().isoformat()
RELEASED = "2026-09-28"
"""Before any work."""


def sample(kind: str) -> Path:
    return next(path for path in sorted(folder("samples").glob(f"*-{kind}.xlsx")) if path.stem.count("-") >= 1)


def few_joints(path: Path) -> None:
    """The first joints of the sample list."""
    shutil.copy(sample("joints"), path)

    def change(book: Any) -> None:
        sheet = book.worksheets[0]
        head = next(cell.row for row in sheet.iter_rows(max_row=20) for cell in row if cell.value == "Studs")
        sheet.delete_rows(head + 6, sheet.max_row)

    edit(path, change)


def edit(path: Path, change: Callable[[Any], None]) -> None:
    book = openpyxl.load_workbook(path)
    change(book)
    book.save(path)


def state_of(job: Path, label: str, value: str) -> None:
    """Type a value beside a label of the sheet Job."""

    def change(book: Any) -> None:
        sheet = book["Job"]
        row = next(row for row in range(4, sheet.max_row + 1) if sheet.cell(row, 1).value == label)
        sheet.cell(row, 2).value = value

    edit(job / "job.xlsx", change)


def beside_issue(job: Path, number: int, **typed: str) -> None:
    """Type into the last columns of an issue."""

    def change(book: Any) -> None:
        sheet = book["Issues"]
        row = next(row for row in range(5, sheet.max_row + 1) if sheet.cell(row, 1).value == number)
        for name, text in typed.items():
            sheet.cell(row, {"by": 13, "on": 14, "back": 15}[name]).value = text

    edit(job / "job.xlsx", change)


def files(job: Path) -> dict[str, bytes]:
    return {path.relative_to(job).as_posix(): path.read_bytes() for path in job.rglob("*") if path.is_file()}


def messages(job: Path) -> str:
    sheet = openpyxl.load_workbook(job / "job.xlsx")["Messages"]
    return "\n".join(" ".join(str(cell) for cell in row) for row in sheet.iter_rows(values_only=True))


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job after its first run."""
    job = tmp_path_factory.mktemp("job")
    shutil.copy(sample("wrenches"), job)
    few_joints(job / sample("joints").name)
    begin(job)
    done = run_job(job)
    assert done.lines[-1].endswith("cards wait for a release: type name and date in the sheet Issues")
    return job


@pytest.fixture
def job(planned: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(planned, tmp_path / "job"))


@pytest.fixture(scope="module")
def released(planned: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, JobDone]:
    job = Path(shutil.copytree(planned, tmp_path_factory.mktemp("released") / "job"))
    beside_issue(job, 1, by="R. Engineer", on=RELEASED)
    return job, run_job(job)


@pytest.fixture
def printed(released: tuple[Path, JobDone], tmp_path: Path) -> Path:
    return Path(shutil.copytree(released[0], tmp_path / "printed"))


def test_a_new_job_names_what_lies_in_its_folder(planned: Path) -> None:
    sheet = openpyxl.load_workbook(planned / "job.xlsx")["Job"]
    said = {(row[0].value, row[1].value) for row in sheet.iter_rows(min_row=4, max_col=2) if row[1].value}

    assert said == {("List", sample("joints").name), ("Wrench book", sample("wrenches").name)}
    with pytest.raises(WorkbookError, match="is there already; a job is never begun over another"):
        begin(planned)


def test_the_first_run_plans_and_prints_nothing_before_a_release(planned: Path) -> None:
    names = set(files(planned))

    assert f"issue 001/{sample('joints').stem}-plan.json" in names
    assert f"issue 001/{sample('joints').stem}-planned.xlsx" in names
    assert not [name for name in names if "cards" in name]


@pytest.mark.parametrize("stage", ["job", "printed"])
def test_where_nothing_has_changed_nothing_is_written(stage: str, request: pytest.FixtureRequest) -> None:
    job = request.getfixturevalue(stage)
    before = files(job)

    run_job(job)

    assert files(job) == before


def test_a_release_prints_the_cards(released: tuple[Path, JobDone]) -> None:
    job, done = released

    assert f"{sample('joints').stem}: issue 001 is released by R. Engineer, {RELEASED}" in done.lines
    assert (job / "issue 001" / "cards" / f"{sample('joints').stem}-cards.xlsx").is_file()
    assert "released by R. Engineer" in messages(job)


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ({"by": "R. Engineer"}, "the release has a name but no date; not released"),
        ({"on": TODAY}, "the release has a date but no name; not released"),
        ({"by": "R. Engineer", "on": "soon"}, "'soon' is no date; type it like 2026-03-14; not released"),
        ({"by": "R. Engineer", "on": "2999-01-01"}, "lies ahead; type the day on which somebody released it"),
    ],
)
def test_half_a_release_is_none(job: Path, typed: dict[str, str], why: str) -> None:
    beside_issue(job, 1, **typed)

    done = run_job(job)

    assert any(
        line.startswith(f"{sample('joints').stem}: job.xlsx, Issues!M5: ") and why in line for line in done.lines
    )
    assert done.code == 1
    assert not (job / "issue 001" / "cards").exists()
    row = [cell.value for cell in openpyxl.load_workbook(job / "job.xlsx")["Issues"][5]]
    assert [row[12] or "", row[13] or ""] == [typed.get("by", ""), typed.get("on", "")]  # what was typed stays


def test_a_changed_list_makes_a_new_issue_whose_new_cards_wait(printed: Path) -> None:
    before = files(printed)
    shorten(printed)

    done = run_job(printed)

    state = read_state(printed)
    last = state.issues[-1]
    assert last.number == 2
    assert last.withdrawn
    void = f"(card {last.withdrawn[0][0]} is void)"
    assert any("no valid card for 1 joint until issue 002 is released" in line and void in line for line in done.lines)
    after = files(printed)
    assert {name: content for name, content in after.items() if name.startswith("issue 001/")} == {
        name: content for name, content in before.items() if name.startswith("issue 001/")
    }


def shorten(job: Path) -> None:
    """Change the stud count of a joint that is made up: another list, another card."""

    def change(book: Any) -> None:
        sheet = book.worksheets[0]
        head, at = next(
            (cell.row, cell.column) for row in sheet.iter_rows(max_row=20) for cell in row if cell.value == "Studs"
        )
        sheet.cell(head + 2, at).value += 4

    edit(job / sample("joints").name, change)


def test_going_back_is_a_new_issue_that_holds(printed: Path) -> None:
    shorten(printed)
    run_job(printed)
    beside_issue(printed, 1, back="x")

    done = run_job(printed)

    last = read_state(printed).issues[-1]
    assert (last.number, last.back_to) == (3, 1)
    assert any("issue 003 is issue 001 again" in line for line in done.lines)
    assert not any("wait for a release" in line for line in done.lines)  # its cards were released
    before = files(printed)
    assert run_job(printed).lines == ["nothing has changed"]
    assert files(printed) == before


def test_unknown_words_and_impossible_values_are_named_and_nothing_is_planned(job: Path) -> None:
    state_of(job, "Tolerance", "40")
    state_of(job, "Paper", "A5")
    edit(job / "job.xlsx", lambda book: book["Job"].cell(book["Job"].max_row + 1, 1).__setattr__("value", "Colour"))
    edit(job / "job.xlsx", lambda book: book["Job"].cell(book["Job"].max_row, 2).__setattr__("value", "red"))

    done = run_job(job)

    text = "\n".join(done.lines)
    assert "Tolerance: 40 is not between 0.1 and 20" in text
    assert "Paper: 'A5' is not one of A4, Letter" in text
    assert "'Colour' is not known here" in text
    assert done.code == 2
    assert not (job / "issue 002").exists()


def test_a_missing_book_or_list_leaves_the_last_issue(job: Path) -> None:
    (job / sample("wrenches").name).rename(job / "away.xlsx")

    done = run_job(job)

    assert "is not there: nothing is planned, the last issue stays as it was" in done.lines[0]
    assert done.code == 2
    assert not (job / "issue 002").exists()


def test_an_open_job_gets_its_messages_beside_the_issue_and_the_next_run_catches_up(job: Path) -> None:
    state_of(job, "Tolerance", "2")
    (job / "~$job.xlsx").write_bytes(b"")

    done = run_job(job)

    assert "job.xlsx is open in another program: its sheets are brought up to date by the next run" in done.lines
    assert list((job / "issue 002").glob("messages *.txt"))
    (job / "~$job.xlsx").unlink()
    run_job(job)
    assert "issue 002" in messages(job)
    assert openpyxl.load_workbook(job / "job.xlsx")["Issues"]["A5"].value == 2


def test_two_lists_of_one_name(job: Path) -> None:
    (job / "more").mkdir()
    shutil.copy(job / sample("joints").name, job / "more")

    def change(book: Any) -> None:
        book["Job"]["B5"].value = f"more/{sample('joints').name}"

    edit(job / "job.xlsx", change)

    done = run_job(job)

    assert (
        f"two lists are called {sample('joints').stem}: their results would share their names, neither is planned;"
        " rename one" in done.lines
    )


def test_a_state_of_a_newer_version_or_a_damaged_one_stops_the_run(job: Path) -> None:
    (job / STATE).write_text('{"version": 9}')
    with pytest.raises(WorkbookError, match="is of version 9 of this file, known here is 1"):
        run_job(job)
    (job / STATE).write_text("{")
    with pytest.raises(WorkbookError, match="is damaged"):
        run_job(job)


def test_records_are_taken_and_handed_over_once(printed: Path) -> None:
    records = printed / "records"
    records.mkdir()
    shutil.copy(sample("records"), records / "monday.xlsx")

    done = run_job(printed)

    assert any(": records: " in line and "hand-over/" in line for line in done.lines)
    assert list((printed / "hand-over").glob("*-hand-over.xlsx"))
    before = files(printed)
    run_job(printed)
    assert files(printed) == before


def test_a_list_that_asks_is_answered_in_the_workbook_of_the_job(tmp_path: Path) -> None:
    job = tmp_path / "job"
    job.mkdir()
    shutil.copy(sample("wrenches"), job)
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Joints"
    sheet.append(
        ["Joint", "Method", "Stud", "No. of studs", "Grade", "Target stress (psi)", "Stress area", "Nut factor", "Date"]
    )
    sheet.append(["K-301 cover", "hand", "7/8", 16, "A193 B7", 40000, "tensile", 0.16, datetime.date(2026, 3, 16)])
    book.save(job / "night.xlsx")
    begin(job)

    first = run_job(job)

    assert first.code == 2
    assert (
        "not planned, open questions: 1. Answer the yellow cells of job.xlsx, sheet Answers, sign it, run again"
        in first.lines[0]
    )
    before = files(job)
    assert run_job(job).code == 2
    assert files(job) == before  # asked once

    def answer(book: Any) -> None:
        sheet = book["Answers"]
        row = next(row for row in range(1, sheet.max_row + 1) if sheet.cell(row, 1).value == "operation")
        sheet.cell(row, 4).value = "final make-up"
        sheet["B3"].value, sheet["D3"].value = "P. Planner", TODAY

    edit(job / "job.xlsx", answer)
    done = run_job(job)
    assert "night: issue 001: 1 of 1 rows planned, 0 stopped; cards: 1 new, 0 replaced, 0 withdrawn" in done.lines
    used = openpyxl.load_workbook(job / "job.xlsx")["Answers"]
    row = next(row for row in range(1, used.max_row + 1) if used.cell(row, 1).value == "operation")
    assert (used["B3"].value, used.cell(row, 8).value) == (None, f"P. Planner, {TODAY}")
    assert not [line for line in done.lines if "some rows wait" in line]

    def change(book: Any) -> None:
        book["Answers"].cell(row, 4).value = "break"  # under a signature that was used

    edit(job / "job.xlsx", change)
    assert run_job(job).code == 2
    said = [str(cell.value) for line in openpyxl.load_workbook(job / "job.xlsx")["Messages"] for cell in line]
    assert any("is not signed" in text and f"Answers!D{row}" in text for text in said)


def test_who_prints_before_the_release_gets_a_draft(job: Path, printed: Path, tmp_path: Path) -> None:
    stem = sample("joints").stem
    done = write_pack(job / f"issue 001/{stem}-plan.json", tmp_path / "early", WantedParts(("cards", "wrenches")))

    texts = cell_texts(tmp_path / "early" / f"{stem}-cards.xlsx")
    assert "DRAFT, NOT FOR WORK: nobody has released this card. No figure to set stands on it." in texts
    assert any("cards of this plan wait for a release in the job" in line for line in done.issued.without)
    assert not (tmp_path / "early" / f"{stem}-wrench-sheets.xlsx").exists()
    card = cell_texts(printed / f"issue 001/cards/{stem}-cards.xlsx")
    assert any(f"released by R. Engineer, {RELEASED}" in text for text in card)
    assert not any("DRAFT" in text for text in card)


def test_where_no_release_is_asked_the_sheet_job_says_who_decided_that(job: Path) -> None:
    state_of(job, "No release asked, decided by", "S. Manager")

    done = run_job(job)

    assert any("no release is asked, decided by S. Manager" in line for line in done.lines)
    assert (job / "issue 001" / "cards").is_dir()


def cell_texts(path: Path) -> list[str]:
    sheets = openpyxl.load_workbook(path).worksheets[:3]  # what it holds, and two cards
    return [
        str(cell) for sheet in sheets for row in sheet.iter_rows(values_only=True) for cell in row if cell is not None
    ]


def test_several_lists_are_planned_side_by_side_and_released_apart(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    job = tmp_path / "job"
    job.mkdir()
    shutil.copy(sample("wrenches"), job)
    for name in ("north", "south"):
        few_joints(job / f"{name}.xlsx")
    begin(job)
    first = run_job(job)
    (line,) = (line for line in first.lines if "stand in north and in south" in line)
    assert line.endswith("stand in north and in south: each would have two cards; take them out of one of the lists")
    beside_issue(job, 1, by="R. Engineer", on=RELEASED)  # the first of its two rows, that of north

    done = run_job(job)

    assert any("north: issue 001 is released" in line for line in done.lines)
    assert "south: issue 001: 4 cards wait for a release: type name and date in the sheet Issues" in done.lines
    assert (job / "issue 001/north/cards").is_dir()
    assert not (job / "issue 001/south/cards").exists()


@pytest.fixture
def waiting(tmp_path: Path) -> Path:
    """A job of a list of three flanges of which one waits: what does HYD mean?"""
    job = tmp_path / "job"
    job.mkdir()
    shutil.copy(sample("wrenches"), job)
    book = openpyxl.Workbook()
    head = ["Flange No.", "Operation", "Method", "Stud size", "Studs", "Grade", "Lubricant", "Torque (ft-lb)", "Date"]
    book.worksheets[0].append(head)
    for tag, method in (("FL-1", "hydraulic"), ("FL-2", "HYD"), ("FL-3", "hydraulic")):
        book.worksheets[0].append([tag, "final make-up", method, "1 1/8", 12, "A193 B7", "L-20", 731, "2026-10-20"])
    book.save(job / "flanges.xlsx")
    begin(job)

    first = run_job(job)

    assert (
        "flanges: some rows wait: look at the yellow lines of job.xlsx, sheet Answers, sign it, run again"
        in first.lines
    )
    assert read_state(job).issues[-1].planned_rows == 2

    return job


def means(text: str, by: str = "P. Planner") -> Callable[[Any], None]:
    """Answer what HYD means, and sign."""

    def answer(book: Any) -> None:
        sheet = book["Answers"]
        row = next(row for row in range(1, sheet.max_row + 1) if sheet.cell(row, 2).value == "HYD")
        sheet.cell(row, 4).value = text
        sheet["B3"].value, sheet["D3"].value = by, TODAY if by else None

    return answer


def test_what_only_some_rows_leave_open_is_answered_in_the_workbook_of_the_job_too(waiting: Path) -> None:
    edit(waiting / "job.xlsx", means("hydraulic"))

    run_job(waiting)

    assert read_state(waiting).issues[-1].planned_rows == 3


def test_answers_typed_into_a_copy_are_taken_over_and_named_once(waiting: Path) -> None:
    edit(waiting / "issue 001" / "flanges-planned.xlsx", means("hydraulic"))

    done = run_job(waiting)

    assert (
        "flanges: answers typed into issue 001/flanges-planned.xlsx are taken over into job.xlsx, where they belong:"
        " method HYD: hydraulic; 9 as proposed" in done.lines
    )
    assert read_state(waiting).issues[-1].planned_rows == 3
    sheet = openpyxl.load_workbook(waiting / "job.xlsx")["Answers"]
    row = next(row for row in range(1, sheet.max_row + 1) if sheet.cell(row, 2).value == "HYD")
    assert [sheet.cell(row, 4).value, sheet.cell(row, 8).value] == ["hydraulic", f"P. Planner, {TODAY}"]
    before = files(waiting)
    assert run_job(waiting).lines == [
        "flanges: issue 002: 3 cards wait for a release: type name and date in the sheet Issues"
    ]
    assert files(waiting) == before


def test_what_nobody_has_signed_in_a_copy_is_not_taken_over(waiting: Path) -> None:
    edit(waiting / "issue 001" / "flanges-planned.xlsx", means("hydraulic", by=""))

    run_job(waiting)

    assert read_state(waiting).issues[-1].planned_rows == 2


def test_an_answer_in_a_copy_that_contradicts_the_job_is_named_and_not_used(waiting: Path) -> None:
    edit(waiting / "job.xlsx", means("hydraulic"))
    edit(waiting / "issue 001" / "flanges-planned.xlsx", means("hand"))

    done = run_job(waiting)

    (line,) = (line for line in done.lines if "but job.xlsx" in line)
    assert line.startswith("flanges: issue 001/flanges-planned.xlsx, Answers!D")
    assert line.endswith("method HYD 'hand', but job.xlsx says 'hydraulic', which is used")
    assert read_state(waiting).issues[-1].planned_rows == 3


def test_while_the_workbook_of_the_job_is_open_answers_in_a_copy_wait(waiting: Path) -> None:
    edit(waiting / "issue 001" / "flanges-planned.xlsx", means("hydraulic"))
    (waiting / "~$job.xlsx").write_bytes(b"")

    done = run_job(waiting)

    assert any("are taken over by the next run: job.xlsx is open in another program" in line for line in done.lines)
    assert read_state(waiting).issues[-1].planned_rows == 2
    (waiting / "~$job.xlsx").unlink()
    run_job(waiting)
    assert read_state(waiting).issues[-1].planned_rows == 3


def test_what_nobody_has_signed_in_the_answers_does_not_put_the_job_aside(tmp_path: Path) -> None:
    job = tmp_path / "job"
    job.mkdir()
    shutil.copy(sample("wrenches"), job)
    book = openpyxl.Workbook()
    book.worksheets[0].append(["Joint", "Stud", "No. of studs", "Grade", "Torque (ft-lb)", "Lubricant", "Date"])
    book.worksheets[0].append(["K-301 cover", "1 1/8", 12, "A193 B7", 431, "L-20", datetime.date(2026, 10, 20)])
    book.save(job / "night.xlsx")
    begin(job)
    assert run_job(job).code == 2  # operation and method are asked

    def prefill(book: Any) -> None:
        sheet = book["Answers"]
        row = next(row for row in range(1, sheet.max_row + 1) if sheet.cell(row, 1).value == "operation")
        sheet.cell(row, 4).value = "break"  # by nobody

    edit(job / "job.xlsx", prefill)
    state_of(job, "Operation", "final make-up")
    state_of(job, "Method", "hydraulic")
    done = run_job(job)

    assert any("night: issue 001: 1 of 1 rows planned" in line for line in done.lines), done.lines


def test_what_packs_and_plans_can_do_stands_in_the_sheet_job(printed: Path) -> None:
    state_of(printed, "Folders of the pack by", "crew")
    state_of(printed, "Paper", "Letter")

    done = run_job(printed)

    assert any("cards in issue 001/cards" in line for line in done.lines)
    assert list((printed / "issue 001" / "cards").glob("crew*/*cards.xlsx"))
    before = files(printed)
    run_job(printed)
    assert files(printed) == before


def test_cards_of_rows_are_those_of_the_last_issue(printed: Path, planned: Path) -> None:
    plan = read_plan(printed / "issue 001" / f"{sample('joints').stem}-plan.json")
    entry = next(each for each in plan.joints if each.card)
    run, words = CliRunner().invoke, ["--rows", f"{entry.row}-{entry.row}"]
    done = run(main, ["job", str(printed / sample("joints").name), *words])
    assert (done.exit_code, done.output.splitlines()) == (
        0, [f"issue 001, row {entry.row}: 1 card in issue 001/cards of rows"]
    )  # fmt: skip
    book = openpyxl.load_workbook(next((printed / "issue 001" / "cards of rows").glob("*cards.xlsx")))
    texts = {str(cell.value) for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None}
    assert any(entry.card in text for text in texts)
    assert book.sheetnames == [f"{entry.joint} {entry.operation}"]
    for rows, said in (
        ("1", "row 1 of the list: no joint of issue 001 stands there"),
        ("8-x", "'8-x' is no row, like 8"),
        ("9-8", "'9-8' names no rows of a sheet"),
    ):
        wrong = run(main, ["job", str(printed / sample("joints").name), "--rows", rows])
        assert wrong.exit_code == 2
        assert said in wrong.output
    waiting = run(main, ["job", str(planned / sample("joints").name), *words])
    assert waiting.exit_code == 1
    assert "1 of them wait for a release: they are drafts without a figure to set" in waiting.output


def test_a_wrench_that_is_not_used_moves_only_its_joints(printed: Path) -> None:
    plan = read_plan(printed / "issue 001" / f"{sample('joints').stem}-plan.json")
    wrench = next(tool.wrench for entry in plan.joints for tool in entry.tools)
    state_of(printed, "Wrench not used", wrench)
    state_of(printed, "Column to print", "Studs")

    run_job(printed)

    new = read_plan(printed / "issue 002" / f"{sample('joints').stem}-plan.json")
    for old, now in zip(plan.joints, new.joints, strict=True):
        if wrench in [tool.wrench for tool in old.tools]:
            assert wrench not in [tool.wrench for tool in now.tools]
        else:
            assert now.card == old.card
    assert all(entry.carried.get("studs") for entry in new.joints)


@pytest.mark.parametrize(
    ("label", "value", "said"),
    [
        ("Folders of the pack by", "shift", "'shift' is not one of crew, area, date, wrench"),
        (
            "Wrench not used",
            "HW-99",
            "'Wrench not used' in the sheet Job HW-99: the wrench book has no wrench of",
        ),
        ("Second language", "gone.xlsx", "gone.xlsx is not there: nothing is printed"),
        ("Second language", "wrenches", "not printed: "),
    ],
)
def test_settings_that_cannot_be_are_named(printed: Path, label: str, value: str, said: str) -> None:
    state_of(printed, label, sample("wrenches").name if value == "wrenches" else value)

    done = run_job(printed)

    assert any(said in line for line in done.lines), done.lines
    assert done.code


def test_a_record_that_cannot_be_read_is_named_and_the_rest_goes_on(printed: Path) -> None:
    plan = read_plan(printed / "issue 001" / f"{sample('joints').stem}-plan.json")
    done_joint = next(joint for joint in plan.joints if joint.card and joint.operation != "break")
    (printed / "records").mkdir()
    (printed / "records" / "empty.txt").write_text("name: crew A\n")
    key = f"{done_joint.joint}|{done_joint.operation}|{done_joint.card}"
    (printed / "records" / "keys.txt").write_text(f"name: crew A\ndate: {done_joint.date}\n{key}\n")

    done = run_job(printed)

    assert "record not taken: empty.txt: holds no scanned key like TAG|operation|7F3A-91C2" in done.lines
    assert any(": records: 1 agree, 0 to review" in line for line in done.lines)
    assert done.code == 1


def test_records_of_one_list_are_left_to_it(tmp_path: Path) -> None:
    job = tmp_path / "job"
    job.mkdir()
    shutil.copy(sample("wrenches"), job)
    for name, tags in (("north", ("FL-1", "FL-2")), ("south", ("FL-3",))):
        book = openpyxl.Workbook()
        book.worksheets[0].append(
            ["Flange No.", "Operation", "Method", "Stud size", "Studs", "Grade", "Lubricant", "Torque (ft-lb)", "Date"]
        )
        for tag in tags:
            book.worksheets[0].append(
                [tag, "final make-up", "hydraulic", "1 1/8", 12, "A193 B7", "L-20", 431, "2026-10-20"]
            )
        book.save(job / f"{name}.xlsx")
    begin(job)
    run_job(job)
    beside_issue(job, 1, by="R. Engineer", on=RELEASED)  # the first of its two rows, that of north

    def release_south(book: Any) -> None:
        book["Issues"]["M6"].value, book["Issues"]["N6"].value = "S. Engineer", RELEASED

    edit(job / "job.xlsx", release_south)
    run_job(job)
    (joint,) = read_plan(job / "issue 001/south/south-plan.json").joints
    key = f"{joint.joint}|{joint.operation}|{joint.card}"
    (job / "records").mkdir()
    (job / "records" / "monday.txt").write_text(f"name: crew A\ndate: 2026-10-20\n{key}\n")

    done = run_job(job)

    assert "records of 2 lists: 1 agree, 0 to review, 2 open; hand-over/job-hand-over.xlsx" in done.lines
    said = messages(job)
    assert "south records: 1 agree, 0 to review, 0 open" in said
    assert "north records: 0 agree, 0 to review, 2 open" in said
    assert [path.name for path in (job / "hand-over").glob("*.xlsx")] == ["job-hand-over.xlsx"]
    book = openpyxl.load_workbook(job / "hand-over" / "job-hand-over.xlsx")
    cells = [[cell.value for cell in row] for row in book["Joints"].iter_rows()]
    assert {(row[0], row[2]) for row in cells[1:]} == {
        ("FL-1", "north: no area stated"), ("FL-2", "north: no area stated"), ("FL-3", "south: no area stated"),
    }  # fmt: skip
    summary = [str(row[0]) for row in book["Summary"].iter_rows(values_only=True)]
    assert "Progress by list" in summary
    register = {row[1]: row[4] for row in book["Card register"].iter_rows(values_only=True)}
    by = {tag: f"issued, released by {name}, {RELEASED}" for tag, name in (
        ("FL-1", "R. Engineer"), ("FL-2", "R. Engineer"), ("FL-3", "S. Engineer")
    )}  # fmt: skip
    assert {tag: said for tag, said in register.items() if tag in by} == by
    assert [text.split(";")[0] for text in summary if text.startswith("List ")] == [
        "List north.xlsx, sheet Sheet", "List south.xlsx, sheet Sheet"
    ]  # fmt: skip
