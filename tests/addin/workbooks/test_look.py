"""Cells beside a list look like the list; what a format cannot be read from is written plain."""

import openpyxl
import pytest
from openpyxl.formatting.rule import CellIsRule, DataBarRule, FormulaRule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

from addin.workbooks.addresses import area
from addin.workbooks.conditional import Mark
from addin.workbooks.sheet_look import Beside
from addin.workbooks.styles_part import Highlight
from addin.workbooks.writeback import OutCell, OutColumn, Style

HEADING = Style(bold=True, wrap=True, fill=True)
BLUE, LIGHT, OWN = "FF1F4E79", "FFDDEBF7", "FFFFFF00"


@pytest.fixture
def styled(tmp_path):
    """A list with a heading on blue, bands, thin lines, Arial 9, separators of thousands, two conditional formats."""
    path = tmp_path / "list.xlsx"
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Joints"
    line = Side(style="thin")
    for row in range(1, 6):
        for column in range(1, 4):
            cell = sheet.cell(row, column)
            cell.value = f"H{column}" if row == 1 else 1000 * row + column
            cell.font, cell.border = Font(name="Arial", size=9, bold=row == 1), Border(line, line, line, line)
            cell.alignment = Alignment(horizontal="center", vertical="center", wrap_text=row == 1)
            cell.number_format = "General" if row == 1 else "#,##0"
            if row == 1 or row % 2:
                cell.fill = PatternFill("solid", fgColor=BLUE if row == 1 else LIGHT)
    sheet.row_dimensions[1].height = 40
    red = PatternFill("solid", bgColor="FFFF0000")
    sheet.conditional_formatting.add("A2:C5", FormulaRule(["$B2>3000"], fill=red))
    sheet.conditional_formatting.add("A2:B5", FormulaRule(["$B2>9000"], fill=red))
    sheet.conditional_formatting.add("A2:C5", CellIsRule("lessThan", ["5"], fill=red))
    sheet.conditional_formatting.add("C2:C5", DataBarRule("min", None, "max", None, "FF00FF00"))
    book.save(path)
    return path


def out(marks=(), status="stopped"):
    numbers = {2: OutCell(4250.0, Style("0")), 3: OutCell(5.5, Style("0.0"))}
    columns = [
        OutColumn("D", {1: OutCell("Pressure to set (psi)", HEADING), **numbers}, 10),
        OutColumn("E", {1: OutCell("Status", HEADING), 2: OutCell(status), 3: OutCell("planned")}, 10),
    ]  # fmt: skip
    return columns, Beside(3, 1, (4, 5), marks)


def write(books, source, marks=(), **more):
    columns, beside = out(marks)
    target, report = books.write(source, columns, beside=beside, **more)
    return target, report, openpyxl.load_workbook(target)["Joints"]


def test_font_lines_fill_alignment_and_separators_are_the_planners(books, styled):
    _, report, sheet = write(books, styled)
    assert report.warnings == []
    for name in ("D2", "D3", "E2", "E3", "D1", "E1"):
        there, cell = sheet[f"C{name[1:]}"], sheet[name]
        assert (cell.font.name, cell.font.sz, cell.font.b) == ("Arial", 9, name[1] == "1")
        assert cell.border.left.style == cell.border.bottom.style == "thin"
        assert cell.fill.fgColor.rgb == there.fill.fgColor.rgb
        assert (cell.alignment.horizontal, cell.alignment.vertical) == ("center", "center")
    assert [sheet[name].number_format for name in ("D2", "D3", "E2")] == ["#,##0", "#,##0.0", "General"]
    assert sheet.row_dimensions[1].height == 40
    assert sheet.column_dimensions["D"].width == 10, "three lines of 'Pressure to set (psi)' have room"


def test_a_long_sentence_runs_on_beside_a_column_that_wraps(books, styled):
    """Rows keep their height: wrapped in one of them, a message would cover its neighbours."""
    book = openpyxl.load_workbook(styled)
    for row in (2, 3):
        book["Joints"].cell(row, 3).alignment = Alignment(horizontal="center", vertical="top", wrap_text=True)
    book.save(styled)
    message = OutColumn("D", {1: OutCell("Message", HEADING), 2: OutCell("a. b. " * 40, Style(left=True)),
                              3: OutCell("short")}, 40)  # fmt: skip

    target, _ = books.write(styled, [message], beside=Beside(3, 1, (4, 4), ()))

    sheet = openpyxl.load_workbook(target)["Joints"]
    said, other = sheet["D2"].alignment, sheet["D3"].alignment
    assert (said.horizontal, said.vertical, bool(said.wrap_text)) == (None, "top", False)
    assert (other.horizontal, other.vertical, bool(other.wrap_text)) == ("center", "top", True)


def test_a_low_row_of_headings_makes_the_columns_wide(books, styled):
    book = openpyxl.load_workbook(styled)
    book["Joints"].row_dimensions[1].height = 14
    book.save(styled)
    _, _, sheet = write(books, styled)
    assert sheet.row_dimensions[1].height == 14
    assert sheet.column_dimensions["D"].width > 21 * 9 / 11, "one line of 21 characters of 9 points"


def test_rows_without_results_are_dressed_and_stay_empty(books, styled):
    _, _, sheet = write(books, styled)
    assert sheet["D5"].value is None
    assert sheet["D5"].fill.fgColor.rgb == LIGHT
    assert sheet["E4"].border.top.style == "thin"


