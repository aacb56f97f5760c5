"""What only a person can say about a list: each question is about one column, and is answered in the map."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from addin.cells.numbers import stands_for_nothing
from addin.cells.words import line
from addin.reading.exact_columns import Column, letter
from addin.reading.field_headings import BY_NAME
from calc.findings import Finding
from calc.units import system

FIELD, UNIT, TWICE, NEW, GONE = "field", "unit", "twice", "new", "gone"
_UNIT_CODES = ("unit_missing", "heading_unit_unknown")


@dataclass(frozen=True)
class Question:
    """What is asked: its kind, the column's letters ("" for none), and the sentence."""

    kind: str
    column: str
    text: str


def map_name(field: str) -> str:
    """A field as the map writes it; the area of the stress is told from the plant's."""
    return "stress area" if field == "area" else field.replace("_", " ")


def about_columns(columns: Sequence[Column], constants: Collection[str] = ()) -> list[Question]:
    """What must be asked about the headings. `constants` are fields that the map states for the whole list.

    A heading that may be of a field is asked about only where no other column or constant has that field, and the
    field is more than a text on the card.
    """
    taken = {column.field for column in columns if column.field} | set(constants)
    asked = []
    for column in columns:
        where, doubt = letter(column.at), column.doubt
        if doubt is not None:
            kind = TWICE if doubt.code == "columns_conflict" else UNIT
            asked.append(Question(kind, where, _said(column, doubt)))
            continue
        names = [name for name in column.suggested if name not in taken and not BY_NAME[name].soft]
        if column.field is None and names:
            facts = {"heading": column.heading, "names": tuple(map_name(name) for name in names)}
            asked.append(Question(FIELD, where, _said(column, Finding("column_may_be", names[0], facts))))
    if "joint" not in taken and not any(question.kind == TWICE for question in asked):
        text = line(Finding("column_of_joint"), system("US"))
        asked.append(Question(FIELD, "", text))
    return asked


def about_units(
    columns: Sequence[Column], faults: Iterable[Finding], cells: Sequence[Sequence[object]]
) -> list[Question]:
    """Columns of which most numbers have no unit, neither in the heading nor in the cells."""
    bare: dict[str, int] = {}
    for fault in faults:
        if fault.code in _UNIT_CODES:
            bare[fault.quantity] = bare.get(fault.quantity, 0) + 1
    asked = []
    for column in columns:
        number = bare.get(column.field or "", 0)
        if not number or column.doubt is not None:
            continue
        filled = sum(not stands_for_nothing(row[column.at]) for row in cells)
        if 2 * number > filled:
            facts = {"heading": column.heading, "count": number}
            asked.append(
                Question(UNIT, letter(column.at), _said(column, Finding("column_unit", str(column.field), facts)))
            )
    return asked


def new_column(column: Column, name: str) -> Question:
    """A column that the map does not know and that seems to hold a field."""
    finding = Finding("column_is_new", name, {"heading": column.heading})
    return Question(NEW, letter(column.at), _said(column, finding))


def gone_column(heading: str, name: str) -> Question:
    """A column of the map that the list has no longer."""
    return Question(GONE, "", line(Finding("column_is_gone", name, {"heading": heading}), system("US")))


def _said(column: Column, finding: Finding) -> str:
    return f"column {letter(column.at)}: {line(finding, system('US'))}"
