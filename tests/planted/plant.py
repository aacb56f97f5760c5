"""Invented plants: rows of a joint list as a planner keeps them, right in every cell, in styles that differ.

A row is a dictionary from a field of the list to its cell. Nothing here comes from the program: studs, counts and
lengths of flanges are from the printed table in `tests/published`, areas by formula.
"""

import csv
import datetime
import math
import random
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

Row = dict[str, Any]
FLANGES = Path(__file__).parents[1] / "published" / "b165_flange_bolting.csv"
INCH_STUDS = {
    "5/8": ("5/8-11 UNC", 0.625, 11), "3/4": ("3/4-10 UNC", 0.75, 10), "7/8": ("7/8-9 UNC", 0.875, 9),
    "1": ("1-8 UNC", 1.0, 8), "1-1/8": ("1 1/8-8 UN", 1.125, 8), "1-1/4": ("1 1/4-8 UN", 1.25, 8),
    "1-3/8": ("1 3/8-8 UN", 1.375, 8), "1-1/2": ("1 1/2-8 UN", 1.5, 8), "1-5/8": ("1 5/8-8 UN", 1.625, 8),
    "1-3/4": ("1 3/4-8 UN", 1.75, 8), "1-7/8": ("1 7/8-8 UN", 1.875, 8), "2": ("2-8 UN", 2.0, 8),
    "2-1/4": ("2 1/4-8 UN", 2.25, 8), "2-1/2": ("2 1/2-8 UN", 2.5, 8),
}  # fmt: skip
METRIC_STUDS = {16: 2, 20: 2.5, 24: 3, 27: 3, 30: 3.5, 33: 3.5, 36: 4, 39: 4, 42: 4.5, 48: 5, 52: 5, 56: 5.5}
METRIC_FLANGE_STUDS = {16: 2, 20: 2.5, 24: 3, 27: 3, 30: 3, 36: 3, 42: 3, 48: 3, 56: 3}
PAIRS = [("spiral wound, inner ring", 45000), ("grooved, graphite faced", 50000), ("ring joint", 52500)]


@dataclass(frozen=True)
class Style:
    """How one planner draws the list: studs, target, friction, and the columns with their headings."""

    name: str
    studs: str  # "inch", "coarse" or "flange" (metric)
    target: str  # the field that holds the target
    unit: str
    friction: str  # "lubricant", "nut factor", "coefficients", "none"
    headings: list[tuple[str, str]]
    titles: int = 0
    hand: float = 0.3
    operations: tuple[str, ...] = ("final make-up",)
    area: str | None = None
    book: str = "US"


def _us(*columns: tuple[str, str]) -> list[tuple[str, str]]:
    return list(columns)


JOINT, OP, METHOD = ("Joint", "joint"), ("Operation", "operation"), ("Method", "method")
DATE, REMARKS, LUBE = ("Job date", "date"), ("Remarks", "remarks"), ("Lubricant", "lubricant")
STUD, COUNT, GRADE = ("Stud size", "thread"), ("Studs", "studs"), ("Grade", "grade")
EQUIPMENT, GASKET, SERIES = ("Equipment", "equipment"), ("Gasket", "gasket"), ("Nut series", "nut_series")
AREA, NPS, CLASS = ("Stress area", "area"), ("NPS", "size"), ("Class", "rating")

