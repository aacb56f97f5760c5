"""What the numbers of several columns say together: threads, across flats, load, stress and torque of the same rows.

Laws: T = K D F, F = S A. They confirm a quantity, its unit and its area, never its role: as-left values obey them too.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from addin.reading.evidence import number
from addin.reading.facts_in_cells import parts
from addin.reading.spellings import unit_of
from calc.findings import InputError
from calc.hardware import threads
from calc.units import factor

Floats = NDArray[np.float64]
K_LOW, K_HIGH = 0.055, 0.42
"""Nut factors that occur, with room for rounding and other areas; common practice, no source."""


@dataclass(frozen=True)
class StudSizes:
    """Diameter and areas of the studs of the rows looked at, NaN where the thread is not read. [m, m²]"""

    diameter: Floats
    tensile: Floats
    root: Floats


def stud_sizes(cells: Sequence[Any], unit: str | None) -> StudSizes:
    """Sizes of the threads of a column of cells."""
    rows = [_size(cell, unit) for cell in cells]
    table = np.array(rows, dtype=float) if rows else np.empty((0, 3))
    return StudSizes(table[:, 0], table[:, 1], table[:, 2])


_known: dict[tuple[Any, str | None], tuple[float, float, float]] = {}


def _size(cell: Any, unit: str | None) -> tuple[float, float, float]:
    key = (cell if isinstance(cell, (str, int, float)) else None, unit)
    if key not in _known:
        if len(_known) > 20_000:
            _known.clear()
        _known[key] = _found(cell, unit)
    return _known[key]


_MISSING = (math.nan, math.nan, math.nan)


_METRIC = re.compile(r"M\s?(\d{1,3})(?:\s*[x×*]\s*[1-6](?:[.,]\d+)?(?![\d/]))?", re.IGNORECASE)


def threads_known(text: str) -> bool:
    """Whether a designation says its thread."""
    try:
        threads.parse(text)
    except InputError:
        return False
    return True


def _found(cell: Any, unit: str | None) -> tuple[float, float, float]:
    if cell is None or isinstance(cell, bool):
        return _MISSING
    text = " ".join(str(cell).split())
    text = parts(text).get("thread", text)
    value = number(text)
    if "/" in text or '"' in text:
        unit = None  # a fraction, or the mark of an inch: the unit of the heading is that of the length beside it
    if metric := _METRIC.match(text):
        if (size := number(metric[1])) is not None and not threads_known(metric.group()):
            return _rough(size * 1e-3)
        text = metric.group()
    if value is not None and (unit == "mm" or (value > 4.01 and value == int(value))):
        return _rough(value * 1e-3)
    try:
        thread = threads.parse(text)
    except InputError:
        if (
            text[:1].upper() == "M"
            and (size := number(text[1:].strip().split("x")[0].split("X")[0].split("×")[0])) is not None
        ):
            return _rough(size * 1e-3)  # coarse or not: near enough for a law
        return _MISSING
    return float(thread.diameter), float(threads.tensile_area(thread)), float(threads.root_area_b11(thread))


def _rough(diameter: float) -> tuple[float, float, float]:
    tensile = 0.785 * (diameter - 0.9382 * min(0.11 * diameter, 0.004)) ** 2
    return diameter, tensile, 0.96 * tensile


def numbers(cells: Sequence[Any], kind: str, unit: str | None) -> Floats:
    """The numbers of a column in SI, NaN for what is none; a cell's own unit counts before the column's."""
    out = np.full(len(cells), math.nan)
    own = factor(kind, unit) if unit else math.nan
    for i, cell in enumerate(cells):
        if cell is None or isinstance(cell, bool):
            continue
        if isinstance(cell, (int, float)):
            out[i] = cell * own
            continue
        text = " ".join(str(cell).split())
        value = number(text)
        if value is not None:
            out[i] = value * own
            continue
        head = text.rstrip("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ.·-/²2% ")
        found, plain = unit_of(text[len(head) :].strip()), number(head)
        if found is not None and plain is not None and found.symbol:
            try:
                out[i] = plain * factor(kind, found.symbol)
            except InputError:
                continue
    return out


@dataclass(frozen=True)
class Ratio:
    """A ratio that should be the same in all rows: its middle, the share of rows within 6 % of it, their number."""

    middle: float
    steady: float
    count: int


def ratio(above: Floats, below: Floats, within: float = 0.06) -> Ratio | None:
    """How steady a ratio is over the rows that have both; None below two rows."""
    with np.errstate(divide="ignore", invalid="ignore"):
        found = above / below
    found = found[np.isfinite(found) & (found > 0)]
    if len(found) < 2:
        return None
    middle = float(np.median(found))
    return Ratio(middle, float(np.mean(np.abs(found / middle - 1) <= within)), len(found))


def torque_fits(torque: Floats, sizes: StudSizes) -> float | None:
    """Share of rows whose torque suits its stud: a stress of 20 to 1100 MPa at K 0.08 to 0.3. None without rows."""
    with np.errstate(divide="ignore", invalid="ignore"):
        found = torque / (sizes.diameter * sizes.tensile)
    found = found[np.isfinite(found)]
    if not len(found):
        return None
    return float(np.mean((found > 0.08 * 20e6) & (found < 0.30 * 1100e6)))


def flats_fit(flats: Floats, sizes: StudSizes) -> float | None:
    """Share of rows whose size across flats suits its stud: 1.3 to 1.85 diameters. None without rows."""
    with np.errstate(divide="ignore", invalid="ignore"):
        found = flats / sizes.diameter
    found = found[np.isfinite(found)]
    if not len(found):
        return None
    return float(np.mean((found > 1.3) & (found < 1.85)))


def stress_fits(stress: Floats) -> float | None:
    """Share of rows whose stress is one of a stud: 20 to 1200 MPa. None without rows."""
    found = stress[np.isfinite(stress)]
    if not len(found):
        return None
    return float(np.mean((found > 20e6) & (found < 1.2e9)))


def load_fits(load: Floats, sizes: StudSizes) -> float | None:
    """Share of rows whose load suits its stud: 20 to 1200 MPa on the tensile area. None without rows."""
    with np.errstate(divide="ignore", invalid="ignore"):
        found = load / sizes.tensile
    return stress_fits(found)
