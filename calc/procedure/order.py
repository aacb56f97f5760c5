"""Tightening order for any stud count, for one, two or four wrenches at once.

Studs are numbered clockwise from 1. A move is the studs that are pulled together. Rules, by count n:

- n divisible by 4: quarter points. For each start i in a spread order of the first quarter: i, i + n/2, i + n/4,
  i + 3n/4. This gives the cross sequences for one tool up to 32 studs of the ASME PCC-1 legacy pattern; 36 and 48
  take groups of 3 and 4 neighbours as one of 12 positions, as there. [from memory]
- n even otherwise (6, 10, 14, 18, ...): opposite pairs i, i + n/2, with i in star order over the first half. [own rule]
- n odd: star, each time (n - 1)/2 places on (5: 1-3-5-2-4). [own rule]

Patterns by name besides: quadrants (the first stud of each quarter, then their neighbours), groups of neighbours in
cross order, circular, and the four studs at the quarter points before all others, then cross or circular.

Two wrenches take opposite studs, four take quarter points; a circular pass goes on where they do not share the studs
evenly, a cross pass is refused. No sequence for 40 and 44 studs was at hand, so
these follow the first rule, single studs.
"""

import re
from functools import cache
from itertools import pairwise

from calc.findings import stop
from calc.procedure import passes
from calc.tables import load

Moves = tuple[tuple[int, ...], ...]


