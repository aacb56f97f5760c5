"""What the functions about interaction calculate: inputs of a joint in, rows with the fixed wording out."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from addin.cells.numbers import Cell
from addin.cells.words import amount
from addin.functions.gate import Num
from addin.functions.interaction_inputs import Case, read_case
from addin.functions.interaction_words import (
    BEFORE_RELAXING,
    FRICTION,
    MODEL,
    NO_BAND,
    NO_SCATTER,
    RAISED,
    WORDING,
    assumed_line,
    band_line,
    beyond_lines,
    passes_words,
    percent,
)
from addin.functions.steps import step
from calc.findings import stop
from calc.interaction import choice, events, samples
from calc.interaction.band import Band, band
from calc.interaction.choice import Wanted
from calc.interaction.dimensions import Assumed
from calc.interaction.elastic import interaction_table as table_of
from calc.interaction.events import Pass
from calc.interaction.plans import CIRCULAR_ORDER, CROSS_ORDER, as_moves, plan_of
from calc.units import System

Block = Sequence[Sequence[Cell]]
Row = list[Any]


def residual_preload(
    inputs: Block, preload: float, units: System, passes: str, at_once: float, table: Block | None
) -> list[Row]:
    """Per stud: estimated kept load after all passes, P5 and P95 of the assumed scatter, and the model band."""
    case = read_case(inputs, units, table)
    plan = _plan(case, passes, at_once)
    found = samples.residual_preload(
        case.joint, preload, plan, seed=case.seed, samples=case.samples, scatter=case.scatter, snug=case.snug,
        limits=case.limits, break_away=case.break_away,
    )  # fmt: skip
    step("kept load of each stud", "F", float(found.kept.mean()), "force",
         "F += a[:, i] (T - F_i) move by move; mean of all studs", "elastic interaction")  # fmt: skip
    force = units.symbol("force")
    head: Row = ["stud", f"estimated kept load ({force})", f"P5 of the assumed scatter ({force})",
                 f"P95 of the assumed scatter ({force})", "estimated kept load (% of target)"]  # fmt: skip
    rows: list[Row] = [
        [float(stud), Num(kept, "force"), Num(low, "force"), Num(high, "force"), Num(kept / preload, "percent")]
        for stud, kept, low, high in zip(
            range(1, case.studs + 1), found.kept.tolist(), found.low.tolist(), found.high.tolist(), strict=True
        )
    ]
    around = band_of(case, found.run, plan)
    if around:
        head += [f"model band low ({force})", f"model band high ({force})"]
        for row, low, high in zip(rows, *around.final.tolist(), strict=True):
            row += [Num(low, "force"), Num(high, "force")]
    said = [
        f"Plan: {passes_words(plan)}; {case.samples} samples, seed {case.seed}.",
        band_line(around, preload) if around else NO_BAND,
        *relaxed_line(found.run),
        f"P5 of the lowest stud of a joint: {percent(found.lowest / preload)} of the target.",
        *limit_lines(case, found, units),
        *_raised(plan),
    ]
    return with_notes(head, rows, said, case, units, case.scatter_assumed)


def relaxed_line(run: events.EventRun) -> list[str]:
    """What the gasket's relaxing takes in this joint, after the last pass."""
    lost = 1 - float(run.final.mean() / run.kept[-1].mean()) if run.kept[-1].mean() > 0 else 0.0
    return [f"The gasket relaxes after the last pass: {percent(lost)} of the mean load, in the numbers above."] * (
        lost > 0
    )


def limit_lines(case: Case, found: samples.Residual, units: System) -> list[str]:
    """What the plan does to the limits: without scatter, and how often with it."""
    if case.limits is None:
        return []
    run, limits = found.run, case.limits
    return [
        *beyond_lines(run.beyond, float(run.highest.max()), run.gasket_stress, limits, units),
        f"Highest load of any stud on the way: P95 {amount(found.highest, 'force', units, 4)}, limit"
        f" {amount(limits.stud_load, 'force', units, 4)}; a stud passes it in {percent(found.above)} of the joints.",
    ]


def band_of(case: Case, run: events.EventRun, plan: Sequence[Pass]) -> Band | None:
    """The model band of a plan that was run; None for a joint from a table."""
    if case.stated is None:
        return None
    return band(case.stated, run, plan, snug=case.snug, limits=case.limits, break_away=case.break_away)


