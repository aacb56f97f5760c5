"""What the commands do, as plain functions: read a list, plan it, write its pack, take its records back, check a book.

Each gives a typed result that names the files written and what is to be said; each writes its files together or not at
all, and raises WorkbookError, one line, where it cannot run.

>>> from tempfile import TemporaryDirectory
>>> from addin.shipped import folder
>>> joints, book = (folder("samples") / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches"))
>>> with TemporaryDirectory() as out:
...     done = plan_list(joints, [book], Path(out), ListSettings(breakout_factor=1.5))
...     pack = write_pack(done.plan_file, Path(out), WantedParts(only=("kit",)))
>>> done.totals.planned, done.totals.stopped, [path.name for path in pack.files]
(35, 0, ['drigrauvex-joints-kit-list.xlsx'])
"""

import datetime
import gc
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from pathlib import Path
from types import MappingProxyType

import msgspec

from addin.cards.engineer_sheet import write_engineer_book
from addin.cards.issue import CARD_PARTS, PARTS, Issued, WantedParts, target_of
from addin.cards.one_joint import DRAFT as NOT_RELEASED
from addin.cards.one_joint import as_list
from addin.cards.pack_files import stale, write_parts
from addin.cards.selection import Selection
from addin.cards.sheets import PackReport, Progress, choose
from addin.forms.file_names import file_names
from addin.hosts.libreoffice.office import OfficeError
from addin.hosts.libreoffice.places import NoOfficeError
from addin.hosts.libreoffice.printing import printer
from addin.hosts.libreoffice.recalc import recalculate as calculate_anew
from addin.plan.causes import Causes
from addin.plan.checked_columns import held_against
from addin.plan.file import Plan, entry_line, read_plan, write_plan
from addin.plan.list_settings import ListSettings
from addin.plan.notes_sheet import SHEET as NOTES
from addin.plan.notes_sheet import PlanNotes
from addin.plan.overview_page import PlanOverview
from addin.plan.own_cells import check_rows, edits_in, edits_of, plan_of, rows_apart, rows_gone
from addin.plan.planned_list import as_in_book, names_in, planned, read_for_plan
from addin.plan.record import PlanHead, SinceEntry, TotalsEntry
from addin.plan.release import releases_of
from addin.plan.result_columns import Results, write_planned
from addin.plan.since import Since, since_plan
from addin.plan.still_open import with_methods, with_open_points
from addin.plan.where_from import FACTS, Taken, TakenFrom
from addin.plan.writer import PlanWriter
from addin.reading.answer_page import answer_book, write_answers
from addin.reading.answer_sheet import SHEET, AnswerSheet, answers_in, kept_answers, read_answers, same_answers
from addin.reading.joint_list import JointList, read_joint_list, uncollected
from addin.reading.signed_sheet import write_signed
from addin.reading.spelled_out import spelled_out
from addin.reading.understood import PROPOSED, shown_name
from addin.records.cards_now import cards_now
from addin.records.done_work import EarlierCards
from addin.records.handover import write_handover, write_joint_table
from addin.records.known_cards import Known, key_of, known_list
from addin.records.progress import Report, review
from addin.records.record_fields import HEADINGS as RECORD_HEADINGS
from addin.records.record_files import read_file, record_files, their_columns
from addin.records.record_rows import Records
from addin.records.record_sheet import write_record_sheets
from addin.records.state_back import write_states
from addin.records.tools_of_plan import book_of
from addin.records.without_wrench import Without
from addin.workbooks.file_set import finish_sets, sha256
from addin.workbooks.new_file import owner_file
from addin.workbooks.outputs import (  # fmt: skip
    ANSWERS,
    CHECKED,
    ENGINEER,
    HANDOVER,
    OVERVIEW,
    PLAN,
    PLANNED,
    PRINTED,
    RECORDED,
    TABLE,
    Outputs,
)
from addin.workbooks.package import WorkbookError
from addin.workbooks.plain_file import Scratch, scratch_folder
from addin.workbooks.plain_lists import as_workbook, is_text
from addin.workbooks.sheets_behind import put_behind
from addin.wrenches.checked_copy import Days, write_checked
from addin.wrenches.wrench_book import WrenchBook, read_wrench_book
from calc.units import system

Phases = Callable[[str], Progress]
"""Told the name of each phase of a long task; gives what takes the count of things done, and of all."""


UNSTATED, USUAL = ListSettings(), WantedParts()


def silent(name: str) -> Progress:
    """No progress is shown."""
    return lambda done, of: None


class OpenQuestionsError(WorkbookError):
    """Nothing is planned before the questions of a list are answered; `sheet` is where, written if it was not there."""

    def __init__(self, text: str, sheet: Path, questions: tuple[str, ...], unsigned: str | None) -> None:
        super().__init__(text)
        self.sheet, self.questions, self.unsigned = sheet, questions, unsigned


