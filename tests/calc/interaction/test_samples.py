"""Scatter on top of a plan: against joints run one by one, against moments in closed form, and to the bit."""

import hashlib
import os
import subprocess
import sys

import numpy as np
import pytest

from calc.findings import InputError
from calc.interaction.elastic import ElasticJoint
from calc.interaction.events import Pass, run
from calc.interaction.gasket import Relaxation
from calc.interaction.matrix import MatrixJoint
from calc.interaction.samples import Scatter, lognormal, residual_preload, sample
from calc.procedure import order

LOAD = {8: 60e3, 24: 300e3}
NONE = Scatter(stud=0, shot=0, joint=0, wrench_bias=0, wrench_repeat=0)


def passes(studs, at_once=1, circular=2):
    cross, around = order.cross(studs, at_once), order.circular(studs, at_once)
    return [Pass(x, cross) for x in (0.3, 0.6, 1.0)] + [Pass(1.0, around)] * circular


@pytest.mark.parametrize("at_once", [1, 2, 4])
def test_without_scatter_every_sample_is_the_run(make, at_once):
    found = residual_preload(ElasticJoint(make(8)), LOAD[8], passes(8, at_once), seed=1, samples=100, scatter=NONE)
    assert found.samples.kept == pytest.approx(np.tile(found.kept, (100, 1)), abs=0.002 * LOAD[8])
    assert found.low == pytest.approx(found.kept, abs=0.002 * LOAD[8])


class Kept:
    """A generator that keeps what it gave."""

    def __init__(self, seed):
        self.random, self.given = np.random.default_rng(seed), []

    def standard_normal(self, size):
        self.given.append(self.random.standard_normal(size))
        return self.given[-1]


@pytest.mark.parametrize(("studs", "at_once"), [(8, 1), (8, 4), pytest.param(24, 2, marks=pytest.mark.sweep)])
def test_samples_follow_joints_run_one_by_one(make, studs, at_once):
    """Twenty joints with friction of their own, every move solved anew: 1.5 % of the target (r.m.s.), 1 % bias."""
    from calc.interaction import samples

    load = LOAD[studs]
    model, scatter, plan = ElasticJoint(make(studs, relaxation=Relaxation(1.0))), Scatter(), passes(studs, at_once)
    found = run(model, load, plan)
    kept = Kept(5)
    quick, _ = samples._block(found, kept, 20, scatter, 0)

    draws = iter(kept.given)
    joint = lognormal(scatter.joint, next(draws))
    bias = lognormal(scatter.wrench_bias, next(draws))
    stud = lognormal(scatter.stud, next(draws)) * joint
    pulls = [[next(draws) for _ in step.moves] for step in plan]
    shot = np.sqrt((1 + scatter.shot**2) * (1 + scatter.wrench_repeat**2) - 1)
    slow = np.empty_like(quick)
    for s in range(20):
        state = model.start(0.05 * load)
        for step, normal in zip(plan, pulls, strict=True):
            for move, x in zip(step.moves, normal, strict=True):
                at = np.array(move) - 1
                factor = stud[at, s] * bias[np.arange(at.size), s] * lognormal(shot, x[:, s])
                model.move(state, at, step.fraction * load * factor)
        slow[s] = state.load
    off = (quick - slow) / load
    assert np.sqrt((off**2).mean()) < 0.015
    assert abs(off.mean()) < 0.01
    assert np.percentile(quick, [5, 95]) == pytest.approx(np.percentile(slow, [5, 95]), abs=0.02 * load)


def test_moments_without_interaction_are_those_of_the_factors():
    """No interaction, one pass: mean 1, and 1 + c² of independent lognormal factors multiply (closed form)."""
    scatter = Scatter(stud=0.08, shot=0.05, joint=0.06, wrench_bias=0.02, wrench_repeat=0.01)
    found = run(MatrixJoint(np.eye(8)), LOAD[8], [Pass(1.0, order.circular(8))])
    kept = sample(found, seed=3, samples=40_000, scatter=scatter).kept / LOAD[8]
    one = np.prod([1 + c**2 for c in (0.08, 0.05, 0.06, 0.02, 0.01)])
    joint = np.prod([1 + c**2 for c in (0.06, 0.02)])  # what the studs of one joint share
    assert kept.mean() == pytest.approx(1.0, abs=0.002)
    assert kept.std() == pytest.approx(np.sqrt(one - 1), rel=0.01)
    assert np.cov(kept[:, 0], kept[:, 5])[0, 1] == pytest.approx(joint - 1, rel=0.05)


