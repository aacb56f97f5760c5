"""Passes: published schemes within their printed ranges, own percentages, stages in proportion to torque."""

import csv
from pathlib import Path

import numpy as np
import pytest

from calc.findings import InputError
from calc.procedure import passes
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
