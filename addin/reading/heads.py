"""What the headings of a list are, and what sorts of fields there are."""

from dataclasses import dataclass

from addin.reading.understood import PITCH

NO_FIELD = 0.55
"""What it is worth to be no field."""

TARGETS = ("stress", "load", "torque", "percent")

CALCULATING = frozenset(
    (*TARGETS, "thread", "studs", "grade", "area", "lubricant", "nut_factor", "thread_friction", "nut_friction", "wrench",
     "at_once", "nut_series", "across_flats", "operation", "method", "joint", "date")
)  # fmt: skip
"""Fields that change a number or what is done: each of their columns is used only when sure."""

PROTECTS = frozenset(("stud_temperature",))
"""Fields that a list may leave out, but that are asked about rather than left aside: they stop what could hurt."""
ASK_WORTHY = CALCULATING | PROTECTS | {"size", "rating"}

SHOWN_ONLY = frozenset((PITCH,))
"""Names of columns that are recognised, and are no fields."""

OF_THE_DAY = frozenset(("hold_point", "witness", "crew", "shift", "sequence", "work_order", "print"))
"""Fields of how the work is shared out and watched: they never stand in the way of a field that calculates."""

BESIDE = SHOWN_ONLY | OF_THE_DAY | {"shank_diameter", "nut_grade"}


@dataclass(frozen=True)
class Head:
    """One heading as it stands: its place (from 0), its text, what stands above it, and its cell in a row of units.

    `spans`: what stands above is merged, or spread, over several columns. `parts`: what a line break or " / " parts in
    it; `heard`: the half that is heard of a heading in two languages, "" for all of it.
    """

    at: int
    text: str
    above: str = ""
    spans: bool = False
    unit: str = ""
    parts: tuple[str, ...] = ()
    heard: str = ""

    @property
    def shown(self) -> str:
        """The heading as it is shown to the user: from above to below."""
        return " / ".join(part for part in (self.above, self.text, self.unit) if part)


def cut(text: str, most: int = 60) -> str:
    """A text cut to a length, with a mark.

    >>> cut("a" * 60) == "a" * 60, cut("a" * 61) == "a" * 59 + "…"
    (True, True)
    """
    return text if len(text) <= most else f"{text[: most - 1]}…"
