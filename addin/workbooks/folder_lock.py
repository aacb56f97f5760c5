"""One run writes into a folder at a time."""

import contextlib
import os
import secrets
from pathlib import Path
from types import TracebackType
from typing import Self

from addin.workbooks.package import WorkbookError

try:
    import fcntl
except ImportError:
    fcntl = None  # type: ignore[assignment]  # the module is absent on Windows
try:
    import msvcrt
except ImportError:
    msvcrt = None  # type: ignore[assignment]  # and this one elsewhere

NAME = ".tautsheet-lock"
_HOLDERS = "TAUTSHEET_HOLDS"
"""In the environment of a run and of the runs that it starts: the marks in the lock files that it holds."""

_BEYOND = 1 << 20
"""Byte that is locked on Windows, where a locked byte cannot be read."""


class FolderLock:
    """The lock of a folder, held from entering to leaving; `own` is False where a parent run holds it for this one.

    It ends with the process, whatever ends that. On a disk without locks the run goes on without one.
    Raises WorkbookError when another run holds it; OSError when the folder cannot be written.
    """

    def __init__(self, folder: Path) -> None:
        self.own = True
        self._path, self._folder = folder / NAME, folder
        self._mark = secrets.token_hex(8)
        self._handle = -1

    def __enter__(self) -> Self:
        while True:
            flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
            self._handle = os.open(self._path, flags, 0o666)
            try:
                taken = _take(self._handle)
                if taken and not self._still_there():
                    os.close(self._handle)  # its last holder has removed it meanwhile
                    continue
                break
            except BaseException:
                os.close(self._handle)
                raise
        if not taken:
            mark = os.read(self._handle, 64).decode("ascii", "replace")
            os.close(self._handle)
            if not mark or mark not in _held():
                raise WorkbookError(
                    f"{self._folder}: another run is writing into this folder; try again when it is done"
                )
            self.own = False
            return self
        os.truncate(self._handle, 0)
        os.write(self._handle, self._mark.encode())
        os.environ[_HOLDERS] = " ".join([*_held(), self._mark])
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if not self.own:
            return
        os.environ[_HOLDERS] = " ".join(mark for mark in _held() if mark != self._mark)
        with contextlib.suppress(OSError):
            self._path.unlink()
        os.close(self._handle)
        with contextlib.suppress(OSError):  # Windows, where an open file stays
            if os.name == "nt":
                self._path.unlink()

    def _still_there(self) -> bool:
        try:
            return os.path.samestat(os.fstat(self._handle), self._path.stat())
        except FileNotFoundError:
            return False


def _held() -> list[str]:
    return os.environ.get(_HOLDERS, "").split()


def _take(handle: int) -> bool:
    if fcntl is not None:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError:
            return True
        return True
    os.lseek(handle, _BEYOND, os.SEEK_SET)
    try:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]  # absent in other systems' stubs
    except OSError:
        return False
    finally:
        os.lseek(handle, 0, os.SEEK_SET)
    return True
