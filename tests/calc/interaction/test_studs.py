"""Flexibility of a stud and of the material under its nut, against sums written out and an integral."""

import math

import numpy as np
import pytest

from calc.hardware.threads import parse
from calc.interaction import studs


def test_stud_is_shank_thread_and_engaged_thread_in_a_row():
    """EN 1591-1 XB of one bolt (from memory): 4/π (ls/ds² + le/de² + 0.8/dB0); M20: de = 17.655 mm (ISO 898-1)."""
    whole = 4 / math.pi * (0.06 / 0.02**2 + 0.04 / 0.017655**2 + 0.8 / 0.02)
    assert studs.stud_flexibility(parse("M20"), 0.1, shank_length=0.06) == pytest.approx(whole, rel=1e-4)


def test_reduced_shank_is_softer():
    stiff = studs.stud_flexibility(parse("M20"), 0.1, shank_length=0.08)
    assert studs.stud_flexibility(parse("M20"), 0.1, shank_length=0.08, shank_diameter=0.016) > stiff


@pytest.mark.parametrize("depth", [0.005, 0.02, 0.06])
def test_material_under_a_nut_is_a_cone_with_a_hole(depth):
    """The closed form is the integral of dz / area of a cone of 30° with the hole in it (derived here)."""
    hole, bearing = 0.023, 0.03
    z = np.linspace(0, depth, 20001)
    area = math.pi / 4 * ((bearing + 2 * z * math.tan(math.pi / 6)) ** 2 - hole**2)
    assert studs.local_flexibility(depth, hole, bearing) == pytest.approx(np.trapezoid(1 / area, z), rel=1e-6)
