"""What the functions about limits, gasket loads and range calculate: arguments in SI in, rows out."""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from addin.cells.numbers import Cell
from addin.cells.words import amount, line, listed, name_of, needed
from addin.functions.calls_stud import stress_area, yields
from addin.functions.gate import Num
from addin.functions.labelled import Label, read_inputs
from addin.functions.steps import step
from calc.findings import Finding, InputError, stop
from calc.hardware import friction, gaskets, nuts
from calc.hardware.threads import Thread
from calc.plan.joints import Joints, joints
from calc.plan.limits import NEEDS, given_of, uncovered_kind
from calc.preload import limits as limit
from calc.preload import scatter, target
from calc.preload import torque as torques
from calc.preload.limits import CEILINGS, ORDER, PreloadLimits
from calc.preload.scatter import Spread
from calc.quantities import settle
from calc.units import System, factor

LIMIT_INPUTS = {
    label.text.replace(" ", "_"): label
    for label in (
        Label("gasket area", "gasket_area", "Ag"),
        Label("studs", "studs", "n"),
        Label("target gasket stress", "target_gasket_stress", "Sgt"),
        Label("target stud stress", "stress", "Sb"),
        Label("stud maximum", "stud_maximum", "Sbmax"),
        Label("stud minimum", "stud_minimum", "Sbmin"),
        Label("flange limit", "flange_limit", "Sfmax"),
        Label("gasket seating", "gasket_seating", "SgminS"),
        Label("gasket operating", "gasket_operating", "SgminO"),
        Label("gasket maximum", "gasket_maximum", "Sgmax"),
        Label("pressure", "design_pressure", "P"),
        Label("gasket inside diameter", "gasket_inside_diameter", "G_ID"),
        Label("gasket outside diameter", "gasket_outside_diameter", "G_OD"),
        Label("gasket load kept", "gasket_load_kept", "φg"),
        Label("flange rotation", "flange_rotation", "θf"),
        Label("rotation limit", "rotation_limit", "θg"),
        Label("gasket m", "gasket_m", "m"),
        Label("gasket y", "gasket_y", "y"),
        Label("facing", "words"),
        Label("flange kind", "words"),
        Label("grade", "words"),
        Label("percent of yield", "yield_fraction", "x"),
        Label("thread friction", "thread_friction", "μt"),
        Label("preload may rise", "spread", "+"),
        Label("preload may fall", "spread", "-"),
    )
}
"""Labels that the inputs of `preload_limits` may have."""
_JOINT = {"pressure": "design_pressure"}

_FORMULAS = {
    "target": "Sgt Ag/(n Ab)",
    "stud_maximum": "Sbmax",
    "stud_minimum": "Sbmin",
    "flange_limit": "Sfmax",
    "gasket_seating": "SgminS Ag/(n Ab)",
    "gasket_operating": "(SgminO Ag + π/4 P G_ID²)/(φg n Ab)",
    "gasket_maximum": "Sgmax Ag/(n Ab)",
    "flange_rotation": "Sfmax θg/θf",
    "stud_torsion": "x Re / (σv/F) / (1 + rise) / Ab",
    "design_operating": "Wm1/(n Ab)",
    "design_seating": "Wm2/(n Ab)",
}


def preload_limits(inputs: list[list[Cell]], thread: Thread, nut_factor: float, units: System) -> list[list[Any]]:
    """The stress chosen by PCC-1 Appendix O with its preload and torque, and every limit with what became of it."""
    given = read_inputs(inputs, LIMIT_INPUTS, units)
    if "target_gasket_stress" in given and "target_stud_stress" in given:
        raise stop("target_several", "inputs", names=("target_gasket_stress", "target_stud_stress"))
    area = float(stress_area(thread, units, "root B1.1"))
    rise, fall = given.get("preload_may_rise", 0.0), given.get("preload_may_fall", 0.0)
    row = _joint(given)
    ceiling, lacks = _stud_ceiling(given, thread, nut_factor, rise, units)
    parts, refused = given_of(row, np.array([ceiling]), np.array([given.get("target_stud_stress", math.nan)]))
    kind = uncovered_kind(row.flange_kind[0])
    found = limit.limits(parts, area, minus=fall, plus=rise, flange_checked=not kind)
    if np.isnan(found.selected[0]):
        raise stop("limits_target", "inputs", needs=tuple(map(_label, _missing("target", row))))
    reasons = {name: _missing(name, row) for name in ORDER[1:]} | {"stud_torsion": lacks}
    return _limit_rows(found, thread, area, nut_factor, units, given, reasons, refused.get(0), kind)


