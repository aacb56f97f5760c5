"""Layouts as planners of metric plants draw them."""

import datetime

from layout_kit import BAR, FTLB, INCH, KGFM, KN, KSI, MPA, grid, inch, layout, metric, rows, sheet
from openpyxl import Workbook

FM, TM = "final make-up", "test make-up"


@layout(
    sheet="Flanges", heading_row=3,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("nut_series", None), "G": ("load", "kN"), "H": ("torque", "N·m"),
            "I": ("thread_friction", None), "J": ("nut_friction", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "nut_series", "load", "torque", "thread_friction",
               "nut_friction"], 5, [
        ["1001", FM, "hydraulic", metric(24, 3), 12, "ISO 4032", 150 * KN, None, 0.12, 0.12],
        ["1002", FM, "hydraulic", metric(30, 3.5), 16, "ISO 4032", 230 * KN, None, 0.12, 0.12],
        ["1003", FM, "hydraulic", metric(36, 4), 20, "ISO 4032", None, 1650.0, 0.12, 0.12]]),
)  # fmt: skip
def units_in_a_row_of_their_own(book: Workbook) -> None:
    grid(sheet(book, "Flanges"), 1, [
        ["Brine plant"], [],
        ["Flange ID", "Operation", "Method", "Bolt thread", "Bolts", "Nut standard", "Bolt load", "Torque",
         "Thread friction", "Friction under nut"],
        [None, None, None, None, "[-]", None, "[kN]", "[Nm]", "[-]", "[-]"],
        [1001, FM, "hydraulic", "M24", 12, "ISO 4032", 150, None, 0.12, 0.12],
        [1002, FM, "hydraulic", "M30x3.5", 16, "ISO 4032", 230, None, 0.12, 0.12],
        [1003, FM, "hydraulic", "M36 x 4", 20, "ISO 4032", None, 1650, 0.12, 0.12],
    ])  # fmt: skip


@layout(
    sheet="Schedule", heading_row=5,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("grade", None), "G": ("stress", "MPa"), "H": ("area", None),
            "I": ("lubricant", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "grade", "stress", "area", "lubricant"], 6, [
        ["B-10", FM, "hydraulic", metric(27, 3), 16, "8.8", 320 * MPA, "tensile", "Paste 9"],
        ["B-11", FM, "hydraulic", metric(27, 3), 16, "10.9", 420 * MPA, "tensile", "Paste 9"],
        ["B-12", TM, "hand", metric(16, 2), 8, "8.8", 300 * MPA, "tensile", "Paste 9"]]),
)  # fmt: skip
def two_levels_with_merged_parents(book: Workbook) -> None:
    ws = sheet(book, "Schedule")
    ws.merge_cells("A1:I1")
    ws["A1"] = "Tank farm, flange make-up schedule"
    grid(ws, 4, [
        ["Joint", "Operation", "Method", "Stud bolts", None, None, "Target", None, "Lubricant"],
        [None, None, None, "Size", "Qty", "Material", "Stress (MPa)", "On area", None],
        ["B-10", FM, "hydraulic", "M27", 16, 8.8, 320, "tensile", "Paste 9"],
        ["B-11", FM, "hydraulic", "M27", 16, 10.9, 420, "tensile", "Paste 9"],
        ["B-12", TM, "hand", "M16", 8, 8.8, 300, "tensile", "Paste 9"],
    ])  # fmt: skip
    for area in ("A4:A5", "B4:B5", "C4:C5", "I4:I5", "D4:F4", "G4:H4"):
        ws.merge_cells(area)


