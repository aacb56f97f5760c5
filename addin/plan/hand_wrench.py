"""The hand torque wrench of the book that a joint's torques ask for."""

from collections.abc import Sequence
from functools import lru_cache

from addin.plan.entries import Amount
from addin.plan.record import HAND, EquipmentEntry, PlanHead
from addin.plan.record_joint import JointEntry
from calc.units import to_si


@lru_cache(maxsize=4096)
def _torque(given: Amount) -> float:
    return float(to_si(given.value, "torque", given.unit))


def hand_wrench_for(
    torques: Sequence[Amount], day: str | None, equipment: Sequence[EquipmentEntry]
) -> EquipmentEntry | None:
    """The hand torque wrench with the smallest range that holds every torque, its certificate valid that day.

    >>> own = EquipmentEntry(kind="hand torque wrench", name="HT-1", low=Amount(40.0, "N·m"), high=Amount(200.0, "N·m"),
    ...                      valid_until="2026-09-01")
    >>> hand_wrench_for([Amount(150.0, "N·m")], "2026-05-01", [own]).name
    'HT-1'
    >>> hand_wrench_for([Amount(150.0, "N·m")], "2026-10-01", [own]) is None
    True
    """
    needed = [_torque(torque) for torque in torques]
    fitting = [
        (_torque(tool.high), tool) for tool in equipment
        if tool.kind == "hand torque wrench" and tool.low and tool.high and day
        and _torque(tool.low) <= min(needed) and max(needed) <= _torque(tool.high)
        and (tool.calibrated or "") <= day <= (tool.valid_until or "")
    ]  # fmt: skip
    return min(fitting, key=lambda pair: pair[0], default=(0.0, None))[1]


def hand_tools(joint: JointEntry, head: PlanHead) -> dict[str, EquipmentEntry | None]:
    """The hand torque wrench of each pass of a card that no hydraulic wrench of the card sets, None where none fits.

    By hand one wrench that holds every torque of the card serves; passes by other means are looked at one by one.
    """
    if not joint.planned or joint.breakout or joint.operation == "break":
        return {}
    torques = {each.name: each.torque for each in head.passes(joint) if each.torque and each.pressure is None}
    if not torques:
        return {}
    whole = hand_wrench_for(list(torques.values()), joint.date, head.equipment)
    if joint.method == HAND or whole:
        return dict.fromkeys(torques, whole)
    return {name: hand_wrench_for([torque], joint.date, head.equipment) for name, torque in torques.items()}
