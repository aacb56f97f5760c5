import zipfile

import openpyxl
import pytest

from addin.workbooks.package import WorkbookError
from addin.workbooks.writeback import NOT_AVAILABLE, OutCell, OutColumn, Style, write_columns

HEADING = Style(bold=True, wrap=True, fill=True)
PLAIN = Style()


def out(letter, cells, width=None, style=PLAIN):
    return OutColumn(letter, {row: OutCell(value, style) for row, value in cells.items()}, width)


def sheet_part(path):
    with zipfile.ZipFile(path) as archive:
        return archive.read("xl/worksheets/sheet1.xml").decode()


def write(books, source, columns, **more):
    target = books.folder / f"planned{source.suffix}"
    target.unlink(missing_ok=True)
    before = books.sha256(source)
    try:
        report = write_columns(source, "Joints", columns, target, **more)
    except WorkbookError:
        assert books.sha256(source) == before
        assert not list(books.folder.glob(".tautsheet-*"))
        raise
    assert books.sha256(source) == before == report.source_sha256
    assert books.sha256(target) == report.sha256
    return target, report


def test_results_stand_beside_the_list_and_everything_else_stays(books):
    source = books.joints()
    columns = [
        out("G", {1: "Pressure (psi)", 2: 4250.0, 3: NOT_AVAILABLE}, 14, HEADING),
        out("H", {1: "Message", 2: "=1+1", 3: " no wrench fits\n& more "}, 40),
    ]
    target, report = write(books, source, columns)
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
    first, _ = write(books, source, [out("G", {1: "a", 2: 1.5, 3: NOT_AVAILABLE}, style=HEADING)])
    once = first.rename(books.folder / "once.xlsx")
    again = [out("G", {1: "b", 2: None, 3: 2.5}, style=HEADING)]
    with pytest.raises(WorkbookError, match=r"sheet 'Joints', cell G1: is not empty"):
        write(books, once, again)
    second, report = write(books, once, again, replace=True)
    assert (report.cells, report.replaced) == (3, 3)
    assert report.changed_parts == ("xl/worksheets/sheet1.xml",)
    sheet = openpyxl.load_workbook(second)["Joints"]
    assert [sheet[f"G{row}"].value for row in (1, 2, 3)] == ["b", None, 2.5]
    with pytest.raises(WorkbookError, match=r"cell E2: holds a formula, which is never written over"):
        write(books, source, [out("E", {2: 1})], replace=True)
