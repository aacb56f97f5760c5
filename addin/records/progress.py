"""A plan and its as-tightened records, joint by joint: each row's status, reasons and what was really used."""

import math
import sys
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from addin.cells.headings import plain_words
from addin.cells.words import line
from addin.plan.file import Plan
from addin.plan.record import JointPass, PlanHead
from addin.plan.record_joint import STOPPED, JointEntry
from addin.plan.release import Releases
from addin.reading.joint_rows import US_UNITS
from addin.records.card_boxes import about_tools, boxes_left, broken_out, days_ahead, points_left
from addin.records.done_work import Before, EarlierCards, Now, day_of, days_of, moved
from addin.records.known_cards import Key, Known, key_of, tag_of
from addin.records.planned_joint import planned_of
from addin.records.record_cells import NOTHING
from addin.records.record_fields import FOUND
from addin.records.record_rows import RecordEntry, Records, Refused
from addin.records.same_rows import one_row_each, wrenches_apart
from addin.records.tools_of_plan import si
from calc.findings import Finding
from calc.review.as_tightened import (  # fmt: skip
    AGREES,
    ALL,
    OPEN,
    PART,
    REVIEW,
    TO_COMPLETE,
    Book,
    Done,
    Planned,
    Record,
    Used,
    reason,
)
from calc.review.review import Verdict, judge, status_of
from calc.units import System, system

NOT_JUDGED, NOT_PLANNED = "not compared with the plan", "stopped in the plan"
STATUSES = (REVIEW, TO_COMPLETE, PART, OPEN, NOT_PLANNED, AGREES, NOT_JUDGED)
"""What a row can be, in the order in which people look."""
LEFT = (PART, OPEN, NOT_PLANNED)
"""What is still to be done."""
OF_TOOLS = frozenset(("wrench_drift",))
"""Reasons that are those of a tool: one line for all its joints."""
UNSETTLED = (REVIEW, TO_COMPLETE)
"""What people have to look at before a joint can be signed for."""


@dataclass(frozen=True, eq=False, slots=True)
class KeptJoint:
    """A joint of a long plan, read from its file when it is asked for."""

    plan: Plan
    at: int


@dataclass(frozen=True, eq=False, slots=True)
class RecordedRow:
    """One joint and operation: its plan entry, status, next pass, reasons as findings and as lines, and its record.

    `kept` is the entry, or where it is read; `made` its passes where they are not those of the entry and its plan.
    `on` is the row as the card it was done on has it, where that is an earlier one; `lacking` the number of its passes
    that a record must still name. `now` is the card of the list as it is now, where that was given. `waits`: nobody has
    released its card yet; `void`: its cards that were released before and no longer hold. `list_name` is its list,
    where a report is of several.
    """

    kept: JointEntry | KeptJoint
    status: str
    units: System
    next_pass: int | None = None
    findings: tuple[Finding, ...] = ()
    verdict: Verdict | None = None
    entries: tuple[RecordEntry, ...] = ()
    passes: tuple[Done, ...] = ()
    card_now: str | None = None
    made: tuple[JointPass, ...] | None = ()
    on: JointEntry | None = None
    waits: bool = False
    void: tuple[str, ...] = ()
    list_name: str = ""

    @property
    def joint(self) -> JointEntry:
        """Its entry in the plan."""
        return self.kept.plan.joints[self.kept.at] if isinstance(self.kept, KeptJoint) else self.kept

    @property
    def steps(self) -> tuple[JointPass, ...]:
        """The passes of the card it was done on."""
        if self.made is None and isinstance(self.kept, KeptJoint):
            return tuple(self.kept.plan.head.passes(self.joint))
        return self.made or ()

    @property
    def left(self) -> bool:
        """Whether work is left: a pass that is not recorded, whatever else is to be looked at."""
        return self.status in LEFT or (self.status in UNSETTLED and self.next_pass is not None)

    @property
    def done_on(self) -> JointEntry:
        """The row as the card it was done on has it."""
        return self.on or self.joint

    @property
    def reasons(self) -> list[str]:
        """The reasons as lines in the joint's own units."""
        return [line(finding, self.units) for finding in self.findings]

    @property
    def full(self) -> float:
        """The final torque of the card it was done on. [N·m]"""
        return si(self.done_on.torque, "torque")

    @property
    def own_reasons(self) -> list[str]:
        """The reasons but those of a tool, which are said once for all its joints."""
        return [line(finding, self.units) for finding in self.findings if finding.code not in OF_TOOLS]

    @property
    def wrench(self) -> str:
        """The wrench or wrenches that the plan has for it."""
        if self.joint.method == "hand":
            return "by hand"
        if self.joint.breakout:
            return self.joint.breakout.tool.wrench
        return " + ".join(each.wrench for each in self.joint.wrenches) or "no wrench in the plan"

    @property
    def area(self) -> str:
        """Its part of the plant, after its list where a report is of several."""
        area = self.joint.area_of_plant or "no area stated"
        return f"{self.list_name}: {area}" if self.list_name else area


