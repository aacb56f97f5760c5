"""The page of charts and counts, for somebody who never opens the list."""

from pathlib import Path

import openpyxl
import pytest

import addin.tasks
from addin.hosts.libreoffice.places import NoOfficeError
from addin.plan.file import read_plan
from addin.plan.overview_page import PlanOverview
from addin.shipped import folder
from addin.tasks import PlanDone, plan_list
from tests.small_plans import joint, plan

LIST, BOOK = folder("samples") / "drigrauvex-joints.xlsx", folder("samples") / "drigrauvex-wrenches.xlsx"


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> PlanDone:
    """The sample list with two faults and a joint whose tag looks like a formula."""
    there = tmp_path_factory.mktemp("page")
    book = openpyxl.load_workbook(LIST)
    sheet = book.worksheets[0]
    head = next(cell.row for row in sheet.iter_rows(max_row=20) for cell in row if cell.value == "Studs")
    named = {cell.value: cell.column for cell in sheet[head]}
    for row in (head + 6, head + 12):
        sheet.cell(row, named["Studs"]).value = None
    sheet.cell(head + 12, named["Joint"]).value = "=SUM(1)"
    sheet.cell(head + 12, named["Joint"]).data_type = "s"
    book.save(there / "joints.xlsx")
    return plan_list(there / "joints.xlsx", [BOOK], there / "out", overview=True)


def lines(path: Path) -> list[tuple[object, ...]]:
    sheet = openpyxl.load_workbook(path)["Overview"]
    return [row for row in sheet.iter_rows(values_only=True) if any(cell is not None for cell in row)]


def test_the_counts_are_those_of_the_plan(done: PlanDone) -> None:
    joints = list(read_plan(done.plan_file).joints)
    found = lines(done.overview[0])

    assert ("stopped", sum(joint.status == "stopped" for joint in joints)) in [row[:2] for row in found]
    for wrench in ("HW-1", "HW-2"):
        mine = [joint for joint in joints if joint.planned and wrench in [tool.wrench for tool in joint.tools]]
        assert (wrench, len(mine)) in [row[4:6] for row in found]
    days = {joint.date for joint in joints if joint.planned}
    assert days == {row[0] for row in found if str(row[0]).startswith("2026-")}


def test_what_is_open_stands_by_cause_with_its_joints(done: PlanDone) -> None:
    (row,) = (row for row in lines(done.overview[0]) if row[0] == "stud count is missing (empty cell)")

    assert row[1] == 2
    assert "=SUM(1)" in str(row[2])  # as text: a formula would have no value here
    sheet = openpyxl.load_workbook(done.overview[0])["Overview"]
    assert not [cell for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]


def test_nothing_is_open_is_said_where_nothing_is(tmp_path: Path, done: PlanDone) -> None:
    page = PlanOverview()
    made = plan(joint())
    for entry in made.joints:
        page.add(entry)
    page.write(made.head, tmp_path / "page.xlsx")

    assert ("nothing is open",) in [row[:1] for row in lines(tmp_path / "page.xlsx")]
    assert ("nothing is open",) not in [row[:1] for row in lines(done.overview[0])]


def test_there_are_three_charts_and_a_pdf(done: PlanDone) -> None:
    book, pdf = done.overview

    assert len(openpyxl.load_workbook(book)["Overview"]._charts) == 3
    assert pdf.read_bytes().startswith(b"%PDF")


def test_without_libreoffice_the_page_is_written_and_a_note_says_why_there_is_no_pdf(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def none() -> None:
        raise NoOfficeError("LibreOffice is not on this machine")

    monkeypatch.setattr(addin.tasks, "printer", none)

    done = plan_list(LIST, [BOOK], tmp_path, overview=True)

    assert [path.name for path in done.overview] == ["drigrauvex-joints-overview.xlsx"]
    assert "drigrauvex-joints-overview.pdf is not written: LibreOffice is not on this machine" in done.notes
