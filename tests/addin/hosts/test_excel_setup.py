"""Excel's files put in place and taken away, and what the check says of computers that cannot work."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import xlwings
from click.testing import CliRunner

from addin.cli import main
from addin.hosts import excel_files
from addin.hosts.excel_setup import FAULT, GOOD, NOTE, Facts, addins_folder, diagnose, install, remove
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
    trusts_macros=True,
    addin=r"C:\Users\m\AppData\Roaming\Microsoft\AddIns\tautsheet.xlam",
    addin_settings=excel_files.settings(PYTHON, FOLDER),
    folder=FOLDER,
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
        ({"trusts_macros": False}, NOTE, "Trust access to the VBA project object model"),
        ({"trusts_macros": None}, NOTE, "Import Functions does not"),
        ({"addin": "", "addin_settings": None}, FAULT, "not there: tautsheet excel"),
        ({"addin_settings": None}, FAULT, "not tautsheet's or is damaged"),
        ({"folder": r"C:\other"}, FAULT, r"(PYTHONPATH: C:\tautsheet, now C:\other)"),
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
    addin, macros = install(folder)
    assert macros.read_text(encoding="ascii").count("XLPy.CallUDF") > 40
    assert macros.read_bytes().count(b"\r\n") == macros.read_bytes().count(b"\n")
    install(folder)
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
