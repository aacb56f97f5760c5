"""What a run writes appears together or not at all, and only files that this program wrote are replaced.

A run writes into a hidden folder inside the output folder; at its end the set is put in place as `file_set` does it.
The notes of the output folder say which files this program wrote there, with the hash they had; a file without a note
is somebody else's.
"""

import contextlib
import dataclasses
import datetime
import os
import secrets
from collections.abc import Iterable, Iterator
from pathlib import Path, PurePosixPath
from types import TracebackType
from typing import Self

from addin.workbooks.file_set import BEGUN, Move, Note, discard, finish_others, put_in_place, read_notes, sha256
from addin.workbooks.folder_lock import FolderLock
from addin.workbooks.new_file import check_target, refusal, remove_leftovers
from addin.workbooks.package import WorkbookError

PLANNED, PLAN, ANSWERS, ENGINEER, PRINTED, HANDOVER, COPY, EXCEL, CHECKED, FROZEN, OVERVIEW, RECORDED, TABLE = (
    "planned copy", "plan", "answers", "engineer's workbook", "printed part", "hand-over", "recalculated copy",
    "file of Excel", "checked wrench book", "frozen workbook", "overview", "recorded copy", "table of joints",
)  # fmt: skip
"""Kinds of outputs, as the notes name them."""

KEPT = "kept"
"""Folder inside the output folder for files that are put away, each under its name and the time."""

_TYPED = "was changed since it was written, and what was typed into it is not in the new one"
_GOES_ON = "what was typed in it stands in the new one too"


