"""The curve of a wrench on the sheet of curves: its points, the straight lines between them, odd points apart."""

from collections.abc import Collection
from typing import Any

from addin.cells.table import CalibrationTable
from calc.units import from_si

HEIGHT, WIDTH = 8.5, 15.0
"""Of a chart, in centimetres."""
ROWS = 19
"""Rows of usual height that a chart covers."""


def add_chart(page: Any, row: int, title: str, table: CalibrationTable, odd: Collection[int]) -> int:
    """Write the points below a title, the chart to their right; the row where the next may begin.

    `odd` are the rows of the table, from 0 below its headings, that stand out.
    """
    from openpyxl.chart import Reference, ScatterChart, Series
    from openpyxl.chart.shapes import GraphicalProperties
    from openpyxl.drawing.line import LineProperties
    from openpyxl.styles import Font

    page.cell(row, 1, title).font = Font(bold=True)
    heads = (f"Pressure ({table.pressure_unit})", f"Torque ({table.torque_unit})", "Odd point")
    for column, text in enumerate(heads, start=1):
        page.cell(row + 1, column, text).font = Font(bold=True)
    first = row + 2
    pressures = from_si(table.pressure, "pressure", table.pressure_unit)
    torques = from_si(table.torque, "torque", table.torque_unit)
    for number, (p, t) in enumerate(zip(pressures.tolist(), torques.tolist(), strict=True)):
        page.cell(first + number, 1, float(f"{p:.7g}"))
        page.cell(first + number, 2, float(f"{t:.7g}"))
        if table.rows[number] in odd:
            page.cell(first + number, 3, float(f"{t:.7g}"))
    last = first + len(table.rows) - 1
    chart: Any = ScatterChart()
    chart.style, chart.height, chart.width, chart.title = 13, HEIGHT, WIDTH, title
    chart.x_axis.title, chart.y_axis.title = heads[0], heads[1]
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.x_axis.scaling.min = chart.y_axis.scaling.min = 0
    along = Reference(page, min_col=1, min_row=first, max_row=last)
    points: Any = Series(Reference(page, min_col=2, min_row=first, max_row=last), along, title="certificate")
    points.marker.symbol, points.marker.size = "circle", 6
    points.graphicalProperties.line.solidFill = "1F4E5F"
    points.smooth = False
    chart.series.append(points)
    if odd:
        apart: Any = Series(Reference(page, min_col=3, min_row=first, max_row=last), along, title="odd point")
        apart.marker.symbol, apart.marker.size = "diamond", 11
        apart.marker.graphicalProperties.solidFill = "C0392B"
        apart.graphicalProperties.line.noFill = True
        chart.series.append(apart)
    if odd:
        chart.legend.position = "b"
    else:
        chart.legend = None
    for axis in (chart.x_axis, chart.y_axis):
        axis.majorGridlines.spPr = GraphicalProperties(ln=LineProperties(solidFill="D5DBDF"))
    page.add_chart(chart, f"E{row}")
    for letter in "ABC":
        page.column_dimensions[letter].width = 16
    return max(last, row + ROWS) + 2
