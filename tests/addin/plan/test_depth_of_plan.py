"""What the plan file says of limits, range, break-out and time, and the working behind a card, on the sample list."""

from collections import Counter
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner
from plain_plan import plain_plan

from addin.cli import main
from addin.plan.file import Plan, read_plan
from addin.plan.limits import RANGE_NOT_CHECKED
from addin.plan.working import joint_working

SAMPLES = Path(__file__).parents[3] / "samples"
LIST, BOOK = (str(SAMPLES / f"drigrauvex-{name}.xlsx") for name in ("joints", "wrenches"))
INPUTS = {
    "Break-out factor": 1.4, "Gasket area (in²)": 60, "Gasket seating (psi)": 10000, "Gasket operating (psi)": 7000,
    "Gasket maximum (psi)": 40000, "Design pressure (psi)": 300, "Gasket inside diameter (in)": 20,
    "Gasket load kept (%)": 70, "Stud maximum (psi)": 70000, "Stud minimum (psi)": 20000, "Flange limit (psi)": 50000,
    "Grip length (in)": 7,
}  # fmt: skip


def run(folder: Path, path: Path | str, *options: str) -> dict[str, Any]:
    result = CliRunner().invoke(main, ["plan", str(path), "--wrenches", BOOK, "--out", str(folder), *options])
    assert result.exit_code in (0, 1), result.output
    return plain_plan(folder / f"{Path(path).stem}-plan.json")


def cards_of(folder: Path, joint: str) -> None:
    """The cards of one joint, from the plan in a folder."""
    words = ["pack", str(folder / "more-plan.json"), "--out", str(folder), "--only", "cards", "--joint", joint]
    result = CliRunner().invoke(main, words)
    assert result.exit_code in (0, 1), result.output


def with_inputs(folder: Path, inputs: dict[str, Any], rows: tuple[int, ...] = (6, 7, 8)) -> Path:
    book = openpyxl.load_workbook(LIST)
    sheet = book["Joints"]
    first = sheet.max_column + 1
    for k, (heading, value) in enumerate(inputs.items()):
        sheet.cell(5, first + k, heading)
        for row in rows:
            sheet.cell(row, first + k, value)
    path = folder / "more.xlsx"
    book.save(path)
    return path


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    return run(tmp_path_factory.mktemp("sample"), LIST)


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    folder = tmp_path_factory.mktemp("full")
    return run(folder, with_inputs(folder, INPUTS)) | {"folder": folder}


@pytest.fixture(scope="module")
def packed(full: dict[str, Any]) -> Plan:
    return read_plan(full["folder"] / "more-plan.json")


def test_inputs_change_no_number_of_the_plan(sample: dict[str, Any], full: dict[str, Any]) -> None:
    same = ("status", "preload", "torque", "wrench", "link", "setpoint", "torque_at_setpoint", "passes", "order")
    for a, b in zip(sample["joints"][1:], full["joints"][1:], strict=True):
        assert {name: a[name] for name in same} == {name: b[name] for name in same}


def test_a_row_without_inputs_has_the_stud_ceiling_alone(sample: dict[str, Any]) -> None:
    planned = [joint for joint in sample["joints"] if joint["status"] == "planned"]

    assert planned
    assert all([limit["name"] for limit in joint["limits"]] == ["stud ceiling"] for joint in planned)


def test_limits_have_values_or_the_reason_why_not(full: dict[str, Any]) -> None:
    """Gasket seating 10 ksi on 60 in² over 24 studs of 1.1549 in² root area: 21.65 ksi (PCC-1, formula)."""
    limits = {limit["name"]: limit for limit in full["joints"][2]["limits"]}

    assert limits["gasket seating"]["value"]["value"] == pytest.approx(21_647, abs=5)
    assert limits["gasket seating"]["reached"]["value"] == pytest.approx(43_700)
    assert limits["flange limit"]["note"] == "on the root B1.1 area, not kept at the high side of the range"
    assert limits["flange rotation"]["value"] is None
    assert limits["flange rotation"]["note"] == "not checked: needs flange rotation and rotation limit"
    for limit in limits.values():
        assert (limit["value"] is None) == limit["note"].startswith("not ")


