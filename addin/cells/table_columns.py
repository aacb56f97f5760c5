"""Which column of a calibration table holds the pressure and which the torque: taken where it is plain, else asked.

Columns that differ in how they were taken (up and down, as found and as left, nominal and measured, runs, wrenches,
links) are asked about, each with its own sentence, and never averaged. The answer names the column that holds.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from addin.cells.numbers import is_blank, split_number
from addin.cells.table_layout import Layout, TableColumn
from addin.cells.table_words import KINDS, plain, way_taken
from calc.findings import CAUTION, NOTE, Finding, InputError, stop
from calc.units import kinds_of, symbol

ALONE = ("as left", "measured", "up", "mean")
"""Ways in which a torque that stands alone may have been taken: it is what holds now."""
_YEAR = re.compile(r"\b(?:19|20)\d\d\b")
_MASS = {"kg": ("kgf·m", "kgf·cm"), "kgs": ("kgf·m", "kgf·cm"), "lb": ("lbf·ft", "lbf·in"), "lbs": ("lbf·ft", "lbf·in")}
ALONE_PRESSURE = (*ALONE, "nominal", "run")


@dataclass
class Chosen:
    """The columns that hold: by kind the first, then the same in other units; and what was found on the way."""

    by_kind: dict[str, list[TableColumn]]
    findings: list[Finding] = field(default_factory=list)


def choose(layout: Layout, holds: Mapping[str, str]) -> Chosen:
    """The columns of pressure and torque. `holds` names a column by kind, by its heading or its letter.

    Raises InputError: `table_headings`, `table_ask_...`, `table_column_unknown`, `heading_unit`, `unit_missing`.
    """
    found: list[Finding] = []
    by_kind: dict[str, list[TableColumn]] = {}
    for kind in KINDS:
        named = _named(layout, kind, holds[kind]) if holds.get(kind) else None
        by_kind[kind] = [named] if named else _of_kind(layout, kind)
    for kind in KINDS:
        if not by_kind[kind]:
            raise stop("table_headings", "table", headings=tuple(column.text for column in layout.columns))
    taken = {column.at for columns in by_kind.values() for column in columns}
    for column in layout.columns:
        if column.at not in taken:
            found.append(_left_out(layout, column))
        elif column.meaning.taken:
            facts = {"heading": column.text, "way": column.meaning.taken[0], "at": layout.place(layout.head, column.at)}
            found.append(Finding("table_way", "table", facts, NOTE))
    _ask_above(layout, found, asked=not any(holds.get(kind) for kind in KINDS))
    return Chosen(by_kind, found)


def _named(layout: Layout, kind: str, text: str) -> TableColumn:
    """The column that an answer names."""
    wanted = " ".join(text.split()).casefold()
    same = [column for column in layout.columns if column.text.casefold() == wanted]
    same = same or [c for c in layout.columns if c.meaning.heading.words == wanted]
    if not same and wanted.removeprefix("column ").isalpha() and len(wanted.removeprefix("column ")) <= 2:
        number = 0
        for letter in wanted.removeprefix("column "):
            number = number * 26 + ord(letter) - 96
        same = [column for column in layout.columns if column.at == number - 1 - layout.left]
    if len(same) != 1:
        facts = {"text": text, "known": tuple(column.text for column in layout.columns), "kind": kind}
        raise stop("table_column_unknown", "table", **facts)
    unit = same[0].unit
    if unit and kind not in kinds_of(unit):
        raise stop("table_column_kind", "table", text=text, kind=kind)
    return same[0]


def _of_kind(layout: Layout, kind: str) -> list[TableColumn]:
    mine = [column for column in layout.columns if column.meaning.kind == kind and not column.meaning.other]
    for column in mine:
        heading = column.meaning.heading
        if plain(heading.bracket) in _MASS and kind == "torque":
            which = _MASS[plain(heading.bracket)]
            place = layout.place(layout.head, column.at)
            raise stop("table_unit_of_mass", "table", heading=heading.text, unit=heading.bracket, known=which, at=place)
        if (heading.doubled or heading.bracket) and not column.meaning.taken:
            raise stop("heading_unit", "table", heading=heading.text, at=layout.place(layout.head, column.at))
    if unclear := [column for column in mine if column.meaning.unknown]:
        _ask_unclear(layout, kind, unclear, mine)
    results = [column for column in mine if column.meaning.result]
    if len(results) == 1:
        return results
    clear = [column for column in mine if column.meaning.clear]
    if any(column.meaning.named and _unit_of(column) for column in clear):  # "Gauge" beside "Pressure (bar)": which one
        clear = [column for column in clear if column.meaning.named or column.unit]
    ways = [column for column in mine if column.meaning.taken and not column.meaning.excluded]
    units = [_unit_of(column) for column in clear]
    if ways and (clear or len(ways) > 1) and not _one_in_units(clear, ways):
        _ask_ways(layout, kind, clear, ways)
    if len(set(units)) < len(units):
        _ask(layout, "table_ask_twice", kind, clear)
    if clear:
        return clear
    if ways:
        alone = ALONE if kind == "torque" else ALONE_PRESSURE
        if not set(ways[0].meaning.taken) <= set(alone):
            _ask(layout, "table_ask_alone", kind, ways, way=ways[0].meaning.taken[0])
        return ways
    if mine and {column.meaning.excluded for column in mine} == {"lowest or highest value"} and len(mine) > 1:
        _ask(layout, "table_ask_min_max", kind, mine)
    if len(mine) > 1 and {column.meaning.excluded for column in mine} == {"return or retract value"}:
        _ask(layout, "table_ask_strokes", kind, mine)
    if mine:
        _ask(layout, "table_ask_not_curve", kind, mine, what=mine[0].meaning.excluded)
    return []


def _unit_of(column: TableColumn) -> str:
    kind = column.meaning.kind
    return symbol(kind, column.unit) if column.unit and kind in kinds_of(column.unit) else ""


def _one_in_units(clear: Sequence[TableColumn], ways: Sequence[TableColumn]) -> bool:
    """Whether columns are the same readings in several units: "Measured torque (Nm)", "Measured torque (ft-lb)"."""
    if clear:
        return False
    units = [_unit_of(column) for column in ways]
    return len({column.meaning.taken for column in ways}) == 1 and len(set(units)) == len(units) and "" not in units


def _ask(layout: Layout, code: str, kind: str, columns: Sequence[TableColumn], **facts: object) -> None:
    texts = tuple(column.text for column in columns)
    at = layout.place(layout.head, columns[0].at)
    raise stop(code, "table", headings=texts, kind=kind, at=at, **facts)


def _ask_ways(layout: Layout, kind: str, clear: Sequence[TableColumn], ways: Sequence[TableColumn]) -> None:
    """The question that fits the ways in which the columns of one kind were taken."""
    said = {way for column in ways for way in column.meaning.taken}
    columns = sorted([*clear, *ways], key=lambda column: column.at)
    if "link" in said:
        _ask(layout, "table_ask_links", kind, columns)
    if "mean" in said:
        mean = next(column for column in ways if "mean" in column.meaning.taken)
        _ask(layout, "table_ask_mean", kind, columns, mean=mean.text)
    if "run" in said and sum(bool(_YEAR.search(column.text)) for column in columns) > 1:
        _ask(layout, "table_ask_years", kind, columns)
    if "run" in said or (clear and said == {"run"}):
        _ask(layout, "table_ask_runs", kind, columns)
    if said & {"as found", "as left"}:
        _ask(layout, "table_ask_found", kind, columns)
    if said & {"up", "down"}:
        _ask(layout, "table_ask_up_down", kind, columns)
    if said & {"nominal", "measured"}:
        _ask(layout, "table_ask_nominal", kind, columns)
    _ask(layout, "table_ask_twice", kind, columns)


def _ask_unclear(layout: Layout, kind: str, unclear: Sequence[TableColumn], mine: Sequence[TableColumn]) -> None:
    if any("link" in column.meaning.taken for column in unclear):
        _ask(layout, "table_ask_links", kind, mine)
    stems = {re.sub(r"\W*\b(?:[a-z]|\d+|[ivx]+)$", "", column.meaning.heading.words) for column in mine}
    if (
        len(mine) > 1
        and len(stems) == 1
        and mine[0].meaning.taken
        and len({column.meaning.heading.words for column in mine}) == len(mine)
    ):
        _ask(layout, "table_ask_alike", kind, mine)
    several = [column for column in unclear if any(any(c.isdigit() for c in word) for word in column.meaning.unknown)]
    if len(several) > 1:
        _ask(layout, "table_ask_wrenches", kind, mine)
    _ask(layout, "table_ask_unclear", kind, unclear, words=" ".join(unclear[0].meaning.unknown))


# --- what is not taken ----------------------------------------------------------------------------------------------


def _left_out(layout: Layout, column: TableColumn) -> Finding:
    """Say what a column is that holds no part of the curve."""
    facts: dict[str, object] = {"heading": column.text, "at": layout.place(layout.head, column.at)}
    what = column.meaning
    if what.other or what.excluded or what.taken or what.kind:
        facts["what"] = what.other or what.excluded or "not the column that holds"
        return Finding("table_column_other", "table", facts, NOTE)
    return Finding("table_column_ignored", "table", facts, CAUTION)


def ask_tracking(layout: Layout, columns: Mapping[str, Sequence[TableColumn]], rows: Sequence[int]) -> None:
    """Refuse a column of numbers that nothing names and that goes with the torque: it may be another reading of it."""
    taken = {column.at for group in columns.values() for column in group}
    known = {c.at for c in layout.columns if c.meaning.other or c.meaning.excluded or c.meaning.kind or c.meaning.taken}
    torque = [_plain(layout.cells[row][columns["torque"][0].at]) for row in rows]
    for at in range(len(layout.cells[layout.head])):
        if at in taken | known:
            continue
        values = [_plain(layout.cells[row][at]) for row in rows]
        text = next((column.text for column in layout.columns if column.at == at), "")
        if _tracks(values, torque):
            facts = {"heading": text or "no heading", "at": layout.place(rows[0], at)}
            raise stop("table_ask_tracks", "table", **facts)
        if not text and any(value is not None for value in values):
            row = next(row for row, value in zip(rows, values, strict=True) if value is not None)
            raise stop("table_unheaded", "table", at=layout.place(row, at))


def _plain(cell: object) -> float | None:
    if isinstance(cell, bool) or is_blank(cell):
        return None
    if isinstance(cell, (int, float)):
        return float(cell)
    parts = split_number(str(cell))
    try:
        return float(parts[0].replace(",", "")) if parts else None
    except ValueError:
        return None


def _tracks(values: Sequence[float | None], torque: Sequence[float | None]) -> bool:
    """Whether numbers rise in proportion to the torque, in whatever unit."""
    pairs = [(v, t) for v, t in zip(values, torque, strict=True) if v is not None and t]
    if len(pairs) < 3 or any(v <= 0 for v, _ in pairs):
        return False
    ratios = [v / t for v, t in pairs]
    return max(ratios) < 1.25 * min(ratios)


def _ask_above(layout: Layout, found: list[Finding], *, asked: bool) -> None:
    """What stands over the table and says how all of it was taken."""
    said = [(row, column, text, ways) for row, column, text in layout.above if (ways := way_taken(text))]
    below = [(row, c, str(cell), way_taken(str(cell))) for row in range(layout.first, len(layout.cells))
             for c, cell in enumerate(layout.cells[row]) if isinstance(cell, str)]  # fmt: skip
    if said:
        said += [entry for entry in below if entry[3]]
    texts = tuple(text for *_, text, _ in said)
    if asked and len({ways for *_, ways in said}) > 1:
        row, column, *_ = said[0]
        raise stop("table_ask_found", "table", headings=texts, kind="torque", at=layout.place(row, column))
    for row, column, text, ways in said:
        if {"as found", "as left"} <= set(ways):
            continue
        facts = {"headings": (text,), "way": ways[0], "kind": "torque", "at": layout.place(row, column)}
        if set(ways) <= set(ALONE):
            found.append(Finding("table_way", "table", {**facts, "heading": text}, NOTE))
        elif asked:
            raise InputError(Finding("table_ask_alone", "table", facts))
