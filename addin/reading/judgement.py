"""How sure a field is for its column, in which unit, and why, in words."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from addin.reading.assignment import SLOTS
from addin.reading.evidence import METRIC
from addin.reading.fields import BY_NAME
from addin.reading.grammar import BLOCK
from addin.reading.heads import ASK_WORTHY, BESIDE, CALCULATING, NO_FIELD, PROTECTS, SHOWN_ONLY, TARGETS, cut
from addin.reading.laws import noted_unit
from addin.reading.notes import Notes
from addin.reading.seen import FORCES, RIVAL, SeenColumn, also_in, says_nothing
from addin.reading.spellings import spelled, symbol_of
from addin.reading.understood import ASKED, NOT_USED, PITCH, PROPOSED, SURE, ColumnReading, State, shown_name
from calc.quantities import QUANTITIES


def unit_of_field(column: SeenColumn, name: str, notes: Notes) -> tuple[str | None, bool, str]:
    """Unit of a column's bare numbers under a field, whether it is open, and where it was found."""
    quantity = QUANTITIES.get(BY_NAME[name].cells)
    kind = "length" if name in ("thread", "size", "length") else quantity.kind if quantity else ""
    if kind in ("", "number", "count"):
        return None, False, ""
    if kind == "percent":
        return "%", False, "the field"
    if column.doubled and kind not in ("length",):
        return None, True, "two units stand in the heading"
    if (name in FORCES and name != "load") and column.unit is not None and column.unit.kind == "force":
        return None, True, "a load where a stress is wanted"
    unit = symbol_of(column.unit, kind)
    if unit is not None:
        return unit, False, column.unit_from
    bare = [t for t in column.cells.texts if t in column.cells.numbers and not has_unit(t)]
    if name == "thread":
        ints = [v for t in bare if (v := column.cells.numbers[t]) > 4.01]
        inches = [t for t in column.cells.texts if "/" in t or '"' in t]
        words = spelled(column.head.text).bare
        if len(set(ints)) > 1 and (len(ints) == len(bare) or not inches) and all(v in METRIC for v in ints):
            return (
                ("mm", False, "sizes above 4 are no inches")
                if len(ints) == len(bare) or re.search(r"[_ ]M$", words)
                else (None, False, "")
            )
        return None, False, ""
    if (
        bare
        and kind in ("torque", "stress", "force")
        and 2 * sum(column.cells.texts[t] for t in bare) <= column.cells.filled
    ):
        return None, False, "the cells"
    if name in ("size", "length", "grip") or not bare:
        if name in ("length", "grip") and "length" in notes.units:
            return noted_unit("length", notes), False, f"the note '{cut(notes.units['length'].words)}'"
        return None, bool(name == "grip" and bare), ""
    if name == "across_flats":
        values = [column.cells.numbers[t] for t in bare]
        if all(v > 8 for v in values):
            return "mm", False, "its numbers"
        if all(v < 7.5 for v in values):
            return "in", False, "its numbers"
        return None, True, ""
    if column.unit is None and (noted := noted_unit(kind, notes)) is not None:
        which = {"torque": "torque", "stress": "stress", "force": "force"}.get(kind, "")
        return noted, False, f"the note '{cut(notes.units[which].words)}'" if which else "a note"
    return None, True, ""


def _unit_doubt(column: SeenColumn) -> str:
    if column.doubled:
        return "doubled"
    return "unclear" if column.unit is not None and not column.unit.symbol else ""


def has_unit(text: str) -> bool:
    """Whether a cell holds more than a bare number."""
    return bool(re.search(r"[A-Za-z\"″%]", text))


