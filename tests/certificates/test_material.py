"""The tables of calibration certificates under `tables/` are whole: cells, truth, and words a good sentence holds."""

from pathlib import Path

import pytest

from .score import TABLES, inside, read

FILES = sorted(TABLES.glob("*.json"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_table_says_what_is_right(path: Path) -> None:
    table = read(path)

    assert table.kind in ("plain", "person", "trap")
    assert len({len(row) for row in table.cells}) == 1
    if table.kind == "plain":
        pressures = [pressure for pressure, _ in table.points]
        assert len(pressures) > 4
        assert sorted(set(pressures)) == pressures
        assert all(300 < pressure < 11_000 and 10 < torque < 30_000 for pressure, torque in inside(table))
    else:
        assert table.truth["choice"]
        assert all(table.truth["key words"])


def test_there_is_enough_of_each_kind() -> None:
    kinds = [read(path).kind for path in FILES]

    assert kinds.count("plain") >= 40
    assert kinds.count("person") >= 15
    assert kinds.count("trap") >= 5
