"""The commands about lists as a user types them: columns, the sheet of answers, planning with it, planning again."""

import datetime
import shutil
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner, Result
from plain_plan import plain_plan

from addin.cli import main
from addin.reading.answer_sheet import read_answers
from addin.shipped import folder

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"
LIST = folder("samples") / "drigrauvex-joints.xlsx"
KEPT = folder("samples") / "drigrauvex-as-kept.xlsx"
REFUSALS = folder("samples") / "drigrauvex-refusals.xlsx"
FTLB = 0.45359237 * 9.80665 * 0.3048
FLANGES: list[list[Any]] = [
    ["Tank farm"], ["Flange No.", "NPS", "Class", "Torque", "Own"],
    ["FL-1", 8, 600, 500, "x"], ["FL-2", 10, 300, 400, None], ["FL-3", 10, 300, 400, None],
]  # fmt: skip


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


def make(path: Path, lines: list[list[Any]]) -> Path:
    book = openpyxl.Workbook()
    book.worksheets[0].title = "Flanges"
    for line in lines:
        book.worksheets[0].append(line)
    book.save(path)
    return path


@pytest.fixture
def flanges(tmp_path: Path) -> Path:
    """A list without studs, methods or dates, whose torque has no unit."""
    return make(tmp_path / "flanges.xlsx", FLANGES)


