"""A plan and its as-tightened records, joint by joint: each row's status, reasons and what was really used."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from addin.cells.headings import plain_words
from addin.cells.words import line
from addin.plan.file import Plan
from addin.plan.record import JointPass, PlanHead
from addin.plan.record_joint import STOPPED, FrictionEntry, JointEntry, ToolEntry
from addin.reading.joint_rows import US_UNITS, read_constant
from addin.records.record_cells import Values
from addin.records.record_fields import FOUND
from addin.records.record_rows import RecordEntry, Records, Refused
from addin.records.tools_of_plan import number, si
from calc.findings import Finding, InputError
from calc.hardware import friction as nut_friction
from calc.hardware import threads
from calc.review.as_tightened import (  # fmt: skip
    AGREES,
    ALL,
    OPEN,
    PART,
    REVIEW,
    Book,
    Done,
    Friction,
    Planned,
    PlannedPass,
    Record,
    Tool,
    reason,
)
from calc.review.review import Verdict, judge
from calc.units import System, system

NOT_JUDGED, NOT_PLANNED = "not judged here", "stopped in the plan"
STATUSES = (REVIEW, PART, OPEN, NOT_PLANNED, AGREES, NOT_JUDGED)
"""What a row can be, in the order in which people look."""
LEFT = (PART, OPEN, NOT_PLANNED)
"""What is still to be done."""

Key = tuple[str, str]


@dataclass(frozen=True, eq=False)
class RecordedRow:
    """One joint and operation: its plan entry, status, next pass, reasons as findings and as lines, and its record."""

    joint: JointEntry
    status: str
    units: System
    next_pass: int | None = None
    findings: tuple[Finding, ...] = ()
    verdict: Verdict | None = None
    entries: tuple[RecordEntry, ...] = ()
    passes: tuple[Done, ...] = ()
    card_now: str | None = None
    steps: tuple[JointPass, ...] = ()

    @property
    def reasons(self) -> list[str]:
        """The reasons as lines in the joint's own units."""
        return [line(finding, self.units) for finding in self.findings]

    @property
    def wrench(self) -> str:
        """The wrench or wrenches that the plan has for it."""
        if self.joint.method == "hand":
            return "by hand"
        return " + ".join(each.wrench for each in self.joint.wrenches) or "no wrench in the plan"

    @property
    def area(self) -> str:
        """Its part of the plant."""
        return self.joint.area_of_plant or "no area stated"


@dataclass(frozen=True, eq=False)
class Report:
    """A plan with its records: rows in the order of the list, what could not be read, notes, the tools of the plan."""

    plan: Plan
    rows: tuple[RecordedRow, ...]
    refused: tuple[Refused, ...]
    notes: tuple[str, ...]
    files: tuple[tuple[str, str], ...]
    book: Book = field(default_factory=Book)

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

    def first(self) -> list[RecordedRow]:
        """Rows with the exceptions first; within a status in the order of the list."""
        return sorted(self.rows, key=lambda row: STATUSES.index(row.status))

    @property
    def clean(self) -> bool:
        """Whether nothing is to be reviewed and every row could be read."""
        return not self.refused and all(row.status != REVIEW for row in self.rows)


def review(plan: Plan, records: Records, book: Book, now: Mapping[Key, str | None] | None = None) -> Report:
    """Every row of a plan against its records. `now`: cards of the list as it is now, by `key_of`, None for none."""
    refused = list(records.refused)
    joints = list(plan.joints)
    keys = {key_of(joint.joint, joint.operation): joint for joint in joints}
    entries: dict[Key, list[RecordEntry]] = {}
    unread: dict[Key, list[str]] = {}
    for item in records.refused:
        unread.setdefault(key_of(item.joint, item.operation), []).append(item.place)
    for entry in records.entries:
        key = key_of(entry.joint, entry.operation)
        fault = _fault(plan.head, entry, keys.get(key), keys)
        if fault is None:
            entries.setdefault(key, []).append(entry)
            continue
        finding, place = fault
        refused.append(Refused(f"{place}: {line(finding, system('US'))}", place, entry.joint, entry.operation))
        unread.setdefault(key, []).append(place)
    rows = tuple(
        _row(plan.head, joint, entries.get(key, []), tuple(unread.get(key, ())), book, now)
        for joint in joints
        for key in (key_of(joint.joint, joint.operation),)
    )
    notes = [*records.notes, *(note for row in rows for note in proposals(row.joint, row.entries))]
    if now is not None and (more := sum(key not in keys for key in now)):
        notes.append(f"the list as it is now has {more} rows that are not in this plan")
    return Report(plan, rows, tuple(refused), tuple(notes), tuple(records.files), book)


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
    return " ".join(str(joint).split()).casefold(), _operation(operation)


