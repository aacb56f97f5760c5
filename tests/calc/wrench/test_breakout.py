"""Breaking out: torsional strength, what follows, and the stages."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.hardware import threads
from calc.preload import torque
from calc.quantities import LBF_FT, PSI
from calc.wrench import breakout, calibration

KSI = 1000 * PSI
TEXTS = ["3/4-10", "1 1/2-8", "4-8", "M24", "M36x4"]
CURVE = calibration.curve([100e5, 300e5, 500e5, 700e5], [1000.0, 3050.0, 5080.0, 7100.0])


def test_torsional_strength_by_hand() -> None:
    """1-1/2-8 of 105/125 ksi: stress diameter 1.3782 in, π d³/16 = 0.51402 in³, times 105/√3 ksi: 2 597 lbf·ft
    (Mises torsion, computed by hand)."""
    thread = threads.parse("1 1/2-8")

    assert breakout.torsional_limit(thread, 105 * KSI) / LBF_FT == pytest.approx(2597, abs=1)


@given(st.sampled_from(TEXTS), st.floats(4e8, 1e9), st.floats(0, 0.95), st.floats(0.5, 1))
def test_at_the_limit_the_equivalent_stress_is_the_yield(
    text: str, yield_: float, share: float, reserve: float
) -> None:
    thread = threads.parse(text)
    preload = share * reserve * yield_ * float(threads.tensile_area(thread))
    limit = breakout.torsional_limit(thread, yield_, preload=preload, reserve=reserve)
    d = float(threads.stress_diameter(thread))
    tau, sigma = 16 * limit / (math.pi * d**3), preload / threads.tensile_area(thread)

    assert math.sqrt(sigma**2 + 3 * tau**2) == pytest.approx(reserve * yield_, rel=1e-9)


def test_a_stud_at_yield_in_tension_has_nothing_left() -> None:
    thread = threads.parse("M24")

    assert np.isnan(breakout.torsional_limit(thread, 600e6, preload=700e6 * threads.tensile_area(thread)))


@given(st.sampled_from(TEXTS), st.floats(4e8, 1e9), st.floats(0.05, 0.3))
def test_a_nut_that_still_turns_never_reaches_the_limit_of_a_seized_one(text: str, yield_: float, mu: float) -> None:
    """The thread's share of a torque that makes up to 60 per cent of yield is less than the whole stud can take."""
    thread = threads.parse(text)
    preload = 0.6 * yield_ * threads.tensile_area(thread)

    if torque.combined_stress(preload, thread, mu) < yield_:
        limit = breakout.torsional_limit(thread, yield_, preload=preload)
        assert torque.thread_torque(preload, thread, mu) <= limit * (1 + 1e-9)


@pytest.mark.parametrize(
    ("factor", "available", "stud", "follows", "usable"),
    [
        (1.3, 2800.0, 3521.0, breakout.WITHIN, 2800.0),
        (1.5, 2800.0, 3521.0, breakout.LARGER, 2800.0),
        (1.8, 2800.0, 3521.0, breakout.OTHER, 2800.0),
        (1.8, 5000.0, 3521.0, breakout.OTHER, 3521.0),
        (1.8, 5000.0, math.inf, breakout.WITHIN, 5000.0),
        (1.8, 3000.0, math.inf, breakout.LARGER, 3000.0),
        (1.3, 2800.0, math.nan, breakout.UNKNOWN_STUD, 2800.0),
        (1.5, 2800.0, math.nan, breakout.UNKNOWN_LARGER, 2800.0),
        (math.nan, 2800.0, 3521.0, "", 2800.0),
        (1.3, math.nan, 3521.0, "", math.nan),
    ],
)
def test_what_follows(factor: float, available: float, stud: float, follows: str, usable: float) -> None:
    found = breakout.check(2000.0, factor, available, stud)

    assert str(found.follows) == follows
    assert np.array_equal(found.usable, usable, equal_nan=True)


