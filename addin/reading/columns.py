"""Every column of a list -> a field, a unit and how sure that is: words, units, cells, notes and physics, one assignment."""

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from addin.reading import physics
from addin.reading.evidence import METRIC, Cells, evidence, look
from addin.reading.facts_in_cells import parts, two_diameters
from addin.reading.fields import BY_NAME
from addin.reading.grammar import BLOCK, Heard, Lexicon, hear, lexicon, strengths
from addin.reading.notes import Notes
from addin.reading.spellings import Spelled, UnitText, spelled, symbol_of, unit_of
from addin.reading.understood import ASKED, CHECKED, NOT_USED, PITCH, PROPOSED, SURE, ColumnReading, State, shown_name
from calc.quantities import QUANTITIES

NO_FIELD = 0.55
"""What it is worth to be no field."""
NOT_EXPLAINED, OF_CELLS, AGAINST, RIVAL = 0.75, 0.6, 1.1, 0.12
TARGETS = ("stress", "load", "torque", "percent")
CALCULATING = frozenset(
    (*TARGETS, "thread", "studs", "grade", "area", "lubricant", "nut_factor", "thread_friction", "nut_friction", "wrench",
     "at_once", "nut_series", "across_flats", "operation", "method", "joint", "date")
)  # fmt: skip
"""Fields that change a number or what is done: each of their columns is used only when sure."""
ASK_WORTHY = CALCULATING | {"size", "rating"}
_LENGTHS = frozenset(("thread", "size", "length", "grip", "across_flats", "gasket_inside_diameter", "gasket_outside_diameter",
                      "bolt_circle", "flange_outside_diameter", "flange_inside_diameter", "flange_thickness"))  # fmt: skip
_STRESSES = frozenset(("stress", "target_gasket_stress", "gasket_maximum", "gasket_seating", "gasket_operating", "stud_maximum",
                       "stud_minimum", "flange_limit", "gasket_y", "yield_strength"))  # fmt: skip
_FORCES = frozenset(("load", "stud_maximum", "stud_minimum", "flange_limit"))
_BY_UNIT: dict[str, frozenset[str]] = {
    "torque": frozenset(("torque",)), "stress": _STRESSES | {"design_pressure", "rating"}, "force": _FORCES,
    "pressure": frozenset(("design_pressure", "rating", "target_gasket_stress", "gasket_maximum", "gasket_y", "gasket_seating",
                           "gasket_operating")),
    "length": _LENGTHS, "area": frozenset(("gasket_area",)), "percent": frozenset(("percent", "gasket_load_kept")),
    "time": frozenset(), "temperature": frozenset(), "mass": frozenset(), "angle": frozenset(("flange_rotation", "rotation_limit")),
}  # fmt: skip
_ROOM = {
    PITCH,
    "hold_point",
    "witness",
    "crew",
    "shift",
    "work_order",
    "shank_diameter",
    "nut_grade",
    "sequence",
    "print",
}


@dataclass(frozen=True)
class Head:
    """One heading as it stands: its place (from 0), its text, what stands above it, and its cell in a row of units.

    `spans`: what stands above is merged, or spread, over several columns.
    """

    at: int
    text: str
    above: str = ""
    spans: bool = False
    unit: str = ""

    @property
    def shown(self) -> str:
        """The heading as it is shown to the user: from above to below."""
        return " / ".join(part for part in (self.above, self.text, self.unit) if part)


@dataclass
class _Column:
    """What is known of a column while it is read."""

    head: Head
    cells: Cells
    own: Spelled
    heard: Heard
    above: Heard | None
    unit: UnitText | None
    doubled: bool
    unit_from: str
    strength: dict[str, float]
    cell: dict[str, float]
    values: Sequence[Any]
    legend: str = ""
    confirmed: set[str] = field(default_factory=set)
    against: dict[str, str] = field(default_factory=dict)
    staged: bool = False
    wrong_unit: str = ""
    score: dict[str, float] = field(default_factory=dict)

    @property
    def explained(self) -> bool:
        return self.heard.explained or bool(self.legend)

    @property
    def concepts(self) -> frozenset[str]:
        return self.heard.concepts | (self.above.concepts if self.above else frozenset())


def understand(
    heads: Sequence[Head], rows: Sequence[Sequence[Any]], notes: Notes | None = None,
    known: Mapping[str, Collection[str]] | None = None, words: Lexicon | None = None,
) -> tuple[ColumnReading, ...]:  # fmt: skip
    """How every column is understood. `rows`: cells of joint rows from column A on; `known`: names of the wrench book
    by field; `words`: another table of words.

    >>> found = understand([Head(0, "Flange No."), Head(1, "Bolts"), Head(2, "Torque Nm")],
    ...                    [["F-1", "12 x M24", 480], ["F-2", "8 x M20", 270]])
    >>> [(each.field, each.unit, each.state, each.also) for each in found]
    [('joint', None, 'sure', ()), ('thread', None, 'sure', ('studs',)), ('torque', 'N·m', 'sure', ())]
    """
    said = notes or Notes()
    columns = [_look_at(head, rows, said, known or {}, words or lexicon()) for head in heads]
    _lend_units(columns)
    _use_physics(columns, said)
    for column in columns:
        _score(column)
    taken = _assign(columns)
    _fill_gaps(columns, taken)
    free = [column for at, column in enumerate(columns) if at not in taken]
    best = {name: columns[at].score.get(name, 0.0) for at, name in taken.items()}
    readings = [_reading(column, taken.get(at), free, best, said) for at, column in enumerate(columns)]
    readings = _alternatives(columns, readings, said)
    readings = _governing(columns, readings, said)
    readings = _of_joint(columns, readings)
    readings = _doubts_of_the_list(columns, readings, said)
    return tuple(readings)


