"""What people read is said as the trade says it: no phrase here that was found to be misunderstood."""

import re
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from addin.cells.sentences import SENTENCES
from addin.cells.words import line
from addin.cli import main
from addin.functions.registry import FUNCTIONS
from addin.job.wishes import ROWS
from calc.findings import Finding
from calc.units import system

ROOT = Path(__file__).parents[3]
MISUNDERSTOOD = (
    "at once", "torque there", "holds?", "got an empty cell", "stands again", "nobody says so", "sorted apart", "anew",
    "after the one before", "to be to be", "accepts no joint", "pressure in stages", "from below",
    "first stroke short", "write no pressure",
)  # fmt: skip
AMERICAN = r"\b(colou?rs?|center|gray|fiber|organiz\w+|recogniz\w+|analyz\w+|meters?)\b"


def shown() -> Iterator[tuple[str, str]]:
    """Everything that is said in sentences, helps and pages, with where it stands."""
    yield from SENTENCES.items()
    for function in FUNCTIONS:
        yield function.name, function.help
        yield from ((f"{function.name} {arg.name}", arg.help) for arg in function.args)
    context = click.Context(main)
    for name in main.list_commands(context):
        command = main.get_command(context, name)
        assert command
        yield name, command.help or ""
        yield from (
            (f"{name} {option.name}", option.help or "")
            for option in command.params if isinstance(option, click.Option)
        )  # fmt: skip
    yield from ((f"sheet Job, {row.label}", f"{row.label} {row.help}") for row in ROWS)
    for number, text in enumerate((ROOT / "README.md").read_text(encoding="utf-8").splitlines(), 1):
        yield f"README {number}", re.sub(r"`[^`]*`", "", text)


@pytest.mark.parametrize("phrase", MISUNDERSTOOD)
def test_no_phrase_that_was_misunderstood(phrase: str) -> None:
    assert [(where, text) for where, text in shown() if phrase in text.lower()] == []


def test_one_spelling_of_words() -> None:
    american = re.compile(AMERICAN.replace("colou?rs?", "colors?"), re.IGNORECASE)
    assert [(where, text) for where, text in shown() if american.search(text)] == []


def test_two_figures_that_differ_never_print_alike() -> None:
    facts = {"torque": 1000.0001, "low": 1000.0002}
    said = line(Finding("torque_below_table", "torque", facts), system("SI"))
    assert said == "torque 1000.0001 N·m is below this table's lowest point, 1000.0002 N·m"
    facts = {"value": 6894756.0, "low": 6894757.29, "high": 1e9}
    assert line(Finding("out_of_range", "stress", facts), system("US")) == "stress 999.99981 psi is below 1000 psi"


def test_a_product_whose_friction_is_stated_the_other_way_is_no_nan() -> None:
    facts = {"listed": 0.15, "table": float("nan"), "product": "L-30"}
    said = line(Finding("friction_disagrees", "nut_factor", facts), system("US"))
    assert said == (
        "friction 0.15 in the list differs from what is stated another way (nut factor or coefficients) of L-30 in "
        "the lubricant table"
    )


def test_times_are_said_in_minutes() -> None:
    facts = {"passes": (5,), "waited": 5 / 6, "wait": 4.0}
    said = line(Finding("wait_short", "", facts), system("US"))
    assert said == "pass 5 came 50 min after the previous pass; the plan waits 4 h"
