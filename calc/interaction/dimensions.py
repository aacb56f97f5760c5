"""Dimensions of a flanged joint as far as elastic interaction needs them, and what is assumed when one is not given."""

import math
from dataclasses import dataclass, replace
from typing import Any

from calc.findings import stop
from calc.hardware.threads import Thread
from calc.interaction import gasket as gaskets
from calc.interaction.gasket import Gasket, Relaxation
from calc.interaction.shell import Shell
from calc.quantities import INCH


@dataclass(frozen=True)
class Assumed:
    """A number nobody gave: its name, kind of unit, value, likely range and where it comes from (SI)."""

    name: str
    kind: str
    value: float
    low: float
    high: float
    basis: str


DEFAULTS = {
    row.name: row
    for row in (
        Assumed("flange_modulus", "stress", 200e9, 190e9, 210e9, "carbon steel at ambient, handbook, from memory"),
        Assumed("stud_modulus", "stress", 205e9, 190e9, 212e9, "alloy steel at ambient, handbook, from memory"),
        Assumed("hole_clearance", "length", INCH / 8, 0.0015, 0.004, "ASME B16.5 hole = stud + 1/8 in"),
        Assumed("hub_share", "number", 0.65, 0.0, 0.85, "hub at the ring over thickness; judgement, no source"),
        Assumed("wall_share", "number", 0.4, 0.25, 0.7, "wall of the pipe over hub; judgement, no source"),
        Assumed("hub_length_share", "number", 1.2, 0.5, 1.8, "hub length over thickness; judgement, no source"),
        Assumed("shank_length", "length", 0.0, 0.0, 0.5, "stud threaded from end to end; common practice, no source"),
        Assumed("bearing_share", "number", 1.5, 1.4, 1.7, "heavy hex nut, bearing diameter over stud; from memory"),
        Assumed("relaxation", "percent", 1.0, 0.8, 1.0, "gasket of one's own, no factor stated: nothing relaxes"),
        Assumed("snug", "percent", 0.05, 0.02, 0.2, "share of the target after alignment; judgement, no source"),
        Assumed("stud_scatter", "percent", 0.08, 0.04, 0.15, "nut factor from stud to stud; judgement, no source"),
        Assumed("shot_scatter", "percent", 0.05, 0.02, 0.1, "nut factor from pull to pull; judgement, no source"),
        Assumed("joint_scatter", "percent", 0.06, 0.03, 0.15, "nut factor from joint to joint; judgement, no source"),
        Assumed("wrench_bias", "percent", 0.02, 0.01, 0.04, "wrench and gauge, all pulls alike; judgement, no source"),
        Assumed("wrench_repeat", "percent", 0.01, 0.005, 0.02, "wrench from pull to pull; judgement, no source"),
    )
}
"""What is assumed, each with a range: shown beside every result. Scatter is a coefficient of variation."""


@dataclass(frozen=True)
class Dimensions:
    """A joint of two like flanges (or one on a rigid mate) with its studs and gasket inside the bolt circle.

    Needed: `studs`; `thread`; `grip` between the nut faces; `bolt_circle`; `outside_diameter`, `inside_diameter` and
    `thickness` of the flange ring; mean `gasket_diameter` and `gasket_width` of contact; `gasket`, a kind of
    `gasket.kinds()` or a `Gasket` of one's own. The rest has defaults: None is filled in by `complete`.

    Behind the ring: `shell_wall` of the pipe, 0 for a loose ring; a hub that narrows from `hub_thickness` at the ring
    to that wall over `hub_length`, 0 for none. A wall stated alone is a pipe without hub. The pipe is taken as long as
    its bore, its far end free. `matched` is False for a rigid mate, with `grip` to the first engaged thread; `stations`
    of the gasket per stud. All lengths [m], moduli [Pa].
    """

    studs: int
    thread: Thread
    grip: float
    bolt_circle: float
    outside_diameter: float
    inside_diameter: float
    thickness: float
    gasket_diameter: float
    gasket_width: float
    gasket: str | Gasket
    hole_diameter: float | None = None
    shell_wall: float | None = None
    hub_thickness: float | None = None
    hub_length: float | None = None
    shank_length: float | None = None
    shank_diameter: float | None = None
    flange_modulus: float | None = None
    stud_modulus: float | None = None
    relaxation: Relaxation | None = None
    matched: bool = True
    stations: int = 4

    @property
    def law(self) -> Gasket:
        """The gasket's law."""
        return self.gasket if isinstance(self.gasket, Gasket) else gaskets.kind(self.gasket).law

    @property
    def gasket_area(self) -> float:
        """Contact area of the gasket. [m²]"""
        return math.pi * self.gasket_diameter * self.gasket_width

    @property
    def shell(self) -> Shell | None:
        """Hub and pipe of a joint that `complete` has filled in; None for a loose ring."""
        if not self.shell_wall:
            return None
        thick, length = self.hub_thickness or self.shell_wall, self.hub_length or 0.0
        return Shell(thick, self.shell_wall, length, self.inside_diameter, self.inside_diameter)


