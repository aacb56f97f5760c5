"""Reads a wrench book: one sheet per wrench, a sheet of gauges, a sheet of lubricants.

A faulty wrench, gauge or lubricant is left out of use with its reason; the others go on. Hidden sheets are not read:
what the reader of the book cannot see must not decide.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from addin.cells.headings import plain_words
from addin.cells.words import line
from addin.workbooks.addresses import area
from addin.workbooks.cell_values import read_values
from addin.workbooks.grid import Grid
from addin.workbooks.package import Package, Sheet, WorkbookError, open_package
from addin.workbooks.shared_texts import READER_FAULTS
from addin.workbooks.sheet_part import scan_sheet
from addin.workbooks.value_book import ValueBook
from addin.wrenches.certificates import compare, wrenches_of
from addin.wrenches.gauges import read_gauges
from addin.wrenches.hand_tools import SHEETS as HAND_TOOLS
from addin.wrenches.hand_tools import Equipment, check_hoses, read_equipment
from addin.wrenches.list_words import sheet_named
from addin.wrenches.listing import Source
from addin.wrenches.lubricants import read_lubricants
from addin.wrenches.wrench_sheet import WrenchSheet, is_unfilled, looks_like_wrench, read_wrench_sheet
from calc.findings import CAUTION, NOTE, STOP, Finding
from calc.plan.joints import Lubricant
from calc.units import System
from calc.wrench.choice import Gauge, Wrench

ROWS_LIMIT, CELLS_LIMIT = 5000, 100_000
"""How far down a sheet of a wrench book may reach, and how many cells it may have."""


@dataclass(frozen=True, eq=False)
class WrenchBook:
    """What one or more books hold. A wrench that cannot be used stands among `wrenches` with its `faults` and no curve.

    `sources` has the keys ("wrench", name), ("gauge", name) and ("lubricant", product). The facts of every finding
    hold its `file`, `sheet`, `cell` and `place`. `hashes` are those of the files by their names.
    """

    hashes: Mapping[str, str]
    wrenches: tuple[Wrench, ...]
    gauges: Mapping[str, Gauge]
    lubricants: tuple[Lubricant, ...]
    sources: Mapping[tuple[str, str], Source]
    findings: tuple[Finding, ...]
    equipment: tuple[Equipment, ...] = ()
    sheets: Mapping[tuple[str, str], WrenchSheet] = field(default_factory=dict)

    def lines(self, units: System) -> list[str]:
        """One line per stop and caution, stops first: file, sheet, cell, what is wrong."""
        told = [finding for finding in self.findings if finding.level != NOTE]
        ordered = sorted(told, key=lambda finding: finding.level != STOP)
        return [f"{finding.facts['file']}, {line(finding, units)}" for finding in ordered]


def read_wrench_book(path: Path | Sequence[Path], units: System) -> WrenchBook:
    """Read a wrench book, or several as one, behind the gate; `units` are those of the sentences.

    Names of gauges, lubricants and other tools may stand in one book only; a wrench may have its earlier certificates
    in another book. Files of the same names and bytes are read once. Raises WorkbookError when a file cannot be read
    at all, or is named twice.
    """
    packages = [open_package(Path(each)) for each in ([path] if isinstance(path, str | Path) else path)]
    _check_twice(packages)
    key = (tuple((package.path.name, package.sha256) for package in packages), units)
    if key not in _READ:
        book = _read(packages, units)
        while len(_READ) >= _MOST_READ:
            del _READ[next(iter(_READ))]
        _READ[key] = book
    return _READ[key]


_MOST_READ = 8
_READ: dict[tuple[tuple[tuple[str, str], ...], System], WrenchBook] = {}
"""Books that were read last, by names and hashes of their files and the units of the sentences."""


def _read(packages: Sequence[Package], units: System) -> WrenchBook:
    several = len(packages) > 1
    found: list[Finding] = []
    sheets: list[tuple[Grid, WrenchSheet]] = []
    gauges: dict[str, Gauge] = {}
    lubricants: list[Lubricant] = []
    equipment: list[Equipment] = []
    sources: dict[tuple[str, str], Source] = {}
    grids: list[Grid] = []
    for package in packages:
        here = _grids(package, found)
        for grid in here:
            grid.file = package.path.name if several else ""
            name = sheet_named(grid.sheet)
            if name == "gauges":
                read_gauges(grid, gauges, sources)
            elif name == "lubricants":
                read_lubricants(grid, lubricants, sources)
            elif name in HAND_TOOLS:
                equipment += read_equipment(grid, HAND_TOOLS[name], equipment)
            elif not looks_like_wrench(grid):
                grid.caution("sheet_unknown", "sheet")
            elif is_unfilled(grid):
                grid.caution("sheet_unfilled", "sheet")
            else:
                sheets.append((grid, read_wrench_sheet(grid)))
        for grid in here:
            grid.file = package.path.name
        grids += here
    sheets = check_hoses(sheets, equipment)
    wrenches = wrenches_of(sheets, gauges, sources, units, equipment)
    compare(sheets, wrenches)
    for grid in grids:
        found += [_in_file(finding, grid.file) for finding in grid.found]
    names = ", ".join(package.path.name for package in packages)
    nowhere = {"sheet": "", "cell": "", "place": "", "file": names}
    if not any(sheet_named(sheet.name) == "gauges" for package in packages for sheet in package.sheets):
        found.append(Finding("gauges_missing", "gauge", nowhere))
    if all(wrench.faults for wrench in wrenches):
        found.append(Finding("book_empty", "wrench", nowhere))
    return WrenchBook(
        {package.path.name: package.sha256 for package in packages}, wrenches, MappingProxyType(gauges),
        tuple(lubricants), MappingProxyType(sources), tuple(found), tuple(equipment),
        {(grid.file, grid.sheet): sheet for grid, sheet in sheets},
    )  # fmt: skip


def _check_twice(packages: Iterable[Package]) -> None:
    seen: dict[str, str] = {}
    for package in packages:
        name = package.path.name
        if package.sha256 in seen.values() or name in seen:
            raise WorkbookError(f"{name}: this wrench book is given twice, or another of its name; name each book once")
        seen[name] = package.sha256


def _in_file(finding: Finding, file: str) -> Finding:
    return Finding(finding.code, finding.quantity, {**finding.facts, "file": file}, finding.level, finding.row)


# --- the sheets -----------------------------------------------------------------------------------------------------


def _grids(package: Package, found: list[Finding]) -> list[Grid]:
    """The sheets that are to be read, as cells."""
    grids = []
    try:
        book = ValueBook(package)
        for sheet in package.sheets:
            words = plain_words(sheet.name)
            if words in ("read me", "readme") or words.startswith("notes"):
                continue
            if sheet.state != "visible":
                _say(found, package.path.name, sheet, "sheet_hidden")
            elif sheet.kind != "worksheet":
                _say(found, package.path.name, sheet, "sheet_no_cells")
            elif grid := _grid(package, book, sheet, found):
                grids.append(grid)
    except READER_FAULTS as error:
        raise WorkbookError(
            f"{package.path.name}: cannot be read as a workbook ({type(error).__name__}: {error})"
        ) from error
    return grids


def _say(found: list[Finding], file: str, sheet: Sheet, code: str, **facts: object) -> None:
    where = {"sheet": sheet.name, "cell": "", "place": f"sheet {sheet.name}", "file": file}
    found.append(Finding(code, "sheet", {**facts, **where}, CAUTION))


def _grid(package: Package, book: ValueBook, sheet: Sheet, found: list[Finding]) -> Grid | None:
    scan = scan_sheet(package, sheet.name)
    if scan.used is None:
        return None  # an empty sheet: there is nothing that could be overlooked
    if scan.used.bottom > ROWS_LIMIT or scan.cells > CELLS_LIMIT:
        _say(found, package.path.name, sheet, "sheet_long", rows=scan.used.bottom, cells=scan.cells)
        return None
    rows = list(book[sheet.name].iter_rows())
    uncached = {(place.top, place.left) for cell in scan.uncached if (place := area(cell))}
    grid = Grid(sheet.name, rows, uncached, scan.hidden_rows)
    unsure = package.calculation == "manual" or package.recalculates_on_load
    if old := sorted({*read_values(package, book, sheet.name).formulas.places()} - uncached) if unsure else []:
        why = "manual" if package.calculation == "manual" else "on opening"
        grid.caution("formulas_maybe_old", "sheet", *old[0], count=len(old), why=why)
    return grid if grid.last else None
