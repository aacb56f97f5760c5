"""A set of files is put in place whole: a journal says what goes where; the next run finishes one that is killed.

The new files stand in a hidden folder inside their folder. With the journal in it the set counts: what is not yet in
place is put there, by this run or the next. Where the disk refuses, everything is put back.
"""

import contextlib
import dataclasses
import hashlib
import json
import os
import shutil
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from addin.workbooks.folder_lock import FolderLock
from addin.workbooks.new_file import refusal, sync_folder
from addin.workbooks.package import WorkbookError

NOTES = ".tautsheet-files.json"
_JOURNAL, _UNDO, _NEW_NOTES = "journal.json", "undo.json", "notes.json"
_ABOUT = (
    "Files that tautsheet wrote into this folder, with the hash they had. With --overwrite it replaces only these, and"
    " keeps those that were changed since. Without this file it replaces none."
)
_VERSION = 1

BEGUN: list[Path] = []
IN_PLACE: list[Path] = []
"""Folders of the sets that this run has begun, and files that it has put in place, in order: what a command that is
interrupted says.
"""


@dataclass(frozen=True)
class Note:
    """What is known of a file that was written: its hash, kind, the plan it is made from, the command, the time."""

    sha256: str
    kind: str
    of: str
    by: str
    written: str


@dataclass(frozen=True)
class Move:
    """One file of a set.

    sha256 : of the new file, None where there is none; before : of the one that was there, None where there was none;
    keep : name under which that one is kept where `why` says why, or where it is no longer the one that was seen.
    """

    name: str
    sha256: str | None
    before: str | None
    keep: str
    why: str = ""


def sha256(path: Path) -> str:
    """The hash of a file."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def read_notes(folder: Path) -> dict[str, Note]:
    """What this program noted of its files in a folder. Raises WorkbookError when the notes cannot be read."""
    path = folder / NOTES
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
        if content["version"] != _VERSION:
            raise WorkbookError(f"{path}: is of another version of this program; write into another folder")
        return {
            str(name): Note(**{key: str(text) for key, text in note.items()}) for name, note in content["files"].items()
        }
    except FileNotFoundError:
        return {}
    except OSError as error:
        raise WorkbookError(f"{path}: cannot be read: {error.strerror}") from error
    except (ValueError, LookupError, TypeError, AttributeError, RecursionError) as error:
        raise WorkbookError(
            f"{path}: is damaged, so it is not known which files here are tautsheet's: remove it, or write into another"
            " folder"
        ) from error


def put_in_place(folder: Path, stage: Path, moves: Sequence[Move], notes: Mapping[str, Note]) -> None:
    """Put the files of `stage`/new into their folder, and the notes; all of them, or none where the disk refuses.

    Raises WorkbookError.
    """
    files = {name: dataclasses.asdict(note) for name, note in notes.items()}
    try:
        _write_json(stage / _NEW_NOTES, {"version": _VERSION, "what": _ABOUT, "files": files})
        _write_json(stage / _JOURNAL, {"moves": [dataclasses.asdict(move) for move in moves]})
        try:
            _forward(folder, stage)
        except BaseException:
            os.replace(stage / _JOURNAL, stage / _UNDO)
            _back(folder, stage)
            raise
        IN_PLACE.extend(folder / move.name for move in moves if move.sha256)
    except OSError as error:
        raise refusal(Path(error.filename or folder), error) from error


def forget(folder: Path, names: Iterable[str]) -> None:
    """Take files out of the notes of a folder, and the notes away where they are about no other."""
    gone, notes = set(names), read_notes(folder)
    left = {name: dataclasses.asdict(note) for name, note in notes.items() if name not in gone}
    if left:
        _write_json(folder / NOTES, {"version": _VERSION, "what": _ABOUT, "files": left})
    else:
        (folder / NOTES).unlink(missing_ok=True)


def discard(stage: Path) -> None:
    """Remove a hidden folder, where no set in it is still to be finished."""
    if not (stage / _JOURNAL).exists() and not (stage / _UNDO).exists():
        shutil.rmtree(stage, ignore_errors=True)


def finish_others(folder: Path) -> None:
    """Finish, or take back, the sets of runs that were killed; whoever calls this holds the folder's lock."""
    for stage in folder.glob(".tautsheet-*.set"):
        if stage.is_symlink() or not stage.is_dir():
            continue
        if (stage / _UNDO).is_file():
            _back(folder, stage)
        elif (stage / _JOURNAL).is_file():
            _forward(folder, stage)
        discard(stage)


def finish_sets(folder: Path) -> None:
    """Before a file of a folder is read: finish a set that a killed run left there, where no run is writing."""
    if not any(folder.glob(".tautsheet-*.set")):
        return
    with contextlib.suppress(OSError, WorkbookError), FolderLock(folder) as lock:  # then the file is read as it is
        if lock.own:
            finish_others(folder)


def _forward(folder: Path, stage: Path) -> None:
    """Put in place what is not yet; may be begun any number of times."""
    moves = _moves(stage / _JOURNAL)
    for number, move in enumerate(moves):
        new, target = stage / "new" / move.name, folder / move.name
        if move.sha256 is not None and not new.exists():
            continue
        if os.path.lexists(target):
            if move.why or target.is_symlink() or sha256(target) != move.before:
                _keep(target, folder / move.keep)
            else:
                _second_name(target, stage / f"old-{number}")
                with contextlib.suppress(OSError):
                    shutil.copymode(target, new)
        if move.sha256 is not None:
            target.parent.mkdir(exist_ok=True)
            os.replace(new, target)
    if (stage / _NEW_NOTES).exists():
        os.replace(stage / _NEW_NOTES, folder / NOTES)
    for changed in {(folder / move.name).parent for move in moves} | {folder}:
        sync_folder(changed)
    (stage / _JOURNAL).unlink()


def _back(folder: Path, stage: Path) -> None:
    """Put everything as it was before; may be begun any number of times."""
    for number, move in enumerate(_moves(stage / _UNDO)):
        new, target, keep = stage / "new" / move.name, folder / move.name, folder / move.keep
        old = stage / f"old-{number}"
        there = old if old.exists() else keep if os.path.lexists(keep) else None
        if there is not None:
            os.replace(there, target)
        elif move.before is None and move.sha256 is not None and not new.exists() and target.exists():
            os.replace(target, new)
    (stage / _UNDO).unlink()


def _keep(path: Path, name: Path) -> None:
    """Put a file away under a name, or beside one that has it already."""
    name.parent.mkdir(exist_ok=True)
    free, number = name, 1
    while os.path.lexists(free):
        number += 1
        free = name.with_name(f"{name.stem} ({number}){name.suffix}")
    os.replace(path, free)


def _second_name(path: Path, name: Path) -> None:
    name.unlink(missing_ok=True)
    try:
        os.link(path, name)
    except OSError:  # a disk without hard links
        shutil.copy2(path, name)


def _write_json(path: Path, content: Mapping[str, Any]) -> None:
    between = path.with_name(f"{path.name}.new")
    with between.open("w", encoding="utf-8") as file:
        json.dump(content, file, ensure_ascii=False, indent=1)
        file.flush()
        os.fsync(file.fileno())
    os.replace(between, path)


def _moves(path: Path) -> list[Move]:
    return [Move(**each) for each in json.loads(path.read_text(encoding="utf-8"))["moves"]]
