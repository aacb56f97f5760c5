"""The numbers of a calibration table: rows that hold points, texts with separators, which the column decides."""

import re
from collections.abc import Mapping, Sequence

import numpy as np

from addin.cells.numbers import Cell, is_blank, plain_text, read_number, split_number, stands_for_nothing
from addin.cells.table_columns import ask_tracking
from addin.cells.table_layout import Layout, TableColumn
from addin.cells.table_words import KINDS, plain, way_taken
from calc.findings import CAUTION, NOTE, STOP, Finding, InputError, stop
from calc.quantities import QUANTITIES
from calc.units import factor, kinds_of, symbol
from calc.wrench.slips import printed_step

QUANTITY = {"pressure": "pump_pressure", "torque": "torque"}
_NOT_TAKEN = frozenset(("-", "–", "—", "--", "n/a", "na", "n.a."))
_MARK = re.compile(r"^\s*(\d[\d.,'’ ]*?)\s*([*†‡§#]+|\(\d\)|[¹²³]|[a-c]\))\s*$")
_NOT_SEEN = re.compile(
    r"extrapol|interpol|calcul|estimat|berechn|geschatz|theor|not measured|nominal|indicative|for reference"
)


def rows_of_points(layout: Layout, columns: Mapping[str, Sequence[TableColumn]]) -> tuple[list[int], list[Finding]]:
    """The rows that hold points, and notes on those that are left out.

    Raises InputError: `table_gap`, `table_after_gap`, `table_blocks_below`, `table_ask_alone`.
    """
    at = [column.at for kind in KINDS for column in columns[kind]]
    first = {kind: columns[kind][0].at for kind in KINDS}
    rows: list[int] = []
    found: list[Finding] = []
    empty, apart = False, _apart(layout, first)
    if apart:
        found.append(Finding("table_rows_apart", "table", {"at": layout.place(layout.first, at[0])}, NOTE))
    for row in range(layout.first, len(layout.cells)):
        cells = layout.cells[row]
        if all(is_blank(cell) for cell in cells):
            empty = bool(rows) and not apart
            continue
        if _again(layout, row, at):
            if rows and not _goes_on(layout, first, rows[-1], row):
                raise _second_table(layout, row, at[0])
            found.append(_note("table_heading_again", layout, row, at[0]))
            empty = False
            continue
        blank = {kind: stands_for_nothing(cells[c]) or _is_words(cells[c]) for kind, c in first.items()}
        if all(blank.values()):
            text = " ".join(plain_text(cell) for cell in cells if isinstance(cell, str) and not is_blank(cell))
            if set(KINDS) <= {kind for kind in KINDS if kind in text.lower()} and _headings_in(cells):
                raise _second_table(layout, row, at[0])
            if (ways := way_taken(text)) and rows:
                facts = {"headings": (text,), "way": ways[0], "kind": "torque", "at": layout.place(row, at[0])}
                raise InputError(Finding("table_ask_among", "table", facts))
            if any(_is_number(cell) for cell in cells) and not text:
                found.append(_note("table_row_left", layout, row, at[0], CAUTION, text="numbers"))
            else:
                found.append(_note("table_row_left", layout, row, at[0], text=text[:60]))
            continue
        if empty:
            raise stop("table_after_gap", "table", at=layout.place(row, at[0]))
        if all(not blank[kind] and _zero(cells[first[kind]]) for kind in KINDS):
            found.append(_note("table_zero_row", layout, row, at[0]))
            continue
        if _zero(cells[first["pressure"]]) and _rest(layout, first["torque"], row):
            found.append(_note("table_rest", layout, row, at[0]))
            continue
        if not is_blank(cells[first["torque"]]) and plain_text(cells[first["torque"]]).lower() in _NOT_TAKEN:
            found.append(_note("table_not_measured", layout, row, first["torque"]))
            continue
        for c in at:
            if stands_for_nothing(cells[c]):
                heading = next(column.text for kind in KINDS for column in columns[kind] if column.at == c)
                place = layout.place(row, c)
                raise stop("table_gap", "table", heading=heading, number=layout.number(row), at=place)
        rows.append(row)
    ask_tracking(layout, columns, rows)
    return rows, found


