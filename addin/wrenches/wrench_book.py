"""Reads a wrench book: one sheet per wrench, a sheet of gauges, a sheet of lubricants.

A faulty wrench, gauge or lubricant is left out of use with its reason; the others go on. Hidden sheets are not read:
what the reader of the book cannot see must not decide.
"""

import hashlib
import io
import math
import re
import warnings
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

from addin.cells.headings import Heading, plain_words
from addin.cells.numbers import Cell, plain_text, split_number, stands_for_nothing
from addin.cells.words import day, line
from addin.workbooks.addresses import address, area
from addin.workbooks.grid import Grid
from addin.workbooks.package import Package, Sheet, WorkbookError, open_package
from addin.workbooks.shared_texts import READER_FAULTS, open_values
from addin.workbooks.sheet_part import scan_sheet
from addin.wrenches.wrench_sheet import WrenchSheet, is_unfilled, looks_like_wrench, read_wrench_sheet
from calc.findings import CAUTION, STOP, Finding, InputError, stop
from calc.plan.joints import Lubricant
from calc.units import System, factor, symbol
from calc.wrench.calibration import Marks
from calc.wrench.choice import Gauge, Wrench

ROWS_LIMIT, CELLS_LIMIT = 5000, 100_000
"""How far down a sheet of a wrench book may reach, and how many cells it may have."""

_GAUGE_HEADINGS = {
    "gauge": "gauge", "unit": "unit", "range": "range", "graduation": "graduation", "class": "class",
    "certificate": "certificate", "certificate number": "certificate", "calibrated on": "calibrated_on",
    "valid until": "valid_until", "certificate valid until": "valid_until",
}  # fmt: skip
_LUBRICANT_HEADINGS = {
    "product": "product", "lubricant": "product", "nut factor low": "low", "nut factor": "nut_factor",
    "nut factor high": "high", "thread friction": "thread_friction", "nut friction": "nut_friction", "source": "source",
}  # fmt: skip


@dataclass(frozen=True)
class Source:
    """Where a wrench, gauge or lubricant stands, its words as typed by field, and the units its sheet uses by kind."""

    sheet: str
    cell: str
    words: Mapping[str, str]
    units: Mapping[str, str]


@dataclass(frozen=True, eq=False)
class WrenchBook:
    """What a book holds. A wrench that cannot be used stands among `wrenches` with its `faults` and without a curve.

    `sources` has the keys ("wrench", name), ("gauge", name) and ("lubricant", product). The facts of every finding
    hold its `sheet`, `cell` and `place`.
    """

    file: str
    sha256: str
    wrenches: tuple[Wrench, ...]
    gauges: Mapping[str, Gauge]
    lubricants: tuple[Lubricant, ...]
    sources: Mapping[tuple[str, str], Source]
    findings: tuple[Finding, ...]

    def lines(self, units: System) -> list[str]:
        """One line per finding, stops first: file, sheet, cell, what is wrong."""
        ordered = sorted(self.findings, key=lambda finding: finding.level != STOP)
        return [f"{self.file}, {line(finding, units)}" for finding in ordered]


def read_wrench_book(path: Path, units: System) -> WrenchBook:
    """Read a wrench book behind the gate; `units` are those of the sentences.

    Raises WorkbookError when the file cannot be read at all.
    """
    package = open_package(Path(path))
    found: list[Finding] = []
    sheets: list[tuple[Grid, WrenchSheet]] = []
    gauges: dict[str, Gauge] = {}
    lubricants: list[Lubricant] = []
    sources: dict[tuple[str, str], Source] = {}
    grids = _grids(package, found)
    for grid in grids:
        name = plain_words(grid.sheet)
        if name == "gauges":
            _gauges(grid, gauges, sources)
        elif name == "lubricants":
            _lubricants(grid, lubricants, sources)
        elif not looks_like_wrench(grid):
            grid.caution("sheet_unknown", "sheet")
        elif is_unfilled(grid):
            grid.caution("sheet_unfilled", "sheet")
        else:
            sheets.append((grid, read_wrench_sheet(grid)))
    wrenches = _wrenches(sheets, gauges, sources, units)
    for grid in grids:
        found += grid.found
    if not any(plain_words(sheet.name) == "gauges" for sheet in package.sheets):
        found.append(Finding("gauges_missing", "gauge", {"sheet": "", "cell": "", "place": ""}))
    if all(wrench.faults for wrench in wrenches):
        found.append(Finding("book_empty", "wrench", {"sheet": "", "cell": "", "place": ""}))
    return WrenchBook(
        package.path.name, package.sha256, wrenches, MappingProxyType(gauges), tuple(lubricants),
        MappingProxyType(sources), tuple(found),
    )  # fmt: skip


