"""Raised settings for one pass: one factor for all studs, or settings stud by stud; judged after the closing pass."""

from collections.abc import Sequence
from typing import Any

from addin.functions.calls_interaction import Block, Row, band_of, with_notes
from addin.functions.gate import Num
from addin.functions.interaction_inputs import Case, read_case
from addin.functions.interaction_words import (
    FOR_ENGINEER,
    NO_BAND,
    NO_SCATTER,
    RAISED,
    band_line,
    beyond_lines,
    passes_words,
    percent,
)
from addin.functions.steps import step
from calc.findings import stop
from calc.interaction import events, settings
from calc.interaction.events import Pass
from calc.interaction.plans import CIRCULAR_ORDER, as_moves, opening_of
from calc.interaction.settings import BY_STUD, Settings, Uplift
from calc.units import System

NOT_TURNED = 0.0201
"""A setting at the bottom of its range (2 %) turns no nut that was snug before."""


def one_factor_setting(
    inputs: Block, preload: float, units: System, cap: float, before: str, at_once: float, table: Block | None
) -> list[Row]:
    """One factor for all studs in the pass before the closing one, judged after the closing circular pass."""
    case, opening, moves, full = _raised_pass(inputs, units, cap, before, at_once, table)
    assert case.limits is not None  # `_raised_pass` has refused a cap without limits
    found = settings.one_factor_setting(
        case.joint, preload, moves, cap=cap, before=opening, check=case.circular(at_once), snug=case.snug,
        limits=case.limits, break_away=case.break_away,
    )  # fmt: skip
    step("factor on the target", "", found.factor, "percent", "factors in steps of 5 % up to the cap",
         "elastic interaction")  # fmt: skip
    head: Row = ["setting (% of target)", "lowest kept after the closing circular pass (% of target)",
                 "highest momentary load (% of target)", "remark"]  # fmt: skip
    rows: list[Row] = [
        [*(Num(share, "percent") for share in row), "smallest within half a point of the best"
         if abs(row[0] - found.factor) < 1e-3 else "plain" if row[0] == 1.0 else ""]
        for row in found.tried
    ]  # fmt: skip
    said = [
        FOR_ENGINEER,
        _order_line(opening, full),
        *([] if found.factor > 1 else ["No factor above 100 % helps within the cap: leave the pass plain."]),
        *beyond_lines(found.run.beyond, float(found.run.highest.max()), found.run.gasket_stress, case.limits, units),
        _variant_band(case, found.run, opening, moves, found.factor, at_once, preload),
        NO_SCATTER,
        RAISED,
    ]
    return with_notes(head, rows, said, case, units)


def one_pass_settings(
    inputs: Block, preload: float, units: System, cap: float, before: str, at_once: float, table: Block | None
) -> list[Row]:
    """Settings stud by stud that leave all studs near the target after one pass, up to a cap.

    The pass goes in cross order, or in circular order where a full pass goes before it. Where the plain pass or one
    factor for all is as good after the closing circular pass, that is said in place of settings.
    """
    case, opening, moves, full = _raised_pass(inputs, units, cap, before, at_once, table)
    found = settings.one_pass_settings(
        case.joint, preload, moves, cap=cap, before=opening, check=case.circular(at_once), snug=case.snug,
        limits=case.limits, break_away=case.break_away,
    )  # fmt: skip
    step("mean load kept after the closing circular pass", "F", float(found.run.kept[-1].mean()), "force",
         "settings T so that the loads after the pass are equal, T <= cap", "elastic interaction")  # fmt: skip
    head, rows = _by_stud(found, preload, units) if found.best == BY_STUD else _compared(found, preload)
    here, closing = (float(top / preload) for top in found.run.highest[len(opening) :])
    shares: Any = tuple((found.load / preload).tolist()) if found.best == BY_STUD else found.uplift.factor
    run = found.run if found.best == BY_STUD else found.uplift.run
    said = [
        FOR_ENGINEER,
        _order_line(opening, full),
        ways_line(found, preload),
        f"Highest momentary load with settings stud by stud {percent(here)} of the target (cap {percent(cap)}), in the"
        f" closing pass {percent(closing)}.",
        *(["The cap cannot be kept: a stud rises with its neighbours."] if here > cap * (1 + 1e-6) else []),
        *beyond_lines(run.beyond, float(run.highest.max()), run.gasket_stress, case.limits, units),
        _variant_band(case, run, opening, moves, shares, at_once, preload),
        NO_SCATTER,
        RAISED,
    ]
    return with_notes(head, rows, said, case, units)


