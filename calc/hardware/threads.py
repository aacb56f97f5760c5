"""Screw threads of studs: reading a designation, and the diameters and areas of the 60° profile.

Profile: ISO 68-1 and ASME B1.1, H = √3/2 P. The tensile stress areas of the two standards are different definitions.
"""

import math
import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.findings import stop
from calc.quantities import INCH
from calc.tables import load

Numbers = float | NDArray[np.float64]

AREAS = ("tensile", "root B1.1", "root ISO")
"""Names of the areas a stress may be stated on; see `area`."""

_H = math.sqrt(3) / 2


@dataclass(frozen=True, eq=False)
class Thread:
    """A thread, or a column of threads when the fields are arrays.

    `designation` as the standard writes it; `diameter` nominal [m]; `pitch` [m]; `metric` whether the ISO definitions
    of the areas hold (else those of ASME B1.1). `shank` diameter of a reduced shank [m], NaN where there is none.
    """

    designation: str
    diameter: Numbers
    pitch: Numbers
    metric: bool | NDArray[np.bool_]
    shank: Numbers = math.nan


def column(threads: Sequence[Thread | None], shank: NDArray[np.float64] | None = None) -> Thread:
    """Many threads as one record of arrays; a missing one gives NaN. `shank` diameters of reduced shanks [m].

    >>> column([parse("1-1/2"), parse("M24")]).diameter
    array([0.0381, 0.024 ])
    """
    return Thread(
        "",
        np.array([np.nan if t is None else t.diameter for t in threads], dtype=float),
        np.array([np.nan if t is None else t.pitch for t in threads], dtype=float),
        np.array([t is not None and bool(t.metric) for t in threads], dtype=bool),
        np.full(len(threads), np.nan) if shank is None else shank,
    )


def pitch_diameter(thread: Thread) -> Numbers:
    """Pitch diameter d2 = d - 3/4 H  (ISO 724, ASME B1.1). [m]

    >>> round(pitch_diameter(parse("1 1/2-8 UN")) / 0.0254, 4)
    1.4188
    """
    return thread.diameter - 0.75 * _H * thread.pitch


def root_diameter(thread: Thread) -> Numbers:
    """Root diameter of the external thread, d3 = d - 17/12 H  (ISO 724 / DIN 13). [m]

    >>> round(root_diameter(parse("M36x4")) * 1000, 3)
    31.093
    """
    return thread.diameter - 17 / 12 * _H * thread.pitch


def stress_diameter(thread: Thread) -> Numbers:
    """Diameter of the tensile stress area: (d2 + d3)/2 for ISO, D - 0.9743 P for UN threads. [m]

    0.9743 is the rounded constant of ASME B1.1; printed tensions are reproduced with it, not with 9√3/16.

    >>> round(stress_diameter(parse("1 1/2-8")) / 0.0254, 4)
    1.3782
    """
    iso = 0.5 * (pitch_diameter(thread) + root_diameter(thread))
    un = thread.diameter - 0.9743 * thread.pitch
    chosen = np.where(thread.metric, iso, un)
    return float(chosen) if chosen.ndim == 0 else chosen


def tensile_area(thread: Thread) -> Numbers:
    """Tensile stress area, π/4 times `stress_diameter` squared  (ISO 898-1; ASME B1.1). [m²]

    >>> round(tensile_area(parse("M24")) * 1e6, 1)
    352.5
    """
    d = stress_diameter(thread)
    return math.pi / 4 * d * d


def smallest_diameter(thread: Thread) -> Numbers:
    """Diameter of the smallest section: `stress_diameter`, or that of a reduced shank where it is less. [m]"""
    found = np.fmin(stress_diameter(thread), thread.shank)
    return float(found) if found.ndim == 0 else found


