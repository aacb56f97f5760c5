"""As-tightened values against the plan: what agrees, what is part done or open, and what people have to look at.

Pure: planned passes, what was recorded, and the tools' own tables in; a status and findings out. Nothing here says that
a joint is in order; people accept a joint.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from calc.findings import Finding
from calc.hardware import friction
from calc.preload import torque as stud_torque
from calc.quantities import settle
from calc.review.as_tightened import (
    AGREES,
    LACKING,
    NAN,
    OPEN,
    PART,
    REVIEW,
    TO_COMPLETE,
    Book,
    Done,
    Friction,
    Planned,
    Record,
    Used,
    every_stud,
    reason,
)
from calc.review.review_pass import review_pass


@dataclass(frozen=True, eq=False, slots=True)
class Verdict:
    """Status, next pass (None when none is left), reasons in order, what was used in each pass, preload [N]."""

    status: str
    next_pass: int | None
    reasons: tuple[Finding, ...]
    used: tuple[Used, ...]
    preload: float

    def torque(self, number: int) -> float:
        """Torque of a pass; of several wrenches the first one's. [N·m]"""
        return next((item.torque for item in self.used if item.number == number), NAN)


def judge(planned: Planned, record: Record, book: Book) -> Verdict:
    """One joint's record against its plan.

    Reasons are findings whose facts hold `passes`. A joint with a reason is to be reviewed, or to be completed where
    all its reasons are that something is not stated (`LACKING`); without one it agrees, is part tightened, or open.

    >>> from calc.review.as_tightened import ALL, PlannedPass
    >>> plan = Planned((PlannedPass(1, 100.0), PlannedPass(2, 200.0)), hand=True, card="A")
    >>> verdict = judge(plan, Record((Done(1, ALL, day=739000.0),), cards=("A",)), Book())
    >>> verdict.status, verdict.next_pass
    ('to be completed', 2)
    """
    numbers = [item.number for item in planned.passes]
    found: list[Finding] = []
    used: list[Used] = []
    done = sorted(record.passes, key=lambda item: item.number)
    recorded = {item.number for item in done}
    left = [number for number in numbers if number not in recorded]
    missing = [number for number in left if recorded and number < max(recorded)]
    if record.unread:
        found.append(reason("record_unread", places=record.unread))
    if record.passes or record.whole:
        found += _cards(planned, record)
    found += _twice(record, done)
    if missing:
        found.append(reason("pass_missing", passes=tuple(missing), last=max(recorded)))
    found += _sequence(planned, done)
    for item in done:
        step = next((each for each in planned.passes if each.number == item.number), None)
        if step is not None:
            found += review_pass(planned, step, item, book, used, _together(item, done))
    preload = NAN
    if record.passes:
        friction_used, said = _lubricant(planned, record, book, used)
        found += said
        preload = _preload(planned, friction_used, _highest(planned, used))
        found += _ceiling(planned, friction_used, preload)
    reasons = merged(found)
    status = status_of(reasons, recorded=bool(recorded or record.whole), left=bool(left))
    return Verdict(status, left[0] if left else None, reasons, tuple(used), preload)


def status_of(reasons: Sequence[Finding], *, recorded: bool, left: bool) -> str:
    """What a joint is, by its reasons, whether something of it is recorded, and whether a pass of it is left.

    >>> status_of([], recorded=True, left=False), status_of([Finding("by_not_stated", "")], recorded=True, left=False)
    ('agrees with the plan', 'to be completed')
    """
    if reasons:
        return TO_COMPLETE if recorded and all(each.code in LACKING for each in reasons) else REVIEW
    if not recorded:
        return OPEN
    return PART if left else AGREES


def _together(item: Done, done: Sequence[Done]) -> tuple[str, ...]:
    """Wrenches that other rows name for the same pass."""
    return tuple(name for each in done if each is not item and each.number == item.number for name in each.wrenches)


