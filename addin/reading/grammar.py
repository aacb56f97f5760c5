"""Words of a heading -> concepts -> how strongly they name each field. Both tables are data that a planner can extend."""

import bisect
import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import islice, product

from addin.reading.fields import BY_NAME
from addin.reading.spellings import Spelled, spelled, unaccented
from addin.reading.tables import table

Concepts = frozenset[str]
_NOTHING: Concepts = frozenset()
_LONGEST = 5
_MOST = 48
_NEAR = 0.86

BLOCK = frozenset(
    ("ALLOW", "CHECK", "COLD", "DONEDATE", "DRY", "DUTY", "ELONG", "GAUGE", "GLAND", "HOT", "LIMIT", "LOGISTIC", "MAXI",
     "MINI", "OLD", "OTHERDIM", "PAPER", "PCD", "PERSON", "PITCH", "RECORD", "RESIDUAL", "SECT", "SPARE",
     "STAGE", "TEMP", "TESTW", "UTIL", "YIELD", "YN", "OPENED", "ROTATION", "KEEPS", "SHANK", "IDIA", "ODID",
     "WITNESSP", "TOTAL", "NUTCOUNT")
)  # fmt: skip
"""Concepts that make a column another thing than the field its other words name, unless that field allows them."""


@dataclass(frozen=True)
class Heard:
    """What the words of a heading may mean: a set of concepts a reading, and the words that nothing explains."""

    readings: tuple[Concepts, ...]
    unknown: tuple[str, ...] = ()
    near: tuple[tuple[str, str], ...] = ()

    @property
    def explained(self) -> bool:
        """Whether every word is explained, none of them by likeness only."""
        return not self.unknown and not self.near

    @property
    def concepts(self) -> Concepts:
        """All concepts of all readings."""
        return frozenset().union(*self.readings) if self.readings else _NOTHING


@dataclass(frozen=True, eq=False)
class Lexicon:
    """The table of words: phrases in plain words, symbols as written; `without` words are taken as unknown."""

    words: Mapping[tuple[str, ...], tuple[Concepts, ...]]
    symbols: Mapping[str, tuple[Concepts, ...]]

    def without(self, words: set[str]) -> "Lexicon":
        """The same table less some words and symbols, to judge what a list looks like whose words nobody knew."""
        phrases = {key: value for key, value in self.words.items() if " ".join(key) not in words}
        return Lexicon(phrases, {key: value for key, value in self.symbols.items() if key not in words})


@cache
def lexicon() -> Lexicon:
    """The words and symbols as they stand in data/lexicon.csv."""
    words: dict[tuple[str, ...], tuple[Concepts, ...]] = {tuple(name.split("_")): (_own(name),) for name in unnamed()}
    symbols = {}
    for text, kind, concepts, _ in table("lexicon.csv"):
        readings = tuple(frozenset(part.split()) - {"FILL"} for part in concepts.split("|"))
        if kind == "symbol":
            symbols[text] = readings
        else:
            words[tuple(text.split())] = readings
    return Lexicon(words, symbols)


@dataclass(frozen=True)
class Naming:
    """How a field is named: the concepts that may stand with it, and (concepts needed, strength) rows."""

    field: str
    may: Concepts
    rows: tuple[tuple[Concepts, float], ...]


@cache
def unnamed() -> tuple[str, ...]:
    """Fields that the grammar has no rows for: their own name in full names them, as surely as anything does.

    >>> unnamed(), strengths(hear("Friction source"))
    (('friction_source', 'uplift', 'uplift_reason'), {'friction_source': 1.0})
    """
    named = {row[0] for row in table("grammar.csv")}
    return tuple(name for name in BY_NAME if name not in named)


def _own(name: str) -> Concepts:
    return frozenset((f"FIELD {name}",))


@cache
def grammar() -> tuple[Naming, ...]:
    """The ways of naming fields as they stand in data/grammar.csv."""
    may: dict[str, Concepts] = {}
    rows: dict[str, list[tuple[Concepts, float]]] = {}
    for field, concepts, strength, _ in table("grammar.csv"):
        if strength == "with":
            may[field] = frozenset(concepts.split())
        else:
            rows.setdefault(field, []).append((frozenset(concepts.split()), float(strength)))
    plain = (Naming(name, _NOTHING, ((_own(name), 1.0),)) for name in unnamed())
    return (*(Naming(field, may[field], tuple(found)) for field, found in rows.items()), *plain)