def _fault(
    head: PlanHead, entry: RecordEntry, joint: JointEntry | None, keys: Mapping[Key, JointEntry]
) -> tuple[Finding, str] | None:
    """Why a row of a record cannot be used, and its place."""
    if joint is None:
        name = " ".join(entry.joint.split()).casefold()
        others = tuple(each.operation for (tag, _), each in keys.items() if tag == name)
        facts = {"joint": entry.joint, "operation": entry.operation, "known": others}
        return Finding("record_joint_unknown", "joint", facts), entry.places["joint"]
    passes = head.passes(joint)
    planned = tuple(item.number for item in passes if item.percent)
    snug = tuple(item.number for item in passes if not item.percent)
    for named in (*entry.passes, *entry.own):
        if passes and named not in (*planned, *snug):
            pass_facts: dict[str, Any] = {"number": named, "known": planned}
            return Finding("record_pass_unknown", "passes", pass_facts), entry.places["passes"]
    return None


def units_of(joint: JointEntry) -> System:
    """The units a joint is spoken of in: those of its torque, and of the gauge it is set on."""
    torque, setting = joint.torque, joint.setpoint
    name = "US" if torque is None or torque.unit in US_UNITS else "SI"
    return system(f"{name} {setting.unit}") if setting else system(name)


def _row(
    head: PlanHead, joint: JointEntry, entries: Sequence[RecordEntry], unread: tuple[str, ...], book: Book,
    now: Mapping[Key, str | None] | None,
) -> RecordedRow:  # fmt: skip
    units = units_of(joint)
    if not joint.planned or joint.breakout:
        stopped = joint.status == STOPPED
        found = [reason("nothing_planned")] if stopped and entries else []
        found += [reason("record_unread", places=unread)] if unread else []
        status = REVIEW if found else NOT_PLANNED if stopped else NOT_JUDGED
        return RecordedRow(joint, status, units, findings=tuple(found), entries=tuple(entries))
    planned = planned_of(joint, head)
    record = record_of(planned, entries, unread)
    verdict = judge(planned, record, book)
    findings, card_now = [*verdict.reasons, *_found_different(joint, entries)], joint.card
    if now is not None:
        key = key_of(joint.joint, joint.operation)
        card_now = now.get(key)
        if card_now != joint.card and entries:
            findings = _changed(joint, key in now, card_now, record.cards, findings)
    status = REVIEW if findings else verdict.status
    return RecordedRow(
        joint,
        status,
        units,
        verdict.next_pass,
        tuple(findings),
        verdict,
        tuple(entries),
        record.passes,
        card_now,
        tuple(head.passes(joint)),
    )


def _differing(joint: JointEntry, entries: Sequence[RecordEntry]) -> dict[str, tuple[str, str]]:
    """Fields of the list that were found otherwise than planned: as found, and as planned."""
    said = {name: text for entry in entries for name, text in entry.found.items()}
    found = {FOUND[name]: (text, str(getattr(joint, FOUND[name]) or "not stated")) for name, text in said.items()}
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
    joint: JointEntry, listed: bool, now: str | None, cards: Sequence[str], found: list[Finding]
) -> list[Finding]:
    """The reasons, with what the list and the wrench book as they are now make of the card."""
    if not listed:
        return [reason("joint_dropped"), *found]
    if now is None:
        return [reason("joint_stops_now"), *found]
    if tuple(dict.fromkeys(cards)) == (now,):
        others = [finding for finding in found if finding.code != "card_superseded"]
        return [reason("card_newer", cards=tuple(dict.fromkeys(cards))), *others]
    return [reason("card_changed", now=now, card=joint.card), *found]


