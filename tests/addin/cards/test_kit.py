"""The kit list: counts by hand from a few joints of an invented plant."""

import pytest

from addin.cards.kit import items, sheets

BREAKOUT = {
    "torque_stated": {"value": 1000.0, "unit": "lbf·ft"}, "factor": 1.5, "factor_from": "the list",
    "expected": {"value": 1500.0, "unit": "lbf·ft"}, "follows": "within the rating", "stud_note": "",
}  # fmt: skip


def rows(plan, *joints):
    found, kind = {}, None
    content = plan(*joints)
    for row in items(content.head, content.joints):
        kind = row["kind"] or kind
        found.setdefault(kind, []).append((row["item"], row["count"], row["for"]))
    return found


@pytest.fixture
def tapped(joint):
    return joint("V-9 bonnet", studs=8, backup_wrench="none: tapped holes")


def test_studs_nuts_and_gaskets(plan, joint, tapped):
    """Tag A has a test and a final make-up: its 24 studs once, its gaskets twice; tapped holes take one nut a stud."""
    found = rows(plan, joint("A", "test make-up"), joint("A"), joint("B", studs=16), tapped, joint("B", "retighten"))

    assert found["Studs"] == [("1 1/2-8 UN, length not stated, A193 B7", 24 + 16 + 8, "3 joints")]
    assert found["Nuts"] == [("1 1/2-8 UN, heavy hex, 2-3/8 in across flats", 2 * 24 + 2 * 16 + 8, "3 joints")]
    assert found["Gaskets"] == [("spiral wound, 316/graphite, size NPS 12, rating 300", 4, "4 make-ups")]
    assert found["Lubricant"] == [("Product L-20", None, "5 cards; quantity by the product's maker")]


def test_tools_stand_once_however_often_they_are_used(plan, joint, several):
    found = rows(plan, joint("A"), joint("B"), several())

    assert [(item, count) for item, count, _ in found["Wrenches"]] == [("HW-3, low clearance", 1), ("HW-4", 1)]
    assert found["Wrenches"][0][2] == "3 cards; C-1041, valid until 2027-01-10"
    assert found["Links and sockets"] == [("60 mm link, for HW-3", 1, "3 cards"), ("60 mm link, for HW-4", 1, "1 card")]
    assert found["Backup wrenches"] == [("backup wrench for 2-3/8 in across flats", 2, "3 cards")]
    assert [item for item, *_ in found["Gauges"]] == ["G-2", "G-3"]
    assert found["Pumps"] == [("P-1", 1, "for HW-3; rated 10000 psi"), ("pump not named in the wrench book", 1,
                              "for HW-4; rating not stated")]  # fmt: skip
    assert found["Hoses"] == [("hose not named in the wrench book", 2, "for HW-3, HW-4; rated 10000 psi")]


def test_hand_torque_wrenches_of_the_book_are_named_where_one_fits_every_pass(plan, hand):
    tool = {
        "kind": "hand torque wrench",
        "name": "HT-1",
        "serial_number": None,
        "from": {"value": 20.0, "unit": "N·m"},
        "to": {"value": 100.0, "unit": "N·m"},
        "certificate": "K-1",
        "calibrated": None,
        "valid_until": "2099-01-01",
    }
    joints = [hand("A"), hand("B", torque={"value": 210.0, "unit": "N·m"})]
    on_day = [{**joint, "date": "2026-05-01"} for joint in joints]
    found = rows(lambda *each: plan(*each, equipment=[tool]), *on_day)
    late = rows(lambda *each: plan(*each, equipment=[{**tool, "valid_until": "2026-04-30"}]), on_day[0])

    assert ("HT-1, 20 N·m to 100 N·m", 1, "1 card; K-1, valid until 2099-01-01") in found["Hand torque wrenches"]
    assert [item for item, *_ in found["Hand torque wrenches"] if item.startswith("hand")] == [
        "hand torque wrench, 210 N·m"
    ]
    assert not [item for item, *_ in late["Hand torque wrenches"] if item.startswith("HT-1")]


def test_hand_joints_need_a_range_and_sockets(plan, hand):
    found = rows(plan, hand("A"), hand("B", torque={"value": 210.0, "unit": "N·m"}), hand("C", across_flats=None))

    assert found["Hand torque wrenches"] == [
        ("hand torque wrench, 84 N·m to 210 N·m final torque", None, "3 cards; range for every pass of them"),
        ("socket 24 mm across flats", 1, "2 cards"), ("socket, size not stated", 1, "1 card"),
    ]  # fmt: skip
    assert "Wrenches" not in found


def test_a_break_row_needs_its_wrench_and_no_studs(plan, joint):
    opened = joint("A", "break") | {"wrenches": [], "passes": [], "target": None, "breakout": BREAKOUT}
    found = rows(plan, opened)

    assert [item for item, *_ in found["Wrenches"]] == ["HW-3, low clearance"]
    assert not {"Studs", "Nuts", "Gaskets", "Lubricant"} & set(found)


def test_sizes_are_never_rounded_and_stand_by_size(plan, joint):
    sizes = [joint(f"T{n}", across_flats={"value": value, "unit": unit}, backup_wrench=f"for {value:g} {unit}")
             for n, (value, unit) in enumerate(((1.4375, "in"), (24.0, "mm"), (2.9375, "in")))]  # fmt: skip
    found = rows(plan, *sizes)

    assert [item for item, *_ in found["Backup wrenches"]] == [
        "backup wrench for 24 mm", "backup wrench for 1.4375 in", "backup wrench for 2.9375 in",
    ]  # fmt: skip
    assert any("1-7/16 in across flats" in item for item, *_ in found["Nuts"])


def test_a_list_for_all_areas_and_one_for_each(plan, joint):
    listed = plan(joint("A"), joint("B", area_of_plant="Unit 3"), joint("C", area_of_plant=None),
                  joint("D", status="stopped", card=None))  # fmt: skip
    found = list(sheets(listed, listed.joints))

    assert [name for name, *_ in found] == ["all areas", "Unit 2", "Unit 3", "area not stated"]
    assert [filling.values["cards"] for *_, filling in found] == [3, 1, 1, 1]
    assert [filling.values["left out"] for *_, filling in found] == [1, 1, 0, 0]


def test_one_area_has_one_list(plan, joint):
    listed = plan(joint("A"), joint("B"))

    assert [name for name, *_ in sheets(listed, listed.joints)] == ["Unit 2"]


def test_rows_that_are_not_planned_are_not_counted(plan, joint):
    listed = plan(joint("A"), joint("B", status="stopped", card=None))
    filling = next(iter(sheets(listed, listed.joints)))[2]

    studs = [row["count"] for row in filling.groups["item"] if "A193" in str(row["item"])]
    assert studs == [24]
