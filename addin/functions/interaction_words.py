"""What stands with every result about interaction: the fixed wording, the limits of the model, what was assumed."""

from collections.abc import Sequence

import numpy as np

from addin.cells.words import amount, figure
from calc.interaction.band import MODEL_ERROR, Band
from calc.interaction.dimensions import Assumed
from calc.interaction.events import Limits, Pass
from calc.units import System, from_si

WORDING = (
    "Planning estimate from a simplified elastic model with assumed friction and gasket data; not a measurement and"
    " not an engineer's assessment of this joint. Confirm by load measurement, or keep tightening passes until no nut"
    " turns, as your procedure requires."
)
MODEL = (
    "Limits of the model: rigid cross-section, elastic studs and flanges, no yield, no misalignment, no pressure, no"
    " temperature; no metal contact outside the bolt circle. Trust the ranking of plans more than the numbers."
)
FRICTION = "Scatter of friction dominates in the end; no choice of settings removes it."
FOR_ENGINEER = "For the engineer only: a crew gets one pressure per pass. The closing circular pass is never dropped."
RAISED = "Settings above 100 % are for review by the responsible engineer."
BEFORE_RELAXING = "Before the gasket relaxes."
NO_SCATTER = "Without scatter of friction."

NAMES = {
    "flange_modulus": "modulus of the flanges",
    "stud_modulus": "modulus of the studs",
    "hole_clearance": "stud hole minus stud diameter",
    "hub_share": "hub thickness over flange thickness",
    "wall_share": "wall of the pipe over hub thickness",
    "hub_length_share": "hub length over flange thickness",
    "shank_length": "plain shank of the stud",
    "bearing_share": "bearing diameter under the nut over stud diameter",
    "relaxation": "relaxation factor of the gasket",
    "gasket_stop": "closure of the gasket at its ring",
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
    (
        "hub_share",
        "wall_share",
        "hub_length_share",
        "snug",
        *(name for name in NAMES if name.endswith(("_scatter", "_bias", "_repeat"))),
    )
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


VARIED = {"gasket": "closure of the gasket halved and doubled", "hub": "hub none and thick"}
"""What a band varies, as a reader calls it."""


def band_line(found: Band, target: float) -> str:
    """The band of the lowest kept load after all passes, what it is made of, and what narrows it."""
    low, high = (percent(float(value) / target) for value in found.lowest[:, -1])
    parts = [
        f"{VARIED[name]} {percent(ends[0] / target)} to {percent(ends[1] / target)}"
        for name, ends in found.parts.items()
    ]
    parts.append(f"model against bricks {percent(MODEL_ERROR)} either way")
    narrows = {"hub": "hub thickness, shell wall and hub length", "gasket": "a loading curve of the gasket"}
    wanted = [narrows[name] for name in ("hub", "gasket") if name in found.parts]
    more = f" Narrower with {' and '.join(wanted)} among the inputs." if wanted else ""
    return (
        f"Model band of the lowest kept load after all passes: {low} to {high} of the target ({'; '.join(parts)})."
        f" Scatter of friction comes on top.{more}"
    )


NO_BAND = "No model band: a table of interaction says nothing of its own error."


def beyond_lines(
    beyond: Sequence[str], highest: float, stress: float, limits: Limits | None, units: System
) -> list[str]:
    """Limits that a plan passes on the way without scatter: marked, never withheld."""
    if limits is None:
        return []
    said = []
    if "stud_limit" in beyond:
        at, high = (amount(value, "force", units, 4) for value in (highest, limits.stud_load))
        said.append(f"ABOVE A LIMIT: on the way a stud sees {at}, its limit is {high}. For review, not for a crew.")
    if "gasket_limit" in beyond:
        at, high = (amount(value, "stress", units, 4) for value in (stress, limits.gasket_stress))
        said.append(f"ABOVE A LIMIT: on the way the gasket sees {at}, its limit is {high}. For review, not for a crew.")
    return said


def percent(share: float) -> str:
    """A share as per cent, three digits."""
    return f"{figure(float(f'{100 * share:.3g}'))} %"


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
