"""The number of a card: another one for everything a crew sets, fits, applies, checks, waits for or is warned of, and
for nothing else. What counts is as the planners of the invented plant agreed it: a judgement, no source."""

import hashlib
from typing import Any

import msgspec
import pytest

from addin.plan.card_number import card_number, certificates, instructions, parts
from addin.plan.entries import Amount
from addin.plan.file import Plan
from addin.plan.record import (
    EquipmentEntry,
    GaugeEntry,
    LinkEntry,
    PlanHead,
    PointEntry,
    SettingsEntry,
    StageEntry,
    TotalsEntry,
    WrenchEntry,
)
from addin.plan.record_joint import (
    BreakoutEntry,
    FindingEntry,
    FrictionEntry,
    JointEntry,
    LimitEntry,
    OpeningEntry,
    PassEntry,
    RaisedEntry,
    RangeEntry,
    SettingEntry,
    TargetEntry,
    TimeEntry,
    ToolEntry,
)
from addin.plan.since import Since, supplement

replace = msgspec.structs.replace


def psi(value: float) -> Amount:
    return Amount(value, "psi")


def nm(value: float) -> Amount:
    return Amount(value, "N·m")


TOOL = ToolEntry(
    wrench="HW-1", link="link 50", gauge="G-1", pump="P-1", setpoint=psi(5200), torque_at_setpoint=nm(2550),
    passes=(SettingEntry(pressure=psi(1560), torque_at_pressure=nm(760)),),
)  # fmt: skip
OTHER = replace(TOOL, wrench="HW-2", setpoint=psi(4100))
LINK = LinkEntry(name="link 50", factor=1.02, torque_limit=nm(4000))
WRENCH = WrenchEntry(
    name="HW-1", sheet="HW-1", serial_number="1001", certificate="C-1", calibrated="2026-01-01",
    valid_until="2026-12-31", rated_pressure=psi(10000), hose="H-1", hose_rated_pressure=psi(10000), pump="P-1",
    pump_rated_pressure=psi(10000), rated_torque=nm(6000), uncertainty=0.02, links=(LINK,),
    table=(PointEntry(pressure=psi(1000), torque=nm(500)), PointEntry(pressure=psi(9000), torque=nm(4500))),
)  # fmt: skip
GAUGE = GaugeEntry(
    name="G-1", range=psi(10000), graduation=psi(100), gauge_class="1", certificate="GC-1", valid_until="2026-12-31"
)
FRICTION = FrictionEntry(kind="nut factor", nut_factor=0.16, lubricant="L-20", source="maker's sheet, 2024")
WARNED = FindingEntry(level="caution", code="gauge_class", text="the class", place="A7", facts={"share": 0.1})
JOINT = JointEntry(
    row=7, joint="E-1 channel", operation="final make-up", method="hydraulic", status="planned",
    area_of_plant="Unit 2", equipment="E-1", line="12-P-1", size="NPS 12", rating="300", gasket="spiral wound",
    remarks="scaffold needed", turned_side="north", stud_1="12 o'clock", witness="3", hold_point="1", crew="A",
    shift="day", sequence="4", work_order="WO-1", date="2026-05-01", thread="1 1/2-8 UN", grade="A193 B7", studs=24,
    length="230 mm", target=TargetEntry(basis="stress", kind="stress", stated=Amount(345, "MPa"), friction=FRICTION),
    preload=Amount(310, "kN"), limits=(LimitEntry(name="stud ceiling", value=Amount(500, "MPa"), reached=psi(4e4)),),
    torque=nm(2546), wrenches=(TOOL,), alternates=(OTHER,), across_flats=Amount(60.3, "mm"), nut_series="heavy hex",
    backup_wrench="for 60.3 mm across flats", passes=(PassEntry(torque=nm(764)),), findings=(WARNED,),
    range=RangeEntry(low=Amount(250, "kN"), high=Amount(370, "kN")), duration=TimeEntry(value=90.0),
)  # fmt: skip
BROKEN = replace(
    JOINT, operation="break", wrenches=(), alternates=(), torque=None, target=None, passes=(), limits=(), preload=None,
    breakout=BreakoutEntry(
        tool=TOOL, torque_stated=nm(2546), factor=1.5, factor_from="the list", expected=nm(3800), follows="within",
        stud_note="", highest_pressure=psi(9000), stages=(OpeningEntry(stage=1, pressure=psi(4000)),),
    ),
)  # fmt: skip
HEAD = PlanHead(
    checksum="", version=2, program="one", list_file="list.xlsx", sheet="Joints", heading_row=1, inputs={},
    date="2026-05-01",
    settings=SettingsEntry(
        scheme="30/100", at_once=1, rounding="nearest", tolerance_percent=3, yield_percent=90, reserve_percent=10,
        friction_form="", torsion="",
    ),
    wrenches=(WRENCH, replace(WRENCH, name="HW-2", serial_number="1002"), replace(WRENCH, name="HW-9")),
    gauges=(GAUGE, replace(GAUGE, name="G-9")),
    stages=(
        StageEntry(number=0, pattern="snug"), StageEntry(number=1, percent=30.0, pattern="cross"),
        StageEntry(number=2, percent=100.0, pattern="circular check after a wait", wait_hours=4),
    ),
    orders={"24/1": tuple((stud,) for stud in range(1, 25)), "24/2": ((1, 13),), "20/1": ((1,),)},
    totals=TotalsEntry(
        rows=1, planned=1, hydraulic=1, hand=0, other_method=0, stopped=0, breakout_not_planned=0
    ),
)  # fmt: skip
HAND = replace(JOINT, method="hand", wrenches=(), alternates=(), backup_wrench=None)


