"""The reader of wrench books: what it takes, what it refuses, and that every fault names its sheet and cell."""

import datetime
import math
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter

from addin.workbooks.package import WorkbookError
from addin.wrenches.wrench_book import WrenchBook, read_wrench_book
from calc.findings import CAUTION, STOP
from calc.units import system
from calc.wrench.calibration import torque_at

US = system("US")
BAR, PSI, LBF_FT, INCH = 1e5, 6894.757293168, 1.3558179483314004, 0.0254  # NIST SP 811, formula
GAUGES = [
    ["Gauge", "Unit", "Range", "Graduation", "Class", "Certificate", "Calibrated on", "Valid until"],
    ["G-1", "psi", 15000, 100, "1.0", "C-9", datetime.date(2026, 1, 5), datetime.date(2027, 1, 4)],
]
LABELS: dict[str, Any] = {
    "Wrench": "HW-1", "Kind": "square drive", "Certificate": "C-1", "Calibrated on": datetime.date(2026, 1, 10),
    "Certificate valid until": datetime.date(2027, 1, 9), "Rated pressure (psi)": 10000,
    "Hose rated pressure (psi)": 10000,
    "Pump": "P-1", "Pump rated pressure (psi)": 10000, "Gauge": "G-1",
}  # fmt: skip
LINKS = [["Link or socket", "Across flats (in)", "Torque factor", "Torque limit (ft-lb)"], ["2-3/8 in", 2.375, 1, 4000]]
TABLE = [["Pressure (psi)", "Torque (ft-lb)"], [1000, 400], [5000, 2050], [10000, 4100]]


def sheet_rows(labels: dict[str, Any] | None = None, links: Any = LINKS, table: Any = TABLE) -> list[list[Any]]:
    """A wrench sheet: labels, an empty row, links, an empty row, the table."""
    block = [[label, value] for label, value in (LABELS | (labels or {})).items() if value is not ...]
    return [*block, [], *links, [], *table]


def cell_of(rows: list[list[Any]], first: str) -> int:
    """The row number of the row that begins with a text."""
    return next(number for number, row in enumerate(rows, 1) if row and row[0] == first)


def write(path: Path, sheets: dict[str, list[list[Any]]], gauges: Any = GAUGES) -> Path:
    workbook = openpyxl.Workbook()
    workbook.remove(workbook.active)
    for name, rows in (sheets | ({"Gauges": gauges} if gauges else {})).items():
        sheet = workbook.create_sheet(name)
        for row, values in enumerate(rows, 1):
            for column, value in enumerate(values, 1):
                if value is not None:
                    sheet.cell(row, column, value)
    workbook.save(path)
    return path


@pytest.fixture
def read(tmp_path: Path) -> Any:
    def reader(sheets: dict[str, list[list[Any]]], gauges: Any = GAUGES) -> WrenchBook:
        return read_wrench_book(write(tmp_path / "book.xlsx", sheets, gauges), US)

    return reader


def stops(book: WrenchBook) -> list[tuple[str, str]]:
    return [(f.code, f.facts["cell"]) for f in book.findings if f.level == STOP and f.code != "book_empty"]


def cautions(book: WrenchBook) -> list[tuple[str, str]]:
    return [(f.code, f.facts["cell"]) for f in book.findings if f.level == CAUTION]


def usable(book: WrenchBook) -> list[str]:
    return [wrench.name for wrench in book.wrenches if not wrench.faults and wrench.curve is not None]


# --- what it takes --------------------------------------------------------------------------------------------------


def test_a_whole_sheet(read: Any) -> None:
    book = read({"any name": sheet_rows()})
    (wrench,) = book.wrenches
    assert not book.findings
    assert (wrench.name, wrench.pump, wrench.gauge, wrench.faults) == ("HW-1", "P-1", "G-1", ())
    assert wrench.rated_pressure == pytest.approx(10000 * PSI, rel=1e-12)
    assert wrench.valid_until == datetime.date(2027, 1, 9).toordinal()
    (link,) = wrench.links
    assert (link.across_flats, link.factor) == (pytest.approx(2.375 * INCH, rel=1e-12), 1.0)
    assert link.torque_limit == pytest.approx(4000 * LBF_FT, rel=1e-12)
    assert math.isnan(link.radius)
    assert float(torque_at(wrench.curve, 3000 * PSI)) == pytest.approx(1225 * LBF_FT, rel=1e-9)  # half-way, by hand
    source = book.sources["wrench", "HW-1"]
    assert (source.sheet, source.cell, source.words["certificate"]) == ("any name", "B1", "C-1")
    assert source.units == {"length": "in", "torque": "lbf·ft", "pressure": "psi", "table_torque": "lbf·ft"}
    gauge = book.gauges["G-1"]
    assert (gauge.marks.step, gauge.range) == (100.0, pytest.approx(15000 * PSI, rel=1e-12))
    assert book.sources["gauge", "G-1"].words["class"] == "1.0"


