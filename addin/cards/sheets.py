"""Sheets of the printed pack: a plan in, a workbook with a sheet for each card out."""

from collections import Counter
from collections.abc import Callable, Collection, Container, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from addin.cards import break_card, working_sheet
from addin.cards import joint_card as card
from addin.cards.card_tokens import VOCABULARY
from addin.cards.card_values import NO_DAY
from addin.cards.draft import NOT_RELEASED, NOTICE, as_draft, released
from addin.cards.language import Words
from addin.cards.one_joint import DRAFT
from addin.cards.own_forms import carried
from addin.cards.selection import LetThrough
from addin.forms.contents import Contents
from addin.forms.sheet_names import sheet_names
from addin.forms.template import Filling, Template, TemplateError, Vocabulary
from addin.plan.file import Plan
from addin.plan.record_joint import STOPPED, JointEntry
from addin.plan.release import Releases

__all__ = ["BREAK_OUT", "CARDS", "RETIGHTENING", "WORKING", "CardKind", "PackReport", "TemplateError", "choose",
           "write_pack"]  # fmt: skip

CONTENTS = "Contents"
MOST_IN_FILE = 200
"""Cards in a workbook; more open slowly and are found badly."""

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class CardKind:
    """One kind of card: its shipped template, what the template may hold, and how a joint fills it."""

    name: str
    template: str
    vocabulary: Vocabulary
    fault: Callable[[Plan, JointEntry], str | None]
    filling: Callable[..., Filling]


CARDS = CardKind("joint cards", "joint card", VOCABULARY, card.fault, card.filling)
RETIGHTENING = CardKind("retightening cards", "retightening card", VOCABULARY, card.fault, card.filling)
BREAK_OUT = CardKind("break-out cards", "break-out card", break_card.VOCABULARY, break_card.fault, break_card.filling)
WORKING = CardKind("working", "working", working_sheet.VOCABULARY, working_sheet.no_fault, working_sheet.filling)
"""Behind a card of any kind, a page for each."""


def kind_of(joint: JointEntry) -> CardKind:
    """The kind of card a planned joint gets."""
    if joint.operation == "retighten":
        return RETIGHTENING
    return BREAK_OUT if joint.operation == "break" and joint.breakout else CARDS


@dataclass
class PackReport:
    """What was written and what was not.

    cards : (joint, operation, card revision, sheet name); skipped : rows that get no card by nature (stopped, other
    method), as (joint, operation, reason); refused : rows that should have had one; unknown_tokens, unused_tokens : of
    the template; notes : lines for the user; files : what was written.
    """

    cards: list[tuple[str, str, str, str]] = field(default_factory=list)
    skipped: list[tuple[str, str, str]] = field(default_factory=list)
    refused: list[tuple[str, str, str]] = field(default_factory=list)
    unknown_tokens: list[str] = field(default_factory=list)
    unused_tokens: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    files: list[Path] = field(default_factory=list)


def write_pack(
    plan: Plan,
    template: Path,
    target: Path,
    *,
    joints: Sequence[str] | None = None,
    progress: Progress | None = None,
    paper: str | None = None,
    both: bool = False,
    issued: str | None = None,
) -> PackReport:
    """Write the joint cards of a plan into one workbook, a sheet for each, from a template.

    joints : only these tags, every operation; paper : "A4" or "Letter" in place of the template's own; progress :
    called with cards done and cards in all; both : torques and preload in both systems of units; issued : day of
    issue. The target appears whole or not at all.

    Raises TemplateError, one line, where the template cannot serve, no card is left, or the target is there already.
    """
    report = PackReport()
    chosen = choose(plan, report, joints=joints, kinds=lambda _: CARDS)
    book = Template(template, VOCABULARY, paper=paper)
    write_cards(book, CARDS, plan, chosen, target, report, progress=progress, both=both, issued=issued)
    return report


def write_cards(
    book: Template,
    kind: CardKind,
    plan: Plan,
    chosen: Sequence[JointEntry],
    target: Path,
    report: PackReport,
    *,
    progress: Progress | None = None,
    both: bool = False,
    issued: str | None = None,
    contents: bool = False,
    elsewhere: Sequence[tuple[JointEntry, str]] = (),
    words: Words | None = None,
    releases: Releases | None = None,
) -> None:
    """Write the cards of some joints into one workbook, and what came of it into the report.

    contents : where there are several, a sheet of contents before them; elsewhere : cards of the same pack in other
    files, with the file of each, for that sheet; words : a second language.

    Raises TemplateError where no card is left, or the target is there already.
    """
    contents = contents and len(chosen) > 1
    others = [*book.other_sheets, *([CONTENTS] if contents else [])]
    names = sheet_names([(item.joint, item.operation) for item in chosen], others)

    given: list[JointEntry] = []

    def cards() -> Iterator[tuple[str, Filling]]:
        for number, (item, name) in enumerate(zip(chosen, names, strict=True)):
            if progress is not None:
                progress(number, len(chosen))
            try:
                filled = kind.filling(plan, item, both=both, issued=issued)
                if plan.head.carried:
                    filled = replace(filled, values={**filled.values, **carried(item, plan.head)})
                if plan.head.draft:
                    unreleased = plan.head.draft.endswith(DRAFT)
                    filled = as_draft(filled, NOT_RELEASED if unreleased else NOTICE)
                else:
                    filled = released(filled, item.card, releases)
                if words:
                    filled = words.working(filled) if kind is WORKING else words.filled(filled)
            except TemplateError as error:
                report.refused.append((item.joint, item.operation, str(error)))
                continue
            given.append(item)
            yield name, filled

    _about(book, report)
    above = [f"{kind.name}: {plan.head.list_file}, sheet {plan.head.sheet}", f"issued {issued or NO_DAY}"]
    listing = (lambda: _contents(above, given, elsewhere, words)) if contents else None
    written = book.write(target, cards(), contents=listing)
    if progress is not None:
        progress(len(chosen), len(chosen))
    _add(report.notes, written.notes)
    for number, reason in written.refused:
        report.refused.append((given[number].joint, given[number].operation, reason))
    for number, name in written.sheets:
        item = given[number]
        report.cards.append((item.joint, item.operation, item.card or "", name))
    report.files.append(target)


