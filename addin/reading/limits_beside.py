"""A torque against the columns beside it that bound it: its smallest, its largest, and the stages on the way to it."""

import re
from collections.abc import Sequence

import numpy as np

from addin.cells.numbers import Cell
from addin.reading import physics
from addin.reading.column import letter
from addin.reading.governing import below_full
from addin.reading.grammar import BLOCK, hear
from addin.reading.heads import Head
from addin.reading.spellings import spelled, unit_of
from addin.reading.understood import CHECKED, NOT_USED, ColumnReading
from calc.findings import Finding

ROUNDED = 0.01
"""A torque may pass its bound by this share: both are rounded."""
STAGE_ROUNDED = 0.15
"""A stage may miss the share of the torque that its heading states by this share: small ones are rounded to tens."""
_LOWEST, _HIGHEST, _STAGE = "MINI", "MAXI", "STAGE"


def against_bounds(
    heads: Sequence[Head],
    readings: Sequence[ColumnReading],
    rows: Sequence[Sequence[Cell]],
    before: Sequence[ColumnReading] = (),
) -> list[Finding]:
    """The rows whose torque is above its largest, below its smallest or a stage, or of which a stage is another share
    than its heading says. `before` are the readings without a person's answers: where the person has said that another
    column is the torque than was read, no stage speaks against it. Who confirms columns confirms no rows.

    >>> heads = [Head(0, "nominal", "Torque Nm"), Head(1, "maxi", "Torque Nm")]
    >>> used = ColumnReading(0, "Torque Nm / nominal", "torque", "N·m", "sure")
    >>> beside = ColumnReading(1, "Torque Nm / maxi", None, None, "not used")
    >>> [(each.code, each.row) for each in against_bounds(heads, [used, beside], [[212, 223], [223, 212]])]
    [('torque_against_column', 1)]
    """
    by_place = {head.at: head for head in heads}
    targets = [reading for reading in readings if reading.used and reading.field == "torque"]
    if len(targets) != 1 or targets[0].at not in by_place:
        return []
    target = targets[0]
    chosen = bool(target.answered) and not any(
        each.at == target.at and each.field == "torque" and each.state not in (NOT_USED, CHECKED) for each in before
    )
    values = physics.numbers([_cell(row, target.at) for row in rows], "torque", target.unit)
    found: dict[int, Finding] = {}
    for reading in readings:
        head = by_place.get(reading.at)
        if (
            head is None
            or reading.state != NOT_USED
            or not (bound := _bound(head, by_place[target.at]))
            or (chosen and bound == _STAGE)
        ):
            continue
        unit = _unit(head, target.unit)
        limits = physics.numbers([_cell(row, reading.at) for row in rows], "torque", unit) if unit else None
        if limits is None:
            continue
        share = _stated_share(head) if bound == _STAGE else None
        if share is not None:
            off = np.abs(limits / (share * values) - 1) > STAGE_ROUNDED
            for i in np.flatnonzero(off & (limits > 0) & (values > 0)).tolist():
                facts = {"value": float(values[i]), "stage": float(limits[i]), "column": letter(reading.at), "said": share,
                         "heading": reading.heading, "share": float(limits[i] / values[i])}  # fmt: skip
                found.setdefault(i, Finding("torque_against_stage", "torque", facts, row=i))
            continue
        past = values > limits * (1 + ROUNDED) if bound == _HIGHEST else values < limits * (1 - ROUNDED)
        for i in np.flatnonzero(past & (limits > 0)).tolist():
            facts = {"value": float(values[i]), "limit": float(limits[i]), "column": letter(reading.at),
                     "heading": reading.heading, "side": "above" if bound == _HIGHEST else "below"}  # fmt: skip
            found.setdefault(i, Finding("torque_against_column", "torque", facts, row=i))
    return list(found.values())


def _cell(row: Sequence[Cell], at: int) -> Cell:
    return row[at] if at < len(row) else None


def _bound(head: Head, target: Head) -> str:
    """What a column is to the torque: its smallest, its largest, a stage, or "" for nothing."""
    concepts = hear(head.heard or head.text).concepts
    above = hear(head.above).concepts if head.above else frozenset[str]()
    blocked = (concepts | above) & BLOCK
    if re.fullmatch(r"\W*\d\d?\s*%\W*", head.text) and below_full(head.text):
        blocked |= {_STAGE}
    together = bool(head.above) and head.above == target.above
    if len(blocked) != 1 or not (together or "TORQUE" in concepts):
        return ""
    (only,) = blocked
    return only if only in (_LOWEST, _HIGHEST, _STAGE) else ""


def _stated_share(head: Head) -> float | None:
    """The share of the torque that the heading of a stage states: 0.3 of "1st / 30 %"."""
    said = re.findall(r"(?<![\d.,])(\d\d?)\s*(?:%|pct|percent)", head.text)
    return int(said[0]) / 100 if len(said) == 1 and said[0] != "0" else None


def _unit(head: Head, own: str | None) -> str | None:
    """The unit of a bound: its own where it is one of torque, else that of the torque; None where it is of another."""
    told = unit_of(head.unit.strip(" ()[]")) if head.unit else None
    for part in (head.text, head.above):
        told = told or spelled(part).unit
    if told is None or told.kind == "percent":
        return own
    return told.symbol if told.kind == "torque" and told.symbol else None