STYLES = [
    Style("full list, psi", "inch", "stress", "psi", "lubricant", _us(
        JOINT, OP, METHOD, ("Plant area", "plant_area"), EQUIPMENT, ("Line", "line"), NPS, CLASS, GASKET, STUD, COUNT,
        GRADE, SERIES, ("Stress (psi)", "stress"), AREA, LUBE, ("Wrench", "wrench"), DATE, ("Turned side", "turned"),
        REMARKS), titles=3, area="root B1.1"),
    Style("ksi, few columns", "inch", "stress", "ksi", "lubricant", _us(
        ("Tag No.", "joint"), OP, METHOD, ("Bolt size", "thread"), ("No. of studs", "studs"),
        ("Stud material", "grade"), ("Stud stress (ksi)", "stress"), ("Stress on area", "area"),
        ("Lube", "lubricant"), DATE), area="tensile"),
    Style("torques of the site's table", "inch", "torque", "ft-lb", "lubricant", _us(
        ("Flange Tag No.", "joint"), OP, METHOD, EQUIPMENT, NPS, ("Flange class", "rating"), GASKET,
        ("Bolt size", "thread"), ("Bolt Qty", "studs"), ("Stud grade", "grade"), ("Torque (ft-lb)", "torque"),
        ("Stud lubricant", "lubricant"), DATE, REMARKS), titles=2),
    Style("torques without friction", "inch", "torque", "ft-lb", "none", _us(
        ("Joint ID", "joint"), OP, METHOD, STUD, COUNT, GRADE, ("Torque (ft-lb)", "torque"), DATE)),
    Style("percentage of yield", "inch", "percent", "%", "lubricant", _us(
        JOINT, OP, METHOD, EQUIPMENT, STUD, COUNT, GRADE, ("Percent of yield (%)", "percent"), AREA, LUBE, DATE,
        REMARKS), titles=1, area="tensile"),
    Style("stud loads", "inch", "load", "lbf", "lubricant", _us(
        JOINT, OP, METHOD, NPS, CLASS, GASKET, STUD, COUNT, GRADE, ("Stud load (lbf)", "load"), LUBE, DATE)),
    Style("nut factor in a column", "inch", "stress", "psi", "nut factor", _us(
        ("Joint Ref", "joint"), OP, METHOD, EQUIPMENT, NPS, CLASS, GASKET, STUD, COUNT, GRADE,
        ("Stress (psi)", "stress"), AREA, ("Nut factor", "nut_factor"), DATE, REMARKS), titles=1, area="root B1.1"),
    Style("coefficients of thread and nut", "inch", "stress", "psi", "coefficients", _us(
        JOINT, OP, METHOD, STUD, COUNT, GRADE, ("Stress (psi)", "stress"), AREA,
        ("Thread friction", "thread_friction"), ("Nut friction", "nut_friction"), DATE), area="tensile"),
    Style("flanges with stud length", "inch", "stress", "psi", "lubricant", _us(
        JOINT, OP, METHOD, ("Line No.", "line"), ("NPS (in)", "size"), ("Flange class", "rating"),
        ("Gasket type", "gasket"), STUD, ("Stud qty", "studs"), ("Stud length (in)", "length"), GRADE,
        ("Stress (psi)", "stress"), AREA, LUBE, DATE, REMARKS), titles=2, area="root B1.1"),
    Style("gasket stress", "inch", "gasket_stress", "psi", "lubricant", _us(
        JOINT, OP, METHOD, EQUIPMENT, GASKET, ("Gasket area (in2)", "gasket_area"),
        ("Target gasket stress (psi)", "gasket_stress"), STUD, COUNT, GRADE, LUBE, DATE), hand=0.1),
    Style("mostly small bore by hand", "inch", "torque", "ft-lb", "lubricant", _us(
        JOINT, OP, ("Tightening method", "method"), EQUIPMENT, NPS, CLASS, STUD, COUNT, GRADE,
        ("Torque (ft-lb)", "torque"), LUBE, DATE, REMARKS), titles=1, hand=0.7),
    Style("three operations a joint", "inch", "stress", "psi", "lubricant", _us(
        JOINT, OP, METHOD, EQUIPMENT, NPS, CLASS, GASKET, STUD, COUNT, GRADE, ("Stress (psi)", "stress"), AREA, LUBE,
        DATE, REMARKS), operations=("test make-up", "final make-up", "retighten"), area="root B1.1"),
    Style("metric, MPa", "coarse", "stress", "MPa", "lubricant", _us(
        ("Flange ID", "joint"), OP, METHOD, EQUIPMENT, ("Stud thread", "thread"), COUNT, GRADE, SERIES,
        ("Bolt stress (MPa)", "stress"), AREA, LUBE, DATE, REMARKS), titles=1, area="tensile", book="SI"),
    Style("metric, torques", "flange", "torque", "Nm", "lubricant", _us(
        JOINT, OP, METHOD, ("Bolt size", "thread"), ("Number of bolts", "studs"), ("Bolt material", "grade"), SERIES,
        ("Torque Nm", "torque"), LUBE, DATE), book="SI"),
    Style("metric, loads", "flange", "load", "kN", "nut factor", _us(
        JOINT, OP, METHOD, EQUIPMENT, STUD, COUNT, GRADE, SERIES, ("Preload per bolt (kN)", "load"),
        ("Nut factor", "nut_factor"), DATE, REMARKS), titles=2, book="SI"),
    Style("metric, percentage of yield", "coarse", "percent", "%", "coefficients", _us(
        JOINT, OP, METHOD, STUD, COUNT, GRADE, SERIES, ("% of yield", "percent"), AREA,
        ("Thread friction", "thread_friction"), ("Nut friction", "nut_friction"), DATE), area="tensile", book="SI"),
    Style("inch studs in a metric plant", "inch", "stress", "MPa", "lubricant", _us(
        JOINT, OP, METHOD, EQUIPMENT, NPS, CLASS, GASKET, STUD, COUNT, GRADE, SERIES, ("Bolt stress (MPa)", "stress"),
        AREA, LUBE, DATE, REMARKS), titles=1, area="root B1.1", book="SI inch"),
    Style("torques, no friction, metric", "coarse", "torque", "Nm", "none", _us(
        JOINT, OP, METHOD, STUD, COUNT, GRADE, SERIES, ("Torque [N·m]", "torque"), DATE, REMARKS), book="SI"),
]  # fmt: skip


