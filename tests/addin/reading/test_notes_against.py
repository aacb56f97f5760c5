"""A note that speaks against the target that would be taken: another column governs, or it is for information only."""

from pathlib import Path

import pytest
from few_lines import columns, read_lines

SIZES = [("1 3/8", 288, 1360), ("1 1/4", 234, 1000), ("1 1/8", 185, 710), ("7/8", 110, 330)]
HEADS = [["Joint", "Stud", "Qty", "Grade", "Target residual", None, "Torque"], [None] * 4 + ["N/mm²", "kN", "Nm"]]


def states(folder: Path, note: str) -> dict[str, tuple[str, str | None]]:
    rows = [[f"P-{i}", size, 12, "L7", 362, load, torque] for i, (size, load, torque) in enumerate(SIZES)]
    found = columns(read_lines(folder, [[note], [], *HEADS, *rows], "E3:F3"))
    return {
        name: (column.state, column.field) for name, column in found.items() if name.startswith(("Target", "Torque"))
    }


def test_the_residual_stress_that_a_note_says_governs_is_proposed_and_the_torque_only_compared(tmp_path: Path) -> None:
    note = "RESIDUAL STRESS COLUMN GOVERNS (tensile area). Torque and tool pressures are for info."
    assert states(tmp_path, note) == {
        "Target residual / N/mm²": ("proposed", "stress"),
        "Target residual / kN": ("not used", None),
        "Torque / Nm": ("checked against", "torque"),
    }


def test_where_the_note_does_not_say_which_of_the_residual_columns_a_person_chooses(tmp_path: Path) -> None:
    assert states(tmp_path, "The residual governs.")["Torque / Nm"] == ("asked", "torque")


def test_without_such_a_note_the_torque_is_the_target(tmp_path: Path) -> None:
    assert states(tmp_path, "Torques for lubricated studs.")["Torque / Nm"] == ("sure", "torque")
    assert states(tmp_path, "Stress on the tensile area.")["Torque / Nm"] == ("sure", "torque")


@pytest.mark.parametrize("note", ["Torque for information only.", "Torques are indicative"])
def test_the_only_target_is_not_sure_where_a_note_gives_it_for_information(tmp_path: Path, note: str) -> None:
    assert states(tmp_path, note)["Torque / Nm"] == ("asked", "torque")


def test_a_note_on_another_column_says_nothing_against_the_torque(tmp_path: Path) -> None:
    rows = [[f"P-{i}", size, 12, "L7", torque - 10, torque] for i, (size, _, torque) in enumerate(SIZES)]
    lines = [
        ["Torque ant. = only for information"],
        ["Joint", "Stud", "Qty", "Grade", "Torque ant.", "Torque final (Nm)"],
        *rows,
    ]
    assert columns(read_lines(tmp_path, lines))["Torque final (Nm)"].state == "sure"


@pytest.mark.parametrize("heading", ["Old torque (Nm)", "As left torque (Nm)"])
@pytest.mark.parametrize("note", ["{} torque governs.", "Use the {} torque.", "The {} torque column governs."])
def test_a_note_by_which_values_of_an_earlier_time_govern_makes_the_target_a_question(
    heading: str, note: str, tmp_path: Path
) -> None:
    said = note.format(heading.split(" torque")[0])
    rows = [[f"P-{i}", size, 12, "L7", torque - 10, torque] for i, (size, _, torque) in enumerate(SIZES)]
    lines = [[said], [], ["Joint", "Stud", "Qty", "Grade", heading, "Torque (Nm)"], *rows]
    target = columns(read_lines(tmp_path, lines))["Torque (Nm)"]
    assert (target.state, target.why) == ("asked", f"the heading says so; but the note says '{said}'")


@pytest.mark.parametrize("note", ["Torque governs.", "Use torque, not old torque.", "Use the torque wrench HW-3."])
def test_a_note_by_which_the_torque_governs_asks_nothing_beside_an_earlier_one(note: str, tmp_path: Path) -> None:
    rows = [[f"P-{i}", size, 12, "L7", torque - 10, torque] for i, (size, _, torque) in enumerate(SIZES)]
    lines = [[note], [], ["Joint", "Stud", "Qty", "Grade", "Old torque (Nm)", "Torque (Nm)"], *rows]
    assert columns(read_lines(tmp_path, lines))["Torque (Nm)"].state == "sure"


@pytest.mark.parametrize("heading", ["Residual gasket stress (N/mm²)", "Residual gasket load (kN)"])
def test_what_is_left_on_the_gasket_is_never_proposed_as_what_is_left_in_the_studs(
    heading: str, tmp_path: Path
) -> None:
    rows = [[f"P-{i}", size, 12, "L7", 70, torque] for i, (size, _, torque) in enumerate(SIZES)]
    lines = [[f"{heading.split(' (')[0]} governs."], [], ["Joint", "Stud", "Qty", "Grade", heading, "Torque (Nm)"]]
    found = columns(read_lines(tmp_path, [*lines, *rows]))
    assert (found[heading].field, found["Torque (Nm)"].state) == (None, "sure")


@pytest.mark.parametrize(
    ("heading", "rows"), [("Residual load (kN)", 1), ("As left residual load (kN)", 4), ("Old residual load (kN)", 4)]
)
def test_a_residual_load_of_few_rows_or_of_an_earlier_time_that_a_note_says_governs_is_asked(
    heading: str, rows: int, tmp_path: Path
) -> None:
    note = f"{heading.split(' (')[0]} governs."
    lines = [[note], [], ["Joint", "Stud", "Qty", "Grade", heading, "Torque (Nm)"]]
    lines += [
        [f"P-{i}", size, 12, "L7", load if i < rows else None, torque] for i, (size, load, torque) in enumerate(SIZES)
    ]
    found = columns(read_lines(tmp_path, lines))
    assert (found[heading].field, found["Torque (Nm)"].state) == (None, "asked")
    assert found["Torque (Nm)"].why == f"the heading says so; but the note says '{note}'"
