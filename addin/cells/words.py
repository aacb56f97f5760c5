"""Facts to words: the sentence of a finding in the user's units. The sentences themselves stand in `sentences`."""

import datetime
import math
import string
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from addin.cells.sentences import SENTENCES
from calc.findings import Finding, InputError
from calc.quantities import QUANTITIES, short
from calc.units import System, factor, from_si, known

_LONGEST = 120
"""Most characters of a user's text that a sentence quotes."""
_NAMES = {
    "percent": "percent of yield",
    "stage": "pass",
    "nut_friction": "friction under the nut",
    "pump_pressure": "pressure",
    "across_flats": "nut across flats",
    "at_once": "wrenches together",
    "series": "nut series",
    "area": "stress area",
    "combined_stress": "stress with torsion",
    "studs": "stud count",
    "date": "job date",
    "gauge_range": "end of the gauge's scale",
    "yield_fraction": "share of yield",
    "spread": "scatter",
    "breakout_factor": "break-out factor",
    "design_operating": "design operating load",
    "design_seating": "design seating load",
    "stud_torsion": "stud ceiling with torsion",
}


def name_of(quantity: str) -> str:
    """A quantity or argument as a reader calls it."""
    return _NAMES.get(quantity, quantity.replace("_", " "))


def figure(value: float, digits: int = 6) -> str:
    """A number as a person reads it: at most six significant digits, no exponent, no trailing zeros.

    >>> figure(4180.0), figure(0.158), figure(348385.123), figure(2.375)
    ('4180', '0.158', '348385', '2.375')
    """
    if value == 0 or not math.isfinite(value):
        return f"{value:g}"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def amount(value: float, kind: str, units: System, digits: int = 6) -> str:
    """A number in SI as the user's figure with its unit.

    >>> from calc.units import system
    >>> amount(4180.0, "torque", system("SI")), amount(0.03, "percent", system("US"))
    ('4180 N·m', '3 %')
    """
    unit = units.symbol(kind)
    if kind in ("number", "count") or not unit:
        return figure(value, digits)
    return f"{figure(float(from_si(value, kind, unit)), digits)} {unit}"


INCH = 0.0254


def fraction(inches: float) -> str | None:
    """Inches as the trade writes a width; None for what is no 32nd.

    >>> fraction(1.625), fraction(2.0), fraction(0.6875), fraction(1.6)
    ('1-5/8', '2', '11/16', None)
    """
    whole, rest = divmod(round(inches * 32), 32)
    if abs(inches - whole - rest / 32) > 1e-5:
        return None
    return "-".join(filter(None, (str(whole) if whole or not rest else "", str(Fraction(rest, 32)) if rest else "")))


def width(value: float, units: System) -> str:
    """A width across flats in m as the trade says it: inches as a fraction, millimetres where it is of that make.

    >>> from calc.units import system
    >>> us = system("US")
    >>> width(1.625 * INCH, us), width(2 * INCH, us), width(0.05, us), width(0.0476, us), width(0.05, system("SI"))
    ('1-5/8 in', '2 in', '50 mm', '1.87402 in', '50 mm')
    """
    unit = units.symbol("length")
    if unit == "in" and (text := fraction(value / INCH)):
        return f"{text} in"
    if unit == "in" and abs(value * 1000 - round(value * 1000)) < 1e-6:
        return f"{figure(round(value * 1000))} mm"
    return amount(value, "length", units)


def lasting(hours: float) -> str:
    """A time as people say it.

    >>> lasting(5 / 6), lasting(4.0), lasting(1.75), lasting(30.0)
    ('50 min', '4 h', '1 h 45 min', '30 h')
    """
    whole, minutes = divmod(round(hours * 60), 60)
    return " ".join(filter(None, (f"{whole} h" if whole else "", f"{minutes} min" if minutes or not whole else "")))