def merged(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Findings that differ only in their passes as one, in the order of the first.

    >>> [f.facts["passes"] for f in merged([Finding("x", "", {"passes": (3,)}), Finding("x", "", {"passes": (4,)})])]
    [(3, 4)]
    """
    groups: dict[str, list[Finding]] = {}
    for finding in findings:
        others = {name: value for name, value in finding.facts.items() if name != "passes"}
        groups.setdefault(f"{finding.code} {others!r}", []).append(finding)
    found = []
    for alike in groups.values():
        first = alike[0]
        passes = tuple(sorted({number for item in alike for number in item.facts.get("passes", ())}))
        facts = {**first.facts, "passes": passes} if passes else first.facts
        found.append(Finding(first.code, first.quantity, facts, first.level))
    return tuple(found)


# --- the joint as a whole -------------------------------------------------------------------------------------------


def _cards(planned: Planned, record: Record) -> list[Finding]:
    if not record.cards:
        return [reason("card_not_stated")]
    others = tuple(card for card in dict.fromkeys(record.cards) if card != planned.card)
    return [reason("card_not_known", cards=others, card=planned.card)] if others else []


def _twice(record: Record, done: Sequence[Done]) -> list[Finding]:
    found = []
    for number, rows in groupby(done, key=lambda item: item.number):
        together = list(rows)
        names = Counter(name.casefold() for each in together for name in each.wrenches)
        apart = all(each.wrenches for each in together) and max(names.values(), default=1) == 1
        if len(together) > 1 and not apart:
            found.append(reason("pass_recorded_twice", passes=(number,)))
        elif len({each.day for each in together if not math.isnan(each.day)}) > 1:
            found.append(reason("wrenches_apart", passes=(number,)))
    if len(record.whole) > 1:
        found.append(reason("joint_recorded_twice", places=record.whole))
    return found


def _sequence(planned: Planned, done: Sequence[Done]) -> list[Finding]:
    """Passes whose stated times run backwards, or that came before their wait was over."""
    waits = {item.number: item.wait for item in planned.passes}
    found = []
    for before, after in pairwise(done):
        days = after.day - before.day
        hours = 24 * days + after.clock - before.clock
        if before.number == after.number:
            continue
        if days < 0 or (days == 0 and hours < 0):
            found.append(reason("pass_order", passes=(after.number,), before=before.number))
        elif after.number == before.number + 1 and hours * 3600 < waits.get(after.number, 0.0):
            wait = waits[after.number] / 3600
            found.append(reason("wait_short", passes=(after.number,), waited=hours, wait=wait))
    return found


def _highest(planned: Planned, used: Sequence[Used]) -> float:
    """Highest torque recorded once every stud had a pass at the final torque: a nut does not go back. [N·m]

    NaN before that, and where the torque of any pass is not known: it may have been the highest.
    """
    numbers = {item.number for item in used}
    last = [item.studs for item in planned.passes if item.torque == planned.full and item.number in numbers]
    if any(math.isnan(item.torque) for item in used) or not every_stud(last, [each.studs for each in planned.passes]):
        return NAN
    return max(item.torque for item in used)


def _lubricant(
    planned: Planned, record: Record, book: Book, used: Sequence[Used]
) -> tuple[Friction | None, list[Finding]]:
    """Friction of the product really used (None when it is not known), and what is to be said of it."""
    products = tuple(dict.fromkeys(record.lubricants))
    others = [name for name in products if name.casefold() != planned.lubricant.casefold()]
    if not products and planned.lubricant and not record.lubricant_same:
        return None, [reason("lubricant_not_stated", planned=planned.lubricant)]
    if not others:
        return planned.friction, []
    found = []
    for name in others:
        product = book.lubricants.get(name.casefold())
        if product is None:
            found.append(reason("lubricant_not_in_book", product=name, planned=planned.lubricant))
            continue
        highest = _highest(planned, used)
        preload = _preload(planned, product, planned.full if math.isnan(highest) else highest)
        if not planned.lubricant:
            found.append(reason("lubricant_not_planned", product=name, preload=preload))
            continue
        facts = {"product": name, "planned": planned.lubricant, "preload": preload, "meant": planned.preload}
        found.append(reason("other_lubricant", **facts, share=preload / planned.preload - 1))
    if len(products) == 1:
        return book.lubricants.get(products[0].casefold()), found
    return None, found


def _preload(planned: Planned, product: Friction | None, torque: float) -> float:
    """Preload that a torque gives with a product's friction [N], NaN where one of them is not known."""
    thread = planned.thread
    if thread is None or product is None:
        return NAN
    if not math.isnan(product.nut_factor):
        return float(settle(stud_torque.preload_from_nut_factor(torque, thread, product.nut_factor)))
    unit = stud_torque.from_friction(
        1.0, thread, product.thread_friction, product.nut_friction, bearing_diameter=planned.bearing
    )
    return float(settle(torque / unit))


def _ceiling(planned: Planned, product: Friction | None, preload: float) -> list[Finding]:
    """Whether a preload above the planned one brought stress with torsion above the stud's ceiling."""
    if planned.thread is None or product is None or math.isnan(preload) or math.isnan(planned.ceiling):
        return []
    if preload <= (1 + planned.tolerance) * planned.preload:
        return []  # what the plan itself sets was checked when it was made
    coefficient = product.thread_friction
    if math.isnan(coefficient):
        coefficient = float(friction.coefficient_from_nut_factor(product.nut_factor, planned.thread, planned.bearing))
    reached = float(settle(stud_torque.combined_stress(preload, planned.thread, coefficient)))
    return [reason("above_stud_ceiling", reached=reached, limit=planned.ceiling)] if reached > planned.ceiling else []
