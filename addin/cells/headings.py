"""The heading of a column: its words and its unit."""

import re
from dataclasses import dataclass
from functools import lru_cache

from calc.units import kinds_of


@dataclass(frozen=True)
class Heading:
    """A heading as typed, its words in one plain form, and its unit text if one stands in it.

    `doubled` says that two units stand in it ("Torque (ft-lb / Nm)"), so that none can be taken; `bracket` is what
    stands in brackets and is no unit known here.
    """

    text: str
    words: str
    unit: str | None
    doubled: bool = False
    bracket: str = ""


_ABBREVIATIONS = {
    "no": "number", "no.": "number", "nr": "number", "num": "number", "#": "number", "№": "number", "ø": "diameter",
    "dia": "diameter", "dia.": "diameter", "diam": "diameter", "qty": "quantity", "qty.": "quantity",
    "mat": "material", "mat'l": "material", "matl": "material", "spec": "specification", "ident": "identification",
    "temp": "temperature", "press": "pressure", "press.": "pressure", "pres": "pressure", "cert": "certificate",
    "max": "maximum", "max.": "maximum", "min.": "minimum", "lube": "lubricant", "pct": "percent", "%": "percent",
    "equip": "equipment", "equip.": "equipment", "a/f": "across flats", "af": "across flats", "op": "operation",
    "remark": "remarks",
}  # fmt: skip


def plain_words(text: str) -> str:
    """Words of a heading in one form: lower case, abbreviations written out, no punctuation.

    >>> plain_words("Stud Ø"), plain_words("Joint No."), plain_words("Nut A/F")
    ('stud diameter', 'joint number', 'nut across flats')
    """
    lowered = (
        text.lower()
        .replace("\u00a0", " ")
        .replace("_", " ")
        .replace("ø", " ø ")
        .replace("#", " # ")
        .replace("%", " % ")
    )
    words = [_ABBREVIATIONS.get(word, word) for word in lowered.split()]
    joined = re.sub(r"[^\w\s%/]+", " ", " ".join(words), flags=re.UNICODE)
    words = [_ABBREVIATIONS.get(word, word) for word in joined.replace("/", " ").split()]
    return " ".join(words)


_BRACKET = re.compile(r"^(?P<name>.*?)\s*[(\[{](?P<unit>[^()\[\]{}]+)[)\]}]\s*$")
_FOOTNOTE = re.compile(r"\s*(?:[*†‡]+|[(\[]?\s*(?:see\s+)?notes?\s*\d+\s*[)\]]?|\[\d+\])\s*$", re.IGNORECASE)
_LISTED = re.compile(r"^(?P<name>.+?)\s*[,;:]\s*(?P<unit>\S.*)$")
_TORQUE = re.compile(r"^(?P<name>.+?)(?:\s+(?:in|-|–))?\s+(?P<unit>(?!in\s)\S+\s+\S+)$", re.IGNORECASE)
_LOOSE = (
    _TORQUE,  # "ft lb" is one unit; "torque in lb" is left to the user: inch-pounds, or torque in pounds?
    re.compile(r"^(?P<name>.+?)\s+(?P<unit>\S+/\S+)$"),  # "N/mm2" is one unit
    *(re.compile(rf"^(?P<name>.+?){between}(?P<unit>\S+)$") for between in (r"\s+(?:in|-|–)\s+", r"\s*/\s*", r"\s+")),
)


@lru_cache(maxsize=8192)
def split(text: str) -> Heading:
    """Words and unit of a heading: unit in brackets, behind a comma, slash or dash, or as its last word (torque: two).

    >>> split("Torque (ft-lb)").unit, split("Pressure, psi").unit, split("Torque [ft-lb / Nm]").doubled
    ('ft-lb', 'psi', True)
    >>> split("Torque (lb)").bracket
    'lb'
    """
    shown = " ".join(str(text).replace("\u00a0", " ").split())
    said = _FOOTNOTE.sub("", shown) or shown
    for pattern in (_BRACKET, _LISTED, *_LOOSE):
        match = pattern.match(said)
        if not match:
            continue
        unit = match["unit"].strip()
        if pattern is _TORQUE:
            if kinds_of(unit) != ("torque",):
                continue
            other = split(match["name"].rstrip(" /|–-"))
            if other.unit or other.doubled:
                return Heading(shown, other.words, None, doubled=True)
        if pattern in _LOOSE and ((len(unit) == 1 and unit not in '%"') or kinds_of(unit) == ("time",)):
            continue  # a last letter or "min" is a word of the heading, not its unit
        if kinds_of(unit):
            return Heading(shown, plain_words(match["name"]), unit)
        parts = [part.strip() for part in re.split(r"\s*/\s*|\s+or\s+|\s*,\s*|\s*\|\s*", unit)]
        several = len(parts) > 1 and any(len(part) > 1 for part in parts)  # S/N is a serial number
        if several and all(kinds_of(part) for part in parts):
            return Heading(shown, plain_words(match["name"]), None, doubled=True)
        if pattern is _BRACKET and match["name"]:
            return Heading(shown, plain_words(match["name"]), None, bracket=unit)
    if kinds_of(said):
        return Heading(shown, "", said)
    return Heading(shown, plain_words(said), None)
