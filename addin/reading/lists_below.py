"""Several lists below each other on one sheet: each is understood by its own headings, and their joints are read together.

Cells of a lower list are laid under the columns of the first that hold the same field; what the first list has no column
for gets a column of its own behind them. Where a cell really stands is kept, so that every message names it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from addin.cells.numbers import Cell, is_blank, plain_text
from addin.reading.code_tables import are_codes
from addin.reading.column import letter
from addin.reading.evidence import number
from addin.reading.finder import FoundList, likely_rows, other_headings
from addin.reading.heads import TARGETS, Head
from addin.reading.place import Place, place, text_of
from addin.reading.understood import ASKED, CHECKED, NOT_USED, PROPOSED, SURE, ColumnReading, State, heading_key
from addin.workbooks.addresses import Area
from addin.workbooks.packed_rows import PackedRows

_WINDOW = 12
"""Rows from above a lower list's headings on in which they are looked for."""
_LOOKED_AT = 200
"""Rows of the list above in which the codes of a table are looked for."""
_WORST: tuple[State, ...] = (SURE, CHECKED, PROPOSED, ASKED)


def lists_below(found: FoundList) -> tuple[FoundList, tuple[FoundList, ...], tuple[int, ...]]:
    """The first list without the rows of those below it, those below, and rows of other headings that name no joints."""
    heads = {head.at: head.text.casefold() for head in found.heads}
    starts: list[Place] = []
    others: list[int] = []
    for row in found.cells.rows.of_texts:
        lowest = starts[-1].body + 1 if starts else found.body
        if row < lowest or not other_headings(found.cells.rows[row], heads):
            continue
        there = _placed(found, row, lowest)
        if there is None or _explains(found, there, starts):
            if row > found.body or starts:  # directly below the names it is a row of theirs
                others.append(row)
        else:
            starts.append(there)
            heads = {head.at: head.text.casefold() for head in there.heads}
    if not starts:
        return found, (), tuple(others)
    begins = [there.top + 1 for there in starts]
    ends = [*begins[1:], found.cells.rows.last + 1]
    lower = tuple(_part(found, there, begin, end) for there, begin, end in zip(starts, begins, ends, strict=True))
    return _part(found, found.place, 1, begins[0]), lower, tuple(others)


def _explains(found: FoundList, there: Place, starts: Sequence[Place]) -> bool:
    """Whether the rows under further headings explain codes of the list above them."""
    top, heads = (starts[-1].body + 1, starts[-1].heads) if starts else (found.body, found.heads)
    rows: list[Sequence[Cell]] = []
    for row in range(there.body + 1, there.body + 1 + _WINDOW):
        cells = found.cells.rows.get(row, ())
        if all(is_blank(cell) for cell in cells):
            break
        rows.append(cells)
    above = range(top, min(there.top + 1, top + _LOOKED_AT))
    return are_codes(rows, heads, [found.cells.rows[row] for row in above if row in found.cells.rows])


def _placed(found: FoundList, row: int, lowest: int) -> Place | None:
    """Where the headings that a row belongs to stand, as rows of the sheet."""
    first = max(lowest, row - 2)
    rows = [found.cells.rows.get(number, []) for number in range(first, row + _WINDOW)]
    merged = [
        Area(each.top - first + 1, each.left, each.bottom - first + 1, each.right)
        for each in found.scan.merged
        if each.top >= first and each.bottom < row + _WINDOW
    ]
    there = place(rows, merged)
    if there is None or not there.named & {"joint", "equipment"}:
        return None
    shift = first - 1
    if not there.top + shift < row <= there.body + shift:
        return None  # other headings, further down
    return Place(there.top + shift, there.last + shift, there.body + shift, there.heads, there.named)


def _part(found: FoundList, there: Place, begin: int, end: int) -> FoundList:
    """The part of a sheet that one of its lists takes up."""
    rows = PackedRows((number, cells) for number, cells in found.cells.rows.items() if begin <= number < end)
    ours = {number - 1 for number in found.own.places.values()} if found.own else set()
    heads = tuple(head for head in there.heads if head.at not in ours)
    return replace(found, cells=replace(found.cells, rows=rows), place=there, heads=heads)


def is_of_joints(readings: Sequence[ColumnReading]) -> bool:
    """Whether columns below other headings are those of joints: a tag, and studs or a target."""
    fields = {reading.field for reading in readings if reading.state != NOT_USED}
    return "joint" in fields and bool(fields & {"thread", "studs", *TARGETS})


def joint_rows_of(part: FoundList) -> list[list[Cell]]:
    """The rows of a list that its columns are judged by."""
    return [part.cells.rows[number] for number in likely_rows(part)]


