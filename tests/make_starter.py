"""Writes `templates/starter.xlsx`: a workbook with live formulas of our functions, for its user to fill and change.

Run `python tests/make_starter.py` after a change here or of a function's name, help or example. It needs LibreOffice,
which calculates the workbook once, so that programs that show a file without calculating it show something too.
"""

import sys
import tempfile
from pathlib import Path
from typing import Any

from starter_aids import EXAMPLE, PRODUCTS, example_calibration_sheet, lubricants_sheet, nut_factor, why_sheet
from starter_functions import first_number, functions_sheet
from starter_sheets import FONT, GREY, INK, LINE, RED, TYPED, Sheets, Values, print_setup
from xlsxwriter.utility import xl_col_to_name, xl_rowcol_to_cell

from addin.hosts.libreoffice.office import Office
from calc.hardware.nuts import SERIES
from calc.hardware.threads import AREAS
from calc.procedure.passes import schemes

__all__ = ["build", "first_number", "shown_in_calc"]

STARTER = Path(__file__).parents[1] / "templates" / "starter.xlsx"

FIRST, ROWS = 14, 12
"""First row of the joints as a spreadsheet counts, and how many rows are made."""
MOST = 200
"""Rows that formats, links and names reach: the last of those made may be copied down."""
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVW"
"""Columns of the joints."""
PASSES = "MNOPQ"
"""Columns of the passes that are set one after another."""
TABLE_FIRST, TABLE_LAST = 13, 113
"""Rows of the calibration sheet to paste into, headings first; four columns wide."""
TABLE = f"Calibration!$A${TABLE_FIRST}:$D${TABLE_LAST}"
READY = "Calibration!$A$10"
"""Why the calibration cannot be used; empty where it can."""
FINDINGS = 8
GAUGE = 'IF(OR($M$3="US",$M$3="SI psi"),"psi","bar")'
SI = 'LEFT($M$3,2)="SI"'
FORCE, MOMENT = f'IF({SI},"kN","lbf")', f'IF({SI},"N·m","lbf·ft")'
NO_LINK = "no link for this nut in the sheet Calibration: enter the link, or take another wrench"
OTHER_LINKS = "the links in the sheet Calibration are not said to be those of this wrench: type its name beside them"
TOO_HIGH, TOO_LOW = ": take a stronger wrench", ": take a smaller wrench"

JOINTS: list[list[Any]] = [  # of an invented plant
    ["R-1 side nozzle", "1 5/8", "A193 B7", 46300, 0.145],
    ["R-1 top nozzle", "1 3/4", "A193 B16", 47800, 0.145],
    ["E-101 channel", "1 7/8", "A193 B7", 42700, 0.145],
    ["E-101 shell", "1 3/4", "A193 B7", 49200, 0.145],
    ["E-102 channel", "1 3/8", "A193 B7", 48600, 0.145],
    ["V-2 inlet", "2", "A193 B7", 41900, 0.145],
    ["R-1 manway", "2 1/2", "A193 B7", 46800, 0.165],
    ["V-2 outlet", "1 5/8", "A193 B7", "322 MPa", 0.145],
]
LINKS = (2.1875, 2.5625, 2.75, 2.9375, 3.125, 3.875)
"""Sizes of the links of the example. [in]"""
LINK_PLACES = 8

