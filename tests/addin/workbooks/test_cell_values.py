"""Values from the scan are those that openpyxl reads, cell by cell, in every kind of workbook at hand."""

import datetime
import io
import math
import warnings
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st

from addin.shipped import folder
from addin.workbooks.cell_text import unescaped
from addin.workbooks.cell_values import read_values
from addin.workbooks.package import WorkbookError, open_package
from addin.workbooks.value_book import ValueBook

WORKBOOKS = sorted([*folder("samples").glob("*.xlsx"), *folder("templates").glob("*.xlsx")])


def flat(value: object) -> object:
    """A value without escapes like _x000D_: openpyxl leaves most of them as they are spelled."""
    while isinstance(value, str) and unescaped(value) != value:
        value = unescaped(value)
    return value


def same(path: Path) -> int:
    """Compare every cell of every sheet; the number of cells compared."""
    package = open_package(path)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        book = openpyxl.load_workbook(io.BytesIO(path.read_bytes()), read_only=True, data_only=True)
        quick = ValueBook(package)
    compared = 0
    for sheet in package.sheets:
        if sheet.kind != "worksheet":
            continue
        rows = read_values(package, quick, sheet.name).rows
        cells = book[sheet.name]
        cells.reset_dimensions()
        theirs = {
            (r, c): value
            for r, row in enumerate(cells.iter_rows(values_only=True), start=1)
            for c, value in enumerate(row, start=1)
            if value is not None
        }
        ours = {(r, c): v for r, row in rows.items() for c, v in enumerate(row, start=1) if v is not None}
        assert {at: flat(value) for at, value in ours.items()} == {at: flat(value) for at, value in theirs.items()}
        assert {at: type(value) for at, value in ours.items()} == {at: type(value) for at, value in theirs.items()}
        streamed = enumerate(quick[sheet.name].iter_rows(), start=1)
        assert {(r, c): v for r, row in streamed for c, v in enumerate(row, start=1) if v is not None} == ours
        compared += len(ours)
    return compared


@pytest.mark.parametrize("path", WORKBOOKS, ids=lambda path: path.name)
def test_shipped_workbooks(path: Path) -> None:
    assert same(path) > 0


DATES = st.datetimes(datetime.datetime(1990, 1, 1), datetime.datetime(2090, 1, 1)).map(
    lambda moment: moment.replace(microsecond=0)
)
CELLS = st.one_of(
    st.none(), st.booleans(), st.integers(-(10**12), 10**12), st.floats(-1e12, 1e12, allow_nan=False), DATES,
    st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=30),
    st.sampled_from(["#N/A", "=1+1", " spaces ", "a&b<c>", "1,250", "_x0041_", "Ø №", "x" * 300, "line\nbreak"]),
)  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(rows=st.lists(st.lists(CELLS, min_size=1, max_size=6), min_size=1, max_size=8), shared=st.booleans())
def test_any_cells(rows: list[list[Any]], shared: bool, tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.mktemp("cells") / "any.xlsx"
    if shared:
        book = xlsxwriter.Workbook(path, {"strings_to_formulas": False, "strings_to_numbers": False,
                                          "default_date_format": "yyyy-mm-dd hh:mm:ss"})  # fmt: skip
        sheet = book.add_worksheet("S")
        for r, row in enumerate(rows):
            sheet.write_row(r, 0, row)
        book.close()
    else:
        own = openpyxl.Workbook()
        for r, row in enumerate(rows, start=1):
            for c, value in enumerate(row, start=1):
                cell = own.active.cell(r, c, value)
                if isinstance(value, str) and value:
                    cell.data_type = "s"
        own.save(path)

    same(path)


def test_formulas_errors_formats_and_runs(tmp_path: Path) -> None:
    path = tmp_path / "kinds.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet, bold = book.add_worksheet("S"), book.add_format({"bold": True})
    percent, moment = book.add_format({"num_format": "0.0%"}), book.add_format({"num_format": "[h]:mm"})
    sheet.write_formula(0, 0, "=1+1", None, 2)
    sheet.write_formula(0, 1, '="a"&"b"', None, "ab")
    sheet.write_formula(0, 2, "=1/0", None, "#DIV/0!")
    sheet.write_formula(0, 3, "=TRUE", None, True)
    sheet.write_rich_string(1, 0, "plain ", bold, "bold", " plain")
    sheet.write_number(1, 1, 0.5, percent)
    sheet.write_number(1, 2, 1.5, moment)
    sheet.write_blank(1, 3, None, bold)
    book.close()

    assert same(path) == 7
    package = open_package(path)
    cells = read_values(package, ValueBook(package), "S")
    assert set(cells.percents.places()) == {(2, 2)}
    assert math.isclose(cells.rows[2][1], 0.5)


def test_a_shared_text_that_is_not_there_is_said(tmp_path: Path) -> None:
    import zipfile

    source, path = tmp_path / "good.xlsx", tmp_path / "bad.xlsx"
    book = xlsxwriter.Workbook(source)
    book.add_worksheet("S").write_string(0, 0, "text")
    book.close()
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            if name == "xl/worksheets/sheet1.xml":
                content = content.replace(b"<v>0</v>", b"<v>7</v>")
            new.writestr(name, content)

    with pytest.raises(WorkbookError, match="cell A1 names the shared text '7', which is not there"):
        read_values(open_package(path), ValueBook(open_package(path)), "S")


def test_more_rows_than_a_list_has_are_refused_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("addin.workbooks.cell_values.ROWS_READ", 20)
    book = openpyxl.Workbook()
    for _ in range(20):
        book.worksheets[0].append(["n"])
    book.save(tmp_path / "list.xlsx")
    package = open_package(tmp_path / "list.xlsx")
    assert len(read_values(package, ValueBook(package), "Sheet").rows) == 20
    book.worksheets[0].append(["n"])
    book.save(tmp_path / "list.xlsx")
    package = open_package(tmp_path / "list.xlsx")
    with pytest.raises(WorkbookError, match="sheet Sheet: more than 20 rows hold something; move what is no joint to"):
        read_values(package, ValueBook(package), "Sheet")