def _joint(given: dict[str, Any]) -> Joints:
    """The inputs as a list of one joint."""
    skipped = ("target_stud_stress", "grade", "percent_of_yield", "thread_friction", "preload_may_rise",
               "preload_may_fall")  # fmt: skip
    columns: dict[str, Any] = {_JOINT.get(name, name): [value] for name, value in given.items() if name not in skipped}
    return joints(1, **columns)


def _label(name: str) -> str:
    """An input as its label calls it."""
    return name.replace("_", " ")


def _missing(name: str, row: Joints) -> tuple[str, ...]:
    blank = {part: getattr(row, part)[0] for part in NEEDS[name]}
    return tuple(
        part.removeprefix("design_")
        for part, value in blank.items()
        if value == "" or value != value  # NaN
    )


def _stud_ceiling(
    given: dict[str, Any], thread: Thread, nut_factor: float, rise: float, units: System
) -> tuple[float, tuple[str, ...]]:
    """Preload at which stress with torsion reaches the share of yield at the high side, or what is missing for it."""
    lacks = tuple(name for name in ("grade", "percent_of_yield") if name not in given)
    if lacks:
        return math.nan, lacks
    mu = given.get("thread_friction")
    if mu is None:
        if thread.metric:
            return math.nan, ("thread_friction",)
        bearing = friction.bearing_diameter(thread, nuts.across_flats(thread, None))
        mu = float(friction.coefficient_from_nut_factor(nut_factor, thread, bearing))
        step("friction coefficient that gives the nut factor", "μt", mu, "number",
             "K D = d2/2 tan(φ + ρ') + μ De/2, the same in thread and under a heavy hex nut", "VDI 2230-1")  # fmt: skip
    strength = yields(given["grade"], thread, supplied=False)
    if strength.faults:
        raise InputError(strength.faults[0])
    value = limit.torsion_ceiling(
        given["percent_of_yield"], float(strength.values[0]), thread, mu, plus=rise, torsion="elastic"
    )
    step("preload at which stress with torsion reaches the share of yield", "Ft", float(value), "force",
         "Ft = x Re / (σv/F) / (1 + rise)", "Mises, elastic torsion")  # fmt: skip
    return float(value), ()


def _limit_rows(
    found: PreloadLimits, thread: Thread, area: float, nut_factor: float, units: System, given: dict[str, Any],
    reasons: dict[str, tuple[str, ...]], facing: Finding | None, kind: str,
) -> list[list[Any]]:  # fmt: skip
    rows: list[list[Any]] = [
        ["", f"stress ({units.symbol('stress')})", f"preload ({units.symbol('force')})",
         f"torque ({units.symbol('torque')})", "result", "note"]
    ]  # fmt: skip

    def numbers(stress: float) -> list[Any]:
        preload = settle(target.from_stress(settle(stress), area), factor("force", units.symbol("force")))
        torque = torques.from_nut_factor(preload, thread, nut_factor)
        return [Num(stress, "stress"), Num(float(preload), "force"), Num(float(torque), "torque")]

    target_stress, selected = float(found.value["target"][0]), float(found.selected[0])
    step(
        "target", "", target_stress, "stress", _FORMULAS["target"] if "target_stud_stress" not in given else "as given"
    )
    for name in ORDER[1:]:
        if not np.isnan(found.value[name][0]):
            source = "ASME VIII-1 Appendix 2" if name.startswith("design") else "ASME PCC-1 Appendix O (from memory)"
            step(name_of(name), "", float(found.value[name][0]), "stress", _FORMULAS[name], source)
    step("selected: target, stud maximum, stud minimum, flange limit in this order", "Sb", selected, "stress",
         "ASME PCC-1 Appendix O steps 1 to 4 (from memory)")  # fmt: skip
    governs = str(found.governs[0])
    said = "the target as it is" if governs == "target" else f"{name_of(governs)} governs"
    rows.append(["selected", *numbers(selected), said, "stress on the root B1.1 area"])
    rows.append(["target", *numbers(target_stress), "", ""])
    for name in ORDER[1:]:
        value = float(found.value[name][0])
        shown = [None, None, None] if np.isnan(value) else numbers(value)
        rows.append([name_of(name), *shown, *_judged(name, found, given, reasons[name], facing, kind, units)])
    bad, at_ends = found.violated(), found.violated_at_ends()
    rows.append(["violated", None, None, None, _named(bad) or "none of those checked", ""])
    lacks = [_label(name) for name in ("preload_may_rise", "preload_may_fall") if name not in given]
    ends = _named([name for name in at_ends if name not in bad]) or "no more of those checked"
    rows.append(["violated at an end of the range", None, None, None, "not checked" if len(lacks) == 2 else ends,
                 needed(lacks) if lacks else ""])  # fmt: skip
    return rows


