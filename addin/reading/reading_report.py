"""What a person sees of a reading: columns with field, unit and first values, what was left out, what is open."""

import datetime
import math
from collections.abc import Iterator, Sequence
from typing import Any

from addin.cells.numbers import plain_text
from addin.cells.words import amount, figure, listed
from addin.reading.column import Column, letter
from addin.reading.fields import BY_NAME, FIELDS
from addin.reading.joint_list import JointList
from addin.reading.understood import UnderstoodList, shown_name, stored_name
from calc.findings import InputError
from calc.hardware.gaskets import FACINGS
from calc.hardware.nuts import SERIES
from calc.hardware.threads import AREAS, parse
from calc.interaction import gasket as gaskets
from calc.plan.joints import METHODS, NUMBER_COLUMNS, OPERATIONS
from calc.preload.limits import KINDS_NOT_CHECKED
from calc.quantities import QUANTITIES
from calc.units import System, system

_VALUES = 3
_LONGEST = 30
CHOICES = {
    "operation": f"one of {listed(OPERATIONS, 'or')}",
    "method": f"{listed((*METHODS[:2], 'another method by its name'), 'or')}",
    "area": f"one of {listed(AREAS, 'or')}",
    "nut_series": f"one of {listed(SERIES, 'or')}",
    "facing": f"one of {listed(FACINGS, 'or')}",
    "gasket_kind": f"one of {listed(gaskets.kinds(), 'or')}",
    "flange_kind": f"{listed(KINDS_NOT_CHECKED, 'or')} where it is one, else blank or any other kind",
    "print": "x where a card is wanted, else blank",
    "witness": "a pass number or all",
    "hold_point": "a pass number or all",
    "order": "every stud number once, in the order of tightening, such as 1-3-2-4",
    "holes": "through, or tapped",
    "wrench": "a wrench of the book; several with a comma between",
}
"""Fields whose cells hold one of some words, or words of a certain form."""


def fields() -> list[str]:
    """Every field of a joint list with what its cells hold.

    >>> fields()[0], fields()[10]
    ('joint                    text', 'studs                    number of studs in the joint, 4 to 400')
    """
    lines = []
    for field in FIELDS:
        if field.kind is None:
            holds = CHOICES.get(field.name, "text") if field.cells == "words" else field.cells
        else:
            q = QUANTITIES[field.cells]
            ends = (
                f"{amount(q.low, q.kind, each, 4)} to {amount(q.high, q.kind, each, 4)}"
                for each in map(system, ("SI", "US"))
            )
            holds = f"{q.meaning}, {' or '.join(dict.fromkeys(ends))}"
        lines.append(f"{shown_name(field.name):25}{holds}")
    return lines


def report(joint_list: JointList) -> list[str]:
    """The reading as lines: a table of the columns, what to know, and the open questions."""
    path, count = joint_list.package.path.name, len(joint_list.numbers)
    lines = [f"{path}, sheet {joint_list.sheet}: headings in row {joint_list.heading_row}, {count} rows of joints", ""]
    table = [("column", "heading", "field", "unit", "matched", "first values")]
    for column in joint_list.columns:
        field = shown_name(column.field) if column.field else "-"
        values = " | ".join(_cut(text) for text in first_values(joint_list, column))
        table.append((letter(column.at), _cut(column.heading), field, column.unit or "-", column.matched, values))
    for fact in joint_list.understood.whole:
        table.append(("all", "", shown_name(fact.field), "-", fact.state, fact.value or "?"))
    lines += _aligned(table)
    if joint_list.own is not None:
        lines.append(f"planned before: our columns begin at {letter(joint_list.own.first - 1)}")
    if joint_list.rows.flanges:
        lines.append(
            f"{len(joint_list.rows.flanges)} rows have the studs of the standard flange of their size and class"
        )
    if joint_list.said:
        lines += ["", *(f"note: {said.text}" for said in joint_list.said)]
    lines.append("")
    blocking = [question.text for question in joint_list.questions if question.blocks]
    waiting = [question.text for question in joint_list.questions if not question.blocks]
    if blocking:
        lines.append("open, and nothing is planned before it is answered:")
        lines += [f"  {text}" for text in blocking]
    if waiting:
        lines.append("open, and only the rows concerned are stopped:")
        lines += [f"  {text}" for text in waiting]
    if not joint_list.questions:
        lines.append("nothing is open")
    return lines


def first_values(joint_list: JointList, column: Column) -> list[str]:
    """The first values of a column as they are understood; as they stand where it is not used."""
    if column.field is None:
        return [plain_text(cell) for cell in joint_list.shown.get(column.at, ())]
    found = []
    for text in _values(joint_list, column):
        found.append(text)
        if len(found) == _VALUES:
            break
    return found


def _values(joint_list: JointList, column: Column) -> Iterator[str]:
    faulty = {fault.row for fault in joint_list.rows.joints.faults if fault.quantity == column.field}
    for i in range(len(joint_list.numbers)):
        if text := "STOP" if i in faulty else value_in(joint_list, column, i):
            yield text


def value_in(joint_list: JointList, column: Column, i: int) -> str:
    """What one row says under a column that is used, as it is understood; "" for nothing."""
    name, rows = str(column.field), joint_list.rows
    if name in NUMBER_COLUMNS:
        value = float(getattr(rows.joints, name)[i])
        return "" if math.isnan(value) else _number(value, column, system(rows.units[i]))
    text = rows.texts.get(name, [""] * (i + 1))[i]
    return _designation(text) if name == "thread" else text


def _number(value: float, column: Column, units: System) -> str:
    cells = BY_NAME[str(column.field)].cells
    if cells == "date":
        return datetime.date.fromordinal(int(value)).isoformat()
    kind = QUANTITIES[cells].kind
    if kind in ("number", "count"):
        return figure(value)
    own = System("column", ((kind, column.unit),)) if column.unit else units
    return amount(value, kind, own)


def _designation(text: str) -> str:
    try:
        return parse(text).designation
    except InputError:
        return text


def _cut(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"


def _aligned(table: Sequence[Sequence[str]]) -> list[str]:
    wide = [max(len(row[k]) for row in table) for k in range(len(table[0]))]
    return ["  ".join(text.ljust(size) for text, size in zip(row, wide, strict=True)).rstrip() for row in table]


def as_json(lists: Sequence[UnderstoodList]) -> dict[str, Any]:
    """What was understood, for scripts: sheets, rows, columns, facts of the whole list and questions."""
    return {"lists": [_list(each) for each in lists]}


def _list(read: UnderstoodList) -> dict[str, Any]:
    return {
        "sheet": read.sheet,
        "heading rows": list(read.heading_rows),
        "joint rows": list(read.joint_rows),
        "columns": [
            {
                "column": letter(each.at),
                "heading": each.heading,
                "field": stored_name(each.field) if each.field else "none",
                "also": [stored_name(name) for name in each.also],
                "unit": each.unit,
                "state": each.state,
                "candidates": [stored_name(name) for name in each.candidates],
                "why": each.why,
            }
            for each in read.columns
        ],
        "whole list": {
            stored_name(each.field): {"value": each.value, "state": each.state, "why": each.why} for each in read.whole
        },
        "questions": [{"about": each.column or each.about, "text": each.text} for each in read.questions],
    }
