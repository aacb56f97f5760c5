"""What an entry of the plan says of limits, range, break-out and time; numbers in the row's units."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from addin.cells.words import amount, figure, line, listed, name_of
from addin.plan.record import Amount
from addin.plan.record_joint import BreakoutEntry, LimitEntry, OpeningEntry, RangeEntry, TimeEntry, ToolEntry
from addin.plan.shown_column import ShownColumn
from calc.plan.breakout import Breakout
from calc.plan.joints import Joints
from calc.plan.plans import Plans
from calc.preload.limits import CEILINGS, LOAD_KEPT, ORDER
from calc.procedure.passes import RETIGHTEN
from calc.units import System, from_si, system
from calc.wrench import duration

RANGE_NOT_CHECKED = "not checked: scatter not stated"


class Depth:
    """Makes these parts of the entries; what all rows have is brought to the users' units as whole columns."""

    def __init__(self, plans: Plans, joints: Joints, units: Sequence[str]) -> None:
        self.plans, self.joints, self.units = plans, joints, units
        reach = plans.bounds.range
        columns = {"low": reach.low, "nominal": plans.preload, "high": reach.high, "kept": reach.low_kept}
        self._shown = {
            (name, unit): ShownColumn(values, "force", system(unit).symbol("force"))
            for name, values in columns.items()
            for unit in set(units)
        }

    # --- limits -----------------------------------------------------------------------------------------------------

    def limits(self, i: int) -> list[LimitEntry]:
        """Every limit of a row that states an input for one: its value and what is reached, or what is missing."""
        bounds = self.plans.bounds
        kind = bounds.kind[i]
        if not bounds.rows[i]:
            note = f"not checked: no published limit covers {kind} flanges"
            return [LimitEntry(name="flange limit", note=note)] if kind else []
        return [self._limit(name, i) for name in ORDER[1:] if name != "stud_torsion"]

    def _limit(self, name: str, i: int) -> LimitEntry:
        bounds, units = self.plans.bounds, system(self.units[i])
        found = bounds.limits
        if not found.checked[name][i]:
            return LimitEntry(name=name_of(name), note=f"not checked: {self._why_not(name, i, units)}")
        notes = ["on the root B1.1 area"]
        if name == "gasket_operating" and found.load_kept_assumed[i]:
            notes.append(f"gasket load kept {figure(100 * LOAD_KEPT)} % taken")
        side = "high" if name in CEILINGS else "low"
        if not found.kept[name][i]:
            notes.append("not kept")
        elif np.isnan(np.asarray(bounds.spread.plus)[i]):
            notes.append(f"{side} side of the range not checked")
        elif not found.kept_at_ends[name][i]:
            notes.append(f"not kept at the {side} side of the range")
        reached = bounds.highest[i] if name in CEILINGS else self.plans.preload[i] / bounds.area[i]
        return LimitEntry(
            name=name_of(name), value=_number(found.value[name][i], "stress", units),
            reached=_number(reached, "stress", units), note=", ".join(notes),
        )  # fmt: skip

    def _why_not(self, name: str, i: int, units: System) -> str:
        bounds = self.plans.bounds
        if np.isnan(self.plans.preload[i]):
            return "friction not stated"
        if bounds.kind[i] and name in ("flange_limit", "flange_rotation"):
            return f"no published limit covers {bounds.kind[i]} flanges"
        lacks = bounds.missing(name, i)
        if not lacks and i in bounds.facing:
            return line(bounds.facing[i], units).removesuffix(": not checked")
        return f"needs {listed([name_of(part) for part in lacks], 'and')}"

    # --- range and time ---------------------------------------------------------------------------------------------

    def range(self, i: int) -> RangeEntry:
        """Low, nominal and high preload with the scatter they come from; what the gasket keeps of the low side."""
        plans, units = self.plans, system(self.units[i])
        said = plans.bounds.scatter[i]
        values: dict[str, Any] = {name: self._force(name, i, units) for name in ("low", "nominal", "high", "kept")}
        if values["nominal"] is None:
            return RangeEntry(**values, note="not known: friction not stated")
        if said is None:
            return RangeEntry(**values, note=RANGE_NOT_CHECKED)
        name, low, high, source = said
        if name == plans.settings.scatter_method:
            note = f"published scatter of {name}, -{figure(100 * low)} % and +{figure(100 * high)} % ({source})"
            note += "; wrench and gauge are in it"
            return RangeEntry(**values, note=note, holds="published scatter, wrench and gauge in it")
        factors = f"nut factor {figure(low)} to {figure(high)}"
        words, few = self._tools(i)
        note = f"{factors} of {name} ({source or 'source not stated'}){words}"
        return RangeEntry(**values, note=note, holds=factors + few)

    def _tools(self, i: int) -> tuple[str, str]:
        """What wrench and gauge do to the range of a row, and which of them is not in it; the same in few words."""
        bounds, gauges = self.plans.bounds, {c.gauge.name: c.gauge for c in self.plans.pulling[i]}
        uncertainty, error = float(bounds.uncertainty[i]), float(bounds.gauge[i])
        stated = [name for name, gauge in gauges.items() if gauge.error == gauge.error]
        by = ["class" if gauges[name].deviation != gauges[name].deviation else "certificate" for name in stated]
        wrenches = {c.wrench.name: c.wrench.uncertainty for c in self.plans.pulling[i]}
        certified = [name for name, share in wrenches.items() if share == share]
        worst = f", the most of {listed(certified, 'and')}" if len(certified) > 1 else ""
        parts = [f"certificate of the wrench ±{_percent(uncertainty)} %{worst}"] if certified else []
        if stated:
            most = "the most of " if len(stated) > 1 else ""
            parts.append(f"gauge ±{_percent(error)} % of the setpoint, {most}" + listed(
                [f"{name} by its {how}" for name, how in zip(stated, by, strict=True)], "and"))  # fmt: skip
        words = f"; {listed(parts, 'and')}, in quadrature" if parts else ""
        if not certified:
            words += "; wrench comes on top"
        elif without := [name for name in wrenches if name not in certified]:
            words += f"; wrench {listed(without, 'and')} not in it: no uncertainty stated"
        silent = [name for name in gauges if name not in stated]
        if silent:
            words += f"; gauge {listed(silent, 'and')} not in it: no class or deviation stated as a number"
        few = f", wrench ±{_short(uncertainty)} %" if certified else ""
        few += f", gauge ±{_short(error)} %" if stated else ""
        outside = [*(["wrench"] if len(certified) < max(len(wrenches), 1) else []), *(["gauge"] if silent else [])]
        return words, few + (f"; {listed(outside, 'and')} not in it" if outside else "")

    def _force(self, name: str, i: int, units: System) -> Amount | None:
        number = self._shown[name, self.units[i]][i]
        return None if number != number else Amount(number, units.symbol("force"))

    def duration(self, i: int) -> TimeEntry | None:
        """Time of a row, or what is missing for it; nothing where its wrenches state no stroke."""
        times = self.plans.times
        missing = times.missing[i]
        if missing is None:
            return None
        if missing:
            return TimeEntry(note=f"not estimated: needs {name_of(missing)}")
        stroke = figure(float(times.stroke[i]), 3)
        note = f"{stroke} s a stroke (its oil once more for the return), {duration.MOVE:g} s a move, "
        if self.joints.operation[i] == RETIGHTEN:
            note += f"two rounds, a nut turned by one stroke at most and {duration.CONFIRM} more to confirm"
        else:
            note += f"{duration.CONFIRM} stroke more to confirm, the nut turned for the stud's own stretch; "
            note += "snug and waits not in it"
        return TimeEntry(value=float(figure(float(times.total[i]) / 60, 3)), note=note)

    # --- break-out --------------------------------------------------------------------------------------------------

    def opened(self, i: int, opened: Breakout, gauge_unit: str) -> tuple[BreakoutEntry, Amount | None, str | None]:
        """The block of a row that is broken out, its pressures on the marks of its gauge; size, series of the nut."""
        units, c = system(self.units[i]), opened.candidate
        step = c.gauge.marks.step
        top = opened.highest * step
        block = BreakoutEntry(
            tool=ToolEntry(wrench=c.wrench.name, link=c.link.name, gauge=c.gauge.name, pump=c.wrench.pump or None),
            torque_stated=_stated(opened.made, units),
            factor=opened.factor,
            factor_from="the list" if opened.from_list else "the setting for the whole list",
            expected=_stated(opened.expected, units),
            available=_number(opened.available, "torque", units),
            stud_limit=_number(opened.stud, "torque", units),
            stud_note=self._stud_note(i, opened),
            never_above=_number(opened.usable, "torque", units),
            follows=opened.follows,
            highest_pressure=None if np.isnan(top) else Amount(float(top), gauge_unit),
            by_stud=opened.by_stud,
            once_turned=_number(opened.once_turned, "torque", units),
            turned_pressure=_on_gauge(opened.highest_turned * step, gauge_unit),
            stages=tuple(
                OpeningEntry(
                    stage=number, pressure=Amount(float(count) * step, gauge_unit),
                    torque_at_pressure=_number(torque, "torque", units),
                )
                for number, (count, torque) in enumerate(zip(opened.count, opened.torque, strict=True), start=1)
            ),
            note=_stages_note(opened),
        )  # fmt: skip
        return block, _number(opened.across_flats, "length", units), self._series(i)

    def _series(self, i: int) -> str | None:
        """The series of the nut; heavy hex where its size was taken from the thread, None where the list states it."""
        from_thread = np.isnan(self.joints.across_flats[i])
        heavy = from_thread and not self.plans.thread.metric[i]  # type: ignore[index]  # a column
        return self.joints.nut_series[i] or ("heavy hex" if heavy else None)

    def _stud_note(self, i: int, opened: Breakout) -> str:
        if not np.isnan(opened.preload):
            return "the stud begins to yield: thread seized, its preload still in it, the nut's face taking its share"
        if not np.isnan(opened.stud):
            return "the stud begins to yield: thread seized, all torque in it, its preload not known"
        lacks = [name for name in ("grade", "thread") if not getattr(self.joints, name)[i]]
        return f"not checked: needs {listed(lacks, 'and')}"


