"""Names of files from the tags of joints: what some system forbids is exchanged, and no two are alike."""

import re
import unicodedata
from collections.abc import Iterable

LONGEST = 100
"""Characters before the ending; systems allow about 255 bytes for a name, and the folders count too on some."""

_DEVICES = frozenset({"con", "prn", "aux", "nul", *(f"{name}{n}" for name in ("com", "lpt") for n in range(1, 10))})


def file_names(wanted: Iterable[str]) -> list[str]:
    r"""File names without their ending, each once on systems that tell no capitals apart.

    >>> file_names(["P-1 break", "p-1 break", "A/B:C break", "CON", "end. "])
    ['P-1 break', 'p-1 break (2)', 'A-B-C break', '-CON', 'end']
    """
    used: set[str] = set()
    names = []
    for text in wanted:
        name = re.sub(r'[<>:"/\\|?*]', "-", unicodedata.normalize("NFC", text))
        name = "".join(" " if unicodedata.category(mark)[0] == "C" else mark for mark in name)
        name = " ".join(name.split()).strip(". ") or "-"
        if name.split(".")[0].casefold().strip() in _DEVICES:
            name = f"-{name}"
        number, whole = 1, _cut(name, "")
        while _same(whole) in used:
            number += 1
            whole = _cut(name, f" ({number})")
        used.add(_same(whole))
        names.append(whole)
    return names


def _same(name: str) -> str:
    return unicodedata.normalize("NFKC", name).casefold()


def _cut(name: str, ending: str) -> str:
    room = LONGEST - len(ending)
    if len(name) > room:
        name = name[: room - 1].rstrip(". ") + "…"
    while len((name + ending).encode()) > 200:
        name = name.rstrip("…")[:-1] + "…"
    return name + ending
