"""Doubts that no column shows alone: the area of a stress, coarse threads above 1 in, rows of several flanges."""

import itertools
import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from addin.reading import physics
from addin.reading.evidence import number
from addin.reading.facts_in_cells import parts
from addin.reading.grammar import hear
from addin.reading.heads import CALCULATING
from addin.reading.notes import Notes
from addin.reading.seen import SeenColumn
from addin.reading.understood import ASKED, CHECKED, SURE, ColumnReading

_EIGHT = re.compile(
    r"8 ?-?UN\b|\b8 ?TPI|8 (?:threads|fios|hilos|filets|filetti|g(?:ä|ae)nge|draden|zwoj)", re.IGNORECASE
)
_EXCEPTION = re.compile(
    r"\b(?:except|excep?to|salvo|sauf|hormis|au(?:ß|ss)er|tranne|eccetto|behalve|uitgezonderd|utom|unntatt|undtagen|oprócz|kromě)\b",
    re.IGNORECASE,
)


def doubts_of_the_list(
    columns: Sequence[SeenColumn], readings: list[ColumnReading], notes: Notes
) -> list[ColumnReading]:
    """Doubts that no column shows alone: the area of a stress, coarse threads above 1 in, rows of several flanges."""
    threads = [i for i, r in enumerate(readings) if r.field == "thread" and r.state == SURE]
    text = " ".join(notes.lines)
    for i in threads:
        sizes = physics.stud_sizes(columns[i].values, readings[i].unit)
        coarse = re.search(r"\bUNC\b", text) and (not _EIGHT.search(text) or _EXCEPTION.search(text))
        if re.search(r"\bBSW\b|\bBSF\b|whitworth", text, re.IGNORECASE) or any(
            re.search(r"\d\s*W$|BSW|BSF", t) for c in columns for t in c.cells.texts
        ):
            readings[i] = replace(
                readings[i],
                state=ASKED,
                why="Whitworth threads or spanners are spoken of: are these inch sizes UN or Whitworth?",
            )
            continue
        sizes_said = [parts(t).get("thread", t) for t in columns[i].cells.texts]
        bare = [t for t in sizes_said if not re.search(r"UN|-\s*\d+\s*$|M\d|x|tpi", t, re.IGNORECASE)]
        stated = [t for t in sizes_said if re.search(r"UNC|UNF", t) and _above_one_inch(t)]
        above = [t for t in bare if (size := number(t)) is not None and 1 < size <= 4]
        if stated and above:
            readings[i] = replace(
                readings[i],
                state=ASKED,
                why=f"'{stated[0]}' names its series, '{above[0]}' does not: 8 threads per inch, or UNC too?",
            )
            continue
        if coarse and bare and np.nanmax(sizes.diameter, initial=0) > 0.0255:
            readings[i] = replace(
                readings[i],
                state=ASKED,
                why="the note says UNC, and there are studs above 1 in, where 8 threads per inch are usual: which is meant?",
            )
    known = ("studs", "rating", "size")  # "#" below "Flange", over classes, counts nothing
    many = [c.head.shown for c, r in zip(columns, readings, strict=True) if r.field not in known and _counts_flanges(c)]
    many += [c.head.shown for c, r in zip(columns, readings, strict=True) if _counts_rows_alike(c, r)]
    many += [text for c, r in zip(columns, readings, strict=True) if r.field != "remarks" and (text := _says_both(c))]
    for i, reading in enumerate(readings):
        if many and reading.field == "studs" and reading.state == SURE and not _EACH.search(reading.heading):
            readings[i] = replace(
                reading,
                state=ASKED,
                candidates=("studs", "none"),
                why=f"'{many[0]}' says that rows stand for several flanges: are these the studs of one flange, or of all?",
            )
        if reading.field == "stress" and reading.state == SURE and not _area_known(columns, readings, i, notes):
            others = [r for r in readings if r.field in ("load", "torque") and r.state == SURE and r.confirmed]
            if reading.confirmed and others:
                why = f"{reading.why}; its area stands nowhere, and '{others[0].heading}' states the same: never used, only compared"
                readings[i] = replace(reading, state=CHECKED, why=why)
                continue
            why = f"{reading.why}; on which area, tensile or root, stands nowhere"
            readings[i] = replace(reading, state=ASKED, candidates=("stress",), why=why, area_open=True)
    return _two_in_a_row(columns, readings)


