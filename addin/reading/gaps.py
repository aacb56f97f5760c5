"""Fields that no heading names, found by what is left: by cells, by the laws between columns, by the place of a column."""

import re
from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np

from addin.reading.evidence import DN, METRIC, SIZES
from addin.reading.facts_in_cells import parts
from addin.reading.grammar import BLOCK, hear
from addin.reading.heads import TARGETS
from addin.reading.physics import numbers, stud_sizes
from addin.reading.seen import SeenColumn, also_in, says_nothing

_GAPS = (("thread", 0.8), ("studs", 0.8), ("joint", 0.65), ("grade", 0.85), ("method", 0.7), ("operation", 0.85), ("lubricant", 0.7),
         ("across_flats", 0.5))  # fmt: skip
"""Fields that are looked for among columns whose heading says nothing, and how much their cells must say."""


_KINDS = (("torque", "torque"), ("load", "force"), ("stress", "stress"))
"""Targets and the kind of their unit."""


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
            and not (name == "thread" and _tags_like_threads(c))
            and not (
                c.explained and c.concepts and (max(c.strength.values(), default=0) == 0 or name not in c.strength)
            )
            and (name != "across_flats" or name in c.confirmed)
        ]
        if free:
            _take(columns, taken, max(free, key=lambda i: columns[i].cell[name]), name)
    _sizes_by_cells(columns, taken)
    _shown_by_cells(columns, taken)
    _left_over(columns, taken)
    for find in (_residual_as_target, _stated_for_another_use, _torque_by_its_law, _target_by_its_unit):
        if not set(TARGETS) & set(taken.values()) and not any(c.staged for c in columns):
            find(columns, taken)


def _take(columns: Sequence[SeenColumn], taken: dict[int, str], at: int, name: str) -> None:
    """A field goes to a column that its words do not speak for."""
    columns[at].score.setdefault(name, 0.0)
    taken[at] = name


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
        if name == "gasket":  # "Joint face" over spiral wound and PTFE
            free = free or [
                i
                for i, c in enumerate(columns)
                if (i not in taken or (taken[i] == "facing" and c.cell.get("facing", 0.0) < 0))
                and c.heard.concepts <= _OF_A_JOINT
                and c.cell.get(name, -1) >= 0.6
                and c.cell.get("joint_words", -1) < 0.5
                and c.unit is None
            ]
        if name in ("facing", "flange_kind"):  # single letters may be codes of anything
            free = [i for i in free if any(len(text) > 1 for text in columns[i].cells.texts)]
        if name == "remarks":  # a text in every row describes the joint, one here and there is a remark
            free = [i for i in free if columns[i].cells.filled <= _MOST_REMARKS * columns[i].cells.rows]
            free = free or [
                i
                for i, c in enumerate(columns)
                if i not in taken
                and c.heard.concepts == {"CHECK"}
                and "stat" in "".join(c.own.words)
                and c.cell.get(name, -1) >= least
            ]  # a status that is told in sentences
        if len(free) == 1 and not (name == "remarks" and columns[free[0]].cell.get("joint_words", -1) > _MOST_REMARKS):
            columns[free[0]].strength.setdefault(name, 0.0 if says_nothing(columns[free[0]]) else 0.7)
            _take(columns, taken, free[0], name)


_OF_A_JOINT = frozenset(("JOINT", "JOINTW", "FACE", "KINDW", "SPECW", "GASKET", "GRADE", "NO"))
_MOST_REMARKS = 0.8


def _tags_like_threads(column: SeenColumn) -> bool:
    """Whether cells look like metric threads that there are not: M10, M20, M30, M40 are areas, or machines."""
    sizes = [int(found[1]) for text in column.cells.texts if (found := re.fullmatch(r"M\s?(\d{1,3})", text))]
    return bool(sizes) and any(size not in METRIC for size in sizes)


_NO_FLANGE = frozenset(("GASKET", "STUD", "NUT", "TOOL", "THREAD", "LUBE", "TORQUE", "LOAD", "STRESS", "WASHER", "AF", "PRESS", "DESIGN",
                        "LENGTH", "COUNT"))  # fmt: skip