@dataclass(frozen=True, eq=False)
class Report:
    """A plan with its records: rows in the order of the list, what could not be read, notes, the tools of the plan.

    `releases`: who released which cards, for a plan of a job. `lists`: the reports that this one puts together.
    """

    plan: Plan
    rows: tuple[RecordedRow, ...]
    refused: tuple[Refused, ...]
    notes: tuple[str, ...]
    files: tuple[tuple[str, str], ...]
    book: Book = field(default_factory=Book)
    releases: Releases | None = None
    lists: tuple["Report", ...] = ()

    @property
    def parts(self) -> tuple["Report", ...]:
        """The reports of single lists: itself, where it is of one."""
        return self.lists or (self,)

    @property
    def without_card(self) -> list[RecordedRow]:
        """Rows of which no card is valid: an earlier one was replaced, and nobody has released the new one."""
        return [row for row in self.rows if row.waits and row.void and row.status != AGREES]

    def counts(self, rows: Sequence[RecordedRow] | None = None) -> dict[str, int]:
        """How many rows have each status."""
        chosen = self.rows if rows is None else rows
        return {status: sum(row.status == status for row in chosen) for status in STATUSES}

    def by(self, name: Callable[[RecordedRow], str]) -> dict[str, dict[str, int]]:
        """Counts for each area or wrench, in order of name."""
        groups: dict[str, list[RecordedRow]] = {}
        for row in self.rows:
            groups.setdefault(name(row), []).append(row)
        return {key: self.counts(groups[key]) for key in sorted(groups)}

    def left_by(self, name: Callable[[RecordedRow], str]) -> Counter[str]:
        """Rows of which work is left, for each area or wrench."""
        return Counter(name(row) for row in self.rows if row.left)

    def by_tool(self) -> list[tuple[str, str, list[str]]]:
        """What is to be said of a tool, and the joints that it was used on."""
        found: dict[tuple[str, str], list[str]] = {}
        for row in self.rows:
            for finding in row.findings:
                if finding.code in OF_TOOLS:
                    key = finding.facts["tool"], line(finding, row.units)
                    found.setdefault(key, []).append(f"{row.joint.joint} {row.joint.operation}")
        return [(tool, said, list(dict.fromkeys(names))) for (tool, said), names in found.items()]

    def first(self) -> list[RecordedRow]:
        """Rows with the exceptions first; within a status in the order of the list."""
        return sorted(self.rows, key=lambda row: STATUSES.index(row.status))

    @property
    def clean(self) -> bool:
        """Whether nothing is to be reviewed and every row could be read."""
        return not self.refused and all(row.status not in UNSETTLED for row in self.rows)


