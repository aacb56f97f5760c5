"""Which cards are wanted, and how they are parted: by tag, crew, area, day or wrench, in the order of work."""

import re
from collections import Counter
from collections.abc import Callable, Container, Iterable, Sequence
from dataclasses import dataclass, field
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

    def of(self, joints: Iterable[JointEntry], cards: Container[str] | None = None) -> "LetThrough":
        """What it lets through, in one pass over the joints; where the list marks rows to print, and none is named,
        those. Only what is let through is kept; with `cards`, of joints that have another card only the names.
        """
        asked, tags, marked = LetThrough(), dict[str, None](), False
        values: dict[str, set[str]] = {way: set() for way in WAYS if getattr(self, way)}
        for joint in joints:
            asked.count += 1
            if joint.planned and joint.card:
                asked.cards[joint.card] += 1
            tags[joint.joint] = None
            for way, found in values.items():
                found.update(WAYS[way](joint))
            if joint.print_it and not marked and not self.partial:
                marked, asked.joints, asked.unchanged = True, [], []
            if not self._lets_through(joint) or (marked and not joint.print_it):
                continue
            if cards is not None and joint.planned and joint.card and joint.card not in cards:
                asked.unchanged.append((joint.joint or f"row {joint.row}", joint.operation))
            else:
                asked.joints.append(joint)
        asked.unmatched = [("joint", each) for each in self.joints if not any(fits(each, tag) for tag in tags)]
        for way, found in values.items():
            asked.unmatched += [(way, each) for each in getattr(self, way) if not any(fits(each, v) for v in found)]
        asked.tags = list(tags) if asked.unmatched else []
        return asked

    def _lets_through(self, joint: JointEntry) -> bool:
        if self.rows and joint.row not in self.rows:
            return False
        if self.joints and not any(fits(each, joint.joint) for each in self.joints):
            return False
        for way, values in WAYS.items():
            wanted = getattr(self, way)
            if wanted and not any(fits(each, value) for each in wanted for value in values(joint)):
                return False
        return True

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


@dataclass
class LetThrough:
    """What a selection lets through of a plan: its joints, how many the plan has, how often each card stands in it.

    unchanged : joint and operation of what it lets through as well, but nothing is written of;
    unmatched : patterns that fit no joint of the plan, each with what it stands for; tags : those of the plan where
    there are such patterns.
    """

    joints: list[JointEntry] = field(default_factory=list)
    unchanged: list[tuple[str, str]] = field(default_factory=list)
    count: int = 0
    cards: Counter[str] = field(default_factory=Counter)
    unmatched: list[tuple[str, str]] = field(default_factory=list)
    tags: list[str] = field(default_factory=list)


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