@dataclass
class Plant:
    """What is true of one plant: style, rows, and the products of its lubricant sheet with their nut factors."""

    style: Style
    rows: list[Row]
    products: dict[str, float]
    truth: dict[str, Any] = field(default_factory=dict)


def flanges() -> list[tuple[str, str, int, str, float]]:
    """Size, class, studs, stud and length of the printed standard flanges with studs from 5/8 in."""
    with FLANGES.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return [
        (row["NPS"], row["class"], int(row["studs"]), row["stud_dia_fraction_in"], float(row["stud_length_RF_in"]))
        for row in rows
        if row["stud_dia_fraction_in"] in INCH_STUDS and row["class"] in ("150", "300", "600", "900", "1500")
    ]


def area_of(style: Style, diameter: float, pitch: float) -> float:
    """Stress area, by formula, in the square of the diameter's unit."""
    if style.area and style.area.startswith("root"):
        return math.pi / 4 * (diameter - 1.299 * pitch) ** 2
    return math.pi / 4 * (diameter - 0.9743 * pitch) ** 2 if diameter < 5 else math.pi / 4 * (
        diameter - 0.9382 * pitch
    ) ** 2  # fmt: skip


def _stud(rng: random.Random, style: Style) -> tuple[str, float, float]:
    """A metric thread with its diameter and pitch [mm]."""
    pitches = METRIC_STUDS if style.studs == "coarse" else METRIC_FLANGE_STUDS
    size = rng.choice([d for d in pitches if d > 20] if rng.random() > style.hand else [16, 20])
    return (f"M{size}" if size < 30 else f"M{size}x{pitches[size]:g}"), float(size), float(pitches[size])


def _targets(rng: random.Random) -> dict[tuple[str, str], int]:
    """The site's stresses [psi] by gasket and grade: one rule, so that like joints have like targets."""
    shift = rng.choice([-5000, -2500, 0, 2500])
    rule = {(gasket, "A193 B7"): base + shift for gasket, base in PAIRS}
    rule |= {(gasket, "A193 B16"): base + shift for gasket, base in PAIRS}
    return rule | {(gasket, "A193 B7M"): 40000 + min(shift, 0) for gasket, _ in PAIRS}