def _named(names: Sequence[str]) -> str:
    return listed([name_of(name) for name in names], "and")


def _judged(
    name: str, found: PreloadLimits, given: dict[str, Any], lacks: tuple[str, ...], facing: Finding | None, kind: str,
    units: System,
) -> tuple[str, str]:  # fmt: skip
    """Result of one limit and the note beside it."""
    if not found.checked[name][0]:
        if kind and name in ("flange_limit", "flange_rotation"):
            return "not checked", f"no published flange limit covers {kind} flanges"
        if facing is not None and name.startswith("design"):
            return "not checked", line(facing, units)
        return (
            "not checked",
            f"{needed([_label(part) for part in lacks])} for the {name_of(name).removesuffix(' limit')} limit",
        )
    note = ""
    if name == "gasket_operating" and found.load_kept_assumed[0]:
        note = f"gasket load kept {100 * limit.LOAD_KEPT:g} % taken (PCC-1 Appendix O, from memory)"
    if not found.kept[name][0]:
        return "violated", note
    side = "high" if name in CEILINGS else "low"
    return ("kept" if found.kept_at_ends[name][0] else f"violated at the {side} side of the range"), note


# --- gasket loads ----------------------------------------------------------------------------------------------------


def gasket_design_loads(
    outside_diameter: float, inside_diameter: float, pressure: float, m: float, y: float, units: System, facing: str
) -> list[list[Any]]:
    """Effective width, reaction diameter, operating and seating load."""
    if inside_diameter >= outside_diameter:
        raise stop("diameters_reversed", "inside_diameter", inside=inside_diameter, outside=outside_diameter)
    width = step(
        "width of the contact face", "N", (outside_diameter - inside_diameter) / 2, "length", "N = (OD - ID)/2"
    )
    basic = step("basic width by facing sketch", "b0", gaskets.basic_width(facing, width), "length",
                 f"Table 2-5.2, sketch {facing}", "ASME VIII-1 Appendix 2")  # fmt: skip
    loads = gaskets.design_loads(outside_diameter, inside_diameter, pressure, m, y, basic=basic)
    rows = (
        (
            "effective width",
            "b",
            loads.b,
            "length",
            "b0 to 1/4 in, above it √(b0 · 1/4 in), which is 0.5 √b0 in inches",
        ),
        ("reaction diameter", "G", loads.G, "length", "mean diameter to b0 = 1/4 in, above it OD - 2 b"),
        ("end load of the pressure", "H", loads.H, "force", "π/4 G² P"),
        ("operating load", "Wm1", loads.operating, "force", "H + 2 b π G m P"),
        ("seating load", "Wm2", loads.seating, "force", "π b G y"),
    )
    shown: list[list[Any]] = [["", "value", "unit", "formula"]]
    shown.append(["basic width", Num(float(basic), "length"), units.symbol("length"), f"sketch {facing}"])
    for what, symbol, value, kind, formula in rows:
        said = f"{symbol} = {formula}"
        step(what, symbol, float(value), kind, said, "ASME VIII-1 Appendix 2")
        shown.append([what, Num(float(value), kind), units.symbol(kind), said])
    return [*shown, ["note", None, None, "minima for the design of the flange, not targets for assembly"]]


# --- the range -------------------------------------------------------------------------------------------------------

RANGE_INPUTS = {
    label.text.replace(" ", "_"): label
    for label in (
        Label("friction scatter", "spread", "±"),
        Label("nut factor low", "nut_factor", "Kmin"),
        Label("nut factor high", "nut_factor", "Kmax"),
        Label("wrench", "spread", "±"),
        Label("gauge", "spread", "±"),
        Label("method", "words"),
        Label("load kept", "gasket_load_kept", "φ"),
        Label("gasket area", "gasket_area", "Ag"),
        Label("studs", "studs", "n"),
    )
}
"""Labels that the inputs of `preload_range` may have."""


