"""What stands on a break-out card: the pressures to try on an old nut, and the one never to go beyond."""

import re
from dataclasses import replace

from addin.cards import card_mark
from addin.cards import joint_card as card
from addin.cards.card_record import BANDS, TICKS, USED
from addin.cards.card_tokens import CARD
from addin.cards.card_values import ceiling, in_other_units, one_unit, quantity, text
from addin.forms.tokens import Filling, Value, Vocabulary, plain
from addin.plan.file import Plan
from addin.plan.record_joint import BreakoutEntry, JointEntry

BREAK_OUT = {
    "torque stated": "torque the joint was made up with",
    "torque stated unit": "its unit",
    "factor": "torque to expect over the torque stated",
    "factor from": "who states the factor",
    "expected": "torque to expect",
    "expected unit": "its unit",
    "expected other": "torque to expect in the other system of units; blank unless both are asked for",
    "available": "torque of the wrench at the lowest rating",
    "available unit": "its unit",
    "stud limit": "torque at which the stud begins to yield, or why it was not checked",
    "stud limit unit": "its unit",
    "stud note": "what the stud's limit stands on",
    "never above": "torque never to go beyond",
    "never above unit": "its unit",
    "highest pressure": "pressure never to go beyond",
    "highest pressure unit": "its unit",
    "turned above": "torque never to go beyond once the nut has turned",
    "turned above unit": "its unit",
    "turned pressure": "pressure never to go beyond once the nut has turned; blank where it is the highest pressure",
    "turned pressure unit": "its unit",
    "not turned": "what holds while a nut has not turned, after the last stage",
    "turned": "what holds from the moment in which a nut turns",
    "stop words": "what to do when the nut has not turned at the highest pressure",
    "follows": "what follows from torque to expect, wrench and stud",
    "stages note": "how the stages go",
}
STAGE = {
    "number": "number of the stage",
    "pressure": "pressure to set",
    "pressure unit": "its unit",
    "torque": "torque at that pressure",
    "torque unit": "its unit",
    "torque other": "the same in the other system of units; blank unless both are asked for",
}
VOCABULARY = Vocabulary(
    values=frozenset(CARD) | frozenset(BREAK_OUT),
    groups={"stage": frozenset(STAGE), "used": frozenset(USED), **dict.fromkeys(BANDS[:2], frozenset(TICKS))},
    pictures=frozenset({"order picture", "card mark"}),
    required=(("joint",), ("operation",), ("card",), ("stage.pressure",), ("highest pressure",)),
    exact=frozenset({"stage.pressure", "highest pressure", "turned pressure"}),
    spare=frozenset({"used", *BANDS[:2]}),
)

_TURNED = "From the moment the nut turns: NEVER ABOVE"

_WITHIN = "The wrench's rating covers the torque to expect."
_LARGER = "The nut may need more than this wrench has: a larger wrench stands ready. Never more pressure."
_STUD_STOPS = (
    "A nut that has not turned at the highest pressure: STOP. The stud itself is at its limit: no larger wrench, no "
    "more pressure. Call the engineer, who decides (cut, split, heat where allowed)."
)
_WRENCH_STOPS = (
    "A nut that has not turned at the highest pressure: STOP. Never more pressure. Call the engineer: a larger wrench, "
    "or other means."
)
_FOLLOWS = {
    "within the rating": _WITHIN,
    "larger wrench": _LARGER,
    "other means": (
        "The nut may need more than the stud takes: no larger wrench. Other means stand ready (penetrant, heat where "
        "allowed, splitting or cutting the nut), or the engineer declares the stud sacrificial."
    ),
    "within the rating, stud not checked": f"{_WITHIN} The stud in torsion is not checked.",
    "larger wrench, stud not checked": f"{_LARGER} The stud in torsion is not checked.",
}


