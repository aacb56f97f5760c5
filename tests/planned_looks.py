"""Six lists of different looks, planned, as PNG beside the original, for a person to look at.

`python tests/planned_looks.py FOLDER`: writes the lists, plans them, and draws both where the office program is there.
"""

import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import openpyxl
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.worksheet.table import Table, TableStyleInfo
from openpyxl.worksheet.worksheet import Worksheet

from addin.shipped import folder

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"
HEAD = ["Joint", "Operation", "Method", "Stud size", "No. of studs", "Grade", "Stress (psi)", "Stress area",
        "Across flats (mm)", "Lubricant", "Date", "Line", "Unit value"]  # fmt: skip
_SIZES = {
    "large": ("1 5/8-8", 20, 65),
    "middle": ("1 1/8-8", 12, 46),
    "small": ("3/4-10", 8, 32),
    "huge": ("2-8", 24, 80),
}
_JOINTS = (("V-101 N1", "hydraulic", "large", 43900, 12500), ("V-101 N2", "hydraulic", "middle", 46300, 8200),
           ("V-102 N1", "hydraulic", "large", None, 1250), ("V-102 N2", "hand", "small", 41300, 990),
           ("V-103 M1", "tensioned", "huge", 40700, 2300), ("V-103 N1", "hydraulic", "large", 48100, 17500),
           ("V-104 N1", "hydraulic", "large", 31700, 5100))  # fmt: skip
ROWS = [
    [tag, "final make-up", method, *_SIZES[size][:2], "A193 B7", stress, "root B1.1", _SIZES[size][2], "L-20",
     "2026-09-14", f"12-P-20{tag[3:5]}", value]
    for tag, method, size, stress, value in _JOINTS
]  # fmt: skip
THIN = Side(style="thin", color="7F7F7F")
BOX = Border(left=THIN, right=THIN, top=THIN, bottom=THIN)


def _fill(sheet: Worksheet, top: int, units: bool = False) -> None:
    rows = [HEAD if not units else [text.partition(" (")[0] for text in HEAD]]
    if units:
        rows.append([text.partition("(")[2].rstrip(")") or None for text in HEAD])
    for number, row in enumerate([*rows, *ROWS], top):
        for column, value in enumerate(row, 1):
            sheet.cell(number, column).value = value
    for column in range(1, len(HEAD) + 1):
        sheet.column_dimensions[sheet.cell(1, column).column_letter].width = 13


def bands(sheet: Worksheet) -> None:
    """White on blue, thin borders, every second row in light blue, centred, numbers with separators."""
    _fill(sheet, 3)
    sheet["A1"] = "Drigrauvex, spring outage"
    sheet["A1"].font = Font(name="Calibri", size=16, bold=True)
    sheet.row_dimensions[3].height = 45
    for row in sheet.iter_rows(3, 3 + len(ROWS), 1, len(HEAD)):
        for cell in row:
            cell.border, cell.font = BOX, Font(name="Calibri", size=10)
            cell.alignment = Alignment(horizontal="center", vertical="center", wrap_text=cell.row == 3)
            if isinstance(cell.value, int):
                cell.number_format = "#,##0"
            if cell.row == 3:
                cell.fill, cell.font = (
                    PatternFill("solid", fgColor="1F4E79"),
                    Font(name="Calibri", size=10, bold=True, color="FFFFFF"),
                )
            elif cell.row % 2:
                cell.fill = PatternFill("solid", fgColor="DDEBF7")


def table(sheet: Worksheet) -> None:
    """A table of the spreadsheet program."""
    _fill(sheet, 1)
    made = Table(displayName="Joints1", ref=f"A1:M{len(ROWS) + 1}")
    made.tableStyleInfo = TableStyleInfo(name="TableStyleMedium2", showRowStripes=True)
    sheet.add_table(made)


def small(sheet: Worksheet) -> None:
    """Arial 8, a row of units, group rows on grey, lines below only."""
    _fill(sheet, 4, units=True)
    sheet["A2"] = "Make-up schedule"
    sheet.insert_rows(9)
    sheet["A9"] = "Unit 2"
    line = Border(bottom=Side(style="hair"))
    for row in sheet.iter_rows(4, 6 + len(ROWS), 1, len(HEAD)):
        for cell in row:
            cell.font, cell.border = Font(name="Arial", size=8, bold=cell.row < 6 or cell.row == 9), line
            if cell.row in (4, 5, 9):
                cell.fill = PatternFill("solid", fgColor="D9D9D9")


