"""A field that is one row of the table: its own name is its heading, the plan carries it, a card shows it."""

from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
from msgspec.structs import replace

from addin.cards import joint_card
from addin.plan import since, writer
from addin.plan.entries import Amount
from addin.plan.list_settings import ListSettings
from addin.plan.planned_list import planned, read_for_plan
from addin.plan.record_joint import LISTED, JointEntry
from addin.plan.writer import PlanWriter
from addin.reading import grammar
from addin.reading.fields import BY_NAME, FIELDS, Field
from addin.shipped import folder
from addin.wrenches.wrench_book import read_wrench_book
from calc.plan.joints import NUMBER_COLUMNS, TEXT_COLUMNS
from calc.quantities import QUANTITIES
from calc.units import system

LIST, BOOK = (folder("samples") / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches"))
NEW = (Field("lift_plan", "words", optional=True, kept=True), Field("gasket_gap", "gasket_thickness", kept=True))


def test_every_column_of_the_calculation_is_a_field_of_its_kind() -> None:
    for name in NUMBER_COLUMNS:
        assert BY_NAME[name].kind is not None or BY_NAME[name].cells == "date", name
    for name in set(TEXT_COLUMNS) - {"comments"}:  # those of all cells of a row, whatever their columns
        assert BY_NAME[name].kind is None, name
    assert all(each.cells in QUANTITIES or each.cells in ("words", "thread", "date") for each in FIELDS)


def test_what_the_plan_carries_has_one_place() -> None:
    own = set(JointEntry.__struct_fields__) | {"plant_area"}
    kept = {each.name for each in FIELDS if each.kept}

    assert {each.name for each in LISTED} == kept - own


@pytest.fixture
def with_new_fields(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    caches = (grammar.unnamed, grammar.lexicon, grammar.grammar, grammar._of)
    for each in NEW:
        monkeypatch.setitem(BY_NAME, each.name, each)
    for module in (writer, since, joint_card):
        monkeypatch.setattr(module, "LISTED", NEW)
    for cache in caches:
        cache.cache_clear()
    yield
    monkeypatch.undo()
    for cache in caches:
        cache.cache_clear()


@pytest.mark.usefixtures("with_new_fields")
def test_a_text_and_a_number_go_from_the_list_to_the_card(tmp_path: Path) -> None:
    workbook = openpyxl.load_workbook(LIST)
    sheet = workbook["Joints"]
    at = sheet.max_column + 1
    for row, cells in ((5, ("Lift plan", "Gasket gap (mm)")), (6, ("WP-17", 4.5)), (8, ("WP-18", None))):
        for column, cell in enumerate(cells, at):
            sheet.cell(row, column).value = cell
    workbook.save(tmp_path / "list.xlsx")
    book = read_wrench_book(BOOK, system("US"))
    joint_list = read_for_plan(tmp_path / "list.xlsx", book, ListSettings(), None)
    plan = PlanWriter(joint_list, book, planned(joint_list, book, ListSettings())).plan()
    entries = {joint.row: joint for joint in plan.joints}

    assert {(c.field, c.matched, c.unit) for c in plan.head.columns if c.field in ("lift_plan", "gasket_gap")} == {
        ("lift_plan", "sure", None), ("gasket_gap", "sure", "mm")
    }  # fmt: skip
    assert entries[6].listed == {"lift_plan": "WP-17", "gasket_gap": Amount(4.5, "mm")}
    assert entries[8].listed == {"lift_plan": "WP-18"}
    made = next(joint for joint in plan.joints if joint.planned and joint.wrenches)
    values = joint_card.filling(plan, replace(made, listed=entries[6].listed)).values
    assert (values["lift plan"], values["gasket gap"], values["gasket gap unit"]) == ("WP-17", 4.5, "mm")
    assert joint_card.filling(plan, replace(made, listed={})).values["gasket gap"] == "not stated"
