"""The gauges of a wrench book: unit, end and marks of the scale, class, certificate."""

import math
import re
from dataclasses import replace

from addin.cells.headings import Heading
from addin.cells.numbers import Cell, plain_text, split_number, stands_for_nothing
from addin.cells.words import day
from addin.workbooks.addresses import address
from addin.workbooks.grid import Grid
from addin.wrenches.list_words import headings_of
from addin.wrenches.listing import Source, listing, names_of
from calc.findings import InputError, stop
from calc.units import factor, kinds_of, known, symbol
from calc.wrench.calibration import Marks
from calc.wrench.choice import Gauge

_HEADINGS = {
    **headings_of("gauges"),
    "gauge": "gauge", "unit": "unit", "range": "range", "graduation": "graduation", "class": "class",
    "certificate": "certificate", "certificate number": "certificate", "calibrated on": "calibrated_on",
    "valid until": "valid_until", "certificate valid until": "valid_until", "due": "valid_until",
    "due date": "valid_until", "expires": "valid_until", "calibration date": "calibrated_on",
    "gauge number": "gauge", "gage": "gauge", "resolution": "graduation", "scale division": "graduation",
    "out of service from": "out_of_service", "not to be trusted from": "out_of_service",
    "largest deviation": "deviation", "deviation": "deviation", "largest error": "deviation",
    "full scale": "range", "end of scale": "range", "accuracy class": "class", "kind": "kind", "type": "kind",
}  # fmt: skip


def read_gauges(grid: Grid, gauges: dict[str, Gauge], sources: dict[tuple[str, str], Source]) -> None:
    """Add the gauges of a sheet to `gauges` and `sources`; a row with a fault is left out with its reason.

    A name that another book has too is used where both rows say the same, else neither is.
    """
    needed = ("Gauge", "Unit", "Range", "Graduation", "Valid until")
    columns, rows = listing(grid, _HEADINGS, needed)
    if not rows:
        return
    for row, name in names_of(grid, rows, columns["gauge"][0], "gauge", "gauge_repeated").items():
        at = {field: column for field, (column, _) in columns.items()}
        place = at["unit"]
        try:
            unit = _unit(grid.text(row, place, "gauge unit"))
            place = at["range"]
            cell = _of_unit(_scale(grid.stored(row, place, "range")), unit)
            scale = grid.number(row, place, "gauge_range", _shown_in(unit), cell=cell)
            place = at["graduation"]
            step = _graduation(grid, row, place, unit)
            place = at.get("calibrated_on", 0)
            calibrated = math.nan
            if place and not stands_for_nothing(grid.stored(row, place, "calibrated_on")):
                calibrated = grid.day(row, place, "calibrated_on")
            place = at["valid_until"]
            valid_until = grid.day(row, place, "valid_until")
            resting, place = math.inf, at.get("out_of_service", 0)
            if place and not stands_for_nothing(grid.stored(row, place, "out_of_service_from")):
                resting = grid.day(row, place, "out_of_service_from")
            place = at["valid_until"]
            if calibrated > valid_until:
                raise stop("dates_reversed", "gauge", calibrated=day(calibrated), valid_until=day(valid_until))
            texts = {}
            for field in ("class", "certificate", "kind"):
                place = at.get(field, 0)
                texts[field] = grid.text(row, place, field) if place else ""
            place = at.get("deviation", 0)
            deviation = _deviation(grid, row, place, unit, scale)
        except InputError as error:
            grid.add(error.finding, row, place)
            continue
        marks = Marks(step, factor("pressure", unit))
        until = min(valid_until, resting - 1)
        gauge = Gauge(name, marks, scale, calibrated, until, _accuracy(texts["class"]), resting, deviation)
        twin = next((each for each in gauges if each.casefold() == name.casefold()), None)
        if twin and gauges[twin] == replace(gauge, name=twin):
            continue
        if twin:
            grid.stop("gauge_repeated", "gauge", row, at["gauge"], text=name)
            del gauges[twin], sources["gauge", twin]
            continue
        said = " ".join(texts.values()).casefold()
        _say_odd(grid, row, at["graduation"], step, scale / marks.unit, unit, digital="digital" in said)
        gauges[name] = gauge
        sources["gauge", name] = Source(grid.sheet, address(row, at["gauge"]), texts, {"pressure": unit})


