"""The elastic joint against closed forms, balances and the table it turns into where everything is linear."""

import math
from dataclasses import replace

import numpy as np
import pytest

from calc.findings import InputError
from calc.interaction import gasket
from calc.interaction.elastic import ElasticJoint, interaction_table
from calc.interaction.events import Pass, run
from calc.interaction.gasket import Gasket, Relaxation
from calc.interaction.matrix import MatrixJoint
from calc.procedure import order

LOAD = 60e3


def linear(slope=1.5e11):
    """A gasket with one slope, loading and unloading. [Pa/m]"""
    return Gasket(slope * 1e-3, 1e-3, 0.0, 0.0, 0.0, 1e-3)


def rigid_plate(model, slope):
    """Closed form of a rigid flange: lift and two tilts on the springs of gasket and studs (derived here)."""
    joint, k = model.dimensions, model.stud_stiffness
    n = joint.studs
    gasket = slope * joint.gasket_area  # of all springs together
    rb, rg = joint.bolt_circle / 2, joint.gasket_diameter / 2
    angle = 2 * math.pi * np.arange(n) / n
    between = np.cos(np.subtract.outer(angle, angle))
    sunk = 1 / (n * k + gasket) + rb**2 * between / (n * k * rb**2 / 2 + gasket * rg**2 / 2)
    table = k * np.eye(n) - k**2 * sunk
    return table / table[0, 0]


@pytest.mark.parametrize("studs", [8, 16, 24])
@pytest.mark.parametrize("matched", [True, False])
def test_rigid_flange_equals_the_closed_form(make, studs, matched):
    joint = make(studs, gasket=linear(), flange_modulus=2e18, matched=matched)
    table = interaction_table(joint, LOAD)
    assert np.abs(table - rigid_plate(ElasticJoint(joint), 1.5e11)).max() < 1e-6


def test_rigid_flange_keeps_the_closed_form_move_by_move(make):
    joint = make(8, gasket=linear(), flange_modulus=2e17)
    model = ElasticJoint(joint)
    table = rigid_plate(model, 1.5e11)
    state, load = model.start(0.5 * LOAD), np.full(8, 0.5 * LOAD)
    for stud in (0, 4, 2, 6):
        model.move(state, np.array([stud]), np.array([LOAD]))
        load = load + table[:, stud] * (LOAD - load[stud])
        assert np.abs(state.load - load).max() < 5e-6 * LOAD  # rounding at this stiffness


def test_rigid_gasket_and_flange_leave_no_interaction(make):
    table = interaction_table(make(16, gasket=linear(1e18), flange_modulus=2e17), LOAD)
    assert np.abs(table - np.eye(16)).max() < 1e-6


def test_interaction_falls_as_the_gasket_stiffens(make):
    neighbour = [interaction_table(make(16, gasket=linear(s)), LOAD)[1, 0] for s in (5e10, 2e11, 1e12, 1e13)]
    assert all(a < b < 0 for a, b in zip(neighbour, neighbour[1:], strict=False))


def test_a_gasket_remembers_what_all_studs_together_pressed_it_to(make):
    """Brought to the load at once or from half of it, what a ninth pull takes from the others is the same."""
    model = ElasticJoint(make(8))
    at_once, by_halves = model.start(LOAD), model.start(LOAD / 2)
    model.move(by_halves, np.arange(8), np.full(8, LOAD))
    assert np.abs(by_halves.load - LOAD).max() < 1e-6 * LOAD
    for state in (at_once, by_halves):
        model.move(state, np.array([0]), np.array([1.5 * LOAD]))
    assert np.abs(at_once.load - by_halves.load).max() < 1e-5 * LOAD
    assert at_once.load[1] < 0.99 * LOAD


def test_a_stud_loses_more_to_its_neighbour_while_the_gasket_is_compressed_the_first_time(make):
    """A gasket is stiffer on its way back than on its way in, so less is lost once it has been compressed."""
    first, again = (interaction_table(make(16), LOAD, loading=loading)[1, 0] for loading in (True, False))
    assert first < again < 0


