"""The plan file: what was changed, damaged, older or newer is one line that names the file."""

import contextlib
import hashlib
import json
import os
import random
import re
from pathlib import Path
from typing import Any

import msgspec
import pytest
from click.testing import CliRunner, Result
from plain_plan import plan_of_version_1
from sample_plans import planned_sample

from addin.cli import main
from addin.plan import file as plan_file
from addin.plan.entries import Amount
from addin.plan.file import NO_CHECKSUM, entry_line, read_plan, write_plan
from addin.shipped import folder
from addin.workbooks.package import WorkbookError

SAMPLES = folder("samples")
LIST, BOOK = SAMPLES / "drigrauvex-joints.xlsx", SAMPLES / "drigrauvex-wrenches.xlsx"
RECORDS = SAMPLES / "drigrauvex-records.xlsx"
START = len(b'{"checksum":"')


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


@pytest.fixture(scope="module")
def planned(shared: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return planned_sample(shared, tmp_path_factory.mktemp("plan"), "--breakout-factor", 1.5)


def summed(content: bytes) -> bytes:
    """The same content with the checksum that belongs to it: a change by somebody who knows how."""
    zeros = content[:START] + NO_CHECKSUM.encode() + content[START + 64 :]
    return zeros[:START] + hashlib.sha256(zeros).hexdigest().encode() + zeros[START + 64 :]


def refusal(content: bytes, tmp_path: Path) -> str:
    path = tmp_path / "x-plan.json"
    path.write_bytes(content)
    with pytest.raises(WorkbookError) as caught:
        read_plan(path)
    text = str(caught.value)
    assert text.startswith(f"{path}: ")
    assert "\n" not in text
    return text.removeprefix(f"{path}: ")


def test_one_object_with_one_joint_a_line_and_the_sum_of_all_of_it(planned: Path) -> None:
    content = planned.read_bytes()
    plan = json.loads(content)

    assert summed(content) == content
    assert len(plan["joints"]) == len(content.splitlines()) - 2 == 39
    assert next(iter(plan)) == "checksum"
    read = read_plan(planned)
    assert [joint.row for joint in read.joints] == [joint["row"] for joint in plan["joints"]]
    assert list(read.joints) == list(read.joints)  # as often as they are asked for


@pytest.mark.parametrize("command", ["pack", "record", "since"])
def test_a_changed_pressure_is_refused_by_every_command(planned: Path, tmp_path: Path, command: str) -> None:
    content = planned.read_bytes()
    changed = re.sub(rb'"setpoint":\{"value":[\d.]+', b'"setpoint":{"value":9900.0', content, count=1)
    (tmp_path / planned.name).write_bytes(changed)
    changed = tmp_path / planned.name
    arguments = {
        "pack": ["pack", changed, "--out", tmp_path / "out"],
        "record": ["record", changed, RECORDS, "--out", tmp_path / "out"],
        "since": ["plan", LIST, "--wrenches", BOOK, "--out", tmp_path / "out", "--since", changed],
    }
    result = run(*arguments[command])

    assert result.exit_code == 2
    assert f"{changed}: was changed after planning" in result.output
    assert not list((tmp_path / "out").glob("*.xlsx"))


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (rb'"setpoint":\{"value":[\d.]+', b'"setpoint":{"value":-500.0', "out of range"),
        (rb'"setpoint":\{"value":[\d.]+', b'"setpoint":{"value":1e300', "1e+300 psi is out of range"),
        (rb'"setpoint":\{"value":[\d.]+', b'"setpoint":{"value":"9900"', "Expected `float`, got `str`"),
        (rb'"setpoint":\{"value":[\d.]+', b'"setpoint":{"value":9900.0,"value":9900.0', "a name twice"),
        (rb'"setpoint":\{"value":[\d.]+', b'"setpoint":{"value":NaN', "JSON is malformed"),
        (rb'"setpoint":\{"value":[\d.]+', b'"setpoint":{"value":1e999', "out of range"),
        (rb'"setpoint":\{"value":[\d.]+', b'"setpoint":{"value":14000.0', "is above the "),
        (rb'"torque":\{"value":[\d.]+', b'"torque":{"value":1.0', "is out of range"),
        (rb'"studs":\d+', b'"studs":3', "studs: 3 is out of range"),
        (rb'"card":"....-....', b'"card":"no card', "is no revision of a card"),
        (rb'"date":"2026', b'"date":"26-1', "is no day"),
        (rb'"wrench":"HW-2"', b'"wrench":"HW-77"', "'HW-77' is not in the plan's wrenches"),
        (rb'"status":"planned"', b'"status":"done"', "status: 'done' is none"),
        (rb'"row":7', b'"rows":7', "Object contains unknown field `rows`"),
    ],
)  # fmt: skip
def test_a_damaged_entry_is_named_by_line_and_place(
    planned: Path, tmp_path: Path, old: bytes, new: bytes, says: str
) -> None:
    lines = planned.read_bytes().splitlines(keepends=True)
    at = next(k for k, line in enumerate(lines) if k and b'"row":7,' in line)
    changed = re.sub(old, new, lines[at], count=1)
    assert changed != lines[at]
    lines[at] = changed

    assert says in (said := refusal(summed(b"".join(lines)), tmp_path))
    assert said.startswith(f"is damaged: line {at + 1}")
    assert refusal(b"".join(lines), tmp_path).startswith(f"was changed after planning: line {at + 1}")


