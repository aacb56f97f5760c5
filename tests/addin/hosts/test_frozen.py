"""A copy for people without the functions: our formulas are values, every other byte is what it was."""

import hashlib
import re
import zipfile
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner
from openpyxl.formatting.rule import FormulaRule
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.formula import ArrayFormula

from addin.cli import main
from addin.hosts.frozen_cells import find, freeze, is_ours
from addin.hosts.libreoffice.names import FULL
from addin.hosts.libreoffice.office import Office
from addin.workbooks.addresses import address

SHEET = "xl/worksheets/sheet1.xml"


def book(path: Path) -> Path:
    workbook = openpyxl.Workbook()
    sheet = workbook.active
    sheet.title = "S"
    sheet["A1"], sheet["A2"], sheet["A3"] = 45000, -1, "note & <more>"
    sheet["B1"] = '=torque_from_preload(A1,"1 1/4",0.15,"US")'
    sheet["B2"] = '=torque_from_preload(A2,"1 1/4",0.15,"US")'
    sheet["C1"], sheet["C2"] = "=B1*2", "=IF(ISNUMBER(B2),B2,NA())"
    sheet["C3"] = '="unit_convert(1)"&A3'
    sheet["D1"] = "=KN*2"
    sheet["E2"] = ArrayFormula("E2:F5", "=tightening_order(8,2)")
    sheet["G1"] = '=IF(unit_convert(1,"kN","N")>0,"yes & no","")'
    sheet["G2"] = '=IF(unit_convert(1,"kN","N")>0,"","x")'
    sheet["A9"] = 1
    sheet["B1"].number_format = "0.0"
    sheet.conditional_formatting.add("A1:A3", FormulaRule(formula=['unit_convert($A1,"kN","N")>0']))
    workbook.defined_names["KN"] = DefinedName("KN", attr_text='unit_convert(1,"kN","N")')
    workbook.save(path)
    return path


def parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name) for name in archive.namelist()}


def run(*words: object) -> tuple[int, str]:
    done = CliRunner().invoke(main, [str(word) for word in words])
    return done.exit_code, done.output


Frozen = tuple[Path, bytes, Path, int, str]


@pytest.fixture(scope="module")
def frozen(in_the_same_office_all_along: None, tmp_path_factory: pytest.TempPathFactory) -> Frozen:
    """A workbook and its bytes before, its frozen copy, and what the command said."""
    place = tmp_path_factory.mktemp("frozen")
    source, copy = book(place / "a.xlsx"), place / "copy.xlsx"
    before = source.read_bytes()
    return source, before, copy, *run("freeze", source, "--out", copy)


def test_formulas_become_values_and_the_rest_stays(frozen: Frozen) -> None:
    source, before, copy, code, said = frozen
    assert code == 1, said
    assert "STOP S!B2: preload must be above 0, got -1" in said
    assert "13 values frozen, 1 of them STOP" in said
    assert "still with our functions: defined name KN" in said
    assert "still with our functions: conditional format of sheet S" in said
    assert source.read_bytes() == before
    sheet = openpyxl.load_workbook(copy)["S"]
    assert sheet["B1"].value == 703.125
    assert sheet["B1"].number_format == "0.0"
    assert sheet["B2"].value == "STOP: preload must be above 0, got -1"
    assert sheet["C1"].value == "=B1*2"
    assert sheet["C2"].value == "=IF(ISNUMBER(B2),B2,NA())"
    assert sheet["C3"].value == '="unit_convert(1)"&A3'
    assert sheet["D1"].value == 2000
    assert [[cell.value for cell in row] for row in sheet["E2:F5"]] == [[1, 5], [3, 7], [2, 6], [4, 8]]
    assert sheet["G1"].value == "yes & no"
    assert sheet["A9"].value == 1
    old, new = parts(source), parts(copy)
    changed = {name for name in old if new.get(name) != old[name]}
    assert changed == {SHEET, "[Content_Types].xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels"}
    kept = re.sub(rb'<c r="(?:B1|B2|D1|E2|G1|G2)"[^>]*>.*?</c>', b"", old[SHEET])
    left = re.sub(rb'<c r="(?:B1|B2|D1|[EF][2-5]|G1|G2)"[^>]*>.*?</c>', b"", new[SHEET])
    pieces = rb"<c [^>]*/>|<c .*?</c>|<conditionalFormatting.*"
    assert re.findall(pieces, kept) == re.findall(pieces, left)


def test_the_sheet_that_says_so(frozen: Frozen) -> None:
    source, _, copy, _, _ = frozen
    rows = [
        [cell for cell in row if cell]
        for row in openpyxl.load_workbook(copy, read_only=True)["Frozen"].iter_rows(values_only=True)
    ]
    assert rows[0][0].startswith("Frozen copy: tautsheet's formulas are values here and do not follow any change of ")
    assert hashlib.sha256(source.read_bytes()).hexdigest() in rows[1][0]
    assert "from a.xlsx" in rows[1][0]
    assert re.search(r"13 values, 1 of them STOP; recalculated by LibreOffice \d", rows[2][0])
    assert ["S", "B1", '=torque_from_preload(A1,"1 1/4",0.15,"US")', "703.125"] in rows
    assert ["S", "F5", "(part of the table above or before it)", "8"] in rows


