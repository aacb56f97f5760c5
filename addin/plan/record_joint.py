"""The entry of one joint in a plan: what the list says of it, what was planned, and what is to be said.

It holds what differs from joint to joint; `addin.plan.record.PlanHead` puts it together with what many share. A number
with a unit is an `Amount`, in the units of the row; a pressure to set is in its gauge's unit. A text is None where
nothing is stated.
"""

from typing import Any

import msgspec

from addin.plan.entries import Amount, Entry
from addin.plan.record_interaction import InteractionEntry
from addin.reading.fields import FIELDS
from calc.procedure.passes import RETIGHTEN

PLANNED, STOPPED, OTHER = "planned", "stopped", "other method"
BREAK_NOT_PLANNED = "break-out not planned"
OWN_ORDER, CROSS_ORDER, ROUND = "the list's own", "cross order", "round"


STUD_CEILING, WITH_TORSION = "stud ceiling", "tension with torsion"
TO_REVIEW = "to be reviewed"
FOR_THE_PLANNER = frozenset(("yield_from_memory",))
"""Cautions that ask the planner for something and change nothing a crew does: they stand on no card."""
REVIEWED = frozenset(("limit_below",))
"""Cautions that put a planned row before an engineer: a gasket that is not seated, a stud below its minimum."""


class FindingEntry(Entry, frozen=True, kw_only=True):
    """What stops a row or is to be watched: the sentence, and code and facts in the user's units beside it."""

    level: str
    code: str
    text: str
    place: str
    quantity: str = ""
    facts: dict[str, Any] = {}


class FrictionEntry(Entry, frozen=True, kw_only=True):
    """Friction of a row: a nut factor or both coefficients, with product and source."""

    kind: str = ""
    nut_factor: float | None = None
    thread_friction: float | None = None
    nut_friction: float | None = None
    lubricant: str | None = None
    source: str | None = None


class TargetEntry(Entry, frozen=True, kw_only=True):
    """What the preload of a row comes from: the basis in words, and as it was stated."""

    basis: str
    kind: str
    stated: Amount
    friction: FrictionEntry
    area: str | None = None


class LimitEntry(Entry, frozen=True, kw_only=True):
    """A limit of a row: its value and what is reached, or in the note why it was not checked."""

    name: str
    value: Amount | None = None
    reached: Amount | None = None
    note: str | None = None
    source: str | None = None


class RangeEntry(Entry, frozen=True, kw_only=True):
    """Range of preload from scatter, what the gasket keeps of the low side, and where the scatter comes from.

    `holds`: what is in it, in the few words of a card.
    """

    low: Amount | None = None
    nominal: Amount | None = None
    high: Amount | None = None
    kept: Amount | None = None
    note: str | None = None
    holds: str | None = None


class TimeEntry(Entry, frozen=True, kw_only=True):
    """How long a row takes; the value is None where the note says what is missing."""

    value: float | None = None
    unit: str = "min"
    note: str | None = None


class SettingEntry(Entry, frozen=True, kw_only=True):
    """What one wrench is set to in one pass: nothing where the pass is below its lowest certified point."""

    pressure: Amount | None = None
    torque_at_pressure: Amount | None = None


class ToolEntry(Entry, frozen=True, kw_only=True):
    """A wrench of a row with its setpoint; `passes` are its settings where the torque is not the full
    one, one for each such stage.
    """

    wrench: str
    link: str
    gauge: str
    pump: str | None = None
    setpoint: Amount | None = None
    torque_at_setpoint: Amount | None = None
    passes: tuple[SettingEntry, ...] = ()


class PassEntry(Entry, frozen=True, kw_only=True):
    """Torque of one pass that has not the full torque, and why it has no pressure."""

    torque: Amount
    note: str | None = None


class RaisedEntry(Entry, frozen=True, kw_only=True):
    """The engineer's uplift of the pass before the last, for interaction: its factor, and what it is for and whose."""

    factor: float
    reason: str

    @property
    def note(self) -> str:
        """What stands beside that pass.

        >>> RaisedEntry(factor=1.1, reason="interaction, N. Example").note
        'raised by the engineer x 1.1 (interaction, N. Example); the pass after it goes back to 100 %'
        """
        return f"raised by the engineer x {self.factor:.12g} ({self.reason}); the pass after it goes back to 100 %"


class OpeningEntry(Entry, frozen=True, kw_only=True):
    """A stage of breaking out."""

    stage: int
    pressure: Amount
    torque_at_pressure: Amount | None = None


class BreakoutEntry(Entry, frozen=True, kw_only=True):
    """How a joint is broken out: the wrench, the torque to expect, what wrench and stud have, pressures to try."""

    tool: ToolEntry
    torque_stated: Amount
    factor: float
    factor_from: str
    expected: Amount
    follows: str
    stud_note: str
    available: Amount | None = None
    stud_limit: Amount | None = None
    never_above: Amount | None = None
    highest_pressure: Amount | None = None
    by_stud: bool = False
    once_turned: Amount | None = None
    turned_pressure: Amount | None = None
    stages: tuple[OpeningEntry, ...] = ()
    note: str = ""


