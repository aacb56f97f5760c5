"""The workbook that needs no add-in, calculated by Calc with its own functions, against the worksheet functions.

TAUTSHEET_ROUNDS=100 compares 10,000 joints, TAUTSHEET_ROUNDS=40-70 the 3,000 of those rounds.
"""

import os
import random
import re
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from addin.cells.texts import is_stop
from addin.functions.gate import answer
from addin.functions.registry import BY_NAME
from addin.hosts.frozen_cells import is_ours
from addin.hosts.libreoffice.office import Office, Workbook
from addin.shipped import folder

PLAIN = Path(folder("templates")) / "plain.xlsx"
BEGIN, _, END = os.environ.get("TAUTSHEET_ROUNDS", "0-3").rpartition("-")
ROUNDS = range(int(BEGIN or 0), int(END))
JOINTS, FIRST, TOP = 100, 12, 6
THREADS = {"US": (("3/4", 0.75), ("1", 1.0), ("1 1/4", 1.25), ("1 1/2", 1.5)),
           "SI": (("M20", 20), ("M24", 24), ("M30x2", 30), ("M36x3", 36))}  # fmt: skip
HEADINGS = {"US": ["Pressure (psi)", "Torque (ft-lb)"], "SI": ["Pressure (bar)", "Torque (N·m)"]}
ABSENT = object()


def call(name: str, *values: Any) -> Any:
    return answer(BY_NAME[name], list(values))


@pytest.fixture(scope="module")
def plain(office: Office) -> Any:
    """The workbook opened once; every test types all that a person types."""
    opened = office.open(PLAIN)
    yield opened
    opened.close()


def fill(
    book: Workbook, head: list[Any], table: list[list[Any]], joints: list[list[Any]], points: Any = None
) -> list[dict[str, Any]]:
    """Type head, table, how many points it has and joints, calculate; what each joint shows."""
    book.put("B4", [[each] for each in head], "Settings")
    book.put(f"A{TOP}", [*table, *[[None, None]] * (100 - len(table))], "Calibration")
    count = sum(isinstance(row[0], (int, float)) for row in table)
    book.put("C4", [[count if points is None else points]], "Calibration")
    book.put(f"B{FIRST}", [*joints, *[[None] * 4] * (JOINTS - len(joints))], "Settings")
    book.recalculate()
    rows = book.cells(f"F{FIRST}:J{FIRST + len(joints) - 1}", "Settings")
    return [dict(zip("FGHIJ", row, strict=True)) for row in rows]


def drawn(draw: random.Random) -> tuple[list[Any], list[list[Any]], list[list[Any]]]:
    """A head, a table and joints as people may type them, now and then with a slip."""
    units = draw.choice(("US", "SI"))
    step = 1000 if units == "US" else draw.choice((50, 70))
    slope = draw.uniform(0.2, 1.5) * (1 if units == "US" else 20)
    count = draw.randrange(2, 12)
    table: list[list[Any]] = [
        [step * k, round(step * k * slope * (1 + draw.uniform(-0.004, 0.004)), 1)] for k in range(1, count + 1)
    ]
    slip = draw.randrange(8)
    row = draw.randrange(count)
    if slip == 0:
        table[row][draw.randrange(2)] = draw.choice((None, 0, -5, "abc", table[0][0] / 1e6))
    elif slip == 1 and row:
        table[row][draw.randrange(2)] = table[row - 1][draw.randrange(2)] * draw.choice((0.5, 1))
    elif slip == 2 and count > 2:
        table[row] = [None, None]
    graduation = draw.choice((100, 200, 250) if units == "US" else (5, 10, 20))
    head = [units, draw.choice((graduation,) * 9 + (0, -1, None, "x")), draw.choice(("nearest", "down", "up")),
            draw.choice((1, 3, 5, 10, 50))]  # fmt: skip
    top = step * count * slope
    joints: list[list[Any]] = []
    for _ in range(JOINTS):
        _, diameter = draw.choice(THREADS[units])
        wanted = draw.uniform(0.9 * step * slope, 1.04 * top)
        factor = draw.choice((0.11, 0.15, 0.2) * 6 + (0.9, 0.01, None, "x"))
        per_preload = (factor if isinstance(factor, float) else 0.15) * diameter / (12 if units == "US" else 1)
        preload = draw.choice((round(wanted / per_preload, 1),) * 9 + (0, -4.0, "text"))
        torque = draw.choice((round(wanted, 1),) * 9 + (step * slope, -3.0, 0, "text"))
        way = draw.randrange(4)
        joints.append([torque, None, None, None] if way == 0 else [None, preload, diameter, factor])
        if way == 1 and draw.random() < 0.1:
            joints[-1][0] = 100
    return head, table, joints


