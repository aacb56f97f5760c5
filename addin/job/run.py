"""Does what is due in the folder of a job: plans lists that changed, honours releases, prints, takes records back."""

import datetime
import hashlib
import shutil
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import msgspec

from addin.cards.issue import CARD_PARTS, ON_REQUEST, PARTS, RECORD, WantedParts
from addin.cards.language import Words
from addin.cards.selection import Selection
from addin.cards.sheets import PackReport
from addin.forms.tokens import TemplateError
from addin.job import book as job_book
from addin.job.book import Typed, issue_of, read_job
from addin.job.planning import plan_due
from addin.job.sheets import bring_up_to_date
from addin.job.state import Issue, Release, read_state, write_state
from addin.job.tools_now import say_tools_gone
from addin.job.typed_copies import take_over
from addin.job.work import DONE, LISTED, NOT_ALL, Run, some
from addin.plan.release import NOTHING_VALID
from addin.records.of_lists import hand_over_lists
from addin.records.progress import Report, together
from addin.tasks import write_pack
from addin.workbooks.addresses import letters
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
        where = f"{job_book.NAME}, {job_book.ISSUES}!{letters(job_book.BY)}{typed.row}"
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
    waits: list[tuple[Issue, int]] = []
    for name in dict.fromkeys(each.list_name for each in state.issues):
        last = state.latest(name)
        assert last is not None
        waiting = [] if wishes.no_release else state.waiting(last)
        if waiting:
            waits.append((last, len(waiting)))
            _say_without_card(run, last)
        say_tools_gone(run, last)
        if not missing and not wishes.faults:
            _print_list(run, last, frozenset(waiting))
    _say_printed(run)
    for text in _waiting(waits):
        run.say(waits[0][0].list_name if len(waits) == 1 else "", text, code=NOT_ALL)


def _say_printed(run: Run) -> None:
    """Say what was printed, where there are several lists in one line for the cards and one for the rest."""
    several = len(run.printed) > 2
    for name, _, what, where in run.printed:
        run.say(name, f"{what} in {where}", shown=not several)
    if several:
        cards = [f"{name} {count}" for name, count, _, _ in run.printed if count]
        rest = [(what, name) for name, count, what, _ in run.printed if not count]
        if cards:
            run.say("", f"cards printed, in the folder {CARDS} of each list: {', '.join(cards)}")
        for kind in dict.fromkeys(what for what, _ in rest):
            run.say("", f"printed: {kind}: {', '.join(name for what, name in rest if what == kind)}")


def _say_without_card(run: Run, issue: Issue) -> None:
    """Say of which joints no card is valid: theirs was replaced, and the new one waits."""
    if joints := run.state.without_card(issue):
        void = some([f"{joint} {operation} (card {card} is void)" for joint, operation, card in joints])
        many = "1 joint" if len(joints) == 1 else f"{len(joints)} joints"
        run.say(issue.list_name, f"no valid card for {many} until issue {issue.number:03} is released, no work on"
                f" {'it' if len(joints) == 1 else 'them'}: {void}", code=NOT_ALL, first=True)  # fmt: skip
        if len(joints) > LISTED:
            for joint, operation, card in joints:
                run.say(issue.list_name, f"{joint} {operation}: card {card} is void, {NOTHING_VALID}", shown=False)


def _waiting(waits: Sequence[tuple[Issue, int]]) -> list[str]:
    """The cards that wait for a release, in one line."""
    where = f"type name and date in the sheet {job_book.ISSUES}"
    if len(waits) == 1:
        issue, count = waits[0]
        return [f"issue {issue.number:03}: {_cards(count)} for a release: {where}"]
    each = ", ".join(f"{issue.list_name} issue {issue.number:03}: {count}" for issue, count in waits)
    return [f"{_cards(sum(count for _, count in waits))} for a release ({each}): {where}"] if waits else []


def _cards(count: int) -> str:
    return "1 card waits" if count == 1 else f"{count} cards wait"


def _print_list(run: Run, last: Issue, waiting: frozenset[str]) -> None:
    """Print the pages of a list that are due: all, or the cards that nobody has yet and what goes with them."""
    wishes, state, name = run.wishes, run.state, last.list_name
    as_wanted = state.printed_as.get(name) == wishes.pack_mark
    printed = max([state.printed.get(name, 0), *state.cards_out.get(name, {}).values()])
    hand = state.in_hand(name) if as_wanted else {}
    new = [card for card in last.cards if card not in waiting and card not in hand]
    gone = any(each.withdrawn for each in state.of_list(name) if printed and each.number > printed)
    mark = hashlib.sha256(repr([last.number, new, bool(waiting), wishes.pack_mark]).encode()).hexdigest()
    if not (last.cards or printed) or state.tried.get(name) == mark:
        return  # nothing to print, or nothing since
    if waiting and not (new or gone):
        return
    before = next((each for each in state.of_list(name) if each.number == printed and each is not last), None)
    here = {card for card, number in hand.items() if number == last.number}  # in the file that is written again
    usual = [part for part in PARTS if part not in ON_REQUEST and not (part == "summary" and wishes.by)]
    only = tuple(part for part in (wishes.only or (*usual, RECORD)) if part in CARD_PARTS or not waiting)
    done = _pack(run, last, before if as_wanted else None, only, frozenset((*new, *here)))
    if done is None:
        return
    out = {card for part in CARD_PARTS if part in done for _, _, card, _ in done[part].cards}
    state.cards_out = {**state.cards_out, name: {**hand, **dict.fromkeys(sorted(out), last.number)}}
    left = [card for card in last.cards if card not in waiting and card not in state.in_hand(name)]
    again = hashlib.sha256(repr([last.number, left, bool(waiting), wishes.pack_mark]).encode()).hexdigest()
    state.tried = {**state.tried, name: again}
    state.printed_as = {**state.printed_as, name: wishes.pack_mark}
    if not waiting:
        state.printed = {**state.printed, name: last.number}


