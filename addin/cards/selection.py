"""Which cards are wanted, and how they are parted: by tag, crew, area, day or wrench, in the order of work."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase

from addin.cards.card_values import NO_DAY
from addin.plan.record_joint import JointEntry

NO_CREW, NO_AREA, BY_HAND = "crew not stated", "area not stated", "by hand"


def _wrench(joint: JointEntry) -> tuple[str, ...]:
    return tuple(dict.fromkeys(tool.wrench for tool in joint.tools)) or (BY_HAND,)


WAYS: dict[str, Callable[[JointEntry], tuple[str, ...]]] = {
    "crew": lambda joint: (f"{joint.crew or NO_CREW}",),
    "area": lambda joint: (joint.area_of_plant or NO_AREA,),
    "date": lambda joint: (joint.date or NO_DAY,),
    "wrench": _wrench,
}
"""Ways of parting a pack, each with what a joint belongs to."""


@dataclass(frozen=True)
class Selection:
    """What is wanted of a plan: patterns by way, in any case (* and ? stand for letters); empty for everything.

    rows : of the list; where some are named, only these.
    by : the ways in which the pack is parted; a crew's pack is parted by day too.
    """

    joints: tuple[str, ...] = ()
    crew: tuple[str, ...] = ()
    area: tuple[str, ...] = ()
    date: tuple[str, ...] = ()
    wrench: tuple[str, ...] = ()
    by: tuple[str, ...] = ()
    rows: tuple[int, ...] = ()

    @property
    def partial(self) -> bool:
        """Whether something of the plan may be left out."""
        return bool(self.joints or self.crew or self.area or self.date or self.wrench or self.rows)

    def unmatched(self, joints: Sequence[JointEntry]) -> list[tuple[str, str]]:
        """Patterns that fit no joint of the plan, each with what it stands for."""
        missing = [("joint", each) for each in self.joints if not any(fits(each, joint.joint) for joint in joints)]
        for way, values in WAYS.items():
            found = {value for joint in joints for value in values(joint)}
            missing += [(way, each) for each in getattr(self, way) if not any(fits(each, value) for value in found)]
        return missing

    def chosen(self, joints: Sequence[JointEntry]) -> list[JointEntry]:
        """The joints that every pattern lets through; where the list marks rows to print, and none is named, those."""
        marked = [joint for joint in joints if joint.print_it]
        found = marked if marked and not self.partial else list(joints)
        if self.rows:
            found = [joint for joint in found if joint.row in self.rows]
        if self.joints:
            found = [joint for joint in found if any(fits(each, joint.joint) for each in self.joints)]
        for way, values in WAYS.items():
            if wanted := getattr(self, way):
                found = [joint for joint in found if any(fits(each, v) for each in wanted for v in values(joint))]
        return found

    def groups(self, joints: Sequence[JointEntry]) -> list[tuple[str, list[JointEntry]]]:
        """The joints by folder, folders in the order of their names, joints in the order of work.

        A joint that several wrenches pull stands with each of them.
        """
        ways = list(dict.fromkeys([*self.by, *(["date"] if "crew" in self.by else [])]))
        if not ways:
            return [("", list(joints))]
        found: dict[str, list[JointEntry]] = {}
        for joint in in_order_of_work(joints):
            names = [""]
            for way in ways:
                named = "crew " if way == "crew" and joint.crew else ""
                names = [f"{name} {named}{value}".strip() for name in names for value in WAYS[way](joint)]
            for name in names:
                found.setdefault(name, []).append(joint)
        return sorted(found.items(), key=lambda item: _natural(item[0]))


def fits(pattern: str, value: str) -> bool:
    """Whether a value is the one asked for, or fits the pattern, in any case.

    >>> fits("e-12*", "E-1204 channel"), fits("N1[A]", "N1[a]"), fits("E-12", "E-1204")
    (True, True, False)
    """
    wanted, found = pattern.casefold(), value.casefold()
    return wanted == found or fnmatchcase(found, wanted.replace("[", "[[]"))


def in_order_of_work(joints: Sequence[JointEntry]) -> list[JointEntry]:
    """By day, place in the order of work and row of the list; what states no place comes after what does."""
    return sorted(
        joints, key=lambda joint: (joint.date or "~", not joint.sequence, _natural(joint.sequence or ""), joint.row)
    )


def _natural(text: str) -> list[tuple[int, int | str]]:
    """A key that sorts numbers inside a text as numbers.

    >>> sorted(["10", "9", "9a"], key=_natural)
    ['9', '9a', '10']
    """
    return [(0, int(part)) if part.isdecimal() else (1, part.casefold()) for part in re.split(r"(\d+)", text) if part]