@cache
def _spread(quarter: int) -> tuple[int, ...]:
    """The starts 1..q in an order that spreads them: halves when q is even, thirds when it is odd."""
    if quarter == 1:
        return (1,)
    if quarter % 2 == 0:
        return tuple(stud for start in _spread(quarter // 2) for stud in (start, start + quarter // 2))
    order: list[int] = []
    for start in range(1, quarter + 1):
        for third in range(3):
            place = start + -(-third * quarter // 3)
            if place <= quarter and place not in order:
                order.append(place)
    return tuple(order)


def _star(count: int) -> tuple[int, ...]:
    step = (count - 1) // 2
    return tuple(i * step % count + 1 for i in range(count)) if count > 1 else (1,)


def _groups() -> dict[int, int]:
    return {int(row["studs"]): int(row["group"]) for row in load("tightening_sequences").rows}


def _check_wrenches(studs: int, at_once: int) -> None:
    if studs < 4:
        raise stop("too_few_studs", "studs", value=studs, low=4)
    if at_once not in (1, 2, 4):
        raise stop("at_once_unknown", "at_once", value=at_once)


def _check(studs: int, at_once: int) -> None:
    _check_wrenches(studs, at_once)
    if studs % at_once:
        raise stop("at_once_divides", "at_once", value=at_once, studs=studs)


@cache
def cross(studs: int, at_once: int = 1) -> Moves:
    """Cross order of a joint: moves of `at_once` studs, each stud once.

    Raises InputError: `too_few_studs` below 4, `at_once_unknown` (1, 2 or 4), `at_once_divides` when the wrenches do
    not share the studs evenly.

    >>> cross(8)
    ((1,), (5,), (3,), (7,), (2,), (6,), (4,), (8,))
    >>> cross(8, 2)
    ((1, 5), (3, 7), (2, 6), (4, 8))
    """
    _check(studs, at_once)
    return _across(studs, _groups().get(studs, 1), at_once)


def _across(studs: int, group: int, at_once: int) -> Moves:
    """Cross order of groups of neighbours, the studs of a group one after the other."""
    places = studs // group
    if places % 4 == 0:
        quarter = places // 4
        singles = [s + k * quarter for s in _spread(quarter) for k in (0, 2, 1, 3)]
    elif places % 2 == 0:
        singles = [s + k * (places // 2) for s in _star(places // 2) for k in (0, 1)]
    else:
        singles = list(_star(places))
    moves = []
    for i in range(0, len(singles), at_once):
        together = singles[i : i + at_once]
        moves += [tuple((place - 1) * group + member for place in together) for member in range(1, group + 1)]
    return tuple(moves)


@cache
def circular(studs: int, at_once: int = 1) -> Moves:
    """Circular order: one stud after the other, clockwise; several wrenches start evenly round the joint.

    Two wrenches go in pairs across, four in quarter points. Where the count does not divide, the first starts are the
    next studs beyond the even places, and the last move is pulled by the wrenches that still have a stud: the others
    wait. [own rule]

    Raises InputError: `too_few_studs` below 4, `at_once_unknown` (1, 2 or 4).

    >>> circular(8, 2)
    ((1, 5), (2, 6), (3, 7), (4, 8))
    >>> circular(10, 4)
    ((1, 4, 6, 9), (2, 5, 7, 10), (3, 8))
    """
    _check_wrenches(studs, at_once)
    starts = [-(-k * studs // at_once) for k in range(at_once + 1)]
    arcs = [range(first + 1, last + 1) for first, last in pairwise(starts)]
    longest = max(map(len, arcs))
    return tuple(tuple(arc[move] for arc in arcs if move < len(arc)) for move in range(longest))


@cache
def quadrants(studs: int, at_once: int = 1) -> Moves:
    """Quadrant order: the first stud of each quarter, opposite ones after each other, then their neighbours clockwise.

    An alternative pattern of ASME PCC-1 [from memory; without its smaller torques for the first studs].

    Raises InputError as `cross`, and `order_quarters` for a count that is no multiple of 4.

    >>> quadrants(8), quadrants(8, 2)[:2]
    (((1,), (5,), (3,), (7,), (2,), (6,), (4,), (8,)), ((1, 5), (3, 7)))
    >>> quadrants(12)[:8]
    ((1,), (7,), (4,), (10,), (2,), (8,), (5,), (11,))
    """
    _check_quarters("quadrants", studs, at_once)
    quarter = studs // 4
    singles = [start + k * quarter for start in range(1, quarter + 1) for k in (0, 2, 1, 3)]
    return tuple(tuple(singles[i : i + at_once]) for i in range(0, studs, at_once))


OF_QUARTERS = ("quadrants", "quarter points then cross", "quarter points then circular")
"""Orders that need a stud count that 4 divides."""


def _check_quarters(name: str, studs: int, at_once: int) -> None:
    _check(studs, at_once)
    if studs % 4:
        raise stop("order_quarters", "order", studs=studs, pattern=name)


@cache
def quarter_points(studs: int, around: bool, at_once: int = 1) -> Moves:
    """The four studs at the quarter points, then the others: one by one in cross order, or `around` the joint.

    ASME PCC-1 has schemes that begin so [from memory].

    Raises InputError as `quadrants`.

    >>> quarter_points(12, False)[:6], quarter_points(12, True, 2)
    (((1,), (7,), (4,), (10,), (2,), (8,)), ((1, 7), (4, 10), (2, 8), (3, 9), (5, 11), (6, 12)))
    """
    _check_quarters(f"quarter points then {'circular' if around else 'cross'}", studs, at_once)
    moves = _across(studs, 1, at_once)
    if not around:
        return moves
    first = moves[: 4 // at_once]
    begun = {stud for move in first for stud in move}
    return first + tuple(move for move in circular(studs, at_once) if not begun.intersection(move))


@cache
def groups(studs: int, size: int, at_once: int = 1) -> Moves:
    """Cross order of groups of so many neighbours, the studs of a group one after the other, for large counts.

    Raises InputError as `cross`, and `order_groups` where the groups do not share the studs evenly, or are less than 4.

    >>> groups(16, 2)[:4], groups(16, 2, 2)[:2]
    (((1,), (2,), (9,), (10,)), ((1, 9), (2, 10)))
    """
    _check(studs, at_once)
    if size < 1 or studs % size or studs // size < 4 or studs // size % at_once:
        raise stop("order_groups", "order", studs=studs, size=size, at_once=at_once)
    return _across(studs, size, at_once)


_NAME = re.compile(
    r"\s*(?:(?:ASME\s+)?PCC-?1\s+)?(?:(?P<cross>(?:(?:legacy|criss)[\s-]+)?(?:cross|star)|legacy)|(?P<circular>circular|rotational|clockwise)|(?P<quadrants>quadrants?)"
    r"|quarter[\s-]+points?,?\s+then\s+(?P<quarters>cross|circular)|(?:groups?|blocks?)\s+of\s+(?P<groups>\d{1,2}))(?:[\s-]+(?:pattern|order|sequence))?\s*",
    re.IGNORECASE,
)
_OTHERS = re.compile(r"\b(?:alternat(?:iv)?e|modified)\b", re.IGNORECASE)
"""Words of the other published patterns, whose first studs have passes of their own (from memory)."""


def named(text: str) -> str:
    """The pattern that a text names: "cross", "circular", "quadrants", "groups of 3"; "" for an order in numbers.

    >>> named("Quadrant pattern"), named("groups of 3"), named("PCC-1 legacy pattern"), named("1-5-3-7")
    ('quadrants', 'groups of 3', 'cross', '')
    """
    match = _NAME.fullmatch(text)
    if match is None:
        return ""
    if match["quarters"]:
        return f"quarter points then {match['quarters'].lower()}"
    return f"groups of {int(match['groups'])}" if match["groups"] else str(match.lastgroup)


def patterned(name: str, studs: int, at_once: int = 1) -> Moves:
    """Moves of a pattern by its name as `named` gives it. Raises InputError as the patterns do."""
    if name.startswith("groups of "):
        return groups(studs, int(name.rpartition(" ")[2]), at_once)
    if name.startswith("quarter points then "):
        return quarter_points(studs, name.endswith("circular"), at_once)
    return {"cross": cross, "circular": circular, "quadrants": quadrants}[name](studs, at_once)


def given(text: str, studs: int, at_once: int = 1) -> Moves:
    """The order a list states: a pattern by its name ("quadrants", "groups of 3"), or one of its own
    ("1-5-3-7-2-6-4-8"), for joints that are not round, which is cut into moves as it stands.

    Raises InputError `order_incomplete` unless every stud stands in it exactly once, `order_is_scheme`,
    `order_or_scheme`, `order_alternative` for a published pattern that is not only an order, `order_unreadable`, and as
    the patterns do.

    >>> given("1, 3, 2, 4", 4), given("quadrant", 4)
    (((1,), (3,), (2,), (4,)), ((1,), (3,), (2,), (4,)))
    """
    if passes.either_way(text):
        raise stop("order_or_scheme", "order", text=text)
    if name := named(text):
        return patterned(name, studs, at_once)
    if scheme := passes.named(text):
        raise stop("order_is_scheme", "order", text=text, scheme=scheme)
    _check(studs, at_once)
    if not re.fullmatch(r"\s*[0-9]{1,4}(?:\s*[-,;/\s]\s*[0-9]{1,4})*\s*", text):
        if _OTHERS.search(text):
            known = tuple(name for name in passes.schemes() if passes.own_order(passes.scheme(name)))
            raise stop("order_alternative", "order", text=text, known=known)
        raise stop("order_unreadable", "order", text=text)
    numbers = [int(number) for number in re.findall(r"\d+", text)]
    if sorted(numbers) != list(range(1, studs + 1)):
        repeated = tuple(sorted({n for n in numbers if numbers.count(n) > 1}))
        missing = tuple(sorted(set(range(1, studs + 1)) - set(numbers)))
        beyond = tuple(sorted({n for n in numbers if not 1 <= n <= studs}))
        raise stop("order_incomplete", "order", studs=studs, repeated=repeated, missing=missing, beyond=beyond)
    return tuple(tuple(numbers[i : i + at_once]) for i in range(0, studs, at_once))
