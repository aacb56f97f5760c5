"""The one reader of a calibration table: ranges, CSV files and wrench sheets alike.

Headings say what a column holds (`table_words`); where they stand and which rows hold points is found (`table_layout`,
`table_columns`, `table_values`). A table is used whole or not at all. What was done to read it is a note, what is odd
in it a caution, and what can hardly be a stop, with the cell.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from addin.cells.dates import read_day
from addin.cells.numbers import Cell, is_blank, plain_text
from addin.cells.table_columns import choose
from addin.cells.table_layout import Layout, TableColumn, join_blocks, lay_out
from addin.cells.table_values import agree, read_columns, rows_of_points
from calc.findings import CAUTION, NOTE, STOP, Finding, InputError, stop
from calc.wrench import calibration
from calc.wrench.calibration import Curve
from calc.wrench.ratings import Stated, against_stated
from calc.wrench.slips import proportional, slips

CONFIRMED = re.compile(r"\bconfirmed by:?\s+(?P<name>\S.*?),?\s+(?:on\s+)?(?P<day>\d{4}-\d{2}-\d{2})\b", re.IGNORECASE)
CONFIRMABLE = frozenset(("table_off_line", "table_step", "table_origin", "table_rough"))
"""What a person who has the certificate in hand may confirm: the wrench really gives this."""
OF_A_ROW = frozenset(("table_off_line", "table_step", "table_rated_pressure", "table_rated_torque", "table_work",
                      "table_work_low", "table_links"))  # fmt: skip
"""What is about one row: a point, or the last one, which is held against the ratings."""
DOUBTS = CONFIRMABLE | {"table_rated_pressure", "table_rated_torque", "table_work", "table_work_low", "table_links",
                        "table_confirmed"}  # fmt: skip


@dataclass(frozen=True, eq=False)
class CalibrationTable:
    """A table as read: pressures [Pa] and torques [N·m], rising, its units as shown, and what was found.

    `row` of a finding counts from 0 at the first row below the headings; its fact `at` is row and column in the block
    that was read, from 0. `printed` are the steps to which pressure and torque are rounded, `rows` those of
    the points, counted as the findings are.
    """

    pressure: np.ndarray
    torque: np.ndarray
    pressure_unit: str
    torque_unit: str
    findings: tuple[Finding, ...]
    printed: tuple[float, float] = (0.0, 0.0)
    rows: tuple[int, ...] = ()

    def curve(self) -> Curve:
        """The table as a curve. Raises InputError with the first stop found."""
        for finding in self.findings:
            if finding.level == STOP:
                raise InputError(finding)
        return calibration.curve(self.pressure, self.torque)

    def doubts(self, link: str = "") -> tuple[Finding, ...]:
        """Cautions about the table, for whoever uses it; one about a single row has its pressure as the fact `point`,
        one of a link's own table that `link`.
        """
        about = {"link": link} if link else {}
        return tuple(
            replace(f, facts={**f.facts, **about, **self._point(f)})
            for f in self.findings
            if f.level == CAUTION and f.code in DOUBTS
        )

    def _point(self, finding: Finding) -> dict[str, float]:
        if finding.code not in OF_A_ROW or finding.row not in self.rows:
            return {}
        return {"point": float(self.pressure[self.rows.index(finding.row)])}


def read_table(
    rows: Sequence[Sequence[Cell]], *, stated: Stated | None = None, holds: Mapping[str, str] | None = None,
    confirmed: str = "", left: int = 0,
) -> CalibrationTable:  # fmt: skip
    """Read a table of rows of cells, headings first.

    `stated` is what else is known of the wrench; `holds` names the column that holds by kind where there are several;
    `confirmed` by whom and when the table was confirmed although odd; `left` the columns of the sheet to the left.

    Raises InputError for what makes it unreadable: `table_headings`, `table_ask_...`, `unit_missing`, `heading_unit`,
    `table_gap` and others, and those of `numbers.read_number`.

    >>> t = read_table([["Pressure (bar)", "Torque (N·m)"], [100, 800], [200, 1650]])
    >>> float(t.torque[1]), t.pressure_unit
    (1650.0, 'bar')
    """
    if sum(any(not is_blank(cell) for cell in row) for row in rows) < 2:
        raise stop("table_headings", "table", headings=())
    layout = join_blocks(lay_out(rows))
    layout.left = left
    chosen = choose(layout, holds or {})
    points, left_out = rows_of_points(layout, chosen.by_kind)
    if not points:
        raise stop("table_too_short", "table", count=0, at=layout.place(layout.head, layout.columns[0].at))
    values, units, steps, said = read_columns(layout, chosen.by_kind, points)
    found = [*layout.notes, *chosen.findings, *left_out, *said]
    found += agree(layout, chosen.by_kind, values, steps, points)
    p_at, t_at = (_finest(chosen.by_kind[kind], values, steps, kind) for kind in ("pressure", "torque"))
    pressure, torque = np.array(values[p_at]), np.array(values[t_at])
    if pressure.size > 1 and np.all(np.diff(pressure) < 0) and np.all(np.diff(torque) < 0):
        pressure, torque, points = pressure[::-1], torque[::-1], points[::-1]
        found.append(Finding("table_highest_first", "table", {"at": layout.place(layout.head, p_at)}, NOTE))
    _refuse_branches(layout, pressure, points, p_at)
    printed = (steps[p_at], steps[t_at])
    odd = calibration.findings(pressure, torque)
    if not odd:
        confirmed = confirmed or _confirmed(layout)
        odd = slips(pressure, torque, printed=printed)
        odd += against_stated(pressure, torque, stated) if stated else []
        if stated and not confirmed and proportional(pressure, torque, printed=printed[1]):
            odd.append(Finding("table_proportional", "table", {}, CAUTION, len(pressure) - 1))
        odd = _as_confirmed(odd, confirmed)
    columns = dict.fromkeys(("table_duplicate", "table_not_rising", "table_too_short"), p_at)
    found += [_placed(finding, layout, points, columns.get(finding.code, t_at)) for finding in odd]
    numbers = tuple(layout.number(row) - 1 for row in points)
    return CalibrationTable(pressure, torque, units[p_at], units[t_at], tuple(found), printed, numbers)


def _finest(
    columns: Sequence[TableColumn], values: Mapping[int, Sequence[float]], steps: Mapping[int, float], kind: str
) -> int:
    """Of columns that say the same in several units the one that was not converted: round pressures, fine torques."""
    share = {column.at: steps[column.at] / max(values[column.at], default=1.0) for column in columns}
    pick = max if kind == "pressure" else min
    return pick(share, key=lambda at: share[at]) if len(columns) > 1 else columns[0].at


def _refuse_branches(layout: Layout, pressure: np.ndarray, points: Sequence[int], column: int) -> None:
    """Refuse rows whose pressure rises and then falls again: two runs below each other."""
    top = int(np.argmax(pressure)) if pressure.size else 0
    turned = np.diff(pressure)
    after = top + 1 if top + 2 < pressure.size and pressure[top] != pressure[top + 1] else top + 1
    if top >= 2 and after + 1 < pressure.size and np.all(turned[:top] > 0) and np.all(turned[after:] < 0):
        facts = {"number": layout.number(points[after]), "at": layout.place(points[after], column)}
        raise stop("table_ask_branches", "table", **facts)


def _placed(finding: Finding, layout: Layout, points: list[int], column: int) -> Finding:
    """A finding about a point with the row of the table it stands in."""
    if not points or finding.code in ("table_too_short", "table_confirmed"):
        return replace(finding, facts={**finding.facts, "at": layout.place(layout.head, column)})
    row = points[finding.row]
    return replace(finding, row=layout.number(row) - 1, facts={**finding.facts, "at": layout.place(row, column)})


def _as_confirmed(found: list[Finding], confirmed: str) -> list[Finding]:
    """What a person has confirmed is a caution, and says who."""
    if not confirmed or not any(finding.code in CONFIRMABLE for finding in found):
        return found
    kept = [replace(f, level=CAUTION) if f.code in CONFIRMABLE else f for f in found]
    return [*kept, Finding("table_confirmed", "table", {"by": confirmed}, CAUTION)]


def _confirmed(layout: Layout) -> str:
    """By whom and when, from a line "confirmed by NAME, 2026-03-14" over, under or beside the table."""
    for row in layout.cells:
        for cell in row:
            if isinstance(cell, str) and (match := CONFIRMED.search(plain_text(cell))):
                read_day(match["day"], "confirmed_on")
                return f"{match['name']}, {match['day']}"
    return ""
