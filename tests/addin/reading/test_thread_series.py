"""A column of series beside bare sizes belongs to the thread: 1 1/4 UNC has 7 threads per inch and not 8."""

from pathlib import Path

import pytest
from few_lines import read_lines
from record_story import SAMPLES, run

from addin.reading.joint_list import JointList
from addin.reading.understood import ASKED, SURE
from calc.hardware.threads import parse

STATED = {"operation": "final make-up", "method": "hydraulic"}


def read(folder: Path, heading: str, sizes: list[object], series: list[object]) -> JointList:
    heads = ["Joint", "Stud size (in)", heading, "Studs", "Grade", "Torque (ft-lb)"]
    rows = [[f"F-{i}", *two, 16, "B7", 700] for i, two in enumerate(zip(sizes, series, strict=True))]
    return read_lines(folder, [heads, *rows], stated=STATED)


@pytest.mark.parametrize("heading", ["Thread series", "Series", "Qwrtz", "Type of thread"])
def test_the_series_of_a_column_goes_to_the_sizes(tmp_path: Path, heading: str) -> None:
    found = read(tmp_path, heading, ["1 1/4", "1-1/4", '1 1/4"', 1.25, "7/8", "1 1/2"],
                 ["UNC", "UNC", "UNC 2A", "8-UN", "UNC", "unf"])  # fmt: skip
    # ASME B1.1, from memory: 1 1/4 has 7 UNC and 8 UN, 7/8 has 9 UNC, 1 1/2 has 12 UNF threads per inch
    assert [parse(thread).designation for thread in found.rows.joints.thread] == [
        "1 1/4-7 UNC", "1 1/4-7 UNC", "1 1/4-7 UNC", "1 1/4-8 UN", "7/8-9 UNC", "1 1/2-12 UNF",
    ]  # fmt: skip


def test_another_form_of_thread_is_refused_by_its_name_and_never_taken_for_eight_per_inch(tmp_path: Path) -> None:
    read(tmp_path, "Thread series", ["1 1/4", "1 1/4", "1 1/4"], ["UNC", "8UN", "ACME"])
    book = SAMPLES / "drigrauvex-wrenches.xlsx"
    result = run("plan", tmp_path / "list.xlsx", "--wrenches", book, "--out", tmp_path / "out", "--date", "2026-12-01",
                 "--operation", "final make-up", "--method", "hydraulic", "--lubricant", "L-20")  # fmt: skip
    assert (
        "STOP Sheet!B4 F-2 final make-up: thread '1 1/4 ACME' is not known; write it like 1 1/4-8 UN, 7/8 or M36x3\n"
        in result.output
    )


def test_a_blank_column_names_no_series(tmp_path: Path) -> None:
    found = read(tmp_path, "Insul. removed", ["1 1/4", "7/8"], ["-", "-"])
    (column,) = (each for each in found.understood.columns if each.heading == "Insul. removed")
    assert column.field is None


def listed(folder: Path, *lines: list[object]) -> JointList:
    return read_lines(folder, lines, stated=STATED)


def test_millimetres_of_a_length_are_not_those_of_the_stud_beside_it(tmp_path: Path) -> None:
    cells = ["24 x 1-1/2 x 230", "16 x 1 x 160", "12 x M30x3.5 x 180"]
    found = listed(tmp_path, ["Flange", "Studs no. x dia x lg (mm)", "Grade", "Torque (Nm)"],
                   *([f"F{i}", cell, "B7", 900] for i, cell in enumerate(cells)))  # fmt: skip
    assert [parse(thread).designation for thread in found.rows.joints.thread] == ["1 1/2-8 UN", "1-8 UNC", "M30x3.5"]
    assert list(found.rows.joints.studs) == [24, 16, 12]


def test_kind_and_length_in_words_stand_around_a_metric_thread(tmp_path: Path) -> None:
    found = listed(tmp_path, ["Joint", "Fastener", "No. off", "Grade", "Torque (Nm)"],
                   ["1147-03/12", "Stud M64 x 6, 340 lg", 56, "8.8", 9850],
                   ["1147-05/2", "Setscrew M24 x 120", 24, "8.8", 560])  # fmt: skip
    assert [parse(thread).designation for thread in found.rows.joints.thread] == ["M64x6", "M24x3"]


@pytest.mark.parametrize(
    ("sizes", "field"),
    [(["1 1/4", "1 1/8", "7/8"], "thread"), (["1 1/4", "3", "3/4"], "size"), (["3/8", "1/8", "2"], "size")],
)
def test_sizes_of_studs_are_proposed_as_the_thread_and_sizes_of_pipes_never(
    tmp_path: Path, sizes: list[object], field: str
) -> None:
    found = listed(tmp_path, ["Joint", "NPS-Class", "Adet", "Çap (inç)", "Malzeme", "Torque (Nm)"],
                   *([f"H2-F-0{i}", '10"-600#', 16, size, "B16", 600] for i, size in enumerate(sizes)))  # fmt: skip
    (column,) = [each for each in found.understood.columns if each.heading.startswith("Çap")]
    assert (column.field == "thread") == (field == "thread")
    assert field == "size" or column.state == "proposed"


@pytest.mark.parametrize("bare", ["1 1/4", "4"])
def test_sizes_above_one_inch_beside_one_that_names_its_series_are_asked(tmp_path: Path, bare: str) -> None:
    """1 1/4 has 7 threads per inch in UNC and 8 in 8 UN (ASME B1.1, from memory): another torque."""
    found = read_lines(tmp_path, of_sizes("1 1/8-7 UNC", "3/4", bare))
    (size,) = (each for each in found.understood.columns if each.heading == "Stud size")
    assert (size.state, size.why) == (
        ASKED, f"'1 1/8-7 UNC' names its series, '{bare}' does not: 8 threads per inch, or UNC too?"
    )  # fmt: skip


@pytest.mark.parametrize("bare", ["1", "7/8"])
def test_sizes_to_one_inch_are_unc_whatever_another_says(tmp_path: Path, bare: str) -> None:
    found = read_lines(tmp_path, of_sizes("1 1/8-7 UNC", "3/4", bare))
    (size,) = (each for each in found.understood.columns if each.heading == "Stud size")
    assert size.state == SURE


def of_sizes(*sizes: str) -> list[list[object]]:
    rows = [[f"V-{i}", size, 12, 300 + 100 * i] for i, size in enumerate(sizes)]
    return [["Joint No.", "Stud size", "No. off", "Torque ft-lb"], *rows]


@pytest.mark.parametrize(
    ("note", "asked"),
    [
        ('Rosca: até 1" UNC; acima 8 fios, exceto moenda e redutor (UNC).', True),
        ("Studs UNC.", True),
        ("UNC to 1 in, above 8 threads per inch.", False),
    ],
)
def test_a_note_on_unc_is_heard_where_size_and_length_stand_in_one_cell(tmp_path: Path, note: str, asked: bool) -> None:
    rows = [[f"TM-0{i}", 8, size, 550] for i, size in enumerate(["2 1/2 x 42", "1 1/2 x 9", "7/8 x 5"])]
    found = read_lines(tmp_path, [["Joint", "No.", "Size x lg (in)", "Torque Nm"], *rows, [], [note]])
    (size,) = (each for each in found.understood.columns if each.field == "thread")
    said = "the note says UNC, and there are studs above 1 in, where 8 threads per inch are usual: which is meant?"
    assert (size.state == ASKED, size.why == said) == (asked, asked)
