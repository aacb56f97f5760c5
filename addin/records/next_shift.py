"""The next shift on one page: what is still open, by crew, with pass, wrench and pressure, and from when on."""

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass

from addin.cells.words import figure
from addin.plan.record_joint import JointEntry
from addin.records.progress import LEFT, NOT_PLANNED, UNSETTLED, RecordedRow, Report
from calc.review.as_tightened import PART

NO_CREW = "crew not stated"
WAITS = "no valid card: wait for the release"


@dataclass(frozen=True)
class OpenJoint:
    """One joint that is not done: its crew, what comes next, from when, who was last at it, whether that is new."""

    crew: str
    row: RecordedRow
    next_pass: str
    wrench: str
    pressure: str
    not_before: str
    last_crew: str
    new: str


def open_joints(report: Report) -> list[OpenJoint]:
    """Every joint that is not done, by crew and in the order of the list; begun joints first within a crew.

    New is what was begun or came back on the last day that the records name.
    """
    newest = max((day for row in report.rows for day in _days(row)), default=math.nan)
    rows = [row for row in report.rows if row.status in (*LEFT, *UNSETTLED)]
    found = [_open(row, newest) for row in rows]
    return sorted(found, key=lambda each: (each.crew == NO_CREW, each.crew, each.row.status != PART))


def _open(row: RecordedRow, newest: float) -> OpenJoint:
    joint = row.joint
    step = next((item for item in row.steps if item.number == row.next_pass), None)
    first = next((item for item in row.steps if item.percent), None)
    step = step or (first if row.status not in UNSETTLED else None)
    name, pressure = "", ""
    if row.status in UNSETTLED:
        name = row.status
    elif row.status == NOT_PLANNED:
        name = "stopped: engineer"
    elif row.waits:
        name, step = WAITS, None
    elif joint.breakout:
        name, pressure = "break out", f"up to {_said(joint.breakout.highest_pressure)}"
    elif step is not None:
        name = f"{step.name}, {step.percent:g} %" if step.percent else step.name
        name += f", {step.pattern}" if step.studs else ""
        pressure = _settings(joint, row, step.number) or f"torque {_said(step.torque)}"
    days = _days(row)
    crews = dict.fromkeys([each.by for each in row.entries if each.by])
    wrench = row.wrench if joint.planned else ""
    return OpenJoint(
        joint.crew or NO_CREW, row, name, wrench, pressure, _not_before(row, step.wait_hours if step else None),
        ", ".join(crews), "new" if days and max(days) == newest else "",
    )  # fmt: skip


def _settings(joint: JointEntry, row: RecordedRow, number: int) -> str:
    """What the wrenches are set to in a pass; "" where no pump sets it."""
    found = []
    stages = [item.number for item in row.steps]
    at = stages.index(number)
    below = [item for item in row.steps[:at] if item.percent and item.percent < 100]
    this = row.steps[at]
    for tool in joint.wrenches:
        if this.percent == 100:
            setting = tool.setpoint
        else:
            setting = tool.passes[len(below)].pressure if len(below) < len(tool.passes) else None
        if setting is not None:
            found.append(_said(setting))
    return " + ".join(dict.fromkeys(found))


def _said(amount: object) -> str:
    value, unit = getattr(amount, "value", None), getattr(amount, "unit", "")
    return f"{figure(value, 4)} {unit}" if value is not None else ""


def _days(row: RecordedRow) -> list[float]:
    stated = [item.day for item in row.passes]
    stated += [values.day for entry in row.entries for values in (entry.values, *entry.own.values())]
    return [day for day in stated if not math.isnan(day)]


def _not_before(row: RecordedRow, hours: float | None) -> str:
    """The moment from which the next pass may begin: the end of its wait after the last pass that was recorded."""
    if not hours or row.status != PART:
        return ""
    done: Sequence[tuple[float, float]] = [(item.day, item.clock) for item in row.passes if not math.isnan(item.day)]
    if not done:
        return f"{figure(hours)} h after the last pass"
    day, clock = max(done, key=lambda each: (each[0], -1.0 if math.isnan(each[1]) else each[1]))
    when = datetime.datetime.fromordinal(int(day))
    if math.isnan(clock):
        return f"{figure(hours)} h after the last pass of {when:%Y-%m-%d}"
    return f"{when + datetime.timedelta(hours=clock + hours):%Y-%m-%d %H:%M}"
