"""A plan of passes on a joint: what each stud keeps after every pass, and the highest load on the way."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from calc.findings import stop
from calc.interaction.dimensions import DEFAULTS

Array = NDArray[np.floating]
Places = NDArray[np.intp]
Moves = Sequence[Sequence[int]]

SNUG = DEFAULTS["snug"].value


class EventState(Protocol):
    """Where a joint stands; `load` per stud [N], `gasket_stress` the highest so far [Pa], NaN when not seen.

    `uneven` is the difference of the gasket's closure round the joint now [m], NaN when not seen.
    """

    load: Array
    gasket_stress: float

    @property
    def uneven(self) -> float:
        """Difference of the gasket's closure round the joint. [m]"""

    def copy(self) -> Any:
        """An independent copy."""


class Joint(Protocol):
    """What a plan needs of a joint; `elastic.ElasticJoint` and `matrix.MatrixJoint` have it."""

    studs: int

    def start(self, load: float) -> Any:
        """All studs at one load."""

    def move(self, state: Any, pulled: Places, wanted: Array) -> Array:
        """Pull some studs together; returns their columns of interaction."""

    def settle(self, state: Any, pulled: Places, wanted: Array) -> None:
        """The same without the columns."""

    def finish(self, state: Any) -> None:
        """What happens after the last pass."""


@dataclass(frozen=True)
class Limits:
    """Highest load a stud [N] and highest stress the gasket [Pa] may see; needed for any setting above 100 %."""

    stud_load: float
    gasket_stress: float

    def __post_init__(self) -> None:
        for name in ("stud_load", "gasket_stress"):
            value = getattr(self, name)
            if not (np.isfinite(value) and value > 0):
                raise stop("not_positive", f"{name}_limit", value=value)


@dataclass(frozen=True)
class Pass:
    """One pass: share of the target (one number, or one per stud), and its moves, each the studs pulled together.

    Studs are numbered from 1. `pattern` is a name to show.
    """

    fraction: float | tuple[float, ...]
    moves: tuple[tuple[int, ...], ...]
    pattern: str = ""


@dataclass(frozen=True, eq=False)
class EventRun:
    """What a plan does, without scatter.

    `kept` (passes, studs) load after each pass [N]; `highest` (passes,) highest load of any stud during each [N];
    `uneven` (passes,) largest difference of the gasket's closure round the joint during each [m], NaN when not seen;
    `moves` (passes,) moves so far; `beyond` which limits the plan passes on the way ("stud_limit", "gasket_limit");
    `break_away` as the nuts had it; `columns` per pass and move the pulled studs (from 0), their settings as shares of
    the target, and their columns of interaction; `relaxed` (studs,) what is left of each load after the gasket has
    relaxed [1]; `gasket_stress` [Pa], NaN when not seen. `final` (studs,) is the estimated kept load, relaxed.
    """

    target: float
    snug: float
    kept: Array
    highest: Array
    uneven: Array
    moves: NDArray[np.intp]
    columns: tuple[tuple[tuple[Places, Array, Array], ...], ...]
    relaxed: Array
    gasket_stress: float
    beyond: tuple[str, ...] = ()
    break_away: float = 0.0

    @property
    def final(self) -> Array:
        """Estimated kept load of each stud after the last pass, the gasket relaxed. [N]"""
        return self.kept[-1] * self.relaxed


@dataclass(frozen=True, eq=False)
class Progress:
    """After each pass, shape (passes,): `mean` and `lowest` kept load, `highest` momentary load [N], `variation` [1].

    `variation` is the coefficient of variation of the kept load over the studs, `moves` the moves so far, `uneven` the
    largest difference of the gasket's closure round the joint during the pass [m].
    """

    mean: Array
    lowest: Array
    variation: Array
    highest: Array
    moves: NDArray[np.intp]
    uneven: Array


def run(
    joint: Joint,
    target: float,
    passes: Sequence[Pass],
    *,
    snug: float = SNUG,
    limits: Limits | None = None,
    break_away: float = 0.0,
) -> EventRun:
    """Run a plan from alignment (all studs at `snug` x target) through its passes.

    `target` [N] per stud; `snug` and the passes' settings are shares of it. `break_away`: a nut moves only where its
    stud has this share less than the setting. A plan that passes a limit is run too, `EventRun.beyond` says so.

    Raises InputError: `not_positive`, `out_of_range` (snug, break-away, or a setting outside 2 to 200 %), `no_passes`,
    `pass_settings` (not one per stud), `pass_studs` (a stud missing, twice or unknown), `limits_needed` (a setting
    above 100 % without limits of stud and gasket), `gasket_area_needed`, and `no_equilibrium`, `gasket_curve_ends` of
    the elastic joint.
    """
    check_target(target, snug)
    check_passes(joint.studs, passes, limits)
    check_break_away(break_away)
    state = joint.start(snug * target)
    kept, pulls = [], []
    for step in passes:
        pulls.append(pull(joint, state, target, step, break_away))
        kept.append(state.load.copy())
    before = state.load
    joint.finish(state)
    highest = np.array([each.highest for each in pulls])
    stress = crush(joint, state, float(highest.max()))
    return EventRun(
        target=float(target),
        snug=snug,
        kept=np.array(kept),
        highest=highest,
        uneven=np.array([each.uneven for each in pulls]),
        moves=np.cumsum([len(step.moves) for step in passes]),
        columns=tuple(each.columns for each in pulls),
        relaxed=np.where(before > 0, state.load / np.where(before > 0, before, 1.0), 1.0),
        gasket_stress=stress,
        beyond=beyond(float(highest.max()), stress, limits),
        break_away=break_away,
    )


