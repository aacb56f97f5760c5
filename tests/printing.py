"""Pages as they print: a workbook to a PDF beside it, by the office process that all tests share."""

from pathlib import Path

from addin.hosts.libreoffice.office import Office


def print_pdf(office: Office, path: Path) -> Path:
    """Print a workbook into a PDF of the same name."""
    target = path.with_suffix(".pdf")
    book = office.open(path)
    try:
        book.print_pdf(target)
    finally:
        book.close()
    return target
