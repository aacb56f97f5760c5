"""Quantities of the plan as a card prints them."""

import re
from collections.abc import Iterable, Sequence
from typing import Any

from addin.cells.sentences import SENTENCES
from addin.cells.words import fraction, printed, rounded_down
from addin.forms.tokens import Value, plain
from addin.plan.entries import Amount
from addin.plan.record_joint import FindingEntry
from calc.units import from_si, to_si

_OTHER = {
    "lbf·ft": ("torque", "N·m"),
    "lbf·in": ("torque", "N·m"),
    "N·m": ("torque", "lbf·ft"),
    "lbf": ("force", "kN"),
    "kip": ("force", "kN"),
    "N": ("force", "lbf"),
    "kN": ("force", "lbf"),
}

PSI_IN_KSI = 1000
_OF_STRESS = frozenset(code for code, words in SENTENCES.items() if re.search(r":(?:about )?stress\}", words))
"""Cautions whose pounds per square inch are those of a stress, never of the pump."""
OWN_DAYS = "job dates as in the list"
NO_DAY = "day not stated"


def job_days(date: str | None) -> str:
    """The day of a plan in words, or that its rows have days of their own.

    >>> job_days("2026-10-08"), job_days(None)
    ('job date 2026-10-08', 'job dates as in the list')
    """
    return f"job date {date}" if date else OWN_DAYS


def quantity(name: str, given: Amount | None, otherwise: str, *, rounded: bool = False) -> dict[str, Value]:
    """Tokens of a quantity: its number and its unit, or words and no unit.

    >>> quantity("torque", Amount(1878.2, "lbf·ft"), "not stated", rounded=True)
    {'torque': 1878, 'torque unit': 'lbf·ft'}
    >>> quantity("torque", None, "not stated")
    {'torque': 'not stated', 'torque unit': None}
    """
    if given is None:
        return {name: otherwise, f"{name} unit": None}
    value = given.value
    return {name: shown(value) if rounded else exact(value), f"{name} unit": given.unit}


def across(given: Amount) -> str:
    """A width across flats inside a text; inches as a fraction.

    >>> across(Amount(1.625, "in")), across(Amount(60.0, "mm"))
    ('1-5/8 in', '60 mm')
    """
    text = fraction(given.value) if given.unit == "in" else None
    return f"{text} in" if text else exactly(given)


def width_across(given: Amount | None, otherwise: str) -> dict[str, Value]:
    """Tokens of a width across flats: its number, a fraction where it is in inches, and its unit.

    >>> width_across(Amount(2.1875, "in"), "not stated")
    {'across flats': '2-3/16', 'across flats unit': 'in'}
    """
    found = quantity("across flats", given, otherwise)
    text = fraction(given.value) if given and given.unit == "in" else None
    return {**found, "across flats": text} if text else found


def ceiling(name: str, given: Amount | None, otherwise: str) -> dict[str, Value]:
    """Tokens of a torque never to go beyond: it is rounded down, never up.

    >>> ceiling("never above", Amount(1878.9, "lbf·ft"), "not stated")
    {'never above': 1878, 'never above unit': 'lbf·ft'}
    """
    if given is None:
        return {name: otherwise, f"{name} unit": None}
    return {name: exact(rounded_down(given.value)), f"{name} unit": given.unit}


def in_other_units(given: Amount | None) -> str | None:
    """A torque or a force in the other system of units, in words; None for other kinds.

    >>> in_other_units(Amount(1000.0, "lbf·ft")), in_other_units(Amount(250.0, "kN"))
    ('1356 N·m', '56202 lbf')
    """
    if given is None or given.unit not in _OTHER:
        return None
    kind, unit = _OTHER[given.unit]
    return text(Amount(float(from_si(to_si(given.value, kind, given.unit), kind, unit)), unit))


def shown(value: float) -> float | int:
    """A torque or load as printed: whole units, with decimals only where whole units would be coarse.

    >>> shown(1878.2), shown(45.26), shown(8.504)
    (1878, 45.3, 8.5)
    """
    return exact(printed(value))


def exact(value: float) -> float | int:
    """A number with all its digits, without a point where it is whole.

    >>> exact(5200.0), exact(12.5)
    (5200, 12.5)
    """
    return int(value) if float(value).is_integer() else value


def text(given: Amount) -> str:
    """A quantity inside a text."""
    return f"{plain(shown(given.value))} {given.unit}"


def exactly(given: Amount) -> str:
    """A quantity inside a text with all its digits: what is set, rated or a size.

    >>> exactly(Amount(36.25, "MPa"))
    '36.25 MPa'
    """
    return f"{plain(given.value)} {given.unit}"


def in_ksi(given: Amount) -> Amount:
    """A stress in psi in ksi, so that nothing in psi stands on a card but what the pump shows.

    >>> in_ksi(Amount(94500.0, "psi")), in_ksi(Amount(651.6, "MPa")).unit
    (Amount(value=94.5, unit='ksi'), 'MPa')
    """
    return Amount(given.value / PSI_IN_KSI, "ksi") if given.unit == "psi" else given


def stress_words(words: str) -> str:
    """The same in a sentence about stresses.

    >>> stress_words("stress 39400 psi on the root B1.1 area")
    'stress 39.4 ksi on the root B1.1 area'
    """
    return re.sub(r"(?<![\w.])(\d+(?:\.\d+)?) psi\b", lambda found: text(in_ksi(Amount(float(found[1]), "psi"))), words)


def caution_words(finding: FindingEntry) -> str:
    """A caution as a card says it."""
    return stress_words(finding.text) if finding.code in _OF_STRESS else finding.text


def unbroken(words: str) -> str:
    """A text in which no line ends inside a mixed fraction.

    >>> unbroken("1-1/4 and 1 7/8 in") == "1\u20111/4 and 1\u00a07/8 in"
    True
    """
    return re.sub(r"(?<=\d)-(?=\d+/\d)", "\u2011", re.sub(r"(?<=\d) (?=\d+/\d)", "\u00a0", words))


def one_unit(quantities: Iterable[Amount | None]) -> bool:
    """Whether those that are there have one unit."""
    return len({item.unit for item in quantities if item}) < 2


def joined(parts: Sequence[Any], mark: str) -> str:
    """The parts that are not blank, in one text."""
    return mark.join(str(part) for part in parts if part not in (None, ""))
