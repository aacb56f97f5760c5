"""Friction: surveys, the mean diameter under the nut, and the way from a nut factor to a coefficient."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.findings import InputError
from calc.hardware import friction, nuts, threads
from calc.preload import torque
from calc.quantities import INCH

INCH_THREADS = ["1/2-13", "3/4-10", "1-8", "1 1/2-8", "2 1/2-8", "4-8"]


def test_bearing_diameter_of_a_flange_stud() -> None:
    """1 1/2 in stud: flats 2 3/8 in, hole 1 5/8 in (ASME B16.5, hole = stud + 1/8 in)."""
    thread = threads.parse("1 1/2-8")

    assert friction.hole_diameter(thread) / INCH == pytest.approx(1.625)
    assert friction.bearing_diameter(thread, nuts.across_flats(thread)) / INCH == pytest.approx(2.0)


@given(st.sampled_from(INCH_THREADS), st.floats(0.03, 0.4))
def test_a_coefficient_found_from_a_nut_factor_gives_that_nut_factor(text: str, mu: float) -> None:
    thread = threads.parse(text)
    bearing = friction.bearing_diameter(thread, nuts.across_flats(thread))
    moment = torque.from_friction(1.0, thread, mu, mu, bearing_diameter=bearing)

    found = friction.coefficient_from_nut_factor(moment / thread.diameter, thread, bearing)

    assert float(found) == pytest.approx(mu, rel=1e-9)


def test_a_nut_factor_below_the_slope_alone_gives_a_negative_coefficient() -> None:
    thread = threads.parse("1 1/2-8")

    assert float(friction.coefficient_from_nut_factor(0.01, thread, 2 * INCH)) < 0


@given(st.lists(st.tuples(st.sampled_from(INCH_THREADS), st.floats(0.05, 0.4)), min_size=1, max_size=6))
def test_a_column_gives_the_bits_of_each_value(rows: list[tuple[str, float]]) -> None:
    each = [threads.parse(text) for text, _ in rows]
    column, factors = threads.column(each), np.array([factor for _, factor in rows])
    bearings = [friction.bearing_diameter(thread, nuts.across_flats(thread)) for thread in each]

    many = friction.coefficient_from_nut_factor(factors, column, np.array(bearings))
    one = [
        float(friction.coefficient_from_nut_factor(factor, thread, bearing))
        for thread, factor, bearing in zip(each, factors.tolist(), bearings, strict=True)
    ]

    assert many.tolist() == one


def test_surveys_are_found_by_their_words_only() -> None:
    assert friction.survey("  Moly paste or GREASE ").high == 0.18
    with pytest.raises(InputError) as caught:
        friction.survey("moly")

    assert "moly paste or grease" in caught.value.finding.facts["known"]


def test_the_range_of_all_surveys() -> None:
    """Lowest and highest published nut factor: zinc plate 0.075 and 0.53 (from memory)."""
    assert friction.survey_range() == (0.075, 0.53)
