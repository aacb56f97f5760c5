"""What the registry says of the worksheet functions, as lines of text."""

from textwrap import wrap

from addin.cells.words import amount
from addin.functions.examples import EXAMPLES
from addin.functions.gate import REQUIRED, Arg, Function
from addin.functions.registry import FUNCTIONS
from calc.quantities import QUANTITIES
from calc.units import system

WIDE = 100


def overview() -> list[str]:
    """A line for each function, its name and what it gives.

    >>> overview()[0]
    'thread_stress_area       Area of a thread on which a stress stands.'
    """
    wide = max(len(each.name) for each in FUNCTIONS) + 2
    return [f"{each.name.ljust(wide)}{each.help}" for each in FUNCTIONS]


def help_page(function: Function) -> list[str]:
    """What one function takes and gives: arguments with their limits, result, source, an example."""
    wide = max(len(arg.name) for arg in function.args) + 4
    named = ", ".join(arg.name if arg.default is REQUIRED else f"[{arg.name}]" for arg in function.args)
    lines = [*_indented(f"{function.name}({named})", 0), "", *_indented(function.help, 2), ""]
    for arg in function.args:
        first, *more = wrap(f"{arg.help.rstrip('.')}. {_takes(arg)}".strip(), WIDE - wide)
        lines += [f"  {arg.name.ljust(wide - 2)}{first}", *(" " * wide + line for line in more)]
    gives = {"spill": "a table of cells", "as typed": "one value"}.get(
        function.result, f"one value ({function.result})"
    )
    lines += ["", *_indented(f"gives {gives}; a single-value argument may be a column", 2)]
    lines += _indented(f"source: {function.source}", 2)
    example = " ".join(_typed(cell) for cell in EXAMPLES.get(function.name, ()))
    return [*lines, "", *_indented(f"tautsheet call {function.name} {example}".rstrip(), 2)]


def _indented(text: str, by: int) -> list[str]:
    return wrap(text, WIDE, initial_indent=" " * by, subsequent_indent=" " * (by + 2), break_long_words=False)


def _takes(arg: Arg) -> str:
    """The range of a number, and what holds where an argument is left out."""
    said = []
    if arg.kind in QUANTITIES:
        q = QUANTITIES[arg.kind]
        ends = [[amount(end, q.kind, system(name)) for end in (q.low, q.high)] for name in ("SI", "US")]
        said.append(" or ".join(dict.fromkeys(f"{low} to {high}" for low, high in ends)))
    if arg.default is not REQUIRED:
        said.append(f"may be left out{f', then {arg.default}' if arg.default not in (None, '') else ''}")
    return f"[{'; '.join(said)}]" if said else ""


def _typed(cell: object) -> str:
    """A cell as it is typed on a command line; a table is the path of a CSV."""
    if isinstance(cell, tuple):
        return "TABLE.csv"
    text = f"{cell:g}" if isinstance(cell, float) else str(cell)
    return f'"{text}"' if " " in text or not text else text
