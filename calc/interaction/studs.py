"""Stud as a spring between the flanges: shank, threads, engaged thread, and the flange material under the nuts."""

import math

from calc.hardware.threads import Thread, stress_diameter


def stud_flexibility(
    thread: Thread, grip: float, *, shank_length: float = 0.0, shank_diameter: float | None = None
) -> float:
    """Length over area of one stud, (ls/ds² + le/de² + 0.8/d) 4/π  (EN 1591-1, XB of one bolt, from memory). [1/m]

    `grip` [m] between the nut faces, of which `shank_length` [m] has the diameter `shank_diameter` [m] (the thread's
    own when not given) and the rest is thread, with the diameter of the tensile stress area. 0.8 d stands for the
    engaged thread of both ends. Elongation = load x this / modulus.

    >>> from calc.hardware.threads import parse
    >>> round(stud_flexibility(parse("M24"), 0.1), 2)
    326.12
    """
    d, de = float(thread.diameter), float(stress_diameter(thread))
    ds = d if shank_diameter is None else shank_diameter
    return 4 / math.pi * (shank_length / ds**2 + (grip - shank_length) / de**2 + 0.8 / d)


def local_flexibility(depth: float, hole: float, bearing: float) -> float:
    """Flexibility x modulus of the material under one nut, a 30° cone of this depth  (handbook). [1/m]

    The cone starts with the nut's bearing diameter and has the hole in it; Wileman and Shigley print the same
    logarithm, from memory: ln[(1.155 t + D - d)(D + d) / ((1.155 t + D + d)(D - d))] / (0.5774 π d).

    >>> round(local_flexibility(0.02, 0.027, 0.036), 1)
    19.6
    """
    tan = math.tan(math.pi / 6)
    wide = bearing + 2 * tan * depth
    return math.log((wide - hole) * (bearing + hole) / ((wide + hole) * (bearing - hole))) / (math.pi * hole * tan)
