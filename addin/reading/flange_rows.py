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


STANDARDS = (
    "ASME B16.5", "ASME B16.47 series A", "ASME B16.47 series B", "ASME B16.5 and B16.47 series A",
    "ASME B16.5 and B16.47 series B", "EN 1092-1",
)  # fmt: skip
"""What a planner may name as the standard of the flanges of a list."""
NO_STANDARD = "no"
"""The answer that rows without studs have none of a standard."""
READ = "read in a copy"
"""How a row must be known to supply studs: one from memory contradicts and supplies nothing."""
_NOT_PLAIN = re.compile(
    r"\b(?:exchangers?|channels?|shell|tube ?sheet|floating head|bonnets?|man ?ways?|man ?holes?|hand ?holes?|orifice|"
    r"wafers?|lug(?:ged)?|well ?heads?|x-?mas|christmas tree|casing|barrel|body|cover|davit|split|clamp|compact|"
    r"lap joint|slip ring|expansion joints?|special)\b|\b6A\b|\bAPI\s*6",
    re.IGNORECASE,
)
"""Words of joints that are no plain pair of pipe flanges, whatever their size and class. Judgement, no source."""
_BETWEEN = re.compile(r"spectacle|spacer|spade|blank|blind|ring", re.IGNORECASE)
"""Words of what stands between the flanges and makes the stud longer."""
_TOLD_BY = ("joint", "equipment", "remarks", "flange_kind", "gasket", "rating", "size", "line")
_RAISED = re.compile(r"\W*(?:RF|raised[- ]?face)\b", re.IGNORECASE)


def standard_named(text: str) -> str:
    """The standard that an answer names as `STANDARDS` has it, "" for none of them.

    >>> standard_named("B16.5"), standard_named("asme b16.47 ser. a"), standard_named("yes")
    ('ASME B16.5', 'ASME B16.47 series A', '')
    """
    small = re.search(r"B\s?16\.5(?!\d)", text, re.IGNORECASE)
    large = re.search(r"16\.47\D*?\b([AB])\b", text, re.IGNORECASE)
    if re.search(r"\b1092\b", text):
        return STANDARDS[5] if not small and not large else ""
    series = f"B16.47 series {large[1].upper()}" if large else ""
    name = " and ".join(filter(None, ("B16.5" if small else "", series)))
    return f"ASME {name}" if name else ""


def from_standard_flanges(
    columns: Sequence[Column], texts: dict[str, list[str]], numbers: dict[str, Any], count: int, standard: str
) -> tuple[dict[int, str], list[Finding]]:
    """Fill thread and stud count of the rows that state neither, where size and class name a flange of the standard
    that the planner has named (one of `STANDARDS`), by a row that was read in a copy.

    A bare number counts as a pipe size only where the heading says of which kind (NPS, DN, a unit), and as a class
    only where it says Class. Rows that speak of anything but a plain pair of pipe flanges stop. The length of the stud
    is filled in only where the row has a raised face and states none. Each filled row gets a caution; a row whose
    flange is not known stops. Returns row -> the flange, and the findings.
    """
    kinds = {column.field: column for column in columns if column.field in ("size", "rating")}
    size_kind, class_kind = _size_kind(kinds.get("size")), _says_class(kinds.get("rating"))
    pn_kind = "pn" in spelled(kinds["rating"].heading).words if "rating" in kinds else False
    threads = texts.setdefault("thread", [""] * count)
    studs = numbers.setdefault("studs", [math.nan] * count)
    sizes, ratings = (texts.get(name, [""] * count) for name in ("size", "rating"))
    told = [texts[name] for name in _TOLD_BY if name in texts]
    found: dict[int, str] = {}
    findings: list[Finding] = []
    for i in range(count):
        if threads[i] or not math.isnan(studs[i]) or not (sizes[i] and ratings[i]):
            continue
        if odd := next((word[0] for each in told if (word := _NOT_PLAIN.search(each[i]))), ""):
            findings.append(Finding("flange_not_plain", "studs", {"text": odd}, row=i))
            continue
        try:
            flange, length = _of(standard, sizes[i], ratings[i], size_kind, class_stated=class_kind, pn_stated=pn_kind)
        except InputError as error:
            f = error.finding
            findings.append(Finding(f.code, "size" if f.quantity == "nps" else "rating", f.facts, row=i))
            continue
        if flange.basis != READ:
            known = {"flange": flange.name, "source": flange.source}
            findings.append(Finding("flange_from_memory", "studs", known, row=i))
            continue
        threads[i], studs[i] = flange.stud, float(flange.studs)
        found[i] = f"{flange.name}, {flange.source}"
        facts = {"flange": found[i], "studs": flange.studs, "thread": flange.stud}
        findings.append(Finding("studs_of_standard_flange", "studs", facts, CAUTION, i))
        lengths = texts.setdefault("length", [""] * count)
        between = any(_BETWEEN.search(each[i]) for each in told)
        if (
            not math.isnan(length)
            and not lengths[i]
            and not between
            and _RAISED.match(texts.get("facing", [""] * count)[i])
        ):
            lengths[i] = f"{length / 0.0254:g} in, from the standard"
    return found, findings