def test_a_book_of_the_same_bytes_is_read_once_and_a_changed_one_anew(tmp_path: Path) -> None:
    """A certificate that was corrected in its place must never leave the old rating in use."""
    path = tmp_path / "book.xlsx"
    write(path, {"HW-1": sheet_rows()})
    first = read_wrench_book(path, system("US"))
    assert read_wrench_book(path, system("US")) is first
    assert read_wrench_book(path, system("SI")) is not first

    other = write(tmp_path / "other.xlsx", {"HW-1": sheet_rows({"Rated pressure (psi)": 9000})})
    path.write_bytes(other.read_bytes())
    again = read_wrench_book(path, system("US"))
    assert again.hashes != first.hashes
    assert again.wrenches[0].rated_pressure < first.wrenches[0].rated_pressure


@pytest.mark.parametrize(
    ("label", "value", "expected"),
    [
        ("Rated pressure (bar)", 700, 700 * BAR), ("Rated pressure", "700 bar", 700 * BAR),
        ("RATED PRESSURE, psi:", 10000, 10000 * PSI), ("rated pressure [MPa]", 70, 700 * BAR),
        ("Rated pressure (psi)", "690 bar", 690 * BAR),
    ],
)  # fmt: skip
def test_unit_in_label_or_value(read: Any, label: str, value: Any, expected: float) -> None:
    book = read({"HW-1": sheet_rows({"Rated pressure (psi)": ..., label: value})})
    assert not book.findings
    assert book.wrenches[0].rated_pressure == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("label", "value", "code"),
    [
        ("Rated pressure", 10000, "unit_missing"), ("Rated pressure (lb)", 10000, "heading_unit_unknown"),
        ("Rated pressure (psi / bar)", 10000, "heading_unit_unknown"), ("Rated pressure", "10000 lb", "unit_unknown"),
        ("Rated pressure (ft-lb)", 10000, "unit_wrong_kind"), ("Rated pressure (psi)", None, "missing"),
        ("Rated pressure (psi)", "ten", "not_a_number"), ("Rated pressure (bar)", 10000, "out_of_range"),
        ("Rated pressure (psi)", True, "is_truth_value"), ("Rated pressure (psi)", "#N/A", "error_cell"),
        ("Rated pressure (psi)", datetime.date(2026, 1, 1), "is_date"),
        ("Rated pressure (psi)", "=20000/2", "stale_formula"),
    ],
)  # fmt: skip
def test_rated_pressure_refused(read: Any, label: str, value: Any, code: str) -> None:
    rows = sheet_rows({"Rated pressure (psi)": ..., label: value})
    book = read({"HW-1": rows, "HW-2": sheet_rows({"Wrench": "HW-2"})})
    cell = f"B{cell_of(rows, label)}"
    assert stops(book) == [(code, cell)]
    assert usable(book) == ["HW-2"]
    assert book.wrenches[0].faults == (book.lines(US)[0].removeprefix("book.xlsx, "),)
    assert book.lines(US)[0].startswith(f"book.xlsx, sheet HW-1, cell {cell}: ")


def test_several_columns_and_units(read: Any) -> None:
    """1000 psi is 68.95 bar and 400 lbf·ft 542.3 N·m (NIST SP 811): rounded columns agree, a slip does not."""
    head = ["Pressure (psi)", "Pressure (bar)", "Torque (ft-lb)", "Torque (N·m)"]
    good = [head, [1000, 69, 400, 542], [5000, 345, 2050, 2779]]
    assert not read({"HW-1": sheet_rows(table=good)}).findings
    bad = [head, [1000, 69, 400, 542], [5000, 345, 2050, 2179]]
    rows = sheet_rows(table=bad)
    book = read({"HW-1": rows})
    assert stops(book) == [("table_columns_disagree", f"D{len(rows)}")]
    assert not usable(book)


