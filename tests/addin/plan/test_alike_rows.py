"""What is planned of rows that are alike is made once, and is what each of them alone would have."""

import random
from typing import Any

import numpy as np
import pytest

from addin.plan import alike_rows
from addin.plan.alike_rows import alike
from addin.plan.file import entry_line
from addin.plan.result_columns import Results
from calc.plan.joints import NUMBER_COLUMNS, TEXT_COLUMNS, joints
from tests import small_plans
from tests.small_plans import BROKEN, Row, hand, joint, plan, several

OF_EACH = {"joint", "equipment", "remarks", "comments"}


@pytest.mark.parametrize("name", [*TEXT_COLUMNS, *NUMBER_COLUMNS])
def test_rows_that_differ_in_any_column_but_those_of_each_joint_are_not_alike(name: str) -> None:
    values = ("a", "b") if name in TEXT_COLUMNS else (1.0, np.nan)

    assert alike(2, joints(2, **{name: values})) == ([0, 0] if name in OF_EACH else [0, 1])
    assert alike(3, joints(3, **{name: (values[1], values[0], values[1])})) == [0, 0 if name in OF_EACH else 1, 0]


def test_what_stands_deeper_counts_too() -> None:
    same = {"one": {"two": np.zeros((2, 3, 4))}, "words": ("a", "a"), "none": None, "empty": np.zeros((2, 0, 4))}
    other = np.zeros((2, 3, 4))
    other[1, 2, 3] = 1

    assert alike(2, same) == [0, 0]
    assert alike(2, same, {"one": {"two": other}}) == [0, 1]
    assert alike(2, same, {"by row": {1: "facing"}}) == [0, 1]
    assert alike(2, same, (object(), object())) == [0, 1]
    assert alike(2, same, [[1], [2]]) == [0, 1]
    assert alike(2, same, np.array(["cross", "round"])) == [0, 1]


def test_an_array_that_is_not_by_rows_leaves_no_rows_alike() -> None:
    assert alike(2, {"stages": np.zeros((6, 2))}) == [0, 1]


def test_a_list_of_rows_all_different_is_not_looked_through(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(alike_rows, "_TRIED", 4)

    assert alike(8, [1, 2, 3, 4, 5, 1, 1, 1]) == [0, 1, 2, 3, 4, 5, 6, 7]
    assert alike(8, [1, 1, 1, 1, 5, 1, 5, 1]) == [0, 0, 0, 0, 4, 0, 4, 0]


def rows(chance: random.Random) -> list[Row]:
    """Joints of a few kinds, with what makes each of them another, in some order."""
    made: list[Row] = []
    for number in range(40):
        more: dict[str, Any] = {}
        for name, value in (
            ("studs", 20), ("stress", "45000 psi"), ("nut_factor", 0.18), ("lubricant", None), ("holes", "tapped"),
            ("order", "circular"), ("at_once", 2), ("uplift", 1.1), ("uplift_reason", "said"), ("shift", "day"),
            ("stud_maximum", "60000 psi"),
            ("torque", "900 lbf·ft"), ("gasket_area", "30 in²"), ("grade", "A193 B16"), ("thread", "1 1/4-8 UN"),
            ("nut_series", "hex"), ("operation", "retighten"), ("remarks", "hot"), ("date", None),
        ):  # fmt: skip
            if chance.random() < 0.08:
                more[name] = value
        kind = chance.choice((joint, joint, joint, hand, several, joint))
        broken = BROKEN | {"operation": "break"} if kind is joint and chance.random() < 0.1 else {}
        made.append(kind(f"J-{number}") | more | broken)
    return made


@pytest.mark.parametrize("seed", range(4))
def test_entries_are_those_that_each_row_alone_would_have(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    chance = random.Random(seed)
    given = rows(chance)
    together = [entry_line(each) for each in plan(*given).joints]
    groups: list[list[int]] = []
    monkeypatch.setattr(
        "addin.plan.writer.alike", lambda count, *all_: groups.append(alike(count, *all_)) or range(count)
    )
    small_plans._planned.cache_clear()
    alone = [entry_line(each) for each in plan(*given).joints]

    assert together == alone
    assert len(set(groups[0])) < len(given) - 5


@pytest.mark.parametrize("seed", range(4))
def test_cells_beside_rows_are_those_that_each_row_alone_would_have(seed: int) -> None:
    content = plan(*rows(random.Random(seed)))
    together = Results(content.head)
    for each in content.joints:
        together.add(each)
    names = [name for name, *_ in together.columns(1, range(2, len(content) + 2))]
    for at, each in enumerate(content.joints):
        alone = Results(content.head)
        alone.add(each)
        assert [together.told(name, at) for name in names] == [alone.told(name, 0) for name in names], each