# --- the sheets -----------------------------------------------------------------------------------------------------


def _grids(package: Package, found: list[Finding]) -> list[Grid]:
    """The sheets that are to be read, as cells."""
    content = package.path.read_bytes()
    if hashlib.sha256(content).hexdigest() != package.sha256:
        raise WorkbookError(f"{package.path.name}: changed while it was being read")
    grids = []
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # openpyxl warns of features it does not keep; nothing is written here
            book = open_values(package, io.BytesIO(content))
            for sheet in package.sheets:
                words = plain_words(sheet.name)
                if words in ("read me", "readme") or words.startswith("notes"):
                    continue
                if sheet.state != "visible":
                    _say(found, sheet, "sheet_hidden")
                elif sheet.kind != "worksheet":
                    _say(found, sheet, "sheet_no_cells")
                elif grid := _grid(package, book, sheet, found):
                    grids.append(grid)
    except READER_FAULTS as error:
        raise WorkbookError(
            f"{package.path.name}: cannot be read as a workbook ({type(error).__name__}: {error})"
        ) from error
    return grids


def _say(found: list[Finding], sheet: Sheet, code: str, **facts: object) -> None:
    where = {"sheet": sheet.name, "cell": "", "place": f"sheet {sheet.name}"}
    found.append(Finding(code, "sheet", {**facts, **where}, CAUTION))


def _grid(package: Package, book: Any, sheet: Sheet, found: list[Finding]) -> Grid | None:
    scan = scan_sheet(package, sheet.name)
    if scan.used is None:
        return None  # an empty sheet: there is nothing that could be overlooked
    if scan.used.bottom > ROWS_LIMIT or scan.cells > CELLS_LIMIT:
        _say(found, sheet, "sheet_long", rows=scan.used.bottom, cells=scan.cells)
        return None
    cells = book[sheet.name]
    cells.reset_dimensions()  # the size that the part declares may be old
    rows = [tuple(row) for row in cells.iter_rows(values_only=True)]
    uncached = {(place.top, place.left) for cell in scan.uncached if (place := area(cell))}
    grid = Grid(sheet.name, rows, uncached, scan.hidden_rows)
    return grid if grid.last else None


# --- wrenches -------------------------------------------------------------------------------------------------------


def _wrenches(
    sheets: list[tuple[Grid, WrenchSheet]],
    gauges: Mapping[str, Gauge],
    sources: dict[tuple[str, str], Source],
    units: System,
) -> tuple[Wrench, ...]:
    """The wrenches with their faults in words. Of a name that stands twice, one unusable wrench remains."""
    named: dict[str, list[tuple[Grid, WrenchSheet, Wrench]]] = {}
    for grid, sheet in sheets:
        if sheet.wrench:
            named.setdefault(sheet.wrench.name.casefold(), []).append((grid, sheet, sheet.wrench))
    wrenches = []
    for alike in named.values():
        faults: list[Finding] = []
        for grid, sheet, wrench in alike:
            faults += sheet.faults
            others = ", ".join(other.sheet for other, *_ in alike if other is not grid)
            if others:
                grid.stop("wrench_repeated", "wrench", sheet.rows["wrench"], 2, text=wrench.name, other=others)
                faults.append(grid.found[-1])
        grid, sheet, wrench = alike[0]
        gauge = next((name for name in gauges if name.casefold() == wrench.gauge.casefold()), wrench.gauge)
        if gauge and gauge not in gauges:
            grid.stop("gauge_not_listed", "gauge", sheet.rows["gauge"], 2, text=gauge)
        said = tuple(line(finding, units) for finding in faults)
        wrenches.append(replace(wrench, gauge=gauge, curve=None if faults else wrench.curve, faults=said))
        cell = address(sheet.rows["wrench"], 2)
        sources["wrench", wrench.name] = Source(grid.sheet, cell, sheet.words, sheet.units)
    return tuple(wrenches)


