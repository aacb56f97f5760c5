"""Several books, certificates of a wrench by years, what is out of service, other tools, and the checked copy."""

import datetime
import math
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
import xlsxwriter
from click.testing import CliRunner

from addin.cells.words import line
from addin.cli import main
from addin.plan.tools import wrench_entries
from addin.workbooks.package import WorkbookError
from addin.wrenches.wrench_book import WrenchBook, read_wrench_book
from calc.findings import NOTE, STOP
from calc.units import system
from calc.wrench.choice import CODES, candidates, reason, refusals

SI = system("SI")
BAR = 1e5
DAY = datetime.date
GAUGES = [["Gauge", "Unit", "Range", "Graduation", "Valid until"], ["G-1", "bar", 1000, 10, DAY(2028, 1, 4)]]
TABLE = [["Pressure (bar)", "Torque (Nm)"], *[[70 * i, 412 * i - 14] for i in range(1, 11)]]
LABELS: dict[str, Any] = {
    "Wrench": "HW-1", "Kind": "HX-4", "Serial no.": "S-77", "Cert. no.": "C-26", "Calibration date": DAY(2026, 1, 10),
    "Valid until": DAY(2027, 1, 9), "Max. pressure (bar)": 700, "Gauge": "G-1",
}  # fmt: skip
OLD = {"Cert. no.": "C-25", "Calibration date": DAY(2025, 1, 8), "Valid until": DAY(2026, 1, 31)}


def sheet(labels: dict[str, Any] | None = None, table: Any = TABLE, links: Any = ()) -> list[list[Any]]:
    rows = [[label, value] for label, value in (LABELS | (labels or {})).items() if value is not ...]
    return [*rows, [], ["Link", "Across flats (mm)", "Torque factor"], ["60 mm", 60, 1], *links, [], *table]


def scaled(by: float) -> list[list[Any]]:
    return [TABLE[0], *[[p, round(t * by)] for p, t in TABLE[1:]]]


def write(path: Path, sheets: dict[str, list[list[Any]]], gauges: Any = GAUGES) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in {**sheets, **({"Gauges": gauges} if gauges else {})}.items():
        page = book.create_sheet(name)
        for row in rows:
            page.append(row)
    book.save(path)
    return path


@pytest.fixture
def read(tmp_path: Path) -> Any:
    return lambda sheets, gauges=GAUGES: read_wrench_book(write(tmp_path / "book.xlsx", sheets, gauges), SI)


def said(book: WrenchBook, level: str = STOP) -> list[str]:
    return [finding.code for finding in book.findings if finding.level == level]


def why_not(book: WrenchBook, day: datetime.date) -> list[str]:
    """The reason of each wrench for 2000 N·m on a day, "" for one that serves."""
    codes = []
    for candidate in candidates(book.wrenches, book.gauges):
        torque, date = np.array([2000.0]), np.array([float(day.toordinal())])
        why, s = refusals(candidate, torque, date, reserve=0.0, tolerance=0.05, rounding="nearest")
        codes.append(f"{candidate.wrench.name}: {CODES[why[0]]}")
        assert reason(candidate, int(why[0]), 2000.0, float(date[0]), s, 0).wrench == candidate.wrench.name
    return sorted(codes)


# --- certificates by years ------------------------------------------------------------------------------------------


def test_the_certificate_that_is_valid_on_the_job_date_is_used(read: Any) -> None:
    """The old one is valid until 31 January, but from 10 January, the day of the new one, the new one holds."""
    book = read({"now": sheet(table=scaled(1.01)), "before": sheet(OLD)})
    assert not said(book)
    assert [wrench.name for wrench in book.wrenches] == ["HW-1", "HW-1 (C-25)"]
    assert {wrench.tool for wrench in book.wrenches} == {"HW-1"}
    assert why_not(book, DAY(2026, 1, 9)) == ["HW-1 (C-25): ", "HW-1: wrench_certificate"]
    assert why_not(book, DAY(2026, 1, 20)) == ["HW-1 (C-25): wrench_certificate", "HW-1: "]


@pytest.mark.parametrize(("by", "level", "text"), [(1.01, NOTE, "+1.0 %"), (0.96, "caution", "-4.0 %")])
def test_drift_between_the_last_two_is_shown(read: Any, by: float, level: str, text: str) -> None:
    book = read({"now": sheet(table=scaled(by)), "before": sheet(OLD)})
    (drift,) = [f for f in book.findings if f.code.startswith("table_drift")]
    assert drift.level == level
    assert text in line(drift, SI)
    assert "C-25 of 2025-01-08" in line(drift, SI)