def tool(**changes: Any) -> JointEntry:
    return replace(JOINT, wrenches=(replace(TOOL, **changes),))


def friction(**changes: Any) -> JointEntry:
    assert JOINT.target is not None
    return replace(JOINT, target=replace(JOINT.target, friction=replace(FRICTION, **changes)))


def instead(**changes: Any) -> JointEntry:
    return replace(JOINT, alternates=(replace(OTHER, **changes),))


def block(**changes: Any) -> JointEntry:
    assert BROKEN.breakout is not None
    return replace(BROKEN, breakout=replace(BROKEN.breakout, **changes))


def book(**changes: Any) -> PlanHead:
    return replace(HEAD, wrenches=(replace(WRENCH, **changes), *HEAD.wrenches[1:]))


def gauge(**changes: Any) -> PlanHead:
    return replace(HEAD, gauges=(replace(GAUGE, **changes), *HEAD.gauges[1:]))


def stages(at: int, **changes: Any) -> PlanHead:
    each = list(HEAD.stages)
    each[at] = replace(each[at], **changes)
    return replace(HEAD, stages=tuple(each))


COUNTS: dict[str, JointEntry | PlanHead] = {
    "wrench": tool(wrench="HW-2"), "link": tool(link="link 60"), "gauge": tool(gauge="G-9"), "pump": tool(pump="P-2"),
    "pressure": tool(setpoint=psi(5300)), "torque at it": tool(torque_at_setpoint=nm(2600)),
    "pressure of a pass": tool(passes=(SettingEntry(pressure=psi(1600)),)),
    "a second wrench": replace(JOINT, wrenches=(TOOL, OTHER), at_once=2), "torque": replace(JOINT, torque=nm(2600)),
    "torque of a pass": replace(JOINT, passes=(PassEntry(torque=nm(800)),)),
    "per cent of a pass": stages(1, percent=40.0), "pattern": stages(1, pattern="circular"),
    "wait": stages(2, wait_hours=24), "order": replace(HEAD, orders={**HEAD.orders, "24/1": ((2,), (1,))}),
    "an order of its own": replace(JOINT, own_order=tuple((stud,) for stud in range(24, 0, -1))),
    "limit": replace(JOINT, limits=(replace(JOINT.limits[0], value=Amount(450, "MPa")),)),
    "reached": replace(JOINT, limits=(replace(JOINT.limits[0], reached=psi(5e4)),)),
    "stud count": replace(JOINT, studs=20), "thread": replace(JOINT, thread="1 5/8-8 UN"),
    "grade": replace(JOINT, grade="A193 B16"), "length": replace(JOINT, length="240 mm"),
    "across flats": replace(JOINT, across_flats=Amount(65.0, "mm")), "series": replace(JOINT, nut_series="hex"),
    "backup wrench": replace(JOINT, backup_wrench="none: tapped holes"), "gasket": replace(JOINT, gasket="ring joint"),
    "size": replace(JOINT, size="NPS 14"), "rating": replace(JOINT, rating="600"),
    "equipment": replace(JOINT, equipment="E-2"), "line": replace(JOINT, line="14-P-1"),
    "tag": replace(JOINT, joint="E-2 channel"), "operation": replace(JOINT, operation="test make-up"),
    "nut factor": friction(nut_factor=0.17), "lubricant": friction(lubricant="L-30"),
    "alternate's wrench": instead(wrench="HW-9"), "alternate's pressure": instead(setpoint=psi(4000)),
    "washers": replace(JOINT, listed={"washers": "hardened"}),
    "condition of the studs": replace(JOINT, listed={"stud_condition": "re-used"}),
    "no alternate": replace(JOINT, alternates=()), "witness": replace(JOINT, witness="all"),
    "hold point": replace(JOINT, hold_point="2"), "turned side": replace(JOINT, turned_side="south"),
    "stud 1": replace(JOINT, stud_1="3 o'clock"), "instruction": replace(JOINT, remarks="check the groove first"),
    "another instruction beside it": replace(JOINT, remarks="scaffold needed; wait for the welder"),
    "caution": replace(JOINT, findings=()),
    "figure of a caution": replace(JOINT, findings=(replace(WARNED, facts={"share": 0.2}),)),
    "table": book(table=(WRENCH.table[0], replace(WRENCH.table[1], torque=nm(4510)))),
    "factor of the link": book(links=(replace(LINK, factor=1.03),)),
    "torque limit of the link": book(links=(replace(LINK, torque_limit=nm(3900)),)),
    "rating of the wrench": book(rated_pressure=psi(9500)), "rating of the hose": book(hose_rated_pressure=psi(9500)),
    "rating of the pump": book(pump_rated_pressure=psi(9500)), "hose": book(hose="H-2"),
    "another wrench of that name": book(serial_number="2002"), "rated torque": book(rated_torque=nm(5900)),
    "graduation of the gauge": gauge(graduation=psi(200)), "end of the gauge": gauge(range=psi(15000)),
}  # fmt: skip

