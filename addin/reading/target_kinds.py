"""Torque, load and stress of the same rows: which of them is the target is for a person to say."""

import math
import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from addin.cells.numbers import stands_for_nothing
from addin.reading import physics
from addin.reading.heads import TARGETS, cut
from addin.reading.notes import Notes
from addin.reading.seen import SeenColumn
from addin.reading.spellings import symbol_of
from addin.reading.understood import ASKED, CHECKED, NOT_USED, PROPOSED, SURE, ColumnReading, State, shown_name

_LIKELIER = ("torque", "load", "stress", "percent")


def one_kind_of_target(
    columns: Sequence[SeenColumn], readings: list[ColumnReading], notes: Notes
) -> list[ColumnReading]:  # fmt: skip
    """Targets of several kinds in the same rows: one governs, the others are compared with the plan.

    Nothing is to be chosen where each row has one of them. No look is needed where one heading says that it is the one to set,
    or where they state the same at the friction that the list itself states: then the plan is the same by either. Where they
    agree by the law of thread, load and torque, torque is proposed; where they do not, all are asked.
    """
    readings = _loads_of_the_studs(columns, readings)
    used = [i for i, r in enumerate(readings) if r.field in TARGETS and r.state in (SURE, PROPOSED)]
    asked = [i for i, r in enumerate(readings) if r.field in TARGETS and r.state == ASKED]
    kinds = {str(readings[i].field) for i in used}
    if len(kinds) < 2 or len(kinds) != len(used) or asked or not _stand_together([columns[i] for i in used]):
        return readings
    told = [i for i in used if _TO_SET.search(readings[i].heading) and readings[i].state == SURE]
    if len(told) == 1:
        first, why, state = told[0], "its heading says that it is the one to set", SURE
    elif _agree_at_stated_friction(columns, readings, used, notes):
        if any(readings[i].state == SURE for i in used):
            for i in used:
                if readings[i].state == PROPOSED:
                    why = f"{readings[i].why}; it states the same as the others at the list's friction: only compared"
                    readings[i] = replace(readings[i], state=CHECKED, why=why)
        return readings
    elif not _by_the_law(columns, readings, used):
        return _which(readings, used)
    else:
        own = [i for i in used if not _DERIVED.search(readings[i].heading)] or used
        known = [i for i in own if readings[i].state == SURE] or own
        first = min(known, key=lambda i: _LIKELIER.index(str(readings[i].field)))
        others = " and ".join(f"'{cut(readings[i].heading, 30)}'" for i in used if i != first)
        why = f"{others} may be the target too: no note says which governs, and the list states no friction at which they agree"
        state = PROPOSED
    for i in used:
        if i == first:
            readings[i] = replace(readings[i], state=state, why=f"{readings[i].why}; {why}")
        else:
            said = "the target" if state == SURE else "proposed as the target"
            why_not = f"'{cut(readings[first].heading, 30)}' is {said}; never used, only compared with the plan"
            readings[i] = replace(readings[i], state=CHECKED, why=why_not)
    return readings


def residual_for_information(
    columns: Sequence[SeenColumn], readings: list[ColumnReading], notes: Notes
) -> list[ColumnReading]:  # fmt: skip
    """A residual load that a note gives for information, beside another target: a load, never used, only compared."""
    said = next((s for s in notes.infos if _RESIDUAL.search(s)), "")
    if not said or not any(r.field in TARGETS and r.used for r in readings):
        return readings
    if any(r.field == "load" and r.state != NOT_USED for r in readings):
        return readings
    found = [
        (i, unit)
        for i, column in enumerate(columns)
        if (readings[i].field is None or readings[i].state == NOT_USED)
        and "RESIDUAL" in column.concepts
        and not column.concepts & {"GASKET", "TOOL", "PRESS"}
        and (unit := symbol_of(column.unit, "force"))
    ]
    if len(found) == 1:
        ((at, unit),) = found
        why = f"the note says '{cut(said)}'; never used, only compared with the plan"
        readings[at] = replace(
            readings[at], field="load", unit=unit, state=CHECKED, candidates=("load", "none"), also=(), why=why
        )
    return readings


_RESIDUAL = re.compile(r"\bresid\w*\.?\s+(?:\w+\s+)?(?:load|force|tension|preload)", re.IGNORECASE)


def _by_the_law(columns: Sequence[SeenColumn], readings: Sequence[ColumnReading], used: Sequence[int]) -> bool:
    """Whether the targets agree by the law of thread, load and torque; a share of the yield is not known well enough to tell.

    A force under a heading that says nothing (a proposal) is no rival of a target that is named.
    """
    kinds = {readings[i].field: i for i in used if readings[i].field != "percent"}
    if any(readings[i].state == PROPOSED for i in used):
        return True
    return len(kinds) < 2 or all(readings[i].confirmed for i in kinds.values())


def _which(readings: list[ColumnReading], used: Sequence[int]) -> list[ColumnReading]:
    """Targets that do not agree: a person says which governs."""
    for i in used:
        name = str(readings[i].field)
        rest = " and ".join(f"'{cut(readings[k].heading, 30)}'" for k in used if k != i)
        why = (
            f"{rest} is a target too, they do not agree, and nothing says which governs: leave one, let the other be"
            f" 'checked against {shown_name(name)}' or not used"
        )
        readings[i] = replace(readings[i], state=ASKED, candidates=(name, "none"), why=why)
    return readings


