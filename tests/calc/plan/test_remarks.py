"""Remarks against their row: whole sentences, and remarks of every day that stay silent. Common practice, no source."""

from typing import Any

import pytest

from addin.cells.words import line
from calc.plan.joints import Lubricant, PlanSettings, joints
from calc.plan.plan import plan_joints
from calc.units import system
from tests.calc.plan.test_breakout import BOOK, GAUGES, MAKE, plan

NAN = float("nan")
HOLDS = "which one applies?"
PRODUCTS = [Lubricant(name, k, NAN, NAN, NAN, NAN, "site") for name, k in (("L-41", 0.16), ("L-51", 0.18))]  # fmt: skip


def said(remark: str, **more: Any) -> list[str]:
    return [line(f, system("US")) for f in plan({**MAKE, "remarks": remark, **more}).findings]


@pytest.mark.parametrize(
    ("remark", "named", "own"),
    [
        ("1,100 ft-lb per engineer", "a torque of 1100 lbf·ft", "1400 lbf·ft"),
        ("480 Nm, see mail", "a torque of 354.03 lbf·ft", "1400 lbf·ft"),
        ("studs changed to B8M cl. 2", "grade B8M", "A193 B7"),
        ("fitted with 10.9", "grade 10.9", "A193 B7"),
        ("studs are M52 since last outage", "a stud size of 'M52'", "1 1/2-8 UN"),
        ("flange bored to 1 1/4 studs", "a stud size of '1 1/4 studs'", "1 1/2-8 UN"),
        ("Bolzen auf M36 geändert", "a stud size of 'M36'", "1 1/2-8 UN"),
        ("goujons M36 depuis 2024", "a stud size of 'M36'", "1 1/2-8 UN"),
        ("use HW-3", "wrench HW-3", "HW-2"),
    ],
)  # fmt: skip
def test_what_disagrees_is_a_caution_that_names_both(remark: str, named: str, own: str) -> None:
    assert said(remark) == [f"the remarks name {named}, but the row is planned with {own}: {HOLDS}"]
    assert plan({**MAKE, "remarks": remark}).status == ("planned",)


@pytest.mark.parametrize(
    ("remark", "words"),
    [
        ("Drehmoment um 10 % verringern, falls alte Bolzen", "10 % verringern"),
        ("reduce by 10% for old studs", "reduce by 10%"),
        ("couple -15 %", "couple -15 %"),
        ("tighten to 10 % less", "10 % less"),
    ],
)
def test_a_share_by_which_the_torque_is_to_be_changed(remark: str, words: str) -> None:
    assert said(remark) == [
        f"the remarks say '{words}', but the row is planned with 1400 lbf·ft as it stands: which one applies?"
    ]


@pytest.mark.parametrize("remark", ["30 % / 60 % / 100 %", "50 % coverage", "check 10 % of the studs", "humidity 80 %"])
def test_other_shares_change_no_torque(remark: str) -> None:
    assert said(remark) == []


@pytest.mark.parametrize("remark", ["2 wrenches", "two hydraulic wrenches", "4 wrenches", "wrenches together: two"])
def test_a_number_of_wrenches_that_is_not_planned(remark: str) -> None:
    assert said(f"use {remark}") == [
        f"the remarks speak of '{remark}', but the row is planned for 1 at a time: which one applies?"
    ]


@pytest.mark.parametrize(
    ("remark", "words"),
    [("live line", "live"), ("Linie 3 bleibt in Betrieb", "bleibt in Betrieb"),
     ("reste en service", "reste en service"), ("queda en servicio", "queda en servicio"),
     ("noch unter Druck", "unter Druck"), ("weiterhin in Betrieb", "weiterhin in Betrieb"),
     ("restent en marche", "restent en marche"), ("sigue en marcha", "sigue en marcha"),
     ("continúa en operación", "continúa en operación"), ("permanece en servicio", "permanece en servicio"),
     ("fica em serviço", "fica em serviço"), ("bajo presión", "bajo presión"),
     ("rimane in esercizio", "rimane in esercizio"), ("resta in marcia", "resta in marcia"),
     ("blijft in bedrijf", "blijft in bedrijf"), ("forblir i drift", "forblir i drift"),
     ("förblir i drift", "förblir i drift"), ("er fortsatt i drift", "er fortsatt i drift"),
     ("linia pod ciśnieniem", "pod ciśnieniem"), ("pod tlakem", "pod tlakem"),
     ("one stud at a time", "one stud at a time"), ("was leaking in May", "leaking"),
     ("back on-stream 3 Nov", "on-stream"), ("online leak repair", "online leak"),
     ("pressurised line", "pressurised line"),
     ("with the line pressurized", "line pressurized"), ("unit stays in operation", "stays in operation"),
     ("stud by stud exchange", "stud by stud"), ("studs changed one by one", "one by one")],
)  # fmt: skip
def test_words_that_may_mean_a_line_in_service_wait_for_a_name_and_a_date(remark: str, words: str) -> None:
    waits = plan({**MAKE, "remarks": remark})
    assert waits.status == ("stopped",)
    assert line(waits.findings[0], system("US")) == (
        f"the remarks say '{words}': the row waits; if the line will be free of pressure, write in the remarks 'line "
        "will be free of pressure: NAME, 2026-03-14', otherwise no work here"
    )
    stated = plan({**MAKE, "remarks": f"{remark}; line will be free of pressure: A. Weir, 2026-03-10"})
    assert stated.status == ("planned",)
    assert [line(f, system("US")) for f in stated.findings] == [
        f"the remarks say '{words}'; A. Weir, 2026-03-10 states that the line will be free of pressure: prove it "
        "before work"
    ]


