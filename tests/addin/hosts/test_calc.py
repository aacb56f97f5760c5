"""Every registered function in LibreOffice Calc: an open document shows what the registry answers, bit by bit."""

import itertools
import random
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from worked_out import takes_a_model

from addin.cells.texts import is_stop
from addin.functions.examples import EXAMPLES
from addin.functions.gate import REQUIRED, Function, answer
from addin.functions.registry import BY_NAME, FUNCTIONS
from addin.hosts.libreoffice.office import Office

BAD = (-5.0, 0.0, 3e9, "abc", "12 furlongs", "0.5 %", "1,250", "#N/A", "STOP: the first cause", " ", "HW-3", 46148.0)
"""Texts and numbers that Calc hands on as they are."""
REFUSED = ("12 furlongs", "#N/A", "STOP: the first cause", "HW-3")
"""For what takes a model: nothing that could be taken for an argument, and run."""

pytestmark = pytest.mark.usefixtures("worked_out_once")


def varied(function: Function, chance: random.Random) -> list[Any]:
    """The example call with its numbers moved a little."""
    return [
        round(value * chance.uniform(0.9, 1.1), 6) if isinstance(value, float) and arg.kind not in ("studs", "at_once")
        else value
        for arg, value in zip(function.args, EXAMPLES[function.name], strict=False)
    ]  # fmt: skip


def test_examples_and_random_input(office: Office, calls: Any, compare: Any, sweeps: bool) -> None:
    """Of those that take a model one alone, but for a sweep: the starter's page of every function has them too."""
    chance = random.Random(20260314)
    for function in FUNCTIONS:
        if takes_a_model(function) and function.name != "residual_preload" and not sweeps:
            continue
        calls.add(function.name, function, EXAMPLES[function.name])
        for i in range(2 if sweeps else 0 if takes_a_model(function) else 1):
            calls.add(f"{function.name} varied {i}", function, varied(function, chance))
    assert compare(office, calls) == []
    assert sum(not is_stop(rows[0][0]) for _, _, rows in calls.wanted) > 1.3 * len(FUNCTIONS)


def test_refusals(office: Office, calls: Any, compare: Any, sweeps: bool) -> None:
    """Arguments of every function with what Calc hands on unchanged: all of it in a sweep, else each with one."""
    turn = itertools.count()
    for function in FUNCTIONS:
        example = EXAMPLES[function.name]
        for at, arg in enumerate(function.args[: len(example)]):
            some = REFUSED if takes_a_model(function) else BAD
            for bad in BAD if sweeps else [some[next(turn) * 5 % len(some)]]:
                values = [*example[:at], bad, *example[at + 1 :]]
                calls.add(f"{function.name} {arg.name}={bad!r}", function, values, whole=False)
    assert compare(office, calls) == []
    stops = [rows[0][0] for _, _, rows in calls.wanted if is_stop(rows[0][0])]
    assert len(stops) > len(calls.wanted) / 2
    assert "STOP: the first cause" in stops


def test_optional_arguments_left_out(office: Office, calls: Any, compare: Any, sweeps: bool) -> None:
    """Of every function; of those that take a model one alone, but for a sweep."""
    for function in FUNCTIONS:
        if takes_a_model(function) and function.name != "residual_preload" and not sweeps:
            continue
        example = list(EXAMPLES[function.name])
        needed = sum(arg.default is REQUIRED for arg in function.args)
        calls.add(f"{function.name} short", function, example[:needed])
        if len(example) > needed:
            calls.add(f"{function.name} with a gap", function, [*example[:needed], None, *example[needed + 1 :]])
    assert compare(office, calls) == []


