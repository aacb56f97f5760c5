"""What people get wrong in one row of a joint list: targets and their units, studs, counts."""

import datetime
import re
from collections.abc import Callable
from typing import Any

from case import MISTAKES, PAD, ROW, Case, Words, field, hit, number_like, swap
from plant import INCH_STUDS
from program import Percent, Stale

TARGET: Words = [["stress", "torque", "preload", "yield", "load", "per cent", "percent", "target"]]
STUD: Words = [
    ["stud", "thread", "size", "pitch", "across flats", "inch", "metric", *(t for t, _, _ in INCH_STUDS.values())]
]
COUNT: Words = [["count", "studs", "number of"]]
STALE: Words = [["formula", "recalculat", "stored", "old"]]


def _scaled(*factors: float) -> Callable[[Case, Any], Any]:
    return lambda case, value: type(value)(value * case.rng.choice(factors))


def _first_dropped(case: Case, value: float) -> Any:
    rest = f"{value:g}"[1:]
    return None if rest[:1] in ("", ".", "0") else number_like(value, rest)


def _grouped(mark: str) -> Callable[[Case, Any], Any]:
    return lambda case, value: f"{int(value) // 1000}{mark}{int(value) % 1000:03d}" if value >= 1000 else None


def _neighbour(by: int) -> Callable[[Case, Any], Any]:
    def change(case: Case, value: Any) -> Any:
        at = case.at + by
        return case.plant.rows[at][case.target] if 0 <= at < len(case.plant.rows) else None

    return change