def hear(text: str, known: Lexicon | None = None) -> Heard:
    """What the words of a heading may mean.

    >>> [sorted(reading) for reading in hear("Stud Ø (in)").readings]
    [['SIZE', 'STUD']]
    """
    return _hear(spelled(text), known or lexicon())


_cached: dict[tuple[Lexicon, Spelled], Heard] = {}


def _hear(heading: Spelled, known: Lexicon) -> Heard:
    key = (known, heading)
    if key not in _cached:
        if len(_cached) > 50_000:
            _cached.clear()
        _cached[key] = _heard(heading, known)
    return _cached[key]


_SYMBOLS = (
    (re.compile(r"[µμ]_?(?:[GtT]\w{0,6}|th\w*)"), "MUTH"),
    (re.compile(r"[µμ]_?(?:[KbnhHN]\w{0,6})"), "MUB"),
    (re.compile(r"(?:σ_?|S_)(?!max|min)[a-zA-Z0-9]{0,3}(?<![yYgGe])"), "STRESS"),
    (re.compile(r"F_[A-Za-z0-9]{1,3}"), "LOAD"),
    (re.compile(r"[MT]_[A-Za-z0-9]{1,3}"), "TORQUE"),
    (re.compile(r"[nNzZ]_[A-Za-z]{1,2}"), "COUNTSYM"),
    (re.compile(r"[dD]_[bBsS]"), "DIA"),
)
"""Symbols of the trade with an index that the table does not list."""


_MARKS: dict[str, Concepts] = {
    **dict.fromkeys(
        ("rec", "req", "reqd", "nom", "soll", "tgt", "target", "set", "fin", "final"), frozenset(("TARGET",))
    ),
    **dict.fromkeys(("min", "mini"), frozenset(("MINI",))),
    **dict.fromkeys(("max", "maxi", "zul", "lim", "adm"), frozenset(("MAXI",))),
    **dict.fromkeys(("ist", "act", "meas", "mes"), frozenset(("RECORD",))),
}
_MARKED = re.compile(
    r"([A-Za-zσ]{1,3}(?:_[A-Za-z0-9]{1,3})?)(?:[ ,_.]*(?=min|max|rec|req|nom|soll)|[ ,_.]+)"
    rf"({'|'.join(sorted(_MARKS, key=len, reverse=True))})",
    re.IGNORECASE,
)
"""A symbol with what it is behind it: "FB,rec", "MA nom", "Qmax"."""


def _letters(symbol: str) -> tuple[Concepts, ...]:
    """What letters without a table mean: F a load, M and T with an index a torque, Q the stress of a gasket."""
    concept = {"F": "LOAD", "M": "TORQUE", "T": "TORQUE", "Q": "SG"}.get(symbol[:1], "")
    if not concept or (symbol == "T") or len(symbol) > 3:
        return ()
    return (frozenset((concept,)),)


