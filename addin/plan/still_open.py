"""What a plan of a list would stop for and one answer settles for many rows: asked with all the rest, in one round.

A list is planned for trial as if every proposal held: what then stops its rows for want of a fact that could be stated
once, or for a word that could be told once, becomes a line of the sheet of answers. Where rows state no method, one is
proposed for each by what the book can do.
"""

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from addin.cells.words import line
from addin.plan.list_settings import ListSettings
from addin.reading.answer_sheet import STANDARD_STUDS
from addin.reading.column import letter
from addin.reading.flange_rows import NO_STANDARD, STANDARDS
from addin.reading.held_rows import WAITS
from addin.reading.joint_list import JointList
from addin.reading.list_rows import listed_rows
from addin.reading.meant import LEAVE_BLANK
from addin.reading.understood import (
    ASKED,
    BY_THE_BOOK,
    NONE,
    NOT_USED,
    PROPOSED,
    ColumnReading,
    Kind,
    OpenQuestion,
    ValueMeaning,
    WholeListFact,
    shown_name,
)
from addin.wrenches.hand_tools import hand_tools
from addin.wrenches.wrench_book import WrenchBook
from calc.findings import STOP, Finding, InputError
from calc.plan.joints import METHODS, OPERATIONS, Floats, Joints
from calc.plan.plan import plan_joints
from calc.procedure import order
from calc.units import system
from calc.wrench.choice import candidates, same_flats

HYDRAULIC, HAND = METHODS[:2]
_OF_WORDS = ("grade", "nut_series", "thread", "area")
"""Fields whose words a plan refuses: each is asked once, with the number of its rows."""
_ROWS_OF_THEIR_OWN = ("missing", "thread_is_date", "thread_unit", "other_stop", "grade_needed", "series_needed")
"""Refusals that are no matter of what a word means."""
_ORDERS = (LEAVE_BLANK, "cross", "circular", "quadrants")
_KEYS = ("joint", "operation", "method")
_SERIES, _SIZE, _FRICTION = "series_needed", "size_outside_grade", "friction_needed"


@dataclass(frozen=True)
class Trial:
    """A list planned as if its proposals held, once by hand and once by wrenches that are not there; its live rows."""

    joints: Joints
    by_hand: "Tried"
    by_wrench: "Tried"
    live: tuple[int, ...]


@dataclass(frozen=True, eq=False)
class Tried:
    """What is looked at of a plan: not all of it is kept, for of a long list it is large."""

    findings: tuple[Finding, ...]
    torque: Floats
    across_flats: Floats


def trial(read: JointList, book: WrenchBook, settings: ListSettings) -> Trial | None:
    """Plan a list for trial; None where settings stand in the way, which the plan itself will say."""
    joints = read.rows.joints
    waits = {fault.row for fault in joints.faults if fault.code in WAITS}
    other = METHODS[2]
    operation = tuple(each if each in OPERATIONS else OPERATIONS[2] for each in joints.operation)
    live = tuple(i for i, each in enumerate(joints.method) if each != other and i not in waits)
    plans: dict[tuple[str, ...], Tried] = {}  # one where every row states its method
    hand, wrench = (
        tuple(each if each in METHODS else method for each in joints.method) for method in (HAND, HYDRAULIC)
    )
    try:
        for each in dict.fromkeys((hand, wrench)):
            as_if = replace(joints, operation=operation, method=each)
            made = plan_joints(as_if, (), {}, book.lubricants, settings.settings())
            plans[each] = Tried(made.findings, made.torque, made.across_flats)
            del made
    except (InputError, ValueError):
        return None
    return Trial(joints, plans[hand], plans[wrench], live)


