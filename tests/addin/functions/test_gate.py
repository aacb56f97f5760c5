"""The one door between cells and calculation: columns, refusals that travel, and no cell that lies."""

import datetime
import itertools
import math
import os
import stat
from decimal import Decimal
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addin.functions.gate import Arg, Function, answer
from addin.functions.registry import BY_NAME, FUNCTIONS

TABLE = [["Pressure (bar)", "Torque (N·m)"], [100, 800], [200, 1650], [300, 2500], [400, 3340], [500, 4180]]


def call(name: str, *values: Any) -> Any:
    return answer(BY_NAME[name], values)


def cells(result: Any) -> list[Any]:
    return [cell for row in result for cell in row] if isinstance(result, list) else [result]


def test_a_column_gives_what_each_cell_gives() -> None:
    column = [[50000.0], [60000.0], [70262.8]]

    assert call("torque_from_preload", column, "1 1/2", 0.16, "US") == [
        [call("torque_from_preload", value, "1 1/2", 0.16, "US")] for (value,) in column
    ]


def test_rows_blocks_and_single_cells_may_be_mixed() -> None:
    block = [[50000.0, 60000.0], [70000.0, 80000.0]]
    factors = [[0.14, 0.15], [0.16, 0.17]]

    result = call("torque_from_preload", block, [["1 1/2"]], factors, "US")

    assert result == [
        [call("torque_from_preload", block[i][j], "1 1/2", factors[i][j], "US") for j in range(2)] for i in range(2)
    ]


@pytest.mark.parametrize("left_out", [None, ""])
def test_an_optional_cell_that_is_blank_in_a_column_is_left_out_in_its_row_alone(left_out: str | None) -> None:
    """Neither the other rows lose what stands in theirs, nor does the blank row lose its result."""
    ahead = [50000.0, "1 1/2", 0.12, 0.13, "US", "VDI 2230"]
    with_it, without = call("torque_from_friction", *ahead, 3.0), call("torque_from_friction", *ahead)
    assert abs(with_it - without) > 50

    for column, wanted in (([left_out, 3.0], [without, with_it]), ([3.0, left_out], [with_it, without])):
        assert call("torque_from_friction", *ahead, [[cell] for cell in column]) == [[value] for value in wanted]


def test_a_number_of_400_digits_is_no_fault_of_the_program() -> None:
    rows = [["Joint", "Stud size", "Studs", "Nut factor"], ["P-1", "1 1/4", 16.0, "1" * 400]]
    shown = cells(call("joint_plan", rows, [["Wrench", *TABLE[0]]], "US"))
    assert not [cell for cell in shown if "fault of the program" in str(cell)]
    for column in range(1, 4):
        for digits in (400, 5000):
            odd = [rows[0], ["P-1", "1 1/4", 16.0, 0.15]]
            odd[1][column] = "1" * digits
            shown = cells(call("joint_plan", odd, [["Wrench", *TABLE[0]]], "US"))
            assert not [cell for cell in shown if "fault of the program" in str(cell)], (column, digits)


def test_shapes_that_differ_are_refused() -> None:
    assert call("torque_from_preload", [[1e5], [1e5]], "1 1/2", [[0.1], [0.1], [0.1]], "US").startswith(
        "STOP: nut factor"
    )


def test_settings_that_differ_by_row_are_each_their_own() -> None:
    torque, graduation = [[2210], [2210], [2210]], [[10], [20], [50]]

    result = call("setpoint", torque, TABLE, "SI", graduation, "nearest", [[3], [3], [3]])

    assert result[0] == [270.0]
    assert result[1] == [260.0]
    assert result[2][0].startswith("STOP: the mark 250 bar gives 2075 N·m, -6.1 % off")


def test_a_refusal_stays_with_its_element_and_travels_down() -> None:
    first = call("preload_from_stress", [[50000], [45], [None]], "1 1/2", "US", "root B1.1")
    second = call("torque_from_preload", first, "1 1/2", 0.16, "US")

    assert isinstance(second[0][0], float)
    assert second[1][0] == first[1][0] == "STOP: stress 45 psi is below 1000 psi; if ksi is meant, write '45 ksi'"
    assert second[2][0] == "STOP: stress is missing (empty cell)"


def test_a_refusal_inside_a_table_stops_the_call() -> None:
    broken = [*TABLE[:3], [300, "STOP: first cause"], *TABLE[4:]]

    assert call("setpoint", 2210, broken, "SI") == "STOP: first cause"
    assert call("pass_table", "STOP: first cause", TABLE, "SI") == "STOP: first cause"


def test_blank_optional_arguments_take_their_default() -> None:
    assert call("setpoint", 2210, TABLE, "SI", None, None, None) == call("setpoint", 2210, TABLE, "SI")
    assert call("tightening_order", 8, None, None) == call("tightening_order", 8)


