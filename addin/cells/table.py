"""The one reader of a calibration table: ranges, CSV files and wrench sheets alike.

First row: headings with units, e.g. `Pressure (psi) | Torque (ft-lb)`. Further columns of the same quantity in other
units are checked against the first. Columns that differ in how they were taken (up/down, as found/as left,
nominal/measured) are asked about, never averaged.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from addin.cells.headings import Heading, split
from addin.cells.numbers import Cell, error_text, is_blank, plain_text, read_number
from calc.findings import CAUTION, STOP, Finding, InputError, stop
from calc.units import kinds_of, symbol
from calc.wrench import calibration
from calc.wrench.calibration import Curve

AGREE = 0.01
"""Two columns of one quantity may differ by this share, as printed tables round. Common practice, no source."""

_NAMES = {
    "pressure": {
        "",
        "pressure",
        "pump pressure",
        "gauge pressure",
        "hydraulic pressure",
        "oil pressure",
        "set pressure",
    },
    "torque": {"torque", "output torque", "torque output", "wrench torque"},
}
_ASK = ("up", "down", "increasing", "decreasing", "rising", "falling", "as found", "as left", "found", "left",
        "nominal", "measured", "actual", "target", "run", "before", "after", "mean", "average")  # fmt: skip


@dataclass(frozen=True, eq=False)
class Table:
    """A table as read: pressures [Pa] and torques [N·m] in its order, its units as shown, and what was found.

    `row` of a finding counts from 0 at the first row below the headings.
    """

    pressure: np.ndarray
    torque: np.ndarray
    pressure_unit: str
    torque_unit: str
    findings: tuple[Finding, ...]

    def curve(self) -> Curve:
        """The table as a curve. Raises InputError with the first stop found."""
        for finding in self.findings:
            if finding.level == STOP:
                raise InputError(finding)
        return calibration.curve(self.pressure, self.torque)


def read_table(rows: Sequence[Sequence[Cell]]) -> Table:
    """Read a table of rows of cells, headings first.

    Raises InputError for what makes it unreadable: `table_headings`, `table_ask`, `unit_missing`, `heading_unit`,
    `table_gap`, and those of `numbers.read_number`. Odd points are findings of the table.

    >>> t = read_table([["Pressure (bar)", "Torque (N·m)"], [100, 800], [200, 1650]])
    >>> float(t.torque[1]), t.pressure_unit
    (1650.0, 'bar')
    """
    if len(rows) < 2:
        raise stop("table_headings", "table", headings=())
    columns = _columns(rows[0])
    body = [list(row) for row in rows[1:]]
    used = [i for i, row in enumerate(body) if any(not is_blank(row[at]) for at, *_ in columns)]
    body = body[: used[-1] + 1] if used else []
    values: dict[int, list[float]] = {at: [] for at, *_ in columns}
    for number, row in enumerate(body):
        for at, kind, heading, unit in columns:
            if is_blank(row[at]):
                raise stop("table_gap", "table", heading=heading.text, number=number + 1)
            name = "pump_pressure" if kind == "pressure" else "torque"
            try:
                values[at].append(read_number(row[at], name, unit, kind=kind, ranged=kind == "torque" or number > 0))
            except InputError as error:
                f = error.finding
                raise stop(f.code, f.quantity, **f.facts, place=f"table row {number + 1}, '{heading.text}'") from None
    first = {kind: next(at for at, k, *_ in columns if k == kind) for kind in ("pressure", "torque")}
    unit_of = {at: symbol(kind, unit) for at, kind, _, unit in columns}
    findings = []
    for at, kind, heading, _ in columns:
        if at != first[kind]:
            a, b = np.array(values[first[kind]]), np.array(values[at])
            for i in np.flatnonzero(np.abs(b / a - 1) > AGREE):
                facts = {"heading": heading.text, "other": plain_text(rows[0][first[kind]]), "kind": kind,
                         "share": float(b[i] / a[i] - 1)}  # fmt: skip
                findings.append(Finding("table_columns_disagree", "table", facts, STOP, int(i)))
    pressure, torque = np.array(values[first["pressure"]]), np.array(values[first["torque"]])
    findings += calibration.findings(pressure, torque)
    findings += [
        Finding("table_column_ignored", "table", {"heading": plain_text(cell)}, CAUTION)
        for i, cell in enumerate(rows[0])
        if not is_blank(cell) and i not in values
    ]
    return Table(pressure, torque, unit_of[first["pressure"]], unit_of[first["torque"]], tuple(findings))


def _columns(cells: Sequence[Cell]) -> list[tuple[int, str, Heading, str]]:
    """Position, kind, heading and unit of every pressure and torque column."""
    found: list[tuple[int, str, Heading, str]] = []
    asked = []
    for at, cell in enumerate(cells):
        if is_blank(cell) or not isinstance(cell, str) or error_text(cell):
            continue
        heading = split(cell)
        kind = next((k for k, names in _NAMES.items() if heading.words and heading.words in names), None)
        if kind is None and not heading.words and heading.unit:
            kind = next((k for k in _NAMES if k in kinds_of(heading.unit)), None)
        if kind is None:
            measured = any(k in heading.words for k in _NAMES) or _is_reading(heading)
            if measured:
                asked.append(heading.text)
            continue
        if heading.doubled or heading.bracket:
            raise stop("heading_unit", "table", heading=heading.text)
        if heading.unit is None:
            raise stop("unit_missing", "table", text=heading.text, kind=kind)
        found.append((at, kind, heading, symbol(kind, heading.unit)))
    twice = [h.text for _, k, h, u in found if sum(k == k2 and u == u2 for _, k2, _, u2 in found) > 1]
    if asked or twice:
        raise stop("table_ask", "table", headings=tuple(twice + asked))
    if {kind for _, kind, *_ in found} != {"pressure", "torque"}:
        raise stop("table_headings", "table", headings=tuple(plain_text(cell) for cell in cells if not is_blank(cell)))
    return found


def _is_reading(heading: Heading) -> bool:
    """Whether an unknown heading looks like another reading of pressure or torque, so that the user must say."""
    in_units = bool(heading.unit) and any(kind in kinds_of(heading.unit or "") for kind in _NAMES)
    return in_units or any(f" {word} " in f" {heading.words} " for word in _ASK)
