"""What a cell shows where a worksheet function refuses its arguments: the whole sentence, figures by hand."""

import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from addin.cells.words import line
from addin.cells.words import listed as listed_with
from addin.functions.examples import (
    CALIBRATION,
    INTERACTION_INPUTS,
    JOINTS,
    LIMIT_INPUTS,
    LUBRICANTS,
    MEASURED,
    WRENCHES,
)
from addin.functions.gate import answer
from addin.functions.registry import BY_NAME
from calc.findings import InputError
from calc.hardware.gaskets import gasket
from calc.hardware.nut_grades import nut_name
from calc.hardware.threads import parse
from calc.interaction.choice import search
from calc.interaction.dimensions import Dimensions
from calc.interaction.elastic import ElasticJoint
from calc.interaction.events import Pass, run
from calc.interaction.matrix import MatrixJoint
from calc.procedure import order
from calc.units import system

CALIBRATED = [list(row) for row in CALIBRATION]
"""1000 to 10000 psi; 1660 lbf·ft at 5000 and 1995 at 6000 psi."""
FIFTH_MORE = [[*row, None, row[0], row[1] if number == 0 else row[1] * 1.2] for number, row in enumerate(CALIBRATED)]
RING = [[1, -0.2, 0, -0.2], [-0.2, 1, -0.2, 0], [0, -0.2, 1, -0.2], [-0.2, 0, -0.2, 1]]
OWN_GASKET = {"Gasket kind": None, "Gasket loading curve": "0.2 mm at 2 MPa; 0.25 mm at 3 MPa",
              "Gasket unloading modulus": "300 MPa", "Gasket thickness": "4.5 mm"}  # fmt: skip
FUNCTIONS = listed_with([name for name in BY_NAME if name != "working"], "and")
SIZES = "1/2, 3/4, 1, 1-1/4, 1-1/2, 2, 2-1/2, 3, 3-1/2, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20 and 24"


def joint(**changes: Any) -> list[list[Any]]:
    """The inputs of the example with some replaced or added; None takes one out."""
    given = dict([*INTERACTION_INPUTS, ("Samples", 100.0)])  # type: ignore[misc]
    given |= {name.replace("_", " ") if "_" in name else name: value for name, value in changes.items()}
    return [[label, value] for label, value in given.items() if value is not None]


def limits(*without: str) -> list[list[Any]]:
    return [list(row) for row in LIMIT_INPUTS if row[0] not in without]


def kept(**changes: Any) -> tuple[Any, ...]:
    return "residual_preload", joint(**changes), 15000.0, "US", "100"


def listed(headings: list[Any], *cells: Any) -> tuple[Any, ...]:
    return "joint_plan", [headings, list(cells)], WRENCHES, "US", "2026-10-08"