def preload_range(
    torque: float, thread: Thread, nut_factor: float, inputs: list[list[Cell]], units: System
) -> list[list[Any]]:
    """Low, nominal and high preload, in quadrature and as worst case, what is kept of it, and the gasket stress."""
    given = read_inputs(inputs, RANGE_INPUTS, units)
    spreads, sources = _spreads(given, nut_factor)
    nominal = settle(
        torques.preload_from_nut_factor(torque, thread, nut_factor), factor("force", units.symbol("force"))
    )
    step("nominal preload", "F", float(nominal), "force", "F = T / (K D)", "ASME PCC-1 Appendix K (from memory)")
    kept = given.get("load_kept", math.nan)
    source = "; ".join(sources)
    rows: list[list[Any]] = [["", "low", "nominal", "high", "unit", "note"]]
    both = {"quadrature": scatter.quadrature(spreads), "worst case": scatter.worst_case(spreads)}
    for name, spread in both.items():
        reach = scatter.preload_range(float(nominal), spread, kept=kept)
        formula = "low = F (1 - s-), high = F (1 + s+), s the " + (
            "root of the sum of squares" if name == "quadrature" else "products of the ends"
        )
        step(f"low preload, {name}", "", float(reach.low), "force", formula, source)
        step(f"high preload, {name}", "", float(reach.high), "force", formula, source)
        ends = float(reach.low), float(nominal), float(reach.high)
        rows.append([f"preload, {name}", *_line(ends, "force", units), source])
        rows += _kept_rows(name, ends, float(reach.low_kept), given, units)
    rows.append(_whole_joint(both["quadrature"], given))
    return rows


def _spreads(given: dict[str, Any], nut_factor: float) -> tuple[list[Spread], list[str]]:
    own = [
        name for name in ("friction_scatter", "nut_factor_low", "nut_factor_high", "wrench", "gauge") if name in given
    ]
    if "method" in given:
        if own:
            raise stop("method_is_whole", "method", names=tuple(own))
        row = scatter.method(given["method"])
        return [row.spread()], [f"{row.method}: {row.source}, {row.basis}; wrench and gauge are in it"]
    spreads, said = [], []
    ends = [given.get(f"nut_factor_{side}") for side in ("low", "high")]
    if any(end is not None for end in ends):
        if None in ends or "friction_scatter" in given:
            raise stop("scatter_stated", "inputs")
        low, high = ends
        if not low <= nut_factor <= high:  # type: ignore[operator]  # neither is None here
            raise stop("factor_outside_ends", "nut_factor", value=nut_factor, low=low, high=high)
        spreads.append(scatter.from_nut_factors(low, nut_factor, high))  # type: ignore[arg-type]
        said.append("friction by the ends of the nut factor given")
    elif "friction_scatter" in given:
        spreads.append(Spread(given["friction_scatter"], given["friction_scatter"]))
        said.append("friction as given")
    else:
        raise stop("scatter_stated", "inputs")
    for name in ("wrench", "gauge"):
        if name in given:
            spreads.append(Spread(given[name], given[name]))
        said.append(f"{name} as given" if name in given else f"{name} not in it: not stated")
    return spreads, said


def _line(ends: tuple[float, float, float], kind: str, units: System) -> list[Any]:
    return [*(Num(end, kind) if end == end else "nothing left" for end in ends), units.symbol(kind)]


def _kept_rows(
    name: str, ends: tuple[float, float, float], low_kept: float, given: dict[str, Any], units: System
) -> list[list[Any]]:
    """What relaxation leaves of the low side, and the gasket stress of the three."""
    rows: list[list[Any]] = []
    if "load_kept" in given:
        kept = amount(given["load_kept"], "percent", units)
        left: Any = Num(low_kept, "force") if low_kept == low_kept else "nothing left"
        rows.append([f"kept, {name}", left, None, None, units.symbol("force"), f"{kept} of the low side kept"])
    else:
        rows.append([f"kept, {name}", "not known", None, None, "", "load kept is needed"])
    lacks = [_label(part) for part in ("gasket_area", "studs") if part not in given]
    if lacks:
        note = needed(lacks)
        return [*rows, [f"gasket stress, {name}", "not known", "not known", "not known", "", note]]
    studs, area = given["studs"], given["gasket_area"]
    low, middle, high = (float(scatter.gasket_stress(end, studs, area)) for end in ends)
    rows.append(
        [f"gasket stress, {name}", *_line((low, middle, high), "stress", units), "mean, if every stud had this preload"]
    )
    if low_kept == low_kept:
        left = Num(float(scatter.gasket_stress(low_kept, studs, area)), "stress")
        rows.append(
            [f"gasket stress kept, {name}", left, None, None, units.symbol("stress"), "no pressure in the joint"]
        )
    return rows


def _whole_joint(spread: Spread, given: dict[str, Any]) -> list[Any]:
    """Scatter of the whole joint from that of one stud."""
    what = "scatter of the whole joint"
    if "studs" not in given:
        return [what, "not known", None, "not known", "", needed(["studs"])]
    ends = [float(scatter.en1591_joint(float(side), given["studs"])) for side in (spread.minus, spread.plus)]
    return [what, Num(-ends[0], "percent"), None, Num(ends[1], "percent"), "%",
            "of the sum of all studs: ε (1 + 3/√n)/4 of one stud's, EN 1591-1 (from memory)"]  # fmt: skip
