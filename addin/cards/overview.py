"""The summary of a plan and its sheet of cautions: every row of the list stands in a count or in a line of its own."""

from collections.abc import Iterator, Sequence

import msgspec

from addin.cards.card_values import exactly, job_days
from addin.cards.days import DAY, day_lines
from addin.cards.kit import area_of
from addin.forms.tokens import Filling, Value, Vocabulary
from addin.plan.file import Plan
from addin.plan.record_joint import OTHER, STOPPED, TO_REVIEW, JointEntry
from addin.plan.usual_cautions import SUPPORTS, USUAL

COUNTS = ("rows", "planned", "hydraulic", "hand", "break-out", "other", "stopped", "studs")

SUMMARY = {
    **{name: f"rows in all: {name}" for name in COUNTS},
    "shown": "whether all rows of the plan are counted, or only those asked for",
    "reconciles": "planned, other methods and stopped add up to the rows",
    "list": "file of the joint list",
    "sheet": "sheet of the joint list",
    "date": "day of the plan",
    "settings": "settings that hold for the whole list",
    "program": "name and version of the program",
    "supports": "what the pack does not replace",
}
AREA = {"name": "area"} | {name: f"rows of the area: {name}" for name in COUNTS}
WRENCH = {
    "name": "wrench",
    "kind": "kind of wrench",
    "cards": "cards that set it",
    "studs": "studs of these cards",
    "alternate": "cards that name it as alternate",
    "highest": "highest pressure that a card lets it be set to, break-out included",
    "certificate": "certificate",
    "valid until": "last day of the certificate",
}
LEFT = {
    "row": "row of the list",
    "joint": "tag",
    "operation": "operation",
    "status": "stopped, other method, or to be reviewed",
    "reason": "why it is not planned, or what is to be reviewed",
}
SUMMARY_SHEET = Vocabulary(
    values=frozenset(SUMMARY),
    groups={
        "area": frozenset(AREA),
        "wrench": frozenset(WRENCH),
        "left": frozenset(LEFT),
        "day": frozenset(DAY),
    },
    required=(("rows",), ("planned",), ("other",), ("stopped",)),
    exact=frozenset(COUNTS) | {f"area.{name}" for name in COUNTS},
    lists=frozenset({"area", "wrench", "left", "day"}),
)

CAUTION_SHEET = Vocabulary(
    values=frozenset(
        {"list", "date", "program", "supports", "count", *(f"cautions {kind}" for kind in USUAL)},
    ),
    groups={"caution": frozenset({"text", "joints", "count"})},
    required=(("caution.text",), ("caution.joints",)),
    lists=frozenset({"caution"}),
)

LONGEST_ROW = 600
"""Characters of joints in a row of the cautions."""


def counts(joints: Sequence[JointEntry]) -> dict[str, Value]:
    """How many rows are what; break-outs by hydraulic wrench are counted apart."""
    planned = [joint for joint in joints if joint.planned]
    opening = sum(joint.operation == "break" for joint in planned)
    hand = sum(joint.method == "hand" and joint.operation != "break" for joint in planned)
    return {
        "rows": len(joints),
        "planned": len(planned),
        "hydraulic": len(planned) - hand - opening,
        "hand": hand,
        "break-out": opening,
        "other": sum(joint.status == OTHER for joint in joints),
        "stopped": sum(joint.status == STOPPED for joint in joints),
        "studs": sum((joint.studs or 0) for joint in planned),
    }


def reason(joint: JointEntry) -> str:
    """Why a row is not planned, in the words of the plan."""
    level = "stop" if joint.status == "stopped" else "caution"
    said = joint.to_review or joint.said(level)
    if said:
        return "; ".join(said)
    return "no reason given" if level == "stop" else f"method of the list: {joint.method or 'not stated'}"


