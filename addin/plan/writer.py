"""Makes a plan from what was planned: the one place where a plan gets its words."""

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any

import msgspec
import numpy as np
from numpy.typing import NDArray

from addin.cells.words import amount, facts_in_units, figure, fraction, line, named_rows
from addin.plan import limits
from addin.plan.alike_rows import alike
from addin.plan.card_number import card_number
from addin.plan.carried import carried_columns, carried_texts, same_heading
from addin.plan.file import NO_CHECKSUM, Plan, entry_line
from addin.plan.interaction import Blocks
from addin.plan.list_settings import settings_entry
from addin.plan.record import VERSION, Amount, ColumnEntry, PlanHead, StageEntry, TotalsEntry, order_key
from addin.plan.record_joint import (
    LISTED,
    REVIEWED,
    STUD_CEILING,
    WITH_TORSION,
    FindingEntry,
    FrictionEntry,
    JointEntry,
    LimitEntry,
    PassEntry,
    RaisedEntry,
    SettingEntry,
    TargetEntry,
    ToolEntry,
)
from addin.plan.shown_column import ShownColumn
from addin.plan.tools import day_or_none, equipment_entries, gauge_entries, product_entries, wrench_entries
from addin.reading.column import letter
from addin.reading.fields import FIELDS
from addin.reading.joint_list import JointList
from addin.shipped import program
from addin.wrenches.wrench_book import WrenchBook
from calc.findings import Finding
from calc.plan.alternates import alternates
from calc.plan.joints import OTHER, PLANNED, STOPPED
from calc.plan.plans import Plans
from calc.plan.resolve import raised_target
from calc.procedure import order
from calc.procedure.passes import RETIGHTEN, before_last
from calc.quantities import QUANTITIES, short
from calc.units import System, from_si, system
from calc.wrench.choice import Candidate

_TEXTS = tuple(f.name for f in FIELDS if f.kept and f.name in JointEntry.__struct_fields__)
_PRINT = frozenset(("x", "yes", "y", "1", "print"))


class PlanWriter:
    """Makes a plan piece by piece: the entries of 10,000 joints need not be in memory together.

    `head` is everything but the joints. `joints` gives the entry of each row in turn; with `interaction` also what each
    stud keeps, which takes seconds for each joint that states its dimensions.
    """

    def __init__(
        self, joint_list: JointList, book: WrenchBook, plans: Plans, *, interaction: bool = False,
        carry: Sequence[str] = (), job: str | None = None,
    ) -> None:  # fmt: skip
        self._entries = _Joints(joint_list, book, plans)
        self._entries.carried = carried_columns(joint_list, carry)
        self._entries.blocks = Blocks(plans, self._entries.joints, joint_list.rows.units) if interaction else None
        self._count = len(plans.status)
        self.head = PlanHead(
            checksum=NO_CHECKSUM,
            version=VERSION,
            program=program(),
            list_file=joint_list.package.path.name,
            sheet=joint_list.sheet,
            heading_row=joint_list.heading_row,
            date=day_or_none(plans.settings.date),
            draft="; ".join(joint_list.accepted) or None,
            job=job,
            settings=settings_entry(plans.settings, joint_list.stated),
            inputs={joint_list.package.path.name: joint_list.package.sha256, **book.hashes},
            columns=tuple(
                ColumnEntry(column=letter(c.at), heading=c.heading, field=c.field, unit=c.unit, matched=c.matched)
                for c in joint_list.columns
            ),
            carried=tuple(same_heading(heading) for heading in carry),
            answers=joint_list.answered.as_json() if joint_list.answered else None,
            reading=tuple(said.text for said in joint_list.said),
            wrenches=tuple(self._entries.wrenches.values()),
            gauges=tuple(self._entries.gauges.values()),
            lubricants=product_entries(book),
            equipment=equipment_entries(book),
            stages=tuple(
                StageEntry(
                    number=s.number, percent=_percent(s.fraction), pattern=s.pattern,
                    wait_hours=s.wait / 3600 if s.wait else None, first=s.first, last=s.last,
                    raised=j == before_last(plans.stages) and bool((plans.raised[_planned(plans)] != 1).any()),
                )
                for j, s in enumerate(plans.stages)
            ),
            orders=self._entries.orders(),
            totals=totals(plans),
        )  # fmt: skip
        self._entries.head = self.head

    def joints(self) -> Iterator[JointEntry]:
        """The entries of the joints, in the order of the list."""
        return (entry for entry, _ in self.written())

    def written(self) -> Iterator[tuple[JointEntry, bytes]]:
        """Each entry with its line of the plan file."""
        entries = (self._entries.entry(i) for i in range(self._count))
        return ((entry, entry_line(entry)) for entry in entries)

    def plan(self) -> Plan:
        """The plan as one piece."""
        return Plan(self.head, list(self.joints()))


