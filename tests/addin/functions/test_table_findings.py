"""A pasted table against what is stated of its wrench. Invented table; common practice, no source."""

from typing import Any

from addin.functions.gate import answer
from addin.functions.registry import BY_NAME

TABLE = [["Pressure (psi)", "Torque (ft-lb)"], *([p, round(0.508 * p - 28)] for p in range(1000, 10001, 1000))]


def said(*values: Any) -> list[list[Any]]:
    shown = answer(BY_NAME["table_findings"], [TABLE, *values])
    return shown if isinstance(shown, list) else [[shown]]


def test_a_smooth_table_in_a_wrong_unit_shows_against_the_rated_torque_alone() -> None:
    assert said() == [["no findings", ""]]
    assert said(None, "5100 ft-lb") == [["no findings", ""]]
    assert said(None, "6915 ft-lb") == [
        ["stop", "table gives 5052 lbf·ft at the rated pressure, -26.9 % off the rated torque 6915 lbf·ft, about a "
                 "factor between two units of torque: is it the table of this wrench?"]
    ]  # fmt: skip


def test_ratings_in_the_system_named_and_a_plain_number_without_one_stops() -> None:
    assert said("US", 5100, 10000, 28, 64, 5200) == [["no findings", ""]]
    assert "has no unit" in str(said(None, 5100))
    found = said("US", 5100, 10000, 28, 40)
    assert found[0][0] == "stop"
    assert "oil" in found[0][1]
