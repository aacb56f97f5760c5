"""Sheet names: what a spreadsheet program accepts, and no two alike."""

import re

from hypothesis import given
from hypothesis import strategies as st

from addin.forms.sheet_names import sheet_names


@given(
    st.lists(st.tuples(st.text(max_size=60), st.text(max_size=40)), max_size=12),
    st.lists(st.text(max_size=31), max_size=6),
)
def test_every_name_is_allowed_and_stands_once(wanted, taken):
    names = sheet_names(wanted, taken)

    assert len(names) == len(wanted)
    assert len({name.casefold() for name in names} | {name.casefold() for name in taken}) == len(names) + len(
        {name.casefold() for name in taken}
    )
    for name in names:
        assert 0 < len(name.encode("utf-16-le")) // 2 <= 31
        assert not re.search(r"[\[\]:*?/\\\x00-\x1f]", name)
        assert not name.startswith("'")
        assert not name.endswith("'")
        assert name.casefold() != "history"


def test_collisions_show():
    wanted = [("P-1", "break"), ("p-1", "break"), ("P-11", "break"), ("P/1", "break"), ("History", "")]

    assert sheet_names(wanted) == ["P-1 break", "p-1 break (2)", "P-11 break", "P-1 break (3)", "History (2)"]


def test_long_tags_that_begin_alike_stay_apart():
    first, second = sheet_names([(f"R-301 bottom head of the reactor {side}", "final make-up") for side in "AB"])

    assert first == "R-301 bottom hea… final make-up"
    assert second == "R-301 bottom… final make-up (2)"
