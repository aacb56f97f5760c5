"""Nuts beside their studs, and studs with a reduced shank, as a plan judges them."""

import math
from typing import Any

import pytest

from addin.cells.words import line
from calc.hardware.threads import parse, root_diameter
from calc.plan.joints import PlanSettings, joints
from calc.plan.plan import plan_joints
from calc.plan.plans import Plans
from calc.units import system


def planned(**columns: Any) -> Plans:
    count = max([1, *map(len, columns.values())])
    given: dict[str, Any] = {
        "joint": [f"E-{k}" for k in range(count)], "operation": ["final make-up"] * count, "method": ["hand"] * count,
        "thread": ["M36x4"] * count, "studs": [8.0] * count, "grade": ["A193M B7"] * count,
        "across_flats": [0.06] * count, "nut_factor": [0.15] * count, "load": [100e3] * count,
    }  # fmt: skip
    return plan_joints(joints(count, **given | columns), [], {}, [], PlanSettings())


def said(plans: Plans, row: int = 0) -> list[str]:
    return [line(f, system("SI")) for f in plans.findings if f.row == row]


def test_a_weaker_nut_an_unusual_one_and_none() -> None:
    plans = planned(nut_grade=["A194 2H", "A194 2HM", "A194 7", "", "2X"])

    assert plans.nut_grade == ("A194 2H", "A194 2HM", "A194 7", "", "")
    assert not [text for text in said(plans) if "nut " in text]
    assert any("nut A194 2HM is weaker than A194 2H, usual on A193M B7 (A193/A194 usual pairing, from memory)" in text
               for text in said(plans, 1))  # fmt: skip
    assert any("nut A194 7 is not the usual one on A193M B7" in text for text in said(plans, 2))
    assert any("nut grade not stated" in text for text in said(plans, 3))
    assert any("nut grade '2X' is not known" in text for text in said(plans, 4))
    assert set(plans.status) == {"planned"}


def test_a_list_that_states_no_nut_has_no_caution_on_every_row() -> None:
    assert not [text for text in said(planned()) if "nut grade" in text]


def test_a_reduced_shank_by_hand() -> None:
    """0.9 d3 on M36x4: 75 % of the tensile area; σ = F/A0 and τ = 16 T/(π d0³) with the shank's diameter."""
    shank = 0.9 * root_diameter(parse("M36x4"))
    plain, waisted = planned(), planned(shank_diameter=[shank])
    sigma = 100e3 / (math.pi / 4 * shank**2)
    twist = float(plain.combined_stress[0]) ** 2 - (100e3 / 816.7e-6) ** 2  # 3 τ² on the stress diameter of 32.247 mm
    tau = math.sqrt(twist / 3) * (32.2472e-3 / shank) ** 3

    assert float(waisted.combined_stress[0]) == pytest.approx(math.sqrt(sigma**2 + 3 * tau**2), rel=2e-3)
    assert any("reduced shank of 27.9833 mm: yield, torsion and break-out stand on its section, 75.3 % of the tensile"
               in text for text in said(waisted))  # fmt: skip
    assert not [text for text in said(plain) if "shank" in text]


def test_a_share_of_yield_stands_on_the_shank() -> None:
    nan = float("nan")
    shank = 0.9 * root_diameter(parse("M36x4"))
    stated = {"load": [nan], "percent": [0.5], "area": ["tensile"], "yield_strength": [720e6]}
    assert float(planned(shank_diameter=[shank], **stated).preload[0]) == pytest.approx(
        0.5 * 720e6 * math.pi / 4 * shank**2
    )


@pytest.mark.parametrize("shank", [0.015, 0.04])
def test_a_shank_that_cannot_be_stops(shank: float) -> None:
    plans = planned(shank_diameter=[shank])
    assert plans.status == ("stopped",)
    assert any("does not go with a thread of 36 mm" in text for text in said(plans))
