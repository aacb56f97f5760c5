"""One column for each row of a table of gains, so that the sum of all gains is the most."""

from typing import Any

import numpy as np
from numpy.typing import NDArray


def one_each(gain: NDArray[np.float64]) -> list[int]:
    """The column of each row: no column twice, and no other choice has a larger sum. As many columns as rows, or more.

    Shortest augmenting paths, row after row (R. Jonker and A. Volgenant, Computing 38, 1987; the order within a row as
    D. F. Crouse has it, IEEE Transactions on Aerospace and Electronic Systems 52, 2016; both from memory).

    gain : (rows, columns), finite. Raises ValueError for more rows than columns.

    >>> one_each(np.array([[4.0, 1.0, 3.0], [2.0, 0.0, 5.0], [3.0, 2.0, 2.0]]))
    [0, 2, 1]
    """
    rows, columns = gain.shape
    if rows > columns:
        raise ValueError(f"{rows} rows for {columns} columns")
    cost = -gain
    of_row, of_column = np.zeros(rows), np.zeros(columns)  # what is taken off the costs of each
    chosen, holder = np.full(rows, -1), np.full(columns, -1)
    for start in range(rows):
        row, least = start, 0.0
        lengths, before = np.full(columns, np.inf), np.full(columns, -1)
        left = np.arange(columns - 1, -1, -1)
        passed: list[int] = []
        while True:
            passed.append(row)
            path = least + cost[row, left] - of_row[row] - of_column[left]
            nearer = path < lengths[left]
            lengths[left[nearer]], before[left[nearer]] = path[nearer], row
            place = _nearest(lengths[left], holder[left])
            end = left[place]
            least = lengths[end]
            left[place] = left[-1]
            left = left[:-1]
            if holder[end] < 0:
                break
            row = holder[end]
        done = np.ones(columns, dtype=bool)
        done[left] = False
        of_row[start] += least
        for each in passed[1:]:
            of_row[each] += least - lengths[chosen[each]]
        of_column[done] -= least - lengths[done]
        while True:
            row = before[end]
            holder[end], chosen[row], end = row, end, chosen[row]
            if row == start:
                break
    return [int(column) for column in chosen]


def _nearest(lengths: NDArray[np.float64], holder: NDArray[Any]) -> int:
    """The place of the least length; of several the last that nobody holds, else the first."""
    least = np.flatnonzero(lengths == lengths.min())
    free = least[holder[least] < 0]
    return int(free[-1] if free.size else least[0])
