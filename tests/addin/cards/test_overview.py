"""Summary and cautions: every row of a plan in a count or in a line, each caution with all its joints."""

import pytest
from small_plans import BROKEN, changed

from addin.cards.overview import cautions, counts, summary


@pytest.fixture
def mixed(plan, joint, hand):
    """Seven rows: two hydraulic, one by hand, one broken out, one break row without plan, one other, one stopped."""
    return plan(
        joint("A"), joint("B", area_of_plant="Unit 3"), hand("C"), joint("D", "break", **BROKEN),
        joint("D2", "break", **BROKEN | {"breakout_factor": None}),
        joint("E", method="tensioned", area_of_plant="Unit 3"), joint("F", lubricant=None),
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
    assert [(row["joint"], row["status"]) for row in filling.groups["left"]] == [
        ("F", "stopped"), ("D2", "break-out not planned"), ("E", "other method"),
    ]  # fmt: skip
    stop, breaking, other = (row["reason"] for row in filling.groups["left"])
    assert stop.startswith("preload cannot be turned into torque: state a nut factor")
    assert (breaking, other) == (
        "break-out not planned: break-out factor is needed (a factor for all rows: --breakout-factor FACTOR)",
        "method of the list: other",
    )  # fmt: skip
    assert filling.values["reconciles"] == "4 planned + 2 by other methods + 1 stopped = 7 rows"
    assert filling.values["shown"] == "all rows of the plan"


def test_wrenches_with_their_cards_highest_setpoint_and_alternates(plan, joint):
    listed = plan(joint("A"), joint("B", stress="52000 psi"), also=("HW-4", "HW-5"))
    changed(listed, 0, alternates=tuple(each for each in listed.joints[0].alternates if each.wrench == "HW-4"))
    changed(listed, 1, alternates=())
    ((_, _, filling),) = summary(listed, listed.joints)

    first, second = filling.groups["wrench"]
    # 52,000 psi: 1405.3 x 52/50 = 1461.5 lbf·ft, met at (1461.5 + 20) / 0.351 = 4221 psi, on marks of 50 at 4200
    assert (first["name"], first["cards"], first["studs"], first["highest"]) == ("HW-3", 2, 48, "4200 psi")
    assert (second["name"], second["cards"], second["alternate"], second["highest"]) == ("HW-4", 0, 1, None)


def test_only_some_rows_are_said_to_be_only_some(mixed):
    ((_, _, filling),) = summary(mixed, mixed.joints[:2])

    assert filling.values["shown"] == "2 of 7 rows, those asked for"


def test_each_caution_once_with_its_joints(plan, joint):
    listed = plan(joint("A", condition="re-used"), joint("B", condition="re-used"), joint("C", operation="retighten"),
                  joint("S", lubricant=None))  # fmt: skip
    changed(listed, 0, findings=listed.joints[0].findings * 2)
    ((_, _, filling),) = cautions(listed, listed.joints)

    found = [(row["text"][:14], row["count"], row["joints"]) for row in filling.groups["caution"]]
    assert found == [
        ("re-used studs:", 2, "A final make-up, B final make-up"), ("retightening o", 1, "C retighten"),
    ]  # fmt: skip
    assert "Zero energy proven" in filling.values["cautions break"]
    assert "Pressure off before anything is connected" in filling.values["cautions hydraulic"]


def test_the_highest_pressure_of_a_wrench_takes_in_what_it_breaks_out_with(plan, joint):
    listed = plan(joint("A"), joint("B", "break", **BROKEN))
    ((_, _, filling),) = summary(listed, listed.joints)

    highest = listed.joints[1].breakout.highest_pressure
    assert highest.value > 4050  # the setpoint of the make-up
    assert filling.groups["wrench"][0]["highest"] == f"{highest.value:.0f} psi"
