"""A calculation as named steps: a function passes its values through `step`; who listens can list them.

The function calculates the same whether or not anybody listens, so the listed steps are those of the very run that
gave the result.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any, TypeVar

from calc.hardware import threads
from calc.quantities import QUANTITIES
from calc.units import System

T = TypeVar("T")


@dataclass(frozen=True)
class Step:
    """One value on the way: what it is in words, its symbol, its formula in symbols, value in SI or text, kind, source.

    `kind` is a kind of unit, "number", "count", "text", or "as typed" for a number already in the user's `unit`.
    """

    what: str
    symbol: str
    value: Any
    kind: str
    formula: str = ""
    source: str = ""
    unit: str = ""


_HEARD: ContextVar[list[Step] | None] = ContextVar("steps", default=None)


def step(what: str, symbol: str, value: T, kind: str, formula: str = "", source: str = "", unit: str = "") -> T:
    """Give a value back as it is, and note it for whoever listens.

    >>> with listening() as heard:
    ...     area = step("area", "A", 2.0 * 3.0, "area", "A = a b")
    >>> area, heard[0].formula
    (6.0, 'A = a b')
    """
    heard = _HEARD.get()
    if heard is not None:
        heard.append(Step(what, symbol, value, kind, formula, source, unit))
    return value


@contextmanager
def listening() -> Iterator[list[Step]]:
    """Collect the steps of the calculation inside."""
    heard: list[Step] = []
    token = _HEARD.set(heard)
    try:
        yield heard
    finally:
        _HEARD.reset(token)


def heard_by_someone() -> bool:
    """Whether anybody listens: for steps that only a listing needs, such as the inputs."""
    return _HEARD.get() is not None


_SYMBOLS = {
    "nut_factor": "K", "preload": "F", "torque": "T", "thread_friction": "μt", "nut_friction": "μn", "studs": "n",
    "stress": "σ", "gasket_stress": "Sg", "gasket_area": "Ag", "pump_pressure": "p", "bearing_diameter": "De",
    "link_factor": "f", "stretch_length": "L", "modulus": "E", "grip": "Lg", "bolt_circle": "C", "link_radius": "r",
    "hub_diameter": "Dh", "breakout_factor": "c", "gasket_outside_diameter": "OD", "gasket_inside_diameter": "ID",
    "design_pressure": "P", "gasket_m": "m", "gasket_y": "y",
}  # fmt: skip
"""Symbols of arguments by their kind, as the formulas of the steps use them."""


def note_arguments(args: Sequence[Any], values: Mapping[str, Any]) -> None:
    """The arguments (`cell.Arg`) as they were read, as the first steps of a calculation."""
    for arg in args:
        value, name = values[arg.name], arg.name.replace("_", " ")
        if value is None or value == "" or (isinstance(value, float) and math.isnan(value)):
            continue
        if isinstance(value, threads.Thread):
            step(name, "", value.designation, "text", source="given")
            step("nominal diameter", "D", value.diameter, "length")
            step("pitch", "P", value.pitch, "length")
        elif arg.kind in QUANTITIES and arg.kind != "graduation":
            step(name, _SYMBOLS.get(arg.kind, ""), value, QUANTITIES[arg.kind].kind, source="given")
        elif isinstance(value, str):
            step(name, "", value, "text", source="given")
        elif isinstance(value, System):
            step(name, "", value.name, "text", source="given")
        elif isinstance(value, (int, float)):
            step(name, "", value, "as typed", source="given")
        else:
            rows = len(value) - 1 if isinstance(value, list) else value.pressure.size
            step(name, "", f"range of {rows} rows below its headings", "text", source="given")
