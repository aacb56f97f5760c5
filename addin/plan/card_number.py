"""The number of a card: made from what a crew sets, fits, applies, checks, waits for or is warned of, and from nothing
else.

A card gets a new number exactly where one of these changes. What only plans or foresees (range, time, day, crew, shift,
sequence, source of the friction), where a row stands, and the words around it change nothing a crew does.
"""

import hashlib
import re
from collections.abc import Callable, Collection, Hashable, Mapping
from functools import lru_cache, partial
from operator import attrgetter
from typing import Any

import msgspec

from addin.plan.entries import Amount, Entry
from addin.plan.hand_wrench import hand_tools
from addin.plan.record import PlanHead
from addin.plan.record_joint import JointEntry, ToolEntry
from addin.plan.usual_cautions import cautions_of, stops_of
from addin.reading.understood import shown_name
from calc.findings import InputError
from calc.procedure import order

_SAID = (
    "joint", "operation", "method", "equipment", "line", "size", "rating", "gasket", "thread", "studs", "grade",
    "length", "across_flats", "nut_series", "backup_wrench", "at_once", "torque", "turned_side", "stud_1", "witness",
    "hold_point",
)  # fmt: skip
"""Fields of an entry that count as they stand."""
_said = attrgetter(*_SAID)
_LISTED = ("washers", "stud_condition")
"""Fields that the entry carries as the list says them, and that count where the list says something."""
_FRICTION = ("kind", "nut_factor", "thread_friction", "nut_friction", "lubricant")
_BOOK = (
    "serial_number",
    "rated_pressure",
    "hose",
    "hose_rated_pressure",
    "pump_rated_pressure",
    "rated_torque",
    "table",
)
_OF_THE_LIST = frozenset(("rows", "more", "where", "count", "size"))
"""Facts of a caution that say where else, or in how many rows, it was found: they move with the rest of the list."""

_ABOUT_THE_JOB = re.compile(
    r"(?:scaffold(?:ing)?|access|ladder|platform|crane|lift(?:ing)?|lighting|insulation|lagging|paint(?:ing)?|cladding|"
    r"crew|shift|foreman|supervisor|contact|permit|work ?order|wo|priority|schedule|planned|date|day|night|week|area|"
    r"spares?|delivery|ordered|stores?|warehouse|photo|drawing|isometric|iso|p&id|tag plate|label|name ?plate|"
    r"weather|parking|transport|radio|escort|key|gate|trace heating|asset|cost|budget|invoice|scope|quote)\b",
    re.IGNORECASE,
)
_TELLS = re.compile(
    r"\b(?:tighten|torque|loosen|retighten|use|fit|renew|replace|change|clean|grease|lubricat|inspect|check|measure|"
    r"hold|witness|wait|stop|never|not|only|must|caution|warning|danger|hazard|hot|pressure|gauge|gasket|stud|bolt|nut|"
    r"washer|thread|pass|order(?!ed)|gap|leak|tool|wrench|call|before|after|until|while|during|max|min|psi|bar|mpa|ksi|kn|"
    r"n[·. ]?m|ft|lbf?|°|deg|%|toxic|h2s|acid|caustic|steam|drain|vent|isolat|blind|spade|tapped|re-?used?)",
    re.IGNORECASE,
)


@lru_cache(maxsize=1024)
def instructions(remarks: str | None) -> str | None:
    """The parts of a row's remarks that tell the crew something to do or to watch; None where there are none.

    A part about scaffold, access, crew, days, spares or papers is none, unless it also speaks of the work. What is
    neither known as such is taken as an instruction: one card too many rather than one missed.

    >>> instructions("scaffold needed; fit new studs"), instructions("Scaffold needed."), instructions("odd face")
    ('fit new studs', None, 'odd face')
    """
    parts = [" ".join(part.split()) for part in re.split(r"[;\n]|\.(?=\s|$)", remarks or "")]
    told = [part for part in parts if part and not (_ABOUT_THE_JOB.search(part) and not _TELLS.search(part))]
    return "; ".join(told) or None


