"""Targets of an earlier outage, and those that somebody has hidden: never proposed while another target stands there,
never sure where they stand alone.
"""

import re
from collections.abc import Collection, Sequence
from dataclasses import replace

from addin.reading.grammar import BLOCK
from addin.reading.heads import TARGETS
from addin.reading.notes import Notes
from addin.reading.seen import SeenColumn
from addin.reading.understood import CHECKED, NOT_USED, ColumnReading

_YEAR = re.compile(r"(?<![\w.,/-])(?:19[5-9]\d|20[0-4]\d)(?![\w.,])|(?<![\w.,/\"-])['’][0-49]\d(?![\w.,'\"])")
"""A year, in full or as "'19"."""
_NAMED, _CLEARLY = 0.2, 0.6
"""How strongly a heading names a target to be set aside, and to be the other one. Judgement, no source."""


def set_aside_the_past(columns: Sequence[SeenColumn], notes: Notes, hidden: Collection[int]) -> None:
    """Mark the targets whose heading names an earlier year, or that are hidden, where another column is one too."""
    named = [
        column
        for column in columns
        if _strength(column) >= _NAMED and not column.concepts & BLOCK and column.cells.filled
    ]
    years = {id(column): _years(column.head.shown) + _outages(column.head.shown) for column in named}
    this_year = max((year for text in notes.lines for year in _years(text)), default=0)
    newest = max([this_year, *(year for each in years.values() for year in each)])
    undated = any(not each for each in years.values())
    why: dict[int, str] = {}
    for column in named:
        mine = years[id(column)]
        if mine and (max(mine) < newest or (undated and not this_year)):
            why[id(column)] = f"its heading names {max(mine)}: a value of an earlier time"
        elif column.head.at in hidden:
            why[id(column)] = "the column is hidden"
    other = next((column for column in named if id(column) not in why and _strength(column) >= _CLEARLY), None)
    for column in named:
        if other is not None and id(column) in why:
            column.aside = f"{why[id(column)]}, and '{other.head.shown}' is there"
        else:
            _look_twice(column, why.get(id(column), ""), years[id(column)], this_year)


def _look_twice(column: SeenColumn, why: str, years: Sequence[int], this_year: int) -> None:
    """Note why a target that stands alone must be confirmed: its year is not known to be that of the work."""
    if years and max(years) != this_year:
        why = f"its heading names {max(years)}, and title and notes do not say that this is the year of the work"
    column.doubt = why


def only_compared(columns: Sequence[SeenColumn], readings: Sequence[ColumnReading]) -> list[ColumnReading]:
    """What was marked is never the target: it is compared with the plan, or left where its unit is not known."""
    out = list(readings)
    for i, (column, reading) in enumerate(zip(columns, readings, strict=True)):
        if not column.aside or reading.field not in TARGETS:
            continue
        if reading.unit_open or (reading.unit is None and reading.field != "percent"):
            why = f"{column.aside}; neither used nor compared, for its unit is not known"
            out[i] = replace(reading, field=None, unit=None, state=NOT_USED, candidates=(), also=(), why=why)
        else:
            out[i] = replace(reading, state=CHECKED, why=f"{column.aside}; never used, only compared")
    return out


def _strength(column: SeenColumn) -> float:
    return max(column.strength.get(name, 0.0) for name in TARGETS)


def _years(text: str) -> list[int]:
    return [int(found) if found.isdigit() else _in_full(int(found[1:])) for found in _YEAR.findall(text)]


_OUTAGE = re.compile(r"(?<!\w)(?:TA|SD|T/A|S/D)[ -]?([0-49]\d)(?!\w)")


def _outages(text: str) -> list[int]:
    """The years of outages that a heading names ("TA22", "SD-19"); in a note that may be a tag."""
    return [_in_full(int(found)) for found in _OUTAGE.findall(text)]


def _in_full(year: int) -> int:
    return year + (1900 if year >= _LAST_CENTURY else 2000)


_LAST_CENTURY = 90
