"""Writes the two starter workbooks of `templates/`: an empty joint list and an empty wrench book.

Run `python tests/make_templates.py` after a change here. Names of grades and nut series come from calc.
"""

import sys
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

sys.path.insert(0, str(Path(__file__).parent))  # pytest, looking for doctests, imports this file by its path
from sheet_layout import (  # noqa: E402
    BORDER,
    FONT,
    GAUGE_HEAD,
    GAUGE_WIDTHS,
    HEADINGS,
    LUBE_HEAD,
    LUBE_WIDTHS,
    as_text,
    heading_row,
    list_sheet,
    notes_sheet,
    print_setup,
    save,
    table_sheet,
    wrench_sheet,
)

from calc.hardware.nuts import SERIES  # noqa: E402
from calc.hardware.threads import AREAS  # noqa: E402
from calc.tables import load  # noqa: E402

TEMPLATES = Path(__file__).parents[1] / "templates"
BLANK_ROWS = 60

# heading: (what goes in, example of an inch joint, example of a metric one)
COLUMNS: dict[str, tuple[str, str, str]] = {
    "Joint": ("Tag of the joint. With the operation it names the row: the pair stands once.", "E-101 channel",
              "V-2 N4"),
    "Operation": ("break, test make-up, final make-up or retighten.", "final make-up", "final make-up"),
    "Method": ("hydraulic: wrench and pump pressures. hand: pass torques. tensioned, other: counted and left alone.",
               "hydraulic", "hand"),
    "Area": ("Part of the plant, for sorting and for the card.", "Unit 1", "Unit 1"),
    "Equipment": ("Equipment number, for the card.", "E-101", "V-2"),
    "Line": ("Line number, for the card.", '8"-HC-0101', ""),
    "Size": ("Size of the flange, for the card.", "8", "DN 150"),
    "Rating": ("Rating of the flange, for the card.", "600", "PN 63"),
    "Gasket": ("Gasket fitted, for the card.", "spiral wound, inner ring", "spiral wound, inner ring"),
    "Stud size": ("Thread as text: 1 1/8-8 UN, 1-1/8, M24, M36x3. A bare inch size is UNC to 1 in and 8UN above. A "
                  "metric size above M27 needs its pitch. The column is text, so that no size turns into a date.",
                  "1 1/8-8 UN", "M20"),
    "Studs": ("Number of studs, a whole number from 4.", "12", "12"),
    "Grade": ("Specification and grade, with its class where there are several: A193 B8M class 2. A193 and A193M are "
              "two specifications.", "A193 B7", "A193M B7"),
    "Nut series": ("Metric nuts: must be stated (an M36 nut may be 55 or 60 mm). Inch nuts: heavy hex if left empty.",
                   "heavy hex", "metric heavy hex"),
    "Stress (psi)": ("Target, one of four: stress in the stud, with its area in the next column. For another unit "
                     "write it in the cell (345 MPa) or change the unit in this heading.", "45,000", "345 MPa"),
    "Stress area": ("The area that the stress or the percentage of yield stands on.", "root B1.1", "root B1.1"),
    "Percent of yield (%)": ("Target, one of four: share of the minimum yield, 50 for 50 per cent. Needs grade and "
                             "area.",
                             "", ""),
    "Load (lbf)": ("Target, one of four: preload of one stud. For another unit write it in the cell (250 kN) or change "
                   "the unit in this heading.", "", ""),
    "Torque (ft-lb)": ("Target, one of four: torque that someone specified. It may stand without friction; the preload "
                       "is then not known. For another unit write it in the cell (620 N·m).", "", ""),
    "Lubricant": ("Product of the sheet Lubricants in the wrench book. Or state the friction in the next columns.",
                  "(your product)", "(your product)"),
    "Nut factor": ("Nut factor of the lubricant really used, from its maker or the site's own test. Not both this and "
                   "coefficients.", "", ""),
    "Thread friction": ("Friction coefficient in the thread. Goes together with the next column.", "", ""),
    "Nut friction": ("Friction coefficient under the nut.", "", ""),
    "Wrench": ("Empty: the smallest wrench of the book that fits. Two wrenches on one pump: HW-3, HW-4.", "", ""),
    "Wrenches together": ("Wrenches that pull at the same time: 1, 2 or 4. Empty: as for the whole list.", "", ""),
    "Job date": ("Day of the work, as a date: certificates must be valid on it.", "2026-10-08", "2026-10-08"),
    "Order": ("Own order of the studs, where the joint is not round: 1, 5, 3, ... Empty: the usual cross order.", "",
              ""),
    "Turned side": ("Side whose nuts are turned, for the card.", "piping side", "piping side"),
    "Stud 1": ("Where stud 1 is and from where it is seen. Numbers run clockwise.", "12 o'clock, looking downstream",
               "12 o'clock, looking downstream"),
    "Holes (through/tapped)": ("Tapped holes have one nut and need no backup wrench.", "through", "through"),
    "Remarks": ("Anything for the card.", "", ""),
}  # fmt: skip
_TABLES = ("materials_astm", "materials_astm_si", "materials_iso898")
_GRADES = [(row["grade"], row["class"]) for table in _TABLES for row in load(table).rows]
USUAL_GRADES = tuple(dict.fromkeys(f"{grade} class {each}" if each else f"{grade}" for grade, each in _GRADES))
"""What the drop-down of a list offers: the tables that were read for the most part."""
CHOICES: dict[str, tuple[str, ...]] = {
    "Operation": ("break", "test make-up", "final make-up", "retighten"),
    "Method": ("hydraulic", "hand", "tensioned", "other"),
    "Stress area": AREAS,
    "Grade": USUAL_GRADES,
    "Nut series": SERIES,
    "Holes (through/tapped)": ("through", "tapped"),
}
FREE = {"Grade"}
"""Columns whose list is an offer: other spellings are read too, so the spreadsheet only warns."""


