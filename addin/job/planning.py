"""Plans the lists of a job that changed, each in a process of its own, and goes back to an earlier issue."""

import hashlib
import os
import shutil
from collections.abc import Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, replace
from multiprocessing import get_all_start_methods, get_context
from pathlib import Path
from typing import Any

import msgspec

from addin.cells.words import line
from addin.job import book as job_book
from addin.job.book import Typed, answers_mark, issue_of
from addin.job.state import ISSUE, VERSION, Asked, Issue, IssueFile, write_json
from addin.job.wishes import list_name
from addin.job.work import CANNOT, DONE, NOT_ALL, Run
from addin.plan.file import read_plan
from addin.plan.list_settings import OF_ROWS, ListSettings
from addin.plan.planned_list import not_in_book
from addin.plan.record import SinceEntry
from addin.plan.since import since_plan
from addin.plan.where_from import ANSWERS, FACTS, STATED, TakenFrom
from addin.reading.answer_sheet import read_answers
from addin.reading.understood import shown_name
from addin.records.known_cards import in_two_lists
from addin.tasks import OpenQuestionsError, plan_list
from addin.workbooks.addresses import letters
from addin.workbooks.file_set import sha256
from addin.workbooks.package import WorkbookError
from addin.wrenches.wrench_book import read_wrench_book
from calc.findings import InputError
from calc.units import system

ROWS_WAIT = "some rows wait: look at the yellow lines of {}, sheet {}, sign it, run again"


NOTHING_PLANNED = "nothing is planned before that is put right; the last issue stays as it was"
_OF_COPIES = ("answer, sign, close, and plan this copy", "-questions.xlsx: ")
"""What is said of sheets of answers beside a list: in a job they stand in its workbook."""


@dataclass(frozen=True)
class _Due:
    """A list that is to be planned, with everything its process needs."""

    name: str
    list_file: Path
    sheet: str | None
    made_from: str
    why: str
    sources: Mapping[str, str]
    books: tuple[Path, ...]
    settings: ListSettings
    answers: Path | None
    old_plan: Path | None
    told: Mapping[str, Any]
    records: tuple[Path, ...]
    beside: tuple[Path, ...]
    out: Path
    asked_into: Path
    answered_in: str


@dataclass(frozen=True)
class _Planned:
    """What came of it: an issue, or why there is none, with the sheet of its questions; `left`: something is
    open there.
    """

    name: str
    issue: Issue | None
    lines: tuple[str, ...]
    questions: Path | None = None
    taken: tuple[TakenFrom, ...] = ()
    left: bool = True
    folder: Path = Path()


def plan_due(run: Run) -> None:
    """Plan the lists that changed, and go back where that is asked for: one issue of the job."""
    wishes = run.wishes
    for fault in wishes.faults:
        run.say("", fault, code=CANNOT)
    if wishes.faults:
        run.say("", NOTHING_PLANNED)
        return
    for text in wishes.set_aside:
        run.say("", text, code=CANNOT)
    if not wishes.lists and not wishes.set_aside:
        run.say("", f"{job_book.NAME}, {job_book.JOB}: no list is named", code=CANNOT)
    if wishes.lists and not wishes.books:
        run.say("", f"{job_book.NAME}, {job_book.JOB}: no wrench book is named", code=CANNOT)
        return
    missing = [path for path in wishes.books if not path.is_file()]
    for path in missing:
        run.say(
            path.name,
            f"wrench book {path} is not there: nothing is planned, the last issue stays as it was",
            code=CANNOT,
        )
    if missing:
        return
    if _not_in_book(run):
        run.say("", NOTHING_PLANNED)
        return
    number = 1 + max(
        (int(text) for path in run.folder.glob("issue *") if (text := path.name[6:]).isdecimal()), default=0
    )
    staging = run.folder / f".issue-{number:03}.new"
    back = {typed.list_name: typed for typed in run.job.typed if typed.back}
    due = []
    for path, sheet in wishes.lists:
        name = list_name(path)
        if name not in back and (found := _due(run, path, sheet, staging)):
            due.append(found)
    staging.mkdir()
    try:
        issues = [_back(run, typed, staging, number) for typed in back.values()]
        for planned in _all(due):
            issues.append(_took(run, planned, number))
        made = tuple(issue for issue in issues if issue is not None)
        if not made:
            return
        write_json(staging / ISSUE, IssueFile(version=VERSION, issues=made))
        _sync(staging)
        staging.rename(run.folder / f"issue {number:03}")
        run.state.issues += made
        for issue in made:
            run.say_withdrawn(issue)
        _in_two_lists(run)
        new = {issue.list_name for issue in made}
        run.state.copies = {name: mark for name, mark in run.state.copies.items() if name not in new}
    finally:
        shutil.rmtree(staging, ignore_errors=True)


