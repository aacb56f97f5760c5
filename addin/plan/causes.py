"""What a plan has to say, one line a cause: rows with the same finding are counted, the first of them named."""

from collections import Counter
from collections.abc import Iterable
from functools import lru_cache

from addin.plan.entries import Amount
from addin.plan.record_joint import STUD_CEILING, FindingEntry, JointEntry
from calc.findings import InputError
from calc.hardware import nuts, threads
from calc.procedure import passes
from calc.units import to_si
from calc.wrench.choice import same_flats

BASES, STATED = ("read in a copy", "by formula", "from memory"), "as the list states"
"""How a figure of a standard is known; a yield of the list's own is none."""
STATED_PASSES = "as they are stated"
NAMED = 3
"""Cells that are named of a finding that many rows have."""
GAUGES = ("gauge_class", "gauge_class_stage")
"""What the class of a gauge makes: a figure of its own in each row, so the worst is said for all of them."""
_OF_GAUGES = ("caution", GAUGES[0], "")
ALIKE = 3
"""Most lines of one cause that differ in their values alone; more are one line."""

SEVERAL_REASONS, MOST = "no_wrench", 10
"""A finding whose text holds the reason of each wrench: what differs is no value, so most lines of it stand."""

Place = tuple[str, str]


class Causes:
    """Collects the findings of the joints of a plan; `lines` gives them with the worst first."""

    def __init__(self) -> None:
        self._places: dict[tuple[str, str, str], list[Place]] = {}
        self._counts: dict[tuple[str, str, str], int] = {}
        self._first: dict[tuple[str, str, str], str] = {}
        self._kinds: dict[tuple[str, str, str], str] = {}  # the cause that a finding is of, whatever its values
        self._of_cause: dict[tuple[str, str], list[Place]] = {}
        self._rows: dict[tuple[str, str], int] = {}
        self._gauges: dict[str, float] = {}  # the worst of each, in percent
        self._by: set[str] = set()
        self._notes: list[str] = []
        self._sizes: Counter[tuple[str | None, bool, str | None, Amount | None, str | None]] = Counter()
        self._columns: list[tuple[str, str]] = []
        self.spelled: tuple[str, ...] = ()
        """The first joint that is planned, in words."""

    def add(self, joint: JointEntry) -> None:
        """The findings of one joint."""
        name = f"{joint.joint} {joint.operation}".strip()
        gauges = False
        for finding in joint.findings:
            key = (finding.level, finding.code, _of_group(finding))
            if finding.level == "caution" and finding.code in GAUGES:
                gauge, share = finding.facts["gauge"], finding.facts["share"]["value"]
                self._gauges[gauge] = max(share, self._gauges.get(gauge, 0))
                self._by.add(str(finding.facts.get("by", "class")))
                if gauges:  # two gauges of one row: one row
                    continue
                gauges, key = True, _OF_GAUGES
            self._first.setdefault(key, finding.text)
            cause = _cause(finding)
            self._kinds.setdefault(key, cause)
            together = self._of_cause.setdefault((key[0], cause), [])
            self._rows[key[0], cause] = self._rows.get((key[0], cause), 0) + 1
            if len(together) < NAMED:
                together.append((finding.place or "", name))
            places = self._places.setdefault(key, [])
            self._counts[key] = self._counts.get(key, 0) + 1
            if len(places) < NAMED:
                places.append((finding.place or "", name))
        if joint.planned:
            source = next((limit.source for limit in joint.limits if limit.name == STUD_CEILING), None)
            self._sizes[source, joint.studs_from is not None, joint.thread, joint.across_flats, joint.nut_series] += 1
        if joint.planned and not self.spelled:
            self.spelled = (spelled(joint),)
        note = joint.interaction.note if joint.interaction else None
        if note:
            self._notes.append(f"{name}: interaction {note}")

    def _known(self) -> dict[str, Counter[str]]:
        """How yields, threads, nuts and the studs of standard flanges are known, and in how many rows."""
        known: dict[str, Counter[str]] = {}
        for (source, of_flange, thread, across, series), count in self._sizes.items():
            found = [("studs of flanges", BASES[0])] if of_flange else []  # others supply none
            if source:
                found.append(("yields of the studs", next((b for b in BASES if source.endswith(f", {b}")), STATED)))
            flats = (across.value, across.unit) if across else None
            for what, basis in (*found, *_size_bases(thread or "", flats, series or "")):
                known.setdefault(what, Counter())[next((b for b in BASES if basis.startswith(b)), basis)] += count
        return known

    def bases(self, scheme: str) -> str:
        """How the figures of standards in the planned rows are known, table by table; "" where none is planned."""
        said, found = [], self._known()
        for what in ("yields of the studs", "threads", "nuts", "studs of flanges"):
            counted = found.get(what, Counter())
            if known := [f"{counted[basis]} {basis}" for basis in (*BASES, STATED) if counted[basis]]:
                said.append(f"{what}: {', '.join(known)}")
        if said:
            said.append(f"passes {passes.basis(scheme) or STATED_PASSES}")
        return "; ".join(said)

    def of_columns(self, lines: Iterable[tuple[str, str]]) -> None:
        """What is said of whole columns: level and line."""
        self._columns += lines

    def lines(self) -> list[tuple[str, str]]:
        """Level and line of every cause: stops, then cautions, those of most rows first, then notes."""
        shown: list[tuple[str, str]] = []
        for level in ("stop", "caution"):
            keys = [key for key in self._places if key[0] == level]
            kinds: dict[str, list[tuple[str, str, str]]] = {}
            for key in keys:
                kinds.setdefault(self._kinds[key], []).append(key)
            for cause, found in sorted(kinds.items(), key=lambda one: -self._rows[level, one[0]]):
                found.sort(key=lambda key: -self._counts[key])
                several = found[0][1] == SEVERAL_REASONS
                if several or len(found) <= ALIKE:
                    shown += [(level, self._line(key)) for key in found[: MOST if several else None]]
                    if rest := found[MOST:] if several else []:
                        more = sum(self._counts[key] for key in rest)
                        shown.append((level, f"{more} more rows that no wrench fits; see the column Message"))
                else:
                    shown.append((level, self._together(level, cause, found)))
        shown += [each for each in self._columns if each[0] == "caution"]
        shown += [each for each in self._columns if each[0] != "caution"]
        return [*shown, *(("note", note) for note in self._notes)]

    def _line(self, key: tuple[str, str, str]) -> str:
        places, count = self._places[key], self._counts[key]
        if count == 1:
            place, name = places[0]
            said = self._of_gauges() if key == _OF_GAUGES and len(self._gauges) > 1 else self._first[key]
            return f"{place} {name}: {said}"
        said = self._of_gauges() if key == _OF_GAUGES else key[2]
        return f"{count} rows ({_named([place for place, _ in places], count)}): {said}"

    def _together(self, level: str, cause: str, found: list[tuple[str, str, str]]) -> str:
        """One line for a cause that each row has with values of its own: the first in full, the rest counted."""
        places, count = self._of_cause[level, cause], self._rows[level, cause]
        first = next(key for key in found if self._places[key][0] == places[0])
        return (
            f"{count} rows ({_named([place for place, _ in places], count)}): {self._first[first]}; the other rows"
            f" stop or speak for the same cause, each with its own figures in the column Message ({len(found)} in all)"
        )

    def _of_gauges(self) -> str:
        """The gauges whose class makes much of a setpoint, each with its worst row."""
        (first, share), *others = sorted(self._gauges.items())
        by = " or ".join(sorted(self._by))
        return (
            f"gauge {first}: by its {by} it may be wrong by up to {share:.3g} % of the pressure either way"
            f"{''.join(f', {gauge} by up to {worst:.3g} %' for gauge, worst in others)}; the planned copy says in which"
            " pass; a gauge with a smaller range is more exact there"
        )


