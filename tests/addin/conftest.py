"""Plans of an invented plant, Drigrauvex, and what the pack tests share."""

import json
from pathlib import Path
from typing import Any

import pytest

from addin.plan.file import Plan
from addin.plan.older import from_version_1

TEMPLATE = Path(__file__).resolve().parents[2] / "templates" / "joint card.xlsx"


def q(value: float | None, unit: str) -> dict[str, Any] | None:
    return None if value is None else {"value": value, "unit": unit}


def cross(studs: int) -> list[int]:
    """A star order: halves, quarters, then the spaces between."""
    step = studs // 4
    starts = sorted(range(step), key=lambda start: int(f"{start:06b}"[::-1], 2))
    found = [start + quarter * step + 1 for start in starts for quarter in (0, 2, 1, 3)]
    return found + [stud for stud in range(1, studs + 1) if stud not in found]


def make_joint(
    tag: str = "E-1204 channel", operation: str = "final make-up", studs: int = 24, **changes: Any
) -> dict[str, Any]:
    """One hydraulic joint, planned; `changes` replace or add keys."""
    at_once = changes.get("at_once", 1)
    flat = cross(studs)
    steps = [(30, 563.5, 1560, 562.0), (60, 1126.9, 3120, 1125.4), (100, 1878.2, 5200, 1881.0)]
    passes = [
        {
            "pass": 0,
            "name": "snug",
            "percent": None,
            "torque": None,
            "pressure": None,
            "torque_at_pressure": None,
            "pattern": "snug",
            "note": "by hand, align the faces",
        },
        *(
            {
                "pass": number,
                "percent": percent,
                "torque": q(torque, "lbf·ft"),
                "pressure": q(pressure, "psi"),
                "torque_at_pressure": q(at, "lbf·ft"),
                "pattern": "cross",
                "note": None,
            }
            for number, (percent, torque, pressure, at) in enumerate(steps, 1)
        ),
        {
            "pass": 4,
            "percent": 100,
            "torque": q(1878.2, "lbf·ft"),
            "pressure": q(5200, "psi"),
            "torque_at_pressure": q(1881.0, "lbf·ft"),
            "pattern": "circular until no nut turns",
            "note": None,
        },
        {
            "pass": 5,
            "percent": 100,
            "torque": q(1878.2, "lbf·ft"),
            "pressure": q(5200, "psi"),
            "torque_at_pressure": q(1881.0, "lbf·ft"),
            "pattern": "circular check after a wait",
            "wait_hours": 4,
            "note": None,
        },
    ]
    joint: dict[str, Any] = {
        "row": 7,
        "joint": tag,
        "operation": operation,
        "method": "hydraulic",
        "status": "planned",
        "card": "7F3A-91C2",
        "area_of_plant": "Unit 2",
        "equipment": "feed/effluent exchanger",
        "line": "12-P-2041",
        "size": "NPS 12",
        "rating": "300",
        "gasket": "spiral wound, 316/graphite",
        "remarks": None,
        "date": "2026-03-14",
        "thread": "1 1/2-8 UN",
        "grade": "A193 B7",
        "studs": studs,
        "at_once": at_once,
        "target": {
            "basis": "stress 50000 psi on the root B1.1 area",
            "kind": "stress",
            "stated": q(50000, "psi"),
            "area": "root B1.1",
            "friction": {
                "kind": "nut factor",
                "nut_factor": 0.16,
                "thread_friction": None,
                "nut_friction": None,
                "lubricant": "Product L-20",
                "source": "site lubricant table, maker's sheet 4",
            },
        },
        "preload": q(78_322.4, "lbf"),
        "preload_note": None,
        "limits": [
            {"name": "stud ceiling", "value": q(94500, "psi"), "reached": q(62275, "psi"), "note": None},
            {"name": "gasket crushing", "value": None, "reached": None, "note": "gasket stress not given"},
            {"name": "flange", "value": None, "reached": None, "note": "no flange limit given"},
        ],
        "torque": q(1878.2, "lbf·ft"),
        "wrench": "HW-3",
        "link": "60 mm link",
        "gauge": "G-2",
        "pump": "P-1",
        "across_flats": q(2.375, "in"),
        "nut_series": "heavy hex",
        "backup_wrench": "for 2-3/8 in across flats",
        "setpoint": q(5200, "psi"),
        "torque_at_setpoint": q(1881.0, "lbf·ft"),
        "difference_percent": 0.15,
        "passes": passes,
        "order": [flat[start : start + at_once] for start in range(0, studs, at_once)],
        "turned_side": "nut side facing the channel",
        "stud_1": "12 o'clock seen from the turned side",
        "findings": [],
    }
    joint["wrenches"] = [
        {
            "wrench": "HW-3",
            "link": "60 mm link",
            "gauge": "G-2",
            "pump": "P-1",
            "setpoint": joint["setpoint"],
            "torque_at_setpoint": joint["torque_at_setpoint"],
            "passes": [
                {"pressure": item["pressure"], "torque_at_pressure": item["torque_at_pressure"]} for item in passes
            ],
        }
    ]
    return joint | changes


