"""The working of a call: the steps that its own run passed through, a row each; the last row is its own result."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from addin.cells.numbers import Cell, is_blank, plain_text
from addin.cells.texts import STOP, is_stop
from addin.functions.gate import Function, Rows, answer, lifted
from addin.functions.steps import Step, listening
from calc.findings import stop
from calc.units import System, from_si, system

HEAD = ["step", "what", "symbol", "formula", "value", "unit", "source"]

Block = list[list[Cell]]


def working(name: str, cells: Sequence[Block | None], functions: Mapping[str, Function]) -> list[list[Any]]:
    """A function's call step by step: its arguments as read, every value on the way, the result as it gives it.

    A function that answers with a table has its rows at the end, each behind the word "result".

    Raises InputError: `function_unknown`, `too_many_arguments`, `single_needed` for a column where one value is wanted,
    and `other_stop` with the function's own refusal.
    """
    function = functions.get(name.strip().lower())
    if function is None or function.name == "working":
        raise stop("function_unknown", "function_name", text=name, known=tuple(n for n in functions if n != "working"))
    values = _arguments(function, cells)
    with listening() as heard:
        shown = answer(function, values)
    if is_stop(shown):
        raise stop("other_stop", function.name, text=str(shown).removeprefix(f"{STOP}: "))
    units = _units(function, values)
    if function.spills:
        rows = [[str(k), *_row(item, units)] for k, item in enumerate(heard, start=1)]
        return [list(HEAD), *rows, *(["result", *row] for row in shown)]
    rows = [[str(k), *_row(item, units)] for k, item in enumerate(heard[:-1], start=1)]
    last = _row(heard[-1], units)
    last[3] = shown  # the number the function gives, from this very run
    last[5] = last[5] or function.source
    return [list(HEAD), *rows, ["result", *last]]


def _arguments(function: Function, cells: Sequence[Block | None]) -> list[Block]:
    given = [[[None]] if block is None else block for block in cells]
    while given and all(is_blank(cell) for row in given[-1] for cell in row):
        given.pop()
    if len(given) > len(function.args):
        raise stop("too_many_arguments", function.name, count=len(given), limit=len(function.args))
    for arg, block in zip(function.args, given, strict=False):
        if lifted(arg) and (len(block) > 1 or len(block[0]) > 1):
            raise stop("single_needed", arg.name, count=sum(len(row) for row in block))
    return given


def _units(function: Function, values: Sequence[Block]) -> System | None:
    for arg, block in zip(function.args, values, strict=False):
        if arg.kind == "units":
            return system(plain_text(block[0][0]))
    return None


def _row(item: Step, units: System | None) -> list[Any]:
    """What, symbol, formula, value in the user's unit, unit, source."""
    value, unit = item.value, item.unit
    if isinstance(value, Rows):
        value = value.values
    if not isinstance(value, str):
        value = float(np.ravel(np.asarray(value, dtype=float))[0])
        if item.kind not in ("number", "count", "text", "as typed"):
            unit = (units or system("SI")).symbol(item.kind)
            value = float(from_si(value, item.kind, unit)) if unit else value
    return [item.what, item.symbol, item.formula, value, unit, item.source]
