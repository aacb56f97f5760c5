"""The assignment of fields to columns against another program's, ties with it."""

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from addin.reading.one_each import one_each


@pytest.mark.parametrize("ties", [False, True])
def test_the_same_choice_as_scipy(ties: bool) -> None:
    rng = np.random.default_rng(7)
    for _ in range(300):
        rows = int(rng.integers(1, 16))
        shape = rows, rows + int(rng.integers(0, 20))
        gain = rng.integers(-5, 3, shape) * 0.25 if ties else rng.normal(0.0, 3.0, shape)
        chosen = one_each(gain)
        assert len(set(chosen)) == rows
        there = linear_sum_assignment(gain, maximize=True)
        assert gain[range(rows), chosen].sum() == pytest.approx(gain[there].sum(), abs=1e-9)
        assert chosen == there[1].tolist()  # among choices alike too


def test_all_alike_keeps_the_order() -> None:
    assert one_each(np.zeros((4, 6))) == [0, 1, 2, 3]


def test_a_column_is_given_up_for_a_larger_sum() -> None:
    assert one_each(np.array([[9.0, 8.0], [9.0, 1.0]])) == [1, 0]


def test_too_few_columns() -> None:
    with pytest.raises(ValueError, match="3 rows for 2 columns"):
        one_each(np.zeros((3, 2)))
