"""A long plan without a long list: the planned joints of the sample over and over, each with a tag and card of its own.

`python tests/speed/many_joints.py JOINTS PLAN [RECORDS]` writes a plan file, and a workbook that records each joint as
planned. Crews are numbered from 1, 200 joints each.
"""

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import xlsxwriter
from msgspec.structs import replace

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT)]

from addin.plan.file import entry_line, read_plan, write_plan  # noqa: E402
from addin.plan.record import PlanHead, TotalsEntry  # noqa: E402
from addin.plan.record_joint import JointEntry  # noqa: E402
from addin.records.record_fields import HEADINGS  # noqa: E402
from addin.shipped import folder  # noqa: E402
from addin.tasks import plan_list  # noqa: E402

CREW = 200


def of_sample() -> tuple[PlanHead, list[JointEntry]]:
    """Head and planned joints of the sample, whatever is done to them."""
    with tempfile.TemporaryDirectory() as name:
        joints, book = (folder("samples") / f"drigrauvex-{each}.xlsx" for each in ("joints", "wrenches"))
        plan = read_plan(plan_list(joints, [book], Path(name)).plan_file)
        some = [joint for joint in plan.joints if joint.planned]
        return plan.head, some


def many(some: list[JointEntry], count: int) -> Iterator[JointEntry]:
    """So many entries."""
    for number in range(count):
        joint = some[number % len(some)]
        card = f"{number >> 16:04X}-{number & 0xFFFF:04X}"
        yield replace(
            joint, row=number + 9, joint=f"{joint.joint}-{number}", card=card, crew=f"Crew {number // CREW + 1}"
        )


def make_plan(path: Path, count: int) -> None:
    """Write the plan."""
    head, some = of_sample()
    hand = sum(joint.method == "hand" for joint in some)
    rows = sum(some[number % len(some)].method == "hand" for number in range(count)) if hand else 0
    totals = TotalsEntry(
        rows=count, planned=count, hydraulic=count - rows, hand=rows, other_method=0, stopped=0, breakout_not_planned=0,
        to_review=sum(bool(some[number % len(some)].to_review) for number in range(count)),
    )  # fmt: skip
    write_plan(replace(head, totals=totals), (entry_line(joint) for joint in many(some, count)), path)


def make_records(plan: Path, path: Path) -> None:
    """Write a workbook in which every joint of a plan was done as planned."""
    book = xlsxwriter.Workbook(path, {"constant_memory": True})
    sheet = book.add_worksheet("Records")
    sheet.write_row(0, 0, ["Joint", "Operation", *(HEADINGS[name] for name in ("card", "done", "by", "date"))])
    number = 0
    for joint in read_plan(plan).joints:
        if joint.card:
            number += 1
            row = [joint.joint, joint.operation, joint.card, "as planned", "A. Crew", joint.date]
            sheet.write_row(number, 0, row)
    book.close()


if __name__ == "__main__":
    make_plan(Path(sys.argv[2]), int(sys.argv[1]))
    if len(sys.argv) > 3:
        make_records(Path(sys.argv[2]), Path(sys.argv[3]))