@layout(
    sheet="Bolting", heading_row=2,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", "mm"),
            "E": ("studs", None), "F": ("torque", "N·m")},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque"], 3, [
        ["W-1", FM, "hydraulic", metric(24, 3), 12, 480.0],
        ["W-2", FM, "hydraulic", {"stop": "thread_pitch_needed"}, 12, 900.0],
        ["W-3", FM, "hydraulic", metric(36, 3), 12, 1700.0],
        ["W-4", FM, "hand", metric(20, 2.5), 8, 260.0]]),
)  # fmt: skip
def stud_diameters_as_numbers_in_mm(book: Workbook) -> None:
    grid(sheet(book, "Bolting"), 1, [
        ["Water works"],
        ["Flange No", "Operation", "Method", "Stud dia (mm)", "No of studs", "Torque (N.m)"],
        ["W-1", FM, "hydraulic", 24, 12, 480], ["W-2", FM, "hydraulic", 33, 12, 900],
        ["W-3", FM, "hydraulic", "M36x3", 12, 1700], ["W-4", FM, "hand", "20", 8, 260],
    ])  # fmt: skip


@layout(
    sheet="Joints", heading_row=3,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("across_flats", "mm"), "G": ("torque", "N·m"), "H": ("lubricant", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "across_flats", "torque", "lubricant"], 4, [
        ["CW-01", FM, "hydraulic", metric(30, 3.5), 20, 0.046, 1100.0, "Grease 2"],
        ["CW-02", FM, "hydraulic", metric(30, 3.5), 20, 0.046, 1100.0, "Grease 2"],
        ["CW-03", FM, "hydraulic", metric(24, 3), 16, 0.036, 520.0, "Grease 2"]]),
)  # fmt: skip
def british_wording(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        ["Cooling water, bolting register"], ["Issue 5"],
        ["Flange ref.", "Operation", "Method", "Stud dia.", "Quantity of studs", "Spanner size A/F (mm)", "Torque, Nm",
         "Lubricant used"],
        ["CW-01", FM, "hydraulic", "M30x3.5", 20, 46, 1100, "Grease 2"],
        ["CW-02", FM, "hydraulic", "M30x3.5", 20, 46, 1100, "Grease 2"],
        ["CW-03", FM, "hydraulic", "M24", 16, 36, 520, "Grease 2"],
    ])  # fmt: skip


@layout(
    sheet="Joints", heading_row=1,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("torque", "N·m"), "G": ("date", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque", "date"], 2, [
        ["A 1", FM, "hydraulic", metric(24, 3), 12, 510.0, "2027-09-06"],
        ["A 2", FM, "hydraulic", metric(24, 3), 12, 1250.0, "2027-09-06"],
        ["A 3", FM, "hydraulic", metric(27, 3), 12, 1250.5, "2027-09-07"],
        ["A 4", FM, "other", metric(27, 3), 12, None, None],
        ["A 5", FM, "hydraulic", metric(27, 3), 12, 980.0, None]]),
)  # fmt: skip
def stray_spaces_and_separators(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        ["Joint \n No.", " Operation", "Method ", "Bolt\nsize", "Bolt\u00a0qty", "Torque\n(N·m)", "Date of work"],
        ["A 1\u00a0", " final  make-up ", "hydraulic\u00a0", "M24 ", 12, "510 ", datetime.date(2027, 9, 6)],
        ["A 2", FM, "hydraulic", "M 24", "12", "1 250", "2027-09-06"],
        ["A 3", FM, "hydraulic", "m27", 12, "1.250,5", "2027-09-07"],
        ["A 4", FM, "tensioned", "M27", 12, "tbc", "TBC"],
        ["A 5", FM, "hydraulic", "M27", 12, "980\u00a0Nm", "-"],
    ])  # fmt: skip


@layout(
    sheet="Tabelle1", heading_row=2,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("torque", "N·m")},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque"], 3, [
        ["HX-1", FM, "hydraulic", metric(24, 3), 16, 500.0], ["HX-2", FM, "hydraulic", metric(24, 3), 16, 510.0],
        ["HX-3", FM, "hydraulic", metric(24, 3), 16, 520.0]]),
    deserves={("unit", "F")},
    answers={"F": ("torque", "Nm")},
)  # fmt: skip
def a_torque_without_a_unit(book: Workbook) -> None:
    grid(sheet(book, "Tabelle1"), 1, [
        ["Exchangers (all torques in newton metres)"],
        ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque"],
        ["HX-1", FM, "hydraulic", "M24", 16, 500], ["HX-2", FM, "hydraulic", "M24", 16, 510],
        ["HX-3", FM, "hydraulic", "M24", 16, 520],
    ])  # fmt: skip


