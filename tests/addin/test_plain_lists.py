"""Lists as text files with separators: read, planned into a new .xlsx, the text itself never touched."""

import datetime
import shutil
import zipfile
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result
from plain_plan import plain_plan

from addin.cli import main
from addin.reading.joint_list import read_joint_list
from addin.shipped import folder
from addin.workbooks.package import WorkbookError
from addin.workbooks.plain_lists import as_workbook, rows_of

BOOK = next(folder("samples").glob("*-wrenches.xlsx"))
TEXT = """Flanges of unit 3
Flange No.;Operation;Method;Stud size;Studs;Grade;Torque (ft-lb);Date;Remarks
FL-1;final make-up;hydraulic;1 1/8;12;A193 B7;731;2026-10-20;"two lines; one cell"
FL-2;final make-up;hydraulic;1 1/8;12;A193 B7;1'050;2026-10-20;
"""


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


def test_a_text_with_separators_is_planned_into_a_new_workbook(tmp_path: Path) -> None:
    listed = tmp_path / "flanges.csv"
    listed.write_text(TEXT, encoding="cp1252")
    result = run("plan", listed, "--wrenches", BOOK, "--out", tmp_path / "out")
    assert result.exit_code in (0, 1), result.output
    assert listed.read_text(encoding="cp1252") == TEXT
    plan = plain_plan(tmp_path / "out" / "flanges-plan.json")
    assert [joint["studs"] for joint in plan["joints"]] == [12, 12]
    assert plan["joints"][0]["remarks"] == "two lines; one cell"
    sheet = openpyxl.load_workbook(tmp_path / "out" / "flanges-planned.xlsx").worksheets[0]
    assert [cell.value for cell in sheet[3]][:7] == ["FL-1", "final make-up", "hydraulic", "1 1/8", 12, "A193 B7", 731]
    assert "Status" in [cell.value for cell in sheet[2]]


def test_columns_reads_it_too_and_the_same_text_gives_the_same_workbook(tmp_path: Path) -> None:
    listed = tmp_path / "flanges.csv"
    listed.write_text(TEXT, encoding="utf-8-sig")
    assert "Torque (ft-lb)  torque     lbf·ft" in run("columns", listed).output
    one, two = tmp_path / "one", tmp_path / "two"
    for place in (one, two):
        place.mkdir()
    assert as_workbook(listed, one).read_bytes() == as_workbook(listed, two).read_bytes()


@pytest.mark.parametrize(("text", "cells"), [
    ("a\tb\n1\t2\n", [["a", "b"], ["1", "2"]]), ("a,b\n1,2\n", [["a", "b"], ["1", "2"]]),
    ("a;b\n0,15;1 1/8\n", [["a", "b"], ["0,15", "1 1/8"]]),
])  # fmt: skip
def test_the_separator_is_the_one_that_the_lines_have(text: str, cells: list[list[str]], tmp_path: Path) -> None:
    (tmp_path / "x.csv").write_text(text)
    assert rows_of(tmp_path / "x.csv") == cells


def test_numbers_that_could_be_read_in_two_ways_stay_texts(tmp_path: Path) -> None:
    (tmp_path / "x.csv").write_text("n\n007\n1,5\n480\n2.5\n")
    sheet = openpyxl.load_workbook(as_workbook(tmp_path / "x.csv", tmp_path)).worksheets[0]
    assert [row[0].value for row in sheet.iter_rows()] == ["n", "007", "1,5", 480, 2.5]


def test_what_is_no_text_is_said_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "x.csv").write_bytes(b"PK\x03\x04\0\0\0")
    with pytest.raises(WorkbookError, match=r"x\.csv: is no text file with separators"):
        rows_of(tmp_path / "x.csv")


def test_an_empty_text_is_refused_by_its_own_name(tmp_path: Path) -> None:
    (tmp_path / "empty.csv").write_text("\n \n")
    result = run("plan", tmp_path / "empty.csv", "--wrenches", BOOK, "--out", tmp_path / "out")
    assert (result.exit_code, result.output.strip().splitlines()[-1]) == (2, "tautsheet: empty.csv: is empty")


