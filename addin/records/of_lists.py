"""Several lists of a job in one hand-over: the records, of whichever list, held against the plan of each."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from addin.plan.file import Plan, read_plan
from addin.plan.release import releases_of
from addin.records.done_work import EarlierCards
from addin.records.handover import write_handover
from addin.records.known_cards import Known, KnownList, known_list
from addin.records.progress import Report, review, together
from addin.records.record_files import read_file
from addin.records.record_rows import Records
from addin.records.tools_of_plan import book_of
from addin.workbooks.outputs import HANDOVER, Outputs
from addin.workbooks.package import WorkbookError
from addin.wrenches.wrench_book import WrenchBook, read_wrench_book
from calc.units import system

NAME = "job-hand-over.xlsx"


@dataclass(frozen=True)
class PlannedList:
    """The plan of a list that holds, and those before it, each with the day from which its cards no longer held."""

    plan: Path
    kept: Sequence[tuple[Path, str]] = ()


@dataclass(frozen=True, eq=False)
class ListsDone:
    """A report for each list, why there is none for some, the hand-over of all, and what to say."""

    reports: Mapping[str, Report]
    faults: Mapping[str, str]
    handover: Path | None
    notes: tuple[str, ...]


def hand_over_lists(
    lists: Mapping[str, PlannedList], files: Sequence[Path], out: Path, books: Sequence[Path], *,
    about: Mapping[str, str] = MappingProxyType({}), paper: str = "A4",
) -> ListsDone:  # fmt: skip
    """Compare as-tightened values with the plans of several lists, and write one hand-over for all of them.

    A list whose plan or records cannot be read is a line, and the others go on. books : as they are now, for what was
    used. about : project, site, contractor.
    """
    reports, faults = review_lists(lists, files, books)
    if not reports:
        return ListsDone(reports, faults, None, ())
    plans = [path for each in lists.values() for path in (each.plan, *(old for old, _ in each.kept))]
    with Outputs(out, [*plans, *files, *books], overwrite=True, by="record") as outputs:
        target = outputs.place(NAME, HANDOVER)
        write_handover(together(reports), target, paper=paper, about=about)
    return ListsDone(reports, faults, outputs.path(target), tuple(outputs.kept()))


def review_lists(
    lists: Mapping[str, PlannedList], files: Sequence[Path], books: Sequence[Path]
) -> tuple[dict[str, Report], dict[str, str]]:
    """Compare as-tightened values with the plans of several lists: a report for each list, and why some have none."""
    read: dict[str, tuple[Plan, list[tuple[Plan, str]], KnownList]] = {}
    faults: dict[str, str] = {}
    for name, each in lists.items():
        try:
            plan, kept = read_plan(each.plan, older=True), [(read_plan(old, older=True), day) for old, day in each.kept]
            read[name] = plan, kept, known_list(plan, [old for old, _ in kept])
        except WorkbookError as error:
            faults[name] = str(error)
    book = read_wrench_book(books, system("US")) if books else None
    reports: dict[str, Report] = {}
    for name, (plan, kept, known) in read.items():
        others = [other for key, (_, _, other) in read.items() if key != name]
        try:
            reports[name] = _report(lists[name].plan, plan, kept, Known(known, others), files, book)
        except WorkbookError as error:
            faults[name] = str(error)
    return reports, faults


def _report(
    plan_file: Path, plan: Plan, kept: Sequence[tuple[Plan, str]], known: Known, files: Sequence[Path],
    book: WrenchBook | None,
) -> Report:  # fmt: skip
    if plan.head.draft:
        raise WorkbookError(f"{plan_file.name}: is a draft: nobody works from it, so nothing is recorded against it")
    found = Records()
    for path in files:
        read_file(path, found, plan.head, known)
    earlier, releases = EarlierCards(plan, kept, book), releases_of(plan_file, plan)
    return review(plan, found, book_of(plan.head, book), known=known, earlier=earlier, releases=releases)
