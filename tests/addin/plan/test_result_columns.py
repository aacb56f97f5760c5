"""Planning a planned workbook again: our columns are brought up to date in place, the planner's cells never touched."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import small_plans
from msgspec.structs import replace
from openpyxl.worksheet.worksheet import Worksheet

from addin.plan.entries import Amount
from addin.plan.own_cells import check_rows, rows_apart
from addin.plan.record import PlanHead, StageEntry
from addin.plan.record_joint import JointEntry, PassEntry, SettingEntry, ToolEntry
from addin.plan.result_columns import Results, write_planned
from addin.reading.joint_list import read_joint_list
from addin.reading.own_columns import FIRST, name_of
from addin.workbooks.package import WorkbookError

HEAD = ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (ft-lb)"]
SHARES = (0.3, 0.6, 1.0)


def entry(joint: str, operation: str, torque: float, unit: str = "lbf·ft", stages: int = 3) -> JointEntry:
    """What the plan says of a row, as far as our columns need it."""
    below = [share for share in SHARES if share < 1][-(stages - 1) :]
    full = Amount(torque, unit)
    settings = tuple(SettingEntry(pressure=Amount(torque / 2 * k, "psi")) for k in below)
    tool = ToolEntry(wrench="HW-1", link="2 in", gauge="G-1", setpoint=Amount(torque / 2, "psi"),
                     torque_at_setpoint=full, passes=settings)  # fmt: skip
    return JointEntry(
        row=1, joint=joint, operation=operation, status="planned", method="hydraulic", card=f"C-{torque:g}",
        preload_note="not known", torque=full, wrenches=(tool,), passes=tuple(PassEntry(torque=full) for _ in below),
    )  # fmt: skip


def head(stages: int) -> PlanHead:
    """The head of a plan with the last of the stages."""
    shares = [StageEntry(number=k, percent=100 * share, pattern="cross") for k, share in enumerate(SHARES, 1)]
    return replace(small_plans.plan(small_plans.joint()).head, stages=tuple(shares[-stages:]))


class Plant:
    """A list, planned again and again."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.path, self.number = folder, folder / "list.xlsx", 0
        book = openpyxl.Workbook()
        sheet = book.worksheets[0]
        sheet.title = "Joints"
        rows = [[f"A-{i}", "final make-up", "hydraulic", "1", 8, 100 * i] for i in (1, 2, 3)]
        for line in (["Spring outage"], HEAD, *rows):
            sheet.append(line)
        sheet["A7"] = "Note: lubricate"
        book.save(self.path)

    def plan(self, stages: int = 3, units: Callable[[int], str] = lambda i: "lbf·ft") -> Path:
        """Plan what the path holds now; the path is the planned copy then."""
        read = read_joint_list(self.path)
        joints = read.rows.joints
        results = Results(head(stages))
        for i, (tag, operation) in enumerate(zip(joints.joint, joints.operation, strict=True)):
            results.add(entry(tag, operation, round(joints.torque[i] / 1.3558179483314), units(i), stages))
        check_rows(read)
        self.said = rows_apart(read, results)
        self.number += 1
        target = self.folder / f"planned-{self.number}.xlsx"
        self.report = write_planned(read, results, target)
        self.path = target
        return target

    def edit(self, change: Callable[[Worksheet], None]) -> None:
        """What the planner does to the workbook in a spreadsheet program."""
        book = openpyxl.load_workbook(self.path)
        change(book["Joints"])
        book.save(self.path)

    def cells(self) -> dict[str, Any]:
        sheet = openpyxl.load_workbook(self.path)["Joints"]
        return {cell.coordinate: cell.value for row in sheet.iter_rows() for cell in row if cell.value is not None}

    def heads(self) -> dict[str, int]:
        sheet = openpyxl.load_workbook(self.path)["Joints"]
        return {str(cell.value): cell.column for cell in sheet[2] if cell.value is not None}


@pytest.fixture
def plant(tmp_path: Path) -> Plant:
    plant = Plant(tmp_path)
    plant.plan()
    return plant


def test_nothing_changes_when_nothing_has_changed(plant: Plant) -> None:
    before = plant.cells()
    plant.plan()
    assert plant.cells() == before
    assert plant.report.warnings == []


def test_our_columns_are_no_columns_of_the_list(plant: Plant) -> None:
    read = read_joint_list(plant.path)
    assert read.questions == ()
    assert [column.field for column in read.columns] == ["joint", "operation", "method", "thread", "studs", "torque"]
    assert read.own is not None
    assert read.own.first == len(HEAD) + 1


