"""Slips in calibration tables: the tables are by hand, what is expected follows from how the slip was made."""

import numpy as np
import pytest

from calc.wrench.ratings import Stated, against_stated, drift
from calc.wrench.slips import printed_step, proportional, slips

BAR = 1e5
PRESSURE = np.arange(1, 11) * 70 * BAR
SOUND = np.array([398, 812, 1221, 1634, 2041, 2457, 2868, 3271, 3690, 4102.0])  # 412 a step less 14, a few off


def found(pressure: object, torque: object) -> list[tuple[str, int, str]]:
    return [(f.code, f.row, f.level) for f in slips(np.array(pressure), np.array(torque), printed=(0.0, 1.0))]


def changed(row: int, torque: float) -> np.ndarray:
    table = SOUND.copy()
    table[row] = torque
    return table


@pytest.mark.parametrize(
    "table",
    [SOUND, np.round(SOUND, -1), SOUND - 0.03 * SOUND[-1], SOUND * (1 + 0.03 * (1 - PRESSURE / PRESSURE[-1])),
     np.arange(1, 11) * 1000.0],
)  # fmt: skip
def test_sound_tables_are_silent(table: np.ndarray) -> None:
    """Coarse rounding, 3 % of the top less by the spring, slightly bent, and a chart in whole thousands."""
    assert found(PRESSURE, table) == []


def test_figures_printed_in_steps_are_judged_as_coarsely_as_they_are_printed() -> None:
    """In whole hundreds a sound table is silent; taken as exact figures, they would not lie on one curve."""
    hundreds = np.round(SOUND, -2)
    assert slips(PRESSURE, hundreds, printed=(0.0, 100.0)) == []
    assert [f.code for f in slips(PRESSURE, hundreds, printed=(0.0, 0.0))] == ["table_rough"]


@pytest.mark.parametrize(("scatters", "codes"), [(2.0, []), (3.0, ["table_rough"])])
def test_points_that_scatter_are_rough_from_nearly_three_times_the_usual_scatter(
    scatters: float, codes: list[str]
) -> None:
    """Ten points by turns above and below a line: (10 x 3² + 2.5) / (10 - 2.5 + 2.5) = 3.04², above 2.8²; 2.06² not."""
    share = np.arange(1, 11) / 10
    usual = np.hypot(0.0025 * share, 0.0008)
    table = 4000 * (share + scatters * usual * np.resize([1, -1], 10))
    assert [f.code for f in slips(PRESSURE, table)] == codes


@pytest.mark.parametrize(
    ("row", "torque", "level"),
    [(4, 2401, "stop"), (9, 4012, "caution"), (9, 4492, "stop"),
     (2, 1121, "stop"), (0, 938, "stop"), (6, 2988, "caution"),
     (0, 424, "caution"), (0, 446, "caution"), (1, 887, "stop")],
)  # fmt: skip
def test_one_wrong_figure_is_named_ends_included(row: int, torque: float, level: str) -> None:
    """What a wrench gives at the lowest pressure alone may be off by a tenth of itself without a stop."""
    assert found(PRESSURE, changed(row, torque)) == [("table_off_line", row, level)]


def test_a_column_moved_by_a_row() -> None:
    assert found(PRESSURE[:-1], SOUND[1:]) == [("table_origin", 0, "stop")]
    assert found(PRESSURE[1:], SOUND[:-1]) == [("table_origin", 0, "stop")]


def test_a_spring_explains_less_torque_but_not_more() -> None:
    """Unequal on purpose: 3 % of the top below zero is ordinary, 3 % above is asked about, 7 % above stops."""
    top = SOUND[-1]
    assert found(PRESSURE, SOUND - 0.03 * top) == []
    assert [code for code, *_ in found(PRESSURE, SOUND + 0.03 * top)] == ["table_origin"]
    assert found(PRESSURE, SOUND + 0.07 * top) == [("table_origin", 0, "stop")]
    assert found(PRESSURE[1:], SOUND[1:] - 0.07 * top) == [("table_origin", 0, "caution")]


