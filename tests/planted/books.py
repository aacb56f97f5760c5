"""Wrench books of invented plants, right in every cell, and what a pressure truly gives on each wrench."""

import copy
import datetime
import random
from bisect import bisect_left
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import xlsxwriter

FTLB, PSI = 1.3558179483314004, 6894.757293168361  # N·m, Pa; by definition of the units
LINK_SETS = {
    "US": [(1.25, "1-1/4"), (1.4375, "1-7/16"), (1.625, "1-5/8"), (1.8125, "1-13/16"), (2.0, "2"), (2.1875, "2-3/16"),
           (2.375, "2-3/8"), (2.5625, "2-9/16"), (2.75, "2-3/4"), (2.9375, "2-15/16"), (3.125, "3-1/8"),
           (3.5, "3-1/2"), (3.875, "3-7/8")],
    "SI": [(30, "30"), (34, "34"), (36, "36"), (41, "41"), (46, "46"), (50, "50"), (55, "55"), (60, "60"), (65, "65"),
           (70, "70"), (75, "75"), (80, "80"), (85, "85"), (90, "90")],
}  # fmt: skip
SHAPES = [  # kind, lowest and highest torque [lbf·ft], first and last link as a share of the set
    ("square drive", 1150, 1480, 0.0, 0.4),
    ("square drive", 3300, 4400, 0.25, 0.65),
    ("low clearance", 3600, 4600, 0.35, 0.75),
    ("low clearance", 3600, 4600, 0.35, 0.75),
    ("square drive", 6400, 8300, 0.45, 0.85),
    ("low clearance", 9300, 12400, 0.6, 1.0),
]


@dataclass
class Wrench:
    """One sheet of the book: its labelled cells, its links, and its table."""

    name: str
    cells: dict[str, Any]
    link_heads: list[str]
    links: list[list[Any]]
    heads: list[str]
    table: list[list[Any]]


@dataclass
class Book:
    """The whole workbook."""

    wrenches: list[Wrench]
    gauges: list[list[Any]]
    lubricants: list[list[Any]]
    unit: tuple[float, float] = (PSI, FTLB)
    notes: dict[str, Any] = field(default_factory=dict)

    def copy(self) -> "Book":
        """A copy that may be spoilt."""
        return copy.deepcopy(self)

    def torque(self, wrench: str, pressure: float, across_flats: float) -> float | None:
        """What that pump pressure [Pa] truly gives [N·m] on the nut [m]; straight on beyond the table's ends."""
        found = next((each for each in self.wrenches if each.name == wrench), None)
        if found is None:
            return None
        pascal, newton_metre = self.unit
        points = [(p * pascal, t * newton_metre) for p, t, *_ in found.table]
        at = min(max(bisect_left([p for p, _ in points], pressure), 1), len(points) - 1)
        (p0, t0), (p1, t1) = points[at - 1], points[at]
        length = 0.0254 if isinstance(self.notes["links"], str) and self.notes["links"] == "US" else 1e-3
        link = min(found.links, key=lambda each: abs(each[1] * length - across_flats))
        return (t0 + (t1 - t0) * (pressure - p0) / (p1 - p0)) * link[2]