def _heard(heading: Spelled, known: Lexicon) -> Heard:
    bare = heading.bare.strip(" :.;,?")
    whole = known.symbols.get(bare.replace(" ", "")) or known.symbols.get(bare)
    if whole and (len(bare) <= 2 or not heading.words or heading.words not in known.words):
        also = known.words.get(heading.words, ())
        return Heard((*whole, *(each for each in also if each not in whole)))
    for pattern, concept in _SYMBOLS:
        if pattern.fullmatch(bare):
            return Heard((frozenset((concept,)),))
    named = heading.words in known.words  # "Termin" is no T with a lowest value
    if (
        not named
        and (marked := _MARKED.fullmatch(bare))
        and (known_as := known.symbols.get(marked[1]) or _letters(marked[1]))
    ):
        return Heard(tuple(reading | _MARKS[marked[2].lower()] for reading in known_as))
    pair = [known.symbols.get(part.strip()) for part in bare.split(" / ")]
    if len(pair) == 2 and pair[0] and pair[1]:
        return Heard((pair[0][0] | pair[1][0],))
    spelled_as = {part.lower().strip(".,:;()"): part.strip(".,:;()") for part in re.split(r"[\s=._]+", bare)}
    bare_low = unaccented(bare)
    pieces: list[tuple[Concepts, ...]] = []
    unknown: list[str] = []
    near: list[tuple[str, str]] = []
    words, at = heading.words, 0
    while at < len(words):
        for size in range(min(_LONGEST, len(words) - at), 0, -1):
            phrase = words[at : at + size]
            found = known.words.get(phrase) or (known.words.get(_singular(phrase)) if size == 1 else None)
            if size == 1 and len(phrase[0]) <= 3 and phrase[0] in spelled_as:
                as_symbol = known.symbols.get(spelled_as[phrase[0]])
                found = tuple(dict.fromkeys([*(found or ()), *(as_symbol or ())])) or None
            if found is None and size > 1 and all(len(word) == 1 for word in phrase) and ".".join(phrase) in bare_low:
                found = known.words.get(("".join(phrase),))  # "M.O.C."
            if found is None and size == 2 and len("".join(phrase)) > _STEM:
                found = known.words.get(("".join(phrase),))  # "Avain- väli", "stud bolts" and "studbolts"
            if found is not None:
                pieces.append(found)
                at += size
                break
        else:
            word = words[at]
            at += 1
            if re.fullmatch(r"[tp][1-5]", word):
                pieces.append((frozenset(("STAGE", "NUM1")),))  # T1, T2, T3
                continue
            if re.fullmatch(r"(?:19|20)\d\d", word):
                pieces.append((frozenset(("YEAR",)),))  # "MA 2021": what held then
                continue
            if _is_code(word):
                continue
            stem = word.rstrip("0123456789")
            if stem != word and len(stem) > 2 and (stem,) in known.words:
                pieces.append(tuple(reading | {"NUM1"} for reading in known.words[(stem,)]))
                continue
            close = _near(word, known) or _short_for(word, known)
            if close and len(word) >= _PLAIN_SHORT and f"{word}." in bare_low and close.startswith(word):
                pieces.append(known.words[(close,)])  # "lubric." says itself that it is short for something
                continue
            if close:
                near.append((word, close))
                pieces.append(known.words[(close,)])
            elif made := _made_of(word, known):
                near.append((word, " + ".join(made)))
                pieces.append((_NOTHING.union(*(known.words[(part,)][0] for part in made)),))
            elif same := _same_stem(word, known):
                near.append((word, same))
                pieces.append(known.words[(same,)])
            elif several := _may_be_short_for(word, known, dotted=f"{word}." in bare_low):
                near.append((word, " or ".join(several)))
                pieces.append((*(known.words[(each,)][0] for each in several), _NOTHING))
            else:
                unknown.append(word)
    readings: dict[Concepts, None] = {}
    for choice in islice(product(*pieces), _MOST):
        readings[_counted(frozenset().union(*choice))] = None
    return Heard(tuple(readings), tuple(unknown), tuple(near))


def _counted(reading: Concepts) -> Concepts:
    """A reading, marked where it counts nuts: their number is neither a size nor a count of studs."""
    nuts_only = (
        "NUT" in reading
        and reading & {"COUNT", "COUNTSYM"}
        and not reading & {"STUD", "AF", "TOOL", "GRADE", "WASHER", "SIZE"}
    )
    return reading | {"NUTCOUNT"} if nuts_only else reading


def _singular(phrase: tuple[str, ...]) -> tuple[str, ...]:
    word = phrase[0]
    return (word[:-1],) if word.endswith("s") and len(word) > 3 else phrase


def _is_code(word: str) -> bool:
    """Whether a word is a number or a code of a form ("f010") that says nothing of the column."""
    return word.isdigit() or (word[:1].isalpha() and word[1:].isdigit() and len(word) > 3)


_NEGATED = ("un", "non", "in", "dis", "anti")


@lru_cache(maxsize=4096)
def _near_in(word: str, vocabulary: tuple[str, ...]) -> str:
    found = difflib.get_close_matches(word, vocabulary, n=1, cutoff=_NEAR)
    if not found:  # two letters that changed places: "yeild"
        found = [other for other in vocabulary if len(other) == len(word) and _swapped(word, other)][:1]
    if not found or any(word.startswith(no) != found[0].startswith(no) for no in _NEGATED):
        return ""
    return found[0]