def test_a_row_left_out_of_one_column() -> None:
    torque, pressure = np.delete(SOUND, 4), np.delete(PRESSURE, 4)
    assert found(PRESSURE[:-1], torque) == [("table_step", 4, "stop")]
    assert found(pressure, SOUND[:-1]) == [("table_step", 4, "stop")]
    assert found(pressure, torque) == []  # the same row left out of both is no slip


@pytest.mark.parametrize(("more", "said"), [(0.25, ("table_rough", 0)), (0.35, ("table_step", 5))])
def test_a_step_that_rises_by_a_third_more_than_the_others_is_named(more: float, said: tuple[str, int]) -> None:
    """A quarter more only makes the points rough."""
    table = SOUND + np.where(np.arange(10) >= 5, more * 412, 0.0)
    assert found(PRESSURE, table) == [(*said, "caution")]


def test_two_runs_mixed() -> None:
    mixed = SOUND * np.where(np.arange(10) % 3 == 0, 1.035, 1.0)
    assert found(PRESSURE, mixed)


def test_few_points_say_little() -> None:
    assert found(PRESSURE[:2], SOUND[:2]) == []
    assert found(PRESSURE[:3], SOUND[:3]) == []
    assert found(PRESSURE[:3], SOUND[:3] + 0.1 * SOUND[2]) == [("table_origin", 0, "stop")]
    assert [code for code, *_ in found(PRESSURE[:4], [398, 812, 1451, 1634])] == ["table_off_line"]


@pytest.mark.parametrize(("values", "step"), [([410, 820, 1235], 5), ([100, 250], 50), ([68.9, 137.9], 0.1), ([7], 1)])
def test_printed_step(values: list[float], step: float) -> None:
    assert printed_step(values) == step


RATED = Stated(rated_pressure=700 * BAR, rated_torque=4100.0)


@pytest.mark.parametrize(
    ("pressure", "torque", "stated", "said"),
    [
        (PRESSURE, SOUND, RATED, []),
        (PRESSURE, SOUND * 1.3558, RATED, [("table_rated_torque", "stop")]),
        (PRESSURE, SOUND * 1.1, RATED, [("table_rated_torque", "caution")]),
        (PRESSURE / 14.5038, SOUND, RATED, [("table_rated_pressure", "stop")]),
        (PRESSURE * 1.0145, SOUND, RATED, []),  # 700 bar is 10,153 psi, the rating 10,000 psi
        (PRESSURE * 1.1, SOUND, Stated(rated_pressure=700 * BAR), [("table_rated_pressure", "caution")]),
        # 24 degrees at 4102 N·m are 1718 N·m of work; 28 cm3 at 700 bar 1960, 16 cm3 1120, 16.5 cm3 1155
        (PRESSURE, SOUND, Stated(700 * BAR, stroke_angle=np.radians(24), oil_per_stroke=28e-6), []),
        (PRESSURE, SOUND, Stated(700 * BAR, stroke_angle=np.radians(24), oil_per_stroke=16e-6),
         [("table_work", "stop")]),
        (PRESSURE, SOUND, Stated(700 * BAR, link_limits=(3000.0, 2000.0)), [("table_links", "caution")]),
        (PRESSURE, SOUND, Stated(700 * BAR, link_limits=(4100.0, 2000.0)), []),
        (PRESSURE, SOUND, Stated(), []),
        # 4102 N·m at 700 bar: 1.15 x 3567 N·m; 1.15 of the adapter beside a plain link may be in the table
        (PRESSURE, SOUND, Stated(700 * BAR, link_limits=(3567.0,) * 2, factors=(1.0, 1.15)),
         [("table_holds_factor", "caution")]),
        (PRESSURE, SOUND, Stated(700 * BAR, link_limits=(3567.0,) * 2, factors=(1.0, 1.2)), []),
        (PRESSURE, SOUND, Stated(700 * BAR, link_limits=(4100.0,) * 2, factors=(1.0, 1.15)), []),
        # a shorter adapter whose limit, over its factor, is above the table: 4102 / 0.95
        (PRESSURE, SOUND, Stated(700 * BAR, link_limits=(4318.0,) * 2, factors=(1.0, 0.95)), []),
        (PRESSURE, SOUND, Stated(700 * BAR, factors=(1.15, 1.15)), [("table_factor_of_all", "caution")]),
        (PRESSURE, SOUND, Stated(700 * BAR, factors=(1.15, 1.2)), []),
        (PRESSURE, SOUND, Stated(700 * BAR, factors=(1.15,)), []),
    ],
)  # fmt: skip
def test_a_table_against_what_is_stated(
    pressure: np.ndarray, torque: np.ndarray, stated: Stated, said: list[tuple[str, str]]
) -> None:
    assert [(f.code, f.level) for f in against_stated(pressure, torque, stated)] == said


