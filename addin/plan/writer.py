"""A plan as JSON: the only source for cards and for everything after them. Here, once, a plan gets its words."""

import hashlib
import json
import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, version
from typing import Any

import numpy as np
from numpy.typing import NDArray

from addin.cells.words import amount, figure, line, named_rows
from addin.plan import limits
from addin.plan.interaction import Blocks
from addin.plan.tools import Json, day_or_none, equipment_json, gauges_json, lubricants_json, wrenches_json
from addin.reading.column import letter
from addin.reading.joint_list import JointList
from addin.wrenches.wrench_book import WrenchBook
from calc.findings import Finding
from calc.plan.alternates import alternates
from calc.plan.joints import OTHER, PLANNED, STOPPED
from calc.plan.plans import Plans
from calc.procedure import order
from calc.procedure.passes import SNUG, Stage
from calc.units import System, from_si, system
from calc.wrench.choice import Candidate

VERSION = 1
_TARGETS = {"stress": "stress", "percent": "percent", "load": "force", "torque": "torque",
            "target_gasket_stress": "stress"}  # fmt: skip
_TEXTS = ("equipment", "line", "size", "rating", "gasket", "remarks", "turned_side", "stud_1", "holes")
_EMPTY = ("target", "preload", "preload_note", "torque", "wrench", "link", "gauge", "pump", "across_flats",
          "nut_series", "setpoint", "torque_at_setpoint", "difference_percent", "backup_wrench")  # fmt: skip


_KNOWN = ("low", "value")
"""Values by which a range or a time is known."""


def program() -> str:
    """Name and version as plans carry it."""
    try:
        return f"tautsheet {version('tautsheet')}"
    except PackageNotFoundError:  # run from a folder that was never installed
        return "tautsheet"


class PlanWriter:
    """Makes a plan as JSON, piece by piece: the entries of 10,000 joints need not be in memory together.

    `head` is everything but the joints: settings, inputs with their hashes, columns as understood, wrenches, gauges,
    totals. `joints` gives the entry of each row in turn; with `interaction` also what each stud keeps, which takes
    seconds for each joint that states its dimensions.
    """

    def __init__(self, joint_list: JointList, book: WrenchBook, plans: Plans, *, interaction: bool = False) -> None:
        self._entries = _Joints(joint_list, book, plans)
        self._entries.blocks = Blocks(plans, self._entries.joints, joint_list.rows.units) if interaction else None
        self._count = len(plans.status)
        self.head: Json = {
            "version": VERSION,
            "program": program(),
            "list": joint_list.package.path.name,
            "sheet": joint_list.sheet,
            "heading_row": joint_list.heading_row,
            "date": day_or_none(plans.settings.date),
            "settings": self._entries.settings,
            "inputs": {joint_list.package.path.name: joint_list.package.sha256, **book.hashes},
            "columns": [
                {"column": letter(c.at), "heading": c.heading, "field": c.field, "unit": c.unit, "matched": c.matched}
                for c in joint_list.columns
            ],
            "answers": joint_list.answered.as_json() if joint_list.answered else None,
            "reading": [said.text for said in joint_list.said],
            "wrenches": list(self._entries.wrenches.values()),
            "gauges": list(self._entries.gauges.values()),
            "lubricants": lubricants_json(book),
            "equipment": equipment_json(book),
            "stages": [{"pass": s.number, "percent": _percent(s.fraction), "pattern": s.pattern} for s in plans.stages],
            "totals": totals(plans),
        }

    def joints(self) -> Iterator[Json]:
        """The entries of the joints, in the order of the list."""
        return (entry for entry, _ in self.written())

    def written(self) -> Iterator[tuple[Json, bytes]]:
        """Each entry with its line of the plan file: what the card says is turned into text once, for both."""
        return (self._entries.written(i) for i in range(self._count))


def plan_json(joint_list: JointList, book: WrenchBook, plans: Plans) -> Json:
    """The plan as one piece."""
    writer = PlanWriter(joint_list, book, plans)
    return {**writer.head, "joints": list(writer.joints())}


