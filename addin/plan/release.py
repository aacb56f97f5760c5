"""Who released the cards of a plan that a job made: outside a job no release is asked."""

from dataclasses import dataclass, field
from pathlib import Path

import msgspec

from addin.plan.file import Plan
from addin.workbooks.package import MIB, WorkbookError
from addin.workbooks.plain_file import read_plain

STATE = ".tautsheet-job.json"
"""What a job remembers, in its folder."""


class _Issue(msgspec.Struct):
    number: int
    list_name: str
    cards: tuple[str, ...] = ()


class _Signed(msgspec.Struct):
    number: int
    list_name: str
    by: str
    on: str


class _State(msgspec.Struct):
    issues: tuple[_Issue, ...] = ()
    releases: tuple[_Signed, ...] = ()
    no_release: str = ""


@dataclass(frozen=True)
class Releases:
    """Who released which cards; `nobody_asked` names who decided that none is asked."""

    cards: dict[str, str] = field(default_factory=dict)
    nobody_asked: str = ""

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
            signed = {each.number: f"{each.by}, {each.on}" for each in state.releases if each.list_name == name}
            found: dict[str, str] = {}
            for issue in state.issues:
                if issue.list_name == name and issue.number in signed:
                    found |= {card: signed[issue.number] for card in issue.cards if card not in found}
            return Releases(found, state.no_release)
    return Releases()
