"""The registry: every worksheet function once. Excel, Calc, the command line and the headless path loop over it."""

from addin.worksheet import calls
from addin.worksheet.cell import Arg, Function
from addin.worksheet.plan_table import joint_plan
from calc.hardware import threads
from calc.preload import target
from calc.preload import torque as torques

_THREAD = Arg("thread", "thread", "Thread, e.g. 1 1/4-8 UN, 7/8 or M36x3")
_UNITS = Arg("units", "units", 'Unit system: "US" or "SI"; "US bar" or "SI psi" for another pump gauge')
_AREA = Arg("area", "words", 'Area of the stress: "tensile", "root B1.1" or "root ISO"')
_GRADE = Arg("grade", "words", "Specification, grade and class, e.g. A193 B7, A193 B8M class 2 or 10.9")
_TORQUE = Arg("torque", "torque", "Torque on the nut")
_PRELOAD = Arg("preload", "preload", "Tension in one stud")
_NUT_FACTOR = Arg("nut_factor", "nut_factor", "Nut factor K of the lubricant really used")
_THREAD_FRICTION = Arg("thread_friction", "thread_friction", "Friction coefficient in the thread")
_TABLE = Arg("table", "table", "Calibration table with headings and units, e.g. Pressure (psi) | Torque (ft-lb)")
_GRADUATION = Arg("graduation", "graduation", "Step between two marks of the gauge", None)
_ROUNDING = Arg("rounding", "words", 'Which mark: "nearest" (where nothing is said), "down" or "up"', "nearest")
_TOLERANCE = Arg("tolerance", "tolerance", "Per cent that the torque may differ by rounding; more is refused", None)
_LINK_FACTOR = Arg("link_factor", "link_factor", "Torque with the link or adapter over torque in the table", 1.0)


