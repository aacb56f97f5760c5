"""Several lists in one command, and what a command says that was interrupted."""

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from addin import console, several_lists, tasks
from addin.cli import main
from addin.plan.file import read_plan
from addin.shipped import folder
from addin.workbooks import file_set
from addin.workbooks.outputs import COPY, Outputs
from addin.workbooks.package import WorkbookError

LIST, BOOK = (folder("samples") / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches"))
COUNTS = "39 rows: 35 planned (29 hydraulic, 6 hand), 4 by another method and 0 stopped"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> tuple[Result, Path]:
    """A folder with two lists of the same joints, one that is none, the wrench book, and what a spreadsheet left."""
    place = tmp_path_factory.mktemp("lists")
    for name in ("North.xlsx", "South.xlsx"):
        shutil.copy(LIST, place / name)
    shutil.copy(BOOK, place / "wrenches.xlsx")
    (place / "letter.csv").write_text("Dear all,good morning\n")
    (place / "~$North.xlsx").write_bytes(b"open")
    (place / "North-questions.xlsx").write_bytes(b"no list")
    done = run("plan", place, "--wrenches", place / "wrenches.xlsx", "--out", place / "out", "--breakout-factor", "1.5")
    return done, place


def test_each_list_of_a_folder_gets_a_folder_and_a_line(planned: tuple[Result, Path]) -> None:
    done, place = planned
    lines = done.output.splitlines()

    assert sorted(each.name for each in (place / "out").iterdir()) == ["North", "South"]
    for name in ("North", "South"):
        assert f"{name}.xlsx: {COUNTS}; in {place / 'out' / name}" in lines
        assert {f"{name}-plan.json", f"{name}-planned.xlsx"} <= {each.name for each in (place / "out" / name).iterdir()}
    assert lines[-1] == (
        "2 lists of 3 planned: 78 rows: 70 planned (58 hydraulic, 12 hand), 8 by another method and 0 stopped"
    )


def test_a_list_that_cannot_be_planned_is_named_and_leaves_the_others(planned: tuple[Result, Path]) -> None:
    done, place = planned

    assert done.exit_code == 2
    assert (
        "letter.csv: nothing is planned: letter.csv: no joint list found: none of the first 60 rows has headings such"
        " as Joint, Stud size, No. of studs and Torque"
    ) in done.output.splitlines()
    assert not (place / "out" / "letter").exists()


def test_joints_of_two_lists_are_named(planned: tuple[Result, Path]) -> None:
    (said,) = [line for line in planned[0].output.splitlines() if "would have two cards" in line]

    assert said.startswith("CAUTION V-1101-MH break, ")
    assert said.endswith(
        " and 36 more stand in North.xlsx and in South.xlsx: each would have two cards; take them out of one of the"
        " lists"
    )


def test_options_reach_every_list(planned: tuple[Result, Path]) -> None:
    for name in ("North", "South"):
        plan = read_plan(planned[1] / "out" / name / f"{name}-plan.json")
        assert plan.head.settings.breakout_factor == 1.5


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--since", LIST], "--since goes with one list: plan them one by one"),
        (["--answers", LIST], "--answers names the sheet of one list: for several lists it names the folder of their"
                              " sheets"),
    ],
)  # fmt: skip
def test_what_is_of_one_list_is_refused_for_several(tmp_path: Path, more: list[object], said: str) -> None:
    done = run(
        "plan", LIST, shutil.copy(LIST, tmp_path / "b.xlsx"), "--wrenches", BOOK, "--out", tmp_path / "out", *more
    )

    assert (done.exit_code, done.output) == (2, f"tautsheet: {said}\n")
    assert not (tmp_path / "out").exists()


