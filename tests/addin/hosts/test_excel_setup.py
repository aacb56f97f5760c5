"""Excel's files put in place and taken away, and what the check says of computers that cannot work."""

import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import xlwings
from click.testing import CliRunner

from addin.cli import main
from addin.hosts import excel_addin
from addin.hosts.excel_policies import obstacles, read, request
from addin.hosts.excel_setup import FAULT, GOOD, NOTE, Facts, addins_folder, diagnose, install, libraries, remove
from addin.workbooks.package import WorkbookError

PYTHON, FOLDER = r"C:\tautsheet\.venv\Scripts\python.exe", r"C:\tautsheet"
WELL = Facts(
    platform="win32",
    python=PYTHON,
    prefix=r"C:\tautsheet\.venv",
    dlls=(f"xlwings32-{xlwings.__version__}.dll", f"xlwings64-{xlwings.__version__}.dll"),
    pywin32=True,
    excel=r"C:\Program Files\Microsoft Office\root\Office16\EXCEL.EXE",
    office_bits=64,
    rules={},
    addin=r"C:\Users\m\AppData\Roaming\Microsoft\AddIns\tautsheet.xlam",
    addin_settings=excel_addin.settings(PYTHON, FOLDER),
)


def test_a_computer_that_works() -> None:
    assert {level for level, _ in diagnose(WELL)} == {GOOD}


@pytest.mark.parametrize(
    ("change", "level", "words"),
    [
        ({"python": r"C:\Program Files\WindowsApps\PythonSoftwareFoundation.Python.3.12\python.exe"}, FAULT,
         "install Python from python.org"),
        ({"excel": r"C:\Program Files\WindowsApps\Microsoft.Office.Desktop\EXCEL.EXE"}, FAULT, "cannot start Python"),
        ({"excel": ""}, FAULT, "Excel is not found"),
        ({"pywin32": False}, FAULT, "pip install pywin32"),
        ({"dlls": ("xlwings64-0.30.0.dll",)}, FAULT, "there: xlwings64-0.30.0.dll"),
        ({"dlls": (), "office_bits": 32}, FAULT, f"xlwings32-{xlwings.__version__}.dll is not in"),
        ({"rules": {"macros": 4}}, FAULT, "macros are switched off by a rule of this computer"),
        ({"rules": {"macros": 3}}, NOTE, "its folder must be a trusted location"),
        ({"rules": {"addins": 1}}, FAULT, "add-ins are switched off"),
        ({"rules": {"signed addins": 1}}, FAULT, "only signed add-ins are loaded"),
        ({"rules": {"trusted folders": 1}}, NOTE, "trusted locations are switched off"),
        ({"rules": {"children": 1}}, FAULT, "Office may not start other programs on this computer"),
        ({"rules": {"children": 2}}, NOTE, "Office should not start other programs is watched"),
        ({"rules": {"calls": 1}}, FAULT, "macros may not call libraries on this computer"),
        ({"rules": {"calls": 6}}, NOTE, "macros should not call libraries is warned of"),
        ({"rules": {"children": 1}}, NOTE, f"starts one program by its full path, {PYTHON}, without a shell"),
        ({"python": r"C:\$(CLSID)\python.exe"}, FAULT, "has the letters $( in it"),
        ({"addin": "", "addin_settings": None}, FAULT, "not there: tautsheet excel"),
        ({"addin_settings": None}, FAULT, "not tautsheet's or is damaged"),
        ({"python": r"C:\other\python.exe"}, FAULT, "was made for another installation"),
        ({"python": "C:\\\u9752\\python.exe"}, NOTE, "plain letters"),
        ({"platform": "linux"}, NOTE, "on Windows only"),
    ],
)  # fmt: skip
def test_what_goes_wrong(change: dict[str, Any], level: str, words: str) -> None:
    said = diagnose(replace(WELL, **change))
    assert any(got == level and words in text for got, text in said), said
    assert all("\n" not in text for _, text in said)


