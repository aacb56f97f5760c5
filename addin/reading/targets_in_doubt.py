"""A target that what stands around it speaks against: another unit, a factor on it, a prohibition, larger numbers behind it."""

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from addin.reading.column import letter
from addin.reading.evidence import number
from addin.reading.heads import TARGETS, cut
from addin.reading.laws import noted_unit
from addin.reading.notes import Notes
from addin.reading.seen import SeenColumn
from addin.reading.spellings import symbol_of
from addin.reading.understood import ASKED, SURE, ColumnReading, shown_name
from calc.quantities import QUANTITIES

_WHAT = {
    "torque": r"(?:torques?|values?|figures?|drehmomente?|momente?|couples?|pares|coppie|torks?)",
    "load": r"(?:loads?|preloads?|forces?|tensions?|values?|figures?)",
    "stress": r"(?:stress(?:es)?|values?|figures?)",
    "percent": r"(?:percentages?|values?|figures?)",
}
_MORE = r"(?:increas|rais|reduc|decreas|lower|multipl|scal|erhöh|erhoeh|verminder|reduzier|augment|réduire|aument|reducir|ridurre)\w*"
_ON_THE_WAY = re.compile(
    r"(?<!\w)(?:pass\w*|stages?|steps?|increments?|snug|first|1st|2nd|stufe\w*|gang|passe\w*|etapas?|passo)(?!\w)"
    r"|\d\s*%?\s*(?:[-/,–]|then|and)\s*\d+\s*%|(?<!\w)(?:if|where|when|unless|falls|wenn|never|do not|don't)(?!\w)",
    re.IGNORECASE,
)
"""What is said of passes, or of some joints only, changes nothing that all rows have."""
_LEAST_RATIO, _MOST_RATIO = 1.05, 6.0
"""Between what a pass may be smaller than the next one, or than the full torque. Judgement, no source."""


def targets_in_doubt(
    columns: Sequence[SeenColumn], readings: Sequence[ColumnReading], rows: Sequence[Sequence[Any]], notes: Notes
) -> list[ColumnReading]:  # fmt: skip
    """Targets that were sure, asked about where a note or the columns behind them speak against them."""
    out = list(readings)
    taken = {column.head.at for column in columns}
    for i, reading in enumerate(readings):
        if reading.field not in TARGETS or reading.state != SURE:
            continue
        doubt = _by_notes(columns[i], reading, notes) or _behind(columns[i], reading, rows, taken)
        if doubt:
            name = str(reading.field)
            out[i] = replace(reading, state=ASKED, candidates=(name, "none"), why=f"{reading.why}; but {doubt}")
    return out


def _by_notes(column: SeenColumn, reading: ColumnReading, notes: Notes) -> str:
    """A note that names another unit than the heading does, a factor on the values, or forbids them."""
    name = str(reading.field)
    kind = QUANTITIES[name].kind
    own, noted = symbol_of(column.unit, kind), noted_unit(kind, notes)
    if own is not None and noted is not None and noted != own:
        which = {"torque": "torque", "stress": "stress", "force": "force"}[kind]
        return f"its heading says {own}, and the note says '{cut(notes.units[which].words)}'"
    what = _WHAT[name]
    forbidden = re.compile(
        rf"(?<!\w)(?:do not|don'?t|never|must not)\s+(?:use|apply|set)\s+(?:(?:the|these|any|listed|above|below|shown)\s+)*"
        rf"(?:{what}(?!\w)(?!\s+(?:above|below|over|under|up|from|in|of|for|on|with|without|until|before|after|if|when)\b)"
        rf"|column\s+{letter(reading.at)}(?!\w))",
        re.IGNORECASE,
    )
    factor = re.compile(
        rf"(?<!\w){_MORE}[^.;|]{{0,30}}?(?<!\w){what}(?!\w)[^.;|]{{0,20}}?\d+(?:[.,]\d+)?\s*(?:%|x\b)?"
        rf"|(?<!\w){what}(?!\w)[^.;|]{{0,20}}?(?:to be|must be|are to be|is to be|shall be)\s+{_MORE}"
        rf"|\d+\s*%\s+of\s+(?:the\s+)?(?:listed|stated|given|tabulated|shown|above|below)\s+{what}(?!\w)",
        re.IGNORECASE,
    )
    total = re.compile(
        rf"(?<!\w){what}\s+(?:are|is)\s+(?:the\s+)?totals?\b|(?<!\w)total\s+of\s+all\s+(?:bolts|studs)", re.IGNORECASE
    )
    before_gear = re.compile(r"(?<!\w)input\s+(?:side\s+)?of\s+(?:the\s+)?(?:multiplier|gear)", re.IGNORECASE)
    for said in notes.lines:
        if forbidden.search(said) or before_gear.search(said) or (name == "load" and total.search(said)):
            return f"the note says '{cut(said)}'"
        if factor.search(said) and not _ON_THE_WAY.search(said):
            return f"the note says '{cut(said)}'"
    return ""


def _behind(column: SeenColumn, reading: ColumnReading, rows: Sequence[Sequence[Any]], taken: set[int]) -> str:
    """Columns without a heading behind a torque or load that hold larger numbers in every row: it may be a pass."""
    if reading.field not in ("torque", "load"):
        return ""
    at, bare = reading.at + 1, [_number(value) for value in column.values]
    while at not in taken:
        there = [_number(row[at]) if at < len(row) else np.nan for row in rows]
        ratio = np.array(there) / np.array(bare)
        ratio = ratio[~np.isnan(ratio)]
        if len(ratio) < 0.6 * max(1, len(rows)):
            return ""
        if ((ratio >= _LEAST_RATIO) & (ratio <= _MOST_RATIO)).mean() > 0.8:
            what = shown_name(str(reading.field))
            return f"column {letter(at)} behind it has no heading and holds larger numbers: is this a pass, or the full {what}?"
        at += 1
    return ""


def _number(value: Any) -> float:
    found = None if value is None or isinstance(value, bool) else number(str(value))
    return found if found else np.nan
