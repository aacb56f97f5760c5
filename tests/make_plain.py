"""Writes templates/plain.xlsx: torque and pump setting with a spreadsheet's own functions (Excel 2016, Calc).

    python tests/make_plain.py

The formulas follow `torque_from_preload` and `setpoint`; `tests/addin/hosts/test_plain.py` compares them in Calc.
"""

from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Alignment, Font, Protection
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet
from sheet_layout import BORDER, FONT, INK, PAPER, TINT, fill, heading_row

TARGET = Path(__file__).parents[1] / "templates" / "plain.xlsx"
JOINTS, POINTS = 100, 100
FIRST, TOP = 12, 6
"""First row of the joints, and of the table."""
LAST, END = FIRST + JOINTS - 1, TOP + POINTS - 1
P, T = f"Calibration!$A${TOP}:$A${END}", f"Calibration!$B${TOP}:$B${END}"
RANGES: dict[str, tuple[tuple[float, float], tuple[float, float]]] = {
    # low and high in US units and SI, as the functions have them
    "preload": ((112.404, 4496179), (0.5, 20000)), "diameter": ((0.25, 6), (6, 150)),
    "torque": ((3.69, 147512), (5, 200000)), "pressure": ((72.5, 21755), (5, 1500)),
    "graduation": ((7.26, 2900), (0.5, 200)),
}  # fmt: skip
UNITS = {"preload": ("lbf", "kN"), "diameter": ("in", "mm"), "torque": ("lbf·ft", "N·m"), "pressure": ("psi", "bar"),
         "graduation": ("psi", "bar")}  # fmt: skip
US = 'Settings!$B$4="US"'
CLEAR = '"STOP: units must be US or SI"'


def unit(name: str) -> str:
    return f'IF({US},"{UNITS[name][0]}","{UNITS[name][1]}")'


def limit(name: str, end: int) -> str:
    us, si = RANGES[name]
    return f"IF({US},{us[end]},{si[end]})"


def number(cell: str, name: str, word: str, at: str = "") -> str:
    """A stop for a cell that is no number within its range, or nothing; an IF without its last part."""
    shown = f'ROUND({cell},6)&" "&{unit(name)}'
    return (
        f'IF(NOT(ISNUMBER({cell})),"STOP: {word} must be a number{at}",'
        f'IF({cell}<={0},"STOP: {word} must be above 0, got "&{cell}{"&" + chr(34) + at + chr(34) if at else ""},'
        f'IF({cell}<{limit(name, 0)},"STOP: {word} "&{shown}&" is below "&{limit(name, 0)}&" "&{unit(name)},'
        f'IF({cell}>{limit(name, 1)},"STOP: {word} "&{shown}&" is above "&{limit(name, 1)}&" "&{unit(name)},'
    )


