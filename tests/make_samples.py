"""Writes `samples/`: a joint list, one as strangers keep it, rows that are refused and a wrench book.

Run `python tests/make_samples.py` after a change here; the files that are in the repository come from this script.
Plant, equipment, wrenches, lubricants and every certificate are invented; so is every number.
"""

import re
import sys
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

sys.path.insert(0, str(Path(__file__).parent))  # pytest, looking for doctests, imports this file by its path
from plant_names import PLANT  # noqa: E402
from sheet_layout import (  # noqa: E402
    GAUGE_HEAD,
    GAUGE_WIDTHS,
    HEADINGS,
    LUBE_HEAD,
    LUBE_WIDTHS,
    list_sheet,
    notes_sheet,
    save,
    table_sheet,
    wrench_sheet,
)  # fmt: skip

SAMPLES = Path(__file__).parents[1] / "samples"

# --- the joint list -------------------------------------------------------------------------------------------------

START = date(2026, 10, 5)
ROOT, TENSILE = "root B1.1", "tensile"


SHORT = {
    "tag": "Joint", "operation": "Operation", "method": "Method", "area": "Area", "equipment": "Equipment",
    "line": "Line", "nps": "Size", "rating": "Rating", "gasket": "Gasket", "size": "Stud size", "studs": "Studs",
    "grade": "Grade", "nut": "Nut series", "stress": "Stress (psi)", "on": "Stress area",
    "percent": "Percent of yield (%)", "load": "Load (lbf)", "torque": "Torque (ft-lb)", "lube": "Lubricant",
    "k": "Nut factor", "thread_friction": "Thread friction", "nut_friction": "Nut friction", "wrench": "Wrench",
    "once": "Wrenches together", "date": "Job date", "order": "Order", "side": "Turned side", "one": "Stud 1",
    "holes": "Holes (through/tapped)", "note": "Remarks",
}  # fmt: skip
"""Short names of the columns, for the rows below."""


def named(**values: Any) -> dict[str, Any]:
    return {SHORT[name]: value for name, value in values.items()}


def joint(tag: str, operation: str, method: str, studs: int, size: str, day: int, **more: Any) -> dict[str, Any]:
    """One row, with the day of the outage on which the work is done."""
    row = named(tag=tag, operation=operation, method=method, studs=studs, size=size, holes="through",
                equipment=re.sub(r"-[A-Z0-9]+$", "", tag), date=START + timedelta(days=day))  # fmt: skip
    return row | named(**more)


MAKE, TEST, BREAK, RETIGHTEN = "final make-up", "test make-up", "break", "retighten"
HYD, HAND, TEN = "hydraulic", "hand", "tensioned"
SPIRAL, RING, GROOVED = "spiral wound, inner ring", "ring joint", "grooved, graphite faced"
TOP = "12 o'clock, from above"
DOWN = "12 o'clock, looking downstream"
INLET, STAB, COMP, HEAT, COLD = "100 Inlet", "200 Stabiliser", "300 Compression", "400 Heating", "600 Cold section"
SKID = "500 Cooling skid"
SKID_STUD: dict[str, Any] = {"area": SKID, "lube": "L-20", "gasket": SPIRAL}

