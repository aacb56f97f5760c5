"""One run of a job: what it reads, remembers and says."""

import datetime
from pathlib import Path

from addin.job.book import JobBook, answers_workbook
from addin.job.state import Issue, State

DONE, NOT_ALL, CANNOT = 0, 1, 2
LISTED = 5
"""Cards to withdraw that are named one by one on the screen; Messages names all."""


class Run:
    """One run; `say` collects what is said, `code` the worst that happened."""

    def __init__(self, folder: Path, job: JobBook, state: State, scratch: Path) -> None:
        self.folder, self.job, self.state, self.wishes, self.scratch = folder, job, state, job.wishes, scratch
        self._answers: dict[str, Path | None] = {}
        self.when = datetime.datetime.now()
        self.said: list[tuple[str, str]] = []
        self.lines: list[str] = []
        self.code = DONE
        self.questions: dict[str, Path] = {}

    def say(self, about: str, text: str, *, code: int = DONE, shown: bool = True) -> None:
        """Say something, on the screen too where it is for everybody."""
        self.said.append((about, text))
        self.code = max(self.code, code)
        if shown:
            self.lines.append(f"{about}: {text}" if about else text)

    def answers(self, name: str) -> Path | None:
        """The answers of a list in a workbook of their own; None without any."""
        if name not in self._answers:
            self._answers[name] = answers_workbook(self.job, name, self.scratch)
        return self._answers[name]

    def path(self, name: str) -> Path:
        """A file of an issue."""
        return self.folder / name

    def say_withdrawn(self, issue: Issue) -> None:
        """Name the cards that an issue takes away."""
        for at, (card, joint, operation, reason) in enumerate(issue.withdrawn):
            self.say(issue.list_name, f"withdraw card {card}: {joint} {operation}: {reason}", shown=at < LISTED)
