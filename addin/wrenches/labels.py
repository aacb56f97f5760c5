"""The labels of a wrench sheet: the word list in six languages, and the values that stand beside them."""

import csv
import math
import pkgutil
import re
from collections.abc import Mapping
from functools import cache

from addin.cells.dates import months_later
from addin.cells.headings import Heading, plain_words
from addin.cells.numbers import plain_text, stands_for_nothing
from addin.cells.table_words import plain
from addin.cells.words import day
from addin.workbooks.grid import Grid

Labels = dict[str, tuple[int, Heading]]
"""Field -> row and label as typed."""

_SPAN = re.compile(r"(?P<number>\d{1,3})\s*(?P<unit>\w+)\.?(?:\s.*)?")
_MONTHS = frozenset(
    ["month", "months", "mth", "mths", "mo", "monat", "monate", "monaten", "mois", "mes", "meses", "mese", "mesi"]
)
_YEARS = frozenset(
    [
        "year",
        "years",
        "yr",
        "yrs",
        "jahr",
        "jahre",
        "jahren",
        "an",
        "ans",
        "annee",
        "annees",
        "ano",
        "anos",
        "anno",
        "anni",
    ]
)


@cache
def words_of_labels() -> Mapping[str, str]:
    """Words of a label -> field."""
    text = (pkgutil.get_data("addin.wrenches", "labels.csv") or b"").decode("utf-8")
    found: dict[str, str] = {}
    for row in csv.DictReader(line for line in text.splitlines() if not line.startswith("#")):
        field = row.pop("field")
        for words in row.values():
            for phrase in (words or "").split("|"):
                found.setdefault(plain(plain_words(phrase)), field)
    return found


def field_of(heading: Heading | None) -> str:
    """The field that a label names, "" for none.

    >>> from addin.cells.headings import split
    >>> field_of(split("Max. pressure (bar)")), field_of(split("Serial no.")), field_of(split("Colour"))
    ('rated_pressure', 'serial_number', '')
    """
    return words_of_labels().get(plain(heading.words), "") if heading else ""


def label_text(grid: Grid, labels: Labels, name: str) -> str:
    """The text beside a label; a wrench without a name, or without a gauge, is a stop."""
    row = labels[name][0] if name in labels else 0
    text = grid.take(grid.text, row, 2, name) if row else ""
    if not text and text is not None:
        if name == "wrench":
            grid.stop("wrench_unnamed", name, row or 1, 2 if row else 1)
        elif name == "gauge":
            grid.stop("missing", name, row, 2)
    return text or ""


def label_day(grid: Grid, labels: Labels, name: str) -> float:
    """A date, NaN where none is stated."""
    row = labels[name][0] if name in labels else 0
    if not row or nothing(grid, row):
        return math.nan
    number = grid.take(grid.day, row, 2, name)
    return math.nan if number is None else number


def valid_until(grid: Grid, labels: Labels, calibrated: float) -> float:
    """The last day of the certificate, which must be there: a date, or a span from the calibration ("12 months")."""
    name = "certificate_valid_until"
    row = labels[name][0] if name in labels else 0
    cell = grid.value(row, 2) if row else None
    span = _SPAN.fullmatch(plain(plain_text(cell))) if isinstance(cell, str) else None
    months = int(span["number"]) * (12 if span["unit"] in _YEARS else 1) if span else 0
    if span and span["unit"] in _MONTHS | _YEARS and 0 < months <= 120:
        if math.isnan(calibrated):
            grid.stop("span_without_start", name, row, 2, text=plain_text(cell))
            return math.nan
        last = months_later(calibrated, months) - 1
        grid.note("span_of_certificate", name, row, 2, text=plain_text(cell), last=day(last))
        return last
    number = grid.take(grid.day, row, 2, name)
    return math.nan if number is None else number


def nothing(grid: Grid, row: int) -> bool:
    """Whether nothing stands beside a label."""
    return (row, 2) not in grid.uncached and stands_for_nothing(grid.value(row, 2))


def label_number(
    grid: Grid, labels: Labels, name: str, quantity: str, kind: str | None = None, *, required: bool = False
) -> float:
    """A number beside a label, NaN where none is stated; one that must be there is a stop."""
    row, heading = labels.get(name, (0, None))
    if not row or nothing(grid, row):
        if required:
            grid.stop("missing", name, row, 2)
        return math.nan
    value = grid.take(grid.number, row, 2, quantity, heading, kind)
    return math.nan if value is None else value
