"""Plans of an invented plant, made by the planner itself from lists of a few rows and a wrench book of simple tables.

`joint(...)`, `hand(...)` and `several(...)` are rows of a list; `plan(...)` writes list and book, reads both and plans.
Nothing of a plan is made by hand, so what tests of cards and records see is what a crew would get.

The tables are straight lines off zero, torque [lbf·ft] = slope x pressure [psi] - 20, so that every figure can be
worked out by hand. The usual joint: 24 studs 1 1/2-8 UN at 50,000 psi on the root area of ASME B1.1, 1.405 in², that
is 70,263 lbf; with a nut factor of 0.16 torque = 0.16 x 1.5/12 ft x 70,263 lbf = 1405.3 lbf·ft, and 421.6 and 843.2 at
30 and 60 per cent. HW-3 meets it at (1405.3 + 20) / 0.351 = 4061 psi: on marks of 50 psi that is 4050, which gives
0.351 x 4050 - 20 = 1401.6 lbf·ft; likewise 1250 psi, 418.8 lbf·ft, and 2450 psi, 840.0 lbf·ft.
"""

import datetime
import tempfile
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

import xlsxwriter
from msgspec.structs import replace

from addin.plan.file import Plan
from addin.plan.list_settings import ListSettings
from addin.plan.planned_list import planned, read_for_plan
from addin.plan.writer import PlanWriter
from addin.wrenches.wrench_book import WrenchBook, read_wrench_book
from calc.units import system

Row = dict[str, Any]

HEADINGS = {
    "tag": "Joint", "operation": "Operation", "method": "Method", "area_of_plant": "Area", "equipment": "Equipment",
    "line": "Line", "size": "Size", "rating": "Rating", "gasket": "Gasket", "thread": "Stud size", "studs": "Studs",
    "grade": "Grade", "nut_series": "Nut series", "stress": "Stress", "stress_area": "Stress area", "torque": "Torque",
    "lubricant": "Lubricant", "nut_factor": "Nut factor", "wrench": "Wrench", "at_once": "Wrenches together",
    "date": "Job date", "order": "Order", "turned_side": "Turned side", "stud_1": "Stud 1", "remarks": "Remarks",
    "breakout_factor": "Break-out factor", "crew": "Crew", "sequence": "Work sequence", "work_order": "Work order",
    "print_it": "Print", "holes": "Holes", "hold_point": "Hold point", "witness": "Witness point",
    "condition": "Stud condition", "washers": "Washers", "shift": "Shift", "uplift": "Uplift",
    "uplift_reason": "Uplift reason", "stud_maximum": "Stud maximum", "gasket_area": "Gasket area",
    "gasket_maximum": "Gasket maximum stress",
}  # fmt: skip
"""Headings of the list by the names that rows use."""

BROKEN: Row = {"stress": None, "stress_area": None, "torque": "1400 lbf·ft", "breakout_factor": 1.5}
"""Cells of a row that is broken out: the torque of its make-up, and what an old nut may need more."""

LINKS = [
    ["2-15/16 in link", 2.9375, 1.0],
    ["2-3/8 in link", 2.375, 1.0],
    ["2 in link", 2.0, 1.0],
    ["1-7/16 in link", 1.4375, 1.0],
]
WRENCHES: dict[str, dict[str, Any]] = {
    "HW-3": {"slope": 0.351, "pump": "P-1", "gauge": "G-2", "certificate": "C-1041"},
    "HW-4": {"slope": 0.34, "pump": "P-2", "gauge": "G-3", "certificate": "C-1042"},
    "HW-5": {"slope": 0.33, "pump": "P-3", "gauge": "G-4", "certificate": "C-1043"},
    "HW-6": {"slope": 0.32, "pump": "P-4", "gauge": "G-5", "certificate": "C-1044"},
    "HW-13": {"slope": 0.349, "pump": "P-1", "gauge": "G-2", "certificate": "C-1051"},
    "HW-9": {"slope": 0.345, "pump": "P-5", "gauge": "G-9", "certificate": "C-1061"},
    "HW-20": {"slope": 0.351, "pump": "P-1", "gauge": "G-2", "certificate": "C-1071", "first": 3000},
}
"""Wrenches by name. HW-13 stands on the pump of HW-3; the gauge of HW-9 is in bar; the table of HW-20 begins late."""
GAUGES = [
    *([f"G-{n}", "psi", 10000, 50, 0.6, f"G-C-{n}", datetime.date(2026, 1, 8), datetime.date(2027, 1, 8)]
      for n in (2, 3, 4, 5)),
    ["G-9", "bar", 700, 2.5, 0.6, "G-C-9", datetime.date(2026, 1, 8), datetime.date(2027, 1, 8)],
]  # fmt: skip
HAND_TOOLS = [
    "Hand torque wrench", "From (N·m)", "To (N·m)", "Serial number", "Certificate", "Calibrated on", "Valid until",
    "Out of service from",
]  # fmt: skip
PRODUCTS = [["L-20", 0.13, 0.16, 0.19, "site lubricant table, maker's sheet 4"]]


