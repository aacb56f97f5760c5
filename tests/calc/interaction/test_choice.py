"""Choice of plan: what every plan has, that the fewest moves are the fewest, and what limits keep out."""

import functools
import itertools

import numpy as np
import pytest

from calc.findings import InputError
from calc.interaction.choice import Wanted, circular_passes, search
from calc.interaction.elastic import ElasticJoint
from calc.interaction.events import Limits, Pass, progress, run, variation
from calc.interaction.matrix import MatrixJoint
from calc.procedure import order

LOAD = 60e3


def sequences(studs, wrenches=(1, 2, 4)):
    return {
        (name, at_once): find(studs, at_once)
        for name, find in (("cross", order.cross), ("circular", order.circular))
        for at_once in wrenches
    }


def limits(make, studs, stud=1.4, gasket=1.6):
    joint = make(studs)
    return Limits(stud * LOAD, gasket * LOAD * studs / joint.gasket_area)


@pytest.mark.parametrize(
    ("raised", "studs"),
    [
        (False, 8),
        (True, 8),
        pytest.param(False, 16, marks=pytest.mark.sweep),
        pytest.param(True, 16, marks=pytest.mark.sweep),
    ],
)
def test_every_plan_closes_with_a_circular_pass_at_full_load(make, studs, raised):
    model = ElasticJoint(make(studs))
    given = limits(make, studs) if raised else None
    found = search(model, LOAD, sequences(studs), limits=given, most_circular=8)
    assert [choice.moves for choice in found] == sorted(choice.moves for choice in found)
    assert {choice.at_once for choice in found} == {1, 2, 4}
    for choice in found:
        last = choice.passes[-1]
        assert (last.fraction, last.pattern) == (1.0, "circular")
        assert last.moves == order.circular(studs, choice.at_once)
        assert choice.met
        assert not choice.beyond
        assert choice.passes[0].fraction <= 0.5
        assert choice.raised == any(step.fraction > 1 for step in choice.passes)
        assert raised or not choice.raised
        done = run(model, LOAD, choice.passes, limits=given)
        course = progress(done)
        assert choice.moves == course.moves[-1]
        assert choice.variation == pytest.approx(variation(done.kept[-1]))
        assert choice.mean == pytest.approx(done.kept[-1].mean() / LOAD)
        assert choice.lowest == pytest.approx(done.kept[-1].min() / LOAD)
        assert choice.uneven == pytest.approx(course.uneven.max())
        assert choice.highest == pytest.approx(course.highest.max() / LOAD)
        assert choice.variation <= 0.05
        assert choice.mean >= 0.95


@functools.cache
def of_sixteen(make):
    """All that is found for a joint of 16 studs with room above the target."""
    return search(ElasticJoint(make(16)), LOAD, sequences(16, (1,)), limits=limits(make, 16))


def test_a_raised_pass_saves_moves(make):
    """Published abstracts say that optimised assembly saves more than half of the effort (abstracts only)."""
    plain = search(ElasticJoint(make(16)), LOAD, sequences(16, (1,)), most_circular=8)[0]
    raised = of_sixteen(make)[0]
    assert raised.raised
    assert raised.moves < plain.moves


@pytest.mark.parametrize("elastic", [False, pytest.param(True, marks=pytest.mark.sweep)])
def test_fewest_moves_are_found_by_trying_everything(make, elastic):
    """All plans of the search's own list, run one by one, none shortened and none passed over."""
    table = np.eye(8) - 0.25 * (np.roll(np.eye(8), 1, axis=0) + np.roll(np.eye(8), -1, axis=0))
    joint = ElasticJoint(make(8)) if elastic else MatrixJoint(table, gasket_area=1e-3)
    high = Limits(1.3 * LOAD, 1e12)
    moves = sequences(8, (4,) if elastic else (1, 2, 4))
    found = search(joint, LOAD, moves, limits=high, most_circular=4)
    for at_once in (4,) if elastic else (1, 2, 4):
        choice = min((each for each in found if each.at_once == at_once), key=lambda each: each.moves)
        best = None
        for pattern, stage, full, count in itertools.product(
            ("cross", "circular"),
            ((0.5,), (0.3, 0.6), (0.25, 0.5, 0.75)),
            (1.0, 1.05, 1.1, 1.15, 1.2, 1.25, 1.3),
            (1, 2, 3, 4),
        ):
            plan = [Pass(x, moves[pattern, choice.at_once]) for x in (*stage, full)]
            plan += [Pass(1.0, moves["circular", choice.at_once])] * count
            done = run(joint, LOAD, plan, limits=high)
            course = progress(done)
            if done.beyond:
                continue
            if course.variation[-1] <= 0.05 and course.mean[-1] >= 0.95 * LOAD:
                best = min(best or course.moves[-1], course.moves[-1])
        assert (choice.moves if choice.met else None) == best


def test_out_of_reach_is_said_with_the_nearest_plan(make):
    found = search(ElasticJoint(make(16)), LOAD, sequences(16, (1,)), wanted=Wanted(0.001, 1.0), most_circular=1)
    assert not found[0].met
    assert found[0].passes[-1].pattern == "circular"