def test_a_changed_row_is_planned_anew(plant: Plant) -> None:
    plant.edit(lambda sheet: sheet.__setitem__("F4", 250))
    plant.plan()
    heads, cells = plant.heads(), openpyxl.load_workbook(plant.path)["Joints"]
    assert cells.cell(4, heads["Torque (lbf·ft)"]).value == 250
    assert cells.cell(3, heads["Torque (lbf·ft)"]).value == 100
    assert sum(name == FIRST for name in heads) == 1


def test_new_rows_and_renamed_rows(plant: Plant) -> None:
    def change(sheet: Worksheet) -> None:
        sheet["A3"] = "A-1 new"
        for column, value in enumerate(["A-9", "final make-up", "hydraulic", "1", 8, 900], start=1):
            sheet.cell(6, column).value = value

    plant.edit(change)
    plant.plan()
    cells = plant.cells()
    assert (cells["G3"], cells["G6"], cells["G4"]) == (
        "A-1 new | final make-up",
        "A-9 | final make-up",
        "A-2 | final make-up",
    )
    assert cells["A7"] == "Note: lubricate"


def test_a_row_that_is_gone_keeps_nothing_of_ours(plant: Plant) -> None:
    def change(sheet: Worksheet) -> None:
        for column in range(1, 7):
            sheet.cell(5, column).value = None

    plant.edit(change)
    plant.plan()
    assert not [name for name in plant.cells() if name.rstrip("0123456789") >= "G" and name.endswith("5")]


def test_whole_rows_sorted_are_no_fault(plant: Plant) -> None:
    def change(sheet: Worksheet) -> None:
        rows = [[cell.value for cell in sheet[number]] for number in (3, 4, 5)]
        for number, row in zip((5, 4, 3), rows, strict=True):
            for column, value in enumerate(row, start=1):
                sheet.cell(number, column).value = value

    plant.edit(change)
    plant.plan()
    assert plant.cells()["G3"] == "A-3 | final make-up"


def swapped(*columns: int) -> Callable[[Worksheet], None]:
    def change(sheet: Worksheet) -> None:
        for column in columns:
            one, other = sheet.cell(3, column).value, sheet.cell(5, column).value
            sheet.cell(3, column).value, sheet.cell(5, column).value = other, one

    return change


def test_rows_sorted_apart_from_ours_whose_cards_are_the_same_go_on(plant: Plant) -> None:
    plant.edit(swapped(1, 2, 3, 4, 5, 6))
    plant.plan()
    (note,) = plant.said
    assert note.startswith(
        "rows of the list were sorted or moved apart from our columns (3, 5); every joint has the card"
    )
    assert (plant.cells()["G3"], plant.cells()["G5"]) == ("A-3 | final make-up", "A-1 | final make-up")
    plant.plan()
    assert plant.said == []


@pytest.mark.parametrize("columns", [(1,), (6,), (1, 2, 3)])
def test_rows_sorted_apart_with_other_cards_stop(plant: Plant, columns: tuple[int, ...]) -> None:
    plant.edit(swapped(*columns))
    if columns == (6,):  # no row is apart: the torques are changed, and that is said of the cards
        plant.plan()
        assert "rows whose card is another than the one that stood there: 3, 5" in plant.report.warnings[0]
        return
    with pytest.raises(WorkbookError, match="sorted or moved apart") as raised:
        plant.plan()
    assert "row 3 of ours says 'A-1 | final make-up', which stands in row 5" in str(raised.value)
    assert "2 joints have another card than the one that stood with them ('A-1 | final make-up' first)" in str(
        raised.value
    )
    assert not (plant.folder / "planned-2.xlsx").exists()


def test_cells_shifted_up_with_another_card_stop(plant: Plant) -> None:
    def change(sheet: Worksheet) -> None:
        for row in (3, 4):
            for column in range(1, 6):  # the torques stay
                sheet.cell(row, column).value = sheet.cell(row + 1, column).value
        for column in range(1, 7):
            sheet.cell(5, column).value = None

    plant.edit(change)
    with pytest.raises(WorkbookError, match="sorted or moved apart"):
        plant.plan()