def _not_in_book(run: Run) -> bool:
    """Name a lubricant or wrench of the sheet Job that the wrench book does not have, with its cell."""
    wishes = run.wishes
    if not (wishes.settings.lubricant or wishes.settings.wrench):
        return False
    try:
        book = read_wrench_book(wishes.books, system("US"))
    except WorkbookError:
        return False  # said where the lists are planned
    faults = not_in_book(wishes.settings, book)
    for name, fault in faults.items():
        run.say("", f"{wishes.cells[name]}: {fault}", code=CANNOT)
    return bool(faults)


def _in_two_lists(run: Run) -> None:
    """Name joints that stand in two lists of the job: each would have two cards."""
    plans: dict[str, Path] = {}
    for name in dict.fromkeys(list_name(path) for path, _ in run.wishes.lists):
        last = run.state.latest(name)
        plan = None if last is None else run.path(last.plan)
        if plan is not None and plan.is_file():
            plans[name] = plan
    rows = ((name, ((each.joint, each.operation) for each in read_plan(plan).joints)) for name, plan in plans.items())
    for text in in_two_lists(rows):
        run.say("", text, code=NOT_ALL)


def _sources(run: Run, path: Path, sheet: str | None) -> dict[str, str]:
    """Marks of all that a plan of a list comes from, by what people call it."""
    books = repr([sha256(book) for book in run.wishes.books])
    return {
        "list": repr((sha256(path), sheet)), "wrench book": hashlib.sha256(books.encode()).hexdigest(),
        "answers": answers_mark(run.answers(list_name(path))),
        "sheet Job": hashlib.sha256(run.wishes.mark.encode()).hexdigest(),
    }  # fmt: skip


def _mark(run: Run, path: Path, sheet: str | None) -> str:
    """One mark of all that a plan of a list comes from."""
    return hashlib.sha256(repr(_sources(run, path, sheet)).encode()).hexdigest()


def _why(last: Issue | None, sources: Mapping[str, str]) -> str:
    """Why a list is planned: what has changed since its last issue."""
    if last is None:
        return "the first plan"
    changed = [name for name, mark in sources.items() if last.sources.get(name) != mark] if last.sources else []
    return f"{' and '.join(changed) or 'list, wrench book, answers or sheet Job'} changed"


def _due(run: Run, path: Path, sheet: str | None, staging: Path) -> _Due | None:
    """What is to be planned of a list; None where nothing has changed, or where it is known to wait for answers."""
    name, wishes = list_name(path), run.wishes
    if not path.is_file():
        run.say(name, f"list {path} is not there; its last issue stays as it was", code=CANNOT)
        return None
    for lock in (f".~lock.{path.name}#", f"~${path.name}"):
        if (path.parent / lock).exists():
            run.say(name, "is open in another program: what is saved is used")
    try:
        mark, last = _mark(run, path, sheet), run.state.latest(name)
        _say_unsigned(run, name)
    except WorkbookError as error:
        run.say(name, f"not planned: {error}", code=CANNOT)
        return None
    if last is not None and last.made_from == mark:
        if run.state.rows_wait.get(name) == last.number:
            run.say(name, ROWS_WAIT.format(job_book.NAME, run.sheet_of(name)), code=NOT_ALL)
        return None
    asked = run.state.asked.get(name)
    if asked is not None and asked.made_from == mark:
        for text in asked.lines:
            run.say(name, text, code=CANNOT, shown=text is asked.lines[0])
        return None
    answers = run.answers(name)
    settings = _without(run, name, answers)
    out = staging / name if len(wishes.lists) > 1 else staging
    sources = _sources(run, path, sheet)
    questions = run.scratch / f"asked {name}"
    questions.mkdir()
    return _Due(
        name, path, sheet, mark, _why(last, sources), sources, tuple(wishes.books), settings, answers,
        run.path(last.plan) if last else None, wishes.for_plan, tuple(run.records() if last and wishes.without else ()),
        tuple(run.plans_beside(name)), out, questions, f"{job_book.NAME}, sheet {run.sheet_of(name)}",
    )  # fmt: skip


