"""Settings of every pass for a column of torques: the same as one by one, and a stop keeps to its row."""

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from addin.functions.examples import CALIBRATION
from addin.functions.gate import answer
from addin.functions.registry import BY_NAME

HEADING = ["30 %", "60 %", "100 %", "100 % circular until no nut turns", "100 % circular check after a wait", "message"]


def call(*values: Any) -> Any:
    return answer(BY_NAME["pass_settings"], list(values))


def test_a_row_for_each_torque_and_a_stop_keeps_to_its_row() -> None:
    rows = call([[2500.0], ["STOP: first cause"], ["abc"], [None], [9000.0], [1000.0]], CALIBRATION, "US", None, 100.0)
    assert rows[0] == HEADING
    assert rows[1] == [2300.0, 4500.0, 7500.0, 7500.0, 7500.0, ""]
    assert rows[2] == ["STOP"] * 5 + ["STOP: first cause"]
    assert rows[3] == ["STOP"] * 5 + ["STOP: torque must be a number, got 'abc'"]
    assert rows[4] == [""] * 6
    assert rows[5] == ["STOP"] * 5 + ["STOP: torque 9000 lbf·ft is above this table's highest point, 3330 lbf·ft"]
    assert rows[6] == ["other means", 1800.0, 3000.0, 3000.0, 3000.0, ""]


def test_every_pass_has_its_per_cent() -> None:
    rows = call(2500.0, CALIBRATION, "US", "25/50/75/100", 100.0)
    assert rows[0] == ["25 %", "50 %", "75 %", "100 %", "100 % circular until no nut turns", "message"]
    assert rows[1] == [1900.0, 3800.0, 5600.0, 7500.0, 7500.0, ""]


def test_what_stops_the_whole() -> None:
    assert call(2500.0, "STOP: no table", "US") == "STOP: no table"
    assert call([[2500.0, 2500.0]], CALIBRATION, "US") == "STOP: torque must be one cell, got 2"
    assert call(2500.0, CALIBRATION, None).startswith("STOP: units is missing (empty cell)")
    assert call(2500.0, CALIBRATION, "US", "60/30/100").startswith("STOP: ")


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(100, 5000), min_size=1, max_size=4),
    st.sampled_from(["PCC-1 legacy", "three-pass", "25/50/75/100"]),
    st.sampled_from([None, 50.0, 100.0, 500.0]),
    st.sampled_from(["nearest", "down", "up"]),
)
def test_as_one_by_one(torques: list[float], scheme: str, graduation: float | None, rounding: str) -> None:
    together = call([[torque] for torque in torques], CALIBRATION, "US", scheme, graduation, rounding)
    for torque, row in zip(torques, together[1:], strict=True):
        alone = answer(BY_NAME["pass_table"], [torque, CALIBRATION, "US", scheme, graduation, rounding])
        if isinstance(alone, str):
            assert row[-1] == alone
            assert set(row[:-1]) == {"STOP"}
        else:
            assert row[:-1] == [each[3] for each in alone[1:] if each[3] != "by hand"]
            assert row[-1] == ""
