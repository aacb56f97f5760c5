"""Standard pipe flanges: studs, holes, bolt circle and hubs of ASME B16.5 by size and class; the bolting of large ones
(ASME B16.47) and of EN 1092-1, by which a list may be contradicted.
"""

import math
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


@dataclass(frozen=True, eq=False)
class Bolting:
    """Studs of a flange of a standard, to hold a list against: its name, the stud and its nominal `diameter`
    [m], `bolt_circle` [m] (NaN where not known), how the row was read. A row from memory contradicts, it never supplies
    a count or a size.
    """

    name: str
    studs: int
    stud: str
    diameter: float
    bolt_circle: float
    source: str
    basis: str


@cache
def _large() -> dict[tuple[str, int], list[dict[str, Any]]]:
    found: dict[tuple[str, int], list[dict[str, Any]]] = {}
    for row in load("flanges_b1647").rows:
        found.setdefault((row["nps"], int(row["class"])), []).append(row)
    return found


@cache
def _metric() -> dict[tuple[int, int], dict[str, Any]]:
    return {(int(row["dn"]), int(row["pn"])): row for row in load("flanges_en1092").rows}


def _bolting(name: str, row: dict[str, Any]) -> Bolting:
    circle = math.nan if row["bolt_circle"] is None else row["bolt_circle"]
    stud = str(row["stud"])
    metric = stud.startswith("M")
    diameter = float(stud[1:]) * 1e-3 if metric else float(parse(stud).diameter)
    shown = stud if metric else parse(stud).designation
    return Bolting(name, int(row["studs"]), shown, diameter, circle, row["source"], row["basis"])


def bolting_of(size: object, rating: object) -> tuple[Bolting, ...]:
    """The bolting that flanges of this size and class, or PN, may have: B16.5 to NPS 24, both series of B16.47 above
    unless one is named ("300 series A"), EN 1092-1 by DN and PN (PN 64 is PN 63).

    Raises InputError as `flange`; `metric_flange_unknown` for a DN and PN that the table has not.

    >>> [(b.name[-8:], b.studs, b.stud, b.basis) for b in bolting_of("36", "150")]
    [('series A', 32, '1 1/2-8 UN', 'read in a copy'), ('series B', 44, '7/8-9 UNC', 'from memory')]
    >>> [(b.studs, b.stud, round(b.bolt_circle * 1e3)) for b in bolting_of("DN 200", "PN 40")]
    [(12, 'M27', 320)]
    """
    text, said = str(rating).strip().upper(), str(size).upper()
    if match := re.fullmatch(r"PN\s*-?\s*(\d{1,3})", text):
        number = 63 if match[1] == "64" else int(match[1])
        bore = re.fullmatch(r"\s*DN\s*(\d{1,4})(?:\.0)?\s*", said)
        row = _metric().get((int(bore[1]), number)) if bore else None
        if row is None:
            known = tuple(f"DN {dn}" for dn, pn in _metric() if pn == number)
            if not known:
                known = tuple(f"PN {pn}" for pn in sorted({pn for _, pn in _metric()}))
                raise stop("pressure_class_unknown", "pressure_class", text=str(rating), known=known)
            raise stop("metric_flange_unknown", "nps", text=str(size), number=number, known=known)
        return (_bolting(f"DN {int(row['dn'])} PN {number}", row),)
    series = re.search(r"\b(?:SERIES|SER\.?|B16\.47)\s*([AB])\b", text)
    plain = _class(
        re.sub(r"\s*,?\s*(?:ASME\s*)?(?:B16\.47\s*)?(?:SERIES|SER\.?)?\s*\b[AB]\s*$", "", text) if series else text
    )
    large = _large_size(said)
    if large:
        rows = [row for row in _large().get((large, plain), ()) if not series or row["series"] == series[1]]
        if not rows:
            known = tuple(nps for nps, number in _large() if number == plain)
            raise stop("flange_not_in_table", "nps", nps=large, pressure_class=plain, known=known)
        return tuple(_bolting(f"NPS {large} class {plain} series {row['series']}", row) for row in rows)
    row = _flanges().get((_size(size), plain))
    return (_bolting(f"NPS {_size(size)} class {plain}", row),) if row else ()


def _large_size(text: str) -> str:
    """NPS of a size above 24, "" for another."""
    match = re.fullmatch(r"\s*(?:NPS|(DN))?\s*(\d{2,4})(?:\.0)?\s*(?:\"|IN\.?|INCH)?\s*", text)
    if match is None:
        return ""
    number = int(match[2]) // 25 if match[1] else int(match[2])
    return str(number) if 26 <= number <= 60 and (not match[1] or int(match[2]) % 25 == 0) else ""


@dataclass(frozen=True)
class WeldingNeck:
    """Ring and hub of a standard welding-neck flange: `thickness` of the ring, `hub` diameter at the ring, `neck`
    diameter where the weld begins, `length` through the hub, from the face. [m]
    """

    nps: str
    pressure_class: int
    thickness: float
    hub: float
    neck: float
    length: float
    source: str
    basis: str


@cache
def _necks() -> dict[tuple[str, int], dict[str, Any]]:
    rows = (*load("flange_hubs_mm").rows, *load("flange_hubs_inch").rows)
    return {(row["nps"], int(row["class"])): row for row in rows}


def welding_neck(nps: object, pressure_class: object) -> WeldingNeck:
    """Ring and hub of an ASME B16.5 welding-neck flange. Other flanges of that size have other hubs or none.

    Raises InputError as `flange`.

    >>> neck = welding_neck("8", 300)
    >>> round(neck.hub * 1e3, 1), round(neck.neck * 1e3, 1), round((neck.length - neck.thickness) * 1e3, 1), neck.basis
    (260.4, 219.2, 70.2, 'read in a copy')
    """
    size, number = _size(nps), _class(pressure_class)
    row = _necks().get((size, number))
    if row is None:
        known = tuple(name for name, other in _necks() if other == number)
        raise stop("flange_not_in_table", "nps", nps=size, pressure_class=number, known=known)
    names = ("thickness", "hub", "neck", "length", "source", "basis")
    return WeldingNeck(size, number, *(row[name] for name in names))


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
def bolting() -> dict[tuple[float, int], frozenset[int]]:
    """Nominal diameter [in] and number of studs of every inch flange in the tables, with the classes that have them.

    >>> sorted(bolting()[0.75, 8]), sorted(bolting()[2.0, 16])
    ([150, 300, 400, 600], [1500])
    """
    rows = (*_flanges().values(), *(row for rows in _large().values() for row in rows))
    found: dict[tuple[float, int], set[int]] = {}
    for row in rows:
        pair = round(float(parse(row["stud"]).diameter) / 0.0254, 4), int(row["studs"])
        found.setdefault(pair, set()).add(int(row["class"]))
    return {pair: frozenset(classes) for pair, classes in found.items()}


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
    named = r"(?:ANSI|ASME)?\s*(?:B\s*16\.(?:5|47))?\s*,?\s*(?:CLASS|CL\.?)?\s*"
    match = re.fullmatch(named + r"([0-9]{1,6})(?:\.0)?\s*(?:#|LBS?\.?)?", clean)
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
