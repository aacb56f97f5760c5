"""The add-in file: its macros as xlwings would write them, and read back by an independent reader."""

import io
import re
import sys
import warnings
import zipfile
from pathlib import Path

import pytest

from addin.functions.registry import FUNCTIONS
from addin.hosts import excel_addin, excel_macros

sys.path.insert(0, str(Path(__file__).parents[2]))  # pytest, looking for doctests, imports this file by its path
from excel_stand_ins import Book, Excel  # noqa: E402
from make_excel_addin import built  # noqa: E402

SETTINGS = excel_addin.settings(r"C:\Users\Ann Ö & Co\.venv\Scripts\python.exe", r"C:\Users\Ann Ö & Co\.venv")
MADE_ANEW = "the registry has changed: run `python tests/make_excel_addin.py`"

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
    return excel_addin.addin_file(SETTINGS)


def read_back(content: bytes) -> dict[str, str]:
    """The macro modules of a file, by a reader that has nothing in common with the writer."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # its own use of another library
        from oletools.olevba import VBA_Parser
    parser = VBA_Parser("tautsheet.xlam", data=content)
    found = {str(name): str(code) for _, _, name, code in parser.extract_macros()}
    parser.close()
    return {name.rpartition(".")[0]: code.replace("\r\n", "\n") for name, code in found.items()}


@pytest.fixture(scope="module")
def macros(addin: bytes) -> dict[str, str]:
    return read_back(addin)


def body(code: str) -> list[str]:
    """Lines of a module that hold something, without those that only name it."""
    return [line.rstrip() for line in code.splitlines() if line.strip() and not line.startswith("Attribute VB_")]


DECLARED = re.compile(
    r"^\s*(?P<how>(?:(?:Public|Private|Friend|Global|Static)\s+)*)"
    r"(?P<kind>Declare|Sub|Function|Property|Const|Dim|Type|Enum|WithEvents|Event|\w+\s+As)\b(?P<rest>.*)$",
    re.IGNORECASE,
)


def public(code: str) -> set[str]:
    """Everything of a module that is seen outside it: procedures, declarations of libraries, variables, constants."""
    found, inside = set(), False
    for line in code.splitlines():
        if re.match(r"\s*End (Sub|Function|Property)\b", line, re.IGNORECASE):
            inside = False
            continue
        match = DECLARED.match(line)
        if inside or match is None:
            continue
        inside = match["kind"].lower() in ("sub", "function", "property")
        if "private" not in match["how"].lower():
            found.add(re.findall(r"\w+", match["rest"])[0] if inside else line.strip())
    return found


def test_only_registered_functions_can_be_reached_from_a_cell(macros: dict[str, str]) -> None:
    seen = {name for code in macros.values() for name in public(code)}
    assert seen == {function.name for function in FUNCTIONS}
    assert all(not public(code) for name, code in macros.items() if name != excel_macros.CALLS)


def test_what_is_public_is_found() -> None:
    """The reader above finds each way to leave a door open."""
    for line, name in (
        ("Function RunPython(command)", "RunPython"), ("Public Sub KillPy()", "KillPy"), ("Sub Go()", "Go"),
        ("Public Property Get Item()", "Get"), ("Static Function f()", "f"), ("Friend Sub g()", "g"),
    ):  # fmt: skip
        assert public(f"Option Explicit\n{line}\nDim x\nEnd Sub") == {name}
    for line in ('Declare PtrSafe Function f Lib "KERNEL32" () As Long', "Public Const A = 1", "Global x As Long"):
        assert public(line) == {line}
    assert public("Private Sub a()\nDim x\nEnd Sub\nPrivate Const A = 1") == set()


def test_nothing_runs_programs_or_touches_files(macros: dict[str, str]) -> None:
    code = "\n".join(macros.values()).lower()
    for word in ("wscript", "shell", "cmd.exe", "createobject", "kill ", "open filename", "environ", "activeworkbook",
                 "runpython", "execute", "application.run", "filecopy", "mkdir"):  # fmt: skip
        assert word not in code, word


def test_calls_are_those_that_xlwings_writes(excel: Excel, macros: dict[str, str]) -> None:
    """Signature and call of every function, as xlwings' own generator has them; a workbook is never handed over."""
    theirs = excel.import_into(Book("tautsheet.xlam"))
    lines = {line.strip() for line in macros[excel_macros.CALLS].splitlines()}
    wanted = [line.strip() for line in theirs.splitlines() if line.startswith("Function ") or "ActiveWorkbook" in line]
    assert len(wanted) == 2 * len(FUNCTIONS)
    for line in wanted:
        assert line.replace(", ActiveWorkbook, ", ", Nothing, ") in lines


def test_addin_is_the_one_of_the_registry(macros: dict[str, str]) -> None:
    assert excel_addin.SHIPPED.read_bytes() == built(), MADE_ANEW
    assert body(macros[excel_macros.CALLS]) == body(excel_macros.calls()), MADE_ANEW
    assert body(macros["ThisWorkbook"]) == body(excel_macros.opening()), MADE_ANEW
    assert set(macros) == {excel_macros.CALLS, "ThisWorkbook", "Sheet1"}
    assert not body(macros["Sheet1"])