def calibration(book: Workbook) -> None:
    sheet = book.create_sheet("Calibration")
    sheet["A1"] = "Calibration of one wrench: paste pressure and torque below, from its own certificate"
    sheet["A1"].font = Font(FONT, size=13, bold=True, color=INK)
    sheet["A2"], sheet["A3"], sheet["A4"] = "Wrench, certificate", "What was pasted", "Points on the certificate"
    for cell in ("C2", "C4"):
        sheet[cell].fill, sheet[cell].protection = fill(TINT), Protection(locked=False)
        sheet[cell].alignment = Alignment(horizontal="left")
    sheet["C3"] = (
        f'=IF(AND(Settings!$B$4<>"US",Settings!$B$4<>"SI"),{CLEAR},IF(COUNTA(A{END + 1}:B{END + 400})>0,'
        f'"STOP: the table has more than {POINTS} rows",IF(COUNTIF(C{TOP}:C{END},"STOP*")>0,'
        f'INDEX(C{TOP}:C{END},MATCH("STOP*",C{TOP}:C{END},0)),IF(COUNT(A{TOP}:A{END})<2,'
        f'"STOP: table needs at least two points, got "&COUNT(A{TOP}:A{END}),IF(NOT(ISNUMBER(C4)),'
        f'"STOP: type how many points the certificate has into the sheet Calibration",IF(COUNT(A{TOP}:A{END})<>C4,'
        f'"STOP: "&COUNT(A{TOP}:A{END})&" points stand in the sheet Calibration, "&C4&" on the certificate: clear what '
        f'is left over from an earlier one",COUNT(A{TOP}:A{END})&" rows, "&'
        f'MIN(A{TOP}:A{END})&" to "&MAX(A{TOP}:A{END})&" "&{unit("pressure")}&", rises, top "&MAX(B{TOP}:B{END})&" "&'
        f"{unit('torque')}))))))"
    )
    sheet["C3"].font = Font(FONT, size=10, bold=True)
    check = "Check of the row (no blank row within, both columns rise, nothing else below)"
    heading_row(sheet, TOP - 1, [in_units("Pressure", "pressure"), in_units("Torque", "torque"), check], height=20)
    for row in range(TOP, END + 1):
        point, at = row - TOP + 1, f" (table row {row - TOP + 1})"
        below = f"COUNTA(A{row + 1}:B{END + 1})" if row < END else "0"
        rises = (
            '"ok"' if row == TOP else
            f'IF(OR(A{row}<=A{row - 1},B{row}<=B{row - 1}),"STOP: table does not rise at row {point}: "&A{row}&" with "'
            f'&B{row}&" after "&A{row - 1}&" with "&B{row - 1},"ok")'
        )  # fmt: skip
        sheet[f"C{row}"] = (
            f'=IF(COUNTA(A{row}:B{row})=0,IF({below}>0,"STOP: numbers stand below the empty row {point} of the table",""),'
            + number(f"A{row}", "pressure", "pressure", at) + number(f"B{row}", "torque", "torque", at) + rises + ")" * 9
        )  # fmt: skip
        for column in "AB":
            sheet[f"{column}{row}"].fill = fill(TINT)
            sheet[f"{column}{row}"].border = BORDER
            sheet[f"{column}{row}"].protection = Protection(locked=False)
    example(sheet)
    sheet[f"C{END + 1}"] = "The table ends here."
    stop = FormulaRule(formula=[f'LEFT($C{TOP - 3},4)="STOP"'], font=Font(bold=True, color="FFB00020"))
    sheet.conditional_formatting.add(f"C{TOP - 3}:C{END}", stop)
    for column, width in zip("ABCDEF", (14, 14, 84, 4, 16, 16), strict=True):
        sheet.column_dimensions[column].width = width
    sheet.freeze_panes = f"A{TOP}"
    on_one_width(sheet, f"A1:F{TOP + 34}")


def example(sheet: Worksheet) -> None:
    """A table of an invented wrench beside the cells to paste into, which are empty."""
    sheet["E1"] = "Example of an invented wrench, only for trying:"
    sheet["E2"] = f"copy E{TOP}:F{TOP + 7} to A{TOP} and type 8 as points. Never set a pump by it."
    for cell in ("E1", "E2"):
        sheet[cell].font = Font(FONT, size=10, bold=True, color="FFB00020")
    for column, text in (("E", "Pressure (psi)"), ("F", "Torque (lbf·ft)")):
        sheet[f"{column}{TOP - 1}"] = text
        sheet[f"{column}{TOP - 1}"].font = Font(FONT, size=10, bold=True)
    for row, pressure in enumerate(range(1000, 9000, 1000), start=TOP):
        sheet[f"E{row}"], sheet[f"F{row}"] = pressure, round(pressure * 0.41 - 10)
        for column in "EF":
            sheet[f"{column}{row}"].protection = Protection(locked=False)


def in_units(words: str, name: str) -> str:
    """A heading with the unit of the sheet Settings."""
    return f'="{words} ("&{unit(name)}&")"'


