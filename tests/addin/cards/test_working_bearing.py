"""The working says where the mean friction diameter under the nut comes from: no list gives it."""

from pathlib import Path

import openpyxl
from click.testing import CliRunner

from addin.cli import main
from addin.shipped import folder

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"
HEAD = ["Joint", "Operation", "Method", "Stud size", "Studs", "Grade", "Nut series", "Across flats (mm)", "Load (kN)",
        "Thread friction", "Nut friction", "Friction source", "Date"]  # fmt: skip
ROW = [
    "F-1",
    "final make-up",
    "hydraulic",
    "M39x4",
    20,
    "A193 B7",
    "ISO 4032",
    60,
    285,
    0.12,
    0.12,
    "data sheet",
    "2026-10-20",
]


def test_the_bearing_diameter_is_said_to_be_made_of_the_nut(tmp_path: Path) -> None:
    """De = (60 mm + 42 mm)/2 = 51 mm: flats of the nut, medium clearance hole of M39 (ISO 273, from memory)."""
    book = openpyxl.Workbook()
    for line in (HEAD, ROW):
        book.worksheets[0].append(line)
    book.save(tmp_path / "list.xlsx")

    def run(*arguments: object) -> str:
        return CliRunner().invoke(main, [str(each) for each in arguments], catch_exceptions=False).output

    planned = run("plan", tmp_path / "list.xlsx", "--wrenches", BOOK, "--out", tmp_path / "out")
    assert (tmp_path / "out" / "list-plan.json").is_file(), planned
    said = run("pack", tmp_path / "out" / "list-plan.json", "--out", tmp_path / "pack", "--only", "working")
    pages = openpyxl.load_workbook(next((tmp_path / "pack").glob("*working.xlsx"))), said
    rows = [[cell.value for cell in row if cell.value is not None] for sheet in pages[0] for row in sheet.iter_rows()]
    (line,) = [row for row in rows if "bearing diameter" in row]
    assert "mean of nut across flats and stud hole, 60 and 42 mm (PCC-1 form); not given by the list" in line
    assert "given" not in line
