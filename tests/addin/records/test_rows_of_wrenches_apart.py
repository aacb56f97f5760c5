"""Several rows of one joint are one record where each names wrenches of its own, and a doubt where one names none."""

from types import SimpleNamespace
from typing import Any

import pytest

from addin.records.same_rows import wrenches_apart


def rows(*wrenches: tuple[str, ...]) -> Any:
    return [SimpleNamespace(values=SimpleNamespace(wrenches=names)) for names in wrenches]


@pytest.mark.parametrize(
    ("wrenches", "apart"),
    [
        ([("HW-3",), ("HW-4",)], True),
        ([("HW-3",), ()], False),
        ([(), ()], False),
        ([("HW-3",), ("hw-3",)], False),
        ([("HW-3", "HW-4"), ("HW-5",)], True),
        ([("HW-3", "HW-4"), ("HW-4",)], False),
    ],
)
def test_each_names_some_and_none_twice(wrenches: list[tuple[str, ...]], apart: bool) -> None:
    assert wrenches_apart(rows(*wrenches)) is apart
