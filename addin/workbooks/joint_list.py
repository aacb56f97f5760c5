"""A planner's joint list as it stands in a workbook: sheet, heading row, columns, joints, and where each came from."""

import io
import warnings
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from addin.workbooks.addresses import address
from addin.workbooks.package import Package, WorkbookError, open_package
from addin.workbooks.sheet_part import SheetScan, scan_sheet
from addin.worksheet.columns import Column, heading_score, read_columns
from addin.worksheet.joint_rows import JointRows, read_rows
from addin.worksheet.numbers import Cell, stands_for_nothing
from addin.worksheet.words import line
from calc.findings import Finding, InputError
from calc.units import system

HEADINGS_WITHIN = 60
"""The heading row of a list stands within the first rows of its sheet."""
FIELDS_NEEDED = 4
"""Fewer known headings than this do not make a list."""
ROWS_LIMIT = 100_000

# openpyxl's own ways of failing on a part that is well-formed XML but no proper workbook
_READER_FAULTS = (ValueError, KeyError, TypeError, AttributeError, IndexError, OverflowError)


@dataclass(frozen=True, eq=False)
class JointList:
    """A list as read. `numbers` are the sheet's row numbers, one for each joint; `first_free` the first free column."""

    package: Package
    scan: SheetScan
    sheet: str
    heading_row: int
    columns: tuple[Column, ...]
    rows: JointRows
    numbers: tuple[int, ...]
    first_free: int

    def place(self, finding: Finding) -> str:
        """The cell, or the row, that a finding is about: "Joints!F12"."""
        row = self.numbers[finding.row]
        column = next((c for c in self.columns if c.field == finding.quantity), None)
        return f"{self.sheet}!{address(row, column.at + 1)}" if column else f"{self.sheet}!row {row}"


def read_joint_list(path: Path, sheet: str | None = None, progress: Callable[[int], None] | None = None) -> JointList:
    """Read a joint list behind the gate; the workbook is only read.

    Raises WorkbookError for what concerns the file or the list as a whole; faults of rows go with their row.
    """
    package = open_package(Path(path))
    book = _open(package)
    try:
        return _read(package, book, sheet, progress)
    except _READER_FAULTS as error:
        raise _unreadable(package, error) from error
    finally:
        book.close()


def _read(package: Package, book: Any, sheet: str | None, progress: Callable[[int], None] | None) -> JointList:
    name, heading_row, head = _find(package, book, sheet)
    try:
        columns = read_columns(head)
    except InputError as error:
        raise WorkbookError(
            f"{package.path.name}, sheet {name}, row {heading_row}: {line(error.finding, system('US'))}"
        ) from None
    if not any(column.field == "joint" for column in columns):
        raise WorkbookError(
            f"{package.path.name}, sheet {name}, row {heading_row}: no column is called Joint, Tag or Joint number"
        )
    scan = scan_sheet(package, name)
    mapped = [column.at for column in columns if column.field]
    percent = next((column.at for column in columns if column.field == "percent"), None)
    numbers: list[int] = []
    cells: list[list[Cell]] = []
    as_percent: set[int] = set()
    stale: set[tuple[int, int]] = set()
    wide = max(mapped) + 1
    for number, row in _rows(book[name], heading_row + 1, progress):
        values = [cell.value for cell in row[:wide]]
        values += [None] * (wide - len(values))
        uncached = [at for at in mapped if (number, at + 1) in scan.uncached] if len(scan.uncached) else []
        if not uncached and all(stands_for_nothing(values[at]) for at in mapped):
            continue
        if percent is not None and percent < len(row) and "%" in (row[percent].number_format or ""):
            as_percent.add(len(numbers))
        stale.update((len(numbers), at) for at in uncached)
        numbers.append(number)
        cells.append(values)
        if len(numbers) > ROWS_LIMIT:
            raise WorkbookError(f"{package.path.name}, sheet {name}: more than {ROWS_LIMIT} rows hold something")
    if not numbers:
        raise WorkbookError(f"{package.path.name}, sheet {name}: no rows below the headings in row {heading_row}")
    rows = read_rows(columns, cells, stale=stale, as_percent=as_percent)
    free = max([scan.used.right if scan.used else 0, *scan.last_columns]) + 1
    return JointList(package, scan, name, heading_row, columns, rows, tuple(numbers), free)


def _open(package: Package) -> Any:
    import openpyxl  # about 0.15 s: only when a workbook is read

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # openpyxl warns of features it does not keep; nothing is written here
        try:
            content = io.BytesIO(package.path.read_bytes())
            return openpyxl.load_workbook(content, read_only=True, data_only=True, keep_links=False)
        except _READER_FAULTS as error:
            raise _unreadable(package, error) from error


def _unreadable(package: Package, error: Exception) -> WorkbookError:
    return WorkbookError(f"{package.path.name}: cannot be read as a workbook ({type(error).__name__}: {error})")


def _rows(sheet: Any, first: int, progress: Callable[[int], None] | None) -> Iterator[tuple[int, Any]]:
    """Rows of a sheet from a row number on, with their numbers."""
    for number, row in enumerate(sheet.iter_rows(min_row=first), start=first):
        if progress and number % 500 == 0:
            progress(number)
        yield number, row


def _find(package: Package, book: Any, sheet: str | None) -> tuple[str, int, Sequence[Cell]]:
    """Sheet, row and cells of the headings: the row that names most fields."""
    sheets = [each for each in package.sheets if each.kind == "worksheet"]
    if sheet is not None:
        package.sheet(sheet)  # raises with the names there are
        sheets = [each for each in sheets if each.name == sheet]
    else:
        sheets = [each for each in sheets if each.state == "visible"]
    found: list[tuple[int, str, int, Sequence[Cell]]] = []
    for each in sheets:
        cells = book[each.name]
        cells.reset_dimensions()  # the size that the part declares may be old
        best: tuple[int, str, int, Sequence[Cell]] = (0, each.name, 0, ())
        for number, row in enumerate(cells.iter_rows(max_row=HEADINGS_WITHIN, values_only=True), start=1):
            score = heading_score(row)
            if score > best[0]:
                best = (score, each.name, number, row)
        if best[0] >= FIELDS_NEEDED:
            found.append(best)
    where = f"{package.path.name}, sheet {sheet}" if sheet else package.path.name
    if not found:
        raise WorkbookError(
            f"{where}: no joint list found: no row has {FIELDS_NEEDED} known headings such as Joint, Operation, Method,"
            " Stud size, Studs"
        )
    if len(found) > 1:
        names = ", ".join(name for _, name, *_ in found)
        raise WorkbookError(f"{where}: several sheets look like joint lists ({names}); say which with --sheet")
    _, name, number, row = found[0]
    return name, number, row