def smallest_area(thread: Thread) -> Numbers:
    """Area of the smallest section: tensile stress area, or that of a reduced shank where it is less. [m²]

    A shank of 0.9 d3 on M36x4 has 75 % of the tensile area:

    >>> from dataclasses import replace
    >>> stud = parse("M36x4")
    >>> round(smallest_area(replace(stud, shank=0.9 * root_diameter(stud))) / tensile_area(stud), 3)
    0.753
    """
    d = smallest_diameter(thread)
    return math.pi / 4 * d * d


def root_area_b11(thread: Thread) -> Numbers:
    """Root area at D - 1.299038 P, the section "minor diameter D - 2 hb" of ASME B1.1, used by PCC-1. [m²]

    >>> round(root_area_b11(parse("1 1/2-8 UN")) / 0.0254**2, 3)
    1.405
    """
    d = thread.diameter - 1.5 * _H * thread.pitch
    return math.pi / 4 * d * d


def root_area_iso(thread: Thread) -> Numbers:
    """Core area A3 = π/4 d3²  (ISO 724 / DIN 13). [m²]

    >>> round(root_area_iso(parse("M36x4")) * 1e6, 2)
    759.28
    """
    d = root_diameter(thread)
    return math.pi / 4 * d * d


_AREA_OF = {"tensile": tensile_area, "root b1.1": root_area_b11, "root iso": root_area_iso}


def area(thread: Thread, name: str) -> Numbers:
    """The area of the name given: "tensile", "root B1.1" or "root ISO". [m²]

    Raises InputError `area_unknown`: a stress without its area is not a load.

    >>> round(area(parse("M36x4"), "root B1.1") * 1e6, 2)
    745.25
    """
    found = _AREA_OF.get(" ".join(str(name).lower().split()))
    if found is None:
        raise stop("area_unknown", "area", text=name, known=AREAS)
    return found(thread)


# --- reading a designation ------------------------------------------------------------------------------------------

_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_SERIES = r"(?:UNRC|UNRF|UNC|UNF|UNR|UN|UNS|8UNR|8UN|12UN|16UN)"
_INCH = re.compile(
    rf"(?P<size>\d+\s*[- .]\s*\d+/\d+|\d+/\d+|\d*\.\d+|\d+)\s*(?:\"|in\.?|inch)?"
    rf"(?:\s*[-x\s]\s*(?P<tpi>\d+(?:\.\d+|\s+1/2)?)(?:\s*TPI)?)?\s*-?\s*(?P<series>{_SERIES})?(?:\s*-?\s*[123][AB])?",
    re.IGNORECASE | re.ASCII,
)
_METRIC = re.compile(
    r"M\s*(?P<size>\d+(?:[.,]\d+)?)(?:\s*[x*×-]\s*(?P<pitch>\d+(?:[.,]\d+)?))?(?:\s*-?\s*\d[gGhH](?:\d[gGhH])?)?",
    re.IGNORECASE | re.ASCII,
)


@cache
def _un_sizes() -> dict[tuple[float, str], float]:
    return {(row["diameter"], row["series"]): row["tpi"] for row in load("threads_un").rows}


@cache
def _metric_pitches() -> dict[float, dict[float, str]]:
    sizes: dict[float, dict[float, str]] = {}
    for row in load("threads_metric").rows:
        sizes.setdefault(row["diameter"], {})[row["pitch"]] = row["series"]
    return sizes


def coarse_pitch(size: float) -> float | None:
    """Coarse pitch of a metric thread of a nominal size  (ISO 261); None for a size that has none. [mm -> mm]

    >>> coarse_pitch(36), coarse_pitch(37)
    (4.0, None)
    """
    pitches = next((p for d, p in _metric_pitches().items() if abs(d - size * 1e-3) < 1e-9), {})
    return next((round(pitch * 1e3, 6) for pitch, series in pitches.items() if series == "coarse"), None)