def conditional(sheet: Worksheet) -> None:
    """Times 12, thick lines, rows marked by conditional formats that look at one column."""
    _fill(sheet, 2)
    thick = Side(style="medium")
    for row in sheet.iter_rows(2, 2 + len(ROWS), 1, len(HEAD)):
        for cell in row:
            cell.font = Font(name="Times New Roman", size=12, bold=cell.row == 2)
            cell.border = Border(left=thick, right=thick, top=thick, bottom=thick)
    ref = f"A3:M{2 + len(ROWS)}"
    sheet.conditional_formatting.add(ref, FormulaRule(['$C3="hand"'], fill=PatternFill("solid", bgColor="E2F0D9")))
    sheet.conditional_formatting.add(ref, FormulaRule(["MOD(ROW(),2)=0"], fill=PatternFill("solid", bgColor="F2F2F2")))


def plain(sheet: Worksheet) -> None:
    """As a program exports it."""
    _fill(sheet, 1)


def green(sheet: Worksheet) -> None:
    """Headings in two rows, merged, dark green; rows 24 points high, words in the middle; filter and frozen panes."""
    _fill(sheet, 3)
    for column, text in ((1, "Joint"), (4, "Bolting"), (9, "Work")):
        sheet.cell(2, column).value = text
    for ref in ("A2:C2", "D2:H2", "I2:M2"):
        sheet.merge_cells(ref)
    for row in sheet.iter_rows(2, 3 + len(ROWS), 1, len(HEAD)):
        sheet.row_dimensions[row[0].row].height = 24
        for cell in row:
            cell.border, cell.alignment = BOX, Alignment(vertical="center", wrap_text=cell.row == 3)
            cell.font = Font(name="Verdana", size=9)
            if cell.row < 4:
                cell.fill, cell.font = (
                    PatternFill("solid", fgColor="375623"),
                    Font(name="Verdana", size=9, bold=True, color="FFFFFF"),
                )
    sheet.auto_filter.ref = f"A3:M{3 + len(ROWS)}"
    sheet.freeze_panes = "B4"


LOOKS: dict[str, Callable[[Worksheet], None]] = {
    "bands": bands, "table": table, "small": small, "conditional": conditional, "plain": plain, "green": green,
}  # fmt: skip


def make(folder_: Path) -> list[Path]:
    """The six lists."""
    made = []
    for name, look in LOOKS.items():
        book = openpyxl.Workbook()
        sheet = book.worksheets[0]
        sheet.title = "Joints"
        look(sheet)
        sheet.page_setup.orientation, sheet.page_setup.paperSize = "landscape", 8
        sheet.sheet_properties.pageSetUpPr = openpyxl.worksheet.properties.PageSetupProperties(fitToPage=True)
        made.append(folder_ / f"{name}.xlsx")
        book.save(made[-1])
    return made


def draw(paths: list[Path]) -> None:
    """The first page of workbooks as PNG, through the office program."""
    where = paths[0].parent
    subprocess.run(["soffice", "--headless", "--convert-to", "pdf", "--outdir", where, *paths], check=True,
                   capture_output=True)  # fmt: skip
    for path in paths:
        page = ["-r", "110", "-png", "-f", "1", "-l", "1", path.with_suffix(".pdf"), path.with_suffix("")]
        subprocess.run(["pdftoppm", *page], check=True)


def main() -> None:
    where = Path(sys.argv[1])
    where.mkdir(parents=True, exist_ok=True)
    drawn = []
    for path in make(where):
        command = [sys.executable, "-m", "addin", "plan", path, "--wrenches", BOOK, "--out", where, "--overwrite"]
        done = subprocess.run([*command, *sys.argv[2:]], capture_output=True, text=True)
        print(path.name, done.returncode, *done.stdout.splitlines()[-3:], done.stderr, sep="\n  ")
        drawn += [path, path.with_name(f"{path.stem}-planned.xlsx")]
    if shutil.which("soffice"):
        draw(drawn)


if __name__ == "__main__":
    main()