def fault(plan: Plan, joint: JointEntry) -> str | None:
    """Why no break-out card can be made of a planned joint, or None."""
    if (unreadable := card_mark.fault(joint)) is not None:
        return unreadable
    block = joint.breakout
    stages = block.stages if block else ()
    if block is None or not stages:
        return "the plan gives no pressures to break out with"
    if not block.highest_pressure:
        return "the plan gives no pressure never to go beyond"
    if not one_unit([*(stage.pressure for stage in stages), block.highest_pressure]):
        return "the plan gives pressure in several units"
    if any(not stage.pressure for stage in stages):
        return "the plan gives a stage without a pressure"
    if max(stage.pressure.value for stage in stages) > block.highest_pressure.value:
        return "the plan gives a stage above the pressure never to go beyond"
    return None


def filling(plan: Plan, joint: JointEntry, *, both: bool = False, issued: str | None = None) -> Filling:
    """Everything one break-out card is filled with."""
    block = joint.breakout
    assert block is not None
    base = card.filling(plan, joint, issued=issued)
    note = block.note
    values: dict[str, Value] = dict(base.values)
    for name in ("torque stated", "expected"):
        values |= quantity(name, getattr(block, name.replace(" ", "_")), "not stated", rounded=True)
    for name in ("available", "never above"):
        values |= ceiling(name, getattr(block, name.replace(" ", "_")), "not stated")
    values |= ceiling("stud limit", block.stud_limit, "not checked")
    values |= quantity("highest pressure", block.highest_pressure, "none")
    lower = block.turned_pressure if block.turned_pressure != block.highest_pressure else None
    values |= quantity("turned pressure", lower, "") | ceiling("turned above", block.once_turned if lower else None, "")
    values |= {
        "not turned": _not_turned(block),
        "turned": _TURNED if lower else None,
        "attention": _without_breakout(joint, base.values["attention"]),
        "factor": block.factor,
        "factor from": block.factor_from,
        "stud note": block.stud_note.removeprefix("not checked: ") or None,
        "stop words": _STUD_STOPS if block.by_stud else _WRENCH_STOPS,
        "follows": _FOLLOWS.get(block.follows, block.follows),
        "nut series": joint.nut_series or "series not stated",
        "stages note": _stages(note),
        "expected other": in_other_units(block.expected) if both else None,
        "notice": None,
        "lubricant": None,
        "target": _basis(block),
    }
    rows: list[dict[str, Value]] = []
    for stage in block.stages:
        row: dict[str, Value] = {"number": stage.stage}
        row |= quantity("pressure", stage.pressure, "none")
        row |= quantity("torque", stage.torque_at_pressure, "", rounded=True)
        row["torque other"] = in_other_units(stage.torque_at_pressure) if both else None
        rows.append(row)
    needs = [(f"stage.{number}.pressure",) for number in range(1, len(rows) + 1)]
    kept = {name: base.groups[name] for name in ("used", *BANDS[:2])}
    return replace(base, values=values, groups={"stage": rows, **kept}, needs=needs)


def _stages(note: str) -> str:
    """How the stages go, without what follows them: that stands with its figure.

    >>> _stages("from below; stop when the nut turns. A nut that has not turned at the last stage: raise")
    'From below; stop when the nut turns'
    """
    first = re.split(r"\. (?=A nut that has not turned|The last stage is)", note)[0]
    return first[:1].upper() + first[1:]


def _not_turned(block: BreakoutEntry) -> str:
    last = block.stages[-1]
    if block.highest_pressure and last.pressure.value >= block.highest_pressure.value:
        return f"Not turned at stage {last.stage}: that is the end. NEVER ABOVE"
    return f"Not turned at stage {last.stage}: go up mark by mark. NEVER ABOVE"


def _without_breakout(joint: JointEntry, attention: Value) -> Value:
    """The cautions of the joint without that of breaking out: its figures stand where they are to be obeyed."""
    said = {f"• {card.caution_words(each)}" for each in joint.for_the_crew() if each.code == "breakout_expect"}
    lines = [line for line in str(attention or "").split("\n") if line not in said]
    return "\n".join(lines) or None


def _basis(block: BreakoutEntry) -> str:
    """Where the torque to expect comes from, in words."""
    if not block.torque_stated:
        return "not stated"
    words = f"{text(block.torque_stated)} stated × {plain(block.factor)}"
    return words + (f" ({block.factor_from})" if block.factor_from else "")
