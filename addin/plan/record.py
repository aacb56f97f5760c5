"""The typed record of a plan: its head and the entry of each joint, as they stand in the plan file and in memory.

An entry holds what differs from joint to joint. What many share stands once in the head: the stages of the scheme, the
cross order of a stud count, wrenches, gauges and products. `PlanHead.passes` and `PlanHead.order` put the two together.
A number with a unit is an `Amount`, in the units of the row; a pressure to set is in its gauge's unit. Text fields are
None where nothing is stated. JSON both ways comes from msgspec; what it does not check, `addin.plan.checks` does.
"""

import math
from collections.abc import Sequence
from typing import Any

import msgspec

from addin.plan.entries import Amount, Entry
from addin.plan.record_joint import JointEntry, PassEntry, RaisedEntry, SettingEntry, ToolEntry
from calc.procedure.order import circular
from calc.procedure.passes import CIRCULAR, CROSS, RETIGHTEN, part, snug_torque
from calc.units import factor
from calc.wrench.choice import lowest_rating

VERSION = 2
BY_HAND = "by hand: snug, align the faces"
_IN_US = ("lbf·ft", "lbf·in", "ozf·in")
HAND_WRENCH = "hand torque wrench"
HAND = "hand"
FULL = 100.0
DRAFT = "DRAFT"
"""What stands wherever a plan that nobody has confirmed would show a figure to set."""


def snug_note(torque: Amount | None) -> str:
    """How a joint is snugged, with the torque not to go above: by hand, before the first pass of the pump.

    >>> snug_note(Amount(940.0, "lbf·ft"))
    'by hand: snug, at most 20 lbf·ft, faces aligned, gap even'
    >>> snug_note(Amount(120.0, "N·m"))
    'by hand: snug, at most 24 N·m, faces aligned, gap even'
    """
    if torque is None:
        return BY_HAND
    scale = factor("torque", torque.unit)
    most = snug_torque(torque.value * scale, "US" if torque.unit in _IN_US else "SI") / scale
    most = math.floor(most + 1e-9) if most >= 10 else math.floor(10 * most + 1e-9) / 10
    return f"by hand: snug, at most {most:g} {torque.unit}, faces aligned, gap even"


