"""Where headings stand: names above names, rows of units, lists of few columns, lists under words nobody knew."""

from pathlib import Path

import pytest
from few_lines import ROWS, Read, columns, reader

from addin.reading.understood import PROPOSED, SURE


@pytest.fixture
def read(tmp_path: Path) -> Read:
    return reader(tmp_path)


def test_a_unit_of_torque_alone_names_a_target(read: Read) -> None:
    found = read([["Flange", "Studs", "Nm"], *([row[0], f"{row[2]} x {row[1]}", row[3]] for row in ROWS)])
    assert found.numbers == (2, 3, 4, 5)
    assert columns(found)["Nm"].field == "torque"


def test_a_banner_stands_over_the_names_to_its_right_up_to_the_next(read: Read) -> None:
    banners = ["Joint", "Stud bolts", None, None, "Torque", None, "Remarks"]
    names = [None, "Qty", "Size", "Length mm", "Final Nm", "By", None]
    rows = [[row[0], row[2], row[1], 150, row[3], "AB", None] for row in ROWS]
    found = columns(read([banners, names, *rows]))
    assert list(found) == ["Joint", "Stud bolts / Qty", "Stud bolts / Size", "Stud bolts / Length mm",
                           "Torque / Final Nm", "Torque / By", "Remarks"]  # fmt: skip


def test_two_names_below_the_last_name_part_it(read: Read) -> None:
    lines = [["Joint", "Stud size", "Studs", "Torque Nm"], [None, None, None, "first", "final"]]
    lines += [[*row[:3], row[3] // 2, row[3]] for row in ROWS]
    found = read(lines)
    assert found.numbers == (3, 4, 5, 6)
    assert [round(float(value)) for value in found.rows.joints.torque] == [480, 270, 140, 480]


def test_a_row_of_units_is_one_where_rows_below_end_early(read: Read) -> None:
    heads, units = ["Joint", "Studs", "MA", "Remarks", "Load", "Length"], ["tag", "see A", "Nm", "see B", "kN", "mm"]
    rows = [[row[0], f"{row[2]} x {row[1]}", row[3]] for row in ROWS]
    rows[1] += [None, 76.0, 120]
    rows[2] += [None, 44.0]
    found = read([heads, units, *rows])
    assert found.numbers == (3, 4, 5, 6)
    assert columns(found)["MA / Nm"].unit == "N·m"


def test_one_unit_below_the_names_is_a_row_of_units(read: Read) -> None:
    found = read([["Joint", "Stud size", "No. off", "Torque"], [None, "-", "off", "Nm"], *ROWS])
    assert found.numbers == (3, 4, 5, 6)
    assert (columns(found)["Torque / Nm"].field, columns(found)["Torque / Nm"].unit) == ("torque", "N·m")
    assert columns(found)["Torque / Nm"].state == SURE


@pytest.mark.parametrize("more", [0, 1, 3])
def test_a_list_under_words_nobody_knew_is_found_by_its_cells(read: Read, more: int) -> None:
    extra = [f"Xq{k}b" for k in range(more)]
    found = read([["Plmk", "Qwrtz", "Brn", "Zdf", *extra], *([*row, *("ab" for _ in extra)] for row in ROWS)])
    assert found.numbers == (2, 3, 4, 5)
    assert (columns(found)["Qwrtz"].field, columns(found)["Qwrtz"].state) == ("thread", PROPOSED)


def test_units_that_stand_again_below_headings_that_stand_again_are_no_joint(read: Read) -> None:
    heads, units = ["Joint", "Stud size", "No. off", "Torque", "Length"], ["-", "mm", "-", "Nm", "mm"]
    rows = [[row[0], int(row[1][1:]), row[2], row[3], 120] for row in ROWS]
    found = read([heads, units, *rows[:2], heads, units, *rows[2:]])
    assert found.numbers == (3, 4, 7, 8)


def test_headings_that_stand_again_are_no_joint_where_two_of_five_are_spelled_otherwise(
    read: Read,
) -> None:
    heads = ["Joint No.", "Qwrtz", "No. off", "Torque Nm", "Length mm"]
    again = [*heads[:3], "Torque (Nm)", "Length (mm)"]
    rows = [[*row, 120] for row in ROWS]
    found = read([heads, *rows[:2], again, *rows[2:]])
    assert found.numbers == (2, 3, 5, 6)
    assert (columns(found)["Qwrtz"].field, columns(found)["Qwrtz"].values) == ("thread", ("M24", "M20", "M16"))