@layout(
    sheet="Joints", heading_row=1,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("torque", "N·m")},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque"], 2, [
        ["PX-1", FM, "hydraulic", metric(24, 3), 16, 600.0], ["PX-2", FM, "hydraulic", metric(24, 3), 16, 610.0],
        ["PX-3", FM, "hydraulic", metric(24, 3), 16, 620.0]]),
    deserves={("unit", "F")},
    answers={"F": ("torque", "Nm")},
)  # fmt: skip
def two_units_in_one_heading(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (ft-lb / Nm)"],
        ["PX-1", FM, "hydraulic", "M24", 16, 600], ["PX-2", FM, "hydraulic", "M24", 16, 610],
        ["PX-3", FM, "hydraulic", "M24", 16, 620],
    ])  # fmt: skip


@layout(
    sheet="Joints", heading_row=2,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("torque", "lbf·ft")},  # they agree within rounding: the first is as good
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque"], 3, [
        ["DD-1", FM, "hydraulic", inch(1, 8), 8, 400 * FTLB], ["DD-2", FM, "hydraulic", inch(1, 8), 8, 400 * FTLB],
        ["DD-3", FM, "hydraulic", inch(1.25, 8), 8, 700 * FTLB]]),
)  # fmt: skip
def the_torque_in_two_columns(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        ["Dryers"],
        ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (ft-lb)", "Torque (Nm)"],
        ["DD-1", FM, "hydraulic", "1", 8, 400, 543], ["DD-2", FM, "hydraulic", "1", 8, 400, 543],
        ["DD-3", FM, "hydraulic", "1 1/4", 8, 700, 950],
    ])  # fmt: skip


@layout(
    sheet="Joints", heading_row=2,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("grade", None), "G": ("percent", "%"), "H": ("area", None),
            "I": ("nut_factor", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "grade", "percent", "area", "nut_factor"], 3, [
        ["PC-1", FM, "hydraulic", metric(24, 3), 12, "8.8", 0.5, "tensile", 0.14],
        ["PC-2", FM, "hydraulic", metric(24, 3), 12, "8.8", 0.65, "tensile", 0.14],
        ["PC-3", FM, "hydraulic", metric(24, 3), 12, "8.8", 0.6, "tensile", 0.14],
        ["PC-4", FM, "hydraulic", metric(24, 3), 12, "8.8", {"stop": "percent_as_fraction"}, "tensile", 0.14]]),
)  # fmt: skip
def percent_cells_and_percent_numbers(book: Workbook) -> None:
    ws = sheet(book, "Joints")
    grid(ws, 1, [
        ["Compressors"],
        ["Joint", "Operation", "Method", "Stud size", "Studs", "Bolt grade", "% yield", "Stress area", "Nut factor K"],
        ["PC-1", FM, "hydraulic", "M24", 12, "8.8", 0.5, "tensile", 0.14],
        ["PC-2", FM, "hydraulic", "M24", 12, "8.8", 65, "tensile", 0.14],
        ["PC-3", FM, "hydraulic", "M24", 12, "8.8", "60 %", "tensile", 0.14],
        ["PC-4", FM, "hydraulic", "M24", 12, "8.8", 0.5, "tensile", 0.14],
    ])  # fmt: skip
    ws["G3"].number_format = "0%"


