"""A copy that was calculated anew is held against the list in the columns that are used, and in no others."""

from pathlib import Path

import pytest

from addin.reading.column import Column
from addin.reading.recalculated import differences
from tests.small_plans import bare_list

COLUMNS = [
    Column(0, "Tag", "joint", None),
    Column(1, "Seen by", None, None),
    Column(2, "Torque", "torque", "N·m"),
    Column(3, "Load", "load", "kN"),
]


@pytest.mark.parametrize(
    ("now", "said"),
    [
        (["E-1", "a", 100], []),
        (["E-1", "b", 100], []),
        (["E-1", "a", 101], [("torque", "stop")]),
        (["E-2", "b", 100 + 1e-12], [("joint", "stop")]),
        (["E-1", "b", "#REF!"], [("torque", "caution")]),
    ],
)
def test_a_stop_where_a_used_cell_holds_something_else(tmp_path: Path, now: list[object], said: list[object]) -> None:
    copy = bare_list(tmp_path / "copy.xlsx", ["Tag", "Seen by", "Torque"], now)

    found = differences(copy, "Sheet", COLUMNS, [2], [["E-1", "a", 100]])

    assert [(each.quantity, each.level) for each in found] == said
