"""The one table of quantities: name, kind of unit, meaning, allowed range.

Every number that enters is checked against its row here. The ranges are wide enough for any real joint and narrow
enough to catch a wrong unit (a stress typed in ksi where psi is meant, a pressure in psi where bar is meant). They are
common practice, no source.
"""

import math
from bisect import bisect_right
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

PSI = 6894.757293168361
"""One pound-force per square inch. [Pa]"""
LBF = 4.4482216152605
"""One pound-force. [N]"""
INCH = 0.0254
"""One inch. [m]"""
LBF_FT = 1.3558179483314003
"""One pound-force foot. [N·m]"""


@dataclass(frozen=True)
class Quantity:
    """A name for columns, arguments and findings, with its kind of unit and its allowed range (SI, ends allowed)."""

    name: str
    kind: str
    meaning: str
    low: float
    high: float


_ROWS = (
    Quantity("stress", "stress", "stress in the stud on the area named", 1000 * PSI, 250e3 * PSI),
    Quantity("percent", "percent", "share of the minimum yield", 0.02, 1.0),
    Quantity("stage", "percent", "share of the final torque in one pass", 0.02, 1.0),
    Quantity("load", "force", "preload stated for one stud", 500.0, 20e6),
    Quantity("preload", "force", "tension in one stud after tightening", 500.0, 20e6),
    Quantity("torque", "torque", "torque on the nut", 5.0, 200e3),
    Quantity("pump_pressure", "pressure", "oil pressure at the wrench", 5e5, 1500e5),
    Quantity("stroke_angle", "angle", "turn of the nut in one stroke of the wrench", 0.05, 3.2),
    Quantity("oil_per_stroke", "volume", "oil that one stroke of the wrench takes", 1e-6, 0.01),
    Quantity("stud_temperature", "temperature", "temperature of the studs when they are tightened", 173.15, 923.15),
    Quantity("graduation", "pressure", "step between two marks of the gauge", 0.5e5, 200e5),
    Quantity("gauge_range", "pressure", "end of the gauge's scale", 50e5, 4000e5),
    Quantity("nut_factor", "number", "nut factor K in T = K D F", 0.04, 0.6),
    Quantity("thread_friction", "number", "friction coefficient in the thread", 0.02, 0.6),
    Quantity("nut_friction", "number", "friction coefficient under the nut", 0.02, 0.6),
    Quantity("uplift", "number", "factor by which the engineer raises a target", 1.0, 1.5),
    Quantity("studs", "count", "number of studs in the joint", 4, 400),
    Quantity("at_once", "count", "wrenches that pull at the same time", 1, 4),
    Quantity("across_flats", "length", "size of the nut across its flats", 0.006, 0.3),
    Quantity("bearing_diameter", "length", "mean friction diameter under the nut", 0.006, 0.4),
    Quantity("tolerance", "percent", "difference of torque allowed by rounding to the gauge's marks", 0.001, 0.2),
    Quantity("yield_fraction", "percent", "share of the minimum yield that stress with torsion may reach", 0.2, 1.0),
    Quantity("torque_step", "torque", "smallest step of a hand torque wrench", 0.01, 500.0),
    Quantity("ratio", "number", "torque out of a multiplier over torque in", 1.5, 200.0),
    Quantity("uncertainty", "percent", "uncertainty of a certificate as a share of the torque", 0.0005, 0.2),
    Quantity("reserve", "percent", "share of the wrench's torque kept for break-out", 0.0, 0.8),
    Quantity("link_factor", "number", "torque with this link or adapter over torque in the table", 0.3, 3.0),
    Quantity("gasket_stress", "stress", "stress on the gasket", 100 * PSI, 120e3 * PSI),
    Quantity("gasket_area", "area", "area of the gasket under load", 1e-4, 20.0),
    Quantity("target_gasket_stress", "stress", "gasket stress to aim at", 100 * PSI, 120e3 * PSI),
    Quantity("gasket_seating", "stress", "least gasket stress that seats it", 100 * PSI, 120e3 * PSI),
    Quantity("gasket_operating", "stress", "least gasket stress in operation", 100 * PSI, 120e3 * PSI),
    Quantity("gasket_maximum", "stress", "highest gasket stress at assembly", 100 * PSI, 120e3 * PSI),
    Quantity("gasket_m", "number", "gasket factor m", 0.25, 20.0),
    Quantity("gasket_y", "stress", "gasket seating stress y", 10 * PSI, 60e3 * PSI),
    Quantity("gasket_inside_diameter", "length", "inside diameter of the gasket's contact face", 0.005, 10.0),
    Quantity("gasket_outside_diameter", "length", "outside diameter of the gasket's contact face", 0.005, 10.0),
    Quantity("gasket_load_kept", "percent", "share of its load that the gasket keeps", 0.2, 1.0),
    Quantity("design_pressure", "design_pressure", "design pressure of the joint", 1e4, 2000e5),
    Quantity("stud_maximum", "stress", "highest stud stress allowed, on the root B1.1 area", 1000 * PSI, 250e3 * PSI),
    Quantity("stud_minimum", "stress", "lowest stud stress allowed, on the root B1.1 area", 1000 * PSI, 250e3 * PSI),
    Quantity("flange_limit", "stress", "stud stress the flange allows, on the root B1.1 area", 1000 * PSI, 250e3 * PSI),
    Quantity("flange_rotation", "angle", "rotation of the flange at its limit", 1e-5, 0.2),
    Quantity("rotation_limit", "angle", "rotation of the flange that the gasket allows", 1e-5, 0.2),
    Quantity("spread", "percent", "how far a preload may lie from the one meant", 0.001, 0.9),
    Quantity("grip", "length", "clamped length between the nuts", 0.005, 5.0),
    Quantity("stretch_length", "length", "effective length of the stud that stretches", 0.01, 6.0),
    Quantity("modulus", "stress", "modulus of elasticity of the stud", 50e9, 250e9),
    Quantity("bolt_circle", "length", "diameter of the bolt circle", 0.03, 10.0),
    Quantity("link_radius", "length", "radius of the nose of a link about its nut", 0.005, 0.4),
    Quantity("hub_diameter", "length", "diameter of hub or pipe at the height of the nuts", 0.01, 10.0),
    Quantity("breakout_factor", "number", "torque to break a nut out over the torque of its make-up", 0.8, 5.0),
    Quantity("diameter", "length", "nominal diameter of the thread", 0.005, 0.3),
    Quantity("stud_yield", "stress", "minimum yield strength of the stud", 10e3 * PSI, 250e3 * PSI),
    Quantity("flange_outside_diameter", "length", "outside diameter of the flange", 0.03, 12.0),
    Quantity("flange_inside_diameter", "length", "inside diameter of the flange ring", 0.005, 10.0),
    Quantity("flange_thickness", "length", "thickness of one flange ring", 0.003, 1.5),
    Quantity("gasket_diameter", "length", "mean diameter of the gasket's contact face", 0.005, 10.0),
    Quantity("gasket_width", "length", "width of the gasket's contact face", 0.0005, 0.5),
    Quantity("gasket_closure", "length", "closure of the gasket under its loading stress", 1e-6, 0.05),
    Quantity("gasket_thickness", "length", "thickness of the gasket", 2e-4, 0.1),
    Quantity("gasket_e0", "stress", "modulus of the gasket on unloading", 1e6, 1e12),
    Quantity("gasket_k1", "number", "rise of that modulus with the stress before", 0.0, 1e6),
    Quantity("gasket_hardening", "number", "part of the loading curve that goes with the closure squared", 0.0, 0.95),
    Quantity("gasket_stop_slope", "number", "stiffness of a metal stop, stress over closure", 0.0, 1e18),
    Quantity("hole_diameter", "length", "diameter of the stud holes", 0.006, 0.35),
    Quantity("shell_wall", "length", "wall of the pipe or shell behind the flange", 5e-4, 1.0),
    Quantity("hub_thickness", "length", "thickness of the hub where it meets the flange ring", 5e-4, 1.0),
    Quantity("hub_length", "length", "length over which the hub narrows to the pipe", 0.0, 2.0),
    Quantity("gasket_stop_closure", "length", "closure at which a metal ring carries", 1e-6, 0.05),
    Quantity("shank_length", "length", "plain shank of the stud within the grip", 0.001, 5.0),
    Quantity("shank_diameter", "length", "diameter of that shank", 0.004, 0.3),
    Quantity("relaxation", "percent", "share of the gasket's stress left after relaxing in the rig", 0.1, 1.0),
    Quantity("rig_stiffness", "stiffness", "stiffness of the rig that measured the relaxation", 1e6, 1e11),
    Quantity("rig_gasket_area", "area", "area of the gasket in that rig", 1e-5, 1.0),
    Quantity("break_away", "percent", "how far below its setting a stud must be for its nut to move", 0.0, 0.5),
    Quantity("snug", "percent", "load after alignment, share of the target", 0.001, 0.5),
    Quantity("stud_scatter", "percent", "scatter of friction from stud to stud", 0.0005, 0.6),
    Quantity("shot_scatter", "percent", "scatter of friction from pull to pull", 0.0005, 0.6),
    Quantity("joint_scatter", "percent", "scatter of friction from joint to joint", 0.0005, 0.6),
    Quantity("wrench_bias_scatter", "percent", "scatter of the wrench, all pulls alike", 0.0005, 0.6),
    Quantity("wrench_repeat_scatter", "percent", "scatter of the wrench from pull to pull", 0.0005, 0.6),
    Quantity("cap", "percent", "highest momentary load over the target", 1.0, 2.0),
    Quantity("raised", "percent", "share of the target in a raised pass", 1.0, 1.5),
    Quantity("uniformity", "percent", "wanted coefficient of variation of the kept load", 0.001, 1.0),
    Quantity("mean", "percent", "wanted mean of the kept load over the target", 0.1, 1.0),
    Quantity("measuring_error", "percent", "error of a measured load, one standard deviation", 0.005, 0.3),
    Quantity("measured", "force", "measured load of a stud, none allowed", 0.0, 20e6),
    Quantity("lowest_wanted", "percent", "wanted lowest kept load over the target", 0.1, 1.0),
    Quantity("p5_wanted", "percent", "wanted P5 of the lowest kept load over the target", 0.1, 1.0),
    Quantity("move_time", "time", "time for one move of the wrenches", 5.0, 7200.0),
    Quantity("pump_flow", "flow", "oil that the pump delivers", 1e-6, 2e-3),
    Quantity("circular_passes", "count", "circular passes at full torque", 1, 20),
    Quantity("samples", "count", "joints tried with scatter", 100, 100_000),
    Quantity("seed", "count", "number from which the random numbers start", 1, 2**31 - 1),
    Quantity("stations", "count", "stations of the gasket per stud", 1, 64),
)

