"""Where the headings and the rows of a calibration table stand: units below headings, merged headings, rows across,
two numbers in a cell, notes among the rows.

Nothing is left out in silence: every step that is more than reading down two columns is a note.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from addin.cells.headings import split
from addin.cells.numbers import Cell, error_text, is_blank, plain_text, split_number, stands_for_nothing
from addin.cells.table_words import KINDS, Meaning, meaning
from calc.findings import NOTE, Finding, stop
from calc.units import kinds_of

MOST_ABOVE = 25
"""Rows that may stand above the headings in a block that is given."""


@dataclass(frozen=True)
class TableColumn:
    """A column under its heading: where it stands, the heading as read, and its unit where one is known."""

    at: int
    text: str
    meaning: Meaning

    @property
    def unit(self) -> str | None:
        """Unit text of the heading."""
        return self.meaning.heading.unit


@dataclass
class Layout:
    """The cells of a table turned upright, its columns, the first row of numbers, and what was done to read it.

    `across` says that rows and columns are exchanged in `cells`. `above` are the texts over the headings by row and
    column. `moved` are rows that stood beside: their row there, and how many columns to the right. `left` are columns
    of the sheet to the left of the block.
    """

    cells: list[list[Cell]]
    columns: list[TableColumn]
    head: int
    first: int
    across: bool = False
    above: list[tuple[int, int, str]] = field(default_factory=list)
    notes: list[Finding] = field(default_factory=list)
    moved: dict[int, tuple[int, int]] = field(default_factory=dict)
    left: int = 0

    def place(self, row: int, column: int) -> tuple[int, int]:
        """Row and column of a cell in the block that was given."""
        row, shift = self.moved.get(row, (row, 0))
        return (column + shift, row) if self.across else (row, column + shift)

    def number(self, row: int) -> int:
        """Number of a row as a reader counts it: from 1 below the headings."""
        row, _ = self.moved.get(row, (row, 0))
        return row - self.first + 1 if self.across else row - self.head


def lay_out(rows: Sequence[Sequence[Cell]]) -> Layout:
    """Find the headings and columns of a block of cells.

    Raises InputError: `table_headings` when none are found, `table_one_column` for two numbers in a cell that cannot be
    told apart.
    """
    wide = max((len(row) for row in rows), default=0)
    cells = [list(row) + [None] * (wide - len(row)) for row in rows]
    cells, notes = _parted(cells)
    found = _headed(cells)
    across = False
    if found is None and wide > 1:
        turned = [list(column) for column in zip(*cells, strict=True)]
        found = _headed(turned, strict=True)
        if found is not None:
            cells, across = turned, True
            notes.append(Finding("table_across", "table", {}, NOTE))
    if found is None:
        _ask_other(cells)
        texts = next((row for row in cells if sum(isinstance(c, str) and not is_blank(c) for c in row) > 1), [])
        raise stop("table_headings", "table", headings=tuple(plain_text(cell) for cell in texts if not is_blank(cell)))
    head, first, columns, more = found
    layout = Layout(cells, columns, head, first, across, notes=[*notes, *more])
    for row in range(head):
        texts = [(row, c, plain_text(cell)) for c, cell in enumerate(cells[row]) if isinstance(cell, str)]
        layout.above += [entry for entry in texts if entry[2]]
    return layout


def _ask_other(cells: Sequence[Sequence[Cell]]) -> None:
    """Refuse a table whose only column with a unit of torque, or of pressure, is something else."""
    for row, line in enumerate(cells[:MOST_ABOVE]):
        said = [(at, meaning(cell)) for at, cell in enumerate(line) if isinstance(cell, str) and not is_blank(cell)]
        kinds = {m.kind for _, m in said}
        for at, m in said:
            of = next((kind for kind in KINDS if m.heading.unit and kind in kinds_of(m.heading.unit)), "")
            if of and of not in kinds and m.other and set(KINDS) - {of} <= kinds:
                facts = {"heading": m.heading.text, "what": m.other, "kind": of, "at": (row, at)}
                raise stop("table_ask_other", "table", **facts)


def join_blocks(layout: Layout) -> Layout:
    """Blocks with the same headings side by side as one, where each goes on above the one before.

    Raises InputError `table_blocks_beside` where they do not.
    """
    starts = [column.at for column in layout.columns if column.text == layout.columns[0].text]
    width = starts[1] - starts[0] if len(starts) > 1 else 0
    parts = [[c for c in layout.columns if start <= c.at < start + width] for start in starts]
    kinds = {column.meaning.kind for column in parts[0]} if width else set()
    if not set(KINDS) <= kinds or any([c.text for c in part] != [c.text for c in parts[0]] for part in parts):
        return layout
    at = layout.place(layout.head, starts[1])
    ends = [[c.at - start for c in part if c.meaning.kind] for start, part in zip(starts, parts, strict=True)][0]
    wide = starts[0] + width
    used = [row[:wide] for row in layout.cells[: layout.first]]
    moved: dict[int, tuple[int, int]] = {}
    before: list[float] = []
    for start in starts:
        for row in range(layout.first, len(layout.cells)):
            cells = layout.cells[row][start : start + width]
            if all(is_blank(cell) for cell in cells):
                continue
            numbers = [float(cells[c]) for c in ends if c < len(cells) and isinstance(cells[c], (int, float))]
            if len(numbers) == len(ends):
                if any(a <= b for a, b in zip(numbers, before, strict=False)):
                    raise stop("table_blocks_beside", "table", at=at)
                before = numbers
            moved[len(used)] = (row, start - starts[0])
            used.append(([None] * starts[0] + list(cells) + [None] * width)[:wide])
    layout.notes.append(Finding("table_blocks_joined", "table", {"count": len(starts), "at": at}, NOTE))
    return Layout(used, parts[0], layout.head, layout.first, layout.across, layout.above, layout.notes, moved)


def begins_table(rows: Sequence[Sequence[Cell]]) -> bool:
    """Whether the headings of a table begin in the first of these rows; the rest are those below it.

    >>> begins_table([["Pressure (psi)", "Torque (Nm)"], [1000, 200]]), begins_table([["Rated pressure", "700 bar"]])
    (True, False)
    """
    wide = max((len(row) for row in rows), default=0)
    cells = [list(row) + [None] * (wide - len(row)) for row in rows]
    if not cells or not any(isinstance(cell, str) for cell in cells[0]):
        return False
    readings = [texts for texts, *_ in _readings(cells, 0)]
    lone = [text for cell in cells[0] if isinstance(cell, str) and (text := plain_spaces(cell))]
    if len(lone) == 1 and sum(not is_blank(cell) for cell in cells[0]) == 1:
        readings += [
            dict(enumerate(parts))
            for mark in ("\t", ";", "  ", " ")
            if len(parts := _split_heading(lone[0], mark)) == 2
        ]
    elif len(cells) > 1 and sum(_amount(cell) for cell in cells[0]) > 1 and isinstance(cells[0][0], str):
        readings.append({at: row[0] for at, row in enumerate(cells) if row and isinstance(row[0], str)})
    return any(_both(texts) for texts in readings)


def _amount(cell: Cell) -> bool:
    return isinstance(cell, (int, float)) or (isinstance(cell, str) and is_amount(cell))


def _both(texts: Mapping[int, str]) -> bool:
    """Whether headings name a pressure and a torque in words of the list or by their units, one at least as a curve."""
    said = [meaning(text) for text in texts.values()]
    sure = [m for m in said if m.kind and not m.other and (m.heading.unit or not m.unknown)]
    return set(KINDS) <= {m.kind for m in sure} and not all(m.excluded for m in sure)


# --- two numbers in a cell ------------------------------------------------------------------------------------------

_UNIT_PAIR = re.compile(r"^(.*?[)\]])\s*[,;|/]?\s*(\S.*)$")


def _parted(cells: list[list[Cell]]) -> tuple[list[list[Cell]], list[Finding]]:
    """One pasted column of texts like "1000 154" as two columns."""
    used = sorted({c for row in cells for c, cell in enumerate(row) if not is_blank(cell)})
    if len(used) != 1:
        return cells, []
    texts = [plain_spaces(row[used[0]]) for row in cells]
    numbers = [text for text in texts if re.match(r"[+-]?\d", text)]
    if len(numbers) < 2:
        return cells, []
    marks = ("\t", ";", "|", "  ", " ", ",", "unit")
    mark = next((mark for mark in marks if all(len(_split(text, mark)) == 2 for text in numbers)), "")
    if not mark:
        number = next((i for i, text in enumerate(texts) if text in numbers), 0)
        raise stop("table_one_column", "table", text=" ".join(texts[number].split())[:40], at=(number, used[0]))
    out: list[list[Cell]] = []
    for text in texts:
        pair = _split(text, mark) if text in numbers else _split_heading(text, mark)
        out.append([_number_or_text(part) for part in pair] if len(pair) == 2 else [text or None, None])
    return out, [Finding("table_parted", "table", {}, NOTE)]


def plain_spaces(cell: Cell) -> str:
    """A cell's text with its inner spaces as they are."""
    return (
        "" if cell is None else str(cell).replace("\u00a0", " ").strip() if isinstance(cell, str) else plain_text(cell)
    )


