"""The one door between cells and calculation: cells -> arguments in SI, results or faults -> what the cells show.

Every host calls `answer(function, values)`. A single-value argument may be a column or a block: shapes match or are
single cells, and the result has that shape with a STOP per element.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Any

import numpy as np

from addin.cells.dates import read_day
from addin.cells.numbers import Cell, is_blank, odd_form, plain_text, read_number, refuse_kind, typed_number, used_rows
from addin.cells.texts import STOP, is_stop, read_thread, read_words
from addin.cells.words import stop_text
from addin.functions.steps import heard_by_someone, note_arguments
from calc.findings import Finding, InputError, stop
from calc.hardware import threads
from calc.quantities import QUANTITIES, short
from calc.units import System, from_si, system

MOST_ROWS = 200_000

REQUIRED = object()


@dataclass(frozen=True)
class Arg:
    """An argument: its name, kind, one sentence of help, and its default if it may be left out.

    Kinds. A quantity of `calc.quantities` (a number with that range), "thread", "words" (a text that picks something),
    "date", "value" (a plain number of any sign): these may be columns. "units", "table", "block" (cells as they are),
    "rows" (the same, looked at row by row: a STOP stays with its row): once per call.
    """

    name: str
    kind: str
    help: str
    default: Any = REQUIRED


@dataclass(frozen=True)
class Function:
    """A worksheet function: name, help, arguments, kind of the result, and the calculation.

    `result` is a kind of unit ("torque": SI, shown in the user's unit), "as typed" (already a user's number) or
    "spill" (rows of `Num`, text and plain numbers). `call` takes the arguments by name; lifted ones are arrays.
    """

    name: str
    help: str
    args: tuple[Arg, ...]
    result: str
    call: Callable[..., Any]
    source: str

    @property
    def spills(self) -> bool:
        """Whether it answers with a table of cells."""
        return self.result == "spill"


@dataclass(frozen=True)
class Num:
    """A number in SI within a spill, with its kind of unit."""

    value: float
    kind: str


@dataclass(frozen=True)
class Rows:
    """A column of results of which some elements are refused: element -> finding."""

    values: Any
    faults: dict[int, Finding]


_WHOLE = ("units", "table", "block", "rows")
_MOST_UNITS = 100
_known_units: dict[str, System] = {}
"""Systems of units by what stands in the cells that named them."""
_SEVERAL = (list, tuple, np.ndarray)
_GROUPED = ("words", "graduation", "tolerance", "link_factor")
"""Kinds by which the elements of a column are grouped: each group is one call with that one value."""


def block(value: Any) -> list[list[Cell]]:
    """A value as rows of cells: a range, a row, a column or a single cell."""
    if isinstance(value, np.ndarray):
        value = value.tolist()
    if isinstance(value, (list, tuple)):
        rows = [list(row) if isinstance(row, (list, tuple)) else [row] for row in value]
        wide = max(map(len, rows), default=0) or 1
        return [row + [None] * (wide - len(row)) for row in rows] or [[None]]
    return [[value]]


def answer(function: Function, values: Sequence[Any]) -> Any:
    """What the cell shows: a number, a text that begins with STOP, or rows of them. Never raises, never NaN."""
    shown = _short_way(function, values)
    if shown is not None:
        return shown
    units = None
    try:
        given = dict(zip((arg.name for arg in function.args), map(block, values), strict=False))
        travelling = _stop_in(function, given)
        if travelling:
            return travelling
        units = _units(function, given)
        return _spill(function, given, units) if function.spills else _lift(function, given, units)
    except InputError as error:
        return _refuse(error, units)
    except Exception as error:  # the only broad one: a bug must not become a number or a traceback in a cell
        return _refuse(_internal(error), units)


def _short_way(function: Function, values: Sequence[Any]) -> float | None:
    """The number for one joint: each argument one cell, units and tables already known.

    None for all else, refusals included: the long way says them, so what it costs is paid where it is needed, and
    every sentence has one source.
    """
    if function.spills or heard_by_someone() or len(values) > len(function.args):
        return None
    units: System | None = None
    arguments: dict[str, Any] = {}
    cells: list[tuple[Arg, Cell]] = []
    try:
        for arg, value in zip_longest(function.args, values):
            if arg.kind == "table":
                from addin.functions.kept_tables import kept_curve

                arguments[arg.name] = kept_curve(value)
            elif arg.kind == "units":
                arguments[arg.name] = units = _known_units.get(value) if type(value) is str else None
            elif arg.kind in _WHOLE or isinstance(value, _SEVERAL) or is_stop(value):
                return None
            else:
                cells.append((arg, value))
        if None in arguments.values():
            return None
        named = units.name if units else None
        for arg, value in cells:
            cell = _read_once(arg, (arg.name, arg.kind, named), (type(value), value), value, units)
            arguments[arg.name] = cell if arg.kind in _GROUPED else _array([cell], [0])
        result = function.call(**arguments)
        if isinstance(result, Rows):
            if result.faults:
                return None
            result = result.values
        number = float(np.asarray(_shown(result, function.result, units), dtype=float).item())
    except Exception:  # whatever it is, the long way meets it too and says it
        return None
    return number if math.isfinite(number) else None


def _refuse(error: InputError | Finding, units: System | None) -> str:
    return stop_text(error, units or system("SI"))


def _internal(error: Exception) -> Finding:
    from addin import error_log

    return Finding(
        "internal", "", {"error": type(error).__name__, "log": error_log.note(error) or "no file: none can be written"}
    )


def _stop_in(function: Function, given: dict[str, list[list[Cell]]]) -> str | None:
    """The first STOP among arguments that are taken whole; those of columns stay with their element."""
    for arg in function.args:
        cells = given.get(arg.name, [])
        if arg.kind == "rows" or (arg.kind == "table" and _is_kept(cells)):
            continue
        if lifted(arg) and not function.spills and (len(cells) > 1 or len(cells[0]) > 1 if cells else False):
            continue
        for row in cells:
            for value in row:
                if is_stop(value):
                    return value
    return None


def _is_kept(cells: list[list[Cell]]) -> bool:
    from addin.functions.kept_tables import is_kept

    return is_kept(cells)


def _units(function: Function, given: dict[str, list[list[Cell]]]) -> System | None:
    arg = next((arg for arg in function.args if arg.kind == "units"), None)
    if arg is None:
        return None
    value = _single(given, "units")
    if is_blank(value) and arg.default is not REQUIRED:
        return None
    refuse_kind(value, "units")
    units = system(plain_text(value))
    if type(value) is str and len(_known_units) < _MOST_UNITS:
        _known_units[value] = units
    return units


def _single(given: dict[str, list[list[Cell]]], name: str) -> Cell:
    cells = given.get(name, [[None]])
    if len(cells) != 1 or len(cells[0]) != 1:
        raise stop("single_needed", name, count=sum(len(row) for row in cells))
    return cells[0][0]


def lifted(arg: Arg) -> bool:
    """Whether an argument may be a column."""
    return arg.kind not in _WHOLE


def one(arg: Arg, value: Cell, units: System | None) -> Any:
    """One cell as the value of an argument; the default where an optional one is blank.

    Raises InputError as the readers of its kind do.
    """
    if is_blank(value) and arg.default is not REQUIRED:
        return arg.default
    if arg.kind == "thread":
        return read_thread(value)
    if arg.kind == "words":
        return read_words(value, arg.name)
    if arg.kind == "date":
        return read_day(value, arg.name)
    if arg.kind == "value":
        return _plain_number(value, arg.name)
    if arg.kind == "graduation":
        return _graduation(value, units)
    return read_number(value, arg.kind, _unit(arg.kind, units))


def _unit(kind: str, units: System | None) -> str | None:
    return units.symbol(QUANTITIES[kind].kind) or None if units else None


def _plain_number(value: Cell, name: str) -> float:
    refuse_kind(value, name)
    if not isinstance(value, str):
        return float(value)
    number = typed_number(value)
    if number is None or not math.isfinite(number):
        raise stop("number_form" if odd_form(value) else "not_a_number", name, text=plain_text(value))
    return number


def _graduation(value: Cell, units: System | None) -> float:
    """Step between two marks as typed, in the gauge's unit of the call, checked against its range."""
    pressure_unit = units.symbol("pressure") if units else None
    in_si = read_number(value, "graduation", pressure_unit)
    if isinstance(value, str):
        return float(from_si(in_si, "pressure", str(pressure_unit)))
    return float(value)