@pytest.mark.parametrize(
    ("head", "code", "column"),
    [
        (["Pressure (bar)", "Torque up (N·m)", "Torque down (N·m)"], "table_ask_up_down", "B"),
        (["Pressure (bar)", "Torque increasing (N·m)", "Torque decreasing (N·m)"], "table_ask_up_down", "B"),
        (["Pressure (bar)", "As found (N·m)", "As left (N·m)"], "table_ask_found", "B"),
        (["Pressure (bar)", "Nominal torque (N·m)", "Measured torque (N·m)"], "table_ask_nominal", "B"),
        (["Pressure (bar)", "Torque (N·m)", "Torque (N·m)"], "table_ask_twice", "B"),
        (["Pressure up (bar)", "Pressure down (bar)", "Torque (N·m)"], "table_ask_up_down", "A"),
    ],
)
def test_readings_of_different_kinds_are_asked_about(read: Any, head: list[str], code: str, column: str) -> None:
    rows = sheet_rows(table=[head, [100, 800, 810], [200, 1650, 1655]])
    book = read({"HW-1": rows})
    assert stops(book) == [(code, f"{column}{len(rows) - 2}")]
    assert all(text in book.lines(US)[0] for text in head if text.split(" (")[0] not in ("Pressure", "Torque"))
    assert not usable(book)


def test_the_answer_stands_beside_its_label(read: Any) -> None:
    head = ["Pressure (bar)", "As found (N·m)", "As left (N·m)"]
    rows = sheet_rows({"Torque column": "As left (N·m)"}, table=[head, [100, 780, 800], [200, 1590, 1640]])
    (wrench,) = read({"HW-1": rows}).wrenches
    assert wrench.curve.torque.tolist() == [800, 1640]


@pytest.mark.parametrize("title", ["As found", "Readings, decreasing", "before adjustment"])
def test_how_a_table_was_taken_above_it_is_asked_about(read: Any, title: str) -> None:
    rows = sheet_rows(table=[[title], *TABLE])
    assert stops(read({"HW-1": rows})) == [("table_ask_alone", f"A{cell_of(rows, title)}")]


@pytest.mark.parametrize("title", ["As left", "Readings, increasing", "as left, after repair"])
def test_what_holds_now_is_read_and_said(read: Any, title: str) -> None:
    book = read({"HW-1": sheet_rows(table=[[title], *TABLE])})
    assert [finding.code for finding in book.findings] == ["table_way"]
    assert usable(book) == ["HW-1"]


def test_second_table_and_numbers_below_are_asked_about(read: Any) -> None:
    rows = [*sheet_rows(), [], ["Notes"], *TABLE]
    assert stops(read({"HW-1": rows})) == [("table_twice", f"A{len(rows) - 3}")]
    rows = [*sheet_rows(), [], [11000, 4500]]
    assert stops(read({"HW-1": rows})) == [("table_after_gap", f"A{len(rows)}")]
    rows = [*sheet_rows(), [], ["Taken at 20 °C by the test bench"], ["Bench", 7]]
    assert not read({"HW-1": rows}).findings


def test_column_without_heading_beside_the_table(read: Any) -> None:
    rows = sheet_rows(table=[TABLE[0], [1000, 400, 395], [5000, 2050, 2040]])
    assert stops(read({"HW-1": rows})) == [("table_unheaded", f"C{len(rows) - 1}")]
    rows = sheet_rows(table=[TABLE[0], [1000, 400, "steady"], [5000, 2050]])
    assert not stops(read({"HW-1": rows}))


@pytest.mark.parametrize(
    ("below", "code", "column"),
    [
        ([[1000, 400], [5000, 2050], [5000, 2050]], "table_duplicate", "A"),
        ([[1000, 400], [5000, 2050], [4000, 2100]], "table_not_rising", "A"),
        ([[1000, 400]], "table_too_short", "A"),
        ([[1000, 400], [5000, "#DIV/0!"]], "error_cell", "B"),
        ([[1000, 400], [5000, "about 2000"]], "not_a_number", "B"),
        ([[1000, 400], [5000, None, "x"]], "table_gap", "B"),
        ([[1000, 400], [5000, "=400*5"]], "stale_formula", "B"),
        ([[1000, 400], [5000, "65 bar"]], "unit_wrong_kind", "B"),
    ],
)
def test_faulty_table(read: Any, below: list[list[Any]], code: str, column: str) -> None:
    rows = sheet_rows(table=[TABLE[0], *below])
    book = read({"HW-1": rows})
    row = cell_of(rows, "Pressure (psi)") if code == "table_too_short" else len(rows)
    assert stops(book) == [(code, f"{column}{row}")]
    assert not usable(book)


