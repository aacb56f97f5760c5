"""Writes the workbook of a job: the sheet Job once, Issues and Messages after a run, the answers of a list when they
are new. Everything else in the file stays as it is, and the file appears whole or not at all.
"""

import contextlib
import hashlib
import os
from collections.abc import Callable, Mapping, Sequence
from copy import copy
from dataclasses import replace
from pathlib import Path
from typing import Any

from addin.job.book import (
    ANSWERS,
    BACK,
    BY,
    COLUMNS,
    HEAD,
    ISSUES,
    JOB,
    MESSAGES,
    NAME,
    ON,
    VERSION,
    JobBook,
    Typed,
    choices_of,
    known_of,
)
from addin.job.state import State
from addin.job.wishes import BOOK, LIST, ROWS
from addin.reading.answer_sheet import CHOICES, TAGS
from addin.workbooks.addresses import letters
from addin.workbooks.new_file import refusal
from addin.workbooks.package import WorkbookError, open_package

_YELLOW, _BAND = "FFF2B3", "D9E1E8"
_LOST = ("/charts/", "/drawings/", "/media/", "/pivotTables/", "/embeddings/", "/diagrams/", "vbaProject", "/slicers/")
"""Parts that are not kept when the workbook is written anew."""


def new_job(folder: Path, lists: Sequence[str], books: Sequence[str]) -> Path:
    """Write the workbook of a new job, with the lists and wrench books that were found.

    Raises WorkbookError where there is one.
    """
    import openpyxl

    folder.mkdir(parents=True, exist_ok=True)
    path = folder / NAME
    if os.path.lexists(path):
        raise WorkbookError(f"{path}: is there already; a job is never begun over another")
    book = openpyxl.Workbook()
    sheet: Any = book.active
    sheet.title = JOB
    _job_sheet(sheet, {LIST: lists, BOOK: books})
    _issues(book, State(), {})
    _messages(book, State())
    _save(book, path, before=None)
    return path


