"""What a comma, a point, or the order of day and month means in a column: asked once for all its cells, never a cell alone.

A torque of "7,250" is 7250 or 7.25, a date of "03/04/2026" one of two days. Where no other cell of the column settles it,
it is one question with a row worked out; what physics or the run of the days says is a proposal.
"""

import datetime
import re
import statistics
from collections.abc import Mapping, Sequence
from typing import Protocol

from addin.cells.dates import day_comes_first, two_ways
from addin.cells.numbers import Cell, number_text, split_number
from addin.reading.column import Column
from addin.reading.understood import ASKED, PROPOSED, ValueMeaning
from calc.findings import InputError
from calc.quantities import QUANTITIES
from calc.units import factor

THOUSANDS, DECIMALS = "thousands", "decimals"
DAY_FIRST, MONTH_FIRST = "day first", "month first"
ORDER = "day and month in dates"
_TWO_WAYS = re.compile(r"([1-9]\d{0,2})([.,])(\d{3})")
_NAMES = {",": "the comma in numbers", ".": "the point in numbers"}
_KINDS = {"torque": "torque", "load": "force", "stress": "stress"}
_CLEARER = 3.0
"""Days that span a third of the other reading's are the likelier ones. Judgement, no source."""


class _Rows(Protocol):
    rows: list[list[Cell]]
    in_doubt: dict[int, tuple[str, str]]


def mark_of_numbers(
    out: _Rows, column: Column, answered: Mapping[tuple[str, str], str], decimal_marks: Mapping[int, str], *, accept: bool
) -> list[ValueMeaning]:  # fmt: skip
    """Torques, loads or stresses typed as "7,250": the answer for the column is put in, or asked for.

    `decimal_marks`: by row, the mark that stands before decimals in a cell that can be read in one way only.
    """
    name = str(column.field)
    different = {cell for row in out.rows if type(cell := row[column.at]) is str}
    splits = {text: split for text in different if (split := split_number(text))}
    if not any(_TWO_WAYS.fullmatch(text) for text, _ in splits.values()):
        return []
    parted = {
        i: splits[cell] for i, row in enumerate(out.rows) if type(cell := row[column.at]) is str and cell in splits
    }
    open_ones = {i: found for i, (text, _) in parted.items() if (found := _TWO_WAYS.fullmatch(text))}
    marks = {found[2] for found in open_ones.values()}
    told = {mark for mark in decimal_marks.values() if mark}
    if len(marks) != 1 or (told and told != marks):
        return []  # none open; or contradictory, or settled by the others
    (mark,) = marks
    if not told and all(_in_range(name, column, found, parted[i][1]) == 1 for i, found in open_ones.items()):
        return []  # only one of the two can be a torque at all
    about = _NAMES[mark]
    likely = _likely(out, column, open_ones, mark)
    meaning = answered.get((name, about), "") or (likely if accept else "")
    others = [
        i for i, (text, _) in parted.items() if i not in open_ones and mark in text and decimal_marks.get(i) == mark
    ]
    for i, found in open_ones.items():
        unit = parted[i][1]
        if meaning in (THOUSANDS, DECIMALS):
            number = f"{found[1]}{found[3]}" if meaning == THOUSANDS else f"{found[1]}.{found[3]}"
            out.rows[i][column.at] = f"{number} {unit}" if unit else float(number)
        elif others:
            out.in_doubt[i] = (name, found[0])
    if meaning != DECIMALS:
        out.in_doubt |= {i: (name, parted[i][0]) for i in others}  # a slip of the hand stops
    if answered.get((name, about)) in (THOUSANDS, DECIMALS):
        return []
    first, found = max(open_ones.items(), key=lambda each: int(each[1][1] + each[1][3]))
    beside = f"; '{parted[others[0]][0]}' stands in the same column" if others else ""
    why = (
        f"'{found[0]}' ({_row_of(out, first)}) is {found[1]}{found[3]} {column.unit or ''}".rstrip()
        + f" if it parts {THOUSANDS}, {float(f'{found[1]}.{found[3]}'):g} if it parts {DECIMALS}{beside}; one answer for all"
    )
    choices = (THOUSANDS, DECIMALS) if likely != DECIMALS else (DECIMALS, THOUSANDS)
    state = PROPOSED if likely else ASKED
    return [ValueMeaning(name, column.heading, about, len(open_ones) + len(others), likely, state, choices, why)]


