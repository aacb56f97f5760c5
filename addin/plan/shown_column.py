"""A column of a plan as it is shown: numbers of Python in the user's unit, made for some rows at a time."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from calc.units import from_si

_AT_A_TIME = 256


class ShownColumn:
    """The rows of an array as numbers of Python, in a unit where one is given: of a long list all of them are large.

    >>> ShownColumn([[1e5, 2e5], [3e5, 4e5]], "pressure", "bar")[1]
    [3.0, 4.0]
    """

    def __init__(self, values: ArrayLike, kind: str = "", unit: str = "") -> None:
        self._values, self._kind, self.unit = np.asarray(values), kind, unit
        self._first, self._made = 0, list[Any]()

    def __getitem__(self, row: int) -> Any:
        if not 0 <= row - self._first < len(self._made):
            some = self._values[row : row + _AT_A_TIME]
            self._first, self._made = row, (from_si(some, self._kind, self.unit) if self._kind else some).tolist()
        return self._made[row - self._first]
