"""Notes that speak against the target that would be used: another column governs, or this one is for information."""

import re
from collections.abc import Sequence
from dataclasses import replace

from addin.reading.column import letter
from addin.reading.governing import mentions, of_its_kind
from addin.reading.heads import TARGETS, cut
from addin.reading.notes import Notes
from addin.reading.seen import SeenColumn
from addin.reading.spellings import symbol_of
from addin.reading.understood import ASKED, CHECKED, NOT_USED, PROPOSED, SURE, ColumnReading

_KIND_OF_UNIT = {"stress": "stress", "percent": "percent", "force": "load", "torque": "torque"}
_WORDS = {"torque": r"torques?|couples?|drehmomente?|moment\w*", "load": r"loads?|preloads?|forces?|tensions?|last|kraft",
          "stress": r"stress(?:es)?|spannung\w*|contrainte\w*", "percent": r"%|per ?cent\w*|yield"}  # fmt: skip

_OF_OTHERS = frozenset(("GASKET", "GSTRESS", "TOOL", "PRESS"))
"""Concepts of loads, stresses and pressures that are none of the studs."""


def set_by_notes(
    columns: Sequence[SeenColumn], readings: list[ColumnReading], notes: Notes
) -> list[ColumnReading]:  # fmt: skip
    """The target that a note names where another would be taken, proposed; a target that a note gives for information
    only, or beside which a note names another that is not known, is asked about and never sure.
    """
    used = [i for i, r in enumerate(readings) if r.field in TARGETS and r.state in (SURE, PROPOSED)]
    if not used:
        return readings
    group = [columns[i] for i in used]
    for said in notes.uses:
        named = [
            i for i in range(len(columns)) if _may_govern(columns[i], readings[i]) and mentions(said, columns[i], group)
        ]
        if named:
            return _governed(columns, readings, used, named, said)
    another = [said for said in notes.uses if _names_another(said, columns, readings, used)]
    if another:
        for i in used:
            why = f"{readings[i].why}; but the note says '{cut(another[0])}'"
            readings[i] = replace(readings[i], state=ASKED, candidates=(str(readings[i].field), "none"), why=why)
        return readings
    if any(
        mentions(said, columns[i], group) or of_its_kind(said, readings[i].field) for said in notes.uses for i in used
    ):
        return readings
    if len(used) == 1:
        (i,) = used
        others = [column for at, column in enumerate(columns) if at != i]
        told = [
            said for said in notes.infos if mentions(said, columns[i], others) or of_its_kind(said, readings[i].field)
        ]
        told = [said for said in told if not any(mentions(said, other, group) for other in others)]
        if told:
            why = f"{readings[i].why}; but the note says '{cut(told[0])}'"
            readings[i] = replace(readings[i], state=ASKED, candidates=(str(readings[i].field), "none"), why=why)
    return readings


_A_COLUMN = r"(?<!\w)(?:spalte|column|colonne|columna|coluna|colonna|kolom|kolumn|kolonne|sloupec|kolumna|sarake)(?!\w)"
_SPEAKS_OF_COLUMNS = re.compile(_A_COLUMN, re.IGNORECASE)
_COLUMN = re.compile(rf"{_A_COLUMN}\s+([A-Z]{{1,2}})(?!\w)", re.IGNORECASE)


def _names_another(
    said: str, columns: Sequence[SeenColumn], readings: Sequence[ColumnReading], used: Sequence[int]
) -> bool:  # fmt: skip
    """Whether a note that says what governs names a column of torques, loads or stresses that is not the target."""
    if any(cut(said) in readings[i].why for i in used):
        return False  # it has chosen the target
    letters = [found.upper() for found in _COLUMN.findall(said)]
    if letters:
        return letters[0] not in {letter(readings[i].at) for i in used}
    pool = [
        columns[at]
        for at, reading in enumerate(readings)
        if at in used or (reading.state == NOT_USED and _of_a_target(columns[at]))
    ]
    if len(pool) == len(used) or any(mentions(said, columns[i], pool) for i in used):
        return False
    return bool(_SPEAKS_OF_COLUMNS.search(said)) or any(mentions(said, column, pool) for column in pool)


def _of_a_target(column: SeenColumn) -> bool:
    """Whether a column holds torques, loads or stresses of the joint, a stage on the way to them among them."""
    kind = column.unit is not None and column.unit.kind in ("torque", "stress", "force")
    return (column.staged or kind) and not column.concepts & _OF_OTHERS


def _may_govern(column: SeenColumn, reading: ColumnReading) -> bool:
    """Whether a column that is not used holds numbers of a target under words that only set it aside as a residual."""
    unit = column.unit
    return (
        reading.state == NOT_USED
        and unit is not None
        and unit.kind in _KIND_OF_UNIT
        and "RESIDUAL" in column.concepts
        and not column.concepts & (_OF_OTHERS | {"RECORD", "OLD"})
        and column.cells.filled >= 0.5 * column.cells.rows
    )


def _governed(
    columns: Sequence[SeenColumn], readings: list[ColumnReading], used: Sequence[int], named: Sequence[int], said: str
) -> list[ColumnReading]:  # fmt: skip
    """The columns in use are compared with the one that a note names; where it names several, a person chooses."""
    kinds = {i: _KIND_OF_UNIT[columns[i].unit.kind] for i in named}  # type: ignore[union-attr]
    meant = [i for i in named if re.search(rf"(?<!\w)(?:{_WORDS[kinds[i]]})(?!\w)", said, re.IGNORECASE)] or list(named)
    why = f"the note says '{cut(said)}'"
    if len(meant) > 1:
        for i in used:
            readings[i] = replace(readings[i], state=ASKED, candidates=(str(readings[i].field), "none"), why=why)
        return readings
    (at,) = meant
    unit = symbol_of(columns[at].unit, columns[at].unit.kind) or "%"  # type: ignore[union-attr]
    readings[at] = replace(
        readings[at], field=kinds[at], unit=unit, state=PROPOSED, candidates=(kinds[at], "none"), also=(),
        why=f"{why}: what is to be left in the studs",
    )  # fmt: skip
    for i in used:
        readings[i] = replace(readings[i], state=CHECKED, why=f"another column governs: {why}")
    return readings