def _say_unsigned(run: Run, name: str) -> None:
    """Name what somebody typed as a signature of the answers of a list, and that signs nothing."""
    if (answers := run.answers(name)) is not None:
        for text in read_answers(answers).signs_nothing():
            where = f"{job_book.NAME}, {run.job.answers[name]}!"
            run.say(name, f"{where}{text}; a signature is a name in B3 and a date in D3", code=NOT_ALL)


def _without(run: Run, name: str, answers: Path | None) -> ListSettings:
    """The settings of the job without the facts that the answers of a list state; a difference is named."""
    settings = run.wishes.settings
    if answers is None:
        return settings
    sheet = read_answers(answers)
    stated = {line.about[0].casefold(): line.answer for line in sheet.whole if line.answer and (sheet.by or line.by)}
    for fact in FACTS:
        own, theirs = getattr(settings, fact), stated.get(shown_name(fact))
        if theirs is not None and own is not None:
            if str(own) != theirs:
                run.say(
                    name,
                    f"{shown_name(fact)}: the answers of this list say {theirs} and are used; the job says {own}",
                )
            settings = replace(settings, **{fact: None})
    return settings


def _all(due: Sequence[_Due]) -> list[_Planned]:
    """Plan several lists, a process each up to the cores."""
    cores = os.cpu_count() or 1
    if len(due) < 2 or cores < 2:
        return [plan_one(each) for each in due]
    with ProcessPoolExecutor(
        min(cores, len(due)), mp_context=get_context("fork" if "fork" in get_all_start_methods() else "spawn")
    ) as pool:
        return list(pool.map(plan_one, due))


def plan_one(due: _Due) -> _Planned:
    """Plan one list into the folder of the issue that is being made."""
    questions = due.asked_into / f"{due.name}-questions.xlsx"
    if due.answers is not None:
        shutil.copyfile(due.answers, questions)
    due.out.mkdir(parents=True, exist_ok=True)
    try:
        done = plan_list(
            due.list_file, due.books, due.out, due.settings, sheet=due.sheet, old_plan=due.old_plan,
            answers_file=due.answers, job=due.name, records=due.records, beside=due.beside, **due.told,
        )  # fmt: skip
    except OpenQuestionsError as error:
        text = (
            f"not planned, open questions: {len(error.questions)}. Answer the yellow cells of {due.answered_in},"
            " sign it, run again"
        )
        sheet = due.asked_into / error.sheet.name
        shutil.copyfile(error.sheet, sheet)
        shutil.rmtree(due.out, ignore_errors=True)
        return _Planned(due.name, None, (text, *error.questions, *filter(None, [error.unsigned])), sheet)
    except (WorkbookError, InputError) as error:
        shutil.rmtree(due.out, ignore_errors=True)
        why = line(error.finding, system("US")) if isinstance(error, InputError) else str(error)
        return _Planned(due.name, None, (f"not planned: {why}",))
    used = due.answers is not None and due.answers.read_bytes() != questions.read_bytes()  # its signature was used
    behind = _answers_behind(done.planned_file, questions)
    left = behind is not None
    if due.answers is not None and used and behind is None:
        behind = Path(shutil.copyfile(due.answers, questions))
    since = done.since
    cards = tuple(entry.card for entry in read_plan(done.plan_file).joints if entry.card)
    withdrawn = (
        tuple((entry.card or "", entry.joint, entry.operation, entry.reason or "") for entry in since.withdraw)
        if since
        else ()
    )
    replaced = sum(bool(entry.replaces) for entry in since.issue) if since else 0
    issue = Issue(
        number=0, list_name=due.name, plan=done.plan_file.name, planned=done.planned_file.name, made_from=due.made_from,
        made_on="", why=due.why, rows=done.totals.rows, planned_rows=done.totals.planned, stopped=done.totals.stopped,
        new=(len(since.issue) if since else len(cards)) - replaced, replaced=replaced, cards=cards, withdrawn=withdrawn,
        replaces=_replaces(since) if since else (), sources=dict(due.sources),
    )  # fmt: skip
    return _Planned(
        due.name,
        issue,
        (*done.said, *(f"{level.upper()} {text}" for level, text in done.causes), *done.notes),
        behind,
        done.taken,
        left,
        due.out,
    )


