"""Sets of outputs: whole or not at all, only ours is replaced, what was changed is kept, one run at a time."""

import errno
import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

import pytest

from addin.workbooks import file_set, outputs
from addin.workbooks.file_set import NOTES, finish_sets, read_notes
from addin.workbooks.folder_lock import NAME, FolderLock
from addin.workbooks.outputs import ANSWERS, PLAN, PLANNED, PRINTED, Outputs
from addin.workbooks.package import WorkbookError

posix = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and signals")
NAMES = ("L-planned.xlsx", "L-plan.json", "L-cards.xlsx")


def write(folder: Path, text: str, names: Iterable[str] = NAMES, inputs: Iterable[Path] = (), **more: bool) -> Outputs:
    with Outputs(folder, inputs, by="plan", **more) as made:
        for name in names:
            made.place(name, {"L-planned.xlsx": PLANNED, "L-plan.json": PLAN}.get(name, PRINTED)).write_text(text)
    return made


def contents(folder: Path) -> dict[str, str]:
    """What a person sees in a folder."""
    seen = [path for path in sorted(folder.rglob("*")) if path.is_file() and not path.name.startswith(".")]
    return {path.relative_to(folder).as_posix(): path.read_text() for path in seen}


def hidden(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir() if path.name.startswith("."))


def test_a_set_appears_with_its_notes(tmp_path: Path) -> None:
    out = tmp_path / "a" / "out"
    write(out, "one")

    assert contents(out) == dict.fromkeys(sorted(NAMES), "one")
    assert hidden(out) == [NOTES]
    notes = read_notes(out)
    assert {name: (note.kind, note.by) for name, note in notes.items()} == {
        "L-planned.xlsx": ("planned copy", "plan"), "L-plan.json": ("plan", "plan"),
        "L-cards.xlsx": ("printed part", "plan"),
    }  # fmt: skip
    assert "it replaces only these" in json.loads((out / NOTES).read_text())["what"]


def test_a_set_that_fails_leaves_the_folder_as_it_was(tmp_path: Path) -> None:
    write(tmp_path, "one")
    before = contents(tmp_path)

    def fail() -> None:
        with Outputs(tmp_path, overwrite=True) as made:
            made.place("L-planned.xlsx", PLANNED).write_text("two")
            raise WorkbookError(f"{made.place('L-plan.json', PLAN)}: no")

    with pytest.raises(WorkbookError, match=f"{tmp_path}/L-plan.json: no") as caught:
        fail()

    assert ".set" not in str(caught.value)
    assert contents(tmp_path) == before
    assert hidden(tmp_path) == [NOTES]
    with pytest.raises(ZeroDivisionError), Outputs(tmp_path / "new", overwrite=True):
        raise ZeroDivisionError
    assert not (tmp_path / "new").exists()


def test_nothing_is_replaced_unless_asked(tmp_path: Path) -> None:
    write(tmp_path, "one")

    with pytest.raises(WorkbookError, match="is there already and is not overwritten unless that is asked for"):
        write(tmp_path, "two")

    assert set(contents(tmp_path).values()) == {"one"}
    assert write(tmp_path, "two", overwrite=True).kept() == []
    assert contents(tmp_path) == dict.fromkeys(sorted(NAMES), "two")


def test_what_replaces_a_file_has_its_rights_and_one_that_is_open_is_not_replaced(tmp_path: Path) -> None:
    write(tmp_path, "one")
    (tmp_path / "L-cards.xlsx").chmod(0o640)
    write(tmp_path, "two", overwrite=True)
    assert (tmp_path / "L-cards.xlsx").stat().st_mode & 0o777 == 0o640
    for lock in (".~lock.L-cards.xlsx#", "~$L-cards.xlsx"):
        (tmp_path / lock).write_bytes(b"")
        with pytest.raises(WorkbookError, match="L-cards.xlsx: is open in a spreadsheet program"):
            write(tmp_path, "three", overwrite=True)
        (tmp_path / lock).unlink()
    assert set(contents(tmp_path).values()) == {"two"}


def test_a_file_without_a_note_is_somebody_elses(tmp_path: Path) -> None:
    write(tmp_path, "one")
    (tmp_path / "L-summary.xlsx").write_text("mine")

    with pytest.raises(WorkbookError, match="L-summary.xlsx: is not overwritten: tautsheet has no note of having"):
        write(tmp_path, "two", (*NAMES, "L-summary.xlsx"), overwrite=True)

    assert contents(tmp_path) == dict.fromkeys(sorted(NAMES), "one") | {"L-summary.xlsx": "mine"}
    (tmp_path / NOTES).unlink()
    with pytest.raises(WorkbookError, match="tautsheet has no note"):
        write(tmp_path, "two", overwrite=True)