@lru_cache(maxsize=4096)
def _size_bases(text: str, flats: tuple[float, str] | None, series: str) -> tuple[tuple[str, str], ...]:
    """How a thread and its width across flats [value, unit] are known: tables, each with its basis."""
    try:
        thread = threads.parse(text)
    except InputError:
        return ()
    found = (("threads", threads.basis(thread)),)
    if flats is None:
        return found
    return (*found, ("nuts", _nut_basis(thread, series, float(to_si(flats[0], "length", flats[1])))))


def _nut_basis(thread: threads.Thread, series: str, flats: float) -> str:
    """How a width across flats is known: by its table, where it is that of the table, else by the list."""
    try:
        if not same_flats(nuts.across_flats(thread, series or None), flats):
            return STATED
        return nuts.basis(thread, series or "heavy hex")
    except InputError:
        return STATED


def _cause(finding: FindingEntry) -> str:
    """What a finding is of whatever its values: its code and field, and the tool where it is one's own."""
    tool = next((str(finding.facts[name]) for name in ("wrench", "gauge", "tool") if finding.facts.get(name)), "")
    if finding.code in GAUGES:
        return GAUGES[0]
    group = _of_group(finding) if finding.code.startswith("unlike_") else ""
    return f"{finding.code} {finding.quantity or ''} {tool} {group}"


def _of_group(finding: FindingEntry) -> str:
    """A sentence by which rows are counted: of rows unlike the same group, without the value that each has."""
    _, unlike, group = finding.text.partition(" is unlike that of ")
    named = (finding.quantity or "value").replace("_", " ")
    return f"{named} unlike that of {group}" if unlike and finding.code.startswith("unlike_") else finding.text


def spelled(joint: JointEntry) -> str:
    """A planned joint in one sentence: studs, target, friction, torque, and what is set on which wrench."""
    target = joint.target
    words = [f"{joint.studs} studs {joint.thread}"]
    if target:
        friction = target.friction
        factor = f"K {friction.nut_factor:g}" if friction.nut_factor else ""
        words += [target.basis, " ".join(filter(None, (friction.lubricant, factor)))]
    if joint.torque:
        words.append(f"{joint.torque.value:.0f} {joint.torque.unit}")
    tool = joint.tool
    if tool and tool.setpoint:
        words.append(f"{tool.setpoint.value:g} {tool.setpoint.unit} on {tool.wrench}")
    elif not tool and joint.method == "hand":
        words.append("by hand")
    return f"{joint.joint} {joint.operation}, as planned: {', '.join(filter(None, words))}"


def _named(places: Iterable[str], count: int) -> str:
    """The first cells of many.

    >>> _named(["Joints!F8", "Joints!F9", "Joints!F10"], 9), _named(["Joints!F8", "Joints!F9"], 2)
    ('Joints!F8, F9, F10 and 6 more', 'Joints!F8, F9')
    """
    named = list(places)
    sheet = named[0].rpartition("!")[0]
    short = [place.removeprefix(f"{sheet}!") if sheet and at else place for at, place in enumerate(named)]
    return ", ".join(short) + (f" and {count - len(short)} more" if count > len(short) else "")
