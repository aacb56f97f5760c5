"""What stands on a joint card: the words and numbers of one joint of the plan, by token."""

from collections import Counter
from collections.abc import Callable, Sequence

import msgspec

from addin.cards import card_mark, card_passes
from addin.cards.card_identity import after_the_job, identity
from addin.cards.card_order import is_round, moves_of, order_words
from addin.cards.card_record import hand_cautions, record, tool_words
from addin.cards.card_values import (
    caution_words,
    in_ksi,
    in_other_units,
    joined,
    one_unit,
    quantity,
    stress_words,
    text,
    unbroken,
    width_across,
)
from addin.cards.hand_setting import HandSetting, setting
from addin.cards.stud_circle import stud_circle
from addin.forms.tokens import Filling, Value, plain
from addin.plan.entries import Amount
from addin.plan.file import Plan
from addin.plan.hand_wrench import hand_tools
from addin.plan.record import WrenchEntry
from addin.plan.record_joint import (
    LISTED,
    STUD_CEILING,
    WITH_TORSION,
    FrictionEntry,
    JointEntry,
    LimitEntry,
    RangeEntry,
    ToolEntry,
)
from addin.plan.usual_cautions import SUPPORTS, cautions_of, stops_of
from addin.reading.understood import shown_name

_NOTICES = {
    "break": (
        "BREAK: loosen only. Prove zero energy first. Loosen in stages from a low pressure upwards; keep the nuts on "
        "until the gap opens."
    ),
    "test make-up": "TEST MAKE-UP: for the test only. The final make-up has a card of its own.",
    "retighten": (
        "RETIGHTEN: only under engineering authority, for the state of the joint that it names. Fibre gasket after "
        "heat: only with its maker's consent. Go round at full torque, again and again, until no nut turns in a whole "
        "round.\nMost that a nut may turn, by the engineer: ______ °   (nothing written: one flat, 60°)   "
        "Authority: ____________________   document: ____________________   date: ____________"
    ),
}
_RULE_HYDRAULIC = (
    "Wrench off the nut, bring the pressure up to the mark. A stud is at torque only when, after retracting, a full "
    "new stroke does not turn the nut. Grey boxes: leave blank. Other means: to that torque without this wrench, by "
    "the site's procedure."
)
_RULE_HAND = "Pull steadily to the torque of the pass. Grey boxes: leave blank, do what the words say."
_RULE_BREAK = (
    "No tightening pass on this card. A nut that has not moved at the most the wrench may give: stop, never more "
    "pressure."
)


_INSTEAD = (
    "nearest to the final torque first. Strike out the figures above; only the row of the wrench used, on its own gauge"
)
_OFF = {False: "pressure off,", True: "wrench off the nut,"}


def fault(plan: Plan, joint: JointEntry) -> str | None:
    """Why no card can be made of a planned joint, or None."""
    if (unreadable := card_mark.fault(joint)) is not None:
        return unreadable
    passes = plan.head.passes(joint)
    if joint.operation != "break" and not passes:
        return "the plan gives no passes"
    for kind in ("torque", "pressure", "torque_at_pressure"):
        if not one_unit(getattr(item, kind) for item in passes):
            return f"the plan gives {kind.replace('_', ' ')} in several units"
    studs = Counter(stud for move in plan.head.order(joint) for stud in move)
    if studs and (len(studs) != joint.studs or max(studs.values()) > 1):
        return f"the order does not name each of the {joint.studs} studs once"
    return None


