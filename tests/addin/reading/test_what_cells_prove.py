"""What cells say for or against a column: forms of a thread, ratings, numbers that are none, names of the book."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from few_lines import HEAD, ROWS, Read, columns, reader

from addin.reading.understood import ASKED, CHECKED, PROPOSED, SURE, ColumnReading


@pytest.fixture
def read(tmp_path: Path) -> Read:
    return reader(tmp_path)


@pytest.fixture
def beside(read: Read) -> Callable[..., ColumnReading]:
    """One more column of the four joints, as it is read."""

    def make(heading: str, *cells: Any) -> ColumnReading:
        lines = [[*HEAD, heading], *([*row, cell] for row, cell in zip(ROWS, cells, strict=True))]
        return columns(read(lines))[heading]

    return make


@pytest.fixture
def sized(read: Read) -> Callable[..., ColumnReading]:
    """The column of stud sizes of the four joints under another heading."""

    def make(heading: str, *sizes: Any) -> ColumnReading:
        lines = [["Joint No.", heading, "No. off", "Torque Nm"]]
        lines += [[row[0], size, *row[2:]] for row, size in zip(ROWS, sizes, strict=True)]
        return columns(read(lines))[heading]

    return make


# --- threads ---------------------------------------------------------------------------------------------------------


def test_a_size_in_sixteenths_below_one_inch_is_not_asked_about_as_one_above(
    sized: Callable[..., ColumnReading],
) -> None:
    found = sized("Stud size", "1 1/8-7 UNC", "15/16", "7/8", "3/4")
    assert (found.field, found.state) == ("thread", SURE)
    found = sized("Stud size", "1 1/8-7 UNC", "1 5/16", "7/8", "3/4")
    assert found.state == ASKED
    assert "'1 1/8-7 UNC' names its series, '1 5/16' does not: 8 threads per inch, or UNC too?" in found.why


def test_half_the_sizes_as_fractions_and_half_as_decimals_are_sizes(sized: Callable[..., ColumnReading]) -> None:
    found = sized("Qwrtz", "1 1/8", "7/8", 1.25, 0.875)
    assert (found.field, found.state) == ("thread", PROPOSED)


# --- what a column may be, by its cells -------------------------------------------------------------------------------


def test_numbers_that_are_no_class_are_not_offered_as_a_rating(beside: Callable[..., ColumnReading]) -> None:
    assert "rating" not in beside("Des. press. [psig]", 285, 740, 232, 435).candidates
    assert "rating" in beside("Press. [psig]", 150, 300, 600, 150).candidates


def test_tags_are_not_offered_as_a_rating(read: Read) -> None:
    found = columns(read([["Joint ID", *HEAD[1:]], *ROWS]))["Joint ID"]
    assert found.field == "joint"
    assert "rating" not in found.candidates


def test_cells_with_their_own_unit_are_offered_as_nothing_else(read: Read) -> None:
    found = columns(read([[*HEAD[:3], "Pull to"], *([*row[:3], f"{row[3]} Nm"] for row in ROWS)]))["Pull to"]
    assert (found.field, found.candidates) == ("torque", ("torque",))


def test_cells_in_per_cent_are_no_second_load(read: Read) -> None:
    lines = [[*HEAD[:3], "Precarico % snerv.", "Carico/tirante kN"]]
    lines += [
        [*row[:3], share, load]
        for row, share, load in zip(ROWS, ("50 %", "50 %", "45 %", "50 %"), (110, 76, 44, 110), strict=True)
    ]
    found = columns(read(lines))
    assert (found["Precarico % snerv."].field, found["Precarico % snerv."].state) == ("percent", CHECKED)
    assert (found["Carico/tirante kN"].field, found["Carico/tirante kN"].state) == ("load", PROPOSED)


def test_a_grip_told_in_words_is_none(beside: Callable[..., ColumnReading]) -> None:
    assert beside("Grip", "see dwg", "see dwg", "as built", "see dwg").field is None
    assert beside("Grip (mm)", 160, 120, 95, 160).field == "grip"


def test_some_gaskets_told_by_two_diameters_are_read_beside_others_that_are_not(read: Read) -> None:
    rows = [*ROWS, ["V-3 N1", "M20", 8, 270]]
    gaskets = ("120 x 150 mm", "100 x 128 mm", "80 x 105 mm", "see drawing", "spiral")
    found = columns(read([[*HEAD, "Gasket ID x OD"], *([*row, cell] for row, cell in zip(rows, gaskets, strict=True))]))
    assert found["Gasket ID x OD"].field == "gasket_inside_diameter"
    assert found["Gasket ID x OD"].also == ("gasket_outside_diameter",)


def test_numbers_beyond_any_gasket_are_no_diameter_of_one(beside: Callable[..., ColumnReading]) -> None:
    assert beside("Gasket OD (mm)", 6000, 7000, 8000, 9000).field is None
    assert beside("Gasket OD (mm)", 250, 190, 160, 250).field == "gasket_outside_diameter"


@pytest.mark.parametrize("sizes", [(5, 3, 6, 5), (72, 60, 42, 72), (1.5, 2, 6, 2)])
def test_pipe_sizes_before_the_studs_are_proposed_under_a_word_nobody_knows(
    read: Read, sizes: tuple[float, ...]
) -> None:
    lines = [[HEAD[0], "Qwrtz", *HEAD[1:]], *([row[0], size, *row[1:]] for row, size in zip(ROWS, sizes, strict=True))]
    found = columns(read(lines))["Qwrtz"]
    assert (found.field, found.state) == ("size", PROPOSED)


def test_a_number_that_is_no_pipe_size_says_that_the_column_holds_none(read: Read) -> None:
    sizes = (5, 7, 6, 5)
    lines = [[HEAD[0], "Qwrtz", *HEAD[1:]], *([row[0], size, *row[1:]] for row, size in zip(ROWS, sizes, strict=True))]
    assert columns(read(lines))["Qwrtz"].field is None


@pytest.mark.parametrize(
    "numbers",
    [(1, 2, 3, 2, 1, 2), (4, 8, 12, 8, 4, 8), (1, 2, 3, 4, 5, 6), (2, 3, 4, 6, 8, 10)],
    ids=["few and small", "counts of studs", "numbers of rows", "another in every row"],
)
def test_ranks_counts_and_numbers_of_rows_are_no_pipe_sizes(read: Read, numbers: tuple[int, ...]) -> None:
    rows = [*ROWS, ["V-3 N1", "M24", 12, 480], ["V-3 N2", "M20", 8, 270]]
    lines = [[HEAD[0], "Qwrtz", *HEAD[1:]], *([r[0], n, *r[1:]] for r, n in zip(rows, numbers, strict=True))]
    assert columns(read(lines))["Qwrtz"].field is None


def test_numbers_behind_the_studs_are_no_pipe_sizes(beside: Callable[..., ColumnReading]) -> None:
    assert beside("Qwrtz", 5, 3, 6, 5).field is None


@pytest.mark.parametrize("cells", [("M15", "M25", "M35", "M15"), ("M10", "M20", "M31", "M10")])
def test_names_like_threads_that_there_are_not_are_no_threads(read: Read, cells: tuple[str, ...]) -> None:
    lines = [[HEAD[0], "Qwrtz", *HEAD[2:]], *([row[0], cell, *row[2:]] for row, cell in zip(ROWS, cells, strict=True))]
    assert columns(read(lines))["Qwrtz"].field is None


@pytest.mark.parametrize(
    "heading", ["Pump pressure (psi)", "Gauge pressure (bar)", "Set pressure (bar)", "Tool pressure bar"]
)
def test_what_a_pump_is_set_to_is_no_target_and_no_design_pressure(
    beside: Callable[..., ColumnReading], heading: str
) -> None:
    found = beside(heading, 410, 310, 210, 410)
    assert (found.field, found.state, found.why) == (None, "not used", "the heading speaks of a pressure of a pump")


def test_places_of_machines_among_lines_are_those_of_equipment(read: Read) -> None:
    places = ("24-MR-35011", "12-MR-35014", "V-3507 M1", "K-3501 suction")
    lines = [["Line / Equip.", *HEAD], *([place, f"N{k}", *ROWS[k][1:]] for k, place in enumerate(places))]
    found = columns(read(lines))["Line / Equip."]
    assert found.candidates[:2] == ("equipment", "line")


def test_tags_with_a_stroke_are_tags_and_no_fractions(read: Read) -> None:
    tags = ("201/1", "201/2", "202/1", "202/2")
    found = columns(read([HEAD, *([tag, *row[1:]] for tag, row in zip(tags, ROWS, strict=True))]))["Joint No."]
    assert "size" not in found.candidates
    assert found.why == "the heading says so; the cells look like it (201/1, 201/2)"


def test_a_nominal_diameter_with_its_pressure_is_a_size(beside: Callable[..., ColumnReading]) -> None:
    found = beside("DN / PN", "300/25", "200/40", "150/16", "300/25")
    assert (found.field, found.why) == ("size", "the heading says so; the cells look like it (300/25, 200/40)")