@pytest.mark.parametrize(
    "change", [{"Serial no.": "S-78"}, {"Calibration date": DAY(2026, 1, 10)}, {"Calibration date": ...}]
)
def test_two_sheets_that_are_no_history_stop(read: Any, change: dict[str, Any]) -> None:
    book = read({"now": sheet(), "before": sheet(OLD | change)})
    assert "wrench_repeated" in said(book)
    assert all(wrench.faults for wrench in book.wrenches)


def test_a_faulty_new_certificate_is_not_replaced_by_the_old_one(read: Any) -> None:
    book = read({"now": sheet(table=[TABLE[0], [70, 400], [140, 300]]), "before": sheet(OLD)})
    assert why_not(book, DAY(2026, 1, 20)) == ["HW-1 (C-25): wrench_certificate"]


# --- out of service, links, hoses -----------------------------------------------------------------------------------


def test_out_of_service_from_and_until(read: Any) -> None:
    resting = {"Out of service from": DAY(2026, 4, 1), "Out of service until": DAY(2026, 4, 30)}
    book = read({"HW-1": sheet(resting)})
    assert why_not(book, DAY(2026, 3, 31)) == why_not(book, DAY(2026, 5, 1)) == ["HW-1: "]
    assert why_not(book, DAY(2026, 4, 1)) == why_not(book, DAY(2026, 4, 30)) == ["HW-1: out_of_service"]
    assert why_not(read({"HW-1": sheet({"Out of service from": DAY(2026, 4, 1)})}), DAY(2026, 12, 1)) == [
        "HW-1: out_of_service"
    ]


def test_a_table_of_a_link_stands_in_place_of_the_factor(read: Any) -> None:
    table = [*TABLE, [], ["Table of link", "75 mm"], *scaled(0.9)]
    book = read({"HW-1": sheet(table=table, links=[["75 mm", 75, None]])})
    assert not said(book)
    tops = {c.link.name: float(c.curve.torque[-1]) for c in candidates(book.wrenches, book.gauges)}
    assert tops == {"60 mm": 4106.0, "75 mm": pytest.approx(4106 * 0.9, abs=1)}
    twice = read({"HW-1": sheet(table=table, links=[["75 mm", 75, 1.1]])})
    assert said(twice) == ["link_factor_and_table"]


def test_a_hose_is_rated_and_certified_in_its_own_sheet(read: Any) -> None:
    hoses = [["Hose", "Rated pressure (bar)", "Valid until"], ["H-1", 650, DAY(2026, 6, 30)]]
    book = read({"HW-1": sheet({"Hose": "H-1"}), "Hoses": hoses})
    assert book.wrenches[0].hose_rated_pressure == pytest.approx(650 * BAR)
    assert why_not(book, DAY(2026, 6, 30)) == ["HW-1: "]
    assert why_not(book, DAY(2026, 7, 1)) == ["HW-1: hose_certificate"]
    differs = read({"HW-1": sheet({"Hose": "H-1", "Hose rated pressure (bar)": 700}), "Hoses": hoses})
    assert said(differs) == ["hose_ratings_differ", "book_empty"]
    assert candidates(differs.wrenches, differs.gauges) == []
    near = read({"HW-1": sheet({"Hose": "H-1", "Hose rated pressure (bar)": 660}), "Hoses": hoses})
    assert said(near) == []  # within 2 %: rounded
    assert near.wrenches[0].hose_rated_pressure == pytest.approx(650 * BAR)


def test_hand_tools_are_kept_with_their_certificates(read: Any) -> None:
    hand = [["Hand torque wrench", "From (N·m)", "To (N·m)", "Resolution (N·m)", "Certificate", "Valid until"],
            ["HT-1", 40, 200, 1, "K-1", DAY(2026, 9, 1)], ["HT-2", 600, 100, 5, "K-2", DAY(2026, 9, 1)],
            ["HT-3", 100, 600, 5, "K-3", None]]  # fmt: skip
    others = {"Multipliers": [["Multiplier", "Ratio", "Torque limit (N·m)", "Valid until"],
                              ["M-1", 5, 1500, DAY(2026, 9, 1)]],
              "Tensioners": [["Tensioner", "Remarks"], ["T-1", "M36"]],
              "Reaction arms": [["Reaction arm", "Fits"], ["RA-1", "HW-1"]]}  # fmt: skip
    book = read({"HW-1": sheet(), "Hand torque wrenches": hand, **others})
    kept = {tool.name: tool for tool in book.equipment}
    assert sorted(kept) == ["HT-1", "M-1", "RA-1", "T-1"]
    assert (kept["HT-1"].low, kept["HT-1"].high, kept["HT-1"].step) == (40, 200, 1)
    assert (kept["M-1"].ratio, kept["M-1"].limit) == (5, 1500)
    assert said(book) == ["tool_range", "tool_needs"]
    assert "hand torque wrench: valid until is not stated" in book.lines(SI)[1]


