"""The tokens of a joint card, each with what it stands for."""

from addin.cards.card_identity import IDENTITY
from addin.cards.card_order import ORDER
from addin.cards.card_record import BANDS, DONE, RECORD, TICKS, USED, WAIT
from addin.forms.tokens import Vocabulary
from addin.plan.record_joint import LISTED
from addin.reading.understood import shown_name

MOST_PASSES = 8
"""Passes that have a place in a wrench's own row."""
MOST_SHOWN = 6
"""Figures that have a column in the rows for other wrenches."""

CARD = {
    "joint": "tag of the joint",
    "operation": "break, test make-up, final make-up or retighten",
    "card": "revision of the card",
    "list": "file of the joint list",
    "sheet": "sheet of the joint list",
    "row": "row of the joint list",
    "date": "day of the job",
    "program": "name and version of the program",
    "place": "area, equipment, line, size and rating in one line",
    "area of plant": "area",
    "equipment": "equipment",
    "line": "line number",
    "size": "size of the flange",
    "rating": "rating of the flange",
    "gasket": "gasket",
    "remarks": "remarks of the list",
    "thread": "thread of the studs",
    "studs": "number of studs",
    "grade": "specification and grade of the studs",
    "across flats": "nut, width across flats",
    "across flats unit": "its unit",
    "nut series": "series of the nut",
    "target": "target and its basis in words",
    "preload": "preload of a stud, or why it is not known",
    "preload unit": "its unit",
    "limits": "limits with what is reached, or not checked",
    "range": "low and high preload with what is in that range; blank where it is not known",
    "lubricant": "lubricant product",
    "friction": "nut factor or coefficients, with the source",
    "torque": "final torque",
    "torque unit": "its unit",
    "torque other": "final torque in the other system of units; blank unless both are asked for",
    "preload other": "preload in the other system of units; blank unless both are asked for",
    "wrench": "wrench, or wrenches that pull together",
    "link": "link or adapter",
    "gauge": "gauge",
    "pump": "pump",
    "hose": "hose",
    "certificate": "calibration certificate of the wrench and its last day",
    "ratings": "rated pressures of wrench, hose and pump",
    "backup wrench": "wrench for the far nut",
    "setpoint": "pressure for the final torque (by hand: the torque)",
    "setpoint unit": "its unit",
    "torque at setpoint": "torque that the setpoint gives",
    "torque at setpoint unit": "its unit",
    "difference": "how far that is from the final torque",
    "set heading": "PRESSURE TO SET with wrench and unit, or TORQUE TO SET with its unit",
    "set alike": "yes where all wrenches are set alike, else blank",
    "settings of pair": "yes where two wrenches are each set differently, else blank",
    "settings of four": "yes where four wrenches are each set differently, else blank",
    **{
        f"set heading {number}": f"wrench {number} and its unit, where each is set differently"
        for number in range(1, 5)
    },
    "set unit": "unit of what is set",
    "at set heading": "heading of the torque at that pressure",
    "rule": "how to set and when a stud is at torque",
    "alternates heading": "heading of the rows for other wrenches; blank where none fits",
    **{
        f"alternate pass {number}": f"pass or passes in column {number} of the rows for other wrenches; blank for none"
        for number in range(1, MOST_SHOWN + 1)
    },
    "wrenches heading": "heading of the rows for each wrench; blank for one wrench",
    "at once": "number of wrenches that pull together",
    **ORDER,
    "notice": "what the operation demands; blank for a final make-up",
    "attention": "cautions found for this joint",
    "cautions": "the usual cautions",
    "stop lines": "when to stop and call",
    "supports": "what the card does not replace",
    **IDENTITY,
    **RECORD,
}
CARD |= {shown_name(each.name): "as the list says it" for each in LISTED}
CARD |= {f"{shown_name(each.name)} unit": "its unit" for each in LISTED if each.kind}
PASS = {
    "number": "number of the pass",
    "name": "name of the pass",
    "part": "how many studs a pass pulls that leaves some of them out, else blank",
    "pattern": "pattern",
    "how": "pattern and note",
    "percent": "per cent of the final torque",
    "torque": "torque of the pass",
    "torque unit": "its unit",
    "torque other": "torque of the pass in the other system of units; blank unless both are asked for",
    "torque at other": "torque at that pressure in the other system of units; blank unless both are asked for",
    "set": "what to set: pressure, by hand torque, or in words why there is none",
    "pressure": "pressure to set, or in words why there is none",
    "pressure unit": "its unit",
    "torque at": "torque at that pressure",
    "torque at unit": "its unit",
    "note": "note of the plan, without the words shown in place of a figure",
}
WRENCH = {
    "wrench": "wrench",
    "link": "link or adapter",
    "gauge": "gauge",
    "pump": "pump",
    "words": "link, gauge, pump and setpoint in words",
    "setpoint": "its setpoint",
    "setpoint unit": "its unit",
    "torque at setpoint": "torque that its setpoint gives",
    "torque at setpoint unit": "its unit",
} | {f"pressure {number}": f"its pressure in row {number} of the pass table" for number in range(1, MOST_PASSES + 1)}

TOGETHER = PASS | {f"set {number}": f"pressure to set on wrench {number}" for number in range(1, 5)}
"""A pass where each of several wrenches is set differently."""

ALTERNATE = WRENCH | {
    "words": "link, gauge, pump, hose, ratings and certificate in words",
    "gives": "torque that its setpoint gives, and how far that is from the final torque",
    "difference": "how far that torque is from the final torque",
    **{f"set {number}": f"its pressure in the pass of column {number}" for number in range(1, MOST_SHOWN + 1)},
}

VOCABULARY = Vocabulary(
    values=frozenset(CARD),
    groups={
        "pass": frozenset(PASS),
        "wrench": frozenset(WRENCH),
        "alternate": frozenset(ALTERNATE),
        "pair": frozenset(TOGETHER),
        "four": frozenset(TOGETHER),
        "done": frozenset(DONE),
        "wait": frozenset(WAIT),
        "used": frozenset(USED),
        **dict.fromkeys(BANDS, frozenset(TICKS)),
    },  # fmt: skip
    pictures=frozenset({"order picture", "card mark"}),
    required=(("joint",), ("operation",), ("card",), ("pass.set", "pass.pressure")),
    exact=frozenset({"pass.set", "pass.pressure", "setpoint", "wrench.setpoint", "alternate.setpoint"})
    | {f"{group}.pressure {number}" for group in ("wrench", "alternate") for number in range(1, MOST_PASSES + 1)}
    | {f"{group}.set {number}" for group in ("pair", "four") for number in range(1, 5)}
    | {f"alternate.set {number}" for number in range(1, MOST_SHOWN + 1)},
    spare=frozenset({"alternate", "pair", "four", "done", "wait", "used", *BANDS}),
)