@pytest.mark.parametrize("how", ["same", "symbolic link", "hard link", "another spelling"])
def test_what_is_read_is_never_replaced(tmp_path: Path, how: str) -> None:
    """Under whatever name it comes, even where the notes say that it is ours."""
    write(tmp_path, "one")
    book = tmp_path / "L-planned.xlsx"
    if how == "symbolic link":
        given = tmp_path / "book.xlsx"
        given.symlink_to(book)
    elif how == "hard link":
        given = tmp_path / "book.xlsx"
        os.link(book, given)
    else:
        given = tmp_path / "x" / ".." / "L-planned.xlsx" if how == "another spelling" else book
        (tmp_path / "x").mkdir()

    with pytest.raises(WorkbookError, match="L-planned.xlsx: is read by this run; results go to another file"):
        write(tmp_path, "two", inputs=[given], overwrite=True)

    assert book.read_text() == "one"


def test_what_was_changed_since_is_kept_and_named(tmp_path: Path) -> None:
    write(tmp_path, "one")
    (tmp_path / "L-planned.xlsx").write_text("one, and what the crew typed")

    made = write(tmp_path, "two", overwrite=True)

    where = next(name for name in contents(tmp_path) if name.startswith("kept/"))
    assert contents(tmp_path) == dict.fromkeys(sorted(NAMES), "two") | {where: "one, and what the crew typed"}
    assert made.kept() == [
        "L-planned.xlsx: was changed since it was written, and what was typed into it is not in the new one; it is kept"
        f" as {tmp_path / where}"
    ]
    (tmp_path / "L-planned.xlsx").write_text("again")
    write(tmp_path, "three", overwrite=True)
    assert sorted(contents(tmp_path).values()) == sorted(["three"] * 3 + ["one, and what the crew typed", "again"])


def test_a_planned_copy_goes_on_in_its_own_folder(tmp_path: Path) -> None:
    write(tmp_path, "one")
    copy = tmp_path / "L-planned.xlsx"
    copy.write_text("answered")

    with Outputs(tmp_path, [copy], overwrite=True) as made:
        made.place("L-planned.xlsx", PLANNED, renews=copy).write_text("answered and planned")

    assert sorted(contents(tmp_path).values()) == ["answered", "answered and planned", "one", "one"]
    assert "what was typed in it stands in the new one too; it is kept as" in made.kept()[0]
    other = tmp_path / "other-planned.xlsx"  # somebody's list of that name
    other.write_text("mine")
    with Outputs(tmp_path, [other], overwrite=True) as made, pytest.raises(WorkbookError, match="is read by this run"):
        made.place("other-planned.xlsx", PLANNED, renews=other)


def test_answers_are_kept_where_they_were_typed(tmp_path: Path) -> None:
    """They go on in the new sheet, asked for or not; what we wrote ourselves needs no second copy."""
    answers = tmp_path / "answers.json"
    for text in ("typed", "ours"):
        answers.write_text("typed") if text == "typed" else None
        with Outputs(tmp_path, [answers]) as made:
            made.place("answers.json", ANSWERS, renews=answers).write_text("ours")
        assert len(made.kept()) == (text == "typed")

    assert list(contents(tmp_path).values()) == ["ours", "typed"]


def test_entries_on_a_record_sheet_are_never_replaced(tmp_path: Path) -> None:
    for expected in ("L-record.xlsx", "L-record-2.xlsx", "L-record-3.xlsx"):
        with Outputs(tmp_path) as made:
            name = made.free_name("L-record.xlsx")
            made.place(name, "record sheet").write_text(expected)

    assert contents(tmp_path) == {f"L-record{end}.xlsx": f"L-record{end}.xlsx" for end in ("-2", "-3", "")}


def test_an_old_part_does_not_stay_beside_a_new_set(tmp_path: Path) -> None:
    with Outputs(tmp_path) as made:
        made.of = "first plan"
        made.place("L-cards.xlsx", PRINTED).write_text("old cards")
        made.place("L-kit.xlsx", PRINTED).write_text("old kit")
    (tmp_path / "L-mine.xlsx").write_text("mine")

    with Outputs(tmp_path, overwrite=True) as made:
        made.of = "second plan"
        made.place("L-cards.xlsx", PRINTED).write_text("new cards")
        made.place("L-kit.xlsx", PRINTED)  # could not be made
        assert made.stale() == ["L-kit.xlsx"]
        for name in (*made.stale(), "L-mine.xlsx"):
            made.put_away(name, "is of another plan and was not written again")

    assert sorted(contents(tmp_path).values()) == ["mine", "new cards", "old kit"]
    assert made.kept()[0].startswith("L-kit.xlsx: is of another plan and was not written again; it is kept as ")
    assert list(read_notes(tmp_path)) == ["L-cards.xlsx"]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("L-cards.xlsx", "something of that name that is no plain file"),
        ("link/P-1.xlsx", "cannot be written into: it is a link or no folder"),
        ("file/P-1.xlsx", "cannot be written into: it is a link or no folder"),
        (".tautsheet-files.json", "a name that this program keeps for itself"),
    ],
)
def test_places_that_are_refused(tmp_path: Path, name: str, words: str) -> None:
    out = tmp_path / "out"
    (out / "L-cards.xlsx").mkdir(parents=True)
    (tmp_path / "elsewhere").mkdir()
    (out / "link").symlink_to(tmp_path / "elsewhere")
    (out / "file").write_text("mine")

    with pytest.raises(WorkbookError, match=words):
        write(out, "one", [name], overwrite=True)

    assert list((tmp_path / "elsewhere").iterdir()) == []


