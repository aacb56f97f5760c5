"""What the commands print of what was done, and the exit codes that follow. `--quiet` leaves only what is wrong."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from operator import attrgetter
from pathlib import Path
from typing import TYPE_CHECKING

from addin.cards.issue import PARTS as ALL_PARTS
from addin.cards.sheets import PackReport
from addin.cells.words import line
from addin.console import CANNOT, DONE, NOT_ALL, say, styled, wrong
from addin.plan.file import summary
from addin.plan.record_joint import BREAK_NOT_PLANNED, OTHER
from addin.plan.since import lines as since_lines
from addin.plan.since import supplement
from addin.plan.where_from import STATED
from addin.reading.reading_report import report as reading_lines
from addin.reading.understood import shown_name
from addin.records.known_cards import in_two_lists
from addin.records.progress import Report
from addin.several_lists import PlannedFile, sum_of
from addin.tasks import BookDone, ListDone, PackDone, PlanDone, RecordsDone
from addin.wrenches.checked_copy import Days, units_of
from calc.findings import NOTE, STOP
from calc.review.as_tightened import AGREES, REVIEW, TO_COMPLETE

if TYPE_CHECKING:  # a plan alone does not load the job
    from addin.job.run import JobDone

PARTS = tuple(ALL_PARTS)
LISTED = 20
"""Most rows without a card that are listed; the summary lists all."""
SHOWN = 30
"""Most joints whose reasons are printed; the hand-over has all."""


MOST_LINES = 10
"""Lines of a job's run that are printed."""


SIGN = "Sign the sheet of answers and plan again"
RELEASE = "Type who released it, and the day, in the form, and make the card again"


def plan(done: PlanDone, remedy: str = SIGN) -> int:
    """Say what was planned, and give the exit code."""
    for text in done.said:
        say(text)
    for level, text in done.causes:
        if level == "stop":
            wrong(text, label="STOP")
        else:
            say(f"{styled(level.upper(), fg='yellow')} {text}")
    for each in done.taken:
        if each.source == STATED and each.otherwise:
            rows = f"{_count(each.otherwise, 'row')} {'says' if each.otherwise == 1 else 'say'} otherwise"
            say(f"note: {shown_name(each.fact)} {each.value} is stated for the list; {rows}, and that holds there")
        elif each.source == STATED and not (each.own or each.taken):
            say(f"note: {shown_name(each.fact)} {each.value} is stated for the list, and no row takes it")
    for note in done.notes:
        say(f"note: {note}")
    if done.since is not None:
        say("\n".join(since_lines(done.since)))
    say(summary(done.totals), bold=True)
    refused = done.pack is not None and _pack(done.pack, brief=True) != DONE
    say(f"{done.planned_file} and {done.plan_file.name}{f'; {done.bases}' if done.bases else ''}")
    for path in done.overview:
        say(f"{path}")
    if done.engineer_file:
        sheets = f"{done.engineer_file} (sheets: {done.engineer_sheets})"
        say(sheets if done.engineer_sheets else "no joint states all that interaction needs")
    if done.pack is not None:
        _files(done.pack)
    if done.draft:
        wrong(f"not confirmed by anybody: {done.draft}. {remedy}", label="DRAFT")
    say(_first(done))
    return NOT_ALL if done.totals.stopped or done.totals.to_review or refused or done.draft else DONE


def several(done: Sequence[PlannedFile]) -> int:
    """Say what came of several lists, a line for each at the end, and give the worst of their exit codes."""
    for each in done:
        say(f"{each.list_file}", bold=True)
        for text in each.said:
            say(text) if each.told else wrong(text, fg=None)
        say("")
    for each in done:
        if each.told:
            say(f"{each.list_file.name}: {summary(each.told.totals)}; in {each.folder}")
        else:
            wrong(f"nothing is planned: {_why(each)}", label=f"{each.list_file.name}:")
    planned = [each.told for each in done if each.told]
    twice = in_two_lists((each.list_file.name, each.told.joints) for each in done if each.told)
    for text in twice:
        wrong(text, label="CAUTION", fg="yellow")
    all_lists = f"{_count(len(planned), 'list')} of {len(done)} planned"
    say(f"{all_lists}: {summary(sum_of([each.totals for each in planned]))}" if planned else all_lists, bold=True)
    return max(NOT_ALL if twice else DONE, *(each.code for each in done))


def _why(each: PlannedFile) -> str:
    """The reason that its own command gave last."""
    return each.said[-1].removeprefix("tautsheet: ").removeprefix("Error: ") if each.said else "it said nothing"


