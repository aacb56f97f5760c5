"""The record sheets of a pack: filled by the program, typed by exception, read back."""

import datetime
import shutil
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner, Result
from sample_plans import planned_sample

from addin.cli import main
from addin.plan.file import Plan, read_plan
from addin.plan.record import plan_id
from addin.records.record_fields import BY_NAME, FIELDS, HEADINGS
from addin.shipped import folder, template
from calc.review.as_tightened import AGREES, OPEN, REVIEW, TO_COMPLETE

SAMPLES = folder("samples")
LIST, BOOK = (SAMPLES / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches"))
MAKE = "final make-up"
NAME, DAY = "A. Crew", datetime.date(2026, 10, 8)


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


@pytest.fixture(scope="module")
def plan_file(shared: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return planned_sample(shared, tmp_path_factory.mktemp("plan"), "--breakout-factor", 1.5)


@pytest.fixture(scope="module")
def plan(plan_file: Path) -> Plan:
    return read_plan(plan_file)


@pytest.fixture(scope="module")
def printed(plan_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("pack")
    result = run("pack", plan_file, "--out", out, "--only", "record")
    assert result.exit_code == 0, result.output
    return out / "drigrauvex-joints-record-sheets.xlsx"


@pytest.fixture
def sheets(printed: Path, tmp_path: Path) -> Path:
    return shutil.copy(printed, tmp_path / printed.name)


def head_of(page: Any) -> tuple[int, dict[str, int]]:
    """The row of the headings, and columns by heading."""
    row = next(r for r in range(1, 20) if page.cell(r, 1).value == "Joint")
    return row, {page.cell(row, c).value: c for c in range(1, page.max_column + 1)}


def filled(page: Any) -> list[dict[str, Any]]:
    row, names = head_of(page)
    found = [{name: page.cell(r, c).value for name, c in names.items()} for r in range(row + 1, page.max_row + 1)]
    return [each for each in found if each["Joint"]]


def type_into(path: Path, tag: str, name: str | None = NAME, day: datetime.date | None = DAY, **cells: Any) -> int:
    """Type into the row of a joint, and name and day at the head of its sheet; the count of cells typed in the row."""
    type_all(path, {tag: (name, day, cells)})
    return len(cells)


def type_all(path: Path, typed: dict[str, tuple[str | None, datetime.date | None, dict[str, Any]]]) -> None:
    """The same of several joints."""
    book = openpyxl.load_workbook(path)
    for page in book.worksheets:
        if page.title == "Scans":
            continue
        row, names = head_of(page)
        for number in range(row + 1, page.max_row + 1):
            tag = page.cell(number, 1).value
            if tag in typed and page.cell(number, 2).value == MAKE:
                name, day, cells = typed[tag]
                labels = {page.cell(r, 1).value: r for r in range(1, row)}
                page.cell(labels["Done by"], 2).value, page.cell(labels["Date"], 2).value = name, day
                for field, value in cells.items():
                    page.cell(number, names[HEADINGS[field]]).value = value
    book.save(path)


def recorded(plan_file: Path, records: Path, out: Path) -> tuple[Result, dict[tuple[str, str], str]]:
    result = run("record", plan_file, records, "--out", out / "handed", "--overwrite")
    page = openpyxl.load_workbook(out / "handed" / "drigrauvex-joints-hand-over.xlsx", read_only=True)["Joints"]
    rows = list(page.iter_rows(values_only=True))
    at = rows[0].index("Status")
    return result, {(row[0], row[1]): row[at] for row in rows[1:]}


def test_a_row_for_every_card_with_what_is_planned_and_nothing_recorded(sheets: Path, plan: Plan) -> None:
    book = openpyxl.load_workbook(sheets)
    rows = [row for page in book.worksheets if page.title != "Scans" for row in filled(page)]

    assert {(row["Joint"], row["Operation"], row[HEADINGS["card"]]) for row in rows} == {
        (joint.joint, joint.operation, joint.card) for joint in plan.joints if joint.card
    }
    made_up = next(row for row in rows if (row["Joint"], row["Operation"]) == ("V-1101-N1", MAKE))
    joint = next(each for each in plan.joints if (each.joint, each.operation) == ("V-1101-N1", MAKE))
    assert joint.setpoint
    assert joint.torque
    assert made_up["Planned pressure"] == f"{joint.setpoint.value:g} {joint.setpoint.unit}"
    assert made_up["Planned torque"] == f"{round(joint.torque.value)} {joint.torque.unit}"
    assert made_up["Planned wrench"] == "HW-1"
    broken = next(row for row in rows if row["Operation"] == "break")
    assert broken["Planned pressure"] == "up to 6250 psi"
    empty = [field.heading for field in FIELDS if field.name != "card"]
    assert not [row[heading] for row in rows for heading in empty if row[heading] is not None]


def test_one_sheet_for_a_crews_day_with_the_plan_and_blank_name_and_day(sheets: Path, plan: Plan) -> None:
    book = openpyxl.load_workbook(sheets)

    days = {joint.date for joint in plan.joints if joint.card}
    assert {page.title for page in book.worksheets} == {*days, "Scans"}
    for page in book.worksheets:
        labels = {page.cell(row, 1).value: page.cell(row, 2).value for row in range(1, 8)}
        assert labels["Record of plan"].startswith(plan_id(plan.head.checksum))
        assert (labels["Done by"], labels["Date"]) == (None, None)
    page = book["2026-10-08"]
    rules = {str(rule.sqref).split(":")[0][0:1]: rule.formula1 for rule in page.data_validations.dataValidation}
    assert '"as planned,differs,open"' in rules.values()


def test_every_box_of_the_cards_has_its_column() -> None:
    """The words that stand beside boxes on the shipped cards, and the field that takes each."""
    boxes = {
        "flange gap": "gap", "before the first pass": "gap_before", "done by": "by", "day, time": "date",
        "witness or hold:\nname, signature": "witness", "{{reached heading}}": "pressure",
        "stud": "studs_left", "wrench": "wrench",
        "link or socket": "link", "pump": "pump", "gauge": "gauge", "other: name, number, certificate": "tool_number",
        "Lubricant": "lubricant", "batch": "batch", "permit": "permit", "work order": "work_order",
        "studs: number, length": "studs_found", "size and thread": "size_found", "grade, marking": "grade_found",
        "other; call first": "other_found", "Tightened by": "by", "qualification": "qualification",
        "signature": "signature", "Witness": "witness", "Hold points": "hold", "Remarks": "remarks",
        "Leak check after": "leak_check", "Engineer, closed": "engineer", "Authority: document and limits": "authority",
        "Zero energy proven": "isolation", "nuts that turned": "nuts_turned", "Gap opened, joint free": "opened",
        "Studs kept or scrapped": "studs_kept",
    }  # fmt: skip
    said = set()
    for name in ("joint card", "break-out card", "retightening card"):
        for page in openpyxl.load_workbook(template(name)).worksheets:
            said |= {str(cell.value) for row in page.iter_rows() for cell in row if cell.value is not None}
    for words, field in boxes.items():
        assert any(words in text for text in said), f"no card has a box '{words}' any more"
        assert field in BY_NAME, words


def test_one_word_a_joint_and_a_name_and_a_day_once_make_it_agree(
    sheets: Path, plan_file: Path, tmp_path: Path
) -> None:
    assert type_into(sheets, "V-1101-N1", done="as planned") == 1

    result, status = recorded(plan_file, sheets, tmp_path)

    assert not [line for line in result.output.splitlines() if line.startswith("NOT READ")]
    assert status["V-1101-N1", MAKE] == AGREES
    assert status["V-1101-N2", MAKE] == OPEN  # a joint of the same sheet without a word is not done


def test_without_a_name_or_a_day_a_joint_is_to_be_completed(sheets: Path, plan_file: Path, tmp_path: Path) -> None:
    """Joints of two days: each has its sheet with name and day of its own."""
    done = {"done": "as planned"}
    type_all(sheets, {"V-1101-N1": (None, DAY, done), "V-1901-N1": (NAME, None, done)})

    result, status = recorded(plan_file, sheets, tmp_path)

    for tag, said in (
        ("V-1101-N1", "who did it is not stated"),
        ("V-1901-N1", "day not stated, so certificates cannot be checked"),
    ):
        assert status[tag, MAKE] == TO_COMPLETE
        assert f"COMPLETE {tag} {MAKE}: passes 1, 2, 3, 4 and 5: {said}" in result.output
    assert result.exit_code == 1


RED = {
    "V-1101-N1": ({"pressure": 9900, "pressure_unit": "psi"},
                  "passes 3, 4 and 5: 1138 lbf·ft is above the limit of 2 in socket, 1120 lbf·ft"),
    "V-1101-N2": ({"wrench": "HW-99"},
                  "passes 1, 2, 3, 4 and 5: wrench 'HW-99' is not in the wrench book: torque not known"),
    "E-1205-FH": ({"studs_left": "7, 12"}, "studs without a tick: 7, 12"),
    "T-1401-HF": ({"other_found": "flange face scored"}, "found otherwise than on the card: flange face scored"),
    "V-1901-N1": ({"pump": "P-77"}, "pump 'P-77' instead of P-2: its rating was not looked at"),
    "V-1901-N3": ({"tool_number": "ZZ-1"}, "number 'ZZ-1' is that of no tool of the wrench book"),
    "C-1301-SUC": ({"studs_found": 16}, "studs found 16, planned 20: the card does not hold for it"),
    "V-1302-MH": ({"card": "1111-2222"}, "done on card 1111-2222; this plan's card is"),
}  # fmt: skip
"""What is typed beside 'as planned' in the row of a joint, and what it is to be reviewed for: for that alone."""


def test_nothing_red_is_shown_as_green(sheets: Path, plan_file: Path, tmp_path: Path) -> None:
    type_all(sheets, {tag: (NAME, DAY, {"done": "as planned"} | cells) for tag, (cells, _) in RED.items()})

    result, status = recorded(plan_file, sheets, tmp_path)

    for tag, (cells, said) in RED.items():
        assert status[tag, MAKE] == REVIEW, tag
        start = f"REVIEW {tag} {MAKE}: "
        lines = [line.removeprefix(start) for line in result.output.splitlines() if line.startswith(start)]
        assert lines[0].startswith(said), (tag, lines)
        assert len(lines) == (2 if "pressure" in cells else 1), (tag, lines)  # it is off the planned torque too
    assert result.exit_code == 1


def test_two_rows_that_contradict_each_other(sheets: Path, plan_file: Path, tmp_path: Path) -> None:
    type_into(sheets, "V-1101-N1", done="as planned")
    other = tmp_path / "other.xlsx"
    other.write_bytes(sheets.read_bytes())
    type_into(other, "V-1101-N1", done="as planned", by="B. Crew")

    result = run("record", plan_file, sheets, other, "--out", tmp_path / "handed")

    assert f"REVIEW V-1101-N1 {MAKE}: recorded as a whole more than once: " in result.output


def test_a_sheet_of_another_plan_and_a_plan_that_was_changed(
    sheets: Path, plan_file: Path, plan: Plan, tmp_path: Path
) -> None:
    type_into(sheets, "V-1101-N1", done="as planned")
    run("plan", LIST, "--wrenches", BOOK, "--out", tmp_path / "b", "--scheme", "40/70/100")
    other = tmp_path / "b" / "drigrauvex-joints-plan.json"
    result, status = recorded(other, sheets, tmp_path)
    number = plan_id(plan.head.checksum)
    assert (
        f"NOT READ drigrauvex-joints-record-sheets.xlsx, sheet 2026-10-08, cell B2: this sheet was printed for plan"
        f" {number}, not for drigrauvex-joints-plan.json or a plan before it: none of its rows is read"
    ) in result.output
    assert set(status.values()) <= {OPEN, "not compared with the plan", "stopped in the plan"}

    changed = tmp_path / "drigrauvex-joints-plan.json"
    changed.write_bytes(plan_file.read_bytes().replace(b'"V-1101-N2"', b'"V-1101-N9"'))
    refused = run("record", changed, sheets, "--out", tmp_path / "c")
    assert refused.exit_code == 2
    assert "was changed after planning" in refused.output


def test_a_scan_says_as_planned(sheets: Path, plan_file: Path, plan: Plan, tmp_path: Path) -> None:
    card = next(each.card for each in plan.joints if (each.joint, each.operation) == ("V-1101-N2", MAKE))
    book = openpyxl.load_workbook(sheets)
    page = book["Scans"]
    row = next(r for r in range(1, 12) if page.cell(r, 1).value == HEADINGS["scan"])
    page.cell(row + 1, 1).value = f"V-1101-N2|{MAKE}|{card}"
    labels = {page.cell(r, 1).value: r for r in range(1, row)}
    page.cell(labels["Done by"], 2).value, page.cell(labels["Date"], 2).value = NAME, DAY
    book.save(sheets)

    _, status = recorded(plan_file, sheets, tmp_path)

    assert status["V-1101-N2", MAKE] == AGREES


def test_a_draft_has_no_record_sheet_and_by_crew_each_folder_has_its_own(plan_file: Path, tmp_path: Path) -> None:
    result = run("pack", plan_file, "--out", tmp_path, "--only", "record", "--by", "area")
    assert result.exit_code == 0
    assert len(list(tmp_path.glob("*/drigrauvex-joints-record-sheets.xlsx"))) == 6
