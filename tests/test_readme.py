"""The README says what the program does: its function table, its commands, its files."""

import hashlib
import importlib.util
import re
import shlex
from pathlib import Path

import click
from click.testing import CliRunner

from addin.cli import main

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_function_table_is_that_of_the_registry() -> None:
    spec = importlib.util.spec_from_file_location("make_readme", ROOT / "tests" / "make_readme.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)

    assert module.with_table(README) == README, "run python tests/make_readme.py"


def test_the_test_command_is_the_one_that_ci_runs() -> None:
    commands = re.findall(r"```sh\n(.*?)```", README, re.DOTALL)
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()

    assert commands[1].strip() in script


def test_files_and_commands_named_exist() -> None:
    for name in re.findall(r"(?:samples|templates)/[\w -]+\.(?:xlsx|png|csv)", README):
        assert (ROOT / name).is_file(), name
    for name in set(re.findall(r"`tautsheet ([a-z]+)", README)):
        assert name in main.list_commands(click.Context(main)), name


def test_the_commands_of_the_cycle_run_as_written(tmp_path: Path) -> None:
    """Every line of the README that calls the program on the samples, with an output folder of its own."""
    lines = [line for block in re.findall(r"```sh\n(.*?)```", README, re.DOTALL) for line in block.splitlines()]
    calls = [line.split("tautsheet ", 1)[1] for line in lines if ".venv/bin/tautsheet " in line]
    assert len(calls) == 5
    before = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in (ROOT / "samples").iterdir()}
    codes = []
    for call in calls:
        words = [
            str(tmp_path / word) if word == "out" or word.startswith("out/") else word for word in shlex.split(call)
        ]
        words = [str(ROOT / word) if word.startswith("samples/") else word for word in words]
        result = CliRunner().invoke(main, words, catch_exceptions=False)
        codes.append(result.exit_code)
    after = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in (ROOT / "samples").iterdir()}
    assert after == before
    assert codes == [0, 1, 2, 0, 1]  # planned whole; refusals; questions; packed; records with something to review
    assert list((tmp_path / "out").glob("*-hand-over.xlsx"))