def parts(joint: JointEntry, head: PlanHead) -> dict[str, Any]:
    """Everything that makes the number of a planned joint's card, by its name, in the order in which people look."""
    return _parts(joint, head, lambda _about, made: made())


def _parts(joint: JointEntry, head: PlanHead, of_head: Callable[[Hashable, Callable[[], Any]], Any]) -> dict[str, Any]:
    """The same; what the head says for many joints comes from `of_head`, told what it is about and how it is made."""
    return _of_joint(joint) | _as_planned(joint, head, of_head) | _told(joint, of_head)


def _of_joint(joint: JointEntry) -> dict[str, Any]:
    """What a joint is."""
    found: dict[str, Any] = dict(zip(_SAID, _said(joint), strict=True))
    if joint.nut_grade:
        found["nut grade"] = joint.nut_grade
    if not joint.listed:
        return found
    return found | {shown_name(name): joint.listed[name] for name in _LISTED if joint.listed.get(name)}


def _plan_of(joint: JointEntry) -> Hashable:
    """Everything of an entry that `_as_planned` looks at, itself and through the head."""
    return (
        joint.status, joint.operation, joint.method, joint.date, joint.studs, joint.at_once, joint.torque,
        joint.target and joint.target.friction, joint.limits, joint.wrenches, joint.alternates, joint.passes,
        joint.pattern, joint.raised, joint.own_order, joint.breakout,
    )  # fmt: skip


def _as_planned(
    joint: JointEntry, head: PlanHead, of_head: Callable[[Hashable, Callable[[], Any]], Any]
) -> dict[str, Any]:
    """What is done to it."""
    found: dict[str, Any] = {}
    for number, tool in enumerate(joint.tools, 1):
        found |= _tool(tool, f" of wrench {number}" if number > 1 else "")
    for name in dict.fromkeys(tool.wrench for tool in joint.tools):
        links = frozenset(tool.link for tool in joint.tools if tool.wrench == name)
        made = partial(_of_book, head, name, links)
        found[f"table, factors or ratings of {name}"] = of_head(("book", name, links), made)
    for name in dict.fromkeys(tool.gauge for tool in joint.tools):
        found[f"scale of gauge {name}"] = of_head(("gauge", name), partial(_scale, head, name))
    if joint.target:
        found |= {name: getattr(joint.target.friction, name) for name in _FRICTION}
    found["limits"] = [(limit.name, limit.value, limit.reached) for limit in joint.limits]
    stages = _stages(head, joint)
    found["passes"] = [
        [each.torque for each in joint.passes],
        *(of_head(each, partial(_same, each)) for each in stages),
    ]
    found["hand torque wrench"] = [[name, tool and tool.name] for name, tool in hand_tools(joint, head).items()]
    key = ("order", joint.operation, joint.studs, joint.at_once, joint.own_order)
    found["order"] = [] if joint.breakout else of_head(key, partial(_order, head, joint))
    found["alternates"] = [
        [
            _tool(tool, ""),
            *(of_head((each, tool.wrench), partial(each, head, tool.wrench)) for each in (_ratings, _hose)),
        ]
        for tool in joint.alternates
    ]
    found["break-out"] = joint.breakout and msgspec.structs.replace(joint.breakout, factor_from="")
    return found


def _told(joint: JointEntry, of_head: Callable[[Hashable, Callable[[], Any]], Any]) -> dict[str, Any]:
    """What its crew is told."""
    found: dict[str, Any] = {"instructions in the remarks": instructions(joint.remarks)}
    found["cautions"] = sorted(
        _encoder.encode(
            (each.code, each.quantity, {k: v for k, v in each.facts.items() if k not in _OF_THE_LIST})
        ).decode()
        for each in joint.for_the_crew()
    )
    usual = cautions_of(joint), stops_of(joint)
    found["usual cautions, and when to stop"] = of_head(usual, partial(_same, usual))
    return found