class JointPass(msgspec.Struct, frozen=True):
    """One pass of a joint, as a card shows it: made from its entry and the stages of the plan.

    `pressure` and `torque_at_pressure` are those of the first wrench. `studs`: those that it pulls, in their order,
    where they are not all of the joint.
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
    studs: tuple[int, ...] = ()


class StageEntry(Entry, frozen=True, kw_only=True):
    """A stage of the scheme; `percent` is None for snug. `raised`: the engineer raises it in some rows. `first` and
    `last`: places in the order of the studs that it pulls, None for all.
    """

    number: int = msgspec.field(name="pass")
    pattern: str
    percent: float | None = None
    wait_hours: float | None = None
    raised: bool = False
    first: int | None = None
    last: int | None = None

    @property
    def below_full(self) -> bool:
        """Whether it has a torque, and less than the full one."""
        return self.percent is not None and self.percent < FULL

    def own_torque(self, joint: JointEntry) -> bool:
        """Whether a joint has another torque in it than the full one: less, or raised by the engineer."""
        return self.below_full or (self.raised and joint.raised is not None)

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
    """A wrench of the book with everything its sheet says. `resting`: first and last day out of service, None where an
    end is open.
    """

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
    resting: tuple[str | None, str | None] | None = None
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
    resting: tuple[str | None, str | None] | None = None


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
    resting: tuple[str | None, str | None] | None = None


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
    """What held for the whole list; `operation`, `method`, `lubricant` and `wrench`
    where they were stated beside it.
    """

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
    lubricant: str | None = None
    wrench: str | None = None


class TotalsEntry(Entry, frozen=True, kw_only=True):
    """Counts of the rows; planned, other method and stopped add up to all; some of the planned are to be reviewed."""

    rows: int
    planned: int
    hydraulic: int
    hand: int
    other_method: int = msgspec.field(name="other method")
    stopped: int
    to_review: int = msgspec.field(default=0, name="to be reviewed")
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


class EarlierPlan(Entry, frozen=True, kw_only=True):
    """A plan that came before: its number, its scheme and settings, and the tools and products it was made with, where
    they are not those of the plan that keeps them.
    """

    plan: str
    settings: SettingsEntry
    stages: tuple[StageEntry, ...]
    wrenches: tuple[WrenchEntry, ...] = ()
    gauges: tuple[GaugeEntry, ...] = ()
    lubricants: tuple[ProductEntry, ...] = ()
    equipment: tuple[EquipmentEntry, ...] = ()


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
    carried: tuple[str, ...] = ()
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
    earlier: tuple[EarlierPlan, ...] = ()

    def stages_of(self, joint: JointEntry) -> list[StageEntry]:
        """Stages of a joint: one that is tightened again has the circular pass at full torque alone, as its pass 1; a
        pass of studs that it does not have is left out, and those after it are numbered on.
        """
        stages = self._gone_through(joint)
        if not stages or len(stages) == len(self.stages):
            return stages
        shift = 1 if joint.operation == RETIGHTEN else stages[0].number
        return [msgspec.structs.replace(stage, number=number) for number, stage in enumerate(stages, shift)]

    def scheme_numbers(self, joint: JointEntry) -> list[int]:
        """What the scheme numbers the passes of a joint, in their order."""
        return [stage.number for stage in self._gone_through(joint)]

    def _gone_through(self, joint: JointEntry) -> list[StageEntry]:
        if joint.operation == RETIGHTEN:
            return [stage for stage in self.stages if stage.pattern == CIRCULAR]
        return [stage for stage in self.stages if (stage.first or 1) <= (joint.studs or 0)]

    def passes(self, joint: JointEntry) -> list[JointPass]:
        """Every pass of a joint that is tightened, with its torque and what the first wrench is set to."""
        if not joint.planned or joint.breakout:
            return []
        settings = self.set_on(joint, joint.wrenches[0]) if joint.wrenches else []
        below, made = iter(joint.passes), []
        for at, stage in enumerate(self.stages_of(joint)):
            own = next(below) if stage.own_torque(joint) else None
            raised = joint.raised if own and not stage.below_full else None
            setting = settings[at] if settings else SettingEntry()
            hand = None if joint.wrenches else HAND_WRENCH
            moves = () if stage.first is None else part(self.order(joint), stage.first, stage.last)
            if sum(map(len, moves)) == joint.studs:
                moves = ()
            made.append(
                JointPass(
                    stage.number, stage.heading,
                    _part_words(moves, joint) if moves else self._pattern(joint, stage),
                    round(stage.percent * raised.factor, 6) if raised and stage.percent else stage.percent,
                    own.torque if own else joint.torque if stage.percent else None,
                    setting.pressure, setting.torque_at_pressure, stage.wait_hours,
                    _pass_note(joint, stage, own, raised) or hand, tuple(stud for move in moves for stud in move),
                )
            )  # fmt: skip
        return made

    def _pattern(self, joint: JointEntry, stage: StageEntry) -> str:
        """The pattern of a pass of all studs, which says so where other passes of the scheme leave some out."""
        if stage.pattern != CROSS or not joint.pattern:
            return stage.pattern
        parted = any(each.first for each in self.stages)
        return f"all {joint.studs} studs, {joint.pattern}" if parted else joint.pattern

    def set_on(self, joint: JointEntry, tool: ToolEntry) -> list[SettingEntry]:
        """What one of a joint's wrenches is set to, pass by pass."""
        below, full = (
            iter(tool.passes),
            SettingEntry(pressure=tool.setpoint, torque_at_pressure=tool.torque_at_setpoint),
        )
        return [
            next(below) if stage.own_torque(joint) else full if stage.percent else SettingEntry()
            for stage in self.stages_of(joint)
        ]

    def pulling(self, joint: JointEntry) -> list[ToolEntry]:
        """The wrenches of a joint, each with its settings in every pass."""
        return [msgspec.structs.replace(tool, passes=tuple(self.set_on(joint, tool))) for tool in joint.wrenches]

    def instead(self, joint: JointEntry) -> list[ToolEntry]:
        """The wrenches that may take the place of the planned one, each with its settings in every pass."""
        return [msgspec.structs.replace(tool, passes=tuple(self.set_on(joint, tool))) for tool in joint.alternates]

    def order(self, joint: JointEntry) -> tuple[tuple[int, ...], ...]:
        """Moves of the cross passes: the list's own order, or the one for the stud count; without them, round."""
        if not joint.planned or joint.breakout:
            return ()
        if joint.operation == RETIGHTEN and not joint.own_order:
            return tuple(map(tuple, circular(joint.studs or 0, joint.at_once)))
        return joint.own_order or self.orders[order_key(joint.studs, joint.at_once)]

    def wrench(self, name: str | None) -> WrenchEntry | None:
        """A wrench by its name."""
        return _named(self.wrenches, name)

    def gauge(self, name: str | None) -> GaugeEntry | None:
        """A gauge by its name."""
        return _named(self.gauges, name)


SPELLED = 4
"""Most studs that are spelled out where a pass pulls some of them; of more, the first three and the last."""


def _part_words(moves: Sequence[Sequence[int]], joint: JointEntry) -> str:
    """Which studs a pass pulls that leaves some of them out, in their order."""
    said, count = ["+".join(map(str, move)) for move in moves], sum(map(len, moves))
    names = "→".join(said) if count <= SPELLED else f"{'→'.join(said[:3])} … {said[-1]}"
    return f"only {count} of {joint.studs} studs: {names}"


def _pass_note(joint: JointEntry, stage: StageEntry, own: PassEntry | None, raised: RaisedEntry | None) -> str | None:
    """What stands beside a pass: how it is snugged, why it has no pressure, or who raised it."""
    if stage.percent is None:
        return snug_note(joint.torque)
    return raised.note if raised else own.note if own else None


def plan_id(checksum: str) -> str:
    """The number of a plan as record sheets print it: the first digits of its checksum.

    >>> plan_id("7f3a91c2" + 56 * "0")
    '7F3A-91C2'
    """
    return f"{checksum[:4]}-{checksum[4:8]}".upper()


def order_key(studs: int | None, at_once: int) -> str:
    """What a cross order stands under in the head.

    >>> order_key(24, 1)
    '24/1'
    """
    return f"{studs}/{at_once}"


def _named(entries: Sequence[Any], name: str | None) -> Any:
    return next((entry for entry in entries if entry.name == name), None)
