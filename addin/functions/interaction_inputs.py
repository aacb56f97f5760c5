"""Inputs of a joint, as labels and values or as a table of interaction -> a joint that can be tightened."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from addin.cells.numbers import Cell, error_text, is_blank, plain_text, typed_number
from addin.functions.interaction_gasket import GASKET_LABELS, OWN_LAW, law_of, relaxation_of
from addin.functions.labelled import Label, read_inputs
from addin.functions.steps import step
from calc.findings import stop
from calc.hardware import flanges, threads
from calc.interaction.dimensions import DEFAULTS, Assumed, Dimensions
from calc.interaction.elastic import ElasticJoint
from calc.interaction.events import Joint, Limits, Moves
from calc.interaction.gasket import Gasket
from calc.interaction.matrix import MatrixJoint
from calc.interaction.samples import Scatter
from calc.preload import stretch
from calc.procedure import order
from calc.units import System
from calc.wrench import duration

SAMPLES, SEED = 10_000, 1
MOST_STUDS = 128
"""Beyond it one call takes minutes, too long for a cell."""

LABELS = {
    "studs": Label("studs", "studs", "n"),
    "thread": Label("thread", "thread"),
    "grip": Label("grip", "grip", "Lg"),
    "bolt_circle": Label("bolt circle", "bolt_circle", "C"),
    "outside_diameter": Label("flange outside diameter", "flange_outside_diameter", "A"),
    "inside_diameter": Label("flange inside diameter", "flange_inside_diameter", "B"),
    "thickness": Label("flange thickness", "flange_thickness", "t"),
    "gasket_diameter": Label("gasket mean diameter", "gasket_diameter", "G"),
    "gasket_width": Label("gasket width", "gasket_width", "N"),
    "gasket_inside": Label("gasket inside diameter", "gasket_inside_diameter", "ID"),
    "gasket_outside": Label("gasket outside diameter", "gasket_outside_diameter", "OD"),
    "hole_diameter": Label("hole diameter", "hole_diameter", "d5"),
    **GASKET_LABELS,
    "shell_wall": Label("shell wall", "shell_wall", "g0"),
    "hub_thickness": Label("hub thickness", "hub_thickness", "g1"),
    "hub_length": Label("hub length", "hub_length", "h"),
    "welding_neck": Label("welding neck", "words"),
    "loose_ring": Label("loose ring", "words"),
    "mate": Label("mate", "words"),
    "shank_length": Label("shank length", "shank_length", "ls"),
    "shank_diameter": Label("shank diameter", "shank_diameter", "ds"),
    "flange_modulus": Label("flange modulus", "modulus", "EF"),
    "stud_modulus": Label("stud modulus", "modulus", "EB"),
    "stud_maximum": Label("stud maximum", "stud_maximum", "Sbmax"),
    "flange_limit": Label("flange limit", "flange_limit", "Sfmax"),
    "gasket_maximum": Label("gasket maximum", "gasket_maximum", "Sgmax"),
    "gasket_area": Label("gasket area", "gasket_area", "Ag"),
    "snug": Label("snug", "snug"),
    "break_away": Label("break-away", "break_away"),
    "order": Label("order", "words"),
    "rounds": Label("circular passes", "circular_passes"),
    "stud_scatter": Label("friction stud to stud", "stud_scatter"),
    "shot_scatter": Label("friction pull to pull", "shot_scatter"),
    "joint_scatter": Label("friction joint to joint", "joint_scatter"),
    "wrench_bias": Label("wrench all pulls alike", "wrench_bias_scatter"),
    "wrench_repeat": Label("wrench pull to pull", "wrench_repeat_scatter"),
    "stroke_angle": Label("stroke angle", "stroke_angle"),
    "oil_per_stroke": Label("oil per stroke", "oil_per_stroke"),
    "pump_flow": Label("pump flow", "pump_flow"),
    "samples": Label("samples", "samples"),
    "seed": Label("seed", "seed"),
}
"""Labels that the inputs of these functions may have."""

NEEDED = ("studs", "thread", "grip", "bolt_circle", "outside_diameter", "inside_diameter", "thickness")
_OPTIONAL = ("hole_diameter", "shank_length", "shank_diameter", "flange_modulus", "stud_modulus", "hub_thickness",
             "hub_length")  # fmt: skip
_SCATTER = ("stud_scatter", "shot_scatter", "joint_scatter", "wrench_bias", "wrench_repeat")
_STROKES = ("stroke_angle", "oil_per_stroke", "pump_flow")
_WITH_TABLE = ("studs", "thread", "grip", *_STROKES,
               "stud_maximum", "flange_limit", "gasket_maximum", "gasket_area", "snug", "break_away",
               "order", "rounds", "samples", "seed", *_SCATTER)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Case:
    """A joint ready to be tightened, with everything a plan needs besides its target.

    `rounds`: circular passes in place of the scheme's own number, None where not stated. `assumed` stands beside every
    result, `scatter_assumed` beside those with scatter. `dimensions` as completed and `stated` as given are None for a
    joint from a table, `strokes` where nothing is stated of the wrench. `said`: further lines for the user.
    """

    joint: Joint
    limits: Limits | None
    snug: float
    break_away: float
    order: str
    rounds: int | None
    scatter: Scatter
    samples: int
    seed: int
    assumed: tuple[Assumed, ...]
    scatter_assumed: tuple[Assumed, ...]
    dimensions: Dimensions | None
    stated: Dimensions | None
    strokes: "Strokes | None"
    said: tuple[str, ...]

    @property
    def studs(self) -> int:
        """Stud count."""
        return self.joint.studs

    def cross(self, at_once: float) -> Moves:
        """Moves of the cross passes: the stated order, or the one for the stud count."""
        together = int(at_once)
        return order.given(self.order, self.studs, together) if self.order else order.cross(self.studs, together)

    def circular(self, at_once: float) -> Moves:
        """Moves of a circular pass."""
        return order.circular(self.studs, int(at_once))


@dataclass(frozen=True)
class Strokes:
    """What a wrench sheet states of its strokes, with the stud it turns: angle [rad], time of a stroke [s]."""

    angle: float
    time: float
    thread: threads.Thread
    grip: float

    def seconds(self, preload: float, studs: int, fractions: Sequence[float], at_once: int) -> float:
        """Time of a joint through passes of these shares of the torque. [s]"""
        length = stretch.effective_length(self.grip, self.thread)
        turn = stretch.nut_turn(preload, self.thread, length)
        found = duration.joint_duration(
            turn, studs, fractions, stroke_angle=self.angle, stroke_time=self.time, at_once=at_once
        )
        return float(found.total)


def read_case(inputs: Sequence[Sequence[Cell]], units: System, table: Sequence[Sequence[Cell]] | None) -> Case:
    """The joint that the inputs describe, or that a table of interaction stands for.

    Raises InputError as `read_inputs`, `dimensions.complete` and `matrix.check_table` do; `inputs_needed`,
    `inputs_contradict`, `word_unknown`, `studs_many`, `gasket_area_needed`.
    """
    given = read_inputs(inputs, LABELS, units)
    if table is None or all(is_blank(cell) for row in table for cell in row):
        return case_of_dimensions(given, units)
    return _case_of_table(given, table)


def case_of_dimensions(given: dict[str, Any], units: System | None = None) -> Case:
    """The joint from its dimensions; `given` by the names of `LABELS`, in SI; `units` of a gasket's own curve."""
    given, of_neck = _with_neck(given)
    law, relaxation = law_of(given, units), relaxation_of(given)
    diameter, width = _contact(given)
    _few_enough(given["studs"])
    wall = given.get("shell_wall")
    if _choice(given, "loose_ring", ("yes", "no"), "no") == "yes":
        if wall is not None:
            raise stop("inputs_contradict", "inputs", names=(_text("loose_ring"), _text("shell_wall")))
        wall = 0.0
    elif wall is not None and "hub_length" in given and "hub_thickness" not in given:
        raise stop("inputs_needed", "inputs", needs=(_text("hub_thickness"),))
    stated: dict[str, Any] = {name: given.get(name) for name in (*NEEDED, *_OPTIONAL)}
    stated |= {"studs": int(given["studs"]), "shell_wall": wall, "gasket": law, "relaxation": relaxation}
    stated |= {"gasket_diameter": diameter, "gasket_width": width}
    stated["matched"] = _choice(given, "mate", ("like flange", "rigid"), "like flange") == "like flange"
    dimensions = Dimensions(**stated)
    joint = ElasticJoint(dimensions)
    step("contact area of the gasket", "Ag", joint.dimensions.gasket_area, "area", "π G N")
    for name in ("hub_thickness", "shell_wall", "hub_length"):
        step(_text(name), LABELS[name].symbol, getattr(joint.dimensions, name) or 0.0, "length",
             source="given or assumed")  # fmt: skip
    formula = "1/k = (ls/ds² + le/de² + 0.8/d) 4/(π EB) + flange under the nuts"
    stiffness = joint.stud_stiffness * 1e-3
    step("stiffness of a stud, force per mm", "k", stiffness, "force", formula, "EN 1591-1 (from memory)")
    said = of_neck
    if isinstance(law, Gasket):
        said.append("Gasket as given: straight lines on loading, one slope on unloading; no band of its own.")
    if "gasket_area" in given:
        said.append(f"Not used with dimensions: {_text('gasket_area')}; that of mean diameter and width is taken.")
    return replace(_case(given, joint, joint.assumed, said), dimensions=joint.dimensions, stated=dimensions)


