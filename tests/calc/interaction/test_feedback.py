"""Measured loads fed back, judged with loads from bricks: feedback.csv, which `feedback_study.py` wrote."""

import csv
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
import brick_study  # noqa: E402
from feedback_study import CSV, ERROR, plans  # noqa: E402

from calc.findings import InputError  # noqa: E402
from calc.interaction import feedback  # noqa: E402
from calc.interaction.band import MODEL_ERROR  # noqa: E402
from calc.interaction.elastic import ElasticJoint  # noqa: E402
from calc.interaction.events import Pass, run  # noqa: E402
from calc.interaction.samples import Scatter  # noqa: E402
from calc.procedure import order  # noqa: E402


@pytest.fixture(scope="module")
def joints():
    with CSV.open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def loads_of(row):
    return {k + 1: max(float(x), 0.0) for k, x in enumerate(row["measured"].split())}


def test_the_error_of_the_lowest_load_is_at_most_half_of_that_without(joints):
    """All joints of the study: other gasket, other hub, friction, 3 % error; a refused fit counts as none."""
    without = [abs(float(row["without"]) - float(row["lowest"])) for row in joints]
    with_it = [abs(float(row["with"] or row["without"]) - float(row["lowest"])) for row in joints]
    assert len(joints) >= 30
    assert np.mean(without) > 0.1
    assert np.mean(with_it) < 0.5 * np.mean(without)
    assert np.median(with_it) < 0.5 * np.median(without)


@pytest.mark.parametrize("studs", ["8", "16", "24"])
def test_the_mean_over_all_that_explains_the_loads_halves_the_error_for_each_count(joints, studs):
    """Against the one number of a plan without measurement; 90 of 100 lie in the range, the model's error set aside."""
    mine = [{k: float(row[k] or row["without"]) for k in ("lowest", "without", "mean", "low", "high")}
            for row in joints if row["studs"] == studs]  # fmt: skip
    without = np.mean([abs(row["without"] - row["lowest"]) for row in mine])
    assert np.mean([abs(row["mean"] - row["lowest"]) for row in mine]) < 0.5 * without
    inside = [row["low"] - MODEL_ERROR < row["lowest"] < row["high"] + MODEL_ERROR for row in mine]
    assert np.mean(inside) >= 0.85


def test_what_lies_ahead_is_told_with_what_is_not_known(make):
    """All studs measured without fault: the range stays as wide as the pulls to come make it; fewer studs widen it."""
    joint = make(8, shell_wall=0.008, hub_thickness=0.02, hub_length=0.03)
    load, (done, more) = brick_study.load_of(joint), plans(8)
    kept = run(ElasticJoint(feedback.changed(joint, 1.5, float("nan"))), load, [*done, *more]).kept
    said = []
    for studs in (range(8), (0, 3, 5)):
        found = feedback.fit(joint, load, done, {k + 1: float(kept[2][k]) for k in studs}, error=0.01)
        said.append(feedback.outlook(found, done, more))
    all_studs, some = said
    assert all_studs.low < all_studs.mean < min(all_studs.high, kept[-1].min())
    assert all_studs.high - all_studs.low > 0.04 * load
    assert some.high - some.low > all_studs.high - all_studs.low


def test_the_study_is_what_the_program_does(make, joints, sweeps):
    """Joints of eight studs worked out again from what was measured: one, or ten in a sweep."""
    some = [row for row in joints if row["studs"] == "8" and row["with"]][: 10 if sweeps else 1]
    assert some
    for row in some:
        joint = make(8)
        load, (done, more) = brick_study.load_of(joint), plans(8)
        measured = {stud: share * load for stud, share in loads_of(row).items()}
        found = feedback.fit(joint, load, done, measured, error=ERROR)
        then = feedback.rest(found, done, more).kept[-1].min() / load
        assert then == pytest.approx(float(row["with"]), abs=0.002)
        assert found.factor == pytest.approx(float(row["fitted_factor"]), abs=0.005)


