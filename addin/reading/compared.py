"""Targets that a row states twice: which one is planned with, and which are only compared with the plan."""

import math
from collections.abc import Mapping, Sequence

from addin.cells.numbers import Cell, number_text, plain_text, split_number, stands_for_nothing
from addin.reading import physics
from addin.reading.column import Column
from addin.reading.heads import TARGETS
from addin.reading.understood import CHECKED, CheckedColumn, ColumnReading
from calc.findings import InputError

_KIND = {"stress": "stress", "load": "force", "torque": "torque", "percent": "percent"}
_FRICTION = ("nut_factor", "thread_friction", "lubricant")


def compared(
    readings: Sequence[ColumnReading], columns: Sequence[Column], rows: list[list[Cell]], facts: Mapping[str, Cell]
) -> tuple[CheckedColumn, ...]:  # fmt: skip
    """The columns that are compared with the plan, with their values.

    Where columns that agree by the law of thread, load and torque stand in one row, one of them is left in the row: the
    stress or load where friction is stated, else the torque. Rows of columns that do not agree keep all their targets
    and are refused later.
    """
    found = [_checked(reading, rows) for reading in readings if reading.state == CHECKED and reading.field in TARGETS]
    targets = [r for r in readings if r.used and r.field in TARGETS]
    fields = {column.field for column in columns if column.field}
    friction = any(name in fields or name in facts for name in _FRICTION)
    order = ("stress", "percent", "load", "torque") if friction else ("torque", "load", "stress", "percent")
    agree = [r for r in targets if r.confirmed or (r.field == "percent" and any(t.confirmed for t in targets))]
    agree.sort(key=lambda reading: order.index(str(reading.field)))
    for k, lower in enumerate(agree[1:], start=1):
        moved = [math.nan] * len(rows)
        values = physics.numbers([row[lower.at] for row in rows], _KIND[str(lower.field)], lower.unit)
        for i, row in enumerate(rows):
            if any(not stands_for_nothing(row[higher.at]) for higher in agree[:k]) and not stands_for_nothing(
                row[lower.at]
            ):
                moved[i] = float(values[i])
                row[lower.at] = None
        if any(not math.isnan(value) for value in moved):
            found.append(CheckedColumn(lower.heading, str(lower.field), lower.unit, tuple(moved)))
    return tuple(found)


def _checked(reading: ColumnReading, rows: Sequence[Sequence[Cell]]) -> CheckedColumn:
    cells = [row[reading.at] if reading.at < len(row) else None for row in rows]
    values = physics.numbers([_plain(cell) for cell in cells], _KIND[str(reading.field)], reading.unit)
    unread = (plain_text(c) for c, v in zip(cells, values, strict=True) if math.isnan(v) and not stands_for_nothing(c))
    return CheckedColumn(
        reading.heading, str(reading.field), reading.unit, tuple(float(v) for v in values), tuple(unread)
    )


def _plain(cell: Cell) -> Cell:
    """A number typed as text, "1.650,0", as a number where it can be only one; its unit stays."""
    parted = split_number(cell) if isinstance(cell, str) else None
    if parted is None:
        return cell
    try:
        number = number_text(parted[0], "value")
    except InputError:
        return None if stands_for_nothing(cell) else "?"
    return f"{number!r} {parted[1]}" if parted[1] else number