COUNTS_NOT: dict[str, JointEntry | PlanHead] = {
    "row": replace(JOINT, row=90), "day": replace(JOINT, date="2026-05-02"), "its own day": replace(HEAD, date=None),
    "crew": replace(JOINT, crew="B"), "shift": replace(JOINT, shift="night"), "sequence": replace(JOINT, sequence="9"),
    "work order": replace(JOINT, work_order="WO-2"), "to print": replace(JOINT, print_it=True),
    "carried column": replace(JOINT, carried={"Work order": "WO-9"}),
    "area": replace(JOINT, area_of_plant="Unit 3"), "other remarks": replace(JOINT, remarks="crane ordered"),
    "no remarks": replace(JOINT, remarks=None), "range": replace(JOINT, range=None),
    "time": replace(JOINT, duration=TimeEntry(value=120.0)), "issue": replace(JOINT, issue=4, replaces="AAAA-0000"),
    "source of the friction": friction(source="maker's sheet, 2026"),
    "where a caution stands": replace(JOINT, findings=(replace(WARNED, place="A90", text="said in other words"),)),
    "a caution with other rows": replace(JOINT, findings=(replace(WARNED, facts={"share": 0.1, "rows": "8"}),)),
    "note of a limit": replace(JOINT, limits=(replace(JOINT.limits[0], note="high side not checked"),)),
    "certificate": book(certificate="C-2"), "its days": book(calibrated="2026-02-01", valid_until="2027-02-01"),
    "uncertainty": book(uncertainty=0.03), "certificate of the gauge": gauge(certificate="GC-2"),
    "class of the gauge": gauge(gauge_class="0.6"),
    "a wrench that it does not use": replace(HEAD, wrenches=HEAD.wrenches[:2]),
    "a link that it does not use": book(links=(LINK, replace(LINK, name="link 75"))),
    "scatter": replace(HEAD, settings=replace(HEAD.settings, scatter_method="torque, lubricated")),
    "name of the scheme": replace(HEAD, settings=replace(HEAD.settings, scheme="two steps")),
    "version of the program": replace(HEAD, program="two"), "file": replace(HEAD, list_file="list 2.xlsx"),
    "equipment of the book": replace(HEAD, equipment=(EquipmentEntry(kind="reaction arm", name="RA-1"),)),
}  # fmt: skip


def number(changed: JointEntry | PlanHead) -> str:
    return card_number(JOINT, changed) if isinstance(changed, PlanHead) else card_number(changed, HEAD)


@pytest.mark.parametrize("what", COUNTS)
def test_what_a_crew_sets_fits_applies_checks_waits_for_or_is_warned_of_makes_a_new_number(what: str) -> None:
    assert number(COUNTS[what]) != card_number(JOINT, HEAD)


def test_joints_of_one_plan_have_the_numbers_they_have_alone() -> None:
    """What the head says for several joints is made once; a joint that uses another part of it has its own."""
    head = book(links=(LINK, replace(LINK, name="link 75", factor=1.1)))
    joints = [JOINT, tool(link="link 75"), tool(gauge="G-9"), tool(wrench="HW-9"), replace(JOINT, studs=20)]
    joints += [replace(JOINT, at_once=2), instead(wrench="HW-9"), BROKEN, HAND]
    alone = [card_number(joint, replace(head)) for joint in joints]

    assert [card_number(joint, head) for joint in joints] == alone
    assert [card_number(joint, head) for joint in reversed(joints)] == alone[::-1]
    assert len(set(alone)) == len(joints)


