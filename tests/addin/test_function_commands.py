"""What people expect of a command: help of one function, completion, version, quiet, no colours, a stray calc.py."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from addin.cli import main
from addin.functions.registry import FUNCTIONS
from addin.shipped import folder

ROOT = Path(__file__).parents[2]
LIST, REFUSALS, BOOK = (
    str(folder("samples") / f"drigrauvex-{name}.xlsx") for name in ("joints", "refusals", "wrenches")
)


def said(*arguments: str) -> str:
    return CliRunner().invoke(main, arguments, catch_exceptions=False).output


def test_every_function_is_listed_and_has_its_page() -> None:
    listed = said("functions").splitlines()

    assert [line.split()[0] for line in listed] == [each.name for each in FUNCTIONS]
    for function in FUNCTIONS:
        page = said("functions", function.name)
        assert said("call", function.name, "--help") == page
        assert page.startswith(f"{function.name}(")
        text = " ".join(page.split())
        assert all(" ".join(arg.help.rstrip(".").split()) in text for arg in function.args), function.name
        assert f"tautsheet call {function.name}" in text


def test_the_page_of_a_function_tells_limits_defaults_and_source() -> None:
    page = " ".join(said("functions", "setpoint").split())

    assert "torque Torque on the nut. [5 N·m to 200000 N·m or 3.68781 lbf·ft to 147512 lbf·ft]" in page
    assert '"down" or "up". [may be left out, then nearest]' in page
    assert "source: straight line between the rows of the table" in page


def test_a_name_nearly_right_is_told() -> None:
    result = CliRunner().invoke(main, ["call", "setpiont", "1"])

    assert result.exit_code == 2
    assert result.stderr == "tautsheet: no function setpiont; did you mean setpoint or setpoint_shared?\n"


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("tautsheet call torque_f", ["torque_from_preload", "torque_from_friction"]),
        ("tautsheet functions gasket", ["gasket_design_loads"]),
        ("tautsheet plan --scheme pcc", ["PCC-1 legacy"]),
        ("tautsheet plan --rounding d", ["down"]),
        ("tautsheet pack --only cau", ["cautions"]),
        ("tautsheet rec", ["recalc", "record"]),
    ],
)
def test_a_shell_completes_names_of_functions_schemes_and_commands(words: str, found: list[str]) -> None:
    shell = {"_TAUTSHEET_COMPLETE": "bash_complete", "COMP_WORDS": words, "COMP_CWORD": str(len(words.split()) - 1)}
    result = CliRunner().invoke(main, [], prog_name="tautsheet", env=shell)

    assert [line.split(",", 1)[1] for line in result.output.splitlines()] == found


def test_quiet_prints_only_what_is_wrong(tmp_path: Path) -> None:
    arguments = ("plan", REFUSALS, "--sheet", "Joints", "--wrenches", BOOK, "--out")
    loud, quiet = said(*arguments, str(tmp_path / "a")), said(*arguments, str(tmp_path / "b"), "--quiet")

    stops = [line for line in loud.splitlines() if line.startswith("STOP ")]
    assert stops
    assert quiet.splitlines() == stops
    assert said("plan", LIST, "--wrenches", BOOK, "--pack", "--out", str(tmp_path / "c"), "--quiet") == ""


@pytest.mark.skipif(os.name == "nt", reason="a terminal of a POSIX system")
@pytest.mark.parametrize(("no_colour", "coloured"), [("", True), ("1", False)])
def test_no_colour_where_the_environment_says_so(no_colour: str, coloured: bool, tmp_path: Path) -> None:
    """On a terminal, which `script` stands in for."""
    if not Path("/usr/bin/script").exists():
        pytest.skip("no terminal to be had")
    line = f"'{sys.executable}' -P -m addin call nothing"
    environment = os.environ | {"NO_COLOR": no_colour, "TERM": "xterm"}
    done = subprocess.run(["script", "-qec", line, "/dev/null"], cwd=ROOT, capture_output=True, check=False, text=True,
                          stdin=subprocess.DEVNULL, env=environment)  # fmt: skip

    assert "no function nothing" in done.stdout
    assert ("\x1b[31m" in done.stdout) == coloured


def test_a_file_called_calc_in_the_folder_is_not_taken_for_ours(tmp_path: Path) -> None:
    for name in ("calc.py", "addin.py", "click.py"):
        (tmp_path / name).write_text("raise SystemExit('not ours')")
    done = subprocess.run([sys.executable, "-P", "-m", "addin", "--version"], cwd=tmp_path, capture_output=True,
                          text=True, check=False, env=os.environ | {"PYTHONPATH": str(ROOT)})  # fmt: skip

    assert re.fullmatch(r"tautsheet \d+\.\d+\.\d+\n", done.stdout), done.stderr
    assert done.returncode == 0
