"""Charts of the engineer's workbook: kept load round the joint after each pass with its band, along and as a circle."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from addin.workbooks.row_by_row import RowBook

_COLOURS = ("#9AA5B1", "#C58B2A", "#3B7A57", "#1F4E79", "#7A3E6D", "#B03A2E", "#4F6D7A", "#2E2E2E")
_BAND, _TARGET = "#B03A2E", "#2E2E2E"


@dataclass(frozen=True)
class Course:
    """What is drawn: loads of every stud after each pass with the pass's name, and the model band after the last."""

    unit: str
    target: float
    passes: tuple[tuple[str, Sequence[float]], ...]
    low: Sequence[float]
    high: Sequence[float]


def columns_of(course: Course) -> list[tuple[str, Sequence[float]]]:
    """The columns that are drawn, each with its heading."""
    share = [100 / course.target * load for load in course.passes[-1][1]]
    return [
        ("Stud", range(1, len(course.low) + 1)), *course.passes, ("model band low", course.low),
        ("model band high", course.high), ("after the last pass (% of target)", share),
        ("model band low (% of target)", [100 / course.target * load for load in course.low]),
        ("model band high (% of target)", [100 / course.target * load for load in course.high]),
        ("target", [100.0] * len(course.low)),
    ]  # fmt: skip


def draw(book: RowBook, sheet: Any, name: str, course: Course, left: int, top: int, rows: tuple[int, int]) -> None:
    """Put both charts on rows of a sheet, from its numbers at column `left` with their headings in row `top`."""
    studs, count = len(course.low), len(course.passes)

    def column_of(k: int) -> list[str | int]:
        return [name, top, left + k - 1, top + studs - 1, left + k - 1]

    def series(k: int, colour: str, *, dashed: bool, marked: bool) -> dict[str, Any]:
        line = {"color": colour, "width": 1 if dashed else 1.5} | ({"dash_type": "dash"} if dashed else {})
        marker = {"type": "circle", "size": 5, "fill": {"color": colour}, "border": {"color": colour}}
        return {"name": [name, top - 1, left + k - 1], "categories": column_of(0), "values": column_of(k), "line": line,
                "marker": marker if marked else {"type": "none"}}  # fmt: skip

    along = book.chart("scatter", "straight_with_markers")
    for k in range(1, count + 3):
        band = k > count
        along.add_series(series(k, _BAND if band else _COLOURS[(k - 1) % len(_COLOURS)], dashed=band, marked=not band))
    along.set_x_axis(
        {"name": "Stud", "min": 0, "max": studs + 1, "major_unit": 1 if studs <= 24 else 4, "num_format": "0"}
    )
    along.set_y_axis({"name": course.unit, "min": 0, "num_format": "0"})
    circle = book.chart("radar")
    for k, (colour, dashed) in enumerate(
        ((_COLOURS[3], False), (_BAND, True), (_BAND, True), (_TARGET, True)), start=count + 3
    ):
        circle.add_series(series(k, colour, dashed=dashed, marked=False))
    most = max(100.0, *(100 / course.target * load for load in (*course.high, *course.passes[-1][1])))
    circle.set_y_axis({"min": 0, "max": 20 * math.ceil(most / 20), "major_unit": 20, "num_format": "0"})
    for chart, row, height in ((along, rows[0], 9), (circle, rows[1], 11)):
        chart.set_legend({"position": "bottom"})
        chart.set_size({"width": round(21 * _PIXELS), "height": round(height * _PIXELS)})
        sheet.insert_chart(row - 1, 0, chart)


_PIXELS = 96 / 2.54  # in a centimetre