Case = tuple[tuple[Any, ...], str]
TABLES: dict[str, Case] = {
    "pressure above": (("torque_at_pressure", 10100.0, CALIBRATED, "US"), "pressure 10100 psi is above this table's highest point, 10000 psi"),
    "pressure below": (("torque_at_pressure", 990.0, CALIBRATED, "US"), "pressure 990 psi is below this table's lowest point, 1000 psi"),
    "torque above": (("setpoint", 3331.0, CALIBRATED, "US"), "torque 3331 lbf·ft is above this table's highest point, 3330 lbf·ft"),
    "torque below": (("setpoint", 324.0, CALIBRATED, "US"), "torque 324 lbf·ft is below this table's lowest point, 325 lbf·ft"),
    # the mark below 1014 psi, where the table gives 330, is 900 psi, below its first row
    "no mark": (("setpoint", 330.0, CALIBRATED, "US", 900.0, "down", 3.0), "no mark of the gauge within the table, rounding down, gives torque 330 lbf·ft"),
    "rounding": (("setpoint", 2150.0, CALIBRATED, "US", 100.0, "away", 3.0), "rounding 'away' is not known; write nearest, down or up"),
    "graduation": (("setpoint", 2150.0, CALIBRATED, "US", None, None, 3.0), "rounding or tolerance is given but not the gauge's graduation"),
    # at 5800 psi 1928 lbf·ft and a fifth more, 2313.6: -10.3 and +7.6 %; at 5900 psi -8.8 and +9.5 %, the smaller worst
    "shared": (("setpoint_shared", 2150.0, FIFTH_MORE, "US", 100.0, 3.0), "no one mark serves all tables within 3 % of torque 2150 lbf·ft (best: -8.8 %, +9.5 %); use separate pumps"),
    "one table": (("setpoint_shared", 2150.0, CALIBRATED, "US", 100.0, 3.0), "tables: at least two calibration tables are needed, side by side with an empty column between them; got 1"),
    "not finite": (("setpoint", float("inf"), CALIBRATED, "US"), "torque must be a finite number, got inf"),
    "currency": (("setpoint", Decimal("2150"), CALIBRATED, "US"), "torque must be a plain number, got the currency amount 2150"),
    "units": (("setpoint", 2150.0, CALIBRATED, "imperial"), 'units must be "US" or "SI" ("US bar", "SI psi" for another gauge), got \'imperial\''),
    "unit of a heading": (("setpoint", 600.0, [["Pressure (lb)", "Torque (ft-lb)"], [1000, 300], [2000, 600]], "US"), "table: heading 'Pressure (lb)' must hold one unit that is known here"),
    "scheme": (("pass_table", 2150.0, CALIBRATED, "US", "five-pass"), "scheme 'five-pass' is not known; write PCC-1 legacy, three-pass, four studs then cross, four studs then circular, rising cross, rising quadrants or circular together, or your own percentages like 25/50/75/100"),
    "groups": (("tightening_order", 16.0, 4.0, "groups of 3"), "groups of 3 do not part 16 studs into 4 or more groups that 4 wrenches together can share"),
    "quadrants": (("tightening_order", 18.0, 1.0, "quadrants"), "the order 'quadrants' needs a stud count that is a multiple of 4, got 18"),
    "pattern": (("tightening_order", 16.0, 1.0, "spiral"), "pattern 'spiral' is not known; write cross, circular, quadrants, groups of 3 or quarter points then cross"),
    "shapes": (("preload_from_stress", [[40000.0], [41000.0]], [["1"], ["1"], ["1"]], "US", "root B1.1"), "thread has 3 x 1 cells where stress has 2 x 1; columns must match or be single cells"),
}  # fmt: skip
FRICTION: dict[str, Case] = {
    "headings": (("nut_factor", "Paste A", [["a", "b"], ["Paste A", 0.1]]), "lubricants: the first row must hold headings, among them Product and Nut factor"),
    "twice": (("nut_factor", "Paste A", [*LUBRICANTS, LUBRICANTS[1]]), "lubricant 'Paste A' stands twice in the site's table"),
    "form": (("torque_from_friction", 200.0, "M30x3.5", 0.12, 0.13, "SI", "VDI"), "form 'VDI' is not known; write VDI 2230, PCC-1 or API 6A"),
    "one coefficient": (("torque_from_friction", 200.0, "M30x3.5", 0.12, 0.13, "SI", "API 6A"), "the API 6A form has one coefficient for thread and nut; the two given differ"),
    "torsion": (("combined_stress", 200.0, "M30x3.5", 0.12, "SI", "plastic"), "form 'plastic' is not known; write elastic or VDI 2230"),
    "outside its ends": (("preload_range", 500.0, "1", 0.2, [["Nut factor low", 0.21], ["Nut factor high", 0.25]], "US"), "nut factor 0.2 lies outside its own low 0.21 and high 0.25"),
    "scatter": (("preload_range", 500.0, "1", 0.2, [["Wrench", 3.0]], "US"), "scatter must be stated one way: friction scatter, or nut factor low and nut factor high, or method"),
    "scatter twice": (("preload_range", 500.0, "1", 0.2, [["Friction scatter", 25.0], ["Nut factor low", 0.15]], "US"), "scatter must be stated one way: friction scatter, or nut factor low and nut factor high, or method"),
    "method": (("preload_range", 500.0, "1", 0.2, [["Method", "torque wrench"], ["Wrench", 3.0]], "US"), "a method's scatter holds wrench and gauge in it; leave out wrench, or leave out the method"),
}  # fmt: skip
HARDWARE: dict[str, Case] = {
    "nut": (("nut_across_flats", "M33x3.5", "SI", "ISO 4033"), "no ISO 4033 nut for M33x3.5 in the table, which goes from 6 mm to 36 mm; give the width across flats instead"),
    # ASTM A320 L7 is stated to 2-1/2 in
    "size": (("stud_yield", "A320 L7", "3-8 UN", "US"), "A320 L7 states no yield for a diameter of 3 in; its rows go from 0.25 in to 2.5 in"),
    # a yield that nobody read supplies nothing: neither itself nor a share of it
    "yield from memory": (("stud_yield", "A193M B7", "M36x4", "SI"), "the yield of A193M B7 for this size, 720 MPa, is from memory: it is used to stop what exceeds it and for nothing else; state the stud's yield strength with its source"),
    "share of it": (("preload_from_yield", "50 %", "A193M B7", "M36x4", "SI", "tensile"), "the yield of A193M B7 for this size, 720 MPa, is from memory: it is used to stop what exceeds it and for nothing else; state the stud's yield strength with its source"),
    "share of it with torsion": (("preload_from_combined_stress", "70 %", "A193M B7", "M36x4", 0.12, "SI"), "the yield of A193M B7 for this size, 720 MPa, is from memory: it is used to stop what exceeds it and for nothing else; state the stud's yield strength with its source"),
    "pipe size": (("flange_studs", "7", "150", "US"), f"pipe size '7' is not in the table; it has {SIZES}"),
    # ASME B16.5 ends at NPS 12 in class 2500
    "row": (("flange_studs", "14", "2500", "US"), "NPS 14 has no row in class 2500; that class has 1/2, 3/4, 1, 1-1/4, 1-1/2, 2, 2-1/2, 3, 4, 5, 6, 8, 10 and 12"),
    "class": (("flange_studs", "8", "700", "US"), "pressure class '700' is not in the table; it has 150, 300, 400, 600, 900, 1500 and 2500"),
    "DN": (("flange_studs", "DN 550", "PN 63", "US"), "'DN 550' has no row in PN 63; that PN has DN 10, DN 15, "),
    "series": (("flange_studs", "26", "150", "US"), "NPS 26 class 150 is of series A or B: write which, e.g. '150 series A'"),
    "memory": (("flange_studs", "26", "150 series B", "US"), "NPS 26 class 150 series B: its bolting is held from memory, to contradict a list, and supplies no studs: take count and size from the standard and name it"),
    "facing": (("gasket_design_loads", 10.38, 9.19, 700.0, 3.0, 10000.0, "US", "9z"), "facing '9z' is not known; write 1a, 1b, 1c, 1d, 2 I, 2 II, 3 I, 3 II, 4 I, 4 II, 5 I, 5 II or 6"),
    "column": (("gasket_design_loads", 10.38, 9.19, 700.0, 3.0, 10000.0, "US", "3"), "facing '3' has two columns in its table; write 3 I or 3 II"),
    "width": (("gasket_design_loads", 10.38, 9.19, 700.0, 3.0, 10000.0, "US", "1c"), "facing sketch '1c' needs a width (contact) that is not among the inputs here: not checked"),
    "reversed": (("gasket_design_loads", 9.19, 10.38, 700.0, 3.0, 10000.0, "US", "1a"), "inside diameter 10.38 in must be below the outside diameter, 9.19 in"),
    "no target": (("preload_limits", limits("Target gasket stress"), "7/8-9", 0.2, "US"), "target gasket stress must be given for the target, or a target stud stress instead"),
}  # fmt: skip
LISTS: dict[str, Case] = {
    "headings": (listed(["Studs", "Torque"], 16, 100), "list: the first row must hold the headings, one of them Joint (it has Studs and Torque)"),
    "may be": (listed(["Tag", "x"], "a", 1), "'Tag' may be 'joint': ignored until you confirm it"),
    "two units": (listed(["Joint", "Torque (ft-lb) (N·m)"], "V-1", 500), "heading 'Torque (ft-lb) (N·m)' names two units; keep one"),
    "wrenches": (("joint_plan", JOINTS, [["Wrench", "Pressure (psi)"], ["HW-3", 1000.0]], "US", "2026-10-08"), "wrenches: headings Wrench, Pressure, Torque and Graduation are needed; missing torque and graduation"),
    "rows differ": (("joint_plan", JOINTS, [[*row[:3], 50.0 if at == 4 else row[3], row[4]] for at, row in enumerate(WRENCHES)], "US", "2026-10-08"), "wrenches row 4: wrench HW-3 has different graduations or dates in its rows"),
    "function": (("working", "torque", 1.0), f"function 'torque' is not known; there are {FUNCTIONS}"),
}  # fmt: skip
INTERACTION: dict[str, Case] = {
    # holes are 3/4 + 1/8 in: the ring from 4.03 to 10 in leaves 4.905 to 9.125 in
    "bolt circle": (kept(Bolt_circle=9.5), "bolt circle 9.5 in must lie between 4.905 in and 9.125 in, so that the holes lie in the ring"),
    "gasket outside": (kept(Gasket_mean_diameter=4.2), "gasket from 3.7 in to 4.7 in lies outside the flange ring, 4.03 in to 10 in"),
    "gasket under studs": (kept(Gasket_mean_diameter=6.8), "gasket reaches to 7.3 in, into the stud holes that begin at 7.005 in"),
    "inside": (kept(Flange_inside_diameter=10.5), "flange inside diameter 10.5 in must be below the outside diameter, 10 in"),
    # a heavy hex nut bears on 1.5 times the stud: 1.125 in
    "hole": (kept(Hole_diameter=1.2), "hole diameter 1.2 in must be below the bearing diameter of the nut, 1.125 in"),
    "hub below wall": (kept(Hub_thickness=0.3, Shell_wall=0.4, Hub_length=1.0), "hub thickness 0.3 in is below the shell wall, 0.4 in"),
    "loose ring": (kept(Hub_thickness=0.5, Loose_ring="yes"), "a hub of 0.5 in needs shell wall; a loose ring has none"),
    "hub above thickness": (kept(Hub_thickness=1.3, Shell_wall=0.4, Hub_length=1.0), "hub thickness 1.3 in is above the flange thickness, 1.25 in"),
    # (7.88 - 4.6)/2 to the centre of the studs, less half of 1.125 in
    "nuts": (kept(Hub_thickness=1.24, Shell_wall=0.4, Hub_length=1.0, Flange_inside_diameter=4.6), "hub thickness 1.24 in leaves the nuts no room, at most 1.0775 in on this bolt circle"),
    "contradict": (kept(Loose_ring="yes", Shell_wall=0.4), "inputs: loose ring and shell wall cannot be stated together; keep what holds"),
    "gasket reversed": (kept(Gasket_mean_diameter=None, Gasket_width=None, Gasket_inside_diameter=6.0, Gasket_outside_diameter=5.0), "inside diameter 6 in must be below the outside diameter, 5 in"),
    # the weld of NPS 8 begins at 219.2 mm, 8.63 in, in ASME B16.5
    "neck": (kept(Welding_neck="NPS 8 class 300", Flange_inside_diameter=10.5, Flange_outside_diameter=15.0, Bolt_circle=13.0), "flange inside diameter 10.5 in is no bore of this welding-neck flange: it lies above 4.31496 in and below 8.62992 in, the diameter where the weld begins"),
    "curve": (kept(**OWN_GASKET | {"Gasket loading curve": "0.2 mm by 2 MPa"}), "gasket loading curve '0.2 mm by 2 MPa' is not understood; write closure at stress, like 0.2 mm at 10 MPa; 0.6 mm at 50 MPa"),
    # 5 mm and 4.5 mm over 25.4
    "stop": (kept(Gasket_stop_closure="5 mm"), "gasket stop closure 0.19685 in must be below the gasket thickness, 0.177165 in"),
    "before": (("circular_passes_needed", joint(), 15000.0, "US", "100/50", 90.0), "passes before '100/50': percentages must rise, from at least 2 to at most 100, like 50 or 30/60/100"),
    "cap": (("one_pass_settings", joint(), 15000.0, "US", 100.0, "30/60/100"), "cap 100 % must be above 100 %: no stud could be set above the target to make up for what it loses"),
    "done": (("rest_from_measured", joint(), 15000.0, "US", "30/60/100 + one", MEASURED), "passes done '30/60/100 + one' are not understood; write cross passes and circular ones, like 30/60/100 + 1"),
    "gasket area": (("residual_preload", [["Studs", 4], ["Gasket maximum", "30 ksi"], ["Stud maximum", "75 ksi"], ["Thread", "3/4-10"], ["Samples", 100]], 15000.0, "US", "100", 1.0, RING), "gasket area is needed to judge the gasket maximum with a table of interaction"),
    "entry": (("residual_preload", [["Studs", 4], ["Samples", 100]], 100.0, "SI", "100", 1.0, [[1, -20, 0, -0.2], *RING[1:]]), "table of interaction: stud 1, column 2 holds -20, must be between -1 and 1 (shares of the raised stud's own rise, not per cent)"),
    "square": (("residual_preload", [["Studs", 4], ["Samples", 100]], 100.0, "SI", "100", 1.0, [row[:3] for row in RING]), "table of interaction must have a row and a column for every stud; it has 4 rows and 3 columns"),
    "long": (("fewest_moves", joint(Studs=68, Bolt_circle=77.0, Flange_outside_diameter=80.0, Flange_inside_diameter=70.0, Gasket_mean_diameter=72.0), 15000.0, "US", 5.0, 95.0, 1.0), "a search of plans for 68 studs would take minutes, at most 64 here; name the wrenches together (up to 64 studs) or ask for one plan with pass_progress"),
}  # fmt: skip
ALL = {f"{title}: {name}": case for title, cases in (("tables", TABLES), ("friction", FRICTION), ("hardware", HARDWARE),
       ("lists", LISTS), ("interaction", INTERACTION)) for name, case in cases.items()}  # fmt: skip


