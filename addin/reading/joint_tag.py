"""Which column names the joint."""

import re
from collections.abc import Sequence
from dataclasses import replace

from addin.reading.grammar import BLOCK
from addin.reading.seen import SeenColumn, says_nothing
from addin.reading.understood import ASKED, NOT_USED, PROPOSED, SURE, ColumnReading


def _parted_numbers(columns: Sequence[SeenColumn], counted: Sequence[int]) -> bool:
    """Whether numbers name by themselves: "1.1", "1.2", "2.1" are no running numbers."""
    texts = [text for i in counted for text in columns[i].cells.texts]
    return bool(texts) and sum(re.fullmatch(r"\d+[.\-/]\d+[a-z]?", text) is not None for text in texts) > 0.6 * len(
        texts
    )


_FIRST_COLUMNS = 3
"""Columns from the left among which one without a known word may be the tag."""


def _unique(columns: Sequence[SeenColumn], *places: int) -> float:
    rows = [tuple(str(columns[i].values[k]) for i in places) for k in range(len(columns[places[0]].values))]
    rows = [row for row in rows if any(cell != "None" for cell in row)]
    return len(set(rows)) / len(rows) if rows else 0.0


def name_joint(columns: Sequence[SeenColumn], readings: list[ColumnReading]) -> list[ColumnReading]:
    """The column that names the joint, sure where its heading says joint and its cells tell all rows apart.

    Unique tags win over a description, a description of the joint over a running number and over the tag of the machine;
    without any of them the likeliest is proposed.
    """
    tagged = _tagged(columns, readings)
    found = _described(columns, [*tagged])
    at = [i for i, r in enumerate(found) if r.field == "joint" and r.state == PROPOSED]
    for i in at:
        if _speaks(columns[i]) and "its cells describe joints" not in found[i].why:
            why = f"its cells describe joints ({', '.join(columns[i].cells.first[:2])}); {found[i].why}"
            found[i] = replace(found[i], why=why)
    if len(at) == 1 and _surely(columns, found, at[0], described=found[at[0]] != tagged[at[0]]):
        i = at[0]
        why = f"{found[i].why}; with what stands beside it, it tells all rows apart"
        found[i] = replace(found[i], state=SURE, why=why)
    return found


_OF_PARTS = frozenset(("GASKET", "STUD", "NUT", "TOOL", "WORKORDER", "OPERATION", "WHERE"))
_SAY = 0.5
"""Share of cells that must speak of flanges, covers, nozzles and their like in a description of joints."""
_MACHINES = ("equipment", "line", "plant_area")


def _apart(columns: Sequence[SeenColumn], readings: Sequence[ColumnReading], i: int) -> bool:
    """Whether a column tells all rows apart, alone or with machine, place and operation beside it."""
    beside = [k for k, r in enumerate(readings) if r.field in (*_MACHINES, "operation") and r.state == SURE and k != i]
    return _unique(columns, i) > 0.99 or (bool(beside) and _unique(columns, i, *beside) > 0.99)


def _speaks(column: SeenColumn) -> bool:
    return column.cell.get("joint_words", -1.0) >= 0.95 * _SAY


