"""Which wrenches may pull together: never one with itself, named ones as named, others from one pump with one gauge."""

import math

from calc.plan.pulling import _groups
from calc.wrench.calibration import Marks, curve
from calc.wrench.choice import Gauge, Link, Wrench, candidates
from tests.small_plans import joint, plan

GAUGES = {name: Gauge(name, Marks(10.0, 1e5), 1000e5, 1.0, 9.0) for name in ("G-1", "G-2")}


def wrench(name: str, pump: str = "P-1", gauge: str = "G-1", of: str = "") -> Wrench:
    """A wrench with two links for the same nut."""
    table = curve([100e5, 600e5], [1000.0, 6000.0])
    links = (Link("long", 0.06, 1.0), Link("short", 0.06, 1.0))
    return Wrench(name, table, 700e5, math.nan, pump, math.nan, gauge, links, 1.0, 9.0, of=of)


def groups(*wrenches: Wrench, named: tuple[str, ...] = (), together: int = 2) -> set[tuple[str, ...]]:
    fitting = [c for c in candidates(wrenches, GAUGES) if not named or c.wrench.tool in named]
    return {tuple(c.wrench.name for c in group) for group in _groups(fitting, named, together)}


def test_no_wrench_pulls_together_with_itself() -> None:
    assert groups(wrench("A")) == set()
    assert groups(wrench("A 2025", of="A"), wrench("A 2026", of="A")) == set()  # two certificates of one tool
    assert groups(wrench("A"), wrench("B")) == {("A", "B")}


def test_wrenches_that_nobody_names_share_a_pump_and_its_gauge() -> None:
    assert groups(wrench("A"), wrench("B", pump="P-2")) == set()
    assert groups(wrench("A"), wrench("B", gauge="G-2")) == set()
    assert groups(wrench("A", pump=""), wrench("B", pump="")) == set()
    assert groups(wrench("A", pump=""), together=1) == {("A",)}  # alone it needs no name of its pump


def test_named_wrenches_pull_in_the_order_of_their_names_from_any_pumps() -> None:
    own_pumps = (wrench("A"), wrench("B", pump="P-2", gauge="G-2"), wrench("C", pump="P-3"))
    assert groups(*own_pumps, named=("B", "A")) == {("B", "A")}
    assert groups(*own_pumps, named=("A", "B", "C")) == set()  # three are named for two


def test_the_weakest_of_wrenches_together_says_whether_there_is_a_reserve() -> None:
    """HW-3 gives 0.351 x 10000 - 20 = 3490 lbf·ft, HW-6 3180: 3000 is beyond 90 % of the second, 2862, alone."""
    row = {"torque": "3000 lbf·ft", "thread": "1 7/8-8 UN", "stress": None, "stress_area": None, "at_once": 2}
    for wrenches, said in (("HW-3, HW-6", ["HW-6"]), ("HW-3, HW-13", [])):
        (made,) = plan(joint(wrench=wrenches, **row)).joints
        assert made.status == "planned"
        assert [f.facts["wrench"] for f in made.findings if f.code == "little_reserve"] == said
