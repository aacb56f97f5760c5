"""Cells that say which work is meant, whatever stands above them: operations and methods in the languages of lists."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache, lru_cache

from addin.reading.held_words import OTHER, promised
from addin.reading.seen import SeenColumn
from addin.reading.spellings import unaccented
from addin.reading.tables import table
from addin.reading.understood import NOT_USED, PROPOSED, ColumnReading, shown_name

WORKS = ("operation", "method")
SHARE = 0.6
"""The share of a column's cells that must say which work is meant before it is asked about. Judgement, no source."""


@cache
def _words() -> Mapping[str, Sequence[tuple[str, re.Pattern[str], bool]]]:
    found: dict[str, list[tuple[str, re.Pattern[str], bool]]] = {}
    for name, meaning, pattern, note in table("work_words.csv"):
        found.setdefault(name, []).append((meaning, re.compile(f"(?:{pattern})"), note == "own"))
    return found


@cache
def _any_word(name: str) -> re.Pattern[str]:
    """All words of a field as one pattern."""
    return re.compile("|".join(pattern.pattern for _, pattern, _ in _words().get(name, ())))


@lru_cache(maxsize=16384)
def spoken(name: str, text: str) -> tuple[str, bool]:
    """The operation or method that a whole cell names, "" for none, and whether its words can mean little else.

    >>> spoken("operation", "Öffnen"), spoken("operation", "BOLT UP"), spoken("operation", "open"), spoken("method", "von Hand")
    (('break', True), ('final make-up', True), ('break', False), ('hand', True))
    >>> spoken("operation", "break and make-up"), spoken("operation", "Scaffold")
    (('', False), ('', False))
    """
    plain = " ".join(unaccented(text).split()).strip(" .!;,:()")
    if len(plain) > 40 or not _any_word(name).fullmatch(plain):
        return "", False  # as nearly every text
    found = {(meaning, own) for meaning, pattern, own in _words().get(name, ()) if pattern.fullmatch(plain)}
    if len({meaning for meaning, _ in found}) != 1:
        return "", False
    return next(iter(found))[0], any(own for _, own in found)


def proposed_by_cells(columns: Sequence[SeenColumn], readings: Sequence[ColumnReading]) -> list[ColumnReading]:
    """Where no column is the operation or the method, the one whose cells say it is proposed, whatever its heading."""
    out = list(readings)
    for name in WORKS:
        if any(reading.field == name and reading.state != NOT_USED for reading in out):
            continue
        if (at := _all_say_how(name, columns, out)) is not None:
            texts = ", ".join(columns[at].cells.texts)[:60]
            field = str(out[at].field)
            why = f"its cells all say how it is tightened ({texts}), whatever its heading says"
            named = (name, field, "none")
            out[at] = replace(out[at], field=name, state=PROPOSED, candidates=named, why=why, unit=None, also=())
            continue
        shares = {
            at: _share(name, column)
            for at, (column, reading) in enumerate(zip(columns, out, strict=True))
            if (reading.field is None or reading.state == NOT_USED)
            and promised(reading.heading) == OTHER
            and not _of_a_status(column)
        }
        best = max(shares, key=lambda at: shares[at], default=None)
        if best is None or shares[best] < SHARE:
            continue
        said = ", ".join(dict.fromkeys(text for text in columns[best].cells.texts if spoken(name, text)[0]))
        why = f"its cells say which {shown_name(name)} is meant ({said[:60]}), whatever its heading says"
        out[best] = replace(out[best], field=name, state=PROPOSED, candidates=(name, "none"), why=why, unit=None)
    return out


_SHOWN_ONLY = frozenset(("equipment", "plant_area", "remarks", "flange_kind"))


def _all_say_how(name: str, columns: Sequence[SeenColumn], readings: Sequence[ColumnReading]) -> int | None:
    """The one column of texts for cards whose cells all begin with a method, None for none: "Equipment: hydraulic"."""
    if name != "method":
        return None
    found = [
        at
        for at, (column, reading) in enumerate(zip(columns, readings, strict=True))
        if reading.field in _SHOWN_ONLY
        and reading.used
        and column.cells.filled >= 0.5 * column.cells.rows
        and column.cells.texts
        and all(_begins_with_method(text) for text in column.cells.texts)
    ]
    return found[0] if len(found) == 1 else None


def _begins_with_method(text: str) -> bool:
    words = text.split()
    return bool(spoken("method", text)[0]) or (len(words) > 1 and spoken("method", words[0])[1])


_STATES = frozenset(("open", "closed", "complete", "completed", "done", "in progress", "pending", "hold", "ok", "n/a"))


def _of_a_status(column: SeenColumn) -> bool:
    """Whether cells under a word for a check say how far the work is: open, closed, done."""
    texts = {text.casefold() for text in column.cells.texts}
    return "CHECK" in column.concepts and len(texts) > 1 and texts <= _STATES


def _share(name: str, column: SeenColumn) -> float:
    texts = column.cells.texts
    said = sum(count for text, count in texts.items() if spoken(name, text)[0])
    return said / max(1, column.cells.filled) if column.cells.filled >= 0.5 * column.cells.rows else 0.0