def make_book(rng: random.Random, style_book: str, products: dict[str, float], style_friction: str) -> Book:
    """Six wrenches, some twins, with tables that show the spring return and scatter of real ones."""
    si = style_book != "US"
    inch_links = style_book != "SI"
    sizes = LINK_SETS["US" if inch_links else "SI"]
    prefix, start = rng.choice(["HW-", "Q-", "TW", "BW-", "WR "]), rng.randint(1, 40)
    year = datetime.datetime(2026, rng.randint(4, 7), rng.randint(2, 25))
    top_pressure = 700 if si else 10000
    wrenches = []
    factor_at = rng.choice([1, 2])
    for at, (kind, low, high, first, last) in enumerate(SHAPES):
        top = rng.uniform(low, high) * (FTLB if si else 1)
        points = rng.choice([10, 14, 20]) if not si else rng.choice([7, 14])
        step = top_pressure / points
        offset, rounding = rng.uniform(0.004, 0.02), 1 if top < 3000 else 5 if top < 8000 else 10
        table = []
        for n in range(1, points + 1):
            share = n / points
            torque = top * (share * (1 + offset) - offset) * (1 + rng.gauss(0, 0.0012))
            table.append([round(step * n), round(torque / rounding) * rounding])
        chosen = sizes[round(first * len(sizes)) : max(round(last * len(sizes)), 1)]
        limit = round(top * rng.uniform(0.98, 1.03) / 50) * 50
        word = "socket" if kind == "square drive" else "link"
        unit = "in" if inch_links else "mm"
        links: list[list[Any]] = []
        for across, label in chosen:
            radius = None if word == "socket" else round(across * 0.55 + (0.5 if inch_links else 12), 2)
            links.append([f"{label} {unit} {word}", across, 1, limit, radius])
        if at == factor_at:
            n = rng.randrange(1, len(links))
            link_limit, factor = round(limit * 0.85 / 50) * 50, rng.choice([1.08, 1.12, 1.15, 1.2])
            links[n] = [f"{chosen[n][1]} {unit} offset adapter", chosen[n][0], factor, link_limit, None]
        angle = rng.choice([24, 26, 28])
        work = top * (12 if not si else 1) * angle / 57.2958  # in·lbf or J a stroke at the top pressure
        oil = work / top_pressure / 0.88 if not si else work / (top_pressure * 1e5) / 0.88 * 1e6
        rated = top_pressure if not si else f"{top_pressure} bar"
        label = "" if si else " (psi)"
        name = f"{prefix}{start + at}"
        serial = f"{rng.choice('KMSDL')}{rng.choice('CDT')}-{rng.randint(1000, 9999)}"
        cells = {
            "Wrench": name, "Kind": kind, "Serial number": serial,
            "Certificate": f"GT-26-{rng.randint(100, 999)}", "Calibrated on": year + datetime.timedelta(days=at),
            "Certificate valid until": year + datetime.timedelta(days=at + 364), f"Rated pressure{label}": rated,
            "Hose": "H-1", f"Hose rated pressure{label}": rated, "Pump": f"P-{1 + at % 2}",
            f"Pump rated pressure{label}": rated, "Gauge": f"G-{1 + at % 2}",
        }  # fmt: skip
        if at % 2:
            cells["Stroke angle (°)"] = angle
            cells["Oil per stroke (cm³)" if si else "Oil per stroke (in³)"] = round(oil, 2 if not si else 1)
        length, moment = ("in" if inch_links else "mm"), ("N·m" if si else "ft-lb")
        wrenches.append(Wrench(
            name, cells,
            ["Link or socket", f"Across flats ({length})", "Torque factor", f"Torque limit ({moment})",
             f"Link radius ({length})"],
            links, ["Pressure (bar)" if si else "Pressure (psi)", f"Torque ({moment})"], table,
        ))  # fmt: skip
    gauge = year + datetime.timedelta(days=20)
    marks = (
        [("bar", 1000, 10, "1.0"), ("bar", 700, 5, "0.6")]
        if si
        else [("psi", 15000, 100, "1.0"), ("psi", 10000, 50, "0.6")]
    )
    gauges: list[list[Any]] = [
        [f"G-{n}", *mark, f"GT-26-2{n}", gauge, gauge + datetime.timedelta(days=364)] for n, mark in enumerate(marks, 1)
    ]
    lubricants = [
        [
            product,
            round(k * 0.84, 3),
            k,
            round(k * 1.19, 3),
            None,
            None,
            f"Site friction test 26-0{n}1 on 1-1/4 in studs",
        ]
        for n, (product, k) in enumerate(products.items(), 1)
    ]
    book = Book(wrenches, gauges, lubricants, (1e5, 1.0) if si else (PSI, FTLB))
    book.notes["links"] = "US" if inch_links else "SI"
    return book


def write_book(book: Book, path: Path) -> None:
    """The workbook, a sheet per wrench, one of gauges and one of lubricants."""
    out = xlsxwriter.Workbook(path, {"default_date_format": "yyyy-mm-dd"})
    used: set[str] = set()
    for wrench in book.wrenches:
        title = wrench.name if wrench.name not in used else f"{wrench.name} (2)"
        used.add(title)
        sheet = out.add_worksheet(title)
        at = 0
        for label, value in wrench.cells.items():
            sheet.write_row(at, 0, [label, value])
            at += 1
        sheet.write_row(at + 1, 0, wrench.link_heads)
        for n, link in enumerate(wrench.links):
            sheet.write_row(at + 2 + n, 0, link)
        at += 3 + len(wrench.links)
        sheet.write_row(at, 0, wrench.heads)
        for n, row in enumerate(wrench.table):
            sheet.write_row(at + 1 + n, 0, row)
    sheet = out.add_worksheet("Gauges")
    sheet.write_row(
        0, 0, ["Gauge", "Unit", "Range", "Graduation", "Class", "Certificate", "Calibrated on", "Valid until"]
    )
    for n, row in enumerate(book.gauges, 1):
        sheet.write_row(n, 0, row)
    sheet = out.add_worksheet("Lubricants")
    sheet.write_row(
        0,
        0,
        ["Product", "Nut factor low", "Nut factor", "Nut factor high", "Thread friction", "Nut friction", "Source"],
    )
    for n, row in enumerate(book.lubricants, 1):
        sheet.write_row(n, 0, row)
    out.close()