# --- one column ------------------------------------------------------------------------------------------------------


def _look_at(
    head: Head, rows: Sequence[Sequence[Any]], notes: Notes, known: Mapping[str, Collection[str]], words: Lexicon
) -> _Column:
    values = [row[head.at] if head.at < len(row) else None for row in rows]
    text = head.text
    if (
        head.unit
        and unit_of(head.unit.strip(" ()[]")) is None
        and len(head.unit) > 2
        and not spelled(head.unit).doubled
    ):
        text = f"{head.text} {head.unit}"  # what stands in the row of units is no unit: "% yield"
    own, above = spelled(text), hear(head.above, words) if head.above else None
    heard = hear(text, words)
    legend = notes.legends.get(" ".join(own.bare.casefold().split()).strip(" .:"), "") or notes.legends.get(
        head.text.strip(" .:").casefold(), ""
    )
    used_legend = ""
    if legend and len(legend) < 90:
        told = hear(legend, words)
        if (not heard.explained or not strengths(heard, above)) and told.concepts and strengths(told, above):
            heard, used_legend = Heard(told.readings), legend
    elif heard.unknown:
        told_words = [notes.legends.get(word, "") for word in heard.unknown]
        if all(told_words):
            extra = [reading for each in told_words for reading in hear(each, words).readings[:1]]
            if any(extra):
                heard = Heard(tuple(reading.union(*extra) for reading in heard.readings))
                used_legend = "; ".join(told_words)
    unit, doubled, unit_from = _unit(head, own, notes)
    cells = look(values)
    found = _Column(
        head, cells, own, heard, above, unit, doubled, unit_from, {}, evidence(cells, dict(known)), values, used_legend
    )
    _name(found)
    return found


def _unit(head: Head, own: Spelled, notes: Notes) -> tuple[UnitText | None, bool, str]:
    if head.unit and (below := unit_of(head.unit.strip(" ()[]"))) is not None:
        return _told(below, notes), False, "the row of units"
    if head.unit and len(spelled(head.unit).units) > 1 and spelled(head.unit).doubled:
        return None, True, "the row of units"
    if own.doubled:
        return None, True, "the heading"
    if own.unit is not None:
        return _told(own.unit, notes), False, "the heading"
    if head.above:
        above = spelled(head.above)
        if above.unit is not None and not above.doubled:
            return _told(above.unit, notes), False, "the heading above"
    return None, False, ""


def _told(unit: UnitText, notes: Notes) -> UnitText:
    """A unit that is not clear by itself, as a legend explains it ("MT = metric tonne per stud")."""
    if not unit.symbol and unit.kind == "force":
        said = notes.legends.get(unit.text.casefold(), "")
        if "metric" in said.casefold() or "tonne" in said.casefold():
            return UnitText("force", "tf", unit.text)
    return unit


def _name(column: _Column) -> None:
    """The strength with which words and unit name each field."""
    found = strengths(column.heard, column.above)
    concepts = column.concepts
    if "STAGE" in concepts and not (concepts & (BLOCK - {"STAGE"})):
        plain = Heard(tuple(reading - {"STAGE", "NUM1"} for reading in column.heard.readings))
        above = Heard(tuple(reading - {"STAGE"} for reading in column.above.readings)) if column.above else None
        if (
            "TORQUE" in concepts
            or (column.unit and column.unit.kind == "torque")
            or any(strengths(plain, above).get(name, 0) > 0.7 for name in ("torque", "load", "stress"))
        ):
            column.staged = True
    unit = column.unit
    blocked = bool(concepts & BLOCK) and not found
    if unit is not None and unit.kind in ("torque", "stress", "pressure", "force", "length", "area", "percent"):
        strongest = max(
            (name for name in TARGETS if found.get(name, 0) >= 0.85), key=lambda name: found[name], default=""
        )
        if strongest and strongest not in _BY_UNIT[unit.kind] and not (strongest == "load" and unit.kind == "stress"):
            column.wrong_unit = strongest
    if unit is not None and unit.kind in _BY_UNIT:
        found = {
            name: value
            for name, value in found.items()
            if name in _BY_UNIT[unit.kind] or (name == "thread" and unit.kind == "length")
        }
        target = bool(concepts & {"TARGET", "LOAD", "STRESS", "BASIS", "ROOT", "TENSILE", "STUD", "PER"}) and not (
            concepts & {"GASKET", "GSTRESS", "DESIGN", "JOINT", "PRESS"}
        )
        if unit.kind == "percent" and "YIELD" in concepts and not concepts & (BLOCK - {"YIELD"}):
            found["percent"] = max(found.get("percent", 0), 0.9)
        nothing = not column.heard.concepts and not column.heard.unknown
        if not blocked and not (concepts & BLOCK):
            if unit.kind == "torque" and not concepts & {"GASKET", "PRESS", "TOOL", "GAUGE"}:
                found["torque"] = max(
                    found.get("torque", 0), 0.9 if nothing or concepts & {"TARGET", "TORQUE"} else 0.45
                )
            elif unit.kind == "stress" and target:
                found["stress"] = max(found.get("stress", 0), 0.9)
            elif unit.kind == "force" and (target or nothing) and "NUM1" not in concepts:
                found["load"] = max(found.get("load", 0), 0.9 if concepts & {"TARGET", "LOAD", "PER"} else 0.5)
    elif unit is not None and unit.kind == "unclear":
        folded = unit.text.lower().strip(" .()")
        if (
            folded in ("lb", "lbs", "#")
            and not concepts & BLOCK
            and not column.heard.concepts & {"TORQUE", "LOAD", "STRESS"}
        ):
            found["rating"] = max(found.get("rating", 0), 0.8)
    if column.own.question:
        found = {
            name: 0.6 * value
            for name, value in found.items()
            if name in ("stud_condition", "coating", "washers", "operation", "method")
        }
    column.strength = {name: value for name, value in found.items() if name in BY_NAME or name in _ROOM}