def expected(head: list[Any], table: list[list[Any]], joint: list[Any]) -> tuple[Any, Any]:
    """What the functions answer: torque and setting; a text where they stop, or where the sheet asks for one more."""
    units, graduation, rounding, tolerance = head
    torque, preload, diameter, factor = joint
    if torque is not None and preload is not None:
        return "STOP: both", "STOP: both"
    if torque is None:
        thread = next(name for name, size in THREADS[units] if size == diameter)
        torque = call("torque_from_preload", preload, thread, factor, units)
    if graduation is None:
        return torque, "STOP: no graduation"
    if table[0] == [None, None]:
        return torque, "STOP: the first row is empty"
    rows = [HEADINGS[units], *table]
    return torque, call("setpoint", torque, rows, units, graduation, rounding, tolerance)


def test_as_the_functions_answer(plain: Workbook) -> None:
    numbers = stops = 0
    for seed in ROUNDS:
        head, table, joints = drawn(random.Random(seed))
        for joint, shown in zip(joints, fill(plain, head, table, joints), strict=True):
            torque, setting = expected(head, table, joint)
            case = (seed, head, table, joint, shown, setting)
            if is_stop(setting):
                stops += 1
                assert shown["J"][1].startswith("STOP: "), case
                assert all(shown[column] == ("error", "#N/A") for column in "FGHI"), case
                continue
            numbers += 1
            assert shown["J"] == ("", ""), case
            assert shown["F"][1] == pytest.approx(torque, rel=1e-11), case
            assert shown["G"][1] == setting, case
            reached = call("torque_at_pressure", setting, [HEADINGS[head[0]], *table], head[0])
            assert shown["H"][1] == pytest.approx(reached, rel=1e-11), case
            assert abs(shown["I"][1]) <= head[3] * (1 + 1e-9), case
    assert numbers > 8 * len(ROUNDS)
    assert stops > 8 * len(ROUNDS)


TABLE = [[1000, 400], [2000, 810], [3000, 1220]]


