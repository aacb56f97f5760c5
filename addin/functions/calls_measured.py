"""Measured loads fed back: what they say of gasket and hub, and what is left after the passes to come."""

import re
from collections.abc import Sequence

import numpy as np

from addin.cells.numbers import is_blank, plain_text, read_number
from addin.functions.calls_interaction import Block, Row, with_notes
from addin.functions.gate import Num
from addin.functions.interaction_inputs import Case, read_case
from addin.functions.interaction_words import FOR_ENGINEER, passes_words, percent
from addin.functions.steps import step
from calc.findings import stop
from calc.hardware import threads
from calc.interaction import events, feedback
from calc.interaction.events import Pass
from calc.interaction.plans import CIRCULAR_ORDER, as_moves, opening_of
from calc.units import System

ERROR = 0.03
"""Error of a measured load where none is stated: one standard deviation; judgement, no source."""
NO_CARD = (
    "For the engineer's sheet: a card comes only from a new revision of the plan that somebody signs, under its"
    " ceilings."
)


def rest_from_measured(
    inputs: Block, preload: float, units: System, done: str, measured: Block, rounds: float, at_once: float,
    measuring_error: float, stud_yield: float | None,
) -> list[Row]:  # fmt: skip
    """Per stud: measured load, load of the fitted joint, and what is left after the circular passes to come."""
    case = read_case(inputs, units, None)
    assert case.stated is not None  # no table is taken here
    before = _done(case, done, at_once)
    loads = read_measured(measured, units)
    most = np.inf
    if stud_yield is not None:
        most = stud_yield * float(threads.tensile_area(case.stated.thread))
    fitted = feedback.fit(
        case.stated, preload, before, loads, error=measuring_error, stud_yield=most,
        scatter=case.scatter, snug=case.snug,
        break_away=case.break_away,
    )  # fmt: skip
    more = [Pass(1.0, as_moves(case.circular(at_once)), CIRCULAR_ORDER)] * int(rounds)
    then = feedback.rest(fitted, before, more, snug=case.snug, break_away=case.break_away)
    ahead = feedback.outlook(fitted, before, more, snug=case.snug, break_away=case.break_away)
    plain = events.run(case.joint, preload, [*before, *more], snug=case.snug, break_away=case.break_away)
    step("factor on the closure of the gasket", "", fitted.factor, "number",
         "fit of gasket, hub where not stated, and friction to the measured loads", "elastic interaction")  # fmt: skip
    force = units.symbol("force")
    head: Row = ["stud", f"measured ({force})", f"fitted joint, now ({force})", f"left after the rest ({force})",
                 "left after the rest (% of target)", f"left without the measurement ({force})"]  # fmt: skip
    now = then.kept[len(before) - 1]
    rows: list[Row] = [
        [float(k + 1), Num(loads[k + 1], "force") if k + 1 in loads else "not measured", Num(float(now[k]), "force"),
         Num(float(then.kept[-1][k]), "force"), Num(float(then.kept[-1][k]) / preload, "percent"),
         Num(float(plain.kept[-1][k]), "force")]
        for k in range(case.studs)
    ]  # fmt: skip
    return with_notes(head, rows, [NO_CARD, *_said(fitted, then, ahead, before, rounds), FOR_ENGINEER], case, units)


def _said(
    fitted: feedback.Fit, then: events.EventRun, ahead: feedback.Outlook, before: Sequence[Pass], rounds: float
) -> list[str]:
    target = then.target
    hub = "as stated" if np.isnan(fitted.hub) else f"{percent(fitted.hub)} of the flange thickness"
    said = [
        f"Done: {passes_words(before)}; to come: {rounds:.0f} circular at 100 %.",
        f"Fit: closure of the gasket {fitted.factor:.3g} times what was assumed, hub {hub}. Root mean square difference"
        f" of the measured loads {percent(fitted.before)} of the target before, {percent(fitted.after)} with gasket and"
        f" hub fitted; the rest is put down to friction and measurement ({fitted.left:.2g} times what they allow).",
    ]
    for k in range(len(before), len(then.kept)):
        kept = then.kept[k] / target
        said.append(
            f"After {k - len(before) + 1} of the circular passes to come: mean {percent(float(kept.mean()))}, lowest"
            f" {percent(float(kept.min()))} of the target."
        )
    mean, low, high = (percent(load / target) for load in (ahead.mean, ahead.low, ahead.high))
    said.append(
        f"Lowest stud at the end: {mean} of the target on average, {low} to {high} (P5 to P95), over all gaskets, hubs"
        f" and frictions that explain the measured loads ({len(fitted.ways)} were run on) and over the pulls to come."
    )
    return said


_DONE = re.compile(r"(?P<cross>[^+]*?)\s*(?:\+\s*(?P<round>\d{1,2})\s*)?")


def _done(case: Case, text: str, at_once: float) -> list[Pass]:
    """Passes done from a text like "30/60/100 + 1": cross passes, then circular ones at 100 %."""
    match = _DONE.fullmatch(text)
    cross = opening_of(match["cross"], case.cross(at_once)) if match else ()
    if match is None or not cross:
        raise stop("done_unknown", "done", text=text)
    circular = Pass(1.0, as_moves(case.circular(at_once)), CIRCULAR_ORDER)
    return [*cross, *[circular] * int(match["round"] or 0)]


def read_measured(cells: Block, units: System) -> dict[int, float]:
    """Measured loads by stud: two columns, stud and load; a heading is passed over, a blank load is not measured.

    A load of 0 is a load: a stud may have lost all of it.

    Raises InputError `measured_columns`, `measured_twice`, and those of a number.

    >>> from calc.units import system
    >>> read_measured([["Stud", "Load"], [1, 50], [2, None], [3, 0]], system("SI"))
    {1: 50000.0, 3: 0.0}
    """
    found: dict[int, float] = {}
    for number, row in enumerate(cells):
        if all(is_blank(cell) for cell in row):
            continue
        if len(row) < 2 or any(not is_blank(cell) for cell in row[2:]):
            raise stop("measured_columns", "measured")
        if number == 0 and isinstance(row[0], str) and plain_text(row[0]).lower().startswith("stud"):
            continue
        stud = int(read_number(row[0], "seed", None)) if not isinstance(row[0], str) else None
        if stud is None:
            raise stop("measured_columns", "measured")
        if is_blank(row[1]):
            continue
        if stud in found:
            raise stop("measured_twice", "measured", stud=stud)
        nothing = not isinstance(row[1], (str, bool)) and row[1] == 0
        found[stud] = 0.0 if nothing else float(read_number(row[1], "measured", units.symbol("force")))
    return found
