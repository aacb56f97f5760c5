"""Workbooks opened and saved as a person does it, in a Calc with the extension: no command of ours on the way.

With TAUTSHEET_WINDOWS in the environment they get windows, which Debian's libreoffice-calc-nogui cannot open.
"""

import shutil
import signal
import sys
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.worksheet.formula import ArrayFormula
from ordinary_documents import Run

from addin.functions.gate import REQUIRED, answer
from addin.functions.registry import BY_NAME, FUNCTIONS
from addin.hosts.libreoffice import formula_names
from addin.shipped import folder

sys.path.insert(0, str(Path(__file__).parents[2]))  # pytest, looking for doctests, imports this file by its path
from make_starter import FIRST, JOINTS, ROWS  # noqa: E402

XLSX, ODS = "Calc MS Excel 2007 XML", "calc8"
TORQUE, TWICE, ORDER = 703.125, 1406.25, [[1, 5], [3, 7], [2, 6], [4, 8]]


def book(path: Path, *, protect: bool = False, cached: bool = False) -> Path:
    """A workbook as Excel writes it: plain names, an array, a defined name, a text that looks like a call."""
    workbook = openpyxl.Workbook()
    sheet = workbook.active
    sheet.title = "S"
    sheet["A1"], sheet["A2"] = 45000, 45000
    sheet["B1"] = '=torque_from_preload(A1,"1 1/4",0.15,"US")'
    sheet["B2"], sheet["B3"] = "=B1*2", "=SUM(1,2)"
    sheet["B4"] = '="unit_convert(1)"&""'
    sheet["D1"] = ArrayFormula("D1:E4", "=tightening_order(8,2)")
    sheet.protection.sheet = protect
    workbook.save(path)
    return path


def numbers(cells: list[list[list[Any]]]) -> list[list[Any]]:
    return [[content for _, content in row] for row in cells]


def formulas_of(path: Path) -> str:
    with zipfile.ZipFile(path) as archive:
        return archive.read("xl/worksheets/sheet1.xml").decode("utf-8")


def test_a_workbook_comes_alive_and_stays_unchanged(run: Run, tmp_path: Path) -> None:
    path = str(book(tmp_path / "a list.xlsx"))
    before = Path(path).read_bytes()
    opened, cells, order, changed, text, _ = run(
        ["open", "a", path, {}], ["cells", "a", "S", "B1:B3"], ["cells", "a", "S", "D1:E4"], ["changed", "a"],
        ["cells", "a", "S", "B4"], ["close", "a"],
    )  # fmt: skip
    assert opened
    assert numbers(cells) == [[TORQUE], [TWICE], [3]]
    assert numbers(order) == ORDER
    assert numbers(text) == [["unit_convert(1)"]]
    assert Path(path).read_bytes() == before
    assert changed is False


def test_read_only_and_protected_and_two_at_once(run: Run, tmp_path: Path) -> None:
    one, two = str(book(tmp_path / "one.xlsx")), str(book(tmp_path / "two.xlsx", protect=True))
    answers = run(
        ["open", "a", one, {"ReadOnly": True}], ["open", "b", two, {}], ["cells", "a", "S", "B1:B2"],
        ["cells", "b", "S", "B1:B2"], ["cells", "b", "S", "D1:E4"], ["protected", "b", "S"],
        ["put", "a", "S", "A3", "1"], ["cells", "b", "S", "B1:B2"], ["close", "a"], ["cells", "b", "S", "B1"],
        ["close", "b"],
    )  # fmt: skip
    assert numbers(answers[2]) == numbers(answers[3]) == numbers(answers[7]) == [[TORQUE], [TWICE]]
    assert numbers(answers[4]) == ORDER
    assert answers[5] is True
    assert numbers(answers[9]) == [[TORQUE]]


def test_saved_workbooks_have_plain_names(run: Run, tmp_path: Path) -> None:
    """Saved where it was, twice, and under another name; opened again it is alive, and counts as unchanged."""
    path, other = book(tmp_path / "list.xlsx"), tmp_path / "other.xlsx"
    answers = run(
        ["open", "a", str(path), {}], ["put", "a", "S", "A1", "22500"], ["save", "a"],
        ["put", "a", "S", "A3", "7"], ["save", "a"], ["cells", "a", "S", "B1:B2"], ["save as", "a", str(other), XLSX],
        ["close", "a"], ["open", "b", str(other), {}], ["cells", "b", "S", "A1:B3"], ["changed", "b"], ["close", "b"],
    )  # fmt: skip
    assert numbers(answers[5]) == [[TORQUE / 2], [TORQUE]]
    for saved in (path, other):
        content = formulas_of(saved)
        assert "TAUTSHEET." not in content.upper().replace("TAUTSHEET.CONF", "")
        assert "torque_from_preload(A1," in content
        assert "tightening_order(8,2)" in content
        assert openpyxl.load_workbook(saved, data_only=True)["S"]["B1"].value == TORQUE / 2
    assert numbers(answers[9]) == [[22500, TORQUE / 2], [45000, TORQUE], [7, 3]]
    assert answers[10] is False
    assert not list(tmp_path.glob(".tautsheet-*"))


