"""A stress on the root area: that of ASME B1.1 for inch threads, that of ISO 724 (d3) for metric ones."""

from pathlib import Path

import pytest

from addin.reading.joint_list import read_joint_list
from tests.small_plans import bare_list


@pytest.mark.parametrize(("thread", "area"), [("1 1/2-8 UN", "root B1.1"), ("M39x4", "root")])
def test_the_threads_of_the_list_say_which(tmp_path: Path, thread: str, area: str) -> None:
    head = ["Joint", "Operation", "Method", "Stud size", "No. of studs", "Grade", "Root area stress (psi)"]
    rows = [[f"E-{i}", "final make-up", "hydraulic", thread, 16, "A193 B7", 45000 + i] for i in range(5)]

    read = read_joint_list(bare_list(tmp_path / "list.xlsx", head, *rows))

    [said] = [fact for fact in read.understood.whole if fact.field == "area"]
    assert (said.value, said.state, said.why) == (area, "sure", "the heading 'Root area stress (psi)' says so")
    assert set(read.rows.joints.area) == {area}