# --- gauges ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("row", "unit", "step"),
    [
        (["G-1", "bar (psi)", "1000 bar / 15000 psi", "10 bar / 200 psi", DAY(2028, 1, 4)], "bar", 10),
        (["G-1", "psi (bar)", "0 to 15000 psi (1000 bar)", "200 psi (10 bar)", DAY(2028, 1, 4)], "psi", 200),
    ],
)
def test_a_dual_gauge_is_set_in_the_unit_outside_the_brackets(
    read: Any, row: list[Any], unit: str, step: float
) -> None:
    book = read({"HW-1": sheet()}, [GAUGES[0], row])
    assert not said(book)
    assert book.sources["gauge", "G-1"].units["pressure"] == unit
    assert book.gauges["G-1"].marks.step == step


def test_two_units_without_brackets_are_asked_about(read: Any) -> None:
    book = read({"HW-1": sheet()}, [GAUGES[0], ["G-1", "psi/bar", 1000, 10, DAY(2028, 1, 4)]])
    assert "gauge_two_units" in said(book)
    assert any("write the unit that is set, the other in brackets: psi (bar)" in text for text in book.lines(SI))


@pytest.mark.parametrize(("step", "odd"), [(10, False), (20, False), (1, True), (30, True), (200, True)])
def test_an_odd_graduation_is_a_caution(read: Any, step: float, odd: bool) -> None:
    book = read({"HW-1": sheet()}, [GAUGES[0], ["G-1", "bar", 1000, step, DAY(2028, 1, 4)]])
    assert ("graduation_odd" in said(book, "caution")) is odd


# --- tables against each other --------------------------------------------------------------------------------------


def test_the_same_figures_on_two_sheets_and_unlike_twins_are_cautions(read: Any) -> None:
    other = {"Wrench": "HW-2", "Serial no.": "S-9"}
    assert said(read({"a": sheet(), "b": sheet(other)}), "caution") == ["table_same"]
    assert said(read({"a": sheet(), "b": sheet(other, scaled(1.02))}), "caution") == []
    assert said(read({"a": sheet(), "b": sheet(other, scaled(1.356))}), "caution") == ["table_twins"]
    assert said(read({"a": sheet(), "b": sheet(other | {"Kind": "HX-6"}, scaled(1.356))}), "caution") == []


# --- several books, and the checked copy ----------------------------------------------------------------------------


def test_several_books_are_one(tmp_path: Path) -> None:
    one = write(tmp_path / "a.xlsx", {"HW-1": sheet()})
    two = write(tmp_path / "b.xlsx", {"HW-2": sheet({"Wrench": "HW-2", "Serial no.": "S-9"}, scaled(1.02))})
    book = read_wrench_book([one, two], SI)
    assert [wrench.name for wrench in book.wrenches] == ["HW-1", "HW-2"]
    assert sorted(book.hashes) == ["a.xlsx", "b.xlsx"]
    assert not said(book)
    with pytest.raises(WorkbookError, match="given twice"):
        read_wrench_book([one, one], SI)


def test_what_stands_in_two_books_is_named(tmp_path: Path) -> None:
    other = [GAUGES[0], ["g-1", "bar", 1000, 20, DAY(2028, 1, 4)]]
    one, two = write(tmp_path / "a.xlsx", {"HW-1": sheet()}), write(tmp_path / "b.xlsx", {"x": sheet()}, other)
    book = read_wrench_book([one, two], SI)
    assert {"wrench_repeated", "gauge_repeated"} <= set(said(book))
    assert any(text.startswith("b.xlsx") and "appears again on sheet HW-1 of a.xlsx" in text for text in book.lines(SI))
    assert "G-1" not in book.gauges


def test_the_checked_copy_has_each_finding_beside_its_row(tmp_path: Path) -> None:
    table = [list(row) for row in TABLE]
    table[6][1] = 2740  # 2458 meant
    source = write(
        tmp_path / "book.xlsx",
        {"HW-1": sheet({"Remarks": "=1+1"}, table), "HW-2": sheet({"Wrench": "HW-2"}, scaled(1.02))},
    )
    before = source.read_bytes()
    target = tmp_path / "out" / "copy.xlsx"
    target.parent.mkdir()
    run = CliRunner().invoke(
        main, ["book", str(source), "--out", str(target), "--from", "2026-12-20", "--until", "2027-01-20"]
    )
    assert run.exit_code == 1, run.output
    assert source.read_bytes() == before
    copy = openpyxl.load_workbook(target)
    assert copy.sheetnames == ["Checked", "Curves", "HW-1", "HW-2", "Gauges"]
    row = next(row[0].row for row in copy["HW-1"].iter_rows() if row[0].value == 420)
    beside = [cell.value for cell in copy["HW-1"][row] if isinstance(cell.value, str)]
    assert beside[0].startswith("STOP: table row 6: 2740 N·m at 420 bar is +11.")
    first = "\n".join(str(cell.value) for line in copy["Checked"].iter_rows() for cell in line if cell.value)
    assert "ends on 2027-01-09, before the jobs do" in first
    assert "2 stops" in first  # the other: a formula that was never calculated
    assert copy["HW-1"]["B9"].value == "=1+1"
    assert not math.isnan(float(copy["Curves"]["B3"].value))
    again = CliRunner().invoke(main, ["book", str(source), "--out", str(target)])
    assert again.exit_code == 2
    assert "copy.xlsx" in again.output


