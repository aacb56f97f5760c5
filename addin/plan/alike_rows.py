"""Rows of a plan that are planned alike: what is made from their columns is made once for all of them."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

_OF_EACH = frozenset(("joint", "equipment", "remarks", "comments", "faults", "findings"))
"""Columns that say which joint it is, or what is said of it: nothing that is planned is made from them."""
_AT_A_TIME, _TRIED = 1024, 4096


def alike(count: int, *sources: object) -> list[int]:
    """For each row the first one that has the same in every column of some records of columns, of whatever depth.

    A column is an array or a sequence with a place for each row, or a mapping by row; where an array has another
    length nobody knows what it says of which row, and no two are alike. A list in which hardly two rows are alike is
    not looked through to its end: the rest of its rows are each like themselves.

    >>> from calc.plan.joints import joints
    >>> alike(3, joints(3, joint=["E-1", "E-2", "E-3"], studs=[16, 16, 8], grade=["B7", "B7", "B7"]))
    [0, 0, 2]
    >>> alike(2, {"texts": ["a", "a"], "values": np.array([[1.0, np.nan], [1.0, np.nan]]), "rows": {1: "x"}})
    [0, 1]
    """
    numbers: list[NDArray[np.float64]] = []
    others: list[Sequence[object]] = []
    seen, kept = set[int](), []
    for source in sources:
        for column in _columns(source, count):
            if id(column) in seen:
                continue
            seen.add(id(column))
            kept.append(column)
            if isinstance(column, np.ndarray):
                wide = column.reshape(count, -1).astype(np.float64, copy=False)
                if count and not ((wide == wide[0]) | (np.isnan(wide) & np.isnan(wide[0]))).all():
                    numbers.append(wide)
            elif len(set(column)) > 1:
                others.append(column)
    first: dict[tuple[bytes, tuple[object, ...]], int] = {}
    found: list[int] = []
    for row, key in enumerate(_keys(count, numbers, others)):
        found.append(first.setdefault(key, row))
        if row == _TRIED and 2 * len(first) > row:
            return [*found, *range(row + 1, count)]
    return found


def _columns(source: object, count: int) -> Iterator[NDArray[Any] | Sequence[object]]:
    """The columns of a record of columns."""
    if isinstance(source, np.ndarray):
        if source.ndim and source.size:
            if source.shape[0] != count:
                yield range(count)
            else:
                yield source if source.dtype.kind in "fiub" else source.tolist()
    elif isinstance(source, Mapping):
        if any(isinstance(key, int) for key in source):
            yield [id(source[row]) if row in source else 0 for row in range(count)]
        else:
            for each in source.values():
                yield from _columns(each, count)
    elif isinstance(source, (tuple, list)):
        if len(source) == count:
            yield source if all(map(_hashable, set(map(type, source)))) else list(map(id, source))
    elif is_dataclass(source):
        for name in (each.name for each in fields(source) if each.name not in _OF_EACH):
            yield from _columns(getattr(source, name), count)


def _hashable(kind: type) -> bool:
    return kind.__hash__ is not None


def _keys(
    count: int, numbers: Sequence[NDArray[np.float64]], others: Sequence[Sequence[object]]
) -> Iterator[tuple[bytes, tuple[object, ...]]]:
    """What each row has in these columns."""
    words: Iterable[tuple[object, ...]] = zip(*others, strict=True) if others else [()] * count
    together = iter(words)
    for start in range(0, count, _AT_A_TIME):
        end = min(count, start + _AT_A_TIME)
        block = np.concatenate([*(each[start:end] for each in numbers), np.empty((end - start, 0))], axis=1)
        block = np.ascontiguousarray(block)
        for at in range(end - start):
            yield block[at].tobytes(), next(together)
