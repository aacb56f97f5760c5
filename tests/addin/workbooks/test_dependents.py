"""What depends on our columns is found, and no stored value of it stays."""

import openpyxl
import pytest
import xlsxwriter

from addin.workbooks.addresses import area
from addin.workbooks.package import open_package
from addin.workbooks.references import TableColumns, Touched
from addin.workbooks.sheet_look import Beside
from addin.workbooks.writeback import OutCell, OutColumn

OURS = area("E2:G9")


@pytest.mark.parametrize(
    ("formula", "sheet", "depends"),
    [
        ("E2*2", "Joints", True), ("$F$9", "Joints", True), ("E10", "Joints", False), ("D2", "Joints", False),
        ("E2", "Board", False), ("Joints!E2", "Board", True), ("'Joints'!A1:E2", "Board", True),
        ("JOINTS!e5", "Board", True), ("SUM(E:E)", "Joints", True), ("SUM(Joints!3:3)", "Board", True),
        ('"E2"&A1', "Joints", False), ('INDIRECT("Joints!F3")', "Board", True), ('INDIRECT("Board!F3")', "X", False),
        ("[2]Joints!E2", "Board", False), ("'[other.xlsx]Joints'!E2", "Board", False),
        ("First:Last!E2", "Board", True), ("Last:Board!E2", "Board", False), ("LOG10(A1)", "Joints", False),
        ("E2(1)", "Joints", False), ("pressure*2", "Board", True), ("pressures*2", "Board", False),
        ("SUM(T[Wrench])", "Board", True), ("SUM(T[Tag])", "Board", False), ("SUM(T[[Tag]:[Wrench]])", "Board", True),
        ("T[[#This Row],[Tag]]", "Board", False), ("ROWS(T)", "Board", True), ("T[#All]", "Board", True),
        ("VLOOKUP(A2,Joints!$A$1:$H$99,6,0)", "Board", True),
        ("_xlfn.XLOOKUP(A2,Joints!A:A,Joints!G:G)", "Board", True),
    ],
)  # fmt: skip
def test_what_a_formula_depends_on(formula, sheet, depends):
    tables = {"T": TableColumns("Joints", area("A1:F9"), ["Tag", "Op", "Size", "Studs", "Key", "Wrench"])}
    touched = Touched(["First", "Joints", "Last", "Board"], tables)
    touched.sheets = ["first", "joints", "last", "board"]
    touched.add_area("Joints", OURS)
    touched.names.add("pressure")
    assert touched.by(formula, sheet) is depends


@pytest.fixture
def board(tmp_path):
    """A list, a crew board that reads what stands beside it, a name and a chart; every formula has a stored value."""
    path = tmp_path / "list.xlsx"
    with xlsxwriter.Workbook(path) as book:
        joints, crew, apart = (book.add_worksheet(name) for name in ("Joints", "Crew board", "Apart"))
        joints.write_row(0, 0, ["Joint", "Studs", "Own"])
        for row in (1, 2):
            joints.write_row(row, 0, [f"V-{row}", 8])
            joints.write_formula(row, 2, f"=B{row + 1}*2", None, 16)
        crew.write_formula("A1", "=Joints!E2", None, 5050)
        crew.write_formula("A2", "=A1+1", None, 5051)
        crew.write_formula("A3", '="set "&A2', None, "set 5051")
        crew.write_formula("B1", "=Joints!B2", None, 8)
        crew.write_formula("B2", "=high", None, 5050)
        crew.write_formula("B3", "=OFFSET(Joints!A1,1,4)", None, 5050)
        crew.write_formula("B4", "=OFFSET(B1,0,0)", None, 8)
        crew.write_formula("B5", '=INDIRECT("B"&1)', None, 8)
        crew.write_array_formula("D1:D2", "{=Joints!E2:E3}", None, 5050)
        book.define_name("high", "=MAX(Joints!$E$2:$E$3)")
        book.define_name("studs", "=Joints!$B$2")
        apart.write_formula("A1", "=1+1", None, 2)
        chart = book.add_chart({"type": "column"})
        chart.add_series({"values": "=Joints!$E$2:$E$3"})
        apart.insert_chart("C3", chart)
    return path