def with_open_points(
    read: JointList, book: WrenchBook, settings: ListSettings, likely: Callable[[], JointList]
) -> JointList:  # fmt: skip
    """The list with every question that its plan would come to; `likely` reads it with its proposals taken."""
    states = [*(each.state for each in read.understood.columns), *(each.state for each in read.understood.whole)]
    proposals = PROPOSED in states
    supposed = likely() if proposals else read
    tried = trial(supposed, book, settings)
    if tried is None or not tried.live:
        return read
    facts, meanings, asked = list(read.understood.whole), list(read.understood.meanings), list(read.questions)
    here = {each.field for each in facts} | {each.field for each in read.understood.columns if each.state != NOT_USED}
    for fact, rows in _facts(supposed, tried, book, settings, here):
        if fact not in facts:
            facts.append(fact)
        text = f"whole list: {shown_name(fact.field)}: {fact.why}"
        asked.append(OpenQuestion("whole list", "", fact.field, text, rows == len(tried.live)))
    columns, asked = _orders(read, tried, asked)
    told = {(each.field, each.text.casefold()) for each in meanings}
    for meaning in supposed.understood.meanings:  # words under columns that are proposed
        if (meaning.field, meaning.text.casefold()) not in told:
            told.add((meaning.field, meaning.text.casefold()))
            meanings.append(meaning)
    for meaning, places in _words(supposed, tried, book):
        if meaning.field == "order" and columns != read.understood.columns:
            continue  # the column is asked about as a whole
        if (meaning.field, meaning.text.casefold()) not in told:
            meanings.append(meaning)
            text = f"{shown_name(meaning.field)} '{meaning.text}' ({listed_rows(places)}): {meaning.why}"
            asked.append(OpenQuestion("value", "", meaning.field, text, False))
    columns, more = _columns(columns, tried)
    asked += more
    by_row = methods_by_book(supposed, tried, book)
    facts, asked = _method(facts, asked, tried, by_row, supposed)
    understood = replace(
        read.understood, columns=columns, whole=tuple(facts), meanings=tuple(meanings), questions=tuple(asked)
    )
    return replace(read, understood=understood, questions=tuple(asked))


def _facts(
    read: JointList, tried: Trial, book: WrenchBook, settings: ListSettings, here: set[str | None]
) -> list[tuple[WholeListFact, int]]:  # fmt: skip
    """Facts that rows want and that may be stated once, each with the number of its rows."""
    found: list[tuple[WholeListFact, int]] = []
    joints, live, count = tried.joints, set(tried.live), len(tried.live)
    undated = [i for i in live if np.isnan(joints.date[i]) and joints.method[i] != HAND]
    if undated and settings.date is None and "date" not in here:
        why = f"{_of(undated, count, read)} without the day of the job; certificates are looked at on that day"
        found.append((WholeListFact("date", "", ASKED, why), len(undated)))
    dry = _rows(tried.by_wrench, live, lambda f: f.code == _FRICTION)
    dry = [i for i in dry if not joints.lubricant[i]]
    product = read.understood.fact("lubricant")
    if product is not None and product.state == PROPOSED:
        if untold := [i for i in live if np.isnan(joints.torque[i])]:
            found.append((product, len(untold)))
    elif dry and not here & {"lubricant", "nut_factor", "thread_friction"}:
        products = tuple(each.product for each in book.lubricants)
        why = f"{_of(dry, count, read)} whose preload cannot be turned into torque: no lubricant or friction is stated"
        found.append((WholeListFact("lubricant", "", ASKED, why, products), len(dry)))
    half = _rows(tried.by_wrench, live, lambda f: f.code == "coefficients_both")
    if half:
        name = "nut_friction" if np.isnan(joints.nut_friction[half[0]]) else "thread_friction"
        if name not in here:
            why = f"{_of(half, count, read)} state the other coefficient of friction alone: which is this one?"
            found.append((WholeListFact(name, "", ASKED, why), len(half)))
    needed = [f for f in tried.by_wrench.findings if f.code == _SERIES and f.row in live]
    if needed and "nut_series" not in here and "across_flats" not in here:
        rows = {f.row for f in needed}
        known = tuple(dict.fromkeys(word for f in needed for word in f.facts.get("known", ())))
        why = f"{_of(sorted(rows), count, read)} with metric nuts, whose width depends on their series"
        found.append((WholeListFact("nut_series", "", ASKED, why, known), len(rows)))
    texts = [read.rows.texts.get(name, [""] * len(joints)) for name in ("size", "rating")]
    told = {f.row for f in joints.faults if f.quantity in ("thread", "studs")}
    bare_rows = [i for i in tried.live if not joints.thread[i] and np.isnan(joints.studs[i]) and i not in told]
    flange = [i for i in bare_rows if all(text[i] for text in texts)]
    if flange and not (read.given and read.given.standard_flange_studs):
        why = (
            f"{_of(flange, count, read)} without thread and stud count, whose size and class may name a standard"
            " flange: name the standard, or no"
        )
        found.append((WholeListFact(STANDARD_STUDS, "", ASKED, why, (*STANDARDS, NO_STANDARD)), len(flange)))
    bare: dict[str, set[int]] = {}
    for f in tried.by_wrench.findings:
        if f.code == "missing" and f.row in live and f.row not in flange and f.quantity not in _KEYS:
            bare.setdefault(str(f.quantity), set()).add(int(f.row))
    for name, without in bare.items():
        if len(without) == count and name not in here:
            why = f"{_of([*without], count)} without it: give the list a column, or state here what all rows have"
            found.append((WholeListFact(name, "", ASKED, why), count))
    return found


