"""Break rows and time: planned where the inputs are stated, otherwise the missing one is named."""

import math
from datetime import date
from typing import Any

import numpy as np
import pytest

from calc.plan.joints import NUMBER_COLUMNS, Lubricant, PlanSettings, joints
from calc.plan.plan import plan_joints
from calc.plan.plans import Plans
from calc.quantities import INCH, LBF_FT, PSI, settle
from calc.wrench.calibration import Marks, curve
from calc.wrench.choice import Gauge, Link, Wrench

DAY = float(date(2026, 10, 8).toordinal())
GAUGES = {"G-1": Gauge("G-1", Marks(100.0, PSI), 15000 * PSI, math.nan, DAY + 100)}
BREAK = {
    "joint": "E-1", "operation": "break", "method": "hydraulic", "thread": "1 1/2-8 UN", "studs": 24.0,
    "grade": "A193 B7", "torque": 1400 * LBF_FT, "breakout_factor": 1.5, "date": DAY,
}  # fmt: skip
MAKE = {**BREAK, "operation": "final make-up", "nut_factor": 0.16, "grip": 7 * INCH}


def wrench(name: str, factor: float, rated: float = 10000, **more: Any) -> Wrench:
    """A wrench whose torque in lbf·ft is `factor` times its pressure in psi, from 1000 to 10,000 psi."""
    pressure = np.arange(1000, 10001, 1000.0)
    fields = {
        "name": name, "curve": curve(settle(pressure * PSI), settle(pressure * factor * LBF_FT)),
        "rated_pressure": rated * PSI,
        "hose_rated_pressure": 10000 * PSI, "pump": "P-1", "pump_rated_pressure": 10000 * PSI, "gauge": "G-1",
        "links": (Link("2 3/8 in", 2.375 * INCH, 1.0),), "calibrated": math.nan, "valid_until": DAY + 100,
    }  # fmt: skip
    return Wrench(**{**fields, **more})


BOOK = [wrench("HW-1", 0.15), wrench("HW-2", 0.25), wrench("HW-3", 0.8)]


def plan(*rows: dict[str, Any], book: list[Wrench] = BOOK, **settings: Any) -> Plans:
    names = {name for each in rows for name in each}
    blank = {name: math.nan if name in NUMBER_COLUMNS else "" for name in names}
    columns = {n: [each.get(n, blank[n]) for each in rows] for n in names}
    return plan_joints(joints(len(rows), **columns), book, GAUGES, [], PlanSettings(**settings))


def codes(found: Plans, row: int = 0) -> list[str]:
    return [f.code for f in found.findings if f.row == row]


def without(*names: str, row: dict[str, Any] = BREAK) -> dict[str, Any]:
    return {k: v for k, v in row.items() if k not in names}


def test_a_break_row_with_a_factor_is_planned_without_friction() -> None:
    """1.5 x 1400 is 2100 lbf·ft: the smallest wrench with that at 10,000 psi has 0.25 per psi; 2100 is 8400 psi."""
    found = plan(BREAK)
    (opened,) = found.breakouts

    assert found.status == ("planned",)
    assert opened is not None
    assert opened.candidate.wrench.name == "HW-2"
    assert opened.expected / LBF_FT == pytest.approx(2100)
    assert opened.available / LBF_FT == pytest.approx(2500)
    assert opened.stud / LBF_FT == pytest.approx(2597, abs=1)  # Mises torsion, by hand
    assert opened.follows == "within the rating"
    assert opened.pressure[-1] / PSI == pytest.approx(8400)
    assert opened.highest * 100 == pytest.approx(10000)
    assert math.isnan(found.torque[0])
    assert math.isnan(found.preload[0])
    assert found.pulling == ((),)
    assert codes(found) == ["breakout_expect"]


def test_stages_rise_from_the_lowest_certified_point_and_stay_within_the_torque_to_expect() -> None:
    (opened,) = plan(BREAK).breakouts

    assert opened is not None
    assert opened.pressure[0] / PSI == pytest.approx(1000)
    assert (np.diff(opened.count) > 0).all()
    assert (opened.count % 1 == 0).all()
    assert (opened.torque <= opened.expected * (1 + 1e-12)).all()


