"""The kit list: counts by hand from a few joints of an invented plant."""

import datetime

import pytest
from small_plans import BROKEN

from addin.cards.kit import items, sheets

DAY = datetime.date(2026, 5, 1)
SMALL = {"stress": None, "stress_area": None, "torque": "264 lbf·ft"}
"""For a stud of 7/8 in: at 800 psi HW-3 gives 0.351 x 800 - 20 = 260.8 lbf·ft."""


def rows(plan, *joints, **more):
    found, kind = {}, None
    content = plan(*joints, **more)
    for row in items(content.head, content.joints):
        kind = row["kind"] or kind
        found.setdefault(kind, []).append((row["item"], row["count"], row["for"]))
    return found


@pytest.fixture
def tapped(joint):
    return joint("V-9 bonnet", studs=8, holes="tapped")


def test_studs_nuts_and_gaskets(plan, joint, tapped):
    """Tag A has a test and a final make-up: its 24 studs once, its gaskets twice; tapped holes take one nut a stud."""
    found = rows(plan, joint("A", "test make-up"), joint("A"), joint("B", studs=16), tapped, joint("B", "retighten"))

    assert found["Studs"] == [("1 1/2-8 UN, length not stated, A193 B7", 24 + 16 + 8, "3 joints")]
    assert found["Nuts"] == [("1 1/2-8 UN, heavy hex, 2-3/8 in across flats", 2 * 24 + 2 * 16 + 8, "3 joints")]
    assert found["Gaskets"] == [("spiral wound, 316/graphite, size NPS 12, rating 300", 4, "4 make-ups")]
    assert found["Lubricant"] == [("L-20", None, "5 cards; quantity by the product's maker")]


def test_tools_stand_once_however_often_they_are_used(plan, joint, several):
    found = rows(plan, joint("A"), joint("B"), several())

    assert [item for item, count, _ in found["Wrenches"] if count == 1] == [
        "HW-3, low clearance, no. SN-3", "HW-4, low clearance, no. SN-4",
    ]  # fmt: skip
    assert found["Wrenches"][0][2] == "3 cards; C-1041, valid until 2027-01-10"
    assert found["Links and sockets"] == [
        ("2-3/8 in link, for HW-3", 1, "3 cards"), ("2-3/8 in link, for HW-4", 1, "1 card"),
    ]  # fmt: skip
    assert found["Backup wrenches"] == [("backup wrench for 2-3/8 in across flats", 2, "3 cards")]
    assert [item for item, *_ in found["Gauges"]] == ["G-2, 0 to 10000 psi", "G-3, 0 to 10000 psi"]
    assert found["Pumps"] == [("P-1", 1, "for HW-3; rated 10000 psi"), ("P-2", 1, "for HW-4; rated 10000 psi")]
    assert found["Hoses"] == [("H-1", 2, "for HW-3, HW-4; rated 10000 psi")]


def test_what_the_book_does_not_name_is_said(plan, several):
    found = rows(plan, several(), book={"HW-4": {"pump": None, "hose_name": None, "hose": None}})

    assert [item for item, *_ in found["Pumps"]] == ["P-1", "pump not named in the wrench book"]
    assert [item for item, *_ in found["Hoses"]] == ["H-1", "hose not named in the wrench book"]


LARGE = {"grade": "ISO 898-1 10.9", "thread": "M24x3"}
"""For 210 N·m by hand; its nut is 36 mm across the flats."""


def test_hand_torque_wrenches_of_the_book_are_named_where_one_fits_every_pass(plan, hand):
    tool = ("HT-1", 20, 100, "77", "K-1", None)
    on_day = [hand("A", date=DAY), hand("B", torque="210 N·m", date=DAY, **LARGE)]
    found = rows(plan, *on_day, tools=((*tool, datetime.date(2099, 1, 1)),))
    late = rows(plan, on_day[0], tools=((*tool, DAY - datetime.timedelta(days=1)),))

    assert ("HT-1, no. 77, 20 N·m to 100 N·m", 1, "1 card; K-1, valid until 2099-01-01") in found[
        "Hand torque wrenches"
    ]
    assert [item for item, *_ in found["Hand torque wrenches"] if item.startswith("hand")] == [
        "hand torque wrench, 210 N·m"
    ]
    assert not [item for item, *_ in late["Hand torque wrenches"] if item.startswith("HT-1")]