def test_marks_show_as_they_are_typed() -> None:
    table = [["Pressure (psi)", "Torque (ft-lb)"], [1000, 100], [10000, 1000]]
    shown = {call("setpoint", 100 + 9 * i, table, "US", 0.1 * 1000 / 2) for i in range(1, 90)}

    assert all(value == round(value / 50) * 50 for value in shown)


def test_a_whole_column_of_cells_is_read_to_its_last_value() -> None:
    assert call("setpoint", 2210, TABLE + [[None, None]] * 5000, "SI") == call("setpoint", 2210, TABLE, "SI")


def test_too_long_a_column_is_refused() -> None:
    said = call("torque_from_preload", [[None]] * 1_048_576, "1 1/2", 0.16, "US")

    assert said.startswith("STOP: preload has 1048576 rows")


def test_a_fault_of_the_program_is_one_short_line(monkeypatch: pytest.MonkeyPatch, tmp_path: Any) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    monkeypatch.setenv("LOCALAPPDATA", str(tmp_path))
    log = tmp_path / "tautsheet" / "errors.log"

    def broken(value: Any) -> Any:
        raise ZeroDivisionError("division by zero")

    function = Function("broken", "Fails.", (Arg("value", "value", "Anything"),), "as typed", broken, "none")

    assert answer(function, [1.0]) == (
        f"STOP: this is a fault of the program (ZeroDivisionError); the whole of it is in {log}"
    )
    assert "division by zero" in log.read_text()
    if os.name == "posix":
        assert stat.S_IMODE(log.stat().st_mode) == 0o600
        assert stat.S_IMODE(log.parent.stat().st_mode) == 0o700
        log.unlink()
        (tmp_path / "other").write_text("not ours")
        log.symlink_to(tmp_path / "other")  # a link in its place is not followed
        assert answer(function, [1.0]).endswith("the whole of it is in no file: none can be written")
        assert (tmp_path / "other").read_text() == "not ours"


def test_no_number_never_becomes_a_cell() -> None:
    function = Function(
        "nothing", "NaN.", (Arg("value", "value", "Any"),), "as typed", lambda value: value * math.nan, ""
    )

    assert answer(function, [1.0]).startswith("STOP: ")


ODD = [
    None, "", " ", True, False, 0, -1, 0.0, float("nan"), float("inf"), -float("inf"), 1e308,
    datetime.datetime(2026, 3, 14), datetime.date(2026, 3, 14), Decimal("5"), "abc", "#N/A", "#SPILL!",
    -2146826246, -2146826243, "1,250", "12 bananas",
    "=1+1", "x" * 5000, (), [[]], [[None]], [[1, 2], [3, 4]], ((1.0,), (None,)), 46148.0, "STOP: earlier", "🔩",
]  # fmt: skip


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda function: function.name)
def test_odd_cells_in_every_argument_of_every_function(function: Function) -> None:
    """No call raises, and every cell is text or a finite number."""
    for odd, position in itertools.product(ODD, range(len(function.args))):
        values: list[Any] = ["US" if arg.kind == "units" else 16.0 for arg in function.args]
        values[position] = odd
        for cell in cells(answer(function, values)):
            where = (repr(odd)[:40], function.args[position].name, cell)
            assert isinstance(cell, (str, float, int, bool)), where
            assert isinstance(cell, str) or math.isfinite(cell), where
            if isinstance(cell, str):
                assert "Traceback" not in cell, where
                assert "fault of the program" not in cell, where


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_random_cells_never_raise(data: st.DataObject) -> None:
    function = data.draw(st.sampled_from(FUNCTIONS))
    cell = st.one_of(
        st.none(), st.booleans(), st.floats(), st.integers(), st.text(max_size=20), st.datetimes(),
        st.sampled_from(["US", "SI", "1 1/2", "M24", "tensile", "Pressure (psi)", "Torque (ft-lb)", "STOP: x", "#N/A"]),
    )  # fmt: skip
    ranges = st.lists(st.lists(cell, min_size=2, max_size=3), min_size=1, max_size=4)
    values = [data.draw(st.one_of(cell, ranges)) for _ in function.args]

    for shown in cells(answer(function, values)):
        assert isinstance(shown, (str, float, int, bool))
        assert isinstance(shown, str) or math.isfinite(shown)
        assert "fault of the program" not in str(shown)


@given(st.lists(st.floats(1000, 400000), min_size=2, max_size=30))
def test_a_column_gives_the_same_bits_as_its_cells(preloads: list[float]) -> None:
    column = call("torque_from_friction", np.array(preloads)[:, np.newaxis], "1 1/2", 0.12, 0.14, "US")

    assert column == [[call("torque_from_friction", p, "1 1/2", 0.12, 0.14, "US")] for p in preloads]