@dataclass(frozen=True, eq=False)
class PackDone:
    """A pack: what came of its parts, the files, what to say, what was wanted, and why there are no PDFs."""

    issued: Issued
    files: tuple[Path, ...]
    notes: tuple[str, ...]
    wanted: WantedParts
    unprinted: str | None = None

    @property
    def complete(self) -> bool:
        """Whether everything that was wanted is written."""
        issued = self.issued
        refused = issued.refused or any(report.refused for report in issued.reports.values())
        return not (refused or issued.without or self.unprinted)


@dataclass(frozen=True, eq=False)
class PlanDone:
    """A planned list: its files, what the book and the list say, level and line of each cause, and the counts; `taken`
    says which facts of its joints came from where.

    `engineer_file` where interaction was asked for, with its count of sheets: without a sheet it is not written.
    """

    planned_file: Path
    plan_file: Path
    engineer_file: Path | None
    engineer_sheets: int
    said: tuple[str, ...]
    causes: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    totals: TotalsEntry
    since: SinceEntry | None
    pack: PackDone | None
    draft: str | None = None
    overview: tuple[Path, ...] = ()
    bases: str = ""
    taken: tuple[TakenFrom, ...] = ()

    @property
    def files(self) -> tuple[Path, ...]:
        """Every file written."""
        engineer = (self.engineer_file,) if self.engineer_file and self.engineer_sheets else ()
        return (self.planned_file, self.plan_file, *engineer, *self.overview, *(self.pack.files if self.pack else ()))


@dataclass(frozen=True, eq=False)
class ListDone:
    """A list as it was understood, the sheet of answers where one was written, and what to say."""

    joint_list: JointList
    sheet: Path | None
    notes: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class RecordsDone:
    """Records held against a plan, the hand-over, what to say, and what else was written, each with what it is."""

    report: Report
    handover: Path
    notes: tuple[str, ...]
    more: Mapping[Path, str] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class BookDone:
    """A wrench book as read, its checked copies, and what to say."""

    book: WrenchBook
    files: tuple[Path, ...]
    notes: tuple[str, ...]


