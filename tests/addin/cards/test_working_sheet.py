"""The page behind a card: its last steps are the plan's numbers, its text stays text, and it is written on request."""

import math
import subprocess
import zipfile
from collections import Counter
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner, Result
from msgspec.structs import replace
from sample_plans import planned_sample

from addin.cards import working_sheet
from addin.cards.issue import WantedParts, issue
from addin.cards.selection import Selection
from addin.cli import main
from addin.plan.entries import Amount
from addin.plan.file import Plan, entry_line, read_plan, write_plan
from addin.plan.record_joint import JointEntry
from addin.plan.since import Since
from addin.shipped import folder

LIST, BOOK = (folder("samples") / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches"))
NAME = "drigrauvex-joints-working.xlsx"
NUMBERS = {"preload": "Preload", "torque": "Torque", "setpoint": "Pressure to set"}


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


@pytest.fixture(scope="module")
def path(shared: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return planned_sample(shared, tmp_path_factory.mktemp("planned"), "--breakout-factor", 1.5)


@pytest.fixture(scope="module")
def plan(path: Path) -> Plan:
    whole = read_plan(path)
    return Plan(whole.head, list(whole.joints), whole.name)


@pytest.fixture(scope="module")
def pages(path: Path, tmp_path_factory: pytest.TempPathFactory) -> Any:
    out = tmp_path_factory.mktemp("pages")
    result = run("pack", path, "--out", out, "--only", "working")
    assert result.exit_code == 0
    assert [each.name for each in out.iterdir() if not each.name.startswith(".")] == [NAME]
    assert result.output.splitlines()[-1] == "35 pages of working, 4 rows without a card, 0 refused"
    return openpyxl.load_workbook(out / NAME)


def rows_of(sheet: Any) -> list[list[Any]]:
    return [[cell.value for cell in row if cell.value is not None] for row in sheet.iter_rows()]


def results(sheet: Any) -> dict[str, tuple[str, list[Any]]]:
    """What the card shows and the last row, by section."""
    found: dict[str, tuple[str, list[Any]]] = {}
    for row in sheet.iter_rows(min_row=4):
        filled = [cell.value for cell in row if cell.value is not None]
        if filled and isinstance(filled[0], str) and len(filled[0]) == 1 and filled[0].isalpha():
            section, shown = filled[1], filled[2]
        if filled and filled[0] == "result":
            found[section] = (shown, [cell.value for cell in (row[15], row[18])])
    return found


def joint_of(plan: Plan, tag: str, operation: str = "final make-up") -> JointEntry:
    return next(joint for joint in plan.joints if (joint.joint, joint.operation) == (tag, operation))


def test_the_same_joints_as_the_cards_each_with_its_title(plan: Plan, pages: Any) -> None:
    planned = [joint for joint in plan.joints if joint.planned]

    assert len(pages.sheetnames) == len(planned)
    for sheet, joint in zip(pages, planned, strict=True):
        assert sheet["A1"].value == joint.joint
        assert sheet["P1"].value == f"card {joint.card}"
        assert f"·   {joint.operation}   ·" in sheet["A2"].value


def test_the_last_steps_are_the_plans_own_numbers(plan: Plan, pages: Any) -> None:
    planned = [joint for joint in plan.joints if joint.planned]
    checked: Counter[str] = Counter()
    for sheet, joint in zip(pages, planned, strict=True):
        found = results(sheet)
        for name, section in NUMBERS.items():
            if section in found:
                shown, last = found[section]
                assert last == [getattr(joint, name).value, getattr(joint, name).unit]  # to the bit
                number = getattr(joint, name).value
                rounded = number if name == "setpoint" else round(number, 1 if number < 100 else 0)
                assert shown == f"on the card: {rounded:.10g} {last[1]}"
                checked[name] += 1
        if "Stress with torsion" in found:
            assert found["Stress with torsion"][1][0] == joint.limits[0].reached.value
            checked["stress"] += 1
    assert checked["preload"] > 25
    assert checked["torque"] > 15
    assert checked["setpoint"] > 20
    assert checked["stress"] >= 2


def test_the_passes_are_the_plans_own(plan: Plan, pages: Any) -> None:
    checked = 0
    for sheet in pages:
        rows = rows_of(sheet)
        if ["Passes"] not in rows:
            continue
        joint = next(each for each in plan.joints if f"card {each.card}" == sheet["P1"].value)
        start = rows.index(["Passes"]) + 2
        for item, row in zip(plan.head.passes(joint), rows[start:], strict=False):
            if not item.torque:
                assert row[0] == item.number == 0
                continue
            assert row[:3] == [item.number, item.percent, item.torque.value]
            assert not item.pressure or row[3:5] == [item.pressure.value, item.torque_at_pressure.value]
            checked += 1
    assert checked > 100


def test_formulas_stand_in_symbols_and_with_their_numbers(plan: Plan, pages: Any) -> None:
    """V-1101-MH: 34,600 psi on 1-3/8-8 studs; T = K D F by hand: 0.145 x 1.375 in x 39,959 lbf / 12 = 664 lbf·ft."""
    card = joint_of(plan, "V-1101-MH", "test make-up").card
    sheet = next(each for each in pages if each["P1"].value == f"card {card}")
    texts = [str(text).replace("\u00a0", " ") for row in rows_of(sheet) for text in row]

    assert "T = K D F\n= 0.145 · 1.375 in · 39959.1 lbf" in texts
    assert "A = Ar = π/4 (D - 1.299038 P)²\n= π/4 · (1.375 in - 1.299038 · 0.125 in)²" in texts
    assert results(sheet)["Torque"][1][0] == pytest.approx(0.145 * 1.375 * 34600 * math.pi / 4 * 1.21262025**2 / 12)
    assert "HW-2, certificate DX-26-102" in texts
    assert [4, "graduation", 50, "psi", "given"] in rows_of(sheet)


@pytest.mark.parametrize(
    ("formula", "known", "expected"),
    [
        ("T'/T - 1", {"T'": "9 N·m", "T": "8 N·m"}, "= 9 N·m/8 N·m - 1"),
        ("σ2 = √(σ² + 3)", {"σ": "5 MPa"}, "= √((5 MPa)² + 3)"),
        ("tan ρ' = μt / cos 30°", {"μt": "0.12"}, "= 0.12 / cos 30°"),
        ("T = F d2/2 tan(φ + ρ')", {"F": "1 N", "d2": "2 m"}, None),
        ("Tu = the smaller of wrench and stud", {"T": "1"}, None), ("", {"T": "1"}, None),
    ],
)  # fmt: skip
def test_numbers_are_put_in_only_where_every_symbol_is_known(
    formula: str, known: dict[str, str], expected: str | None
) -> None:
    """A value with its unit is squared as a whole: its unit is held to it by a no-break space."""
    fixed = {name: value.replace(" ", "\u00a0") for name, value in known.items()}
    found = working_sheet._put_in(formula, fixed)

    assert (found and found.replace("\u00a0", " ")) == expected


def test_a_break_out_stands_beside_what_the_card_shows(plan: Plan, pages: Any) -> None:
    """The card keeps to the marks of the gauge: 50 psi apart."""
    joint = joint_of(plan, "V-1101-MH", "break")
    sheet = next(each for each in pages if each["P1"].value == f"card {joint.card}")
    rows = {row[0]: row for row in rows_of(sheet) if row}

    assert rows["torque to expect"][1] == joint.breakout.expected.value == 1635
    for stage in joint.breakout.stages:
        assert rows[f"stage {stage.stage}"][-1] == f"{stage.pressure.value:.0f} psi"
    assert ["Passes"] not in rows_of(sheet)


def test_what_is_not_worked_out_is_said(plan: Plan) -> None:
    two = next(joint for joint in plan.joints if len(joint.wrenches) == 2)
    stated = joint_of(plan, "V-1101-N2")
    load = next(joint for joint in plan.joints if joint.target and joint.target.kind == "load")

    def said(joint: JointEntry) -> str:
        return str(working_sheet.filling(plan, joint).values["left out"])

    assert said(two).startswith("pressures: 2 wrenches on one pump share them")
    reach = stated.range
    assert reach is not None
    assert said(stated) == (
        "torque 655 lbf·ft: torque 655 lbf·ft as specified; range of preload 35917 lbf to 52412 lbf: "
        f"{reach.note}; limits, order and time"
    )
    assert reach.note is not None
    assert "gauge ±1.05 % of the setpoint, G-2 by its class, in quadrature; wrench comes on top" in reach.note
    assert said(load).startswith(f"preload {load.preload.value:.0f} {load.preload.unit}, ")


def test_text_that_begins_with_an_equals_sign_stays_text(plan: Plan, tmp_path: Path) -> None:
    joint = replace(joint_of(plan, "V-1101-N1"), joint='=HYPERLINK("x")', operation="=1+1", grade="@A1")
    content = Plan(plan.head, [joint])
    issue(content, "list", tmp_path, WantedParts(("working",)))
    sheet = openpyxl.load_workbook(tmp_path / "list-working.xlsx").active

    assert sheet["A1"].value == '=HYPERLINK("x")'
    assert sheet["A1"].data_type == "s"
    with zipfile.ZipFile(tmp_path / "list-working.xlsx") as parts:
        assert b"<f>" not in parts.read("xl/worksheets/sheet1.xml")


def test_a_working_that_does_not_come_to_the_plans_number_is_refused(plan: Plan, tmp_path: Path) -> None:
    joints = {id(joint): joint for joint in plan.joints}

    def change(joint: JointEntry, **fields: Any) -> None:
        joints[id(joint)] = replace(joint, **fields)

    own, other, opened = (
        joint_of(plan, "V-1101-N1"),
        joint_of(plan, "E-1204-CH"),
        joint_of(plan, "V-1101-MH", "break"),
    )
    change(own, preload=Amount(own.preload.value + 1.0, own.preload.unit))
    first, *rest = other.wrenches[0].passes
    moved = replace(first, pressure=Amount(first.pressure.value + 50.0, "psi"))
    change(other, wrenches=(replace(other.wrenches[0], passes=(moved, *rest)),))
    change(opened, breakout=replace(opened.breakout, expected=Amount(2000.0, "lbf·ft")))
    wrong = [id(each) for each in (opened, own, other)]
    sound = [each for key, each in joints.items() if each.planned and key not in wrong][:3]
    content = Plan(plan.head, [*(joints[key] for key in wrong), *sound])
    totals = replace(plan.head.totals, rows=6, planned=6, hydraulic=6, hand=0, other_method=0, stopped=0)
    head = replace(plan.head, totals=replace(totals, to_review=0, breakout_not_planned=0))
    write_plan(head, map(entry_line, content.joints), tmp_path / "other-plan.json")
    result = run("pack", tmp_path / "other-plan.json", "--out", tmp_path / "out", "--only", "working")

    assert result.exit_code == 1, result.output
    refused = [line for line in result.output.splitlines() if line.startswith("refused")]
    assert refused == [
        "refused: V-1101-MH break: the working of breakout_check expects 1635 lbf·ft, not what the plan says",
        "refused: V-1101-N1 final make-up: the working of preload_from_stress gives 38370.2 lbf, not what the plan "
        "says",
        "refused: E-1204-CH final make-up: the working of pass 1 gives the pressure 950, the plan 1000 psi",
    ]
    sheets = openpyxl.load_workbook(tmp_path / "out" / "other-working.xlsx").worksheets
    assert len(sheets) == 3
    named = {joint.card: joint.joint for joint in content.joints}
    assert all(named[sheet["P1"].value.removeprefix("card ")] == sheet["A1"].value for sheet in sheets)


def test_only_on_request_and_only_the_joints_asked_for(plan: Plan, tmp_path: Path) -> None:
    everything = issue(plan, "list", tmp_path, WantedParts(selection=Selection(("V-1101-N1",))))
    assert "list-working.xlsx" not in [each.name for each in everything.files]

    issued = issue(plan, "list", tmp_path, WantedParts(("working",), selection=Selection(("V-1101-N1", "Z"))))
    assert [card[0] for card in issued.reports["working"].cards] == ["V-1101-N1"]
    assert issued.refused == [("Z", "", "the plan has no joint of this tag")]
    assert issued.files == [tmp_path / "list-working.xlsx"]

    many = issue(
        plan, "each", tmp_path, WantedParts(("working",), selection=Selection(("V-1101-MH",)), one_file_per_joint=True)
    )
    assert sorted(each.name for each in many.files) == [
        f"V-1101-MH {operation}.xlsx" for operation in ("break", "final make-up", "test make-up")
    ]


def test_since_an_older_plan_only_the_changed_ones(plan: Plan, tmp_path: Path) -> None:
    changed = joint_of(plan, "V-1101-N1")
    new = Plan(plan.head, [replace(each, card="0000-0001") if each is changed else each for each in plan.joints])
    comparison = Since(plan, new.head)
    for joint in new.joints:
        comparison.add(joint)
    since = comparison.result()

    assert "working" not in WantedParts(since=since).parts
    issued = issue(new, "list", tmp_path, WantedParts(("working",), since=since))
    assert [card[:3] for card in issued.reports["working"].cards] == [("V-1101-N1", "final make-up", "0000-0001")]


@pytest.mark.parametrize(("paper", "size"), [("A4", "A4"), pytest.param("Letter", "letter", marks=pytest.mark.sweep)])
def test_the_page_on_paper(path: Path, tmp_path: Path, paper: str, size: str) -> None:
    """A long formula wraps and is seen whole."""
    result = run("pack", path, "--out", tmp_path, "--only", "working", "--pdf", "--paper", paper, "--units", "both",
                 "--joint", "V-1101-N2")  # fmt: skip
    assert result.exit_code == 0, result.output
    pdf = tmp_path / NAME.replace("xlsx", "pdf")
    told = subprocess.run(["pdfinfo", pdf], check=True, capture_output=True, text=True).stdout
    words = subprocess.run(["pdftotext", "-layout", pdf, "-"], check=True, capture_output=True, text=True).stdout

    assert f"({size})" in told
    assert "Pages:           1\n" in told
    joined = " ".join(words.replace("\u00a0", " ").split())
    for piece in ("T' = T1 + (T2 - T1) (p' - p1)/(p2 - p1)", "(688 lbf·ft - 631 lbf·ft)", "(6000 psi - 5500 psi)",
                  "on the card: 43366 lbf (193 kN)", "never replaces the site's procedure"):  # fmt: skip
        assert piece in joined
    assert "#" not in words
