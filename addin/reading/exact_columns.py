"""A list's headings -> our fields, decided once per column. Only a heading of the table is sure; the rest is asked."""

import difflib
from collections.abc import Sequence
from dataclasses import dataclass, replace

from addin.cells.headings import Heading, split
from addin.cells.numbers import Cell, error_text, is_blank
from addin.reading.field_headings import BARE, BY_NAME, SURE, TRAPS, Field, canonical
from calc.findings import Finding, InputError
from calc.quantities import QUANTITIES
from calc.units import kinds_of, symbol

__all__ = ["BY_NAME", "Column", "Head", "fields_named", "fields_offered", "is_heading", "is_unit", "letter",
           "read_columns", "understand"]  # fmt: skip

SEPARATOR = " / "
EXACT, CONTEXT, NOT_USED = "exact", "by the other columns", "not used"
_UNCLEAR_UNITS = frozenset(
    ("lb", "lbs", "#", "m", "t", "ton", "tons", "tonne", "tonnes", "k", "kg", "g", "p", "f", "ft", "pound", "pounds")
)
_WITH_LENGTH = ("size", "length")
_PLAIN_BRACKETS = frozenset(
    ("-", "–", "nominal", "each", "ea", "pc", "pcs", "no", "no.", "nos", "qty", "text", "date", "unit", "units")
)
_NEUTRAL = frozenset(
    ("data", "detail", "details", "information", "info", "general", "planning", "plan", "schedule", "scope", "work",
     "bolting", "of", "and")
)  # fmt: skip
_ABOUT = {
    "stud": ("thread", "studs", "grade", "stress", "load", "torque", "percent", "length", "lubricant"),
    "studs": ("thread", "studs", "grade", "stress", "load", "torque", "percent", "length", "lubricant"),
    "joint": ("joint", "operation", "method", "size", "rating", "gasket", "equipment", "line", "plant_area"),
    "nut": ("nut_series", "across_flats"),
    "wrench": ("wrench", "at_once"),
    "lubrication": ("lubricant", "nut_factor", "thread_friction", "nut_friction"),
    "friction": ("lubricant", "nut_factor", "thread_friction", "nut_friction"),
    **dict.fromkeys(("target", "final", "required", "tightening", "assembly", "specified", "preload", "make", "up"),
                    ("stress", "area", "percent", "load", "torque", "method", "order")),
}  # fmt: skip
"""Words above a group of headings, and the fields that are no other thing below them."""


@dataclass(frozen=True)
class Head:
    """One heading as it stands: its place (from 0), its text, what stands above it, and its cell in a row of units.

    `spans`: what stands above is merged over several columns.
    """

    at: int
    text: str
    above: str = ""
    spans: bool = False
    unit: str = ""

    @property
    def shown(self) -> str:
        """The heading as it is shown to the user: from above to below."""
        return SEPARATOR.join(part for part in (self.above, self.text, self.unit) if part)


@dataclass(frozen=True)
class Column:
    """How one column is understood: its place (from 0), heading, field, unit as shown, and how it was matched.

    `doubt`: why it cannot be used as it stands; `suggested`: the fields that it may be.
    """

    at: int
    heading: str
    field: str | None
    unit: str | None
    matched: str
    doubt: Finding | None = None
    suggested: tuple[str, ...] = ()


def understand(heads: Sequence[Head]) -> tuple[Column, ...]:
    """How every heading is understood, each on its own and then beside the others. Raises nothing.

    >>> [(c.field, c.unit, c.suggested) for c in understand([Head(0, "Qty"), Head(1, "Torque Nm")])]
    [(None, None, ('studs',)), ('torque', 'N·m', ())]
    """
    return _one_for_each(_beside([_column(head) for head in heads]))


def read_columns(cells: Sequence[Cell]) -> tuple[Column, ...]:
    """How every column of a heading row is understood; columns that nothing names are kept without a field.

    Raises InputError: `columns_conflict` when two columns claim one field, `column_unit_doubled`, `unit_wrong_kind`
    when the heading's unit is of another kind than its field. A unit that is not clear is left to the rows.

    >>> [(c.field, c.unit) for c in read_columns(["Joint", "Torque (ft-lb)", "Torque date"])]
    [('joint', None), ('torque', 'lbf·ft'), (None, None)]
    """
    columns = understand([Head(at, cell) for at, cell in enumerate(cells) if is_heading(cell)])
    for column in columns:
        if column.doubt is not None and column.doubt.code != "heading_unit_unknown":
            raise InputError(column.doubt)
    return columns


