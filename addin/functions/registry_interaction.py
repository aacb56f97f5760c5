"""Registry of the functions about interaction: what each stud keeps after its neighbours are tightened."""

from addin.functions.arguments import UNITS
from addin.functions.gate import Arg, Function
from addin.functions.late import Late

calls_interaction, calls_measured, calls_procedures, calls_raised = (
    Late(f"addin.functions.{name}")
    for name in ("calls_interaction", "calls_measured", "calls_procedures", "calls_raised")
)

_INPUTS = Arg(
    "inputs",
    "block",
    "Two columns, label and value: studs, thread, grip, bolt circle, flange outside diameter, inside diameter and"
    " thickness, gasket mean diameter, width and kind; optional ones as the README lists them",
)
_PRELOAD = Arg("preload", "preload", "Target preload of every stud")
_PASSES = Arg(
    "passes",
    "words",
    'Published scheme ("PCC-1 legacy" where nothing is said, "three-pass") or own percentages like 30/60/100; a last'
    " one above 100 needs stud maximum and gasket maximum among the inputs",
    "PCC-1 legacy",
)
_AT_ONCE = Arg("at_once", "at_once", "Wrenches together: 1, 2 or 4", 1.0)
_TABLE = Arg(
    "table",
    "block",
    "Table of interaction in place of dimensions: a row per stud, a column per stud raised, 1 on the diagonal; bare or"
    " as interaction_table gives it",
    None,
)
_CAP = Arg(
    "cap",
    "cap",
    "Highest momentary load in per cent of the target, above 100; needs stud maximum and gasket maximum among the"
    " inputs",
    1.2,
)
_BEFORE = Arg(
    "before",
    "words",
    "Cross passes before it in per cent, like 50 or 30/60/100; after a full one the pass goes round in circular order",
    "",
)
_SOURCE = "own elastic model; stud, ring and gasket in the form of EN 1591-1 (from memory), gasket data from memory"

