"""Summary and cautions: every row of a plan in a count or in a line, each caution with all its joints."""

import msgspec
import pytest

from addin.cards.overview import cautions, counts, summary
from addin.plan.record import WrenchEntry


def stopped(joint, tag, text="no friction stated"):
    return joint(tag, status="stopped", card=None, findings=[{"level": "stop", "code": "x", "text": text}])


@pytest.fixture
def mixed(plan, joint, hand):
    """Seven rows: two hydraulic, one by hand, one broken out, one break row without plan, one other, one stopped."""
    return plan(
        joint("A"), joint("B", area_of_plant="Unit 3"), hand("C"), joint("D", "break"),
        joint("D2", "break", status="other method", card=None,
              findings=[{"level": "caution", "code": "breakout_needs", "text": "break-out needs the factor"}]),
        joint("E", method="other", status="other method", card=None, area_of_plant="Unit 3"), stopped(joint, "F"),
    )  # fmt: skip


def test_counts_reconcile(mixed):
    found = counts(mixed.joints)

    assert found == {"rows": 7, "planned": 4, "hydraulic": 2, "hand": 1, "break-out": 1, "other": 2, "stopped": 1,
                     "studs": 24 + 24 + 8 + 24}  # fmt: skip
    assert found["rows"] == found["planned"] + found["other"] + found["stopped"]
    assert found["planned"] == found["hydraulic"] + found["hand"] + found["break-out"]


def test_areas_add_up_and_every_row_that_is_not_planned_has_its_reason(mixed):
    ((_, _, filling),) = summary(mixed, mixed.joints)

    assert [row["name"] for row in filling.groups["area"]] == ["Unit 2", "Unit 3"]
    for name in ("rows", "planned", "hydraulic", "hand", "break-out", "other", "stopped", "studs"):
        assert sum(row[name] for row in filling.groups["area"]) == filling.values[name], name
    assert [(row["joint"], row["status"], row["reason"]) for row in filling.groups["left"]] == [
        ("F", "stopped", "no friction stated"), ("D2", "break-out not planned", "break-out needs the factor"),
        ("E", "other method", "method of the list: other"),
    ]  # fmt: skip
    assert filling.values["reconciles"] == "4 planned + 2 by other methods + 1 stopped = 7 rows"
    assert filling.values["shown"] == "all rows of the plan"


def test_wrenches_with_their_cards_highest_setpoint_and_alternates(plan, joint):
    other = {"wrench": "HW-4", "link": "60 mm link", "gauge": "G-2", "setpoint": None, "passes": []}
    high = joint("B")
    high["wrenches"][0]["setpoint"] = {"value": 6250.5, "unit": "psi"}
    listed = plan(joint("A", alternates=[other]), high)
    more = tuple(WrenchEntry(name=name, sheet=name) for name in ("HW-4", "HW-5"))
    listed.head = msgspec.structs.replace(listed.head, wrenches=(*listed.head.wrenches, *more))
    ((_, _, filling),) = summary(listed, listed.joints)

    first, second = filling.groups["wrench"]
    assert (first["name"], first["cards"], first["studs"], first["highest"]) == ("HW-3", 2, 48, "6250.5 psi")
    assert (second["name"], second["cards"], second["alternate"], second["highest"]) == ("HW-4", 0, 1, None)


def test_only_some_rows_are_said_to_be_only_some(mixed):
    ((_, _, filling),) = summary(mixed, mixed.joints[:2])

    assert filling.values["shown"] == "2 of 7 rows, those asked for"


def test_each_caution_once_with_its_joints(plan, joint):
    said = [{"level": "caution", "code": "a", "text": "re-used studs"}]
    listed = plan(joint("A", findings=said * 2), joint("B", findings=said),
                  joint("C", findings=[{"level": "caution", "code": "b", "text": "certificate ends soon"}]),
                  stopped(joint, "S"))  # fmt: skip
    ((_, _, filling),) = cautions(listed, listed.joints)

    assert filling.groups["caution"] == [
        {"text": "re-used studs", "count": 2, "joints": "A final make-up, B final make-up"},
        {"text": "certificate ends soon", "count": 1, "joints": "C final make-up"},
    ]
    assert "Zero energy proven" in filling.values["cautions break"]
    assert "Pressure off before anything is connected" in filling.values["cautions hydraulic"]
