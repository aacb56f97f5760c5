"""The hand-over workbook: what agrees with the plan, what is to be reviewed, what is open, with which certificates.

A new file of values; nothing of the user's is touched.
"""

import csv
import datetime
import io
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Any

from addin.cells.words import figure
from addin.plan.entries import Amount
from addin.plan.release import NOTHING_VALID
from addin.records.handover_certificates import write_certificates
from addin.records.handover_chart import FRONT, add_chart, rows_of
from addin.records.handover_quality import QUALITY, next_shift, printed_on, summary_block
from addin.records.handover_sheet import SMALL, HandoverSheet, HandoverStyle, Value, lines_of
from addin.records.progress import LEFT, NOT_JUDGED, NOT_PLANNED, STATUSES, UNSETTLED, RecordedRow, Report
from addin.records.quality import final
from addin.records.tools_of_plan import si
from addin.shipped import program
from addin.workbooks.new_file import check_target, write_new
from addin.workbooks.row_by_row import RowBook, write_rows
from calc.review.as_tightened import AGREES, OPEN, PART, REVIEW, TO_COMPLETE, Used
from calc.units import from_si

SUPPORTS = (
    "This workbook compares what was recorded with the plan. It does not accept joints, the signatories do: the"
    " people below. It supports and never replaces the site's procedure, local codes and licensed practice."
)
_MEANS = {
    REVIEW: "something differs from the plan, or cannot be checked: reasons on the sheet To review",
    PART: "the first passes agree with the plan, the others are not recorded",
    OPEN: "nothing recorded; a blank is never taken as done",
    NOT_PLANNED: "the plan gives no torque for it: see its message in the planned list",
    AGREES: "every pass is recorded and agrees with the plan",
    TO_COMPLETE: "name, day or hand torque wrench is missing: what, on the sheet To review",
    NOT_JUDGED: "tensioned, other methods: not compared; break-outs as recorded; listed on Still open",
}
HALF_A_PAGE = 14
"""Areas whose table leaves no room for the chart below it."""
_SIGN = ("Tightening contractor", "Bolting inspector", "Joint owner")


