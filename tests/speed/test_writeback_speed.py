"""Writing six columns beside 20,000 rows of 40 columns, against openpyxl's load and save of the same file, in one run.

Run with `pytest tests/speed/test_writeback_speed.py -s`, or as a script; other sizes with TAUTSHEET_SPEED_ROWS.
"""

import os
import random
import subprocess
import sys
import tempfile
from pathlib import Path

import xlsxwriter

ROWS = int(os.environ.get("TAUTSHEET_SPEED_ROWS", "20000"))
COLUMNS = 40
MEMORY_LIMIT = 400
"""Peak of one process. [MiB]"""

START = """
import sys, time
from pathlib import Path
source, target, rows = Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3])
"""
END = """
print(time.perf_counter() - begin)
print(next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM")))
"""
LOAD_AND_SAVE = """
import openpyxl
begin = time.perf_counter()
book = openpyxl.load_workbook(source)
book.save(target)
"""
GATE_AND_SCAN = """
from addin.workbooks.package import open_package
from addin.workbooks.sheet_part import scan_sheet
begin = time.perf_counter()
scan = scan_sheet(open_package(source), "Joints")
assert len(scan.rows) == rows + 1
"""
WRITE_BACK = """
from addin.workbooks.writeback import OutCell, OutColumn, Style, write_columns
begin = time.perf_counter()
number, text, heading = Style("#,##0.0"), Style(wrap=True), Style(bold=True, wrap=True, fill=True)
columns = [
    OutColumn(letter, {1: OutCell(letter, heading)} | {
        row: OutCell(f"FL-{row}", text) if letter in ("AP", "AU") else OutCell(row * 1.25 + 0.1, number)
        for row in range(2, rows + 2)
    }, 12)
    for letter in ("AP", "AQ", "AR", "AS", "AT", "AU")
]
report = write_columns(source, "Joints", columns, target)
assert report.cells == 6 * (rows + 1)
"""


def make_list(path: Path) -> None:
    """A list of text, numbers and formulas with cached values."""
    generator = random.Random(1)
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Joints")
        two = book.add_format({"num_format": "0.00"})
        sheet.write_row(0, 0, [f"Heading {column}" for column in range(COLUMNS)])
        for row in range(1, ROWS + 1):
            for column in range(COLUMNS):
                kind = column % 4
                if kind == 0:
                    sheet.write_string(row, column, f"FL-{row}-{column}")
                elif kind == 1:
                    sheet.write_number(row, column, generator.random() * 1000, two)
                elif kind == 2:
                    sheet.write_number(row, column, row)
                elif column in (3, 7):
                    sheet.write_formula(row, column, f"=B{row + 1}+C{row + 1}", two, generator.random() * 100)
                else:
                    sheet.write_string(row, column, "reassembly")


def measure(code: str, source: Path, target: Path) -> tuple[float, float]:
    """Seconds and peak memory [MiB] of a process of its own, without its imports."""
    done = subprocess.run(
        [sys.executable, "-c", START + code + END, source, target, str(ROWS)],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[2],
    )
    seconds, peak = done.stdout.split()
    return float(seconds), float(peak) / 1024


def test_write_back_against_load_and_save():
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "list.xlsx"
        make_list(source)
        times = {
            name: measure(code, source, Path(folder) / f"{name}.xlsx")
            for name, code in (("load and save", LOAD_AND_SAVE), ("scan", GATE_AND_SCAN), ("write back", WRITE_BACK))
        }
    base, base_peak = times["load and save"]
    print(f"\n{ROWS} rows x {COLUMNS} columns; openpyxl load + save = 1")
    for name, (seconds, peak) in times.items():
        print(
            f"{name:14s} {seconds:7.2f} s  ratio {seconds / base:5.3f}   {peak:4.0f} MiB  ratio {peak / base_peak:5.3f}"
        )
    assert times["write back"][0] < base / 2
    assert times["write back"][1] < MEMORY_LIMIT
    assert times["scan"][1] < MEMORY_LIMIT


if __name__ == "__main__":
    test_write_back_against_load_and_save()
