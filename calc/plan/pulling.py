"""Which wrenches pull each row of a list, and what they are set to in every pass."""

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.findings import CAUTION, Finding
from calc.plan.joints import Floats, Joints, PlanSettings
from calc.plan.resolve import Findings
from calc.procedure.passes import Stage, stage_settings, stage_torque
from calc.wrench.calibration import Setting
from calc.wrench.choice import (
    Candidate,
    Gauge,
    Reason,
    Wrench,
    candidates,
    over_link,
    reason,
    refusals,
    same_flats,
    shared,
)

Group = tuple[Candidate, ...]


def choose(
    joints: Joints,
    flats: Floats,
    torque: Floats,
    at_once: NDArray[np.int64],
    rows: NDArray[np.bool_],
    wrenches: Sequence[Wrench],
    gauges: Mapping[str, Gauge],
    stages: tuple[Stage, ...],
    settings: PlanSettings,
    found: Findings,
    raised: Floats | None = None,
) -> tuple[tuple[Group, ...], Floats, Floats, Floats]:
    """Wrenches of every row and, with shape (rows, wrenches, stages), marks, pressures and torques of its passes.

    The wrench that the list names is checked; otherwise the smallest that fits with reserve is taken, then by name.
    `raised`: factor on the pass before the last, which a wrench must serve too.
    """
    count = len(joints)
    raised = np.ones(count) if raised is None else raised
    dates = np.where(np.isnan(joints.date), settings.date, joints.date)
    found.each(rows & np.isnan(dates), "date_needed", "date")
    rows = rows & ~np.isnan(dates)
    everyone = candidates(wrenches, gauges)
    names = _names(joints, wrenches, rows, found)
    pulling: list[Group] = [()] * count
    chosen: dict[Group, list[int]] = {}
    for (size, named, together), members in _alike(flats, names, at_once, rows & ~found.stopped).items():
        left = np.array(members)
        fitting = [
            c for c in everyone if same_flats(c.link.across_flats, size) and (not named or c.wrench.tool in named)
        ]
        reasons: dict[int, list[Reason]] = {row: [] for row in members}
        for group in _groups(fitting, named, together):
            if not left.size:
                break
            good = _serves(group, torque[left], dates[left], bool(named), settings, reasons, left, found)
            up = left[good & (raised[left] != 1)]
            higher = _serves(group, torque[up] * raised[up], dates[up], bool(named), settings, reasons, up, found)
            good &= ~np.isin(left, up[~higher])
            for row in left[good]:
                pulling[row] = group
            chosen.setdefault(group, []).extend(int(row) for row in left[good])
            left = left[~good]
        for row in left:
            found.add(_none(int(row), size, named, together, fitting, reasons[int(row)], wrenches, gauges))
    wide = max(at_once) if count else 1
    shape = (count, int(wide), len(stages))
    marks, pressure, there = np.full(shape, np.nan), np.full(shape, np.nan), np.full(shape, np.nan)
    for group, members in chosen.items():
        at = np.array(members, dtype=int)
        if at.size:
            for i, s in enumerate(_settings(group, torque[at], raised[at], stages, settings)):
                marks[at, i], pressure[at, i], there[at, i] = s.count, s.pressure, s.torque
    return tuple(pulling), marks, pressure, there


def uncertainties(pulling: Sequence[Group]) -> Floats:
    """Uncertainty of the certificate of the wrench that pulls each row, the largest of several: a share of the torque.

    NaN where none of a row's wrenches states one, and without a wrench.
    """
    shares = [[c.wrench.uncertainty for c in group if not np.isnan(c.wrench.uncertainty)] for group in pulling]
    return np.array([max(each, default=np.nan) for each in shares], dtype=float)


def _names(
    joints: Joints, wrenches: Sequence[Wrench], rows: NDArray[np.bool_], found: Findings
) -> list[tuple[str, ...]]:
    """Wrenches that each row names, as the book writes them; an unknown one stops the row."""
    known = {wrench.tool.casefold(): wrench for wrench in wrenches}
    read: dict[str, tuple[str, ...] | Finding] = {"": ()}
    names: list[tuple[str, ...]] = [()] * len(joints)
    for row in np.flatnonzero(rows):
        text = joints.wrench[row]
        if text not in read:
            parts = [" ".join(part.split()) for part in re.split("[;,+&]", text)]
            missing = tuple(part for part in parts if part.casefold() not in known)
            if missing:
                facts = {"names": missing, "known": tuple(dict.fromkeys(wrench.tool for wrench in wrenches))}
                read[text] = Finding("wrench_unknown", "wrench", facts)
            else:
                read[text] = tuple(known[part.casefold()].tool for part in parts)
        result = read[text]
        if isinstance(result, Finding):
            found.add(Finding(result.code, result.quantity, result.facts, row=int(row)))
        else:
            names[row] = result
    return names


def _alike(
    flats: Floats, names: list[tuple[str, ...]], at_once: NDArray[np.int64], rows: NDArray[np.bool_]
) -> dict[tuple[float, tuple[str, ...], int], list[int]]:
    groups: dict[tuple[float, tuple[str, ...], int], list[int]] = {}
    for row in np.flatnonzero(rows):
        groups.setdefault((float(flats[row]), names[row], int(at_once[row])), []).append(int(row))
    return groups


def _groups(fitting: Sequence[Candidate], named: tuple[str, ...], together: int) -> Iterator[Group]:
    """Sets of wrenches that may pull together, the smallest first.

    Named wrenches may stand on pumps of their own; wrenches chosen here share one pump and its gauge.
    """
    if together == 1:
        yield from ((c,) for c in fitting)
        return
    for group in combinations(fitting, together):
        if len({c.wrench.tool for c in group}) < together:
            continue
        if named and len(named) == together:
            yield tuple(sorted(group, key=lambda c: named.index(c.wrench.tool)))
        elif group[0].wrench.pump and len({(c.wrench.pump, c.gauge.name) for c in group}) == 1:
            yield group


