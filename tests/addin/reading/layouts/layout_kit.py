"""What a layout is: a builder of one invented workbook, and the reading that it must get, as data.

The readings are worked out by hand from what the builder writes, with the factors below (NIST SP 811, from memory;
the inch and the pound-force are exact by definition). Nothing here comes from the program.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

INCH = 0.0254
LBF = 0.45359237 * 9.80665
PSI = LBF / INCH**2
KSI = 1000 * PSI
FTLB = LBF * 12 * INCH
MPA, BAR, KN, KGFM = 1e6, 1e5, 1e3, 9.80665


def inch(size: float, tpi: int) -> tuple[float, float]:
    """Diameter and pitch of an inch thread. [m]"""
    return size * INCH, INCH / tpi


def metric(size: float, pitch: float) -> tuple[float, float]:
    """Diameter and pitch of a metric thread. [m]"""
    return size / 1000, pitch / 1000


@dataclass
class Layout:
    """One workbook and its reading.

    fields: column letter -> (field, unit as shown or None); rows: one dict per joint row, "row" is the sheet's row
    number, numbers in SI, threads as (diameter, pitch), dates as ISO text, a field that is left out is blank there;
    a value {"stop": code} is a cell that must stop its row. deserves: questions that the layout earns, as (kind,
    column letter or ""); kinds are "field", "unit", "twice", "whole list". answers: what a person answers, column
    letter -> field or (field, unit), or "whole list" -> constants, or "standard flange studs" -> True. said:
    what must be told, kind -> rows or column letters.
    """

    name: str
    build: Callable[[Workbook], None]
    sheet: str
    heading_row: int
    fields: dict[str, tuple[str, str | None]]
    rows: list[dict[str, Any]]
    deserves: set[tuple[str, str]] = field(default_factory=set)
    answers: dict[str, Any] = field(default_factory=dict)
    said: dict[str, list[Any]] = field(default_factory=dict)


LAYOUTS: dict[str, Layout] = {}


def layout(**data: Any) -> Callable[[Callable[[Workbook], None]], Callable[[Workbook], None]]:
    """Register a builder with its reading."""

    def keep(build: Callable[[Workbook], None]) -> Callable[[Workbook], None]:
        LAYOUTS[build.__name__] = Layout(build.__name__, build, **data)
        return build

    return keep


def sheet(book: Workbook, name: str) -> Worksheet:
    """A new sheet; the first one takes the sheet that a new workbook has."""
    first = book.worksheets[0]
    if len(book.worksheets) == 1 and first.max_row == 1 and first.max_column == 1 and first["A1"].value is None:
        first.title = name
        return first
    return book.create_sheet(name)


def grid(ws: Worksheet, row: int, lines: Sequence[Sequence[Any]], column: int = 1) -> int:
    """Write lines of cells; the row below them."""
    for i, line in enumerate(lines):
        for k, value in enumerate(line):
            if value is not None:
                ws.cell(row + i, column + k).value = value
    return row + len(lines)


def rows(fields: Sequence[str], first: int, lines: Sequence[Sequence[Any]]) -> list[dict[str, Any]]:
    """Rows of a reading: consecutive ones from `first`, or with their own number in front where `first` is 0."""
    made = []
    for i, line in enumerate(lines):
        number, values = (first + i, line) if first else (line[0], line[1:])
        known = {name: value for name, value in zip(fields, values, strict=True) if value is not None}
        made.append({"row": number, **known})
    return made
