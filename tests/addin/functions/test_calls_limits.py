"""Limits, gasket loads and range as a cell sees them: missing inputs by name, nothing unchecked shown as kept."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from addin.functions.calls_limits import LIMIT_INPUTS, RANGE_INPUTS
from addin.functions.gate import answer
from addin.functions.registry import BY_NAME

E8 = [
    ["Gasket area (in²)", 18.2949], ["Studs", 12], ["Target gasket stress", "15 ksi"], ["Stud maximum", "73.5 ksi"],
    ["Stud minimum", 42000], ["Flange limit", 60000], ["Gasket seating", 10000], ["Gasket operating (ksi)", 7],
    ["Gasket maximum", "30 ksi"], ["Pressure", 700], ["Gasket inside diameter", 9.19], ["Gasket load kept", 70],
    ["Flange rotation", "0.3 deg"], ["Rotation limit", 1.0],
]  # fmt: skip
KEPT = ("kept", "violated", "not checked")


def call(name: str, *values: Any) -> Any:
    return answer(BY_NAME[name], values)


def limits(inputs: list[list[Any]], thread: str = "7/8-9", units: str = "US") -> dict[str, list[Any]]:
    shown = call("preload_limits", inputs, thread, 0.2, units)
    assert isinstance(shown, list), shown
    return {row[0]: row for row in shown}


def without(*labels: str) -> list[list[Any]]:
    return [row for row in E8 if row[0].split(" (")[0].lower() not in labels]


def test_the_worked_example_of_the_component_approach() -> None:
    """Own inputs, equations of PCC-1 Appendix O from memory, worked out independently: 54.53 ksi and 333.4 lbf·ft."""
    rows = limits(E8)
    ksi = {name: row[1] / 1000 for name, row in rows.items() if isinstance(row[1], float)}

    assert ksi["selected"] == pytest.approx(54.53, abs=0.02)
    assert rows["selected"][3] == pytest.approx(333.4, abs=0.2)
    assert ksi["gasket seating"] == pytest.approx(36.35, abs=0.02)
    assert ksi["gasket operating"] == pytest.approx(49.53, abs=0.02)
    assert ksi["gasket maximum"] == pytest.approx(109.05, abs=0.05)
    assert ksi["flange rotation"] == pytest.approx(200)
    assert rows["violated"][4] == "none of those checked"


def test_numbers_are_those_of_the_chain_of_single_functions() -> None:
    rows = limits(E8)
    stress, preload, torque = rows["flange limit"][1:4]

    assert preload == call("preload_from_stress", stress, "7/8-9", "US", "root B1.1")
    assert torque == call("torque_from_preload", preload, "7/8-9", 0.2, "US")


def test_a_missing_input_is_named_and_its_limit_is_never_kept() -> None:
    row = limits(without("gasket inside diameter"))["gasket operating"]

    assert row[1:4] == ["", "", ""]
    assert row[4:6] == ["not checked", "gasket inside diameter is needed for the gasket operating limit"]


@given(st.sets(st.sampled_from([row[0].split(" (")[0].lower() for row in E8]), max_size=8))
def test_what_was_not_given_is_not_checked_whatever_is_left_out(left_out: set[str]) -> None:
    needs = {"gasket seating": "gasket seating", "gasket operating": "gasket operating", "stud maximum": "stud maximum",
             "gasket maximum": "gasket maximum", "flange limit": "flange limit"}  # fmt: skip
    shown = call("preload_limits", without(*left_out), "7/8-9", 0.2, "US")
    if isinstance(shown, str):
        assert left_out & {"target gasket stress", "gasket area", "studs"}
        return
    rows = {row[0]: row for row in shown}
    for limit, label in needs.items():
        if label in left_out:
            assert rows[limit][4] == "not checked"
            assert label in rows[limit][5]
    assert all(row[4].startswith(KEPT) for name, row in rows.items() if name in needs)


def test_what_governs_and_what_is_violated_is_said() -> None:
    rows = limits([*without("stud maximum", "gasket operating"), ["stud maximum", 50000], ["gasket operating", 9000]])

    assert rows["selected"][1] == pytest.approx(50000)
    assert rows["selected"][4] == "stud maximum governs"
    assert rows["gasket operating"][4] == "violated"
    assert rows["violated"][4] == "gasket operating"


def test_ends_of_the_range_are_judged_where_they_are_given() -> None:
    rows = limits([*E8, ["preload may rise", 20], ["preload may fall", 25]])

    assert rows["flange limit"][4] == "violated at the high side of the range"
    assert rows["violated at an end of the range"][4] == "stud minimum, flange limit and gasket operating"
    assert limits(E8)["violated at an end of the range"][4:6] == [
        "not checked",
        "preload may rise and preload may fall are needed",
    ]


def test_stud_ceiling_with_torsion_is_taken_at_the_high_side() -> None:
    own = [*E8, ["grade", "A193 B7"], ["percent of yield", 90], ["thread friction", 0.12]]
    level, raised = limits(own), limits([*own, ["preload may rise", 25]])
    ceiling = level["stud ceiling with torsion"]

    assert raised["stud ceiling with torsion"][2] == pytest.approx(ceiling[2] / 1.25)
    assert call("combined_stress", ceiling[2], "7/8-9", 0.12, "US") == pytest.approx(0.9 * 105_000)


@pytest.mark.parametrize("kind", ["Cast-iron", "lined", "girth flange", "compact"])
def test_flanges_without_a_published_limit_say_so(kind: str) -> None:
    row = limits([*E8, ["Flange kind", kind]])["flange limit"]

    assert row[4] == "not checked"
    assert "no published flange limit covers" in row[5]


def test_design_loads_stand_beside_them_as_floors() -> None:
    own = [["gasket outside diameter", 10.38], ["gasket m", 3], ["gasket y", 10000], ["facing", "1a"]]
    rows = limits([*E8, *own])

    assert rows["design operating load"][2] == pytest.approx(88563 / 12, rel=1e-4)
    assert rows["design seating load"][2] == pytest.approx(84259 / 12, rel=1e-4)
    assert limits([*E8, *own[:3], ["facing", "1c"]])["design seating load"][4] == "not checked"


@pytest.mark.parametrize(
    ("inputs", "said"),
    [
        ([["Gizmo", 3]], "STOP: inputs: label 'Gizmo' is not known; the labels are gasket area, studs,"),
        ([["Studs", 12], ["studs", 12]], "STOP: inputs: label 'studs' stands twice; keep one"),
        ([["Studs", 12, 5]], "STOP: inputs must be two columns, label and value; a row of it has 3"),
        ([["Gasket area", "18 psi"]], "STOP: 'gasket area': gasket area: unit 'psi' is a unit of pressure; area takes"),
        (
            [["Gasket load kept", 0.7]],
            "STOP: 'gasket load kept': gasket load kept 0.7 looks like a cell formatted as %",
        ),
        ([["Studs", True]], "STOP: 'studs': stud count must be a number, got TRUE"),
        ([["Studs", 12], ["Gasket area", 18]], "STOP: target gasket stress must be given for the target"),
        ([*E8, ["target stud stress", 50000]], "STOP: several targets are given"),
        ([["Gasket area", "STOP: first cause"]], "STOP: first cause"),
    ],
)
def test_refusals_are_one_line(inputs: list[list[Any]], said: str) -> None:
    shown = call("preload_limits", inputs, "7/8-9", 0.2, "US")

    assert shown.startswith(said)
    assert "\n" not in shown


def test_every_label_is_read_back_by_its_own_text() -> None:
    for labels in (LIMIT_INPUTS, RANGE_INPUTS):
        assert len({label.text for label in labels.values()}) == len(labels)
        assert all(name == label.text.replace(" ", "_") for name, label in labels.items())


def test_units_of_the_call_do_not_matter() -> None:
    si = [["Gasket area", "18.2949 in²"], ["Studs", 12], ["Target gasket stress", "15 ksi"]]

    assert limits(si, units="SI")["selected"][1] * 1e6 == pytest.approx(limits(si)["selected"][1] * 6894.757293168)


# --- gasket loads, range ---------------------------------------------------------------------------------------------


def test_gasket_loads_of_the_worked_example() -> None:
    """ASME VIII-1 Appendix 2, own inputs, worked out independently."""
    rows = {row[0]: row[1] for row in call("gasket_design_loads", 10.38, 9.19, 700, 3, 10000, "US", "1a")}

    assert rows["effective width"] == pytest.approx(0.27272, abs=5e-6)
    assert rows["reaction diameter"] == pytest.approx(9.83456, abs=5e-6)
    assert rows["operating load"] == pytest.approx(88_563, abs=0.5)
    assert rows["seating load"] == pytest.approx(84_259, abs=0.5)
    assert call("gasket_design_loads", 9.19, 10.38, 700, 3, 10000, "US", "1a").startswith("STOP: inside diameter")
    assert call("gasket_design_loads", 10.38, 9.19, 700, 3, 10000, "US", "2").startswith("STOP: facing '2' has two")


def spread(inputs: list[list[Any]], torque: float = 500) -> dict[str, list[Any]]:
    shown = call("preload_range", torque, "1", 0.2, inputs, "US")
    assert isinstance(shown, list), shown
    return {row[0]: row for row in shown}


def test_range_of_the_worked_example() -> None:
    """NASA form from memory: 500 lbf·ft, 1 in, K 0.2, ±25 %, 5 % relaxed: 30 000, 37 500 and 21 375 lbf."""
    rows = spread([["friction scatter", 25], ["load kept", 95]])

    assert rows["preload, quadrature"][2:4] == [pytest.approx(30_000), pytest.approx(37_500)]
    assert rows["kept, quadrature"][1] == pytest.approx(21_375)
    assert rows["gasket stress, quadrature"][5] == "gasket area and studs are needed"


def test_quadrature_and_worst_case_are_both_shown() -> None:
    rows = spread([["friction scatter", 30], ["wrench", 40]])

    assert rows["preload, quadrature"][3] == pytest.approx(45_000)
    assert rows["preload, worst case"][3] == pytest.approx(30_000 * 1.3 * 1.4)
    assert rows["kept, quadrature"][1] == "not known"
    assert "gauge not in it: not stated" in rows["preload, quadrature"][5]


def test_nut_factor_ends_and_methods() -> None:
    assert spread([["nut factor low", 0.16], ["nut factor high", 0.25]])["preload, quadrature"][1] == pytest.approx(
        24_000
    )
    published = spread([["method", "torque, lubricated"], ["studs", 16]])
    assert published["preload, quadrature"][3] == pytest.approx(37_500)
    assert published["scatter of the whole joint"][3] == pytest.approx(25 * (1 + 3 / 4) / 4)


@pytest.mark.parametrize(
    ("inputs", "said"),
    [
        ([["load kept", 95]], "STOP: scatter must be stated one way"),
        ([["nut factor low", 0.16]], "STOP: scatter must be stated one way"),
        ([["method", "guess"]], "STOP: method 'guess' has no published scatter"),
        ([["method", "torque, lubricated"], ["wrench", 3]], "STOP: a method's scatter holds wrench and gauge in it"),
        ([["nut factor low", 0.22], ["nut factor high", 0.25]], "STOP: nut factor 0.2 lies outside its own low 0.22"),
    ],
)
def test_a_scatter_is_never_guessed(inputs: list[list[Any]], said: str) -> None:
    assert call("preload_range", 500, "1", 0.2, inputs, "US").startswith(said)
