"""Estimated room for text."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from addin.forms.fit import height, width


# advance widths of Helvetica, AFM, per 1000: H 722, e 556, l 222, o 556 (from memory)
def test_width_of_a_word_with_a_small_reserve():
    exact = (722 + 556 + 222 + 222 + 556) * 10 / 1000

    assert exact < width("Hello", 10) < 1.06 * exact


@given(st.text(max_size=200), st.floats(20, 400), st.floats(6, 30))
def test_less_room_never_needs_less_height(text, room, size):
    assert height(text, room, size) >= height(text, room + 50, size) - 1e-9


@pytest.mark.parametrize(("words", "lines"), [("a", 1), ("a\nb", 2), ("a " * 100, 4)])
def test_lines(words, lines):
    # "a " is 8.3 points wide at 10 points: a hundred of them in 300 points are three to four lines
    assert height(words, 300, 10) <= 1 + 12.8 * lines