def planned_of(joint: JointEntry, head: PlanHead) -> Planned:
    """A joint's entry in a plan, in SI."""
    passes = [item for item in head.passes(joint) if item.percent]
    friction = joint.target.friction if joint.target else FrictionEntry()
    flats = si(joint.across_flats, "length")
    thread = _thread(joint.thread or "")
    ceiling = next((each.value for each in joint.limits if each.name == "stud ceiling"), None)
    return Planned(
        passes=tuple(
            PlannedPass(item.number, si(item.torque, "torque"), 3600.0 * (item.wait_hours or 0.0)) for item in passes
        ),
        tools=tuple(_tool(head, joint, each) for each in joint.wrenches),
        alternates=tuple(_tool(head, joint, each) for each in joint.alternates),
        hand=joint.method == "hand",
        card=joint.card or "",
        across_flats=flats,
        bearing=float(nut_friction.bearing_diameter(thread, flats)),
        thread=thread,
        lubricant=friction.lubricant or "",
        friction=Friction(
            *(number(getattr(friction, name)) for name in ("nut_factor", "thread_friction", "nut_friction"))
        ),
        preload=si(joint.preload, "force"),
        ceiling=si(ceiling, "stress"),
        tolerance=head.settings.tolerance_percent / 100,
    )


@cache
def _thread(designation: str) -> threads.Thread:
    return threads.parse(designation)


def _tool(head: PlanHead, joint: JointEntry, tool: ToolEntry) -> Tool:
    settings = zip(head.stages_of(joint), head.set_on(joint, tool), strict=True)
    pressures = {item.number: si(setting.pressure, "pressure") for item, setting in settings}
    return Tool(tool.wrench, tool.link, tool.gauge, pressures)


def record_of(planned: Planned, entries: Sequence[RecordEntry], unread: tuple[str, ...]) -> Record:
    """Everything that is recorded of one joint. A row for the whole joint covers the passes that no other row names."""
    numbers = [item.number for item in planned.passes]
    named = {n for entry in entries if not entry.whole for n in entry.passes}
    passes: list[Done] = []
    for entry in entries:
        covered = [n for n in numbers if n not in named] if entry.whole else [n for n in entry.passes if n in numbers]
        passes += [_done(entry, n, alone=len(covered) == 1) for n in covered]
    return Record(
        passes=tuple(passes),
        cards=tuple(entry.card for entry in entries if entry.card),
        lubricants=tuple(_spelt(entry.lubricant, planned.lubricant) for entry in entries if entry.lubricant),
        lubricant_same=any(entry.lubricant_same for entry in entries),
        whole=tuple(entry.row for entry in entries if entry.whole),
        unread=unread,
    )


def _spelt(product: str, planned: str) -> str:
    """A product as the plan spells it."""
    return planned if product.casefold() == planned.casefold() else product


def _done(entry: RecordEntry, number: int, *, alone: bool) -> Done:
    values: Values = entry.own.get(number, Values()).over(entry.values)
    own = entry.own.get(number, Values())
    clock = values.clock if alone or not math.isnan(own.clock) else math.nan
    return Done(
        number, ALL if entry.as_planned else values.same, values.wrenches, values.link, values.gauge, values.pressure,
        values.torque, values.day, clock,
    )  # fmt: skip


def days_used(report: Report, field: str) -> dict[str, list[float]]:
    """For each "wrench" or "gauge" that was used: the day of each of its passes, NaN where not stated."""
    found: dict[str, list[float]] = {}
    for row in report.rows:
        for item in row.verdict.used if row.verdict else ():
            name = getattr(item, field)
            if name:
                found.setdefault(name, []).append(item.day)
    return dict(sorted(found.items()))