def is_heading(cell: Cell) -> bool:
    """Whether a cell can be a heading: a text that is no error."""
    return isinstance(cell, str) and not is_blank(cell) and not error_text(cell)


def is_unit(cell: Cell) -> bool | None:
    """Whether a cell below a heading is a unit: True; False for a mark that stands for none; None for neither.

    >>> is_unit("[ft-lb]"), is_unit("Nm / ft-lb"), is_unit("pcs"), is_unit("V-101")
    (True, True, False, None)
    """
    text = " ".join(str(cell).strip(" ()[]{}").split())
    if text.lower() in _PLAIN_BRACKETS:
        return False
    parts = [part.strip() for part in text.split("/")]
    known = text.lower() in _UNCLEAR_UNITS or kinds_of(text) or all(kinds_of(part) for part in parts)
    return True if known else None


def fields_named(heads: Sequence[Head]) -> set[str]:
    """The fields that headings name for sure, each on its own."""
    return {name for head in heads if (name := _column(head).field) is not None}


def fields_offered(heads: Sequence[Head]) -> set[str]:
    """The fields that headings name for sure or may mean."""
    columns = [_column(head) for head in heads]
    return {name for column in columns for name in ((column.field,) if column.field else column.suggested)}


def match(heading: Heading) -> Field | None:
    """The field that a heading names for sure, None for every other heading."""
    if heading.text.endswith("?"):
        return None  # "Torque required?" has yes and no below it
    words = canonical(heading.words)
    field = SURE.get(words)
    if heading.bracket:
        whole = SURE.get(canonical(f"{heading.words} {heading.bracket}"))
        if whole is not None:
            return whole
        if not (_unclear(heading) or set(heading.bracket.lower().split()) <= _PLAIN_BRACKETS):
            return None  # "Torque (previous)", "Lubricant (Y/N)"
    if heading.unit and kinds_of(heading.unit) == ("percent",):
        field = SURE.get(f"percent {words}", field)
    if field is None or not (heading.unit or heading.doubled):
        return field
    if heading.doubled:
        return field if _measured(field) else None
    kinds = kinds_of(str(heading.unit))
    if field.cells == "thread" or field.name in _WITH_LENGTH:
        return field if "length" in kinds else None
    return field if _measured(field) else None  # "Stress area (mm²)"


def _measured(field: Field) -> bool:
    """Whether a field's numbers have a unit."""
    quantity = QUANTITIES.get(field.cells)
    return quantity is not None and quantity.kind not in ("number", "count")


def _unclear(heading: Heading) -> bool:
    """Whether what stands in brackets may be a unit, but of several things or none."""
    return heading.bracket.lower().strip(". ") in _UNCLEAR_UNITS


def _column(head: Head) -> Column:
    own = _with_unit(head)
    field, heading, doubtful = match(own), own, False
    if head.above:
        near = head.above.rpartition(SEPARATOR)[2]
        wholes = [split(f"{above} {_text_with_unit(head)}".strip()) for above in (head.above, near)]
        words = [word for part in head.above.split(SEPARATOR) for word in canonical(split(part).words).split()]
        whole = next((each for each in wholes if match(each) is not None), wholes[-1])
        if (combined := match(whole)) is not None and not TRAPS & set(words):
            field, heading = combined, whole
        elif TRAPS & set(words):
            return Column(head.at, head.shown, None, own.unit, NOT_USED)
        elif field is not None and head.spans:
            doubtful = not all(word in _NEUTRAL or field.name in _ABOUT.get(word, ()) for word in words)
        elif field is None:
            heading = own if own.words else whole
    if field is None:
        return Column(head.at, head.shown, None, own.unit, NOT_USED, suggested=suggest(heading))
    if doubtful:
        return Column(head.at, head.shown, None, own.unit, NOT_USED, suggested=(field.name,))
    return _unit_of(head, field, heading)


def _text_with_unit(head: Head) -> str:
    unit = head.unit.strip(" ()[]{}")
    heading = split(head.text)
    if not unit or unit == "-" or heading.unit or heading.doubled or heading.bracket:
        return head.text
    return f"{head.text} [{unit}]"


def _with_unit(head: Head) -> Heading:
    return split(_text_with_unit(head))


