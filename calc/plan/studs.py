"""What else is stated of studs: the grade of their nuts, and a reduced shank, each judged row by row."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from calc.findings import CAUTION, Finding, InputError
from calc.hardware import nut_grades
from calc.hardware.materials import Strength, grade_name
from calc.hardware.threads import Thread, smallest_area, tensile_area
from calc.plan.joints import Floats, Joints
from calc.plan.resolve import Findings

LEAST_SHANK = 0.6
"""A shank below this share of the thread's diameter is no shank but a slip of unit. Judgement, no source."""


def shanks(joints: Joints, diameter: Floats, mine: NDArray[np.bool_], found: Findings) -> Floats:
    """Diameter of every reduced shank, NaN elsewhere [m]; one that cannot be stops its row."""
    share = joints.shank_diameter / diameter
    with np.errstate(invalid="ignore"):
        off = mine & ((share < LEAST_SHANK) | (share > 1.02))
    found.each(off, "shank_off", "shank_diameter", value=joints.shank_diameter, diameter=diameter)
    return joints.shank_diameter.copy()


def reduced(thread: Thread, mine: NDArray[np.bool_], found: Findings) -> None:
    """Say where yield, torsion and break-out stand on a shank that is smaller than the thread's stress area."""
    with np.errstate(invalid="ignore"):
        share = np.asarray(smallest_area(thread)) / np.asarray(tensile_area(thread))
    found.each(mine & ~found.stopped & (share < 1 - 1e-9), "shank_reduced", "shank_diameter", CAUTION,
               value=np.asarray(thread.shank), share=share)  # fmt: skip


def _of_name(grade: str, thread: Thread | None) -> str:
    """The grade that a text names, where the table has no strength for the size; "" for one that is not known."""
    try:
        return grade_name(grade, bool(thread.metric)) if grade and thread else ""
    except InputError:
        return ""


def nuts(
    joints: Joints, thread_list: Sequence[Thread | None], strengths: Sequence[Strength | None],
    mine: NDArray[np.bool_], found: Findings,
) -> tuple[str, ...]:  # fmt: skip
    """The nut grade of every row as its standard writes it, "" where none is stated or known; cautions beside it.

    A list that states nuts anywhere has a caution on each row that states none.
    """
    names = [""] * len(joints)
    any_stated = any(joints.nut_grade[row] for row in np.flatnonzero(mine))
    for row in np.flatnonzero(mine).tolist():
        strength, text = strengths[row], joints.nut_grade[row]
        if not text:
            if any_stated:
                found.add(Finding("nut_unstated", "nut_grade", {}, CAUTION, row))
            continue
        stud = strength.grade if strength else _of_name(joints.grade[row], thread_list[row])
        try:
            names[row] = nut_grades.nut_name(text, stud)
        except InputError as error:
            f = error.finding
            found.add(Finding(f.code, f.quantity, f.facts, CAUTION, row))
            continue
        usual = nut_grades.pairing(stud)
        if usual is None or names[row] in usual.nuts:
            continue
        weaker = nut_grades.proof_stress(names[row]) < usual.proof
        facts = {"nut": names[row], "stud": stud, "known": usual.nuts, "source": usual.source}
        found.add(Finding("nut_weaker" if weaker else "nut_not_usual", "nut_grade", facts, CAUTION, row))
    return tuple(names)
