"""The kit list: what the planned joints of an area need, with counts."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence

from addin.cards.card_values import across, exactly, job_days, joined, text
from addin.cards.kit_tools import hand_wrenches, reaction_arms
from addin.forms.tokens import Filling, Value, Vocabulary
from addin.plan.entries import Amount
from addin.plan.file import Plan
from addin.plan.record import GaugeEntry, PlanHead, WrenchEntry
from addin.plan.record_joint import JointEntry
from calc.plan.cautions import reused
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
    "studs that the list calls re-used are not counted as new; two nuts a stud, one in tapped holes. Washers: as the "
    "list states them. Gaskets: one for each test or final make-up. Wrenches, links, pumps and "
    "gauges: each one that a card names. Hoses: one for each wrench that pulls at the same time."
)

Row = dict[str, Value]


def planned(joints: Sequence[JointEntry]) -> list[JointEntry]:
    """The rows that are planned."""
    return [joint for joint in joints if joint.planned]


def area_of(joint: JointEntry) -> str:
    """Area of a joint in words."""
    return joint.area_of_plant or NO_AREA


def sheets(plan: Plan, joints: Sequence[JointEntry]) -> Iterator[tuple[str, str, Filling]]:
    """The list for all areas, then one for each area where there are several."""
    areas = list(dict.fromkeys(area_of(joint) for joint in planned(joints)))
    for area in ([ALL] if len(areas) > 1 else []) + areas:
        here = [joint for joint in joints if area in (ALL, area_of(joint))]
        mine = planned(here)
        values: dict[str, Value] = {
            "area": area,
            "joints": len({joint.joint for joint in mine}),
            "cards": len(mine),
            "left out": len(here) - len(mine),
            "list": plan.head.list_file,
            "date": job_days(plan.head.date),
            "program": plan.head.program,
            "how counted": HOW,
        }
        yield area, "", Filling(values, {"item": items(plan.head, mine)})


def items(head: PlanHead, joints: Sequence[JointEntry]) -> list[Row]:
    """Every item that some planned joints need."""
    books = {wrench.name: wrench for wrench in head.wrenches}
    gauges = {gauge.name: gauge for gauge in head.gauges}
    groups = {
        "Wrenches": _wrenches(joints, books),
        "Links and sockets": _links(joints),
        "Backup wrenches": _backups(joints),
        "Hand torque wrenches": _hand(joints, head),
        "Reaction arms": reaction_arms({tool.wrench for joint in joints for tool in joint.tools}, head.equipment),
        "Hoses": _of_wrenches(joints, books, "hose"),
        "Pumps": _of_wrenches(joints, books, "pump"),
        "Gauges": _gauges(joints, gauges),
        "Studs": _studs(joints),
        "Nuts": _nuts(joints),
        "Washers": _washers(joints),
        "Gaskets": _gaskets(joints),
        "Lubricant": _lubricants(joints),
    }
    rows: list[Row] = []
    for kind, found in groups.items():
        for number, (item, count, why) in enumerate(found):
            rows.append({"kind": None if number else kind, "item": item, "count": count, "for": why})
    return rows


Found = list[tuple[str, int | None, str]]


def _for(count: int) -> str:
    return f"{count} card{'s' * (count != 1)}"


def _wrenches(joints: Sequence[JointEntry], books: Mapping[str, WrenchEntry]) -> Found:
    uses = Counter(tool.wrench for joint in joints for tool in joint.tools)
    found: Found = []
    for name, count in sorted(uses.items()):
        book = books.get(name) or WrenchEntry(name=name, sheet="")
        until = f"valid until {book.valid_until}" if book.valid_until else "last day not stated"
        number = f"no. {book.serial_number}" if book.serial_number else None
        certificate = joined([book.certificate or "certificate not stated", until], ", ")
        found.append((joined([name, book.kind, number], ", "), 1, f"{_for(count)}; {certificate}"))
    return found


def _links(joints: Sequence[JointEntry]) -> Found:
    uses = Counter((tool.wrench, tool.link) for joint in joints for tool in joint.tools
                   if tool.link)  # fmt: skip
    return [(f"{link}, for {wrench}", 1, _for(count)) for (wrench, link), count in sorted(uses.items())]


def _metres(flats: Amount | None) -> float:
    return float(to_si(flats.value, "length", flats.unit)) if flats else 0.0


def _backups(joints: Sequence[JointEntry]) -> Found:
    """As many of a size as pull at once."""
    most: dict[str, int] = {}
    size: dict[str, float] = {}
    uses: Counter[str] = Counter()
    for joint in joints:
        words = joint.backup_wrench or ""
        if words.startswith("none"):
            continue
        words = words or "size not stated"
        uses[words] += 1
        size[words] = _metres(joint.across_flats)
        most[words] = max(most.get(words, 0), joint.at_once)
    rows = sorted(uses, key=lambda words: size[words])
    return [(f"backup wrench {words}", most[words], _for(uses[words])) for words in rows]


def _hand(joints: Sequence[JointEntry], head: PlanHead) -> Found:
    """Those of the wrench book that fit, and for the other joints the range that is needed."""
    by_hand = [joint for joint in joints if joint.method == "hand" and joint.torque]
    found, left = hand_wrenches(by_hand, head)
    known = [joint.torque for joint in left if joint.torque]
    for unit in sorted({torque.unit for torque in known}):
        torques = [torque for torque in known if torque.unit == unit]
        low, high = (pick(torques, key=lambda torque: torque.value) for pick in (min, max))
        span = text(high) if low.value == high.value else f"{text(low)} to {text(high)} final torque"
        found.append((f"hand torque wrench, {span}", None, f"{_for(len(torques))}; range for every pass of them"))
    sizes = Counter(across(flats) if (flats := joint.across_flats) else "size not stated" for joint in by_hand)
    found += [(f"socket {size} across flats" if "stated" not in size else f"socket, {size}", 1, _for(count))
              for size, count in sorted(sizes.items())]  # fmt: skip
    return found


def _of_wrenches(joints: Sequence[JointEntry], books: Mapping[str, WrenchEntry], kind: str) -> Found:
    """Hoses or pumps: one of each name; a wrench that names none gets a line of its own."""
    names: dict[str, set[str]] = {}
    for joint in joints:
        for tool in joint.tools:
            wrench = tool.wrench
            name = getattr(books.get(wrench), kind, None) or f"{kind} not named in the wrench book"
            names.setdefault(name, set()).add(wrench)
    found: Found = []
    for name, wrenches in sorted(names.items()):
        ratings = [books[wrench].ratings().get(kind) for wrench in wrenches if wrench in books]
        rated = {exactly(rating) for rating in ratings if rating}
        words = f"rated {' / '.join(sorted(rated))}" if rated else "rating not stated"
        count = len(wrenches) if "not named" in name else 1  # what no sheet names belongs to its wrench
        if kind == "hose" and "not named" not in name:
            count = max(sum(tool.wrench in wrenches for tool in joint.tools) for joint in joints)
        found.append((name, count, f"for {', '.join(sorted(wrenches))}; {words}"))
    return found


def _gauges(joints: Sequence[JointEntry], gauges: Mapping[str, GaugeEntry]) -> Found:
    wrenches: dict[str, set[str]] = {}
    for joint in joints:
        for tool in joint.tools:
            wrenches.setdefault(tool.gauge or "gauge not stated", set()).add(tool.wrench)
    found: Found = []
    for name, used in sorted(wrenches.items()):
        gauge = gauges.get(name)
        span = f"0 to {exactly(gauge.range)}" if gauge else None
        until = f"valid until {gauge.valid_until}" if gauge and gauge.valid_until else "last day not stated"
        certificate = joined([(gauge.certificate if gauge else None) or "certificate not stated", until], ", ")
        found.append((joined([name, span], ", "), 1, f"for {', '.join(sorted(used))}; {certificate}"))
    return found


def _made_up(joints: Sequence[JointEntry]) -> list[JointEntry]:
    """One row for each tag that is made up: studs and nuts are counted once, however often."""
    rows: dict[str, JointEntry] = {}
    for joint in joints:
        if joint.operation in ("test make-up", "final make-up"):
            rows.setdefault(joint.joint, joint)
    return list(rows.values())


def _tally(joints: Sequence[JointEntry], name: Callable[[JointEntry], str], each: Callable[[JointEntry], int]) -> Found:
    count: Counter[str] = Counter()
    tags: Counter[str] = Counter()
    for joint in joints:
        number = each(joint)
        if number:
            count[name(joint)] += number
            tags[name(joint)] += 1
    return [(item, number, f"{tags[item]} joint{'s' * (tags[item] != 1)}") for item, number in sorted(count.items())]


def _studs(joints: Sequence[JointEntry]) -> Found:
    def name(joint: JointEntry) -> str:
        length = f"length {joint.length}" if joint.length else "length not stated"
        return joined([joint.thread, length, joint.grade or "grade not stated"], ", ")

    made = _made_up(joints)
    new = _tally([joint for joint in made if not _reused(joint)], name, lambda joint: joint.studs or 0)
    kept = _tally([joint for joint in made if _reused(joint)], name, lambda joint: joint.studs or 0)
    return new + [
        (f"{item}, re-used", None, f"{count} studs stay with {of}, as the list says: new ones only for those scrapped")
        for item, count, of in kept
    ]


def _reused(joint: JointEntry) -> bool:
    """Whether the list says that the studs are used again: its column for that, else its remarks."""
    return reused(str(joint.listed.get("stud_condition") or joint.remarks or ""))


def _washers(joints: Sequence[JointEntry]) -> Found:
    """As the list states them: how many a stud takes is not known here."""
    made = _made_up(joints)
    stated = Counter(str(joint.listed.get("washers") or "washers not stated in the list") for joint in made)
    return [(words, None, f"{count} joint{'s' * (count != 1)}") for words, count in sorted(stated.items())]


def _nuts(joints: Sequence[JointEntry]) -> Found:
    def name(joint: JointEntry) -> str:
        flats = f"{across(joint.across_flats)} across flats" if joint.across_flats else None
        return joined([joint.thread, joint.nut_series or "series not stated", flats], ", ")

    def each(joint: JointEntry) -> int:
        tapped = (joint.backup_wrench or "").startswith("none")
        return int(joint.studs or 0) * (1 if tapped else 2)

    return _tally(_made_up(joints), name, each)


def _gaskets(joints: Sequence[JointEntry]) -> Found:
    def name(joint: JointEntry) -> str:
        words = [f"{word} {value}" for word, value in (("size", joint.size), ("rating", joint.rating)) if value]
        return joined([joint.gasket or "gasket not stated", *words], ", ")

    made = [joint for joint in joints if joint.operation in ("test make-up", "final make-up")]
    return [(item, count, why.replace("joint", "make-up")) for item, count, why in _tally(made, name, lambda _: 1)]


def _lubricants(joints: Sequence[JointEntry]) -> Found:
    tightened = [joint for joint in joints if joint.operation != "break"]
    uses = Counter(joint.lubricant or "product not stated" for joint in tightened)
    return [(name, None, f"{_for(count)}; quantity by the product's maker") for name, count in sorted(uses.items())]
