"""Issues the printed pack: which parts, from which templates, into which files."""

from collections.abc import Callable, Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import msgspec

from addin import shipped
from addin.cards import kit, overview, withdrawn, wrench_sheets
from addin.cards.card_identity import after_the_job
from addin.cards.language import Words
from addin.cards.own_forms import check_form, with_carried
from addin.cards.selection import Selection
from addin.cards.sheets import (
    BREAK_OUT,
    CARDS,
    MOST_IN_FILE,
    RETIGHTENING,
    WORKING,
    CardKind,
    PackReport,
    Progress,
    choose,
    kind_of,
    write_cards,
    write_sheets,
)
from addin.forms.file_names import file_names
from addin.forms.template import Filling, Template, TemplateError, Vocabulary
from addin.hosts.libreoffice.office import OfficeError
from addin.plan.file import Plan
from addin.plan.record import SinceEntry
from addin.plan.record_joint import JointEntry
from addin.plan.release import Releases
from addin.workbooks.plain_file import scratch_folder

Sheets = Iterable[tuple[str, str, Filling | str]]


@dataclass(frozen=True)
class SheetKind:
    """A part of the pack that is not cards: its shipped template, and the sheets that fill it."""

    name: str
    template: str
    vocabulary: Vocabulary
    sheets: Callable[[Plan, Sequence[JointEntry]], Sheets]


PARTS: dict[str, CardKind | SheetKind] = {
    "cards": CARDS,
    "break-out": BREAK_OUT,
    "retightening": RETIGHTENING,
    "wrenches": SheetKind("wrench sheets", "wrench sheet", wrench_sheets.VOCABULARY, wrench_sheets.sheets),
    "kit": SheetKind("kit list", "kit list", kit.VOCABULARY, kit.sheets),
    "summary": SheetKind("summary", "summary", overview.SUMMARY_SHEET, overview.summary),
    "cautions": SheetKind("cautions", "cautions", overview.CAUTION_SHEET, overview.cautions),
    "working": WORKING,
}
"""The parts by the names the user gives them, in the order in which they are written. Each is a file of its own, since
each goes to somebody else: cards to the crew, wrench sheets to the wrench box, the kit list to the store."""

FILES = {"cards": "cards"}
"""Files that are not called as their part is."""

PER_BATCH = 50
"""Cards that are printed into one PDF."""

RECORD = "record"
"""The record sheets, which are no part of the cards' room: whoever writes a pack writes them."""
ON_REQUEST = ("working",)
"""Parts that are written only where they are named."""

CARD_PARTS = tuple(name for name, part in PARTS.items() if isinstance(part, CardKind) and name not in ON_REQUEST)


EVERYTHING = Selection()


@dataclass(frozen=True)
class WantedParts:
    """What to issue.

    only : parts; where empty, all but those on request, or the cards where two plans are compared; selection : which
    joints, and how the pack is parted into folders; templates : own ones by part; since : what has changed since an
    older plan (`since.Since.result`); these : numbers of the only cards wanted, else all that changed; releases : who
    released which cards, for a plan of a job; issued : day of issue; words : a second language on the cards; printer :
    makes a PDF of a workbook.
    """

    only: Sequence[str] = ()
    selection: Selection = EVERYTHING
    templates: Mapping[str, Path] = field(default_factory=dict)
    paper: str | None = None
    both: bool = False
    one_file_per_joint: bool = False
    since: SinceEntry | None = None
    these: Container[str] | None = None
    issued: str | None = None
    words: Words | None = None
    releases: Releases | None = None
    printer: Callable[[Path, Path], None] | None = None

    @property
    def with_record(self) -> bool:
        """Whether record sheets are wanted: with every pack that is not of named parts, unless only cards changed."""
        return RECORD in self.only if self.only else self.since is None

    @property
    def parts(self) -> list[str]:
        """Parts to write, in their order."""
        usual = CARD_PARTS if self.since is not None else [name for name in PARTS if name not in ON_REQUEST]
        if self.selection.by and self.since is None:
            usual = [name for name in usual if name != "summary"]
        only = self.only or usual
        return [name for name in PARTS if name in only]

    def template(self, part: str) -> Path:
        """The template of a part: the user's own, or the shipped one, which for a card has a form for each paper."""
        kind = PARTS[part]
        letter = " letter" if self.paper == "Letter" and isinstance(kind, CardKind) and kind is not WORKING else ""
        return self.templates.get(part) or shipped.template(f"{kind.template}{letter}")

    @property
    def cards(self) -> Container[str] | None:
        """Revisions of the cards to issue, None for all."""
        if self.these is not None:
            return self.these
        return None if self.since is None else {entry.card for entry in self.since.issue if entry.card}


