"""Rules that read a finished plan and say what to watch."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from calc.findings import CAUTION, Finding
from calc.hardware.friction import survey_range
from calc.joints import PLANNED, Joints, Plans
from calc.wrench import calibration
from calc.wrench.choice import Wrench


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
        for i, candidate in enumerate(plans.pulling[row]):
            w = candidate.wrench
            if np.isnan(candidate.link.across_flats):
                add(row, "link_not_checked", "wrench", wrench=w.name)
            if np.isinf(w.valid_until):
                add(row, "certificate_not_checked", "wrench", wrench=w.name)
            below = [s.number for j, s in enumerate(plans.stages) if s.fraction and np.isnan(plans.count[row, i, j])]
            if below:
                add(row, "pass_other_means", "stage", passes=tuple(below), wrench=w.name, low=candidate.curve.torque[0])
            coarse = [s.number for j, s in enumerate(plans.stages) if s.fraction and share[row, i, j] > STAGE]
            if coarse:
                worst = float(np.nanmax(share[row, i]))
                add(row, "stage_difference", "stage", passes=tuple(coarse), wrench=w.name, share=worst, limit=STAGE)
            for part, rating in (("hose", w.hose_rated_pressure), ("pump", w.pump_rated_pressure)):
                if np.isnan(rating):
                    add(row, "rating_not_stated", "wrench", wrench=w.name, part=part)
            for finding in odd.get(w.name, []):
                add(row, "odd_calibration_point", "wrench", wrench=w.name, **finding.facts)
    return replace(plans, findings=plans.findings + tuple(found))
