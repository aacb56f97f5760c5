"""The usual cautions by the kind of work, and when to stop and call: what every card says, whatever the joint."""

from addin.plan.record_joint import JointEntry

SUPPORTS = "This card supports and never replaces the site's procedure, local codes and licensed practice."

_PROVEN = "Line proven free of pressure, drained and released for work."
_PROTECTION = "Protective equipment as the site and the job ask."
_HYDRAULIC = (
    _PROVEN,
    "While there is pressure: hands off wrench, reaction arm and backup wrench; one trained person at the control.",
    "Reaction on something that holds; backup wrench secured.",
    "Out of line of wrench, studs and hoses.",
    "Nothing above the lowest rating of wrench, hose, pump and gauge; hoses sound, couplings screwed fully home.",
    "Never feel for a leak by hand: oil under the skin is an emergency, to hospital immediately.",
    "Make a short first stroke and check that the wrench seats squarely; then go on.",
    "Pressure off before anything is connected, moved or taken away.",
    _PROTECTION,
)
_HAND = (
    _PROVEN,
    "Hands clear where wrench or backup wrench can pinch; far nut held, backup wrench secured.",
    "Sound footing; pull steadily, out of line of the studs.",
    "Wrench and socket sound, socket fully on the nut.",
    "Torque wrench in calibration, its range covers every torque of this card.",
    _PROTECTION,
)
BREAKING = (
    "Zero energy proven before the first nut is turned.",
    "All nuts stay on until the gap opens.",
    "A nut that does not move at the most the wrench may give: stop. Never more pressure.",
)
USUAL = {"hydraulic": _HYDRAULIC, "hand": _HAND, "break": BREAKING}
"""The usual cautions by the kind of work, those that hurt most first; those of breaking out come after the first."""

_GAUGE = "the gauge does not reach the mark or falls back"
_NUTS = "a stud turns with its nut", "a nut turns suddenly, or on and on"
_MOVED = "the gap is uneven or the gasket moves"
_TIGHTENING = "a nut does not move at all in the first pass", *_NUTS, _MOVED
_AGAIN = *_NUTS, "a nut turns further than the engineer states (one flat, 60°, where nothing is stated)", _MOVED
STOPS = {
    "hydraulic": (_GAUGE, *_TIGHTENING, "anything leaks"),
    "hand": (*_TIGHTENING, "anything leaks"),
    "hydraulic again": (_GAUGE, *_AGAIN, "anything leaks"),
    "hand again": (*_AGAIN, "anything leaks"),
    "break": (_GAUGE, *_NUTS, "the faces or the pipe move to one side", "anything leaks or comes out of the joint"),
}
"""When to stop and call, by the kind of work. Where a joint is tightened again, a nut that does not move is right; one
flat is judgement, common practice without a source."""


def cautions_of(joint: JointEntry) -> tuple[str, ...]:
    """The usual cautions of a joint, in their order."""
    usual = _HAND if joint.method == "hand" else _HYDRAULIC
    return (usual[0], *BREAKING, *usual[1:]) if joint.operation == "break" else usual


def stops_of(joint: JointEntry) -> tuple[str, ...]:
    """When the crew of a joint stops and calls."""
    hand = joint.method == "hand"
    if joint.operation == "break" and not hand:
        return STOPS["break"]
    return STOPS[("hand" if hand else "hydraulic") + " again" * (joint.operation == "retighten")]