QUANTITIES = {row.name: row for row in _ROWS}


DIGITS = 13
"""Significant digits of a number that is shown or typed; what a spreadsheet adds beyond them is noise."""

_TENS = np.array([float(f"1e{n}") for n in range(-22, 23)])
_TENS_ALONE = tuple(map(float, _TENS))
"""The powers of ten that a float holds exactly, or whose inverse it does."""


def short(value: ArrayLike) -> NDArray[np.float64]:
    """Round to 13 significant digits: the number without the noise of its last bits.

    Each result is the float nearest to its decimal number. Beyond 1e-9 and 1e22 numbers stay as they are.

    >>> short([624.9999999999911, 0.1 + 0.2, 45000.0]).tolist()
    [625.0, 0.3, 45000.0]
    """
    number = np.asarray(value, dtype=float)
    if number.size == 1:
        return np.array(_short_alone(number.item())).reshape(number.shape)
    size = np.abs(number)
    with np.errstate(invalid="ignore", over="ignore"):
        before = np.searchsorted(_TENS, np.where(size < 1e22, size, 0.0), side="right") - 22  # digits before the point
        known = (before > DIGITS - 23) & (size < 1e22)
        behind = np.where(known, DIGITS - before, 0)
        up, down = _TENS[22 + np.maximum(behind, 0)], _TENS[22 + np.maximum(-behind, 0)]
        rounded = np.where(behind >= 0, np.rint(number * up) / up, np.rint(number / down) * down)
    return np.where(known, rounded, number)


