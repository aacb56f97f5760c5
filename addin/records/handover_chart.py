"""The charts of the hand-over: joints of each area by status, and what is complete by day, from the tables beside."""

import datetime
from collections.abc import Mapping, Sequence

from addin.records.handover_sheet import HandoverSheet

FILLS = {
    "To review": "1F2A30", "To complete": "53585C", "Part tightened": "7E888D", "Open": "FFFFFF",
    "Stopped in the plan": "B5A88C", "Agrees with the plan": "DDE8E0",
}  # fmt: skip
"""Fills that stay apart in grey."""
_EDGE = "#1F2A30"
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


def add_chart(page: HandoverSheet, head_row: int, areas: Mapping[str, Sequence[int]], row: int) -> None:
    """Put the chart at a row: the counts of each area by status, from a table whose headings stand in `head_row`, with
    the area, all, then the statuses.
    """
    if not 1 <= len(areas) <= MOST:
        return
    chart, sheet = page.style.book.chart("bar", "stacked"), page.sheet.get_name()
    last = head_row - 1 + len(areas)
    for number, (name, colour) in enumerate(FILLS.items()):
        chart.add_series({
            "name": [sheet, head_row - 1, 2 + number], "name_data": name, "fill": {"color": f"#{colour}"},
            "border": {"color": _EDGE}, "gap": 60, "overlap": 100,
            "categories": [sheet, head_row, 0, last, 0], "categories_data": list(areas),
            "values": [sheet, head_row, 2 + number, last, 2 + number],
            "values_data": [counts[number] for counts in areas.values()],
        })  # fmt: skip
    small = {"size": 9, "bold": False}
    chart.set_legend({"position": "bottom", "font": small})
    # the first area on top, as in the table, and the numbers at the foot; the axes of lying bars are turned as well
    chart.set_y_axis({"reverse": True, "crossing": "max", "num_font": small, "major_gridlines": {"visible": False}})
    chart.set_x_axis({"num_format": "0", "num_font": small, "major_gridlines": {"visible": True}})
    chart.set_size({"width": _pixels(16.9), "height": _pixels(_height(len(areas)))})
    page.sheet.insert_chart(row - 1, 0, chart)


def add_days(page: HandoverSheet, head_row: int, totals: Mapping[datetime.date, int], row: int) -> None:
    """Put a chart at a row: all that is complete up to each day, from the fourth column of a table of days."""
    chart, sheet, last = page.style.book.chart("column"), page.sheet.get_name(), head_row - 1 + len(totals)
    start = datetime.date(1899, 12, 30)  # from which a workbook counts its days
    chart.add_series({
        "name": [sheet, head_row - 1, 3], "fill": {"color": "#5F7078"}, "border": {"color": _EDGE}, "gap": 40,
        "categories": [sheet, head_row, 0, last, 0], "categories_data": [(day - start).days for day in totals],
        "values": [sheet, head_row, 3, last, 3], "values_data": list(totals.values()),
    })  # fmt: skip
    chart.set_title({"none": True})
    chart.set_legend({"none": True})
    chart.set_x_axis({"num_format": "yyyy-mm-dd", "text_axis": True})
    chart.set_y_axis({"num_format": "0", "name": "Joints complete so far", "min": 0})
    chart.set_size({"width": _pixels(17.5), "height": _pixels(9.0)})
    page.sheet.insert_chart(row - 1, 0, chart)


def _pixels(centimetres: float) -> int:
    return round(centimetres / 2.54 * 96)