def _lend_units(columns: Sequence[_Column]) -> None:
    """A unit in the first heading of a series ("Torque Nm / Stage 1", "Stage 2") holds for its neighbours of the series."""
    for before, column in zip(columns, columns[1:], strict=False):
        if (
            column.unit is None
            and before.unit is not None
            and before.unit.kind == "torque"
            and column.head.at == before.head.at + 1
        ):
            concepts, same = column.heard.concepts, before.head.above and before.head.above == column.head.above
            if column.cell.get("torque", -1) <= 0:
                continue
            same = same and (not concepts or concepts <= {"STAGE", "TARGET", "NUM1", "PERCENT", "LUBED", "DRY"})
            series = concepts & {"STAGE", "DRY", "LUBED", "FRICTION", "KSYM", "LUBE"} or re.fullmatch(
                r"[\d.]+ ?%", column.head.text.strip()
            )
            words = before.heard.concepts | (before.above.concepts if before.above else frozenset())
            if (series or same) and (
                "TORQUE" in words
                or before.staged
                or not before.heard.concepts
                or before.heard.concepts <= {"STAGE", "TARGET", "NUM1", "PERCENT"}
            ):
                column.unit, column.unit_from = before.unit, "the heading beside it"
                _name(column)
                if series and not column.head.above and not (column.concepts & (BLOCK - {"STAGE", "DRY"})):
                    column.strength["torque"] = (
                        max(column.strength.get("torque", 0), 0.7)
                        if not column.staged
                        else column.strength.get("torque", 0)
                    )


def _score(column: _Column) -> None:
    for name in set(column.strength) | set(column.cell):
        strength = column.strength.get(name, 0.0)
        if strength <= 0.0:
            continue
        cells = column.cell.get(name, 0.0)
        if cells < -0.1 and strength >= 0.7 and column.explained and column.cells.filled <= 3 and name in ASK_WORTHY:
            cells = column.cell[name] = -0.1  # so few cells prove nothing against a heading; each is refused by itself
        value = strength * (1.0 if column.explained else NOT_EXPLAINED) - (0.05 if name in _ROOM else 0.0)
        value += OF_CELLS * cells if cells >= 0 else AGAINST * cells
        if name in column.confirmed:
            value += 0.4
        if name in column.against:
            value -= 0.3 if strength >= 0.85 and column.explained else 1.0  # what is named is asked about, not dropped
        if strength >= 0.85 and column.explained and name in CALCULATING and value < NO_FIELD:
            value = NO_FIELD + 0.02  # what a heading names for sure is asked about, never dropped in silence
        column.score[name] = value


# --- several columns -------------------------------------------------------------------------------------------------


def _si(column: _Column, kind: str, notes: Notes) -> tuple[str | None, np.ndarray]:
    unit = symbol_of(column.unit, kind) or _noted(kind, notes)
    return unit, physics.numbers(column.values, kind, unit)


def _noted(kind: str, notes: Notes) -> str | None:
    name = {"stress": "stress", "torque": "torque", "force": "force", "length": "length"}.get(kind, "")
    stated = notes.units.get(name)
    return symbol_of(unit_of(stated.value), kind) if stated else None


def _use_physics(columns: Sequence[_Column], notes: Notes) -> None:
    """Confirm or contradict quantities and units by what the studs can be."""
    named = [
        c
        for c in columns
        if c.strength.get("thread", 0) >= 0.5
        and c.cell.get("thread", -1) > 0.3
        and (c.strength.get("studs", 0) < 0.85 or c.strength["thread"] >= 0.85)
    ]
    if not named:
        named = [c for c in columns if c.cell.get("thread", -1) > 0.75 and not c.concepts & BLOCK]
    if not named:
        return
    thread = max(named, key=lambda c: (c.strength.get("thread", 0), c.cell["thread"]))
    sizes = physics.stud_sizes(thread.values, symbol_of(thread.unit, "length"))
    if np.isfinite(sizes.diameter).sum() < 1:
        return
    quantities: dict[str, list[tuple[_Column, np.ndarray]]] = {"torque": [], "load": [], "stress": []}
    for column in columns:
        if column is thread:
            continue
        for name, kind in (("torque", "torque"), ("load", "force"), ("stress", "stress")):
            if column.strength.get(name, 0) < 0.25:
                continue
            unit, found = _si(column, kind, notes)
            if not np.isfinite(found).any():
                continue
            fits = (physics.torque_fits(found, sizes) if name == "torque" else physics.load_fits(found, sizes) if name == "load"
                    else physics.stress_fits(found))  # fmt: skip
            if fits is None:
                continue
            if fits < 0.5:
                column.against[name] = f"{shown_name(name)} in {unit} does not suit these studs"
            elif unit or fits > 0.8:
                quantities[name].append((column, found))
        if column.strength.get("across_flats", 0) >= 0.25:
            unit = symbol_of(column.unit, "length") or ("in" if any("/" in t for t in column.cells.texts) else None)
            tries = [unit] if unit else ["mm", "in"]
            best = max(
                (physics.flats_fit(physics.numbers(column.values, "length", each), sizes) or 0.0) for each in tries
            )
            if best > 0.7:
                column.confirmed.add("across_flats")
            elif (
                best < 0.2 and physics.flats_fit(physics.numbers(column.values, "length", tries[0]), sizes) is not None
            ):
                column.cell["across_flats"] = min(column.cell.get("across_flats", 0), -0.6)
    for t_column, torque in quantities["torque"]:
        for l_column, load in quantities["load"]:
            same = physics.ratio(torque, load * sizes.diameter, 0.15)
            if same and same.count >= 3 and physics.K_LOW < same.middle < physics.K_HIGH and same.steady >= 0.6:
                t_column.confirmed.add("torque")
                l_column.confirmed.add("load")
        for s_column, stress in quantities["stress"]:
            same = physics.ratio(torque, stress * sizes.tensile * sizes.diameter, 0.2)
            if same and same.count >= 3 and physics.K_LOW < same.middle < physics.K_HIGH and same.steady >= 0.6:
                t_column.confirmed.add("torque")
                s_column.confirmed.add("stress")
    for l_column, load in quantities["load"]:
        for s_column, stress in quantities["stress"]:
            same = physics.ratio(load, stress * sizes.tensile, 0.12)
            if same and same.count >= 3 and 0.75 < same.middle < 1.25 and same.steady >= 0.6:
                l_column.confirmed.add("load")
                s_column.confirmed.add("stress")


