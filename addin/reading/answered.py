"""A person's answers laid over what was understood: fields, units, whole-list facts; what is new or gone is asked."""

from collections.abc import Sequence
from dataclasses import replace

from addin.cells.headings import split
from addin.cells.words import line
from addin.reading.column import letter
from addin.reading.fields import BY_NAME
from addin.reading.understood import (
    ASKED,
    CHECKED,
    NONE,
    NOT_USED,
    PROPOSED,
    SURE,
    Answers,
    ColumnAnswer,
    ColumnReading,
    OpenQuestion,
    first_key,
    heading_key,
    shown_name,
)
from addin.workbooks.package import WorkbookError
from calc.findings import Finding, InputError
from calc.quantities import QUANTITIES
from calc.units import kinds_of, symbol, system

_LENGTHS = ("thread", "size", "length")


def unit_kind(field: str) -> str:
    """The kind of unit of a field's bare numbers, "" where it has none."""
    quantity = QUANTITIES.get(BY_NAME[field].cells) if field in BY_NAME else None
    kind = "length" if field in _LENGTHS else quantity.kind if quantity else ""
    return "" if kind in ("number", "count") else kind


def _soft(field: str) -> bool:
    """Whether nothing is asked when a column of this field goes: cards alone show it, or it stands beside another."""
    return field not in BY_NAME or BY_NAME[field].soft


def lay_over(
    readings: Sequence[ColumnReading], answers: Answers | None, name: str = "answers"
) -> tuple[tuple[ColumnReading, ...], list[OpenQuestion]]:
    """The readings as a person has them, and what has changed since the answers were given.

    `name`: the file of the answers, for what is refused. A heading that is not among the answers keeps its own reading,
    save that a field somebody has already given to another column is not taken twice.

    Raises WorkbookError when an answer contradicts the list or another answer.
    """
    if answers is None:
        return tuple(readings), []
    known: dict[str, list[ColumnAnswer]] = {}
    for key, each in answers.columns.items():
        known.setdefault(first_key(key), []).append(each)
    out, asked = [], []
    here = {heading_key(reading.heading) for reading in readings}
    given = {
        answer.field
        for key, answer in answers.columns.items()
        if key in here and not answer.proposal and not answer.checked
    }
    for reading in readings:
        entries = known.get(heading_key(reading.heading), [])
        answer = entries.pop(0) if entries else None
        if answer is None:
            new = (
                reading.field in BY_NAME
                and not BY_NAME[str(reading.field)].soft
                and reading.state in (SURE, PROPOSED, ASKED)
            )
            if new and reading.field in given:
                reading = replace(
                    reading, field=None, unit=None, state=NOT_USED, why="the answers give its field to another column"
                )
            elif new and not BY_NAME[str(reading.field)].optional and answers.columns:
                finding = Finding("column_is_new", str(reading.field), {"heading": reading.heading})
                asked.append(OpenQuestion("new", letter(reading.at), str(reading.field), _line(reading.at, finding)))
                reading = replace(reading, state=ASKED)
            out.append(reading)
            continue
        out.append(_proposed(reading, answer) if answer.proposal else _answered(reading, answer, answers.by, name))
    for key, left in known.items():
        for answer in left:
            if answer.field != NONE and not answer.checked and not answer.proposal and not _soft(answer.field):
                finding = Finding("column_is_gone", answer.field, {"heading": key})
                asked.append(OpenQuestion("gone", "", answer.field, line(finding, system("US"))))
    _check_once(out, answers, name)
    return tuple(out), asked


def _line(at: int, finding: Finding) -> str:
    return f"column {letter(at)}: {line(finding, system('US'))}"


def _answered(reading: ColumnReading, answer: ColumnAnswer, by: str, name: str) -> ColumnReading:
    why = f"confirmed by {by}" if by else "as answered"
    if answer.field == NONE:
        return replace(
            reading, field=None, unit=None, state=NOT_USED, why=why, also=(), unit_open=False, answered=by or name
        )
    unit = _unit(reading, answer, name)
    kind = unit_kind(answer.field)
    open_unit = reading.unit_open and unit is None if answer.field == reading.field else False
    state = CHECKED if answer.checked else ASKED if open_unit else SURE
    also = reading.also if answer.field == reading.field else ()
    if kind == "" and answer.unit:
        raise WorkbookError(
            f"{name}: column {letter(reading.at)} '{reading.heading}': {shown_name(answer.field)} has no unit, the answer says"
            f" '{answer.unit}'"
        )
    return replace(
        reading,
        field=answer.field,
        unit=unit,
        state=state,
        why=why,
        unit_open=open_unit,
        also=also,
        answered=by or name,
    )


def _unit(reading: ColumnReading, answer: ColumnAnswer, name: str) -> str | None:
    kind = unit_kind(answer.field)
    where = f"{name}: column {letter(reading.at)} '{reading.heading}'"
    own = reading.unit if answer.field == reading.field else None
    if kind == "percent":
        return "%"
    if not answer.unit or kind == "":
        stated = split(reading.heading).unit
        return own or (symbol(kind, stated) if kind and stated and kind in kinds_of(stated) else None)
    try:
        unit = symbol(kind, answer.unit)
    except InputError as error:
        raise WorkbookError(f"{where}: {line(error.finding, system('US'))}") from None
    if own is not None and own != unit:
        raise WorkbookError(f"{where}: the answer says {unit}, the heading {own}")
    return unit


def _proposed(reading: ColumnReading, answer: ColumnAnswer) -> ColumnReading:
    """What an answer of another list changes: only what is proposed, and only where the list is not sure itself."""
    if reading.state == SURE or answer.field == reading.field:
        return reading
    if answer.field == NONE:
        return reading
    rest = tuple(name for name in reading.candidates if name != answer.field)
    why = f"so answered for another list; {reading.why}"
    return replace(reading, field=answer.field, state=PROPOSED, candidates=(answer.field, *rest), why=why)


def _check_once(readings: Sequence[ColumnReading], answers: Answers, name: str) -> None:
    """Each field stands in one column, or holds for the whole list, never both."""
    holders: dict[str, list[ColumnReading]] = {}
    for reading in readings:
        if reading.used and reading.answered:
            holders.setdefault(str(reading.field), []).append(reading)
    for field, found in holders.items():
        letters = " and ".join(letter(reading.at) for reading in found)
        if len(found) > 1:
            raise WorkbookError(
                f"{name}: {shown_name(field)} stands in columns {letters}; keep one, and answer 'not used' for the others"
            )
        if field in answers.whole and field not in ("at_once", "date"):
            raise WorkbookError(
                f"{name}: {shown_name(field)} holds for the whole list, but column {letters} has it too; "
                "answer 'not used' for the column, or leave the line of the whole list blank"
            )