for name, change, shown in (
    ("two digits changed over", lambda case, v: swap(case.rng, v), "list"),
    ("key beside it", lambda case, v: hit(case.rng, v, ROW), "list"),
    ("key above or below on the number pad", lambda case, v: hit(case.rng, v, PAD), "list"),
    ("last zero dropped", lambda case, v: int(v) // 10 if v >= 10 else None, "row"),
    ("a zero too many", lambda case, v: int(v) * 10, "row"),
    ("first digit dropped", _first_dropped, "list"),
    ("first digit typed twice", lambda case, v: number_like(v, f"{v:g}"[0] + f"{v:g}"), "row"),
    ("copied from the row above", _neighbour(-1), "list"),
    ("slipped up from the row below", _neighbour(1), "list"),
    ("of another row", lambda case, v: case.other(case.target), "list"),
    ("of an older revision", _scaled(0.8, 0.85, 0.9, 1.1, 1.2, 1.25), "list"),
    ("a text with a question mark", lambda case, v: f"{v:g}?", "row"),
    ("a range as text", lambda case, v: f"{v * 0.9:g}-{v:g}", "row"),
    ("decimal point for thousands, as text", _grouped("."), "row"),
    ("decimal comma for thousands, as text", _grouped(","), "row"),
    ("left empty", lambda case, v: "", "row"),
):
    field(f"target: {name}", "target", change, TARGET, shown)
field(
    "target: formula with an old stored value, calculation set to manual", "target",
    lambda case, v: Stale(f"={v:g}*1", type(v)(v * case.rng.choice([0.8, 0.9, 1.15, 1.3]))), STALE, "file",
)  # fmt: skip

KGF, FTLB, KSI = 9.80665, 1.3558179483314004, 6.894757293168361  # by definition; MPa in a ksi
for name, at, unit, factor, shown in (
    ("stress: ksi in a column of psi", "stress", "psi", 1e-3, "row"),
    ("stress: MPa in a column of psi", "stress", "psi", KSI / 1000, "row"),
    ("stress: psi in a column of ksi", "stress", "ksi", 1e3, "row"),
    ("stress: MPa in a column of ksi", "stress", "ksi", KSI, "row"),
    ("stress: ksi in a column of MPa", "stress", "MPa", 1 / KSI, "row"),
    ("stress: kgf/mm² in a column of MPa", "stress", "MPa", 1 / KGF, "row"),
    ("torque: N·m in a column of ft-lb", "torque", "ft-lb", FTLB, "list"),
    ("torque: in-lb in a column of ft-lb", "torque", "ft-lb", 12.0, "row"),
    ("torque: kgf·m in a column of ft-lb", "torque", "ft-lb", FTLB / KGF, "row"),
    ("torque: ft-lb in a column of N·m", "torque", "Nm", 1 / FTLB, "list"),
    ("torque: kgf·m in a column of N·m", "torque", "Nm", 1 / KGF, "row"),
    ("load: kN in a column of lbf", "load", "lbf", 0.00444822, "row"),
    ("load: kip in a column of lbf", "load", "lbf", 1e-3, "row"),
    ("load: kgf in a column of lbf", "load", "lbf", 0.453592, "list"),
    ("load: tonnes in a column of kN", "load", "kN", 1 / KGF, "row"),
    ("load: kip in a column of kN", "load", "kN", 0.224809, "row"),
    ("gasket stress: MPa in a column of psi", "gasket_stress", "psi", KSI / 1000, "row"),
):

    def convert(case: Case, value: float, unit: str = unit, factor: float = factor) -> Any:
        new = value * factor
        return round(new, 1 if new < 100 else 0) if case.unit == unit else None

    field(name, at, convert, [["unit", unit, *TARGET[0]]], shown)

field("load: of the whole joint instead of one stud", "load", lambda case, v: v * case.row["studs"], TARGET, "row")
field("percent: typed as a fraction", "percent", lambda case, v: v / 100, TARGET, "row")
field("percent: 50 in a cell formatted as %", "percent", lambda case, v: Percent(v), TARGET, "row")

SIZES = list(INCH_STUDS)


def _step(by: int) -> Callable[[Case, Any], Any]:
    def change(case: Case, value: Any) -> Any:
        at = SIZES.index(case.inch) + by if case.inch else -1
        return INCH_STUDS[SIZES[at]][0] if 0 <= at < len(SIZES) else None

    return change


def _next_metric(case: Case, value: str) -> str | None:
    threads = {row["thread"] for row in case.plant.rows if str(row["thread"]).startswith("M")}
    order = sorted(threads, key=lambda text: int(re.findall(r"\d+", text)[0]))
    if value not in order or len(order) < 3:
        return None
    at = order.index(value)
    return order[at + 1 if at + 1 < len(order) else at - 1]


OTHER_NUMERATOR = {"1-1/8": "1 7/8-8 UN", "1-7/8": "1 1/8-8 UN", "1-3/8": "1 5/8-8 UN", "1-5/8": "1 3/8-8 UN"}
COARSE = {"1-1/8": "1 1/8-7 UNC", "1-1/4": "1 1/4-7 UNC", "1-3/8": "1 3/8-6 UNC", "1-1/2": "1 1/2-6 UNC"}
COARSE |= {"1-3/4": "1 3/4-5 UNC", "2": "2-4.5 UNC"}
FINE = {"3/4": "3/4-16 UNF", "7/8": "7/8-14 UNF", "1": "1-12 UNF", "1-1/4": "1 1/4-12 UNF"}
METRIC = {"3/4": "M20", "7/8": "M22", "1": "M24", "1-1/8": "M27", "1-1/4": "M33x3", "1-3/8": "M36x3", "1-1/2": "M39x3"}
ACROSS = {"7/8": "1 7/16-8 UN", "1": "1 5/8-8 UN", "1-1/8": "1 13/16-8 UN", "1-1/4": "2-8 UN", "1-1/2": "2 3/8-8 UN"}
ACROSS |= {"1-5/8": "2 1/2-8 UN"}
DATES = {"7/8": datetime.datetime(2026, 8, 7), "3/4": datetime.datetime(2026, 4, 3)}
PITCHES = {"M30x3.5": "M30x3", "M33x3.5": "M33x3", "M36x4": "M36x3", "M39x4": "M39x3", "M42x4.5": "M42x3"}
PITCHES |= {"M48x5": "M48x3"} | {fine: coarse for coarse, fine in PITCHES.items()}

for name, change, shown in (
    ("one size larger", _step(1), "list"),
    ("one size smaller", _step(-1), "list"),
    ("another numerator (1 1/8 for 1 7/8)", lambda case, v: OTHER_NUMERATOR.get(case.inch), "list"),
    ("coarse pitch for 8 threads", lambda case, v: COARSE.get(case.inch), "list"),
    ("fine pitch for coarse", lambda case, v: FINE.get(case.inch), "list"),
    ("metric for inch", lambda case, v: METRIC.get(case.inch), "list"),
    ("width across flats for the size", lambda case, v: ACROSS.get(case.inch), "list"),
    ("turned into a date by the spreadsheet", lambda case, v: DATES.get(case.inch), "row"),
    ("of another row", lambda case, v: case.other("thread", near=True), "list"),
    ("next metric size", _next_metric, "list"),
    ("fine metric pitch for coarse, or coarse for fine", lambda case, v: PITCHES.get(v), "list"),
):
    field(f"stud: {name}", "thread", change, STUD, shown)
field("stud: nominal bore for the size", "thread", lambda case, v: str(case.row["size"]), STUD, "row", "size")
field(
    "nut series of the other standard", "nut_series",
    lambda case, v: {"ISO 4032": "metric heavy hex", "metric heavy hex": "ISO 4032"}.get(v),
    [["series", "nut", "across flats"]], "list",
)  # fmt: skip

for name, change, shown in (
    ("four too many or too few", lambda case, n: max(n + case.rng.choice([-4, 4]), 4), "list"),
    ("nuts counted", lambda case, n: 2 * n, "list"),
    ("digits changed over", lambda case, n: int(str(n)[::-1]) if n > 9 and n % 10 else None, "row"),
    ("of another row", lambda case, n: case.other("studs", near=True), "list"),
    ("one too many", lambda case, n: n + 1, "row"),
):
    field(f"studs: {name}", "studs", change, COUNT, shown)

__all__ = ["MISTAKES", "TARGET"]
