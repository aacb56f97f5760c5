"""Passes: published schemes within their printed ranges, own percentages, stages in proportion to torque."""

import csv
import itertools
from pathlib import Path

import numpy as np
import pytest

from calc.findings import InputError
from calc.procedure import order, passes
from calc.wrench.calibration import Marks, curve

PUBLISHED = Path(__file__).parents[2] / "published" / "pass_schemes.csv"
NAMES = {"PCC-1 legacy": "PCC-1 legacy", "three-pass": "three-pass field practice"}
BAR = 1e5
FIRST = curve(np.array([100, 200, 300, 400, 500]) * BAR, [800, 1650, 2500, 3340, 4180])


@pytest.mark.parametrize("name", NAMES)
def test_stages_lie_within_the_published_ranges(name: str) -> None:
    with PUBLISHED.open(encoding="utf-8") as file:
        printed = {int(row["pass"]): row for row in csv.DictReader(file) if row["scheme"] == NAMES[name]}
    ours = {stage.number: stage for stage in passes.scheme(name)}

    assert set(printed) <= set(ours)
    for number, row in printed.items():
        if row["pct_of_target_min"]:
            low, high = float(row["pct_of_target_min"]) / 100, float(row["pct_of_target_max"]) / 100
            assert low <= ours[number].fraction <= high
        assert ours[number].wait == 3600 * float(row["wait_h"])


@pytest.mark.parametrize("name", [*passes.schemes(), "25/50/75/100", "40 70 100", "100", "30 %, 60 %, 100 %"])
def test_every_scheme_begins_with_snug_and_ends_with_a_circular_pass(name: str) -> None:
    stages = passes.scheme(name)

    assert stages[0].pattern == passes.SNUG
    assert stages[-1].fraction == 1.0
    assert stages[-1].pattern in (passes.CIRCULAR, passes.CHECK)
    shares = [stage.fraction for stage in stages[1:]]
    assert shares == sorted(shares)


@pytest.mark.parametrize(
    ("name", "code"),
    [("30/60", "percentages"), ("60/30/100", "percentages"), ("30/100/120", "percentages"), ("1/100", "percentages"),
     ("quick", "scheme_unknown"), ("", "scheme_unknown")],
)  # fmt: skip
def test_schemes_that_are_none(name: str, code: str) -> None:
    with pytest.raises(InputError, match=code):
        passes.scheme(name)


def test_stages_are_in_proportion_to_torque_and_none_is_set_below_the_table() -> None:
    s = passes.stage_settings(FIRST, 2210.0, passes.scheme("30/60/100"), Marks(10.0, BAR))

    # 30 %: 663 N·m is below the lowest point, 800; 60 %: 1326 N·m lies at 161.9 bar
    assert np.isnan(s.count[:2]).all()
    assert s.count[2:].tolist() == [16, 27, 27]
    assert passes.stage_torque(2210.0, passes.scheme("30/60/100"))[1:].tolist() == pytest.approx(
        [663, 1326, 2210, 2210]
    )


@pytest.mark.parametrize("name", [name for name in passes.schemes() if passes.own_order(passes.scheme(name))])
def test_every_stud_is_at_full_torque_before_the_closing_passes(name: str) -> None:
    stages = passes.scheme(name)
    for studs, at_once in itertools.product((12, 16, 36, 48, 120, 200), (1, 2, 4)):
        moves = order.patterned(passes.own_order(stages), studs, at_once)
        had: dict[int, float] = {}
        for stage in stages:
            if stage.pattern != passes.CROSS:
                continue
            pulled = [stud for move in passes.part(moves, stage.first, stage.last) for stud in move]
            assert pulled, (studs, at_once, stage)
            assert stage.fraction is not None
            assert all(had.get(stud, 0.0) <= stage.fraction for stud in pulled), (studs, at_once, stage)
            had |= dict.fromkeys(pulled, stage.fraction)

        assert sorted(had) == list(range(1, studs + 1)), (studs, at_once)
        assert set(had.values()) == {1.0}, (studs, at_once)
    assert [stage.pattern for stage in stages[-2:]] == [passes.CIRCULAR, passes.CHECK]


def test_the_first_studs_have_steps_of_their_own() -> None:
    """From memory, after ASME PCC-1: 20 to 30, 50 to 70, 100 %; of 16 studs first 1, 9, 5, 13, then 3, 11, 7, 15."""

    def steps(name: str) -> list[tuple[float | None, tuple[int, ...]]]:
        stages = passes.scheme(name)
        moves = order.patterned(passes.own_order(stages), 16)
        return [
            (stage.fraction, tuple(stud for move in passes.part(moves, stage.first, stage.last) for stud in move))
            for stage in stages if stage.pattern == passes.CROSS
        ]  # fmt: skip

    rest = (2, 10, 6, 14, 4, 12, 8, 16)
    assert steps("four studs then cross") == [
        (0.3, (1, 9, 5, 13)), (0.6, (1, 9, 5, 13)), (1.0, (1, 9, 5, 13)), (1.0, (3, 11, 7, 15, *rest)),
    ]  # fmt: skip
    assert steps("rising cross") == [
        (0.3, (1, 9, 5, 13)), (0.6, (3, 11, 7, 15)), (1.0, rest), (1.0, (1, 9, 5, 13, 3, 11, 7, 15, *rest)),
    ]  # fmt: skip
    assert steps("four studs then circular")[3] == (1.0, (2, 3, 4, 6, 7, 8, 10, 11, 12, 14, 15, 16))
    assert steps("rising quadrants")[1] == (0.6, (2, 10, 6, 14))


@pytest.mark.parametrize("name", [name for name in passes.schemes() if passes.own_order(passes.scheme(name))])
def test_stages_of_the_other_schemes_lie_within_their_ranges_and_say_how_they_are_known(name: str) -> None:
    for stage in passes.scheme(name)[1:]:
        assert stage.low is not None
        assert stage.high is not None
        assert stage.low <= (stage.fraction or 0) <= stage.high
        assert (round(stage.low, 9), round(stage.high, 9)) in ((0.2, 0.3), (0.5, 0.7), (1.0, 1.0))
    assert passes.basis(name) == "from memory"
    assert passes.said_source(name) == "after ASME PCC-1 (from memory)"


def test_names_of_the_trade_find_their_scheme() -> None:
    assert passes.scheme("PCC-1 modified legacy pattern") == passes.scheme("Rising cross")
    assert passes.basis("modified legacy") == "from memory"