def _replaces(since: SinceEntry) -> tuple[tuple[str, str, str, str], ...]:
    """The cards that stand in the place of another: their number, the other's, joint and operation."""
    return tuple((each.card or "", each.replaces, each.joint, each.operation) for each in since.issue if each.replaces)


def _answers_behind(planned_file: Path, into: Path) -> Path | None:
    """The sheet of answers that a planned copy ends with, where something is left open; None without one."""
    try:
        read_answers(planned_file)
    except WorkbookError:
        return None
    shutil.copyfile(planned_file, into)
    return into


def _took(run: Run, planned: _Planned, number: int) -> Issue | None:
    """An issue with its number; or the questions that stand in the way, remembered so that they are not asked anew."""
    name = planned.name
    if planned.issue is None:
        path, sheet = next((path, sheet) for path, sheet in run.wishes.lists if list_name(path) == name)
        run.state.asked = {**run.state.asked, name: Asked(made_from=_mark(run, path, sheet), lines=planned.lines)}
        if planned.questions is not None:
            run.questions[name] = planned.questions
        for text in planned.lines:
            run.say(name, text, code=CANNOT, shown=text is planned.lines[0])
        return None
    if (last := run.state.latest(name)) is not None and _says_the_same(run, planned, last):
        _holds(run, planned, last)
        return None
    if planned.questions is not None:
        run.questions[name] = planned.questions
    waits = planned.questions is not None and planned.left
    if waits:
        run.say(name, ROWS_WAIT.format(job_book.NAME, run.sheet_of(name)), code=NOT_ALL)
    run.state.rows_wait = {other: issue for other, issue in run.state.rows_wait.items() if other != name}
    short = planned.issue.planned_rows < planned.issue.rows
    run.state.rows_wait |= {name: number} if waits and short else {}
    run.state.asked = {other: asked for other, asked in run.state.asked.items() if other != name}
    issue = _placed(run, planned.issue, number)
    here = f"{run.folder}{os.sep}.issue-{number:03}.new"
    for text in planned.lines:
        if not any(part in text for part in _OF_COPIES):
            run.say(name, text.replace(here, f"issue {number:03}"), shown=False)
    _say_taken(run, name, planned.taken)
    rows = f"{issue.planned_rows} of {issue.rows} rows planned, {issue.stopped} stopped"
    cards = f"cards: {issue.new} new, {issue.replaced} replaced, {len(issue.withdrawn)} withdrawn"
    run.say(name, f"issue {number:03}: {rows}; {cards}", code=NOT_ALL if issue.stopped else DONE)
    return issue


def _says_the_same(run: Run, planned: _Planned, last: Issue) -> bool:
    """Whether the sheet Job alone has changed, and nothing of a list with it: neither its plan nor its planned copy."""
    new = planned.issue
    if new is None or planned.questions is not None or last.back_to is not None or not last.sources:
        return False
    if [each for each, mark in new.sources.items() if last.sources.get(each) != mark] != ["sheet Job"]:
        return False
    old, made = run.path(last.plan), planned.folder / new.plan
    files = [{each.name for each in path.parent.iterdir() if each.is_file()} - {ISSUE} for path in (old, made)]
    return files[0] == files[1] and _said_of(old) == _said_of(made)


def _said_of(plan_file: Path) -> tuple[Any, ...]:
    """All that a plan and its planned copy say, apart from what came before it and what was stated for rows."""
    plan = read_plan(plan_file)
    settings = msgspec.structs.replace(plan.head.settings, **dict.fromkeys(OF_ROWS))
    head = msgspec.to_builtins(
        msgspec.structs.replace(plan.head, settings=settings, checksum="", since=None, earlier=())
    )
    joints = [msgspec.to_builtins(joint) | {"earlier": None} for joint in plan.joints]
    return head, joints


