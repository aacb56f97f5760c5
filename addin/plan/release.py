"""Who released the cards of a plan that a job made: outside a job no release is asked."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

import msgspec

from addin.plan.file import Plan
from addin.workbooks.package import MIB, WorkbookError
from addin.workbooks.plain_file import read_plain

STATE = ".tautsheet-job.json"
"""What a job remembers, in its folder."""


NOTHING_VALID = "nothing valid for this joint until it is released"
"""What holds where a card was replaced and nobody has released the new one: it says other settings than the old one."""


class IssuedCards(Protocol):
    """What must be known of an issue: its number, its list, the cards it has."""

    @property
    def number(self) -> int:
        """Its number."""
        ...

    @property
    def list_name(self) -> str:
        """What its list is called."""
        ...

    @property
    def cards(self) -> tuple[str, ...]:
        """Its card numbers."""
        ...


class Release(msgspec.Struct, frozen=True, kw_only=True):
    """Who released the cards of a list in an issue, and when."""

    number: int
    list_name: str
    by: str
    on: str


class _Issue(msgspec.Struct):
    number: int
    list_name: str
    cards: tuple[str, ...] = ()


class _State(msgspec.Struct):
    issues: tuple[_Issue, ...] = ()
    releases: tuple[Release, ...] = ()
    no_release: str = ""


def released(issues: Iterable[IssuedCards], releases: Iterable[Release], name: str) -> dict[str, Release]:
    """Card numbers of a list that somebody has released, each with its first release."""
    cards = {issue.number: issue.cards for issue in issues if issue.list_name == name}
    found: dict[str, Release] = {}
    for release in releases:
        if release.list_name == name:
            found |= {card: release for card in cards.get(release.number, ()) if card not in found}
    return found


@dataclass(frozen=True)
class Releases:
    """Who released which cards, and `on` which day; `nobody_asked` names who decided that none is asked."""

    cards: dict[str, str] = field(default_factory=dict)
    nobody_asked: str = ""
    on: dict[str, str] = field(default_factory=dict)

    def of(self, card: str | None) -> str | None:
        """Who released a card and when, "" where no release is asked; None where it waits."""
        return "" if self.nobody_asked else self.cards.get(card or "")


def releases_of(plan_file: Path, plan: Plan) -> Releases | None:
    """The releases of the job that made a plan; None where no job made it. A job that is not found released nothing.

    Raises WorkbookError where the file of the job is damaged.
    """
    name = plan.head.job
    if name is None:
        return None
    for folder in list(plan_file.resolve().parents)[:3]:
        if (folder / STATE).is_file():
            try:
                state = msgspec.json.decode(read_plain(folder / STATE, 64 * MIB), type=_State)
            except (msgspec.DecodeError, UnicodeDecodeError) as error:
                raise WorkbookError(f"{folder / STATE}: is damaged: {error}") from None
            found = released(state.issues, state.releases, name)
            who = {card: f"{each.by}, {each.on}" for card, each in found.items()}
            return Releases(who, state.no_release, {card: each.on for card, each in found.items()})
    return Releases()
