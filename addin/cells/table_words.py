"""What the heading of a column of a calibration table means: the word list of the trade, and its unit.

The words stand in `table_words.csv`, language by language. A word that is not in the list makes a heading unclear:
it is asked about, never taken by its unit alone.
"""

import csv
import pkgutil
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from addin.cells.headings import Heading, split
from calc.units import kinds_of

KINDS = ("pressure", "torque")
TAKEN = ("up", "down", "as found", "as left", "nominal", "measured", "mean", "run", "link")
"""Ways in which a reading was taken."""
EXCLUDED = ("rated value", "lowest or highest value", "return or retract value", "break-out value", "limit")
"""Pressures and torques that are not what the wrench gives at a pressure."""
OTHER = ("uncertainty", "error", "deviation", "temperature", "operator", "number", "per cent", "date or time",
         "remarks", "factor", "signal")  # fmt: skip
"""What a column may hold that is no reading of pressure or torque."""


@dataclass(frozen=True)
class Meaning:
    """What a heading says. `kind` pressure, torque or "" when neither; `other` what else it is, `taken` how its
    readings were taken, `excluded` which other pressure or torque it is (a rated value, ...); `unknown` are words of
    no list.

    `result` says that a heading calls its column the result. A heading is `clear` when nothing but its kind is said.
    """

    heading: Heading
    kind: str
    taken: tuple[str, ...] = ()
    other: str = ""
    excluded: str = ""
    unknown: tuple[str, ...] = ()
    named: bool = False
    result: bool = False

    @property
    def clear(self) -> bool:
        """Whether it names a pressure or a torque and nothing besides."""
        return bool(self.kind) and not (self.taken or self.other or self.excluded or self.unknown)


