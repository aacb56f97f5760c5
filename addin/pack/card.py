"""What stands on a joint card: the words and numbers of one joint of the plan, by token."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from addin.pack.picture import stud_circle
from addin.pack.tokens import Filling, Value, plain

SUPPORTS = "This card supports and never replaces the site's procedure, local codes and licensed practice."

_COMMON = (
    "Joint isolated, depressurised, drained and released for work.",
    "Personal protective equipment on.",
)
_HYDRAULIC = (
    *_COMMON,
    "Hoses, couplings and wrench inspected; couplings fully seated.",
    "Nothing above its rated pressure.",
    "Reaction point sound, hands clear of it, handle fitted.",
    "First stroke short: see how the wrench settles.",
    "Pump pressure released before connecting or disconnecting.",
)
_HAND = (
    *_COMMON,
    "Wrench and socket inspected, socket fully on the nut.",
    "Torque wrench in calibration, its range covers every torque below.",
    "Sound footing; hands clear of the reaction point.",
)
_BREAKING = (
    "Zero energy proven before the first nut is turned.",
    "All nuts stay on until the gap opens.",
    "Wrench stalls at its rated pressure: a larger one, never more pressure.",
)
_NOTICES = {
    "break": (
        "BREAK: loosen only. Prove zero energy first. Loosen in stages from a low pressure upwards; keep the nuts on "
        "until the gap opens."
    ),
    "test make-up": "TEST MAKE-UP: for the test only. The final make-up has a card of its own.",
    "retighten": (
        "RETIGHTEN: only under engineering authority, for the state of the joint that it names. Fibre gasket after "
        "heat: only with its maker's consent.\n"
        "Authority: ____________________   document: ____________________   date: ____________"
    ),
}
_RULE_HYDRAULIC = (
    "Set the pressure from below, wrench off the nut. A stud is at torque only when, after retracting, a full new "
    "stroke does not turn the nut. No figure in the pass: do what the words say, write no pressure in."
)
_RULE_HAND = (
    "Pull steadily to the torque of the pass. No figure in the pass: do what the words say, write no torque in."
)
_RULE_BREAK = (
    "No tightening pass on this card. A wrench that stalls at its rated pressure is too small: fetch a larger one, "
    "never more pressure."
)


def filling(plan: Mapping[str, Any], joint: Mapping[str, Any]) -> Filling:
    """Everything one card is filled with, from the plan and one of its planned joints."""
    hand, breaking = joint.get("method") == "hand", joint.get("operation") == "break"
    wrenches = [] if hand else list(joint.get("wrenches") or [])
    passes = [] if breaking else list(joint.get("passes") or [])
    rows = (
        [_loosening(hand)] if breaking else [_pass(item, number, hand, wrenches) for number, item in enumerate(passes)]
    )
    values = {
        **_identity(plan, joint),
        **_target(joint, breaking),
        **_tools(plan, joint, hand, breaking),
        **_order(joint, breaking),
        **_words(joint, hand, breaking, passes),
    }
    several = wrenches if len(wrenches) > 1 and not breaking else []
    values["wrenches heading"] = "Each wrench, each pass" if several else None
    if several:
        names = " and ".join(str(item.get("wrench")) for item in several)
        values |= {"wrench": names, "link": "see each wrench", "gauge": "see each wrench", "pump": None}
    if several and _differ(wrenches, len(passes)):
        values |= {"setpoint": "see each wrench", "setpoint unit": None, "torque at setpoint": "see each wrench"}
        values |= {"difference": None}
    needs: list[tuple[str, ...]] = [
        (f"pass.{number}.set", f"pass.{number}.{'torque' if hand else 'pressure'}")
        for number in range(1, len(rows) + 1)
    ]
    if _differ(wrenches, len(passes)):
        needs += [
            (f"wrench.{wrench}.pressure {number}",)
            for wrench in range(1, len(wrenches) + 1)
            for number in range(1, len(passes) + 1)
        ]
    pictures = {}
    if joint.get("order") and joint.get("round", True):
        pictures["order picture"] = stud_circle(joint["order"], stud_1=joint.get("stud_1"))
    return Filling(values, {"pass": rows, "wrench": [_wrench(item, rows) for item in several]}, pictures, needs)


def _identity(plan: Mapping[str, Any], joint: Mapping[str, Any]) -> dict[str, Value]:
    names = ("area_of_plant", "equipment", "line", "size", "rating", "gasket", "remarks")
    values: dict[str, Value] = {name.replace("_", " "): joint.get(name) for name in names}
    rating = f"class {joint['rating']}" if str(joint.get("rating") or "").isdigit() else joint.get("rating")
    place = [joint.get("area_of_plant"), joint.get("equipment"), joint.get("line"), joint.get("size"), rating]
    return values | {
        "joint": joint["joint"],
        "operation": joint["operation"],
        "card": joint["card"],
        "list": plan.get("list"),
        "sheet": plan.get("sheet"),
        "row": joint.get("row"),
        "date": joint.get("date") or plan.get("date") or "____-__-__",
        "program": plan.get("program"),
        "place": _joined(place, " · "),
        "thread": joint.get("thread"),
        "studs": joint.get("studs"),
        "grade": joint.get("grade") or "not stated",
        "nut series": joint.get("nut_series"),
        **_quantity("across flats", joint.get("across_flats"), "not stated"),
    }


def _target(joint: Mapping[str, Any], breaking: bool) -> dict[str, Value]:
    target = joint.get("target") or {}
    friction = target.get("friction") or {}
    words = {
        "nut factor": f"nut factor {plain(friction.get('nut_factor'))}",
        "coefficients": f"friction {plain(friction.get('thread_friction'))} in the thread, "
        f"{plain(friction.get('nut_friction'))} under the nut",
    }
    source = friction.get("source")
    values: dict[str, Value] = {
        "lubricant": friction.get("lubricant") or "not stated",
        "friction": words.get(friction.get("kind", ""), "not stated") + (f"; source: {source}" if source else ""),
        "limits": "; ".join(_limit(limit) for limit in joint.get("limits") or []) or "none checked",
    }
    if breaking:
        return values | {"target": "–", "limits": None, "preload": "–", "torque": "–"}
    values |= _quantity("preload", joint.get("preload"), joint.get("preload_note") or "not known", rounded=True)
    values |= _quantity("torque", joint.get("torque"), "not stated", rounded=True)
    return values | {"target": target.get("basis")}


def _limit(limit: Mapping[str, Any]) -> str:
    value, note = limit.get("value"), limit.get("note")
    if value is None:
        return f"{limit['name']}: not checked" + (f", {note.removeprefix('not checked').lstrip(' ,:')}" if note else "")
    reached = limit.get("reached")
    words = f"{limit['name']} {_text(value)}" + (f", reached {_text(reached)}" if reached else "")
    return words + (f" ({note})" if note else "")


def _tools(plan: Mapping[str, Any], joint: Mapping[str, Any], hand: bool, breaking: bool) -> dict[str, Value]:
    if hand:
        values: dict[str, Value] = {
            "wrench": "hand torque wrench, no. ____________",
            "link": "–",
            "gauge": "–",
            "pump": "–",
            "certificate": "____________ valid until ____________",
            "ratings": None,
        }
        values |= _quantity("setpoint", joint.get("torque"), "not stated", rounded=True)
        values |= _quantity("torque at setpoint", None, "–")
        heading = "TORQUE TO SET"
    else:
        own: Mapping[str, Any] = next(
            (item for item in plan.get("wrenches") or [] if item.get("name") == joint.get("wrench")), {}
        )
        rated = [("wrench", "rated_pressure"), ("hose", "hose_rated_pressure"), ("pump", "pump_rated_pressure")]
        values = {
            "wrench": joint.get("wrench") or "not stated",
            "link": joint.get("link") or "none",
            "gauge": joint.get("gauge") or "not stated",
            "pump": joint.get("pump") or "not stated",
            "certificate": _joined(
                [own.get("certificate"), f"valid until {own['valid_until']}" if own.get("valid_until") else None], ", "
            ),
            "ratings": _joined([f"{name} {_text(own[key])}" for name, key in rated if own.get(key)], ", ")
            or "not stated",
        }
        values |= _quantity("setpoint", None if breaking else joint.get("setpoint"), "none")
        values |= _quantity(
            "torque at setpoint", None if breaking else joint.get("torque_at_setpoint"), "–", rounded=True
        )
        heading = "PRESSURE TO SET"
    off = joint.get("difference_percent")
    unit = values["setpoint unit"] or next(
        (item["pressure"]["unit"] for item in joint.get("passes") or [] if item.get("pressure")), None
    )
    return values | {
        "backup wrench": joint.get("backup_wrench") or "not stated",
        "difference": None
        if hand or breaking or off is None
        else f"({off:+.1f} % on the final torque)".replace("-", "−"),
        "set heading": "LOOSEN" if breaking else heading,
        "set unit": None if breaking else unit,
        "at set heading": None if hand or breaking else "torque at it",
        "at once": joint.get("at_once"),
    }


def _pass(item: Mapping[str, Any], number: int, hand: bool, wrenches: Sequence[Mapping[str, Any]]) -> dict[str, Value]:
    position = item.get("pass", number)
    pressure, note = item.get("pressure"), item.get("note")
    pattern = str(item.get("pattern") or "")
    name = str(item.get("name") or f"pass {position}")
    wait = item.get("wait_hours")
    if wait:
        pattern = (
            pattern.replace("after a wait", f"after {plain(wait)} h")
            if "after a wait" in pattern
            else f"{pattern}, after {plain(wait)} h"
        )
    torque, at = item.get("torque"), item.get("torque_at_pressure")
    setting: Value
    if hand and torque:
        setting = shown(torque["value"])
    elif pressure is None:
        setting = short_note(note, pattern)
    elif _differ_at(wrenches, number):
        setting, at = "per wrench", None
    else:
        setting = _exact(pressure["value"])
    return {
        "number": position,
        "name": name,
        "pattern": "" if pattern == name else pattern,
        "percent": item.get("percent"),
        "torque": shown(torque["value"]) if torque else None,
        "torque unit": torque["unit"] if torque else None,
        "set": setting,
        "pressure": setting,
        "pressure unit": pressure["unit"] if pressure else None,
        "torque at": shown(at["value"]) if at else None,
        "torque at unit": at["unit"] if at else None,
        "note": note,
    }


def _loosening(hand: bool) -> dict[str, Value]:
    return {
        "number": 1,
        "name": "loosen",
        "pattern": "in stages, every nut in turn; nuts stay on until the gap opens",
        "set": "by hand" if hand else "start low",
        "pressure": "by hand" if hand else "start low",
        "note": None,
    }


def short_note(note: str | None, pattern: str) -> str:
    """Why a pass has no figure, in the few words that fit where the figure would stand.

    >>> short_note("other means: below this wrench's lowest certified point", "cross"), short_note(None, "snug")
    ('other means', 'by hand')
    """
    words = re.split(r"[:,;(]", note or "")[0].strip()
    if words and len(words) <= 24:
        return words
    return "by hand" if "snug" in pattern else "no figure: ask"


def _wrench(item: Mapping[str, Any], rows: Sequence[Mapping[str, Value]]) -> dict[str, Value]:
    row: dict[str, Value] = {name: item.get(name) for name in ("wrench", "link", "gauge", "pump")}
    row |= _quantity("setpoint", item.get("setpoint"), "none")
    row |= _quantity("torque at setpoint", item.get("torque_at_setpoint"), "–", rounded=True)
    row["words"] = _joined(
        [item.get("link"), _named("gauge", item.get("gauge")), _named("pump", item.get("pump"))], ", "
    )
    if item.get("setpoint") and item.get("torque_at_setpoint"):
        row["words"] = f"{row['words']}\n{_text(item['setpoint'])} gives {_text(item['torque_at_setpoint'])}"
    for number, step in enumerate((item.get("passes") or [])[: len(rows)], 1):
        pressure = step.get("pressure")
        words = rows[number - 1]["set"]
        row[f"pressure {number}"] = (
            _exact(pressure["value"]) if pressure else words if isinstance(words, str) else "no figure"
        )
    return row


def _differ_at(wrenches: Sequence[Mapping[str, Any]], number: int) -> bool:
    settings = set()
    for item in wrenches:
        steps = item.get("passes") or []
        pressure = steps[number].get("pressure") if number < len(steps) else None
        settings.add((pressure["value"], pressure["unit"]) if pressure else None)
    return len(settings) > 1


def _differ(wrenches: Sequence[Mapping[str, Any]], passes: int) -> bool:
    return any(_differ_at(wrenches, number) for number in range(passes))


def _order(joint: Mapping[str, Any], breaking: bool) -> dict[str, Value]:
    moves = ["+".join(str(stud) for stud in move) for move in joint.get("order") or []]
    groups = ["→".join(moves[start : start + 4]) for start in range(0, len(moves), 4)]
    at_once = joint.get("at_once") or 1
    text = ""
    for number, group in enumerate(groups, 1):
        # two groups of four on a line where a move is one stud, so that every line is eight studs
        gap = "" if number == len(groups) else "→\n" if at_once > 1 or number % 2 == 0 else "→   "
        text += group + gap
    together = f", {at_once} wrenches at once: studs joined by + together" if at_once > 1 else ""
    return {
        "order": text or "not stated",
        "order heading": ("Order" if breaking else "Cross order") + together,
        "turned side": joint.get("turned_side") or "________________________",
        "stud 1": joint.get("stud_1")
        or "mark it, as agreed at the joint. Position: ______________ seen from: ______________",
    }


def _words(joint: Mapping[str, Any], hand: bool, breaking: bool, passes: Sequence[Any]) -> dict[str, Value]:
    cautions = list(_HAND if hand else _HYDRAULIC)
    if breaking:
        cautions[2:2] = _BREAKING
    found = [f"• {item['text']}" for item in joint.get("findings") or [] if item.get("level") == "caution"]
    return {
        "notice": _NOTICES.get(str(joint.get("operation"))),
        "attention": "\n".join(found) or None,
        "cautions": "\n".join(f"• {text}" for text in cautions),
        "rule": _RULE_BREAK if breaking else _RULE_HAND if hand else _RULE_HYDRAULIC,
        "supports": SUPPORTS,
    }


def _quantity(
    name: str, quantity: Mapping[str, Any] | None, otherwise: str, *, rounded: bool = False
) -> dict[str, Value]:
    if quantity is None:
        return {name: otherwise, f"{name} unit": None}
    value = quantity["value"]
    return {name: shown(value) if rounded else _exact(value), f"{name} unit": quantity["unit"]}


def shown(value: float) -> float | int:
    """A torque or load as printed: whole units, with decimals only where whole units would be coarse.

    >>> shown(1878.2), shown(45.26), shown(8.504)
    (1878, 45.3, 8.5)
    """
    if abs(value) >= 100:
        return round(value)
    return _exact(round(value, 1 if abs(value) >= 10 else 2))


def _exact(value: float) -> float | int:
    return int(value) if float(value).is_integer() else value


def _text(quantity: Mapping[str, Any]) -> str:
    return f"{plain(shown(quantity['value']))} {quantity['unit']}"


def _named(word: str, name: str | None) -> str | None:
    return f"{word} {name}" if name else None


def _joined(parts: Sequence[Any], mark: str) -> str:
    return mark.join(str(part) for part in parts if part not in (None, ""))