def _row_of(out: _Rows, i: int) -> str:
    """The first cell of a row that says something, to find it by."""
    said = next((str(cell) for cell in out.rows[i] if isinstance(cell, str) and cell.strip()), "")
    return said[:20] or f"joint {i + 1}"


def _in_range(name: str, column: Column, found: re.Match[str], unit: str | None) -> int:
    """How many of the two readings are possible at all; 2 where no unit is known."""
    try:
        scale = float(factor(_KINDS[name], unit or column.unit or ""))
    except (InputError, KeyError):
        return 2
    quantity = QUANTITIES[name]
    ways = (float(f"{found[1]}.{found[3]}"), float(f"{found[1]}{found[3]}"))
    return sum(quantity.low <= way * scale <= quantity.high for way in ways)


def _likely(out: _Rows, column: Column, open_ones: Mapping[int, re.Match[str]], mark: str) -> str:
    """Which reading lies nearer to the plain numbers of the column, "" where there are none."""
    plain = []
    for i, row in enumerate(out.rows):
        cell = row[column.at]
        if i in open_ones or cell is None or isinstance(cell, (bool, datetime.date)):
            continue
        if isinstance(cell, str):
            parted = split_number(cell)
            if parted is None or mark in parted[0]:
                continue
            try:
                plain.append(number_text(parted[0], "value"))
            except InputError:
                continue
        else:
            plain.append(float(cell))
    if not plain or min(plain) <= 0:
        return ""
    middle = statistics.median(plain)
    near = statistics.median(float(f"{found[1]}{found[3]}") for found in open_ones.values())
    thousands, decimals = abs(near / middle), abs(near / 1000 / middle)
    off = {THOUSANDS: max(thousands, 1 / thousands), DECIMALS: max(decimals, 1 / decimals)}
    return min(off, key=lambda each: off[each])


def order_of_days(
    out: _Rows, column: Column, answered: Mapping[tuple[str, str], str], *, accept: bool
) -> list[ValueMeaning]:  # fmt: skip
    """Dates of two numbers and a year whose order no date of the column shows: the answer is put in, or asked for."""
    different = {cell.strip() for row in out.rows if type(cell := row[column.at]) is str}
    both = {text for text in different if _both(text)}
    if not both or day_comes_first(different) is not None:
        return []
    texts = {i: cell.strip() for i, row in enumerate(out.rows) if type(cell := row[column.at]) is str}
    open_ones = {i: text for i, text in texts.items() if text in both}
    likely = _likely_order(list(open_ones.values()))
    meaning = answered.get(("date", ORDER), "") or (likely if accept else "")
    if meaning in (DAY_FIRST, MONTH_FIRST):
        for i, text in open_ones.items():
            out.rows[i][column.at] = two_ways(text, day_first=meaning == DAY_FIRST)
    if answered.get(("date", ORDER)) in (DAY_FIRST, MONTH_FIRST):
        return []
    text = next(iter(open_ones.values()))
    one, other = (f"{day.day} {day:%b %Y}" for day in _both(text))
    why = f"'{text}' is {one} with {DAY_FIRST}, {other} with {MONTH_FIRST}; one answer for all"
    choices = (MONTH_FIRST, DAY_FIRST) if likely == MONTH_FIRST else (DAY_FIRST, MONTH_FIRST)
    state = PROPOSED if likely else ASKED
    return [ValueMeaning("date", column.heading, ORDER, len(open_ones), likely, state, choices, why)]


def _both(text: str) -> tuple[datetime.date, ...]:
    """The two days that a text may be, () where it is one or none."""
    days = [two_ways(text, day_first=first) for first in (True, False)]
    found = tuple(day for day in days if day is not None)
    return found if len(found) == 2 and found[0] != found[1] else ()


def _likely_order(texts: Sequence[str]) -> str:
    """The order in which the days lie much closer together; dates with points have the day first."""
    if all("." in text for text in texts):
        return DAY_FIRST
    spans = []
    for at in (0, 1):
        days = [_both(text)[at].toordinal() for text in texts]
        spans.append(max(days) - min(days))
    if spans[1] > _CLEARER * spans[0]:
        return DAY_FIRST
    return MONTH_FIRST if spans[0] > _CLEARER * spans[1] else ""
