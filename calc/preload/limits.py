"""Floor and ceiling of the stud stress: the joint-component approach of ASME PCC-1 Appendix O, in its order.

All stresses stand on one area, the root area of ASME B1.1 in PCC-1. The first four steps choose the stress, the
others only judge it. ASME VIII-1 Appendix 2 loads and the stud's yield with torsion are judged beside them. What was
not given is not checked and never shown as kept. Equations from memory; the published form was not at hand, a whole
worked joint agrees (`tests/published/pcc1_appendix_o.csv`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from calc.hardware.threads import Numbers, Thread
from calc.preload.torque import combined_stress

Floats = NDArray[np.float64]

LOAD_KEPT = 0.7
"""Share of its load that a gasket keeps where no test says otherwise (PCC-1 Appendix O, from memory)."""

KINDS_NOT_CHECKED = ("cast iron", "lined", "girth", "compact")
"""Kinds of flange that the published flange limits do not cover. Common practice, no source."""

FLOORS = ("stud_minimum", "gasket_seating", "gasket_operating", "design_operating", "design_seating")
CEILINGS = ("stud_maximum", "flange_limit", "gasket_maximum", "flange_rotation", "stud_torsion")
ORDER = ("target", "stud_maximum", "stud_minimum", "flange_limit", "gasket_seating", "gasket_operating",
         "gasket_maximum", "flange_rotation", "stud_torsion", "design_operating", "design_seating")  # fmt: skip
"""Names of the target and the limits, in the order in which they are looked at."""

NEEDS: Mapping[str, tuple[str, ...]] = {
    "target": ("target_gasket_stress", "gasket_area", "studs"),
    "stud_maximum": ("stud_maximum",),
    "stud_minimum": ("stud_minimum",),
    "flange_limit": ("flange_limit",),
    "gasket_seating": ("gasket_seating", "gasket_area", "studs"),
    "gasket_operating": ("gasket_operating", "gasket_area", "studs", "pressure", "gasket_inside_diameter"),
    "gasket_maximum": ("gasket_maximum", "gasket_area", "studs"),
    "flange_rotation": ("flange_limit", "flange_rotation", "rotation_limit"),
    "stud_torsion": ("torsion_preload",),
    "design_operating": ("design_operating_load", "studs"),
    "design_seating": ("design_seating_load", "studs"),
}
"""What each limit needs to be checked; a missing one is named by `PreloadLimits.missing`."""


@dataclass(frozen=True, eq=False)
class Given:
    """What is known of the joints, floats or columns; NaN where not given.

    Stresses [Pa]: `target_gasket_stress` Sgt, `stud_maximum` Sbmax, `stud_minimum` Sbmin, `flange_limit` Sfmax,
    `gasket_seating` SgminS, `gasket_operating` SgminO, `gasket_maximum` Sgmax, `target_stress` (a stress of the stud
    stated in place of a gasket stress). `gasket_area` Ag [m²], `pressure` Pmax [Pa], `gasket_inside_diameter` Gid [m],
    `gasket_load_kept` φg, `flange_rotation` θf and `rotation_limit` θg in one unit, `studs` nb. Loads [N]:
    `torsion_preload` the ceiling of one stud's preload (`torsion_ceiling`), `design_operating_load` Wm1 and
    `design_seating_load` Wm2 of the joint.
    """

    studs: Numbers = np.nan
    gasket_area: Numbers = np.nan
    target_gasket_stress: Numbers = np.nan
    target_stress: Numbers = np.nan
    stud_maximum: Numbers = np.nan
    stud_minimum: Numbers = np.nan
    flange_limit: Numbers = np.nan
    gasket_seating: Numbers = np.nan
    gasket_operating: Numbers = np.nan
    gasket_maximum: Numbers = np.nan
    pressure: Numbers = np.nan
    gasket_inside_diameter: Numbers = np.nan
    gasket_load_kept: Numbers = np.nan
    flange_rotation: Numbers = np.nan
    rotation_limit: Numbers = np.nan
    torsion_preload: Numbers = np.nan
    design_operating_load: Numbers = np.nan
    design_seating_load: Numbers = np.nan


@dataclass(frozen=True, eq=False)
class PreloadLimits:
    """The stress chosen and every limit, as columns.

    `selected` [Pa], NaN without a target; `governs` the step of `ORDER` that set it; by name of limit: `value` [Pa],
    `checked`, `kept` at the stress chosen, `kept_at_ends` a ceiling at the high and a floor at the low side of the
    range. A limit that was not checked is not kept either. `load_kept_assumed`: φg was not given, `LOAD_KEPT` taken.
    """

    selected: Floats
    governs: NDArray[np.str_]
    value: Mapping[str, Floats]
    checked: Mapping[str, NDArray[np.bool_]]
    kept: Mapping[str, NDArray[np.bool_]]
    kept_at_ends: Mapping[str, NDArray[np.bool_]]
    load_kept_assumed: NDArray[np.bool_]
    given: Given

    def violated(self, row: int = 0) -> tuple[str, ...]:
        """Limits that were checked and are not kept at the stress chosen."""
        return tuple(name for name in ORDER[1:] if self.checked[name][row] and not self.kept[name][row])

    def violated_at_ends(self, row: int = 0) -> tuple[str, ...]:
        """Limits that were checked and are not kept at the end of the range that concerns them."""
        return tuple(name for name in ORDER[1:] if self.checked[name][row] and not self.kept_at_ends[name][row])

    def not_checked(self, row: int = 0) -> tuple[str, ...]:
        """Limits that were not checked."""
        return tuple(name for name in ORDER[1:] if not self.checked[name][row])

    def missing(self, name: str, row: int = 0) -> tuple[str, ...]:
        """Inputs that a limit (or the target) lacks; none when it has what it needs."""
        if name == "target" and not np.isnan(self.selected[row]):
            return ()
        size = self.selected.size
        values = {part: np.broadcast_to(np.asarray(getattr(self.given, part), float), size) for part in NEEDS[name]}
        return tuple(part for part, column in values.items() if np.isnan(column[row]))


def torsion_ceiling(
    fraction: Numbers,
    yield_strength: Numbers,
    thread: Thread,
    thread_friction: Numbers,
    *,
    plus: Numbers = 0.0,
    torsion: str = "VDI 2230",
) -> Numbers:
    """Preload to aim at so that stress with torsion stays within a fraction of yield at the high side of the range. [N]

    `plus`: how far the preload may rise above the one aimed at, as a fraction of it (`scatter.Spread.plus`);
    `torsion` as in `torque.combined_stress`. Friction is the nominal one on both sides: on the high side of a torque
    it is lower and twists less, so this errs low.

    >>> from calc.hardware.threads import parse
    >>> round(float(torsion_ceiling(0.9, 640e6, parse("M16"), 0.12)) / 1000, 1)
    80.9
    """
    once = combined_stress(1.0, thread, thread_friction, torsion=torsion)
    return fraction * yield_strength / once / (1 + np.asarray(plus))


def _values(given: Mapping[str, Floats], area: Floats, load_kept: Floats) -> dict[str, Floats]:
    """Every limit as a stress on the area, NaN where an input is missing."""
    share = given["gasket_area"] / (given["studs"] * area)
    end_load = np.pi / 4 * given["pressure"] * given["gasket_inside_diameter"] ** 2
    per_joint = given["studs"] * area
    return {
        "target": np.where(
            np.isnan(given["target_stress"]), given["target_gasket_stress"] * share, given["target_stress"]
        ),
        "stud_maximum": given["stud_maximum"],
        "stud_minimum": given["stud_minimum"],
        "flange_limit": given["flange_limit"],
        "gasket_seating": given["gasket_seating"] * share,
        "gasket_operating": (given["gasket_operating"] * given["gasket_area"] + end_load) / (load_kept * per_joint),
        "gasket_maximum": given["gasket_maximum"] * share,
        "flange_rotation": given["flange_limit"] * given["rotation_limit"] / given["flange_rotation"],
        "stud_torsion": given["torsion_preload"] / area,
        "design_operating": given["design_operating_load"] / per_joint,
        "design_seating": given["design_seating_load"] / per_joint,
    }


def _within(name: str, stress: Floats, value: Floats) -> NDArray[np.bool_]:
    """Whether a stress keeps a limit, a last bit of rounding forgiven; never where either is missing."""
    if name in CEILINGS:
        return np.asarray(stress <= value * (1 + 1e-12))
    return np.asarray(stress >= value * (1 - 1e-12))


def limits(
    given: Given,
    area: Numbers,
    *,
    minus: Numbers = 0.0,
    plus: Numbers = 0.0,
    flange_checked: bool | NDArray[np.bool_] = True,
    choose: bool = True,
) -> PreloadLimits:
    """The stud stress of PCC-1 Appendix O and all its limits, for one joint or columns of joints.

    1 target Sgt Ag/(nb Ab); 2 not above Sbmax; 3 not below Sbmin; 4 not above Sfmax: this is the stress chosen. Then
    it is judged: 5 seating SgminS Ag/(nb Ab), 6 operating (SgminO Ag + π/4 Pmax Gid²)/(φg nb Ab), 7 gasket maximum
    Sgmax Ag/(nb Ab), 8 rotation Sfmax θg/θf; and the limits of steps 2 to 4 once more, for a later step may have
    crossed an earlier one.

    `area` Ab [m²]. `minus`, `plus`: the spread of the preload before the gasket relaxes, for `kept_at_ends`.
    `flange_checked` is False for the kinds of flange that no published limit covers (`KINDS_NOT_CHECKED`): a flange
    limit that was given all the same still holds the stress down, but reads "not checked". With `choose` False the
    target stands as it is and is only judged.

    >>> g = Given(studs=12, gasket_area=8e-3, target_gasket_stress=100e6, stud_maximum=200e6, gasket_maximum=300e6)
    >>> found = limits(g, 270e-6)
    >>> round(float(found.selected[0]) / 1e6), str(found.governs[0]), found.missing("gasket_operating")
    (200, 'stud_maximum', ('gasket_operating', 'pressure', 'gasket_inside_diameter'))
    """
    names = [field.name for field in fields(Given)]
    columns = np.broadcast_arrays(
        np.atleast_1d(np.asarray(area, dtype=float)),
        np.asarray(minus, dtype=float),
        np.asarray(plus, dtype=float),
        np.asarray(flange_checked, dtype=bool),
        *(np.asarray(getattr(given, name), dtype=float) for name in names),
    )
    ab, low, high, covered = columns[:4]
    inputs: dict[str, Floats] = dict(zip(names, columns[4:], strict=True))
    assumed = np.isnan(inputs["gasket_load_kept"])
    value = _values(inputs, ab, np.where(assumed, LOAD_KEPT, inputs["gasket_load_kept"]))

    selected = value["target"].copy()
    governs = np.full(selected.shape, "target", dtype="<U16")
    for name in ("stud_maximum", "stud_minimum", "flange_limit") if choose else ():
        moved = selected > value[name] if name in CEILINGS else selected < value[name]
        selected, governs = np.where(moved, value[name], selected), np.where(moved, name, governs)

    checked = {name: ~np.isnan(value[name]) & ~np.isnan(selected) for name in ORDER[1:]}
    for name in ("flange_limit", "flange_rotation"):
        checked[name] &= covered.astype(bool)
    ends = {name: selected * (1 + high if name in CEILINGS else 1 - low) for name in ORDER[1:]}
    kept = {name: checked[name] & _within(name, selected, value[name]) for name in ORDER[1:]}
    at_ends = {name: checked[name] & _within(name, ends[name], value[name]) for name in ORDER[1:]}
    at_ends["stud_torsion"] = kept["stud_torsion"]  # its ceiling was already taken at the high side
    return PreloadLimits(selected, governs, value, checked, kept, at_ends, assumed, given)


def with_ends(judged: PreloadLimits, low: Floats, high: Floats) -> PreloadLimits:
    """The same limits at the ends of a range: floors held against the stress `low`, ceilings against `high`. [Pa]

    >>> g = Given(studs=12, gasket_area=8e-3, target_gasket_stress=100e6, stud_maximum=260e6)
    >>> found = limits(g, 270e-6)
    >>> bool(with_ends(found, np.array([200e6]), np.array([270e6])).kept_at_ends["stud_maximum"][0])
    False
    """
    ends = {name: high if name in CEILINGS else low for name in ORDER[1:]}
    kept = {name: judged.checked[name] & _within(name, ends[name], judged.value[name]) for name in ORDER[1:]}
    return replace(judged, kept_at_ends=kept | {"stud_torsion": judged.kept["stud_torsion"]})


def with_ceilings_of(judged: PreloadLimits, higher: PreloadLimits) -> PreloadLimits:
    """Limits whose floors judge one stress and whose ceilings judge a higher one, which a pass before the last has."""
    by = {name: higher if name in CEILINGS else judged for name in ORDER[1:]}
    kept = {name: each.kept[name] for name, each in by.items()}
    return replace(judged, kept=kept, kept_at_ends={name: each.kept_at_ends[name] for name, each in by.items()})