# --- gauges and lubricants ------------------------------------------------------------------------------------------

_Columns = dict[str, tuple[int, Heading]]


def _listing(grid: Grid, headings: Mapping[str, str], needed: tuple[str, ...]) -> tuple[_Columns, range]:
    """Heading row of a sheet that is one table: its columns, and the rows below. Notes may stand after an empty row."""
    head = next((r for r in range(1, grid.last + 1) if _known(grid, r, headings) >= 2), 0)
    columns = grid.columns(head, headings) if head else {}
    missing = [text for text in needed if headings[text.lower()] not in columns]
    for text in missing:
        grid.stop("heading_missing", "heading", head, 1, text=text)
    if missing:
        return {}, range(0)
    end = grid.block_end(head)
    grid.warn_hidden()
    for row in range(end + 1, grid.last + 1):
        if len(grid.filled(row)) > 1:
            column = grid.filled(row)[0]
            grid.caution("row_not_used", "row", row, column, text=plain_text(grid.value(row, column)) or "formula")
    return columns, range(head + 1, end + 1)


def _known(grid: Grid, row: int, headings: Mapping[str, str]) -> int:
    return sum(1 for c in grid.filled(row) if (heading := grid.heading(row, c)) and heading.words in headings)


def _names(grid: Grid, rows: range, column: int, quantity: str, code: str) -> dict[int, str]:
    """Names by row; a name that stands twice is a stop for all its rows, and none of them is used."""
    names = {row: grid.take(grid.text, row, column, quantity) for row in rows}
    for row, name in names.items():
        if name == "":
            grid.stop("missing", quantity, row, column)
    places: dict[str, list[int]] = {}
    for row, name in names.items():
        if name:
            places.setdefault(name.casefold(), []).append(row)
    for where in places.values():
        for row in where if len(where) > 1 else ():
            grid.stop(code, quantity, row, column, text=names[row])
    return {where[0]: names[where[0]] or "" for where in places.values() if len(where) == 1}


def _gauges(grid: Grid, gauges: dict[str, Gauge], sources: dict[tuple[str, str], Source]) -> None:
    needed = ("Gauge", "Unit", "Range", "Graduation", "Valid until")
    columns, rows = _listing(grid, _GAUGE_HEADINGS, needed)
    if not rows:
        return
    for row, name in _names(grid, rows, columns["gauge"][0], "gauge", "gauge_repeated").items():
        at = {field: column for field, (column, _) in columns.items()}
        place = at["unit"]
        try:
            unit = symbol("pressure", grid.text(row, place, "gauge unit"))
            place = at["range"]
            scale = grid.number(
                row, place, "gauge_range", _shown_in(unit), cell=_scale(grid.stored(row, place, "range"))
            )
            place = at["graduation"]
            step = _graduation(grid, row, place, unit)
            place = at.get("calibrated_on", 0)
            calibrated = math.nan
            if place and not stands_for_nothing(grid.stored(row, place, "calibrated_on")):
                calibrated = grid.day(row, place, "calibrated_on")
            place = at["valid_until"]
            valid_until = grid.day(row, place, "valid_until")
            if calibrated > valid_until:
                raise stop("dates_reversed", "gauge", calibrated=day(calibrated), valid_until=day(valid_until))
            texts = {}
            for field in ("class", "certificate"):
                place = at.get(field, 0)
                texts[field] = grid.text(row, place, field) if place else ""
        except InputError as error:
            grid.add(error.finding, row, place)
            continue
        marks = Marks(step, factor("pressure", unit))
        gauges[name] = Gauge(name, marks, scale, calibrated, valid_until, _accuracy(texts["class"]))
        sources["gauge", name] = Source(grid.sheet, address(row, at["gauge"]), texts, {"pressure": unit})


