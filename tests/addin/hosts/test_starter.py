"""The starter workbook: what the script makes, and what Calc shows in it is what the registry answers."""

import sys
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from addin.cells.texts import is_stop
from addin.functions.examples import EXAMPLES
from addin.functions.gate import answer
from addin.functions.registry import BY_NAME, FUNCTIONS
from addin.hosts.libreoffice.office import Office

sys.path.insert(0, str(Path(__file__).parents[2]))  # pytest, looking for doctests, imports this file by its path
import make_starter as made  # noqa: E402

Shown = dict[tuple[str, str], Any]
LAST = made.FIRST + made.ROWS - 1


@pytest.fixture(scope="module")
def calculated(office: Office) -> Shown:
    """What Calc shows in the shipped file, calculated anew: (sheet, address) -> content."""
    return made.shown_in_calc(made.STARTER, office)


def call(name: str, *values: Any) -> Any:
    return answer(BY_NAME[name], values)


def table() -> list[list[Any]]:
    sheet = openpyxl.load_workbook(made.STARTER)["Calibration"]
    cells = sheet[f"A{made.TABLE_FIRST}:B{made.TABLE_LAST}"]
    return [[cell.value for cell in row] for row in cells]


def test_the_shipped_file_is_what_the_script_makes(tmp_path: Path) -> None:
    """Run `python tests/make_starter.py` when this fails after a change of a function, its help or its example."""
    book = openpyxl.load_workbook(made.STARTER, data_only=True)
    values = {
        (sheet.title, cell.coordinate): cell.value
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    }
    made.build(tmp_path / "starter.xlsx", values)
    fresh, shipped = (openpyxl.load_workbook(path) for path in (tmp_path / "starter.xlsx", made.STARTER))
    assert fresh.sheetnames == shipped.sheetnames
    for sheet in shipped:
        assert fresh[sheet.title].dimensions == sheet.dimensions
        for row in sheet.iter_rows():
            for cell in row:
                other = fresh[sheet.title][cell.coordinate].value
                assert getattr(other, "text", other) == getattr(cell.value, "text", cell.value), cell.coordinate


def test_joints(calculated: Shown) -> None:
    """Every row by the chain of single functions, to the last bit."""
    pasted = table()
    stopped = []
    for number, (joint, thread, grade, stress, factor) in enumerate(made.JOINTS, start=1):
        cell = {letter: calculated.get(("Joints", f"{letter}{made.FIRST + number - 1}"), "") for letter in made.LETTERS}
        preload = call("preload_from_stress", stress, thread, "US", "root B1.1")
        torque = call("torque_from_preload", preload, thread, factor, "US")
        setting = call("setpoint", torque, pasted, "US", 100.0, "nearest", 3.0)
        assert (cell["B"], cell["G"], cell["I"], cell["L"]) == (joint, preload, torque, setting)
        assert cell["J"] == call("nut_across_flats", thread, "US")
        share = 100 * preload / call("preload_from_yield", 100.0, grade, thread, "US", "root B1.1")
        assert cell["H"] == pytest.approx(share, rel=1e-15)
        if is_stop(setting):
            stopped.append(number)
            assert (cell["R"], cell["S"]) == ("STOP", setting.removeprefix("STOP: ") + made.TOO_HIGH)
            assert {cell[letter] for letter in "MNOTUV"} == {"#N/A"}
            continue
        passes = call("pass_table", torque, pasted, "US", "PCC-1 legacy", 100.0, "nearest", 3.0)
        assert [cell[letter] for letter in "MNOPQ"] == [*(passes[at][3] for at in (2, 3, 4)), "", ""]
        assert (cell["R"], cell["S"]) == ("planned", "")
        assert [cell[letter] for letter in "TUV"] == [preload, torque, setting]
    assert stopped == [7]


def test_rows_without_a_joint_are_empty(calculated: Shown) -> None:
    for row in range(made.FIRST + len(made.JOINTS), LAST + 1):
        assert not [key for key in calculated if key[0] == "Joints" and key[1][1:] == str(row) and key[1][0] != "A"]


def test_calibration(calculated: Shown) -> None:
    assert calculated["Calibration", f"D{made.TABLE_FIRST}"] == "no findings"
    assert ("Calibration", f"D{made.TABLE_FIRST + 1}") not in calculated
    assert "not checked" in calculated["Calibration", "A6"]


def test_one_spelling_of_the_unit_of_torque(calculated: Shown) -> None:
    """The other spelling stands only where the sheet says what may be typed."""
    others = [key for key, text in calculated.items() if "ft-lb" in str(text)]
    assert [sheet for sheet, _ in others] == ["How to"]