def test_loads_of_the_model_itself_give_its_gasket_back(make):
    """Closure 1.5 times the assumed one, no friction, no error: the factor comes back, and nothing is left over."""
    hub = {"shell_wall": 0.008, "hub_thickness": 0.02, "hub_length": 0.03}
    joint = make(8, **hub)
    load, (done, more) = brick_study.load_of(joint), plans(8)
    true = feedback.changed(joint, 1.5, float("nan"))
    kept = run(ElasticJoint(true), load, [*done, *more]).kept
    found = feedback.fit(joint, load, done, {k + 1: float(x) for k, x in enumerate(kept[2])}, error=0.03)
    assert found.factor == pytest.approx(1.5, rel=0.05)
    assert np.isnan(found.hub)
    assert found.after < 0.25 * found.before
    assert found.friction == pytest.approx(1.0, abs=0.03)
    assert feedback.rest(found, done, more).kept[-1] == pytest.approx(kept[-1], abs=0.02 * load)


def test_friction_and_wrench_that_change_from_pull_to_pull_count_as_one(make):
    """Independent shares add as squares: 3 % of friction and 4 % of the wrench are the same 5 % of either alone."""
    joint = make(8, shell_wall=0.008, hub_thickness=0.02, hub_length=0.03)
    load, (done, _) = brick_study.load_of(joint), plans(8)
    kept = run(ElasticJoint(feedback.changed(joint, 1.5, float("nan"))), load, done).kept[-1]
    measured = {k + 1: float(x) * (1.05 if k % 2 else 0.95) for k, x in enumerate(kept)}
    both, one = (
        feedback.fit(joint, load, done, measured, error=0.03, scatter=Scatter(shot=shot, wrench_repeat=repeat))
        for shot, repeat in ((0.03, 0.04), (0.05, 0.0))
    )
    assert both.left == pytest.approx(one.left, rel=1e-9)
    assert both.friction == pytest.approx(one.friction, rel=1e-9)


def test_some_studs_are_enough(make):
    hub = {"shell_wall": 0.008, "hub_thickness": 0.02, "hub_length": 0.03}
    joint = make(8, **hub)
    load, (done, _) = brick_study.load_of(joint), plans(8)
    kept = run(ElasticJoint(feedback.changed(joint, 1.5, float("nan"))), load, done).kept[-1]
    found = feedback.fit(joint, load, done, {k: float(kept[k - 1]) for k in (1, 2, 3, 6)}, error=0.03)
    assert found.factor == pytest.approx(1.5, rel=0.1)


def test_loads_that_no_gasket_explains_are_refused(make):
    """Neighbours at nothing and at 1.6 times the target by turns, and the other way round: no gasket does that."""
    joint = make(8, shell_wall=0.008)
    load, (done, _) = brick_study.load_of(joint), plans(8)
    with pytest.raises(InputError) as caught:
        feedback.fit(joint, load, done, {k: (1.6 if k % 2 else 0.0) * load for k in range(1, 9)}, error=0.03)
    assert caught.value.finding.code == "measured_unexplained"


@pytest.mark.parametrize(
    ("measured", "options", "code"),
    [
        ({1: 1e4, 2: 1e4}, {}, "measured_few"),
        ({1: 1e4, 2: 1e4, 9: 1e4}, {}, "measured_unknown"),
        ({1: 1e4, 2: 1e4, 3: 9e5}, {"stud_yield": 2e5}, "measured_yield"),
        ({1: 1e4, 2: 1e4, 3: -1.0}, {}, "out_of_range"),
        ({1: 1e4, 2: 1e4, 3: 1e4}, {"error": 0.0}, "out_of_range"),
        ({1: 1e4, 2: 1e4, 3: 1e4}, {"error": float("nan")}, "out_of_range"),
    ],
)
def test_refusals(make, measured, options, code):
    with pytest.raises(InputError) as caught:
        feedback.fit(make(8), 6e4, [Pass(1.0, order.cross(8))], measured, **{"error": 0.03, **options})
    assert caught.value.finding.code == code
