"""Rows without studs whose pipe size and class are stated: count and size of the studs of the standard flange."""

import math
import re
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any

from addin.reading.column import Column
from addin.reading.spellings import spelled
from calc.findings import CAUTION, Finding, InputError
from calc.hardware import flanges, threads

_BARE = re.compile(r"\d+(?:\.\d+)?(?:\s*[- ]\s*\d+/\d+)?|\d+/\d+", re.ASCII)
_PN = re.compile(r"PN\s*-?\s*\d", re.IGNORECASE)
_CLASS_ALONE = re.compile(
    r"(?:150|300|600|900|1500|2500)|\d{3,4}\s*,?\s*(?:ASME\s*)?(?:B16\.47\s*)?(?:SERIES|SER\.?)\s*[AB]", re.IGNORECASE
)
"""Numbers that are classes whatever the heading says: no pressure of a PN flange has them."""
_NAMED = re.compile(r"\b(?:SERIES|SER\.?|B16\.(?:5|47)|EN\s*1092)", re.IGNORECASE)
"""A row that names the standard of its flange is held against it, whatever the rest of the list keeps to."""
_OWN_SIZE = re.compile(r"nps|dn|\"|″|”|\bin\b|inch", re.IGNORECASE)
_OWN_CLASS = re.compile(r"class|cl|ansi|asme|#|lb", re.IGNORECASE)


def from_standard_flanges(
    columns: Sequence[Column], texts: dict[str, list[str]], numbers: dict[str, Any], count: int
) -> tuple[dict[int, str], list[Finding]]:
    """Fill thread and stud count of the rows that state neither, where size and class name a standard flange.

    A bare number counts as a pipe size only where the heading says of which kind (NPS, DN, a unit), and as a class
    only where it says Class. Each filled row gets a caution; a row whose flange is not known stops.
    Returns row -> the flange, and the findings.
    """
    kinds = {column.field: column for column in columns if column.field in ("size", "rating")}
    size_kind, class_kind = _size_kind(kinds.get("size")), _says_class(kinds.get("rating"))
    threads = texts.setdefault("thread", [""] * count)
    studs = numbers.setdefault("studs", [math.nan] * count)
    sizes, ratings = (texts.get(name, [""] * count) for name in ("size", "rating"))
    found: dict[int, str] = {}
    findings: list[Finding] = []
    for i in range(count):
        if threads[i] or not math.isnan(studs[i]) or not (sizes[i] and ratings[i]):
            continue
        try:
            flange = flanges.flange(_size(sizes[i], size_kind), _class(ratings[i], class_kind))
        except InputError as error:
            f = error.finding
            findings.append(Finding(f.code, "size" if f.quantity == "nps" else "rating", f.facts, row=i))
            continue
        if flange.basis != "read in a copy":
            name = f"NPS {flange.nps} class {flange.pressure_class}"
            findings.append(Finding("flange_remembered", "size", {"flange": name}, row=i))
            continue
        threads[i], studs[i] = flange.thread.designation, float(flange.studs)
        found[i] = f"NPS {flange.nps} class {flange.pressure_class}, {flange.source}"
        facts = {"flange": found[i], "studs": flange.studs, "thread": flange.thread.designation}
        findings.append(Finding("studs_of_standard_flange", "studs", facts, CAUTION, i))
    return found, findings


ORDERLY = 0.75
"""Share of the comparable rows that must have the studs of their standard flange before the others are named."""
SURE = 0.95
"""Share of the rows with the right count, or the right size, in a list that was sorted without the other column."""
LONG = 30
"""Fewest rows of a list that is judged without size and class."""
ROWS = 10
"""Fewest comparable rows. Judgement, no source."""