_SLOTS = {"torque": 3, "load": 2, "stress": 2, "wrench": 1}


def _assign(columns: Sequence[_Column]) -> dict[int, str]:
    """One field for each column, so that the sum of all is the most."""
    from scipy.optimize import linear_sum_assignment

    names = [name for name in BY_NAME for _ in range(_SLOTS.get(name, 1))] + sorted(_ROOM)
    if not columns:
        return {}
    gain = np.full((len(columns), len(names) + len(columns)), 0.0)
    for i, column in enumerate(columns):
        for j, name in enumerate(names):
            gain[i, j] = column.score.get(name, -5.0)
        gain[i, len(names) :] = -5.0
        gain[i, len(names) + i] = NO_FIELD
    chosen = linear_sum_assignment(gain, maximize=True)
    return {int(i): names[j] for i, j in zip(*chosen, strict=True) if j < len(names)}


def _fill_gaps(columns: Sequence[_Column], taken: dict[int, str]) -> None:
    """Thread, studs and joint that no column names: the column whose cells can be nothing else."""
    for name, least in (("thread", 0.8), ("studs", 0.8), ("joint", 0.65)):
        if name in taken.values():
            continue
        free = [i for i, c in enumerate(columns) if i not in taken and c.cell.get(name, -1) >= least and not c.concepts & BLOCK
                and c.unit is None and not (c.explained and c.concepts and max(c.strength.values(), default=0) == 0)]  # fmt: skip
        if name == "thread" and not free:
            also = [
                i
                for i, c in enumerate(columns)
                if i in taken and taken[i] == "studs" and _also(c, "studs").count("thread")
            ]
            if also:
                continue
        if free:
            best = max(free, key=lambda i: columns[i].cell[name])
            columns[best].score.setdefault(name, 0.0)
            taken[best] = name


# --- what is said of it ----------------------------------------------------------------------------------------------


def _also(column: _Column, name: str) -> tuple[str, ...]:
    """Further fields in the cells of a column."""
    total = sum(column.cells.texts.values())
    if not total:
        return ()
    if name in ("gasket_inside_diameter", "gasket_outside_diameter"):
        both = sum(c for t, c in column.cells.texts.items() if two_diameters(t)) / total > 0.5
        other = "gasket_outside_diameter" if name == "gasket_inside_diameter" else "gasket_inside_diameter"
        return (other,) if both else ()
    counted: dict[str, int] = {}
    for text, count in column.cells.texts.items():
        for each in parts(text):
            counted[each] = counted.get(each, 0) + count
    return tuple(
        each
        for each in ("thread", "studs", "length", "size", "rating", "grade")
        if each != name and counted.get(each, 0) > 0.3 * total
    )


def _unit_of_field(column: _Column, name: str, notes: Notes) -> tuple[str | None, bool, str]:
    """Unit of a column's bare numbers under a field, whether it is open, and where it was found."""
    quantity = QUANTITIES.get(BY_NAME[name].cells)
    kind = "length" if name in ("thread", "size", "length") else quantity.kind if quantity else ""
    if kind in ("", "number", "count"):
        return None, False, ""
    if kind == "percent":
        return "%", False, "the field"
    if column.doubled and kind not in ("length",):
        return None, True, "two units stand in the heading"
    if (name in _FORCES and name != "load") and column.unit is not None and column.unit.kind == "force":
        return None, True, "a load where a stress is wanted"
    unit = symbol_of(column.unit, kind)
    if unit is not None:
        return unit, False, column.unit_from
    bare = [t for t in column.cells.texts if t in column.cells.numbers and not _has_unit(t)]
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
        if name == "length" and "length" in notes.units:
            return _noted("length", notes), False, f"the note '{_cut(notes.units['length'].words)}'"
        return None, bool(name == "grip" and bare), ""
    if name == "across_flats":
        values = [column.cells.numbers[t] for t in bare]
        if all(v > 8 for v in values):
            return "mm", False, "its numbers"
        if all(v < 7.5 for v in values):
            return "in", False, "its numbers"
        return None, True, ""
    if column.unit is None and (noted := _noted(kind, notes)) is not None:
        which = {"torque": "torque", "stress": "stress", "force": "force"}.get(kind, "")
        return noted, False, f"the note '{_cut(notes.units[which].words)}'" if which else "a note"
    return None, True, ""


def _unit_doubt(column: _Column) -> str:
    if column.doubled:
        return "doubled"
    return "unclear" if column.unit is not None and not column.unit.symbol else ""


