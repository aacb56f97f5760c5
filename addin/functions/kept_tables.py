"""The tables read last: a sheet asks for the settings of hundreds of joints from one table, a cell at a time."""

from collections import OrderedDict
from collections.abc import Sequence
from threading import Lock

from addin.cells.numbers import Cell
from addin.cells.table import read_table
from calc.findings import InputError
from calc.wrench.calibration import Curve

MOST = 16
"""Tables that are kept."""
_LARGEST = 2_000
"""Cells of a table that is kept: an area of a whole column is read anew."""
_kept: OrderedDict[tuple[object, ...], Curve | InputError] = OrderedDict()
_lock = Lock()


def curve_of(rows: Sequence[Sequence[Cell]]) -> Curve:
    """The curve of a table of cells, headings first, as `read_table` reads it; equal cells are read once.

    Raises InputError, as the reader does.

    >>> table = [["Pressure (bar)", "Torque (N·m)"], [100, 800], [200, 1650]]
    >>> curve_of(table) is curve_of([list(row) for row in table])
    True
    """
    if sum(map(len, rows)) > _LARGEST:
        return read_table(rows).curve()
    key = tuple((type(cell), cell) for row in rows for cell in (len(row), *row))
    try:
        hash(key)
    except TypeError:  # a cell of no kind that is known: the reader says so
        return read_table(rows).curve()
    with _lock:
        found = _kept.get(key)
        if found is not None:
            _kept.move_to_end(key)
    if found is None:
        try:
            found = read_table(rows).curve()
        except InputError as error:
            found = error
        with _lock:
            _kept[key] = found
            while len(_kept) > MOST:
                _kept.popitem(last=False)
    if isinstance(found, InputError):
        raise InputError(found.finding)
    return found
