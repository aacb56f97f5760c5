"""Writes `templates/record sheet.xlsx`: the blank sheet on which as-tightened values are typed by exception.

Run `python tests/make_record_sheet.py` after a change here or of `addin/records/record_sheet.py`, which makes it.
"""

import sys
from pathlib import Path

from openpyxl import Workbook

sys.path.insert(0, str(Path(__file__).parent))  # pytest, looking for doctests, imports this file by its path
from sheet_layout import notes_sheet, save  # noqa: E402

from addin.records.record_fields import HEADINGS  # noqa: E402
from addin.records.record_sheet import RecordSheet, SheetStyle, fill, fill_scans  # noqa: E402

TARGET = Path(__file__).parents[1] / "templates" / "record sheet.xlsx"
BLANK_ROWS = 60
H = HEADINGS
NOTES = [
    "How this sheet is filled",
    "A joint done as its card says: joint, operation, card, 'as planned', date, who. Nothing else. Without a name and "
    "a date it stays to be completed; both may stand once at the head of the sheet.",
    "Some passes differ: one row 'as planned' for the joint, and one row 'differs' with the passes and what was used "
    "in them: wrench, gauge, pressure with its unit, date. The 'as planned' row then covers the other passes.",
    "Only some passes are done: 'as planned' with the passes, like 1-2. The joint is then part tightened.",
    "Two or four wrenches: HW-2, HW-3 with 3150, 3200 in one cell, or a row for each wrench.",
    "A scan of the mark of a card says 'as planned' for its joint, in its row or on the sheet Scans.",
    "Another lubricant: 'as planned' with the product under lubricant. The preload is worked out with that product.",
    "A hand torque wrench, or a pass by other means: torque and its unit instead of a pressure, and the wrench.",
    "The same columns may stand in your own joint list, to the right of it: the same headings, one row per joint. For "
    "a pass that differs add columns such as 'As-tightened pass 3 wrench' and 'As-tightened pass 3 pressure (psi)'.",
    "Then: tautsheet record PLAN.json THIS-FILE --out FOLDER. The same command shows progress at any time.",
]


def template() -> Workbook:
    workbook = Workbook()
    sheet = workbook.active
    sheet.title = "Records"
    style = SheetStyle(workbook)
    fill(sheet, RecordSheet("Records", "As-tightened record", "", (), BLANK_ROWS), style, None, "A4")
    fill_scans(workbook.create_sheet("Scans"), "", style, "A4")
    notes_sheet(workbook, "Notes", NOTES)
    return workbook


if __name__ == "__main__":
    save(template(), TARGET)