def test_the_copy_calculates_without_us(frozen: Frozen) -> None:
    copy = frozen[2]
    with Office(functions=False) as bare:
        opened = bare.open(copy)
        opened.recalculate()
        assert opened.cells("B1:D2", "S") == [
            [("number", 703.125), ("number", 1406.25), ("number", 2000.0)],
            [("text", "STOP: preload must be above 0, got -1"), ("error", "#N/A"), ("", "")],
        ]


@pytest.mark.usefixtures("in_the_same_office")
def test_as_saved_takes_what_the_file_has(tmp_path: Path) -> None:
    source, saved = book(tmp_path / "a.xlsx"), tmp_path / "saved.xlsx"
    code, said = run("freeze", source, "--out", tmp_path / "b.xlsx", "--as-saved")
    assert code == 2
    assert "S!B1 has no value in the file; leave out --as-saved" in said
    assert not (tmp_path / "b.xlsx").exists()
    run("recalc", source, "--out", saved)
    changed = parts(saved)
    changed[SHEET] = changed[SHEET].replace(b"<v>703.125</v>", b"<v>999</v>")
    old = tmp_path / "old.xlsx"
    with zipfile.ZipFile(old, "w") as archive:
        for name, content in changed.items():
            archive.writestr(name, content)
    assert run("freeze", old, "--out", tmp_path / "as saved.xlsx", "--as-saved")[0] == 1
    copy = openpyxl.load_workbook(tmp_path / "as saved.xlsx")
    assert copy["S"]["B1"].value == 999
    assert "as the file had them: they were not recalculated" in copy["Frozen"]["A3"].value
    code, said = run("freeze", old, "--out", tmp_path / "anew.xlsx")
    assert "another value in the file S!B1: 999.0, now 703.125" in said
    assert openpyxl.load_workbook(tmp_path / "anew.xlsx")["S"]["B1"].value == 703.125


@pytest.mark.usefixtures("in_the_same_office")
def test_the_starter_frozen(short_starter: Path, tmp_path: Path) -> None:
    source, copy = short_starter, tmp_path / "copy.xlsx"
    code, said = run("freeze", source, "--out", copy)
    assert code in (0, 1), said
    assert "xl/calcChain.xml" not in parts(copy)
    for sheet in openpyxl.load_workbook(copy):
        for row in sheet.iter_rows():
            for cell in row:
                text = getattr(cell.value, "text", cell.value)
                if cell.data_type == "f":
                    assert not is_ours(str(text)), f"{sheet.title}!{cell.coordinate}"


def test_shared_formulas_go_together() -> None:
    part = (
        b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
        b'<row r="1" spans="1:3">'
        b'<c r="A1" s="3"><f t="shared" ref="A1:A2" si="0">unit_convert(B1,"kN","N")</f><v>1</v></c>'
        b'<c r="C1"><f t="shared" ref="C1:C2" si="1">B1+1</f><v>1</v></c></row><row r="2">'
        b'<c r="A2" cm="1"><f t="shared" si="0"/><v>2</v></c><c r="C2"><f t="shared" si="1"/><v>1</v></c></row>'
        b"</sheetData><!-- <row r='3'/> --></worksheet>"
    )
    assert list(find(part)) == [(1, 1), (2, 1)]
    made = freeze(part, {(1, 1): ("number", 5.0), (2, 1): ("error", "Err:504"), (4, 2): ("text", "a<b")})
    assert b'<c r="A1" s="3"><v>5</v></c>' in made
    assert b'<c r="A2" t="e"><v>#N/A</v></c>' in made
    assert (
        b'<row r="4"><c r="B4" t="inlineStr"><is><t xml:space="preserve">a&lt;b</t></is></c></row></sheetData>' in made
    )
    assert b'<c r="C1"><f t="shared" ref="C1:C2" si="1">B1+1</f><v>1</v></c>' in made
    assert made.endswith(b"<!-- <row r='3'/> --></worksheet>")
    assert address(4, 2) == "B4"


@pytest.mark.parametrize("name", sorted(FULL))
def test_every_function_is_known(name: str) -> None:
    assert is_ours(f"1+{name.upper()}(A1)")
    assert is_ours(f"{FULL[name]}(A1)")
    assert is_ours(f"[1]!{name}(A1)")
    assert not is_ours(f'"{name}(A1)"')
    assert not is_ours(f"my_{name}(A1)")


@pytest.mark.parametrize(
    ("name", "target", "words"),
    [
        ("absent.xlsx", "x.xlsx", "absent.xlsx"),
        ("a.xlsx", "x.ods", "ends in .xlsx"),
        ("a.csv", "x.csv", "no .xlsx or .xlsm"),
        ("plain.xlsx", "x.xlsx", "has no formula of tautsheet's; nothing to freeze"),
        ("a.xlsx", "a.xlsx", "a.xlsx"),
    ],
)
def test_what_is_refused(tmp_path: Path, name: str, target: str, words: str) -> None:
    book(tmp_path / "a.xlsx")
    (tmp_path / "a.csv").write_text("x")
    openpyxl.Workbook().save(tmp_path / "plain.xlsx")
    before = (tmp_path / "a.xlsx").read_bytes()
    code, said = run("freeze", tmp_path / name, "--out", tmp_path / target)
    assert code == 2
    assert words in said
    assert len(said.strip().splitlines()) == 1
    assert (tmp_path / "a.xlsx").read_bytes() == before
