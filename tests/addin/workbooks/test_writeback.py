import zipfile
from xml.etree import ElementTree

import openpyxl
import pytest

from addin.workbooks.package import WorkbookError, open_package
from addin.workbooks.sheet_part import scan_sheet
from addin.workbooks.writeback import NOT_AVAILABLE, Style

HEADING = Style(bold=True, wrap=True, fill=True)


def test_results_stand_beside_the_list_and_everything_else_stays(books):
    source = books.joints()
    columns = [
        books.out("G", {1: "Pressure (psi)", 2: 4250.0, 3: NOT_AVAILABLE}, 14, HEADING),
        books.out("H", {1: "Message", 2: "=1+1", 3: " no wrench fits\n& more "}, 40),
    ]
    target, report = books.write(source, columns)
    old, new = books.unpack(source), books.unpack(target)
    assert list(old) == list(new)
    assert {name for name in old if old[name] != new[name]} == {"xl/worksheets/sheet1.xml", "xl/styles.xml"}
    assert set(report.changed_parts) == {"xl/worksheets/sheet1.xml", "xl/styles.xml"}
    assert (report.cells, report.replaced, report.warnings) == (6, 0, [])

    sheet = openpyxl.load_workbook(target)["Joints"]
    assert sheet["G1"].value == "Pressure (psi)"
    assert sheet["G1"].font.b
    assert sheet["G1"].alignment.wrap_text
    assert sheet["G1"].fill.fgColor.rgb == "FFD9D9D9"
    assert sheet["G2"].value == 4250
    assert (sheet["G3"].value, sheet["G3"].data_type) == ("#N/A", "e")
    assert (sheet["H2"].value, sheet["H2"].data_type) == ("=1+1", "s")
    assert sheet["H3"].value == " no wrench fits\n& more "
    assert sheet.column_dimensions["G"].width == 14
    assert sheet["E2"].number_format == "0.00"
    values = openpyxl.load_workbook(target, data_only=True)["Joints"]
    assert values["E2"].value == 601.5 / 8


def test_a_second_run_replaces_its_own_columns_and_adds_no_formats(books):
    source = books.joints()
    first, _ = books.write(source, [books.out("G", {1: "a", 2: 1.5, 3: NOT_AVAILABLE}, style=HEADING)])
    once = first.rename(books.folder / "once.xlsx")
    again = [books.out("G", {1: "b", 2: None, 3: 2.5}, style=HEADING)]
    with pytest.raises(WorkbookError, match=r"sheet 'Joints', cell G1: is not empty"):
        books.write(once, again)
    second, report = books.write(once, again, replace=True)
    assert (report.cells, report.replaced) == (3, 3)
    assert report.changed_parts == ("xl/worksheets/sheet1.xml",)
    sheet = openpyxl.load_workbook(second)["Joints"]
    assert [sheet[f"G{row}"].value for row in (1, 2, 3)] == ["b", None, 2.5]
    emptied = second.rename(books.folder / "emptied.xlsx")
    assert books.write(emptied, [books.out("G", {2: 3.5}, style=HEADING)], replace=True)[1].warnings == []
    with pytest.raises(WorkbookError, match=r"cell E2: holds a formula, which is never written over"):
        books.write(source, [books.out("E", {2: 1})], replace=True)


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ('<c r="B2"><v>1</v></c>', "is not empty"),
        ('<c r="B2" t="inlineStr"><is><t/></is></c>', "is not empty"),
        ('<c r="B2"><f>A1</f></c>', "holds a formula"),
        ('<c r="B2"><f>A1</f><v>1</v></c>', "holds a formula"),
    ],
)
def test_cells_that_are_taken(books, cell, words):
    with pytest.raises(WorkbookError, match=f"list.xlsx: sheet 'Joints', cell B2: {words}"):
        books.write(books.plain(f'<row r="2">{cell}</row>'), [books.out("B", {1: 1, 2: 1})])


@pytest.mark.parametrize(
    "cell",
    ['<c r="B2"><v>1</v></c>', '<c r="B2" t="s"><v>0</v></c>', '<c r="B2" t="e"><v>#N/A</v></c>', '<c r="B2" s="1"/>']
    + ['<c r="B2" t="inlineStr"><is><t>old</t></is></c>', '<c r="B2" t="str"><v>old</v></c>', '<c r="B2"></c>'],
)
def test_cells_that_may_be_replaced(books, cell):
    target, report = books.write(books.plain(f'<row r="2">{cell}</row>'), [books.out("B", {2: "new"})], replace=True)
    assert books.cells(target) == [("B2", "new", "inlineStr")]
    assert (report.cells, report.replaced) == (1, 1)


