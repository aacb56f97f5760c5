"""How the sheets of samples and templates look: headings, widths, number formats, print set-up.

Used by `make_samples.py` and `make_templates.py`.
"""

import re
import zipfile
from datetime import date
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.cell import Cell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

HEADINGS: dict[str, float] = {  # heading of the joint list: width of its column
    "Joint": 15, "Operation": 13, "Method": 11, "Area": 15, "Equipment": 11, "Line": 16, "Size": 8, "Rating": 7,
    "Gasket": 21, "Stud size": 11, "Studs": 7, "Grade": 17, "Nut series": 15, "Stress (psi)": 11,
    "Stress area": 11, "Percent of yield (%)": 11, "Load (lbf)": 11, "Torque (ft-lb)": 11, "Lubricant": 11,
    "Nut factor": 8, "Thread friction": 9, "Nut friction": 9, "Wrench": 13, "Wrenches together": 10, "Job date": 11,
    "Order": 24, "Turned side": 18, "Stud 1": 21, "Holes (through/tapped)": 13, "Remarks": 44,
}  # fmt: skip
TEXT_COLUMNS = {"Size", "Rating", "Stud size", "Order", "Joint", "Line"}
"""Columns formatted as text, so that the spreadsheet turns no size into a date."""
NUMBER_FORMATS = {
    "Studs": "0", "Stress (psi)": "#,##0", "Percent of yield (%)": "0.0", "Load (lbf)": "#,##0",
    "Torque (ft-lb)": "#,##0", "Nut factor": "0.000", "Thread friction": "0.000", "Nut friction": "0.000",
    "Wrenches together": "0", "Job date": "yyyy-mm-dd",
}  # fmt: skip
TARGETS = ("Stress (psi)", "Stress area", "Percent of yield (%)", "Load (lbf)", "Torque (ft-lb)")

FONT = "Arial"
INK, LINE, PAPER, TINT = "FF1F2A30", "FFB9C2C6", "FFE4E9EB", "FFF6F1E2"
_side = Side(style="thin", color=LINE)
BORDER = Border(left=_side, right=_side, top=_side, bottom=_side)


def fill(colour: str) -> PatternFill:
    return PatternFill("solid", start_color=colour, end_color=colour)


def as_text(cell: Cell, value: str) -> None:
    """Text stays text, also when it begins with an equals sign."""
    cell.value = value
    cell.data_type = "s"
    if value.startswith("="):
        cell.quotePrefix = True


def heading_row(sheet: Worksheet, row: int, headings: list[Any], height: float = 42) -> None:
    for column, heading in enumerate(headings, 1):
        cell = sheet.cell(row, column, heading)
        cell.font = Font(FONT, size=9, bold=True, color="FFFFFFFF")
        cell.fill = fill(INK)
        cell.border = BORDER
        cell.alignment = Alignment(wrap_text=True, vertical="center", horizontal="center")
    sheet.row_dimensions[row].height = height


def body_cell(cell: Cell, heading: str) -> None:
    cell.font = Font(FONT, size=9)
    cell.border = BORDER
    centred = heading in NUMBER_FORMATS or heading in ("Stud size", "Stress area", "Wrenches together")
    cell.alignment = Alignment(
        vertical="center", horizontal="center" if centred else "left", wrap_text=heading in ("Remarks", "Order")
    )
    if heading in TARGETS:
        cell.fill = fill(TINT)
    if heading in TEXT_COLUMNS:
        cell.number_format = "@"
    elif heading in NUMBER_FORMATS:
        cell.number_format = NUMBER_FORMATS[heading]


def title(sheet: Worksheet, lines: list[str], width: int) -> None:
    for row, line in enumerate(lines, 1):
        sheet.merge_cells(start_row=row, end_row=row, start_column=1, end_column=width)
        cell = sheet.cell(row, 1, line)
        cell.font = Font(FONT, size=15 if row == 1 else 9, bold=row == 1, italic=row > 2)
        cell.alignment = Alignment(vertical="center")
    sheet.row_dimensions[1].height = 24


def print_setup(
    sheet: Worksheet, header_row: int | None, paper: str = "A3", landscape: bool = True, pages_wide: int = 1
) -> None:
    sheet.page_setup.orientation = "landscape" if landscape else "portrait"
    sheet.page_setup.paperSize = {"A3": "8", "A4": "9"}[paper]
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = pages_wide, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.page_margins.left = sheet.page_margins.right = 0.4
    sheet.page_margins.top, sheet.page_margins.bottom, sheet.page_margins.footer = 0.5, 0.75, 0.4
    if header_row:
        sheet.print_title_rows = f"{header_row}:{header_row}"
    sheet.oddFooter.left.text = "&F, &A"
    sheet.oddFooter.right.text = "Page &P of &N"


def list_sheet(sheet: Worksheet, lines: list[str], rows: list[dict[str, Any]], headings: dict[str, float]) -> None:
    """A list as a planner keeps it: title lines, frozen headings with filters, one row per joint and operation."""
    names = list(headings)
    header = len(lines) + 2
    title(sheet, lines, min(12, len(names)))
    heading_row(sheet, header, names)
    for column, name in enumerate(names, 1):
        sheet.column_dimensions[get_column_letter(column)].width = headings[name]
    for number, row in enumerate(rows, header + 1):
        for column, name in enumerate(names, 1):
            cell = sheet.cell(number, column)
            body_cell(cell, name)
            value = row.get(name)
            if isinstance(value, str) and not value.startswith(("#", "==")):
                as_text(cell, value)
            elif isinstance(value, str) and value.startswith("=="):
                cell.value = value[1:]  # a formula; written here it has no cached value
            else:
                cell.value = value
            if isinstance(value, date):
                cell.number_format = "yyyy-mm-dd"
    sheet.freeze_panes = sheet.cell(header + 1, 3)
    sheet.auto_filter.ref = f"A{header}:{get_column_letter(len(names))}{header + len(rows)}"
    sheet.sheet_view.zoomScale = 90
    print_setup(sheet, header, pages_wide=2)
    sheet.print_title_cols = "A:B"