def _split(text: str, mark: str) -> list[str]:
    if mark == "unit":  # "1000 psi 154 ft-lb"
        match = re.fullmatch(r"(\d\S*\s*[^\d\s]\S*)\s+(\d.*)", text)
        return [match[1], match[2]] if match and is_amount(match[1]) and is_amount(match[2]) else [text]
    parts = re.split(r"\s{2,}" if mark == "  " else re.escape(mark), text)
    return [part.strip() for part in parts if part.strip()]


def _split_heading(text: str, mark: str) -> list[str]:
    if len(parts := _split(text, mark)) == 2:
        return parts
    if match := _UNIT_PAIR.match(text):
        return [match[1], match[2]]
    words = text.split()
    for at in range(1, len(words)):
        pair = [" ".join(words[:at]), " ".join(words[at:])]
        if {meaning(part).kind for part in pair} == set(KINDS) and all(split(part).unit for part in pair):
            return pair
    return [text]


def _number_or_text(text: str) -> Cell:
    return float(text) if re.fullmatch(r"\d+(?:\.\d{1,2})?", text) else text


# --- headings -------------------------------------------------------------------------------------------------------

_Found = tuple[int, int, list[TableColumn], list[Finding]]


def _headed(cells: list[list[Cell]], *, strict: bool = False) -> _Found | None:
    """The row of headings, the first row below it, its columns, and notes on how it was read."""
    for row in range(min(len(cells) - 1, MOST_ABOVE)):
        for texts, used, codes in _readings(cells, row):
            columns = [TableColumn(at, text, meaning(text)) for at, text in sorted(texts.items())]
            if not set(KINDS) <= {column.meaning.kind for column in columns}:
                continue
            if strict and not _numbers_below(cells, row + used, columns):
                continue
            notes = [Finding(code, "table", {"at": (row, 0)}, NOTE) for code in codes]
            return row, row + used, columns, notes
    return None