_NECK = re.compile(
    r"(?:NPS\s*)?(?P<size>(?:DN\s*)?\d[\d\s./-]*?)\s*(?:\"|in\b)?[\s,/x-]+(?:class|cl\.?)?\s*(?P<rating>\d{3,4})\s*(?:#|lbs?)?",
    re.IGNORECASE,
)
_OWN_HUB = ("shell_wall", "hub_thickness", "hub_length")
RING = 0.1
"""Share by which the stated thickness may differ from that of the standard flange before it is said. Judgement."""


def _with_neck(given: dict[str, Any]) -> tuple[dict[str, Any], list[str]]:
    """The inputs with wall and hub of the standard welding-neck flange they name ("NPS 8 class 300"), and what is said.

    Raises InputError `welding_neck_unknown`, `inputs_contradict`, `neck_bore`, and those of `flanges.welding_neck`.
    """
    if "welding_neck" not in given:
        return given, []
    text = given["welding_neck"]
    match = _NECK.fullmatch(text.strip())
    if match is None:
        raise stop("welding_neck_unknown", "inputs", text=text)
    if own := [name for name in (*_OWN_HUB, "loose_ring") if name in given]:
        raise stop("inputs_contradict", "inputs", names=(_text("welding_neck"), *map(_text, own)))
    neck = flanges.welding_neck(match["size"], match["rating"])
    bore = given.get("inside_diameter", 0.0)
    if not 0.5 * neck.neck < bore < neck.neck:
        raise stop("neck_bore", "flange_inside_diameter", value=bore, low=0.5 * neck.neck, high=neck.neck)
    wall, thick, length = (neck.neck - bore) / 2, (neck.hub - bore) / 2, neck.length - neck.thickness
    name = f"NPS {neck.nps} class {neck.pressure_class}"
    said = [f"Hub of a standard welding-neck flange {name} with this bore: {neck.source}, {neck.basis}. A slip-on,"
            " lapped or blind flange has another hub or none."]  # fmt: skip
    if abs(given.get("thickness", neck.thickness) / neck.thickness - 1) > RING:
        said.append(f"The thickness stated is not that of {name}, {neck.thickness * 1e3:.1f} mm: check size and class.")
    return {**given, "shell_wall": wall, "hub_thickness": thick, "hub_length": length}, said