def _described(columns: Sequence[SeenColumn], readings: list[ColumnReading]) -> list[ColumnReading]:
    """A description of the joint under a heading that says so, where a number, a place or a machine was taken for it."""
    now = [i for i, r in enumerate(readings) if r.field == "joint" and r.state in (SURE, PROPOSED, ASKED)]
    if len(now) > 1 or (now and readings[now[0]].state == SURE and columns[now[0]].cell.get("joint", -1.0) >= 0.1):
        return readings
    if now and _speaks(columns[now[0]]):
        return readings
    weak = not now or (
        columns[now[0]].cell.get("joint", -1.0) < 0.5
        or (columns[now[0]].concepts & {"EQUIP", "PAPER"} and not columns[now[0]].concepts & {"JOINT", "ITEMNO"})
    )
    free = (None, "joint", "equipment", "gasket", "facing", "stud_condition", "remarks", "plant_area", "flange_kind")
    told = [
        i
        for i, c in enumerate(columns)
        if weak
        and i not in now
        and readings[i].field in free
        and _speaks(c)
        and ("JOINT" in c.concepts or not now)
        and not (now and "SERVICE" in c.concepts)
        and not c.concepts & (BLOCK - {"PAPER"})
        and _apart(columns, readings, i)
    ]
    if not told:
        return readings
    i = max(told, key=lambda k: ("JOINT" in columns[k].concepts, columns[k].cell["joint_words"]))
    why = f"its cells describe joints ({', '.join(columns[i].cells.first[:2])}) and tell all rows apart"
    readings[i] = replace(
        readings[i], field="joint", state=PROPOSED, candidates=("joint",), unit=None, why=why, also=()
    )
    for k in now:
        machine = "EQUIP" in columns[k].concepts and columns[k].cell.get("equipment", -1.0) >= 0.5
        readings[k] = replace(
            readings[k],
            field="equipment" if machine else None,
            state=SURE if machine else NOT_USED,
            candidates=("equipment",) if machine else (),
            why="the tag of the machine; the joint is described beside it"
            if machine
            else "the joint is described beside it",
        )
    return readings


def _surely(
    columns: Sequence[SeenColumn], readings: Sequence[ColumnReading], i: int, *, described: bool
) -> bool:  # fmt: skip
    """Whether a proposed joint needs no look: named as joint, flange or item, unlike other columns, telling all rows apart.

    `described`: its cells alone spoke for it; then a number of its own in every row is as good a name.
    """
    column = columns[i]
    if not column.heard.explained or column.concepts & BLOCK or not _apart(columns, readings, i):
        return False
    cells = column.cell.get("joint", -1.0)
    if cells < 0.5 and "JOINTW" not in column.concepts and any(
        k != i and readings[k].field is None and c.heard.concepts & {"ITEMNO", "NO"} and not c.concepts & (BLOCK | _OF_PARTS)
        and c.cells.filled and _unique(columns, k) > 0.99
        for k, c in enumerate(columns)
    ):  # fmt: skip
        return False  # a description beside a running number: which of them names the joint is looked at
    if "SERVICE" not in column.concepts and (
        column.strength.get("joint", 0.0) >= 0.86 or "JOINTW" in column.concepts
    ):  # fmt: skip
        return _unique(columns, i) > 0.99
    if cells <= -0.3 or column.cell.get("size", -1.0) >= 0.5 or column.cell.get("thread", -1.0) >= 0.5:
        return False
    named = "JOINT" in column.concepts and not column.concepts & {"SERVICE", "GRADE", "SPECW", "SIZE", "RATING"}
    tagged = bool(column.concepts & {"ITEMNO", "NO"}) and cells >= 0.69
    if described and any(
        k != i and c.concepts & {"ITEMNO", "NO", "PAPER"} and not c.concepts & {"GASKET", "STUD", "NUT", "TOOL", "WORKORDER"}
        and c.cells.filled and _unique(columns, k) > 0.99 and readings[k].field in (None, "equipment", "line")
        for k, c in enumerate(columns)
    ):  # fmt: skip
        return False  # a description, and a number beside it
    rivals = [
        k
        for k, c in enumerate(columns)
        if k != i
        and readings[k].field in (None, "equipment")
        and c.concepts & {"JOINT", "ITEMNO"}
        and c.cell.get("joint", -1.0) >= 0.69
        and not c.concepts & (BLOCK | {"GASKET", "STUD", "NUT", "TOOL"})
    ]
    return (named or tagged) and not rivals


