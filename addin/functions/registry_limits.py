"""Registry of the functions about limits, gasket loads and the range of preload."""

from addin.functions.arguments import NUT_FACTOR, THREAD, TORQUE, UNITS
from addin.functions.gate import Arg, Function
from addin.functions.late import Late
from calc.hardware.gaskets import FACINGS

calls_limits = Late("addin.functions.calls_limits")

LIMITS: tuple[Function, ...] = (
    Function(
        "preload_limits",
        "Stud stress, preload and torque chosen by the joint-component approach, with every limit: kept, violated or "
        "not checked.",
        (
            Arg(
                "inputs",
                "block",
                "Two columns, label and value, e.g. gasket area, studs, target gasket stress, "
                "stud maximum, pressure; values may carry units",
            ),
            THREAD,
            NUT_FACTOR,
            UNITS,
        ),
        "spill",
        calls_limits.preload_limits,
        "ASME PCC-1 Appendix O (from memory); ASME VIII-1 Appendix 2",
    ),
    Function(
        "gasket_design_loads",
        "Effective width, reaction diameter, operating and seating load of a gasket, minima for design.",
        (
            Arg("outside_diameter", "gasket_outside_diameter", "Outside diameter of the contact face"),
            Arg("inside_diameter", "gasket_inside_diameter", "Inside diameter of the contact face"),
            Arg("pressure", "design_pressure", "Design pressure"),
            Arg("m", "gasket_m", "Gasket factor m"),
            Arg("y", "gasket_y", "Gasket seating stress y"),
            UNITS,
            Arg("facing", "words", f"Facing sketch of Table 2-5.2: {', '.join(FACINGS)}"),
        ),
        "spill",
        calls_limits.gasket_design_loads,
        "ASME VIII-1 Appendix 2",
    ),
    Function(
        "preload_range",
        "Low, nominal and high preload from the scatter of friction, wrench and gauge, and the gasket stress range.",
        (
            TORQUE,
            THREAD,
            NUT_FACTOR,
            Arg(
                "inputs",
                "block",
                "Two columns, label and value: friction scatter (or nut factor low and high), wrench, "
                "gauge, or method; load kept, gasket area, studs",
            ),
            UNITS,
        ),
        "spill",
        calls_limits.preload_range,
        "NASA-STD-5020 form (from memory); published scatter by method; EN 1591-1 (from memory)",
    ),
)
