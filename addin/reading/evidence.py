"""What the cells of a column say for or against each field, -1 to +1. Each distinct value is looked at once."""

import datetime
import math
import re
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from typing import Any, TypeVar

from addin.cells.numbers import error_text
from addin.reading.facts_in_cells import THREAD, parts, studs_and_nuts, two_diameters
from addin.reading.spellings import one_figure, plain_fractions, unit_of
from addin.reading.tables import table

Row = TypeVar("Row")
MOST_CELLS = 400
_GOLDEN = (math.sqrt(5) - 1) / 2  # its multiples lie evenly and never in step with anything
_DITTO = frozenset(
    (
        '"',
        "''",
        "do",
        "do.",
        "-do-",
        "ditto",
        "dito",
        "wie oben",
        "wie vor",
        "id.",
        "as above",
        "same",
        "s/a",
        "dto",
        "dto.",
        "〃",
        "idem",
        "id.",
        "dito",
        "dito.",
        "dtto",
        "j.w.",
        "jw.",
        "s.o.",
        "s. o.",
        "w.o.",
        "wie oben",
        "wie vor",
        "c.s.",
        "come sopra",
        "como arriba",
        "como acima",
        "ci-dessus",
        "als boven",
        "som over",
        "som ovan",
        "samme",
        "samma",
        '-"-',
        "-''-",
        "-//-",
        "-”-",
        "„",
        "- do -",
        "“",
        "”",
    )
)
_NOTHING = frozenset(("", "-", "--", "–", "—", "n/a", "na", "n.a.", "tbc", "tbd", "tba", "none", "nil", "?", "x", "."))

SIZES = frozenset((0.5, 0.75, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30, 32, 34, 36, 38, 40, 42, 44, 46, 48,
                   50, 52, 54, 56, 60, 72))  # fmt: skip
DN = frozenset((15, 20, 25, 32, 40, 50, 65, 80, 100, 125, 150, 200, 250, 300, 350, 400, 450, 500, 550, 600, 650, 700, 750, 800, 850, 900, 950,
                1000, 1050, 1100, 1200, 1400, 1600, 1800, 1900, 2000))  # fmt: skip
CLASSES = frozenset((125, 150, 250, 300, 400, 600, 800, 900, 1500, 2500, 2000, 3000, 5000, 10000, 15000))
PN = frozenset((2.5, 6, 10, 16, 20, 25, 40, 50, 63, 64, 100, 160, 250, 320, 400))
METRIC = frozenset((8, 10, 12, 14, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 42, 45, 48, 52, 56, 60, 64, 68, 72, 76, 80, 85, 90, 95, 100, 110,
                    120, 125, 140, 150, 160))  # fmt: skip
FLATS = frozenset((22.2, 23.8, 25.4, 27, 28.6, 31.8, 33.3, 34.9, 36.5, 38.1, 41.3, 42.9, 46, 47.6, 50.8, 54, 55.6, 57.2, 60.3, 63.5, 65.1, 66.7, 68.3,
                   69.9, 73, 74.6, 76.2, 79.4, 81, 82.6, 84.1, 85.7, 88.9, 93.7, 95.3, 98.4, 101.6, 104.8, 108, 111.1, 114.3, 117.5, 123.8, 127, 136.5, 146.1, 155.6, 13, 16, 17, 18, 19, 21, 22, 24, 27, 30, 32, 34, 36, 38, 41, 46, 50, 55, 60, 65, 70, 75, 80, 85, 90, 95, 100, 105, 110, 115,
                   120, 125, 130, 135, 145, 150, 155, 165, 170, 175, 180, 185, 200))  # fmt: skip


_OF_RATINGS = re.compile(
    r"\b(?:RF|RTJ|RJ|FF|WN|SO|BL|LJ)\b|#|lbs?|class|cl\.?|ansi|asme|pn|b16\.(?:5|47)|\bser(?:ies|\.)?\s*[ab]\b",
    re.IGNORECASE,
)
"""What stands beside the number of a class or PN: "150#", "Class 300", "150 series A"."""


