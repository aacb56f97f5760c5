"""Where a fact of the joints was taken from: from each row's own cell, from what is stated beside the list, or from its
sheet of answers.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

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


class Taken:
    """Counts what was taken from where while the joints of a list are planned, fact by fact; `stated` beside the list
    goes before what is `answered`.
    """

    def __init__(self, joint_list: JointList, stated: Mapping[str, object], answered: Mapping[str, object]) -> None:
        self._list, self._counted = joint_list, 0
        self._own = _own_words(joint_list)
        self._sources: dict[str, tuple[str, str]] = {}
        for fact in FACTS:
            source = STATED if stated.get(fact) is not None else ANSWERS if answered.get(fact) is not None else ROW
            self._sources[fact] = source, str(stated.get(fact) if source == STATED else answered.get(fact, ""))
        self._otherwise = dict.fromkeys(FACTS, 0)
        said = [fact for fact in FACTS if fact not in _NOT_ALL and self._sources[fact][1]]
        self._said = [(fact, self._sources[fact][1], self._own[fact]) for fact in said]

    def add(self, joint: JointEntry) -> None:
        """The next joint of the list."""
        for fact, value, own in self._said:
            if own[self._counted] and str(getattr(joint, fact)) != value:
                self._otherwise[fact] += 1
        self._counted += 1

    def result(self) -> tuple[TakenFrom, ...]:
        """What was taken from where, when every joint has been added."""
        found = []
        joints = self._list.rows.joints
        for fact, (source, value) in self._sources.items():
            own, otherwise = self._own[fact], self._otherwise[fact]
            without = own.count(0)
            if fact in _NOT_ALL:
                read = getattr(joints, fact)
                needed = [
                    name and (fact != "wrench" or by == "hydraulic")
                    for name, by in zip(read, joints.method, strict=True)
                ]
                without = sum(bool(needs) and not own_word for needs, own_word in zip(needed, own, strict=True))
                otherwise = sum(_names(name) != _names(value) for name in read if value and name)
            found.append(TakenFrom(fact, value, source, len(own) - own.count(0), without, otherwise))
        return tuple(found)


_NOT_ALL = ("lubricant", "wrench")
"""Facts that not every row needs."""


def _own_words(joint_list: JointList) -> dict[str, bytearray]:
    """By fact, for each row whether its own cells say something of it."""
    places = {f: [column.place for column in joint_list.columns if column.field == f] for f in FACTS}
    own = {fact: bytearray(len(joint_list.numbers)) for fact in FACTS}
    columns = [(own[fact], place) for fact, found in places.items() for place in found]
    for i, cells in enumerate(joint_list.cells if columns else ()):
        for said, place in columns:
            if place < len(cells) and (cell := cells[place]) and (type(cell) is not str or cell.strip()):
                said[i] = 1
    return own


@lru_cache(maxsize=4096)
def _names(text: str) -> frozenset[str]:
    """The names in a cell, several with a comma or the like between."""
    return frozenset(" ".join(part.split()).casefold() for part in re.split("[;,+&]", text) if part.strip())
