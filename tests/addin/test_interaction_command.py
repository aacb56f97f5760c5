"""The plan command with interaction: the engineer's workbook beside the plan, a line for what lacks inputs."""

from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result
from plain_plan import plain_plan

from addin.cli import main

SAMPLES = Path(__file__).parents[2] / "samples"
LIST, BOOK = (SAMPLES / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches"))
SIZES = {
    "Grip (in)": 5.7, "Bolt circle (in)": 32.0, "Flange outside diameter (in)": 36.0,
    "Flange inside diameter (in)": 23.25, "Flange thickness (in)": 2.75, "Gasket inside diameter (in)": 25.0,
    "Gasket outside diameter (in)": 27.0, "Gasket kind": "spiral wound",
}  # fmt: skip
"""Like a flange of 24 in, class 300 (from memory)."""


def plan(path: Path, out: Path, *options: str) -> Result:
    arguments = ["plan", str(path), "--wrenches", str(BOOK), "--out", str(out), *options]
    return CliRunner().invoke(main, arguments, catch_exceptions=False)


@pytest.fixture(scope="module")
def sized(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample list with sizes of one joint, and with one of them alone in another row."""
    book = openpyxl.load_workbook(LIST)
    sheet = book["Joints"]
    for column, (heading, value) in enumerate(SIZES.items(), start=sheet.max_column + 1):
        sheet.cell(5, column, heading)
        sheet.cell(8, column, value)
        if heading.startswith("Bolt circle"):
            sheet.cell(9, column, 19.0)
    path = tmp_path_factory.mktemp("list") / "sized.xlsx"
    book.save(path)
    return path


def test_the_engineers_workbook_stands_beside_the_plan_and_changes_nothing_in_it(sized: Path, tmp_path: Path) -> None:
    without, with_it = tmp_path / "a", tmp_path / "b"
    plan(sized, without)
    result = plan(sized, with_it, "--interaction", "--since", str(without / "sized-plan.json"))

    assert [path.name for path in sorted(with_it.iterdir()) if not path.name.startswith(".")] == [
        "sized-engineer.xlsx", "sized-plan.json", "sized-planned.xlsx",
    ]  # fmt: skip
    assert openpyxl.load_workbook(with_it / "sized-engineer.xlsx").sheetnames == ["V-1101-MH final make-up"]
    assert f"{with_it / 'sized-engineer.xlsx'} (sheets: 1)" in result.output
    assert "NOTE V-1101-N1 final make-up: interaction not worked out: grip, flange outside diameter" in result.output
    assert "joints 0 new, 0 gone, 0 changed; cards 0 to issue, 0 to withdraw" in result.output
    joints = [plain_plan(out / "sized-plan.json")["joints"] for out in (without, with_it)]
    assert [joint["card"] for joint in joints[0]] == [joint["card"] for joint in joints[1]]


def test_a_workbook_of_an_earlier_run_is_not_written_over(sized: Path, tmp_path: Path) -> None:
    (tmp_path / "sized-engineer.xlsx").write_bytes(b"mine")
    result = plan(sized, tmp_path, "--interaction")

    assert result.exit_code == 2
    assert [path.name for path in tmp_path.iterdir()] == ["sized-engineer.xlsx"]
    assert (tmp_path / "sized-engineer.xlsx").read_bytes() == b"mine"


def test_a_list_without_sizes_says_that_there_is_nothing_to_show(tmp_path: Path) -> None:
    result = plan(LIST, tmp_path, "--interaction")

    assert "no joint states all that interaction needs" in result.output
    assert not (tmp_path / "drigrauvex-joints-engineer.xlsx").exists()