def filling(plan: Plan, joint: JointEntry, *, both: bool = False, issued: str | None = None) -> Filling:
    """Everything one card is filled with, from the plan and one of its planned joints.

    both : torques and preload in the other system of units too; pressures stay in the gauge's own. issued : the day.
    """
    hand, breaking = joint.method == "hand", joint.operation == "break"
    wrenches = [] if hand else plan.head.pulling(joint)
    passes = [] if breaking else plan.head.passes(joint)
    if not is_round(joint):
        passes = [
            msgspec.structs.replace(item, pattern="in the order given") if item.pattern == "cross" else item
            for item in passes
        ]
    boxes, record_rows = record(joint, plan.head)
    by_hand = _by_hand(plan, joint) if hand else None
    rows = card_passes.loosening(hand) if breaking else card_passes.rows(passes, by_hand, wrenches, both)
    for row, watched in zip(rows, record_rows["done"], strict=False):
        row["how"] = joined([row["how"], watched["witness"]], "\n")
    several = wrenches if len(wrenches) > 1 and not breaking else []
    differ = card_passes.differ(several, len(passes))
    values = _identity(plan, joint) | identity(plan, joint, issued) | _target(joint, breaking) | boxes
    values |= _hand_tools(plan, joint, by_hand) if by_hand else _tools(plan, joint, wrenches, breaking)
    values |= _headings(plan, joint, by_hand, breaking, differ) | order_words(joint, plan.head)
    values |= _words(plan, joint, hand, breaking, issued)
    if several:
        values |= {"wrenches heading": "Wrenches together", "link": "see each wrench", "gauge": "see each wrench"}
        values |= {"pump": None, "wrench": " and ".join(item.wrench for item in several)}
        values |= {"at set heading": "torque at this pressure"}
        values |= {"torque at setpoint": "see each wrench", "torque at setpoint unit": None, "difference": None}
    if differ:
        values |= {"setpoint": "see each wrench", "setpoint unit": None, "set alike": None}
        values |= {f"set heading {number}": each for number, each in enumerate(_set_headings(several), 1)}
    others = [] if breaking or len(wrenches) != 1 else plan.head.instead(joint)
    instead, shown = card_passes.alternate_rows(others, rows, _sheets(plan), joint.torque)
    if instead:
        values |= {"alternates heading": f"Instead of {wrenches[0].wrench}, {_INSTEAD}", **shown}
    if both and not breaking:
        values |= {f"{name} other": in_other_units(getattr(joint, name)) for name in ("torque", "preload")}
    pictures = {"card mark": card_mark.card_mark(card_mark.key(joint))}
    order = moves_of(joint, plan.head)
    if order and is_round(joint):
        pictures["order picture"] = stud_circle(order, stud_1=joint.stud_1)
    groups = {
        "pass": rows,
        "wrench": card_passes.wrench_rows(several, rows, _sheets(plan)),
        "alternate": instead,
        **record_rows,
    }
    if differ:
        side_by_side = card_passes.side_by_side(several, rows)
        groups |= {name: side_by_side if len(several) == count else [] for name, count in card_passes.TOGETHER.items()}
        values |= {
            f"settings of {name}": "yes" if len(several) == count else None
            for name, count in card_passes.TOGETHER.items()
        }
    groups = {name: [_unbroken(row) for row in each] for name, each in groups.items()}
    return Filling(
        _unbroken(values), groups, pictures, card_passes.needs(len(rows), hand, len(several) if differ else 0)
    )


_WRAPPED = frozenset(("friction", "limits", "range", "target", "remarks", "gasket", "attention", "words", "washers"))
"""Tokens whose texts run over several lines."""


def _unbroken(values: dict[str, Value]) -> dict[str, Value]:
    """The same with fractions that no line breaks."""
    return {name: unbroken(v) if name in _WRAPPED and isinstance(v, str) else v for name, v in values.items()}


def _set_headings(wrenches: Sequence[ToolEntry]) -> list[str]:
    """A heading for each wrench that has settings of its own: what is set on it, and in which unit."""
    units = [next((step.pressure.unit for step in item.passes if step.pressure), None) for item in wrenches]
    return [
        joined([f"PRESSURE TO SET\non {item.wrench}", unit], ", ") for item, unit in zip(wrenches, units, strict=True)
    ]


def _identity(plan: Plan, joint: JointEntry) -> dict[str, Value]:
    names = ("area_of_plant", "equipment", "line", "size", "rating", "gasket", "remarks")
    values: dict[str, Value] = {name.replace("_", " "): getattr(joint, name) for name in names}
    # a bare number does not say whether it is a class or a pressure, an NPS or a DN
    named = [
        f"{name} {value}" if str(value).isdigit() else value
        for name, value in (("size", joint.size), ("rating", joint.rating))
    ]
    place = [joint.area_of_plant, joint.equipment, joint.line, *named]
    return values | {
        "joint": joint.joint,
        "operation": joint.operation,
        "card": joint.card,
        "list": plan.head.list_file,
        "sheet": plan.head.sheet,
        "row": joint.row,
        "date": joint.date or plan.head.date or "____-__-__",
        "program": plan.head.program,
        "place": joined(place, " · "),
        "thread": joint.thread,
        "studs": joint.studs,
        "grade": joint.grades or "not stated",
        "nut series": joint.nut_series or "series not stated",
        **width_across(joint.across_flats, "not stated"),
        **_listed(joint),
        **{shown_name(name): str(joint.listed.get(name) or "not stated") for name in ("washers", "stud_condition")},
    }