def pass_progress(
    inputs: Block, preload: float, units: System, passes: str, at_once: float, table: Block | None
) -> list[Row]:
    """After each pass: mean, lowest, coefficient of variation of the kept load, highest momentary load, band."""
    case = read_case(inputs, units, table)
    plan = _plan(case, passes, at_once)
    run = events.run(case.joint, preload, plan, snug=case.snug, limits=case.limits, break_away=case.break_away)
    found = events.progress(run)
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
    around = band_of(case, run, plan)
    if around:
        head += [f"mean, band low ({force})", f"mean, band high ({force})", f"lowest, band low ({force})",
                 f"lowest, band high ({force})", f"gasket closure, difference ({units.symbol('length')})"]  # fmt: skip
        for k, row in enumerate(rows):
            row += [Num(float(end[k]), "force") for end in (*around.mean, *around.lowest)]
            row.append(Num(float(found.uneven[k]), "length"))
    said = [
        f"{NO_SCATTER} {BEFORE_RELAXING}",
        band_line(around, preload) if around else NO_BAND,
        circular_line(case, preload, plan, at_once),
        *beyond_lines(run.beyond, float(run.highest.max()), run.gasket_stress, case.limits, units),
        *_raised(plan),
    ]
    return with_notes(head, rows, said, case, units)


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
    parts = [f"a coefficient of variation of at most {percent(wanted.uniformity)}"]
    parts += [
        f"{name} of {percent(share)} of the target"
        for name, share in (("a mean", wanted.mean), ("a lowest stud", wanted.lowest),
                            ("a P5 of the lowest stud", wanted.p5))
        if share
    ]  # fmt: skip
    return f"{', '.join(parts[:-1])} and {parts[-1]}"


MOST_CIRCULAR = 8


def circular_count(
    case: Case, preload: float, opening: Sequence[Pass], at_once: float
) -> tuple[int | None, events.EventRun]:
    """Circular passes that an opening needs until the kept load is even and high enough, and the run with them."""
    circular = as_moves(case.circular(at_once))
    return choice.circular_passes(
        case.joint, preload, opening, circular, most=MOST_CIRCULAR, snug=case.snug, limits=case.limits,
        break_away=case.break_away,
    )  # fmt: skip


def interaction_table(inputs: Block, preload: float, units: System, gasket_line: str) -> list[Row]:
    """The table of interaction from dimensions; a column is the stud that is raised, a row the stud that answers."""
    case = read_case(inputs, units, None)
    known = ("loading", "unloading")
    if gasket_line.lower() not in known:
        raise stop("word_unknown", "gasket_line", text=gasket_line, known=known)
    assert case.dimensions is not None
    loading = gasket_line.lower() == "loading"
    table = table_of(case.dimensions, preload / 2 if loading else preload, loading=loading)
    step("change of a neighbour for a rise of 1", "a21", float(table[1, 0]), "number",
         "a = k I - k² S, S flexibility of ring, studs and gasket; a / a11", "elastic interaction")  # fmt: skip
    rows: list[Row] = [[float(stud), *map(float, row)] for stud, row in enumerate(table, start=1)]
    said = [
        "Column: the stud that is raised by 1. Row: what the load of each stud changes by.",
        "Gasket on its loading curve at half the target, as in a first pass; one table for all passes overstates what"
        " studs lose once the gasket has been closed."
        if loading
        else "Gasket on its unloading line, as in a circular pass after full load; fed back as a table it overstates"
        " what studs keep: nothing of the first closing of the gasket is in it.",
    ]
    head: Row = ["stud", *map(float, range(1, case.studs + 1))]
    return with_notes(head, rows, said, case, units)


MOST_SEARCHED = 64
"""Studs for which a search of plans takes about a minute with one number of wrenches."""
MOST_SEARCHED_TOGETHER = 40
"""The same with one, two and four."""


def refuse_long(case: Case, together: Sequence[int]) -> None:
    """Refuse in a cell what would take minutes: InputError `search_long`."""
    most = MOST_SEARCHED if len(together) == 1 else MOST_SEARCHED_TOGETHER
    if case.dimensions is not None and case.studs > most:
        raise stop("search_long", "studs", value=case.studs, limit=most, alone=MOST_SEARCHED)


