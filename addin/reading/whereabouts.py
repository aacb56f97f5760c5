"""Columns that say where a joint is without naming it for sure: they are shown on cards and calculate nothing."""

from collections.abc import Sequence
from dataclasses import replace

from addin.reading.grammar import BLOCK, hear
from addin.reading.seen import SeenColumn
from addin.reading.understood import NOT_USED, SURE, ColumnReading, shown_name

_PLACES = frozenset(("EQUIP", "WHERE", "AREA_P", "SERVICE"))
_OTHERS = frozenset(
    ("GASKET", "STUD", "TOOL", "NUT", "THREAD", "LUBE", "DUTY", "METHOD", "OPERATION", "TORQUE", "LINE")
)
_SHORT = 9
_REPEATED = 0.6
"""Values that repeat so much name an area of the plant; a column with more different ones names equipment."""


def name_whereabouts(columns: Sequence[SeenColumn], readings: list[ColumnReading]) -> list[ColumnReading]:
    """Equipment and plant area among columns that hold no field, where the list has no other column for them."""
    taken = {reading.field for reading in readings if reading.state != NOT_USED}
    for wanted in ("equipment", "plant_area"):
        if wanted in taken:
            continue
        for i, column in enumerate(columns):
            concepts = column.concepts - {"DUTY"} if "AREA_P" in column.concepts else column.concepts
            if readings[i].state != NOT_USED or not concepts & _PLACES or concepts & (BLOCK | _OTHERS):
                continue
            if not column.heard.explained or column.unit is not None or column.cells.filled < 0.5 * column.cells.rows:
                continue
            if "ITEMNO" in concepts and column.cell.get("equipment", -1.0) < 0.5:
                continue
            if column.cell.get(wanted, 0.0) <= -0.9 or wanted != _of(column):
                continue
            why = f"'{column.head.shown}' says where the joint is; shown as {shown_name(wanted)}"
            readings[i] = replace(readings[i], field=wanted, state=SURE, candidates=(wanted,), why=why)
            break
    return readings


def _of(column: SeenColumn) -> str:
    total = sum(column.cells.texts.values())
    if not total:
        return ""
    machines = sum(n for text, n in column.cells.texts.items() if "EQUIP" in hear(text).concepts)
    numeric = sum(n for text, n in column.cells.texts.items() if text in column.cells.numbers) > 0.5 * total
    repeated = len(column.cells.texts) / total <= _REPEATED
    short = sum(n for text, n in column.cells.texts.items() if len(text) <= _SHORT) > 0.5 * total
    if machines > 0.5 * total:
        return "equipment"
    if column.concepts & {"WHERE", "AREA_P"} and (short or (repeated and "AREA_P" in column.concepts)):
        return "plant_area" if repeated or not numeric else ""
    return "" if numeric else "equipment"