_NO_LOAD_OF_A_STUD = frozenset(
    ("ALLOW", "CHECK", "COLD", "GAUGE", "HOT", "KEEPS", "LIMIT", "MAXI", "MINI", "OLD", "RECORD", "RESIDUAL", "SPARE", "STAGE",
     "TESTW", "TOTAL", "UTIL", "YIELD", "GASKET", "GSTRESS", "SG", "PRESS", "DESIGN", "TOOL", "CREW")
)  # fmt: skip
"""What makes a force another one than the preload of a stud."""


def _loads_of_the_studs(columns: Sequence[SeenColumn], readings: list[ColumnReading]) -> list[ColumnReading]:
    """Columns of forces that suit the studs, under headings that say nothing or something impossible: never dropped unsaid."""
    thread = next((columns[i] for i, r in enumerate(readings) if r.field == "thread" or "thread" in r.also), None)
    if thread is None or any(r.field == "load" and r.state != NOT_USED for r in readings):
        return readings
    sizes = physics.stud_sizes(thread.values, symbol_of(thread.unit, "length"))
    found = []
    for i, column in enumerate(columns):
        unit = symbol_of(column.unit, "force")
        if readings[i].field is not None or unit is None or column.concepts & _NO_LOAD_OF_A_STUD:
            continue
        fits = physics.load_fits(physics.numbers(column.values, "force", unit), sizes)
        if fits is not None and fits > 0.9 and column.cells.filled >= 0.5 * column.cells.rows:
            found.append((i, unit))
    for i, unit in found:
        why = f"a force in {unit} that suits the studs, under a heading that does not say what it is"
        state: State = PROPOSED if len(found) == 1 else ASKED
        readings[i] = replace(
            readings[i], field="load", unit=unit, state=state, candidates=("load", "none"), also=(), why=why
        )
    return readings


_TO_SET = re.compile(
    r"\b(?:targets?|tgt|aim|selected|sel|chosen|to set|to apply|set ?point|soll|ziel|zu setzen|objetivo|visée?)\b"
    r"|100 ?%",
    re.IGNORECASE,
)
"""Words of a heading that say that its column is the one to set."""
_DERIVED = re.compile(r"\b(?:equiv|gleichwert|entspr)", re.IGNORECASE)
"""Words of a heading that say that its column follows from another."""
_MOST_ROWS = 0.8


def _stand_together(columns: Sequence[SeenColumn]) -> bool:
    """Whether many rows have more than one of some targets; a few that have are refused by themselves."""
    rows = zip(*(column.values for column in columns), strict=True)
    told = [sum(not stands_for_nothing(cell) for cell in row) for row in rows]
    return sum(count > 1 for count in told) > _OFTEN * sum(count > 0 for count in told)


_OFTEN = 0.2


def _agree_at_stated_friction(
    columns: Sequence[SeenColumn], readings: Sequence[ColumnReading], used: Sequence[int], notes: Notes
) -> bool:
    """Whether torque and load (or stress) state the same in most rows at the friction that column, title or notes state."""
    at = {str(readings[i].field): i for i in used}
    other = at.get("load", at.get("stress"))
    thread = next((columns[i] for i, r in enumerate(readings) if r.field == "thread" or "thread" in r.also), None)
    if "torque" not in at or other is None or thread is None:
        return False
    if not (readings[at["torque"]].confirmed and readings[other].confirmed):
        return False
    sizes = physics.stud_sizes(thread.values, symbol_of(thread.unit, "length"))
    arm, within = _arms(columns, readings, notes, sizes)
    load = physics.numbers(columns[other].values, "force" if "load" in at else "stress", readings[other].unit)
    if "load" not in at:
        load = load * sizes.tensile
        within += _OF_AREA
    torque = physics.numbers(columns[at["torque"]].values, "torque", readings[at["torque"]].unit)
    found = physics.ratio(torque, load * arm, within)
    return found is not None and abs(found.middle - 1) <= within and found.steady >= _MOST_ROWS


_OF_AREA = 0.06
"""Root and tensile area of a stud differ by about this; which of them a stress stands on is asked elsewhere."""


def _arms(
    columns: Sequence[SeenColumn], readings: Sequence[ColumnReading], notes: Notes, sizes: physics.StudSizes
) -> tuple[np.ndarray, float]:
    """Torque over load of each row by the friction that the list states [m], NaN where it states none; how near it is."""

    def stated(name: str) -> np.ndarray:
        column = next((columns[i] for i, r in enumerate(readings) if r.field == name and r.state == SURE), None)
        value = float(notes.facts[name].value) if name in notes.facts else math.nan
        texts = column.values if column else [None] * len(sizes.diameter)
        own = [math.nan if text is None else physics.number(str(text)) for text in texts]
        return np.array([value if each is None or math.isnan(each) else each for each in own], dtype=float)

    factor_k, mu = stated("nut_factor"), stated("thread_friction")
    pitch = (sizes.diameter - np.sqrt(sizes.tensile * 4 / math.pi)) / 0.9382
    by_mu = pitch / (2 * math.pi) + mu * (0.577 * (sizes.diameter - 0.6495 * pitch) + 0.64 * sizes.diameter)
    return np.where(np.isnan(factor_k), by_mu, factor_k * sizes.diameter), 0.03 if np.isfinite(factor_k).any() else 0.06