def between(x: str, xs: str, ys: str, k: str) -> str:
    """On the straight line between the rows k and k + 1."""
    return (
        f"INDEX({ys},{k})+({x}-INDEX({xs},{k}))/(INDEX({xs},{k}+1)-INDEX({xs},{k}))*(INDEX({ys},{k}+1)-INDEX({ys},{k}))"
    )


def snapped(cell: str) -> str:
    return f"IF(ABS({cell}-ROUND({cell},0))<=0.000000001*MAX(ABS({cell}),1),ROUND({cell},0),{cell})"


def columns(row: int) -> dict[str, str]:
    """Formulas of one joint."""
    used = f"COUNTA($A{row}:$E{row})=0"
    given = f'$C{row}<>""'
    factor = (
        f'IF(NOT(ISNUMBER($E{row})),"STOP: nut factor must be a number",IF($E{row}<0.04,"STOP: nut factor "&$E{row}&'
        f'" is below 0.04",IF($E{row}>0.6,"STOP: nut factor "&$E{row}&" is above 0.6","")))'
    )
    preload = number(f"$C{row}", "preload", "preload") + number(f"$D{row}", "diameter", "diameter") + factor + ")" * 8
    stated = number(f"$B{row}", "torque", "torque") + '""' + "))))"
    return {
        # inputs and torque: what stops before the table is asked
        "K": f'=IF({used},"",IF(AND(Settings!$B$4<>"US",Settings!$B$4<>"SI"),{CLEAR},IF(AND($B{row}<>"",{given}),'
             f'"STOP: give a torque or a preload, not both",IF($B{row}<>"",{stated},IF({given},{preload},'
             f'"STOP: torque or preload must be given")))))',
        "L": f'=IF({used},"",IF($K{row}<>"",NA(),IF($B{row}<>"",$B{row},$E{row}*$C{row}*$D{row}/IF({US},12,1))))',
        # rows of the table at or below the torque, and the pressure there
        "M": f'=IF({used},"",IF(ISNUMBER($L{row}),SUMPRODUCT(ISNUMBER({T})*({T}<=$L{row}))-IF($L{row}=MAX({T}),1,0),NA()))',
        "N": f'=IF({used},"",IF(ISNUMBER($M{row}),IF(AND($M{row}>=1,$L{row}<=MAX({T})),'
             f'{between(f"$L{row}", T, P, f"$M{row}")},NA()),NA()))',
        "O": f'=IF({used},"",$N{row}/$B$5)',
        "P": f'=IF({used},"",IF(ISNUMBER($O{row}),{snapped(f"$O{row}")},NA()))',
        # the mark: nearest (half-way: the lower), down, up
        "Q": f'=IF({used},"",IF(ISNUMBER($P{row}),IF($B$6="down",MIN(INT($P{row}),$H$7),IF($B$6="up",'
             f"MAX(-INT(-$P{row}),$H$6),MIN(MAX(-INT(-($P{row}-0.5-0.000000001*MAX($P{row},1))),$H$6),$H$7))),NA()))",
        "R": f'=IF({used},"",IF(ISNUMBER($Q{row}),$Q{row}*$B$5,NA()))',
        "S": f'=IF({used},"",IF(ISNUMBER($R{row}),SUMPRODUCT(ISNUMBER({P})*({P}<=$R{row}*(1+0.000000000001)))'
             f"-IF($R{row}>=MAX({P}),1,0),NA()))",
        "T": f'=IF({used},"",IF(ISNUMBER($S{row}),IF($S{row}>=1,{between(f"$R{row}", P, T, f"$S{row}")},NA()),NA()))',
        "U": f'=IF({used},"",IF(ISNUMBER($T{row}),($T{row}/$L{row}-1)*100,NA()))',
        # what is shown
        "J": f'=IF({used},"",IF($K{row}<>"",$K{row},IF(LEFT(Calibration!$C$3,4)="STOP",Calibration!$C$3,IF($D$9<>"",$D$9,'
             f'IF($L{row}<MIN({T}),"STOP: torque "&ROUND($L{row},3)&" "&{unit("torque")}&" is below this table\'s lowest '
             f'point, "&MIN({T})&" "&{unit("torque")},IF($L{row}>MAX({T}),"STOP: torque "&ROUND($L{row},3)&" "&'
             f'{unit("torque")}&" is above this table\'s highest point, "&MAX({T})&" "&{unit("torque")},'
             f'IF(OR($H$6>$H$7,$Q{row}<$H$6,$Q{row}>$H$7),"STOP: no mark of the gauge serves within the table",'
             f'IF(ABS($U{row})>$B$7*1.000000000001,"STOP: the mark "&$R{row}&" "&{unit("pressure")}&" gives "&'
             f'ROUND($T{row},1)&" "&{unit("torque")}&", "&ROUND($U{row},1)&" % off; the tolerance is "&$B$7&" %",""))))))))',
        "F": f'=IF({used},"",IF($J{row}="",$L{row},NA()))',
        "G": f'=IF({used},"",IF($J{row}="",$R{row},NA()))',
        "H": f'=IF({used},"",IF($J{row}="",$T{row},NA()))',
        "I": f'=IF({used},"",IF($J{row}="",$U{row},NA()))',
    }  # fmt: skip


