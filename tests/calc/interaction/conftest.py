from collections.abc import Callable

import pytest

from calc.hardware.threads import parse
from calc.interaction.dimensions import Dimensions

INCH = 0.0254

# studs: thread, grip, bolt circle, outside, inside, thickness, gasket mean diameter and width, in inches.
# Like raised-face flanges of 4, 8, 12 and 24 in, class 300 (from memory): any such joint serves.
_LIKE = {
    8: ("3/4-10", 2.7, 7.88, 10.0, 4.03, 1.25, 5.3, 0.5),
    12: ("7/8-9", 3.4, 13.0, 15.0, 7.98, 1.62, 9.6, 0.65),
    16: ("1 1/8-8", 4.2, 17.75, 20.5, 12.0, 2.0, 13.8, 0.8),
    24: ("1 1/2-8", 5.7, 32.0, 36.0, 23.25, 2.75, 26.0, 1.0),
}


def joint_like(studs: int, **change: object) -> Dimensions:
    """A joint with so many studs (other counts: that of 16); keyword arguments replace what it says."""
    thread, *lengths = _LIKE.get(studs, _LIKE[16])
    names = ("grip", "bolt_circle", "outside_diameter", "inside_diameter", "thickness", "gasket_diameter")
    given = dict(zip((*names, "gasket_width"), [INCH * x for x in lengths], strict=True))
    return Dimensions(**{"studs": studs, "thread": parse(thread), "gasket": "spiral wound", **given, **change})


@pytest.fixture(scope="session")
def make() -> Callable[..., Dimensions]:
    return joint_like
