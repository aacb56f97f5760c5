"""New workbooks that are written row by row: what is written leaves the memory, so a long one costs no more than a
short one.
"""

import datetime
import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any, BinaryIO

from addin.workbooks.cell_text import shortened
from addin.workbooks.new_file import check_target, write_new
from addin.workbooks.plain_file import scratch_folder

_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_PADDING = 5 / 7  # the library adds it to a width


def write_rows(target: Path, author: str, fill: Callable[["RowBook"], None]) -> None:
    """Write a workbook whole or not at all; `fill` puts in its sheets and their rows, each from above to below.

    Raises WorkbookError where the target, or the folder for temporary files, cannot be written.
    """
    check_target(target)

    def write(file: BinaryIO) -> None:
        import xlsxwriter
        from xlsxwriter.exceptions import FileCreateError

        with scratch_folder("tautsheet-") as folder:
            options = {"constant_memory": True, "tmpdir": str(folder)}
            book: Any = xlsxwriter.Workbook(file, options)  # type: ignore[arg-type]  # a file will do
            book.set_properties({"author": author})
            fill(RowBook(book))
            try:
                book.close()
            except FileCreateError as error:  # how the library names a full disk
                raise error.args[0] if isinstance(error.args[0], OSError) else error from error

    write_new(target, write)


class RowBook:
    """A workbook of the library, with its formats made once each."""

    def __init__(self, book: Any) -> None:
        self.book = book
        self._formats: dict[tuple[tuple[str, Any], ...], Any] = {}

    def sheet(self, name: str) -> Any:
        """A new sheet behind the others."""
        return self.book.add_worksheet(name)

    def chart(self, kind: str, subtype: str | None = None) -> Any:
        """A new chart, not yet on a sheet."""
        return self.book.add_chart({"type": kind, **({"subtype": subtype} if subtype else {})})

    def look(self, **properties: Any) -> Any:
        """The format of those properties, as the library names them."""
        key = tuple(sorted(properties.items()))
        if key not in self._formats:
            self._formats[key] = self.book.add_format(properties)
        return self._formats[key]


def set_widths(sheet: Any, widths: list[float]) -> None:
    """The widths of the first columns, in characters as a spreadsheet shows them."""
    for column, width in enumerate(widths):
        sheet.set_column(column, column, width - _PADDING)


def cell_text(text: str) -> str:
    """A text as a cell holds it: a mark for each control character, cut with a mark where it is too long.

    >>> cell_text("tag\x07 1")
    'tag� 1'
    """
    return _CONTROL.sub("\ufffd", shortened(text))


def put(sheet: Any, row: int, column: int, value: Any, look: Any) -> None:
    """Set a cell, counted from 1: text stays text whatever it begins with, cut with a mark where it is too long for a
    cell; a number that is not there is left empty.
    """
    place = row - 1, column - 1
    if isinstance(value, str) and value:
        sheet.write_string(*place, cell_text(value), look)
    elif isinstance(value, datetime.date):
        sheet.write_datetime(*place, datetime.datetime(value.year, value.month, value.day), look)
    elif value is None or value == "" or (isinstance(value, float) and math.isnan(value)):
        sheet.write_blank(*place, None, look)
    else:
        sheet.write_number(*place, value, look)
