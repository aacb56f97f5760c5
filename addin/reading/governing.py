"""Several columns of targets: which governs, which are compared, which are stages or hold for other conditions."""

import itertools
import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from addin.reading import physics
from addin.reading.grammar import BLOCK
from addin.reading.heads import TARGETS, cut
from addin.reading.judgement import has_unit, unit_of_field
from addin.reading.laws import noted_unit
from addin.reading.notes import Notes
from addin.reading.seen import SeenColumn
from addin.reading.spellings import symbol_of
from addin.reading.understood import ASKED, CHECKED, NOT_USED, PROPOSED, SURE, ColumnReading, State, shown_name
from calc.units import system


def mentions(sentence: str, column: SeenColumn, others: Sequence[SeenColumn]) -> bool:
    """Whether a sentence names a column by words that the other columns do not have."""
    mine = _names(column)
    theirs = {word for other in others if other is not column for word in _names(other)}
    folded = " ".join(sentence.casefold().split())
    for word in sorted(mine - theirs, key=len, reverse=True):
        if len(word) >= 1 and re.search(rf"(?<!\w){re.escape(word)}(?!\w)", folded):
            if len(word) == 1 and not re.search(rf"(?<!\w){re.escape(column.own.bare)}(?!\w)", sentence):
                continue
            return True
    return False


def _names(column: SeenColumn) -> set[str]:
    """Words of a column by which a sentence may name it; what stands above where its own cell is a unit only."""
    names = {*column.own.words, column.own.bare.casefold(), column.head.text.casefold().strip()}
    return names if column.own.words else names | set(re.findall(r"\w{3,}", column.head.above.casefold()))