@pytest.mark.parametrize("remark", ["hot torque", "Hot re-torque at 200 C", "hot retightening"])
def test_hot_torque_is_asked_and_hot_in_a_service_is_nothing(remark: str) -> None:
    assert "its operation is retighten" in said(remark)[0]
    assert plan({**MAKE, "remarks": remark}).status == ("stopped",)
    assert said("hot oil line, hot header") == []


def test_hot_studs_need_yield_and_friction_at_their_temperature() -> None:
    """60 °C; 50 °C is not above the limit."""
    hot = {**MAKE, "stud_temperature": 333.15}
    assert line(plan(hot).findings[0], system("SI")) == (
        "stud temperature 60 °C is above 50 °C (120 °F): yield and friction at that temperature are needed, each with "
        "its source; missing: yield strength, yield source and friction source"
    )
    assert plan(hot).status == ("stopped",)
    assert plan({**MAKE, "stud_temperature": 50 + 273.15 + 1e-9}).findings == ()  # the noise of a conversion
    stated = {"yield_strength": 700e6, "yield_source": "mill test 17", "nut_factor": 0.16, "friction_source": "rig 4"}
    found = plan({**hot, **stated})
    assert found.status == ("planned",)
    assert line(found.findings[-1], system("SI")) == (
        "stud temperature 60 °C: yield and friction stated for it (mill test 17 and rig 4). Burns: gloves and shields; "
        "hoses, seals and oil of the wrench only within their temperature limits"
    )


@pytest.mark.parametrize("remark", ["hot bolting, line stays in use", "live bolting", "to be tightened under pressure",
                                    "done on-stream", "online bolting", "bolted up under full pressure",
                                    "in-service tightening", "retorque with line pressurised"])  # fmt: skip
def test_work_on_a_line_in_service_stops(remark: str) -> None:
    found = plan({**MAKE, "remarks": remark})

    assert found.status == ("stopped",)
    assert line(found.findings[0], system("US")).endswith(
        "': nothing is planned on a line under pressure here; the responsible engineer decides, and the remark goes "
        "when the line is free of pressure"
    )


@pytest.mark.parametrize(
    "remark",
    ["no hot bolting", "hot bolting NOT allowed", "live steam", "not under pressure", "nicht unter Druck",
     "sin bajo presión",
     "1400 ft-lb", "1,400 ft-lbs as last time", "1898 Nm",
     "ASME B16.5 flange, new studs", "B7 studs", "8 studs renewed", "1-1/2 studs", "use HW-2", "hydrotest 450 psi",
     "insulation to be removed", "bay B16", "pressure test 15000 psi", "scaffold needed",
     "item out of service", "service water line", "valve in operation", "online monitoring tag", "no 2 wrenches",
     "1 wrench"],
)  # fmt: skip
def test_remarks_of_every_day_say_nothing(remark: str) -> None:
    assert said(remark) == []


def test_a_stress_is_compared_on_the_area_of_the_row() -> None:
    row = {**{k: v for k, v in MAKE.items() if k != "torque"}, "stress": 45000 * 6894.757293168361, "area": "tensile"}

    assert [line(f, system("US")) for f in plan({**row, "remarks": "stress reduced to 35 ksi"}).findings] == [
        f"the remarks name a stress of 35000 psi, but the row is planned with 45000 psi: {HOLDS}"
    ]
    assert plan({**row, "remarks": "45 ksi as agreed"}).findings == ()


@pytest.mark.parametrize(("remark", "silent"), [("use L-51 on this joint", False), ("use L-99", False), ("L-41", True)])
def test_another_product_is_named(remark: str, silent: bool) -> None:
    row = {k: v for k, v in MAKE.items() if k != "nut_factor"} | {"lubricant": "L-41", "remarks": remark}
    found = plan_joints(joints(1, **{k: [v] for k, v in row.items()}), BOOK, GAUGES, PRODUCTS, PlanSettings())
    name = remark.split()[1] if not silent else ""

    assert [line(f, system("US")) for f in found.findings] == (
        [] if silent else [f"the remarks name {name}, but the row is planned with L-41: {HOLDS}"]
    )