def test_a_missing_input_is_named(tmp_path: Path) -> None:
    inputs = {k: v for k, v in INPUTS.items() if not k.startswith("Gasket inside")}
    plan = run(tmp_path, with_inputs(tmp_path, inputs))
    joint = plan["joints"][1]

    note = next(limit["note"] for limit in joint["limits"] if limit["name"] == "gasket operating")
    assert note == "not checked: needs gasket inside diameter"
    assert "gasket operating not checked: gasket inside diameter is needed" in [f["text"] for f in joint["findings"]]


def test_the_range_states_its_scatter(full: dict[str, Any], sample: dict[str, Any]) -> None:
    """L-20 of the sample: nut factor 0.12, 0.145, 0.175: 0.145/0.175 and 0.145/0.12 of the preload meant (formula).

    Gauge G-2 is of class 0.6 to 10,000 psi, 60 psi of a setpoint of 2050: 2.927 %. Root of the sum of squares, by hand:
    low sqrt(17.1429² + 2.9268²) = 17.391 %, high sqrt(20.8333² + 2.9268²) = 21.038 %.
    """
    reach, preload = full["joints"][1]["range"], full["joints"][1]["preload"]["value"]

    assert reach["nominal"]["value"] == preload
    assert full["joints"][1]["setpoint"] == {"value": 2050, "unit": "psi"}
    assert reach["low"]["value"] == pytest.approx(preload * (1 - 0.17391), rel=1e-5)
    assert reach["high"]["value"] == pytest.approx(preload * 1.21038, rel=1e-5)
    assert reach["kept"]["value"] == pytest.approx(0.7 * reach["low"]["value"])
    assert reach["note"].startswith("nut factor 0.12 to 0.175 of L-20 (Site friction test 25-007")
    assert reach["note"].endswith(
        "); gauge ±2.93 % of the setpoint, G-2 by its class, in quadrature; wrench comes on top"
    )
    assert reach["holds"] == "nut factor 0.12 to 0.175, gauge ±2.9 %; wrench not in it"
    silent = [
        joint["range"] for joint in sample["joints"] if joint["status"] == "planned" and not joint["range"]["low"]
    ]
    assert {reach["note"] for reach in silent} <= {RANGE_NOT_CHECKED, "not known: friction not stated"}
    assert RANGE_NOT_CHECKED in {reach["note"] for reach in silent}


def test_a_published_scatter_only_where_it_is_set(tmp_path: Path) -> None:
    plan = run(tmp_path, LIST, "--scatter", "torque, lubricated")
    reaches = [joint["range"] for joint in plan["joints"] if joint["status"] == "planned" and joint["preload"]]

    assert plan["settings"]["scatter_method"] == "torque, lubricated"
    assert all(reach["low"] for reach in reaches)
    assert any(
        reach["note"].startswith("published scatter of torque, lubricated, -25 % and +25 %") for reach in reaches
    )
    assert {reach["holds"] for reach in reaches if reach["note"].startswith("published")} == {
        "published scatter, wrench and gauge in it"
    }
    assert not any("gauge ±" in reach["note"] for reach in reaches if reach["note"].startswith("published"))