def test_table_is_symmetric_and_turns_with_the_joint(make):
    """Reciprocity (Maxwell and Betti) and equal sectors: a circulant, symmetric table."""
    for loading in (True, False):
        table = interaction_table(make(12), LOAD, loading=loading)
        assert np.abs(table - table.T).max() < 1e-13
        assert np.abs(table - np.roll(table, (1, 1), axis=(0, 1))).max() < 1e-13


def test_forces_and_moments_balance_after_every_move(make):
    """Studs pull as much as the gasket pushes, about both axes too, in a run with gaps and slack studs (1e-10)."""
    joint = make(16)
    model = ElasticJoint(joint)
    n, k = joint.studs, joint.stations
    state = model.start(0.05 * LOAD)
    stud = 2 * math.pi * np.arange(n) / n
    spot = 2 * math.pi * np.arange(n * k) / (n * k)
    slack = 0
    for share, moves in ((0.3, order.cross(16)), (1.0, order.cross(16)), (1.0, order.circular(16))):
        for move in moves:
            pulled = np.array(move) - 1
            model.move(state, pulled, np.full(pulled.size, share * LOAD))
            push = model.law.answer(state.closure.reshape(n, k + 1)[:, 1:].ravel(), state.peak)[0] * model.piece
            assert push.sum() == pytest.approx(state.load.sum(), rel=1e-10)
            for wave in (np.cos, np.sin):
                moment = joint.bolt_circle / 2 * (state.load @ wave(stud))
                against = joint.gasket_diameter / 2 * (push @ wave(spot))
                assert moment == pytest.approx(against, abs=1e-10 * joint.bolt_circle * state.load.sum())
            assert state.load[pulled] == pytest.approx(share * LOAD, rel=1e-12) or state.load[pulled] > share * LOAD
            assert (state.load >= 0).all()
            slack += int((state.load == 0).sum())
    assert slack > 0


@pytest.mark.parametrize("at_once", [1, 2, 4])
@pytest.mark.parametrize("studs", [8, 16, 24])
def test_linear_joint_equals_its_table(make, studs, at_once):
    """Where the gasket is linear and nothing opens, the joint from dimensions and the joint from its table agree."""
    joint = make(studs, gasket=linear(2e12))
    table = interaction_table(joint, LOAD)
    passes = [Pass(0.7, order.cross(studs, at_once)), Pass(1.0, order.circular(studs, at_once))]
    elastic = run(ElasticJoint(joint), LOAD, passes, snug=0.5)
    matrix = run(MatrixJoint(table), LOAD, passes, snug=0.5)
    assert elastic.kept.min() > 0.2 * LOAD
    assert np.abs(elastic.kept - matrix.kept).max() < 2e-14 * LOAD


def test_nuts_only_advance(make):
    model = ElasticJoint(make(12))
    state = model.start(0.05 * LOAD)
    for move in (*order.cross(12, 2), *order.circular(12)):
        before = state.nut.copy()
        pulled = np.array(move) - 1
        model.move(state, pulled, np.full(pulled.size, LOAD))
        assert (state.nut >= before).all()
        assert (np.delete(state.nut, pulled) == np.delete(before, pulled)).all()
    nut, load = state.nut.copy(), state.load.copy()
    model.move(state, np.array([3]), np.array([0.5 * load[3]]))  # set below what it has: nothing turns
    assert (state.nut == nut).all()
    assert state.load == pytest.approx(load, rel=1e-9)