def _stages_note(opened: Breakout) -> str:
    """How the stages go, and what is done when the nut has not turned at the last."""
    words = "from the lowest pressure up, a stage at a time; stop when the nut turns. "
    if opened.torque.size and opened.torque[-1] < opened.expected * (1 - 1e-9):
        words += "No mark within the highest pressure gives the torque to expect. "
    if opened.count.size and opened.count[-1] < opened.highest:
        return words + (
            "A nut that has not turned at the last stage: raise mark by mark to the highest pressure at most, then stop"
        )
    return words + "The last stage is the highest pressure: a nut that has not turned there, stop"


def _short(share: float) -> str:
    """A share in per cent with two digits, for a card."""
    return f"{100 * share:.2g}"


def _percent(share: float) -> str:
    return figure(round(100 * share, 2))


def _on_gauge(value: float, unit: str) -> Amount | None:
    return None if np.isnan(value) else Amount(float(value), unit)


def _number(value: ArrayLike, kind: str, units: System) -> Amount | None:
    number = float(np.asarray(value))
    if not np.isfinite(number):
        return None
    unit = units.symbol(kind)
    return Amount(float(from_si(number, kind, unit)), unit)


def _stated(torque: ArrayLike, units: System) -> Amount:
    """A torque without which a row would not be broken out."""
    found = _number(torque, "torque", units)
    assert found is not None
    return found


def gasket_target(joints: Joints, i: int, units: System) -> str:
    """The basis of a target stated as a gasket stress, in words."""
    stress = amount(float(joints.target_gasket_stress[i]), "stress", units)
    return f"gasket stress {stress} on {amount(float(joints.gasket_area[i]), 'area', units)} of gasket"
