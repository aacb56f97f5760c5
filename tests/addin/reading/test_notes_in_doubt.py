"""Notes that state half of something: asked, never taken."""

from pathlib import Path

import openpyxl
import pytest

from addin.reading.answered import lay_over, unit_kind
from addin.reading.joint_list import read_joint_list
from addin.reading.notes import read_notes
from addin.reading.understood import Answers, ColumnAnswer, ColumnReading, heading_key


@pytest.mark.parametrize(
    ("title", "note"),
    [
        ("Unit 5 final bolt-up", "All joints by hand torque wrench, no hyd. wrenches this time"),
        ("Unit 5 final bolt-up", "Hyd. wrenches NOT available before 15 Oct, use hand torque wrench"),
        ("Unit 5 final bolt-up", "Hyd. wrench from 1 in up, smaller by hand torque wrench"),
        ("Unit 5 final bolt-up", "4 hyd. wrenches on site"),
    ],
)
def test_a_method_of_some_joints_or_of_none_is_asked(title: str, note: str) -> None:
    notes = read_notes([[title]], [[note]])

    assert "method" not in notes.facts
    assert notes.facts["operation"].value == "final make-up"


@pytest.mark.parametrize("title", ["bolt-up for TEST (blinds in), final bolt-up later",
                                   "bolt-up after hydrotest and final bolt-up of blinds"])  # fmt: skip
def test_a_title_of_test_and_final_make_up_is_asked(title: str) -> None:
    assert "operation" not in read_notes([[title]], []).facts


@pytest.mark.parametrize("title", ["Hydraulic torque wrenches for all joints",
                                   "Unit 5 final bolt-up, hydraulic torque wrenches"])  # fmt: skip
def test_a_method_of_all_joints_is_taken(title: str) -> None:
    assert read_notes([[title]], []).facts["method"].value == "hydraulic"


@pytest.mark.parametrize(
    ("note", "kind", "unit"),
    [
        ("All torques in N·m", "torque", "N·m"),
        ("Torques in ft.lb unless stated otherwise", "torque", "lbf·ft"),
        ("Stress in the studs in MPa", "stress", "MPa"),
        ("bolt stress (psi)", "stress", "psi"),
        ("Stud lengths all in mm", "length", "mm"),
        ("Stud lengths in inches", "length", "in"),
        ("stud length in", "length", "in"),
        ("bolt lengths in in unless noted", "length", "in"),
        ("Preload of each stud in kN", "force", "kN"),
    ],
)
def test_a_unit_said_once_for_all_is_that_of_its_kind_alone(note: str, kind: str, unit: str) -> None:
    units = read_notes([["Unit 5 final bolt-up"]], [[note]]).units

    assert {name: (said.value, said.words) for name, said in units.items()} == {kind: (unit, note)}


def test_lengths_in_a_list_are_no_lengths_in_inches() -> None:
    assert read_notes([["Unit 5"]], [["Stud lengths in the list of studs"]]).units == {}


@pytest.mark.parametrize("notes", [("Stress in MPa", "Stress in ksi"), ("Torque in N·m", "Torque in ft.lb")])
def test_two_units_said_for_all_are_none(notes: tuple[str, str]) -> None:
    assert read_notes([["Unit 5"]], [[note] for note in notes]).units == {}


def test_a_column_of_the_pitch_has_no_unit_to_ask_for() -> None:
    assert unit_kind("pitch") == ""


@pytest.mark.parametrize(("heading", "field", "unit"), [("Prec. [kN]", "load", "kN"), ("CH [mm]", "across_flats", "mm"),
                                                        ("Prec.", "load", None)])  # fmt: skip
def test_a_column_given_its_field_by_hand_has_the_unit_of_its_heading(
    heading: str, field: str, unit: str | None
) -> None:
    reading = ColumnReading(0, heading, None, None, "not used")
    answers = Answers({heading_key(heading): ColumnAnswer(field)}, by="P. Planner, 2026-03-14")

    (read,), _ = lay_over([reading], answers)

    assert (read.field, read.unit) == (field, unit)


