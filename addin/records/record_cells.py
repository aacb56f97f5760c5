"""The cells of one row of a record: passes, tools, settings, date and time, each blank where nothing is stated."""

import datetime
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from operator import attrgetter
from typing import Any

from addin.cells.dates import read_day, read_work_day
from addin.cells.headings import Heading, plain_words
from addin.cells.numbers import Cell, plain_text, read_number, split_number, stands_for_nothing
from addin.records.record_fields import AS_PLANNED, BOXES, Key, card_text
from addin.workbooks.grid import Grid
from calc.findings import stop
from calc.quantities import QUANTITIES
from calc.units import symbol

NAN = math.nan
_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)(?::([0-5]\d))?", re.ASCII)
_MOMENT = re.compile(r"(\d{4}-\d{2}-\d{2})[T ]+(\d{1,2}:\d{2}(?::\d{2})?)", re.ASCII)
_SPAN = re.compile(r"(\d{1,2})(?:\s*(?:-|–|to)\s*(\d{1,2}))?", re.ASCII)


@dataclass(frozen=True, slots=True, eq=False)
class Values:
    """What a row, or a column for one pass, states of a pass; "" , () and NaN where it states nothing.

    `same` are the fields whose cell says "as planned". links, gauges and pressures [Pa]: one for all wrenches, or one
    for each in their order. torque [N·m], day [day number], clock [hours]; `units` are those in which pressure and
    torque were typed; `boxes` what stands in the boxes of the card, by field.
    """

    wrenches: tuple[str, ...] = ()
    links: tuple[str, ...] = ()
    gauges: tuple[str, ...] = ()
    pump: str = ""
    pressures: tuple[float, ...] = ()
    torque: float = NAN
    day: float = NAN
    clock: float = NAN
    by: str = ""
    same: frozenset[str] = frozenset()
    units: tuple[tuple[str, str], ...] = ()
    boxes: tuple[tuple[str, str], ...] = ()

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Values) and repr(self) == repr(other)  # NaN is like NaN here

    @property
    def states(self) -> dict[str, Any]:
        """What is stated, by field."""
        return {
            each.name: value
            for each in fields(self)
            if (value := getattr(self, each.name)) not in ((), "", frozenset()) and value == value
        }

    @property
    def pressure(self) -> float:
        """The only pressure, NaN where there is none or one for each wrench. [Pa]"""
        return self.pressures[0] if len(self.pressures) == 1 else NAN

    def without_clock(self) -> "Values":
        """The same without a time: one time says nothing about several passes."""
        return replace(self, clock=NAN)

    def without_setting(self) -> "Values":
        """The same without pressure and torque."""
        return replace(self, pressures=(), torque=NAN)

    def over(self, below: "Values") -> "Values":
        """These values where they state something, the others where they do not."""
        stated = {name: value for name, value in self.states.items() if name not in ("same", "units", "boxes")}
        units, boxes = dict(below.units) | dict(self.units), dict(below.boxes) | dict(self.boxes)
        return replace(
            below, **stated, same=self.same | below.same, units=tuple(units.items()), boxes=tuple(boxes.items())
        )


NOTHING = Values()

_stated = attrgetter(*(each.name for each in fields(Values)))
_MOST_SHARED = 2_000
_shared: dict[tuple[Any, ...], Values] = {}


def shared(values: Values) -> Values:
    """Values as the object that states the same already: rows of a long record are much alike.

    >>> shared(Values(pump="P-1")) is shared(Values(pump="P-1"))
    True
    """
    if len(_shared) >= _MOST_SHARED:
        _shared.clear()
    return _shared.setdefault(_stated(values), values)


def _parts(text: str, signs: str) -> tuple[str, ...]:
    return tuple(part for each in re.split(signs, text) if (part := " ".join(each.split())))


def _numbers_apart(text: str) -> list[str]:
    """Several numbers of one cell; a comma parts them before a space or four digits, for else it may part thousands.

    >>> _numbers_apart("3150, 3200 psi"), _numbers_apart("3150,3200"), _numbers_apart("3,150"), _numbers_apart("217,5")
    (['3150', '3200 psi'], ['3150', '3200'], ['3,150'], ['217,5'])
    """
    parts = re.split(r"\s*[;+&/]\s*|,\s+|(?<=\d{4}),(?=\d{4})", text.strip())
    return [part for part in parts if part]


def _has_unit(text: str) -> bool:
    parts = split_number(text)
    return bool(parts and parts[1])


