"""Time to tighten a joint: from the turn of the nuts, the wrench's stroke and the pump's flow.

An estimate for planning a shift. Everything it takes for granted comes back with it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.hardware.threads import Numbers

Floats = NDArray[np.float64]

MOVE = 40.0
"""Time to take the wrench to the next nut and seat it. [s] Common practice, no source."""
SWITCH = 1.5
"""Time lost at each end of a stroke: watching the gauge, the valve, the ratchet. [s] Common practice, no source."""
CONFIRM = 1
"""Strokes after the nut has stopped: a full new stroke that does not turn it. Rule of the trade."""


@dataclass(frozen=True, eq=False)
class Duration:
    """Time of each pass and of all [s], strokes on one nut in each pass, and what was taken for granted."""

    total: Floats
    passes: Floats
    strokes: Floats
    assumed: Mapping[str, float]


def stroke_time(advance: float, retract: float, flow: float, *, switch: float = SWITCH) -> float:
    """Time of one stroke with its return: the oil of both [m³] at the pump's flow [m³/s], and two switches. [s]

    >>> round(stroke_time(60e-6, 40e-6, 1e-3 / 60), 3)
    9.0
    """
    return (advance + retract) / flow + 2 * switch


def joint_duration(
    turn: Numbers,
    studs: Numbers,
    fractions: Sequence[float],
    *,
    stroke_angle: float,
    stroke_time: float,
    at_once: Numbers = 1,
    move: float = MOVE,
    confirm: int = CONFIRM,
    waits: float = 0.0,
    parts: Sequence[tuple[int | None, int | None]] = (),
) -> Duration:
    """Time to pull a joint through its passes; `turn`, `studs`, `at_once` floats or columns.

    `turn` of a nut from snug to the final torque [rad] (`stretch.nut_turn`); `fractions` the passes' shares of the
    final torque in their order, without snug; `stroke_angle` [rad] and `stroke_time` [s] of the wrench; `waits` between
    passes [s]. Each nut takes in each pass the strokes for its share of the turn, rounded up, and `confirm` more.
    `parts`: for each pass the first and last place in the order of the studs that it pulls, None for all; a stud turns
    from the share it had before. Shape of `passes` and `strokes`: (..., passes).

    >>> d = joint_duration(1.0, 16, (0.3, 0.6, 1.0, 1.0), stroke_angle=0.45, stroke_time=9.0, at_once=2)
    >>> d.strokes.tolist(), float(d.total) / 60
    ([2.0, 2.0, 2.0, 1.0], 29.73333333)
    """
    steps = np.array([share - before for share, before in zip(fractions, _before(fractions, parts), strict=True)])
    share = np.asarray(turn, dtype=float)[..., np.newaxis] * np.maximum(steps, 0.0)
    strokes = np.ceil(share / stroke_angle - 1e-9) + confirm
    pulled = np.asarray(studs, dtype=float)[..., np.newaxis] * np.ones(len(steps))
    for at, (first, last) in enumerate(parts):
        pulled[..., at] = np.fmin(pulled[..., at], np.inf if last is None else last) - ((first or 1) - 1)
    moves = np.ceil(pulled / np.asarray(at_once, dtype=float)[..., np.newaxis])
    passes = moves * (strokes * stroke_time + move)
    assumed = {"move": move, "stroke_time": stroke_time, "stroke_angle": stroke_angle, "confirm": float(confirm),
               "waits": waits}  # fmt: skip
    return Duration(passes.sum(axis=-1) + waits, passes, strokes, assumed)


def _before(fractions: Sequence[float], parts: Sequence[tuple[int | None, int | None]]) -> list[float]:
    """The share of the torque that the studs of each pass had before it: the least of them, which take longest."""
    had: dict[int, float] = {}
    ends = {first for first, _ in parts if first} | {last + 1 for _, last in parts if last} | {1}
    found = []
    for at, share in enumerate(fractions):
        first, last = parts[at] if parts else (None, None)
        these = [start for start in ends if (first or 1) <= start and (last is None or start <= last)]
        found.append(min(had.get(start, 0.0) for start in these))
        had |= dict.fromkeys(these, share)
    return found
