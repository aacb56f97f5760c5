"""Charts of the engineer's workbook: kept load round the joint after each pass with its band, along and as a circle."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

_COLOURS = ("9AA5B1", "C58B2A", "3B7A57", "1F4E79", "7A3E6D", "B03A2E", "4F6D7A", "2E2E2E")
_BAND, _TARGET = "B03A2E", "2E2E2E"


@dataclass(frozen=True)
class Course:
    """What is drawn: loads of every stud after each pass with the pass's name, and the model band after the last."""

    unit: str
    target: float
    passes: tuple[tuple[str, Sequence[float]], ...]
    low: Sequence[float]
    high: Sequence[float]


def draw(sheet: Any, course: Course, *, left: int, top: int, at: str, circle_at: str, put: Callable[..., Any]) -> None:
    """Write the numbers from column `left`, headings in row `top`, and put both charts; `put` writes a cell."""
    from openpyxl.chart import Reference
    from openpyxl.utils import get_column_letter

    studs = len(course.low)
    put(top - 1, left, f"Kept load after each pass, for the charts ({course.unit})", "bold")
    columns: list[tuple[str, Sequence[float]]] = [("Stud", range(1, studs + 1)), *course.passes]
    share = [100 / course.target * load for load in course.passes[-1][1]]
    columns += [("model band low", course.low), ("model band high", course.high),
                ("after the last pass (% of target)", share),
                ("model band low (% of target)", [100 / course.target * load for load in course.low]),
                ("model band high (% of target)", [100 / course.target * load for load in course.high]),
                ("target", [100.0] * studs)]  # fmt: skip
    for column, (name, values) in enumerate(columns, start=left):
        put(top, column, name, "heading")
        if column > left:
            sheet.column_dimensions[get_column_letter(column)].width = 13
        for row, value in enumerate(values, start=top + 1):
            put(row, column, value)

    def column_of(k: int, *, heading: bool = True) -> Any:
        return Reference(sheet, min_col=left + k, min_row=top if heading else top + 1, max_row=top + studs)

    count = len(course.passes)
    _along(sheet, column_of, count, studs, course.unit, at)
    most = max(100.0, *(100 / course.target * load for load in course.high), *share)
    _circle(sheet, column_of, count, 20 * math.ceil(most / 20), circle_at)


def _along(sheet: Any, column_of: Callable[..., Any], count: int, studs: int, unit: str, at: str) -> None:
    """Load over stud, a line for each pass, the band after the last as two dashed lines."""
    from openpyxl.chart import ScatterChart, Series
    from openpyxl.chart.axis import NumericAxis
    from openpyxl.chart.legend import Legend

    chart = ScatterChart()
    chart.style, chart.scatterStyle = 13, "lineMarker"
    chart.x_axis.title, chart.y_axis.title = "Stud", unit
    chart.x_axis.scaling.min, chart.x_axis.scaling.max = 0, studs + 1
    assert isinstance(chart.x_axis, NumericAxis)  # of a scatter chart
    chart.x_axis.majorUnit = 1 if studs <= 24 else 4
    chart.y_axis.scaling.min = 0
    chart.x_axis.number_format = chart.y_axis.number_format = "0"
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.legend = Legend(legendPos="b")
    chart.width, chart.height = 21, 9
    for k in range(1, count + 3):
        series = Series(column_of(k), column_of(0, heading=False), title_from_data=True)
        band = k > count
        _line(series, _BAND if band else _COLOURS[(k - 1) % len(_COLOURS)], dashed=band, marked=not band)
        series.smooth = False
        chart.series.append(series)
    sheet.add_chart(chart, at)


def _circle(sheet: Any, column_of: Callable[..., Any], count: int, most: float, at: str) -> None:
    """Kept share after the last pass round the joint, stud 1 at the top, clockwise; band and target as lines."""
    from openpyxl.chart import RadarChart, Series
    from openpyxl.chart.legend import Legend

    chart = RadarChart()
    chart.type, chart.style = "standard", 13
    chart.y_axis.scaling.min, chart.y_axis.scaling.max, chart.y_axis.majorUnit = 0, most, 20
    chart.y_axis.number_format = "0"
    chart.y_axis.delete = chart.x_axis.delete = False
    chart.legend = Legend(legendPos="b")
    chart.width, chart.height = 21, 11
    for k, (colour, dashed) in enumerate(
        ((_COLOURS[3], False), (_BAND, True), (_BAND, True), (_TARGET, True)), start=count + 3
    ):
        series = Series(column_of(k), title_from_data=True)
        _line(series, colour, dashed=dashed, marked=False)
        chart.series.append(series)
    chart.set_categories(column_of(0, heading=False))
    sheet.add_chart(chart, at)


def _line(series: Any, colour: str, *, dashed: bool, marked: bool) -> None:
    from openpyxl.chart.marker import Marker

    line = series.graphicalProperties.line
    line.solidFill, line.width = colour, 12700 if dashed else 19050
    if dashed:
        line.dashStyle = "dash"
    if not marked:
        series.marker = Marker("none")
        return
    series.marker = Marker("circle", size=5)
    series.marker.graphicalProperties.solidFill = colour
    series.marker.graphicalProperties.line.solidFill = colour