def test_a_plan_of_this_version_without_its_checksum_is_refused(planned: Path, tmp_path: Path) -> None:
    plan = json.loads(planned.read_bytes())
    del plan["checksum"]

    assert refusal(json.dumps(plan).encode(), tmp_path).startswith("was changed after planning: it does not begin with")


def test_a_later_version_says_which_is_read(planned: Path, tmp_path: Path) -> None:
    later = planned.read_bytes().replace(b'"version":2', b'"version":3')

    assert refusal(summed(later), tmp_path) == "is a plan of version 3; this program reads version 2"


def test_an_older_plan_is_read_with_a_note_and_never_printed(planned: Path, tmp_path: Path) -> None:
    old = tmp_path / "old-plan.json"
    old.write_text(json.dumps(plan_of_version_1()), encoding="utf-8")
    since = run("plan", LIST, "--wrenches", BOOK, "--out", tmp_path / "new", "--since", old)
    record = run("record", old, RECORDS, "--out", tmp_path / "rec")
    pack = run("pack", old, "--out", tmp_path / "out")

    for result in (since, record):
        assert "old-plan.json: is a plan of version 1, written by tautsheet 0.1.0; it has no checksum" in result.output
    assert pack.exit_code == 2
    assert "is a plan of version 1; plan the list again with this program" in pack.output


def test_a_number_that_is_none_is_never_written(planned: Path, tmp_path: Path) -> None:
    for value in (float("nan"), float("inf")):
        with pytest.raises(ValueError, match="is no finite number"):
            Amount(value, "psi")
    plan = read_plan(planned)
    write_plan(plan.head, map(entry_line, plan.joints), tmp_path / "again.json")
    assert (tmp_path / "again.json").read_bytes() == planned.read_bytes()