JOINTS = [
    joint("V-1101-MH", BREAK, HYD, 24, "1 3/8-8 UN", 0, area=INLET, nps="18", rating="400", grade="A193 B7",
          torque=1090,
          nut="heavy hex", lube="L-20", side="cover side", one=TOP, note="Torque: last make-up, 2022 record"),
    joint("V-1101-MH", TEST, HYD, 24, "1 3/8-8 UN", 9, area=INLET, nps="18", rating="400", gasket="test gasket, sheet",
          grade="A193 B7", nut="heavy hex", stress=34600, on=ROOT, lube="L-20", side="cover side", one=TOP),
    joint("V-1101-MH", MAKE, HYD, 24, "1 3/8-8 UN", 14, area=INLET, nps="18", rating="400", gasket=SPIRAL,
          grade="A193 B7", nut="heavy hex", stress=43700, on=ROOT, lube="L-20", side="cover side", one=TOP),
    joint("V-1101-N1", MAKE, HYD, 20, "1 1/4-8 UN", 3, area=INLET, line='12"-HC-1101', nps="12", rating="600",
          gasket=SPIRAL, grade="A193 B7", nut="heavy hex", stress=41300, on=ROOT, lube="L-20", side="piping side",
          one=DOWN),
    joint("V-1101-N2", MAKE, HYD, 16, '1-1/4"', 3, area=INLET, line='10"-HC-1102', nps="10", rating="600",
          gasket=SPIRAL,
          grade="A193 B7", torque=655, lube="L-20", side="piping side", one=DOWN, note="= studs reused once, N1 batch"),
    joint("V-1101-N3", MAKE, HAND, 12, "3/4", 3, area=INLET, line='6"-HC-1103', nps="6", rating="300", gasket=SPIRAL,
          grade="A193 B7", stress=41300, on=ROOT, lube="L-20", one=DOWN),
    joint("V-1101-N7", MAKE, HAND, 8, "5/8", 3, area=INLET, nps="2", rating="300", gasket=SPIRAL, grade="A193 B7",
          torque=68, lube="L-20", note="Level gauge, top and bottom alike"),
    joint("E-1204-CH", MAKE, HYD, 28, "1 3/8-8 UN", 6, area=STAB, gasket=GROOVED, grade="A193 B16", nut="heavy hex",
          stress="48.3 ksi", on=TENSILE, lube="L-20", wrench="HW-2", side="cover side", one=TOP),
    joint("E-1204-GF", MAKE, HYD, 40, "1 5/8-8 UN", 7, area=STAB, gasket=GROOVED, grade="A193 B7", nut="heavy hex",
          stress=46900, on=ROOT, lube="L-20", wrench="HW-3, HW-4", once=2, side="shell side", one=TOP,
          note="Two wrenches on one pump, opposite each other"),
    joint("E-1204-N1", MAKE, HYD, 20, "1.3/8", 7, area=STAB, line='14"-HC-1204', nps="14", rating="600", gasket=SPIRAL,
          grade="A193 B7", stress=41300, on=ROOT, lube="L-20", side="piping side", one=DOWN),
    joint("E-1205-FH", MAKE, HYD, 36, "1 1/8-8 UN", 8, area=STAB, gasket="double jacketed", grade="A193 B7M",
          nut="heavy hex", percent=46.5, on=TENSILE, lube="L-10", side="head side", one=TOP),
    joint("E-1205-N3", MAKE, HAND, 4, "3/4-10 UNC", 8, area=STAB, nps="1-1/2", rating="600", gasket=SPIRAL,
          grade="A193 B7", torque=104, lube="L-10", note="Vent"),
    joint("T-1401-HF", MAKE, HYD, 52, "1 1/4-8 UN", 10, area=STAB, gasket=GROOVED, grade="A193 B7", nut="heavy hex",
          load=38500, lube="L-10", side="upper side", one="north, from above"),
    joint("T-1401-BTM", MAKE, HYD, 24, "1 7/8-8 UN", 10, area=STAB, line='24"-HC-1401', nps="24", rating="600",
          gasket=SPIRAL, grade="A193 B7", stress=39400, on=ROOT, lube="L-10", side="piping side", one=DOWN),
    joint("T-1401-BTM", RETIGHTEN, HYD, 24, "1 7/8-8 UN", 15, area=STAB, line='24"-HC-1401', nps="24", rating="600",
          gasket=SPIRAL, grade="A193 B7", stress=39400, on=ROOT, lube="L-10", side="piping side", one=DOWN,
          note="Cold, depressurised, on the engineer's instruction"),
    joint("T-1401-N9", MAKE, HAND, 8, "3/4", 10, area=STAB, nps="3", rating="300", gasket=SPIRAL, grade="A193 B7",
          stress=41300, on=ROOT, lube="L-10", one=DOWN),
    joint("C-1301-SUC", MAKE, HYD, 20, "1 1/2-8 UN", 11, area=COMP, line='16"-HG-1301', nps="16", rating="600",
          gasket=SPIRAL, grade="A193 B7", stress=44300, on=ROOT, lube="L-20", wrench="HW-3, HW-4", once=2,
          side="piping side", one=DOWN),
    joint("C-1301-DIS", MAKE, HYD, 20, "1 3/8-8 UN", 11, area=COMP, line='12"-HG-1302', nps="12", rating="900",
          gasket=SPIRAL, grade="A193 B7", stress=47300, on=ROOT, lube="L-20", side="piping side", one=DOWN),
    joint("C-1301-CAS", MAKE, "other", 48, "2-8 UN", 12, area=COMP, grade="A193 B16",
          note="Casing split line, heated studs, by the compressor maker"),
    joint("V-1302-MH", MAKE, HYD, 24, "1 5/8-8 UN", 12, area=COMP, nps="20", rating="600", gasket=SPIRAL,
          grade="A193 B7", stress=40700, on=ROOT, lube="L-20", side="cover side", one=TOP),
    joint("P-1601A-DIS", MAKE, HYD, 12, "1 7/8-8 UN", 13, area=COMP, line='10"-HC-1601', nps="10", rating="1500",
          gasket=RING, grade="A193 B7", stress=48100, on=ROOT, lube="L-20", wrench="HW-5", side="piping side",
          one=DOWN),
    joint("P-1601B-DIS", MAKE, HYD, 12, "1 7/8-8 UN", 13, area=COMP, line='10"-HC-1602', nps="10", rating="1500",
          gasket=RING, grade="A193 B7", stress=48100, on=ROOT, lube="L-20", wrench="HW-5", side="piping side",
          one=DOWN),
    joint("R-1801-TOP", MAKE, TEN, 24, "3-8 UN", 14, area=HEAT, gasket=RING, grade="A193 B16", load=251000,
          note="Tensioned by the bolting contractor, own procedure"),
    joint("R-1801-BTM", MAKE, TEN, 24, "3-8 UN", 14, area=HEAT, gasket=RING, grade="A193 B16", load=251000,
          note="Tensioned by the bolting contractor, own procedure"),
    joint("R-1801-MH", MAKE, TEN, 16, "2 3/4-8 UN", 14, area=HEAT, nps="18", rating="1500", gasket=RING,
          grade="A193 B16", load=206000),
    joint("H-1501-OUT", MAKE, HYD, 12, "1 5/8-8 UN", 9, area=HEAT, line='8"-HC-1501', nps="8", rating="1500",
          gasket=RING, grade="A193 B16", percent=42.5, on=TENSILE, lube="L-20", side="piping side", one=DOWN),
    joint("H-1501-PSV", MAKE, HYD, 16, "2-8 UN", 9, area=HEAT, line='12"-HC-1503', nps="12", rating="1500", gasket=RING,
          grade="A193 B16", stress=43900, on=ROOT, lube="L-20", side="valve side", one=DOWN),
    joint("A-1803-HC", MAKE, HYD, 14, "1 1/8-8 UN", 16, area=COLD, gasket="soft iron, flat", grade="A193 B7",
          torque=465, lube="L-20", order="4, 11, 5, 12, 3, 10, 6, 13, 2, 9, 7, 14, 1, 8", side="cover side",
          one="upper left corner, clockwise", holes="tapped",
          note="Rectangular header cover: order by the cooler's maker"),
    joint("V-1901-N1", MAKE, HYD, 20, "1 1/4-8 UN", 16, area=COLD, line='16"-HC-1901', nps="16", rating="300",
          gasket=SPIRAL, grade="A320 L7", stress=41300, on=ROOT, thread_friction=0.117, nut_friction=0.104,
          side="piping side", one=DOWN, note="Coefficients: friction test 26-014, same stud batch"),
    joint("V-1901-N2", MAKE, HYD, 16, "1-8 UNC", 16, area=COLD, line='10"-HC-1902', nps="10", rating="300",
          gasket=SPIRAL, grade="A193 B8M class 2", stress=36200, on=ROOT, lube="L-30", side="piping side", one=DOWN),
    joint("V-1901-N3", MAKE, HYD, 12, "1 1/8-8 UN", 16, area=COLD, line='8"-HC-1903', nps="8", rating="600",
          gasket=SPIRAL, grade="A320 L7", torque=585, side="piping side", one=DOWN,
          note="Torque from the valve maker, friction not stated"),
    joint("E-501-CH", MAKE, HYD, 24, "M36x3", 5, **SKID_STUD, grade="A193M B7", nut="metric heavy hex",
          stress="366 MPa", on=ROOT, side="cover side", one=TOP),
    joint("E-501-SH", MAKE, HYD, 32, "M30x3.5", 5, **SKID_STUD, grade="A193M B7", nut="ISO 4032", stress="296 MPa",
          on="root ISO", wrench="HW-6", side="shell side", one=TOP),
    joint("V-502-MH", MAKE, HYD, 20, "M42 x 3", 6, **SKID_STUD, grade="A193M B7", nut="metric heavy hex", nps="DN 500",
          rating="PN 100", stress="331.4 MPa", on=TENSILE, side="cover side", one=TOP),
    joint("V-502-N1", MAKE, HYD, 16, "M27", 6, **SKID_STUD, grade="A193M B7", nut="ISO 4032", nps="DN 300",
          rating="PN 25", torque="575 N·m", side="piping side", one=DOWN),
    joint("V-502-N4", MAKE, HAND, 12, "M20", 6, **SKID_STUD, grade="A193M B7", nut="metric heavy hex", nps="DN 250",
          rating="PN 10", stress="366 MPa", on=ROOT),
    joint("P-503-CAS", MAKE, HYD, 12, "M24", 7, area=SKID, gasket="O-ring, metal to metal", grade="ISO 898-1 10.9",
          nut="ISO 4032", torque="545 N·m", k=0.135, side="cover side", one=TOP, holes="tapped",
          note="Nut factor 0.135: pump maker's manual, oiled"),
    joint("P-503-DRN", MAKE, HAND, 4, "M16", 7, **SKID_STUD, grade="8.8", nut="ISO 4032", nps="DN 40", rating="PN 40",
          torque="96 N·m"),
    joint("C-504-DIS", MAKE, HYD, 16, "M48x3", 8, **SKID_STUD, grade="A193M B7", nut="metric heavy hex", nps="DN 400",
          rating="PN 160", load="465 kN", side="piping side", one=DOWN),
]  # fmt: skip

