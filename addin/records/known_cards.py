"""What is known of joints and cards while records are read: this list, earlier cards, the other lists of the job."""

import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from addin.cells.headings import plain_words
from addin.plan.file import Plan
from addin.plan.record import PlanHead, plan_id
from addin.reading.joint_rows import read_constant
from calc.findings import InputError

Key = tuple[str, str]


@cache
def _operation(text: str) -> str:
    try:
        return str(read_constant("operation", text))
    except InputError:
        return plain_words(text)


def key_of(joint: str, operation: str) -> Key:
    """What names a row, however it is spelt.

    >>> key_of("E-1204  ch", "Final makeup") == key_of("E-1204 CH", "final make-up")
    True
    """
    return tag_of(joint), _operation(operation)


def tag_of(joint: str) -> str:
    """A tag, however it is spelt."""
    return sys.intern(" ".join(str(joint).split()).casefold())


@dataclass(frozen=True, eq=False)
class KnownList:
    """One list: the name of its plan, its rows as (tag, operation) by key, the keys of each card, now and earlier.

    `plans` are the numbers that its plan and earlier ones have on record sheets.
    """

    name: str
    head: PlanHead
    rows: Mapping[Key, tuple[str, str]]
    cards: Mapping[str, tuple[Key, ...]]
    plans: frozenset[str]

    def operations(self, card: str, joint: str) -> list[str]:
        """Operations of a tag that have or had this card."""
        tag = tag_of(joint)
        return [self.rows[key][1] for key in self.cards.get(card, ()) if key[0] == tag]


@dataclass(frozen=True, eq=False)
class Known:
    """The list whose plan records are held against, and the other lists of the job."""

    mine: KnownList
    others: Sequence[KnownList] = field(default_factory=tuple)

    def lists_of(self, key: Key, card: str, plan: str) -> list[KnownList]:
        """The lists that a row of a record can be of: by the plan its sheet names, by its card, by its name alone."""
        every = [self.mine, *self.others]
        if plan and (named := [each for each in every if plan in each.plans]):
            return named
        with_row = [each for each in every if key in each.rows]
        with_card = [each for each in with_row if key in each.cards.get(card, ())]
        return with_card or with_row

    def knows_plan(self, plan: str) -> bool:
        """Whether a number on a record sheet is that of a plan of the job."""
        return any(plan in each.plans for each in (self.mine, *self.others))

    def in_several(self) -> list[tuple[str, str, str]]:
        """Joints of this list that stand in another one too: tag, operation, the other list."""
        return [
            (*self.mine.rows[key], other.name) for other in self.others for key in self.mine.rows if key in other.rows
        ]


def known_list(plan: Plan, earlier: Sequence[Plan] = ()) -> KnownList:
    """What a plan, with the cards that came before its own, knows."""
    rows: dict[Key, tuple[str, str]] = {}
    cards: dict[str, tuple[Key, ...]] = {}

    def has(card: str, key: Key) -> None:
        known = cards.get(card, ())
        if key not in known:
            cards[card] = (*known, key)

    for joint in plan.joints:
        key = key_of(joint.joint, joint.operation)
        rows[key] = (sys.intern(joint.joint), sys.intern(joint.operation))
        for card in (joint.card, *(each.card for each in joint.earlier)):
            if card:
                has(sys.intern(card), key)
    plans = {plan_id(plan.head.checksum), *(each.plan for each in plan.head.earlier)}
    for old in earlier:
        plans.add(plan_id(old.head.checksum))
        for joint in old.joints:
            key = key_of(joint.joint, joint.operation)
            if joint.card and key in rows:
                has(joint.card, key)
    return KnownList(plan.name, plan.head, rows, cards, frozenset(plans))


def in_two_lists(lists: Iterable[tuple[str, Iterable[tuple[str, str]]]]) -> list[str]:
    """Sentences about joints that stand in two lists, each list given by its name with joint and operation of its rows.

    >>> in_two_lists([("A", [("E-1", "break"), ("E-2", "break")]), ("B", [("e-2", "break")])])
    ['e-2 break stand in A and in B: each would have two cards; take them out of one of the lists']
    """
    where: dict[tuple[str, str], str] = {}
    found: dict[tuple[str, str], list[str]] = {}
    for name, joints in lists:
        for joint, operation in joints:
            if (other := where.setdefault(key_of(joint, operation), name)) != name:
                found.setdefault((other, name), []).append(f"{joint} {operation}")
    said = []
    for (one, two), named in found.items():
        more = f" and {len(named) - 3} more" if len(named) > 3 else ""
        said.append(
            f"{', '.join(named[:3])}{more} stand in {one} and in {two}: each would have two cards; take them out of one"
            " of the lists"
        )
    return said
