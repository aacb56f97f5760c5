"""A joint list of a few lines of cells, as it is read."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from addin.reading.joint_list import JointList, read_joint_list
from addin.reading.understood import Answers, ColumnReading

Lines = Sequence[Sequence[Any]]
Read = Callable[..., JointList]
HEAD = ["Joint No.", "Stud size", "No. off", "Torque Nm"]
ROWS = [["V-1 N1", "M24", 12, 480], ["V-1 N2", "M20", 8, 270], ["V-2 N1", "M16", 8, 140], ["V-2 N2", "M24", 12, 480]]
"""Four joints that leave nothing open, to be put under other headings or beside other columns."""


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


def reader(folder: Path) -> Read:
    """Reads the list of some lines, with merged ranges, in this folder; `accept` takes what is proposed."""

    def read(lines: Lines, *merged: str, accept: bool = False) -> JointList:
        return read_lines(folder, lines, *merged, answers=Answers(accept=True) if accept else None)

    return read


def columns(found: JointList) -> dict[str, ColumnReading]:
    """Its columns by their headings."""
    return {each.heading: each for each in found.understood.columns}
