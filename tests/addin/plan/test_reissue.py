"""Which changes of list and book reissue a card, from the cells to the comparison of two plans: judged, no source."""

import datetime
from typing import Any

import pytest
from small_plans import BROKEN, hand, joint, plan

from addin.plan.file import Plan
from addin.plan.record import SinceEntry
from addin.plan.since import Since, supplement

DAY = datetime.date(2026, 3, 14)
LATER = DAY + datetime.timedelta(days=1)
Change = tuple[dict[str, Any], dict[str, Any]]
"""What changes: cells of the row, and arguments of the plan."""


def of_hw_3(**changes: Any) -> Change:
    return {}, {"book": {"HW-3": changes}}


REISSUED: dict[str, tuple[Change, str]] = {
    "wrench": (({"wrench": "HW-4"}, {}), "wrench"),
    "pressure, torque, preload": (({"stress": "51000 psi"}, {}), "pressure to set"),
    "gauge": (of_hw_3(gauge="G-3"), "gauge"),
    "pump": (of_hw_3(pump="P-9"), "pump"),
    "hose": (of_hw_3(hose_name="H-9"), "table, factors or ratings of HW-3"),
    "rating of the hose": (of_hw_3(hose=9500), "table, factors or ratings of HW-3"),
    "table": (of_hw_3(slope=0.353), "table, factors or ratings of HW-3"),
    "passes": (({}, {"scheme": "50/75/100"}), "passes"),
    "order": (({"order": "quadrants"}, {}), "order"),
    "studs": (({"studs": 20}, {}), "stud count"),
    "grade": (({"grade": "A193 B16"}, {}), "grade"),
    "size of the studs": (({"thread": "1 1/4-8 UN"}, {}), "thread"),
    "gasket": (({"gasket": "ring joint"}, {}), "gasket"),
    "friction": (({"lubricant": None, "nut_factor": 0.17}, {}), "nut factor"),
    "hold": (({"hold_point": "3"}, {}), "hold point"),
    "witness": (({"witness": "all"}, {}), "witness"),
    "turned side": (({"turned_side": "south"}, {}), "turned side"),
    "stud 1": (({"stud_1": "3 o'clock"}, {}), "position of stud 1"),
    "instruction in the remarks": (({"remarks": "check the groove first"}, {}), "instructions in the remarks"),
    "washers": (({"washers": "hardened, both nuts"}, {}), "washers"),
    "studs used again": (({"condition": "re-used"}, {}), "stud condition"),
    "wrenches together": (({"wrench": "HW-3, HW-13", "at_once": 2}, {}), "wrenches together"),
    "another wrench may take its place": (({}, {"also": ("HW-13", "HW-4")}), "alternates"),
}  # fmt: skip
KEPT: dict[str, Change] = {
    "day within the certificate": ({"date": LATER}, {}), "crew": ({"crew": "B"}, {}), "shift": ({"shift": "night"}, {}),
    "sequence": ({"sequence": "9"}, {}), "work order": ({"work_order": "WO-7"}, {}),
    "other remarks": ({"remarks": "scaffold needed"}, {}), "scatter": ({}, {"scatter_method": "torque, lubricated"}),
    "area": ({"area_of_plant": "Unit 3"}, {}), "a row above it": ({}, {"above": True}),
}  # fmt: skip


def planned(cells: dict[str, Any], *, above: bool = False, **more: Any) -> Plan:
    row = joint("E-1", **({"date": DAY, "wrench": "HW-3"} | cells))
    return plan(*([joint("A-1", date=DAY, wrench="HW-3")] if above else []), row, **more)


def compared(change: Change) -> tuple[SinceEntry, Plan, Plan]:
    cells, more = change
    also = {"also": ("HW-13",)}
    before, after = planned({}, **also), planned(cells, **({} if "also" in more else also) | more)
    compare = Since(before, after.head)
    for each in after.joints:
        compare.add(each)
    return compare.result(), before, after


