"""One column as it is seen: words, unit and cells, and how strongly they speak for each field."""

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from addin.reading.evidence import Cells, evidence, look
from addin.reading.facts_in_cells import parts, two_diameters
from addin.reading.fields import BY_NAME
from addin.reading.grammar import BLOCK, Heard, Lexicon, hear, strengths, unnamed
from addin.reading.heads import ASK_WORTHY, BESIDE, CALCULATING, NO_FIELD, SHOWN_ONLY, TARGETS, Head
from addin.reading.notes import Notes
from addin.reading.spellings import Spelled, UnitText, size_unit, spelled, unit_of

NOT_EXPLAINED, OF_CELLS, AGAINST, RIVAL = 0.75, 0.6, 1.1, 0.12


_LENGTHS = frozenset(("thread", "size", "length", "grip", "across_flats", "gasket_inside_diameter", "gasket_outside_diameter",
                      "bolt_circle", "flange_outside_diameter", "flange_inside_diameter", "flange_thickness", "shank_diameter"))  # fmt: skip


_STRESSES = frozenset(("stress", "target_gasket_stress", "gasket_maximum", "gasket_seating", "gasket_operating", "stud_maximum",
                       "stud_minimum", "flange_limit", "gasket_y", "yield_strength"))  # fmt: skip


FORCES = frozenset(("load", "stud_maximum", "stud_minimum", "flange_limit"))


_BY_UNIT: dict[str, frozenset[str]] = {
    "torque": frozenset(("torque",)), "stress": _STRESSES | {"design_pressure", "rating"}, "force": FORCES,
    "pressure": frozenset(("design_pressure", "rating", "target_gasket_stress", "gasket_maximum", "gasket_y", "gasket_seating",
                           "gasket_operating")),
    "length": _LENGTHS | {"pitch"}, "area": frozenset(("gasket_area",)), "percent": frozenset(("percent", "gasket_load_kept")),
    "time": frozenset(), "temperature": frozenset(("stud_temperature",)), "mass": frozenset(), "angle": frozenset(("flange_rotation", "rotation_limit")),
}  # fmt: skip


@dataclass
class SeenColumn:
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
    suits: set[str] = field(default_factory=set)
    """Quantities whose numbers suit the studs of nearly every row, alone; `confirmed` are borne out by another column."""
    against: dict[str, str] = field(default_factory=dict)
    staged: bool = False
    wrong_unit: str = ""
    score: dict[str, float] = field(default_factory=dict)
    aside: str = ""
    """Why it is no target although it is named so."""
    doubt: str = ""
    """Why it must be looked at although no other target stands in the list."""

    @property
    def explained(self) -> bool:
        """Whether every word of the heading is explained, by the table or by a legend."""
        return self.heard.explained or bool(self.legend)

    @property
    def concepts(self) -> frozenset[str]:
        """The concepts of the heading and of what stands above it."""
        return self.heard.concepts | (self.above.concepts if self.above else frozenset())


def look_at(
    head: Head, rows: Sequence[Sequence[Any]], notes: Notes, known: Mapping[str, Collection[str]], words: Lexicon
) -> SeenColumn:
    """A column with what its heading, legend, unit and cells say."""
    values = [row[head.at] if head.at < len(row) else None for row in rows]
    text = _numbered_pass(head, words) or head.heard or head.text
    below = unit_of(head.unit.strip(" ()[]")) if head.unit else None
    if (
        head.unit
        and (below is None or (below.kind == "percent" and head.unit.strip(" ()[]") != "%"))
        and size_unit(head.unit) is None
        and len(head.unit) > 2
        and not spelled(head.unit).doubled
    ):
        text = f"{text} {head.unit}"  # what stands in the row of units is no unit: "% yield"
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
    if unit is not None and unit.kind == "unclear" and "LOAD" in heard.concepts:
        unit = _as_force(unit, heard)
    cells = look(values)
    found = SeenColumn(
        head, cells, own, heard, above, unit, doubled, unit_from, {}, evidence(cells, dict(known)), values, used_legend
    )
    _name(found)
    return found


_ROMAN = {"I": 1, "II": 2, "III": 3, "IV": 4, "V": 5}