BEFORE = (
    "Before work: joint isolated, depressurised, drained and released; nothing above its rated pressure; hands clear "
    "of the reaction point. This supports the site's procedure, local codes and licensed practice; it replaces none."
)
NAMELESS = (
    "#NAME? in the cells: this program does not have our functions. Install them (tautsheet excel or "
    "tautsheet libreoffice), or calculate a copy: tautsheet recalc starter.xlsx --out filled.xlsx --pdf"
)
AFTER = (
    "After the last pass: go round in a circle at the pressure at full torque until no nut turns; pass_table (sheet How"
    " to) shows every pass with its torque. 'other means': below the wrench's lowest certified point."
)
NOT_CHECKED = (
    "Not checked on this sheet: dates of certificates, ratings of pump, hose and gauge, limits of gasket, flange and "
    "stud while tightening, room for the wrench, break-out, what each stud keeps when its neighbours are tightened."
)
STEPS = (
    "1  Paste the wrench's calibration table into the sheet Calibration (an example stands on a sheet of its own).",
    "2  Type joints into the yellow cells, a row each.",
    "    A cell may carry a unit of its own: 345 MPa under psi is read.",
    "    More joints: copy the last row down. The sheets are protected without a password.",
    "3  Set the gauge to the pressures of the passes, from left to right, up to 100 %.",
    "    A row that says STOP has no setting: read why at its end, or on the sheet Why.",
)
SETTINGS = (
    ("Units", "US", "US: in, lbf, lbf·ft, psi. SI: mm, kN, N·m, bar. Or the other gauge.",
     "Unit system: US (in, lbf, lbf·ft, psi) or SI (mm, kN, N·m, bar); US bar and SI psi for another pump gauge."),
    ("Gauge mark every", 100, "Step between two marks of the pump gauge, in its unit.",
     "Pressures are rounded to the nearest mark of the gauge: its step, in psi or bar."),
    ("Torque may differ (%)", 3, "By rounding to a mark; a row that would differ more stops.",
     "Most that rounding the pressure to a mark may change the torque, in per cent. More makes the row stop."),
    ("Passes", "PCC-1 legacy", "30, 60, 100 %, then circular. Or your own: 30/60/100.",
     "PCC-1 legacy: the older table of ASME PCC-1, crosswise 30, 60 and 100 % of the torque, then in a circle, and "
     "once more after 4 hours. three-pass: without the wait. Or own percentages that rise to 100, like 25/50/75/100."),
    ("Stress area", "root B1.1", "Area of the stud that the stress stands on (sheet How to).",
     "root B1.1: root area of inch threads, ASME B1.1. root ISO: root area, ISO 724. tensile: tensile stress area. The "
     "same stress on another area is another preload: take the one that your stress was stated for."),
    ("Nuts of metric studs", None, "Only for M studs, e.g. ISO 4032. Inch studs: heavy hex.",
     "Standard of the nuts on metric studs; it gives the width across flats. Not needed for inch studs: heavy hex."),
)  # fmt: skip
"""Label, value, explanation beside it, explanation in its note."""

NAMES = {
    "units_of_joints": "Joints!$M$3", "gauge_mark": "Joints!$M$4", "torque_may_differ": "Joints!$M$5",
    "scheme_of_passes": "Joints!$M$6", "stress_area": "Joints!$M$7", "metric_nuts": "Joints!$M$8",
    "calibration": TABLE, "links": f"Calibration!$G$5:${chr(ord('G') + LINK_PLACES - 1)}$5", "lubricants": PRODUCTS,
}  # fmt: skip
"""Names for formulas of the user's own."""