def _of(rows: Sequence[int], count: int, read: JointList | None = None) -> str:
    where = f" ({listed_rows([read.numbers[i] for i in rows])})" if read and len(rows) < count else ""
    return f"{len(rows)} of {count} rows{where}"


def _rows(plans: Tried, live: set[int], wanted: Callable[[Finding], bool]) -> list[int]:
    return sorted({f.row for f in plans.findings if f.row is not None and f.row in live and wanted(f)})


def _words(read: JointList, tried: Trial, book: WrenchBook) -> list[tuple[ValueMeaning, list[int]]]:
    """Words that stop rows and could mean something that is known: each once, with the sheet's rows."""
    live = set(tried.live)
    first: dict[tuple[str, str], Finding] = {}
    rows: dict[tuple[str, str], list[int]] = {}
    for f in (*tried.by_wrench.findings, *tried.by_hand.findings):
        name = str(f.quantity)
        if f.row not in live or f.level != STOP or f.code in (*_ROWS_OF_THEIR_OWN, _SIZE):
            continue
        if name in _OF_WORDS and (text := read.rows.texts.get(name, [""] * (f.row + 1))[f.row]):
            first.setdefault((name, text), f)
            number, places = read.numbers[f.row], rows.setdefault((name, text), [])
            if number not in places:
                places.append(number)
    for i, f in _refused_orders(tried).items():
        first.setdefault(("order", tried.joints.order[i]), f)
        rows.setdefault(("order", tried.joints.order[i]), []).append(read.numbers[i])
    found = []
    for (name, text), f in first.items():
        known = tuple(str(each) for each in f.facts.get("known", ()) if isinstance(each, str))
        known = _ORDERS if name == "order" else known
        found.append((_asked(read, name, text, len(rows[name, text]), line(f, system("US")), known), rows[name, text]))
    products = tuple(each.product for each in book.lubricants)
    tools = tuple(dict.fromkeys(each.tool for each in book.wrenches))
    for name, known, why in (
        ("lubricant", products, "is not in the lubricant table of the book: which of its products is it?"),
        ("wrench", (LEAVE_BLANK, *tools), f"is no wrench of the book; '{LEAVE_BLANK}' lets one be chosen"),
    ):
        for text, places in _unknown(read, tried, name, {each.casefold() for each in known}).items():
            asked = _asked(read, name, text, len(places), why, known)
            meant = [each for each in products if _names(each, text)] if name == "lubricant" else []
            if len(meant) == 1:
                told = f"the book has '{meant[0]}': is it that one?"
                asked = replace(asked, meaning=meant[0], state=PROPOSED, why=told)
            found.append((asked, places))
    return found


def _names(product: str, text: str) -> bool:
    """Whether a text holds the name of a product as words of its own."""
    return re.search(rf"(?<![\w-]){re.escape(product)}(?![\w-])", text, re.IGNORECASE) is not None


