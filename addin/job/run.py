"""Does what is due in the folder of a job: plans lists that changed, honours releases, prints, takes records back."""

import datetime
import hashlib
import shutil
from contextlib import suppress
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import msgspec

from addin.cards.issue import WantedParts
from addin.cards.language import Words
from addin.cards.selection import Selection
from addin.forms.tokens import TemplateError
from addin.job import book as job_book
from addin.job.book import Typed, issue_of, read_job
from addin.job.planning import plan_due
from addin.job.sheets import bring_up_to_date
from addin.job.state import Issue, Release, read_state, write_state
from addin.job.typed_copies import take_over
from addin.job.wishes import list_name
from addin.job.work import DONE, NOT_ALL, Run
from addin.tasks import take_records, write_pack
from addin.workbooks.file_set import sha256
from addin.workbooks.folder_lock import FolderLock
from addin.workbooks.new_file import refusal
from addin.workbooks.package import WorkbookError
from addin.workbooks.plain_file import scratch_folder
from calc.review.as_tightened import AGREES, REVIEW

CARDS, HANDOVER = "cards", "hand-over"


@dataclass
class JobDone:
    """What a run did: lines for the screen, all that was said, and the exit code of the worst of its lists."""

    lines: list[str]
    said: list[tuple[str, str]]
    code: int


def run_job(folder: Path) -> JobDone:
    """Do what is due in the folder of a job. Nothing is written where nothing has changed.

    Raises WorkbookError where the job itself cannot be read.
    """
    folder = Path(folder)
    try:
        with FolderLock(folder), scratch_folder("tautsheet-job-") as scratch:
            job, state = read_job(folder), read_state(folder)
            before = msgspec.json.encode(state)
            run = Run(folder, job, state, scratch)
            _leftovers(run)
            take_over(run)
            _releases(run)
            state.no_release = run.wishes.no_release
            plan_due(run)
            if msgspec.json.encode(state) != before:
                write_state(folder, state)  # who released what is read by whoever prints
            _print(run)
            _record(run)
            _close(run, before)
            return JobDone(run.lines, run.said, run.code)
    except OSError as error:
        raise refusal(folder, error) from error


def _leftovers(run: Run) -> None:
    """Folders that a stopped run left unfinished."""
    for path in run.folder.glob(".issue-*.new"):
        shutil.rmtree(path, ignore_errors=True)


# --- release, and going back ------------------------------------------------------------------------------------------


def _releases(run: Run) -> None:
    """Take over releases that were typed: who, and when."""
    state = run.state
    known = {(each.number, each.list_name) for each in state.releases}
    for typed in run.job.typed:
        where = f"{job_book.NAME}, {job_book.ISSUES}!L{typed.row}"
        if (typed.number, typed.list_name) in known or not (typed.by or typed.on):
            continue
        if issue_of(state, typed) is None:
            run.say(typed.list_name, f"{where}: there is no issue {typed.number} of this list", code=NOT_ALL)
        elif why := _unsigned(typed, run.when.date()):
            run.say(typed.list_name, f"{where}: {why}; not released", code=NOT_ALL)
        else:
            state.releases += (Release(number=typed.number, list_name=typed.list_name, by=typed.by, on=typed.on),)
            run.say(typed.list_name, f"issue {typed.number:03} is released by {typed.by}, {typed.on}")


def _unsigned(typed: Typed, today: datetime.date) -> str | None:
    """Why a release does not count; None where it does."""
    if not typed.by:
        return "the release has a date but no name"
    if not typed.on:
        return "the release has a name but no date"
    try:
        day = datetime.date.fromisoformat(typed.on)
    except ValueError:
        return f"'{typed.on[:30]}' is no date; type it like 2026-03-14"
    if day > today + datetime.timedelta(days=1):
        return f"{typed.on} lies ahead; type the day on which somebody released it"
    return None


# --- printing ---------------------------------------------------------------------------------------------------------


def _print(run: Run) -> None:
    """Print what is released and not printed yet: the whole pack first, then what changed since it was printed."""
    wishes, state = run.wishes, run.state
    missing = [path for path in (*wishes.forms.values(), wishes.second) if path and not path.is_file()]
    for path in missing:
        kind = "table of words" if path == wishes.second else "own form"
        run.say(path.name, f"{kind} {path} is not there: nothing is printed", code=NOT_ALL)
    for name in dict.fromkeys(each.list_name for each in state.issues):
        last = state.latest(name)
        assert last is not None
        waiting = [] if wishes.no_release else state.waiting(last)
        if waiting:
            run.say(name, f"issue {last.number:03}: {len(waiting)} cards wait for a release: name and date in the sheet"
                    f" {job_book.ISSUES}", code=NOT_ALL)  # fmt: skip
            continue
        printed, as_wanted = state.printed.get(name), state.printed_as.get(name) == wishes.pack_mark
        if missing or wishes.faults or not (last.cards or printed) or (printed == last.number and as_wanted):
            continue  # nothing to print, or nothing yet
        before = next((each for each in state.of_list(name) if each.number == printed), None)
        _pack(run, last, before if as_wanted else None)


