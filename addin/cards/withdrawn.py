"""The list of cards to withdraw, those of an older plan that no longer hold, and lines for those that do."""

from addin.cards.card_values import job_days
from addin.forms.tokens import Filling, Value, Vocabulary
from addin.plan.file import Plan
from addin.plan.record import SinceEntry
from addin.plan.release import NOTHING_VALID, Releases
from addin.plan.since import supplement

VOCABULARY = Vocabulary(
    values=frozenset({"list", "date", "program", "old plan", "count"}),
    groups={
        "card": frozenset({"joint", "operation", "card", "reason", "new card"}),
        "supplement": frozenset({"text"}),
    },
    required=(("card.joint",), ("card.operation",), ("card.card",)),
    lists=frozenset({"card", "supplement"}),
)


def filling(plan: Plan, since: SinceEntry, releases: Releases | None = None) -> Filling:
    """The list, from what has changed between two plans; a new card that waits for its release says so."""
    new = {entry.replaces: entry.card for entry in since.issue if entry.replaces}
    if releases is not None:
        waits = {old: card for old, card in new.items() if releases.of(card) is None}
        new |= {old: f"{card}, not released: {NOTHING_VALID}" for old, card in waits.items()}
    rows: list[dict[str, Value]] = [
        {
            **{name: getattr(entry, name) for name in ("joint", "operation", "card", "reason")},
            "new card": new.get(entry.card or "") or "none",
        }
        for entry in since.withdraw
    ]
    lines: list[dict[str, Value]] = [{"text": supplement(entry)} for entry in since.supplements]
    values: dict[str, Value] = {"list": plan.head.list_file, "program": plan.head.program}
    values["date"] = job_days(plan.head.date)
    return Filling(values | {"old plan": since.plan, "count": len(rows)}, {"card": rows, "supplement": lines})
