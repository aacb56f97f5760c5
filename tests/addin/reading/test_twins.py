"""Two columns that name one fact of a joint and say different things: the later one was taken, and nothing was said.

Headings of invented lists; that a row has one count, size, grade, percentage and nut factor is so by definition.
"""

from pathlib import Path
from typing import Any

import pytest

from tests.few_lines import columns, read_lines

BASE: dict[str, list[Any]] = {
    "Joint": ["E-1 N1", "E-2 N1", "E-3 N1"] * 3,
    "Stud size": ["M24", "M20", "M27"] * 3,
    "No. of studs": [8, 12, 16] * 3,
    "Stud grade": ["B7"] * 9,
    "Torque (N·m)": [480, 270, 700] * 3,
}
FACTORS, OTHERS = [0.12, 0.16, 0.2] * 3, [0.2, 0.12, 0.16] * 3


def _read(tmp_path: Path, less: tuple[str, ...] = (), **more: list[Any]) -> Any:
    cells = {name: each for name, each in (BASE | more).items() if name not in less}
    tags = [f"E-{n} N1" for n in range(9)]
    of_columns = [tags if name == "Joint" else each for name, each in cells.items()]
    lines = [list(cells), *map(list, zip(*of_columns, strict=True))]
    return read_lines(tmp_path, lines)


@pytest.mark.parametrize(
    ("heading", "twin", "cells", "said"),
    [
        ("No. of studs", "Number of bolts", [4, 8, 24] * 3,
         "both name studs, and a row has '4' in one and '8' in the other"),
        ("Stud size", "Bolt size", ["M30", "M24", "M36x4"] * 3,
         "both name thread, and a row has 'M30' in one and 'M24' in the other"),
        ("Stud grade", "Bolt material", ["B16", "B7M", "8.8"] * 3,
         "both name grade, and a row has 'B16' in one and 'B7' in the other"),
    ],
)  # fmt: skip
def test_which_of_two_columns_holds_is_asked(
    tmp_path: Path, heading: str, twin: str, cells: list[Any], said: str
) -> None:
    read = _read(tmp_path, **{twin: cells})
    found = columns(read)
    for one in (heading, twin):
        assert found[one].state == "asked"
        assert f"'{twin}' and '{heading}' {said}: which column holds?" == found[one].why
    assert sum("which column holds?" in question.text for question in read.questions) == 2


@pytest.mark.parametrize(("one", "other"), [("Nut factor", "K (moly)"), ("K (moly)", "Nut factor"), ("K value", "K")])
def test_two_nut_factors_are_asked(tmp_path: Path, one: str, other: str) -> None:
    found = columns(_read(tmp_path, **{one: FACTORS, other: OTHERS}))
    assert {found[one].state, found[other].state} == {"asked"}
    assert "nut factor, and a row has '0." in found[one].why


def test_two_percentages_of_yield_are_asked(tmp_path: Path) -> None:
    more = {"% yield": [50, 60, 40] * 3, "% of yield": [70, 40, 50] * 3}
    found = columns(_read(tmp_path, ("Torque (N·m)",), **more))
    assert {found[heading].state for heading in more} == {"asked"}


@pytest.mark.parametrize(
    ("twin", "cells"),
    [
        ("Number of bolts", [8, 12, 16] * 3),  # the same in every row
        ("Bolt size", ["M24x3", "M20", "M27"] * 3),  # says more of it
        ("Bolt material", ["A193 B7"] * 9),
        ("Qty", [1, 2, 1] * 3),  # counts joints
        ("Nut qty", [16, 24, 32] * 3),
        ("Old stud size", ["M30", "M24", "M36x4"] * 3),
    ],
)
def test_a_column_that_says_the_same_or_another_thing_asks_nothing(tmp_path: Path, twin: str, cells: list[Any]) -> None:
    found = columns(_read(tmp_path, **{twin: cells}))
    assert not any("both name" in each.why for each in found.values())
