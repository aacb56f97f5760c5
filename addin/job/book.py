"""The workbook of a job: what is stated once, the answers of its lists, its issues with their release, what was said.

A person types into Job, Answers and the last columns of Issues. After a run Issues and Messages are written anew, and
the Answers of a list that has new questions; everything else in the file stays as it is.
"""

import datetime
import hashlib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from addin.cells.numbers import Cell, error_text, is_blank, plain_text
from addin.job.state import Issue, State
from addin.job.wishes import BY_LABEL, Said, Wishes, understood
from addin.reading.answer_sheet import TAGS, read_answers
from addin.workbooks.package import WorkbookError, open_package
from addin.workbooks.shared_texts import READER_FAULTS

NAME = "job.xlsx"
_ANSWERS = re.compile(r"Answers( \d+)?")
JOB, ANSWERS, ISSUES, MESSAGES = "Job", "Answers", "Issues", "Messages"
VERSION = "job of tautsheet 1"
COLUMNS = ("Issue", "List", "Made on", "Made because", "Rows", "Planned", "Stopped", "New cards", "Replaced",
           "Withdrawn", "Not released", "No valid card", "Released by", "Released on", "Go back to it (x)",
           "Folder")  # fmt: skip
BY, ON, BACK = (
    COLUMNS.index("Released by") + 1,
    COLUMNS.index("Released on") + 1,
    COLUMNS.index("Go back to it (x)") + 1,
)
HEAD = 4
"""Row of the headings of Issues."""


@dataclass(frozen=True)
class Typed:
    """What somebody typed beside an issue: who releases it, when, an x to go back to it; and where."""

    number: int
    list_name: str
    row: int
    by: str = ""
    on: str = ""
    back: str = ""


@dataclass(frozen=True)
class JobBook:
    """A job as its workbook says it. `answers`: sheets of answers, by the name of their list."""

    path: Path
    sha256: str
    wishes: Wishes
    typed: tuple[Typed, ...] = ()
    answers: Mapping[str, str] = field(default_factory=dict)


def read_job(folder: Path) -> JobBook:
    """Read the workbook of a job. Raises WorkbookError where it is missing, damaged, or of a newer version."""
    import openpyxl

    path = folder / NAME
    if not path.is_file():
        raise WorkbookError(f"{folder}: holds no {NAME}; `tautsheet job {folder} --new` writes one")
    package = open_package(path)
    try:
        book = openpyxl.load_workbook(path, data_only=True)
    except READER_FAULTS as error:
        raise WorkbookError(f"{NAME}: cannot be read as a workbook ({type(error).__name__})") from error
    if JOB not in book.sheetnames:
        raise WorkbookError(f"{NAME}: has no sheet {JOB}")
    sheet = book[JOB]
    mark = plain_text(sheet["E1"].value)
    if mark != VERSION:
        raise WorkbookError(
            f"{NAME}: {JOB}!E1 says '{mark[:30]}', known here is '{VERSION}': it is of another version of the program"
        )
    said: dict[str, list[Said]] = {}
    faults = []
    for number, row in enumerate(sheet.iter_rows(max_col=3), 1):
        label, value, beside = (cell.value for cell in row)
        if number <= 3 or is_blank(label):
            if number > 3 and not is_blank(value):
                faults.append(f"{NAME}, {JOB}!B{number}: a value without a label in A")
            continue
        if plain_text(label).startswith("#") or is_blank(value):
            continue
        where, key = f"{NAME}, {JOB}!B{number}", plain_text(label).casefold()
        if key not in BY_LABEL:
            faults.append(
                f"{NAME}, {JOB}!A{number}: '{plain_text(label)[:40]}' is not known here; a note begins with #"
            )
        elif broken := error_text(value):
            faults.append(f"{where}: holds the error {broken}")
        else:
            said.setdefault(key, []).append(Said(_plain(value), where, plain_text(beside)))
    wishes = understood(said, folder)
    wishes.faults[:0] = faults
    typed = tuple(_typed(book[ISSUES])) if ISSUES in book.sheetnames else ()
    answers = {plain_text(book[name]["B2"].value): name for name in book.sheetnames if is_answers(name)}
    return JobBook(path, package.sha256, wishes, typed, {name: sheet for name, sheet in answers.items() if name})


def _plain(cell: Cell) -> str:
    if isinstance(cell, datetime.datetime):
        return cell.date().isoformat()
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return plain_text(cell)


def _typed(sheet: Any) -> Sequence[Typed]:
    found = []
    heads = {plain_text(cell.value): cell.column for cell in sheet[HEAD]}  # an older workbook has fewer columns
    places = [heads.get(COLUMNS[at - 1]) for at in (BY, ON, BACK)]
    for number, row in enumerate(sheet.iter_rows(min_row=HEAD + 1, max_col=len(COLUMNS)), HEAD + 1):
        issue, name = plain_text(row[0].value), plain_text(row[1].value)
        by, on, back = (_plain(row[at - 1].value) if at else "" for at in places)
        if issue.isdecimal() and name and (by or on or back):
            found.append(Typed(int(issue), name, number, by, on, back))
    return found


def is_answers(sheet: str) -> bool:
    """Whether a sheet holds the answers of a list."""
    return _ANSWERS.fullmatch(sheet) is not None


def known_of(answers: str) -> str:
    """The sheet that holds the joints known to a sheet of answers."""
    return f"{answers}, joints"


def choices_of(answers: str) -> str:
    """The sheet that holds its lists of choices."""
    return f"{answers}, choices"


def answers_workbook(book: JobBook, name: str, into: Path) -> Path | None:
    """The answers of a list as a sheet of answers of its own, as the reader of lists takes it; None without any."""
    if name not in book.answers:
        return None
    import openpyxl

    source = openpyxl.load_workbook(book.path)
    own, tags = book.answers[name], known_of(book.answers[name])
    for other in source.sheetnames:
        if other not in (own, tags):
            del source[other]
    source[own].title = ANSWERS
    if tags in source.sheetnames:
        source[tags].title = TAGS
    path = into / f"{name}-questions.xlsx"
    source.save(path)
    return path


def answers_mark(answers: Path | None) -> str:
    """A mark of what is signed in a sheet of answers; "" for nothing."""
    if answers is None:
        return ""
    sheet = read_answers(answers)
    signed = [
        line
        for block in (sheet.columns, sheet.whole, sheet.values, sheet.waiting)
        for line in block
        if line.answer and (sheet.by or line.by)
    ]
    said = sorted((line.about, line.answer, line.unit) for line in signed)  # the sheet is written anew in another order
    return hashlib.sha256(repr(said).encode()).hexdigest() if said else ""


def issue_of(state: State, typed: Typed) -> Issue | None:
    """The issue beside which something was typed."""
    return next(
        (each for each in state.issues if (each.number, each.list_name) == (typed.number, typed.list_name)), None
    )
