"""A torque that leaves the bounds beside it, or that a stage on the way to it does not suit, is asked."""

from pathlib import Path
from typing import Any

import pytest
from few_lines import columns, read_lines

from addin.cells.words import line as sentence
from addin.reading.joint_list import JointList
from addin.reading.understood import Answers, ColumnAnswer, heading_key
from calc.units import system

ABOVE = ["Joint", "Stud", "Qty", "Grade", "Torque ft-lb", None, None]
SIZES = ["1", "1 1/4", "1 3/8", "7/8"]
WHOLE = [405, 810, 1110, 270]
"""Torques that suit the sizes; a bound beside each is 5 % away, the stages are 30 and 60 % of them."""


def read(folder: Path, heads: list[str], *values: list[Any], **told: Any) -> JointList:
    rows = [[f"P-{i}", size, 12, "B7", *cells] for i, (size, *cells) in enumerate(zip(SIZES, *values, strict=True))]
    return read_lines(folder, [ABOVE, [None] * 4 + heads, *rows], "E1:G1", **told)


def said(found: JointList) -> list[str]:
    codes = ("torque_against_column", "torque_against_stage")
    return [
        f"{found.place(each)}: {sentence(each, system('US'))}"
        for each in found.rows.joints.faults
        if each.code in codes
    ]


def shares(*share: float) -> list[list[float]]:
    return [[round(each * value) for value in WHOLE] for each in share]


BOUNDS = ["min", "aim", "max"]
STAGES = ["30 %", "60 %", "100 %"]


def test_torques_within_their_bounds_and_stages_that_suit_are_not_asked(tmp_path: Path) -> None:
    found = read(tmp_path, BOUNDS, *shares(0.95, 1, 1.05))
    assert columns(found)["Torque ft-lb / aim"].field == "torque"
    assert said(found) == []
    found = read(tmp_path, STAGES, *shares(0.3, 0.6, 1))
    assert columns(found)["Torque ft-lb / 100 %"].field == "torque"
    assert said(found) == []


@pytest.mark.parametrize(
    ("at", "torque", "words"),
    [
        (0, 450, "Sheet!F3: torque 450 lbf·ft is above 425 lbf·ft in column G 'Torque ft-lb / max', its bound or a"
                 " stage on the way to it: which of the two is right?"),
        (3, 220, "Sheet!F6: torque 220 lbf·ft is below 256 lbf·ft in column E 'Torque ft-lb / min', its bound or a"
                 " stage on the way to it: which of the two is right?"),
    ],
)  # fmt: skip
def test_a_torque_past_its_bound_stops_the_row(at: int, torque: float, words: str, tmp_path: Path) -> None:
    least, aim, most = shares(0.95, 1, 1.05)
    aim[at] = torque
    assert said(read(tmp_path, BOUNDS, least, aim, most)) == [words]


def test_a_stage_of_another_share_than_its_heading_says_stops_the_row(tmp_path: Path) -> None:
    first, second, whole = shares(0.3, 0.6, 1)
    whole[0] = 505
    assert said(read(tmp_path, STAGES, first, second, whole)) == [
        "Sheet!G3: torque 505 lbf·ft: column E 'Torque ft-lb / 30 %' has 122 lbf·ft, which is 24.2 % of it and not"
        " 30 %: which of the two is right?"
    ]


def test_torques_that_slipped_by_a_row_are_all_asked(tmp_path: Path) -> None:
    first, second, whole = shares(0.3, 0.6, 1)
    assert len(said(read(tmp_path, STAGES, first, second, [whole[-1], *whole[:-1]]))) == 4


def test_stages_rounded_to_tens_are_not_asked(tmp_path: Path) -> None:
    first, second, whole = ([round(value, -1) for value in column] for column in shares(0.3, 0.6, 1))
    assert said(read(tmp_path, STAGES, first, second, whole)) == []


def test_a_stage_without_a_share_is_only_never_above_its_torque(tmp_path: Path) -> None:
    first, second, whole = shares(0.2, 0.5, 1)
    second[2] = 1200
    assert said(read(tmp_path, ["1st", "2nd", "final"], first, second, whole)) == [
        "Sheet!G5: torque 1110 lbf·ft is below 1200 lbf·ft in column F 'Torque ft-lb / 2nd', its bound or a stage on"
        " the way to it: which of the two is right?"
    ]


def confirmed(heads: list[str], torque: str) -> Answers:
    """A signed sheet of answers by which this column is the torque."""
    fields = {"Joint": "joint", "Stud": "thread", "Qty": "studs", "Grade": "grade"}
    fields |= {f"Torque ft-lb / {head}": "torque" if head == torque else "none" for head in heads}
    columns = {heading_key(name): ColumnAnswer(each, "lbf·ft" * (each == "torque")) for name, each in fields.items()}
    return Answers(columns, by="A. Weir, 2026-03-01")