def totals(plans: Plans) -> TotalsEntry:
    """Counts of the rows; planned, other method and stopped add up to all of them."""
    rows = list(zip(plans.status, plans.method, strict=True))
    return TotalsEntry(
        rows=len(rows),
        planned=sum(status == PLANNED for status, _ in rows),
        hydraulic=sum(status == PLANNED and method == "hydraulic" for status, method in rows),
        hand=sum(status == PLANNED and method == "hand" for status, method in rows),
        other_method=sum(status == OTHER for status, _ in rows),
        stopped=sum(status == STOPPED for status, _ in rows),
        to_review=len({f.row for f in plans.findings if f.code in REVIEWED and plans.status[f.row] == PLANNED}),
        breakout_not_planned=len({f.row for f in plans.findings if f.code in ("break_out", "breakout_needs")}),
    )


def findings_of(joint_list: JointList, plans: Plans) -> list[list[FindingEntry]]:
    """Every finding of every row in words, stops first, with the cell it is about."""
    said: list[list[FindingEntry]] = [[] for _ in plans.status]
    for finding in sorted(plans.findings, key=lambda f: f.level, reverse=True):
        facts = dict(finding.facts)
        if "rows" in facts:
            facts["where"] = named_rows([joint_list.numbers[row] for row in facts["rows"]], facts["more"])
        worded = Finding(finding.code, finding.quantity, facts, finding.level, finding.row)
        units = system(joint_list.rows.units[finding.row])
        entry = FindingEntry(
            level=finding.level, code=finding.code, text=line(worded, units), place=joint_list.place(finding),
            quantity=finding.quantity, facts=facts_in_units(worded, units),
        )  # fmt: skip
        if entry not in said[finding.row]:
            said[finding.row].append(entry)
    return said