def test_a_number_is_made_from_its_parts_and_nothing_else() -> None:
    """Whatever was made for other joints of the plan before."""
    joints = [each for each in (*COUNTS.values(), *COUNTS_NOT.values(), BROKEN, HAND) if isinstance(each, JointEntry)]
    joints += [replace(HAND, date="2026-05-02"), replace(JOINT, raised=RaisedEntry(factor=1.1, reason="said"))]
    for each in (*joints, *reversed(joints)):
        digest = hashlib.sha256(msgspec.json.encode(parts(each, HEAD))).hexdigest()
        assert card_number(each, HEAD) == f"{digest[:4]}-{digest[4:8]}".upper(), each


@pytest.mark.parametrize("what", COUNTS_NOT)
def test_what_changes_nothing_for_the_crew_keeps_the_number(what: str) -> None:
    assert number(COUNTS_NOT[what]) == card_number(JOINT, HEAD)


@pytest.mark.parametrize(
    ("changed", "same"),
    [
        (block(highest_pressure=psi(8800)), False), (block(expected=nm(3900)), False),
        (block(stages=(OpeningEntry(stage=1, pressure=psi(4200)),)), False), (block(by_stud=True), False),
        (block(tool=OTHER), False), (block(factor_from="the command line"), True), (replace(BROKEN, crew="B"), True),
    ],
)  # fmt: skip
def test_a_break_out_card(changed: JointEntry, *, same: bool) -> None:
    assert (card_number(changed, HEAD) == card_number(BROKEN, HEAD)) is same


def test_a_hand_torque_counts() -> None:
    assert card_number(replace(HAND, torque=nm(300)), HEAD) != card_number(HAND, HEAD)
    assert card_number(replace(HAND, duration=None), HEAD) == card_number(HAND, HEAD)


def test_the_cautions_and_stop_lines_of_the_card_count(monkeypatch: pytest.MonkeyPatch) -> None:
    before = card_number(JOINT, HEAD)
    monkeypatch.setattr("addin.plan.card_number.stops_of", lambda joint: ("anything smells",))
    assert card_number(JOINT, HEAD) != before


def since(changed: JointEntry | PlanHead) -> Any:
    joint, head = (JOINT, changed) if isinstance(changed, PlanHead) else (changed, HEAD)
    before = replace(JOINT, card=card_number(JOINT, HEAD), issue=3)
    compared = Since(Plan(HEAD, [before], "old.json"), head)
    after = compared.add(replace(joint, card=card_number(joint, head)))
    return compared.result(), before, after


@pytest.mark.parametrize(
    ("what", "why"),
    [("pressure", "pressure to set"), ("table", "table, factors or ratings of HW-1"), ("caution", "cautions"),
     ("lubricant", "lubricant"), ("wait", "passes"), ("end of the gauge", "scale of gauge G-1")],
)  # fmt: skip
def test_the_reason_is_the_true_one(what: str, why: str) -> None:
    found, before, after = since(COUNTS[what])
    (entry,) = found.issue
    assert why in [change.what for change in entry.changes]
    assert (after.issue, after.replaces, entry.issue, entry.replaces) == (4, before.card, 4, before.card)
    assert not any("version" in change.what for change in entry.changes)


def test_a_new_certificate_alone_is_a_line_that_names_it() -> None:
    found, before, after = since(book(certificate="C-2", valid_until="2027-02-01"))
    assert (found.issue, found.withdraw) == ((), ())
    assert (after.card, after.issue) == (before.card, 3)
    assert [supplement(entry) for entry in found.supplements] == [
        f"card {before.card} holds (E-1 channel final make-up): certificate of wrench HW-1 C-1, valid until 2026-12-31"
        " -> C-2, valid until 2027-02-01; same table, factors and ratings"
    ]
    assert set(certificates(JOINT, HEAD)) == {"wrench HW-1", "gauge G-1"}


@pytest.mark.parametrize(
    ("remarks", "told"),
    [
        ("Scaffold needed", None), ("crew B, night shift", None), ("photo 12", None), (None, None), ("", None),
        ("scaffold needed before tightening", "scaffold needed before tightening"), ("new gasket", "new gasket"),
        ("priority 2; 500 N·m only", "500 N·m only"), ("mind the dog", "mind the dog"),
        ("Access by ladder. Do not use the north side", "Do not use the north side"),
    ],
)  # fmt: skip
def test_what_remarks_tell_the_crew(remarks: str | None, told: str | None) -> None:
    assert instructions(remarks) == told
