"""Stretch, turn, stud length, standard flanges, room for a link and break-out as a cell sees them."""

from typing import Any

import pytest

from addin.functions.examples import CALIBRATION
from addin.functions.gate import answer
from addin.functions.registry import BY_NAME


def call(name: str, *values: Any) -> Any:
    return answer(BY_NAME[name], values)


def rows(name: str, *values: Any) -> dict[str, list[Any]]:
    shown = call(name, *values)
    assert isinstance(shown, list), shown
    return {row[0]: row for row in shown}


def test_stretch_and_turn_of_the_worked_example() -> None:
    """50 ksi on the root area of 1-1/2-8 over 10 in, E 29.5e6 psi: 0.01597 in (PCC-1 form, from memory)."""
    preload = call("preload_from_stress", 50000, "1 1/2", "US", "root B1.1")

    assert call("stud_stretch", preload, "1 1/2", 10, "US") == pytest.approx(0.01597, abs=1e-5)
    assert call("nut_turn", preload, "1 1/2", 10, "US") == pytest.approx(0.01597 / 0.125 * 360, abs=0.05)
    assert call("stud_stretch", preload, "1 1/2", 10, "US", "29500 ksi") == call(
        "stud_stretch", preload, "1 1/2", 10, "US"
    )


def test_columns_give_what_single_cells_give() -> None:
    column = [[50_000.0], [60_000.0], [None]]
    shown = call("stud_stretch", column, "1 1/2", 10, "US")

    assert [row[0] for row in shown[:2]] == [call("stud_stretch", value, "1 1/2", 10, "US") for (value,) in column[:2]]
    assert shown[2][0].startswith("STOP: preload is missing (empty cell)")


def test_a_modulus_in_the_wrong_unit_is_refused() -> None:
    assert call("stud_stretch", 70_000, "1 1/2", 10, "US", 29.5).startswith("STOP: modulus 29.5 psi is below")


def test_stud_length_by_hand() -> None:
    """M24, 100 mm: 100 + 2 x 24 + 2 x 3 = 154, the next 5 mm is 155 (common practice, no source)."""
    assert call("stud_length", "M24", 100, "SI") == 155.0


def test_a_standard_flange_and_what_it_is_not() -> None:
    """ASME B16.5 NPS 8 class 600: 12 studs of 1-1/8 in on a 13.75 in circle, 7.5 in long (read in a copy)."""
    found = rows("flange_studs", "NPS 8", 600, "US")

    assert found["studs"][1] == 12
    assert found["stud size"][1] == "1 1/8-8 UN"
    assert found["bolt circle"][1:3] == [13.75, "in"]
    assert found["stud length"][1] == 7.5
    assert all(row[3] for name, row in found.items() if name)
    assert call("flange_studs", "8", 650, "US").startswith("STOP: pressure class '650' is not in the table")
    assert call("flange_studs", "14", 2500, "US").startswith("STOP: NPS 14 has no row in class 2500")


def test_room_for_a_link() -> None:
    """12 studs on 400 mm: pitch 103.53 mm, less 45 and 60.325/√3 leaves 23.70 mm (plane geometry)."""
    found = rows("link_clearance", "1 1/2", 12, "400 mm", "45 mm", "SI", "290 mm")

    assert found["pitch of the studs"][1] == pytest.approx(103.53, abs=0.01)
    assert found["gap to the next nut, corner to the link"][1] == pytest.approx(23.70, abs=0.01)
    assert found["gap to the hub"][1] == pytest.approx(10)
    assert rows("link_clearance", "1 1/2", 12, "400 mm", "45 mm", "SI")["gap to the hub"][1] == "not checked"
    assert rows("link_clearance", "1 1/2", 24, "400 mm", "45 mm", "SI")["gap to the next nut, flat to the link"][1] < 0
    assert call("link_clearance", "M36x3", 12, 400, 45, "SI").startswith("STOP: nut series is missing for")


def test_break_out_within_the_wrench_and_the_stud() -> None:
    """1-1/2-8 of 105 ksi: 2 597 lbf·ft at the surface (Mises torsion, by hand)."""
    found = rows("breakout_check", 1400, CALIBRATION, "US", 1.5, "A193 B7", "1 1/2")

    assert found["torque to expect"][1] == 2100
    assert found["stud's torsional limit"][1] == pytest.approx(2597, abs=1)
    assert found["what follows"][1] == "within the rating"
    stages = [row[1] for name, row in found.items() if name.startswith("stage ")]
    assert stages == sorted(stages)
    assert stages[0] == 1000
    assert stages[-1] == pytest.approx(call("setpoint", 2100, CALIBRATION, "US"))


def test_break_out_beyond_the_wrench_or_the_stud() -> None:
    beyond = rows("breakout_check", 2000, CALIBRATION, "US", 1.5, "A193 B7", "1 1/2")
    larger = rows("breakout_check", 2000, CALIBRATION, "US", 2.5)

    assert beyond["what follows"][1] == "other means"
    assert beyond["never beyond"][1] == beyond["stud's torsional limit"][1]
    assert larger["what follows"][1] == "larger wrench, stud not checked"
    assert larger["never beyond"][1] == 3330
    assert larger["stud's torsional limit"][3] == "not checked: grade and thread needed"


def test_break_out_without_a_factor_gives_no_stage() -> None:
    found = rows("breakout_check", 2000, CALIBRATION, "US")

    assert found["torque to expect"][1] == "not known"
    assert found["stages"][1] == "none"
    assert not any(name.startswith("stage ") for name in found)


def test_a_break_row_of_joint_plan_has_a_wrench_and_no_pressure_to_set() -> None:
    listed = [
        [
            "Joint",
            "Operation",
            "Method",
            "Stud size",
            "Studs",
            "Grade",
            "Torque (ft-lb)",
            "Break-out factor",
            "Job date",
        ],
        ["E-1", "break", "hydraulic", "1 1/2", 24, "A193 B7", 1400, 1.5, "2026-10-08"],
        ["E-2", "break", "hydraulic", "1 1/2", 24, "A193 B7", 1400, None, "2026-10-08"],
    ]
    wrenches = [["Wrench", "Pressure (psi)", "Torque (ft-lb)", "Graduation (psi)", "Link size"]]
    wrenches += [["HW-3", pressure, torque, 100, 2.375] for pressure, torque in CALIBRATION[1:]]
    head, opened, left = call("joint_plan", listed, wrenches, "US")

    assert opened[head.index("status")] == "planned"
    assert opened[head.index("wrench")] == "HW-3"
    assert "expect about 2100 lbf·ft" in opened[head.index("message")]
    assert opened[head.index("pressure (psi)")] == "break-out"
    assert opened[head.index("torque (lbf·ft)")] == ""
    assert left[head.index("status")] == "other method"
    assert "break-out factor is needed" in left[head.index("message")]