def _second_table(layout: Layout, row: int, column: int) -> InputError:
    """The refusal of a table that begins below, with what stands over each of the two."""
    texts = [c for c in layout.cells[row - 1] if isinstance(c, str) and not is_blank(c)]
    here = " ".join(map(plain_text, texts))
    over = next((text for above, _, text in reversed(layout.above) if above < layout.head), "")
    titles = (over[:40], here[:40]) if over and here and over != here else ()
    return stop("table_blocks_below", "table", titles=titles, at=layout.place(row, column))


def _apart(layout: Layout, first: Mapping[str, int]) -> bool:
    """Whether an empty row stands after every row of numbers but the last, so that the gaps are the layout."""
    numbers = [row for row in range(layout.first, len(layout.cells)) if _numbers(layout, first, row)]
    gaps = [b - a for a, b in zip(numbers, numbers[1:], strict=False)]
    if len(gaps) < 2 or min(gaps) < 2:
        return False
    between = (row for a, b in zip(numbers, numbers[1:], strict=False) for row in range(a + 1, b))
    return all(is_blank(cell) for row in between for cell in layout.cells[row])


def _goes_on(layout: Layout, first: Mapping[str, int], last: int, row: int) -> bool:
    """Whether the next numbers below repeated headings lie on the side of the last ones to which the table goes."""
    below = [r for r in range(row + 1, len(layout.cells)) if _numbers(layout, first, r)]
    above = [r for r in range(layout.first, last + 1) if _numbers(layout, first, r)]
    if not below or len(above) < 2:
        return True
    start, before, after = (_numbers(layout, first, r) for r in (above[0], above[-1], below[0]))
    return all((b - a) * (c - b) > 0 for a, b, c in zip(start, before, after, strict=True))


def _numbers(layout: Layout, first: Mapping[str, int], row: int) -> list[float]:
    """Pressure and torque of a row as far as they are plain numbers, [] where one is not."""
    cells = [layout.cells[row][at] for at in first.values()]
    texts = [_digits(cell).replace(",", "") if isinstance(cell, str) else cell for cell in cells]
    try:
        return [float(text) for text in texts]
    except (TypeError, ValueError):
        return []


def _note(code: str, layout: Layout, row: int, at: int, level: str = NOTE, **facts: object) -> Finding:
    place = layout.place(row, at)
    return Finding(code, "table", {"number": layout.number(row), "at": place, **facts}, level, layout.number(row) - 1)


def _again(layout: Layout, row: int, at: Sequence[int]) -> bool:
    """Whether a row repeats the headings or the units, as on a second page."""
    cells = layout.cells[row]
    for head in range(layout.head, layout.first):
        above = layout.cells[head]
        texts = [plain_text(cells[c]).casefold() for c in at if isinstance(cells[c], str)]
        if texts and texts == [plain_text(above[c]).casefold() for c in at] and all(texts):
            return True
    return False


def _headings_in(cells: Sequence[Cell]) -> bool:
    return sum(isinstance(cell, str) and not is_blank(cell) for cell in cells) > 1


def _is_words(cell: Cell) -> bool:
    """Whether a cell is text that does not begin with a number."""
    return isinstance(cell, str) and not is_blank(cell) and not re.match(r"\s*[+-]?[.,]?\d", cell) and cell[0] != "#"


def _is_number(cell: Cell) -> bool:
    return isinstance(cell, (int, float)) and not isinstance(cell, bool)


REST = 0.02
"""Torque that a transducer may still show without pressure, as a share of the highest. Judgement, no source."""