def _sizes_by_cells(columns: Sequence[SeenColumn], taken: dict[int, str]) -> None:
    """Size and class of flanges that no heading names, by cells that can be little else: proposed."""
    if not {"size", "rating"} & set(taken.values()):
        for i, column in enumerate(columns):  # "16 in 600# RF" under "Description"
            both = 0.6 * sum(column.cells.texts.values())
            if taken.get(i) in (None, *_SOFT) and not column.concepts & (BLOCK | _NO_FLANGE) and column.unit is None:
                held = [t for t in column.cells.texts if {"size", "rating"} <= parts(t).keys()]
                if held and sum(column.cells.texts[t] for t in held) > both:
                    _take(columns, taken, i, "size")
                    return
    for name, least in (("rating", 0.8), ("size", 0.55)):
        if name in taken.values():
            continue
        free = [
            i
            for i, c in enumerate(columns)
            if i not in taken and says_nothing(c) and c.cell.get(name, -1) >= least and len(c.cells.texts) > 1
            and (_pipe_sizes(c) if name == "size" else c.cell.get("joint", -1) < 0.1 and any(sign.isdigit() for t in c.cells.texts for sign in t)
                 and (not c.cells.numbers or max(c.cells.numbers.values()) >= 150))
        ]  # fmt: skip
        if name == "size":
            free = [i for i in free if all(i < k for k, other in taken.items() if other == "thread")]
        if len(free) == 1:
            _take(columns, taken, free[0], name)
    if "length" not in taken.values():
        _length_by_its_law(columns, taken)


def _pipe_sizes(column: SeenColumn) -> bool:
    """Whether numbers are sizes of pipes, with so many different ones that they can be no ranks, counts or drives."""
    values = [column.cells.numbers.get(text) for text in column.cells.texts]
    plain = [value for value in values if value is not None]
    return (
        len(plain) == len(values) >= 3
        and (set(plain) <= SIZES or set(plain) <= DN)
        and max(plain) >= 6
        and column.cell.get("joint", -1) < 0.1
        and not all(value % 4 == 0 for value in plain)
        and len(set(plain)) < len(column.cells.in_order)
    )


_SOFT = ("equipment", "plant_area", "remarks", "line", "flange_kind", "facing", "gasket")
_BESIDE_THREAD = 3


def _length_by_its_law(columns: Sequence[SeenColumn], taken: dict[int, str]) -> None:
    """The one column near the threads, under a heading that says nothing, whose numbers may be lengths of those studs."""
    at = next((i for i, name in taken.items() if name == "thread" or "thread" in also_in(columns[i], name)), None)
    if at is None:
        return
    sizes = stud_sizes(columns[at].values, None).diameter * 1000
    found = []
    for i in range(max(0, at - 1), min(len(columns), at + _BESIDE_THREAD + 1)):
        column = columns[i]
        silent = not column.heard.concepts and not column.heard.near and not column.concepts & BLOCK
        if i in taken or not silent or column.cell.get("length", -1) < 0.4:
            continue
        if column.unit is not None and (column.unit.kind != "length" or not column.unit.symbol):
            continue
        unit = column.unit.symbol if column.unit is not None else "mm"
        long = numbers(column.values, "length", unit) * 1000
        known = np.isfinite(long) & np.isfinite(sizes)
        if known.sum() >= 3 and len(np.unique(long[known])) >= 3:
            ratio = long[known] / sizes[known]
            if ((ratio > 2.5) & (ratio < 20)).mean() > 0.9:
                found.append(i)
    if len(found) == 1:
        _take(columns, taken, found[0], "length")


_OF_A_TAG = 4.5
"""Signs that the tag of a machine has and the short name of an area ("U31", "M20") has not, on the average."""


_WHERE_COLUMNS = 4
"""Columns from the left among which machine and area are looked for."""
_OF_A_NAME = 7.5
"""Signs that the name of a machine has, without figures in it."""


_OF_STUDS = frozenset(("thread", "studs", "size", "rating", "gasket"))
"""Fields that stand behind those that say where a joint is."""


