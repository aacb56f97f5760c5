"""Tightening passes: which share of the final torque, in which pattern, and after which wait."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.findings import stop
from calc.quantities import LBF_FT, settle
from calc.tables import load
from calc.wrench.calibration import Curve, Marks, Setting, setting

SNUG = "snug"
CROSS = "cross"
CIRCULAR = "circular until no nut turns"
CHECK = "circular check after a wait"
RETIGHTEN = "retighten"
"""The operation in which nuts that are tight are tightened again."""


@dataclass(frozen=True)
class Stage:
    """One pass: its number, share of the final torque (None for snug), published range, pattern, wait before it [s].

    `order`: the scheme's own order of studs, as `order.patterned` takes it, "" for the cross order or the joint's own.
    `first`, `last`: places in that order of the studs that are pulled in this pass, None for all. `wrenches`: fewest
    that pull at once.
    """

    number: int
    fraction: float | None
    low: float | None
    high: float | None
    pattern: str
    wait: float
    order: str = ""
    first: int | None = None
    last: int | None = None
    wrenches: int = 1

    @property
    def words(self) -> str:
        """The pattern, with the scheme's own order and the places in it of the studs that are pulled.

        >>> [stage.words for stage in scheme("rising cross")][3]
        'quarter points then cross, studs from 9 on of the order'
        """
        name = self.order if self.order and self.pattern == CROSS else self.pattern
        if self.first is None:
            return name
        places = f"from {self.first} on" if self.last is None else f"{self.first} to {self.last}"
        return f"{name}, studs {places} of the order"


def part(moves: Sequence[Sequence[int]], first: int | None, last: int | None) -> tuple[tuple[int, ...], ...]:
    """The moves of a pass that pulls the studs from one place of the order to another, all without places.

    >>> part(((1, 5), (3, 7), (2, 6), (4, 8)), 5, None)
    ((2, 6), (4, 8))
    """
    found, place = [], 1
    for move in moves:
        if (first is None or place >= first) and (last is None or place <= last):
            found.append(tuple(move))
        place += len(move)
    return tuple(found)


def schemes() -> tuple[str, ...]:
    """Names of the published schemes.

    >>> schemes()[:4]
    ('PCC-1 legacy', 'three-pass', 'four studs then cross', 'four studs then circular')
    """
    return tuple(dict.fromkeys(str(row["scheme"]) for row in load("pass_schemes").rows))


_ALSO = {"modified legacy": "rising cross"}
"""Names of the trade for a scheme that is called otherwise here (from memory)."""
_QUADRANTS = re.compile(r"(?:asme )?pcc-?1 quadrants?")


def named(text: str) -> str:
    """The scheme that a text names, "" for other texts and for percentages.

    >>> named("PCC-1 Modified legacy pattern"), named("Rising cross"), named("cross")
    ('rising cross', 'rising cross', '')
    """
    bare = " ".join(str(text).lower().split())
    known = {name.lower(): name for name in schemes()} | _ALSO
    short = re.sub(r"^(?:asme )?pcc-?1 | (?:pattern|order|sequence|scheme|procedure)$", "", bare)
    return known.get(bare) or known.get(short, "")


def either_way(text: str) -> bool:
    """Whether a text names what is both an order of every pass and a scheme with steps of its own.

    >>> either_way("PCC-1 quadrant pattern"), either_way("quadrants")
    (True, False)
    """
    bare = " ".join(str(text).lower().split())
    return _QUADRANTS.fullmatch(re.sub(r" (?:pattern|order|sequence)$", "", bare)) is not None


SNUG_SHARE = 0.2
"""Most of the final torque that snugging may take, where the torque below is more (PCC-1, from memory)."""
SNUG_MOST = {"US": 20 * LBF_FT, "SI": 30.0}
"""About 20 lbf·ft, which people with SI units write as 30 N·m [N·m] (PCC-1, from memory)."""


def snug_torque(torque: float, system: str = "SI") -> float:
    """Upper torque of the snug pass: the lesser of about 20 lbf·ft (30 N·m) and 20 % of the final torque. [N·m]

    >>> snug_torque(1000.0), snug_torque(100.0)
    (30.0, 20.0)
    """
    return min(SNUG_MOST[system], SNUG_SHARE * torque)


STAGE_TOLERANCE = 0.1
"""Share by which a mark may miss the torque of a pass below full torque. Common practice, no source."""


@cache
def scheme(name: str) -> tuple[Stage, ...]:
    """The stages of a published scheme, or of the user's own percentages ("25/50/75/100").

    Some pull the first studs of their own order before the others (`Stage.order`, `first`, `last`). Own percentages
    are cross passes that rise to 100. Snug before them and a circular pass at 100 % after them are always there: no
    scheme drops the circular check.

    Raises InputError: `scheme_unknown`, `scheme_percentages`.

    >>> [stage.fraction for stage in scheme("40/70/100")]
    [None, 0.4, 0.7, 1.0, 1.0]
    """
    if rows := _rows(name):
        return tuple(
            Stage(
                int(r["pass"]), r["percent"], r["low"], r["high"], str(r["pattern"]), float(r["wait"]),
                r["order"] or "", _place(r["first"]), _place(r["last"]), int(r["wrenches"]),
            ) for r in rows
        )  # fmt: skip
    wanted = " ".join(str(name).lower().split())
    if not re.fullmatch(r"\d+(?:\.\d+)?\s*%?(?:\s*[/,;\s]\s*\d+(?:\.\d+)?\s*%?)*", wanted, re.ASCII):
        raise stop("scheme_unknown", "scheme", text=name, known=schemes())
    percents = [float(part) for part in re.findall(r"\d+(?:\.\d+)?", wanted)]
    if percents[-1] != 100 or percents[0] < 2 or any(b <= a for a, b in zip(percents, percents[1:], strict=False)):
        raise stop("scheme_percentages", "scheme", text=name)
    shares = [percent / 100 for percent in percents]
    own = [Stage(i, share, share, share, CROSS, 0.0) for i, share in enumerate(shares, start=1)]
    return (Stage(0, None, None, 0.2, SNUG, 0.0), *own, Stage(len(own) + 1, 1.0, 1.0, 1.0, CIRCULAR, 0.0))


def _rows(name: str) -> list[dict[str, Any]]:
    """The rows of a published scheme by one of its names; none for other texts."""
    own = named(name)
    return [row for row in load("pass_schemes").rows if own and row["scheme"] == own]


def _place(text: str | None) -> int | None:
    return None if text is None else int(text)


def basis(name: str) -> str:
    """How the passes of a scheme are known; "" for the user's own percentages.

    >>> basis("PCC-1 legacy"), basis("three-pass"), basis("40/70/100")
    ('from memory', 'read in a copy', '')
    """
    return next((str(r["basis"]) for r in _rows(name)), "")


def said_source(name: str) -> str:
    """Where a scheme comes from and how it is known; of own percentages the rule that they follow.

    >>> said_source("rising cross"), said_source("three-pass"), said_source("40/100")
    ('after ASME PCC-1 (from memory)', 'engineering article (read in a copy)', 'ASME PCC-1 (from memory)')
    """
    rows = _rows(name) or _rows(schemes()[0])
    source = re.split(r"[:(;]", str(rows[-1]["source"]))[0].removesuffix("torque-increment table").strip()
    return f"{source} ({rows[-1]['basis']})"


def own_order(stages: Sequence[Stage]) -> str:
    """The order of studs that belongs to a scheme, "" where it takes the joint's.

    >>> own_order(scheme("rising quadrants")), own_order(scheme("PCC-1 legacy"))
    ('quadrants', '')
    """
    return next((stage.order for stage in stages if stage.order), "")


def fewest_studs(stages: Sequence[Stage]) -> int:
    """Studs that a scheme needs so that none of its passes below full torque is left without.

    >>> fewest_studs(scheme("rising cross")), fewest_studs(scheme("four studs then cross"))
    (8, 4)
    """
    return max((stage.first or 1 for stage in stages if (stage.fraction or 0) < 1), default=1) + 3


def fractions(stages: tuple[Stage, ...]) -> NDArray[np.float64]:
    """Shares of the final torque, NaN for snug."""
    return np.array([np.nan if stage.fraction is None else stage.fraction for stage in stages])


def pulled(stages: Sequence[Stage], operations: Sequence[str], studs: ArrayLike) -> NDArray[np.bool_]:
    """Which stages each joint goes through, by its operation and stud count: shape (joints, stages).

    A pass of studs that a joint does not have is left out.

    A joint that is tightened again goes round at full torque until no nut turns, and nothing else: its nuts are tight,
    so a pass below full torque turns none and a cross pass only takes load from the neighbours. Rule of the trade.

    >>> pulled(scheme("three-pass"), ("final make-up", "retighten"), (8, 8)).tolist()
    [[True, True, True, True, True], [False, False, False, False, True]]
    >>> pulled(scheme("four studs then cross"), ("final make-up",), (4,)).tolist()
    [[True, True, True, True, False, True, True]]
    """
    circular = np.array([stage.pattern == CIRCULAR for stage in stages], dtype=bool)
    has = np.asarray(studs, dtype=float)[:, np.newaxis] >= np.array([stage.first or 1 for stage in stages])
    again = np.array([each == RETIGHTEN for each in operations], dtype=bool)[:, np.newaxis]
    return np.where(again, circular, has).reshape(len(operations), len(stages))


def before_last(stages: Sequence[Stage]) -> int:
    """Place of the pass before the closing circular one: the last cross pass. An uplift for interaction belongs there.
    -1 where no circular pass closes, as in breaking out.

    >>> before_last(scheme("PCC-1 legacy")), before_last(scheme("40/100"))
    (3, 2)
    """
    return next((i for i, stage in enumerate(stages) if stage.pattern == CIRCULAR), 0) - 1


def stage_torque(torque: ArrayLike, stages: tuple[Stage, ...], raised: ArrayLike = 1.0) -> NDArray[np.float64]:
    """Torque of every pass, in proportion to the final torque: shape (..., stages). [N·m]

    `raised`: factor on the pass before the closing circular one, for interaction.

    >>> stage_torque(1000.0, scheme("40/100")).tolist(), stage_torque(1000.0, scheme("40/100"), 1.1).tolist()
    ([nan, 400.0, 1000.0, 1000.0], [nan, 400.0, 1100.0, 1000.0])
    """
    wanted = np.asarray(torque, dtype=float)[..., np.newaxis] * fractions(stages)
    if (at := before_last(stages)) >= 0:
        wanted[..., at] *= np.asarray(raised, dtype=float)
    return settle(wanted)


def stage_settings(
    curve: Curve,
    torque: ArrayLike,
    stages: tuple[Stage, ...],
    marks: Marks,
    *,
    rounding: str = "nearest",
    ceiling: float = np.inf,
    raised: ArrayLike = 1.0,
) -> Setting:
    """Settings of every pass on one wrench, shape (..., stages); NaN below the lowest certified point and for snug.

    Stages are in proportion to torque, not to pressure. `raised` as in `stage_torque`.
    """
    return setting(curve, stage_torque(torque, stages, raised), marks, rounding=rounding, ceiling=ceiling)