def notes_sheet(workbook: Workbook, name: str, lines: list[str]) -> None:
    sheet = workbook.create_sheet(name)
    sheet.column_dimensions["A"].width = 78
    for row, line in enumerate(lines, 1):
        cell = sheet.cell(row, 1)
        as_text(cell, line)
        cell.font = Font(FONT, size=13 if row == 1 else 10, bold=row == 1)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
        sheet.row_dimensions[row].height = 22 if row == 1 else 5 + 13 * (len(line) // 88 + 1)
    sheet.sheet_view.showGridLines = False
    print_setup(sheet, None, "A4", landscape=False)


def save(workbook: Workbook, path: Path) -> None:
    """Save with fixed dates inside, so that the same script gives the same bytes."""
    path.parent.mkdir(exist_ok=True)
    workbook.properties.creator = "tautsheet"
    workbook.save(path)
    with zipfile.ZipFile(path) as package:
        parts = [(item.filename, package.read(item)) for item in package.infolist()]
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        for name, content in parts:
            if name == "docProps/core.xml":
                content = re.sub(rb">\d{4}-\d\d-\d\dT[\d:]+Z<", b">2026-09-14T06:00:00Z<", content)
            package.writestr(zipfile.ZipInfo(name, (2026, 9, 14, 6, 0, 0)), content, zipfile.ZIP_DEFLATED)


# --- wrench books ---

GAUGE_HEAD = ["Gauge", "Unit", "Range", "Graduation", "Class", "Certificate", "Calibrated on", "Valid until"]
LUBE_HEAD = ["Product", "Nut factor low", "Nut factor", "Nut factor high", "Thread friction", "Nut friction", "Source"]
GAUGE_WIDTHS: list[float] = [12, 8, 12, 12, 8, 16, 14, 14]
LUBE_WIDTHS: list[float] = [14, 12, 12, 12, 12, 12, 70]


def value_cell(cell: Cell, value: Any) -> None:
    if isinstance(value, str):
        as_text(cell, value)
    else:
        cell.value = value
    if isinstance(value, date):
        cell.number_format = "yyyy-mm-dd"
    cell.font = Font(FONT, size=10)
    cell.border = BORDER
    cell.alignment = Alignment(horizontal="left" if cell.column == 1 else "center", vertical="center")


def block_rows(sheet: Worksheet, row: int, head: list[Any], rows: list[Any]) -> int:
    """A heading row and its rows; gives the row after the blank one that ends the block."""
    heading_row(sheet, row, head, 30)
    for number, values in enumerate(rows, row + 1):
        for column, value in enumerate(values, 1):
            cell = sheet.cell(number, column)
            value_cell(cell, value)
            name = head[column - 1] or ""
            if name.startswith(("Pressure", "Torque (", "Torque limit")):
                cell.alignment = Alignment(horizontal="center", vertical="center")
                cell.number_format = "#,##0.0" if isinstance(value, float) else "#,##0"
            elif name == "Across flats (in)":
                cell.number_format = "# ??/??"
            elif name in ("Torque factor", "Nut factor", "Nut factor low", "Nut factor high", *LUBE_HEAD[4:6]):
                cell.number_format = "0.000"
            elif name == "Source":
                cell.alignment = Alignment(horizontal="left", vertical="center")
    return row + len(rows) + 2


def wrench_sheet(sheet: Worksheet, block: dict[str, Any], link_head: list[str], links: list[Any],
                 head: list[Any], table: list[Any]) -> None:  # fmt: skip
    for row, (label, value) in enumerate(block.items(), 1):
        cell = sheet.cell(row, 1)
        value_cell(cell, label)
        cell.font = Font(FONT, size=10, bold=True)
        cell.fill = fill(PAPER)
        value_cell(sheet.cell(row, 2), value)
        sheet.cell(row, 2).alignment = Alignment(horizontal="left", vertical="center")
        sheet.merge_cells(start_row=row, end_row=row, start_column=2, end_column=4)
        for column in (3, 4):
            sheet.cell(row, column).border = BORDER
        if label == "Remarks":
            sheet.cell(row, 2).alignment = Alignment(horizontal="left", vertical="center", wrap_text=True)
            sheet.row_dimensions[row].height = 28
        if isinstance(value, int):
            sheet.cell(row, 2).number_format = "#,##0"
    row = block_rows(sheet, len(block) + 2, link_head, links)
    block_rows(sheet, row, head, table)
    for column, width in zip("ABCDE", (28, 18, 18, 18, 18), strict=True):
        sheet.column_dimensions[column].width = width
    sheet.sheet_view.showGridLines = False
    print_setup(sheet, None, "A4", landscape=False)


def table_sheet(sheet: Worksheet, head: list[str], rows: list[Any], widths: list[float]) -> None:
    block_rows(sheet, 1, head, rows)
    for column, width in enumerate(widths, 1):
        sheet.column_dimensions[get_column_letter(column)].width = width
    sheet.freeze_panes = "A2"
    print_setup(sheet, 1, "A4")
