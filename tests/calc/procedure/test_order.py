"""Tightening order for any count. The published sequences themselves are compared in tests/test_published.py."""

import pytest

from addin.cells.words import line
from calc.findings import InputError
from calc.procedure import order
from calc.units import system

COUNTS = (
    4,
    5,
    6,
    7,
    8,
    9,
    10,
    12,
    14,
    16,
    18,
    20,
    24,
    28,
    32,
    36,
    40,
    44,
    48,
    52,
    56,
    64,
    72,
    80,
    88,
    96,
    100,
    120,
    140,
    160,
    180,
    199,
    200,
)


@pytest.mark.parametrize("at_once", [1, 2, 4])
def test_every_stud_once(at_once: int) -> None:
    for studs in COUNTS:
        if studs % at_once:
            with pytest.raises(InputError, match="at_once_divides"):
                pytest.fail(f"{studs}: {order.cross(studs, at_once)}")
            continue
        for moves in (order.cross(studs, at_once), order.circular(studs, at_once)):
            assert sorted(stud for move in moves for stud in move) == list(range(1, studs + 1)), studs
            assert all(len(move) == at_once for move in moves), studs


def test_two_wrenches_pull_opposite_studs() -> None:
    for studs in (n for n in COUNTS if n % 2 == 0):
        for move in (*order.cross(studs, 2), *order.circular(studs, 2)):
            assert abs(move[0] - move[1]) == studs // 2, studs


