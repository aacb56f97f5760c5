"""The one table of fields of a joint list: what a column may hold. How headings name them is data (data/grammar.csv); a
field without rows there is named by its own name alone.
"""

from dataclasses import dataclass

from calc.quantities import QUANTITIES


@dataclass(frozen=True)
class Field:
    """A field of a joint list: name and what its cells are: "words", "thread", "date", or the name of a quantity.

    `soft`: only cards show it, so a heading that only may mean it is no reason to ask. `optional`: a plan is whole
    without it, so it is taken where a heading names it, and never asked about. `kept`: the plan carries it as the list
    says it, and a template shows it by its own name.
    """

    name: str
    cells: str
    soft: bool = False
    optional: bool = False
    kept: bool = False

    @property
    def kind(self) -> str | None:
        """Kind of unit of a number, None for everything else."""
        return QUANTITIES[self.cells].kind if self.cells in QUANTITIES else None


FIELDS = (
    Field("joint", "words"),
    Field("operation", "words"),
    Field("method", "words"),
    Field("plant_area", "words", soft=True, kept=True),
    Field("equipment", "words", soft=True, kept=True),
    Field("line", "words", soft=True, kept=True),
    Field("size", "words", soft=True, kept=True),
    Field("rating", "words", soft=True, kept=True),
    Field("gasket", "words", kept=True),
    Field("thread", "thread"),
    Field("studs", "studs"),
    Field("length", "words", soft=True),
    Field("grade", "words"),
    Field("yield_strength", "stud_yield", optional=True),
    Field("yield_source", "words", optional=True),
    Field("nut_grade", "words", optional=True),
    Field("shank_diameter", "shank_diameter", optional=True),
    Field("friction_source", "words", optional=True),
    Field("stud_temperature", "stud_temperature", optional=True),
    Field("nut_series", "words"),
    Field("across_flats", "across_flats"),
    Field("stress", "stress"),
    Field("area", "words"),
    Field("percent", "percent"),
    Field("load", "load"),
    Field("torque", "torque"),
    Field("uplift", "uplift", optional=True),
    Field("uplift_reason", "words", optional=True),
    Field("lubricant", "words"),
    Field("nut_factor", "nut_factor"),
    Field("thread_friction", "thread_friction"),
    Field("nut_friction", "nut_friction"),
    Field("wrench", "words"),
    Field("at_once", "at_once"),
    Field("date", "date"),
    Field("order", "words"),
    Field("turned_side", "words", soft=True, kept=True),
    Field("stud_1", "words", soft=True, kept=True),
    Field("holes", "words", kept=True),
    Field("remarks", "words", soft=True, kept=True),
    Field("target_gasket_stress", "target_gasket_stress", optional=True),
    Field("gasket_area", "gasket_area", optional=True),
    Field("gasket_seating", "gasket_seating", optional=True),
    Field("gasket_operating", "gasket_operating", optional=True),
    Field("gasket_maximum", "gasket_maximum", optional=True),
    Field("gasket_m", "gasket_m", optional=True),
    Field("gasket_y", "gasket_y", optional=True),
    Field("gasket_inside_diameter", "gasket_inside_diameter", optional=True),
    Field("gasket_outside_diameter", "gasket_outside_diameter", optional=True),
    Field("gasket_load_kept", "gasket_load_kept", optional=True),
    Field("facing", "words", optional=True),
    Field("design_pressure", "design_pressure", optional=True),
    Field("stud_maximum", "stud_maximum", optional=True),
    Field("stud_minimum", "stud_minimum", optional=True),
    Field("flange_limit", "flange_limit", optional=True),
    Field("flange_kind", "words", optional=True),
    Field("flange_rotation", "flange_rotation", optional=True),
    Field("rotation_limit", "rotation_limit", optional=True),
    Field("grip", "grip", optional=True),
    Field("breakout_factor", "breakout_factor", optional=True),
    Field("stud_condition", "words", optional=True, kept=True),
    Field("coating", "words", optional=True),
    Field("washers", "words", optional=True, kept=True),
    Field("gasket_kind", "words", optional=True),
    Field("bolt_circle", "bolt_circle", optional=True),
    Field("flange_outside_diameter", "flange_outside_diameter", optional=True),
    Field("flange_inside_diameter", "flange_inside_diameter", optional=True),
    Field("flange_thickness", "flange_thickness", optional=True),
    Field("witness", "words", soft=True, optional=True, kept=True),
    Field("hold_point", "words", soft=True, optional=True, kept=True),
    Field("crew", "words", soft=True, optional=True, kept=True),
    Field("shift", "words", soft=True, optional=True, kept=True),
    Field("sequence", "words", soft=True, optional=True, kept=True),
    Field("work_order", "words", soft=True, optional=True, kept=True),
    Field("print", "words", soft=True, optional=True),
)
BY_NAME = {field.name: field for field in FIELDS}
