"""Rows of cells that many are kept of: packed in blocks, and unpacked when they are asked for."""

import marshal
import pickle
import zlib
from array import array
from bisect import bisect_left, bisect_right
from collections.abc import ItemsView, Iterable, Iterator, Mapping, Sequence
from itertools import islice
from typing import Any, overload

from addin.cells.numbers import Cell

_BLOCK = 64
"""Rows of a block."""
_OPEN = 8
"""Blocks that are kept unpacked."""
_MARSHALLED = 4
"""Form of marshal that writes a value which stands twice once: its texts are made once when it is unpacked."""
_AT_ONCE = 256
"""Rows of a piece of a list."""
_TEXT, _NOTHING = frozenset((str,)), type(None)


class PackedRows(Mapping[int, list[Cell]]):
    """Rows by number, which rises from each to the next. A list that is handed out is not to be changed.

    >>> rows = PackedRows([(3, ["P-101", 8]), (7, ["P-102", None, 1.5])])
    >>> rows[7], list(rows), rows.get(4), len(rows), rows.last
    (['P-102', None, 1.5], [3, 7], None, 2, 7)
    """

    def __init__(self, rows: Iterable[tuple[int, list[Cell]]] = ()) -> None:
        self._numbers = array("L")
        self._fullness = array("H")
        self.of_texts = array("L")
        """Numbers of the rows that hold texts and nothing else."""
        self.widest = 0
        """Cells of the longest row."""
        self._blocks: list[bytes] = []
        self._filled: list[list[Cell]] = []
        self._unpacked: dict[int, list[list[Cell]]] = {}
        for number, cells in rows:
            self.add(number, cells)

    @property
    def last(self) -> int:
        """The last number, 0 where there is none."""
        return self._numbers[-1] if self._numbers else 0

    def add(self, number: int, cells: list[Cell]) -> None:
        """Put in one row. Raises ValueError for a number that is not above the last."""
        if number <= self.last:
            raise ValueError(f"row {number} comes after row {self.last}")
        self._numbers.append(number)
        kinds = {*map(type, cells)}
        blank = cells.count("") if str in kinds else 0
        if _NOTHING in kinds:
            kinds.remove(_NOTHING)
            blank += cells.count(None)
        if kinds <= _TEXT:
            self.of_texts.append(number)
        self._fullness.append(len(cells) - blank)
        self.widest = max(self.widest, len(cells))
        self._filled.append(cells)
        if len(self._filled) == _BLOCK:
            self._blocks.append(_packed(self._filled))
            self._filled = []

    def __getitem__(self, number: int) -> list[Cell]:
        place = bisect_left(self._numbers, number)
        if place == len(self._numbers) or self._numbers[place] != number:
            raise KeyError(number)
        return self._block(place // _BLOCK)[place % _BLOCK]

    def get(self, number: int, default: Any = None) -> Any:
        """The row of a number, `default` where there is none."""
        place = bisect_left(self._numbers, number)
        if place == len(self._numbers) or self._numbers[place] != number:
            return default
        index = place // _BLOCK
        block = self._unpacked.get(index)
        return (self._block(index) if block is None else block)[place % _BLOCK]

    def __contains__(self, number: object) -> bool:
        if not isinstance(number, int):
            return False
        place = bisect_left(self._numbers, number)
        return place < len(self._numbers) and self._numbers[place] == number

    def __iter__(self) -> Iterator[int]:
        return iter(self._numbers)

    def items(self) -> ItemsView[int, list[Cell]]:
        """Number and cells of each row."""
        return _Items(self)

    def starting_at(self, number: int) -> Iterator[tuple[int, list[Cell]]]:
        """Number and cells of each row from one on, whether that row is there or not."""
        place = bisect_left(self._numbers, number)
        for index in range(place // _BLOCK, len(self._blocks) + 1):
            begin = max(place, index * _BLOCK)
            end = (index + 1) * _BLOCK
            yield from zip(self._numbers[begin:end], self._block(index)[begin - index * _BLOCK :], strict=True)

    def fullness(self, number: int) -> Iterator[tuple[int, int]]:
        """Number of each row from one on, and how many of its cells hold something."""
        place = bisect_left(self._numbers, number)
        return zip(self._numbers[place:], self._fullness[place:], strict=True)

    def several(self, numbers: Sequence[int]) -> Iterator[list[Cell]]:
        """The rows of numbers that rise; an empty one for a number that is not there."""
        done = 0
        for index in range(len(self._blocks) + 1):
            there = self._numbers[index * _BLOCK : (index + 1) * _BLOCK].tolist()
            end = bisect_right(numbers, there[-1], done) if there else done
            wanted = numbers[done:end]
            if wanted == there:
                yield from self._block(index)
            elif wanted:
                known = dict(zip(there, self._block(index), strict=True))
                yield from (known.get(number, []) for number in wanted)
            done = end
        yield from ([] for _ in numbers[done:])

    def __len__(self) -> int:
        return len(self._numbers)

    def _block(self, index: int) -> list[list[Cell]]:
        if index == len(self._blocks):
            return self._filled
        found = self._unpacked.get(index)
        if found is None:
            if len(self._unpacked) >= _OPEN:
                del self._unpacked[next(iter(self._unpacked))]
            found = self._unpacked[index] = _unpacked(self._blocks[index])
        return found


class _Items(ItemsView[int, list[Cell]]):
    def __init__(self, rows: PackedRows) -> None:
        super().__init__(rows)
        self._rows = rows

    def __iter__(self) -> Iterator[tuple[int, list[Cell]]]:
        return self._rows.starting_at(0)


class RowsOfList(Sequence[list[Cell]]):
    """Rows of a list in their order, made anew from those of the sheet whenever they are asked for.

    wide : cells of a row, from the first column on.

    >>> rows = RowsOfList(PackedRows([(3, ["A", 1]), (4, ["B", 2, "x"])]), 3)
    >>> rows.append(3); rows.append(4); rows.put(4, ["B", 5, "x"])
    >>> list(rows), rows[-1]
    ([['A', 1, None], ['B', 5, 'x']], ['B', 5, 'x'])
    """

    def __init__(self, rows: PackedRows, wide: int) -> None:
        self.numbers: list[int] = []
        self._rows, self._wide = rows, wide
        self._other = PackedRows()

    def append(self, number: int) -> None:
        """The next row, by its number in the sheet."""
        self.numbers.append(number)

    def put(self, number: int, cells: list[Cell]) -> None:
        """The cells of a row that are not those of the sheet; rows come in their order."""
        self._other.add(number, cells)

    def insert(self, place: int, number: int) -> None:
        """A row of the sheet before another."""
        self.numbers.insert(place, number)

    def cut(self, end: int) -> None:
        """Leave out all rows from one on."""
        del self.numbers[end:]

    def of(self, number: int) -> list[Cell]:
        """The cells of a row of the sheet."""
        if len(self._other):
            other: list[Cell] | None = self._other.get(number)
            if other is not None:
                return other
        cells: list[Cell] = self._rows.get(number, [])[: self._wide]
        if len(cells) < self._wide:
            cells += [None] * (self._wide - len(cells))
        return cells

    @overload
    def __getitem__(self, place: int) -> list[Cell]: ...
    @overload
    def __getitem__(self, place: slice) -> list[list[Cell]]: ...
    def __getitem__(self, place: int | slice) -> list[Cell] | list[list[Cell]]:
        if isinstance(place, slice):
            return [self.of(number) for number in self.numbers[place]]
        return self.of(self.numbers[place])

    def __iter__(self) -> Iterator[list[Cell]]:
        return map(list, self.as_they_stand())

    def as_they_stand(self) -> Iterator[list[Cell]]:
        """The rows in their order, none of which is to be changed."""
        wide = self._wide
        for number, cells in zip(self.numbers, self._rows.several(self.numbers), strict=True):
            if len(self._other) and (other := self._other.get(number)) is not None:
                yield other
            elif len(cells) == wide:
                yield cells
            else:
                yield cells[:wide] + [None] * (wide - len(cells))

    @property
    def other(self) -> bool:
        """Whether some rows are not those of the sheet."""
        return len(self._other) > 0

    def __len__(self) -> int:
        return len(self.numbers)


def pieces(rows: Iterable[Sequence[Cell]]) -> Iterator[list[Sequence[Cell]]]:
    """Rows of a list some at a time, to be looked through column by column and not to be changed.

    >>> [len(piece) for piece in pieces([["A", 1]] * 300)]
    [256, 44]
    """
    rest = rows.as_they_stand() if isinstance(rows, RowsOfList) else iter(rows)
    while piece := [*islice(rest, _AT_ONCE)]:
        yield piece


def _packed(rows: list[list[Cell]]) -> bytes:
    try:
        content = b"m" + marshal.dumps(rows, _MARSHALLED)
    except ValueError:  # days among them
        content = b"p" + pickle.dumps(rows, pickle.HIGHEST_PROTOCOL)
    return zlib.compress(content, 1)


def _unpacked(block: bytes) -> list[list[Cell]]:
    content = zlib.decompress(block)
    rows: list[list[Cell]] = marshal.loads(content[1:]) if content[:1] == b"m" else pickle.loads(content[1:])
    return rows
