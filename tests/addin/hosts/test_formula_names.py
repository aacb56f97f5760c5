"""Names of our functions in formulas, there and back, without touching anything else of the file."""

import json
import os
from pathlib import Path

import openpyxl
import pytest
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import PatternFill
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation

from addin.hosts.libreoffice.formula_names import copy_with_names, to_full, to_plain, write_over
from addin.hosts.libreoffice.worker import PLAIN_NAMES, reply
from addin.workbooks.package import WorkbookError

F = "TAUTSHEET.FUNCTIONS."


@pytest.mark.parametrize(
    ("plain", "full"),
    [
        ("unit_convert(1,A1,B1)", f"{F}UNIT_CONVERT(1,A1,B1)"),
        ("IF(A1>0,Unit_Convert (1,A1,B1),0)", f"IF(A1>0,{F}UNIT_CONVERT (1,A1,B1),0)"),
        ("[1]!unit_convert(1,A1,B1)", f"{F}UNIT_CONVERT(1,A1,B1)"),
        ("_xll.unit_convert(1,A1,B1)", f"{F}UNIT_CONVERT(1,A1,B1)"),
        ("'C:\\Users\\m\\tautsheet.xlam'!unit_convert(1,A1,B1)", f"{F}UNIT_CONVERT(1,A1,B1)"),
        ("setpoint(setpoint(A1,B1:C9,&quot;US&quot;),B1:C9,&quot;US&quot;)",
         f"{F}SETPOINT({F}SETPOINT(A1,B1:C9,&quot;US&quot;),B1:C9,&quot;US&quot;)"),
        ("unit_convert(1,'a (b)'!A1,\"kN\")", f"{F}UNIT_CONVERT(1,'a (b)'!A1,\"kN\")"),
    ],
)  # fmt: skip
def test_names_are_replaced(plain: str, full: str) -> None:
    assert to_full(plain) == full
    assert to_full(full) == full


@pytest.mark.parametrize(
    "formula",
    [
        "&quot;unit_convert(1)&quot;&amp;A1",
        '"say ""unit_convert(1)"""',
        "my_unit_convert(1)",
        "unit_convert.of(1)",
        "x.unit_convert(1)",
        "unit_convert+1",
        "'unit_convert('!A1",
        "SUM(A1:B2)",
    ],
)
def test_everything_else_stays(formula: str) -> None:
    assert to_full(formula) == formula


def test_back_again() -> None:
    for plain in ("unit_convert(1,A1,B1)", "IF(setpoint(A1,B1:C9,&quot;US&quot;)&gt;0,1,0)"):
        assert to_plain(to_full(plain)) == plain


def test_every_place_of_a_file(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet["A1"] = '=unit_convert(1,"kN","N")'
    sheet["A2"] = "a text with unit_convert(1)"
    rule = DataValidation(type="custom", formula1='=unit_convert(A1,"N","kN")>0')
    rule.add("B1")
    sheet.add_data_validation(rule)
    sheet.conditional_formatting.add("C1", FormulaRule(['unit_convert(A1,"N","kN")>0'], fill=PatternFill("solid")))
    book.defined_names["one"] = DefinedName("one", attr_text='unit_convert(1,"N","kN")')
    book.save(tmp_path / "plain.xlsx")
    assert copy_with_names(tmp_path / "plain.xlsx", tmp_path / "full.xlsx", to_full) == 2
    full = openpyxl.load_workbook(tmp_path / "full.xlsx")
    assert full.active["A1"].value == f'={F}UNIT_CONVERT(1,"kN","N")'
    assert full.active["A2"].value == "a text with unit_convert(1)"
    assert full.active.data_validations.dataValidation[0].formula1.startswith(f"={F}UNIT_CONVERT(")
    assert next(iter(full.active.conditional_formatting)).rules[0].formula == [f'{F}UNIT_CONVERT(A1,"N","kN")>0']
    assert full.defined_names["one"].attr_text == f'{F}UNIT_CONVERT(1,"N","kN")'
    copy_with_names(tmp_path / "full.xlsx", tmp_path / "back.xlsx", to_plain)
    assert openpyxl.load_workbook(tmp_path / "back.xlsx").active["A1"].value == '=unit_convert(1,"kN","N")'


def test_a_file_is_changed_where_it_lies(tmp_path: Path) -> None:
    """Whole, with its date, and not at all where there is nothing of ours in it."""
    path = tmp_path / "saved.xlsx"
    workbook = openpyxl.Workbook()
    workbook.active["A1"] = '=TAUTSHEET.FUNCTIONS.UNIT_CONVERT(1,"kN","N")'
    workbook.save(path)
    os.utime(path, ns=(1_700_000_000_123_456_789, 1_700_000_000_123_456_789))
    assert write_over(path, to_plain) == 1
    assert openpyxl.load_workbook(path).active["A1"].value == '=unit_convert(1,"kN","N")'
    assert path.stat().st_mtime_ns == 1_700_000_000_123_456_789
    before = path.read_bytes()
    assert write_over(path, to_plain) == 0
    assert path.read_bytes() == before
    path.write_bytes(b"no workbook")
    with pytest.raises(WorkbookError):
        write_over(path, to_plain)
    assert [file.name for file in tmp_path.iterdir()] == ["saved.xlsx"]


def test_the_worker_writes_plain_names(tmp_path: Path) -> None:
    path = tmp_path / "saved.xlsx"
    workbook = openpyxl.Workbook()
    workbook.active["A1"] = '=TAUTSHEET.FUNCTIONS.UNIT_CONVERT(1,"kN","N")'
    workbook.save(path)
    assert json.loads(reply(json.dumps([PLAIN_NAMES, [str(path)]]).encode())) == ""
    assert openpyxl.load_workbook(path).active["A1"].value == '=unit_convert(1,"kN","N")'
    assert "gone.xlsx" in json.loads(reply(json.dumps([PLAIN_NAMES, [str(tmp_path / "gone.xlsx")]]).encode()))
