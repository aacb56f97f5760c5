"""Torques, loads and stresses of the planner that do not govern, held against the plan: old errors in old lists."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from addin.reading.column import letter
from addin.reading.joint_list import JointList
from addin.reading.list_rows import listed_rows
from addin.reading.understood import CheckedColumn
from calc.hardware import threads
from calc.plan.plans import Plans

_STEADY, _SAME, _OFF = 0.02, 0.01, 0.05
"""Ratios within this of the middle one are one ratio; the same figure; a row that is worth a look."""
_NINE_OF_TEN = 0.9
_FEWEST = 3


@dataclass(frozen=True)
class Compared:
    """One column held against the plan: our heading for it, per cent by row (None where there is nothing), lines."""

    name: str
    percent: tuple[float | None, ...]
    lines: tuple[tuple[str, str], ...]


def held_against(joint_list: JointList, plans: Plans) -> list[Compared]:
    """Every column that is checked against the plan, in the order of the list."""
    found = []
    for column in joint_list.checked:
        planned = _planned(column.field, plans, joint_list.rows.joints.area)
        if planned is None:
            continue
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = np.array(column.values, dtype=float) / planned
        ratio[~np.isfinite(ratio)] = np.nan
        if np.isfinite(ratio).any():
            found.append(_compared(joint_list, plans, column, ratio))
    return found


def _planned(field: str, plans: Plans, areas: Sequence[str]) -> NDArray[np.float64] | None:
    if field == "torque":
        return plans.torque
    if field == "load":
        return plans.preload
    return plans.preload / _areas(plans, areas) if field == "stress" else None


def _areas(plans: Plans, named: Sequence[str]) -> NDArray[np.float64]:
    """The area of each row on which its stress is compared: the plan's, that which the list names, or the tensile."""
    found = np.array(plans.area, dtype=float)
    names = [each if each in threads.AREAS else threads.AREAS[0] for each in named]
    for name in set(names):
        mine = np.isnan(found) & (np.array(names) == name)
        found[mine] = np.asarray(threads.area(plans.thread, name), dtype=float)[mine]
    return found


def _compared(joint_list: JointList, plans: Plans, column: CheckedColumn, ratio: NDArray[np.float64]) -> Compared:
    reading = next((each for each in joint_list.understood.columns if each.heading == column.heading), None)
    where = letter(reading.at) if reading else "?"
    named = f"column {where} '{column.heading}'"
    known = np.flatnonzero(np.isfinite(ratio))
    middle = float(np.median(ratio[known]))
    near = known[np.abs(ratio[known] / middle - 1) <= _STEADY]
    on = _on_area(column, plans, joint_list.rows.joints.area, known) if column.field == "stress" else ""
    lines: list[tuple[str, str]] = []
    if len(known) >= _FEWEST and len(near) >= _NINE_OF_TEN * len(known):
        said = _said(column, plans, near, middle, joint_list.rows.joints.area)
        lines.append(("note", f"{named}: {said} ({len(near)} of {len(known)} rows){on}"))
        far = known[np.abs(ratio[known] / middle - 1) > _OFF]
        off = f"more than {100 * _OFF:g} % off the ratio of all other rows"
    else:
        low, high = (f"{100 * (value - 1):+.0f} %" for value in (ratio[known].min(), ratio[known].max()))
        lines.append(("note", f"{named}: yours differ from the plan by {low} to {high}{on}"))
        far = known[np.abs(ratio[known] - 1) > _OFF]
        off = f"more than {100 * _OFF:g} % off the plan"
    if len(far):
        lines.append(("caution", f"{named}: {off}: rows {_rows(joint_list, far)}"))
    if column.unread:
        cells = ", ".join(f"'{text[:20]}'" for text in column.unread[:3])
        lines.append(
            ("note", f"{named}: not compared, for they are no one number: {cells} ({len(column.unread)} in all)")
        )
    percent = tuple(round(100 * (value - 1), 1) if np.isfinite(value) else None for value in ratio.tolist())
    return Compared(f"Off by, column {where}", percent, tuple(lines))


def _on_area(column: CheckedColumn, plans: Plans, named: Sequence[str], known: NDArray[np.int64]) -> str:
    """On which area a stress was compared, and what it would be on the root area where nobody named one."""
    said = {each for each in (named[int(i)] for i in known) if each}
    stated = [i for i in known if named[int(i)] in threads.AREAS or np.isfinite(plans.area[int(i)])]
    if len(stated) == len(known):
        return f"; compared on the area of the list, {' and '.join(sorted(said)) or 'that of the plan'}"
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.asarray(threads.area(plans.thread, "root B1.1"), dtype=float)
        off = (100 * (np.array(column.values, dtype=float) * root / plans.preload - 1))[known]
    off = off[np.isfinite(off)]
    other = f"; on the root area they would be off by {off.min():+.0f} % to {off.max():+.0f} %" if len(off) else ""
    return f"; compared on the tensile area, for the list names none{other}"


def _said(column: CheckedColumn, plans: Plans, rows: NDArray[np.int64], middle: float, areas: Sequence[str]) -> str:
    """What one ratio in nearly all rows says: the same figures, or those of another nut factor."""
    if abs(middle - 1) <= _SAME:
        return "yours agree with the plan"
    more = f"{100 * abs(middle - 1):.0f} % {'above' if middle > 1 else 'below'} the plan"
    values = np.array(column.values, dtype=float)
    load = (
        plans.preload
        if column.field == "torque"
        else values * (_areas(plans, areas) if column.field == "stress" else 1)
    )
    torque = values if column.field == "torque" else plans.torque
    with np.errstate(divide="ignore", invalid="ignore"):
        factors = (torque / (load * np.asarray(plans.thread.diameter)))[rows]
    factors = factors[np.isfinite(factors)]
    if len(factors) and np.ptp(factors) <= 2 * _STEADY * float(np.median(factors)):
        return f"yours match K {float(np.median(factors)):.2f}, {more}"
    return f"yours are {more}"


def _rows(joint_list: JointList, places: Sequence[int] | NDArray[np.int64]) -> str:
    return listed_rows([joint_list.numbers[int(i)] for i in places])
