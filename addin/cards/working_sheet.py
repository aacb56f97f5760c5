"""The page behind a card: the working of its numbers, step by step, for who checks them."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from addin.cards.card_values import NO_DAY, exactly, in_other_units, text
from addin.cards.joint_card import SUPPORTS
from addin.cells.texts import is_stop
from addin.cells.words import figure
from addin.forms.tokens import Filling, TemplateError, Value, Vocabulary
from addin.plan.file import Plan
from addin.plan.record import FULL
from addin.plan.record_joint import JointEntry
from addin.plan.working import WorkingSection, joint_working
from addin.workbooks.addresses import letters
from calc.hardware import friction, threads
from calc.quantities import short
from calc.units import from_si

Row = dict[str, Value]

WORKING = {
    "joint": "tag",
    "operation": "operation",
    "card": "revision of the card",
    "thread": "size of the studs",
    "studs": "number of studs",
    "grade": "grade of the studs",
    "tools": "wrench, link and gauge that the card sets",
    "left out": "numbers of the card that this page does not work out",
    "passes heading": "heading of the passes, blank where there are none",
    "pass torque heading": "torque and its unit",
    "pass pressure heading": "pressure and its unit",
    "pass torque there heading": "torque at that pressure and its unit",
    "break heading": "heading of the break-out table, blank where there is none",
    "list": "file of the joint list",
    "row": "row of the joint list",
    "date": "day of the job or of the plan",
    "program": "name and version of the program",
    "supports": "what the page does not replace",
}
STEP = {
    "step": "number of the step, the letter of a section, or the word result",
    "what": "what the step gives; in the row of a section, what is worked out",
    "formula": "formula in symbols, or the symbol",
    "numbers": "the formula with its numbers and units put in",
    "value": "value",
    "unit": "its unit",
    "source": "source; in the row of a section, the worksheet function",
    "on card": "in the row of a section: what the card shows",
}
PASS = {
    "number": "number of the pass",
    "percent": "share of the torque",
    "torque": "torque of the pass",
    "pressure": "pressure to set",
    "torque there": "torque at that pressure",
    "pattern": "pattern",
}
BREAK = {
    "what": "what the row gives",
    "value": "value worked out",
    "unit": "its unit",
    "note": "what goes with it",
    "on card": "what the card shows",
}
VOCABULARY = Vocabulary(
    values=frozenset(WORKING),
    groups={"step": frozenset(STEP), "pass": frozenset(PASS), "break": frozenset(BREAK)},
    required=(("joint",), ("card",), ("step.formula",), ("step.value",), ("step.unit",)),
    exact=frozenset({"pass.pressure"}),
    lists=frozenset({"step", "pass", "break"}),
)

_WHAT = {
    "preload_from_stress": "Preload", "preload_from_yield": "Preload", "preload_from_torque": "Preload",
    "torque_from_preload": "Torque", "torque_from_friction": "Torque", "combined_stress": "Stress with torsion",
    "setpoint": "Pressure to set", "pass_table": "Passes", "breakout_check": "Break-out",
}  # fmt: skip
_BREAK_ON_CARD = {
    "torque to expect": "expected", "torque at the wrench's highest point": "available",
    "stud's torsional limit": "stud_limit", "never beyond": "never_above", "what follows": "follows",
}  # fmt: skip


def no_fault(plan: Plan, joint: JointEntry) -> None:
    """Every joint with a card has a page."""


def filling(plan: Plan, joint: JointEntry, *, both: bool = False, issued: str | None = None) -> Filling:  # noqa: ARG001
    """Everything the page of one joint is filled with. both : what the card shows in the other system of units too.

    Raises TemplateError where the working does not come to the plan's own numbers: then the two do not belong together.
    """
    sections = joint_working(plan.head, joint)
    steps: list[Row] = []
    passes: list[Row] = []
    breaks: list[Row] = []
    values: dict[str, Value] = dict.fromkeys(WORKING)
    for number, section in enumerate(sections):
        _check(plan, joint, section)
        name = section.function
        heading: Row = {"step": letters(number + 1), "what": _what(plan, joint, section), "source": name}
        steps.append(heading | {"on card": _on_card(joint, section, both)})
        if len(section.rows) == 1:
            steps.append({"step": None, "what": f"not worked out: {section.rows[0][0]}"})
            continue
        table = name in ("pass_table", "breakout_check")
        steps += _steps(plan, joint, section, sections[:number])
        rows = [row[1:] for row in section.rows if row[0] == "result"] if table else []
        if name == "pass_table":
            values |= {f"pass {word} heading": head for word, head in
                       zip(("torque", "pressure", "torque there"), rows[0][2:5], strict=True)}  # fmt: skip
            values["passes heading"] = "Passes"
            own = _numbers_on_card(plan, joint)
            passes = [
                dict(zip(PASS, map(_value, [own[row[0]], *row[1:6]]), strict=True)) for row in rows[1:] if row[0] in own
            ]
        elif table:
            values["break heading"] = "Break-out: by the wrench's table, and what the card shows"
            breaks = _break_rows(joint, rows[1:])
    values |= {name: getattr(joint, name) for name in ("joint", "operation", "card", "thread", "studs", "row")}
    values |= {
        "grade": joint.grades or "grade not stated",
        "tools": _tools(joint),
        "left out": _left_out(joint, sections),
        "date": joint.date or plan.head.date or NO_DAY,
        "supports": SUPPORTS.replace("This card", "This page"),
        "list": plan.head.list_file,
        "program": plan.head.program,
    }
    return Filling(values, {"step": steps, "pass": passes, "break": breaks})


def _numbers_on_card(plan: Plan, joint: JointEntry) -> dict[Any, int]:
    """What the card numbers each pass of the scheme that it has."""
    numbers = [item.number for item in plan.head.passes(joint)]
    return dict(zip(plan.head.scheme_numbers(joint), numbers, strict=True))


def _check(plan: Plan, joint: JointEntry, section: WorkingSection) -> None:
    rows, name = section.rows, section.function
    if section.agrees is False and len(rows) > 1:
        raise TemplateError(f"the working of {name} gives {_shown(rows[-1][4])} {rows[-1][5]}, not what the plan says")
    results = {row[1]: row for row in rows if row[0] == "result"}
    if name == "pass_table":
        for number, item in zip(plan.head.scheme_numbers(joint), plan.head.passes(joint), strict=True):
            own, row = item.pressure, results.get(number)
            worked = row[4] if row and isinstance(row[4], float) else None
            if worked != (own.value if own else None):
                said = "none" if worked is None else _shown(worked)
                raise TemplateError(f"the working of pass {item.number} gives the pressure {said}, "
                                    f"the plan {exactly(own) if own else 'none'}")  # fmt: skip
    if name == "breakout_check" and len(rows) > 1:
        assert joint.breakout is not None
        expected, result = joint.breakout.expected, results["torque to expect"]
        if result[2:4] != [expected.value, expected.unit]:
            found = f"{_shown(result[2])} {result[3]}"
            raise TemplateError(f"the working of {name} expects {found}, not what the plan says")


def _shown(value: Any) -> str:
    return figure(value) if isinstance(value, float) else str(value)


def _value(value: Any) -> Value:
    """A cell of a working: a number without a point where it is whole, a text as it is."""
    if isinstance(value, float):
        return int(value) if value.is_integer() else value
    return value if value != "" else None


def _steps(
    plan: Plan, joint: JointEntry, section: WorkingSection, before: Sequence[WorkingSection]
) -> list[Row]:  # fmt: skip
    """A row for each step; those that stand word for word in a section before are not repeated."""
    above = [row[1:6] for each in before for row in each.rows]
    table = section.function in ("pass_table", "breakout_check")
    known: dict[str, str] = {}
    found = []
    for row in section.rows[1:]:
        number, what, symbol, formula, value, unit, source = row
        if number == "result" and table:
            break
        numbers = _put_in(formula, known)
        if symbol:
            known[symbol] = f"{_shown(value)}\u00a0{unit}".strip()  # no line ends between the two
        if number != "result" and row[1:6] in above:
            continue
        if symbol and not formula.startswith(f"{symbol} ="):
            formula = f"{symbol} = {formula}" if formula else symbol
        if (what, source) == ("table", "given"):
            value, source = str(value).removesuffix(" below its headings"), _certificate(plan, joint)
        if (symbol, source) == ("De", "given"):
            source = _bearing(joint)
        if (what, source) == ("graduation", "given"):
            unit = joint.setpoint.unit if joint.setpoint else None  # marks and setting are both the gauge's
        found.append({"step": int(number) if number.isdecimal() else number, "what": what, "formula": formula or None,
                      "numbers": numbers, "value": _value(value), "unit": unit or None,
                      "source": source or None})  # fmt: skip
    return found


def _bearing(joint: JointEntry) -> str:
    """Where the mean friction diameter under the nut comes from: nobody gives it."""
    flats, thread = joint.across_flats, threads.parse(joint.thread or "")
    if flats is None:
        return "given"
    hole = from_si(friction.hole_diameter(thread), "length", flats.unit)
    sizes = f"{_shown(flats.value)} and {_shown(float(short(float(hole))))} {flats.unit}"
    return f"mean of nut across flats and stud hole, {sizes} (PCC-1 form); not given by the list"


_WORD = re.compile(r"[^\W\d_]{3,}")
_SYMBOL = re.compile(r"[^\W\d_²³][^\W²³]*'?")
_OPERAND_ENDS, _OPERAND_BEGINS = r"(?<!\btan)(?<!\bcos)(?<=[\w')\]²³])", r"(?=[\w(\[√])"


def _put_in(formula: str, known: Mapping[str, str]) -> str | None:
    """A formula with the values of its symbols put in; None where it is in words, or holds a symbol not listed.

    >>> _put_in("T = K D F", {"K": "0.16", "D": "1.5 in", "F": "56210 lbf"})
    '= 0.16 · 1.5 in · 56210 lbf'
    >>> _put_in("σ = F / As", {"F": "100 N"}), _put_in("AF = 1.5 D + 1/8 in", {"D": "1 in"})
    (None, None)
    """
    right = formula.partition(" = ")[2] or formula
    letters = re.sub(r"\btan\b|\bcos\b", "", right)
    if not known or "," in right or _WORD.search(letters) or " in" in right:
        return None
    right = re.sub(rf"{_OPERAND_ENDS} {_OPERAND_BEGINS}", " · ", right)
    lacking = False

    def number(match: re.Match[str]) -> str:
        nonlocal lacking
        symbol = match[0]
        if symbol in ("tan", "cos", "π"):
            return symbol
        if symbol not in known:
            lacking = True
            return symbol
        value = known[symbol]
        squared = right[match.end() : match.end() + 1] in ("²", "³")
        return f"({value})" if value.startswith("-") or (squared and "\u00a0" in value) else value

    put = _SYMBOL.sub(number, right)
    return None if lacking or put == right else f"= {put}"


def _what(plan: Plan, joint: JointEntry, section: WorkingSection) -> str:
    """What a section works out; the pass that a setting is for, where another one than the full torque's."""
    if section.function == "setpoint" and section.arguments[0] != (joint.torque and joint.torque.value):
        item = next(each for each in plan.head.passes(joint)
                    if each.torque and each.torque.value == section.arguments[0])  # fmt: skip
        raised = f", {joint.raised.note}" if joint.raised and (item.percent or 0) > FULL else ""
        return f"Pressure to set in {item.name}{raised}"
    return _WHAT.get(section.function, section.function)


