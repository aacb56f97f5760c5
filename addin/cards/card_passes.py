"""The pass table of a joint card, and the rows of several wrenches that pull at once."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from addin.cards.card_tokens import MOST_PASSES
from addin.cards.card_values import exact, exactly, in_other_units, joined, quantity, shown, text
from addin.forms.tokens import Value

Rows = list[dict[str, Value]]


def rows(
    passes: Sequence[Mapping[str, Any]], hand: bool, wrenches: Sequence[Mapping[str, Any]], both: bool = False
) -> Rows:
    """A row for each pass of the plan. both : torques in the other system of units too."""
    found = [_row(item, number, hand, wrenches) for number, item in enumerate(passes)]
    if both:
        for row, item in zip(found, passes, strict=True):
            row["torque other"] = in_other_units(item.get("torque"))
            row["torque at other"] = in_other_units(item.get("torque_at_pressure")) if row["torque at"] else None
    return found


def loosening(hand: bool) -> Rows:
    """The one row of a break card: no tightening pass, no figure."""
    pattern = "in stages, every nut in turn; nuts stay on until the gap opens"
    words = "by hand" if hand else "start low"
    return [{"number": 1, "name": "loosen", "pattern": pattern, "how": pattern, "set": words, "pressure": words}]


def _row(item: Mapping[str, Any], number: int, hand: bool, wrenches: Sequence[Mapping[str, Any]]) -> dict[str, Value]:
    position = item.get("pass", number)
    name, pattern = str(item.get("name") or f"pass {position}"), str(item.get("pattern") or "")
    torque, pressure, at = item.get("torque"), item.get("pressure"), item.get("torque_at_pressure")
    words = short_note(item.get("note"), pattern)
    setting: Value = words if pressure is None else exact(pressure["value"])
    if _differ_at(wrenches, number):
        setting = "see below"
    if len(wrenches) > 1:
        at = None  # every wrench has its own
    pattern = _pattern(pattern, item.get("wait_hours")) if pattern != name else ""
    note = _rest(item.get("note"), words, name)
    row: dict[str, Value] = {
        "number": position,
        "name": name,
        "pattern": pattern or None,
        "how": joined([pattern, note], "\n"),
        "percent": item.get("percent"),
        "set": setting,
        "pressure": setting,
        "note": note,
    }
    if hand:
        row |= {"set": shown(torque["value"]) if torque else words, "pressure": "no pressure"}
    row |= quantity("torque", torque, "", rounded=True) | quantity("torque at", at, "", rounded=True)
    return row | {"pressure unit": pressure["unit"] if pressure else None}


def _pattern(pattern: str, wait: float | None) -> str:
    """The pattern with the hours to wait first.

    >>> _pattern("circular check after a wait", 4)
    'circular check after a wait of 4 h'
    """
    if not wait:
        return pattern
    return f"{pattern} of {exact(wait)} h" if pattern.endswith("after a wait") else f"{pattern}, after {exact(wait)} h"


def short_note(note: str | None, pattern: str) -> str:
    """Why a pass has no figure, in the few words that fit where the figure would stand.

    >>> short_note("other means: below this wrench's lowest certified point", "cross"), short_note(None, "snug")
    ('other means', 'by hand')
    """
    words = re.split(r"[:,;(]", note or "")[0].strip()
    if words and len(words) <= 24:
        return words
    return "by hand" if "snug" in pattern else "no figure: ask"


def _rest(note: str | None, *shown_already: str) -> str | None:
    """The note without the words that stand elsewhere in the row."""
    rest = note or ""
    for words in shown_already:
        rest = rest.removeprefix(words).lstrip(" :,;")
    return rest or None


def wrench_rows(wrenches: Sequence[Mapping[str, Any]], passes: Rows) -> Rows:
    """A row for each wrench that pulls, with its pressure in every pass."""
    return [_wrench(item, passes) for item in wrenches]


def alternate_rows(
    alternates: Sequence[Mapping[str, Any]], passes: Rows, sheets: Mapping[str, Mapping[str, Any]]
) -> Rows:
    """A row for each wrench that may take the place of the planned one; none where the passes have no room there.

    sheets : what the plan says of each wrench, by name.
    """
    if len(passes) > MOST_PASSES:
        return []
    found = []
    for item in alternates:
        if len(item.get("passes") or []) != len(passes):
            continue  # its settings could not be told apart
        row = _wrench(item, passes, "other means")
        sheet = sheets.get(str(item.get("wrench")), {})
        until = f"valid until {sheet['valid_until']}" if sheet.get("valid_until") else "last day not stated"
        tools = [f"{word} {item[word]}" for word in ("gauge", "pump") if item.get(word)]
        named = joined([item.get("link"), *tools], ", ")
        certificate = f"{sheet.get('certificate') or 'certificate not stated'}, {until}"
        row["words"] = f"{named}\nrated {rated(sheet).removeprefix('wrench, hose, pump: ')}\n{certificate}"
        found.append(row)
    return found


def rated(sheet: Mapping[str, Any]) -> str:
    """Rated pressures of a wrench's sheet in words; what is not stated is said.

    >>> rated({"rated_pressure": {"value": 10000.0, "unit": "psi"}})
    'wrench 10000 psi; hose, pump not stated'
    """
    kinds = {"wrench": "rated_pressure", "hose": "hose_rated_pressure", "pump": "pump_rated_pressure"}
    known = {kind: exactly(sheet[key]) for kind, key in kinds.items() if sheet.get(key)}
    missing = ", ".join(kind for kind in kinds if kind not in known)
    if not known:
        return "not stated"
    if len(known) > 1 and len(set(known.values())) == 1:
        words = f"{', '.join(known)}: {next(iter(known.values()))}"
    else:
        words = ", ".join(f"{kind} {value}" for kind, value in known.items())
    return words + (f"; {missing} not stated" if missing else "")


def _wrench(item: Mapping[str, Any], passes: Rows, otherwise: str = "no figure") -> dict[str, Value]:
    row: dict[str, Value] = {name: item.get(name) for name in ("wrench", "link", "gauge", "pump")}
    row |= quantity("setpoint", item.get("setpoint"), "none")
    row |= quantity("torque at setpoint", item.get("torque_at_setpoint"), "–", rounded=True)
    named = joined([f"{word} {item[word]}" for word in ("gauge", "pump") if item.get(word)], ", ")
    gives = None
    if item.get("setpoint") and item.get("torque_at_setpoint"):
        gives = f"{exactly(item['setpoint'])} gives {text(item['torque_at_setpoint'])}"
    row["words"] = joined([item.get("link"), named, gives], "\n")
    for number, step in enumerate((item.get("passes") or [])[: min(len(passes), MOST_PASSES)], 1):
        pressure, words = step.get("pressure"), passes[number - 1]["set"]
        blank = words if isinstance(words, str) and words != "see below" else otherwise
        row[f"pressure {number}"] = exact(pressure["value"]) if pressure else blank
    return row


def _differ_at(wrenches: Sequence[Mapping[str, Any]], number: int) -> bool:
    settings = set()
    for item in wrenches:
        steps = item.get("passes") or []
        pressure = steps[number].get("pressure") if number < len(steps) else None
        settings.add((pressure["value"], pressure["unit"]) if pressure else None)
    return len(settings) > 1


def differ(wrenches: Sequence[Mapping[str, Any]], passes: int) -> bool:
    """Whether the wrenches are not all set alike in every pass."""
    return any(_differ_at(wrenches, number) for number in range(passes))


def needs(passes: int, hand: bool, wrenches: int) -> list[tuple[str, ...]]:
    """Places that a template must have for these passes, and for wrenches that are each set differently."""
    other = "torque" if hand else "pressure"
    found: list[tuple[str, ...]] = [(f"pass.{number}.set", f"pass.{number}.{other}") for number in range(1, passes + 1)]
    return found + [
        (f"wrench.{wrench}.pressure {number}",) for wrench in range(1, wrenches + 1) for number in range(1, passes + 1)
    ]
