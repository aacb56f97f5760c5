"""The chart of the hand-over: joints of each area by status, from the table beside it."""

from typing import Any

FILLS = {
    "To review": "1F2A30", "To complete": "53585C", "Part tightened": "7E888D", "Open": "FFFFFF",
    "Stopped in the plan": "B5A88C", "Agrees with the plan": "DDE8E0",
}  # fmt: skip
"""Fills that stay apart in grey."""
MOST, FRONT = 32, 8
"""Areas that one chart can show, and those that leave it room on the first page."""


def rows_of(areas: int) -> int:
    """Rows of usual height that the chart covers, 0 when there is none.

    >>> rows_of(6), rows_of(99)
    (14, 0)
    """
    return round(_height(areas) / 0.53) + 1 if 1 <= areas <= MOST else 0


def _height(areas: int) -> float:
    return 2.6 + 0.75 * areas


def add_chart(sheet: Any, head_row: int, areas: int, row: int) -> None:
    """Put the chart at a row. Columns of the table whose headings stand in `head_row`: area, all, then the statuses."""
    from openpyxl.chart import BarChart, Reference
    from openpyxl.chart.text import RichText
    from openpyxl.drawing.text import CharacterProperties, Paragraph, ParagraphProperties

    if not 1 <= areas <= MOST:
        return
    chart: Any = BarChart()  # its axes and legend are typed wider than they are
    chart.type, chart.grouping, chart.overlap, chart.gapWidth = "bar", "stacked", 100, 60
    last = head_row + areas
    data = Reference(sheet, min_col=3, max_col=2 + len(FILLS), min_row=head_row, max_row=last)
    chart.add_data(data, titles_from_data=True)
    chart.set_categories(Reference(sheet, min_col=1, min_row=head_row + 1, max_row=last))
    for series, colour in zip(chart.series, FILLS.values(), strict=True):
        series.graphicalProperties.solidFill = colour
        series.graphicalProperties.line.solidFill = "1F2A30"
    small = ParagraphProperties(defRPr=CharacterProperties(sz=900))
    for part in (chart.x_axis, chart.y_axis, chart.legend):
        part.txPr = RichText(p=[Paragraph(pPr=small, endParaRPr=CharacterProperties(sz=900))])
    chart.legend.position = "b"
    chart.x_axis.scaling.orientation = "maxMin"  # the first area on top, as in the table
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.y_axis.majorUnit = None
    chart.y_axis.number_format, chart.y_axis.numFmt.sourceLinked = "0", False
    chart.y_axis.crosses = "max"  # its numbers at the foot, though the areas run downwards
    chart.width, chart.height = 18.0, _height(areas)
    sheet.add_chart(chart, f"A{row}")