@pytest.mark.parametrize("name", ALL)
def test_the_whole_sentence_of_a_refusal(name: str) -> None:
    (function, *arguments), said = ALL[name]
    shown = answer(BY_NAME[function], arguments)
    if name == "hardware: DN":
        shown = shown[: len(f"STOP: {said}")]  # the sizes of that PN follow
    assert shown == f"STOP: {said}"


def test_a_column_gives_the_sentence_in_the_row_that_is_wrong() -> None:
    shown = answer(BY_NAME["setpoint"], ([[2150.0], [3331.0]], CALIBRATED, "US"))
    assert [str(row[0])[:5] for row in shown] == ["6462.", "STOP:"]  # 6000 + 155/335 x 1000 psi


def test_a_wrench_of_which_a_call_states_little_is_planned_with_what_is_not_checked() -> None:
    """1 1/4-8 UN, 41,300 psi on 0.9291 in2 at 0.145 are 579.6 lbf·ft: 30 % are 174, below the table's 325."""
    bare = [row[:4] for row in WRENCHES[: len(CALIBRATED)]]
    shown = answer(BY_NAME["joint_plan"], (JOINTS, bare, "US", "2026-10-08"))
    assert shown[1][2:4] == [
        "planned",
        "caution: pass 1: by other means, below the lowest certified point of HW-3, 325 lbf·ft; "
        "caution: HW-3: size of its link is not stated: not checked; "
        "caution: HW-3: end of its certificate is not stated: not checked",
    ]


