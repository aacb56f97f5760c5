"""Words by which a row says that it waits, and what a heading promises of the cells below it; no cell is read here.

The words are data (data/held_words.csv), in the languages that lists of plants come in. On doubt a row waits.
"""

import re
from collections.abc import Mapping
from functools import cache, lru_cache

from addin.reading.spellings import unaccented
from addin.reading.tables import table

STATES, HOLDS, RELEASES, OTHER = "states", "holds", "releases", "other"
"""What a heading promises: the state of the joint, that it is held, that it is released, or something else."""
_PART = r"(?:^|[;,.:(/|–—-])\W*(?:(?:the|this|die|der|das|la|le|joint|row|flange|flansch|status|currently|still|noch|derzeit|is|ist|est|now|jetzt)\s+)*"


@cache
def held_patterns() -> Mapping[str, re.Pattern[str]]:
    """The patterns of each kind of word, as one."""
    parts: dict[str, list[str]] = {}
    for kind, pattern, _ in table("held_words.csv"):
        parts.setdefault(kind, []).append(f"(?:{pattern})")
    return {kind: re.compile("|".join(patterns)) for kind, patterns in parts.items()}


@cache
def _within(kind: str) -> re.Pattern[str]:
    """The words of a kind where a part of a cell begins."""
    return re.compile(f"{_PART}(?P<held>{held_patterns()[kind].pattern})")


@cache
def _beginnings() -> tuple[frozenset[str], frozenset[str]]:
    """Short words of the patterns, and the first three letters of longer ones: a text with neither holds nothing."""
    patterns = " ".join(p for kind, p, _ in table("held_words.csv") if kind in ("anywhere", "start", "alone"))
    runs = re.findall(r"[a-z]+", re.sub(r"\\.", " ", patterns))
    return frozenset(run for run in runs if len(run) < 3), frozenset(run[:3] for run in runs if len(run) > 2)


_WORD = re.compile(r"[a-z]+")


@lru_cache(maxsize=1024)
def promised(heading: str) -> str:
    """What a heading promises of the rows below it.

    >>> promised("Sperrvermerk"), promised("Ready?"), promised("Status"), promised("Gasket"), promised("Hold point")
    ('holds', 'releases', 'states', 'other', 'other')
    """
    plain, known = unaccented(heading), held_patterns()
    if known["heading_of_holds"].search(plain):
        return HOLDS
    if known["heading_of_releases"].search(plain):
        return RELEASES
    return STATES if known["heading_of_states"].search(plain) else OTHER


@lru_cache(maxsize=65536)
def says_held(text: str, promise: str = OTHER, *, remarks: bool = False) -> bool:
    """Whether a cell says that its row waits, under a heading that promises so much.

    >>> says_held("gesperrt bis Freigabe"), says_held("nicht gesperrt"), says_held("No", RELEASES), says_held("No", HOLDS)
    (True, False, True, False)
    """
    plain, known = " ".join(unaccented(text).split()), held_patterns()
    if not plain:
        return False
    if promise != OTHER:
        bare = plain.strip(" .!?")
        if known["no"].fullmatch(bare):
            return promise != HOLDS and not (promise == STATES and bare == "0")
        if promise == HOLDS and known["yes"].fullmatch(bare):
            return True
        if known["state"].fullmatch(bare):
            return True
    short, first = _beginnings()
    if not any(word in short or word[:3] in first for word in _WORD.findall(plain)):
        return False
    found = [*known["anywhere"].finditer(plain)]
    if promise != OTHER:
        found += known["start"].finditer(plain)
        if _within("alone").search(plain):
            return True
    else:
        if any(not known["not_after"].match(plain[m.end() :]) for m in _within("start").finditer(plain)):
            return True
        if remarks and known["alone"].fullmatch(plain.strip(" .!;,")):
            return True
    return any(
        not known["not_before"].search(plain[: m.start()]) and not known["not_after"].match(plain[m.end() :])
        for m in found
    )