@layout(
    sheet="Joints", heading_row=3,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("torque", "N·m")},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque"], 0, [
        [5, "RP-1", FM, "hydraulic", metric(20, 2.5), 8, 300.0],
        [6, "RP-2", FM, "hydraulic", metric(20, 2.5), 8, 300.0],
        [9, "RP-3", FM, "hydraulic", metric(24, 3), 8, 510.0], [10, "RP-4", FM, "hydraulic", metric(24, 3), 8, 510.0]]),
    said={"headings_repeated": [7, 8]},
)  # fmt: skip
def headings_and_units_again_on_page_two(book: Workbook) -> None:
    head = ["Joint no.", "Operation", "Method", "Bolt size", "Qty. bolts", "Torque"]
    units = [None, None, None, None, "pcs", "Nm"]
    grid(sheet(book, "Joints"), 1, [
        ["Page 1"], [], head, units,
        ["RP-1", FM, "hydraulic", "M20", 8, 300], ["RP-2", FM, "hydraulic", "M20", 8, 300], head, units,
        ["RP-3", FM, "hydraulic", "M24", 8, 510], ["RP-4", FM, "hydraulic", "M24", 8, 510],
    ])  # fmt: skip


@layout(
    sheet="Joints", heading_row=3,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("torque", "N·m"), "G": ("lubricant", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque", "lubricant"], 4, [
        ["SN-1", FM, "hydraulic", metric(24, 3), 12, 505.0, "L-7"],
        ["SN-2", FM, "hydraulic", metric(24, 3), 12, 505.0, "L-7"],
        ["SN-3", FM, "hydraulic", metric(24, 3), 12, 505.0, "L-7"]]),
)  # fmt: skip
def names_split_over_two_rows(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        ["Separators"],
        ["Joint", None, "Tightening", "Stud", "Number of", "Target", "Thread"],
        ["No.", "Operation", "method", "size", "studs", "torque (Nm)", "lubricant"],
        ["SN-1", FM, "hydraulic", "M24", 12, 505, "L-7"], ["SN-2", FM, "hydraulic", "M24", 12, 505, "L-7"],
        ["SN-3", FM, "hydraulic", "M24", 12, 505, "L-7"],
    ])  # fmt: skip


@layout(
    sheet="Joints", heading_row=2,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "H": ("torque", "N·m")},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque"], 3, [
        ["LO-1", FM, "hydraulic", metric(24, 3), 12, 520.0], ["LO-2", FM, "hydraulic", metric(24, 3), 12, 520.0],
        ["LO-3", FM, "hydraulic", metric(24, 3), 12, 530.0]]),
    deserves={("field", "H")},
    answers={"H": "torque"},
)  # fmt: skip
def last_outage_beside_this_one(book: Workbook) -> None:
    ws = sheet(book, "Joints")
    grid(ws, 1, [
        ["Joint", "Operation", "Method", "Stud size", "Studs", "Previous outage", None, "This outage", None],
        [None, None, None, None, None, "Torque (Nm)", "Date", "Torque (Nm)", "Done by"],
        ["LO-1", FM, "hydraulic", "M24", 12, 480, datetime.date(2023, 4, 1), 520, None],
        ["LO-2", FM, "hydraulic", "M24", 12, 485, datetime.date(2023, 4, 1), 520, None],
        ["LO-3", FM, "hydraulic", "M24", 12, None, None, 530, None],
    ])  # fmt: skip
    for area in ("A1:A2", "B1:B2", "C1:C2", "D1:D2", "E1:E2", "F1:G1", "H1:I1"):
        ws.merge_cells(area)


@layout(
    sheet="Joints", heading_row=1,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("torque", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque"], 2, [
        ["UC-1", FM, "hydraulic", metric(24, 3), 12, 480.0],
        ["UC-2", FM, "hydraulic", metric(24, 3), 12, 480.0],
        ["UC-3", FM, "hydraulic", inch(1, 8), 12, 400 * 1.3558179483314]]),
)  # fmt: skip
def the_unit_in_a_column_of_its_own(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque", "Unit"],
        ["UC-1", FM, "hydraulic", "M24", 12, 480, "Nm"], ["UC-2", FM, "hydraulic", "M24", 12, 480, "Nm"],
        ["UC-3", FM, "hydraulic", "1", 12, 400, "ft-lb"],
    ])  # fmt: skip


