import re

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl.utils.escape import unescape

from addin.workbooks.addresses import address, area, letters
from addin.workbooks.markup import MAIN
from addin.workbooks.package import WorkbookError
from addin.workbooks.writeback import NOT_AVAILABLE, OutCell, OutColumn


@pytest.mark.parametrize(
    ("rows", "after"),
    [
        ('<row r="2"><c r="A2"><v>1</v></c></row>', [("A2", "1"), ("G2", "7"), ("I2", "9"), ("G4", "7"), ("I4", "9")]),
        ('<row r="3"/>', [("G2", "7"), ("I2", "9"), ("G4", "7"), ("I4", "9")]),
        ("", [("G2", "7"), ("I2", "9"), ("G4", "7"), ("I4", "9")]),
        ('<row r="2" spans="1:2"/><row r="4" spans="1:1 3:3" ht="20"></row>', None),
        ('<row r="2"><c r="H2"><v>8</v></c><c r="J2"/></row>', [("G2", "7"), ("H2", "8"), ("I2", "9"), ("J2", "")]),
        ('<row r="2"><c r="G2"/><c r="H2"><v>8</v></c></row>', [("G2", "7"), ("H2", "8"), ("I2", "9")]),
        (
            '<row r="4"><c r="A4"/></row><row r="9"><c r="A9"/></row>',
            [("G2", "7"), ("I2", "9"), ("A4", ""), ("G4", "7")],
        ),
        ("<row/><row><c/><c><v>2</v></c></row><row/><row/>", [("A2", ""), ("B2", "2"), ("G2", "7"), ("I2", "9")]),
        ("<row r='2'>\n  <c r='A2'/>\n  </row>\n <row r='3'> </row>\n", [("A2", ""), ("G2", "7")]),
        (
            '<row r="2"><c r="A2"/><!-- <c r="H2"/> --><c r="J2"/></row>',
            [("A2", ""), ("G2", "7"), ("I2", "9"), ("J2", "")],
        ),
        (
            '<row r="2"><c r="A2" t="str"><f>B2</f><v><![CDATA[</row>]]></v></c></row>',
            [("A2", "B2</row>"), ("G2", "7")],
        ),
    ],
    ids=[
        "behind",
        "missing rows",
        "no rows",
        "empty rows",
        "between",
        "over an empty cell",
        "rows between",
        "unnumbered",
    ]
    + ["white space", "comment", "cdata"],
)
def test_cells_come_into_the_right_place(books, rows, after):
    source = books.plain(rows)
    target, report = books.write(source, [books.out("I", {2: 9, 4: 9}), books.out("G", {2: 7, 4: 7})])
    assert report.cells == 4
    found = books.cells(target)
    ours = {("G2", "7", None), ("I2", "9", None), ("G4", "7", None), ("I4", "9", None)}
    assert ours <= set(found)
    empty = {("G2", "", None), ("I2", "", None)}
    assert set(found) - ours == set(books.cells(source)) - empty
    if after is not None:
        assert [cell[:2] for cell in found][: len(after)] == after
    places = [(area(name).top, area(name).left) for name, *_ in found]
    assert places == sorted(set(places))
    if 'r="' in rows or not rows:
        sheet = openpyxl.load_workbook(target)["Joints"]
        assert [sheet[name].value for name in ("G2", "I2", "G4", "I4")] == [7, 9, 7, 9]


def test_unnumbered_cells_and_rows_keep_their_places(books):
    source = books.plain("<row><c/><c/><c/><c><v>4</v></c></row><row><c><v>2</v></c></row><row><c><v>3</v></c></row>")
    target, _ = books.write(source, [books.out("C", {1: 7}), books.out("E", {1: 8})])
    assert books.cells(target) == [
        ("A1", "", None),
        ("B1", "", None),
        ("C1", "7", None),
        ("D1", "4", None),
        ("E1", "8", None),
        ("A2", "2", None),
        ("A3", "3", None),
    ]
    gap = books.plain('<row><c r="C1"><v>3</v></c><c><v>4</v></c></row><row r="4"><c/></row><row><c><v>5</v></c></row>')
    target, _ = books.write(gap, [books.out("B", {1: 2, 3: 2, 4: 2})])
    assert books.cells(target) == [
        ("B1", "2", None),
        ("C1", "3", None),
        ("D1", "4", None),
        ("B3", "2", None),
        ("A4", "", None),
        ("B4", "2", None),
        ("A5", "5", None),
    ]


def test_a_new_row_before_one_without_a_number(books):
    """Rows without numbers follow their forerunner; nothing ever goes between them, but after the last one."""
    source = books.plain("<row><c><v>1</v></c></row><row/>")
    target, _ = books.write(source, [books.out("B", {2: 2, 3: 3, 9: 9})])
    assert books.cells(target) == [("A1", "1", None), ("B2", "2", None), ("B3", "3", None), ("B9", "9", None)]


def test_spans_and_the_used_range_follow(books):
    rows = '<row r="2" spans="1:3"><c r="A2"/></row><row r="3" spans=\'1:2 4:9\'><c r="A3"/></row>'
    sheet = f'<worksheet xmlns="{MAIN}"><dimension ref="A1"/><sheetData>{rows}</sheetData></worksheet>'
    target, _ = books.write(books.plain(sheet), [books.out("E", {2: 1, 3: 1, 7: 1})])
    text = books.part(target).decode()
    assert '<row r="2" spans="1:5">' in text
    assert "<row r=\"3\" spans='1:2 4:9'>" in text
    assert '<dimension ref="A1:E7"/>' in text
    reader = openpyxl.load_workbook(target, read_only=True)["Joints"]
    assert [row[4] for row in reader.iter_rows(min_row=2, max_row=3, values_only=True)] == [1, 1]


