"""The pass table of a joint card, and the rows of several wrenches that pull together."""

import re
from collections.abc import Callable, Mapping, Sequence

from addin.cards.card_tokens import MOST_PASSES, MOST_SHOWN
from addin.cards.card_values import exact, exactly, in_other_units, joined, quantity, text
from addin.cards.hand_setting import HandSetting
from addin.forms.tokens import Value
from addin.plan.entries import Amount
from addin.plan.record import JointPass, WrenchEntry
from addin.plan.record_joint import ToolEntry
from calc.units import to_si

Rows = list[dict[str, Value]]

NO_PUMP = "no pump"
TOGETHER = {"pair": 2, "four": 4}
"""Groups of rows that show the wrenches of a joint side by side, with how many wrenches each has room for."""


def rows(
    passes: Sequence[JointPass], by_hand: Callable[[Amount], HandSetting] | None, wrenches: Sequence[ToolEntry],
    both: bool = False,
) -> Rows:  # fmt: skip
    """A row for each pass of the plan. by_hand : what a hand torque wrench is set to; both : the other units too."""
    found = [_row(item, number, by_hand, wrenches) for number, item in enumerate(passes)]
    if both:
        for row, item in zip(found, passes, strict=True):
            row["torque other"] = in_other_units(item.torque)
            row["torque at other"] = in_other_units(item.torque_at_pressure) if len(wrenches) < 2 else None
    return found


def loosening(hand: bool) -> Rows:
    """The one row of a break card: no tightening pass, no figure."""
    pattern = "in stages, every nut in turn; nuts stay on until the gap opens"
    words = "by hand" if hand else "start low"
    return [{"number": 1, "name": "loosen", "pattern": pattern, "how": pattern, "set": words, "pressure": words}]


def _row(
    item: JointPass, number: int, by_hand: Callable[[Amount], HandSetting] | None, wrenches: Sequence[ToolEntry]
) -> dict[str, Value]:
    position = item.number
    name, pattern = item.name, item.pattern
    torque, pressure, at = item.torque, item.pressure, item.torque_at_pressure
    words = short_note(item.note, pattern, by_hand is not None)
    setting: Value = words if pressure is None else exact(pressure.value)
    if _differ_at(wrenches, number):
        setting = "see below"
    if len(wrenches) > 1:
        at = None  # every wrench has its own
    pattern = _pattern(pattern, item.wait_hours) if pattern != name else ""
    note = _rest(item.note, words, "by hand", name)
    if words == NO_PUMP:
        note = joined(["by hand", note], ": ")
    row: dict[str, Value] = {
        "number": position,
        "name": name,
        "part": f", only {len(item.studs)} studs" if item.studs else None,
        "pattern": pattern or None,
        "how": joined([pattern, note], "\n"),
        "percent": item.percent,
        "set": setting,
        "pressure": setting,
        "note": note,
    }
    if by_hand:
        row |= {"set": words, "pressure": "no pressure"}
        if torque:
            set_to = by_hand(torque)
            row |= {"set": exact(set_to.value), "how": joined([row["how"], set_to.said()], "\n")}
    row |= quantity("torque", torque, "", rounded=True) | quantity(
        "torque at", at, "see below" if pressure and len(wrenches) > 1 else "", rounded=True
    )
    return row | {"pressure unit": pressure.unit if pressure else None}


def _pattern(pattern: str, wait: float | None) -> str:
    """The pattern with the hours to wait first.

    >>> _pattern("circular check after a wait", 4)
    'circular check after a wait of 4 h'
    """
    if not wait:
        return pattern
    return f"{pattern} of {exact(wait)} h" if pattern.endswith("after a wait") else f"{pattern}, after {exact(wait)} h"


def short_note(note: str | None, pattern: str, hand: bool = False) -> str:
    """Why a pass has no figure, in the few words that fit where the figure would stand.

    >>> short_note("other means: below this wrench's lowest certified point", "cross"), short_note(None, "snug")
    ('other means', 'no pump')
    """
    words = re.split(r"[:,;(]", note or "")[0].strip()
    if words == "by hand" or (not words and "snug" in pattern):
        return "by hand" if hand else NO_PUMP
    return words if words and len(words) <= 24 else "ask first"