_CODED = re.compile(r"[A-Za-z]{1,3}\s?-\s?\d+\w*|[A-Za-z]\d{2,}\w*")
_NUT_GRADE = re.compile(
    r"(?:S?A\s?-?\s?194\s*[- ]?)?(?:Gr?\.?\s*)?(?:2HM?|[478]|[78]M[A]?|8[MTC]A?|[LS]?7M|16|10|12|C35E?|C45E?|25CrMo4|1\.\d{4}|A[24](?:-\d0)?)",
    re.IGNORECASE,
)
"""Grades of nuts: 2H, 4, 7M, 8, 10, A194 2HM."""

_RATING_WORDS = re.compile(
    r"(?:JIS|KS)?\s*\d{1,3}\s?K|\d{1,2}\s?M|(?:BS\s?10\s*)?(?:T(?:able|bl?\.?)|Tab\.?|T/)\s*[DEFHJKR]|BS\s?10\s*[DEFHJKR]"
    r"|(?:API|6BX?)\s*\d{1,2}(?:K|[.,]?000)|(?:EN\s?1092(?:-1)?|DIN(?:\s?\d{4})?|ISO\s?7005|ASME|ANSI|B16\.5)\s*(?:PN|cl(?:ass)?|#)?\s*\d{1,4}#?"
    r"|(?:PN|ND|NP|P)\s?\d{1,3}|comp(?:act)?|SPO.*|AWWA.*|T\s?[DEFHJ]|[DEFHJ]",
    re.IGNORECASE,
)
"""Ratings that are no bare numbers: "5K", "Table J", "JIS 10K", "EN 1092-1 PN16"."""


def _patterns() -> tuple[dict[str, re.Pattern[str]], dict[str, re.Pattern[str]]]:
    """The words of cells by field, as they stand in data/cell_words.csv: those for which one figure is as good as
    another or as several, and the others.
    """
    words: dict[str, list[str]] = {}
    figures: dict[str, list[str]] = {}
    for name, pattern, _ in table("cell_words.csv"):
        (figures if _FIGURES_COUNT.search(pattern) else words).setdefault(name, []).append(pattern)
        words.setdefault(name, [])
    return tuple({n: re.compile("|".join(p)) for n, p in each.items() if p} for each in (words, figures))  # type: ignore[return-value]


_FIGURES_COUNT = re.compile(r"[0-9]|\\[dDwWsS]|(?<!\\)\.|\[\^")
_WORDS, _FIGURED = _patterns()
_FIELDS_OF_WORDS = tuple(dict.fromkeys(name for name, _, _ in table("cell_words.csv")))
_FIGURE = re.compile("[0-9]+")


@lru_cache(maxsize=16384)
def _fields_of_words(text: str) -> frozenset[str]:
    """The fields that words of a text in small letters speak for, whatever figures stand among them."""
    return frozenset(name for name, pattern in _WORDS.items() if pattern.search(text))


def fields_said(text: str) -> frozenset[str]:
    """The fields that the words of a cell speak for.

    >>> sorted(fields_said("Spiral wound 3.2 mm")), sorted(fields_said("DWG-00512-7"))
    (['gasket'], [])
    """
    low = text.lower()
    said = _fields_of_words(_FIGURE.sub("0", low))
    return said.union(name for name, pattern in _FIGURED.items() if name not in said and pattern.search(low))


_UNKNOWN_WORDS = {"lubricant": -0.05, "order": -0.05, "turned_side": -0.1, "stud_1": -0.1, "coating": -0.15, "gasket": -0.2, "nut_series": -0.3,
                  "method": -0.3, "operation": -0.3, "stud_condition": -0.2, "washers": -0.2, "grade": -0.35, "flange_kind": -0.2}  # fmt: skip