def complete(given: Dimensions) -> tuple[Dimensions, tuple[Assumed, ...]]:
    """The dimensions with every blank filled in, and what was assumed for it; checked.

    Raises InputError: `gasket_kind_unknown`, `too_few_studs`, `not_positive`, `out_of_range`, `inside_not_smaller`,
    `bolt_circle_outside_ring`, `studs_overlap`, `gasket_outside_ring`, `gasket_under_studs`, `grip_below_flanges`,
    `shank_longer_than_grip`, `shell_too_thick`, `hub_too_thick`, `hub_below_wall`, `hub_under_nuts`, `hub_needs_wall`.
    """
    thread, default = given.thread, {name: row.value for name, row in DEFAULTS.items()}
    hub, of_hub = _hub(given, "value")
    own: dict[str, Any] = {
        "hole_diameter": float(thread.diameter) + default["hole_clearance"],
        "shank_length": default["shank_length"],
        "shank_diameter": float(thread.diameter),
        "flange_modulus": default["flange_modulus"],
        "stud_modulus": default["stud_modulus"],
        "relaxation": gaskets.kind(given.gasket).relaxation if isinstance(given.gasket, str) else Relaxation(1.0),
    }
    row_of = {"hole_diameter": "hole_clearance", "shank_diameter": "shank_length", "relaxation": ""}
    blank = [name for name in own if getattr(given, name) is None]
    if given.shank_length is not None and "shank_diameter" in blank:
        row_of["shank_diameter"] = ""  # a stated shank without a diameter has the nominal one
    full = replace(given, **{name: own[name] for name in blank}, **hub)
    _check(full)
    rows = dict.fromkeys(row_of.get(name, name) for name in blank)
    assumed = [DEFAULTS[name] for name in (*rows, *of_hub, "bearing_share") if name]
    if isinstance(given.gasket, str):
        kind = gaskets.kind(given.gasket)
        law, k = kind.law, kind.spread
        back = law.e0 + law.k1 * law.stress
        assumed += [
            Assumed("gasket_stress", "stress", law.stress, law.stress, law.stress, "where the next two hold"),
            Assumed("gasket_closure", "length", law.closure, law.closure / k, law.closure * k, kind.basis),
            Assumed("gasket_unloading_modulus", "stress", back, back / k, back * k, kind.basis),
        ]
        if math.isfinite(law.stop_closure):
            at = law.stop_closure
            assumed.append(
                Assumed("gasket_stop", "length", at, at, at, "closure at which the ring carries; from memory")
            )
        if "relaxation" in blank:
            low, high = kind.relaxation_range
            basis = f"{kind.basis}; left in a rig of 500 kN/mm with a gasket of 49 x 92 mm"
            assumed.append(Assumed("relaxation", "percent", kind.relaxation.left, low, high, basis))
    elif "relaxation" in blank:
        assumed.append(DEFAULTS["relaxation"])
    return full, tuple(assumed)


def ends(given: Dimensions) -> dict[str, tuple[Dimensions, Dimensions]]:
    """What a result hangs on most, each at both ends of its range: "gasket" stiffer and softer, "hub" none and thick.

    A gasket of one's own and a hub that is stated are taken as they are and left out. Refusals as `complete`.
    """
    found = {}
    if isinstance(given.gasket, str):
        kind = gaskets.kind(given.gasket)
        relaxation = given.relaxation or kind.relaxation
        stiff, soft = (
            replace(given, gasket=gaskets.scaled(kind.law, times), relaxation=relaxation)
            for times in (kind.spread, 1 / kind.spread)
        )
        found["gasket"] = stiff, soft
    if _hub(given, "value")[1]:
        found["hub"] = replace(given, **_hub(given, "low")[0]), replace(given, **_hub(given, "high")[0])
    return found


def _hub(given: Dimensions, end: str) -> tuple[dict[str, Any], list[str]]:
    """Wall, hub and its length with the blanks filled in, and the names of what was assumed for it."""
    wall, thick, length = given.shell_wall, given.hub_thickness, given.hub_length
    if wall == 0.0 or (wall is not None and thick is None):
        if wall == 0.0 and thick:
            raise stop("hub_needs_wall", "shell_wall", value=thick)
        if length:
            raise stop("hub_needs_wall", "hub_thickness", value=length)
        return {"shell_wall": wall, "hub_thickness": wall, "hub_length": 0.0}, []
    assumed, share = [], {name: getattr(row, end) for name, row in DEFAULTS.items() if name.endswith("_share")}
    if thick is None:
        thick = min(share["hub_share"] * given.thickness, 0.98 * _room(given))
        assumed.append("hub_share")
    if wall is None:
        wall = share["wall_share"] * thick
        assumed.append("wall_share")
    if length is None:
        length = share["hub_length_share"] * given.thickness if thick > wall else 0.0
        assumed.append("hub_length_share")
    return {"shell_wall": wall, "hub_thickness": thick, "hub_length": length}, assumed


