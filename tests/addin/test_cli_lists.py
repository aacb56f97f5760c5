"""The commands about lists as a user types them: columns, a map, planning with it, planning again."""

import json
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner, Result

from addin.cli import main
from addin.shipped import folder

BOOK = folder("samples") / "cedar-point-wrenches.xlsx"
LIST = folder("samples") / "cedar-point-joints.xlsx"
FTLB = 0.45359237 * 9.80665 * 0.3048


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


def make(path: Path, lines: list[list[Any]]) -> Path:
    book = openpyxl.Workbook()
    book.worksheets[0].title = "Flanges"
    for line in lines:
        book.worksheets[0].append(line)
    book.save(path)
    return path


@pytest.fixture
def flanges(tmp_path: Path) -> Path:
    """A list without studs, methods or dates, whose torque has no unit."""
    head = ["Flange No.", "NPS", "Class", "Torque", "Own"]
    rows = [["FL-1", 8, 600, 500, "x"], ["FL-2", 10, 300, 400, None], ["FL-3", 10, 300, 400, None]]
    return make(tmp_path / "flanges.xlsx", [["Tank farm"], head, *rows])


def edit(path: Path, change: Any) -> None:
    content = json.loads(path.read_text(encoding="utf-8"))
    change(content)
    path.write_text(json.dumps(content), encoding="utf-8")


def answer(content: dict[str, Any]) -> None:
    torque = next(entry for entry in content["columns"] if entry["heading"] == "Torque")
    torque["unit"] = "ft-lb"
    content["standard flange studs"] = True
    content["whole list"] = {"operation": "final make-up", "method": "hydraulic", "date": "2026-10-20",
                             "scheme": "30/60/100", "lubricant": "L-20"}  # fmt: skip


def test_from_a_bare_list_to_a_plan_with_a_map(flanges: Path, tmp_path: Path) -> None:
    answers, out = tmp_path / "map.json", tmp_path / "out"
    before = flanges.read_bytes()
    refused = run("plan", flanges, "--wrenches", BOOK, "--out", out)
    assert refused.exit_code == 2
    assert "column D: 'Torque' has no unit" in refused.output

    shown = run("columns", flanges, "--out", answers)
    assert shown.exit_code == 1
    assert "headings in row 2, 3 rows of joints" in shown.output
    assert str(answers) in shown.output

    edit(answers, answer)
    again = run("columns", flanges, "--map", answers)
    assert again.exit_code == 0
    assert "nothing is open" in again.output
    assert "500 lbf·ft | 400 lbf·ft | 400 lbf·ft" in again.output
    assert "3 rows have the studs of the standard flange" in again.output

    result = run("plan", flanges, "--wrenches", BOOK, "--out", out, "--map", answers)
    plan = json.loads((out / "flanges-plan.json").read_text(encoding="utf-8"))
    assert result.exit_code in (0, 1)
    first = plan["joints"][0]
    # NPS 8 class 600 has 12 studs of 1 1/8 in (ASME B16.5, from memory)
    assert (first["studs"], first["thread"]) == (12, "1 1/8-8 UN")
    assert first["studs_from"].startswith("standard flange NPS 8 class 600")
    assert "studs_of_standard_flange" in [finding["code"] for finding in first["findings"]]
    assert (plan["date"], plan["settings"]["scheme"]) == ("2026-10-20", "30/60/100")
    assert plan["map"]["whole_list"]["lubricant"] == "L-20"
    assert plan["map"]["standard_flange_studs"] is True
    assert "CAUTION" in result.output
    assert flanges.read_bytes() == before


def test_an_option_may_not_contradict_the_map(flanges: Path, tmp_path: Path) -> None:
    answers = tmp_path / "map.json"
    run("columns", flanges, "--out", answers)
    edit(answers, answer)
    result = run("plan", flanges, "--wrenches", BOOK, "--out", tmp_path / "o", "--map", answers, "--date", "2026-10-21")
    assert result.exit_code == 2
    assert "date of the whole list differs" in result.output


def test_a_map_is_brought_up_to_date_in_place(flanges: Path, tmp_path: Path) -> None:
    answers = tmp_path / "map.json"
    run("columns", flanges, "--out", answers)
    edit(answers, answer)
    make(flanges, [["Tank farm"], ["Flange No.", "NPS", "Class", "Torque", "Lube"], ["FL-1", 8, 600, 500, "L-1"]])
    result = run("columns", flanges, "--out", answers)
    assert result.exit_code == 1
    assert "'Lube' is not in the map; it seems to hold lubricant" in result.output
    content = json.loads(answers.read_text(encoding="utf-8"))
    assert content["whole list"]["lubricant"] == "L-20"
    assert [entry["field"] for entry in content["columns"]] == ["joint", "size", "rating", "torque", "?"]


def test_a_file_that_is_no_map_is_not_written_over(flanges: Path, tmp_path: Path) -> None:
    other = tmp_path / "notes.json"
    other.write_text("{}", encoding="utf-8")
    result = run("columns", flanges, "--out", other)
    assert result.exit_code == 2
    assert "is not a map" in result.output
    assert other.read_text(encoding="utf-8") == "{}"


def test_the_columns_of_the_sample() -> None:
    result = run("columns", LIST)
    assert result.exit_code == 0
    assert "Stress (psi)            stress           psi" in result.output
    assert "nothing is open" in result.output


def test_planning_the_planned_copy_again(tmp_path: Path) -> None:
    one, two = tmp_path / "one", tmp_path / "two"
    run("plan", LIST, "--wrenches", BOOK, "--out", one)
    name = "cedar-point-joints-planned.xlsx"
    result = run("plan", one / name, "--wrenches", BOOK, "--out", two)
    assert "planned (28 hydraulic, 6 hand)" in result.output.splitlines()[-1]
    first, second = (openpyxl.load_workbook(out / name)["Joints"] for out in (one, two))
    assert [[cell.value for cell in row] for row in first.iter_rows()] == [
        [cell.value for cell in row] for row in second.iter_rows()
    ]
    before = (one / name).read_bytes()
    same = run("plan", one / name, "--wrenches", BOOK, "--out", one, "--overwrite")
    assert f"note: {name}: goes on in the new one as it was read; it is kept as" in same.output
    assert [path.read_bytes() for path in (one / "kept").iterdir()] == [before]