def governing(columns: Sequence[SeenColumn], readings: list[ColumnReading], notes: Notes) -> list[ColumnReading]:
    """Of several columns of targets: which governs, which are compared, which is a stage only."""
    readings = _of_the_test(columns, _staged(columns, readings, notes), notes)
    readings = _of_a_year(columns, readings)
    targets = [i for i, r in enumerate(readings) if r.field in TARGETS and r.state in (SURE, PROPOSED, ASKED)]
    if not targets:
        return readings
    group = [columns[i] for i in targets]
    for i in targets:
        told = [
            s
            for s in notes.infos
            if mentions(s, columns[i], group) or _mentions_kind(s, readings[i].field, targets, readings)
        ]
        chosen = [s for s in notes.uses if mentions(s, columns[i], group)]
        if told and not [s for s in chosen if s not in told] and len(targets) > 1:
            readings[i] = replace(readings[i], state=CHECKED, why=f"the note says '{cut(told[0])}'")
    used = [
        i for i in targets if any(mentions(s, columns[i], group) for s in notes.uses) and readings[i].state != CHECKED
    ]
    if len(used) == 1 and len(targets) > 1:
        said = next(s for s in notes.uses if mentions(s, columns[used[0]], group))
        for i in targets:
            if i != used[0] and readings[i].field != "percent":
                readings[i] = replace(
                    readings[i], state=CHECKED, why=f"another column governs: the note says '{cut(said)}'"
                )
        readings[used[0]] = replace(
            readings[used[0]], why=f"{readings[used[0]].why}; it governs: the note says '{cut(said)}'"
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


def _of_the_test(
    columns: Sequence[SeenColumn], readings: list[ColumnReading], notes: Notes
) -> list[ColumnReading]:  # fmt: skip
    """Targets of a pressure test that title or notes say is over: they hold no more, where another target stands."""
    targets = [i for i, r in enumerate(readings) if r.field in TARGETS and r.state in (SURE, PROPOSED, ASKED)]
    tests = [i for i in targets if "TESTW" in columns[i].concepts]
    if not notes.test_past or not tests or len(tests) == len(targets):
        return readings
    for i in tests:
        why = f"a target of the test, which is over: '{cut(notes.test_past)}'"
        readings[i] = replace(readings[i], field=None, unit=None, state=NOT_USED, candidates=(), also=(), why=why)
    left = [i for i in targets if i not in tests]
    for i in left:
        if len(left) == 1 and readings[i].state == ASKED and not readings[i].unit_open and not readings[i].area_open:
            readings[i] = replace(readings[i], state=SURE, why=f"the test is over: '{cut(notes.test_past)}'")
    return readings


def _of_a_year(columns: Sequence[SeenColumn], readings: list[ColumnReading]) -> list[ColumnReading]:
    """Targets whose heading names a year ("MA 2021") beside one that names none: what held then, only compared."""
    for name in TARGETS:
        same = [i for i, r in enumerate(readings) if r.field == name and r.state in (SURE, PROPOSED, ASKED)]
        dated = [i for i in same if "YEAR" in columns[i].concepts]
        if len(same) - len(dated) != 1:
            continue
        for i in dated:
            why = "its heading names a year, the other one none: an earlier value, never used, only compared"
            readings[i] = replace(readings[i], state=CHECKED, why=why)
    return readings


def _mentions_kind(sentence: str, name: str | None, targets: Sequence[int], readings: Sequence[ColumnReading]) -> bool:
    """Whether a sentence speaks of all torques (loads, stresses) where the list has one column of them."""
    return sum(readings[i].field == name for i in targets) == 1 and of_its_kind(sentence, name)


def of_its_kind(sentence: str, name: str | None) -> bool:
    """Whether a sentence begins with the name of a kind of target, as "All torques are ..." or "Loads for information".

    >>> of_its_kind("2) torques are for information", "torque"), of_its_kind("All loads apply", "torque")
    (True, False)
    >>> of_its_kind("Use the torque wrench", "torque")
    False
    """
    if name is None:
        return False
    word = {"torque": r"\btorques?\b", "load": r"\bloads\b", "stress": r"\bstresses\b", "percent": r"\bpercentages\b"}[
        name
    ]
    return re.match(rf"(?:\W|note\w*|all|the|\d+[.)]|[a-z]\))*{word}", sentence.casefold()) is not None


def _chosen(
    same: Sequence[int], columns: Sequence[SeenColumn], readings: Sequence[ColumnReading], notes: Notes
) -> tuple[int, str, State] | None:
    group = [columns[i] for i in same]
    used = [i for i in same if any(mentions(s, columns[i], group) for s in notes.uses)]
    if len(used) == 1:
        said = next(s for s in notes.uses if mentions(s, columns[used[0]], group))
        return used[0], f"it governs: the note says '{cut(said)}'", NOT_USED
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


_OF_STAGES = {"force": "load", "stress": "stress"}
"""What the stages of a series are, by the kind of their unit; torques where it says nothing."""


def _staged(columns: Sequence[SeenColumn], readings: list[ColumnReading], notes: Notes) -> list[ColumnReading]:
    """A series of stages: the last one is the target where its heading, a note or its ratio to the others says so."""
    kinds = {i: c.unit.kind if c.unit is not None else "" for i, c in enumerate(columns) if c.staged}
    told_as = set(kinds.values()) & {"torque", *_OF_STAGES}
    kind = told_as.pop() if len(told_as) == 1 else "torque"
    name = _OF_STAGES.get(kind, "torque")
    series = [i for i, other in kinds.items() if other in (kind, "", "unclear", "percent")]  # no pressures of a pump
    if not series:
        return readings
    beside = ("torque",) if name == "torque" else TARGETS
    free = [i for i, r in enumerate(readings) if r.field in beside and r.state == SURE and i not in series]
    if free:
        return readings
    group = [columns[i] for i in series]
    told = [i for i in series if any(mentions(s, columns[i], group) or _same_stage(s, columns[i]) for s in notes.uses)]
    full = [i for i in series if "TARGET" in columns[i].heard.concepts]
    usual = noted_unit(kind, notes) or system("SI").symbol(kind)
    values = {i: physics.numbers(columns[i].values, kind, symbol_of(columns[i].unit, kind) or usual) for i in series}
    middles = {i: float(np.nanmedian(v)) for i, v in values.items() if np.isfinite(v).any()}
    if not middles:
        return readings
    top = max(middles.values())
    largest = [i for i, v in middles.items() if v >= 0.995 * top and not below_full(columns[i].head.text)]
    if not largest:
        return readings
    first = largest[0]
    only = told or full
    if only and only[0] in largest:
        first, state, why = only[0], SURE, "the last stage: heading or note say that it is the full torque"
    elif len(series) > 1 and (len(largest) < len(middles)):
        state, why = PROPOSED, "the largest of a series of stages"
        if first == max(series) and _rises([values[i] for i in sorted(series)]) and "torque" in columns[first].suits:
            state, why = SURE, "the last of a series of stages that rises in every row; it suits the studs"
    else:
        return readings
    unit = symbol_of(columns[first].unit, kind) or noted_unit(kind, notes)
    state = state if name == "torque" else PROPOSED
    bare = any(t in columns[first].cells.numbers and not has_unit(t) for t in columns[first].cells.texts)
    if unit is None and bare:
        state, why = ASKED, f"{why}; its unit stands nowhere"
    readings[first] = replace(
        readings[first],
        field=name,
        unit=unit,
        state=state,
        candidates=(name,),
        why=why,
        unit_open=unit is None and bare,
    )
    return readings


def _rises(stages: Sequence[np.ndarray]) -> bool:
    """Whether each stage is above the one before it in every row, the first well below the last."""
    for one, other in itertools.pairwise(stages):
        both = np.isfinite(one) & np.isfinite(other)
        if both.sum() < 3 or (one[both] >= other[both]).any():
            return False
    first, last = stages[0], stages[-1]
    both = np.isfinite(first) & np.isfinite(last)
    return bool(both.sum() >= 3 and (first[both] <= 0.75 * last[both]).all())


def below_full(text: str) -> bool:
    """Whether a heading states a share of the torque below the whole ("60 %")."""
    found = re.search(r"(?<!\d)(\d{1,2})\s*(?:%|pct|percent)", text)
    return bool(found and int(found[1]) < 95)


def _same_stage(sentence: str, column: SeenColumn) -> bool:
    """Whether a sentence names the stage of a column: "stage 3 is full torque"."""
    found = re.search(r"(?:stage|pass|step|stufe)\s*(\d)", sentence.casefold())
    mine = re.search(r"(?:stage|pass|step|stufe)\s*(\d)|(\d)(?:st|nd|rd|th)", column.head.text.casefold())
    return bool(found and mine and found[1] == (mine[1] or mine[2]))


def alternatives(columns: Sequence[SeenColumn], readings: list[ColumnReading], notes: Notes) -> list[ColumnReading]:
    """Torques for other friction or another test side by side (dry and oiled, K 0.12 and 0.16): chosen by a note, or asked."""
    marks = {"DRY", "LUBED", "LUBE", "FRICTION", "KSYM", "TESTW", "COATING"}
    group = []
    for i, column in enumerate(columns):
        concepts = column.heard.concepts
        kind = column.unit.kind if column.unit is not None else ""
        torque = kind == "torque" or ("TORQUE" in column.concepts and kind in ("", "unclear"))
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
        i for i in group if any(mentions(s, columns[i], members) and not _denied(s, columns[i]) for s in notes.uses)
    ]
    why = "the note says which column to use"
    if len(used) != 1:
        used = [i for i in group if _suits_the_notes(columns[i], notes)]
        why = "its friction is the one that title or notes state"
    for i in group:
        unit, unit_open, _ = unit_of_field(columns[i], "torque", notes)
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


def _denied(sentence: str, column: SeenColumn) -> bool:
    return any(re.search(rf"(?<!\w){re.escape(word)}(?!\w)[^.;]*\b(?:is kept|is dry|for reference|for information|not)\b", sentence.casefold())
               for word in column.own.words if len(word) > 2 and word not in ("torque", "column"))  # fmt: skip


def _suits_the_notes(column: SeenColumn, notes: Notes) -> bool:
    numbers = {float(n.replace(",", ".")) for n in re.findall(r"0?[.,]\d+", f"{column.head.text} {column.head.above}")}
    stated = [notes.facts[name].value for name in ("nut_factor", "thread_friction") if name in notes.facts]
    stated += [text.removeprefix("friction ") for text in notes.doubtful.get("nut_factor", ())]
    return bool(numbers) and any(float(value) in numbers for value in stated)
