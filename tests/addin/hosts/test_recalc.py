"""The command that calculates a workbook anew without a window."""

from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

from addin.cli import main


@pytest.fixture
def book(tmp_path: Path) -> Path:
    workbook = openpyxl.Workbook()
    sheet = workbook.active
    sheet["A1"], sheet["A2"] = 45000, -1
    for row in (1, 2):
        sheet[f"B{row}"] = f'=torque_from_preload(A{row},"1 1/4",0.15,"US")'
        sheet[f"C{row}"] = f"=IF(ISNUMBER(B{row}),B{row},NA())"
    workbook.save(tmp_path / "book.xlsx")
    return tmp_path / "book.xlsx"


@pytest.mark.usefixtures("in_the_same_office")
def test_copy_and_pdf(book: Path, tmp_path: Path) -> None:
    before = book.read_bytes()
    done = CliRunner().invoke(main, ["recalc", str(book), "--out", str(tmp_path / "copy.xlsx"), "--pdf"])
    assert done.exit_code == 1, done.output
    assert "STOP Sheet!B2: preload must be above 0" in done.output
    assert "error Sheet!C2: #N/A" in done.output
    assert "1 cells show STOP, 1 an error" in done.output
    assert book.read_bytes() == before
    assert (tmp_path / "copy.pdf").read_bytes().startswith(b"%PDF")
    values = openpyxl.load_workbook(tmp_path / "copy.xlsx", data_only=True).active
    assert values["B1"].value == pytest.approx(703.125, rel=1e-14)  # saved files keep 15 digits
    assert values["C2"].value == "#N/A"
    again = CliRunner().invoke(main, ["recalc", str(book), "--out", str(tmp_path / "copy.xlsx")])
    assert again.exit_code == 2
    assert "is not overwritten" in again.output


@pytest.mark.parametrize(
    ("source", "target", "words"),
    [
        ("absent.xlsx", "x.xlsx", "there is no such file"),
        ("book.xlsx", "book.xlsx", "results go to another file"),
        ("book.xlsx", "x.csv", "ends in .xlsx or .ods"),
        ("book.xlsm", "x.xlsx", "damages"),
        ("book.txt", "x.xlsx", "no .xlsx or .ods"),
        ("broken.xlsx", "x.xlsx", "broken.xlsx"),
    ],
)
def test_what_is_refused(book: Path, tmp_path: Path, source: str, target: str, words: str) -> None:
    (tmp_path / "broken.xlsx").write_bytes(b"PK not a zip")
    done = CliRunner().invoke(main, ["recalc", str(tmp_path / source), "--out", str(tmp_path / target)])
    assert done.exit_code == 2
    assert words in done.output
    assert len(done.output.strip().splitlines()) == 1


@pytest.mark.usefixtures("in_the_same_office")
def test_a_damaged_file_that_only_libreoffice_reads(tmp_path: Path) -> None:
    (tmp_path / "bad.ods").write_bytes(b"no")
    done = CliRunner().invoke(main, ["recalc", str(tmp_path / "bad.ods"), "--out", str(tmp_path / "x.ods")])
    assert done.exit_code == 2
    assert "bad.ods: LibreOffice cannot open it" in done.output
    assert not (tmp_path / "x.ods").exists()


def test_no_office(book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TAUTSHEET_SOFFICE", str(tmp_path / "soffice"))
    done = CliRunner().invoke(main, ["recalc", str(book), "--out", str(tmp_path / "x.xlsx")])
    assert done.exit_code == 2
    assert "install LibreOffice" in done.output
    assert not (tmp_path / "x.xlsx").exists()
