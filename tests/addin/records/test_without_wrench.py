"""A wrench out of service: only its joints that are not done change, and none that is begun moves in silence."""

from types import SimpleNamespace

import msgspec
import pytest

from addin.plan.file import Plan
from addin.records.without_wrench import Without
from addin.workbooks.package import WorkbookError
from calc.review.as_tightened import AGREES, OPEN, PART, REVIEW

replace = msgspec.structs.replace


@pytest.fixture
def anew(plan, joint):
    """The old plan with three joints, one of them on another wrench, and the same planned without HW-3."""
    before = plan(joint("A"), joint("B"), joint("C", wrench="HW-4"))
    after = plan(*(joint(tag, wrench="HW-4", crew="B") for tag in "ABC"), also=("HW-3",))
    head, old, new = before.head, before.joints, after.joints

    def run(**status):
        rows = [SimpleNamespace(joint=each, status=status.get(each.joint, OPEN)) for each in old]
        made = Without(Plan(head, old, "old.json"), after.head, ["hw-3"], SimpleNamespace(rows=rows))
        return made, [made.entry(each) for each in new], old, new

    return run


def test_open_joints_move_and_the_others_keep_their_card(anew):
    made, found, old, new = anew(A=AGREES)
    assert [each.card for each in found] == [old[0].card, new[1].card, old[2].card]
    assert [each.wrenches[0].wrench for each in found] == ["HW-3", "HW-4", "HW-4"]
    assert {each.crew for each in found} == {"B"}  # the day's fields are those of the new list
    assert made.decisions == []
    # A goes on with HW-3 itself; the other two cards name it beside HW-4
    assert made.notes() == [
        "cards that hold, with a wrench no longer to be used as alternate, cross it out: B final make-up, "
        "C final make-up"
    ]
    assert made.totals().planned == 3


def test_a_joint_that_is_new_or_was_stopped_before_is_as_planned_now(anew):
    made, _, old, new = anew()
    made._before[("b", "final make-up")] = replace(old[1], status="stopped", card=None)
    later = replace(new[2], joint="D")
    assert made.entry(later) is later
    assert made.entry(new[1]) is new[1]


def test_a_joint_of_another_wrench_keeps_its_card_only_where_the_list_asks_for_the_same(plan, joint):
    """D with another stress than it was planned with is as planned now."""
    before = plan(joint("A"), joint("C", wrench="HW-4"), joint("D", wrench="HW-4"))
    now = (joint("A"), joint("C", crew="B"), joint("D", stress="45000 psi"))
    after = plan(*(each | {"wrench": "HW-4"} for each in now), also=("HW-3",))
    rows = [SimpleNamespace(joint=each, status=OPEN) for each in before.joints]
    made = Without(Plan(before.head, before.joints, "old.json"), after.head, ["hw-3"], SimpleNamespace(rows=rows))
    _, same, other = [made.entry(each) for each in after.joints]
    assert (same.card, same.crew) == (before.joints[1].card, "B")
    assert other is after.joints[2]
    assert other.card != before.joints[2].card


@pytest.mark.parametrize("status", [PART, REVIEW])
def test_what_is_begun_stops_for_the_engineer(anew, status):
    made, found, _, _ = anew(A=status)
    assert (found[0].status, found[0].card, found[0].wrenches) == ("stopped", None, ())
    assert found[0].said("stop") == [
        f"{status} with HW-3, which is not to be used: the engineer decides how it goes on"
    ]
    assert made.notes()[0] == f"for the engineer: A final make-up: {status} with HW-3, no longer to be used"
    assert (made.totals().planned, made.totals().stopped) == (2, 1)


def test_another_scheme_is_refused(anew):
    made, *_ = anew()
    head = replace(made.head, stages=made.head.stages[1:])
    with pytest.raises(WorkbookError, match="was planned with other passes"):
        Without(made.old, head, ["HW-3"], None)
