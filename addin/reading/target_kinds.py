"""A torque, a load and a stress in the same rows: which of them is the target is for a person to say."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from addin.cells.numbers import stands_for_nothing
from addin.reading.heads import TARGETS
from addin.reading.seen import SeenColumn
from addin.reading.understood import ASKED, CHECKED, PROPOSED, SURE, ColumnReading, shown_name

_BOTH = 0.1
"""Share of the rows that must have two targets before they stand beside each other; fewer are exceptions."""
_TOLD = ("note says", "heading says that it", "names a year", "stage", "over: '", "within rounding")
"""Words of a reason that says why one governs."""


def one_kind_of_target(columns: Sequence[SeenColumn], readings: list[ColumnReading]) -> list[ColumnReading]:
    """Targets of several kinds of which nothing says which governs: where they agree torque is proposed and the others
    are compared with the plan; where they do not, all are asked.
    """
    used = [i for i, r in enumerate(readings) if r.field in TARGETS and r.state in (SURE, PROPOSED, ASKED)]
    kinds = {readings[i].field for i in used}
    if len(kinds) == 1 and len(used) == 1:
        return _confirmed(columns, readings, used[0])
    if len(kinds) < 2 or not _beside(columns, used) or any(readings[i].state == ASKED for i in used):
        return readings
    first = next((i for i in used if readings[i].field == "torque"), used[0])
    others = [i for i in used if i != first]
    named = " and ".join(f"'{readings[i].heading}'" for i in others)
    if all(readings[i].confirmed for i in used) and len(kinds) == len(used):
        why = f"{readings[first].why}; {named} says about the same as another kind of target: this one is set, the other is only compared; confirm"
        readings[first] = replace(readings[first], state=PROPOSED, candidates=(str(readings[first].field),), why=why)
        for i in others:
            why = f"{readings[i].why}; '{readings[first].heading}' states about the same: never used, only compared"
            readings[i] = replace(readings[i], state=CHECKED, why=why)
        return readings
    for i in used:
        name = str(readings[i].field)
        rest = " and ".join(f"'{readings[k].heading}'" for k in used if k != i)
        why = (
            f"{rest} is a target too, and nothing says which governs: leave one, let the other be 'checked against"
            f" {shown_name(name)}' or not used"
        )
        readings[i] = replace(readings[i], state=ASKED, candidates=(name, "none"), why=why)
    return readings


def _confirmed(columns: Sequence[SeenColumn], readings: list[ColumnReading], at: int) -> list[ColumnReading]:
    """The one target in use is confirmed by a person where another kind is only compared and nothing says why."""
    mine = readings[at]
    beside = [
        i
        for i, r in enumerate(readings)
        if r.field in TARGETS and r.state == CHECKED and r.field != mine.field and not _told(r.why)
    ]
    if mine.state != SURE or _told(mine.why) or not beside or not _beside(columns, [at, *beside]):
        return readings
    named = " and ".join(f"'{readings[i].heading}'" for i in beside)
    why = f"{mine.why}; {named} is another kind of target: this one is set, the other is only compared; confirm"
    readings[at] = replace(mine, state=PROPOSED, candidates=(str(mine.field),), why=why)
    return readings


def _told(why: str) -> bool:
    return any(words in why for words in _TOLD)


def _beside(columns: Sequence[SeenColumn], places: Sequence[int]) -> bool:
    """Whether several of the columns have numbers in the same rows."""
    filled = [np.array([not stands_for_nothing(value) for value in columns[i].values], dtype=bool) for i in places]
    rows = min((len(each) for each in filled), default=0)
    if not rows:
        return False
    both = np.sum([each[:rows] for each in filled], axis=0) > 1
    return bool(both.mean() >= _BOTH)