def test_lognormal_factors_have_mean_one():
    x = lognormal(0.3, np.random.default_rng(1).standard_normal(400_000))
    assert x.mean() == pytest.approx(1.0, abs=0.002)
    assert x.std() == pytest.approx(0.3, rel=0.01)


def test_course_over_the_passes_has_a_row_each(make):
    found = run(ElasticJoint(make(8, relaxation=Relaxation(1.0))), LOAD[8], passes(8))
    many = sample(found, seed=1, samples=1200)
    assert many.kept.shape == (1200, 8)
    assert many.mean.shape == many.lowest.shape == many.variation.shape == many.highest.shape == (5, 1200)
    assert many.mean[-1] == pytest.approx(many.kept.mean(axis=1))
    assert many.lowest[-1] == pytest.approx(many.kept.min(axis=1))
    assert (many.kept >= 0).all()


def test_without_scatter_every_sample_is_the_run_with_its_gasket_relaxed(make):
    found = run(ElasticJoint(make(8, relaxation=Relaxation(0.7))), LOAD[8], passes(8))
    kept = sample(found, seed=1, samples=100, scatter=Scatter(0.0, 0.0, 0.0, 0.0, 0.0)).kept
    assert found.relaxed.max() < 0.97
    # what a joint is without linear columns differs by a few newtons of 60,000
    assert np.abs(kept - found.kept[-1] * found.relaxed).max() < 0.002 * LOAD[8]


def test_same_seed_same_bits_and_more_samples_keep_the_first(make):
    found = run(ElasticJoint(make(8)), LOAD[8], passes(8))
    first, again = (sample(found, seed=7, samples=1234).kept for _ in range(2))
    assert first.tobytes() == again.tobytes()
    assert sample(found, seed=7, samples=2000).kept[:1234].tobytes() == first.tobytes()
    assert sample(found, seed=8, samples=1234).kept.tobytes() != first.tobytes()


SCRIPT = """
import hashlib, sys
from calc.hardware.threads import parse
from calc.interaction.dimensions import Dimensions
from calc.interaction.elastic import ElasticJoint
from calc.interaction.events import Pass
from calc.interaction.samples import residual_preload
from calc.procedure import order
joint = Dimensions(24, parse("1 1/2-8"), 0.145, 0.813, 0.914, 0.59, 0.07, 0.66, 0.025, "spiral wound")
passes = [Pass(x, order.cross(24)) for x in (0.3, 0.6, 1.0)]
found = residual_preload(ElasticJoint(joint), 4e5, passes, seed=1, samples=500)
print(hashlib.sha256(found.kept.tobytes() + found.samples.kept.tobytes()).hexdigest())
"""


def test_bits_do_not_depend_on_the_threads_of_the_linear_algebra_library():
    seen = set()
    for threads in ("1", "2"):
        names = ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_NUM_THREADS")
        done = subprocess.run(
            [sys.executable, "-c", SCRIPT],
            env={**os.environ, **dict.fromkeys(names, threads)},
            capture_output=True,
            text=True,
            check=True,
        )
        assert len(done.stdout.strip()) == hashlib.sha256().digest_size * 2
        seen.add(done.stdout)
    assert len(seen) == 1


@pytest.mark.parametrize(
    ("call", "code"),
    [
        (lambda found: sample(found, seed=1, samples=10), "out_of_range"),
        (lambda found: sample(found, seed=1, samples=10**7), "out_of_range"),
        (lambda found: Scatter(stud=-0.1), "out_of_range"),
        (lambda found: Scatter(shot=8.0), "out_of_range"),
        (lambda found: Scatter(joint=float("nan")), "out_of_range"),
    ],
)
def test_refusals(call, code):
    found = run(MatrixJoint(np.eye(4)), LOAD[8], [Pass(1.0, ((1,), (2,), (3,), (4,)))])
    with pytest.raises(InputError) as caught:
        call(found)
    assert caught.value.finding.code == code
