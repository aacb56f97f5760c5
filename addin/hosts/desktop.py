"""Without a console: an entry of the desktop to which a list, or the folder of a job, is sent."""

import os
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

from addin.hosts.shortcut import shortcut
from addin.workbooks.new_file import refusal
from addin.workbooks.package import WorkbookError

WORDS = ("-P", "-m", "addin", "job", "--show")
SAYS = "Plan this list, or do what is due in this job"
_WINDOWS, _LINUX = "tautsheet.lnk", "tautsheet-job.desktop"
_QUOTED = str.maketrans({"\\": "\\\\\\\\", '"': '\\\\"', "`": "\\\\`", "$": "\\\\$", "%": "%%"})


def places(system: str = sys.platform) -> Path:
    """The file of the entry on this kind of machine. Raises WorkbookError where there is none."""
    if system == "win32":
        roaming = os.environ.get("APPDATA")
        if not roaming:
            raise WorkbookError("the folder of Send to is not known: APPDATA is not set")
        return Path(roaming, "Microsoft", "Windows", "SendTo", _WINDOWS)
    if system == "darwin":
        raise WorkbookError("there is no desktop entry for this system; run `tautsheet job FOLDER`")
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share", "applications", _LINUX)


def content(program: str, system: str = sys.platform) -> bytes:
    """What stands in the entry: the program of this Python, and nothing of a shell."""
    if system == "win32":
        return shortcut(program, " ".join(WORDS), SAYS)
    entry = f'"{program.translate(_QUOTED)}" {" ".join(WORDS)} %f'
    lines = [
        "[Desktop Entry]", "Type=Application", "Name=tautsheet", f"Comment={SAYS}", f"Exec={entry}", "Terminal=false",
        "Categories=Office;Engineering;",
        "MimeType=inode/directory;application/vnd.openxmlformats-officedocument.spreadsheetml.sheet;",
    ]  # fmt: skip
    return ("\n".join(lines) + "\n").encode()


def install() -> Path:
    """Write the entry; one that is there is replaced only if it is ours."""
    place = places()
    try:
        if place.exists() and not _ours(place):
            raise WorkbookError(f"{place}: is not tautsheet's: not replaced")
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(content(sys.executable))
    except OSError as error:
        raise refusal(place, error) from error
    return place


def remove() -> Path | None:
    """Take the entry away; None where there is none."""
    place = places()
    try:
        if not place.exists():
            return None
        if not _ours(place):
            raise WorkbookError(f"{place}: is not tautsheet's: not removed")
        place.unlink()
    except OSError as error:
        raise refusal(place, error) from error
    return place


def _ours(place: Path) -> bool:
    return b"addin" in place.read_bytes().replace(b"\0", b"")


def show(path: Path) -> None:
    """Open a workbook with the program that the machine has for it; nothing where it has none."""
    with suppress(OSError):
        if sys.platform == "win32":
            os.startfile(path)  # type: ignore[attr-defined]  # Windows alone has it
        else:
            program = "open" if sys.platform == "darwin" else "xdg-open"
            subprocess.Popen([program, str(path)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