def _lift(function: Function, given: dict[str, list[list[Cell]]], units: System | None) -> Any:
    """Call once for all elements; those that are refused show why, the others their number."""
    blocks = {arg.name: given.get(arg.name, [[None]]) for arg in function.args}
    shape = _shape(function, blocks)
    count = shape[0] * shape[1]
    shown: list[Any] = [None] * count
    columns: dict[str, list[Any]] = {}
    whole: dict[str, Any] = {}
    for arg in function.args:
        if not lifted(arg):
            whole[arg.name] = _whole(arg, blocks[arg.name], units)
            continue
        cells = [cell for row in blocks[arg.name] for cell in row]
        columns[arg.name] = _column(arg, cells * count if len(cells) == 1 else cells, units, shown)
    for (texts, _), rows in _alike(function, columns, shown).items():
        arrays = {name: _array(column, rows) for name, column in columns.items() if name not in dict(texts)}
        if heard_by_someone():
            note_arguments(function.args, {name: column[rows[0]] for name, column in columns.items()} | whole)
        try:
            result = function.call(**arrays, **dict(texts), **whole)
        except InputError as error:
            for row in rows:
                shown[row] = _refuse(error, units)
            continue
        if not isinstance(result, Rows):
            result = Rows(result, {})
        numbers = np.asarray(_shown(result.values, function.result, units), dtype=float)
        numbers = numbers if numbers.shape == (len(rows),) else np.broadcast_to(numbers, (len(rows),))
        for i, row in enumerate(rows):
            if i in result.faults:
                shown[row] = _refuse(result.faults[i], units)
            elif not np.isfinite(numbers[i]):
                shown[row] = _refuse(_internal(ArithmeticError(f"{function.name} gave no number")), units)
            else:
                shown[row] = float(numbers[i])
    if shape == (1, 1):
        return shown[0]
    return [shown[i * shape[1] : (i + 1) * shape[1]] for i in range(shape[0])]


