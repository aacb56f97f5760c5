"""Which link is made for which nut, and which wrench serves a torque at the very end of its table."""

import math

import numpy as np
import pytest

from calc.quantities import INCH
from calc.units import to_si
from calc.wrench.calibration import Marks, Setting, curve
from calc.wrench.choice import CODES, Gauge, Link, Wrench, candidates, over_link, refusals, same_flats


@pytest.mark.parametrize(
    ("link", "nut", "fits"),
    [
        (2.5625 * INCH, 2.56 * INCH, True),  # measured to two digits
        (2.5625 * INCH, 2.565 * INCH, True),
        (2.56 * INCH, 2.5625 * INCH, True),
        (2.375 * INCH, 0.0603, True),
        (1.8125 * INCH, 0.046, False),  # both are sizes of their own
        (0.055, 0.0551, False),
        (2.5625 * INCH, 2.5 * INCH, False),
        (2.5625 * INCH, 0.065, False),
        (2.5625 * INCH, 2.57 * INCH, False),
        (float("nan"), 0.065, True),
    ],
)
def test_a_measured_width_finds_its_link(link: float, nut: float, fits: bool) -> None:
    """Basis: heavy hex and metric sizes as nominal, by definition; what counts as measured is common practice."""
    assert same_flats(link, nut) is fits


def why_not(torque: float, factor: float = 1.0, limit: float = math.inf) -> str:
    """The reason why a wrench whose table goes from 325 to 3330 lbf·ft, at 1000 and 10000 psi, does not serve."""
    table = curve(to_si([1000.0, 10000.0], "pressure", "psi"), to_si([325.0, 3330.0], "torque", "lbf·ft"))
    link = Link("2 in", 2 * INCH, factor, limit)
    wrench = Wrench("HW-1", table, 690e5, math.nan, "P-1", math.nan, "G-1", (link,), 100.0, 500.0)
    gauge = Gauge("G-1", Marks(10.0, float(to_si(1.0, "pressure", "psi"))), 700e5, 100.0, 500.0)
    (candidate,) = candidates([wrench], {"G-1": gauge})
    found, _ = refusals(
        candidate, np.array([torque]), np.array([200.0]), reserve=0.0, tolerance=0.03, rounding="nearest"
    )
    return CODES[int(found[0])]


@pytest.mark.parametrize("factor", [1.0, 1.1, 1.2, 1.25, 1 / 3, 4 / 3])
def test_a_torque_at_an_end_of_the_table_but_for_the_last_bits_is_served(factor: float) -> None:
    """The end times the link's factor, worked out in lbf·ft and in N·m, and the numbers next to both."""
    for end in (325.0, 3330.0):
        ways = to_si(end * factor, "torque", "lbf·ft"), to_si(end, "torque", "lbf·ft") * factor
        for torque in (float(way) for way in ways):
            assert [
                why_not(float(t), factor) for t in (np.nextafter(torque, 0), torque, np.nextafter(torque, 1e9))
            ] == [""] * 3
    assert why_not(float(to_si(3330.01 * factor, "torque", "lbf·ft")), factor) == "above_certified"
    assert why_not(float(to_si(324.99 * factor, "torque", "lbf·ft")), factor) == "below_certified"


def test_a_torque_at_the_limit_of_a_link_but_for_the_last_bits_is_served() -> None:
    limit = float(to_si(3330.0, "torque", "lbf·ft"))
    assert why_not(float(np.nextafter(limit, 1e9)), limit=limit) == ""
    assert why_not(limit, limit=limit * 0.999) == "above_link"


@pytest.mark.parametrize(("rated", "top"), [(99e5, 0.0), (100e5, 1000.0), (250e5, 2500.0), (800e5, 6000.0)])
def test_the_torque_within_every_rating_is_that_of_the_table_at_the_lowest_and_none_below_its_start(
    rated: float, top: float
) -> None:
    table = curve([100e5, 600e5], [1000.0, 6000.0])
    wrench = Wrench("HW-1", table, rated, 700e5, "P-1", 700e5, "G-1", (Link("60", 0.06, 1.0, math.inf),), 1.0, 9.0)
    (found,) = candidates([wrench], {"G-1": Gauge("G-1", Marks(1.0, 1e5), 1000e5, 1.0, 9.0)})
    assert found.top == pytest.approx(top)
    why, _ = refusals(
        found, np.array([1000.0]), np.array([2.0]), reserve=0.0, tolerance=0.03, rounding="nearest", alone=False
    )
    assert CODES[int(why[0])] == ("" if top else "above_rating")


def test_a_link_is_blamed_for_a_shared_mark_only_where_the_mark_suits_all_tables() -> None:
    """1010 of 1000 N·m is 1 % off and above the link's limit of 1005; 1050 is 5 % off: the tables refuse it."""
    table = curve([100e5, 600e5], [1000.0, 6000.0])
    wrench = Wrench("HW-1", table, 7e7, 7e7, "P-1", 7e7, "G-1", (Link("60", 0.06, 1.0, 1005.0),), 1.0, 9.0)
    group = candidates([wrench], {"G-1": Gauge("G-1", Marks(1.0, 1e5), 1000e5, 1.0, 9.0)})
    said = [
        over_link(group, (Setting(*(np.array([value]) for value in (100.0, 1e7, torque, torque / 1000 - 1))),), 0, 0.03)
        for torque in (1010.0, 1050.0)
    ]

    assert said == [{"given": 1010.0, "limit": 1005.0, "shown": 100.0, "which": "HW-1", "link": "60"}, {}]