def _refused_orders(tried: Trial) -> dict[int, Finding]:
    """Live rows whose order is none, with what it is refused with, whatever else stops them."""
    joints, found = tried.joints, {}
    for i in tried.live:
        if joints.order[i] and not np.isnan(joints.studs[i]):
            try:
                order.given(joints.order[i], int(joints.studs[i]), 1)
            except InputError as error:
                found[i] = error.finding
    return found


def _unknown(read: JointList, tried: Trial, name: str, known: set[str]) -> dict[str, list[int]]:
    """Texts of a field that the book does not have, in rows that need them, with the sheet's rows."""
    joints, found = tried.joints, dict[str, list[int]]()
    texts = getattr(joints, name)
    if name == "wrench":
        needs = [method != HAND for method in joints.method]
    else:
        stated = [joints.nut_factor, joints.thread_friction, joints.torque]
        needs = np.all(np.isnan(stated), axis=0).tolist()
    without = {
        text: any(
            part.strip() and " ".join(part.split()).casefold() not in known
            for part in (re.split("[;,+&]", text) if name == "wrench" else [text])
        )
        for text in set(texts)
    }
    for i in tried.live:
        if needs[i] and without[texts[i]]:
            found.setdefault(texts[i], []).append(read.numbers[i])
    return found


def _asked(read: JointList, name: str, text: str, count: int, why: str, known: tuple[str, ...]) -> ValueMeaning:
    heading = next((each.heading for each in read.columns if each.field == name), shown_name(name))
    return ValueMeaning(name, heading, text, count, "", ASKED, known, why)


def _orders(
    read: JointList, tried: Trial, asked: list[OpenQuestion]
) -> tuple[tuple[ColumnReading, ...], list[OpenQuestion]]:  # fmt: skip
    """A column of orders of which no word is an order ("SQ-20"): it names a sheet or a drawing, and is asked about."""
    live = {i for i in tried.live if tried.joints.order[i]}
    refused = set(_refused_orders(tried))
    columns = list(read.understood.columns)
    at = next((k for k, each in enumerate(columns) if each.field == "order" and each.used and not each.answered), None)
    if at is None or live - refused or 2 * len(live) < len(tried.live):
        return read.understood.columns, asked
    why = f"{columns[at].why}; but no word of it is an order of studs: not used, and the usual cross order is taken?"
    columns[at] = replace(columns[at], field=None, state=PROPOSED, candidates=(NONE, "order"), why=why)
    text = f"column {letter(columns[at].at)} '{columns[at].heading}': not used, or order? {why}"
    return tuple(columns), [*asked, OpenQuestion("field", letter(columns[at].at), "order", text)]


def _columns(
    columns: tuple[ColumnReading, ...], tried: Trial
) -> tuple[tuple[ColumnReading, ...], list[OpenQuestion]]:  # fmt: skip
    """Columns in use that stop rows as a whole: bare numbers without a unit, and targets of several kinds."""
    found, asked = list(columns), []
    live = set(tried.live)
    for code in ("unit_missing", "target_several"):
        stops = [f for f in tried.by_hand.findings if f.code == code and f.row in live]
        names = {name for f in stops for name in (f.facts["names"] if code == "target_several" else (f.quantity,))}
        others = [f"'{each.heading}'" for each in found if each.used and each.field in names]
        for at, each in enumerate(found):
            if each.field not in names or not each.used or each.answered:
                continue
            rows = {f.row for f in stops if each.field in (f.facts.get("names") or (f.quantity,))}
            named = f"column {letter(each.at)} '{each.heading}'"
            kind: Kind = "field"
            if code == "unit_missing":
                kind, why = "unit", f"{each.why}; no unit stands with {_of([*rows], len(live))}: which one?"
                found[at] = replace(each, state=ASKED, candidates=(str(each.field),), why=why, unit_open=True)
            else:
                rest = " and ".join(other for other in others if other != f"'{each.heading}'") or "another target"
                why = f"{_of([*rows], len(live))} have {rest} too: one governs, the other is not used"
                found[at] = replace(each, state=ASKED, candidates=(str(each.field), NONE), why=why)
            text = f"{named}: is taken as {shown_name(str(each.field))}; {found[at].why}"
            asked.append(OpenQuestion(kind, letter(each.at), str(each.field), text, len(rows) == len(live)))
    return tuple(found), asked