def test_a_copy_that_is_saved_has_plain_names(run: Run, tmp_path: Path) -> None:
    """Beside its document, new or in the place of an older one; other workbooks that lie there stay as they are."""
    path, copy = book(tmp_path / "list.xlsx"), tmp_path / "copy.xlsx"
    other = tmp_path / "other.xlsx"
    shutil.copy(path, other)
    formula_names.write_over(other, formula_names.to_full)
    before = other.read_bytes()
    for torque, typed in ((TORQUE, "45000"), (TORQUE / 2, "22500")):
        run(["open", "a", str(path), {}], ["put", "a", "S", "A1", typed], ["save copy", "a", str(copy), XLSX])
        assert "TAUTSHEET.FUNCTIONS" not in formulas_of(copy).upper()
        assert "torque_from_preload(A1," in formulas_of(copy)
        assert openpyxl.load_workbook(copy, data_only=True)["S"]["B1"].value == torque
    assert other.read_bytes() == before


def test_saved_as_ods_it_keeps_its_names(run: Run, tmp_path: Path) -> None:
    path, other = book(tmp_path / "list.xlsx"), tmp_path / "list.ods"
    answers = run(
        ["open", "a", str(path), {}], ["save as", "a", str(other), ODS], ["close", "a"], ["open", "b", str(other), {}],
        ["cells", "b", "S", "B1:B2"], ["close", "b"],
    )  # fmt: skip
    with zipfile.ZipFile(other) as archive:
        assert "TAUTSHEET.FUNCTIONS.TORQUE_FROM_PRELOAD" in archive.read("content.xml").decode("utf-8").upper()
    assert numbers(answers[4]) == [[TORQUE], [TWICE]]


def test_other_documents_are_left_alone(run: Run, tmp_path: Path) -> None:
    workbook = openpyxl.Workbook()
    workbook.active.title = "S"
    workbook.active["A1"], workbook.active["A2"] = "=no_function_of_ours(1)", "=my_unit_convert(1)"
    workbook.save(tmp_path / "other.xlsx")
    (tmp_path / "text.csv").write_text("unit_convert(1)")
    answers = run(
        ["open", "a", str(tmp_path / "other.xlsx"), {}], ["changed", "a"], ["formulas", "a", "S", "A1:A2"],
        ["open", "b", str(tmp_path / "text.csv"), {}], ["close", "a"], ["close", "b"],
    )  # fmt: skip
    assert answers[1] is False
    assert answers[2] == [["=no_function_of_ours(1)"], ["=my_unit_convert(1)"]]


def test_a_value_that_is_another_now_is_a_change(run: Run, tmp_path: Path) -> None:
    """A file that brings a wrong value along: it shows the right one, and asks to be saved."""
    path = book(tmp_path / "list.xlsx")
    run(["open", "a", str(path), {}], ["save", "a"], ["close", "a"])
    wrong = tmp_path / "wrong.xlsx"
    with zipfile.ZipFile(path) as archive, zipfile.ZipFile(wrong, "w") as made:
        for name in archive.namelist():
            made.writestr(name, archive.read(name).replace(b"<v>703.125</v>", b"<v>999</v>"))
    answers = run(["open", "a", str(wrong), {}], ["cells", "a", "S", "B1:B2"], ["changed", "a"], ["close", "a"])
    assert numbers(answers[1]) == [[TORQUE], [TWICE]]
    assert answers[2] is True


@pytest.mark.parametrize("whole", [False, pytest.param(True, marks=pytest.mark.sweep)])
def test_the_starter_comes_alive(run: Run, short_starter: Path, tmp_path: Path, whole: bool) -> None:
    """With the page of every function, which takes its time, in a sweep; `test_starter` calculates it too."""
    path = tmp_path / "starter.xlsx"
    shutil.copy(Path(folder("templates")) / path.name if whole else short_starter, path)
    sheets = openpyxl.load_workbook(path).sheetnames
    answers = run(["open", "a", str(path), {}], *(["cells", "a", sheet, "A1:P60"] for sheet in sheets), ["close", "a"])
    kinds = [content for cells in answers[1:-1] for row in cells for kind, content in row if kind == "error"]
    assert "#NAME?" not in kinds
    assert not any(str(content).startswith("Err:") for content in kinds)


