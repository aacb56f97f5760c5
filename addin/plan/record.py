"""The typed record of a plan: its head and the entry of each joint, as they stand in the plan file and in memory.

An entry holds what differs from joint to joint. What many share stands once in the head: the stages of the scheme, the
cross order of a stud count, wrenches, gauges and products. `PlanHead.passes` and `PlanHead.order` put the two together.
A number with a unit is an `Amount`, in the units of the row; a pressure to set is in its gauge's unit. Text fields are
None where nothing is stated. JSON both ways comes from msgspec; what it does not check, `addin.plan.checks` does.
"""

from collections.abc import Sequence
from typing import Any

import msgspec

from addin.plan.entries import Amount, Entry
from addin.plan.record_interaction import InteractionEntry
from addin.reading.fields import FIELDS
from calc.procedure.passes import SNUG
from calc.units import factor
from calc.wrench.choice import lowest_rating

VERSION = 2
PLANNED, STOPPED, OTHER = "planned", "stopped", "other method"
BREAK_NOT_PLANNED = "break-out not planned"
OWN_ORDER, CROSS_ORDER = "the list's own", "cross order"
BY_HAND = "by hand: snug, align the faces"
HAND_WRENCH = "hand torque wrench"
FULL = 100.0
DRAFT = "DRAFT"
"""What stands wherever a plan that nobody has confirmed would show a figure to set."""


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
    """Range of preload from scatter, what the gasket keeps of the low side, and where the scatter comes from."""

    low: Amount | None = None
    nominal: Amount | None = None
    high: Amount | None = None
    kept: Amount | None = None
    note: str | None = None


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
    """A wrench of a row with its setpoint; `passes` are its settings below full torque, one for each such stage."""

    wrench: str
    link: str
    gauge: str
    pump: str | None = None
    setpoint: Amount | None = None
    torque_at_setpoint: Amount | None = None
    passes: tuple[SettingEntry, ...] = ()


class PassEntry(Entry, frozen=True, kw_only=True):
    """Torque of one pass below full torque, and why it has no pressure."""

    torque: Amount
    note: str | None = None


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
    own_order: tuple[tuple[int, ...], ...] = msgspec.field(default=(), name="order")
    breakout: BreakoutEntry | None = None
    range: RangeEntry | None = None
    duration: TimeEntry | None = None
    findings: tuple[FindingEntry, ...] = ()
    interaction: InteractionEntry | None = None
    listed: dict[str, Amount | str] = {}

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
        """Whose the order is."""
        return OWN_ORDER if self.own_order else CROSS_ORDER

    @property
    def lubricant(self) -> str | None:
        """Product on its threads."""
        return self.target.friction.lubricant if self.target else None

    @property
    def said_status(self) -> str:
        """The status as people read it: breaking out without what it needs is no other method."""
        return BREAK_NOT_PLANNED if self.status == OTHER and self.operation == "break" else self.status

    def said(self, level: str) -> list[str]:
        """The sentences of one level."""
        return [finding.text for finding in self.findings if finding.level == level]


LISTED = tuple(f for f in FIELDS if f.kept and f.name not in {*JointEntry.__struct_fields__, "plant_area"})
"""Fields of the list that have no place of their own in an entry: they stand in `listed`."""


class JointPass(msgspec.Struct, frozen=True):
    """One pass of a joint, as a card shows it: made from its entry and the stages of the plan.

    `pressure` and `torque_at_pressure` are those of the first wrench.
    """

    number: int
    name: str
    pattern: str
    percent: float | None = None
    torque: Amount | None = None
    pressure: Amount | None = None
    torque_at_pressure: Amount | None = None
    wait_hours: float | None = None
    note: str | None = None


class StageEntry(Entry, frozen=True, kw_only=True):
    """A stage of the scheme; `percent` is None for snug."""

    number: int = msgspec.field(name="pass")
    pattern: str
    percent: float | None = None
    wait_hours: float | None = None

    @property
    def below_full(self) -> bool:
        """Whether it has a torque, and less than the full one."""
        return self.percent is not None and self.percent < FULL

    @property
    def heading(self) -> str:
        """What it is called."""
        return f"pass {self.number}" if self.percent else "snug"


class PointEntry(Entry, frozen=True, kw_only=True):
    """A row of a calibration table; `doubts` are the numbers, from 1, of the wrench's doubts that are about it."""

    pressure: Amount
    torque: Amount
    doubts: tuple[int, ...] = ()


class LinkEntry(Entry, frozen=True, kw_only=True):
    """A link or socket of a wrench."""

    name: str
    factor: float
    across_flats: Amount | None = None
    torque_limit: Amount | None = None
    radius: Amount | None = None
    table: tuple[PointEntry, ...] = ()