def printed(value: float) -> float:
    """A torque or load as cards print it: whole units, with decimals only where whole units would be coarse.

    >>> printed(1878.2), printed(598.5), printed(45.26), printed(8.504)
    (1878, 598, 45.3, 8.5)
    """
    if abs(value) >= 100:
        return round(value)
    return round(value, 1 if abs(value) >= 10 else 2)


def rounded_down(value: float) -> float:
    """A ceiling as cards print it: never above its true value.

    >>> rounded_down(1878.9), rounded_down(45.28), rounded_down(1879.0)
    (1878.0, 45.2, 1879.0)
    """
    scale = 1 if abs(value) >= 100 else 10 if abs(value) >= 10 else 100
    return math.floor(value * scale * (1 + 1e-12)) / scale


def day(value: float) -> str:
    """A day number as an ISO date.

    >>> day(739689.0)
    '2026-03-14'
    """
    return "not stated" if math.isnan(value) else datetime.date.fromordinal(int(value)).isoformat()


def listed(items: Sequence[object], last: str) -> str:
    """A list as people write it.

    >>> listed(["a", "b", "c"], "or")
    'a, b or c'
    """
    texts = [str(item) for item in items]
    return f"{', '.join(texts[:-1])} {last} {texts[-1]}" if len(texts) > 1 else "".join(texts)


def named_rows(rows: Sequence[int], more: int) -> str:
    """Some rows by their number, and how many there are besides.

    >>> named_rows([3, 4, 5], 7997), named_rows([3, 4], 0)
    ('3, 4, 5 and 7,997 more', '3 and 4')
    """
    return listed([*rows, f"{more:,} more"] if more else rows, "and")


def needed(inputs: Sequence[str]) -> str:
    """Which inputs are missing.

    >>> needed(["grade"]), needed(["studs"]), needed(["grade", "thread"])
    ('grade is needed', 'studs are needed', 'grade and thread are needed')
    """
    several = len(inputs) > 1 or inputs[0] == "studs"
    return f"{listed(inputs, 'and')} {'are' if several else 'is'} needed"


def signed(share: float, places: int = 1) -> str:
    """A relative difference with its sign, in per cent.

    >>> signed(-0.0226)
    '-2.3 %'
    """
    return f"{100 * share:+.{places}f} %"


_MEASURED = ("torque", "pressure", "stress", "length", "force")


class _Words(string.Formatter):
    """Fills a sentence: the word behind the colon says how a fact is shown."""

    def __init__(self, units: System, more: int = 0) -> None:
        self.units, self.more = units, more
        self._numbers: list[tuple[str, str, float]] = []

    def alike(self) -> bool:
        """Whether two different numbers of one kind were shown as the same."""
        return any(
            (kind, text) == (other_kind, other_text) and not math.isclose(value, other, rel_tol=1e-12)
            for i, (kind, text, value) in enumerate(self._numbers)
            for other_kind, other_text, other in self._numbers[:i]
        )

    def format_field(self, value: Any, spec: str) -> str:
        text = self._field(value, spec)
        kind = spec.removeprefix("printed ").replace("signed", "percent")
        if kind in (*_MEASURED, "percent") and isinstance(value, (int, float)):
            self._numbers.append((kind, text.lstrip("+-").replace(".0 ", " "), abs(float(value))))
        return text

    def _field(self, value: Any, spec: str) -> str:
        if spec in _MEASURED:
            return amount(float(value), spec, self.units, digits=6 + self.more)
        if spec == "width":
            return width(float(value), self.units)
        if spec == "signed":
            return signed(float(value), 1 + self.more)
        if spec == "percent":
            return amount(float(value), spec, self.units, digits=3 + self.more)
        if spec.startswith("about "):  # worked out from what was read on a gauge: more figures would be a pretence
            return amount(float(value), spec.removeprefix("about "), self.units, digits=4)
        if spec == "printed torque":  # the same figure stands on the card
            unit = self.units.symbol("torque")
            number = float(from_si(float(value), "torque", unit))
            return f"{figure(number if self.more else printed(number), 6 + self.more)} {unit}"
        if spec == "ceiling torque":
            unit = self.units.symbol("torque")
            return f"{figure(rounded_down(float(from_si(float(value), 'torque', unit))))} {unit}"
        return _SHOWN[spec](value, self.units) if spec else _short(str(value))


