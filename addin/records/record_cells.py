"""The cells of one row of a record: passes, tools, settings, date and time, each blank where nothing is stated."""

import datetime
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from addin.cells.dates import read_day
from addin.cells.headings import Heading, plain_words
from addin.cells.numbers import Cell, plain_text, read_number, stands_for_nothing
from addin.records.record_fields import AS_PLANNED, Key, card_text
from addin.workbooks.grid import Grid
from calc.findings import stop
from calc.quantities import QUANTITIES
from calc.units import symbol

NAN = math.nan
_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)(?::([0-5]\d))?", re.ASCII)
_MOMENT = re.compile(r"(\d{4}-\d{2}-\d{2})[T ]+(\d{1,2}:\d{2}(?::\d{2})?)", re.ASCII)
_SPAN = re.compile(r"(\d{1,2})(?:\s*(?:-|–|to)\s*(\d{1,2}))?", re.ASCII)


@dataclass(frozen=True)
class Values:
    """What a row, or a column for one pass, states of a pass; "" , () and NaN where it states nothing.

    `same` are the fields whose cell says "as planned". pressure [Pa], torque [N·m], day [day number], clock [hours].
    """

    wrenches: tuple[str, ...] = ()
    link: str = ""
    gauge: str = ""
    pressure: float = NAN
    torque: float = NAN
    day: float = NAN
    clock: float = NAN
    by: str = ""
    same: frozenset[str] = frozenset()

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Values) and repr(self) == repr(other)  # NaN is like NaN here

    def without_clock(self) -> "Values":
        """The same without a time: one time says nothing about several passes."""
        return replace(self, clock=NAN)

    def over(self, below: "Values") -> "Values":
        """These values where they state something, the others where they do not."""
        stated = {
            name: value
            for name in ("wrenches", "link", "gauge", "pressure", "torque", "day", "clock", "by")
            if (value := getattr(self, name)) not in ((), "") and value == value
        }
        return replace(below, **stated, same=self.same | below.same)


NOTHING = Values()


class RowCells:
    """Reads the cells of one row by field; `column` is the one that was read last."""

    def __init__(self, grid: Grid, row: int, fields: Mapping[Key, tuple[int, Heading]]) -> None:
        self.grid, self.row, self.fields, self.column = grid, row, fields, 1

    def stored(self, name: str, number: int = 0) -> tuple[Cell, Heading | None]:
        """A cell and its heading; None where there is no such column or nothing in it."""
        place = self.fields.get((name, number))
        if place is None:
            return None, None
        self.column, heading = place
        cell = self.grid.stored(self.row, self.column, name)
        return (None if stands_for_nothing(cell) else cell), heading

    def text(self, name: str, number: int = 0) -> str:
        """A cell of words."""
        cell, _ = self.stored(name, number)
        return "" if cell is None else self.grid.text(self.row, self.column, name)

    def card(self) -> str:
        """The card's revision."""
        return card_text(self.text("card"))

    def values(self, number: int) -> Values:
        """Everything that is stated of one pass in columns of its own (0: of the row)."""
        same = set()
        words = {}
        for name in ("wrench", "link", "gauge"):
            words[name] = self.text(name, number)
            if plain_words(words[name]) == AS_PLANNED:
                same.add(name)
                words[name] = ""
        numbers = {}
        for name, quantity in (("pressure", "pump_pressure"), ("torque", "torque")):
            cell, heading = self.stored(name, number)
            if isinstance(cell, str) and plain_words(cell) == AS_PLANNED:
                same.add(name)
                cell = None
            numbers[name] = NAN if cell is None else self.number(cell, quantity, name, heading, self.column)
        day, clock = self.moment(number)
        wrenches = tuple(part for each in re.split("[;,+&]", words["wrench"]) if (part := " ".join(each.split())))
        return Values(
            wrenches, words["link"], words["gauge"], numbers["pressure"], numbers["torque"], day, clock,
            self.text("by", number) if number else "", frozenset(same),
        )  # fmt: skip

    def number(self, cell: Cell, quantity: str, name: str, heading: Heading | None, column: int) -> float:
        """A setting in SI: the unit stands in its cell, its heading or the column for units."""
        kind = QUANTITIES[quantity].kind
        unit = heading.unit if heading else None
        stated = self.text(f"{name}_unit")
        if stated:
            own = symbol(kind, stated)
            if unit and symbol(kind, unit) != own:
                raise stop("column_unit_doubled", quantity, heading=f"{heading.text if heading else ''}, {stated}")
            unit = own
        self.column = column
        return read_number(cell, quantity, unit)

    def moment(self, number: int) -> tuple[float, float]:
        """Day and hours of the day; NaN for what is not stated."""
        cell, _ = self.stored("date", number)
        day = clock = NAN
        if cell is not None:
            day, clock = _moment(cell)
        cell, _ = self.stored("time", number)
        if cell is not None:
            stated = _clock(cell)
            if clock == clock and abs(clock - stated) > 1e-6:
                raise stop("record_times_differ", "time")
            clock = stated
        return day, clock


def _moment(cell: Cell) -> tuple[float, float]:
    """A date cell, which may hold a time too."""
    if isinstance(cell, datetime.datetime):
        clock = _hours(cell.time())
        return read_day(cell.date(), "date_of_work"), clock if clock else NAN
    match = _MOMENT.fullmatch(plain_text(cell)) if isinstance(cell, str) else None
    if match:
        return read_day(match[1], "date_of_work"), _clock(match[2])
    return read_day(cell, "date_of_work"), NAN


def _clock(cell: Cell) -> float:
    """A time of day in hours.

    >>> _clock("14:30"), _clock(datetime.time(6, 15))
    (14.5, 6.25)
    """
    if isinstance(cell, datetime.datetime):
        cell = cell.time()
    if isinstance(cell, datetime.time):
        return _hours(cell)
    match = _CLOCK.fullmatch(plain_text(cell)) if isinstance(cell, str) else None
    if match is None:
        raise stop("record_time", "time", text=plain_text(cell))
    return int(match[1]) + int(match[2]) / 60 + int(match[3] or 0) / 3600


def _hours(time: datetime.time) -> float:
    return time.hour + time.minute / 60 + time.second / 3600


def pass_numbers(cells: RowCells) -> tuple[tuple[int, ...], bool]:
    """Passes that a row names, and whether it says all. Raises InputError `record_passes`, `record_passes_date`."""
    cell, _ = cells.stored("passes")
    if cell is None:
        return (), False
    if isinstance(cell, (datetime.date, datetime.time)):
        day = cell.date() if isinstance(cell, datetime.datetime) else cell
        raise stop("record_passes_date", "passes", text=str(day))
    if isinstance(cell, bool):
        raise stop("record_passes", "passes", text=str(cell))
    text = plain_text(cell).lower()
    if text == "all":
        return (), True
    return _numbers(text.replace(" and ", ",").replace("passes", "").replace("pass", "")), False


def _numbers(text: str) -> tuple[int, ...]:
    """Numbers and spans of numbers.

    >>> _numbers("1-2, 4 to 5")
    (1, 2, 4, 5)
    """
    found: list[int] = []
    for part in re.split(r"[,;+&]", text):
        match = _SPAN.fullmatch(part.strip())
        first, last = (int(match[1]), int(match[2] or match[1])) if match else (1, 0)
        if first > last or set(range(first, last + 1)) & set(found):
            raise stop("record_passes", "passes", text=text.strip())
        found += range(first, last + 1)
    return tuple(found)