class WrenchEntry(Entry, frozen=True, kw_only=True):
    """A wrench of the book with everything its sheet says."""

    name: str
    sheet: str
    kind: str | None = None
    serial_number: str | None = None
    certificate: str | None = None
    hose: str | None = None
    calibrated: str | None = None
    valid_until: str | None = None
    rated_pressure: Amount | None = None
    hose_rated_pressure: Amount | None = None
    pump: str | None = None
    pump_rated_pressure: Amount | None = None
    rated_torque: Amount | None = None
    uncertainty: float | None = None
    doubts: tuple[str, ...] = ()
    gauge: str | None = None
    links: tuple[LinkEntry, ...] = ()
    table: tuple[PointEntry, ...] = ()
    faults: tuple[str, ...] = ()

    def ratings(self, gauge: "GaugeEntry | None" = None) -> dict[str, Amount]:
        """Rated pressures of wrench, hose and pump, and the end of a gauge's scale, where they are stated."""
        stated = {"wrench": self.rated_pressure, "hose": self.hose_rated_pressure, "pump": self.pump_rated_pressure}
        stated |= {"gauge": gauge.range if gauge else None}
        return {name: rating for name, rating in stated.items() if rating}

    def lowest_rating(self, gauge: "GaugeEntry | None" = None) -> Amount | None:
        """The lowest of them, whatever its unit."""
        stated = list(self.ratings(gauge).values())
        pascals = [rating.value * factor("pressure", rating.unit) for rating in stated]
        return stated[pascals.index(lowest_rating(pascals))] if stated else None


class GaugeEntry(Entry, frozen=True, kw_only=True):
    """A gauge of the book in its own unit, its graduation as typed."""

    name: str
    range: Amount
    graduation: Amount
    gauge_class: str | None = msgspec.field(default=None, name="class")
    certificate: str | None = None
    calibrated: str | None = None
    valid_until: str | None = None


class EquipmentEntry(Entry, frozen=True, kw_only=True):
    """A hand torque wrench, multiplier, tensioner, reaction arm or hose of the book."""

    kind: str
    name: str
    low: Amount | None = msgspec.field(default=None, name="from")
    high: Amount | None = msgspec.field(default=None, name="to")
    resolution: Amount | None = None
    ratio: float | None = None
    limit: Amount | None = None
    calibrated: str | None = None
    valid_until: str | None = None
    certificate: str | None = None
    serial_number: str | None = None
    fits: str | None = None
    remarks: str | None = None


class ProductEntry(Entry, frozen=True, kw_only=True):
    """A product of the book with its friction."""

    product: str
    nut_factor: float | None = None
    thread_friction: float | None = None
    nut_friction: float | None = None
    source: str | None = None


class ColumnEntry(Entry, frozen=True, kw_only=True):
    """A column of the list as it was understood."""

    column: str
    heading: str
    field: str | None = None
    unit: str | None = None
    matched: str | None = None


class SettingsEntry(Entry, frozen=True, kw_only=True):
    """What held for the whole list; `operation` and `method` where they were stated beside it."""

    scheme: str
    at_once: int
    rounding: str
    tolerance_percent: float
    yield_percent: float
    reserve_percent: float
    friction_form: str
    torsion: str
    breakout_factor: float | None = None
    scatter_method: str | None = None
    operation: str | None = None
    method: str | None = None


class TotalsEntry(Entry, frozen=True, kw_only=True):
    """Counts of the rows; planned, other method and stopped add up to all of them."""

    rows: int
    planned: int
    hydraulic: int
    hand: int
    other_method: int = msgspec.field(name="other method")
    stopped: int
    breakout_not_planned: int = msgspec.field(name="break-out not planned")


class ChangeEntry(Entry, frozen=True, kw_only=True):
    """What differs between two plans in one thing; both None where it is too long to say."""

    what: str
    was: str | None = None
    now: str | None = msgspec.field(default=None, name="is")


class BookChangeEntry(Entry, frozen=True, kw_only=True):
    """A wrench, gauge or product that is new, gone or changed."""

    what: str
    kind: str
    changes: tuple[ChangeEntry, ...] = ()


class JointChangeEntry(Entry, frozen=True, kw_only=True):
    """A joint that is new, gone or changed, and its card: to issue, with the one it replaces, or to withdraw."""

    joint: str
    operation: str
    kind: str
    row: int | None = None
    changes: tuple[ChangeEntry, ...] = ()
    card: str | None = None
    issue: int = 1
    replaces: str | None = None
    reason: str | None = None