def settings(sheet: Worksheet) -> None:
    sheet.title = "Settings"
    sheet["A1"] = "Pump settings without an add-in"
    sheet["A1"].font = Font(FONT, size=15, bold=True, color=INK)
    sheet["A2"] = (
        "Torque from preload (T = K D F) and the setting on the gauge from the wrench's own table. Yellow cells are yours. "
        "It supports and never replaces the site's procedure, local codes and licensed practice."
    )
    heads: list[tuple[int, str, Any, str]] = [
        (4, "Units", "US", "US: lbf, in, lbf·ft, psi.  SI: kN, mm, N·m, bar"),
        (5, "Step between two marks of the gauge", 100, ""),
        (6, "Rounding", "nearest", "nearest (half-way: the lower), down or up"),
        (7, "Tolerance of torque (%)", 3, "a mark that is further off stops"),
    ]
    for row, label, value, note in heads:
        sheet[f"A{row}"], sheet[f"B{row}"], sheet[f"C{row}"] = label, value, note
        sheet[f"B{row}"].fill, sheet[f"B{row}"].border = fill(TINT), BORDER
        sheet[f"B{row}"].protection = Protection(locked=False)
        sheet[f"C{row}"].font = Font(FONT, size=9, italic=True, color="FF5A666C")
    sheet["G6"], sheet["G7"] = "lowest mark", "highest mark"
    low, high = f"MIN({P})/$B$5", f"MAX({P})/$B$5"
    sheet["H6"] = f'=IF($D$9<>"",NA(),-INT(-({snapped("(" + low + ")")})))'
    sheet["H7"] = f'=IF($D$9<>"",NA(),INT({snapped("(" + high + ")")}))'
    sheet["A8"], sheet["D8"] = "Table", "=Calibration!C3"
    sheet["A9"] = "Gauge and tolerance"
    sheet["D9"] = (
        f'=IF(AND($B$4<>"US",$B$4<>"SI"),{CLEAR},' + number("$B$5", "graduation", "graduation")
        + 'IF(AND($B$6<>"nearest",$B$6<>"down",$B$6<>"up"),"STOP: rounding must be nearest, down or up",'
        'IF(NOT(ISNUMBER($B$7)),"STOP: tolerance must be a number",IF(OR($B$7<0.1,$B$7>20),'
        '"STOP: tolerance must be from 0.1 to 20 per cent, got "&$B$7,"")))' + ")" * 5
    )  # fmt: skip
    heading_row(sheet, FIRST - 1, [
        "Joint", in_units("Torque stated", "torque"), in_units("or preload of a stud", "preload"),
        in_units("Nominal diameter", "diameter"), "Nut factor K", in_units("Torque", "torque"),
        in_units("SET ON THE GAUGE", "pressure"), in_units("Torque at that mark", "torque"), "Difference (%)",
        "What stops it", "check of inputs", "torque", "row below", "pressure",
        "marks", "marks", "mark", "pressure", "row below", "torque at this pressure", "difference (%)",
    ])  # fmt: skip
    for row in range(FIRST, LAST + 1):
        for column, formula in columns(row).items():
            sheet[f"{column}{row}"] = formula
        for column in "ABCDE":
            sheet[f"{column}{row}"].fill = fill(TINT)
            sheet[f"{column}{row}"].protection = Protection(locked=False)
        for column in "ABCDEFGHIJ":
            sheet[f"{column}{row}"].border = BORDER
        for column, shown in (("F", "#,##0.0"), ("G", "#,##0.###"), ("H", "#,##0.0"), ("I", "0.0")):
            sheet[f"{column}{row}"].number_format = shown
        sheet[f"G{row}"].font = Font(FONT, size=11, bold=True)
        sheet[f"A{row}"].number_format = "@"
    for values in (
        (("A", "E-1"), ("C", 45000), ("D", 1.25), ("E", 0.15)),
        (("A", "E-2"), ("B", 1200)),
        (("A", "E-3"), ("B", 9000)),
    ):
        row = FIRST + int(str(values[0][1])[-1]) - 1
        for column, value in values:
            sheet[f"{column}{row}"] = value
    sheet.conditional_formatting.add(
        f"F{FIRST}:I{LAST}", FormulaRule(formula=[f"ISNA(F{FIRST})"], font=Font(color="FFB9C2C6"))
    )
    stop = FormulaRule(formula=[f'LEFT(J{FIRST},4)="STOP"'], font=Font(bold=True, color="FFB00020"))
    sheet.conditional_formatting.add(f"J{FIRST}:J{LAST}", stop)
    sheet.conditional_formatting.add(
        "D8:D9", FormulaRule(formula=['LEFT(D8,4)="STOP"'], font=Font(bold=True, color="FFB00020"))
    )
    for cells, choice in (("B4", '"US,SI"'), ("B6", '"nearest,down,up"')):
        validation = DataValidation("list", formula1=choice, showErrorMessage=True)
        validation.add(cells)
        sheet.add_data_validation(validation)
    for column, width in zip("ABCDEFGHIJ", (34, 11, 13, 11, 9, 11, 13, 12, 11, 70), strict=True):
        sheet.column_dimensions[column].width = width
    for column in "KLMNOPQRSTU":
        sheet.column_dimensions[column].outlineLevel, sheet.column_dimensions[column].hidden = 1, True
    for cell in ("D8", "D9"):
        sheet[cell].font = Font(FONT, size=10, bold=True)
    sheet["A2"].alignment = Alignment(wrap_text=True, vertical="top")
    sheet.merge_cells("A2:J2")
    sheet.row_dimensions[2].height = 28
    sheet.freeze_panes = f"B{FIRST}"
    on_one_width(sheet, f"A1:J{FIRST + 24}")


def on_one_width(sheet: Worksheet, area: str) -> None:
    """An area printed on one page across, A4."""
    sheet.page_setup.orientation, sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = "landscape", 1, 0
    sheet.page_setup.paperSize = 9
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.print_area = area


def main() -> None:
    book = Workbook()
    settings(book.active)
    calibration(book)
    for sheet in book:
        sheet.protection.sheet = True  # without a word: it keeps formulas from slips and can be lifted
        sheet.sheet_view.showGridLines = False
        sheet.sheet_properties.tabColor = PAPER[2:]
    book.save(TARGET)


if __name__ == "__main__":
    main()