def _readings(cells: list[list[Cell]], row: int) -> Iterator[tuple[dict[int, str], int, list[str]]]:
    """The ways to read headings that begin in a row: column -> text, rows used, notes."""
    top = _texts(cells, row)
    if not top:
        return
    below, third = _texts(cells, row + 1), _texts(cells, row + 2)
    if below and _is_units(below):
        parent = ""
        for at in range(max([*top, *below]) + 1):  # one heading over several units
            parent = top.get(at, parent)
            if at in below and at not in top and parent:
                top[at] = parent
        with_units = {at: _joined(text, f"({_bare(below[at])})" if at in below else "") for at, text in top.items()}
        yield with_units, 2, ["table_units_below"]
    elif (
        below
        and _parents(top, below)
        and not _whole(below)
        and not any(len(text.split()) > 5 for text in below.values())
    ):
        carried, parent = {}, ""
        for at in range(max([*top, *below]) + 1):
            parent = top.get(at, parent)
            if at in top or at in below:
                carried[at] = _joined(parent, below.get(at, ""))
        if third and _is_units(third):
            with_units = {
                at: _joined(text, f"({_bare(third[at])})" if at in third else "") for at, text in carried.items()
            }
            yield with_units, 3, ["table_two_headings", "table_units_below"]
        else:
            yield carried, 2, ["table_two_headings"]
    if not (below and _whole(below) and not any(split(text).unit for text in top.values())):
        yield top, 1, []


def _parents(top: dict[int, str], below: dict[int, str]) -> bool:
    """Whether texts below headings may be headings of their own: they fill gaps, or most of the columns."""
    return bool(set(below) - set(top)) or (len(below) > 1 and len(below) >= len(top) - 1)


def _joined(parent: str, child: str) -> str:
    """A heading with the one below it; the unit stays at the end.

    >>> _joined("Torque (Nm)", "Up"), _joined("Torque", "(Nm)"), _joined("Torque (Nm)", "")
    ('torque Up (Nm)', 'Torque (Nm)', 'Torque (Nm)')
    """
    above = split(parent)
    if child and above.unit and not split(child).unit:
        return f"{above.words} {child} ({above.unit})".strip()
    return f"{parent} {child}".strip()


def _is_units(texts: dict[int, str]) -> bool:
    return all(kinds_of(_bare(text)) for text in texts.values())


def _whole(texts: dict[int, str]) -> bool:
    """Whether texts are headings by themselves."""
    return set(KINDS) <= {meaning(text).kind for text in texts.values()}


def _texts(cells: list[list[Cell]], row: int) -> dict[int, str]:
    if row >= len(cells) or any(not isinstance(cell, str) and not is_blank(cell) for cell in cells[row]):
        return {}
    texts = {
        at: plain_text(cell) for at, cell in enumerate(cells[row]) if isinstance(cell, str) and not error_text(cell)
    }
    texts = {at: text for at, text in texts.items() if not stands_for_nothing(text)}
    return {} if any(is_amount(text) for text in texts.values()) else texts


def is_amount(text: str) -> bool:
    """Whether a text is a number, alone or with a unit.

    >>> is_amount("1,000"), is_amount("154 ft-lb"), is_amount("60 mm link"), is_amount("psi")
    (True, True, False, False)
    """
    parts = split_number(text)
    return parts is not None and (parts[1] is None or bool(kinds_of(parts[1])))


def _bare(text: str) -> str:
    """A unit without brackets and the small word before it."""
    return re.sub(r"^(?:in|en|em)\s+(?=\S)", "", text.strip().strip("()[]{}").strip(), flags=re.IGNORECASE)


def _numbers_below(cells: list[list[Cell]], first: int, columns: list[TableColumn]) -> bool:
    at = [column.at for column in columns if column.meaning.kind]
    return all(isinstance(row[c], (int, float)) or re.match(r"\s*\d", str(row[c])) for row in cells[first:] for c in at)