def _has_unit(text: str) -> bool:
    return bool(re.search(r"[A-Za-z\"″%]", text))


def _cut(text: str, most: int = 60) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _reading(
    column: _Column, name: str | None, columns: Sequence[_Column], best: Mapping[str, float], notes: Notes
) -> ColumnReading:
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
    if name in _ROOM:
        return replace(made, why=f"'{head.shown}' reads as {shown_name(name)}, which is shown and not calculated with")
    state = _state(column, name, columns, best)
    unit, unit_open, unit_from = _unit_of_field(column, name, notes)
    rivals = sorted(
        (n for n, s in column.score.items() if n != name and n in BY_NAME and s > NO_FIELD),
        key=lambda n: -column.score[n],
    )
    candidates = (name, *rivals[:3])
    why = _why(column, name, unit, unit_from)
    if not column.cells.filled and state == PROPOSED:
        return replace(made, why=f"may be {shown_name(name)}, and no cell below it holds anything")
    if BY_NAME[name].optional and state != SURE:
        return replace(made, why=f"may be {shown_name(name)}, which is optional; {why}")
    if state == PROPOSED and name not in ASK_WORTHY:
        state = SURE if column.score.get(name, 0) > 0.75 and column.cell.get(name, 0) >= 0 else NOT_USED
        if state == NOT_USED:
            return replace(made, why=f"may be {shown_name(name)}, which only cards show; {why}")
    if unit_open and state == SURE and name in CALCULATING:
        why += (
            "; its unit stands neither in the heading, nor in the cells, nor in a note"
            if unit_from == ""
            else f"; {unit_from}"
        )
        state = ASKED
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
        also=_also(column, name),
        unit_open=unit_open,
        unit_doubt=_unit_doubt(column) if unit_open else "",
        confirmed=name in column.confirmed,
    )


def _state(column: _Column, name: str, columns: Sequence[_Column], best: Mapping[str, float]) -> State:
    """Whether a field is sure for a column. `columns`: those without a field; `best`: what fields in use are worth."""
    strength, cells, explained = column.strength.get(name, 0.0), column.cell.get(name, 0.0), column.explained
    mine = column.score.get(name, 0.0)
    rival_fields = max(
        (s for n, s in column.score.items() if n != name and n not in _ROOM and best.get(n, -9.0) < s + 0.25),
        default=-9.0,
    )
    rival_columns = (
        max((c.score.get(name, -9.0) for c in columns if c is not column), default=-9.0) if name not in _SLOTS else -9.0
    )
    rival = max(rival_columns, rival_fields)
    if mine - rival < RIVAL or name in column.against:
        return PROPOSED
    if explained and strength >= 0.85 and cells >= -0.15:
        return SURE
    if explained and strength >= 0.6 and cells >= 0.5:
        return SURE
    if strength >= 0.6 and cells >= 0.7 and name not in TARGETS:
        return SURE
    if BY_NAME[name].optional and explained and strength >= 0.8 and cells >= 0:
        return SURE
    if name in ("size", "rating") and explained and strength >= 0.45 and cells >= 0.5:
        return SURE
    if name in column.confirmed and strength >= 0.6 and cells >= 0:
        return SURE
    return PROPOSED


def _why(column: _Column, name: str, unit: str | None, unit_from: str) -> str:
    """One sentence with the evidence for a field."""
    said = []
    strength, cells = column.strength.get(name, 0.0), column.cell.get(name, 0.0)
    if column.legend:
        said.append(f"the note explains '{column.own.bare}' as '{_cut(column.legend, 40)}'")
    elif strength >= 0.85:
        said.append("the heading says so")
    elif strength >= 0.4:
        said.append("the heading may say so")
    if column.heard.near and not column.legend:
        said.append(", ".join(f"'{word}' looks like '{other}'" for word, other in column.heard.near))
    if column.heard.unknown and not column.legend:
        said.append(f"'{', '.join(column.heard.unknown)}' is not known")
    if cells >= 0.5:
        said.append(f"the cells look like it ({', '.join(_cut(v, 16) for v in column.cells.first[:2])})")
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


def _why_not(column: _Column) -> str:
    blocked = column.concepts & BLOCK
    words = {"RECORD": "what was done or measured", "CHECK": "a check or signature", "PERSON": "people", "PAPER": "a document or number of paper",
             "LOGISTIC": "logistics", "SPARE": "stores", "STAGE": "a stage on the way", "OLD": "an earlier value", "GAUGE": "a pressure of a pump",
             "TEMP": "a temperature", "ELONG": "stretch or turn", "DRY": "another condition of friction", "HOT": "a later retightening",
             "DONEDATE": "a date of work done", "TESTW": "a test", "RESIDUAL": "a load after losses", "YIELD": "a strength of the material",
             "SECT": "an area of the stud", "PITCH": "the pitch of the thread", "OTHERDIM": "another dimension", "MAXI": "a limit", "MINI": "a limit",
             "ALLOW": "a limit", "YN": "a yes or no", "PCD": "a bolt circle", "DUTY": "what flows in it", "LIMIT": "a tolerance"}  # fmt: skip
    for concept, text in words.items():
        if concept in blocked:
            return f"the heading speaks of {text}"
    if column.heard.unknown:
        return f"'{', '.join(column.heard.unknown)}' is no word that is known here, and the cells do not tell"
    return "no field of a joint is named by this heading"


# --- targets and joint -----------------------------------------------------------------------------------------------


