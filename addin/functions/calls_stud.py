"""What the functions about studs, nuts and flanges calculate: arguments in SI in, columns or rows out."""

from typing import Any

import numpy as np

from addin.functions.gate import Num, Rows
from addin.functions.steps import step
from calc.findings import Finding, InputError, stop
from calc.hardware import nuts, threads
from calc.hardware.threads import Thread
from calc.preload import stretch
from calc.quantities import settle
from calc.units import System

_AREAS = {
    "tensile": ("As = π/4 d², d = (d2 + d3)/2 for ISO, D - 0.9743 P for UN threads", "ISO 898-1; ASME B1.1"),
    "root b1.1": ("Ar = π/4 (D - 1.299038 P)²", "ASME B1.1"),
    "root iso": ("A3 = π/4 d3², d3 = D - 1.226869 P", "ISO 724"),
}


def each(thread: Thread, find: Any) -> Rows:
    """`find` for every element of a column of threads; refusals stay with their element."""
    columns = np.atleast_1d(thread.diameter), np.atleast_1d(thread.pitch), np.atleast_1d(thread.metric)
    values, faults, known = [], {}, {}
    for i, key in enumerate(zip(*(column.tolist() for column in columns), strict=True)):
        if key not in known:
            try:
                known[key] = find(Thread(_designation(*key), *key))
            except InputError as error:
                known[key] = error.finding
        found = known[key]
        values.append(np.nan if isinstance(found, Finding) else found)
        if isinstance(found, Finding):
            faults[i] = found
    return Rows(np.array(values), faults)


def _designation(diameter: float, pitch: float, metric: bool) -> str:
    if metric:
        return f"M{diameter * 1e3:g}x{pitch * 1e3:g}"
    return f"{diameter / 0.0254:g} in"


def stress_area(thread: Thread, units: System, area: str) -> Any:
    """Area of a thread by its name."""
    found = threads.area(thread, area)
    formula, source = _AREAS[" ".join(area.lower().split())]
    return step(f"{area} area", "A", found, "area", formula, source)


def pitch_diameter(thread: Thread, units: System | None = None) -> Any:
    """Pitch diameter of a thread."""
    found = threads.pitch_diameter(thread)
    return step("pitch diameter", "d2", found, "length", "d2 = D - 0.649519 P", "ISO 724; ASME B1.1")


def nut_across_flats(thread: Thread, units: System, series: str) -> Rows:
    """Width across flats for every thread of a column."""
    found = each(thread, lambda t: nuts.across_flats(t, series or None))
    heavy = series.lower() in ("", "heavy hex") and not np.any(thread.metric)
    formula = "AF = 1.5 D + 1/8 in" if heavy else "table of the series"
    return step(f"across flats, {series or 'heavy hex'}", "AF", found, "length", formula, "ASME B18.2.2; ISO tables")


def stud_yield(grade: str, thread: Thread, units: System) -> Rows:
    """Minimum yield of a grade for every thread of a column; one that is known from memory only is refused."""
    return yields(grade, thread, supplied=True)


def yields(grade: str, thread: Thread, *, supplied: bool) -> Rows:
    """Minimum yields of a grade. `supplied`: they are given out or make a target, so they must have been read; to judge
    what exceeds them one from memory serves.
    """
    sources: list[str] = []

    from calc.hardware import materials

    def find(t: Thread) -> float:
        strength = materials.strength(grade, float(t.diameter), bool(t.metric))
        if supplied and not strength.read:
            raise stop("yield_from_memory", "yield_strength", grade=strength.grade, value=strength.yield_strength)
        sources.append(f"{strength.source}, {strength.basis}")
        return strength.yield_strength

    found = each(thread, find)
    return step(f"minimum yield of {grade}", "Re", found, "stress", "table of the specification by size",
                "; ".join(dict.fromkeys(sources)))  # fmt: skip


# --- stretch, turn, length -------------------------------------------------------------------------------------------