def _holds(run: Run, planned: _Planned, last: Issue) -> None:
    """Let an issue hold under the sheet Job as it is now."""
    assert planned.issue is not None
    same = msgspec.structs.replace(last, made_from=planned.issue.made_from, sources=planned.issue.sources)
    run.state.issues = tuple(same if each is last else each for each in run.state.issues)
    shutil.rmtree(planned.folder, ignore_errors=True)
    for text in planned.lines:  # a wrench that is to be crossed out on cards that hold, for one
        if not any(part in text for part in _OF_COPIES) and str(planned.folder) not in text:
            run.say(planned.name, text, shown=False)
    said = f"the sheet {job_book.JOB} has changed, but nothing of this list: issue {last.number:03} holds"
    run.say(planned.name, said)


def _say_taken(run: Run, name: str, taken: Sequence[TakenFrom]) -> None:
    """Say what was taken from where; rows that say otherwise than the sheet Job hold, and are named."""
    where = {STATED: f"the sheet {job_book.JOB}", ANSWERS: "its answers"}
    said = []
    for each in taken:
        parts = [f"{_own(each.own)}"] if each.own else []
        parts += [f"{_rows(each.taken)} from {where[each.source]}: {each.value}"] if each.source in where else []
        said += [f"{shown_name(each.fact)}: {', '.join(parts)}"] if parts else []
    settings = run.wishes.stated_settings or "as usual"
    run.say(name, f"taken: {'; '.join([*said, f'settings: {settings}'])}", shown=False)
    apart = [f"{shown_name(each.fact)} in {_rows(each.otherwise)}, not {each.value}" for each in taken
             if each.source == STATED and each.otherwise]  # fmt: skip
    if apart:
        run.say(name, f"rows say otherwise than the sheet {job_book.JOB}, and hold: {'; '.join(apart)}")


def _own(count: int) -> str:
    return "1 row by itself" if count == 1 else f"{count} rows by themselves"


def _rows(count: int) -> str:
    return "1 row" if count == 1 else f"{count} rows"


def _placed(run: Run, issue: Issue, number: int) -> Issue:
    """An issue under its number, its files where they will stand."""
    folder = f"issue {number:03}" + (f"/{issue.list_name}" if len(run.wishes.lists) > 1 else "")
    return msgspec.structs.replace(
        issue, number=number, made_on=f"{run.when:%Y-%m-%d %H:%M}", plan=f"{folder}/{Path(issue.plan).name}",
        planned=f"{folder}/{Path(issue.planned).name}",
    )  # fmt: skip


def _back(run: Run, typed: Typed, staging: Path, number: int) -> Issue | None:
    """The content of an earlier issue as a new one; it holds until list, book or answers change."""
    name, state = typed.list_name, run.state
    old, last = issue_of(state, typed), state.latest(name)
    found = next(((path, sheet) for path, sheet in run.wishes.lists if list_name(path) == name), None)
    where = f"{job_book.NAME}, {job_book.ISSUES}!{letters(job_book.BACK)}{typed.row}"
    if old is None or last is None or found is None or not found[0].is_file():
        run.say(name, f"{where}: there is no issue {typed.number} of a list of this job to go back to", code=NOT_ALL)
        return None
    if old.number == last.number:
        run.say(name, f"{where}: issue {typed.number} is the one that holds")
        return None
    out = staging / name if len(run.wishes.lists) > 1 else staging
    out.mkdir(parents=True, exist_ok=True)
    for file in (old.plan, old.planned):
        shutil.copyfile(run.path(file), out / Path(file).name)
    since, _ = since_plan(run.path(last.plan), read_plan(out / Path(old.plan).name))
    withdrawn = tuple((each.card or "", each.joint, each.operation, each.reason or "") for each in since.withdraw)
    replaced = sum(bool(each.replaces) for each in since.issue)
    issue = _placed(run, msgspec.structs.replace(
        old, made_from=_mark(run, *found), why=f"back to issue {old.number:03}", new=len(since.issue) - replaced,
        replaced=replaced, withdrawn=withdrawn, replaces=_replaces(since), back_to=old.number,
        sources=_sources(run, *found),
    ), number)  # fmt: skip
    run.say(
        name,
        f"issue {number:03} is issue {old.number:03} again; cards: {issue.new + issue.replaced} to issue,"
        f" {len(withdrawn)} to withdraw",
    )
    return issue


def _sync(folder: Path) -> None:
    """Have the files of a folder on the disk."""
    for path in folder.rglob("*"):
        if path.is_file():
            with suppress(OSError), path.open("rb") as file:
                os.fsync(file.fileno())
