"""What stands beside the numbers of a joint: how the stages of breaking out go, and what the stud's ceiling is.

HW-3 gives 0.351 lbf·ft/psi - 20 lbf·ft on marks of 50 psi; 1.5 times the torque stated is expected.
"""

from typing import Any

import pytest

from tests.small_plans import BROKEN, hand, joint, plan

LOWEST_UP = "from the lowest pressure up, a stage at a time; stop when the nut turns. "


def test_the_last_stage_gives_the_torque_to_expect_and_marks_are_left_above_it() -> None:
    """2100 lbf·ft take 2120 / 0.351 = 6040 psi: the mark above is 6050, and 8200 psi is allowed."""
    [entry] = plan(joint("E-1", "break", **BROKEN)).joints
    assert entry.breakout is not None
    last = entry.breakout.stages[-1]

    assert (last.pressure.value, last.torque_at_pressure.value) == (6050, pytest.approx(0.351 * 6050 - 20))
    assert entry.breakout.note == LOWEST_UP + (
        "A nut that has not turned at the last stage: raise mark by mark to the highest pressure at most, then stop"
    )


def test_a_stud_that_may_not_see_the_torque_to_expect_says_so() -> None:
    """3450 lbf·ft to expect, the stud yields at 2245: 2265 / 0.351 = 6454 psi, the mark below is 6450."""
    [entry] = plan(joint("E-1", "break", **(BROKEN | {"torque": "2300 lbf·ft"}))).joints
    assert entry.breakout is not None

    assert [stage.pressure.value for stage in entry.breakout.stages][-1] == 6450
    assert entry.breakout.note == LOWEST_UP + (
        "No mark within the highest pressure gives the torque to expect. "
        "The last stage is the highest pressure: a nut that has not turned there, stop"
    )


STATED = {"nut_factor": None, "lubricant": None, "stress": None, "stress_area": None, "torque": "1400 lbf·ft"}


@pytest.mark.parametrize(
    ("row", "value", "note"),
    [
        (joint(), (94500, "psi"), "90 % of the minimum yield, ASTM A193 Table 2, tension with torsion"),
        (hand(), (576, "MPa"), "90 % of the minimum yield, ISO 898-1:2013 Table 3, tension with torsion"),
        (joint(grade=None), None, "not checked: grade not stated"),
        (joint(**STATED), None, "not known: friction not stated"),
    ],
)
def test_the_ceiling_of_the_stud_with_its_source_or_what_is_missing(
    row: dict[str, Any], value: tuple[float, str] | None, note: str
) -> None:
    """0.9 times 105,000 psi of A193 B7 and 640 MPa of property class 8.8."""
    [entry] = plan(row).joints
    ceiling = entry.limits[0]

    assert ceiling.name == "stud ceiling"
    assert (None if ceiling.value is None else (round(ceiling.value.value, 6), ceiling.value.unit)) == value
    assert (ceiling.reached is None) == (value is None)
    assert ceiling.note == note
    assert entry.preload_note == (note if note.startswith("not known") else None)


def test_a_row_with_one_fault_is_told_of_the_other() -> None:
    """What cannot be read in one column hides nothing that is missing in another."""
    faulty = joint("E-1", thread=None, studs="twelve"), joint("E-2", thread="M24x77")
    [first, second, *_] = plan(*faulty, *(joint(f"E-{n}") for n in range(3, 7))).joints

    assert [each.text for each in first.findings] == [
        "stud count must be a number, got 'twelve'", "thread is missing (empty cell)",
    ]  # fmt: skip
    assert "thread is missing (empty cell)" not in [each.text for each in second.findings]