@pytest.mark.parametrize(("note", "state"), [("Stresses on tensile stress area", "asked"),
                                             ("Stresses on root area", "sure")])  # fmt: skip
def test_an_area_that_heading_and_notes_state_differently_is_asked(note: str, state: str, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    for line in ([note], [], ["Joint", "Stud", "No of studs", "Grade", "Stress (root area) psi", "K"],
                 *(["P-1", "1 1/8", 12, "A193 B7", 45000, 0.16] for _ in range(3))):  # fmt: skip
        book.worksheets[0].append(line)
    book.save(tmp_path / "list.xlsx")

    (area,) = [fact for fact in read_joint_list(tmp_path / "list.xlsx").understood.whole if fact.field == "area"]

    assert area.state == state
    assert (area.value == "") == (state == "asked")
    assert ("which one applies?" in area.why) == (state == "asked")


def targets(folder: Path, note: str, *heads: list[str | None]) -> dict[str, str]:
    """Of two columns of targets that agree with the studs, the state of each."""
    book = openpyxl.Workbook()
    values = [("M24", 95, 320), ("M30", 150, 640), ("M36", 220, 1120), ("M27", 125, 480)]
    rows = [[f"P-{i}", size, 12, "8.8", load, torque] for i, (size, load, torque) in enumerate(values)]
    for line in ([note], [], *heads, *rows):
        book.worksheets[0].append(line)
    book.save(folder / "list.xlsx")
    read = read_joint_list(folder / "list.xlsx").understood
    return {column.heading: column.state for column in read.columns if column.at in (4, 5)}


ONE_ROW = [["Joint", "Stud", "No of studs", "Grade", "Bolt load kN", "Torque Nm"]]
TWO_ROWS = [["Joint", "Bolting", None, None, "Bolt load", "Torque", "ITP"],
            [None, "Dia", "Qty", "Spec", "kN", "Nm", "Hold pt"]]  # fmt: skip


@pytest.mark.parametrize(
    ("note", "governs"),
    [
        ("Tighten to torque. Bolt load shown for the engineer's info only.", "torque"),
        ("Bolt load, pour mémoire : c'est le torque qui est à appliquer.", "torque"),
        ("Rozhoduje bolt load, torque je jen informativní.", "load"),
        ("Beslissend: bolt load is leidend, torque ter informatie.", "load"),
    ],
)
@pytest.mark.parametrize("heads", [ONE_ROW, TWO_ROWS])
def test_the_column_that_a_note_says_governs_is_the_target(
    note: str, governs: str, heads: list[list[str | None]], tmp_path: Path
) -> None:
    states = list(targets(tmp_path, note, *heads).values())

    assert states == (["checked against", "sure"] if governs == "torque" else ["sure", "checked against"])


@pytest.mark.parametrize(
    "note",
    [
        "Torque según lubricante que se use (grasa grafitada / bisulfuro de molibdeno).",
        "Je nach Schmierstoff verwenden: bisulfuro",
        "Depending on the lubricant use bisulfuro",
    ],
)
def test_a_note_that_leaves_it_to_the_lubricant_chooses_no_torque(note: str, tmp_path: Path) -> None:
    assert not read_notes([], [[note]]).uses
    states = targets(tmp_path, note, [*ONE_ROW[0][:4], "Torque Nm grafitado", "Torque Nm bisulfuro"])

    assert set(states.values()) == {"asked"}


def test_what_stands_in_the_next_cell_is_no_lubricant() -> None:
    assert read_notes([["lubricent: moly paste", "issue A draft"]], []).facts["lubricant"].value == "moly paste"
    assert read_notes([["paste", "MX-20"]], []).facts["lubricant"].value == "MX-20"
