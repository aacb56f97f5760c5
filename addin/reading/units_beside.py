"""A column of units beside a column of numbers ("8200 | Nm"): each number is read with the unit of its own row."""

from collections.abc import Iterable, Iterator, Sequence

from addin.cells.numbers import Cell, is_blank, plain_text
from addin.reading.evidence import is_ditto, number
from addin.reading.heads import Head
from addin.reading.spellings import spelled, unit_of

_KINDS = frozenset(("torque", "stress", "force", "pressure", "length"))
_MOST = 0.9
_LOOKED_AT = 200


def units_beside(heads: Sequence[Head], rows: Sequence[Sequence[Cell]]) -> tuple[tuple[int, int], ...]:
    """Pairs of places (numbers, units): columns that hold nothing but units, each behind a column of bare numbers.

    >>> units_beside([Head(0, "Joint"), Head(1, "Torque"), Head(2, "Unit")], [["F1", 480, "Nm"], ["F2", 350, '"']])
    ((1, 2),)
    """
    found = []
    for before, head in zip(heads, heads[1:], strict=False):
        if before.unit or spelled(before.text).units or head.at != before.at + 1:
            continue
        cells = [(_at(row, before.at), _at(row, head.at)) for row in rows[:_LOOKED_AT]]
        cells = [(value, unit) for value, unit in cells if not is_blank(value) and not is_blank(unit)]
        if not cells or not any(_kind(unit) for _, unit in cells):
            continue
        units = sum(_kind(unit) in _KINDS or is_ditto(plain_text(unit)) for _, unit in cells)
        numbers = sum(number(plain_text(value)) is not None for value, _ in cells)
        if units == len(cells) and numbers >= _MOST * len(cells):
            found.append((before.at, head.at))
    return tuple(found)


def with_units(rows: Sequence[Sequence[Cell]], pairs: Sequence[tuple[int, int]]) -> list[list[Cell]]:
    """The rows with the unit of each pair behind its number; "as above" means the unit of the row above."""
    return list(each_with_units(rows, pairs))


def each_with_units(rows: Iterable[Sequence[Cell]], pairs: Sequence[tuple[int, int]]) -> Iterator[list[Cell]]:
    """The same, row by row."""
    last = dict.fromkeys(pairs, "")
    for cells in rows:
        row = list(cells)
        for pair in pairs:
            value_at, unit_at = pair
            unit, value = plain_text(_at(row, unit_at)), _at(row, value_at)
            if unit and is_ditto(unit):
                unit = last[pair]
            last[pair] = unit or last[pair]
            if unit and not is_blank(value) and number(plain_text(value)) is not None:
                row[value_at] = f"{plain_text(value)} {unit}"
        yield row


def _at(row: Sequence[Cell], at: int) -> Cell:
    return row[at] if at < len(row) else None


def _kind(cell: Cell) -> str:
    unit = unit_of(plain_text(cell)) if isinstance(cell, str) else None
    return unit.kind if unit is not None and unit.symbol else ""
