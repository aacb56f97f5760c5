"""One example call of every worksheet function: for the help page, the README table and the tests of every host."""

from addin.cells.numbers import Cell

Block = tuple[tuple[Cell, ...], ...]

CALIBRATION: Block = (
    ("Pressure (psi)", "Torque (ft-lb)"),
    *((float(pressure), float(torque)) for pressure, torque in (
        (1000, 325), (2000, 660), (3000, 990), (4000, 1325), (5000, 1660), (6000, 1995), (7000, 2330), (8000, 2665),
        (9000, 2995), (10000, 3330),
    )),
)  # fmt: skip
"""Calibration table of a wrench of the invented plant."""

TWO_TABLES: Block = (
    ("Pressure (psi)", "Torque (ft-lb)", None, "Pressure (psi)", "Torque (ft-lb)"),
    *((p, t, None, p, round(t * 1.01)) for p, t in CALIBRATION[1:]),
)

LUBRICANTS: Block = (
    ("Product", "Low", "Nut factor", "High", "Source"),
    ("Paste A", 0.125, 0.145, 0.17, "own test 2026-02"),
    ("Paste B", 0.14, 0.165, 0.19, "maker's sheet, from an invented plant"),
)

JOINTS: Block = (
    ("Joint", "Operation", "Method", "Stud size", "Studs", "Grade", "Stress (psi)", "Stress area", "Nut factor",
     "Nut series", "Wrench"),
    ("E-101 channel", "final make-up", "hydraulic", "1 1/4", 16.0, "A193 B7", 41300.0, "root B1.1", 0.145, "heavy hex",
     "HW-3"),
    ("E-101 shell", "final make-up", "hydraulic", "1 3/8", 20.0, "A193 B7", 47300.0, "root B1.1", 0.145, "heavy hex",
     "HW-3"),
    ("V-2 manway", "final make-up", "hydraulic", "M36x3", 20.0, "A193M B7", "366 MPa", "root B1.1", 0.145,
     "metric heavy hex", "HW-3"),
)  # fmt: skip

WRENCHES: Block = (
    ("Wrench", "Pressure (psi)", "Torque (ft-lb)", "Graduation (psi)", "Link size"),
    *(
        ("HW-3", pressure, torque, 100.0, size)
        for size in (2.0, 2.1875, "60 mm")
        for pressure, torque in CALIBRATION[1:]
    ),
)

LIMIT_INPUTS: Block = (
    ("Gasket area", "18.29 in²"), ("Studs", 12.0), ("Target gasket stress", 15000.0), ("Stud maximum", "73.5 ksi"),
    ("Stud minimum", "42 ksi"), ("Flange limit", "60 ksi"), ("Gasket seating", 10000.0), ("Gasket operating", 7000.0),
    ("Gasket maximum", 30000.0), ("Pressure", 700.0), ("Gasket inside diameter", 9.19), ("Gasket load kept", 70.0),
    ("Flange rotation", 0.3), ("Rotation limit", 1.0), ("Grade", "A193 B7"), ("Percent of yield", 90.0),
    ("Preload may rise", 20.0), ("Preload may fall", 20.0),
)  # fmt: skip
"""Inputs of a joint of the invented plant, as `preload_limits` takes them."""

RANGE_INPUTS: Block = (
    ("Friction scatter", 25.0), ("Wrench", 3.0), ("Gauge", "1 %"), ("Load kept", 90.0), ("Gasket area", 18.3),
    ("Studs", 12.0),
)  # fmt: skip

INTERACTION_INPUTS: Block = (
    ("Studs", 8.0), ("Thread", "3/4-10"), ("Grip", 2.7), ("Bolt circle", 7.88), ("Flange outside diameter", 10.0),
    ("Flange inside diameter", 4.03), ("Flange thickness", 1.25), ("Gasket mean diameter", 5.3), ("Gasket width", 0.5),
    ("Gasket kind", "spiral wound"), ("Stud maximum", "75 ksi"), ("Gasket maximum", "40 ksi"), ("Samples", 2000.0),
    ("Seed", 7.0),
)  # fmt: skip
"""Inputs of a joint of the invented plant, as the functions about interaction take them."""

