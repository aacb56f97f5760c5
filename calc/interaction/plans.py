"""A plan in words or as the stages of a scheme -> passes on a joint: stages in cross order, then circular passes."""

import re
from collections.abc import Sequence

from calc.findings import stop
from calc.interaction.events import Moves, Pass
from calc.procedure import order, passes
from calc.procedure.passes import CROSS, SNUG, Stage

CROSS_ORDER, CIRCULAR_ORDER = "cross", "circular"
MOST_RAISED = 1.5

_OWN = re.compile(r"\d+(?:\.\d+)?\s*%?(?:\s*[/,;\s]\s*\d+(?:\.\d+)?\s*%?)*", re.ASCII)


def plan_of(text: str, cross: Moves, circular: Moves, rounds: int | None = None) -> tuple[Pass, ...]:
    """The passes of a published scheme or of own percentages; alignment is where every plan starts.

    Own percentages are cross passes that rise to 100, or in the last one to at most 150; a circular pass at 100 % ends
    every plan. `rounds`: circular passes in place of the scheme's own number.

    Raises InputError: `scheme_unknown`, `scheme_percentages`, `out_of_range`.

    >>> round_once = ((1,), (2,), (3,), (4,))
    >>> [step.fraction for step in plan_of("50/115", ((1,), (3,), (2,), (4,)), round_once, 2)]
    [0.5, 1.15, 1.0, 1.0]
    """
    if rounds is not None and not 1 <= rounds <= 20:
        raise stop("out_of_range", "circular_passes", value=rounds, low=1, high=20)
    shares = _raised(text)
    if shares:
        opening = [Pass(share, as_moves(cross), CROSS_ORDER) for share in shares]
        return (*opening, *[Pass(1.0, as_moves(circular), CIRCULAR_ORDER)] * (rounds or 1))
    return from_stages(passes.scheme(text), cross, circular, rounds)


def opening_of(text: str, cross: Moves) -> tuple[Pass, ...]:
    """Cross passes that go before settings stud by stud: percentages that rise, at most to 100; none for an empty text.

    Raises InputError `before_percentages`.

    >>> [step.fraction for step in opening_of("30/60/100", ((1,), (3,), (2,), (4,)))]
    [0.3, 0.6, 1.0]
    """
    wanted = str(text).strip()
    if not wanted:
        return ()
    percents = _percents(wanted)
    rising = all(a < b for a, b in zip(percents, percents[1:], strict=False))
    if not percents or percents[0] < 2 or percents[-1] > 100 or not rising:
        raise stop("before_percentages", "before", text=text)
    return tuple(Pass(percent / 100, as_moves(cross), CROSS_ORDER) for percent in percents)


def from_stages(stages: Sequence[Stage], cross: Moves, circular: Moves, rounds: int | None = None) -> tuple[Pass, ...]:
    """The stages of a scheme as passes, snug left out. A scheme with an order of its own takes it for its cross passes.

    Raises InputError `order_of_scheme` where another order is stated with such a scheme, `scheme_studs`, and as
    `order.patterned`.

    >>> from calc.procedure.passes import scheme
    >>> [step.pattern for step in from_stages(scheme("50/100"), ((1,), (2,)), ((1,), (2,)))]
    ['cross', 'cross', 'circular']
    """
    found = []
    closing = 0
    cross = _own(stages, as_moves(cross))
    for stage in stages:
        if stage.pattern == SNUG or stage.fraction is None:
            continue
        if stage.pattern == CROSS:
            if moves := passes.part(cross, stage.first, stage.last):
                found.append(Pass(stage.fraction, moves, CROSS_ORDER))
        else:
            closing += 1
    return (*found, *[Pass(1.0, as_moves(circular), CIRCULAR_ORDER)] * (rounds or closing))


def _own(stages: Sequence[Stage], cross: tuple[tuple[int, ...], ...]) -> tuple[tuple[int, ...], ...]:
    """The order of a scheme that has one of its own, else the one that is given."""
    if not (name := passes.own_order(stages)):
        return cross
    studs, at_once = sum(map(len, cross)), max(map(len, cross))
    least = passes.fewest_studs(stages)
    if name in order.OF_QUARTERS and (studs % 4 or studs < least):
        raise stop("scheme_studs", "studs", scheme=name, least=least, studs=studs)
    own = order.patterned(name, studs, at_once)
    if cross not in (own, order.cross(studs, at_once)):
        said = "-".join(str(stud) for move in cross for stud in move)
        raise stop("order_of_scheme", "order", text=said, scheme=name, order=name)
    return own


def as_moves(moves: Moves) -> tuple[tuple[int, ...], ...]:
    """Moves as tuples.

    >>> as_moves([[1, 3], [2, 4]])
    ((1, 3), (2, 4))
    """
    return tuple(tuple(move) for move in moves)


def _percents(wanted: str) -> list[float]:
    """The percentages a text holds, none where it is anything else."""
    if not _OWN.fullmatch(wanted):
        return []
    return [float(part) for part in re.findall(r"\d+(?:\.\d+)?", wanted)]


def _raised(text: str) -> list[float]:
    """Shares of own percentages of which the last is above 100 %; empty for every other text."""
    percents = _percents(str(text).strip())
    if not percents or percents[-1] <= 100:
        return []
    rising = all(a < b for a, b in zip(percents, percents[1:], strict=False))
    if percents[0] < 2 or not rising or any(percent > 100 for percent in percents[:-1]):
        raise stop("scheme_percentages", "scheme", text=text)
    if percents[-1] > 100 * MOST_RAISED:
        raise stop("out_of_range", "raised", value=percents[-1] / 100, low=1.0, high=MOST_RAISED)
    return [percent / 100 for percent in percents]
