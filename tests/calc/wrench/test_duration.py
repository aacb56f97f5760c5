"""Time per joint: by counting, and what must hold for any joint."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.wrench import duration

turns, angles = st.floats(0.05, 6), st.floats(0.1, 0.6)
schemes = st.sampled_from([(0.3, 0.6, 1.0, 1.0), (1.0, 1.0), (0.25, 0.5, 0.75, 1.0, 1.0)])


def test_by_counting() -> None:
    """90 degrees in 24-degree strokes, 30/60/100 and a check, 8 studs, 10 s a stroke, 40 s a move.

    Turn of the passes 27, 27, 36, 0 degrees: 2, 2, 2, 0 strokes and one to confirm each: 3 + 3 + 3 + 1 strokes and
    4 moves for each of 8 nuts: 8 x (100 + 160) s.
    """
    found = duration.joint_duration(
        math.radians(90), 8, (0.3, 0.6, 1.0, 1.0), stroke_angle=math.radians(24), stroke_time=10.0
    )

    assert found.strokes.tolist() == [3, 3, 3, 1]
    assert found.total == pytest.approx(8 * 260)
    assert set(found.assumed) == {"move", "stroke_time", "stroke_angle", "confirm", "waits"}


def test_a_pass_of_some_studs_counts_them_alone_and_turns_them_from_where_they_were() -> None:
    """As above, 8 studs: four of them at 30 and 60 %, the others from nothing to 100 %, then all.

    Turn 27, 27, 90, and in the last pass 36 for the four, which is counted for all: 2, 2, 4 and 2 strokes and one to
    confirm; 4, 4, 4 and 8 nuts: 4 x (30 + 40) + 4 x (30 + 40) + 4 x (50 + 40) + 8 x (30 + 40) s.
    """
    found = duration.joint_duration(
        math.radians(90), 8, (0.3, 0.6, 1.0, 1.0), stroke_angle=math.radians(24), stroke_time=10.0,
        parts=((1, 4), (1, 4), (5, None), (None, None)),
    )  # fmt: skip

    assert found.strokes.tolist() == [3, 3, 5, 3]
    assert found.passes.tolist() == [280, 280, 360, 560]


def test_stroke_time_by_hand() -> None:
    """100 cm³ at 2 L/min: 3 s, and two switches."""
    assert duration.stroke_time(60e-6, 40e-6, 2e-3 / 60) == pytest.approx(3 + 2 * duration.SWITCH)


@given(turns, st.integers(4, 60), schemes, angles, st.sampled_from([1, 2, 4]), st.floats(1.0, 3.0))
def test_more_turn_takes_no_less_and_more_wrenches_no_more(
    turn: float, studs: int, scheme: tuple[float, ...], angle: float, at_once: int, times: float
) -> None:
    def total(turn: float, at_once: int, angle: float) -> float:
        found = duration.joint_duration(turn, studs, scheme, stroke_angle=angle, stroke_time=9.0, at_once=at_once)
        return float(found.total)

    assert total(times * turn, at_once, angle) >= total(turn, at_once, angle)
    assert total(turn, at_once, angle) <= total(turn, 1, angle)
    assert total(turn, at_once, times * angle) <= total(turn, at_once, angle)


@given(turns, schemes, angles)
def test_the_strokes_cover_the_turn(turn: float, scheme: tuple[float, ...], angle: float) -> None:
    found = duration.joint_duration(turn, 8, scheme, stroke_angle=angle, stroke_time=9.0)

    assert (found.strokes >= 1).all()
    assert (found.strokes - duration.CONFIRM).sum() * angle >= turn * (1 - 1e-6)


@given(st.lists(st.tuples(turns, st.integers(4, 60)), min_size=1, max_size=6), schemes)
def test_a_column_gives_the_bits_of_each_row(rows: list[tuple[float, int]], scheme: tuple[float, ...]) -> None:
    turn, studs = (np.array(column) for column in zip(*rows, strict=True))
    many = duration.joint_duration(turn, studs, scheme, stroke_angle=0.4, stroke_time=9.0)

    assert many.passes.shape == (len(rows), len(scheme))
    one = [duration.joint_duration(t, s, scheme, stroke_angle=0.4, stroke_time=9.0) for t, s in rows]
    assert many.total.tolist() == [float(found.total) for found in one]
