"""What a plan says of the interaction of a joint's studs: kept load after each pass, scatter, settings stud by stud.

Only for rows that state flange, gasket and grip, and only when it is asked for: it takes seconds for each joint.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import msgspec
import numpy as np
from numpy.typing import NDArray

from addin.cells.words import line, needed
from addin.functions.calls_interaction import MOST_CIRCULAR, band_of, circular_count, limit_lines
from addin.functions.calls_raised import NOT_TURNED, ways_line
from addin.functions.interaction_inputs import LABELS, Case, case_of_dimensions
from addin.functions.interaction_words import (
    FOR_ENGINEER,
    FRICTION,
    MODEL,
    NO_SCATTER,
    RAISED,
    WORDING,
    assumed_row,
    band_line,
    passes_words,
    percent,
)
from addin.plan.record_interaction import InteractionEntry
from addin.plan.tools import quantity
from calc.findings import InputError
from calc.hardware import threads
from calc.interaction import choice, events, samples, settings
from calc.interaction import gasket as gaskets
from calc.interaction.band import Band
from calc.interaction.events import Limits, Pass
from calc.interaction.plans import CROSS_ORDER, as_moves, from_stages
from calc.plan.joints import Joints
from calc.plan.plans import Plans
from calc.quantities import QUANTITIES, settle
from calc.units import System, from_si, system
from calc.wrench import calibration

Json = dict[str, Any]

MOST_CAP = 1.3
"""Highest momentary load tried for settings stud by stud where limits of stud and gasket are stated; own choice."""

_COLUMNS = {
    "studs": "studs", "grip": "grip", "bolt_circle": "bolt_circle", "outside_diameter": "flange_outside_diameter",
    "inside_diameter": "flange_inside_diameter", "thickness": "flange_thickness",
    "gasket_inside": "gasket_inside_diameter", "gasket_outside": "gasket_outside_diameter",
    "stud_maximum": "stud_maximum", "flange_limit": "flange_limit", "gasket_maximum": "gasket_maximum",
}  # fmt: skip
"""Input of the model -> column of a list."""
_MEANT = ("bolt_circle", "outside_diameter", "inside_diameter", "thickness")
"""A row that states one of these means its interaction to be worked out."""
_NEEDED = ("grip", *_MEANT, "gasket_inside", "gasket_outside", "gasket_kind")


class Blocks:
    """Makes the block of each row; joints that are alike in everything that counts are worked out once."""

    def __init__(self, plans: Plans, joints: Joints, units: Sequence[str]) -> None:
        self.plans, self.joints, self.units = plans, joints, units
        self._known: dict[Any, InteractionEntry] = {}

    def block(self, i: int) -> InteractionEntry | None:
        """The block of a planned row, None where its list does not mean one; a note where it cannot be worked out."""
        if self.joints.operation[i] not in ("test make-up", "final make-up"):
            return None
        given = self._given(i)
        if not any(name in given for name in _MEANT):
            return None
        missing = [LABELS[name].text for name in _NEEDED if name not in given]
        if math.isnan(self.plans.preload[i]):
            return InteractionEntry(note="not worked out: friction not stated, so the preload is not known")
        if missing:
            return InteractionEntry(note=f"not worked out: {needed(missing)}")
        key = (
            *given.items(),
            self.plans.preload[i],
            self.plans.torque[i],
            self.plans.at_once[i],
            self.units[i],
            self.plans.bounds.stud_ceiling[i],
            tuple((c.wrench.name, c.link.name) for c in self.plans.pulling[i]),
        )
        if key not in self._known:
            try:
                self._known[key] = msgspec.convert(self._made(i, given), InteractionEntry)
            except InputError as error:
                said = line(error.finding, system(self.units[i]))
                self._known[key] = InteractionEntry(note=f"not worked out: {said}")
        return self._known[key]

    def _given(self, i: int) -> dict[str, Any]:
        """What the row states, by the names of the model's inputs."""
        given = {name: float(getattr(self.joints, column)[i]) for name, column in _COLUMNS.items()}
        found: dict[str, Any] = {name: value for name, value in given.items() if not math.isnan(value)}
        found["thread"] = threads.parse(self.joints.thread[i])
        kind, gasket = self.joints.gasket_kind[i], self.joints.gasket[i]
        if kind or gasket.lower() in {name.lower() for name in gaskets.kinds()}:
            found["gasket_kind"] = kind or gasket  # the gasket's own column serves where it names a kind exactly
        if self.plans.order[i]:
            found["order"] = self.plans.order[i]
        return found

    def _made(self, i: int, given: dict[str, Any]) -> Json:
        case = self._case(i, given)
        units, preload, at_once = system(self.units[i]), float(self.plans.preload[i]), int(self.plans.at_once[i])
        plan = from_stages(self.plans.stages, case.cross(at_once), case.circular(at_once))
        cross = tuple(each for each in plan if each.pattern == CROSS_ORDER)
        found = samples.residual_preload(
            case.joint, preload, plan, seed=case.seed, samples=case.samples, scatter=case.scatter, snug=case.snug,
            limits=case.limits,
        )  # fmt: skip
        around = band_of(case, found.run, plan)
        assert around is not None  # a list states dimensions, never a table
        count, _ = circular_count(replace(case, limits=None), preload, cross, at_once)
        lowest = f"P5 of the lowest stud of a joint: {percent(found.lowest / preload)} of the target."
        judged = limit_lines(case, found, units)  # what is marked, and last how often with scatter
        by_stud, why_none = self._settings(i, case, cross, units)
        force = units.symbol("force")
        return {
            "wording": WORDING,
            "said": [f"{case.samples} samples, seed {case.seed}.", FRICTION, MODEL, *case.said, *why_none],
            "band": band_line(around, preload),
            "scatter": " ".join([lowest, *judged[-1:]]),
            "cautions": judged[:-1],
            "target": quantity(preload, "force", units),
            "plan": passes_words(plan),
            "at_once": at_once,
            "inputs": [_input(name, value, units) for name, value in given.items()],
            "assumed": [
                dict(zip(("name", "value", "unit", "range", "basis"), assumed_row(row, units), strict=True))
                for row in (*case.assumed, *case.scatter_assumed)
            ],
            "unit": force,
            "length_unit": units.symbol("length"),
            "passes": _passes(plan, found.run, around, units),
            "studs": [
                {"stud": k + 1, "kept": kept, "p5": low, "p95": high, "band_low": least, "band_high": most}
                for k, (kept, low, high, least, most) in enumerate(
                    zip(
                        *(_shown(values, force) for values in (found.kept, found.low, found.high, *around.final)),
                        strict=True,
                    )
                )
            ],
            "circular_passes": {
                "count": count,
                "most": MOST_CIRCULAR,
                "variation_percent": 100 * choice.WANTED.uniformity,
                "mean_percent": 100 * choice.WANTED.mean,
            },
            "settings": by_stud,
        }

    def _case(self, i: int, given: dict[str, Any]) -> Case:
        """The joint with its limits: none above the plan's own ceiling of stud stress with torsion."""
        case = case_of_dimensions(given)
        ceiling = float(self.plans.bounds.stud_ceiling[i])
        if case.limits is None or math.isnan(ceiling):
            return case
        return replace(case, limits=Limits(min(case.limits.stud_load, ceiling), case.limits.gasket_stress))

    def _settings(self, i: int, case: Case, cross: tuple[Pass, ...], units: System) -> tuple[Json | None, list[str]]:
        """Settings stud by stud for one pass round the joint after the plan's cross passes, else why there are none."""
        preload, at_once = float(self.plans.preload[i]), int(self.plans.at_once[i])
        moves = as_moves(case.circular(at_once))
        cap = 1.0 if case.limits is None else min(MOST_CAP, math.floor(100 * case.limits.stud_load / preload) / 100)
        if cap <= 1.0:
            limits = "both limits, of stud and gasket," if case.limits is None else "limits above the target"
            return None, [f"Settings stud by stud need {limits} and are not worked out."]
        found = settings.one_pass_settings(
            case.joint, preload, moves, cap=cap, before=cross, check=moves, snug=case.snug, limits=case.limits
        )
        if found.best != settings.BY_STUD or found.run.beyond:
            return None, [ways_line(found, preload)]
        share: NDArray[np.floating] = found.load / preload
        torque, pressure, unit = self._torques(i, share, units)
        force = units.symbol("force")
        rows = zip(
            _shown(share, "%", "percent"), _shown(found.load, force), torque, pressure, _shown(found.kept, force),
            _shown(found.run.final, force), found.capped.tolist(), strict=True,
        )  # fmt: skip
        made: Json = {
            "cap_percent": 100 * cap,
            "after": passes_words(cross),
            "highest_percent": 100 * float(found.run.highest[len(cross)]) / preload,
            "pressure_unit": unit,
            "torque_unit": units.symbol("torque"),
            "said": [FOR_ENGINEER, ways_line(found, preload), NO_SCATTER, RAISED],
            "studs": [
                {
                    "stud": k + 1, "percent": percent, "load": load, "torque": own, "pressure": mark, "kept": kept,
                    "closing": final,
                    "remark": _remark(percent, held),
                }
                for k, (percent, load, own, mark, kept, final, held) in enumerate(rows)
            ],
        }  # fmt: skip
        return made, []

    def _torques(
        self, i: int, share: NDArray[np.floating], units: System
    ) -> tuple[list[float], list[float | None], str | None]:
        """Torque of every stud, its pressure on the marks of the gauge where one wrench pulls alone, and that unit."""
        torque = settle(share * float(self.plans.torque[i]))
        shown = _shown(torque, units.symbol("torque"), "torque")
        group = self.plans.pulling[i]
        if len(group) != 1:
            return shown, [None] * len(shown), None
        c = group[0]
        found = calibration.setting(
            c.curve, torque, c.gauge.marks, rounding=self.plans.settings.rounding, ceiling=c.ceiling
        )
        marks = (found.count * c.gauge.marks.step).tolist()
        return shown, [None if mark != mark else mark for mark in marks], _unit_of(c.gauge.marks.unit, units)