def _listed(joint: JointEntry) -> dict[str, Value]:
    """What the list says and the plan only carries, by the names of its fields."""
    values: dict[str, Value] = {}
    for each in LISTED:
        name, value = shown_name(each.name), joint.listed.get(each.name)
        if isinstance(value, str) or each.kind is None:
            values[name] = str(value) if value else None
        else:
            values |= quantity(name, value, "not stated")
    return values


def _target(joint: JointEntry, breaking: bool) -> dict[str, Value]:
    target = joint.target
    friction = target.friction if target else FrictionEntry()
    words = {
        "nut factor": f"nut factor {plain(friction.nut_factor)}",
        "coefficients": f"friction {plain(friction.thread_friction)} in the thread, "
        f"{plain(friction.nut_friction)} under the nut",
    }
    source = friction.source
    values: dict[str, Value] = {
        "lubricant": friction.lubricant or "not stated",
        "friction": words.get(friction.kind, "not stated") + (f"; source: {source}" if source else ""),
        "limits": _limits(joint.limits, joint.range),
        "range": _range(joint.range),
    }
    if breaking:
        blank: dict[str, Value] = {"limits": None, "range": None}
        return dict.fromkeys(("lubricant", "friction", "target", "preload", "torque"), "–") | blank
    values |= quantity("preload", joint.preload, joint.preload_note or "not known", rounded=True)
    values |= quantity("torque", joint.torque, "not stated", rounded=True)
    return values | {"target": stress_words(target.basis) if target else None}


def _range(reach: RangeEntry | None) -> str | None:
    """Low and high preload on three digits, since both are estimates, and what is in them.

    >>> _range(RangeEntry(low=Amount(58123.0, "lbf"), high=Amount(84987.0, "lbf"), holds="nut factor 0.13 to 0.19"))
    '58100 to 85000 lbf in a stud: nut factor 0.13 to 0.19'
    """
    if reach is None or reach.low is None or reach.high is None:
        return None
    low, high = (plain(float(f"{end.value:.3g}")) for end in (reach.low, reach.high))
    return f"{low} to {high} {reach.high.unit} in a stud" + (f": {reach.holds}" if reach.holds else "")


def _limits(limits: Sequence[LimitEntry], reach: RangeEntry | None) -> str:
    """Limits with what is reached, then in one line the names of those that were not checked.

    Inputs that one of these lacks stand in the plan; another reason stands with its name.
    """
    checked = "; ".join(_limit(limit) for limit in limits if limit.value is not None) or "none checked"
    names = []
    for limit in limits:
        if limit.value is None:
            why = (limit.note or "").removeprefix("not checked").lstrip(" ,:")
            names.append(limit.name + (f" ({why})" if why and not why.startswith("needs ") else ""))
    if reach is not None and reach.nominal is not None and reach.low is None:
        names.append("range of preload (scatter not stated)")
    return checked + (f"\nNot checked: {', '.join(names)}" if names else "")


def _limit(limit: LimitEntry) -> str:
    assert limit.value is not None
    note, value = limit.note, in_ksi(limit.value)
    reached = limit.reached and in_ksi(limit.reached)
    if limit.name == STUD_CEILING and reached:
        share = (note or "").removesuffix(f", {WITH_TORSION}")
        share = f" ({share})" if share else ""
        return f"stud stress, {WITH_TORSION}: {text(reached)} of the {text(value)} allowed{share}"
    words = f"{limit.name} {text(value)}" + (f" ({note})" if note else "")
    return words + (f": {text(reached)} is reached" if reached else "")


def _by_hand(plan: Plan, joint: JointEntry) -> Callable[[Amount], HandSetting]:
    """What the hand torque wrench of the book that fits is set to; without one, any such wrench."""
    tool = next(iter(hand_tools(joint, plan.head).values()), None)
    return lambda torque: setting(torque, tool, joint.limits)


def _hand_tools(plan: Plan, joint: JointEntry, by_hand: Callable[[Amount], HandSetting]) -> dict[str, Value]:
    tool = next(iter(hand_tools(joint, plan.head).values()), None)
    values: dict[str, Value] = {"wrench": "hand torque wrench, no. ____________", "ratings": "–"}
    values |= {
        "certificate": "____________ valid until ____________",
        "link": "–",
        "gauge": "–",
        "pump": None,
        "hose": None,
    }
    if tool is not None:
        values["wrench"] = f"hand torque wrench {tool_words(tool)}"
        until = f"valid until {tool.valid_until}"
        values["certificate"] = joined([tool.certificate or "certificate not stated", until], ", ")
    set_to = by_hand(joint.torque) if joint.torque else None
    values |= quantity("setpoint", Amount(set_to.value, set_to.unit) if set_to else None, "not stated")
    return values | quantity("torque at setpoint", None, "–")


