"""Prints many workbooks through LibreOffice."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from addin.hosts.libreoffice.office import Office

SHEETS_PER_OFFICE = 200
"""Sheets after which a new office process is started; it keeps about 1.5 MB of each sheet it has printed."""


@contextmanager
def printer() -> Iterator[Callable[[Path, Path], None]]:
    """Prints workbooks through an office process, which is started anew before it has grown large.

    Raises NoOfficeError where there is none.
    """
    with ExitStack() as stack:
        office = stack.enter_context(Office(functions=False))
        printed = 0

        def print_one(source: Path, target: Path) -> None:
            nonlocal office, printed
            if printed >= SHEETS_PER_OFFICE:
                office.close()
                office, printed = stack.enter_context(Office(functions=False)), 0
            book = office.open(source)
            printed += len(book.sheets())
            book.print_pdf(target)
            book.close()

        yield print_one