def test_install_and_remove(tmp_path: Path) -> None:
    folder = tmp_path / "Add Ins"
    assert install(folder) == [str(folder / "tautsheet.xlam"), str(folder / "tautsheet.bas")]
    addin, macros = folder / "tautsheet.xlam", folder / "tautsheet.bas"
    assert macros.read_text(encoding="utf-8").count("XLPy.CallUDF") >= 37
    assert excel_addin.read_settings(addin) == excel_addin.settings(sys.executable, libraries())
    assert macros.read_bytes().count(b"\r\n") == macros.read_bytes().count(b"\n")
    assert len(install(folder)) == 2
    (folder / ".tautsheet-files.json").unlink()  # put there before there were notes
    assert len(install(folder)) == 2  # the same to the byte: nothing need be kept
    assert remove(folder) == [addin, macros]
    assert list(folder.iterdir()) == []
    assert remove(folder) == []


def test_somebody_elses_file_stays(tmp_path: Path) -> None:
    (tmp_path / "tautsheet.xlam").write_bytes(b"mine")
    with pytest.raises(WorkbookError, match="not overwritten"):
        install(tmp_path)
    with pytest.raises(WorkbookError, match="not removed"):
        remove(tmp_path)
    assert (tmp_path / "tautsheet.xlam").read_bytes() == b"mine"
    (tmp_path / "tautsheet.xlam").rename(tmp_path / "tautsheet.bas")
    with pytest.raises(WorkbookError, match="is not overwritten"):
        install(tmp_path)
    with pytest.raises(WorkbookError, match="not removed"):
        remove(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["tautsheet.bas"]
    assert (tmp_path / "tautsheet.bas").read_bytes() == b"mine"


def test_excels_own_folder() -> None:
    assert addins_folder({"APPDATA": "/roaming"}) == Path("/roaming/Microsoft/AddIns")


def test_command(tmp_path: Path) -> None:
    run = CliRunner().invoke
    done = run(main, ["excel", "--folder", str(tmp_path)])
    assert done.exit_code == 0, done.output
    assert "tautsheet.xlam" in done.output
    assert run(main, ["excel", "--check", "--folder", str(tmp_path)]).exit_code == 0
    done = run(main, ["excel", "--remove", "--folder", str(tmp_path)])
    assert done.output.count("removed") == 2
    assert "nothing of tautsheet's" in run(main, ["excel", "--remove", "--folder", str(tmp_path)]).output


def test_workbooks_are_looked_at_when_asked(tmp_path: Path) -> None:
    done = CliRunner().invoke(main, ["excel", "--on-opening", "--folder", str(tmp_path)])
    assert done.exit_code == 0, done.output
    assert (excel_addin.read_settings(tmp_path / "tautsheet.xlam") or {})["When a workbook opens"] == "yes"


def test_rules_are_read_the_strongest_place_first() -> None:
    office = r"Software\Policies\Microsoft\Office\16.0\Excel\Security"
    there: dict[tuple[str, str, str], object] = {
        ("user", office, "VBAWarnings"): 4,
        ("user", office.replace("\\Policies", ""), "VBAWarnings"): 1,
        ("machine", r"SOFTWARE\Microsoft\Windows Defender\Windows Defender Exploit Guard\ASR\Rules",
         "d4f940ab-401b-4efc-aadc-ad5f3c50688a"): "1",
        ("user", office, "RequireAddinSig"): "not a number",
    }  # fmt: skip
    found = read(lambda *place: there.get(place))
    assert found == {"macros": 4, "children": 1}
    assert [sure for sure, _ in obstacles(found)] == [True, True]
    assert read(lambda *place: None) == {}


def test_what_to_ask_for_is_one_paragraph() -> None:
    text = request(r"C:\a\tautsheet.xlam", PYTHON)
    assert "\n" not in text
    assert r"C:\a\tautsheet.xlam" in text
    assert "d4f940ab-401b-4efc-aadc-ad5f3c50688a" in text
