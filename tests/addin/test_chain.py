"""A chain of single worksheet functions equals the plan to the last bit, on every planned row of the sample list."""

import math
from pathlib import Path
from typing import Any

import pytest
from plain_plan import plain_whole

from addin.functions.examples import EXAMPLES
from addin.functions.gate import answer
from addin.functions.registry import BY_NAME, FUNCTIONS
from addin.plan.writer import PlanWriter
from addin.reading.joint_list import JointList, read_joint_list
from addin.shipped import folder
from addin.wrenches.wrench_book import WrenchBook, read_wrench_book
from calc.plan.joints import PlanSettings
from calc.plan.plan import plan_joints
from calc.plan.plans import Plans
from calc.units import system

pytestmark = pytest.mark.usefixtures("worked_out_once")

SAMPLES = folder("samples")
Sample = tuple[JointList, WrenchBook, Plans, dict[str, Any]]


@pytest.fixture(scope="module")
def sample() -> Sample:
    book = read_wrench_book(Path(SAMPLES / "drigrauvex-wrenches.xlsx"), system("US"))
    joint_list = read_joint_list(Path(SAMPLES / "drigrauvex-joints.xlsx"))
    plans = plan_joints(joint_list.rows.joints, book.wrenches, book.gauges, book.lubricants, PlanSettings())
    return joint_list, book, plans, plain_whole(PlanWriter(joint_list, book, plans).plan())


def call(name: str, *values: Any) -> Any:
    result = answer(BY_NAME[name], values)
    assert not (isinstance(result, str) and result.startswith("STOP")), (name, values, result)
    return result


def long_numbers(part: Any) -> list[float]:
    """Numbers with more than 13 digits, wherever they stand."""
    if isinstance(part, dict):
        part = list(part.values())
    if isinstance(part, (list, tuple)):
        return [number for each in part for number in long_numbers(each)]
    return [part] if isinstance(part, float) and float(f"{part:.13g}") != part else []


def test_no_number_leaves_with_the_noise_of_its_last_bits(sample: Sample) -> None:
    assert long_numbers(sample[3]) == []
    for function in FUNCTIONS:
        assert long_numbers(answer(function, EXAMPLES[function.name])) == [], function.name


def preload_by_cells(joint: dict[str, Any], units: str) -> float | None:
    """Preload of a row by the functions a planner would type, from what the row states."""
    target, friction = joint["target"], joint["target"]["friction"]
    stated = f"{target['stated']['value']!r} {target['stated']['unit']}"
    if target["kind"] == "stress":
        return call("preload_from_stress", stated, joint["thread"], units, target["area"])
    if target["kind"] == "percent":
        return call(
            "preload_from_yield", target["stated"]["value"], joint["grade"], joint["thread"], units, target["area"]
        )
    if target["kind"] == "load":
        return target["stated"]["value"]
    if friction["nut_factor"] is None:
        return None
    return call("preload_from_torque", stated, joint["thread"], friction["nut_factor"], units)


def table_of(plan: dict[str, Any], name: str) -> list[list[Any]]:
    rows = next(wrench for wrench in plan["wrenches"] if wrench["name"] == name)["table"]
    head = [f"Pressure ({rows[0]['pressure']['unit']})", f"Torque ({rows[0]['torque']['unit']})"]
    return [head, *([row["pressure"]["value"], row["torque"]["value"]] for row in rows)]


def test_the_sample_has_rows_of_every_kind(sample: Sample) -> None:
    planned = [joint for joint in sample[3]["joints"] if joint["status"] == "planned"]

    assert {joint["target"]["kind"] for joint in planned} == {"stress", "percent", "load", "torque"}
    assert {joint["target"]["friction"]["kind"] for joint in planned} == {"nut factor", "coefficients", "not stated"}
    assert {joint["torque"]["unit"] for joint in planned} == {"lbf·ft", "N·m"}
    assert {joint["method"] for joint in planned} == {"hydraulic", "hand"}


def test_preload_torque_and_stress_by_single_cells(sample: Sample) -> None:
    joint_list, _, _, plan = sample
    compared = 0
    for joint, units in zip(plan["joints"], joint_list.rows.units, strict=True):
        if joint["status"] != "planned":
            continue
        friction = joint["target"]["friction"]
        preload = preload_by_cells(joint, units)
        assert preload == (joint["preload"] and joint["preload"]["value"]), joint["joint"]
        if preload is None:
            continue
        if friction["nut_factor"] is not None and joint["target"]["kind"] != "torque":
            torque = call("torque_from_preload", preload, joint["thread"], friction["nut_factor"], units)
            assert torque == joint["torque"]["value"], joint["joint"]
        elif friction["thread_friction"] is not None:
            torque = call("torque_from_friction", preload, joint["thread"], friction["thread_friction"],
                          friction["nut_friction"], units)  # fmt: skip
            assert torque == joint["torque"]["value"], joint["joint"]
            stress = call("combined_stress", preload, joint["thread"], friction["thread_friction"], units)
            assert stress == joint["limits"][0]["reached"]["value"]
        compared += 1
    assert compared > 30


