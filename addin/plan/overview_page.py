"""A page of charts and counts for who never opens the list: by status, day, wrench, hours, and what is open."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from addin.plan.counts import NO_DAY, PlanCounts
from addin.plan.record import PlanHead
from addin.plan.record_joint import STOPPED, JointEntry
from addin.shipped import program
from addin.workbooks.new_file import write_new

SHEET = "Overview"
MOST_BARS, MOST_OPEN = 24, 12
"""Bars that a chart can show, and causes of open rows that are named; the rest is summed up in one line."""
_INK, _BARS, _LINE = "1F2A30", "5F7078", "B9C2C6"
_WIDTHS = (30, 9, 9, 3, 30, 9, 9)
_CHART_CM, _ROW_CM = 9.4, 0.5


class PlanOverview:
    """Collects what the page says, joint by joint; `write` makes the workbook."""

    def __init__(self) -> None:
        self._counts = PlanCounts()
        self._open: dict[str, list[str]] = {}

    def add(self, joint: JointEntry) -> None:
        """One joint."""
        self._counts.add(joint)
        for why in joint.to_review:
            self._open.setdefault(why, []).append(joint.joint)
        if joint.status == STOPPED:
            for why in dict.fromkeys(finding.text for finding in joint.findings if finding.level == "stop"):
                self._open.setdefault(why, []).append(joint.joint)
        elif not joint.planned:
            self._open.setdefault(joint.said_status, []).append(joint.joint)

    def write(self, head: PlanHead, target: Path) -> None:
        """Write the page as a workbook of one sheet with charts. Raises WorkbookError."""
        from openpyxl import Workbook

        book = Workbook()
        book.properties.creator = program()
        sheet: Any = book.active
        sheet.title = SHEET
        _Page(sheet).fill(head, self._counts, self._open)
        write_new(target, book.save)


class _Page:
    def __init__(self, sheet: Any) -> None:
        from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

        self._sheet = sheet
        line = Side(style="thin", color=_LINE)
        self._border = Border(left=line, right=line, top=line, bottom=line)
        self._ink = PatternFill("solid", start_color=_INK, end_color=_INK)
        self._fonts = {
            "title": Font("Arial", size=16, bold=True), "head": Font("Arial", size=9, bold=True, color="FFFFFF"),
            "body": Font("Arial", size=9), "small": Font("Arial", size=8, italic=True),
        }  # fmt: skip
        self._wrap, self._top = Alignment(wrap_text=True, vertical="top"), Alignment(vertical="top")
        for letter, width in zip("ABCDEFG", _WIDTHS, strict=True):
            sheet.column_dimensions[letter].width = width
        sheet.page_setup.paperSize, sheet.page_setup.orientation = 9, "portrait"
        sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
        sheet.sheet_properties.pageSetUpPr.fitToPage = True
        sheet.oddFooter.center.text = "Page &P of &N"

    def fill(self, head: PlanHead, counts: PlanCounts, open_rows: Mapping[str, Sequence[str]]) -> None:
        """Everything that stands on the page."""
        t = head.totals
        self._text(1, 1, f"The plan of {head.list_file} on a page", "title")
        self._sheet.row_dimensions[1].height = 24
        self._text(2, 1, f"Sheet {head.sheet}; {t.rows} rows: {t.planned} planned, {t.other_method} by other methods,"
                   f" {t.stopped} stopped; made by {head.program}", "small")  # fmt: skip
        if head.draft:
            self._text(3, 1, f"DRAFT, not for work: {head.draft}", "small")
        status = self._table(4, 1, ("Status", "Rows"), sorted(counts.rows["status"].items(), key=lambda item: -item[1]))
        wrench = self._table(4, 5, ("Wrench", "Joints", "Hours"), _timed(counts, "wrench"))
        what, column = ("Hours of work", 2) if counts.hours["day"] else ("Joints", 1)
        at = max(status, wrench) + 1
        charts = (("Rows by status", 4, 1, 2, status), (f"{what} by wrench", 4, 5, 5 + column, wrench))
        at = max(self._chart(at, where, *chart) for where, chart in zip((1, 5), charts, strict=True)) + 1
        day = self._table(at, 1, ("Day", "Joints", "Hours"), _timed(counts, "day"))
        if counts.untimed:
            text = (
                f"{counts.untimed} planned rows have no time (the card says what is missing): no hours of theirs here"
            )
            self._text(day, 1, text, "small")
        below = self._chart(at, 5, f"{what} by day", at, 1, 1 + column, day)
        self._open(max(day + 1, below) + 1, open_rows)

    def _open(self, at: int, open_rows: Mapping[str, Sequence[str]]) -> None:
        """What is open, by cause, the most rows first."""
        self._head(at, 1, ("Open, by cause", "Rows", "Joints"))
        for column in range(4, len(_WIDTHS) + 1):
            self._sheet.cell(at, column).fill = self._ink
        found = sorted(open_rows.items(), key=lambda item: -len(item[1]))
        for why, joints in found[:MOST_OPEN]:
            at += 1
            named = ", ".join(joints[:3]) + (f" and {len(joints) - 3} more" if len(joints) > 3 else "")
            for column, value in enumerate((why, len(joints), named), 1):
                self._cell(at, column, value)
            self._sheet.merge_cells(start_row=at, end_row=at, start_column=3, end_column=len(_WIDTHS))
            self._sheet.cell(at, 1).alignment = self._sheet.cell(at, 3).alignment = self._wrap
            self._sheet.row_dimensions[at].height = 12.5 * max(-(-len(why) // 30), -(-len(named) // 62), 1)
        if rest := found[MOST_OPEN:]:
            self._text(
                at + 1, 1, f"and {sum(len(joints) for _, joints in rest)} rows of {len(rest)} other causes", "small"
            )
        if not found:
            self._text(at + 1, 1, "nothing is open", "body")

    def _table(self, row: int, column: int, head: Sequence[str], lines: Sequence[tuple[Any, ...]]) -> int:
        """A table; gives the row below it. What is more than a chart can show is summed up in its last line."""
        self._head(row, column, head)
        shown = list(lines)
        if len(shown) > MOST_BARS:
            rest = shown[MOST_BARS - 1 :]
            sums = tuple(sum(line[at] or 0 for line in rest) for at in range(1, len(head)))
            shown = [*shown[: MOST_BARS - 1], (f"{len(rest)} others", *sums)]
        for line in shown:
            row += 1
            for at, value in enumerate(line):
                self._cell(row, column + at, value)
        return row + 1

    def _chart(self, at: int, where: int, title: str, head_row: int, names: int, values: int, below: int) -> int:
        """A bar chart of columns of a table, from a row and a column on; gives the row below it."""
        from openpyxl.chart import BarChart, Reference
        from openpyxl.chart.text import RichText
        from openpyxl.drawing.text import CharacterProperties, Paragraph, ParagraphProperties

        bars = below - head_row - 1
        if not bars:
            return at
        chart: Any = BarChart()
        chart.type, chart.gapWidth, chart.legend = "bar", 50, None
        chart.title, chart.title.overlay = title, False
        chart.add_data(Reference(self._sheet, min_col=values, min_row=head_row + 1, max_row=below - 1))
        chart.set_categories(Reference(self._sheet, min_col=names, min_row=head_row + 1, max_row=below - 1))
        series = chart.series[0]
        series.graphicalProperties.solidFill = _BARS
        series.graphicalProperties.line.solidFill = _INK
        small = CharacterProperties(sz=800)
        for axis in (chart.x_axis, chart.y_axis):
            axis.delete = False
            axis.txPr = RichText(p=[Paragraph(pPr=ParagraphProperties(defRPr=small), endParaRPr=small)])
        chart.title.tx.rich.p[0].r[0].rPr = CharacterProperties(sz=1000, b=True)
        chart.x_axis.scaling.orientation, chart.y_axis.crosses = "maxMin", "max"  # the first on top
        chart.y_axis.number_format, chart.y_axis.numFmt.sourceLinked = "0", False
        chart.y_axis.scaling.min = 0
        chart.width, chart.height = _CHART_CM, 2.6 + 0.55 * bars
        self._sheet.add_chart(chart, self._sheet.cell(at, where).coordinate)
        return at + round(chart.height / _ROW_CM) + 2

    def _head(self, row: int, column: int, texts: Sequence[str]) -> None:
        for at, text in enumerate(texts):
            cell = self._sheet.cell(row, column + at, text)
            cell.font, cell.fill, cell.border = self._fonts["head"], self._ink, self._border

    def _cell(self, row: int, column: int, value: Any) -> None:
        cell = self._sheet.cell(row, column, value)
        cell.font, cell.border, cell.alignment = self._fonts["body"], self._border, self._top
        if isinstance(value, str):
            cell.data_type = "s"  # never a formula
        elif isinstance(value, float):
            cell.number_format = "0.0"

    def _text(self, row: int, column: int, text: str, font: str) -> None:
        cell = self._sheet.cell(row, column, text)
        cell.font, cell.data_type = self._fonts[font], "s"


def _timed(counts: PlanCounts, name: str) -> list[tuple[str, int, float | None]]:
    """Rows and hours, days in their order, wrenches by their hours."""
    hours, rows = counts.hours[name], counts.rows[name]
    keys = sorted(rows, key=lambda key: (key == NO_DAY, key if name == "day" else -hours.get(key, 0.0)))
    return [(key, rows[key], round(hours[key], 1) if key in hours else None) for key in keys]
