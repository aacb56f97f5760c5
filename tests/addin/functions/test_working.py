"""The working of a call: the listed steps are those of the run itself, for every registered function."""

import functools
from typing import Any

import numpy as np
import pytest
from worked_out import LONGEST, takes_a_model

from addin.functions.examples import CALIBRATION, EXAMPLES
from addin.functions.gate import Function, answer, block
from addin.functions.registry import BY_NAME, FUNCTIONS
from addin.functions.steps import heard_by_someone, listening, step
from addin.functions.working import HEAD, _row, _units

pytestmark = pytest.mark.usefixtures("worked_out_once")  # while nobody listens

OTHERS = [function for function in FUNCTIONS if function.name != "working"]
USUAL = [pytest.param(each, marks=pytest.mark.sweep) if each.name in LONGEST[:2] else each for each in OTHERS]
"""The two of the longest in a sweep; others that take a model stay."""
CELLS = [function for function in OTHERS if not function.spills]


def working(name: str, *values: Any) -> Any:
    return answer(BY_NAME["working"], (name, *values))


@functools.cache
def own_answer(name: str) -> Any:
    """Of the example; what takes a model is worked out once."""
    return answer(BY_NAME[name], EXAMPLES[name])


@functools.cache
def example(name: str) -> Any:
    """The working of the example."""
    return working(name, *EXAMPLES[name])


@functools.cache
def heard_answer(name: str) -> Any:
    """The answer to the example while somebody listens, and what was heard."""
    with listening() as heard:
        own = answer(BY_NAME[name], EXAMPLES[name])
    return own, heard


def rows_of(name: str) -> dict[str, list[Any]]:
    return {row[2]: row for row in example(name) if row[2]}


@pytest.mark.parametrize("function", USUAL, ids=lambda function: function.name)
def test_the_last_line_is_the_functions_own_result_to_the_bit(function: Function) -> None:
    own, shown = own_answer(function.name), example(function.name)

    assert shown[0][: len(HEAD)] == HEAD
    if function.spills:
        wide = max(len(row) for row in own)
        assert [row[: wide + 1] for row in shown[-len(own) :]] == [["result", *row] for row in own]
    else:
        assert shown[-1][4] == own
        assert shown[-1][0] == "result"


@pytest.mark.parametrize("function", CELLS, ids=lambda function: function.name)
def test_the_last_step_of_the_run_is_the_result(function: Function) -> None:
    """Not put in afterwards: what the calculation itself passed through last, shown in the caller's unit."""
    values = EXAMPLES[function.name]
    own, heard = heard_answer(function.name)
    blocks = [block(value) for value in values]

    assert _row(heard[-1], _units(function, blocks))[3] == own


@pytest.mark.parametrize("function", OTHERS, ids=lambda function: function.name)
def test_listening_changes_nothing(function: Function, sweeps: bool) -> None:
    """Of what takes a model one alone, but for a sweep: the working of each, above, is a run with a listener."""
    if takes_a_model(function) and function.name != "residual_preload" and not sweeps:
        return
    assert heard_answer(function.name)[0] == own_answer(function.name)


@pytest.mark.parametrize("function", USUAL, ids=lambda function: function.name)
def test_every_argument_given_is_listed_and_every_calculation_has_a_formula(function: Function) -> None:
    values = EXAMPLES[function.name]
    shown = example(function.name)
    said = [row[1] for row in shown[1:]]

    for arg in function.args[: len(values)]:
        assert arg.name.replace("_", " ") in said
    assert any(row[3] for row in shown[1:]), "no formula"
    if not function.spills:
        assert shown[-1][6]
        assert shown[-1][3]


def test_numbers_stand_in_the_callers_units() -> None:
    steps = rows_of("torque_from_preload")

    assert steps["D"][4:6] == [1.25, "in"]
    assert steps["F"][4:6] == [38400.0, "lbf"]
    assert steps["T"][3:6] == ["T = K D F", 0.145 * 1.25 * 38400 / 12, "lbf·ft"]


def test_intermediate_values_against_a_hand_calculation() -> None:
    """M30x3.5, 200 kN, μ 0.12: As 560.6 mm² (ISO 898-1), tan φ = 3.5/(π 27.727), τ = 16 Tt/(π d³) (formula)."""
    steps = rows_of("combined_stress")
    slope, rho = 3.5 / (np.pi * 27.727), 0.12 / np.cos(np.pi / 6)
    turning = 200e3 * 27.727e-3 / 2 * (slope + rho) / (1 - slope * rho)

    assert steps["As"][4] == pytest.approx(560.6, abs=0.05)
    assert steps["σ"][4] == pytest.approx(200e3 / 560.6, rel=1e-4)
    assert steps["Tt"][4] == pytest.approx(turning, rel=1e-4)


def test_a_refusal_is_that_of_the_function() -> None:
    assert working("torque_from_preload", 45, "1 1/4", 0.15, "US") == answer(
        BY_NAME["torque_from_preload"], (45, "1 1/4", 0.15, "US")
    )


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (("no_such",), "STOP: function 'no_such' is not known"),
        (("working", "working"), "STOP: function 'working' is not known"),
        (("torque_from_preload", [[1e5], [2e5]], "1", 0.15, "US"), "STOP: preload must be one cell, got 2"),
        (
            ("torque_from_preload", 1e5, "1", 0.15, "US", 7),
            "STOP: torque from preload takes at most 4 arguments, got 5",
        ),
        (("torque_from_preload", 1e5, "1"), "STOP: units is missing (empty cell)"),
        (("setpoint", "STOP: first cause", CALIBRATION, "US"), "STOP: first cause"),
    ],
)
def test_what_cannot_be_listed_is_refused_in_one_line(call: tuple[Any, ...], said: str) -> None:
    shown = working(*call)

    assert shown.startswith(said)
    assert "\n" not in shown


def test_nobody_listens_outside() -> None:
    assert not heard_by_someone()
    with listening() as outer:
        with listening() as inner:
            step("a", "a", 1.0, "number")
        step("b", "b", 2.0, "number")
    assert [s.what for s in outer] == ["b"]
    assert [s.what for s in inner] == ["a"]
