"""What the inputs of a joint say of its gasket: a kind, a law or curve of one's own, a ring, relaxing in a rig."""

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from addin.cells.numbers import read_number
from addin.functions.labelled import Label
from calc.findings import stop
from calc.interaction import gasket as gaskets
from calc.interaction.gasket import Gasket, Relaxation
from calc.units import System

GASKET_LABELS = {
    "gasket_kind": Label("gasket kind", "words"),
    "law_stress": Label("gasket loading stress", "gasket_stress", "s"),
    "law_closure": Label("gasket loading closure", "gasket_closure", "c"),
    "law_curve": Label("gasket loading curve", "words"),
    "law_modulus": Label("gasket unloading modulus", "gasket_e0", "E0"),
    "law_thickness": Label("gasket thickness", "gasket_thickness", "e"),
    "law_stop": Label("gasket stop closure", "gasket_stop_closure"),
    "relaxation": Label("relaxation factor", "relaxation"),
    "rig_stiffness": Label("rig stiffness", "rig_stiffness"),
    "rig_gasket_area": Label("rig gasket area", "rig_gasket_area"),
}
_STRAIGHT = ("law_stress", "law_closure")
_BACK = ("law_modulus", "law_thickness")
OWN_LAW = (*_STRAIGHT, "law_curve", *_BACK)


def law_of(given: Mapping[str, Any], units: System | None) -> str | Gasket:
    """The kind by its name, or the law of one's own; "" where neither is stated. `units` of a curve's bare numbers.

    Raises InputError `gasket_kind_unknown`, `inputs_contradict`, `inputs_needed`, `gasket_curve_text`, and what
    `Gasket` refuses.
    """
    own = [name for name in OWN_LAW if name in given]
    at = given.get("law_stop")
    if not own:
        name = given.get("gasket_kind", "")
        if not name:
            return ""
        kind = gaskets.kind(name)  # an unknown kind is refused before anything that is missing
        return str(name) if at is None else _with_stop(kind.law, at)
    if "gasket_kind" in given:
        raise stop("inputs_contradict", "inputs", names=(_text("gasket_kind"), *(_text(name) for name in own)))
    curve = "law_curve" in given
    straight = [name for name in _STRAIGHT if name in given]
    if curve and straight:
        raise stop("inputs_contradict", "inputs", names=(_text("law_curve"), *(_text(name) for name in straight)))
    missing = tuple(_text(name) for name in (*(() if curve else _STRAIGHT), *_BACK) if name not in given)
    if missing:
        raise stop("inputs_needed", "inputs", needs=missing)
    points = curve_points(given["law_curve"], units) if curve else ()
    closure, stress = points[-1] if points else (given["law_closure"], given["law_stress"])
    law = Gasket(stress, closure, 0.0, given["law_modulus"], 0.0, given["law_thickness"], curve=points)
    return law if at is None else _with_stop(law, at)


def relaxation_of(given: Mapping[str, Any]) -> Relaxation | None:
    """The stated factor with its rig; InputError `inputs_needed` for one without the other."""
    names = ("relaxation", "rig_stiffness", "rig_gasket_area")
    if not any(name in given for name in names):
        return None
    missing = tuple(_text(name) for name in names if name not in given)
    if missing:
        raise stop("inputs_needed", "inputs", needs=missing)
    return Relaxation(*(given[name] for name in names))


_POINT = re.compile(r"\s*(?P<closure>.+?)\s+at\s+(?P<stress>.+?)\s*")


def curve_points(text: str, units: System | None) -> tuple[tuple[float, float], ...]:
    """Closure and stress of every point of a curve like "0.2 mm at 10 MPa; 0.6 mm at 50 MPa".

    Raises InputError `gasket_curve_text`, and those of a number.

    >>> from calc.units import system
    >>> curve_points("0.25 at 10; 0.5 mm at 50 MPa", system("SI"))
    ((0.00025, 10000000.0), (0.0005, 50000000.0))
    """
    points = []
    for part in text.split(";"):
        match = _POINT.fullmatch(part)
        if match is None:
            raise stop("gasket_curve_text", "gasket_curve", text=part.strip() or text)
        units_of = (None, None) if units is None else (units.symbol("length"), units.symbol("stress"))
        points.append(
            (
                float(read_number(_plain(match["closure"]), "gasket_closure", units_of[0])),
                float(read_number(_plain(match["stress"]), "gasket_stress", units_of[1])),
            )
        )
    return tuple(points)


def _plain(text: str) -> float | str:
    """A bare number as a number, so that it takes the unit of the call."""
    return float(text) if re.fullmatch(r"\d+(?:\.\d*)?|\.\d+", text) else text


def _with_stop(law: Gasket, closure: float) -> Gasket:
    return replace(law, stop_closure=closure, stop_slope=gaskets.stop_slope(law.thickness, closure))


def _text(name: str) -> str:
    return GASKET_LABELS[name].text
