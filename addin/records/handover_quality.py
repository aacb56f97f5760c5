"""Sheets of the hand-over for quality people: progress by day, points and gaps, lubricants, cards, the next shift."""

import datetime
from collections.abc import Callable
from typing import Any

from addin.records import quality
from addin.records.handover_chart import add_days
from addin.records.handover_sheet import HandoverSheet, HandoverStyle, Value
from addin.records.next_shift import open_joints
from addin.records.progress import Report


def summary_block(page: HandoverSheet, report: Report) -> None:
    """Per cent complete, and how far the final torques lie from the plan."""
    by_row, by_stud = quality.complete(report)
    page.heading("Complete")
    page.line(
        f"{_percent(by_row)} of the joints and operations, {_percent(by_stud)} of their studs agree with the plan"
    )
    found = quality.deviations(report)
    if not found:
        return
    page.heading("Final torque against the plan")
    page.head(("Pulled", "Count", "Mean (%)", "Standard deviation (%)", "Least (%)", "Most (%)",
               "Tolerance (%)", "Outside it"), height=28)  # fmt: skip
    for kind, tolerance, said in found:
        shares = (100 * value for value in (said.mean, said.spread, said.low, said.high))
        page.cells((kind, said.count, *(f"{value:+.2f}" for value in shares), tolerance, said.outside))


def _percent(share: float) -> str:
    return f"{100 * share:.1f} %" if share == share else "none"


def progress_by_day(report: Report, sheet: Any, style: HandoverStyle, paper: str) -> None:
    """Joints completed on each day, with a chart of all that is complete up to then."""
    page = HandoverSheet(sheet, style, (16, 18, 18, 22, 22), paper, landscape=False)
    page.title("Progress by day")
    page.line("A joint counts on the day of its last pass, once it agrees with the plan.")
    page.head(("Day", "Joints completed", "Studs of these", "Joints complete so far", "Of all (%)"), repeat=True)
    top, of = page.row - 1, len(report.rows)
    days = quality.by_day(report)
    for day, count, studs, total in days:
        page.cells((day, count, studs, total, round(100 * total / of, 1)))
    if days:
        add_days(page, top, {day: total for day, _, _, total in days}, page.row + 1)
    else:
        page.line("none")


def points(report: Report, sheet: Any, style: HandoverStyle, paper: str) -> None:
    """Witness and hold points."""
    page = HandoverSheet(sheet, style, (18, 16, 12, 34, 46), paper, landscape=True)
    page.title("Witness and hold points")
    page.head(("Joint", "Operation", "Point", "Asked by the plan", "Recorded"), repeat=True, height=18)
    _table(page, [
        (row.joint.joint, row.joint.operation, name, asked, there or "not recorded")
        for row, name, asked, there in quality.points(report)
    ])  # fmt: skip


def gaps(report: Report, sheet: Any, style: HandoverStyle, paper: str) -> None:
    """Flange gaps."""
    page = HandoverSheet(sheet, style, (18, 16, 24, 64), paper, landscape=True)
    page.title("Flange gaps")
    page.head(("Joint", "Operation", "When", "At 12, 3, 6 and 9 o'clock"), repeat=True, height=18)
    _table(page, [(row.joint.joint, row.joint.operation, when, text) for row, when, text in quality.gaps(report)])


def boxes(report: Report, sheet: Any, style: HandoverStyle, paper: str) -> None:
    """Every other box of the cards that was typed back."""
    page = HandoverSheet(sheet, style, (18, 16, 12, 34, 46), paper, landscape=True)
    page.title("Boxes of the cards")
    page.head(("Joint", "Operation", "Pass", "Box", "What stands there"), repeat=True, height=18)
    apart = {quality.box_name(name) for name in ("gap_before", "gap", "witness", "hold")}
    _table(page, [
        (row.joint.joint, row.joint.operation, at, name, text)
        for row, at, name, text in quality.boxes(report)
        if name not in apart
    ])  # fmt: skip


def lubricants(report: Report, sheet: Any, style: HandoverStyle, paper: str) -> None:
    """Products and batches, with their joints."""
    page = HandoverSheet(sheet, style, (24, 24, 9, 80), paper, landscape=True)
    page.title("Lubricants and their batches")
    page.head(("Lubricant", "Batch", "Joints", "Which"), repeat=True, height=18)
    rows: list[tuple[Value, ...]] = []
    for product, batch, names in quality.batches(report):
        for start in range(0, len(names), _NAMED):
            some = names[start : start + _NAMED]
            rows.append((product, batch, len(names) if start == 0 else None, ", ".join(some)))
    _table(page, rows)


_NAMED = 40
"""Joints that are named in one row of a table: a row must not be taller than a page."""


def card_register(report: Report, sheet: Any, style: HandoverStyle, paper: str) -> None:
    """Every card: issued or waiting for a release, replaced, returned."""
    page = HandoverSheet(sheet, style, (12, 18, 16, 7, 44, 40), paper, landscape=True)
    page.title("Card register")
    page.head(("Card", "Joint", "Operation", "Issue", "State", "Returned: day, by"), repeat=True, height=18)
    _table(page, [
        (each.card, each.row.joint.joint, each.row.joint.operation, each.issue or None, each.state, each.returned)
        for each in quality.cards(report)
    ])  # fmt: skip


def next_shift(report: Report, sheet: Any, style: HandoverStyle, paper: str) -> None:
    """What is still open, by crew."""
    page = HandoverSheet(sheet, style, (16, 18, 15, 24, 16, 20, 27, 17, 6), paper, landscape=True)
    page.title("Next shift: still open")
    page.line("New: begun or back on the last day that the records name. Cards that are void are named on Still open.")
    page.head(("Crew", "Joint", "Operation", "Next pass", "Wrench", "Pressure", "Not before", "Last crew", "New"),
              repeat=True, height=18)  # fmt: skip
    rows: list[tuple[Value, ...]] = [
        (each.crew, each.row.joint.joint, each.row.joint.operation, each.next_pass, each.wrench or None,
         each.pressure or None, each.not_before or None, each.last_crew or None, each.new or None)
        for each in open_joints(report)
    ]  # fmt: skip
    _table(page, rows)


def _table(page: HandoverSheet, rows: list[tuple[Value, ...]]) -> None:
    for row in rows:
        page.cells(row)
    if not rows:
        page.line("none")


def printed_on() -> str:
    """The day on which the hand-over is made."""
    return datetime.date.today().isoformat()


Fill = Callable[[Report, Any, HandoverStyle, str], None]
QUALITY: tuple[tuple[str, Fill], ...] = (
    ("Progress by day", progress_by_day), ("Points", points), ("Flange gaps", gaps), ("Card boxes", boxes),
    ("Lubricants", lubricants), ("Card register", card_register),
)  # fmt: skip
