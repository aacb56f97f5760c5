"""Rows of cells under known columns -> `Joints`, with the texts that only the cards need. One path for every host."""

import math
import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from addin.cells.dates import read_day
from addin.cells.headings import plain_words
from addin.cells.numbers import Cell, error_text, plain_text, read_number, stands_for_nothing
from addin.cells.texts import is_stop, read_thread, read_words
from addin.reading.column import Column
from addin.reading.fields import BY_NAME
from addin.reading.flange_rows import (
    against_any_flange,
    against_equipment,
    against_four,
    against_lengths,
    against_standard_flanges,
    from_standard_flanges,
)
from addin.reading.spoken_work import spoken
from calc.findings import Finding, InputError, stop
from calc.hardware.nuts import SERIES
from calc.plan.joints import NUMBER_COLUMNS, TEXT_COLUMNS, Joints, RowUnits, joints
from calc.quantities import QUANTITIES
from calc.units import factor, kinds_of, system

_OPERATIONS = {
    "break": "break", "break out": "break", "breakout": "break", "break open": "break",
    "open": "break", "opening": "break", "unbolt": "break", "break bolts": "break", "dismantle": "break",
    "break flange": "break", "mu test": "test make-up", "test mu": "test make-up", "mu final": "final make-up",
    "final mu": "final make-up", "final box up": "final make-up", "final bolt up": "final make-up",
    "final closure": "final make-up", "final tightening": "final make-up", "box up": "final make-up",
    "test make up": "test make-up", "make up for test": "test make-up", "test makeup": "test make-up",
    "final": "final make-up", "final make up": "final make-up", "final makeup": "final make-up",
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
_LIKELY = {
    "operation": (
        ("retighten", r"re-?(?:torque|tight)|hot (?:bolt|torque|tight)|retq|\brt\b"),
        ("test make-up", r"\btest\b|hydro"),
        (
            "break",
            r"\bbreak|\bb/?o\b|\bbr\b|\bopen|unbolt|dismant|remove|loosen|disassembl|\bstrip|\bdrop|\bl[oö]sen|d[ée]mont",
        ),
        (
            "final make-up",
            r"\bmake|\bm/?u(?:p)?\b|bolt[- ]?up|close|clos(?:e|ing)|box|reinst|final|assembl|tighten|torque|install|refit|montage|montier",
        ),
    ),
    "method": (
        ("other", r"tension|\bhyt\b|\bbts?\b|heat|stretch|impact|pneum|flog|slug|hammer|turn of nut|elong"),
        ("hydraulic", r"hydr|\bhyd\b|\bhtw\b|hyd\.? ?(?:wrench|torque)"),
        ("hand", r"\bhand|manual|click|ratchet|\bkey\b|spanner|by hand|torque wrench"),
    ),
}
"""Words that let a value of an operation or method be proposed, never taken."""


def known_word(name: str, text: str) -> str | None:
    """The operation or method that a text is in one of the ways that are sure, None for any other text.

    >>> known_word("operation", "Break-out"), known_word("method", "HT")
    ('break', None)
    """
    return _WORDS[name].get(plain_words(text.replace("-", " ")))


def likely_word(name: str, text: str) -> str | None:
    """The operation or method that a text is likeliest to be, None where it says nothing or two things.

    >>> likely_word("operation", "MU"), likely_word("operation", "BREAK/MAKE"), likely_word("method", "HT")
    ('final make-up', None, None)
    """
    found = [word for word, pattern in _LIKELY[name] if re.search(pattern, text, re.IGNORECASE)]
    if "test make-up" in found and "break" not in found:
        return "test make-up"
    if name == "method" and "other" in found:
        return "other" if "hand" not in found else None
    if not found:
        return spoken(name, text)[0] or None
    return found[0] if len(found) == 1 else None


_SKETCH = re.compile(r"(?:sketch\s*)?\(?[1-6]\)?\s*\(?[a-d]?\)?(?:\W.*)?", re.IGNORECASE)
US_UNITS = frozenset(
    (
        "psi",
        "ksi",
        "lbf",
        "kip",
        "lbf·ft",
        "lbf·in",
        "ozf·in",
        "tonf (long)",
        "tonf (short)",
        "tonf (long)/in²",
        "tonf (short)/in²",
    )
)


@dataclass(frozen=True, eq=False)
class JointRows:
    """A list as read: its joints, texts and numbers [SI] of fields by name, each row's units ("US" or "SI").

    In `texts` are all of them, in `numbers` those that no calculation needs.

    `flanges`: row -> the standard flange that its studs were taken from.
    """

    joints: Joints
    texts: dict[str, list[str]]
    units: list[str]
    flanges: dict[int, str] = field(default_factory=dict)
    numbers: dict[str, list[float]] = field(default_factory=dict)


_NOTHING = object()
_UNLIKE = frozenset((str, type(None)))
"""Kinds of cells that are never the same as one of another kind."""


def read_rows(
    columns: Sequence[Column],
    rows: Sequence[Sequence[Cell]],
    *,
    stale: Collection[tuple[int, int]] = (),
    as_percent: Collection[int] = (),
    units: str | None = None,
    constants: Mapping[str, Cell] | None = None,
    standard_flanges: str = "",
    faults: Sequence[Finding] = (),
    comments: Sequence[str] | None = None,
    stated: Collection[str] = (),
) -> JointRows:
    """Read rows under their columns; what cannot be read is a fault of its row.

    `stale` are cells (row, column place) whose formula has no stored value. `as_percent` are rows whose percent of
    yield stands in a cell formatted as %: 0.5 there means 50. `units` names the units of plain numbers under headings
    without one (a worksheet call); without it such numbers are refused. `constants` are cells by field that hold for
    every row that does not say itself. `faults`: those found before. `comments` are those of the cells of each row. `standard_flanges`: the standard by which a row
    without studs gets those of the flange of its size and class. `stated`: constants that hold only for rows that need
    them, a lubricant where no friction is stated, a wrench where the method is hydraulic.

    Raises InputError when a constant cannot be read.
    """
    count = len(rows)
    faults = [*faults]
    numbers: dict[str, Any] = {}
    texts: dict[str, list[str]] = {}
    for column in columns:
        if column.field is None:
            continue
        name = column.field
        read = _reader(column, BY_NAME[name].cells, units)
        number = _is_number(name)
        blank: Any = float("nan") if number else ""
        at, stale_here = column.at, {i for i, place in stale if place == column.at}
        cells: list[Cell] = [row[at] if at < len(row) else None for row in rows]
        if name == "percent":
            for i in as_percent:
                cell = cells[i]
                if isinstance(cell, (int, float)) and not isinstance(cell, bool):
                    cells[i] = f"{100 * cell!r} %"
        keys: list[Any] = cells
        known: dict[Any, Any] = {}
        if len({*map(type, cells)} - _UNLIKE) < 2:
            known = {cell: _read_cell(cell, read) for cell in {*cells}}
        else:  # 1, 1.0 and True are not the same cell
            keys = [*zip(map(type, cells), cells, strict=True)]
            known = {key: _read_cell(key[1], read) for key in {*keys}}
        faulty = {key: result for key, result in known.items() if isinstance(result, Finding)}
        taken = known | dict.fromkeys(
            (key for key, result in known.items() if result is _NOTHING or key in faulty), blank
        )
        values = [taken[key] for key in keys]
        for i in stale_here:
            values[i] = blank
        if faulty or stale_here:
            for i, key in enumerate(keys):
                if i in stale_here:
                    faults.append(Finding("stale_formula", name, row=i))
                elif key in faulty:
                    fault = faulty[key]
                    faults.append(Finding(fault.code, name, fault.facts, fault.level, i))
        (numbers if number else texts)[name] = values
    for name, cell in sorted((constants or {}).items(), key=lambda item: item[0] in ("lubricant", "wrench")):
        value, held = read_constant(name, cell), numbers if _is_number(name) else texts
        said = held.get(name, [""] * count)
        fits = _series_fits(str(value), texts.get("thread", [""] * count)) if name == "nut_series" else [True] * count
        fits = _needing(name, texts, numbers, count) if name in stated else fits
        held[name] = [
            value if (each == "" or each != each) and suits else each for each, suits in zip(said, fits, strict=True)
        ]  # a row's own word stays
    flanges: dict[int, str] = {}
    if standard_flanges:
        flanges, found = from_standard_flanges(columns, texts, numbers, count, standard_flanges)
        faults += found
    odd = against_standard_flanges(columns, texts, numbers, count)
    odd += against_any_flange(texts, numbers, count, {finding.row for finding in odd})
    odd += against_four(columns, texts, numbers, count, {finding.row for finding in odd})
    faults += [*odd, *against_equipment(texts, count)]
    faults += against_lengths(texts, count)
    own = {name: column for name, column in texts.items() if name in TEXT_COLUMNS}
    if comments:
        own["comments"] = list(comments)
    if "facing" in own:  # RF, RTJ and the like are for the card; the calculation knows the sketches of facings
        own["facing"] = [text if _SKETCH.fullmatch(text) else "" for text in own["facing"]]
    shown = _row_units(columns, rows, numbers, texts, units)
    more = {name: numbers.pop(name) for name in [*numbers] if name not in NUMBER_COLUMNS}
    made = joints(count, faults=faults, units=_in_si(shown), **numbers, **own)
    return JointRows(made, texts, shown, flanges, more)


def _needing(name: str, texts: Mapping[str, Sequence[str]], numbers: Mapping[str, Any], count: int) -> list[bool]:
    """Whether each row needs a lubricant or a wrench that is stated beside the list.

    >>> _needing("wrench", {"method": ["hydraulic", "hand", ""]}, {}, 3)
    [True, False, True]
    >>> _needing("lubricant", {"operation": ["break", ""]}, {"nut_factor": [float("nan"), 0.15]}, 2)
    [False, False]
    """
    blank = [""] * count
    if name == "wrench":
        return [method not in ("hand", "other") for method in texts.get("method", blank)]
    if name == "lubricant":  # what is on the threads that are opened, nobody states for all
        friction = [numbers.get(each, [math.nan] * count) for each in ("nut_factor", "thread_friction", "nut_friction")]
        said = [any(value == value for value in row) for row in zip(*friction, strict=True)]
        opened = [operation == "break" for operation in texts.get("operation", blank)]
        return [not (a or b) for a, b in zip(said, opened, strict=True)]
    return [True] * count


def _series_fits(series: str, sizes: Sequence[str]) -> list[bool]:
    """Whether a series of nuts that holds for the whole list is one of each row's threads: metric, or inch.

    >>> _series_fits("metric heavy hex", ["M36x4", "1 1/4-8 UN"]), _series_fits("heavy hex", ["M36x4", "7/8"])
    ([True, False], [False, True])
    """
    known = [name.casefold() for name in SERIES]
    if series.casefold() not in known:
        return [True] * len(sizes)
    metric = known.index(series.casefold()) >= 2
    return [(text.strip().upper().startswith("M") == metric) or not text for text in sizes]


def _read_cell(cell: Cell, read: Callable[[Cell], Any]) -> Any:
    """What a cell is read as: a value, `_NOTHING`, or the finding that it is refused with."""
    if cell is None:
        return _NOTHING
    try:
        return _NOTHING if stands_for_nothing(cell) else read(cell)
    except InputError as error:
        return error.finding


def _in_si(shown: Sequence[str]) -> RowUnits:
    """What the units of force and torque of each row are in SI."""
    made = []
    for kind in ("force", "torque"):
        known = {name: factor(kind, system(name).symbol(kind)) for name in set(shown)}
        made.append(np.array([known[name] for name in shown], dtype=float))
    return RowUnits(*made)


def _is_number(name: str) -> bool:
    """Whether a field is a column of numbers; a date is one too."""
    return name in NUMBER_COLUMNS or BY_NAME[name].kind is not None


def read_constant(name: str, cell: Cell) -> Any:
    """A value that holds for the whole list, as a cell of that field would be read.

    Raises InputError as the field's reader does, and `word_unknown`.

    >>> read_constant("method", "Hand torque"), read_constant("stress", "50 MPa")
    ('hand', 50000000.0)
    """
    value = _reader(Column(-1, name, name, None, ""), BY_NAME[name].cells, None)(cell)
    words = _WORDS.get(name)
    if words is not None and value not in words.values():
        raise stop("word_unknown", name, text=value, known=tuple(dict.fromkeys(words.values())))
    return value


def speaks(columns: Sequence[Column], row: Sequence[Cell]) -> bool:
    """Whether a row says something of a joint: a known operation or method, a thread, or a number that can be read."""
    for column in columns:
        if column.field is None or column.at >= len(row) or stands_for_nothing(row[column.at]):
            continue
        cells = BY_NAME[column.field].cells
        words = _WORDS.get(column.field)
        if cells == "date" or (cells == "words" and words is None):
            continue
        try:
            value = _reader(column, cells, None)(row[column.at])
        except InputError as error:
            if error.finding.code in ("unit_missing", "heading_unit_unknown"):
                return True
            continue
        if words is None or value in words.values():
            return True
    return False


def _reader(column: Column, cells: str, units: str | None) -> Callable[[Cell], Any]:
    name = str(column.field)
    if cells == "date":
        return lambda cell: read_day(cell, name)
    if cells == "thread":
        return lambda cell: _designation(cell, column.unit)
    if cells == "words":
        words = _WORDS.get(name)
        return lambda cell: _word(cell, name, words)
    kind = QUANTITIES[cells].kind
    unit = column.unit
    if unit is None and units and column.doubt is None:
        unit = system(units).symbol(kind) or None

    def read(cell: Cell) -> float:
        try:
            return read_number(cell, cells, unit)
        except InputError as error:
            if error.finding.code == "unit_missing" and column.doubt is not None:
                raise InputError(column.doubt) from None
            raise

    return read


_BARE_METRIC = re.compile(r"\d+(?:[.,]\d+)?(?:\s*[x×*]\s*\d+(?:[.,]\d+)?)?", re.IGNORECASE)
_OWN_SYSTEM = re.compile(r"^\s*M\s*\d|[\"″”]|''|\bUN|UN\b|\bin\b|inch|tpi", re.IGNORECASE)


def _says_its_system(cell: Cell) -> bool:
    """Whether a thread cell is metric or inch by itself; what is no text fails in its own way."""
    return not isinstance(cell, str) or error_text(cell) is not None or _OWN_SYSTEM.search(cell) is not None


def _designation(cell: Cell, unit: str | None) -> str:
    """A thread cell as the designation it stands for: 24 under mm is M24, 1.25 under in is 1 1/4 in."""
    if is_stop(cell):
        raise stop("other_stop", "thread", text=str(cell)[6:])
    text = plain_text(cell)
    if unit == "mm" and _BARE_METRIC.fullmatch(text) and not isinstance(cell, bool):
        cell = f"M{text}"
    elif unit not in (None, "in") and not (unit == "mm" and _says_its_system(cell)):
        raise stop("thread_unit", "thread", text=text, unit=unit)
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
    places = {name: column for name, column in places.items() if name in numbers}
    threads_ = texts.get("thread", [""] * count)
    found = ["SI" if text[:1] in ("M", "m") else "US" for text in threads_]
    for name, column in places.items():  # the last of several that a row has
        own, at = "US" if column.unit in US_UNITS else "SI", column.at
        for i, value in enumerate(numbers[name]):
            if value != value:  # not a number: the row has none
                continue
            cell = rows[i][at]
            unit = _unit_in(cell) if isinstance(cell, str) else None
            if unit is not None:
                found[i] = "US" if unit in US_UNITS else "SI"
            elif column.unit is not None:
                found[i] = own
            else:
                found[i] = "SI" if threads_[i][:1] in ("M", "m") else "US"
    return found


def _unit_in(cell: Cell) -> str | None:
    from addin.cells.numbers import split_number
    from calc.units import symbol

    if not isinstance(cell, str):
        return None
    parts = split_number(cell)
    if parts is None or parts[1] is None:
        return None
    kinds = kinds_of(parts[1])
    return symbol(kinds[0], parts[1]) if kinds else None
