"""Finding a list and its rows: what is refused, what is asked, and what a row is not."""

import datetime
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from addin.reading.joint_list import JointList, read_joint_list
from addin.reading.list_rows import listed_rows
from addin.workbooks.package import WorkbookError

HEAD = ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (ft-lb)"]
ROW = ["final make-up", "hydraulic", "1 1/4", 16, 700]
Lines = Sequence[Sequence[Any]]


@pytest.fixture
def listed(tmp_path: Path) -> Callable[..., Path]:
    """A workbook with one sheet of these lines for each name."""

    def make(**sheets: Lines) -> Path:
        book = Workbook()
        book.remove(book.worksheets[0])
        for name, lines in sheets.items():
            sheet = book.create_sheet(name)
            for line in lines:
                sheet.append(list(line))
        path = tmp_path / "list.xlsx"
        book.save(path)
        return path

    return make


def joint(tag: Any, *more: Any) -> list[Any]:
    return [tag, *(more or ROW)]


def said(read: JointList) -> dict[str, tuple]:
    return {each.kind: each.places for each in read.said if each.kind != "taken_for_studs"}


def test_no_list_is_said_in_one_line(listed: Callable[..., Path]) -> None:
    with pytest.raises(WorkbookError, match="no joint list found") as raised:
        read_joint_list(listed(Notes=[["Hello"], ["Joint", "Remarks"], ["A", "B"]]))
    assert "\n" not in str(raised.value)


def test_headings_without_rows(listed: Callable[..., Path]) -> None:
    with pytest.raises(WorkbookError, match="no rows below the headings in row 1"):
        read_joint_list(listed(Joints=[HEAD]))


def test_two_lists_below_each_other_are_read_by_their_own_headings(listed: Callable[..., Path]) -> None:
    other = ["Joint", "Method", "Operation", "Studs", "Stud size", "Torque (Nm)"]
    path = listed(Joints=[HEAD, joint("A-1"), [], other, ["B-1", "hydraulic", "final make-up", 8, "M24", 500]])
    read = read_joint_list(path)
    assert (read.rows.joints.joint, read.rows.joints.method[1], read.rows.joints.thread[1]) == (
        ("A-1", "B-1"), "hydraulic", "M24"
    )  # fmt: skip


def test_a_named_sheet_that_is_not_there(listed: Callable[..., Path]) -> None:
    with pytest.raises(WorkbookError, match="there is no sheet 'List'; there are 'Joints'"):
        read_joint_list(listed(Joints=[HEAD, joint("A-1")]), "List")


def test_a_hidden_list_is_named_and_read_only_when_asked_for(listed: Callable[..., Path]) -> None:
    path = listed(Joints=[HEAD, joint("A-1")], Old=[HEAD, joint("B-1")])
    book = load_workbook(path)
    book["Old"].sheet_state = "hidden"
    book.save(path)
    read = read_joint_list(path)
    assert (read.sheet, read.rows.joints.joint) == ("Joints", ("A-1",))
    words = "sheet Joints is taken as the list; hidden sheets that look like one are not read: Old"
    assert words in [each.text for each in read.said]
    old = read_joint_list(path, "Old")
    assert old.rows.joints.joint == ("B-1",)
    assert "the list stands on the hidden sheet Old" in [each.text for each in old.said]


def test_a_workbook_whose_only_list_is_hidden(listed: Callable[..., Path]) -> None:
    path = listed(Notes=[["Hello"]], Old=[HEAD, joint("B-1")])
    book = load_workbook(path)
    book["Old"].sheet_state = "veryHidden"
    book.save(path)
    with pytest.raises(WorkbookError) as raised:
        read_joint_list(path)
    assert str(raised.value) == (
        "list.xlsx: no joint list on a sheet that is shown; hidden: Old. Show it, or name it with --sheet"
    )


