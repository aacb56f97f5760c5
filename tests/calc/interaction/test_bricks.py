"""The ring against three-dimensional bricks, with and without hub: kept loads after each pass, and coefficients.

Independent: `bricks.py` shares nothing with the ring but the gasket's law. Kept loads come from bricks.csv, which
`brick_study.py` wrote in some minutes; one joint is worked out here afresh, in a sweep.
"""

import csv
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
import brick_study  # noqa: E402

from calc.interaction import ring  # noqa: E402
from calc.interaction import studs as springs  # noqa: E402
from calc.interaction.band import MODEL_ERROR  # noqa: E402
from calc.interaction.dimensions import complete  # noqa: E402
from calc.interaction.elastic import ElasticJoint  # noqa: E402
from calc.interaction.events import Pass, run  # noqa: E402

CASES = [(studs, share) for studs in (8, 16, 24) for share in brick_study.SHARES]


def with_hub(make, studs, share):
    """The joint with the hub of the study, as the ring takes it."""
    hub = brick_study.hub_of(make(studs), share)
    if hub is None:
        return make(studs, shell_wall=0.0)
    return make(studs, shell_wall=hub.wall, hub_thickness=hub.thick, hub_length=hub.length)


@pytest.fixture(scope="module")
def printed():
    """(studs, share) -> kept (passes, studs) of the bricks, shares of the target."""
    kept = {}
    with brick_study.CSV.open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            key = int(row["studs"]), float(row["share"])
            kept.setdefault(key, np.zeros((6, key[0])))[int(row["pass"]) - 1, int(row["stud"]) - 1] = row["kept"]
    return kept


@pytest.mark.parametrize(("studs", "share"), CASES)
def test_kept_loads_after_each_pass_are_those_of_bricks(make, printed, studs, share):
    """Every stud after every pass within 5 points of the target; lowest and mean after circular passes within 4."""
    joint, bricks = with_hub(make, studs, share), printed[studs, share]
    load = brick_study.load_of(joint)
    kept = run(ElasticJoint(joint), load, [Pass(*step) for step in brick_study.plan(studs)]).kept / load
    assert np.abs(kept - bricks).max() < 0.05
    assert np.abs(kept.min(axis=1) - bricks.min(axis=1))[3:].max() < MODEL_ERROR
    assert np.abs(kept.mean(axis=1) - bricks.mean(axis=1)).max() < 0.025


def test_the_hub_decides_and_the_bricks_say_so_too(printed):
    """Lowest after two circular passes, 24 studs: a hub of 0.7 of the thickness leaves five times as much as none."""
    lowest = [printed[24, share][4].min() for share in brick_study.SHARES]
    assert lowest[-1] > 4.5 * lowest[0]
    assert sorted(lowest) == lowest


def column(blocks, stud, gasket):
    """First column of the table of interaction of a pair from the blocks of its sectors."""
    flexible = ring.circulant(np.linalg.inv(blocks / 2 + np.diag(np.r_[stud, gasket]))[:, :1, :1])[:, 0]
    answer = -stud * flexible
    answer[0] += 1.0
    return answer / answer[0]


@pytest.mark.sweep
@pytest.mark.parametrize("share", [0.0, 0.5])
def test_coefficients_of_a_joint_worked_out_here(make, share):
    """Eight studs on a coarse mesh; gasket on loading and on unloading, where the rigid cross-section costs most."""
    joint, _ = complete(with_hub(make, 8, share))
    blocks, area = brick_study.bricks.condensed(joint, brick_study.hub_of(joint, share), fine=0.5)
    bare = 1 / (springs.stud_flexibility(joint.thread, joint.grip) / joint.stud_modulus)
    model = ElasticJoint(joint)
    for slope, within in ((1.5e11, 0.012), (2.2e12, 0.06)):
        solid = column(blocks, bare, slope * area)
        beam = column(2 * model.blocks, model.stud_stiffness, np.full(joint.stations, slope * model.piece))
        assert solid[1] < -0.2
        assert np.abs(solid - beam).max() < within