def test_move_agrees_with_a_search_for_the_least_energy(make):
    """One move on a joint with gaps and slack studs, against a general minimiser on the energy written out here."""
    from scipy.optimize import minimize

    model = ElasticJoint(make(8))
    state = model.start(0.05 * LOAD)
    for stud in (0, 4, 2):
        model.move(state, np.array([stud]), np.array([0.6 * LOAD]))
    before = state.copy()
    model.move(state, np.array([6]), np.array([0.6 * LOAD]))

    n, size, law = 8, 5, model.law
    from calc.interaction.ring import circulant

    ring = circulant(model.blocks)
    grid = np.linspace(0, 1, 4001)

    def gradient(y):
        closure = y.reshape(n, size)
        pull = np.maximum(model.stud_stiffness * (before.nut - closure[:, 0]), 0.0)
        pull[6] = 0.6 * LOAD
        peak = before.peak.reshape(n, size - 1)
        top, slope = law.loading(np.maximum(peak, 0.0))
        down = np.maximum(law.e0 / law.thickness, slope)
        c = closure[:, 1:]
        stress = np.where(c > peak, law.loading(np.maximum(c, 0))[0], np.maximum(top - down * (peak - c), 0.0))
        force = np.concatenate([-pull[:, None], model.piece * stress], axis=1)
        return ring @ y + force.ravel()

    def energy(y):
        start = before.closure
        along = np.array([gradient(start + t * (y - start)) @ (y - start) for t in grid[::40]])
        return float(np.trapezoid(along, grid[::40]))

    scale = 1e-5
    found = minimize(
        lambda z: energy(before.closure + scale * z) / (scale * LOAD),
        np.zeros(n * size),
        jac=lambda z: gradient(before.closure + scale * z) / LOAD,
        method="BFGS",
        options={"gtol": 1e-7, "maxiter": 3000},
    )
    closure = (before.closure + scale * found.x).reshape(n, size)
    assert np.abs(gradient(closure.ravel())).max() < 1e-4 * LOAD
    loads = np.maximum(model.stud_stiffness * (before.nut - closure[:, 0]), 0.0)
    assert np.delete(loads, 6) == pytest.approx(np.delete(state.load, 6), abs=1e-3 * LOAD)


def test_relaxing_lowers_what_is_kept(make):
    passes = [Pass(1.0, order.cross(8)), Pass(1.0, order.circular(8))]
    whole = run(ElasticJoint(make(8, relaxation=Relaxation(1.0))), LOAD, passes)
    relaxed = run(ElasticJoint(make(8, relaxation=Relaxation(0.8))), LOAD, passes)
    assert (relaxed.kept == whole.kept).all()
    assert (relaxed.final < whole.final).all()
    assert relaxed.final.mean() > 0.8 * whole.final.mean()  # studs and flanges spring back and give less than it takes


def test_metal_stop_takes_the_rest(make):
    law = Gasket(100e6, 1e-3, 0.5, 10e9, 0, 4.5e-3, stop_closure=0.5e-3, stop_slope=1e14)
    soft, _ = ElasticJoint(make(8)).together(LOAD)
    hard, _ = ElasticJoint(make(8, gasket=law)).together(LOAD)
    assert soft[1:].max() > 0.8e-3
    assert hard[1:].max() < 0.51e-3


@pytest.mark.parametrize("matched", [True, False])
@pytest.mark.parametrize("stop_at", [np.inf, 0.8])
@pytest.mark.parametrize("kind", gasket.kinds())
def test_every_kind_of_gasket_settles(make, kind, stop_at, matched):
    """Soft and hard, with and without a metal stop, from a light alignment: loads even out, the lowest rises."""
    law = gasket.kind(kind).law
    if np.isfinite(stop_at):
        law = replace(law, stop_closure=stop_at * law.closure, stop_slope=1e14)
    joint = make(8, gasket=law, matched=matched)
    load = 0.8 * law.stress * joint.gasket_area / 8
    passes = [Pass(x, order.cross(8, 2)) for x in (0.3, 1.0)] + [Pass(1.0, order.circular(8, 2))] * 4
    found = run(ElasticJoint(joint), load, passes, snug=0.02)
    if kind != "rubber sheet":  # a flange rocks on rubber
        assert found.kept[-1].min() > 0.8 * load
    assert (np.diff(found.kept[1:].mean(axis=1)) > -1e-3 * load).all()


def test_slow_growth_of_rounding_is_noticed(make):
    """After six passes the inverse that was only updated still is the inverse."""
    model = ElasticJoint(make(24))
    state = model.start(0.05 * LOAD)
    for share in (0.3, 0.6, 1.0, 1.0):
        for move in order.cross(24, 2):
            model.move(state, np.array(move) - 1, np.full(2, share * 4 * LOAD))
    from calc.interaction.ring import circulant

    unit = (circulant(model.blocks) + np.diag(state.stiffness)) @ state.inverse
    assert np.abs(unit - np.eye(len(unit))).max() < 1e-6


def test_nothing_holds_a_flange_without_gasket_force(make):
    with pytest.raises(InputError) as caught:
        interaction_table(make(8), float("nan"))
    assert caught.value.finding.code == "not_positive"
