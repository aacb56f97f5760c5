"""The kit list: what the planned joints of an area need, with counts."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from addin.cards.card_values import NO_DAY, exactly, joined, text
from addin.cards.kit_tools import hand_wrenches, reaction_arms
from addin.forms.tokens import Filling, Value, Vocabulary
from calc.units import to_si

ALL = "all areas"
NO_AREA = "area not stated"

KIT = {
    "area": "area of the plant, or all areas",
    "joints": "planned joints of the area, a joint and its operations once",
    "cards": "planned rows of the area",
    "left out": "rows that are not counted: stopped and by other methods",
    "list": "file of the joint list",
    "date": "day of the plan",
    "program": "name and version of the program",
    "how counted": "how the counts are made",
}
ITEM = {
    "kind": "kind of item, on the first row of its kind",
    "item": "item",
    "count": "how many; blank where the plan does not say",
    "for": "what it is for",
}
VOCABULARY = Vocabulary(
    values=frozenset(KIT),
    groups={"item": frozenset(ITEM)},
    required=(("item.item",), ("item.count",)),
    exact=frozenset({"item.count"}),
    lists=frozenset({"item"}),
)

HOW = (
    "Counts are for the planned rows and hold no spares. Studs and nuts: once for a tag, however often it is made up; "
    "two nuts a stud, one in tapped holes; lengths are not in the plan. Gaskets: one for each test or final make-up. "
    "Wrenches, links, hoses, pumps and gauges: each one that a card names."
)

Row = dict[str, Value]
Joint = Mapping[str, Any]


def planned(joints: Sequence[Joint]) -> list[Joint]:
    """The rows that are planned."""
    return [joint for joint in joints if joint.get("status") == "planned"]


def area_of(joint: Joint) -> str:
    """Area of a joint in words."""
    return str(joint.get("area_of_plant") or NO_AREA)


def sheets(plan: Mapping[str, Any], joints: Sequence[Joint]) -> Iterator[tuple[str, str, Filling]]:
    """The list for all areas, then one for each area where there are several."""
    areas = list(dict.fromkeys(area_of(joint) for joint in planned(joints)))
    for area in ([ALL] if len(areas) > 1 else []) + areas:
        here = [joint for joint in joints if area in (ALL, area_of(joint))]
        mine = planned(here)
        values: dict[str, Value] = {
            "area": area,
            "joints": len({joint["joint"] for joint in mine}),
            "cards": len(mine),
            "left out": len(here) - len(mine),
            "list": plan.get("list"),
            "date": plan.get("date") or NO_DAY,
            "program": plan.get("program"),
            "how counted": HOW,
        }
        yield area, "", Filling(values, {"item": items(plan, mine)})


def items(plan: Mapping[str, Any], joints: Sequence[Joint]) -> list[Row]:
    """Every item that some planned joints need."""
    books = {str(wrench.get("name")): wrench for wrench in plan.get("wrenches") or []}
    gauges = {str(gauge.get("name")): gauge for gauge in plan.get("gauges") or []}
    groups = {
        "Wrenches": _wrenches(joints, books),
        "Links and sockets": _links(joints),
        "Backup wrenches": _backups(joints),
        "Hand torque wrenches": _hand(joints, plan.get("equipment") or []),
        "Reaction arms": reaction_arms(
            {str(tool["wrench"]) for joint in joints for tool in tools(joint)}, plan.get("equipment") or []
        ),
        "Hoses": _of_wrenches(joints, books, "hose"),
        "Pumps": _of_wrenches(joints, books, "pump"),
        "Gauges": _gauges(joints, gauges),
        "Studs": _studs(joints),
        "Nuts": _nuts(joints),
        "Gaskets": _gaskets(joints),
        "Lubricant": _lubricants(joints),
    }
    rows: list[Row] = []
    for kind, found in groups.items():
        for number, (item, count, why) in enumerate(found):
            rows.append({"kind": None if number else kind, "item": item, "count": count, "for": why})
    return rows


Found = list[tuple[str, int | None, str]]


def tools(joint: Joint) -> list[Mapping[str, Any]]:
    """The wrenches that a card sets, each with its link and gauge."""
    used = list(joint.get("wrenches") or [])
    return used or ([joint] if joint.get("wrench") else [])


def _for(count: int) -> str:
    return f"{count} card{'s' * (count != 1)}"


def _wrenches(joints: Sequence[Joint], books: Mapping[str, Mapping[str, Any]]) -> Found:
    uses = Counter(str(tool["wrench"]) for joint in joints for tool in tools(joint))
    found: Found = []
    for name, count in sorted(uses.items()):
        book = books.get(name, {})
        until = f"valid until {book['valid_until']}" if book.get("valid_until") else "last day not stated"
        number = f"no. {book['serial_number']}" if book.get("serial_number") else None
        certificate = joined([book.get("certificate") or "certificate not stated", until], ", ")
        found.append((joined([name, book.get("kind"), number], ", "), 1, f"{_for(count)}; {certificate}"))
    return found


def _links(joints: Sequence[Joint]) -> Found:
    uses = Counter((str(tool["wrench"]), str(tool["link"])) for joint in joints for tool in tools(joint)
                   if tool.get("link"))  # fmt: skip
    return [(f"{link}, for {wrench}", 1, _for(count)) for (wrench, link), count in sorted(uses.items())]


def _metres(flats: Mapping[str, Any] | None) -> float:
    return float(to_si(flats["value"], "length", flats["unit"])) if flats else 0.0


def _backups(joints: Sequence[Joint]) -> Found:
    """As many of a size as pull at once."""
    most: dict[str, int] = {}
    size: dict[str, float] = {}
    uses: Counter[str] = Counter()
    for joint in joints:
        words = str(joint.get("backup_wrench") or "")
        if words.startswith("none"):
            continue
        words = words or "size not stated"
        uses[words] += 1
        size[words] = _metres(joint.get("across_flats"))
        most[words] = max(most.get(words, 0), int(joint.get("at_once") or 1))
    rows = sorted(uses, key=lambda words: size[words])
    return [(f"backup wrench {words}", most[words], _for(uses[words])) for words in rows]


def _hand(joints: Sequence[Joint], equipment: Sequence[Mapping[str, Any]]) -> Found:
    """Those of the wrench book that fit, and for the other joints the range that is needed."""
    by_hand = [joint for joint in joints if joint.get("method") == "hand" and joint.get("torque")]
    found, left = hand_wrenches(by_hand, equipment)
    for unit in sorted({joint["torque"]["unit"] for joint in left}):
        torques = [joint["torque"] for joint in left if joint["torque"]["unit"] == unit]
        low, high = (pick(torques, key=lambda torque: torque["value"]) for pick in (min, max))
        span = text(high) if low["value"] == high["value"] else f"{text(low)} to {text(high)} final torque"
        found.append((f"hand torque wrench, {span}", None, f"{_for(len(torques))}; range for every pass of them"))
    sizes = Counter(exactly(flats) if (flats := joint.get("across_flats")) else "size not stated" for joint in by_hand)
    found += [(f"socket {size} across flats" if "stated" not in size else f"socket, {size}", 1, _for(count))
              for size, count in sorted(sizes.items())]  # fmt: skip
    return found


def _of_wrenches(joints: Sequence[Joint], books: Mapping[str, Mapping[str, Any]], kind: str) -> Found:
    """Hoses or pumps: one of each name; a wrench that names none gets a line of its own."""
    names: dict[str, set[str]] = {}
    for joint in joints:
        for tool in tools(joint):
            wrench = str(tool["wrench"])
            name = str(books.get(wrench, {}).get(kind) or f"{kind} not named in the wrench book")
            names.setdefault(name, set()).add(wrench)
    found: Found = []
    for name, wrenches in sorted(names.items()):
        ratings = [books.get(wrench, {}).get(f"{kind}_rated_pressure") for wrench in wrenches]
        rated = {exactly(rating) for rating in ratings if rating}
        words = f"rated {' / '.join(sorted(rated))}" if rated else "rating not stated"
        # a hose that no sheet names belongs to its wrench
        count = len(wrenches) if "not named" in name else 1
        found.append((name, count, f"for {', '.join(sorted(wrenches))}; {words}"))
    return found


def _gauges(joints: Sequence[Joint], gauges: Mapping[str, Mapping[str, Any]]) -> Found:
    wrenches: dict[str, set[str]] = {}
    for joint in joints:
        for tool in tools(joint):
            wrenches.setdefault(str(tool.get("gauge") or "gauge not stated"), set()).add(str(tool["wrench"]))
    found: Found = []
    for name, used in sorted(wrenches.items()):
        gauge = gauges.get(name, {})
        span = f"0 to {exactly(gauge['range'])}" if gauge.get("range") else None
        until = f"valid until {gauge['valid_until']}" if gauge.get("valid_until") else "last day not stated"
        certificate = joined([gauge.get("certificate") or "certificate not stated", until], ", ")
        found.append((joined([name, span], ", "), 1, f"for {', '.join(sorted(used))}; {certificate}"))
    return found


def _made_up(joints: Sequence[Joint]) -> list[Joint]:
    """One row for each tag that is made up: studs and nuts are counted once, however often."""
    rows: dict[str, Joint] = {}
    for joint in joints:
        if joint.get("operation") in ("test make-up", "final make-up"):
            rows.setdefault(str(joint["joint"]), joint)
    return list(rows.values())


def _tally(joints: Sequence[Joint], name: Any, each: Any) -> Found:
    count: Counter[str] = Counter()
    tags: Counter[str] = Counter()
    for joint in joints:
        number = each(joint)
        if number:
            count[name(joint)] += number
            tags[name(joint)] += 1
    return [(item, number, f"{tags[item]} joint{'s' * (tags[item] != 1)}") for item, number in sorted(count.items())]


def _studs(joints: Sequence[Joint]) -> Found:
    def name(joint: Joint) -> str:
        return joined([joint.get("thread"), joint.get("grade") or "grade not stated"], ", ")

    return _tally(_made_up(joints), name, lambda joint: joint.get("studs") or 0)


def _nuts(joints: Sequence[Joint]) -> Found:
    def name(joint: Joint) -> str:
        flats = f"{exactly(joint['across_flats'])} across flats" if joint.get("across_flats") else None
        return joined([joint.get("thread"), joint.get("nut_series") or "series not stated", flats], ", ")

    def each(joint: Joint) -> int:
        tapped = str(joint.get("backup_wrench") or "").startswith("none")
        return int(joint.get("studs") or 0) * (1 if tapped else 2)

    return _tally(_made_up(joints), name, each)


def _gaskets(joints: Sequence[Joint]) -> Found:
    def name(joint: Joint) -> str:
        words = [f"{word} {joint[word]}" for word in ("size", "rating") if joint.get(word)]
        return joined([joint.get("gasket") or "gasket not stated", *words], ", ")

    made = [joint for joint in joints if joint.get("operation") in ("test make-up", "final make-up")]
    return [(item, count, why.replace("joint", "make-up")) for item, count, why in _tally(made, name, lambda _: 1)]


def _lubricants(joints: Sequence[Joint]) -> Found:
    tightened = [joint for joint in joints if joint.get("operation") != "break"]
    uses = Counter(
        str(((joint.get("target") or {}).get("friction") or {}).get("lubricant") or "product not stated")
        for joint in tightened
    )
    return [(name, None, f"{_for(count)}; quantity by the product's maker") for name, count in sorted(uses.items())]