def judge(
    column: SeenColumn, name: str | None, columns: Sequence[SeenColumn], best: Mapping[str, float], notes: Notes
) -> ColumnReading:
    """A column under the field that it was assigned: state, unit, candidates and the reason."""
    head = column.head
    made = ColumnReading(head.at, head.shown, None, None, NOT_USED, values=column.cells.first)
    if name is None and column.wrong_unit and not column.concepts & BLOCK:
        why = f"the heading names {shown_name(column.wrong_unit)}, but its unit is one of {column.unit.kind if column.unit else 'another kind'}"
        return replace(made, field=column.wrong_unit, state=ASKED, candidates=(column.wrong_unit, "none"), why=why)
    if name is None:
        return replace(made, why=_why_not(column))
    if name == PITCH:
        return replace(
            made,
            field=PITCH,
            state=SURE,
            candidates=(PITCH,),
            unit=symbol_of(column.unit, "length"),
            why="the pitch, or threads per inch, of the thread beside it",
        )
    if name in SHOWN_ONLY:
        return replace(made, why=f"'{head.shown}' reads as {shown_name(name)}, which is shown and not calculated with")
    if name == "date" and column.cell.get("no_day", -1.0) > 0:
        told = ", ".join(cut(text, 12) for text in column.cells.first[:2])
        why = f"it {NO_DAYS} ({told}); the day of the work is stated for the list"
        return replace(made, why=why)
    state = _state(column, name, columns, best)
    unit, unit_open, unit_from = unit_of_field(column, name, notes)
    rivals = sorted(
        (n for n, s in column.score.items() if n != name and n in BY_NAME and n not in BESIDE and s > NO_FIELD),
        key=lambda n: -column.score[n],
    )
    candidates = (name, *rivals[:3])
    why = _why(column, name, unit, unit_from)
    if name in TARGETS and (doubt := _doubt(column, name)):
        state, why = (PROPOSED if state == SURE else state), f"{doubt}; {why}"
    if not column.cells.filled and (
        state == PROPOSED or (name in ("operation", "method") and column.cells.rows)
    ):  # fmt: skip
        return replace(made, why=f"reads as {shown_name(name)}, and no cell below it holds anything")
    if state == PROPOSED and _shown_surely(column, name):
        state = SURE
    if not column.cells.filled and not column.cells.texts and BY_NAME[name].optional and not BY_NAME[name].kept:
        return replace(made, why=f"reads as {shown_name(name)}, and no cell below it holds anything")
    if BY_NAME[name].optional and state == PROPOSED and _shown_if_named(column, name):
        state = SURE
    if BY_NAME[name].optional and state != SURE and name not in PROTECTS and not _asked_if_named(column, name):
        return replace(made, why=f"may be {shown_name(name)}, which is optional; {why}")
    by_law = name == "length" and not column.heard.concepts and not column.heard.near
    if state == PROPOSED and name not in ASK_WORTHY and not BY_NAME[name].optional and not by_law:
        state = SURE if column.score.get(name, 0) > 0.75 and column.cell.get(name, 0) >= 0 else NOT_USED
        if state == NOT_USED:
            return replace(made, why=f"may be {shown_name(name)}, which only cards show; {why}")
    if unit_open and ((state == SURE and name in CALCULATING) or name in PROTECTS):
        why += (
            "; its unit stands neither in the heading, nor in the cells, nor in a note"
            if unit_from == ""
            else f"; {unit_from}"
        )
        state = ASKED
    elif (
        unit_open
        and BY_NAME[name].optional
        and column.strength.get(name, 0.0) >= 0.8
        and column.cell.get(name, -1.0) >= 0
    ):
        state, why = ASKED, f"{why}; its unit stands neither in the heading, nor in the cells, nor in a note"
    elif unit_open and BY_NAME[name].optional:
        return replace(made, why=f"reads as {shown_name(name)}, not used: no unit of it can be taken")
    if name in column.against:
        state, why = ASKED, f"{why}; but {column.against[name]}"
    return replace(
        made,
        field=name,
        unit=unit,
        state=state,
        candidates=candidates,
        why=why,
        also=also_in(column, name),
        unit_open=unit_open,
        unit_doubt=_unit_doubt(column) if unit_open else "",
        confirmed=name in column.confirmed,
    )


NO_DAYS = "names weeks or weekdays, no days of the calendar"
_ON_CARDS = frozenset(("plant_area", "equipment", "line", "remarks", "gasket", "facing", "flange_kind", "coating", "washers", "order",
                       "turned_side", "stud_1", "stud_condition"))  # fmt: skip
"""Fields that a card shows as they stand; no number comes from them."""


