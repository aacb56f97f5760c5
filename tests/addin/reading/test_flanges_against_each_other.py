"""Stud counts, stud lengths and bare classes of a list's flanges against each other. Judgement, no source."""

from pathlib import Path

import pytest
from few_lines import read_lines

from addin.cells.words import line
from addin.reading.flange_rows import STANDARDS, from_standard_flanges
from addin.reading.joint_list import JointList
from calc.units import system


def said(read: JointList) -> list[tuple[int, str]]:
    return [(f.row, line(f, system("US"))) for f in read.rows.joints.faults if f.row is not None]


def flanges(folder: Path, odd: dict[int, float]) -> JointList:
    """Thirteen flanges of one size and class with studs of 5.5 in, but for those of `odd`."""
    head = ["Joint No.", "NPS", "Class", "Stud size", "No. off", "Stud length (in)", "Torque ft-lb"]
    rows = [[f"V-{i} N1", 8, 300, "7/8-9 UNC", 12, odd.get(i, 5.5), 300] for i in range(13)]
    return read_lines(folder, [head, *rows])


def test_one_length_unlike_twelve_others_is_named(tmp_path: Path) -> None:
    assert said(flanges(tmp_path, {})) == []
    assert said(flanges(tmp_path, {3: 6.75})) == [
        (3, "stud length 6.75 is unlike that of 12 of 13 joints of this list with the same flange: 5.5")
    ]


def test_lengths_that_are_in_no_order_name_none(tmp_path: Path) -> None:
    """Two of thirteen: 85 per cent agree, and 92 must."""
    assert said(flanges(tmp_path, {3: 6.75, 5: 7.25})) == []


@pytest.mark.parametrize(("rows", "named"), [(12, False), (13, True)])
def test_an_odd_count_is_named_where_ninety_two_of_a_hundred_are_even(tmp_path: Path, rows: int, named: bool) -> None:
    """One odd count of thirteen is 7.7 per cent, of twelve 8.3."""
    lines = [[f"V-{i} N1", "1 1/8-8 UN", 11 if i == 2 else 12, 500] for i in range(rows)]
    read = read_lines(tmp_path, [["Joint No.", "Stud size", "No. off", "Torque ft-lb"], *lines])

    words = "11 studs is an odd number; 12 of 13 rows of this list have an even one: count them"
    assert said(read) == ([(2, words)] if named else [])


def test_a_bare_number_without_a_heading_is_no_pn() -> None:
    """All rows of a list are 40, says a fact of the whole list: class or PN is not said."""
    texts = {"size": ["200"], "rating": ["40"]}
    found, (finding,) = from_standard_flanges([], texts, {}, 1, STANDARDS[5])

    assert (found, texts["thread"]) == ({}, [""])
    assert line(finding, system("SI")) == (
        "rating '40' is none of EN 1092-1, which the sheet of answers names; give thread and count"
    )
