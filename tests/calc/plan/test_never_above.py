"""What is set never passes a rating, a link's limit or a table's end; what is refused is said with its own numbers.

Every table here is torque [lbf·ft] = 0.4 x pressure [psi], 1000 to 10,000 psi; marks of 50 psi. Figures by hand.
"""

import math
from datetime import date
from typing import Any

import pytest

from addin.cells.words import line
from calc.findings import InputError
from calc.plan.joints import Lubricant, PlanSettings
from calc.plan.plan import plan_joints
from calc.plan.plans import Plans
from calc.quantities import INCH, LBF_FT, PSI
from calc.units import system
from calc.wrench.calibration import Marks, curve
from calc.wrench.choice import Gauge, Link, Wrench
from tests.calc.plan.test_plan import GAUGE, NONE, as_list, row, wrench

US = system("US")
FIFTY = {"G-1": Gauge("G-1", Marks(50.0, PSI), 15000 * PSI, NONE, GAUGE.valid_until)}
DAY = float(date(2026, 10, 8).toordinal())


def one(name: str, **changes: Any) -> Wrench:
    return wrench(name, 0.4, [2.375], **changes)


def limited(name: str, limit: float, **changes: Any) -> Wrench:
    return one(name, links=(Link("2-3/8 in", 2.375 * INCH, 1.0, limit * LBF_FT),), **changes)


def plan(torque: float, *book: Wrench, lubricants: Any = (), settings: Any = None, **changes: Any) -> Plans:
    given = row(stress=NONE, area="", torque=torque * LBF_FT, **changes)
    return plan_joints(as_list(given), list(book), FIFTY, lubricants, PlanSettings(**(settings or {})))


def setpoints(plans: Plans) -> list[float]:
    return [round(float(plans.pressure[0, i, plans.full]) / PSI, 6) for i in range(len(plans.pulling[0]))]


def stops(plans: Plans) -> list[str]:
    return [line(finding, US) for finding in plans.stops()]


def test_one_mark_for_several_wrenches_stays_below_the_weakest_rating() -> None:
    """1535 lbf·ft take 3837.5 psi: 3850 is the nearer mark, but one of the hoses is rated 3840."""
    weak, strong = one("HW-1", hose_rated_pressure=3840 * PSI), one("HW-2")

    assert setpoints(plan(1535, strong, wrench="HW-2")) == [3850]
    assert setpoints(plan(1535, weak, wrench="HW-1")) == [3800]
    assert setpoints(plan(1535, weak, strong, wrench="HW-1, HW-2", at_once=2.0)) == [3800, 3800]
    assert setpoints(plan(1535, strong, weak, wrench="HW-2, HW-1", at_once=2.0)) == [3800, 3800]


@pytest.mark.parametrize("rating", ["rated_pressure", "hose_rated_pressure", "pump_rated_pressure"])
def test_each_rating_holds_the_mark_down(rating: str) -> None:
    assert setpoints(plan(1535, one("HW-1", **{rating: 3840 * PSI}), wrench="HW-1")) == [3800]
    assert stops(plan(1537, one("HW-1", **{rating: 3840 * PSI}), wrench="HW-1")) == [
        "HW-1: torque 1537 lbf·ft is above 1536 lbf·ft, the most 2.375 in gives within the lowest rating (3840 psi)"
    ]


def test_the_end_of_the_gauge_holds_the_mark_down() -> None:
    gauges = {"G-1": Gauge("G-1", Marks(50.0, PSI), 3840 * PSI, NONE, GAUGE.valid_until)}
    given = as_list(row(stress=NONE, area="", torque=1535 * LBF_FT, wrench="HW-1"))
    assert setpoints(plan_joints(given, [one("HW-1")], gauges, (), PlanSettings())) == [3800]


def test_a_mark_above_a_links_limit_is_never_set() -> None:
    """3850 psi give 1540 lbf·ft, more than the 1536 of the link: rounding up and nearest refuse, down takes 3800."""
    link = limited("HW-1", 1536)

    for rounding in ("nearest", "up"):
        assert stops(plan(1535, link, wrench="HW-1", settings={"rounding": rounding})) == [
            "HW-1: the nearest mark of gauge G-1, 3850, gives 1540 lbf·ft, above 1536 lbf·ft, the torque"
            " limit of 2-3/8 in"
        ]
    assert setpoints(plan(1535, link, wrench="HW-1", settings={"rounding": "down"})) == [3800]
    assert stops(plan(1535, link, one("HW-2"), wrench="HW-1, HW-2", at_once=2.0)) == [
        "HW-1 and HW-2 on pump P-1: the mark that suits them, 3850, gives 1540 lbf·ft on HW-1, above 1536 lbf·ft, the"
        " torque limit of 2-3/8 in; use separate pumps"
    ]