def test_certificates_of_wrench_and_gauge_are_in_the_range_and_a_gauge_without_a_class_is_said_not_to_be(
    tmp_path: Path,
) -> None:
    """G-2: 0.4 % of 10,000 psi on its certificate, not its class of 0.6 %; 40 psi of 2550 are 1.569 %, HW-2's 1.5 %.

    By hand: low sqrt(17.143² + 1.569² + 1.5²) = 17.280 %, high sqrt(20.833² + 1.569² + 1.5²) = 20.946 %.
    """
    book = openpyxl.load_workbook(BOOK)
    gauges = book["Gauges"]
    gauges["I1"], gauges["I3"], gauges["E2"] = "Largest deviation", "0.4 %", None
    for name in [name for name in book.sheetnames if name.startswith("HW-")]:
        book[name].insert_rows(2)
        book[name]["A2"], book[name]["B2"] = "Uncertainty (%)", 1.5
    path = tmp_path / "wrenches.xlsx"
    book.save(path)
    assert CliRunner().invoke(main, ["plan", LIST, "--wrenches", str(path), "--out", str(tmp_path)]).exit_code in (0, 1)
    joints = plain_plan(tmp_path / "drigrauvex-joints-plan.json")["joints"]
    reach, nominal = joints[2]["range"], joints[2]["preload"]["value"]

    assert joints[2]["setpoint"] == {"value": 2550, "unit": "psi"}
    assert reach["low"]["value"] == pytest.approx(nominal * (1 - 0.17280), rel=1e-5)
    assert reach["high"]["value"] == pytest.approx(nominal * 1.20946, rel=1e-5)
    assert reach["note"].endswith(
        "; certificate of the wrench ±1.5 % and gauge ±1.57 % of the setpoint, G-2 by its certificate, in quadrature"
    )
    assert reach["holds"] == "nut factor 0.12 to 0.175, wrench ±1.5 %, gauge ±1.6 %"
    silent = next(joint for joint in joints if joint["wrenches"] and joint["wrenches"][0]["gauge"] == "G-1")
    assert [tool["wrench"] for tool in silent["wrenches"]] == ["HW-3", "HW-4"]
    assert silent["range"]["note"].endswith(
        "; certificate of the wrench ±1.5 %, the most of HW-3 and HW-4, in quadrature; "
        "gauge G-1 not in it: no class or deviation stated as a number"
    )
    assert silent["range"]["holds"].endswith(", wrench ±1.5 %; gauge not in it")


def test_a_break_row_has_its_block_and_no_torque_to_set(full: dict[str, Any]) -> None:
    joint = full["joints"][0]
    block = joint["breakout"]

    assert (joint["operation"], joint["status"]) == ("break", "planned")
    assert joint["passes"] == []
    assert joint["torque"] is joint["setpoint"] is joint["preload"] is None
    assert block["expected"] == {"value": pytest.approx(1.4 * 1090), "unit": "lbf·ft"}
    assert block["factor_from"] == "the list"
    pressures = [stage["pressure"]["value"] for stage in block["stages"]]
    assert pressures == sorted(set(pressures))
    assert all(pressure % 50 == 0 for pressure in pressures)  # marks of gauge G-2
    assert pressures[-1] <= block["highest_pressure"]["value"]
    assert joint["card"]
    assert full["totals"]["planned"] == sum(j["status"] == "planned" for j in full["joints"])


def test_the_setting_for_the_whole_list_plans_break_rows_too(tmp_path: Path, sample: dict[str, Any]) -> None:
    plan = run(tmp_path, LIST, "--breakout-factor", "1.5")
    opened = [joint for joint in plan["joints"] if joint.get("breakout")]

    assert opened
    assert plan["settings"]["breakout_factor"] == 1.5
    assert sample["settings"]["breakout_factor"] is None
    assert not any(joint.get("breakout") for joint in sample["joints"])
    said = [f["text"] for f in sample["joints"][0]["findings"]]
    factor = "a factor for all rows: --breakout-factor FACTOR"
    assert said == [f"break-out not planned: break-out factor is needed ({factor})"]
    refused = CliRunner().invoke(main, ["plan", LIST, "--wrenches", BOOK, "--out", "x", "--breakout-factor", "50"])
    assert "50 is not between 0.8 and 5" in refused.output


