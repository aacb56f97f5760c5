"""Cards of a draft: who, where and what studs, but no figure that anybody could set."""

from collections.abc import Mapping
from dataclasses import replace

from addin.cards.card_identity import IDENTITY
from addin.cards.card_record import RECORD, TICKS
from addin.forms.tokens import Filling, Value
from addin.plan.record import DRAFT
from addin.plan.release import Releases

NOTICE = (
    "DRAFT, NOT FOR WORK: the list was read as proposed and nobody has confirmed it. No figure to set stands on it."
)
NOT_RELEASED = "DRAFT, NOT FOR WORK: nobody has released this card. No figure to set stands on it."
_KEPT = frozenset(
    ("joint", "operation", "card", "list", "sheet", "row", "date", "program", "place", "area of plant", "equipment",
     "line", "size", "rating", "gasket", "thread", "studs", "grade", "across flats", "across flats unit", "nut series",
     "lubricant", "order", "order heading", "circular", "turned side", "stud 1", "cautions", "stop lines", "supports",
     "number", "name", "part", "pattern", "wrench", "link", "gauge", "pump", "set alike", "settings of pair",
     "settings of four", *IDENTITY, *RECORD, *TICKS)
)  # fmt: skip
"""Tokens that hold no figure to set; every other one is blotted out."""


def released(filling: Filling, card: str | None, releases: Releases | None) -> Filling:
    """What a card of a job says: who released it, or that it waits for that, and then no figure."""
    if releases is None or (by := releases.of(card)) == "":
        return filling
    if by is None:
        return as_draft(filling, NOT_RELEASED)
    return replace(filling, values={**filling.values, "list": f"{filling.values['list']}, released by {by}"})


def as_draft(filling: Filling, notice: str = NOTICE) -> Filling:
    """What a card is filled with where nobody may work from it: no figure, no picture."""
    values = _blotted(filling.values) | {"notice": notice, "attention": notice, "remarks": DRAFT, "no picture": notice}
    groups = {name: [_blotted(row) for row in rows] for name, rows in filling.groups.items()}
    return replace(filling, values=values, groups=groups, pictures={})


def _blotted(values: Mapping[str, Value]) -> dict[str, Value]:
    return {name: value if name in _KEPT or value in (None, "") else DRAFT for name, value in values.items()}
