"""Results beside a list: the bytes of one sheet part are patched, every other part of the workbook stays as it is."""

import hashlib
import zipfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import starmap
from pathlib import Path
from typing import BinaryIO

from addin.workbooks.addresses import Area, CellSet, address
from addin.workbooks.cell_text import NOT_AVAILABLE, NotAvailable, OutCell, Value, read_cell
from addin.workbooks.conditional import runs
from addin.workbooks.dependents import Dependents, dependents
from addin.workbooks.extension import Extension, Ours, names_reaching, reach
from addin.workbooks.markup import MAIN, Markup, MarkupError, edited, set_attribute
from addin.workbooks.new_file import check_target, write_new
from addin.workbooks.obstacles import NOT_PRINTED, check_free, check_package, warnings_about
from addin.workbooks.package import MIB, UNPACKED_LIMIT, Package, Sheet, WorkbookError, open_package
from addin.workbooks.sheet_look import Beside
from addin.workbooks.sheet_part import SHEET_LIMIT, KnownRows, SheetScan, SheetTable, Tell, read_sheet, scan_part
from addin.workbooks.sheet_patch import Edit, OutColumn, SheetPatch, expected
from addin.workbooks.styles_part import Style, StyleError, StylesPart
from addin.workbooks.zip_copy import PackedPart, copy_with_changes, packed

__all__ = [
    "NOT_AVAILABLE",
    "NotAvailable",
    "OutCell",
    "OutColumn",
    "Style",
    "Value",
    "WriteReport",
    "write_columns",
]

_READ = 16_384
"""Cells that are read back, of which is kept what they say."""
_AFTER_SHEETS = ("sheets", "functionGroups", "externalReferences", "definedNames")


@dataclass
class WriteReport:
    """What was written: hashes of source and new file, numbers of cells, parts that changed, what the user should know.

    `where` says where the cells stand; `cells` is the number of cells written, `replaced` how many of them were there
    before (empty ones included).
    """

    target: Path
    source_sha256: str
    sha256: str = ""
    cells: int = 0
    replaced: int = 0
    changed_parts: tuple[str, ...] = ()
    kept_parts: int = 0
    warnings: list[str] = field(default_factory=list)
    where: str = ""


