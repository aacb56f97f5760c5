"""Registry of the functions about stretch, stud length, standard flanges, room for a link and break-out."""

from addin.functions.arguments import GRADE, MODULUS, PRELOAD, SERIES, TABLE, THREAD, TORQUE, UNITS
from addin.functions.gate import Arg, Function
from addin.functions.late import Late

calls_breakout, calls_stud = Late("addin.functions.calls_breakout"), Late("addin.functions.calls_stud")

_LENGTH = Arg("length", "stretch_length", "Effective length of the stud: the grip and half of each nut")

STUDS: tuple[Function, ...] = (
    Function(
        "stud_stretch",
        "Stretch of a stud under its preload.",
        (PRELOAD, THREAD, _LENGTH, UNITS, MODULUS),
        "length",
        calls_stud.stud_stretch,
        "F L / (E As), ASME PCC-1",
    ),
    Function(
        "nut_turn",
        "Turn of the nut from snug, in degrees, for the stud's own stretch; a joint that gives turns it further.",
        (PRELOAD, THREAD, _LENGTH, UNITS, MODULUS),
        "angle",
        calls_stud.nut_turn,
        "360 F L / (E As P)",
    ),
    Function(
        "stud_length",
        "Shortest stud that gives two full nuts and a thread out of each, without points.",
        (THREAD, Arg("grip", "grip", "Clamped length: flanges, faces and compressed gasket between the nuts"), UNITS),
        "length",
        calls_stud.stud_length,
        "common practice, no source; lengths counted as in ASME B16.5",
    ),
    Function(
        "flange_studs",
        "Studs of a standard flange: count, size, length, bolt circle and hole, with how the row was read.",
        (
            Arg("nps", "words", "Nominal pipe size, e.g. 6, 1-1/2 or DN 150"),
            Arg("pressure_class", "words", "Pressure class, e.g. 300"),
            UNITS,
        ),
        "spill",
        calls_stud.flange_studs,
        "ASME B16.5",
    ),
    Function(
        "link_clearance",
        "Room for the link (cassette) of a low-clearance wrench: to the neighbouring nuts and to the hub.",
        (
            THREAD,
            Arg("studs", "studs", "Number of studs"),
            Arg("bolt_circle", "bolt_circle", "Diameter of the bolt circle"),
            Arg("link_radius", "link_radius", "Radius of the link's nose about its nut"),
            UNITS,
            Arg("hub_diameter", "hub_diameter", "Diameter of hub or pipe at the height of the nuts", None),
            SERIES,
        ),
        "spill",
        calls_breakout.link_clearance,
        "plane geometry",
    ),
    Function(
        "breakout_check",
        "Breaking out: torque to expect, what the wrench has, the stud's torsional limit, what follows, stages.",
        (
            TORQUE,
            TABLE,
            UNITS,
            Arg("factor", "breakout_factor", "Torque to expect over the make-up torque, as somebody states it", None),
            Arg(GRADE.name, GRADE.kind, GRADE.help, ""),
            Arg(THREAD.name, THREAD.kind, THREAD.help, None),
        ),
        "spill",
        calls_breakout.breakout_check,
        "factor as stated; torsion of the stress diameter (Mises)",
    ),
)