def test_marks_between_the_first_rows_of_a_table_are_set() -> None:
    """The first row is 1000 psi: 440 lbf·ft take 1100, 404 take 1010, and 1000 is the nearer mark."""
    assert [setpoints(plan(torque, one("HW-1"), wrench="HW-1"))[0] for torque in (440, 404, 400)] == [1100, 1000, 1000]
    assert stops(plan(399.9, one("HW-1"), wrench="HW-1")) == [
        "HW-1: torque 399.9 lbf·ft is below its lowest certified point, 400 lbf·ft"
    ]


def test_a_refused_certificate_is_printed_with_its_own_days() -> None:
    days = {"calibrated": DAY - 100, "valid_until": DAY - 1}
    assert stops(plan(1500, one("HW-1", **days), wrench="HW-1")) == [
        "HW-1: certificate not valid on 2026-10-08 (valid from 2026-06-30 until 2026-10-07)"
    ]
    gauges = {"G-1": Gauge("G-1", Marks(50.0, PSI), 15000 * PSI, DAY - 200, DAY - 2)}
    given = as_list(row(stress=NONE, area="", torque=1500 * LBF_FT, wrench="HW-1"))
    valid = {"calibrated": DAY - 100, "valid_until": DAY + 100}
    assert stops(plan_joints(given, [one("HW-1", **valid)], gauges, (), PlanSettings())) == [
        "HW-1: certificate of gauge G-1 not valid on 2026-10-08 (valid from 2026-03-22 until 2026-10-06)"
    ]


@pytest.mark.parametrize(
    ("changes", "said"),
    [({"calibrated": DAY, "valid_until": DAY}, []),
     ({"calibrated": DAY + 1}, ["HW-1: certificate not valid on 2026-10-08 (valid from 2026-10-09 until 2027-05-17)"]),
     ({"out_of_service": (DAY - 3, DAY - 1)}, []), ({"out_of_service": (DAY + 1, DAY + 3)}, []),
     ({"out_of_service": (DAY, DAY + 3)}, ["HW-1: out of service on 2026-10-08 (from 2026-10-08 until 2026-10-11)"]),
     ({"out_of_service": (DAY - 3, DAY)}, ["HW-1: out of service on 2026-10-08 (from 2026-10-05 until 2026-10-08)"]),
     ({"hose_valid_until": DAY}, []),
     ({"hose_valid_until": DAY - 1},
      ["HW-1: certificate of its hose not valid on 2026-10-08 (valid until 2026-10-07)"])],
)  # fmt: skip
def test_the_first_and_the_last_day_of_what_holds(changes: dict[str, Any], said: list[str]) -> None:
    assert stops(plan(1500, one("HW-1", **changes), wrench="HW-1")) == said


def test_a_lubricant_that_stands_twice_is_never_chosen() -> None:
    twice = [Lubricant("L-1", 0.12, 0.1, 0.14, NONE, NONE, "a"), Lubricant("l-1", 0.16, 0.14, 0.18, NONE, NONE, "b")]
    found = plan(1500, one("HW-1"), wrench="HW-1", nut_factor=NONE, lubricant="L-1", lubricants=twice)
    assert stops(found) == ["lubricant 'L-1' stands twice in the site's table"]
    assert math.isnan(float(found.torque[0]))


@pytest.mark.parametrize("together", [1.0, 2.0, 4.0])
def test_one_two_or_four_wrenches_pull_together(together: float) -> None:
    book = [one(f"HW-{n}", pump=f"P-{n}") for n in range(1, 5)]
    names = ", ".join(each.name for each in book[: int(together)])
    assert setpoints(plan(1500, *book, wrench=names, at_once=together)) == [3750] * int(together)


@pytest.mark.parametrize("together", [3.0, 5.0, 2.5])
def test_no_other_number_of_wrenches_pulls_together(together: float) -> None:
    book = [one(f"HW-{n}", pump=f"P-{n}") for n in range(1, 5)]
    assert stops(plan(1500, *book, wrench="HW-1, HW-2, HW-3", at_once=together)) == [
        f"wrenches together must be 1, 2 or 4, got {together:g}"
    ]


def test_wrenches_together_need_a_stud_each() -> None:
    book = [one("HW-1", pump="P-1"), one("HW-2", pump="P-2")]
    assert stops(plan(1500, *book, wrench="HW-1, HW-2", at_once=2.0, studs=15.0)) == [
        "2 wrenches together do not share 15 studs evenly"
    ]