def _unit(text: str) -> str:
    """The unit in which a gauge is set: of two, the one that does not stand in brackets.

    >>> _unit("psi"), _unit("psi (bar)"), _unit("bar [psi]")
    ('psi', 'psi', 'bar')
    """
    first = re.match(r"([^(\[]+?)\s*[(\[]([^)\]]+)[)\]]\s*$", text)
    if first and "pressure" in kinds_of(first[1]) and "pressure" in kinds_of(first[2]):
        return symbol("pressure", first[1])
    parts = [part for part in re.split(r"\s*[/&+,]\s*|\s+and\s+", text) if part]
    if len(parts) > 1 and text.strip() not in known("pressure") and all("pressure" in kinds_of(part) for part in parts):
        raise stop("gauge_two_units", "gauge unit", text=text, first=parts[0], second=parts[1])
    return symbol("pressure", text)


def _of_unit(cell: Cell, unit: str) -> Cell:
    """The part of a text like "100 psi (10 bar)" that is in one unit; anything else as it is."""
    if not isinstance(cell, str):
        return cell
    for part in re.split(r"\s*/\s*(?=\d)|\s*[(\[]|[)\]]", cell):
        parts = split_number(part)
        if parts and parts[1] and "pressure" in kinds_of(parts[1]) and symbol("pressure", parts[1]) == unit:
            return part
    return cell


def _say_odd(grid: Grid, row: int, column: int, step: float, scale: float, unit: str, *, digital: bool) -> None:
    """A caution for a graduation that no gauge of that range is likely to have. Common practice, no source."""
    steps = scale / step
    digit = float(f"{step:.3e}".split("e")[0])
    few, many = (20, 20_000) if digital else (10, 250)
    if not few <= steps <= many or (not digital and digit not in (1, 2, 2.5, 5)):
        facts = {"text": f"{step:g} {unit}", "range": f"{scale:.6g} {unit}", "count": round(steps)}
        grid.caution("graduation_odd", "graduation", row, column, **facts)


def _accuracy(text: str) -> float:
    """The class of a gauge as a share of its scale; NaN for none, or for a class that is no such number.

    >>> _accuracy("1.6"), _accuracy("cl. 1,0"), _accuracy("2A")
    (0.016, 0.01, nan)
    """
    match = re.fullmatch(r"(?:class|cl\.?)?\s*(\d(?:[.,]\d+)?)\s*%?", text.strip(), re.IGNORECASE | re.ASCII)
    number = float(match[1].replace(",", ".")) if match else 0.0
    return number / 100 if 0.05 <= number <= 5 else math.nan


def _deviation(grid: Grid, row: int, column: int, unit: str, scale: float) -> float:
    """The largest deviation on the certificate as a share of the scale: "0.6 %" of it, or a pressure with its unit."""
    text = "" if not column else grid.text(row, column, "deviation").strip().lstrip("±+-").strip()
    if not text:
        return math.nan
    match = re.fullmatch(r"(\d+(?:[.,]\d+)?)\s*(.+)?", text, re.ASCII)
    said = (match[2] or "").strip() if match else ""
    share = math.nan
    if match and said.startswith("%"):
        share = float(match[1].replace(",", ".")) / 100
    elif match and said and "pressure" in kinds_of(said):
        share = float(match[1].replace(",", ".")) * factor("pressure", said) / scale
    if not 0 < share <= 0.1:
        raise stop("gauge_deviation", "deviation", text=text, unit=unit)
    return share


def _shown_in(unit: str) -> Heading:
    return Heading(unit, "", unit)


def _scale(cell: Cell) -> Cell:
    """The end of a scale typed as "0 to 15000 psi"; anything else as it is."""
    match = re.fullmatch(r"0\s*(?:-|–|to|\.{2,3})\s*([0-9].*)", plain_text(cell)) if isinstance(cell, str) else None
    return match[1] if match else cell


def _graduation(grid: Grid, row: int, column: int, unit: str) -> float:
    """Step between two marks as a number of the gauge's own unit, as it was typed."""
    cell = _of_unit(grid.stored(row, column, "graduation"), unit)
    grid.number(row, column, "graduation", _shown_in(unit), cell=cell)
    if not isinstance(cell, str):
        return float(cell)
    number, own = split_number(cell) or (cell, None)
    if own and symbol("pressure", own) != unit:
        raise stop("graduation_unit", "graduation", text=symbol("pressure", own), unit=unit)
    return float(number.replace(",", "."))