def _rest(note: str | None, *shown_already: str) -> str | None:
    """The note without the words that stand elsewhere in the row."""
    rest = note or ""
    for words in shown_already:
        rest = rest.removeprefix(words).lstrip(" :,;")
    return rest or None


def wrench_rows(wrenches: Sequence[ToolEntry], passes: Rows, sheets: Mapping[str, WrenchEntry]) -> Rows:
    """A row for each wrench that pulls, with its pressure in every pass."""
    return [_wrench(item, passes, sheets) for item in wrenches]


def alternate_rows(
    alternates: Sequence[ToolEntry], passes: Rows, sheets: Mapping[str, WrenchEntry], torque: Amount | None
) -> tuple[Rows, dict[str, Value]]:
    """A row for each wrench that may take the place of the planned one, nearest to the final torque first, and the
    names of the passes that have a figure; nothing where the passes have no room there.

    sheets : what the plan says of each wrench, by name; torque : the final torque.
    """
    if len(passes) > MOST_PASSES:
        return [], {}
    fitting = [item for item in alternates if len(item.passes) == len(passes)]  # else they could not be told apart
    columns = _columns(fitting, passes)
    if not columns or len(columns) > MOST_SHOWN:
        return [], {}
    found = []
    for item in sorted(fitting, key=lambda item: abs(_off(item, torque) or 0.0)):
        row = _wrench(item, passes, sheets)
        sheet = sheets.get(item.wrench)
        until = f"valid until {sheet.valid_until}" if sheet and sheet.valid_until else "last day not stated"
        certificate = f"{(sheet.certificate if sheet else None) or 'certificate not stated'}, {until}"
        ratings = f"rated {rated(sheet).removeprefix('wrench, hose, pump: ')}"
        tools = joined([item.link, f"gauge {item.gauge}", f"pump {item.pump}" if item.pump else None], ", ")
        hose = f"hose {sheet.hose}" if sheet and sheet.hose else None
        row["words"] = f"{tools}\n{joined([hose, ratings], ', ')}\n{certificate}"
        off = _off(item, torque)
        row["difference"] = None if off is None else f"{100 * off:+.1f} %".replace("-", "−")
        at = item.torque_at_setpoint
        row["gives"] = joined([text(at) if at else "torque not known", row["difference"]], "\n")
        row |= {f"set {place}": row[f"pressure {alike[0] + 1}"] for place, alike in enumerate(columns, 1)}
        found.append(row)
    names = [(str(passes[alike[0]]["name"]), str(passes[alike[-1]]["name"])) for alike in columns]
    return found, {f"alternate pass {place}": _span(*both) for place, both in enumerate(names, 1)}


def _columns(wrenches: Sequence[ToolEntry], passes: Rows) -> list[list[int]]:
    """Passes that have a figure, on the card's own wrench or one of these; neighbours set alike stand together."""
    found: list[list[int]] = []
    for number in range(len(passes)):
        if isinstance(passes[number]["set"], str) and not any(item.passes[number].pressure for item in wrenches):
            continue
        before = found[-1][-1] if found else None
        if before == number - 1 and all(item.passes[number] == item.passes[before] for item in wrenches):
            found[-1].append(number)
        else:
            found.append([number])
    return found


def _span(first: str, last: str) -> str:
    """Names of passes that stand together.

    >>> _span("pass 3", "pass 5"), _span("pass 1", "pass 1")
    ('pass 3 to 5', 'pass 1')
    """
    return first if first == last else f"{first} to {last.removeprefix('pass ')}"


def _off(item: ToolEntry, torque: Amount | None) -> float | None:
    """How far the torque that a wrench gives is from the final torque, as a share of it."""
    at = item.torque_at_setpoint
    if at is None or torque is None:
        return None
    return float(to_si(at.value, "torque", at.unit) / to_si(torque.value, "torque", torque.unit)) - 1.0


