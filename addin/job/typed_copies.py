"""Answers that somebody typed into a planned copy of a job, taken over into its workbook, where they belong."""

from pathlib import Path
from typing import Any

from addin.job import book as job_book
from addin.job.book import answers_workbook, read_job
from addin.job.sheets import change
from addin.job.state import Issue
from addin.job.work import NOT_ALL, Run
from addin.plan.file import read_plan
from addin.reading.answer_sheet import AnswerSheet, Line, answers_in, as_confirmed, read_answers
from addin.workbooks.file_set import sha256
from addin.workbooks.package import WorkbookError

_ANSWER, _UNIT, _CONFIRMED, _AS_CONFIRMED = 4, 5, 8, 9


def take_over(run: Run) -> None:
    """Take signed answers from the planned copies that hold; what the workbook of the job says otherwise is kept.

    Each changed copy is looked at once. The job is read anew where something was taken.
    """
    state, taken = run.state, False
    for name in dict.fromkeys(each.list_name for each in state.issues):
        last = state.latest(name)
        if last is None or not (copy := run.path(last.planned)).is_file():
            continue
        try:
            digest = sha256(copy)
            if digest == (state.copies.get(name) or read_plan(run.path(last.plan)).head.planned_copy):
                continue
            taken |= _take(run, name, last, copy)
        except WorkbookError as error:
            run.say(name, f"answers typed into {last.planned} cannot be read: {error}", code=NOT_ALL)
            continue
        if not run.waits:
            state.copies = {**state.copies, name: digest}
    if taken:
        run.take_job(read_job(run.folder))


def _take(run: Run, name: str, issue: Issue, copy: Path) -> bool:
    """Take the answers of one copy; whether the workbook of the job was changed."""
    theirs = answers_in(copy)
    mine = answers_workbook(run.job, name, run.scratch)
    if theirs is None or mine is None:
        return False
    wanted: list[tuple[Line, Line, str]] = []
    for own, other, by in _apart(read_answers(mine), theirs):
        what, said = " ".join(other.about), as_confirmed(other.answer, other.unit)
        if own is None or own.by or (read_answers(mine).by and own.answer):
            holds = "has no such line" if own is None else f"says '{as_confirmed(own.answer, own.unit)}', which is used"
            run.say(name, f"{issue.planned}, Answers!D{other.row}: {what} '{said}', but {job_book.NAME} {holds}",
                    code=NOT_ALL)  # fmt: skip
        else:
            wanted.append((own, other, by))
    if not wanted:
        return False

    def enter(book: Any) -> None:
        sheet = book[run.job.answers[name]]
        for own, other, by in wanted:
            texts = {_ANSWER: other.answer, _UNIT: other.unit, _CONFIRMED: by,
                     _AS_CONFIRMED: as_confirmed(other.answer, other.unit)}  # fmt: skip
            for column, text in texts.items():
                if text or column == _ANSWER:
                    cell = sheet.cell(own.row, column, text)
                    cell.data_type = "s"  # never a formula

    if waits := change(run.job, enter):
        run.say(name, f"answers typed into {issue.planned} are taken over by the next run: {waits}", code=NOT_ALL)
        run.waits = True
        return False
    typed = [other for own, other, _ in wanted if (own.answer, own.unit) != (other.answer, other.unit)]
    told = [f"{' '.join(other.about)}: {as_confirmed(other.answer, other.unit)}" for other in typed]
    told += [f"{len(wanted) - len(typed)} as proposed"] * (len(wanted) > len(typed))
    run.say(name, f"answers typed into {issue.planned} are taken over into {job_book.NAME}, where they belong:"
            f" {'; '.join(told)}")  # fmt: skip
    return True


def _apart(mine: AnswerSheet, theirs: AnswerSheet) -> list[tuple[Line | None, Line, str]]:
    """Signed lines of the copy that differ from ours, with ours and who signed them."""
    found: list[tuple[Line | None, Line, str]] = []
    for block in ("columns", "whole", "values", "waiting"):
        known = {each.about: each for each in getattr(mine, block)}
        for other in getattr(theirs, block):
            own = known.get(other.about)
            by = other.by or theirs.by
            if by and other.answer and (own is None or (own.answer, own.unit) != (other.answer, other.unit)):
                found.append((own, other, by))
            elif by and other.answer and own is not None and not (own.by or mine.by):
                found.append((own, other, by))  # a proposal that somebody signed
    return found
