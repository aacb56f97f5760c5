"""Every registered function has one example call, and it is a good one."""

import pytest

from addin.cells.texts import is_stop
from addin.functions.examples import EXAMPLES
from addin.functions.gate import REQUIRED, Function, answer
from addin.functions.registry import BY_NAME, FUNCTIONS

pytestmark = pytest.mark.usefixtures("worked_out_once")


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda function: function.name)
def test_a_function_has_an_example_that_answers(function: Function) -> None:
    assert function.name in EXAMPLES, f"add an example call of {function.name} to addin/functions/examples.py"
    values = EXAMPLES[function.name]
    needed = sum(arg.default is REQUIRED for arg in function.args)
    assert needed <= len(values) <= len(function.args)
    shown = answer(function, values)
    assert not is_stop(shown), shown
    for row in shown if isinstance(shown, list) else []:
        assert not any(is_stop(cell) for cell in row), row


def test_no_example_of_a_function_that_is_gone() -> None:
    assert set(EXAMPLES) <= set(BY_NAME)