def _named(item: ToolEntry, sheets: Mapping[str, WrenchEntry]) -> str:
    """Gauge, pump and hose of a wrench by name."""
    hose = sheets[item.wrench].hose if item.wrench in sheets else None
    tools = (("gauge", item.gauge), ("pump", item.pump), ("hose", hose))
    return joined([f"{word} {name}" for word, name in tools if name], ", ")


def rated(sheet: WrenchEntry | None) -> str:
    """Rated pressures of a wrench's sheet in words; what is not stated is said.

    >>> from addin.plan.entries import Amount
    >>> rated(WrenchEntry(name="HW-3", sheet="HW-3", rated_pressure=Amount(10000.0, "psi")))
    'wrench 10000 psi; hose, pump not stated'
    """
    known = {kind: exactly(rating) for kind, rating in sheet.ratings().items()} if sheet else {}
    missing = ", ".join(kind for kind in ("wrench", "hose", "pump") if kind not in known)
    if not known:
        return "not stated"
    if len(known) > 1 and len(set(known.values())) == 1:
        words = f"{', '.join(known)}: {next(iter(known.values()))}"
    else:
        words = ", ".join(f"{kind} {value}" for kind, value in known.items())
    return words + (f"; {missing} not stated" if missing else "")


def _wrench(
    item: ToolEntry, passes: Rows, sheets: Mapping[str, WrenchEntry], otherwise: str = "other means"
) -> dict[str, Value]:
    row: dict[str, Value] = {"wrench": item.wrench, "link": item.link, "gauge": item.gauge, "pump": item.pump}
    row |= quantity("setpoint", item.setpoint, "none")
    row |= quantity("torque at setpoint", item.torque_at_setpoint, "–", rounded=True)
    gives = None
    if item.setpoint and item.torque_at_setpoint:
        gives = f"torque at {exactly(item.setpoint)}: {text(item.torque_at_setpoint)}"
    row["words"] = joined([item.link, _named(item, sheets), gives], ", ")
    for number, step in enumerate(item.passes[: min(len(passes), MOST_PASSES)], 1):
        pressure, words = step.pressure, passes[number - 1]["set"]
        blank = words if isinstance(words, str) and words != "see below" else otherwise
        row[f"pressure {number}"] = exact(pressure.value) if pressure else blank
    return row


def side_by_side(wrenches: Sequence[ToolEntry], passes: Rows) -> Rows:
    """The passes again, with what is set on each wrench in a column of its own."""
    found = []
    for number, row in enumerate(passes[:MOST_PASSES]):
        settings: dict[str, Value] = {}
        for place, item in enumerate(wrenches, 1):
            pressure = item.passes[number].pressure if number < len(item.passes) else None
            blank = row["set"] if row["set"] not in (None, "see below") else "other means"
            settings[f"set {place}"] = exact(pressure.value) if pressure else blank
        found.append(row | settings)
    return found


def _differ_at(wrenches: Sequence[ToolEntry], number: int) -> bool:
    settings = set()
    for item in wrenches:
        steps = item.passes
        pressure = steps[number].pressure if number < len(steps) else None
        settings.add((pressure.value, pressure.unit) if pressure else None)
    return len(settings) > 1


def differ(wrenches: Sequence[ToolEntry], passes: int) -> bool:
    """Whether the wrenches are not all set alike in every pass."""
    return any(_differ_at(wrenches, number) for number in range(passes))


def needs(passes: int, hand: bool, wrenches: int) -> list[tuple[str, ...]]:
    """Places that a template must have for these passes, and for wrenches that are each set differently."""
    other = "torque" if hand else "pressure"
    found: list[tuple[str, ...]] = [(f"pass.{number}.set", f"pass.{number}.{other}") for number in range(1, passes + 1)]
    beside = [name for name, count in TOGETHER.items() if count == wrenches]
    return found + [
        (f"wrench.{wrench}.pressure {number}", *(f"{name}.{number}.set {wrench}" for name in beside))
        for wrench in range(1, wrenches + 1)
        for number in range(1, passes + 1)
    ]
