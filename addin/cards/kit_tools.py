"""Hand torque wrenches and reaction arms of the kit list, from the wrench book."""

from collections import Counter
from collections.abc import Sequence

from addin.cards.card_values import joined, text
from addin.plan.hand_wrench import hand_wrench_for
from addin.plan.record import EquipmentEntry, PlanHead
from addin.plan.record_joint import JointEntry

Found = list[tuple[str, int | None, str]]


def hand_wrenches(by_hand: Sequence[JointEntry], head: PlanHead) -> tuple[Found, list[JointEntry]]:
    """The hand torque wrenches of the book that the joints need, and the joints that none of them fits."""
    uses: Counter[str] = Counter()
    tools: dict[str, EquipmentEntry] = {}
    left = []
    for joint in by_hand:
        torques = [torque for torque in (joint.torque, *(each.torque for each in head.passes(joint))) if torque]
        tool = hand_wrench_for(torques, joint.date, head.equipment)
        if tool is None:
            left.append(joint)
            continue
        uses[tool.name] += 1
        tools[tool.name] = tool
    found: Found = []
    for name, tool in sorted(tools.items()):
        certificate = f"{tool.certificate or 'certificate not stated'}, valid until {tool.valid_until}"
        span = f"{text(tool.low)} to {text(tool.high)}" if tool.low and tool.high else None
        number = f"no. {tool.serial_number}" if tool.serial_number else None
        count = uses[name]
        found.append((joined([name, number, span], ", "), 1, f"{count} card{'s' * (count != 1)}; {certificate}"))
    return found, left


def reaction_arms(wrenches: set[str], equipment: Sequence[EquipmentEntry]) -> Found:
    """The reaction arms of the book that say they fit a wrench of the plan."""
    found: Found = []
    for tool in equipment:
        fits = {part.strip().casefold() for part in (tool.fits or "").replace(";", ",").split(",")}
        mine = sorted(name for name in wrenches if name.casefold() in fits)
        if tool.kind == "reaction arm" and mine:
            found.append((tool.name, 1, joined([f"for {', '.join(mine)}", tool.remarks], "; ")))
    return found