def test_prefixes_byte_order_mark_and_odd_line_ends_stay(books):
    sheet = (
        f'\ufeff<?xml version="1.0" encoding="utf-8"?>\r\n<x:worksheet xmlns:x="{MAIN}">\r\n<x:dimension ref="A1"/>\r\n'
        '<x:sheetData>\r\n<x:row r="1">\r\n<x:c r="A1" t="inlineStr"><x:is><x:t>Größe</x:t></x:is></x:c>\r\n</x:row>'
        "\r\n<x:row r='3' /></x:sheetData>\r\n</x:worksheet>"
    )
    source = books.plain(sheet)
    target, _ = books.write(source, [books.out("B", {1: "Ø", 2: 1, 3: NOT_AVAILABLE}, 9)])
    old, new = books.part(source), books.part(target)
    assert new.startswith(b"\xef\xbb\xbf")
    assert [cell[:2] for cell in books.cells(target)] == [("A1", "Größe"), ("B1", "Ø"), ("B2", "1"), ("B3", "#N/A")]
    kept = re.sub(rb'<x:cols>.*</x:cols>|<x:row r="2">.*?</x:row>', b"", new)
    kept = re.sub(rb'<x:c r="B\d".*?</x:c>', b"", kept)
    kept = kept.replace(b"A1:B3", b"A1").replace(b"<x:row r='3'></x:row>", b"<x:row r='3' />")
    assert kept == old


def test_a_sheet_without_rows(books):
    for empty in ("<sheetData/>", "<sheetData />", "<sheetData></sheetData>"):
        source = books.plain(f'<worksheet xmlns="{MAIN}">{empty}<pageMargins left="1"/></worksheet>')
        target, _ = books.write(source, [books.out("B", {2: "x", 5: 1})])
        assert [cell[:2] for cell in books.cells(target)] == [("B2", "x"), ("B5", "1")]


def test_widths_of_columns(books):
    cols = '<cols><col min="1" max="1" width="5"/><col min="3" max="6" width="9" hidden="1" style="1"/></cols>'
    sheet = f'<worksheet xmlns="{MAIN}">{cols}<sheetData/></worksheet>'
    source = books.plain(sheet)
    target, report = books.write(source, [books.out(letter, {1: 1}, 20) for letter in "ABDEIJ"])
    found = [dict(col.attrib) for col in books.root(target).iter(f"{{{MAIN}}}col")]
    assert [(col["min"], col["max"], col["width"], col.get("hidden"), col.get("style")) for col in found] == [
        ("1", "1", "5", None, None),
        ("2", "2", "20", None, None),
        ("3", "3", "9", "1", "1"),
        ("4", "4", "20", "1", "1"),
        ("5", "5", "20", "1", "1"),
        ("6", "6", "9", "1", "1"),
        ("9", "9", "20", None, None),
        ("10", "10", "20", None, None),
    ]
    assert report.warnings == ["sheet 'Joints': results stand in hidden columns: D, E"]
    with pytest.raises(WorkbookError, match="width 300 is not in 0 to 255"):
        books.write(source, [books.out("B", {1: 1}, 300)])


CELL_VALUES = st.one_of(
    st.none(),
    st.just(NOT_AVAILABLE),
    st.floats(allow_nan=False, allow_infinity=False, min_value=-1e300, max_value=1e300),
    st.integers(-(2**53), 2**53),
    st.text(
        st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"], exclude_characters="\ufffe\uffff"), max_size=20
    ),
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    there=st.sets(st.tuples(st.integers(1, 8), st.integers(1, 6))),
    wanted=st.dictionaries(st.tuples(st.integers(1, 9), st.integers(1, 9)), CELL_VALUES, min_size=1, max_size=12),
    numbered=st.booleans(),
)
def test_any_cells_into_any_gaps(books, there, wanted, numbered):
    """What is read afterwards by another reader is what was there and what was given, and nothing else."""
    rows = ""
    for row in sorted({row for row, _ in there}):
        columns = sorted(column for r, column in there if r == row)
        rows += f'<row r="{row}">' + "".join(f'<c r="{address(row, c)}"><v>{row * 100 + c}</v></c>' for c in columns)
        rows += "</row>"
    source = books.plain(rows)
    wanted = {place: value for place, value in wanted.items() if place not in there}
    columns = [
        OutColumn(letters(column), {row: OutCell(value) for (row, c), value in wanted.items() if c == column})
        for column in {column for _, column in wanted}
    ]
    target, report = books.write(source, columns)
    assert report.cells == len(wanted)
    sheet = openpyxl.load_workbook(target)["Joints"]
    for row in range(1, 11):
        for column in range(1, 11):
            value = sheet.cell(row, column).value
            if (row, column) in there:
                assert value == row * 100 + column
            else:
                right = wanted.get((row, column))
                right = "#N/A" if right is NOT_AVAILABLE else right
                assert (unescape(value) if isinstance(value, str) else value) == (
                    right or (right if right == 0 else None)
                )


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        ([("", {1: 1})], "'' is no column"),
        ([("XFE", {1: 1})], "'XFE' is no column"),
        ([("1", {1: 1})], "'1' is no column"),
        ([("G", {0: 1})], "row 0 is outside"),
        ([("G", {1_048_577: 1})], "row 1048577 is outside"),
        ([("G", {1: 1}), ("g", {2: 1})], "column g is to be written twice"),
    ],
)
def test_places_that_are_none(books, columns, words):
    with pytest.raises(WorkbookError, match=words):
        books.write(books.joints(), [books.out(letter, values) for letter, values in columns])