def totals(plans: Plans) -> Json:
    """Counts of the rows; planned, other method and stopped add up to all of them."""
    rows = list(zip(plans.status, plans.method, strict=True))
    return {
        "rows": len(rows),
        "planned": sum(status == PLANNED for status, _ in rows),
        "hydraulic": sum(status == PLANNED and method == "hydraulic" for status, method in rows),
        "hand": sum(status == PLANNED and method == "hand" for status, method in rows),
        "other method": sum(status == OTHER for status, _ in rows),
        "stopped": sum(status == STOPPED for status, _ in rows),
        "break-out not planned": len({f.row for f in plans.findings if f.code in ("break_out", "breakout_needs")}),
    }


def findings_of(joint_list: JointList, plans: Plans) -> list[list[Json]]:
    """Every finding of every row in words, stops first, with the cell it is about."""
    said: list[list[Json]] = [[] for _ in plans.status]
    for finding in sorted(plans.findings, key=lambda f: f.level, reverse=True):
        facts = dict(finding.facts)
        if "rows" in facts:
            facts["where"] = named_rows([joint_list.numbers[row] for row in facts["rows"]], facts["more"])
        worded = Finding(finding.code, finding.quantity, facts, finding.level, finding.row)
        units = system(joint_list.rows.units[finding.row])
        text = line(worded, units)
        entry = {"level": finding.level, "code": finding.code, "text": text, "place": joint_list.place(finding)}
        if entry not in said[finding.row]:
            said[finding.row].append(entry)
    return said


