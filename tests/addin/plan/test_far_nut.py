"""What holds the far nut, as the card says it: the size in the unit and the way of writing of its wrenches."""

import pytest

from tests.small_plans import hand, joint, plan


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({}, "for 2-3/8 in across flats"),
        ({"holes": "tapped"}, "none: tapped holes"),
        ({"holes": "blind holes"}, "none: tapped holes"),
        ({"holes": "through"}, "for 2-3/8 in across flats"),
    ],
)
def test_in_inches_by_sixteenths_and_none_behind_a_blind_hole(cells: dict[str, str], said: str) -> None:
    [entry] = plan(joint(**cells)).joints

    assert entry.backup_wrench == said


def test_in_millimetres_as_a_number() -> None:
    """A nut M16 of ISO 4032 is 24 mm across flats."""
    [entry] = plan(hand()).joints

    assert entry.backup_wrench == "for 24 mm across flats"
