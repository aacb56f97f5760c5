"""Where a fact of the joints was taken from: from each row's own cell, from what is stated beside the list, or from its
sheet of answers.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from addin.plan.record_joint import JointEntry
from addin.reading.joint_list import JointList

FACTS = ("operation", "method", "lubricant", "wrench", "date", "at_once")
"""Facts of a joint that may be stated beside the list."""
ROW, STATED, ANSWERS = "its row", "stated beside the list", "the answers of the list"


@dataclass(frozen=True)
class TakenFrom:
    """A fact, what is said of it for rows without their own, and where; how many rows say it, how many do not, and how
    many say otherwise: they hold.
    """

    fact: str
    value: str
    source: str
    own: int
    taken: int
    otherwise: int


def taken_from(
    joint_list: JointList, joints: Iterable[JointEntry], stated: Mapping[str, object], answered: Mapping[str, object]
) -> tuple[TakenFrom, ...]:
    """What was taken from where, fact by fact; `stated` beside the list goes before what is `answered`."""
    entries = {joint.row: joint for joint in joints}
    found = []
    for fact in FACTS:
        places = [column.place for column in joint_list.columns if column.field == fact]
        rows = {
            number
            for number, cells in zip(joint_list.numbers, joint_list.cells, strict=True)
            if any(place < len(cells) and str(cells[place] or "").strip() for place in places)
        }
        source = STATED if stated.get(fact) is not None else ANSWERS if answered.get(fact) is not None else ROW
        value = str(stated.get(fact) if source == STATED else answered.get(fact, ""))
        others = [number for number in joint_list.numbers if number not in rows]
        if fact in ("lubricant", "wrench"):  # not every row needs one
            read = dict(zip(joint_list.numbers, getattr(joint_list.rows.joints, fact), strict=True))
            by = dict(zip(joint_list.numbers, joint_list.rows.joints.method, strict=True))
            others = [row for row in others if read[row] and (fact != "wrench" or by[row] == "hydraulic")]
            otherwise = sum(_names(read[row]) != _names(value) for row in rows if value and read[row])
        else:
            said = [str(getattr(joint, fact)) for row, joint in entries.items() if row in rows]
            otherwise = sum(each != value for each in said if value)
        found.append(TakenFrom(fact, value, source, len(rows), len(others), otherwise))
    return tuple(found)


def _names(text: str) -> set[str]:
    """The names in a cell, several with a comma or the like between."""
    return {" ".join(part.split()).casefold() for part in re.split("[;,+&]", text) if part.strip()}
