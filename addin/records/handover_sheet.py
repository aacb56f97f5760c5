"""How the sheets of the hand-over look: titles, tables with headings that repeat, numbers as read, print set-up."""

import datetime
import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

from addin.workbooks.row_by_row import RowBook, put, set_widths

PAPERS = {"A4": 9, "Letter": 1}
_INK, _LINE, _MARK = "#1F2A30", "#B9C2C6", "#F3E3C3"

Value = str | float | int | datetime.date | None


_TITLE, _STRONG = {"font_size": 15, "bold": True}, {"font_size": 10, "bold": True}
_BODY, SMALL = {"font_size": 9}, {"font_size": 8, "italic": True}
_LINES = {"border": 1, "border_color": _LINE}


class HandoverStyle:
    """The looks that the cells share, made once for a workbook."""

    def __init__(self, book: RowBook) -> None:
        self.book = book
        self._cells: dict[tuple[str, bool, bool], Any] = {}

    def text(self, font: Mapping[str, Any]) -> Any:
        """A line over the whole width."""
        return self.book.look(font_name="Arial", valign="vcenter", text_wrap=True, **font)

    def head(self) -> Any:
        """A heading of a table."""
        return self.book.look(
            font_name="Arial", font_size=9, bold=True, font_color="#FFFFFF", bg_color=_INK, valign="vcenter",
            align="center", text_wrap=True, **_LINES,
        )  # fmt: skip

    def cell(self, shown: str, *, marked: bool = False, quoted: bool = False) -> Any:
        """A cell of a table with a number format, "" for text."""
        key = shown, marked, quoted
        if key in self._cells:
            return self._cells[key]
        where: dict[str, Any] = {"align": "right"} if shown else {"align": "left", "indent": 1, "text_wrap": True}
        where |= {"num_format": shown} if shown else {}
        where |= {"bg_color": _MARK} if marked else {}
        where |= {"quote_prefix": True} if quoted else {}
        self._cells[key] = self.book.look(font_name="Arial", font_size=9, valign="vcenter", **_LINES, **where)
        return self._cells[key]


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
        self.sheet, self.style, self.row, self.wide = sheet, style, 1, len(widths)
        self.widths, self.formats = list(widths), formats
        self._breaks: list[int] = []
        self._last: list[tuple[Value, Any]] = []
        set_widths(sheet, self.widths)
        sheet.hide_gridlines(2)
        sheet.set_paper(PAPERS[paper])
        if landscape:
            sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        sheet.set_margins(left=0.45, right=0.45, top=0.5, bottom=0.7)
        sheet.set_header("", {"margin": 0.3})
        sheet.set_footer("&L&A&RPage &P of &N", {"margin": 0.35})

    def line(self, text: str, font: Mapping[str, Any] = MappingProxyType(_BODY), *, space: bool = False) -> None:
        """A line of text over the whole width."""
        size, look = font["font_size"], self.style.text(font)
        rows = math.ceil(len(text) * size / 9 / (1.05 * sum(self.widths)))
        self.sheet.set_row(self.row - 1, (1.45 * size) * max(rows, 1))
        self.sheet.merge_range(self.row - 1, 0, self.row - 1, self.wide - 1, "", look)
        put(self.sheet, self.row, 1, text, look)
        self.row += 2 if space else 1

    def title(self, text: str) -> None:
        """The name of the sheet's content."""
        self.line(text, _TITLE)

    def strong(self, text: str) -> None:
        """A line that stands out."""
        self.line(text, _STRONG)

    def heading(self, text: str) -> None:
        """The name of a block."""
        self.row += 1
        self.strong(text)

    def new_page(self) -> None:
        """What follows begins on a new page."""
        self._breaks.append(self.row - 1)
        self.sheet.set_h_pagebreaks(self._breaks)

    def several_wide(self, ends: Sequence[int], repeated: str) -> None:
        """The sheet is several pages wide; each but the last ends behind one of the columns `ends`."""
        self.sheet.fit_to_pages(1 + len(ends), 0)
        self.sheet.print_across()
        self.sheet.set_v_pagebreaks(list(ends))
        self.sheet.repeat_columns(repeated)

    def head(self, names: Sequence[str], *, repeat: bool = False, height: float = 26) -> None:
        """The headings of a table; they stand on every page when it is the only one of its sheet."""
        look = self.style.head()
        self.sheet.set_row(self.row - 1, height)
        for column, name in enumerate(names, 1):
            put(self.sheet, self.row, column, name, look)
        self._last = [(name, look) for name in names]
        if repeat:
            self.sheet.repeat_rows(self.row - 1)
            self.sheet.freeze_panes(self.row, 2)
        self.row += 1

    def merge(self, first: int, last: int) -> None:
        """Join cells of the row that was written last."""
        value, look = self._last[first - 1]
        self.sheet.merge_range(self.row - 2, first - 1, self.row - 2, last - 1, "", look)
        put(self.sheet, self.row - 1, first, value, look)

    def cells(self, values: Sequence[Value], *, marked: bool = False, tall: float = 0, height: float = 0) -> None:
        """One row of a table; its height is what its texts take, at least `tall`, or `height`."""
        lines, looks = 1, []
        for column, value in enumerate(values, 1):
            shown = format_of(value)
            if shown:
                shown = self.formats.get(column, shown)
            quoted = isinstance(value, str) and value.startswith(("=", "+", "-", "@"))
            looks.append(self.style.cell(shown, marked=marked and column == 1, quoted=quoted))
            if isinstance(value, str):
                lines = max(lines, lines_of(value, self.widths[column - 1]))
        self.sheet.set_row(self.row - 1, height or max(tall, min(4 + 12 * lines, 409)))
        self._last = list(zip(values, looks, strict=True))
        for column, (value, look) in enumerate(self._last, 1):
            put(self.sheet, self.row, column, value, look)
        self.row += 1


def lines_of(text: str, width: float) -> int:
    """About how many lines a text takes in a column of that width.

    >>> lines_of("a short word", 20), lines_of("one line\\nand another", 20)
    (1, 2)
    """
    share = 0.8 if width >= 16 else 0.88  # long words break badly in narrow columns
    return sum(max(1, math.ceil(share * len(part) / max(width - 2, 1))) for part in text.split("\n"))
