"""What a run reads is never written over, whatever its name and whatever the notes of the folder say."""

import shutil
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

from addin.cli import main
from addin.shipped import folder, template
from addin.workbooks.outputs import Outputs

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"
ROW = {"Joint": "P-1", "Operation": "final make-up", "Method": "hand", "Stud size": "1 1/4", "Studs": 16,
       "Torque (ft-lb)": 700, "Nut factor": 0.16, "Job date": "2026-10-12"}  # fmt: skip


def run(*arguments: object) -> tuple[int, str]:
    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    return result.exit_code, result.output


@pytest.fixture
def joints(tmp_path: Path) -> Path:
    book = openpyxl.Workbook()
    book.active.append(list(ROW))  # type: ignore[union-attr]
    book.active.append(list(ROW.values()))  # type: ignore[union-attr]
    book.save(tmp_path / "L.xlsx")
    return tmp_path / "L.xlsx"


def ours(place: Path, content: Path) -> bytes:
    """A file that the notes of its folder call ours."""
    with Outputs(place.parent) as outputs:
        shutil.copyfile(content, outputs.place(place.name, "planned copy"))
    return place.read_bytes()


def test_a_wrench_book_under_the_name_of_the_planned_copy(joints: Path) -> None:
    book = joints.with_name("L-planned.xlsx")
    before = ours(book, BOOK)
    code, text = run("plan", joints, "--wrenches", book, "--out", joints.parent, "--overwrite")
    assert (code, text) == (2, f"tautsheet: {book}: is read by this run; results go to another file\n")
    assert book.read_bytes() == before


def test_an_old_plan_under_the_name_of_the_new_one(joints: Path) -> None:
    out = joints.parent / "out"
    assert run("plan", joints, "--wrenches", BOOK, "--out", out)[0] == 0
    old = out / "L-plan.json"
    before = old.read_bytes()
    code, text = run("plan", joints, "--wrenches", BOOK, "--out", out, "--since", old, "--overwrite")
    assert (code, text) == (2, f"tautsheet: {old}: is read by this run; results go to another file\n")
    assert old.read_bytes() == before


def test_the_form_of_one_joint_under_the_name_of_its_cards(joints: Path) -> None:
    form = joints.with_name("night-planned.xlsx")
    book = openpyxl.load_workbook(template("one joint"))
    typed = {**ROW, "Torque": "700 lbf·ft"}
    for row in book.active.iter_rows(min_row=4):  # type: ignore[union-attr]
        row[1].value = typed.get(str(row[0].value))  # type: ignore[assignment]
    book.save(joints.with_name("night.xlsx"))
    before = ours(form, joints.with_name("night.xlsx"))
    code, text = run("card", form, "--wrenches", BOOK, "--out", joints.parent, "--overwrite")
    assert (code, text) == (2, f"tautsheet: {form}: is read by this run; results go to another file\n")
    assert form.read_bytes() == before


def test_answers_that_stand_in_the_planned_copy_go_on_in_the_new_one(joints: Path) -> None:
    """The copy is read for its last sheet, and that is no reason to refuse the run."""
    book = openpyxl.load_workbook(joints)
    book.active["G1"], book.active["G2"] = "Lubricant", "L-20"  # type: ignore[index]
    book.active["I1"], book.active["I2"] = "Remarks", "HOLD, gasket not on site"  # type: ignore[index]
    book.save(joints)
    first = run("plan", joints, "--wrenches", BOOK, "--out", joints.parent / "out")
    assert "Answers" in openpyxl.load_workbook(joints.parent / "out" / "L-planned.xlsx").sheetnames, first
    again = run("plan", joints, "--wrenches", BOOK, "--out", joints.parent / "out", "--overwrite")
    assert again[0] == first[0] == 1
    assert "Answers" in openpyxl.load_workbook(joints.parent / "out" / "L-planned.xlsx").sheetnames