def _short(text: str) -> str:
    """A text of the user's as a sentence quotes it."""
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"


def facts_in_units(finding: Finding, units: System) -> dict[str, Any]:
    """The facts of a finding as its sentence shows them, numbers with a unit in the user's: to be worded again from.

    >>> from calc.units import system
    >>> facts_in_units(Finding("torque_above_table", "torque", {"torque": 2711.6, "high": 4180.0}), system("SI"))
    {'torque': {'value': 2711.6, 'unit': 'N·m'}, 'high': {'value': 4180.0, 'unit': 'N·m'}}
    """
    fields = string.Formatter().parse(SENTENCES.get(finding.code, ""))
    kinds = {name: spec or "" for _, name, spec, _ in fields if name}
    if finding.quantity in QUANTITIES:
        kinds |= dict.fromkeys(("value", "low", "high"), QUANTITIES[finding.quantity].kind) if not kinds else {}
    return {name: _fact(value, kinds.get(name, ""), units) for name, value in finding.facts.items()}


def _fact(value: Any, spec: str, units: System) -> Any:
    kind = spec.removeprefix("about ").removeprefix("printed ").replace("width", "length")
    if kind in ("torque", "pressure", "stress", "length", "force", "percent") and isinstance(value, (int, float)):
        unit = units.symbol(kind)
        return {"value": float(from_si(value, kind, unit)), "unit": unit} if math.isfinite(value) else None
    if spec == "day":
        return day(float(value))
    if isinstance(value, Mapping):
        return {str(key): _fact(each, "", units) for key, each in value.items()}
    if hasattr(value, "code"):  # why one wrench does not serve, or what is odd in a certificate
        whose = {"wrench": value.wrench} if hasattr(value, "wrench") else {}
        return {**whose, "code": value.code, "facts": facts_in_units(Finding(value.code, "", value.facts), units)}
    if isinstance(value, (list, tuple, set, frozenset)):
        return [_fact(each, "", units) for each in value]
    if isinstance(value, (bool, str)) or value is None:
        return value
    number = float(value)
    return None if not math.isfinite(number) else int(number) if number.is_integer() else float(short(number))


_WORDS = {"other": ("tensioned", "other")}  # a list may say tensioned, which is one of the other methods


def _extra(before: str, last: str, after: str = "") -> Callable[[Any, System], str]:
    return lambda items, units: f"{before}{listed(items, last)}{after}" if items else ""


