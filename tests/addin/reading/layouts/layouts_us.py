"""Layouts as planners of inch plants draw them."""

import datetime

from layout_kit import FTLB, INCH, KSI, LBF, PSI, grid, inch, layout, rows, sheet
from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.table import Table

FM, TM = "final make-up", "test make-up"


@layout(
    sheet="Joints", heading_row=1,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("grade", None), "G": ("stress", "psi"), "H": ("area", None),
            "I": ("lubricant", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "grade", "stress", "area", "lubricant"], 2, [
        ["V-101 A", FM, "hydraulic", inch(1.25, 8), 16, "A193 B7", 50e3 * PSI, "root B1.1", "L-10"],
        ["V-101 B", TM, "hydraulic", inch(0.875, 9), 12, "A193 B7", 45e3 * PSI, "tensile", "L-20"],
        ["V-102 A", FM, "hand", inch(0.75, 10), 8, "A193 B16", 40e3 * PSI, "root B1.1", "L-10"]]),
)  # fmt: skip
def plain_from_the_first_row(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        ["Joint Tag", "Operation", "Method", "Stud Size", "No. of Studs", "Stud Grade", "Target Stress (psi)",
         "Stress Area", "Lubricant"],
        ["V-101 A", "Final make-up", "Hydraulic", '1-1/4"', 16, "A193 B7", 50000, "root B1.1", "L-10"],
        ["V-101 B", "Test make up", "hydraulic wrench", "7/8", 12, "A193 B7", 45000, "tensile", "L-20"],
        ["V-102 A", "final makeup", "hand", "3/4-10 UNC", 8, "A193 B16", 40000, "root B1.1", "L-10"],
    ])  # fmt: skip


@layout(
    sheet="TA-27 bolting", heading_row=5,
    fields={"B": ("joint", None), "C": ("equipment", None), "D": ("operation", None), "E": ("method", None),
            "F": ("thread", None), "G": ("studs", None), "H": ("torque", "lbf·ft"), "I": ("lubricant", None),
            "J": ("remarks", None)},
    rows=rows(["joint", "equipment", "operation", "method", "thread", "studs", "torque", "lubricant", "remarks"], 6, [
        ["E-11 shell", "E-11", FM, "hydraulic", inch(1.5, 8), 24, 1450 * FTLB, "Paste 4", "tight access"],
        ["E-11 channel", "E-11", FM, "hydraulic", inch(1.5, 8), 24, 1450 * FTLB, "Paste 4", None],
        ["E-12 shell", "E-12", TM, "hydraulic", inch(1.125, 8), 20, 610 * FTLB, "Paste 4", "new studs"]]),
)  # fmt: skip
def merged_titles_and_item_numbers(book: Workbook) -> None:
    ws = sheet(book, "TA-27 bolting")
    ws.merge_cells("A1:J1")
    ws["A1"] = "BIDRIBRAUSK GAS PLANT - TURNAROUND 27"
    ws.merge_cells("A2:J2")
    ws["A2"] = "Flange bolting schedule, revision C"
    ws["A3"], ws["C3"] = "Prepared by:", "Planning"
    grid(ws, 5, [
        ["Item", "Joint No.", "Equip. No.", "Operation", "Tightening Method", "Stud Dia.", "Qty of Studs",
         "Final Torque, ft-lbs", "Thread Lubricant", "Remarks"],
        [1, "E-11 shell", "E-11", "Final make-up", "Hydraulic", "1 1/2", 24, 1450, "Paste 4", "tight access"],
        [2, "E-11 channel", "E-11", "Final make-up", "Hydraulic", "1 1/2", 24, 1450, "Paste 4", None],
        [3, "E-12 shell", "E-12", "Test make-up", "Hydraulic", "1 1/8", 20, 610, "Paste 4", "new studs"],
    ])  # fmt: skip


