"""What people get wrong in a whole column of a list, in a book of wrenches, or on the command line.

A mistake of a book spoils a copy of it and answers with the wrenches it touches (all where it says None); rows that
were planned with one of those are its cases.
"""

import datetime
import random
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from books import Book, Wrench
from case import PAD, ROW, Words, hit, swap
from field_mistakes import FRICTION
from list_mistakes import TARGET
from plant import Plant, Row

TABLE = [
    ["table", "calibrat", "curve", "point", "neighbour", "intercept", "zero", "rated", "link", "limit", "step", "cell"]
]
LINK = [["link", "factor", "across flats", "limit", "adapter", "socket"]]
GAUGE, DATES, RATED = [["gauge"]], [["certificate", "valid", "calibrat", "date"]], [["rated", "pressure", "rating"]]


@dataclass
class BookCase:
    """A book that may be spoilt: a copy, and the wrench that most rows use."""

    rng: random.Random
    book: Book
    wrench: Wrench
    plant: Plant

    @property
    def si(self) -> bool:
        """Whether the tables are in bar and N·m."""
        return "bar" in self.wrench.heads[0]


BookSpoil = Callable[[BookCase], Any]
BOOK: dict[str, tuple[BookSpoil, Words, str]] = {}


def book(name: str, words: Words, shown: str = "book") -> Callable[[BookSpoil], BookSpoil]:
    """Adds a class; the function answers False where it does not apply."""

    def add(spoil: BookSpoil) -> BookSpoil:
        BOOK[name] = (spoil, words, shown)
        return spoil

    return add


def _shift(by: int) -> BookSpoil:
    def spoil(case: BookCase) -> None:
        table = case.wrench.table
        torques = [row[1] for row in table]
        pressures = [row[0] for row in table]
        if by > 0:  # the torques slip down a row
            case.wrench.table = [[p, t] for p, t in zip(pressures[1:], torques[:-1], strict=True)]
        else:
            case.wrench.table = [[p, t] for p, t in zip(pressures[:-1], torques[1:], strict=True)]

    return spoil


book("table: torques slipped a row down", TABLE)(_shift(1))
book("table: torques slipped a row up", TABLE)(_shift(-1))


@book("table: lower half slipped by a row", TABLE)
def _(case: BookCase) -> Any:
    table, half = case.wrench.table, len(case.wrench.table) // 2
    for n in range(len(table) - 1, half, -1):
        table[n][1] = table[n - 1][1]
    del table[half]
    return None


@book("table: a pressure left out, the torques moved up", TABLE)
def _(case: BookCase) -> Any:
    table = case.wrench.table
    at = case.rng.randrange(2, len(table) - 2)
    pressures = [row[0] for n, row in enumerate(table) if n != at]
    case.wrench.table = [[p, row[1]] for p, row in zip(pressures, table[:-1], strict=True)]
    return None


def _heads(name: str, si: bool, heads: list[str], words: Words = TABLE) -> None:
    def spoil(case: BookCase) -> Any:
        if case.si != si:
            return False
        case.wrench.heads = heads
        return None

    BOOK[name] = (spoil, [[*words[0], "unit", "limit"]], "book")


_heads("table: N·m over values in ft-lb", False, ["Pressure (psi)", "Torque (N·m)"])
_heads("table: ft-lb over values in N·m", True, ["Pressure (bar)", "Torque (ft-lb)"])
_heads("table: in-lb over values in ft-lb", False, ["Pressure (psi)", "Torque (lbf·in)"])
_heads("table: kgf·m over values in N·m", True, ["Pressure (bar)", "Torque (kgf·m)"])
_heads("table: bar over values in psi", False, ["Pressure (bar)", "Torque (ft-lb)"])
_heads("table: kgf/cm² over values in bar", True, ["Pressure (kgf/cm²)", "Torque (N·m)"])


@book("table: every wrench in the wrong torque unit", TABLE)
def _(case: BookCase) -> Any:
    for wrench in case.book.wrenches:
        wrench.heads = [wrench.heads[0], "Torque (ft-lb)" if case.si else "Torque (N·m)"]
    return None


