"""A cell alone takes a short way to its number: the same number, to the bit, and never one where there is a refusal."""

import itertools
import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addin.functions import gate
from addin.functions.examples import EXAMPLES
from addin.functions.gate import answer
from addin.functions.registry import BY_NAME, FUNCTIONS
from addin.hosts.libreoffice import worker

TABLE = [["Pressure (psi)", "Torque (ft-lb)"], [0, 3], [1000, 412], [2000, 818], [3000, 1231], [10_000, 4140.5]]
SINGLE = [function for function in FUNCTIONS if not function.spills]


def both(name: str, *values: Any) -> tuple[Any, Any]:
    """What a call shows after a like one was made, and what the long way shows."""
    function = BY_NAME[name]
    answer(function, values)
    shown = answer(function, values)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(gate, "_short_way", lambda function, values: None)
        return shown, answer(function, values)


@settings(max_examples=400, deadline=None)
@given(
    st.one_of(st.floats(0, 4200), st.sampled_from([3, 3.0, 412, 4140.5, 4140.500000000001, "818", "818 N·m"])),
    st.sampled_from(["US", "SI", "US bar", "SI psi", "si"]),
    st.one_of(st.none(), st.floats(0.5, 1000), st.sampled_from([10, 100, "50 psi", ""])),
    st.sampled_from([None, "nearest", "down", "up", "Down", "sideways"]),
    st.sampled_from([None, 1, 10, "5 %", "", 0.001]),
    st.sampled_from([None, 1, 1.0, 0.93, 1.2, 7.0]),
)
def test_a_setting_is_the_same_on_both_ways(
    torque: Any, units: str, graduation: Any, rounding: Any, tolerance: Any, link: Any
) -> None:
    shown, long = both("setpoint", torque, TABLE, units, graduation, rounding, tolerance, link)

    assert (type(shown), shown) == (type(long), long)


@pytest.mark.parametrize("function", SINGLE, ids=lambda function: function.name)
def test_every_function_gives_its_example_on_both_ways(function: gate.Function) -> None:
    shown, long = both(function.name, *EXAMPLES[function.name])

    assert (type(shown), shown) == (type(long), long)


@pytest.mark.parametrize("function", SINGLE, ids=lambda function: function.name)
def test_whatever_stands_in_a_cell_shows_the_same(function: gate.Function) -> None:
    odd = (None, "", "STOP: first", "#N/A", "abc", True, -1.0, 1e9, [[1.0], [2.0]])
    for cell, place in itertools.product(odd, range(len(EXAMPLES[function.name]))):
        values = list(EXAMPLES[function.name])
        answer(function, values)
        values[place] = cell
        shown, long = both(function.name, *values)

        assert repr(shown) == repr(long), (cell, place)


def test_a_truth_value_is_not_the_number_that_equals_it() -> None:
    """The factor of a link is 1.0, then TRUE."""
    values = [818, TABLE, "US", 100, "nearest", 3]
    assert both("setpoint", *values, 1.0) == (2000.0, 2000.0)

    assert both("setpoint", *values, True)[0].startswith("STOP: link factor")


def test_the_worker_keeps_numbers_and_no_refusals(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []

    def counted(function: gate.Function, values: Any) -> Any:
        asked.append(values)
        return answer(function, values)

    monkeypatch.setattr(worker, "answer", counted)
    monkeypatch.setattr(worker, "_KEPT", {})
    monkeypatch.setattr(worker, "_MOST", 2)

    def reply(torque: Any) -> Any:
        return json.loads(worker.reply(json.dumps(["setpoint", [torque, TABLE, "US", 100]]).encode() + b"\n"))

    assert reply(818.0) == reply(818.0) == [[2000.0]]
    assert len(asked) == 1
    assert reply(9000.0) == reply(9000.0) != [[2000.0]]
    assert len(asked) == 3
    for torque in (412.0, 1231.0, 818.0):
        reply(torque)
    assert len(worker._KEPT) <= 2
    assert reply(818.0) == [[2000.0]]