def make_plant(rng: random.Random, style: Style, size: int) -> Plant:
    """A list of about that many rows: equipment with nozzles, stresses by one rule with a few honest exceptions."""
    number = rng.randint(11, 79)
    products = {
        f"L-{number}": rng.choice([0.12, 0.13, 0.14]),
        f"L-{number + 10}": rng.choice([0.16, 0.17, 0.18]),
        f"L-{number + 20}": rng.choice([0.15, 0.19]),
    }
    usual = list(products)[rng.randrange(2)]
    rule, standard, rows = _targets(rng), flanges(), []
    special = {grade: rng.choice(list(products)) for grade in ("A193 B16",) if rng.random() < 0.5}
    kinds = rng.sample("VETCPRXH", 6)
    coefficients = rng.choice([(0.12, 0.12), (0.13, 0.12), (0.12, 0.14), (0.14, 0.13)])
    day = datetime.datetime(2026, rng.randint(9, 11), rng.randint(1, 12))
    unit = 0
    while len(rows) < size:
        unit += 1
        equipment = f"{rng.choice(kinds)}-{1000 + unit}"
        gasket, _ = rng.choices(PAIRS, [6, 2, 1])[0]
        grade = rng.choices(["A193 B7", "A193 B16", "A193 B7M"], [8, 1, 1])[0]
        pressure_class = rng.choice(["150", "300", "600", "900"] if gasket != "ring joint" else ["600", "900", "1500"])
        hot = rng.random() < 0.05  # the engineer set another stress for this whole item
        when = day + datetime.timedelta(days=unit // 4)
        for nozzle in range(1, rng.randint(3, 8)):
            row: Row = {
                "joint": f"{equipment}-N{nozzle}", "equipment": equipment, "gasket": gasket, "grade": grade,
                "date": when, "plant_area": f"{100 * (1 + unit // 12)} Unit", "turned": "piping side",
                "line": f"{rng.randint(2, 24)}-HC-{1000 + unit}", "remarks": None, "wrench": None,
            }  # fmt: skip
            if style.studs == "inch":
                bore = rng.random() < style.hand
                choice = [f for f in standard if f[1] == pressure_class and (INCH_STUDS[f[3]][1] < 0.8) == bore]
                if not choice:
                    continue
                nps, cls, count, stud, length = rng.choice(choice)
                thread, diameter, tpi = INCH_STUDS[stud]
                row |= {"size": nps, "rating": cls, "studs": count, "length": length, "thread": thread}
                row["nut_series"] = "heavy hex"
                pitch, stress = 1 / tpi, float(rule[gasket, grade] + (2500 if hot else 0))
                force = stress * area_of(style, diameter, pitch)  # lbf
                small = diameter < 0.8
            else:
                thread, diameter, pitch = _stud(rng, style)
                row |= {"thread": thread, "studs": rng.choice([8, 12, 16, 20, 24]), "size": None, "rating": None}
                row["grade"] = (
                    "A193M B7" if style.studs == "flange" else "ISO 898-1 8.8" if diameter < 39.5 else "A193M B7"
                )
                row["nut_series"] = "metric heavy hex" if style.studs == "flange" else "ISO 4032"
                stress = round(rule[gasket, "A193 B7"] / 145.0377 / 10) * 10.0 + (10 if hot else 0)  # MPa
                force = stress * area_of(style, diameter, pitch) / 1000  # kN
                small = diameter < 21
            row["method"] = "hand" if small else "hydraulic"
            product = special.get(row["grade"], usual)
            k = products[product]
            row |= {"lubricant": product, "nut_factor": k, "area": style.area}
            row["thread_friction"], row["nut_friction"] = coefficients
            _put_target(row, style, stress, force, diameter, k, 60.0 if hot else 50.0)
            for step, operation in enumerate(style.operations):
                each = dict(row, operation=operation, date=when + datetime.timedelta(days=5 * step))
                if operation == "test make-up" and style.target == "stress":
                    each["stress"] = row["stress"] - (5000 if style.unit == "psi" else 0)
                rows.append(each)
            if rng.random() < 0.06:
                rows[-1]["remarks"] = rng.choice(
                    ["scaffold needed", "insulation to be removed", "new studs", "Level gauge"]
                )
    return Plant(style, rows[:size], products)


def _put_target(row: Row, style: Style, stress: float, force: float, diameter: float, k: float, percent: float) -> None:
    """The target in the style's own quantity and unit, rounded as people round."""
    if style.target == "stress":
        if style.studs == "inch" and style.unit == "MPa":
            row["stress"] = round(stress / 145.0377 / 5) * 5
        else:
            row["stress"] = stress / 1000 if style.unit == "ksi" else round(stress)
    elif style.target == "percent":
        row["percent"] = round(percent)
    elif style.target == "load":
        row["load"] = round(force / 100) * 100 if style.unit == "lbf" else round(force)
    elif style.target == "gasket_stress":
        row["gasket_area"] = round(row["studs"] * force / 15000, 1)
        row["gasket_stress"] = 15000
    else:
        torque = k * force * diameter / (12 if style.unit == "ft-lb" else 1)
        step = 5 if torque < 400 else 10 if torque < 2000 else 50
        row["torque"] = round(torque / step) * step
