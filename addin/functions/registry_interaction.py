"""Registry of the functions about interaction: what each stud keeps after its neighbours are tightened."""

from addin.functions import calls_interaction
from addin.functions.arguments import UNITS
from addin.functions.gate import Arg, Function

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
_AT_ONCE = Arg("at_once", "at_once", "Wrenches at once: 1, 2 or 4", 1.0)
_TABLE = Arg(
    "table",
    "block",
    "Table of interaction in place of dimensions: a row per stud, a column per stud raised, 1 on the diagonal; bare or"
    " as interaction_table gives it",
    None,
)
_SOURCE = "own elastic model; stud, ring and gasket in the form of EN 1591-1 (from memory), gasket data from memory"

INTERACTION: tuple[Function, ...] = (
    Function(
        "residual_preload",
        "Estimated load each stud keeps after all passes, with P5 and P95 of the assumed scatter. A planning estimate;"
        " gasket data are from memory and no published table of interaction could be compared.",
        (_INPUTS, _PRELOAD, UNITS, _PASSES, _AT_ONCE, _TABLE),
        "spill",
        calls_interaction.residual_preload,
        _SOURCE,
    ),
    Function(
        "pass_progress",
        "After each pass: mean, lowest and coefficient of variation of the estimated kept load, highest momentary load,"
        " and how many circular passes it takes. A planning estimate; gasket data are from memory.",
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
                'Gasket "unloading", as in a circular pass after full load (where nothing is said), or "loading", as in'
                " a first pass",
                "unloading",
            ),
        ),
        "spill",
        calls_interaction.interaction_table,
        _SOURCE,
    ),
    Function(
        "one_pass_settings",
        "Settings stud by stud that leave all studs near the target after one pass, up to a cap. For the engineer: a"
        " crew gets one pressure per pass. A planning estimate; gasket data are from memory.",
        (
            _INPUTS,
            _PRELOAD,
            UNITS,
            Arg(
                "cap",
                "cap",
                "Highest momentary load in per cent of the target; above 100 needs stud maximum and gasket maximum"
                " among the inputs",
                1.0,
            ),
            Arg(
                "before",
                "words",
                "Cross passes before it in per cent, like 50 or 30/60/100; after a full one the settings go round in"
                " circular order",
                "",
            ),
            _AT_ONCE,
            _TABLE,
        ),
        "spill",
        calls_interaction.one_pass_settings,
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
            Arg("at_once", "at_once", "Wrenches at once: 1, 2 or 4; all that the stud count allows if not given", None),
            _TABLE,
        ),
        "spill",
        calls_interaction.fewest_moves,
        _SOURCE,
    ),
)
