"""Names of sheets from the tags of joints: what a spreadsheet forbids is exchanged, and no two are alike."""

import re
import unicodedata
from collections.abc import Iterable

LONGEST = 31

_RESERVED = {"history"}


def sheet_names(wanted: Iterable[tuple[str, str]], taken: Iterable[str] = ()) -> list[str]:
    """Sheet names from (tag, ending): at most 31 characters, none twice; the tag is shortened, never the ending.

    >>> sheet_names([("P-1", "break"), ("p-1", "break"), ("A/B:C", "break")])
    ['P-1 break', 'p-1 break (2)', 'A-B-C break']
    """
    used = {_same(name) for name in taken} | _RESERVED
    names = []
    for tag, ending in wanted:
        ending = _name(ending, LONGEST // 2) if ending else ""
        number = 1
        while True:
            last = "".join([f" {ending}" if ending else "", f" ({number})" if number > 1 else ""])
            name = _name(tag, LONGEST - _units(last)) + last
            if _same(name) not in used:
                break
            number += 1
        used.add(_same(name))
        names.append(name)
    return names


def _same(name: str) -> str:
    return unicodedata.normalize("NFKC", name).casefold()


def _units(name: str) -> int:
    """Length as the limit counts it: UTF-16 units, so a character outside the basic plane counts twice."""
    return len(name.encode("utf-16-le")) // 2


def _name(tag: str, room: int) -> str:
    name = re.sub(r"[\[\]:*?/\\]", "-", unicodedata.normalize("NFC", tag))
    name = " ".join("".join(" " if unicodedata.category(mark)[0] == "C" else mark for mark in name).split())
    name = re.sub("^'+|'+$", "’", name) or "-"
    if _units(name) <= room:
        return name
    while _units(name) > room - 1:
        name = name[:-1]
    return name.rstrip() + "…"