def summary(plan: Plan, joints: Sequence[JointEntry]) -> Iterator[tuple[str, str, Filling]]:
    """The one sheet of the summary."""
    total = counts(joints)
    left = [joint for joint in joints if joint.status != "planned" or joint.to_review]
    review = sum(bool(joint.to_review) for joint in joints)
    whole = len(plan)
    settings = {name: value for name, value in msgspec.structs.asdict(plan.head.settings).items() if value is not None}
    values: dict[str, Value] = {
        **total,
        "shown": "all rows of the plan" if len(joints) == whole else f"{len(joints)} of {whole} rows, those asked for",
        "reconciles": f"{total['planned']} planned + {total['other']} by other methods + {total['stopped']} stopped = "
        f"{total['rows']} rows" + (f"; {review} of the planned {TO_REVIEW}" if review else ""),
        "list": plan.head.list_file,
        "sheet": plan.head.sheet,
        "program": plan.head.program,
        "date": job_days(plan.head.date),
        "settings": ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in settings.items()),
        "supports": SUPPORTS.replace("This card", "This pack"),
    }
    areas: list[dict[str, Value]] = [
        {"name": area, **counts([joint for joint in joints if area_of(joint) == area])}
        for area in dict.fromkeys(area_of(joint) for joint in joints)
    ]
    rows: list[dict[str, Value]] = [
        {
            "row": joint.row,
            "joint": joint.joint,
            "operation": joint.operation,
            "status": joint.said_status,
            "reason": reason(joint),
        }
        for joint in sorted(left, key=lambda joint: joint.status != "stopped")
    ]
    yield (
        "Summary",
        "",
        Filling(
            values, {"area": areas, "wrench": list(_wrenches(plan, joints)), "left": rows, "day": day_lines(joints)}
        ),
    )


def _wrenches(plan: Plan, joints: Sequence[JointEntry]) -> Iterator[dict[str, Value]]:
    """Every wrench that a card sets or names as alternate."""
    planned = [joint for joint in joints if joint.planned]
    for wrench in plan.head.wrenches:
        name = wrench.name
        mine = [(joint, tool) for joint in planned for tool in joint.tools if tool.wrench == name]
        instead = sum(any(item.wrench == name for item in joint.alternates) for joint in planned)
        if not mine and not instead:
            continue
        points = [tool.setpoint for _, tool in mine if tool.setpoint]
        points += [
            joint.breakout.highest_pressure for joint, _ in mine if joint.breakout and joint.breakout.highest_pressure
        ]
        yield {
            "name": name,
            "kind": wrench.kind,
            "cards": len(mine),
            "studs": sum((joint.studs or 0) for joint, _ in mine),
            "alternate": instead,
            "highest": exactly(max(points, key=lambda point: point.value)) if points else None,
            "certificate": wrench.certificate or "not stated",
            "valid until": wrench.valid_until or "not stated",
        }


def cautions(plan: Plan, joints: Sequence[JointEntry]) -> Iterator[tuple[str, str, Filling]]:
    """The one sheet of cautions: the usual ones, then what the plan found, each text once with its joints."""
    found: dict[str, dict[str, None]] = {}
    for joint in joints:
        for item in joint.findings:
            if item.level == "caution" and joint.planned:
                found.setdefault(item.text, {})[f"{joint.joint} {joint.operation}"] = None
    rows: list[dict[str, Value]] = []
    for words, tags in sorted(found.items(), key=lambda item: -len(item[1])):
        for number, some in enumerate(_in_rows(list(tags))):
            first = number == 0
            rows.append({"text": words if first else None, "count": len(tags) if first else None, "joints": some})
    values: dict[str, Value] = {"list": plan.head.list_file, "program": plan.head.program}
    values["date"] = job_days(plan.head.date)
    values |= {f"cautions {kind}": "\n".join(f"• {line}" for line in lines) for kind, lines in USUAL.items()}
    values |= {"supports": SUPPORTS.replace("This card", "This pack"), "count": len(found)}
    yield "Cautions", "", Filling(values, {"caution": rows})


def _in_rows(tags: Sequence[str]) -> list[str]:
    """Joints as texts that fit a row each: a row has an end, and a caution may concern a thousand joints.

    >>> _in_rows(["E-1 break"] * 100)[0].count("E-1"), len(_in_rows(["E-1 break"] * 100))
    (54, 2)
    """
    rows = [""]
    for tag in tags:
        longer = f"{rows[-1]}, {tag}" if rows[-1] else tag
        if rows[-1] and len(longer) > LONGEST_ROW:
            rows.append(tag)
        else:
            rows[-1] = longer
    return rows
