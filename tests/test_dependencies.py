"""What is installed with the program: bounded, locked with hashes, and its licences told."""

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
WANTED = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
LOCK = (ROOT / ".ci" / "lock.txt").read_text(encoding="utf-8")
HELD = dict(line.split("==") for line in (ROOT / ".ci" / "constraints.txt").read_text(encoding="utf-8").split())
LOCKED = re.findall(r"^([a-z0-9.-]+)==(\S+)((?:.*\\\n +--hash=sha256:[0-9a-f]{64}|.*\\\n)+)", LOCK, re.MULTILINE)


def name_of(requirement: str) -> str:
    return re.split(r"[<>=~! ;\[]", requirement)[0].lower().replace("_", "-")


@pytest.mark.parametrize("requirement", WANTED)
def test_every_runtime_dependency_is_bounded_locked_and_has_its_licence_told(requirement: str) -> None:
    name = name_of(requirement)
    assert "==" in requirement or "<" in requirement, "no bound below its next major version"
    locked = {locked: version for locked, version, _ in LOCKED}
    assert name in locked, "run .ci/make-lock"
    assert re.search(rf"^\| {name} \|", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"), re.M | re.I)


def test_the_lock_has_the_versions_that_are_tested_and_a_hash_for_each() -> None:
    held = {name_of(name): version for name, version in HELD.items()}
    for name, version, hashes in LOCKED:
        assert held.get(name, version) == version, name
        assert "--hash=sha256:" in hashes, name
    assert LOCK.count("==") - LOCK.count("sys_platform ==") == len(LOCKED)


def test_the_lock_is_the_one_that_the_readme_names() -> None:
    assert "pip install --require-hashes -r .ci/lock.txt" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_both_packages_say_that_they_are_typed() -> None:
    assert all((ROOT / name / "py.typed").is_file() for name in ("calc", "addin"))