def _shape(function: Function, blocks: dict[str, list[list[Cell]]]) -> tuple[int, int]:
    shape, first = (1, 1), ""
    for arg in function.args:
        if not lifted(arg):
            continue
        own = (len(blocks[arg.name]), len(blocks[arg.name][0]))
        if own[0] > MOST_ROWS:
            raise stop("too_many_rows", arg.name, rows=own[0], limit=MOST_ROWS)
        if own == (1, 1):
            continue
        if shape not in ((1, 1), own):
            raise stop(
                "shapes_differ", arg.name, got=f"{own[0]} x {own[1]}", other=first, want=f"{shape[0]} x {shape[1]}"
            )
        shape, first = own, arg.name
    return shape


def _whole(arg: Arg, cells: list[list[Cell]], units: System | None) -> Any:
    if arg.kind == "units":
        return units
    if arg.kind in ("block", "rows"):
        return used_rows(cells) if arg.kind == "rows" and len(cells) > MOST_ROWS else cells
    if arg.kind == "table":
        from addin.functions.kept_tables import curve_of  # here: most functions take no table

        return curve_of(cells)
    return one(arg, _single({arg.name: cells}, arg.name), units)


_MOST_READ = 4_000
_read: dict[Any, Any] = {}
"""Cells read last, by what they stand for: most calls from a sheet differ in one of them."""


def _read_once(arg: Arg, meant: Any, key: Any, cell: Cell, units: System | None) -> Any:
    """`one`, for a cell that was read before as it was read then."""
    if is_blank(cell):
        return one(arg, cell, units)
    found = _read.get((meant, key))
    if found is None:
        found = one(arg, cell, units)
        if len(_read) >= _MOST_READ:
            _read.clear()
        _read[meant, key] = found
    return found


def _column(arg: Arg, cells: list[Cell], units: System | None, shown: list[Any]) -> list[Any]:
    """A column of cells as values; what is refused is written into `shown`, equal cells are read once."""
    values: list[Any] = [None] * len(cells)
    known: dict[Any, Any] = {}
    meant = (arg.name, arg.kind, units.name if units else None)
    for i, cell in enumerate(cells):
        if shown[i] is not None:
            continue
        if is_stop(cell):
            shown[i] = cell
            continue
        key = (type(cell), cell)
        if key not in known:
            try:
                known[key] = _read_once(arg, meant, key, cell, units)
            except InputError as error:
                known[key] = error
        if isinstance(known[key], InputError):
            shown[i] = _refuse(known[key], units)
        else:
            values[i] = known[key]
    return values


def _alike(function: Function, columns: dict[str, list[Any]], shown: list[Any]) -> dict[Any, list[int]]:
    """Elements that are still to be calculated, grouped by the arguments that pick something and by those left out."""
    names = [arg.name for arg in function.args if arg.kind in _GROUPED]
    optional = [arg.name for arg in function.args if arg.name in columns and arg.default is not REQUIRED]
    groups: dict[Any, list[int]] = {}
    for i, done in enumerate(shown):
        if done is None:
            picked = tuple((name, columns[name][i]) for name in names)
            groups.setdefault((picked, tuple(columns[name][i] is None for name in optional)), []).append(i)
    return groups


def _array(column: list[Any], rows: list[int]) -> Any:
    chosen = [column[i] for i in rows]
    if isinstance(chosen[0], threads.Thread):
        return threads.column(chosen)
    return chosen[0] if chosen[0] is None else np.array(chosen, dtype=float)


def _shown(values: Any, kind: str, units: System | None) -> Any:
    if kind == "as typed" or units is None or not units.symbol(kind):
        return short(values)
    return from_si(values, kind, units.symbol(kind))


def _spill(function: Function, given: dict[str, list[list[Cell]]], units: System | None) -> list[list[Any]]:
    arguments = {}
    for arg in function.args:
        cells = given.get(arg.name, [[None]])
        if arg.kind in _WHOLE:
            arguments[arg.name] = _whole(arg, cells, units)
        else:
            arguments[arg.name] = one(arg, _single({arg.name: cells}, arg.name), units)
    if heard_by_someone():
        note_arguments(function.args, arguments)
    rows = function.call(**arguments)
    wide = max(len(row) for row in rows)
    return [[_cell(value, units) for value in row] + [""] * (wide - len(row)) for row in rows]


def _cell(value: Any, units: System | None) -> Any:
    """One cell of a spill: nothing is an empty text, a number that cannot be given is the word STOP."""
    if value is None:
        return ""
    if isinstance(value, Num):
        return STOP if not np.isfinite(value.value) else float(_shown(value.value, value.kind, units))
    if isinstance(value, (bool, str)):
        return value
    return float(short(value)) if np.isfinite(value) else STOP
