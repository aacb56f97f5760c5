"""Room for the link of a low-clearance wrench: to the neighbouring nuts on the bolt circle, and to the hub."""

import math
from dataclasses import dataclass

import numpy as np

from calc.hardware.threads import Numbers


def _plain(value: object) -> Numbers:
    array = np.asarray(value, dtype=float)
    return float(array) if array.ndim == 0 else array


def pitch_of_studs(bolt_circle: Numbers, studs: Numbers) -> Numbers:
    """Distance between the centres of neighbouring studs, C sin(π/n). [m]

    >>> round(pitch_of_studs(0.3, 6), 6)
    0.15
    """
    return _plain(bolt_circle * np.sin(math.pi / np.asarray(studs, dtype=float)))


@dataclass(frozen=True, eq=False)
class Clearance:
    """Gaps of a link on a nut, negative where it does not fit. [m]

    `pitch` between studs; `nuts` to the neighbouring nuts with a corner turned to the link (the worst), `nuts_flat`
    with a flat turned to it (the best); `hub` to the hub, NaN when its diameter is not known.
    """

    pitch: Numbers
    nuts: Numbers
    nuts_flat: Numbers
    hub: Numbers


def link_clearance(
    link_radius: Numbers,
    across_flats: Numbers,
    studs: Numbers,
    bolt_circle: Numbers,
    *,
    hub_diameter: Numbers = np.nan,
) -> Clearance:
    """Gaps round the nose of a link: seen along the stud, a circle of `link_radius` about the nut it turns.

    Neighbouring nuts: C sin(π/n) - r - AF/√3 with a corner towards the link, AF/2 with a flat. Hub or pipe of the
    diameter given, at the height of the nut: (C - hub)/2 - r. All in metres. Plane geometry; tolerances of the
    circle and the link, washers wider than the nut, and the wrench's body behind the link are not in it.

    >>> c = link_clearance(0.045, 0.060325, 12, 0.400, hub_diameter=0.290)
    >>> round(c.nuts * 1e3, 2), round(c.nuts_flat * 1e3, 2), round(c.hub * 1e3, 2)
    (23.7, 28.37, 10.0)
    """
    pitch = pitch_of_studs(bolt_circle, studs)
    gap = np.asarray(pitch) - link_radius
    hub = (np.asarray(bolt_circle) - hub_diameter) / 2 - link_radius
    corner, flat = np.asarray(across_flats) / math.sqrt(3), np.asarray(across_flats) / 2
    return Clearance(pitch, _plain(gap - corner), _plain(gap - flat), _plain(hub))
