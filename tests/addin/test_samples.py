"""The samples and the starter templates: what a new user opens first must hold what is promised of it."""

import datetime
import math
import re
from collections import Counter
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet
from plant_names import PLANT

from addin.cells.table import read_table
from addin.reading.in_cells import read_columns
from addin.reading.joint_rows import JointRows, read_rows
from addin.workbooks.package import open_package
from addin.workbooks.sheet_part import scan_sheet
from addin.wrenches.wrench_book import read_wrench_book
from calc.findings import CAUTION, InputError
from calc.hardware import materials, nuts, threads
from calc.plan.joints import PlanSettings
from calc.plan.plan import plan_joints
from calc.plan.plans import Plans
from calc.units import system

ROOT = Path(__file__).parents[2]
SAMPLES, TEMPLATES = ROOT / "samples", ROOT / "templates"
LIST, KEPT, REFUSALS, BOOK = (
    SAMPLES / f"drigrauvex-{name}.xlsx" for name in ("joints", "as-kept", "refusals", "wrenches")
)
TARGETS = ("Stress (psi)", "Percent of yield (%)", "Load (lbf)", "Torque (ft-lb)")


def rows(path: Path, sheet: str = "Joints") -> tuple[list[str], list[dict[str, Any]], int]:
    """Headings, rows as heading to value, and the row number of the headings."""
    values = list(openpyxl.load_workbook(path, read_only=True)[sheet].iter_rows(values_only=True))
    head = next(number for number, row in enumerate(values) if row[0] == "Joint")
    names = [str(name) for name in values[head]]
    return names, [dict(zip(names, row, strict=True)) for row in values[head + 1 :] if row[0]], head + 1


@pytest.fixture(scope="module")
def joints() -> list[dict[str, Any]]:
    return rows(LIST)[1]


@pytest.fixture(scope="module")
def refused() -> dict[str, list[dict[str, Any]]]:
    found: dict[str, list[dict[str, Any]]] = {}
    for row in rows(REFUSALS)[1]:
        found.setdefault(row["Joint"], []).append(row)
    return found


def test_the_list_is_what_the_readme_says(joints: list[dict[str, Any]]) -> None:
    assert 36 <= len(joints) <= 46
    methods = Counter(row["Method"] for row in joints)
    assert methods["hand"] == 6
    assert methods["tensioned"] == 3
    assert methods["other"] == 1
    assert {row["Operation"] for row in joints} == {"break", "test make-up", "final make-up", "retighten"}
    keys = Counter((row["Joint"].casefold(), row["Operation"]) for row in joints)
    assert max(keys.values()) == 1
    metric = [row for row in joints if row["Stud size"].startswith("M")]
    assert 8 <= len(metric) <= len(joints) - 20
    assert {bool(row["Wrenches together"]) for row in joints} == {True, False}
    assert any(row["Order"] for row in joints)
    assert any(row["Holes (through/tapped)"] == "tapped" for row in joints)
    assert any(str(row["Remarks"]).startswith("=") for row in joints)
    assert len(list(scan_sheet(open_package(LIST), "Joints").uncached)) == 0


def test_all_rows_are_complete(joints: list[dict[str, Any]]) -> None:
    for row in joints:
        stated = [heading for heading in TARGETS if row[heading] is not None]
        assert len(stated) == (0 if row["Method"] == "other" else 1), row["Joint"]
        assert (row["Stress area"] is None) == (stated[:1] not in (["Stress (psi)"], ["Percent of yield (%)"]))
        thread = threads.parse(row["Stud size"])
        materials.strength(row["Grade"], thread.diameter, thread.metric)
        if row["Method"] == "hydraulic":
            nuts.across_flats(thread, row["Nut series"])
        assert isinstance(row["Job date"], datetime.datetime)
        assert row["Studs"] >= 4


