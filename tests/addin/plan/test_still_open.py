"""All that a plan would stop for is asked in one round, and the method is proposed by what the book can do."""

import datetime
import re
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result

from addin.cli import main
from addin.shipped import folder
from tests.plain_plan import plain_plan
from tests.small_plans import bare_list as make

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"


def run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


def lines_of(sheet: Path) -> dict[str, tuple[str, str, str]]:
    """What each line of a sheet of answers is about -> answer, why, state."""
    page = openpyxl.load_workbook(sheet)["Answers"]
    found = {}
    for row in page.iter_rows(min_row=5, max_col=8):
        texts = [str(cell.value or "") for cell in row]
        about = " ".join(filter(None, texts[:2])) if not re.fullmatch("[A-Z]{1,2}", texts[0]) else texts[1]
        found[about] = (texts[3], texts[5], texts[6])
    return found


def fill(path: Path, answers: dict[str, object]) -> None:
    book = openpyxl.load_workbook(path)
    page = book["Answers"]
    for row in range(5, page.max_row + 1):
        about = " ".join(str(page.cell(row, k).value) for k in (1, 2) if page.cell(row, k).value)
        if about in answers:
            page.cell(row, 4).value = answers[about]
    page["B3"], page["D3"] = "R. Planner", datetime.date(2026, 9, 1)
    book.save(path)


HEAD = ["Joint No.", "Qty", "Stud size", "Grade", "Stress (psi)", "Stress area"]


@pytest.fixture
def bare(tmp_path: Path) -> Path:
    """Every row wants a date, a lubricant, a method and an operation; two rows have a grade of several classes."""
    rows: list[list[object]] = [[f"V-{i} N1", 12, "1 1/8", "A193 B7", 40000, "tensile"] for i in range(4)]
    rows += [[f"V-{i} N2", 12, "1 1/8", "B8M", 20000, "tensile"] for i in range(2)]
    return make(tmp_path / "bare.xlsx", HEAD, *rows)


