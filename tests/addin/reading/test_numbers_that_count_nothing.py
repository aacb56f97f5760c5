"""Numbers beside a thread that are no count of studs, no length, or may be another thing: none is taken.

Widths across flats as in ISO 4032 (M30: 46 mm, M36: 55 mm) and of heavy nuts (50 and 60 mm), from memory; the rest is
common practice, no source.
"""

from pathlib import Path

import pytest

from addin.reading.facts_in_cells import parts
from tests.few_lines import read_lines

HEAD = ["Joint", "Studs", "Torque (N·m)", "Lubricant"]


@pytest.mark.parametrize("text", ["M36 (55)", "M36 (60)", "M30 (46)", "M30x3.5 (50)", "M16 (24)", "M36x205 (60)"])
def test_a_width_across_flats_in_brackets_is_no_count(text: str) -> None:
    assert parts(text) == {}


@pytest.mark.parametrize("text", ["M20 (80)", "M24 (100)", "M20 (70)"])
def test_a_length_or_a_class_in_brackets_is_no_count(text: str) -> None:
    assert parts(text) == {}


@pytest.mark.parametrize(("text", "studs"), [("M36 (48)", "48"), ("M20 (28)", "28"), ("M16 (24x)", "24")])
def test_a_number_below_every_width_across_flats_is_a_count(text: str, studs: str) -> None:
    assert parts(text)["studs"] == studs


@pytest.mark.parametrize(
    "text",
    ["8x M24-2", "24 M33/2", "8 x M10 x 0.75", "M10x0.75", "M33 x 2 x 24", "M36x3x36", "M16x8.8", "12 x M30/24"],
)  # fmt: skip
def test_what_is_no_longer_than_the_stud_is_thick_is_no_length(text: str) -> None:
    assert parts(text) == {}


def test_a_pitch_behind_a_dash_is_not_taken_for_a_length(tmp_path: Path) -> None:
    found = read_lines(tmp_path, [HEAD, *([f"E-{n} N1", "8x M24-2", 500, "L-20"] for n in range(1, 5))])
    assert "M24" not in found.rows.joints.thread


@pytest.mark.parametrize("first", [1, 4, 11])
def test_rows_that_are_numbered_have_no_counts(tmp_path: Path, first: int) -> None:
    rows = [[f"E-{n} N1", f"{n}) M24", 500, "L-20"] for n in range(first, first + 8)]
    found = read_lines(tmp_path, [HEAD, *rows])
    assert not any(count > 0 for count in found.rows.joints.studs)


def test_even_counts_with_a_bracket_are_counts(tmp_path: Path) -> None:
    rows = [[f"E-{n} N1", f"{count}) M24", 500, "L-20"] for n, count in enumerate((16, 20, 16, 24))]
    assert read_lines(tmp_path, [HEAD, *rows]).rows.joints.studs.tolist() == [16, 20, 16, 24]
