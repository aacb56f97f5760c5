"""The map file: what it answers, how it is bound to its list, what a change asks again, and what is refused."""

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from addin.reading.joint_list import JointList, read_joint_list
from addin.reading.list_map import proposed, read_map, write_map
from addin.workbooks.package import WorkbookError

FTLB = 0.45359237 * 9.80665 * 0.3048
HEAD = ["Joint", "Operation", "Method", "Stud size", "Qty", "Torque", "Own"]
ROWS = [
    ["A-1", "final make-up", "hydraulic", "1", 8, 400, "x"],
    ["A-2", "final make-up", "hydraulic", "1", 12, 410, "y"],
]


class Lists:
    """Lists and maps in one folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def list(self, head: list[str] = HEAD, rows: list[list[Any]] = ROWS, sheet: str = "Joints", above: int = 0) -> Path:
        book = Workbook()
        book.worksheets[0].title = sheet
        for _ in range(above):
            book.worksheets[0].append(["Title"])
        for line in [head, *rows]:
            book.worksheets[0].append(line)
        book.save(self.folder / "list.xlsx")
        return self.folder / "list.xlsx"

    def map(self, read: JointList, **answers: Any) -> Path:
        """A map as the program writes it, with a person's answers by column letter, or by key of the file."""
        path = self.folder / "map.json"
        path.unlink(missing_ok=True)
        write_map(proposed(read), path)
        content = json.loads(path.read_text(encoding="utf-8"))
        for key, answer in answers.items():
            entry = next((entry for entry in content["columns"] if entry["column"] == key), None)
            if entry is None:
                content[key.replace("_", " ")] = answer
            else:
                entry |= answer
        path.write_text(json.dumps(content), encoding="utf-8")
        return path

    def answered(self) -> Path:
        """The map of the usual list with everything answered."""
        return self.map(read_joint_list(self.list()), E={"field": "studs"}, F={"unit": "ft-lb"})


@pytest.fixture
def lists(tmp_path: Path) -> Lists:
    return Lists(tmp_path)


def asked(read: JointList) -> list[tuple[str, str]]:
    return [(question.kind, question.column) for question in read.questions]


def test_questions_are_open_in_the_map_and_answers_close_them(lists: Lists) -> None:
    read = read_joint_list(lists.list())
    assert asked(read) == [("unit", "F")]
    made = {column.column: column for column in proposed(read).columns}
    assert (made["F"].field, made["F"].unit) == ("torque", "?")
    assert made["G"].field == "none"
    again = read_joint_list(lists.list(), answers=read_map(lists.answered()))
    assert asked(again) == []
    assert again.rows.joints.studs.tolist() == [8, 12]
    assert again.rows.joints.torque.tolist() == pytest.approx([400 * FTLB, 410 * FTLB])


def test_an_unanswered_map_asks_the_same_again(lists: Lists) -> None:
    path = lists.map(read_joint_list(lists.list()))
    assert asked(read_joint_list(lists.list(), answers=read_map(path))) == [("unit", "F")]


def test_the_map_is_bound_to_headings_not_to_places(lists: Lists) -> None:
    answers = read_map(lists.answered())
    moved = [HEAD[i] for i in (0, 5, 1, 2, 3, 6, 4)]
    rows = [[row[i] for i in (0, 5, 1, 2, 3, 6, 4)] for row in ROWS]
    read = read_joint_list(lists.list(moved, rows, above=3), answers=answers)
    assert asked(read) == []
    assert read.rows.joints.studs.tolist() == [8, 12]


@pytest.mark.parametrize(
    ("at", "heading", "expected"),
    [(5, "Torque (Nm)", [("new", "F"), ("gone", "")]), (3, "Bolt size", [("new", "D"), ("gone", "")]),
     (6, "Own notes", []), (6, "Lubricant", [("new", "G")]), (4, "Quantity", [("new", "E"), ("gone", "")])],
)  # fmt: skip
def test_a_changed_heading_is_asked_about_and_nothing_else(lists: Lists, at: int, heading: str, expected: list) -> None:
    answers = read_map(lists.answered())
    head = [*HEAD[:at], heading, *HEAD[at + 1 :]]
    read = read_joint_list(lists.list(head), answers=answers)
    assert asked(read) == expected
    if expected:
        assert not any(column.field and column.heading == heading for column in read.columns)


def test_a_brought_up_to_date_map_keeps_its_answers_and_asks_for_what_is_new(lists: Lists) -> None:
    answers = read_map(lists.map(read_joint_list(lists.list()), E={"field": "studs"}, F={"unit": "ft-lb"},
                                 whole_list={"lubricant": "L-1"}))  # fmt: skip
    path = lists.list([*HEAD, "Final torque (Nm)"], [[*row, 550] for row in ROWS])
    read = read_joint_list(path, answers=answers)
    assert asked(read) == []  # the answers give torque to another column: this one is not used
    target = lists.folder / "map.json"
    target.unlink()
    write_map(proposed(read, answers), target)
    after = read_map(target)
    assert {c.column: c.field for c in after.columns}["E"] == "studs"
    assert {c.column: c.field for c in after.columns}["H"] == "none"
    assert after.whole_list == {"lubricant": "L-1"}
    assert asked(read_joint_list(path, answers=after)) == []


