"""Doubts that no column shows alone: the area of a stress, coarse threads above 1 in, rows of several flanges."""

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from addin.reading import physics
from addin.reading.grammar import hear
from addin.reading.notes import Notes
from addin.reading.seen import SeenColumn
from addin.reading.understood import ASKED, CHECKED, SURE, ColumnReading


def doubts_of_the_list(
    columns: Sequence[SeenColumn], readings: list[ColumnReading], notes: Notes
) -> list[ColumnReading]:
    """Doubts that no column shows alone: the area of a stress, coarse threads above 1 in, rows of several flanges."""
    threads = [i for i, r in enumerate(readings) if r.field == "thread" and r.state == SURE]
    text = " ".join(notes.lines)
    for i in threads:
        sizes = physics.stud_sizes(columns[i].values, readings[i].unit)
        coarse = re.search(r"\bUNC\b", text) and not re.search(r"8 ?-?UN\b|\b8 ?TPI|8 threads", text, re.IGNORECASE)
        if re.search(r"\bBSW\b|\bBSF\b|whitworth", text, re.IGNORECASE) or any(
            re.search(r"\d\s*W$|BSW|BSF", t) for c in columns for t in c.cells.texts
        ):
            readings[i] = replace(
                readings[i],
                state=ASKED,
                why="Whitworth threads or spanners are spoken of: are these inch sizes UN or Whitworth?",
            )
            continue
        bare = [t for t in columns[i].cells.texts if not re.search(r"UN|-\s*\d+\s*$|M\d|x", t)]
        if coarse and bare and np.nanmax(sizes.diameter, initial=0) > 0.0255:
            readings[i] = replace(
                readings[i],
                state=ASKED,
                why="the note says UNC, and there are studs above 1 in, where 8 threads per inch are usual: which is meant?",
            )
    many = [
        c
        for c in columns
        if "MANYJOINTS" in (c.concepts | hear(f"{c.head.above} {c.head.text}").concepts)
        and any(v > 1 for v in c.cells.numbers.values())
    ]
    for i, reading in enumerate(readings):
        if many and reading.field == "studs" and reading.state == SURE:
            readings[i] = replace(
                reading,
                state=ASKED,
                candidates=("studs", "none"),
                why=f"'{many[0].head.shown}' says that rows stand for several flanges: are these the studs of one flange, or of all?",
            )
        if reading.field == "stress" and reading.state == SURE and not _area_known(columns, readings, i, notes):
            others = [r for r in readings if r.field in ("load", "torque") and r.state == SURE and r.confirmed]
            if reading.confirmed and others:
                why = f"{reading.why}; its area stands nowhere, and '{others[0].heading}' states the same: never used, only compared"
                readings[i] = replace(reading, state=CHECKED, why=why)
                continue
            why = f"{reading.why}; on which area, tensile or root, stands nowhere"
            readings[i] = replace(reading, state=ASKED, candidates=("stress",), why=why, area_open=True)
    return readings


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