def _job_sheet(sheet: Any, found: Mapping[str, Sequence[str]]) -> None:
    from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
    from openpyxl.worksheet.datavalidation import DataValidation

    thin = Side(style="thin", color="BFBFBF")
    border, wrap = Border(left=thin, right=thin, top=thin, bottom=thin), Alignment(wrap_text=True, vertical="top")
    sheet["A1"], sheet["E1"] = "A job: its lists, wrench books and settings, stated once", VERSION
    sheet["A1"].font, sheet["E1"].font = Font(bold=True, size=14), Font(color="808080", size=8)
    sheet["A2"] = ("Fill in the yellow cells, close the file, run `tautsheet job` on its folder (or send the"
                   " folder to tautsheet). A blank cell leaves the usual. What a row of a list or its answers say goes"
                   " before this.")  # fmt: skip
    for at, text in enumerate(("What", "Value", "Sheet of the list", "What it is for"), 1):
        cell = sheet.cell(3, at, text)
        cell.font, cell.fill, cell.border = Font(bold=True), PatternFill("solid", fgColor=_BAND), border
    number = 4
    for row in ROWS:
        there = found.get(row.label, ())
        for at in range(max(row.lines, len(there))):
            sheet.cell(number, 1, row.label)
            cell = sheet.cell(number, 2, there[at] if at < len(there) else None)
            cell.number_format = "@"
            cell.fill = PatternFill("solid", fgColor=_YELLOW)
            if row.label == LIST:
                sheet.cell(number, 3).fill = PatternFill("solid", fgColor=_YELLOW)
            if at == 0:
                sheet.cell(number, 4, row.help)
                sheet.row_dimensions[number].height = 15 * (1 + len(row.help) // 95)
            for column in range(1, 5):
                sheet.cell(number, column).border, sheet.cell(number, column).alignment = border, wrap
            if row.choices:
                rule = DataValidation(
                    "list", formula1=f'"{",".join(row.choices)}"', allow_blank=True, showErrorMessage=False
                )
                sheet.add_data_validation(rule)
                rule.add(f"B{number}")
            number += 1
    for letter, width in zip("ABCDE", (32, 44, 20, 95, 22), strict=True):
        sheet.column_dimensions[letter].width = width
    sheet.freeze_panes = "A4"
    _paper(sheet)


def _paper(sheet: Any) -> None:
    sheet.page_setup.orientation, sheet.page_setup.paperSize = "landscape", 9
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True


def _fresh(book: Any, name: str) -> Any:
    """An empty sheet in the place of the one of that name."""
    at = book.sheetnames.index(name) if name in book.sheetnames else len(book.sheetnames)
    if name in book.sheetnames:
        del book[name]
    return book.create_sheet(name, at)


def _issues(book: Any, state: State, typed: Mapping[tuple[int, str], Typed]) -> None:
    from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

    sheet = _fresh(book, ISSUES)
    thin = Side(style="thin", color="BFBFBF")
    border = Border(left=thin, right=thin, top=thin, bottom=thin)
    sheet["A1"], sheet["A1"].font = "Issues: each plan of each list, the newest first", Font(bold=True, size=14)
    sheet["A2"] = ("An engineer releases an issue by name and date in the yellow cells: its new and replaced cards are"
                   " then printed. To go back to an earlier issue, type x beside it; then run the job.")  # fmt: skip
    sheet.row_dimensions[HEAD].height = 32
    for at, text in enumerate(COLUMNS, 1):
        cell = sheet.cell(HEAD, at, text)
        cell.font, cell.fill, cell.border = Font(bold=True), PatternFill("solid", fgColor=_BAND), border
        cell.alignment = Alignment(wrap_text=True, vertical="top")
    latest = {name: state.latest(name) for name in {each.list_name for each in state.issues}}
    for number, issue in enumerate(sorted(state.issues, key=lambda each: (-each.number, each.list_name)), HEAD + 1):
        signed = next((r for r in state.releases if (r.number, r.list_name) == (issue.number, issue.list_name)), None)
        own = typed.get((issue.number, issue.list_name), Typed(issue.number, issue.list_name, number))
        waiting, holds = len(state.waiting(issue)), latest[issue.list_name] is issue
        values = (
            issue.number, issue.list_name, issue.made_on, issue.why, issue.rows, issue.planned_rows, issue.stopped,
            issue.new, issue.replaced, len(issue.withdrawn), waiting, len(state.without_card(issue)) if holds else 0,
            signed.by if signed else own.by,
            signed.on if signed else own.on, own.back, str(Path(issue.plan).parent),
        )  # fmt: skip
        for at, value in enumerate(values, 1):
            cell = sheet.cell(number, at, value if value != "" else None)
            cell.border = border
            if isinstance(value, str) and value:
                cell.data_type = "s"  # never a formula
        for at in (BY, ON) if holds and waiting and not signed else (BACK,) if not holds else ():
            sheet.cell(number, at).fill = PatternFill("solid", fgColor=_YELLOW)
        if not holds:
            for at in range(1, BY):
                sheet.cell(number, at).font = Font(color="808080")
    for at, width in enumerate((7, 28, 17, 36, 7, 9, 9, 10, 10, 11, 10, 10, 24, 13, 13, 34), 1):
        sheet.column_dimensions[letters(at)].width = width
    sheet.freeze_panes = sheet.cell(HEAD + 1, 3)
    _paper(sheet)


def _messages(book: Any, state: State) -> None:
    from openpyxl.styles import Alignment, Font, PatternFill

    sheet = _fresh(book, MESSAGES)
    for at, text in enumerate(("When", "About", "What"), 1):
        cell = sheet.cell(1, at, text)
        cell.font, cell.fill = Font(bold=True), PatternFill("solid", fgColor=_BAND)
    last = state.messages[0].when if state.messages else ""
    for number, message in enumerate(state.messages, 2):
        for at, text in enumerate((message.when, message.about, message.text), 1):
            cell = sheet.cell(number, at, text)
            cell.data_type, cell.alignment = "s", Alignment(wrap_text=True, vertical="top")
            if message.when != last:
                cell.font = Font(color="808080")
    for column, width in zip("ABC", (17, 28, 120), strict=True):
        sheet.column_dimensions[column].width = width
    sheet.freeze_panes = "A2"
    _paper(sheet)


def bring_up_to_date(job: JobBook, state: State, questions: Mapping[str, tuple[Path, str]]) -> str | None:
    """Write Issues, Messages and new questions into the workbook; a line where that has to wait for the next run.

    questions : sheets of answers by the name of their list, each in a workbook of its own, and the sheet it becomes.
    """
    import openpyxl

    if waits := not_to_be_written(job):
        return waits
    book = openpyxl.load_workbook(job.path)
    answered = {(each.number, each.list_name) for each in job.typed if each.back}
    _issues(
        book,
        state,
        {
            (each.number, each.list_name): replace(each, back="") if (each.number, each.list_name) in answered else each
            for each in job.typed
        },
    )
    for name, (path, title) in questions.items():
        _take_answers(book, name, path, title)
    _messages(book, state)
    book.move_sheet(MESSAGES, len(book.sheetnames) - 1 - book.sheetnames.index(MESSAGES))
    book.active = book.sheetnames.index(MESSAGES)  # what whoever opens it sees first
    for sheet in book.worksheets:
        sheet.sheet_view.tabSelected = sheet.title == MESSAGES
    return _save(book, job.path, before=job.sha256)


def not_to_be_written(job: JobBook) -> str | None:
    """Why the workbook of a job cannot be written now; None where it can."""
    for lock in (f".~lock.{NAME}#", f"~${NAME}"):
        if (job.path.parent / lock).exists():
            return f"{NAME} is open in another program: its sheets are brought up to date by the next run"
    lost = [name for name in open_package(job.path).parts if any(part in f"/{name}" for part in _LOST)]
    if lost:
        return f"{NAME} holds what would be lost if it were written again ({lost[0]}): move that elsewhere"
    return None


def change(job: JobBook, enter: Callable[[Any], None]) -> str | None:
    """Change cells of the workbook of a job; a line where that has to wait for the next run."""
    import openpyxl

    if waits := not_to_be_written(job):
        return waits
    book = openpyxl.load_workbook(job.path)
    enter(book)
    return _save(book, job.path, before=job.sha256)


def _take_answers(book: Any, name: str, path: Path, title: str) -> None:
    """Copy the sheet of answers of a list, with its lists of choices, into the workbook of the job."""
    import openpyxl

    source = openpyxl.load_workbook(path)
    looks: dict[Any, Any] = {}  # how a cell looks here, by how it looks there: few looks, many cells
    for own, theirs in ((title, ANSWERS), (known_of(title), TAGS), (choices_of(title), CHOICES)):
        if theirs not in source.sheetnames:
            continue
        there: Any = source[theirs]
        new = _fresh(book, own)
        for row in there.iter_rows():
            for cell in row:
                made: Any = new.cell(cell.row, cell.column, cell.value)
                if cell._style in looks:
                    made._style = copy(looks[cell._style])
                elif cell.has_style:
                    made.font, made.fill, made.border = copy(cell.font), copy(cell.fill), copy(cell.border)
                    made.alignment, made.number_format = copy(cell.alignment), cell.number_format
                    looks[cell._style] = copy(made._style)
                if isinstance(cell.value, str):
                    made.data_type = "s"
        for column, about in there.column_dimensions.items():
            new.column_dimensions[column].width, new.column_dimensions[column].hidden = about.width, about.hidden
        for at, line in there.row_dimensions.items():
            new.row_dimensions[at].height = line.height
        for area in there.merged_cells.ranges:
            new.merge_cells(str(area))
        for rule in there.data_validations.dataValidation:
            rule = copy(rule)
            rule.formula1 = (rule.formula1 or "").replace(f"'{CHOICES}'!", f"'{choices_of(title)}'!")
            new.add_data_validation(rule)
        new.freeze_panes, new.sheet_state = there.freeze_panes, there.sheet_state
        if own == title:
            new["B2"] = name
            _paper(new)


def _save(book: Any, path: Path, *, before: str | None) -> str | None:
    """Replace the workbook whole, unless it has changed since it was read."""
    new = path.with_name(f".{path.name}.new")
    try:
        book.save(new)
        with new.open("rb") as file:
            os.fsync(file.fileno())
        if before is not None and hashlib.sha256(path.read_bytes()).hexdigest() != before:
            new.unlink()
            return f"{NAME} was changed during the run: its sheets are brought up to date by the next run"
        os.replace(new, path)
    except OSError as error:
        with contextlib.suppress(OSError):
            new.unlink()
        if before is None:
            raise refusal(path, error) from error
        return f"{NAME} cannot be written ({error.strerror}): its sheets are brought up to date by the next run"
    return None