def _unit_of(head: Head, field: Field, heading: Heading) -> Column:
    """The column of a field that is known: its unit, or what is wrong with it."""
    quantity = QUANTITIES.get(field.cells)
    column = Column(head.at, head.shown, field.name, None, EXACT)
    if field.cells == "thread" or field.name in _WITH_LENGTH:
        return replace(column, unit=symbol("length", heading.unit) if heading.unit else None)
    if quantity is None or quantity.kind in ("number", "count"):
        return column
    if heading.doubled:
        return replace(column, doubt=Finding("column_unit_doubled", field.name, {"heading": head.shown}))
    if quantity.kind == "percent":
        if heading.unit and kinds_of(heading.unit) != ("percent",):
            return replace(column, doubt=_wrong_kind(field.name, "percent", heading.unit, head.shown))
        return replace(column, unit="%")
    if heading.unit:
        try:
            return replace(column, unit=symbol(quantity.kind, heading.unit))
        except InputError:
            return replace(column, doubt=_wrong_kind(field.name, quantity.kind, heading.unit, head.shown))
    if _unclear(heading):
        facts = {"heading": head.shown, "kind": quantity.kind}
        return replace(column, doubt=Finding("heading_unit_unknown", field.name, facts))
    return column


def _wrong_kind(name: str, kind: str, unit: str, heading: str) -> Finding:
    try:
        symbol(kind, unit)
    except InputError as error:
        return Finding(error.finding.code, name, {**error.finding.facts, "place": f"heading '{heading}'"})
    raise ValueError(unit)


def suggest(heading: Heading) -> tuple[str, ...]:
    """The fields that a heading may mean: a bare word, a unit that speaks, or a near miss. Never taken, only offered.

    >>> suggest(split("Qty")), suggest(split("Tourqe value")), suggest(split("Torque date")), suggest(split("P&ID"))
    (('studs',), ('torque',), (), ())
    """
    words = canonical(heading.words)
    if words in ("operation", "method", "tightening method") and not heading.unit:
        return (SURE[words].name,)  # what stands in brackets are its words
    if words in BARE:
        return tuple(name for name in BARE[words] if _agrees(BY_NAME[name], heading))
    parts = set(words.split()) | set(canonical(heading.bracket).split())
    if TRAPS & parts or any(part.isdigit() for part in parts):
        return ()
    if words in SURE:
        return (SURE[words].name,) if not (heading.unit or SURE[words].optional) else ()
    near = difflib.get_close_matches(words, SURE, n=3, cutoff=0.86) if len(words) > 4 else []
    kinds = kinds_of(heading.unit) if heading.unit else ()
    spoken = ["torque"] if "torque" in kinds else ["load"] if "force" in kinds else []
    fields = [SURE[each] for each in near if not SURE[each].optional and _agrees(SURE[each], heading)]
    return tuple(dict.fromkeys([*(field.name for field in fields), *spoken]))


def _agrees(field: Field, heading: Heading) -> bool:
    """Whether the unit of a heading can be one of a field."""
    quantity = QUANTITIES.get(field.cells)
    return not heading.unit or quantity is None or quantity.kind in kinds_of(heading.unit)


def _beside(columns: list[Column]) -> list[Column]:
    """Bare words that only cards show, where the column for their other meaning is there."""
    taken = {column.field for column in columns}
    targets = {"stress", "percent"} & taken
    means = {"size": "size", "rating": "rating", "area": "plant_area"}
    if "thread" not in taken:
        return columns
    settled = []
    for column in columns:
        words = canonical(split(column.heading).words)
        name = means.get(words) if column.field is None and column.suggested else None
        if name and name not in taken and (name != "plant_area" or "area" in taken or not targets):
            taken.add(name)
            unit = symbol("length", column.unit) if name == "size" and column.unit else None
            column = replace(column, field=name, unit=unit, matched=CONTEXT, suggested=())
        settled.append(column)
    return settled


def _one_for_each(columns: Sequence[Column]) -> tuple[Column, ...]:
    """Two columns for one field are an error, save where only cards show it: there the first one counts."""
    claims: dict[str, list[Column]] = {}
    for column in columns:
        if column.field is not None:
            claims.setdefault(column.field, []).append(column)
    settled = []
    for column in columns:
        rivals = claims.get(column.field or "", [])
        if len(rivals) > 1 and BY_NAME[str(column.field)].soft:
            column = column if column is rivals[0] else replace(column, field=None, matched=NOT_USED, doubt=None)
        elif len(rivals) > 1:
            doubt = Finding("columns_conflict", str(column.field), {"headings": tuple(r.heading for r in rivals)})
            column = replace(column, field=None, matched=NOT_USED, doubt=doubt, suggested=(str(column.field),))
        settled.append(column)
    return tuple(settled)


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
