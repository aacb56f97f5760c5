"""Lists longer than the rows of their template: what stands below, what refers to rows, pictures and charts."""

import re
import zipfile

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.chart import Reference, ScatterChart, Series
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import PatternFill
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.pagebreak import Break

from addin.forms import form
from addin.forms.grow import grow, moved
from addin.forms.template import Filling, Template, TemplateError, Vocabulary

KNOWN = Vocabulary(
    values=frozenset({"title"}),
    groups={"item": frozenset({"name", "count"}), "other": frozenset({"name"})},
    lists=frozenset({"item", "other"}),
)


@pytest.fixture
def book(tmp_path):
    """Title, two rows of one list, one row of another, a chart between them and the foot."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Kit"
    sheet["A1"] = "{{title}}"
    for row in (3, 4):
        sheet.cell(row, 1, "{{item.name}}")
        sheet.cell(row, 3, "{{item.count}}")
        sheet.merge_cells(f"A{row}:B{row}")
        sheet.row_dimensions[row].height = 21
    sheet["A6"] = "{{other.name}}"
    sheet["A8"] = "signed"
    sheet.merge_cells("A8:C9")
    sheet.conditional_formatting.add("C3:C4", FormulaRule(["$C3>5"], fill=PatternFill("solid", bgColor="DDDDDD")))
    sheet.conditional_formatting.add("C8", FormulaRule(["$C8>5"], fill=PatternFill("solid", bgColor="DDDDDD")))
    rule = DataValidation(type="list", formula1='"yes,no"')
    rule.add("D3:D4")
    rule.add("D8")
    sheet.add_data_validation(rule)
    chart = ScatterChart()
    chart.series.append(Series(Reference(sheet, min_col=3, min_row=3, max_row=4),
                               Reference(sheet, min_col=1, min_row=3, max_row=4), title="x"))  # fmt: skip
    chart.title = "Curve of {{title}}"
    sheet.add_chart(chart, "F8")
    sheet.row_breaks.append(Break(id=7))
    sheet.print_area = "A1:D9"
    sheet.print_title_rows = "1:2"
    path = tmp_path / "kit.xlsx"
    book.save(path)
    return path


def filling(items, others):
    return Filling(
        {"title": "Unit 2"},
        {"item": [{"name": f"item {n}", "count": n} for n in range(items)],
         "other": [{"name": f"other {n}"} for n in range(others)]},
    )  # fmt: skip


def write(book, *sheets):
    target = book.with_name("out.xlsx")
    target.unlink(missing_ok=True)
    Template(book, KNOWN).write(target, [(f"S {n}", each) for n, each in enumerate(sheets)])
    return target


def test_rows_are_repeated_and_what_is_below_moves_down(book):
    sheet = load_workbook(write(book, filling(5, 3))).active

    assert [sheet.cell(row, 1).value for row in range(1, 14)] == [
        "Unit 2", None, *(f"item {n}" for n in range(5)), None, *(f"other {n}" for n in range(3)), None, "signed",
    ]  # fmt: skip
    assert [sheet.cell(row, 3).value for row in range(3, 8)] == [0, 1, 2, 3, 4]
    assert {str(ranges) for ranges in sheet.merged_cells.ranges} == {
        *(f"A{row}:B{row}" for row in range(3, 8)), "A13:C14",
    }  # fmt: skip
    assert [sheet.row_dimensions[row].height for row in (4, 5, 7, 8)] == [21, 21, 21, None]


def test_what_refers_to_rows_goes_along(book):
    sheet = load_workbook(write(book, filling(5, 3))).active

    rules = {str(each.sqref): each.rules[0].formula for each in sheet.conditional_formatting}
    assert rules == {"C3:C7": ["$C3>5"], "C13": ["$C13>5"]}
    assert str(sheet.data_validations.dataValidation[0].sqref) == "D3:D7 D13"
    assert sheet.print_area == "'S 0'!$A$1:$D$14"
    assert sheet.print_title_rows == "$1:$2"
    assert [each.id for each in sheet.row_breaks.brk] == [12]


def test_charts_grow_with_their_rows_and_their_titles_are_filled(book):
    target = write(book, filling(5, 3), filling(1, 1))

    with zipfile.ZipFile(target) as parts:
        charts = [parts.read(name).decode() for name in sorted(parts.namelist()) if "charts/chart" in name]
        drawings = [parts.read(name).decode() for name in sorted(parts.namelist()) if "drawings/drawing" in name]
    found = [re.findall(r"<(?:\w+:)?f>([^<]*)<", chart) for chart in charts]
    assert sorted(found) == [["'S 0'!$A$3:$A$7", "'S 0'!$C$3:$C$7"], ["'S 1'!$A$3:$A$4", "'S 1'!$C$3:$C$4"]]
    assert all("Curve of Unit 2" in chart for chart in charts)
    assert sorted(re.findall(r"<(?:\w+:)?row>(\d+)<", drawing)[0] for drawing in drawings) == ["12", "7"]


def test_a_sheet_that_has_room_keeps_its_rows(book):
    short = load_workbook(write(book, filling(1, 0))).active

    assert short.print_area == "'S 0'!$A$1:$D$9"
    assert short["A8"].value == "signed"


def test_each_sheet_grows_by_itself(book):
    sheets = load_workbook(write(book, filling(5, 3), filling(9, 1))).worksheets

    assert [sheet.print_area for sheet in sheets] == ["'S 0'!$A$1:$D$14", "'S 1'!$A$1:$D$16"]


def test_a_form_that_has_grown_once_is_kept_and_writes_the_same(book, monkeypatch):
    """Sheets of three sizes in turn, in one file and each in a file of its own: the same parts, and a form a size."""
    grown = []
    monkeypatch.setattr(form, "grow", lambda xml, added: grown.append(added) or grow(xml, added))
    sizes = [(5, 3), (2, 9), (5, 3), (30, 1), (2, 9), (5, 3)]

    together = write(book, *(filling(*size) for size in sizes))
    assert len(grown) == 3
    with zipfile.ZipFile(together) as file:
        names = sorted(name for name in file.namelist() if name.startswith("xl/worksheets/sheet"))
        parts = [file.read(name) for name in names]
    monkeypatch.setattr(form, "_MOST_GROWN", 1)
    again = write(book, *(filling(*size) for size in sizes))
    assert len(grown) == 3 + len(sizes)
    with zipfile.ZipFile(again) as file:
        assert [file.read(name) for name in names] == parts
    assert len(set(parts)) == 3 + 1  # the first is the sheet that is shown


def test_formulas_are_not_rewritten(book):
    edited = load_workbook(book)
    edited.active["D9"] = "=SUM(C3:C4)"
    edited.save(book)

    with pytest.raises(TemplateError, match="formulas cannot be given more rows"):
        write(book, filling(5, 3))
    write(book, filling(2, 1))


def test_thousand_rows(book):
    sheet = load_workbook(write(book, filling(1000, 1))).active

    assert sheet["A1002"].value == "item 999"
    assert sheet["A1006"].value == "signed"


def test_references():
    assert moved("SUM(A3:A4)+B9", [(4, 2)]) == "SUM(A3:A6)+B11"
    assert moved("$A$1", [(4, 2)]) == "$A$1"
    assert moved("A1:C40 E40", [(40, 1), (3, 10)]) == "A1:C51 E50"


def test_a_row_without_a_number_is_refused():
    with pytest.raises(TemplateError, match="no number"):
        grow(b"<worksheet><sheetData><row><c/></row></sheetData></worksheet>", [(1, 1)])