_MEASURED = (
    "Interaction from the table given; one measured in a first pass on a soft gasket does not hold for later passes:"
    " measure from half preload upwards."
)


def _case_of_table(given: dict[str, Any], table: Sequence[Sequence[Cell]]) -> Case:
    studs = int(given["studs"]) if "studs" in given else None
    joint = MatrixJoint(read_interaction(table), studs, given.get("gasket_area"))
    _few_enough(joint.studs)
    unused = [_text(name) for name in given if name not in _WITH_TABLE]
    said = [_MEASURED]
    if unused:
        said.append(f"Not used with a table: {', '.join(unused)}.")
    return _case(given, joint, (), said)


def _case(given: dict[str, Any], joint: Joint, assumed: Sequence[Assumed], said: Sequence[str]) -> Case:
    scatter = {name: given.get(name, DEFAULTS[name].value) for name in _SCATTER}
    own = {name.removesuffix("_scatter"): value for name, value in scatter.items()}
    rounds = given.get("rounds")
    return Case(
        joint=joint,
        limits=_limits(given),
        snug=given.get("snug", DEFAULTS["snug"].value),
        break_away=given.get("break_away", 0.0),
        order=given.get("order", ""),
        rounds=None if rounds is None else int(rounds),
        scatter=Scatter(**own),
        samples=int(given.get("samples", SAMPLES)),
        seed=int(given.get("seed", SEED)),
        assumed=(*assumed, *(() if "snug" in given else (DEFAULTS["snug"],))),
        scatter_assumed=tuple(DEFAULTS[name] for name in _SCATTER if name not in given),
        dimensions=None,
        stated=None,
        strokes=_strokes(given),
        said=tuple(said),
    )


def _strokes(given: dict[str, Any]) -> Strokes | None:
    """Time of a stroke where stroke angle, oil and flow are stated, all three or none."""
    stated = [name for name in _STROKES if name in given]
    if not stated:
        return None
    if missing := [name for name in (*_STROKES, "thread", "grip") if name not in given]:
        raise stop("inputs_needed", "inputs", needs=tuple(_text(name) for name in missing))
    oil, flow = given["oil_per_stroke"], given["pump_flow"]
    seconds = duration.stroke_time(oil, oil, flow)
    step(
        "time of one stroke and its return", "ts", seconds, "time", "2 V / Q + 2 x 1.5 s", "common practice, no source"
    )
    return Strokes(given["stroke_angle"], seconds, given["thread"], given["grip"])