ROWS = [[1000, 400], [2000, 800], [3000, 1200], [4000, 1600], [5000, 2000], [6000, 2400]]


def with_slip(row: int, torque: float) -> list[list[Any]]:
    return [TABLE[0], *[[p, torque if i == row else t] for i, (p, t) in enumerate(ROWS)]]


def test_odd_point_is_a_caution_or_a_stop(read: Any) -> None:
    rows = sheet_rows(table=with_slip(2, 1260))  # 5 % off
    book = read({"HW-1": rows})
    assert cautions(book) == [("table_off_line", f"B{len(rows) - 3}")]
    assert usable(book) == ["HW-1"]
    assert [finding.code for finding in book.wrenches[0].doubts] == ["table_off_line"]
    rows = sheet_rows(table=with_slip(5, 2040 * 1.3))  # the last one, 10 % off
    book = read({"HW-1": rows})
    assert stops(book) == [("table_off_line", f"B{len(rows)}")]
    assert "off the curve of the other rows" in book.lines(US)[0]
    assert not usable(book)


def test_a_confirmation_counts_for_the_table_it_was_given_for(read: Any) -> None:
    """It makes the stop a caution that the card carries; one without a day, or older than the calibration, does not."""
    table = with_slip(0, 300)
    said = {"Table confirmed by": "A. Weir", "Table confirmed on": datetime.date(2026, 1, 12)}
    book = read({"HW-1": sheet_rows(said, table=table)})
    assert usable(book) == ["HW-1"]
    assert {finding.code for finding in book.wrenches[0].doubts} == {"table_off_line", "table_confirmed"}
    for wrong, code in (({"Table confirmed on": ...}, "confirmation_undated"),
                        ({"Table confirmed on": datetime.date(2025, 1, 12)}, "confirmation_old")):  # fmt: skip
        book = read({"HW-1": sheet_rows(said | wrong, table=table)})
        assert not usable(book)
        assert code in [each for each, _ in cautions(book)]


def test_a_confirmation_is_of_odd_points_not_of_another_wrenchs_table(read: Any) -> None:
    said = {
        "Table confirmed by": "A. Weir",
        "Table confirmed on": datetime.date(2026, 1, 12),
        "Rated torque (ft-lb)": 5400,
    }
    book = read({"HW-1": sheet_rows(said, table=with_slip(0, 300))})
    assert [code for code, _ in stops(book)] == ["table_rated_torque"]
    assert not usable(book)


@pytest.mark.parametrize(
    ("stated", "code"),
    [({"Rated torque (ft-lb)": 5400}, "table_rated_torque"), ({"Rated torque (N·m)": 5420}, ""),
     ({"Max. torque": "5420 Nm"}, ""), ({"Rated pressure (psi)": 100000 / 14.5}, ""),
     ({"Stroke angle (deg)": 24, "Oil per stroke (cm3)": 20}, "table_work")],
)  # fmt: skip
def test_a_table_is_held_against_what_is_stated(read: Any, stated: dict[str, Any], code: str) -> None:
    """6000 psi give 2400 lbf·ft, so 10,000 psi 4000 lbf·ft or 5423 N·m (NIST SP 811, by formula)."""
    book = read({"HW-1": sheet_rows(stated, table=with_slip(9, 0))})
    assert [each for each, _ in stops(book)] == ([code] if code else [])


# --- links ----------------------------------------------------------------------------------------------------------


def test_missing_factor_drops_that_link_only(read: Any) -> None:
    rows = sheet_rows(
        links=[*LINKS, ["2-9/16 in", 2.5625, None, 4000], ["offset", 2.75, "-", None], ["thin", 2, "", None]]
    )
    book = read({"HW-1": rows})
    row = cell_of(rows, "2-9/16 in")
    assert stops(book) == [("link_factor_missing", f"C{row + i}") for i in range(3)]
    assert [link.name for link in book.wrenches[0].links] == ["2-3/8 in"]
    assert usable(book) == ["HW-1"]
    assert "torque factor of link '2-9/16 in' is not stated" in book.lines(US)[0]