class EarlierCard(Entry, frozen=True, kw_only=True):
    """A card that another one replaced: the number of its plan, the first day on which it no longer held, and its row
    as that plan had it, without what is only said of it.
    """

    card: str
    plan: str
    until: str
    joint: "JointEntry"


class JointEntry(Entry, frozen=True, kw_only=True):
    """One row of the list: one joint and one operation. `listed`: by field, what it carries as the list says it."""

    row: int
    card: str | None = None
    issue: int = 1
    replaces: str | None = None
    joint: str
    operation: str
    method: str
    status: str
    area_of_plant: str | None = None
    equipment: str | None = None
    line: str | None = None
    size: str | None = None
    rating: str | None = None
    gasket: str | None = None
    remarks: str | None = None
    turned_side: str | None = None
    stud_1: str | None = None
    holes: str | None = None
    witness: str | None = None
    hold_point: str | None = None
    crew: str | None = None
    shift: str | None = None
    sequence: str | None = None
    work_order: str | None = None
    print_it: bool = False
    carried: dict[str, str] = {}
    date: str | None = None
    thread: str | None = None
    grade: str | None = None
    nut_grade: str | None = None
    studs: int | None = None
    length: str | None = None
    studs_from: str | None = None
    at_once: int = 1
    target: TargetEntry | None = None
    preload: Amount | None = None
    preload_note: str | None = None
    limits: tuple[LimitEntry, ...] = ()
    torque: Amount | None = None
    difference_percent: float | None = None
    wrenches: tuple[ToolEntry, ...] = ()
    alternates: tuple[ToolEntry, ...] = ()
    across_flats: Amount | None = None
    nut_series: str | None = None
    backup_wrench: str | None = None
    passes: tuple[PassEntry, ...] = ()
    raised: RaisedEntry | None = None
    own_order: tuple[tuple[int, ...], ...] = msgspec.field(default=(), name="order")
    pattern: str = ""
    breakout: BreakoutEntry | None = None
    range: RangeEntry | None = None
    duration: TimeEntry | None = None
    findings: tuple[FindingEntry, ...] = ()
    interaction: InteractionEntry | None = None
    listed: dict[str, Amount | str] = {}
    earlier: tuple[EarlierCard, ...] = ()

    @property
    def grades(self) -> str | None:
        """Grade of the studs, and of the nuts where it is stated."""
        if not self.nut_grade:
            return self.grade
        return f"{self.grade}, nuts {self.nut_grade}" if self.grade else f"not stated, nuts {self.nut_grade}"

    @property
    def planned(self) -> bool:
        """Whether the row is planned."""
        return self.status == PLANNED

    @property
    def tools(self) -> tuple[ToolEntry, ...]:
        """The wrenches that its card sets: those that pull, or the one that breaks out."""
        return self.wrenches or ((self.breakout.tool,) if self.breakout else ())

    @property
    def tool(self) -> ToolEntry | None:
        """The first of them."""
        return next(iter(self.tools), None)

    @property
    def setpoint(self) -> Amount | None:
        """Pressure to set on the first wrench."""
        return self.wrenches[0].setpoint if self.wrenches else None

    @property
    def torque_at_setpoint(self) -> Amount | None:
        """Torque that the first wrench gives there."""
        return self.wrenches[0].torque_at_setpoint if self.wrenches else None

    @property
    def order_source(self) -> str:
        """Whose the order is, or which pattern."""
        if self.own_order:
            return self.pattern or OWN_ORDER
        return ROUND if self.operation == RETIGHTEN else CROSS_ORDER

    @property
    def lubricant(self) -> str | None:
        """Product on its threads."""
        return self.target.friction.lubricant if self.target else None

    @property
    def said_status(self) -> str:
        """The status as people read it: breaking out without what it needs is no other method."""
        if self.to_review:
            return f"{self.status}, {TO_REVIEW}"
        return BREAK_NOT_PLANNED if self.status == OTHER and self.operation == "break" else self.status

    @property
    def to_review(self) -> list[str]:
        """Why an engineer must look at a planned row before it is worked: a lower limit that it does not reach."""
        return [finding.text for finding in self.findings if finding.code in REVIEWED] if self.planned else []

    def for_the_crew(self) -> list[FindingEntry]:
        """The cautions that its crew reads."""
        return [f for f in self.findings if f.level == "caution" and f.code not in FOR_THE_PLANNER]

    def said(self, level: str) -> list[str]:
        """The sentences of one level."""
        return [finding.text for finding in self.findings if finding.level == level]


LISTED = tuple(f for f in FIELDS if f.kept and f.name not in {*JointEntry.__struct_fields__, "plant_area"})
"""Fields of the list that have no place of their own in an entry: they stand in `listed`."""