def plan_list(
    list_file: Path, books: Sequence[Path], out: Path, settings: ListSettings = UNSTATED, *,
    sheet: str | None = None, answers_file: Path | None = None, old_plan: Path | None = None,
    results_at: str | None = None, extend: bool = False, notes: bool = False, overview: bool = False,
    interaction: bool = False, recalculate: bool = False, pack: bool = False, accept: bool = False,
    job: str | None = None, overwrite: bool = False, carry: Sequence[str] = (), record_columns: bool = False,
    without: Sequence[str] = (), draft: str | None = None, records: Sequence[Path] = (), beside: Sequence[Path] = (),
    also_read: Sequence[Path] = (), phases: Phases = silent,
) -> PlanDone:  # fmt: skip
    """Plan a joint list: a planned copy of its workbook, the plan, with `pack` the joint cards.

    answers_file : a sheet of answers, or its folder; else the one that an earlier run wrote into `out`. old_plan : say
    what has changed since that plan, and issue only its changed cards. results_at : letters of the first column for
    results; extend : filter, table and print area of the list reach over them; notes : a sheet of all findings too;
    overview : a workbook of one page with charts and counts, and its PDF where LibreOffice is present.
    accept : proposals are taken as they stand, and the plan is a draft. recalculate : LibreOffice calculates a copy of
    the list anew, and a formula that differs stops its row. job : what a job calls the list; its cards wait for
    a release. record_columns : empty columns for as-tightened values too. carry : headings of columns that forms of
    your own print. without : names of wrenches that are not to be used; with old_plan only the joints on them that
    are not done, by the `records`, are planned again; beside : the plans of the other lists of the job, whose records
    are left to them. draft : why nobody may work from the plan. also_read : what the list was made from, never
    written over.

    Raises NoOfficeError, OpenQuestionsError where the list leaves something open that all rows need.
    """
    with uncollected(), ExitStack() as work:
        tell = phases("reading")
        if old_plan:
            finish_sets(old_plan.parent)
        opened = [
            f"note: {path} is open in another program ({lock}): what is not saved there is not read"
            for path in (list_file, *books) if (lock := owner_file(path))
        ]  # fmt: skip
        book = _without(read_wrench_book(books, system("US")), without)
        settings = as_in_book(settings, book)
        if records and not (old_plan and without):
            raise WorkbookError("--records goes with --since and --without: they say what is done of the old plan")
        given_file, list_file = list_file, _as_workbook(list_file, work)
        stem, ending = list_file.stem.removesuffix("-planned"), list_file.suffix
        answers = _answers(answers_file, list_file, out, old_plan)
        answers_file = Path(answers.file) if answers else None
        joint_list = _read_for_plan(list_file, book, settings, answers, sheet, recalculate, accept, tell)
        gc.collect()  # the workbook as it was read: what is left of it would stay
        joint_list = _with_open_points(joint_list, list_file, book, settings, answers, sheet, accept=accept)
        _ask(joint_list, list_file, answers, answers.path if answers else None, out)
        check_rows(joint_list)
        own = out / f"{stem}-planned{ending}"
        answered = answers.path if answers and answers.path != own else None  # the sheet in the copy goes on in the new
        inputs = [path for path in (list_file, given_file, *books, answered, old_plan, *records, *also_read) if path]
        inputs = list(dict.fromkeys(inputs))
        outputs = work.enter_context(Outputs(out, inputs, overwrite=overwrite, by="plan"))
        planned_file = outputs.place(f"{stem}-planned{ending}", PLANNED, renews=list_file)
        plan_file = outputs.place(f"{stem}-plan.json", PLAN)
        engineer_file = outputs.place(f"{stem}-engineer.xlsx", ENGINEER) if interaction else None
        overview_file = outputs.place(f"{stem}-overview.xlsx", OVERVIEW) if overview else None
        overview_pdf = outputs.place(f"{stem}-overview.pdf", OVERVIEW) if overview else None
        for part in CARD_PARTS if pack else ():
            outputs.place(target_of(part, stem, out).name, PRINTED)
        stated = settings
        signed = _place_signed(answers, list_file, own, outputs)
        settings = settings.with_answers(joint_list.given, answers_file.name if answers_file else "")
        tell = phases("planning")
        plans = planned(joint_list, book, settings)
        writer = PlanWriter(joint_list, book, plans, interaction=interaction, carry=carry, job=job)
        head = writer.head
        if draft:
            head = msgspec.structs.replace(head, draft="; ".join(filter(None, (head.draft, draft))))
        anew = _anew(old_plan, head, without, records, beside, book) if old_plan and without else None
        head = anew.head if anew else head
        since = Since.of(old_plan, head, today()) if old_plan else None
        compared = held_against(joint_list, plans)
        results, causes = Results(head, compared), Causes()
        for each in compared:
            causes.of_columns(each.lines)
        before = {each.name for each in joint_list.package.sheets}
        noted = PlanNotes() if notes or NOTES in before else None
        page = PlanOverview() if overview_file else None
        whole = {line.about[0]: line.answer for line in answers.whole if line.answer} if answers else {}
        answer_of = {fact: whole.get(shown_name(fact)) for fact in FACTS}
        taken = Taken(joint_list, {fact: getattr(stated, fact) for fact in FACTS}, answer_of)
        entries = work.enter_context(Scratch())  # 2 kB a joint: a long list would fill the memory
        for number, (entry, written) in enumerate(writer.written(), 1):
            standing = entry if anew is None else anew.entry(entry)
            numbered = standing if since is None else since.add(standing)
            results.add(numbered)
            entries.write((written if numbered is entry else entry_line(numbered)) + b"\n")
            causes.add(numbered)
            taken.add(numbered)
            if noted is not None:
                noted.add(numbered)
            if page is not None:
                page.add(numbered)
            tell(number, head.totals.rows)
        del plans, writer  # of a long list they are large, and everything is told
        if anew is not None:
            head = msgspec.structs.replace(head, totals=anew.totals())
        if since is not None:
            head = msgspec.structs.replace(head, since=since.result(), earlier=since.earlier())
        told = _about_copies(outputs, joint_list, list_file, results, planned_file.name)
        phases("writing")
        report = write_planned(
            joint_list, results, planned_file, at=results_at, extend=extend,
            more=tuple(RECORD_HEADINGS.values()) if record_columns else (), phases=phases,
        )  # fmt: skip
        asked = _answers_behind(joint_list, list_file, answers, planned_file, causes)
        if noted is not None:
            _sheets_behind(planned_file, [noted.sheet(head, report.where)])
        head = msgspec.structs.replace(head, planned_copy=sha256(planned_file))
        write_plan(head, entries.lines(), plan_file)
        unprinted = _overview(page, head, overview_file, overview_pdf)
        content = read_plan(plan_file)
        sheets = write_engineer_book(content, engineer_file) if engineer_file else 0
        wanted = WantedParts(CARD_PARTS, since=content.head.since, issued=today())
        outputs.of = sha256(plan_file)
        issued = write_parts(content, stem, outputs, wanted, outputs.of, phases) if pack else None
        old = stale(outputs, [target_of(part, stem, out) for part in PARTS])
        if answers and signed:
            write_signed(answers, signed)
    unmarked = [] if signed else _sign_elsewhere(answers, list_file, own)
    older = [since.old.older] if since and since.old.older else []
    older += anew.notes() if anew else []
    earlier = [f"{name}: is of an earlier plan and was not written again" for name in old]
    kept = (*report.warnings, *unprinted, *outputs.kept())
    return PlanDone(
        outputs.path(planned_file), outputs.path(plan_file), outputs.path(engineer_file) if engineer_file else None,
        sheets, said=(*opened, *book.lines(system("US")), *(f"note: {note.text}" for note in joint_list.said)),
        causes=tuple(causes.lines()),
        bases=causes.bases(head.settings.scheme),
        notes=tuple(map(outputs.said, (*older, report.where, *told, *kept, *unmarked, *earlier, *asked))),
        totals=head.totals, since=head.since, pack=_packed(issued, outputs, wanted) if issued else None,
        overview=_there(outputs, overview_file, overview_pdf),
        draft=head.draft,
        taken=taken.result(),
    )  # fmt: skip


