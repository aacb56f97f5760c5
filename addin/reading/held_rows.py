"""Rows that say of themselves that they wait: held, not released, given up, not to be worked on; in any column.

The words are data (data/held_words.csv), in the languages that lists of plants come in. On doubt a row waits: a name and
a date on the sheet of answers free it.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from addin.cells.numbers import Cell, plain_text
from addin.reading.column import Column, letter
from addin.reading.evidence import is_ditto
from addin.reading.spellings import unaccented
from addin.reading.tables import table
from addin.reading.understood import ColumnReading, WaitingRow
from calc.findings import Finding
from calc.plan.joints import NUMBER_COLUMNS

STATES, HOLDS, RELEASES, OTHER = "states", "holds", "releases", "other"
"""What a heading promises: the state of the joint, that it is held, that it is released, or something else."""
_PART = r"(?:^|[;,.:(/|–—-])\W*(?:(?:the|this|die|der|das|la|le|joint|row|flange|flansch|status|currently|still|noch|derzeit|is|ist|est|now|jetzt)\s+)*"
_READ_OTHERWISE = frozenset(("joint", "thread", "operation", "method", "lubricant", "grade", "equipment"))
"""Fields whose cells say something else, or are asked about when they are not understood."""


@cache
def _patterns() -> Mapping[str, re.Pattern[str]]:
    parts: dict[str, list[str]] = {}
    for kind, pattern, _ in table("held_words.csv"):
        parts.setdefault(kind, []).append(f"(?:{pattern})")
    return {kind: re.compile("|".join(patterns)) for kind, patterns in parts.items()}


@cache
def _within(kind: str) -> re.Pattern[str]:
    """The words of a kind where a part of a cell begins."""
    return re.compile(f"{_PART}(?P<held>{_patterns()[kind].pattern})")


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
    plain, known = unaccented(heading), _patterns()
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
    plain, known = " ".join(unaccented(text).split()), _patterns()
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


@dataclass(frozen=True)
class _Held:
    """A place that says that a row waits: what it is called, its column ("" for none), its words, and the freeing ones."""

    where: str
    column: str
    text: str
    words: str


def waiting(
    readings: Sequence[ColumnReading], rows: Sequence[Sequence[Cell]], numbers: Sequence[int],
    made: Sequence[Sequence[Cell]], columns: Sequence[Column], legends: Mapping[str, str],
    comments: Sequence[str], above: Mapping[int, str], freed: frozenset[tuple[str, str, str]],
) -> tuple[list[WaitingRow], list[Finding]]:  # fmt: skip
    """Rows that wait, with the cell that says so. `rows` are the cells as they stand, `made` as their fields read them;
    `comments` those of a row's cells, `above` rows of one text only that head the joints below them.
    """
    said = _held_cells([each for each in readings if _is_watched(each)], rows, legends)
    for i, text in enumerate(comments):
        if text and says_held(text, remarks=True):
            said.setdefault(i, []).append(_Held("a comment of one of its cells", "", text, text[:80]))
    heads = sorted(number for number, text in above.items() if says_held(text, remarks=True))
    for i, number in enumerate(numbers) if heads else ():
        last = max((each for each in above if each < number), default=0)
        if last in heads:
            where = f"row {last} above it"
            said.setdefault(i, []).append(_Held(where, "", above[last], above[last]))
    at = {column.field: column.at for column in columns if column.field in ("joint", "operation")}
    found, faults = [], []
    for i in sorted(said):
        joint = plain_text(made[i][at["joint"]]) if "joint" in at else ""
        operation = plain_text(made[i][at["operation"]]) if "operation" in at else ""
        for held in said[i]:
            if (joint, operation, held.words) not in freed:
                found.append(WaitingRow(numbers[i], joint, operation, held.words))
                facts = {"where": held.where, "column": held.column, "text": held.text}
                faults.append(Finding("row_waits", "remarks", facts, row=i))
                break
    return found, faults


def _is_watched(reading: ColumnReading) -> bool:
    return not (reading.field in _READ_OTHERWISE or (reading.field in NUMBER_COLUMNS and reading.used))


class _Watched:
    """A column that is looked through: what its heading promises, and what was found of each text."""

    def __init__(self, reading: ColumnReading, legends: Mapping[str, str]) -> None:
        self.at, self.heading, self.remarks = reading.at, reading.heading, reading.field == "remarks"
        self.promise = promised(reading.heading)
        point = reading.field == "hold_point"
        if point and not re.search(r"\bon\b|\bheld\b|sperr", reading.heading, re.IGNORECASE):
            self.promise = OTHER  # a tick under "Hold" is a point of inspection
        self.where = f"column {letter(self.at)}" + (f" '{reading.heading}'" if reading.heading else "")
        self.legends = legends
        self.known: dict[str, bool] = {}
        self.last = ""

    def holds(self, text: str) -> bool:
        """Whether a cell says so; figures in it do not count, so that numbered texts are looked at once."""
        words = text if self.promise != OTHER and len(text) < 6 else text.translate(_NO_FIGURES)
        held = self.known.get(words)
        if held is None:
            meant = self.legends.get(text.casefold(), "") if self.promise != OTHER else ""
            held = says_held(words, self.promise, remarks=self.remarks) or (bool(meant) and says_held(meant, STATES))
            self.known[words] = held
        return held

    def held(self, text: str) -> _Held:
        text = " ".join(text.split())
        bare = unaccented(text).strip(" .!?")
        tick = any(_patterns()[kind].fullmatch(bare) for kind in ("yes", "no"))
        return _Held(self.where, letter(self.at), text, f"{self.heading}: {text}" if tick else text)


_NO_FIGURES = str.maketrans("", "", "0123456789")


def _held_cells(
    readings: Sequence[ColumnReading], rows: Iterable[Sequence[Cell]], legends: Mapping[str, str]
) -> dict[int, list[_Held]]:  # fmt: skip
    """Every cell that says that its row waits, by the place of the row; rows are gone through once."""
    watched = [_Watched(reading, legends) for reading in readings]
    texts_only = [each for each in watched if each.promise in (OTHER, STATES)]
    with_numbers = [each for each in watched if each.promise not in (OTHER, STATES)]
    out: dict[int, list[_Held]] = {}
    for i, row in enumerate(rows):
        width = len(row)
        for column in texts_only:
            if column.at < width and type(text := row[column.at]) is str:
                if len(text) < 9 and is_ditto(text):
                    text = column.last
                else:
                    column.last = text
                if text and column.holds(text):
                    out.setdefault(i, []).append(column.held(text))
        for column in with_numbers:
            cell = row[column.at] if column.at < width else None
            if cell is not None:
                text = column.last if isinstance(cell, str) and is_ditto(cell) else plain_text(cell)
                column.last = text
                if text and column.holds(text):
                    out.setdefault(i, []).append(column.held(text))
    return out