class _Joints:
    """Makes the entries of the joints; columns are brought to the users' units once, as whole columns."""

    def __init__(self, joint_list: JointList, book: WrenchBook, plans: Plans) -> None:
        self.list, self.joints, self.texts = joint_list, joint_list.rows.joints, joint_list.rows.texts
        self.plans = plans
        self.said = findings_of(joint_list, plans)
        self.wrenches = {wrench["name"]: wrench for wrench in wrenches_json(book)}
        self.gauges = {gauge["name"]: gauge for gauge in gauges_json(book)}
        self.settings = _settings(plans) | limits.settings_json(plans)
        self.depth = limits.Depth(plans, self.joints, joint_list.rows.units)
        others = alternates(plans, self.joints, book.wrenches, book.gauges)
        self.others = others.wrenches
        known: dict[Any, Json] = {("wrench", name): entry for name, entry in self.wrenches.items()}
        known |= {("gauge", name): entry for name, entry in self.gauges.items()}
        tightening = {key: value for key, value in self.settings.items() if key != "breakout_factor"}
        known |= {"tightening": tightening, "break-out": self.settings}
        self.digests = {key: _digest(json.dumps(entry, sort_keys=True)) for key, entry in known.items()}
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
        self.shown: dict[tuple[str, str], tuple[list[Any], str]] = {
            (name, units): (from_si(values, kind, unit := system(units).symbol(kind)).tolist(), unit)
            for name, (values, kind) in columns.items()
            for units in set(joint_list.rows.units)
        }
        self.full = plans.full
        self.marks = _marks(plans.pulling, plans.count)
        self.instead = _marks(others.wrenches, others.count)
        self.blocks: Blocks | None = None

    def value(self, name: str, i: int, *at: int) -> Json | None:
        """A number of row i with its unit; None where there is none."""
        numbers, unit = self.shown[name, self.list.rows.units[i]]
        number = numbers[i]
        for index in at:
            number = number[index]
        if number != number:
            return None
        return {"value": number, "unit": unit}

    def text(self, name: str, i: int) -> str | None:
        """A text of the list that no calculation needs."""
        column = self.texts.get(name)
        return (column[i] or None) if column else None

    def written(self, i: int) -> tuple[Json, bytes]:
        """The entry of one row and its line."""
        entry = self.joint(i)
        if entry["status"] != PLANNED:
            return entry, _text(entry).encode()
        core, rest = self.parted(entry)
        text = _text(core)
        entry["card"] = self.revision(entry, text)
        first = _text({"row": entry["row"], "card": entry["card"]})
        return entry, f"{first[:-1]}, {text[1:-1]}, {_text(rest)[1:]}".encode()

    def joint(self, i: int) -> Json:
        """The entry of one row, still without its card's revision."""
        joints, plans = self.joints, self.plans
        date = joints.date[i] if not math.isnan(joints.date[i]) else plans.settings.date
        entry: Json = {
            "row": self.list.numbers[i],
            "joint": joints.joint[i],
            "operation": joints.operation[i],
            "method": joints.method[i],
            "status": plans.status[i],
            "card": None,
            "area_of_plant": self.text("plant_area", i),
            **{name: self.text(name, i) for name in _TEXTS},
            "date": day_or_none(date),
            "thread": plans.designation[i] or joints.thread[i] or None,
            "grade": plans.grade[i] or joints.grade[i] or None,
            "studs": int(joints.studs[i]) if joints.studs[i] % 1 == 0 else None,
            "at_once": int(plans.at_once[i]),
        }
        if i in self.list.rows.flanges:
            entry["studs_from"] = f"standard flange {self.list.rows.flanges[i]}"
        if plans.status[i] != PLANNED:
            nothing: Json = {name: [] for name in ("limits", "wrenches", "alternates", "passes", "order")}
            return {**entry, **dict.fromkeys(_EMPTY), **nothing, "findings": self.said[i]}
        if plans.breakouts[i] is not None:
            return self.opened(i, entry)
        entry |= self.target(i)
        entry |= self.pulling(i)
        entry |= {
            "across_flats": self.value("flats", i),
            "nut_series": joints.nut_series[i] or ("heavy hex" if not self.plans.thread.metric[i] else None),  # type: ignore[index]  # a column
            "backup_wrench": self.backup(i, self.value("flats", i)),
            "passes": self.passes(i, entry["wrenches"]),
            "order": self.order(i),
            "order_source": "the list's own" if joints.order[i] else "cross order",
            "range": self.depth.range(i),
            "duration": self.depth.duration(i),
        }
        entry["findings"] = self.said[i]
        if self.blocks is not None:
            entry["interaction"] = self.blocks.block(i)
        return entry

    def opened(self, i: int, entry: Json) -> Json:
        """The entry of a row that is broken out: nothing is tightened, so it has no target, passes or order."""
        plan = self.plans.breakouts[i]
        assert plan is not None
        gauge = plan.candidate.gauge.name
        entry |= dict.fromkeys(_EMPTY)
        entry |= {name: [] for name in ("limits", "wrenches", "alternates", "passes", "order")}
        entry |= self.depth.opened(i, plan, self.gauges[gauge]["graduation"]["unit"])
        entry["backup_wrench"] = self.backup(i, entry["across_flats"])
        entry["findings"] = self.said[i]
        return entry

    def target(self, i: int) -> Json:
        """Target with its basis and friction, preload, limits and torque."""
        joints, plans, units = self.joints, self.plans, system(self.list.rows.units[i])
        kind = plans.target[i]
        area = joints.area[i] if kind in ("stress", "percent") else None
        stated = float(getattr(joints, kind)[i])
        text, shown = _stated(stated, _TARGETS[kind], units)
        if kind == "target_gasket_stress":
            basis = limits.gasket_target(joints, i, units)
        else:
            basis = {
                "stress": f"stress {text} on the {area} area",
                "percent": f"{text} of the minimum yield on the {area} area",
                "load": f"load {text} in each stud",
                "torque": f"torque {text} as specified",
            }[kind]
        friction = {
            "kind": plans.friction_kind[i],
            "nut_factor": _number(plans.nut_factor[i]),
            "thread_friction": _number(plans.thread_friction[i]),
            "nut_friction": _number(plans.nut_friction[i]),
            "lubricant": joints.lubricant[i] or None,
            "source": plans.friction_source[i] or None,
        }
        preload = self.value("preload", i)
        return {
            "target": {
                "basis": basis,
                "kind": kind,
                "stated": shown,
                "area": area,
                "friction": friction,
            },
            "preload": preload,
            "preload_note": None if preload else "not known: friction not stated",
            "limits": [self.ceiling(i), *self.depth.limits(i)],
            "torque": self.value("torque", i),
        }

    def ceiling(self, i: int) -> Json:
        """The stud's ceiling: its value and what is reached, or the input that is missing."""
        plans = self.plans
        reached, limit = self.value("reached", i), self.value("ceiling", i)
        if math.isnan(plans.preload[i]):
            note = "not known: friction not stated"
        elif reached is None:
            note = "not checked: nut series not stated"
        elif limit is None:
            note = "not checked: grade not stated"
        else:
            share, source = figure(100 * plans.settings.yield_fraction), plans.yield_source[i]
            note = f"{share} % of the minimum yield ({source.split(' (')[0]}), tension with torsion while tightening"
            return {"name": "stud ceiling", "value": limit, "reached": reached, "note": note, "source": source}
        return {"name": "stud ceiling", "value": None, "reached": None, "note": note}

    def pulling(self, i: int) -> Json:
        """The wrenches of a row; the first stands for the row itself."""
        names = ("wrench", "link", "gauge", "pump", "setpoint", "torque_at_setpoint")
        wrenches = [self.wrench(i, c, self.marks[i][k], ("there", k)) for k, c in enumerate(self.plans.pulling[i])]
        others = [self.wrench(i, c, self.instead[i][k], ("there_instead", k)) for k, c in enumerate(self.others[i])]
        if not wrenches:
            return {**dict.fromkeys(names), "difference_percent": None, "wrenches": [], "alternates": []}
        off = self.plans.torque_there[i, 0, self.full] / self.plans.torque[i] - 1
        first = {name: wrenches[0][name] for name in names}
        return {**first, "difference_percent": round(100 * float(off), 2), "wrenches": wrenches,
                "alternates": others}  # fmt: skip

    def wrench(self, i: int, candidate: Candidate, marks: list[float], torques: tuple[str, int]) -> Json:
        """One wrench of a row with its settings in every pass, on the marks of its gauge as they are typed."""
        name, k = torques
        unit = self.gauges[candidate.gauge.name]["graduation"]["unit"]
        settings = []
        for j, _ in self.stages(i):
            mark = marks[j]
            pressure = None if mark != mark else {"value": mark, "unit": unit}
            settings.append({"pressure": pressure, "torque_at_pressure": self.value(name, i, k, j)})
        full = settings[next(n for n, (j, _) in enumerate(self.stages(i)) if j == self.full)]
        return {
            "wrench": candidate.wrench.name,
            "link": candidate.link.name,
            "gauge": candidate.gauge.name,
            "pump": candidate.wrench.pump or None,
            "setpoint": full["pressure"],
            "torque_at_setpoint": full["torque_at_pressure"],
            "passes": settings,
        }

    def passes(self, i: int, wrenches: list[Json]) -> list[Json]:
        """Every pass with its torque and what the first wrench is set to, or why it prints no pressure."""
        entries: list[Json] = []
        group = self.plans.pulling[i]
        for j, stage in self.stages(i):
            own = wrenches[0]["passes"][len(entries)] if wrenches else {"pressure": None, "torque_at_pressure": None}
            note = None
            if stage.pattern == SNUG:
                note = "by hand: snug, align the faces"
            elif not group:
                note = "hand torque wrench"
            elif own["pressure"] is None:
                lowest = max(float(c.curve.torque[0]) for c in group)
                low = amount(lowest, "torque", system(self.list.rows.units[i]))
                note = f"other means: below the lowest certified point, {low}"
            entries.append(
                {
                    "pass": stage.number,
                    "name": f"pass {stage.number}" if stage.fraction else "snug",
                    "percent": _percent(stage.fraction),
                    "torque": self.value("pass_torque", i, j),
                    **own,
                    "pattern": stage.pattern,
                    "wait_hours": stage.wait / 3600 if stage.wait else None,
                    "note": note,
                }
            )
        return entries

    def stages(self, i: int) -> list[tuple[int, Stage]]:
        """Stages of a row with their place in the plan's columns: a joint that was made up is not snugged again."""
        again = self.joints.operation[i] == "retighten"
        return [(j, s) for j, s in enumerate(self.plans.stages) if not (again and s.pattern == SNUG)]

    def order(self, i: int) -> list[list[int]]:
        """Moves of the cross passes: the list's own order, or the one for the stud count."""
        studs, together, own = int(self.joints.studs[i]), int(self.plans.at_once[i]), self.joints.order[i]
        moves = order.given(own, studs, together) if own else order.cross(studs, together)
        return [list(move) for move in moves]

    def backup(self, i: int, flats: Json | None) -> str:
        """What holds the far nut."""
        if any(word in str(self.text("holes", i)).lower() for word in ("tapped", "blind")):
            return "none: tapped holes"
        return f"for {figure(flats['value'])} {flats['unit']} across flats" if flats else "size not stated"

    def parted(self, entry: Json) -> tuple[Json, Json]:
        """What a card's revision is made from, and the rest. Range and time count where they are known."""
        known = {name for name in ("range", "duration") if any((entry.get(name) or {}).get(key) for key in _KNOWN)}
        apart = {"range", "duration", "findings", "interaction"} - known
        core = {key: value for key, value in entry.items() if key not in apart and key not in ("row", "card")}
        return core, {key: value for key, value in entry.items() if key in apart}

    def revision(self, entry: Json, text: str) -> str:
        """The revision of a card: from what it says, the tables of its wrenches and the settings, never the row number.

        Two cards with the same revision set the same pressures in the same order on the same wrenches.
        """
        used = [*entry["wrenches"], *entry["alternates"]] or ([entry] if entry["wrench"] else [])
        book = [self.digests[name, wrench[name]] for wrench in used for name in ("wrench", "gauge")]
        settings = self.digests["break-out" if entry.get("breakout") else "tightening"]
        digest = _digest("\n".join([text, settings, *book]))[:8].upper()
        return f"{digest[:4]}-{digest[4:]}"


