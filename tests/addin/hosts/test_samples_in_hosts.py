"""The sample list in all three hosts: the whole plan in one call, and the chain of single functions row by row."""

import datetime
import sys
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from plain_plan import plain_whole

from addin.cells.texts import is_stop
from addin.functions.gate import answer
from addin.functions.registry import BY_NAME
from addin.hosts.libreoffice.office import Office
from addin.plan.writer import PlanWriter
from addin.reading.joint_list import read_joint_list
from addin.shipped import folder
from addin.wrenches.wrench_book import read_wrench_book
from calc.plan.joints import PlanSettings
from calc.plan.plan import plan_joints
from calc.units import system

sys.path.insert(0, str(Path(__file__).parents[2]))  # pytest, looking for doctests, imports this file by its path
from excel_stand_ins import Excel, Time, as_com  # noqa: E402

LIST, BOOK = (Path(folder("samples")) / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches"))
Rows = list[list[Any]]


@pytest.fixture(scope="module")
def plan() -> dict[str, Any]:
    book, joint_list = read_wrench_book(BOOK, system("US")), read_joint_list(LIST)
    plans = plan_joints(joint_list.rows.joints, book.wrenches, book.gauges, book.lubricants, PlanSettings())
    return plain_whole(PlanWriter(joint_list, book, plans).plan())


def joints(plan: dict[str, Any]) -> Rows:
    """The list with the nut factor in place of the lubricant, which only a wrench book knows."""
    rows = [list(row) for row in openpyxl.load_workbook(LIST, read_only=True)["Joints"].iter_rows(values_only=True)]
    head = next(i for i, row in enumerate(rows) if row[0] == "Joint")
    rows = [rows[head], *(row for row in rows[head + 1 :] if row[0])]
    targets = {(joint["joint"], joint["operation"]): joint["target"] for joint in plan["joints"]}
    factors = {key: target["friction"]["nut_factor"] for key, target in targets.items() if target}
    lubricant, factor = rows[0].index("Lubricant"), rows[0].index("Nut factor")
    for row in rows[1:]:
        if row[lubricant]:
            row[lubricant], row[factor] = None, factors.get((row[0], row[1]))
    return rows


def wrenches(plan: dict[str, Any]) -> Rows:
    """The wrenches of the book as the range that joint_plan takes: those with a table in psi and ft-lb."""
    rows: Rows = [["Wrench", "Pressure (psi)", "Torque (ft-lb)", "Graduation (psi)"]]
    for wrench in plan["wrenches"]:
        for point in wrench["table"]:
            if (point["pressure"]["unit"], point["torque"]["unit"]) == ("psi", "lbf·ft"):
                rows.append([wrench["name"], point["pressure"]["value"], point["torque"]["value"], 100.0])
    return rows


def dated(rows: Rows, make: Any) -> Rows:
    """Rows with their dates as a host delivers them."""
    return [[make(cell) if isinstance(cell, datetime.datetime) else cell for cell in row] for row in rows]


def test_the_whole_plan_in_one_call(
    office: Office, excel: Excel, calls: Any, compare: Any, plan: dict[str, Any]
) -> None:
    """Dates are typed as text in Calc, which delivers a date cell as a number; Excel delivers a date."""
    function, book = BY_NAME["joint_plan"], wrenches(plan)
    rows = joints(plan)
    wanted = answer(function, [rows, book, "US"])
    assert sum(row[2] == "planned" for row in wanted) >= 20
    as_excel = dated(rows, lambda day: Time(day.year, day.month, day.day))
    assert excel.call("joint_plan", as_com(as_excel), as_com(book), "US") == wanted
    as_text = dated(rows, lambda day: day.date().isoformat())
    assert answer(function, [as_text, book, "US"]) == wanted
    calls.add("the sample list", function, [as_text, book, "US"])
    assert compare(office, calls) == []


def test_the_chain_of_single_functions(
    office: Office, excel: Excel, calls: Any, compare: Any, plan: dict[str, Any]
) -> None:
    """Every planned row with a stress: what the plan has is what the cells show, in each host."""
    tables = {
        wrench["name"]: (
            (
                f"Pressure ({wrench['table'][0]['pressure']['unit']})",
                f"Torque ({wrench['table'][0]['torque']['unit']})",
            ),
            *((point["pressure"]["value"], point["torque"]["value"]) for point in wrench["table"]),
        )
        for wrench in plan["wrenches"]
    }
    done = 0
    for joint in plan["joints"]:
        target = joint["target"]
        if joint["status"] != "planned" or target["kind"] != "stress" or target["friction"]["nut_factor"] is None:
            continue
        units = "US" if joint["torque"]["unit"] == "lbf·ft" else "SI"
        stress = f"{target['stated']['value']!r} {target['stated']['unit']}"
        chain: list[tuple[str, list[Any], Any]] = [
            ("preload_from_stress", [stress, joint["thread"], units, target["area"]], joint["preload"]["value"]),
            ("torque_from_preload",
             [joint["preload"]["value"], joint["thread"], target["friction"]["nut_factor"], units],
             joint["torque"]["value"]),
        ]  # fmt: skip
        if len(joint["wrenches"]) == 1 and joint["wrench"] in tables:
            gauge = next(g for g in plan["gauges"] if g["name"] == joint["gauge"])["graduation"]
            values = [joint["torque"]["value"], tables[joint["wrench"]], f"{units} {gauge['unit']}", gauge["value"]]
            chain.append(("pass_table", [*values[:3], plan["settings"]["scheme"], values[3]], None))
        for name, values, planned in chain:
            shown = answer(BY_NAME[name], values)
            assert not is_stop(shown)
            assert planned is None or shown == planned
            assert excel.call(name, *map(as_com, values)) == shown
            calls.add(f"{joint['joint']} {name}", BY_NAME[name], values)
        done += 1
    assert done >= 12
    assert compare(office, calls) == []