def joint(tag: str = "E-1204 channel", operation: str = "final make-up", studs: int = 24, **cells: Any) -> Row:
    """A row for a hydraulic torque wrench; `cells` change or add cells by the names of `HEADINGS`."""
    return {
        "tag": tag, "operation": operation, "method": "hydraulic", "area_of_plant": "Unit 2",
        "equipment": "feed/effluent exchanger", "line": "12-P-2041", "size": "NPS 12", "rating": "300",
        "gasket": "spiral wound, 316/graphite", "thread": "1 1/2-8 UN", "studs": studs, "grade": "A193 B7",
        "nut_series": "heavy hex", "stress": "50000 psi", "stress_area": "root B1.1", "lubricant": "L-20",
        "wrench": "HW-3", "date": datetime.date(2026, 3, 14), "turned_side": "nut side facing the channel",
        "stud_1": "12 o'clock seen from the turned side",
    } | cells  # fmt: skip


def hand(tag: str = "P-310 suction", operation: str = "final make-up", studs: int = 8, **cells: Any) -> Row:
    """A row for a hand torque wrench, in units of the SI: 84 N·m on M16."""
    return joint(tag, operation, studs) | {
        "method": "hand", "equipment": "cooling water pump", "line": "3-P-1107", "size": "DN 80", "rating": "PN 40",
        "thread": "M16x2", "grade": "ISO 898-1 8.8", "nut_series": "ISO 4032", "stress": None, "stress_area": None,
        "torque": "84 N·m", "wrench": None,
    } | cells  # fmt: skip


def several(tag: str = "R-201 manway", studs: int = 28, *, count: int = 2, same: bool = False, **cells: Any) -> Row:
    """A row for wrenches that pull at the same time, each from its own pump or, two of them, from one."""
    names = ["HW-3", "HW-13"] if same else ["HW-3", "HW-4", "HW-5", "HW-6"][:count]
    return joint(tag, studs=studs, wrench=", ".join(names), at_once=count, **cells)


def plan(
    *rows: Row,
    also: tuple[str, ...] = (),
    book: Mapping[str, Any] | None = None,
    tools: tuple[tuple[Any, ...], ...] = (),
    **settings: Any,
) -> Plan:
    """The plan of these rows.

    also : wrenches in the book besides those that rows name; book : what to change of a wrench, by its name; tools :
    lines of its sheet of hand torque wrenches, under `HAND_TOOLS`; settings : as `ListSettings` takes them.
    """
    named = [name.strip() for row in rows for name in (row.get("wrench") or "").split(",") if name.strip()]
    names = tuple(dict.fromkeys([*named, *also])) or ("HW-3",)
    key = tuple(tuple(sorted(row.items(), key=lambda item: item[0])) for row in rows)
    changes = tuple((name, tuple(sorted(each.items()))) for name, each in (book or {}).items())
    made = _planned(key, names, changes, tools, tuple(sorted(settings.items())))
    return Plan(made.head, list(made.joints), "list-plan.json")


def changed(content: Plan, at: int, **changes: Any) -> Plan:
    """A plan with one entry changed as the planner never would: for what is refused."""
    content.joints[at] = replace(content.joints[at], **changes)
    return content


@lru_cache(maxsize=200)
def _planned(rows: Any, names: tuple[str, ...], changes: Any, tools: Any, settings: Any) -> Plan:
    with tempfile.TemporaryDirectory(prefix="small-plan-") as name:
        path = Path(name) / "drigrauvex-joints.xlsx"
        write_list(path, [dict(row) for row in rows])
        stated = ListSettings(**dict(settings))
        wrenches = _book(names, changes, tools)
        read = read_for_plan(path, wrenches, stated, None)
        if read.questions:
            raise AssertionError(f"the list asks: {read.questions}")
        return PlanWriter(read, wrenches, planned(read, wrenches, stated)).plan()


