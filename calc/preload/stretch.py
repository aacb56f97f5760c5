"""Stretch of a stud and turn of its nut, stiffness of the stud, and its length."""

import math
from dataclasses import dataclass

import numpy as np

from calc.hardware.threads import Numbers, Thread, tensile_area
from calc.quantities import INCH, PSI

STEEL = 29.5e6 * PSI
"""Modulus of elasticity of low-alloy steel studs, cold. [Pa] From memory; austenitic studs about 5 % less."""


def _plain(value: object) -> Numbers:
    array = np.asarray(value, dtype=float)
    return float(array) if array.ndim == 0 else array


def nut_height(thread: Thread) -> Numbers:
    """Height of a full nut, taken as the nominal diameter (ASME B16.5 does so for stud lengths). [m]

    >>> from calc.hardware.threads import parse
    >>> nut_height(parse("M24"))
    0.024
    """
    return thread.diameter


# --- stretch and turn ------------------------------------------------------------------------------------------------


def effective_length(grip: Numbers, thread: Thread, *, tapped: bool = False) -> Numbers:
    """Length of stud that stretches: the grip and half of each nut (PCC-1: between the nuts' mid-thicknesses). [m]

    With a tapped hole there is one nut, and half a diameter of the engaged thread stretches in its place. The two
    rules give the same length, the second is common practice, no source.

    >>> from calc.hardware.threads import parse
    >>> round(effective_length(0.1, parse("M24")), 6)
    0.124
    """
    far = 0.5 * thread.diameter if tapped else 0.5 * nut_height(thread)
    return grip + 0.5 * nut_height(thread) + far


def stud_stiffness(thread: Thread, length: Numbers, modulus: Numbers = STEEL) -> Numbers:
    """Stiffness of the stud, kb = E As / L on its tensile area; `length` effective [m], `modulus` [Pa]. [N/m]

    >>> from calc.hardware.threads import parse
    >>> round(stud_stiffness(parse("M24"), 0.124, 200e9) / 1e6, 1)
    568.6
    """
    return modulus * tensile_area(thread) / length


def stretch(preload: Numbers, thread: Thread, length: Numbers, modulus: Numbers = STEEL) -> Numbers:
    """Stretch of the stud over its effective length, ΔL = F L / (E As). [m]

    PCC-1 writes the same as (Sb L / E)(Ar / As), the stress Sb on the root area.

    >>> from calc.hardware.threads import parse
    >>> round(stretch(100e3, parse("M24"), 0.124, 200e9) * 1e3, 4)
    0.1759
    """
    return preload / stud_stiffness(thread, length, modulus)


def nut_turn(
    preload: Numbers, thread: Thread, length: Numbers, modulus: Numbers = STEEL, *, joint: Numbers = math.inf
) -> Numbers:
    """Turn of the nut from snug, θ = 2π F (1/kb + 1/kj) / P. [rad]

    `joint` stiffness kj [N/m]; infinite gives the turn for the stud's own stretch alone, which is the least turn.

    >>> from calc.hardware.threads import parse
    >>> round(math.degrees(nut_turn(100e3, parse("M24"), 0.124, 200e9)), 2)
    21.11
    """
    soft = 1 / stud_stiffness(thread, length, modulus) + 1 / np.asarray(joint, dtype=float)
    return _plain(2 * math.pi * preload * soft / thread.pitch)


# --- length of the stud ----------------------------------------------------------------------------------------------

PROTRUSION = 1.0
"""Threads that stand out of each nut at least. Common practice, no source."""


@dataclass(frozen=True, eq=False)
class StudLength:
    """The shortest stud in steps [m], what is needed exactly [m], what stands out of each nut [m] and in threads."""

    length: Numbers
    needed: Numbers
    protrusion: Numbers
    threads: Numbers


def _step(thread: Thread) -> Numbers:
    return _plain(np.where(thread.metric, 5e-3, INCH / 4))


def stud_length(
    thread: Thread, grip: Numbers, *, protrusion: Numbers = PROTRUSION, washers: Numbers = 0.0
) -> StudLength:
    """Shortest stud with two full nuts and `protrusion` threads out of each, in steps of 1/4 in or 5 mm.

    `grip`: flanges, faces and compressed gasket between the nuts [m]; `washers`: their thicknesses together [m]. The
    length is without points, as ASME B16.5 counts it. Steps and protrusion are common practice, no source.

    >>> from calc.hardware.threads import parse
    >>> s = stud_length(parse("1 1/2-8"), 7.0 * 0.0254)
    >>> round(s.length / 0.0254, 6), round(float(s.threads), 3)
    (10.25, 1.0)
    """
    pitch, step = np.asarray(thread.pitch), _step(thread)
    nuts = grip + washers + 2 * nut_height(thread)
    needed = nuts + 2 * protrusion * pitch
    length = np.ceil(needed / step - 1e-9) * step
    out = (length - nuts) / 2
    return StudLength(_plain(length), _plain(needed), _plain(out), _plain(out / pitch))


def protrusion(length: Numbers, thread: Thread, grip: Numbers, *, washers: Numbers = 0.0) -> Numbers:
    """What a given stud has out of each nut when centred; negative: the nuts are not full. [m]

    >>> from calc.hardware.threads import parse
    >>> round(protrusion(0.150, parse("M24"), 0.100), 6)
    0.001
    """
    return (length - grip - washers - 2 * nut_height(thread)) / 2
