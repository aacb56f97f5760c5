"""A column that names the series of the threads beside it (UNC, 8UN, UNF), and sizes of studs taken for those of pipes."""

import re
from collections.abc import Sequence
from dataclasses import replace

from addin.reading.seen import SeenColumn
from addin.reading.understood import NOT_USED, PITCH, PROPOSED, SURE, ColumnReading

SHARE = 0.6
"""The share of a column's cells that must name a series. Judgement, no source."""
_SERIES = re.compile(r"(?:(\d{1,2})\s*-?\s*)?(UN(?:RC|RF|JC|JF|EF|C|F|S|R|J)?)(?:\s*-?\s*[123][AB])?", re.IGNORECASE)
_OTHER = re.compile(r"B\.?S\.?[WFP]\.?|whitworth|acme|npt|trapez\w*|tr", re.IGNORECASE)


def series_of(text: str) -> str:
    """The series that a cell names as it stands behind a size, "" for none; another form of thread as it is written.

    >>> series_of("UNC"), series_of("8-UN"), series_of("8 UN 2A"), series_of("BSW"), series_of("coarse"), series_of("8")
    ('UNC', '8UN', '8UN', 'BSW', '', '')
    """
    plain = text.strip(" .()")
    if found := _SERIES.fullmatch(plain):
        return (found[1] or "") + found[2].upper()
    return plain if _OTHER.fullmatch(plain) else ""


def series_beside_thread(columns: Sequence[SeenColumn], readings: Sequence[ColumnReading]) -> list[ColumnReading]:
    """Where a thread has no pitch in a column of its own, a column of series that nobody reads belongs to it."""
    out = list(readings)
    if not any(each.field == "thread" for each in out) or any(each.field == PITCH for each in out):
        return out
    for at, (column, reading) in enumerate(zip(columns, out, strict=True)):
        texts = column.cells.texts
        named = sum(count for text, count in texts.items() if series_of(text))
        if (reading.field is None or reading.state == NOT_USED) and named >= max(1, SHARE * column.cells.filled):
            why = "its cells name the series of the thread beside it"
            out[at] = replace(reading, field=PITCH, state=SURE, candidates=(PITCH,), why=why, unit=None)
            break
    return out


_NO_PIPE = re.compile(r"(?:[123][ -])?[1357]/8|[12][ -]3/4|2[ -]1/4")
"""Sizes in inches that studs have and pipes have not: 5/8, 7/8, 1 1/8, 1 3/8, 1 3/4, 2 1/4 ... Nominal sizes of pipe are
those of ASME B36.10 (from memory).
"""
_SMALL = frozenset(("1/8", "3/8"))


def stud_taken_for_size(columns: Sequence[SeenColumn], readings: Sequence[ColumnReading]) -> list[ColumnReading]:
    """Where no column is the thread, one read as size whose cells are no sizes of pipes is proposed as the thread."""
    out = list(readings)
    if any(each.field == "thread" for each in out) or not any(each.field == "studs" for each in out):
        return out
    for at, (column, reading) in enumerate(zip(columns, out, strict=True)):
        texts = {text.strip(' "\u2033\u201d'): count for text, count in column.cells.texts.items()}
        of_studs = sum(count for text, count in texts.items() if _NO_PIPE.fullmatch(text) and text not in _SMALL)
        if reading.field == "size" and reading.state != NOT_USED and of_studs >= 0.25 * max(1, column.cells.filled):
            why = "no column is the thread, and studs have these sizes where pipes have not"
            out[at] = replace(reading, field="thread", state=PROPOSED, candidates=("thread", "size"), why=why)
            break
    return out