@pytest.mark.parametrize(
    "cell",
    ['<c r="B2"><f>A1</f><v>1</v></c>', '<c r="B2" t="b"><v>1</v></c>', '<c r="B2" t="d"><v>2026-01-01</v></c>']
    + ['<c r="B2" t="e" vm="1"><v>#VALUE!</v></c>', '<c r="B2" cm="1"><v>1</v></c>'],
)
def test_cells_that_are_never_replaced(books, cell):
    with pytest.raises(WorkbookError, match="cell B2: holds"):
        books.write(books.plain(f'<row r="2">{cell}</row>'), [books.out("B", {2: "new"})], replace=True)


def test_an_empty_cell_with_a_format_is_named(books):
    source = books.plain('<row r="2"><c r="B2" s="1"/><c r="C2" s="0"/></row>')
    _, report = books.write(source, [books.out("B", {2: 1}), books.out("C", {2: 1})])
    assert report.warnings == ["sheet 'Joints': 1 empty cells had a format of their own, which ours replaces"]


def test_calculation_on_opening_only_when_asked_for(books):
    source = books.joints()
    target, _ = books.write(source, [books.out("G", {2: 1})], recalculate=True)
    assert open_package(target).recalculates_on_load
    for book, expected in (
        ("<sheets><sheet name='Joints' r:id='rId1'/></sheets><definedNames/><pivotCaches/>", 2),
        ("<sheets><sheet name='Joints' r:id='rId1'/></sheets><calcPr calcId='5' fullCalcOnLoad='0'/>", 1),
        ("<sheets><sheet name='Joints' r:id='rId1'/></sheets>", 1),
    ):
        parts = books.parts("")
        start, _, _ = parts["xl/workbook.xml"].partition(b"<sheets>")
        parts["xl/workbook.xml"] = start + book.encode() + b"</workbook>"
        target, _ = books.write(books.pack(parts), [books.out("G", {2: 1})], recalculate=True)
        children = list(ElementTree.fromstring(books.unpack(target)["xl/workbook.xml"]))
        assert children[expected].tag.endswith("calcPr")
        assert children[expected].get("fullCalcOnLoad") == "1"


def test_packed_bytes_of_other_parts_are_copied(books):
    source = books.joints()
    target, report = books.write(source, [books.out("G", {2: 1})])
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target) as new:
        assert old.namelist() == new.namelist()
        for one, other in zip(old.infolist(), new.infolist(), strict=True):
            assert (one.date_time, one.external_attr) == (other.date_time, other.external_attr)
            if one.filename not in report.changed_parts:
                assert one.compress_size == other.compress_size
        assert new.testzip() is None


def test_what_the_gate_found_of_another_state_of_the_file_is_not_trusted(books, monkeypatch):
    source, other = books.plain('<row r="1"><c r="A1"><v>1</v></c></row>'), books.plain("", "other.xlsx")
    opened = []
    monkeypatch.setattr(
        "addin.workbooks.writeback.open_package", lambda path: opened.append(path) or open_package(path)
    )
    package = open_package(source)
    target, _ = books.write(source, [books.out("G", {2: 1})], package=package)
    assert source not in opened
    target.unlink()

    other.replace(source)
    target, _ = books.write(source, [books.out("G", {2: 1})], package=package)
    assert source in opened
    assert b"A1" not in books.part(target)


def test_a_scan_made_before_is_used_only_for_the_same_file(books):
    source = books.joints()
    scan = scan_sheet(open_package(source), "Joints")
    target, _ = books.write(source, [books.out("G", {2: 1})], scan=scan)
    assert openpyxl.load_workbook(target)["Joints"]["G2"].value == 1
    other = books.joints("other.xlsx", rows=40)
    target, _ = books.write(other, [books.out("G", {30: 1})], scan=scan)
    assert openpyxl.load_workbook(target)["Joints"]["G30"].value == 1


@pytest.mark.parametrize(
    ("name", "what"), [("SHEET_LIMIT", "sheet 'Joints'"), ("UNPACKED_LIMIT", "the workbook")]
)  # fmt: skip
def test_a_copy_that_could_not_be_read_again_is_not_written(books, monkeypatch, name, what):
    source = books.joints(rows=40)
    size = sum(map(len, books.unpack(source).values())) if name == "UNPACKED_LIMIT" else len(books.part(source))
    monkeypatch.setattr(f"addin.workbooks.writeback.{name}", size + 100)
    columns = [books.out("H", dict.fromkeys(range(2, 41), "a text that takes room"))]

    with pytest.raises(WorkbookError) as refused:
        books.write(source, columns)

    assert str(refused.value) == (
        f"{books.folder / 'planned.xlsx'}: not written: with the results {what} unpacks to 0 MiB, and a copy of more"
        " than 0 MiB could not be read again; split the list"
    )
    assert not (books.folder / "planned.xlsx").exists()
    monkeypatch.setattr(f"addin.workbooks.writeback.{name}", size + 10_000)
    books.write(source, columns)
