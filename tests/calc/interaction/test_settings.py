"""Settings stud by stud: worked by hand, brought back by a run, and held by a cap."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.findings import InputError
from calc.interaction.elastic import ElasticJoint
from calc.interaction.events import Limits, Pass
from calc.interaction.matrix import MatrixJoint
from calc.interaction.settings import one_pass_settings
from calc.procedure import order

FOUR = ((1,), (3,), (2,), (4,))
TABLE = np.eye(4) - 0.2 * (np.eye(4)[[1, 2, 3, 0]] + np.eye(4)[[3, 0, 1, 2]])
WIDE = Limits(1e7, 1e10)
LOAD = 60e3


def test_settings_worked_by_hand():
    """Four studs from 50, neighbours lose 0.2 of a rise: rises of 50/0.6, set in the order 1, 3, 2, 4 (by hand)."""
    joint = MatrixJoint(TABLE, gasket_area=1e-3)
    rise = 50 / 0.6
    found = one_pass_settings(joint, 100.0, FOUR, cap=2.0, snug=0.5, limits=WIDE)
    lost = 0.4 * rise  # what studs 2 and 4 have lost when their turn comes
    assert found.load == pytest.approx([50 + rise, 50 + rise - lost, 50 + rise, 50 + rise - lost])
    assert found.kept == pytest.approx(100)
    assert not found.capped.any()


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10_000))
def test_settings_of_a_table_give_uniform_loads(seed):
    """Random tables, as measured ones are: not symmetric, every stud different."""
    random = np.random.default_rng(seed)
    table = np.eye(8) + random.uniform(-0.06, 0.02, (8, 8)) * (1 - np.eye(8))
    joint = MatrixJoint(table, gasket_area=1e-3)
    found = one_pass_settings(joint, LOAD, order.cross(8), cap=2.0, snug=0.3, limits=WIDE)
    assert found.kept == pytest.approx(LOAD, rel=1e-9)


@pytest.mark.parametrize("at_once", [1, 2, 4])
def test_settings_of_an_elastic_joint_give_uniform_loads(make, at_once):
    before = [Pass(0.5, order.cross(8, at_once))]
    found = one_pass_settings(
        ElasticJoint(make(8)), LOAD, order.cross(8, at_once), cap=2.0, before=before, limits=WIDE,
        check=order.circular(8, at_once),
    )  # fmt: skip
    assert found.kept == pytest.approx(LOAD, rel=1e-3)
    assert found.run.final == pytest.approx(LOAD, rel=1e-3)
    assert found.load.max() > 1.2 * LOAD  # what the first ones have to be set to


@pytest.mark.parametrize("cap", [1.0, 1.15, 1.3])
def test_cap_holds_the_momentary_load(make, cap):
    limits = WIDE if cap > 1 else None
    plain = one_pass_settings(ElasticJoint(make(8)), LOAD, order.circular(8), before=[Pass(0.5, order.circular(8))])
    found = one_pass_settings(
        ElasticJoint(make(8)), LOAD, order.circular(8), cap=cap, before=[Pass(0.5, order.circular(8))], limits=limits
    )
    assert found.load.max() <= cap * LOAD * (1 + 1e-9)
    assert found.run.highest[1] <= max(cap, plain.run.highest[1] / LOAD) * LOAD * (1 + 1e-6)
    assert found.capped.any()
    if cap > 1:
        assert found.kept.mean() > plain.kept.mean()


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ({"cap": 0.9}, "out_of_range"),
        ({"cap": 3.0, "limits": WIDE}, "out_of_range"),
        ({"cap": float("nan")}, "out_of_range"),
        ({"cap": 1.2}, "limits_needed"),
        ({"before": [Pass(1.2, FOUR)]}, "limits_needed"),
        ({"cap": 1.3, "limits": Limits(101.0, 1e10), "snug": 0.3}, "stud_limit"),
        ({"cap": 1.3, "limits": Limits(1e7, 1.0)}, "gasket_limit"),
        ({"moves": ((1,), (2,))}, "pass_studs"),
        ({"target": -5.0}, "not_positive"),
    ],
)
def test_refusals(options, code):
    given_ = {"target": 100.0, "moves": FOUR, **options}
    with pytest.raises(InputError) as caught:
        one_pass_settings(MatrixJoint(TABLE, gasket_area=1e-3), **given_)
    assert caught.value.finding.code == code
