"""How large and how small each number may be, written down a second time in units of the trade."""

import pytest

from calc import quantities
from calc.quantities import INCH, PSI, QUANTITIES

SCALE = {
    "psi": PSI,
    "%": 0.01,
    "kN": 1e3,
    "bar": 1e5,
    "mm": 1e-3,
    "GPa": 1e9,
    "l": 1e-3,
    "h": 3600.0,
    "l/min": 1e-3 / 60,
}
ENDS = """
stress 1000 250000 psi; stud_maximum 1000 250000 psi; stud_minimum 1000 250000 psi; flange_limit 1000 250000 psi
stud_yield 10000 250000 psi; modulus 50 250 GPa; percent 2 100 %; stage 2 100 %; yield_fraction 20 100 %
raised 100 150 %; load 0.5 20000 kN; preload 0.5 20000 kN; measured 0 20000 kN; torque 5 200000 N·m
torque_step 0.01 500 N·m; pump_pressure 5 1500 bar; graduation 0.5 200 bar; gauge_range 50 4000 bar
design_pressure 0.1 2000 bar; nut_factor 0.04 0.6; thread_friction 0.02 0.6; nut_friction 0.02 0.6; uplift 1 1.5
breakout_factor 0.8 5; ratio 1.5 200; studs 4 400; at_once 1 4; circular_passes 1 20; stations 1 64
link_factor 0.3 3; tolerance 0.1 20 %; reserve 0 80 %; uncertainty 0.05 20 %; spread 0.1 90 %
gasket_load_kept 20 100 %; relaxation 10 100 %; break_away 0 50 %; snug 0.1 50 %; across_flats 6 300 mm
bearing_diameter 6 400 mm; diameter 5 300 mm; grip 5 5000 mm; stretch_length 10 6000 mm; hole_diameter 6 350 mm
shank_length 1 5000 mm; shank_diameter 4 300 mm; bolt_circle 30 10000 mm; link_radius 5 400 mm
hub_diameter 10 10000 mm; flange_outside_diameter 30 12000 mm; flange_inside_diameter 5 10000 mm
flange_thickness 3 1500 mm; gasket_stress 100 120000 psi; target_gasket_stress 100 120000 psi
gasket_seating 100 120000 psi; gasket_operating 100 120000 psi; gasket_maximum 100 120000 psi; gasket_m 0.25 20
gasket_y 10 60000 psi; gasket_inside_diameter 5 10000 mm; gasket_outside_diameter 5 10000 mm
gasket_diameter 5 10000 mm; gasket_width 0.5 500 mm; gasket_closure 0.001 50 mm; gasket_stop_closure 0.001 50 mm
gasket_thickness 0.2 100 mm; gasket_hardening 0 0.95; shell_wall 0.5 1000 mm; hub_thickness 0.5 1000 mm
hub_length 0 2000 mm; flange_rotation 0.00001 0.2 rad; rotation_limit 0.00001 0.2 rad; stroke_angle 0.05 3.2 rad
stud_temperature 173.15 923.15 K; stud_scatter 0.05 60 %; shot_scatter 0.05 60 %; joint_scatter 0.05 60 %
wrench_bias_scatter 0.05 60 %; wrench_repeat_scatter 0.05 60 %; cap 100 200 %; uniformity 0.1 100 %; mean 10 100 %
measuring_error 0.5 30 %; lowest_wanted 10 100 %; p5_wanted 10 100 %
"""
STATED = [line.split() for line in ENDS.replace("\n", ";").split(";") if line.strip()]


@pytest.mark.parametrize(("name", "low", "high", "unit"), [(*each, "")[:4] for each in STATED])
def test_the_ends_of_what_a_number_may_be(name: str, low: str, high: str, unit: str) -> None:
    scale = SCALE.get(unit, 1.0)
    found = QUANTITIES[name]

    assert (found.low, found.high) == (pytest.approx(float(low) * scale), pytest.approx(float(high) * scale))


def test_no_quantity_of_bolts_and_wrenches_is_without_its_ends_here() -> None:
    left = set(QUANTITIES) - {name for name, *_ in STATED}
    assert left == {
        "oil_per_stroke", "pump_flow", "move_time", "gasket_area", "rig_gasket_area", "rig_stiffness", "gasket_e0",
        "gasket_k1", "gasket_stop_slope", "samples", "seed",
    }  # fmt: skip
    assert INCH == 0.0254


def test_no_quantity_stands_twice_in_the_table() -> None:
    assert len(quantities._ROWS) == len(QUANTITIES)