_SHOWN: dict[str, Callable[[Any, System], str]] = {
    "figure": lambda v, u: figure(float(v)),
    "day": lambda v, u: day(float(v)),
    "from": lambda v, u: "" if math.isnan(float(v)) else f"from {day(float(v))} ",
    "name": lambda v, u: name_of(v),
    "units": lambda v, u: listed(known(v), "or"),
    "either": lambda v, u: listed(v, "or"),
    "words": lambda v, u: listed([word for item in v for word in _WORDS.get(item, (item,))], "or"),
    "both": lambda v, u: listed(v, "and"),
    "passes": lambda v, u: f"{'pass' if len(v) == 1 else 'passes'} {listed(v, 'and')}",
    "names": lambda v, u: listed([name_of(item) for item in v], "and"),
    "semicolons": lambda v, u: "; ".join(v),
    "kind": lambda v, u: _kind(v),
    "needed": lambda v, u: needed([name_of(item) for item in v]),
    "quotes": lambda v, u: ", ".join(f"'{item}'" for item in v),
    "pitches": lambda v, u: listed([f"x{figure(item * 1000)}" for item in v], "or"),
    "as most": lambda v, u: ", as most rows of this list have" if v else "",
    "span": lambda v, u: (
        f"from {amount(v[0], 'length', u)} to {amount(v[1], 'length', u)}"
        if math.isfinite(v[1])
        else f"above {amount(v[0], 'length', u)}"
    ),
    "wrenches": lambda v, u: "1 wrench" if float(v) == 1 else f"{figure(float(v))} wrenches together",
    "values": lambda v, u: f"{figure(float(v))} value{'' if float(v) == 1 else 's'}",
    "sizes": lambda v, u: f" (it has {listed([width(item, u) for item in v], 'and')})" if v else "",
    "of table": lambda v, u: (
        "what is stated another way (nut factor or coefficients) of" if math.isnan(v) else f"{figure(float(v))} of"
    ),
    "hours": lambda v, u: lasting(float(v)),
    "more or less": lambda v, u: f"{figure(100 * abs(v), 3)} % {'more' if v > 0 else 'less'}",
    "titles": lambda v, u: f" ('{v[1]}'; the first is '{v[0]}')" if v else "",
    "alike": lambda v, u: f" with the same {listed([name_of(item) for item in v], 'and')}" if v else "",
    "best": lambda v, u: f" (best: {', '.join(signed(item) for item in v)})" if v else "",
    "quoted": lambda v, u: "' and '".join(v),
    "hint": lambda v, u: f"; write {_SHOWN['words'](v, u)}" if v else "",
    "has": _extra(" (it has ", "and", ")"),
    "missing": _extra("; missing ", "and"),
    "repeated": _extra("; repeated ", "and"),
    "beyond": _extra("; beyond ", "and"),
    "nut factor": lambda v, u: figure(float(v), 2),
    "reaches": lambda v, u: (
        "" if math.isnan(v) else f"; at a nut factor of {figure(float(v), 2)} it reaches 90 % of yield"
    ),
    "reasons": lambda v, u: _reasons(v, u),
    "finding": lambda v, u: without_place(v, u),
    "days": lambda v, u: _between_days(*v),
    "alone": lambda v, u: _ALONE.get(v, f"it is {v}"),
    "first": lambda v, u: v[0],
    "headings": lambda v, u: f" (it has {', '.join(v)})" if v else ", e.g. Pressure (psi) | Torque (ft-lb)",
    "capital": lambda v, u: v.capitalize(),
    "answer": lambda v, u: f"Write its heading beside a label '{v.capitalize()} column'; in a formula give it alone",
    "units of torque": lambda v, u: ", about a factor between two units of torque" if v else "",
    "confirm": lambda v, u: _CONFIRM if v else "",
    "calculated": lambda v, u: "by hand only" if v == "manual" else "on opening in a spreadsheet program",
}
_ALONE: Mapping[str, str] = {
    "as found": "it was taken before the wrench was adjusted, as found",
    "down": "it was taken with falling pressure, going down",
    "nominal": "it is nominal (calculated, theoretical, required), not measured",
}
_CONFIRM = " Correct it, or write beside 'Table confirmed by' and 'Table confirmed on' who saw it so on the certificate"


def _between_days(start: float, end: float) -> str:
    """Days from one to the other, either end open."""
    parts = [f"from {day(start)}" if math.isfinite(start) else "", f"until {day(end)}" if math.isfinite(end) else ""]
    return " ".join(filter(None, parts))


def _reasons(reasons: Sequence[Any], units: System) -> str:
    said = [_say(reason.code, {**reason.facts, "wrench": reason.wrench}, units) for reason in reasons]
    return "; ".join(said[:4]) + (f"; and {len(said) - 4} more" if len(said) > 4 else "")


def _say(code: str, facts: Mapping[str, Any], units: System) -> str:
    text = ""
    for more in (0, 2, 4, 6):
        words = _Words(units, more)
        text = words.vformat(SENTENCES[code], (), facts)
        if not words.alike():
            break
    return text