def _marks(groups: Sequence[tuple[Candidate, ...]], count: NDArray[np.float64]) -> list[list[list[float]]]:
    """What stands on the gauges: row, wrench, stage."""
    wide = count.shape[1]
    steps = [[*(c.gauge.marks.step for c in group), *[np.nan] * (wide - len(group))] for group in groups]
    return (count * np.array(steps).reshape(len(groups), wide, 1)).tolist()  # type: ignore[no-any-return]  # numpy


@lru_cache(maxsize=4096)
def _stated(value: float, kind: str, units: System) -> tuple[str, Json]:
    """A stated target as text, and as a number with its unit; the same ones stand in many rows."""
    unit = units.symbol(kind)
    return amount(value, kind, units), {"value": float(from_si(value, kind, unit)), "unit": unit}


def _percent(fraction: float | None) -> float | None:
    return round(100 * fraction, 6) if fraction else None


def _text(part: Json) -> str:
    return json.dumps(part, ensure_ascii=False, allow_nan=False)


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _number(value: Any) -> float | None:
    return None if math.isnan(value) else float(value)


def _settings(plans: Plans) -> Json:
    s = plans.settings
    return {
        "scheme": s.scheme,
        "at_once": s.at_once,
        "rounding": s.rounding,
        "tolerance_percent": float(figure(100 * s.tolerance)),
        "yield_percent": float(figure(100 * s.yield_fraction)),
        "reserve_percent": float(figure(100 * s.reserve)),
        "friction_form": s.form,
        "torsion": "elastic",
    }
