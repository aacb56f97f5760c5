"""Filter, table and print area of a list over our columns."""

import openpyxl
import pytest
from openpyxl.worksheet.table import Table, TableStyleInfo

from addin.workbooks.package import WorkbookError
from addin.workbooks.sheet_look import Beside
from addin.workbooks.writeback import OutCell, OutColumn

HEADS = ("Joint | operation", "Status", 'Torque "x" & y')


@pytest.fixture
def listed(tmp_path):
    """A list with a filter, a print area and, where asked for, a table instead of the filter."""

    def make(table: bool = False, total: bool = False, head: str = "Studs"):
        book = openpyxl.Workbook()
        sheet = book.worksheets[0]
        sheet.title = "Joints"
        book.create_sheet("Crew's board")
        for row in (["Outage"], ["Joint", head], ["V-1", 8], ["V-2", 8]):
            sheet.append(row)
        if table:
            made = Table(displayName="List", ref="A2:B5" if total else "A2:B4", totalsRowCount=1 if total else None)
            made.tableStyleInfo = TableStyleInfo(name="TableStyleMedium2", showRowStripes=True)
            sheet.add_table(made)
        else:
            sheet.auto_filter.ref = "A2:B4"
        sheet.print_area = "A1:B4"
        book.save(tmp_path / "list.xlsx")
        return tmp_path / "list.xlsx"

    return make


def write(books, source, *, extend, heads=HEADS, replace=False):
    columns = [
        OutColumn(letter, {2: OutCell(head), 3: OutCell("x"), 4: OutCell(1.5)}, 10)
        for letter, head in zip("CDE", heads, strict=False)
    ]
    target, report = books.write(source, columns, beside=Beside(2, 2, extend=extend), replace=replace)
    return target, report, openpyxl.load_workbook(target)["Joints"]


def test_filter_and_print_area_reach_our_columns_only_when_asked_for(books, listed):
    _, report, sheet = write(books, listed(), extend=False)
    assert (sheet.auto_filter.ref, sheet.print_area) == ("A2:B4", "'Joints'!$A$1:$B$4")
    assert report.warnings == [
        "the filter A2:B4 ends before our columns: sorted through it, the rows are parted from them; --extend lets it"
        " reach them",
        "sheet 'Joints': cell C2 is outside the print area and is not printed",
    ]
    target, report, sheet = write(books, listed(), extend=True)
    assert (sheet.auto_filter.ref, sheet.print_area) == ("A2:E4", "'Joints'!$A$1:$E$4")
    assert report.warnings == []
    assert b"$A$2:$E$4" in books.unpack(target)["xl/workbook.xml"]


def test_a_table_reaches_our_columns_with_their_headings_as_its_names(books, listed):
    _, report, _ = write(books, listed(table=True), extend=False)
    assert report.warnings[0].startswith("table List (A2:B4) ends before our columns: sorted through it")
    target, report, sheet = write(books, listed(table=True), extend=True)
    assert report.warnings == []
    table = sheet.tables["List"]
    assert (table.ref, table.autoFilter.ref if table.autoFilter else "A2:E4") == ("A2:E4", "A2:E4")
    assert [column.name for column in table.tableColumns] == ["Joint", "Studs", *HEADS]
    assert [column.id for column in table.tableColumns] == [1, 2, 3, 4, 5]
    assert [cell.value for cell in sheet[2]] == ["Joint", "Studs", *HEADS]
    once = target.rename(books.folder / "once.xlsx")
    heads = (HEADS[0], "Status", "Torque (psi)")
    _, report, sheet = write(books, once, extend=False, heads=heads, replace=True)
    assert report.warnings == []
    assert [column.name for column in sheet.tables["List"].tableColumns][2:] == list(heads)
    assert sheet["E4"].value == 1.5


def test_a_table_with_totals_keeps_them(books, listed):
    _, _, sheet = write(books, listed(table=True, total=True), extend=True)
    assert (sheet.tables["List"].ref, sheet.tables["List"].totalsRowCount) == ("A2:E5", 1)


def test_a_table_in_which_a_name_would_stand_twice_stays(books, listed):
    _, report, sheet = write(books, listed(table=True, head="status"), extend=True)
    assert sheet.tables["List"].ref == "A2:B4"
    assert report.warnings[0] == (
        "table List (A2:B4) is not extended: its column 'status' would stand twice; give yours another heading"
    )


def test_a_table_that_is_not_of_the_list_is_no_place_for_results(books, listed):
    source = listed(table=True)
    columns = [OutColumn("B", {3: OutCell("x")})]
    with pytest.raises(WorkbookError, match="is part of the table 'List'"):
        books.write(source, columns, beside=Beside(1, 1), replace=True)
