"""Done work stays done: a joint is judged by the card it was done on, and looked at again where what counts moved."""

import datetime
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from addin.cells.headings import plain_words
from addin.plan.file import Plan
from addin.plan.record import PlanHead, plan_id
from addin.plan.record_joint import JointEntry
from addin.plan.since import head_of
from addin.records.known_cards import Key, key_of
from addin.records.planned_joint import planned_of
from addin.records.record_rows import RecordEntry
from addin.records.tools_of_plan import book_of, si
from addin.wrenches.wrench_book import WrenchBook
from calc.findings import Finding
from calc.review.as_tightened import Book, Planned, reason

_FIELDS = {"gasket": "gasket", "lubricant": "lubricant", "thread": "stud", "grade": "grade of the studs",
           "nut_grade": "grade of the nuts", "studs": "stud count"}  # fmt: skip
"""What a joint is made up with, and how a reader calls it."""


@dataclass(frozen=True, eq=False)
class Now:
    """The list as it would be planned now: the head of that plan and its rows by key."""

    head: PlanHead
    joints: Mapping[Key, JointEntry]


@dataclass(frozen=True, eq=False)
class Before:
    """The card a joint was done on, where it is not the plan's: its row, its plan, and what has moved since."""

    joint: JointEntry
    head: PlanHead
    planned: Planned
    book: Book
    moved: list[Finding]


@dataclass(eq=False)
class EarlierCards:
    """The cards that a plan keeps of those before it, and those of kept issues of its list, the oldest first."""

    plan: Plan
    kept: Sequence[tuple[Plan, str]] = ()
    now: WrenchBook | None = None
    _heads: dict[str, PlanHead] = field(default_factory=dict)
    _books: dict[str, Book] = field(default_factory=dict)
    _rows: dict[tuple[Key, str], tuple[JointEntry, str, str]] = field(default_factory=dict)
    _cards: dict[Key, list[str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        head = self.plan.head
        self._heads = {each.plan: head_of(each, head) for each in head.earlier}
        for old, until in self.kept:
            number = plan_id(old.head.checksum)
            self._heads[number] = old.head
            for joint in old.joints:
                if joint.card:
                    key = key_of(joint.joint, joint.operation)
                    self._rows[key, joint.card] = (joint, number, until)
                    self._cards.setdefault(key, []).append(joint.card)

    def known(self, joint: JointEntry, card: str) -> tuple[JointEntry, str, str] | None:
        """A card of a joint: its row, the number of its plan, and the first day on which it no longer held."""
        own = next((each for each in joint.earlier if each.card == card), None)
        if own is not None:
            return own.joint, own.plan, own.until
        return self._rows.get((key_of(joint.joint, joint.operation), card))

    def cards_of(self, joint: JointEntry) -> tuple[str, ...]:
        """The numbers of every card that a joint had before, as far as they are known."""
        kept = self._cards.get(key_of(joint.joint, joint.operation), ())
        return tuple(dict.fromkeys((*(each.card for each in joint.earlier), *kept)))

    def of(self, joint: JointEntry, entries: Sequence[RecordEntry]) -> Before | None:
        """The earlier card that a joint was done on, before the day on which it no longer held; None for the plan's."""
        cards = {entry.card for entry in entries if entry.card}
        if len(cards) != 1 or joint.card in cards:
            return None
        found = self.known(joint, *cards)
        if found is None:
            return None
        old, number, until = found
        head = self._heads.get(number)
        if head is None or any(day >= day_of(until) for day in days_of(entries)):
            return None
        if number not in self._books:
            self._books[number] = book_of(head, self.now, self.plan.head)
        return Before(old, head, planned_of(old, head), self._books[number], moved(old, head, joint, self.plan.head))

    def superseded(self, joint: JointEntry, finding: Finding) -> Finding:
        """What is said of a card that is not the plan's: replaced, or known to nobody."""
        cards = finding.facts["cards"]
        known = [self.known(joint, card) for card in cards]
        if None in known:
            return finding
        dates = [found[2] for found in known if found]
        return reason("card_superseded", cards=cards, card=joint.card or "none", until=max(dates))


def day_of(text: str) -> float:
    """An ISO date as a day number."""
    return float(datetime.date.fromisoformat(text).toordinal())


def days_of(entries: Sequence[RecordEntry]) -> list[float]:
    """Every day that rows state."""
    stated = [values.day for entry in entries for values in (entry.values, *entry.own.values())]
    return sorted({day for day in stated if not math.isnan(day)})


def moved(old: JointEntry, old_head: PlanHead, new: JointEntry, new_head: PlanHead) -> list[Finding]:
    """Why work done as one plan has it must be looked at under another one: its torque, what it is made up with, or
    that it is no longer planned. A new certificate, another tolerance or another setpoint is no reason.
    """
    if not new.planned:
        return [reason("joint_stops_now")]
    found = []
    tolerance = old_head.settings.tolerance_percent / 100
    was, now = si(old.torque, "torque"), si(new.torque, "torque")
    if not math.isnan(was) and not abs(now / was - 1) <= tolerance:
        found.append(reason("torque_moved", torque=now, planned=was, share=now / was - 1, tolerance=tolerance))
    for name, said in _FIELDS.items():
        before, after = getattr(old, name), getattr(new, name)
        if plain_words(str(before or "")) != plain_words(str(after or "")):
            found.append(reason("made_up_otherwise", what=said, text=_said(before), planned=_said(after)))
    before_yield, after_yield = _yield(old, old_head), _yield(new, new_head)
    if not (math.isnan(before_yield) and math.isnan(after_yield)) and not (abs(after_yield / before_yield - 1) <= 1e-6):
        found.append(reason("yield_moved", reached=before_yield, limit=after_yield))
    return found


def _said(value: object) -> str:
    return "not stated" if value in (None, "") else str(value)


def _yield(joint: JointEntry, head: PlanHead) -> float:
    """The yield of the studs that the ceiling of a row stands on. [Pa]"""
    ceiling = next((each.value for each in joint.limits if each.name == "stud ceiling"), None)
    return si(ceiling, "stress") / (head.settings.yield_percent / 100)