def _rest(layout: Layout, column: int, row: int) -> bool:
    """Whether a torque is so small against the column's highest that it is a rest without pressure."""
    values = {r: abs(n[0]) for r in range(layout.first, len(layout.cells)) if (n := _numbers(layout, {"": column}, r))}
    return row in values and values[row] <= REST * max(values.values())


_RETURN = re.compile(r"\s*\([a-z ]+\)\s*$", re.IGNORECASE)


def _zero(cell: Cell) -> bool:
    if isinstance(cell, bool):
        return False
    text = _RETURN.sub("", cell) if isinstance(cell, str) else ""
    parts = split_number(text) if isinstance(cell, str) else (str(cell), None)
    return parts is not None and bool(re.fullmatch(r"[+-]?0+(?:[.,]0+)?", parts[0]))


# --- numbers --------------------------------------------------------------------------------------------------------


def read_columns(
    layout: Layout, columns: Mapping[str, Sequence[TableColumn]], rows: Sequence[int]
) -> tuple[dict[int, list[float]], dict[int, str], dict[int, float], list[Finding]]:
    """By column: numbers in SI, the unit, and the printed step in SI; and what was found.

    Raises InputError as `numbers.read_number` does, with the place among its facts.
    """
    values: dict[int, list[float]] = {}
    units: dict[int, str] = {}
    steps: dict[int, float] = {}
    found: list[Finding] = []
    found += _one_unit(layout, columns, rows)
    commas = _comma_styles(layout, columns, rows)
    for kind in KINDS:
        for column in columns[kind]:
            unit = column.unit if column.unit and kind in kinds_of(column.unit) else None
            own, bare = _own_units(layout, column, rows, kind)
            if unit is None and own and bare:
                row = bare[0]
                facts = {"text": column.text, "count": len(bare), "rows": len(rows), "kind": kind}
                raise stop(
                    "table_units_some", "table", **facts, number=layout.number(row), at=layout.place(row, column.at)
                )
            if unit is None and len(own) == 1:
                unit = next(iter(own))
            if unit is None and not own:
                at = layout.place(layout.head, column.at)
                raise stop("unit_missing", "table", text=column.text, kind=kind, at=at)
            style = _style(layout, column, rows, kind, unit, commas, found)
            values[column.at] = [_number(layout, column, row, kind, unit, style, found) for row in rows]
            units[column.at] = symbol(kind, unit or next(iter(own)))
            scale = factor(kind, units[column.at])
            printed = [round(value / scale, 6) for value in values[column.at]]
            steps[column.at] = printed_step(printed) * scale if printed else 0.0
    return values, units, steps, found


_TWO = re.compile(r"^\s*(\d[^(/=]*?[^\s\d(/=][^(=]*?)\s*[(/=]\s*(\d[^()]*?)\s*\)?\s*$")


def _one_unit(layout: Layout, columns: Mapping[str, Sequence[TableColumn]], rows: Sequence[int]) -> list[Finding]:
    """Leave the first of two units in a cell, "10 MPa (1,450 psi)", where both say the same within half a per cent.

    Raises InputError `table_cell_disagrees` where they do not.
    """
    found: list[Finding] = []
    for kind in KINDS:
        for column in columns[kind]:
            for row in rows:
                cell = layout.cells[row][column.at]
                match = _TWO.match(cell) if isinstance(cell, str) else None
                if not match or any(kind not in kinds_of(unit) for unit in map(_unit_in, match.groups())):
                    continue
                at = layout.place(row, column.at)
                one, other = (
                    read_number(text, QUANTITY[kind], None, kind=kind, ranged=False) for text in match.groups()
                )
                if abs(one - other) > TWO_UNITS * other:
                    raise stop("table_cell_disagrees", "table", text=plain_text(cell), number=layout.number(row), at=at)
                layout.cells[row][column.at] = match[1]
                if not found:
                    found = [Finding("table_two_units", "table", {"text": plain_text(cell), "at": at}, NOTE)]
    return found


