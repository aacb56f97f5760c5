"""Torque and preload of a stud, both ways, and the stress with torsion while tightening.

Three published conventions stand side by side and are never mixed: the nut factor, the small-angle long form
(PCC-1 Appendix J, ISO 16047), the exact angle sum (VDI 2230), and the annex of API 6A.
"""

import math

import numpy as np
from numpy.typing import NDArray

from calc.findings import stop
from calc.hardware.friction import COS30
from calc.hardware.threads import Numbers, Thread, pitch_diameter, root_diameter, smallest_area, smallest_diameter
from calc.quantities import INCH

FORMS = ("VDI 2230", "PCC-1", "API 6A")
"""Names of the forms that `from_friction` takes."""

TORSIONS = ("elastic", "VDI 2230")
"""Names of the torsion moduli that `combined_stress` takes."""


def from_nut_factor(preload: Numbers, thread: Thread, nut_factor: Numbers) -> Numbers:
    """Torque T = K D F  (nut factor; PCC-1 Appendix K). [N·m]

    >>> from calc.hardware.threads import parse
    >>> round(from_nut_factor(100e3, parse("M24"), 0.15), 6)
    360.0
    """
    return nut_factor * thread.diameter * preload


def preload_from_nut_factor(torque: Numbers, thread: Thread, nut_factor: Numbers) -> Numbers:
    """Preload F = T / (K D), the inverse of `from_nut_factor`. [N]

    >>> from calc.hardware.threads import parse
    >>> round(preload_from_nut_factor(360.0, parse("M24"), 0.15), 6)
    100000.0
    """
    return torque / (nut_factor * thread.diameter)


def _tangent(thread: Thread, thread_friction: Numbers) -> Numbers:
    """tan(φ + ρ') of the thread, exact angle sum (VDI 2230-1)."""
    slope = thread.pitch / (math.pi * pitch_diameter(thread))
    rho = thread_friction / COS30
    return (slope + rho) / (1 - slope * rho)


def from_friction(
    preload: Numbers,
    thread: Thread,
    thread_friction: Numbers,
    nut_friction: Numbers,
    *,
    bearing_diameter: Numbers,
    form: str = "VDI 2230",
) -> Numbers:
    """Torque from friction coefficients in one of the published forms. [N·m]

    "VDI 2230": F [d2/2 tan(φ + ρ') + μb De/2], exact angle sum. "PCC-1": F [P/2π + μt d2/(2 cos 30°) + μb De/2].
    "API 6A": F E (P + π f E S)/(2 (π E - P f S)) + F f De/2, S = sec 30°: its thread term is the exact angle sum too,
    with one coefficient f for both faces and a De of its own (`api6a_bearing_diameter`).

    Raises InputError `form_unknown`, and `form_one_coefficient` when API 6A is given two different coefficients.

    >>> from calc.hardware.threads import parse
    >>> round(from_friction(348.39e3, parse("1 1/2-8"), 0.13, 0.13, bearing_diameter=0.0508, form="PCC-1"))
    2269
    """
    name = next((known for known in FORMS if known.lower() == " ".join(str(form).lower().split())), None)
    if name is None:
        raise stop("form_unknown", "form", text=form, known=FORMS)
    under_nut = nut_friction * bearing_diameter / 2
    if name == "VDI 2230":
        return thread_torque(preload, thread, thread_friction) + preload * under_nut
    if name == "PCC-1":
        return preload * (
            thread.pitch / (2 * math.pi) + thread_friction * pitch_diameter(thread) / (2 * COS30) + under_nut
        )
    if np.any(np.asarray(thread_friction) != np.asarray(nut_friction)):
        raise stop("form_one_coefficient", "nut_friction")
    return thread_torque(preload, thread, thread_friction) + preload * under_nut


def api6a_bearing_diameter(thread: Thread) -> Numbers:
    """Mean friction diameter of the API 6A annex: heavy hex flats and stud plus a 1/8 in chamfer, halved. [m]

    >>> from calc.hardware.threads import parse
    >>> api6a_bearing_diameter(parse("1 1/2-8")) / 0.0254
    2.0
    """
    return (1.5 * thread.diameter + 0.125 * INCH + thread.diameter + 0.125 * INCH) / 2


def thread_torque(preload: Numbers, thread: Thread, thread_friction: Numbers) -> Numbers:
    """The part of the torque that twists the stud, F d2/2 tan(φ + ρ'), exact angle sum. [N·m]

    >>> from calc.hardware.threads import parse
    >>> round(thread_torque(348.39e3, parse("1 1/2-8"), 0.13))
    1123
    """
    return preload * (pitch_diameter(thread) / 2 * _tangent(thread, thread_friction))


def combined_stress(preload: Numbers, thread: Thread, thread_friction: Numbers, *, torsion: str = "elastic") -> Numbers:
    """Equivalent stress while tightening, √(σ² + 3 τ²), on the smallest section (tensile area or reduced shank). [Pa]

    "elastic": τ = 16 Tth/(π d³), d the diameter of that section, Tth of `thread_torque`: the higher figure
    of the two. "VDI 2230": plastic torsion modulus π d0³/12, d0 = (d2 + d3)/2, exact angle sum: inverse of
    `preload_from_combined_stress`.

    Raises InputError `torsion_unknown`.

    >>> from calc.hardware.threads import parse
    >>> round(combined_stress(348.39e3, parse("1 1/2-8"), 0.13) / 6894.757)
    62275
    """
    name = next((known for known in TORSIONS if known.lower() == " ".join(str(torsion).lower().split())), None)
    if name is None:
        raise stop("torsion_unknown", "form", text=torsion, known=TORSIONS)
    if name == "elastic":
        d = smallest_diameter(thread)
        sigma = preload / smallest_area(thread)
        tau = 16 * thread_torque(preload, thread, thread_friction) / (math.pi * d * d * d)
        return np.sqrt(sigma * sigma + 3 * tau * tau)
    return preload / smallest_area(thread) * _twist(thread, thread_friction)


def _twist(thread: Thread, thread_friction: Numbers) -> NDArray[np.float64]:
    """√(1 + 3 [1.5 (d2/d0) tan(φ + ρ')]²)  (VDI 2230-1)."""
    d2 = pitch_diameter(thread)
    d0 = np.fmin((d2 + root_diameter(thread)) / 2, thread.shank)
    ratio = 1.5 * (d2 / d0) * _tangent(thread, thread_friction)
    return np.sqrt(1 + 3 * ratio * ratio)


def preload_from_combined_stress(
    fraction: Numbers, yield_strength: Numbers, thread: Thread, thread_friction: Numbers
) -> Numbers:
    """Preload at which stress with torsion reaches a fraction of yield while tightening (VDI 2230-1 Table A1 form). [N]

    F = ν Re As / √(1 + 3 [1.5 (d2/d0) tan(φ + ρ')]²).

    >>> from calc.hardware.threads import parse
    >>> round(float(preload_from_combined_stress(0.9, 640e6, parse("M16"), 0.12)) / 1000, 1)
    80.9
    """
    return fraction * yield_strength * smallest_area(thread) / _twist(thread, thread_friction)
