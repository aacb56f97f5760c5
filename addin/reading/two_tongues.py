"""Headings in two languages ("Pakning / Gasket"): each is heard in the one that is understood."""

from collections.abc import Sequence
from dataclasses import replace

from addin.reading.grammar import Lexicon, hear, strengths
from addin.reading.heads import Head
from addin.reading.spellings import spelled

_LEAST = 2
"""Headings whose two halves mean the same, from which on a list is taken as one in two languages."""
_MOSTLY = 0.34
"""Share of the headings in two halves whose halves must name the same: wrapped headings are not in two languages."""
_NAMED = 0.6


def in_one_tongue(heads: Sequence[Head], words: Lexicon) -> list[Head]:
    """The headings, those of a list in two languages with the half that is heard.

    >>> heads = [Head(0, "Pakning / Gasket", parts=("Pakning", "Gasket")), Head(1, "Moment / Torque (Nm)",
    ...          parts=("Moment", "Torque (Nm)")), Head(2, "Xyz / Studs", parts=("Xyz", "Studs"))]
    >>> from addin.reading.grammar import lexicon
    >>> [head.heard for head in in_one_tongue(heads, lexicon())]
    ['Gasket', 'Torque (Nm)', 'Studs']
    """
    halves = {head.at: head.parts for head in heads if len(head.parts) == 2}
    agree, differ, whole = 0, 0, [0, 0]
    for one, other in halves.values():
        told = [_named(half, words) for half in (one, other)]
        for side, half in enumerate((one, other)):
            whole[side] += hear(half, words).explained
        if told[0] and told[1]:
            agree, differ = (agree + 1, differ) if _same(one, other, words) else (agree, differ + 1)
    if agree < max(_LEAST, _MOSTLY * len(halves)):
        return list(heads)
    main = 0 if whole[0] > whole[1] else 1
    return [
        replace(head, heard=_heard(halves[head.at], main, words, differ=2 * differ <= agree))
        if head.at in halves
        else head
        for head in heads
    ]


def _same(one: str, other: str, words: Lexicon) -> bool:
    """Whether two halves may mean the same; "Stud" and "size", which stand for one field together, do not."""
    return bool(set(hear(one, words).readings) & set(hear(other, words).readings))


def _named(text: str, words: Lexicon) -> set[str]:
    heard = hear(text, words)
    return {name for name, strength in strengths(heard).items() if strength >= _NAMED} if heard.explained else set()


def _heard(halves: Sequence[str], main: int, words: Lexicon, *, differ: bool) -> str:
    """The half that is heard, "" for the whole heading; a unit behind the other half holds for both."""
    known = [hear(half, words).explained and bool(_named(half, words)) for half in halves]
    if known[0] and known[1]:
        same = _same(halves[0], halves[1], words)
        chosen = main if same or differ else -1
    else:
        chosen = known.index(True) if any(known) else -1
    if chosen < 0:
        return ""
    own, other = spelled(halves[chosen]), spelled(halves[1 - chosen])
    unit = f" ({other.units[-1].text})" if other.units and not own.units else ""
    return halves[chosen] + unit
