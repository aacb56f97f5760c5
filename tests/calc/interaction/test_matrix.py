"""A joint from a table: worked by hand, and what is refused as a table."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.findings import InputError
from calc.interaction.matrix import MatrixJoint, check_table, nut_advance


def test_moves_worked_by_hand():
    """Four studs, neighbours lose 0.2 of a rise, none below zero; worked by hand."""
    table = np.eye(4) - 0.2 * (np.eye(4)[[1, 2, 3, 0]] + np.eye(4)[[3, 0, 1, 2]])
    joint = MatrixJoint(table)
    state = joint.start(5.0)
    for stud, after in (
        (0, [100, 0, 5, 0]),  # neighbours 5 - 19, stopped at 0
        (2, [100, 0, 100, 0]),
        (1, [80, 100, 80, 0]),
        (3, [60, 100, 60, 100]),
        (0, [100, 92, 60, 92]),
    ):
        joint.move(state, np.array([stud]), np.array([100.0]))
        assert state.load == pytest.approx(after)


def test_opposite_studs_pulled_together_both_reach_their_load():
    table = np.eye(4) - 0.1 + 0.1 * np.eye(4)
    joint = MatrixJoint(table)
    state = joint.start(10.0)
    joint.move(state, np.array([0, 2]), np.array([100.0, 100.0]))
    assert state.load[[0, 2]] == pytest.approx(100)
    assert state.load[[1, 3]] == pytest.approx(0)  # each nut advances by 100: 10 - 2 x 0.1 x 100, stopped at 0


@given(
    st.integers(2, 4).flatmap(
        lambda k: st.tuples(
            st.lists(st.floats(-0.2, 0.2), min_size=k * k, max_size=k * k),
            st.lists(st.floats(-100, 100), min_size=k, max_size=k),
        )
    )
)
def test_nuts_advance_just_enough(case):
    """Conditions of the least advance: none back, none short, and a stud above its setting is left alone."""
    entries, short = case
    k = len(short)
    half = np.array(entries).reshape(k, k)
    own = (half + half.T) / 2
    np.fill_diagonal(own, 1.0)
    q = np.array(short)
    z = nut_advance(own, q[:, np.newaxis])[:, 0]
    over = own @ z - q
    assert (z >= -1e-9).all()
    assert (over >= -1e-8).all()
    assert np.abs(z * over).max() < 1e-6


@pytest.mark.parametrize(
    ("table", "studs", "code", "facts"),
    [
        ([[1, 0, 0], [0, 1, 0]], None, "table_not_square", {"rows": 2, "columns": 3}),
        ([1, 2, 3], None, "table_not_square", {"rows": 3, "columns": 1}),
        (np.eye(8), 12, "table_wrong_size", {"size": 8, "studs": 12}),
        ([[1, np.nan], [0, 1]], None, "table_not_a_number", {"stud": 1, "raised": 2}),
        ([[1, np.inf], [0, 1]], None, "table_not_a_number", {"stud": 1, "raised": 2}),
        ([[1, "x"], [0, 1]], None, "table_not_a_number", {}),
        ([[1, 0], [0, 0.98]], None, "table_diagonal", {"stud": 2, "value": 0.98}),
        ([[100, -30], [-30, 100]], None, "table_diagonal", {"stud": 1, "value": 100.0}),
        ([[1, -30], [-30, 1]], None, "table_entry_large", {"stud": 1, "raised": 2, "value": -30.0}),
        ([], None, "table_not_square", {}),
        ([[1, 0], [0]], None, "table_not_a_number", {}),
    ],
)
def test_what_is_no_table_is_refused(table, studs, code, facts):
    with pytest.raises(InputError) as caught:
        check_table(table, studs)
    assert caught.value.finding.code == code
    assert facts.items() <= dict(caught.value.finding.facts).items()


def test_gasket_area_must_be_an_area():
    with pytest.raises(InputError) as caught:
        MatrixJoint(np.eye(4), gasket_area=0.0)
    assert caught.value.finding.code == "not_positive"
