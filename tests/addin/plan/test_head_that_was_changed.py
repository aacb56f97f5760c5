"""The head of a plan file is held against what it can be before anything is printed or reviewed with it."""

from typing import Any

import pytest
from msgspec.structs import replace

from addin.plan.checks import head_fault
from addin.plan.entries import Amount
from addin.plan.record import PlanHead
from tests.small_plans import joint, plan


@pytest.fixture(scope="module")
def head() -> PlanHead:
    return plan(joint(studs=8)).head


def wrench(head: PlanHead, **changes: Any) -> PlanHead:
    return replace(head, wrenches=(replace(head.wrenches[0], **changes),))


def gauge(head: PlanHead, **changes: Any) -> PlanHead:
    return replace(head, gauges=(replace(head.gauges[0], **changes),))


def test_as_it_was_written_nothing_is_wrong(head: PlanHead) -> None:
    assert head_fault(head) is None


@pytest.mark.parametrize("name", ["rated_pressure", "hose_rated_pressure", "pump_rated_pressure"])
def test_a_rating_beyond_every_gauge(head: PlanHead, name: str) -> None:
    said = name.partition("_rated")[0].replace("rated_pressure", "wrench")
    fault = head_fault(wrench(head, **{name: Amount(200_000.0, "psi")}))

    assert fault == f"wrenches[0].{said} rated pressure: 200000 psi is out of range"
    assert head_fault(wrench(head, **{name: Amount(700.0, "furlongs")})) == (
        f"wrenches[0].{said} rated pressure: 'furlongs' is no unit of pressure"
    )


def test_points_links_and_gauges(head: PlanHead) -> None:
    first, *others = head.wrenches[0].table
    below = (replace(first, torque=Amount(-3.0, "lbf·ft")), *others)
    assert head_fault(wrench(head, table=below)) == "wrenches[0].table[0].torque: -3 lbf·ft is out of range"
    link = replace(head.wrenches[0].links[0], factor=9.0)
    assert head_fault(wrench(head, links=(link,))) == "wrenches[0].links[0].factor: 9 is out of range"
    assert head_fault(gauge(head, range=Amount(1.0, "psi"))) == "gauges[0].range: 1 psi is out of range"
    assert head_fault(replace(head, wrenches=head.wrenches * 2)) == "wrenches: a name stands twice"
    assert head_fault(replace(head, gauges=head.gauges * 2)) == "gauges: a name stands twice"


def test_an_order_names_each_stud_of_its_count_once(head: PlanHead) -> None:
    (key, moves), *_ = head.orders.items()
    assert key == "8/1"
    fault = "orders.8/1: does not name each stud once"
    for changed in (moves[:-1], (*moves[:-1], moves[0]), (*moves, (9,))):
        assert head_fault(replace(head, orders={key: changed})) == fault
    assert head_fault(replace(head, orders={"12/1": moves})) == "orders.12/1: does not name each stud once"


def test_a_plan_without_a_stage_at_full_torque(head: PlanHead) -> None:
    stages = tuple(stage for stage in head.stages if stage.percent != 100)
    assert head_fault(replace(head, stages=stages)) == "stages: none at full torque"
    assert head_fault(replace(head, stages=())) == "stages: none at full torque"