@layout(
    sheet="List", heading_row=2,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("torque", "lbf·ft")},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque"], 0, [
        [3, "P-1 suction", FM, "hydraulic", inch(1, 8), 12, 400 * FTLB],
        [4, "P-1 discharge", FM, "hydraulic", inch(1, 8), 12, 400 * FTLB],
        [6, "P-2 suction", FM, "hydraulic", inch(1.25, 8), 8, 700 * FTLB],
        [7, "P-2 discharge", FM, "hydraulic", inch(1.25, 8), 8, 700 * FTLB],
        [9, "P-3 suction", FM, "hand", inch(0.625, 11), 4, 90 * FTLB]]),
    said={"headings_repeated": [5, 8]},
)  # fmt: skip
def headings_again_on_every_page(book: Workbook) -> None:
    ws = sheet(book, "List")
    head = ["Flange tag", "Operation", "Method", "Bolt size", "# of bolts", "Torque (ft-lb)"]
    grid(ws, 1, [
        ["Pump joints"], head,
        ["P-1 suction", FM, "hydraulic", "1", 12, 400], ["P-1 discharge", FM, "hydraulic", "1", 12, 400], head,
        ["P-2 suction", FM, "hydraulic", "1-1/4", 8, 700], ["P-2 discharge", FM, "hydraulic", "1-1/4", 8, 700], head,
        ["P-3 suction", FM, "hand", "5/8", 4, 90],
    ])  # fmt: skip


@layout(
    sheet="Scope", heading_row=3,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("stress", "ksi"), "G": ("area", None), "H": ("lubricant", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "stress", "area", "lubricant"], 0, [
        [5, "EV-201-M1", FM, "hydraulic", inch(1.75, 8), 28, 50 * KSI, "tensile", "L-3"],
        [6, "EV-201-M2", FM, "hydraulic", inch(1.75, 8), 28, 50 * KSI, "tensile", "L-3"],
        [8, "EV-301-M1", FM, "hydraulic", inch(2, 8), 32, 45 * KSI, "tensile", "L-3"],
        [10, "EV-302-M1", FM, "hydraulic", inch(2, 8), 32, 45 * KSI, "tensile", "L-3"]]),
    said={"group_row": [4, 7, 9]},
)  # fmt: skip
def group_rows_between_the_joints(book: Workbook) -> None:
    ws = sheet(book, "Scope")
    grid(ws, 1, [
        ["Evaporator bolting"], [],
        ["Tag No.", "Operation", "Method", "Stud size", "Number of studs", "Bolt stress (ksi)", "Stress area", "Lube"],
        ["Unit 2 - evaporators"],
        ["EV-201-M1", FM, "hydraulic", "1 3/4", 28, 50, "tensile", "L-3"],
        ["EV-201-M2", FM, "hydraulic", "1 3/4", 28, 50, "tensile", "L-3"],
        ["Unit 3 - evaporators"],
        ["EV-301-M1", FM, "hydraulic", "2", 32, 45, "tensile", "L-3"],
        ["Late additions"],
        ["EV-302-M1", FM, "hydraulic", "2", 32, 45, "tensile", "L-3"],
    ])  # fmt: skip
    ws.merge_cells("A4:H4")
    ws.merge_cells("A7:H7")


@layout(
    sheet="Bolting", heading_row=2,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("torque", "lbf·ft")},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque"], 0, [
        [3, "H-1 N1", FM, "hydraulic", inch(1, 8), 8, 380 * FTLB],
        [4, "H-1 N2", FM, "hydraulic", inch(1, 8), 8, 380 * FTLB],
        [7, "H-2 N1", FM, "hydraulic", inch(1.375, 8), 12, 980 * FTLB],
        [8, "H-2 N2", FM, "hand", inch(0.75, 10), 8, 150 * FTLB]]),
    said={"total_row": [5, 9, 10]},
)  # fmt: skip
def subtotals_with_formulas(book: Workbook) -> None:
    ws = sheet(book, "Bolting")
    grid(ws, 1, [
        ["Heater joints"],
        ["Joint", "Operation", "Method", "Stud diameter", "Studs", "Target torque (lbf.ft)"],
        ["H-1 N1", FM, "hydraulic", "1", 8, 380], ["H-1 N2", FM, "hydraulic", "1", 8, 380],
        ["Subtotal H-1", None, None, None, "=SUM(E3:E4)", None], [],
        ["H-2 N1", FM, "hydraulic", "1 3/8", 12, 980], ["H-2 N2", FM, "hand", "3/4", 8, 150],
        ["Subtotal H-2", None, None, None, "=SUM(E7:E8)", None],
        [None, None, None, "Total studs", "=E5+E9", None],
    ])  # fmt: skip


