"""The order on a card: the moves as they are pulled or loosened, how a circular pass goes, side and stud 1."""

from collections.abc import Sequence

from addin.cards.stud_circle import EVERY_OTHER, MOST_NUMBERED, WITH_MOVES
from addin.forms.tokens import Value
from addin.plan.record import PlanHead
from addin.plan.record_joint import OWN_ORDER, JointEntry
from calc.findings import InputError
from calc.procedure import order
from calc.procedure.passes import RETIGHTEN, basis, own_order, said_source, scheme

Moves = Sequence[Sequence[int]]

ORDER = {
    "order": "cross order in words and numbers",
    "order large": "the same where it is short, else blank",
    "order fine": "the same where it needs a smaller face, else blank",
    "order heading": "heading of the order",
    "circular": "how a circular pass goes",
    "picture legend": "what the numbers of the order picture mean",
    "no picture": "why there is no order picture; blank where there is one",
    "turned side": "which side is turned",
    "stud 1": "where stud 1 is and from which side it is seen",
}

_FIXED = "\u00a0"
_NO_STUD_1 = "mark it, as agreed at the joint. Position: ______________ seen from: ______________"
_NUMBERS = {2: "two", 3: "three", 4: "four"}
_MOST_NEIGHBOURS, _MOST_LISTED = 12, 4
"""Neighbours that are pulled one after the other: where they are no longer told apart, and listed one by one."""
_LINE, _FINE_LINE, _DIGIT, _PLUS, _ARROW = 300.0, 375.0, 7.0, 7.5, 16.5
"""Points of a line of the order and of what stands in it, in the face of the card; a fine face has room for more."""
MOST_LARGE = 72
"""Studs up to which the order stands in the large face."""


def is_round(joint: JointEntry) -> bool:
    """Whether a circle may be drawn: an order of the list's own may belong to a joint that is not round."""
    return joint.order_source != OWN_ORDER


def moves_of(joint: JointEntry, head: PlanHead) -> Moves:
    """The order in which studs are pulled, or loosened where the joint is broken out: then crosswise, or the list's."""
    if joint.breakout is None:
        return head.order(joint)
    if joint.own_order:
        return joint.own_order
    try:
        return order.cross(joint.studs or 0, joint.at_once)
    except InputError:
        return ()


def around(joint: JointEntry) -> Moves:
    """The moves of a pass that goes round: wrenches together stay evenly spread."""
    try:
        return order.circular(joint.studs or 0, joint.at_once)
    except InputError:
        return ()


def order_words(joint: JointEntry, head: PlanHead) -> dict[str, Value]:
    """Tokens of the order."""
    breaking = joint.operation == "break"
    at_once, moves = joint.at_once, moves_of(joint, head)
    together = _neighbours(moves) if is_round(joint) else 1
    legend: str | None = _legend(joint.studs or 0)
    circling, missing = f"{_circular(joint)}, clockwise", None
    if not moves or not is_round(joint):
        legend, circling = None, f"{_circular(joint)}, as they are numbered"
        missing = "No picture: the order is the list's own.\nStud numbers as marked at the joint."
    fine = (joint.studs or 0) > MOST_LARGE
    lines = _lines(moves, together, _FINE_LINE if fine else _LINE)
    pulled = "\n".join(lines) or "not stated"
    if joint.operation == RETIGHTEN and is_round(joint) and at_once == 1:
        pulled, lines = f"1→{_FIXED}2→{_FIXED}3 … {joint.studs}, round after round, until no nut turns", []
    heading = _heading(joint)
    if at_once > 1:
        heading += f", {at_once} wrenches together: studs joined by + at the same time"
    if together > 1:
        heading += f", {_NUMBERS.get(together, together)} neighbours one after the other, then across"
    heading += _said_source(joint, head)
    if len(lines) > 1:
        heading += "; each line from left to right"
    return {
        "order": pulled,
        "order large": None if fine else pulled,
        "order fine": pulled if fine else None,
        "order heading": heading,
        "circular": None if breaking else circling,
        "picture legend": legend,
        "no picture": missing if moves else "No picture: no order stated.",
        "turned side": joint.turned_side or "________________________",
        "stud 1": joint.stud_1 or _NO_STUD_1,
    }


