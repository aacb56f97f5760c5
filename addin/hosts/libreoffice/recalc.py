"""A workbook calculated anew without a window: copy and PDF out, and what stands in it that is no number."""

from dataclasses import dataclass
from pathlib import Path

from addin.cells.texts import is_stop
from addin.hosts.libreoffice.office import Office
from addin.workbooks.new_file import check_target
from addin.workbooks.package import WorkbookError, open_package

READ = (".xlsx", ".ods")
WRITTEN = (".xlsx", ".ods")


@dataclass(frozen=True)
class Recalculated:
    """What a workbook shows after it: cells with a STOP and cells with an error, as sheet, address, content."""

    stops: tuple[tuple[str, str, str], ...]
    errors: tuple[tuple[str, str, str], ...]


def recalculate(source: Path, target: Path, pdf: Path | None = None) -> Recalculated:
    """Calculate every formula of a workbook anew and save a copy; the workbook itself is only read.

    Raises WorkbookError for a file that cannot be read or written, NoOfficeError, OfficeError.
    """
    if source.suffix.lower() not in READ:
        macros = source.suffix.lower() in (".xlsm", ".xltm", ".xlam")
        why = "it has macros, which LibreOffice damages when it saves" if macros else "it is no .xlsx or .ods"
        raise WorkbookError(f"{source}: is not recalculated: {why}")
    if target.suffix.lower() not in WRITTEN:
        raise WorkbookError(f"{target}: the copy needs a name that ends in .xlsx or .ods")
    if not source.is_file():
        raise WorkbookError(f"{source}: cannot be read: there is no such file")
    if source.suffix.lower() == ".xlsx" and open_package(source).macros:
        raise WorkbookError(f"{source}: is not recalculated: it has macros, which LibreOffice damages when it saves")
    for path in (target, *([pdf] if pdf else [])):
        check_target(path, source)
    with Office() as office:
        book = office.open(source)
        book.recalculate()
        found = book.findings()
        book.save(target)
        if pdf:
            book.print_pdf(pdf)
    stops = tuple(cell for cell in found if is_stop(cell[2]))
    return Recalculated(stops, tuple(cell for cell in found if not is_stop(cell[2])))