def test_the_starter_stays_protected_and_works(run: Run, short_starter: Path, tmp_path: Path) -> None:
    """Twice at once, one of them read-only: alive, protected, and as it was; typed into, copied down, saved, lifted."""
    path, other = tmp_path / "starter.xlsx", tmp_path / "other.xlsx"
    for each in (path, other):
        shutil.copy(short_starter, each)
    last, row = FIRST + ROWS - 1, f"B{FIRST + len(JOINTS)}"
    answers = run(
        ["open", "a", str(path), {}], ["open", "b", str(other), {"ReadOnly": True}],
        ["cells", "a", "Joints", f"G{FIRST}:I{FIRST}"], ["cells", "b", "Joints", f"G{FIRST}:I{FIRST}"],
        ["protected", "a", "Joints"], ["protected", "a", "Calibration"], ["changed", "b"],
        ["put", "a", "Joints", f"E{FIRST}", "46300"], ["copy down", "a", "Joints", f"A{last}:W{last}", 2],
        ["save", "a"], ["close", "a"], ["open", "a", str(path), {}],
        ["cells", "a", "Joints", f"G{FIRST}:I{FIRST}"], ["cells", "a", "Joints", row],
        ["protected", "a", "Joints"], ["unprotect", "a", "Joints"],
    )  # fmt: skip
    shown = [answer(BY_NAME["preload_from_stress"], [JOINTS[0][3], JOINTS[0][1], "US", "root B1.1"])]
    assert numbers(answers[2])[0][0] == numbers(answers[3])[0][0] == numbers(answers[12])[0][0] == shown[0]
    assert [answers[at] for at in (4, 5, 14)] == [True, True, True]
    assert answers[6] is False
    assert [cells[0] for cells in answers[8]] == [f"=ROW()-{FIRST - 1}"] * 2
    assert f"E{last + 2};" in answers[8][1][6].replace("$", "")
    assert answers[15] is False, "anyone may lift it"
    assert "TAUTSHEET.FUNCTIONS" not in formulas_of(path).upper()
    for sheet in ("Joints", "Calibration", "Lubricants", "Why"):
        assert openpyxl.load_workbook(path)[sheet].protection.sheet


def test_a_sheet_with_a_password_comes_alive_too(run: Run, tmp_path: Path) -> None:
    path = book(tmp_path / "locked.xlsx")
    workbook = openpyxl.load_workbook(path)
    workbook["S"].protection.set_password("invented")
    workbook["S"].protection.enable()
    workbook.save(path)
    answers = run(
        ["open", "a", str(path), {}], ["cells", "a", "S", "B1:B2"], ["cells", "a", "S", "D1:E4"],
        ["protected", "a", "S"], ["changed", "a"],
    )  # fmt: skip
    assert (numbers(answers[1]), numbers(answers[2])) == ([[TORQUE], [TWICE]], ORDER)
    assert (answers[3], answers[4]) == (True, False)


def test_a_killed_worker_is_replaced(run: Run, tmp_path: Path) -> None:
    path = str(book(tmp_path / "list.xlsx"))
    first = run(["open", "a", path, {}], ["workers"])[1]
    assert len(first) == 1
    answers = run(
        ["open", "a", path, {}], ["signal", first[0], signal.SIGKILL], ["put", "a", "S", "A1", "22500"],
        ["cells", "a", "S", "B1:B2"], ["workers"],
    )  # fmt: skip
    assert numbers(answers[3]) == [[TORQUE / 2], [TORQUE]]
    assert len(answers[4]) == 1
    assert answers[4] != first


def test_a_worker_that_hangs_is_ended_and_said(run: Run, tmp_path: Path) -> None:
    """In the cells, after its limit, that of `unit_convert` here; what is calculated afterwards finds a new one."""
    path = book(tmp_path / "list.xlsx")
    workbook = openpyxl.load_workbook(path)
    workbook["S"]["B1"] = '=unit_convert(A1,"kN","N")'
    workbook.save(path)
    opened = ["open", "a", str(path), {}]
    number = run(opened, ["workers"])[1][0]
    answers = run(
        opened, ["signal", number, signal.SIGSTOP], ["put", "a", "S", "A1", "2"],
        ["cells", "a", "S", "B1"], ["calculate", "a"], ["cells", "a", "S", "B1:B2"], ["workers"],
    )  # fmt: skip
    ((kind, said),) = answers[3][0]
    assert kind == "text"
    assert said.startswith("STOP: tautsheet's Python, ")
    assert "it took longer than 2 s for unit_convert and was ended" in said
    assert numbers(answers[5]) == [[2000], [4000]]
    assert number not in answers[6]


def test_the_wizard_knows_what_must_be_given(run: Run) -> None:
    answers = run(*(["wizard", function.name.upper()] for function in FUNCTIONS))
    for function, got in zip(FUNCTIONS, answers, strict=True):
        assert got == [[arg.name, arg.default is not REQUIRED] for arg in function.args], function.name
