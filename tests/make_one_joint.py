"""Writes `templates/one joint.xlsx`: the form for a joint that stands in no list.

Run `python tests/make_one_joint.py` after a change here.
"""

import sys
from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.worksheet.datavalidation import DataValidation

sys.path.insert(0, str(Path(__file__).parent))  # pytest, looking for doctests, imports this file by its path
from sheet_layout import BORDER, save  # noqa: E402

from addin.cards.one_joint import LABELS, RELEASED_BY, RELEASED_ON  # noqa: E402
from calc.plan.joints import METHODS, OPERATIONS  # noqa: E402

TARGET = Path(__file__).parents[1] / "templates" / "one joint.xlsx"
YELLOW = PatternFill("solid", fgColor="FFF2CC")
SAID = (
    "Fill the yellow cells, then: tautsheet card FILE --wrenches BOOK --out DIR. The card is a DRAFT without a figure "
    "until a name and a date of release stand below. It supports and never replaces the site's procedure, local codes "
    "and licensed practice."
)


def main() -> None:
    """The form: a label, its yellow cell, and what goes in."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "One joint"
    sheet["A1"], sheet["A2"] = "One joint", SAID
    sheet["A1"].font = Font(name="Arial", size=16, bold=True)
    sheet["A2"].font, sheet["A2"].alignment = Font(name="Arial", size=9), Alignment(wrap_text=True, vertical="top")
    sheet.merge_cells("A2:C2")
    sheet.row_dimensions[2].height = 40
    released = {RELEASED_BY: "name of who releases the card", RELEASED_ON: "a date"}
    for row, (label, words) in enumerate({**LABELS, **released}.items(), 4):
        cell, value, note = (sheet.cell(row, column) for column in (1, 2, 3))
        cell.value, note.value = label, words or None
        cell.font, value.font = Font(name="Arial", size=11, bold=True), Font(name="Arial", size=12)
        note.font = Font(name="Arial", size=9, color="404040")
        value.fill, value.border = YELLOW, BORDER
        value.alignment = Alignment(horizontal="left", wrap_text=True)
        sheet.row_dimensions[row].height = 22
        if label in ("Job date", RELEASED_ON):
            value.number_format = "yyyy-mm-dd"
        elif label in ("Joint", "Stud size", "Torque"):
            value.number_format = "@"
        for name, choices in (("Operation", OPERATIONS), ("Method", METHODS)):
            if label == name:
                rule = DataValidation("list", formula1=f'"{",".join(choices)}"', allow_blank=True)
                sheet.add_data_validation(rule)
                rule.add(value)
    for column, width in (("A", 16), ("B", 34), ("C", 44)):
        sheet.column_dimensions[column].width = width
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    book.properties.title = "One joint"
    save(book, TARGET)


if __name__ == "__main__":
    main()
