"""Writes into the README what the registry says: `python tests/make_readme.py`."""

from collections.abc import Mapping
from pathlib import Path

from addin.functions.calls_limits import LIMIT_INPUTS, RANGE_INPUTS
from addin.functions.gate import REQUIRED, Function
from addin.functions.interaction_inputs import LABELS
from addin.functions.labelled import Label
from addin.functions.registry import FUNCTIONS
from addin.reading.fields import FIELDS
from addin.reading.understood import shown_name as map_name

README = Path(__file__).resolve().parents[1] / "README.md"
BEGIN, END = "<!-- functions: made by tests/make_readme.py -->\n", "<!-- end of functions -->"
FIELDS_BEGIN, FIELDS_END = "<!-- fields: made by tests/make_readme.py -->\n", "<!-- end of fields -->"


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


def fields() -> str:
    """The fields of a joint list as a map names them."""
    return f"`{'`, `'.join(map_name(field.name) for field in FIELDS)}`\n"


def with_table(text: str) -> str:
    """The README's text with the functions and fields of today."""
    for begin, end, block in ((BEGIN, END, table()), (FIELDS_BEGIN, FIELDS_END, fields())):
        head, rest = text.split(begin)
        text = head + begin + block + end + rest.split(end)[1]
    return text


if __name__ == "__main__":
    README.write_text(with_table(README.read_text(encoding="utf-8")), encoding="utf-8")
