"""What the functions about interaction calculate: inputs of a joint in, rows with the fixed wording out."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from addin.cells.numbers import Cell
from addin.cells.words import figure
from addin.functions.gate import Num
from addin.functions.interaction_inputs import Case, read_case
from addin.functions.interaction_words import (
    FOR_ENGINEER,
    FRICTION,
    MODEL,
    NO_SCATTER,
    RAISED,
    WORDING,
    assumed_line,
    passes_words,
)
from addin.functions.steps import step
from calc.findings import stop
from calc.interaction import choice, events, samples, settings
from calc.interaction.choice import Wanted
from calc.interaction.dimensions import Assumed
from calc.interaction.elastic import interaction_table as table_of
from calc.interaction.events import Pass
from calc.interaction.plans import CIRCULAR_ORDER, CROSS_ORDER, as_moves, opening_of, plan_of
from calc.units import System

Block = Sequence[Sequence[Cell]]
Row = list[Any]

NOT_TURNED = 0.0201
"""A setting at the bottom of its range (2 %) turns no nut that was snug before."""


def residual_preload(
    inputs: Block, preload: float, units: System, passes: str, at_once: float, table: Block | None
) -> list[Row]:
    """Per stud: estimated kept load after all passes, P5 and P95 of the assumed scatter."""
    case = read_case(inputs, units, table)
    plan = _plan(case, passes, at_once)
    found = samples.residual_preload(
        case.joint, preload, plan, seed=case.seed, samples=case.samples, scatter=case.scatter, snug=case.snug,
        limits=case.limits,
    )  # fmt: skip
    step("kept load of each stud", "F", float(found.kept.mean()), "force",
         "F += a[:, i] (T - F_i) move by move; mean of all studs", "elastic interaction")  # fmt: skip
    force = units.symbol("force")
    head: Row = ["stud", f"estimated kept load ({force})", f"P5 of the assumed scatter ({force})",
                 f"P95 of the assumed scatter ({force})", "estimated kept load (% of target)"]  # fmt: skip
    rows = [
        [float(stud), Num(kept, "force"), Num(low, "force"), Num(high, "force"), Num(kept / preload, "percent")]
        for stud, kept, low, high in zip(
            range(1, case.studs + 1), found.kept.tolist(), found.low.tolist(), found.high.tolist(), strict=True
        )
    ]
    said = [f"Plan: {passes_words(plan)}; {case.samples} samples, seed {case.seed}."]
    return _with_notes(head, rows, [*said, *_raised(plan)], case, units, case.scatter_assumed)


def pass_progress(
    inputs: Block, preload: float, units: System, passes: str, at_once: float, table: Block | None
) -> list[Row]:
    """After each pass: mean, lowest, coefficient of variation of the kept load, highest momentary load."""
    case = read_case(inputs, units, table)
    plan = _plan(case, passes, at_once)
    found = events.pass_progress(case.joint, preload, plan, snug=case.snug, limits=case.limits)
    step("coefficient of variation after the last pass", "V", float(found.variation[-1]), "percent",
         "standard deviation over the studs / mean", "elastic interaction")  # fmt: skip
    force = units.symbol("force")
    head: Row = ["pass", "pattern", "setting (% of target)", "moves so far", f"mean kept ({force})",
                 f"lowest kept ({force})", "coefficient of variation (%)",
                 f"highest momentary load ({force})"]  # fmt: skip
    rows: list[Row] = []
    for k, each in enumerate(plan):
        rows.append([
            float(k + 1), each.pattern, Num(float(np.max(each.fraction)), "percent"), float(found.moves[k]),
            Num(float(found.mean[k]), "force"), Num(float(found.lowest[k]), "force"),
            Num(float(found.variation[k]), "percent"), Num(float(found.highest[k]), "force"),
        ])  # fmt: skip
    said = [NO_SCATTER, circular_line(case, preload, plan, at_once), *_raised(plan)]
    return _with_notes(head, rows, said, case, units)


def circular_line(case: Case, preload: float, plan: Sequence[Pass], at_once: float) -> str:
    """How many circular passes the plan's opening needs, in words."""
    opening = [each for each in plan if each.pattern != CIRCULAR_ORDER]
    count, _ = circular_count(case, preload, opening, at_once)
    said = "more than " if count is None else ""
    return (
        f"Circular passes to {wanted_words(choice.WANTED)}: {said}{count or MOST_CIRCULAR}; go on until no nut turns."
    )


