"""The list of cards to withdraw: those of an older plan that no longer hold."""

from collections.abc import Mapping
from typing import Any

from addin.cards.card_values import NO_DAY
from addin.forms.tokens import Filling, Value, Vocabulary

VOCABULARY = Vocabulary(
    values=frozenset({"list", "date", "program", "old plan", "count"}),
    groups={"card": frozenset({"joint", "operation", "card", "reason", "new card"})},
    required=(("card.joint",), ("card.operation",), ("card.card",)),
    lists=frozenset({"card"}),
)


def filling(plan: Mapping[str, Any], since: Mapping[str, Any]) -> Filling:
    """The list, from what has changed between two plans."""
    new = {entry["replaces"]: entry["card"] for entry in since["issue"] if entry.get("replaces")}
    rows: list[dict[str, Value]] = [
        {
            **{name: entry[name] for name in ("joint", "operation", "card", "reason")},
            "new card": new.get(entry["card"]) or "none",
        }
        for entry in since["withdraw"]
    ]
    values: dict[str, Value] = {name: plan.get(name) for name in ("list", "program")}
    values["date"] = plan.get("date") or NO_DAY
    return Filling(values | {"old plan": since["plan"], "count": len(rows)}, {"card": rows})
