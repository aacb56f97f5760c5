"""What the console can do to a run: nothing. Refusals and faults in one line, exit codes, closed and full streams."""

import os
import subprocess
import sys
from pathlib import Path

import click
import pytest
import small_plans
from click.testing import CliRunner

from addin.cli import main
from addin.console import Program, phases, say, styled, wrong
from addin.workbooks.package import WorkbookError

SET = {f"list-{part}" for part in ("cards.xlsx", "plan.json", "planned.xlsx", "retightening-cards.xlsx")}
posix = pytest.mark.skipif(os.name == "nt", reason="shell of a POSIX system")


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The command that plans a list of three rows: a make-up, a retightening, and one by hand."""
    folder = tmp_path_factory.mktemp("console")
    rows = [small_plans.joint("A"), small_plans.joint("B", "retighten"), small_plans.hand("C")]
    small_plans.write_list(folder / "list.xlsx", rows)
    small_plans.write_book(folder / "book.xlsx", ("HW-3",))
    return ["plan", str(folder / "list.xlsx"), "--wrenches", str(folder / "book.xlsx")]


def shell(line: str, plan: list[str], **environment: str) -> subprocess.CompletedProcess[bytes]:
    tool = f"'{sys.executable}' -c 'from addin.cli import main; main()'"
    line = line.replace("TOOL", " ".join([tool, *(f"'{each}'" for each in plan)]))
    return subprocess.run(["bash", "-c", line], env=os.environ | environment, capture_output=True, check=False)


@posix
@pytest.mark.parametrize(
    "line",
    ["TOOL --out OUT --pack | head -1; exit ${PIPESTATUS[0]}", "TOOL --out OUT --pack >&- 2>&- <&-",
     pytest.param("TOOL --out OUT --pack >&-", marks=pytest.mark.sweep),
     "TOOL --out OUT --pack > /dev/full 2> /dev/full"],
)  # fmt: skip
def test_streams_that_fail_change_neither_files_nor_exit_code(line: str, plan: list[str], tmp_path: Path) -> None:
    out = tmp_path / "out"

    done = shell(line.replace("OUT", f"'{out}'"), plan)

    assert done.returncode == 0
    assert {path.name for path in out.glob("[!.]*")} == SET
    assert b"Traceback" not in done.stderr
    assert b"Exception ignored" not in done.stderr


@posix
@pytest.mark.parametrize(
    "encoding", ["ascii", *(pytest.param(name, marks=pytest.mark.sweep) for name in ("cp1252", "cp437", "latin-1"))]
)
def test_narrow_code_pages(encoding: str, plan: list[str], tmp_path: Path) -> None:
    """What a code page lacks is written as its number; nothing is dropped and nothing stops."""
    out = tmp_path / "größe"
    done = shell(f"TOOL --out '{out}'", plan, PYTHONIOENCODING=encoding)

    assert done.returncode == 0
    assert b"3 rows: 3 planned" in done.stdout
    assert (out / "list-plan.json").is_file()


def test_a_character_that_the_console_lacks_is_told_by_its_number(capfd: pytest.CaptureFixture[str]) -> None:
    code = "from addin.console import Program\nimport click\n@click.group(cls=Program)\ndef main(): pass\n"
    code += "@main.command()\ndef say(): click.echo('5 \\u2265 4')\nmain(['say'])"
    subprocess.run([sys.executable, "-c", code], env=os.environ | {"PYTHONIOENCODING": "cp1252"}, check=True)

    assert capfd.readouterr().out == "5 \\u2265 4\n"


@click.group(cls=Program)
def program() -> None:
    """Commands that fail."""


@program.command()
@click.argument("what")
def fail(what: str) -> None:
    """Fail in a way of one's own."""
    raise {
        "refusal": WorkbookError("x.xlsx: is no workbook"),
        "line break": WorkbookError("x\nSTOP.xlsx: is no workbook"),
        "fault": KeyError("setpoint"),
        "interrupt": KeyboardInterrupt(),
    }[what]


