"""Two columns that both name one fact of a joint and say different things of it: which holds is asked, never taken."""

import math
import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from addin.cells.numbers import plain_text
from addin.reading import physics
from addin.reading.assignment import SLOTS
from addin.reading.evidence import number
from addin.reading.facts_in_cells import parts
from addin.reading.grammar import BLOCK
from addin.reading.heads import CALCULATING, cut
from addin.reading.seen import RIVAL, SeenColumn
from addin.reading.understood import ASKED, NOT_USED, PROPOSED, SURE, ColumnReading, shown_name

_ONE_OF_A_JOINT = CALCULATING - SLOTS.keys() - {"joint", "operation", "method", "date"}
"""Facts of which a row has one; of days it may have several, and its certificates are checked against one of them."""
_NAMED, _PLAINLY, _LIKE, _FILLED = 0.6, 0.85, 0.2, 0.3
"""How strongly a heading must name the fact where the cells look like it, and where they may not; how well the cells
must look like it; the share of rows that say it. Judgement, no source.
"""
_FRICTION = ("nut_factor", "thread_friction", "nut_friction")
_ANOTHER = {
    "thread": BLOCK | {"GASKET", "COUNT", "NO"},
    "percent": BLOCK - {"YIELD"},
    "across_flats": BLOCK - {"OTHERDIM"},
}
"""What makes a column another thing than a twin: "Bolt nos." over "1-16" are no sizes, "% yield" is a percentage."""


def twins_asked(
    columns: Sequence[SeenColumn], readings: Sequence[ColumnReading], hidden: frozenset[int] = frozenset()
) -> list[ColumnReading]:  # fmt: skip
    """Both columns of a fact that a row has once are asked about where one is not used and says another thing.

    Where both say the same in every row, and where the other is hidden, nothing is asked.
    """
    out = list(readings)
    for i, reading in enumerate(readings):
        name = str(reading.field)
        if name not in _ONE_OF_A_JOINT or reading.state not in (SURE, PROPOSED):
            continue
        for j, other in enumerate(readings):
            if j == i or other.state != NOT_USED or other.field or columns[j].head.at in hidden:
                continue
            less = columns[i].strength.get(name, 0.0) - columns[j].strength.get(name, 0.0)
            if less > RIVAL and name not in _FRICTION:
                continue  # "Qty" beside "Number of studs"
            if not _named(columns[j], name) or (said := _against(columns[i], columns[j], name, reading.unit)) is None:
                continue
            why = f"'{cut(reading.heading)}' and '{cut(other.heading)}' both name {shown_name(name)}, and a row has"
            why += f" '{cut(said[0], 20)}' in one and '{cut(said[1], 20)}' in the other: which column holds?"
            out[i] = replace(out[i], state=ASKED, candidates=(name, "none"), why=why)
            out[j] = replace(other, field=name, state=ASKED, candidates=("none", name), why=why)
    return out


def _named(column: SeenColumn, name: str) -> bool:
    """Whether a column reads as a fact as well as the one that is used, and as no other."""
    cells, strength, like = column.cells, column.strength.get(name, 0.0), column.cell.get(name, 0.0)
    likeliest = max(column.score.get(each, -9.0) for each in _ONE_OF_A_JOINT)
    return (
        column.score.get(name, -9.0) >= likeliest
        and column.explained
        and not column.concepts & _ANOTHER.get(name, BLOCK | {"GASKET"})
        and ((strength >= _NAMED and like >= _LIKE) or (strength >= _PLAINLY and like >= -_LIKE))
        and name not in column.against
        and cells.filled >= _FILLED * max(1, cells.rows)
    )


def _against(one: SeenColumn, other: SeenColumn, name: str, unit: str | None) -> tuple[str, str] | None:
    """What the first row with two different facts says in both columns."""
    for mine, theirs in zip(one.values, other.values, strict=True):
        texts = [_fact(cell, name) for cell in (mine, theirs)]
        if all(texts) and _differ(texts[0], texts[1], name, unit):
            return texts[0], texts[1]
    return None


def _fact(cell: Any, name: str) -> str:
    text = "" if cell is None else plain_text(str(cell))
    return parts(text).get(name, text)


def _differ(one: str, other: str, name: str, unit: str | None) -> bool:
    """Whether two texts state different things; one that says more than the other states the same."""
    a, b = _folded(one), _folded(other)
    if not a or not b or a == b:
        return False
    if name == "thread":
        first, second = physics.stud_sizes([one, other], unit).diameter.tolist()
        if not (math.isnan(first) or math.isnan(second)):
            return abs(first - second) > 1e-5 or ("x" in a and "x" in b)
    first_number, second_number = number(one), number(other)
    if first_number is not None and second_number is not None:
        return not math.isclose(first_number, second_number, rel_tol=1e-9)
    return a not in b and b not in a


def _folded(text: str) -> str:
    return re.sub(r"[^\w.,/%]|(?<=M)(?=\d)", "", text).casefold().replace("×", "x")
