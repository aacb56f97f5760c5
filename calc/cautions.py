"""Rules that read a finished plan and say what to watch."""

import re
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from calc.findings import CAUTION, Finding
from calc.hardware.friction import survey_range
from calc.joints import PLANNED, Joints, Plans
from calc.wrench import calibration
from calc.wrench.choice import Candidate, Wrench

STAGE = 0.1
"""A stage below full torque may differ by this share before it is worth a caution. Common practice, no source."""


def warn(plans: Plans, joints: Joints, wrenches: Sequence[Wrench]) -> Plans:
    """The plan with its cautions added, row by row."""
    found: list[Finding] = []

    def add(row: int, code: str, quantity: str = "", **facts: object) -> None:
        found.append(Finding(code, quantity, facts, CAUTION, row))

    low, high = survey_range()
    odd = {w.name: [f for f in calibration.findings(w.curve.pressure, w.curve.torque) if f.level == CAUTION]
           for w in wrenches if w.curve is not None}  # fmt: skip
    share = np.abs(plans.torque_there / plans.pass_torque[:, np.newaxis, :] - 1)
    for row, status in enumerate(plans.status):
        if status != PLANNED:
            continue
        opened = plans.breakouts[row]
        if opened is not None:
            _unstated(row, opened.candidate, add)
            _ratings(row, opened.candidate, odd, add)
            continue
        k = plans.nut_factor[row]
        if k < low or k > high:
            add(row, "nut_factor_outside_survey", "nut_factor", value=k, low=low, high=high)
        if plans.friction_kind[row] == "not stated":
            add(row, "friction_not_stated", "preload")
        elif np.isnan(plans.combined_stress[row]):
            add(row, "ceiling_not_checked", "combined_stress", needs="nut_series")
        elif np.isnan(plans.yield_strength[row]):
            add(row, "ceiling_not_checked", "combined_stress", needs="grade")
        if joints.operation[row] == "retighten":
            add(row, "retighten", "operation")
            if any(word in joints.gasket[row].lower() for word in ("fibre", "fiber")):
                add(row, "fibre_gasket", "gasket")
        if plans.friction_kind[row] != "not stated" and (texts := _not_new(joints, row)):
            add(row, "friction_may_differ", "nut_factor", texts=texts)
        for i, candidate in enumerate(plans.pulling[row]):
            w = candidate.wrench
            _unstated(row, candidate, add)
            below = [s.number for j, s in enumerate(plans.stages) if s.fraction and np.isnan(plans.count[row, i, j])]
            if below:
                add(row, "pass_other_means", "stage", passes=tuple(below), wrench=w.name, low=candidate.curve.torque[0])
            coarse = [s.number for j, s in enumerate(plans.stages) if s.fraction and share[row, i, j] > STAGE]
            if coarse:
                worst = float(np.nanmax(share[row, i]))
                add(row, "stage_difference", "stage", passes=tuple(coarse), wrench=w.name, share=worst, limit=STAGE)
            _ratings(row, candidate, odd, add)
    return replace(plans, findings=plans.findings + tuple(found))


def _unstated(row: int, candidate: Candidate, add: Callable[..., None]) -> None:
    """What is not stated of a wrench that a row uses."""
    w = candidate.wrench
    if np.isnan(candidate.link.across_flats):
        add(row, "link_not_checked", "wrench", wrench=w.name)
    if np.isinf(w.valid_until):
        add(row, "certificate_not_checked", "wrench", wrench=w.name)


def _ratings(row: int, candidate: Candidate, odd: dict[str, list[Finding]], add: Callable[..., None]) -> None:
    """Ratings that are not stated, and odd points of the certificate."""
    w = candidate.wrench
    for part, rating in (("hose", w.hose_rated_pressure), ("pump", w.pump_rated_pressure)):
        if np.isnan(rating):
            add(row, "rating_not_stated", "wrench", wrench=w.name, part=part)
    for finding in odd.get(w.name, []):
        add(row, "odd_calibration_point", "wrench", wrench=w.name, **finding.facts)


_USED = re.compile(r"\bre-?\s?used\b|\bsecond[- ]hand\b|\bused studs?\b", re.IGNORECASE)
_COATED = re.compile(r"\bcoat(?:ed|ing)\b|\bplated\b|\bgalvani[sz]ed\b", re.IGNORECASE)
_WASHER = re.compile(r"\bwashers?\b", re.IGNORECASE)
_NONE = frozenset(("no", "none", "nil", "without", "uncoated", "bare", "new"))


def _not_new(joints: Joints, row: int) -> tuple[str, ...]:
    """What a row says of its studs that the friction may not have been measured on: re-used, coated, with washers."""
    said = " ".join((joints.remarks[row], joints.stud_condition[row], joints.grade[row]))
    signs = {"re-used studs": _USED, "coated studs": _COATED, "washers": _WASHER}
    found = [word for word, sign in signs.items() if sign.search(said)]
    for word, text in (("coated studs", joints.coating[row]), ("washers", joints.washers[row])):
        if text and text.lower() not in _NONE and word not in found:
            found.append(word)
    return tuple(found)
