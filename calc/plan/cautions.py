"""Rules that read a finished plan and say what to watch: one list, a code and its rule each."""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.findings import CAUTION, Finding
from calc.hardware.friction import survey_range
from calc.hardware.threads import tensile_area
from calc.plan import hand, unstated
from calc.plan.joints import METHODS, PLANNED, Floats, Joints
from calc.plan.plans import Plans
from calc.procedure.passes import RETIGHTEN, STAGE_TOLERANCE
from calc.wrench.choice import Candidate, Wrench

GAUGE, GAUGE_STAGE = 0.05, 0.1
"""Shares of the pressure that the class of a gauge may allow at full torque and in the passes below it before it is
worth a caution. Common practice, no source."""
LOW = 0.2
"""A preload below this share of the stud's yield is worth a look at its target and unit. Common practice, no source."""

_USED = re.compile(r"\bre-?\s?used\b|\bsecond[- ]hand\b|\bused studs?\b", re.IGNORECASE)
_NOT_USED = re.compile(
    r"\b(?:no|not|never|without)\b[^.;]*\b(?:re-?\s?)?used?\b|\bre-?\s?used?\b[^.;]*\b(?:not|never)\b", re.I
)
_COATED = re.compile(r"\bcoat(?:ed|ing)\b|\bplated\b|\bgalvani[sz]ed\b", re.IGNORECASE)
_WASHER = re.compile(r"\bwashers?\b", re.IGNORECASE)
_SOFT = re.compile(r"\b(?:rubber|elastomer|EPDM|NBR|neoprene|FKM|PTFE|fib(?:re|er)|CNAF|CAF)\b", re.IGNORECASE)
_NONE = frozenset(("no", "none", "nil", "without", "uncoated", "bare", "new"))


def reused(said: str) -> bool:
    """Whether a text says that the studs were in use before; a text that forbids it does not.

    >>> reused("re-used once"), reused("new"), reused("do not use re-used studs"), reused("reused studs not allowed")
    (True, False, False, False)
    """
    return bool(_USED.search(said)) and not _NOT_USED.search(said)


def _hard(joints: Joints, row: int) -> bool:
    """Whether no low preload is meant: no gasket that takes no more, and no gasket or flange limit that is stated."""
    said = f"{joints.gasket[row]} {joints.gasket_kind[row]}"
    limited = (joints.gasket_maximum[row], joints.flange_limit[row], joints.target_gasket_stress[row])
    return not _SOFT.search(said) and bool(all(np.isnan(limited)))


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


def _class_error(plans: Plans) -> Floats:
    """What the class of each gauge allows in each pass, as a share of it; (rows, wrenches, stages), NaN where unknown.

    A gauge that serves two wrenches of a row counts once.
    """
    wide = plans.count.shape[1]
    spans = [
        [np.nan if c.gauge in [one.gauge for one in group[:i]] else c.gauge.error * c.gauge.range
         for i, c in enumerate(group)]
        for group in plans.pulling
    ]  # fmt: skip
    span = np.array([row + [np.nan] * (wide - len(row)) for row in spans]).reshape(len(spans), wide)
    return np.asarray(span[:, :, np.newaxis] / plans.pressure)


def _odd_at_full(seen: "_Seen") -> NDArray[np.bool_]:
    return np.asarray(seen.class_error[:, :, seen.plans.full] > GAUGE)


def _odd_at_stages(seen: "_Seen") -> NDArray[np.bool_]:
    """Gauges that are fine at full torque and not in the lowest pass that has a pressure."""
    return (seen.class_error > GAUGE_STAGE).any(axis=2) & ~_odd_at_full(seen)


def _known_by(seen: "_Seen", row: int, i: int) -> str:
    return "class" if np.isnan(seen.plans.pulling[row][i].gauge.deviation) else "certificate"


@dataclass(frozen=True, eq=False)
class _Seen:
    """A plan as the rules look at it: shares of yield used, and by row and wrench what class and marks make.

    `unset`: passes, by row, wrench and stage, that have a torque and no setting.
    """

    plans: Plans
    joints: Joints
    used: Floats
    class_error: Floats
    share: Floats
    staged: list[int]
    unset: NDArray[np.bool_]

    def stages(self, row: int, these: NDArray[np.bool_]) -> tuple[int, ...]:
        """Numbers of a row's passes with a torque for which a mask over all stages says yes."""
        return tuple(self.plans.pass_number(row, j) for j in self.staged if these[j])


@dataclass(frozen=True)
class Rule:
    """A caution: its code, what it is about, for which rows it holds, and its facts. Its sentence stands in addin.

    `rows` gives a mask over the rows, or over rows and their wrenches; `facts` take the row, or row and wrench.
    """

    code: str
    quantity: str
    rows: Callable[[_Seen], Any]
    facts: Callable[..., dict[str, Any]]


