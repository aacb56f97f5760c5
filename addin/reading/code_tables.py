"""Tables of codes below a list ("BC-04 | 12 | 1-8UN | 460 N·m"): what a code in a column of the list stands for."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from addin.cells.numbers import Cell, is_blank, plain_text
from addin.reading.columns import understand
from addin.reading.heads import Head
from addin.reading.notes import Notes
from addin.reading.physics import threads_known
from addin.reading.place import names, text_of
from addin.reading.spellings import plain_fractions, unit_of
from addin.reading.understood import PROPOSED, SURE, ColumnReading

_CODE = re.compile(r"(?=.*[^\W\d_])[\w./-]{1,10}")
_LEAST = 2
"""Rows of a table below which must begin with a code of the list."""
_MOST = 200
_ALONE = ("joint", "equipment", "line", "plant_area", "remarks")
"""Fields that no table of codes gives."""


@dataclass(frozen=True)
class CodeTables:
    """What codes stand for: place of a column -> code (small letters) -> field -> text; and the rows of the tables.

    `readings`: how those columns are read. `rows`: rows of the sheet that are parts of tables, not joints.
    """

    meant: Mapping[int, Mapping[str, Mapping[str, str]]] = field(default_factory=dict)
    readings: Mapping[int, ColumnReading] = field(default_factory=dict)
    rows: frozenset[int] = frozenset()


def code_tables(
    heads: Sequence[Head], joints: Sequence[Sequence[Cell]], below: Mapping[int, Sequence[Cell]], notes: Notes
) -> CodeTables:
    """Tables in the rows `below` a list (by number) that explain codes of its columns; `joints` are rows of the list.

    A table is a row of names, or a title with a unit, above rows that begin with codes of one column.

    >>> heads = [Head(0, "Joint No."), Head(1, "Bolt code")]
    >>> below = {9: ["Bolt code", "studs per joint", "stud", "torque N.m"], 10: ["B-1", 12, "1 x 8UN", 460],
    ...          11: ["B-2", 8, "7/8 x 9UNC", 320]}
    >>> found = code_tables(heads, [["J-1", "B-2"], ["J-2", "B-1"], ["J-3", "B-1"]], below, Notes())
    >>> found.meant[1]["b-2"], sorted(found.rows)
    ({'studs': '8', 'thread': '7/8-9 UNC', 'torque': '320 N·m'}, [9, 10, 11])
    """
    meant: dict[int, Mapping[str, Mapping[str, str]]] = {}
    readings: dict[int, ColumnReading] = {}
    taken: set[int] = set()
    begins = {plain_text(row[at]).casefold() for row in below.values() if (at := _first(row)) is not None}
    for head in heads:
        texts = [text for row in joints if head.at < len(row) and (text := plain_text(row[head.at]).casefold())]
        if begins.isdisjoint(texts):
            continue  # no row below begins with a code of this column
        codes = {text for text in texts if _CODE.fullmatch(text) and not threads_known(text.upper())}
        if len(codes) < _LEAST or len(codes) == len(texts) > 4:  # tags differ in every row
            continue
        for rows, key in _runs(below, codes):
            found = _table(head, rows, key, below, notes)
            if found is None:
                continue
            known, reading, first = found
            used = [text for text in texts if text in known]
            if 2 * len(used) < len(texts):
                continue
            meant[head.at], readings[head.at] = known, reading
            taken |= {*rows, first}
            break
    return CodeTables(meant, readings, frozenset(taken))


def are_codes(rows: Sequence[Sequence[Cell]], heads: Sequence[Head], joints: Sequence[Sequence[Cell]]) -> bool:
    """Whether `rows` under headings of their own begin with codes of a column of the `joints` above them: they explain
    these codes and are no joints, whatever their headings say. Each stands once there, and several times above.

    >>> heads = [Head(0, "Joint No."), Head(1, "Bolt code")]
    >>> joints = [["J-1", "B-2"], ["J-2", "B-1"], ["J-3", "B-1"]]
    >>> are_codes([["B-1", 12], ["B-2", 8]], heads, joints), are_codes([["J-1", 12], ["J-2", 8]], heads, joints)
    (True, False)
    """
    begins = [plain_text(row[at]).casefold() for row in rows if (at := _first(row)) is not None]
    if len(begins) < _LEAST or len(set(begins)) < len(begins):
        return False
    key = next((head.at for head in heads if "joint" in names([head])), None)
    for head in heads:
        if head.at == key or names([head]) & {"equipment", "line", "plant_area"}:
            continue
        texts = [text for row in joints if head.at < len(row) and (text := plain_text(row[head.at]).casefold())]
        used = {text for text in texts if _CODE.fullmatch(text) and not threads_known(text.upper())} & set(begins)
        if (
            len(used) >= _LEAST
            and len(set(texts)) < len(texts)
            and 2 * sum(text in used for text in texts) >= len(texts)
        ):
            return True
    return False


def _runs(below: Mapping[int, Sequence[Cell]], codes: set[str]) -> list[tuple[list[int], int]]:
    """Runs of rows below the list that begin with a code, with the place of the code, longest first."""
    runs: list[tuple[list[int], int]] = []
    numbers = sorted(below)[:_MOST]
    k = 0
    while k < len(numbers):
        at = _first(below[numbers[k]])
        if at is None or plain_text(below[numbers[k]][at]).casefold() not in codes:
            k += 1
            continue
        start, run = k, []
        while start > 0 and _may_be_code(below[numbers[start - 1]], at) and numbers[start - 1] + 1 == numbers[start]:
            start -= 1  # a code that no row of the list uses
        while start < len(numbers) and _may_be_code(below[numbers[start]], at):
            run.append(numbers[start])
            start += 1
        if sum(plain_text(below[n][at]).casefold() in codes for n in run) >= _LEAST:
            runs.append((run, at))
        k = max(start, k + 1)
    return sorted(runs, key=lambda run: -len(run[0]))


def _first(row: Sequence[Cell]) -> int | None:
    return next((k for k, cell in enumerate(row) if not is_blank(cell)), None)


def _may_be_code(row: Sequence[Cell], at: int) -> bool:
    if _first(row) != at or not _CODE.fullmatch(plain_text(row[at]).casefold()):
        return False
    return any(not text_of(cell) for cell in row[at + 1 :] if not is_blank(cell))  # a figure stands with it


def _table(
    head: Head, rows: Sequence[int], key: int, below: Mapping[int, Sequence[Cell]], notes: Notes
) -> tuple[dict[str, dict[str, str]], ColumnReading, int] | None:
    """What the codes of a run stand for, how their column is read, and the row of names above the run."""
    names = below.get(rows[0] - 1, ())
    wide = max(len(below[n]) for n in rows)
    heads = []
    for k in range(key + 1, wide):
        text = text_of(names[k]) if k < len(names) else ""
        if text and unit_of(text) is not None:
            text = f"{head.text} ({text})"
        if text:
            heads.append(Head(k, text))
    if not heads:
        return None
    cells = [[*below[n], *([None] * (wide - len(below[n])))] for n in rows]
    found = [
        r for r in understand(heads, cells, notes) if r.state in (SURE, PROPOSED) and r.field not in (None, *_ALONE)
    ]
    if not found:
        return None
    known = {
        plain_text(row[key]).casefold(): {
            str(r.field): _with_unit(row[r.at], r.unit) for r in found if not is_blank(row[r.at])
        }
        for row in cells
    }
    fields = [str(r.field) for r in found]
    first = next((name for name in ("thread", "torque", "load", "stress") if name in fields), fields[0])
    state = SURE if all(r.state == SURE for r in found) else PROPOSED
    why = f"its codes stand in the table in rows {rows[0]} to {rows[-1]}"
    also = tuple(name for name in fields if name != first)
    made = ColumnReading(head.at, head.shown, first, None, state, (first,), why, also)
    return known, made, rows[0] - 1


def _with_unit(cell: Cell, unit: str | None) -> str:
    text = plain_fractions(plain_text(cell))
    return f"{text} {unit}" if unit and unit != "%" and re.fullmatch(r"[\d.,]+", text) else text


def under_codes(readings: Sequence[ColumnReading], tables: CodeTables) -> tuple[ColumnReading, ...]:
    """The readings, with those of columns of codes: their fields are those of the table that no other column has."""
    held = {r.field for r in readings if r.state in (SURE, PROPOSED) and r.at not in tables.readings}
    out = []
    for reading in readings:
        told = tables.readings.get(reading.at)
        names = [name for name in (told.field, *told.also) if name not in held] if told else []
        if told is None or not names:
            out.append(reading)
            continue
        held |= set(names)
        out.append(
            replace(
                told,
                field=names[0],
                candidates=(str(names[0]),),
                also=tuple(map(str, names[1:])),
                values=reading.values,
            )
        )
    return tuple(out)