LIST_TITLE = [
    f"{PLANT} condensate unit: joint list, autumn outage 2026",
    "Bolted pressure joints to be opened and closed between 2026-10-05 and 2026-10-23. Invented plant, "
    "invented numbers.",
    "Revision C, 2026-09-14. Units stand in the headings; a cell that uses another unit says so "
    "(cooling skid, built to metric drawings).",
]
LIST_NOTES = [
    "How this list is kept",
    "One row per joint and operation (break, test make-up, final make-up, retighten). The same joint may "
    "stand several times; the same pair of joint and operation may not.",
    "Method: hydraulic rows get a wrench and pump pressures, hand rows get pass torques, tensioned and "
    "other rows are counted and left alone.",
    "Exactly one target per row: a stress with the area it acts on, a percentage of yield with its area, "
    "a load, or a torque.",
    "Friction: a product of the site's lubricant sheet, or a nut factor, or the coefficients of thread "
    "and nut. A torque may stand without it; its preload is then not known.",
    "The stud size is text. A bare inch size is UNC up to 1 in and 8UN above. A metric size above M27 needs its pitch.",
    "Inch nuts are heavy hex where nothing is said. Metric nuts need their series: an M36 nut may be 55 "
    "or 60 mm across flats.",
    "Wrench: empty means the smallest one of the wrench book that fits. Two wrenches on one pump are "
    "written HW-3, HW-4, with 2 under Wrenches together.",
    "Text that begins with an equals sign is text here (row of V-1101-N2), and stays text in everything "
    "that is written.",
]