class Outputs:
    """The files of one run in one folder: `new` is where they are written, `place` gives the path of one of them.

    `of` is the hash of the plan that they are made from, for the notes.

        with Outputs(Path("out"), [list_file], overwrite=True, by="plan") as outputs:
            write(outputs.place("list-plan.json", PLAN))

    At the end of the block the set appears; where the block fails, the folder is as it was. A file of ours that was
    changed since is kept, and named in `kept`.

    Raises WorkbookError, in one line, when another run writes into the folder, and when a file may not be replaced:
    one that this run reads, one without a note, one that is there while `overwrite` is not asked for, one that is open.
    """

    def __init__(
        self, folder: Path, inputs: Iterable[Path] = (), *, overwrite: bool = False, by: str = "", make: bool = True
    ) -> None:
        self.folder = folder
        self._inputs = [path for path in inputs if path.exists()]
        self._overwrite, self._by, self._make = overwrite, by, make
        self.of = ""
        self._now = datetime.datetime.now()
        self._stage = folder / f".tautsheet-{secrets.token_hex(8)}.set"
        self.new = self._stage / "new"
        self._moves: dict[str, Move] = {}
        self._about: dict[str, str] = {}
        self._notes: dict[str, Note] = {}
        self._held = contextlib.ExitStack()

    def __enter__(self) -> Self:
        with contextlib.ExitStack() as stack:
            try:
                if self._make:
                    stack.enter_context(_folder(self.folder))
                if stack.enter_context(FolderLock(self.folder)).own:
                    finish_others(self.folder)
                    remove_leftovers(self.folder)
                self._notes = read_notes(self.folder)
                stack.callback(discard, self._stage)
                self.new.mkdir(parents=True)
            except OSError as error:
                raise refusal(self.folder, error) from error
            self._held = stack.pop_all()
        BEGUN.append(self.folder)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        with self._held:
            if error is None:
                self._commit()
            else:
                error.args = tuple(self.said(each) if isinstance(each, str) else each for each in error.args)

    def place(self, name: str, kind: str, *, renews: Path | None = None, ours: bool = False) -> Path:
        """Where to write a file of the set; refused at once when it may not appear under its name.

        renews : an input whose content goes on in the new file, which may
        stand under the very name. A planned copy is then kept; answers are kept where the notes do not know them.
        ours : what is there was recognised by its content; without a note it is kept.
        """
        self._moves[name] = self._checked(name, kind, renews, ours=ours)
        self._about[name] = kind
        path = self.new / name
        path.parent.mkdir(parents=True, exist_ok=True)
        return path

    def typed_into(self, name: str) -> bool:
        """Whether the file that gives way under a name was changed since it was written."""
        return name in self._moves and self._moves[name].why == _TYPED

    def unchanged(self, path: Path) -> bool:
        """Whether a file is as this program wrote it, as the notes beside it say."""
        note = read_notes(path.parent).get(path.name)
        return note is not None and note.sha256 == sha256(path)

    def free_name(self, name: str) -> str:
        """The name given, or the first with a number that is free: for files that are never replaced.

        Entries that people typed stay where they are, and new rows go to a file of their own.
        """
        path, number = PurePosixPath(name), 1
        while os.path.lexists(self.folder / name):
            number += 1
            name = str(path.with_name(f"{path.stem}-{number}{path.suffix}"))
        return name

    def put_away(self, name: str, why: str) -> None:
        """Keep a file of an earlier set that must not stand beside this one, where the notes know it."""
        target, written = self.folder / name, (self.new / name).exists()
        if name in self._notes and not written and target.is_file() and not self._read(target):
            self._about.pop(name, None)
            self._moves[name] = Move(name, None, None, self._keep(name), why)

    def stale(self) -> list[str]:
        """Files in the folder that are made from another plan and are not written anew by this run."""
        notes = [name for name, note in self._notes.items() if note.of not in ("", self.of)]
        old = [name for name in notes if (self.folder / name).is_file() and not (self.new / name).exists()]
        return [name for name in old if name not in self._moves or name in self._about]

    def path(self, written: Path) -> Path:
        """The path at which a file of the set appears."""
        return self.folder / written.relative_to(self.new) if written.is_relative_to(self.new) else written

    def said(self, text: str) -> str:
        """A line about the set, with the paths at which its files appear."""
        return text.replace(str(self.new), str(self.folder))

    def kept(self) -> list[str]:
        """A line for each file that is kept."""
        return [f"{m.name}: {m.why}; it is kept as {self.folder / m.keep}" for m in self._moves.values() if m.why]

    def _read(self, target: Path) -> Path | None:
        """The input that is this very file."""
        return next((path for path in self._inputs if target.exists() and path.samefile(target)), None)

    def _checked(self, name: str, kind: str, renews: Path | None = None, *, ours: bool = False) -> Move:
        target = self.folder / name
        if target.name.startswith(".tautsheet-"):
            raise WorkbookError(f"{target}: is a name that this program keeps for itself")
        try:
            for parent in list(target.parents)[: len(PurePosixPath(name).parts) - 1]:
                if os.path.lexists(parent) and (parent.is_symlink() or not parent.is_dir()):
                    raise WorkbookError(f"{parent}: cannot be written into: it is a link or no folder")
            if not os.path.lexists(target):
                return Move(name, None, None, self._keep(name))
            read, note = self._read(target), self._notes.get(name)
            renewed = read is not None and renews is not None and read.samefile(renews)
            answered = renewed and kind == ANSWERS
            if read is not None and not answered and not (renewed and note is not None and note.kind == kind):
                raise WorkbookError(f"{target}: is read by this run; results go to another file")
            check_target(target, overwrite=self._overwrite or answered)
            if note is None and not answered and not ours:
                raise WorkbookError(
                    f"{target}: is not overwritten: tautsheet has no note of having written it into this folder; move"
                    " it away or write into another folder"
                )
            before = sha256(target)
        except OSError as error:
            raise refusal(target, error) from error
        same = note is not None and before == note.sha256
        why = _GOES_ON if renewed and not (answered and same) else "" if same else _TYPED
        return Move(name, None, before, self._keep(name), why)

    def _keep(self, name: str) -> str:
        """A free name for a file that is put away."""
        path, moment = PurePosixPath(name), f"{self._now:%Y-%m-%d %H%M%S}"
        where, number = f"{KEPT}/{path.stem} {moment}{path.suffix}", 1
        taken = {move.keep for move in self._moves.values()}
        while where in taken or os.path.lexists(self.folder / where):
            number += 1
            where = f"{KEPT}/{path.stem} {moment} ({number}){path.suffix}"
        return where

    def _commit(self) -> None:
        for name in self._about:
            if not (self.new / name).is_file():
                del self._moves[name]  # a place that was not used
        for path in sorted(self.new.rglob("*")):
            if path.is_file():
                name = path.relative_to(self.new).as_posix()
                move = self._moves.get(name) or self._checked(name, PRINTED)
                new = sha256(path)
                why = "" if new == move.before else move.why  # the same bytes need not be kept
                self._moves[name] = dataclasses.replace(move, sha256=new, why=why)
        noted = read_notes(self.folder)  # a run that this one has started may have written too
        notes = {name: note for name, note in noted.items() if os.path.lexists(self.folder / name)}
        for name, move in self._moves.items():
            kind = self._about.get(name, PRINTED)
            notes.pop(name, None)
            if move.sha256:
                notes[name] = Note(move.sha256, kind, self.of, self._by, self._now.isoformat(timespec="seconds"))
        if self._moves:
            put_in_place(self.folder, self._stage, list(self._moves.values()), notes)


@contextlib.contextmanager
def _folder(folder: Path) -> Iterator[None]:
    """The folder, made where it is not there; taken away again where nothing comes of it."""
    made = not folder.exists()
    folder.mkdir(parents=True, exist_ok=True)
    try:
        yield
    finally:
        if made:
            with contextlib.suppress(OSError):  # it holds something
                folder.rmdir()
