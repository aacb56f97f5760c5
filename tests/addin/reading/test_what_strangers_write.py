"""Notes, titles and remarks as a stranger wrote them: what they say is never passed over in silence."""

from pathlib import Path

import pytest
from few_lines import columns, read_lines
from openpyxl import Workbook

from addin.reading.joint_list import read_joint_list
from addin.reading.understood import ColumnReading

HEADS = ["Joint", "Stud size", "Studs", "Torque (Nm)"]
SIZES = [("M30x3.5", 345, 750, 1070), ("M27x3", 240, 560, 800), ("M24", 170, 395, 560), ("M30x3.5", 345, 750, 1070)]


def last_pass(folder: Path, note: str) -> ColumnReading:
    """The column of the third pass, G, in a list with a note."""
    heads = [
        ["Joint", "Stud", "Qty", "Grade", "Drehmoment (Nm)", None, None],
        [None] * 4 + ["1. Gang", "2. Gang", "3. Gang"],
    ]
    rows = [[f"QM-10{i}", size, 12, "10.9", *passes] for i, (size, *passes) in enumerate(SIZES)]
    found = columns(read_lines(folder, [[note], [], *heads, *rows], "E3:G3"))
    return found["Drehmoment (Nm) / 3. Gang"]


@pytest.mark.parametrize(
    "note",
    [
        "Drehmoment: Spalte F ist maßgebend, Spalte G ungültig.",
        "Es gilt die Spalte 2. Gang.",
        'The column "2. Gang" governs; the third is void.',
        "2. Gang ist maßgebend.",
        "The second column governs.",
        "Column H governs.",
    ],
)
def test_a_note_that_names_another_column_as_governing_makes_the_target_a_question(note: str, tmp_path: Path) -> None:
    last = last_pass(tmp_path, note)
    assert last.state == "asked"
    assert f"but the note says '{note[:20]}" in last.why


def test_a_note_that_names_another_pass_is_heard_where_a_second_note_has_the_unit(tmp_path: Path) -> None:
    heads = [
        ["Joint", "Stud", "Qty", "Grade", "Drehmoment", None, None],
        [None] * 4 + ["1. Gang", "2. Gang", "3. Gang"],
    ]
    rows = [[f"QM-10{i}", size, 12, "10.9", *passes] for i, (size, *passes) in enumerate(SIZES)]
    notes = [["2. Gang ist maßgebend. Alle Drehmomente in Nm"], []]
    last = columns(read_lines(tmp_path, [*notes, *heads, *rows], "E3:G3"))["Drehmoment / 3. Gang"]
    assert (last.state, last.unit) == ("asked", "N·m")
    assert last.why.endswith("but the note says '2. Gang ist maßgebend'")


@pytest.mark.parametrize("note", ["Spalte G ist maßgebend.", "3. Gang ist maßgebend.", "Es gilt der 3. Gang."])
def test_a_note_that_names_the_target_itself_asks_nothing(note: str, tmp_path: Path) -> None:
    assert last_pass(tmp_path, note).state in ("proposed", "sure")


@pytest.mark.parametrize("note", ["MA nur zur Information", "MA nur informativ"])
def test_a_note_gives_a_torque_for_information_by_the_word_of_its_heading(note: str, tmp_path: Path) -> None:
    rows = [[f"QM-10{i}", size, 12, "10.9", torque] for i, (size, *_, torque) in enumerate(SIZES)]
    found = columns(read_lines(tmp_path, [[note], [], ["Joint", "Stud", "Qty", "Grade", "MA (Nm)"], *rows]))
    assert found["MA (Nm)"].state == "asked"


def test_a_note_on_the_only_column_of_torques_asks_nothing(tmp_path: Path) -> None:
    rows = [[f"QM-10{i}", size, 12, "10.9", torque] for i, (size, *_, torque) in enumerate(SIZES)]
    lines = [["Spalte ist maßgebend"], [], ["Joint", "Stud", "Qty", "Grade", "MA (Nm)"], *rows]
    assert columns(read_lines(tmp_path, lines))["MA (Nm)"].state == "sure"


def asked_of_two(folder: Path, *sheets: tuple[str, str]) -> list[str]:
    """What is asked of two sheets alike, by name and title, the first of five rows and the second of three."""
    book = Workbook()
    book.remove(book.worksheets[0])
    for (name, title), count in zip(sheets, (5, 3), strict=True):
        sheet = book.create_sheet(name)
        for line in ([title], HEADS, *([f"F-{i}", "M24", 12, 480] for i in range(count))):
            sheet.append(line)
    book.save(folder / "list.xlsx")
    return [each.text for each in read_joint_list(folder / "list.xlsx").questions if each.about == "sheet"]


@pytest.mark.parametrize(
    ("name", "title"),
    [
        ("Rev.1", "Stand: Rev. 1 – ÜBERHOLT, ersetzt durch Rev. 2"), ("Rev.1", "SUPERSEDED by rev 2"),
        ("Rev.1", "Annulé et remplacé par rév. 2"), ("Rev.1", "sustituido por Rev. 2"),
        ("Rev.1", "vervangen door Rev. 2"),
        ("Rev.1 (alt)", "gültig"), ("Rev.1 obsolete", "gültig"), ("Rev.1 superseded", "Unit 3"),
    ],
)  # fmt: skip
def test_the_revision_that_says_it_is_superseded_is_not_the_likeliest(name: str, title: str, tmp_path: Path) -> None:
    assert asked_of_two(tmp_path, (name, title), ("Rev.2", "gültig")) == [
        f"which sheet is planned: '{name}' looks like a joint list too; 'Rev.2' is the likeliest, the only one that"
        " does not say it is superseded"
    ]


def test_where_all_sheets_alike_say_that_they_are_superseded_the_longest_is_the_likeliest(tmp_path: Path) -> None:
    (asked,) = asked_of_two(tmp_path, ("Rev.1", "superseded"), ("Rev.2", "superseded by Rev. 3"))
    assert asked.startswith("which sheet is planned: 'Rev.2' looks like a joint list too; 'Rev.1' is the likeliest")


@pytest.mark.parametrize(
    "remark",
    [
        "Erst nach Freigabe durch die Leitstelle anziehen", "Stopp!", "Freigabe abwarten",
        "Freigabe erforderlich", "erst wenn Behälter freigegeben", "erst nach Druckprobe", "Klärung offen",
        "wird nicht ausgeführt, siehe Rev. 3", "Vor dem Anziehen Rücksprache mit dem Betrieb",
        "Dichtung fehlt", "2 Bolzen fehlen", "bleibt zu", "steht noch aus", "await release",
        "not to be done", "do only after hydrotest", "gasket missing", "attendre accord exploitation",
        "joint manquant", "esperar autorización", "falta la junta", "ohne Schmierung anziehen",
        "tighten dry, no lubricant", "serrage à sec", "montar en seco",
    ],
)  # fmt: skip
def test_such_a_remark_makes_its_row_wait(remark: str, tmp_path: Path) -> None:
    rows = [
        ["F-0", "M24", 12, 480, remark],
        ["F-1", "M24", 12, 480, "Gerüst vorhanden"],
        ["F-2", "M24", 12, 480, "kein Gerüst"],
    ]
    found = read_lines(tmp_path, [[*HEADS, "Bemerkung"], *rows])
    assert [each.row for each in found.understood.waiting] == [2]