def _mentions(sentence: str, column: _Column, others: Sequence[_Column]) -> bool:
    """Whether a sentence names a column by words that the other columns do not have."""
    mine = set(column.own.words) | {column.own.bare.casefold(), column.head.text.casefold().strip()}
    theirs = {
        word
        for other in others
        if other is not column
        for word in (*other.own.words, other.own.bare.casefold(), other.head.text.casefold().strip())
    }
    folded = " ".join(sentence.casefold().split())
    for word in sorted(mine - theirs, key=len, reverse=True):
        if len(word) >= 1 and re.search(rf"(?<!\w){re.escape(word)}(?!\w)", folded):
            if len(word) == 1 and not re.search(rf"(?<!\w){re.escape(column.own.bare)}(?!\w)", sentence):
                continue
            return True
    return False


def _governing(columns: Sequence[_Column], readings: list[ColumnReading], notes: Notes) -> list[ColumnReading]:
    """Of several columns of targets: which governs, which are compared, which is a stage only."""
    readings = _staged(columns, readings, notes)
    targets = [i for i, r in enumerate(readings) if r.field in TARGETS and r.state in (SURE, PROPOSED, ASKED)]
    if not targets:
        return readings
    group = [columns[i] for i in targets]
    for i in targets:
        told = [
            s
            for s in notes.infos
            if _mentions(s, columns[i], group) or _mentions_kind(s, readings[i].field, targets, readings)
        ]
        chosen = [s for s in notes.uses if _mentions(s, columns[i], group)]
        if told and not [s for s in chosen if s not in told] and len(targets) > 1:
            readings[i] = replace(readings[i], state=CHECKED, why=f"the note says '{_cut(told[0])}'")
    used = [
        i for i in targets if any(_mentions(s, columns[i], group) for s in notes.uses) and readings[i].state != CHECKED
    ]
    if len(used) == 1 and len(targets) > 1:
        said = next(s for s in notes.uses if _mentions(s, columns[used[0]], group))
        for i in targets:
            if i != used[0] and readings[i].field != "percent":
                readings[i] = replace(
                    readings[i], state=CHECKED, why=f"another column governs: the note says '{_cut(said)}'"
                )
        readings[used[0]] = replace(
            readings[used[0]], why=f"{readings[used[0]].why}; it governs: the note says '{_cut(said)}'"
        )
        return readings
    for name in TARGETS:
        same = [i for i in targets if readings[i].field == name and readings[i].state in (SURE, PROPOSED, ASKED)]
        if len(same) < 2:
            continue
        best = _chosen(same, columns, readings, notes)
        if best is not None:
            first, why, rest_state = best
            for i in same:
                if i == first:
                    readings[i] = replace(readings[i], why=f"{readings[i].why}; {why}")
                else:
                    readings[i] = replace(readings[i], state=rest_state, why=f"{why.replace('it governs', 'another column governs')}; never used, only compared"
                                          if rest_state == CHECKED else f"{why.replace('it governs', 'another column governs')}")  # fmt: skip
        else:
            for i in same:
                readings[i] = replace(
                    readings[i],
                    state=ASKED,
                    candidates=(name, "none"),
                    why=f"several columns of {shown_name(name)} stand side by side, and nothing says which governs",
                )
    return readings


def _mentions_kind(sentence: str, name: str | None, targets: Sequence[int], readings: Sequence[ColumnReading]) -> bool:
    """Whether a sentence speaks of all torques (loads, stresses) where the list has one column of them."""
    if name is None or sum(readings[i].field == name for i in targets) != 1:
        return False
    word = {"torque": r"\btorques?\b", "load": r"\bloads\b", "stress": r"\bstresses\b", "percent": r"\bpercentages\b"}[
        name
    ]
    return re.match(rf"(?:\W|note\w*|all|the|\d+[.)]|[a-z]\))*{word}", sentence.casefold()) is not None


def _chosen(
    same: Sequence[int], columns: Sequence[_Column], readings: Sequence[ColumnReading], notes: Notes
) -> tuple[int, str, State] | None:
    group = [columns[i] for i in same]
    used = [i for i in same if any(_mentions(s, columns[i], group) for s in notes.uses)]
    if len(used) == 1:
        said = next(s for s in notes.uses if _mentions(s, columns[used[0]], group))
        return used[0], f"it governs: the note says '{_cut(said)}'", NOT_USED
    values = {
        i: physics.numbers(
            columns[i].values,
            {"torque": "torque", "load": "force"}.get(str(readings[i].field), "stress"),
            readings[i].unit,
        )
        for i in same
    }
    pairs = [physics.ratio(values[same[0]], values[i], 0.02) for i in same[1:]]
    if all(p is not None and abs(p.middle - 1) < 0.02 and p.steady > 0.85 for p in pairs):
        return same[0], "it governs: the columns agree within rounding", CHECKED
    strong = [
        i
        for i in same
        if columns[i].heard.concepts & {"TARGET"}
        and not columns[i].concepts & {"LUBED", "LUBE", "DRY", "FRICTION", "KSYM", "TESTW"}
    ]
    plain = [i for i in same if columns[i].concepts & {"LUBED", "LUBE", "DRY", "FRICTION", "KSYM", "TESTW"}]
    if len(strong) == 1 and len(plain) == 0:
        return strong[0], "it governs: its heading says that it is the one to set", CHECKED
    return None