def test_what_the_planner_wrote_beside_ours_stays(plant: Plant) -> None:
    width = len(plant.heads())

    def change(sheet: Worksheet) -> None:
        sheet.cell(2, width + 1).value, sheet.cell(4, width + 1).value = "My notes", "call shift lead"
        sheet.cell(4, width + 2).value = "=1+1"

    plant.edit(change)
    plant.plan(units=lambda i: "lbf·ft" if i else "N·m")  # a column for the units is needed now
    cells, heads = openpyxl.load_workbook(plant.path)["Joints"], plant.heads()
    assert (cells.cell(4, width + 1).value, cells.cell(4, width + 2).value) == ("call shift lead", "=1+1")
    assert heads["Torque unit"] > width + 2
    assert cells.cell(3, heads["Torque unit"]).value == "N·m"


def test_a_pass_less_leaves_no_old_numbers(plant: Plant) -> None:
    plant.edit(lambda sheet: sheet.cell(2, len(plant.heads()) + 1, "My notes"))
    assert "Pass 1: 30 % pressure (psi)" in plant.heads()
    plant.plan(stages=2)
    heads, sheet = plant.heads(), openpyxl.load_workbook(plant.path)["Joints"]
    assert "Pass 1: 30 % pressure (psi)" not in heads
    assert "Pass 2: 60 % pressure (psi)" in heads
    empty = [c for c in range(1, sheet.max_column + 1) if sheet.cell(2, c).value is None]
    assert len(empty) == 1
    assert all(sheet.cell(row, empty[0]).value is None for row in range(1, 8))


def test_what_is_typed_into_our_columns_beside_no_joint_stays(plant: Plant) -> None:
    typed = {"I7": "typed by hand", "G8": "ask the shift lead", "H1": "issued", "G9": "A | B"}
    plant.edit(lambda sheet: [sheet.__setitem__(name, text) for name, text in typed.items()])
    for _ in range(3):
        plant.plan()
        assert {name: plant.cells()[name] for name in typed} == typed


@pytest.mark.parametrize("name", ["G6", "I6"])
def test_something_typed_where_results_of_a_new_joint_go_stops(plant: Plant, name: str) -> None:
    def change(sheet: Worksheet) -> None:
        for column, value in enumerate(["A-9", "final make-up", "hydraulic", "1", 8, 900], start=1):
            sheet.cell(6, column).value = value
        sheet[name] = "typed by hand"

    plant.edit(change)
    with pytest.raises(WorkbookError, match=f"cell {name}: holds something that is not ours") as raised:
        plant.plan()
    assert "move it to another column, or delete it, and plan again" in str(raised.value)


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("L2", "Tool", "'Wrench' is gone, and in L among our columns stands 'Tool': type 'Wrench' back there"),
        ("L2", None, "our heading 'Wrench' is gone, and in L among our columns stands no heading"),
        ("Q2", "p1", "in Q 'p1' stands among the passes of our columns: type back the heading that was written there"),
        ("S2", "Remarks", "our heading 'Message' is gone, and in S among our columns stands 'Remarks'"),
        ("T2", "Wrench", r"our heading 'Wrench' stands twice \(L and T\); delete the column that is not ours"),
        ("G2", "Tag", "columns H to S are results of an earlier plan, but the heading 'Joint | operation' of their"),
        ("G2", None, "columns H to S are results of an earlier plan, but the heading"),
    ],
)  # fmt: skip
def test_headings_of_ours_renamed_deleted_or_doubled_stop(
    plant: Plant, name: str, text: str | None, words: str
) -> None:
    plant.edit(lambda sheet: sheet.__setitem__(name, text))
    with pytest.raises(WorkbookError, match=words.replace("|", r"\|")):
        plant.plan()


def test_a_formula_in_our_columns_is_never_written_over(plant: Plant) -> None:
    plant.edit(lambda sheet: sheet.__setitem__("I4", '="x"&"y"'))
    with pytest.raises(WorkbookError, match="I4: holds a formula"):
        plant.plan()


def test_two_groups_of_ours_stop(plant: Plant) -> None:
    plant.edit(lambda sheet: sheet.cell(2, len(plant.heads()) + 1, FIRST))
    with pytest.raises(WorkbookError, match="stands twice"):
        read_joint_list(plant.path)


@pytest.mark.parametrize(
    ("heading", "name"),
    [("Torque (N·m)", "Torque"), ("Torque unit", "Torque unit"),
     ("Pass 3: 100 % pressure (bar)", "Pass 3: 100 % pressure"),
     ("Torque date", None),
     ("Final torque (N·m)", None), ("joint | operation", None)],
)  # fmt: skip
def test_a_heading_of_ours(heading: str, name: str | None) -> None:
    assert name_of(heading) == name
