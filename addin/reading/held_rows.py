"""Rows that say of themselves that they wait: held, not released, given up, not to be worked on; in any column.

The words are data (data/held_words.csv), in the languages that lists of plants come in. On doubt a row waits: a name and
a date on the sheet of answers free it.
"""

import re
from collections.abc import Mapping, Sequence
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
    said: dict[int, list[_Held]] = {}
    for reading in readings:
        if reading.field in _READ_OTHERWISE or (reading.field in NUMBER_COLUMNS and reading.used):
            continue
        for i, held in _held_cells(reading, rows, legends):
            said.setdefault(i, []).append(held)
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


def _held_cells(
    reading: ColumnReading, rows: Sequence[Sequence[Cell]], legends: Mapping[str, str]
) -> list[tuple[int, _Held]]:  # fmt: skip
    """Every cell of a column that says that its row waits, by the place of the row."""
    promise = promised(reading.heading)
    if reading.field == "hold_point" and not re.search(r"\bon\b|\bheld\b|sperr", reading.heading, re.IGNORECASE):
        promise = OTHER  # a tick under "Hold" is a point of inspection
    remarks = reading.field == "remarks"
    where = f"column {letter(reading.at)} '{reading.heading}'" if reading.heading else f"column {letter(reading.at)}"
    known: dict[str, bool] = {}
    out, last = [], ""
    for i, row in enumerate(rows):
        cell = row[reading.at] if reading.at < len(row) else None
        if cell is None or (not isinstance(cell, str) and promise in (OTHER, STATES)):
            continue
        text = plain_text(cell)
        if isinstance(cell, str) and is_ditto(cell):
            text = last
        last = text
        if text not in known:
            meant = legends.get(text.casefold(), "")
            known[text] = says_held(text, promise, remarks=remarks) or (
                promise != OTHER and bool(meant) and says_held(meant, STATES)
            )
        if known[text]:
            bare = unaccented(text).strip(" .!?")
            tick = any(_patterns()[kind].fullmatch(bare) for kind in ("yes", "no"))
            out.append((i, _Held(where, letter(reading.at), text, f"{reading.heading}: {text}" if tick else text)))
    return out