@dataclass(frozen=True, eq=False)
class Pulled:
    """One pass: highest load on the way [N], largest difference of the gasket's closure [m], and the events."""

    highest: float
    uneven: float
    columns: tuple[tuple[Places, Array, Array], ...]


def pull(
    joint: Joint, state: Any, target: float, step: Pass, break_away: float = 0.0, *, with_columns: bool = True
) -> Pulled:
    """Run one pass on a state, which changes; without columns `Pulled.columns` stays empty."""
    setting = np.broadcast_to(np.asarray(step.fraction, dtype=float), (joint.studs,))
    top, uneven, events = 0.0, -np.inf, []
    for move in step.moves:
        pulled = np.asarray(move, dtype=np.intp) - 1
        wanted = setting[pulled] * target
        if break_away:  # a setting of nothing turns no nut
            wanted = np.where(state.load[pulled] > (1 - break_away) * wanted, 0.0, wanted)
        if with_columns:
            events.append((pulled, setting[pulled], joint.move(state, pulled, wanted)))
        else:
            joint.settle(state, pulled, wanted)
        top, uneven = max(top, float(state.load.max())), max(uneven, state.uneven)
    return Pulled(top, uneven if np.isfinite(uneven) else np.nan, tuple(events))


def progress(found: EventRun) -> Progress:
    """The course of a run, pass by pass."""
    mean = found.kept.mean(axis=1)
    return Progress(mean, found.kept.min(axis=1), variation(found.kept), found.highest, found.moves, found.uneven)


def variation(load: Array) -> Array:
    """Coefficient of variation over the last axis; infinite where the mean is zero.

    >>> round(float(variation(np.array([90.0, 110.0]))), 6)
    0.1
    """
    mean = load.mean(axis=-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(mean > 0, load.std(axis=-1) / mean, np.inf)


def pass_progress(
    joint: Joint,
    target: float,
    passes: Sequence[Pass],
    *,
    snug: float = SNUG,
    limits: Limits | None = None,
    break_away: float = 0.0,
) -> Progress:
    """Mean, lowest, variation and highest momentary load after each pass; arguments and refusals as `run`.

    >>> from calc.interaction.matrix import MatrixJoint
    >>> joint = MatrixJoint(np.eye(4) - 0.2 * (np.eye(4)[[1, 2, 3, 0]] + np.eye(4)[[3, 0, 1, 2]]))
    >>> course = pass_progress(joint, 100e3, [Pass(1.0, ((1,), (3,), (2,), (4,)))] * 2)
    >>> (course.mean / 1e3).round(1), course.moves
    (array([80. , 96.8]), array([4, 8]))
    """
    return progress(run(joint, target, passes, snug=snug, limits=limits, break_away=break_away))


def check_target(target: float, snug: float) -> None:
    """Refuse a target or a snug share that cannot be: InputError `not_positive`, `out_of_range`."""
    if not (np.isfinite(target) and target > 0):
        raise stop("not_positive", "target", value=target)
    if not 0.001 <= snug <= 0.5:
        raise stop("out_of_range", "snug", value=snug, low=0.001, high=0.5)


def check_break_away(break_away: float) -> None:
    """Refuse a break-away share that cannot be: InputError `out_of_range`."""
    if not 0 <= break_away <= 0.5:
        raise stop("out_of_range", "break_away", value=break_away, low=0.0, high=0.5)


def check_passes(studs: int, passes: Sequence[Pass], limits: Limits | None) -> None:
    """Refuse passes that cannot be run; see `run`."""
    if not passes:
        raise stop("no_passes", "passes")
    for number, step in enumerate(passes, start=1):
        setting = np.atleast_1d(np.asarray(step.fraction, dtype=float))
        if setting.shape not in ((1,), (studs,)):
            raise stop("pass_settings", "passes", number=number, count=setting.size, studs=studs)
        if not ((setting >= 0.02) & (setting <= 2.0)).all():
            worst = setting[~((setting >= 0.02) & (setting <= 2.0))][0]
            raise stop("out_of_range", "stage", number=number, value=float(worst), low=0.02, high=2.0)
        if setting.max() > 1.0 and limits is None:
            raise stop("limits_needed", "passes", number=number, value=float(setting.max()))
        seen = [stud for move in step.moves for stud in move]
        if sorted(seen) != list(range(1, studs + 1)):
            wrong = sorted(set(seen) - set(range(1, studs + 1)))
            missing = sorted(set(range(1, studs + 1)) - set(seen))
            twice = sorted({stud for stud in seen if seen.count(stud) > 1})
            raise stop("pass_studs", "passes", number=number, unknown=wrong, missing=missing, repeated=twice)


def crush(joint: Joint, state: EventState, highest: float) -> float:
    """Highest stress in the gasket so far [Pa]; from a table, as if all studs had the highest load at once."""
    area = getattr(joint, "gasket_area", None)
    return float(state.gasket_stress if area is None else highest * joint.studs / area)


def beyond(highest: float, gasket_stress: float, limits: Limits | None) -> tuple[str, ...]:
    """Which limits a highest load [N] and a highest gasket stress [Pa] pass: "stud_limit", "gasket_limit".

    Raises InputError `gasket_area_needed` where the stress is not known.
    """
    if limits is None:
        return ()
    if np.isnan(gasket_stress):
        raise stop("gasket_area_needed", "gasket_area")
    pairs = (("stud_limit", highest, limits.stud_load), ("gasket_limit", gasket_stress, limits.gasket_stress))
    return tuple(code for code, value, high in pairs if value > high * (1 + 1e-9))