HOW_TO = (
    ("Yellow cells", "Yours to type. All others calculate. A row without entries stays empty."),
    ("Units", "A heading names the unit of a plain number below it. A text may carry a unit of its own: 345 MPa under "
     "Stress (psi) is allowed and converted. Torque is read as lbf·ft, ft-lb or N·m wherever a unit is written."),
    ("Stress", "Stress in the stud that the joint's procedure states, on the area chosen under Stress area."),
    ("Stress area", "root B1.1: root area of inch threads (ASME B1.1). root ISO: root area (ISO 724). tensile: tensile "
     "stress area. The same stress on another area is another preload: choose the one your stress was stated for."),
    ("Nut factor", "Factor K in torque = K x diameter x preload, of the lubricant really used: a number, or a product "
     "of the sheet Lubricants, whose nominal value is used; what low and high friction do stands on the sheet Why."),
    ("Of minimum yield (%)", "Preload over the preload at which the stud reaches its minimum yield strength, on the "
     "same area. It is for you to judge: no limit is set here."),
    ("Nut across flats", "Width of the nut that the link (cassette) or socket must fit. Inch studs: heavy hex. Metric "
     "studs: the standard chosen under Nuts of metric studs."),
    ("Wrench has the link", "yes: the nut's width stands among the links in the sheet Calibration. no: the row stops."),
    ("Torque may differ (%)", "Pressures are rounded to marks of the gauge. A row stops where that changes the torque "
     "by more than this."),
    ("Pressure at full torque", "Reading of the pump gauge that gives the torque on this wrench; the circular pass "
     "after the last cross pass is done at it."),
    ("Passes", "PCC-1 legacy: the older table of ASME PCC-1, crosswise at 30, 60 and 100 %, then in a circle until no "
     "nut turns, and once more after 4 hours. three-pass: the same without the wait. Own percentages: 25/50/75/100."),
    ("All passes of a row", "Put this into an empty cell with room below and to the right, for the joint in row "
     f"{FIRST} of the sheet Joints: =pass_table(Joints!I{FIRST}, {TABLE}, Joints!M3, Joints!M6, Joints!M4, "
     '"nearest", Joints!M5)'),
    ("other means", "The torque of this pass is below the lowest certified point of the wrench: no pressure can be "
     "read from its table, so tighten this pass with another tool."),
    ("STOP", "The row has no setting. Its narrow cells show STOP or #N/A, its figures turn grey, and the last column "
     "says why. Above the table's highest point: take a stronger wrench. No link: enter it or take another wrench. A "
     "value missing or out of range: correct the yellow cell that is named."),
    ("Points on the certificate", "How many rows of figures the certificate has. The table is used only where as many "
     "stand in the yellow cells, so that rows of an earlier wrench are never read with those of this one."),
    ("More joints", "Copy the last row of the sheet Joints down, up to 200 rows."),
    ("Protection", "Formulas and headings of the sheets Joints, Calibration, Lubricants and Why are protected from "
     "slips; yellow and empty cells are free. There is no password: Review (Calc: Tools), Unprotect Sheet. Paste "
     "values only: cells that are pasted with their looks may bring a lock along."),
    ("Names", "For formulas of your own: " + ", ".join(NAMES) + "."),
    ("Your own formulas", "Use the columns T to V of the sheet Joints (not printed). They hold numbers, and #N/A for a "
     "row that has stopped. Elsewhere a STOP is text, which SUM and MAX pass over."),
    ("#NAME?", "This program does not have our functions: install them (tautsheet excel or tautsheet libreoffice), or "
     "calculate a copy with tautsheet recalc."),
    ("Not checked here", "joint_plan and the command tautsheet plan check dates and ratings; preload_limits, "
     "breakout_check and link_clearance check theirs. What nobody enters, nobody checks."),
)  # fmt: skip


def build(path: Path, values: Values, *, functions: bool = True) -> None:
    """Write the workbook; `values` are what its formulas show. Tests leave out the slow sheet of every function."""
    sheets = Sheets(path, values)
    sheets.size = 12  # the widest sheet, printed smallest
    joints_sheet(sheets)
    sheets.size = 10
    calibration_sheet(sheets)
    lubricants_sheet(sheets)
    why_sheet(sheets, FIRST, MOST, TABLE, READY)
    how_to_sheet(sheets)
    example_calibration_sheet(sheets)
    if functions:
        functions_sheet(sheets)
    for name, place in NAMES.items():
        sheets.book.define_name(name, f"={place}")
    # nothing is calculated on opening: a program without our functions goes on showing what the file has
    sheets.book.set_calc_mode("auto", 191029)
    sheets.book.calc_on_load = False
    sheets.book.close()