# --- a list as strangers keep it ------------------------------------------------------------------------------------

KEPT_TITLE = [
    "UNIT 700 FLARE KNOCK-OUT  -  close-up torques",
    "rev 2   13-Sep-26   moly paste L-20 on threads + nut faces",
]
KEPT_HEAD = ["Joint no.", "Where", "Flg (in / #)", "Bolts no. x dia (in)", "Bolt matl", "AF (in)", "Torque (ft-lb)",
             "Date", "Remarks"]  # fmt: skip
KEPT_ROWS: list[list[Any]] = [
    ["V-7101/M1", "shell manway", "20 / 300", "24 x 1 1/4", "A193 B7", 2, 540, date(2026, 10, 12), "new gasket"],
    ["V-7101/N1", "inlet", "12 / 300", "16 x 1 1/8", "A193 B7", 1.8125, 395, date(2026, 10, 12), None],
    ["V-7101/N2", "vapour out", "16 / 300", "20 x 1 1/4", "A193 B7", 2, 540, date(2026, 10, 12), None],
    ["V-7101/N5", "pump-out", "4 / 300", "8 x 3/4", "A193 B7", 1.25, 112, date(2026, 10, 12), "by hand if tight"],
    ["P-7102A/SUC", "pump suction", "6 / 300", "12 x 3/4", "A193 B7", 1.25, 112, date(2026, 10, 13), None],
    ["P-7102A/DIS", "pump discharge", "4 / 600", "8 x 7/8", "A193 B7", 1.4375, 184, date(2026, 10, 13), None],
    ["P-7102B/SUC", "pump suction", "6 / 300", "12 x 3/4", "A193 B7", 1.25, 112, date(2026, 10, 13), None],
    ["P-7102B/DIS", "pump discharge", "4 / 600", "8 x 7/8", "A193 B7", 1.4375, 184, date(2026, 10, 13), None],
    ["E-7103/CH", "channel", "body", "28 x 1 1/8", "A193 B7", 1.8125, 395, date(2026, 10, 14), "back-up wrench!"],
]
KEPT_NOTE = "Note: seal drum not in this outage. Any change goes through the unit engineer."


