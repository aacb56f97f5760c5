import random

import pytest
import xlsxwriter

from addin.workbooks.addresses import Area, area, whole_area
from addin.workbooks.package import WorkbookError, open_package
from addin.workbooks.sheet_part import scan_sheet

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
MC = "http://schemas.openxmlformats.org/markup-compatibility/2006"


def scan(path, sheet="Joints"):
    return scan_sheet(open_package(path), sheet)


def test_what_a_spreadsheet_writes(books):
    path = books.folder / "list.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Joints")
        sheet.write_row(2, 1, ["Joint", "Studs"])
        sheet.merge_range("B1:D1", "Unit 2")
        sheet.write_formula("C4", "=1/0", None, "#DIV/0!")
        sheet.write_array_formula("E4:E6", "{=B4:B6}", None, 1)
        sheet.write_dynamic_array_formula("G4", "=SORT(B4:B6)", None, 2)
        sheet.data_validation("H4:H9", {"validate": "list", "source": ["a", "b"]})
        sheet.data_validation("J2", {"validate": "list", "source": "=Other!$A$1:$A$3"})
        sheet.add_table("L3:M8", {"name": "Pumps", "columns": [{"header": "a"}, {"header": "b"}]})
        sheet.set_row(4, None, None, {"hidden": True})
        sheet.set_column("N:P", 8, None, {"hidden": True})
        sheet.write_comment("B3", "as built")
        book.add_worksheet("Other").protect("x")
    found = scan(path)
    assert found.used == area("B1:M6")
    assert [str(each) for each in found.merged] == ["B1:D1"]
    assert [str(each) for each in found.arrays] == ["E4:E6", "G4"]
    assert sorted(str(each) for each in found.validations) == ["H4:H9", "J2"]
    assert [(table.name, str(table.area), table.heading_rows) for table in found.tables] == [("Pumps", "L3:M8", 1)]
    assert list(found.errors) == ["C4"]
    assert list(found.uncached) == []
    assert found.hidden_rows == {5}
    assert [found.column_hidden(number) for number in (13, 14, 16, 17)] == [False, True, True, False]
    assert not found.protected
    assert scan(path, "Other").protected


@pytest.mark.parametrize(
    ("cell", "uncached"),
    [
        ('<c r="B2"><f>A1</f></c>', True),
        ('<c r="B2"><f>A1</f><v/></c>', True),
        ('<c r="B2"><f>A1</f><v></v></c>', True),
        ('<c r="B2"><f>A1</f><v> </v></c>', True),
        ('<c r="B2"><f t="shared" si="0"/></c>', True),
        ('<c r="B2" cm="1"><f t="array" ref="B2:B4">A1</f></c>', True),
        ('<c r="B2"><f>A1</f><v>0</v></c>', False),
        ('<c r="B2"><f ca="1">A1</f><v>0</v></c>', False),
        ('<c r="B2"><f t="shared" si="0"/><v>1</v></c>', False),
        ('<c r="B2" t="str"><f>A1</f><v></v></c>', False),
        ('<c r="B2" t="e"><f>A1</f><v>#REF!</v></c>', False),
        ("<c r='B2' ><f\n>A1</f ><v\n>1</v ></c\n>", False),
        ("<c r='B2' ><f\n>A1</f >\n</c\n>", True),
        ('<c r="B2"><v>1</v></c>', False),
        ('<c r="B2" s="4"/>', False),
        ('<c r="B2" t="inlineStr"><is><t>&lt;f&gt;</t></is></c>', False),
        ('<c r="B2"><f><![CDATA[A1<2]]></f><v><![CDATA[1]]></v></c>', False),
        ('<c r="B2"><f>A1</f><!-- <v>1</v> --></c>', True),
    ],
)
def test_a_formula_without_a_cached_value(books, cell, uncached):
    found = scan(books.plain(f'<row r="2"><c r="A2"/>{cell}<c r="C2"/></row>'))
    assert list(found.uncached) == (["B2"] if uncached else [])
    assert ((2, 2) in found.uncached) == uncached
    assert found.cells == 3


