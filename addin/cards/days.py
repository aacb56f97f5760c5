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

    Wrenches of one pump that are needed for different joints of a day are named: they cannot pull at the same time.

    >>> one = JointEntry(row=7, joint="E-1", operation="final make-up", method="hand", status="planned", crew="A")
    >>> day_lines([one])[0]["text"]
    'by hand: crew A; 1 card, time not estimated'
    """
    work: dict[tuple[str, str], list[JointEntry]] = {}
    for joint in joints:
        if joint.planned:
            for wrench in dict.fromkeys(tool.wrench for tool in joint.tools) or (BY_HAND,):
                work.setdefault((joint.date or NO_DAY, wrench), []).append(joint)
    shared = _same_pump(joints)
    lines: list[dict[str, Value]] = []
    for (date, wrench), mine in sorted(work.items()):
        first = not lines or lines[-1]["day"] != date
        known = [joint.duration.value for joint in mine if joint.duration and joint.duration.value is not None]
        hours = sum(known) / 60
        crews = sorted({joint.crew for joint in mine if joint.crew})
        line: dict[str, Value] = {"day": date, "date": date if first else None, "wrench": wrench, "cards": len(mine)}
        line |= {"hours": float(f"{hours:.3g}") if known else "not known", "crews": listed(crews, "and") or None}
        text = _text(wrench, hours if known else None, crews, len(mine) - len(known))
        lines.append(line | {"text": "; ".join([text, *shared.get((date, wrench), [])])})
    return lines


def _same_pump(joints: Sequence[JointEntry]) -> dict[tuple[str, str], list[str]]:
    """For a day and wrench: the pumps that other wrenches need for joints of their own that day."""
    users: dict[tuple[str, str], dict[frozenset[str], None]] = {}
    for joint in joints:
        if joint.planned:
            for pump in {tool.pump for tool in joint.tools if tool.pump}:
                group = frozenset(tool.wrench for tool in joint.tools if tool.pump == pump)
                users.setdefault((joint.date or NO_DAY, pump), {})[group] = None
    found: dict[tuple[str, str], list[str]] = {}
    for (date, pump), groups in sorted(users.items()):
        for wrench in sorted(frozenset().union(*groups)):
            others = sorted(frozenset().union(*(group for group in groups if wrench not in group)) - {wrench})
            if others:
                found.setdefault((date, wrench), []).append(f"needs pump {pump}, as {listed(others, 'and')} that day")
    return found


def _text(wrench: str, hours: float | None, crews: Sequence[str], untimed: int) -> str:
    said = [f"{figure(round(hours, 1) if hours < 10 else round(hours))} h of work"] if hours is not None else []
    if crews:
        said.append(f"crew{'s' * (len(crews) > 1)} {listed(list(crews), 'and')}")
    parts = [", ".join(said)] if said else []
    if untimed:
        parts.append(f"{untimed}{' more' * (hours is not None)} card{'s' * (untimed != 1)}, time not estimated")
    return f"{wrench}: {'; '.join(parts)}"
