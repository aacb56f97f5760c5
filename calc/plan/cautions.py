"""Rules that read a finished plan and say what to watch."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np

from calc.findings import CAUTION, Finding
from calc.hardware.friction import survey_range
from calc.hardware.threads import tensile_area
from calc.plan import hand
from calc.plan.joints import PLANNED, Floats, Joints
from calc.plan.plans import Plans
from calc.procedure.passes import STAGE_TOLERANCE
from calc.wrench.choice import Candidate, Wrench

GAUGE = 0.1
"""A gauge whose class allows this share of the setpoint is worth a caution. Common practice, no source."""
LOW = 0.2
"""A preload below this share of the stud's yield is worth a look at its target and unit. Common practice, no source."""


def warn(plans: Plans, joints: Joints, wrenches: Sequence[Wrench], tools: hand.HandTools) -> Plans:
    """The plan with its cautions added, row by row; `tools` are those of rows by hand, where they are listed."""
    found: list[Finding] = []

    def add(row: int, code: str, quantity: str = "", **facts: object) -> None:
        found.append(Finding(code, quantity, facts, CAUTION, row))

    low, high = survey_range()
    odd = {w.name: list(w.doubts) for w in wrenches}
    share = np.abs(plans.torque_there / plans.pass_torque[:, np.newaxis, :] - 1)
    notes = {c: _notes(c, odd) for c in {c for group in set(plans.pulling) for c in group}}
    used = plans.preload / np.asarray(tensile_area(plans.thread)) / plans.yield_strength
    class_error = _class_error(plans)
    for row in _worth_a_look(plans, joints, share, used, class_error, notes):
        opened = plans.breakouts[row]
        if opened is not None:
            for code, facts in _notes(opened.candidate, odd):
                add(row, code, "wrench", **facts)
            continue
        k = plans.nut_factor[row]
        if k < low or k > high:
            add(row, "nut_factor_outside_survey", "nut_factor", value=k, low=low, high=high)
        if plans.friction_kind[row] == "not stated":
            add(row, "friction_not_stated", "preload", factor=float(plans.reaches_yield_at[row]))
        elif np.isnan(plans.combined_stress[row]):
            add(row, "ceiling_not_checked", "combined_stress", needs="nut_series")
        elif np.isnan(plans.yield_strength[row]):
            add(row, "ceiling_not_checked", "combined_stress", needs="yield_strength" if joints.grade[row] else "grade")
        if used[row] < LOW and not _soft(joints, row):
            add(row, "preload_low", "preload", share=float(used[row]), yield_strength=plans.yield_strength[row])
        if joints.operation[row] == "retighten":
            add(row, "retighten", "operation")
            if any(word in joints.gasket[row].lower() for word in ("fibre", "fiber")):
                add(row, "fibre_gasket", "gasket")
        if plans.friction_kind[row] != "not stated" and (texts := _not_new(joints, row)):
            add(row, "friction_may_differ", "nut_factor", texts=texts)
        for i, candidate in enumerate(plans.pulling[row]):
            if class_error[row, i] > GAUGE:
                add(row, "gauge_class", "wrench", gauge=candidate.gauge.name, share=float(class_error[row, i]))
            w = candidate.wrench
            below = [s.number for j, s in enumerate(plans.stages) if s.fraction and np.isnan(plans.count[row, i, j])]
            if below:
                add(row, "pass_other_means", "stage", passes=tuple(below), wrench=w.name, low=candidate.curve.torque[0])
            coarse = [s.number for j, s in enumerate(plans.stages) if s.fraction and share[row, i, j] > STAGE_TOLERANCE]
            if coarse:
                worst = float(np.nanmax(share[row, i]))
                add(
                    row,
                    "stage_difference",
                    "stage",
                    passes=tuple(coarse),
                    wrench=w.name,
                    share=worst,
                    limit=STAGE_TOLERANCE,
                )
            for code, facts in notes[candidate]:
                add(row, code, "wrench", **facts)
    by_hand = [row for row, method in enumerate(joints.method) if method == "hand" and plans.status[row] == PLANNED]
    found += hand.warn(plans, joints, by_hand, tools)
    return replace(plans, findings=plans.findings + tuple(found))


