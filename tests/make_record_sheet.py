"""Writes `templates/record sheet.xlsx`: the sheet on which as-tightened values are typed by exception.

Run `python tests/make_record_sheet.py` after a change here.
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
from sheet_layout import BORDER, FONT, as_text, fill, heading_row, notes_sheet, print_setup, save, title  # noqa: E402

from addin.records.record_fields import FIELDS, HEADINGS  # noqa: E402
from calc.plan.joints import OPERATIONS  # noqa: E402

TARGET = Path(__file__).parents[1] / "templates" / "record sheet.xlsx"
BLANK_ROWS = 60
H = HEADINGS
# heading: (width, what goes in)
COLUMNS: dict[str, tuple[float, str]] = {
    "Joint": (14, "Tag of the joint as on its card."),
    "Operation": (13, "Operation as on the card; a row with the number of its card needs none."),
    **{field.heading: (field.width, field.help) for field in FIELDS},
}
TEXT = {"Joint", *(field.heading for field in FIELDS if field.text)}
"""Columns formatted as text: 1-2 would turn into a date."""
LINES = [
    "As-tightened record",
    "One row for a joint done as planned; one row more for each pass or span of passes that differs. What is blank was "
    "not stated: it is never taken as planned, unless the row says so.",
]
NOTES = [
    "How this sheet is filled",
    "A joint done as its card says: joint, operation, card, 'as planned', date, who. Nothing else. Without a name and "
    "a date it stays to be completed.",
    "Some passes differ: one row 'as planned' for the joint, and one row 'differs' with the passes and what was used "
    "in them: wrench, gauge, pressure with its unit, date. The 'as planned' row then covers the other passes.",
    "Only some passes are done: 'as planned' with the passes, like 1-2. The joint is then part tightened.",
    "Two or four wrenches: HW-2, HW-3 with 3150, 3200 in one cell, or a row for each wrench.",
    "A scan of the mark of a card says 'as planned' for its joint, in whichever row it stands.",
    "Another lubricant: 'as planned' with the product under lubricant. The preload is worked out with that product.",
    "A hand torque wrench, or a pass by other means: torque and its unit instead of a pressure.",
    "The same columns may stand in your own joint list, to the right of it: the same headings, one row per joint. For "
    "a pass that differs add columns such as 'As-tightened pass 3 wrench' and 'As-tightened pass 3 pressure (psi)'.",
    "Then: tautsheet record PLAN.json THIS-FILE --out FOLDER. The same command shows progress at any time.",
]
CHOICES = {"Operation": OPERATIONS, **{field.heading: field.choices for field in FIELDS if field.choices}}


def record_sheet(sheet: Worksheet, rows: list[dict[str, Any]], blank: int, lines: list[str]) -> int:
    """Title, headings, rows and as many blank ones; gives the row of the headings."""
    names = list(COLUMNS)
    title(sheet, lines, 12)
    head = len(lines) + 2
    heading_row(sheet, head, names, 40)
    for column, name in enumerate(names, 1):
        letter = get_column_letter(column)
        sheet.column_dimensions[letter].width = COLUMNS[name][0]
        for number in range(head + 1, head + 1 + len(rows) + blank):
            cell = sheet.cell(number, column)
            cell.font, cell.border = Font(FONT, size=9), BORDER
            cell.alignment = Alignment(vertical="center", wrap_text=name in (H["remarks"], H["link"]))
            if name.endswith(" unit"):
                cell.alignment = Alignment(vertical="center", horizontal="center")
            if name in TEXT:
                cell.number_format = "@"
            elif name == H["date"]:
                cell.number_format = "yyyy-mm-dd"
            if name in (H["card"], H["done"], H["date"]):
                cell.fill = fill("FFF6F1E2")
    for number, row in enumerate(rows, head + 1):
        if len(str(row.get(H["remarks"], ""))) > 28:
            sheet.row_dimensions[number].height = 25
        for column, name in enumerate(names, 1):
            value = row.get(name)
            if isinstance(value, str):
                as_text(sheet.cell(number, column), value)
            elif value is not None:
                sheet.cell(number, column).value = value
    sheet.freeze_panes = sheet.cell(head + 1, 3)
    last = head + len(rows) + blank
    sheet.auto_filter.ref = f"A{head}:{get_column_letter(len(names))}{last}"
    print_setup(sheet, head, "A4", pages_wide=4)
    sheet.page_setup.pageOrder = "overThenDown"
    sheet.print_title_cols = "A:B"
    sheet.print_area = f"A{head}:{get_column_letter(len(names))}{last}"  # the title would be cut beside those columns
    sheet.oddHeader.left.text, sheet.oddHeader.left.size = lines[0], 11
    for name, words in CHOICES.items():
        letter = get_column_letter(names.index(name) + 1)
        rule = DataValidation(type="list", formula1=f'"{",".join(words)}"', allow_blank=True)
        rule.errorTitle, rule.error = name[:32], "Not in the list of this column. See the sheet Notes."
        sheet.add_data_validation(rule)
        rule.add(f"{letter}{head + 1}:{letter}{last}")
    return head


def template() -> Workbook:
    workbook = Workbook()
    sheet = workbook.active
    sheet.title = "Records"
    head = record_sheet(sheet, [], BLANK_ROWS, LINES)
    for column, (_, text) in enumerate(COLUMNS.values(), 1):
        note = Comment(text, "tautsheet")
        note.width, note.height = 280, 34 + 17 * (len(text) * 7 // 280 + 1)
        sheet.cell(head, column).comment = note
    notes_sheet(workbook, "Notes", NOTES)
    return workbook


if __name__ == "__main__":
    save(template(), TARGET)