class RowCells:
    """Reads the cells of one row by field; `column` is the one that was read last."""

    def __init__(
        self, grid: Grid, row: int, fields: Mapping[Key, tuple[int, Heading]], *, day_first: bool | None = None
    ) -> None:
        self.grid, self.row, self.fields, self.column, self.day_first = grid, row, fields, 1, day_first

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
        for name in ("wrench", "link", "gauge", "pump"):
            words[name] = self.text(name, number)
            if plain_words(words[name]) == AS_PLANNED:
                same.add(name)
                words[name] = ""
        wrenches = _parts(words["wrench"], "[;,+&]")
        units: dict[str, str] = {}
        torque = NAN
        pressures: tuple[float, ...] = ()
        cell, heading = self.stored("torque", number)
        if isinstance(cell, str) and plain_words(cell) == AS_PLANNED:
            same.add("torque")
        elif cell is not None:
            torque, units["torque"] = self.number(cell, "torque", "torque", heading, self.column)
        cell, heading = self.stored("pressure", number)
        if isinstance(cell, str) and plain_words(cell) == AS_PLANNED:
            same.add("pressure")
        elif cell is not None:
            pressures, units["pressure"] = self.pressures(cell, heading, self.column)
            self.of_each(pressures, wrenches, "pressures")
        links, gauges = (self.of_wrenches(words[name], name, wrenches, number) for name in ("link", "gauge"))
        day, clock = self.moment(number)
        boxes = {each.name: text for each in BOXES if each.of_a_pass and (text := self.text(each.name, number))}
        return Values(
            wrenches, links, gauges, words["pump"], pressures, torque, day, clock,
            self.text("by", number) if number else "", frozenset(same), tuple(units.items()),
            tuple(boxes.items()) if number else (),
        )  # fmt: skip

    def of_wrenches(self, text: str, name: str, wrenches: Sequence[str], number: int) -> tuple[str, ...]:
        """A link or gauge for all wrenches of the row, or one for each of them: a comma may stand in a name."""
        if len(wrenches) < 2:
            return (text,) if text else ()
        parts = _parts(text, "[;,+&]")
        self.column = self.fields.get((name, number), (self.column, None))[0]
        return parts if len(parts) == len(wrenches) else (text,) if text else ()

    def of_each(self, values: Sequence[object], wrenches: Sequence[str], name: str) -> None:
        """Refuse several values that are not one for each wrench. Raises InputError `record_counts_differ`."""
        if len(values) > 1 and wrenches and len(values) != len(wrenches):
            raise stop("record_counts_differ", name, count=len(values), known=tuple(wrenches))

    def pressures(self, cell: Cell, heading: Heading | None, column: int) -> tuple[tuple[float, ...], str]:
        """One pressure, or one for each wrench, and the unit they were typed in: 3150, 3200 psi."""
        if isinstance(cell, str) and len(parts := _numbers_apart(cell)) > 1:
            unit = next((split[1] for part in reversed(parts) if (split := split_number(part)) and split[1]), None)
            whole = [part if unit is None or _has_unit(part) else f"{part} {unit}" for part in parts]
            read = [self.number(part, "pump_pressure", "pressure", heading, column) for part in whole]
            return tuple(value for value, _ in read), read[0][1]
        value, unit_of = self.number(cell, "pump_pressure", "pressure", heading, column)
        return (value,), unit_of

    def number(self, cell: Cell, quantity: str, name: str, heading: Heading | None, column: int) -> tuple[float, str]:
        """A setting in SI and the unit it was typed in, which stands in its cell, heading or the column for units."""
        kind = QUANTITIES[quantity].kind
        unit = heading.unit if heading else None
        stated = self.text(f"{name}_unit")
        if stated:
            own = symbol(kind, stated)
            if unit and symbol(kind, unit) != own:
                raise stop("column_unit_doubled", quantity, heading=f"{heading.text if heading else ''}, {stated}")
            unit = own
        self.column = column
        value = read_number(cell, quantity, unit)
        typed = split_number(cell) if isinstance(cell, str) else None
        return value, symbol(kind, (typed[1] if typed else None) or unit or "")

    def moment(self, number: int) -> tuple[float, float]:
        """Day and hours of the day; NaN for what is not stated."""
        cell, _ = self.stored("date", number)
        day = clock = NAN
        if cell is not None:
            day, clock = _moment(cell, day_first=self.day_first)
        cell, _ = self.stored("time", number)
        if cell is not None:
            stated = _clock(cell)
            if clock == clock and abs(clock - stated) > 1e-6:
                raise stop("record_times_differ", "time")
            clock = stated
        return day, clock


def _moment(cell: Cell, *, day_first: bool | None = None) -> tuple[float, float]:
    """A date cell, which may hold a time too."""
    if isinstance(cell, datetime.datetime):
        clock = _hours(cell.time())
        return read_day(cell.date(), "date_of_work"), clock if clock else NAN
    match = _MOMENT.fullmatch(plain_text(cell)) if isinstance(cell, str) else None
    if match:
        return read_day(match[1], "date_of_work"), _clock(match[2])
    return read_work_day(cell, "date_of_work", day_first=day_first), NAN


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