@cache
def words_of_trade() -> Mapping[str, tuple[str, ...]]:
    """Phrase -> its meanings, in all languages."""
    found: dict[str, list[str]] = {}
    text = (pkgutil.get_data("addin.cells", "table_words.csv") or b"").decode("utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    for row in rows:
        meaning = row.pop("meaning")
        for words in row.values():
            for phrase in map(plain, (words or "").split("|")):
                if phrase and meaning not in found.setdefault(phrase, []):
                    found[phrase].append(meaning)
    return {phrase: tuple(meanings) for phrase, meanings in found.items()}


def plain(text: str) -> str:
    """A text in small letters, without accents and punctuation.

    >>> plain("Couple après réglage"), plain("Öl-Druck"), plain("Prüfmoment")
    ('couple apres reglage', 'ol druck', 'prufmoment')
    """
    bare = unicodedata.normalize("NFKD", text.replace("ß", "ss").casefold())
    kept = "".join(mark for mark in bare if not unicodedata.combining(mark))
    return " ".join(re.sub(r"[^\w%]+", " ", kept.replace("_", " ")).split())


@lru_cache(maxsize=4096)
def meaning(text: str) -> Meaning:
    """What a heading as typed says.

    >>> meaning("Gauge reading (psi)").kind, meaning("Drehmoment steigend [Nm]").taken
    ('pressure', ('up',))
    >>> meaning("Rated torque (Nm)").excluded, meaning("HW-2 (Nm)").unknown
    ('rated value', ('hw', '2'))
    """
    heading = _heading(text)
    unit_kind = next((kind for kind in KINDS if heading.unit and kind in kinds_of(heading.unit)), "")
    foreign = bool(heading.unit) and not unit_kind
    found, unknown = _phrases(plain(heading.words))
    bases = [kind for kind in KINDS if any(kind in meanings for meanings in found)]
    if len(bases) == 2:  # "par" is a torque in Spanish and a small word in French
        bases = [kind for kind in bases if any(m == (kind,) for m in found)][:1] if unit_kind == "" else [unit_kind]
    base = bases[0] if bases else ""
    said = [meanings for meanings in found if base not in meanings or not base]
    hints = {m for meanings in said for m in meanings}
    other = next((name for name in OTHER if any(name in m and not _small(m, base or unit_kind) for m in said)), "")
    if foreign and not other:
        other = "another quantity"
    kind = base
    if not kind and unit_kind and not other:
        kind = unit_kind
    taken = tuple(name for name in TAKEN if any(name in m and not _small(m, kind) for m in said))
    excluded = next((name for name in EXCLUDED if any(name in m and not _small(m, kind) for m in said)), "")
    result = other == "remarks" and bool(base) and bool(unit_kind)
    if result:
        other = ""
    if other == "number" and base and unit_kind:
        other, taken = "", (*taken, "run")
    if not base and not unit_kind and not other and not taken and not unknown and hints & {f"by {k}" for k in KINDS}:
        sides = [k for k in KINDS if all(f"by {k}" in m or "in between" in m for m in said)]
        kind = sides[0] if len(sides) == 1 else ""
    if not heading.words and not unit_kind:
        kind = ""
    numbered = tuple(word for word in unknown if word.isdigit() or word in ("i", "ii", "iii", "iv"))
    if numbered and len(numbered) == len(unknown) and (base or "run" in taken) and "link" not in taken:
        taken = tuple(dict.fromkeys((*taken, "run")))
        unknown = ()
    if "mean" in taken:
        taken = tuple(way for way in taken if way != "run")  # a mean of so many runs
    if re.match(r"\s*(?:±|\+/-|\+-)", text):
        kind, other = "", "deviation"
    return Meaning(heading, kind, taken, other, excluded, unknown, bool(base), result)


_DRIVE = re.compile(
    r"(?:@|\bat|\bon)?\s*(?:\d+[\s-]+)?\d+(?:/\d+|\.\d+)?\s*(?:\"|″|in\b\.?|inch\b|mm\b)\s*(?:square\s+|sq\.?\s+)?drive\b",
    re.IGNORECASE,
)  # fmt: skip
"""The size of a square drive: it says which wrench, and nothing of the column."""


def _heading(text: str) -> Heading:
    """Words and unit of a heading; what stands in brackets behind its unit is words: "Moment in Nm (Mittelwert)"."""
    said = _DRIVE.sub(" drive", text.rstrip().rstrip(":"))
    heading = split(said)
    if heading.unit is None and heading.bracket and not heading.doubled:
        before, _, after = said.rpartition(heading.bracket)
        inner = split(before.rstrip(" ([{"))
        if inner.unit and len(heading.bracket.split()) > 1:
            heading = Heading(heading.text, f"{inner.words} {plain(heading.bracket)}", inner.unit)
    return replace(heading, text=" ".join(text.replace("\u00a0", " ").split()))


def _small(meanings: tuple[str, ...], kind: str) -> bool:
    """Whether a phrase may be a small word beside the kind, so that it says nothing else."""
    return "in between" in meanings or (bool(kind) and f"by {kind}" in meanings)


def _phrases(text: str) -> tuple[list[tuple[str, ...]], tuple[str, ...]]:
    """Meanings of the longest phrases of a text from left to right, and the words that are in none."""
    listed = words_of_trade()
    words = text.split()
    found, unknown = [], []
    at = 0
    while at < len(words):
        for length in range(min(4, len(words) - at), 0, -1):
            phrase = " ".join(words[at : at + length])
            if phrase in listed:
                found.append(listed[phrase])
                at += length
                break
        else:
            unknown.append(words[at])
            at += 1
    return found, tuple(unknown)


def way_taken(text: str) -> tuple[str, ...]:
    """The ways of taking a reading that a short text names, as over a table or among its rows.

    >>> way_taken("AS FOUND"), way_taken("Before adjustment"), way_taken("Test temperature 20 °C")
    (('as found',), ('as found',), ())
    """
    words = plain(text)
    if len(words.split()) > 6:
        return ()
    found, unknown = _phrases(words)
    ways = tuple(name for name in TAKEN[:5] if any(name in m and "in between" not in m for m in found))
    phrases = any(len(phrase.split()) > 1 and set(meanings) & set(ways) and phrase in words
                  for phrase, meanings in words_of_trade().items())  # fmt: skip
    if not ways or (unknown and not phrases):
        return ()
    return ways
