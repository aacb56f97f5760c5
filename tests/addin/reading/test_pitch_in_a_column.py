"""A pitch that the list states in a column of its own goes to the size beside it, however the size is written."""

from pathlib import Path

import pytest

from addin.reading.joint_list import read_joint_list
from tests.small_plans import bare_list


@pytest.mark.parametrize("heading", ["TPI", "Threads per inch", "Threads / in", "Threads/inch", "threads per in."])
@pytest.mark.parametrize(
    ("size", "tpi", "thread"),
    [
        ('1 1/2"', 6, '1 1/2-6'), ('1-1/4"', 7, "1-1/4-7"), ("1-3/8", 6, "1-3/8-6"), ("1 1/4", 7, "1 1/4-7"),
        (1.25, 7, "1.25-7"), ("7/8", 9, "7/8-9"),
    ],
)  # fmt: skip
def test_threads_per_inch(tmp_path: Path, heading: str, size: object, tpi: int, thread: str) -> None:
    head = ["Joint", "Operation", "Method", "Stud size", heading, "No. of studs", "Grade", "Torque (N·m)"]
    rows = [[f"E-{i}", "final make-up", "hydraulic", *((size, tpi) if i % 2 else ("1 1/8", 8)), 16, "A193 B7", 450 + i]
            for i in range(6)]  # fmt: skip

    read = read_joint_list(bare_list(tmp_path / "list.xlsx", head, *rows))

    assert read.understood.columns[4].field == "pitch"
    assert read.rows.joints.thread[:2] == ("1 1/8-8", thread)


@pytest.mark.parametrize(("size", "pitch", "thread"), [("M39", 3, "M39x3"), (36, 4, "M36x4"), ("M42x3", 4.5, "M42x3")])
def test_millimetres(tmp_path: Path, size: object, pitch: float, thread: str) -> None:
    head = ["Joint", "Operation", "Method", "Stud size (mm)", "Pitch (mm)", "No. of studs", "Grade", "Torque (N·m)"]
    rows = [[f"E-{i}", "final make-up", "hydraulic", size, pitch, 16, "8.8", 450 + i] for i in range(6)]

    read = read_joint_list(bare_list(tmp_path / "list.xlsx", head, *rows))

    assert set(read.rows.joints.thread) == {thread}
