"""A column that names the series of the threads beside it: UNC, 8UN, UNF."""

import re
from collections.abc import Sequence
from dataclasses import replace

from addin.reading.seen import SeenColumn
from addin.reading.understood import NOT_USED, PITCH, SURE, ColumnReading

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
