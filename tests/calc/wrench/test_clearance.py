"""Link clearance: plane geometry by coordinates, and what must hold for any joint."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.hardware import flanges, nuts
from calc.quantities import INCH
from calc.wrench import clearance

PUBLISHED = Path(__file__).parents[2] / "published"

sizes = st.tuples(st.floats(0.02, 0.2), st.floats(0.01, 0.15), st.integers(4, 60), st.floats(0.1, 3))


@given(sizes)
def test_gap_to_the_neighbour_by_coordinates(joint: tuple[float, float, int, float]) -> None:
    radius, flats, studs, circle = joint
    here = np.array([circle / 2, 0.0])
    angle = 2 * math.pi / studs
    there = circle / 2 * np.array([math.cos(angle), math.sin(angle)])
    corner = flats / 2 / math.cos(math.pi / 6)
    found = clearance.link_clearance(radius, flats, studs, circle)

    assert found.nuts == pytest.approx(float(np.linalg.norm(here - there)) - radius - corner, abs=1e-12)
    assert found.nuts < found.nuts_flat
    assert np.isnan(found.hub)


def test_a_hub_by_hand() -> None:
    """Circle 400, hub 290, link 45 mm: (400 - 290)/2 - 45 = 10 mm."""
    found = clearance.link_clearance(0.045, 0.060325, 12, 0.4, hub_diameter=0.29)

    assert found.hub == pytest.approx(0.010)


def test_a_link_no_larger_than_the_nut_clears_every_standard_flange() -> None:
    """The standard leaves room for the nuts; a link of the nut's own corner radius plus 1/16 in fits there."""
    for nps, number in (("4", 150), ("8", 600), ("24", 900), ("12", 2500)):
        flange = flanges.flange(nps, number)
        flats = nuts.across_flats(flange.thread)
        found = clearance.link_clearance(flats / math.sqrt(3) + 0.0016, flats, flange.studs, flange.bolt_circle)
        assert found.nuts_flat > 0


@given(sizes, st.floats(1.01, 2))
def test_a_larger_link_has_less_room_and_more_studs_leave_less(
    joint: tuple[float, float, int, float], times: float
) -> None:
    radius, flats, studs, circle = joint
    found = clearance.link_clearance(radius, flats, studs, circle, hub_diameter=circle / 2)

    assert clearance.link_clearance(times * radius, flats, studs, circle, hub_diameter=circle / 2).hub < found.hub
    assert clearance.link_clearance(times * radius, flats, studs, circle).nuts < found.nuts
    assert clearance.link_clearance(radius, flats, studs + 1, circle).nuts < found.nuts


@given(st.lists(sizes, min_size=1, max_size=6))
def test_a_column_gives_the_bits_of_each_row(rows: list[tuple[float, float, int, float]]) -> None:
    many = clearance.link_clearance(*(np.array(column) for column in zip(*rows, strict=True)), hub_diameter=0.05)
    one = [clearance.link_clearance(*row, hub_diameter=0.05) for row in rows]

    for name in ("pitch", "nuts", "nuts_flat", "hub"):
        assert np.asarray(getattr(many, name)).tolist() == [getattr(found, name) for found in one], name


def test_the_wrench_room_of_an_exchanger_standard_lies_between_flats_and_corners() -> None:
    """TEMA bolting data (read in a copy, tests/published): at the least spacing of studs, a nose of the radial distance
    between stud and hub goes between heavy hex nuts with their flats towards it, and not with a corner towards it, in
    each of the sizes from 1/2 to 4 in.
    """
    with (PUBLISHED / "tema_bolting.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 21
    for row in rows:
        size, radial, spacing = (float(row[name]) * INCH for name in ("size_in", "radial_in", "spacing_in"))
        circle, flats = spacing / math.sin(math.pi / 24), 1.5 * size + 0.125 * INCH
        room = clearance.link_clearance(radial, flats, 24, circle, hub_diameter=circle - 2 * radial)

        assert room.pitch == pytest.approx(spacing)
        assert room.hub == pytest.approx(0, abs=1e-12)
        assert room.nuts_flat > -1e-9, row
        assert room.nuts < 0, row