def _used(answers: AnswerSheet | None, list_file: Path, own: Path) -> Path | None:
    """The sheet of answers whose signature has been used; one behind a planned copy goes on in the new copy."""
    if answers is None or answers.path is None or not answers.by:
        return None
    return None if answers.path in (list_file, own) else answers.path


def _place_signed(answers: AnswerSheet | None, list_file: Path, own: Path, outputs: Outputs) -> Path | None:
    """Where a used sheet of answers is written anew, where it stands in the folder of the results."""
    path = _used(answers, list_file, own)
    if path is None or not path.parent.exists() or not path.parent.samefile(outputs.folder):
        return None
    return outputs.place(path.name, ANSWERS, renews=path)


def _sign_elsewhere(answers: AnswerSheet | None, list_file: Path, own: Path) -> list[str]:
    """Write a used sheet of answers anew where it stands; why not, where it cannot be written."""
    path = _used(answers, list_file, own)
    if answers is None or path is None:
        return []
    try:
        with Outputs(path.parent, [path], by="plan", make=False, overwrite=True) as outputs:
            write_signed(answers, outputs.place(path.name, ANSWERS, renews=path))
    except WorkbookError as error:
        return [f"{path.name}: what is changed in it later counts as signed by {answers.by}: {error}"]
    return list(outputs.kept())


def _overview(page: PlanOverview | None, head: PlanHead, target: Path | None, pdf: Path | None) -> list[str]:
    """Write the page of charts and counts; why there is no PDF of it."""
    if page is None or target is None or pdf is None:
        return []
    page.write(head, target)
    try:
        with printer() as print_one:
            print_one(target, pdf)
    except (NoOfficeError, OfficeError) as error:
        return [f"{pdf.name} is not written: {error}"]
    return []


def _there(outputs: Outputs, *paths: Path | None) -> tuple[Path, ...]:
    """Those of the files that were written, where they stand now."""
    return tuple(there for path in paths if path and (there := outputs.path(path)).is_file())


def write_card(
    form: Path, books: Sequence[Path], out: Path, *, beside: Path | None = None, overwrite: bool = False,
    phases: Phases = silent,
) -> PlanDone:  # fmt: skip
    """The card of a joint that stands in no list, from its form: a plan of one row, a draft until it is released.

    beside : the plan of a list; where the same joint and operation stand in it, that is named.
    """
    with scratch_folder("tautsheet-one-") as folder:
        one = as_list(form, folder)
        done = plan_list(
            one.list_file, books, out, pack=True, overwrite=overwrite, phases=phases,
            draft=None if one.released else f"{form.name}: {NOT_RELEASED}",
            also_read=[form, *([beside] if beside else [])],
        )  # fmt: skip
    said = [f"released by {one.released}"] if one.released else []
    if beside is not None:
        (mine,) = read_plan(done.plan_file).joints
        key = key_of(mine.joint, mine.operation)
        same = [each for each in read_plan(beside).joints if key_of(each.joint, each.operation) == key]
        said += [
            f"{beside.name} has {each.joint} {each.operation} too, row {each.row}: "
            + (
                f"the same card {each.card}"
                if each.card == mine.card
                else f"card {each.card or 'none'}, not {mine.card}"
            )
            for each in same
        ]
    return replace(done, notes=(*said, *done.notes))