def test_hand_joints_need_a_range_and_sockets(plan, hand):
    found = rows(plan, hand("A"), hand("B", torque="210 N·m", **LARGE), hand("C", nut_series=None))

    assert found["Hand torque wrenches"] == [
        ("hand torque wrench, 84 N·m to 210 N·m final torque", None, "3 cards; range for every pass of them"),
        ("socket 24 mm across flats", 1, "1 card"), ("socket 36 mm across flats", 1, "1 card"),
        ("socket, size not stated", 1, "1 card"),
    ]  # fmt: skip
    assert "Wrenches" not in found


def test_a_break_row_needs_its_wrench_and_no_studs(plan, joint):
    found = rows(plan, joint("A", "break", **BROKEN))

    assert [item for item, *_ in found["Wrenches"]] == ["HW-3, low clearance, no. SN-3"]
    assert not {"Studs", "Nuts", "Gaskets", "Lubricant"} & set(found)


def test_sizes_are_never_rounded_and_stand_by_size(plan, joint):
    content = plan(joint("T0", thread="1 7/8-8 UN"), joint("T1", thread="7/8-9 UN", **SMALL))
    found = rows(lambda: content)

    assert [item for item, *_ in found["Backup wrenches"]] == [
        "backup wrench for 1-7/16 in across flats", "backup wrench for 2-15/16 in across flats",
    ]  # fmt: skip
    assert any("1-7/16 in across flats" in item for item, *_ in found["Nuts"])


def test_a_list_for_all_areas_and_one_for_each(plan, joint):
    listed = plan(joint("A"), joint("B", area_of_plant="Unit 3"), joint("C", area_of_plant=None),
                  joint("D", lubricant=None))  # fmt: skip
    found = list(sheets(listed, listed.joints))

    assert [name for name, *_ in found] == ["all areas", "Unit 2", "Unit 3", "area not stated"]
    assert [filling.values["cards"] for *_, filling in found] == [3, 1, 1, 1]
    assert [filling.values["left out"] for *_, filling in found] == [1, 1, 0, 0]


def test_one_area_has_one_list(plan, joint):
    listed = plan(joint("A"), joint("B"))

    assert [name for name, *_ in sheets(listed, listed.joints)] == ["Unit 2"]


def test_rows_that_are_not_planned_are_not_counted(plan, joint):
    listed = plan(joint("A"), joint("B", lubricant=None))
    filling = next(iter(sheets(listed, listed.joints)))[2]

    studs = [row["count"] for row in filling.groups["item"] if "A193" in str(row["item"])]
    assert studs == [24]


def test_studs_that_are_used_again_are_not_counted_as_new(plan, joint):
    """Of three joints of 24 studs one keeps its own; a remark that forbids it is none that says so."""
    found = rows(
        plan, joint("A"), joint("B", condition="re-used once"), joint("C", remarks="Do not use re-used studs"),
    )  # fmt: skip

    assert found["Studs"] == [
        ("1 1/2-8 UN, length not stated, A193 B7", 48, "2 joints"),
        ("1 1/2-8 UN, length not stated, A193 B7, re-used", None,
         "24 studs stay with 1 joint, as the list says: new ones only for those scrapped"),
    ]  # fmt: skip
    assert found["Nuts"][0][1] == 3 * 48


def test_washers_stand_as_the_list_states_them(plan, joint):
    found = rows(plan, joint("A", washers="hardened, under both nuts"), joint("B"), joint("C"))

    assert found["Washers"] == [
        ("hardened, under both nuts", None, "1 joint"), ("washers not stated in the list", None, "2 joints"),
    ]  # fmt: skip
