"""The tables read last: a sheet asks for the settings of hundreds of joints from one table, a cell at a time."""

import marshal
from collections import OrderedDict
from collections.abc import Sequence
from threading import Lock
from typing import Any

from addin.cells.numbers import Cell, used_rows
from addin.cells.table import read_table
from calc.findings import InputError
from calc.wrench.calibration import Curve

MOST = 16
"""Tables that are kept."""
_LARGEST = 2_000
"""Cells of a table that is kept: an area of a whole column is read anew."""
_kept: OrderedDict[bytes | None, Curve | InputError] = OrderedDict()
_lock = Lock()


def _key(rows: Sequence[Sequence[Cell]]) -> bytes | None:
    """The cells as bytes that differ where a value or its type does; None for a large area, and for cells of no kind
    that is written so.
    """
    if sum(map(len, rows)) > _LARGEST:
        return None
    try:
        return marshal.dumps(
            [list(row) for row in rows], 2
        )  # a later version of the format marks what is named elsewhere too
    except ValueError:
        return None


def is_kept(rows: Sequence[Sequence[Cell]]) -> bool:
    """Whether these very cells were read as a curve."""
    return isinstance(_kept.get(_key(rows)), Curve)


def kept_curve(cells: Any) -> Curve | None:
    """The curve of a table that was read before, None where these cells were not, or are none."""
    if not isinstance(cells, (list, tuple)) or not all(isinstance(row, (list, tuple)) for row in cells):
        return None
    key = _key(cells)
    with _lock:
        found = _kept.get(key)
        if not isinstance(found, Curve):
            return None
        _kept.move_to_end(key)
    return found


def curve_of(rows: Sequence[Sequence[Cell]]) -> Curve:
    """The curve of a table of cells, headings first, as `read_table` reads it; equal cells are read once. Empty rows at
    the end are left out: a whole column may be given.

    Raises InputError, as the reader does.

    >>> table = [["Pressure (bar)", "Torque (N·m)"], [100, 800], [200, 1650], [None, None]]
    >>> curve_of(table) is curve_of([list(row) for row in table])
    True
    """
    key = _key(rows)
    if key is None:
        return read_table(used_rows(rows)).curve()
    with _lock:
        found = _kept.get(key)
        if found is not None:
            _kept.move_to_end(key)
    if found is None:
        try:
            found = read_table(used_rows(rows)).curve()
        except InputError as error:
            found = error
        with _lock:
            _kept[key] = found
            while len(_kept) > MOST:
                _kept.popitem(last=False)
    if isinstance(found, InputError):
        raise InputError(found.finding)
    return found