def kept_sheet(sheet: Worksheet) -> None:
    """Two title lines, headings with their units, no column for operation or method, a note below."""
    for line in (*([text] for text in KEPT_TITLE), [], KEPT_HEAD, *KEPT_ROWS, [], [KEPT_NOTE]):
        sheet.append(line)
    for column, wide in zip("ABCDEFGHI", (14, 17, 13, 20, 12, 9, 14, 12, 22), strict=True):
        sheet.column_dimensions[column].width = wide
    for row in sheet.iter_rows(min_row=5, min_col=8, max_col=8):
        row[0].number_format = "dd-mmm-yy"


# --- one row of each refusal ----------------------------------------------------------------------------------------


def flawed(tag: str, why: str, **change: Any) -> dict[str, Any]:
    """A sound row but for what is changed; its remark says why it stops."""
    sound = joint(tag, MAKE, HYD, 16, "1 1/4-8 UN", 3, area=INLET, grade="A193 B7", nut="heavy hex", gasket=SPIRAL,
                  stress=41300, on=ROOT, lube="L-20", side="piping side", one=DOWN, equipment="rack 9")  # fmt: skip
    return sound | named(**change, note=why)


REFUSALS = [
    flawed("F-01", "ambiguous unit: lb may be pounds-force or pound-feet", stress=None, on=None, torque="885 lb"),
    flawed("F-02", "unit of another kind: bar in a torque cell", stress=None, on=None, torque="65 bar"),
    flawed("F-03", "blank target", stress=None, on=None),
    flawed("F-04", "two targets in one row", torque=655),
    flawed("F-05", "torque beyond the table of the wrench named", stress=None, on=None, torque=1640, lube=None,
           wrench="HW-1"),
    flawed("F-06", "torque below the lowest point of every table that fits", stress=None, on=None, torque=37,
           lube=None),
    flawed("F-07", "unknown thread", size="1 1/4-9 UN"),
    flawed("F-08", "M42 without pitch", grade="A193M B7", nut="metric heavy hex", size="M42"),
    flawed("F-09", "metric nut without series", grade="A193M B7", nut=None, size="M36x3"),
    flawed("F-10", "grade without class", grade="A193 B8M", stress=30000, size="1"),
    flawed("F-11", "metric stud whose specification is not named", grade="B7", nut="metric heavy hex", size="M36x3"),
    flawed("F-12", "unknown grade", grade="B77"),
    flawed("F-13", "yield exceeded while tightening", stress=98000),
    flawed("F-14", "stress without a named area", on=None),
    flawed("F-15", "stress that can only be ksi in a column of psi", stress=41),
    flawed("F-16", "percentage typed as a fraction", stress=None, on=TENSILE, percent=0.5),
    flawed("F-17", "certificate of the wrench out of date on the job date", wrench="HW-8"),
    flawed("F-18", "every certificate out of date on the job date", date=date(2028, 3, 1)),
    flawed("F-19", "no date: certificates cannot be checked, unless one is given for the whole list", date=None),
    flawed("F-20", "no wrench has a link or socket for this nut", size="3 1/2-8 UN"),
    flawed("F-21", "wrench named has no link or socket for this nut", wrench="HW-7", size="1 1/8-8 UN"),
    flawed("F-22", "wrench named is not in the wrench book", wrench="HW-12"),
    flawed("F-23", "stud count below 4", studs=3),
    flawed("F-24", "stud count not whole", studs=16.5),
    flawed("F-25", "text where a number belongs", studs="sixteen"),
    flawed("F-26", "error cell", stress="#N/A"),
    flawed("F-27", "a date in the thread cell: the spreadsheet made it from 1-1/8", size=datetime(2008, 1, 1)),
    flawed("F-28", "repeated joint and operation, first of two"),
    flawed("F-28", "repeated joint and operation, second of two", stress=36200),
    flawed("F-29", "a formula without a cached value", stress="==45900*0.9"),
    flawed("F-30", "lubricant that is not in the site's sheet", lube="L-99"),
    flawed("F-31", "no friction for a stress", lube=None),
    flawed("F-32", "nut factor that differs from that of the product in the lubricant sheet", k=0.17),
    flawed("F-33", "unknown method", method="torqued"),
    flawed("F-34", "unknown operation", operation="close"),
    flawed("F-35", "a date that may be 3 April or 4 March", date="03/04/2026"),
    flawed("F-36", "two wrenches together cannot share 15 studs evenly", studs=15, once=2),
    flawed("F-37", "own order that leaves a stud out", order="1, 9, 5, 13, 3, 11, 7, 15, 2, 10, 6, 14, 4, 12, 8"),
    flawed("F-38", "comma that may mark thousands or decimals", stress=None, on=None, torque="8,650"),
    flawed("F-39", "TRUE where a number belongs", stress=True),
    flawed("F-40", "zero is not a torque", stress=None, on=None, torque=0),
]  # fmt: skip
REFUSAL_TITLE = [
    f"{PLANT} condensate unit: one row for each thing that stops a row",
    "Every row here stops; its remark says why. No number may appear for any of them.",
]


