"""Small files that people hand over (maps, tables) and scratch files: plain, of a bounded size, or one clear line."""

import contextlib
import os
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

from addin.workbooks.package import MIB, WorkbookError

_NO_WAIT = getattr(os, "O_NONBLOCK", 0)


def open_plain(path: Path) -> BinaryIO:
    """A plain file opened to be read. A named pipe or a device is refused at once, without waiting for it.

    Raises WorkbookError where it is no plain file, OSError where it cannot be opened.
    """
    handle = os.open(path, os.O_RDONLY | _NO_WAIT | getattr(os, "O_BINARY", 0))
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise WorkbookError(f"{path.name}: cannot be read: it is no plain file")
    return os.fdopen(handle, "rb")


def read_plain(path: Path, limit: int) -> bytes:
    """The bytes of a plain file. A named pipe or a device is refused at once, without waiting for it.

    Raises WorkbookError: not there, no plain file, larger than `limit` bytes, not readable.
    """
    path = Path(path)
    try:
        with open_plain(path) as file:
            content = file.read(limit + 1)
    except (OSError, ValueError) as error:  # a name with a zero byte is a ValueError
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise WorkbookError(f"{path}: cannot be read: {reason}") from error
    if len(content) > limit:
        raise WorkbookError(f"{path.name}: is larger than {limit / MIB:g} MiB, the limit for such a file")
    return content


class Scratch:
    """A temporary file of bytes; where the temporary folder is full or missing, one line says so."""

    def __init__(self) -> None:
        with _one_line():
            self._file: Any = tempfile.TemporaryFile()  # noqa: SIM115  closed by `__exit__`

    def __enter__(self) -> "Scratch":
        return self

    def __exit__(self, *_given: object) -> None:
        with contextlib.suppress(OSError):  # what could not be written is written again when it is closed
            self._file.close()

    def write(self, content: bytes) -> None:
        """Add some bytes."""
        with _one_line():
            self._file.write(content)

    def lines(self) -> Iterator[bytes]:
        """Everything that was written, line by line."""
        with _one_line():
            self._file.seek(0)
        yield from self._file


@contextlib.contextmanager
def scratch_folder(prefix: str) -> Iterator[Path]:
    """A temporary folder, removed at the end."""
    with _one_line():
        folder = tempfile.TemporaryDirectory(prefix=prefix, ignore_cleanup_errors=True)  # noqa: SIM115
    with folder as name:
        yield Path(name)


@contextlib.contextmanager
def _one_line() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        place = f"{tempfile.tempdir}: " if tempfile.tempdir else ""
        reason = error.strerror or str(error)
        raise WorkbookError(f"{place}the folder for temporary files cannot be used: {reason}") from error
