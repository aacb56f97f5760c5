"""Floors, ceilings and range of every row of a list, from what its row states; nothing is taken that is not stated."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from calc.findings import CAUTION, Finding, InputError
from calc.hardware import gaskets, threads
from calc.plan.joints import Floats, Joints, Lubricant, PlanSettings
from calc.plan.resolve import Findings, range_of
from calc.preload import limits, scatter, torque
from calc.preload.limits import CEILINGS, FLOORS, KINDS_NOT_CHECKED, ORDER, Given, PreloadLimits
from calc.preload.scatter import Range, Spread
from calc.quantities import settle

INPUTS = (
    "gasket_area", "gasket_seating", "gasket_operating", "gasket_maximum", "gasket_m", "gasket_y",
    "gasket_inside_diameter", "gasket_outside_diameter", "gasket_load_kept", "design_pressure", "stud_maximum",
    "stud_minimum", "flange_limit", "flange_rotation", "rotation_limit",
)  # fmt: skip
"""Columns of a list by which its limits are judged; a row that states none of them has no limits but the stud's."""

_DESIGN = ("gasket_outside_diameter", "gasket_inside_diameter", "facing", "studs")
NEEDS = {
    **limits.NEEDS,
    "gasket_operating": ("gasket_operating", "gasket_area", "studs", "design_pressure", "gasket_inside_diameter"),
    "stud_torsion": ("grade",),
    "design_operating": ("gasket_m", "design_pressure", *_DESIGN),
    "design_seating": ("gasket_y", *_DESIGN),
}
"""What each limit needs, as the columns of a list are called."""


_KEYS = {
    "gasket_seating": "gasket_seating", "gasket_operating": "gasket_operating", "gasket_maximum": "gasket_maximum",
    "flange_rotation": "flange_rotation", "design_operating": "gasket_m", "design_seating": "gasket_y",
}  # fmt: skip
"""The column that shows that a limit is meant: where it is stated and others are not, the row says so."""


@dataclass(frozen=True, eq=False)
class Bounds:
    """Limits and range of a list: `rows` that state an input, the root area [m²] under every stress, `limits`.

    `highest`: stress on that area which ceilings judge, above the target's where a pass is raised for interaction [Pa].

    `spread` and `range` (NaN where no scatter is stated), `scatter` its words (kind, low, high, source). `uncertainty`
    of the certificates, as a share, is in them where the friction of a product is (NaN where none is stated). `facing`:
    rows whose facing cannot be used, with the finding that says why. `kind`: the kind of flange that no published
    limit covers, "" elsewhere.
    """

    rows: NDArray[np.bool_]
    area: Floats
    highest: Floats
    limits: PreloadLimits
    spread: Spread
    range: Range
    scatter: tuple[tuple[str, float, float, str] | None, ...]
    uncertainty: Floats
    facing: dict[int, Finding]
    kind: tuple[str, ...]
    stud_ceiling: Floats
    joints: Joints

    def missing(self, name: str, row: int) -> tuple[str, ...]:
        """Columns that a limit lacks in a row."""
        return tuple(part for part in NEEDS[name] if _blank(getattr(self.joints, part), row))


def _blank(column: Floats | tuple[str, ...], row: int) -> bool:
    value = column[row]
    return value == "" if isinstance(value, str) else bool(np.isnan(value))


# --- the limits ------------------------------------------------------------------------------------------------------


def design_loads(joints: Joints) -> tuple[Floats, Floats, dict[int, Finding]]:
    """Operating and seating load of ASME VIII-1 Appendix 2 for the rows that state a facing, NaN elsewhere. [N]

    The contact width is half the difference of the gasket's diameters; for a ring joint that is the width of the ring.
    """
    width = (joints.gasket_outside_diameter - joints.gasket_inside_diameter) / 2
    basic = np.full(len(joints), np.nan)
    refused: dict[int, Finding] = {}
    for name in sorted(set(joints.facing) - {""}):
        rows = np.array([facing == name for facing in joints.facing])
        try:
            basic[rows] = gaskets.basic_width(name, width[rows])
        except InputError as error:
            refused |= dict.fromkeys(np.flatnonzero(rows).tolist(), error.finding)
    with np.errstate(invalid="ignore"):
        loads = gaskets.design_loads(
            joints.gasket_outside_diameter, joints.gasket_inside_diameter, joints.design_pressure, joints.gasket_m,
            joints.gasket_y, basic=np.where(width > 0, basic, np.nan),
        )  # fmt: skip
    return np.asarray(loads.operating), np.asarray(loads.seating), refused