def _few_enough(studs: float) -> None:
    if studs > MOST_STUDS:
        raise stop("studs_many", "studs", value=studs, limit=MOST_STUDS)


def _limits(given: dict[str, Any]) -> Limits | None:
    """Limits of stud and gasket where both are stated; a flange limit lowers that of the stud."""
    if "stud_maximum" not in given or "gasket_maximum" not in given:
        return None
    if "thread" not in given:
        raise stop("inputs_needed", "inputs", needs=(_text("thread"),))
    stress = min(given["stud_maximum"], given.get("flange_limit", math.inf))
    load = stress * float(threads.root_area_b11(given["thread"]))
    step("highest load a stud may see", "Fmax", load, "force", "Sbmax Ar, or Sfmax Ar where lower", "root B1.1 area")
    return Limits(load, given["gasket_maximum"])


def _contact(given: dict[str, Any]) -> tuple[float, float]:
    """Mean diameter and width of the gasket's contact, from either pair of inputs; all that is missing by name."""
    pairs = (("gasket_diameter", "gasket_width"), ("gasket_inside", "gasket_outside"))
    stated = [pair for pair in pairs if any(name in given for name in pair)]
    if len(stated) == 2:
        raise stop("inputs_contradict", "inputs", names=tuple(_text(n) for pair in pairs for n in pair if n in given))
    pair = stated[0] if stated else pairs[0]
    kind = () if any(name in given for name in ("gasket_kind", *OWN_LAW)) else ("gasket_kind",)
    missing = tuple(_text(name) for name in (*NEEDED, *pair, *kind) if name not in given)
    if missing:
        raise stop("inputs_needed", "inputs", needs=missing)
    if pair == pairs[0]:
        return given["gasket_diameter"], given["gasket_width"]
    inside, outside = given["gasket_inside"], given["gasket_outside"]
    if inside >= outside:
        raise stop("diameters_reversed", "inside_diameter", inside=inside, outside=outside)
    return (inside + outside) / 2, (outside - inside) / 2


def _choice(given: dict[str, Any], name: str, words: tuple[str, ...], default: str) -> str:
    text = str(given.get(name, default)).lower()
    if text not in words:
        raise stop("word_unknown", _text(name), text=given[name], known=words)
    return text


def _text(name: str) -> str:
    return LABELS[name].text


# --- a table of interaction ------------------------------------------------------------------------------------------


def read_interaction(cells: Sequence[Sequence[Cell]]) -> list[list[Any]]:
    """The square of a table of interaction: bare numbers, or as `interaction_table` spills it, with its first row and
    column of stud numbers and the notes beside and below.

    Raises InputError `table_not_a_number`, `error_cell`.

    >>> read_interaction([["stud", 1.0, 2.0, "note"], [1.0, 1, -0.3, "..."], [2.0, -0.2, 1, ""], ["", "", "", "..."]])
    [[1, -0.3], [-0.2, 1]]
    """
    wide = max((len(row) for row in cells), default=0)
    rows = [[*row, *[None] * (wide - len(row))] for row in cells]
    if rows and wide and isinstance(rows[0][0], str) and plain_text(rows[0][0]).lower() == "stud":
        count = sum(isinstance(cell, (int, float)) for cell in rows[0][1:])
        rows = [row[1 : 1 + count] for row in rows[1:] if isinstance(row[0], (int, float))]
    while rows and all(is_blank(cell) for cell in rows[-1]):
        rows.pop()
    while rows and all(is_blank(row[-1]) for row in rows):  # no row is blank, so one column stays
        rows = [row[:-1] for row in rows]
    return [[_entry(cell, i, j) for j, cell in enumerate(row, start=1)] for i, row in enumerate(rows, start=1)]


def _entry(cell: Cell, stud: int, raised: int) -> Any:
    if error := error_text(cell):
        raise stop("error_cell", "interaction", text=error, place=f"table, stud {stud}, column {raised}")
    if isinstance(cell, str) and (number := typed_number(cell)) is not None:
        return number
    if isinstance(cell, bool) or not isinstance(cell, (int, float)) or not math.isfinite(cell):
        text = "an empty cell" if is_blank(cell) else f"'{plain_text(cell)}'"
        raise stop("table_not_a_number", "interaction", stud=stud, raised=raised, value=text)
    return cell
