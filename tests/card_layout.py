"""How printed sheets are laid out: merged cells on a grid of 24 narrow columns, written from the top down.

Used by `make_card_template.py` and `make_pack_templates.py`.
"""

import sys
from pathlib import Path

from openpyxl import Workbook
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

sys.path.insert(0, str(Path(__file__).parent))  # pytest, looking for doctests, imports this file by its path
from sheet_layout import save  # noqa: E402

TEMPLATES = Path(__file__).resolve().parent.parent / "templates"
COLUMNS = 24
COLUMN_WIDTH = 4.3  # about 8 mm
CARD_WIDTH = {"A4": 5.1, "Letter": 5.4}
"""Columns of a card, whose pages are printed at four fifths of their size or so."""
TALL = {"A4": 1.0, "Letter": 0.97}
WRITTEN = 31.0
"""Height of a row for pen and glove; 8 mm are 22.7, so three quarters of it are enough. [pt]"""
GREY = PatternFill("solid", fgColor="E4E4E4")
LABEL = "404040"
THIN, HAIR, THICK = Side("thin", "000000"), Side("hair", "000000"), Side("medium", "000000")


def runs(*parts: tuple[str, float, bool]) -> CellRichText:
    """Text in several sizes: (text, size, bold)."""
    return CellRichText(*(TextBlock(InlineFont(rFont="Arial", sz=size, b=bold), text) for text, size, bold in parts))


def with_other(text: str, other: str, bold: bool = True, size: float = 10, mark: str = "   ") -> CellRichText:
    """A quantity with the same in the other system of units, smaller; blank unless both are asked for."""
    return runs((text, size, bold), (mark + other, 8 if size == 10 else 7.5, False))


class Page:
    """A sheet written from the top down, in merged cells on a fine grid."""

    def __init__(self, sheet: Worksheet, paper: str = "A4") -> None:
        self.sheet, self.paper, self.row = sheet, paper, 0
        self.pages: list[int] = []

    def next(self, height: float) -> None:
        self.row += 1
        shorter = height * TALL[self.paper] if height > WRITTEN else height
        self.sheet.row_dimensions[self.row].height = round(max(shorter, min(height, WRITTEN)), 1)

    def turn(self) -> None:
        """The page ends here."""
        self.pages.append(self.row)

    def put(self, first, last, text, size=10.0, *, bold=False, align="left", upright="center", wrap=True, shrink=False,
            fill=None, color="000000", box=None, rows=1, start=None, indent=0):  # fmt: skip
        """Text from column first to last, `rows` rows down from row `start` (this row)."""
        top = start or self.row
        bottom = top + rows - 1
        cell = self.sheet.cell(top, first)
        cell.value = text
        cell.font = Font(name="Arial", size=size, bold=bold, color=color)
        cell.alignment = Alignment(align, upright, wrap_text=wrap and not shrink, shrink_to_fit=shrink, indent=indent)
        if (first, top) != (last, bottom):
            self.sheet.merge_cells(start_row=top, start_column=first, end_row=bottom, end_column=last)
        for row in range(top, bottom + 1):
            for column in range(first, last + 1):
                each = self.sheet.cell(row, column)
                if fill:
                    each.fill = fill
                if box:
                    each.border = Border(
                        left=box if column == first else None,
                        right=box if column == last else None,
                        top=box if row == top else None,
                        bottom=box if row == bottom else None,
                    )

    def rule(self, side: Side) -> None:
        for column in range(1, COLUMNS + 1):
            self.sheet.cell(self.row, column).border = Border(bottom=side)

    def section(self, first, last, text, height=None):
        if height:
            self.next(height)
        self.put(first, last, text, 9.5, bold=True, fill=GREY, wrap=False)

    def pair(self, first, last, label, text, **more):
        self.put(first, first + 2, label, 9.5, color=LABEL, shrink=True)  # another language may be longer
        self.put(first + 3, last, text, 10, **more)


def new_page(name: str, paper: str = "A4", width: float = COLUMN_WIDTH) -> tuple[Workbook, Page]:
    """A workbook with one empty sheet on the grid."""
    book = Workbook()
    book._named_styles["Normal"].font = Font(name="Arial", size=10)
    sheet = book.active
    sheet.title = name
    sheet.sheet_view.showGridLines = False
    for column in range(1, COLUMNS + 1):
        sheet.column_dimensions[get_column_letter(column)].width = width
    book.properties.title = name
    return book, Page(sheet, paper)


def finish(book: Workbook, page: Page, *, pages_high: int = 1, header_rows: str = "", footer: str = "") -> None:
    """Print set-up, and the file. pages_high : 0 for as many as are needed."""
    sheet = page.sheet
    sheet.print_area = f"A1:{get_column_letter(COLUMNS)}{page.row}"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_LETTER if page.paper == "Letter" else sheet.PAPERSIZE_A4
    sheet.page_setup.orientation = "portrait"
    sheet.sheet_properties.pageSetUpPr.fitToPage = not page.pages
    if page.pages:  # the program finds the scale for each card: fitted pages pay no heed to breaks
        sheet.page_setup.scale = 85
        for row in page.pages:
            sheet.row_breaks.append(Break(id=row))
    else:
        sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, pages_high
    sheet.print_options.horizontalCentered = True
    margins = sheet.page_margins
    margins.left = margins.right = margins.top = margins.bottom = 0.32
    margins.header = margins.footer = 0.15
    if header_rows:
        sheet.print_title_rows = header_rows
    if footer:
        margins.bottom, margins.footer = 0.55, 0.25
        sheet.oddFooter.left.text, sheet.oddFooter.right.text = footer, "page &P of &N"
        sheet.oddFooter.left.size = sheet.oddFooter.right.size = 8
    save(book, TEMPLATES / f"{sheet.title.lower()}{' letter' if page.paper == 'Letter' else ''}.xlsx")