@given(
    st.lists(
        st.tuples(
            st.floats(10, 1e4), st.floats(1, 3), st.floats(10, 3e4), st.one_of(st.floats(10, 3e4), st.just(math.nan))
        ),
        min_size=1,
        max_size=6,
    )
)
def test_a_column_gives_what_each_row_gives(rows: list[tuple[float, float, float, float]]) -> None:
    many = breakout.check(*(np.array(column) for column in zip(*rows, strict=True)))
    one = [breakout.check(*row) for row in rows]

    assert many.expected.tolist() == [float(found.expected) for found in one]
    assert many.follows.tolist() == [str(found.follows) for found in one]
    for row, follows in zip(rows, many.follows.tolist(), strict=True):
        if follows == breakout.WITHIN:
            assert row[0] * row[1] <= min(row[2], row[3]) * (1 + 1e-12)


@given(st.floats(1000, 7100), st.integers(1, 8), st.floats(1, 50))
def test_stages_rise_from_the_lowest_point_and_end_at_the_top(top: float, count: int, step: float) -> None:
    stages = breakout.staged(CURVE, top, max(count, 2))
    marks = calibration.Marks(step, 1e5)
    found = breakout.staged_settings(CURVE, top, marks, count=max(count, 2), ceiling=600e5)

    assert (np.diff(stages) > 0).all()
    assert stages[0] == 1000.0
    assert stages[-1] == pytest.approx(top)
    kept = ~np.isnan(found.torque)
    assert (found.torque[kept] <= stages[kept] * (1 + 1e-12)).all()
    assert (found.pressure[kept] <= 600e5).all()


@given(st.floats(1000, 7100), st.floats(1, 50), st.floats(1, 1.5))
def test_the_last_stage_gives_the_torque_wherever_a_mark_within_the_limits_does(
    top: float, step: float, more: float
) -> None:
    """Against every mark of the gauge, tried one by one."""
    found = breakout.staged_settings(
        CURVE, top, calibration.Marks(step, 1e5), ceiling=600e5, usable=top * more
    )  # fmt: skip
    marks = np.arange(np.ceil(100 / step), np.floor(600 / step) + 1) * step * 1e5
    there = np.interp(marks, CURVE.pressure, CURVE.torque)
    serve = there[(there >= top * (1 - 1e-12)) & (there <= top * more)]  # but for the last bits

    assert not np.any(found.torque > top * more * (1 + 1e-9))
    if serve.size:
        assert found.torque[-1] == pytest.approx(serve.min(), rel=1e-6)


def test_stages_stay_inside_the_table() -> None:
    assert breakout.staged(CURVE, 900.0).size == 0
    assert breakout.staged(CURVE, math.nan).size == 0
    assert breakout.staged(CURVE, 9000.0)[-1] == 7100.0


def test_a_stud_still_tight_gives_the_nut_its_face_and_the_thread_all_the_rest() -> None:
    """1-1/2-8 of 105 ksi at 50 ksi on the root area: F 70 264 lbf, σ 47.1 ksi on 1.4918 in²; twist left
    √(105² - 47.1²)/√3 x 0.51402 in³ = 2 321 lbf·ft; under the nut 0.16 x F x 2.0/2 in = 937 lbf·ft (by hand)."""
    thread = threads.parse("1 1/2-8")
    load = 50 * KSI * threads.root_area_b11(thread)
    limit = breakout.seized_limit(thread, 105 * KSI, preload=load, nut_friction=0.16, bearing_diameter=0.0508)

    assert limit / LBF_FT == pytest.approx(3258, abs=2)
    assert breakout.seized_limit(
        thread, 105 * KSI, preload=math.nan, nut_friction=0.16, bearing_diameter=0.0508
    ) == breakout.torsional_limit(thread, 105 * KSI)


def test_once_the_nut_has_turned_the_lower_of_both_limits_holds() -> None:
    tight = breakout.check(2000.0, 1.2, 9000.0, 4400.0, 3500.0)
    loose = breakout.check(2000.0, 1.2, 3000.0, 4400.0, 3500.0)

    assert (float(tight.usable), float(tight.once_turned), bool(tight.by_stud)) == (4400.0, 3500.0, True)
    assert (float(loose.usable), float(loose.once_turned), bool(loose.by_stud)) == (3000.0, 3000.0, False)