def write_handover(
    report: Report, target: Path, *, paper: str = "A4", about: Mapping[str, str] = MappingProxyType({}),
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> None:  # fmt: skip
    """Write the workbook whole or not at all; `about` names project, site, contractor; `tell` is told how many of its
    sheets are filled. Raises WorkbookError.
    """
    pages: tuple[tuple[str, Callable[[Report, Any, HandoverStyle, str], None]], ...] = (
        ("To review", _to_review), ("Joints", _joints), ("Passes", _passes), ("Certificates", write_certificates),
        ("Still open", _still_open), ("Next shift", next_shift), *QUALITY,
    )  # fmt: skip

    def fill(book: RowBook) -> None:
        style = HandoverStyle(book)
        _summary(report, book.sheet("Summary"), style, paper, about)
        for number, (name, write) in enumerate(pages, 1):
            tell(number, len(pages) + 1)
            write(report, book.sheet(name), style, paper)
        tell(len(pages) + 1, len(pages) + 1)

    write_rows(target, program(), fill)


def _summary(report: Report, sheet: Any, style: HandoverStyle, paper: str, about: Mapping[str, str]) -> None:
    page = HandoverSheet(sheet, style, (20, 6, 9, 10, 10, 8, 10, 11, 8), paper, landscape=False)
    counts = report.counts()
    page.title("Hand-over of tightened joints")
    for name, text in about.items():
        page.strong(f"{name}: {text}")
    heads = [part.plan.head for part in report.parts]
    for head in heads:
        page.line(f"List {head.list_file}, sheet {head.sheet}; planned with {head.program}; printed on {printed_on()}")
    for name, digest in dict.fromkeys([*(pair for head in heads for pair in head.inputs.items()), *report.files]):
        page.line(f"{name}: {digest[:16]}", SMALL)
    page.heading("All joints and operations")
    page.head(("Status", "Count", "What it means", *[""] * 6), height=16)
    page.merge(3, 9)
    for status in STATUSES:
        _meaning(page, status, counts[status])
    _meaning(page, "all rows of the list", len(report.rows))
    if report.refused:
        page.line(f"{len(report.refused)} rows of the records could not be read: see To review")
    if report.without_card:
        page.strong(
            f"Joints without a valid card: {len(report.without_card)}. Their cards are void, the new ones wait"
            " for a release: see Card register"
        )
    summary_block(page, report)
    groups = report.by(_area)
    front = len(groups) <= FRONT
    chart_row = page.row + 1
    if front:
        page.row += rows_of(len(groups)) + 1
    _signatures(page, counts)
    page.new_page()
    page.heading("Progress by area")
    top = page.row
    _progress(page, "Area", groups, report.left_by(_area))
    if not front:
        if len(groups) > HALF_A_PAGE:
            page.new_page()
        chart_row = page.row + 1
        page.row += rows_of(len(groups)) + 1
    add_chart(page, top, {area: _counts(found) for area, found in groups.items()}, chart_row)
    if report.lists:
        page.heading("Progress by list")
        _progress(page, "List", report.by(_list), report.left_by(_list))
    page.heading("Progress by wrench planned")
    _progress(page, "Wrench planned", report.by(_wrench), report.left_by(_wrench))


def _progress(page: HandoverSheet, name: str, groups: Mapping[str, Mapping[str, int]], left: Mapping[str, int]) -> None:
    page.head((name, "All", *_SHORT, "Left to do"))
    for key, found in groups.items():
        page.cells((key, sum(found.values()), *_counts(found), left.get(key, 0)))


def _counts(found: Mapping[str, int]) -> list[int]:
    return [found[status] for status in _SHORT.values()]


def _signatures(page: HandoverSheet, counts: Mapping[str, int]) -> None:
    page.heading("Signatures")
    page.line(SUPPORTS)
    open_rows = [f"{counts[status]} {status}" for status in STATUSES if status != AGREES and counts[status]]
    if open_rows:
        page.line(f"At the time of printing not everything agrees with the plan: {', '.join(open_rows)}.")
    page.head(("For", "Name", "", "", "Signature", "", "", "Date", ""), height=16)
    for number in range(len(_SIGN) + 1):
        if number:
            page.cells((_SIGN[number - 1], *[None] * 8), tall=34)
        for first, last in ((2, 4), (5, 7), (8, 9)):
            page.merge(first, last)


_SHORT = {
    "To review": REVIEW, "To complete": TO_COMPLETE, "Part tightened": PART, "Open": OPEN,
    "Stopped in the plan": NOT_PLANNED, "Agrees with the plan": AGREES,
}  # fmt: skip


def _area(row: RecordedRow) -> str:
    return row.area


def _list(row: RecordedRow) -> str:
    return row.list_name


def _wrench(row: RecordedRow) -> str:
    return row.wrench


def _meaning(page: HandoverSheet, status: str, count: int) -> None:
    page.cells((status, count, _MEANS.get(status, ""), *[None] * 6), height=16)
    page.merge(3, 9)


def _to_review(report: Report, sheet: Any, style: HandoverStyle, paper: str) -> None:
    page = HandoverSheet(sheet, style, (17, 15, 15, 11, 66, 20, 24), paper, landscape=True)
    page.title("To be reviewed")
    page.line(
        "Each joint stays here until people have decided about it; a corrected record or a new plan takes it out."
    )
    page.head(("Joint", "Operation", "Area", "Card", "Reasons", "Decision", "Name, signature, date"), repeat=True,
              height=18)  # fmt: skip
    for tool, reason, names in report.by_tool():
        for start in range(0, len(names), _NAMED):
            some = ", ".join(names[start : start + _NAMED])
            page.cells((tool, "", "", "", f"{reason}: {some}", None, None))
    _reviewed(page, report, REVIEW)
    page.heading("To be completed")
    _reviewed(page, report, TO_COMPLETE)
    if report.refused:
        page.heading("Rows of the records that could not be read")
        for item in report.refused:
            page.line(item.text)
    if report.notes:
        page.heading("Notes")
        for note in report.notes:
            page.line(note)


_NAMED, _TALLEST = 40, 24
"""Joints that one row names, and lines that it may have: a row that is taller than a page would be cut."""


def _reviewed(page: HandoverSheet, report: Report, status: str) -> None:
    """The joints of a status with their reasons, over several rows where they are many."""
    rows = [row for row in report.rows if row.status == status]
    for row in rows:
        joint, reasons = row.joint, row.own_reasons or row.reasons
        while reasons:
            some: list[str] = []
            while reasons and (not some or sum(lines_of(text, 66) for text in (*some, reasons[0])) <= _TALLEST):
                some.append(reasons.pop(0))
            page.cells((joint.joint, joint.operation, row.area, joint.card, "\n".join(some), None, None))
    if not rows:
        page.line("none")


_JOINT_HEAD: dict[str, float] = {
    "Joint": 15, "Operation": 15, "Area": 15, "Status": 16, "Next pass": 6, "Card": 11, "Card recorded": 11,
    "Stud size": 11, "Studs": 6, "First day": 11, "Last day": 11, "Done by": 13,
    "Final torque planned": 9, "Final torque as tightened": 10, "Torque unit": 7, "Difference (%)": 10,
    "Pressure planned": 12, "Pressure unit": 8, "Pressure as tightened": 14, "Pressure in that unit planned": 12,
    "As tightened, unit": 9, "Preload planned": 10, "Preload as tightened": 10, "Preload unit": 8,
    "Wrench planned": 13, "Wrench used": 16, "Pump used": 10, "Gauge used": 13, "Lubricant planned": 12,
    "Lubricant used": 18, "Remarks": 36,
}  # fmt: skip
_OFF = "+0.0_);-0.0_);0.0_)"
_PAGE_ENDS = ("Done by", "Preload unit")
"""Columns after which another page of the sheet Joints begins."""


def _joints(report: Report, sheet: Any, style: HandoverStyle, paper: str) -> None:
    heads = list(_JOINT_HEAD)
    off = heads.index("Difference (%)") + 1
    page = HandoverSheet(sheet, style, tuple(_JOINT_HEAD.values()), paper, landscape=True, formats={off: _OFF})
    page.several_wide([heads.index(name) + 1 for name in _PAGE_ENDS], "A:B")
    page.head(tuple(_JOINT_HEAD), repeat=True, height=40)
    for row in by_units(report.first()):
        page.cells(joint_values(row), marked=row.status in UNSETTLED)
    sheet.autofilter(0, 0, page.row - 2, page.wide - 1)


def joint_table(report: Report) -> list[list[Value]]:
    """The sheet Joints as rows of values, its headings first."""
    return [list(_JOINT_HEAD), *(joint_values(row) for row in by_units(report.first()))]


def by_units(rows: Iterable[RecordedRow]) -> list[RecordedRow]:
    """The rows in their order, those of a status and one unit of torque and pressure together."""
    listed = list(rows)
    torques = list(dict.fromkeys(_unit(row.done_on.torque) for row in listed))
    pressures = list(dict.fromkeys(unit for row in listed if (unit := _unit(row.done_on.setpoint))))

    def place(row: RecordedRow) -> tuple[int, int, int]:
        torque, pressure = _unit(row.done_on.torque), _unit(row.done_on.setpoint)
        return STATUSES.index(row.status), torques.index(torque), pressures.index(pressure) if pressure else 0

    return sorted(listed, key=place)


def write_joint_table(report: Report, target: Path) -> None:
    """The sheet Joints as comma-separated text, in UTF-8 with its mark. What a spreadsheet would take for a formula
    begins with an apostrophe. Raises WorkbookError.
    """

    def said(value: Value) -> str:
        text = "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)
        return f"'{text}" if isinstance(value, str) and text.startswith(("=", "+", "-", "@", "\t")) else text

    check_target(target)
    lines = io.StringIO(newline="")
    csv.writer(lines).writerows([said(value) for value in row] for row in joint_table(report))
    write_new(target, lambda file: None if file.write(lines.getvalue().encode("utf-8-sig")) else None)


def joint_values(row: RecordedRow) -> list[Value]:
    """One row of the sheet Joints: planned and as tightened, the pressure in the unit of the crew."""
    joint, entries = row.done_on, row.entries
    used_last = final(row)
    last = used_last[0] if used_last else None
    torque, there = joint.torque, last.torque if last else math.nan
    preload = row.verdict.preload if row.verdict else math.nan
    days = _days(row)
    used = row.verdict.used if row.verdict else ()
    product = joint.lubricant
    unit = _unit(joint.setpoint)
    own = crew_unit(row, "pressure") or unit
    planned_in = sorted({each.setpoint for each in joint.wrenches if each.setpoint}, key=lambda each: each.value)
    return [
        joint.joint, joint.operation, row.area, row.status,
        row.next_pass if row.status != OPEN else None, row.joint.card, _listed(entry.card for entry in entries),
        joint.thread, joint.studs, _day(days[0]) if days else None, _day(days[-1]) if days else None,
        _listed([*(e.by for e in entries), *(v.by for e in entries for v in e.own.values())]),
        _value(torque), _shown(there, "torque", torque), _unit(torque), _difference(there, torque, last),
        _several([float(each.value) for each in planned_in]), unit, _pressures(used_last, own),
        _several([_in_unit(each, own) for each in planned_in]) if own and own != unit and used_last else None,
        own if used_last and own else None, _value(joint.preload), _shown(preload, "force", joint.preload),
        _unit(joint.preload), row.wrench if joint.status == "planned" else None,
        _listed(item.wrench for item in used), _listed(v.pump for e in entries for v in (e.values, *e.own.values())),
        _listed(item.gauge for item in used), product,
        _listed([*(e.lubricant for e in entries), *(f"batch {e.batch}" for e in entries if e.batch),
                 *(product or "" for e in entries if e.lubricant_same)]),
        _listed(entry.remarks for entry in entries),
    ]  # fmt: skip


def crew_unit(row: RecordedRow, kind: str) -> str:
    """The unit in which the crew typed a pressure or torque of a joint; "" where it typed none, or several."""
    typed = [values.units for entry in row.entries for values in (entry.values, *entry.own.values())]
    units = {unit for pairs in typed for name, unit in pairs if name == kind}
    return units.pop() if len(units) == 1 else ""


def _pressures(used: Sequence[Used], unit: str | None) -> Value:
    """The pressures of a pass in the crew's unit; of several wrenches each where they differ."""
    stated = [item.pressure for item in used if not math.isnan(item.pressure)]
    return _several([float(from_si(value, "pressure", unit)) for value in stated]) if unit else None


def _several(values: Sequence[float]) -> Value:
    """A number, or several that differ as text."""
    apart = list(dict.fromkeys(float(figure(value)) for value in values))
    if len(apart) > 1:
        return " + ".join(figure(value) for value in apart)
    return apart[0] if apart else None


def _in_unit(amount: Amount, unit: str) -> float:
    return float(from_si(si(amount, "pressure"), "pressure", unit))


def _days(row: RecordedRow) -> list[float]:
    """Every day that its record states, in order, whether or not it was compared with a plan."""
    stated = [item.day for item in row.passes]
    if row.verdict is None:
        stated = [values.day for entry in row.entries for values in (entry.values, *entry.own.values())]
    return sorted({day for day in stated if not math.isnan(day)})


def _difference(torque: float, planned: Amount | None, final: Used | None) -> Value:
    shown = _shown(torque, "torque", planned)
    if not isinstance(shown, float) or planned is None:
        return None
    return round(100 * (shown / float(planned.value) - 1), 1)


_PASS_ENDS = 10
"""Column after which the second page of the sheet Passes begins."""
_PASS_WIDE = (16, 14, 6, 7, 14, 11, 11, 14, 16, 9, 11, 8, 11, 11, 8, 9, 12, 7, 12)


def _passes(report: Report, sheet: Any, style: HandoverStyle, paper: str) -> None:
    page = HandoverSheet(sheet, style, _PASS_WIDE, paper, landscape=True, formats={16: _OFF})
    page.several_wide([_PASS_ENDS], "A:C")
    page.title("Passes that were recorded one by one")
    page.line(
        "Joints recorded as planned as a whole are not listed again; torque is through the table of the wrench used."
    )
    page.head(
        ("Joint", "Operation", "Pass", "%", "Wrench planned", "Pressure planned", "Torque planned", "Wrench used",
         "Link or socket used", "Gauge used", "Pressure set", "Unit", "Planned in that unit", "Torque there", "Unit",
         "Off (%)", "Day", "Time", "By"),
        repeat=True, height=28,
    )  # fmt: skip
    for row in report.first():
        if row.verdict and any(not e.whole or e.own or row.status == REVIEW for e in row.entries):
            for values in pass_values(row):
                page.cells(values)


def pass_values(row: RecordedRow) -> list[list[Value]]:
    """Rows of the sheet Passes for one joint."""
    steps = {item.number: item for item in row.steps}
    found: list[list[Value]] = []
    for item in row.verdict.used if row.verdict else ():
        step = steps[item.number]
        done = next(each for each in row.passes if each.number == item.number)
        by = [e.own[item.number].by for e in row.entries if item.number in e.own and e.own[item.number].by]
        by += [e.by for e in row.entries if e.by and (e.whole or item.number in e.passes)]
        off = _difference(item.torque, step.torque, item)
        unit = dict(done_values(row, item.number)).get("pressure") or row.units.symbol("pressure")
        pressure = None if math.isnan(item.pressure) else float(from_si(item.pressure, "pressure", unit))
        pulled = not math.isnan(item.pressure) or math.isnan(item.torque)
        without = "by hand" if row.joint.method == "hand" else "not stated" if pulled else "other means"
        found.append([
            row.joint.joint, row.joint.operation, item.number, step.percent, row.wrench,
            _value(step.pressure) or without, _value(step.torque), item.wrench or without,
            item.link or None, item.gauge or None, without if pressure is None else pressure,
            unit if pressure else None, _in_unit(step.pressure, unit) if pressure and step.pressure else None,
            _shown(item.torque, "torque", step.torque), _unit(step.torque), off,
            None if math.isnan(item.day) else _day(item.day), _clock(done.clock), by[0] if by else None,
        ])  # fmt: skip
    return found


def done_values(row: RecordedRow, number: int) -> tuple[tuple[str, str], ...]:
    """The units in which the values of a pass were typed."""
    for entry in row.entries:
        if number in entry.own:
            return entry.own[number].over(entry.values).units
        if number in entry.passes:
            return entry.values.units
    return ()


def _still_open(report: Report, sheet: Any, style: HandoverStyle, paper: str) -> None:
    page = HandoverSheet(sheet, style, (18, 16, 20, 16, 20, 9, 12, 12, 30), paper, landscape=True)
    page.title("Still open")
    page.head(("Joint", "Operation", "Area", "Wrench planned", "Status", "Next pass", "Job date", "Card", "Remark"),
              repeat=True, height=18)  # fmt: skip
    rows = [row for row in report.first() if row.status in (*LEFT, NOT_JUDGED)]
    for row in rows:
        joint = row.joint
        remark = None
        if row.card_now != joint.card and joint.status == "planned" and row.card_now is not None:
            remark = f"card is now {row.card_now}: withdraw {joint.card}"
        elif joint.status == "planned" and row.verdict and row.card_now is None:
            remark = "no longer planned: withdraw its card"
        if row.waits:
            remark = f"card {joint.card} is not released"
            remark += f"; {', '.join(row.void)} is void: {NOTHING_VALID}" if row.void else ""
        if row.status == NOT_PLANNED:
            remark = next((f.text for f in joint.findings if f.level == "stop"), None)
        if row.status == NOT_JUDGED:
            days = ", ".join(_day(day).isoformat() for day in _days(row))
            remark = "not compared with the plan: see its own record" + (f"; recorded for {days}" if days else "")
        page.cells((joint.joint, joint.operation, row.area, row.wrench, row.status, row.next_pass,
                    _date(joint.date), joint.card, remark))  # fmt: skip
    if not rows:
        page.line("none")


# --- values as they are shown ---------------------------------------------------------------------------------------


def _value(quantity: Amount | None) -> float | None:
    return None if quantity is None else float(quantity.value)


def _unit(quantity: Amount | None) -> str | None:
    return None if quantity is None else str(quantity.unit)


def _shown(value: float, kind: str, like: Amount | None) -> float | None:
    """A number in SI in the unit of another one."""
    return None if like is None or math.isnan(value) else float(from_si(value, kind, like.unit))


def _listed(texts: Any) -> str | None:
    return ", ".join(dict.fromkeys(text for text in texts if text)) or None


def _day(value: float) -> datetime.date:
    return datetime.date.fromordinal(int(value))


def _day_or_none(value: float) -> datetime.date | None:
    return None if math.isnan(value) else _day(value)


def _date(text: str | None) -> datetime.date | None:
    return datetime.date.fromisoformat(text) if text else None


def _clock(hours: float) -> str | None:
    if math.isnan(hours):
        return None
    minutes = round(60 * hours)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
