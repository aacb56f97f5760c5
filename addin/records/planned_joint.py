"""A joint's entry in a plan in SI, as a record is held against it."""

from collections.abc import Sequence
from functools import cache

from addin.plan.hand_wrench import hand_tools, hand_wrench_for
from addin.plan.record import JointPass, PlanHead
from addin.plan.record_joint import FrictionEntry, JointEntry, ToolEntry
from addin.records.tools_of_plan import number, si
from calc.hardware import friction as nut_friction
from calc.hardware import threads
from calc.review.as_tightened import Friction, Planned, PlannedPass, Tool


def planned_of(joint: JointEntry, head: PlanHead) -> Planned:
    """A joint's entry in a plan, in SI."""
    passes = [item for item in head.passes(joint) if item.percent]
    friction = joint.target.friction if joint.target else FrictionEntry()
    flats = si(joint.across_flats, "length")
    thread = _thread(joint.thread or "")
    ceiling = next((each.value for each in joint.limits if each.name == "stud ceiling"), None)
    return Planned(
        passes=tuple(
            PlannedPass(item.number, si(item.torque, "torque"), 3600.0 * (item.wait_hours or 0.0), item.studs)
            for item in passes
        ),
        tools=tuple(_tool(head, joint, each) for each in joint.wrenches),
        alternates=tuple(_tool(head, joint, each) for each in joint.alternates),
        hand=joint.method == "hand",
        card=joint.card or "",
        across_flats=flats,
        bearing=float(nut_friction.bearing_diameter(thread, flats)),
        thread=thread,
        lubricant=friction.lubricant or "",
        friction=Friction(
            *(number(getattr(friction, name)) for name in ("nut_factor", "thread_friction", "nut_friction"))
        ),
        preload=si(joint.preload, "force"),
        ceiling=si(ceiling, "stress"),
        tolerance=head.settings.tolerance_percent / 100,
        by_hand=_by_hand(joint, head, passes),
    )


def _by_hand(joint: JointEntry, head: PlanHead, passes: Sequence[JointPass]) -> dict[int, str]:
    """The hand torque wrench that the card names for each pass that no pump sets; an alternate may have other passes
    of that kind.
    """
    named = hand_tools(joint, head)
    found = {item.number: named[item.name] for item in passes if item.name in named}
    numbers = [stage.number for stage in head.stages_of(joint)]
    for tool in joint.alternates:
        for at, setting in zip(numbers, head.set_on(joint, tool), strict=True):
            item = next((each for each in passes if each.number == at), None)
            if item and item.torque and setting.pressure is None and at not in found:
                found[at] = hand_wrench_for([item.torque], joint.date, head.equipment)
    return {at: tool.name for at, tool in found.items() if tool}


@cache
def _thread(designation: str) -> threads.Thread:
    return threads.parse(designation)


def _tool(head: PlanHead, joint: JointEntry, tool: ToolEntry) -> Tool:
    settings = zip(head.stages_of(joint), head.set_on(joint, tool), strict=True)
    pressures = {item.number: si(setting.pressure, "pressure") for item, setting in settings}
    return Tool(tool.wrench, tool.link, tool.gauge, pressures)
