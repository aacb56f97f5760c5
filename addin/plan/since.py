"""What has changed between two plans: which joints, by what, and which cards are to be issued and withdrawn.

A card is known by its number (`addin.plan.card_number`). A joint needs a new card where that has changed, and only
there; a moved row, another day or shift, or a new wrench that it does not use, changes nothing. A card that holds
although a certificate behind it is new gets a supplementary line.
"""

import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import msgspec

from addin.cells.words import figure, signed
from addin.plan.card_number import certificates, parts
from addin.plan.entries import Amount
from addin.plan.file import Plan, read_plan
from addin.plan.record import (
    BookChangeEntry,
    ChangeEntry,
    EarlierPlan,
    EquipmentEntry,
    JointChangeEntry,
    PlanHead,
    SinceEntry,
    plan_id,
)
from addin.plan.record_joint import LISTED, EarlierCard, JointEntry

_APART = ("row", "card", "issue", "replaces", "findings", "joint", "operation", "interaction", "own_order", "carried",
          "print_it", "listed", "earlier")  # fmt: skip
"""What a joint's entry holds besides what its card says; its order is compared as it is carried out."""
_TOOL = ("wrench", "link", "gauge", "pump", "setpoint", "torque_at_setpoint")
_BOOK = (("wrenches", "wrench"), ("gauges", "gauge"))
_TOOLS = ("wrenches", "gauges", "lubricants", "equipment")
_NAMES = {"area_of_plant": "area of the plant", "at_once": "wrenches together", "studs": "stud count",
          "setpoint": "pressure to set", "nut_series": "nut series", "stud_1": "position of stud 1"}  # fmt: skip

NEW, GONE, CHANGED = "new", "gone", "changed"
ANOTHER_RULE = "how cards are numbered (another version of the program)"


class _Joint(NamedTuple):
    """What is still needed of a joint once it has been compared."""

    joint: str
    operation: str
    status: str
    card: str | None
    row: int
    issue: int