def _plain(text: object) -> str:
    """A designation with plain signs: fractions, inches and dashes as they are typed on any keyboard."""
    clean = str(text).replace("\u00a0", " ").replace("″", '"').replace("”", '"').replace("''", '"').replace("–", "-")
    for sign, fraction in _VULGAR.items():
        clean = clean.replace(sign, f" {fraction}")
    return " ".join(clean.replace("⁄", "/").replace("Ø", "").split())


def pitch_stated(text: str) -> bool:
    """Whether a designation says its pitch, threads per inch or series, so that none is taken for it.

    >>> [pitch_stated(t) for t in ("1 1/4-8 UN", "1-1/4 UNC", "1 1/4", '7/8"', "M24", "M24x3")]
    [True, True, False, False, False, True]
    """
    clean = _plain(text)
    if match := _METRIC.fullmatch(clean):
        return match["pitch"] is not None
    match = _INCH.fullmatch(clean)
    return match is None or bool(match["tpi"] or match["series"])


def _sixteenths(size: str) -> Fraction | None:
    """Inch size as a fraction, or None when it is not a whole number of sixteenths."""
    parts = [p for p in re.split(r"[\s-]+|\.(?=\d+/)", size) if p]
    try:
        number = sum((Fraction(p) for p in parts), Fraction(0))
    except (ValueError, ZeroDivisionError):
        return None
    rounded = Fraction(round(number * 16), 16)  # 1.06 and 1.063 are usual ways to type 1-1/16
    return rounded if abs(number - rounded) <= Fraction(6, 1000) and rounded > 0 else None


