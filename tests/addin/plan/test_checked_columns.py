"""Columns that are checked against the plan: the difference beside each row, one line for one ratio, odd rows named."""

from pathlib import Path

import openpyxl
from click.testing import CliRunner

from addin.cli import main
from addin.shipped import folder

BOOK = next(folder("samples").glob("*-wrenches.xlsx"))
HEAD = ["Joint", "Operation", "Method", "Stud size", "Studs", "Grade", "Stress (psi)", "Stress area", "Nut factor",
        "Torque (ft-lb)", "Date"]  # fmt: skip
AREA = 0.790  # in², root-to-tensile between: 1 1/8-8 UN tensile stress area (ASME B1.1, from memory)


def planned(tmp_path: Path, factors: list[float]) -> tuple[str, list[object]]:
    """The printed lines and our column, for torques that are `factor` x d x F of the planner."""
    same = ["final make-up", "hydraulic", "1 1/8", 12, "A193 B7", 40000, "tensile", 0.15]
    torques = [round(factor * 1.125 / 12 * 40000 * AREA, 1) for factor in factors]
    rows = [[f"FL-{i}", *same, torque, "2026-10-20"] for i, torque in enumerate(torques, 1)]
    book = openpyxl.Workbook()
    for row in [["Torques are for information only"], HEAD, *rows]:
        book.worksheets[0].append(row)
    book.save(tmp_path / "flanges.xlsx")
    command = ["plan", tmp_path / "flanges.xlsx", "--wrenches", BOOK, "--out", tmp_path / "out"]
    result = CliRunner().invoke(main, [str(each) for each in command], catch_exceptions=False)
    sheet = openpyxl.load_workbook(tmp_path / "out" / "flanges-planned.xlsx").worksheets[0]
    at = next(cell.column for cell in sheet[2] if cell.value == "Off by, column J (%)")
    return result.output, [sheet.cell(row, at).value for row in range(3, 3 + len(factors))]


def test_one_ratio_is_said_once_and_only_odd_rows_are_cautions(tmp_path: Path) -> None:
    output, percent = planned(tmp_path, [0.20] * 11 + [0.25])
    said = "column J 'Torque (ft-lb)'"
    assert f"{said}: yours match K 0.20, 33 % above the plan (11 of 12 rows)" in output
    assert f"CAUTION {said}: more than 5 % off the ratio of all other rows: rows 14" in output
    # 0.20 / 0.15 - 1 = 33.3 %, 0.25 / 0.15 - 1 = 66.7 %, by definition; the area is rounded to 3 figures
    assert all(abs(float(str(each)) - 33.3) < 0.3 for each in percent[:11])
    assert abs(float(str(percent[11])) - 66.7) < 0.3


def test_the_same_figures_agree(tmp_path: Path) -> None:
    output, percent = planned(tmp_path, [0.15] * 4)
    assert "yours agree with the plan (4 of 4 rows)" in output
    assert all(abs(float(str(each))) < 0.3 for each in percent)


def test_figures_without_one_ratio_are_held_against_the_plan_row_by_row(tmp_path: Path) -> None:
    output, _ = planned(tmp_path, [0.15, 0.18, 0.12, 0.20])
    assert "yours differ from the plan by -20 % to +33 %" in output
    assert "more than 5 % off the plan: rows 4 to 6" in output


def test_a_stress_beside_a_torque_is_compared_on_its_area(tmp_path: Path) -> None:
    """The torques were made with K 0.20 from the stresses beside them; the plan has the friction of the list, 0.15."""
    head = ["Joint", "Operation", "Method", "Stud size", "Studs", "Grade", "Torque (ft-lb)", "Nut factor", "Date",
            "Stress (psi)"]  # fmt: skip
    rows: list[list[object]] = []
    for i in range(10):
        stress = 20000 * (1.28 if i == 6 else 1)
        torque = round(0.20 * 1.125 / 12 * 20000 * AREA, 1)
        rows.append(
            [f"FL-{i}", "final make-up", "hydraulic", "1 1/8", 12, "A193 B7", torque, 0.15, "2026-10-20", stress]
        )
    book = openpyxl.Workbook()
    for row in [["Stresses are for information only"], head, *rows]:
        book.worksheets[0].append(row)
    book.save(tmp_path / "flanges.xlsx")
    command = ["plan", tmp_path / "flanges.xlsx", "--wrenches", BOOK, "--out", tmp_path / "out"]
    result = CliRunner().invoke(main, [str(each) for each in command], catch_exceptions=False)
    said = "column J 'Stress (psi)'"
    assert f"NOTE {said}: yours match K 0.20, 25 % below the plan (9 of 10 rows)" in result.output
    assert f"CAUTION {said}: more than 5 % off the ratio of all other rows: rows 9" in result.output


def of_stresses(folder: Path, heading: str, cells: list[object]) -> str:
    """What is printed of stresses beside torques, with no word on their area; load = torque/(K d), K 0.15."""
    head = [
        "Joint",
        "Operation",
        "Method",
        "Stud size",
        "Studs",
        "Grade",
        "Torque (ft-lb)",
        "Nut factor",
        "Date",
        heading,
    ]
    rows = [[f"FL-{i}", "final make-up", "hydraulic", "1 1/8", 12, "A193 B7", 444.4, 0.15, "2026-10-20", cell]
            for i, cell in enumerate(cells)]  # fmt: skip
    book = openpyxl.Workbook()
    for row in [["Stresses are for information only"], head, *rows]:
        book.worksheets[0].append(row)
    book.save(folder / "flanges.xlsx")
    command = ["plan", folder / "flanges.xlsx", "--wrenches", BOOK, "--out", folder / "out"]
    return CliRunner().invoke(main, [str(each) for each in command], catch_exceptions=False).output


def test_a_stress_of_no_stated_area_says_on_which_it_was_compared(tmp_path: Path) -> None:
    """31,602 lbf are 40,000 psi on 0.790 in² of tensile area, 43,400 on 0.728 at the root (ASME B1.1, from memory)."""
    output = of_stresses(tmp_path, "Stress (psi)", [43500] * 4)
    line = next(line for line in output.splitlines() if "compared on" in line)
    assert line.startswith("NOTE column J 'Stress (psi)': ")
    assert line.replace("+0", "-0").endswith(
        " 9 % above the plan (4 of 4 rows); compared on the tensile area, for the list names none; on the root area"
        " they would be off by -0 % to -0 %"
    ), line


def test_stresses_typed_as_text_are_compared_or_named(tmp_path: Path) -> None:
    output = of_stresses(tmp_path, "Stress (psi)", ["40.000,0", "40.000,0", "40,000.0", "see note"])
    assert "yours agree with the plan (3 of 3 rows); compared on the tensile area" in output
    assert "NOTE column J 'Stress (psi)': not compared, for they are no one number: 'see note' (1 in all)" in output