def _out_of_range(f: Finding, units: System) -> str:
    """Value and limit in the unit it was typed in, and the unit that would make sense of it."""
    kind = QUANTITIES[f.quantity].kind
    unit = f.facts.get("unit") or units.symbol(kind)
    scale = factor(kind, unit) if unit and kind not in ("number", "count") else 1.0
    low, high, value = (f.facts[key] / scale for key in ("low", "high", "value"))
    side, limit = ("below", low) if value < low else ("above", high)
    digits = next((n for n in (6, 8, 10, 12) if figure(value, n) != figure(limit, n)), 15)
    said = [f"{figure(number, digits)} {unit}".strip() for number in (value, limit)]
    text = f"{name_of(f.quantity)} {said[0]} is {side} {said[1]}"
    typed = f.facts.get("typed")
    if typed and scale != 1.0:
        for other in _OFFERED.get(kind, known(kind)):
            if other != unit and low <= typed * factor(kind, other) / scale <= high:
                return f"{text}; if {other} is meant, write '{figure(typed)} {other}'"
    return text


_OFFERED = {"stress": ("psi", "ksi", "MPa")}
"""Units that are offered as the one that may be meant: a stress in bar is read where it is written, never suggested."""


def _kind(kind: str) -> str:
    """A kind of unit as a reader calls it."""
    return kind.replace("_", " ")


def _unit(f: Finding, units: System) -> str:
    text, kind, other = f.facts["text"], f.facts.get("kind", ""), f.facts.get("other")
    what = f"is a unit of {_kind(other)}" if other else "is not known"
    return f"{name_of(f.quantity)}: unit '{text}' {what}; {_kind(kind)} takes {listed(known(kind), 'or')}"


_MADE: dict[str, Callable[[Finding, System], str]] = {
    "out_of_range": _out_of_range,
    "unit_unknown": _unit,
    "unit_wrong_kind": _unit,
}


def codes() -> tuple[str, ...]:
    """Every code that has a sentence."""
    return (*SENTENCES, *_MADE)


def line(finding: Finding, units: System) -> str:
    """The sentence of a finding in the user's units: what, value, limit.

    >>> from calc.units import system
    >>> line(Finding("missing", "preload"), system("US"))
    'preload is missing (empty cell)'
    """
    if finding.code in _MADE:
        said = _MADE[finding.code](finding, units)
    else:
        facts = {
            "known": (),
            "confirm": True,
            **finding.facts,
            "name": name_of(finding.quantity),
            "row1": finding.row + 1,
        }
        if "text" not in facts and finding.quantity in QUANTITIES and "value" in facts:
            facts["text"] = amount(float(facts["value"]), QUANTITIES[finding.quantity].kind, units)
        if isinstance(usual := facts.get("usual"), float):
            facts["usual"] = amount(usual, QUANTITIES[finding.quantity].kind, units)
        said = _say(finding.code, facts, units)
    place = finding.facts.get("place")
    return " ".join((f"{place}: {said}" if place else said).split())


def without_place(finding: Finding, units: System) -> str:
    """The sentence of a finding about a table where it is read apart from the table: no cell, nothing to correct."""
    facts = {key: value for key, value in finding.facts.items() if key != "place"}
    return line(replace(finding, facts={**facts, "confirm": False}), units)


def stop_text(error: InputError | Finding, units: System) -> str:
    """What a cell shows for a refusal.

    >>> from calc.units import system
    >>> f = Finding("torque_above_table", "torque", {"torque": 5200.0, "high": 4180.0})
    >>> stop_text(f, system("SI"))
    "STOP: torque 5200 N·m is above this table's highest point, 4180 N·m"
    """
    finding = error.finding if isinstance(error, InputError) else error
    return f"STOP: {line(finding, units)}"
