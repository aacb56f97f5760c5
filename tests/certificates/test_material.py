"""The tables of calibration certificates under `tables/` are whole: cells, truth, and words a good sentence holds."""

import sys
from collections import Counter
from pathlib import Path

import pytest

from .score import TABLES, by_cells, inside, judge, read

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


def test_every_table_is_read_as_a_careful_engineer_reads_it() -> None:
    tables = [read(path) for path in FILES]
    said = by_cells(Path(sys.executable), tables)
    verdicts = {t.name: (t.kind, judge(t, *got)[0]) for t, got in zip(tables, said, strict=True)}
    counts = Counter(verdicts.values())

    assert [name for name, (_, verdict) in verdicts.items() if verdict == "wrongly read"] == []
    assert [name for name, (kind, verdict) in verdicts.items() if kind == "plain" and verdict != "read rightly"] == []
    assert counts["person", "refused without the choice"] + counts["trap", "refused without the choice"] == 0
