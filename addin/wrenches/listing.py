"""A sheet of a wrench book that is one table of things: its heading row, its columns, the names of its rows."""

from collections.abc import Mapping
from dataclasses import dataclass

from addin.cells.headings import Heading
from addin.cells.numbers import plain_text
from addin.cells.table_words import plain
from addin.workbooks.grid import Grid

Columns = dict[str, tuple[int, Heading]]
"""Field -> column and heading."""


@dataclass(frozen=True)
class Source:
    """Where a wrench, gauge or lubricant stands, its words as typed by field, and the units its sheet uses by kind."""

    sheet: str
    cell: str
    words: Mapping[str, str]
    units: Mapping[str, str]


def listing(grid: Grid, headings: Mapping[str, str], needed: tuple[str, ...]) -> tuple[Columns, range]:
    """Heading row of a sheet that is one table: its columns, and the rows below. Notes may stand after an empty row."""
    head = next((r for r in range(1, grid.last + 1) if _known(grid, r, headings) >= 2), 0)
    columns = grid.columns(head, headings) if head else {}
    missing = [text for text in needed if headings[text.lower()] not in columns]
    for text in missing:
        grid.stop("heading_missing", "heading", head, 1, text=text)
    if missing:
        return {}, range(0)
    end = grid.block_end(head)
    grid.warn_hidden()
    for row in range(end + 1, grid.last + 1):
        if len(grid.filled(row)) > 1:
            column = grid.filled(row)[0]
            grid.caution("row_not_used", "row", row, column, text=plain_text(grid.value(row, column)) or "formula")
    return columns, range(head + 1, end + 1)


def _known(grid: Grid, row: int, headings: Mapping[str, str]) -> int:
    return sum(
        1
        for c in grid.filled(row)
        if (heading := grid.heading(row, c)) and (heading.words in headings or plain(heading.words) in headings)
    )


def names_of(grid: Grid, rows: range, column: int, quantity: str, code: str) -> dict[int, str]:
    """Names by row; a name that stands twice is a stop for all its rows, and none of them is used."""
    names = {row: grid.take(grid.text, row, column, quantity) for row in rows}
    for row, name in names.items():
        if name == "":
            grid.stop("missing", quantity, row, column)
    places: dict[str, list[int]] = {}
    for row, name in names.items():
        if name:
            places.setdefault(name.casefold(), []).append(row)
    for where in places.values():
        for row in where if len(where) > 1 else ():
            grid.stop(code, quantity, row, column, text=names[row])
    return {where[0]: names[where[0]] or "" for where in places.values() if len(where) == 1}