def _of(
    standard: str, size: str, rating: str, size_kind: str, *, class_stated: bool, pn_stated: bool
) -> tuple[flanges.Bolting, float]:  # fmt: skip
    """The bolting of one flange by the standard named, and the length of its stud for raised faces [m], NaN unknown."""
    pn = f"PN {rating}" if pn_stated and rating.isascii() and rating.isdigit() else rating
    metric = standard == STANDARDS[5]
    if bool(_PN.match(pn)) != metric:
        raise InputError(Finding("flange_of_other_standard", "pressure_class", {"text": rating, "standard": standard}))
    if metric:
        return flanges.bolting_of(_size(size, "DN" if size_kind == "DN" or not size_kind else size_kind), pn)[
            0
        ], math.nan
    name, number = _size(size, size_kind), _class(rating, class_stated)
    if "B16.5" in standard:
        try:
            one = flanges.flange(name, number)
        except InputError:
            if "B16.47" not in standard:
                raise
        else:
            length = one.length if one.length_basis == READ else math.nan
            bolting = flanges.Bolting(f"NPS {one.nps} class {one.pressure_class}", one.studs, one.thread.designation,
                                      float(one.thread.diameter), one.bolt_circle, one.source, one.basis)  # fmt: skip
            return bolting, length
    ways = flanges.bolting_of(name, f"{number} series {standard[-1]}")
    large = [each for each in ways if each.name.endswith(f"series {standard[-1]}")]
    if not large:
        raise InputError(Finding("flange_of_other_standard", "nps", {"text": size, "standard": standard}))
    return large[0], math.nan


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

    keys = [*zip(texts["size"], texts["rating"], texts["thread"], counts, strict=True)]
    odd: dict[tuple[str, str, str, float], dict[str, Any]] = {}
    for key, rows in Counter(keys).items():
        flange, stated = key[:3], key[3]
        if flange not in known:
            known[flange] = standard(*flange)
        one = known[flange]
        if one is None or math.isnan(stated):
            continue
        ways, diameter = one
        right = [(abs(diameter - w.diameter) <= 2e-4, stated == w.studs) for w in ways]
        compared += rows
        sized += rows * any(r[0] for r in right)
        counted += rows * any(r[1] for r in right)
        if any(map(all, right)):
            same += rows
            continue
        odd[key] = {"flange": ways[0].name, "source": ways[0].source, "studs": int(stated), "most": True,
                    "thread": key[2], "standard_studs": ways[0].studs, "standard_thread": ways[0].stud}  # fmt: skip
        if len(ways) > 1 or ways[0].basis != "read in a copy":
            odd[key]["ways"] = tuple(f"{w.studs} x {w.stud} ({w.name}, {w.basis})" for w in ways)
    for i, key in enumerate(keys) if odd else ():
        if key in odd:
            code = "studs_not_of_flanges" if "ways" in odd[key] else "studs_not_of_flange"
            found.append(Finding(code, "studs", dict(odd[key]), CAUTION, i))
            if _NAMED.search(key[1]):
                named.add(i)
    # the one column without the other: that of standard flanges lost its rows when the list was sorted
    lost = max(sized, counted) >= SURE * compared and min(sized, counted) < compared / 2
    if compared >= ROWS and (same >= ORDERLY * compared or lost):
        return found
    return [replace(each, facts={**each.facts, "most": False}) for each in found if each.row in named]