def joints_sheet(sheets: Sheets) -> None:
    sheet = sheets.book.add_worksheet("Joints")
    sheet.hide_gridlines(2)
    sheet.set_row(0, 26)
    title = "Torque and pump pressure for one wrench (the joints are examples: replace them)"
    sheet.write("A1", title, sheets.style(font_size=16, bold=True))
    sheet.merge_range("A2:S2", BEFORE, sheets.style(bold=True, text_wrap=True))
    sheet.set_row(1, 34)
    for row in range(2, 8):
        sheet.set_row(row, 17)
    for row, text in enumerate(STEPS, start=3):
        sheet.write(f"A{row}", text, sheets.style())
    sheet.write("B9", "Type here", sheets.style(**{**TYPED, "locked": True}, bold=True))
    sheet.write("C9", "Yellow cells are yours. All others calculate.", sheets.style())
    for row, (label, value, beside, note) in enumerate(SETTINGS, start=3):
        sheet.merge_range(f"J{row}:L{row}", label, sheets.style(align="right"))
        sheet.merge_range(f"M{row}:N{row}", "" if value is None else value, sheets.style(**TYPED))
        sheet.write(f"O{row}", beside, sheets.style(font_size=11, indent=1))
        sheet.write_comment(f"M{row}", note, {"x_scale": 2})
    sheet.merge_range("H9:S9", NAMELESS, sheets.style(font_size=9, text_wrap=True))
    sheet.set_row(8, 26)
    sheet.merge_range("A10:S10", AFTER, sheets.style(text_wrap=True))
    sheet.merge_range("A11:S11", NOT_CHECKED, sheets.style(bold=True, text_wrap=True))
    sheet.set_row(9, 34)
    sheet.set_row(10, 34)
    head = FIRST - 1
    lost = f'AND(M{head}<>"",COUNTIF(M{head}:Q{head},"*100*")=0)'
    more = f'IF({lost}," THE LAST PASSES ARE NOT SHOWN: see pass_table","")'
    groups = ((1, 5, "Yours"), (6, 10, "Calculated"), (11, 16, f'="Set on the pump gauge ("&{GAUGE}&")"&{more}'),
              (17, 18, "Result"), (19, 22, "For your own formulas"))  # fmt: skip
    for first, last, text in groups:
        style = sheets.style(bold=True, align="center", bottom=2, bottom_color=INK)
        sheet.merge_range(FIRST - 3, first, FIRST - 3, last, "", style)
        address = xl_rowcol_to_cell(FIRST - 3, first)
        if text.startswith("="):
            sheets.formula(sheet, address, text, style)
        else:
            sheet.write(address, text, style)
    heading_cells(sheets, sheet)
    for number in range(1, ROWS + 1):
        joint_row(sheets, sheet, number)
    stopped_rows(sheets, sheet)
    sheet.data_validation("M3", {"validate": "list", "source": ["US", "SI", "US bar", "SI psi"]})
    sheet.data_validation("M6", {"validate": "list", "source": list(schemes()), "show_error": False})
    sheet.data_validation("M7", {"validate": "list", "source": list(AREAS)})
    metric = [name for name in SERIES if name not in ("heavy hex", "hex")]
    sheet.data_validation("M8", {"validate": "list", "source": metric, "error_type": "warning"})
    sheet.freeze_panes(FIRST - 1, 2)
    sheet.print_area(f"A1:S{FIRST + ROWS - 1}")
    sheet.repeat_rows(FIRST - 3, FIRST - 2)
    print_setup(sheet, pages_tall=1)


def stopped_rows(sheets: Sheets, sheet: Any) -> None:
    """Looks of a row that has stopped: STOP in narrow cells whatever their text, grey figures, inputs still yellow."""
    last = FIRST + MOST - 1
    row = f'$R{FIRST}="STOP"'
    looks: tuple[tuple[str, str, dict[str, Any]], ...] = (
        (f"G{FIRST}:J{last} L{FIRST}:L{last}", f"AND({row},ISTEXT(G{FIRST}))",
         {"font_color": RED, "bold": True, "num_format": ';;;"STOP"'}),
        (f"G{FIRST}:Q{last}", row, {"font_color": GREY, "italic": True}),
        (f"A{FIRST}:A{last}", row, {"font_color": RED, "bold": True}),
        (f"R{FIRST}:S{last}", row, {"font_color": RED}),
        (f"T{FIRST}:V{last}", f"ISNA(T{FIRST})", {"font_color": GREY}),
    )  # fmt: skip
    for cells, criteria, look in looks:
        sheet.conditional_format(cells.split()[0], {
            "type": "formula", "criteria": f"={criteria}", "format": sheets.book.add_format(look),
            "multi_range": cells, "stop_if_true": True})  # fmt: skip