def test_setpoints_and_passes_by_single_cells(sample: Sample) -> None:
    joint_list, _, plans, plan = sample
    compared = 0
    for i, (joint, units) in enumerate(zip(plan["joints"], joint_list.rows.units, strict=True)):
        if joint["status"] != "planned" or len(joint["wrenches"]) != 1:
            continue
        gauge = next(g for g in plan["gauges"] if g["name"] == joint["gauge"])
        factor = plans.pulling[i][0].link.factor
        own = f"{units} {gauge['graduation']['unit']}"
        table, torque = table_of(plan, joint["wrench"]), joint["torque"]["value"]
        rounding = (gauge["graduation"]["value"], "nearest", 3)
        assert call("setpoint", torque, table, own, *rounding, factor) == joint["setpoint"]["value"], joint["joint"]
        there = call("torque_at_pressure", joint["setpoint"]["value"], table, own, factor)
        assert there == joint["torque_at_setpoint"]["value"], joint["joint"]
        _, *rows = call("pass_table", torque, table, own, plan["settings"]["scheme"], *rounding, factor)
        again = joint["operation"] == "retighten"  # goes round at full torque, and nothing else
        made = [row for row in rows if row[5] == "circular until no nut turns"] if again else rows
        assert len(made) == len(joint["passes"])
        for row, each in zip(made, joint["passes"], strict=True):
            said = [each["percent"], each["torque"], each["pressure"], each["torque_at_pressure"]]
            values = [item["value"] if isinstance(item, dict) else item for item in said]
            shown = [None if isinstance(cell, str) else cell for cell in row[1:5]]
            assert shown == values, (joint["joint"], each["pass"])
        compared += 1
    assert compared > 20


def test_wrench_sizes_and_orders_by_single_cells(sample: Sample) -> None:
    joint_list, _, _, plan = sample
    for joint, units in zip(plan["joints"], joint_list.rows.units, strict=True):
        if joint["status"] != "planned":
            continue
        if joint["across_flats"] and joint["nut_series"]:
            flats = call("nut_across_flats", joint["thread"], units, joint["nut_series"])
            assert flats == joint["across_flats"]["value"], joint["joint"]
        if joint["order_source"] == "cross order":
            moves = call("tightening_order", joint["studs"], joint["at_once"])
            moves = moves if isinstance(moves, list) else [[moves]]
            assert [[int(stud) for stud in move] for move in moves] == joint["order"]


def test_the_list_in_one_call_equals_the_plan(sample: Sample) -> None:
    """joint_plan over the US rows with one wrench: the same numbers as the plan file, bit for bit."""
    joint_list, _, _, plan = sample
    chosen = [j for j, u in zip(plan["joints"], joint_list.rows.units, strict=True)
              if u == "US" and j["status"] == "planned" and j["method"] == "hydraulic" and len(j["wrenches"]) == 1
              and j["wrenches"][0]["link"] and j["target"]["friction"]["nut_factor"]
              and j["order_source"] == "cross order"]  # fmt: skip
    gauge = {g["name"]: g for g in plan["gauges"]}
    list_head = ["Joint", "Operation", "Method", "Stud size", "Studs", "Grade", "Nut series", "Stress", "Stress area",
                 "Percent of yield", "Load", "Torque", "Nut factor", "Wrench", "Job date"]  # fmt: skip
    rows, wrench_rows = [], []
    seen = set()
    for j in chosen:
        stated = f"{j['target']['stated']['value']!r} {j['target']['stated']['unit']}"
        by_kind = {
            kind: stated if kind == j["target"]["kind"] else None for kind in ("stress", "percent", "load", "torque")
        }
        rows.append([j["joint"], j["operation"], j["method"], j["thread"], j["studs"], j["grade"], j["nut_series"],
                     by_kind["stress"], j["target"]["area"], by_kind["percent"], by_kind["load"], by_kind["torque"],
                     j["target"]["friction"]["nut_factor"], j["wrench"], j["date"]])  # fmt: skip
        wrench = next(w for w in plan["wrenches"] if w["name"] == j["wrench"])
        link = next(k for k in wrench["links"] if k["name"] == j["link"])
        if gauge[j["gauge"]]["graduation"]["unit"] != "psi" or (wrench["name"], link["name"]) in seen:
            continue
        seen.add((wrench["name"], link["name"]))
        flats = f"{link['across_flats']['value']!r} {link['across_flats']['unit']}"
        graduation = gauge[j["gauge"]]["graduation"]["value"]
        for point in wrench["table"]:
            pair = [f"{point[k]['value']!r} {point[k]['unit']}" for k in ("pressure", "torque")]
            wrench_rows.append([wrench["name"], *pair, flats, wrench["valid_until"], graduation, link["factor"]])
    head = ["Wrench", "Pressure", "Torque", "Link size", "Valid until", "Graduation", "Link factor"]
    chosen = [(j, row) for j, row in zip(chosen, rows, strict=True) if any(j["wrench"] == w for w, _ in seen)]
    names = [name for name, _ in seen]
    assert len(chosen) > 10
    assert names

    _, *planned = call("joint_plan", [list_head, *(row for _, row in chosen)], [head, *wrench_rows], "US")

    for (j, _), row in zip(chosen, planned, strict=True):
        assert row[2] == "planned", row[3]
        assert row[4] == j["preload"]["value"]
        assert row[5] == j["torque"]["value"]
        assert row[7] == j["setpoint"]["value"]
        assert row[8] == j["torque_at_setpoint"]["value"]
        assert not math.isnan(row[5])