class Since:
    """Compares the joints of a new plan, one by one, with an old plan.

    `head` is that of the new plan, `on` the first day on which a card that it replaces no longer holds.
    """

    def __init__(self, old: Plan, head: PlanHead, sha256: str = "", on: str = "") -> None:
        self.old, self.head, self.sha256, self.on = old, head, sha256, on
        self._before: dict[tuple[str, str, int], int] = {key: at for at, key in enumerate(_keys(old.joints))}
        self._seen: dict[tuple[str, str], int] = {}
        self._pairs: list[tuple[_Joint | None, _Joint | None, list[ChangeEntry], list[ChangeEntry]]] = []
        self._supplements: list[JointChangeEntry] = []

    @classmethod
    def of(cls, path: Path, head: PlanHead, on: str = "") -> "Since":
        """Compare with the plan of a file, also of an older version. Raises WorkbookError as `read_plan` does."""
        return cls(read_plan(path, older=True), head, hashlib.sha256(path.read_bytes()).hexdigest(), on)

    def add(self, joint: JointEntry) -> JointEntry:
        """Take the next joint of the new plan; it comes back with the issue of its card and the card it replaces."""
        pair = (joint.joint.casefold(), joint.operation)
        number = self._seen[pair] = self._seen.get(pair, -1) + 1
        at = self._before.pop((*pair, number), None)
        before = None if at is None else self.old.joints[at]
        changes = [] if before is None else self._changes(before, joint)
        if before is not None and before.card and joint.card == before.card:
            joint = msgspec.structs.replace(joint, issue=before.issue, replaces=before.replaces)
            self._supplement(before, joint)
        elif before is not None and before.card and joint.card:
            joint = msgspec.structs.replace(joint, issue=before.issue + 1, replaces=before.card)
        if before is not None and self.on and (earlier := self._earlier(before, joint)):
            joint = msgspec.structs.replace(joint, earlier=earlier)
        if before is not None and (before.card, before.status) == (joint.card, joint.status) and not changes:
            return joint  # nothing need be kept of it
        why = self._why(before, joint) if before is not None and joint.card not in (None, before.card) else []
        self._pairs.append((None if before is None else _short(before), _short(joint), changes, why))
        return joint

    def result(self) -> SinceEntry:
        """What has changed: settings, wrench book, joints, cards to issue, to withdraw, with a supplementary line."""
        old, head = self.old.head, self.head
        settings = _differences(msgspec.structs.asdict(old.settings), msgspec.structs.asdict(head.settings))
        settings += _differences({"date": old.date}, {"date": head.date})
        book = [change for part, kind in _BOOK for change in _book(getattr(old, part), getattr(head, part), kind)]
        book += _book(old.lubricants, head.lubricants, "lubricant", "product")
        joints, issue, withdraw = [], [], []
        left = (self.old.joints[at] for at in self._before.values())
        gone = [(_short(before), None, list[ChangeEntry](), list[ChangeEntry]()) for before in left]
        for before, after, changes, why in [*self._pairs, *gone]:
            entry = _entry(before, after, changes)
            joints.append(entry)
            if after is not None and after.card and (before is None or after.card != before.card):
                replaces = before.card if before else None
                issue.append(
                    msgspec.structs.replace(
                        entry, card=after.card, issue=after.issue, replaces=replaces, changes=tuple(why)
                    )
                )
            if before is not None and before.card and (after is None or after.card != before.card):
                withdraw.append(msgspec.structs.replace(entry, card=before.card, reason=_reason(after)))
        return SinceEntry(
            plan=self.old.name, sha256=self.sha256, program=old.program, settings=tuple(settings), book=tuple(book),
            joints=tuple(joints), issue=tuple(issue), withdraw=tuple(withdraw), supplements=tuple(self._supplements),
        )  # fmt: skip

    def _earlier(self, before: JointEntry, after: JointEntry) -> tuple[EarlierCard, ...]:
        """The cards that a joint had before, the last of them as the old plan has it."""
        known = tuple(each for each in before.earlier if each.card != after.card)
        if not before.card or before.card == after.card:
            return known
        kept = EarlierCard(
            card=before.card, plan=plan_id(self.old.head.checksum), until=self.on, joint=without_words(before)
        )
        return (*known, kept)

    def earlier(self) -> tuple[EarlierPlan, ...]:
        """The plans that the cards kept as earlier ones were made with."""
        old = self.old.head
        mine = EarlierPlan(
            plan=plan_id(old.checksum), settings=old.settings, stages=old.stages,
            **{name: _other_than(getattr(old, name), getattr(self.head, name)) for name in _TOOLS},
        )  # fmt: skip
        before = (self._known(each) for each in old.earlier if each.plan != mine.plan)
        return (*before, mine) if self.on else ()

    def _known(self, plan: EarlierPlan) -> EarlierPlan:
        """An earlier plan with what it shared with the old plan and does not share with the new one."""
        shared = {
            name: _over(getattr(plan, name), _other_than(getattr(self.old.head, name), getattr(self.head, name)))
            for name in _TOOLS
        }
        return msgspec.structs.replace(plan, **shared)

    def _supplement(self, before: JointEntry, after: JointEntry) -> None:
        """A card that holds, where a certificate behind it is another one with the same table, factors and ratings."""
        was, now = certificates(before, self.old.head), certificates(after, self.head)
        new = [
            _change(f"certificate of {name}", was.get(name), now[name]) for name in now if was.get(name) != now[name]
        ]
        if new:
            self._supplements.append(
                JointChangeEntry(
                    joint=after.joint, operation=after.operation, row=after.row, kind=CHANGED, changes=tuple(new),
                    card=after.card, issue=after.issue,
                )
            )  # fmt: skip

    def _why(self, before: JointEntry, after: JointEntry) -> list[ChangeEntry]:
        """What made the number of a card another one: the parts of the number that differ."""
        if not before.card:
            return []
        was, now = parts(before, self.old.head), parts(after, self.head)
        found = [
            _change(name, was.get(name), now.get(name)) for name in {**was, **now} if was.get(name) != now.get(name)
        ]
        return found or [ChangeEntry(what=ANOTHER_RULE)]

    def _changes(self, before: JointEntry, after: JointEntry) -> list[ChangeEntry]:
        """What differs between two entries of one joint, the stated things one by one, the long ones by name."""
        changes = []
        was, now = _said(before, self.old.head), _said(after, self.head)
        for name in was:
            if was[name] == now[name] or (not was[name] and not now[name]):
                continue
            if name == "target" and before.target and after.target:
                changes += _differences({"target": before.target.basis}, {"target": after.target.basis})
                friction = (msgspec.structs.asdict(joint.target.friction) for joint in (before, after) if joint.target)
                changes += _differences(*friction)
                continue
            changes.append(_change(name, was[name], now[name]))
        return changes