def test_the_rated_torque_is_compared_at_the_rated_pressure() -> None:
    """A table that ends at 490 bar of 700 is carried on for the comparison, and only for it."""
    assert against_stated(PRESSURE[:7], SOUND[:7], RATED) == []


def test_drift_over_the_pressures_both_tables_cover() -> None:
    assert drift((PRESSURE, SOUND), (PRESSURE[2:8], SOUND[2:8] * 0.96)) == pytest.approx(-0.04)
    assert np.isnan(drift((PRESSURE[:3], SOUND[:3]), (PRESSURE[5:], SOUND[5:])))


@pytest.mark.parametrize(
    ("factor", "rows", "step", "asked"),
    [(5.8714, 10, 1, True), (5.8714, 10, 10, True), (5.8714, 5, 1, True), (0.84, 10, 1, True),
     (5.8714, 5, 200, False), (5.8714, 3, 1, False), (0.0583, 10, 5, False)],
)  # fmt: skip
def test_a_factor_times_the_pressure_is_asked_about_unless_rounding_may_explain_it(
    factor: float, rows: int, step: float, asked: bool
) -> None:
    """Psi and lbf·ft: rounding to 200 of 29,000 (0.7 %) hides the scatter of a measurement, 10 of 58,000 does not."""
    psi = np.arange(1, rows + 1) * 1000.0
    torque = np.round(factor * psi / step) * step

    assert proportional(psi, torque, printed=step) is asked


def test_measured_tables_on_a_straight_line_are_hardly_ever_asked_about() -> None:
    """300 tables in proportion with a scatter of 0.3 to 1 % of the reading, printed to the whole pound-foot."""
    rng = np.random.default_rng(4)
    psi = np.arange(1, 11) * 1000.0
    asked = 0
    for scatter in rng.uniform(0.003, 0.01, 300):
        torque = np.round(0.9 * psi * (1 + scatter * rng.standard_normal(10)))
        asked += proportional(psi, torque, printed=1.0)

    assert asked == 0


def test_a_table_that_has_moved_at_one_end_alone_has_drifted() -> None:
    """Ten per cent at the first or at the last pressure, whichever of the two tables is the newer."""
    p = np.array([100e5, 200e5, 300e5])
    old = np.array([800.0, 1600.0, 2400.0])
    first, last = np.array([880.0, 1600.0, 2400.0]), np.array([800.0, 1600.0, 2160.0])
    assert drift((p, old), (p, first)) == pytest.approx(0.1)
    assert drift((p, first), (p, old)) == pytest.approx(1 / 1.1 - 1)
    assert drift((p, old), (p, last)) == pytest.approx(-0.1)
    assert drift((p, last), (p, old)) == pytest.approx(1 / 0.9 - 1)


def test_pressures_that_one_table_alone_covers_do_not_count_as_drift() -> None:
    p = np.array([100e5, 200e5, 300e5, 400e5])
    t = np.array([800.0, 1600.0, 2400.0, 3200.0])
    for part in (slice(1, None), slice(None, -1), slice(1, -1)):
        assert drift((p[part], t[part]), (p, t)) == drift((p, t), (p[part], t[part])) == 0.0


def test_a_point_that_one_table_alone_has_counts_within_the_pressures_of_both() -> None:
    """1760 stands at 200 bar where the other table, without a point there, gives 1600 on its straight line."""
    three = np.array([100e5, 200e5, 300e5]), np.array([800.0, 1760.0, 2400.0])
    two = np.array([100e5, 300e5]), np.array([800.0, 2400.0])
    assert drift(three, two) == pytest.approx(1600 / 1760 - 1)
    assert drift(two, three) == pytest.approx(0.1)