def _stretches(thread: Thread, length: Any, modulus: Any) -> tuple[Any, Any]:
    """Modulus and stiffness of the stud, on the way to its stretch."""
    if modulus is None:
        modulus = step(
            "modulus of elasticity", "E", float(settle(stretch.STEEL)), "stress", "low-alloy steel, cold", "from memory"
        )
    step("tensile area", "As", threads.tensile_area(thread), "area", *_AREAS["tensile"])
    stiffness = stretch.stud_stiffness(thread, length, modulus)
    step("stiffness of the stud", "kb", stiffness / 1e6, "as typed", "kb = E As / L", unit="N/µm")
    return modulus, stiffness


def stud_stretch(preload: Any, thread: Thread, length: Any, units: System, modulus: Any) -> Any:
    """Stretch of the stud over its effective length."""
    modulus, _ = _stretches(thread, length, modulus)
    found = stretch.stretch(preload, thread, length, modulus)
    return step("stretch of the stud: preload over stiffness", "ΔL", found, "length", "ΔL = F L / (E As)", "ASME PCC-1")


def nut_turn(preload: Any, thread: Thread, length: Any, units: System, modulus: Any) -> Any:
    """Turn of the nut from snug for the stud's own stretch."""
    modulus, _ = _stretches(thread, length, modulus)
    step("stretch of the stud", "ΔL", stretch.stretch(preload, thread, length, modulus), "length", "ΔL = F L / (E As)")
    found = stretch.nut_turn(preload, thread, length, modulus)
    return step("turn of the nut for the stud's own stretch: stretch over pitch", "θ", found, "angle",
                "θ = 360° ΔL / P", "geometry; a joint that gives turns the nut further")  # fmt: skip


def stud_length(thread: Thread, grip: Any, units: System) -> Any:
    """Shortest stud with two full nuts and a thread out of each, in the usual steps."""
    found = stretch.stud_length(thread, grip)
    step("height of a nut", "hn", stretch.nut_height(thread), "length", "hn = D", "ASME B16.5")
    step("length needed: grip, two nuts, a thread out of each", "Ln", found.needed, "length", "Ln = Lg + 2 hn + 2 P",
         "common practice, no source")  # fmt: skip
    return step("stud length, rounded up", "Ls", found.length, "length", "next 1/4 in, or 5 mm for metric threads",
                "common practice, no source")  # fmt: skip


def flange_studs(nps: str, pressure_class: str, units: System) -> list[list[Any]]:
    """Bolting of a standard flange, a row each, with how it was read."""
    from calc.hardware import flanges

    ways = flanges.bolting_of(nps, pressure_class)
    if len(ways) > 1:
        raise stop("flange_series", "nps", flange=ways[0].name.partition(" series")[0])
    if ways and ways[0].basis != "read in a copy":
        raise stop("flange_remembered", "nps", flange=ways[0].name)
    if ways and " series " in ways[0].name:
        return _large_flange(ways[0], units)
    flange = flanges.flange(nps, pressure_class)
    basis = f"{flange.source}; {flange.basis}"
    step("flange", "", f"NPS {flange.nps} class {flange.pressure_class}", "text", "row of the table", basis)
    return [
        ["", "value", "unit", "source"],
        ["studs", flange.studs, "", basis],
        ["stud size", flange.thread.designation, "", basis],
        ["stud length", Num(flange.length, "length"), units.symbol("length"), f"raised face; {flange.length_basis}"],
        ["bolt circle", Num(flange.bolt_circle, "length"), units.symbol("length"), basis],
        ["hole", Num(flange.hole, "length"), units.symbol("length"), basis],
    ]


def _large_flange(found: Any, units: System) -> list[list[Any]]:
    """Bolting of a large flange, as far as its table goes."""
    basis = f"{found.source}; {found.basis}"
    step("flange", "", found.name, "text", "row of the table", basis)
    return [
        ["", "value", "unit", "source"],
        ["studs", found.studs, "", basis],
        ["stud size", found.stud, "", basis],
        ["bolt circle", Num(found.bolt_circle, "length"), units.symbol("length"), basis],
    ]