@pytest.mark.parametrize("number", range(len(FUNCTIONS)), ids=[function.name for function in FUNCTIONS])
def test_function_page(calculated: Shown, number: int) -> None:
    function, row = FUNCTIONS[number], number + 5
    assert calculated["Functions", f"A{row}"] == function.name
    shown = answer(function, EXAMPLES[function.name])
    if isinstance(shown, list):
        i, k = made.first_number(shown)
        shown = shown[i - 1][k - 1]
    assert calculated["Functions", f"E{row}"] == shown


def test_what_is_typed_changes_it(office: Office) -> None:
    """A user's changes: odd table, joint without friction, link that is not there, unknown thread, bar gauge."""
    book = office.open(made.STARTER)
    at = made.FIRST
    book.put(f"F{at}", [[None]], "Joints")
    book.put(f"C{at + 1}", [["2 3/4"]], "Joints")
    book.put(f"E{at + 1}", [[20000.0]], "Joints")
    book.put(f"C{at + 2}", [["1 17/8"]], "Joints")
    book.put(f"B{made.TABLE_FIRST + 4}", [[500.0]], "Calibration")
    book.put("M3", [["US bar"]], "Joints")
    book.recalculate()
    reason = {row: book.cells(f"R{row}:S{row}", "Joints")[0] for row in range(at, at + 3)}
    assert reason[at][0][1] == "STOP"
    assert "nut factor" in reason[at][1][1]
    assert (reason[at + 1][0][1], reason[at + 1][1][1]) == ("STOP", made.NO_LINK)
    assert reason[at + 2][0][1] == "STOP"
    assert reason[at + 2][1][1].startswith("thread '1 17/8' is not known")
    findings = book.cells(f"D{made.TABLE_FIRST}:E{made.TABLE_FIRST}", "Calibration")[0]
    assert findings[0][1] == "stop"
    assert "rise" in findings[1][1] or "falls" in findings[1][1] or "row" in findings[1][1]
    assert book.cells("L10:L10", "Joints")[0][0][1] == "Set on the pump gauge (bar)"
    book.close()


def test_every_pass_of_a_scheme_is_shown_with_its_per_cent(office: Office) -> None:
    book = office.open(made.STARTER)
    at = made.FIRST
    for scheme, heads in (
        ("PCC-1 legacy", ["30 %", "60 %", "100 %", "", ""]),
        ("25/50/75/100", ["25 %", "50 %", "75 %", "100 %", ""]),
        ("20/40/60/80/100", ["20 %", "40 %", "60 %", "80 %", "100 %"]),
        ("10/20/40/60/80/100", ["10 %", "20 %", "40 %", "60 %", "80 %"]),
    ):
        book.put("M6", [[scheme]], "Joints")
        book.recalculate()
        assert [content for _, content in book.cells(f"M{at - 1}:Q{at - 1}", "Joints")[0]] == heads
        shown = [content for _, content in book.cells(f"L{at}:Q{at}", "Joints")[0]]
        torque = book.cells(f"I{at}", "Joints")[0][0][1]
        wanted = call("pass_settings", torque, table(), "US", scheme, 100.0, "nearest", 3.0)[1]
        full = sum(head != "" for head in heads)
        assert shown[1 : full + 1] == wanted[:full]
        if full < 5:
            assert shown[full] == shown[0], "the last pass is at full torque"
        warned = "THE LAST PASSES ARE NOT SHOWN" in str(book.cells("L10", "Joints")[0][0][1])
        assert warned is (len(scheme.split("/")) > 5)
    book.close()


def test_a_long_table_is_read_whole(office: Office) -> None:
    """60 rows, twice what the sheet once read; rows below the area are said."""
    book = office.open(made.STARTER)
    rows = [[1000.0 + 100 * k, 410.0 + 41 * k] for k in range(60)]
    book.put(f"A{made.TABLE_FIRST + 1}", rows, "Calibration")
    book.recalculate()
    assert book.cells("A7", "Calibration")[0][0][1] == "60 rows, 1000 to 6900, top 2829"
    at = made.FIRST
    torque = book.cells(f"I{at}", "Joints")[0][0][1]
    pasted = [["Pressure (psi)", "Torque (ft-lb)"], *rows]
    assert book.cells(f"L{at}", "Joints")[0][0][1] == call("setpoint", torque, pasted, "US", 100.0, "nearest", 3.0)
    book.put(f"A{made.TABLE_LAST + 1}", [[9000.0, 4000.0]], "Calibration")
    book.recalculate()
    assert book.cells("A7", "Calibration")[0][0][1] == f"Rows stand below row {made.TABLE_LAST}: they are not read."
    book.close()


def test_what_is_shown_stays_without_the_functions() -> None:
    import zipfile

    with zipfile.ZipFile(made.STARTER) as archive:
        content = archive.read("xl/workbook.xml")
    assert b"fullCalcOnLoad" not in content
    assert b'calcId="191029"' in content