@program.command("show")
@click.argument("text")
def show(text: str) -> None:
    """Show a text of somebody else's, in our colours."""
    say(text, fg="red")
    say(f"{styled('NOTE', fg='yellow')} {text}")
    wrong(text, label="STOP")


FOREIGN = [
    "\x1b[31m",
    "\x1b[0m",
    "\x1b[8m",
    "\x9b31m",
    "\r\x1b[K",
    "\r",
    "\x1b[?25l",
    "\x1b]0;x\x07",
    "\x90",
    "\x7f",
    "\u202e",
]


@pytest.mark.parametrize("foreign", FOREIGN)
def test_codes_in_a_name_never_reach_the_terminal(foreign: str) -> None:
    """Neither colours nor a return to the start of the line; the colours of our own do."""
    said = CliRunner().invoke(program, ["show", f"P-1{foreign}P-2"], color=True).output

    shown = "".join("\ufffd" if sign in foreign and not sign.isprintable() else sign for sign in f"P-1{foreign}P-2")
    assert said.splitlines() == [
        f"\x1b[31m{shown}\x1b[0m", f"\x1b[33mNOTE\x1b[0m {shown}\x1b[0m", f"\x1b[31mSTOP\x1b[0m {shown}"
    ]  # fmt: skip


@program.command("progress")
@click.argument("text")
def progress(text: str) -> None:
    """Show how far a run is."""
    with phases() as shown:
        shown(text)


def test_a_line_of_progress_redraws_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("addin.console._Deaf.isatty", lambda stream: True)
    said = CliRunner().invoke(program, ["progress", "\rreading"], color=True).stderr

    assert said == "\r\x1b[K\ufffdreading ...\r\x1b[K"


def test_without_a_terminal_nothing_is_coloured() -> None:
    assert CliRunner().invoke(program, ["show", "P-1"]).output == "P-1\nNOTE P-1\nSTOP P-1\n"


def test_a_refusal_names_a_file_with_a_line_break_in_one_line() -> None:
    result = CliRunner().invoke(program, ["fail", "line break"], color=True)

    assert result.stderr == "\x1b[31mtautsheet: x\ufffdSTOP.xlsx: is no workbook\x1b[0m\n"


def test_a_refusal_is_one_line() -> None:
    result = CliRunner().invoke(program, ["fail", "refusal"])

    assert (result.exit_code, result.stderr) == (2, "tautsheet: x.xlsx: is no workbook\n")


def test_a_fault_of_the_program_is_one_line_with_its_report(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))

    result = CliRunner().invoke(program, ["fail", "fault"])

    (report,) = tmp_path.iterdir()
    assert result.exit_code == 2
    assert len(result.stderr.splitlines()) == 1
    assert result.stderr.startswith("tautsheet: a fault of the program, not of your files (KeyError in test_console.py")
    assert result.stderr.endswith(f"please pass on the report {report}\n")
    assert "KeyError: 'setpoint'" in report.read_text(encoding="utf-8")
    if os.name != "nt":
        assert report.stat().st_mode & 0o777 == 0o600


def test_a_fault_with_nowhere_to_report(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "nowhere"))

    result = CliRunner().invoke(program, ["fail", "fault"])

    assert result.exit_code == 2
    assert len(result.stderr.splitlines()) == 1
    assert "no report could be written: No such file" in result.stderr


def test_an_interrupted_run_cannot_be_taken_for_one_that_is_done() -> None:
    result = CliRunner().invoke(program, ["fail", "interrupt"])

    assert (result.exit_code, result.stderr) == (2, "tautsheet: interrupted\n")


def test_nothing_is_printed_before_the_files_are_there(
    plan: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[set[str]] = []
    real = click.echo

    def echo(*given: object, **more: object) -> None:
        seen.append({path.name for path in (tmp_path / "out").glob("[!.]*")})
        real(*given, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(click, "echo", echo)
    result = CliRunner().invoke(main, [*plan, "--out", str(tmp_path / "out"), "--pack"])

    assert result.exit_code == 0
    assert seen[0] == SET