def _legend(studs: int) -> str:
    if studs <= WITH_MOVES:
        return "bold: stud number   ·   with a point: its place in the order"
    if studs <= EVERY_OTHER:
        return "stud numbers; the order beside it counts"
    if studs <= MOST_NUMBERED:
        return "every other stud is numbered; the order beside it counts"
    return "every fourth stud is numbered; the order beside it counts"


def _heading(joint: JointEntry) -> str:
    if joint.operation == "break":
        return f"Order of loosening: {joint.pattern or 'crosswise'}" if is_round(joint) else "Order of loosening"
    if joint.pattern:
        return f"Order: {joint.pattern}"
    return "Cross order" if is_round(joint) and joint.operation != RETIGHTEN else "Order"


def _said_source(joint: JointEntry, head: PlanHead) -> str:
    """How an order is known that belongs to the scheme of the plan."""
    name = head.settings.scheme
    if joint.operation == RETIGHTEN or not joint.pattern or not basis(name) or own_order(scheme(name)) != joint.pattern:
        return ""
    return f"; {basis(name)}, {said_source(name).split(' (')[0]}"


def _neighbours(moves: Moves) -> int:
    """How many neighbours are pulled one after the other before the wrench goes across: 1, or 2 to 12."""
    run = 1
    while run < len(moves) and list(moves[run]) == [stud + 1 for stud in moves[run - 1]]:
        run += 1
    return run if run <= _MOST_NEIGHBOURS and run < len(moves) else 1


def _circular(joint: JointEntry) -> str:
    """How a circular pass goes: wrenches together stay evenly spread round the joint."""
    if joint.at_once == 1:
        return "stud to stud: 1, 2, 3 …"
    pulled = around(joint)
    moves = ["+".join(map(str, move)) for move in pulled]
    words = (", ".join(moves) if len(moves) < 4 else f"{', '.join(moves[:2])} … {moves[-1]}") + " together"
    return words + ("; in the last move the wrenches without a stud wait" if len(pulled[-1]) < joint.at_once else "")


def _lines(moves: Moves, together: int, line: float = _LINE) -> list[str]:
    """The moves from left to right, with their places in the order at the head of each line.

    Neighbours that are pulled one after the other stand between commas; an arrow is the way across.
    """
    digits, places = len(str(max((stud for move in moves for stud in move), default=1))), len(str(len(moves)))

    def wide(number: int | str, size: int) -> str:
        return str(number).rjust(size).replace(" ", 2 * _FIXED)  # two no-break spaces are as wide as a digit

    written = ["+".join(wide(stud, digits) for stud in move) for move in moves]
    room = line - _DIGIT * (2 * places + 2)
    each = max((_DIGIT * digits + _PLUS) * len(move) - _PLUS for move in moves) + _ARROW if moves else line
    if together > _MOST_LISTED and len(moves[0]) == 1:  # "1–5" for five neighbours one after the other
        spans = [f"{written[at]}–{written[at + together - 1].strip(_FIXED)}" for at in range(0, len(moves), together)]
        per_line = max(min(int(room / (2 * _DIGIT * digits + _PLUS + _ARROW)), 6), 1)
        return [
            f"→{_FIXED}".join(spans[at : at + per_line]) + ("→" if at + per_line < len(spans) else "")
            for at in range(0, len(spans), per_line)
        ]
    most = max(9, together) if together > 1 else 8 if line == _LINE else 10
    per_line = max(min(int(room / each), most) // together, 1) * together
    lines = []
    for start in range(0, len(written), per_line):
        end = min(start + per_line, len(written))
        groups = [f",{_FIXED}".join(written[at : min(at + together, end)]) for at in range(start, end, together)]
        place = f"{wide(start + 1, places)}.–{end}." if end > start + 1 else f"{wide(end, places)}."
        place += 2 * _FIXED * (places - len(str(end)) if end > start + 1 else places + 2)
        lines.append(f"{place}{4 * _FIXED}" + f"→{_FIXED}".join(groups) + ("→" if end < len(written) else ""))
    return lines if len(lines) > 1 else [line.split(4 * _FIXED, 1)[1] for line in lines]