def _remark(percent: float, held: bool) -> str:
    if held:
        return "held back by the cap"
    return "nut not turned" if percent < 100 * NOT_TURNED else ""


def _unit_of(scale: float, units: System) -> str:
    """The unit of a gauge by its factor."""
    from calc.units import factor, known

    own = units.symbol("pressure")
    return (
        own
        if factor("pressure", own) == scale
        else next(u for u in known("pressure") if factor("pressure", u) == scale)
    )


def _passes(plan: Sequence[Pass], run: events.EventRun, around: Band, units: System) -> list[Json]:
    """Every pass with its course, its band, and the load of each stud after it."""
    course, force = events.progress(run), units.symbol("force")
    mean, lowest, highest = (_shown(values, force) for values in (course.mean, course.lowest, course.highest))
    low, high = (_shown(end, force) for end in around.lowest)
    uneven = _shown(course.uneven, units.symbol("length"), "length")
    return [
        {
            "pass": k + 1,
            "pattern": each.pattern,
            "percent": round(100 * float(np.max(each.fraction)), 6),
            "moves": int(course.moves[k]),
            "mean": mean[k],
            "lowest": lowest[k],
            "lowest_low": low[k],
            "lowest_high": high[k],
            "uneven": uneven[k],
            "variation_percent": 100 * float(course.variation[k]) if np.isfinite(course.variation[k]) else None,
            "highest": highest[k],
            "kept": _shown(run.kept[k], force),
        }
        for k, each in enumerate(plan)
    ]


def _input(name: str, value: Any, units: System) -> Json:
    label = LABELS[name]
    if isinstance(value, str):
        return {"name": label.text, "value": value, "unit": ""}
    if name == "thread":
        return {"name": label.text, "value": value.designation, "unit": ""}
    kind = QUANTITIES[label.cells].kind
    unit = "" if kind in ("number", "count") else units.symbol(kind)
    return {"name": label.text, "value": float(from_si(value, kind, unit)) if unit else value, "unit": unit}


def _shown(values: NDArray[np.floating], unit: str, kind: str = "force") -> list[float]:
    """Numbers in the user's unit."""
    shown: list[float] = np.asarray(from_si(values, kind, unit)).tolist()
    return shown