def test_readers_decode_line_by_line(planned: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen = 0

    class Counting:
        def decode(self, text: bytes) -> Any:
            nonlocal seen
            seen += 1
            return msgspec.json.decode(text, type=plan_file.JointEntry)

    plan = read_plan(planned)
    monkeypatch.setattr(plan_file, "_joint", Counting())
    joints = iter(plan.joints)
    next(joints)
    assert seen == 1


@pytest.mark.parametrize("first", range(0, 150, 15))
def test_random_damage_never_ends_in_a_traceback(planned: Path, tmp_path: Path, first: int) -> None:
    for seed in range(first, first + 15):
        damage_at_random(planned, tmp_path, seed)


def damage_at_random(planned: Path, tmp_path: Path, seed: int) -> None:
    chance, content = random.Random(seed), bytearray(planned.read_bytes())
    for _ in range(chance.choice([1, 1, 1, 20])):
        if len(content) <= START + 64:
            break
        at = chance.randrange(START + 64, len(content))
        kind = chance.randrange(4)
        if kind == 0:
            content[at] ^= 1 << chance.randrange(8)
        elif kind == 1:
            del content[at : at + chance.randrange(1, 400)]
        elif kind == 2:
            content[at:at] = chance.choice(
                [b"null", b"[]", b"{}", b"9" * 400, b'"\\ud800"', b"true", b"-", b"[" * 3000]
            )
        else:
            del content[at:]
    damaged = bytes(content)
    if damaged != planned.read_bytes():
        refusal(damaged, tmp_path)
    (tmp_path / "known.json").write_bytes(summed(damaged))  # by somebody who knows how: read, or refused in one line
    with contextlib.suppress(WorkbookError):
        read_plan(tmp_path / "known.json")


@pytest.mark.parametrize(("few", "together"), [(100, 16), (1, 1), (3, 4), (2, 1000)])
def test_joints_are_the_same_by_number_and_one_after_the_other(
    planned: Path, monkeypatch: pytest.MonkeyPatch, few: int, together: int
) -> None:
    for name, value in (("_FEW", few), ("_TOGETHER", together)):
        monkeypatch.setattr(plan_file, name, value)
    joints = read_plan(planned).joints
    every = list(joints)

    order = [*range(len(every)), *range(0, len(every), 7), *range(len(every) - 1, -1, -3)]
    assert [joints[at] for at in order] == [every[at] for at in order]
    assert joints[-1] == every[-1]
    assert joints[3:9] == every[3:9]
    with pytest.raises(IndexError):
        joints[len(every)]


@pytest.mark.parametrize("unseen", [False, True])
def test_a_plan_that_changes_while_it_is_read_is_one_line(planned: Path, tmp_path: Path, unseen: bool) -> None:
    path = tmp_path / "x-plan.json"
    path.write_bytes(planned.read_bytes())
    joints, before = read_plan(path).joints, path.stat()
    path.write_bytes(planned.read_bytes()[:4000].ljust(before.st_size if unseen else 0))
    if unseen:  # as large as it was, and at the same time
        os.utime(path, ns=(0, before.st_mtime_ns))

    for asked in (lambda: joints[len(joints) - 1], lambda: list(joints)):
        with pytest.raises(WorkbookError, match="has changed while it was read: try again"):
            asked()


def test_a_plan_that_is_gone_when_its_joints_are_asked_for_is_one_line(planned: Path, tmp_path: Path) -> None:
    path = tmp_path / "x-plan.json"
    path.write_bytes(planned.read_bytes())
    joints = read_plan(path).joints
    path.unlink()

    for asked in (lambda: joints[len(joints) - 1], lambda: list(joints)):
        with pytest.raises(WorkbookError, match="x-plan.json: cannot be read: No such file"):
            asked()


def test_joints_of_a_plan_in_the_place_of_the_one_read_are_never_taken_for_its_own(
    planned: Path, tmp_path: Path
) -> None:
    path, other = tmp_path / "x-plan.json", tmp_path / "other-plan.json"
    path.write_bytes(planned.read_bytes())
    joints = read_plan(path).joints
    lines = planned.read_bytes().splitlines(keepends=True)
    at = next(at for at, line in enumerate(lines) if at and b'"torque":{"value":' in line)
    begin = lines[at].index(b'"torque":{"value":') + len(b'"torque":{"value":')
    lines[at] = lines[at][:begin] + (b"2" if lines[at][begin : begin + 1] == b"1" else b"1") + lines[at][begin + 1 :]
    other.write_bytes(summed(b"".join(lines)))
    assert read_plan(other).joints[at - 1].torque != joints[at - 1].torque  # a whole plan, every line as long
    os.utime(other, ns=(0, path.stat().st_mtime_ns + 1_000_000))
    joints = read_plan(path).joints  # none of it decoded so far
    other.replace(path)

    for asked in (lambda: joints[at - 1], lambda: list(joints)):
        with pytest.raises(WorkbookError, match="x-plan.json: has changed while it was read: try again"):
            asked()