def test_a_tag_alone_that_looks_like_a_tag_is_a_joint(listed: Callable[..., Path]) -> None:
    read = read_joint_list(listed(Joints=[HEAD, joint("A-1"), ["A-2"], ["Second floor"], joint("A-3")]))
    assert read.numbers == (2, 3, 5)
    assert said(read) == {"group_row": (4,)}
    assert "'Second floor'" in read.said[0].text


def test_a_joint_at_the_end_with_faults_stays_a_joint(listed: Callable[..., Path]) -> None:
    read = read_joint_list(
        listed(Joints=[HEAD, *(joint(f"A-{i}") for i in range(4)), ["A-9", "opening", "?", "??", "many", "much"]])
    )
    assert read.numbers == (2, 3, 4, 5, 6)
    assert {fault.quantity for fault in read.rows.joints.faults if fault.row == 4} == {"thread", "studs", "torque"}


def test_a_row_without_tag_is_kept(listed: Callable[..., Path]) -> None:
    read = read_joint_list(listed(Joints=[HEAD, joint("A-1"), joint(None), joint("-"), joint("A-4")]))
    assert read.numbers == (2, 3, 4, 5)
    assert read.rows.joints.joint == ("A-1", "", "", "A-4")


def test_a_joint_called_total_something_is_a_joint(listed: Callable[..., Path]) -> None:
    read = read_joint_list(listed(Joints=[HEAD, joint("A-1"), ["Total", None, None, None, 16, None], joint("A-2")]))
    assert read.numbers == (2, 4)
    assert said(read) == {"total_row": (3,)}


def test_a_total_that_is_a_formula_without_value(listed: Callable[..., Path]) -> None:
    read = read_joint_list(listed(Joints=[HEAD, joint("A-1"), [None, None, None, None, "=SUM(E2:E2)"], joint("A-2")]))
    assert read.numbers == (2, 4)
    assert not read.rows.joints.faults


def test_the_address_of_a_fault(listed: Callable[..., Path]) -> None:
    bad = joint("A-2", "final make-up", "hydraulic", "1", "=2*8", datetime.datetime(2026, 2, 3))
    read = read_joint_list(listed(Joints=[["Title"], HEAD, joint("A-1"), bad]))
    places = {fault.code: read.place(fault) for fault in read.rows.joints.faults}
    assert places == {"stale_formula": "Joints!E4", "is_date": "Joints!F4"}


def test_a_missing_tag_column_is_asked_for(listed: Callable[..., Path]) -> None:
    read = read_joint_list(listed(Joints=[["Size", *HEAD[1:]], joint(6)]))
    assert [(question.kind, question.column) for question in read.questions] == [("field", "")]
    assert "no column names the joints" in read.questions[0].text


def test_one_cell_without_unit_among_many_stops_its_row_only(listed: Callable[..., Path]) -> None:
    head = [*HEAD[:5], "Torque"]
    rows = [joint(f"A-{i}", *ROW[:4], "940 ft-lb") for i in range(3)] + [joint("A-9", *ROW[:4], 940)]
    read = read_joint_list(listed(Joints=[head, *rows]))
    assert read.questions == ()
    assert [(fault.code, read.place(fault)) for fault in read.rows.joints.faults] == [("unit_missing", "Joints!F5")]


def test_merged_cells_without_a_stored_value_stop_every_row_they_hold_for(listed: Callable[..., Path]) -> None:
    path = listed(Joints=[HEAD, joint("A-1", *ROW[:4], "=7*100"), joint("A-2", *ROW[:4], None), joint("A-3")])
    book = load_workbook(path)
    book["Joints"].merge_cells("F2:F3")
    book.save(path)
    read = read_joint_list(path)
    assert [(fault.code, fault.row) for fault in read.rows.joints.faults] == [
        ("stale_formula", 0),
        ("stale_formula", 1),
    ]


def test_runs_of_rows_in_words() -> None:
    assert listed_rows([2]) == "2"
    assert listed_rows([2, 3, 7, 8, 9]) == "2 to 3, 7 to 9"
    assert listed_rows(list(range(1, 60, 2))).endswith("and 18 more")