def heading_cells(sheets: Sheets, sheet: Any) -> None:
    pressure = f'"&CHAR(10)&"("&{GAUGE}&")"'
    headings: list[tuple[str, float, str]] = [
        ("Row", 6, ""), ("Joint", 18, ""), ("Stud size", 8, "Inch: 1 5/8 or 1 5/8-8 UN. Metric: M36x3."),
        ("Grade", 11, "Specification and grade, e.g. A193 B7."),
        (f'="Stress"&CHAR(10)&"("&IF({SI},"MPa","psi")&")"', 10, "Stress in the stud on the area chosen above. A text "
         "with a unit of its own, like 345 MPa, is allowed under a heading of another unit: it is converted."),
        ("Nut factor", 9, "K of the lubricant really used, from your own table: a number, or a product of the sheet "
         "Lubricants."),
        (f'="Preload per stud ("&{FORCE}&")"', 11, ""),
        ("Of minimum yield (%)", 10, "Preload over the preload at the stud's minimum yield strength, same area. For "
         "you to judge: no limit is set here."),
        (f'="Torque ("&{MOMENT}&")"', 9, ""), (f'="Nut across flats ("&IF({SI},"mm","in")&")"', 9, ""),
        ("Wrench has the link", 9, "yes: the nut's width is among the links (cassettes) in the sheet Calibration."),
        (f'="Pressure at full torque{pressure}', 12, "Also of the circular pass that follows the last cross pass."),
        *((_pass_heading(number), 9, "Per cent of the torque; empty where the scheme has no such pass. After the last "
           "one: in a circle at the pressure at full torque.") for number in range(1, len(PASSES) + 1)),
        ("Status", 10, ""), ("Why it stopped", 33, ""), (f'="Preload ("&{FORCE}&")"', 11, ""),
        (f'="Torque ("&{MOMENT}&")"', 11, ""), (f'="Pressure ("&{GAUGE}&")"', 11, ""), ("Stop no.", 8, ""),
    ]  # fmt: skip
    sheet.set_row(FIRST - 2, 46)
    sheets.protect(sheet, [width for _, width, _ in headings])
    for column, (heading, _, note) in enumerate(headings):
        address = xl_rowcol_to_cell(FIRST - 2, column)
        if heading.startswith("="):
            sheets.formula(sheet, address, heading, sheets.head())
        else:
            sheet.write(address, heading, sheets.head())
        if note:
            sheet.write_comment(address, note)


def _pass_heading(number: int) -> str:
    """Per cent of a crosswise pass, or nothing where there is none."""
    shown = f"INDEX(pass_settings(1000,{EXAMPLE},$M$3,$M$6),1,{number})"  # any table has the same heads
    return f'=IFERROR(IF(RIGHT({shown},1)="%",{shown},""),"")'


