"""Rows that say of themselves that they wait: held, not released, given up, not to be worked on, or other work than the
one they would be planned for; in any column. A name and a date on the sheet of answers free them.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from addin.cells.headings import plain_words
from addin.cells.numbers import Cell, plain_text
from addin.reading.column import Column, letter
from addin.reading.evidence import is_ditto
from addin.reading.held_words import OTHER, STATES, held_patterns, promised, says_held
from addin.reading.spellings import unaccented
from addin.reading.spoken_work import SHARE, WORKS, spoken
from addin.reading.understood import BY_THE_BOOK, ColumnReading, WaitingRow
from addin.workbooks.packed_rows import pieces
from calc.findings import Finding
from calc.plan.joints import NUMBER_COLUMNS

WAITS = ("row_waits", "other_work")
"""The findings by which a row waits until somebody frees it."""
BY_HYDRAULIC = (BY_THE_BOOK, "hydraulic")
"""By the book a hydraulic wrench goes first: a cell that says so contradicts nothing."""
_READ_OTHERWISE = frozenset(("joint", "thread", "operation", "method", "lubricant", "grade", "equipment"))
"""Fields whose cells say something else, or are asked about when they are not understood."""
_RECORDED = "as tightened"
"""With these words begin the headings of what was done: states of joints, not work to do."""


@dataclass(frozen=True)
class _Held:
    """A place that says that a row waits: what it is called, its column ("" for none), its words, the freeing ones, and
    the field and meaning of other work that it names.
    """

    where: str
    column: str
    text: str
    words: str
    work: tuple[str, str] = ("", "")


def waiting(
    readings: Sequence[ColumnReading], rows: Sequence[Sequence[Cell]], numbers: Sequence[int],
    made: Sequence[Sequence[Cell]], columns: Sequence[Column], legends: Mapping[str, str],
    comments: Sequence[str], above: Mapping[int, str], facts: Mapping[str, Cell],
    freed: frozenset[tuple[str, str, str]],
) -> tuple[list[WaitingRow], list[Finding]]:  # fmt: skip
    """Rows that wait, with the cell that says so. `rows` are the cells as they stand, `made` as their fields read them;
    `comments` those of a row's cells, `above` rows of one text only that head the joints below them, `facts` what holds
    for rows that do not say.
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
    at = {column.field: column.at for column in columns if column.field in ("joint", *WORKS)}
    found: list[WaitingRow] = []
    faults: list[Finding] = []
    for i in sorted(said):
        own = {name: plain_text(made[i][at[name]]) if name in at else "" for name in ("joint", *WORKS)}
        planned = {name: own[name] or plain_text(facts.get(name)) for name in WORKS}
        waits: dict[str, Finding] = {}
        for held in said[i]:
            name, meaning = held.work
            if name and (meaning == planned[name] or not planned[name] or (planned[name], meaning) == BY_HYDRAULIC):
                continue
            if held.words in waits or (own["joint"], own["operation"], held.words) in freed:
                continue
            told: dict[str, object] = {"where": held.where, "column": held.column, "text": held.text}
            if name:
                told |= {"meaning": meaning, "own": planned[name]}
            waits[held.words] = Finding("other_work" if name else "row_waits", "remarks", told, row=i)
        found += [WaitingRow(numbers[i], own["joint"], own["operation"], words) for words in waits]
        faults += waits.values()
    return found, faults


def _is_watched(reading: ColumnReading) -> bool:
    if plain_words(reading.heading).startswith(_RECORDED):
        return False
    return not reading.used or (reading.field not in _READ_OTHERWISE and reading.field not in NUMBER_COLUMNS)