@layout(
    sheet="Flange list", heading_row=4,
    fields={"A": ("joint", None), "B": ("line", None), "C": ("size", "in"), "D": ("rating", None),
            "E": ("operation", None), "F": ("method", None), "G": ("thread", None), "H": ("studs", None),
            "I": ("grade", None), "J": ("percent", "%"), "K": ("area", None), "L": ("nut_factor", None)},
    rows=rows(["joint", "line", "size", "rating", "operation", "method", "thread", "studs", "grade", "percent", "area",
               "nut_factor"], 5, [
        ["FL-001", "10-P-1001", "10", "300", FM, "hydraulic", inch(1, 8), 16, "A193 B7", 0.5, "root B1.1", 0.16],
        ["FL-002", "8-P-1002", "8", "600", FM, "hydraulic", inch(1.125, 8), 12, "A193 B7", 0.55, "root B1.1", 0.16],
        ["FL-003", "6-P-1003", "6", "150", FM, "hand", inch(0.75, 10), 8, "A193 B7", 0.5, "root B1.1", 0.16]]),
    said={"notes_below": [9, 10, 11, 12]},
)  # fmt: skip
def notes_and_signatures_below(book: Workbook) -> None:
    ws = sheet(book, "Flange list")
    grid(ws, 1, [
        ["Bitter Creek terminal"], ["Rev 2"], [],
        ["Flange No.", "Line No.", "NPS (in)", "Class", "Operation", "Method", "Stud Size", "Stud Qty", "Stud material",
         "% of Yield", "Stress area", "K factor"],
        ["FL-001", "10-P-1001", 10, 300, FM, "hydraulic", "1", 16, "A193 B7", 50, "root B1.1", 0.16],
        ["FL-002", "8-P-1002", 8, 600, FM, "hydraulic", "1-1/8", 12, "A193 B7", 55, "root B1.1", 0.16],
        ["FL-003", "6-P-1003", 6, 150, FM, "hand", "3/4", 8, "A193 B7", 50, "root B1.1", 0.16],
        [],
        ["Notes:"],
        ["1. All studs lubricated on threads and nut faces."],
        ["Prepared", "Planner", "Checked", "Engineer", "Approved", "Site manager"],
        ["Rev", "Date", None, "Description", "first issue for the outage"],
    ])  # fmt: skip


@layout(
    sheet="Joints", heading_row=1,
    fields={"A": ("joint", None), "C": ("operation", None), "D": ("method", None), "E": ("thread", None),
            "F": ("studs", None), "H": ("load", "lbf"), "I": ("nut_factor", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "load", "nut_factor"], 0, [
        [2, "R-1", FM, "hydraulic", inch(2, 8), 20, 120e3 * LBF, 0.15],
        [3, "R-2", FM, "hydraulic", inch(2, 8), 20, 120e3 * LBF, 0.15],
        [5, "R-3", FM, "hydraulic", inch(2.25, 8), 20, 155e3 * LBF, 0.15],
        [8, "R-4", FM, "hydraulic", inch(2.25, 8), 20, 155e3 * LBF, 0.15]]),
    said={"rows_hidden": [3, 8], "columns_hidden": ["F"]},
)  # fmt: skip
def blank_rows_hidden_rows_hidden_columns(book: Workbook) -> None:
    ws = sheet(book, "Joints")
    grid(ws, 1, [
        ["Joint ID", "Photo", "Operation", "Method", "Stud size", "Stud count", None, "Stud load (lbf)", "Nut factor"],
        ["R-1", "p1.jpg", FM, "hydraulic", "2", 20, "x", 120000, 0.15],
        ["R-2", None, FM, "hydraulic", "2", 20, "x", 120000, 0.15], [],
        ["R-3", None, FM, "hydraulic", "2 1/4", 20, None, 155000, 0.15], [], [],
        ["R-4", None, FM, "hydraulic", "2 1/4", 20, None, 155000, 0.15],
    ])  # fmt: skip
    ws.row_dimensions[3].hidden = ws.row_dimensions[8].hidden = True
    ws.column_dimensions["F"].hidden = True