def test_everything_is_asked_in_one_round(bare: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    plan = ("plan", bare, "--wrenches", BOOK, "--out", out, "--overwrite")
    asked = run(*plan)
    assert asked.exit_code == 2
    for said in (
        "whole list: operation stands in no column and is not stated",
        "whole list: method stands in no column and is not stated",
        "whole list: date: 6 of 6 rows without the day of the job; certificates are looked at on that day",
        "whole list: lubricant: 6 of 6 rows whose preload cannot be turned into torque: no lubricant or friction is"
        " stated",
    ):
        assert said in asked.output
    sheet = out / "bare-questions.xlsx"
    lines = lines_of(sheet)
    assert lines["grade B8M"][1:] == (
        "grade 'B8M' has several classes; write A193 B8M class 1, A193 B8M class 2, A193 B8M class 2B or"
        " A193 B8M class 2C", "asked"
    )  # fmt: skip
    fill(sheet, {"operation": "final make-up", "method": "hydraulic", "date": datetime.date(2026, 10, 20),
                 "lubricant": "L-20", "grade B8M": "A193 B8M class 2"})  # fmt: skip
    done = run(*plan)
    assert "is missing" not in done.output
    assert "has several classes" not in done.output
    joints = plain_plan(out / "bare-plan.json")["joints"]
    assert {each["grade"] for each in joints} == {"A193 B7", "A193 B8M class 2"}
    assert {each["status"] for each in joints} == {"planned"}


def test_a_date_that_is_stated_is_not_asked(bare: Path, tmp_path: Path) -> None:
    asked = run("plan", bare, "--wrenches", BOOK, "--out", tmp_path / "out", "--date", "2026-10-20")
    assert asked.exit_code == 2
    assert "the day of the job" not in asked.output


def test_a_lubricant_that_the_book_does_not_have_is_told_once(tmp_path: Path) -> None:
    head = [*HEAD, "Lubricant", "Operation", "Method", "Date"]
    day = datetime.date(2026, 10, 20)
    rows: list[list[object]] = [
        [f"V-{i}", 12, "1 1/8", "A193 B7", 40000, "tensile", "copper", "final make-up", "hydraulic", day]
        for i in range(4)
    ]
    out = tmp_path / "out"
    path = make(tmp_path / "list.xlsx", head, *rows)
    first = run("plan", path, "--wrenches", BOOK, "--out", out)
    assert first.exit_code == 1  # its rows wait; the question stands behind the planned copy
    copy = out / "list-planned.xlsx"
    answer, why, state = lines_of(copy)["lubricant copper"]
    assert (answer, state) == ("", "asked")
    assert why == "is not in the lubricant table of the book: which of its products is it?"
    fill(copy, {"lubricant copper": "L-20"})
    run("plan", copy, "--wrenches", BOOK, "--out", out, "--overwrite")
    assert {each["status"] for each in plain_plan(out / "list-plan.json")["joints"]} == {"planned"}


def test_a_lubricant_of_the_book_that_a_note_names_is_proposed(tmp_path: Path) -> None:
    rows: list[list[object]] = [[f"V-{i}", 12, "1 1/8", "A193 B7", 40000, "tensile"] for i in range(4)]
    path, out = tmp_path / "list.xlsx", tmp_path / "out"
    book = openpyxl.Workbook()
    for line in (["Register"], [None, "All studs B7 / nuts 2H. Moly paste L-20 on threads and faces."], HEAD, *rows):
        book.active.append(line)
    book.save(path)
    asked = run("plan", path, "--wrenches", BOOK, "--out", out, "--date", "2026-10-20")
    note = "All studs B7 / nuts 2H. Moly paste L-20 on threads and faces."
    said = f"it is a lubricant of the wrench book, and the list says '{note}'"
    assert f"whole list: lubricant: {said}" in asked.output
    assert lines_of(out / "list-questions.xlsx")["lubricant"] == ("L-20", said, "proposed")
    assert "proposed is 'hydraulic' (4 of 4 rows: a hydraulic wrench of the book covers the torque)" in asked.output
    fill(out / "list-questions.xlsx", {"operation": "final make-up"})
    run("plan", path, "--wrenches", BOOK, "--out", out, "--date", "2026-10-20")
    joints = plain_plan(out / "list-plan.json")["joints"]
    assert {(each["status"], each["target"]["friction"]["lubricant"]) for each in joints} == {("planned", "L-20")}


def test_a_lubricant_of_the_notes_is_told_by_the_book_and_stays_told(tmp_path: Path) -> None:
    rows: list[list[object]] = [[f"V-{i}", 12, "1 1/8", "A193 B7", 40000, "tensile"] for i in range(4)]
    path, out = tmp_path / "list.xlsx", tmp_path / "out"
    book = openpyxl.Workbook()
    for line in (["Register, moly paste L-20 on threads and faces"], [], HEAD, *rows):
        book.active.append(line)
    book.save(path)
    plan = ("plan", path, "--wrenches", BOOK, "--out", out, "--date", "2026-10-20", "--overwrite")
    run(*plan)
    lines = lines_of(out / "list-questions.xlsx")
    assert lines["lubricant moly paste L-20"] == ("L-20", "the book has 'L-20': is it that one?", "proposed")
    fill(out / "list-questions.xlsx", {"operation": "final make-up", "method": "hydraulic"})
    done = run(*plan)
    assert "is not in the site's table" not in done.output
    joints = plain_plan(out / "list-plan.json")["joints"]
    assert {(each["status"], each["target"]["friction"]["lubricant"]) for each in joints} == {("planned", "L-20")}


def test_an_accepted_list_is_a_draft_with_the_methods_of_the_book(tmp_path: Path) -> None:
    head = ["Joint No.", "Operation", "Qty", "Stud size", "Grade", "Torque (ft-lb)", "Date"]
    day = datetime.date(2026, 10, 20)
    rows: list[list[object]] = [[f"V-{i}", "final make-up", 12, "1 1/8", "B7", 500, day] for i in range(4)]
    path, out = make(tmp_path / "list.xlsx", head, *rows), tmp_path / "out"
    done = run("plan", path, "--wrenches", BOOK, "--out", out, "--accept", "--pack")
    assert done.exit_code == 1
    assert "DRAFT not confirmed by anybody: the method hydraulic" in done.output
    assert {each["method"] for each in plain_plan(out / "list-plan.json")["joints"]} == {"hydraulic"}


def test_the_method_is_proposed_row_by_row_by_what_the_book_can_do(tmp_path: Path) -> None:
    """Hydraulic wrenches of the sample begin far above 45 lbf·ft; a hand torque wrench of 20 to 400 N·m is added."""
    book = openpyxl.load_workbook(BOOK)
    sheet = book.create_sheet("Hand torque wrenches")
    sheet.append(["Hand torque wrench", "From (N·m)", "To (N·m)", "Valid until"])
    sheet.append(["HT-1", 20, 400, datetime.date(2027, 3, 1)])
    book.save(tmp_path / "book.xlsx")
    head = ["Joint No.", "Operation", "Qty", "Stud size", "Grade", "Torque (ft-lb)", "Date"]
    day = datetime.date(2026, 10, 20)
    rows: list[list[object]] = [[f"V-{i}", "final make-up", 12, "1 1/8", "B7", 500, day] for i in range(4)]
    rows += [["P-1", "final make-up", 4, "1/2", "B7", 45, day], ["P-2", "final make-up", 4, "1/2", "B7", 3, day]]
    path, out = make(tmp_path / "list.xlsx", head, *rows), tmp_path / "out"
    asked = run("plan", path, "--wrenches", tmp_path / "book.xlsx", "--out", out)
    assert asked.exit_code == 2
    why = (
        "4 of 6 rows: a hydraulic wrench of the book covers the torque; 1 of 6 rows: only a hand torque wrench does;"
        " no tool of the book covers the torque, or it is not known yet: rows 7"
    )
    assert f"method stands in no column and is not stated; proposed is 'by the book' ({why})" in asked.output
    sheet = out / "list-questions.xlsx"
    assert lines_of(sheet)["method"] == ("by the book", why, "proposed")
    fill(sheet, {})
    done = run("plan", path, "--wrenches", tmp_path / "book.xlsx", "--out", out)
    joints = plain_plan(out / "list-plan.json")["joints"]
    assert [each["method"] for each in joints] == ["hydraulic"] * 4 + ["hand", "hydraulic"]
    assert "is missing (empty cell)" not in done.output
    assert (
        "STOP Sheet!F7 P-2 final make-up: torque 3 lbf·ft is below 3.68781 lbf·ft; if kN·m is meant, write '3 kN·m'\n"
        in done.output
    )


def test_what_all_rows_lack_is_said_before_anything_else(tmp_path: Path) -> None:
    head = ["Joint No.", "Stud size", "Grade", "Torque (ft-lb)"]
    rows: list[list[object]] = [[f"V-{i}", "1 1/8", "A193 B7", 500] for i in range(4)]
    asked = run("plan", make(tmp_path / "list.xlsx", head, *rows), "--wrenches", BOOK, "--out", tmp_path / "out")
    assert asked.exit_code == 2
    assert (
        "whole list: studs: 4 of 4 rows without it: give the list a column, or state here what all rows have"
        in asked.output
    )


def test_a_break_row_has_the_method_of_its_joint_and_a_held_row_one_of_its_own(tmp_path: Path) -> None:
    head = ["Joint No.", "Operation", "Qty", "Stud size", "Grade", "Torque (ft-lb)", "Date", "Status"]
    day = datetime.date(2026, 10, 20)
    rows: list[list[object]] = [[f"V-{i}", "final make-up", 12, "1 1/8", "B7", 500, day, None] for i in range(4)]
    rows += [["V-1", "break", 12, "1 1/8", "B7", None, day, None]]
    rows += [["V-9", "final make-up", 12, "1 1/8", "B7", 500, day, "HOLD"]]
    path, out = make(tmp_path / "list.xlsx", head, *rows), tmp_path / "out"
    run("plan", path, "--wrenches", BOOK, "--out", out)
    book = openpyxl.load_workbook(out / "list-questions.xlsx")
    line = next(row for row in range(5, 40) if book["Answers"].cell(row, 1).value == "method")
    assert book["Answers"].cell(line, 4).value == "hydraulic"
    book["Answers"].cell(line, 4).value = "by the book"
    book.save(out / "list-questions.xlsx")
    fill(out / "list-questions.xlsx", {})
    done = run("plan", path, "--wrenches", BOOK, "--out", out)
    assert [each["method"] for each in plain_plan(out / "list-plan.json")["joints"]] == ["hydraulic"] * 6
    assert "method is missing" not in done.output


def test_a_nut_series_of_the_list_is_one_of_its_metric_nuts(tmp_path: Path) -> None:
    """A series of metric nuts says nothing of the inch studs of the same list."""
    head = ["Joint No.", "Operation", "Method", "Qty", "Stud size", "Grade", "Torque (ft-lb)", "Date"]
    day = datetime.date(2026, 10, 20)
    rows: list[list[object]] = [
        ["V-1", "final make-up", "hydraulic", 12, "1 1/8", "B7", 500, day],
        ["V-2", "final make-up", "hydraulic", 12, "M30x3.5", "8.8", 500, day],
    ]
    path, out = make(tmp_path / "list.xlsx", head, *rows), tmp_path / "out"
    run("plan", path, "--wrenches", BOOK, "--out", out)
    copy = out / "list-planned.xlsx"
    assert lines_of(copy)["nut series"][1] == "1 of 2 rows (3) with metric nuts, whose width depends on their series"
    fill(copy, {"nut series": "ISO 4032"})
    run("plan", copy, "--wrenches", BOOK, "--out", out, "--overwrite")
    texts = [each["text"] for joint in plain_plan(out / "list-plan.json")["joints"] for each in joint["findings"]]
    assert not [text for text in texts if "nut series" in text]


def test_a_column_of_which_no_word_is_an_order_is_asked_about(tmp_path: Path) -> None:
    head = ["Joint No.", "Operation", "Method", "Qty", "Stud size", "Grade", "Torque (ft-lb)", "Date", "Sequence"]
    day = datetime.date(2026, 10, 20)
    rows: list[list[object]] = [
        [f"V-{i}", "final make-up", "hydraulic", 12, "1 1/8", "B7", 500, day, f"SQ-{i}"] for i in range(3)
    ]
    path, out = make(tmp_path / "list.xlsx", head, *rows), tmp_path / "out"
    asked = run("plan", path, "--wrenches", BOOK, "--out", out)
    assert "but no word of it is an order of studs: not used, and the usual cross order is taken?" in asked.output
    fill(out / "list-questions.xlsx", {})
    run("plan", path, "--wrenches", BOOK, "--out", out)
    assert {each["status"] for each in plain_plan(out / "list-plan.json")["joints"]} == {"planned"}


def test_targets_of_two_kinds_in_every_row_are_asked_before_anything_stops(tmp_path: Path) -> None:
    head = ["Joint No.", "Operation", "Method", "Qty", "Stud size", "Grade", "Stress (MPa)", "Stress area",
            "Target gasket stress (MPa)", "K", "Date"]  # fmt: skip
    day = datetime.date(2026, 10, 20)
    rows: list[list[object]] = [
        [f"V-{i}", "final make-up", "hydraulic", 12, "1 1/8", "B7", 250, "tensile", 70, 0.15, day] for i in range(3)
    ]
    asked = run("plan", make(tmp_path / "l.xlsx", head, *rows), "--wrenches", BOOK, "--out", tmp_path / "out")
    assert asked.exit_code == 2
    assert "3 of 3 rows have 'Target gasket stress (MPa)' too: one governs, the other is not used" in asked.output


# --- studs of a standard that somebody names --------------------------------------------------------------------------


FLANGES = ["Joint No.", "NPS", "Class", "Facing", "Grade", "Torque (ft-lb)", "Operation", "Method", "Date", "Remarks"]


def flanges(path: Path, *rows: tuple[object, ...]) -> Path:
    day = datetime.date(2026, 10, 20)
    lines: list[list[object]] = [
        [f"F-{i}", size, rating, facing, "A193 B7", 430, "final make-up", "hydraulic", day, remark]
        for i, (size, rating, facing, remark) in enumerate(rows, 1)
    ]
    return make(path, FLANGES, *lines)


def planned_by(standard: str, path: Path, out: Path) -> list[dict[str, object]]:
    plan = ("plan", path, "--wrenches", BOOK, "--out", out, "--overwrite", "--pack")
    run(*plan)
    sheet = next(each for each in (out / "list-questions.xlsx", out / "list-planned.xlsx") if each.exists())
    fill(sheet, {"studs of the standard flange": standard})
    run("plan", sheet if "planned" in sheet.name else path, *plan[2:])
    return plain_plan(out / "list-plan.json")["joints"]


def test_the_standard_is_named_by_the_planner(tmp_path: Path) -> None:
    """NPS 8 class 600: 12 studs of 1 1/8 in, 7 1/2 in long (ASME B16.5, read in a copy)."""
    path, out = flanges(tmp_path / "list.xlsx", (8, 600, "RF", None), (8, 600, None, None)), tmp_path / "out"
    asked = run("plan", path, "--wrenches", BOOK, "--out", out)
    assert asked.exit_code == 2
    assert (
        "whole list: studs of the standard flange: 2 of 2 rows without thread and stud count, whose size and class may"
        " name a standard flange: name the standard, or no"
    ) in asked.output
    first, second = planned_by("ASME B16.5", path, out)
    assert [(each["studs"], each["thread"]) for each in (first, second)] == [(12, "1 1/8-8 UN")] * 2
    assert (first["length"], second.get("length")) == ("7.5 in, from the standard", None)  # no facing, no length
    said = "studs from the standard, not from the list: count and measure first: 12 x 1 1/8-8 UN of the flange NPS 8"
    assert any(each["text"].startswith(f"{said} class 600") for each in first["findings"])
    cards = openpyxl.load_workbook(out / "list-cards.xlsx").worksheets
    assert any("studs from the standard, not from the list: count and measure first" in str(cell.value)
               for card in cards for row in card.iter_rows() for cell in row)  # fmt: skip


@pytest.mark.parametrize(
    ("remark", "word"), [("exchanger channel", "exchanger"), ("orifice flange", "orifice"), ("valve bonnet", "bonnet"),
                         ("24in manway", "manway"), ("wafer valve", "wafer"), ("wellhead", "wellhead")],
)  # fmt: skip
def test_only_plain_pairs_have_the_studs_of_the_standard(remark: str, word: str, tmp_path: Path) -> None:
    path = flanges(tmp_path / "list.xlsx", (8, 600, "RF", None), (8, 600, "RF", remark))
    first, second = planned_by("ASME B16.5", path, tmp_path / "out")
    assert (first["status"], second["status"]) == ("planned", "stopped")
    assert [each["text"] for each in second["findings"] if each["level"] == "stop"] == [
        f"'{word}' stands in the row: studs are taken from the standard for plain pairs of pipe flanges only;"
        " give thread and count"
    ]


def test_a_row_from_memory_supplies_no_studs(tmp_path: Path) -> None:
    path = flanges(tmp_path / "list.xlsx", (36, 150, "RF", None), (8, 600, "RF", None))
    _, second = planned_by("ASME B16.5 and B16.47 series B", path, tmp_path / "out")
    first, _ = plain_plan(tmp_path / "out" / "list-plan.json")["joints"]
    assert first["status"] == "stopped"
    assert [each["text"] for each in first["findings"] if each["level"] == "stop"] == [
        "the studs of NPS 36 class 150 series B are known from memory only (ASME B16.47 series B), and none are"
        " taken from there; give thread and count"
    ]
    assert second["studs"] == 12


def test_a_flange_of_another_standard_has_no_studs_of_this_one(tmp_path: Path) -> None:
    """EN 1092-1 is known from memory only; a DN and PN are none of ASME B16.5."""
    path = flanges(tmp_path / "list.xlsx", ("DN 200", "PN 40", None, None), (8, 600, "RF", None))
    first, _ = planned_by("ASME B16.5", path, tmp_path / "out")
    assert [each["text"] for each in first["findings"] if each["level"] == "stop"] == [
        "rating 'PN 40' is none of ASME B16.5, which the sheet of answers names; give thread and count"
    ]


def test_large_flanges_of_the_series_that_is_named(tmp_path: Path) -> None:
    """NPS 36 class 150 series A: 32 studs of 1 1/2 in (ASME B16.47, read in a copy)."""
    path = flanges(tmp_path / "list.xlsx", (36, 150, "RF", None), (8, 600, "RF", None))
    first, second = planned_by("B16.5 and B16.47 series A", path, tmp_path / "out")
    assert (first["studs"], first["thread"]) == (32, "1 1/2-8 UN")
    assert second["studs"] == 12


def test_the_answer_no_is_not_asked_again(tmp_path: Path) -> None:
    path = flanges(tmp_path / "list.xlsx", (8, 600, "RF", None))
    out = tmp_path / "out"
    run("plan", path, "--wrenches", BOOK, "--out", out)
    fill(out / "list-questions.xlsx", {"studs of the standard flange": "no"})
    done = run("plan", path, "--wrenches", BOOK, "--out", out)
    assert "name the standard" not in done.output


def test_only_words_that_stop_rows_of_the_plan_are_asked(tmp_path: Path) -> None:
    """One of fourteen grades is unlike the others, which is a caution; 8.8 is known, but not at M42; a joint that is
    held has a grade nobody knows, and so has one that is planned: that one is asked.
    """
    head = ["Joint No.", "Operation", "Method", "Qty", "Stud size", "Grade", "Torque (ft-lb)", "Date", "Status"]
    day = datetime.date(2026, 10, 20)
    rows: list[list[object]] = [
        [f"V-{i}", "final make-up", "hand", 12, "1 1/8-8 UN", "A193 B7", 500, day, None] for i in range(14)
    ]
    rows[4][5] = "A193 B16"
    rows += [["V-20", "final make-up", "hand", 12, "1 1/8-8 UN", "Alloy Q", 500, day, "HOLD"],
             ["V-21", "final make-up", "hand", 12, "1 1/8-8 UN", "Alloy Z", 500, day, None],
             ["V-22", "final make-up", "hand", 12, "M42x4.5", "8.8", 500, day, None]]  # fmt: skip
    out = tmp_path / "out"
    done = run("plan", make(tmp_path / "list.xlsx", head, *rows), "--wrenches", BOOK, "--out", out)

    assert "grade A193 B16 is unlike that of 13 of 14 joints of this list" in done.output
    assert "V-22 final make-up: ISO 898-1 8.8 states no yield for a diameter of " in done.output
    asked = [about for about in lines_of(out / "list-planned.xlsx") if about.startswith(("grade", "stud size"))]
    assert asked == ["grade Alloy Z"]
