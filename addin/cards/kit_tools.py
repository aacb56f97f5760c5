"""Hand torque wrenches and reaction arms of the kit list, from the wrench book."""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from addin.cards.card_values import joined, text
from calc.units import to_si

Found = list[tuple[str, int | None, str]]
Json = Mapping[str, Any]


def _torque(given: Json) -> float:
    return float(to_si(given["value"], "torque", given["unit"]))


def hand_wrench_for(joint: Json, equipment: Sequence[Json]) -> Json | None:
    """The hand torque wrench with the smallest range that holds every pass of a joint, its certificate valid that day.

    >>> own = {"kind": "hand torque wrench", "name": "HT-1", "from": {"value": 40, "unit": "N·m"},
    ...        "to": {"value": 200, "unit": "N·m"}, "valid_until": "2026-09-01", "calibrated": None}
    >>> hand_wrench_for({"torque": {"value": 150, "unit": "N·m"}, "date": "2026-05-01"}, [own])["name"]
    'HT-1'
    >>> hand_wrench_for({"torque": {"value": 150, "unit": "N·m"}, "date": "2026-10-01"}, [own]) is None
    True
    """
    torques = [_torque(joint["torque"])]
    torques += [_torque(each["torque"]) for each in joint.get("passes") or [] if each.get("torque")]
    day = str(joint.get("date") or "")
    fitting = [
        tool for tool in equipment
        if tool["kind"] == "hand torque wrench" and tool.get("from") and tool.get("to") and day
        and _torque(tool["from"]) <= min(torques) and max(torques) <= _torque(tool["to"])
        and (tool.get("calibrated") or "") <= day <= (tool.get("valid_until") or "")
    ]  # fmt: skip
    return min(fitting, key=lambda tool: _torque(tool["to"]), default=None)


def hand_wrenches(by_hand: Sequence[Json], equipment: Sequence[Json]) -> tuple[Found, list[Json]]:
    """The hand torque wrenches of the book that the joints need, and the joints that none of them fits."""
    uses: Counter[str] = Counter()
    tools: dict[str, Json] = {}
    left = []
    for joint in by_hand:
        tool = hand_wrench_for(joint, equipment)
        if tool is None:
            left.append(joint)
            continue
        uses[tool["name"]] += 1
        tools[tool["name"]] = tool
    found: Found = []
    for name, tool in sorted(tools.items()):
        certificate = f"{tool.get('certificate') or 'certificate not stated'}, valid until {tool['valid_until']}"
        span = f"{text(tool['from'])} to {text(tool['to'])}"
        number = f"no. {tool['serial_number']}" if tool.get("serial_number") else None
        count = uses[name]
        found.append((joined([name, number, span], ", "), 1, f"{count} card{'s' * (count != 1)}; {certificate}"))
    return found, left


def reaction_arms(wrenches: set[str], equipment: Sequence[Json]) -> Found:
    """The reaction arms of the book that say they fit a wrench of the plan."""
    found: Found = []
    for tool in equipment:
        fits = {part.strip().casefold() for part in str(tool.get("fits") or "").replace(";", ",").split(",")}
        mine = sorted(name for name in wrenches if name.casefold() in fits)
        if tool["kind"] == "reaction arm" and mine:
            found.append((str(tool["name"]), 1, joined([f"for {', '.join(mine)}", tool.get("remarks")], "; ")))
    return found