def test_a_changed_unit_row_is_asked_about(lists: Lists) -> None:
    head = ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque"]
    rows = [row[:6] for row in ROWS]
    answers = read_map(lists.map(read_joint_list(lists.list(head, [["", "", "", "", "", "ft-lb"], *rows]))))
    read = read_joint_list(lists.list(head, [["", "", "", "", "", "Nm"], *rows]), answers=answers)
    assert asked(read) == [("new", "F"), ("gone", "")]


def test_constants_and_settings_for_the_whole_list(lists: Lists) -> None:
    read = read_joint_list(lists.list())
    path = lists.map(read, E={"field": "studs"}, F={"unit": "ft-lb"},
                     whole_list={"lubricant": "L-1", "stress area": "tensile", "at once": 2, "scheme": "30/60/100",
                                 "date": "2027-05-03", "grade": None})  # fmt: skip
    answers = read_map(path)
    again = read_joint_list(lists.list(), answers=answers)
    assert again.rows.joints.lubricant == ("L-1", "L-1")
    assert again.rows.joints.area == ("tensile", "tensile")
    assert again.rows.joints.grade == ("", "")
    assert answers.settings({}) == {"at_once": 2, "scheme": "30/60/100", "date": float(date(2027, 5, 3).toordinal())}
    with pytest.raises(WorkbookError, match="scheme of the whole list differs"):
        answers.settings({"scheme": "PCC-1 legacy"})
    assert answers.as_json()["whole_list"]["stress area"] == "tensile"


@pytest.mark.parametrize(
    ("answers", "words"),
    [({"whole_list": {"method": "hydraulic"}}, "method holds for the whole list, but column C has it too"),
     ({"G": {"field": "torque"}}, "torque stands in columns F and G"),
     ({"G": {"field": "speed"}}, "field 'speed' is not known"),
     ({"F": {"unit": "psi"}}, "is a unit of pressure"), ({"E": {"field": "studs", "unit": "mm"}}, "studs has no unit"),
     ({"whole_list": {"stress": 50000}}, "stress '50000' has no unit"),
     ({"whole_list": {"nut series": True}}, "one text or number"),
     ({"whole_list": {"joint": "A"}}, "one text or number"), ({"whole_list": {"at once": 3}}, "1, 2 or 4"),
     ({"whole_list": {"date": "03/04/2027"}}, "read in two ways"),
     ({"sheet": "Other"}, "which list.xlsx does not have"),
     ({"tautsheet_map": 2}, "version 2"), ({"colour": "red"}, "'colour' is not known"),
     ({"standard_flange_studs": "yes"}, "must be true or false"), ({"columns": {}}, "must be a list")],
)  # fmt: skip
def test_a_map_that_cannot_be_used_is_refused_in_one_line(lists: Lists, answers: dict, words: str) -> None:
    read = read_joint_list(lists.list())
    path = lists.map(read, **({"E": {"field": "studs"}, "F": {"unit": "ft-lb"}} | answers))
    with pytest.raises(WorkbookError, match="map.json") as raised:
        read_joint_list(lists.list(), answers=read_map(path))
    assert words in str(raised.value)
    assert "\n" not in str(raised.value)


def test_the_map_may_not_contradict_the_heading(lists: Lists) -> None:
    head = ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (ft-lb)", "Own"]
    path = lists.map(read_joint_list(lists.list(head)), F={"unit": "Nm"})
    with pytest.raises(WorkbookError, match="the answer says N·m, the heading lbf·ft"):
        read_joint_list(lists.list(head), answers=read_map(path))


@pytest.mark.parametrize("text", ["", "{", "[]", '{"a": 1}', "\x00\x01", '{"tautsheet map": 1}', "[" * 100000])
def test_what_is_no_map(lists: Lists, text: str) -> None:
    path = lists.folder / "map.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(WorkbookError, match="map.json") as raised:
        read_map(path)
    assert len(str(raised.value)) < 300


def test_the_sheet_named_must_be_the_map_s(lists: Lists) -> None:
    with pytest.raises(WorkbookError, match="is the map of sheet 'Joints', not of 'Old'"):
        read_joint_list(lists.list(), "Old", answers=read_map(lists.answered()))


def test_one_column_stands_on_one_line(lists: Lists) -> None:
    lines: Callable[[Path], list[str]] = lambda path: path.read_text(encoding="utf-8").splitlines()  # noqa: E731
    path = lists.folder / "map.json"
    write_map(proposed(read_joint_list(lists.list())), path)
    assert sum('"column"' in line for line in lines(path)) == len(HEAD)
    with pytest.raises(WorkbookError):
        write_map(proposed(read_joint_list(lists.list())), path)