def review(
    plan: Plan, records: Records, book: Book, now: Now | None = None, *, known: Known | None = None,
    earlier: EarlierCards | None = None, releases: Releases | None = None,
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> Report:  # fmt: skip
    """Every row of a plan against its records; `tell` is told how many of how many.

    now : the list as it would be planned now. known : the other lists of the job, whose rows are left to them.
    earlier : cards before those of the plan, from kept issues; those that the plan itself keeps are known anyway.
    releases : who released which cards; work on one that nobody released is to be reviewed.
    """
    refused = list(records.refused)
    joints = plan.joints if plan.long else list(plan.joints)
    keys = {key_of(joint.joint, joint.operation): at for at, joint in enumerate(joints)}
    entries: dict[Key, list[RecordEntry]] = {}
    unread: dict[Key, list[str]] = {}
    for item in records.refused:
        unread.setdefault(key_of(item.joint, item.operation), []).append(item.place)
    left: Counter[str] = Counter()
    for entry in records.entries:
        key = key_of(entry.joint, entry.operation)
        lists = known.lists_of(key, entry.card, entry.plan) if known else []
        if known and lists and known.mine not in lists:
            left[lists[0].name] += 1
            continue
        if len(lists) > 1:
            facts = {"joint": f"{entry.joint} {entry.operation}", "known": tuple(each.name for each in lists)}
            fault: tuple[Finding, str] | None = (Finding("record_two_lists", "joint", facts), entry.places["joint"])
        else:
            fault = _fault(plan.head, joints, entry, keys.get(key), keys)
        if fault is None:
            entries.setdefault(key, []).append(entry)
            continue
        finding, place = fault
        refused.append(Refused(f"{place}: {line(finding, system('US'))}", place, entry.joint, entry.operation))
        unread.setdefault(key, []).append(place)
    told = [f"{name}{_LEFT_TO_IT}{count}" for name, count in left.items()]
    if known:
        told += [f"{tag} {operation} stands in {name} too" for tag, operation, name in known.in_several()]
    for key, own in entries.items():
        entries[key], said = one_row_each(own)
        told += said
    kept = earlier or EarlierCards(plan)
    found = []
    for number, joint in enumerate(joints, 1):
        key = key_of(joint.joint, joint.operation)
        row = _row(plan.head, joint, entries.get(key, []), tuple(unread.get(key, ())), book, now, kept)
        if plan.long:
            made = None if row.made and row.on is None else row.made
            card = row.card_now and sys.intern(row.card_now)
            row = replace(row, kept=KeptJoint(plan, number - 1), made=made, card_now=card, verdict=_slim(row.verdict))
        found.append(row)
        tell(number, len(joints))
    rows = tuple(found)
    if releases is not None:
        rows = tuple(_released(row, releases, kept) for row in rows)
    notes = [*records.notes, *told, *(note for row in rows for note in proposals(row.joint, row.entries))]
    if now is not None and (more := sum(key not in keys for key in now.joints)):
        notes.append(f"the list as it is now has {more} rows that are not in this plan")
    return Report(plan, rows, tuple(refused), tuple(notes), tuple(records.files), book, releases)


_LEFT_TO_IT = ", another list: rows of the records left to it: "


def together(reports: Mapping[str, Report]) -> Report:
    """The reports of the lists of a job as one, each row with the name of its list; what was said twice stands once."""
    if len(reports) == 1:
        return next(iter(reports.values()))
    rows = [replace(row, list_name=name) for name, report in reports.items() for row in report.rows]
    every = list(reports.values())
    refused = {item.place: item for report in every for item in report.refused}
    notes = [f"{name}: {note}" for name, report in reports.items() for note in report.notes if _LEFT_TO_IT not in note]
    files = dict.fromkeys(pair for report in every for pair in report.files)
    lists = tuple(
        replace(report, rows=tuple(row for row in rows if row.list_name == name)) for name, report in reports.items()
    )
    return replace(every[0], rows=tuple(rows), refused=tuple(refused.values()), notes=tuple(notes),
                   files=tuple(files), lists=lists)  # fmt: skip


def _released(row: RecordedRow, releases: Releases, earlier: EarlierCards) -> RecordedRow:
    """A row with what is to be said of work on cards of its own that nobody has released, or not by that day."""
    joint = row.joint
    waits = bool(joint.card) and releases.of(joint.card) is None
    used = dict.fromkeys(entry.card for entry in row.entries if entry.card)
    mine = [card for card in used if card == joint.card or earlier.known(joint, card) is not None]
    cards = tuple(card for card in mine if releases.of(card) is None)
    later = {} if releases.nobody_asked else {card: releases.on[card] for card in mine if card in releases.on}
    early = [card for card, day in later.items()
             if any(each < day_of(day) for each in days_of([e for e in row.entries if e.card == card]))]  # fmt: skip
    void = tuple(card for card in earlier.cards_of(joint) if card != joint.card and releases.of(card) is not None)
    row = replace(row, waits=waits, void=void)
    if not cards and not early:
        return row
    found = (
        *row.findings,
        *([reason("card_not_released", cards=cards)] if cards else []),
        *(reason("card_released_later", card=card, day=later[card]) for card in early),
    )
    status = status_of(found, recorded=True, left=row.next_pass is not None)
    return replace(row, findings=found, status=status)


def _fault(
    head: PlanHead, joints: Sequence[JointEntry], entry: RecordEntry, at: int | None, keys: Mapping[Key, int]
) -> tuple[Finding, str] | None:
    """Why a row of a record cannot be used, and its place."""
    if at is None:
        name = tag_of(entry.joint)
        others = tuple(joints[each].operation for (tag, _), each in keys.items() if tag == name)
        facts = {"joint": entry.joint, "operation": entry.operation, "known": others}
        return Finding("record_joint_unknown", "joint", facts), entry.places["joint"]
    joint = joints[at]
    passes = head.passes(joint) if entry.passes or entry.own else []
    planned = tuple(item.number for item in passes if item.percent)
    snug = tuple(item.number for item in passes if not item.percent)
    for named in (*entry.passes, *entry.own):
        if passes and named not in (*planned, *snug):
            pass_facts: dict[str, Any] = {"number": named, "known": planned}
            return Finding("record_pass_unknown", "passes", pass_facts), entry.places["passes"]
    pulling = len(joint.wrenches)
    for values in (entry.values, *entry.own.values()):
        if len(values.pressures) > 1 and not values.wrenches and len(values.pressures) != pulling:
            many = {"count": len(values.pressures), "known": tuple(tool.wrench for tool in joint.wrenches) or ("none",)}
            return Finding("record_counts_differ", "pressures", many), entry.places["passes"]
    return None


def units_of(joint: JointEntry) -> System:
    """The units a joint is spoken of in: those of its torque, and of the gauge it is set on."""
    torque, setting = joint.torque, joint.setpoint
    name = "US" if torque is None or torque.unit in US_UNITS else "SI"
    return system(f"{name} {setting.unit}") if setting else system(name)


def _row(
    head: PlanHead, joint: JointEntry, entries: Sequence[RecordEntry], unread: tuple[str, ...], book: Book,
    now: Now | None, earlier: EarlierCards,
) -> RecordedRow:  # fmt: skip
    units = units_of(joint)
    before = earlier.of(joint, entries)
    new = now.joints.get(key_of(joint.joint, joint.operation)) if now is not None else joint
    card_now = new.card if new else None
    if not joint.planned or joint.breakout:
        return replace(_not_judged(head, joint, entries, unread, book, before), card_now=card_now)
    planned = before.planned if before else planned_of(joint, head)
    record = record_of(planned, entries, unread)
    verdict = judge(planned, record, before.book if before else book)
    reasons = [earlier.superseded(joint, each) if each.code == "card_not_known" else each for each in verdict.reasons]
    found = [
        *reasons,
        *(before.moved if before else []),
        *about_tools(joint, entries, book, head),
        *boxes_left(entries),
        *days_ahead(entries),
        *(points_left(joint, entries) if verdict.next_pass is None else []),
    ]
    found += _found_different(before.joint if before else joint, entries)
    if now is not None and card_now != joint.card and entries:
        found = _changed(joint, head, new, now.head, record.cards, found)
    status = status_of(found, recorded=bool(entries or unread), left=verdict.next_pass is not None)
    steps = before.head.passes(before.joint) if before else head.passes(joint)
    return RecordedRow(
        joint, status, units, verdict.next_pass, tuple(found), verdict, tuple(entries), record.passes, card_now,
        tuple(steps), before.joint if before else None,
    )  # fmt: skip


def _not_judged(
    head: PlanHead, joint: JointEntry, entries: Sequence[RecordEntry], unread: tuple[str, ...], book: Book,
    before: Before | None,
) -> RecordedRow:  # fmt: skip
    """A row that the plan gives no torque for, or that is broken out: nothing is compared, but nothing is lost."""
    stopped = joint.status == STOPPED
    found: list[Finding] = []
    if stopped and entries:
        found += before.moved if before else [reason("nothing_planned")]
    found += [reason("record_unread", places=unread)] if unread else []
    if joint.breakout and entries:
        found += days_ahead(entries)
        old = before if before and before.joint.breakout else None
        found += broken_out(joint, head, entries, book) if old is None else old.moved
        found += broken_out(old.joint, old.head, entries, old.book) if old else []
    status = NOT_PLANNED if stopped else NOT_JUDGED
    if found:
        status = status_of(found, recorded=bool(entries), left=False)
    elif joint.breakout:
        status = AGREES if entries else OPEN
    return RecordedRow(joint, status, units_of(joint), findings=tuple(found), entries=tuple(entries))


def _differing(joint: JointEntry, entries: Sequence[RecordEntry]) -> dict[str, tuple[str, str]]:
    """Fields of the list that were found otherwise than planned: as found, and as planned."""
    said = {name: text for entry in entries for name, text in entry.found.items()}
    found = {
        FOUND[name]: (text, str(getattr(joint, FOUND[name]) or "not stated"))
        for name, text in said.items()
        if FOUND[name]
    }
    return {name: pair for name, pair in found.items() if plain_words(pair[0]) != plain_words(pair[1])}


def _found_different(joint: JointEntry, entries: Sequence[RecordEntry]) -> list[Finding]:
    """Reasons to look at a joint whose studs, size or grade are not those of its card."""
    found = _differing(joint, entries).items()
    return [reason("found_different", what=name, text=text, planned=planned) for name, (text, planned) in found]


def proposals(joint: JointEntry, entries: Sequence[RecordEntry]) -> list[str]:
    """What the list should say in the next plan, for the planner to confirm; nothing is changed here."""
    return [
        f"proposal for the next plan: {joint.joint} {joint.operation}, row {joint.row}: {name} {text}, as found, "
        f"in place of {planned}"
        for name, (text, planned) in _differing(joint, entries).items()
    ]


def _changed(
    joint: JointEntry, head: PlanHead, new: JointEntry | None, new_head: PlanHead, cards: Sequence[str],
    found: list[Finding],
) -> list[Finding]:  # fmt: skip
    """The reasons, with what the list and the wrench book as they are now make of what was done."""
    if new is None:
        return [reason("joint_dropped"), *found]
    if new.card and tuple(dict.fromkeys(cards)) == (new.card,):
        others = [finding for finding in found if finding.code not in ("card_superseded", "card_not_known")]
        return [reason("card_newer", cards=tuple(dict.fromkeys(cards))), *others]
    return [*moved(joint, head, new, new_head), *found]


def record_of(planned: Planned, entries: Sequence[RecordEntry], unread: tuple[str, ...]) -> Record:
    """Everything that is recorded of one joint. A row for the whole joint covers the passes that no other row names."""
    numbers = [item.number for item in planned.passes]
    full = {item.number for item in planned.passes if item.torque == planned.full}
    named = {n for entry in entries if not entry.whole for n in entry.passes}
    passes: list[Done] = []
    for entry in entries:
        covered = [n for n in numbers if n not in named] if entry.whole else [n for n in entry.passes if n in numbers]
        for n in covered:
            passes += _done(entry, planned, n, alone=len(covered) == 1, setting=not entry.whole or n in full)
    whole = [entry for entry in entries if entry.whole]
    return Record(
        passes=tuple(passes),
        cards=tuple(entry.card for entry in entries if entry.card),
        lubricants=tuple(_spelt(entry.lubricant, planned.lubricant) for entry in entries if entry.lubricant),
        lubricant_same=any(entry.lubricant_same for entry in entries),
        whole=tuple(entry.row for entry in (whole[:1] if wrenches_apart(whole) else whole)),
        unread=unread,
    )


def _spelt(product: str, planned: str) -> str:
    """A product as the plan spells it."""
    return planned if product.casefold() == planned.casefold() else product


def _done(entry: RecordEntry, planned: Planned, number: int, *, alone: bool, setting: bool) -> list[Done]:
    """One pass of a row, a part for each wrench where they have values of their own.

    `setting`: its pressure and torque are those of this pass; in a row for the whole joint they are those of the passes
    at full torque.
    """
    own = entry.own.get(number, NOTHING)
    values = entry.values if setting else entry.values.without_setting()
    values = values if own is NOTHING else own.over(values)
    clock = values.clock if alone or not math.isnan(own.clock) else math.nan
    by = own.by or entry.by
    same = ALL if entry.as_planned else values.same
    names = values.wrenches
    many = max(len(values.pressures), len(values.links), len(values.gauges))
    if many > 1 and not names:
        names = tuple(tool.wrench for tool in planned.tools)
    if many < 2 or len(names) < 2:
        link, gauge = (listed[0] if listed else "" for listed in (values.links, values.gauges))
        return [_once(Done(number, same, names, link, gauge, values.pressure, values.torque, values.day, clock, by))]
    parts = []
    for at, name in enumerate(names):
        link, gauge = (_of_each(listed, at, "") for listed in (values.links, values.gauges))
        pressure = _of_each(values.pressures, at, math.nan)
        parts.append(Done(number, same, (name,), link, gauge, pressure, values.torque, values.day, clock, by))
    return parts


_MOST_DONE = 2_000
_done_once: dict[Done, Done] = {}


def _once(done: Done) -> Done:
    """A pass as the object that says the same already: what was done as planned is alike in many rows."""
    if len(_done_once) >= _MOST_DONE:
        _done_once.clear()
    return _done_once.setdefault(done, done)


_used_once: dict[tuple[Any, ...], Used] = {}


def _slim(verdict: Verdict | None) -> Verdict | None:
    """A verdict whose passes are shared with those that say the same: like joints of one day are pulled alike."""
    if verdict is None or not verdict.used:
        return verdict
    if len(_used_once) >= _MOST_DONE:
        _used_once.clear()
    keys = [(u.number, u.wrench, u.link, u.gauge, u.pressure, u.torque, u.day) for u in verdict.used]
    return replace(verdict, used=tuple(map(_used_once.setdefault, keys, verdict.used)))


def _of_each(listed: Sequence[Any], at: int, none: Any) -> Any:
    """The value of one of several wrenches: its own, or the one that all share."""
    return listed[at] if at < len(listed) else listed[0] if len(listed) == 1 else none


def days_used(report: Report, field: str) -> dict[str, list[float]]:
    """For each "wrench" or "gauge" that was used: the day of each of its passes, NaN where not stated."""
    found: dict[str, list[float]] = {}
    for row in report.rows:
        for item in row.verdict.used if row.verdict else ():
            name = getattr(item, field)
            if name:
                found.setdefault(name, []).append(item.day)
    return dict(sorted(found.items()))
