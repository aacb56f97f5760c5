"""What a job remembers between its runs: its issues, who released them, what was printed and recorded, what was said.

Each issue keeps its own facts in its folder, `issue.json`, and is never written over; what comes later (a release, what
was printed) stands in one small file beside `job.xlsx`, replaced whole.
"""

import contextlib
import os
from collections.abc import Iterable
from pathlib import Path
from typing import TypeVar

import msgspec

from addin.plan.release import STATE, Release, released
from addin.workbooks.new_file import refusal, sync_folder
from addin.workbooks.package import MIB, WorkbookError
from addin.workbooks.plain_file import read_plain

ISSUE = "issue.json"
VERSION = 1
MOST_MESSAGES = 500


class Issue(msgspec.Struct, frozen=True, kw_only=True):
    """One list in one issue: its files, from what it was made, how many rows were planned, and its cards.

    `made_from` is the mark of all that a plan comes from, `sources` those of its parts; `back_to` the issue whose
    content this one has; `withdrawn` the cards that it took away, each with joint, operation and reason; `replaces` its
    cards that stand in the place of another, each with that one, joint and operation.
    """

    number: int
    list_name: str
    plan: str
    planned: str
    made_from: str
    made_on: str
    why: str
    rows: int
    planned_rows: int
    stopped: int
    new: int
    replaced: int
    cards: tuple[str, ...] = ()
    withdrawn: tuple[tuple[str, str, str, str], ...] = ()
    replaces: tuple[tuple[str, str, str, str], ...] = ()
    sources: dict[str, str] = {}
    back_to: int | None = None


class IssueFile(msgspec.Struct, frozen=True, kw_only=True):
    """The issue file of a folder: its lists."""

    version: int
    issues: tuple[Issue, ...]


class Asked(msgspec.Struct, frozen=True, kw_only=True):
    """A list that could not be planned: the mark of what it was tried with, and what stood in the way."""

    made_from: str
    lines: tuple[str, ...]


class Message(msgspec.Struct, frozen=True, kw_only=True):
    """What was said, when, and about which list or file."""

    when: str
    about: str
    text: str


class State(msgspec.Struct, kw_only=True):
    """What a job remembers.

    By list: `rows_wait` the issue of which rows wait for answers, `printed` the issue whose whole pack was printed
    last, `printed_as` how, `tried` the mark of what was printed of which cards, `cards_out` each printed card with the
    issue in whose folder it is, `copies` the mark of the planned copy when it was last looked at, where that is not as
    it was written. `held`: the mark of the records taken.
    """

    version: int = VERSION
    issues: tuple[Issue, ...] = ()
    releases: tuple[Release, ...] = ()
    asked: dict[str, Asked] = {}
    rows_wait: dict[str, int] = {}
    printed: dict[str, int] = {}
    printed_as: dict[str, str] = {}
    tried: dict[str, str] = {}
    cards_out: dict[str, dict[str, int]] = {}
    held: str = ""
    copies: dict[str, str] = {}
    messages: tuple[Message, ...] = ()
    no_release: str = ""
    behind: bool = False
    """Whether the workbook could not be brought up to date."""

    def of_list(self, name: str) -> list[Issue]:
        """The issues of a list, oldest first."""
        return [each for each in self.issues if each.list_name == name]

    def latest(self, name: str) -> Issue | None:
        """The issue of a list that holds now."""
        return next(reversed(self.of_list(name)), None)

    def released(self, name: str) -> dict[str, Release]:
        """Card numbers of a list that somebody has released, with the first release of each."""
        return released(self.issues, self.releases, name)

    def waiting(self, issue: Issue) -> list[str]:
        """Cards of an issue that nobody has released."""
        released = self.released(issue.list_name)
        return [card for card in issue.cards if card not in released]

    def in_hand(self, name: str) -> dict[str, int]:
        """Cards of a list that were printed and not withdrawn since, each with the issue in whose folder it is."""
        gone = {card: issue.number for issue in self.of_list(name) for card, *_ in issue.withdrawn}
        return {card: number for card, number in self.cards_out.get(name, {}).items() if gone.get(card, 0) <= number}

    def without_card(self, issue: Issue) -> list[tuple[str, str, str]]:
        """Joints of which no card is valid: joint, operation, and the released card that a waiting one replaced."""
        waiting, released = self.waiting(issue), self.released(issue.list_name)
        before = {card: (old, joint, operation) for each in self.of_list(issue.list_name)
                  for card, old, joint, operation in each.replaces}  # fmt: skip
        found = []
        for card in waiting:
            seen = {card}
            while card in before and (old := before[card][0]) not in seen:
                seen.add(old)
                if old in released:
                    found.append((*before[card][1:], old))
                    break
                card = old
        return found

    def say(self, when: str, about: str, lines: Iterable[str]) -> None:
        """Remember what was said; the newest stand first."""
        new = tuple(Message(when=when, about=about, text=text) for text in lines)
        self.messages = (*new, *self.messages)[:MOST_MESSAGES]


def read_state(folder: Path) -> State:
    """What a job remembers, with the issues that a run finished and could not note. A new job remembers nothing.

    Raises WorkbookError for a file of a newer version, or one that is damaged.
    """
    path = folder / STATE
    state = _decoded(path, State) if path.exists() else State()
    known = {(each.number, each.list_name) for each in state.issues}
    found: list[Issue] = []
    for there in sorted(folder.glob(f"issue */{ISSUE}")):
        found += [each for each in _decoded(there, IssueFile).issues if (each.number, each.list_name) not in known]
    state.issues = tuple(sorted((*state.issues, *found), key=lambda each: (each.number, each.list_name)))
    return state


def write_state(folder: Path, state: State) -> None:
    """Replace the file whole."""
    write_json(folder / STATE, state)


def write_json(path: Path, content: msgspec.Struct) -> None:
    """Write a small file that appears whole or not at all."""
    new = path.with_name(f"{path.name}.new")
    try:
        with new.open("wb") as file:
            file.write(msgspec.json.format(msgspec.json.encode(content), indent=1))
            file.flush()
            os.fsync(file.fileno())
        os.replace(new, path)
        sync_folder(path.parent)
    except OSError as error:
        with contextlib.suppress(OSError):
            new.unlink()
        raise refusal(path, error) from error


Kind = TypeVar("Kind", State, IssueFile)


def _decoded(path: Path, kind: type[Kind]) -> Kind:
    content = read_plain(path, 64 * MIB)
    try:
        version = msgspec.json.decode(content, type=dict).get("version")
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise WorkbookError(f"{path}: is damaged: {error}") from None
    if version != VERSION:
        raise WorkbookError(
            f"{path}: is of version {str(version)[:20]} of this file, known here is {VERSION}: use the"
            " program that wrote it or a newer one"
        )
    try:
        return msgspec.json.decode(content, type=kind)
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise WorkbookError(f"{path}: is damaged: {error}") from None