def test_a_condition_and_a_method_that_nobody_published_name_those_that_are() -> None:
    shown = answer(BY_NAME["nut_factor_survey"], ("butter",))
    assert shown.startswith("STOP: condition 'butter' is not in the published tables; they have new uncoated stud, ")
    shown = answer(BY_NAME["preload_range"], (500.0, "1", 0.2, [["Method", "guess"]], "US"))
    assert shown.startswith("STOP: method 'guess' has no published scatter; there are 'torque, unlubricated', ")


def test_a_gasket_that_closes_beyond_its_curve_is_said_with_both_closures() -> None:
    """The last point of the curve is 0.25 mm, 0.00984252 in; how far it would close is the model's."""
    shown = answer(BY_NAME["residual_preload"], kept(**OWN_GASKET)[1:])
    whole = r"STOP: the gasket would close by (0\.\d+) in on the way, past the last point of its loading curve, 0\.00984252 in"
    match = re.fullmatch(whole, shown)
    assert match is not None
    assert float(match[1]) > 0.00984252


def test_loads_that_no_gasket_explains_are_said() -> None:
    """Eight equal loads, where a pass one after the other leaves them unequal."""
    equal = [("Stud", "Load"), *((float(stud), 14900.0 + stud) for stud in range(1, 9))]
    shown = answer(BY_NAME["rest_from_measured"], (joint(), 15000.0, "US", "30/60/100", equal))
    whole = (r"STOP: no gasket explains these loads: what is left over is (\d\.\d+) times what friction and measurement"
             r" allow \(factor 0\.25 on the closure of the gasket\); look at the measurement, the passes done and the"
             r" dimensions")  # fmt: skip
    match = re.fullmatch(whole, shown)
    assert match is not None
    assert float(match[1]) > 1


