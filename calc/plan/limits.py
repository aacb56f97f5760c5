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
from calc.wrench.choice import Candidate

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
class Judged:
    """Limits of a list: `rows` that state an input, the root area [m²] under every stress, `limits`.

    `stress` of the target on that area, which floors judge, and `highest`, which ceilings judge: above it where a pass
    is raised for interaction [Pa]. `facing`: rows whose facing or gasket cannot be used, with the finding that says
    why. `kind`: the kind of flange that no published limit covers, "" elsewhere.
    """

    rows: NDArray[np.bool_]
    area: Floats
    stress: Floats
    highest: Floats
    limits: PreloadLimits
    facing: dict[int, Finding]
    kind: tuple[str, ...]
    stud_ceiling: Floats
    joints: Joints

    def missing(self, name: str, row: int) -> tuple[str, ...]:
        """Columns that a limit lacks in a row."""
        return tuple(part for part in NEEDS[name] if _blank(getattr(self.joints, part), row))


@dataclass(frozen=True, eq=False)
class Bounds(Judged):
    """Limits and range of a list.

    `spread` and `range` (NaN where no scatter is stated), `scatter` its words (kind, low, high, source). `uncertainty`
    of the certificates, as a share, and `gauge`, what the gauges may be off at the setpoint, are in them where the
    friction of a product is (NaN where none is stated).
    """

    spread: Spread
    range: Range
    scatter: tuple[tuple[str, float, float, str] | None, ...]
    uncertainty: Floats
    gauge: Floats


def _blank(column: Floats | tuple[str, ...], row: int) -> bool:
    value = column[row]
    return value == "" if isinstance(value, str) else bool(np.isnan(value))


# --- the limits ------------------------------------------------------------------------------------------------------