def against_standard_flanges(
    columns: Sequence[Column], texts: Mapping[str, list[str]], numbers: Mapping[str, Any], count: int
) -> list[Finding]:
    """Cautions where stated stud count or size are not those of the standard flange of size and class.

    Nothing is said in a list that is not mostly of standard flanges, nor of a size or class that cannot be read.
    """
    kinds = {column.field: column for column in columns if column.field in ("size", "rating")}
    if len(kinds) < 2 or "thread" not in texts:
        return []
    size_kind = _size_kind(kinds["size"]) or _kind_of_numbers(texts["size"])
    class_kind = _says_class(kinds["rating"])
    pn_kind = "pn" in spelled(kinds["rating"].heading).words
    found: list[Finding] = []
    named: set[int] = set()
    compared = same = sized = counted = 0
    counts = numbers.get("studs", [math.nan] * count)
    known: dict[tuple[str, str, str], tuple[tuple[flanges.Bolting, ...], float] | None] = {}

    def of(rating: str) -> str:
        if pn_kind and rating.isascii() and rating.isdigit():
            rating = f"PN {rating}"
        return rating if _PN.match(rating) or _CLASS_ALONE.fullmatch(rating) else _class(rating, class_kind)

    def standard(size: str, rating: str, stud: str) -> tuple[tuple[flanges.Bolting, ...], float] | None:
        try:
            ways = flanges.bolting_of(
                _size(size, "" if size_kind == "NPS" and _PN.match(of(rating)) else size_kind), of(rating)
            )
            return (ways, float(threads.parse(stud).diameter)) if ways else None
        except InputError:
            return None

    for i, key in enumerate(zip(texts["size"], texts["rating"], texts["thread"], strict=True)):
        if key not in known:
            known[key] = standard(*key)
        one = known[key]
        if one is None or math.isnan(counts[i]):
            continue
        compared += 1
        ways, diameter = one
        right = [(abs(diameter - w.diameter) <= 2e-4, counts[i] == w.studs) for w in ways]
        sized, counted = sized + any(r[0] for r in right), counted + any(r[1] for r in right)
        if not any(map(all, right)):
            facts = {"flange": ways[0].name, "source": ways[0].source, "studs": int(counts[i]), "most": True,
                     "thread": texts["thread"][i], "standard_studs": ways[0].studs,
                     "standard_thread": ways[0].stud}  # fmt: skip
            code = "studs_not_of_flange"
            if len(ways) > 1 or ways[0].basis != "read in a copy":
                code = "studs_not_of_flanges"
                facts["ways"] = tuple(f"{w.studs} x {w.stud} ({w.name}, {w.basis})" for w in ways)
            found.append(Finding(code, "studs", facts, CAUTION, i))
            if _NAMED.search(key[1]):
                named.add(i)
            continue
        same += 1
    # the one column without the other: that of standard flanges lost its rows when the list was sorted
    lost = max(sized, counted) >= SURE * compared and min(sized, counted) < compared / 2
    if compared >= ROWS and (same >= ORDERLY * compared or lost):
        return found
    return [replace(each, facts={**each.facts, "most": False}) for each in found if each.row in named]


PAIRED = 0.97
"""Share of the rows with a stud and count that some standard flange has, in a list of standard flanges."""


def against_any_flange(
    texts: Mapping[str, list[str]], numbers: Mapping[str, Any], count: int, told: Collection[int]
) -> list[Finding]:
    """Cautions where no standard flange has so many studs of that size, in a list of which nearly all are of one."""
    threads_, counts = texts.get("thread", [""] * count), numbers.get("studs", [math.nan] * count)
    pairs = flanges.bolting()
    known: dict[str, float] = {}
    odd, compared = [], 0
    for i in range(count):
        if not threads_[i] or math.isnan(counts[i]):
            continue
        if threads_[i] not in known:
            try:
                thread = threads.parse(threads_[i])
                known[threads_[i]] = math.nan if thread.metric else round(float(thread.diameter) / 0.0254, 4)
            except InputError:
                known[threads_[i]] = math.nan
        if math.isnan(size := known[threads_[i]]):
            continue
        compared += 1
        if (size, int(counts[i])) not in pairs:
            odd.append(i)
    if compared < LONG or len(odd) > (1 - PAIRED) * compared:
        return []
    return [
        Finding("studs_of_no_flange", "studs", {"studs": int(counts[i]), "thread": threads_[i], "count": compared - len(odd),
                "size": compared}, CAUTION, i)
        for i in odd if i not in told
    ]  # fmt: skip