def _on_card(joint: JointEntry, section: WorkingSection, both: bool) -> str | None:
    """What the card shows of a section's result."""
    function = section.function
    if function == "setpoint":
        return f"on the card: {exactly(section.own)}" if section.own else None
    if function == "combined_stress":
        return f"on the card: {text(reached)}" if (reached := joint.limits[0].reached) else None
    given = getattr(joint, function.partition("_")[0], None)
    if function in ("pass_table", "breakout_check") or not given:
        return None
    other = in_other_units(given) if both else None
    return f"on the card: {text(given)}" + (f" ({other})" if other else "")


def _tools(joint: JointEntry) -> str:
    if joint.method == "hand":
        return "hand torque wrench"
    return "; ".join(f"{item.wrench}, {item.link or 'no link'}, gauge {item.gauge}" for item in joint.tools)


def _certificate(plan: Plan, joint: JointEntry) -> str:
    """Where the table of the one wrench of a section comes from."""
    item = joint.tools[0]
    entry = plan.head.wrench(item.wrench)
    words = f"{item.wrench}, certificate {(entry.certificate if entry else None) or 'not stated'}"
    factor = next((link.factor for link in (entry.links if entry else ()) if link.name == item.link), 1.0)
    return words + (f", times {figure(factor)} of its link" if joint.breakout and factor != 1.0 else "")