def _tools(plan: Plan, joint: JointEntry, wrenches: Sequence[ToolEntry], breaking: bool) -> dict[str, Value]:
    tools = wrenches or joint.tools
    names = [item.wrench for item in tools]
    sheets = _sheets(plan)
    certificates, ratings = [], []
    for name in names:
        sheet = sheets.get(name)
        until = f"valid until {sheet.valid_until}" if sheet and sheet.valid_until else None
        certificates.append(joined([sheet.certificate if sheet else None, until], ", ") or "not stated")
        ratings.append(card_passes.rated(sheet))
    values: dict[str, Value] = {
        name: getattr(joint.tool, name, None) or "not stated" for name in ("wrench", "gauge", "pump")
    }
    hoses = [(sheets[name].hose if name in sheets else None) or "hose not named" for name in names]
    values["hose"] = _each(names, hoses)
    values |= {"link": (joint.tool.link if joint.tool else None) or "none"}
    values |= {"certificate": _each(names, certificates), "ratings": _each(names, ratings)}
    values |= quantity("setpoint", None if breaking else joint.setpoint, "none")
    at = None if breaking else joint.torque_at_setpoint
    return values | quantity("torque at setpoint", at, "–", rounded=True)


def _sheets(plan: Plan) -> dict[str, WrenchEntry]:
    """What the plan says of each wrench."""
    return {item.name: item for item in plan.head.wrenches}


def _each(names: Sequence[str], texts: Sequence[str]) -> str:
    """One text where all wrenches have the same, else one line for each."""
    if len(set(texts)) == 1:
        return texts[0] if len(texts) == 1 or texts[0] == "not stated" else f"each {texts[0]}"
    return "\n".join(f"{name}: {words}" for name, words in zip(names, texts, strict=True))


def _headings(
    plan: Plan, joint: JointEntry, by_hand: Callable[[Amount], HandSetting] | None, breaking: bool, differ: bool
) -> dict[str, Value]:
    hand = by_hand is not None
    off = joint.difference_percent
    kind = "torque" if hand else "pressure"
    passes = plan.head.passes(joint)
    first = {
        key: next((amount.unit for item in passes if (amount := getattr(item, key))), None)
        for key in (kind, "torque_at_pressure")
    }
    if by_hand and joint.torque and first[kind]:
        first[kind] = by_hand(joint.torque).unit
    set_heading = "LOOSEN" if breaking else f"{kind.upper()} TO SET"
    if not (hand or breaking):
        names = [item.wrench for item in plan.head.pulling(joint)]
        if len(names) > 2:  # they run over two lines: no name is parted
            names = [name.replace("-", "\u2011") for name in names]
        set_heading += " on " + " and ".join(names)
    at = None if hand or breaking else joined(["torque at this pressure", first["torque_at_pressure"]], "\n")
    return {
        "backup wrench": joint.backup_wrench or "not stated",
        "difference": None
        if hand or breaking or off is None
        else f"({off:+.1f} % on the final torque)".replace("-", "−"),
        "set heading": set_heading if breaking or differ else joined([set_heading, first[kind]], ", "),
        "set alike": "yes",
        "set unit": None if breaking or differ else first[kind],
        "at set heading": at,
        "at once": joint.at_once,
    }


def _notice(joint: JointEntry) -> str | None:
    """What stands at the head of a card: a row to be reviewed first, then what its operation asks."""
    review = (
        [f"TO BE REVIEWED BY THE ENGINEER BEFORE WORK: {'; '.join(map(stress_words, joint.to_review))}"]
        if joint.to_review
        else []
    )
    own = _NOTICES.get(joint.operation)
    return "\n".join([*review, *([own] if own else [])]) or None


def _words(plan: Plan, joint: JointEntry, hand: bool, breaking: bool, issued: str | None) -> dict[str, Value]:
    said = [after_the_job(joint.date or plan.head.date, issued), *map(caution_words, joint.for_the_crew())]
    found = [f"• {text}" for text in [*said, *hand_cautions(joint, plan.head)] if text]
    return {
        "notice": _notice(joint),
        "attention": "\n".join(found) or None,
        "cautions": "\n".join(f"• {line}" for line in cautions_of(joint)),
        "stop lines": f"STOP, {_OFF[hand]} and call the supervisor when: {'; '.join(stops_of(joint))}.",
        "rule": _RULE_BREAK if breaking else _RULE_HAND if hand else _RULE_HYDRAULIC,
        "supports": SUPPORTS,
    }