_DATE = re.compile(
    r"\d{4}-\d\d-\d\d.*|\d{1,2}[./-]\d{1,2}[./-]\d{2,4}|\d{1,2}[- ](?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)\w*[- ]?\d{0,4}"
    r"|\d\d/\d{4}|(?:ds|ns)\b.*",
    re.IGNORECASE,
)
_NO_DAY = re.compile(
    r"(?:(?:cal(?:endar)?\.? ?)?w(?:ee)?ks?|w|kw|cw|woche|kalenderwoche|sem(?:aine|ana)?|s|uke|u|v(?:ecka|iikko)?|sett(?:imana)?|tyd[zź]\w*|hafta|недел\w*)"
    r"[ .:/-]*(?:no\.? ?)?\d{1,2}(?:[/.-](?:20)?\d\d)?|(?:20\d\d)?[ -]?[wk]{1,2} ?-?\d{1,2}"
    r"|(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*(?: ?\d+)?|(?:mo|di|mi|do|fr|sa|so)|(?:d|day|tag|jour|shift|t) ?[+-]? ?\d{1,3}|[1-9]\d?|[12]\d\d",
    re.IGNORECASE,
)
"""What names a week, a day of the week or a day of the outage, and no day of the calendar."""
_TAG = re.compile(r"(?=.*\d)(?=.*[A-Za-z])[\w./\"&+() -]{2,40}|\d+[-/.]\d+[\w/.-]*")
_LINE = re.compile(
    r"\d+(?:[ .-]\d/\d)?\"?\s?-\s?[A-Z]{1,4}\s?-?\s?\d{2,}.*|[A-Z]{1,4}-?\d{3,}-?\d+\"?.*-.*|\d+-[A-Z]+-\d{3,}-\d+\"?.*"
)
_STRONG_THREAD = re.compile(
    r"M\s?\d{1,3}(?:\s*[x×*]\s*[\d.,]+)?|(?:\d\s*[\"″]?\s*[-. ]?\s*)?\d{1,2}/(?:2|4|8|16)\s*(?:\"|in\.?|″|”)?(?:[- ]\d+\s*UN\w*|\s*-\s*\d+\s*(?:TPI|UN\w*)?)?(?:\s*UN\w*)?"
    r"|\d(?:\.\d+)?\s*(?:\"|″|in\.?)?\s*-\s*\d{1,2}(?:\s*UN\w*)?|[1-4](?:\"|″)|\d\.\d+\s*-\s*\d+\s*UN\w*",
    re.IGNORECASE,
)
_THREAD_AND_WORD = re.compile(r"M\s?\d{1,3}(?:\s*[x×]\s*[\d.,]+)?[\s,]+[A-Za-z][A-Za-z .]{1,18}")
_NUMBER = re.compile(r"[+-]?\d[\d ,.']*")
_FRACTIONAL = re.compile(r"(?:(\d+)(?:\s*[-.]\s*|\s+))?(\d+)\s*/\s*(\d+)\s*(?:\"|″|in\.?)?")


_WORDED_COUNT = re.compile(r"\d+\s*(?:off|nos?\.?|pcs\.?|x)|\d+\s*[x+]\s*\d+", re.IGNORECASE)


_LONGEST = 40
"""Signs of the longest text that is taken for a number; what is longer may be beyond what a number can be."""


@lru_cache(maxsize=65536)
def number(text: str) -> float | None:
    """The number that a text is, fractions of an inch and thousands marks among them; None for anything else.

    >>> number("1 3/8"), number("15/16"), number("1,000"), number("0,15"), number("2-3/8"), number("B7")
    (1.375, 0.9375, 1000.0, 0.15, 2.375, None)
    """
    plain = text.strip().rstrip('"″”').strip()
    if len(plain) > _LONGEST:
        return None
    if found := _FRACTIONAL.fullmatch(plain):
        if not int(found[3]) or (found[1] is None and int(found[2]) >= int(found[3])):
            return None
        return int(found[1] or 0) + int(found[2]) / int(found[3])
    if not _NUMBER.fullmatch(plain):
        return None
    plain = re.sub(r"(?<=\d)[ '](?=\d{3}\b)", "", plain)
    if re.fullmatch(r"[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?", plain):
        plain = plain.replace(",", "")
    elif plain.count(",") == 1 and "." not in plain:
        plain = plain.replace(",", ".")
    try:
        return float(plain)
    except ValueError:
        return None


def is_ditto(text: str) -> bool:
    """Whether a cell says "as above"."""
    return text.strip().lower() in _DITTO


def any_ditto(texts: Iterable[str]) -> bool:
    """Whether one of some cells says "as above"."""
    return not _DITTO.isdisjoint(map(str.lower, map(str.strip, texts)))


@dataclass
class Cells:
    """The cells of one column: distinct texts with their number, numbers, and the units that stand in them."""

    texts: Counter[str] = field(default_factory=Counter)
    filled: int = 0
    rows: int = 0
    dates: int = 0
    booleans: int = 0
    units: Counter[str] = field(default_factory=Counter)
    numbers: dict[str, float] = field(default_factory=dict)
    in_order: list[str] = field(default_factory=list)

    @property
    def first(self) -> tuple[str, ...]:
        """The first few values."""
        return tuple(list(dict.fromkeys(self.in_order))[:3])