def _none(seen: _Seen, row: int) -> dict[str, Any]:
    return {}


def _survey(seen: _Seen) -> NDArray[np.bool_]:
    low, high = survey_range()
    return (seen.plans.nut_factor < low) | (seen.plans.nut_factor > high)


def _stated(seen: _Seen) -> NDArray[np.bool_]:
    return np.array([kind != "not stated" for kind in seen.plans.friction_kind], dtype=bool)


def _highest_share(seen: _Seen) -> Floats:
    """Share of the yield that a torque without friction may reach at the lowest nut factor of the range."""
    return np.asarray(unstated.NEAR * seen.plans.reaches_yield_at / unstated.LOW)


def _retighten(seen: _Seen) -> NDArray[np.bool_]:
    return np.array([operation == RETIGHTEN for operation in seen.joints.operation], dtype=bool)


def _those(rows: NDArray[np.bool_], test: Callable[[Joints, int], Any], seen: _Seen) -> NDArray[np.bool_]:
    """Those of some rows that a test of single rows is true of, as a mask."""
    found = np.zeros(len(seen.joints), dtype=bool)
    for row in np.flatnonzero(rows).tolist():
        found[row] = bool(test(seen.joints, row))
    return found


def _fibre(joints: Joints, row: int) -> bool:
    return any(word in joints.gasket[row].lower() for word in ("fibre", "fiber"))


def _no_ceiling(seen: _Seen, row: int) -> dict[str, Any]:
    by_grade = "yield_strength" if seen.joints.grade[row] else "grade"
    return {"needs": "nut_series" if np.isnan(seen.plans.combined_stress[row]) else by_grade}


RULES = (
    Rule("nut_factor_outside_survey", "nut_factor", _survey,
         lambda seen, row: {"value": seen.plans.nut_factor[row], "low": survey_range()[0], "high": survey_range()[1]}),
    Rule("friction_not_stated", "preload", lambda seen: ~_stated(seen),
         lambda seen, row: {"factor": float(seen.plans.reaches_yield_at[row])}),
    Rule("ceiling_not_checked", "combined_stress",
         lambda seen: _stated(seen) & (np.isnan(seen.plans.combined_stress) | np.isnan(seen.plans.yield_strength)),
         _no_ceiling),
    Rule("preload_low", "preload", lambda seen: _those(seen.used < LOW, _hard, seen),
         lambda seen, row: {"share": float(seen.used[row]), "yield_strength": seen.plans.yield_strength[row]}),
    Rule("torque_low", "torque", lambda seen: _those(~_stated(seen) & (_highest_share(seen) < LOW), _hard, seen),
         lambda seen, row: {"factor": unstated.LOW, "share": float(_highest_share(seen)[row]),
                            "yield_strength": seen.plans.yield_strength[row]}),
    Rule("retighten", "operation", _retighten, _none),
    Rule("fibre_gasket", "gasket", lambda seen: _those(_retighten(seen), _fibre, seen), _none),
    Rule("friction_may_differ", "nut_factor", lambda seen: _those(_stated(seen), _not_new, seen),
         lambda seen, row: {"texts": _not_new(seen.joints, row)}),
)  # fmt: skip
"""The cautions of rows that are tightened, in the order in which a row shows them."""


def _other_means(seen: _Seen, row: int, i: int) -> dict[str, Any]:
    candidate = seen.plans.pulling[row][i]
    passes = seen.stages(row, seen.unset[row, i])
    return {"passes": passes, "wrench": candidate.wrench.name, "low": candidate.curve.torque[0]}


def _coarse(seen: _Seen, row: int, i: int) -> dict[str, Any]:
    passes, worst = seen.stages(row, seen.share[row, i] > STAGE_TOLERANCE), float(np.nanmax(seen.share[row, i]))
    wrench = seen.plans.pulling[row][i].wrench.name
    return {"passes": passes, "wrench": wrench, "share": worst, "limit": STAGE_TOLERANCE}


WRENCH_RULES = (
    Rule("gauge_class", "wrench", _odd_at_full,
         lambda seen, row, i: {"gauge": seen.plans.pulling[row][i].gauge.name, "by": _known_by(seen, row, i),
                               "share": float(seen.class_error[row, i, seen.plans.full])}),
    Rule("gauge_class_stage", "wrench", _odd_at_stages,
         lambda seen, row, i: {"gauge": seen.plans.pulling[row][i].gauge.name, "by": _known_by(seen, row, i),
                               "share": float(np.nanmax(seen.class_error[row, i])),
                               "passes": seen.stages(row, seen.class_error[row, i] > GAUGE_STAGE)}),
    Rule("pass_other_means", "stage",
         lambda seen: seen.unset[:, :, seen.staged].any(axis=2), _other_means),
    Rule("stage_difference", "stage",
         lambda seen: (seen.share[:, :, seen.staged] > STAGE_TOLERANCE).any(axis=2), _coarse),
)  # fmt: skip
"""The cautions of each wrench in a row that is tightened."""