def _swapped(one: str, other: str) -> bool:
    """Whether two words differ by two neighbours that changed places."""
    apart = [k for k, (a, b) in enumerate(zip(one, other, strict=True)) if a != b]
    return (
        len(apart) == 2
        and apart[1] == apart[0] + 1
        and one[apart[0]] == other[apart[1]]
        and one[apart[1]] == other[apart[0]]
    )


@cache
def _vocabulary(names: frozenset[tuple[str, ...]]) -> tuple[str, ...]:
    return tuple(sorted(name[0] for name in names if len(name) == 1 and len(name[0]) > 4))


_vocabularies: dict[Lexicon, tuple[str, ...]] = {}


def _near(word: str, known: Lexicon) -> str:
    if len(word) < 5 or any(mark.isdigit() for mark in word):
        return ""
    words = _vocabularies.get(known)
    if words is None:
        words = _vocabularies[known] = _vocabulary(frozenset(known.words))
    return _near_in(word, words)


_LEAST_LETTERS = 3
_PLAIN_SHORT = 4
_SURE_SHORT = 5
_VOWELS = re.compile(r"(?<=.)[aeiouy]")


def _bones(word: str) -> str:
    """A word as it is often shortened: its consonants, each once ("mtrl", "lngth")."""
    return re.sub(r"(.)\1+", r"\1", _VOWELS.sub("", word))


@cache
def _shortened(known: Lexicon) -> tuple[dict[str, tuple[str, ...]], tuple[str, ...]]:
    """The longer words by their consonants, and all of them in order."""
    found: dict[str, tuple[str, ...]] = {}
    longer = _vocabulary(frozenset(known.words))
    for word in longer:
        found[_bones(word)] = (*found.get(_bones(word), ()), word)
    return found, longer


def _short_for(word: str, known: Lexicon) -> str:
    """The word that an abbreviation stands for, where all that it may stand for mean the same; else "".

    A beginning ("lubr") or the consonants ("mtrl") of a longer word. Like a near miss it never explains fully.
    """
    if len(word) < _LEAST_LETTERS or not word.isalpha() or word.startswith(_NEGATED):
        return ""
    by_bones, longer = _shortened(known)
    found = list(by_bones.get(word, ())) if len(_bones(word)) == len(word) else []
    if not found and len(word) > _LEAST_LETTERS:
        at = bisect.bisect_left(longer, word)
        while at < len(longer) and longer[at].startswith(word):
            found.append(longer[at])
            at += 1
    meanings = {known.words[(each,)][:1] for each in found}
    if len(meanings) == 1 and len(word) < _SURE_SHORT and any(reading & BLOCK for reading in next(iter(meanings))):
        return ""  # so few letters are no reason to set a column aside
    return min(found, key=len) if len(meanings) == 1 else ""


_LINKS = ("", "s", "n", "en", "e", "es", "er", "ns", "o", "i")
"""What stands between the parts of a word that is made of others ("Schraube-n-zahl")."""
_LEAST_PART = 4
_ENDINGS = frozenset(
    (
        "antal",
        "anzahl",
        "zahl",
        "nummer",
        "nr",
        "tal",
        "ant",
        "dim",
        "typ",
        "art",
        "gr",
        "lg",
        "ltg",
        "mat",
        "bez",
        "lgd",
    )
)
"""Short last parts that are words by themselves."""


@lru_cache(maxsize=4096)
def _made_of(word: str, known: Lexicon) -> tuple[str, ...]:
    """The words of the table that a word is made of, () where it cannot be taken apart; the longest first part wins.

    >>> _made_of("flanschnummer", lexicon()), _made_of("temperaturen", lexicon())
    (('flansch', 'nummer'), ())
    """
    if len(word) < 2 * _LEAST_PART - 1 or not word.isalpha():
        return ()
    for cut_at in range(len(word) - 2, _LEAST_PART - 2, -1):
        first, rest = word[:cut_at], word[cut_at:]
        if (len(first) < _LEAST_PART and first not in _ENDINGS) or not _means(first, known):
            continue
        for link in _LINKS:
            last = rest[len(link) :] if rest.startswith(link) else ""
            if (len(last) >= _LEAST_PART or last in _ENDINGS) and _means(last, known):
                return (first, last)
            if len(last) > 2 * _LEAST_PART and (more := _made_of(last, known)):
                return (first, *more)
    return ()


