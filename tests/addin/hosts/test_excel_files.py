"""The macro module and the add-in file: as xlwings would write them, and read back by an independent reader."""

import io
import re
import sys
import warnings
import zipfile
from pathlib import Path
from typing import Any

import pytest

from addin.functions.registry import FUNCTIONS
from addin.hosts import excel_files

sys.path.insert(0, str(Path(__file__).parents[2]))  # pytest, looking for doctests, imports this file by its path
from excel_stand_ins import Book, Excel  # noqa: E402

SETTINGS = excel_files.settings(r"C:\Users\Ann Ö & Co\.venv\Scripts\python.exe", r"C:\tautsheet")

RESERVED = """
abs addressof alias and any append array as attribute base binary boolean byref byte byval call case cbool
    cbyte ccur cdate cdbl cdec cint clng clnglng clngptr close compare const csng cstr currency cvar cverr
    date debug decimal declare defbool defbyte defcur defdate defdbl defdec defint deflng deflnglng deflngptr
    defobj defsng defstr defvar dim do doevents double each else elseif empty end endif enum eqv erase error
    event exit explicit false fix for friend function get global go gosub goto if imp implements in input
    inputb int integer is lbound len lenb let lib like line linput local lock long longlong longptr loop lset
    me mid midb mod module name new next not nothing null object on open option optional or output paramarray
    preserve print private property pset ptrsafe public put raiseevent random randomize read redim rem resume
    return rset scale seek select set sgn shared single spc static step stop string sub tab text then to true
    type typeof ubound unlock until variant version wend while with withevents write xor xlpy caller
"""
"""Words that macros cannot have for a name (MS-VBAL 3.3.5.2, from memory), and two that xlwings keeps for itself."""


@pytest.fixture(scope="module")
def addin() -> bytes:
    return excel_files.addin_file(SETTINGS)


@pytest.fixture(scope="module")
def macros(addin: bytes) -> dict[str, str]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # its own use of another library
        from oletools.olevba import VBA_Parser
    parser = VBA_Parser("tautsheet.xlam", data=addin)
    found = {str(name): str(code) for _, _, name, code in parser.extract_macros()}
    parser.close()
    return {name.rpartition(".")[0]: code.replace("\r\n", "\n") for name, code in found.items()}


def body(code: str) -> list[str]:
    """Lines of a module that hold something, without those that only name it."""
    return [line.rstrip() for line in code.splitlines() if line.strip() and not line.startswith("Attribute VB_")]


def test_wrapper_is_what_xlwings_writes(excel: Excel) -> None:
    book = Book("tautsheet.xlam")
    assert excel_files.wrapper() == excel.import_into(book)


def test_addin_holds_the_wrapper(macros: dict[str, str]) -> None:
    assert body(macros["xlwings_udfs"]) == body(excel_files.wrapper())
    assert body(macros["tautsheet_help"]) == body(excel_files.help_module())
    assert "Workbook_Open" in macros["ThisWorkbook"]
    assert set(macros) >= {"xlwings", "xlwings_udfs", "tautsheet_help", "ThisWorkbook"}
    assert "Module1" not in macros


def test_no_workbook_chooses_the_program(macros: dict[str, str]) -> None:
    """A workbook or a folder that somebody sent must not name the interpreter that is started."""
    library = macros["xlwings"]
    assert 'PROJECT_NAME As String = "tautsheet"' in library
    config = library[library.index("Function GetConfig(") :]
    config = config[: config.index("End Function")]
    assert 'SheetExists(ActiveWorkbook, PROJECT_NAME & ".conf")' not in config
    assert 'source = "" Or source = "directory"' not in config
    assert 'SheetExists(ThisWorkbook, PROJECT_NAME & ".conf")' in config


def test_settings_are_read_back(addin: bytes, tmp_path: Path) -> None:
    path = tmp_path / "tautsheet.xlam"
    path.write_bytes(addin)
    assert excel_files.read_settings(path) == SETTINGS
    assert SETTINGS["ADD_WORKBOOK_TO_PYTHONPATH"] == "false"
    path.write_bytes(b"something else")
    assert excel_files.read_settings(path) is None


def test_the_package_is_whole(addin: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(addin)) as archive:
        assert archive.testzip() is None
        texts = b"".join(archive.read(name) for name in archive.namelist() if name.endswith(".xml"))
    assert b"macroEnabled.main+xml" in texts
    assert b"absPath" not in texts
    assert addin == excel_files.addin_file(SETTINGS), "the same input gives the same bytes"


def test_macros_can_have_our_names() -> None:
    for function in FUNCTIONS:
        names = [function.name, *(arg.name for arg in function.args)]
        assert not set(RESERVED.split()) & set(names), function.name
        assert all(re.fullmatch(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", name) for name in names)
        assert not re.fullmatch(r"[a-z]{1,3}[0-9]{1,7}|r[0-9]*c[0-9]*", function.name), "looks like an address"
        assert len({name.lower() for name in names}) == len(names)


def test_lines_are_short_enough_for_macros() -> None:
    for text in (excel_files.wrapper(), excel_files.help_module()):
        assert max(map(len, text.splitlines())) < 1023
        text.encode("cp1252")
    excel_files.wrapper().encode("ascii")


def test_another_xlwings_is_noticed() -> None:
    with pytest.raises(ValueError, match="not those that are known"):
        excel_files._library("Public Const OTHER = 1")


def test_a_reader_of_macros_finds_nothing_else(macros: dict[str, str]) -> None:
    other: Any = set(macros) - {"xlwings", "xlwings_udfs", "tautsheet_help", "ThisWorkbook", "Dictionary", "Sheet2"}
    assert not other
