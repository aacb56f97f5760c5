"""State back beside the list, the next shift, and the sheets of the hand-over that quality people ask for."""

import csv
import datetime
import shutil
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner, Result
from openpyxl.utils import get_column_letter
from sample_plans import planned_sample

from addin.cli import main
from addin.plan.file import read_plan
from addin.records.record_fields import HEADINGS, PREFIX, RESULT
from addin.shipped import folder, template
from calc.review.as_tightened import AGREES, OPEN, PART, REVIEW, TO_COMPLETE

SAMPLES = folder("samples")
LIST, BOOK = (SAMPLES / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches"))
MAKE = "final make-up"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


@pytest.fixture(scope="module")
def planned(shared: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return planned_sample(shared, tmp_path_factory.mktemp("plan"), "--breakout-factor", 1.5)


def records(planned: Path, path: Path, *rows: dict[str, Any]) -> Path:
    """The shipped record sheet with some rows; card and day of the plan where a row states none."""
    plan = {(joint.joint, joint.operation): joint for joint in read_plan(planned).joints}
    book = openpyxl.load_workbook(template("record sheet"))
    page = book["Records"]
    head = next(row for row in range(1, 20) if page.cell(row, 1).value == "Joint")
    names = {page.cell(head, column).value: column for column in range(1, page.max_column + 1)}
    for number, given in enumerate(rows, head + 1):
        joint = plan[given["joint"], given.get("operation", MAKE)]
        row = {"operation": MAKE, "card": joint.card, "date": joint.date, "by": "A. Crew", "done": "as planned"} | given
        for name, value in row.items():
            page.cell(number, names[HEADINGS.get(name, name.capitalize())]).value = value
    book.save(path)
    return path


@pytest.fixture(scope="module")
def handed(planned: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Result, Path]:
    """A few joints of each kind, recorded with the list beside."""
    out = tmp_path_factory.mktemp("out")
    path = records(
        planned, out / "r.xlsx",
        {"joint": "V-1101-N1", "lubricant": "as planned", "batch": "20-118", "gap_before": "0.10 0.11 0.10 0.12 in",
         "gap": "0.02 0.02 0.02 0.02 in", "witness": "W. Itness, 8 Oct", "permit": "PTW-7", "qualification": "Q1"},
        {"joint": "V-1101-N2", "date": "2026-10-09"},
        {"joint": "E-1204-CH", "passes": "1-4", "time": None},
        {"joint": "E-1204-GF", "passes": "4", "time": "14:00"}, {"joint": "E-1204-GF", "passes": "1-3"},
        {"joint": "V-1101-N3"},
        {"joint": "V-1302-MH", "wrench": "HW-99"},
        {"joint": "V-502-MH", "passes": "1-2"},
        {"joint": "V-502-MH", "done": "differs", "passes": "3-5", "wrench": "HW-7", "gauge": "G-3",
         "pressure": "3770 psi"},
        {"joint": "V-1101-MH", "operation": "break", "nuts_turned": "stage 2: 4 nuts", "isolation": "I. Solate"},
    )  # fmt: skip
    result = run("record", planned, path, "--out", out / "h", "--list", LIST, "--csv", "--project", "Autumn outage",
                 "--site", "Drigrauvex", "--contractor", "An invented one")  # fmt: skip
    return result, out / "h"


def table(path: Path, sheet: str, first: str = "Joint") -> list[dict[str, Any]]:
    rows = list(openpyxl.load_workbook(path, read_only=True)[sheet].iter_rows(values_only=True))
    head = next(number for number, row in enumerate(rows) if row[0] == first)
    return [dict(zip(rows[head], row, strict=True)) for row in rows[head + 1 :] if row[0]]


def handover(handed: tuple[Result, Path]) -> Path:
    return handed[1] / "drigrauvex-joints-hand-over.xlsx"


# --- state back -------------------------------------------------------------------------------------------------------


def test_state_next_pass_day_and_name_beside_the_rows_of_the_list(handed: tuple[Result, Path]) -> None:
    path = handed[1] / "drigrauvex-joints-recorded.xlsx"
    assert f"{path} (states stand on sheet Joints in AE:AH)" in handed[0].output
    page = openpyxl.load_workbook(path)["Joints"]
    names = {page.cell(5, column).value: column for column in range(1, page.max_column + 1)}
    states = {
        (page.cell(row, 1).value, page.cell(row, 2).value): [
            page.cell(row, names[f"{RESULT}{more}"]).value for more in ("", ": next pass", ": done on", ": done by")
        ]
        for row in range(6, page.max_row + 1)
    }

    assert states["V-1101-N1", MAKE] == [AGREES, None, "2026-10-08", "A. Crew"]
    assert states["E-1204-CH", MAKE] == [PART, 5, "2026-10-11", "A. Crew"]
    assert states["V-1101-N3", MAKE][0] == TO_COMPLETE
    assert states["V-1302-MH", MAKE][0] == REVIEW
    assert states["V-1101-N7", MAKE] == [OPEN, None, None, None]
    before = openpyxl.load_workbook(LIST)["Joints"]
    assert [[cell.value for cell in row] for row in page.iter_rows(max_col=30)] == [
        [cell.value for cell in row] for row in before.iter_rows(max_col=30)
    ]


def test_states_are_renewed_where_they_stand_and_plan_as_the_list_did(
    handed: tuple[Result, Path], planned: Path, tmp_path: Path
) -> None:
    again = tmp_path / "again.xlsx"
    shutil.copy(handed[1] / "drigrauvex-joints-recorded.xlsx", again)
    path = records(planned, tmp_path / "r.xlsx", {"joint": "V-1101-N7"})
    result = run("record", planned, path, "--out", tmp_path / "h", "--list", again, "--wrenches", BOOK)
    assert "states stand on sheet Joints in AE:AH" in result.output
    page = openpyxl.load_workbook(tmp_path / "h" / "again-recorded.xlsx")["Joints"]
    states = {(page.cell(row, 1).value, page.cell(row, 2).value): page.cell(row, 31).value
              for row in range(6, page.max_row + 1)}  # fmt: skip
    assert states["V-1101-N1", MAKE] == OPEN
    assert states["V-1101-N7", MAKE] == TO_COMPLETE

    plan = run("plan", again, "--wrenches", BOOK, "--out", tmp_path / "p", "--breakout-factor", 1.5)
    assert "39 rows: 35 planned" in plan.output


def test_columns_for_records_in_the_planned_copy_on_request_are_made_once(tmp_path: Path) -> None:
    run("plan", LIST, "--wrenches", BOOK, "--out", tmp_path, "--record-columns")
    path = tmp_path / "drigrauvex-joints-planned.xlsx"
    book = openpyxl.load_workbook(path)
    page = book["Joints"]
    names = {page.cell(5, column).value: column for column in range(1, page.max_column + 1)}
    assert set(HEADINGS.values()) <= set(names)
    assert not [page.cell(row, names[PREFIX]).value for row in range(6, page.max_row + 1)
                if page.cell(row, names[PREFIX]).value is not None]  # fmt: skip
    for name, value in (("done", "as planned"), ("by", "A. Crew"), ("date", "2026-10-08")):
        page.cell(9, names[HEADINGS[name]]).value = value
    page.cell(9, names[HEADINGS["card"]]).value = page.cell(9, names["Card"]).value
    book.save(path)

    again = run("plan", path, "--wrenches", BOOK, "--out", tmp_path / "b", "--record-columns")
    assert again.exit_code == 0, again.output
    page = openpyxl.load_workbook(tmp_path / "b" / path.name)["Joints"]
    heads = [page.cell(5, column).value for column in range(1, page.max_column + 1)]
    ours = [name for name in heads if str(name).startswith(PREFIX)]
    assert sorted(ours) == sorted(HEADINGS.values())
    assert page.cell(9, names[PREFIX]).value == "as planned"  # the crew's: never rewritten
    result = run("record", tmp_path / "b" / "drigrauvex-joints-plan.json", tmp_path / "b" / path.name, "--out",
                 tmp_path / "c")  # fmt: skip
    assert "1 agrees with the plan" in result.output


# --- next shift -------------------------------------------------------------------------------------------------------


def test_the_next_shift(planned: Path, handed: tuple[Result, Path]) -> None:
    rows = {row["Joint"]: row for row in table(handover(handed), "Next shift", "Crew") if row["Operation"] == MAKE}
    plan = openpyxl.load_workbook(handover(handed))["Next shift"]

    begun = rows["E-1204-GF"]
    assert (begun["Next pass"], begun["Wrench"], begun["Last crew"]) == ("pass 5, 100 %", "HW-3 + HW-4", "A. Crew")
    assert begun["Pressure"] == "4600 psi"
    assert begun["Not before"] == "2026-10-12 18:00"  # 4 h after 14:00
    assert rows["E-1204-CH"]["Not before"] == "4 h after the last pass of 2026-10-11"
    assert begun["New"] is None
    assert rows["V-1302-MH"]["New"] == "new"  # of the last day that the records name
    assert rows["V-1302-MH"]["Next pass"] == REVIEW
    assert "V-1101-N1" not in rows
    assert rows["V-1101-N7"]["Next pass"] == "pass 1, 30 %"
    assert rows["V-1101-N7"]["Pressure"].startswith("torque ")  # by hand
    manway = next(joint for joint in read_plan(planned).joints if (joint.joint, joint.operation) == ("V-1101-MH", MAKE))
    (tool,) = manway.wrenches
    assert (rows["V-1101-MH"]["Next pass"], rows["V-1101-MH"]["Wrench"]) == ("pass 1, 30 %", tool.wrench)
    assert rows["V-1101-MH"]["Pressure"] == f"{tool.passes[0].pressure.value:g} psi"
    assert plan.sheet_properties.pageSetUpPr.fitToPage
    assert plan.page_setup.fitToWidth in (None, 1)  # one page is what nothing says


# --- quality ----------------------------------------------------------------------------------------------------------


def test_the_first_page_names_project_and_share_complete(handed: tuple[Result, Path]) -> None:
    texts = [
        str(row[0])
        for row in openpyxl.load_workbook(handover(handed), read_only=True)["Summary"].iter_rows(values_only=True)
    ]

    assert [text for text in texts if text.startswith(("Project", "Site", "Contractor"))] == [
        "Project: Autumn outage",
        "Site: Drigrauvex",
        "Contractor: An invented one",
    ]
    assert any(text.endswith(f"printed on {datetime.date.today()}") for text in texts)
    # V-1101-N1 (20 studs), N2 (16) and the break-out of V-1101-MH (24) of 35 rows; the rest is open or looked at
    (said,) = [text for text in texts if "of their studs agree" in text]
    assert said.startswith("8.6 % of the joints and operations")  # 3 / 35


def test_the_crews_unit_stays_with_the_plan_in_it_beside(handed: tuple[Result, Path]) -> None:
    row = next(each for each in table(handover(handed), "Joints") if each["Joint"] == "V-502-MH")

    assert (row["Pressure unit"], row["As tightened, unit"], row["Pressure as tightened"]) == ("bar", "psi", 3770)
    assert row["Pressure in that unit planned"] == pytest.approx(row["Pressure planned"] * 14.5037738, rel=1e-5)


def test_lists_of_points_gaps_boxes_batches_and_cards(handed: tuple[Result, Path]) -> None:
    path = handover(handed)
    book = openpyxl.load_workbook(path)
    rows = [tuple(cell for cell in row if cell is not None) for name in ("Points", "Flange gaps", "Card boxes")
            for row in book[name].iter_rows(values_only=True)]  # fmt: skip
    assert ("V-1101-N1", MAKE, "witness", "not asked by the plan", "W. Itness, 8 Oct") in rows
    assert ("V-1101-N1", MAKE, "before the first pass", "0.10 0.11 0.10 0.12 in") in rows
    assert ("V-1101-N1", MAKE, "at the end", "0.02 0.02 0.02 0.02 in") in rows
    boxes = {(row[0], row[2], row[3]) for row in rows if len(row) == 4}
    assert {("V-1101-N1", "permit", "PTW-7"), ("V-1101-N1", "qualification", "Q1"),
            ("V-1101-MH", "nuts that turned", "stage 2: 4 nuts"),
            ("V-1101-MH", "zero energy proven", "I. Solate")} <= boxes  # fmt: skip
    lubricants = {(row["Lubricant"], row["Batch"]): row for row in table(path, "Lubricants", "Lubricant")}
    assert lubricants["L-20", "20-118"]["Which"] == f"V-1101-N1 {MAKE}"
    assert ("L-20", "batch not stated") in lubricants
    cards = {(row["Joint"], row["Operation"]): row for row in table(path, "Card register", "Card")}
    assert cards["V-1101-N1", MAKE]["Returned: day, by"] == "2026-10-08, A. Crew"
    assert cards["V-1101-N7", MAKE]["Returned: day, by"] == "not returned"
    assert {row["State"] for row in cards.values()} == {"issued"}  # cards to break out are still planned


def test_a_joint_that_is_broken_out_stands_with_its_wrench(handed: tuple[Result, Path]) -> None:
    (row,) = [
        r for r in table(handover(handed), "Joints", "Joint") if r["Joint"] == "V-1101-MH" and r["Operation"] == "break"
    ]
    assert row["Wrench planned"] == "HW-2"


def test_progress_by_day_adds_up(handed: tuple[Result, Path]) -> None:
    rows = table(handover(handed), "Progress by day", "Day")

    assert sum(row["Joints completed"] for row in rows) == 3
    assert rows[-1]["Joints complete so far"] == 3
    assert openpyxl.load_workbook(handover(handed))["Progress by day"]._charts


def test_hand_torque_wrenches_gauges_and_break_outs_have_their_certificate_line(handed: tuple[Result, Path]) -> None:
    rows = table(handover(handed), "Certificates", "Name")

    by_hand = [row for row in rows if row["What"] == "hand torque wrench"]
    assert [row["Valid on every day it was used"] for row in by_hand] == ["hand torque wrench not stated: not checked"]
    assert {"HW-1", "HW-2", "G-2"} <= {row["Name"] for row in rows}


def test_the_table_of_joints_as_text(handed: tuple[Result, Path]) -> None:
    text = (handed[1] / "drigrauvex-joints-hand-over-joints.csv").read_text(encoding="utf-8-sig")
    rows = list(csv.DictReader(text.splitlines()))

    assert len(rows) == 39
    assert not [value for row in rows for value in row.values() if value.startswith(("=", "@"))]


def test_no_letter_is_below_7_points_on_paper(handed: tuple[Result, Path]) -> None:
    """Widths in characters of 7 pixels and 5 of margin at 96 to the inch; A4 less its margins; common practice."""
    wide = {"portrait": 210 / 25.4, "landscape": 297 / 25.4}
    for page in openpyxl.load_workbook(handover(handed)).worksheets:
        columns = range(1, page.max_column + 1)
        widths = [page.column_dimensions[get_column_letter(column)].width for column in columns]
        breaks = [each.id for each in page.col_breaks.brk]
        room = wide[page.page_setup.orientation] - page.page_margins.left - page.page_margins.right
        parts = [widths[start:end] for start, end in zip([0, *breaks], [*breaks, len(widths)], strict=True)]
        titles = widths[:3] if breaks else []
        for number, part in enumerate(parts):
            inches = sum((7 * width + 5) / 96 for width in [*(titles if number else []), *part])
            sizes = {cell.font.size for row in page.iter_rows() for cell in row if cell.value is not None}
            assert min(sizes) * min(1.0, room / inches) >= 7, (page.title, number, inches)
        tallest = max((row.height or 0 for row in page.row_dimensions.values()), default=0)
        assert tallest <= 409


def test_a_joint_has_no_final_torque_before_every_stud_had_it(tmp_path: Path) -> None:
    """Four studs then cross: pass 3 brings four studs to full torque, pass 4 the others."""
    run("plan", LIST, "--wrenches", BOOK, "--out", tmp_path, "--scheme", "four studs then cross")
    plan = tmp_path / "drigrauvex-joints-plan.json"
    path = records(plan, tmp_path / "r.xlsx", {"joint": "V-1101-N2", "passes": "1-3"},
                   {"joint": "V-502-MH", "passes": "1-4"})  # fmt: skip
    run("record", plan, path, "--out", tmp_path / "h")
    hand_over = tmp_path / "h" / "drigrauvex-joints-hand-over.xlsx"
    rows = {row["Joint"]: row for row in table(hand_over, "Joints") if row["Status"] == PART}
    shift = {row["Joint"]: row for row in table(hand_over, "Next shift", "Crew")}

    assert (rows["V-1101-N2"]["Final torque as tightened"], rows["V-1101-N2"]["Preload as tightened"]) == (None, None)
    for what in ("Final torque", "Preload"):
        done = rows["V-502-MH"]
        assert done[f"{what} as tightened"] == pytest.approx(done[f"{what} planned"], rel=0.03)
    assert shift["V-1101-N2"]["Next pass"].startswith("pass 4, 100 %, only ")
