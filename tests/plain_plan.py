"""A plan file as plain dictionaries with every field, and what its entries share put into each: for tests that look."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec

from addin.plan.file import Plan, entry_line, read_plan, write_plan
from addin.plan.record import PlanHead
from addin.plan.record_joint import JointEntry


def plain_plan(path: Path) -> dict[str, Any]:
    """The whole of a plan file."""
    return plain_whole(read_plan(path))


def plain_whole(plan: Plan) -> dict[str, Any]:
    """The whole of a plan."""
    return {**plain(plan.head), "joints": [plain_joint(plan.head, joint) for joint in plan.joints]}


def plain_joint(head: PlanHead, joint: JointEntry) -> dict[str, Any]:
    """An entry with its passes, settings, order and first tool."""
    names = ("wrench", "link", "gauge", "pump", "setpoint", "torque_at_setpoint")
    return {
        **plain(joint),
        **{name: plain(getattr(joint.tool, name, None)) for name in names},
        "passes": [plain(each) for each in head.passes(joint)],
        "wrenches": [plain(tool) for tool in head.pulling(joint)],
        "alternates": [plain(tool) for tool in head.instead(joint)],
        "order": plain(head.order(joint)),
        "order_source": joint.order_source,
    }


def plain(value: Any) -> Any:
    """A record as a dictionary, its fields as they stand in the file ("pass" for the number of a pass)."""
    if isinstance(value, msgspec.Struct):
        names = {field.name: field.encode_name for field in msgspec.structs.fields(value)}
        found = {key: plain(getattr(value, name)) for name, key in names.items()}
        return {("pass" if (key, "pattern" in found) == ("number", True) else key): each for key, each in found.items()}
    if isinstance(value, (list, tuple)):
        return [plain(each) for each in value]
    if isinstance(value, dict):
        return {key: plain(each) for key, each in value.items()}
    return value


def rewritten(
    source: Path, target: Path, joint: Callable[[JointEntry], JointEntry] = lambda entry: entry,
    head: Callable[[PlanHead], PlanHead] = lambda entry: entry,
) -> Path:  # fmt: skip
    """A plan with other entries, its checksum made anew: as if the planner had made it so."""
    plan = read_plan(source)
    lines = [entry_line(joint(entry)) for entry in plan.joints]
    target.unlink(missing_ok=True)
    write_plan(head(plan.head), lines, target)
    return target


def plan_of_version_1(*joints: dict[str, Any]) -> dict[str, Any]:
    """A plan as version 1 of the file wrote it, with nothing in it but these joints."""
    settings = {"scheme": "PCC-1 legacy", "at_once": 1, "rounding": "nearest", "tolerance_percent": 3.0,
                "yield_percent": 90.0, "reserve_percent": 10.0, "friction_form": "VDI 2230",
                "torsion": "elastic"}  # fmt: skip
    stages = [
        {"pass": 0, "percent": None, "pattern": "snug"}, {"pass": 1, "percent": 30.0, "pattern": "cross"},
        {"pass": 2, "percent": 60.0, "pattern": "cross"}, {"pass": 3, "percent": 100.0, "pattern": "cross"},
        {"pass": 4, "percent": 100.0, "pattern": "circular until no nut turns"},
        {"pass": 5, "percent": 100.0, "pattern": "circular check after a wait"},
    ]  # fmt: skip
    counts = {"rows": len(joints), "planned": len(joints), "hydraulic": len(joints), "hand": 0, "other method": 0,
              "stopped": 0, "break-out not planned": 0}  # fmt: skip
    return {
        "version": 1, "program": "tautsheet 0.1.0", "list": "list.xlsx", "sheet": "Joints", "heading_row": 5,
        "date": "2026-03-14", "settings": settings, "inputs": {}, "columns": [], "map": None, "reading": [],
        "wrenches": [], "gauges": [], "lubricants": [], "stages": stages, "totals": counts, "joints": list(joints),
    }  # fmt: skip
