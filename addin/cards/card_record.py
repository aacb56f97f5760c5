"""The boxes of a card for what is recorded: one for each stud, pass and tool, with what is known already filled in."""

import re
from collections.abc import Sequence

from addin.cards.card_order import around, moves_of
from addin.cards.card_values import exact, joined, text
from addin.forms.tokens import Value
from addin.plan.hand_wrench import hand_tools
from addin.plan.record import HAND, EquipmentEntry, JointPass, PlanHead
from addin.plan.record_joint import JointEntry
from calc.procedure.passes import RETIGHTEN

MOST_TICKED = 32
"""Studs up to which every stud has a box for each pass."""
BAND = 16
"""Boxes beside each other."""
BANDS = ("ticks", "more ticks", "round ticks", "more round ticks")
"""Two bands for passes in the order of page 1, two for those that go round, each with columns of its own."""

RECORD = {
    "gap unit": "unit in which the flange gap is written; blank where nothing is tightened",
    "hold": "witness and hold points of the list that name no pass of the card; blank where there are none",
    "reached heading": "what the gauge or the hand torque wrench reached in each pass, with the unit",
    "ticks heading": "heading of the boxes for each stud; blank where there are none",
    "more ticks heading": "heading of the second band of these boxes; blank where there is none",
    "round ticks heading": "heading of the boxes of the passes that go round; blank where there are none",
    "more round ticks heading": "heading of the second band of these boxes; blank where there is none",
    "no ticks": "why there are no boxes for each stud; blank where there are",
    **{f"move {number}": f"studs of move {number} of the order" for number in range(1, 2 * BAND + 1)},
    **{
        f"round move {number}": f"studs of move {number} of a pass that goes round" for number in range(1, 2 * BAND + 1)
    },
}
DONE = {
    "name": "name of the pass", "witness": "witness or hold point of the pass",
    "reached": "blank for the figure reached, a dash where the pass has none",
}  # fmt: skip
WAIT = {"name": "the pass that waits", "after": "how long, and after which pass"}
TICKS = {"name": "name of the pass"} | {
    f"box {number}": f"blank for a tick, a dash where the pass leaves out the studs of move {number}"
    for number in range(1, 2 * BAND + 1)
}
USED = {
    "wrench": "wrench as planned", "link": "link as planned", "pump": "pump as planned", "gauge": "gauge as planned",
}  # fmt: skip

_ALL = re.compile(r"\s*(?:all|every|each)(?: pass(?:es)?)?\s*", re.IGNORECASE)
_NUMBERS = re.compile(r"\s*(?:pass(?:es)?\s*)?(\d+(?:\s*(?:,|;|/|\+|and|&)\s*\d+)*)\s*", re.IGNORECASE)
_WORDS = {"hold": "HOLD: go on only when signed", "witness": "WITNESS: call first"}

_TICKS_OF_PATTERN = "A tick for each stud and pass, columns in the order of page 1"
_TICKS = "A tick for each stud and pass, columns in cross order"
_ROUND = "A tick for each stud and pass that goes round, columns in circular order"
_ROUNDS = "A tick for each stud and round, columns in circular order, until no nut turns in a whole round"
_LOOSENED = "A tick for each stud and round of loosening, columns in the order of page 1"
ROUNDS = 3
"""Rounds that have boxes where a joint is tightened again."""
LOOSENING = ("loosened, round 1", "loosened, round 2", "nut free, gap open")
_NONE = "–"


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
    done: list[dict[str, Value]] = [
        {
            "name": item.name,
            "witness": _watched(item, points),
            "reached": None if item.pressure or (joint.method == HAND and item.torque) else _NONE,
        }
        for item in passes
    ]
    waits: list[dict[str, Value]] = [
        {"name": item.name, "after": f"{exact(item.wait_hours)} h after {before.name} was done"}
        for before, item in zip(passes, passes[1:], strict=False) if item.wait_hours
    ]  # fmt: skip
    values: dict[str, Value] = {
        "gap unit": _gap_unit(joint) if passes else None,
        "reached heading": _reached(joint, passes) if passes else None,
        "hold": joined(apart, "; ") or None,
    }
    boxes, ticks = _ticks(joint, head, passes)
    return values | boxes, {"done": done, "wait": waits, "used": _used(joint, head), **ticks}


def _reached(joint: JointEntry, passes: Sequence[JointPass]) -> str:
    """What is written beside each pass, in the unit of what is set."""
    if joint.method == HAND:
        return "torque reached"
    units = {item.pressure.unit for item in passes if item.pressure}
    return f"pressure reached, {units.pop()}" if len(units) == 1 else "pressure reached, each wrench"


def _ticks(
    joint: JointEntry, head: PlanHead, passes: Sequence[JointPass]
) -> tuple[dict[str, Value], dict[str, list[dict[str, Value]]]]:
    """The boxes for each stud: passes that go round have columns in the order in which they go."""
    moves, studs = moves_of(joint, head), joint.studs or 0
    boxed = bool(moves) and studs <= MOST_TICKED and (bool(passes) or joint.breakout is not None)
    stages = [item for item in passes if boxed and item.percent is not None]
    again = joint.operation == RETIGHTEN
    crossing = [item.name for item in stages if not _goes_round(item)]
    circling = [item.name for item in stages if _goes_round(item)]
    if boxed and not passes:
        crossing = list(LOOSENING)
    if again and circling:
        circling = [f"round {number}" for number in range(1, ROUNDS + 1)]
    heading = _LOOSENED if not passes else _TICKS_OF_PATTERN if joint.pattern else _TICKS
    many = f"More than {MOST_TICKED} studs: mark each nut as it is done, in every pass."
    round_moves = around(joint) if circling else ()
    values: dict[str, Value] = {
        "ticks heading": heading if crossing else None,
        "more ticks heading": "stud, continued" if crossing and len(moves) > BAND else None,
        "round ticks heading": (_ROUNDS if again else _ROUND) if circling else None,
        "more round ticks heading": "stud, continued" if circling and len(round_moves) > BAND else None,
        "no ticks": many if (passes or joint.breakout) and not boxed else None,
        **{f"move {number}": None for number in range(1, 2 * BAND + 1)},
        **{f"round move {number}": None for number in range(1, 2 * BAND + 1)},
    }
    groups: dict[str, list[dict[str, Value]]] = {}
    pulled = {item.name: item.studs for item in stages}
    for names, ordered, token, bands in (
        (crossing, moves, "move", BANDS[:2]), (circling, round_moves, "round move", BANDS[2:]),
    ):  # fmt: skip
        if names:
            values |= {f"{token} {number}": _studs(move) for number, move in enumerate(ordered, 1)}
        rows: list[dict[str, Value]] = [
            {"name": name, **_left_out(ordered, pulled.get(name, ()) if token == "move" else ())} for name in names
        ]
        groups |= {bands[0]: rows, bands[1]: rows if len(ordered) > BAND else []}
    return values, groups


def _left_out(moves: Sequence[Sequence[int]], studs: Sequence[int]) -> dict[str, Value]:
    """Boxes of a pass by number: a dash for a move that it leaves out, all blank where it pulls all."""
    return {
        f"box {number}": _NONE if studs and not set(studs).intersection(move) else None
        for number, move in enumerate(moves, 1)
    }


def _goes_round(item: JointPass) -> bool:
    """Whether a pass goes round until no nut turns, or to check; one in an order "circular" has its columns."""
    return item.pattern.startswith("circular ")


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