@pytest.mark.parametrize(
    "cell",
    ['<c r="B2" t="e"><v>#N/A</v></c>', "<c t='e' s='1' r='B2'><v>#N/A</v></c>", '<c\n r="B2" t="e" ><v>#N/A</v></c>'],
)
def test_error_cells_however_they_are_written(books, cell):
    assert list(scan(books.plain(f'<row r="2">{cell}</row>')).errors) == ["B2"]


def test_rows_and_cells_without_numbers_are_counted(books):
    found = scan(
        books.plain('<row><c/><c t="e"/></row><row/><row><c r="C3"/><c t="e"/></row><row r="9"><c t="e"/></row>')
    )
    assert list(found.rows) == [1, 2, 3, 9]
    assert list(found.last_columns) == [2, 0, 4, 1]
    assert list(found.errors) == ["B1", "D3", "A9"]
    assert found.used == area("A1:D9")


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ('<row r="3"/><row r="2"/>', "row 2 stands after row 3"),
        ('<row r="3"/><row r="3"/>', "row 3 stands after row 3"),
        ('<row r="0"/>', "row 0 stands after row 0"),
        ('<row r="1048577"/>', "row 1048577"),
        ('<row r="2"><c r="C2"/><c r="B2"/></row>', "cell B2 stands out of order in row 2"),
        ('<row r="2"><c r="C2"/><c r="C2"/></row>', "cell C2 stands out of order in row 2"),
        ('<row r="2"><c r="C3"/></row>', "cell C3 stands out of order in row 2"),
        ('<row r="2"><c r="XFE2"/></row>', "cell XFE2 stands out of order"),
        ('<row r="2"><c r="XFD2"/><c/></row>', "stands out of order"),
        ('<row r="2"><c r="first"/></row>', "has the address 'first'"),
        ('<c r="A1"/>', "has the address 'A1'|out of order"),
        ("<row><row/></row>", "holds another row"),
    ],
)
def test_rows_and_cells_that_contradict_each_other(books, rows, words):
    with pytest.raises(WorkbookError, match=f"list.xlsx: sheet 'Joints': .*({words})"):
        scan(books.plain(rows))


def test_prefixes_comments_and_a_byte_order_mark(books):
    sheet = (
        f'\ufeff<?xml version="1.0"?><!-- <x:sheetData/> --><x:worksheet xmlns:x="{MAIN}" xmlns="urn:other">'
        '<x:dimension ref="A1"/><x:cols><x:col min="2" max="3" hidden="1"/></x:cols><x:sheetData>'
        '<!-- <x:row r="1"/> -->'
        '<c r="Z9"/><x:row r="2"><?p </x:row>?><x:c r="A2"><x:f>1</x:f></x:c><!-- </x:sheetData> --></x:row>'
        '</x:sheetData><sheetProtection sheet="1"/>'
        '<x:mergeCells><x:mergeCell ref="A5:B6"/></x:mergeCells></x:worksheet>'
    )
    found = scan(books.plain(sheet))
    assert found.prefix == b"x:"
    assert list(found.rows) == [2]
    assert list(found.uncached) == ["A2"]
    assert [str(each) for each in found.merged] == ["A5:B6"]
    assert found.column_hidden(3)
    assert not found.protected


def test_rows_and_cells_that_are_hidden_in_others(books):
    """What the walk does not see as a row or cell of its own must not go unnoticed."""
    for odd in ('<row r="1"><c r="A1"><f>1</f><c r="B1"/></c></row>', '<row r="1"><c r="A1"><row r="2"/></c></row>'):
        with pytest.raises(WorkbookError, match=r"unusual form|not well-formed|out of order|another row"):
            scan(books.plain(odd))


def test_comments_far_inside_a_large_part(books):
    """Positions hold beyond the pieces in which the parser takes the part."""
    rows = "".join(f'<row r="{row}"><c r="A{row}"/><!-- <c r="B{row}"/> é --></row>' for row in range(1, 60_000))
    found = scan(books.plain(rows))
    assert found.cells == 59_999
    assert found.used == area("A1:A59999")


