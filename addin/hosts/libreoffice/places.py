"""Where LibreOffice and its Python are on Linux, macOS and Windows."""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

INSTALL = {
    "linux": "install LibreOffice Calc and its Python bridge (Debian, Ubuntu: "
    "apt install libreoffice-calc python3-uno)",
    "darwin": "install LibreOffice from libreoffice.org into Applications",
    "win32": "install LibreOffice from libreoffice.org",
}
"""What to install, by the system's name."""


class NoOfficeError(Exception):
    """LibreOffice or a part of it is not there; the message is one line."""


@dataclass(frozen=True)
class Places:
    """Programs of one LibreOffice: the office, and a Python that has uno."""

    soffice: Path
    python: Path


def what_to_install(platform: str = sys.platform) -> str:
    """One phrase for someone who has no LibreOffice.

    >>> what_to_install("win32")
    'install LibreOffice from libreoffice.org'
    """
    return INSTALL.get(platform, INSTALL["linux"])


def programs(platform: str = sys.platform, environment: dict[str, str] | None = None) -> list[Path]:
    """Candidates for the office program, the most likely first."""
    environment = dict(os.environ) if environment is None else environment
    if platform == "win32":
        roots = [environment.get(name, "") for name in ("ProgramFiles", "ProgramW6432", "ProgramFiles(x86)")]
        return [Path(root) / "LibreOffice" / "program" / "soffice.exe" for root in dict.fromkeys(roots) if root]
    if platform == "darwin":
        folders = [Path("/Applications"), Path(environment.get("HOME", "/")) / "Applications"]
        return [folder / "LibreOffice.app" / "Contents" / "MacOS" / "soffice" for folder in folders]
    found = shutil.which("soffice") or shutil.which("libreoffice")
    usual = ["/usr/bin/soffice", "/usr/lib/libreoffice/program/soffice", "/usr/lib64/libreoffice/program/soffice"]
    newest_first = sorted(Path("/opt").glob("libreoffice*/program/soffice"), reverse=True)
    return [*([Path(found)] if found else []), *map(Path, usual), *newest_first]


def pythons(soffice: Path, platform: str = sys.platform) -> Iterator[Path]:
    """Candidates for a Python that has uno: LibreOffice's own, then the system's."""
    folder = soffice.resolve().parent
    if platform == "win32":
        yield folder / "python.exe"
        return
    if platform == "darwin":
        yield folder.parent / "Resources" / "python"
        return
    yield folder / "python"
    yield Path("/usr/bin/python3")
    other = shutil.which("python3")
    if other:
        yield Path(other)


def profile(platform: str = sys.platform, environment: dict[str, str] | None = None) -> Path:
    """The user's own profile of LibreOffice.

    >>> profile("linux", {"HOME": "/home/m"}).as_posix()
    '/home/m/.config/libreoffice/4'
    >>> profile("darwin", {"HOME": "/Users/m"}).as_posix()
    '/Users/m/Library/Application Support/LibreOffice/4'
    """
    environment = dict(os.environ) if environment is None else environment
    home = Path(environment.get("HOME") or Path.home())
    if platform == "win32":
        return Path(environment.get("APPDATA") or home / "AppData" / "Roaming") / "LibreOffice" / "4"
    if platform == "darwin":
        return home / "Library" / "Application Support" / "LibreOffice" / "4"
    return Path(environment.get("XDG_CONFIG_HOME") or home / ".config") / "libreoffice" / "4"


def find(environment: dict[str, str] | None = None) -> Places:
    """The LibreOffice of this computer. TAUTSHEET_SOFFICE names its office program where it is in an unusual place.

    Raises NoOfficeError with what to install.
    """
    environment = dict(os.environ) if environment is None else environment
    named = environment.get("TAUTSHEET_SOFFICE")
    candidates = [Path(named)] if named else programs()
    soffice = next((path for path in candidates if path.is_file()), None)
    if soffice is None:
        where = f"there is no program {named}" if named else "LibreOffice is not there"
        raise NoOfficeError(f"{where}; {what_to_install()}")
    if soffice.resolve().is_relative_to("/snap") or str(soffice).startswith("/snap/"):
        raise NoOfficeError(f"{soffice}: runs in a sandbox and cannot start tautsheet's Python; {what_to_install()}")
    python = next((path for path in pythons(soffice) if path.is_file() and _has_uno(path)), None)
    if python is None:
        raise NoOfficeError(f"{soffice}: no Python with its bridge 'uno' beside it; {what_to_install()}")
    return Places(soffice, python)


def _has_uno(python: Path) -> bool:
    try:
        done = subprocess.run([python, "-c", "import uno"], capture_output=True, timeout=60, check=False)
    except (OSError, subprocess.TimeoutExpired):
        return False
    return done.returncode == 0
