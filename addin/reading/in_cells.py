"""Headings and rows of a range of cells -> columns, for a worksheet call: only what is sure is used."""

from collections.abc import Sequence

from addin.cells.numbers import Cell
from addin.reading.column import Column
from addin.reading.columns import understand
from addin.reading.fields import BY_NAME
from addin.reading.heads import ASK_WORTHY, Head
from addin.reading.place import is_heading
from addin.reading.understood import ASKED, PROPOSED, shown_name
from calc.findings import Finding, InputError
from calc.quantities import QUANTITIES


def read_columns(cells: Sequence[Cell], rows: Sequence[Sequence[Cell]] = ()) -> tuple[Column, ...]:
    """How every column below a row of headings is read; columns that nothing names are kept without a field.

    A unit that is not stated is left to the rows: a worksheet call names the units of plain numbers.

    Raises InputError `column_may_be` or `column_unit_doubled` when a column is not sure: in a cell nobody can be asked.

    >>> rows = [["V-1", 500, None], ["V-2", 400, None]]
    >>> [(c.field, c.unit) for c in read_columns(["Joint", "Torque (ft-lb)", "Torque date"], rows)]
    [('joint', None), ('torque', 'lbf·ft'), (None, None)]
    """
    columns = []
    for reading in understand([Head(at, cell) for at, cell in enumerate(cells) if is_heading(cell)], rows):
        used = reading.used or (reading.state == ASKED and (reading.unit_open or reading.area_open))
        if reading.unit_doubt == "doubled" and reading.field is not None:
            raise InputError(Finding("column_unit_doubled", reading.field, {"heading": reading.heading}))
        if not used and reading.state in (PROPOSED, ASKED) and reading.field in ASK_WORTHY:
            names = tuple(shown_name(name) for name in reading.candidates)
            raise InputError(Finding("column_may_be", str(reading.field), {"heading": reading.heading, "names": names}))
        field = reading.field if used else None
        doubt = None
        if field is not None and reading.unit_doubt:
            kind = QUANTITIES[BY_NAME[field].cells].kind
            doubt = Finding("heading_unit_unknown", field, {"heading": reading.heading, "kind": kind})
        columns.append(
            Column(reading.at, reading.heading, field, reading.unit if field else None, reading.state, doubt)
        )
    return tuple(columns)