@layout(
    sheet="Vessel joints", heading_row=2,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("torque", "lbf·ft"), "G": ("lubricant", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque", "lubricant"], 3, [
        ["C-1 manway", TM, "hydraulic", inch(1.25, 8), 20, 640 * FTLB, "L-1"],
        ["C-1 manway", FM, "hydraulic", inch(1.25, 8), 20, 700 * FTLB, "L-1"],
        ["C-2 manway", FM, "hydraulic", inch(1.25, 8), 24, 700 * FTLB, "L-1"],
        ["C-3 manway", FM, "hydraulic", inch(1.25, 8), 24, 700 * FTLB, "L-2"]]),
)  # fmt: skip
def merged_cells_hold_for_several_joints(book: Workbook) -> None:
    ws = sheet(book, "Vessel joints")
    grid(ws, 1, [
        ["Manways"],
        ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (ft-lb)", "Lubricant"],
        ["C-1 manway", TM, "hydraulic", "1 1/4", 20, 640, "L-1"],
        [None, FM, None, None, 20, 700, None],
        ["C-2 manway", FM, None, None, 24, None, None],
        ["C-3 manway", FM, None, None, 24, None, "L-2"],
    ])  # fmt: skip
    for area in ("A3:A4", "C3:C6", "D3:D6", "F4:F6", "G3:G5"):
        ws.merge_cells(area)


@layout(
    sheet="Outage", heading_row=4,
    fields={"B": ("joint", None), "C": ("operation", None), "D": ("method", None), "E": ("thread", None),
            "F": ("studs", None), "G": ("torque", "lbf·ft"), "H": ("date", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque", "date"], 5, [
        ["D-40", FM, "hydraulic", inch(1, 8), 16, 450 * FTLB, "2027-05-03"],
        ["D-41", FM, "hydraulic", inch(1, 8), 16, 450 * FTLB, "2027-05-04"],
        ["D-42", FM, "hand", inch(0.5, 13), 8, 45 * FTLB, "2027-05-04"]]),
    said={"total_row": [8]},
)  # fmt: skip
def a_spreadsheet_table_with_totals(book: Workbook) -> None:
    ws = sheet(book, "Outage")
    grid(ws, 2, [["Drums, spring outage"]])
    day = datetime.datetime
    grid(ws, 4, [
        ["Joint tag", "Operation", "Bolting method", "Stud thread", "Stud quantity", "Torque (ft-lbf)", "Planned date"],
        ["D-40", FM, "hydraulic", "1-8 UNC", 16, 450, day(2027, 5, 3)],
        ["D-41", FM, "hydraulic", "1-8 UNC", 16, 450, day(2027, 5, 4)],
        ["D-42", FM, "hand", "1/2-13 UNC", 8, 45, day(2027, 5, 4)],
        ["Total", None, None, None, 40, None, None],
    ], column=2)  # fmt: skip
    table = Table(displayName="DrumJoints", ref="B4:H8", totalsRowCount=1)
    ws.add_table(table)
    table._initialise_columns()
    for column, cell in zip(table.tableColumns, ws["B4:H4"][0], strict=True):
        column.name = cell.value
    table.tableColumns[0].totalsRowLabel, table.tableColumns[4].totalsRowFunction = "Total", "sum"
    table.autoFilter.ref = "B4:H7"


@layout(
    sheet="Joint list", heading_row=3,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("torque", "lbf·ft"), "G": ("wrench", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque", "wrench"], 4, [
        ["K-7 A", FM, "hydraulic", inch(1.5, 8), 16, 1500 * FTLB, "HW-2"],
        ["K-7 B", FM, "hydraulic", inch(1.5, 8), 16, 1500 * FTLB, "HW-2"],
        ["K-8 A", "break", "hydraulic", inch(1.5, 8), 16, None, None]]),
)  # fmt: skip
def several_sheets_of_which_one_is_the_list(book: Workbook) -> None:
    cover = sheet(book, "Cover")
    grid(cover, 2, [["Compressor overhaul"], ["Joint list see next sheet"], ["Operation", "count"], [FM, 2]])
    progress = sheet(book, "Progress")
    grid(progress, 1, [["Joint", "Operation", "Method", "Date done", "Remarks"], ["K-7 A", FM, "hydraulic", None, "-"]])
    ws = sheet(book, "Joint list")
    grid(ws, 1, [
        ["Compressor casing"], [],
        ["Joint", "Operation", "Method", "Stud size", "No. studs", "Torque (ft-lb)", "Wrench No."],
        ["K-7 A", FM, "hydraulic", "1 1/2", 16, 1500, "HW-2"],
        ["K-7 B", FM, "hydraulic", "1 1/2", 16, 1500, "HW-2"],
        ["K-8 A", "break out", "hydraulic", "1 1/2", 16, None, None],
    ])  # fmt: skip
    wrenches = sheet(book, "Tools")
    grid(wrenches, 1, [["Wrench", "Serial number", "Pressure (psi)", "Torque (ft-lb)"], ["HW-2", "0021", 5000, 2100]])