def _worth_a_look(
    plans: Plans, joints: Joints, share: Floats, used: Floats, class_error: Floats,
    notes: Mapping[Candidate, list[Any]],
) -> list[int]:  # fmt: skip
    """Planned rows in which any rule of `warn` may speak; the others, most of a long list, are passed over."""
    planned = np.array([status == PLANNED for status in plans.status])
    low, high = survey_range()
    k = plans.nut_factor
    rows = (k < low) | (k > high) | (used < LOW) | np.isnan(plans.combined_stress) | np.isnan(plans.yield_strength)
    full = [stage.fraction is not None for stage in plans.stages]
    pulled = np.arange(plans.count.shape[1]) < np.array([len(group) for group in plans.pulling])[:, np.newaxis]
    rows |= (pulled & np.isnan(plans.count[:, :, full]).any(axis=2)).any(axis=1)
    rows |= (pulled & (share[:, :, full] > STAGE_TOLERANCE).any(axis=2)).any(axis=1)
    rows |= (class_error > GAUGE).any(axis=1)
    rows |= np.array([any(notes[candidate] for candidate in group) for group in plans.pulling])
    rows |= np.array([operation in ("retighten", "break") for operation in joints.operation])
    rows |= np.array([bool(_not_new(joints, row)) for row in range(len(joints))])
    return np.flatnonzero(planned & rows).tolist()


def _soft(joints: Joints, row: int) -> bool:
    """Whether a low preload is meant: a gasket that takes no more, or a gasket or flange limit that is stated."""
    said = f"{joints.gasket[row]} {joints.gasket_kind[row]}"
    limited = (joints.gasket_maximum[row], joints.flange_limit[row], joints.target_gasket_stress[row])
    return bool(_SOFT.search(said)) or not all(np.isnan(limited))


def _class_error(plans: Plans) -> Floats:
    """What the class of each gauge allows at the setpoint, as a share of it; (rows, wrenches), NaN where unknown."""
    wide = plans.count.shape[1]
    spans = [[c.gauge.accuracy * c.gauge.range for c in group] for group in plans.pulling]
    span = np.array([row + [np.nan] * (wide - len(row)) for row in spans]).reshape(len(spans), wide)
    return span / plans.pressure[:, :, plans.full]


def _notes(candidate: Candidate, odd: dict[str, list[Finding]]) -> list[tuple[str, dict[str, object]]]:
    """What is not stated of a wrench, and odd points of its certificate: codes with their facts."""
    w = candidate.wrench
    notes: list[tuple[str, dict[str, object]]] = []
    if np.isnan(candidate.link.across_flats):
        notes.append(("link_not_checked", {}))
    if np.isinf(w.valid_until):
        notes.append(("certificate_not_checked", {}))
    for part, rating in (("hose", w.hose_rated_pressure), ("pump", w.pump_rated_pressure)):
        if np.isnan(rating):
            notes.append(("rating_not_stated", {"part": part}))
    notes += [("certificate_doubt", {"doubt": finding}) for finding in odd.get(w.name, [])]
    return [(code, {**facts, "wrench": w.name}) for code, facts in notes]


_USED = re.compile(r"\bre-?\s?used\b|\bsecond[- ]hand\b|\bused studs?\b", re.IGNORECASE)
_COATED = re.compile(r"\bcoat(?:ed|ing)\b|\bplated\b|\bgalvani[sz]ed\b", re.IGNORECASE)
_WASHER = re.compile(r"\bwashers?\b", re.IGNORECASE)
_SOFT = re.compile(r"\b(?:rubber|elastomer|EPDM|NBR|neoprene|FKM|PTFE|fib(?:re|er)|CNAF|CAF)\b", re.IGNORECASE)
_NONE = frozenset(("no", "none", "nil", "without", "uncoated", "bare", "new"))


def _not_new(joints: Joints, row: int) -> tuple[str, ...]:
    """What a row says of its studs that the friction may not have been measured on: re-used, coated, with washers."""
    texts = joints.remarks[row], joints.stud_condition[row], joints.grade[row], joints.coating[row], joints.washers[row]
    return _signs(*texts)


@lru_cache(maxsize=4096)
def _signs(remarks: str, condition: str, grade: str, coating: str, washers: str) -> tuple[str, ...]:
    said = " ".join((remarks, condition, grade))
    signs = {"re-used studs": _USED, "coated studs": _COATED, "washers": _WASHER}
    found = [word for word, sign in signs.items() if sign.search(said)]
    for word, text in (("coated studs", coating), ("washers", washers)):
        if text and text.lower() not in _NONE and word not in found:
            found.append(word)
    return tuple(found)
