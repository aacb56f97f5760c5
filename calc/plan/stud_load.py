"""The load on the stud that a list's targets mean, against the rest of that list: torque, load or gasket stress with
the size and number of the studs, and the method with the size.

A torque is right for one size of stud. Turned into a stress in the stud, the rows of an orderly list become comparable
whatever their size; a list whose torques do not rise with its studs was sorted without one of its columns. A rule
speaks only where nearly all of this very list follows it. The limits are judgement, tried on invented lists; no source.
"""

from collections import Counter, defaultdict
from collections.abc import Hashable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.findings import CAUTION, Finding
from calc.hardware.threads import Thread, tensile_area
from calc.plan.joints import METHODS, Floats, Joints
from calc.plan.resolve import Findings

ORDERLY = 0.92
"""Share of the rows that must lie within a spread before the others are named."""
SPREADS = (0.05, 0.1, 0.2, 0.3)
"""Spreads about the usual stress by which a list is tried, the narrowest first; twice the spread is odd."""
ROWS = 20
"""Fewest rows by which a rule is tried."""
SIZES = 4
"""Fewest sizes of stud by which it is judged whether targets rise with them."""
RISES = 0.65
"""Least correlation of the logarithms of target and stud size in a list that is in order."""
FITS, BETTER = 0.9, 0.05
"""Correlation with the targets of the rows above or below, and how much better it must be than with their own."""
METHOD_ROWS = 10
"""Fewest rows by hand and by hydraulic wrench in a list whose methods go with the size."""
BY_SIZE = 0.97
"""Share of the rows whose method must go with the size before the others are named."""
PARTED = 0.25
"""Of all pairs of a row by hand and one by hydraulic wrench: the share in which the hydraulic one has the larger stud,
less that in which it has the smaller. 1 where methods go with the size, 0 where columns were shuffled."""


def compare(
    joints: Joints, rows: NDArray[np.bool_], thread: Thread, basis: Sequence[str], preload: Floats, kin: Sequence[str],
    item: str, found: Findings,
) -> None:  # fmt: skip
    """Cautions for rows whose target means another load on the stud than their like, and for lists in which it goes
    with no size at all. `preload` [N] is NaN where a torque stands without friction; `kin` the item of each row.
    """
    taking = rows & ~found.stopped
    diameter = np.asarray(thread.diameter, dtype=float)
    area = np.asarray(tensile_area(thread), dtype=float)
    told = {finding.row for finding in found.found if finding.code == "unlike_target"}
    for name in ("torque", "load", "target_gasket_stress"):
        named = rows & np.array([b == name for b in basis]) & ~np.isnan(diameter)
        blind = named & np.isnan(preload)
        families = [(named & ~blind, preload), (blind, joints.torque / diameter)]
        for every, load in families[: 2 if name == "torque" else 1]:
            family = every & taking
            if family.sum() < ROWS:
                continue
            # rows that are stopped count here: most of a disordered list are past yield
            if order := _disorder(np.flatnonzero(every), diameter, joints.torque if name == "torque" else load):
                found.each(family, order, name, CAUTION, count=int(every.sum()))
                continue
            stress = even(family, np.where(family, load / area, np.nan), diameter, kinds_of(joints))
            for row, usual, count, size, same in _odd(family, stress, joints, kin, item):
                if row not in told:
                    share = float(stress[row]) / usual
                    facts = _stud(joints, row) | {"value": float(getattr(joints, name)[row]), "share": share}
                    facts |= {"studs": float(joints.studs[row]), "count": count, "size": size, "same": same}
                    found.add(Finding("unlike_stress", name, facts, CAUTION, row))
    _by_method(joints, taking, diameter, found)


def _disorder(rows: NDArray[np.intp], diameter: Floats, target: Floats) -> str:
    """Code of what is wrong with a column of targets as a whole: it goes with the studs as little as shuffled columns
    do, or much better with those of the next row; "" where nothing is.
    """
    d, t = np.log(diameter[rows]), np.log(target[rows])
    if len(set(np.round(d, 6).tolist())) < SIZES or np.std(t) == 0.0:
        return ""
    own = float(np.corrcoef(d, t)[0, 1])
    moved = {code: float(np.corrcoef(a, b)[0, 1]) for code, a, b in
             (("targets_of_row_above", d[:-1], t[1:]), ("targets_of_row_below", d[1:], t[:-1]))
             if np.std(a) > 0 and np.std(b) > 0}  # fmt: skip
    best = max(moved, key=lambda code: moved[code], default="")
    if best and moved[best] > FITS and own < moved[best] - BETTER:
        return best
    return "targets_without_order" if own < RISES else ""


def even(
    family: NDArray[np.bool_], stress: Floats, diameter: Floats, kinds: Sequence[Hashable]
) -> Floats:  # fmt: skip
    """Stresses over the usual one of their stud size, times that of all: a list that rounds its torques, or reckons
    with another area than ours, has its own for each size.

    `kinds`: what gives a row its stress, gasket and grade; a size that one kind alone has is not taken for unusual.
    """
    even = stress.copy()
    rows = np.flatnonzero(family)
    of_kind: dict[Hashable, list[int]] = defaultdict(list)
    for row in rows.tolist():
        of_kind[kinds[row]].append(row)
    usual = np.ones(len(stress))
    for group in of_kind.values():
        usual[group] = np.median(stress[group])
    for size in np.unique(diameter[family]):
        same = family & (diameter == size)
        if same.sum() > 3:
            even[same] /= np.median(stress[same] / usual[same])
    return even


