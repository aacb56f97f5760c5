"""Rows by hand: what the hand torque wrenches and multipliers of a book give on the day of the job."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calc.findings import CAUTION, Finding
from calc.plan.joints import Joints
from calc.plan.plans import Plans

BY_HAND = 2000.0
"""Torque beyond the usual hand torque wrenches, where none is listed [N·m]. Common practice, no source."""


@dataclass(frozen=True)
class HandTool:
    """A hand torque wrench with its range [N·m], or a multiplier with the most it may give and its `ratio`.

    `first` and `last` day of its certificate are NaN where they are not stated.
    """

    name: str
    high: float
    low: float = 0.0
    ratio: float = 1.0
    first: float = math.nan
    last: float = math.nan

    def serves(self, date: float) -> bool:
        """Whether its certificate covers a day; NaN, a day or a certificate not stated, covers."""
        return not (date < self.first or date > self.last)


@dataclass(frozen=True)
class HandTools:
    """Hand torque wrenches and multipliers.

    >>> tools = HandTools((HandTool("HT-1", 400.0, 40.0),), (HandTool("X-1", 1500.0, ratio=5.0),))
    >>> tools.reach(math.nan), tools.through(1200.0, math.nan).name, tools.through(1600.0, math.nan)
    (1500.0, 'X-1', None)
    """

    wrenches: Sequence[HandTool] = ()
    multipliers: Sequence[HandTool] = ()

    def alone(self, date: float) -> float:
        """The most that a wrench without a multiplier gives on a day [N·m], 0 where none serves."""
        return max((tool.high for tool in self.wrenches if tool.serves(date)), default=0.0)

    def reach(self, date: float) -> float:
        """The most that the tools give together on a day. [N·m]"""
        alone = self.alone(date)
        with_one = [min(tool.high, alone * tool.ratio) for tool in self.multipliers if tool.serves(date)]
        return max([alone, *with_one])

    def through(self, torque: float, date: float) -> HandTool | None:
        """The multiplier of the lowest ratio through which a wrench gives a torque [N·m]; None where none does."""
        able = [
            tool
            for tool in self.multipliers
            if tool.serves(date) and torque <= tool.high and self._turns(torque / tool.ratio, date)
        ]
        return min(able, key=lambda tool: tool.ratio, default=None)

    def _turns(self, torque: float, date: float) -> bool:
        return any(tool.low <= torque <= tool.high for tool in self.wrenches if tool.serves(date))


def warn(plans: Plans, joints: Joints, rows: Sequence[int], tools: HandTools) -> list[Finding]:
    """Cautions of planned rows by hand: beyond what the tools give, or within it through a multiplier."""
    found = []
    dates = np.where(np.isnan(joints.date), plans.settings.date, joints.date)
    for row in rows:
        torque, date = float(plans.torque[row] * plans.raised[row]), float(dates[row])
        facts: dict[str, object] = {"torque": torque}
        if not tools.wrenches:
            if torque > BY_HAND:
                found.append(Finding("hand_beyond_usual", "method", facts | {"reach": BY_HAND}, CAUTION, row))
            continue
        if torque <= tools.alone(date):
            continue
        if (tool := tools.through(torque, date)) is None:
            facts |= {"reach": tools.reach(date)}
            found.append(Finding("hand_out_of_reach", "method", facts, CAUTION, row))
            continue
        facts |= {"text": tool.name, "ratio": tool.ratio, "set": torque / tool.ratio, "last": tool.last}
        found.append(Finding("hand_multiplier", "method", facts, CAUTION, row))
    return found
