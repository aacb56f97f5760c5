"""Plans of older versions as records of today: what an entry repeated is told apart from what it says itself."""

import math
from collections.abc import Mapping
from typing import Any

import msgspec

from addin.plan.record import BY_HAND, FULL, HAND_WRENCH, PlanHead, order_key
from addin.plan.record_joint import JointEntry
from calc.procedure.passes import RETIGHTEN

Json = dict[str, Any]
_TOOL = ("wrench", "link", "gauge", "pump", "setpoint", "torque_at_setpoint")


def from_version_1(plan: Mapping[str, Any]) -> tuple[PlanHead, list[JointEntry]]:
    """Head and joints of a plan of version 1, in which every entry held the whole of its passes and its order.

    Raises msgspec.ValidationError, which names the place.
    """
    rows = [row for row in _listed(plan["joints"], "joints") if isinstance(row, dict)]
    orders: Json = {}
    waits: dict[Any, Any] = {}
    for row in rows:
        if row.get("order") and row.get("order_source") != "the list's own":
            orders[order_key(row.get("studs"), row.get("at_once") or 1)] = row["order"]
        waits |= {
            step.get("pass"): step.get("wait_hours") for step in _listed(row.get("passes"), "passes")
            if isinstance(step, dict) and isinstance(step.get("pass"), int)
        }  # fmt: skip
    stages = [
        {**stage, "wait_hours": waits.get(stage.get("pass"))}
        for stage in _listed(plan.get("stages"), "stages") if isinstance(stage, dict)
    ]  # fmt: skip
    head = {
        **{key: value for key, value in plan.items() if key not in ("joints", "since", "map")},
        "checksum": "", "stages": stages, "orders": orders,
    }  # fmt: skip
    return _typed(head, PlanHead), [_typed(_joint(row), JointEntry, f"joints[{n}]") for n, row in enumerate(rows)]


def _joint(row: Json) -> Json:
    entry = {key: value for key, value in row.items() if key not in (*_TOOL, "order_source")}
    if row.get("order_source") != "the list's own":
        entry["order"] = []
    passes = [step for step in _listed(row.get("passes"), "passes") if isinstance(step, dict)]
    below = [
        k for k, step in enumerate(passes)
        if step.get("percent") and step["percent"] < FULL and row.get("operation") != RETIGHTEN
    ]  # fmt: skip
    entry["passes"] = [
        {"torque": passes[k].get("torque"), "note": _own_note(passes[k].get("note"))} for k in below
    ]  # fmt: skip
    for part in ("wrenches", "alternates"):
        entry[part] = [
            {**tool, "passes": [tool["passes"][k] for k in below if k < len(tool.get("passes") or [])]}
            for tool in _listed(row.get(part), part) if isinstance(tool, dict)
        ]  # fmt: skip
    if isinstance(row.get("breakout"), dict):
        entry["breakout"] = {**row["breakout"], "tool": {name: row.get(name) for name in _TOOL}}
    return entry


def _own_note(note: Any) -> Any:
    return None if note in (BY_HAND, HAND_WRENCH) else note


def _listed(value: Any, name: str) -> list[Any]:
    if value is None:
        return []
    if not isinstance(value, list):
        raise msgspec.ValidationError(f"Expected `array` - at `$.{name}`")
    return value


def _typed(value: Json, kind: type[Any], place: str = "") -> Any:
    try:
        return msgspec.convert(_stated(value), kind)
    except msgspec.ValidationError as error:
        raise msgspec.ValidationError(f"{place} {error}".strip()) from error


def _stated(value: Any) -> Any:
    """A value without what is not stated."""
    if isinstance(value, dict):
        return {key: _stated(each) for key, each in value.items() if each is not None}
    if isinstance(value, list):
        return [_stated(each) for each in value]
    if isinstance(value, float) and not math.isfinite(value):
        raise msgspec.ValidationError("a number that is not finite")
    return value