Doubts = Sequence[Finding]


def _unrated(candidate: Candidate, doubts: Doubts) -> Iterator[dict[str, Any]]:
    w = candidate.wrench
    for part, rating in (("hose", w.hose_rated_pressure), ("pump", w.pump_rated_pressure)):
        if np.isnan(rating):
            yield {"part": part}


TOOL_RULES: tuple[tuple[str, Callable[[Candidate, Doubts], Iterable[dict[str, Any]]]], ...] = (
    ("link_not_checked", lambda candidate, _: [{}] if np.isnan(candidate.link.across_flats) else []),
    ("certificate_not_checked", lambda candidate, _: [{}] if np.isinf(candidate.wrench.valid_until) else []),
    ("rating_not_stated", _unrated),
    ("certificate_doubt", lambda _, doubts: [{"doubt": doubt} for doubt in doubts]),
)
"""What is not stated of a wrench, and odd points of its certificate, where it tightens or breaks out; facts of each."""


def warn(plans: Plans, joints: Joints, wrenches: Sequence[Wrench], tools: hand.HandTools) -> Plans:
    """The plan with its cautions added, row by row; `tools` are those of rows by hand, where they are listed."""
    found: list[Finding] = []

    def add(row: int, code: str, quantity: str, facts: dict[str, Any]) -> None:
        found.append(Finding(code, quantity, facts, CAUTION, row))

    seen = _Seen(
        plans, joints,
        used=plans.preload / np.asarray(tensile_area(plans.thread)) / plans.yield_strength,
        class_error=_class_error(plans),
        share=np.abs(plans.torque_there / plans.pass_torque[:, np.newaxis, :] - 1),
        staged=[j for j, stage in enumerate(plans.stages) if stage.fraction],
        unset=np.isnan(plans.count) & ~np.isnan(plans.pass_torque)[:, np.newaxis, :],
    )  # fmt: skip
    doubts = {wrench.name: wrench.doubts for wrench in wrenches}
    notes = {c: _notes(c, doubts) for group in set(plans.pulling) for c in group}
    notes |= {o.candidate: _notes(o.candidate, doubts) for o in plans.breakouts if o is not None}
    planned = np.array([status == PLANNED for status in plans.status], dtype=bool)
    tightened = planned & np.array([opened is None for opened in plans.breakouts], dtype=bool)
    pulls = np.arange(plans.count.shape[1]) < np.array([len(group) for group in plans.pulling])[:, np.newaxis]
    rules = [(rule, rule.rows(seen) & tightened) for rule in RULES]
    of_wrench = [(rule, rule.rows(seen) & pulls & tightened[:, np.newaxis]) for rule in WRENCH_RULES]
    noted = np.array([any(notes[c] for c in group) for group in plans.pulling], dtype=bool) & tightened
    noted |= planned & np.array([o is not None and bool(notes[o.candidate]) for o in plans.breakouts], dtype=bool)
    any_row = np.logical_or.reduce([noted, *(m for _, m in rules), *(m.any(axis=1) for _, m in of_wrench)])
    for row in np.flatnonzero(any_row).tolist():  # most rows of a long list have none
        for rule, mask in rules:
            if mask[row]:
                add(row, rule.code, rule.quantity, rule.facts(seen, row))
        opened = plans.breakouts[row]
        for i, candidate in enumerate(plans.pulling[row] if opened is None else (opened.candidate,)):
            for rule, masks in of_wrench if opened is None else ():
                if masks[row, i]:
                    add(row, rule.code, rule.quantity, rule.facts(seen, row, i))
            for code, facts in notes[candidate]:
                add(row, code, "wrench", facts)
    by_hand = [row for row in np.flatnonzero(tightened).tolist() if joints.method[row] == METHODS[1]]
    found += hand.warn(plans, joints, by_hand, tools)
    return replace(plans, findings=plans.findings + tuple(found))


def _notes(candidate: Candidate, doubts: Mapping[str, Doubts]) -> list[tuple[str, dict[str, Any]]]:
    """What is to be said of a wrench with its link, wherever it is used."""
    w = candidate.wrench
    own = doubts.get(w.name, ())
    return [(code, {**facts, "wrench": w.name}) for code, rule in TOOL_RULES for facts in rule(candidate, own)]