def _first(done: PlanDone) -> str:
    """What to open first."""
    if done.totals.stopped:
        return f"Open first: {done.planned_file}; its column Message says why rows stopped"
    if done.pack is not None and done.pack.files:
        return (
            f"Open first: {done.pack.files[0]}, the cards for the crew; the planned list says the same beside your rows"
        )
    return (
        f"Open first: {done.planned_file}; our columns stand beside yours, tautsheet pack makes the cards of the plan"
    )


def pack(done: PackDone) -> int:
    """Say what came of a pack, and give the exit code."""
    code = _pack(done)
    _files(done)
    issued = done.issued
    total = sum(len(report.cards) for part, report in issued.reports.items() if part in PARTS[:3])
    pages = len(issued.reports["working"].cards) if "working" in issued.reports else 0
    unchanged = sum(reason == "unchanged" for *_, reason in issued.skipped)
    refused = len(issued.refused) + sum(len(report.refused) for report in issued.reports.values())
    lines = [_count(total, "card") if total or not pages else "",
             f"{_count(pages, 'page')} of working" if pages else "",
             f"{unchanged} unchanged" if unchanged else "",
             f"{_count(len(issued.skipped) - unchanged, 'row')} without a card", f"{refused} refused"]  # fmt: skip
    say(", ".join(filter(None, lines)), bold=True)
    if done.unprinted:
        wrong(f"no PDFs: {done.unprinted}")
    return code


def _pack(done: PackDone, *, brief: bool = False) -> int:
    """What a pack lacks, and the exit code; in brief where the plan that it prints has just been told."""
    issued, wanted = done.issued, done.wanted
    for note in done.notes:
        say(f"note: {note}")
    if wanted.since is not None and not brief:
        since = wanted.since
        cards = _count(len(since.issue), "card")
        say(f"since {since.plan}: {cards} to issue, {len(since.withdraw)} to withdraw")
        for entry in since.withdraw:
            say(f"withdraw {entry.card}: {entry.joint} {entry.operation}: {entry.reason}")
        for entry in since.supplements:
            say(supplement(entry))
    unchanged = sum(reason == "unchanged" for *_, reason in issued.skipped)
    skipped = [each for each in issued.skipped if each[2] != "unchanged"]
    known = {OTHER, BREAK_NOT_PLANNED}  # the counts of the plan have said so
    if brief and all(re.split("[:;]", reason)[0] in known for *_, reason in skipped):
        pass
    elif brief:
        kinds = Counter(re.split("[:;]", reason)[0].replace(OTHER, "by another method") for *_, reason in skipped)
        say(f"no card for {_count(len(skipped), 'row')}: {', '.join(f'{n} {kind}' for kind, n in kinds.most_common())}")
    elif skipped:
        _list("no card", skipped)
    if unchanged:
        say(f"{_count(unchanged, 'card')} unchanged, not written again")
    refused = [*issued.refused, *(each for report in issued.reports.values() for each in report.refused)]
    for tag, operation, reason in refused:
        wrong(f"refused: {' '.join(filter(None, (tag, operation)))}: {reason}")
    for text in issued.without:
        wrong(f"not written: {text}")
    notes = dict.fromkeys(issued.notes + [note for report in issued.reports.values() for note in report.notes])
    listed = [note for note in notes if note.startswith("  ") or note.endswith(":")]
    if short := [note for note in notes if note not in listed]:
        say(f"note: {'; '.join(short)}")
    for note in listed:
        say(f"note: {note}")
    for part, report in issued.reports.items():
        _tokens(part, report, part in wanted.templates)
    if not issued.files and issued.without:
        return CANNOT
    return DONE if done.complete else NOT_ALL


def _files(done: PackDone) -> None:
    for part, report in done.issued.reports.items():
        many = f" ({_count(len(report.cards), 'card' if part in PARTS[:3] else 'sheet')})"
        shown = report.files if len(report.files) <= 3 or not done.wanted.one_file_per_joint else report.files[:1]
        for path in shown:
            say(f"{path}{many}")
            many = ""
        if len(shown) < len(report.files):
            say(f"  and {len(report.files) - len(shown)} more in {report.files[0].parent}")


def _count(number: int, word: str) -> str:
    """A number of things.

    >>> _count(1, "card"), _count(33, "card")
    ('1 card', '33 cards')
    """
    return f"{number} {word}{'s' * (number != 1)}"


def _list(label: str, rows: Sequence[tuple[str, str, str]]) -> None:
    for tag, operation, reason in rows[:LISTED]:
        say(f"{label}: {' '.join(filter(None, (tag, operation)))}: {reason}")
    if len(rows) > LISTED:
        say(f"{label}: {len(rows) - LISTED} more, all in the summary")


def _tokens(part: str, report: PackReport, own: bool) -> None:
    """Tokens nobody knows, always; known ones without a place, for the user's own template."""
    if report.unknown_tokens:
        wrong(f"unknown in the template of {part}: {', '.join(report.unknown_tokens)}", fg="yellow")
    if own and report.unused_tokens:
        say(f"not used by the template of {part}: {', '.join(report.unused_tokens)}")


