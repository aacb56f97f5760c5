"""Headings as planners write them: none may be sure and wrong, most must be sure; common practice, no source.

The headings of both files were written down before the words and the grammar that read them now.
"""

from collections import Counter
from pathlib import Path

import pytest

from addin.cells.headings import plain_words, split
from addin.reading.columns import understand
from addin.reading.heads import CALCULATING, Head
from addin.reading.spellings import spelled
from addin.reading.understood import ASKED, PROPOSED, ColumnReading

CASES = [
    tuple(line.split("|"))
    for name in ("headings_invented.csv", "headings_second.csv")
    for line in (Path(__file__).parent / name).read_text(encoding="utf-8").splitlines()[1:]
]


def alone(heading: str) -> ColumnReading:
    return understand([Head(0, heading)], ())[0]


def is_sure(column: ColumnReading) -> bool:
    return column.used


def is_offered(column: ColumnReading) -> bool:
    return column.state in (PROPOSED, ASKED)


def test_no_heading_is_sure_and_wrong() -> None:
    """Alone, without a cell below it; what must be asked then may be sure once cells agree, but takes no unit."""
    for heading, field, unit in CASES:
        column = alone(heading)
        if not is_sure(column):
            continue
        if field == "none":
            assert column.field not in CALCULATING, heading
        elif field == "ask":
            forces = column.field in ("torque", "load", "stress")
            assert not forces or column.unit or not spelled(heading).units[0].symbol, heading
        else:
            assert (column.field, column.unit or "") == (field, unit), heading


def test_most_headings_that_name_a_field_are_sure() -> None:
    naming = [case for case in CASES if case[1] not in ("ask", "none")]
    missed = [heading for heading, *_ in naming if not is_sure(alone(heading))]
    assert len(naming) >= 150
    assert len(missed) <= 0.25 * len(naming), missed


def test_little_is_offered_for_headings_of_other_things() -> None:
    other = [heading for heading, field, _ in CASES if field == "none"]
    offered = Counter(heading for heading in other if is_offered(alone(heading)))
    assert len(offered) <= 0.1 * len(other), offered


@pytest.mark.parametrize(
    ("text", "unit", "doubled"),
    [("Torque (ft-lb)", "ft-lb", False), ("Torque\n[N·m]", "N·m", False), ("Torque in Nm", "Nm", False),
     ("Torque ft lb", "ft lb", False), ("Torque in ft lb", "ft lb", False), ("Torque - N m", "N m", False),
     ("Torque in lb", None, False), ("Torque Nm / ft lb", None, True), ("Length ft in", "in", False),
     ("Torque (ft-lb / Nm)", None, True), ("Torque (lb)", None, False), ("Torque checked", None, False)],
)  # fmt: skip
def test_the_unit_of_a_heading(text: str, unit: str | None, doubled: bool) -> None:
    heading = split(text)
    assert (heading.unit, heading.doubled) == (unit, doubled)


def test_spellings_of_one_word() -> None:
    assert {plain_words(text) for text in ("Joint No.", "joint #", "JOINT №", "Joint_nr")} == {"joint number"}
