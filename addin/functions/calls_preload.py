"""What the functions about friction, preload and torque calculate: arguments in SI in, columns or rows out."""

from typing import Any

import numpy as np

from addin.cells.numbers import Cell, is_blank, plain_text, read_number
from addin.functions.calls_stud import each, pitch_diameter, stress_area, stud_yield
from addin.functions.gate import Rows
from addin.functions.steps import step
from calc.findings import Finding, stop
from calc.hardware import friction, nuts, threads
from calc.hardware.threads import Thread
from calc.preload import target
from calc.preload import torque as torques
from calc.units import System


def nut_factor(lubricant: str, lubricants: list[list[Cell]]) -> float:
    """Nut factor of a product in a range whose headings name product and nut factor."""
    from addin.cells.headings import split

    heads = [split(plain_text(cell)).words for cell in lubricants[0]]
    if "product" not in heads or "nut factor" not in heads:
        raise stop("lubricant_headings", "lubricants")
    products = [row for row in lubricants[1:] if not is_blank(row[heads.index("product")])]
    names = [plain_text(row[heads.index("product")]) for row in products]
    found = [row for row, name in zip(products, names, strict=True) if name.casefold() == lubricant.casefold()]
    if not found:
        raise stop("lubricant_unknown", "lubricant", text=lubricant, known=tuple(names))
    if len(found) > 1:
        raise stop("lubricant_twice", "lubricant", text=lubricant)
    source = plain_text(found[0][heads.index("source")]) if "source" in heads else ""
    value = read_number(found[0][heads.index("nut factor")], "nut_factor", None)
    return step(f"nut factor of {lubricant}", "K", value, "number", "the site's own table", source)


def nut_factor_survey(condition: str) -> list[list[Any]]:
    """A published range with its source."""
    row = friction.survey(condition)
    name = "nut factor" if row.quantity.startswith("K") else "friction coefficient"
    step(name, "", row.condition, "text", "row of the published table", f"{row.source}; {row.basis}")
    return [
        ["quantity", "low", "mean", "high", "source"],
        [name, row.low, row.mean, row.high, f"{row.source}; {row.basis}"],
    ]


# --- preload ---------------------------------------------------------------------------------------------------------


def preload_from_stress(stress: Any, thread: Thread, units: System, area: str) -> Any:
    """Preload from a stress on the area named."""
    on = stress_area(thread, units, area)
    return step("preload: stress times area", "F", target.from_stress(stress, on), "force", "F = σ A")


def preload_from_yield(percent: Any, grade: str, thread: Thread, units: System, area: str) -> Rows:
    """Preload from a share of yield."""
    strength, on = stud_yield(grade, thread, units), stress_area(thread, units, area)
    found = Rows(target.from_yield(percent, strength.values, on), strength.faults)
    return step("preload: share of yield times area", "F", found, "force", "F = x Re A")


def preload_from_gasket(gasket_stress: Any, gasket_area: Any, studs: Any, units: System) -> Any:
    """Preload per stud for a gasket stress."""
    found = target.from_gasket(gasket_stress, gasket_area, studs)
    return step("preload per stud: gasket load shared by the studs", "F", found, "force", "F = Sg Ag / n",
                "ASME PCC-1 Appendix O step 1 (from memory)")  # fmt: skip


def preload_from_combined_stress(percent: Any, grade: str, thread: Thread, thread_friction: Any, units: System) -> Rows:
    """Preload at which stress with torsion reaches a share of yield."""
    strength = stud_yield(grade, thread, units)
    step("tensile area", "As", threads.tensile_area(thread), "area")
    _angles(thread, thread_friction)
    preload = torques.preload_from_combined_stress(percent, strength.values, thread, thread_friction)
    result = Rows(preload, strength.faults)
    return step("preload at which stress with torsion reaches the share of yield", "F", result, "force",
                "F = x Re As / √(1 + 3 [1.5 (d2/d0) tan(φ + ρ')]²), d0 = (d2 + d3)/2", "VDI 2230-1")  # fmt: skip


def _angles(thread: Thread, thread_friction: Any) -> None:
    """Pitch diameter, slope and friction of the thread, as steps."""
    d2 = pitch_diameter(thread)
    step("slope of the thread", "tan φ", thread.pitch / (np.pi * d2), "number", "tan φ = P / (π d2)")
    step("friction in the thread", "tan ρ'", thread_friction / friction.COS30, "number", "tan ρ' = μt / cos 30°")