def write_columns(
    source: Path,
    sheet: str,
    columns: Sequence[OutColumn],
    target: Path,
    *,
    recalculate: bool = False,
    replace: bool = False,
    scan: SheetScan | None = None,
    beside: Beside | None = None,
    package: Package | None = None,
    phases: Callable[[str], Tell] | None = None,
) -> WriteReport:
    """Write columns into a copy of a workbook; the workbook itself is only read.

    Only the sheet part, the styles part (when a format is new) and, with `recalculate`, the workbook part differ from
    the source; that, and what then stands in the cells, is read back from the temporary file before it gets its name.
    With `replace` cells that hold a text, a number or an error, without a formula, may be written over. `scan` is the
    scan of the same sheet of the same file, when there is one already, `package` what the gate found of that file. With
    `beside` the cells look like those of a column of the planner. `phases` is told what is being done, and gives what
    is told how many rows are.

    Raises WorkbookError, and leaves nothing behind, when a cell is not free or cannot hold its value, when the workbook
    is protected, signed, encrypted or shared, when the source changes meanwhile, and when the target cannot be written.
    """
    source, target = Path(source), Path(target)
    check_target(target, source)
    if package is None or package.path != source or _sha256(source) != package.sha256:
        package = open_package(source)
    check_package(package)
    _check_name(package, target)
    place = package.sheet(sheet)
    content = read_sheet(package, place)
    if scan is None or (scan.file_sha256, scan.sheet) != (package.sha256, place):
        scan = scan_part(package, place, content)
    patch = SheetPatch(package, scan, content, columns, replace=replace, beside=beside)
    if phases is not None:
        patch.tell = phases("writing")
    check_free(package, scan, patch.rows, beside.heading_row if beside and replace else None)

    report = WriteReport(target, package.sha256)
    stale = dependents(package, place, content, _areas(patch)) if beside else Dependents()
    ours = _ours(patch, beside) if beside else None
    reached = reach(package, scan, patch.plain, ours, wanted=beside.extend) if ours and beside else Extension()
    patch.more = list(starmap(Edit, [*stale.dropped.pop(place.part, ()), *reached.edits]))
    new = _patched(package, patch, report)
    _check_sizes(package, place, new, target)
    for part, edits in stale.dropped.items():
        new[part] = edited(package.read(part), edits)
    new |= reached.parts
    _renew_workbook(package, new, place.name, ours if beside and beside.extend else None, recalculate or stale.cells)
    report.warnings += [*stale.notes, *reached.notes]
    warnings = warnings_about(package, scan, patch.rows)
    if beside and beside.extend and package.workbook in new:
        warnings = [text for text in warnings if not text.endswith(NOT_PRINTED)]
    report.warnings += warnings
    if patch.restyled:
        report.warnings.append(
            f"sheet {place.name!r}: {patch.restyled} empty cells had a format of their own, which ours replaces"
        )
    report.cells, report.replaced = patch.inserted + patch.replaced, patch.replaced
    report.changed_parts = tuple(part for part in package.parts if part in new)
    report.kept_parts = len(package.parts) - len(new)

    hashes = {
        part: each.sha256 if isinstance(each, PackedPart) else hashlib.sha256(each).hexdigest()
        for part, each in new.items()
    }
    changed = WorkbookError(f"{source.name}: changed while it was being read; nothing is written")

    def write(file: BinaryIO) -> None:
        try:
            with source.open("rb") as original:
                copy_with_changes(original, new, file)
            new.clear()  # large, and only their hashes are needed from here on
        except (zipfile.BadZipFile, FileNotFoundError) as error:
            raise changed from error

    dropped = stale.cells.get(place.part, ())

    def check(temporary: Path) -> None:
        try:
            tell = phases("checking what was written") if phases is not None else None
            _check_written(package, temporary, hashes, patch, dropped, reached.tables or scan.tables, tell)
        except WorkbookError as error:
            raise WorkbookError(f"{target}: not written: it does not read back as it should ({error})") from error
        report.sha256 = _sha256(temporary)
        if not source.exists() or _sha256(source) != package.sha256:
            raise changed

    write_new(target, write, check)
    return report


def _areas(patch: SheetPatch) -> list[Area]:
    """The cells that are written, as ranges."""
    rows = [row for numbers in patch.rows.values() for row in (*numbers[:1], *numbers[-1:])]
    return [Area(min(rows), first, max(rows), last) for first, last in runs(list(patch.columns))] if rows else []


def _ours(patch: SheetPatch, beside: Beside) -> Ours | None:
    """Our columns with their headings, as far as they have one."""
    cells = {number: column.cells.get(beside.heading_row) for number, column in patch.columns.items()}
    headings = {number: str(cell.value) for number, cell in cells.items() if cell and cell.value is not None}
    return Ours(tuple(headings), beside.heading_row, headings) if headings else None


def _renew_workbook(
    package: Package, new: dict[str, bytes | PackedPart], sheet: str, extended: Ours | None, recalculate: object
) -> None:
    """The workbook part: names that reach over our columns, and the flag that has everything calculated anew."""
    before = content = package.read(package.workbook)
    if extended:
        content = names_reaching(package, content, sheet, extended)
    if recalculate:
        content = _recalculating(package, content)
    if content != before:
        new[package.workbook] = content


def _check_name(package: Package, target: Path) -> None:
    """A workbook with macros under the name of one without, or the other way round, is not opened by spreadsheets."""
    allowed = (".xlsm", ".xltm") if package.macros else (".xlsx", ".xltx")
    if target.suffix.lower() not in allowed:
        raise WorkbookError(f"{target}: the workbook read needs a name that ends in {allowed[0]}")


def _patched(package: Package, patch: SheetPatch, report: WriteReport) -> dict[str, bytes | PackedPart]:
    """The part of the sheet with the cells in it, and the styles part when formats must be added to it."""
    lacking = f"{package.path.name}: results are written without number formats"
    part, styles = patch.scan.sheet.part, package.styles
    if styles is None:
        report.warnings.append(f"{lacking}: the workbook has no styles part")
        return {part: packed(patch.pieces())}
    before = package.read(styles)
    try:
        patch.styles = StylesPart(before)
        content, after = packed(patch.pieces()), patch.styles.patched()
    except StyleError as error:
        report.warnings.append(f"{lacking}: {error}")
        patch.styles = None
        return {part: packed(patch.pieces())}
    return {part: content, **({styles: after} if after != before else {})}