@pytest.fixture(scope="module")
def first_run(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of that list, planned once: nothing is, and its sheet of answers is written; and looked at once."""
    home = tmp_path_factory.mktemp("asked")
    path = make(home / "flanges.xlsx", FLANGES)
    assert run("plan", path, "--wrenches", BOOK, "--out", home / "out").exit_code == 2
    assert run("columns", path, "--out", home / "answers.xlsx").exit_code == 1
    return home


@pytest.fixture
def asked(first_run: Path, tmp_path: Path) -> Path:
    """That list, with the sheet of answers beside its first plan, and one beside itself."""
    shutil.copytree(first_run, tmp_path, dirs_exist_ok=True)
    return tmp_path / "flanges.xlsx"


def fill(path: Path, answers: dict[str, tuple[str, object]], signed: bool = True) -> None:
    """Type answers as a planner does: for a line (its heading or fact) the column and what is typed into it."""
    book = openpyxl.load_workbook(path)
    sheet = book["Answers"]
    lines = {}
    for row in range(4, sheet.max_row + 1):
        lines.setdefault(str(sheet.cell(row, 2).value or sheet.cell(row, 1).value), row)
    for about, (column, typed) in answers.items():
        sheet[f"{column}{lines[about]}"] = typed
    if signed:
        sheet["B3"], sheet["D3"] = "R. Planner", datetime.date(2026, 9, 1)
    book.save(path)


ANSWERED = {
    "Torque": ("E", "ft-lb"), "operation": ("D", "final make-up"), "method": ("D", "hydraulic"),
    "date": ("D", datetime.date(2026, 10, 20)), "lubricant": ("D", "L-20"),
    "studs of the standard flange": ("D", "ASME B16.5"),
}  # fmt: skip
KEPT_ANSWERED = {"method": ("D", "hydraulic"), "lubricant": ("D", "L-20")}


def test_from_a_bare_list_to_a_plan_with_the_sheet_of_answers(flanges: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    before = flanges.read_bytes()
    refused = run("plan", flanges, "--wrenches", BOOK, "--out", out)
    assert refused.exit_code == 2
    assert "column D 'Torque': is taken as torque, but no unit of it is known" in refused.output
    assert "whole list: operation stands in no column and is not stated" in refused.output
    assert [path.name for path in out.iterdir() if path.name[0] != "."] == ["flanges-questions.xlsx"]

    sheet = out / "flanges-questions.xlsx"
    fill(sheet, ANSWERED)
    result = run("plan", flanges, "--wrenches", BOOK, "--out", out)
    plan = plain_plan(out / "flanges-plan.json")
    assert result.exit_code in (0, 1)
    first = plan["joints"][0]
    # NPS 8 class 600 has 12 studs of 1 1/8 in (ASME B16.5, from memory)
    assert (first["studs"], first["thread"]) == (12, "1 1/8-8 UN")
    assert first["studs_from"].startswith("standard flange NPS 8 class 600")
    assert plan["date"] == "2026-10-20"
    assert plan["answers"]["whole_list"]["lubricant"] == "L-20"
    assert plan["answers"]["by"] == "R. Planner, 2026-09-01"
    assert flanges.read_bytes() == before


def test_nothing_counts_before_somebody_has_signed(asked: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    fill(out / "flanges-questions.xlsx", ANSWERED, signed=False)
    refused = run("plan", asked, "--wrenches", BOOK, "--out", out)
    assert refused.exit_code == 2
    assert "flanges-questions.xlsx: is not signed: type who looked at it and the date in B3 and D3" in refused.output
    assert not (out / "flanges-plan.json").exists()
    again = openpyxl.load_workbook(out / "flanges-questions.xlsx")["Answers"]
    assert "ft-lb" in [again.cell(row, 5).value for row in range(4, 12)]  # what was typed stays


@pytest.mark.parametrize("command", ["plan", "columns"])
def test_a_sheet_of_answers_that_says_the_same_is_left_as_it_is(command: str, flanges: Path, tmp_path: Path) -> None:
    """Neither written anew nor kept again, however often the list is planned or looked at."""
    out = tmp_path / "out"
    sheet = out / "flanges-questions.xlsx"
    out.mkdir()
    again = {
        "plan": ("plan", flanges, "--wrenches", BOOK, "--out", out),
        "columns": ("columns", flanges, "--out", sheet),
    }
    run(*again[command])
    fill(sheet, ANSWERED, signed=False)
    run(*again[command])  # some choices follow from what was typed
    book = openpyxl.load_workbook(sheet)
    book["Answers"]["B3"] = "R. Planner"  # and no date
    book.save(sheet)
    before, kept = sheet.read_bytes(), sorted(out.glob("kept/*"))
    for _ in range(2):
        run(*again[command])
        assert sheet.read_bytes() == before
        assert sorted(out.glob("kept/*")) == kept


def test_a_sheet_of_answers_that_is_written_anew_is_kept_and_named(asked: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    sheet = out / "flanges-questions.xlsx"
    fill(sheet, {"Torque": ("E", "ft-lb")}, signed=False)
    book = openpyxl.load_workbook(sheet)
    book["Answers"]["K4"] = "a word of the planner's own"
    book.save(sheet)
    typed = sheet.read_bytes()

    result = run("plan", asked, "--wrenches", BOOK, "--out", out)

    (kept,) = (out / "kept").iterdir()
    assert kept.read_bytes() == typed
    assert (
        f"note: flanges-questions.xlsx: what was typed in it stands in the new one too; it is kept as {kept}"
        in result.output
    )


def test_of_sheets_alike_nothing_is_planned_before_one_is_chosen(tmp_path: Path) -> None:
    refused = run("plan", REFUSALS, "--wrenches", BOOK, "--out", tmp_path)
    assert refused.exit_code == 2
    assert (
        "which sheet is planned: 'No unit' and 'Ambiguous unit' look like a joint list too; 'Joints' is the likeliest,"
        " which has the most rows" in refused.output
    )
    assert [path.name for path in tmp_path.glob("[!.]*")] == ["drigrauvex-refusals-questions.xlsx"]


def test_an_option_may_not_contradict_the_answers(asked: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    fill(out / "flanges-questions.xlsx", ANSWERED)
    result = run("plan", asked, "--wrenches", BOOK, "--out", out, "--date", "2026-10-21")
    assert result.exit_code == 2
    assert "flanges-questions.xlsx: date of the whole list differs" in result.output


def test_operation_and_method_may_be_options(flanges: Path, tmp_path: Path) -> None:
    options = ("--operation", "final make-up", "--method", "hand", "--date", "2026-10-20")
    refused = run("plan", flanges, "--wrenches", BOOK, "--out", tmp_path / "out", *options)
    assert refused.exit_code == 2
    assert "open questions: 2." in refused.output  # the unit of the torque, and the standard of the flanges


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"Torque": ("D", "torqe")}, "Answers!D9: 'torqe' is no field; choose one of the list, or 'not used'"),
        ({"Torque": ("E", "psi")}, "Answers!E9: "),
        ({"Flange No.": ("E", "mm")}, "Answers!E6: joint has no unit, got 'mm'"),
        ({"studs of the standard flange": ("D", "perhaps")}, "or write no, got 'perhaps'"),
    ],
)
def test_an_answer_that_cannot_be_understood_is_named_with_its_cell(
    asked: Path, tmp_path: Path, typed: dict[str, tuple[str, object]], words: str
) -> None:
    out = tmp_path / "out"
    fill(out / "flanges-questions.xlsx", ANSWERED | typed)
    refused = run("plan", asked, "--wrenches", BOOK, "--out", out)
    assert refused.exit_code == 2
    assert words in refused.output


def test_a_signed_line_stays_signed_until_somebody_changes_it(asked: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "answers.xlsx"
    fill(sheet, ANSWERED)
    assert run("columns", asked, "--out", sheet).exit_code == 0
    assert read_answers(sheet).by == ""
    assert not read_answers(sheet).unsigned
    fill(sheet, {"Torque": ("E", "N·m")}, signed=False)
    changed = read_answers(sheet)
    assert [each.about[0] for each in changed.columns if not each.by] == ["torque"]
    assert run("columns", asked, "--answers", sheet).exit_code == 1


def test_a_new_column_is_asked_about_and_nothing_else(asked: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "answers.xlsx"
    fill(sheet, {key: value for key, value in ANSWERED.items() if key != "lubricant"})
    head = ["Flange No.", "NPS", "Class", "Torque", "Own", "Lube"]
    make(asked, [["Tank farm"], head, ["FL-1", 8, 600, 500, None, "L-1"], ["FL-2", 10, 300, 400, None, "L-1"]])
    result = run("columns", asked, "--answers", sheet)
    assert result.exit_code == 1
    asked = result.output.split("open, and nothing is planned before it is answered:")[1].strip().splitlines()
    assert len(asked) == 1
    assert "Lube" in asked[0]


def test_answers_of_another_list_only_propose(asked: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "answers.xlsx"
    fill(sheet, ANSWERED)
    head = ["Flange No.", "NPS", "Class", "Torque", "Own"]
    other = make(tmp_path / "other.xlsx", [["Boilers"], head, ["B-1", 8, 600, 500, None], ["B-2", 8, 600, 500, None]])
    result = run("columns", other, "--answers", sheet)
    assert result.exit_code == 1
    assert "no unit of it is known" in result.output
    assert "operation stands in no column" in result.output


def test_a_workbook_that_holds_no_answers_is_not_written_over(flanges: Path, tmp_path: Path) -> None:
    other = make(tmp_path / "notes.xlsx", [["mine"]])
    before = other.read_bytes()
    result = run("columns", flanges, "--out", other)
    assert result.exit_code == 2
    assert "notes.xlsx: holds no sheet of answers" in result.output
    assert other.read_bytes() == before


def test_the_columns_of_the_sample() -> None:
    result = run("columns", LIST)
    assert result.exit_code == 0
    assert "Stress (psi) stress psi sure" in " ".join(result.output.split())
    assert result.output.splitlines()[-1] == "nothing is open"


def test_what_only_stops_its_rows_is_said_apart() -> None:
    result = run("columns", REFUSALS, "--sheet", "Joints")
    assert result.exit_code == 1
    assert "nothing is planned before" not in result.output
    assert (
        "open, and only the rows concerned are stopped:\n"
        "  whole list: thread pitch: no pitch stands with M42 (1 row): the coarse one, or a pitch of 3 mm?"
    ) in result.output


def test_a_list_as_strangers_keep_it_is_asked_once_and_planned_whole(tmp_path: Path) -> None:
    """The sample without columns for operation and method: what is open is answered in its sheet."""
    first = run("plan", KEPT, "--wrenches", BOOK, "--out", tmp_path)
    assert first.exit_code == 2
    assert "whole list: method stands in no column and is not stated" in first.output
    assert "nothing is planned, open questions: 1" in first.output
    fill(tmp_path / "drigrauvex-as-kept-questions.xlsx", KEPT_ANSWERED)
    result = run("plan", KEPT, "--wrenches", BOOK, "--out", tmp_path)
    assert result.exit_code == 0, result.output
    assert "9 rows: 9 planned" in result.output


def test_planning_the_planned_copy_again(tmp_path: Path) -> None:
    one, two = tmp_path / "one", tmp_path / "two"
    run("plan", LIST, "--wrenches", BOOK, "--out", one)
    name = "drigrauvex-joints-planned.xlsx"
    result = run("plan", one / name, "--wrenches", BOOK, "--out", two)
    assert "planned (28 hydraulic, 6 hand)" in result.output
    first, second = (openpyxl.load_workbook(out / name)["Joints"] for out in (one, two))
    assert [[cell.value for cell in row] for row in first.iter_rows()] == [
        [cell.value for cell in row] for row in second.iter_rows()
    ]
    before = (one / name).read_bytes()
    same = run("plan", one / name, "--wrenches", BOOK, "--out", one, "--overwrite")
    assert same.exit_code == 0
    assert ((one / name).read_bytes(), (one / "kept").exists()) == (before, False)  # nothing is new, nothing to keep
    same = run("plan", one / name, "--wrenches", BOOK, "--out", one, "--overwrite", "--rounding", "down")
    assert f"note: {name}: what was typed in it stands in the new one too; it is kept as" in same.output
    assert [path.read_bytes() for path in (one / "kept").iterdir()] == [before]


def test_a_list_that_fills_the_sheet_is_told_where_results_may_stand(tmp_path: Path) -> None:
    head = ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (ft-lb)"]
    path = make(tmp_path / "wide.xlsx", [head, ["P-1", "final make-up", "hydraulic", "1 1/4", 16, 700]])
    book = openpyxl.load_workbook(path)
    book.worksheets[0]["XFD1"], book.worksheets[0]["XFD2"] = "Own", "x"
    book.save(path)
    plan = ("plan", path, "--wrenches", BOOK, "--out", tmp_path / "out", "--date", "2026-10-20")
    where = "tautsheet: wide.xlsx, sheet Flanges: 13 columns of results do not fit to the right of column"
    empty = "for the sheet ends at XFD; name the first of 13 empty columns with --results-at\n"

    assert run(*plan).output == f"{where} XFD, {empty}"
    assert run(*plan, "--results-at", "XES").output == f"{where} XER, {empty}"
    assert not (tmp_path / "out").exists()
    assert run(*plan, "--results-at", "H").exit_code == 0


def test_names_that_begin_like_a_formula_or_an_option(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """They stay texts in everything that is written; a dash is told how to be given."""
    monkeypatch.chdir(tmp_path)
    head = ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (ft-lb)", "Product"]
    book = openpyxl.Workbook()
    book.worksheets[0].append(head)
    for tag in ("=1+1", "-2", "+3", "@4"):
        book.worksheets[0].append([tag, "final make-up", "hydraulic", "1 1/4", 16, 700, "=P"])
    for row in book.worksheets[0].iter_rows():
        for cell in row:
            cell.data_type = "s" if cell.data_type == "f" else cell.data_type
    for name in ("=1+1.xlsx", "-x.xlsx"):
        book.save(name)
    run("columns", "=1+1.xlsx", "--out", "=answers.xlsx")
    assert run("plan", "=1+1.xlsx", "--wrenches", BOOK, "--out", "=out", "--date", "2026-10-20").exit_code == 0
    run("pack", "=out/=1+1-plan.json", "--out", "=out")
    run("record", "=out/=1+1-plan.json", "=out/=1+1-planned.xlsx", "--out", "=out")

    written = [Path("=answers.xlsx"), *Path("=out").glob("*.xlsx")]
    assert len(written) >= 7
    for path in written:
        cells = [cell for sheet in openpyxl.load_workbook(path) for row in sheet.iter_rows() for cell in row]
        assert [cell.value for cell in cells if cell.data_type == "f"] == []

    hint = "No such option '-x'. A file whose name begins with a dash is given as ./-x.xlsx"
    assert hint in run("plan", "-x.xlsx", "--wrenches", BOOK, "--out", "out").output.replace("\\", "/")
    assert run("plan", "./-x.xlsx", "--wrenches", BOOK, "--out", "out", "--date", "2026-10-20").exit_code == 0


def test_a_signature_of_a_day_that_lies_ahead_is_none(asked: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    fill(out / "flanges-questions.xlsx", ANSWERED)
    book = openpyxl.load_workbook(out / "flanges-questions.xlsx")
    book["Answers"]["D3"] = "2099-09-20"
    book.save(out / "flanges-questions.xlsx")
    refused = run("plan", asked, "--wrenches", BOOK, "--out", out)
    assert refused.exit_code == 2
    assert "Answers!D3: 2099-09-20 lies ahead; type the date on which somebody looked at it" in refused.output


def test_files_of_an_earlier_plan_are_named_where_nothing_is_planned(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.worksheets[0].append(["Joint", "Stud size", "Studs", "Torque (ft-lb)", "Date"])
    book.worksheets[0].append(["F-1", "1 1/8", 12, 500, "2026-10-20"])
    book.save(tmp_path / "list.xlsx")
    out = tmp_path / "out"
    whole = ("--operation", "final make-up", "--method", "hydraulic")
    book_of_wrenches = folder("samples") / "drigrauvex-wrenches.xlsx"
    first = run("plan", tmp_path / "list.xlsx", "--wrenches", book_of_wrenches, "--out", out, *whole)
    assert (out / "list-plan.json").is_file(), first.output
    said = f"note: {out}: list-planned.xlsx and list-plan.json stem from an earlier plan, not from this run"
    assert said not in first.output
    again = run("plan", tmp_path / "list.xlsx", "--wrenches", book_of_wrenches, "--out", out)
    assert again.exit_code == 2
    assert said in again.output