INTERACTION: tuple[Function, ...] = (
    Function(
        "residual_preload",
        "Estimated load each stud keeps after all passes, with the model band (gasket, hub) and apart from it P5 and"
        " P95 of the assumed scatter of friction. A planning estimate; gasket data are from memory.",
        (_INPUTS, _PRELOAD, UNITS, _PASSES, _AT_ONCE, _TABLE),
        "spill",
        calls_interaction.residual_preload,
        _SOURCE,
    ),
    Function(
        "pass_progress",
        "After each pass: mean, lowest and variation of the estimated kept load with their model band, highest"
        " momentary load, and how many circular passes it takes. A planning estimate; gasket data are from memory.",
        (_INPUTS, _PRELOAD, UNITS, _PASSES, _AT_ONCE, _TABLE),
        "spill",
        calls_interaction.pass_progress,
        _SOURCE,
    ),
    Function(
        "interaction_table",
        "What the load of each stud changes by when one is raised, from dimensions. A planning estimate; no published"
        " table of interaction could be compared.",
        (
            _INPUTS,
            _PRELOAD,
            UNITS,
            Arg(
                "gasket_line",
                "words",
                'Gasket "loading" at half the target, as in a first pass (where nothing is said), or "unloading", as in'
                " a circular pass after full load",
                "loading",
            ),
        ),
        "spill",
        calls_interaction.interaction_table,
        _SOURCE,
    ),
    Function(
        "one_factor_setting",
        "One factor for all studs in the pass before the closing one, up to a cap, judged after the closing circular"
        " pass. For the engineer: above 100 % it is reviewed. A planning estimate; gasket data are from memory.",
        (_INPUTS, _PRELOAD, UNITS, _CAP, _BEFORE, _AT_ONCE, _TABLE),
        "spill",
        calls_raised.one_factor_setting,
        _SOURCE,
    ),
    Function(
        "one_pass_settings",
        "Settings stud by stud for one pass, up to a cap, where they leave more after the closing circular pass than a"
        " plain pass or one factor for all; else those. For the engineer: a crew gets one pressure per pass.",
        (_INPUTS, _PRELOAD, UNITS, _CAP, _BEFORE, _AT_ONCE, _TABLE),
        "spill",
        calls_raised.one_pass_settings,
        _SOURCE,
    ),
    Function(
        "fewest_moves",
        "Plan with the fewest moves to an even and high enough kept load, for one, two and four wrenches; from snug to"
        " a closing circular pass. A planning estimate; it does not remove scatter of friction.",
        (
            _INPUTS,
            _PRELOAD,
            UNITS,
            Arg("uniformity", "uniformity", "Wanted coefficient of variation of the kept load in per cent", 0.05),
            Arg("mean", "mean", "Wanted mean of the kept load in per cent of the target", 0.95),
            Arg(
                "at_once", "at_once", "Wrenches together: 1, 2 or 4; all that the stud count allows if not given", None
            ),
            _TABLE,
            Arg("lowest", "lowest_wanted", "Wanted lowest kept load in per cent of the target", None),
            Arg(
                "p5", "p5_wanted", "Wanted P5 of the lowest stud with the assumed scatter, per cent of the target", None
            ),
        ),
        "spill",
        calls_interaction.fewest_moves,
        _SOURCE,
    ),
    Function(
        "compare_procedures",
        "Published schemes side by side for one, two and four wrenches, one with a stage left out, one with a raised"
        " pass: moves, mean, lowest, model band, P5, highest load, difference of the gasket's closure, time.",
        (
            _INPUTS,
            _PRELOAD,
            UNITS,
            Arg(
                "at_once", "at_once", "Wrenches together: 1, 2 or 4; all that the stud count allows if not given", None
            ),
            Arg(
                "move_time",
                "move_time",
                "Minutes for one move of the wrenches; where not given, stroke angle, oil per stroke and pump flow of a"
                " wrench sheet among the inputs give the time",
                None,
            ),
            _TABLE,
        ),
        "spill",
        calls_procedures.compare_procedures,
        _SOURCE,
    ),
    Function(
        "circular_passes_needed",
        "Circular passes after the cross passes until every stud keeps a share of the target, and with scatter the P5"
        " of the lowest stud another; break-away of the nuts among the inputs. A planning estimate.",
        (
            _INPUTS,
            _PRELOAD,
            UNITS,
            Arg("before", "words", "Cross passes before them in per cent, like 50/100 or 30/60/100"),
            Arg("lowest", "lowest_wanted", "Lowest kept load in per cent of the target", 0.9),
            Arg("p5", "p5_wanted", "P5 of the lowest stud with the assumed scatter, per cent of the target", None),
            _AT_ONCE,
            _TABLE,
        ),
        "spill",
        calls_procedures.circular_passes_needed,
        _SOURCE,
    ),
    Function(
        "rest_from_measured",
        "What each stud keeps after the circular passes to come, from loads measured after the passes done: gasket, hub"
        " where not stated, and friction are fitted; refused where nothing explains the loads. For the engineer.",
        (
            _INPUTS,
            _PRELOAD,
            UNITS,
            Arg(
                "done",
                "words",
                "Passes done: cross passes in per cent, then circular ones, like 30/60/100 or 50/100 + 1",
            ),
            Arg("measured", "block", "Two columns, stud and its measured load; studs that were not measured left out"),
            Arg("rounds", "circular_passes", "Circular passes to come", 2.0),
            _AT_ONCE,
            Arg(
                "measuring_error",
                "measuring_error",
                "Error of a measured load in per cent, one standard deviation",
                0.03,
            ),
            Arg("stud_yield", "stud_yield", "Yield strength of the studs, to refuse loads above it", None),
        ),
        "spill",
        calls_measured.rest_from_measured,
        _SOURCE,
    ),
)