@lru_cache(maxsize=4096)
def uncovered_kind(*texts: str) -> str:
    """The kind of flange in some texts that no published limit covers, "" where none is named.

    >>> uncovered_kind("cast-iron, flat face"), uncovered_kind("weld neck")
    ('cast iron', '')
    """
    words = " ".join(" ".join(texts).lower().replace("-", " ").split())
    return next((kind for kind in KINDS_NOT_CHECKED if kind in words), "")


def given_of(joints: Joints, stud_ceiling: Floats, target_stress: Floats) -> tuple[Given, dict[int, Finding]]:
    """What the rows of a list state, as `limits.limits` takes it. `stud_ceiling`: preload of one stud [N]."""
    operating, seating, refused = design_loads(joints)
    same = {name: getattr(joints, name) for name in INPUTS if name in Given.__dataclass_fields__}
    given = Given(
        studs=joints.studs, target_gasket_stress=joints.target_gasket_stress, target_stress=target_stress,
        pressure=joints.design_pressure, torsion_preload=stud_ceiling, design_operating_load=operating,
        design_seating_load=seating, **same,
    )  # fmt: skip
    return given, refused


# --- the range -------------------------------------------------------------------------------------------------------


def spread_of(
    joints: Joints, nut_factor: Floats, lubricants: Sequence[Lubricant], method: str, uncertainty: Floats
) -> tuple[Spread, tuple[tuple[str, float, float, str] | None, ...]]:
    """Scatter of every row: low and high of its product in the lubricant table, else a published method if one is set.

    The `uncertainty` of the wrench's certificate, a share, is put together with the product's in quadrature; a
    published method has the wrench in it.

    Raises InputError `method_unknown`.
    """
    count = len(joints)
    published = scatter.method(method) if method else None
    minus, plus = np.full(count, np.nan), np.full(count, np.nan)
    said: list[tuple[str, float, float, str] | None] = [None] * count
    products = {product.product.casefold(): product for product in lubricants}
    for row, text in enumerate(joints.lubricant):
        product = products.get(text.casefold())
        if product is not None and product.nut_factor == nut_factor[row] and product.low <= product.high:
            own = scatter.from_nut_factors(product.low, product.nut_factor, product.high)
            if not np.isnan(uncertainty[row]):
                share = float(uncertainty[row])
                own = scatter.quadrature([own, Spread(share, share)])
            minus[row], plus[row] = float(own.minus), float(own.plus)
            said[row] = (product.product, product.low, product.high, product.source)
        elif published is not None:
            own = published.spread()
            minus[row], plus[row] = float(own.minus), float(own.plus)
            said[row] = (published.method, float(own.minus), float(own.plus), f"{published.source}, {published.basis}")
    return Spread(minus, plus), tuple(said)


