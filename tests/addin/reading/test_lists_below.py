"""Several lists below each other on one sheet: each is read by its own headings; messages name cells as they stand."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from addin.reading.joint_list import JointList, read_joint_list
from addin.reading.understood import PROPOSED, SURE

FTLB = 4.4482216152605 * 0.3048
FIRST = [
    ["Unit 1 flanges"],
    [],
    ["Joint", "Stud size", "No. off", "Torque Nm", "Remarks"],
    ["A-1", "M24", 12, 480, None],
    ["A-2", "M20", 8, 270, "hot"],
    ["A-3", "M16", 8, 140, None],
    [],
]
SECOND = [
    ["Unit 2 flanges"],
    ["Flange No.", "Qty studs", "Stud dia", "Grade", "Torque ft-lb"],
    ["B-1", 16, '1 1/8"', "B7", 600],
    ["B-2", 12, '7/8"', "B7", 300],
    ["B-3", 8, '3/4"', "B16", 180],
]


@pytest.fixture
def read(tmp_path: Path) -> Callable[..., JointList]:
    """The list of these lines, with merged ranges."""

    def make(lines: Sequence[Sequence[Any]], *merged: str) -> JointList:
        book = Workbook()
        for line in lines:
            book.active.append(list(line))
        for area in merged:
            book.active.merge_cells(area)
        book.save(tmp_path / "list.xlsx")
        return read_joint_list(tmp_path / "list.xlsx")

    return make


def test_each_list_is_read_by_its_own_headings(read: Callable[..., JointList]) -> None:
    found = read([*FIRST, *SECOND])
    joints = found.rows.joints
    assert found.numbers == (4, 5, 6, 10, 11, 12)
    assert list(joints.joint) == ["A-1", "A-2", "A-3", "B-1", "B-2", "B-3"]
    assert list(joints.thread) == ["M24", "M20", "M16", '1 1/8"', '7/8"', '3/4"']
    assert list(joints.studs) == [12, 8, 8, 16, 12, 8]
    assert list(joints.grade) == ["", "", "", "B7", "B7", "B16"]
    assert list(joints.torque) == pytest.approx([480, 270, 140, 600 * FTLB, 300 * FTLB, 180 * FTLB], rel=1e-9)
    assert found.understood.heading_rows == (3, 9)
    assert "another list stands below, with headings of its own in row 9: 3 rows of joints are read by them" in [
        said.text for said in found.said
    ]


def test_of_three_lists_each_says_how_many_rows_are_read_by_it(read: Callable[..., JointList]) -> None:
    third = [[], ["Unit 3"], ["Joint", "Stud size", "Grade", "No. off", "Torque Nm"], ["C-1", "M30", "B7", 12, 900]]
    found = read([*FIRST, *SECOND, *third])
    assert list(found.rows.joints.joint)[3:] == ["B-1", "B-2", "B-3", "C-1"]
    assert [said.text for said in found.said if said.kind == "list_below"] == [
        "another list stands below, with headings of its own in row 9: 3 rows of joints are read by them",
        "another list stands below, with headings of its own in row 15: 1 row of joints is read by them",
    ]


def test_one_heading_that_is_a_number_leaves_headings_what_they_are(read: Callable[..., JointList]) -> None:
    """A column for the year 2026 beside the names: its rows were read under the headings of the first list."""
    second = [[*row, extra] for row, extra in zip(SECOND, (None, "2026", "x", None, "x"), strict=True) if len(row) > 1]
    found = read([*FIRST, *second])
    assert list(found.rows.joints.joint) == ["A-1", "A-2", "A-3", "B-1", "B-2", "B-3"]
    assert list(found.rows.joints.studs) == [12, 8, 8, 16, 12, 8]


def test_a_note_between_a_list_and_a_table_is_one_of_the_list(read: Callable[..., JointList]) -> None:
    first = [["Joint", "Stud size", "No. off", "Torque", "Remarks"], *FIRST[3:6]]
    table = [
        ["Torque Nm", "Lubricant", "Stud size", "Nut A/F mm"],
        ["480", "paste", "M24", 36],
        [270, "paste", "M20", 30],
    ]
    found = read([*first, [], ["All torques in Nm"], [], *table])
    torque = next(each for each in found.understood.columns if each.field == "torque")
    assert (torque.unit, torque.state) == ("N·m", SURE)
    assert torque.why == "the heading says so; N·m by the note 'All torques in Nm'"


def test_a_fault_names_the_cell_where_it_stands(read: Callable[..., JointList]) -> None:
    found = read([*FIRST, *SECOND, ["B-4", "many", '3/4"', "B16", 180]])
    (fault,) = found.rows.joints.faults
    assert found.place(fault) == "Sheet!B13"
    assert found.key_columns[0] == 1


def test_a_tag_in_another_column_is_no_key_column_of_the_sheet(read: Callable[..., JointList]) -> None:
    second = [[row[1], row[0], *row[2:]] if len(row) > 1 else row for row in SECOND]
    found = read([*FIRST, *second])
    assert list(found.rows.joints.joint) == ["A-1", "A-2", "A-3", "B-1", "B-2", "B-3"]
    assert found.key_columns[0] is None


def test_a_column_is_as_sure_as_the_least_sure_of_both(read: Callable[..., JointList]) -> None:
    second = [SECOND[0], ["Flange No.", "Qty studs", "Qwrtz", "Grade", "Torque ft-lb"], *SECOND[2:]]
    found = read([*FIRST, *second])
    reading = next(each for each in found.understood.columns if each.heading == "Stud size")
    assert reading.state == PROPOSED
    assert "below the headings of row 9, 'Qwrtz'" in reading.why
    torque = next(each for each in found.understood.columns if each.heading == "Torque Nm")
    assert (torque.state, torque.unit) == (SURE, "N·m")


def test_merged_cells_of_the_lower_list_hold_for_its_rows(read: Callable[..., JointList]) -> None:
    lines = [*FIRST, *SECOND]
    lines[10] = ["B-2", 12, '7/8"', None, 300]
    found = read(lines, "D10:D11")
    assert list(found.rows.joints.grade)[3:5] == ["B7", "B7"]


def test_a_table_below_that_names_no_joints_is_told_and_not_read(read: Callable[..., JointList]) -> None:
    table = [
        ["Stud size", "Torque Nm", "Nut A/F mm", "Lubricant"],
        ["M24", 480, 36, "paste"],
        [],
        ["M20", 270, 30, "paste"],
    ]
    found = read([*FIRST, *table])
    assert found.numbers == (4, 5, 6)
    assert list(found.rows.joints.thread) == ["M24", "M20", "M16"]
    words = "row 8 to 9, 11 below the list stands under headings of its own that name no joint, and is not read"
    assert words in [said.text for said in found.said]
    again = read([*FIRST, *table, [], FIRST[2], ["A-4", "M24", 12, 480, None]])
    assert again.numbers == (4, 5, 6, 14)


def test_rows_of_numbers_typed_as_texts_are_no_headings(read: Callable[..., JointList]) -> None:
    lines = [["Flange", "Service", "NPS", "Bolt dia", "pcs", "Material", "Torque Nm", "Gasket"]]
    lines += [[f"C-{k}", "Manway gasket", "24", "1 1/4", "20", "B7", "900", "SW"] for k in range(4)]
    found = read(lines)
    assert found.numbers == (2, 3, 4, 5)
    assert not [said for said in found.said if said.kind == "list_below"]