def _unit_in(text: str) -> str:
    parts = split_number(text)
    return (parts and parts[1]) or ""


TWO_UNITS = 0.005
"""What rounding may leave between two units of one cell. Judgement, no source."""


def _own_units(
    layout: Layout, column: TableColumn, rows: Sequence[int], kind: str
) -> tuple[set[str], list[int]]:  # fmt: skip
    """Units that stand in the cells of a column, and the rows whose cell is a number without one."""
    found, bare = set(), []
    for row in rows:
        cell = layout.cells[row][column.at]
        parts = split_number(cell) if isinstance(cell, str) else None
        if parts and parts[1] and kind in kinds_of(parts[1]):
            found.add(symbol(kind, parts[1]))
        elif isinstance(cell, (int, float)) or (parts and not parts[1]):
            bare.append(row)
    return found, bare


def _number(
    layout: Layout, column: TableColumn, row: int, kind: str, unit: str | None, style: str, found: list[Finding]
) -> float:
    cell = layout.cells[row][column.at]
    if isinstance(cell, str) and (mark := _MARK.match(cell)):
        footnote = _footnote(layout, mark[2])
        facts = {"text": plain_text(cell), "number": layout.number(row), "at": layout.place(row, column.at)}
        if not footnote or _NOT_SEEN.search(plain(footnote)):
            raise stop("table_marked", "table", **facts)
        found.append(Finding("table_marked_read", "table", {**facts, "footnote": footnote}, CAUTION,
                             layout.number(row) - 1))  # fmt: skip
        cell = mark[1].strip()
    if isinstance(cell, str) and style:
        parts = split_number(cell)
        if parts:
            cell = _in_style(parts[0], style) + (f" {parts[1]}" if parts[1] else "")
    try:
        value = read_number(cell, QUANTITY[kind], unit, kind=kind, ranged=False)
        if kind == "torque" or row > layout.first or value > QUANTITIES[QUANTITY[kind]].high:  # the first may be low
            value = read_number(cell, QUANTITY[kind], unit, kind=kind)
        return value
    except InputError as error:
        f = error.finding
        place = f"table row {layout.number(row)}, '{column.text}'"
        raise stop(f.code, f.quantity, **f.facts, place=place, at=layout.place(row, column.at)) from None


def _footnote(layout: Layout, mark: str) -> str:
    """The text that a mark stands before, "" where there is none."""
    for cells in layout.cells:
        for cell in cells:
            if isinstance(cell, str) and cell.strip().startswith(mark) and len(cell.strip()) > len(mark) + 2:
                return plain_text(cell.strip().removeprefix(mark))[:80]
    return ""


# --- decimal commas -------------------------------------------------------------------------------------------------

_LONE = re.compile(r"[1-9]\d{0,2}([.,])\d{3}")


def _comma_styles(layout: Layout, columns: Mapping[str, Sequence[TableColumn]], rows: Sequence[int]) -> set[str]:
    """How numbers are written, as far as the whole table shows it: the decimal marks that some number proves."""
    found = set()
    for kind in KINDS:
        for column in columns[kind]:
            for row in rows:
                text = _digits(layout.cells[row][column.at])
                if not text or _LONE.fullmatch(text):
                    continue
                if "," in text and "." in text:
                    found.add("," if text.rfind(",") > text.rfind(".") else ".")
                elif text.count(",") > 1 or text.count(".") > 1:
                    found.add("." if "," in text else ",")
                elif "," in text or "." in text:
                    found.add("," if "," in text else ".")
    return found


def _digits(cell: Cell) -> str:
    parts = split_number(cell) if isinstance(cell, str) else None
    return re.sub(r"[\s'’]", "", parts[0]) if parts else ""


