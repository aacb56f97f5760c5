"""The calibration tables on a wrench sheet: where one begins and ends, and every finding at its cell."""

from collections.abc import Mapping

from addin.cells.table import CalibrationTable, read_table
from addin.cells.table_layout import begins_table
from addin.workbooks.grid import Grid
from addin.wrenches.labels import field_of
from addin.wrenches.sheet_links import is_links
from calc.findings import Finding, InputError
from calc.wrench.ratings import Stated

MOST_TITLES = 3
"""Rows right above the headings that may say how the table was taken."""


def is_table(grid: Grid, row: int) -> bool:
    """Whether the headings of a calibration table begin in a row."""
    return begins_table([_cells(grid, each) for each in range(row, row + 3)])


def table_start(grid: Grid, head: int) -> int:
    """The first row that belongs to a table with headings in `head`: titles right above it do."""
    row = head
    while head - row < MOST_TITLES and grid.filled(row - 1):
        above = row - 1
        if field_of(grid.heading(above, 1)) or is_links(grid, above):
            break
        if not all(isinstance(grid.value(above, column), str) for column in grid.filled(above)):
            break
        row = above
    return row


def read_sheet_table(
    grid: Grid, head: int, *, stated: Stated, holds: Mapping[str, str], confirmed: str
) -> tuple[CalibrationTable | None, bool]:
    """The table as read, None when it cannot be, and whether it may be used; findings go to the grid."""
    start, end = table_start(grid, head), grid.block_end(head)
    uncached = [(row, column) for row in range(start, end + 1) for column in grid.filled(row)
                if (row, column) in grid.uncached]  # fmt: skip
    if uncached:
        grid.add(Finding("stale_formula", "table"), *uncached[0])
        return None, False
    rows = [_cells(grid, row) for row in range(start, end + 1)]
    try:
        table = read_table(rows, stated=stated, holds=holds, confirmed=confirmed)
    except InputError as error:
        grid.add(error.finding, *_place(error.finding, start, head, grid))
        return None, False
    for finding in table.findings:
        grid.add(finding, *_place(finding, start, head, grid))
    return table, not any(finding.level == "stop" for finding in table.findings)


def _place(finding: Finding, start: int, head: int, grid: Grid) -> tuple[int, int]:
    at = finding.facts.get("at")
    return (start + at[0], at[1] + 1) if at else (head, grid.filled(head)[0])


def _cells(grid: Grid, row: int) -> list[object]:
    return [grid.value(row, column) for column in range(1, max(grid.filled(row), default=0) + 1)]