def _inch_text(size: Fraction) -> str:
    whole, rest = divmod(size, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


def _within(text: str, kind: str, diameter: float, known: Collection[float]) -> None:
    """Refuse a size beyond the ends of a table with what the table has."""
    span = min(known), max(known)
    if not span[0] - 1e-9 <= diameter <= span[1] + 1e-9:
        raise stop("thread_outside", "thread", text=text, kind=kind, span=span)


def _inch_thread(text: str, match: re.Match[str]) -> Thread:
    size = _sixteenths(match["size"])
    parts = re.fullmatch(r"\d+\s*[- .]\s*(\d+)/(\d+)", match["size"])
    if parts and int(parts[1]) >= int(parts[2]):
        raise stop("thread_unknown", "thread", text=text)  # 1 17/8 is a slip of the hand, never 3 1/8
    if re.fullmatch(r"\d+/\d+", match["size"]) and size is not None and size >= 1:
        raise stop("thread_ambiguous", "thread", text=text)  # 11/4 may be 2 3/4 or a 1 1/4 that lost its space
    sizes = _un_sizes()
    if size is not None and (match["tpi"] or match["series"]):
        _within(text, "inch", float(size) * INCH, [d for d, _ in sizes])
    if size is None or size > 6 or re.fullmatch(r"[56](?:\.0)?", text.strip()):  # a bare 5 may be any number
        raise stop("thread_unknown", "thread", text=text)
    if size > 4 and "-" in match["size"] and not (match["tpi"] or match["series"]):
        raise stop("thread_ambiguous", "thread", text=text)  # 4-5/8 may be four studs of 5/8 in
    diameter = float(size) * INCH
    series = (match["series"] or "").upper().replace("R", "")
    tpi = float(sum(Fraction(p) for p in match["tpi"].split())) if match["tpi"] else None
    if series in ("8UN", "12UN", "16UN"):
        if tpi not in (None, float(series[:-2])):
            raise stop("thread_contradiction", "thread", text=text)
        tpi, series = float(series[:-2]), "UN"
    if tpi is None:
        wanted = series or ("UNC" if size <= 1 else "8UN")
        if wanted == "UN":
            wanted = "8UN"
        found = next((v for (d, s), v in sizes.items() if s == wanted and abs(d - diameter) < 1e-6), None)
        if found is None:
            raise stop("thread_unknown", "thread", text=text)
        tpi = found
    standard = [s for (d, s), v in sizes.items() if v == tpi and abs(d - diameter) < 1e-6]
    if tpi in (8.0, 12.0, 16.0) and diameter > INCH * 0.99:
        standard.append("UN")  # the constant-pitch series run through all these sizes
    if not standard or (series in ("UNC", "UNF") and series not in standard):
        raise stop("thread_unknown", "thread", text=text)
    name = "UN" if "UNC" not in standard and "UNF" not in standard else next(s for s in standard if s != "8UN")
    return Thread(f"{_inch_text(size)}-{tpi:g} {name}", diameter, INCH / tpi, False)


def _metric_thread(text: str, match: re.Match[str]) -> Thread:
    size = float(match["size"].replace(",", "."))
    pitches = next((p for d, p in _metric_pitches().items() if abs(d - size * 1e-3) < 1e-9), None)
    if pitches is None:
        _within(text, "metric", size * 1e-3, _metric_pitches())
        raise stop("thread_unknown", "thread", text=text)
    if match["pitch"]:
        pitch = float(match["pitch"].replace(",", ".")) * 1e-3
        if not any(abs(p - pitch) < 1e-9 for p in pitches):
            raise stop("thread_pitch_unusual", "thread", text=text, pitches=tuple(sorted(pitches)))
    elif size <= 27 and "coarse" in pitches.values():
        pitch = next(p for p, s in pitches.items() if s == "coarse")
    else:
        raise stop("thread_pitch_needed", "thread", text=text, pitches=tuple(sorted(pitches)))
    return Thread(f"M{size:g}x{pitch * 1e3:g}", size * 1e-3, pitch, True)


@lru_cache(maxsize=4096)
def parse(text: str) -> Thread:
    """The thread that a designation names, in any of the usual spellings.

    A bare inch size means UNC up to 1 in and 8UN above (flange studs), to 6 in. A bare M size means ISO coarse up to
    M27 and is refused above, where a pitch of 3 mm and coarse are both usual. 4-5/8 may be four studs of 5/8 in.

    Raises InputError: `thread_unknown`, `thread_outside`, `thread_ambiguous`, `thread_contradiction`,
    `thread_pitch_needed`, `thread_pitch_unusual`.

    >>> [parse(t).designation for t in ('1 1/4-8 UN', '1-1/4"', '1.1/4', '1.25', '1¼', 'M24', 'M36 X 3')]
    ['1 1/4-8 UN', '1 1/4-8 UN', '1 1/4-8 UN', '1 1/4-8 UN', '1 1/4-8 UN', 'M24x3', 'M36x3']
    """
    clean = _plain(text)
    if match := _METRIC.fullmatch(clean):
        return _metric_thread(str(text), match)
    if match := _INCH.fullmatch(clean):
        return _inch_thread(str(text), match)
    raise stop("thread_unknown", "thread", text=str(text))


@cache
def _bases() -> dict[tuple[float, float], str]:
    found: dict[tuple[float, float], str] = {}
    for row in load("threads_un").rows:
        found[round(row["diameter"], 9), round(INCH / row["tpi"], 9)] = _better(found, row, INCH / row["tpi"])
    for row in load("threads_metric").rows:
        found[round(row["diameter"], 9), round(row["pitch"], 9)] = row["basis"]
    return found


def _better(found: dict[tuple[float, float], str], row: dict[str, Any], pitch: float) -> str:
    """The basis of a thread that stands in two series: that of the row which was read."""
    before = found.get((round(row["diameter"], 9), round(pitch, 9)), "")
    return before if before == "read in a copy" else str(row["basis"])


def basis(thread: Thread) -> str:
    """How the row of a thread is known; a constant pitch of 12 or 16 threads per inch is one "by formula".

    >>> basis(parse("1 1/4-8 UN")), basis(parse("1/4-20 UNC")), basis(parse("1 1/4-16 UN"))
    ('read in a copy', 'from memory', 'by formula')
    """
    return _bases().get((round(float(thread.diameter), 9), round(float(thread.pitch), 9)), "by formula")
