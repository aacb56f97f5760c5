"""The sheet of answers as the last sheet of a planned copy: answered there, read when that copy is planned."""

import datetime
import shutil
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result
from plain_plan import plain_plan

from addin.cli import main
from addin.shipped import folder

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"
HEAD = [
    "Flange No.",
    "Operation",
    "How",
    "Stud size",
    "Studs",
    "Grade",
    "Lubricant",
    "Torque (ft-lb)",
    "Date",
    "Status",
]
ROWS = [["FL-1", "final make-up", "hydraulic", "1 1/8", 12, "A193 B7", "L-20", 731, "2026-10-20", None],
        ["FL-2", "final make-up", "HYD", "1 1/8", 12, "A193 B7", "L-20", 731, "2026-10-20", None],
        ["FL-3", "final make-up", "HYD", "1 1/8", 12, "A193 B7", "L-20", 731, "2026-10-20", None],
        ["FL-4", "final make-up", "hydraulic", "1 1/8", 12, "A193 B7", "L-20", 731, "2026-10-20", "HOLD"]]  # fmt: skip


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


def statuses(path: Path) -> list[str]:
    return [joint["status"] for joint in plain_plan(path)["joints"]]


@pytest.fixture(scope="module")
def first_run(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A list whose values leave something open, with a sheet that looks like ours, and the folder of its first run."""
    tmp_path = tmp_path_factory.mktemp("first")
    book = openpyxl.Workbook()
    for line in [[*HEAD[:2], "Method", *HEAD[3:]], *ROWS]:
        book.worksheets[0].append(line)
    book.worksheets[0]["A1"].font = openpyxl.styles.Font(bold=True, color="FF0000")
    book.create_sheet("Choices").append(["mine"])
    book.save(tmp_path / "flanges.xlsx")
    result = run("plan", tmp_path / "flanges.xlsx", "--wrenches", BOOK, "--out", tmp_path / "out")
    assert result.exit_code == 1, result.output
    assert (
        "left to look at on its last sheet, Answers (1 row waits): answer, sign, close, and plan this copy"
        in result.output
    )
    return tmp_path


@pytest.fixture
def first(first_run: Path, tmp_path: Path) -> Path:
    """The folder of the first run."""
    shutil.copytree(first_run, tmp_path, dirs_exist_ok=True)
    return tmp_path / "out"


def test_only_the_rows_concerned_wait_and_the_rest_is_planned(first: Path) -> None:
    assert statuses(first / "flanges-plan.json") == ["planned", "stopped", "stopped", "stopped"]
    book = openpyxl.load_workbook(first / "flanges-planned.xlsx")
    assert book.sheetnames == ["Sheet", "Choices", "Answers", "Answers, choices", "Answers, joints known"]
    assert [book[name].sheet_state for name in book.sheetnames[2:]] == ["visible", "hidden", "hidden"]
    assert book["Choices"]["A1"].value == "mine"
    lines = [[cell.value for cell in row[:8]] for row in book["Answers"].iter_rows(max_col=8)]
    why = "'HYD' is a code that no legend of the list explains"
    assert ["method", "HYD", "2", None, None, why, "asked", None] in lines
    waits = next(line for line in lines if line[0] == "waits" and line[1] == "FL-4")
    assert waits[5] == "HOLD"
    said = [line[0] for line in lines if line[0]]
    assert any(text.startswith("FL-1 final make-up, as planned: 12 studs 1 1/8-8 UN, torque 731") for text in said)


def test_answers_there_are_read_when_the_copy_is_planned_and_stay(first: Path) -> None:
    answer(first / "flanges-planned.xlsx", {("method", "HYD"): "hydraulic", ("waits", "FL-4"): "yes"})
    again = first.parent / "again"
    result = run("plan", first / "flanges-planned.xlsx", "--wrenches", BOOK, "--out", again)
    assert result.exit_code == 0, result.output
    assert statuses(again / "flanges-plan.json") == ["planned"] * 4
    third = run("plan", again / "flanges-planned.xlsx", "--wrenches", BOOK, "--out", first.parent / "third")
    assert third.exit_code == 0, third.output  # what was answered and freed is still known
    sheet = openpyxl.load_workbook(again / "flanges-planned.xlsx")["Answers"]
    confirmed = [
        row[7].value
        for row in sheet.iter_rows(max_col=8)
        if row[0].value in ("method", "waits") and row[6].value == "confirmed"
    ]
    assert set(confirmed) == {"R. Planner, 2026-09-01"}


def test_unsigned_answers_change_nothing(first: Path) -> None:
    answer(first / "flanges-planned.xlsx", {("method", "HYD"): "hydraulic"}, signed=False)
    run("plan", first / "flanges-planned.xlsx", "--wrenches", BOOK, "--out", first.parent / "again")
    assert statuses(first.parent / "again" / "flanges-plan.json").count("planned") == 1


def test_a_new_export_of_the_list_asks_nothing_again(first: Path) -> None:
    answer(first / "flanges-planned.xlsx", {("method", "HYD"): "hydraulic"})
    run("plan", first / "flanges-planned.xlsx", "--wrenches", BOOK, "--out", first.parent / "again")
    old = first.parent / "again" / "flanges-plan.json"
    result = run(
        "plan", first.parent / "flanges.xlsx", "--wrenches", BOOK, "--out", first.parent / "new", "--since", old
    )
    assert statuses(first.parent / "new" / "flanges-plan.json") == ["planned"] * 3 + ["stopped"], result.output


def answer(path: Path, answers: dict[tuple[str, str], str], *, signed: bool = True) -> None:
    book = openpyxl.load_workbook(path)
    sheet = book["Answers"]
    for row in sheet.iter_rows():
        typed = answers.get((str(row[0].value), str(row[1].value)))
        if typed:
            row[3].value = typed
    if signed:
        sheet["B3"], sheet["D3"] = "R. Planner", datetime.date(2026, 9, 1)
    book.save(path)


@pytest.mark.parametrize("answered", [False, True])
def test_a_copy_with_an_open_operation_is_planned_as_it_stands(tmp_path: Path, answered: bool) -> None:
    book = openpyxl.Workbook()
    for line in [HEAD, *([*row[:1], "BOLT UP" if k else "", "hydraulic", *row[3:-1]] for k, row in enumerate(ROWS))]:
        book.worksheets[0].append(line)
    book.save(tmp_path / "flanges.xlsx")
    assert run("plan", tmp_path / "flanges.xlsx", "--wrenches", BOOK, "--out", tmp_path / "out").exit_code in (1, 2)
    copy = tmp_path / "out" / "flanges-planned.xlsx"
    columns = openpyxl.load_workbook(copy).worksheets[0].iter_cols(values_only=True)
    keys = next(column for column in columns if column[0] == "Joint | operation")
    assert list(keys[1:]) == [f"FL-{k} | operation open" for k in (1, 2, 3, 4)]
    if answered:
        answer(copy, {("operation", "BOLT UP"): "final make-up"})
    result = run("plan", copy, "--wrenches", BOOK, "--out", tmp_path / "again")
    assert "not ours" not in result.output
    assert statuses(tmp_path / "again" / "flanges-plan.json")[1:] == (["planned"] if answered else ["stopped"]) * 3
