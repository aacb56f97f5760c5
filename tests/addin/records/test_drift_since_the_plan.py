"""How far the torque of a wrench has moved since its joints were planned: its table, and the factor of each link."""

import math
from typing import Any

import pytest

from addin.plan.record import PlanHead
from addin.records.tools_of_plan import book_of
from tests.small_plans import joint, plan

TABLE = tuple((pressure, 0.351 * pressure - 20) for pressure in range(500, 10001, 500))


def head(links: tuple[tuple[str, float, float], ...], **more: Any) -> PlanHead:
    return plan(joint(), book={"HW-3": {"links": links, **more}}).head


def test_a_factor_counts_by_its_ratio_to_that_of_the_plan() -> None:
    """0.84 for 0.8 is 5 % more at each pressure, 0.75 for 1.0 a quarter less; the larger of two is told."""
    before = head((("2-3/8 in link", 2.375, 0.8), ("2 in link", 2.0, 1.0)))
    first = head((("2-3/8 in link", 2.375, 0.84), ("2 in link", 2.0, 1.0)))
    second = head((("2-3/8 in link", 2.375, 0.84), ("2 in link", 2.0, 0.75)))

    assert book_of(before, later=first).drifts == {"hw-3": pytest.approx(0.05)}
    assert book_of(before, later=second).drifts == {"hw-3": pytest.approx(-0.25)}
    assert book_of(first, later=before).drifts == {"hw-3": pytest.approx(0.8 / 0.84 - 1)}
    assert book_of(before, later=before).drifts == {}


def test_a_table_two_per_cent_higher_counts_beside_the_factor() -> None:
    links = (("2-3/8 in link", 2.375, 0.8),)
    higher = head((("2-3/8 in link", 2.375, 0.84),), table=tuple((p, 1.02 * t) for p, t in TABLE))

    assert book_of(head(links), later=higher).drifts == {"hw-3": pytest.approx(1.02 * 1.05 - 1)}
    assert not math.isnan(book_of(head(links), later=higher).drifts["hw-3"])
