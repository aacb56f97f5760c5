"""The written lists, each against its truth: nothing read right is lost, no calculating field is surely wrong.

The truth was written without sight of the program; `tests/lists/floors.csv` keeps how much of it is reached.
"""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "lists"))
from floors import LISTS, counted, floors  # noqa: E402

FEW = ("wrong", "other")
"""Counts of which less is better."""


def test_every_list_has_its_floor() -> None:
    assert [file.stem for file in LISTS] == list(floors())
    assert sum(floor["wrong"] for floor in floors().values()) == 0


@pytest.mark.sweep
@pytest.mark.parametrize("file", LISTS, ids=lambda file: file.stem)
def test_a_list_is_read_as_well_as_before(file: Path, tmp_path: Path) -> None:
    floor, found = floors()[file.stem], counted(file, tmp_path)

    less = {name: (found[name], kept) for name, kept in floor.items() if name not in FEW and found[name] < kept}
    more = {name: (found[name], floor[name]) for name in FEW if found[name] > floor[name]}
    assert (less, more) == ({}, {})