def head_of(plan: EarlierPlan, head: PlanHead) -> PlanHead:
    """The head of a plan under which an earlier plan can be read: its own scheme, settings and tools."""
    tools = {name: _over(getattr(plan, name), getattr(head, name)) for name in _TOOLS}
    return msgspec.structs.replace(head, settings=plan.settings, stages=plan.stages, **tools)


def _key(entry: Any) -> tuple[str, Any]:
    kind = entry.kind if isinstance(entry, EquipmentEntry) else ""
    return kind, getattr(entry, "name", None) or getattr(entry, "product", "")


def _other_than(old: Sequence[Any], new: Sequence[Any]) -> tuple[Any, ...]:
    """Entries that the other side has not, or has otherwise."""
    there = {_key(entry): entry for entry in new}
    return tuple(entry for entry in old if there.get(_key(entry)) != entry)


def _over(own: Sequence[Any], below: Sequence[Any]) -> tuple[Any, ...]:
    """Entries of one side, and those of the other that it does not name."""
    named = {_key(entry) for entry in own}
    return (*own, *(entry for entry in below if _key(entry) not in named))


def without_words(joint: JointEntry) -> JointEntry:
    """An entry with what is needed to hold a record against it."""
    ceiling = tuple(each for each in joint.limits if each.name == "stud ceiling")
    return msgspec.structs.replace(
        joint, findings=(), limits=ceiling, range=None, duration=None, interaction=None, own_order=(), earlier=(),
        carried={}, area_of_plant=None, equipment=None, line=None, remarks=None, holes=None, stud_1=None,
    )  # fmt: skip


def since_plan(old: Path, new: Plan) -> tuple[SinceEntry, str | None]:
    """What has changed since the plan of a file; and what is to be said of that plan, None for nothing."""
    comparison = Since.of(old, new.head)
    for joint in new.joints:
        comparison.add(joint)
    return comparison.result(), comparison.old.older


def _said(joint: JointEntry, head: PlanHead) -> dict[str, Any]:
    """What a card says, by name, in the order in which people look."""
    found = {name: getattr(joint, name) for name in joint.__struct_fields__ if name not in _APART}
    found |= {each.name: joint.listed.get(each.name) for each in LISTED}
    found |= {name: getattr(joint.tool, name, None) for name in _TOOL}
    return found | {"passes": head.passes(joint), "order": head.order(joint), "order_source": joint.order_source}


def _keys(joints: Iterable[JointEntry]) -> Iterator[tuple[str, str, int]]:
    """Tag and operation of each joint; a pair that stands several times is counted."""
    seen: dict[tuple[str, str], int] = {}
    for joint in joints:
        pair = (joint.joint.casefold(), joint.operation)
        seen[pair] = seen.get(pair, -1) + 1
        yield (*pair, seen[pair])


def _short(joint: JointEntry) -> _Joint:
    return _Joint(joint.joint, joint.operation, joint.status, joint.card, joint.row, joint.issue)


def _entry(before: _Joint | None, after: _Joint | None, changes: list[ChangeEntry]) -> JointChangeEntry:
    joint = after or before
    assert joint is not None
    kind = NEW if before is None else GONE if after is None else CHANGED
    return JointChangeEntry(
        joint=joint.joint, operation=joint.operation, row=joint.row, kind=kind, changes=tuple(changes)
    )


def _reason(after: _Joint | None) -> str:
    if after is None:
        return "the joint is no longer in the list"
    return "replaced by a new card" if after.card else f"the joint is now {after.status}"


def _differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[ChangeEntry]:
    return [_change(name, before[name], after[name]) for name in before if before[name] != after[name]]