def ways_line(found: Settings, target: float) -> str:
    """What the three ways leave the lowest stud after the closing circular pass, and which is worth its effort."""
    up = found.uplift
    plain, one, own = (percent(float(run.kept[-1].min()) / target) for run in (up.plain, up.run, found.run))
    said = (
        f"Lowest stud after the closing circular pass: {own} of the target with settings stud by stud, {one} with one"
        f" factor of {percent(up.factor)} for all, {plain} with neither."
    )
    if found.best == BY_STUD:
        return said
    if up.factor == 1.0 or found.best == settings.PLAIN:
        return f"{said} Settings stud by stud are not offered: the plain pass is as good."
    return f"{said} Settings stud by stud are not offered: one factor for all is as good."


def _by_stud(found: Settings, preload: float, units: System) -> tuple[Row, list[Row]]:
    force = units.symbol("force")
    head: Row = ["stud", f"setting ({force})", "setting (% of target)", f"kept after this pass ({force})",
                 f"kept after the closing circular pass ({force})", "remark"]  # fmt: skip
    rows: list[Row] = []
    for k in range(found.load.size):
        share = float(found.load[k] / preload)
        remark = "held back by the cap" if found.capped[k] else "nut not turned" if share < NOT_TURNED else ""
        rows.append([float(k + 1), Num(float(found.load[k]), "force"), Num(share, "percent"),
                     Num(float(found.kept[k]), "force"), Num(float(found.run.final[k]), "force"), remark])  # fmt: skip
    return head, rows


def _compared(found: Settings, preload: float) -> tuple[Row, list[Row]]:
    head: Row = ["this pass", "lowest kept after the closing circular pass (% of target)", "mean kept (% of target)",
                 "highest momentary load (% of target)"]  # fmt: skip
    up: Uplift = found.uplift
    ways = [("plain, 100 %", up.plain), ("stud by stud", found.run)]
    if up.factor > 1:
        ways.insert(1, (f"one factor for all, {percent(up.factor)}", up.run))
    rows: list[Row] = [
        [
            name,
            *(Num(float(x) / preload, "percent") for x in (run.kept[-1].min(), run.kept[-1].mean(), run.highest.max())),
        ]
        for name, run in ways
    ]
    return head, rows


def _raised_pass(
    inputs: Block, units: System, cap: float, before: str, at_once: float, table: Block | None
) -> tuple[Case, tuple[Pass, ...], events.Moves, bool]:
    """The joint, the passes before, the moves of the raised pass, and whether a full pass goes before it."""
    case = read_case(inputs, units, table)
    if not cap > 1:
        raise stop("cap_at_target", "cap", value=cap)
    if case.limits is None:
        raise stop("limits_needed", "cap", value=cap)
    opening = opening_of(before, case.cross(at_once))
    full = bool(opening) and opening[-1].fraction == 1.0
    return case, opening, case.circular(at_once) if full else as_moves(case.cross(at_once)), full


def _order_line(opening: Sequence[Pass], full: bool) -> str:
    order = "circular" if full else "cross"
    return f"After {passes_words(opening)}; this pass in {order} order; then a circular pass at 100 %."


def _variant_band(
    case: Case,
    run: events.EventRun,
    opening: Sequence[Pass],
    moves: events.Moves,
    share: Any,
    at_once: float,
    target: float,
) -> str:
    closing = Pass(1.0, as_moves(case.circular(at_once)), CIRCULAR_ORDER)
    around = band_of(case, run, [*opening, Pass(share, as_moves(moves), "raised"), closing])
    return band_line(around, target) if around else NO_BAND
