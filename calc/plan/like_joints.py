"""Like joints of one list: a row that differs from those like it, in a list that is orderly enough to say so.

A rule such as "same equipment, same stress" may speak only where at least `ORDERLY` of this very list follows it;
otherwise it is not this list's rule. The limits are judgement, tried on invented lists; no source.
"""

import math
import re
from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from calc.findings import CAUTION, Finding
from calc.hardware.threads import Thread, tensile_area
from calc.plan import stud_load
from calc.plan.joints import Floats, Joints
from calc.plan.resolve import TARGETS, Findings

T = TypeVar("T", bound=Hashable)

ORDERLY = 0.92
"""Share of the rows of a list that must follow a rule before it may speak."""
ROWS = 20
"""Fewest rows in groups of like joints by which a rule is tried."""
FEW = 13
"""The same for what a list says once and for all: pitch, area, friction, series, system; one of 13 is less than 8 %."""
USUAL, FEWEST = 0.75, 3
"""A group speaks with one voice where so much of it, and at least so many rows, have the same value."""
SURE = 0.97
"""Share of the rows that must follow a rule before two of three rows speak."""
SHARE = 0.03
"""Two joints of an item off by shares within this are off by the same: the list rounds its torques."""
STEP = 0.05
"""A torque or load within this share of the usual one is it, rounded."""
SHARED = 3
"""In so many other items a value must stand to be one of the list's own."""
LONG = 60
"""Fewest rows of a list in which a value that stands once is odd."""

_STEM = re.compile(r"[\s/_.-]+[^\s/_.-]*$")
"""The last part of a tag, which parts the joints of one item."""


@dataclass(frozen=True)
class _Level:
    """One way to be alike: what is the same, and the rows that are alike, for those rows that take part."""

    same: tuple[str, ...]
    groups: Sequence[list[int]]


def compare(
    joints: Joints, rows: NDArray[np.bool_], thread: Thread, basis: Sequence[str], nut_factor: Floats, preload: Floats,
    found: Findings,
) -> None:  # fmt: skip
    """Cautions for rows unlike their like: target, grade, lubricant, pitch, area, nut series and system of the stud."""
    taking = rows & ~found.stopped
    if taking.sum() < FEW:
        return
    kin = _once(
        text.casefold() or _STEM.sub("", tag.casefold())
        for text, tag in zip(joints.equipment, joints.joint, strict=True)
    )
    item = "equipment" if any(joints.equipment) else "item"
    columns = {
        item: kin,
        "gasket": _once(f"{a} {b}".casefold().strip() for a, b in zip(joints.gasket, joints.gasket_kind, strict=True)),
        "class": _once(text.casefold() for text in joints.rating),
        "grade": _once(text.casefold() for text in joints.grade),
        "stud": _once(np.round(np.asarray(thread.diameter), 6).tolist()),
        "operation": list(joints.operation),
        "friction": _once(
            f"{text.casefold()} {value} {a} {b}"
            for text, value, a, b in zip(
                joints.lubricant,
                *(_words(each, _four) for each in (nut_factor, joints.thread_friction, joints.nut_friction)),
                strict=True,
            )
        ),
    }
    part = taking.tolist()

    @lru_cache
    def level(*same: str) -> _Level:
        parts = zip(*(columns[name] for name in same), strict=True) if same else [()] * len(joints)
        groups: dict[tuple[Hashable, ...], list[int]] = defaultdict(list)
        for row, (key, used) in enumerate(zip(parts, part, strict=True)):
            if used:
                groups[key].append(row)
        return _Level(same, [rows for key, rows in groups.items() if "" not in key])

    for name in set(basis) & set(TARGETS) if taking.sum() >= ROWS else ():
        values = getattr(joints, name)
        said = _words(values, lambda v: f"{v:.6g}")
        mine = [v if b == name else "" for v, b in zip(said, basis, strict=True)]
        stud = {"load": ("stud",), "torque": ("stud", "friction")}.get(name, ())
        levels = [level(item, "operation", *stud), level("gasket", "class", "grade", "operation", *stud),
                  level("gasket", "grade", "operation", *stud), level("grade", "operation", *stud)]  # fmt: skip
        shared = Counter(zip(kin, mine, strict=True))
        told = set()
        odd = _unlike(mine, levels)
        usuals = {row: float(values[mine.index(usual)]) for row, usual, *_ in odd}
        whole = set[int]()
        if stud:
            off = {row: float(np.log(values[row] / exact)) for row, exact in usuals.items()}
            stated = taking & np.array([b == name for b in basis])
            whole = _whole_items(off, _stress(stated, joints, thread, preload), stated, kin)
        for row, _, count, size, same in odd:
            if shared[kin[row], mine[row]] > 1 or row in whole:
                continue  # the whole item has it: meant so
            exact = usuals[row]
            if stud and abs(values[row] / exact - 1) <= STEP:
                continue
            facts = {"value": float(values[row]), "usual": exact, "count": count, "size": size, "same": same}
            found.add(Finding("unlike_target", name, facts, CAUTION, row))
            told.add(row)
        if name in ("stress", "percent", "target_gasket_stress"):
            for row, values_of in _alone(mine, kin, joints.operation):
                if row not in told:
                    facts = {"value": float(values[row]), "count": len(values_of)}
                    found.add(Finding("target_alone", name, facts, CAUTION, row))
    if taking.sum() >= ROWS:
        stud_load.compare(joints, rows, thread, basis, preload, kin, item, found)
    pitch = np.round(np.asarray(thread.pitch), 7)
    system = ["metric" if metric else "inch" for metric in np.asarray(thread.metric).tolist()]
    series = _once(f"{a}, {b}" if a else "" for a, b in zip(joints.nut_series, system, strict=True))
    columns_of_text: tuple[tuple[str, str, Sequence[str], list[_Level]], ...] = (
        ("grade", "grade", joints.grade, [level(item, "stud"), level(item)]),
        ("lubricant", "lubricant", joints.lubricant, [level("grade"), level()]),
        *(
            (
                name,
                name.replace("_", " "),
                _words(getattr(joints, name), lambda v: _four(v) if v > 0 else ""),
                [level("grade"), level()],
            )
            for name in ("nut_factor", "thread_friction", "nut_friction")
        ),
        ("area", "stress area", joints.area, [level()]),
        ("nut_series", "nut series", series, [level()]),
        ("thread", "unit system of the stud", system, [level()]),
        ("thread", "pitch", _words(pitch, lambda p: f"{_four(p * 1000)} mm"), [level("stud")]),
    )
    for quantity, what, texts, levels in columns_of_text:
        for row, usual, count, size, same in _unlike(texts, levels, FEW):
            facts = {"what": what, "text": texts[row], "usual": usual, "count": count, "size": size, "same": same}
            found.add(Finding("unlike_text", quantity, facts, CAUTION, row))


