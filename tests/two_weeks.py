"""A job of three lists and two wrench books through two weeks, told by what each run says.

`python tests/two_weeks.py FOLDER`: only the command `tautsheet job FOLDER` is ever run; everything else is what people
type into workbooks. Each step prints the lines of the run and its exit code; what must hold there is asserted.
"""

import datetime
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl

from addin.plan.file import read_plan
from addin.shipped import folder

TODAY = datetime.date.today()
SAMPLES = folder("samples")
HEAD_ROW = 5
runs = 0


def run(job: Path, what: str, *more: str, code: int | None = None) -> str:
    """One run of the command."""
    global runs
    runs += 1
    command = [sys.executable, "-m", "addin", "job", str(job), *more]
    done = subprocess.run(command, capture_output=True, text=True)
    said = done.stdout + done.stderr
    print(f"\n== {what}: exit {done.returncode}")
    print(*(f"   {line}" for line in said.splitlines()), sep="\n")
    assert "Traceback" not in said
    assert code is None or done.returncode == code, f"exit {done.returncode}"
    return said


def edit(path: Path, change: Callable[[Any], None]) -> None:
    book = openpyxl.load_workbook(path)
    change(book)
    book.save(path)


def lists(job: Path) -> None:
    """North and south: parts of the sample list; night: a list without operation and method, as strangers keep it."""
    for name, first, last in (("north", HEAD_ROW + 1, HEAD_ROW + 14), ("south", HEAD_ROW + 15, HEAD_ROW + 27)):
        book = openpyxl.load_workbook(SAMPLES / "drigrauvex-joints.xlsx")
        sheet = book["Joints"]
        sheet.delete_rows(last + 1, sheet.max_row)
        if first > HEAD_ROW + 1:
            sheet.delete_rows(HEAD_ROW + 1, first - HEAD_ROW - 1)
        crew = sheet.max_column + 1
        sheet.cell(HEAD_ROW, crew).value = "Crew"
        for row in range(HEAD_ROW + 1, sheet.max_row + 1):
            sheet.cell(row, crew).value = "AB"[row % 2]
        book.save(job / f"{name}.xlsx")
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.append(["Flange", "Stud size", "No. of studs", "Grade", "Torque (ft-lb)", "Lubricant", "Date"])
    for number in range(1, 5):
        sheet.append([f"NF-{number}", "1 1/8", 12, "A193 B7", 431, "L-20", "2026-10-20"])
    book.save(job / "night.xlsx")


def books(job: Path) -> None:
    """The sample's wrenches in two books."""
    for name, mine in (("large", ("HW-1", "HW-2", "HW-3", "HW-4")), ("small", ("HW-5", "HW-6", "HW-7", "HW-8"))):
        book = openpyxl.load_workbook(SAMPLES / "drigrauvex-wrenches.xlsx")
        for sheet in list(book):
            if sheet.title.startswith("HW-") and sheet.title not in mine:
                del book[sheet.title]
        if name == "small":
            del book["Lubricants"]
            del book["Gauges"]
        book.save(job / f"{name}.xlsx")


def issues(job: Path) -> list[tuple[int, int, str]]:
    """Row, number and list of each issue, the newest first."""
    sheet = openpyxl.load_workbook(job / "job.xlsx")["Issues"]
    return [(row, sheet.cell(row, 1).value, sheet.cell(row, 2).value) for row in range(5, sheet.max_row + 1)]


def release(job: Path, number: int) -> None:
    def sign(book: Any) -> None:
        for row, issue, _ in issues(job):
            if issue == number:
                book["Issues"].cell(row, 13).value = "R. Engineer"
                book["Issues"].cell(row, 14).value = "2026-09-28"  # before any work

    edit(job / "job.xlsx", sign)


def say(job: Path, label: str, value: str) -> None:
    def change(book: Any) -> None:
        sheet = book["Job"]
        row = next(row for row in range(4, sheet.max_row + 1)
                   if sheet.cell(row, 1).value == label and sheet.cell(row, 2).value in (None, ""))  # fmt: skip
        sheet.cell(row, 2).value = value

    edit(job / "job.xlsx", change)


