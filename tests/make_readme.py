"""Writes into the README what the registry says: `python tests/make_readme.py`."""

from collections.abc import Mapping
from pathlib import Path

from addin.functions.calls_limits import LIMIT_INPUTS, RANGE_INPUTS
from addin.functions.gate import REQUIRED, Function
from addin.functions.interaction_inputs import LABELS
from addin.functions.labelled import Label
from addin.functions.registry import FUNCTIONS

README = Path(__file__).resolve().parents[1] / "README.md"
BEGIN, END = "<!-- functions: made by tests/make_readme.py -->\n", "<!-- end of functions -->"


def _line(function: Function) -> str:
    arguments = ", ".join(arg.name if arg.default is REQUIRED else f"[{arg.name}]" for arg in function.args)
    return f"| `{function.name}({arguments})` | {function.help} |"


def _labels(functions: str, labels: Mapping[str, Label]) -> str:
    return f"- {functions}: {', '.join(label.text for label in labels.values())}"


def table() -> str:
    """The functions, and the labels of the two-column `inputs`, as Markdown."""
    lines = ["| function | what it gives |", "|---|---|", *map(_line, FUNCTIONS), ""]
    lines += ["`inputs` is a block of two columns, label and value; a value may carry its unit. The labels:", ""]
    lines += [
        _labels("`preload_limits`", LIMIT_INPUTS),
        _labels("`preload_range`", RANGE_INPUTS),
        _labels("`residual_preload` and the other functions of interaction", LABELS),
    ]
    return "\n".join(lines) + "\n"


def with_table(text: str) -> str:
    """The README's text with the functions of today."""
    head, rest = text.split(BEGIN)
    return head + BEGIN + table() + END + rest.split(END)[1]


if __name__ == "__main__":
    README.write_text(with_table(README.read_text(encoding="utf-8")), encoding="utf-8")
