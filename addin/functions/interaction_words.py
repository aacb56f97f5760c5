"""What stands with every result about interaction: the fixed wording, the limits of the model, what was assumed."""

from collections.abc import Sequence

import numpy as np

from addin.cells.words import figure
from calc.interaction.dimensions import Assumed
from calc.interaction.events import Pass
from calc.units import System, from_si

WORDING = (
    "Planning estimate from a simplified elastic model with assumed friction and gasket data; not a measurement and"
    " not an engineer's assessment of this joint. Confirm by load measurement, or keep tightening passes until no nut"
    " turns, as your procedure requires."
)
MODEL = (
    "Limits of the model: rigid cross-section, elastic studs and flanges, no yield, no misalignment, no pressure, no"
    " temperature; no metal contact outside the bolt circle. Trust the ranking of plans more than the numbers: ten"
    " points either way until calibrated."
)
FRICTION = "Scatter of friction dominates in the end; no choice of settings removes it."
FOR_ENGINEER = "For the engineer only: a crew gets one pressure per pass. The closing circular pass is never dropped."
RAISED = "Settings above 100 % are for review by the responsible engineer."
NO_SCATTER = "Without scatter of friction."

NAMES = {
    "flange_modulus": "modulus of the flanges",
    "stud_modulus": "modulus of the studs",
    "hole_clearance": "stud hole minus stud diameter",
    "hub_share": "wall of shell and hub over flange thickness",
    "shank_length": "plain shank of the stud",
    "bearing_share": "bearing diameter under the nut over stud diameter",
    "creep_left": "gasket load left after creep",
    "snug": "load after alignment, share of the target",
    "stud_scatter": "scatter of friction from stud to stud",
    "shot_scatter": "scatter of friction from pull to pull",
    "joint_scatter": "scatter of friction from joint to joint",
    "wrench_bias": "scatter of the wrench, all pulls alike",
    "wrench_repeat": "scatter of the wrench from pull to pull",
    "gasket_stress": "gasket stress",
    "gasket_closure": "closure of the gasket on loading",
    "gasket_unloading_modulus": "modulus of the gasket on unloading",
}
"""What was assumed, as a reader calls it."""


_SAID_BY_NAME = frozenset(
    ("hub_share", "snug", *(name for name in NAMES if name.endswith(("_scatter", "_bias", "_repeat"))))
)
"""What was assumed and whose basis begins with what the name says already."""


def assumed_row(row: Assumed, units: System) -> tuple[str, float, str, str, str]:
    """One assumption: name, value, unit, range and basis, as a reader takes them.

    >>> from calc.interaction.dimensions import DEFAULTS
    >>> from calc.units import system
    >>> assumed_row(DEFAULTS["flange_modulus"], system("US"))[1:4]
    (29010.0, 'ksi', '27560 to 30460')
    """
    unit = units.symbol(row.kind)
    if row.kind == "stress" and unit == "psi" and row.value > _MILLION_PSI:
        unit = "ksi"
    value, low, high = (
        float(f"{float(from_si(number, row.kind, unit)) if unit else number:.4g}")
        for number in (row.value, row.low, row.high)
    )
    ends = "" if low == high else f"{figure(low)} to {figure(high)}"
    basis = row.basis.partition("; ")[2] if row.name in _SAID_BY_NAME else row.basis
    return NAMES[row.name], value, unit, ends, basis or row.basis


_MILLION_PSI = 6.894757e9


def assumed_line(row: Assumed, units: System) -> str:
    """One assumption with its range and basis on one line.

    >>> from calc.interaction.dimensions import DEFAULTS
    >>> from calc.units import system
    >>> assumed_line(DEFAULTS["snug"], system("SI"))
    'assumed: load after alignment, share of the target 5 % (2 to 20 %): judgement, no source'
    """
    name, value, unit, ends, basis = assumed_row(row, units)
    said = f"{figure(value)} {unit}".strip()
    return f"assumed: {name} {said}{f' ({ends} {unit}'.rstrip() + ')' if ends else ''}: {basis}"


def passes_words(passes: Sequence[Pass]) -> str:
    """The passes of a plan on one line, pattern by pattern, snug first.

    >>> passes_words([Pass(0.5, (), "cross"), Pass(1.15, (), "cross"), Pass(1.0, (), "circular")])
    'snug, cross 50/115 %, circular 100 %'
    """
    groups: list[tuple[str, list[str]]] = []
    for step in passes:
        percent = figure(100 * float(np.max(step.fraction)))
        if groups and groups[-1][0] == step.pattern:
            groups[-1][1].append(percent)
        else:
            groups.append((step.pattern, [percent]))
    return ", ".join(["snug", *(f"{pattern} {'/'.join(percents)} %" for pattern, percents in groups)])