def test_the_last_stage_gives_at_least_the_torque_to_expect() -> None:
    """1.5 x 1390 is 2085 lbf·ft or 8340 psi at 0.25 per psi, between marks: 8400 psi, 2100 lbf·ft, is the next one."""
    (opened,) = plan({**BREAK, "torque": 1390 * LBF_FT}).breakouts
    (limited,) = plan({**BREAK, "breakout_factor": 2.5}).breakouts

    assert opened is not None
    assert opened.pressure[-1] / PSI == pytest.approx(8400)
    assert opened.torque[-1] >= opened.expected
    assert (opened.torque[:-1] < opened.expected).all()
    assert limited is not None
    assert limited.count[-1] == limited.highest


@pytest.mark.parametrize(
    ("row", "needs"),
    [
        (without("breakout_factor"), ("breakout_factor",)),
        (without("torque"), ("torque",)),
        (without("breakout_factor", "torque"), ("breakout_factor", "torque")),
    ],
)
def test_without_its_inputs_a_row_stays_as_it_is_and_says_which_is_missing(
    row: dict[str, Any], needs: tuple[str, ...]
) -> None:
    found = plan(row)

    assert found.status == ("other method",)
    assert [(f.code, f.facts["needs"]) for f in found.findings] == [("breakout_needs", needs)]
    assert found.breakouts == (None,)


def test_one_factor_may_hold_for_the_whole_list_and_the_list_goes_before_it() -> None:
    found = plan(without("breakout_factor"), {**BREAK, "joint": "E-2", "breakout_factor": 1.2}, breakout_factor=1.6)

    assert [opened and opened.factor for opened in found.breakouts] == [1.6, 1.2]
    assert [opened and opened.from_list for opened in found.breakouts] == [False, True]


def test_by_hand_nothing_is_planned() -> None:
    found = plan({**BREAK, "method": "hand"})

    assert found.status == ("other method",)
    assert codes(found) == ["break_out"]


def test_a_wrench_is_never_taken_above_its_rating() -> None:
    small = plan(BREAK, book=[wrench("HW-2", 0.25, rated=8000)])
    named = plan({**BREAK, "wrench": "HW-1"})

    assert small.status == named.status == ("stopped",)
    assert codes(small) == ["no_wrench"]
    assert codes(named) == ["wrench_unfit"]


def test_beyond_the_studs_torsional_limit_the_stages_end_there() -> None:
    found = plan({**BREAK, "breakout_factor": 2.5})
    (opened,) = found.breakouts

    assert opened is not None
    assert opened.follows == "other means"
    assert "breakout_stud" in codes(found)
    assert opened.torque[-1] <= opened.stud
    assert opened.usable == opened.stud


def test_a_stud_of_unknown_grade_is_said_to_be_unchecked() -> None:
    found = plan(without("grade"))
    (opened,) = found.breakouts

    assert opened is not None
    assert math.isnan(opened.stud)
    assert opened.follows == "within the rating, stud not checked"
    assert [f.facts["needs"] for f in found.findings if f.code == "breakout_stud_unknown"] == [("grade",)]


def test_a_size_of_nut_or_a_thread_must_be_stated() -> None:
    assert plan({**without("thread"), "across_flats": 2.375 * INCH}).status == ("planned",)
    assert codes(plan(without("thread"))) == ["missing"]


def test_a_certificate_that_has_run_out_does_not_serve() -> None:
    assert plan({**BREAK, "date": DAY + 300}).status == ("stopped",)
    assert "date_needed" in codes(plan(without("date")))


def test_a_break_row_among_others_changes_none_of_them() -> None:
    alone, together = plan(MAKE), plan(BREAK, {**MAKE, "joint": "E-2"})

    assert together.torque[1] == alone.torque[0]
    assert np.array_equal(together.pressure[1], alone.pressure[0], equal_nan=True)


# --- time ------------------------------------------------------------------------------------------------------------


def test_time_by_hand() -> None:
    """Turn of 7 in grip and 1.5 in of nuts; 30° strokes of 60 cm³ out and back at 1 L/min: 7.2 s and 3 s of valves."""
    moving = wrench("HW-2", 0.25, stroke_angle=math.radians(30), oil_per_stroke=60e-6, pump_flow=1e-3 / 60)
    found = plan(MAKE, book=[moving])
    area = math.pi / 4 * (1.5 - 0.9743 / 8) ** 2
    preload = 1400 * 12 / (0.16 * 1.5)
    turn = preload * 8.5 / (29.5e6 * area) * 8 * 360
    shares = [0.3, 0.3, 0.4, 0.0, 0.0]
    strokes = [math.ceil(turn * share / 30) + 1 for share in shares]
    seconds = sum(24 * (count * (2 * 60 * 0.06 + 3) + 40) for count in strokes)

    assert [s.fraction for s in found.stages if s.fraction] == pytest.approx(np.cumsum(shares))
    assert found.times.total[0] == pytest.approx(seconds)
    assert found.times.missing == ("",)