def _plain(value: Any) -> str:
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return " ".join(str(value).replace("\u00a0", " ").split())


_WITH_UNIT = re.compile(r"([\d.,' /-]*\d)\s*([^\d\s].*)")


def some_of(values: Sequence[Row], most: int) -> Sequence[Row]:
    """At most so many values, in their order, from every part of a list and not in step with what repeats in it.

    One comes from each of `most` equal parts, each time from another place of it: lists repeat themselves every few rows
    (the operations of a joint), and each fourth row of such a list would look as if there were one operation.

    >>> some_of("abc" * 8, 6), some_of("abc", 6)
    (['a', 'a', 'c', 'a', 'c', 'c'], 'abc')
    """
    if len(values) <= most:
        return values
    begins = [part * len(values) // most for part in range(most + 1)]
    return [
        values[begin + int(part * _GOLDEN % 1 * (end - begin))] for part, (begin, end) in enumerate(pairwise(begins))
    ]


def look(values: Sequence[Any]) -> Cells:
    """The cells of a column, at most `MOST_CELLS` of them, spread over the list."""
    chosen = some_of(values, MOST_CELLS)
    cells = Cells(rows=len(chosen))
    for value in chosen:
        if value is None:
            continue
        if error_text(value):
            continue
        if isinstance(value, bool):
            cells.booleans += 1
            text = "Y" if value else "N"
        elif isinstance(value, (datetime.date, datetime.datetime)):
            cells.dates += 1
            text = value.strftime("%Y-%m-%d")
        else:
            text = one_figure(plain_fractions(_plain(value)))
        if text.lower() in _NOTHING or text.lower() in _DITTO:
            if text and text.lower() in ("none", "x"):
                cells.texts[text] += 0
            continue
        cells.filled += 1
        cells.texts[text] += 1
        if len(cells.in_order) < 60:
            cells.in_order.append(text)
    if 0 < cells.dates <= 0.5 * cells.filled:  # a date among numbers is a slip
        for text in [text for text in cells.texts if re.fullmatch(r"\d{4}-\d\d-\d\d", text)]:
            cells.filled -= cells.texts.pop(text)
        cells.dates = 0
    for text, count in cells.texts.items():
        value = number(text)
        if value is not None:
            cells.numbers[text] = value
        elif found := _WITH_UNIT.fullmatch(text):
            unit, plain = unit_of(found[2]), number(found[1])
            if unit is not None and plain is not None:
                cells.units[unit.kind + ":" + unit.symbol] += count
                cells.numbers[text] = plain
    return cells


def evidence(cells: Cells, known: dict[str, Collection[str]] | None = None) -> dict[str, float]:
    """For and against, by field; a field that is not named has no evidence either way. `known`: names by field."""
    total = sum(cells.texts.values())
    if not total:
        return {}
    out: dict[str, float] = {}

    def share(test: Any) -> float:
        return sum(count for text, count in cells.texts.items() if test(text)) / total

    numeric = share(lambda t: t in cells.numbers)
    distinct = len(cells.texts) / total
    average_words = sum(len(t.split()) * c for t, c in cells.texts.items()) / total
    values = [(cells.numbers[t], c) for t, c in cells.texts.items() if t in cells.numbers]

    def within(low: float, high: float) -> float:
        return sum(c for v, c in values if low <= v <= high) / total

    def among(options: Collection[float]) -> float:
        return sum(c for v, c in values if v in options) / total

    tag = share(_is_tag)
    compound: Counter[str] = Counter()
    for text, count in cells.texts.items():
        for name in parts(text):
            compound[name] += count
    # --- stud bolts
    strong = share(lambda t: bool(_STRONG_THREAD.fullmatch(t) or _THREAD_AND_WORD.fullmatch(t)))
    both = compound["thread"] / total
    loose = share(
        lambda t: (
            (bool(re.fullmatch(THREAD, t, re.IGNORECASE)) and cells.numbers.get(t, 1.0) <= 4.01)
            or (t in cells.numbers and _sixteenth(cells.numbers[t]))
        )
    )
    metric = among(METRIC)
    out["thread"] = (
        max(strong + both, 0.75 * loose + 0.25 * strong, 0.6 * (metric + strong))
        if strong + both + loose + metric > 0.4
        else -1.0
    )
    ranges = share(lambda t: bool(re.fullmatch(r"\d{1,3}\s*-\s*\d{1,3}(?:\s*(?:,|&|and)\s*\d.*)?", t)))
    if ranges > 0.6 and share(lambda t: bool(re.search(r"-\s*(?:[2-9]\d|1[3579]|\d{3})\b|and|,", t))) > 0.3:
        out["thread"] = -1.0  # studs 1-8, 9-24, 25-44
    out["pitch"] = (
        0.8
        if share(lambda t: bool(re.fullmatch(r"(?:\d{1,2}(?:[.,]\d+)?)\s*(?:mm|tpi|UN\w*)?", t, re.IGNORECASE))) > 0.7
        and within(0.9, 16.5) > 0.5
        else -1.0
    )
    if numeric > 0.9 and within(0.3, 4.01) < 0.5 and metric < 0.5:
        out["thread"] = -1.0
    fours = sum(c for v, c in values if v % 4 == 0 and 4 <= v <= 400) / total
    counts = sum(c for v, c in values if v % 1 == 0 and 2 <= v <= 400) / total
    worded = share(lambda t: bool(_WORDED_COUNT.fullmatch(t)) or studs_and_nuts(t) is not None)
    out["studs"] = (
        max(compound["studs"] / total, 0.85 * fours, 0.4 * counts, worded)
        if counts + worded + compound["studs"] / total > 0.6
        else -1.0
    )
    if fours + worded < 0.4 and not compound["studs"]:
        out["studs"] = min(out["studs"], 0.0)
    if share(lambda t: bool(re.fullmatch(r"[Øø⌀∅]\s*\d.*|\d+(?:[.,]\d+)?\s*mm", t))) > 0.5:
        out["studs"] = -1.0  # a length is no count
    out["at_once"] = 0.7 if among({1, 2, 4}) > 0.85 else -1.0
    out["length"] = (
        0.45
        if within(35, 1500) > 0.7 or (within(2, 45) > 0.8 and not within(0, 1.9))
        else -0.2
        if numeric > 0.5
        else -0.8
    )
    if compound["length"] / total > 0.5:
        out["length"] = 0.6
    out["grip"] = 0.3 if within(10, 2000) > 0.7 or within(1, 40) > 0.7 else -0.8
    inches = share(lambda t: "/" in t and t in cells.numbers)
    out["across_flats"] = max(
        0.65 * among(FLATS), 0.55 * within(0.4, 7.5) if inches > 0.3 else 0.2 * within(0.4, 7.5), 0.3 * within(10, 220)
    )
    if numeric < 0.5 or out["across_flats"] < 0.15:
        out["across_flats"] = -1.0
    # --- words
    said_by = Counter[str]()
    for text, count in cells.texts.items():
        for name in fields_said(text):
            if name not in ("operation", "method") or not _CODED.fullmatch(text):  # "BR-001" is no "BR" for a break-out
                said_by[name] += count
    for name in _FIELDS_OF_WORDS:
        hit = said_by[name] / total
        out[name] = 0.95 * hit if hit > 0.3 else _UNKNOWN_WORDS.get(name, -0.4)
        if numeric > 0.8 and name not in ("grade", "washers"):
            few = (
                len(cells.texts) <= 8
                and within(0, 99) == 1
                and name in ("lubricant", "grade", "coating", "operation", "method")
            )
            out[name] = min(out[name], -0.2 if few else -0.8)
    codes = share(lambda t: len(t) <= 4 and t.isalnum()) > 0.8 and len(cells.texts) <= 8 and numeric < 0.5
    if codes:
        for name in (
            "coating",
            "washers",
            "turned_side",
            "stud_condition",
            "method",
            "operation",
            "lubricant",
            "flange_kind",
            "order",
            "grade",
            "facing",
        ):
            out[name] = max(out.get(name, 0), 0.0)
    yes_no = share(
        lambda t: t.lower() in ("y", "n", "yes", "no", "x", "true", "false", "ja", "nein", "oui", "non", "ok")
    )
    if yes_no > 0.7:
        for name in (
            "operation",
            "method",
            "lubricant",
            "order",
            "grade",
            "gasket",
            "facing",
            "joint",
            "equipment",
            "flange_kind",
            "turned_side",
        ):
            out[name] = -0.8
    if among(frozenset((4.6, 5.6, 5.8, 6.8, 8.8, 10.9, 12.9))) > 0.5:
        out["grade"] = 0.9
    out["gasket_kind"] = out["gasket"]
    nuts = share(lambda t: bool(_NUT_GRADE.fullmatch(t)))
    few = len(cells.texts) <= 6
    out["nut_grade"] = (
        (0.9 if few else 0.0) if nuts > 0.7 else -0.3
    )  # many grades of nuts prove nothing against a heading
    # --- where and which
    sequential = numeric > 0.9 and _runs(cells)
    if sequential:
        out["studs"] = -1.0
    if distinct > 0.85:
        out["joint"] = 0.7 if tag > 0.6 else 0.1 if sequential else 0.15 if numeric > 0.7 else 0.2
    else:
        out["joint"] = 0.15 if distinct > 0.3 else -0.3
    if out["thread"] == -1.0 and ranges > 0.6:
        out["joint"] = -0.6  # studs 1-8, 9-24
    prose = share(lambda t: len(t.split()) > 2 and not _TAG.fullmatch(t.replace(" ", "")))
    out["equipment"] = -0.6 if numeric > 0.7 else 0.5 if tag > 0.6 else 0.35
    lines = share(lambda t: bool(_LINE.fullmatch(t)))
    out["line"] = 0.9 * lines if lines > 0.3 else -0.2 if numeric < 0.5 else -0.7
    out["plant_area"] = 0.35 if distinct < 0.7 else 0.0
    if share(lambda t: unit_of(t) is not None) > 0.6:  # a column of units
        for name in ("plant_area", "equipment", "joint"):
            out[name] = -1.0
    marked = share(lambda t: bool(re.search(r"\d ?#|\d ?lbs?\b|\bcl\b|class|ansi|\bpn ?\d", t.lower())))
    plain_class = share(
        lambda t: (
            ((n := number(_OF_RATINGS.sub("", t).strip(" ,"))) is not None and (n in CLASSES or n in PN))
            or _RATING_WORDS.fullmatch(t) is not None
        )
    )
    out["rating"] = (
        0.95 * max(plain_class, 0)
        if plain_class > 0.4
        else 0.8 * marked
        if marked > 0.3
        else compound["rating"] / total
        if compound["rating"]
        else -0.6
    )
    if among(PN) > 0.6 and not marked and among(CLASSES) < 0.5:
        out["rating"] = 0.5
    size_like = share(
        lambda t: (
            (n := number(re.sub(r"(?i)nps|dn|nb|id|in(?:ch)?\b|mm|\"", "", t).strip())) is not None
            and (n in DN or 0.25 <= n <= 90)
            or _nominal_pair(t)
        )
    )
    out["size"] = (
        0.6 * size_like
        if size_like > 0.5
        else 0.6
        if compound["size"] / total > 0.4
        else -0.4
        if numeric > 0.5
        else -0.1
    )
    numbered = len(cells.in_order) >= _ROWS_NUMBERED and cells.in_order[0] == "1" and _runs(cells)
    if numbered or share(lambda t: not any(sign.isdigit() for sign in t)) > 0.6:
        out["size"] = -0.8
    if compound["size"] / total > 0.4:  # size and class, with the facing behind it, name no gasket
        for name in ("gasket", "facing", "gasket_kind"):
            out[name] = min(out.get(name, 0.0), 0.0)
    if max(size_like * (1 - share(lambda t: bool(re.search(r"[A-Za-z]{2,}", t)))), compound["size"] / total) > 0.6:
        out["joint"] = min(out["joint"], -0.4)

    # --- numbers
    def inside(low: float, high: float) -> float:
        part = within(low, high)
        return 0.85 if part > 0.85 else 0.2 if part > 0.4 else -1.0

    out["nut_factor"] = inside(0.09, 0.35)
    areas = share(lambda t: bool(re.search(r"tensile|root|minor|core|\bA_?[stnr3]\b", t)))
    out["area"] = 0.95 if areas > 0.6 else -1.0
    for name in ("thread_friction", "nut_friction"):
        out[name] = inside(0.04, 0.26)
    shares = within(20, 100) + within(0.2, 0.95)
    out["percent"] = 0.55 if within(20, 100) > 0.85 else 0.35 if shares > 0.85 else -1.0
    heavy = numeric > 0.6
    out["torque"] = 0.35 if heavy and within(8, 100_000) > 0.7 else -1.0 if numeric < 0.4 else -0.3
    out["load"] = 0.3 if heavy and within(4, 5_000_000) > 0.7 else -1.0
    out["stress"] = 0.3 if heavy and within(8, 150_000) > 0.7 else -1.0
    kinds = {key.split(":")[0] for key, n in cells.units.items() if n > 0.4 * total}
    for name, kind in (("torque", "torque"), ("load", "force"), ("stress", "stress"), ("percent", "percent")):
        if kind in kinds and kind != "percent":
            out[name] = 1.0
        elif kinds and not kinds & {kind, "unclear"}:
            out[name] = -1.0
    for name in ("target_gasket_stress", "gasket_maximum", "gasket_seating", "gasket_operating", "stud_maximum", "stud_minimum",
                 "flange_limit", "gasket_area", "gasket_y", "design_pressure", "bolt_circle"):  # fmt: skip
        out[name] = 0.3 if heavy else -0.6
    if name == "design_pressure" and not heavy and share(lambda t: "bar" in t.lower() or "psi" in t.lower()) > 0.4:
        out["design_pressure"] = 0.5
    out["gasket_m"] = 0.6 if within(0.4, 7) > 0.8 else -1.0
    diameters = share(lambda t: two_diameters(t) is not None)
    for name in ("gasket_inside_diameter", "gasket_outside_diameter"):
        out[name] = 0.9 if diameters > 0.5 else 0.3 if heavy and within(1, 5000) > 0.8 else -1.0
    dates = share(lambda t: bool(_DATE.fullmatch(t)))
    found_days = max(dates, cells.dates / max(total, 1))
    out["no_day"] = 1.0 if found_days < 0.2 and share(lambda t: bool(_NO_DAY.fullmatch(t))) > 0.6 else -1.0
    out["date"] = 0.9 if found_days > 0.6 else 0.2 if out["no_day"] > 0 else -1.0
    if cells.dates / total > 0.5:
        for name in out:
            out[name] = 0.9 if name == "date" else -1.0
    out["remarks"] = (
        0.5
        if prose > 0.4 or average_words > 1.9
        else 0.2
        if cells.filled < 0.5 * cells.rows
        else 0.0
        if numeric < 0.3
        else -0.5
    )
    out["wrench"] = 0.2 if tag > 0.5 and distinct < 0.8 else 0.0 if numeric < 0.5 else -0.6
    for name, names in (known or {}).items():
        folded = {each.casefold() for each in names}
        hit = share(
            lambda t, folded=folded: (
                t.casefold() in folded or any(part.strip().casefold() in folded for part in re.split(r"[+,/;]", t))
            )
        )
        if hit > 0.3:
            out[name] = max(out.get(name, 0.0), 0.3 + 0.7 * hit)
    return {name: round(max(-1.0, min(1.0, value)), 3) for name, value in out.items()}


_ROWS_NUMBERED = 5
"""So many rows whose numbers run on from 1 are numbers of rows and no sizes of pipes."""


def _runs(cells: Cells) -> bool:
    """Whether the numbers of a column run on in equal steps from the first row, as numbers of rows do."""
    values = [cells.numbers.get(text, -1.0) for text in cells.in_order[:12]]
    if len(values) < 3:
        return False
    steps = {round(other - one, 6) for one, other in pairwise(values)}
    return len(steps) == 1 and steps <= {1.0, 5.0, 10.0, 100.0}


@lru_cache(maxsize=65536)
def _is_tag(text: str) -> bool:
    """Whether a text is a tag: letters and figures, few words, none of them a plain word."""
    words = text.split()
    return (
        len(words) <= 3
        and _TAG.fullmatch(text) is not None
        and not any(re.fullmatch(r"[A-Za-z]{4,}|[a-z]{3,}", w) for w in words)
    )


def _sixteenth(value: float) -> bool:
    return 0.3 < value <= 4.0 and abs(value * 16 - round(value * 16)) < 0.1


def _nominal_pair(text: str) -> bool:
    """Whether a text is a nominal diameter and a pressure: "200/40", "150 / 16"."""
    found = re.fullmatch(r"(\d{2,4})\s*/\s*(\d{1,3}(?:\.5)?)", text)
    return found is not None and float(found[1]) in DN and float(found[2]) in PN