FOUR = ((1,), (3,), (2,), (4,))
TABLE_OF_FOUR = MatrixJoint(RING)
PYTHON: dict[str, tuple[Callable[[], Any], str]] = {
    "no passes": (lambda: run(TABLE_OF_FOUR, 1e5, []), "no passes: at least one is needed"),
    "settings": (lambda: run(TABLE_OF_FOUR, 1e5, [Pass((1.0, 1.0, 1.0), FOUR)]), "pass 1 has 3 settings for 4 studs"),
    "studs missing": (lambda: run(TABLE_OF_FOUR, 1e5, [Pass(1.0, FOUR[:3])]), "pass 1 must hold every stud once; missing 4"),
    "studs twice": (lambda: run(TABLE_OF_FOUR, 1e5, [Pass(1.0, ((1,), (3,), (2,), (2,)))]), "pass 1 must hold every stud once; missing 4; repeated 2"),
    "studs beyond": (lambda: run(TABLE_OF_FOUR, 1e5, [Pass(1.0, ((0,), (1,), (2,), (3,)))]), "pass 1 must hold every stud once; missing 4; beyond 0"),
    "no circular pass": (lambda: search(TABLE_OF_FOUR, 1e5, {("cross", 2): order.cross(4, 2)}), "with 2 wrenches together a circular pass cannot be made: every plan ends with one"),
    "gasket": (lambda: gasket("butter"), "gasket 'butter' is not in the published table; it has self-energizing O-ring types, "),
    "metal": (lambda: gasket("spiral wound"), "gasket 'spiral wound' has several rows; write its metal: stainless or nickel alloy or carbon steel"),
    "nut": (lambda: nut_name("8"), "nut grade '8' may be A194 8 or ISO 898-2 8; write which"),
    "order": (lambda: order.given("1-5-3-x", 8), "order '1-5-3-x' must be stud numbers like 1-5-3-7-2-6-4-8, or a pattern: cross, circular, quadrants, groups of 3"),
}  # fmt: skip


@pytest.mark.parametrize("name", PYTHON)
def test_the_whole_sentence_of_what_only_python_can_ask(name: str) -> None:
    ask, said = PYTHON[name]
    with pytest.raises(InputError) as caught:
        ask()
    shown = line(caught.value.finding, system("US"))
    assert shown[: len(said)] == said if said.endswith(" ") else shown == said


def test_a_joint_without_an_equilibrium_is_said_with_its_load(monkeypatch: pytest.MonkeyPatch) -> None:
    """No joint is known that has none: here the solver may not go a single step. 44,482 N are 10,000 lbf."""
    model = ElasticJoint(Dimensions(8, parse("3/4-10"), 0.07, 0.2, 0.254, 0.1, 0.032, 0.135, 0.0127, "spiral wound"))
    monkeypatch.setattr("calc.interaction.elastic.range", lambda *_: (), raising=False)
    with pytest.raises(InputError) as caught:
        model.together(44482.216)
    said = "no equilibrium was found at 10000 lbf per stud: look at the gasket's stiffness and the dimensions"
    assert line(caught.value.finding, system("US")) == said