def _numbered_pass(head: Head, words: Lexicon) -> str:
    """What a Roman number says below a torque: "I.", "II." are its passes; "" for every other heading."""
    number = _ROMAN.get(head.text.strip(" .)("))
    return f"pass {number}" if number and head.above and "TORQUE" in hear(head.above, words).concepts else ""


def _unit(head: Head, own: Spelled, notes: Notes) -> tuple[UnitText | None, bool, str]:
    if head.unit and (below := unit_of(head.unit.strip(" ()[]")) or size_unit(head.unit)) is not None:
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


FORCES_BY_MASS = {"lb": "lbf", "lbs": "lbf", "t": "tf"}
"""Units of mass that are forces where a heading says load or force."""


def _as_force(unit: UnitText, heard: Heard) -> UnitText:
    """A unit of mass under a heading that says load or force and nothing else is the force of that mass."""
    symbol = FORCES_BY_MASS.get(unit.text.lower().strip(" .()[]"))
    if symbol is None or heard.concepts & {"TORQUE", "STRESS", "GASKET", "PRESS"}:
        return unit
    return UnitText("force", symbol, unit.text)


def _told(unit: UnitText, notes: Notes) -> UnitText:
    """A unit that is not clear by itself, as a legend explains it ("MT = metric tonne per stud")."""
    if not unit.symbol and unit.kind == "force":
        said = notes.legends.get(unit.text.casefold(), "")
        if "metric" in said.casefold() or "tonne" in said.casefold():
            return UnitText("force", "tf", unit.text)
    return unit


def _name(column: SeenColumn) -> None:
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
            if name in _BY_UNIT[unit.kind]
            or (name == "thread" and unit.kind == "length")
            or (name in unnamed() and BY_NAME[name].kind == unit.kind)
        }
        target = bool(concepts & {"TARGET", "LOAD", "STRESS", "BASIS", "ROOT", "TENSILE", "STUD", "PER"}) and not (
            concepts & {"GASKET", "GSTRESS", "DESIGN", "JOINT", "PRESS", "SG"}
        )
        if "rating" in found and "DESIGN" in concepts and unit.kind in ("stress", "pressure"):
            found["rating"] *= 0.5  # "WP psi": a class has no unit
            found["design_pressure"] = max(found.get("design_pressure", 0), 0.85)
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
    column.strength = {name: value for name, value in found.items() if name in BY_NAME or name in SHOWN_ONLY}


def lend_units(columns: Sequence[SeenColumn]) -> None:
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


def weigh(column: SeenColumn) -> None:
    """What each field is worth for a column: the strength of its name and what the cells say."""
    for name in set(column.strength) | set(column.cell):
        strength = column.strength.get(name, 0.0)
        if strength <= 0.0 or (name in ("operation", "method") and column.cell.get("date", 0.0) >= 0.9):
            continue  # "Break" over days: when it is broken out, not what is done
        cells = column.cell.get(name, 0.0)
        if cells < -0.1 and strength >= 0.7 and column.explained and column.cells.filled <= 3 and name in ASK_WORTHY:
            cells = column.cell[name] = -0.1  # so few cells prove nothing against a heading; each is refused by itself
        value = strength * (1.0 if column.explained else NOT_EXPLAINED) - (0.05 if name in BESIDE else 0.0)
        value += OF_CELLS * cells if cells >= 0 else AGAINST * cells
        if not column.cells.filled:
            value -= 0.2  # another column that holds something is likelier
        if name in column.confirmed:
            value += 0.4
        if name in column.against:
            value -= 0.3 if strength >= 0.85 and column.explained else 1.0  # what is named is asked about, not dropped
        if strength >= 0.85 and column.explained and name in CALCULATING and value < NO_FIELD:
            value = NO_FIELD + 0.02  # what a heading names for sure is asked about, never dropped in silence
        column.score[name] = value


def says_nothing(column: SeenColumn) -> bool:
    """Whether no word of a heading is known, nor one that looks like it; the code of a form ("F021") says nothing."""
    return not column.concepts and not column.heard.near and column.unit is None


def also_in(column: SeenColumn, name: str) -> tuple[str, ...]:
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
        for each in ("thread", "studs", "length", "size", "rating", "grade", "nut_grade")
        if each != name and counted.get(each, 0) > 0.3 * total
    )
