"""Arguments that several worksheet functions share."""

from addin.functions.gate import Arg

THREAD = Arg("thread", "thread", "Thread, e.g. 1 1/4-8 UN, 7/8 or M36x3")
UNITS = Arg("units", "units", 'Unit system: "US" or "SI"; "US bar" or "SI psi" for another pump gauge')
AREA = Arg("area", "words", 'Area of the stress: "tensile", "root B1.1" or "root ISO"')
GRADE = Arg("grade", "words", "Specification, grade and class, e.g. A193 B7, A193 B8M class 2 or 10.9")
TORQUE = Arg("torque", "torque", "Torque on the nut")
TORQUES = Arg("torque", "rows", "Column of torques on the nut, one for each joint")
PRELOAD = Arg("preload", "preload", "Tension in one stud")
NUT_FACTOR = Arg("nut_factor", "nut_factor", "Nut factor K of the lubricant really used")
THREAD_FRICTION = Arg("thread_friction", "thread_friction", "Friction coefficient in the thread")
TABLE = Arg("table", "table", "Calibration table with headings and units, e.g. Pressure (psi) | Torque (ft-lb)")
GRADUATION = Arg("graduation", "graduation", "Step between two marks of the gauge", None)
ROUNDING = Arg("rounding", "words", 'Which mark: "nearest" (where nothing is said), "down" or "up"', "nearest")
TOLERANCE = Arg(
    "tolerance", "tolerance", "Per cent that the torque may differ by rounding, 3 if not given; more is refused", None
)
LINK_FACTOR = Arg("link_factor", "link_factor", "Torque with the link or adapter over torque in the table", 1.0)
MODULUS = Arg("modulus", "modulus", "Modulus of elasticity; of low-alloy steel, cold, if not given", None)
SERIES = Arg(
    "series",
    "words",
    'Nut series as its standard names it, e.g. "heavy hex", "ISO 4032"; may '
    "be left out for inch studs, where it is heavy hex",
    "",
)