def _style(
    layout: Layout, column: TableColumn, rows: Sequence[int], kind: str, unit: str | None, proved: set[str],
    found: list[Finding],
) -> str:  # fmt: skip
    """The decimal mark by which the texts of a column are read, "" where no text leaves a choice.

    Both readings of "1,250" are tried: only the one with which the whole column rises within its range is taken.
    """
    texts = [_digits(layout.cells[row][column.at]) for row in rows]
    lone = [text for text in texts if text and (match := _LONE.fullmatch(text)) and match[1] in ",."]
    if not lone:
        return ""
    fits = []
    for mark in ",.":
        numbers = []
        for row, text in zip(rows, texts, strict=True):
            cell = layout.cells[row][column.at]
            try:
                numbers.append(float(_in_style(text, mark)) if text else float(cell))
            except (TypeError, ValueError):
                break
        else:
            if _possible(numbers, kind, unit):
                fits.append(mark)
    if len(proved) == 1 and proved <= set(fits):
        fits = list(proved)
    elif all("." in text for text in lone):
        fits = []  # texts like 1.150 and nothing else: a point is a decimal point to most readers, so a person must say
    if len(fits) != 1:
        row = next(row for row, text in zip(rows, texts, strict=True) if text in lone)
        at = layout.place(row, column.at)
        place = f"table row {layout.number(row)}, '{column.text}'"
        text = plain_text(layout.cells[row][column.at])
        ways = tuple(f"{float(_in_style(_digits(text), mark)):g}" for mark in ",.")
        raise stop("number_ambiguous", QUANTITY[kind], text=text, ways=ways, place=place, at=at)
    facts = {"heading": column.text, "text": lone[0], "value": float(_in_style(lone[0], fits[0]))}
    found.append(Finding("table_comma", "table", {**facts, "at": layout.place(layout.head, column.at)}, NOTE))
    return fits[0]


def _in_style(text: str, mark: str) -> str:
    other = "." if mark == "," else ","
    plain = re.sub(r"[\s'’]", "", text)
    if other in plain and not re.fullmatch(rf"[+-]?\d{{1,3}}(?:\{other}\d{{3}})+(?:\{mark}\d+)?", plain):
        return text  # grouped as no number is: left to the reader of single numbers
    return plain.replace(other, "").replace(mark, ".")


def _possible(numbers: Sequence[float], kind: str, unit: str | None) -> bool:
    """Whether a column could be these numbers: rising or falling all the way by no leap, and within the range."""
    steps = np.diff(numbers)
    if not (np.all(steps > 0) or np.all(steps < 0)) or min(numbers) <= 0:
        return False
    if len(numbers) > 2 and np.max(np.abs(steps)) > 50 * np.min(np.abs(steps)):
        return False
    quantity = QUANTITIES[QUANTITY[kind]]
    scale = factor(kind, unit) if unit else 1.0
    return unit is None or quantity.low <= max(numbers) * scale <= quantity.high


def agree(
    layout: Layout, columns: Mapping[str, Sequence[TableColumn]], values: Mapping[int, Sequence[float]],
    steps: Mapping[int, float], rows: Sequence[int],
) -> list[Finding]:  # fmt: skip
    """Rows in which two columns of one quantity differ by more than half a printed step of both."""
    found = []
    for kind in KINDS:
        one, *others = columns[kind]
        a = np.array(values[one.at])
        for other in others:
            b = np.array(values[other.at])
            allowed = 0.5 * (_fine(steps[one.at], a) + _fine(steps[other.at], b)) * 1.02 + 1.5e-3 * a
            for i in np.flatnonzero(np.abs(b - a) > allowed).tolist():
                facts = {"heading": other.text, "other": one.text, "share": float(b[i] / a[i] - 1),
                         "at": layout.place(rows[i], other.at)}  # fmt: skip
                found.append(Finding("table_columns_disagree", "table", facts, STOP, layout.number(rows[i]) - 1))
    return found


def _fine(step: float, values: np.ndarray) -> float:
    """A printed step, 0 where it is a round setting rather than a rounding."""
    return step if step <= 0.03 * float(np.max(values)) else 0.0