def _pack(run: Run, issue: Issue, before: Issue | None) -> None:
    wishes = run.wishes
    out = run.path(issue.plan).parent / CARDS
    old = run.path(before.plan) if before else None
    try:
        wanted = WantedParts(
            wishes.only, Selection(by=wishes.by), wishes.forms, wishes.paper, wishes.both, wishes.single,
            words=Words(wishes.second, beside=wishes.beside) if wishes.second else None,
        )  # fmt: skip
        done = write_pack(run.path(issue.plan), out, wanted, old_plan=old, pdf=wishes.pdf, overwrite=out.exists())
    except (WorkbookError, TemplateError) as error:
        run.say(issue.list_name, f"not printed: {error}", code=NOT_ALL)
        return
    refused = [*done.issued.refused, *(each for report in done.issued.reports.values() for each in report.refused)]
    for tag, operation, why in refused:
        run.say(issue.list_name, f"no card: {tag} {operation}: {why}", code=NOT_ALL, shown=False)
    for text in (*done.issued.without, *done.notes, *filter(None, [done.unprinted])):
        run.say(issue.list_name, text, shown=False)
    cards = sum(
        len(report.cards)
        for part, report in done.issued.reports.items()
        if part in ("cards", "break-out", "retightening")
    )
    since = f", those that changed since issue {before.number:03}" if before else ""
    signed = f"; no release is asked, decided by {wishes.no_release}" if wishes.no_release else ""
    run.say(issue.list_name, f"{cards} cards in {out.relative_to(run.folder)}{since}{signed}")
    run.state.printed = {**run.state.printed, issue.list_name: issue.number}
    run.state.printed_as = {**run.state.printed_as, issue.list_name: wishes.pack_mark}


# --- records ----------------------------------------------------------------------------------------------------------


def _record(run: Run) -> None:
    """Hold new records against the plans that hold, and write the hand-over of each list."""
    state, wishes, files = run.state, run.wishes, run.records()
    latest = {name: last for path, _ in wishes.lists if (last := state.latest(name := list_name(path)))}
    numbers = [(name, last.number) for name, last in latest.items()]
    inside = [(path.name, sha256(path)) for path in files]
    for name, last in latest.items() if files else ():
        mark = hashlib.sha256(repr([name, numbers, inside]).encode()).hexdigest()
        if state.recorded.get(name) == mark:
            continue
        issues = state.of_list(name)
        try:
            done = take_records(
                run.path(last.plan), files, run.folder / HANDOVER,
                books=[path for path in wishes.books if path.is_file()],
                beside=run.plans_beside(name),
                kept=[
                    (old_plan, new.made_on[:10])
                    for old, new in pairwise(issues)
                    if (old_plan := run.path(old.plan)).is_file()
                ],
                about=wishes.words, paper=wishes.paper or "A4", overwrite=True,
            )  # fmt: skip
        except WorkbookError as error:
            run.say(name, f"records not taken: {error}", code=NOT_ALL)
            continue
        report = done.report
        states = [each.status for each in report.rows]
        left = sum(each.left for each in report.rows)
        for item in report.refused:
            run.say(name, item.text, code=NOT_ALL, shown=False)
        unread = f", {len(report.refused)} rows not read (Messages says why)" if report.refused else ""
        run.say(name, f"records: {states.count(AGREES)} agree, {states.count(REVIEW)} to review, {left} open{unread};"
                f" {HANDOVER}/{done.handover.name}", code=DONE if report.clean else NOT_ALL)  # fmt: skip
        for text in done.notes:
            run.say(name, text, shown=False)
        state.recorded = {**state.recorded, name: mark}


# --- the end ----------------------------------------------------------------------------------------------------------


def _close(run: Run, before: bytes) -> None:
    """Remember, and bring the workbook up to date where there is something new."""
    state = run.state
    newest = state.messages[0].when if state.messages else ""
    known = {(each.about, each.text) for each in state.messages if each.when == newest}
    changed = msgspec.json.encode(state) != before or any(each.back for each in run.job.typed)
    if not (changed or state.behind or set(run.said) - known):
        if not run.lines:
            run.lines.append("nothing has changed")
        return
    when = f"{run.when:%Y-%m-%d %H:%M:%S}"
    for about, text in reversed(run.said):
        state.say(when, about, [text])
    state.behind = False
    if waits := bring_up_to_date(run.job, state, run.questions):
        run.lines.append(waits)
        state.behind = True
        _aside(run)
    write_state(run.folder, state)


def _aside(run: Run) -> None:
    """The messages in a text file beside the last issue, where the workbook cannot take them now."""
    newest = max((each.number for each in run.state.issues), default=0)
    folder = run.folder / f"issue {newest:03}" if newest else run.folder
    text = "".join(f"{about}: {said}\n" if about else f"{said}\n" for about, said in run.said)
    path = folder / f"messages {run.when:%Y-%m-%d %H%M%S}.txt"
    with suppress(OSError):
        path.write_text(text, encoding="utf-8")
        run.lines.append(f"messages: {path.relative_to(run.folder)}")
