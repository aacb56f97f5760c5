"""Procedures side by side, and circular passes until every stud keeps enough: what they leave and what they cost."""

import numpy as np

from addin.functions.calls_interaction import MOST_CIRCULAR, Block, Row, refuse_long, with_notes
from addin.functions.gate import Num
from addin.functions.interaction_inputs import Case, read_case
from addin.functions.interaction_words import (
    BEFORE_RELAXING,
    FRICTION,
    NO_BAND,
    NO_SCATTER,
    RAISED,
    passes_words,
    percent,
)
from addin.functions.steps import step
from calc.interaction import choice, procedures
from calc.interaction.plans import as_moves, opening_of
from calc.units import System
from calc.wrench import duration


def compare_procedures(
    inputs: Block, preload: float, units: System, at_once: float | None, move_time: float | None, table: Block | None
) -> list[Row]:
    """The published schemes, one with a stage left out and one with a raised pass, for one, two and four wrenches."""
    case = read_case(inputs, units, table)
    together = [k for k in (1, 2, 4) if case.studs % k == 0] if at_once is None else [int(at_once)]
    if case.order and at_once is None:
        together = [1]
    refuse_long(case, together)
    tried = [
        each
        for k in together
        for each in procedures.usual(case.cross(k), case.circular(k), k, raised=case.limits is not None)
    ]
    found = procedures.compare(
        case.joint, preload, tried, stated=case.stated, limits=case.limits, snug=case.snug,
        break_away=case.break_away, seed=case.seed, scatter=case.scatter,
    )  # fmt: skip
    step("procedures compared", "", float(len(found)), "number", source="elastic interaction")
    head: Row = ["procedure", "wrenches together", "moves", "mean kept (% of target)", "lowest kept (% of target)",
                 "P5 of the lowest stud (% of target)", "highest momentary load (% of target)", "remark"]  # fmt: skip
    if case.stated is not None:
        head += ["lowest, model band low (% of target)", "lowest, model band high (% of target)",
                 f"gasket closure, largest difference ({units.symbol('length')})"]  # fmt: skip
    timed = move_time is not None or case.strokes is not None
    if timed:
        head.append("time (min)")
    rows: list[Row] = []
    for each in found:
        name, k = each.procedure.name, each.procedure.at_once
        shares = (each.mean, each.lowest, each.p5, each.highest)
        row: Row = [name, float(k), float(each.moves), *(Num(share, "percent") for share in shares), _remark(each)]
        if case.stated is not None:
            row += [Num(each.low, "percent"), Num(each.high, "percent"), Num(each.uneven, "length")]
        if timed:
            row.append(Num(_time(each, case, preload, move_time), "time"))
        rows.append(row)
    said = [
        "Every procedure starts from snug and ends with a circular pass at 100 %.",
        *([] if case.limits else ["No raised pass was compared: it needs a stud maximum and a gasket maximum."]),
        *([RAISED] if case.limits else []),
        *([] if case.stated is not None else [NO_BAND]),
        f"{NO_SCATTER[:-1]}, the P5 apart. {BEFORE_RELAXING}",
        *([_STROKES] if case.strokes is not None and move_time is None else []),
        FRICTION,
    ]
    return with_notes(head, rows, said, case, units)


_STROKES = (
    f"Time: a nut turns by the stretch of its stud, the least there is; {duration.MOVE:.0f} s to take the wrench to the"
    f" next nut, {duration.CONFIRM} stroke more on each to see that it stands; no waits (common practice, no source)."
)


def _time(each: procedures.Outcome, case: Case, preload: float, move_time: float | None) -> float:
    """Time of a procedure [s], by the time of a move where that is stated, else by the wrench's strokes."""
    if move_time is not None:
        return each.moves * move_time
    assert case.strokes is not None
    fractions = [float(np.max(one.fraction)) for one in each.procedure.passes]
    return case.strokes.seconds(preload, case.studs, fractions, each.procedure.at_once)


def _remark(each: procedures.Outcome) -> str:
    above = [name for code, name in (("stud_limit", "stud"), ("gasket_limit", "gasket")) if code in each.beyond]
    return f"ABOVE THE LIMIT of the {' and the '.join(above)}; for review" if above else ""


def circular_passes_needed(
    inputs: Block, preload: float, units: System, before: str, lowest: float, p5: float | None, at_once: float,
    table: Block | None,
) -> list[Row]:  # fmt: skip
    """Circular passes after the cross passes until every stud keeps enough, and what each of them leaves."""
    case = read_case(inputs, units, table)
    opening = opening_of(before, case.cross(at_once))
    wanted = choice.Wanted(1.0, 0.1, lowest, p5 or 0.0)
    count, run = choice.circular_passes(
        case.joint, preload, opening, as_moves(case.circular(at_once)), wanted=wanted, most=MOST_CIRCULAR,
        snug=case.snug, limits=case.limits, break_away=case.break_away, seed=case.seed, scatter=case.scatter,
    )  # fmt: skip
    step("circular passes", "", float(count or MOST_CIRCULAR), "number", source="elastic interaction")
    head: Row = ["circular passes", "mean kept (% of target)", "lowest kept (% of target)", "moves so far"]
    rows: list[Row] = []
    for k in range(len(opening), len(run.kept)):
        kept = run.kept[k] / preload
        rows.append(
            [
                float(k - len(opening) + 1),
                Num(float(kept.mean()), "percent"),
                Num(float(kept.min()), "percent"),
                float(run.moves[k]),
            ]
        )
    asked = f"a lowest stud of {percent(lowest)}" + (f" and a P5 of the lowest stud of {percent(p5)}" if p5 else "")
    away = f"{percent(case.break_away)} below its setting" if case.break_away else "below its setting at all"
    said = [
        f"After {passes_words(opening)}: "
        + (f"{count} circular passes" if count else f"{MOST_CIRCULAR} circular passes do not do")
        + f" for {asked} of the target.",
        f"A nut moves where its stud is {away} (break-away among the inputs); go on until no nut turns.",
        f"{NO_SCATTER} {BEFORE_RELAXING}",
    ]
    return with_notes(head, rows, said, case, units)