def write_list(path: Path, rows: list[Row]) -> None:
    """The list as a planner keeps it: two lines of title, headings in row 6, then the rows."""
    used = [name for name in HEADINGS if any(row.get(name) is not None for row in rows)]
    with xlsxwriter.Workbook(path) as workbook:
        sheet = workbook.add_worksheet("Joints")
        day = workbook.add_format({"num_format": "yyyy-mm-dd"})
        sheet.write(0, 0, "Drigrauvex, unit 2: joints of the spring outage")
        sheet.write_row(5, 0, [HEADINGS[name] for name in used])
        for at, row in enumerate(rows, 6):
            for column, name in enumerate(used):
                value = row.get(name)
                if isinstance(value, datetime.date):
                    sheet.write_datetime(at, column, datetime.datetime.combine(value, datetime.time()), day)
                elif isinstance(value, str):
                    sheet.write_string(at, column, value)
                elif value is not None:
                    sheet.write(at, column, value)


@lru_cache
def _book(names: tuple[str, ...], changes: Any, tools: Any) -> WrenchBook:
    with tempfile.TemporaryDirectory(prefix="small-book-") as name:
        path = Path(name) / "drigrauvex-wrenches.xlsx"
        write_book(path, names, {each: dict(change) for each, change in changes}, tools)
        return read_wrench_book([path], system("US"))


def bare_list(path: Path, head: list[str], *rows: list[object]) -> Path:
    """A list that begins with its headings in the first row; its path."""
    with xlsxwriter.Workbook(path) as workbook:
        sheet = workbook.add_worksheet("Sheet")
        day = workbook.add_format({"num_format": "yyyy-mm-dd"})
        for at, line in enumerate((head, *rows)):
            for column, value in enumerate(line):
                sheet.write(at, column, value, day if isinstance(value, datetime.date) else None)
    return path


def write_book(
    path: Path, names: tuple[str, ...], changes: Mapping[str, Mapping[str, Any]] | None = None, tools: Any = ()
) -> None:
    """A wrench book with these wrenches, their gauges and the lubricant."""
    with xlsxwriter.Workbook(path) as workbook:
        day = workbook.add_format({"num_format": "yyyy-mm-dd"})

        def put(sheet: Any, lines: list[list[Any]]) -> None:
            for at, line in enumerate(lines):
                for column, value in enumerate(line):
                    if isinstance(value, datetime.date):
                        sheet.write_datetime(at, column, datetime.datetime.combine(value, datetime.time()), day)
                    elif value is not None:
                        sheet.write(at, column, value)

        for name in names:
            put(workbook.add_worksheet(name), _sheet(name, WRENCHES[name] | dict((changes or {}).get(name, {}))))
        head = ["Gauge", "Unit", "Range", "Graduation", "Class", "Certificate", "Calibrated on", "Valid until"]
        put(workbook.add_worksheet("Gauges"), [head, *GAUGES])
        head = ["Product", "Nut factor low", "Nut factor", "Nut factor high", "Source"]
        put(workbook.add_worksheet("Lubricants"), [head, *PRODUCTS])
        if tools:
            put(workbook.add_worksheet("Hand torque wrenches"), [HAND_TOOLS, *map(list, tools)])


def _sheet(name: str, about: Mapping[str, Any]) -> list[list[Any]]:
    pressures = range(about.get("first", 500), about.get("last", 10000) + 1, 500)
    table = about.get("table") or [[p, about["slope"] * p - 20] for p in pressures]
    pump, hose = about["pump"], about.get("hose_name", "H-1")
    labels = {
        "Wrench": name, "Kind": "low clearance", "Serial number": f"SN-{name[3:]}",
        "Certificate": about["certificate"], "Calibrated on": about.get("calibrated", datetime.date(2026, 1, 10)),
        "Certificate valid until": about.get("until", datetime.date(2027, 1, 10)),
        "Rated pressure (psi)": about.get("rated", 10000), "Hose": hose,
        "Hose rated pressure (psi)": about.get("hose", 10000), "Pump": pump,
        "Pump rated pressure (psi)": 10000 if pump else None, "Gauge": about["gauge"],
        "Out of service from": about.get("resting_from"), "Out of service until": about.get("resting_until"),
    }  # fmt: skip
    return [
        *([label, value] for label, value in labels.items() if value is not None), [],
        ["Link", "Across flats (in)", "Torque factor"], *about.get("links", LINKS), [],
        ["Pressure (psi)", "Torque (lbf·ft)"], *table,
    ]  # fmt: skip