def design_loads(joints: Joints) -> tuple[Floats, Floats, dict[int, Finding]]:
    """Operating and seating load of ASME VIII-1 Appendix 2 for the rows that state a facing, NaN elsewhere. [N]

    Third, the rows whose facing or diameters cannot be used, each with the finding that says why. The contact width is
    half the difference of the gasket's diameters; for a ring joint that is the width of the ring.
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
    for row in np.flatnonzero(width <= 0).tolist():
        facts = {"inside": joints.gasket_inside_diameter[row], "outside": joints.gasket_outside_diameter[row]}
        refused[row] = Finding("gasket_diameters", "gasket_inside_diameter", facts)
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
    joints: Joints, nut_factor: Floats, lubricants: Sequence[Lubricant], method: str, uncertainty: Floats,
    gauge: Floats,
) -> tuple[Spread, tuple[tuple[str, float, float, str] | None, ...]]:  # fmt: skip
    """Scatter of every row: low and high of its product in the lubricant table, else a published method if one is set.

    The `uncertainty` of the wrench's certificate and what its `gauge` may be off at the setpoint, shares of it, are put
    together with the product's in quadrature; a published method has wrench and gauge in it.

    Raises InputError `method_unknown`.
    """
    count = len(joints)
    published = scatter.method(method) if method else None
    minus, plus = np.full(count, np.nan), np.full(count, np.nan)
    said: list[tuple[str, float, float, str] | None] = [None] * count
    products = {product.product.casefold(): product for product in lubricants}
    named = {text: products.get(text.casefold()) for text in set(joints.lubricant)}
    known: dict[tuple[str | float, ...], tuple[float, float]] = {}
    rows = zip(joints.lubricant, nut_factor.tolist(), uncertainty.tolist(), gauge.tolist(), strict=True)
    for row, (text, factor, *shares) in enumerate(rows):
        product = named[text]
        if product is not None and product.nut_factor == factor and product.low <= product.high:
            stated = [share for share in shares if share == share]
            key = (product.product, *stated)
            if key not in known:
                own = scatter.from_nut_factors(product.low, product.nut_factor, product.high)
                if stated:
                    own = scatter.quadrature([own, *(Spread(share, share) for share in stated)])
                known[key] = float(own.minus), float(own.plus)
            minus[row], plus[row] = known[key]
            said[row] = (product.product, product.low, product.high, product.source)
        elif published is not None:
            own = published.spread()
            minus[row], plus[row] = float(own.minus), float(own.plus)
            said[row] = (published.method, float(own.minus), float(own.plus), f"{published.source}, {published.basis}")
    return Spread(minus, plus), tuple(said)


def gauge_errors(pulling: Sequence[Sequence[Candidate]], setpoint: Floats) -> Floats:
    """How far the gauges of every row may be off at its setpoint, as a share of it: the largest where several pull.

    `setpoint` has the shape (rows, wrenches) [Pa]. By the gauge's certificate, else by its class, times the end of its
    scale; torque goes as the pressure. NaN where none of a row's gauges states either, and without a wrench.
    """
    found = np.full(len(pulling), np.nan)
    for row, group in enumerate(pulling):
        if not group:
            continue
        shares = [c.gauge.error * c.gauge.range / setpoint[row, i] for i, c in enumerate(group)]
        found[row] = max((share for share in shares if share == share), default=np.nan)
    return found


def judge(
    joints: Joints, thread: threads.Thread, preload: Floats, highest: Floats, yield_strength: Floats, friction: Floats,
    mine: NDArray[np.bool_], found: Findings, settings: PlanSettings,
) -> Judged:  # fmt: skip
    """Limits of the rows that are tightened: beyond a stated ceiling a row stops, the rest are cautions.

    Floors judge `preload`, ceilings `highest`: that of the pass before the last where it is raised for interaction. [N]
    """
    for name in INPUTS:
        range_of(name, getattr(joints, name), mine, found)
    rows = mine & np.any([~np.isnan(getattr(joints, name)) for name in INPUTS], axis=0)
    area = np.asarray(threads.root_area_b11(thread))
    kinds = tuple(uncovered_kind(a, b) for a, b in zip(joints.flange_kind, joints.remarks, strict=True))
    with np.errstate(invalid="ignore"):
        stress, high = preload / area, highest / area
        ceiling = limits.torsion_ceiling(settings.yield_fraction, yield_strength, thread, friction, torsion="elastic")
        given, refused = given_of(joints, np.asarray(ceiling), np.where(rows, stress, np.nan))
        covered = np.array([kind == "" for kind in kinds])
        judged = limits.limits(given, area, flange_checked=covered, choose=False)
        if (high != stress).any():
            raised, _ = given_of(joints, np.asarray(ceiling), np.where(rows, high, np.nan))
            above = limits.limits(raised, area, flange_checked=covered, choose=False)
            judged = limits.with_ceilings_of(judged, above)
    made = Judged(rows, area, stress, high, judged, refused, kinds, np.asarray(ceiling), joints)
    _warn(made, mine & ~found.stopped, found)
    return made


def bounds_of(
    judged: Judged, thread: threads.Thread, preload: Floats, highest: Floats, yield_strength: Floats, friction: Floats,
    nut_factor: Floats, lubricants: Sequence[Lubricant], mine: NDArray[np.bool_], found: Findings,
    settings: PlanSettings, uncertainty: Floats, gauge: Floats,
) -> Bounds:  # fmt: skip
    """The range of the rows that are tightened, by the tools that pull them, and their limits at its ends.

    `preload`, `highest` as in `judge`; `uncertainty` and `gauge` as in `spread_of`.
    """
    joints = judged.joints
    spread, said = spread_of(joints, nut_factor, lubricants, settings.scatter_method, uncertainty, gauge)
    minus, plus = np.asarray(spread.minus), np.asarray(spread.plus)
    with np.errstate(invalid="ignore"):
        low, high = (judged.stress * (1 - np.nan_to_num(minus)), judged.highest * (1 + np.nan_to_num(plus)))
        reach = scatter.preload_range(preload, spread, kept=joints.gasket_load_kept)
        reach = Range(settle(reach.low), preload, settle(reach.high), settle(reach.low_kept))
        high_stress = torque.combined_stress(highest * (1 + plus), thread, friction)
    parts = vars(judged) | {"limits": limits.with_ends(judged.limits, low, high)}
    bounds = Bounds(**parts, spread=spread, range=reach, scatter=said, uncertainty=uncertainty, gauge=gauge)
    known = mine & ~found.stopped & ~np.isnan(plus)
    _warn_at_ends(bounds, low, high, settle(high_stress), settings.yield_fraction * yield_strength, known, found)
    return bounds


def _warn(made: Judged, mine: NDArray[np.bool_], found: Findings) -> None:
    """Stops and cautions of the limits at the target itself."""
    judged = made.limits
    for name in ORDER[1:]:
        if name == "stud_torsion":
            continue
        passed = mine & made.rows & judged.checked[name] & ~judged.kept[name]
        ceiling_too = name in CEILINGS
        found.each(passed & ceiling_too, "limit_above", name, reached=made.highest, value=judged.value[name])
        found.each(
            passed & (not ceiling_too), "limit_below", name, CAUTION, reached=made.stress, value=judged.value[name]
        )
    for name, key in _KEYS.items():
        begun = mine & made.rows & ~judged.checked[name] & ~np.isnan(getattr(made.joints, key))
        for row in np.flatnonzero(begun):
            if lacks := made.missing(name, int(row)):
                found.add(Finding("limit_not_checked", name, {"needs": lacks}, CAUTION, int(row)))
    for row in np.flatnonzero(mine & made.rows):
        if row in made.facing:
            fault = made.facing[int(row)]
            found.add(Finding(fault.code, fault.quantity, fault.facts, CAUTION, int(row)))
    for row in np.flatnonzero(mine & np.array([kind != "" for kind in made.kind])):
        found.add(Finding("flange_not_covered", "flange_limit", {"kind": made.kind[row]}, CAUTION, int(row)))


def _warn_at_ends(
    bounds: Bounds, low: Floats, high: Floats, high_stress: Floats, ceiling: Floats, known: NDArray[np.bool_],
    found: Findings,
) -> None:  # fmt: skip
    """Cautions at the ends of the range, for the rows that go on and have one."""
    judged = bounds.limits
    with np.errstate(invalid="ignore"):
        passes = known & (high_stress > ceiling)
    found.each(passes, "range_above_yield", "combined_stress", CAUTION, reached=high_stress, value=ceiling)
    for name in (*CEILINGS, *FLOORS):
        if name == "stud_torsion":
            continue
        at_end = known & bounds.rows & judged.kept[name] & ~judged.kept_at_ends[name]
        code, reached = ("range_above", high) if name in CEILINGS else ("range_below", low)
        found.each(at_end, code, name, CAUTION, reached=reached, value=judged.value[name])