def wanted_words(wanted: Wanted) -> str:
    """What a plan has to reach, in words."""
    spread, mean = _percent(wanted.uniformity), _percent(wanted.mean)
    return f"a coefficient of variation of at most {spread} and a mean of {mean} of the target"


MOST_CIRCULAR = 8


def circular_count(
    case: Case, preload: float, opening: Sequence[Pass], at_once: float
) -> tuple[int | None, events.Run]:
    """Circular passes that an opening needs until the kept load is even and high enough, and the run with them."""
    circular = as_moves(case.circular(at_once))
    return choice.circular_passes(
        case.joint, preload, opening, circular, most=MOST_CIRCULAR, snug=case.snug, limits=case.limits
    )


def interaction_table(inputs: Block, preload: float, units: System, gasket_line: str) -> list[Row]:
    """The table of interaction from dimensions; a column is the stud that is raised, a row the stud that answers."""
    case = read_case(inputs, units, None)
    known = ("unloading", "loading")
    if gasket_line.lower() not in known:
        raise stop("word_unknown", "gasket_line", text=gasket_line, known=known)
    assert case.dimensions is not None
    table = table_of(case.dimensions, preload, loading=gasket_line.lower() == "loading")
    step("change of a neighbour for a rise of 1", "a21", float(table[1, 0]), "number",
         "a = k I - k² S, S flexibility of ring, studs and gasket; a / a11", "elastic interaction")  # fmt: skip
    rows: list[Row] = [[float(stud), *map(float, row)] for stud, row in enumerate(table, start=1)]
    said = ["Column: the stud that is raised by 1. Row: what the load of each stud changes by.",
            "Gasket on its unloading line, as in a circular pass after full load." if gasket_line.lower() == "unloading"
            else "Gasket on its loading curve, as in a first pass."]  # fmt: skip
    head: Row = ["stud", *map(float, range(1, case.studs + 1))]
    return _with_notes(head, rows, said, case, units)


def one_pass_settings(
    inputs: Block, preload: float, units: System, cap: float, before: str, at_once: float, table: Block | None
) -> list[Row]:
    """Settings stud by stud that leave all studs near the target after one pass, up to a cap.

    The pass goes in cross order, or in circular order where a full pass goes before it.
    """
    case = read_case(inputs, units, table)
    opening = opening_of(before, case.cross(at_once))
    full = bool(opening) and opening[-1].fraction == 1.0
    found = settings.one_pass_settings(
        case.joint, preload, case.circular(at_once) if full else as_moves(case.cross(at_once)), cap=cap,
        before=opening, check=case.circular(at_once), snug=case.snug, limits=case.limits,
    )  # fmt: skip
    step("mean load kept after the closing circular pass", "F", float(found.run.final.mean()), "force",
         "settings T so that the loads after the pass are equal, T <= cap", "elastic interaction")  # fmt: skip
    force = units.symbol("force")
    head: Row = ["stud", f"setting ({force})", "setting (% of target)", f"kept after this pass ({force})",
                 f"kept after the closing circular pass ({force})", "remark"]  # fmt: skip
    rows: list[Row] = []
    for k in range(case.studs):
        share = float(found.load[k] / preload)
        remark = "held back by the cap" if found.capped[k] else "nut not turned" if share < NOT_TURNED else ""
        rows.append([float(k + 1), Num(float(found.load[k]), "force"), Num(share, "percent"),
                     Num(float(found.kept[k]), "force"), Num(float(found.run.final[k]), "force"), remark])  # fmt: skip
    here, closing = (float(top / preload) for top in found.run.highest[len(opening) :])
    said = [
        FOR_ENGINEER,
        f"After {passes_words(opening)}; this pass in {'circular' if full else 'cross'} order; then a circular pass at"
        " 100 %.",
        f"Highest momentary load in this pass {_percent(here)} of the target (cap {_percent(cap)}), in the closing one"
        f" {_percent(closing)}.",
        *(["The cap cannot be kept: a stud rises with its neighbours."] if here > cap * (1 + 1e-6) else []),
        NO_SCATTER,
        *([RAISED] if cap > 1 else []),
    ]
    return _with_notes(head, rows, said, case, units)


