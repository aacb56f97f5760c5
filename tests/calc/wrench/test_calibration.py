"""The curve of a wrench, its odd points, and settings on the gauge's marks."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.findings import InputError
from calc.wrench.calibration import (
    ROUNDINGS,
    Marks,
    curve,
    findings,
    pressure_for,
    setting,
    shared_setting,
    to_marks,
    torque_at,
)

BAR = 1e5
# a table made up for these checks; the values below it are straight-line arithmetic by hand
FIRST = curve(np.array([100, 200, 300, 400, 500]) * BAR, [800, 1650, 2500, 3340, 4180])
SECOND = curve(np.array([100, 200, 300, 400, 500]) * BAR, [760, 1560, 2370, 3170, 3970])


def test_target_between_two_rows_lies_on_their_straight_line() -> None:
    # 200 + 100 (2210 - 1650)/(2500 - 1650) = 265.882...
    assert float(pressure_for(FIRST, 2210.0)) / BAR == pytest.approx(200 + 100 * 560 / 850, rel=1e-14)


@pytest.mark.parametrize(
    ("step", "shown", "torque"),
    [(10.0, 270.0, 1650 + 0.7 * 850), (20.0, 260.0, 1650 + 0.6 * 850), (50.0, 250.0, 1650 + 0.5 * 850)],
)
def test_nearest_mark_and_the_torque_it_gives(step: float, shown: float, torque: float) -> None:
    marks = Marks(step, BAR)

    s = setting(FIRST, 2210.0, marks)

    assert float(marks.shown(s.count)) == shown
    assert float(s.torque) == pytest.approx(torque, rel=1e-12)
    assert float(s.difference) == pytest.approx(torque / 2210 - 1, abs=1e-12)


def test_one_mark_for_two_wrenches_that_differ_too_much() -> None:
    count, (a, b) = shared_setting([FIRST, SECOND], 2210.0, Marks(10.0, BAR))

    # 270 bar: 2245 (+1.6 %) and 1560 + 0.7 x 810 = 2127 (-3.8 %); 280 bar: 2330 (+5.4 %): no mark within 3 %
    assert float(count) == 27
    assert max(abs(float(a.difference)), abs(float(b.difference))) == pytest.approx(1 - 2127 / 2210, rel=1e-12)


def test_no_mark_for_two_wrenches_where_the_torque_lies_beyond_the_table_of_one() -> None:
    """4180 ends FIRST and 3970 SECOND: 4000 lies in one table alone, though a mark of 500 bar is within 5 % of both."""
    for curves in ([FIRST, SECOND], [SECOND, FIRST]):
        count, _ = shared_setting(curves, [3900.0, 4000.0], Marks(10.0, BAR))
        assert np.isnan(count).tolist() == [False, True]


def test_nothing_beyond_the_ends() -> None:
    assert np.isnan(pressure_for(FIRST, [799.999, 4180.001])).all()
    assert np.isnan(torque_at(FIRST, np.array([99.999, 500.001]) * BAR)).all()
    assert torque_at(FIRST, np.array([100.0, 500.0]) * BAR).tolist() == [800.0, 4180.0]
    assert pressure_for(FIRST, [800.0, 4180.0]).tolist() == [100 * BAR, 500 * BAR]


def test_a_setting_is_never_above_its_ceiling() -> None:
    s = setting(FIRST, 2210.0, Marks(10.0, BAR), ceiling=265 * BAR)

    assert float(s.count) == 26


@pytest.mark.parametrize(("rounding", "count"), [("nearest", 27), ("down", 26), ("up", 27)])
def test_directions_of_rounding(rounding: str, count: int) -> None:
    assert float(to_marks(265.88 * BAR, Marks(10.0, BAR), rounding=rounding)) == count


def test_a_mark_is_its_own_setting_whatever_the_last_bits() -> None:
    for whole in range(1, 400):
        pressure = whole * 0.1 * BAR  # 0.1 has no exact binary form
        assert float(to_marks(pressure, Marks(0.1, BAR), rounding="down")) == whole
        assert float(to_marks(pressure, Marks(0.1, BAR), rounding="up")) == whole


def test_half_way_takes_the_lower_mark() -> None:
    assert float(to_marks(265 * BAR, Marks(10.0, BAR))) == 26


def test_up_has_no_mark_above_the_table_and_down_none_below() -> None:
    assert np.isnan(setting(FIRST, 4175.0, Marks(7.0, BAR), rounding="up").count)
    assert np.isnan(setting(FIRST, 805.0, Marks(7.0, BAR), rounding="down").count)


@pytest.mark.parametrize(
    ("pressure", "torque", "codes"),
    [
        ([100, 200, 300], [800, 1650, 2500], []),
        ([100], [800], ["table_too_short"]),
        ([100, 200, 200], [800, 1650, 1700], ["table_duplicate"]),
        ([100, 200, 150], [800, 1650, 1700], ["table_not_rising"]),
        ([100, 200, 300], [800, 1650, 1650], ["table_not_rising"]),
    ],
)
def test_odd_points_are_found(pressure: list[float], torque: list[float], codes: list[str]) -> None:
    assert [f.code for f in findings(np.array(pressure) * BAR, torque)] == codes


def test_a_faulty_table_makes_no_curve() -> None:
    with pytest.raises(InputError, match="table_not_rising"):
        curve([1e7, 2e7], [800.0, 700.0])


@st.composite
def curves(draw: st.DrawFn):
    count = draw(st.integers(2, 12))
    steps = st.floats(1.0, 100.0)
    pressure = np.cumsum(draw(st.lists(steps, min_size=count, max_size=count))) * BAR
    torque = np.cumsum(draw(st.lists(steps, min_size=count, max_size=count))) * 10
    return curve(pressure, torque)


@given(curves(), st.floats(0, 1))
def test_setpoint_and_torque_there_are_inverse(c, share: float) -> None:
    torque = float(c.torque[0] + share * (c.torque[-1] - c.torque[0]))

    back = float(torque_at(c, pressure_for(c, torque)))

    assert back == pytest.approx(torque, rel=1e-12)


@given(curves(), st.floats(0, 1), st.floats(0, 1))
def test_more_torque_never_needs_less_pressure(c, a: float, b: float) -> None:
    low, high = (c.torque[0] + x * (c.torque[-1] - c.torque[0]) for x in sorted((a, b)))

    assert pressure_for(c, low) <= pressure_for(c, high)


def test_an_end_of_the_table_but_for_the_last_bits_is_that_end() -> None:
    c = curve([100e5, 200e5], [0.1 + 0.2, 2312.37826703])

    assert [float(pressure_for(c, torque)) for torque in (0.3, np.nextafter(2312.37826703, 9999.0))] == [100e5, 200e5]
    assert float(torque_at(c, 200e5 * (1 + 1e-15))) == 2312.37826703
    assert np.isnan(pressure_for(c, 2312.3783))


def test_a_torque_within_the_table_is_never_moved_to_its_end() -> None:
    """5e-11 above the first row: its pressure differs from the row's by less than a millionth of a millionth."""
    c = curve([6e5, 7e5], [10.0, 20.0])

    assert float(torque_at(c, pressure_for(c, 10.00000000005))) == pytest.approx(10.00000000005, rel=1e-12)
    assert np.isnan(pressure_for(c, 0.29999))


