"""The sentences about interaction: inputs of the joint, tables, plans and settings. Same form as in `sentences`."""
# ruff: noqa: E501  # one sentence a line

INTERACTION = {
    # inputs of the joint
    "inputs_needed": "inputs: {needs:needed}",
    "inputs_contradict": "inputs: {names:both} cannot be stated together; keep what holds",
    "studs_many": "stud count {value:figure} is above {limit}, the most this calculation takes",
    "gasket_kind_unknown": "gasket kind '{text}' is not known; write {known:either}",
    "inside_not_smaller": "flange inside diameter {value:length} must be below the outside diameter, {high:length}",
    "bolt_circle_outside_ring": "bolt circle {value:length} must lie between {low:length} and {high:length}, so that the holes lie in the ring",
    "studs_overlap": "{value:figure} studs stand {spacing:length} apart on this bolt circle; nuts and holes need {low:length}",
    "hole_below_stud": "hole diameter {value:length} must be above the stud diameter, {low:length}",
    "hole_above_nut": "hole diameter {value:length} must be below the bearing diameter of the nut, {high:length}",
    "gasket_outside_ring": "gasket from {inner:length} to {outer:length} lies outside the flange ring, {low:length} to {high:length}",
    "gasket_under_studs": "gasket reaches to {outer:length}, into the stud holes that begin at {high:length}",
    "grip_below_flanges": "grip {value:length} is below the thickness of the flanges, {low:length}",
    "shank_longer_than_grip": "shank length {value:length} is above the grip, {high:length}",
    "shell_too_thick": "shell wall {value:length} is above the width of the flange ring, {high:length}",
    "no_equilibrium": "no equilibrium was found at {load:force} per stud: look at the gasket's stiffness and the dimensions",
    # a table of interaction
    "table_not_square": "table of interaction must have a row and a column for every stud; it has {rows} rows and {columns} columns",
    "table_wrong_size": "table of interaction is for {size} studs, the joint has {studs}",
    "table_not_a_number": "table of interaction: stud {stud}, column {raised} must hold a number, got {value}",
    "table_diagonal": "table of interaction: stud {stud} has {value:figure} on the diagonal, must be 1",
    "table_entry_large": "table of interaction: stud {stud}, column {raised} holds {value:figure}, must be between -1 and 1 (shares of the raised stud's own rise, not per cent)",
    # plans and settings
    "no_passes": "no passes: at least one is needed",
    "before_percentages": "passes before '{text}': percentages must rise, from at least 2 to at most 100, like 50 or 30/60/100",
    "pass_settings": "pass {number} has {count} settings for {studs} studs",
    "pass_studs": "pass {number} must hold every stud once{missing:missing}{repeated:repeated}{unknown:beyond}",
    "limits_needed": "{value:percent} is above 100 %: enter a stud maximum and a gasket maximum among the inputs",
    "gasket_area_needed": "gasket area is needed to judge the gasket maximum with a table of interaction",
    "stud_limit": "a stud would see {value:force} on the way, above its limit of {high:force}",
    "gasket_limit": "the gasket would see {value:stress} on the way, above its limit of {high:stress}",
    "limits_leave_none": "with {at_once} at once no plan stays within the stud maximum and the gasket maximum",
    "circular_needed": "with {at_once} at once a circular pass cannot be made: every plan ends with one",
}
"""Code -> sentence."""
