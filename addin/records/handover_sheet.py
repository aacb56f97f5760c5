"""How the sheets of the hand-over look: titles, tables with headings that repeat, numbers as read, print set-up."""

import datetime
import math
import re
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

from addin.workbooks.cell_text import shortened

PAPERS = {"A4": 9, "Letter": 1}
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_INK, _LINE, _MARK = "FF1F2A30", "FFB9C2C6", "FFF3E3C3"

Value = str | float | int | datetime.date | None


class HandoverStyle:
    """The looks that the cells share, made once for a workbook. Cells of tables have named styles: those are quick."""

    def __init__(self, book: Any) -> None:
        from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

        line = Side(style="thin", color=_LINE)
        self.border = Border(left=line, right=line, top=line, bottom=line)
        self.title, self.strong = Font("Arial", size=15, bold=True), Font("Arial", size=10, bold=True)
        self.body, self.small = Font("Arial", size=9), Font("Arial", size=8, italic=True)
        self.head = Font("Arial", size=9, bold=True, color="FFFFFFFF")
        self.ink, self.mark = (PatternFill("solid", start_color=c, end_color=c) for c in (_INK, _MARK))
        self.plain = Alignment(vertical="center", wrap_text=True)
        self.wrapped = Alignment(vertical="center", horizontal="left", indent=1, wrap_text=True)
        self.right = Alignment(vertical="center", horizontal="right")
        self.centred = Alignment(vertical="center", horizontal="center", wrap_text=True)
        self._book = book
        self._names: dict[tuple[str, bool], str] = {}

    def named(self, shown: str, *, marked: bool) -> str:
        """The style of a table's cell with a number format, "" for text."""
        from openpyxl.styles import NamedStyle

        key = shown, marked
        if key not in self._names:
            name = f"table {len(self._names) + 1}"
            style = NamedStyle(name, font=self.body, border=self.border, number_format=shown or "General")
            style.alignment = self.right if shown else self.wrapped
            if marked:
                style.fill = self.mark
            self._book.add_named_style(style)
            self._names[key] = name
        return self._names[key]


def put(cell: Any, value: Value) -> None:
    """Set a cell: text stays text whatever it begins with, cut with a mark where it is too long for a cell; a number
    that is not there is left empty.
    """
    if isinstance(value, str):
        cell.value = _CONTROL.sub("\ufffd", shortened(value))
        cell.data_type = "s"
        if value.startswith(("=", "+", "-", "@")):
            cell.quotePrefix = True
    elif not (isinstance(value, float) and math.isnan(value)):
        cell.value = value


def format_of(value: Value) -> str:
    """The number format of a value: text and empty cells have none.

    >>> format_of("HW-3"), format_of(24), format_of(datetime.date(2026, 10, 8))
    ('', '0_)', 'yyyy-mm-dd_)')
    """
    if value is None or isinstance(value, str):
        return ""
    return "yyyy-mm-dd_)" if isinstance(value, datetime.date) else number_format(value)


def number_format(value: float) -> str:
    """A format with about four figures and a space behind it; no mark of thousands, which is a decimal sign elsewhere.

    >>> number_format(1405.256), number_format(24.5), number_format(0.0312), number_format(3500.0)
    ('0_)', '0.0_)', '0.0000_)', '0_)')
    """
    size = abs(value)
    if size >= 100 or value == round(value):
        return "0_)"
    return "0.0_)" if size >= 10 else "0.00_)" if size >= 1 else "0.0000_)"


class HandoverSheet:
    """One sheet, written from above to below."""

    def __init__(
        self, sheet: Any, style: HandoverStyle, widths: Sequence[float], paper: str, *, landscape: bool,
        formats: Mapping[int, str] = MappingProxyType({}),
    ) -> None:  # fmt: skip
        from openpyxl.utils import get_column_letter

        self.sheet, self.style, self.row, self.wide = sheet, style, 1, len(widths)
        self.widths, self.formats = list(widths), formats
        for column, width in enumerate(widths, 1):
            sheet.column_dimensions[get_column_letter(column)].width = width
        sheet.sheet_view.showGridLines = False
        sheet.page_setup.paperSize = PAPERS[paper]
        sheet.page_setup.orientation = "landscape" if landscape else "portrait"
        sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
        sheet.sheet_properties.pageSetUpPr.fitToPage = True
        margins = sheet.page_margins
        margins.left = margins.right = 0.45
        margins.top, margins.bottom, margins.header, margins.footer = 0.5, 0.7, 0.3, 0.35
        sheet.oddFooter.left.text, sheet.oddFooter.right.text = "&A", "Page &P of &N"

    def line(self, text: str, font: Any = None, *, space: bool = False) -> None:
        """A line of text over the whole width."""
        self.sheet.merge_cells(start_row=self.row, end_row=self.row, start_column=1, end_column=self.wide)
        cell = self.sheet.cell(self.row, 1)
        put(cell, text)
        cell.font, cell.alignment = font or self.style.body, self.style.plain
        size = cell.font.size
        rows = math.ceil(len(text) * size / 9 / (1.05 * sum(self.widths)))
        self.sheet.row_dimensions[self.row].height = (1.45 * size) * max(rows, 1)
        self.row += 2 if space else 1

    def title(self, text: str) -> None:
        """The name of the sheet's content."""
        self.line(text, self.style.title)

    def heading(self, text: str) -> None:
        """The name of a block."""
        self.row += 1
        self.line(text, self.style.strong)

    def new_page(self) -> None:
        """What follows begins on a new page."""
        from openpyxl.worksheet.pagebreak import Break

        self.sheet.row_breaks.append(Break(id=self.row - 1))

    def head(self, names: Sequence[str], *, repeat: bool = False, height: float = 26) -> None:
        """The headings of a table; they stand on every page when it is the only one of its sheet."""
        for column, name in enumerate(names, 1):
            cell = self.sheet.cell(self.row, column)
            put(cell, name)
            cell.font, cell.fill, cell.border = self.style.head, self.style.ink, self.style.border
            cell.alignment = self.style.centred
        self.sheet.row_dimensions[self.row].height = height
        if repeat:
            self.sheet.print_title_rows = f"{self.row}:{self.row}"
            self.sheet.freeze_panes = self.sheet.cell(self.row + 1, 3)
        self.row += 1

    def merge(self, first: int, last: int) -> None:
        """Join cells of the row that was written last."""
        self.sheet.merge_cells(start_row=self.row - 1, end_row=self.row - 1, start_column=first, end_column=last)

    def cells(self, values: Sequence[Value], *, marked: bool = False, tall: float = 0) -> None:
        """One row of a table."""
        style, lines = self.style, 1
        for column, value in enumerate(values, 1):
            cell = self.sheet.cell(self.row, column)
            shown = format_of(value)
            if shown:
                shown = self.formats.get(column, shown)
            cell.style = style.named(shown, marked=marked and column == 1)
            put(cell, value)
            if isinstance(value, str):
                lines = max(lines, lines_of(value, self.widths[column - 1]))
        self.sheet.row_dimensions[self.row].height = max(tall, min(4 + 12 * lines, 409))
        self.row += 1


def lines_of(text: str, width: float) -> int:
    """About how many lines a text takes in a column of that width.

    >>> lines_of("a short word", 20), lines_of("one line\\nand another", 20)
    (1, 2)
    """
    share = 0.8 if width >= 16 else 0.88  # long words break badly in narrow columns
    return sum(max(1, math.ceil(share * len(part) / max(width - 2, 1))) for part in text.split("\n"))
