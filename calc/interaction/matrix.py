"""Joint from a table of interaction, measured or calculated: what every other stud does when one is raised."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.findings import stop

Array = NDArray[np.floating]
Places = NDArray[np.intp]


@dataclass
class MatrixState:
    """Load of every stud [N]; the gasket is not seen."""

    load: Array
    gasket_stress: float = np.nan
    uneven: float = np.nan

    def copy(self) -> "MatrixState":
        """An independent copy."""
        return MatrixState(self.load.copy())


class MatrixJoint:
    """A joint from its table a: raising stud i from F to T adds a[:, i] (T - F) to all loads; none falls below zero.

    A table measured in a first pass on a soft gasket does not hold for later passes: measure from half preload
    upwards. `gasket_area` [m²] is needed only where a limit of the gasket is to be checked. Raises InputError as
    `check_table` does.

    >>> joint = MatrixJoint([[1, -0.3], [-0.2, 1]])
    >>> state = joint.start(10.0)
    >>> _ = joint.move(state, np.array([0]), np.array([100.0]))
    >>> state.load
    array([100.,   0.])
    """

    def __init__(self, table: ArrayLike, studs: int | None = None, gasket_area: float | None = None) -> None:
        self.table = check_table(table, studs)
        self.studs = len(self.table)
        if gasket_area is not None and not (np.isfinite(gasket_area) and gasket_area > 0):
            raise stop("not_positive", "gasket_area", value=gasket_area)
        self.gasket_area = gasket_area

    def start(self, load: float) -> MatrixState:
        """All studs at one load [N]."""
        return MatrixState(np.full(self.studs, float(load)))

    def move(self, state: MatrixState, pulled: Places, wanted: Array) -> Array:
        """Pull the studs `pulled` (from 0) together to the loads `wanted` [N]; returns their columns of the table."""
        columns = self.table[:, pulled]
        short = np.asarray(wanted, dtype=float) - state.load[pulled]
        turn = nut_advance(columns[pulled], short[:, np.newaxis])[:, 0]
        state.load = np.maximum(state.load + columns @ turn, 0.0)
        return columns

    def settle(self, state: MatrixState, pulled: Places, wanted: Array) -> None:
        """The same move; a table has its columns anyway."""
        self.move(state, pulled, wanted)

    def finish(self, state: MatrixState) -> None:
        """Nothing: a table knows no relaxing."""


def check_table(table: ArrayLike, studs: int | None = None) -> Array:
    """The table as an array, or a refusal.

    Raises InputError: `table_not_square`, `table_wrong_size`, `table_not_a_number`, `table_diagonal` (each stud's own
    rise is 1), `table_entry_large` (another stud cannot change by as much as the pulled one: percent typed?).

    >>> check_table([[1, -0.3, 0], [0, 1, 0]])
    Traceback (most recent call last):
    calc.findings.InputError: table_not_square interaction {'rows': 2, 'columns': 3}
    """
    try:
        a = np.array(table, dtype=float)
    except (TypeError, ValueError):
        raise stop("table_not_a_number", "interaction", stud=0, raised=0, value=None) from None
    if a.ndim != 2 or a.shape[0] != a.shape[1] or a.size == 0:
        rows, columns = (a.shape + (1, 1))[:2]
        raise stop("table_not_square", "interaction", rows=rows, columns=columns)
    if studs is not None and len(a) != studs:
        raise stop("table_wrong_size", "interaction", size=len(a), studs=studs)
    for code, bad in (
        ("table_not_a_number", ~np.isfinite(a)),
        ("table_diagonal", (np.abs(a - 1) > 1e-9) & np.eye(len(a), dtype=bool)),
        ("table_entry_large", (np.abs(a) >= 1) & ~np.eye(len(a), dtype=bool)),
    ):
        if bad.any():
            row, column = (int(i) for i in np.argwhere(bad)[0])
            raise stop(code, "interaction", stud=row + 1, raised=column + 1, value=float(a[row, column]))
    return a


def nut_advance(own: Array, short: Array) -> Array:
    """How far each pulled nut turns, as the rise its stud would have alone, when nuts only advance. [N]

    `own` (k, k) is the table among the pulled studs, `short` (k, samples) what each lacks [N]. The advances z are the
    smallest with own z >= short, z >= 0: a stud above its setting is left alone.

    >>> nut_advance(np.array([[1.0, -0.25], [-0.25, 1.0]]), np.array([[75.0, 75.0], [75.0, -50.0]]))
    array([[100., 75.],
           [100., 0.]])
    """
    if len(own) == 1:
        return np.maximum(short, 0.0)
    turn = np.linalg.solve(own, short)
    if (turn >= 0).all():
        return turn
    turn = np.maximum(turn, 0.0)
    for _ in range(60):  # Gauss-Seidel with a floor at zero; leaves columns alone that need no floor
        moved = 0.0
        for i in range(len(own)):
            better = np.maximum(turn[i] + (short[i] - own[i] @ turn) / own[i, i], 0.0)
            moved = max(moved, float(np.abs(better - turn[i]).max()))
            turn[i] = better
        if moved <= 1e-13 * float(np.abs(short).max()):
            break
    return turn
