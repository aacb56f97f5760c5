"""A table that many cells ask for is read once; another table, however alike, is another."""

import datetime
from typing import Any

import pytest

from addin.functions import kept_tables
from addin.functions.gate import answer
from addin.functions.registry import BY_NAME

TABLE: list[list[Any]] = [["Pressure (psi)", "Torque (ft-lb)"], [1000, 412], [2000, 818], [3000, 1231], [4000, 1640]]


def setting(table: list[list[Any]], torque: float = 1000.0) -> Any:
    return answer(BY_NAME["setpoint"], [torque, table, "US"])


@pytest.fixture
def reads(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """The tables that were really read."""
    found: list[Any] = []
    reader = kept_tables.read_table

    def counted(rows: Any) -> Any:
        found.append(rows)
        return reader(rows)

    monkeypatch.setattr(kept_tables, "read_table", counted)
    kept_tables._kept.clear()
    return found


def test_a_table_is_read_once_for_many_cells(reads: list[Any]) -> None:
    assert len({setting([list(row) for row in TABLE]) for _ in range(50)}) == 1
    assert len(reads) == 1


@pytest.mark.parametrize("value", [819, 818.0000001, "818", True, None, datetime.date(2026, 3, 14)])
def test_a_table_with_another_cell_is_read_anew(reads: list[Any], value: Any) -> None:
    other = [list(row) for row in TABLE]
    other[2][1] = value

    first, second = setting(TABLE), setting(other)

    assert len(reads) == 2
    kept_tables._kept.clear()
    assert setting(other) == second  # the same whether or not another was read before
    if value == 819:
        assert second != first


def test_a_table_that_is_refused_is_refused_each_time_in_the_same_words(reads: list[Any]) -> None:
    falling = [TABLE[0], TABLE[2], TABLE[1], TABLE[3]]

    said = {setting(falling) for _ in range(3)}

    assert len(said) == 1
    assert said.pop().startswith("STOP")
    assert len(reads) == 1


def test_units_and_shape_count_too(reads: list[Any]) -> None:
    bar = [["Pressure (bar)", "Torque (ft-lb)"], *TABLE[1:]]

    assert setting(TABLE) != setting(bar)
    setting([[*TABLE[0], None], *([*row, None] for row in TABLE[1:])])
    assert len(reads) == 3


def test_only_the_last_few_are_kept(reads: list[Any]) -> None:
    for step in range(2 * kept_tables.MOST):
        setting([TABLE[0], *([pressure, torque + step] for pressure, torque in TABLE[1:])])

    assert len(kept_tables._kept) == kept_tables.MOST