@pytest.mark.parametrize(
    ("text", "inches"),
    [("2-3/8", 2.375), ("2 3/8 in", 2.375), ("60.325 mm", 2.375), ('1 1/4"', 1.25), ("15/16", 0.9375)],
)
def test_sizes_as_the_trade_writes_them(read: Any, text: str, inches: float) -> None:
    (wrench,) = read({"HW-1": sheet_rows(links=[LINKS[0], ["a", text, 1.1]])}).wrenches
    assert wrench.links[0].across_flats == pytest.approx(inches * INCH, rel=1e-9)
    assert (wrench.links[0].factor, wrench.links[0].torque_limit) == (1.1, math.inf)


@pytest.mark.parametrize(
    ("row", "code", "column"),
    [
        (["b", None, 1], "missing", "B"), (["b", datetime.date(2026, 3, 8), 1], "is_date", "B"),
        (["b", 60, 1], "out_of_range", "B"), (["b", 2, 25.4], "out_of_range", "C"), ([None, 2, 1], "link_unnamed", "A"),
        (["b", 2, 1, "4000 psi"], "unit_wrong_kind", "D"), (["b", "=2+3/8", 1], "stale_formula", "B"),
        ([datetime.date(2026, 3, 8), 2, 1], "text_is_date", "A"), (["b", 2, "#REF!"], "error_cell", "C"),
    ],
)  # fmt: skip
def test_faulty_link(read: Any, row: list[Any], code: str, column: str) -> None:
    rows = sheet_rows(links=[*LINKS, row])
    book = read({"HW-1": rows})
    assert stops(book) == [(code, f"{column}{cell_of(rows, '2-3/8 in') + 1}")]
    assert [link.name for link in book.wrenches[0].links] == ["2-3/8 in"]


def test_no_links_no_use(read: Any) -> None:
    assert [code for code, _ in stops(read({"HW-1": sheet_rows(links=[])}))] == ["links_missing"]
    book = read({"HW-1": sheet_rows(links=[LINKS[0], ["a", 2.375, None]])})
    assert [code for code, _ in stops(book)] == ["link_factor_missing", "links_empty"]
    assert not usable(book)
    book = read({"HW-1": sheet_rows(links=[["Link or socket", "Across flats (in)"], ["a", 2.375]])})
    assert [code for code, _ in stops(book)] == ["heading_missing", "links_empty"]
    twice = read({"HW-1": sheet_rows(links=[*LINKS, ["2-3/8 in", 2, 1], ["b", 2, 1]])})
    assert [code for code, _ in stops(twice)] == ["link_repeated"]
    assert [link.name for link in twice.wrenches[0].links] == ["b"]


def test_links_directly_above_the_table(read: Any) -> None:
    rows = [*sheet_rows(table=[])[:-1], *TABLE]
    book = read({"HW-1": rows})
    assert not book.findings
    assert len(book.wrenches[0].links) == 1


def test_link_after_an_empty_row_is_said(read: Any) -> None:
    rows = sheet_rows(links=[*LINKS, [], ["2-9/16 in", 2.5625, 1, 4000]])
    book = read({"HW-1": rows})
    assert cautions(book) == [("row_not_used", f"A{cell_of(rows, '2-9/16 in')}")]
    assert usable(book) == ["HW-1"]


# --- dates, names, sheets -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("value", ["2027-01-09", datetime.datetime(2027, 1, 9, 0, 0), datetime.date(2027, 1, 9),
                                   "9 Jan 2027", "12 months", "1 year"])  # fmt: skip
def test_dates_taken(read: Any, value: Any) -> None:
    (wrench,) = read({"HW-1": sheet_rows({"Certificate valid until": value})}).wrenches
    assert wrench.valid_until == datetime.date(2027, 1, 9).toordinal()


@pytest.mark.parametrize(
    ("value", "code"),
    [
        ("03/04/2027", "date_ambiguous"), ("3.4.2027", "date_ambiguous"),
        ("next spring", "not_a_date"), (46396, "not_a_date"), (None, "missing"), ("2027-02-30", "not_a_date"),
        (True, "not_a_date"), ("#VALUE!", "error_cell"), ("=TODAY()", "stale_formula"), ("1927-01-09", "date_outside"),
        (datetime.date(2025, 1, 9), "dates_reversed"),
    ],
)  # fmt: skip
def test_dates_refused(read: Any, value: Any, code: str) -> None:
    rows = sheet_rows({"Certificate valid until": value})
    book = read({"HW-1": rows})
    assert stops(book) == [(code, f"B{cell_of(rows, 'Certificate valid until')}")]
    assert not usable(book)


