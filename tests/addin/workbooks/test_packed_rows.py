"""Packed rows are the rows that were put in, in whatever order they are asked for, and so are the rows of a list."""

import datetime
import random

import pytest

from addin.cells.numbers import Cell
from addin.workbooks.packed_rows import PackedRows, RowsOfList, pieces

VALUES: tuple[Cell, ...] = (None, True, 1, 1.0, 0, -0.0, 0.1, "", "1", "E-1 \u00b5 \ud83d\ude00", 10**20, 1e300)
DAYS = (datetime.date(2026, 3, 14), datetime.datetime(2026, 3, 14, 6, 30), datetime.time(6, 30))


def made(chance: random.Random, count: int) -> dict[int, list[Cell]]:
    """Rows with gaps between them; in some hundred there are days."""
    rows, number = {}, 0
    for at in range(count):
        number += chance.choice((1, 1, 1, 2, 70))
        kinds = (*VALUES, *DAYS) if at // 100 % 2 else VALUES
        rows[number] = [chance.choice(kinds) for _ in range(chance.randint(0, 6))] + [number]
    return rows


@pytest.mark.parametrize("seed", range(3))
def test_each_row_is_the_one_that_was_put_in(seed: int) -> None:
    chance = random.Random(seed)
    rows = made(chance, 1500)
    packed = PackedRows(rows.items())

    assert (list(packed), len(packed), packed.last) == (list(rows), len(rows), max(rows))
    for number in chance.choices(range(max(rows) + 3), k=3000):
        assert repr(packed.get(number)) == repr(rows.get(number))
        assert (number in packed) == (number in rows)
        if number in rows:
            assert repr(packed[number]) == repr(rows[number])
        else:
            with pytest.raises(KeyError):
                packed[number]


@pytest.mark.parametrize("number", [3, 7, 0])
def test_a_row_that_does_not_come_after_the_last_is_refused(number: int) -> None:
    rows = PackedRows([(3, ["a"]), (7, ["b"])])

    with pytest.raises(ValueError, match=f"row {number} comes after row 7"):
        rows.add(number, ["c"])
    assert dict(rows) == {3: ["a"], 7: ["b"]}


def test_rows_of_a_list_keep_to_their_numbers_whatever_is_put_between_and_cut_off() -> None:
    chance = random.Random(1)
    rows = made(chance, 600)
    listed, wide = RowsOfList(PackedRows(rows.items()), 4), 4
    numbers = sorted(chance.sample(sorted(rows), 400))
    late = numbers[50:300:50]
    wanted = {number: (rows[number] + [None] * wide)[:wide] for number in numbers}
    for number in numbers:
        if number not in late:
            listed.append(number)
            if chance.random() < 0.2:
                wanted[number] = ["put", number, None, None]
                listed.put(number, list(wanted[number]))
    for number in late:
        listed.insert(numbers.index(number), number)
    listed.cut(390)

    assert listed.numbers == numbers[:390]
    assert repr(list(listed)) == repr([wanted[number] for number in numbers[:390]])
    for at in chance.choices(range(390), k=500):
        assert repr(listed[at]) == repr(wanted[numbers[at]])
    listed.of(late[0])[0] = "changed by who asked for it"
    assert repr(listed.of(late[0])) == repr(wanted[late[0]])


@pytest.mark.parametrize("seed", range(2))
def test_rows_in_their_order_are_those_that_were_put_in(seed: int) -> None:
    chance = random.Random(seed)
    rows = made(chance, 700)
    packed = PackedRows(rows.items())
    last = max(rows)

    assert repr(list(packed.items())) == repr(list(rows.items()))
    for first in (0, 1, *chance.choices(range(last + 3), k=60), last, last + 1):
        wanted = [(number, row) for number, row in rows.items() if number >= first]
        assert repr(list(packed.starting_at(first))) == repr(wanted)
        filled = [(number, sum(cell is not None and cell != "" for cell in row)) for number, row in wanted]
        assert list(packed.fullness(first)) == filled
    for count in (0, 1, 40, 300, last):
        numbers = sorted(chance.sample(range(1, last + 1), count))
        assert repr(list(packed.several(numbers))) == repr([rows.get(number, []) for number in numbers])
    assert repr(list(packed.several([last, last + 1, last + 9]))) == repr([rows[last], [], []])
    assert packed.widest == max(map(len, rows.values()))


def test_rows_of_texts_hold_nothing_else() -> None:
    rows = PackedRows([(1, ["a", None]), (2, ["a", 1]), (5, [None, "b", ""]), (6, [None]), (7, [True, "c"])])

    assert list(rows.of_texts) == [1, 5, 6]


def test_a_list_in_pieces_is_the_list() -> None:
    rows = made(random.Random(2), 900)
    listed = RowsOfList(PackedRows(rows.items()), 4)
    for number in rows:
        listed.append(number)
        if number % 90 == 0:
            listed.put(number, ["put", number, None, None])

    some = list(pieces(listed))
    assert [len(piece) for piece in some] == [256, 256, 256, 132]
    assert repr([row for piece in some for row in piece]) == repr(list(listed))
    assert {len(row) for row in listed} == {4}