def _pack(
    run: Run, issue: Issue, before: Issue | None, only: tuple[str, ...], cards: frozenset[str]
) -> dict[str, PackReport] | None:
    """Print parts of an issue with some of its cards; None where they cannot be printed."""
    wishes = run.wishes
    out = run.path(issue.plan).parent / CARDS
    old = run.path(before.plan) if before else None
    every = cards >= frozenset(issue.cards)
    these = None if every and old is None else cards  # beside an older plan the cards that differ would be meant
    try:
        wanted = WantedParts(
            only, Selection(by=wishes.by), wishes.forms, wishes.paper, wishes.both, wishes.single,
            words=Words(wishes.second, beside=wishes.beside) if wishes.second else None, these=these,
        )  # fmt: skip
        done = write_pack(run.path(issue.plan), out, wanted, old_plan=old, pdf=wishes.pdf, overwrite=out.exists())
    except (WorkbookError, TemplateError) as error:
        run.say(issue.list_name, f"not printed: {error}", code=NOT_ALL)
        return None
    refused = [*done.issued.refused, *(each for report in done.issued.reports.values() for each in report.refused)]
    for tag, operation, why in refused:
        run.say(issue.list_name, f"no card: {tag} {operation}: {why}", code=NOT_ALL, shown=False)
    for text in (*done.issued.without, *done.notes, *filter(None, [done.unprinted])):
        run.say(issue.list_name, text, shown=False)
    reports = done.issued.reports
    count = sum(len(report.cards) for part, report in reports.items() if part in CARD_PARTS)
    out_already = "; the others are out already" if count and before and not every else ""
    signed = f"; no release is asked, decided by {wishes.no_release}" if wishes.no_release else ""
    what = f"{count} {'card' if count == 1 else 'cards'}" if count else "no new card; the other pages"
    if not count and all(part in ("withdrawn", *CARD_PARTS) for part in reports):
        what = "the list of cards to withdraw"
    run.printed.append((issue.list_name, count, what, f"{out.relative_to(run.folder)}{out_already}{signed}"))
    return reports


# --- records ----------------------------------------------------------------------------------------------------------


def _record(run: Run) -> None:
    """Hold new records against the plans that hold, and write one hand-over for all lists."""
    state, wishes, files = run.state, run.wishes, run.records()
    latest = run.latest()
    if not files or not latest:
        return
    facts = [
        [(name, last.number) for name, last in latest.items()], [(path.name, sha256(path)) for path in files],
        state.releases, wishes.no_release, list(wishes.words.items()), wishes.paper,
    ]  # fmt: skip
    mark = hashlib.sha256(repr(facts).encode()).hexdigest()
    if state.held == mark:
        return
    lists = run.planned_lists()
    books = [path for path in wishes.books if path.is_file()]
    try:
        done = hand_over_lists(
            lists, files, run.folder / HANDOVER, books, about=wishes.words, paper=wishes.paper or "A4"
        )
    except WorkbookError as error:
        run.say("", f"records not taken: {error}", code=NOT_ALL)
        return
    for name, fault in done.faults.items():
        run.say(name, f"records not taken: {fault}", code=NOT_ALL)
    if done.handover is None:
        return
    whole = together(done.reports)
    for item in whole.refused:
        run.say("", item.text, code=NOT_ALL, shown=False)
    several = len(done.reports) > 1
    for name, report in done.reports.items():
        if several:
            run.say(name, f"records: {_counted(report)}", shown=False)
    for note in whole.notes:
        run.say("" if several else next(iter(done.reports)), note, shown=False)
    unread = f", {len(whole.refused)} rows not read (Messages says why)" if whole.refused else ""
    of = f" of {len(done.reports)} lists" if several else ""
    run.say("" if several else next(iter(done.reports)), f"records{of}: {_counted(whole)}{unread};"
            f" {HANDOVER}/{done.handover.name}", code=DONE if whole.clean else NOT_ALL)  # fmt: skip
    for text in done.notes:
        run.say("", text, shown=False)
    if not done.faults:
        state.held = mark


def _counted(report: Report) -> str:
    states = [each.status for each in report.rows]
    left = sum(each.left for each in report.rows)
    return f"{states.count(AGREES)} agree, {states.count(REVIEW)} to review, {left} open"


# --- the end ----------------------------------------------------------------------------------------------------------


def _close(run: Run, before: bytes) -> None:
    """Remember, and bring the workbook up to date where there is something new."""
    state = run.state
    newest = state.messages[0].when if state.messages else ""
    known = {(each.about, each.text) for each in state.messages if each.when == newest}
    changed = msgspec.json.encode(state) != before or any(each.back for each in run.job.typed)
    if not (changed or state.behind or set(run.said) - known):
        if not run.lines:
            run.shown.append((False, "nothing has changed"))
        return
    when = f"{run.when:%Y-%m-%d %H:%M:%S}"
    for about, text in reversed(run.said):
        state.say(when, about, [text])
    state.behind = False
    if waits := bring_up_to_date(
        run.job, state, {name: (path, run.sheet_of(name)) for name, path in run.questions.items()}
    ):
        run.shown.append((False, waits))
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
        run.shown.append((False, f"messages: {path.relative_to(run.folder)}"))