def bounds_of(
    joints: Joints, thread: threads.Thread, preload: Floats, highest: Floats, yield_strength: Floats, friction: Floats,
    nut_factor: Floats, lubricants: Sequence[Lubricant], mine: NDArray[np.bool_], found: Findings,
    settings: PlanSettings, uncertainty: Floats,
) -> Bounds:  # fmt: skip
    """Limits and range of the rows that are tightened: beyond a stated ceiling a row stops, the rest are cautions.

    Floors judge `preload`, ceilings `highest`: that of the pass before the last where it is raised for interaction. [N]
    """
    for name in INPUTS:
        range_of(name, getattr(joints, name), mine, found)
    rows = mine & np.any([~np.isnan(getattr(joints, name)) for name in INPUTS], axis=0)
    area = np.asarray(threads.root_area_b11(thread))
    spread, said = spread_of(joints, nut_factor, lubricants, settings.scatter_method, uncertainty)
    kinds = tuple(uncovered_kind(a, b) for a, b in zip(joints.flange_kind, joints.remarks, strict=True))
    with np.errstate(invalid="ignore"):
        stress, high = preload / area, highest / area
        ceiling = limits.torsion_ceiling(settings.yield_fraction, yield_strength, thread, friction, torsion="elastic")
        given, refused = given_of(joints, np.asarray(ceiling), np.where(rows, stress, np.nan))
        ends = {"minus": np.nan_to_num(np.asarray(spread.minus)), "plus": np.nan_to_num(np.asarray(spread.plus))}
        covered = np.array([kind == "" for kind in kinds])
        judged = limits.limits(given, area, **ends, flange_checked=covered, choose=False)
        if (high != stress).any():
            raised, _ = given_of(joints, np.asarray(ceiling), np.where(rows, high, np.nan))
            above = limits.limits(raised, area, **ends, flange_checked=covered, choose=False)
            judged = limits.with_ceilings_of(judged, above)
        reach = scatter.preload_range(preload, spread, kept=joints.gasket_load_kept)
        reach = Range(settle(reach.low), preload, settle(reach.high), settle(reach.low_kept))
        high_stress = torque.combined_stress(highest * (1 + np.asarray(spread.plus)), thread, friction)
    bounds = Bounds(
        rows, area, high, judged, spread, reach, said, uncertainty, refused, kinds, np.asarray(ceiling), joints
    )
    _warn(bounds, stress, high, settle(high_stress), settings.yield_fraction * yield_strength, mine, found)
    return bounds


def _warn(
    bounds: Bounds, stress: Floats, highest: Floats, high_stress: Floats, ceiling: Floats, mine: NDArray[np.bool_],
    found: Findings,
) -> None:  # fmt: skip
    """Stops and cautions of the limits; those at the ends of the range only where the row goes on."""
    judged, known = bounds.limits, ~np.isnan(np.asarray(bounds.spread.plus))
    low = stress * (1 - np.asarray(bounds.spread.minus))
    high = highest * (1 + np.asarray(bounds.spread.plus))
    mine = mine & ~found.stopped
    for name in ORDER[1:]:
        if name == "stud_torsion":
            continue
        passed = mine & bounds.rows & judged.checked[name] & ~judged.kept[name]
        ceiling_too = name in CEILINGS
        found.each(passed & ceiling_too, "limit_above", name, reached=highest, value=judged.value[name])
        found.each(passed & (not ceiling_too), "limit_below", name, CAUTION, reached=stress, value=judged.value[name])
    with np.errstate(invalid="ignore"):
        passes = mine & known & (high_stress > ceiling)
    found.each(passes, "range_above_yield", "combined_stress", CAUTION, reached=high_stress, value=ceiling)
    for name in (*CEILINGS, *FLOORS):
        if name == "stud_torsion":
            continue
        at_end = mine & known & bounds.rows & judged.kept[name] & ~judged.kept_at_ends[name]
        code, reached = ("range_above", high) if name in CEILINGS else ("range_below", low)
        found.each(at_end, code, name, CAUTION, reached=reached, value=judged.value[name])
    for name, key in _KEYS.items():
        begun = mine & bounds.rows & ~judged.checked[name] & ~np.isnan(getattr(bounds.joints, key))
        for row in np.flatnonzero(begun):
            if lacks := bounds.missing(name, int(row)):
                found.add(Finding("limit_not_checked", name, {"needs": lacks}, CAUTION, int(row)))
    for row in np.flatnonzero(mine & bounds.rows):
        if row in bounds.facing:
            fault = bounds.facing[int(row)]
            found.add(Finding(fault.code, fault.quantity, fault.facts, CAUTION, int(row)))
    for row in np.flatnonzero(mine & np.array([kind != "" for kind in bounds.kind])):
        found.add(Finding("flange_not_covered", "flange_limit", {"kind": bounds.kind[row]}, CAUTION, int(row)))