def test_the_planned_workbook_sets_no_pressure_for_a_break_out(tmp_path: Path) -> None:
    run(tmp_path, with_inputs(tmp_path, INPUTS))
    sheet = openpyxl.load_workbook(tmp_path / "more-planned.xlsx")["Joints"]
    heads = {str(cell.value): cell.column for cell in sheet[5] if cell.value}
    setting = next(column for heading, column in heads.items() if heading.startswith("Pressure to set"))

    assert sheet.cell(6, setting).value == "break-out"
    passes = {sheet.cell(6, column).value for heading, column in heads.items() if heading.startswith("Pass ")}
    assert passes == {"–"}
    assert sheet.cell(6, heads["Wrench"] if heads["Wrench"] > setting else setting - 3).value


def test_time_or_what_is_missing_for_it(full: dict[str, Any], sample: dict[str, Any]) -> None:
    stated = [joint["duration"] for joint in sample["joints"] if joint.get("duration")]

    assert stated
    assert {time["note"] for time in stated} == {"not estimated: needs grip", "not estimated: needs preload"}
    assert full["joints"][1]["duration"]["value"] > 0
    assert "waits not in it" in full["joints"][1]["duration"]["note"]


# --- the working behind a card ---------------------------------------------------------------------------------------


def test_every_number_of_a_card_is_the_last_line_of_its_working(packed: Plan) -> None:
    """To the bit: the plan and the chain of single functions are one calculation."""
    found: Counter[tuple[str, bool | None]] = Counter()
    for joint in packed.joints:
        for section in joint_working(packed.head, joint):
            found[section.function, section.agrees] += 1
            assert len(section.rows) > 1, section.rows

    assert not [name for (name, agrees) in found if agrees is False]
    assert found["setpoint", True] > 20
    assert found["torque_from_preload", True] > 15
    assert found["torque_from_friction", True] >= 2
    assert found["breakout_check", None] == 1


def test_a_row_that_is_not_planned_has_no_working(packed: Plan) -> None:
    assert all(joint_working(packed.head, joint) == [] for joint in packed.joints if not joint.planned)


def test_working_on_the_command_line() -> None:
    words = ["call", "working", "torque_from_preload", "45000", "1 1/4", "0.15", "US"]
    result = CliRunner().invoke(main, words)
    lines = [line.split("\t") for line in result.output.splitlines()]

    assert result.exit_code == 0
    assert lines[-1][:5] == ["result", "torque: nut factor times diameter times preload", "T", "T = K D F", "703.125"]
    table = CliRunner().invoke(
        main, ["call", "working", "setpoint", "2210", str(SAMPLES / "HW-3-calibration.csv"), "US"]
    )
    assert table.exit_code == 0
    assert table.output.splitlines()[-1].startswith("result\t")


def test_a_block_of_inputs_may_be_a_csv(tmp_path: Path) -> None:
    path = tmp_path / "inputs.csv"
    path.write_text("Friction scatter,25\nLoad kept,95\n", encoding="utf-8")
    result = CliRunner().invoke(main, ["call", "preload_range", "500", "1", "0.2", str(path), "US"])

    assert result.exit_code == 0
    assert result.output.splitlines()[1].split("\t")[:4] == [
        "preload, quadrature",
        "22500",
        "30000",
        "37500",
    ]