def write(books, source, pressure=3350.0):
    columns = [OutColumn("E", {1: OutCell("Pressure"), 2: OutCell(pressure), 3: OutCell(4000.0)}, 10)]
    return books.write(source, columns, beside=Beside(3, 1), replace=pressure != 3350.0)


def test_stored_values_are_dropped_and_all_of_it_is_listed(books, board):
    workbook = books.unpack(board)["xl/workbook.xml"].replace(b' fullCalcOnLoad="1"', b"")
    target, report = write(books, books.changed(board, **{"xl/workbook.xml": workbook}))
    assert report.warnings[:3] == [
        "formulas that depend on our columns: Crew board!A1:A3, B2:B3, B5, D1 (7)",
        "names that refer to our columns: high",
        "charts that show our columns: on sheet Apart (1)",
    ]
    values = openpyxl.load_workbook(target, data_only=True)
    shown = [[cell.value for cell in row] for row in values["Crew board"]["A1:B3"]]
    assert shown == [[None, 8], [None, None], [None, None]]
    assert (values["Apart"]["A1"].value, values["Joints"]["C2"].value) == (2, 16)
    formulas = openpyxl.load_workbook(target)["Crew board"]
    assert [formulas[name].value for name in ("A1", "A3", "B2")] == ["=Joints!E2", '="set "&A2', "=high"]
    assert open_package(target).recalculates_on_load
    sheets = {"xl/worksheets/sheet1.xml", "xl/worksheets/sheet2.xml"}
    assert set(report.changed_parts) == {*sheets, "xl/workbook.xml", "xl/styles.xml"}


def test_formulas_of_the_list_itself(books, board):
    book = openpyxl.load_workbook(board)
    book["Joints"]["H2"], book["Joints"]["C2"] = "=E2/2", "=B2*2"
    book.save(board)
    parts = books.unpack(board)
    sheet = parts["xl/worksheets/sheet1.xml"].replace(b"<f>E2/2</f><v />", b"<f>E2/2</f><v>2525</v>")
    sheet = sheet.replace(b"<f>E2/2</f><v></v>", b"<f>E2/2</f><v>2525</v>")
    source = books.changed(board, **{"xl/worksheets/sheet1.xml": sheet})
    assert b"2525" in books.part(source)
    target, report = write(books, source)
    assert "formulas that depend on our columns: Joints!H2 (1)" in report.warnings
    assert b"2525" not in books.part(target)


def test_a_workbook_without_such_formulas_is_left_alone(books):
    target, report = books.write(books.joints(), [books.out("G", {1: "Pressure", 2: 1})], beside=Beside(5, 1))
    assert report.warnings == []
    assert "xl/workbook.xml" not in report.changed_parts


def test_shared_formulas_depend_each_for_itself(books):
    rows = (
        '<row r="1"><c r="A1"><v>1</v></c></row>'
        '<row r="2"><c r="A2"><f t="shared" ref="A2:A5" si="0">E1</f><v>11</v></c></row>'
        '<row r="3"><c r="A3"><f t="shared" si="0"/><v>12</v></c></row>'
        '<row r="4"><c r="A4"><f t="shared" si="0"/><v>13</v></c></row>'
        '<row r="5"><c r="A5"><f t="shared" si="0"/><v>14</v></c></row>'
    )
    columns = [OutColumn("E", {2: OutCell("Pressure"), 3: OutCell(1.5)})]
    target, report = books.write(books.plain(rows), columns, beside=Beside(1, 2))
    assert report.warnings[0] == "formulas that depend on our columns: Joints!A3:A4 (2)"
    text = books.part(target)
    assert [f"<v>{n}</v>".encode() in text for n in (11, 12, 13, 14)] == [True, False, False, True]
