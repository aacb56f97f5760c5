"""A two-column block of label and value -> numbers in SI by name. Labels are matched exactly, from one table."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from addin.cells.headings import split
from addin.cells.numbers import Cell, is_blank, plain_text, read_number
from addin.cells.texts import read_thread, read_words
from addin.functions.steps import step
from calc.findings import InputError, stop
from calc.quantities import QUANTITIES
from calc.units import System


@dataclass(frozen=True)
class Label:
    """One input a block may hold: its label, the quantity of its number ("words" for a text), its symbol."""

    text: str
    cells: str
    symbol: str = ""


_NO_USUAL_UNIT = ("volume", "flow")
"""Kinds whose numbers need a unit of their own, beside them or in the label."""


def read_inputs(cells: Sequence[Sequence[Cell]], labels: Mapping[str, Label], units: System) -> dict[str, Any]:
    """The inputs a block states, by name; a label whose value is blank counts as not stated.

    The unit of a plain number is the one in its label ("Gasket area (in²)"), else that of the call (oil and flow have
    none there); a text may carry its own.

    Raises InputError: `inputs_two_columns`, `label_unknown` with the labels there are, `label_repeated`, and those of
    `read_number`, each with the label in front.
    """
    known = {label.text: (name, label) for name, label in labels.items()}
    found: dict[str, Any] = {}
    for row in cells:
        if all(is_blank(cell) for cell in row):
            continue
        if len(row) < 2 or any(not is_blank(cell) for cell in row[2:]):
            raise stop("inputs_two_columns", "inputs", count=len(row))
        heading = split(plain_text(row[0]))
        words = heading.words if heading.words in known else heading.text.lower()
        if words not in known:
            raise stop("label_unknown", "inputs", text=plain_text(row[0]), known=tuple(known))
        name, label = known[words]
        if name in found:
            raise stop("label_repeated", "inputs", text=label.text)
        if is_blank(row[1]):
            continue
        found[name] = _value(row[1], label, heading.unit, units)
        kind = QUANTITIES[label.cells].kind if label.cells in QUANTITIES else "text"
        said = found[name].designation if label.cells == "thread" else found[name]
        step(label.text, label.symbol, said, kind, source="given")
    return found


def _value(cell: Cell, label: Label, unit: str | None, units: System) -> Any:
    try:
        if label.cells == "words":
            return read_words(cell, label.text)
        if label.cells == "thread":
            return read_thread(cell)
        kind = QUANTITIES[label.cells].kind
        usual = None if kind in _NO_USUAL_UNIT else units.symbol(kind)
        return read_number(cell, label.cells, unit or usual or None)
    except InputError as error:
        f = error.finding
        raise stop(f.code, f.quantity, **{**f.facts, "place": f"'{label.text}'"}) from None
