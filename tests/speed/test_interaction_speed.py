"""Cost of elastic interaction with scatter, as ratios in one run: `pytest -s tests/speed/test_interaction_speed.py`.

Processor time: other work on the machine leaves it alone. The plain way is a loop over samples that solves a dense
system at every move: once for the joint's own unknowns (five per stud: its closure and four of the gasket), once for
the studs alone, the least anybody would solve. It runs a few samples and is counted per sample. With more than one
thread the linear algebra library spends most of that loop on waking them; OPENBLAS_NUM_THREADS=1 gives the plain loop
its best time.
"""

import time

import numpy as np
import pytest

from calc.hardware.threads import parse
from calc.interaction.band import band
from calc.interaction.choice import search
from calc.interaction.dimensions import Dimensions
from calc.interaction.elastic import ElasticJoint, interaction_table
from calc.interaction.events import Pass, run
from calc.interaction.ring import circulant
from calc.interaction.samples import residual_preload, sample
from calc.procedure import order

LOAD, SAMPLES = 150e3, 10_000


def joint(studs):
    """Studs of 24 mm, 106 mm apart on the bolt circle, whatever their number."""
    circle = studs * 0.106 / np.pi
    sizes = circle, circle + 0.06, circle - 0.11, 0.045, circle - 0.065, 0.014
    return Dimensions(studs, parse("M24"), 0.1, *sizes, "spiral wound")


def passes(studs):
    """Five passes: three across, two around."""
    across, around = order.cross(studs), order.circular(studs)
    return [Pass(x, across) for x in (0.3, 0.6, 1.0)] + [Pass(1.0, around)] * 2


def once(call, repeat=3):
    """Shortest of a few runs [s], and what it returned."""
    best, found = np.inf, None
    for _ in range(repeat):
        start = time.process_time()
        found = call()
        best = min(best, time.process_time() - start)
    return best, found


def plain(studs, matrix, springs, count):
    """Time per sample [s] of a loop over samples and moves, one dense solve each, scatter drawn one by one."""
    at = np.arange(studs) * (len(matrix) // studs)
    random, plan = np.random.default_rng(1), passes(studs)
    start = time.process_time()
    for _ in range(count):
        load = np.full(studs, 0.05 * LOAD)
        stud = LOAD * np.exp(0.08 * random.standard_normal(studs) + 0.06 * random.standard_normal())
        for step in plan:
            for (one,) in step.moves:
                i = one - 1
                unit = np.zeros(len(matrix))
                unit[at[i]] = 1.0
                column = -springs * np.linalg.solve(matrix, unit)[at]
                column[i] = 1 + column[i]
                rise = max(step.fraction * stud[i] * np.exp(0.05 * random.standard_normal()) - load[i], 0.0)
                load = np.maximum(load + column / column[i] * rise, 0.0)
    return (time.process_time() - start) / count


def test_24_studs_five_passes_ten_thousand_samples():
    whole, found = once(lambda: residual_preload(ElasticJoint(joint(24)), LOAD, passes(24), seed=1, samples=SAMPLES))
    only_run, nominal = once(lambda: run(ElasticJoint(joint(24)), LOAD, passes(24)))
    only_samples, _ = once(lambda: sample(nominal, seed=1, samples=SAMPLES))
    assert found.samples.kept.shape == (SAMPLES, 24)

    model = ElasticJoint(joint(24))
    closure, slope = model.together(LOAD)
    k = model.stud_stiffness
    matrix = circulant(model.blocks) + np.diag(np.tile(np.concatenate([[k], slope]), 24))
    full = plain(24, matrix, k, 20)
    at = np.arange(24) * 5
    few = np.linalg.inv(np.linalg.inv(matrix)[np.ix_(at, at)])
    least = plain(24, few, k, 60)
    print(f"\n24 studs, five passes, {SAMPLES} samples: {whole:.3f} s (run {only_run:.3f}, samples {only_samples:.3f})")
    print(f"plain loop, 120 unknowns: {full * SAMPLES:8.1f} s in all, {full * SAMPLES / whole:6.0f} times as long")
    print(f"plain loop,  24 unknowns: {least * SAMPLES:8.1f} s in all, {least * SAMPLES / whole:6.0f} times as long")
    assert whole < 1.0
    assert full * SAMPLES > 50 * whole


@pytest.mark.parametrize("studs", [8, 12, 16, 24, 32, 48, 64])
def test_cost_over_stud_counts(studs):
    table, _ = once(lambda: interaction_table(joint(studs), LOAD))
    only_run, nominal = once(lambda: run(ElasticJoint(joint(studs)), LOAD, passes(studs)))
    only_samples, _ = once(lambda: sample(nominal, seed=1, samples=SAMPLES))
    print(f"\n{studs:3d} studs: table {table * 1e3:6.1f} ms, run {only_run:6.3f} s, samples {only_samples:6.3f} s")


@pytest.mark.parametrize("studs", [8, 12, 16, 24, 32, 64])
def test_a_band_costs_at_most_six_runs(studs):
    """The base, gasket stiffer and softer, hub none and thick: five runs; six with what is worked out beside them."""
    given, plan = joint(studs), passes(studs)
    alone, base = once(lambda: run(ElasticJoint(given), LOAD, plan))
    around, _ = once(lambda: band(given, base, plan))
    print(f"\n{studs} studs, five passes: run {alone:.3f} s, with band {(alone + around) / alone:.1f} times as long")
    assert alone + around < 6 * alone


def test_fewest_moves_of_64_studs():
    """Against running every plan of the list once, pass by pass, no pass of stages twice."""
    sequences = {("cross", 1): order.cross(64), ("circular", 1): order.circular(64)}
    one_pass, _ = once(lambda: run(ElasticJoint(joint(64)), LOAD, [Pass(1.0, order.circular(64))]), repeat=1)
    whole, found = once(lambda: search(ElasticJoint(joint(64)), LOAD, sequences), repeat=1)
    most = max(len(plan.passes) for plan in found)
    every = 2 * (1 + 2 + 3 + 3 + sum(max(most - 1 - opening, 0) for opening in (1, 2, 3)))
    print(f"\n64 studs, one wrench: {whole:.1f} s, {whole / one_pass:.0f} passes; trying every plan {every} passes")
    assert whole < every * one_pass
