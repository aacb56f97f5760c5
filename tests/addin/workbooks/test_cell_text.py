from decimal import Decimal
from xml.etree import ElementTree

import numpy as np
import openpyxl
import pytest
from openpyxl.utils.escape import unescape

from addin.workbooks.markup import MAIN
from addin.workbooks.package import WorkbookError
from addin.workbooks.writeback import Style


@pytest.mark.parametrize(
    "text",
    [
        "=1+1",
        "+1",
        "@x",
        "'quoted",
        " both ends ",
        "two\nlines",
        "tab\there",
        "a & b < c > d",
        'say "so"',
        "Ø 1¼ № 5 日本 🔩",
    ]
    + ["line\r\nends", "_x0041_", "_x000D_", "]]>", "&amp;", "#N/A", "1e5", "TRUE", "x" * 32_767],
)
def test_text_is_text_and_comes_back(books, text):
    target, _ = books.write(books.joints(), [books.out("G", {2: text})])
    cell = openpyxl.load_workbook(target)["Joints"]["G2"]
    assert cell.data_type == "s" or text == "#N/A"
    assert unescape(cell.value) == text  # the reader leaves the format's own escapes as they are
    written = ElementTree.fromstring(books.part(target)).find(f".//{{{MAIN}}}c[@r='G2']")
    assert written.get("t") == "inlineStr"
    assert written.find(f"{{{MAIN}}}f") is None


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("x" * 32_768, "the text has 32768 characters, a cell holds 32767"),
        ("🔩" * 16_384, "the text has 32768 characters"),
        ("a\x0bb", r"control character \(code 11\)"),
        ("a\x00", r"control character \(code 0\)"),
        ("\ud800", "control character"),
        ("a\uffff", "control character"),
        (float("nan"), "nan is no number"),
        (float("inf"), "inf is no number"),
        (-1.7e308, "is no number that a cell can hold"),
        (2**53 + 1, "more digits than a cell holds"),
        (True, "type bool"),
        (np.True_, "type bool"),
        (np.array([1.0]), "type ndarray"),
        (Decimal("0.1"), "type Decimal"),
        (1j, "type complex"),
        (b"x", "type bytes"),
        ([1], "type list"),
    ],
)
def test_what_a_cell_cannot_hold(books, value, words):
    with pytest.raises(WorkbookError, match=rf"list.xlsx: sheet 'Joints', cell G2: .*{words}"):
        books.write(books.joints(), [books.out("G", {2: value})])
    assert not (books.folder / "planned.xlsx").exists()


@pytest.mark.parametrize(
    "value",
    [0, 0.0, -0.0, 1, 0.1, 1 / 3, 1e-300, 9.9e307, 265.88, 2**53, -17.5, np.float64(2.5), np.int64(8), np.float32(0.5)],
)
def test_numbers_come_back_to_the_bit(books, value):
    target, _ = books.write(books.joints(), [books.out("G", {2: value})])
    assert openpyxl.load_workbook(target)["Joints"]["G2"].value == value


def test_empty_results_are_empty_cells(books):
    target, report = books.write(books.joints(), [books.out("G", {2: None, 3: "", 4: 1}, style=Style("0.0"))])
    sheet = openpyxl.load_workbook(target)["Joints"]
    assert [sheet[f"G{row}"].value for row in (2, 3, 4)] == [None, None, 1]
    assert sheet["G3"].number_format == "0.0"
    assert report.cells == 3