def test_the_project_has_our_name() -> None:
    with zipfile.ZipFile(excel_addin.SHIPPED) as archive:
        binary = archive.read("xl/vbaProject.bin")
        parts = b"".join(archive.read(name) for name in archive.namelist())
    assert b'Name="tautsheet"' in binary
    assert b"VBAProject\x00" not in binary
    for other in (b"MyAddin", b"myaddin", b"creator", b"lastModifiedBy", b"\\Users\\", b"absPath"):
        assert other not in parts


def test_a_library_that_does_not_answer_is_a_stop(macros: dict[str, str]) -> None:
    code = macros[excel_macros.CALLS]
    assert code.count("Refusal(Err.Description)") == len(FUNCTIONS)
    assert "Refusal = \"STOP: tautsheet's Python does not answer; run 'tautsheet excel --check' (\"" in code


def test_no_workbook_has_a_say_in_what_is_started(macros: dict[str, str]) -> None:
    """Program and library come from the add-in's own sheet, and the program is started without a shell."""
    code = macros[excel_macros.CALLS]
    assert code.count("ThisWorkbook") == 1
    assert 'ThisWorkbook.Worksheets("tautsheet.conf").Cells(row, 2).Value' in code
    assert "PythonObject(XLPy, Setting(1), 1)" in code
    started = SETTINGS[excel_macros.COMMAND]
    assert started == ('"C:\\Users\\Ann Ö & Co\\.venv\\Scripts\\python.exe" -P -B -m addin.hosts.excel_server $(CLSID)')


def test_workbooks_are_looked_at_only_on_request(macros: dict[str, str]) -> None:
    code = macros["ThisWorkbook"]
    assert code.count("Set session = ") == 1
    assert 'If wanted = "yes" Then Set session = Application' in code
    assert SETTINGS[excel_macros.ON_OPENING] == "no"
    assert excel_addin.settings("p", "l", on_opening=True)[excel_macros.ON_OPENING] == "yes"
    names = "".join(re.findall(r'names = (?:names & )?"([^"]*)"', code))
    assert names.split("|") == [function.name for function in FUNCTIONS]


def test_settings_are_read_back(addin: bytes, tmp_path: Path) -> None:
    path = tmp_path / "tautsheet.xlam"
    path.write_bytes(addin)
    assert excel_addin.read_settings(path) == SETTINGS
    path.write_bytes(b"something else")
    assert excel_addin.read_settings(path) is None


def test_a_module_alone_has_its_settings_in_it() -> None:
    code = excel_macros.calls(settings=SETTINGS.values())
    assert public(code) == {function.name for function in FUNCTIONS}
    assert "ThisWorkbook" not in code
    assert 'Setting = Choose(row, """C:\\Users\\Ann Ö & Co\\.venv\\Scripts\\python.exe"" -P -B -m' in code


def test_the_package_is_whole(addin: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(addin)) as archive:
        assert archive.testzip() is None
        texts = b"".join(archive.read(name) for name in archive.namelist() if name.endswith(".xml"))
    assert b"addin.macroEnabled.main+xml" in texts
    assert addin == excel_addin.addin_file(SETTINGS), "the same input gives the same bytes"


def test_the_sheet_of_settings_is_read_by_a_workbook_library(addin: bytes, tmp_path: Path) -> None:
    import openpyxl

    path = tmp_path / "tautsheet.xlsm"
    with zipfile.ZipFile(io.BytesIO(addin)) as archive, zipfile.ZipFile(path, "w") as copy:
        for name in archive.namelist():  # the library takes workbooks with macros, not add-ins
            copy.writestr(name, archive.read(name).replace(b"ms-excel.addin.", b"ms-excel.sheet."))
    sheet = openpyxl.load_workbook(path)["tautsheet.conf"]
    assert {row[0].value: row[1].value for row in sheet.iter_rows()} == SETTINGS


def test_macros_can_have_our_names() -> None:
    for function in FUNCTIONS:
        names = [function.name, *(arg.name for arg in function.args)]
        assert not set(RESERVED.split()) & set(names), function.name
        assert all(re.fullmatch(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", name) for name in names)
        assert not re.fullmatch(r"[a-z]{1,3}[0-9]{1,7}|r[0-9]*c[0-9]*", function.name), "looks like an address"
        assert len({name.lower() for name in names}) == len(names)


def test_lines_are_short_enough_for_macros() -> None:
    for text in (excel_macros.calls(), excel_macros.opening()):
        assert max(map(len, text.splitlines())) < 1023
        text.encode("cp1252")
    excel_macros.calls().encode("ascii")


def test_private_names_are_no_functions() -> None:
    private = set(re.findall(r"Private (?:Function|Sub|Const) (\w+)", excel_macros.calls() + excel_macros.opening()))
    names = {name.lower() for function in FUNCTIONS for name in (function.name, *(arg.name for arg in function.args))}
    assert len(private) > 10
    assert not {name.lower() for name in private} & names