def test_expired_certificate_is_read_and_left_to_the_job_date(read: Any) -> None:
    old = {"Calibrated on": datetime.date(2020, 1, 1), "Certificate valid until": datetime.date(2021, 1, 1)}
    book = read({"HW-1": sheet_rows(old)})
    assert not book.findings
    assert book.wrenches[0].valid_until == datetime.date(2021, 1, 1).toordinal()


def test_a_name_stands_once(read: Any) -> None:
    book = read({"one": sheet_rows(), "two": sheet_rows({"Wrench": "hw-1"}), "three": sheet_rows({"Wrench": "HW-3"})})
    assert stops(book) == [("wrench_repeated", "B1"), ("wrench_repeated", "B1")]
    assert usable(book) == ["HW-3"]
    assert [wrench.name for wrench in book.wrenches] == ["HW-1", "HW-3"]
    assert [line for line in book.lines(US) if "sheet two" in line and "on sheet one" in line]


def test_labels_missing_or_twice(read: Any) -> None:
    assert stops(read({"s": sheet_rows({"Wrench": None})})) == [("wrench_unnamed", "B1")]
    assert stops(read({"s": sheet_rows({"Wrench": ...})})) == [("wrench_unnamed", "A1")]
    assert stops(read({"s": sheet_rows({"Gauge": ...})})) == [("missing", "")]
    assert stops(read({"s": sheet_rows({"Certificate valid until": ...})})) == [("missing", "")]
    assert stops(read({"s": sheet_rows({"Gauge": "G-7"})}))[0][0] == "gauge_not_listed"
    rows = [["Rated pressure (psi)", 9000], *sheet_rows()]
    assert stops(read({"s": rows})) == [("label_twice", f"A{cell_of(sheet_rows(), 'Rated pressure (psi)') + 1}")]
    book = read({"s": sheet_rows({"Rated presure (psi)": 10000, "Owner": "site store"})})
    assert [code for code, _ in cautions(book)] == ["row_not_used", "row_not_used"]
    assert usable(book) == ["HW-1"]


def test_ratings_of_hose_and_pump_may_be_open(read: Any) -> None:
    (wrench,) = read({"s": sheet_rows({"Hose rated pressure (psi)": ..., "Pump rated pressure (psi)": "n/a"})}).wrenches
    assert math.isnan(wrench.hose_rated_pressure)
    assert math.isnan(wrench.pump_rated_pressure)
    assert not wrench.faults


def test_other_sheets(tmp_path: Path) -> None:
    path = write(tmp_path / "book.xlsx", {"HW-1": sheet_rows(), "Read me": [["Wrench", "x"]], "Notes 2026": [["a", 1]],
                                          "Prices": [["a", 1]], "HW-9": sheet_rows({"Wrench": "HW-9"}),
                                          "Empty": []})  # fmt: skip
    workbook = openpyxl.load_workbook(path)
    workbook["HW-9"].sheet_state = "hidden"
    workbook["HW-1"].row_dimensions[3].hidden = True
    workbook.save(path)
    book = read_wrench_book(path, US)
    assert sorted((f.code, f.facts["sheet"]) for f in book.findings) == [
        ("rows_hidden", "HW-1"), ("sheet_hidden", "HW-9"), ("sheet_unknown", "Prices"),
    ]  # fmt: skip
    assert [wrench.name for wrench in book.wrenches] == ["HW-1"]


def test_a_book_without_wrenches_or_gauges(read: Any) -> None:
    book = read({"Prices": [["a", 1]]}, gauges=None)
    assert [f.code for f in book.findings if f.level == STOP] == ["gauges_missing", "book_empty"]
    form = sheet_rows(dict.fromkeys(LABELS), links=LINKS[:1], table=TABLE[:1])
    assert "sheet_unfilled" in [f.code for f in read({"Wrench 1": form}).findings]