# --- torque ----------------------------------------------------------------------------------------------------------


def torque_from_preload(preload: Any, thread: Thread, nut_factor: Any, units: System) -> Any:
    """Torque with a nut factor."""
    found = torques.from_nut_factor(preload, thread, nut_factor)
    return step("torque: nut factor times diameter times preload", "T", found, "torque", "T = K D F",
                "ASME PCC-1 Appendix K (from memory)")  # fmt: skip


def preload_from_torque(torque: Any, thread: Thread, nut_factor: Any, units: System) -> Any:
    """Preload with a nut factor."""
    found = torques.preload_from_nut_factor(torque, thread, nut_factor)
    return step("preload: torque over nut factor times diameter", "F", found, "force", "F = T / (K D)",
                "ASME PCC-1 Appendix K (from memory)")  # fmt: skip


_FORMS = {
    "vdi 2230": ("T = F [d2/2 tan(φ + ρ') + μn De/2]", "VDI 2230-1"),
    "pcc-1": ("T = F [P/(2π) + μt d2/(2 cos 30°) + μn De/2]", "ASME PCC-1 Appendix J (from memory)"),
    "api 6a": ("T = F d2 (P + π f d2 S) / (2 (π d2 - P f S)) + F f De/2, S = 1/cos 30°, f = μt = μn", "API 6A annex"),
}


def torque_from_friction(
    preload: Any, thread: Thread, thread_friction: Any, nut_friction: Any, units: System, form: str,
    bearing_diameter: Any,
) -> Any:  # fmt: skip
    """Torque from coefficients; the bearing diameter from the heavy hex nut where it is not given."""
    faults: dict[int, Finding] = {}
    if bearing_diameter is None:
        if form.lower() == "api 6a":
            bearing_diameter = torques.api6a_bearing_diameter(thread)
            step("mean friction diameter under the nut", "De", bearing_diameter, "length",
                 "De = (1.5 D + 1/8 in + D + 1/8 in)/2", "API 6A annex")  # fmt: skip
        else:
            flats = each(thread, lambda t: nuts.across_flats(t, None))
            faults, bearing_diameter = flats.faults, friction.bearing_diameter(thread, flats.values)
            step("across flats, heavy hex", "AF", flats, "length", "AF = 1.5 D + 1/8 in", "ASME B18.2.2")
            step("mean friction diameter under the nut", "De", bearing_diameter, "length", "De = (AF + hole)/2",
                 "ASME PCC-1 (from memory); hole D + 1/8 in, D + 3 mm for metric threads")  # fmt: skip
    if not faults:
        _angles(thread, thread_friction)
    result = torques.from_friction(
        preload, thread, thread_friction, nut_friction, bearing_diameter=bearing_diameter, form=form
    )
    formula, source = _FORMS[" ".join(form.lower().split())]
    return step(f"torque in the {form} form", "T", Rows(result, faults), "torque", formula, source)


_TORSIONS = {
    "elastic": ("σv = √(σ² + 3 τ²), σ = F/As, τ = 16 Tt/(π d³)", "Mises; elastic torsion of the stress diameter d"),
    "vdi 2230": ("σv = F/As √(1 + 3 [1.5 (d2/d0) tan(φ + ρ')]²), d0 = (d2 + d3)/2", "VDI 2230-1"),
}


def combined_stress(preload: Any, thread: Thread, thread_friction: Any, units: System, form: str) -> Any:
    """Equivalent stress with torsion."""
    on = threads.tensile_area(thread)
    step("tensile area", "As", on, "area")
    step("tension", "σ", preload / on, "stress", "σ = F / As")
    _angles(thread, thread_friction)
    step("torque in the thread", "Tt", torques.thread_torque(preload, thread, thread_friction), "torque",
         "Tt = F d2/2 tan(φ + ρ')", "VDI 2230-1")  # fmt: skip
    found = torques.combined_stress(preload, thread, thread_friction, torsion=form)
    formula, source = _TORSIONS[" ".join(form.lower().split())]
    return step(f"stress with torsion, {form}", "σv", found, "stress", formula, source)