def _change(name: str, was: Any, now: Any) -> ChangeEntry:
    return ChangeEntry(what=_NAMES.get(name, name.replace("_", " ")), was=_shown(was), now=_shown(now))


def _shown(value: Any) -> str | None:
    """A value in a few words, None for one that is too long to say."""
    if value is None or value == "":
        return "not stated"
    if isinstance(value, Amount):
        return f"{figure(value.value)} {value.unit}"
    if isinstance(value, (tuple, list, dict, msgspec.Struct)):
        return None
    return figure(value) if isinstance(value, float) else str(value)


def _book(before: Sequence[Any], after: Sequence[Any], kind: str, key: str = "name") -> list[BookChangeEntry]:
    """What differs in one part of the wrench book, an entry for each wrench, gauge or product."""
    was, now = ({getattr(entry, key): entry for entry in part} for part in (before, after))
    found = []
    for name in dict.fromkeys([*was, *now]):
        if was.get(name) == now.get(name):
            continue
        kind_of = NEW if name not in was else GONE if name not in now else CHANGED
        changes = (
            _differences(msgspec.structs.asdict(was[name]), msgspec.structs.asdict(now[name]))
            if kind_of == CHANGED
            else []
        )
        found.append(BookChangeEntry(what=f"{kind} {name}", kind=kind_of, changes=tuple(changes)))
    return found


def lines(found: SinceEntry) -> list[str]:
    """What has changed, a line for each thing, for a person: summary first, then book, cards to issue, to withdraw."""
    counts = {kind: sum(entry.kind == kind for entry in found.joints) for kind in (NEW, GONE, CHANGED)}
    said = [
        f"since {found.plan}: joints {counts[NEW]} new, {counts[GONE]} gone, {counts[CHANGED]} changed; "
        f"cards {len(found.issue)} to issue, {len(found.withdraw)} to withdraw"
        + (f", {len(found.supplements)} hold with a new certificate" if found.supplements else "")
    ]
    said += [f"settings: {_in_words(change)}" for change in found.settings]
    for part in found.book:
        said.append(f"{part.what}: {_all(part.changes) or part.kind}")
    for entry in found.issue:
        replaces = f" (replaces {entry.replaces})" if entry.replaces else ""
        why = _all(entry.changes) or ("new in the list" if entry.kind == NEW else "now planned")
        number = f", issue {entry.issue}" if entry.issue > 1 else ""
        said.append(f"issue {entry.joint} {entry.operation}: card {entry.card}{number}{replaces}: {why}")
    for entry in found.withdraw:
        said.append(f"withdraw {entry.joint} {entry.operation}: card {entry.card}: {entry.reason}")
    said += [supplement(entry) for entry in found.supplements]
    return said


def supplement(entry: JointChangeEntry) -> str:
    """The supplementary line of a card that holds with a new certificate behind it."""
    return (
        f"card {entry.card} holds ({entry.joint} {entry.operation}): {_all(entry.changes)}; "
        "same table, factors and ratings"
    )


def _all(changes: Sequence[ChangeEntry], most: int = 5) -> str:
    more = f"; and {len(changes) - most} more" if len(changes) > most else ""
    return "; ".join(_in_words(change) for change in changes[:most]) + more


def _in_words(change: ChangeEntry) -> str:
    if change.was is None or change.now is None:
        return f"{change.what} changed"
    return f"{change.what} {change.was} -> {change.now}{_by_how_much(change.was, change.now)}"


_AMOUNT = re.compile(r"(\d+(?:\.\d+)?) (\D.*)")


def _by_how_much(was: str, now: str) -> str:
    """The change of an amount in one unit, in brackets; "" for anything else.

    >>> _by_how_much("664 lbf·ft", "700 lbf·ft"), _by_how_much("HW-2", "HW-4")
    (' (+5.4 %)', '')
    """
    before, after = _AMOUNT.fullmatch(was), _AMOUNT.fullmatch(now)
    if not before or not after or before[2] != after[2] or not float(before[1]):
        return ""
    return f" ({signed(float(after[1]) / float(before[1]) - 1)})"