def _once(values: Iterable[T]) -> list[T]:
    """The values in a list, the same one of many rows kept once."""
    known: dict[T, T] = {}
    return [known.setdefault(value, value) for value in values]


def _words(values: Floats, word: Callable[[float], str]) -> list[str]:
    """A word for each number, made once for those that are equal."""
    known = {value: word(value) for value in set(values[~np.isnan(values)].tolist())}
    nan = word(math.nan)
    return [nan if value != value else known[value] for value in values.tolist()]


def _four(value: float) -> str:
    return f"{value:.4g}"


def _unlike(
    values: Sequence[str], levels: Sequence[_Level], least: int = ROWS
) -> list[tuple[int, str, int, int, tuple[str, ...]]]:
    """Rows that differ from their group at an orderly level and agree with it at none, with the usual value, how many
    of how many have it, and what they have in common. Levels go from narrow to wide; "" is no value.
    """
    confirmed: set[int] = set()
    found: dict[int, tuple[str, int, int, tuple[str, ...]]] = {}
    blank = "" in values
    for level in levels:
        groups = [[row for row in group if values[row]] for group in level.groups] if blank else level.groups
        large = [group for group in groups if len(group) > 2]
        modes = [Counter(map(values.__getitem__, group)).most_common(1)[0] for group in large]
        total, agree = sum(map(len, large)), sum(count for _, count in modes)
        if total < least or agree < ORDERLY * total:
            continue
        sure = agree >= SURE * total
        for group, (usual, count) in zip(large, modes, strict=True):
            if count < (2 if sure and len(group) == FEWEST else max(FEWEST, USUAL * len(group))):
                continue
            for row in group:
                if values[row] == usual:
                    confirmed.add(row)
                elif row not in found:
                    found[row] = usual, count, len(group), level.same
    return [(row, *said) for row, said in sorted(found.items()) if row not in confirmed]


def _stress(stated: NDArray[np.bool_], joints: Joints, thread: Thread, preload: Floats) -> Floats:
    """Something in proportion to the stress in the stud, the same for all sizes of a list that means the same."""
    diameter = np.asarray(thread.diameter, dtype=float)
    load = np.where(np.isnan(preload), joints.torque / diameter, preload)
    stress = np.where(stated, load / np.asarray(tensile_area(thread)), np.nan)
    return stud_load.even(stated, stress, diameter, stud_load.kinds_of(joints))


def _whole_items(
    off: Mapping[int, float], stress: Floats, stated: NDArray[np.bool_], kin: Sequence[str]
) -> set[int]:  # fmt: skip
    """Odd rows whose item is odd as a whole: another of its joints is odd by the same share, or most of its others lie
    nearer to the row than to the usual stress. `off`: logarithm of the odd value over the usual one.
    """
    items: dict[str, list[int]] = defaultdict(list)
    for row in np.flatnonzero(stated).tolist():
        items[kin[row]].append(row)
    whole = set()
    for row, away in off.items():
        mates = [mate for mate in items[kin[row]] if mate != row] if kin[row] else []
        near = [mate for mate in mates if abs(d := float(np.log(stress[mate] / stress[row]))) < abs(d + away)]
        alike = any(abs(off[mate] - away) <= SHARE for mate in mates if mate in off)
        if alike or (len(near) > 1 and 2 * len(near) > len(mates)):
            whole.add(row)
    return whole


def _alone(values: Sequence[str], kin: Sequence[str], operations: Sequence[str]) -> list[tuple[int, tuple[str, ...]]]:
    """Rows whose value no other row has, in a long list that keeps to a few values, and those values."""
    stated = [row for row, value in enumerate(values) if value]
    if len(stated) < LONG:
        return []
    items: dict[tuple[str, str], set[str]] = defaultdict(set)
    count = Counter((values[row], operations[row]) for row in stated)
    for row in stated:
        items[values[row], operations[row]].add(kin[row] or str(row))
    common = {key for key, having in items.items() if len(having) > SHARED}
    if sum(count[key] for key in common) < ORDERLY * len(stated):
        return []
    usual = tuple(sorted({value for value, _ in common}, key=float))
    return [(row, usual) for row in stated if count[values[row], operations[row]] == 1]
