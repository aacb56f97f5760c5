"""Cards of some rows of a list, when somebody asks for them: those that the list's last issue gave."""

from pathlib import Path

from addin.cards.issue import WantedParts
from addin.cards.language import Words
from addin.cards.selection import Selection
from addin.forms.tokens import TemplateError
from addin.job.book import NAME, read_job
from addin.job.run import JobDone
from addin.job.state import Issue, State, read_state
from addin.job.work import DONE, NOT_ALL, Run
from addin.plan.file import read_plan
from addin.tasks import write_pack
from addin.workbooks.folder_lock import FolderLock
from addin.workbooks.new_file import refusal
from addin.workbooks.package import WorkbookError
from addin.workbooks.plain_file import scratch_folder

CARDS_OF_ROWS = "cards of rows"
"""The folder of an issue in which they are written."""
_PARTS = ("cards", "break-out", "retightening")


def job_folder(path: Path) -> Path:
    """The folder of the job that a path stands for: itself, or that of a list or of a planned copy in it."""
    folder = path.parent if path.is_file() else path
    return folder.parent if not (folder / NAME).exists() and (folder.parent / NAME).exists() else folder


def print_rows(file: Path, rows: tuple[int, ...]) -> JobDone:
    """Print the cards of rows of a list, or of its planned copy, as its last issue has them.

    Raises WorkbookError where the list has no issue, the rows have no joint, or the job cannot be read.
    """
    folder = job_folder(file)
    try:
        with FolderLock(folder), scratch_folder("tautsheet-job-") as scratch:
            state = read_state(folder)
            issue = _last_issue(state, file)
            run = Run(folder, read_job(folder), state, scratch)
            content = read_plan(run.path(issue.plan))
            known = {joint.row for joint in content.joints}
            wanted = tuple(row for row in rows if row in known)
            if not wanted:
                raise WorkbookError(
                    f"{file.name}: {_named(rows)} of the list: no joint of issue {issue.number:03} stands there"
                )
            out, wishes = run.path(issue.plan).parent / CARDS_OF_ROWS, run.wishes
            done = write_pack(run.path(issue.plan), out, WantedParts(
                _PARTS, Selection(rows=wanted), wishes.forms, wishes.paper, wishes.both, wishes.single,
                words=Words(wishes.second, beside=wishes.beside) if wishes.second else None,
            ), overwrite=out.exists())  # fmt: skip
    except TemplateError as error:
        raise WorkbookError(str(error)) from error
    except OSError as error:
        raise refusal(folder, error) from error
    reports = done.issued.reports.values()
    cards = sum(len(report.cards) for report in reports)
    named = f"{cards} {'card' if cards == 1 else 'cards'} in {out.relative_to(folder)}" if cards else "no card"
    lines = [f"issue {issue.number:03}, {_named(wanted)}: {named}"]
    refused = [*done.issued.refused, *(each for report in reports for each in report.refused)]
    lines += [f"no card: {tag} {operation}: {why}" for tag, operation, why in (*refused, *done.issued.skipped)]
    if nothing := tuple(row for row in rows if row not in known):
        lines.append(f"no card: {_named(nothing)}: no joint of the list stands there")
    lines += [*done.issued.without, *done.notes]
    waiting = (
        [] if wishes.no_release else set(state.waiting(issue)) & {j.card for j in content.joints if j.row in wanted}
    )
    if waiting:
        lines.append(f"{len(waiting)} of them wait for a release: they are drafts without a figure to set")
    left = bool(refused or done.issued.skipped or nothing or waiting)
    return JobDone(lines, [(issue.list_name, line) for line in lines], NOT_ALL if left else DONE)


def _last_issue(state: State, file: Path) -> Issue:
    """The issue that holds for a list, or for the list that a planned copy is of."""
    names = dict.fromkeys(each.list_name for each in state.issues)
    for last in filter(None, map(state.latest, names)):
        if file.stem == last.list_name or file.name == Path(last.planned).name:
            return last
    raise WorkbookError(f"{file.name}: this job has no issue of it yet; plan the list first")


def _named(rows: tuple[int, ...]) -> str:
    few = ", ".join(map(str, rows[:6])) + (f" and {len(rows) - 6} more" if len(rows) > 6 else "")
    return f"{'row' if len(rows) == 1 else 'rows'} {few}"
