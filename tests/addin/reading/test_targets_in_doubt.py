"""Notes and columns without a heading that speak against a target: it was taken surely, with nothing said.

What the sentences mean is so by their words; torques of a first pass are less than the full torque by definition.
"""

from pathlib import Path
from typing import Any

import pytest

from addin.reading.joint_list import JointList
from tests.few_lines import columns, read_lines

HEAD = ["Joint", "Stud size", "No. of studs", "Grade"]
FULL, FIRST, SECOND = [480, 270, 700], [144, 81, 210], [288, 162, 420]


def _read(
    tmp_path: Path,
    note: str = "",
    heads: tuple[Any, ...] = ("Torque (N·m)",),
    *numbers: list[int],
    below: bool = False,
    names: tuple[Any, ...] = (),
) -> JointList:
    sizes, counts, targets = ["M24", "M20", "M27"], [8, 12, 16], numbers or (FULL,)
    rows = [[f"E-{n} N1", sizes[n % 3], counts[n % 3], "B7", *(each[n % 3] for each in targets)] for n in range(9)]
    under = [[*[None] * 4, *names]] if names else []
    lines: list[list[Any]] = [[*HEAD, *heads], *under, *rows]
    return read_lines(tmp_path, [*lines, [note]] if below else [[note], *lines])


@pytest.mark.parametrize("below", [False, True])
@pytest.mark.parametrize(
    "note",
    [
        "Do not use these torques",
        "Do not use column E",
        "Increase torques by 10 % for new studs",
        "Apply 80 % of listed torque",
        "Reduce the torque values to 75 %",
        "Torques given at the input of the multiplier",
    ],
)
def test_a_note_that_changes_or_forbids_the_target_is_asked(tmp_path: Path, note: str, below: bool) -> None:
    found = columns(_read(tmp_path, note, below=below))["Torque (N·m)"]
    assert (found.state, found.why) == ("asked", f"the heading says so; but the note says '{note}'")


@pytest.mark.parametrize("note", ["All torque values in ft-lbs", "Torques in kgf.m"])
def test_another_unit_in_a_note_than_in_the_heading_is_asked(tmp_path: Path, note: str) -> None:
    found = columns(_read(tmp_path, note))["Torque (N·m)"]
    assert found.state == "asked"
    assert found.why == f"the heading says so; but its heading says N·m, and the note says '{note}'"


def test_loads_that_are_totals_are_asked(tmp_path: Path) -> None:
    found = columns(_read(tmp_path, "Loads are totals for all bolts", ("Load (kN)",), [140, 98, 180]))["Load (kN)"]
    assert found.state == "asked"
    assert found.why.endswith("; but the note says 'Loads are totals for all bolts'")


@pytest.mark.parametrize(
    "note",
    [
        "Tighten in passes of 30 %, 60 % and 100 % of listed torque",
        "Increase torque in steps of 30 %",
        "Do not apply torque with the line under pressure",
        "Do not use values above the wrench's rating",
        "All torques in N·m",
        "If it leaks, increase torque by 10 %",
    ],
)
def test_what_is_said_of_passes_or_of_some_joints_asks_nothing(tmp_path: Path, note: str) -> None:
    assert columns(_read(tmp_path, note))["Torque (N·m)"].state == "sure"


@pytest.mark.parametrize("names", [(), (1, 2, 3), ("1", "2", "3"), (30, 60, 100)])
def test_the_first_of_three_columns_below_one_name_is_not_taken(tmp_path: Path, names: tuple[Any, ...]) -> None:
    found = _read(tmp_path, "", ("Torque (N·m)", None, None), FIRST, SECOND, FULL, names=names)
    why = columns(found)["Torque (N·m)"].why
    assert why.endswith(
        "but column F behind it has no heading and holds larger numbers: is this a pass, or the full torque?"
    )
    assert not any(torque > 0 for torque in found.rows.joints.torque)


@pytest.mark.parametrize("behind", [[144, 81, 210], [1, 2, 3], [480, 270, 700]])
def test_smaller_or_equal_numbers_behind_a_torque_ask_nothing(tmp_path: Path, behind: list[int]) -> None:
    found = _read(tmp_path, "", ("Torque (N·m)", None), FULL, behind)
    assert columns(found)["Torque (N·m)"].state == "sure"
