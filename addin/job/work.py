"""One run of a job: what it reads, remembers and says."""

import datetime
from collections.abc import Sequence
from itertools import count, pairwise
from pathlib import Path

from addin.job.book import ANSWERS, JobBook, answers_workbook
from addin.job.state import Issue, State
from addin.job.wishes import in_words_of_job, list_name, records_of
from addin.records.of_lists import PlannedList
from addin.records.record_files import read_file
from addin.records.record_rows import Records
from addin.workbooks.package import WorkbookError

DONE, NOT_ALL, CANNOT = 0, 1, 2
LISTED = 3
"""Names that one line on the screen has; Messages names all."""


class Run:
    """One run; `say` collects what is said, `code` is the worst that happened, `waits` says that answers wait."""

    def __init__(self, folder: Path, job: JobBook, state: State, scratch: Path) -> None:
        self.folder, self.job, self.state, self.wishes, self.scratch = folder, job, state, job.wishes, scratch
        self._records: list[Path] | None = None
        self._answers: dict[str, Path | None] = {}
        self._sheets: dict[str, str] = {}
        self.when = datetime.datetime.now()
        self.said: list[tuple[str, str]] = []
        self.shown: list[tuple[bool, str]] = []
        self.code = DONE
        self.questions: dict[str, Path] = {}
        self.printed: list[tuple[str, int, str, str]] = []
        self.waits = False

    def take_job(self, job: JobBook) -> None:
        """Go on with the workbook of the job as it was read anew."""
        self.job, self.wishes = job, job.wishes
        self._answers, self._records = {}, None

    def say(self, about: str, text: str, *, code: int = DONE, shown: bool = True, first: bool = False) -> None:
        """Say something, on the screen too where it is for everybody; what stops work at once is said first."""
        text = in_words_of_job(text)
        self.said.append((about, text))
        self.code = max(self.code, code)
        if shown:
            self.shown.append((first, f"{about}: {text}" if about else text))

    @property
    def lines(self) -> list[str]:
        """What is shown, in the order in which people should read it."""
        return [text for _, text in sorted(self.shown, key=lambda each: not each[0])]

    def sheet_of(self, name: str) -> str:
        """The sheet of the workbook in which a list is answered: the one it has, or the one it will get."""
        if name not in self.job.answers and name not in self._sheets:
            there = {*self.job.answers.values(), *self._sheets.values()}
            numbered = (ANSWERS + f" {number}" * (number > 1) for number in count(1))
            self._sheets[name] = next(title for title in numbered if title not in there)
        return self.job.answers.get(name) or self._sheets[name]

    def answers(self, name: str) -> Path | None:
        """The answers of a list in a workbook of their own; None without any."""
        if name not in self._answers:
            self._answers[name] = answers_workbook(self.job, name, self.scratch)
        return self._answers[name]

    def records(self) -> list[Path]:
        """Records that came back, of whichever list; one that cannot be read is named once, and the rest goes on."""
        if self._records is None:
            self._records = []
            for path in records_of(self.wishes):
                try:
                    read_file(path, Records())
                    self._records.append(path)
                except WorkbookError as error:
                    self.say("", f"record not taken: {error}", code=NOT_ALL)
        return self._records

    def plans_beside(self, name: str) -> list[Path]:
        """The plans that hold of the other lists."""
        others = [self.state.latest(other) for path, _ in self.wishes.lists if (other := list_name(path)) != name]
        return [self.path(each.plan) for each in others if each is not None and self.path(each.plan).is_file()]

    def latest(self) -> dict[str, Issue]:
        """The issues that hold of the lists of the job."""
        names = [list_name(path) for path, _ in self.wishes.lists]
        return {name: last for name in names if (last := self.state.latest(name))}

    def planned_lists(self) -> dict[str, PlannedList]:
        """The plans that hold, each with the earlier ones and the day from which their cards no longer held."""
        return {name: PlannedList(self.path(last.plan), self._kept(name)) for name, last in self.latest().items()}

    def _kept(self, name: str) -> list[tuple[Path, str]]:
        pairs = ((self.path(old.plan), new.made_on[:10]) for old, new in pairwise(self.state.of_list(name)))
        return [(plan, day) for plan, day in pairs if plan.is_file()]

    def path(self, name: str) -> Path:
        """A file of an issue."""
        return self.folder / name

    def say_withdrawn(self, issue: Issue) -> None:
        """Name the cards that an issue takes away: in one line on the screen, each with its reason in Messages."""
        void = set() if self.wishes.no_release else {card for *_, card in self.state.without_card(issue)}
        shown = [each for each in issue.withdrawn if each[0] not in void]  # the others are named as void
        for each in issue.withdrawn:
            card, joint, operation, why = each
            line = f"withdraw card {card}: {joint} {operation}: {why}"
            self.say(issue.list_name, line, shown=shown == [each], first=True)
        if len(shown) > 1:
            named = some([f"{card} ({joint} {operation})" for card, joint, operation, _ in shown])
            self.say(issue.list_name, f"withdraw {len(shown)} cards: {named}", first=True)


def some(names: Sequence[str]) -> str:
    """A few of many names, and how many more there are.

    >>> some(["a", "b", "c", "d", "e"]), some(["a"])
    ('a, b, c and 2 more', 'a')
    """
    more = f" and {len(names) - LISTED} more" if len(names) > LISTED else ""
    return f"{', '.join(names[:LISTED])}{more}"
