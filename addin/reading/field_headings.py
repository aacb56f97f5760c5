"""The one table of fields of a joint list: what a column holds, and the headings that name it.

A heading is brought to a plain form first (`canonical`), so that one entry stands for all its spellings: "Qty of stud
bolts", "No. bolts" and "Studs per joint" are all "stud count". Only a whole heading that stands in the table is sure.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from addin.cells.headings import plain_words


@dataclass(frozen=True)
class Field:
    """A field of a joint list: name, what its cells are, and the headings that are sure (as `canonical` writes them).

    `cells`: "words", "thread", "date", or the name of a quantity. `soft`: only cards show it, so a second column for
    it, or a heading that only may mean it, is no reason to ask. `optional`: a plan is whole without it, so it is
    taken where a heading names it, and never asked about.
    """

    name: str
    cells: str
    headings: tuple[str, ...]
    soft: bool = False
    optional: bool = False


def _field(name: str, cells: str, headings: str, *, soft: bool = False, optional: bool = False) -> Field:
    known = (form for part in headings.split(",") for form in _forms(part.strip()))
    return Field(name, cells, tuple(dict.fromkeys(known)), soft, optional)


def _forms(pattern: str) -> Iterator[str]:
    """Every heading a pattern stands for: (a|b) is a choice, [a|b] a choice that may be left out.

    >>> list(_forms("[target] stud (load|force)"))
    ['target stud load', 'target stud force', 'stud load', 'stud force']
    """
    found = re.search(r"\(([^()\[\]]*)\)|\[([^()\[\]]*)\]", pattern)
    if not found:
        yield " ".join(pattern.split())
        return
    choices = found[1].split("|") if found[1] is not None else [*found[2].split("|"), ""]
    for choice in choices:
        yield from _forms(pattern[: found.start()] + choice + pattern[found.end() :])


def _words(text: str) -> tuple[str, ...]:
    return tuple(text.split())


FIELDS = (
    _field("joint", "words", "joint [tag|ident|name], tag, ident joint, tag joint"),
    _field("operation", "words", "[work|joint|bolting] operation"),
    _field("method", "words", "method, (tightening|bolting|joint|make up) method, method of (tightening|bolting)"),
    _field("plant_area", "words", "plant area, unit area, area unit, plant unit, process unit", soft=True),
    _field("equipment", "words", "equipment [tag|ident|name]", soft=True),
    _field("line", "words", "[pipe|piping] line [tag|ident]", soft=True),
    _field("size", "words", "nps, dn, nb, size nps, nominal pipe size, nominal (bore|size), (joint|pipe) size,"
           "joint nps, joint dn, dn size, pipe nps", soft=True),
    _field("rating", "words", "class, pn, (joint|pressure) (class|rating), (ansi|asme) [pressure] (class|rating),"
           "class (rating|ident), rating class, joint pressure (class|rating), joint pn, pn rating", soft=True),
    _field("gasket", "words", "gasket [type|description|material|style|specification|name]"),
    _field("thread", "thread", "[nominal] stud [nominal] (size|diameter|thread), [nominal] stud thread (size|diameter),"
           "[nominal] thread [size|diameter|designation], stud size diameter, stud size thread, size of stud,"
           "diameter of stud, stud thread designation, stud designation"),
    _field("studs", "studs", "[total] stud count, studs"),
    _field("length", "words", "stud length, length of stud, stud overall length", soft=True),
    _field("grade", "words", "grade, stud [material] (grade|material|specification|class), grade of stud,"
           "material of stud, stud grade material, stud specification grade, stud property class, property class,"
           "strength class, stud strength class"),
    _field("nut_series", "words", "nut (series|standard), series of nut, nut series standard, standard of nut"),
    _field("across_flats", "across_flats", "across flats [size|nut], nut [size|width|hex] across flats,"
           "(width|hex|hexagon|size) across flats, (wrench|spanner|socket|key) [size] across flats,"
           "across flats of nut, width across flats of nut"),
    _field("stress", "stress", "[target|required|specified] [stud|assembly] stress, stud target stress,"
           "target assembly stud stress, target stress in stud, stress in stud, assembly stress in stud,"
           "target stud preload stress, [target] stud (preload|assembly) stress, [target] assembly stud stress"),
    _field("area", "words", "stress area [basis], area of stress, stress on [area], on area, area basis,"
           "basis of stress"),
    _field("percent", "percent", "[target] percent [of] [minimum|specified minimum|stud] yield [strength|stress],"
           "[target] percent of (stud yield|smys), percent smys, stress as percent of yield"),
    _field("load", "load", "load, [target|required|specified] [stud] (load|preload|tension|pretension),"
           "(load|preload|tension|force) per stud, stud (force|preload force), target (load|preload) per stud,"
           "[target] [stud] pretension, [target] assembly (load|preload), preload force, preload of stud,"
           "stud assembly (load|preload)"),
    _field("torque", "torque", "[target|final|specified|required|tightening|assembly|make up|bolting|full|stud] torque"
           " [value], final (stud|tightening) torque, target (stud|tightening) torque, torque (final|target|required),"
           "torque setting, torque to apply, torque to be applied, torque per stud"),
    _field("lubricant", "words", "[stud|thread|specified] lubricant [used|product|type|name], lubricant to use,"
           "lubricant for stud, anti seize, thread compound"),
    _field("nut_factor", "nut_factor", "nut factor [k], k factor, k nut factor, k factor nut factor"),
    _field("thread_friction", "thread_friction", "thread friction [factor], friction [in|of] thread,"
           "friction factor thread"),
    _field("nut_friction", "nut_friction", "(nut|nut face|bearing|nut bearing|head) friction [factor],"
           "friction (under|of|at) nut, friction under nut face, friction under head"),
    _field("wrench", "words", "wrench [tag|ident|name], [hydraulic] torque wrench [tag|ident|name],"
           "hydraulic wrench [tag|ident]"),
    _field("at_once", "at_once", "at once, wrenches at once, ident of wrenches at once, wrench at once,"
           "wrenches used at once, simultaneous wrenches"),
    _field("date", "date", "(job|work|planned|planning|scheduled|schedule) [work] date, date of (job|work),"
           "date planned, date scheduled, planned (job|work) date, planned date of work"),
    _field("order", "words", "order, [stud] tightening (order|sequence), order of tightening, sequence of tightening,"
           "stud (order|sequence)"),
    _field("turned_side", "words", "turned side, side turned, turn side, side to turn", soft=True),
    _field("stud_1", "words", "stud 1, position of stud 1, stud ident 1, stud 1 position, location of stud 1",
           soft=True),
    _field("holes", "words", "holes, hole type, holes through tapped, type of hole, through or tapped hole"),
    _field("remarks", "words", "remarks, [general] notes, note, comments, comment, general (remarks|comments),"
           "(notes|comments) remarks, remarks (notes|comments)", soft=True),
    # limits, range, break-out and time
    _field("target_gasket_stress", "target_gasket_stress", "target gasket stress, gasket stress target", optional=True),
    _field("gasket_area", "gasket_area", "gasket [contact] area, area of gasket", optional=True),
    _field("gasket_seating", "gasket_seating", "gasket seating [minimum], minimum gasket seating", optional=True),
    _field("gasket_operating", "gasket_operating",
           "gasket operating [minimum], minimum gasket operating", optional=True),
    _field("gasket_maximum", "gasket_maximum", "gasket [stress] maximum, maximum gasket stress", optional=True),
    _field("gasket_m", "gasket_m", "gasket [factor] m, gasket factor", optional=True),
    _field("gasket_y", "gasket_y", "gasket [seating stress] y, seating stress y", optional=True),
    _field("gasket_inside_diameter", "gasket_inside_diameter", "gasket (inside|inner) diameter", optional=True),
    _field("gasket_outside_diameter", "gasket_outside_diameter",
           "gasket (outside|outer) diameter, gasket od", optional=True),
    _field("gasket_load_kept", "gasket_load_kept", "[gasket] load kept", optional=True),
    _field("facing", "words", "facing sketch, sketch of facing", optional=True),
    _field("design_pressure", "design_pressure", "[maximum] design pressure", optional=True),
    _field("stud_maximum", "stud_maximum", "stud [stress] maximum, maximum stud stress", optional=True),
    _field("stud_minimum", "stud_minimum", "stud [stress] minimum, (minimum|min) stud stress", optional=True),
    _field("flange_limit", "flange_limit",
           "(joint|flange) [stress] limit, (joint|flange) limit on stud stress", optional=True),
    _field("flange_kind", "words", "joint kind, kind of joint", optional=True),
    _field("flange_rotation", "flange_rotation", "(joint|flange) rotation, rotation of (joint|flange)", optional=True),
    _field("rotation_limit", "rotation_limit", "[joint|flange] rotation limit", optional=True),
    _field("grip", "grip", "grip [length], clamped length", optional=True),
    _field("breakout_factor", "breakout_factor", "(break out|breakout) factor, factor for break out", optional=True),
    _field("stud_condition", "words", "stud condition, condition of stud, condition of studs", optional=True),
    _field("coating", "words", "[stud] coating", optional=True),
    _field("washers", "words", "washers [fitted], washer [fitted]", optional=True),
    # what each stud keeps after its neighbours
    _field("gasket_kind", "words", "gasket kind, kind of gasket", optional=True),
    _field("bolt_circle", "bolt_circle", "stud circle [diameter], diameter of stud circle", optional=True),
    _field("flange_outside_diameter", "flange_outside_diameter",
           "joint (outside|outer) diameter, joint od", optional=True),
    _field("flange_inside_diameter", "flange_inside_diameter", "joint (inside|inner) diameter", optional=True),
    _field("flange_thickness", "flange_thickness", "joint thickness, thickness of joint", optional=True),
)  # fmt: skip
BY_NAME = {field.name: field for field in FIELDS}
SURE = {heading: field for field in FIELDS for heading in field.headings}

BARE: dict[str, tuple[str, ...]] = {
    "count": ("studs",), "quantity": ("studs",), "ident": ("joint", "studs"), "ident off": ("studs",),
    "total": (), "stud": ("studs", "thread"), "size": ("thread", "size"), "diameter": ("thread",),
    "length": ("length",), "rating": ("rating",), "material": ("grade",), "specification": ("grade",),
    "stud type": ("grade", "thread"), "area": ("plant_area", "area"), "unit": ("plant_area",),
    "item": ("joint",), "pos": ("joint",), "position": ("joint",), "name": ("joint",),
    "description": ("joint",), "joint description": ("joint",), "location": ("joint",), "nozzle": ("joint",),
    "nozzle tag": ("joint",), "mark": ("joint",), "item tag": ("joint",), "operation type": ("operation",),
    "type of operation": ("operation",), "work step": ("operation",), "ident of holes": ("studs",),
    "due date": ("date",), "final pass torque": ("torque",),
    "torque 100 percent": ("torque",), "100 percent torque": ("torque",), "tightening seq": ("order",),
    "key width": ("across_flats",), "stud dims": ("thread",), "torque or tension": ("method",),
    "stud size length": ("thread",), "activity": ("operation",), "task": ("operation",), "work": ("operation",),
    "scope": ("operation",), "scope of work": ("operation",), "job": ("operation",),
    "work description": ("operation",), "tool": ("wrench", "method"), "tool type": ("method", "wrench"),
    "tightening tool": ("method", "wrench"), "torque tool": ("wrench", "method"), "wrench type": ("wrench",),
    "wrench size": ("wrench",), "wrench model": ("wrench",), "tensioner": ("wrench",), "vessel": ("equipment",),
    "friction": ("nut_factor", "thread_friction"), "friction factor": ("nut_factor", "thread_friction"),
    "k": ("nut_factor",), "k value": ("nut_factor",), "factor": ("nut_factor",),
    "factor of friction": ("nut_factor", "thread_friction"), "date": ("date",), "start date": ("date",),
    "start": ("date",), "day": ("date",), "ident of wrenches": ("at_once",), "wrenches": ("at_once", "wrench"),
    "torque sequence": ("order",), "torque pattern": ("order",), "sequence": ("order",), "pattern": ("order",),
    "nut": ("nut_series", "across_flats"), "nut type": ("nut_series",), "nut size": ("across_flats",),
    "spanner size": ("across_flats",), "socket size": ("across_flats",), "wrench opening": ("across_flats",),
    "key size": ("across_flats",), "yield": ("percent",), "preload percent": ("percent",),
    "percent": ("percent",), "value": ("torque",), "make up": ("torque", "operation"), "setting": ("torque",),
    "force": ("load",), "tension": ("load",), "lubrication": ("lubricant",), "grease": ("lubricant",),
    "paste": ("lubricant",), "basis": ("area",), "wrench": ("wrench",), "design torque": ("torque",),
    "recommended torque": ("torque",), "nominal torque": ("torque",), "calculated torque": ("torque",),
    "calculated stress": ("stress",), "design stress": (), "nominal diameter": ("thread", "size"),
    "line size": ("size",),
}  # fmt: skip
"""Headings that may mean a field and must be asked about; an empty entry is no field at all."""

TRAPS = frozenset(_words(
    "previous prior last former old existing actual applied achieved measured recorded found left maximum max minimum "
    "min allowable allowed permissible residual remaining breakout break out date dated by checked check checker done "
    "inspection inspected revision rev procedure batch spare circle hole hole-type outside inside od id pcd bcd backup "
    "pass snug stage step status sign signature witness yes no weight temperature temp design test hydrotest limit "
    "after before hot loss flange-face face stamp certificate serial cost price hours man working retorque check "
    "re-torque alternative alternate spares ratio pitch tpi torqued tightened drawing isometric permit"
))  # fmt: skip
"""Words that make a heading another thing than the field its other words name; nothing is suggested for it."""

_SAME = {
    "studs": "studs", "bolts": "studs", "fasteners": "studs", "studbolts": "studs", "bolt": "stud",
    "fastener": "stud", "studbolt": "stud", "screw": "stud", "screws": "studs", "flange": "joint",
    "flg": "joint", "flgs": "joint", "flanges": "joint", "jt": "joint", "jnt": "joint", "joints": "joint",
    "connection": "joint", "flanged": "joint", "bolted": "joint", "connections": "joint", "number": "ident",
    "numbers": "ident", "nos": "ident", "id": "ident", "identification": "ident", "identifier": "ident",
    "ref": "ident", "reference": "ident", "tags": "tag", "code": "ident", "eqpt": "equipment",
    "eq": "equipment", "oper": "operation", "opn": "operation", "operations": "operation",
    "lubricants": "lubricant", "lub": "lubricant", "torq": "torque", "trq": "torque", "tq": "torque",
    "sz": "size", "sizes": "size", "grd": "grade", "gr": "grade", "gskt": "gasket", "mtl": "material",
    "mtrl": "material", "qnty": "quantity", "quant": "quantity", "amount": "quantity", "pcs": "quantity",
    "thd": "thread", "thrd": "thread", "len": "length", "lg": "length", "lgth": "length", "tgt": "target",
    "req": "required", "reqd": "required", "req'd": "required", "nom": "nominal", "pressures": "pressure",
    "makeup": "make up", "tightened": "tightened", "threads": "thread", "nuts": "nut", "wt": "weight",
    "cls": "class", "µ": "", "μ": "", "mu": "", "coefficient": "factor", "coeff": "factor", "coef": "factor",
    "cof": "friction factor", "meth": "method", "the": "", "antiseize": "anti seize", "tooling": "tool",
    "tools": "tool",
}  # fmt: skip
_PHRASES = tuple(
    (re.compile(rf"\b{find}\b"), put)
    for find, put in (
        (r"stud (?:studs?)", "studs"),  # "stud bolts"
        (r"bolting (?=material|grade|specification|size|diameter|load|stress)", "stud "),
        (r"bolting (?=quantity|count)", "studs "),
        (r"joint(?: joint)+", "joint"),
        (r"(?:ident|quantity|count|total)(?: of)? studs(?: (?:per|in|at|each) joint)?", "stud count"),
        (r"(?:ident|quantity|count)(?: of)? stud", "stud count"),
        (r"studs? (?:quantity|count)(?: per joint)?", "stud count"),
        (r"studs (?:ident|total)", "stud count"),
        (r"studs? (?:per|in|each) joint", "stud count"),
        (r"joint stud count", "stud count"),
        (r"(?:tag|ident)(?: (?:tag|ident))+", "tag"),
    )
)


@cache
def canonical(text: str) -> str:
    """A heading's words (without its unit) in the one form that the table uses.

    >>> canonical("Qty of Stud Bolts"), canonical("Flg. No."), canonical("Bolt Ø"), canonical("Torque wrench #")
    ('stud count', 'joint ident', 'stud diameter', 'torque wrench ident')
    """
    words = " ".join(_SAME.get(word, word) for word in plain_words(text).split())
    words = " ".join(words.split())
    for find, put in _PHRASES:
        words = " ".join(find.sub(put, words).split())
    if "studs" in words and words != "studs":
        words = re.sub(r"\bstuds\b", "stud", words)
    return words