def test_what_calc_does_not_hand_on(office: Office) -> None:
    """The exceptions that the README lists, with their effect."""
    function = BY_NAME["torque_from_preload"]
    book = office.new()
    rest = '"1 1/4";0.15;"US"'
    book.put("A1", [[None], [1.0], [45000.0]])
    book.put_formulas("B1", [["=TRUE()"], ["=NA()"], ["=1/0"], ["=DATE(2026;3;14)"]])
    book.put_formulas(
        "C1",
        [[f"=TORQUE_FROM_PRELOAD({cell};{rest})"] for cell in ("A1", "B1", "B2", "B3", "B4", "A9")],
    )
    book.put_array("D1:D3", f"=TORQUE_FROM_PRELOAD(A1:A3;{rest})")
    book.put_array("E1:E3", f"=TORQUE_FROM_PRELOAD(B1:B3;{rest})")
    shown = [row[0] for row in book.cells("C1:C6")]
    blank = answer(function, [0.0, "1 1/4", 0.15, "US"])
    assert is_stop(blank)
    assert shown[0] == ("text", blank), "a single empty cell arrives as 0, which no required number accepts"
    assert shown[1] == ("text", answer(function, [1.0, "1 1/4", 0.15, "US"])), "TRUE arrives as 1"
    assert is_stop(shown[1][1])
    assert shown[2] == ("error", "#N/A"), "an error cell goes through by itself"
    assert shown[3] == ("error", "#DIV/0!")
    assert shown[4] == ("number", answer(function, [46095.0, "1 1/4", 0.15, "US"])), "a date arrives as its number"
    column = [row[0] for row in book.cells("D1:D3")]
    assert column[0] == ("text", answer(function, [None, "1 1/4", 0.15, "US"])), "an empty cell of a range is empty"
    assert column[2][0] == "number"
    assert {row[0] for row in book.cells("E1:E3")} == {("error", "Err:504")}, "an error within a range spoils the call"
    book.close()


def test_value_cells_show_na(office: Office) -> None:
    """A text is passed over by SUM and MAX; the value cell beside it is not."""
    book = office.new()
    book.put("A1", [[45000.0], [-1.0]])
    book.put_formulas("B1", [[f'=TORQUE_FROM_PRELOAD(A{row};"1 1/4";0.15;"US")'] for row in (1, 2)])
    book.put_formulas("C1", [[f"=IF(ISNUMBER(B{row});B{row};NA())"] for row in (1, 2)])
    book.put_formulas("D1", [["=SUM(C1:C2)"], ["=MAX(B1:B2)"]])
    assert [row[0][0] for row in book.cells("C1:C2")] == ["number", "error"]
    assert book.cells("C2:C2")[0][0] == ("error", "#N/A")
    assert book.cells("D1:D1")[0][0] == ("error", "#N/A")
    assert book.cells("D2:D2")[0][0][0] == "number"
    book.close()


def test_a_stop_travels_down_the_sheet(office: Office) -> None:
    book = office.new()
    book.put("A1", [[-5.0]])
    book.put_formulas("B1", [['=PRELOAD_FROM_STRESS(A1;"1 1/4";"US";"tensile")'],
                             ['=TORQUE_FROM_PRELOAD(B1;"1 1/4";0.15;"US")'],
                             ['=UNIT_CONVERT(B2;"ft-lb";"N·m")']])  # fmt: skip
    first, second, third = (row[0] for row in book.cells("B1:B3"))
    assert is_stop(first[1])
    assert first == second == third
    book.close()


def test_plain_names_come_back(office: Office, tmp_path: Path) -> None:
    """A saved copy has the names that Excel knows, and shows the same when it is opened again."""
    book = office.new()
    book.put_formulas("A1", [['=UNIT_CONVERT(1000;"ft-lb";"N·m")']])
    book.save(tmp_path / "saved.xlsx")
    book.close()
    assert openpyxl.load_workbook(tmp_path / "saved.xlsx").active["A1"].value == '=unit_convert(1000,"ft-lb","N·m")'
    again = office.open(tmp_path / "saved.xlsx")
    again.recalculate()
    assert again.cells("A1:A1")[0][0] == ("number", answer(BY_NAME["unit_convert"], [1000.0, "ft-lb", "N·m"]))
    assert again.findings() == []
    again.close()