def joint_row(sheets: Sheets, sheet: Any, number: int) -> None:
    row = FIRST + number - 1
    border = {"border": 1, "border_color": LINE}
    centre = {**border, "align": "center"}
    sheet.set_row(row - 1, 43)
    sheets.formula(sheet, f"A{row}", f"=ROW()-{FIRST - 1}", sheets.style(**centre))
    values = JOINTS[number - 1] if number <= len(JOINTS) else [None] * 5
    formats: list[dict[str, Any]] = [{"align": "left", "text_wrap": True}, {"num_format": "@"}, {"text_wrap": True},
                                     {"num_format": "#,##0"}, {"num_format": "0.00##", "text_wrap": True}]  # fmt: skip
    for column, (value, extra) in enumerate(zip(values, formats, strict=True), start=1):
        address = xl_rowcol_to_cell(row - 1, column)
        style = sheets.style(**{**TYPED, **extra})
        if value is None:
            sheet.write_blank(address, None, style)
        elif isinstance(value, str):
            sheet.write_string(address, value, style)
        else:
            sheet.write_number(address, value, style)
    empty = f"COUNTA($B{row}:$F{row})=0"
    passes = f'pass_settings($I{row},{TABLE},$M$3,$M$6,$M$4,"nearest",$M$5)'
    links = f"SUMPRODUCT((ABS(Calibration!$G$5:$N$5-J{row})<0.002)*1)>0"
    theirs = 'AND(TRIM(Calibration!$B$4)<>"",TRIM(Calibration!$B$4)=TRIM(Calibration!$G$6))'
    right = {"align": "right"}
    whole = {**right, "num_format": "#,##0"}
    bold = {**whole, "bold": True, "text_wrap": True}
    formulas: list[tuple[str, str, dict[str, Any], bool]] = [
        ("G", f"preload_from_stress($E{row},$C{row},$M$3,$M$7)", whole, False),
        ("H", f"100*G{row}/preload_from_yield(100,$D{row},$C{row},$M$3,$M$7)", {**right, "num_format": "0.0"}, False),
        ("I", f"torque_from_preload($G{row},$C{row},{nut_factor(f'$F{row}')},$M$3)", whole, False),
        ("J", f'IF(OR($M$8="",LEFT(UPPER(TRIM($C{row})),1)<>"M"),nut_across_flats($C{row},$M$3),'
         f"nut_across_flats($C{row},$M$3,$M$8))", {**right, "num_format": "0.0000"}, False),
        ("K", f'IFERROR(IF(AND({theirs},{links}),"yes","no"),"no")', {"align": "center"}, False),
        ("L", f'IF(AND(ISNUMBER(H{row}),K{row}="yes",{READY}=""),'
         f'setpoint($I{row},{TABLE},$M$3,$M$4,"nearest",$M$5),NA())', bold, False),
        *((letter, f'IF({letter}${FIRST - 1}="","",IF(R{row}="planned",INDEX({passes},2,{at}),NA()))', bold, True)
          for at, letter in enumerate(PASSES, start=1)),
    ]  # fmt: skip
    for letter, formula, extra, calmed in formulas:
        calm = f"IFERROR({formula},NA())" if calmed or letter == "H" else formula
        style = sheets.style(**{**border, **extra})
        sheets.formula(sheet, f"{letter}{row}", f'=IF({empty},"",{calm})', style)
    texts = "".join(f"IF(ISTEXT({letter}{row}),{letter}{row}," for letter in "GIJ")
    high = (
        f'IF(ISNUMBER(SEARCH("highest point",L{row})),"{TOO_HIGH}",'
        f'IF(ISNUMBER(SEARCH("lowest point",L{row})),"{TOO_LOW}",""))'
    )
    link = f'IF({theirs},"{NO_LINK}","{OTHER_LINKS}")'
    why = (
        f"{texts}IF(ISTEXT(L{row}),L{row}&{high},IF(ISNA(H{row}),stud_yield($D{row},$C{row},$M$3),"
        f'IF({READY}<>"",{READY},{link}))))))'
    )
    fine = f'AND({",".join(f"ISNUMBER({letter}{row})" for letter in "GHIJL")},K{row}="yes")'
    sheets.formula(sheet, f"R{row}", f'=IF({empty},"",IF({fine},"planned","STOP"))',
                   sheets.style(**centre, bold=True))  # fmt: skip
    sheets.formula(sheet, f"S{row}", f'=IF(R{row}="STOP",SUBSTITUTE({why},"STOP: ",""),"")',
                   sheets.style(**border, text_wrap=True, font_size=11))  # fmt: skip
    for letter, key in zip("TUV", "GIL", strict=True):
        number_ = f'=IF({empty},"",IF(AND(R{row}="planned",ISNUMBER({key}{row})),{key}{row},NA()))'
        sheets.formula(sheet, f"{letter}{row}", number_, sheets.style(**border, **whole))
    counted = f'=IF(R{row}="STOP",COUNTIF(R${FIRST}:R{row},"STOP"),"")'
    sheets.formula(sheet, f"W{row}", counted, sheets.style(**centre, font_color=GREY))


