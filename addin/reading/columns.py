"""Every column of a list -> a field, a unit and how sure that is, from words, units, cells, notes and laws."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from addin.reading.assignment import assign
from addin.reading.gaps import fill_gaps
from addin.reading.governing import alternatives, governing
from addin.reading.grammar import Lexicon, lexicon
from addin.reading.heads import Head
from addin.reading.joint_tag import name_joint
from addin.reading.judgement import judge
from addin.reading.laws import use_laws
from addin.reading.list_doubts import doubts_of_the_list
from addin.reading.notes import Notes
from addin.reading.notes_against import set_by_notes
from addin.reading.past_targets import only_compared, set_aside_the_past
from addin.reading.seen import lend_units, look_at, weigh
from addin.reading.spoken_work import proposed_by_cells
from addin.reading.target_kinds import one_kind_of_target, residual_for_information
from addin.reading.thread_series import series_beside_thread, stud_taken_for_size
from addin.reading.twins import twins_asked
from addin.reading.two_tongues import in_one_tongue
from addin.reading.understood import ColumnReading
from addin.reading.units_beside import units_beside, with_units
from addin.reading.whereabouts import name_whereabouts


def understand(
    heads: Sequence[Head], rows: Sequence[Sequence[Any]], notes: Notes | None = None,
    known: Mapping[str, Collection[str]] | None = None, words: Lexicon | None = None, hidden: Collection[int] = (),
) -> tuple[ColumnReading, ...]:  # fmt: skip
    """How every column is understood. `rows`: cells of joint rows from column A on; `known`: names of the wrench book
    by field; `words`: another table of words; `hidden`: places of hidden columns.

    >>> found = understand([Head(0, "Flange No."), Head(1, "Bolts"), Head(2, "Torque Nm")],
    ...                    [["F-1", "12 x M24", 480], ["F-2", "8 x M20", 270]])
    >>> [(each.field, each.unit, each.state, each.also) for each in found]
    [('joint', None, 'sure', ()), ('studs', None, 'sure', ('thread',)), ('torque', 'N·m', 'sure', ())]
    """
    said = notes or Notes()
    beside = units_beside(heads, rows)
    if beside:
        rows = with_units(rows, beside)
    heads = in_one_tongue(heads, words or lexicon())
    columns = [look_at(head, rows, said, known or {}, words or lexicon()) for head in heads]
    lend_units(columns)
    use_laws(columns, said)
    for column in columns:
        weigh(column)
    set_aside_the_past(columns, said, hidden)
    taken = assign(columns)
    fill_gaps(columns, taken)
    free = [column for at, column in enumerate(columns) if at not in taken]
    best = {name: columns[at].score.get(name, 0.0) for at, name in taken.items()}
    readings = [judge(column, taken.get(at), free, best, said) for at, column in enumerate(columns)]
    readings = only_compared(columns, readings)
    readings = alternatives(columns, readings, said)
    readings = governing(columns, readings, said)
    readings = one_kind_of_target(columns, readings, said)
    readings = set_by_notes(columns, readings, said)
    readings = residual_for_information(columns, readings, said)
    readings = name_joint(columns, readings)
    readings = name_whereabouts(columns, readings)
    readings = proposed_by_cells(columns, readings)
    readings = stud_taken_for_size(columns, readings)
    readings = series_beside_thread(columns, readings)
    readings = twins_asked(columns, readings, frozenset(hidden))
    readings = doubts_of_the_list(columns, readings, said)
    return tuple(readings)
