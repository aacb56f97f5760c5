"""Procedures side by side: the numbers of each are those of the procedure run alone; nothing of it is left out."""

import numpy as np
import pytest

from calc.interaction.band import MODEL_ERROR, band
from calc.interaction.choice import Wanted, circular_passes
from calc.interaction.elastic import ElasticJoint
from calc.interaction.events import Limits, Pass, run
from calc.interaction.gasket import Gasket
from calc.interaction.matrix import MatrixJoint
from calc.interaction.procedures import compare, usual
from calc.procedure import order

LOAD = 60e3


def test_four_studs_by_hand():
    """Snug 5, three-pass in cross order 1-3-2-4, neighbours lose a fifth of a rise, never below zero: on paper."""
    table = np.eye(4) - 0.2 * (np.eye(4)[[1, 2, 3, 0]] + np.eye(4)[[3, 0, 1, 2]])
    across, around = ((1,), (3,), (2,), (4,)), ((1,), (2,), (3,), (4,))
    load = np.full(4, 5.0)
    for share, moves in ((30, across), (60, across), (100, across), (100, around)):
        for (stud,) in moves:
            load = np.maximum(load + table[:, stud - 1] * max(share - load[stud - 1], 0), 0)
    procedures = [each for each in usual(across, around, 1, raised=False) if each.name == "three-pass"]
    (found,) = compare(MatrixJoint(table), 100.0, procedures)
    assert (found.moves, found.mean, found.lowest) == (
        16,
        pytest.approx(load.mean() / 100),
        pytest.approx(load.min() / 100),
    )
    assert np.isnan([found.low, found.high, found.uneven]).all()


def test_every_number_is_that_of_the_procedure_alone(make, sweeps):
    joint = make(8)
    limits = Limits(1.15 * LOAD, 300e6)
    tried = [
        each
        for k in ((1, 4) if sweeps else (4,))
        for each in usual(order.cross(8, k), order.circular(8, k), k, raised=True)
    ]
    for found in compare(ElasticJoint(joint), LOAD, tried, stated=joint, limits=limits):
        alone = run(ElasticJoint(joint), LOAD, found.procedure.passes, limits=limits)
        around = band(joint, alone, found.procedure.passes, limits=limits)
        assert found.lowest == pytest.approx(alone.kept[-1].min() / LOAD)
        assert found.highest == pytest.approx(alone.highest.max() / LOAD)
        assert (found.low, found.high) == pytest.approx(tuple(around.lowest[:, -1] / LOAD))
        assert found.low < found.lowest < found.high
        assert found.p5 < found.lowest
        assert found.beyond == alone.beyond
        assert found.procedure.passes[-1].pattern == "circular"


def test_a_band_is_made_of_its_parts(make):
    """Both ends of gasket and hub run here again; the moves of each put together as independent ones."""
    from calc.interaction.dimensions import ends

    joint, passes = make(8), [Pass(0.5, order.cross(8)), Pass(1.0, order.cross(8)), Pass(1.0, order.circular(8))]
    base = run(ElasticJoint(joint), LOAD, passes)
    found = band(joint, base, passes)
    middle, down, up = base.kept[-1].min(), MODEL_ERROR**2, MODEL_ERROR**2
    for name, pair in ends(joint).items():
        lows = [run(ElasticJoint(one), LOAD, passes).kept[-1].min() for one in pair]
        assert found.parts[name] == (min(lows), max(lows))
        down += (min(min(lows) - middle, 0) / LOAD) ** 2
        up += (max(max(lows) - middle, 0) / LOAD) ** 2
    assert found.lowest[:, -1] == pytest.approx([middle - LOAD * down**0.5, middle + LOAD * up**0.5])


def test_inputs_narrow_the_band(make):
    passes = [Pass(0.5, order.cross(24)), Pass(1.0, order.cross(24)), *[Pass(1.0, order.circular(24))] * 2]
    hub = {"shell_wall": 0.015, "hub_thickness": 0.045, "hub_length": 0.08}
    law = Gasket(100e6, 1e-3, 0.5, 10e9, 0, 4.5e-3)
    load = 0.8 * 100e6 * make(24).gasket_area / 24
    widths = []
    for joint in (make(24), make(24, **hub), make(24, **hub, gasket=law)):
        base = run(ElasticJoint(joint), load, passes)
        widths.append(float(np.ptp(band(joint, base, passes).lowest[:, -1])) / load)
    assert widths[0] > 0.5
    assert widths[0] > widths[1] > 2 * widths[2]
    assert widths[2] == pytest.approx(2 * MODEL_ERROR)


def test_circular_passes_until_every_stud_keeps_enough(make):
    model, before, around = ElasticJoint(make(8)), [Pass(1.0, order.cross(8))], order.circular(8)
    count, found = circular_passes(model, LOAD, before, around, wanted=Wanted(1.0, 0.1, lowest=0.9))
    lowest = found.kept[:, :].min(axis=1) / LOAD
    assert lowest[-1] >= 0.9 > lowest[-2]
    assert len(found.kept) == 1 + count
    more, _ = circular_passes(model, LOAD, before, around, wanted=Wanted(1.0, 0.1, lowest=0.9, p5=0.78))
    assert more is None or more >= count