PAIRED = 0.97
"""Share of the rows with a stud and count that some standard flange has, in a list of standard flanges."""
OF_ONE_CLASS = 0.92
"""Share of the items whose joints can all be of one class, in a list whose items are."""


def against_any_flange(
    texts: Mapping[str, list[str]], numbers: Mapping[str, Any], count: int, told: Collection[int]
) -> list[Finding]:
    """Cautions where no standard flange has so many studs of that size, in a list of which nearly all are of one; and
    where only flanges of another class have them than the other joints of the item can be of.
    """
    threads_, counts = texts.get("thread", [""] * count), numbers.get("studs", [math.nan] * count)
    pairs = flanges.bolting()
    known: dict[str, float] = {}
    odd, classes = [], dict[int, frozenset[int]]()
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
        classes[i] = pairs.get((size, int(counts[i])), frozenset())
        if not classes[i]:
            odd.append(i)
    compared = len(classes)
    if compared < LONG or len(odd) > (1 - PAIRED) * compared:
        return []
    found = [
        Finding("studs_of_no_flange", "studs", {"studs": int(counts[i]), "thread": threads_[i], "count": compared - len(odd),
                "size": compared}, CAUTION, i)
        for i in odd if i not in told
    ]  # fmt: skip
    for i, item, common, others in _of_other_class(texts, count, classes):
        if i not in told:
            facts = {"studs": int(counts[i]), "thread": threads_[i], "own": _shown(classes[i]), "item": item,
                     "usual": _shown(common), "count": others}  # fmt: skip
            found.append(Finding("studs_of_other_class", "studs", facts, CAUTION, i))
    return found


def _shown(classes: Collection[int]) -> tuple[str, ...]:
    return tuple(map(str, sorted(classes)))


def _of_other_class(
    texts: Mapping[str, list[str]], count: int, classes: Mapping[int, frozenset[int]]
) -> list[tuple[int, str, frozenset[int], int]]:
    """The one joint of an item whose studs are of another class than all its others can be, with the item, the classes
    of the others and their number; nothing in a list whose items are of mixed classes.
    """
    items: dict[str, list[int]] = {}
    names = texts.get("equipment", [""] * count)
    for i in (i for i in range(count) if classes.get(i)):
        item = names[i] or item_of(texts["joint"][i] if "joint" in texts else "")
        if item:
            items.setdefault(item, []).append(i)
    large = {item: rows for item, rows in items.items() if len(rows) > 2}
    agree, odd = 0, []
    for item, rows in large.items():
        if frozenset.intersection(*(classes[i] for i in rows)):
            agree += 1
            continue
        left = [(i, frozenset.intersection(*(classes[j] for j in rows if j != i))) for i in rows]
        alone = [(i, common) for i, common in left if common]
        if len(alone) == 1:
            odd.append((alone[0][0], item, alone[0][1], len(rows) - 1))
    return odd if len(large) >= ROWS and agree >= OF_ONE_CLASS * len(large) else []


_ITEM = re.compile(r"[\s/_.-]+[^\s/_.-]*$")


def item_of(tag: str) -> str:
    """The item that a tag's joint belongs to, by its parts; "" for a tag of one part.

    >>> item_of("E-1204-N3"), item_of("P310")
    ('E-1204', '')
    """
    return _ITEM.sub("", tag) if _ITEM.search(tag) else ""


_NOT_OF_PIPES = re.compile(
    r"\b(?:bonnet|cover|clamp|gland|hub|compact|head|channel|shell|girth|tube\s?sheet|man\s?way|man\s?hole|swivel"
    r"|cap|sight|body|casing|wafer|lug|saddle|tie\s?rods?)",
    re.IGNORECASE,
)
"""Joints that are no flanges of pipes, though size and class may stand beside them."""