def write_pack(
    plan_file: Path, out: Path, wanted: WantedParts = USUAL, *, old_plan: Path | None = None, pdf: bool = False,
    overwrite: bool = False, phases: Phases = silent,
) -> PackDone:  # fmt: skip
    """Write the printed pack of a plan: the parts `wanted`, each a workbook of its own.

    old_plan : only what changed since that plan, and the list of cards to withdraw. pdf : PDFs too, through
    LibreOffice; where there is none, the workbooks are written and `unprinted` says why.
    """
    unprinted = older = None
    with ExitStack() as stack:
        for path in filter(None, (plan_file, old_plan)):
            finish_sets(path.parent)
        phases("reading the plan")
        content = read_plan(plan_file)
        _check_selection(wanted.selection, content, plan_file)
        wanted = replace(wanted, releases=releases_of(plan_file, content))
        if old_plan is not None:
            since, older = since_plan(old_plan, content)
            wanted = replace(wanted, since=since)
        wanted = replace(wanted, issued=wanted.issued or today())
        try:
            wanted = replace(wanted, printer=stack.enter_context(printer())) if pdf else wanted
        except NoOfficeError as error:
            unprinted = str(error)
        words = wanted.words.path if wanted.words else None
        inputs = [path for path in (plan_file, old_plan, words, *wanted.templates.values()) if path]
        outputs = stack.enter_context(Outputs(out, inputs, overwrite=overwrite, by="pack"))
        stem = plan_file.stem.removesuffix("-plan")
        issued = write_parts(content, stem, outputs, wanted, sha256(plan_file), phases)
        if wanted.with_record:
            _write_record_sheets(content, stem, outputs, wanted, issued, phases)
    return _packed(issued, outputs, wanted, (*([older] if older else []), *outputs.kept()), unprinted)


def _write_record_sheets(
    content: Plan, stem: str, outputs: Outputs, wanted: WantedParts, issued: Issued, phases: Phases
) -> None:
    """The record sheets of the joints that have a card, in one workbook or one in the folder of each crew and day."""
    joints = choose(content, PackReport(), asked=wanted.selection.of(content.joints, wanted.cards), cards=wanted.cards)
    name = f"{stem}-record-sheets.xlsx"
    waiting = wanted.releases and any(wanted.releases.of(joint.card) is None for joint in joints)
    if not joints or content.head.draft or waiting:
        why = "the plan is a draft" if content.head.draft else "its cards wait for a release in the job"
        if joints:
            issued.without.append(f"record sheets: {why}: nothing is recorded against it")
        return
    groups = wanted.selection.groups(joints)
    report = PackReport()
    for (_, mine), folder in zip(groups, file_names([each for each, _ in groups]), strict=True):
        place = outputs.place(f"{folder}/{name}" if wanted.selection.by else name, PRINTED)
        sheets = write_record_sheets(content, mine, place, paper=wanted.paper, tell=phases("record sheets"))
        report.cards += [("", "", "", "")] * sheets
        report.files.append(place)
    issued.reports["record"] = report


def _check_selection(selection: Selection, content: Plan, path: Path) -> None:
    """Refuse what the plan has not, with the tags most like it: nothing is written for a slip of the keys."""
    if not selection.partial:
        return
    asked = selection.of(content.joints)
    if asked.unmatched:
        way, first = asked.unmatched[0]
        named = ", ".join(dict.fromkeys(wanted for other, wanted in asked.unmatched if other == way))
        like = get_close_matches(first, asked.tags, n=3) if way == "joint" else []
        near = f"; like {first}: {', '.join(like)}" if like else ""
        raise WorkbookError(f"{path.name}: the plan has no {way} {named}{near}")


def _packed(
    issued: Issued, outputs: Outputs, wanted: WantedParts, notes: Sequence[str] = (), unprinted: str | None = None
) -> PackDone:
    """With the paths at which the files have appeared."""
    for report in issued.reports.values():
        report.files = [outputs.path(path) for path in report.files]
        report.refused = [(tag, operation, outputs.said(why)) for tag, operation, why in report.refused]
    issued.refused = [(tag, operation, outputs.said(why)) for tag, operation, why in issued.refused]
    issued.without = [outputs.said(line) for line in issued.without]
    return PackDone(issued, tuple(issued.files), tuple(notes), wanted, unprinted)