def _tagged(columns: Sequence[SeenColumn], readings: list[ColumnReading]) -> list[ColumnReading]:
    open_states = (SURE, PROPOSED, ASKED)
    joints = [i for i, r in enumerate(readings) if r.field == "joint" and r.state in open_states]
    tags = [i for i, c in enumerate(columns) if i not in joints and readings[i].field in ("equipment", None) and c.cell.get("joint", -1) >= 0.69
            and not c.concepts & BLOCK and c.concepts & {"NO", "EQUIP", "ITEMNO", "JOINT"} and not c.concepts & {"GASKET", "STUD", "TOOL", "NUT"}]  # fmt: skip
    if joints:
        i = joints[0]
        weak = columns[i].strength.get("joint", 0) < 0.78 and columns[i].cell.get("joint", 0) < 0.5
        counted = [
            k
            for k, c in enumerate(columns)
            if readings[k].field is None
            and c.heard.concepts & {"ITEMNO", "NO"}
            and not c.concepts & (BLOCK | {"GASKET", "STUD", "TOOL", "NUT", "OPERATION", "WHERE"})
            and c.cells.filled
            and _unique(columns, k) > 0.99
        ]
        total = sum(columns[i].cells.texts.values()) or 1
        prose = sum(len(t.split()) * n for t, n in columns[i].cells.texts.items()) / total >= 1.8
        named = columns[i].heard.explained and "JOINT" in columns[i].heard.concepts and _apart(columns, readings, i)
        named = named and not columns[i].concepts & {"SERVICE", "WHERE"} and not _parted_numbers(columns, counted)
        if weak and prose and not named and not columns[i].concepts & {"ITEMNO"} and len(counted) == 1 and not tags:
            why = "its numbers differ in every row, and nothing else is a tag"
            k = counted[0]
            readings[k] = replace(readings[k], field="joint", state=PROPOSED, candidates=("joint",), why=why)
            why = "a description; the joint is named by its number"
            readings[i] = replace(readings[i], field=None, state=NOT_USED, candidates=(), why=why)
            return readings
        described = (
            columns[i].concepts & {"SERVICE", "WHERE"}
            and not columns[i].concepts & {"NO"}
            and columns[i].cell.get("joint", 0) < 0.6
        )
        described = described or (weak and prose and columns[i].cell.get("joint", 0) < 0.6)
        if described and len(tags) == 1 and _unique(columns, tags[0]) > 0.99:
            other = tags[0]
            readings[other] = replace(
                readings[other],
                field="joint",
                state=PROPOSED,
                candidates=("joint", "equipment"),
                why="its tags differ in every row, and no other column has tags",
            )
            readings[i] = replace(
                readings[i],
                field=None,
                state=NOT_USED,
                candidates=(),
                why="a description; the joint is named by its tag",
            )
        return readings
    order = []
    for i, column in enumerate(columns):
        if readings[i].field not in (None, "equipment", "line") or column.unit is not None:
            continue
        tagged = column.cell.get("joint", -1) >= 0.69
        if column.concepts & (BLOCK - {"PAPER"}) or ("PAPER" in column.concepts and not tagged):
            continue
        told_as = column.concepts & {"NO", "JOINT", "ITEMNO", "SERVICE", "EQUIP", "WHERE", "LINE", "PAPER"}
        unnamed = says_nothing(column) and i < _FIRST_COLUMNS
        if not (told_as or unnamed) or not column.cells.filled:
            continue
        unique = _unique(columns, i)
        told = (
            0.7 if i in tags or (tagged and "PAPER" in column.concepts) else 0.2 if readings[i].field is None else 0.0
        )
        if column.concepts & {"NO", "ITEMNO"} and unique > 0.99:
            told = max(told, 0.5)  # a number of its own in every row names better than a description
        rank = column.score.get("joint", 0.0) + unique + told - (0.5 if unnamed else 0.0)
        if unique > 0.5:
            order.append((rank, i))
    if order:
        i = max(order)[1]
        readings[i] = replace(
            readings[i],
            field="joint",
            state=PROPOSED,
            candidates=("joint",),
            unit=None,
            why="no column is named as the joint; this one tells the rows apart best",
        )
    return readings
