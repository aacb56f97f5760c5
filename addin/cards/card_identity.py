"""Which card this is: its issue and day, what it replaces, and when it is void."""

from addin.cards.card_values import joined
from addin.forms.tokens import Value
from addin.plan.file import Plan
from addin.plan.record_joint import JointEntry

IDENTITY = {
    "issued": "day on which the card was issued",
    "issue": "number of the issue of this joint's card, 1 for the first",
    "replaces": "the card that this one replaces; blank for a first issue",
    "which": "issue, day of issue and the card replaced, in one line",
    "void": "when the card is void, in one line",
    "crew": "crew of the list",
    "shift": "shift of the list",
    "sequence": "place in the order of work, of the list",
    "work order": "work order or permit of the list",
    "work": "crew, shift, place in the order of work and work order in one line; blank where the list has none",
}


def identity(plan: Plan, joint: JointEntry, issued: str | None) -> dict[str, Value]:
    """Tokens of a card's issue. issued : day of issue, a line to write on where None."""
    day = issued or "____-__-__"
    replaces = f"replaces card {joint.replaces}" if joint.replaces else None
    named = {"crew": joint.crew, "shift": joint.shift, "no.": joint.sequence, "work order": joint.work_order}
    return {
        "issued": day,
        "issue": joint.issue,
        "replaces": replaces,
        "which": joined([f"issue {joint.issue}", f"issued {day}", replaces], " · "),
        "void": _void(plan, joint),
        "crew": joint.crew,
        "shift": joint.shift,
        "sequence": joint.sequence,
        "work order": joint.work_order,
        "work": " · ".join(f"{name} {value}" for name, value in named.items() if value) or None,
    }


def after_the_job(date: str | None, issued: str | None) -> str | None:
    """A caution where a card is issued after the day that its joint was planned for, else None.

    >>> after_the_job("2026-10-12", "2026-11-28")
    'issued 2026-11-28, after the job date 2026-10-12: ask which day holds; certificates were checked for the job date'
    >>> after_the_job("2026-10-12", "2026-10-12"), after_the_job(None, "2026-10-12")
    (None, None)
    """
    if not (date and issued) or issued <= date:
        return None
    return (
        f"issued {issued}, after the job date {date}: ask which day holds; certificates were checked for the job date"
    )


def _void(plan: Plan, joint: JointEntry) -> str:
    """The first day after which a certificate behind the card has run out, a later issue, another joint than stated."""
    days: list[tuple[str, str]] = []
    for tool in joint.tools:
        for name, entry in ((tool.wrench, plan.head.wrench(tool.wrench)), (tool.gauge, plan.head.gauge(tool.gauge))):
            if entry is not None and entry.valid_until:
                days.append((entry.valid_until, name))
    after = "after {}, the last day of {}'s certificate".format(*min(days)) if days else None
    later = "once a later issue is out"
    other = "where studs, nuts, gasket or lubricant are not those stated"
    return f"Void {joined([after, later, other], '; ')}."
