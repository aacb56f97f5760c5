"""Across flats without a unit: taken only where all its numbers can be of one unit alone, otherwise asked."""

from pathlib import Path

import pytest

from addin.reading.joint_list import read_joint_list
from tests.small_plans import bare_list

HEAD = ["Joint", "Operation", "Method", "Stud size", "No. of studs", "Grade", "Across flats", "Torque (N·m)"]


@pytest.mark.parametrize(
    ("flats", "unit", "state"),
    [
        ((2.375, 2.0), "in", "sure"),
        ((60, 50), "mm", "sure"),
        ((2.375, 60), None, "asked"),
        ((7.6, 7.9), None, "proposed"),
    ],
)
def test_inches_below_7_5_millimetres_above_8(
    tmp_path: Path, flats: tuple[float, float], unit: str | None, state: str
) -> None:
    rows = [[f"E-{i}", "final make-up", "hydraulic", "1 1/2", 16, "A193 B7", flats[i % 2], 450 + i] for i in range(6)]

    read = read_joint_list(bare_list(tmp_path / "list.xlsx", HEAD, *rows))

    [column] = [each for each in read.understood.columns if each.heading == "Across flats"]
    assert (column.field, column.unit, column.state) == ("across_flats", unit, state)
    assert [question.text.rpartition("; ")[2] for question in read.questions] == ([] if unit else ["which unit?"])