def test_every_row_has_a_wrench_large_enough(joints: list[dict[str, Any]]) -> None:
    """Torque by T = K D F (common practice, formula) for the rows with a nut factor, worked out here on its own."""
    book = read_wrench_book(BOOK, system("US"))
    factors = {lubricant.product: lubricant.nut_factor for lubricant in book.lubricants}
    checked = 0
    for row in joints:
        stress = row["Stress (psi)"]
        if row["Method"] != "hydraulic" or not isinstance(stress, int) or row["Lubricant"] not in ("L-10", "L-20"):
            continue
        thread = threads.parse(row["Stud size"])
        torque = (
            factors[row["Lubricant"]] * thread.diameter * stress * 6894.757 * threads.area(thread, row["Stress area"])
        )
        size = nuts.across_flats(thread)
        fits = [
            wrench for wrench in book.wrenches if wrench.curve and wrench.valid_until >= row["Job date"].toordinal()
            and any(abs(link.across_flats - size) < 5e-5 and torque < 0.9 * link.torque_limit for link in wrench.links)
            and wrench.curve.torque[0] < torque < 0.9 * wrench.curve.torque[-1]
        ]  # fmt: skip
        assert fits, row["Joint"]
        checked += 1
    assert checked >= 12


def test_the_wrench_book_has_no_fault() -> None:
    book = read_wrench_book(BOOK, system("US"))
    assert not book.findings
    assert len(book.wrenches) == 8
    units = {name: source.units.get("pressure") for name, source in book.sources.items()}
    assert {unit for (kind, _), unit in units.items() if kind == "wrench"} == {"psi", "bar"}
    marks = {(gauge.marks.step, units["gauge", name]) for name, gauge in book.gauges.items()}
    assert marks == {(100.0, "psi"), (50.0, "psi"), (10.0, "bar")}
    assert {wrench.pump for wrench in book.wrenches if wrench.name in ("HW-3", "HW-4")} == {"P-1"}
    assert any(link.factor != 1.0 for wrench in book.wrenches for link in wrench.links)
    assert any(wrench.hose_rated_pressure < wrench.rated_pressure for wrench in book.wrenches)
    assert len(book.lubricants) == 3


def test_the_table_for_the_command_line_is_that_of_hw3() -> None:
    lines = [line.split(",") for line in (SAMPLES / "HW-3-calibration.csv").read_text(encoding="utf-8").splitlines()]
    table = read_table([lines[0], *[[float(cell) for cell in line] for line in lines[1:]]])
    (wrench,) = (w for w in read_wrench_book(BOOK, system("US")).wrenches if w.name == "HW-3")
    assert wrench.curve is not None
    assert list(table.pressure) == list(wrench.curve.pressure)
    assert list(table.torque) == list(wrench.curve.torque)


# --- one row of each refusal ----------------------------------------------------------------------------------------


CODES = {
    "F-01": "unit_unknown", "F-02": "unit_wrong_kind", "F-03": "target_missing", "F-04": "target_several",
    "F-05": "wrench_unfit", "F-06": "no_wrench", "F-07": "thread_unknown", "F-08": "thread_pitch_needed",
    "F-09": "series_needed", "F-10": "class_needed", "F-11": "specification_needed", "F-12": "grade_unknown",
    "F-13": "yield_exceeded", "F-14": "area_needed", "F-15": "out_of_range", "F-16": "percent_as_fraction",
    "F-17": "wrench_unfit", "F-18": "no_wrench", "F-19": "date_needed", "F-20": "no_link_anywhere",
    "F-21": "wrench_unfit", "F-22": "wrench_unknown", "F-24": "not_whole", "F-25": "not_a_number", "F-26": "error_cell",
    "F-27": "thread_is_date", "F-28": "repeated", "F-29": "stale_formula", "F-30": "lubricant_unknown",
    "F-31": "friction_needed", "F-32": "friction_disagrees", "F-33": "word_unknown", "F-34": "word_unknown",
    "F-35": "date_ambiguous", "F-36": "at_once_divides", "F-37": "order_incomplete", "F-38": "number_ambiguous",
    "F-39": "is_truth_value", "F-40": "not_positive", "F-50": "unit_missing",
}  # fmt: skip
"""What stops each row; the code of F-23, a stud count of 3, is left open."""


def planned(path: Path, sheet: str = "Joints") -> tuple[JointRows, Plans]:
    """A sample read cell by cell and planned."""
    values = list(openpyxl.load_workbook(path, data_only=True, read_only=True)[sheet].iter_rows(values_only=True))
    head = next(number for number, row in enumerate(values) if row[0] == "Joint")
    uncached = scan_sheet(open_package(path), sheet).uncached
    stale = {(r, c) for r in range(len(values) - head - 1) for c in range(30) if (r + head + 2, c + 1) in uncached}
    read = read_rows(read_columns(values[head], values[head + 1 :]), values[head + 1 :], stale=stale)
    book = read_wrench_book(BOOK, system("US"))
    return read, plan_joints(read.joints, book.wrenches, book.gauges, book.lubricants, PlanSettings())


