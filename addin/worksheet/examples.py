"""One example call of every worksheet function: for the help page, the README table and the tests of every host."""

from addin.worksheet.numbers import Cell

Block = tuple[tuple[Cell, ...], ...]

CALIBRATION: Block = (
    ("Pressure (psi)", "Torque (ft-lb)"),
    *((float(pressure), float(torque)) for pressure, torque in (
        (1000, 400), (2000, 810), (3000, 1225), (4000, 1635), (5000, 2050), (6000, 2460), (7000, 2870), (8000, 3285),
        (9000, 3695), (10000, 4105),
    )),
)  # fmt: skip
"""Calibration table of a wrench of the invented plant."""

TWO_TABLES: Block = (
    ("Pressure (psi)", "Torque (ft-lb)", None, "Pressure (psi)", "Torque (ft-lb)"),
    *((p, t, None, p, round(t * 1.01)) for p, t in CALIBRATION[1:]),
)

LUBRICANTS: Block = (
    ("Product", "Low", "Nut factor", "High", "Source"),
    ("Paste A", 0.13, 0.15, 0.17, "own test 2026-02"),
    ("Paste B", 0.15, 0.17, 0.19, "maker's sheet, from an invented plant"),
)

JOINTS: Block = (
    ("Joint", "Operation", "Method", "Stud size", "Studs", "Grade", "Stress (psi)", "Stress area", "Nut factor",
     "Nut series", "Wrench"),
    ("E-101 channel", "final make-up", "hydraulic", "1 1/4", 16.0, "A193 B7", 45000.0, "root B1.1", 0.15, "heavy hex",
     "HW-3"),
    ("E-101 shell", "final make-up", "hydraulic", "1 1/2", 12.0, "A193 B7", 50000.0, "root B1.1", 0.15, "heavy hex",
     "HW-3"),
    ("V-2 manway", "final make-up", "hydraulic", "M36x3", 20.0, "A193M B7", "345 MPa", "root B1.1", 0.16,
     "metric heavy hex", "HW-3"),
)  # fmt: skip

WRENCHES: Block = (
    ("Wrench", "Pressure (psi)", "Torque (ft-lb)", "Graduation (psi)", "Link size"),
    *(
        ("HW-3", pressure, torque, 100.0, size)
        for size in (2.0, 2.375, "60 mm")
        for pressure, torque in CALIBRATION[1:]
    ),
)

EXAMPLES: dict[str, tuple[Cell | Block, ...]] = {
    "thread_stress_area": ("1 1/4-8 UN", "US", "tensile"),
    "thread_pitch_diameter": ("M36x3", "SI"),
    "nut_across_flats": ("M36x3", "SI", "ISO 4032"),
    "stud_yield": ("A193 B7", "2 3/4-8 UN", "US"),
    "nut_factor": ("Paste A", LUBRICANTS),
    "nut_factor_survey": ("moly paste or grease",),
    "preload_from_stress": (50000.0, "1 1/2", "US", "root B1.1"),
    "preload_from_yield": (50.0, "A193 B7", "1 1/4", "US", "tensile"),
    "preload_from_gasket": (10000.0, 30.0, 16.0, "US"),
    "preload_from_combined_stress": (80.0, "10.9", "M24", 0.12, "SI"),
    "torque_from_preload": (45000.0, "1 1/4", 0.15, "US"),
    "preload_from_torque": (700.0, "1 1/4", 0.15, "US"),
    "torque_from_friction": (200.0, "M30x3.5", 0.12, 0.13, "SI", "VDI 2230", "39 mm"),
    "combined_stress": (200.0, "M30x3.5", 0.12, "SI"),
    "setpoint": (2500.0, CALIBRATION, "US", 100.0, "nearest", 3.0),
    "setpoint_shared": (2500.0, TWO_TABLES, "US", 100.0, 3.0),
    "torque_at_pressure": (4800.0, CALIBRATION, "US"),
    "table_findings": (CALIBRATION,),
    "pass_table": (2500.0, CALIBRATION, "US", "PCC-1 legacy", 100.0),
    "tightening_order": (16.0, 2.0),
    "unit_convert": (1000.0, "ft-lb", "N·m"),
    "joint_plan": (JOINTS, WRENCHES, "US", "2026-10-08"),
}
"""Arguments of one call by the function's name, as cells; optional ones at the end may be left out."""