def _two_in_a_row(columns: Sequence[SeenColumn], readings: list[ColumnReading]) -> list[ColumnReading]:
    """Two banners over the same names of thread or stud count: each row holds two joints, and none is planned by half."""
    groups: dict[str, dict[str, int]] = {}
    for i, column in enumerate(columns):
        if column.head.above and column.head.spans:
            groups.setdefault(column.head.above, {})[column.head.text.casefold()] = i
    for one, other in itertools.combinations(groups, 2):
        same = set(groups[one]) & set(groups[other])
        studs = [text for text in same if any(
            columns[groups[banner][text]].strength.get(name, 0.0) >= _NAMES
            for banner in (one, other) for name in ("thread", "studs")
        )]  # fmt: skip
        if len(same) < 2 or not studs:
            continue
        fields = {
            text: next(
                (
                    str(readings[groups[b][text]].field)
                    for b in (one, other)
                    if readings[groups[b][text]].field in _OF_TWO
                ),
                "",
            )
            for text in same
        }
        why = f"'{one}' and '{other}' {TWO_IN_A_ROW}; give each a row of its own"
        for text, i in ((text, groups[banner][text]) for text in same for banner in (one, other)):
            name = fields[text]
            if name:
                readings[i] = replace(
                    readings[i], field=name, state=ASKED, why=why, candidates=(name, "none"), also=(), unit_open=False
                )
    return readings


TWO_IN_A_ROW = "stand over the same columns: each row holds two joints"
_OF_TWO = (*CALCULATING - {"joint", "operation", "method"}, "size", "rating")
_NAMES = 0.4
"""How strongly a heading must name thread or stud count."""


def _above_one_inch(text: str) -> bool:
    """Whether a designation begins with an inch size above 1 in."""
    found = re.match(r"([1-4](?!\s*/)(?:\s*[- ]?\s*\d{1,2}/\d{1,2}|\.\d+)?)", text)
    size = number(found[1]) if found else None
    return size is not None and 1 < size <= 4


_EACH = re.compile(
    r"\b(?:ea|each|per|je|pro|par|cad)\b|/\s*(?:fl|joint|conn|cover|noz|man|unit|piece|flansch|bride|brida)",
    re.IGNORECASE,
)
"""A count that says it is one of each flange."""
_BOTH = re.compile(
    r"\bboth\b(?!\s+(?:faces?|nuts?|washers?|threads?))|\bin(?:let)?\s*(?:/|&|\+|and)\s*out(?:let)?\b|\bu/?s\s*(?:/|&|\+|and)\s*d/?s\b",
    re.IGNORECASE,
)
_OFTEN = 0.25


def _counts_flanges(column: SeenColumn) -> bool:
    """Whether a column says how many flanges its rows stand for, several of them somewhere."""
    heard = column.concepts | hear(f"{column.head.above} {column.head.text}").concepts
    counted = {"COUNT", "JOINT"} <= heard and not heard & {"STUD", "GASKET", "NUT", "TOOL", "WASHER", "THREAD"}
    if not ("MANYJOINTS" in heard or counted) or heard & {"STUD"}:
        return False
    return any(v > 1 and v == int(v) for v in column.cells.numbers.values())


def _counts_rows_alike(column: SeenColumn, reading: ColumnReading) -> bool:
    """Whether a column that is no field counts like joints: "Nos." over 1, 3, 2, beside the count of the studs."""
    values = list(column.cells.numbers.values())
    if column.heard.unknown or max(column.cells.texts.values(), default=0) < 2 or 1.0 not in values:
        return False  # 1, 2, 3 without one twice are running numbers
    if reading.used or column.concepts != {"COUNT", "NO"} or column.unit:
        return False
    whole = len(values) == len(column.cells.texts) and all(1 <= v <= _MOST_ALIKE and v == int(v) for v in values)
    return whole and any(v > 1 for v in values) and column.cells.filled >= 0.8 * column.cells.rows


_MOST_ALIKE = 12


def _says_both(column: SeenColumn) -> str:
    """A cell that says that its row stands for both flanges, where several rows of the list do; "" for none."""
    if column.concepts & {"NUT", "WASHER", "LUBE", "TURNED", "GASKET", "FACE"}:
        return ""
    found = [(text, count) for text, count in column.cells.texts.items() if len(text) <= _TAG and _BOTH.search(text)]
    total = sum(column.cells.texts.values())
    return found[0][0] if found and sum(count for _, count in found) >= _OFTEN * total else ""


_TAG = 30


def _area_known(columns: Sequence[SeenColumn], readings: Sequence[ColumnReading], at: int, notes: Notes) -> bool:
    if "area" in notes.facts or any(r.field == "area" and r.state == SURE for r in readings):
        return True
    return bool(area_of_heading(columns[at].head.shown)) or any(
        area_of_heading(r.heading) for r in readings if r.field in ("stress", "load", None)
    )


def area_of_heading(heading: str) -> str:
    """The stress area that a heading names: "tensile", "root" or "".

    >>> area_of_heading("Preload (psi, root)"), area_of_heading("As, in^2"), area_of_heading("σ target on As")
    ('root', 'tensile', 'tensile')
    """
    folded = heading.casefold()
    if re.search(r"\broot\b|\bcore\b|\bminor\b|\bA_?r\b", heading) or re.search(r"\broot\b", folded):
        return "root"
    return "tensile" if re.search(r"\btensile\b", folded) or re.search(r"\bA_?[st]\b", heading) else ""