def fewest_moves(
    inputs: Block, preload: float, units: System, uniformity: float, mean: float, at_once: float | None,
    table: Block | None, lowest: float | None, p5: float | None,
) -> list[Row]:  # fmt: skip
    """The plan with the fewest moves for one, two and four wrenches."""
    case = read_case(inputs, units, table)
    together = [k for k in (1, 2, 4) if case.studs % k == 0] if at_once is None else [int(at_once)]
    if case.order and at_once is None:
        together = [1]
    refuse_long(case, together)
    sequences = {}
    for k in together:
        sequences[CROSS_ORDER, k] = as_moves(case.cross(k))
        sequences[CIRCULAR_ORDER, k] = as_moves(case.circular(k))
    wanted = Wanted(uniformity, mean, lowest or 0.0, p5 or 0.0)
    found = choice.search(
        case.joint, preload, sequences, wanted=wanted, limits=case.limits, snug=case.snug, break_away=case.break_away,
        seed=case.seed, scatter=case.scatter,
    )  # fmt: skip
    step("fewest moves", "", float(found[0].moves), "number", "patterns x stages x circular passes, all tried in order",
         "elastic interaction")  # fmt: skip
    head: Row = ["wrenches together", "plan", "moves", "mean kept (% of target)", "lowest kept (% of target)",
                 "coefficient of variation (%)", "highest momentary load (% of target)", "result"]  # fmt: skip
    rows: list[Row] = []
    for plan in found:
        shares = (plan.mean, plan.lowest, plan.variation, plan.highest)
        row: Row = [float(plan.at_once), passes_words(plan.passes), float(plan.moves),
                    *(Num(share, "percent") for share in shares), _result(plan)]  # fmt: skip
        if case.stated is not None:
            base = events.run(
                case.joint, preload, plan.passes, snug=case.snug, limits=case.limits, break_away=case.break_away
            )
            around = band_of(case, base, plan.passes)
            assert around is not None
            row += [Num(float(end[-1]) / preload, "percent") for end in around.lowest]
            row.append(Num(plan.uneven, "length"))
        if p5:
            row.append(Num(plan.p5, "percent") if plan.p5 == plan.p5 else "not reached before")
        rows.append(row)
    if case.stated is not None:
        head += ["lowest, model band low (% of target)", "lowest, model band high (% of target)",
                 f"gasket closure, largest difference ({units.symbol('length')})"]  # fmt: skip
    if p5:
        head.append("P5 of the lowest stud (% of target)")
    said = [
        f"Wanted: {wanted_words(wanted)}.",
        "Every plan starts from snug and ends with a circular pass at 100 %; one that goes across first closes the"
        " gasket more evenly and is shown beside one that goes round.",
        *_feasible(found),
        *([] if case.limits else ["No pass above 100 % was tried: it needs a stud maximum and a gasket maximum."]),
        *([RAISED] if any(plan.raised for plan in found) else []),
        f"{NO_SCATTER} {BEFORE_RELAXING}",
        FRICTION,
    ]
    return with_notes(head, rows, said, case, units)


def _result(plan: choice.Choice) -> str:
    above = [name for code, name in (("stud_limit", "stud"), ("gasket_limit", "gasket")) if code in plan.beyond]
    parts = ["reaches what is wanted" if plan.met else "nearest of those tried"]
    parts += [f"ABOVE THE LIMIT of the {' and the '.join(above)}"] if above else []
    parts += ["above 100 %: for review"] if plan.raised else []
    return "; ".join(parts)


def _feasible(found: Sequence[choice.Choice]) -> list[str]:
    """Where some numbers of wrenches reach what is wanted and others do not: which."""
    met = sorted({plan.at_once for plan in found if plan.met})
    missed = sorted({plan.at_once for plan in found} - set(met))
    if not met or not missed:
        return []
    words = [" and ".join(str(k) for k in some) for some in (missed, met)]
    return [f"With {words[0]} together no plan tried reaches it within the limits; with {words[1]} together one does."]


def _plan(case: Case, passes: str, at_once: float) -> tuple[Pass, ...]:
    return plan_of(passes, case.cross(at_once), case.circular(at_once), case.rounds)


def _raised(plan: Sequence[Pass]) -> list[str]:
    return [RAISED] if any(float(np.max(each.fraction)) > 1 for each in plan) else []


def with_notes(
    head: Row, rows: list[Row], said: Sequence[str], case: Case, units: System, more: Sequence[Assumed] = ()
) -> list[Row]:
    """The rows with a last column of notes beside them: the fixed wording first, assumptions last."""
    notes = [WORDING, *said, *case.said, MODEL, *(assumed_line(row, units) for row in (*case.assumed, *more))]
    wide = len(head)
    rows = rows + [[None] * wide for _ in range(len(notes) - len(rows))]
    notes += [""] * (len(rows) - len(notes))
    return [[*head, "note"], *([*row, note] for row, note in zip(rows, notes, strict=True))]
