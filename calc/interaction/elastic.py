"""Joint from its dimensions: ring, studs and gasket in equilibrium, one move of one or more wrenches at a time.

Unknowns are the closures at the studs and at the gasket. In a move the loads of the pulled studs are prescribed, all
other nuts stay where they are, nuts only advance, and a stud carries `max(0, k (nut - closure))`. The equilibrium is
found by Newton's method; the inverse of its symmetric matrix is made once from one small block per sector harmonic.
Where a stud or a piece of gasket has another stiffness since, a small system beside the inverse says so (Woodbury);
many such places are worked into the inverse. Every product is cut into blocks of one sector, so small that the linear
algebra library keeps to one thread and gives the same bits every time.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calc.findings import stop
from calc.interaction import ring, studs
from calc.interaction.dimensions import DEFAULTS, Dimensions, complete
from calc.interaction.gasket import Relaxation

Array = NDArray[np.floating]
Places = NDArray[np.intp]

_MOST = 80  # changed stiffnesses kept beside the inverse; a system of more than about 100 wakes other threads
_SMALL = 16384  # numbers in a product of its own; several times as many wake other threads
_BALANCED = 1e-11  # force left over, share of the highest stud load
_APART = 1e-2  # a smaller change of stiffness is left out of a step: it costs no step more
_CHUNK = 24  # changed stiffnesses taken together; keeps each product far below the size that wakes other threads


@dataclass
class ElasticState:
    """Where the joint stands: `load` per stud [N], `nut` advance [m], `closure` of all unknowns [m], gasket `peak` [m].

    `thinner` is what relaxing took from the gasket [m]. `inverse` belongs to the stiffnesses `stiffness` on the
    diagonal, `tangent` are those of now; `gasket_stress` is the highest so far, a metal stop's share included [Pa].
    """

    load: Array
    nut: Array
    closure: Array
    peak: Array
    thinner: Array
    inverse: Array
    stiffness: Array
    tangent: Array
    gasket_stress: float = 0.0

    @property
    def uneven(self) -> float:
        """Difference of the gasket's closure round the joint. [m]"""
        around = self.closure.reshape(self.load.size, -1)[:, 1:]
        return float(around.max() - around.min())

    def copy(self) -> "ElasticState":
        """An independent copy; only these two are ever changed in place."""
        return replace(self, inverse=self.inverse.copy(), stiffness=self.stiffness.copy())


@dataclass(frozen=True, eq=False)
class _Beside:
    """Places of another stiffness than the inverse has, its rows there, the small matrix, and all stiffnesses."""

    places: Places
    rows: Array
    core: Array
    stiffness: Array

    def holds(self, tangent: Array) -> bool:
        """Whether no stiffness has changed by more than a step bears."""
        return bool((np.abs(tangent - self.stiffness) <= _APART * np.maximum(tangent, self.stiffness)).all())


