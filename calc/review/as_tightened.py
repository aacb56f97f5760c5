"""What is compared when a joint has been tightened: its plan, what was recorded of it, and the tools and products."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from calc.findings import Finding
from calc.hardware.threads import Thread
from calc.plan.hand import HandTool
from calc.wrench.choice import Gauge, Wrench

AGREES, PART, OPEN, REVIEW = "agrees with the plan", "part tightened", "open", "to be reviewed"
TO_COMPLETE = "to be completed"
STATUSES = (REVIEW, TO_COMPLETE, PART, OPEN, AGREES)
"""What a planned joint can be, in the order in which people look."""
LACKING = frozenset(
    (
        "by_not_stated",
        "day_not_stated",
        "hand_tool_not_stated",
        "break_by_not_stated",
        "break_day_not_stated",
        "point_not_recorded",
    )
)
"""Reasons that a record lacks something: with no other reason a joint is to be completed, and never agrees."""
DRIFT = 0.03
"""Share by which the table of a new certificate may differ before what was done on the old one is looked at again.
Common practice, no source; the tolerance of a torque in most procedures."""

NAN = math.nan
SAME = 1e-9
"""Pressures that differ by no more than this share are the same setting, read in another unit."""
ALL = frozenset(("wrench", "link", "gauge", "pressure", "torque", "lubricant"))
"""`same` of a pass that was done as planned."""


@dataclass(frozen=True)
class Friction:
    """Friction of a product or of a plan: a nut factor, or both coefficients; NaN where not stated."""

    nut_factor: float = NAN
    thread_friction: float = NAN
    nut_friction: float = NAN


@dataclass(frozen=True)
class Tool:
    """A wrench with link and gauge as planned, and its setting of each pass by number [Pa] (NaN: by other means)."""

    wrench: str
    link: str
    gauge: str
    pressures: Mapping[int, float]


@dataclass(frozen=True)
class PlannedPass:
    """One pass that is recorded: number, torque [N·m], wait before it [s], the studs it pulls where not all of them."""

    number: int
    torque: float
    wait: float = 0.0
    studs: tuple[int, ...] = ()


@dataclass(frozen=True, eq=False)
class Planned:
    """One joint and operation as planned. `tools` pull, `alternates` stand on the card with settings of their own.

    across_flats and bearing (mean friction diameter under the nut) [m], preload [N], ceiling of the stress with torsion
    [Pa], tolerance of torque [fraction]; NaN where not known. `lubricant` is "" where the plan names none. `by_hand`:
    the hand torque wrench of each pass that no pump sets, by number; a pass without one has none in the book.
    """

    passes: tuple[PlannedPass, ...]
    tools: tuple[Tool, ...] = ()
    alternates: tuple[Tool, ...] = ()
    hand: bool = False
    card: str = ""
    across_flats: float = NAN
    bearing: float = NAN
    thread: Thread | None = None
    lubricant: str = ""
    friction: Friction = Friction()
    preload: float = NAN
    ceiling: float = NAN
    tolerance: float = 0.03
    by_hand: Mapping[int, str] = field(default_factory=dict)

    @property
    def full(self) -> float:
        """The final torque. [N·m]"""
        return max((item.torque for item in self.passes), default=NAN)


@dataclass(frozen=True, slots=True)
class Done:
    """One pass as recorded. `same` are the fields that the record says were as planned; the others hold what was used.

    "" and NaN mean not stated. pressure [Pa], torque [N·m] (by hand or other means), day [day number], clock [hours].
    Several of one number that each name other wrenches are one pass, pulled by these wrenches together.
    """

    number: int
    same: frozenset[str] = frozenset()
    wrenches: tuple[str, ...] = ()
    link: str = ""
    gauge: str = ""
    pressure: float = NAN
    torque: float = NAN
    day: float = NAN
    clock: float = NAN
    by: str = ""


@dataclass(frozen=True)
class Record:
    """Everything recorded of one joint and operation: passes, cards and products as they were read.

    `lubricant_same`: a row says that the lubricant was as planned. `unread`: places of rows that could not be read.
    `whole`: places of rows that claim the whole joint.
    """

    passes: tuple[Done, ...] = ()
    cards: tuple[str, ...] = ()
    lubricants: tuple[str, ...] = ()
    lubricant_same: bool = False
    whole: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Book:
    """Wrenches, gauges, products and hand torque wrenches by their names in lower case.

    drifts : by wrench the largest share by which its table as it is now differs from the one it was planned with, NaN
    where it has no table now. resting : first and last day on which a tool was not to be trusted.
    """

    wrenches: Mapping[str, Wrench] = field(default_factory=dict)
    gauges: Mapping[str, Gauge] = field(default_factory=dict)
    lubricants: Mapping[str, Friction] = field(default_factory=dict)
    by_hand: Mapping[str, HandTool] = field(default_factory=dict)
    drifts: Mapping[str, float] = field(default_factory=dict)
    resting: Mapping[str, tuple[float, float]] = field(default_factory=dict)


@dataclass(frozen=True, eq=False, slots=True)
class Used:
    """One wrench of a recorded pass: names as the book has them, pressure [Pa], torque at the nut [N·m], day."""

    number: int
    wrench: str
    link: str
    gauge: str
    pressure: float
    torque: float
    day: float


def reason(code: str, **facts: Any) -> Finding:
    """One reason for people to look at a joint."""
    return Finding(code, "", facts, REVIEW)


def every_stud(done: Sequence[Sequence[int]], passes: Sequence[Sequence[int]]) -> bool:
    """Whether passes that pull these studs, none named for all, have together pulled every stud of their joint.

    `passes`: the studs of all its passes, as `done`.

    >>> every_stud([(1, 5, 3, 7)], [(1, 5, 3, 7), (2, 6, 4, 8), ()]), every_stud([()], [()])
    (False, True)
    """
    pulled = {stud for studs in done for stud in studs}
    return any(not studs for studs in done) or (bool(pulled) and pulled == {s for studs in passes for s in studs})


def same_number(a: float, b: float) -> bool:
    """Whether two numbers are the same one, read in different units; NaN is none.

    >>> same_number(24131650.5, 24131650.5), same_number(math.nan, math.nan)
    (True, False)
    """
    return abs(a - b) <= SAME * abs(b)