def kinds_of(joints: Joints) -> list[Hashable]:
    """Gasket, grade and operation of every row: what gives it its stress in an orderly list."""
    texts = zip(joints.gasket, joints.gasket_kind, joints.grade, joints.operation, strict=True)
    return [(f"{a} {b}".casefold().strip(), grade.casefold(), operation) for a, b, grade, operation in texts]


def _odd(
    family: NDArray[np.bool_], stress: Floats, joints: Joints, kin: Sequence[str], item: str
) -> list[tuple[int, float, int, int, tuple[str, ...]]]:
    """Rows that differ from their group at the narrowest orderly level: usual stress, how many of how many have it, and
    what they have in common. What a second row of the item has too is meant so.
    """
    gasket = [f"{a} {b}".casefold().strip() for a, b in zip(joints.gasket, joints.gasket_kind, strict=True)]
    grade = [text.casefold() for text in joints.grade]
    rating = [text.casefold() for text in joints.rating]
    levels: tuple[tuple[tuple[str, ...], list[Sequence[Hashable]]], ...] = (
        ((item, "operation"), [kin, joints.operation]),
        (("gasket", "class", "grade", "operation"), [gasket, rating, grade, joints.operation]),
        (("gasket", "grade", "operation"), [gasket, grade, joints.operation]),
        (("grade", "operation"), [grade, joints.operation]),
    )
    shown: dict[int, tuple[float, int, int, tuple[str, ...]]] = {}
    for same, columns in levels:
        groups: dict[Hashable, list[int]] = defaultdict(list)
        for row in np.flatnonzero(family).tolist():
            key = tuple(column[row] for column in columns)
            if "" not in key:
                groups[key].append(row)
        large = [np.array(group) for group in groups.values() if len(group) > 3]
        if sum(map(len, large)) < ROWS:
            continue
        usual = [float(np.median(stress[group])) for group in large]
        off = [np.abs(np.log(stress[group] / middle)) for group, middle in zip(large, usual, strict=True)]
        every = np.concatenate(off)
        spread = next((s for s in SPREADS if np.mean(every <= s) >= ORDERLY), None)
        if spread is None:
            continue
        for group, middle, away in zip(large, usual, off, strict=True):
            agree = int(np.sum(away <= spread))
            for row in group[away > 2 * spread].tolist() if agree >= max(3, 0.75 * len(group)) else ():
                shown.setdefault(row, (middle, agree, len(group), same))
    shared = Counter((kin[row], round(float(np.log(stress[row])) / 0.02)) for row in np.flatnonzero(family).tolist())
    return [
        (row, *said) for row, said in sorted(shown.items())
        if not kin[row] or shared[kin[row], round(float(np.log(stress[row])) / 0.02)] < 2
    ]  # fmt: skip


def _by_method(joints: Joints, taking: NDArray[np.bool_], diameter: Floats, found: Findings) -> None:
    """Rows whose method does not go with their stud, in a list where the small ones are done by hand."""
    by_hand = np.array([method == METHODS[1] for method in joints.method]) & taking
    hydraulic = np.array([method == METHODS[0] for method in joints.method]) & taking
    total = int(by_hand.sum() + hydraulic.sum())
    if min(by_hand.sum(), hydraulic.sum()) < METHOD_ROWS:
        return
    sizes = np.unique(np.round(diameter[by_hand | hydraulic], 6))
    hand, other = (float(np.median(diameter[rows])) for rows in (by_hand, hydraulic))
    larger = np.sign(diameter[hydraulic][:, np.newaxis] - np.unique(diameter[by_hand]))
    weight = np.unique(diameter[by_hand], return_counts=True)[1]
    if sizes.size >= SIZES and float(np.mean(larger @ weight)) < PARTED * by_hand.sum():
        facts = {"count": int(by_hand.sum()), "hand": hand, "hydraulic": other}
        found.each(by_hand | hydraulic, "methods_without_order", "thread", CAUTION, **facts)
        return
    wrong = [int(np.sum(diameter[by_hand] > size + 1e-6) + np.sum(diameter[hydraulic] < size + 1e-6)) for size in sizes]
    at = int(np.argmin(wrong))
    if wrong[at] > (1 - BY_SIZE) * total:
        return
    limit = {"count": total - wrong[at], "size": total, "limit": float(sizes[at])}
    for code, rows in (
        ("hand_above_size", by_hand & (diameter > sizes[at] + 1e-6)),
        ("hydraulic_below_size", hydraulic & (diameter < sizes[at] + 1e-6)),
    ):
        for row in np.flatnonzero(rows).tolist():
            found.add(Finding(code, "thread", _stud(joints, row) | limit, CAUTION, row))


def _stud(joints: Joints, row: int) -> dict[str, Any]:
    return {"stud": joints.thread[row]}
