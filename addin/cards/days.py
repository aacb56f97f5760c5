"""The work of each day: a line for each wrench with its hours and the crews that need it."""

from collections.abc import Sequence

from addin.cards.card_values import NO_DAY
from addin.cells.words import figure, listed
from addin.forms.tokens import Value
from addin.plan.record_joint import JointEntry

DAY = {
    "date": "day, on the first of its lines",
    "wrench": "wrench, or by hand",
    "hours": "hours of work that the plan foresees for it",
    "cards": "cards that set it that day",
    "crews": "crews of the list that need it",
    "text": "all of that in one line",
}
BY_HAND = "by hand"


def day_lines(joints: Sequence[JointEntry]) -> list[dict[str, Value]]:
    """A line for each day and wrench, in order. A joint that several wrenches pull counts for each of them.

    >>> one = JointEntry(row=7, joint="E-1", operation="final make-up", method="hand", status="planned", crew="A")
    >>> day_lines([one])[0]["text"]
    'by hand: crew A; 1 card without a time'
    """
    work: dict[tuple[str, str], list[JointEntry]] = {}
    for joint in joints:
        if joint.planned:
            for wrench in dict.fromkeys(tool.wrench for tool in joint.tools) or (BY_HAND,):
                work.setdefault((joint.date or NO_DAY, wrench), []).append(joint)
    lines: list[dict[str, Value]] = []
    for (date, wrench), mine in sorted(work.items()):
        first = not lines or lines[-1]["day"] != date
        known = [joint.duration.value for joint in mine if joint.duration and joint.duration.value is not None]
        hours = sum(known) / 60
        crews = sorted({joint.crew for joint in mine if joint.crew})
        line: dict[str, Value] = {"day": date, "date": date if first else None, "wrench": wrench, "cards": len(mine)}
        line |= {"hours": float(f"{hours:.3g}") if known else "not known", "crews": listed(crews, "and") or None}
        lines.append(line | {"text": _text(wrench, hours if known else None, crews, len(mine) - len(known))})
    return lines


def _text(wrench: str, hours: float | None, crews: Sequence[str], untimed: int) -> str:
    said = [f"{figure(round(hours, 1) if hours < 10 else round(hours))} h of work"] if hours is not None else []
    if crews:
        said.append(f"crew{'s' * (len(crews) > 1)} {listed(list(crews), 'and')}")
    words = f"{wrench}: {', '.join(said)}" if said else wrench
    return words + (f"; {untimed} card{'s' * (untimed != 1)} without a time" if untimed else "")
