"""Plans in words and stages of a scheme as passes: which share, which pattern, never without a circular pass."""

import pytest

from calc.findings import InputError
from calc.interaction.plans import from_stages, plan_of
from calc.procedure import order
from calc.procedure.passes import scheme, schemes

CROSS, CIRCULAR = order.cross(16), order.circular(16)


@pytest.mark.parametrize("text", [*schemes(), "100", "30/60/100", "50 100", "50/115", "110"])
@pytest.mark.parametrize("rounds", [None, 1, 3])
def test_every_plan_ends_with_circular_passes_at_the_full_share(text: str, rounds: int | None) -> None:
    plan = plan_of(text, CROSS, CIRCULAR, rounds)
    closing = [step for step in plan if step.pattern == "circular"]

    assert plan[-1].moves == CIRCULAR
    assert [step.fraction for step in closing] == [1.0] * len(closing)
    assert len(closing) == (rounds or (1 if text == "three-pass" or text not in schemes() else 2))
    assert plan[: -len(closing)] == tuple(step for step in plan if step.pattern == "cross")


def test_shares_are_those_written() -> None:
    assert [step.fraction for step in plan_of("25/50/115 %", CROSS, CIRCULAR)] == [0.25, 0.5, 1.15, 1.0]
    assert [step.fraction for step in plan_of("PCC-1 legacy", CROSS, CIRCULAR)] == [0.3, 0.6, 1.0, 1.0, 1.0]


def test_the_stages_of_a_scheme_are_the_passes_of_its_name() -> None:
    assert from_stages(scheme("three-pass"), CROSS, CIRCULAR) == plan_of("three-pass", CROSS, CIRCULAR)


@pytest.mark.parametrize(
    ("text", "rounds", "code"),
    [
        ("100/50", None, "scheme_percentages"), ("120/115", None, "scheme_percentages"),
        ("105/115", None, "scheme_percentages"), ("1/115", None, "scheme_percentages"),
        ("50/151", None, "out_of_range"), ("fast", None, "scheme_unknown"), ("50/90", None, "scheme_percentages"),
        ("50/100", 0, "out_of_range"), ("50/100", 21, "out_of_range"),
    ],
)  # fmt: skip
def test_what_no_plan_can_be(text: str, rounds: int | None, code: str) -> None:
    with pytest.raises(InputError) as refused:
        plan_of(text, CROSS, CIRCULAR, rounds)

    assert refused.value.finding.code == code


def test_a_scheme_with_its_own_order_pulls_its_first_studs_first() -> None:
    """8 studs, four then the others: 1, 5, 3, 7 three times, then 2, 6, 4, 8, then round twice."""
    plan = plan_of("four studs then cross", order.cross(8), order.circular(8))

    assert [step.fraction for step in plan] == [0.3, 0.6, 1.0, 1.0, 1.0, 1.0]
    assert [step.moves for step in plan[2:4]] == [((1,), (5,), (3,), (7,)), ((2,), (6,), (4,), (8,))]
    with pytest.raises(InputError, match="order_of_scheme"):
        plan_of("four studs then cross", order.given("1-2-3-4-5-6-7-8", 8), order.circular(8))
    with pytest.raises(InputError, match="scheme_studs"):
        plan_of("rising cross", order.cross(4), order.circular(4))
    few = plan_of("four studs then cross", order.cross(4), order.circular(4))
    assert [(step.fraction, len(step.moves)) for step in few] == [(0.3, 4), (0.6, 4), *[(1.0, 4)] * 3]
