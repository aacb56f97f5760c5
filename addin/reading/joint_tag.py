"""Which column names the joint."""

from collections.abc import Sequence
from dataclasses import replace

from addin.reading.grammar import BLOCK
from addin.reading.seen import SeenColumn
from addin.reading.understood import ASKED, NOT_USED, PROPOSED, SURE, ColumnReading


def _unique(columns: Sequence[SeenColumn], *places: int) -> float:
    rows = [tuple(str(columns[i].values[k]) for i in places) for k in range(len(columns[places[0]].values))]
    rows = [row for row in rows if any(cell != "None" for cell in row)]
    return len(set(rows)) / len(rows) if rows else 0.0


def name_joint(columns: Sequence[SeenColumn], readings: list[ColumnReading]) -> list[ColumnReading]:
    """The column that names the joint: unique tags win over a description; without any, the likeliest is proposed."""
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
        if weak and prose and not columns[i].concepts & {"ITEMNO"} and len(counted) == 1 and not tags:
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
        if (
            not column.concepts & {"NO", "JOINT", "ITEMNO", "SERVICE", "EQUIP", "WHERE", "LINE", "PAPER"}
            or not column.cells.filled
        ):
            continue
        unique = _unique(columns, i)
        told = (
            0.7 if i in tags or (tagged and "PAPER" in column.concepts) else 0.2 if readings[i].field is None else 0.0
        )
        if column.concepts & {"NO", "ITEMNO"} and unique > 0.99:
            told = max(told, 0.5)  # a number of its own in every row names better than a description
        rank = column.score.get("joint", 0.0) + unique + told
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