def test_damaged_notes_are_a_refusal(tmp_path: Path) -> None:
    write(tmp_path, "one")
    for text in ("", "{", "[]", '{"version": 1, "files": {"a": 3}}', '{"version": 9, "files": {}}'):
        (tmp_path / NOTES).write_text(text)
        with pytest.raises(WorkbookError, match=r"is damaged, so it is not known|is of another version"):
            write(tmp_path, "two", overwrite=True)
    assert set(contents(tmp_path).values()) == {"one"}


def test_one_run_at_a_time(tmp_path: Path) -> None:
    code = "import sys; from pathlib import Path; from addin.workbooks.outputs import Outputs\n"
    code += "with Outputs(Path(sys.argv[1]), overwrite=True) as o: o.place('x.json', 'plan').write_text('child')"
    child = [sys.executable, "-c", code, str(tmp_path)]
    stranger = {key: value for key, value in os.environ.items() if key != "TAUTSHEET_HOLDS"}
    with Outputs(tmp_path) as made:
        made.place("y.json", PLAN).write_text("parent")
        alone = subprocess.run(child, capture_output=True, text=True, env=stranger, check=False)
        assert f"{tmp_path}: another run is writing into this folder" in alone.stderr
        assert subprocess.run(child, check=False).returncode == 0  # a run that this one starts

    assert contents(tmp_path) == {"x.json": "child", "y.json": "parent"}
    assert hidden(tmp_path) == [NOTES]
    assert subprocess.run(child, check=False, env=stranger).returncode == 0
    assert "TAUTSHEET_HOLDS" not in os.environ or not os.environ["TAUTSHEET_HOLDS"]


@posix
def test_a_lock_ends_with_its_run(tmp_path: Path) -> None:
    if not (child := os.fork()):
        with FolderLock(tmp_path):
            os.kill(os.getpid(), signal.SIGKILL)
    os.waitpid(child, 0)
    assert (tmp_path / NAME).exists()

    with FolderLock(tmp_path) as lock:
        assert lock.own
    assert hidden(tmp_path) == []


def die_at(number: int) -> None:
    """Kill this process at its nth change of the disk."""
    count = 0

    def counted(event: str, _given: object) -> None:
        nonlocal count
        if event in ("os.rename", "os.link", "os.mkdir", "os.remove", "open", "os.rmdir", "shutil.rmtree"):
            count += 1
            if count == number:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(counted)


@posix
def test_a_run_killed_at_any_step_leaves_the_old_set_or_the_new_one(tmp_path: Path) -> None:
    ended: list[str] = []
    for step in range(1, 1000):
        out = tmp_path / f"{step}"
        write(out, "old")
        (out / NAMES[0]).write_text("typed")
        if not (child := os.fork()):
            die_at(step)
            write(out, "new", overwrite=True)
            os._exit(0)
        if not os.WIFSIGNALED(os.waitpid(child, 0)[1]):
            break
        finish_sets(out)  # what each run begins with
        found = contents(out)
        kept = [found.pop(name) for name in list(found) if name.startswith("kept/")]
        ended.append("new" if kept else "old")
        assert kept in ([], ["typed"])
        assert (
            found == dict.fromkeys(sorted(NAMES), "new")
            if kept
            else {NAMES[0]: "typed", **dict.fromkeys(NAMES[1:], "old")}
        )
        assert not list(out.glob(".tautsheet-*.set")), step
        write(out, "next", overwrite=True)
        assert hidden(out) == [NOTES]
    assert ended == sorted(ended, reverse=True)  # from one step on it is the new set
    assert {"old", "new"} == set(ended)


@pytest.mark.parametrize("failing", range(4))
def test_a_disk_that_refuses_half_way_gets_everything_back(
    tmp_path: Path, failing: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(tmp_path, "old", NAMES[:2])
    (tmp_path / NAMES[0]).write_text("typed")
    before, real, count = contents(tmp_path), os.replace, [0]

    def replace(source: Path, target: Path) -> None:
        if Path(target).name in NAMES or "kept" in str(target):
            count[0] += 1
            if count[0] == failing + 1:
                raise OSError(errno.ENOSPC, "full", str(target))
        real(source, target)

    monkeypatch.setattr(file_set.os, "replace", replace)
    with pytest.raises(WorkbookError, match="cannot be written: the disk is full"):
        write(tmp_path, "new", overwrite=True)
    monkeypatch.undo()

    assert contents(tmp_path) == before
    assert hidden(tmp_path) == [NOTES]
    assert outputs.read_notes(tmp_path).keys() == set(NAMES[:2])


def test_folders_that_cannot_be_written_into(tmp_path: Path) -> None:
    (tmp_path / "plain").write_text("mine")
    for folder, make, words in (
        ("nowhere", False, "nowhere: cannot be written: the folder is not there"),
        ("plain", True, "plain: cannot be written"),
        ("plain/out", True, "out: cannot be written"),
    ):
        with pytest.raises(WorkbookError, match=words), Outputs(tmp_path / folder, make=make):
            pass