def records(done: RecordsDone) -> int:
    """Refused rows, reasons, progress and counts; gives the exit code."""
    report = done.report
    for item in report.refused:
        wrong(item.text, label="NOT READ")
    for tool, reason, names in report.by_tool():
        wrong(f"{tool}: {reason}: {', '.join(names)}", label="REVIEW", fg="yellow")
    for status, label in ((REVIEW, "REVIEW"), (TO_COMPLETE, "COMPLETE")):
        rows = [row for row in report.rows if row.status == status and row.own_reasons]
        for row in rows[:SHOWN]:
            for reason in row.own_reasons:
                name = f"{row.joint.joint} {row.joint.operation}"
                wrong(f"{name}: {reason}", label=label, fg="yellow")
        if len(rows) > SHOWN:
            wrong(f"and {len(rows) - SHOWN} more joints {status}, all in the hand-over")
    for note in report.notes:
        say(f"note: {note}")
    for title in ("area", "wrench"):
        of = attrgetter(title)
        _table(title, report.by(of), report.left_by(of))
    for note in done.notes:
        say(f"note: {note}")
    say(str(done.handover))
    for path, said in done.more.items():
        say(f"{path} ({said})")
    say(_summary(report), bold=True)
    return DONE if report.clean else NOT_ALL


def _table(title: str, groups: dict[str, dict[str, int]], lefts: Mapping[str, int]) -> None:
    wide = max((len(name) for name in groups), default=0)
    for name, counts in groups.items():
        left = lefts.get(name, 0)
        lacking = f", {counts[TO_COMPLETE]} to complete" if counts[TO_COMPLETE] else ""
        agree = f"{counts[AGREES]} agree with the plan, of {sum(counts.values())}"
        said = f"{left} left, {counts[REVIEW]} to review{lacking}, {agree}"
        say(f"{title} {name.ljust(wide)}  {said}")


def _summary(report: Report) -> str:
    """One line of counts that add up to the rows of the list."""
    counts = report.counts()
    parts: Sequence[str] = [f"{count} {status}" for status, count in counts.items() if count]
    return f"{len(report.rows)} rows: {', '.join(parts)}" + (
        f"; {len(report.refused)} rows of the records not read" if report.refused else ""
    )


def understood(done: ListDone) -> int:
    """Say how a list was understood, and give the exit code."""
    say("\n".join(reading_lines(done.joint_list)))
    for text in done.notes:
        say(f"note: {text}")
    if done.sheet:
        say(str(done.sheet))
    return NOT_ALL if done.joint_list.questions else DONE


def books(done: BookDone, days: Days) -> int:
    """Say what is to be known of wrench books, stops first, and give the exit code."""
    book = done.book
    told = [finding for finding in book.findings if finding.level != NOTE]
    for finding in sorted(told, key=lambda finding: finding.level != STOP):
        facts, stops = finding.facts, finding.level == STOP
        said = line(finding, units_of(book.sheets.get((facts["file"], facts["sheet"]))))
        text = f"{finding.level.upper()} {facts['file']}, {said}"
        wrong(text) if stops else say(text, fg="yellow")
    for text in done.notes:
        say(f"note: {text}")
    for path in done.files:
        say(str(path))
    stopped = sum(finding.level == STOP for finding in book.findings)
    usable = sum(not wrench.faults for wrench in book.wrenches)
    lapsed = sum(wrench.valid_until < days.last or wrench.calibrated > days.first for wrench in book.wrenches)
    if lapsed:
        wrong(f"certificates that do not cover {days.words()}: {lapsed}", fg=None)
    counts = f"stops {stopped}, cautions {len(told) - stopped}"
    say(f"wrenches {len(book.wrenches)}, usable {usable}; gauges {len(book.gauges)}; {counts}", bold=True)
    return NOT_ALL if stopped else DONE


def job_begun(path: Path, lists: Sequence[str], books: Sequence[str]) -> int:
    """Say what was found for a new job, and what to do next."""
    say(str(path))
    for name, found in (("list", lists), ("wrench book", books)):
        say(f"{name}: {', '.join(found)}" if found else f"no {name} lies in the folder: name it in the sheet Job")
    say("look at its sheet Job, close it, and run the job", bold=True)
    return DONE


def job(done: "JobDone") -> int:
    """Say in a few lines what a run of a job did and what waits; all of it stands in its sheet Messages."""
    for text in done.lines[:MOST_LINES]:
        say(text)
    if len(done.lines) > MOST_LINES:
        say(f"and {len(done.lines) - MOST_LINES} more lines in the sheet Messages")
    return done.code