def test_formats_of_whole_rows_reach_our_columns_and_no_others_do(books, styled):
    _, _, sheet = write(books, styled)
    found = {
        (str(each.sqref), rule.type, *rule.formula) for each in sheet.conditional_formatting for rule in each.rules
    }
    assert ("A2:C5", "cellIs", "5") in found, "an element that holds another kind of rule stays as it is"
    assert ("A2:B5", "expression", "$B2>9000") in found, "it ended before the last column"
    assert ("C2:C5", "dataBar") in found


@pytest.mark.parametrize(
    ("formula", "reaches"), [("$B2>3000", True), ("MOD(ROW(),2)=0", True), ("B2>3000", False), ('$B2&"A1"="x"', True)]
)
def test_only_formulas_that_mean_the_same_in_every_column_are_carried_on(books, styled, formula, reaches):
    book = openpyxl.load_workbook(styled)
    sheet = book["Joints"]
    sheet.conditional_formatting = type(sheet.conditional_formatting)()
    sheet.conditional_formatting.add("A2:C5", FormulaRule([formula], font=Font(b=True)))
    book.save(styled)
    target, _, sheet = write(books, styled)
    assert [str(each.sqref) for each in sheet.conditional_formatting] == ["A2:E5" if reaches else "A2:C5"]
    once = target.rename(books.folder / "once.xlsx")
    _, _, sheet = write(books, once, replace=True)
    assert [str(each.sqref) for each in sheet.conditional_formatting] == ["A2:E5" if reaches else "A2:C5"]


def test_our_marks_come_first_and_are_there_once(books, styled):
    marks = [Mark(area("E2:E3"), 'LEFT($E2,7)="stopped"', Highlight("9C1C1C", "FFFFFF", bold=True))]
    target, _, _ = write(books, styled, marks)
    once = target.rename(books.folder / "once.xlsx")
    wide = [Mark(area("E2:E9"), 'LEFT($E2,7)="stopped"', marks[0].look)]
    target, _, sheet = write(books, once, wide, replace=True)
    rules = [(str(each.sqref), rule) for each in sheet.conditional_formatting for rule in each.rules]
    ours = [(where, rule) for where, rule in rules if "stopped" in "".join(rule.formula)]
    assert [where for where, _ in ours] == ["E2:E9"]
    assert ours[0][1].dxf.fill.bgColor.rgb == "FF9C1C1C"
    assert ours[0][1].priority < min(rule.priority for _, rule in rules if rule is not ours[0][1])


def test_a_band_of_the_planner_stays_away_from_the_column_that_says_stopped(books, styled):
    """LibreOffice shows one of two formats of a cell, whatever their order."""
    marks = [Mark(area("E2:E3"), 'LEFT($E2,7)="stopped"', Highlight("9C1C1C", "FFFFFF", bold=True))]
    book = openpyxl.load_workbook(styled)
    book["Joints"].conditional_formatting = type(book["Joints"].conditional_formatting)()
    book["Joints"].conditional_formatting.add("A2:C5", FormulaRule(["$B2>3000"], font=Font(b=True)))
    book.save(styled)
    _, _, sheet = write(books, styled, marks)
    formats = [(str(each.sqref), *rule.formula) for each in sheet.conditional_formatting for rule in each.rules]
    assert ("E2:E3", 'LEFT($E2,7)="stopped"') in formats
    assert ("A2:D5", "$B2>3000") in formats


def test_fill_and_font_that_the_planner_gave_to_our_cells_stay(books, styled):
    target, _, _ = write(books, styled)
    book = openpyxl.load_workbook(target)
    for name in ("D2", "E3"):
        book["Joints"][name].fill = PatternFill("solid", fgColor=OWN)
        book["Joints"][name].font = Font(name="Arial", size=9, b=True, color="FF00B050")
    edited = books.folder / "edited.xlsx"
    book.save(edited)
    _, _, sheet = write(books, edited, replace=True)
    for name in ("D2", "E3"):
        assert sheet[name].fill.fgColor.rgb == OWN
        assert (sheet[name].font.b, sheet[name].font.color.rgb) == (True, "FF00B050")
    assert sheet["D3"].fill.fgColor.rgb == LIGHT
    assert sheet["D2"].number_format == "#,##0"


def test_cells_the_planner_formatted_before_the_first_plan_keep_that_format(books, styled):
    book = openpyxl.load_workbook(styled)
    book["Joints"]["D2"].fill = PatternFill("solid", fgColor=OWN)
    book.save(styled)
    _, report, sheet = write(books, styled)
    assert sheet["D2"].fill.fgColor.rgb == OWN
    assert report.warnings == []


def test_a_link_lends_neither_its_line_nor_its_colour(books, styled):
    book = openpyxl.load_workbook(styled)
    book["Joints"]["C2"].font = Font(name="Arial", size=9, u="single", color="FF0000FF")
    book.save(styled)
    _, _, sheet = write(books, styled)
    assert (sheet["D2"].font.name, sheet["D2"].font.u, sheet["D2"].font.color) == ("Arial", None, None)


@pytest.mark.parametrize("broken", [b'<xf fontId="999"', b'<xf fontId="x"'])
def test_a_format_that_cannot_be_read_falls_back_to_plain(books, styled, broken):
    parts = books.unpack(styled)
    before, xfs, after = parts["xl/styles.xml"].partition(b"<cellXfs")
    parts["xl/styles.xml"] = before + xfs + after.replace(b'fontId="', b'fontIdx="').replace(b"<xf ", broken + b" ")
    source = books.pack(parts)
    target, report = books.write(source, out()[0], beside=out()[1])
    assert report.cells >= 6
    assert ("D2", "4250", None) in books.cells(target)
