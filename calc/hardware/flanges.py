"""Standard pipe flanges, ASME B16.5 NPS 1/2 to 24: their studs, holes and bolt circle by size and class."""

import re
from dataclasses import dataclass
from functools import cache
from typing import Any

from calc.findings import stop
from calc.hardware.threads import Thread, parse
from calc.tables import load

_DN = {"15": "1/2", "20": "3/4", "25": "1", "32": "1-1/4", "40": "1-1/2", "50": "2", "65": "2-1/2", "80": "3",
       "90": "3-1/2", "100": "4", "125": "5", "150": "6", "200": "8", "250": "10", "300": "12", "350": "14",
       "400": "16", "450": "18", "500": "20", "600": "24"}  # fmt: skip
_DECIMAL = {"0.5": "1/2", "0.75": "3/4", "1.25": "1-1/4", "1.5": "1-1/2", "2.5": "2-1/2", "3.5": "3-1/2"}


@dataclass(frozen=True, eq=False)
class Flange:
    """Bolting of one standard flange.

    `hole` and `bolt_circle` [m]; `length` of the stud for raised faces [m], without points; `basis` says how the row
    was read, `length_basis` how its length was.
    """

    nps: str
    pressure_class: int
    studs: int
    thread: Thread
    hole: float
    bolt_circle: float
    length: float
    source: str
    basis: str
    length_basis: str


@cache
def _flanges() -> dict[tuple[str, int], dict[str, Any]]:
    return {(row["nps"], int(row["class"])): row for row in load("flanges_b165").rows}


@cache
def sizes() -> tuple[str, ...]:
    """Nominal pipe sizes in the table, smallest first."""
    return tuple(dict.fromkeys(nps for nps, _ in _flanges()))


@cache
def classes() -> tuple[int, ...]:
    """Pressure classes in the table."""
    return tuple(dict.fromkeys(number for _, number in _flanges()))


@cache
def bolting() -> frozenset[tuple[float, int]]:
    """Nominal diameter [in] and number of studs of every flange in the table."""
    return frozenset(
        (round(float(parse(row["stud"]).diameter) / 0.0254, 4), int(row["studs"])) for row in _flanges().values()
    )


def _size(text: object) -> str:
    clean = " ".join(str(text).upper().replace('"', " ").replace("NPS", " ").replace("INCH", " ").split())
    clean = re.sub(r"\s*IN\.?$", "", clean)
    if match := re.fullmatch(r"DN\s*([0-9]{1,5})(?:\.0)?", clean):
        name = _DN.get(match[1], "")
    else:
        clean = re.sub(r"(\d)\.0$", r"\1", clean)
        clean = re.sub(r"(?<=\d)[\s.-]+(?=\d+/)", "-", clean)
        name = _DECIMAL.get(clean, clean)
    if name not in sizes():
        raise stop("pipe_size_unknown", "nps", text=str(text), known=sizes())
    return name


def _class(text: object) -> int:
    clean = str(text).strip().upper()
    match = re.fullmatch(r"(?:CLASS|CL\.?|ANSI|ASME)?\s*([0-9]{1,6})(?:\.0)?\s*(?:#|LBS?\.?)?", clean)
    if not match or int(match[1]) not in classes():
        raise stop("pressure_class_unknown", "pressure_class", text=str(text), known=classes())
    return int(match[1])


def flange(nps: object, pressure_class: object) -> Flange:
    """The bolting of a standard flange by nominal pipe size ("6", "1-1/2", "DN 150") and class ("300", "Class 300").

    Raises InputError: `pipe_size_unknown`, `pressure_class_unknown`, `flange_not_in_table` (class 2500 ends at NPS 12;
    NPS 3-1/2 has no class above 600).

    >>> f = flange("8", 600)
    >>> f.studs, f.thread.designation, f.bolt_circle / 0.0254, round(f.length / 0.0254, 2)
    (12, '1 1/8-8 UN', 13.75, 7.5)
    """
    size, number = _size(nps), _class(pressure_class)
    row = _flanges().get((size, number))
    if row is None:
        known = tuple(name for name, other in _flanges() if other == number)
        raise stop("flange_not_in_table", "nps", nps=size, pressure_class=number, known=known)
    return Flange(size, number, int(row["studs"]), parse(row["stud"]), row["hole"], row["bolt_circle"], row["length"],
                  row["source"], row["basis"], row["length_basis"])  # fmt: skip