def _shown_surely(column: SeenColumn, name: str) -> bool:
    """Whether a column that calculates nothing is clear enough to be shown as what it reads as."""
    if name not in _ON_CARDS or name in column.against:
        return False
    if says_nothing(column) and not column.strength.get(name):
        return True  # found by its cells alone, where no column is named so
    strength, cells = column.strength.get(name, 0.0), column.cell.get(name, 0.0)
    whole = not column.heard.unknown or bool(column.legend)
    least = 0.0 if name in ("gasket", "line") else -0.2
    codes = not column.cells.numbers and not (name == "line" and "JOINT" in column.heard.concepts)
    if name in ("gasket", "line") and whole and strength >= 0.9 and codes:
        least = -0.45  # codes of the list's own
    return (
        (whole and strength >= 0.7 and cells >= least) or (whole and strength >= 0.25 and cells >= 0.5) or cells >= 0.9
    )


def _shown_if_named(column: SeenColumn, name: str) -> bool:
    """Whether a text that only cards show stands under a word that is nearly known ("Unterlegsch.")."""
    named = BY_NAME[name].kept and column.strength.get(name, 0.0) >= 0.8
    return named and column.cell.get(name, 0.0) >= 0.0 and name not in column.against


def _asked_if_named(column: SeenColumn, name: str) -> bool:
    """Whether a number that a plan may do without is worth a look: nearly named, in a unit of its kind, or by two words."""
    kind = BY_NAME[name].kind
    if kind is None or not column.cells.filled or name in column.against or column.heard.unknown:
        return False
    told = column.unit is not None or kind in ("number", "count", "percent")
    return column.strength.get(name, 0.0) >= 0.8 and column.cell.get(name, 0.0) >= -0.1 and told


_LIMITS = frozenset(("stud_maximum", "stud_minimum", "flange_limit"))


def _state(column: SeenColumn, name: str, columns: Sequence[SeenColumn], best: Mapping[str, float]) -> State:
    """Whether a field is sure for a column. `columns`: those without a field; `best`: what fields in use are worth."""
    strength, cells, explained = column.strength.get(name, 0.0), column.cell.get(name, 0.0), column.explained
    mine = column.score.get(name, 0.0)
    together = also_in(column, name)  # "20 x M36" holds both: the one is no rival of the other
    rival_fields = max(
        (
            s
            for n, s in column.score.items()
            if n != name and n not in BESIDE and n not in together and best.get(n, -9.0) < s + 0.25
        ),
        default=-9.0,
    )
    if _needs_no_look(column, name) and mine - rival_fields >= 0:
        return SURE
    rival_columns = (
        max((c.score.get(name, -9.0) for c in columns if c is not column), default=-9.0) if name not in SLOTS else -9.0
    )
    rival = max(rival_columns, rival_fields)
    if mine - rival < RIVAL or name in column.against:
        return PROPOSED
    if name == "wrench" and not cells > 0.3 and not any(sign.isdigit() for text in column.cells.texts for sign in text):
        return PROPOSED  # "Tool" over S and M: kinds of tool, none of which the book knows
    if explained and strength >= 0.85 and cells >= -0.15:
        return SURE
    if explained and strength >= 0.6 and cells >= 0.5:
        return SURE
    if strength >= 0.6 and cells >= 0.7 and name not in CALCULATING:
        return SURE
    if BY_NAME[name].optional and explained and strength >= 0.8 and cells >= 0:
        return SURE
    if name in _LIMITS and explained and strength >= 0.6 and cells >= 0 and column.unit is not None:
        return SURE  # σ_max, Sb,max in a unit of stress or force
    if name in ("size", "rating") and explained and strength >= 0.45 and cells >= 0.5:
        return SURE
    if name in column.confirmed and strength >= 0.6 and cells >= 0:
        return SURE
    return PROPOSED


