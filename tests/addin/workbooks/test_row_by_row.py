"""New workbooks written row by row: what stands in them, how much memory they take, and a disk that is full."""

import datetime
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

from addin.workbooks.package import WorkbookError
from addin.workbooks.row_by_row import RowBook, put, write_rows


def test_cells_hold_what_was_given_and_no_text_becomes_a_formula(tmp_path: Path) -> None:
    values = ["=1+1", "tag\x07 1", "", None, float("nan"), 1.5, 7, datetime.date(2026, 10, 8), "x" * 40_000]

    def fill(book: RowBook) -> None:
        sheet = book.sheet("One")
        for column, value in enumerate(values, 1):
            put(sheet, 1, column, value, book.look(bold=True, num_format="yyyy-mm-dd" if column == 8 else "General"))

    write_rows(tmp_path / "new.xlsx", "somebody", fill)

    book = openpyxl.load_workbook(tmp_path / "new.xlsx")
    cells = next(iter(book["One"].iter_rows()))
    assert [cell.value for cell in cells[:7]] == ["=1+1", "tag\ufffd 1", None, None, None, 1.5, 7]
    assert cells[0].data_type == "s"
    assert cells[7].value == datetime.datetime(2026, 10, 8)
    assert len(cells[8].value) <= 32_767
    assert all(cell.font.b for cell in cells)
    assert book.properties.creator == "somebody"


LONG = """
import resource, sys
from pathlib import Path
from addin.workbooks.row_by_row import put, write_rows
def fill(book):
    sheet, look = book.sheet("Long"), book.look(border=1)
    for row in range(1, {rows} + 1):
        for column in range(1, 21):
            put(sheet, row, column, f"cell {{row}} {{column}}", look)
{before}
try:
    write_rows(Path(sys.argv[1]), "nobody", fill)
except Exception as error:
    print(type(error).__name__, error)
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def run(code: str, target: Path) -> list[str]:
    done = subprocess.run([sys.executable, "-c", code, target], capture_output=True, text=True, check=True)
    return done.stdout.splitlines()


def test_a_long_workbook_takes_no_more_memory_than_a_short_one(tmp_path: Path) -> None:
    short = int(run(LONG.format(rows=50, before=""), tmp_path / "short.xlsx")[-1])
    long = int(run(LONG.format(rows=4_000, before=""), tmp_path / "long.xlsx")[-1])

    assert (tmp_path / "long.xlsx").stat().st_size > 100_000
    assert long < short + 8 * 1024  # kilobytes; 80,000 cells in memory would be 30 MB and more


@pytest.mark.skipif(sys.platform == "win32", reason="there a process has no limit of this kind")
def test_a_full_disk_is_one_line_and_leaves_nothing(tmp_path: Path) -> None:
    limit = """
import signal
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))"""
    said = run(LONG.format(rows=4_000, before=limit), tmp_path / "new.xlsx")

    assert (
        said[0]
        == f"WorkbookError {tmp_path / 'new.xlsx'}: cannot be written: the file would be too large for this disk"
    )
    assert not list(tmp_path.iterdir())


def test_what_is_there_is_not_written_over(tmp_path: Path) -> None:
    (tmp_path / "new.xlsx").write_text("mine")

    with pytest.raises(WorkbookError, match="is there already and is not overwritten unless that is asked for"):
        write_rows(tmp_path / "new.xlsx", "nobody", lambda book: None)

    assert (tmp_path / "new.xlsx").read_text() == "mine"
