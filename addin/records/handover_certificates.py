"""The sheet of certificates: wrenches, gauges and hand torque wrenches against the days on which they were used."""

import datetime
import math
from collections.abc import Sequence
from typing import Any

from addin.records.handover_sheet import HandoverSheet, HandoverStyle, Value
from addin.records.progress import Report, days_used

_OF = {"wrench": "wrenches", "gauge": "gauges", "hand torque wrench": "equipment"}
_ORDER = tuple(_OF)
_NONE = "hand torque wrench not stated: not checked"


def write_certificates(report: Report, sheet: Any, style: HandoverStyle, paper: str) -> None:
    """A line for each tool that was used, and one for hand torque wrenches that nobody named."""
    page = HandoverSheet(sheet, style, (15, 18, 18, 13, 13, 9, 13, 13, 46), paper, landscape=True)
    page.title("Certificates of what was used")
    page.head(("Name", "What", "Certificate", "Calibrated", "Valid until", "Passes", "First use", "Last use",
               "Valid on every day it was used"), repeat=True)  # fmt: skip
    for what, name, days, part in _of_lists(report):
        page.cells(_line(part, what, name, days))
    days = [item.day for row in report.rows if row.joint.method == "hand" and row.verdict
            for item in row.verdict.used if not item.wrench]  # fmt: skip
    if days:
        page.cells(("by hand", "hand torque wrench", "not stated", None, None, len(days), *_ends(days), _NONE))


def _of_lists(report: Report) -> list[tuple[str, str, list[float], Report]]:
    """Each tool with the days of its use; one that several lists used under the same certificate once."""
    found: dict[tuple[object, ...], tuple[str, str, list[float], Report]] = {}
    for part in report.parts:
        for what, name, days in used_tools(part):
            *key, _, _, _, _ = _line(part, what, name, [])
            found.setdefault(tuple(key), (what, name, [], part))[2].extend(days)
    return sorted(found.values(), key=lambda each: (_ORDER.index(each[0]), each[1]))


def used_tools(report: Report) -> list[tuple[str, str, list[float]]]:
    """Kind and name of each tool that was used, with the day of each of its passes."""
    found: dict[tuple[str, str], list[float]] = {}
    for name, days in days_used(report, "wrench").items():
        for part in name.split(" and "):
            hand = part.casefold() in report.book.by_hand or (
                part.casefold() not in report.book.wrenches and name in _by_hand(report)
            )
            found.setdefault(("hand torque wrench" if hand else "wrench", part), []).extend(days)
    for name, days in days_used(report, "gauge").items():
        found.setdefault(("gauge", name), []).extend(days)
    for row in report.rows:
        if row.joint.breakout and row.entries:
            _break_out(report, row.entries, row.joint.breakout.tool, found)
    return [(what, name, days) for (what, name), days in found.items()]


def _break_out(report: Report, entries: Sequence[Any], tool: Any, found: dict[tuple[str, str], list[float]]) -> None:
    """What broke a joint out, as stated or as planned."""
    for entry in entries:
        days = [values.day for values in (entry.values, *entry.own.values()) if not math.isnan(values.day)]
        names = entry.values.wrenches or ((tool.wrench,) if entry.as_planned else ())
        gauges = entry.values.gauges or ((tool.gauge,) if entry.as_planned else ())
        for what, used in (("wrench", names), ("gauge", gauges)):
            for name in used:
                found.setdefault((what, name), []).extend(days or [math.nan])


def _by_hand(report: Report) -> set[str]:
    """Names that stand as tools of joints by hand."""
    return {item.wrench for row in report.rows if row.joint.method == "hand" and row.verdict
            for item in row.verdict.used}  # fmt: skip


def _line(report: Report, what: str, name: str, days: Sequence[float]) -> tuple[Value, ...]:
    known = {entry.name.casefold(): entry for entry in getattr(report.plan.head, _OF[what])}
    key = name.casefold()
    book = report.book
    calibrated, until, said = math.nan, math.nan, "not in the wrench book: not checked"
    if what == "hand torque wrench":
        if hand := book.by_hand.get(key):
            calibrated, until = hand.first, hand.last
            said = validity(days, calibrated, until)
    elif tool := (book.wrenches if what == "wrench" else book.gauges).get(key):
        calibrated, until = tool.calibrated, tool.valid_until
        said = validity(days, calibrated, until)
    if (rest := book.resting.get(key)) and any(math.isnan(day) or rest[0] <= day <= rest[1] for day in days):
        said = "no: marked as not to be trusted on a day of its use"
    number = getattr(known.get(key), "certificate", None)
    return (name, what, number or "not stated", _day_or_none(calibrated), _day_or_none(until), len(days), *_ends(days),
            said)  # fmt: skip


def validity(days: Sequence[float], calibrated: float, until: float) -> str:
    """Whether a certificate covers the days of use, in words; a day that is not stated is not covered.

    >>> validity([5.0, 6.0], 1.0, 9.0), validity([5.0], 1.0, math.nan)
    ('yes', 'no: the end of its certificate is not stated')
    """
    stated = sorted({day for day in days if not math.isnan(day)})
    outside = [day for day in stated if day < calibrated or not day <= until]
    if math.isnan(until):
        return "no: the end of its certificate is not stated"
    if outside:
        return f"no: not on {', '.join(_day(day).isoformat() for day in outside)}"
    without = sum(math.isnan(day) for day in days)
    if without:
        return f"{'yes on the days stated, ' if stated else ''}not checked for {without} passes without a day"
    return "yes"


def _ends(days: Sequence[float]) -> tuple[Value, Value]:
    stated = [day for day in days if not math.isnan(day)]
    return (_day(min(stated)), _day(max(stated))) if stated else (None, None)


def _day(value: float) -> datetime.date:
    return datetime.date.fromordinal(int(value))


def _day_or_none(value: float) -> datetime.date | None:
    return None if math.isnan(value) else _day(value)