def comment(text: str, width: int = 300) -> Comment:
    note = Comment(text, "tautsheet")
    note.width, note.height = width, 34 + 17 * (len(text) * 7 // width + 1)
    return note


def choices_sheet(workbook: Workbook) -> dict[str, str]:
    """The lists behind the drop-downs, and the range of each."""
    sheet = workbook.create_sheet("Notes lists")
    heading_row(sheet, 1, list(CHOICES), 30)
    ranges = {}
    for column, (heading, words) in enumerate(CHOICES.items(), 1):
        letter = get_column_letter(column)
        sheet.column_dimensions[letter].width = 24
        for row, word in enumerate(words, 2):
            as_text(sheet.cell(row, column), word)
            sheet.cell(row, column).font = Font(FONT, size=9)
        ranges[heading] = f"'Notes lists'!${letter}$2:${letter}${len(words) + 1}"
    print_setup(sheet, 1, "A4")
    return ranges


def drop_down(sheet: Worksheet, cells: str, source: str, heading: str) -> None:
    rule = DataValidation(type="list", formula1=source, allow_blank=True)
    rule.errorStyle = "warning" if heading in FREE else "stop"
    rule.errorTitle, rule.error = heading, "Not in the list of this column. See the sheet Notes lists."
    sheet.add_data_validation(rule)
    rule.add(cells)


def number_rule(sheet: Worksheet, cells: str, kind: str, low: str, text: str) -> None:
    """A number or date check that only warns: a cell may hold a text with its own unit."""
    rule = DataValidation(type=kind, operator="greaterThanOrEqual", formula1=low, allow_blank=True)
    rule.errorStyle, rule.errorTitle, rule.error = "warning", "Please check", text
    sheet.add_data_validation(rule)
    rule.add(cells)


def columns_sheet(workbook: Workbook) -> None:
    """What goes into each column, laid out so that nothing can take it for a list of joints."""
    sheet = workbook.create_sheet("Notes on columns")
    heading_row(sheet, 1, ["Heading", "What goes in", "Example, inch", "Example, metric"], 24)
    for row, (heading, texts) in enumerate(COLUMNS.items(), 2):
        for column, text in enumerate((heading, *texts), 1):
            cell = sheet.cell(row, column)
            as_text(cell, text)
            cell.font = Font(FONT, size=9, bold=column == 1)
            cell.border = BORDER
            cell.alignment = Alignment(wrap_text=True, vertical="center")
        sheet.row_dimensions[row].height = 26 if len(texts[0]) > 78 else 15
        if len(texts[0]) > 156:
            sheet.row_dimensions[row].height = 38
    for letter, width in zip("ABCD", (23, 78, 26, 26), strict=True):
        sheet.column_dimensions[letter].width = width
    sheet.freeze_panes = "A2"
    print_setup(sheet, 1, "A4")


def joint_list() -> Workbook:
    workbook = Workbook()
    sheet = workbook.active
    sheet.title = "Joints"
    lines = [
        "Joint list: plant, outage",
        "One row per joint and operation, exactly one target per row. Point at a heading to see what goes in; examples "
        "stand in the sheet Notes on columns.",
        "Revision, date, what changed",
    ]
    list_sheet(sheet, lines, [{} for _ in range(BLANK_ROWS)], HEADINGS)
    columns_sheet(workbook)
    ranges = choices_sheet(workbook)
    header = len(lines) + 2
    for column, heading in enumerate(HEADINGS, 1):
        sheet.cell(header, column).comment = comment(COLUMNS[heading][0])
        letter = get_column_letter(column)
        cells = f"{letter}{header + 1}:{letter}{header + 1000}"
        if heading in ranges:
            drop_down(sheet, cells, ranges[heading], heading)
        elif heading == "Studs":
            number_rule(sheet, cells, "whole", "4", "A whole number of studs, 4 or more.")
        elif heading == "Job date":
            number_rule(sheet, cells, "date", "36526", "A date, so that it cannot be read in two ways.")
    return workbook


WRENCH_LABELS: dict[str, str] = {
    "Wrench": "Name of the wrench, as the joint list and the cards call it. A second sheet of that name, with its own "
    "day of calibration, is an earlier certificate of it.",
    "Kind": "square drive, low clearance, ...",
    "Serial number": "",
    "Certificate": "Number of the calibration certificate.",
    "Calibrated on": "A date.",
    "Certificate valid until": "A date, or a span from the calibration: 12 months. The wrench is refused after it.",
    "Uncertainty (%)": "Of the certificate. May stay empty; it is part of the range of preload.",
    "Rated pressure (psi)": "Highest pressure of the wrench. Change the unit in the label, or write it: 700 bar.",
    "Rated torque (ft-lb)": "Torque at the rated pressure. May stay empty, but slips in the table are found by it.",
    "Hose": "",
    "Hose rated pressure (psi)": "The lowest of the ratings of wrench, hose, pump and gauge is never exceeded.",
    "Pump": "Name of the pump. Wrenches that pull together hang on one pump.",
    "Pump rated pressure (psi)": "",
    "Gauge": "Name of the pump's gauge, as in the sheet Gauges.",
    "Stroke angle (°)": "May stay empty.",
    "Oil per stroke (in³)": "May stay empty.",
    "Pump flow (in³/min)": "May stay empty.",
    "Torque column": "Where the certificate has several columns of torque: the heading of the one that holds.",
    "Table confirmed by": "Who has seen that odd points of the table are in the certificate so.",
    "Table confirmed on": "A date, not before the calibration.",
    "Out of service from": "A date. May stay empty.",
    "Out of service until": "A date. May stay empty.",
    "Remarks": "",
}
LINK_HEAD = ["Link or socket", "Across flats (in)", "Torque factor", "Torque limit (ft-lb)", "Link radius (in)"]
LINK_NOTES = [
    "One row per link (cassette), socket or adapter of this wrench.",
    "Size of the nut it is made for.",
    "Torque with this link over the torque in the table below: 1 only if the certificate or the maker says so. Never "
    "left empty.",
    "Highest torque of the link itself. May stay empty.",
    "Radius around the nut's centre that the link needs. May stay empty.",
]
TABLE_HEAD = ["Pressure (psi)", "Torque (ft-lb)", None, None]
BOOK_README = [
    "Wrench book: how to fill it",
    '1. One sheet per wrench. Copy the sheet "Wrench 1" before filling it (right click, Move or Copy, Create a copy); '
    'name each copy as you like. What counts is the name in the cell beside "Wrench".',
    "2. Fill the block of labels. Units stand in the labels; change the one in brackets, or write the unit into the "
    "cell: 700 bar.",
    "3. List the links (cassettes), sockets and adapters of the wrench. Each needs its torque factor; an empty one is "
    "never taken "
    "for 1. No empty row between two of them.",
    "4. Paste the table of the last calibration certificate with its headings, values only (Paste Special, Values). "
    "The units must stand in the headings, below them or in the cells: psi, bar, MPa, ft-lb, N·m, ...",
    "5. A certificate that prints the same table in two units may be pasted with all its columns, a heading with its "
    "unit over each; they are checked against each other.",
    "6. A certificate with readings up and down, as found and as left, or nominal and measured: decide which column "
    "holds, with whoever calibrated the wrench, and write its heading beside the label Torque column.",
    "7. No empty row inside the table. Notes may stand below it, after an empty row.",
    "8. Gauges: range and graduation are in the unit of that gauge. Lubricants: a nut factor or two coefficients, each "
    "with its source.",
    "9. Hand torque wrenches, Multipliers, Tensioners, Reaction arms and Hoses may have sheets of these names, with "
    "their certificates.",
    "10. Check the book before any list: tautsheet book BOOK --out COPY.",
    "11. Sheets named Read me, or whose name begins with Notes, are not read.",
]


def wrench_book() -> Workbook:
    workbook = Workbook()
    workbook.remove(workbook.active)
    notes_sheet(workbook, "Read me", BOOK_README)
    sheet = workbook.create_sheet("Wrench 1")
    blank: dict[str, Any] = dict.fromkeys(WRENCH_LABELS)
    wrench_sheet(sheet, blank, LINK_HEAD, [[None] * 5] * 8, TABLE_HEAD, [[None] * 4] * 14)
    links = len(WRENCH_LABELS) + 2
    table = links + 10
    for row, (label, text) in enumerate(WRENCH_LABELS.items(), 1):
        if text:
            sheet.cell(row, 1).comment = comment(text)
        if label == "Certificate valid until":
            sheet.cell(row, 2).number_format = "yyyy-mm-dd"  # a span of months may stand there too
        elif label in ("Calibrated on", "Table confirmed on", "Out of service from", "Out of service until"):
            sheet.cell(row, 2).number_format = "yyyy-mm-dd"
            number_rule(sheet, f"B{row}", "date", "36526", "A date, so that it cannot be read in two ways.")
        elif label == "Gauge":
            drop_down(sheet, f"B{row}", "Gauges!$A$2:$A$31", label)
    for column, text in enumerate(LINK_NOTES, 1):
        sheet.cell(links, column).comment = comment(text)
    sheet.cell(table, 1).comment = comment(
        "Paste the certificate's table here, lowest pressure first, no empty row inside."
    )
    sheet.cell(table, 2).comment = comment("The unit in brackets must be the certificate's. It is never guessed.")
    for name, head, rows, widths in (
        ("Gauges", GAUGE_HEAD, 10, GAUGE_WIDTHS),
        ("Lubricants", LUBE_HEAD, 10, LUBE_WIDTHS),
    ):
        page = workbook.create_sheet(name)
        table_sheet(page, head, [[None] * len(head)] * rows, widths)
        for column, heading in enumerate(head, 1):
            if heading in ("Calibrated on", "Valid until"):
                for row in range(2, rows + 2):
                    page.cell(row, column).number_format = "yyyy-mm-dd"
    workbook["Gauges"]["C1"].comment = comment("End of the scale, in the gauge's own unit.")
    workbook["Gauges"]["D1"].comment = comment("Step between two marks, in the gauge's own unit.")
    workbook["Lubricants"]["C1"].comment = comment(
        "Nut factor of the product, from its maker or the site's own test: say which under Source. A product has a nut "
        "factor or the two coefficients."
    )
    return workbook


if __name__ == "__main__":
    save(joint_list(), TEMPLATES / "joint list.xlsx")
    save(wrench_book(), TEMPLATES / "wrench book.xlsx")
