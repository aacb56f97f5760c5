"""Rows of cells under known columns -> `Joints`, with the texts that only the cards need. One path for every host."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from addin.worksheet.cell import is_stop, read_thread, read_words
from addin.worksheet.columns import BY_NAME, Column
from addin.worksheet.dates import read_day
from addin.worksheet.headings import plain_words
from addin.worksheet.numbers import Cell, read_number, stands_for_nothing
from calc.findings import Finding, InputError, stop
from calc.joints import NUMBER_COLUMNS, TEXT_COLUMNS, Joints, joints
from calc.quantities import QUANTITIES
from calc.units import kinds_of, system

_OPERATIONS = {
    "break": "break", "break out": "break", "breakout": "break", "break open": "break",
    "test make up": "test make-up", "make up for test": "test make-up", "test makeup": "test make-up",
    "final make up": "final make-up", "final makeup": "final make-up",
    "retighten": "retighten", "retightening": "retighten", "re tighten": "retighten",
}  # fmt: skip
_METHODS = {
    "hydraulic": "hydraulic", "hydraulic wrench": "hydraulic", "hydraulic torque": "hydraulic",
    "hydraulic torque wrench": "hydraulic",
    "hand": "hand", "manual": "hand", "hand torque": "hand", "hand torque wrench": "hand", "manual torque": "hand",
    "manual torque wrench": "hand",
    "other": "other", "tensioned": "other", "tensioning": "other", "tensioner": "other", "hydraulic tensioner": "other",
    "hydraulic tensioning": "other", "stud tensioner": "other", "other method": "other",
}  # fmt: skip
_WORDS = {"operation": _OPERATIONS, "method": _METHODS}

US_UNITS = frozenset(
    ("psi", "ksi", "lbf", "kip", "lbf·ft", "lbf·in", "ozf·in", "tonf/in²", "tonf (long)", "tonf (short)")
)


@dataclass(frozen=True, eq=False)
class JointRows:
    """A list as read: its joints, the texts of fields that no calculation needs, each row's units ("US" or "SI")."""

    joints: Joints
    texts: dict[str, list[str]]
    units: list[str]


def read_rows(
    columns: Sequence[Column],
    rows: Sequence[Sequence[Cell]],
    *,
    stale: Collection[tuple[int, int]] = (),
    as_percent: Collection[int] = (),
    units: str | None = None,
) -> JointRows:
    """Read rows under their columns; what cannot be read is a fault of its row.

    `stale` are cells (row, column place) whose formula has no stored value. `as_percent` are rows whose percent of
    yield stands in a cell formatted as %: 0.5 there means 50. `units` names the units of plain numbers under headings
    without one (a worksheet call); without it such numbers are refused.
    """
    count = len(rows)
    faults: list[Finding] = []
    numbers: dict[str, Any] = {}
    texts: dict[str, list[str]] = {}
    typed: dict[str, list[str | None]] = {}
    for column in columns:
        if column.field is None:
            continue
        field = BY_NAME[column.field]
        read = _reader(column, field.cells, units)
        number = field.name in NUMBER_COLUMNS
        values: list[Any] = [float("nan") if number else ""] * count
        known: dict[Any, Any] = {}
        for i, row in enumerate(rows):
            cell = row[column.at] if column.at < len(row) else None
            if (i, column.at) in stale:
                faults.append(Finding("stale_formula", field.name, row=i))
                continue
            if stands_for_nothing(cell):
                continue
            if field.name == "percent" and i in as_percent and isinstance(cell, (int, float)):
                cell = f"{100 * cell!r} %" if not isinstance(cell, bool) else cell
            key = (type(cell), cell)
            if key not in known:
                try:
                    known[key] = read(cell)
                except InputError as error:
                    known[key] = error.finding
            result = known[key]
            if isinstance(result, Finding):
                faults.append(Finding(result.code, field.name, result.facts, result.level, i))
            else:
                values[i] = result
        if number:
            numbers[field.name] = values
            typed[field.name] = [column.unit] * count
        else:
            texts[field.name] = values
    own = {name: column for name, column in texts.items() if name in TEXT_COLUMNS}
    return JointRows(
        joints(count, faults=faults, **numbers, **own), texts, _row_units(columns, rows, numbers, texts, units)
    )


def _reader(column: Column, cells: str, units: str | None) -> Callable[[Cell], Any]:
    name = str(column.field)
    if cells == "date":
        return lambda cell: read_day(cell, name)
    if cells == "thread":
        return lambda cell: _designation(cell)
    if cells == "words":
        words = _WORDS.get(name)
        return lambda cell: _word(cell, name, words)
    kind = QUANTITIES[cells].kind
    unit = column.unit or (system(units).symbol(kind) or None if units else None)

    def read(cell: Cell) -> float:
        try:
            return read_number(cell, cells, unit)
        except InputError as error:
            if error.finding.code == "unit_missing" and column.unit_unknown:
                raise stop("heading_unit_unknown", cells, heading=column.heading, kind=kind) from None
            raise

    return read


def _designation(cell: Cell) -> str:
    if is_stop(cell):
        raise stop("other_stop", "thread", text=str(cell)[6:])
    read_thread(cell)
    return read_words(cell, "thread")


def _word(cell: Cell, name: str, words: dict[str, str] | None) -> str:
    if is_stop(cell):
        raise stop("other_stop", name, text=str(cell)[6:])
    text = read_words(cell, name)
    if words is None:
        return text
    return words.get(plain_words(text.replace("-", " ")), text)


def _row_units(
    columns: Sequence[Column], rows: Sequence[Sequence[Cell]], numbers: dict[str, Any], texts: dict[str, list[str]],
    units: str | None,
) -> list[str]:  # fmt: skip
    """The units a row's results are shown in: those its own target is stated in; by its thread where that says none."""
    count = len(rows)
    if units:
        return [units] * count
    places = {column.field: column for column in columns if column.field in ("stress", "load", "torque")}
    found: list[str] = []
    for i in range(count):
        unit = None
        for name, column in places.items():
            if not np.isnan(numbers[name][i]):
                cell = rows[i][column.at]
                unit = _unit_in(cell) or column.unit
        if unit is None:
            thread = texts.get("thread", [""] * count)[i]
            found.append("SI" if thread.upper().startswith("M") else "US")
        else:
            found.append("US" if unit in US_UNITS else "SI")
    return found


def _unit_in(cell: Cell) -> str | None:
    from addin.worksheet.numbers import split_number
    from calc.units import symbol

    if not isinstance(cell, str):
        return None
    parts = split_number(cell)
    if parts is None or parts[1] is None:
        return None
    kinds = kinds_of(parts[1])
    return symbol(kinds[0], parts[1]) if kinds else None