@layout(
    sheet="Revision 2", heading_row=2,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None), "F": ("torque", "N·m")},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque"], 3, [
        ["RV-1", FM, "hydraulic", metric(24, 3), 12, 520.0], ["RV-2", FM, "hydraulic", metric(24, 3), 12, 520.0]]),
    deserves={("whole list", "")},
    answers={"whole list": {"sheet": "Revision 2"}},
)  # fmt: skip
def two_revisions_in_two_sheets(book: Workbook) -> None:
    for number, torque in ((1, 480), (2, 520)):
        grid(sheet(book, f"Revision {number}"), 1, [
            ["Reboilers"], ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (Nm)"],
            ["RV-1", FM, "hydraulic", "M24", 12, torque], ["RV-2", FM, "hydraulic", "M24", 12, torque],
        ])  # fmt: skip


@layout(
    sheet="Current", heading_row=2,
    fields={"A": ("joint", None), "B": ("plant_area", None), "C": ("size", None), "D": ("rating", None),
            "E": ("operation", None), "F": ("method", None), "G": ("thread", None), "H": ("studs", None),
            "I": ("stress", "MPa"), "J": ("area", None), "K": ("nut_factor", None), "L": ("gasket", None)},
    rows=rows(["joint", "plant_area", "size", "rating", "operation", "method", "thread", "studs", "stress", "area",
               "nut_factor", "gasket"], 3, [
        ["KM-1", "North", "DN 200", "PN 40", FM, "hydraulic", metric(27, 3), 12, 300 * MPA, "root ISO", 0.16, "spiral"],
        ["KM-2", "North", "DN 250", "PN 40", FM, "hydraulic", metric(30, 3.5), 12, 3100 * BAR, "root ISO", 0.16, None],
        ["KM-3", "South", "DN 100", "PN 16", FM, "hand", metric(16, 2), 8, 40 * KSI, "root ISO", 0.16, "sheet"]]),
    said={"sheets_hidden": ["Old"]},
)  # fmt: skip
def an_old_copy_hidden_and_mixed_units(book: Workbook) -> None:
    head = ["Joint", "Area", "Size", "Rating", "Operation", "Method", "Stud size", "Studs", "Stress (MPa)",
            "Stress area", "Nut factor", "Gasket type"]  # fmt: skip
    grid(sheet(book, "Current"), 1, [
        ["Kiln cooling"], head,
        ["KM-1", "North", "DN 200", "PN 40", FM, "hydraulic", "M27", 12, 300, "root ISO", 0.16, "spiral"],
        ["KM-2", "North", "DN 250", "PN 40", FM, "hydraulic", "M30x3.5", 12, "3100 bar", "root ISO", 0.16, None],
        ["KM-3", "South", "DN 100", "PN 16", FM, "hand", "M16", 8, "40 ksi", "root ISO", 0.16, "sheet"],
    ])  # fmt: skip
    old = sheet(book, "Old")
    grid(old, 1, [["Kiln cooling"], head, ["KM-1", "North", "DN 200", "PN 40", FM, "hydraulic", "M27", 12, 250,
                                          "root ISO", 0.2, "spiral"]])  # fmt: skip
    old.sheet_state = "hidden"


@layout(
    sheet="Joints", heading_row=1,
    fields={"A": ("joint", None), "B": ("thread", None), "C": ("studs", None), "D": ("torque", "kgf·m")},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque", "lubricant", "nut_series"], 2, [
        ["WL-1", FM, "hydraulic", metric(24, 3), 12, 50 * KGFM, "Paste 9", "ISO 4032"],
        ["WL-2", FM, "hydraulic", metric(24, 3), 16, 52 * KGFM, "Paste 9", "ISO 4032"],
        ["WL-3", FM, "hydraulic", metric(24, 3), 16, 54 * KGFM, "Paste 9", "ISO 4032"]]),
    answers={"whole list": {"operation": FM, "method": "hydraulic", "lubricant": "Paste 9", "nut series": "ISO 4032"}},
)  # fmt: skip
def constants_for_the_whole_list(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        ["Flange number", "Bolt size", "Number of bolts", "Torque (kgf.m)"],
        ["WL-1", "M24", 12, 50], ["WL-2", "M24", 16, 52], ["WL-3", "M24", 16, 54],
    ])  # fmt: skip