MEASURED: Block = (
    ("Stud", "Load"), (1.0, 9700.0), (2.0, 10900.0), (3.0, 6800.0), (4.0, 13300.0), (5.0, 9100.0), (6.0, 11900.0),
    (7.0, 6100.0), (8.0, 15400.0),
)  # fmt: skip
"""Loads measured on its studs after the cross passes."""

EXAMPLES: dict[str, tuple[Cell | Block, ...]] = {
    "thread_stress_area": ("1 1/4-8 UN", "US", "tensile"),
    "thread_pitch_diameter": ("M36x3", "SI"),
    "nut_across_flats": ("M36x3", "SI", "ISO 4032"),
    "stud_yield": ("A193 B7", "2 3/4-8 UN", "US"),
    "nut_factor": ("Paste A", LUBRICANTS),
    "nut_factor_survey": ("moly paste or grease",),
    "preload_from_stress": (43700.0, "1 3/8", "US", "root B1.1"),
    "preload_from_yield": (46.5, "A193 B7", "1 1/4", "US", "tensile"),
    "preload_from_gasket": (10000.0, 30.0, 16.0, "US"),
    "preload_from_combined_stress": (80.0, "10.9", "M24", 0.12, "SI"),
    "torque_from_preload": (38400.0, "1 1/4", 0.145, "US"),
    "preload_from_torque": (655.0, "1 1/4", 0.145, "US"),
    "torque_from_friction": (200.0, "M30x3.5", 0.12, 0.13, "SI", "VDI 2230", "39 mm"),
    "combined_stress": (200.0, "M30x3.5", 0.12, "SI"),
    "setpoint": (2150.0, CALIBRATION, "US", 100.0, "nearest", 3.0),
    "setpoint_shared": (2150.0, TWO_TABLES, "US", 100.0, 3.0),
    "torque_at_pressure": (4700.0, CALIBRATION, "US"),
    "table_findings": (CALIBRATION,),
    "pass_table": (2150.0, CALIBRATION, "US", "PCC-1 legacy", 100.0),
    "pass_settings": (((2150.0,), (1545.0,), (None,), (840.0,)), CALIBRATION, "US", "25/50/75/100", 100.0),
    "tightening_order": (16.0, 2.0),
    "unit_convert": (1000.0, "ft-lb", "N·m"),
    "preload_limits": (LIMIT_INPUTS, "7/8-9", 0.2, "US"),
    "gasket_design_loads": (10.38, 9.19, 700.0, 3.0, 10000.0, "US", "1a"),
    "preload_range": (500.0, "1", 0.2, RANGE_INPUTS, "US"),
    "stud_stretch": (50500.0, "1 3/8", 9.0, "US"),
    "nut_turn": (50500.0, "1 3/8", 9.0, "US"),
    "stud_length": ("M24", 100.0, "SI"),
    "flange_studs": ("8", "600", "US"),
    "link_clearance": ("1 3/8", 24.0, 28.0, 1.7, "US", 24.5),
    "breakout_check": (1090.0, CALIBRATION, "US", 1.5, "A193 B7", "1 3/8"),
    "residual_preload": (INTERACTION_INPUTS, 15000.0, "US", "30/60/100"),
    "pass_progress": (INTERACTION_INPUTS, 15000.0, "US", "50/115"),
    "interaction_table": (INTERACTION_INPUTS, 15000.0, "US"),
    "compare_procedures": (INTERACTION_INPUTS, 15000.0, "US", 4.0, 3.0),
    "circular_passes_needed": (INTERACTION_INPUTS, 15000.0, "US", "30/60/100", 90.0),
    "rest_from_measured": (INTERACTION_INPUTS, 15000.0, "US", "30/60/100", MEASURED),
    "one_factor_setting": (INTERACTION_INPUTS, 15000.0, "US", 130.0, "30/60/100"),
    "one_pass_settings": (INTERACTION_INPUTS, 15000.0, "US", 110.0, "30/60/100"),
    "fewest_moves": (INTERACTION_INPUTS, 15000.0, "US", 5.0, 95.0, 4.0),
    "working": ("torque_from_preload", 38400.0, "1 1/4", 0.145, "US"),
    "joint_plan": (JOINTS, WRENCHES, "US", "2026-10-08"),
}
"""Arguments of one call by the function's name, as cells; optional ones at the end may be left out."""