@pytest.mark.parametrize("sheet", ["Joints", "No unit", "Ambiguous unit"])
def test_every_refusal_stops_its_row_and_gives_no_number(sheet: str) -> None:
    read, plan = planned(REFUSALS, sheet)
    for row, tag in enumerate(read.joints.joint):
        codes = {finding.code for finding in plan.stops() if finding.row == row}
        assert plan.status[row] == "stopped"
        assert codes, tag
        expected = "heading_unit_unknown" if sheet == "Ambiguous unit" else CODES.get(tag)
        assert expected is None or expected in codes, (tag, codes)
        assert math.isnan(plan.torque[row])
        assert math.isnan(plan.preload[row])
        assert not plan.pulling[row]


def test_the_whole_list_is_planned_with_few_cautions() -> None:
    read, plan = planned(LIST)
    assert "stopped" not in plan.status
    assert not plan.stops()
    counts = Counter(zip(plan.status, read.joints.method, strict=True))
    assert counts["planned", "hydraulic"] >= 26
    assert counts["planned", "hand"] == 6
    # the class of a gauge is one thing to watch, in a pass or at full torque
    cautions = {finding.code.removesuffix("_stage") for finding in plan.findings if finding.level == CAUTION}
    assert cautions == {
        "breakout_needs", "friction_may_differ", "friction_not_stated", "gauge_class", "retighten", "yield_from_memory",
    }  # fmt: skip
    pulling = {candidate.wrench.name for group in plan.pulling for candidate in group}
    assert pulling == {"HW-1", "HW-2", "HW-3", "HW-4", "HW-5", "HW-6", "HW-7"}


def test_the_list_as_strangers_keep_it_lacks_what_is_asked() -> None:
    sheet = openpyxl.load_workbook(KEPT).active
    assert sheet is not None
    headings = [str(cell.value) for cell in sheet[4]]
    assert not [heading for heading in headings if re.search("operation|method", heading, re.IGNORECASE)]
    assert {"AF (in)", "Torque (ft-lb)"} < set(headings)
    assert str(sheet.cell(sheet.max_row, 1).value).startswith("Note: ")


def test_the_plant_is_the_first_name_of_the_draw() -> None:
    assert {path.name.split("-")[0] for path in SAMPLES.glob("*.xlsx")} == {PLANT.casefold()}


def test_wrench_refusals_are_about_the_wrench(refused: dict[str, list[dict[str, Any]]]) -> None:
    book = {wrench.name: wrench for wrench in read_wrench_book(BOOK, system("US")).wrenches}
    beyond = refused["F-05"][0]
    curve = book[beyond["Wrench"]].curve
    assert curve is not None
    assert beyond["Torque (ft-lb)"] * 1.3558 > curve.torque[-1]
    below = refused["F-06"][0]["Torque (ft-lb)"] * 1.3558
    assert all(wrench.curve is not None and below < wrench.curve.torque[0] for wrench in book.values())
    expired = refused["F-17"][0]
    assert book[expired["Wrench"]].valid_until < expired["Job date"].toordinal()
    late = refused["F-18"][0]["Job date"].toordinal()
    assert all(wrench.valid_until < late for wrench in book.values())
    for tag, names in (("F-20", list(book)), ("F-21", ["HW-7"])):
        size = nuts.across_flats(threads.parse(refused[tag][0]["Stud size"]))
        assert all(abs(link.across_flats - size) > 1e-4 for name in names for link in book[name].links)


def test_the_formula_without_a_value_is_one_cell() -> None:
    names, listed, head = rows(REFUSALS)
    row = head + 1 + next(i for i, found in enumerate(listed) if found["Joint"] == "F-29")
    column = openpyxl.utils.get_column_letter(names.index("Stress (psi)") + 1)
    assert list(scan_sheet(open_package(REFUSALS), "Joints").uncached) == [f"{column}{row}"]


def test_two_lists_without_a_clear_unit() -> None:
    assert "Torque" in rows(REFUSALS, "No unit")[0]
    assert "Torque (lb)" in rows(REFUSALS, "Ambiguous unit")[0]