class SinceEntry(Entry, frozen=True, kw_only=True):
    """What has changed since an older plan. `supplements`: cards that hold, with the new certificates behind them."""

    plan: str
    sha256: str = ""
    program: str | None = None
    settings: tuple[ChangeEntry, ...] = ()
    book: tuple[BookChangeEntry, ...] = ()
    joints: tuple[JointChangeEntry, ...] = ()
    issue: tuple[JointChangeEntry, ...] = ()
    withdraw: tuple[JointChangeEntry, ...] = ()
    supplements: tuple[JointChangeEntry, ...] = ()


class PlanHead(Entry, frozen=True, kw_only=True):
    """Everything of a plan but its joints.

    draft : why it is a draft, from which nobody works: what was taken without anybody having confirmed it;
    job : what the list is called in the job that planned it, whose cards wait for a release; planned_copy : SHA-256 of
    the planned copy as it was written; orders : cross order by studs and wrenches at once ("24/1").
    """

    checksum: str
    version: int
    program: str
    list_file: str = msgspec.field(name="list")
    sheet: str
    heading_row: int
    date: str | None = None
    draft: str | None = None
    job: str | None = None
    settings: SettingsEntry
    inputs: dict[str, str]
    planned_copy: str | None = None
    columns: tuple[ColumnEntry, ...] = ()
    answers: dict[str, Any] | None = None
    reading: tuple[str, ...] = ()
    wrenches: tuple[WrenchEntry, ...] = ()
    gauges: tuple[GaugeEntry, ...] = ()
    lubricants: tuple[ProductEntry, ...] = ()
    equipment: tuple[EquipmentEntry, ...] = ()
    stages: tuple[StageEntry, ...]
    orders: dict[str, tuple[tuple[int, ...], ...]] = {}
    totals: TotalsEntry
    since: SinceEntry | None = None

    def stages_of(self, joint: JointEntry) -> list[StageEntry]:
        """Stages of a joint: one that was made up before is not snugged again."""
        again = joint.operation == "retighten"
        return [stage for stage in self.stages if not (again and stage.pattern == SNUG)]

    def passes(self, joint: JointEntry) -> list[JointPass]:
        """Every pass of a joint that is tightened, with its torque and what the first wrench is set to."""
        if not joint.planned or joint.breakout:
            return []
        settings = self.set_on(joint, joint.wrenches[0]) if joint.wrenches else []
        below, made = iter(joint.passes), []
        for at, stage in enumerate(self.stages_of(joint)):
            own = next(below) if stage.below_full else None
            setting = settings[at] if settings else SettingEntry()
            hand = None if joint.wrenches else HAND_WRENCH
            made.append(
                JointPass(
                    stage.number, stage.heading, stage.pattern, stage.percent,
                    own.torque if own else joint.torque if stage.percent else None,
                    setting.pressure, setting.torque_at_pressure, stage.wait_hours,
                    BY_HAND if stage.percent is None else (own.note if own else None) or hand,
                )
            )  # fmt: skip
        return made

    def set_on(self, joint: JointEntry, tool: ToolEntry) -> list[SettingEntry]:
        """What one of a joint's wrenches is set to, pass by pass."""
        below, full = (
            iter(tool.passes),
            SettingEntry(pressure=tool.setpoint, torque_at_pressure=tool.torque_at_setpoint),
        )
        return [
            next(below) if stage.below_full else full if stage.percent else SettingEntry()
            for stage in self.stages_of(joint)
        ]

    def pulling(self, joint: JointEntry) -> list[ToolEntry]:
        """The wrenches of a joint, each with its settings in every pass."""
        return [msgspec.structs.replace(tool, passes=tuple(self.set_on(joint, tool))) for tool in joint.wrenches]

    def instead(self, joint: JointEntry) -> list[ToolEntry]:
        """The wrenches that may take the place of the planned one, each with its settings in every pass."""
        return [msgspec.structs.replace(tool, passes=tuple(self.set_on(joint, tool))) for tool in joint.alternates]

    def order(self, joint: JointEntry) -> tuple[tuple[int, ...], ...]:
        """Moves of the cross passes: the list's own order, or the one for the stud count."""
        if not joint.planned or joint.breakout:
            return ()
        return joint.own_order or self.orders[order_key(joint.studs, joint.at_once)]

    def wrench(self, name: str | None) -> WrenchEntry | None:
        """A wrench by its name."""
        return _named(self.wrenches, name)

    def gauge(self, name: str | None) -> GaugeEntry | None:
        """A gauge by its name."""
        return _named(self.gauges, name)


def order_key(studs: int | None, at_once: int) -> str:
    """What a cross order stands under in the head.

    >>> order_key(24, 1)
    '24/1'
    """
    return f"{studs}/{at_once}"


def _named(entries: Sequence[Any], name: str | None) -> Any:
    return next((entry for entry in entries if entry.name == name), None)
