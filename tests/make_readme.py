"""Writes into the README what the registry says: `python tests/make_readme.py`."""

import re
from collections.abc import Mapping
from pathlib import Path

from addin.cards.all_tokens import PARTS
from addin.functions.calls_limits import LIMIT_INPUTS, RANGE_INPUTS
from addin.functions.gate import REQUIRED, Function
from addin.functions.interaction_inputs import LABELS
from addin.functions.labelled import Label
from addin.functions.registry import FUNCTIONS

README = Path(__file__).resolve().parents[1] / "README.md"
TOKENS_BEGIN, TOKENS_END = "<!-- tokens: made by tests/make_readme.py -->\n", "<!-- end of tokens -->"
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


def tokens() -> str:
    """The tokens of forms, a table for each printed part; a numbered row of them on one line."""
    lines = []
    for part, groups in PARTS.items():
        lines += [f"**{part[0].upper()}{part[1:]}**", "", "| token | stands for |", "|---|---|"]
        for group, keys in groups:
            named: dict[tuple[str, str], list[str]] = {}
            for key, words in keys.items():
                alike = re.sub(r"\d+", "N", key), re.sub(r"\d+", "N", words)
                named.setdefault(alike, []).append(key)
            for (_, words), same in named.items():
                names = [f"`{{{{{group}.{key}}}}}`" if group else f"`{{{{{key}}}}}`" for key in (same[0], same[-1])]
                said = (words if len(same) > 1 else keys[same[0]]).replace("|", "\\|")
                lines.append(f"| {' to '.join(dict.fromkeys(names))} | {said} |")
        lines.append("")
    return "\n".join(lines)


def with_table(text: str) -> str:
    """The README's text with the functions and tokens of today."""
    for begin, end, block in ((BEGIN, END, table()), (TOKENS_BEGIN, TOKENS_END, tokens())):
        head, rest = text.split(begin)
        text = head + begin + block + end + rest.split(end)[1]
    return text


if __name__ == "__main__":
    README.write_text(with_table(README.read_text(encoding="utf-8")), encoding="utf-8")
