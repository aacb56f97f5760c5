"""A hand torque wrench that was taken out of service is none from that day on, whatever its certificate says."""

from datetime import date

import pytest

from tests.small_plans import hand, plan

JOB = date(2026, 3, 14)
NOT_THAT_DAY = (
    "by hand, but torque 84 N·m is above 0 N·m, the most that the hand tools of the book give on that day: another "
    "method?"
)


@pytest.mark.parametrize(
    ("until", "out", "last", "said"),
    [
        (date(2027, 1, 4), None, "2027-01-04", []),
        (date(2027, 1, 4), JOB, "2026-03-13", [NOT_THAT_DAY]),
        (date(2027, 1, 4), date(2026, 3, 15), "2026-03-14", []),
        (date(2026, 3, 13), date(2026, 4, 1), "2026-03-13", [NOT_THAT_DAY]),
        (JOB, date(2026, 4, 1), "2026-03-14", []),
        (JOB, JOB, "2026-03-13", [NOT_THAT_DAY]),
    ],
)
def test_the_earlier_of_the_two_days_ends_it(until: date, out: date | None, last: str, said: list[str]) -> None:
    made = plan(hand(date=JOB), tools=(("HT-1", 20, 200, "H-1", "K-1", date(2026, 1, 5), until, out),))

    assert [each.valid_until for each in made.head.equipment] == [last]
    assert [finding.text for joint in made.joints for finding in joint.findings] == said