def test_an_uplift_and_a_named_pattern_reach_card_plan_and_working(tmp_path: Path) -> None:
    """34600 psi x 1.08 = 37368 psi; quadrants of 24 studs begin 1, 13, 7, 19, 2."""
    inputs = {"Uplift": 1.08, "Uplift reason": "creep, N. Example", **INPUTS}
    book = openpyxl.load_workbook(with_inputs(tmp_path, inputs, rows=(7,)))
    sheet = book["Joints"]
    order = next(cell.column for cell in sheet[5] if cell.value == "Order")
    sheet.cell(7, order, "quadrants")
    sheet.cell(8, order, "groups of 2")
    book.save(tmp_path / "more.xlsx")
    run(tmp_path / "out", tmp_path / "more.xlsx")
    plan = read_plan(tmp_path / "out" / "more-plan.json")
    first, second = (next(j for j in plan.joints if j.row == row) for row in (7, 8))
    cards_of(tmp_path / "out", first.joint)

    assert first.target is not None
    assert first.target.basis == (
        "stress 34600 psi on the root B1.1 area, raised by the engineer x 1.08 to 37368 psi (creep, N. Example)"
    )
    assert [move[0] for move in plan.head.order(first)][:5] == [1, 13, 7, 19, 2]
    assert [move[0] for move in plan.head.order(second)][:5] == [1, 2, 13, 14, 7]
    assert [p.pattern for p in plan.head.passes(first)][1:4] == ["quadrants"] * 3
    working = str(joint_working(plan.head, first))
    assert "37368" in working
    cards = openpyxl.load_workbook(tmp_path / "out" / "more-cards.xlsx")
    texts = [str(cell.value) for sheet in cards for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert "Order: quadrants; each line from left to right" in texts
    assert any("34.6 ksi on the root B1.1 area, raised by the engineer x 1.08 to 37.4 ksi (creep, N. Example)" in text
               for text in texts)  # fmt: skip
    assert "A tick for each stud and pass, columns in the order of page 1" in texts
    assert any("\nNot checked: flange rotation" in text for text in texts)


def test_an_uplift_for_interaction_stands_on_card_copy_and_working(tmp_path: Path) -> None:
    """Pass 3 goes to 108 % of the torque, pass 4 back to 100 %: its own mark, and no other pass is touched."""
    inputs = {"Uplift": 1.08, "Uplift reason": "interaction, N. Example", **INPUTS}
    plain = run(tmp_path / "plain", with_inputs(tmp_path, INPUTS, rows=(7,)))
    run(tmp_path / "out", with_inputs(tmp_path, inputs, rows=(7,)))
    plan = read_plan(tmp_path / "out" / "more-plan.json")
    joint, other = (next(j for j in plan.joints if j.row == row) for row in (7, 8))
    cards_of(tmp_path / "out", joint.joint)
    before = next(j for j in plain["joints"] if j["row"] == 7)

    assert joint.target is not None
    assert joint.torque is not None
    assert joint.target.basis == (
        "stress 34600 psi on the root B1.1 area; pass 3 raised by the engineer x 1.08 (interaction, N. Example)"
    )
    passes = plan.head.passes(joint)
    assert [p.percent for p in passes] == [None, 30, 60, 108, 100, 100]
    assert passes[3].torque is not None
    assert passes[3].torque.value == pytest.approx(1.08 * joint.torque.value)
    assert (
        passes[3].note
        == "raised by the engineer x 1.08 (interaction, N. Example); the pass after it goes back to 100 %"
    )
    settings = [p.pressure and p.pressure.value for p in passes]
    assert settings[4] == settings[5] == before["setpoint"]["value"]
    assert float(settings[3] or 0) > float(settings[4] or 0)
    assert settings[:3] == [p["pressure"] and p["pressure"]["value"] for p in before["passes"]][:3]
    assert [p.percent for p in plan.head.passes(other)] == [None, 30, 60, 100, 100, 100]

    sheet = openpyxl.load_workbook(tmp_path / "out" / "more-planned.xlsx")["Joints"]
    heads = {str(cell.value): cell.column for cell in sheet[5] if cell.value}
    third = next(column for heading, column in heads.items() if heading.startswith("Pass 3"))
    full = next(column for heading, column in heads.items() if heading.startswith("Pressure to set"))
    assert sheet.cell(7, third).value == settings[3]
    assert sheet.cell(8, third).value == sheet.cell(8, full).value

    working = joint_working(plan.head, joint)
    assert [section.arguments[0] for section in working if section.agrees and section.function == "setpoint"] == [
        joint.torque.value, *(p.torque.value for p in passes[1:4] if p.torque),
    ]  # fmt: skip
    cards = openpyxl.load_workbook(tmp_path / "out" / "more-cards.xlsx")
    texts = [str(cell.value) for page in cards for row in page.iter_rows() for cell in row if cell.value is not None]
    assert any("raised by the engineer x 1.08 (interaction, N. Example); the pass after it goes back to 100 %" in text
               for text in texts)  # fmt: skip
