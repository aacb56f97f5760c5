"""A planned list with a crew board, worked in and planned three times; what the office program then shows.

`python tests/second_plan_in_calc.py FOLDER`: the board on another sheet and a column of the list read our pressures and
have old stored values; the office program opens each copy, and its values are compared with those of the list.
"""

import subprocess
import sys
from pathlib import Path

import openpyxl

from addin.shipped import folder

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"
HEAD = ["Joint", "Operation", "Method", "Stud size", "No. of studs", "Grade", "Stress (psi)", "Stress area",
        "Across flats (mm)", "Lubricant", "Date"]  # fmt: skip


def make(path: Path) -> None:
    """A list of six joints; its board is put in once the results stand."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Joints"
    sheet.append(HEAD)
    for number in range(1, 7):
        bolting = ["1 1/2-8", 16, "A193 B7", 30000 + 4000 * number, "root B1.1", 60, "L-20"]
        sheet.append([f"V-{number}", "final make-up", "hydraulic", *bolting, "2026-09-14"])
    book.create_sheet("Board")
    book.save(path)


def plan(source: Path, out: Path, *more: str) -> str:
    command = [sys.executable, "-m", "addin", "plan", source, "--wrenches", BOOK, "--out", out, "--overwrite", *more]
    done = subprocess.run([str(each) for each in command], capture_output=True, text=True)
    assert done.returncode in (0, 1), done.stderr
    return done.stdout


def calculated(path: Path) -> Path:
    """A copy that the office program has opened and saved; it recalculates nothing that has a stored value."""
    out = path.parent / "calc"
    subprocess.run(["soffice", "--headless", "--convert-to", "xlsx", "--outdir", out, path], check=True,
                   capture_output=True)  # fmt: skip
    return out / path.name


def heads(path: Path) -> dict[str, str]:
    sheet = openpyxl.load_workbook(path)["Joints"]
    return {str(cell.value).partition(" (")[0]: cell.column_letter for cell in sheet[1]}


def shown(path: Path) -> tuple[list[object], list[object], list[object]]:
    """Pressures beside the list, on the board, and twice them in the planner's own column, as calculated."""
    book = openpyxl.load_workbook(path, data_only=True)
    column = heads(path)["Pressure to set"]
    own = heads(path)["Twice"]
    board = [book["Board"][f"B{row}"].value for row in range(2, 8)]
    rows = range(2, 8)
    return (
        [book["Joints"][f"{column}{r}"].value for r in rows],
        board,
        [book["Joints"][f"{own}{r}"].value for r in rows],
    )


def main() -> None:
    where = Path(sys.argv[1])
    where.mkdir(parents=True, exist_ok=True)
    source, copy = where / "list.xlsx", where / "out" / "list-planned.xlsx"
    make(source)
    plan(source, where / "out")
    at = heads(copy)
    column, last = at["Pressure to set"], len(at) + 2
    book = openpyxl.load_workbook(copy)
    sheet, board = book["Joints"], book["Board"]
    sheet.cell(1, last).value = "Twice"
    for row in range(2, 8):
        sheet.cell(row, last).value = f"={column}{row}*2"
        board[f"A{row}"], board[f"B{row}"] = f"=Joints!A{row}", f"=Joints!{column}{row}"
    board["B9"] = f"=MAX(Joints!{column}2:{column}7)"
    book.save(copy)
    fresh = calculated(copy)
    fresh.replace(copy)  # stored values, as a planner's program leaves them
    print("before:", *shown(copy), sep="\n  ")
    for number, stress in enumerate((52000, 36000, 44000), 1):
        book = openpyxl.load_workbook(copy)
        for row in range(2, 8):
            book["Joints"][f"G{row}"] = stress - 1000 * row
        stored = openpyxl.load_workbook(copy, data_only=True)["Board"]["B2"].value
        book.save(copy)
        calculated(copy).replace(copy)
        said = plan(copy, where / "out")
        print(f"plan {number}: stored before {stored}")
        print(*(f"  {line}" for line in said.splitlines() if line.startswith("note: ")), sep="\n")
        parts = shown(copy)
        assert parts[1] == [None] * 6, "an old pressure stands on the board"
        assert parts[2] == [None] * 6, "an old pressure stands in the planner's column"
        after = shown(calculated(copy))
        halves = [value / 2 if isinstance(value, (int, float)) else value for value in after[2]]  # #N/A stays one
        assert after[0] == after[1] == halves, after
        print("  calculated:", *after, sep="\n    ")
        calculated(copy).replace(copy)


if __name__ == "__main__":
    main()
