"""A list's headings -> our fields, decided once per column. Only an exact alias is sure; nothing else is taken.

`FIELDS` is the one table of fields: what a column holds, its quantity, and the headings that name it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from addin.worksheet.headings import Heading, split
from addin.worksheet.numbers import Cell, error_text, is_blank, plain_text
from calc.findings import Finding, InputError, stop
from calc.quantities import QUANTITIES
from calc.units import symbol


@dataclass(frozen=True)
class Field:
    """A field of a joint list: name, what its cells are, and the headings that are sure (as `headings.plain_words`).

    `cells`: "words", "thread", "date", or the name of a quantity.
    """

    name: str
    cells: str
    headings: tuple[str, ...]


def _field(name: str, cells: str, headings: str) -> Field:
    return Field(name, cells, tuple(part.strip() for part in headings.split(",")))


FIELDS = (
    _field("joint", "words", "joint, joint tag, tag, tag number, joint number, joint identification, flange,"
           "flange tag, flange number, flange identification, joint name"),
    _field("operation", "words", "operation, work operation, joint operation"),
    _field("method", "words", "method, tightening method, method of tightening, bolting method"),
    _field("plant_area", "words", "area, plant area, unit area, unit"),
    _field("equipment", "words", "equipment, equipment tag, equipment number"),
    _field("line", "words", "line, line number, line tag"),
    _field("size", "words", "nps, dn, size nps, nominal pipe size, flange size, size"),
    _field("rating", "words", "rating, class, flange class, flange rating, pressure class, pn"),
    _field("gasket", "words", "gasket, gasket type, gasket description"),
    _field("thread", "thread", "stud size, stud thread, thread, stud diameter, bolt size, bolt diameter, bolt thread,"
           "stud bolt size, stud bolt diameter, nominal thread"),
    _field("studs", "studs", "studs, stud count, number of studs, stud quantity, studs quantity, quantity of studs,"
           "bolt count, number of bolts, bolt quantity, number of bolt, quantity of bolts, bolts, bolt"),
    _field("grade", "words", "grade, stud grade, bolt grade, stud material, bolt material, stud specification"),
    _field("nut_series", "words", "nut series, nut standard, series of nut"),
    _field("across_flats", "across_flats", "across flats, nut across flats, nut size across flats, width across flats"),
    _field("stress", "stress", "stress, stud stress, bolt stress, target stress, target stud stress,"
           "target bolt stress"),
    _field("area", "words", "stress area, area of stress, stress on area"),
    _field("percent", "percent", "percent of yield, percent yield, target percent of yield, percent of minimum yield"),
    _field("load", "load", "load, stud load, bolt load, target load, target stud load, target bolt load, preload,"
           "target preload"),
    _field("torque", "torque", "torque, target torque, final torque, specified torque, required torque"),
    _field("lubricant", "words", "lubricant, lubricant product, thread lubricant"),
    _field("nut_factor", "nut_factor", "nut factor, k factor, nut factor k"),
    _field("thread_friction", "thread_friction", "thread friction, thread friction coefficient"),
    _field("nut_friction", "nut_friction", "nut friction, friction under nut, nut face friction,"
           "nut friction coefficient"),
    _field("wrench", "words", "wrench, wrench tag, wrench number, torque wrench"),
    _field("at_once", "at_once", "at once, wrench at once, number of wrench at once"),
    _field("date", "date", "job date, planned date, date of job, date of work"),
    _field("order", "words", "order, tightening order, tightening sequence, order of tightening"),
    _field("turned_side", "words", "turned side, side turned, turn side"),
    _field("stud_1", "words", "stud 1, position of stud 1, stud number 1"),
    _field("holes", "words", "holes, holes through tapped, hole type"),
    _field("remarks", "words", "remarks, remark, notes, note, comments, comment"),
    # limits, range, break-out and time: all of them optional
    _field("target_gasket_stress", "target_gasket_stress", "target gasket stress, gasket stress target"),
    _field("gasket_area", "gasket_area", "gasket area, area of gasket, gasket contact area"),
    _field("gasket_seating", "gasket_seating", "gasket seating, gasket seating minimum, minimum gasket seating"),
    _field("gasket_operating", "gasket_operating", "gasket operating, gasket operating minimum,"
           "minimum gasket operating"),
    _field("gasket_maximum", "gasket_maximum", "gasket maximum, maximum gasket stress, gasket stress maximum"),
    _field("gasket_m", "gasket_m", "gasket m, gasket factor m, gasket factor"),
    _field("gasket_y", "gasket_y", "gasket y, gasket seating stress y, seating stress y"),
    _field("gasket_inside_diameter", "gasket_inside_diameter", "gasket inside diameter, gasket inner diameter,"
           "gasket id"),
    _field("gasket_outside_diameter", "gasket_outside_diameter", "gasket outside diameter, gasket outer diameter,"
           "gasket od"),
    _field("gasket_load_kept", "gasket_load_kept", "gasket load kept, load kept"),
    _field("facing", "words", "facing sketch, sketch of facing"),
    _field("design_pressure", "design_pressure", "design pressure, maximum design pressure"),
    _field("stud_maximum", "stud_maximum", "stud maximum, maximum stud stress, stud stress maximum,"
           "maximum bolt stress"),
    _field("stud_minimum", "stud_minimum", "stud minimum, minimum stud stress, stud stress minimum, min stud stress,"
           "minimum bolt stress, min bolt stress"),
    _field("flange_limit", "flange_limit", "flange limit, flange stress limit, flange limit on stud stress"),
    _field("flange_kind", "words", "flange kind, kind of flange, flange type"),
    _field("flange_rotation", "flange_rotation", "flange rotation, rotation of flange"),
    _field("rotation_limit", "rotation_limit", "rotation limit, flange rotation limit"),
    _field("grip", "grip", "grip, grip length, clamped length"),
    _field("breakout_factor", "breakout_factor", "break out factor, breakout factor, factor for break out"),
    _field("stud_condition", "words", "stud condition, condition of studs, bolt condition, condition of bolt"),
    _field("coating", "words", "coating, stud coating, bolt coating"),
    _field("washers", "words", "washers, washer, washers fitted"),
)  # fmt: skip
BY_NAME = {field.name: field for field in FIELDS}
_SURE = {heading: field for field in FIELDS for heading in field.headings}


@dataclass(frozen=True)
class Column:
    """How one column is understood: its place (from 0), heading, field, unit as shown, and how it was matched."""

    at: int
    heading: str
    field: str | None
    unit: str | None
    matched: str
    unit_unknown: bool = False


def _match(heading: Heading) -> Field | None:
    whole = f"{heading.words} {heading.bracket.lower()}".strip() if heading.bracket else heading.words
    return _SURE.get(whole) or _SURE.get(heading.words)


def read_columns(cells: Sequence[Cell]) -> tuple[Column, ...]:
    """How every column of a heading row is understood; columns that nothing names are kept without a field.

    Raises InputError: `columns_conflict` when two columns claim one field, `column_unit_doubled`, `unit_wrong_kind`
    when the heading's unit is of another kind than its field.

    >>> [(c.field, c.unit) for c in read_columns(["Joint", "Torque (ft-lb)", "Torque date"])]
    [('joint', None), ('torque', 'lbf·ft'), (None, None)]
    """
    columns: list[Column] = []
    for at, cell in enumerate(cells):
        if is_blank(cell) or not isinstance(cell, str) or error_text(cell):
            continue
        columns.append(_column(at, split(cell)))
    taken: dict[str, Column] = {}
    for column in columns:
        if column.field is None:
            continue
        if column.field in taken:
            first = taken[column.field]
            raise stop("columns_conflict", column.field, headings=(first.heading, column.heading))
        taken[column.field] = column
    return tuple(columns)


def _column(at: int, heading: Heading) -> Column:
    field = _match(heading)
    if field is None:
        return Column(at, heading.text, None, heading.unit, "not used")
    quantity = QUANTITIES.get(field.cells)
    if quantity is None or quantity.kind in ("number", "count"):
        return Column(at, heading.text, field.name, None, "exact")
    if heading.doubled:
        raise stop("column_unit_doubled", field.name, heading=heading.text)
    if quantity.kind == "percent":
        return Column(at, heading.text, field.name, "%", "exact")
    unit = None
    if heading.unit:
        try:
            unit = symbol(quantity.kind, heading.unit)
        except InputError as error:
            f = error.finding
            raise InputError(Finding(f.code, field.name, {**f.facts, "place": f"heading '{heading.text}'"})) from None
    return Column(at, heading.text, field.name, unit, "exact", unit_unknown=bool(heading.bracket))


def heading_score(cells: Sequence[Cell]) -> int:
    """How many different fields a row's texts name: the heading row of a sheet is the one with most."""
    fields = set()
    for cell in cells:
        if isinstance(cell, str) and not is_blank(cell) and len(cell) < 80:
            field = _match(split(cell))
            if field is not None:
                fields.add(field.name)
    return len(fields)


def letter(at: int) -> str:
    """Letters of a column by its place from 0.

    >>> letter(0), letter(27)
    ('A', 'AB')
    """
    text = ""
    number = at + 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(65 + rest) + text
    return text


def shown_heading(cell: Cell) -> str:
    """A heading cell as text."""
    return plain_text(cell)