def test_the_preload_of_a_specified_torque_by_coefficients() -> None:
    """VDI 2230: T = F (0.159 P + 0.577 d2 u1 + Db/2 u2); 1 1/2-8 UN in a hole of 1.625 in under a nut of 2.375 in.

    d2 = 1.5 - 0.649519/8; the mean diameter of the bearing face of a heavy hex nut is half of hole and width.
    """
    found = plan(1500, one("HW-1"), wrench="HW-1", nut_factor=NONE, thread_friction=0.12, nut_friction=0.12)
    pitch, d2, bearing = 1 / 8, 1.5 - 0.649519 / 8, (1.625 + 2.375) / 2
    by_hand = 1500 * 12 / (pitch / (2 * math.pi) + d2 / 2 * 0.12 / math.cos(math.pi / 6) + bearing / 2 * 0.12)
    assert stops(found) == []
    assert float(found.preload[0]) / 4.4482216152605 == pytest.approx(by_hand, rel=0.02)


@pytest.mark.parametrize(
    ("pressure", "torque", "said"),
    [([1000, 2000, 3000], [400, 380, 1200], "table does not rise at row 2: 2000 psi with"
      " 380 lbf·ft after 1000 psi with 400 lbf·ft"),
     ([1000, 2000, 3000], [400, 800, 800], "table does not rise at row 3: 3000 psi with"
      " 800 lbf·ft after 2000 psi with 800 lbf·ft"),
     ([1000, 1000, 3000], [400, 410, 1200], "table: pressure 1000 psi stands twice (row 2)"),
     ([2000, 1000, 3000], [400, 800, 1200], "table does not rise at row 2: 1000 psi with"
      " 800 lbf·ft after 2000 psi with 400 lbf·ft"),
     ([1000], [400], "table needs at least two points, got 1")],
)  # fmt: skip
def test_a_table_that_does_not_rise_is_no_curve(pressure: list[float], torque: list[float], said: str) -> None:
    with pytest.raises(InputError) as caught:
        curve([p * PSI for p in pressure], [t * LBF_FT for t in torque])
    assert line(caught.value.finding, US) == said


def test_the_only_mark_of_a_table_and_a_mark_at_a_limit_are_set() -> None:
    """Rated 1040 psi, the table from 1000 holds one mark; 3800 psi give 1520 lbf·ft, the limit of the link."""
    assert setpoints(plan(405, one("HW-1", hose_rated_pressure=1040 * PSI), wrench="HW-1")) == [1000]
    assert setpoints(plan(1520, limited("HW-1", 1520), wrench="HW-1")) == [3800]
    assert setpoints(plan(1520, limited("HW-1", 1520), one("HW-2"), wrench="HW-1, HW-2", at_once=2.0)) == [3800, 3800]


def test_a_joint_by_hand_has_no_wrenches_that_share_its_studs() -> None:
    assert stops(plan(100, one("HW-1"), method="hand", studs=15.0, at_once=2.0)) == []


@pytest.mark.parametrize(
    ("friction", "said"),
    [({"thread_friction": 0.12, "nut_friction": 0.11}, []),
     ({"thread_friction": 0.13, "nut_friction": 0.11},
      ["friction 0.13 in the list differs from 0.12 of L-30 in the lubricant table"])],
)  # fmt: skip
def test_coefficients_beside_a_product_are_held_against_it(friction: dict[str, float], said: list[str]) -> None:
    table = [Lubricant("L-30", NONE, NONE, NONE, 0.12, 0.11, "maker")]
    found = plan(1500, one("HW-1"), wrench="HW-1", nut_factor=NONE, lubricant="L-30", lubricants=table, **friction)
    assert stops(found) == said


def test_a_wrench_too_weak_for_its_own_is_no_reason_for_separate_pumps() -> None:
    """0.4 x 3000 psi is 1200 lbf·ft: where one of two is refused by itself, nothing is said of their common mark."""
    weak = {"rated_pressure": 3000 * PSI}
    for first, second, refused in ((weak, {}, "HW-1"), ({}, weak, "HW-2")):
        book = one("HW-1", **first), one("HW-2", **second)
        assert stops(plan(1535, *book, wrench="HW-1, HW-2", at_once=2.0)) == [
            f"{refused}: torque 1535 lbf·ft is above 1200 lbf·ft, the most 2.375 in gives within the lowest rating "
            "(3000 psi)"
        ]
