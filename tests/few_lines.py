"""A joint list of a few lines of cells, as it is read."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from addin.reading.joint_list import JointList, read_joint_list
from addin.reading.understood import ColumnReading

Lines = Sequence[Sequence[Any]]


def read_lines(folder: Path, lines: Lines, *merged: str, **told: Any) -> JointList:
    """The list of these lines, with merged ranges; `told` goes on to the reader."""
    book = Workbook()
    sheet = book.worksheets[0]
    for cells in lines:
        sheet.append(list(cells))
    for area in merged:
        sheet.merge_cells(area)
    book.save(folder / "list.xlsx")
    return read_joint_list(folder / "list.xlsx", **told)


def columns(found: JointList) -> dict[str, ColumnReading]:
    """Its columns by their headings."""
    return {each.heading: each for each in found.understood.columns}