def test_one_namespace_with_two_names_is_refused(books):
    for odd in (
        f'<worksheet xmlns="{MAIN}" xmlns:x="{MAIN}"><sheetData/></worksheet>',
        f'<worksheet xmlns="{MAIN}"><sheetData><row xmlns="urn:a"/></sheetData></worksheet>',
    ):
        with pytest.raises(WorkbookError, match="two names"):
            scan(books.plain(odd))


def test_no_sheet_part(books):
    for odd, words in (
        (f'<worksheet xmlns="{MAIN}"/>', "no rows element"),
        (f'<worksheet xmlns="{MAIN}"><sheetData/><sheetData/></worksheet>', "two elements of rows"),
        ('<worksheet xmlns="urn:a"><sheetData/></worksheet>', "not the kind of part"),
        (f'<chartsheet xmlns="{MAIN}"><worksheet/></chartsheet>', "not the kind of part"),
        (f'<worksheet xmlns="{MAIN}"><sheetData>&nothing;</sheetData></worksheet>', "not well-formed"),
        (f'<worksheet xmlns="{MAIN}"><sheetData></worksheet>', "not well-formed"),
    ):
        with pytest.raises(WorkbookError, match=words):
            scan(books.plain(odd))


def test_cells_inside_alternate_content(books):
    rows = (
        f'<mc:AlternateContent xmlns:mc="{MC}"><mc:Choice Requires="v"><row r="2"/></mc:Choice></mc:AlternateContent>'
    )
    assert scan(books.plain(rows)).alternate
    assert not scan(books.plain('<row><c t="inlineStr"><is><t>AlternateContent</t></is></c></row>')).alternate


def test_a_used_range_that_is_declared_wrong(books):
    rows = '<sheetData><row r="3"><c r="D3"/></row></sheetData>'
    found = scan(books.plain(f'<worksheet xmlns="{MAIN}"><dimension ref="A1"/>{rows}</worksheet>'))
    assert (found.dimension, found.used) == (area("A1"), area("D3"))


def test_the_scan_agrees_with_another_reader(books):
    """Random cells written by XlsxWriter and counted from what was given to it."""
    generator = random.Random(3)
    path = books.folder / "list.xlsx"
    given = {(generator.randrange(300), generator.randrange(60)): generator.randrange(4) for _ in range(2000)}
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Joints")
        bold = book.add_format({"bold": True})
        for (row, column), kind in given.items():
            if kind == 0:
                sheet.write_string(row, column, f"<c r='A1'> {row}")
            elif kind == 1:
                sheet.write_number(row, column, row / 7)
            elif kind == 2:
                sheet.write_blank(row, column, None, bold)
            else:
                sheet.write_formula(row, column, "=NA()", bold, "#N/A")
    found = scan(path)
    assert found.cells == len(given)
    errors = sorted((row + 1, column + 1) for (row, column), kind in given.items() if kind == 3)
    assert [area(name) for name in found.errors] == [Area(row, column, row, column) for row, column in errors]
    lasts = {row: max(column for r, column in given if r == row) + 1 for row, _column in given}
    assert dict(zip(found.rows, found.last_columns, strict=True)) == {row + 1: last for row, last in lasts.items()}


def test_names_of_ranges():
    assert area("D5:B2") == Area(2, 2, 5, 4)
    assert area("A0") is area("XFE1") is area("A1:B") is area("") is None
    assert whole_area("$A:$XFD") == Area(1, 1, 1_048_576, 16_384)
    assert str(area("$B$2:$B$2")) == "B2"


def test_rich_text_inside_cells_is_no_cell(books):
    """Names that begin like those of cells and rows."""
    rich = (
        "<is><r><rPr><color rgb='FF000000'/><charset val='0'/></rPr><t>a</t></r><rPh sb='0' eb='1'><t>b</t></rPh></is>"
    )
    assert scan(books.plain(f'<row r="1"><c r="A1" t="inlineStr">{rich}</c></row>')).cells == 1