class _Watched:
    """A column that is looked through: what its heading promises, and what was found of each text."""

    def __init__(self, reading: ColumnReading, legends: Mapping[str, str]) -> None:
        self.at, self.heading, self.remarks = reading.at, reading.heading, reading.field == "remarks"
        self.promise = promised(reading.heading)
        point = reading.field == "hold_point"
        if point and not re.search(r"\bon\b|\bheld\b|sperr", reading.heading, re.IGNORECASE):
            self.promise = OTHER  # a tick under "Hold" is a point of inspection
        self.where = f"column {letter(self.at)}" + (f" '{reading.heading}'" if reading.heading else "")
        past = held_patterns()["heading_of_past"].search(unaccented(reading.heading))
        self.speaks = self.promise == OTHER and (not reading.used or self.remarks) and not past
        self.texts_only = self.promise in (OTHER, STATES)
        self.spoken: dict[str, list[tuple[str, str, bool]]] = {}
        self.hits: list[tuple[int, _Held, bool]] = []
        self.said, self.filled = 0, 0
        self.legends = legends
        self.known: dict[str, bool] = {}
        self.quiet: set[str] = set()
        self.last = ""

    def look(self, first: int, cells: Sequence[Cell]) -> Iterator[tuple[int, _Held]]:
        """The cells that say that their row waits, of some rows in their order; `first` is the place of the first row."""
        if self.texts_only:
            texts = [cell for cell in cells if type(cell) is str]
            if not texts or self._pass(texts):
                return
        for i, cell in enumerate(cells, first):
            if type(cell) is str:
                again = is_ditto(cell) and (len(cell) < _DITTO or not self.texts_only)
                text = self.last if again else cell if self.texts_only else plain_text(cell)
            elif cell is None or self.texts_only:
                continue
            else:
                text = plain_text(cell)
            self.last = text
            if not text:
                continue
            if self.holds(text):
                yield i, self.held(text)
            elif self.speaks:
                self.works(i, text)

    def _pass(self, texts: Sequence[str]) -> bool:
        """Go past cells none of which says anything: as nearly all."""
        plain = texts if self.promise != OTHER else _BETWEEN.join(texts).translate(_NO_FIGURES).split(_BETWEEN)
        fresh = [text for text in dict.fromkeys(plain) if text not in self.quiet]
        if len(plain) != len(texts) or not all(map(self._says_nothing, fresh)):
            return False
        self.last = texts[-1]
        self.filled += len(texts) - texts.count("")
        return True

    def _says_nothing(self, text: str) -> bool:
        """Whether a text neither holds its row, nor names work, nor points at the cell above; figures are taken off."""
        loud = is_ditto(text) or self.holds(text) or (self.speaks and self._work(text))
        if not loud:
            self.quiet.add(text)
        return not loud

    def holds(self, text: str) -> bool:
        """Whether a cell says so; figures in it do not count, so that numbered texts are looked at once."""
        if (held := self.known.get(text)) is not None:
            return held  # as most: the same text again, without figures
        words = text if self.promise != OTHER and len(text) < 6 else text.translate(_NO_FIGURES)
        held = self.known.get(words)
        if held is None:
            meant = self.legends.get(text.casefold(), "") if self.promise != OTHER else ""
            held = says_held(words, self.promise, remarks=self.remarks) or (bool(meant) and says_held(meant, STATES))
            self.known[words] = held
        return held

    def works(self, i: int, text: str) -> None:
        """Note the work that a cell names."""
        self.filled += 1
        for name, meaning, own in self._work(text):
            self.said += name == WORKS[0]
            self.hits.append((i, _Held(self.where, letter(self.at), text, text, (name, meaning)), own))

    def _work(self, text: str) -> list[tuple[str, str, bool]]:
        """The work that a text names: field, meaning, and whether its words can mean little else."""
        if text not in self.spoken:
            told = [(name, *spoken(name, text)) for name in WORKS] if len(text) < 60 else []
            self.spoken[text] = [each for each in told if each[1]]
        return self.spoken[text]

    def held(self, text: str) -> _Held:
        text = " ".join(text.split())
        bare = unaccented(text).strip(" .!?")
        tick = any(held_patterns()[kind].fullmatch(bare) for kind in ("yes", "no"))
        return _Held(self.where, letter(self.at), text, f"{self.heading}: {text}" if tick else text)


_NO_FIGURES = str.maketrans("", "", "0123456789")
_DITTO = 9
"""A text of a column of texts that is shorter may say "as above"."""
_BETWEEN = "\0"
"""A sign that no cell holds."""


def _held_cells(
    readings: Sequence[ColumnReading], rows: Iterable[Sequence[Cell]], legends: Mapping[str, str]
) -> dict[int, list[_Held]]:  # fmt: skip
    """Every cell that says that its row waits, by the place of the row; rows, all as wide, are gone through once."""
    watched = [_Watched(reading, legends) for reading in readings]
    watched.sort(key=lambda column: not column.texts_only)
    out: dict[int, list[_Held]] = {}
    first = 0
    for some in pieces(rows):
        places = [*zip(*some, strict=True)]
        for column in watched:
            for i, held in column.look(first, places[column.at]):
                out.setdefault(i, []).append(held)
        first += len(some)
    for column in watched:
        named = {held.work for _, held, _ in column.hits}
        sure = len(named) > 1 or any(own for _, _, own in column.hits)  # a column of "open" alone says how far work is
        whole = not column.remarks and sure and column.said >= SHARE * column.filled
        for i, held, own in column.hits:
            if own or whole:
                out.setdefault(i, []).append(held)
    return out