class ElasticJoint:
    """A joint from its dimensions, ready to be tightened; see `dimensions.complete` for what it refuses.

    `assumed` holds what nobody gave, `stud_stiffness` [N/m] one stud with the flange material under its nuts.
    """

    def __init__(self, given: Dimensions) -> None:
        joint, self.assumed = complete(given)
        self.dimensions: Dimensions = joint
        self.studs, self.law = joint.studs, joint.law
        self.relaxation = joint.relaxation or Relaxation(1.0)
        sides = 2 if joint.matched else 1
        modulus, hole = joint.flange_modulus or 0.0, joint.hole_diameter or 0.0
        self.section = ring.section(
            joint.outside_diameter,
            joint.inside_diameter,
            joint.thickness,
            modulus,
            hole=hole,
            studs=joint.studs,
            bolt_circle=joint.bolt_circle,
            shell=joint.shell,
        )
        stretch = studs.stud_flexibility(
            joint.thread, joint.grip, shank_length=joint.shank_length or 0.0, shank_diameter=joint.shank_diameter
        )
        bearing = DEFAULTS["bearing_share"].value * float(joint.thread.diameter)
        under = studs.local_flexibility(joint.thickness / 2, hole, bearing)
        self.stud_stiffness = 1 / (stretch / (joint.stud_modulus or 0.0) + sides * under / modulus)
        radii = joint.bolt_circle / 2, joint.gasket_diameter / 2
        self.blocks = ring.sector_stiffness(self.section, joint.studs, joint.stations, *radii) / sides
        self.piece = joint.gasket_area / (joint.studs * joint.stations)
        self._size = 1 + joint.stations
        self._at_stud = np.arange(joint.studs) * self._size
        gasket = np.ones(joint.studs * self._size, dtype=bool)
        gasket[self._at_stud] = False
        self._at_gasket = np.flatnonzero(gasket)
        self._ring = ring.circulant(self.blocks)
        self._noise = 4e-16 * float(np.abs(self._ring).sum(axis=1).max())

    def together(self, load: float) -> tuple[Array, Array]:
        """Closures of one sector [m] and slopes of its gasket [N/m], all studs at one load from new.

        The state repeats from stud to stud, so one block (harmonic 0) holds it.
        """
        block = self.blocks[0].real
        y = np.zeros(self._size)
        none = np.zeros(self._size - 1)
        for _ in range(100):
            stress, slope = self.law.answer(y[1:], none)
            left = block @ y + self.piece * np.concatenate([[-load / self.piece], stress])
            y = y - np.linalg.solve(block + np.diag(np.concatenate([[0.0], self.piece * slope])), left)
            if np.abs(left).max() <= 1e-13 * load + self._noise * np.abs(y).max():
                return y, self.piece * self.law.answer(y[1:], none)[1]
        raise stop("no_equilibrium", "load", load=load)

    def start(self, load: float) -> ElasticState:
        """All studs at one load, pulled together from a new gasket; from then on the nuts stay."""
        y, slope = self.together(load)
        closure, n = np.tile(y, self.studs), self.studs
        state = ElasticState(
            load=np.full(n, float(load)),
            nut=np.full(n, y[0] + load / self.stud_stiffness),
            closure=closure,
            peak=np.maximum(closure[self._at_gasket], 0.0),
            thinner=np.zeros(n * (self._size - 1)),
            inverse=np.empty(0),
            stiffness=np.empty(0),
            tangent=np.empty(0),
        )
        self._refresh(state, np.concatenate([[self.stud_stiffness], slope]))
        state.gasket_stress = float(self.law.answer(y[1:], y[1:])[0].max())
        return state

    def move(self, state: ElasticState, pulled: Places, wanted: Array) -> Array:
        """Pull the studs `pulled` (from 0) together to the loads `wanted` [N]; the state changes.

        Returns the influence of each pulled nut on all loads, shape (studs, pulled), 1 for itself: the tangent after
        the move, corrected so that it also carries the load before into the load after.

        Raises InputError `no_equilibrium` when nothing holds the flange.
        """
        before = state.load
        stiff = self._settle(state, pulled, np.asarray(wanted, dtype=float))
        table = self._influence(state, pulled, stiff)
        advanced = np.flatnonzero(stiff[pulled] == 0)
        if advanced.size:
            change, mine = state.load - before, pulled[advanced]
            turn = np.zeros(pulled.size)
            turn[advanced] = np.linalg.solve(table[np.ix_(mine, advanced)], change[mine])
            small = (0.02 * float(np.max(wanted))) ** 2
            missed = change - table @ turn
            missed[mine] = 0.0
            table = table + np.multiply.outer(missed, turn / (turn @ turn + small))
        return table

    def settle(self, state: ElasticState, pulled: Places, wanted: Array) -> None:
        """The same move where nobody asks for the influence; refusals as `move`."""
        self._settle(state, pulled, np.asarray(wanted, dtype=float))

    def finish(self, state: ElasticState) -> None:
        """The gasket relaxes after the last pass, with all nuts where they are."""
        if self.relaxation.left < 1.0:
            closure = state.closure[self._at_gasket] - state.thinner
            state.thinner = state.thinner + self.law.relaxed_set(closure, state.peak, self.relaxation)
            self._settle(state, np.zeros(0, dtype=np.intp), np.zeros(0))

    def _forces(
        self, y: Array, held: Array, state: ElasticState, pulled: Places, wanted: Array
    ) -> tuple[Array, Array, Array]:
        """Force left over [N], stiffness on the diagonal [N/m] and stud loads [N] for closures y.

        `held` is what the flange pushes back with there [N].
        """
        stretch = self.stud_stiffness * (state.nut - y[self._at_stud])
        load, stiff = np.maximum(stretch, 0.0), np.where(stretch > 0, self.stud_stiffness, 0.0)
        reached = pulled[wanted >= stretch[pulled]]
        load[reached], stiff[reached] = wanted[wanted >= stretch[pulled]], 0.0
        stress, slope = self.law.answer(y[self._at_gasket] - state.thinner, state.peak)
        left, tangent = held.copy(), np.empty_like(y)
        left[self._at_stud] -= load
        left[self._at_gasket] += self.piece * stress
        tangent[self._at_stud], tangent[self._at_gasket] = stiff, self.piece * slope
        return left, tangent, load

    def _settle(self, state: ElasticState, pulled: Places, wanted: Array) -> Array:
        """Find the equilibrium, keep it in the state, return the stiffness of each stud in it (0: pulled or slack)."""
        y = state.closure
        held = self._by_sector(self._ring, y)
        left, tangent, load = self._forces(y, held, state, pulled, wanted)
        beside = self._beside(state, tangent)
        for _ in range(80):
            beside, step, back = self._step(state, left, tangent, beside)
            y, held, left, tangent, load = self._along(y, held, step, back, float(left @ step), state, pulled, wanted)
            if np.abs(left).max() <= _BALANCED * max(load.max(), 1.0) + self._noise * np.abs(y).max():
                break
        else:
            raise stop("no_equilibrium", "load", load=float(np.max(load)))
        state.tangent = tangent
        stiff = tangent[self._at_stud]
        nuts = y[self._at_stud] + load / self.stud_stiffness
        turned = pulled[stiff[pulled] == 0]
        state.nut = state.nut.copy()
        state.nut[turned] = np.maximum(state.nut[turned], nuts[turned])
        closure = y[self._at_gasket] - state.thinner
        state.peak = np.maximum(state.peak, closure)
        if state.peak.max() > self.law.last[0]:
            raise stop("gasket_curve_ends", "gasket_curve", value=float(state.peak.max()), high=self.law.last[0])
        state.gasket_stress = max(state.gasket_stress, float(self.law.answer(closure, state.peak)[0].max()))
        state.closure, state.load = y, load
        return stiff

    def _step(
        self, state: ElasticState, left: Array, tangent: Array, beside: "_Beside"
    ) -> tuple["_Beside", Array, Array]:
        """Newton's step and what the flange answers to it, checked: an inverse in which rounding has grown is renewed.

        The small matrix of the step before serves again while no stiffness has changed much.
        """
        for last in (False, True):
            if not beside.holds(tangent):
                beside = self._beside(state, tangent)
            step = -self._solved(state, left, beside)
            back = self._by_sector(self._ring, step)
            missed = back + beside.stiffness * step + left
            if last or np.abs(missed).max() <= 1e-6 * np.abs(left).max():
                break
            self._rebuild(state, tangent)
            beside = self._beside(state, tangent)
        return beside, step, back

    def _beside(self, state: ElasticState, tangent: Array) -> "_Beside":
        """Where the stiffness differs from the inverse's, and the small matrix that says so; many are worked in."""
        change = tangent - state.stiffness
        places = np.flatnonzero(np.abs(change) > _APART * np.maximum(tangent, state.stiffness))
        if places.size > _MOST:
            self._retune(state, tangent)
            self._renew(state, int(places[0]))
            if (state.stiffness != tangent).any():
                return self._beside(state, tangent)
            places = places[:0]
        rows = state.inverse[places]
        core = np.diag(1 / change[places]) + rows[:, places]
        stiffness = state.stiffness.copy()
        stiffness[places] = tangent[places]
        return _Beside(places, rows, np.linalg.inv(core), stiffness)

    def _solved(self, state: ElasticState, force: Array, beside: "_Beside") -> Array:
        """Closures under a force with the stiffnesses of now."""
        found = self._by_sector(state.inverse, force)
        held = beside.core @ found[beside.places]
        few = max(1, _SMALL // force.size)
        for first in range(0, held.size, few):
            found -= held[first : first + few] @ beside.rows[first : first + few]
        return found

    def _along(
        self,
        y: Array,
        held: Array,
        step: Array,
        back: Array,
        slope: float,
        state: ElasticState,
        pulled: Places,
        wanted: Array,
    ) -> tuple[Array, Array, Array, Array, Array]:
        """Go along a step to about the lowest energy on it: the whole step where nothing changes its stiffness.

        The energy is convex and `slope` its derivative at the start, so that its derivative ahead brackets the lowest
        point. Returns the closures there, what the flange pushes back with, and what `_forces` says of them.
        """
        share, low, high = 1.0, (0.0, slope), (1.0, 0.0)
        for trial in range(40):
            left, tangent, load = self._forces(y + share * step, held + share * back, state, pulled, wanted)
            past = float(left @ step)
            if not slope < 0 or abs(past) <= -0.5 * slope or (share == 1.0 and past < 0):
                break
            if past > 0:
                high = share, past
            else:
                low = share, past
            secant = low[0] - low[1] * (high[0] - low[0]) / (high[1] - low[1])
            share = 0.5 * (low[0] + high[0]) if trial % 3 == 2 else secant
        return y + share * step, held + share * back, left, tangent, load

    def _retune(self, state: ElasticState, tangent: Array) -> None:
        """Bring the inverse to new stiffnesses on the diagonal, a few at a time (Woodbury), stiffer ones first."""
        change = tangent - state.stiffness
        places = np.flatnonzero(np.abs(change) > 1e-6 * np.maximum(tangent, state.stiffness))
        places = places[np.argsort(-change[places], kind="stable")]
        whole = state.inverse.reshape(self.studs, self._size, -1)
        for first in range(0, places.size, _CHUNK):
            some = places[first : first + _CHUNK]
            columns = state.inverse[:, some]
            core = np.linalg.inv(np.diag(1 / change[some]) + columns[some])
            whole -= (columns.reshape(self.studs, self._size, -1) @ core) @ columns.T
            state.stiffness[some] = tangent[some]

    def _renew(self, state: ElasticState, probe: int) -> None:
        """Make the inverse afresh when one of its columns shows that rounding has grown in it."""
        column = state.inverse[:, probe]
        unit = self._by_sector(self._ring, column) + state.stiffness * column
        unit[probe] -= 1.0
        if not np.abs(unit).max() <= 1e-9:
            self._rebuild(state, state.stiffness)

    def _by_sector(self, matrix: Array, vector: Array) -> Array:
        """Matrix times vector, one block per sector."""
        return (matrix.reshape(self.studs, self._size, -1) @ vector).ravel()

    def _rebuild(self, state: ElasticState, wanted: Array) -> None:
        """Make the inverse afresh for these stiffnesses."""
        self._refresh(state, wanted.reshape(self.studs, self._size).mean(axis=0))
        self._retune(state, wanted)

    def _refresh(self, state: ElasticState, tangent: Array) -> None:
        """The inverse for stiffnesses that are the same in every sector, by one small block per sector harmonic."""
        state.inverse = ring.circulant(np.linalg.inv(self.blocks + np.diag(tangent)))
        state.stiffness = np.tile(tangent, self.studs)
        if not state.tangent.size:
            state.tangent = state.stiffness

    def _influence(self, state: ElasticState, pulled: Places, stiff: Array) -> Array:
        """Change of all loads for an advance of each pulled nut, all studs springs, 1 for the nut's own stud."""
        k, at = self.stud_stiffness, self._at_stud
        beside = self._beside(state, state.tangent)
        bare = state.inverse[np.ix_(at, at[pulled])]
        flexibility = bare - beside.rows[:, at].T @ (beside.core @ beside.rows[:, at[pulled]])
        soft = np.flatnonzero(stiff[pulled] == 0)
        if soft.size:
            own = flexibility[:, soft]
            core = np.linalg.inv(np.eye(soft.size) / k + own[pulled[soft]])
            flexibility = flexibility - own @ (core @ own[pulled].T)
        springs = stiff.copy()
        springs[pulled] = k
        table = -k * springs[:, np.newaxis] * flexibility
        table[pulled, np.arange(pulled.size)] += k
        return table / table[pulled, np.arange(pulled.size)]


def interaction_table(given: Dimensions, load: float, *, loading: bool = False) -> Array:
    """Change of all stud loads when one is raised, per unit of its own rise.

    Column i belongs to stud i: raising it from F to T adds a[:, i] (T - F). Worked out around the state in which all
    studs together have reached `load` [N], with the gasket on its unloading line as in a circular pass after full
    load, or on its loading curve as in a first pass (`loading`). Shape (studs, studs), 1 on the diagonal. What was
    assumed: `dimensions.complete`.

    Raises InputError as `dimensions.complete` does, and `not_positive` for the load.

    >>> from calc.hardware.threads import parse
    >>> joint = Dimensions(8, parse("M24"), 0.1, 0.27, 0.33, 0.16, 0.045, 0.205, 0.014, "spiral wound")
    >>> table = interaction_table(joint, 80e3, loading=True)
    >>> table.shape, float(table[0, 0]), bool(table[1, 0] < 0)
    ((8, 8), 1.0, True)
    """
    check_load(load)
    model = ElasticJoint(given)
    y, slope = model.together(load)
    if not loading:
        slope = model.piece * model.law.unloading_slope(np.maximum(y[1:], 0.0))
    k = model.stud_stiffness
    flexibility = np.linalg.inv(model.blocks + np.diag(np.concatenate([[k], slope])))[:, :1, :1]
    table = k * np.eye(model.studs) - k * k * ring.circulant(flexibility)
    table = table / table[0, 0]
    np.fill_diagonal(table, 1.0)
    return table


def check_load(load: float, name: str = "load") -> None:
    """Refuse a load that is not a positive number: InputError `not_positive`."""
    if not (np.isfinite(load) and load > 0):
        raise stop("not_positive", name, value=float(load))