def _left_over(columns: Sequence[SeenColumn], taken: dict[int, str]) -> None:
    """Tags and names in blocks under headings that say nothing, before the studs: what machine, or where, it is."""
    if not {"joint", "thread", "studs"} & set(taken.values()):
        return
    of_studs = [i for i, name in taken.items() if name in _OF_STUDS or "thread" in also_in(columns[i], name)]
    first = min(of_studs, default=0)
    for i, column in enumerate(columns[: min(first, _WHERE_COLUMNS)]):
        if i in taken or not says_nothing(column) or column.cells.filled < 0.7 * column.cells.rows:
            continue
        total, kinds = sum(column.cells.texts.values()), len(column.cells.texts)
        if any(t in column.cells.numbers for t in column.cells.texts) or kinds < 2 or column.cell.get("no_day", -1) > 0:
            continue
        letters = (
            sum(n for t, n in column.cells.texts.items() if len(t) > 1 and re.search(r"[^\W\d_]", t)) > 0.8 * total
        )
        runs = 1 + sum(one != other for one, other in pairwise(column.cells.in_order))
        if "equipment" not in taken.values() and "joint" in taken.values() and letters:
            machines = sum(n for t, n in column.cells.texts.items() if "EQUIP" in hear(t).concepts)
            if machines >= 0.4 * total:
                _take(columns, taken, i, "equipment")
                continue
        in_blocks = letters and kinds <= 0.7 * total and runs <= kinds + 1 and total >= 4
        long = sum(len(t) * n for t, n in column.cells.texts.items())
        tags = column.cell.get("equipment", -1) >= 0.5
        name = "equipment" if long >= (_OF_A_TAG if tags else _OF_A_NAME) * total else "plant_area"
        if in_blocks and name not in taken.values():
            _take(columns, taken, i, name)


def _residual_as_target(columns: Sequence[SeenColumn], taken: dict[int, str]) -> None:
    """The residual load or stress, where a list gives no other target: what is to be left in the studs, proposed."""
    _one_column(columns, taken, _KINDS[1:], lambda c, name, kind: (
        c.concepts & BLOCK == {"RESIDUAL"} and _named(c, name) and c.cells.filled >= 0.5 * c.cells.rows
        and (c.unit is None or c.unit.kind == kind) and "GASKET" not in c.concepts
    ))  # fmt: skip


def _stated_for_another_use(columns: Sequence[SeenColumn], taken: dict[int, str]) -> None:
    """A target under words that set it aside where another stands, as "torque by contractor": alone it is proposed."""
    _one_column(columns, taken, _KINDS, lambda c, name, kind: (
        bool(c.concepts & BLOCK) and c.concepts & BLOCK <= _SAID_OF_THE_WORK and not c.wrong_unit
        and (_named(c, name) or (name == "torque" and c.unit is not None and c.unit.kind == kind))
        and c.cells.filled >= 0.6 * c.cells.rows
        and (c.unit is None or c.unit.kind in (kind, "unclear")) and not c.concepts & {"GASKET", "TOOL", "PRESS"}
    ))  # fmt: skip


def _target_by_its_unit(columns: Sequence[SeenColumn], taken: dict[int, str]) -> None:
    """The one column under unknown words whose unit is that of a target."""
    _one_column(columns, taken, (_KINDS[0], *_KINDS[:0:-1]), lambda c, name, kind: (
        c.unit is not None and c.unit.kind == kind and bool(c.heard.unknown)
        and not c.concepts & (BLOCK | {"GASKET", "PRESS", "TOOL", "NUT"})
    ))  # fmt: skip


def _one_column(
    columns: Sequence[SeenColumn], taken: dict[int, str], kinds: Sequence[tuple[str, str]],
    may_be: Callable[[SeenColumn, str, str], bool],
) -> None:  # fmt: skip
    """The first of some targets that one column alone may be, by its words and its cells."""
    for name, kind in kinds:
        free = [
            i for i, c in enumerate(columns) if i not in taken and may_be(c, name, kind) and c.cell.get(name, -1) > 0
        ]
        if len(free) == 1:
            _take(columns, taken, free[0], name)
            return


def _named(column: SeenColumn, target: str) -> bool:
    return target.upper() in column.concepts


_SAID_OF_THE_WORK = frozenset(("RECORD", "PERSON", "CHECK", "PAPER", "LOGISTIC", "SPARE", "DRY", "OLD", "HOT"))
"""Words that set a target aside where another stands: "torque by contractor", "applied torque"; alone it is proposed."""

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
        if not says_nothing(column) and not column.heard.unknown and not column.concepts & {"TARGET", "TORQUE"}:
            continue
        torque = numbers(column.values, "torque", "N·m")
        known = np.isfinite(torque) & np.isfinite(sizes) & (torque > 0)
        if len(np.unique(sizes[known])) < 3:
            continue
        ratio = torque[known] / sizes[known] ** 3
        if ratio.max() <= _SPREAD * ratio.min():
            found.append(i)
    if len(found) == 1:
        _take(columns, taken, found[0], "torque")