def _accuracy(text: str) -> float:
    """The class of a gauge as a share of its scale; NaN for none, or for a class that is no such number.

    >>> _accuracy("1.6"), _accuracy("cl. 1,0"), _accuracy("2A")
    (0.016, 0.01, nan)
    """
    match = re.fullmatch(r"(?:class|cl\.?)?\s*(\d(?:[.,]\d+)?)\s*%?", text.strip(), re.IGNORECASE | re.ASCII)
    number = float(match[1].replace(",", ".")) if match else 0.0
    return number / 100 if 0.05 <= number <= 5 else math.nan


def _shown_in(unit: str) -> Heading:
    return Heading(unit, "", unit)


def _scale(cell: Cell) -> Cell:
    """The end of a scale typed as "0 to 15000 psi"; anything else as it is."""
    match = re.fullmatch(r"0\s*(?:-|–|to|\.{2,3})\s*([0-9].*)", plain_text(cell)) if isinstance(cell, str) else None
    return match[1] if match else cell


def _graduation(grid: Grid, row: int, column: int, unit: str) -> float:
    """Step between two marks as a number of the gauge's own unit, as it was typed."""
    cell = grid.stored(row, column, "graduation")
    grid.number(row, column, "graduation", _shown_in(unit))
    if not isinstance(cell, str):
        return float(cell)
    number, own = split_number(cell) or (cell, None)
    if own and symbol("pressure", own) != unit:
        raise stop("graduation_unit", "graduation", text=symbol("pressure", own), unit=unit)
    return float(number.replace(",", "."))


def _lubricants(grid: Grid, lubricants: list[Lubricant], sources: dict[tuple[str, str], Source]) -> None:
    columns, rows = _listing(grid, _LUBRICANT_HEADINGS, ("Product",))
    if not rows:
        return
    at = {field: column for field, (column, _) in columns.items()}
    for row, name in _names(grid, rows, at["product"], "product", "lubricant_repeated").items():
        place = at["product"]
        try:
            values = {}
            for field in ("low", "nut_factor", "high", "thread_friction", "nut_friction"):
                place, quantity = at.get(field, 0), field if "friction" in field else "nut_factor"
                given = place and not stands_for_nothing(grid.stored(row, place, quantity))
                values[field] = grid.number(row, place, quantity) if given else math.nan
            place = at["product"]
            _check_friction(name, values)
            place = at.get("source", at["product"])
            source = grid.text(row, place, "source") if "source" in at else ""
            if not source:
                raise stop("source_missing", "source", text=name)
        except InputError as error:
            grid.add(error.finding, row, place)
            continue
        lubricants.append(Lubricant(product=name, source=source, **values))
        sources["lubricant", name] = Source(grid.sheet, address(row, at["product"]), {"source": source}, {})


def _check_friction(name: str, values: Mapping[str, float]) -> None:
    """One statement of friction: a nut factor within its own range, or both coefficients."""
    stated = {field for field, value in values.items() if not math.isnan(value)}
    if len(stated & {"thread_friction", "nut_friction"}) == 1:
        raise stop("coefficients_both", "thread_friction")
    if {"nut_factor", "thread_friction"} <= stated:
        raise stop("friction_twice", "nut_factor")
    if not stated & {"nut_factor", "thread_friction"}:
        raise stop("lubricant_empty", "nut_factor", text=name)
    if values["low"] > values["nut_factor"] or values["high"] < values["nut_factor"] or values["low"] > values["high"]:
        raise stop("lubricant_order", "nut_factor", text=name)
