"""The boxes of a card for what is recorded: one for each stud, pass and tool, with what is known already filled in."""

import re
from collections.abc import Sequence

from addin.cards.card_values import joined, text
from addin.forms.tokens import Value
from addin.plan.hand_wrench import hand_tools
from addin.plan.record import HAND, EquipmentEntry, JointPass, PlanHead
from addin.plan.record_joint import JointEntry
from calc.procedure.passes import RETIGHTEN

MOST_TICKED = 32
"""Studs up to which every stud has a box for each pass."""
BAND = 16
"""Boxes beside each other."""
BANDS = ("ticks", "more ticks")

RECORD = {
    "gap unit": "unit in which the flange gap is written; blank where nothing is tightened",
    "hold": "witness and hold points of the list that name no pass of the card; blank where there are none",
    "ticks heading": "heading of the boxes for each stud; blank where there are none",
    "more ticks heading": "heading of the second band of these boxes; blank where there is none",
    "no ticks": "why there are no boxes for each stud; blank where there are",
    **{f"move {number}": f"studs of move {number} of the order" for number in range(1, 2 * BAND + 1)},
}
DONE = {"name": "name of the pass", "witness": "witness or hold point of the pass"}
TICKS = {"name": "name of the pass"}
USED = {
    "wrench": "wrench as planned", "link": "link as planned", "pump": "pump as planned", "gauge": "gauge as planned",
}  # fmt: skip

_ALL = re.compile(r"\s*(?:all|every|each)(?: pass(?:es)?)?\s*", re.IGNORECASE)
_NUMBERS = re.compile(r"\s*(?:pass(?:es)?\s*)?(\d+(?:\s*(?:,|;|/|\+|and|&)\s*\d+)*)\s*", re.IGNORECASE)
_WORDS = {"hold": "HOLD: go on only when signed", "witness": "WITNESS: call first"}

_TICKS_OF_PATTERN = "A tick for each stud and pass: columns in the order of page 1; circular passes go round by number"
_TICKS = "A tick for each stud and pass: columns in cross order; circular passes go round by number"
_ROUNDS = "A tick for each stud and round, until no nut turns in a whole round"
ROUNDS = 3
"""Rounds that have boxes where a joint is tightened again."""


def passes_named(said: str | None) -> set[int] | None:
    """Passes that a witness or hold point names: their numbers, an empty set for all, None where it names none.

    >>> passes_named("3"), passes_named("pass 1, 3"), passes_named("all"), passes_named("client"), passes_named(None)
    ({3}, {1, 3}, set(), None, None)
    """
    if not said:
        return None
    if _ALL.fullmatch(said):
        return set()
    found = _NUMBERS.fullmatch(said)
    return {int(number) for number in re.findall(r"\d+", found[1])} if found else None


def record(joint: JointEntry, head: PlanHead) -> tuple[dict[str, Value], dict[str, list[dict[str, Value]]]]:
    """Tokens and repeating rows of the boxes."""
    passes = [] if joint.operation == "break" else head.passes(joint)
    known = {item.number for item in passes}
    points = {"hold": joint.hold_point, "witness": joint.witness}
    apart = [
        f"{name} point: {said}" for name, said in points.items()
        if said and ((named := passes_named(said)) is None or not named <= known or not passes)
    ]  # fmt: skip
    done: list[dict[str, Value]] = [{"name": item.name, "witness": _watched(item, points)} for item in passes]
    moves, studs = head.order(joint), joint.studs or 0
    boxed = bool(passes) and bool(moves) and studs <= MOST_TICKED
    ticked: list[dict[str, Value]] = [{"name": item.name} for item in passes if boxed and item.percent is not None]
    again = joint.operation == RETIGHTEN
    if again and ticked:
        ticked = [{"name": f"round {number}"} for number in range(1, ROUNDS + 1)]
    second = ticked if len(moves) > BAND else []
    many = f"More than {MOST_TICKED} studs: mark each nut as it is done, in every pass."
    values: dict[str, Value] = {
        "gap unit": _gap_unit(joint) if passes else None,
        "hold": joined(apart, "; ") or None,
        "ticks heading": (_ROUNDS if again else _TICKS_OF_PATTERN if joint.pattern else _TICKS) if ticked else None,
        "more ticks heading": "continued" if second else None,
        "no ticks": many if passes and not ticked else None,
        **{f"move {number}": None for number in range(1, 2 * BAND + 1)},
    }
    if ticked:
        values |= {f"move {number}": _studs(move) for number, move in enumerate(moves, 1)}
    groups = {"done": done, "used": _used(joint, head), **dict(zip(BANDS, (ticked, second), strict=True))}
    return values, groups


def _gap_unit(joint: JointEntry) -> str:
    """Inches where the list's own sizes are in inches, else millimetres."""
    return "in" if joint.across_flats and joint.across_flats.unit == "in" else "mm"


def _studs(move: Sequence[int]) -> str:
    r"""Studs of a move in a narrow box, two to a line.

    >>> _studs((1, 9, 5, 13)), _studs((1,))
    ('1+9+\n5+13', '1')
    """
    return "+\n".join("+".join(map(str, move[start : start + 2])) for start in range(0, len(move), 2))


def _watched(item: JointPass, points: dict[str, str | None]) -> str | None:
    """What a pass waits for: a hold point first."""
    named = {name: passes_named(said) for name, said in points.items()}
    found = [_WORDS[name] for name, these in named.items() if these is not None and (item.number in these or not these)]
    return joined(found, "\n") or None


def tool_words(tool: EquipmentEntry) -> str:
    """A hand torque wrench of the book in a few words."""
    span = f"{text(tool.low)} to {text(tool.high)}" if tool.low and tool.high else None
    return joined([tool.name, f"no. {tool.serial_number}" if tool.serial_number else None, span], ", ")


def _used(joint: JointEntry, head: PlanHead) -> list[dict[str, Value]]:
    """A row for each tool of the card, as planned; an empty one for a hand torque wrench that is not known."""
    rows: list[dict[str, Value]] = [
        {"wrench": tool.wrench, "link": tool.link, "pump": tool.pump, "gauge": tool.gauge} for tool in joint.tools
    ]
    named = hand_tools(joint, head)
    rows += [{"wrench": name} for name in dict.fromkeys(tool.name for tool in named.values() if tool)]
    return rows + ([{}] if None in named.values() else [])


def hand_cautions(joint: JointEntry, head: PlanHead) -> list[str]:
    """Which hand torque wrench pulls the passes that no pump sets, or that the book has none for them."""
    named = hand_tools(joint, head)
    tools = {tool.name: tool for tool in named.values() if tool}
    passes: dict[str | None, list[str]] = {}
    for name, tool in named.items():
        passes.setdefault(tool.name if tool else None, []).append(name)
    found = []
    for tool_name, names in passes.items():
        where = "every pass" if joint.method == HAND else ", ".join(names)
        if tool_name is None:
            found.append(f"{where}: no calibrated hand torque wrench of the wrench book fits; ask before starting")
        elif joint.method != HAND:
            found.append(f"{where}: by hand torque wrench {tool_words(tools[tool_name])}")
    return found
