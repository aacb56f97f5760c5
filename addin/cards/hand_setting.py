"""What a hand torque wrench is set to: a torque on its own steps, with the difference from the planned one."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from addin.cells.words import figure
from addin.plan.entries import Amount
from addin.plan.record import EquipmentEntry
from addin.plan.record_joint import LimitEntry
from calc.units import from_si, to_si

STEPS = tuple(step * 10.0**power for power in (2, 1, 0, -1) for step in (5, 2, 1))
"""Steps of a scale that nobody has stated, coarse ones first."""
NEAR = 0.02
"""Most that rounding to such a step may change a torque."""


@dataclass(frozen=True)
class HandSetting:
    """The figure to set in the unit of its tool, and how far it is from the planned torque."""

    value: float
    unit: str
    difference: float

    def said(self) -> str | None:
        """The difference in words; None where there is none worth a word."""
        if abs(self.difference) < 0.0005:
            return None
        return f"{abs(100 * self.difference):.1f} % {'above' if self.difference > 0 else 'below'} planned"


def setting(torque: Amount, tool: EquipmentEntry | None, limits: Sequence[LimitEntry] = ()) -> HandSetting:
    """The nearest step of the tool; where it states none, the nearest 1, 2 or 5 step within 2 %.

    Rounded down where the next step up would pass a limit of the joint.

    >>> [setting(Amount(value, "lbf·ft"), None).value for value in (113.2, 84.0, 67.9, 33.9)]
    [115.0, 85.0, 68.0, 34.0]
    >>> fine = EquipmentEntry(kind="hand torque wrench", name="HT-1", resolution=Amount(2.5, "N·m"))
    >>> setting(Amount(96.4, "N·m"), fine).value
    97.5
    >>> stud = LimitEntry(name="stud", value=Amount(100.0, "MPa"), reached=Amount(99.5, "MPa"))
    >>> setting(Amount(84.0, "lbf·ft"), None, [stud]).value
    84.0
    """
    step = tool.resolution if tool else None
    unit = step.unit if step else torque.unit
    planned = torque.value
    if unit != torque.unit:
        planned = float(from_si(to_si(torque.value, "torque", torque.unit), "torque", unit))
    if step:
        value = _near(planned, step.value, limits)
    else:
        tried = ((_near(planned, each, limits), each) for each in STEPS)
        value = next((found for found, _ in tried if abs(found / planned - 1) <= NEAR), planned)
    return HandSetting(float(figure(value)), unit, value / planned - 1)


def _near(planned: float, step: float, limits: Sequence[LimitEntry]) -> float:
    """The nearest multiple of a step, or the one below where the nearest passes a limit."""
    found = round(planned / step) * step
    if found > planned and _passes_a_limit(found / planned, limits):
        return math.floor(planned / step * (1 + 1e-12)) * step
    return found


def _passes_a_limit(share: float, limits: Sequence[LimitEntry]) -> bool:
    return any(
        each.value.unit == each.reached.unit and each.reached.value <= each.value.value < each.reached.value * share
        for each in limits if each.value and each.reached
    )  # fmt: skip