@layout(
    sheet="Joints", heading_row=1,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("stress", None), "G": ("area", None), "H": ("torque", None),
            "I": ("nut_factor", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "stress", "area", "torque", "nut_factor"], 2, [
        ["T-1", FM, "hydraulic", inch(1.25, 8), 12, 52.5 * KSI, "root B1.1", None, 0.17],
        ["T-2", FM, "hydraulic", inch(1.25, 8), 12, 48000 * PSI, "root B1.1", None, 0.17],
        ["T-3", FM, "hydraulic", inch(1.25, 8), 12, None, None, 940 * FTLB, None],
        ["T-4", FM, "hydraulic", inch(1.25, 8), 12, None, None, 1275.0, None],
        ["T-5", FM, "hydraulic", inch(1.25, 8), 12, None, None, 1250 * FTLB, None]]),
)  # fmt: skip
def units_in_the_cells(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        ["Joint", "Operation", "Method", "Stud size", "Studs", "Stress", "Stress area", "Torque", "Nut factor"],
        ["T-1", FM, "hydraulic", "1¼", 12, "52.5 ksi", "root B1.1", "-", 0.17],
        ["T-2", FM, "hydraulic", "1.1/4", 12, "48,000.0 psi", "root B1.1", "n/a", 0.17],
        ["T-3", FM, "hydraulic", '1-1/4"', 12, "n/a", None, "940 ft-lb", None],
        ["T-4", FM, "hydraulic", "1 1/4-8UN", 12, "TBC", "-", "1275 Nm", "-"],
        ["T-5", FM, "hydraulic", "1-1/4-8", 12, None, None, "1,250.0 lbf·ft", None],
    ])  # fmt: skip


@layout(
    sheet="BOLTING", heading_row=3,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("grade", None), "G": ("torque", "lbf·ft"), "H": ("lubricant", None),
            "I": ("wrench", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "grade", "torque", "lubricant", "wrench"], 4, [
        ["X-1-N1", FM, "hydraulic", inch(1.625, 8), 20, "A193 B7", 1900 * FTLB, "MP-5", "TW-1"],
        ["X-1-N2", FM, "hydraulic", inch(1.625, 8), 20, "A193 B7", 1900 * FTLB, "MP-5", "TW-1"],
        ["X-1-N3", FM, "hand", inch(0.625, 11), 8, "A193 B7", 95 * FTLB, "MP-5", None]]),
)  # fmt: skip
def capitals_and_abbreviations(book: Workbook) -> None:
    grid(sheet(book, "BOLTING"), 1, [
        ["MUBAUTREND REFINERY"], [],
        ["JT. NO.", "OPER.", "METHOD", "STUD DIA", "NO. STUDS", "STUD MAT'L", "TORQUE FT-LBS", "LUBE", "WRENCH NO"],
        ["X-1-N1", "FINAL MAKE-UP", "HYDRAULIC", "1-5/8", 20, "A193 B7", 1900, "MP-5", "TW-1"],
        ["X-1-N2", "FINAL MAKE-UP", "HYDRAULIC", "1-5/8", 20, "A193 B7", 1900, "MP-5", "TW-1"],
        ["X-1-N3", "FINAL MAKE-UP", "HAND", "5/8", 8, "A193 B7", 95, "MP-5", None],
    ])  # fmt: skip