class _Joints:
    """Makes the entries of the joints; columns are brought to the users' units once, as whole columns."""

    def __init__(self, joint_list: JointList, book: WrenchBook, plans: Plans) -> None:
        self.list, self.joints, self.texts = joint_list, joint_list.rows.joints, joint_list.rows.texts
        self.plans = plans
        self.said = findings_of(joint_list, plans)
        self.wrenches = {wrench.name: wrench for wrench in wrench_entries(book)}
        self.gauges = {gauge.name: gauge for gauge in gauge_entries(book)}
        self.depth = limits.Depth(plans, self.joints, joint_list.rows.units)
        others = alternates(plans, self.joints, book.wrenches, book.gauges)
        self.others = others.wrenches
        columns = {
            "preload": (plans.preload, "force"),
            "torque": (plans.torque, "torque"),
            "reached": (plans.combined_stress, "stress"),
            "ceiling": (plans.settings.yield_fraction * plans.yield_strength, "stress"),
            "flats": (plans.across_flats, "length"),
            "pass_torque": (plans.pass_torque, "torque"),
            "there": (plans.torque_there, "torque"),
            "there_instead": (others.torque_there, "torque"),
        }
        self.shown = {
            (name, units): ShownColumn(values, kind, system(units).symbol(kind))
            for name, (values, kind) in columns.items()
            for units in set(joint_list.rows.units)
        }
        self.full = plans.full
        self.marks = _marks(plans.pulling, plans.count)
        self.instead = _marks(others.wrenches, others.count)
        self.blocks: Blocks | None = None
        self._texts = [(name, column) for name in _TEXTS if (column := self.texts.get(name))]
        self._listed_texts: list[tuple[str, Sequence[str]]]
        self._listed_numbers: list[tuple[str, str, Sequence[float]]]
        self._find_listed()
        self._dates, self._studs, self._at_once = map(ShownColumn, (self.joints.date, self.joints.studs, plans.at_once))
        holes = joint_list.rows.texts.get("holes", ())
        self._alike = alike(len(self.joints), plans, self.joints, others, list(joint_list.rows.units), list(holes))
        self._planned: dict[int, dict[str, Any]] = {}
        self.head: PlanHead
        self.carried: list[tuple[str, int]] = []

    def value(self, name: str, i: int, *at: int) -> Amount | None:
        """A number of row i with its unit; None where there is none."""
        column = self.shown[name, self.list.rows.units[i]]
        number = column[i]
        for index in at:
            number = number[index]
        if number != number:
            return None
        return Amount(number, column.unit)

    def text(self, name: str, i: int) -> str | None:
        """A text of the list that no calculation needs."""
        column = self.texts.get(name)
        return (column[i] or None) if column else None

    def listed(self, i: int) -> dict[str, Amount | str]:
        """What the list says and no other place of the entry has."""
        found = dict[str, Amount | str]()
        for name, texts in self._listed_texts:
            if text := texts[i]:
                found[name] = text
        for name, kind, numbers in self._listed_numbers:
            value = self.as_listed(name, float(numbers[i]), kind, i)
            if value is not None:
                found[name] = value
        return {each.name: found[each.name] for each in LISTED if each.name in found} if len(found) > 1 else found

    def _find_listed(self) -> None:
        """The columns of the list that stand in `listed`, as far as it has them."""
        self._listed_texts, self._listed_numbers = [], []
        for each in LISTED:
            if each.kind is None:
                if texts := self.texts.get(each.name):
                    self._listed_texts.append((each.name, texts))
            else:
                own: Sequence[float] = getattr(self.joints, each.name, ())
                numbers = self.list.rows.numbers.get(each.name) or own
                if any(number == number for number in numbers):
                    self._listed_numbers.append((each.name, each.kind, numbers))

    def as_listed(self, name: str, number: float, kind: str, i: int) -> Amount | None:
        """A number of the list in the unit of its column, or of its row."""
        if math.isnan(number):
            return None
        own = next((column.unit for column in self.list.columns if column.field == name), None)
        unit = own or system(self.list.rows.units[i]).symbol(kind)
        return Amount(float(f"{float(from_si(number, kind, unit)):.12g}"), unit)

    def length(self, i: int) -> str | None:
        """Length of the studs with its unit, which is that of the column where the cell has none."""
        text = self.text("length", i)
        if text is None:
            return None
        unit = next((c.unit for c in self.list.columns if c.field == "length"), None)
        bare = text.replace(".", "", 1).replace(",", "", 1).isdecimal()
        return f"{text} {unit or '(unit not stated)'}" if bare else text

    def entry(self, i: int) -> JointEntry:
        """The entry of one row."""
        joints, plans = self.joints, self.plans
        date, studs, at_once = self._dates[i], self._studs[i], self._at_once[i]
        entry: dict[str, Any] = {
            "row": self.list.numbers[i],
            "joint": joints.joint[i],
            "operation": joints.operation[i],
            "method": joints.method[i],
            "status": plans.status[i],
            "area_of_plant": self.text("plant_area", i),
            **{name: column[i] or None for name, column in self._texts},
            "length": self.length(i),
            "carried": carried_texts(self.list, self.carried, i) if self.carried else {},
            "print_it": (self.text("print", i) or "").casefold() in _PRINT,
            "date": day_or_none(date if date == date else plans.settings.date),
            "thread": plans.designation[i] or joints.thread[i] or None,
            "grade": plans.grade[i] or joints.grade[i] or None,
            "nut_grade": plans.nut_grade[i] or joints.nut_grade[i] or None,
            "studs": int(studs) if studs % 1 == 0 else None,
            "at_once": at_once,
            "findings": tuple(self.said[i]),
            "listed": self.listed(i),
        }
        if i in self.list.rows.flanges:
            entry["studs_from"] = f"standard flange {self.list.rows.flanges[i]}"
        if plans.status[i] != PLANNED:
            return JointEntry(**entry)
        opened = plans.breakouts[i]
        if opened is not None:
            unit = self.gauges[opened.candidate.gauge.name].graduation.unit
            block, flats, series = self.depth.opened(i, opened, unit)
            made = JointEntry(
                **entry, breakout=block, across_flats=flats, nut_series=series, backup_wrench=self.backup(i, flats)
            )
        else:
            made = JointEntry(**entry, **self.as_planned(i))
        made = msgspec.structs.replace(made, card=card_number(made, self.head))
        block_of = self.blocks.block(i) if self.blocks is not None and opened is None else None
        return made if block_of is None else msgspec.structs.replace(made, interaction=block_of)

    def as_planned(self, i: int) -> dict[str, Any]:
        """What is planned of a row: the same in all rows that are alike."""
        known = self._planned.get(self._alike[i])
        if known is None:
            if len(self._planned) >= _KEPT:
                self._planned.clear()
            known = self._planned[self._alike[i]] = {**self.target(i), **self.pulling(i), **self.procedure(i)}
        return known

    def procedure(self, i: int) -> dict[str, Any]:
        """Nut, passes, order, range and time."""
        flats, joints = self.value("flats", i), self.joints
        return {
            "across_flats": flats,
            "nut_series": joints.nut_series[i] or ("heavy hex" if not self.plans.thread.metric[i] else None),  # type: ignore[index]  # a column
            "backup_wrench": self.backup(i, flats),
            "passes": self.passes(i),
            "raised": self.raised(i),
            "own_order": self.own_order(i),
            "pattern": self.order_name(i),
            "range": self.depth.range(i),
            "duration": self.depth.duration(i),
        }

    def target(self, i: int) -> dict[str, Any]:
        """Target with its basis and friction, preload, limits and torque."""
        joints, plans, units = self.joints, self.plans, system(self.list.rows.units[i])
        kind = plans.target[i]
        area = joints.area[i] if kind in ("stress", "percent") else None
        stated, uplift = float(getattr(joints, kind)[i]), float(joints.uplift[i])
        raised = self.raised(i)
        text, shown = _stated(stated, QUANTITIES[kind].kind, units)
        if kind == "target_gasket_stress":
            basis = limits.gasket_target(joints, i, units)
        else:
            basis = {
                "stress": f"stress {text} on the {area} area",
                "percent": f"{text} of the minimum yield on the {area} area",
                "load": f"load {text} in each stud",
                "torque": f"torque {text} as specified",
            }[kind]
        if raised:
            number = plans.pass_number(i, before_last(plans.stages))
            basis = f"{basis}; pass {number} raised by the engineer x {figure(uplift)} ({raised.reason})"
        elif uplift > 1:
            whole, shown = _stated(float(raised_target(getattr(joints, kind), joints.uplift)[i]),
                                   QUANTITIES[kind].kind, units)  # fmt: skip
            basis = f"{basis}, raised by the engineer x {figure(uplift)} to {whole} ({joints.uplift_reason[i]})"
        friction = FrictionEntry(
            kind=plans.friction_kind[i],
            nut_factor=_number(plans.nut_factor[i]),
            thread_friction=_number(plans.thread_friction[i]),
            nut_friction=_number(plans.nut_friction[i]),
            lubricant=joints.lubricant[i] or None,
            source=plans.friction_source[i] or None,
        )
        preload = self.value("preload", i)
        return {
            "target": TargetEntry(basis=basis, kind=kind, stated=shown, area=area, friction=friction),
            "preload": preload,
            "preload_note": None if preload else "not known: friction not stated",
            "limits": (self.ceiling(i), *self.depth.limits(i)),
            "torque": self.value("torque", i),
        }

    def ceiling(self, i: int) -> LimitEntry:
        """The stud's ceiling: its value and what is reached, or the input that is missing."""
        plans = self.plans
        reached, limit = self.value("reached", i), self.value("ceiling", i)
        if math.isnan(plans.preload[i]):
            note = "not known: friction not stated"
        elif reached is None:
            note = "not checked: nut series not stated"
        elif limit is None:
            note = f"not checked: {'yield strength' if self.joints.grade[i] else 'grade'} not stated"
        else:
            share, source = figure(100 * plans.settings.yield_fraction), plans.yield_source[i]
            note = f"{share} % of the minimum yield, {source.split(' (')[0]}, {WITH_TORSION}"
            return LimitEntry(name=STUD_CEILING, value=limit, reached=reached, note=note, source=source)
        return LimitEntry(name=STUD_CEILING, note=note)

    def pulling(self, i: int) -> dict[str, Any]:
        """The wrenches of a row and those that may take their place; the first stands for the row itself."""
        group = self.plans.pulling[i]
        if not group:
            return {}
        off = self.plans.torque_there[i, 0, self.full] / self.plans.torque[i] - 1
        return {
            "difference_percent": round(100 * float(off), 2),
            "wrenches": tuple(self.wrench(i, c, self.marks[i][k], ("there", k)) for k, c in enumerate(group)),
            "alternates": tuple(
                self.wrench(i, c, self.instead[i][k], ("there_instead", k)) for k, c in enumerate(self.others[i])
            ),
        }

    def wrench(self, i: int, candidate: Candidate, marks: list[float], torques: tuple[str, int]) -> ToolEntry:
        """One wrench of a row with its settings, on the marks of its gauge as they are typed."""
        name, k = torques
        unit = self.gauges[candidate.gauge.name].graduation.unit

        def setting(j: int) -> SettingEntry:
            pressure = None if marks[j] != marks[j] else Amount(marks[j], unit)
            return SettingEntry(pressure=pressure, torque_at_pressure=self.value(name, i, k, j))

        full = setting(self.full)
        return ToolEntry(
            wrench=candidate.wrench.name,
            link=candidate.link.name,
            gauge=candidate.gauge.name,
            pump=candidate.wrench.pump or None,
            setpoint=full.pressure,
            torque_at_setpoint=full.torque_at_pressure,
            passes=tuple(setting(j) for j in self.own_torque(i)),
        )

    def passes(self, i: int) -> tuple[PassEntry, ...]:
        """Torque of every pass that has not the full torque, and why it prints no pressure."""
        group, made = self.plans.pulling[i], []
        for j in self.own_torque(i):
            note = None
            if group and self.marks[i][0][j] != self.marks[i][0][j]:
                lowest = max(float(c.curve.torque[0]) for c in group)
                low = amount(lowest, "torque", system(self.list.rows.units[i]))
                note = f"other means: below the lowest certified point, {low}"
            torque = self.value("pass_torque", i, j)
            assert torque is not None
            made.append(PassEntry(torque=torque, note=note))
        return tuple(made)

    def raised(self, i: int) -> RaisedEntry | None:
        """The engineer's uplift of the pass before the last."""
        factor = float(self.plans.raised[i])
        return None if factor == 1 else RaisedEntry(factor=factor, reason=self.joints.uplift_reason[i])

    def own_torque(self, i: int) -> list[int]:
        """Places of the stages of row i that have less than the full torque, or more."""
        torques, stages = self.plans.pass_torque[i], self.plans.stages
        raised = before_last(stages) if self.plans.raised[i] != 1 else -1
        return [
            j for j, stage in enumerate(stages)
            if ((stage.fraction or 1) < 1 or j == raised) and torques[j] == torques[j]
        ]  # fmt: skip

    def own_order(self, i: int) -> tuple[tuple[int, ...], ...]:
        """Moves of the cross passes where the list or the scheme has an order of its own."""
        own = self.plans.order[i]
        if not own:
            return ()
        return tuple(map(tuple, order.given(own, int(self.joints.studs[i]), int(self.plans.at_once[i]))))

    def order_name(self, i: int) -> str:
        """The pattern that the list or the scheme names, "" for the cross order and for an order in numbers."""
        return order.named(self.plans.order[i]) if self.plans.order[i] else ""

    def orders(self) -> dict[str, tuple[tuple[int, ...], ...]]:
        """The cross order of every stud count that is tightened, by studs and wrenches at once."""
        plans, joints = self.plans, self.joints
        pairs = {
            (int(joints.studs[i]), int(plans.at_once[i]))
            for i, status in enumerate(plans.status)
            if status == PLANNED and plans.breakouts[i] is None and not plans.order[i]
            and joints.operation[i] != RETIGHTEN
        }  # fmt: skip
        return {order_key(*pair): tuple(map(tuple, order.cross(*pair))) for pair in sorted(pairs)}

    def backup(self, i: int, flats: Amount | None) -> str:
        """What holds the far nut."""
        if any(word in str(self.text("holes", i)).lower() for word in ("tapped", "blind")):
            return "none: tapped holes"
        if flats is None:
            return "size not stated"
        size = fraction(flats.value) if flats.unit == "in" else None
        return f"for {size or figure(flats.value)} {flats.unit} across flats"


def _planned(plans: Plans) -> NDArray[np.bool_]:
    return np.array([status == PLANNED for status in plans.status], dtype=bool)


_KEPT = 2048
"""Kinds of rows of which is kept what is planned."""


def _marks(groups: Sequence[tuple[Candidate, ...]], count: NDArray[np.float64]) -> ShownColumn:
    """What stands on the gauges: row, wrench, stage."""
    wide = count.shape[1]
    steps = np.full((len(groups), wide, 1), np.nan)
    for row, group in enumerate(groups):
        for k, candidate in enumerate(group):
            steps[row, k, 0] = candidate.gauge.marks.step
    return ShownColumn(count * steps)


@lru_cache(maxsize=4096)
def _stated(value: float, kind: str, units: System) -> tuple[str, Amount]:
    """A stated target as text, and as a number with its unit; the same ones stand in many rows."""
    unit = units.symbol(kind)
    return amount(value, kind, units), Amount(float(short(from_si(value, kind, unit))), unit)


def _percent(fraction: float | None) -> float | None:
    return round(100 * fraction, 6) if fraction else None


def _number(value: Any) -> float | None:
    return None if math.isnan(value) else float(value)
