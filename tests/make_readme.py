"""Writes the README's table of worksheet functions from the registry: `python tests/make_readme.py`."""

from pathlib import Path

from addin.worksheet.cell import REQUIRED, Function
from addin.worksheet.functions import FUNCTIONS

README = Path(__file__).resolve().parents[1] / "README.md"
BEGIN, END = "<!-- functions: made by tests/make_readme.py -->\n", "<!-- end of functions -->"


def _line(function: Function) -> str:
    arguments = ", ".join(arg.name if arg.default is REQUIRED else f"[{arg.name}]" for arg in function.args)
    return f"| `{function.name}({arguments})` | {function.help} |"


def table() -> str:
    """The table as Markdown."""
    return "\n".join(["| function | what it gives |", "|---|---|", *map(_line, FUNCTIONS)]) + "\n"


def with_table(text: str) -> str:
    """The README's text with the table of today."""
    head, rest = text.split(BEGIN)
    return head + BEGIN + table() + END + rest.split(END)[1]


if __name__ == "__main__":
    README.write_text(with_table(README.read_text(encoding="utf-8")), encoding="utf-8")