@layout(
    sheet="Joints", heading_row=2,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", "in"),
            "E": ("bolt_circle", "in"), "F": ("studs", None), "G": ("torque", "lbf·ft"),
            "K": ("gasket_outside_diameter", "in"), "L": ("wrench", None)},
    rows=rows(["joint", "operation", "method", "thread", "bolt_circle", "studs", "torque", "gasket_outside_diameter",
               "wrench"], 3, [
        ["N-1", FM, "hydraulic", inch(1.25, 8), 14.5 * INCH, 12, 850 * FTLB, 11 * INCH, "W3"],
        ["N-2", FM, "hydraulic", inch(0.875, 9), 13 * INCH, 12, 300 * FTLB, 10 * INCH, "W3"],
        ["N-3", FM, "hydraulic", inch(1.0625, 8), 13.75 * INCH, 12, 500 * FTLB, 9 * INCH, "W3"]]),
)  # fmt: skip
def traps_beside_the_real_columns(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        ["Nozzles"],
        ["Joint", "Operation", "Method", "Stud dia. (in)", "Bolt circle dia (in)", "Studs", "Torque (ft-lb)",
         "Actual torque (ft-lb)", "Torque date", "Previous torque (ft-lb)", "Gasket OD (in)", "Torque wrench no.",
         "Max allowable stress (psi)", "Torque checked by"],
        ["N-1", FM, "hydraulic", 1.25, 14.5, 12, 850, 860, datetime.datetime(2025, 3, 1), 900, 11, "W3", 25000, "-"],
        ["N-2", FM, "hydraulic", 0.875, 13.0, 12, 300, None, None, 310, 10, "W3", 25000, None],
        ["N-3", FM, "hydraulic", 1.0625, 13.75, 12, 500, 500, None, 480, 9, "W3", 25000, None],
    ])  # fmt: skip


@layout(
    sheet="Joints", heading_row=1,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("stress", "psi"), "G": ("area", None), "H": ("nut_factor", None),
            "I": ("date", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "stress", "area", "nut_factor", "date"], 2, [
        ["S-1", FM, "hydraulic", inch(1, 8), 8, {"stop": "stale_formula"}, "tensile", 0.15, "2027-02-01"],
        ["S-2", FM, "hydraulic", inch(1, 8), {"stop": "error_cell"}, 50e3 * PSI, "tensile", 0.15, "2027-02-01"],
        ["S-3", FM, "hydraulic", inch(1, 8), 8, {"stop": "is_date"}, "tensile", 0.15, {"stop": "date_ambiguous"}],
        ["S-4", FM, "hydraulic", {"stop": "thread_is_date"}, 8, 50e3 * PSI, "tensile", 0.15, None],
        ["S-5", FM, "hydraulic", {"stop": "thread_ambiguous"}, 8, 50e3 * PSI, "tensile",
         {"stop": "not_a_number"}, "2027-02-01"]]),
)  # fmt: skip
def cells_that_must_stop(book: Workbook) -> None:
    day = datetime.datetime
    ws = sheet(book, "Joints")
    grid(ws, 1, [
        ["Joint", "Operation", "Method", "Stud size", "Studs", "Stress (psi)", "Stress area", "Nut factor", "Job date"],
        ["S-1", FM, "hydraulic", "1", 8, "=50000*1", "tensile", 0.15, day(2027, 2, 1)],
        ["S-2", FM, "hydraulic", "1", None, 50000, "tensile", 0.15, day(2027, 2, 1)],
        ["S-3", FM, "hydraulic", "1", 8, day(2027, 1, 3), "tensile", 0.15, "02/01/2027"],
        ["S-4", FM, "hydraulic", day(2027, 7, 8), 8, 50000, "tensile", 0.15, None],
        ["S-5", FM, "hydraulic", "11/4", 8, "50,000", "tensile", "0.15 approx", "2027-02-01"],
    ])  # fmt: skip
    ws["E3"].value, ws["E3"].data_type = "#REF!", "e"