def _break_rows(joint: JointEntry, rows: Sequence[Sequence[Any]]) -> list[Row]:
    """The rows of a break-out beside what the card shows, which keeps to the ratings and to the gauge's marks."""
    block = joint.breakout
    assert block is not None
    stages = {f"stage {stage.stage}": stage.pressure for stage in block.stages}
    found: list[Row] = []
    for what, value, unit, note, *_ in rows:
        own = getattr(block, _BREAK_ON_CARD[what]) if what in _BREAK_ON_CARD else stages.pop(what, None)
        shown = own if isinstance(own, str) else "none" if not own else exactly(own) if "stage" in what else text(own)
        found.append({"what": what, "value": _value(value), "unit": unit or None, "note": note or None,
                      "on card": shown})  # fmt: skip
    alone: Row = {"note": "on the card alone"}
    return found + [alone | {"what": what, "on card": exactly(own)} for what, own in stages.items()]


def _left_out(joint: JointEntry, sections: Sequence[WorkingSection]) -> str:
    """Numbers of the card without a working here, and why."""
    worked = {_WHAT.get(section.function) for section in sections if not is_stop(section.rows[0][0])}
    stated, lines = joint.target.basis if joint.target else "target not stated", []
    if not joint.breakout:
        if "Preload" not in worked:
            known, note = joint.preload, joint.preload_note or "-"
            lines.append(f"preload {text(known)}, {stated}" if known else f"preload: {note}")
        if "Torque" not in worked and joint.torque:
            lines.append(f"torque {text(joint.torque)}: {stated}")
        several = len(joint.wrenches)
        if several > 1:
            lines.append(f"pressures: {several} wrenches on one pump share them, no single function gives them")
        elif joint.method == "hand":
            lines.append("torque of each pass: its share of the torque")
    reach = joint.range
    if reach and reach.low and reach.high:
        lines.append(f"range of preload {text(reach.low)} to {text(reach.high)}: {reach.note}")
    lines.append("limits, order and time" if "Stress with torsion" not in worked else "other limits, order and time")
    return "; ".join(lines)
