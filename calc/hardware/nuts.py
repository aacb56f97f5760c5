"""Width across flats of nuts, by series as the standards name them."""

import re
from functools import cache

from calc.findings import stop
from calc.hardware.threads import Thread
from calc.quantities import INCH
from calc.tables import load

SERIES = ("heavy hex", "hex", "metric heavy hex", "ISO 4032", "ISO 4033", "DIN 934")
"""Series known here: heavy hex and hex are inch (ASME B18.2.2), the others metric."""

_INCH_SERIES = ("heavy hex", "hex")


@cache
def _sizes(series: str) -> dict[float, float]:
    if series == "hex":
        rows = load("nuts_hex_inch").rows
    else:
        rows = tuple(row for row in load("nuts_metric").rows if row["series"] == series)
    return {round(float(row["diameter"]), 9): float(row["across_flats"]) for row in rows}


def _series(text: str, metric: bool) -> str:
    key = re.sub(r"[^a-z0-9]+", " ", text.lower()).strip()
    key = re.sub(r"\b(nuts?|style [12]|asme b18 2 \w+)\b", "", key).strip()
    if key in ("heavy", "heavy hex", "heavy hexagon", "hhn"):
        return "metric heavy hex" if metric else "heavy hex"
    found = next((name for name in SERIES if key == name.lower()), None)
    if found is None:
        raise stop("series_unknown", "series", text=text, known=SERIES)
    if metric == (found in _INCH_SERIES):
        known = tuple(name for name in SERIES if (name in _INCH_SERIES) != metric)
        raise stop("series_system", "series", text=text, known=known)
    return found


def across_flats(thread: Thread, series: str | None = None) -> float:
    """Size of the nut across its flats for a thread and a series. [m]

    Inch studs: heavy hex where nothing is said, AF = 1.5 D + 1/8 in (ASME B18.2.2, 1/2 to 4 in). Metric studs: the
    series must be said, for M36 may have 55 or 60 mm.

    Raises InputError: `series_needed`, `series_unknown`, `series_system`, `nut_not_in_table`.

    >>> from calc.hardware.threads import parse
    >>> across_flats(parse("1 1/2-8")) / 0.0254, round(across_flats(parse("M36x4"), "ISO 4032") * 1000, 3)
    (2.375, 55.0)
    """
    metric, diameter = bool(thread.metric), float(thread.diameter)
    if not series:
        if metric:
            raise stop("series_needed", "series", thread=thread.designation, known=SERIES[2:])
        series = "heavy hex"
    name = _series(series, metric)
    if name == "heavy hex":
        if not 0.4999 * INCH <= diameter <= 4.0001 * INCH:
            span = 0.5 * INCH, 4 * INCH
            raise stop("nut_not_in_table", "series", thread=thread.designation, series=name, span=span)
        return 1.5 * diameter + 0.125 * INCH
    found = _sizes(name).get(round(diameter, 9))
    if found is None:
        span = min(_sizes(name)), max(_sizes(name))
        raise stop("nut_not_in_table", "series", thread=thread.designation, series=name, span=span)
    return found


def basis(thread: Thread, series: str) -> str:
    """How the width across flats of a nut is known: heavy hex by its formula, the others as their row says.

    >>> from calc.hardware.threads import parse
    >>> basis(parse("1 1/4-8 UN"), "heavy hex"), basis(parse("M36x4"), "ISO 4032")
    ('by formula', 'read in a copy')
    """
    name, diameter = _series(series, bool(thread.metric)), round(float(thread.diameter), 9)
    if name == "heavy hex":
        return "by formula"
    rows = load("nuts_hex_inch").rows if name == "hex" else load("nuts_metric").rows
    alike = [row for row in rows if name == "hex" or row["series"] == name]
    return next(
        str(row.get("basis", "read in a copy")) for row in alike if round(float(row["diameter"]), 9) == diameter
    )
