"""A job of a few flanges that are planned in a moment, and what people type into its workbook."""

import datetime
import shutil
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import openpyxl

from addin.job.new import begin
from addin.job.run import JobDone, run_job
from addin.job.state import read_state
from addin.plan.file import read_plan
from addin.plan.record_joint import JointEntry
from addin.shipped import folder

TODAY = datetime.date.today().isoformat()
HEADINGS = ["Flange No.", "Operation", "Method", "Stud size", "Studs", "Grade", "Lubricant", "Torque (ft-lb)", "Date"]
HEAD = 4
"""Row of the headings of Issues."""


def edit(path: Path, change: Callable[[Any], None]) -> None:
    """Change a workbook as a person does."""
    book = openpyxl.load_workbook(path)
    change(book)
    book.save(path)


def flange(tag: str, torque: float = 431, *, method: str = "hydraulic", date: str = TODAY) -> list[Any]:
    """A row of a list."""
    return [tag, "final make-up", method, "1 1/8", 12, "A193 B7", "L-20", torque, date]


def write_list(path: Path, rows: Sequence[Sequence[Any]], headings: Sequence[str] = HEADINGS) -> None:
    """A list as a planner keeps it."""
    book = openpyxl.Workbook()
    book.worksheets[0].append(list(headings))
    for row in rows:
        book.worksheets[0].append(list(row))
    book.save(path)


def new_job(job: Path, *, only: str | None = None, **lists: Sequence[Sequence[Any]]) -> Path:
    """A job with some lists and the wrenches of the sample, begun and not yet run; `only`: the parts that it prints."""
    job.mkdir()
    shutil.copy(next(folder("samples").glob("*-wrenches.xlsx")), job)
    for name, rows in lists.items():
        write_list(job / f"{name}.xlsx", rows)
    begin(job)
    if only:
        say(job, "Parts of the pack", only)
    return job


def say(job: Path, label: str, value: str | None) -> None:
    """Type a value beside a label of the sheet Job."""

    def change(book: Any) -> None:
        sheet = book["Job"]
        row = next(row for row in range(4, sheet.max_row + 1) if sheet.cell(row, 1).value == label)
        sheet.cell(row, 2).value = value

    edit(job / "job.xlsx", change)


def beside(job: Path, number: int, name: str = "", **typed: str) -> None:
    """Type under some headings of the sheet Issues, beside an issue of a list (of each where none is named)."""
    headings = {"by": "Released by", "on": "Released on", "back": "Go back to it (x)"}

    def change(book: Any) -> None:
        sheet = book["Issues"]
        at = {cell.value: cell.column for cell in sheet[HEAD]}
        for row in range(HEAD + 1, sheet.max_row + 1):
            if sheet.cell(row, 1).value == number and name in ("", sheet.cell(row, 2).value):
                for what, text in typed.items():
                    sheet.cell(row, at[headings[what]]).value = text

    edit(job / "job.xlsx", change)


def release(job: Path, number: int, name: str = "") -> JobDone:
    """An engineer releases an issue, and the job is run."""
    beside(job, number, name, by="R. Engineer", on=TODAY)
    return run_job(job)


def joints(job: Path, name: str) -> dict[str, JointEntry]:
    """The joints of the plan of a list that holds, by tag."""
    last = read_state(job).latest(name)
    assert last is not None
    return {joint.joint: joint for joint in read_plan(job / last.plan).joints}


def scan(job: Path, file: str, *cards: tuple[JointEntry, str | None], day: str = TODAY) -> None:
    """A text of scanned keys comes back, as planned on that day."""
    (job / "records").mkdir(exist_ok=True)
    keys = [f"{joint.joint}|{joint.operation}|{card or joint.card}" for joint, card in cards]
    (job / "records" / file).write_text("\n".join(["name: crew A", f"date: {day}", *keys, ""]), encoding="utf-8")


def texts(path: Path, sheet: str) -> list[tuple[str, ...]]:
    """The rows of a sheet as texts."""
    rows = openpyxl.load_workbook(path, read_only=True)[sheet].iter_rows(values_only=True)
    return [tuple("" if cell is None else str(cell) for cell in row) for row in rows]


def messages(job: Path) -> list[str]:
    """What stands in the sheet Messages, without the time, the newest first."""
    return [f"{about}: {text}" if about else text for _, about, text in texts(job / "job.xlsx", "Messages")[1:]]


def printed(job: Path) -> dict[str, bytes]:
    """Every file of a job with its content."""
    return {path.relative_to(job).as_posix(): path.read_bytes() for path in job.rglob("*") if path.is_file()}