def _means(word: str, known: Lexicon) -> bool:
    """Whether a word stands in the table and says something."""
    return bool(known.words.get((word,), (_NOTHING,))[0])


_STEM = 5
_MOST_ENDING = 3


@lru_cache(maxsize=4096)
def _same_stem(word: str, known: Lexicon) -> str:
    """A word of the table that differs by its ending only ("bullone", "bulloni"), where all that do mean the same."""
    if len(word) < _STEM + 1 or not word.isalpha() or word.startswith(_NEGATED):
        return ""
    stem = word[: max(_STEM, len(word) - _MOST_ENDING)]
    found = [each for each in _beginning(stem, known) if len(each) <= len(stem) + _MOST_ENDING]
    meanings = {known.words[(each,)][:1] for each in found}
    if len(meanings) != 1 or next(iter(meanings)) == (_NOTHING,) or next(iter(meanings))[0] & BLOCK:
        return ""
    return min(found, key=len)


def _beginning(stem: str, known: Lexicon) -> list[str]:
    """The longer words of the table that begin so."""
    _, longer = _shortened(known)
    at, found = bisect.bisect_left(longer, stem), []
    while at < len(longer) and longer[at].startswith(stem):
        found.append(longer[at])
        at += 1
    return found


_MOST_MEANINGS = 5


@lru_cache(maxsize=4096)
def _may_be_short_for(word: str, known: Lexicon, *, dotted: bool) -> tuple[str, ...]:
    """What an abbreviation may stand for, one word a meaning; cells and the other columns settle which.

    Only where a dot says that it is one.
    """
    if not dotted or len(word) < _LEAST_LETTERS or not word.isalpha():
        return ()
    by_bones, _ = _shortened(known)
    found = [*_beginning(word, known), *(each for each in by_bones.get(word, ()) if len(_bones(word)) == len(word))]
    meanings: dict[Concepts, str] = {}
    for each in found:
        if (meaning := known.words[(each,)][0]) and not meaning & BLOCK:
            meanings.setdefault(meaning, each)
    return tuple(meanings.values()) if 0 < len(meanings) <= _MOST_MEANINGS else ()


def strengths(own: Heard, above: Heard | None = None) -> dict[str, float]:
    """How strongly a heading names each field, with what stands above it where something does.

    >>> found = strengths(hear("Size"), hear("Stud bolts"))
    >>> max(found, key=found.get), found["thread"]
    ('thread', 1.0)
    """
    if above is None or not above.concepts:
        return _best(own.readings)
    joined = tuple(_counted(one | other) for one in own.readings for other in above.readings)[:_MOST] or above.readings
    found = _best(joined)
    blocked = any(reading & BLOCK for reading in above.readings) or any("NUTCOUNT" in each for each in joined)
    if not blocked and own.readings:
        for field, strength in _best(own.readings).items():
            found[field] = max(found.get(field, 0.0), 0.8 * strength)
    return found


def _best(readings: Sequence[Concepts]) -> dict[str, float]:
    found: dict[str, float] = {}
    for order, reading in enumerate(readings):
        for field, strength in _of(reading).items():
            strength *= 1.0 if order == 0 else 0.8  # the first reading of a word is its usual one
            if strength > found.get(field, 0.0):
                found[field] = strength
    return found


_WHOSE = frozenset(("PAPER", "PERSON", "LOGISTIC"))
"""Where a figure comes from ("torque as per data sheet", "vendor's torque"): no reason to take it for a paper."""
_MEASURES = frozenset(("TORQUE", "LOAD", "STRESS"))


@lru_cache(maxsize=16384)
def _of(reading: Concepts) -> dict[str, float]:
    found = {}
    for naming in grammar():
        best = 0.0
        for needs, strength in naming.rows:
            if strength > best and needs <= reading:
                others = reading - naming.may - needs
                if others & BLOCK and others & BLOCK <= _WHOSE and needs <= reading and needs & _MEASURES:
                    best = max(best, 0.8 * strength * 0.6 ** len(others - _WHOSE - {"NUM1", "TARGET"}))
                elif not others & BLOCK:
                    best = max(best, strength * 0.6 ** len(others - {"NUM1", "TARGET"}))
        if best:
            found[naming.field] = best
    return found