def test_two_lists_of_one_name_and_a_folder_without_lists_are_refused(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    one, two = shutil.copy(LIST, tmp_path / "Joints.xlsx"), shutil.copy(LIST, tmp_path / "a" / "joints.xlsx")
    done = run("plan", one, two, "--wrenches", BOOK, "--out", tmp_path / "out")
    assert (done.exit_code, done.output) == (
        2, "tautsheet: two of the lists are called Joints: their results would mix; plan them apart\n",
    )  # fmt: skip

    (tmp_path / "empty").mkdir()
    done = run("plan", tmp_path / "empty", "--wrenches", BOOK, "--out", tmp_path / "out")
    assert (done.exit_code, done.output) == (2, f"tautsheet: {tmp_path / 'empty'}: holds no list to plan\n")


@pytest.mark.skipif(os.name == "nt", reason="no such signal there")
def test_an_interrupted_run_over_several_lists_says_what_is_written(tmp_path: Path) -> None:
    lists = [shutil.copy(LIST, tmp_path / f"L{number}.xlsx") for number in range(4)]
    with subprocess.Popen(
        [sys.executable, "-P", "-m", "addin", "plan", *lists, "--wrenches", BOOK, "--out", tmp_path / "out"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
    ) as process:  # fmt: skip
        while not list((tmp_path / "out").glob("*/*-plan.json")) and process.poll() is None:
            time.sleep(0.05)
        os.killpg(process.pid, signal.SIGINT)
        _, said = process.communicate()

    assert process.returncode == 2
    assert said.startswith("tautsheet: interrupted; ")
    written, rest = said.strip().partition("; not written: ")[::2]
    done = written.partition("planned and written: ")[2].split(", ") if "planned and written" in written else []
    assert sorted([*done, *(name for name in rest.split(", ") if name != "none")]) == [
        f"L{number}.xlsx" for number in range(4)
    ]
    for number in range(4):  # a set that was interrupted while it was put in place is taken back
        files = {path.name for path in (tmp_path / "out" / f"L{number}").glob("[!.]*")}
        assert files == ({f"L{number}-plan.json", f"L{number}-planned.xlsx"} if f"L{number}.xlsx" in done else set())


@pytest.mark.skipif(sys.platform != "linux", reason="what is put in place of a function reaches a forked process only")
def test_of_a_process_that_was_killed_nobody_claims_what_it_wrote(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:  # fmt: skip
    monkeypatch.setattr(several_lists, "_run", lambda words, said: os.kill(os.getpid(), signal.SIGKILL))
    (done,) = several_lists.plan_each({LIST: tmp_path / "out"}, [])

    assert done.code == 2
    assert done.said == (
        f"tautsheet: {LIST.name}: its process ended with -9; see what stands in {tmp_path / 'out'}",
    )  # fmt: skip


@pytest.mark.skipif(sys.platform != "linux", reason="what is put in place of a function reaches a forked process only")
def test_an_interrupt_that_is_lost_while_python_cleans_up_still_ends_the_run(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:  # fmt: skip
    def lost(_done: int, _of: int) -> None:
        with contextlib.suppress(KeyboardInterrupt):  # as it is in what runs when an object goes
            signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr(several_lists, "_run", lambda words, said: None)
    folders = {tmp_path / f"{name}.xlsx": tmp_path / name for name in "ABCDEF"}
    with pytest.raises(WorkbookError) as said:
        several_lists.plan_each(folders, [], lost)

    assert str(said.value) == (
        "interrupted; no list is planned; not written: A.xlsx, B.xlsx, C.xlsx, D.xlsx, E.xlsx, F.xlsx"
    )
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_an_interrupted_command_says_that_nothing_is_written(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:  # fmt: skip
    def stopped(*_given: object, **_more: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(tasks, "write_planned", stopped)
    done = run("plan", LIST, "--wrenches", BOOK, "--out", tmp_path / "out")

    assert (done.exit_code, done.output) == (2, "tautsheet: interrupted; nothing is written\n")
    assert not (tmp_path / "out").exists()


def test_an_interrupted_command_names_the_sets_that_are_in_place(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:  # fmt: skip
    def half(*_given: object, **_more: object) -> None:
        with Outputs(tmp_path) as outputs:
            outputs.place("first.txt", COPY).write_text("whole")
        raise KeyboardInterrupt

    monkeypatch.setattr(tasks, "plan_list", half)
    file_set.IN_PLACE.append(Path("of an earlier run"))
    done = run("plan", LIST, "--wrenches", BOOK, "--out", tmp_path / "out")

    first = tmp_path / "first.txt"
    assert (done.exit_code, done.output) == (
        2, f"tautsheet: interrupted; written: {first}; nothing else is, and what stood there before is as it was\n",
    )  # fmt: skip
    assert first.read_text() == "whole"


def test_what_remains_is_told_on_a_terminal_alone(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:  # fmt: skip
    seconds = iter([0.0, 3.0, 6.0, 9.0, 12.0])
    monkeypatch.setattr(console.time, "monotonic", lambda: next(seconds))
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    with console.phases() as shown:
        shown("cards")(100, 500)
    assert "cards ... 100 of 500, about 12 s left" in capsys.readouterr().err

    monkeypatch.setattr(sys.stderr, "isatty", lambda: False)
    with console.phases() as shown:
        shown("cards")(100, 500)
    assert capsys.readouterr() == ("", "")


def test_processes_that_know_nothing_of_each_other_give_the_same(
    planned: tuple[Result, Path], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """As where a process cannot hand on its memory: each imports and reads everything itself."""
    monkeypatch.setattr(several_lists, "_FORKS", False)
    north = planned[1] / "North.xlsx"
    options = ["--wrenches", str(planned[1] / "wrenches.xlsx"), "--breakout-factor", "1.5"]

    (done,) = several_lists.plan_each({north: tmp_path / "out"}, options)

    assert done.code == 0
    assert COUNTS in "\n".join(done.said)
    names = {"North-plan.json", "North-planned.xlsx"}
    assert names <= {each.name for each in (tmp_path / "out").iterdir()}
    for name in names:
        assert (tmp_path / "out" / name).read_bytes() == (planned[1] / "out" / "North" / name).read_bytes()