def without_unit(sheet: Worksheet, heading: str, why: str) -> None:
    headings = {heading if name == "Torque (ft-lb)" else name: width for name, width in HEADINGS.items()}
    row = flawed("F-50", why, stress=None, on=None)
    row[heading] = 655
    list_sheet(sheet, [f"{PLANT} condensate unit: a list whose torque column cannot be read", why], [row], headings)


# --- the wrench book ------------------------------------------------------------------------------------------------

CALIBRATED = date(2026, 5, 18)
FT_LB, N_M = 1.3558179483314003, 1.0


def points(pressures: range, per_unit: float, loss: float, step: int) -> list[tuple[float, float]]:
    """A table as a certificate prints it: torque nearly in proportion to pressure, rounded to the printed digit."""
    return [(p, step * round(per_unit * (p - loss) / step)) for p in pressures]


PSI_STEPS, FINE_STEPS, BAR_STEPS = range(1000, 10001, 1000), range(500, 10001, 500), range(50, 701, 50)
INCH_LINK = ["Link or socket", "Across flats (in)", "Torque factor", "Torque limit (ft-lb)", "Link radius (in)"]
MM_LINK = ["Link or socket", "Across flats (mm)", "Torque factor", "Torque limit (N·m)", "Link radius (mm)"]


def sockets(
    sizes: str, limit: float, kind: str = "socket", unit: str = "in", radius: float | None = None
) -> list[list[Any]]:
    rows = []
    for size in sizes.split(", "):
        whole, _, part = size.partition("-")
        number = float(whole) + (int(part.split("/")[0]) / int(part.split("/")[1]) if part else 0)
        rows.append([f"{size} {unit} {kind}", number, 1.0, limit, radius and round(radius + number * 0.55, 2)])
    return rows