def _digit(change: Callable[[random.Random, float], Any], column: int, last: bool = False) -> BookSpoil:
    def spoil(case: BookCase) -> Any:
        row = case.wrench.table[-1 if last else case.rng.randrange(len(case.wrench.table))]
        new = change(case.rng, row[column])
        if not new or new == row[column] or abs(new / row[column] - 1) < 0.02:
            return False
        row[column] = new
        return None

    return spoil


book("table: two digits of a torque changed over", TABLE)(_digit(swap, 1))
book("table: a torque with the key beside it", TABLE)(_digit(lambda rng, v: hit(rng, v, ROW), 1))
book("table: a torque with another key of the number pad", TABLE)(_digit(lambda rng, v: hit(rng, v, PAD), 1))
book("table: the last torque mistyped", TABLE)(_digit(swap, 1, last=True))
book("table: a torque without its last digit", TABLE)(_digit(lambda rng, v: v // 10, 1))
book("table: a pressure mistyped", TABLE)(_digit(lambda rng, v: hit(rng, v, ROW), 0))


@book("table: rated torque, a straight line through zero", TABLE)
def _(case: BookCase) -> Any:
    top = case.wrench.table[-1]
    case.wrench.table = [[p, round(p / top[0] * top[1] * 1.02)] for p, _ in case.wrench.table]
    return None


@book("table: of another size of wrench", [[*TABLE[0], "same"]])
def _(case: BookCase) -> Any:
    other = case.rng.choice([w for w in case.book.wrenches if w.links[0][3] != case.wrench.links[0][3]])
    case.wrench.table = [list(row) for row in other.table]
    return None


@book("table: of the twin wrench, left in the copied sheet", [["same", "equal", "twin", "table"]])
def _(case: BookCase) -> Any:
    twins = [w for w in case.book.wrenches if w.cells["Kind"] == "low clearance"][:2]
    twins[1].table = [list(row) for row in twins[0].table]
    return {twins[1].name}


@book("table: rows of the former table left below", TABLE)
def _(case: BookCase) -> Any:
    top = case.wrench.table[-1]
    for n in range(1, 4):
        case.wrench.table.append([top[0] + n * (50 if case.si else 500), round(top[1] * (1 + 0.02 * n))])
    return None


@book("table: as found instead of as left", TABLE, "nothing")
def _(case: BookCase) -> Any:
    part = case.rng.choice([0.92, 0.94, 1.06])
    case.wrench.table = [[p, round(t * part)] for p, t in case.wrench.table]
    return None


@book("table: with the pressures of the rising and the falling run mixed", TABLE)
def _(case: BookCase) -> Any:
    for n in range(1, len(case.wrench.table), 2):
        case.wrench.table[n][1] = round(case.wrench.table[n][1] * 1.06)
    return None


def _adapter(case: BookCase) -> tuple[Wrench, list[Any]]:
    return next((wrench, link) for wrench in case.book.wrenches for link in wrench.links if link[2] != 1)


@book("link: an offset adapter with factor 1", LINK)
def _(case: BookCase) -> Any:
    wrench, link = _adapter(case)
    link[2] = 1
    return {f"{wrench.name}/{link[0]}"}


@book("link: factor the wrong way round", LINK)
def _(case: BookCase) -> Any:
    wrench, link = _adapter(case)
    link[2] = round(1 / link[2], 3)
    return {f"{wrench.name}/{link[0]}"}


@book("link: factor twice, in the table and at the link", LINK)
def _(case: BookCase) -> Any:
    wrench, link = _adapter(case)
    wrench.table = [[p, round(t * link[2])] for p, t in wrench.table]
    for each in wrench.links:
        each[2] = link[2]
    return {f"{wrench.name}/{link[0]}"}


@book("link: factor with the key beside it", LINK)
def _(case: BookCase) -> Any:
    wrench, link = _adapter(case)
    link[2] = round(link[2] + case.rng.choice([0.1, 0.2, -0.1]), 2)
    return {wrench.name}


@book("link: name and across flats disagree", LINK)
def _(case: BookCase) -> Any:
    at = case.rng.randrange(len(case.wrench.links) - 1)
    case.wrench.links[at][1] = case.wrench.links[at + 1][1]
    return {f"{case.wrench.name}/{case.wrench.links[at][0]}", f"{case.wrench.name}/{case.wrench.links[at + 1][0]}"}


@book("link: limit in the other torque unit", LINK)
def _(case: BookCase) -> Any:
    for link in case.wrench.links:
        link[3] = round(link[3] * (0.7376 if case.si else 1.3558))
    return None


@book("link: limit with a zero too many", LINK)
def _(case: BookCase) -> Any:
    for link in case.wrench.links:
        link[3] *= 10
    return None


def _label(start: str, change: Callable[[BookCase, Any], Any]) -> BookSpoil:
    def spoil(case: BookCase) -> Any:
        label = next(text for text in case.wrench.cells if text.startswith(start))
        case.wrench.cells[label] = change(case, case.wrench.cells[label])
        return None

    return spoil


book("wrench: rated pressure in the other unit", RATED)(_label("Rated", lambda case, v: "700 psi" if case.si else 700))
book("wrench: rated pressure with a zero too many", RATED)(
    _label("Rated", lambda case, v: "7000 bar" if case.si else 100000)
)
book("wrench: hose rated in the other unit", RATED)(
    _label("Hose rated", lambda case, v: "10000 bar" if case.si else "700 psi")
)
book("wrench: certificate a year out", DATES)(_label("Certificate valid", lambda case, v: v.replace(year=v.year + 1)))
book("wrench: certificate ran out", DATES)(_label("Certificate valid", lambda case, v: v.replace(year=2026, month=8)))
book("wrench: calibrated after the job", DATES)(_label("Calibrated", lambda case, v: datetime.datetime(2027, 2, 3)))
book("wrench: calibration and end of validity changed over", DATES)(
    _label("Certificate valid", lambda case, v: v.replace(year=2025))
)
book("wrench: a gauge that is not in the book", GAUGE)(_label("Gauge", lambda case, v: "G-9"))


@book("wrench: the same serial number in two sheets", [["serial"]])
def _(case: BookCase) -> Any:
    other = next(w for w in case.book.wrenches if w is not case.wrench)
    case.wrench.cells["Serial number"] = other.cells["Serial number"]
    return None


@book("wrench: the same name in two sheets", [["name", "twice", "stands", "sheet"]])
def _(case: BookCase) -> Any:
    other = next(w for w in case.book.wrenches if w is not case.wrench)
    other.cells["Wrench"] = case.wrench.name
    return {case.wrench.name, other.name}


def _gauges(change: Callable[[list[Any]], None]) -> BookSpoil:
    def spoil(case: BookCase) -> None:
        for row in case.book.gauges:
            change(row)

    return spoil


book("gauge: the other unit", GAUGE)(_gauges(lambda row: row.__setitem__(1, "psi" if row[1] == "bar" else "bar")))
book("gauge: range too small", GAUGE)(_gauges(lambda row: row.__setitem__(2, row[2] // 10)))
book("gauge: graduation ten times too fine", GAUGE)(_gauges(lambda row: row.__setitem__(3, row[3] / 10)))
book("gauge: graduation ten times too coarse", GAUGE)(_gauges(lambda row: row.__setitem__(3, row[3] * 10)))
book("gauge: certificate ran out", GAUGE)(_gauges(lambda row: row.__setitem__(7, datetime.datetime(2026, 8, 1))))


def _lubricants(change: Callable[[BookCase, list[Any], list[Any]], None]) -> BookSpoil:
    def spoil(case: BookCase) -> Any:
        if case.plant.style.friction != "lubricant" or case.plant.style.target == "torque":
            return False
        rows = case.book.lubricants
        used = [row["lubricant"] for row in case.plant.rows]
        row = max(rows, key=lambda each: used.count(each[0]))
        change(case, row, next(each for each in rows if each is not row))
        return None

    return spoil


book("lubricant: nut factor is its own lowest", FRICTION)(
    _lubricants(lambda case, row, other: row.__setitem__(2, row[1]))
)
book("lubricant: nut factor is its own highest", FRICTION)(
    _lubricants(lambda case, row, other: row.__setitem__(2, row[3]))
)
book("lubricant: digits of the nut factor changed over", FRICTION)(
    _lubricants(lambda case, row, other: row.__setitem__(2, swap(case.rng, row[2])))
)
book("lubricant: nut factor of the next product", FRICTION)(
    _lubricants(lambda case, row, other: row.__setitem__(2, other[2]))
)
book("lubricant: low, usual and high in the wrong order", FRICTION)(
    _lubricants(lambda case, row, other: row.__setitem__(slice(1, 4), [row[2], row[3], row[1]]))
)
book("lubricant: decimal point of the nut factor slipped", FRICTION)(
    _lubricants(lambda case, row, other: row.__setitem__(2, row[2] * 10))
)
book("lubricant: range and factor of the next product", FRICTION, "nothing")(
    _lubricants(lambda case, row, other: row.__setitem__(slice(1, 4), other[1:4]))
)

# ------------------------------------------------------------------------------------- whole columns of the list
WholeSpoil = Callable[[random.Random, Plant, list[Row], list[tuple[str, str]]], Any]
WHOLE: dict[str, tuple[WholeSpoil, Words, str]] = {}


def _heading(name: str, field: str, unit: str, heading: str) -> None:
    def spoil(rng: random.Random, plant: Plant, rows: list[Row], headings: list[tuple[str, str]]) -> Any:
        if (plant.style.target, plant.style.unit) != (field, unit):
            return False
        at = next(n for n, (_, each) in enumerate(headings) if each == field)
        headings[at] = (heading, field)
        return None

    WHOLE[name] = (spoil, [["unit", *TARGET[0]]], "row")


_heading("heading: N·m over torques in ft-lb", "torque", "ft-lb", "Torque (N·m)")
_heading("heading: ft-lb over torques in N·m", "torque", "Nm", "Torque (ft-lb)")
_heading("heading: in-lb over torques in ft-lb", "torque", "ft-lb", "Torque (in-lb)")
_heading("heading: ksi over stresses in psi", "stress", "psi", "Stress (ksi)")
_heading("heading: MPa over stresses in ksi", "stress", "ksi", "Bolt stress (MPa)")
_heading("heading: kN over loads in lbf", "load", "lbf", "Load (kN)")


def _column(
    name: str, field: str, change: Callable[[list[Any], random.Random], list[Any]], words: Words, shown: str
) -> None:
    def spoil(rng: random.Random, plant: Plant, rows: list[Row], headings: list[tuple[str, str]]) -> Any:
        name_ = plant.style.target if field == "target" else field
        if name_ not in [each for _, each in headings]:
            return False
        right = [row[name_] for row in rows]
        wrong = change(right, rng)
        for row, value in zip(rows, wrong, strict=True):
            row[name_] = value
        return None if wrong != right else False

    WHOLE[name] = (spoil, words, shown)


def _shuffled(values: list[Any], rng: random.Random) -> list[Any]:
    return rng.sample(values, len(values))


_column("list: target column slipped by a row", "target", lambda v, rng: [v[-1], *v[:-1]], TARGET, "list")
_column("list: sorted without its target column", "target", _shuffled, TARGET, "list")
_column("list: sorted without its stud column", "thread", _shuffled, [["stud", "thread", "size"]], "list")
_column("list: sorted without its count column", "studs", _shuffled, [["studs", "count"]], "list")
_column(
    "list: nut factor of another product all the way down",
    "nut_factor",
    lambda v, rng: [0.2] * len(v),
    FRICTION,
    "nothing",
)
_column("list: targets of the last outage", "target", lambda v, rng: [type(x)(x * 0.87) for x in v], TARGET, "nothing")
_column(
    "list: lubricant filled down from another row",
    "lubricant",
    lambda v, rng: [sorted(set(v))[0]] * len(v),
    FRICTION,
    "nothing",
)

# --------------------------------------------------------------------------------------------- the command line
SETTINGS: dict[str, tuple[list[str], Words, str]] = {
    "setting: tolerance 15 for 1.5": (["--tolerance", "15"], [["tolerance"]], "row"),
    "setting: passes that do not end at full torque": (
        ["--scheme", "30/60/90"],
        [["scheme", "pass", "100", "full"]],
        "row",
    ),
    "setting: passes in the wrong order": (["--scheme", "60/30/100"], [["scheme", "pass", "order", "rise"]], "row"),
    "setting: yield percentage below the target": (["--yield-percent", "20"], [["yield"]], "row"),
    "setting: no reserve": (["--reserve", "0"], [["reserve"]], "row"),
}