def make_hand(tag: str = "P-310 suction", studs: int = 8, **changes: Any) -> dict[str, Any]:
    """A joint made up with a hand torque wrench."""
    joint = make_joint(tag, studs=studs)
    for item, torque in zip(joint["passes"][1:], (25.2, 50.4, 84.0, 84.0, 84.0), strict=True):
        item |= {"torque": q(torque, "N·m"), "pressure": None, "torque_at_pressure": None}
    joint |= {
        "method": "hand",
        "wrench": None,
        "link": None,
        "gauge": None,
        "pump": None,
        "setpoint": None,
        "torque_at_setpoint": None,
        "difference_percent": None,
        "wrenches": [],
        "torque": q(84.0, "N·m"),
        "thread": "M16",
        "grade": "ISO 898-1 8.8",
        "across_flats": q(24, "mm"),
        "nut_series": "ISO 4032",
        "preload": q(41.2, "kN"),
        "card": "10AA-0001",
        "size": "DN 80",
        "rating": "PN 40",
        "line": "3-P-1107",
        "equipment": "cooling water pump",
        "limits": [{"name": "stud ceiling", "value": q(576, "MPa"), "reached": q(401, "MPa"), "note": None}],
    }
    return joint | changes


STAGES = [
    {"pass": 0, "percent": None, "pattern": "snug"}, {"pass": 1, "percent": 30, "pattern": "cross"},
    {"pass": 2, "percent": 60, "pattern": "cross"}, {"pass": 3, "percent": 100, "pattern": "cross"},
    {"pass": 4, "percent": 100, "pattern": "circular until no nut turns"},
    {"pass": 5, "percent": 100, "pattern": "circular check after a wait"},
]  # fmt: skip


def make_plan(*joints: dict[str, Any], **changes: Any) -> Plan:
    """A plan of these joints, each with a revision of its own."""
    for joint in joints:
        for finding in joint["findings"]:
            finding.setdefault("place", "Joints!A7")
    rows = [
        {
            **joint,
            "row": 7 + number,
            "card": joint["card"] if number == 0 else f"{0x7F3A + number:04X}-{0x91C2 ^ (number * 77):04X}",
        }
        if joint["card"]
        else joint
        for number, joint in enumerate(joints)
    ]
    wrench = {
        "name": "HW-3",
        "sheet": "HW-3",
        "kind": "low clearance",
        "certificate": "C-1041",
        "calibrated": "2026-01-10",
        "valid_until": "2027-01-10",
        "rated_pressure": q(10000, "psi"),
        "hose_rated_pressure": q(10000, "psi"),
        "pump": "P-1",
        "pump_rated_pressure": q(10000, "psi"),
        "gauge": "G-2",
        "links": [],
        "table": [],
    }
    content: dict[str, Any] = {
        "version": 1,
        "program": "tautsheet 0.1.0",
        "list": "drigrauvex-joints.xlsx",
        "sheet": "Joints",
        "date": "2026-03-14",
        "heading_row": 6,
        "settings": {
            "scheme": "PCC-1 legacy",
            "at_once": 1,
            "rounding": "nearest",
            "tolerance_percent": 3.0,
            "yield_percent": 90.0,
            "reserve_percent": 10.0,
            "friction_form": "nut factor",
            "torsion": "elastic",
        },
        "inputs": {},
        "columns": [],
        "wrenches": [wrench],
        "gauges": [],
        "joints": rows,
        "stages": STAGES,
        "totals": {
            "rows": len(rows),
            "planned": len(rows),
            "hydraulic": len(rows),
            "hand": 0,
            "other method": 0,
            "stopped": 0,
            "break-out not planned": 0,
        },
    } | changes
    head, entries = from_version_1(json.loads(json.dumps(content)))
    return Plan(head, entries, "old-plan.json")


def two_wrenches(tag: str = "R-201 manway", studs: int = 28, *, same: bool = False, count: int = 2) -> dict[str, Any]:
    """A joint that several wrenches tighten at once, each from its own pump or all from one."""
    joint = make_joint(tag, studs=studs, at_once=count)
    own = joint["wrenches"][0]
    for number in range(1, count):
        shift = 0 if same else 100 * number
        joint["wrenches"].append(
            {
                "wrench": f"HW-{3 + number}",
                "link": "60 mm link",
                "gauge": f"G-{2 + number}",
                "pump": "P-1" if same else f"P-{1 + number}",
                "setpoint": q(5200 + shift, "psi"),
                "torque_at_setpoint": q(1874.3, "lbf·ft"),
                "passes": [
                    {
                        "pressure": q(
                            step["pressure"]["value"] + (shift if step["pressure"]["value"] == 5200 else shift // 2),
                            "psi",
                        )
                        if step["pressure"]
                        else None,
                        "torque_at_pressure": step["torque_at_pressure"],
                    }
                    for step in own["passes"]
                ],
            }
        )
    return joint


@pytest.fixture
def template() -> Path:
    return TEMPLATE


@pytest.fixture
def joint() -> Any:
    return make_joint


@pytest.fixture
def hand() -> Any:
    return make_hand


@pytest.fixture
def plan() -> Any:
    return make_plan


@pytest.fixture
def several() -> Any:
    return two_wrenches