def take_records(
    plan_file: Path, records: Sequence[Path], out: Path, *, list_file: Path | None = None, books: Sequence[Path] = (),
    answers_file: Path | None = None, beside: Sequence[Path] = (), kept: Sequence[tuple[Path, str]] = (),
    own: Mapping[str, str] = MappingProxyType({}), about: Mapping[str, str] = MappingProxyType({}), pdf: bool = False,
    csv: bool = False, paper: str = "A4", overwrite: bool = False, phases: Phases = silent,
) -> RecordsDone:  # fmt: skip
    """Compare as-tightened values with a plan, and write the hand-over.

    records : workbooks, text files of scanned keys, or folders of them. list_file, books, answers_file : as they are
    now; work that they would have done otherwise is looked at again. beside : the plans of the other lists of the job.
    kept : earlier plans of the list, each with the day from which its cards no longer held. own : columns of the
    planner's own, heading to field. about : project, site, contractor. pdf, csv : the hand-over as a PDF, its table
    of joints as text.

    With `list_file` the state of each joint is written beside its row in a copy of the list.
    """
    files = record_files(records)
    for path in (plan_file, *files):
        finish_sets(path.parent)
    phases("reading the plan")
    plan = read_plan(plan_file, older=True)
    if plan.head.draft:
        raise WorkbookError(f"{plan_file.name}: is a draft: nobody works from it, so nothing is recorded against it")
    before = [(read_plan(path, older=True), until) for path, until in kept]
    others = [known_list(read_plan(path, older=True)) for path in beside]
    known = Known(known_list(plan, [old for old, _ in before]), others)
    found, columns = Records(), their_columns(own)
    tell = phases("reading the records")
    for number, path in enumerate(files, 1):
        read_file(path, found, plan.head, known, columns)
        tell(number, len(files))
    tell = phases("comparing")
    with ExitStack() as work:
        now_file = _as_workbook(list_file, work) if list_file else None
        now, book = cards_now(plan, now_file, books, answers_file)
        states = read_joint_list(now_file, plan.head.sheet) if now_file else None
    earlier = EarlierCards(plan, before, book)
    releases = releases_of(plan_file, plan)
    report = review(
        plan, found, book_of(plan.head, book), now, known=known, earlier=earlier, releases=releases, tell=tell
    )
    phases("writing")
    inputs = [path for path in (plan_file, *files, list_file, *books, answers_file) if path]
    with Outputs(out, inputs, overwrite=overwrite, by="record") as outputs:
        target = outputs.place(f"{plan_file.stem.removesuffix('-plan')}-hand-over.xlsx", HANDOVER)
        write_handover(report, target, paper=paper, about=about, tell=phases("hand-over"))
        more: dict[Path, str] = {}
        if states and now and list_file:
            name = f"{list_file.stem.removesuffix('-recorded')}-recorded{states.package.path.suffix}"
            copy = outputs.place(name, RECORDED, renews=list_file)
            rows = {key: joint.row for key, joint in now.joints.items()}
            more[copy] = write_states(report, states, rows, copy).where
        if csv:
            table = outputs.place(f"{target.stem}-joints.csv", TABLE)
            write_joint_table(report, table)
            more[table] = "the sheet Joints as text"
        unprinted = _printed(target, outputs, more) if pdf else None
    notes = (*([plan.older] if plan.older else []), *outputs.kept(), *([unprinted] if unprinted else []))
    also = {outputs.path(path): said for path, said in more.items()}
    return RecordsDone(report, outputs.path(target), notes, also)


def _printed(target: Path, outputs: Outputs, more: dict[Path, str]) -> str | None:
    """The hand-over as a PDF; why there is none, where there is no LibreOffice."""
    try:
        with printer() as write:
            page = outputs.place(f"{target.stem}.pdf", PRINTED)
            write(target, page)
            more[page] = "the hand-over for paper"
    except NoOfficeError as error:
        return f"no PDF: {error}"
    return None


def read_list(
    list_file: Path, *, sheet: str | None = None, answers_file: Path | None = None, out: Path | None = None,
    book_file: Path | None = None, phases: Phases = silent,
) -> ListDone:  # fmt: skip
    """Read a joint list as it would be planned; with `out` write its sheet of answers, or renew the one there."""
    before = out if out and not answers_file and out.exists() else answers_file
    answers = read_answers(before) if before else None
    with ExitStack() as work:
        return _read_list(_as_workbook(list_file, work), sheet, answers, out, before, book_file, phases("reading"))


def _as_workbook(list_file: Path, work: ExitStack) -> Path:
    """The list itself, or a new workbook made of a text file or an .ods, which lasts as long as the work does."""
    ods = list_file.suffix.lower() == ".ods"
    if not (ods or is_text(list_file)):
        return list_file
    folder = work.enter_context(scratch_folder("tautsheet-"))
    made = folder / f"{list_file.stem}.xlsx"
    work.enter_context(_by_its_own_name(list_file.name, made.name))
    if not ods:
        return as_workbook(list_file, folder)
    calculate_anew(list_file, made)
    return made


@contextmanager
def _by_its_own_name(given: str, made: str) -> Iterator[None]:
    """A refusal of the workbook that was made of a list names the list that the user has."""
    try:
        yield
    except WorkbookError as error:
        if type(error) is not WorkbookError or not str(error).startswith((f"{made}:", f"{made},")):
            raise
        raise WorkbookError(f"{given}{str(error).removeprefix(made)}") from error


def _read_list(
    list_file: Path, sheet: str | None, answers: AnswerSheet | None, out: Path | None, before: Path | None,
    book_file: Path | None, tell: Progress,
) -> ListDone:  # fmt: skip
    known = names_in(read_wrench_book(book_file, system("US"))) if book_file else {}
    joint_list = read_joint_list(list_file, sheet, answers=answers, known=known, tell=tell)
    kept: Sequence[str] = ()
    if out:
        inputs = [list_file, *([before] if before else [])]
        with Outputs(out.parent, inputs, by="columns", make=False) as outputs:
            _write_answers(outputs, out, joint_list, list_file, answers, renews=before == out)
        kept = outputs.kept()
    return ListDone(joint_list, out, tuple(kept))


