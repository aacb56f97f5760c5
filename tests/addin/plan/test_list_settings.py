"""What is stated for a whole list reaches the calculation, the plan, and from the plan the same calculation again."""

import math
import re
from dataclasses import fields
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner
from msgspec.structs import replace

from addin.cli import main
from addin.plan.file import read_plan
from addin.plan.list_settings import SETTINGS, ListSetting, ListSettings, settings_entry
from addin.plan.record import PlanHead
from addin.records.cards_now import cards_now
from addin.records.known_cards import key_of
from addin.shipped import folder
from addin.workbooks.package import WorkbookError
from calc.plan.joints import PlanSettings

LIST, BOOK = (folder("samples") / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches"))
OTHER: dict[str, Any] = {
    "operation": "final make-up", "method": "hydraulic", "lubricant": "L-20", "wrench": "HW-3",
    "date": "2026-11-02", "scheme": "25/50/75/100", "at_once": 2,
    "breakout_factor": 1.7, "scatter_method": "torque, lubricated", "rounding": "down", "tolerance": 1.2345678,
    "yield_fraction": 77.7, "reserve": 3.21, "form": "nut factor",
}  # fmt: skip
"""For every setting a value that is not its default."""
IN_CALCULATION = [each.name for each in fields(PlanSettings)]


def head(plan: Path) -> PlanHead:
    return read_plan(plan).head


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample list, planned with every setting that the command line has."""
    out = tmp_path_factory.mktemp("stated")
    stated = [text for each in SETTINGS if each.option for text in (each.option, str(OTHER[each.name]))]
    arguments = ["plan", str(LIST), "--wrenches", str(BOOK), "--out", str(out), *stated]
    result = CliRunner().invoke(main, arguments, catch_exceptions=False)
    assert result.exit_code == 1, (
        result.output
    )  # rows stop: two wrenches at once and marks this close are not to be had
    assert re.search(r"39 rows: [1-9]\d* planned .* and [1-9]\d* stopped", result.output), result.output
    return out / "drigrauvex-joints-plan.json"


def test_every_setting_of_the_calculation_can_be_stated() -> None:
    assert set(IN_CALCULATION) <= {setting.name for setting in SETTINGS}
    assert set(OTHER) == {setting.name for setting in SETTINGS}


@pytest.mark.parametrize("name", IN_CALCULATION)
def test_a_stated_setting_reaches_the_calculation(name: str) -> None:
    stated, usual = (getattr(each.settings(), name) for each in (ListSettings(**{name: OTHER[name]}), ListSettings()))

    assert stated != usual
    assert usual == getattr(PlanSettings(), name) or math.isnan(usual)


@pytest.mark.parametrize("setting", SETTINGS, ids=lambda each: each.name)
def test_a_plan_gives_back_every_setting_it_was_made_with(setting: ListSetting, plan: Path) -> None:
    """Through the head of a plan: with one setting changed, and with none."""
    stated = ListSettings(**{setting.name: OTHER[setting.name]})
    entry = settings_entry(stated.settings(), stated.of_rows())
    date = stated.date if setting.name == "date" else None
    found = ListSettings.of_plan(replace(head(plan), settings=entry, date=date))

    assert getattr(found, setting.name) == OTHER[setting.name]
    assert repr(found.settings()) == repr(stated.settings())
    assert found.of_rows() == stated.of_rows()


@pytest.mark.parametrize("setting", [each for each in SETTINGS if each.option], ids=lambda each: each.name)
def test_the_command_line_states_it(setting: ListSetting, plan: Path) -> None:
    assert getattr(ListSettings.of_plan(head(plan)), setting.name) == OTHER[setting.name]


def test_operation_and_method_hold_only_for_rows_that_do_not_say(plan: Path, tmp_path: Path) -> None:
    """A break-out, a retightening and a hand-torqued joint stay what their rows say; an empty cell takes the option."""

    def said(path: Path) -> dict[int, tuple[str, str]]:
        return {joint.row: (joint.operation, joint.method) for joint in read_plan(path).joints}

    sheet = openpyxl.load_workbook(LIST)["Joints"]
    methods = {"tensioned": "other"}
    own = {row: (sheet.cell(row, 2).value, methods.get(how := sheet.cell(row, 3).value, how)) for row in said(plan)}
    assert {"break", "retighten"} < {operation for operation, _ in own.values()}
    assert said(plan) == own

    book = openpyxl.load_workbook(LIST)
    book["Joints"]["B9"] = book["Joints"]["C10"] = None
    book.save(tmp_path / LIST.name)
    options = ("--operation", "test make-up", "--method", "hand")
    arguments = ["plan", str(tmp_path / LIST.name), "--wrenches", str(BOOK), "--out", str(tmp_path), *options]
    CliRunner().invoke(main, arguments)
    filled = {9: ("test make-up", own[9][1]), 10: (own[10][0], "hand")}
    assert said(tmp_path / "drigrauvex-joints-plan.json") == own | filled


def test_a_list_that_has_not_changed_gets_the_cards_of_its_plan(plan: Path, tmp_path: Path) -> None:
    """Planned anew, since the file differs, with what was stated then."""
    book = openpyxl.load_workbook(LIST)
    book.properties.title = "the same list, saved again"
    book.save(tmp_path / LIST.name)
    content = read_plan(plan)
    now, _ = cards_now(content, tmp_path / LIST.name, [BOOK])

    assert now is not None
    cards = {key: joint.card for key, joint in now.joints.items()}
    assert cards == {key_of(joint.joint, joint.operation): joint.card for joint in content.joints}


def test_a_list_planned_with_answers_is_not_compared_without_them(plan: Path, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(LIST)
    book.properties.title = "saved again"
    book.save(tmp_path / LIST.name)
    content = read_plan(plan)
    content.head = replace(content.head, answers={"file": "L-questions.xlsx"})

    with pytest.raises(
        WorkbookError, match=r"was planned with the sheet of answers L-questions.xlsx; give it with --an"
    ):
        cards_now(content, tmp_path / LIST.name, [BOOK])


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("tolerance", 40.0, "tolerance: 40 is not between 0.1 and 20"),
        ("tolerance", math.nan, "tolerance: nan is not between 0.1 and 20"),
        ("reserve", -1.0, "reserve: -1 is not between 0 and 80"),
        ("date", "02.11.2026", "date: '02.11.2026' is not a date like 2026-03-14"),
        ("rounding", "up and down", "rounding: 'up and down' is not one of nearest, down, up"),
    ],
)
def test_a_value_outside_its_limits_is_refused(name: str, value: object, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        ListSettings(**{name: value})
    if name != "date":
        option = next(each.option for each in SETTINGS if each.name == name)
        arguments = ["plan", str(LIST), "--wrenches", str(BOOK), "--out", "out", str(option), str(value)]
        assert CliRunner().invoke(main, arguments).exit_code == 2