# --- starter templates ----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def starter() -> Worksheet:
    return openpyxl.load_workbook(TEMPLATES / "joint list.xlsx")["Joints"]


def test_the_starter_list_has_the_headings_of_the_sample(starter: Worksheet) -> None:
    names, _, head = rows(LIST)
    assert [cell.value for cell in starter[head]] == names
    assert all(cell.comment and cell.comment.text for cell in starter[head])
    assert all(cell.value is None for row in starter.iter_rows(min_row=head + 1) for cell in row)
    stud = names.index("Stud size") + 1
    assert all(starter.cell(row, stud).number_format == "@" for row in range(head + 1, starter.max_row + 1))
    assert starter.freeze_panes is not None
    assert starter.print_title_rows == f"${head}:${head}"


def test_its_drop_downs_are_the_words_that_are_read(starter: Worksheet) -> None:
    names, _, head = rows(LIST)
    workbook = starter.parent
    lists = {}
    for rule in starter.data_validations.dataValidation:
        if rule.type == "list":
            column = openpyxl.utils.cell.coordinate_from_string(str(rule.sqref).split(":")[0])[0]
            heading = names[openpyxl.utils.column_index_from_string(column) - 1]
            sheet, area = rule.formula1.rsplit("!", 1)
            lists[heading] = tuple(cell.value for (cell,) in workbook[sheet.strip("'")][area.replace("$", "")])
    for grade in lists.pop("Grade"):  # each is known for a stud of one system or the other
        assert any(_known(grade, size, metric) for size in (0.012, 0.02) for metric in (True, False)), grade
    assert lists == {
        "Operation": ("break", "test make-up", "final make-up", "retighten"),
        "Method": ("hydraulic", "hand", "tensioned", "other"),
        "Stress area": threads.AREAS,
        "Nut series": nuts.SERIES,
        "Holes (through/tapped)": ("through", "tapped"),
    }


def test_the_starter_book_is_an_empty_form() -> None:
    book = read_wrench_book(TEMPLATES / "wrench book.xlsx", system("US"))
    assert [finding.code for finding in book.findings] == ["sheet_unfilled", "book_empty"]
    workbook = openpyxl.load_workbook(TEMPLATES / "wrench book.xlsx")
    assert workbook.sheetnames == ["Read me", "Wrench 1", "Gauges", "Lubricants"]


def test_a_filled_copy_of_the_starter_book_is_read(tmp_path: Path) -> None:
    workbook = openpyxl.load_workbook(TEMPLATES / "wrench book.xlsx")
    sheet = workbook["Wrench 1"]
    where = {str(cell.value): cell.row for (cell,) in sheet["A1:A60"] if cell.value}
    for label, value in {"Wrench": "T-1", "Certificate valid until": datetime.date(2027, 1, 1), "Gauge": "G-1",
                         "Rated pressure (psi)": 10000}.items():  # fmt: skip
        sheet.cell(where[label], 2).value = value
    for column, value in enumerate(["2 in socket", 2, 1], 1):
        sheet.cell(where["Link or socket"] + 1, column).value = value
    for i, (pressure, torque) in enumerate([(1000, 400), (10000, 4000)], 1):
        sheet.cell(where["Pressure (psi)"] + i, 1).value = pressure
        sheet.cell(where["Pressure (psi)"] + i, 2).value = torque
    for column, value in enumerate(["G-1", "psi", 15000, 100, "1.0", "C", None, datetime.date(2027, 1, 1)], 1):
        workbook["Gauges"].cell(2, column).value = value
    workbook.save(tmp_path / "book.xlsx")
    book = read_wrench_book(tmp_path / "book.xlsx", system("US"))
    assert not book.findings
    assert [wrench.name for wrench in book.wrenches] == ["T-1"]


@pytest.mark.parametrize(
    "path", [*sorted(SAMPLES.glob("*.xlsx")), *sorted(TEMPLATES.glob("*.xlsx"))], ids=lambda p: p.name
)
def test_every_workbook_passes_the_gate(path: Path) -> None:
    package = open_package(path)
    assert not package.macros
    for sheet in package.sheets:
        scan_sheet(package, sheet.name)


def _known(grade: str, size: float, metric: bool) -> bool:
    try:
        materials.strength(grade, size, metric)
    except InputError:
        return False
    return True