def check_books(books: Sequence[Path], out: Path, days: Days, *, overwrite: bool = False) -> BookDone:
    """Check wrench books for the days of the jobs: a copy of each with its findings, one file or a folder of them."""
    one = len(books) == 1 and out.suffix.lower() == ".xlsx"
    folder = out.parent if one else out
    book = read_wrench_book(books, system("SI"))
    names = {path: out.name if one else f"{path.stem}-checked.xlsx" for path in books}
    notes = []
    with Outputs(folder, books, overwrite=overwrite, by="book") as outputs:
        for path, name in names.items():
            if lost := write_checked(book, path, outputs.place(name, CHECKED), days):
                notes.append(f"{name}: does not show what {path.name} has: {', '.join(lost)}")
    return BookDone(book, tuple(folder / name for name in names.values()), (*notes, *outputs.kept()))


def today() -> str:
    """The day on which cards are issued."""
    return datetime.date.today().isoformat()


def _without(book: WrenchBook, names: Sequence[str]) -> WrenchBook:
    """The book without some wrenches. Raises WorkbookError where it has none of a name."""
    known = {wrench.name.casefold() for wrench in book.wrenches}
    for name in names:
        if name.casefold() not in known:
            raise WorkbookError(f"--without {name}: the wrench book has no wrench of this name")
    gone = {name.casefold() for name in names}
    return replace(book, wrenches=tuple(each for each in book.wrenches if each.name.casefold() not in gone))


def _anew(
    old_plan: Path, head: PlanHead, without: Sequence[str], records: Sequence[Path], beside: Sequence[Path],
    book: WrenchBook,
) -> Without:  # fmt: skip
    """What is planned again where wrenches are out of service, by what the records say of the old plan."""
    old = read_plan(old_plan)
    report = None
    if records:
        known = Known(known_list(old), [known_list(read_plan(path, older=True)) for path in beside])
        found = Records()
        for path in record_files(records):
            read_file(path, found, old.head, known)
        report = review(old, found, book_of(old.head, book), known=known, releases=releases_of(old_plan, old))
        if unknown := [refused for refused in report.refused if not refused.joint]:
            raise WorkbookError(f"{unknown[0].text}; a record that cannot be read says nothing of its joint")
    return Without(old, head, without, report)


def _read_for_plan(
    list_file: Path, book: WrenchBook, settings: ListSettings, answers: AnswerSheet | None, sheet: str | None,
    recalculated: bool, accept: bool, tell: Progress,
) -> JointList:  # fmt: skip
    """The list as it is planned, its formulas compared with a copy that is calculated anew where that is wanted."""
    if not recalculated:
        return read_for_plan(list_file, book, settings, answers, sheet, accept=accept, tell=tell)
    with scratch_folder("tautsheet-") as folder:
        copy = folder / "recalculated.xlsx"
        calculate_anew(list_file, copy)
        return read_for_plan(list_file, book, settings, answers, sheet, copy, accept=accept, tell=tell)


def _with_open_points(
    read: JointList, list_file: Path, book: WrenchBook, settings: ListSettings, answers: AnswerSheet | None,
    sheet: str | None, *, accept: bool,
) -> JointList:  # fmt: skip
    """The list with all that its plan would ask; taken as proposed, its methods are those that the book can do."""
    given = settings.with_answers(read.given, answers.file if answers else "")
    found = with_open_points(
        read, book, given, lambda: read_for_plan(list_file, book, settings, answers, sheet, accept=True)
    )
    method = found.understood.fact("method")
    if not accept or method is None or method.state != PROPOSED:
        return found
    left = tuple(each for each in found.questions if each.about != "method")
    accepted = (*found.accepted, f"the method {method.value}")
    return replace(with_methods(found, book, given), questions=left, accepted=accepted)


def _about_copies(outputs: Outputs, joint_list: JointList, list_file: Path, results: Results, name: str) -> list[str]:
    """What was changed in planned copies since they were written: in the one that is planned again, and in the one that
    gives way to the new one.
    """
    told = [*rows_apart(joint_list, results), *rows_gone(joint_list)]
    if joint_list.own is not None and not outputs.unchanged(list_file):
        before = plan_of(list_file)
        told += edits_of(joint_list, before) if before else []
    old = outputs.folder / name
    if outputs.typed_into(name) and (plan := plan_of(old)) and (found := edits_in(old, list_file, plan)):
        told.append(f"{name}: changed since it was written: {found}")
    return told