@layout(
    sheet="Joints", heading_row=2,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", "in"),
            "E": ("studs", None), "F": ("torque", "lbf·ft"), "G": ("across_flats", "in")},
    rows=rows(["joint", "operation", "method", "thread", "studs", "torque", "across_flats"], 3, [
        ["IN-1", FM, "hydraulic", inch(1.25, 8), 16, 700 * FTLB, 2 * INCH],
        ["IN-2", FM, "hydraulic", inch(0.75, 10), 8, 160 * FTLB, 1.25 * INCH],
        ["IN-3", FM, "hydraulic", {"stop": "thread_unknown"}, 8, 160 * FTLB, 1.25 * INCH]]),
)  # fmt: skip
def inch_diameters_in_decimals(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        ["Amine unit"],
        ["Joint", "Operation", "Method", "Stud Ø (in)", "Stud qty", "Torque [ft·lbf]", "Nut across flats (in)"],
        ["IN-1", FM, "hydraulic", 1.25, 16, 700, 2], ["IN-2", FM, "hydraulic", 0.75, 8, 160, 1.25],
        ["IN-3", FM, "hydraulic", 24, 8, 160, 1.25],
    ])  # fmt: skip


@layout(
    sheet="Blatt 1", heading_row=4,
    fields={"B": ("joint", None), "C": ("operation", None), "D": ("method", None), "E": ("thread", None),
            "F": ("studs", None), "G": ("grade", None), "H": ("torque", "N·m"), "I": ("lubricant", None),
            "J": ("remarks", None)},
    rows=rows(["joint", "operation", "method", "thread", "studs", "grade", "torque", "lubricant", "remarks"], 0, [
        [7, "K1-N1", FM, "hydraulic", metric(24, 3), 12, "8.8", 500.0, "L-7", None],
        [8, "K1-N2", FM, "hydraulic", metric(24, 3), 12, "8.8", 500.0, "L-7", "scaffold"],
        [10, "K2-N1", FM, "hydraulic", metric(24, 3), 12, "8.8", 510.0, "L-7", None],
        [11, "K2-N2", FM, "hydraulic", metric(24, 3), 12, "8.8", 510.0, "L-7", None]]),
    said={"group_row": [6, 9], "total_row": [12], "notes_below": [14], "rows_hidden": [10, 11]},
)  # fmt: skip
def everything_at_once(book: Workbook) -> None:
    ws = sheet(book, "Blatt 1")
    ws.merge_cells("B1:J1")
    ws["B1"] = "Kettle joints, revision 7"
    grid(ws, 2, [["Status:", "issued"], [],
        ["Joint tag", "Operation", "Method", "Stud size", "Studs", "Stud grade", "Torque", "Lubricant", "Comments"],
        [None, None, None, None, None, None, "N·m", None, None],
        ["Kettle 1"],
        ["K1-N1", FM, "hydraulic", "M24", 12, "8.8", 500, "L-7", None],
        [None, FM, "hydraulic", "M24", 12, "8.8", 500, "L-7", "scaffold"],
        ["Kettle 2"],
        ["K2-N1", FM, "hydraulic", "M24", 12, "8.8", 510, "L-7", None],
        ["K2-N2", FM, "hydraulic", "M24", 12, "8.8", 510, "L-7", None],
        ["Total", None, None, None, "=SUM(F7:F11)", None, None, None, None], [],
        ["Torques are for studs with lubricant L-7."],
    ], column=2)  # fmt: skip
    ws["B8"] = "K1-N2"
    for row in (10, 11):
        ws.row_dimensions[row].hidden = True
        ws.row_dimensions[row].outlineLevel = 1