def test_cached_values_of_formulas_are_read(tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    with xlsxwriter.Workbook(path) as workbook:
        for name, rows in {"HW-1": sheet_rows(), "Gauges": GAUGES}.items():
            sheet, dates = workbook.add_worksheet(name), workbook.add_format({"num_format": "yyyy-mm-dd"})
            for row, values in enumerate(rows):
                for column, value in enumerate(values):
                    if isinstance(value, datetime.date):
                        sheet.write_datetime(row, column, value, dates)
                    elif value == 4100:
                        sheet.write_formula(row, column, "=4000+100", None, 4100)
                    else:
                        sheet.write(row, column, value)
    book = read_wrench_book(path, US)
    assert [finding.code for finding in book.findings] == [
        "formulas_maybe_old"
    ]  # its writer asks for all to be calculated
    assert float(book.wrenches[0].curve.torque[-1]) == pytest.approx(4100 * LBF_FT, rel=1e-12)


def test_no_workbook(tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    path.write_text("wrench,HW-1")
    with pytest.raises(WorkbookError, match="text file"):
        read_wrench_book(path, US)


# --- gauges and lubricants ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("column", "value", "code"),
    [
        (1, "lb", "unit_unknown"), (1, None, "unit_unknown"), (2, None, "missing"), (2, 15, "out_of_range"),
        (3, "5 bar", "graduation_unit"), (3, 0, "not_positive"), (3, "=50*2", "stale_formula"),
        (7, "03/04/2027", "date_ambiguous"), (7, None, "missing"), (7, datetime.date(2020, 1, 1), "dates_reversed"),
    ],
)  # fmt: skip
def test_faulty_gauge(read: Any, column: int, value: Any, code: str) -> None:
    row = list(GAUGES[1])
    row[column] = value
    book = read({"HW-1": sheet_rows()}, gauges=[*GAUGES[:1], row])
    assert stops(book)[-1] == (code, f"{'ABCDEFGH'[column]}2")
    assert not book.gauges
    assert ("gauge_not_listed", "B10") in stops(book)


def test_gauges_typed_in_other_ways(read: Any) -> None:
    row = ["g-1", "BAR", "0 to 1000 bar", "10 bar", 1, None, None, "2027-01-04"]
    book = read({"HW-1": sheet_rows()}, gauges=[["Pump gauges"], [], GAUGES[0], row])
    assert not book.findings
    assert (book.gauges["g-1"].marks.step, book.gauges["g-1"].range) == (10.0, 1000 * BAR)
    assert book.wrenches[0].gauge == "g-1"
    repeated = read({"HW-1": sheet_rows()}, gauges=[*GAUGES, GAUGES[1]])
    assert [code for code, _ in stops(repeated)] == ["gauge_not_listed", "gauge_repeated", "gauge_repeated"]
    below = read({"HW-1": sheet_rows()}, gauges=[*GAUGES, [], ["G-2", "bar", 1000]])
    assert cautions(below) == [("row_not_used", "A4")]


def test_lubricants(read: Any) -> None:
    head = ["Product", "Nut factor low", "Nut factor", "Nut factor high", "Thread friction", "Nut friction", "Source"]
    rows = [
        head, ["L-1", 0.13, 0.16, 0.19, None, None, "test 7"], ["L-2", None, None, None, 0.12, 0.11, "sheet 3"],
        ["L-3", None, 0.16, None, None, None, None], ["L-4", None, None, None, None, None, "s"],
        ["L-5", None, None, None, 0.12, None, "s"], ["L-6", None, 0.16, None, 0.12, 0.12, "s"],
        ["L-7", 0.17, 0.16, 0.19, None, None, "s"], ["L-8", None, 16, None, None, None, "s"],
        ["L-9", None, 0.1, None, None, None, "s"], ["l-9", None, 0.2, None, None, None, "s"],
    ]  # fmt: skip
    book = read({"HW-1": sheet_rows(), "Lubricants": rows})
    assert [(product.product, product.nut_factor) for product in book.lubricants][0] == ("L-1", 0.16)
    assert [product.product for product in book.lubricants] == ["L-1", "L-2"]
    assert (book.lubricants[1].thread_friction, book.lubricants[1].source) == (0.12, "sheet 3")
    assert sorted(stops(book)) == sorted([
        ("source_missing", "G4"), ("lubricant_empty", "A5"), ("coefficients_both", "A6"), ("friction_twice", "A7"),
        ("lubricant_order", "A8"), ("out_of_range", "C9"), ("lubricant_repeated", "A10"), ("lubricant_repeated", "A11"),
    ])  # fmt: skip