def _answers(given: Path | None, list_file: Path, folder: Path, old_plan: Path | None) -> AnswerSheet | None:
    """The answers of a list: those named; its own last sheet; those of an earlier run; those of the old plan."""
    stem = list_file.stem.removesuffix("-planned")
    name = f"{stem}-questions.xlsx"
    if given is not None:
        if given.is_dir() and not (given / name).is_file():
            raise WorkbookError(f"{given}: holds no {name}")
        return read_answers(given / name if given.is_dir() else given)
    if (found := answers_in(list_file)) is not None:
        return found
    if (folder / name).is_file():
        return read_answers(folder / name)
    planned_file = folder / f"{stem}-planned{list_file.suffix}"
    if planned_file.is_file() and (found := answers_in(planned_file)) is not None:
        return found
    if old_plan is None:
        return None
    older = read_plan(old_plan, older=True)
    return kept_answers(old_plan.name, older.head.answers or {}, (joint.joint for joint in older.joints))


def _answers_behind(
    joint_list: JointList, list_file: Path, answers: AnswerSheet | None, planned_file: Path, causes: Causes
) -> list[str]:
    """Put the sheet of answers behind the sheets of the planned copy, where something is left to look at."""
    read = joint_list.understood
    left = len(joint_list.questions) + len(joint_list.accepted) + len(read.waiting)
    left += len(read.meanings)
    there = any(each.name.casefold() == SHEET.casefold() for each in joint_list.package.sheets)
    own = there and answers_in(list_file) is not None
    if not (left or own):
        return []
    if there and not own:
        return [f"{left} lines are left to look at; the workbook has a sheet {SHEET} of its own, so none was added"]
    tags = joint_list.rows.texts.get("joint", [])
    spelled = [*causes.spelled, *spelled_out(joint_list)]
    name = f"{list_file.stem.removesuffix('-planned')}{list_file.suffix}"
    book, _ = answer_book(read, name, before=answers, tags=tags, spelled=spelled)
    _sheets_behind(planned_file, book.worksheets)
    lines = "line is" if left == 1 else "lines are"
    rows = len({each.row for each in read.waiting})
    held = f" ({rows} row{'s' * (rows != 1)} wait{'s' * (rows == 1)})" if rows else ""
    text = f"{left} {lines} left to look at on its last sheet, {SHEET}{held}: answer, sign, close, and plan this copy"
    return [f"{planned_file}: {text}"] if left else []


def _sheets_behind(planned_file: Path, sheets: Sequence[object]) -> None:
    """The planned copy with sheets of ours at its end."""
    whole = planned_file.with_name(f"with-sheets-{planned_file.name}")
    put_behind(planned_file, sheets, whole)
    whole.replace(planned_file)


def _ask(
    joint_list: JointList, list_file: Path, answers: AnswerSheet | None, answers_file: Path | None, out: Path
) -> None:
    """Nothing is planned as long as something is open that all rows need: the sheet of answers is written instead."""
    open_ = [question for question in joint_list.questions if question.blocks]
    if not open_:
        return
    there = out / f"{list_file.stem.removesuffix('-planned')}-questions.xlsx"
    inputs = list(dict.fromkeys([list_file, *([answers_file] if answers_file else [])]))
    with Outputs(out, inputs, by="plan", overwrite=True) as outputs:
        _write_answers(outputs, there, joint_list, list_file, answers, renews=there.exists())
    unsigned = None
    if answers is not None and answers.unsigned and not any(each.kind == "unsigned" for each in open_):
        unsigned = f"{answers.file}: is not signed: type who looked at it and the date in B3 and D3"
    stem = list_file.stem.removesuffix("-planned")
    names = [f"{stem}-planned{list_file.suffix}", f"{stem}-plan.json"]
    earlier = " and ".join(name for name in names if (out / name).is_file() and (out / name) != list_file)
    old = [f"note: {out}: {earlier} stem from an earlier plan, not from this run"] if earlier else []
    raise OpenQuestionsError(
        f"{list_file.name}: nothing is planned, open questions: {len(open_)}. Answer the yellow cells of"
        f" {there}, sign it, close it, and plan again",
        there, (*old, *(f"note: {text}" for text in outputs.kept()), *(question.text for question in open_)), unsigned,
    )  # fmt: skip


def _write_answers(
    outputs: Outputs, sheet: Path, joint_list: JointList, list_file: Path, before: AnswerSheet | None, *, renews: bool
) -> None:
    place = outputs.place(sheet.name, ANSWERS, renews=sheet if renews else None)
    tags = joint_list.rows.texts.get("joint", [])
    spelled = spelled_out(joint_list)
    write_answers(place, joint_list.understood, list_file.name, before=before, tags=tags, spelled=spelled)
    if sheet.is_file() and same_answers(sheet, place):
        place.unlink()  # it would say what it says already
