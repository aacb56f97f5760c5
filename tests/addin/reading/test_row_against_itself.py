"""A row against its flange and its equipment: whole sentences, and orderly lists that stay silent.

Studs of the standard flanges: NPS 8 class 300 has 12 studs of 7/8 in (tests/published, read in a copy).
"""

from typing import Any

import pytest

from addin.cells.words import line
from addin.reading.column import Column
from addin.reading.joint_rows import read_rows
from calc.hardware.flanges import bolting, bolting_of
from calc.units import system

COLUMNS = [
    Column(at, heading, field, None, "") for at, (heading, field) in enumerate(
        [("Joint", "joint"), ("Equipment", "equipment"), ("NPS", "size"), ("Class", "rating"), ("Stud size", "thread"),
         ("Studs", "studs")]
    )
]  # fmt: skip


def rows(count: int = 20) -> list[list[Any]]:
    return [[f"E-{i}-N1", f"E-{i}", 8, 300, "7/8-9", 12] for i in range(count)]


def said(cells: list[list[Any]]) -> list[tuple[int, str]]:
    return [(f.row, line(f, system("US"))) for f in read_rows(COLUMNS, cells).joints.faults]


def test_an_orderly_list_is_silent() -> None:
    assert said(rows()) == []


def test_studs_that_are_not_those_of_the_flange() -> None:
    cells = rows()
    cells[3][5] = 16
    cells[4][2] = 10
    cells[5][4] = "1-8"

    assert said(cells) == [
        (
            3,
            "16 x 7/8-9 are not the studs of the standard flange NPS 8 class 300, 12 x 7/8-9 UNC, as most rows "
            "of this list have: check studs, size and class",
        ),
        (
            4,
            "12 x 7/8-9 are not the studs of the standard flange NPS 10 class 300, 16 x 1-8 UNC, as most rows of "
            "this list have: check studs, size and class",
        ),
        (
            5,
            "12 x 1-8 are not the studs of the standard flange NPS 8 class 300, 12 x 7/8-9 UNC, as most rows of "
            "this list have: check studs, size and class",
        ),
    ]


def test_large_and_metric_flanges_contradict_with_how_they_are_known() -> None:
    """B16.47 class 150 NPS 36: 32 of 1-1/2 (A, read in a copy) or 44 of 7/8 (B); EN 1092-1 DN 200 PN 40: 12 of M27."""
    cells = rows()
    for row, large in zip(cells[:6], [(32, "1-1/2-8"), (44, "7/8-9")] * 3, strict=True):
        row[2:6] = [36, 150, large[1], large[0]]
    cells[6][2:6] = ["DN 200", "PN 40", "M27", 12]
    assert said(cells) == []
    cells[1][5] = 40
    cells[6][5] = 16

    assert said(cells) == [
        (1, "40 x 7/8-9 are not the studs of a standard flange of this size and class, 32 x 1 1/2-8 UN (NPS 36 class "
            "150 series A, read in a copy) or 44 x 7/8-9 UNC (NPS 36 class 150 series B, from memory), as most "
            "rows of this list have: check studs, size and class against the standard"),
        (6, "16 x M27 are not the studs of a standard flange of this size and class, 12 x M27 (DN 200 PN 40, from "
            "memory), as most rows of this list have: check studs, size and class against the standard"),
    ]  # fmt: skip


def test_a_list_of_metric_flanges_is_checked_too() -> None:
    columns = [*COLUMNS[:2], Column(2, "DN", "size", None, ""), Column(3, "PN", "rating", None, ""), *COLUMNS[4:]]
    cells = [[f"E-{i}-N1", f"E-{i}", 150, 40, "M24", 8] for i in range(20)]
    faults = [(f.row, f.code) for f in read_rows(columns, cells).joints.faults]
    cells[3][4] = "M20"

    assert faults == []
    assert [(f.row, f.code) for f in read_rows(columns, cells).joints.faults] == [(3, "studs_not_of_flanges")]