def calibration_sheet(sheets: Sheets) -> None:
    sheet = sheets.book.add_worksheet("Calibration")
    sheet.hide_gridlines(2)
    sheets.protect(sheet, (25, 16, 16, 16, 3, *[11] * 9))
    sheet.set_row(0, 26)
    sheet.write("A1", "Calibration of the wrench", sheets.style(font_size=16, bold=True))
    sheet.write("A2", "Paste the table of the last certificate into the yellow cells below, headings with their units "
                "first, lowest pressure first, values only; up to four columns.", sheets.style())  # fmt: skip
    right = sheets.style(align="right")
    for row, label in ((4, "Wrench"), (5, "Certificate valid until"), (6, "Points on the certificate")):
        sheet.write(f"A{row}", label, right)
    sheet.write_blank("B4", None, sheets.style(**TYPED))
    sheet.write_blank("B5", None, sheets.style(**TYPED, num_format="yyyy-mm-dd"))
    sheet.write_blank("B6", None, sheets.style(**TYPED, num_format="0"))
    dated = '=IF($B$5="","Certificate date not given: not checked.","Compare it with the job date: not checked here.")'
    sheets.formula(sheet, "A8", dated, sheets.style())
    sheet.conditional_format("A8", {"type": "formula", "criteria": '=$B$5=""',
                                    "format": sheets.book.add_format({"font_color": RED, "bold": True})})  # fmt: skip
    head, first, last = TABLE_FIRST, TABLE_FIRST + 1, TABLE_LAST
    points, below = f"COUNT($A${first}:$A${last})", f"COUNTA($A${last + 1}:$D${last + 400})"
    falls = (
        f"SUMPRODUCT(ISNUMBER($A${first + 1}:$A${last})*ISNUMBER($A${first}:$A${last - 1})"
        f"*($A${first + 1}:$A${last}<=$A${first}:$A${last - 1}))"
    )
    pasted = (
        f'=IF({points}=0,"Nothing is pasted.",{points}&" rows, "&$A${head}&" "&MIN($A${first}:$A${last})&" to "'
        f'&MAX($A${first}:$A${last})&IF({falls}=0,", rises",", DOES NOT RISE")&", top "&$B${head}&" "'
        f"&MAX($B${first}:$B${last}))"
    )
    sheets.formula(sheet, "A9", pasted, sheets.style(bold=True))
    ready = (
        f'=IF({points}=0,"no calibration is pasted into the sheet Calibration",IF({below}>0,'
        f'"rows of the calibration stand below row {last}: they are not read",IF(NOT(ISNUMBER($B$6)),'
        f'"type how many points the certificate has into the sheet Calibration",IF({points}<>$B$6,{points}'
        f'&" points stand in the sheet Calibration, "&$B$6&" on the certificate: clear what is left over from an'
        ' earlier one",""))))'
    )
    sheets.formula(sheet, "A10", ready, sheets.style(bold=True, font_color=RED))
    links = '="Links (cassettes) of this wrench, width across flats ("&IF(LEFT(Joints!$M$3,2)="SI","mm","in")&")"'
    sheets.formula(sheet, "F4", links, sheets.style())
    for column in range(LINK_PLACES):
        sheet.write_blank(4, 6 + column, None, sheets.style(**TYPED, num_format="0.0000"))
    sheet.write("F5", "Sizes", right)
    sheet.write("F6", "of wrench", right)
    sheet.write_blank("G6", None, sheets.style(**TYPED))
    sheet.write("H6", "Type the wrench again, so that links of an earlier one are never taken.", sheets.style())
    sheet.write(f"A{head - 1}", "Paste here", sheets.style(bold=True))
    for at in range(head, last + 1):
        for column in range(4):
            sheet.write_blank(at - 1, column, None, sheets.style(**TYPED, num_format="#,##0.###", bold=at == head))
    sheet.write(f"F{head - 1}", "What is wrong or odd in it", sheets.style(bold=True))
    border = sheets.style(border=1, border_color=LINE, text_wrap=True)
    said = f"table_findings($A${TABLE_FIRST}:$D${TABLE_LAST})"
    for i in range(FINDINGS):
        row = TABLE_FIRST + i
        sheet.merge_range(row - 1, 6, row - 1, 13, "", border)
        for letter, column in (("F", 1), ("G", 2)):
            shown = f'=IFERROR(INDEX({said},{i + 1},{column}),"")'
            if i == FINDINGS - 1:
                more = '"more below"' if letter == "F" else '"the table has more findings than fit here"'
                shown = f'=IF(ROWS({said})>{FINDINGS},{more},IFERROR(INDEX({said},{i + 1},{column}),""))'
            sheets.formula(sheet, f"{letter}{row}", f'=IF($A$9="Nothing is pasted.","",{shown[1:]})', border)
    chart = sheets.book.add_chart({"type": "scatter", "subtype": "straight_with_markers"})
    chart.add_series({
        "name": "=Calibration!$B$4",
        "categories": f"=Calibration!$A${TABLE_FIRST + 1}:$A${TABLE_LAST}",
        "values": f"=Calibration!$B${TABLE_FIRST + 1}:$B${TABLE_LAST}",
        "line": {"color": INK, "width": 1.5}, "marker": {"type": "circle", "size": 5, "fill": {"color": INK}},
    })  # fmt: skip
    chart.set_title({"name": "The table as pasted", "name_font": {"name": FONT, "size": 10}})
    chart.set_x_axis({"name": "First column of the table", "num_format": "#,##0", "min": 0})
    chart.set_y_axis({"name": "Second column of the table", "num_format": "#,##0", "min": 0,
                      "major_gridlines": {"visible": True, "line": {"color": LINE}}})  # fmt: skip
    chart.set_legend({"none": True})
    chart.show_blanks_as("gap")
    chart.set_size({"width": 640, "height": 300})
    sheet.insert_chart(f"F{TABLE_FIRST + FINDINGS + 1}", chart)
    sheet.freeze_panes(TABLE_FIRST, 0)
    sheet.print_area(f"A1:N{TABLE_FIRST + 30}")
    print_setup(sheet, pages_tall=1)