def _room(joint: Dimensions) -> float:
    """Thickest hub that leaves the nuts their bearing. [m]"""
    nut = DEFAULTS["bearing_share"].value * float(joint.thread.diameter)
    return (joint.bolt_circle - joint.inside_diameter - nut) / 2


_POSITIVE = (
    *("grip", "bolt_circle", "outside_diameter", "inside_diameter", "thickness", "gasket_diameter", "gasket_width"),
    *("hole_diameter", "shank_diameter", "flange_modulus", "stud_modulus"),
)


def _check(joint: Dimensions) -> None:
    if joint.studs != int(joint.studs) or joint.studs < 4:
        raise stop("too_few_studs", "studs", value=joint.studs, low=4)
    if joint.stations != int(joint.stations) or not 1 <= joint.stations <= 64:
        raise stop("out_of_range", "stations", value=joint.stations, low=1, high=64)
    for name in _POSITIVE:
        value = getattr(joint, name)
        if not (math.isfinite(value) and value > 0):
            raise stop("not_positive", name, value=value)
    if joint.inside_diameter >= joint.outside_diameter:  # before hub and wall, which are assumed from the two
        raise stop("inside_not_smaller", "inside_diameter", value=joint.inside_diameter, high=joint.outside_diameter)
    for name, low, high in ((name, 0.0, math.inf) for name in ("shell_wall", "hub_thickness", "hub_length",
                                                               "shank_length")):  # fmt: skip
        value = getattr(joint, name)
        if not low <= value <= high or math.isinf(value):
            raise stop("out_of_range", name, value=value, low=low, high=high)
    law = joint.law  # an unknown kind is refused here
    del law

    inside, outside, circle, hole = joint.inside_diameter, joint.outside_diameter, joint.bolt_circle, _hole(joint)
    if circle + hole > outside or circle - hole < inside:
        raise stop("bolt_circle_outside_ring", "bolt_circle", value=circle, low=inside + hole, high=outside - hole)
    spacing = circle * math.sin(math.pi / joint.studs)
    least = max(hole, DEFAULTS["bearing_share"].value * float(joint.thread.diameter))
    if spacing < least:
        raise stop("studs_overlap", "studs", value=joint.studs, spacing=spacing, low=least)
    inner, outer = joint.gasket_diameter - joint.gasket_width, joint.gasket_diameter + joint.gasket_width
    if inner < inside * (1 - 1e-9) or outer > outside * (1 + 1e-9):
        raise stop("gasket_outside_ring", "gasket_diameter", inner=inner, outer=outer, low=inside, high=outside)
    if outer > (circle - hole) * (1 + 1e-9):
        raise stop("gasket_under_studs", "gasket_diameter", outer=outer, high=circle - hole)
    flanges = joint.thickness * (2 if joint.matched else 1)
    if joint.grip < flanges:
        raise stop("grip_below_flanges", "grip", value=joint.grip, low=flanges)
    if (joint.shank_length or 0.0) > joint.grip:
        raise stop("shank_longer_than_grip", "shank_length", value=joint.shank_length, high=joint.grip)
    if (joint.shell_wall or 0.0) > (outside - inside) / 2:
        raise stop("shell_too_thick", "shell_wall", value=joint.shell_wall, high=(outside - inside) / 2)
    hub, wall = joint.hub_thickness or 0.0, joint.shell_wall or 0.0
    if hub < wall * (1 - 1e-9):
        raise stop("hub_below_wall", "hub_thickness", value=hub, low=wall)
    if joint.hub_length:
        if hub > joint.thickness:
            raise stop("hub_too_thick", "hub_thickness", value=hub, high=joint.thickness)
        if hub > _room(joint) * (1 + 1e-9):
            raise stop("hub_under_nuts", "hub_thickness", value=hub, high=_room(joint))


def _hole(joint: Dimensions) -> float:
    assert joint.hole_diameter is not None  # filled in by `complete`
    if joint.hole_diameter <= float(joint.thread.diameter):
        raise stop("hole_below_stud", "hole_diameter", value=joint.hole_diameter, low=float(joint.thread.diameter))
    if joint.hole_diameter >= DEFAULTS["bearing_share"].value * float(joint.thread.diameter):
        high = DEFAULTS["bearing_share"].value * float(joint.thread.diameter)
        raise stop("hole_above_nut", "hole_diameter", value=joint.hole_diameter, high=high)
    return joint.hole_diameter