def test_a_list_of_other_flanges_says_nothing() -> None:
    cells = rows()
    for row in cells[:8]:
        row[5] = 20

    assert said(cells) == []


def test_a_tag_that_is_not_of_its_equipment() -> None:
    cells = rows()
    cells[7][1] = "V-99"

    assert said(cells) == [
        (7, "tag 'E-7-N1' does not hold its equipment 'V-99', as nearly all tags of this list do: which one applies?")
    ]
    for row in cells[:4]:
        row[1] = "V-99"
    assert said(cells) == []


def test_a_stud_length_unlike_that_of_the_same_flange() -> None:
    columns = [*COLUMNS, Column(6, "Stud length (in)", "length", "in", "")]
    cells = [[*row, 5.5 if n < 10 else 7.0] for n, row in enumerate(rows())]
    for row in cells[10:]:
        row[2:6] = [10, 300, "1-8", 16]
    assert [f.code for f in read_rows(columns, cells).joints.faults] == []
    cells[3][6] = 7.0

    assert [line(f, system("US")) for f in read_rows(columns, cells).joints.faults] == [
        "stud length 7 is unlike that of 9 of 10 joints of this list with the same flange: 5.5"
    ]


def test_a_column_of_sizes_sorted_apart_is_named_row_by_row() -> None:
    """Counts still are those of the flanges, sizes of most rows are not."""
    cells = rows()
    for row in cells[:14]:
        row[4] = "1-8"

    assert [row for row, _ in said(cells)] == list(range(14))


def test_studs_that_no_standard_flange_has_where_size_and_class_are_not_stated() -> None:
    """No flange of the table has 24 studs of 7/8 in; 8 and 12 there are."""
    cells = [[*row[:2], None, None, "7/8-9", 8 if i % 2 else 12] for i, row in enumerate(rows(40))]
    assert said(cells) == []
    cells[3][5] = 24

    assert said(cells) == [
        (3, "no standard flange has 24 studs 7/8-9, but 39 of 40 rows of this list have the studs of one: check stud "
            "size and count")
    ]  # fmt: skip


def test_a_row_that_names_the_standard_of_its_flange_is_held_against_it_in_any_list() -> None:
    """B16.47 NPS 36 class 150: series A has 32 of 1-1/2 (read in a copy), series B 44 of 7/8 (from memory)."""
    cells = [[f"E-{i}-N1", f"E-{i}", 8, 300, "1-8", 4 * i + 4] for i in range(8)]
    assert said(cells) == []
    cells[0][2:] = [36, "150 series A", "1-1/2-8", 28]
    cells[1][2:] = [36, "150 series B", "1-8", 44]
    cells[2][2:] = [36, "ASME B16.47 150 series A", "1-1/2-8", 32]
    cells[3][2:] = [8, "ASME B16.5 Class 300", "7/8-9", 16]

    told = "check studs, size and class"
    assert said(cells) == [
        (0, "28 x 1-1/2-8 are not the studs of the standard flange NPS 36 class 150 series A, 32 x 1 1/2-8 UN: "
            + told),
        (1, "44 x 1-8 are not the studs of a standard flange of this size and class, 44 x 7/8-9 UNC (NPS 36 class 150 "
            f"series B, from memory): {told} against the standard"),
        (3, "16 x 7/8-9 are not the studs of the standard flange NPS 8 class 300, 12 x 7/8-9 UNC: " + told),
    ]  # fmt: skip


def test_bare_sizes_under_a_plain_heading_may_contradict() -> None:
    """A size of 36 beside 3/4 is inches, 200 a DN; 40 and 50 alone may be either, and say nothing."""
    names = {"size": "Size", "rating": "Rating"}
    plain = [Column(c.at, names.get(c.field or "", c.heading), c.field, None, "") for c in COLUMNS]

    def told(cells: list[list[Any]]) -> list[int]:
        return [f.row for f in read_rows(plain, cells).joints.faults]

    cells = rows()
    cells[3][5] = 16
    assert told(cells) == [3]
    assert told([[*row[:2], 50, 150, "7/8-9", 12] for row in cells]) == []