def _needs_no_look(column: SeenColumn, name: str) -> bool:
    """Whether cells, laws or the names of the wrench book settle what a heading only hints at."""
    strength, cells, whole = column.strength.get(name, 0.0), column.cell.get(name, 0.0), column.explained
    if name in column.against:
        return False
    if name == "wrench":  # "Tool" over T-05, H2: codes, not methods, and none that the book does not know
        codes = [text for text in column.cells.texts if text in column.cells.numbers]
        return whole and strength >= 0.6 and cells > 0.1 and not codes and column.cell.get("method", 0.0) < 0.3
    if name == "across_flats":
        return name in column.confirmed and cells >= 0.5 and strength > 0
    if name in ("size", "rating"):
        return whole and strength >= 0.4 and cells >= 0.3 and not ({"COUNT", "CREW"} & column.concepts)
    if name in ("method", "operation"):  # "Tool" over such words may say less
        told = "METHOD" in column.concepts or not column.concepts & {"TOOL", "WRENCH"}
        return strength > 0 and cells >= 0.85 and told
    if name in ("thread", "studs", "grade", "nut_grade"):
        return whole and strength >= 0.4 and cells >= 0.85
    if name == "torque":
        torque = column.unit is not None and column.unit.kind == "torque"
        return whole and strength >= 0.45 and name in column.suits and (torque or "torque" in _kinds_in_cells(column))
    return False


def _kinds_in_cells(column: SeenColumn) -> set[str]:
    """The kinds of unit that most cells of a column carry."""
    most = 0.5 * column.cells.filled
    return {key.split(":")[0] for key, count in column.cells.units.items() if count > most}


def _why(column: SeenColumn, name: str, unit: str | None, unit_from: str) -> str:
    """One sentence with the evidence for a field."""
    said = []
    strength, cells = column.strength.get(name, 0.0), column.cell.get(name, 0.0)
    if column.legend:
        said.append(f"the note explains '{column.own.bare}' as '{cut(column.legend, 40)}'")
    elif strength >= 0.85:
        said.append("the heading says so")
    elif strength >= 0.4:
        said.append("the heading may say so")
    if column.heard.near and not column.legend:
        said.append(", ".join(f"'{word}' looks like '{other}'" for word, other in column.heard.near))
    if column.heard.unknown and not column.legend:
        said.append(f"'{', '.join(column.heard.unknown)}' is not known")
    if cells >= 0.5:
        said.append(f"the cells look like it ({', '.join(cut(v, 16) for v in column.cells.first[:2])})")
    elif cells < 0:
        said.append("the cells do not look like it")
    if name in column.confirmed:
        said.append(
            "size across flats suits the threads"
            if name == "across_flats"
            else "it agrees with thread and the other columns"
        )
    if unit and unit_from not in ("", "the field", "the heading"):
        said.append(f"{unit} by {unit_from}")
    return "; ".join(said) or "by its cells"


def _doubt(column: SeenColumn, name: str) -> str:
    """Why the only target of a list must be confirmed, "" where its heading and its place say nothing against it."""
    if column.concepts & BLOCK and not column.strength.get(name):
        return f"{_why_not(column)}, and no other target stands in the list"
    return column.doubt


def _why_not(column: SeenColumn) -> str:
    blocked = column.concepts & BLOCK
    words = {"RECORD": "what was done or measured", "CHECK": "a check or signature", "PERSON": "people", "PAPER": "a document or number of paper",
             "LOGISTIC": "logistics", "SPARE": "stores", "STAGE": "a stage on the way", "OLD": "an earlier value", "GAUGE": "a pressure of a pump",
             "TEMP": "a temperature", "ELONG": "stretch or turn", "DRY": "another condition of friction", "HOT": "a later retightening",
             "DONEDATE": "a date of work done", "TESTW": "a test", "RESIDUAL": "a load after losses", "YIELD": "a strength of the material",
             "SECT": "an area of the stud", "PITCH": "the pitch of the thread", "OTHERDIM": "another dimension", "NUTCOUNT": "a number of nuts", "DRIVE": "the torque of a drive",
             "MAXI": "a limit", "MINI": "a limit",
             "ALLOW": "a limit", "YN": "a yes or no", "PCD": "a bolt circle", "DUTY": "what flows in it", "GLAND": "the gland of a packing", "LIMIT": "a tolerance"}  # fmt: skip
    if {"STUD", "TEMP"} <= column.concepts:
        return "the heading speaks of the studs' temperature in service; that at tightening is 'stud temperature'"
    for concept, text in words.items():
        if concept in blocked:
            return f"the heading speaks of {text}"
    if column.heard.unknown:
        return f"'{', '.join(column.heard.unknown)}' is no word that is known here, and the cells do not tell"
    return "no field of a joint is named by this heading"
