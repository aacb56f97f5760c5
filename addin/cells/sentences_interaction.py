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
    "hub_too_thick": "hub thickness {value:length} is above the flange thickness, {high:length}",
    "hub_below_wall": "hub thickness {value:length} is below the shell wall, {low:length}",
    "hub_under_nuts": "hub thickness {value:length} leaves the nuts no room, at most {high:length} on this bolt circle",
    "hub_needs_wall": "a hub of {value:length} needs {name}; a loose ring has none",
    "gasket_curve_text": "gasket loading curve '{text}' is not understood; write closure at stress, like 0.2 mm at 10 MPa; 0.6 mm at 50 MPa",
    "gasket_curve_falls": "gasket loading curve: closure and stress must both rise from point to point, point {number} does not",
    "gasket_curve_ends": "the gasket would close by {value:length} on the way, past the last point of its loading curve, {high:length}",
    "gasket_stop_high": "gasket stop closure {value:length} must be below the gasket thickness, {high:length}",
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
    "search_long": "a search of plans for {value:figure} studs would take minutes, at most {limit} here; name the wrenches together (up to {alone} studs) or ask for one plan with pass_progress",
    # measured loads
    "measured_few": "measured loads of {count:figure} studs are too few: {low} at least",
    "measured_unknown": "measured loads name stud {stud}; the joint has {studs} studs",
    "measured_yield": "measured load of stud {stud}, {value:force}, is above the load at which it yields, {high:force}",
    "measured_twice": "measured loads name stud {stud} twice",
    "measured_columns": "measured loads: each row must hold a stud and its load",
    "measured_unexplained": "no gasket explains these loads: what is left over is {left:figure} times what friction and measurement allow (factor {factor:figure} on the closure of the gasket); look at the measurement, the passes done and the dimensions",
    "done_unknown": "passes done '{text}' are not understood; write cross passes and circular ones, like 30/60/100 + 1",
    "cap_at_target": "cap {value:percent} must be above 100 %: no stud could be set above the target to make up for what it loses",
    "circular_needed": "with {at_once} wrenches together a circular pass cannot be made: every plan ends with one",
}
"""Code -> sentence."""
