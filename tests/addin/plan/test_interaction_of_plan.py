"""What a plan says of interaction and the engineer's workbook: numbers of the functions, wording, nothing on cards."""

import json
import re
import zipfile
from pathlib import Path
from typing import Any

import msgspec
import openpyxl
import pytest
from plain_plan import plain, plain_joint

from addin.cards.engineer_sheet import HEAD, joints_of, write_engineer_book
from addin.cards.sheets import write_pack
from addin.functions.gate import answer
from addin.functions.interaction_words import WORDING
from addin.functions.registry import BY_NAME
from addin.plan.file import Plan
from addin.plan.writer import PlanWriter
from addin.reading.joint_list import read_joint_list
from addin.workbooks.package import WorkbookError
from addin.wrenches.wrench_book import read_wrench_book
from calc.plan.joints import PlanSettings
from calc.plan.plan import plan_joints
from calc.units import system

ROOT = Path(__file__).parents[3]
BOOK = ROOT / "samples" / "drigrauvex-wrenches.xlsx"
HEADS = [
    "Joint", "Operation", "Method", "Stud size", "Studs", "Grade", "Nut series", "Stress (psi)", "Stress area",
    "Torque (ft-lb)", "Nut factor", "At once", "Job date", "Grip (in)", "Bolt circle (in)",
    "Flange outside diameter (in)", "Flange inside diameter (in)", "Flange thickness (in)",
    "Gasket inside diameter (in)", "Gasket outside diameter (in)", "Gasket kind", "Stud maximum (psi)",
    "Gasket maximum (psi)",
]  # fmt: skip
SIZES = [3.4, 13.0, 15.0, 7.98, 1.62, 8.95, 10.25]
FORBIDDEN = {"safe", "tight", "acceptable", "approved"}


def digits(values: list[Any]) -> list[Any]:
    """Numbers to the digits that a workbook keeps."""
    return [float(f"{value:.14g}") if isinstance(value, (int, float)) else value for value in values]


def row(tag: str, operation: str = "final make-up", **change: Any) -> list[Any]:
    """A joint of twelve studs like one of 8 in, class 300 (from memory); `change` by heading without its unit."""
    values = [tag, operation, "hydraulic", "7/8-9 UN", 12, "A193 B7", "heavy hex", 45000, "root B1.1", None, 0.15, 1,
              "2026-10-12", *SIZES, "spiral wound", None, None]  # fmt: skip
    given = dict(zip([head.split(" (")[0] for head in HEADS], values, strict=True))
    assert set(change) <= {name.replace(" ", "_").lower() for name in given}
    return [change.get(name.replace(" ", "_").lower(), value) for name, value in given.items()]


ROWS = [
    row("V-1", "test make-up"),
    row("V-1"),
    row("V-2", stud_maximum=70000, gasket_maximum=40000),
    row("V-3", grip=None, gasket_kind=None),
    row("V-4", stress=None, stress_area=None, torque=300, nut_factor=None),
    row("V-5", **{name.replace(" ", "_").lower(): None for name in (
        "Bolt circle", "Flange outside diameter", "Flange inside diameter", "Flange thickness")}),
    row("V-6", bolt_circle=14.5),
    row("=V-7", gasket_kind="Spiral wound", method="hand"),
    row("V-8", "retighten"),
]  # fmt: skip