def by_pump(group: Group) -> list[list[int]]:
    """The places of a group's wrenches, pump by pump: those that take their oil from the same pump need one mark.

    A wrench that names no pump has one of its own.
    """
    pumps: dict[str | int, list[int]] = {}
    for place, c in enumerate(group):
        pumps.setdefault(c.wrench.pump or place, []).append(place)
    return list(pumps.values())


def _serves(
    group: Group,
    torque: Floats,
    dates: Floats,
    named: bool,
    settings: PlanSettings,
    reasons: dict[int, list[Reason]],
    rows: NDArray[np.int64],
    found: Findings,
) -> NDArray[np.bool_]:
    """Rows that a set of wrenches serves; for the others, each wrench's reason."""
    good = np.ones(rows.shape, dtype=bool)
    pumps = [[group[place] for place in places] for places in by_pump(group)]
    several = [tuple(each) for each in pumps if len(each) > 1]
    for c in group:
        why, s = refusals(c, torque, dates, reserve=0.0 if named else settings.reserve, tolerance=settings.tolerance,
                          rounding=settings.rounding, alone=[c] in pumps)  # fmt: skip
        for i in np.flatnonzero(why):
            reasons[int(rows[i])].append(reason(c, int(why[i]), float(torque[i]), float(dates[i]), s, int(i)))
        good &= why == 0
    for mates in several:
        together: tuple[Setting, ...] = ()
        names, pump = tuple(c.wrench.name for c in mates), mates[0].wrench.pump
        gauge_names = tuple(dict.fromkeys(c.gauge.name for c in mates))
        if len(gauge_names) > 1:
            both = np.zeros(rows.shape, dtype=bool)
        else:
            both, together = shared(mates, torque, tolerance=settings.tolerance)
        for i in np.flatnonzero(good & ~both):
            why_not: dict[str, Any] = {"names": names, "pump": pump}
            if len(gauge_names) > 1:
                code, why_not = "two_gauges", {**why_not, "gauges": gauge_names}
            elif over := over_link(mates, together, int(i), settings.tolerance):
                code, why_not = "shared_above_link", {**why_not, **over}
            else:
                code, offs = "no_shared_mark", tuple(float(s.difference[i]) for s in together)
                why_not |= {"tolerance": settings.tolerance, "differences": () if np.isnan(offs).any() else offs}
            reasons[int(rows[i])].append(Reason(code, names[0], why_not))
        good &= both
    weakest = min(group, key=lambda c: c.top)
    for i in np.flatnonzero(good & (torque > (1 - settings.reserve) * weakest.top)):
        facts = {"wrench": weakest.wrench.name, "top": weakest.top, "reserve": settings.reserve}
        found.add(Finding("little_reserve", "wrench", facts, CAUTION, int(rows[i])))
    return good


def _none(
    row: int,
    size: float,
    named: tuple[str, ...],
    together: int,
    fitting: Sequence[Candidate],
    reasons: list[Reason],
    wrenches: Sequence[Wrench],
    gauges: Mapping[str, Gauge],
) -> Finding:
    """The stop for a row that no wrench serves, with the reason of each wrench that came near."""
    if not reasons:
        for wrench in wrenches:
            if named and wrench.tool not in named:
                continue
            if any(same_flats(link.across_flats, size) for link in wrench.links) or named:
                if wrench.faults:
                    reasons.append(Reason("unusable", wrench.name, {"faults": wrench.faults}))
                elif wrench.gauge not in gauges:
                    reasons.append(Reason("gauge_unknown", wrench.name, {"gauge": wrench.gauge}))
                elif not any(same_flats(link.across_flats, size) for link in wrench.links):
                    sizes = tuple(link.across_flats for link in wrench.links)
                    reasons.append(Reason("no_link", wrench.name, {"across_flats": size, "sizes": sizes}))
    if named and len(named) != together and together > 1:
        return Finding("wrenches_named", "wrench", {"names": named, "at_once": together}, row=row)
    unique = tuple({(r.wrench, r.code): r for r in reasons}.values())
    facts = {"across_flats": size, "reasons": unique, "at_once": together}
    if unique:
        return Finding("wrench_unfit" if named else "no_wrench", "wrench", facts, row=row)
    return Finding("no_wrenches_together" if together > 1 and fitting else "no_link_anywhere", "wrench", facts, row=row)


def _settings(
    group: Group, torque: Floats, raised: Floats, stages: tuple[Stage, ...], settings: PlanSettings
) -> tuple[Setting, ...]:
    """Settings of every pass for each wrench of a set, shape (rows, stages)."""
    found: dict[int, Setting] = {}
    wanted = stage_torque(torque, stages, raised)
    for places in by_pump(group):
        mates = [group[place] for place in places]
        if len(mates) == 1:
            (c,) = mates
            found[places[0]] = stage_settings(
                c.curve, torque, stages, c.gauge.marks, rounding=settings.rounding, ceiling=c.ceiling, raised=raised
            )
            continue
        _, flat = shared(mates, wanted.ravel(), tolerance=settings.tolerance)
        for place, s in zip(places, flat, strict=True):
            parts = (getattr(s, name).reshape(wanted.shape) for name in ("count", "pressure", "torque", "difference"))
            found[place] = Setting(*parts)
    return tuple(found[place] for place in range(len(group)))