def test_time_is_not_guessed() -> None:
    moving = wrench("HW-2", 0.25, stroke_angle=math.radians(30), oil_per_stroke=60e-6, pump_flow=1e-3 / 60)
    no_grip = plan(without("grip", row=MAKE), book=[moving])
    no_friction = plan(without("nut_factor", row=MAKE), book=[moving])

    assert no_grip.times.missing == ("grip",)
    assert no_friction.times.missing == ("preload",)
    assert np.isnan([no_grip.times.total[0], no_friction.times.total[0]]).all()
    assert plan(MAKE).times.missing == (None,)


def test_a_stated_nut_friction_takes_its_share_before_the_stud_twists() -> None:
    """Make-up torque with 0.16 at thread and nut, 1,845 lbf·ft, is 50 ksi on the root area: the seized stud then yields
    at 3,258 lbf·ft (by hand in wrench/test_breakout), so 1.5 x passes; without friction all of it twists: 2,597."""
    row = without("torque", row=BREAK) | {"torque": 1845 * LBF_FT, "breakout_factor": 1.5}
    (known,) = plan({**row, "thread_friction": 0.16, "nut_friction": 0.16}).breakouts
    (unknown,) = plan(row).breakouts
    (half,) = plan({**row, "nut_friction": 0.16}).breakouts

    assert known is not None
    assert unknown is not None
    assert half is not None
    assert known.stud / LBF_FT == pytest.approx(3258, rel=0.02)
    assert known.follows != "other means"
    assert known.once_turned / LBF_FT == pytest.approx(2597, abs=1)
    assert unknown.stud / LBF_FT == pytest.approx(2597, abs=1)
    assert unknown.follows == "other means"
    assert half.stud == unknown.stud


def test_the_lowest_friction_of_a_product_is_taken_for_the_nut() -> None:
    """A product of 0.10 to 0.18: the seized stud's limit for each preload it may have, with the nut's face at 0.10.

    Long form: K D = P/(2 pi) + d2/2 u/cos 30 + De/2 u, De = (1.625 + 2.375)/2 in; stress and torsion on the tensile
    area.
    """
    pitch, d2, bearing = 1 / 8, 1.5 - 0.649519 / 8, 2.0
    d = 1.5 - 0.974279 / 8
    nut = (0.10 * 1.5 - pitch / (2 * math.pi)) / (d2 / 2 / math.cos(math.pi / 6) + bearing / 2)
    limits = []
    for factor in (0.10, 0.14, 0.18):
        load = 1400 * 12 / (factor * 1.5)
        twist = math.sqrt((105000**2 - (load / (math.pi / 4 * d**2)) ** 2) / 3) * math.pi * d**3 / 16
        limits.append((twist + nut * load * bearing / 2) / 12)
    row = {**BREAK, "lubricant": "L-1"}
    given = joints(1, **{name: [value] for name, value in row.items()})
    product = Lubricant("L-1", 0.14, 0.10, 0.18, math.nan, math.nan, "site")

    (opened,) = plan_joints(given, BOOK, GAUGES, [product], PlanSettings()).breakouts

    assert opened is not None
    assert opened.stud / LBF_FT == pytest.approx(min(limits), rel=0.005)
    assert opened.preload == pytest.approx(1400 * LBF_FT / (0.10 * 1.5 * INCH))  # the highest that it may have


@pytest.mark.parametrize(
    "stated",
    [{"lubricant": "L-1", "nut_factor": 0.12}, {"lubricant": "L-1", "thread_friction": 0.12, "nut_friction": 0.12},
     {"nut_factor": 0.16, "thread_friction": 0.12, "nut_friction": 0.12}],
)  # fmt: skip
def test_of_two_statements_of_the_friction_none_is_taken(stated: dict[str, Any]) -> None:
    """Then all of the torque may twist the stud: 2,597 lbf·ft, as where nothing is stated."""
    row = {**BREAK, **stated}
    given = joints(1, **{name: [value] for name, value in row.items()})
    product = Lubricant("L-1", 0.14, 0.10, 0.18, math.nan, math.nan, "site")

    (opened,) = plan_joints(given, BOOK, GAUGES, [product], PlanSettings()).breakouts

    assert opened is not None
    assert opened.stud / LBF_FT == pytest.approx(2597, abs=1)
    assert math.isnan(opened.preload)
