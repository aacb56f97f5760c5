"""Plans of passes: order of results, refusals, and statements in print that the model agrees with."""

import numpy as np
import pytest

from calc.findings import InputError
from calc.interaction.elastic import ElasticJoint
from calc.interaction.events import Limits, Pass, pass_progress, run
from calc.interaction.matrix import MatrixJoint
from calc.procedure import order

FOUR = ((1,), (3,), (2,), (4,))
TABLE = np.eye(4) - 0.2 * (np.eye(4)[[1, 2, 3, 0]] + np.eye(4)[[3, 0, 1, 2]])
LOAD = 60e3


def test_progress_worked_by_hand():
    """The four studs of test_matrix, two passes: 60, 100, 60, 100 and 93.6, 100, 93.6, 100 of 100 (by hand)."""
    course = pass_progress(MatrixJoint(TABLE), 100.0, [Pass(1.0, FOUR)] * 2)
    assert course.mean == pytest.approx([80, 96.8])
    assert course.lowest == pytest.approx([60, 93.6])
    assert course.variation == pytest.approx([0.25, 3.2 / 96.8])
    assert course.highest == pytest.approx([100, 100])
    assert list(course.moves) == [4, 8]


@pytest.mark.parametrize("studs", [8, 16, 24])
def test_preliminary_passes_of_a_gasketed_joint_are_mostly_lost(make, studs):
    """Abstracts of published measurements say that 80 to 100 % of a preliminary pass may be lost (abstracts only)."""
    found = run(ElasticJoint(make(studs)), 2 * LOAD, [Pass(0.3, order.cross(studs))])
    assert 1 - found.kept[0].min() / (0.3 * 2 * LOAD) > 0.8


@pytest.mark.parametrize("studs", [8, 16, 24])
def test_circular_passes_even_out(make, studs):
    passes = [Pass(x, order.cross(studs)) for x in (0.3, 0.6, 1.0)] + [Pass(1.0, order.circular(studs))] * 3
    course = pass_progress(ElasticJoint(make(studs)), LOAD, passes)
    assert (np.diff(course.mean) > 0).all()
    assert (np.diff(course.variation[2:]) < 0).all()
    assert (course.lowest <= course.mean).all()
    assert (course.mean <= course.highest).all()
    assert (course.highest >= np.array([0.3, 0.6, 1, 1, 1, 1]) * LOAD * (1 - 1e-12)).all()


@pytest.mark.parametrize("joint", ["elastic", "matrix"])
def test_settings_of_one_pass_may_differ_by_stud(make, joint):
    model = ElasticJoint(make(8)) if joint == "elastic" else MatrixJoint(np.eye(8))
    shares = tuple(np.linspace(0.9, 1.0, 8))
    found = run(model, LOAD, [Pass(0.5, order.cross(8)), Pass(shares, order.circular(8))])
    assert found.kept[-1, -1] == pytest.approx(LOAD)
    if joint == "matrix":
        assert found.kept[-1] == pytest.approx(np.array(shares) * LOAD)


ABOVE = Limits(1.5 * LOAD, 200e6)


@pytest.mark.parametrize(
    ("passes", "options", "code"),
    [
        ([], {}, "no_passes"),
        ([Pass(1.0, FOUR)], {"target": 0.0}, "not_positive"),
        ([Pass(1.0, FOUR)], {"target": float("nan")}, "not_positive"),
        ([Pass(1.0, FOUR)], {"snug": 0.0}, "out_of_range"),
        ([Pass(1.0, FOUR)], {"snug": 0.7}, "out_of_range"),
        ([Pass(0.01, FOUR)], {}, "out_of_range"),
        ([Pass(100.0, FOUR)], {"limits": ABOVE}, "out_of_range"),
        ([Pass(float("nan"), FOUR)], {}, "out_of_range"),
        ([Pass(1.1, FOUR), Pass(1.0, FOUR)], {}, "limits_needed"),
        ([Pass((1.0, 1.0, 1.0), FOUR)], {}, "pass_settings"),
        ([Pass(1.0, ((1,), (3,), (2,)))], {}, "pass_studs"),
        ([Pass(1.0, ((1,), (3,), (2,), (2,)))], {}, "pass_studs"),
        ([Pass(1.0, ((0,), (1,), (2,), (3,)))], {}, "pass_studs"),
        ([Pass(1.1, FOUR), Pass(1.0, FOUR)], {"limits": Limits(1.05 * LOAD, 200e6)}, "stud_limit"),
        ([Pass(1.1, FOUR), Pass(1.0, FOUR)], {"limits": Limits(1.5 * LOAD, 50e6)}, "gasket_limit"),
    ],
)
def test_plans_that_cannot_be_run_are_refused(passes, options, code):
    joint = MatrixJoint(TABLE, gasket_area=4e-3)
    with pytest.raises(InputError) as caught:
        run(joint, options.pop("target", LOAD), passes, **options)
    assert caught.value.finding.code == code


def test_above_full_load_needs_the_gasket_too(make):
    with pytest.raises(InputError) as caught:
        run(MatrixJoint(TABLE), LOAD, [Pass(1.1, FOUR)], limits=ABOVE)
    assert caught.value.finding.code == "gasket_area_needed"
    with pytest.raises(InputError) as caught:
        Limits(LOAD, float("nan"))
    assert caught.value.finding.code == "not_positive"


def test_elastic_joint_sees_the_highest_gasket_stress(make):
    joint = make(8)
    found = run(ElasticJoint(joint), LOAD, [Pass(1.1, order.cross(8)), Pass(1.0, order.circular(8))], limits=ABOVE)
    even = LOAD * 8 / joint.gasket_area
    assert 0.9 * even < found.gasket_stress < 1.6 * even
