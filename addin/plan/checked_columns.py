"""Torques, loads and stresses of the planner that do not govern, held against the plan: old errors in old lists."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from addin.reading.column import letter
from addin.reading.joint_list import JointList
from addin.reading.list_rows import listed_rows
from addin.reading.understood import CheckedColumn
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
        planned = _planned(column.field, plans)
        if planned is None:
            continue
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = np.array(column.values, dtype=float) / planned
        ratio[~np.isfinite(ratio)] = np.nan
        if np.isfinite(ratio).any():
            found.append(_compared(joint_list, plans, column, ratio))
    return found


def _planned(field: str, plans: Plans) -> NDArray[np.float64] | None:
    if field == "torque":
        return plans.torque
    if field == "load":
        return plans.preload
    return plans.preload / plans.area if field == "stress" else None


def _compared(joint_list: JointList, plans: Plans, column: CheckedColumn, ratio: NDArray[np.float64]) -> Compared:
    reading = next((each for each in joint_list.understood.columns if each.heading == column.heading), None)
    where = letter(reading.at) if reading else "?"
    named = f"column {where} '{column.heading}'"
    known = np.flatnonzero(np.isfinite(ratio))
    middle = float(np.median(ratio[known]))
    near = known[np.abs(ratio[known] / middle - 1) <= _STEADY]
    lines: list[tuple[str, str]] = []
    if len(known) >= _FEWEST and len(near) >= _NINE_OF_TEN * len(known):
        lines.append(("note", f"{named}: {_said(column, plans, near, middle)} ({len(near)} of {len(known)} rows)"))
        far = known[np.abs(ratio[known] / middle - 1) > _OFF]
        off = f"more than {100 * _OFF:g} % off the ratio of all other rows"
    else:
        low, high = (f"{100 * (value - 1):+.0f} %" for value in (ratio[known].min(), ratio[known].max()))
        lines.append(("note", f"{named}: yours differ from the plan by {low} to {high}"))
        far = known[np.abs(ratio[known] - 1) > _OFF]
        off = f"more than {100 * _OFF:g} % off the plan"
    if len(far):
        lines.append(("caution", f"{named}: {off}: rows {_rows(joint_list, far)}"))
    percent = tuple(round(100 * (value - 1), 1) if np.isfinite(value) else None for value in ratio.tolist())
    return Compared(f"Off by, column {where}", percent, tuple(lines))


def _said(column: CheckedColumn, plans: Plans, rows: NDArray[np.int64], middle: float) -> str:
    """What one ratio in nearly all rows says: the same figures, or those of another nut factor."""
    if abs(middle - 1) <= _SAME:
        return "yours agree with the plan"
    more = f"{100 * abs(middle - 1):.0f} % {'above' if middle > 1 else 'below'} the plan"
    if column.field != "torque":
        return f"yours are {more}"
    with np.errstate(divide="ignore", invalid="ignore"):
        factors = np.array(column.values)[rows] / (plans.preload[rows] * np.asarray(plans.thread.diameter)[rows])
    factors = factors[np.isfinite(factors)]
    if len(factors) and np.ptp(factors) <= 2 * _STEADY * float(np.median(factors)):
        return f"yours match K {float(np.median(factors)):.2f}, {more}"
    return f"yours are {more}"


def _rows(joint_list: JointList, places: Sequence[int] | NDArray[np.int64]) -> str:
    return listed_rows([joint_list.numbers[int(i)] for i in places])