def fewest_moves(
    inputs: Block, preload: float, units: System, uniformity: float, mean: float, at_once: float | None,
    table: Block | None,
) -> list[Row]:  # fmt: skip
    """The plan with the fewest moves for one, two and four wrenches."""
    case = read_case(inputs, units, table)
    together = [k for k in (1, 2, 4) if case.studs % k == 0] if at_once is None else [int(at_once)]
    if case.order and at_once is None:
        together = [1]
    sequences = {}
    for k in together:
        sequences[CROSS_ORDER, k] = as_moves(case.cross(k))
        sequences[CIRCULAR_ORDER, k] = as_moves(case.circular(k))
    wanted = Wanted(uniformity, mean)
    found = choice.search(case.joint, preload, sequences, wanted=wanted, limits=case.limits, snug=case.snug)
    step("fewest moves", "", float(found[0].moves), "number", "patterns x stages x circular passes, all tried in order",
         "elastic interaction")  # fmt: skip
    head: Row = ["wrenches at once", "plan", "moves", "mean kept (% of target)", "lowest kept (% of target)",
                 "coefficient of variation (%)", "highest momentary load (% of target)", "result"]  # fmt: skip
    rows: list[Row] = []
    for plan in found:
        result = "reaches what is wanted" if plan.met else "nearest of those tried"
        result += "; above 100 %: for review" if plan.raised else ""
        shares = (plan.mean, plan.lowest, plan.variation, plan.highest)
        rows.append([float(plan.at_once), passes_words(plan.passes), float(plan.moves),
                     *(Num(share, "percent") for share in shares), result])  # fmt: skip
    said = [
        f"Wanted: {wanted_words(wanted)}.",
        "Every plan starts from snug and ends with a circular pass at 100 %.",
        *([] if case.limits else ["No pass above 100 % was tried: it needs a stud maximum and a gasket maximum."]),
        *([RAISED] if any(plan.raised for plan in found) else []),
        NO_SCATTER,
        FRICTION,
    ]
    return _with_notes(head, rows, said, case, units)


def _plan(case: Case, passes: str, at_once: float) -> tuple[Pass, ...]:
    return plan_of(passes, case.cross(at_once), case.circular(at_once), case.rounds)


def _raised(plan: Sequence[Pass]) -> list[str]:
    return [RAISED] if any(float(np.max(each.fraction)) > 1 for each in plan) else []


def _percent(share: float) -> str:
    return f"{figure(100 * share, 4)} %"


def _with_notes(
    head: Row, rows: list[Row], said: Sequence[str], case: Case, units: System, more: Sequence[Assumed] = ()
) -> list[Row]:
    """The rows with a last column of notes beside them: the fixed wording first, assumptions last."""
    notes = [WORDING, *said, *case.said, MODEL, *(assumed_line(row, units) for row in (*case.assumed, *more))]
    wide = len(head)
    rows = rows + [[None] * wide for _ in range(len(notes) - len(rows))]
    notes += [""] * (len(rows) - len(notes))
    return [[*head, "note"], *([*row, note] for row, note in zip(rows, notes, strict=True))]
