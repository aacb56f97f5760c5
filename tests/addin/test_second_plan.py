"""The second plan of a list whose planned copy people have worked in: what is theirs stays, what was ours is named."""

import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result
from openpyxl.styles import PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.table import Table
from openpyxl.worksheet.worksheet import Worksheet

from addin.cli import main
from addin.shipped import folder

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"
HEAD = ["Joint", "Operation", "Method", "Stud size", "No. of studs", "Grade", "Stress (psi)", "Stress area",
        "Across flats (mm)", "Lubricant", "Date"]  # fmt: skip


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


class Plant:
    """A short list of joints that one wrench of the sample turns, its planned copy, and the plans made of them."""

    def __init__(self, home: Path) -> None:
        self.out = home / "out"
        self.list = home / "list.xlsx"
        self.copy = self.out / "list-planned.xlsx"

    def write_list(self) -> None:
        book = openpyxl.Workbook()
        sheet = book.worksheets[0]
        sheet.title = "Joints"
        sheet.append(["Spring outage"])
        sheet.append(HEAD)
        for number, stress in enumerate((50200, 44500, 41600), 1):
            bolting = ["1 1/2-8", 16, "A193 B7", stress, "root B1.1", 60, "L-20"]
            sheet.append([f"V-{number}", "final make-up", "hydraulic", *bolting, "2026-09-14"])
        board = book.create_sheet("Board")
        board["A1"] = "Crew board"
        book.save(self.list)

    def plan(self, source: Path | None = None, *more: str) -> Result:
        return run("plan", source or self.list, "--wrenches", BOOK, "--out", self.out, "--overwrite", *more)

    def edit(self, path: Path, **cells: object) -> None:
        book = openpyxl.load_workbook(path)
        for name, value in cells.items():
            book["Joints"][name] = value
        book.save(path)

    def edit_part(self, old: bytes, new: bytes) -> None:
        """Change the first sheet of the planned copy as it is written, without a library's own ideas of it."""
        saved = self.copy.with_name("saved.xlsx")
        with zipfile.ZipFile(self.copy) as before, zipfile.ZipFile(saved, "w") as after:
            for name in before.namelist():
                content = before.read(name)
                if name == "xl/worksheets/sheet1.xml":
                    assert old in content
                    content = content.replace(old, new)
                after.writestr(name, content)
        saved.replace(self.copy)

    def sheet(self, path: Path | None = None) -> Worksheet:
        return openpyxl.load_workbook(path or self.copy)["Joints"]

    def heads(self) -> dict[str, str]:
        return {str(cell.value).partition(" (")[0]: cell.column_letter for cell in self.sheet()[2][len(HEAD) :]}

    def kept(self) -> list[Path]:
        return sorted((self.out / "kept").glob("*")) if (self.out / "kept").exists() else []


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the list planned once."""
    home = tmp_path_factory.mktemp("planned")
    plant = Plant(home)
    plant.write_list()
    assert plant.plan().exit_code == 0
    return home


@pytest.fixture
def plant(planned: Path, tmp_path: Path) -> Plant:
    shutil.copytree(planned, tmp_path, dirs_exist_ok=True)
    return Plant(tmp_path)


def test_changed_cells_of_ours_are_named_and_the_copy_before_is_kept(plant: Plant) -> None:
    at = plant.heads()
    pressure, status = f"{at['Pressure to set']}4", f"{at['Status']}3"
    written = plant.sheet()[pressure].value
    plant.edit(plant.copy, **{pressure: 9900, status: "waiting for scaffold", "A9": "Note: lubricate"})
    before = plant.copy.read_bytes()
    done = plant.plan(plant.copy)
    assert (
        f"note: cells of ours were changed since they were written, and are written again: {status} 'waiting for"
        in done.output
    )
    assert f"{pressure} 9900 (written: {written:g})" in done.output
    assert "it is kept as" in done.output
    assert [path.read_bytes() for path in plant.kept()] == [before]
    assert (plant.sheet()[pressure].value, plant.sheet()[status].value) == (written, "planned, caution")
    assert plant.sheet()["A9"].value == "Note: lubricate"
    assert "changed since" not in plant.plan(plant.copy).output


def test_a_copy_that_gives_way_is_kept_and_what_was_changed_in_it_is_said(plant: Plant) -> None:
    status = f"{plant.heads()['Status']}3"
    plant.edit(plant.copy, **{status: "issued", "B1": "call 4711"})
    before = plant.copy.read_bytes()
    done = plant.plan()
    assert (
        f"note: list-planned.xlsx: changed since it was written: {status} 'issued' (written: 'planned, caution'); "
        in done.output
    )
    assert "Joints!B1 'call 4711' (was empty)" in done.output
    assert [path.read_bytes() for path in plant.kept()] == [before]
    assert plant.sheet()[status].value == "planned, caution"


def test_texts_below_between_and_above_stay_three_times(plant: Plant) -> None:
    first = plant.heads()["Status"]
    typed = {f"{first}1": "ask M.", f"{first}9": "sum of shifts", "B8": "x", f"{first}7": "call the shift lead"}
    plant.edit(plant.copy, **typed)
    book = openpyxl.load_workbook(plant.copy)
    book["Joints"][f"{first}4"].fill = PatternFill("solid", fgColor="FFFFFF00")
    book.save(plant.copy)
    for _ in range(3):
        assert plant.plan(plant.copy).exit_code == 0
        assert {name: plant.sheet()[name].value for name in typed} == typed
        assert plant.sheet()[f"{first}4"].fill.fgColor.rgb == "FFFFFF00"


def test_a_copy_moved_away_with_its_plan_is_held_against_it_too(plant: Plant, tmp_path: Path) -> None:
    at = plant.heads()["Status"]
    moved = tmp_path / "moved"
    plant.out.rename(moved)
    (moved / ".tautsheet-files.json").unlink()
    copy = moved / plant.copy.name
    assert "changed since" not in run("plan", copy, "--wrenches", BOOK, "--out", tmp_path / "one").output
    plant.edit(copy, **{f"{at}3": "issued"})
    done = run("plan", copy, "--wrenches", BOOK, "--out", tmp_path / "two")
    assert f"are written again: {at}3 'issued' (written: 'planned, caution')" in done.output


def test_joints_that_are_gone_are_named(plant: Plant) -> None:
    plant.edit(plant.copy, **{f"{column}5": None for column in "ABCDEFGHIJK"})
    done = plant.plan(plant.copy)
    assert "note: joints that stood in row 5 are no longer in the list: our cells there are emptied" in done.output
    assert plant.sheet()[f"{plant.heads()['Joint | operation']}5"].value is None


def test_a_table_that_reaches_over_our_columns_is_planned_again_and_sorted(plant: Plant) -> None:
    book = openpyxl.load_workbook(plant.list)
    book["Joints"].add_table(Table(displayName="List", ref="A2:K5"))
    book.save(plant.list)
    assert "; table List (A2:K5) ends before our columns" in plant.plan().output
    assert plant.plan(None, "--extend").exit_code == 0
    table = plant.sheet().tables["List"]
    assert table.ref != "A2:K5"
    assert (table.ref[:3], table.ref[-1]) == ("A2:", "5")
    heads = [cell.value for cell in plant.sheet()[2]]
    assert [column.name for column in table.tableColumns] == heads
    rows = {number: [cell.value for cell in plant.sheet()[number]] for number in (3, 5)}
    changes = {f"{get_column_letter(k)}{8 - n}": value for n, row in rows.items() for k, value in enumerate(row, 1)}
    plant.edit(plant.copy, **changes)
    done = plant.plan(plant.copy)
    assert done.exit_code == 0
    assert "sorted" not in done.output
    assert [cell.value for cell in plant.sheet()[5]] == rows[3]
    assert plant.plan(plant.copy, "--scheme", "50/100").exit_code == 0, "a pass less: its column stays, not used"
    assert "not used" in [column.name for column in plant.sheet().tables["List"].tableColumns]
    assert plant.plan(plant.copy).exit_code == 0


def test_sorted_through_the_filter_of_the_list_alone(plant: Plant) -> None:
    sheet = plant.sheet()
    rows = {number: [cell.value for cell in sheet[number][: len(HEAD)]] for number in (3, 5)}
    changes = {f"{'ABCDEFGHIJK'[k]}{8 - n}": value for n, row in rows.items() for k, value in enumerate(row)}
    plant.edit(plant.copy, **changes)
    done = plant.plan(plant.copy)
    assert done.exit_code == 0
    assert "sorted or moved apart from our columns (3, 5); every joint has the card that stood with it" in done.output
    plant.edit(plant.copy, A3="V-1", A5="V-3")
    refused = plant.plan(plant.copy)
    assert refused.exit_code == 2
    assert "the joints' own columns may be mixed up too" in refused.output


def test_where_results_stand_is_said_first(plant: Plant) -> None:
    notes = [line for line in plant.plan().output.splitlines() if line.startswith("note: ")]
    first, last = (list(plant.heads().values())[k] for k in (0, -1))
    assert notes[0] == f"note: results stand on sheet Joints in {first}:{last}"


@pytest.mark.parametrize("lock", ["~${}", ".~lock.{}#"])
def test_files_that_are_open_elsewhere_are_said(plant: Plant, lock: str) -> None:
    owner = plant.list.with_name(lock.format(plant.list.name))
    owner.write_text("somebody")
    name = owner.name
    done = plant.plan()
    assert done.exit_code == 0
    assert f"list.xlsx is open in another program ({name}): what is not saved there is not read" in done.output
    plant.copy.with_name(lock.format(plant.copy.name)).write_text("somebody")
    refused = plant.plan()
    assert refused.exit_code == 2
    assert "list-planned.xlsx: is open in a spreadsheet program; close it" in refused.output


def test_escapes_of_carriage_returns_in_headings_and_cells_are_read(plant: Plant) -> None:
    with zipfile.ZipFile(plant.list) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    strings = parts["xl/worksheets/sheet1.xml"]
    strings = strings.replace(b">Stress (psi)<", b">Stress_x000D_\n(psi)<").replace(b">A193 B7<", b">A193_x0020_B7<")
    assert strings.count(b"_x00") == 4
    with zipfile.ZipFile(plant.list, "w") as archive:
        for name, content in (parts | {"xl/worksheets/sheet1.xml": strings}).items():
            archive.writestr(name, content)
    assert plant.plan().exit_code == 0


def test_a_sheet_of_notes_is_put_in_and_renewed(plant: Plant) -> None:
    plant.edit(plant.list, G4=None)
    assert plant.plan(None, "--notes").exit_code == 1
    sheet = openpyxl.load_workbook(plant.copy)["Notes of the plan"]
    lines = [[cell.value for cell in row] for row in sheet.iter_rows()]
    assert lines[0][0] == "Notes of the plan of list.xlsx, sheet Joints"
    assert "results stand on sheet Joints in L:" in lines[1][1]
    assert ["planned", 2, None] in [line[1:] for line in lines]
    row = next(cells for cells in sheet.iter_rows() if cells[0].value == "stop")
    assert row[1].value.startswith("no target: give a stress")
    assert (row[2].value, row[3].value) == ("Joints!row 4", "V-2 | final make-up")
    assert row[2].hyperlink.location == "'Joints'!A4"
    plant.edit(plant.copy, G4=45000)
    assert plant.plan(plant.copy).exit_code == 0
    sheet = openpyxl.load_workbook(plant.copy)["Notes of the plan"]
    assert "stop" not in [cell.value for cell in sheet["A"]]


def test_a_list_that_begins_too_far_down_is_named(plant: Plant) -> None:
    book = openpyxl.load_workbook(plant.list)
    book["Joints"].insert_rows(1, 70)
    book.save(plant.list)
    assert "none of the first 60 rows has headings such as Joint" in plant.plan().output


def test_warnings_of_libraries_never_reach_the_screen(plant: Plant) -> None:
    code = (
        "import warnings, addin.tasks as t; old = t.plan_list\n"
        "def loud(*a, **k): warnings.warn('Data Validation extension is not supported'); return old(*a, **k)\n"
        "t.plan_list = loud; from addin.cli import main; main()"
    )
    command = [sys.executable, "-c", code, "plan", plant.list, "--wrenches", BOOK, "--out", plant.out, "--overwrite"]
    done = subprocess.run([str(each) for each in command], capture_output=True, text=True, check=True)
    assert "not supported" not in done.stdout + done.stderr


def test_a_stopped_row_that_an_office_program_has_saved_is_planned_again(plant: Plant) -> None:
    plant.edit(plant.copy, G4=90_000)
    plant.plan(plant.copy)
    assert "#N/A" in [cell.value for cell in plant.sheet()[4]]
    plant.edit_part(b"<v>#N/A</v>", b'<f aca="false">#N/A</f><v>#N/A</v>')  # as Calc saves it
    plant.edit_part(b">90000<", b">44000<")

    done = plant.plan(plant.copy)

    assert done.exit_code == 0, done.output
    assert "#N/A" not in [cell.value for cell in plant.sheet()[4]]


def test_a_formula_of_the_planner_in_our_columns_is_never_written_over(plant: Plant) -> None:
    torque = plant.heads()["Torque"]
    plant.edit(plant.copy, **{f"{torque}4": "=IFERROR(1/0,#N/A)"})

    done = plant.plan(plant.copy)

    assert done.exit_code == 2
    assert f"cell {torque}4: holds a formula, which is never written over" in done.output