def _check_sizes(package: Package, place: Sheet, new: Mapping[str, bytes | PackedPart], target: Path) -> None:
    """Refuse a copy that could not be read again."""
    whole = sum(len(new[name]) if name in new else part.size for name, part in package.parts.items())
    for what, size, limit in (
        (f"sheet {place.name!r}", len(new[place.part]), SHEET_LIMIT), ("the workbook", whole, UNPACKED_LIMIT),
    ):  # fmt: skip
        if size > limit:
            raise WorkbookError(
                f"{target}: not written: with the results {what} unpacks to {size / MIB:.0f} MiB, and a copy of more"
                f" than {limit / MIB:.0f} MiB could not be read again; split the list"
            )


def _recalculating(package: Package, content: bytes) -> bytes:
    """The workbook part with the flag that has everything calculated anew when it is opened."""
    try:
        markup = Markup(content, root="workbook", namespace=MAIN)
    except MarkupError as error:
        raise WorkbookError(f"{package.path.name}: part {package.workbook} {error}") from error
    after = 0
    for tag in markup.tags():
        if tag.prefix != markup.prefix:
            continue
        if tag.name == "calcPr" and not tag.closing:
            whole = set_attribute(content[tag.start : tag.end], b"fullCalcOnLoad", b"1")
            return content[: tag.start] + whole + content[tag.end :]
        if tag.name in _AFTER_SHEETS and (tag.closing or tag.empty):
            after = tag.end
    return content[:after] + b"<" + markup.prefix + b'calcPr fullCalcOnLoad="1"/>' + content[after:]


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _check_written(
    package: Package, temporary: Path, hashes: Mapping[str, str], patch: SheetPatch, dropped: Sequence[tuple[int, int]],
    tables: tuple[SheetTable, ...], tell: Tell | None,
) -> None:  # fmt: skip
    """Read the temporary file as any other workbook, and compare part by part and cell by cell."""
    written = open_package(temporary)
    place = patch.scan.sheet
    if list(written.parts) != list(package.parts):
        raise WorkbookError(f"{temporary}: the parts written are not those of {package.path.name}")
    for name, part in written.parts.items():
        if part.sha256 != hashes.get(name, package.parts[name].sha256):
            raise WorkbookError(f"{temporary}: part {name} was not written as it should be")

    found = 0
    named = len(patch.scan.prefix) + len(b'<c r="')
    read: dict[bytes, object] = {}  # what follows a cell's name -> what it says: most texts stand in many rows

    def compare(row: int, column: int, element: bytes) -> None:
        nonlocal found
        right = expected(patch, row, column)
        if right is None:
            return
        tail = element[element.find(b'"', named) :]
        if tail not in read:
            if len(read) >= _READ:
                read.clear()
            read[tail] = read_cell(element)
        if read[tail] != right:
            raise WorkbookError(f"{temporary}: cell {address(row, column)} was not written as it should be")
        found += 1

    if wrong := patch.misread():
        raise WorkbookError(
            f"{temporary}: a cell that is to hold {str(wrong[0])[:40]!r} does not read back as it should"
        )
    before = patch.scan
    known = KnownRows(before, patch.line)
    again = scan_part(
        written, place, read_sheet(written, place), compare, frozenset(patch.columns), known=known, tell=tell
    )
    uncached = before.uncached
    if dropped:
        uncached = CellSet()
        for row, column in sorted({*before.uncached.places(), *dropped}):
            uncached.add(row, column)
    same = (again.merged, again.arrays, again.uncached, again.validations, again.tables)
    if (
        found + known.behind != patch.inserted + patch.replaced
        or again.cells != before.cells + patch.inserted
        or same != (before.merged, before.arrays, uncached, before.validations, tables)
    ):
        raise WorkbookError(f"{temporary}: sheet {place.name!r} was not written as it should be")
