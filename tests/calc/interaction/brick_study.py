"""Kept loads of brick joints with and without hub, written to bricks.csv.

`python tests/calc/interaction/brick_study.py` takes some minutes. The tests read the file; basis of its numbers: this
script and `bricks.py`.
"""

import csv
import importlib.util
import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parents[2])]

import bricks  # noqa: E402

from calc.interaction import studs as springs  # noqa: E402
from calc.interaction.dimensions import complete  # noqa: E402
from calc.procedure import order  # noqa: E402

CSV = HERE / "bricks.csv"
SHARES = (0.0, 0.3, 0.5, 0.7)
"""Hub at the ring over thickness."""


def plan(studs):
    """Three cross passes, three circular ones: shares and moves."""
    cross, circular = order.cross(studs), order.circular(studs)
    return [(0.3, cross), (0.6, cross), (1.0, cross), *[(1.0, circular)] * 3]


def hub_of(joint, share):
    """A short, a middle and a long hub for the shares above, on a thin or a thick pipe."""
    if not share:
        return None
    t = joint.thickness
    wall = {0.3: 0.2, 0.5: 0.2, 0.7: 0.42}[share] * t
    return bricks.Hub(share * t, wall, (0.6 if share == 0.3 else 1.0) * t, joint.inside_diameter)


def load_of(joint):
    """0.8 times the stress of the gasket's assumed curve, over all studs. [N]"""
    return 0.8 * joint.law.stress * joint.gasket_area / joint.studs


def brick_joint(joint, hub, law=None, **mesh):
    """The joint in bricks; the metal under the nut gives way by itself, so the stud is the bare stud."""
    joint, _ = complete(joint)
    blocks, area = bricks.condensed(joint, hub, **mesh)
    stretch = springs.stud_flexibility(joint.thread, joint.grip) / joint.stud_modulus
    return bricks.BrickJoint(joint, blocks, area, law or joint.law.answer, 1 / stretch)


def main():
    spec = importlib.util.spec_from_file_location("joints", HERE / "conftest.py")
    joints = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(joints)
    with CSV.open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["studs", "share", "thick", "wall", "length", "pipe", "pass", "stud", "kept"])
        for count in (8, 16, 24):
            for share in SHARES:
                joint = joints.joint_like(count)
                hub = hub_of(joint, share)
                kept = brick_joint(joint, hub).run(load_of(joint), plan(count))
                size = (hub.thick, hub.wall, hub.length, hub.pipe) if hub else (0, 0, 0, 0)
                for number, loads in enumerate(kept, start=1):
                    for stud, load in enumerate(loads, start=1):
                        out.writerow([count, share, *(f"{x:.6g}" for x in size), number, stud, f"{load:.5f}"])
                print(count, share, (100 * kept.min(axis=1)).round(1), flush=True)


if __name__ == "__main__":
    main()