def test_four_wrenches_pull_at_quarter_points() -> None:
    for studs in (n for n in COUNTS if n % 4 == 0):
        for move in (*order.cross(studs, 4), *order.circular(studs, 4)):
            places = sorted((stud - move[0]) % studs for stud in move)
            assert places == [0, studs // 4, studs // 2, 3 * studs // 4], studs


def test_every_four_moves_of_a_cross_order_stand_at_quarter_points() -> None:
    for studs in (n for n in COUNTS if n % 4 == 0 and n not in (36, 48)):
        single = [stud for (stud,) in order.cross(studs)]
        for i in range(0, studs, 4):
            places = sorted((stud - single[i]) % studs for stud in single[i : i + 4])
            assert places == [0, studs // 4, studs // 2, 3 * studs // 4], studs


def test_star_order_of_small_odd_and_even_counts() -> None:
    # common practice, no source: five studs are tightened along a five-pointed star
    assert [s for (s,) in order.cross(5)] == [1, 3, 5, 2, 4]
    assert [s for (s,) in order.cross(6)] == [1, 4, 2, 5, 3, 6]
    assert [s for (s,) in order.cross(10)] == [1, 6, 3, 8, 5, 10, 2, 7, 4, 9]


@pytest.mark.parametrize("text", ["1-3-2-4", "1, 3, 2, 4", "1/3/2/4", "1 3 2 4"])
def test_own_order(text: str) -> None:
    assert order.given(text, 4) == ((1,), (3,), (2,), (4,))
    assert order.given(text, 4, 2) == ((1, 3), (2, 4))


@pytest.mark.parametrize(
    ("text", "code"), [("1-3-2", "order_incomplete"), ("1-3-2-2", "order_incomplete"), ("1-3-2-5", "order_incomplete"),
                       ("as drawn", "order_unreadable"), ("", "order_unreadable")]
)  # fmt: skip
def test_own_order_that_is_none(text: str, code: str) -> None:
    with pytest.raises(InputError, match=code):
        order.given(text, 4)


@pytest.mark.parametrize(
    ("studs", "at_once", "code"), [(3, 1, "too_few"), (8, 3, "at_once_unknown"), (0, 1, "too_few")]
)
def test_impossible_counts(studs: int, at_once: int, code: str) -> None:
    with pytest.raises(InputError, match=code):
        order.cross(studs, at_once)


@pytest.mark.parametrize(
    "pattern",
    ["cross", "quadrants", "groups of 4", "groups of 2", "circular", "quarter points then cross",
     "quarter points then circular"],
)  # fmt: skip
@pytest.mark.parametrize("at_once", [1, 2, 4])
def test_named_patterns_hold_every_stud_once_to_200(pattern: str, at_once: int) -> None:
    for studs in (16, 32, 64, 96, 160, 200):
        if pattern.startswith("groups") and studs // int(pattern[-1]) % at_once:
            continue  # groups that the wrenches cannot share are refused
        moves = order.given(pattern, studs, at_once)
        assert sorted(stud for move in moves for stud in move) == list(range(1, studs + 1)), studs
        assert {len(move) for move in moves} == {at_once}, studs


def test_quadrants_go_on_with_the_neighbours() -> None:
    """By hand: 16 studs, quarters begin at 1, 5, 9, 13; opposite ones after each other."""
    assert [move[0] for move in order.quadrants(16)] == [1, 9, 5, 13, 2, 10, 6, 14, 3, 11, 7, 15, 4, 12, 8, 16]


@pytest.mark.parametrize(
    ("name", "studs", "at_once", "code"),
    [("quadrants", 10, 1, "order_quarters"), ("groups of 3", 16, 1, "order_groups"),
     ("groups of 5", 15, 1, "order_groups"), ("groups of 4", 24, 4, "order_groups"),
     ("star", 18, 4, "at_once_divides"), ("spiral", 16, 1, "order_unreadable")],
)  # fmt: skip
def test_patterns_that_cannot_be(name: str, studs: int, at_once: int, code: str) -> None:
    with pytest.raises(InputError) as caught:
        order.given(name, studs, at_once)
    assert caught.value.finding.code == code


@pytest.mark.parametrize("text", ["Legacy cross", "PCC-1 legacy cross-pattern", "legacy star pattern", "criss-cross"])
def test_the_cross_order_by_its_other_names(text: str) -> None:
    """The legacy order of eight studs is 1-5-3-7-2-6-4-8 (PCC-1, from memory)."""
    assert [stud for move in order.given(text, 8) for stud in move] == [1, 5, 3, 7, 2, 6, 4, 8]


@pytest.mark.parametrize("text", ["alternative 2", "PCC-1 alternative assembly pattern #2", "modified star"])
def test_a_published_pattern_that_is_more_than_an_order_is_refused_with_the_reason(text: str) -> None:
    with pytest.raises(InputError) as caught:
        order.given(text, 8)

    assert line(caught.value.finding, system("US")) == (
        f"order '{text}': an alternative pattern of PCC-1 is more than an order, and its number is not surely known "
        "here; plan with the scheme of passes that does what it says (four studs then cross, four studs then circular, "
        "rising cross, rising quadrants or circular together), or write stud numbers like 1-5-3-7-2-6-4-8"
    )


@pytest.mark.parametrize("text", ["modified legacy", "PCC-1 Modified legacy pattern", "rising cross"])
def test_an_order_that_names_a_scheme_says_which(text: str) -> None:
    with pytest.raises(InputError) as caught:
        order.given(text, 16)

    assert line(caught.value.finding, system("US")) == (
        f"order '{text}' is a scheme of passes with steps of its own for the first studs: plan with the scheme 'rising "
        "cross', or write stud numbers like 1-5-3-7-2-6-4-8"
    )


def test_quadrants_of_pcc_1_are_asked_about() -> None:
    with pytest.raises(InputError) as caught:
        order.given("PCC-1 quadrant pattern", 16)

    assert line(caught.value.finding, system("US")) == (
        "order 'PCC-1 quadrant pattern' may be the order of every pass or a scheme with smaller torques for the first "
        "studs; write 'quadrants' for the order, or leave the cell blank and plan with the scheme 'rising quadrants'"
    )
    assert order.given("quadrant pattern", 16) == order.quadrants(16)


def test_four_studs_at_the_quarter_points_go_first() -> None:
    """By hand: 16 studs, a quarter is 4: 1, 9 across, 5 and 13; round after them 2, 3, 4, then 6.

    Where neighbours go in groups in the cross order (36, 48 studs) the four are still a quarter apart.
    """
    assert [stud for (stud,) in order.quarter_points(16, True)] == [
        1,
        9,
        5,
        13,
        *(2, 3, 4, 6, 7, 8, 10, 11, 12, 14, 15, 16),
    ]
    assert order.quarter_points(16, True, 2)[:3] == ((1, 9), (5, 13), (2, 10))
    for studs, quarter in ((36, 9), (48, 12)):
        first = [stud for (stud,) in order.given("quarter points then cross", studs)[:4]]
        assert first == [1, 1 + 2 * quarter, 1 + quarter, 1 + 3 * quarter]


def test_quarter_points_need_a_multiple_of_four() -> None:
    with pytest.raises(InputError) as caught:
        order.given("quarter points then circular", 10)

    assert line(caught.value.finding, system("US")) == (
        "the order 'quarter points then circular' needs a stud count that is a multiple of 4, got 10"
    )
