import pytest
import xlsxwriter

from addin.workbooks.markup import MAIN
from addin.workbooks.package import WorkbookError
from addin.workbooks.writeback import write_columns


@pytest.mark.parametrize(
    ("prepare", "words"),
    [
        (lambda book, sheet: sheet.merge_range("F2:H2", "x"), "cell G2: is part of the merged cells F2:H2"),
        (lambda book, sheet: sheet.merge_range("G3:G9", ""), "cell G3: is part of the merged cells G3:G9"),
        (lambda book, sheet: sheet.write_array_formula("F2:G3", "{=A1:B2}"), "cell G2: is part of the array formula"),
        (
            lambda book, sheet: sheet.add_table("F3:H8", {"name": "Pumps"}),
            r"cell G3: is part of the table 'Pumps' \(F3:H8\)",
        ),
        (lambda book, sheet: sheet.protect(), "sheet 'Joints': is protected"),
    ],
)
def test_cells_that_belong_to_something(books, prepare, words):
    path = books.folder / "list.xlsx"
    with xlsxwriter.Workbook(path) as book:
        prepare(book, book.add_worksheet("Joints"))
    for replace in (False, True):
        with pytest.raises(WorkbookError, match=f"list.xlsx: .*{words}"):
            books.write(path, [books.out("G", {2: 1, 3: 1})], replace=replace)
    if "protected" not in words:
        books.write(path, [books.out("K", {2: 1, 3: 1})])


def test_a_spill_whose_cells_are_empty(books):
    source = books.plain('<row r="2"><c r="B2" cm="1"><f t="array" ref="B2:D4">A1:C3</f><v>1</v></c></row>')
    with pytest.raises(WorkbookError, match=r"cell D4: is part of the array formula or spill B2:D4"):
        books.write(source, [books.out("D", {4: 1})])


def test_a_pivot_table(books):
    parts = books.parts("")
    parts["xl/worksheets/_rels/sheet1.xml.rels"] = books.rels(
        ("rId1", "pivotTable", "../pivotTables/pivotTable1.xml")
    ).encode()
    pivot = f'<pivotTableDefinition xmlns="{MAIN}"><location ref="F3:H9"/></pivotTableDefinition>'
    parts["xl/pivotTables/pivotTable1.xml"] = pivot.encode()
    with pytest.raises(WorkbookError, match=r"cell G5: is part of the pivot table F3:H9"):
        books.write(books.pack(parts), [books.out("G", {5: 1})])


def test_signed_and_shared_workbooks(books):
    parts = books.parts("")
    signed = {**parts, "_xmlsignatures/origin.sigs": b""}
    with pytest.raises(WorkbookError, match="list.xlsx: is signed"):
        books.write(books.pack(signed), [books.out("G", {5: 1})])
    shared = {**parts, "xl/revisions/revisionHeaders.xml": b"<headers/>"}
    shared["xl/_rels/workbook.xml.rels"] = books.rels(
        ("rId1", "worksheet", "worksheets/sheet1.xml"), ("rId2", "revisionHeaders", "revisions/revisionHeaders.xml")
    ).encode()
    with pytest.raises(WorkbookError, match="list.xlsx: is a shared workbook"):
        books.write(books.pack(shared), [books.out("G", {5: 1})])


def test_what_the_user_should_know(books):
    path = books.folder / "list.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Joints")
        sheet.write("A1", "Joint")
        sheet.data_validation("G1:G9", {"validate": "list", "source": ["a", "b"]})
        sheet.insert_textbox("F4", "read me", {"width": 300, "height": 90})
        sheet.print_area("A1:F40")
        sheet.set_row(2, None, None, {"hidden": True})
        sheet.write_comment("G2", "a note over the cells")
        other = book.add_worksheet("Buttons")
        other.insert_button("B2", {"caption": "go", "width": 200})
    _, report = books.write(path, [books.out("G", {2: 1, 3: 1, 4: 1, 5: 1})])
    assert report.warnings == [
        "sheet 'Joints': results stand in 1 hidden rows",
        "sheet 'Joints': cell G2 has an entry rule (data validation of G1:G9) that is not asked",
        "sheet 'Joints': a drawing lies over cell G4 (it covers F4:J8)",
        "sheet 'Joints': cell G2 is outside the print area and is not printed",
    ]
    target = books.folder / "buttons.xlsx"
    buttons = write_columns(path, "Buttons", [books.out("C", {2: 1})], target)
    assert any("a drawing lies over cell C2" in warning for warning in buttons.warnings)