SECOND_LINE = """Flanschliste;;;;;;
Flansch-Nr.;Schraube;Anzahl;Werkstoff;"Anzugs-
moment Nm";Datum;Bemerkung
F-101;M24;12;8.8;480,5;12.10.2026;"Zwei Zeilen;
eine Zelle"
F-102;M20;8;8.8;1.140,25;13.10.2026;größer
"""


@pytest.mark.parametrize("encoding", ["cp1252", "utf-8", "utf-8-sig", "utf-16"])
def test_encodings_decimal_commas_and_quoted_line_breaks(tmp_path: Path, encoding: str) -> None:
    listed = tmp_path / "liste.csv"
    listed.write_text(SECOND_LINE, encoding=encoding)
    read = read_joint_list(as_workbook(listed, tmp_path))
    assert list(read.rows.joints.torque) == [480.5, 1140.25]
    assert list(read.rows.joints.studs) == [12, 8]
    assert read.rows.texts["remarks"] == ["Zwei Zeilen; eine Zelle", "größer"]
    assert [datetime.date.fromordinal(int(day)).isoformat() for day in read.rows.joints.date] == [
        "2026-10-12",
        "2026-10-13",
    ]


_NAMES = "urn:oasis:names:tc:opendocument:xmlns"
ODS = f"""<?xml version="1.0" encoding="UTF-8"?><office:document-content office:version="1.2"
 xmlns:office="{_NAMES}:office:1.0" xmlns:text="{_NAMES}:text:1.0" xmlns:table="{_NAMES}:table:1.0"><office:body>
 <office:spreadsheet><table:table table:name="List">{{}}</table:table></office:spreadsheet></office:body>
 </office:document-content>"""
CELL = '<table:table-cell office:value-type="string"><text:p>{}</text:p></table:table-cell>'


@pytest.mark.skipif(not shutil.which("soffice"), reason="needs LibreOffice")
def test_an_ods_goes_from_list_to_cards(tmp_path: Path) -> None:
    lines = [line.split(";") for line in TEXT.splitlines()[1:] if "two lines" not in line]
    rows = "".join(f"<table:table-row>{''.join(map(CELL.format, line))}</table:table-row>" for line in lines)
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    manifest = (
        '<?xml version="1.0"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{kind}"/>'
        '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/></manifest:manifest>'
    )
    listed = tmp_path / "flanges.ods"
    with zipfile.ZipFile(listed, "w") as archive:
        archive.writestr("mimetype", kind)
        archive.writestr("content.xml", ODS.format(rows))
        archive.writestr("META-INF/manifest.xml", manifest)
    before = listed.read_bytes()
    result = run("plan", listed, "--wrenches", BOOK, "--out", tmp_path / "out")
    assert result.exit_code in (0, 1), result.output
    assert listed.read_bytes() == before
    assert [joint["studs"] for joint in plain_plan(tmp_path / "out" / "flanges-plan.json")["joints"]] == [12]
    packed = run("pack", tmp_path / "out" / "flanges-plan.json", "--out", tmp_path / "cards")
    assert packed.exit_code in (0, 1), packed.output
    assert (tmp_path / "cards" / "flanges-cards.xlsx").exists()


def test_a_file_that_only_is_called_ods_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "bad.ods").write_text("no ods")
    result = run("plan", tmp_path / "bad.ods", "--wrenches", BOOK, "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert len(result.output.strip().splitlines()) == 1
    assert result.output.endswith("bad.ods: LibreOffice cannot open it\n")


def test_a_refusal_names_the_text_and_not_the_workbook_made_of_it(tmp_path: Path) -> None:
    listed = tmp_path / "numbers.csv"
    listed.write_text("a,b,c\n1,2,3\n", encoding="utf-8")
    for command in (["columns", listed], ["plan", listed, "--wrenches", BOOK, "--out", tmp_path / "out"]):
        result = CliRunner().invoke(main, [str(word) for word in command])
        assert result.exit_code == 2
        assert result.output.startswith("tautsheet: numbers.csv: no joint list found"), result.output
