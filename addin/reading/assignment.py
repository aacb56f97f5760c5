"""One assignment of fields to all columns, and the gaps that it leaves."""

from collections.abc import Sequence

import numpy as np

from addin.reading.facts_in_cells import parts, two_diameters
from addin.reading.fields import BY_NAME
from addin.reading.grammar import BLOCK
from addin.reading.heads import NO_FIELD, SHOWN_ONLY, TARGETS
from addin.reading.physics import numbers, stud_sizes
from addin.reading.seen import SeenColumn

SLOTS = {"torque": 3, "load": 2, "stress": 2, "wrench": 1}


def assign(columns: Sequence[SeenColumn]) -> dict[int, str]:
    """One field for each column, so that the sum of all is the most."""
    from scipy.optimize import linear_sum_assignment

    names = [name for name in BY_NAME for _ in range(SLOTS.get(name, 1))] + sorted(SHOWN_ONLY)
    if not columns:
        return {}
    gain = np.full((len(columns), len(names) + len(columns)), 0.0)
    for i, column in enumerate(columns):
        for j, name in enumerate(names):
            gain[i, j] = column.score.get(name, -5.0)
        gain[i, len(names) :] = -5.0
        gain[i, len(names) + i] = NO_FIELD
    chosen = linear_sum_assignment(gain, maximize=True)
    return {int(i): names[j] for i, j in zip(*chosen, strict=True) if j < len(names)}


_GAPS = (("thread", 0.8), ("studs", 0.8), ("joint", 0.65), ("grade", 0.9), ("method", 0.85), ("operation", 0.85), ("lubricant", 0.85),
         ("across_flats", 0.5))  # fmt: skip
"""Fields that are looked for among columns whose heading says nothing, and how much their cells must say."""


def fill_gaps(columns: Sequence[SeenColumn], taken: dict[int, str]) -> None:
    """Fields that no column names: the column whose cells can be little else. It is proposed, never taken."""
    for name, least in _GAPS:
        if name in taken.values() or (name == "thread" and any(
            taken[i] == "studs" and "thread" in also_in(columns[i], "studs") for i in taken
        )):  # fmt: skip
            continue
        free = [
            i
            for i, c in enumerate(columns)
            if i not in taken
            and c.cell.get(name, -1) >= least
            and not c.concepts & BLOCK
            and (c.unit is None or (name == "across_flats" and c.unit.kind == "length"))
            and not (
                c.explained and c.concepts and (max(c.strength.values(), default=0) == 0 or name not in c.strength)
            )
            and (name != "across_flats" or name in c.confirmed)
        ]
        if free:
            best = max(free, key=lambda i: columns[i].cell[name])
            columns[best].score.setdefault(name, 0.0)
            taken[best] = name
    _shown_by_cells(columns, taken)
    if not set(TARGETS) & set(taken.values()) and not any(c.staged for c in columns):
        _torque_by_its_law(columns, taken)
    if not set(TARGETS) & set(taken.values()) and not any(c.staged for c in columns):
        for kind, name in (("torque", "torque"), ("stress", "stress"), ("force", "load")):
            free = [
                i
                for i, c in enumerate(columns)
                if i not in taken
                and c.unit is not None
                and c.unit.kind == kind
                and c.heard.unknown
                and not c.concepts & (BLOCK | {"GASKET", "PRESS", "TOOL", "NUT"})
                and c.cell.get(name, -1) > 0
            ]
            if len(free) == 1:
                columns[free[0]].score.setdefault(name, 0.0)
                taken[free[0]] = name
                return


_SHOWN = (("gasket", 0.7), ("facing", 0.8), ("flange_kind", 0.8), ("line", 0.6),
          ("remarks", 0.5))  # fmt: skip
"""Fields that only cards show, looked for under headings that say nothing, and how much their cells must say."""


def _shown_by_cells(columns: Sequence[SeenColumn], taken: dict[int, str]) -> None:
    """Fields of cards that no column names: the one column under unknown words whose cells can be little else."""
    for name, least in _SHOWN:
        if name in taken.values():
            continue
        free = [
            i for i, c in enumerate(columns) if i not in taken and says_nothing(c) and c.cell.get(name, -1) >= least
        ]
        if name == "remarks":  # a text in every row describes the joint, one here and there is a remark
            free = [i for i in free if columns[i].cells.filled <= _MOST_REMARKS * columns[i].cells.rows]
        if len(free) == 1 and not (name == "remarks" and columns[free[0]].cell.get("joint_words", -1) > _MOST_REMARKS):
            columns[free[0]].score.setdefault(name, 0.0)
            taken[free[0]] = name


_MOST_REMARKS = 0.8


def says_nothing(column: SeenColumn) -> bool:
    """Whether no word of a heading is known, nor one that looks like it."""
    return bool(column.heard.unknown) and not column.concepts and not column.heard.near and column.unit is None


_SPREAD = 2.2
"""How far torque over the cube of the diameter may spread within a list: other stresses, grades and friction."""


def _torque_by_its_law(columns: Sequence[SeenColumn], taken: dict[int, str]) -> None:
    """The one column whose numbers grow with the cube of the stud diameter, where no target is named: proposed."""
    thread = next(
        (columns[i] for i, name in taken.items() if name == "thread" or "thread" in also_in(columns[i], name)), None
    )
    if thread is None:
        return
    sizes = stud_sizes(thread.values, None).diameter
    found = []
    for i, column in enumerate(columns):
        words = column.concepts & (BLOCK | {"GASKET", "PRESS", "TOOL", "NUT", "NPS", "LENGTH", "AF", "COUNT"})
        if i in taken or words or not (column.unit is None or column.unit.kind == "torque"):
            continue
        if not column.heard.unknown and not column.concepts & {"TARGET", "TORQUE"}:
            continue
        torque = numbers(column.values, "torque", "N·m")
        known = np.isfinite(torque) & np.isfinite(sizes) & (torque > 0)
        if len(np.unique(sizes[known])) < 3:
            continue
        ratio = torque[known] / sizes[known] ** 3
        if ratio.max() <= _SPREAD * ratio.min():
            found.append(i)
    if len(found) == 1:
        columns[found[0]].score.setdefault("torque", 0.0)
        taken[found[0]] = "torque"


def also_in(column: SeenColumn, name: str) -> tuple[str, ...]:
    """Further fields in the cells of a column."""
    total = sum(column.cells.texts.values())
    if not total:
        return ()
    if name in ("gasket_inside_diameter", "gasket_outside_diameter"):
        both = sum(c for t, c in column.cells.texts.items() if two_diameters(t)) / total > 0.5
        other = "gasket_outside_diameter" if name == "gasket_inside_diameter" else "gasket_inside_diameter"
        return (other,) if both else ()
    counted: dict[str, int] = {}
    for text, count in column.cells.texts.items():
        for each in parts(text):
            counted[each] = counted.get(each, 0) + count
    return tuple(
        each
        for each in ("thread", "studs", "length", "size", "rating", "grade", "nut_grade")
        if each != name and counted.get(each, 0) > 0.3 * total
    )