def _staged(columns: Sequence[_Column], readings: list[ColumnReading], notes: Notes) -> list[ColumnReading]:
    """A series of stages: the last one is the target where its heading, a note or its ratio to the others says so."""
    series = [i for i, c in enumerate(columns) if c.staged]
    if not series:
        return readings
    free = [i for i, r in enumerate(readings) if r.field == "torque" and r.state == SURE and i not in series]
    if free:
        return readings
    group = [columns[i] for i in series]
    told = [i for i in series if any(_mentions(s, columns[i], group) or _same_stage(s, columns[i]) for s in notes.uses)]
    full = [i for i in series if "TARGET" in columns[i].heard.concepts]
    values = {
        i: physics.numbers(
            columns[i].values, "torque", symbol_of(columns[i].unit, "torque") or _noted("torque", notes) or "N·m"
        )
        for i in series
    }
    middles = {i: float(np.nanmedian(v)) for i, v in values.items() if np.isfinite(v).any()}
    if not middles:
        return readings
    top = max(middles.values())
    largest = [i for i, v in middles.items() if v >= 0.995 * top and not _below_full(columns[i].head.text)]
    if not largest:
        return readings
    first = largest[0]
    only = told or full
    if only and only[0] in largest:
        first, state, why = only[0], SURE, "the last stage: heading or note say that it is the full torque"
    elif len(series) > 1 and (len(largest) < len(middles)):
        state, why = PROPOSED, "the largest of a series of stages"
    else:
        return readings
    unit = symbol_of(columns[first].unit, "torque") or _noted("torque", notes)
    bare = any(t in columns[first].cells.numbers and not _has_unit(t) for t in columns[first].cells.texts)
    if unit is None and bare:
        state, why = ASKED, f"{why}; its unit stands nowhere"
    readings[first] = replace(
        readings[first],
        field="torque",
        unit=unit,
        state=state,
        candidates=("torque",),
        why=why,
        unit_open=unit is None and bare,
    )
    return readings


def _below_full(text: str) -> bool:
    """Whether a heading states a share of the torque below the whole ("60 %")."""
    found = re.search(r"(?<!\d)(\d{1,2})\s*(?:%|pct|percent)", text)
    return bool(found and int(found[1]) < 95)


def _same_stage(sentence: str, column: _Column) -> bool:
    """Whether a sentence names the stage of a column: "stage 3 is full torque"."""
    found = re.search(r"(?:stage|pass|step|stufe)\s*(\d)", sentence.casefold())
    mine = re.search(r"(?:stage|pass|step|stufe)\s*(\d)|(\d)(?:st|nd|rd|th)", column.head.text.casefold())
    return bool(found and mine and found[1] == (mine[1] or mine[2]))


def _alternatives(columns: Sequence[_Column], readings: list[ColumnReading], notes: Notes) -> list[ColumnReading]:
    """Torques for other friction or another test side by side (dry and oiled, K 0.12 and 0.16): chosen by a note, or asked."""
    marks = {"DRY", "LUBED", "LUBE", "FRICTION", "KSYM", "TESTW", "COATING"}
    group = []
    for i, column in enumerate(columns):
        concepts = column.heard.concepts
        torque = "TORQUE" in column.concepts or (column.unit is not None and column.unit.kind == "torque")
        if (
            not torque
            or concepts & (BLOCK - {"DRY", "TESTW"})
            or column.cell.get("torque", -1) < 0
            or readings[i].state == CHECKED
        ):
            continue
        if concepts & marks or (column.above and column.above.concepts & marks) or readings[i].field == "torque":
            group.append(i)
    marked = [i for i in group if columns[i].heard.concepts & marks]
    if len(group) < 2 or not marked:
        return readings
    members = [columns[i] for i in group]
    used = [
        i for i in group if any(_mentions(s, columns[i], members) and not _denied(s, columns[i]) for s in notes.uses)
    ]
    why = "the note says which column to use"
    if len(used) != 1:
        used = [i for i in group if _suits_the_notes(columns[i], notes)]
        why = "its friction is the one that title or notes state"
    for i in group:
        unit, unit_open, _ = _unit_of_field(columns[i], "torque", notes)
        if len(used) == 1:
            if i == used[0]:
                readings[i] = replace(
                    readings[i],
                    field="torque",
                    unit=unit,
                    state=ASKED if unit_open else SURE,
                    candidates=("torque",),
                    why=why,
                    unit_open=unit_open,
                )
            else:
                readings[i] = replace(
                    readings[i],
                    field=None,
                    unit=None,
                    state=NOT_USED,
                    candidates=(),
                    why="a torque for other conditions than those of the list",
                    also=(),
                )
        else:
            readings[i] = replace(readings[i], field="torque", unit=unit, state=ASKED, candidates=("torque", "none"), unit_open=unit_open,
                                  why="torques for different conditions stand side by side, and nothing says which holds")  # fmt: skip
    return readings


def _denied(sentence: str, column: _Column) -> bool:
    return any(re.search(rf"(?<!\w){re.escape(word)}(?!\w)[^.;]*\b(?:is kept|is dry|for reference|for information|not)\b", sentence.casefold())
               for word in column.own.words if len(word) > 2 and word not in ("torque", "column"))  # fmt: skip


def _suits_the_notes(column: _Column, notes: Notes) -> bool:
    numbers = {float(n.replace(",", ".")) for n in re.findall(r"0?[.,]\d+", f"{column.head.text} {column.head.above}")}
    stated = [notes.facts[name].value for name in ("nut_factor", "thread_friction") if name in notes.facts]
    return bool(numbers) and any(float(value) in numbers for value in stated)