@pytest.mark.parametrize("what", REISSUED)
def test_a_change_of_what_the_crew_works_by_reissues_the_card(what: str) -> None:
    change, why = REISSUED[what]
    found, before, after = compared(change)
    (entry,) = found.issue
    assert entry.card == after.joints[-1].card != before.joints[0].card
    assert (entry.issue, entry.replaces) == (2, before.joints[0].card)
    assert [each.card for each in found.withdraw] == [before.joints[0].card]
    assert why in [each.what for each in entry.changes]
    assert not any("version" in each.what for each in entry.changes)


@pytest.mark.parametrize("what", KEPT)
def test_a_change_of_what_is_only_planned_keeps_every_card(what: str) -> None:
    found, before, after = compared(KEPT[what])
    kept = next(each for each in after.joints if each.joint == "E-1")
    assert kept.card == before.joints[0].card
    assert "E-1" not in [each.joint for each in (*found.issue, *found.withdraw)]
    assert found.supplements == ()


def test_a_new_certificate_with_the_same_table_is_a_line_that_names_it() -> None:
    change = of_hw_3(certificate="C-2001", until=datetime.date(2027, 6, 1))
    found, before, after = compared(change)
    assert (found.issue, found.withdraw) == ((), ())
    assert after.joints[0].card == before.joints[0].card
    (line,) = map(supplement, found.supplements)
    assert line.startswith(f"card {before.joints[0].card} holds (E-1 final make-up): certificate of wrench HW-3")
    assert line.endswith(
        "C-1041, valid until 2027-01-10 -> C-2001, valid until 2027-06-01; same table, factors and ratings"
    )


@pytest.mark.parametrize(
    ("row", "cells", "why"),
    [(hand("P-1", date=DAY), {"torque": "90 N·m"}, "torque"),
     (joint("V-1", "break", date=DAY, **BROKEN), {"breakout_factor": 1.6}, "break-out")],
)  # fmt: skip
def test_hand_torques_and_break_outs_too(row: dict[str, Any], cells: dict[str, Any], why: str) -> None:
    before, after = plan(row), plan(row | cells)
    compare = Since(before, after.head)
    compare.add(after.joints[0])
    (entry,) = compare.result().issue
    assert why in [each.what for each in entry.changes]
    same = Since(before, before.head)
    same.add(before.joints[0])
    assert same.result().issue == ()


def test_what_has_changed_of_a_joint_is_said_one_by_one() -> None:
    """50,000 and 51,000 psi on 1.405 in², and a friction stated by the row in place of the product's."""
    found, *_ = compared(({"stress": "51000 psi", "lubricant": None, "nut_factor": 0.17}, {}))
    (entry,) = found.joints
    said = [(each.what, each.was, each.now) for each in entry.changes]

    assert said[:5] == [
        ("target", "stress 50000 psi on the root B1.1 area", "stress 51000 psi on the root B1.1 area"),
        ("nut factor", "0.16", "0.17"),
        ("lubricant", "L-20", "not stated"),
        ("source", "site lubricant table, maker's sheet 4", "joint list"),
        ("preload", "70262.8 lbf", "71668.1 lbf"),
    ]
    names = [each.what for each in entry.changes]
    assert len(set(names)) == len(names)


def test_every_card_that_a_joint_ever_had_stays_known() -> None:
    """Its card is issued three times: a record of the first card still finds the joint as that card had it."""
    plans = [planned({"turned_side": side}) for side in ("north", "south", "east", "north")]
    before, known = plans[0], [()]
    for made in plans[1:]:
        compare = Since(before, made.head, on="2026-10-08")
        joints = [compare.add(each) for each in made.joints]
        known.append(tuple((each.card, each.joint.turned_side) for each in joints[0].earlier))
        before = Plan(made.head, joints, "list-plan.json")
    first, second, third, again = (each.joints[0].card for each in plans)

    assert again == first
    assert known == [
        (), ((first, "north"),), ((first, "north"), (second, "south")), ((second, "south"), (third, "east")),
    ]  # fmt: skip