@pytest.mark.parametrize(
    ("head", "table", "joint", "words"),
    [
        (("US", 100, "nearest", 3), TABLE, (300, None, None, None),
         "STOP: torque 300 lbf·ft is below this table's lowest point, 400 lbf·ft"),
        (("US", 100, "nearest", 3), TABLE, (1700, None, None, None),
         "STOP: torque 1700 lbf·ft is above this table's highest point, 1220 lbf·ft"),
        (("US", 1000, "nearest", 5), TABLE, (1000, None, None, None),
         "STOP: the mark 2000 psi gives 810 lbf·ft, -19 % off; the tolerance is 5 %"),
        (("US", 100, "nearest", 3), [[1000, 400], [2000, 350]], (400, None, None, None),
         "STOP: table does not rise at row 2: 2000 with 350 after 1000 with 400"),
        (("US", 100, "nearest", 3), [[1000, 400]], (400, None, None, None),
         "STOP: table needs at least two points, got 1"),
        (("US", 100, "nearest", 3), [[1000, 400], [None, None], [3000, 900]], (500, None, None, None),
         "STOP: numbers stand below the empty row 2 of the table"),
        (("US", 100, "nearest", 3), [[1000, 400], [2000, None]], (500, None, None, None),
         "STOP: torque must be a number (table row 2)"),
        (("", 100, "nearest", 3), TABLE, (500, None, None, None), "STOP: units must be US or SI"),
        (("US", 0, "nearest", 3), TABLE, (500, None, None, None), "STOP: graduation must be above 0, got 0"),
        (("US", 100, "", 3), TABLE, (500, None, None, None), "STOP: rounding must be nearest, down or up"),
        (("US", 100, "nearest", None), TABLE, (500, None, None, None), "STOP: tolerance must be a number"),
        (("US", 100, "nearest", 3), TABLE, (500, 45000, 1.25, 0.15), "STOP: give a torque or a preload, not both"),
        (("US", 100, "nearest", 3), TABLE, (None, None, 1.25, 0.15), "STOP: torque or preload must be given"),
        (("US", 100, "nearest", 3), TABLE, (None, 45, 1.25, 0.15), "STOP: preload 45 lbf is below 112.404 lbf"),
        (("US", 100, "nearest", 3), TABLE, (None, 45000, None, 0.15), "STOP: diameter must be a number"),
        (("US", 100, "nearest", 3), TABLE, (None, 45000, 32, 0.15), "STOP: diameter 32 in is above 6 in"),
        (("US", 100, "nearest", 3), TABLE, (None, 45000, 1.25, 0.015), "STOP: nut factor 0.015 is below 0.04"),
        (("SI", 10, "nearest", 3), TABLE, (500, None, None, None), "STOP: pressure 2000 bar is above 1500 bar"),
    ],
)  # fmt: skip
def test_each_stop_has_its_sentence(plain: Workbook, head: Any, table: Any, joint: Any, words: str) -> None:
    shown = fill(plain, list(head), table, [list(joint)])[0]
    assert shown["J"] == ("text", words)
    assert all(shown[column] == ("error", "#N/A") for column in "FGHI")


@pytest.mark.parametrize(
    ("points", "words"),
    [
        (2, "STOP: 3 points stand in the sheet Calibration, 2 on the certificate: clear what is left over from an "
            "earlier one"),
        ("", "STOP: type how many points the certificate has into the sheet Calibration"),
    ],
)  # fmt: skip
def test_rows_of_an_earlier_wrench_are_never_read(plain: Workbook, points: Any, words: str) -> None:
    head: list[Any] = ["US", 100, "nearest", 5]
    shown = fill(plain, head, TABLE, [[500, None, None, None]], points)[0]
    assert shown["J"] == ("text", words)
    assert all(shown[column] == ("error", "#N/A") for column in "FGHI")
    assert fill(plain, head, TABLE, [[500, None, None, None]])[0]["G"] == ("number", 1200.0)


def test_it_ships_without_a_calibration() -> None:
    """The yellow cells of the table are empty; an example stands beside them."""
    sheet = openpyxl.load_workbook(PLAIN)["Calibration"]
    assert {cell.value for row in sheet[f"A{TOP}:B{TOP + 99}"] for cell in row} == {None}
    assert (sheet["C4"].value, sheet[f"E{TOP}"].value, sheet[f"F{TOP}"].value) == (None, 1000, 400)


def test_it_needs_no_add_in() -> None:
    """Only functions that Excel 2016 has, no name of ours, no array that spills."""
    known = {"IF", "AND", "OR", "NOT", "ISNUMBER", "ISNA", "COUNT", "COUNTA", "COUNTIF", "INDEX", "MATCH", "MIN", "MAX",
             "ROUND", "INT", "ABS", "LEFT", "SUMPRODUCT", "NA"}  # fmt: skip
    for sheet in openpyxl.load_workbook(PLAIN):
        assert sheet.protection.sheet
        assert not sheet.protection.password, "it can be lifted"
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    assert isinstance(cell.value, str), cell.coordinate
                    assert not is_ours(cell.value)
                    assert set(re.findall(r"([A-Z.]+)\(", re.sub(r'"[^"]*"', "", cell.value))) <= known
                    assert len(cell.value) < 8192
