"""A new file appears whole or not at all: temporary file beside the target, checked, then moved into place."""

import contextlib
import errno
import os
import re
import secrets
import stat
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import BinaryIO

from addin.workbooks.package import WorkbookError

try:
    import fcntl
except ImportError:  # Windows, where an open file cannot be removed anyway
    fcntl = None  # type: ignore[assignment]  # the module is absent there

_NAME = re.compile(r"\.tautsheet-[0-9a-f]{16}\.tmp")
_DAY = 86_400

_REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT if hasattr(errno, "EDQUOT") else -1: "the disk quota is used up",
    errno.EACCES: "it may not be written (read-only, no permission, or open in another program)",
    errno.EPERM: "it may not be written (read-only, no permission, or open in another program)",
    errno.EROFS: "the disk is read-only",
    errno.ENOENT: "the folder is not there",
    errno.ENOTDIR: "the folder is not there",
    errno.EBUSY: "it is in use by another program",
    errno.EFBIG: "the file would be too large for this disk",
    errno.ENAMETOOLONG: "the name is too long",
}


def owner_file(path: Path) -> str | None:
    """The name of the file that a spreadsheet program puts beside a workbook while it is open there."""
    names = (f".~lock.{path.name}#", f"~${path.name}")
    return next((name for name in names if os.path.lexists(path.with_name(name))), None)


def check_target(target: Path, source: Path | None = None, *, overwrite: bool = False) -> None:
    """Refuse a target that must not be written: the source itself, an existing file, no plain file, one that is open.

    Raises WorkbookError.
    """
    try:
        if not target.parent.is_dir():
            raise WorkbookError(f"{target}: cannot be written: the folder is not there")
        there = target.exists() or target.is_symlink()
        if there and source is not None and source.exists() and target.exists() and target.samefile(source):
            raise WorkbookError(f"{target}: is the workbook that is read; results go to another file")
        if there and not stat.S_ISREG(target.lstat().st_mode):
            raise WorkbookError(f"{target}: cannot be written: there is something of that name that is no plain file")
        if there and not overwrite:
            raise WorkbookError(f"{target}: is there already and is not overwritten unless that is asked for")
        if there and (lock := owner_file(target)):
            raise WorkbookError(
                f"{target}: is open in a spreadsheet program; close it (or remove {lock} if no program is running)"
            )
    except OSError as error:
        raise refusal(target, error) from error


def write_new(
    target: Path,
    write: Callable[[BinaryIO], None],
    check: Callable[[Path], None] = lambda _path: None,
) -> None:
    """Write a new file under a temporary name, let `check` read it, then move it into place.

    Whatever goes wrong, the target is as it was or whole, and no temporary file stays. Temporary files that killed runs
    have left in the folder are removed first.

    Raises WorkbookError when the target cannot be written; what `write` and `check` raise passes through.
    """
    try:
        remove_leftovers(target.parent)
        with _temporary(target) as (temporary, file):
            write(file)
            file.flush()
            os.fsync(file.fileno())
            check(temporary)
            if os.name == "nt":
                file.close()
            _move(temporary, target)
            sync_folder(target.parent)
    except OSError as error:
        raise refusal(target, error) from error


def remove_leftovers(folder: Path) -> None:
    """Remove temporary files of runs that are no longer alive. A living run holds a lock on its own."""
    paths: list[Path] = []
    with contextlib.suppress(PermissionError):  # a folder that may be written but not listed
        paths = list(folder.iterdir())
    for path in paths:
        if _NAME.fullmatch(path.name) and not path.is_symlink() and path.is_file():
            with contextlib.suppress(OSError):  # in use, or another run was quicker
                _remove_if_dead(path)


def _remove_if_dead(path: Path) -> None:
    if fcntl is None:
        path.unlink()
        return
    with path.open("rb+") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return
        except OSError:  # a disk without locks: only age tells
            if time.time() - path.stat().st_mtime < _DAY:
                return
        path.unlink()


@contextlib.contextmanager
def _temporary(target: Path) -> Iterator[tuple[Path, BinaryIO]]:
    """A locked temporary file beside the target; removed at the end if it is still there."""
    while True:
        path = target.with_name(f".tautsheet-{secrets.token_hex(8)}.tmp")
        handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
        try:
            with os.fdopen(handle, "w+b") as file:
                if not _locked(file, path):
                    continue  # another run took it for a leftover before the lock stood
                yield path, file
                return
        finally:
            with contextlib.suppress(OSError):
                path.unlink(missing_ok=True)


def _locked(file: BinaryIO, path: Path) -> bool:
    if fcntl is None:
        return True
    try:
        fcntl.flock(file, fcntl.LOCK_EX)
    except OSError:
        return True  # a disk without locks
    try:
        return os.path.samestat(os.fstat(file.fileno()), path.stat())
    except FileNotFoundError:
        return False


def _move(temporary: Path, target: Path) -> None:
    """Give the file its name; one that has appeared meanwhile is not replaced."""
    try:
        if os.name == "nt":
            os.rename(temporary, target)  # refuses an existing name there
        else:
            os.link(temporary, target)
    except FileExistsError as error:
        raise WorkbookError(f"{target}: has appeared while it was being written; it is not overwritten") from error
    except OSError as error:
        if error.errno not in (errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK):
            raise
        if target.exists():
            raise WorkbookError(f"{target}: has appeared while it was being written; it is not overwritten") from error
        os.replace(temporary, target)  # a disk without hard links


def sync_folder(folder: Path) -> None:
    """Have the names in a folder on the disk, where the system can do that."""
    if os.name == "nt":
        return
    with contextlib.suppress(OSError):  # the file itself is on the disk; some disks cannot do this for folders
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def refusal(target: Path, error: OSError) -> WorkbookError:
    """What the system said about a target, as one line."""
    reason = _REASONS.get(error.errno or 0, error.strerror or str(error))
    return WorkbookError(f"{target}: cannot be written: {reason}")