METRIC = [*COLUMNS[:2], Column(2, "DN", "size", None, ""), Column(3, "PN", "rating", None, ""), *COLUMNS[4:],
          Column(6, "Remarks", "remarks", None, "")]  # fmt: skip


def test_four_divides_the_studs_of_every_flange_in_the_tables() -> None:
    """What the caution below says of the standards, against their rows (B16.5 and B16.47 A read in a copy)."""
    assert all(studs % 4 == 0 for _, studs in bolting())
    assert all(way.studs % 4 == 0 for dn in (50, 150, 200, 600) for way in bolting_of(f"DN {dn}", "PN 16"))


@pytest.mark.parametrize("studs", [21, 11, 14])
def test_a_count_that_four_does_not_divide_on_a_flange_of_the_standards(studs: int) -> None:
    """In a list of one row; DN 200 PN 40 has 12 of M27."""
    cells = [["E-1-N1", "E-1", 200, 40, "M27", studs]]
    faults = read_rows(METRIC, cells).joints.faults

    assert [line(f, system("SI")) for f in faults] == [
        f"{studs} studs on a flange of 200 40: flanges of the standards have a number that four divides: count them"
    ]
    assert [f.level for f in faults] == ["caution"]


@pytest.mark.parametrize(
    ("place", "text"), [(0, "V-1 bonnet"), (1, "exchanger channel cover"), (6, "clamp joint"), (3, ""), (2, "")]
)
def test_other_joints_may_have_any_even_count(place: int, text: str) -> None:
    cells: list[Any] = ["E-1-N1", "E-1", 200, 40, "M27", 14, ""]
    cells[place] = text

    assert read_rows(METRIC, [cells]).joints.faults == ()


def test_an_odd_count_in_a_list_of_even_ones() -> None:
    columns = [*COLUMNS[:2], *(Column(at, c.heading, c.field, None, "") for at, c in enumerate(COLUMNS[4:], 2))]
    cells: list[list[Any]] = [[f"E-{i}-N1", f"E-{i}", "M27", 12] for i in range(20)]
    cells[4][3] = 13

    assert [(f.row, line(f, system("SI"))) for f in read_rows(columns, cells).joints.faults] == [
        (4, "13 studs is an odd number; 19 of 20 rows of this list have an even one: count them")
    ]
    for row in cells[:3]:
        row[3] = 5  # a list of small covers
    assert read_rows(columns, cells).joints.faults == ()


def items(count: int = 16) -> list[list[Any]]:
    """Items of four joints, NPS 3, 8, 10 and 12 of class 300: 8 x 3/4, 12 x 7/8, 16 x 1, 16 x 1-1/8; no size stated."""
    studs = [("3/4-10", 8), ("7/8-9", 12), ("1-8", 16), ("1-1/8-8", 16)]
    return [[f"E-{n}-N{k}", *studs[k]] for n in range(count) for k in range(4)]


def test_studs_of_another_class_than_the_other_joints_of_the_item() -> None:
    """16 x 2 in are the studs of NPS 12 class 1500 alone (B16.5, read in a copy)."""
    columns = [COLUMNS[0], Column(1, "Stud size", "thread", None, ""), Column(2, "Studs", "studs", None, "")]
    cells = items()

    def told() -> list[tuple[int, str]]:
        return [(f.row, line(f, system("US"))) for f in read_rows(columns, cells).joints.faults]

    assert told() == []
    cells[7][1] = "2-8"
    assert told() == [
        (7, "16 studs 2-8 are those of class 1500 flanges, but the other 3 joints of E-1 can all be of class 150 or "
            "300, as in nearly all items of this list: check stud size and count")
    ]  # fmt: skip
    cells[11][1] = "2-8"  # two items of sixteen: below 92 per cent
    assert told() == []