def _contents(
    above: Sequence[str], joints: Sequence[JointEntry], elsewhere: Sequence[tuple[JointEntry, str]], words: Words | None
) -> Contents:
    """What the first sheet says of the cards behind it, and of the others of the same pack."""

    def say(text: str) -> str:
        return words.text(text) if words else text

    def row(joint: JointEntry) -> tuple[str, ...]:
        return (
            joint.joint, say(joint.operation), joint.card or "", str(joint.issue), joint.date or "", joint.crew or "",
            joint.area_of_plant or "", str(joint.studs or ""),
            " + ".join(tool.wrench for tool in joint.tools) or say("by hand"),
        )  # fmt: skip

    headings = ("Joint", "Operation", "Card", "Issue", "Day", "Crew", "Area", "Studs", "Wrench")
    rows = [row(joint) for joint in joints]
    others = [(*row(joint), file) for joint, file in elsewhere]
    below = [(), (say("Other cards of this pack, each in the file named at the end of its line:"),), *others]
    count = f"{len(rows)} cards, in this order"
    return Contents(
        CONTENTS, [*map(say, (*above, count)), ""], [*map(say, headings)], (26, 15, 12, 7, 12, 10, 24, 8, 16, 28), rows,
        below if others else (),
    )  # fmt: skip


def write_sheets(
    book: Template,
    sheets: Iterable[tuple[str, str, Filling | str]],
    target: Path,
    report: PackReport,
) -> None:
    """Write sheets of any kind into one workbook: (name, its ending, filling, or why there is no sheet).

    Raises TemplateError where no sheet is left, or the target is there already.
    """
    listed = list(sheets)
    report.refused += [(name, ending, filling) for name, ending, filling in listed if isinstance(filling, str)]
    if not listed:
        raise TemplateError("the plan has nothing to put on it")
    good = [(name, ending, filling) for name, ending, filling in listed if not isinstance(filling, str)]
    _about(book, report)
    if not good:
        return
    names = sheet_names([(name, ending) for name, ending, _ in good], book.other_sheets)
    written = book.write(target, zip(names, (filling for *_, filling in good), strict=True))
    _add(report.notes, written.notes)
    report.refused += [(good[number][0], good[number][1], reason) for number, reason in written.refused]
    report.cards += [(good[number][0], good[number][1], "", name) for number, name in written.sheets]
    report.files.append(target)


def _about(book: Template, report: PackReport) -> None:
    _add(report.unknown_tokens, book.unknown)
    _add(report.unused_tokens, book.unused)


def _add(lines: list[str], more: Iterable[str]) -> None:
    lines += [line for line in more if line not in lines]


def choose(
    plan: Plan,
    report: PackReport,
    *,
    joints: Collection[str] | None = None,
    asked: LetThrough | None = None,
    cards: Container[str] | None = None,
    kinds: Callable[[JointEntry], CardKind] = kind_of,
) -> list[JointEntry]:
    """The joints that get a card, in the order of the plan; the others go into the report with their reason.

    joints : only these tags; asked : only what a selection lets through; cards : only these revisions; kinds : the kind
    of card of a joint.
    """
    if asked is None:
        everything = list(plan.joints)
        revisions = Counter(item.card for item in everything if item.planned and item.card)
    else:
        everything, revisions = asked.joints, asked.cards
        report.refused += [
            (wanted, "", f"the plan has no joint of this {'tag' if way == 'joint' else way}")
            for way, wanted in asked.unmatched
        ]
        report.skipped += [(*key, "unchanged") for key in asked.unchanged]
    if joints is not None:
        missing = [tag for tag in joints if tag not in {item.joint for item in everything}]
        report.refused += [(tag, "", "the plan has no joint of this tag") for tag in missing]
        everything = [item for item in everything if item.joint in joints]
    chosen = []
    for item in everything:
        key = (item.joint or f"row {item.row}", item.operation)
        if not item.planned:
            report.skipped.append((*key, _why(item)))
        elif cards is not None and item.card and item.card not in cards:
            report.skipped.append((*key, "unchanged"))
        elif not item.card:
            report.refused.append((*key, "the plan gives no card revision"))
        elif revisions[item.card] > 1:
            report.refused.append((*key, f"card revision {item.card} stands on more than one row"))
        elif (reason := kinds(item).fault(plan, item)) is not None:
            report.refused.append((*key, reason))
        else:
            chosen.append(item)
            if item.operation == "break" and not item.breakout and item.passes:
                report.notes.append(
                    f"{key[0]} {key[1]}: a break card shows no tightening passes; those of the plan are left out"
                )
    return chosen


def _why(item: JointEntry) -> str:
    if item.status != STOPPED:
        needs = [found.text for found in item.findings if found.code.startswith("break")]
        return "; ".join([item.said_status, *(text.removeprefix(f"{item.said_status}: ") for text in needs)])
    return "stopped: " + ("; ".join(item.said("stop")) or "no reason given")
