"""A planned row below a lower limit is to be reviewed: in its status, on the head of its card, in the counts."""

from addin.cards.joint_card import _notice
from addin.plan.file import summary
from addin.plan.record import TotalsEntry
from addin.plan.record_joint import FindingEntry, JointEntry
from addin.plan.result_columns import _status

BELOW = FindingEntry(level="caution", code="limit_below", text="gasket seating is not reached", place="Joints!F7")
OTHER = FindingEntry(level="caution", code="preload_low", text="preload is low", place="Joints!F7")


def joint(*findings: FindingEntry, status: str = "planned", operation: str = "final make-up") -> JointEntry:
    return JointEntry(
        row=7, joint="E-1", operation=operation, method="hydraulic", status=status, findings=findings, card="ABCD-1234"
    )


def test_a_lower_limit_that_is_not_reached_puts_the_row_to_review() -> None:
    assert _status(joint(BELOW, OTHER)) == "planned, to be reviewed"
    assert _status(joint(OTHER)) == "planned, caution"
    assert joint(BELOW, status="stopped").said_status == "stopped"


def test_the_head_of_its_card_says_so_before_what_its_operation_asks() -> None:
    told = "TO BE REVIEWED BY THE ENGINEER BEFORE WORK: gasket seating is not reached"
    assert _notice(joint(BELOW)) == told
    assert _notice(joint(OTHER)) is None
    assert _notice(joint(BELOW, operation="retighten")) == f"{told}\n{_notice(joint(operation='retighten'))}"


def test_the_counts_say_how_many() -> None:
    counts = {"rows": 3, "planned": 2, "hydraulic": 2, "hand": 0, "other_method": 0, "stopped": 1}
    assert summary(TotalsEntry(**counts, to_review=1, breakout_not_planned=0)) == (
        "3 rows: 2 planned (2 hydraulic, 0 hand; 1 to be reviewed), 0 by another method and 1 stopped"
    )
    assert "reviewed" not in summary(TotalsEntry(**counts, breakout_not_planned=0))