def against_lengths(texts: Mapping[str, list[str]], count: int) -> list[Finding]:
    """Cautions where a stated stud length is unlike that of the flanges of the same size, class, facing and gasket, in
    a list where nearly all agree.
    """
    if not {"length", "size", "rating"} <= texts.keys():
        return []
    names = ("size", "rating", "thread", "facing", "gasket")
    groups: dict[tuple[str, ...], list[int]] = {}
    for i in range(count):
        if texts["length"][i]:
            key = tuple(texts[name][i].casefold() if name in texts else "" for name in names)
            groups.setdefault(key, []).append(i)
    large = [rows for rows in groups.values() if len(rows) > 3]
    total, agree = sum(map(len, large)), 0
    found: list[Finding] = []
    for rows in large:
        usual, most = Counter(texts["length"][i] for i in rows).most_common(1)[0]
        agree += most
        for i in rows if most >= 0.75 * len(rows) else ():
            if texts["length"][i] != usual:
                facts = {"text": texts["length"][i], "usual": usual, "count": most, "size": len(rows)}
                found.append(Finding("unlike_length", "length", facts, CAUTION, i))
    return found if total >= ROWS and agree >= 0.92 * total else []


def against_equipment(texts: Mapping[str, list[str]], count: int) -> list[Finding]:
    """Cautions where the tag of a joint does not hold its equipment, in a list whose tags nearly all do."""
    tags, items = (texts.get(name, [""] * count) for name in ("joint", "equipment"))
    stated = [i for i in range(count) if tags[i] and items[i]]
    other = [i for i in stated if _bare(items[i]) not in _bare(tags[i])]
    if len(stated) < ROWS or len(other) > 0.08 * len(stated):
        return []
    return [Finding("tag_not_of_equipment", "equipment", {"tag": tags[i], "text": items[i]}, CAUTION, i) for i in other]


def _bare(text: str) -> str:
    return re.sub(r"[\W_]+", "", text).casefold()


def _size_kind(column: Column | None) -> str:
    """What a bare number of the column is: "NPS", "DN", or "" where the heading does not say."""
    if column is None:
        return ""
    words = spelled(column.heading.replace(" / ", " ")).words
    if "dn" in words or column.unit == "mm":
        return "DN"
    return "NPS" if "nps" in words or words == ("nominal", "pipe", "size") or column.unit == "in" else ""


_DN_ONLY = 65
"""From here on a bare size is a DN: no standard pipe has that many inches."""
_DN_TOO = frozenset(("10", "15", "20", "25", "32", "40", "50"))
"""Bare sizes that may be inches or a DN."""


def _kind_of_numbers(sizes: Collection[str]) -> str:
    """What the bare numbers of a column are by themselves, enough to contradict and not to supply: "NPS", "DN" or "".

    >>> _kind_of_numbers(["36", "24", "3/4"]), _kind_of_numbers(["50", "200"]), _kind_of_numbers(["40", "50"])
    ('NPS', 'DN', '')
    """
    bare = {text for text in sizes if _BARE.fullmatch(text)}
    large = [text for text in bare if text.isdecimal() and int(text) >= _DN_ONLY]
    if large:
        return "DN" if all(text in _DN_TOO or text in large for text in bare) else ""
    return "NPS" if bare - _DN_TOO else ""


def _says_class(column: Column | None) -> bool:
    return column is not None and bool(
        {"class", "cl", "ansi", "asme"} & set(spelled(column.heading.replace(" / ", " ")).words)
    )


def _size(text: str, kind: str) -> str:
    if _OWN_SIZE.search(text):
        return text
    if not kind or not _BARE.fullmatch(text):
        raise InputError(Finding("flange_size_unclear", "nps", {"text": text}))
    return f"DN {text}" if kind == "DN" else text


def _class(text: str, stated: bool) -> str:
    if _OWN_CLASS.search(text) or (stated and text.isascii() and text.isdigit()):
        return text
    raise InputError(Finding("flange_class_unclear", "pressure_class", {"text": text}))