def both_units(table: list[tuple[float, float]]) -> list[tuple[float, ...]]:
    """The same points in psi, bar, lbf·ft and N·m, each rounded as a certificate would."""
    return [(p, round(p * 0.06894757293168361, 1), t, round(t * FT_LB)) for p, t in table]


def wrench(
    name: str, kind: str, serial: str, certificate: str, pump: str, gauge: str, remarks: str, **more: Any
) -> dict[str, Any]:
    psi = more.pop("psi", True)
    block: dict[str, Any] = {
        "Wrench": name, "Kind": kind, "Serial number": serial, "Certificate": certificate,
        "Calibrated on": more.pop("calibrated", CALIBRATED), "Certificate valid until": more.pop("until", date(2027,
        5, 17)),
    }  # fmt: skip
    if psi:
        block |= {"Rated pressure (psi)": 10000, "Hose": more.pop("hose", "H-10"),
                  "Hose rated pressure (psi)": more.pop("hose_rating", 10000), "Pump": pump,
                  "Pump rated pressure (psi)": 10000}  # fmt: skip
    else:
        block |= {"Rated pressure": "700 bar", "Hose": "H-20", "Hose rated pressure": "700 bar", "Pump": pump,
                  "Pump rated pressure": "700 bar"}  # fmt: skip
    block |= {"Gauge": gauge, **more.pop("stroke", {}), "Remarks": remarks}
    return {"sheet": name, "block": block, **more}


US_TABLE = ["Pressure (psi)", "Torque (ft-lb)"]
SI_TABLE = ["Pressure (bar)", "Torque (N·m)"]
ALL_TABLE = ["Pressure (psi)", "Pressure (bar)", "Torque (ft-lb)", "Torque (N·m)"]
WRENCHES = [
    wrench("HW-1", "square drive", "70417", "DX-26-101", "P-2", "G-2", "3/4 in square drive", link_head=INCH_LINK,
           links=sockets("1-1/4, 1-7/16, 1-5/8, 1-13/16, 2", 1120), head=US_TABLE,
           table=points(FINE_STEPS, 0.1154, 35, 1),
           stroke={"Stroke angle (°)": 24, "Oil per stroke (in³)": 0.74, "Pump flow (in³/min)": 120}),
    wrench("HW-2", "square drive", "70902", "DX-26-102", "P-2", "G-2",
           "1 in square drive. The adapter's factor and limit are those of certificate DX-26-102A", link_head=INCH_LINK,
           links=[*sockets("1-13/16, 2, 2-3/16, 2-3/8", 3450), ["2-9/16 in offset adapter", 2.5625, 1.09, 3150, 2.4]],
           head=ALL_TABLE, table=both_units(points(FINE_STEPS, 0.3314, 42, 1)),
           stroke={"Stroke angle (°)": 24, "Oil per stroke (in³)": 2.1, "Pump flow (in³/min)": 120}),
    wrench("HW-3", "low clearance", "42231", "DX-26-103", "P-1", "G-1", "Pair with HW-4", link_head=INCH_LINK,
           links=sockets("2, 2-3/16, 2-3/8, 2-9/16, 2-3/4", 3520, "link", radius=0.5), head=US_TABLE,
           table=points(PSI_STEPS, 0.3381, 32, 5)),
    wrench("HW-4", "low clearance", "42232", "DX-26-104", "P-1", "G-1", "Pair with HW-3", link_head=INCH_LINK,
           links=sockets("2, 2-3/16, 2-3/8, 2-9/16, 2-3/4", 3520, "link", radius=0.5), head=US_TABLE,
           table=points(PSI_STEPS, 0.3351, 32, 5)),
    wrench("HW-5", "low clearance", "48104", "DX-26-105", "P-2", "G-2",
           "Long hose H-31 holds this wrench to 9,000 psi", hose="H-31", hose_rating=9000, link_head=INCH_LINK,
           links=sockets("2-3/4, 2-15/16, 3-1/8, 3-1/2, 3-7/8", 9650, "link", radius=0.8), head=US_TABLE,
           table=points(FINE_STEPS, 0.9237, 40, 10)),
    wrench("HW-6", "square drive", "71159", "DX-26-106", "P-3", "G-3", "1 in square drive", psi=False,
           link_head=MM_LINK,
           links=sockets("36, 41, 46, 50, 55", 1840, unit="mm"), head=SI_TABLE, table=points(BAR_STEPS, 2.425, 3, 1)),
    wrench("HW-7", "low clearance", "45518", "DX-26-107", "P-3", "G-3",
           "The narrow link is weaker and a little less efficient: factor and limit from certificate DX-26-107B",
           psi=False, link_head=MM_LINK,
           links=[["50 mm narrow link", 50, 0.95, 3050, 38], *sockets("55, 60, 65, 70, 75, 80", 7150, "link", "mm",
           12)],
           head=SI_TABLE, table=points(BAR_STEPS, 9.84, 4, 5)),
    wrench("HW-8", "square drive", "70388", "DX-25-088", "P-1", "G-1", "Sent for calibration",
           calibrated=date(2025, 8, 25), until=date(2026, 8, 24), link_head=INCH_LINK,
           links=sockets("1-5/8, 1-13/16, 2", 1120), head=US_TABLE, table=points(PSI_STEPS, 0.1145, 40, 1)),
]  # fmt: skip