@given(curves(), st.lists(st.floats(0, 1), min_size=1, max_size=20))
def test_a_column_gives_the_same_bits_as_each_alone(c, shares: list[float]) -> None:
    torque = c.torque[0] + np.array(shares) * (c.torque[-1] - c.torque[0])

    assert pressure_for(c, torque).tolist() == [float(pressure_for(c, t)) for t in torque]


@given(
    st.lists(st.one_of(st.floats(700, 4300), st.sampled_from([800.0, 1650.0, 4180.0, 4180 * (1 + 5e-13)])), min_size=2)
)
def test_one_torque_has_the_bits_it_has_in_a_column(torques: list[float]) -> None:
    column = pressure_for(FIRST, torques)

    assert np.array([pressure_for(FIRST, torque) for torque in torques]).tobytes() == column.tobytes()
    assert pressure_for(FIRST, torques[:1]).tobytes() == column[:1].tobytes()
    for rounding in ROUNDINGS:
        marks = Marks(10.0, BAR)
        counts = to_marks(column, marks, rounding=rounding, low=100 * BAR)
        alone = [to_marks(pressure, marks, rounding=rounding, low=100 * BAR) for pressure in column]
        assert np.array(alone).tobytes() == counts.tobytes()


@given(
    st.one_of(st.floats(0, 6e7), st.integers(0, 600).map(lambda bar: bar * BAR), st.sampled_from([float("nan"), 5e7])),
    st.sampled_from([1.0, 2.5, 10.0, 100.0, 7.0]),
    st.sampled_from(ROUNDINGS),
    st.sampled_from([0.0, 99.5 * BAR, 100 * BAR, 700 * BAR]),
    st.sampled_from([500 * BAR, 503.3 * BAR, np.inf]),
)
def test_one_pressure_alone_meets_the_mark_that_it_meets_in_a_column(
    pressure: float, step: float, rounding: str, low: float, high: float
) -> None:
    marks = Marks(step, BAR)

    alone = to_marks(pressure, marks, rounding=rounding, low=low, high=high)
    column = to_marks([pressure, pressure], marks, rounding=rounding, low=low, high=high)

    assert np.array_equal(column, [alone, alone], equal_nan=True)


def test_of_two_shared_marks_equally_far_off_the_lower_is_taken() -> None:
    """1 and 3 N·m for the 2 that are wanted: half too little or half too much."""
    table = curve([100e5, 200e5, 300e5], [1.0, 3.0, 5.0])
    count, _ = shared_setting([table, table], 2.0, Marks(100.0, BAR))
    assert float(count) == 1.0


@pytest.mark.parametrize("unit", [1e5, 6894.757293168361])
@pytest.mark.parametrize("rounding", ["nearest", "down", "up"])
def test_a_pressure_at_a_mark_or_half_way_but_for_the_last_bits_is_there_in_a_column_and_alone(
    unit: float, rounding: str
) -> None:
    """Marks of 1/3 from 1/3 to 200: the mark itself whichever way is rounded, and of half-way the lower one."""
    marks, count = Marks(1 / 3, unit), np.arange(1.0, 601.0)
    at, half = count / 3 * unit, (count + 0.5) / 3 * unit
    there = {"nearest": count, "down": count, "up": count + 1}[rounding]
    for mark, way in ((at, count), (half, there)):
        for pressure in (np.nextafter(mark, 0), mark, np.nextafter(mark, 1e12)):
            assert to_marks(pressure, marks, rounding=rounding).tolist() == way.tolist()
            alone = [float(to_marks(one, marks, rounding=rounding)) for one in pressure]
            assert alone == way.tolist()
