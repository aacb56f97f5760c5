"""The settings of every pass for a whole column of torques: one row a joint."""

from typing import Any

import numpy as np

from addin.cells.numbers import Cell, is_blank
from addin.cells.texts import STOP, is_stop
from addin.cells.words import line
from addin.functions.calls import rounding_named, setpoint
from addin.functions.gate import MOST_ROWS, Arg, one
from calc.findings import Finding, InputError, stop
from calc.procedure import passes
from calc.units import System, factor, from_si
from calc.wrench import calibration
from calc.wrench.calibration import Curve, Marks

_TORQUE = Arg("torque", "torque", "")
OTHER = "other means"


def pass_settings(
    torque: list[list[Cell]], table: Curve, units: System, scheme: str, graduation: Any, rounding: str, tolerance: Any,
    link_factor: float,
) -> list[list[Any]]:  # fmt: skip
    """A heading and a row for every cell: what to set in each pass, and why not in the last column.

    A blank cell gives a blank row. Passes that are set by hand have no column.
    """
    if any(len(row) > 1 for row in torque):
        raise stop("single_needed", "torque", count=max(len(row) for row in torque))
    if len(torque) > MOST_ROWS:
        raise stop("too_many_rows", "torque", rows=len(torque), limit=MOST_ROWS)
    stages = tuple(stage for stage in passes.scheme(scheme) if stage.fraction is not None)
    values, faults = np.full(len(torque), np.nan), dict[int, str]()
    for i, (cell,) in enumerate(torque):
        try:
            if is_stop(cell):
                faults[i] = str(cell)
            elif not is_blank(cell):
                values[i] = one(_TORQUE, cell, units)
        except InputError as error:
            faults[i] = f"{STOP}: {line(error.finding, units)}"
    rows = np.flatnonzero(~np.isnan(values))
    shown, wrong = _settings(values[rows], stages, table, units, graduation, rounding, tolerance, link_factor)
    faults |= {int(rows[i]): f"{STOP}: {line(finding, units)}" for i, finding in wrong.items()}
    result: list[list[Any]] = [[*(_heading(stage) for stage in stages), "message"]]
    place = {int(row): i for i, row in enumerate(rows)}
    for i in range(len(torque)):
        if i in faults:
            result.append([*[STOP] * len(stages), faults[i]])
        elif i in place:
            result.append([*(OTHER if np.isnan(each) else float(each) for each in shown[place[i]]), None])
        else:
            result.append([None] * (len(stages) + 1))
    return result


def _heading(stage: passes.Stage) -> str:
    percent = f"{(stage.fraction or 0) * 100:.10g} %"
    return percent if stage.words == "cross" else f"{percent} {stage.words}"


def _settings(
    torque: Any, stages: tuple[passes.Stage, ...], table: Curve, units: System, graduation: Any, rounding: str,
    tolerance: Any, link_factor: float,
) -> tuple[Any, dict[int, Finding]]:  # fmt: skip
    """What stands on the gauge, a row for each torque and a column for each pass, and what is refused, by row."""
    final = setpoint(torque, table, units, graduation, rounding, tolerance, link_factor)
    faults, curve, unit = dict(final.faults), table.scaled(link_factor), units.symbol("pressure")
    if graduation is None:
        return from_si(calibration.pressure_for(curve, passes.stage_torque(torque, stages)), "pressure", unit), faults
    marks = Marks(graduation, factor("pressure", unit))
    s = passes.stage_settings(curve, torque, stages, marks, rounding=rounding_named(rounding))
    allowed = max(passes.STAGE_TOLERANCE, 0.0 if tolerance is None else tolerance)
    wanted = passes.stage_torque(torque, stages)
    for row, column in np.argwhere(np.abs(s.difference) > allowed):
        stage = stages[column]
        facts = {name: getattr(s, field)[row, column] for name, field in
                 (("pressure", "pressure"), ("given", "torque"), ("difference", "difference"))}  # fmt: skip
        faults.setdefault(int(row), Finding("stage_tolerance", "stage", {
            **facts, "number": stage.number, "torque": wanted[row, column], "tolerance": allowed,
        }))  # fmt: skip
    return marks.shown(s.count), faults