def test_who_confirms_the_columns_confirms_no_row(tmp_path: Path) -> None:
    """A sheet of answers is signed for whatever it asks, and all of its columns with it."""
    aim = [450, *WHOLE[1:]]
    (asked,) = said(read(tmp_path, BOUNDS, *shares(0.95), aim, *shares(1.05), answers=confirmed(BOUNDS, "aim")))
    assert asked.startswith("Sheet!F3: torque 450 lbf·ft is above 425 lbf·ft in column G 'Torque ft-lb / max'")
    (asked,) = said(read(tmp_path, STAGES, *shares(0.3, 0.6), [505, *WHOLE[1:]], answers=confirmed(STAGES, "100 %")))
    assert asked.startswith("Sheet!G3: torque 505 lbf·ft: column E 'Torque ft-lb / 30 %' has 122 lbf·ft")


def test_where_a_person_has_chosen_another_column_stages_stop_no_row_and_bounds_do(tmp_path: Path) -> None:
    found = read(tmp_path, STAGES, *shares(0.3, 0.6, 1), answers=confirmed(STAGES, "60 %"))
    assert columns(found)["Torque ft-lb / 60 %"].field == "torque"
    assert said(found) == []
    heads = ["2nd", "3rd", "max"]
    (asked,) = said(read(tmp_path, heads, [300, *shares(0.6)[0][1:]], *shares(1, 0.7), answers=confirmed(heads, "2nd")))
    assert asked.startswith("Sheet!E3: torque 300 lbf·ft is above 284 lbf·ft in column G 'Torque ft-lb / max'")


def test_a_bound_that_is_passed_by_less_than_one_per_cent_was_rounded(tmp_path: Path) -> None:
    least, aim, most = shares(1, 1, 1)
    aim[0], aim[1] = 408, 803  # 0.7 % above 405, 0.9 % below 810
    assert said(read(tmp_path, BOUNDS, least, aim, most)) == []
    aim[0], aim[1] = 410, 801  # 1.2 and 1.1 %
    assert len(said(read(tmp_path, BOUNDS, least, aim, most))) == 2


def test_a_row_without_a_bound_is_not_asked(tmp_path: Path) -> None:
    least, aim, most = shares(0.95, 1, 1.05)
    assert said(read(tmp_path, BOUNDS, least, aim, [None, 0, *most[2:]])) == []


def test_a_bound_that_says_how_far_it_is_from_the_torque_is_no_share_of_it(tmp_path: Path) -> None:
    heads = ["min -5 %", "aim", "max +5 %"]
    least, aim, most = shares(0.95, 1, 1.05)
    assert said(read(tmp_path, heads, least, aim, most)) == []
    aim[0] = 450
    assert len(said(read(tmp_path, heads, least, aim, most))) == 1


def test_a_bound_in_another_unit_of_torque_is_compared_in_that_and_one_in_bar_is_none(tmp_path: Path) -> None:
    """576 N·m are 424.836 lbf·ft; 1.35582 N·m are one lbf·ft, by definition of foot and pound-force."""
    least, aim, most = shares(0.95, 1, 1.05)
    aim[0] = 450
    newton_metres = [round(1.3558 * value) for value in most]
    (asked,) = said(read(tmp_path, ["min", "aim", "max Nm"], least, aim, newton_metres))
    assert asked.startswith("Sheet!F3: torque 450 lbf·ft is above 424.836 lbf·ft in column G 'Torque ft-lb / max Nm'")
    assert said(read(tmp_path, ["min", "aim", "max bar"], least, aim, [100, 200, 300, 50])) == []


@pytest.mark.parametrize(
    ("heading", "asked"),
    [("Max. torque ft-lb", 1), ("Maximum torque (ft-lb)", 1), ("Max. people", 0), ("Max. wrenches", 0)],
)
def test_a_bound_of_the_torque_stands_below_its_heading_or_names_it(heading: str, asked: int, tmp_path: Path) -> None:
    most = [425, 850, 1166, 284] if asked else [3, 3, 3, 2]
    aim = [450, *WHOLE[1:]]
    rows = [[f"P-{i}", size, 12, "B7", *two] for i, (size, *two) in enumerate(zip(SIZES, aim, most, strict=True))]
    found = read_lines(tmp_path, [[*ABOVE[:4], "Torque ft-lb", heading], *rows])
    assert not columns(found)[heading].used
    assert len(said(found)) == asked


def test_a_largest_torque_of_an_earlier_time_bounds_none(tmp_path: Path) -> None:
    assert said(read(tmp_path, ["min", "aim", "old max"], *shares(0.95, 1, 0.9))) == []


def test_the_share_of_a_stage_may_stand_behind_its_name(tmp_path: Path) -> None:
    first, second, whole = shares(0.3, 0.6, 1)
    whole[0] = 505
    (asked,) = said(read(tmp_path, ["1st 30%", "2nd 60%", "final"], first, second, whole))
    assert asked.startswith("Sheet!G3: torque 505 lbf·ft: column E 'Torque ft-lb / 1st 30%' has 122 lbf·ft")