def answer(job: Path) -> None:
    """Fill the yellow cells of the answers of night."""

    def change(book: Any) -> None:
        for name in [name for name in book.sheetnames if name.startswith("Answers") and "," not in name]:
            sheet = book[name]
            if sheet["B2"].value != "night":
                continue
            for row in range(1, sheet.max_row + 1):
                about = str(sheet.cell(row, 1).value)
                if about in ("operation", "method"):
                    sheet.cell(row, 4).value = {"operation": "final make-up", "method": "hydraulic"}[about]
            sheet["B3"].value, sheet["D3"].value = "P. Planner", TODAY.isoformat()

    edit(job / "job.xlsx", change)


def scans(job: Path, name: str, day: str, wanted: Callable[[Any], bool]) -> int:
    """A text of scanned keys: the joints of a list that were done as planned."""
    last = max(number for _, number, each in issues(job) if each == name)
    plan = read_plan(job / f"issue {last:03}" / name / f"{name}-plan.json")
    keys = [f"{joint.joint}|{joint.operation}|{joint.card}" for joint in plan.joints if joint.card and wanted(joint)]
    if not keys:
        return 0
    (job / "records").mkdir(exist_ok=True)
    text = "\n".join([f"name: crew of {name}", f"date: {day}", *keys])
    (job / "records" / f"{name} {day} {len(keys)}.txt").write_text(f"{text}\n", encoding="utf-8")
    return len(keys)


def main() -> None:
    job = Path(sys.argv[1])
    job.mkdir(parents=True)
    lists(job)
    books(job)
    run(job, "day 1, the job is begun", "--new", code=0)
    said = run(job, "day 1, first plan: night asks", code=2)
    assert "night: not planned, open questions" in said
    answer(job)
    say(job, "Breakout factor", "1.5")
    said = run(job, "day 1, night is answered", code=1)
    assert "night: issue 002" in said
    said = run(job, "day 1, nothing has changed")
    for number in {number for _, number, _ in issues(job)}:
        release(job, number)
    said = run(job, "day 2, the engineer releases")
    assert "is released by R. Engineer" in said
    assert (job / "issue 002" / "north" / "cards").is_dir()
    for number, day in enumerate(("2026-10-08", "2026-10-10", "2026-10-11", "2026-10-12", "2026-10-14"), 3):
        count = sum(scans(job, name, day, lambda joint, day=day: joint.date == day) for name in ("north", "south"))
        run(job, f"day {number}, {count} scanned keys came back")
    say(job, "Wrench not used", "HW-2")
    said = run(job, "day 8, HW-2 is out of service")
    latest = max(number for _, number, _ in issues(job))
    release(job, latest)
    run(job, "day 8, released")

    def revise(book: Any) -> None:
        sheet = book["Joints"]
        at = next(cell.column for cell in sheet[HEAD_ROW] if cell.value == "Studs")
        sheet.cell(HEAD_ROW + 4, at).value += 4

    edit(job / "south.xlsx", revise)
    said = run(job, "day 9, south is revised")
    assert "no valid card for" in said
    number = max(number for _, number, name in issues(job) if name == "south")
    before = sorted({number for _, number, name in issues(job) if name == "south"})[-2]

    def back(book: Any) -> None:
        row = next(row for row, issue, name in issues(job) if (issue, name) == (before, "south"))
        book["Issues"].cell(row, 15).value = "x"

    edit(job / "job.xlsx", back)
    said = run(job, "day 10, back to the issue before")
    assert f"is issue {before:03} again" in said
    assert number < max(number for _, number, name in issues(job) if name == "south")
    first = sorted((job / "records").glob("north*.txt"))[0]
    (job / "records" / f"again {first.name}").write_bytes(first.read_bytes())
    said = run(job, "day 11, a record came twice")
    scans(job, "night", "2026-10-20", lambda joint: True)
    for name in ("north", "south"):
        scans(job, name, "2026-10-21", lambda joint: joint.date > "2026-10-14")
    run(job, "day 12, the rest is done: hand-over")
    assert [path.name for path in (job / "hand-over").glob("*.xlsx")] == ["job-hand-over.xlsx"]
    run(job, "day 14, nothing has changed")
    print(f"\n{runs} runs; options typed: --new once, none otherwise")


if __name__ == "__main__":
    main()