def test_limits_keep_raised_passes_out(make):
    low = limits(make, 8, stud=1.0 + 1e-6)
    around = {("circular", 4): order.circular(8, 4)}
    found = search(ElasticJoint(make(8)), LOAD, around, limits=low, most_circular=8)
    assert not found[0].raised


def test_a_plan_beyond_a_limit_is_shown_and_marked(make):
    (found,) = search(ElasticJoint(make(8)), LOAD, {("circular", 4): order.circular(8, 4)},
                      limits=limits(make, 8, stud=0.9))  # fmt: skip
    assert not found.met
    assert not found.raised
    assert found.beyond == ("stud_limit",)


def test_a_plan_that_goes_across_first_is_offered_beside_one_that_goes_round(make):
    """Going round from the start closes the gasket less evenly; the plan that goes across first says by how much."""
    found = of_sixteen(make)
    assert any(choice.cross_first for choice in found)
    if not found[0].cross_first:
        across = next(choice for choice in found if choice.cross_first)
        assert across.uneven < found[0].uneven


def test_lowest_and_p5_can_be_asked_for(make):
    joint, moves = ElasticJoint(make(8)), {("circular", 4): order.circular(8, 4)}
    plain = search(joint, LOAD, moves, wanted=Wanted(0.1, 0.9))[0]
    low = search(joint, LOAD, moves, wanted=Wanted(0.1, 0.9, lowest=0.95))[0]
    assert plain.lowest < 0.95 <= low.lowest
    assert low.moves > plain.moves
    p5 = search(joint, LOAD, moves, wanted=Wanted(0.1, 0.9, p5=0.7), most_circular=3)[0]
    assert p5.met
    assert p5.p5 >= 0.7
    never = search(joint, LOAD, moves, wanted=Wanted(0.1, 0.9, p5=0.98), most_circular=3)[0]
    assert not never.met


def test_number_of_circular_passes(make):
    model = ElasticJoint(make(12))
    before = [Pass(x, order.cross(12)) for x in (0.3, 0.6, 1.0)]
    count, found = circular_passes(model, LOAD, before, order.circular(12))
    course = progress(found)
    assert len(course.mean) == 3 + count
    reached = (course.variation <= 0.05) & (course.mean >= 0.95 * LOAD)
    assert list(np.flatnonzero(reached)) == [2 + count]
    assert circular_passes(model, LOAD, before, order.circular(12), wanted=Wanted(0.001, 1.0), most=1)[0] is None


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ({"sequences": {}}, "no_passes"),
        ({"sequences": {("cross", 1): order.cross(8)}}, "circular_needed"),
        ({"sequences": {("circular", 1): order.circular(12)}}, "pass_studs"),
        ({"stages": ()}, "no_passes"),
        ({"stages": ((),)}, "no_passes"),
        ({"stages": ((1.2,),)}, "out_of_range"),
        ({"raises": (0.9,)}, "out_of_range"),
        ({"raises": (2.0,)}, "out_of_range"),
        ({"most_circular": 0}, "out_of_range"),
        ({"target": float("inf")}, "not_positive"),
        ({"limits": Limits(1e9, 1e9)}, "gasket_area_needed"),
    ],
)
def test_refusals(options, code):
    given = {"target": LOAD, "sequences": {("circular", 1): order.circular(8)}, **options}
    with pytest.raises(InputError) as caught:
        search(MatrixJoint(np.eye(8)), **given)
    assert caught.value.finding.code == code


def test_one_circular_pass_and_twenty_are_the_ends_of_what_is_tried():
    given = (MatrixJoint(np.eye(8)), LOAD, {("circular", 1): order.circular(8)})
    for most in (1, 20):
        search(*given, most_circular=most)
    for most in (0, 21):
        with pytest.raises(InputError) as caught:
            search(*given, most_circular=most)
        facts = {"value": most, "low": 1, "high": 20}
        assert (caught.value.finding.quantity, caught.value.finding.facts) == ("circular_passes", facts)


@pytest.mark.parametrize("share", [0.019, 1.001, 1.2])
def test_a_stage_outside_2_to_100_per_cent_is_refused_by_its_name(share):
    with pytest.raises(InputError) as caught:
        search(MatrixJoint(np.eye(8)), LOAD, {("circular", 1): order.circular(8)}, stages=((share, 1.0),))
    finding = caught.value.finding
    assert (finding.code, finding.quantity, finding.facts) == (
        "out_of_range",
        "stage",
        {"value": share, "low": 0.02, "high": 1.0},
    )


@pytest.mark.parametrize(
    "wanted", [(0.0, 0.95), (0.05, 0.0), (0.05, 1.2), (float("nan"), 0.9), (0.05, 0.9, 1.1), (0.05, 0.9, 0.5, -1.0)]
)
def test_what_cannot_be_wanted_is_refused(wanted):
    with pytest.raises(InputError) as caught:
        Wanted(*wanted)
    assert caught.value.finding.code == "out_of_range"