# --- the method of each row ------------------------------------------------------------------------------------------


def methods_by_book(read: JointList, tried: Trial, book: WrenchBook) -> dict[int, str]:
    """The method of each row that states none: hydraulic where a wrench of the book covers its torque, hand where only
    a hand torque wrench does, that of the same joint where the row states no torque; else "".
    """
    methods, tags = tried.joints.method, [tag.casefold() for tag in tried.joints.joint]
    blank = [i for i, method in enumerate(methods) if not method]
    pulling = candidates(book.wrenches, book.gauges)
    tools = hand_tools(book.equipment)
    found = {}
    for i in blank:
        torque, flats = float(tried.by_hand.torque[i]), float(tried.by_hand.across_flats[i])
        if np.isnan(torque):
            torque = float(tried.joints.torque[i])
        by_wrench = any(
            (np.isnan(flats) or same_flats(each.link.across_flats, flats))
            and float(each.curve.torque[0]) <= torque <= each.top
            for each in pulling
        )
        by_hand = any(each.low <= torque <= each.high for each in tools.wrenches)
        by_hand |= bool(tools.wrenches) and tools.through(torque, np.nan) is not None
        found[i] = HYDRAULIC if by_wrench else HAND if by_hand else ""
    of_tag = {tag: found.get(i) or methods[i] for i, tag in enumerate(tags) if found.get(i) or methods[i]}
    for i, word in found.items():
        found[i] = word or (of_tag.get(tags[i], "") if np.isnan(tried.joints.torque[i]) else "")
    return found


def _method(
    facts: list[WholeListFact], asked: list[OpenQuestion], tried: Trial, by_row: dict[int, str], read: JointList
) -> tuple[list[WholeListFact], list[OpenQuestion]]:  # fmt: skip
    """The open method of a list, with what the book can do as its proposal."""
    at = next((k for k, each in enumerate(facts) if each.field == "method" and each.state == ASKED), None)
    by_row = {i: word for i, word in by_row.items() if i in tried.live}
    counts = Counter(by_row.values())
    able = [word for word in (HYDRAULIC, HAND) if counts[word]]
    if at is None or not able:
        return facts, asked
    value = able[0] if len(able) == 1 and not counts[""] else BY_THE_BOOK
    said = {HYDRAULIC: "a hydraulic wrench of the book covers the torque", HAND: "only a hand torque wrench does"}
    why = "; ".join(f"{counts[word]} of {len(tried.live)} rows: {said[word]}" for word in able)
    if counts[""]:
        rows = [read.numbers[i] for i, word in by_row.items() if not word]
        why += f"; no tool of the book covers the torque, or it is not known yet: rows {listed_rows(rows)}"
    choices = tuple(dict.fromkeys((value, BY_THE_BOOK, *METHODS)))
    facts[at] = replace(facts[at], value=value, state=PROPOSED, why=why, candidates=choices)
    text = f"whole list: method stands in no column and is not stated; proposed is '{value}' ({why})"
    asked = [replace(each, text=text) if each.about == "method" and each.kind == "whole list" else each
             for each in asked]  # fmt: skip
    return facts, asked


def with_methods(read: JointList, book: WrenchBook, settings: ListSettings) -> JointList:
    """The list with the method of each row that states none by what the book can do; where it can do nothing the row is
    planned for a hydraulic wrench, so that it stops for its own reason.
    """
    tried = trial(read, book, settings)
    by_row = methods_by_book(read, tried, book) if tried is not None else {}
    methods = tuple(by_row.get(i, each) or each or HYDRAULIC for i, each in enumerate(read.rows.joints.method))
    texts = {**read.rows.texts, "method": list(methods)}
    rows = replace(read.rows, joints=replace(read.rows.joints, method=methods), texts=texts)
    return replace(read, rows=rows)