def card_number(joint: JointEntry, head: PlanHead) -> str:
    """The number of a planned joint's card, such as 7F3A-91C2."""
    said = _Said.of(head)
    planned = said(("planned", _plan_of(joint)), partial(_as_planned, joint, head, said))
    pieces = (_encoder.encode(_of_joint(joint)), planned, _encoder.encode(_told(joint, said)))
    whole = b"{" + b",".join(bytes(piece)[1:-1] for piece in pieces) + b"}"  # as `parts` would be encoded
    digest = hashlib.sha256(whole).hexdigest()
    return f"{digest[:4]}-{digest[4:8]}".upper()


_KEPT = 2048


class _Said:
    """What the head of one plan says, encoded once."""

    _last: "_Said | None" = None

    def __init__(self, head: PlanHead) -> None:
        self.head, self._known = head, dict[Hashable, msgspec.Raw]()

    @classmethod
    def of(cls, head: PlanHead) -> "_Said":
        """That of a plan; the last one is kept, since joints come plan by plan."""
        if cls._last is None or cls._last.head is not head:
            cls._last = cls(head)
        return cls._last

    def __call__(self, about: Hashable, made: Callable[[], Any]) -> msgspec.Raw:
        known = self._known.get(about)
        if known is None:
            if len(self._known) >= _KEPT:
                self._known.clear()
            known = self._known[about] = msgspec.Raw(_encoder.encode(made()))
        return known


def _same(value: Any) -> Any:
    return value


def certificates(joint: JointEntry, head: PlanHead) -> dict[str, str]:
    """The certificates behind a card, by wrench and gauge: a new one alone makes no new number."""
    named: dict[str, Any] = {f"wrench {tool.wrench}": head.wrench(tool.wrench) for tool in joint.tools}
    named |= {f"gauge {tool.gauge}": head.gauge(tool.gauge) for tool in joint.tools}
    return {
        name: f"{entry.certificate or 'not stated'}, valid until {entry.valid_until or 'not stated'}"
        for name, entry in named.items()
        if entry
    }


_encoder = msgspec.json.Encoder()


def _tool(tool: ToolEntry, of: str) -> dict[str, Any]:
    return {
        f"wrench{of}": tool.wrench, f"link{of}": tool.link, f"gauge{of}": tool.gauge, f"pump{of}": tool.pump,
        f"setpoint{of}": tool.setpoint, f"torque_at_setpoint{of}": tool.torque_at_setpoint,
        f"pressures below full torque{of}": tool.passes,
    }  # fmt: skip


def _of_book(head: PlanHead, name: str, links: Collection[str]) -> Any:
    """What the book says of a wrench that figures of the card stand on, without its certificate and its days."""
    wrench = head.wrench(name)
    if wrench is None:
        return None
    return [*(getattr(wrench, part) for part in _BOOK), [link for link in wrench.links if link.name in links]]


def _scale(head: PlanHead, name: str) -> Any:
    gauge = head.gauge(name)
    return gauge and (gauge.range, gauge.graduation)


def _ratings(head: PlanHead, name: str) -> Mapping[str, Amount]:
    wrench = head.wrench(name)
    return wrench.ratings() if wrench else {}


def _hose(head: PlanHead, name: str) -> str | None:
    wrench = head.wrench(name)
    return wrench.hose if wrench else None


def _stages(head: PlanHead, joint: JointEntry) -> list[Entry]:
    return [] if joint.breakout else list(head.stages_of(joint))


def _order(head: PlanHead, joint: JointEntry) -> list[Any]:
    """Moves of the cross passes and of the circular ones."""
    return [head.order(joint), _circular(joint.studs or 0, joint.at_once)]


@lru_cache(maxsize=512)
def _circular(studs: int, at_once: int) -> order.Moves:
    try:
        return order.circular(studs, at_once)
    except InputError:
        return ()
