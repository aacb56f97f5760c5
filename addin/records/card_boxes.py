"""What stands in the boxes of a card besides passes and settings: tools really used, studs left, breaking out."""

import datetime
import math
import re
from collections.abc import Sequence

from addin.plan.record import PlanHead
from addin.plan.record_joint import BreakoutEntry, JointEntry
from addin.records.record_rows import RecordEntry
from addin.records.tools_of_plan import si
from calc.findings import Finding
from calc.review.as_tightened import SAME, Book, reason
from calc.review.review_pass import certificate, resting

_NONE = frozenset(("", "0", "none", "-", "–", "all done", "no"))


def boxes_left(entries: Sequence[RecordEntry]) -> list[Finding]:
    """Studs that have no tick, as the record names them."""
    found = []
    for entry in entries:
        stated = [entry.boxes.get("studs_left", "")]
        stated += [dict(values.boxes).get("studs_left", "") for values in entry.own.values()]
        found += [reason("studs_left", text=text) for text in stated if text.casefold().strip() not in _NONE]
        if other := entry.found.get("other_found", ""):
            found.append(reason("found_other", text=other))
    return list({repr(each.facts): each for each in found}.values())


def points_left(joint: JointEntry, entries: Sequence[RecordEntry]) -> list[Finding]:
    """Witness and hold points of the plan at which nobody is recorded; the card has one box for both."""
    boxes = [entry.boxes for entry in entries]
    boxes += [dict(values.boxes) for entry in entries for values in entry.own.values()]
    if not entries or any(each.get(name, "") for each in boxes for name in ("witness", "hold")):
        return []
    asked = {"witness": joint.witness, "hold": joint.hold_point}
    return [reason("point_not_recorded", point=name) for name, said in asked.items() if said]


def days_ahead(entries: Sequence[RecordEntry]) -> list[Finding]:
    """Days of work that lie ahead of today: a slip, or work that nobody has done yet. A day is left for time zones."""
    today = datetime.date.today().toordinal()
    days = [values.day for entry in entries for values in (entry.values, *entry.own.values())]
    late = sorted({day for day in days if not math.isnan(day) and day > today + 1})
    return [reason("day_ahead", day=datetime.date.fromordinal(int(day)).isoformat()) for day in late]


def about_tools(joint: JointEntry, entries: Sequence[RecordEntry], book: Book, head: PlanHead) -> list[Finding]:
    """A pump that is not the planned one, and a number read off a tool that the book has for none of those used."""
    found = []
    pumps = {tool.pump.casefold() for tool in (*joint.tools, *joint.alternates) if tool.pump}
    for entry in entries:
        named = [values.pump for values in (entry.values, *entry.own.values()) if values.pump]
        planned = tuple(sorted({tool.pump for tool in joint.tools if tool.pump})) or ("none",)
        found += [
            reason("other_pump", text=pump, planned=planned)
            for pump in dict.fromkeys(named)
            if not {part.casefold().strip() for part in re.split("[;,+&]", pump)} <= pumps
        ]
        if entry.tool_number and plain(entry.tool_number) not in _numbers(head):
            found.append(reason("tool_number_unknown", text=entry.tool_number))
    return found


def plain(text: str) -> str:
    """A serial or certificate number without what people leave out.

    >>> plain("DX-26-102"), plain("dx 26 102")
    ('dx26102', 'dx26102')
    """
    return re.sub(r"[^0-9a-z]", "", text.casefold())


def _numbers(head: PlanHead) -> set[str]:
    """Serial and certificate numbers of every tool of the book."""
    tools = (*head.wrenches, *head.gauges, *head.equipment)
    stated = [getattr(tool, name, None) for tool in tools for name in ("serial_number", "certificate", "name")]
    return {plain(text) for text in stated if text}


def broken_out(joint: JointEntry, head: PlanHead, entries: Sequence[RecordEntry], book: Book) -> list[Finding]:
    """What is to be said of a joint that was broken out: name and day, its card, the pressure never to go beyond, and
    the certificates of what was used.
    """
    block = joint.breakout
    assert block is not None
    found = []
    for entry in entries:
        days = [values.day for values in (entry.values, *entry.own.values()) if not math.isnan(values.day)]
        if not (entry.by or any(values.by for values in entry.own.values())):
            found.append(reason("break_by_not_stated"))
        if not days:
            found.append(reason("break_day_not_stated"))
        if not entry.card:
            found.append(reason("card_not_stated"))
        elif entry.card != joint.card:
            found.append(reason("card_not_known", cards=(entry.card,), card=joint.card or "none"))
        found += _tools(block, entry, days, book)
        highest = si(block.highest_pressure, "pressure", math.inf)
        for values in (entry.values, *entry.own.values()):
            for pressure in values.pressures:
                if pressure > highest * (1 + SAME):
                    found.append(reason("break_above", pressure=pressure, limit=highest))
    if len(entries) > 1 and len([entry for entry in entries if entry.whole]) > 1:
        found.append(reason("joint_recorded_twice", places=tuple(entry.row for entry in entries)))
    return list({f"{each.code} {each.facts!r}": each for each in found}.values())


def _tools(block: BreakoutEntry, entry: RecordEntry, days: Sequence[float], book: Book) -> list[Finding]:
    """Certificates of wrench and gauge on the days stated."""
    found: list[Finding] = []
    last = block.stages[-1].stage if block.stages else 1
    for name in entry.values.wrenches or ((block.tool.wrench,) if entry.as_planned else ()):
        wrench = book.wrenches.get(name.casefold())
        if wrench is None:
            found.append(reason("wrench_not_in_book", passes=(last,), wrench=name))
            continue
        for day in days:
            found += certificate(wrench.name, wrench.calibrated, wrench.valid_until, "wrench", last, day)
            found += resting(wrench.tool, last, day, book)
    for name in entry.values.gauges or ((block.tool.gauge,) if entry.as_planned else ()):
        gauge = book.gauges.get(name.casefold())
        if gauge is None:
            found.append(reason("gauge_not_in_book", passes=(last,), gauge=name))
            continue
        for day in days:
            found += certificate(gauge.name, gauge.calibrated, gauge.valid_until, "gauge", last, day)
            found += resting(gauge.name, last, day, book)
    if not (entry.values.wrenches or entry.as_planned):
        found.append(reason("wrench_not_stated", passes=(last,)))
    return found