FUNCTIONS: tuple[Function, ...] = (
    Function(
        "thread_stress_area",
        "Area of a thread on which a stress stands.",
        (_THREAD, _UNITS, _AREA),
        "area",
        lambda thread, units, area: threads.area(thread, area),
        "ISO 898-1; ASME B1.1; ISO 724",
    ),
    Function(
        "thread_pitch_diameter",
        "Basic pitch diameter of a thread.",
        (_THREAD, _UNITS),
        "length",
        lambda thread, units: threads.pitch_diameter(thread),
        "ISO 724; ASME B1.1",
    ),
    Function(
        "nut_across_flats",
        "Width across flats of the nut, the size of the wrench's link or socket.",
        (
            _THREAD,
            _UNITS,
            Arg(
                "series",
                "words",
                'Nut series as its standard names it, e.g. "heavy hex", "ISO 4032"; may '
                "be left out for inch studs, where it is heavy hex",
                "",
            ),
        ),
        "length",
        lambda thread, units, series: calls.nut_across_flats(thread, series),
        "ASME B18.2.2; ISO 4032; ISO 4033; ASME B18.2.4.6M",
    ),
    Function(
        "stud_yield",
        "Minimum yield strength of a stud for its specification, class and size.",
        (_GRADE, _THREAD, _UNITS),
        "stress",
        calls.stud_yield,
        "ASTM A193, A193M, A320, A320M, A453; ISO 898-1",
    ),
    Function(
        "nut_factor",
        "Nut factor of a product in the site's own lubricant table.",
        (
            Arg("lubricant", "words", "Product as the table names it"),
            Arg("lubricants", "block", "Site's table: product, low, typical, high, source, with headings"),
        ),
        "number",
        calls.nut_factor,
        "the site's own table",
    ),
    Function(
        "nut_factor_survey",
        "Published range of friction for a condition, for judging scatter only, never for a target.",
        (Arg("condition", "words", "Surface or lubricant condition as the published table names it"),),
        "spill",
        calls.nut_factor_survey,
        "published surveys, each with its source",
    ),
    Function(
        "preload_from_stress",
        "Preload of one stud from a stress on the area named.",
        (Arg("stress", "stress", "Stress in the stud"), _THREAD, _UNITS, _AREA),
        "force",
        lambda stress, thread, units, area: target.from_stress(stress, threads.area(thread, area)),
        "F = stress x area",
    ),
    Function(
        "preload_from_yield",
        "Preload of one stud from a percentage of its minimum yield on the area named.",
        (Arg("percent", "percent", "Per cent of the minimum yield, a number like 50"), _GRADE, _THREAD, _UNITS, _AREA),
        "force",
        calls.preload_from_yield,
        "F = percent x yield x area",
    ),
    Function(
        "preload_from_gasket",
        "Preload per stud that gives a stress on the gasket.",
        (
            Arg("gasket_stress", "gasket_stress", "Stress on the gasket"),
            Arg("gasket_area", "gasket_area", "Gasket area"),
            Arg("studs", "studs", "Number of studs"),
            _UNITS,
        ),
        "force",
        lambda gasket_stress, gasket_area, studs, units: target.from_gasket(gasket_stress, gasket_area, studs),
        "ASME PCC-1 Appendix O step 1",
    ),
    Function(
        "preload_from_combined_stress",
        "Preload at which stress with torsion reaches a percentage of yield while tightening.",
        (
            Arg("percent", "percent", "Per cent of the minimum yield, a number like 90"),
            _GRADE,
            _THREAD,
            _THREAD_FRICTION,
            _UNITS,
        ),
        "force",
        calls.preload_from_combined_stress,
        "VDI 2230-1",
    ),
    Function(
        "torque_from_preload",
        "Torque that gives a preload with a nut factor.",
        (_PRELOAD, _THREAD, _NUT_FACTOR, _UNITS),
        "torque",
        lambda preload, thread, nut_factor, units: torques.from_nut_factor(preload, thread, nut_factor),
        "T = K D F, ASME PCC-1 Appendix K",
    ),
    Function(
        "preload_from_torque",
        "Preload that a torque gives with a nut factor.",
        (_TORQUE, _THREAD, _NUT_FACTOR, _UNITS),
        "force",
        lambda torque, thread, nut_factor, units: torques.preload_from_nut_factor(torque, thread, nut_factor),
        "F = T / (K D)",
    ),
    Function(
        "torque_from_friction",
        "Torque that gives a preload with friction coefficients, in a published form.",
        (
            _PRELOAD,
            _THREAD,
            _THREAD_FRICTION,
            Arg("nut_friction", "nut_friction", "Friction coefficient under the nut"),
            _UNITS,
            Arg(
                "form",
                "words",
                '"VDI 2230" (exact; where nothing is said), "PCC-1" (small angle) or "API 6A"',
                "VDI 2230",
            ),
            Arg(
                "bearing_diameter",
                "bearing_diameter",
                "Mean friction diameter under the nut; from the heavy hex nut and its hole if not given",
                None,
            ),
        ),
        "torque",
        calls.torque_from_friction,
        "VDI 2230-1; ASME PCC-1 Appendix J; API 6A",
    ),
    Function(
        "combined_stress",
        "Equivalent stress of tension and torsion while tightening.",
        (
            _PRELOAD,
            _THREAD,
            _THREAD_FRICTION,
            _UNITS,
            Arg(
                "form",
                "words",
                'Torsion: "elastic" (the higher; where nothing is said) or "VDI 2230" (plastic)',
                "elastic",
            ),
        ),
        "stress",
        calls.combined_stress,
        "sqrt(s² + 3 t²); VDI 2230-1",
    ),
    Function(
        "setpoint",
        "Pump pressure to set for a torque, from the wrench's own table, on the marks of its gauge.",
        (_TORQUE, _TABLE, _UNITS, _GRADUATION, _ROUNDING, _TOLERANCE, _LINK_FACTOR),
        "as typed",
        calls.setpoint,
        "straight line between the rows of the table",
    ),
    Function(
        "setpoint_shared",
        "One mark that suits several wrenches on one pump, with the torque of each.",
        (
            _TORQUE,
            Arg("tables", "block", "Calibration tables side by side with an empty column between them"),
            _UNITS,
            Arg("graduation", "graduation", "Step between two marks of the gauge"),
            Arg("tolerance", "tolerance", "Per cent that each torque may differ"),
        ),
        "spill",
        calls.setpoint_shared,
        "straight lines between the rows of each table",
    ),
    Function(
        "torque_at_pressure",
        "Torque that a pump pressure gives on a wrench.",
        (Arg("pressure", "pump_pressure", "Pump pressure"), _TABLE, _UNITS, _LINK_FACTOR),
        "torque",
        calls.torque_at_pressure,
        "straight line between the rows of the table",
    ),
    Function(
        "table_findings",
        'What is wrong or odd in a pasted calibration table; "no findings" when nothing is.',
        (Arg("table", "block", "Calibration table with its headings"),),
        "spill",
        calls.table_findings,
        "common practice, no source",
    ),
    Function(
        "pass_table",
        "Every pass: per cent, torque, pressure to set, torque there and pattern.",
        (
            _TORQUE,
            _TABLE,
            _UNITS,
            Arg(
                "scheme",
                "words",
                'Published scheme ("PCC-1 legacy" where nothing is said, '
                '"three-pass") or own percentages like 25/50/75/100',
                "PCC-1 legacy",
            ),
            _GRADUATION,
            _ROUNDING,
            _TOLERANCE,
            _LINK_FACTOR,
        ),
        "spill",
        calls.pass_table,
        "ASME PCC-1 (from memory)",
    ),
    Function(
        "tightening_order",
        "Tightening order, one row per move, as many studs as wrenches pull at once.",
        (
            Arg("studs", "studs", "Number of studs, 4 or more"),
            Arg("at_once", "at_once", "Wrenches at once: 1, 2 or 4", 1.0),
            Arg("pattern", "words", '"cross" (where nothing is said) or "circular"', "cross"),
        ),
        "spill",
        calls.tightening_order,
        "ASME PCC-1 legacy pattern; own rule for other counts",
    ),
    Function(
        "unit_convert",
        "A number converted from one unit to another of the same kind.",
        (
            Arg("value", "value", "Number"),
            Arg("from_unit", "words", "Unit it is in"),
            Arg("to_unit", "words", "Unit wanted"),
        ),
        "as typed",
        lambda value, from_unit, to_unit: calls.unit_convert(value, from_unit, to_unit),
        "NIST SP 811",
    ),
    Function(
        "joint_plan",
        "The plan of a whole joint list in one call: a row each, with status, torque, wrench, setpoint, passes.",
        (
            Arg("list", "block", "Joint list with its headings"),
            Arg(
                "wrenches",
                "block",
                "Wrenches: wrench, pressure, torque, and link size, valid until, graduation, with headings",
            ),
            _UNITS,
            Arg("job_date", "date", "Job date for rows without one", float("nan")),
            Arg("scheme", "words", "Scheme of passes, as in pass_table", "PCC-1 legacy"),
            Arg("at_once", "at_once", "Wrenches at once: 1, 2 or 4", 1.0),
        ),
        "spill",
        lambda list, wrenches, units, job_date, scheme, at_once: joint_plan(
            list, wrenches, units, job_date, scheme, at_once
        ),
        "the functions above",
    ),
)

BY_NAME = {function.name: function for function in FUNCTIONS}