def _doubts_of_the_list(columns: Sequence[_Column], readings: list[ColumnReading], notes: Notes) -> list[ColumnReading]:
    """Doubts that no column shows alone: the area of a stress, coarse threads above 1 in, rows of several flanges."""
    threads = [i for i, r in enumerate(readings) if r.field == "thread" and r.state == SURE]
    text = " ".join(notes.lines)
    for i in threads:
        sizes = physics.stud_sizes(columns[i].values, readings[i].unit)
        coarse = re.search(r"\bUNC\b", text) and not re.search(r"8 ?-?UN\b|\b8 ?TPI|8 threads", text, re.IGNORECASE)
        if re.search(r"\bBSW\b|\bBSF\b|whitworth", text, re.IGNORECASE) or any(
            re.search(r"\d\s*W$|BSW|BSF", t) for c in columns for t in c.cells.texts
        ):
            readings[i] = replace(
                readings[i],
                state=ASKED,
                why="Whitworth threads or spanners are spoken of: are these inch sizes UN or Whitworth?",
            )
            continue
        bare = [t for t in columns[i].cells.texts if not re.search(r"UN|-\s*\d+\s*$|M\d|x", t)]
        if coarse and bare and np.nanmax(sizes.diameter, initial=0) > 0.0255:
            readings[i] = replace(
                readings[i],
                state=ASKED,
                why="the note says UNC, and there are studs above 1 in, where 8 threads per inch are usual: which is meant?",
            )
    many = [
        c
        for c in columns
        if "MANYJOINTS" in (c.concepts | hear(f"{c.head.above} {c.head.text}").concepts)
        and any(v > 1 for v in c.cells.numbers.values())
    ]
    for i, reading in enumerate(readings):
        if many and reading.field == "studs" and reading.state == SURE:
            readings[i] = replace(
                reading,
                state=ASKED,
                candidates=("studs", "none"),
                why=f"'{many[0].head.shown}' says that rows stand for several flanges: are these the studs of one flange, or of all?",
            )
        if reading.field == "stress" and reading.state == SURE and not _area_known(columns, readings, i, notes):
            others = [r for r in readings if r.field in ("load", "torque") and r.state == SURE and r.confirmed]
            if reading.confirmed and others:
                why = f"{reading.why}; its area stands nowhere, and '{others[0].heading}' states the same: never used, only compared"
                readings[i] = replace(reading, state=CHECKED, why=why)
                continue
            why = f"{reading.why}; on which area, tensile or root, stands nowhere"
            readings[i] = replace(reading, state=ASKED, candidates=("stress",), why=why, area_open=True)
    return readings


def _area_known(columns: Sequence[_Column], readings: Sequence[ColumnReading], at: int, notes: Notes) -> bool:
    if "area" in notes.facts or any(r.field == "area" and r.state == SURE for r in readings):
        return True
    return bool(area_of_heading(columns[at].head.shown)) or any(
        area_of_heading(r.heading) for r in readings if r.field in ("stress", "load", None)
    )


def area_of_heading(heading: str) -> str:
    """The stress area that a heading names: "tensile", "root" or "".

    >>> area_of_heading("Preload (psi, root)"), area_of_heading("As, in^2"), area_of_heading("σ target on As")
    ('root', 'tensile', 'tensile')
    """
    folded = heading.casefold()
    if re.search(r"\broot\b|\bcore\b|\bminor\b|\bA_?r\b", heading) or re.search(r"\broot\b", folded):
        return "root"
    return "tensile" if re.search(r"\btensile\b", folded) or re.search(r"\bA_?[st]\b", heading) else ""


def _unique(columns: Sequence[_Column], *places: int) -> float:
    rows = [tuple(str(columns[i].values[k]) for i in places) for k in range(len(columns[places[0]].values))]
    rows = [row for row in rows if any(cell != "None" for cell in row)]
    return len(set(rows)) / len(rows) if rows else 0.0


def _of_joint(columns: Sequence[_Column], readings: list[ColumnReading]) -> list[ColumnReading]:
    """The column that names the joint: unique tags win over a description; without any, the likeliest is proposed."""
    open_states = (SURE, PROPOSED, ASKED)
    joints = [i for i, r in enumerate(readings) if r.field == "joint" and r.state in open_states]
    tags = [i for i, c in enumerate(columns) if i not in joints and readings[i].field in ("equipment", None) and c.cell.get("joint", -1) >= 0.69
            and not c.concepts & BLOCK and c.concepts & {"NO", "EQUIP", "ITEMNO", "JOINT"} and not c.concepts & {"GASKET", "STUD", "TOOL", "NUT"}]  # fmt: skip
    if joints:
        i = joints[0]
        described = (
            columns[i].concepts & {"SERVICE", "WHERE"}
            and not columns[i].concepts & {"NO"}
            and columns[i].cell.get("joint", 0) < 0.6
        )
        if described and len(tags) == 1 and _unique(columns, tags[0]) > 0.99:
            other = tags[0]
            readings[other] = replace(
                readings[other],
                field="joint",
                state=PROPOSED,
                candidates=("joint", "equipment"),
                why="its tags differ in every row, and no other column has tags",
            )
            readings[i] = replace(
                readings[i],
                field=None,
                state=NOT_USED,
                candidates=(),
                why="a description; the joint is named by its tag",
            )
        return readings
    order = []
    for i, column in enumerate(columns):
        if readings[i].field not in (None, "equipment", "line") or column.concepts & BLOCK or column.unit is not None:
            continue
        if (
            not column.concepts & {"NO", "JOINT", "ITEMNO", "SERVICE", "EQUIP", "WHERE", "LINE"}
            or not column.cells.filled
        ):
            continue
        unique = _unique(columns, i)
        rank = (
            column.score.get("joint", 0.0) + unique + (0.7 if i in tags else 0.2 if readings[i].field is None else 0.0)
        )
        if unique > 0.5:
            order.append((rank, i))
    if order:
        i = max(order)[1]
        readings[i] = replace(
            readings[i],
            field="joint",
            state=PROPOSED,
            candidates=("joint",),
            unit=None,
            why="no column is named as the joint; this one tells the rows apart best",
        )
    return readings