def laid_under(
    found: FoundList, first_rows: Mapping[int, list[Cell]], readings: Sequence[ColumnReading], lower: Sequence[tuple[FoundList, Sequence[ColumnReading]]]
) -> tuple[FoundList, tuple[ColumnReading, ...]]:  # fmt: skip
    """One list of all: rows of the lower lists laid under the columns of the first, and how each column is read then.

    A column is as sure as the least sure of those that are laid under it.
    """
    out, heads, rows = list(readings), list(found.heads), dict(first_rows)
    moved: dict[int, Mapping[int, int]] = {}
    own = max(found.own.places.values(), default=0) if found.own else 0
    free = max([found.scan.used.right if found.scan.used else 0, *found.scan.last_columns, own])
    for each, theirs in lower:
        to: dict[int, tuple[int, ColumnReading]] = {}
        taken: set[int] = set()
        for reading in theirs:
            k = _partner(out, reading, taken)
            if k is None:
                at, free = free, free + 1
                where = f"column {letter(reading.at)} of the list with headings in row {each.heading_row}"
                out.append(replace(reading, at=at, why=f"{where}: {reading.why}"))
                heads.append(Head(at, reading.heading))
            else:
                taken.add(k)
                at = out[k].at
                out[k] = _both(out[k], reading, each.heading_row)
            to[reading.at] = at, reading
        _lay(found, each, to, {reading.at: reading for reading in out}, rows, moved)
    packed = PackedRows(sorted(rows.items()))
    return replace(found, cells=replace(found.cells, rows=packed), heads=tuple(heads), moved=moved), tuple(out)


def _partner(readings: Sequence[ColumnReading], reading: ColumnReading, taken: set[int]) -> int | None:
    """The column of the lists above that holds what a column of a lower list holds."""
    free = [k for k in range(len(readings)) if k not in taken]
    used = reading.field if reading.state != NOT_USED else None
    if used:
        same = [k for k in free if readings[k].field == used and readings[k].state != NOT_USED]
        alike = [k for k in same if (readings[k].state == CHECKED) == (reading.state == CHECKED)]
        return next(iter(alike or same), None)
    key = heading_key(reading.heading)
    return next((k for k in free if readings[k].state == NOT_USED and heading_key(readings[k].heading) == key), None)


def _both(one: ColumnReading, other: ColumnReading, row: int) -> ColumnReading:
    """A column of the first list with one of a lower list laid under it."""
    if other.state == NOT_USED or one.state == NOT_USED:
        return one
    worse = other if _WORST.index(other.state) > _WORST.index(one.state) else one
    also = tuple(dict.fromkeys((*one.also, *other.also)))
    if worse is one or one.state == CHECKED:
        return replace(one, also=also)
    why = f"{one.why}; below the headings of row {row}, '{other.heading}': {other.why}"
    return replace(
        one, state=other.state, candidates=other.candidates, why=why, also=also, unit_open=other.unit_open,
        unit_doubt=other.unit_doubt, area_open=one.area_open or other.area_open,
    )  # fmt: skip


def _lay(
    found: FoundList, each: FoundList, to: Mapping[int, tuple[int, ColumnReading]], readings: Mapping[int, ColumnReading],
    rows: dict[int, list[Cell]], moved: dict[int, Mapping[int, int]],
) -> None:  # fmt: skip
    """Lay the cells of a lower list under the columns that they were given."""
    ours = {number - 1 for number in found.own.places.values()} if found.own else set()
    spanned = _merged(found, each)
    back = {at: was for was, (at, _) in to.items()}
    widest = max(back, default=-1) + 1
    for row, cells in each.cells.rows.items():
        if row < each.body:
            continue  # its headings
        laid: list[Cell] = [None] * max(widest, max((at for at in ours if at < len(cells)), default=-1) + 1)
        for at in ours:
            if at < len(cells):
                laid[at] = cells[at]
        for was, (at, reading) in to.items():
            cell = cells[was] if was < len(cells) else None
            if (top := spanned.get((row, was))) is not None:
                above = each.cells.rows.get(top, [])
                cell = above[was] if was < len(above) else None
            laid[at] = _in_its_unit(cell, reading, readings[at])
        left = [cell for was, cell in enumerate(cells) if was not in to and was not in ours and not is_blank(cell)]
        if left and all(is_blank(cell) for at, cell in enumerate(laid) if at not in ours):
            laid[min(back)] = plain_text(left[0])  # a note beside its columns
        rows[row] = laid
        moved[row] = back


def _merged(found: FoundList, each: FoundList) -> dict[tuple[int, int], int]:
    """Cells of a lower list that are merged into one above them: (row, column from 0) -> row of the value."""
    return {
        (number, area.left - 1): area.top
        for area in found.scan.merged
        if area.bottom > area.top >= each.body
        for number in range(area.top + 1, area.bottom + 1)
    }


def _in_its_unit(cell: Cell, mine: ColumnReading, first: ColumnReading) -> Cell:
    """A bare number of a lower list with its own unit, where the column that it is laid under has another."""
    if is_blank(cell) or isinstance(cell, bool) or mine.unit is None or mine.unit == first.unit:
        return cell
    text = plain_text(cell)
    if number(text) is None:
        return cell
    if mine.field == "thread" and mine.unit == "mm":
        return f"M{text}"
    return f"{text} {mine.unit}"


def table_rows(found: FoundList, starts: Sequence[int], lists: Sequence[FoundList]) -> frozenset[int]:
    """The rows of tables below a list that name no joints: from their headings to the headings of a list, or the end."""
    if not starts:
        return frozenset()
    begins = {each.place.top + 1 for each in lists}
    heads = {head.at: head.text.casefold() for head in found.heads}
    rows: set[int] = set()
    inside = False
    for row in sorted(each for each in found.cells.rows if each >= found.body):
        cells = found.cells.rows[row]
        again = sum(at < len(cells) and text_of(cells[at]).casefold() == text for at, text in heads.items())
        if row in begins or again >= _AGAIN * len(heads):
            inside = False
        elif row in starts:
            inside = True
        if inside:
            rows.add(row)
    return frozenset(rows)


_AGAIN = 0.6
"""Share of the headings of a list that must stand again before its joints go on below."""