GAUGES = [
    ["G-1", "psi", 15000, 100, "1.0", "DX-26-201", date(2026, 6, 8), date(2027, 6, 7)],
    ["G-2", "psi", 10000, 50, "0.6", "DX-26-202", date(2026, 6, 8), date(2027, 6, 7)],
    ["G-3", "bar", 1000, 10, "1.0", "DX-26-203", date(2026, 6, 9), date(2027, 6, 8)],
]
LUBES = [
    ["L-10", 0.105, 0.125, 0.15, None, None, "Maker's data sheet L-10, issue 4, tested on 1-3/8 in B7 studs"],
    ["L-20", 0.12, 0.145, 0.175, None, None, "Site friction test 25-007 on 1-1/4 and 1-7/8 in B7 studs, new, washers"],
    ["L-30", None, None, None, 0.113, 0.107, "Maker's data sheet L-30, issue 2, tested on M24 stainless studs"],
]
BOOK_README = [
    f"Wrench book of the {PLANT} condensate unit (invented plant)",
    "One sheet per hydraulic torque wrench: what it is, its links (cassettes) or sockets, and below them the table "
    "of its last calibration certificate.",
    "Gauges and lubricants stand on sheets of their own. This sheet is not read.",
]


def main() -> None:
    workbook = Workbook()
    workbook.active.title = "Joints"
    list_sheet(workbook.active, LIST_TITLE, JOINTS, HEADINGS)
    notes_sheet(workbook, "Notes", LIST_NOTES)
    save(workbook, SAMPLES / "drigrauvex-joints.xlsx")

    workbook = Workbook()
    workbook.active.title = "Close-up"
    kept_sheet(workbook.active)
    save(workbook, SAMPLES / "drigrauvex-as-kept.xlsx")

    workbook = Workbook()
    workbook.active.title = "Joints"
    list_sheet(workbook.active, REFUSAL_TITLE, REFUSALS, HEADINGS)
    without_unit(workbook.create_sheet("No unit"), "Torque", "missing unit: the heading of the torque names none")
    without_unit(workbook.create_sheet("Ambiguous unit"), "Torque (lb)", "ambiguous unit: lb is not a torque")
    save(workbook, SAMPLES / "drigrauvex-refusals.xlsx")

    workbook = Workbook()
    workbook.remove(workbook.active)
    notes_sheet(workbook, "Read me", BOOK_README)
    for entry in WRENCHES:
        sheet = workbook.create_sheet(entry["sheet"])
        wrench_sheet(sheet, entry["block"], entry["link_head"], entry["links"], entry["head"], entry["table"])
    table_sheet(workbook.create_sheet("Gauges"), GAUGE_HEAD, GAUGES, GAUGE_WIDTHS)
    table_sheet(workbook.create_sheet("Lubricants"), LUBE_HEAD, LUBES, LUBE_WIDTHS)
    save(workbook, SAMPLES / "drigrauvex-wrenches.xlsx")

    table = next(entry for entry in WRENCHES if entry["sheet"] == "HW-3")
    lines = [",".join(table["head"]), *(f"{p:g},{t:g}" for p, t in table["table"])]
    (SAMPLES / "HW-3-calibration.csv").write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