@pytest.fixture(scope="module")
def plans(tmp_path_factory: pytest.TempPathFactory) -> tuple[Plan, Plan]:
    """The list planned without interaction and with it."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Joints"
    for line in [HEADS, *ROWS]:
        sheet.append(line)
    sheet.cell(9, 1).data_type = "s"
    path = tmp_path_factory.mktemp("list") / "eight.xlsx"
    book.save(path)
    joint_list, wrenches = read_joint_list(path), read_wrench_book(BOOK, system("US"))
    plan = plan_joints(joint_list.rows.joints, wrenches.wrenches, wrenches.gauges, wrenches.lubricants, PlanSettings())
    made = []
    for wanted in (False, True):
        writer = PlanWriter(joint_list, wrenches, plan, interaction=wanted)
        made.append(writer.plan())
    return made[0], made[1]


@pytest.fixture(scope="module")
def blocks(plans: tuple[Plan, Plan]) -> dict[tuple[str, str], Any]:
    return {(joint.joint, joint.operation): plain(joint.interaction) for joint in plans[1].joints}


@pytest.fixture(scope="module")
def workbook(plans: tuple[Plan, Plan], tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("engineer") / "eight-engineer.xlsx"
    assert write_engineer_book(plans[1], target) == len(joints_of(plans[1])) == 4
    return target


def test_a_plan_is_the_same_with_it_and_without(plans: tuple[Plan, Plan]) -> None:
    without, with_it = plans

    assert all(joint.interaction is None for joint in without.joints)
    assert [msgspec.structs.replace(joint, interaction=None) for joint in with_it.joints] == without.joints
    assert all(joint.card for joint in with_it.joints if joint.planned)


def test_which_rows_have_a_block_and_why_others_have_none(blocks: dict[tuple[str, str], Any]) -> None:
    said = {tag: (block or {}).get("note") for (tag, _), block in blocks.items()}

    assert said["V-1"] is said["V-2"] is said["=V-7"] is None
    assert said["V-3"] == "not worked out: grip and gasket kind are needed"
    assert said["V-4"] == "not worked out: friction not stated, so the preload is not known"
    assert said["V-6"].startswith("not worked out: bolt circle 14.5 in must lie between ")
    assert blocks["V-5", "final make-up"] is None
    assert blocks["V-8", "retighten"] is None
    assert blocks["V-1", "test make-up"] == blocks["V-1", "final make-up"]


def test_numbers_are_those_of_the_worksheet_functions(blocks: dict[tuple[str, str], Any]) -> None:
    labels = ("Grip", "Bolt circle", "Flange outside diameter", "Flange inside diameter", "Flange thickness",
              "Gasket inside diameter", "Gasket outside diameter")  # fmt: skip
    inputs = [
        ["Studs", 12],
        ["Thread", "7/8-9"],
        ["Gasket kind", "spiral wound"],
        *map(list, zip(labels, SIZES, strict=True)),
    ]
    preload = answer(BY_NAME["preload_from_stress"], (45000, "7/8-9", "US", "root B1.1"))
    block = blocks["V-1", "final make-up"]
    kept = answer(BY_NAME["residual_preload"], (inputs, preload, "US"))
    course = answer(BY_NAME["pass_progress"], (inputs, preload, "US"))

    assert block["target"] == {"value": preload, "unit": "lbf"}
    assert [[s["stud"], s["kept"], s["p5"], s["p95"]] for s in block["studs"]] == [r[:4] for r in kept[1:13]]
    names = ("mean", "lowest", "variation_percent", "highest")
    assert [[s["band_low"], s["band_high"]] for s in block["studs"]] == [r[5:7] for r in kept[1:13]]
    assert [[p[name] for name in ("lowest_low", "lowest_high", "uneven")] for p in block["passes"]] == [
        r[10:13] for r in course[1:6]
    ]
    assert block["band"] in [r[-1] for r in kept]
    assert [[p[name] for name in names] for p in block["passes"]] == [pytest.approx(r[4:8]) for r in course[1:6]]
    assert [p["pattern"] for p in block["passes"]] == ["cross", "cross", "cross", "circular", "circular"]
    line = next(r[-1] for r in course if str(r[-1]).startswith("Circular passes to"))
    assert f"target: {block['circular_passes']['count']};" in line


def test_settings_above_the_target_only_with_both_limits_and_where_they_help(
    blocks: dict[tuple[str, str], Any], plans: tuple[Plan, Plan]
) -> None:
    plain, raised = blocks["V-1", "final make-up"], blocks["V-2", "final make-up"]
    joint = plain_joint(plans[1].head, plans[1].joints[2])

    assert plain["settings"] is None
    assert plain["said"][-1] == "Settings stud by stud need both limits, of stud and gasket, and are not worked out."
    if raised["settings"] is None:
        assert raised["said"][-1].startswith("Lowest stud after the closing circular pass: ")
        assert "Settings stud by stud are not offered" in raised["said"][-1]
    else:
        found = raised["settings"]
        assert "Settings above 100 % are for review by the responsible engineer." in found["said"]
        assert 100 < max(s["percent"] for s in found["studs"]) <= found["cap_percent"] <= 130
        for stud in found["studs"]:
            assert stud["torque"] == pytest.approx(stud["percent"] / 100 * joint["torque"]["value"])


def test_wording_and_no_promises(blocks: dict[tuple[str, str], Any]) -> None:
    for block in blocks.values():
        if block and block["passes"]:
            assert block["wording"] == WORDING
        assert not FORBIDDEN & set(re.findall(r"[a-z]+", json.dumps(block).lower()))


def test_a_limit_that_the_plan_itself_passes_is_said(blocks: dict[tuple[str, str], Any]) -> None:
    block = blocks["V-2", "final make-up"]
    highest = max(p["highest"] for p in block["passes"])

    assert (highest > 70000 * 0.3923) == bool(block["cautions"])  # root area of 7/8-9, PCC-1 (formula)
    assert "Highest load of any stud on the way: P95 " in block["scatter"]
    assert "a stud passes it in " in block["scatter"]


def test_nothing_of_it_reaches_a_card(plans: tuple[Plan, Plan], tmp_path: Path) -> None:
    written = []
    for number, plan in enumerate(plans):
        target = tmp_path / f"{number}.xlsx"
        write_pack(plan, ROOT / "templates" / "joint card.xlsx", target)
        with zipfile.ZipFile(target) as parts:
            written.append({name: parts.read(name) for name in parts.namelist()})

    assert len(written[0]) > 10
    assert written[0] == written[1]


def test_a_sheet_shows_wording_results_inputs_and_assumptions(workbook: Path, plans: tuple[Plan, Plan]) -> None:
    book = openpyxl.load_workbook(workbook)
    for sheet, joint in zip(book, joints_of(plans[1]), strict=True):
        block = plain(joint.interaction)
        values = [digits([cell.value for cell in line]) for line in sheet.iter_rows()]
        texts = [str(value) for line in values for value in line if isinstance(value, str)]
        assert sum(text == WORDING for text in texts) == 1
        assert texts[1] == HEAD
        assert not FORBIDDEN & set(re.findall(r"[a-z]+", " ".join(texts).lower()))
        assert not any(cell.data_type == "f" for line in sheet.iter_rows() for cell in line)
        assert any(text.startswith("Recommended circular passes: ") for text in texts)
        for stud in block["studs"]:
            assert digits([stud["stud"], stud["kept"], stud["p5"], stud["p95"]]) in [line[:4] for line in values]
        for stud in (block["settings"] or {"studs": []})["studs"]:
            assert digits([stud["stud"], stud["percent"], stud["load"], stud["torque"]]) in [
                line[:4] for line in values
            ]
        for part in (*block["inputs"], *block["assumed"]):
            shown = [(line[0], line[3], line[4] or "") for line in values]
            assert (part["name"], *digits([part["value"]]), part["unit"]) in shown
        for part in block["assumed"]:
            assert (part["name"], part["range"], part["basis"]) in [(v[0], v[5] or "", v[7]) for v in values]


def test_the_chart_draws_the_kept_loads_of_every_pass(workbook: Path, plans: tuple[Plan, Plan]) -> None:
    book = openpyxl.load_workbook(workbook)
    for sheet, joint in zip(book, joints_of(plans[1]), strict=True):
        chart, circle = sheet._charts  # noqa: SLF001  # openpyxl has no public list of the charts it read
        passes = plain(joint.interaction)["passes"]
        assert len(chart.series) == len(passes) + 2

        def drawn(reference: str, sheet: Any = sheet) -> list[Any]:
            return digits([cell.value for (cell,) in sheet[reference.split("!")[1].replace("$", "")]])

        studs, target = plain(joint.interaction)["studs"], joint.interaction.target.value
        for series, end in zip(chart.series[len(passes) :], ("band_low", "band_high"), strict=True):
            assert drawn(series.yVal.numRef.f) == digits([s[end] for s in studs])
        kept, low, high, whole = (drawn(series.val.numRef.f) for series in circle.series)
        assert kept == pytest.approx([100 * load / target for load in passes[-1]["kept"]])
        assert low == pytest.approx([100 * s["band_low"] / target for s in studs])
        assert high == pytest.approx([100 * s["band_high"] / target for s in studs])
        assert whole == [100] * len(studs)
        for series, each in zip(chart.series[: len(passes)], passes, strict=True):
            area = series.yVal.numRef.f.split("!")[1].replace("$", "")
            assert digits([cell.value for (cell,) in sheet[area]]) == digits(each["kept"])
            places = series.xVal.numRef.f.split("!")[1].replace("$", "")
            assert [cell.value for (cell,) in sheet[places]] == [s.stud for s in joint.interaction.studs]
        name = sheet[chart.series[0].tx.strRef.f.split("!")[1].replace("$", "")].value
        assert name == "pass 1: 30 % cross"


def test_a_workbook_that_is_there_stays(workbook: Path, plans: tuple[Plan, Plan]) -> None:
    before = workbook.read_bytes()

    with pytest.raises(WorkbookError):
        write_engineer_book(plans[1], workbook)
    assert workbook.read_bytes() == before


def test_no_workbook_where_nothing_was_worked_out(plans: tuple[Plan, Plan], tmp_path: Path) -> None:
    assert write_engineer_book(plans[0], tmp_path / "none.xlsx") == 0
    assert not list(tmp_path.iterdir())
