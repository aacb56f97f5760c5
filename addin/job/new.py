"""Begins a job: the workbook, with the lists and wrench books that lie in its folder."""

from pathlib import Path

from addin.job.sheets import new_job
from addin.workbooks.package import WorkbookError
from addin.wrenches.wrench_book import read_wrench_book
from calc.units import system

MOST = 40
"""Workbooks of the folder that are looked at."""


def begin(folder: Path) -> tuple[Path, list[str], list[str]]:
    """Write `job.xlsx` into a folder, with what was found there: wrench books, and all else as lists.

    Raises WorkbookError where there is a job.
    """
    found = (
        sorted(path for path in folder.glob("*.xls[xm]") if not path.name.startswith((".", "~$")))
        if folder.is_dir()
        else []
    )
    lists: list[str] = []
    books: list[str] = []
    for path in found[:MOST]:
        (books if _is_book(path) else lists).append(path.name)
    return new_job(folder, lists, books), lists, books


def _is_book(path: Path) -> bool:
    try:
        return bool(read_wrench_book([path], system("US")).wrenches)
    except WorkbookError:
        return False
