"""A table of codes below a list is no list of joints; its first and last codes need not be used by any joint."""

from pathlib import Path

import pytest
from few_lines import columns, read_lines

from addin.reading.code_tables import are_codes
from addin.reading.heads import Head

HEAD = ["Joint No.", "NPS", "Class", "Bolt code", "Gasket", "Torque Nm"]
JOINTS = [
    [f"J-{k}", 8, 300, code, "SW", {"B-3": 600, "B-2": 320}[code]]
    for k, code in enumerate(("B-3", "B-2", "B-3", "B-2", "B-3"))
]
USED = [["B-2", 8, "7/8-9 UNC"], ["B-3", 16, "1 1/8-8 UN"]]


@pytest.mark.parametrize(
    "codes",
    [
        USED,
        [["B-1", 12, "1-8 UN"], *USED],
        [["B-0", 4, "1/2-13 UNC"], ["B-1", 12, "1-8 UN"], *USED],
        [["B-1", 12, "1-8 UN"], USED[0], ["B-2A", 12, "1-8 UN"], USED[1]],
        [*USED, ["B-4", 20, "1 1/4-8 UN"]],
    ],
)
def test_codes_that_no_joint_uses_stand_in_the_table_too(tmp_path: Path, codes: list[list[object]]) -> None:
    found = read_lines(tmp_path, [HEAD, *JOINTS, [], ["Bolt codes"], ["Code", "No. of studs", "Stud size"], *codes])

    assert list(found.rows.joints.joint) == ["J-0", "J-1", "J-2", "J-3", "J-4"]
    assert list(found.rows.joints.studs) == [16, 8, 16, 8, 16]
    assert columns(found)["Bolt code"].why == f"its codes stand in the table in rows 10 to {9 + len(codes)}"
    assert f"row 9 to {9 + len(codes)} is a table of codes: what they stand for is read in the rows that use them" in [
        said.text for said in found.said
    ]


@pytest.mark.parametrize("above", ["Bolt code", "Bolting", "Code"])
@pytest.mark.parametrize("below", ["Bolt code", "Code", "Bolting code"])
def test_a_table_that_has_more_of_a_list_than_the_list_is_still_a_table(tmp_path: Path, above: str, below: str) -> None:
    """Studs, size and torque stand by code alone: the codes were planned as joints."""
    head = ["Joint No.", "NPS", "Class", above, "Gasket"]
    table = [[below, "No. of studs", "Stud size", "Grade", "Torque Nm"], ["B-2", 8, "7/8-9 UNC", "B7", 320],
             ["B-3", 16, "1 1/8-8 UN", "B7", 600], ["B-4", 16, "1 1/4-8 UN", "B7", 800]]  # fmt: skip
    found = read_lines(tmp_path, [head, *(row[:5] for row in JOINTS), [], *table])

    assert list(found.rows.joints.joint) == ["J-0", "J-1", "J-2", "J-3", "J-4"]
    assert list(found.rows.joints.thread) == ["1 1/8-8 UN", "7/8-9 UNC", "1 1/8-8 UN", "7/8-9 UNC", "1 1/8-8 UN"]
    assert "row 8 to 11 is a table of codes: what they stand for is read in the rows that use them" in [
        said.text for said in found.said
    ]


@pytest.mark.parametrize("below", ["Bolt code", "Code"])
def test_a_list_of_which_only_the_codes_speak_of_studs(tmp_path: Path, below: str) -> None:
    table = [[below, "No. of studs", "Stud size", "Grade", "Torque Nm"], ["B-2", 8, "7/8-9 UNC", "B7", 320],
             ["B-3", 16, "1 1/8-8 UN", "B7", 600]]  # fmt: skip
    rows = [[row[0], row[3], row[4]] for row in JOINTS]
    found = read_lines(tmp_path, [["Unit 2"], ["Joint No.", "Code", "Gasket"], *rows, [], *table])

    assert list(found.rows.joints.joint) == ["J-0", "J-1", "J-2", "J-3", "J-4"]
    assert list(found.rows.joints.studs) == [16, 8, 16, 8, 16]


def test_a_second_list_of_the_same_joints_is_no_table_of_codes(tmp_path: Path) -> None:
    """Each joint stands twice above (broken and made up) and once below, under headings of its own."""
    first = [["Joint No.", "Operation", "Stud size", "No. of studs", "Torque Nm"]]
    first += [[tag, what, "M24", 12, 480] for tag in ("J-1", "J-2", "J-3") for what in ("break", "final make-up")]
    second = [
        ["Flange", "Stud dia", "Qty studs", "Grade", "Torque Nm"],
        *[[f"J-{k}", "M24", 12, "8.8", 520] for k in (1, 2, 3)],
    ]
    found = read_lines(tmp_path, [*first, [], ["Retightening"], *second])

    assert list(found.rows.joints.joint)[6:] == ["J-1", "J-2", "J-3"]


@pytest.mark.parametrize(
    ("heading", "above", "below", "codes"),
    [
        ("Bolt code", ("B-2", "B-1", "B-1", "B-2"), ("B-1", "B-2"), True),
        ("Bolt code", ("B-2", "B-1", "B-1", "B-2"), ("B-1", "B-2", "B-1"), False),  # a code is explained once
        ("Bolt code", ("B-1", "B-1", "B-1", "B-2"), ("B-1", "X-9"), False),  # one of them is none
        ("Bolt code", ("B-1", "B-2"), ("B-1", "B-2"), False),  # each stands once above: tags
        ("Bolt code", ("B-1", "B-2", "C-1", "C-1", "C-2", "C-3"), ("B-1", "B-2"), False),  # most joints have others
        ("Equipment No.", ("B-2", "B-1", "B-1", "B-2"), ("B-1", "B-2"), False),  # its machines, each once more
        ("Line No.", ("B-2", "B-1", "B-1", "B-2"), ("B-1", "B-2"), False),
    ],
)
def test_rows_below_explain_codes_only_where_the_joints_above_use_them(
    heading: str, above: tuple[str, ...], below: tuple[str, ...], codes: bool
) -> None:
    joints = [[f"J-{k}", code] for k, code in enumerate(above)]
    heads = [Head(0, "Joint No."), Head(1, heading)]
    assert are_codes([[code, 12] for code in below], heads, joints) is codes
