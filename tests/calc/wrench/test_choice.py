"""Which link is made for which nut."""

import pytest

from calc.quantities import INCH
from calc.wrench.choice import same_flats


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