def _short_alone(number: float) -> float:
    """`short` of one number, to the same bits: a cell alone is not worth a dozen steps over arrays."""
    if not abs(number) < 1e22:
        return number
    behind = DIGITS + 22 - bisect_right(_TENS_ALONE, abs(number))
    if behind >= 23:
        return number
    if behind >= 0:
        return round(number * _TENS_ALONE[22 + behind]) / _TENS_ALONE[22 + behind]
    return round(number / _TENS_ALONE[22 - behind]) * _TENS_ALONE[22 - behind]


def settle(value: ArrayLike, unit: ArrayLike | None = None) -> NDArray[np.float64]:
    """Round to 46 significant bits (1.4e-14), so that one number reached on two ways is one number.

    With `unit`, what the user's unit is in SI, it is first rounded to the 13 digits that are shown in that unit: a link
    between two steps of a plan is what a person would read in the one cell and the next cell would take. So the chain
    of single worksheet functions equals the plan to the last bit, and 625 never shows as 624.9999999999911. Numbers
    that are read are settled too; formulas are not.

    >>> torque = 0.15 * 1.25 * 0.0254 * (45_000 * 4.4482216152605)
    >>> float(short(torque / 1.3558179483314003)), float(settle(torque, 1.3558179483314003)) == float(settle(torque))
    (703.125, True)
    """
    number = np.asarray(value, dtype=float)
    if unit is not None:
        scale = np.asarray(unit, dtype=float)
        number = short(number / scale) * scale
    if number.size == 1 and 0.0 < abs(number.item()) < 1e300:
        part, power = math.frexp(number.item())
        return np.array(math.ldexp(round(part * 2.0**46), power - 46)).reshape(number.shape)
    mantissa, exponent = np.frexp(number)
    return np.ldexp(np.rint(mantissa * 2.0**46), exponent - 46)
