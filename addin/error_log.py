"""Where a fault of the program in a worksheet function is written down: a file that only its user can read."""

import contextlib
import os
import stat
import sys
import traceback
from pathlib import Path

LARGEST = 1 << 20
"""A log that has grown beyond this is begun anew. [bytes]"""


def place() -> Path:
    """The log of this user: in the folder that the system keeps for a program's own files."""
    if sys.platform == "win32":
        home = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
        return Path(home) / "tautsheet" / "errors.log"
    state = os.environ.get("XDG_STATE_HOME") or ""
    return (Path(state) if state.startswith("/") else Path.home() / ".local" / "state") / "tautsheet" / "errors.log"


def note(error: Exception) -> str:
    """Add an error with its traceback to the log; its path, or "" where nothing could be written.

    The file is the user's own and closed to all others; a link or a file of somebody else in its place is not used.
    """

    with contextlib.suppress(OSError, RuntimeError):  # RuntimeError: no home folder is known
        path = place()
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        flags = os.O_WRONLY | os.O_CREAT | os.O_APPEND | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
        handle = os.open(path, flags, 0o600)
        with os.fdopen(handle, "a", encoding="utf-8", errors="backslashreplace") as file:
            found = os.fstat(handle)
            if not stat.S_ISREG(found.st_mode) or (hasattr(os, "getuid") and found.st_uid != os.getuid()):
                return ""
            if hasattr(os, "fchmod"):
                os.fchmod(handle, 0o600)
            if found.st_size > LARGEST:
                file.truncate(0)
            file.write("a worksheet function failed\n" + "".join(traceback.format_exception(error)) + "\n")
        return str(path)
    return ""
