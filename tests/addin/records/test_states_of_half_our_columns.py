"""States are written beside a list only where all of our columns of states stand, or none of them."""

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from addin.reading.joint_list import read_joint_list
from addin.records.state_back import HEADINGS, write_states
from addin.workbooks.package import WorkbookError
from tests.small_plans import bare_list

HEAD = ["Joint", "Operation", "Method", "Stud size", "No. of studs", "Grade", "Torque (N·m)"]
ROWS: list[list[Any]] = [[f"E-{n}", "final make-up", "hand", "M20", 8, "8.8", 250, "x"] for n in range(4)]


@pytest.mark.parametrize("left", [HEADINGS[:1], HEADINGS[:3], HEADINGS[1:]])
def test_some_of_them_are_refused_by_name_and_nothing_is_written(tmp_path: Path, left: tuple[str, ...]) -> None:
    path = bare_list(tmp_path / "list.xlsx", [*HEAD, *left], *ROWS)

    with pytest.raises(WorkbookError) as caught:
        write_states(SimpleNamespace(rows=[]), read_joint_list(path), {}, tmp_path / "new.xlsx")  # type: ignore[arg-type]

    assert str(caught.value) == (
        f"list.xlsx, sheet Sheet: of our columns {', '.join(HEADINGS)} only {', '.join(left)} are left; "
        "delete them and record again"
    )
    assert not (tmp_path / "new.xlsx").exists()
