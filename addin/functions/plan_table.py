"""`joint_plan`: a joint list and wrenches as ranges in, the whole plan as one table out."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from addin.cells.dates import read_day
from addin.cells.headings import Heading, split
from addin.cells.numbers import Cell, is_blank, plain_text, read_number
from addin.cells.table_words import meaning
from addin.cells.words import line, named_rows
from addin.functions.gate import Num
from addin.functions.steps import step
from addin.reading.in_cells import read_columns
from addin.reading.joint_rows import read_rows
from calc.findings import STOP, Finding, InputError, stop
from calc.plan.hand import HandTool, HandTools
from calc.plan.joints import PLANNED, PlanSettings
from calc.plan.plan import plan_joints
from calc.plan.plans import Plans
from calc.procedure.passes import pulled
from calc.units import System, factor, from_si
from calc.wrench import calibration
from calc.wrench.calibration import Marks
from calc.wrench.choice import Gauge, Link, Wrench
from calc.wrench.slips import printed_step, slips

_HEADINGS = {
    "wrench": "wrench", "pressure": "pressure", "torque": "torque", "link size": "link", "valid until": "valid_until",
    "graduation": "graduation", "link factor": "factor",
}  # fmt: skip
NOT_PULLED = "not pulled"
_NEEDED = ("wrench", "pressure", "torque", "graduation")


def joint_plan(
    list: Sequence[Sequence[Cell]],  # noqa: A002  # the argument's name in every host
    wrenches: Sequence[Sequence[Cell]],
    units: System,
    job_date: float,
    scheme: str,
    at_once: float,
    hand_reach: float = math.nan,
) -> Sequence[Sequence[Any]]:
    """The plan of a list, a row for every row of it, with the sentence of each stop and caution.

    Raises InputError for what concerns the call as a whole: headings, wrenches, scheme.
    """
    head = [cell for cell in list[0]]
    rows = [row for row in list[1:]]
    while rows and all(is_blank(cell) for cell in rows[-1]):
        rows.pop()
    columns = read_columns(head, rows)
    if not any(column.field == "joint" for column in columns):
        raise stop("list_headings", "list", headings=tuple(plain_text(cell) for cell in head if not is_blank(cell)))
    read = read_rows(columns, rows, units=units.name)
    book, gauges = _wrenches(wrenches, units)
    settings = PlanSettings(scheme=scheme, at_once=int(at_once), date=job_date)
    tools = HandTools() if math.isnan(hand_reach) else HandTools((HandTool("hand", hand_reach),))
    plans = plan_joints(read.joints, book, gauges, (), settings, tools)
    formula = "target, torque, wrench, mark and passes as the single functions give them"
    step("each row", "", f"{len(rows)} rows planned", "text", formula)
    return _table(plans, read.joints.joint, read.joints.operation, units)


def _wrenches(cells: Sequence[Sequence[Cell]], units: System) -> tuple[list[Wrench], dict[str, Gauge]]:
    heads: dict[str, tuple[int, Heading]] = {}
    for i, heading in _headings(cells[0]):
        said = meaning(heading.text)
        field = _HEADINGS.get(heading.words) or (said.kind if said.clear else "")
        if field in heads:
            raise stop("heading_twice", field, text=heading.text, place="wrenches")
        if field:
            heads[field] = (i, heading)
    missing = tuple(name for name in _NEEDED if name not in heads)
    if missing:
        raise stop("wrench_columns", "wrenches", missing=missing)
    groups: dict[tuple[str, float | None, float], dict[str, Any]] = {}
    for number, row in enumerate(cells[1:], start=1):
        if all(is_blank(cell) for cell in row):
            continue
        try:
            _point(groups, row, heads, units)
        except InputError as error:
            f = error.finding
            raise stop(f.code, f.quantity, **f.facts, place=f"wrenches row {number}") from None
    links: dict[str, list[Link]] = {}
    for (name, flats, link_factor), group in groups.items():
        label = "link" if flats is None else f"link {flats * 1000:.1f} mm"
        links.setdefault(name, []).append(Link(label, math.nan if flats is None else flats, link_factor))
        group["curve"] = calibration.curve(group["pressure"], group["torque"])
        group["doubts"] = _doubts(group, name, units)
    book, gauges = [], {}
    for (name, _, _), group in groups.items():
        if name in gauges:
            continue
        gauges[name] = Gauge(name, group["marks"], math.inf, math.nan, math.inf)
        book.append(
            Wrench(name, group["curve"], math.inf, math.inf, "", math.inf, name, tuple(links[name]), math.nan,
                   group["valid_until"], doubts=group["doubts"])
        )  # fmt: skip
    return book, gauges


def _doubts(group: dict[str, Any], name: str, units: System) -> tuple[Finding, ...]:
    """Cautions about a table. Raises InputError with the first of its points or steps that can hardly be."""
    scales = [factor(kind, units.symbol(kind)) for kind in ("pressure", "torque")]
    columns = (group["pressure"], group["torque"])
    steps = [printed_step([round(value / scale, 6) for value in column]) * scale
             for column, scale in zip(columns, scales, strict=True)]  # fmt: skip
    found = slips(*columns, printed=(steps[0], steps[1]))
    for finding in found:
        if finding.level == STOP:
            facts = {**finding.facts, "confirm": False, "place": f"wrenches, {name}"}
            raise InputError(replace(finding, facts=facts))
    return tuple(found)


def _headings(cells: Sequence[Cell]) -> list[tuple[int, Heading]]:
    return [(i, split(cell)) for i, cell in enumerate(cells) if isinstance(cell, str) and not is_blank(cell)]


def _point(groups: dict[Any, Any], row: Sequence[Cell], heads: dict[str, tuple[int, Heading]], units: System) -> None:
    """Add one row of the wrenches to its wrench and link; the same curve under several links stands once a link."""

    def cell(name: str) -> Cell:
        return row[heads[name][0]] if name in heads else None

    def number(name: str, quantity: str, kind: str) -> float:
        return read_number(cell(name), quantity, heads[name][1].unit or units.symbol(kind), kind=kind)

    name = plain_text(cell("wrench"))
    if not name:
        raise stop("missing", "wrench", known=())
    flats = number("link", "across_flats", "length") if not is_blank(cell("link")) else math.nan
    link_factor = read_number(cell("factor"), "link_factor", None) if not is_blank(cell("factor")) else 1.0
    gauge_unit = heads["graduation"][1].unit or units.symbol("pressure")
    step = read_number(cell("graduation"), "graduation", gauge_unit) / factor("pressure", gauge_unit)
    typed = cell("graduation")
    marks = Marks(float(typed) if not isinstance(typed, str) else step, factor("pressure", gauge_unit))
    valid = read_day(cell("valid_until"), "valid_until") if not is_blank(cell("valid_until")) else math.inf
    group = groups.setdefault((name, flats if flats == flats else None, link_factor),
                              {"pressure": [], "torque": [], "marks": marks, "valid_until": valid})  # fmt: skip
    group["pressure"].append(number("pressure", "pump_pressure", "pressure"))
    group["torque"].append(number("torque", "torque", "torque"))
    if group["marks"] != marks or group["valid_until"] != valid:
        raise stop("wrench_rows_differ", "wrenches", wrench=name)


def _table(plans: Plans, tags: Sequence[str], operations: Sequence[str], units: System) -> list[list[Any]]:
    t, p = units.symbol("torque"), units.symbol("pressure")
    stages = [stage for stage in plans.stages if stage.fraction is not None]
    rows: list[list[Any]] = [
        ["joint", "operation", "status", "message", f"preload ({units.symbol('force')})", f"torque ({t})", "wrench",
         f"pressure ({p})", f"torque at this pressure ({t})", *(f"pass {s.number} ({p})" for s in stages)]
    ]  # fmt: skip
    said: dict[int, list[str]] = {}
    for finding in plans.findings:
        if "rows" in finding.facts:  # rows of the list as it stands in the range, its headings being row 1
            others = named_rows([row + 2 for row in finding.facts["rows"]], finding.facts["more"])
            finding = replace(finding, facts={**finding.facts, "where": others})
        said.setdefault(finding.row, []).append(f"{finding.level}: {line(finding, units)}")
    goes = pulled(plans.stages, operations, plans.studs)
    where = [i for i, stage in enumerate(plans.stages) if stage.fraction is not None]
    for i, tag in enumerate(tags):
        row: list[Any] = [tag, operations[i], plans.status[i], "; ".join(said.get(i, []))]
        if plans.status[i] != PLANNED:
            row += ["STOP" if plans.status[i] == "stopped" else None] * (5 + len(where))
            rows.append(row)
            continue
        if (opened := plans.breakouts[i]) is not None:
            rows.append([*row, None, None, opened.candidate.wrench.name, *["break-out"] * (2 + len(where))])
            continue
        row += [Num(plans.preload[i], "force") if not np.isnan(plans.preload[i]) else "not known",
                Num(plans.torque[i], "torque")]  # fmt: skip
        group = plans.pulling[i]
        if not group:
            rows.append([*row, *([None] * (3 + len(where)))])
            continue
        row += [" + ".join(c.wrench.name for c in group), _pressure(plans, i, plans.full, p),
                Num(plans.torque_there[i, 0, plans.full], "torque")]  # fmt: skip
        rows.append([*row, *(_pressure(plans, i, k, p) if goes[i, k] else NOT_PULLED for k in where)])
    return rows


def _pressure(plans: Plans, row: int, stage: int, unit: str) -> Any:
    """Setting of a pass on the first wrench, as typed where the gauge has the caller's unit."""
    marks = plans.pulling[row][0].gauge.marks
    count = plans.count[row, 0, stage]
    if np.isnan(count):
        return "other means"
    if marks.unit == factor("pressure", unit):
        return float(marks.shown(count))
    return float(from_si(plans.pressure[row, 0, stage], "pressure", unit))