def against_four(
    columns: Sequence[Column], texts: Mapping[str, list[str]], numbers: Mapping[str, Any], count: int,
    told: Collection[int],
) -> list[Finding]:  # fmt: skip
    """Cautions where four does not divide the studs of a flange of stated size and class or PN, as it does in every
    row of the standards' tables, and where they are odd in a list of even ones.
    """
    counts = numbers.get("studs", [math.nan] * count)
    kinds = {column.field: column for column in columns if column.field in ("size", "rating")}
    says_class = _says_class(kinds.get("rating"))
    pn = "rating" in kinds and "pn" in spelled(kinds["rating"].heading).words
    blank = [""] * count
    sizes, ratings = texts.get("size", blank), texts.get("rating", blank)
    words = [texts.get(name, blank) for name in ("joint", "equipment", "remarks", "facing")]
    whole = [i for i in range(count) if counts[i] > 0 and counts[i] % 1 == 0]
    odd = [i for i in whole if counts[i] % 2]
    among = len(whole) >= ROWS and len(odd) <= 0.08 * len(whole)
    found = []
    for i in whole:
        if counts[i] % 4 == 0 or i in told:
            continue
        standard = bool(sizes[i]) and (
            bool(_PN.match(ratings[i])) or (pn and ratings[i].isdigit()) or _is_class(ratings[i], says_class)
        )
        facts: dict[str, Any] = {"studs": int(counts[i])}
        if standard and not any(_NOT_OF_PIPES.search(each[i]) for each in words):
            facts["flange"] = f"{sizes[i]} {ratings[i]}"
            found.append(Finding("studs_not_by_four", "studs", facts, CAUTION, i))
        elif counts[i] % 2 and among:
            facts |= {"count": len(whole) - len(odd), "size": len(whole)}
            found.append(Finding("studs_odd", "studs", facts, CAUTION, i))
    return found


def _is_class(text: str, stated: bool) -> bool:
    try:
        return bool(re.search(r"\d{3}", _class(text, stated)))
    except InputError:
        return False


def against_lengths(texts: Mapping[str, list[str]], count: int) -> list[Finding]:
    """Cautions where a stated stud length is unlike that of the flanges of the same size, class, facing and gasket, in
    a list where nearly all agree.
    """
    if not {"length", "size", "rating"} <= texts.keys():
        return []
    names = ("size", "rating", "thread", "facing", "gasket")
    groups: dict[tuple[str, ...], list[int]] = {}
    for key, rows in _by_value([texts["length"], *(texts[name] for name in names if name in texts)]).items():
        if key[0]:
            groups.setdefault(tuple(text.casefold() for text in key[1:]), []).extend(rows)
    large = [sorted(rows) for rows in groups.values() if len(rows) > 3]
    large.sort()  # as their first rows stand in the list
    total, agree = sum(map(len, large)), 0
    found: list[Finding] = []
    for rows in large:
        usual, most = Counter(texts["length"][i] for i in rows).most_common(1)[0]
        agree += most
        for i in rows if 0.75 * len(rows) <= most < len(rows) else ():
            if texts["length"][i] != usual:
                facts = {"text": texts["length"][i], "usual": usual, "count": most, "size": len(rows)}
                found.append(Finding("unlike_length", "length", facts, CAUTION, i))
    return found if total >= ROWS and agree >= 0.92 * total else []


def _by_value(columns: Sequence[Sequence[str]]) -> dict[tuple[str, ...], list[int]]:
    """The rows of each combination of values."""
    found: dict[tuple[str, ...], list[int]] = {}
    for i, key in enumerate(zip(*columns, strict=True)):
        if (rows := found.get(key)) is None:
            found[key] = [i]
        else:
            rows.append(i)
    return found


def against_equipment(texts: Mapping[str, list[str]], count: int) -> list[Finding]:
    """Cautions where the tag of a joint does not hold its equipment, in a list whose tags nearly all do."""
    tags, items = (texts.get(name, [""] * count) for name in ("joint", "equipment"))
    stated = [i for i in range(count) if tags[i] and items[i]]
    if len(stated) < ROWS:
        return []
    other: list[int] = []
    for i in stated:
        if items[i] not in tags[i] and _bare(items[i]) not in _bare(tags[i]):
            other.append(i)
            if len(other) > 0.08 * len(stated):
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