def how_to_sheet(sheets: Sheets) -> None:
    """What each word on the sheet Joints means."""
    sheet = sheets.book.add_worksheet("How to")
    sheet.hide_gridlines(2)
    sheet.set_column("A:A", 24)
    sheet.set_column("B:B", 108)
    sheet.set_row(0, 26)
    sheet.write("A1", "What the words on the sheet Joints mean", sheets.style(font_size=16, bold=True))
    border = {"border": 1, "border_color": LINE, "text_wrap": True, "valign": "top"}
    for row, (word, meaning) in enumerate(HOW_TO, start=3):
        sheet.write_string(f"A{row}", word, sheets.style(**border, bold=True))
        sheet.write_string(f"B{row}", meaning, sheets.style(**border))
        sheet.set_row(row - 1, 13 * (len(meaning) // 128 + 1) + 4)
    print_setup(sheet, pages_tall=1)


def shown_in_calc(path: Path, office: Office) -> dict[tuple[str, str], Any]:
    """What every cell of a workbook shows after LibreOffice has calculated it."""
    values = {}
    book = office.open(path)
    book.recalculate()
    for sheet in book.sheets():
        columns, rows = book.used(sheet)
        for i, row in enumerate(book.cells(f"A1:{xl_col_to_name(columns - 1)}{rows}", sheet)):
            for k, (kind, content) in enumerate(row):
                if kind:
                    values[sheet, xl_rowcol_to_cell(i, k)] = content
    book.close()
    return values


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, Office() as office:
        build(Path(folder) / "starter.xlsx", {})
        values = shown_in_calc(Path(folder) / "starter.xlsx", office)
    build(STARTER, values)
    stops = [
        f"{sheet}!{address}: {value}" for (sheet, address), value in values.items() if str(value).startswith("STOP:")
    ]
    print(f"{STARTER}\n" + "\n".join(stops), file=sys.stderr)


if __name__ == "__main__":
    main()