@layout(
    sheet="Plan", heading_row=9,
    fields={"D": ("joint", None), "E": ("operation", None), "F": ("method", None), "G": ("thread", None),
            "H": ("studs", None), "I": ("torque", "lbf·ft")},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque"], 10, [
        ["M-1", FM, "hydraulic", inch(1.25, 8), 16, 800 * FTLB],
        ["M-2", FM, "hydraulic", inch(1.25, 8), 16, 800 * FTLB],
        ["M-3", FM, "hydraulic", inch(1.25, 8), 16, 820 * FTLB]]),
    said={"notes_below": [15, 16, 17]},
)  # fmt: skip
def away_from_the_corner_with_a_legend(book: Workbook) -> None:
    ws = sheet(book, "Plan")
    grid(ws, 1, [["Area:", "North"], ["Rev:", 4], ["Method:", "see list"], ["Class:", "all"]], column=2)
    grid(ws, 9, [
        ["#", "Joint identification", "Operation", "Method", "Bolt diameter", "Bolt count", "Specified torque (ft-lb)"],
        [1, "M-1", FM, "hydraulic", '1.25"', 16, 800], [2, "M-2", FM, "hydraulic", '1.25"', 16, 800],
        [3, "M-3", FM, "hydraulic", '1.25"', 16, 820], [], [],
        [None, "Legend", None, None, None, None, None],
        [None, "final make-up", "after the test"], [None, "TBC", "not yet known"],
    ], column=3)  # fmt: skip
    assert get_column_letter(4) == "D"


@layout(
    sheet="Joints", heading_row=1,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("size", None),
            "E": ("rating", None), "H": ("lubricant", None), "I": ("torque", "lbf·ft")},
    rows=rows(["joint", "operation", "method", "size", "rating", "thread", "studs", "lubricant", "torque"], 2, [
        ["L-1", FM, "hydraulic", "8", "600", inch(1.125, 8), 12, "L-10", 600 * FTLB],
        ["L-2", FM, "hydraulic", "10", "300", inch(1, 8), 16, "L-10", 420 * FTLB],
        ["L-3", FM, "hydraulic", "6", "900", inch(1.125, 8), 12, "L-10", 600 * FTLB]]),
    deserves={("field", "F"), ("field", "G")},
    answers={"F": "none", "G": "none", "standard flange studs": True},
)  # fmt: skip
def size_and_class_but_no_studs(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        ["Joint", "Operation", "Method", "NPS", "Class", "Qty", "Dia", "Lubricant", "Torque (ft-lb)"],
        ["L-1", FM, "hydraulic", 8, 600, 1, 9.5, "L-10", 600],
        ["L-2", FM, "hydraulic", 10, 300, 1, 11.0, "L-10", 420],
        ["L-3", FM, "hydraulic", 6, 900, 2, 7.5, "L-10", 600],
    ])  # fmt: skip


@layout(
    sheet="Joints", heading_row=2,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("torque", "lbf·ft"), "G": ("across_flats", "in")},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque", "across_flats"], 3, [
        ["Q-1", FM, "hydraulic", inch(1.25, 8), 16, 750 * FTLB, 2 * INCH],
        ["Q-2", FM, "hydraulic", inch(1.25, 8), 16, 750 * FTLB, 2 * INCH],
        ["Q-3", FM, "hydraulic", inch(1, 8), 8, 400 * FTLB, 1.625 * INCH]]),
    deserves={("field", "D"), ("field", "E")},
    answers={"D": "thread", "E": "studs"},
)  # fmt: skip
def bare_words_dia_and_qty(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        ["Air coolers"],
        ["Joint", "Operation", "Method", "Dia.", "Qty", "Torque (ft-lb)", "Nut A/F (in)"],
        ["Q-1", FM, "hydraulic", "1 1/4", 16, 750, 2], ["Q-2", FM, "hydraulic", "1 1/4", 16, 750, 2],
        ["Q-3", FM, "hydraulic", "1", 8, 400, 1.625],
    ])  # fmt: skip


@layout(
    sheet="Joints", heading_row=1,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("torque", "lbf·ft")},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque"], 2, [
        ["G-1", FM, "hydraulic", inch(1.25, 8), 16, 750 * FTLB],
        ["G-2", FM, "hydraulic", inch(1.25, 8), 16, 760 * FTLB],
        ["G-3", FM, "hydraulic", inch(1.25, 8), 16, 770 * FTLB]]),
    deserves={("unit", "F")},
    answers={"F": ("torque", "ft-lb")},
)  # fmt: skip
def a_torque_in_lb(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (lb)"],
        ["G-1", FM, "hydraulic", "1 1/4", 16, 750], ["G-2", FM, "hydraulic", "1 1/4", 16, 760],
        ["G-3", FM, "hydraulic", "1 1/4", 16, 770],
    ])  # fmt: skip
