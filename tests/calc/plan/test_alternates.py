"""Alternates of a row: which wrenches, in which order, set to what."""

import math
from datetime import date
from typing import Any

import numpy as np
import pytest

from calc.plan.alternates import MOST, Alternates, alternates
from calc.plan.joints import Joints, PlanSettings, joints
from calc.plan.plan import plan_joints
from calc.quantities import INCH, LBF_FT, PSI
from calc.wrench.calibration import Marks, curve
from calc.wrench.choice import Gauge, Link, Wrench

DAY = float(date(2026, 10, 8).toordinal())
VALID = float(date(2027, 5, 17).toordinal())
GAUGES = {"G-1": Gauge("G-1", Marks(100.0, PSI), 15000 * PSI, math.nan, VALID)}


def wrench(name: str, factor: float, flats: float = 2.375, **changes: Any) -> Wrench:
    """A wrench whose torque in lbf·ft is `factor` times its pressure in psi, from 1000 to 10,000 psi."""
    pressure = np.arange(1000, 10001, 1000.0)
    fields = {
        "name": name, "curve": curve(pressure * PSI, pressure * factor * LBF_FT), "rated_pressure": 10000 * PSI,
        "hose_rated_pressure": 10000 * PSI, "pump": "P-1", "pump_rated_pressure": 10000 * PSI, "gauge": "G-1",
        "links": (Link(f"{name} link", flats * INCH, 1.0),), "calibrated": math.nan, "valid_until": VALID,
    }  # fmt: skip
    return Wrench(**{**fields, **changes})


def row(**changes: Any) -> dict[str, Any]:
    return {"joint": "E-1", "operation": "final make-up", "method": "hydraulic", "thread": "1 1/2-8 UN", "studs": 24.0,
            "torque": 1500 * LBF_FT, "date": DAY, "at_once": math.nan, **changes}  # fmt: skip


def found(book: list[Wrench], *rows: dict[str, Any], **settings: Any) -> Alternates:
    listed: Joints = joints(len(rows), **{name: [each.get(name, "") for each in rows] for name in rows[0]})
    plans = plan_joints(listed, book, GAUGES, (), PlanSettings(**settings))
    assert set(plans.status) == {"planned"}
    return alternates(plans, listed, book, GAUGES)


def names(result: Alternates, at: int = 0) -> list[str]:
    return [c.wrench.name for c in result.wrenches[at]]


def test_the_others_that_fit_the_smallest_first() -> None:
    """1500 lbf·ft: 0.2 lbf·ft per psi needs 7500 psi, 0.25 6000 psi, 0.4 3750 psi: the mark 3700 (lower of the two)."""
    book = [wrench("HW-4", 0.4), wrench("HW-2", 0.2), wrench("HW-3", 0.25), wrench("HW-9", 0.4, flats=2)]
    result = found(book, row())

    assert names(result) == ["HW-3", "HW-4"]
    full = 3  # after snug, 30 % and 60 %
    assert (result.count[0, :2, full] * 100).tolist() == [6000, 3700]
    assert result.torque_there[0, :2, full] / LBF_FT == pytest.approx([1500, 1480])
    assert np.isnan(result.count[0, 2]).all()


@pytest.mark.parametrize(
    "changes",
    [
        {"valid_until": DAY - 1}, {"faults": ("table_missing",)}, {"gauge": "G-9"}, {"rated_pressure": 3000 * PSI},
        {"links": (Link("no size", math.nan, 1.0),)}, {"links": (Link("weak", 2.375 * INCH, 1.0, 1400 * LBF_FT),)},
    ],
)  # fmt: skip
def test_a_wrench_that_would_not_be_chosen_is_no_alternate(changes: dict[str, Any]) -> None:
    assert names(found([wrench("HW-2", 0.2), wrench("HW-3", 0.25, **changes)], row(wrench="HW-2"))) == []


def test_a_wrench_without_reserve_is_no_alternate() -> None:
    assert names(found([wrench("HW-2", 0.2), wrench("HW-1", 0.155)], row())) == []


def test_at_most_three_and_each_wrench_once() -> None:
    two_links = (Link("a", 2.375 * INCH, 1.0), Link("b", 2.375 * INCH, 1.1))
    book = [wrench("HW-2", 0.2), *(wrench(f"HW-{n}", 0.2 + n / 100, links=two_links) for n in range(3, 8))]
    result = found(book, row())

    assert names(result) == ["HW-3", "HW-4", "HW-5"]
    assert len(names(result)) == MOST


def test_a_named_wrench_has_alternates_too() -> None:
    assert names(found([wrench("HW-2", 0.2), wrench("HW-3", 0.25)], row(wrench="HW-3"))) == ["HW-2"]


def test_several_wrenches_at_once_and_hand_rows_have_none() -> None:
    book = [wrench("HW-2", 0.2), wrench("HW-3", 0.2), wrench("HW-4", 0.25)]
    result = found(book, row(at_once=2.0), row(joint="E-2", method="hand"))

    assert result.wrenches == ((), ())


def test_a_row_alone_has_the_alternates_it_has_in_the_list() -> None:
    book = [wrench("HW-2", 0.2), wrench("HW-3", 0.25), wrench("HW-4", 0.4)]
    rows = [row(), row(joint="E-2", torque=2100 * LBF_FT), row(joint="E-3", torque=900 * LBF_FT)]
    together = found(book, *rows)

    for at, each in enumerate(rows):
        alone = found(book, each)
        assert names(alone) == names(together, at)
        assert np.array_equal(alone.count[0], together.count[at], equal_nan=True)
        assert np.array_equal(alone.torque_there[0], together.torque_there[at], equal_nan=True)
