"""Fifty invented joints in bricks with another gasket, hub and friction than assumed, measured after the cross passes.

`python tests/calc/interaction/feedback_study.py BLOCKS` (a pickle of condensed flanges, made where it is missing: some
minutes) writes feedback.csv: what was measured after the last cross pass with an error of 3 %, the lowest load that the
bricks keep after two circular passes, and what the ring says of it without the measurement and with it: the best fit,
and the mean and P5 to P95 over all that explains the loads. Without BLOCKS what the ring says is worked out again from
what the file holds of the bricks.
"""

import csv
import importlib.util
import pickle
import sys
from pathlib import Path

import numpy as np

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parents[2])]

import brick_study  # noqa: E402
import bricks  # noqa: E402

from calc.findings import InputError  # noqa: E402
from calc.interaction import events, feedback, gasket  # noqa: E402
from calc.interaction import studs as springs  # noqa: E402
from calc.interaction.dimensions import complete  # noqa: E402
from calc.interaction.elastic import ElasticJoint  # noqa: E402
from calc.interaction.events import Pass  # noqa: E402
from calc.interaction.samples import Scatter, lognormal  # noqa: E402

CSV = HERE / "feedback.csv"
ERROR, JOINTS = 0.03, 50


def plans(studs):
    """Passes done before the measurement and those to come."""
    plan = [Pass(*step) for step in brick_study.plan(studs)]
    return plan[:3], plan[3:5]


def truth(random, joint, blocks, area, factor):
    """Loads after the cross passes and after two circular ones, in bricks, friction drawn as the scatter says."""
    full, _ = complete(joint)
    law = gasket.kind("spiral wound").law
    law = gasket.replace(law, closure=law.closure * factor)
    stretch = springs.stud_flexibility(full.thread, full.grip) / full.stud_modulus
    solid = bricks.BrickJoint(full, blocks, area, law.answer, 1 / stretch)
    scatter, load = Scatter(), brick_study.load_of(joint)
    stays = lognormal(scatter.stud, random.standard_normal(joint.studs))
    stays = stays * lognormal(scatter.joint, random.standard_normal()) * lognormal(0.02, random.standard_normal())
    solid.start(0.05 * load)
    kept = []
    for step in sum(plans(joint.studs), []):
        for move in step.moves:
            pulled = np.asarray(move) - 1
            shot = lognormal(scatter.shot, random.standard_normal(pulled.size))
            solid.move(pulled, step.fraction * load * stays[pulled] * shot)
        kept.append(solid.load / load)
    return kept[2], kept[4]


HEAD = ["joint", "studs", "share", "factor", "lowest", "without", "with", "mean", "low", "high", "fitted_factor",
        "fitted_hub", "measured"]  # fmt: skip


def judged(joint, seen):
    """What the ring says of the lowest load with measured ones, or the refusal."""
    load, (done, more) = brick_study.load_of(joint), plans(joint.studs)
    without = events.run(ElasticJoint(joint), load, [*done, *more]).kept[-1].min() / load
    try:
        found = feedback.fit(joint, load, done, {k + 1: float(max(x, 0.0) * load) for k, x in enumerate(seen)},
                             error=ERROR)  # fmt: skip
    except InputError as refused:  # a refusal is a result of the study
        print("refused", refused.finding.code, flush=True)
        return [f"{without:.4f}", *[""] * 6]
    then = feedback.rest(found, done, more).kept[-1].min() / load
    ahead = feedback.outlook(found, done, more)
    return [
        f"{x:.4f}" for x in (without, then, ahead.mean / load, ahead.low / load, ahead.high / load, found.factor)
    ] + [f"{found.hub:.2f}"]


def brick_joints(joints, store):
    """Number, studs, hub share, gasket factor, lowest load and measured ones of each joint of the study."""
    flanges = pickle.loads(store.read_bytes()) if store.exists() else {}
    random = np.random.default_rng(11)
    for number in range(1, JOINTS + 1):
        studs, share = int(random.choice([8, 16, 24])), float(random.choice(brick_study.SHARES))
        factor = float(2.0 ** random.uniform(-1, 1))
        joint = joints.joint_like(studs)
        if (studs, share) not in flanges:
            flanges[studs, share] = bricks.condensed(complete(joint)[0], brick_study.hub_of(joint, share))
            store.write_bytes(pickle.dumps(flanges))
        after_cross, end = truth(random, joint, *flanges[studs, share], factor)
        seen = after_cross * (1 + ERROR * random.standard_normal(studs))
        yield number, studs, share, f"{factor:.4f}", f"{end.min():.4f}", seen


def main(store):
    spec = importlib.util.spec_from_file_location("joints", HERE / "conftest.py")
    joints = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(joints)
    if store:
        given = brick_joints(joints, store)
    else:
        with CSV.open(encoding="utf-8") as file:
            given = [(row["joint"], int(row["studs"]), row["share"], row["factor"], row["lowest"],
                      np.array(row["measured"].split(), dtype=float)) for row in csv.DictReader(file)]  # fmt: skip
    with CSV.with_suffix(".new").open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(HEAD)
        for number, studs, share, factor, lowest, seen in given:
            said = judged(joints.joint_like(studs), seen)
            out.writerow([number, studs, share, factor, lowest, *said, " ".join(f"{x:.4f}" for x in seen)])
            file.flush()
            print(number, studs, share, factor, lowest, *said, flush=True)
    CSV.with_suffix(".new").replace(CSV)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else None)