def test_a_doubt_stands_at_its_row_of_the_wrench_sheet(read: Any) -> None:
    """5 % on one point, and a link with a table of its own that is sound."""
    odd = [TABLE[0], *[[p, round(t * 1.05) if p == 350 else t] for p, t in TABLE[1:]]]
    book = read({"HW-1": [*sheet(table=odd), [], ["Table of link", "60 mm"], *TABLE]})

    [entry] = wrench_entries(book)

    assert [(point.pressure.value, point.doubts) for point in entry.table if point.doubts] == [(350.0, (1,))]
    assert entry.doubts[0].startswith("table row 5: 2148 N·m at 350 bar is +5.0 % off the curve of the other rows")
    assert not any(point.doubts for link in entry.links for point in link.table)


def test_the_checked_copy_holds_every_other_tool_against_the_days_of_the_jobs(tmp_path: Path) -> None:
    head = ["Hand torque wrench", "From (N·m)", "To (N·m)", "Certificate", "Calibrated on", "Valid until"]
    dates = {
        "HT-1": (DAY(2026, 2, 1), DAY(2027, 3, 1), "valid on all days"),
        "HT-2": (DAY(2026, 2, 1), DAY(2027, 1, 5), "ends on 2027-01-05, before the jobs do"),
        "HT-3": (DAY(2027, 1, 2), DAY(2027, 12, 31), "begins on 2027-01-02, after the jobs do"),
        "HT-4": (DAY(2025, 12, 2), DAY(2026, 12, 1), "not valid: ended on 2026-12-01"),
        "HT-5": (DAY(2027, 2, 1), DAY(2028, 1, 31), "not yet valid: from 2027-02-01"),
    }
    tools = [[name, 40, 200, f"K-{name}", first, last] for name, (first, last, _) in dates.items()]
    source = write(tmp_path / "book.xlsx", {"HW-1": sheet(), "Hand torque wrenches": [head, *tools]})
    target = tmp_path / "copy.xlsx"

    CliRunner().invoke(
        main, ["book", str(source), "--out", str(target), "--from", "2026-12-20", "--until", "2027-01-20"]
    )

    checked = openpyxl.load_workbook(target)["Checked"]
    rows = {row[0]: row[1:5] for row in checked.iter_rows(values_only=True)}
    for name, (_, last, said) in dates.items():
        assert rows[name] == ("hand torque wrench", f"K-{name}", last.isoformat(), said)
    assert rows["Other tool"] == ("Kind", "Certificate", "Valid until", "On the days of the jobs")
    coloured = {row[0].value: [cell.column for cell in row if cell.fill.fill_type] for row in checked.iter_rows()}
    assert [coloured[name] for name in dates] == [[], [5], [5], [5], [5]]


def test_the_checked_copy_names_what_it_cannot_take_over(tmp_path: Path) -> None:
    """A text box and a picture of the engineer's stand in the book and not in the copy."""
    source = tmp_path / "book.xlsx"
    with xlsxwriter.Workbook(source) as book:
        page = book.add_worksheet("HW-1")
        for row, cells in enumerate(sheet()):
            page.write_row(row, 0, [str(cell) if isinstance(cell, DAY) else cell for cell in cells])
        page.insert_textbox("H2", "our own note")
        page.insert_image(
            "H20", str(Path(__file__).parents[3] / "samples" / "card.png"), {"x_scale": 0.1, "y_scale": 0.1}
        )
    target = tmp_path / "checked.xlsx"

    done = CliRunner().invoke(main, ["book", str(source), "--out", str(target)])

    lost = [text for text in done.output.splitlines() if text.startswith("note: checked.xlsx")]
    assert len(lost) == 1
    assert lost[0].startswith("note: checked.xlsx: does not show what book.xlsx has: ")
    assert "1 shape or text box" in lost[0]
    told = openpyxl.load_workbook(target).worksheets[0]["A3"].value
    assert told.startswith(
        "For reading: correct the book itself, and plan with it. Not in this copy, but in the book: "
    )