@dataclass
class Issued:
    """What came of it: a report for each part written, lines for parts that were not, and the rows without a card."""

    reports: dict[str, PackReport] = field(default_factory=dict)
    without: list[str] = field(default_factory=list)
    skipped: list[tuple[str, str, str]] = field(default_factory=list)
    refused: list[tuple[str, str, str]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def take(self, other: "Issued", folder: str) -> None:
        """Add what came of one folder."""
        self.without += [f"{folder}: {line}" for line in other.without]
        for name, report in other.reports.items():
            mine = self.reports.setdefault(name, PackReport())
            for part in ("cards", "skipped", "refused", "files"):
                getattr(mine, part).extend(getattr(report, part))
            for part in ("unknown_tokens", "unused_tokens", "notes"):
                found = getattr(mine, part)
                found += [line for line in getattr(report, part) if line not in found]

    @property
    def files(self) -> list[Path]:
        """Every file written."""
        return [path for report in self.reports.values() for path in report.files]


def target_of(part: str, stem: str, out: Path) -> Path:
    """The workbook of a part.

    >>> target_of("retightening", "list", Path("out")).name
    'list-retightening-cards.xlsx'
    """
    return out / f"{stem}-{FILES.get(part, PARTS[part].name).replace(' ', '-')}.xlsx"


def issue(
    plan: Plan, stem: str, out: Path, wanted: WantedParts, progress: Callable[[str], Progress] | None = None
) -> Issued:
    """Write the parts of the pack into a folder, as STEM-PART.xlsx.

    A part that cannot be written is a line in `without`, and the others go on. progress : makes the progress of a part.
    """
    issued = Issued()
    sorting = PackReport()
    only_cards = all(isinstance(PARTS[part], CardKind) for part in wanted.parts)
    of_plan = wanted.selection.of(plan.joints, wanted.cards if only_cards else None)
    chosen = choose(plan, sorting, asked=of_plan, cards=wanted.cards)
    if wanted.since is not None:
        chosen = [_numbered(joint, wanted.since) for joint in chosen]
    if any(isinstance(PARTS[part], CardKind) for part in wanted.parts):
        issued.skipped, issued.refused, issued.notes = sorting.skipped, sorting.refused, sorting.notes
    late = [joint for joint in chosen if after_the_job(joint.date or plan.head.date, wanted.issued)]
    if late:
        named = ", ".join(joint.joint for joint in late[:3]) + (f" and {len(late) - 3} more" if len(late) > 3 else "")
        issued.notes.append(f"issued {wanted.issued}, after the job date of {named}: the cards say so")
    asked = of_plan.joints
    count = len(asked) + len(of_plan.unchanged)
    if count < of_plan.count and not wanted.selection.partial:
        issued.notes.append(f"{count} of {of_plan.count} rows are marked in the column Print: only those")
    if not wanted.selection.by:
        _issue_parts(plan, chosen, asked, stem, out, wanted, issued, progress)
    else:
        of_asked = dict(wanted.selection.groups(asked))
        groups = wanted.selection.groups(chosen)
        for (name, mine), folder in zip(groups, file_names([name for name, _ in groups]), strict=True):
            (out / folder).mkdir(exist_ok=True)
            part_of = Issued()
            _issue_parts(plan, mine, of_asked.get(name, mine), stem, out / folder, wanted, part_of, progress)
            issued.take(part_of, folder)
    if wanted.since is not None and (wanted.since.withdraw or wanted.since.supplements):
        report = PackReport()
        try:
            fixed = wanted.words.fixed if wanted.words else None
            book = Template(shipped.template("withdrawn cards"), withdrawn.VOCABULARY, paper=wanted.paper, words=fixed)
            target = out / f"{stem}-withdrawn-cards.xlsx"
            sheets = [("Withdrawn cards", "", withdrawn.filling(plan, wanted.since, wanted.releases))]
            issued.reports["withdrawn"] = report
            _sheets(book, sheets, target, report, wanted)
        except TemplateError as error:
            issued.without.append(f"withdrawn cards: {error}")
        except OfficeError as error:
            issued.without.append(f"PDF of the withdrawn cards: {error}")
    if wanted.words is not None:
        issued.notes += wanted.words.notes()
    return issued


def _numbered(joint: JointEntry, since: SinceEntry) -> JointEntry:
    """A joint with the issue of its card and the card replaced, as the comparison of two plans has them."""
    found = next((each for each in since.issue if each.card == joint.card), None)
    return joint if found is None else msgspec.structs.replace(joint, issue=found.issue, replaces=found.replaces)


def _issue_parts(
    plan: Plan, chosen: Sequence[JointEntry], asked: Sequence[JointEntry], stem: str, out: Path, wanted: WantedParts,
    issued: Issued, progress: Callable[[str], Progress] | None,
) -> None:  # fmt: skip
    """Every part of one folder. chosen : joints that get a card; asked : those that the other parts speak of."""
    releases = wanted.releases
    waiting = sum(bool(joint.card) and releases.of(joint.card) is None for joint in plan.joints) if releases else 0
    of_kind = {
        name: [joint for joint in chosen if part is WORKING or kind_of(joint) is part]
        for name in wanted.parts if isinstance(part := PARTS[name], CardKind)
    }  # fmt: skip
    for name in wanted.parts:
        part = PARTS[name]
        if plan.head.draft and name not in (*CARD_PARTS, "cautions"):
            issued.without.append(f"{part.name}: the plan is a draft; sign the sheet of answers and plan again")
            continue
        if waiting and name not in (*CARD_PARTS, "cautions"):
            issued.without.append(
                f"{part.name}: {waiting} cards of this plan wait for a release in the job; release and print again"
            )
            continue
        report = PackReport()
        target = target_of(name, stem, out)
        try:
            if isinstance(part, CardKind):
                if not (mine := of_kind[name]):
                    continue
                tell = progress(part.name) if progress is not None else None
                elsewhere = [
                    (joint, target_of(other, stem, out).name)
                    for other, joints in of_kind.items() if other not in (name, *ON_REQUEST) for joint in joints
                ]  # fmt: skip
                _write_cards(part, plan, mine, target, wanted, name, report, tell, elsewhere)
            else:
                fixed = wanted.words.fixed if wanted.words else None
                book = Template(wanted.template(name), part.vocabulary, paper=wanted.paper, words=fixed)
                _sheets(book, part.sheets(plan, asked), target, report, wanted)
        except TemplateError as error:
            issued.without.append(f"{part.name}: {error}")
        except OfficeError as error:
            issued.without.append(f"PDF of the {part.name}: {error}")
        if report.files or report.refused:
            issued.reports[name] = report


def _sheets(book: Template, sheets: Sheets, target: Path, report: PackReport, wanted: WantedParts) -> None:
    if (words := wanted.words) is not None:
        sheets = ((name, end, each if isinstance(each, str) else words.sheet(each)) for name, end, each in sheets)
    write_sheets(book, sheets, target, report)
    if wanted.printer is not None and report.files:
        wanted.printer(target, target.with_suffix(".pdf"))
        report.files.append(target.with_suffix(".pdf"))


def _write_cards(
    kind: CardKind, plan: Plan, chosen: Sequence[JointEntry], target: Path, wanted: WantedParts, name: str,
    report: PackReport, tell: Progress | None, elsewhere: Sequence[tuple[JointEntry, str]],
) -> None:  # fmt: skip
    vocabulary = with_carried(kind.vocabulary, plan.head)
    words = wanted.words
    book = Template(wanted.template(name), vocabulary, paper=wanted.paper, words=words.fixed if words else None)
    if name in wanted.templates and kind is not WORKING:
        check_form(book, chosen)
    more: dict[str, Any] = {"both": wanted.both, "issued": wanted.issued, "words": words, "releases": wanted.releases}
    if not wanted.one_file_per_joint:
        for path, some in _files(target, chosen):
            write_cards(
                book, kind, plan, some, path, report, progress=tell, contents=kind is not WORKING, elsewhere=elsewhere,
                **more,
            )  # fmt: skip
        if wanted.printer is not None:
            done = {card[:3] for card in report.cards}
            written = [joint for joint in chosen if (joint.joint, joint.operation, joint.card) in done]
            _print(book, kind, plan, written, target, report, wanted, tell)
        return
    folder = target.with_suffix("")
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise TemplateError(f"{folder}: cannot be made: {error.strerror}") from error
    names = file_names([f"{joint.joint} {joint.operation}" for joint in chosen])
    for number, (joint, own) in enumerate(zip(chosen, names, strict=True)):
        if tell is not None:
            tell(number, len(chosen))
        try:
            path = folder / f"{own}.xlsx"
            write_cards(book, kind, plan, [joint], path, report, **more)
            if wanted.printer is not None:
                wanted.printer(path, path.with_suffix(".pdf"))
                report.files.append(path.with_suffix(".pdf"))
        except TemplateError as error:
            if (joint.joint, joint.operation) not in [each[:2] for each in report.refused]:
                report.refused.append((joint.joint, joint.operation, str(error)))
    if tell is not None:
        tell(len(chosen), len(chosen))


def _files(target: Path, cards: Sequence[JointEntry]) -> list[tuple[Path, Sequence[JointEntry]]]:
    """The workbooks of some cards, each with as many as open well.

    >>> [(path.name, len(some)) for path, some in _files(Path("L-cards.xlsx"), [None] * 401)]
    [('L-cards 001-200.xlsx', 200), ('L-cards 201-400.xlsx', 200), ('L-cards 401-401.xlsx', 1)]
    """
    if len(cards) <= MOST_IN_FILE:
        return [(target, cards)]
    digits, parts = len(str(len(cards))), range(0, len(cards), MOST_IN_FILE)
    found = []
    for start in parts:
        some = cards[start : start + MOST_IN_FILE]
        name = f"{target.stem} {start + 1:0{digits}d}-{start + len(some):0{digits}d}{target.suffix}"
        found.append((target.with_name(name), some))
    return found


def _print(
    book: Template, kind: CardKind, plan: Plan, cards: Sequence[JointEntry], target: Path, report: PackReport,
    wanted: WantedParts, tell: Progress | None,
) -> None:  # fmt: skip
    """PDFs of a workbook of cards, a batch at a time: an office program needs 4 MB for each sheet it has open."""
    assert wanted.printer is not None
    batches = [cards[start : start + PER_BATCH] for start in range(0, len(cards), PER_BATCH)]
    digits = len(str(len(cards)))
    with scratch_folder("tautsheet-print-") as folder:
        between, first = folder / "batch.xlsx", 1
        for batch in batches:
            ending = f" {first:0{digits}d}-{first + len(batch) - 1:0{digits}d}" if len(batches) > 1 else ""
            pdf = target.with_name(f"{target.stem}{ending}.pdf")
            between.unlink(missing_ok=True)
            write_cards(
                book,
                kind,
                plan,
                batch,
                between,
                PackReport(),
                both=wanted.both,
                issued=wanted.issued,
                words=wanted.words if kind is not WORKING else None,
                contents=kind is not WORKING,
            )
            wanted.printer(between, pdf)
            report.files.append(pdf)
            first += len(batch)
            if tell is not None:
                tell(first - 1, len(cards))
